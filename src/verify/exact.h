// SPDX-License-Identifier: Apache-2.0
// Private to verify: outlines as integer polygons and exact tests on them. A unit is 1e-4 mm.
// Coordinates stay below 2^30 units (107 m), so that products fit in 64 bits and their squares in
// 128.
#pragma once

#include "base/base.h"
#include "verify/run_file.h"

#define UNITS_PER_MM     10000.0
#define ARC_TOLERANCE_MM 0.001

struct point {
    int64_t x, y;
};

struct box {
    struct point min, max;
};

/// A closed polygon. Boxes of runs of RUN edges make near edges quick to find.
#define RUN 24
struct ring {
    struct point *v;
    int count;
    struct box box;
    struct box *runs;
    int run_count;
};

/// An outline with holes; a point is inside by the even-odd rule over all rings.
struct body {
    struct ring *rings;
    int ring_count;
    struct box box;
};

/// The placement rule of run.json: mirror x first, turn counter-clockwise (degrees), then move.
struct placing {
    double cosine, sine, x, y;
    bool mirrored;
};
struct placing placing_make(double x, double y, double degrees, bool mirrored);

/// Where the chords of arcs lie, as seen from the metal that the outline bounds: all inside it, or
/// all around it. Never further from the arc than ARC_TOLERANCE_MM.
enum chord_rule { CHORDS_IN_METAL, CHORDS_AROUND_METAL };

struct ring ring_make(struct kw_arena *a, const struct kw_run_outline *o, struct placing p,
                      bool is_hole, enum chord_rule rule);
struct body body_make(struct kw_arena *a, const struct kw_run_outline *outer,
                      const struct kw_run_outline *holes, int hole_count, struct placing p,
                      enum chord_rule rule);

/// Whether two segments come strictly nearer to each other than `limit` units (0: cross or touch
/// never counts; limit > 0: crossing counts). Exact.
bool segments_nearer(struct point a, struct point b, struct point c, struct point d, int64_t limit);
bool segments_meet(struct point a, struct point b, struct point c, struct point d);
/// Strictly inside, on the border, or outside: 1, 0, -1. Exact.
int body_holds(const struct body *b, struct point p);

/// Two bodies' borders where they are nearest (or cross: distance 0), looked for below `limit`
/// units only. False when nowhere nearer than that.
struct nearest {
    double distance; ///< units
    struct point at;
};
bool bodies_nearer(const struct body *a, const struct body *b, int64_t limit, struct nearest *out);

/// How far points of a's border lie inside b (or, with `outside`, outside of b): the greatest
/// distance in units to b's border over a's corners and the middles of the stretches of its edges
/// between b's edges. 0 when none does.
double intrusion(struct kw_arena *scratch, const struct body *a, const struct body *b, bool outside,
                 struct point *at);
