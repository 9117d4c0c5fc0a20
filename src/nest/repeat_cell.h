// SPDX-License-Identifier: Apache-2.0
// Private to nest: how dense a pattern of given pieces, lying in a given way, can be.
#pragma once

#include "nest/repeat.h"

/// What a search for patterns works with: the pairs of its pieces, as fixed and as moving.
struct cell {
    struct world *w;
    struct kw_arena *a;
    struct pattern p;
    struct contact contact[2][2];
    struct kw_box2 box[2]; ///< around each, from its corner
    double area;
};

/// One pose or two; contacts are kept in c->a, which the caller has set with c->w.
void cell_make(struct cell *c, const int *poses, int count, bool swapped, double slant);
/// The pattern whose second piece stands above the first, `across` to the right. False: none.
bool cell_complete(struct cell *c, double across);
