// SPDX-License-Identifier: Apache-2.0
// Where the pieces of an assembled kit stand: tubes walked straight by straight, sheets folded bend
// by bend from the outermost inwards.
#include "verify/fit_scene.h"

#include <string.h>

#define MOST_MM 50000.0
#define CHORDS  16 // an arc of an outline: only which side of it a point lies on is asked

struct fit_vec fit_turned(struct fit_vec v, struct fit_vec axis, double angle) {
    double c = cos(angle), s = sin(angle), stays = fit_dot(v, axis) * (1 - c);
    struct fit_vec square = fit_cross(axis, v), out = {c * v.x, c * v.y, c * v.z};
    return fit_plus(fit_plus(out, s, square), stays, axis);
}

struct fit_vec fit_pointing(const struct fit_frame *f, struct fit_vec d) {
    struct fit_vec none = {0, 0, 0};
    return fit_plus(fit_plus(fit_plus(none, d.x, f->x), d.y, f->y), d.z, f->z);
}

struct fit_vec fit_placed(const struct fit_frame *f, struct fit_vec p) {
    return fit_plus(f->zero, 1, fit_pointing(f, p));
}

// ------------------------------------------------------------------------------------- reading

void fit_refuse(struct fit_reader *r, const char *want) {
    if (r->status == KW_OK)
        r->status = kw_fail(r->err, KW_FORMAT, (struct kw_place){.file = "run.json"}, "%s: %s",
                            r->where, want);
}

static double as_number(struct fit_reader *r, json_t *v, const char *key, double least,
                        double most) {
    double x = json_is_number(v) ? json_number_value(v) : NAN;
    if (x >= least && x <= most) return x;
    fit_refuse(r, kw_format(r->arena, "%s: expected a number from %g to %g", key, least, most));
    return least;
}

double fit_number(struct fit_reader *r, json_t *from, const char *key, double least, double most) {
    return as_number(r, json_object_get(from, key), key, least, most);
}

const char *fit_word(struct fit_reader *r, json_t *from, const char *key) {
    const char *text = json_string_value(json_object_get(from, key));
    if (!text) fit_refuse(r, kw_format(r->arena, "%s: expected a text", key));
    return text ? text : "";
}

static struct fit_vec read_vec(struct fit_reader *r, json_t *from, const char *key, size_t n) {
    json_t *v = json_object_get(from, key);
    double x[3] = {0, 0, 0};
    for (size_t i = 0; i < n; i++)
        x[i] = as_number(r, json_array_get(v, i), key, -MOST_MM, MOST_MM);
    return (struct fit_vec){x[0], x[1], x[2]};
}

static struct fit_vec read_direction(struct fit_reader *r, json_t *from, const char *key) {
    struct fit_vec v = read_vec(r, from, key, 3);
    if (!(fabs(fit_length(v) - 1) < 1e-6)) fit_refuse(r, kw_format(r->arena, "%s: no unit", key));
    return v;
}

static json_t *read_list(struct fit_reader *r, json_t *from, const char *key, size_t most) {
    json_t *v = json_object_get(from, key);
    if (json_is_array(v) && json_array_size(v) <= most) return v;
    fit_refuse(r, kw_format(r->arena, "%s: expected a list of at most %zu", key, most));
    return NULL;
}

// ------------------------------------------------------------------------------------- tubes

/// Walks a tube: a limb for each straight; `axes` and `angles` of its bends, `sides` the way
/// from each bend's first point to its middle.
struct walk {
    struct fit_vec at, along, side;
    struct fit_vec axes[FIT_MOST_BENDS], sides[FIT_MOST_BENDS];
    double angles[FIT_MOST_BENDS];
};

static void walk_straight(struct walk *w, double length, struct fit_limb *limb) {
    limb->from = w->at;
    w->at = limb->to = fit_plus(w->at, length, w->along);
}

static void walk_bend(struct fit_reader *r, struct walk *w, int i, json_t *row) {
    double rotate = i == 0 ? 0 : fit_number(r, row, "rotate", -360, 360) * FIT_DEGREE;
    double angle = fit_number(r, row, "angle", 0, 360) * FIT_DEGREE;
    double radius = fit_number(r, row, "radius", 1e-3, MOST_MM);
    w->side = fit_turned(w->side, w->along, rotate);
    w->axes[i] = fit_cross(w->along, w->side);
    w->sides[i] = w->side;
    w->angles[i] = angle;
    struct fit_vec middle = fit_plus(w->at, radius, w->side);
    w->along = fit_turned(w->along, w->axes[i], angle);
    w->side = fit_turned(w->side, w->axes[i], angle);
    w->at = fit_plus(middle, -radius, w->side);
}

/// The reference line lies on the outside of the first bend and goes along all others.
static void scribe(const struct walk *w, int bends, bool backwards, struct fit_round *out) {
    struct fit_vec none = {0, 0, 0};
    struct fit_vec line = fit_plus(none, -1, w->sides[0]);
    if (backwards) // the first bend is the last that was walked, met from its other end
        line = fit_turned(fit_plus(none, -1, w->sides[bends - 1]), w->axes[bends - 1],
                          w->angles[bends - 1]);
    out->line[0] = line;
    for (int i = 0; i < bends; i++) {
        int b = backwards ? bends - 1 - i : i;
        line = fit_turned(line, w->axes[b], backwards ? -w->angles[b] : w->angles[b]);
    }
    out->line[1] = line;
}

static void turn_round(struct fit_round *t) {
    for (int i = 0, k = t->limb_count - 1; i <= k; i++, k--) {
        struct fit_limb a = t->limbs[i], b = t->limbs[k];
        t->limbs[i] = (struct fit_limb){b.to, b.from};
        t->limbs[k] = (struct fit_limb){a.to, a.from};
    }
    struct fit_vec out = t->out[0];
    t->out[0] = t->out[1];
    t->out[1] = out;
}

void fit_read_round(struct fit_reader *r, json_t *from, struct fit_round *out) {
    json_t *rows = read_list(r, from, "bends", FIT_MOST_BENDS),
           *lies = json_object_get(from, "lies");
    int bends = (int)json_array_size(rows);
    struct walk *w = KW_NEW(r->arena, struct walk);
    struct fit_vec none = {0, 0, 0};
    out->od = fit_number(r, from, "od", 1e-3, MOST_MM);
    w->at = read_vec(r, lies, "at", 3);
    w->along = read_direction(r, lies, "along");
    w->side = read_direction(r, lies, "side");
    if (!(fabs(fit_dot(w->along, w->side)) < 1e-6)) fit_refuse(r, "lies: side is not square");
    bool backwards = strcmp(fit_word(r, lies, "from"), "end") == 0;
    out->limb_count = bends + 1;
    out->limbs = KW_NEW_ARRAY(r->arena, struct fit_limb, bends + 1);
    out->out[0] = fit_plus(none, -1, w->along);
    out->line[0] = out->line[1] = fit_plus(none, -1, w->side);
    for (int i = 0; i < bends; i++) {
        json_t *row = json_array_get(rows, (size_t)i);
        walk_straight(w, fit_number(r, row, "feed", 0, MOST_MM), &out->limbs[i]);
        walk_bend(r, w, i, row);
    }
    walk_straight(w, fit_number(r, from, "last", 0, MOST_MM), &out->limbs[bends]);
    out->out[1] = w->along;
    if (bends > 0) scribe(w, bends, backwards, out);
    if (backwards) turn_round(out);
}

// ------------------------------------------------------------------------------------- sheets

static struct fit_vec bent(struct fit_vec p, const struct fit_bend *b, double thickness) {
    struct fit_vec from = fit_plus(p, -1, b->middle);
    double beyond = fit_dot(from, b->out) - b->half, aside = fit_dot(from, b->along);
    // Over the axis of the bend, which stands above the zone's near edge, or under it.
    double high = b->up ? b->radius - p.z : thickness + b->radius + p.z;
    double out = -b->half + high * sin(b->angle) + beyond * cos(b->angle);
    double up = high - high * cos(b->angle) + beyond * sin(b->angle);
    struct fit_vec q = fit_plus(fit_plus(b->middle, aside, b->along), out, b->out);
    q.z = b->up ? p.z + up : p.z - up;
    return q;
}

struct fit_frame fit_face(const struct fit_sheet *s, int face) {
    struct fit_vec none = {0, 0, 0};
    struct fit_frame f = {none, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    struct fit_vec corner[4] = {f.zero, f.x, f.y, f.z};
    for (int b = face - 1; b >= 0; b = s->bends[b].beyond)
        for (int i = 0; i < 4; i++)
            corner[i] = bent(corner[i], &s->bends[b], s->thickness);
    f.zero = corner[0];
    f.x = fit_plus(corner[1], -1, corner[0]);
    f.y = fit_plus(corner[2], -1, corner[0]);
    f.z = fit_plus(corner[3], -1, corner[0]);
    return f;
}

static bool inside_outline(const struct fit_sheet *s, double u, double v) {
    bool in = false;
    for (int i = 0, k = s->corner_count - 1; i < s->corner_count; k = i++) {
        const struct fit_vec *a = &s->corners[i], *b = &s->corners[k];
        if ((a->y > v) != (b->y > v) && u < (b->x - a->x) * (v - a->y) / (b->y - a->y) + a->x)
            in = !in;
    }
    return in;
}

bool fit_on_face(const struct fit_sheet *s, int face, double u, double v) {
    if (!inside_outline(s, u, v)) return false;
    for (int i = 0; i < s->bend_count; i++) {
        const struct fit_bend *b = &s->bends[i];
        struct fit_vec from = fit_plus((struct fit_vec){u, v, 0}, -1, b->middle);
        double beyond = fit_dot(from, b->out), aside = fabs(fit_dot(from, b->along));
        if (i == face - 1 && beyond < b->half - 1e-6) return false;
        if (b->beyond == face - 1 && aside < b->length / 2 && beyond > -b->half + 1e-6)
            return false;
    }
    return true;
}

static void read_outline(struct fit_reader *r, json_t *list, struct fit_sheet *s) {
    int n = (int)json_array_size(list);
    s->corners = KW_NEW_ARRAY(r->arena, struct fit_vec, n * CHORDS + 1);
    for (int i = 0; i < n; i++) {
        double x[3], y[2];
        for (size_t k = 0; k < 3; k++)
            x[k] = as_number(r, json_array_get(json_array_get(list, (size_t)i), k), "outer",
                             -MOST_MM, MOST_MM);
        for (size_t k = 0; k < 2; k++)
            y[k] = as_number(r, json_array_get(json_array_get(list, (size_t)((i + 1) % n)), k),
                             "outer", -MOST_MM, MOST_MM);
        // The point of an arc at the part p of its sweep: over the chord by the tangent of half
        // the sweep so far.
        double sweep = 4 * atan(x[2]), dx = y[0] - x[0], dy = y[1] - x[1];
        int chords = fabs(x[2]) > 1e-9 ? CHORDS : 1;
        for (int c = 0; c < chords; c++) {
            double a = sweep * c / chords, part = c ? sin(a / 2) / sin(sweep / 2) : 0;
            double turn = (a - sweep) / 2;
            s->corners[s->corner_count++] =
                (struct fit_vec){x[0] + part * (dx * cos(turn) - dy * sin(turn)),
                                 x[1] + part * (dx * sin(turn) + dy * cos(turn)), 0};
        }
    }
}

static int bend_named(const struct fit_sheet *s, int before, const char *id) {
    for (int i = 0; i < before; i++)
        if (strcmp(s->bends[i].id, id) == 0) return i;
    return -1;
}

static void read_bend(struct fit_reader *r, json_t *from, int i, struct fit_sheet *s) {
    struct fit_bend *b = &s->bends[i];
    struct fit_vec a = read_vec(r, from, "from", 2), c = read_vec(r, from, "to", 2), none = {0};
    struct fit_vec way = fit_plus(c, -1, a);
    b->id = fit_word(r, from, "id");
    b->length = fit_length(way);
    if (!(b->length > 0)) fit_refuse(r, "bends: a line of no length");
    b->along = fit_plus(none, 1 / b->length, way);
    b->out = (struct fit_vec){-b->along.y, b->along.x, 0};
    b->middle = fit_plus(a, 0.5, way);
    b->angle = fit_number(r, from, "angle", 0, 360) * FIT_DEGREE;
    b->radius = fit_number(r, from, "radius", 0, MOST_MM);
    b->half = fit_number(r, from, "allowance", 0, MOST_MM) / 2;
    b->up = strcmp(fit_word(r, from, "toward"), "up") == 0;
    const char *before = fit_word(r, from, "beyond");
    b->beyond = bend_named(s, i, before);
    if (*before && b->beyond < 0) fit_refuse(r, "bends: beyond names no bend before it");
}

static void read_sheet(struct fit_reader *r, json_t *from, struct fit_sheet *s) {
    json_t *bends = read_list(r, from, "bends", FIT_MOST_BENDS);
    s->thickness = fit_number(r, from, "thickness", 1e-3, MOST_MM);
    s->mirror = fit_number(r, from, "mirror", 0, MOST_MM);
    read_outline(r, read_list(r, from, "outer", FIT_MOST_CORNERS), s);
    s->bend_count = (int)json_array_size(bends);
    s->bends = KW_NEW_ARRAY(r->arena, struct fit_bend, s->bend_count + 1);
    for (int i = 0; i < s->bend_count; i++)
        read_bend(r, json_array_get(bends, (size_t)i), i, s);
}

// ------------------------------------------------------------------------------------- kits

static void read_shape(struct fit_reader *r, json_t *from, struct fit_shape *s) {
    s->part = fit_word(r, from, "part");
    const char *kind = fit_word(r, from, "kind");
    if (strcmp(kind, "round") == 0) {
        s->kind = FIT_ROUND;
        fit_read_round(r, from, &s->round);
    } else if (strcmp(kind, "bar") == 0) {
        s->kind = FIT_BAR;
        struct fit_vec size = read_vec(r, from, "size", 3);
        s->size[0] = size.x, s->size[1] = size.y, s->size[2] = size.z;
    } else if (strcmp(kind, "sheet") == 0) {
        s->kind = FIT_SHEET;
        read_sheet(r, from, &s->sheet);
    } else {
        fit_refuse(r, "kind: expected round, bar or sheet");
    }
}

static void read_piece(struct fit_reader *r, json_t *from, struct fit_piece *p) {
    static const struct fit_vec axes[3] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    p->name = fit_word(r, from, "piece");
    p->part = fit_word(r, from, "part");
    p->mirrored = strcmp(fit_word(r, from, "hand"), "right") == 0;
    p->place = (struct fit_frame){read_vec(r, from, "at", 3), axes[0], axes[1], axes[2]};
    json_t *turns = read_list(r, from, "turns", 100);
    for (size_t i = 0; i < json_array_size(turns); i++) {
        json_t *turn = json_array_get(turns, i);
        const char *axis = json_string_value(json_array_get(turn, 0));
        double angle = as_number(r, json_array_get(turn, 1), "turns", -MOST_MM, MOST_MM);
        if (!axis || strlen(axis) != 1 || !strchr("xyz", *axis)) {
            fit_refuse(r, "turns: expected x, y or z");
            return;
        }
        struct fit_vec about = axes[*axis - 'x'];
        p->place.x = fit_turned(p->place.x, about, angle * FIT_DEGREE);
        p->place.y = fit_turned(p->place.y, about, angle * FIT_DEGREE);
        p->place.z = fit_turned(p->place.z, about, angle * FIT_DEGREE);
    }
}

void fit_read_kit(struct fit_reader *r, json_t *from, struct fit_kit *out) {
    out->name = r->where = fit_word(r, from, "kit");
    json_t *pieces = read_list(r, from, "pieces", 100000);
    json_t *shapes = read_list(r, from, "shapes", 100000);
    out->piece_count = (int)json_array_size(pieces);
    out->shape_count = (int)json_array_size(shapes);
    out->pieces = KW_NEW_ARRAY(r->arena, struct fit_piece, out->piece_count + 1);
    out->shapes = KW_NEW_ARRAY(r->arena, struct fit_shape, out->shape_count + 1);
    for (int i = 0; r->status == KW_OK && i < out->piece_count; i++)
        read_piece(r, json_array_get(pieces, (size_t)i), &out->pieces[i]);
    for (int i = 0; r->status == KW_OK && i < out->shape_count; i++)
        read_shape(r, json_array_get(shapes, (size_t)i), &out->shapes[i]);
}
