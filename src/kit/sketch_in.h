// SPDX-License-Identifier: Apache-2.0
// Inside the making of outlines: sketch_join.c chains pieces to loops, sketch_double.c drops what
// is drawn twice, sketch_nest.c tells whether loops are apart and one within the other,
// sketch_lines.c takes bend lines and marks, sketch_loops.c calls them in this order.
#pragma once

#include "kit/sketch.h"

/// A bend line or mark may end this far from the outline: a drawing's rounding.
#define KW_SKETCH_END_MM 0.1
/// Steps of a closed polyline shorter than this are slips of the pen.
#define KW_SLIP_MM (KW_JOIN_MM / 10)
/// Outlines and holes of a drawing, and marks.
enum { KW_MOST_LOOPS = 20000 };

struct kw_loop {
    struct kw_path path;
    int first; ///< index of its first segment among all
    struct kw_box2 box;
    double area; ///< without sign
    int line;    ///< of the first of its entities
};

struct kw_loops {
    struct kw_arena *a; ///< of what the drawing keeps
    struct kw_sketch *d;
    struct kw_loop *loops;
    int count, outer;
};

/// A point in the drawing's own frame and unit, as the drawing program shows it.
const char *kw_loops_point(const struct kw_loops *f, struct kw_vec2 mm);
/// For qsort: in the order of the file.
int kw_loop_by_line(const void *a, const void *b);
enum kw_status kw_loops_join(struct kw_loops *f, struct kw_drawing *out);
enum kw_status kw_loops_drop_doubles(struct kw_loops *f);
enum kw_status kw_loops_check(struct kw_loops *f);
enum kw_status kw_loops_bends(struct kw_loops *f, struct kw_vec2 origin, struct kw_drawing *out);
enum kw_status kw_loops_marks(struct kw_loops *f, struct kw_vec2 origin, struct kw_drawing *out);
/// A path of the drawing as it is kept: moved, without the lines of the file.
struct kw_path kw_loops_kept(struct kw_arena *a, const struct kw_path *p, struct kw_vec2 origin);
