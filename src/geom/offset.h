// SPDX-License-Identifier: Apache-2.0
// Private to geom: the two halves of kw_path_offset.
//
// path_offset.c shifts every segment, adds arcs about the outward corners, cuts all of these curves
// where any two meet and keeps the pieces that are far enough from the source. offset_loops.c puts
// the pieces together again. Both work on a graph: the ends of pieces are nodes, so that rounding
// decides nothing but which node an end belongs to.
#pragma once

#include "geom/segment.h"

/// Ends nearer than this are one node. Well above the rounding of a crossing (1e-10 mm at 50 m),
/// well below the 1e-7 mm that the offset promises.
#define KW_NODE_MM 2e-8

struct kw_offset_curve {
    struct kw_segment s;
    struct kw_box2 box;
    int tag;
};

/// The part of a curve between two neighbouring cuts.
struct kw_offset_piece {
    int curve;
    double t0, t1;
    struct kw_vec2 from, to;
};

struct kw_offset_work {
    struct kw_offset_curve *curves;
    int curve_count;
    struct kw_offset_piece *pieces; ///< those that are kept, by curve and t0
    int piece_count;
    bool region_left; ///< the side of the pieces that is farther from the source
    bool strayed;     ///< set when leaving out a short segment moved a curve sideways
};

/// Closed loops from the pieces; loops thinner than KW_SAME_POINT_MM are left out.
struct kw_path *kw_offset_loops(struct kw_arena *a, struct kw_offset_work *w, int *count);
