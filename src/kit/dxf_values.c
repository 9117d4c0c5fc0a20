// SPDX-License-Identifier: Apache-2.0
// Values of one entity of a DXF drawing: numbers, layer and role, height, the side it is seen from.
//
// Arcs, circles and flat polylines are given in a frame of their own that the extrusion direction
// turns; a flat drawing knows two, seen from above (0,0,1) and from below (0,0,-1). From below, x
// runs the other way (the format's arbitrary axis rule), so that circles of a mirrored copy land
// where they were drawn.
#include "kit/dxf_in.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

const struct kw_group *kw_dxf_find(const struct kw_dxf *d, int code) {
    for (int i = 0; i < d->group_count; i++) {
        if (d->groups[i].code == code) return &d->groups[i];
    }
    return NULL;
}

// Decimal numbers alone: strtod would also take hex, "nan", and read on into the next line.
enum kw_status kw_dxf_read_number(struct kw_dxf *d, const struct kw_group *g, double *out) {
    bool plain = g->length > 0 && g->length < 64;
    for (int i = 0; plain && i < g->length; i++)
        plain = strchr("+-.0123456789eE", g->value[i]);
    char text[64];
    if (plain) {
        memcpy(text, g->value, (size_t)g->length);
        text[g->length] = 0;
        char *end;
        *out = strtod(text, &end);
        plain = *end == 0 && end != text;
    }
    if (plain && fabs(*out) < 1e12) return KW_OK;
    return kw_fail(d->sketch.err, plain ? KW_RANGE : KW_FORMAT,
                   kw_sketch_place(&d->sketch, g->line),
                   "expected a number for group code %d, got \"%s\"", g->code, kw_dxf_shown(d, g));
}

enum kw_status kw_dxf_number(struct kw_dxf *d, const struct kw_group *type, int code, bool required,
                             double *out) {
    const struct kw_group *g = kw_dxf_find(d, code);
    *out = 0;
    if (g) return kw_dxf_read_number(d, g, out);
    if (!required) return KW_OK;
    return kw_fail(d->sketch.err, KW_MISSING, kw_sketch_place(&d->sketch, type->line),
                   "%s without group code %d", kw_dxf_shown(d, type), code);
}

enum kw_status kw_dxf_whole(struct kw_dxf *d, int code, int *out) {
    double v;
    enum kw_status s = kw_dxf_number(d, NULL, code, false, &v);
    *out = fabs(v) < 1e9 ? (int)v : 0;
    return s;
}

// ------------------------------------------------------------------------------- layers and roles

static bool is_zero(const struct kw_group *layer) {
    return !layer || (layer->length == 1 && layer->value[0] == '0');
}

const struct kw_group *kw_dxf_layer_of(const struct kw_dxf *d) {
    const struct kw_group *own = kw_dxf_find(d, 8);
    return is_zero(own) && d->frame->around ? d->frame->layer : own;
}

// A layer of the table without a name has no value at all.
static bool same_name(const struct kw_group *a, const struct kw_group *b) {
    return a->length == b->length &&
           (a->length == 0 || strncasecmp(a->value, b->value, (size_t)a->length) == 0);
}

static bool is_hidden(const struct kw_dxf *d, const struct kw_group *layer, bool frozen_only) {
    for (int i = 0; i < d->hidden_count; i++) {
        const struct kw_dxf_layer *l = &d->hidden[i];
        bool same = layer ? same_name(&l->name, layer) : is_zero(&l->name);
        if (same && (l->frozen || !frozen_only)) return true;
    }
    return false;
}

static enum kw_role layer_role(const struct kw_dxf *d, const struct kw_group *layer) {
    const char *name = layer ? layer->value : "0";
    int length = layer ? layer->length : 1;
    enum kw_role role = kw_sketch_role(&d->sketch, name, length);
    if (role != ROLE_UNKNOWN) return role;
    // The format keeps this layer for the points of dimensions; it is never printed.
    if (length == 9 && strncasecmp(name, "DEFPOINTS", 9) == 0) return ROLE_IGNORE;
    return kw_sketch_has_roles(&d->sketch) ? ROLE_UNKNOWN : ROLE_CUT;
}

// A block on a layer that is switched off still shows what it holds on other layers; on a frozen
// one it shows nothing.
enum kw_status kw_dxf_role(struct kw_dxf *d, bool is_insert, enum kw_role *role) {
    int paper, hidden;
    enum kw_status s = kw_dxf_whole(d, 67, &paper);
    if (s == KW_OK) s = kw_dxf_whole(d, 60, &hidden);
    if (s != KW_OK) return s;
    const struct kw_group *layer = kw_dxf_layer_of(d);
    *role = layer_role(d, layer);
    if (paper == 1 || hidden == 1 || is_hidden(d, layer, is_insert)) *role = ROLE_IGNORE;
    return KW_OK;
}

enum kw_status kw_dxf_fail_role(struct kw_dxf *d, const struct kw_group *type) {
    const struct kw_group *layer = kw_dxf_layer_of(d);
    const char *shown = layer ? kw_dxf_shown(d, layer) : "0";
    return kw_fail(
        d->sketch.err, KW_UNKNOWN, kw_sketch_place(&d->sketch, layer ? layer->line : type->line),
        "layer \"%s\" has no role in shop.yaml%s", shown, kw_sketch_roles_text(&d->sketch, shown));
}

// ------------------------------------------------------------------------------------- flatness

enum kw_status kw_dxf_fail_3d(struct kw_dxf *d, int line, const char *why) {
    return kw_fail(d->sketch.err, KW_GEOMETRY, kw_sketch_place(&d->sketch, line),
                   "a 3D drawing, expected a flat outline: %s", why);
}

enum kw_status kw_dxf_keep_height(struct kw_dxf *d, double z, int line) {
    z = d->frame->z_scale * z + d->frame->z;
    if (!d->height_known) {
        d->height = z;
        d->height_known = true;
    }
    if (fabs(z - d->height) <= 1e-4) return KW_OK;
    char got[KW_NUMBER_SIZE], want[KW_NUMBER_SIZE];
    const char *why = kw_format(d->sketch.scratch, "z is %s, elsewhere %s", kw_number(got, z, 4),
                                kw_number(want, d->height, 4));
    return kw_dxf_fail_3d(d, line, why);
}

enum kw_status kw_dxf_flip(struct kw_dxf *d, const struct kw_group *type, bool *flip) {
    double x, y, z;
    enum kw_status s = kw_dxf_number(d, type, 210, false, &x);
    if (s == KW_OK) s = kw_dxf_number(d, type, 220, false, &y);
    if (s == KW_OK) s = kw_dxf_number(d, type, 230, false, &z);
    if (s != KW_OK) return s;
    *flip = z < 0;
    bool none = x == 0 && y == 0 && z == 0;
    if (none || (fabs(x) < 1e-6 && fabs(y) < 1e-6)) return KW_OK;
    return kw_dxf_fail_3d(d, type->line, "its extrusion direction leaves the plane");
}

struct kw_affine2 kw_dxf_map(const struct kw_dxf *d, bool flip) {
    struct kw_affine2 from_below = {.xx = -1, .yy = 1};
    return flip ? kw_affine2_then(from_below, d->frame->map) : d->frame->map;
}
