// SPDX-License-Identifier: Apache-2.0
// Private to nest: a pattern over a sheet.
#pragma once

#include "nest/repeat.h"

#define PHASED      4 // columns that a phase may be set by
#define EDGE_PHASES (PHASED * 2 * 2)

/// A pattern over a sheet, both in the pattern's frame.
struct laid {
    const struct world *w;
    const struct pattern *p;
    int kind;
    double length, breadth, margin; ///< across and along the columns
    double first;                   ///< of column 0
    struct kw_vec2 size[2];
};

/// Piece i of a pattern at a place in the pattern's frame.
struct spot spot_in(const struct laid *l, int i, struct kw_vec2 at);

/// Phases at which some piece of some column touches an edge. How many.
int edge_phases(const struct laid *l, double phases[EDGE_PHASES]);

/// What of the pattern lies free of the sheet's obstacles, added to an empty bin: the phase, the
/// first column and the ways around obstacles that bring most onto it.
void lay_around(struct world *w, struct bin *all, const struct laid *l);
