// SPDX-License-Identifier: Apache-2.0
// Lines of RS-274 programs as words.
#include "verify/rs274_words.h"

#include <math.h>
#include <string.h>

// An unsigned or signed decimal number without exponent, as the report has it. Returns the bytes
// used, 0 when there is no number.
static size_t read_number(const char *s, size_t length, double *value) {
    size_t i = 0;
    int digits = 0, after = 0;
    bool point = false, minus = false;
    double whole = 0;
    if (i < length && (s[i] == '+' || s[i] == '-')) minus = s[i++] == '-';
    for (; i < length; i++) {
        if (s[i] == '.' && !point) {
            point = true;
        } else if (s[i] >= '0' && s[i] <= '9') {
            whole = whole * 10 + (s[i] - '0');
            digits++;
            after += point;
        } else {
            break;
        }
    }
    // Beyond 15 digits the sum is no longer exact, and no coordinate needs them.
    if (digits == 0 || digits > 15) return 0;
    whole /= pow(10, after);
    *value = minus ? -whole : whole;
    return i;
}

// The line without blanks and comments, in capitals. NULL, or what is wrong.
static const char *strip(const char *line, size_t length, char out[260], size_t *n) {
    bool comment = false;
    *n = 0;
    for (size_t i = 0; i < length; i++) {
        char c = line[i];
        if ((unsigned char)c < 32 && c != '\t') return "a control character";
        if ((unsigned char)c > 126) return "a character outside ASCII";
        if (c == '(') {
            if (comment) return "a comment inside a comment";
            comment = true;
        } else if (c == ')') {
            if (!comment) return "a closing bracket without an opening one";
            comment = false;
        } else if (!comment && c != ' ' && c != '\t') {
            out[(*n)++] = c >= 'a' && c <= 'z' ? (char)(c - 32) : c;
        }
    }
    return comment ? "an unclosed comment" : NULL;
}

// G and M words may stand several times; they must be whole (M) or whole tenths (G).
static const char *add_code(struct kw_rs274_block *b, char letter, double v) {
    if (v < 0) return "a negative G or M word";
    double tenths = v * 10;
    if (!(fabs(tenths - round(tenths)) < 1e-6) || !(v < 1000)) return "a G or M word out of range";
    if (letter == 'G') {
        b->g[b->g_count++] = (int)lround(tenths);
        return NULL;
    }
    if (lround(tenths) % 10 != 0) return "an M word that is not whole";
    b->m[b->m_count++] = (int)lround(v);
    return NULL;
}

static const char *add_word(struct kw_rs274_block *b, char letter, double v, bool first) {
    if (letter == 'G' || letter == 'M') return add_code(b, letter, v);
    if (b->has[(int)letter]) return "a letter twice in a line";
    if (letter == 'N' && !first) return "a line number that is not at the start of its line";
    if ((letter == 'N' || letter == 'T') && v != floor(v))
        return "an N or T word that is not whole";
    b->has[(int)letter] = true;
    b->value[(int)letter] = v;
    return NULL;
}

const char *kw_rs274_split(const char *line, size_t length, struct kw_rs274_block *b) {
    char s[260];
    size_t n = 0;
    *b = (struct kw_rs274_block){0};
    if (length > 256) return "a line of more than 256 characters";
    const char *why = strip(line, length, s, &n);
    for (size_t i = 0; i < n && !why;) {
        char letter = s[i];
        double v = 0;
        if (!strchr("ABCDFGHIJKLMNPQRSTXYZ", letter))
            return "a character that is not a word letter";
        size_t used = read_number(s + i + 1, n - i - 1, &v);
        if (used == 0) return "a word without a good number";
        why = add_word(b, letter, v, i == 0);
        i += 1 + used;
    }
    return why;
}

int kw_rs274_g_group(int g) {
    static const struct {
        int g, group;
    } table[] = {
        {0, 1},    {10, 1},   {20, 1},   {30, 1},   {382, 1},  {800, 1},  {810, 1},  {820, 1},
        {830, 1},  {840, 1},  {850, 1},  {860, 1},  {870, 1},  {880, 1},  {890, 1},  {40, 0},
        {100, 0},  {280, 0},  {300, 0},  {530, 0},  {920, 0},  {921, 0},  {922, 0},  {923, 0},
        {170, 2},  {180, 2},  {190, 2},  {900, 3},  {910, 3},  {930, 5},  {940, 5},  {200, 6},
        {210, 6},  {400, 7},  {410, 7},  {420, 7},  {430, 8},  {490, 8},  {980, 10}, {990, 10},
        {540, 12}, {550, 12}, {560, 12}, {570, 12}, {580, 12}, {590, 12}, {591, 12}, {592, 12},
        {593, 12}, {610, 13}, {611, 13}, {640, 13},
    };
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        if (table[i].g == g) return table[i].group;
    return -1;
}

bool kw_rs274_g_judged(int g) {
    static const int judged[] = {0,   10,  20,  30,  40,  170, 200, 210, 400, 490,
                                 540, 610, 611, 640, 800, 900, 910, 940, 980, 990};
    for (size_t i = 0; i < sizeof judged / sizeof *judged; i++)
        if (judged[i] == g) return true;
    return false;
}

int kw_rs274_m_group(int m) {
    switch (m) {
    case 0:
    case 1:
    case 2:
    case 30:
    case 60:
        return 4;
    case 6:
        return 6;
    case 3:
    case 4:
    case 5:
        return 7;
    case 7:
    case 8:
    case 9:
        return 8;
    case 48:
    case 49:
        return 9;
    default:
        return -1;
    }
}

static bool add_way(struct kw_rs274_torch *t, const char *words, size_t length) {
    struct kw_rs274_block b;
    if (t->ways == 4 || kw_rs274_split(words, length, &b)) return false;
    if (b.m_count == 0 || b.m_count > 4 || b.g_count > 0) return false;
    t->way[t->ways].count = b.m_count;
    t->way[t->ways].p = b.has['P'] ? b.value['P'] : NAN;
    t->uses_p = t->uses_p || b.has['P'];
    memcpy(t->way[t->ways].m, b.m, (size_t)b.m_count * sizeof *b.m);
    t->ways++;
    return true;
}

bool kw_rs274_torch_make(struct kw_rs274_torch *t, const char *words) {
    *t = (struct kw_rs274_torch){0};
    for (;;) {
        size_t n = strcspn(words, "|");
        if (!add_way(t, words, n)) return false;
        if (words[n] == 0) return true;
        words += n + 1;
    }
}

bool kw_rs274_torch_uses(const struct kw_rs274_torch *t, int m) {
    for (int i = 0; i < t->ways; i++)
        for (int j = 0; j < t->way[i].count; j++)
            if (t->way[i].m[j] == m) return true;
    return false;
}

bool kw_rs274_torch_match(const struct kw_rs274_torch *t, const struct kw_rs274_block *b) {
    for (int i = 0; i < t->ways; i++) {
        int found = 0;
        for (int j = 0; j < t->way[i].count; j++)
            for (int k = 0; k < b->m_count; k++)
                found += b->m[k] == t->way[i].m[j];
        bool p = isnan(t->way[i].p) || (b->has['P'] && b->value['P'] == t->way[i].p);
        if (found == t->way[i].count && p) return true;
    }
    return false;
}
