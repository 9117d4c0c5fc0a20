// SPDX-License-Identifier: Apache-2.0
// Entities of a drawing: layer and role, and the pieces of path that they are.
//
// Arcs, circles and flat polylines are given in a frame of their own that the extrusion direction
// turns; a flat drawing knows two, seen from above (0,0,1) and from below (0,0,-1). From below, x
// runs the other way (the format's arbitrary axis rule), so that circles of a mirrored copy land
// where they were drawn.
#include "kit/dxf_in.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { MOST_BENDS = 1000 };

static const struct kw_group *find(const struct kw_dxf *d, int code) {
    for (int i = 0; i < d->group_count; i++) {
        if (d->groups[i].code == code) return &d->groups[i];
    }
    return NULL;
}

// Decimal numbers alone: strtod would also take hex, "nan", and read on into the next line.
static enum kw_status read_number(struct kw_dxf *d, const struct kw_group *g, double *out) {
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
    return kw_fail(d->err, plain ? KW_RANGE : KW_FORMAT, kw_dxf_place(d, g->line),
                   "expected a number for group code %d, got \"%s\"", g->code,
                   kw_dxf_shown(d->scratch, g->value, g->length));
}

// The value of a group that must be there, or that defaults to 0.
static enum kw_status number(struct kw_dxf *d, const struct kw_group *type, int code, bool required,
                             double *out) {
    const struct kw_group *g = find(d, code);
    *out = 0;
    if (g) return read_number(d, g, out);
    if (!required) return KW_OK;
    return kw_fail(d->err, KW_MISSING, kw_dxf_place(d, type->line), "%s without group code %d",
                   kw_dxf_shown(d->scratch, type->value, type->length), code);
}

static enum kw_status whole(struct kw_dxf *d, int code, int *out) {
    double v;
    enum kw_status s = number(d, NULL, code, false, &v);
    *out = fabs(v) < 1e9 ? (int)v : 0;
    return s;
}

// ------------------------------------------------------------------------------- layers and roles

static bool same_name(const struct kw_items *names, const char *value, int length) {
    for (int i = 0; i < names->count; i++) {
        const char *name = *KW_ITEM(const char *, *names, i);
        if ((int)strlen(name) == length && strncasecmp(name, value, (size_t)length) == 0)
            return true;
    }
    return false;
}

static int layer_role(const struct kw_dxf *d, const char *value, int length) {
    const struct kw_layers *l = &d->shop->layers;
    if (same_name(&l->cut, value, length)) return ROLE_CUT;
    if (same_name(&l->bend_up, value, length)) return ROLE_BEND_UP;
    if (same_name(&l->bend_down, value, length)) return ROLE_BEND_DOWN;
    if (same_name(&l->mark, value, length)) return ROLE_MARK;
    if (same_name(&l->ignore, value, length)) return ROLE_IGNORE;
    // The format keeps this layer for the points of dimensions; it is never printed.
    if (length == 9 && strncasecmp(value, "DEFPOINTS", 9) == 0) return ROLE_IGNORE;
    int named = l->cut.count + l->bend_up.count + l->bend_down.count + l->mark.count;
    return named == 0 ? ROLE_CUT : ROLE_UNKNOWN;
}

static char *upper(struct kw_arena *a, const char *s) {
    char *t = kw_copy_text(a, s, strlen(s));
    for (char *p = t; *p; p++) {
        if (*p >= 'a' && *p <= 'z') *p = (char)(*p - 'a' + 'A');
    }
    return t;
}

static enum kw_status fail_layer(struct kw_dxf *d, const struct kw_group *layer,
                                 const struct kw_group *type) {
    const struct kw_layers *l = &d->shop->layers;
    const struct kw_items *lists[] = {&l->cut, &l->bend_up, &l->bend_down, &l->mark, &l->ignore};
    const char **names = NULL;
    int count = 0;
    struct kw_text all = {0};
    for (size_t k = 0; k < sizeof lists / sizeof *lists; k++) {
        for (int i = 0; i < lists[k]->count; i++) {
            const char *name = *KW_ITEM(const char *, *lists[k], i);
            KW_PUSH(d->scratch, names, count) = upper(d->scratch, name);
            if (all.length < 200) kw_text_addf(&all, "%s%s", all.length ? ", " : "", name);
        }
    }
    KW_PUSH(d->scratch, names, count) = NULL;
    const char *shown = layer ? kw_dxf_shown(d->scratch, layer->value, layer->length) : "0";
    const char *near = kw_nearest_word(upper(d->scratch, shown), names);
    enum kw_status s =
        kw_fail(d->err, KW_UNKNOWN, kw_dxf_place(d, layer ? layer->line : type->line),
                "layer \"%s\" has no role in shop.yaml%s%s%s, expected one of %s", shown,
                near ? ", did you mean \"" : "", near ? near : "", near ? "\"" : "", all.s);
    kw_text_free(&all);
    return s;
}

// Role of the entity in d->groups; what is not in the model or not visible is passed over.
static enum kw_status entity_role(struct kw_dxf *d, const struct kw_group *type, int *role) {
    int paper, hidden;
    enum kw_status s = whole(d, 67, &paper);
    if (s == KW_OK) s = whole(d, 60, &hidden);
    if (s != KW_OK) return s;
    const struct kw_group *layer = find(d, 8);
    *role = layer ? layer_role(d, layer->value, layer->length) : layer_role(d, "0", 1);
    if (paper == 1 || hidden == 1) *role = ROLE_IGNORE;
    return *role == ROLE_UNKNOWN ? fail_layer(d, layer, type) : KW_OK;
}

// ------------------------------------------------------------------------------------- flatness

static enum kw_status fail_3d(struct kw_dxf *d, int line, const char *why) {
    return kw_fail(d->err, KW_GEOMETRY, kw_dxf_place(d, line),
                   "a 3D drawing, expected a flat outline: %s", why);
}

// One height for all: some programs draw on a plane that isn't z = 0.
static enum kw_status keep_height(struct kw_dxf *d, double z, int line) {
    if (!d->height_known) {
        d->height = z;
        d->height_known = true;
    }
    if (fabs(z - d->height) <= 1e-4) return KW_OK;
    char got[KW_NUMBER_SIZE], want[KW_NUMBER_SIZE];
    const char *why = kw_format(d->scratch, "z is %s, elsewhere %s", kw_number(got, z, 4),
                                kw_number(want, d->height, 4));
    return fail_3d(d, line, why);
}

// Whether the entity is seen from below.
static enum kw_status entity_flip(struct kw_dxf *d, const struct kw_group *type, bool *flip) {
    double x, y, z;
    enum kw_status s = number(d, type, 210, false, &x);
    if (s == KW_OK) s = number(d, type, 220, false, &y);
    if (s == KW_OK) s = number(d, type, 230, false, &z);
    if (s != KW_OK) return s;
    *flip = z < 0;
    bool none = x == 0 && y == 0 && z == 0;
    if (none || (fabs(x) < 1e-6 && fabs(y) < 1e-6)) return KW_OK;
    return fail_3d(d, type->line, "its extrusion direction leaves the plane");
}

// --------------------------------------------------------------------------------------- pieces

// Adds the vertex (x, y) with its bulge towards (nx, ny); an arc of more than a half circle becomes
// two. Such a bulge belongs to an arc to the right of its chord when positive.
static void add_vertex(struct kw_dxf *d, struct kw_path *p, struct kw_vec2 at, struct kw_vec2 next,
                       double bulge, int line) {
    if (fabs(bulge) <= 1) {
        kw_path_add(d->scratch, p, at.x, at.y, bulge, line);
        return;
    }
    struct kw_vec2 chord = kw_sub2(next, at);
    struct kw_vec2 middle = kw_sub2(kw_lerp2(at, next, 0.5), kw_scale2(kw_left2(chord), bulge / 2));
    double half = tan(atan(bulge) / 2);
    kw_path_add(d->scratch, p, at.x, at.y, half, line);
    kw_path_add(d->scratch, p, middle.x, middle.y, half, line);
}

static enum kw_status add_bends(struct kw_dxf *d, int role, const struct kw_path *p, int line) {
    for (int i = 0; i < kw_path_segments(p); i++) {
        struct kw_vertex v = p->v[i], w = p->v[(i + 1) % p->count];
        if (v.bulge != 0) {
            return kw_fail(d->err, KW_GEOMETRY, kw_dxf_place(d, line),
                           "an arc on a bend layer, expected straight bend lines");
        }
        if (d->bend_count == MOST_BENDS) {
            return kw_fail(d->err, KW_LIMIT, kw_dxf_place(d, line),
                           "expected at most %d bend lines", MOST_BENDS);
        }
        KW_PUSH(d->scratch, d->bends, d->bend_count) = (struct kw_bend_line){
            {v.x, v.y}, {w.x, w.y}, role == ROLE_BEND_UP ? KW_UP : KW_DOWN, line};
    }
    return KW_OK;
}

static enum kw_status add_piece(struct kw_dxf *d, int role, struct kw_path p, int line) {
    if (role == ROLE_BEND_UP || role == ROLE_BEND_DOWN) return add_bends(d, role, &p, line);
    struct kw_paths *list = role == ROLE_MARK ? &d->marks : p.open ? &d->open : &d->closed;
    KW_PUSH(d->scratch, list->v, list->count) = p;
    return KW_OK;
}

static enum kw_status add_line(struct kw_dxf *d, const struct kw_group *type, int role) {
    double v[6];
    static const int codes[6] = {10, 20, 11, 21, 30, 31};
    for (int i = 0; i < 6; i++) {
        enum kw_status s = number(d, type, codes[i], i < 4, &v[i]);
        if (s != KW_OK) return s;
    }
    enum kw_status s = keep_height(d, v[4], type->line);
    if (s == KW_OK) s = keep_height(d, v[5], type->line);
    if (s != KW_OK) return s;
    struct kw_path p = {.open = true};
    kw_path_add(d->scratch, &p, v[0], v[1], 0, type->line);
    kw_path_add(d->scratch, &p, v[2], v[3], 0, type->line);
    return add_piece(d, role, p, type->line);
}

struct circle {
    struct kw_vec2 centre;
    double radius;
    bool flip;
};

static enum kw_status read_circle(struct kw_dxf *d, const struct kw_group *type, struct circle *c) {
    double z;
    enum kw_status s = number(d, type, 10, true, &c->centre.x);
    if (s == KW_OK) s = number(d, type, 20, true, &c->centre.y);
    if (s == KW_OK) s = number(d, type, 30, false, &z);
    if (s == KW_OK) s = number(d, type, 40, true, &c->radius);
    if (s == KW_OK) s = entity_flip(d, type, &c->flip);
    if (s == KW_OK) s = keep_height(d, c->flip ? -z : z, type->line);
    if (s != KW_OK) return s;
    if (c->flip) c->centre.x = -c->centre.x;
    if (c->radius > 0) return KW_OK;
    return kw_fail(d->err, KW_RANGE, kw_dxf_place(d, find(d, 40)->line),
                   "expected a radius above 0, got %g", c->radius);
}

static enum kw_status add_circle(struct kw_dxf *d, const struct kw_group *type, int role) {
    struct circle c;
    enum kw_status s = read_circle(d, type, &c);
    if (s != KW_OK) return s;
    struct kw_path p =
        kw_path_circle(d->scratch, c.centre.x, c.centre.y, c.radius, true, type->line);
    return add_piece(d, role, p, type->line);
}

static struct kw_vec2 on_circle(struct circle c, double angle) {
    double x = c.radius * cos(angle);
    return kw_v2(c.centre.x + (c.flip ? -x : x), c.centre.y + c.radius * sin(angle));
}

static enum kw_status add_arc(struct kw_dxf *d, const struct kw_group *type, int role) {
    struct circle c;
    double from, to;
    enum kw_status s = read_circle(d, type, &c);
    if (s == KW_OK) s = number(d, type, 50, true, &from);
    if (s == KW_OK) s = number(d, type, 51, true, &to);
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
        struct kw_vec2 at = on_circle(c, from + sweep * i / pieces);
        kw_path_add(d->scratch, &p, at.x, at.y,
                    i == pieces ? 0
                    : c.flip    ? -bulge
                                : bulge,
                    type->line);
    }
    return add_piece(d, role, p, type->line);
}

// ------------------------------------------------------------------------------------ polylines

// From vertices with bulges as drawn to a path of arcs up to half circles. A closed path that ends
// where it began says so twice: the last vertex goes.
static enum kw_status add_polyline(struct kw_dxf *d, struct kw_path drawn, bool closed, bool flip,
                                   int role, int line) {
    if (drawn.count < 2) {
        d->dropped++;
        return KW_OK;
    }
    if (flip) {
        for (int i = 0; i < drawn.count; i++) {
            drawn.v[i].x = -drawn.v[i].x;
            drawn.v[i].bulge = -drawn.v[i].bulge;
        }
    }
    if (closed) {
        struct kw_vertex *first = drawn.v, *last = &drawn.v[drawn.count - 1];
        if (first->x == last->x && first->y == last->y && last->bulge == 0) drawn.count--;
    }
    struct kw_path p = {.open = !closed};
    for (int i = 0; i < drawn.count; i++) {
        struct kw_vertex v = drawn.v[i], w = drawn.v[(i + 1) % drawn.count];
        bool end = !closed && i == drawn.count - 1;
        add_vertex(d, &p, kw_v2(v.x, v.y), kw_v2(w.x, w.y), end ? 0 : v.bulge, line);
    }
    return add_piece(d, role, p, line);
}

static enum kw_status check_bulge(struct kw_dxf *d, double bulge, int line) {
    if (fabs(bulge) <= 1e4) return KW_OK;
    return kw_fail(d->err, KW_RANGE, kw_dxf_place(d, line), "a bulge of %g is no arc", bulge);
}

static enum kw_status add_lwpolyline(struct kw_dxf *d, const struct kw_group *type, int role) {
    int flags, promised;
    double z;
    bool flip;
    enum kw_status s = whole(d, 70, &flags);
    if (s == KW_OK) s = whole(d, 90, &promised);
    if (s == KW_OK) s = number(d, type, 38, false, &z);
    if (s == KW_OK) s = entity_flip(d, type, &flip);
    if (s == KW_OK) s = keep_height(d, flip ? -z : z, type->line);
    struct kw_path p = {.open = true};
    for (int i = 0; s == KW_OK && i < d->group_count; i++) {
        const struct kw_group *g = &d->groups[i];
        double v;
        if (g->code != 10 && g->code != 20 && g->code != 42) continue;
        s = read_number(d, g, &v);
        if (s != KW_OK) return s;
        if (g->code == 10) kw_path_add(d->scratch, &p, v, 0, 0, type->line);
        if (p.count == 0) continue;
        if (g->code == 20) p.v[p.count - 1].y = v;
        if (g->code == 42) {
            p.v[p.count - 1].bulge = v;
            s = check_bulge(d, v, g->line);
        }
    }
    if (s != KW_OK) return s;
    if (find(d, 90) && promised != p.count) {
        return kw_fail(d->err, KW_FORMAT, kw_dxf_place(d, type->line),
                       "a polyline promises %d points and holds %d", promised, p.count);
    }
    return add_polyline(d, p, flags & 1, flip, role, type->line);
}

enum { FLAG_CLOSED = 1, FLAG_3D = 8, FLAG_MESH = 16, FLAG_POLYFACE = 64, VERTEX_CONTROL = 16 };

static enum kw_status begin_polyline(struct kw_dxf *d, const struct kw_group *type, int role) {
    double z;
    enum kw_status s = whole(d, 70, &d->polyline_flags);
    if (s == KW_OK) s = number(d, type, 30, false, &z);
    if (s == KW_OK) s = entity_flip(d, type, &d->polyline_flip);
    if (s != KW_OK) return s;
    d->polyline = (struct kw_path){.open = true};
    d->in_polyline = true;
    d->polyline_role = role;
    d->polyline_line = type->line;
    if (role == ROLE_IGNORE) return KW_OK;
    if (d->polyline_flags & (FLAG_MESH | FLAG_POLYFACE)) return fail_3d(d, type->line, "a mesh");
    if (d->polyline_flags & FLAG_3D) return KW_OK; // each point has a height of its own
    return keep_height(d, d->polyline_flip ? -z : z, type->line);
}

static enum kw_status add_polyline_vertex(struct kw_dxf *d, const struct kw_group *type) {
    if (!d->in_polyline) {
        return kw_fail(d->err, KW_FORMAT, kw_dxf_place(d, type->line), "VERTEX without POLYLINE");
    }
    if (d->polyline_role == ROLE_IGNORE) return KW_OK;
    double x, y, z, bulge;
    int flags;
    enum kw_status s = number(d, type, 10, true, &x);
    if (s == KW_OK) s = number(d, type, 20, true, &y);
    if (s == KW_OK) s = number(d, type, 30, false, &z);
    if (s == KW_OK) s = number(d, type, 42, false, &bulge);
    if (s == KW_OK) s = whole(d, 70, &flags);
    if (s == KW_OK) s = check_bulge(d, bulge, type->line);
    if (s == KW_OK && (d->polyline_flags & FLAG_3D)) s = keep_height(d, z, type->line);
    if (s != KW_OK || (flags & VERTEX_CONTROL)) return s; // frame of a smoothed curve
    kw_path_add(d->scratch, &d->polyline, x, y, bulge, type->line);
    return KW_OK;
}

enum kw_status kw_dxf_polyline_end(struct kw_dxf *d) {
    if (!d->in_polyline) return KW_OK;
    d->in_polyline = false;
    if (d->polyline_role == ROLE_IGNORE) {
        d->ignored++;
        return KW_OK;
    }
    return add_polyline(d, d->polyline, d->polyline_flags & FLAG_CLOSED,
                        d->polyline_flip && !(d->polyline_flags & FLAG_3D), d->polyline_role,
                        d->polyline_line);
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
    enum kw_status (*add)(struct kw_dxf *d, const struct kw_group *type, int role);
};

static const struct entity entities[] = {
    {"LINE", READ, add_line},
    {"ARC", READ, add_arc},
    {"CIRCLE", READ, add_circle},
    {"LWPOLYLINE", READ, add_lwpolyline},
    {"POLYLINE", READ, begin_polyline},
    {"SPLINE", FLATTEN, NULL},
    {"ELLIPSE", FLATTEN, NULL},
    {"HELIX", FLATTEN, NULL},
    {"INSERT", EXPLODE, NULL},
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

static bool named(const struct kw_group *g, const char *name) {
    return (int)strlen(name) == g->length && memcmp(name, g->value, (size_t)g->length) == 0;
}

static enum kw_status refuse(struct kw_dxf *d, const struct kw_group *type, enum handling how) {
    if (how == SOLID) return fail_3d(d, type->line, "it holds faces or solids");
    const struct kw_group *layer = find(d, 8);
    return kw_fail(d->err, KW_GEOMETRY, kw_dxf_place(d, type->line),
                   "%s on layer \"%s\" can't be cut as it is: %s in the drawing program and save "
                   "again",
                   kw_dxf_shown(d->scratch, type->value, type->length),
                   layer ? kw_dxf_shown(d->scratch, layer->value, layer->length) : "0",
                   how == FLATTEN ? "turn it into arcs and lines" : "explode it");
}

enum kw_status kw_dxf_entity(struct kw_dxf *d, const struct kw_group *type) {
    if (named(type, "VERTEX")) return add_polyline_vertex(d, type);
    bool was_polyline = d->in_polyline;
    enum kw_status s = kw_dxf_polyline_end(d);
    if (s != KW_OK || (was_polyline && named(type, "SEQEND"))) return s;
    struct entity e = {.handling = EXPLODE}; // an entity not known may be part of the outline
    for (size_t i = 0; i < sizeof entities / sizeof *entities; i++) {
        if (named(type, entities[i].name)) e = entities[i];
    }
    if (e.handling == PASS_OVER) {
        d->ignored++;
        return KW_OK;
    }
    int role;
    s = entity_role(d, type, &role);
    if (s != KW_OK) return s;
    if (e.add == begin_polyline) return begin_polyline(d, type, role);
    if (role == ROLE_IGNORE) {
        d->ignored++;
        return KW_OK;
    }
    return e.handling == READ ? e.add(d, type, role) : refuse(d, type, e.handling);
}
