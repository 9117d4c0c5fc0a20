// SPDX-License-Identifier: Apache-2.0
// Blocks where they are inserted: moved, turned, scaled, mirrored, in rows and columns, one in the
// other.
#include "kit/dxf_in.h"

enum { DEEPEST = 32, MOST_COPIES = 10000 };

struct insert {
    struct kw_vec2 at, scale, step; // step: distance of columns and rows
    double z, z_scale, turn;
    int columns, rows;
    bool flip;
};

static enum kw_status scale_of(struct kw_dxf *d, const struct kw_group *type, int code,
                               double *out) {
    *out = 1;
    const struct kw_group *g = kw_dxf_find(d, code);
    enum kw_status s = g ? kw_dxf_read_number(d, g, out) : KW_OK;
    if (s != KW_OK || (fabs(*out) > 1e-9 && fabs(*out) < 1e9)) return s;
    return kw_fail(d->sketch.err, KW_RANGE, kw_sketch_place(&d->sketch, type->line),
                   "a block with a scale of %g, expected one other than 0", *out);
}

static enum kw_status count_of(struct kw_dxf *d, int code, int *out) {
    enum kw_status s = kw_dxf_whole(d, code, out);
    if (*out < 1) *out = 1;
    return s;
}

static enum kw_status read_insert(struct kw_dxf *d, const struct kw_group *type,
                                  struct insert *in) {
    enum kw_status s = kw_dxf_number(d, type, 10, true, &in->at.x);
    if (s == KW_OK) s = kw_dxf_number(d, type, 20, true, &in->at.y);
    if (s == KW_OK) s = kw_dxf_number(d, type, 30, false, &in->z);
    if (s == KW_OK) s = scale_of(d, type, 41, &in->scale.x);
    if (s == KW_OK) s = scale_of(d, type, 42, &in->scale.y);
    if (s == KW_OK) s = scale_of(d, type, 43, &in->z_scale);
    if (s == KW_OK) s = kw_dxf_number(d, type, 44, false, &in->step.x);
    if (s == KW_OK) s = kw_dxf_number(d, type, 45, false, &in->step.y);
    if (s == KW_OK) s = kw_dxf_number(d, type, 50, false, &in->turn);
    if (s == KW_OK) s = count_of(d, 70, &in->columns);
    if (s == KW_OK) s = count_of(d, 71, &in->rows);
    if (s == KW_OK) s = kw_dxf_flip(d, type, &in->flip);
    if (s != KW_OK || (long)in->columns * in->rows <= MOST_COPIES) return s;
    return kw_fail(d->sketch.err, KW_LIMIT, kw_sketch_place(&d->sketch, type->line),
                   "%d columns and %d rows of a block, expected at most %d copies", in->columns,
                   in->rows, MOST_COPIES);
}

static enum kw_status find_block(struct kw_dxf *d, const struct kw_group *type,
                                 const struct kw_dxf_block **block) {
    const struct kw_group *name = kw_dxf_find(d, 2);
    struct kw_place at = kw_sketch_place(&d->sketch, name ? name->line : type->line);
    if (!name) return kw_fail(d->sketch.err, KW_MISSING, at, "INSERT without group code 2");
    *block = kw_dxf_find_block(d, name);
    if (!*block) {
        return kw_fail(d->sketch.err, KW_UNKNOWN, at, "no block \"%s\" in the drawing",
                       kw_dxf_shown(d, name));
    }
    if ((*block)->flags & (4 | 8 | 16)) {
        return kw_fail(d->sketch.err, KW_UNKNOWN, at,
                       "block \"%s\" is kept in another drawing: bind it in the drawing program "
                       "and save again",
                       kw_dxf_shown(d, name));
    }
    for (const struct kw_dxf_frame *f = d->frame; f; f = f->around) {
        if (f->block != *block) continue;
        return kw_fail(d->sketch.err, KW_GEOMETRY, at, "block \"%s\" holds itself",
                       kw_dxf_shown(d, name));
    }
    if (d->frame->depth < DEEPEST) return KW_OK;
    return kw_fail(d->sketch.err, KW_LIMIT, at, "blocks within blocks, more than %d deep", DEEPEST);
}

// Exact for quarter turns.
static struct kw_affine2 turned(double degrees) {
    struct kw_move2 m = kw_move2_make(0, 0, fmod(degrees, 360) * KW_PI / 180, false);
    return (struct kw_affine2){m.c, -m.s, m.s, m.c, 0, 0};
}

// base to the origin, scaled, moved to its column and row, turned, moved into place, and seen from
// below where the insert is.
static struct kw_affine2 map_of(const struct kw_dxf *d, const struct insert *in,
                                struct kw_vec2 base, int column, int row) {
    struct kw_affine2 m = {.xx = in->scale.x, .yy = in->scale.y};
    m.x = column * in->step.x - in->scale.x * base.x;
    m.y = row * in->step.y - in->scale.y * base.y;
    m = kw_affine2_then(m, turned(in->turn));
    m.x += in->at.x;
    m.y += in->at.y;
    return kw_affine2_then(m, kw_dxf_map(d, in->flip));
}

// The block's own groups, then its entities in the new frame.
static enum kw_status read_block(struct kw_dxf *d, const struct kw_dxf_block *block,
                                 const struct insert *in, struct kw_dxf_frame *frame, int column,
                                 int row) {
    struct kw_group type;
    struct kw_vec2 base;
    double z;
    d->at = block->from;
    enum kw_status s = kw_dxf_groups(d, &type);
    if (s == KW_OK) s = kw_dxf_number(d, &type, 10, false, &base.x);
    if (s == KW_OK) s = kw_dxf_number(d, &type, 20, false, &base.y);
    if (s == KW_OK) s = kw_dxf_number(d, &type, 30, false, &z);
    if (s != KW_OK) return s;
    const struct kw_dxf_frame *around = d->frame;
    double sign = in->flip ? -1 : 1;
    frame->map = map_of(d, in, base, column, row);
    frame->z_scale = around->z_scale * sign * in->z_scale;
    frame->z = around->z_scale * sign * (in->z - in->z_scale * z) + around->z;
    d->frame = frame;
    d->read++;
    s = kw_dxf_walk(d, type, "ENDBLK");
    d->frame = around;
    return s;
}

enum kw_status kw_dxf_insert(struct kw_dxf *d, const struct kw_group *type, enum kw_role role) {
    (void)role; // what the block holds has roles of its own
    struct insert in;
    const struct kw_dxf_block *block = NULL;
    enum kw_status s = find_block(d, type, &block);
    if (s == KW_OK) s = read_insert(d, type, &in);
    if (s != KW_OK) return s;
    const struct kw_group *layer = kw_dxf_layer_of(d);
    struct kw_group kept = layer ? *layer : (struct kw_group){0};
    struct kw_dxf_frame frame = {.layer = layer ? &kept : NULL,
                                 .block = block,
                                 .around = d->frame,
                                 .depth = d->frame->depth + 1};
    struct kw_dxf_mark back = d->at;
    for (int row = 0; row < in.rows && s == KW_OK; row++) {
        for (int column = 0; column < in.columns && s == KW_OK; column++)
            s = read_block(d, block, &in, &frame, column, row);
    }
    d->at = back;
    return s;
}
