// SPDX-License-Identifier: Apache-2.0
// Inside the drawing reader: what its three steps hand on. dxf.c splits the file into entities,
// dxf_entity.c turns each into loose pieces, dxf_loops.c makes an outline with holes of them.
#pragma once

#include "kit/kit.h"

enum kw_role { ROLE_CUT, ROLE_BEND_UP, ROLE_BEND_DOWN, ROLE_MARK, ROLE_IGNORE, ROLE_UNKNOWN };

/// One pair of lines: a number that says what the value is, and the value without blanks around.
struct kw_group {
    int code;
    int line; ///< of the value
    const char *value;
    int length;
};

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

/// The drawing while it is read. Coordinates are in the drawing's unit until kw_dxf_finish; the tag
/// of a segment is the line of its entity in the file.
struct kw_dxf {
    struct kw_arena *scratch;
    const struct kw_shop *shop;
    const char *file;
    const char *next, *end;    ///< what is still to read
    int line;                  ///< lines read
    int insunits, measurement; ///< -1: the header doesn't say
    struct kw_group *groups;   ///< of one entity, without its first
    int group_count, group_room;
    struct kw_paths open, closed, marks; ///< on cut layers; on mark layers
    struct kw_bend_line *bends;
    int bend_count;
    struct kw_path polyline; ///< between POLYLINE and SEQEND
    bool in_polyline, polyline_flip;
    int polyline_role, polyline_flags, polyline_line;
    double height; ///< z of everything, once known
    bool height_known;
    int ignored, dropped;
    struct kw_error *err;
};

static inline struct kw_place kw_dxf_place(const struct kw_dxf *d, int line) {
    return (struct kw_place){.file = d->file, .line = line};
}
/// Turns one entity of the given type, whose groups are in d->groups, into pieces.
enum kw_status kw_dxf_entity(struct kw_dxf *d, const struct kw_group *type);
/// A polyline that the file left open with VERTEX but no SEQEND is complete now.
enum kw_status kw_dxf_polyline_end(struct kw_dxf *d);
/// A value as it can be shown in a message: at most 40 bytes, other than plain ones as "?".
const char *kw_dxf_shown(struct kw_arena *a, const char *value, int length);
/// Chains, nests and checks; fills `out` in arena `a`. `scale` is mm a drawing unit.
enum kw_status kw_dxf_finish(struct kw_arena *a, struct kw_dxf *d, double scale,
                             const char *unit_name, struct kw_drawing *out);
