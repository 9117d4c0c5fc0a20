// SPDX-License-Identifier: Apache-2.0
// Private to nest: the corners of all poses, sorted by the directions of their edges, to look up
// what could lie flush in a corner.
#pragma once

#include "nest/fill.h"
#include "nest/gap.h"

/// Either edge at a corner, as one goes counter-clockwise.
enum edge_side { EDGE_INTO, EDGE_OUT_OF };

/// A corner of a pose.
struct facet {
    int pose, corner;
    double inner; ///< angle of the metal, 0..2 pi
    struct facet_edge {
        double direction; ///< -pi..pi
        double length;
    } edge[2]; ///< by enum edge_side
};

/// All poses of a group of kinds. Read only once made: several searches share it.
struct facets {
    struct tile *tiles; ///< by pose; without points where a pose can't be used: arcs
    int *twin;          ///< by pose: the first pose of the same shape
    struct facet *v;
    int count;
    int *sorted[2]; ///< facets by direction of edge
};

/// Corners of the poses of all parts of a group, grown by half the spacing so that they may touch.
/// NULL when there are more than `most`.
struct facets *facets_of_group(struct world *w, int group, int most);

/// The facets whose edge on `side` runs in `direction`, within `slack` radians: `first` to the last
/// but one of sorted[side]; where they go round past pi, a second range.
struct facet_range {
    int first, last;
};
int facets_along(const struct facets *f, enum edge_side side, double direction, double slack,
                 struct facet_range out[2]);
