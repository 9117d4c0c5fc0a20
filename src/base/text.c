// SPDX-License-Identifier: Apache-2.0
// Text that grows, words that are nearly right, hashes and repeatable random numbers.
#include "base/base.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void make_room(struct kw_text *t, size_t more) {
    if (t->room - t->length > more) return;
    size_t room = (t->room ? t->room : 256) * 2;
    while (room - t->length <= more)
        room *= 2;
    char *s = realloc(t->s, room);
    if (!s) {
        fputs("kitwright: out of memory\n", stderr);
        _Exit(70);
    }
    t->s = s;
    t->room = room;
}

void kw_text_addn(struct kw_text *t, const char *s, size_t n) {
    make_room(t, n + 1);
    if (n > 0) memcpy(t->s + t->length, s, n);
    t->length += n;
    t->s[t->length] = 0;
}

void kw_text_add(struct kw_text *t, const char *s) {
    kw_text_addn(t, s, strlen(s));
}

void kw_text_addf(struct kw_text *t, const char *fmt, ...) {
    va_list args, again;
    va_start(args, fmt);
    va_copy(again, args);
    int n = vsnprintf(NULL, 0, fmt, args);
    va_end(args);
    kw_assert(n >= 0);
    make_room(t, (size_t)n + 1);
    vsnprintf(t->s + t->length, (size_t)n + 1, fmt, again);
    va_end(again);
    t->length += (size_t)n;
}

void kw_text_free(struct kw_text *t) {
    free(t->s);
    *t = (struct kw_text){0};
}

enum { LONGEST_WORD = 63 };

// Edit distance with neighbour swaps counted as one (Damerau's, the restricted kind).
static int word_distance(const char *a, const char *b) {
    int n = (int)strlen(a), m = (int)strlen(b);
    if (n > LONGEST_WORD || m > LONGEST_WORD) return LONGEST_WORD;
    int d[LONGEST_WORD + 1][LONGEST_WORD + 1];
    for (int i = 0; i <= n; i++)
        d[i][0] = i;
    for (int j = 0; j <= m; j++)
        d[0][j] = j;
    for (int i = 1; i <= n; i++) {
        for (int j = 1; j <= m; j++) {
            int best = d[i - 1][j - 1] + (a[i - 1] != b[j - 1]);
            if (d[i - 1][j] + 1 < best) best = d[i - 1][j] + 1;
            if (d[i][j - 1] + 1 < best) best = d[i][j - 1] + 1;
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] &&
                d[i - 2][j - 2] + 1 < best) {
                best = d[i - 2][j - 2] + 1;
            }
            d[i][j] = best;
        }
    }
    return d[n][m];
}

const char *kw_nearest_word(const char *word, const char *const *words) {
    const char *best = NULL;
    int most = (int)strlen(word) / 3 + 1, nearest = most + 1;
    for (; *words; words++) {
        int d = word_distance(word, *words);
        if (d < nearest) {
            nearest = d;
            best = *words;
        }
    }
    return best;
}

// Length of the UTF-8 sequence that starts at s (n bytes left), 0 when it is not one. Overlong
// forms, surrogates and code points above 10FFFF are refused (RFC 3629).
static size_t utf8_step(const unsigned char *s, size_t n) {
    unsigned char c = s[0];
    if (c < 0x80) return 1;
    size_t length = c >= 0xC2 && c <= 0xDF   ? 2
                    : (c & 0xF0) == 0xE0     ? 3
                    : c >= 0xF0 && c <= 0xF4 ? 4
                                             : 0;
    if (length == 0 || length > n) return 0;
    for (size_t i = 1; i < length; i++) {
        if ((s[i] & 0xC0) != 0x80) return 0;
    }
    if (c == 0xE0 && s[1] < 0xA0) return 0;
    if (c == 0xED && s[1] > 0x9F) return 0;
    if (c == 0xF0 && s[1] < 0x90) return 0;
    if (c == 0xF4 && s[1] > 0x8F) return 0;
    return length;
}

bool kw_is_utf8(const char *s, size_t length, size_t *bad) {
    for (size_t i = 0; i < length;) {
        size_t step = utf8_step((const unsigned char *)s + i, length - i);
        if (step == 0) {
            if (bad) *bad = i;
            return false;
        }
        i += step;
    }
    return true;
}

uint64_t kw_hash(uint64_t h, const void *bytes, size_t length) {
    const unsigned char *p = bytes;
    for (size_t i = 0; i < length; i++)
        h = (h ^ p[i]) * 1099511628211ULL;
    return h;
}

uint64_t kw_random(uint64_t *state) {
    uint64_t z = (*state += 0x9E3779B97F4A7C15ULL);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

double kw_random_unit(uint64_t *state) {
    return (double)(kw_random(state) >> 11) * 0x1p-53;
}
