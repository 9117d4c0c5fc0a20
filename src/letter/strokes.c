// SPDX-License-Identifier: Apache-2.0
// A face of single strokes for marks. Each letter is drawn on a grid: two digits a point, across
// 0..4 and up 0..8, the baseline at 2, small letters to 6, capitals to 8; "/" lifts the tool.
#include "letter/letter.h"

#include <ctype.h>
#include <string.h>

#define BASELINE 2
#define CAPITAL  6.0 // grid steps in a capital's height
#define APART    1.6 // steps between two letters
#define SPACE    3.0

static const char *const capitals[26] = {
    "02 28 42/14 34",
    "02 08 38 47 46 35 05/35 44 43 32 02",
    "47 38 18 07 03 12 32 43",
    "02 08 28 46 44 22 02",
    "48 08 02 42/05 35",
    "48 08 02/05 35",
    "47 38 18 07 03 12 32 43 45 25",
    "02 08/42 48/05 45",
    "12 32/22 28/18 38",
    "48 43 32 12 03",
    "02 08/48 05 42",
    "08 02 42",
    "02 08 25 48 42",
    "02 08 42 48",
    "12 03 07 18 38 47 43 32 12",
    "02 08 38 47 46 35 05",
    "12 03 07 18 38 47 43 32 12/24 42",
    "02 08 38 47 46 35 05/25 42",
    "47 38 18 07 06 15 35 44 43 32 12 03",
    "08 48/28 22",
    "08 03 12 32 43 48",
    "08 22 48",
    "08 12 25 32 48",
    "02 48/08 42",
    "08 25 48/25 22",
    "08 48 02 42",
};
static const char *const smalls[26] = {
    "45 36 16 05 03 12 32 43/46 42",
    "08 02/05 16 36 45 43 32 12 03",
    "45 36 16 05 03 12 32 43",
    "48 42/45 36 16 05 03 12 32 43",
    "04 44 45 36 16 05 03 12 32 43",
    "48 38 27 22/16 36",
    "45 36 16 05 04 13 33 44/46 41 30 10 01",
    "08 02/05 16 36 45 42",
    "22 26/27 28",
    "36 31 20 10/37 38",
    "08 02/46 04/15 42",
    "18 28 23 32",
    "02 06/05 16 25 22/25 36 45 42",
    "02 06/05 16 36 45 42",
    "12 03 05 16 36 45 43 32 12",
    "00 06/05 16 36 45 43 32 12 03",
    "40 46/45 36 16 05 03 12 32 43",
    "02 06/05 16 36",
    "45 36 16 05 14 34 43 32 12 03",
    "18 13 22 32/06 36",
    "06 03 12 32 43/46 42",
    "06 22 46",
    "06 12 24 32 46",
    "02 46/06 42",
    "06 22/46 10",
    "06 46 02 42",
};
static const char *const digits[10] = {
    "12 03 07 18 38 47 43 32 12/14 36",
    "17 28 22/12 32",
    "07 18 38 47 46 02 42",
    "07 18 38 47 46 35 15/35 44 43 32 12 03",
    "32 38 04 44",
    "48 08 05 35 44 43 32 12 03",
    "47 38 18 07 03 12 32 43 44 35 05",
    "08 48 22",
    "15 06 07 18 38 47 46 35 15 04 03 12 32 43 44 35",
    "03 12 32 43 47 38 18 07 06 15 45",
};
static const struct {
    char c;
    const char *strokes;
} others[] = {{'-', "15 35"},
              {'.', "22 23"},
              {',', "23 11"},
              {'/', "02 48"},
              {'_', "01 41"},
              {':', "23 24/26 27"},
              {'+', "05 45/23 27"},
              {'=', "04 44/06 46"},
              {'(', "38 26 24 32"},
              {')', "18 26 24 12"},
              {'\'', "27 28"},
              {'"', "17 18/37 38"},
              {'#', "12 18/32 38/04 44/06 46"},
              {'!', "28 24/22 23"}};

static const char *strokes_of(char c) {
    if (isupper((unsigned char)c)) return capitals[c - 'A'];
    if (islower((unsigned char)c)) return smalls[c - 'a'];
    if (isdigit((unsigned char)c)) return digits[c - '0'];
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (others[i].c == c) return others[i].strokes;
    return "02 08 48 42 02"; // what the face does not have
}

struct pen {
    struct kw_arena *arena;
    struct kw_path *v;
    int count;
    double x, step; // where the letter stands, mm in a grid step
};

/// Draws one letter; gives its width in steps.
static double draw(struct pen *pen, const char *s) {
    double least = 4, most = 0;
    for (const char *p = s; *p; p++)
        if (p[0] != ' ' && p[0] != '/') {
            least = fmin(least, p[0] - '0');
            most = fmax(most, p[0] - '0');
            p++;
        }
    struct kw_path line = {.open = true};
    for (;; s++) {
        if (*s == 0 || *s == '/') {
            KW_PUSH(pen->arena, pen->v, pen->count) = line;
            line = (struct kw_path){.open = true};
            if (*s == 0) return most - least;
            continue;
        }
        if (*s == ' ') continue;
        double x = pen->x + (s[0] - '0' - least) * pen->step;
        double y = (s[1] - '0' - BASELINE) * pen->step;
        kw_path_add(pen->arena, &line, x, y, 0, 0);
        s++;
    }
}

struct kw_path *kw_letter_strokes(struct kw_arena *a, const char *text, double height, int *count,
                                  double *width) {
    kw_assert(height > 0);
    struct pen pen = {.arena = a, .step = height / CAPITAL};
    for (const char *p = text; *p; p++) {
        if (((unsigned char)*p & 0xC0) == 0x80) continue; // the rest of a character beyond ASCII
        double steps = *p == ' ' ? SPACE - APART : draw(&pen, strokes_of(*p));
        pen.x += (steps + APART) * pen.step;
    }
    if (width) *width = fmax(0, pen.x - APART * pen.step);
    *count = pen.count;
    return pen.v;
}
