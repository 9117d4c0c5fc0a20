// SPDX-License-Identifier: Apache-2.0
// Inside the DXF reader: dxf.c splits the file into groups and goes through it twice, first for
// what blocks, layers and units there are (dxf_sections.c), then for the entities; dxf_values.c
// reads values of one entity, dxf_entity.c, dxf_polyline.c and dxf_curve.c turn it into pieces of
// the sketch, dxf_insert.c puts blocks in their place.
#pragma once

#include "kit/sketch.h"

/// One pair of lines: a number that says what the value is, and the value without blanks around.
struct kw_group {
    int code;
    int line; ///< of the value
    const char *value;
    int length;
};

/// A place in the file to read on from.
struct kw_dxf_mark {
    const char *next;
    int line;
};

struct kw_dxf_block {
    struct kw_group name;
    struct kw_dxf_mark from; ///< the first of its own groups
    int flags;
    bool own_read, ended; ///< while it is being noted
};
struct kw_dxf_layer { ///< one that is not seen
    struct kw_group name;
    bool frozen; ///< else only switched off
};

/// Where entities stand that are being read: in the model, or in a block that is put somewhere.
struct kw_dxf_frame {
    struct kw_affine2 map;        ///< to mm
    double z_scale, z;            ///< height in the drawing's unit: z_scale * own + z
    const struct kw_group *layer; ///< of what is drawn on layer 0 of a block
    const struct kw_dxf_block *block;
    const struct kw_dxf_frame *around; ///< NULL: the model
    int depth;
};

struct kw_dxf {
    struct kw_sketch sketch;
    const char *end;
    struct kw_dxf_mark at;
    int insunits, measurement; ///< -1: the header doesn't say
    struct kw_dxf_mark *entities;
    int section_count; ///< of entities; real files have one
    struct kw_dxf_block *blocks;
    int block_count; ///< sorted by name once all are known
    struct kw_dxf_layer *hidden;
    int hidden_count;
    const struct kw_dxf_frame *frame;
    long read;               ///< entities, those of blocks each time
    struct kw_group *groups; ///< of one entity, without its first
    int group_count, group_room;
    struct kw_path polyline; ///< between POLYLINE and SEQEND
    bool in_polyline, polyline_flip;
    enum kw_role polyline_role;
    int polyline_flags, polyline_line;
    double height; ///< z of everything, once known
    bool height_known;
};

// ---- dxf_sections.c
enum kw_status kw_dxf_sections(struct kw_dxf *d);
/// The block of that name, NULL when there is none.
const struct kw_dxf_block *kw_dxf_find_block(const struct kw_dxf *d, const struct kw_group *name);

// ---- dxf.c
/// The next group from d->at that is no comment.
enum kw_status kw_dxf_next(struct kw_dxf *d, struct kw_group *g);
bool kw_dxf_code(const char *s, int length, int *code); ///< a whole number up to four digits
enum kw_status kw_dxf_cut_off(struct kw_dxf *d, const char *what);
bool kw_dxf_is(const struct kw_group *g, int code, const char *value);
/// The groups from d->at up to the next entity into d->groups; that one's first group into *next.
enum kw_status kw_dxf_groups(struct kw_dxf *d, struct kw_group *next);
/// Reads entities in `frame`, of which `type` is the first, until ENDSEC or ENDBLK.
enum kw_status kw_dxf_walk(struct kw_dxf *d, struct kw_group type, const char *until);
const char *kw_dxf_shown(struct kw_dxf *d, const struct kw_group *g);

// ---- dxf_values.c, all of the entity in d->groups
const struct kw_group *kw_dxf_find(const struct kw_dxf *d, int code);
enum kw_status kw_dxf_read_number(struct kw_dxf *d, const struct kw_group *g, double *out);
/// The value of a group that must be there, or that defaults to 0.
enum kw_status kw_dxf_number(struct kw_dxf *d, const struct kw_group *type, int code, bool required,
                             double *out);
enum kw_status kw_dxf_whole(struct kw_dxf *d, int code, int *out);
/// Layer that counts: that of the insert for what is drawn on layer 0 of a block. NULL: layer 0.
const struct kw_group *kw_dxf_layer_of(const struct kw_dxf *d);
/// Role; what is not in the model or not visible is ROLE_IGNORE.
enum kw_status kw_dxf_role(struct kw_dxf *d, bool is_insert, enum kw_role *role);
enum kw_status kw_dxf_fail_role(struct kw_dxf *d, const struct kw_group *type);
enum kw_status kw_dxf_fail_3d(struct kw_dxf *d, int line, const char *why);
/// One height for all: some programs draw on a plane that isn't z = 0.
enum kw_status kw_dxf_keep_height(struct kw_dxf *d, double z, int line);
/// Whether the entity is seen from below.
enum kw_status kw_dxf_flip(struct kw_dxf *d, const struct kw_group *type, bool *flip);
/// From the frame that the entity is given in to mm.
struct kw_affine2 kw_dxf_map(const struct kw_dxf *d, bool flip);

// ---- entities
/// Turns one entity of the given type, whose groups are in d->groups, into pieces.
enum kw_status kw_dxf_entity(struct kw_dxf *d, const struct kw_group *type);
enum kw_status kw_dxf_lwpolyline(struct kw_dxf *d, const struct kw_group *type, enum kw_role role);
enum kw_status kw_dxf_polyline(struct kw_dxf *d, const struct kw_group *type, enum kw_role role);
enum kw_status kw_dxf_vertex(struct kw_dxf *d, const struct kw_group *type);
/// A polyline that the file left open with VERTEX but no SEQEND is complete now.
enum kw_status kw_dxf_polyline_end(struct kw_dxf *d);
enum kw_status kw_dxf_ellipse(struct kw_dxf *d, const struct kw_group *type, enum kw_role role);
enum kw_status kw_dxf_spline(struct kw_dxf *d, const struct kw_group *type, enum kw_role role);
enum kw_status kw_dxf_insert(struct kw_dxf *d, const struct kw_group *type, enum kw_role role);
