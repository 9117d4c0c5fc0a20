// SPDX-License-Identifier: Apache-2.0
// Lines, circles and arcs of a DXF drawing, and the table of all entities.
#include "kit/dxf_in.h"

#include <string.h>

static enum kw_status add_line(struct kw_dxf *d, const struct kw_group *type, enum kw_role role) {
    double v[6];
    static const int codes[6] = {10, 20, 11, 21, 30, 31};
    for (int i = 0; i < 6; i++) {
        enum kw_status s = kw_dxf_number(d, type, codes[i], i < 4, &v[i]);
        if (s != KW_OK) return s;
    }
    enum kw_status s = kw_dxf_keep_height(d, v[4], type->line);
    if (s == KW_OK) s = kw_dxf_keep_height(d, v[5], type->line);
    if (s != KW_OK) return s;
    struct kw_path p = {.open = true};
    kw_path_add(d->sketch.scratch, &p, v[0], v[1], 0, type->line);
    kw_path_add(d->sketch.scratch, &p, v[2], v[3], 0, type->line);
    return kw_sketch_add(&d->sketch, role, &p, kw_dxf_map(d, false), type->line);
}

struct circle {
    struct kw_vec2 centre;
    double radius;
    bool flip;
};

static enum kw_status read_circle(struct kw_dxf *d, const struct kw_group *type, struct circle *c) {
    double z;
    enum kw_status s = kw_dxf_number(d, type, 10, true, &c->centre.x);
    if (s == KW_OK) s = kw_dxf_number(d, type, 20, true, &c->centre.y);
    if (s == KW_OK) s = kw_dxf_number(d, type, 30, false, &z);
    if (s == KW_OK) s = kw_dxf_number(d, type, 40, true, &c->radius);
    if (s == KW_OK) s = kw_dxf_flip(d, type, &c->flip);
    if (s == KW_OK) s = kw_dxf_keep_height(d, c->flip ? -z : z, type->line);
    if (s != KW_OK) return s;
    if (c->radius > 0) return KW_OK;
    return kw_fail(d->sketch.err, KW_RANGE, kw_sketch_place(&d->sketch, kw_dxf_find(d, 40)->line),
                   "expected a radius above 0, got %g", c->radius);
}

static enum kw_status add_circle(struct kw_dxf *d, const struct kw_group *type, enum kw_role role) {
    struct circle c;
    enum kw_status s = read_circle(d, type, &c);
    if (s != KW_OK) return s;
    struct kw_path p =
        kw_path_circle(d->sketch.scratch, c.centre.x, c.centre.y, c.radius, true, type->line);
    return kw_sketch_add(&d->sketch, role, &p, kw_dxf_map(d, c.flip), type->line);
}

static enum kw_status add_arc(struct kw_dxf *d, const struct kw_group *type, enum kw_role role) {
    struct circle c;
    double from, to;
    enum kw_status s = read_circle(d, type, &c);
    if (s == KW_OK) s = kw_dxf_number(d, type, 50, true, &from);
    if (s == KW_OK) s = kw_dxf_number(d, type, 51, true, &to);
    if (s != KW_OK) return s;
    double sweep = fmod(to - from, 360);
    if (sweep <= 0) sweep += 360;
    if (sweep >= 360 - 1e-9) return add_circle(d, type, role);
    from = fmod(from, 360) * KW_PI / 180;
    sweep *= KW_PI / 180;
    int pieces = sweep > KW_PI ? 2 : 1;
    double bulge = tan(sweep / pieces / 4);
    struct kw_path p = {.open = true};
    for (int i = 0; i <= pieces; i++) {
        double angle = from + sweep * i / pieces;
        kw_path_add(d->sketch.scratch, &p, c.centre.x + c.radius * cos(angle),
                    c.centre.y + c.radius * sin(angle), i < pieces ? bulge : 0, type->line);
    }
    return kw_sketch_add(&d->sketch, role, &p, kw_dxf_map(d, c.flip), type->line);
}

// --------------------------------------------------------------------------- the table of entities

enum handling {
    PASS_OVER, // words and the like: never an outline, whatever the layer
    READ,
    FLATTEN, // curves that are not lines or arcs
    EXPLODE, // a container of others
    SOLID,   // 3D
};

struct entity {
    const char *name;
    enum handling handling;
    enum kw_status (*add)(struct kw_dxf *d, const struct kw_group *type, enum kw_role role);
};

static const struct entity entities[] = {
    {"LINE", READ, add_line},
    {"ARC", READ, add_arc},
    {"CIRCLE", READ, add_circle},
    {"LWPOLYLINE", READ, kw_dxf_lwpolyline},
    {"POLYLINE", READ, kw_dxf_polyline},
    {"SPLINE", READ, kw_dxf_spline},
    {"ELLIPSE", READ, kw_dxf_ellipse},
    {"HELIX", FLATTEN, NULL},
    {"INSERT", READ, kw_dxf_insert},
    {"REGION", EXPLODE, NULL},
    {"MLINE", EXPLODE, NULL},
    {"3DFACE", SOLID, NULL},
    {"3DSOLID", SOLID, NULL},
    {"BODY", SOLID, NULL},
    {"MESH", SOLID, NULL},
    {"SURFACE", SOLID, NULL},
    {"TEXT", PASS_OVER, NULL},
    {"MTEXT", PASS_OVER, NULL},
    {"RTEXT", PASS_OVER, NULL},
    {"ATTDEF", PASS_OVER, NULL},
    {"ATTRIB", PASS_OVER, NULL},
    {"SEQEND", PASS_OVER, NULL},
    {"DIMENSION", PASS_OVER, NULL},
    {"ARC_DIMENSION", PASS_OVER, NULL},
    {"LARGE_RADIAL_DIMENSION", PASS_OVER, NULL},
    {"LEADER", PASS_OVER, NULL},
    {"MLEADER", PASS_OVER, NULL},
    {"MULTILEADER", PASS_OVER, NULL},
    {"TOLERANCE", PASS_OVER, NULL},
    {"POINT", PASS_OVER, NULL},
    {"HATCH", PASS_OVER, NULL},
    {"SOLID", PASS_OVER, NULL}, // a filled area: an arrow head
    {"TRACE", PASS_OVER, NULL},
    {"VIEWPORT", PASS_OVER, NULL},
    {"IMAGE", PASS_OVER, NULL},
    {"WIPEOUT", PASS_OVER, NULL},
    {"XLINE", PASS_OVER, NULL}, // construction lines without end
    {"RAY", PASS_OVER, NULL},
    {"OLEFRAME", PASS_OVER, NULL},
    {"OLE2FRAME", PASS_OVER, NULL},
    {"LIGHT", PASS_OVER, NULL},
};

static enum kw_status refuse(struct kw_dxf *d, const struct kw_group *type, enum handling how) {
    if (how == SOLID) return kw_dxf_fail_3d(d, type->line, "it holds faces or solids");
    const struct kw_group *layer = kw_dxf_layer_of(d);
    return kw_fail(d->sketch.err, KW_GEOMETRY, kw_sketch_place(&d->sketch, type->line),
                   "%s on layer \"%s\" can't be cut as it is: %s in the drawing program and save "
                   "again",
                   kw_dxf_shown(d, type), layer ? kw_dxf_shown(d, layer) : "0",
                   how == FLATTEN ? "turn it into arcs and lines" : "explode it");
}

static struct entity find_entity(const struct kw_group *type) {
    for (size_t i = 0; i < sizeof entities / sizeof *entities; i++) {
        if (kw_dxf_is(type, 0, entities[i].name)) return entities[i];
    }
    return (struct entity){.handling = EXPLODE}; // not known: it may be part of the outline
}

enum kw_status kw_dxf_entity(struct kw_dxf *d, const struct kw_group *type) {
    if (kw_dxf_is(type, 0, "VERTEX")) return kw_dxf_vertex(d, type);
    bool was_polyline = d->in_polyline;
    enum kw_status s = kw_dxf_polyline_end(d);
    if (s != KW_OK || (was_polyline && kw_dxf_is(type, 0, "SEQEND"))) return s;
    struct entity e = find_entity(type);
    bool is_insert = e.add == kw_dxf_insert;
    enum kw_role role = ROLE_IGNORE;
    if (e.handling != PASS_OVER) s = kw_dxf_role(d, is_insert, &role);
    // What a block holds is asked for its own layers.
    if (s == KW_OK && role == ROLE_UNKNOWN && !is_insert) s = kw_dxf_fail_role(d, type);
    if (s != KW_OK) return s;
    if (e.add == kw_dxf_polyline) return kw_dxf_polyline(d, type, role); // its points follow
    if (role == ROLE_IGNORE) {
        d->sketch.ignored++;
        return KW_OK;
    }
    return e.handling == READ ? e.add(d, type, role) : refuse(d, type, e.handling);
}
