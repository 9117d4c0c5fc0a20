// SPDX-License-Identifier: Apache-2.0
// A drawing while it is read, whatever its format: dxf*.c and svg*.c turn their file into loose
// pieces with roles (sketch.c), sketch_loops.c makes an outline with holes of them.
#pragma once

#include "kit/kit.h"

/// Ellipses and splines become arcs that are nowhere farther from them.
#define KW_CURVE_MM 0.02

enum kw_role { ROLE_CUT, ROLE_BEND_UP, ROLE_BEND_DOWN, ROLE_MARK, ROLE_IGNORE, ROLE_UNKNOWN };

/// A bend line as drawn.
struct kw_bend_line {
    struct kw_vec2 a, b;
    int way;
    int line; ///< in the file
};

struct kw_paths {
    struct kw_path *v;
    int count;
};

/// Coordinates are mm; the tag of a segment is the line of its entity in the file.
struct kw_sketch {
    struct kw_arena *scratch;
    const struct kw_layers *layers; ///< what each layer is for
    const char *file;
    struct kw_affine2 from_mm;           ///< to the drawing's own frame: messages speak in that
    double scale;                        ///< mm a unit of the drawing
    const char *unit;                    ///< its name
    struct kw_paths open, closed, marks; ///< on cut layers; on mark layers
    struct kw_bend_line *bends;
    int bend_count;
    long vertices; ///< so far, of all pieces
    int ignored, dropped;
    struct kw_error *err;
};

static inline struct kw_place kw_sketch_place(const struct kw_sketch *d, int line) {
    return (struct kw_place){.file = d->file, .line = line};
}
/// A value as it can be shown in a message: at most 40 bytes, other than plain ones as "?".
const char *kw_sketch_shown(struct kw_arena *a, const char *value, int length);

/// The role that a layer has, upper and lower case alike; ROLE_UNKNOWN for none.
enum kw_role kw_sketch_role(const struct kw_sketch *d, const char *layer, int length);
/// Whether any layer has a role other than being passed over.
bool kw_sketch_has_roles(const struct kw_sketch *d);
/// ", did you mean "CUT", expected one of CUT, OUTLINE": what a message on a layer ends with.
const char *kw_sketch_roles_text(struct kw_sketch *d, const char *layer);

/// Adds a path in the drawing's frame, which `m` maps to mm. Refused: a point beyond 50 m, an arc
/// on a bend layer, too much of anything.
enum kw_status kw_sketch_add(struct kw_sketch *d, enum kw_role role, const struct kw_path *p,
                             struct kw_affine2 m, int line);
/// Whether a point of the drawing is within 50 m of the origin: to be asked of a curve's own points
/// before it is followed.
enum kw_status kw_sketch_check_point(struct kw_sketch *d, struct kw_vec2 mm, int line);
/// Adds a path in mm: one that is made already, of curves.
enum kw_status kw_sketch_add_made(struct kw_sketch *d, enum kw_role role, struct kw_path p,
                                  int line);

/// Chains, nests and checks; fills `out` in arena `a`.
enum kw_status kw_sketch_finish(struct kw_arena *a, struct kw_sketch *d, struct kw_drawing *out);
