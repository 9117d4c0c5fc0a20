// SPDX-License-Identifier: Apache-2.0
// Private to verify: a line of a program as words, and what the words are (NISTIR 6556, tables of
// G and M codes and their modal groups).
#pragma once

#include "base/base.h"

#define KW_RS274_MOST_WORDS 130 ///< a line of 256 characters can't hold more

struct kw_rs274_block { // the words of one line
    bool has[128];      ///< by letter, but for G and M
    double value[128];
    int g[KW_RS274_MOST_WORDS]; ///< tenths: G59.1 is 591
    int g_count;
    int m[KW_RS274_MOST_WORDS];
    int m_count;
};

/// Takes a line apart. NULL, or why it is invalid.
const char *kw_rs274_split(const char *line, size_t length, struct kw_rs274_block *b);

/// Modal group of a G word given in tenths: 0 non-modal, 1 motion, ...; -1 unknown.
int kw_rs274_g_group(int g);
/// Whether this reader follows it.
bool kw_rs274_g_judged(int tenths);
int kw_rs274_m_group(int m); ///< -1 unknown

struct kw_rs274_torch { // words that switch the torch: alternatives, each of M words and a P word
    struct {
        int m[4];
        int count;
        double p; ///< NAN: none
    } way[4];
    int ways;
    bool uses_p;
};
bool kw_rs274_torch_make(struct kw_rs274_torch *t, const char *words);
bool kw_rs274_torch_uses(const struct kw_rs274_torch *t, int m);
bool kw_rs274_torch_match(const struct kw_rs274_torch *t, const struct kw_rs274_block *b);
