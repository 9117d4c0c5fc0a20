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
    double first, last;             ///< of column 0, and no column further right
    struct kw_vec2 size[2];         ///< as they lie: not sheared
};

/// From a place in the pattern to the same on the sheet, before u and v are exchanged.
struct kw_vec2 leant(const struct laid *l, struct kw_vec2 at);

/// Piece i of a pattern at such a place on the sheet.
struct spot spot_in(const struct laid *l, int i, struct kw_vec2 at);

/// Phases at which some piece of some column touches an edge. How many.
int edge_phases(const struct laid *l, double phases[EDGE_PHASES]);

/// What of the pattern lies free of the sheet's obstacles, added to an empty bin: the phase, the
/// first column and the ways around obstacles that bring most onto it.
void lay_around(struct world *w, struct bin *all, const struct laid *l);
