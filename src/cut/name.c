// SPDX-License-Identifier: Apache-2.0
// Names of programs as a controller can hold them.
#include "cut/cut.h"

#include <stdio.h>
#include <string.h>

// The letter as the controller knows it; 0: it falls away.
static char letter_of(enum kw_cut_letters letters, char c) {
    bool digit = c >= '0' && c <= '9', small = c >= 'a' && c <= 'z', large = c >= 'A' && c <= 'Z';
    if (digit) return c;
    if (letters == KW_CUT_DIGITS) return 0;
    if (letters == KW_CUT_CAPITALS) return small ? (char)(c - 'a' + 'A') : large ? c : (char)0;
    if (((unsigned char)c & 0xC0) == 0x80) return 0; // the rest of a UTF-8 letter
    return small || large || c == '-' || c == '_' ? c : '-';
}

static bool is_taken(const char *name, const char *const *taken, int count) {
    for (int i = 0; i < count; i++)
        if (strcmp(taken[i], name) == 0) return true;
    return false;
}

char *kw_cut_program_name(struct kw_arena *arena, const struct kw_cut_controller *controller,
                          const char *name, const char *const *taken, int taken_count) {
    char *s = KW_NEW_ARRAY(arena, char, strlen(name) + 12); // room for a number
    size_t n = 0, most = (size_t)(controller->longest_name > 0 ? controller->longest_name : 1000);
    for (const char *c = name; *c; c++) {
        char letter = letter_of(controller->name_letters, *c);
        if (letter) s[n++] = letter;
    }
    s[n] = 0;
    if (n > most) {
        memmove(s, s + n - most, most + 1);
        n = most;
    }
    size_t whole = n;
    for (int number = 2; n == 0 || is_taken(s, taken, taken_count); number++) {
        char digits[16];
        size_t more = (size_t)snprintf(digits, sizeof digits, "%d", number);
        size_t keep = whole + more <= most ? whole : most > more ? most - more : 0;
        n = keep + more;
        memcpy(s + keep, digits, more + 1);
    }
    return s;
}
