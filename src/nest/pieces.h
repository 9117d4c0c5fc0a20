// SPDX-License-Identifier: Apache-2.0
// Private to nest: an outline as convex pieces.
#pragma once

#include "base/base.h"
#include "geom/geom.h"

/// Convex polygon, counter-clockwise, three or more points.
struct convex {
    struct kw_vec2 *v;
    int count;
};

struct pieces {
    struct convex *v;
    int count;
    int holes; ///< how many holes are open between them
};

/// Polygons as index lists into shared points: what the splitting works on.
struct rings {
    const struct kw_vec2 *at;
    int *v;     ///< the outer ring first, counter-clockwise; holes clockwise after it
    int *start; ///< ring k is v[start[k]] .. v[start[k + 1] - 1]
    int count;
};

/// Triangles (three indices each) that fill the rings. False when the rings are not simple enough:
/// the caller falls back on the hull.
bool rings_to_triangles(struct kw_arena *a, const struct rings *r, int **triangles, int *count);

/// Convex pieces that together cover the metal of `region`, and little more: arcs as chords outside
/// the metal within `tolerance`, pockets whose mouth is narrower than `gap` and holes with a side
/// below `gap` filled (nothing can be placed in them).
struct pieces pieces_of_region(struct kw_arena *a, const struct kw_region *region, double tolerance,
                               double gap);
