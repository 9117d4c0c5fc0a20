// SPDX-License-Identifier: Apache-2.0
// Private to nest: what is still free of a sheet, as simple polygons, and how exactly another
// polygon lies in one of them. Everything is compared within FIT_MM, and what is cut out is joined
// to the corners that are there, so that errors do not add up from part to part.
#pragma once

#include "base/base.h"
#include "geom/geom.h"

#define FIT_MM 4e-6 // corners and edges this near to each other are one

/// A simple polygon, counter-clockwise, no three corners in line. The points are borrowed.
struct gap {
    const struct kw_vec2 *v;
    int count;
    double area;
    struct kw_box2 box;
};

/// A polygon to be laid, counter-clockwise.
struct tile {
    const struct kw_vec2 *v;
    int count;
    double area, around; ///< around: its length all round
    double slanted;      ///< share of that, of edges square to no side of a sheet
    struct kw_box2 box;
};

/// How a shape lies in a gap.
struct snug {
    double flush; ///< length of its edges that lie on those of the gap
    int corners;  ///< of its corners that lie in those of the gap
};

/// Room for the cutting out, used again and again.
struct carving {
    struct kw_arena *a;
    int room;              ///< of edges
    struct kw_vec2 *nodes; ///< corners of the gap, then those of the shape that lie elsewhere
    int *of;               ///< node of each corner of the shape
    int (*edges)[2];       ///< from node to node; from -1: gone
    double *at;
    int *order;
};

double tile_area(const struct kw_vec2 *v, int count);
double tile_around(const struct kw_vec2 *v, int count); ///< length all round
struct kw_box2 tile_box(const struct kw_vec2 *v, int count);
/// Takes out corners within so much of the line between their neighbours; the new count.
int tile_straighten(struct kw_vec2 *v, int n, double within);

/// Whether the shape, moved by `at`, lies within the gap. Adds elementary tests to *work.
bool gap_holds(const struct gap *g, const struct tile *s, struct kw_vec2 at, struct snug *snug,
               long *work);

/// How many points and gaps at most gap_minus makes.
int gap_minus_room(const struct gap *g, const struct tile *s);

/// What is left of the gap without the shape that lies in it: the points go to `points`, the gaps
/// to `out` (their count is returned, 0 when the gap is filled). -1 when what is left can't be told
/// within the tolerance.
int gap_minus(struct carving *c, const struct gap *g, const struct tile *s, struct kw_vec2 at,
              struct kw_vec2 *points, struct gap *out, long *work);
