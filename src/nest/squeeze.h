// SPDX-License-Identifier: Apache-2.0
// Private to nest: one sheet's pieces into the shortest length of it.
#pragma once

#include "nest/fill.h"

/// How far a search has come, asked between its rounds.
struct budget {
    void *user;
    double (*done)(void *user, long work);     ///< 0..1, 1 or more: enough; takes note of the work
    void (*better)(void *user, double length); ///< a shorter one was found
    long work;                                 ///< in all, to set the length of rounds; 0: no limit
};

/// Shortens what is on `bin` (a legal layout). Several searches run side by side and tell each
/// other the best they have after each round.
void squeeze_bin(struct world *w, struct bin *bin, const struct budget *budget, int threads);
