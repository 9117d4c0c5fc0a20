// SPDX-License-Identifier: Apache-2.0
// What can be touched on the picture of a part: each size's own words, its path in the kit file,
// and the two points of the finished form between which it is drawn.
#include "server/form.h"

#include <string.h>

enum { FINE = 6 };

struct sizes {
    struct kw_json *j;
    struct kw_arena *arena;
    const struct look *look;
    const struct kw_examined *what;
    struct kw_move3 *fold; // of a sheet part's faces
};

static void put(struct sizes *s, const char *says, const char *kind, const struct kw_node *node,
                struct kw_vec3 at, struct kw_vec3 along) {
    if (!node || node->kind != KW_SCALAR || node->to == node->from) return;
    kw_json_open(s->j, '{');
    kw_json_key_text(s->j, "says", says);
    kw_json_key_text(s->j, "kind", kind);
    kw_json_key_text(s->j, "value", node->text);
    put_path(s->j, "path", s->look->kit->node, node);
    kw_json_key_count(s->j, "line", node->at.line);
    put_point(s->j, "at", &at.x, 3, FINE);
    put_point(s->j, "along", &along.x, 3, FINE);
    kw_json_close(s->j);
}

// ------------------------------------------------------------------------------------ sheet parts

/// A point of a face as holes on it are told, on the side that is outside when it is finished.
static struct kw_vec3 told(const struct sizes *s, int flange, struct kw_vec2 p) {
    const struct kw_body *body = s->what->body;
    int face = kw_body_flange_face(body, flange);
    struct kw_vec2 q = kw_move2_point(kw_body_told(body, flange), p);
    return kw_move3_point(s->fold[face], kw_v3(q.x, q.y, 0));
}

static void base_sizes(struct sizes *s) {
    const struct kw_base *b = &s->what->part->base;
    if (!b->node) return;
    double l = b->length, w = b->width;
    put(s, "length of the base", "length", kw_node_get(b->node, "long"), kw_v3(0, 0, 0),
        kw_v3(l, 0, 0));
    put(s, "width of the base", "length", kw_node_get(b->node, "wide"), kw_v3(0, 0, 0),
        kw_v3(0, w, 0));
    put(s, "diameter of the base", "length", kw_node_get(b->node, "circle"), kw_v3(0, w / 2, 0),
        kw_v3(l, w / 2, 0));
    put(s, "across the base", "length", kw_node_get(b->node, "across"), kw_v3(0, w / 2, 0),
        kw_v3(l, w / 2, 0));
}

static void round_sizes(struct sizes *s) {
    const struct kw_base *b = &s->what->part->base;
    if (!b->round.node) return;
    double l = b->length, w = b->width;
    const struct {
        const char *key;
        double x, y, radius;
    } corners[] = {{"front-left", 0, 0, b->round.front_left},
                   {"front-right", l, 0, b->round.front_right},
                   {"back-right", l, w, b->round.back_right},
                   {"back-left", 0, w, b->round.back_left}};
    for (int i = 0; i < 4; i++) {
        double x = corners[i].x > 0 ? -corners[i].radius : corners[i].radius;
        double y = corners[i].y > 0 ? -corners[i].radius : corners[i].radius;
        put(s, kw_format(s->arena, "radius of the corner %s", corners[i].key), "radius",
            kw_node_get(b->round.node, corners[i].key), kw_v3(corners[i].x, corners[i].y, 0),
            kw_v3(corners[i].x + x, corners[i].y + y, 0));
    }
}

static void flange_sizes(struct sizes *s, int index) {
    const struct kw_body *body = s->what->body;
    const struct kw_flange *f = KW_ITEM(struct kw_flange, s->what->part->bends, index);
    int face = kw_body_flange_face(body, index);
    struct kw_box2 box = kw_path_box(&body->faces[face].shape.outer);
    double x = (box.min.x + box.max.x) / 2, z = f->way == KW_UP ? -body->thickness : 0;
    struct kw_vec3 foot = kw_move3_point(s->fold[face], kw_v3(x, 0, z));
    struct kw_vec3 top = kw_move3_point(s->fold[face], kw_v3(x, box.max.y, z));
    if (!f->node) return;
    put(s, kw_format(s->arena, "height of flange %s", f->name), "length",
        kw_node_get(f->node, "height"), foot, top);
    put(s, kw_format(s->arena, "angle of flange %s", f->name), "angle",
        kw_node_get(f->node, "turn"), foot, foot);
    put(s, kw_format(s->arena, "step of flange %s", f->name), "length",
        kw_node_get(f->node, "offset"), foot, top);
    put(s, kw_format(s->arena, "radius of flange %s", f->name), "radius",
        kw_node_get(f->node, "radius"), foot, foot);
    put(s, kw_format(s->arena, "flange %s keeps from its edge's start", f->name), "length",
        kw_node_get(f->node, "from_start"),
        kw_move3_point(s->fold[face], kw_v3(box.min.x, box.max.y, z)),
        kw_move3_point(s->fold[face], kw_v3(box.min.x - f->from_start, box.max.y, z)));
    put(s, kw_format(s->arena, "flange %s keeps from its edge's end", f->name), "length",
        kw_node_get(f->node, "from_end"),
        kw_move3_point(s->fold[face], kw_v3(box.max.x, box.max.y, z)),
        kw_move3_point(s->fold[face], kw_v3(box.max.x + f->from_end, box.max.y, z)));
}

static double first_of(const struct kw_items *list) {
    return list->count > 0 ? *KW_ITEM(double, *list, 0) : 0;
}

/// One of the lists that say where holes are: each of its numbers from the face's edge to the hole.
static void place_sizes(struct sizes *s, const struct kw_hole *h, const char *name, const char *key,
                        const struct kw_items *list, bool up, double other) {
    const struct kw_node *node = kw_node_get(h->node, key);
    for (int i = 0; node && i < list->count; i++) {
        double v = *KW_ITEM(double, *list, i);
        const struct kw_node *at =
            node->kind == KW_LIST && i < node->count ? &node->items[i] : node;
        struct kw_vec2 from = up ? kw_v2(other, 0) : kw_v2(0, other);
        struct kw_vec2 to = up ? kw_v2(other, v) : kw_v2(v, other);
        put(s, kw_format(s->arena, "%s, %s", name, key), "length", at, told(s, h->flange, from),
            told(s, h->flange, to));
    }
}

static void hole_sizes(struct sizes *s, int index) {
    const struct kw_hole *h = KW_ITEM(struct kw_hole, s->what->part->holes, index);
    int count;
    struct kw_hole_spot *spots = kw_hole_spots(s->arena, s->what->part, h, &count);
    if (!h->node || count == 0) return;
    const char *name = kw_format(s->arena, "hole %d", index + 1);
    double r = h->size / 2;
    struct kw_vec2 at = spots[0].at;
    put(s, kw_format(s->arena, "%s, size", name), "diameter", kw_node_get(h->node, "size"),
        told(s, h->flange, kw_v2(at.x - r, at.y)), told(s, h->flange, kw_v2(at.x + r, at.y)));
    put(s, kw_format(s->arena, "%s, bolt", name), "word", kw_node_get(h->node, "bolt"),
        told(s, h->flange, kw_v2(at.x - r, at.y)), told(s, h->flange, kw_v2(at.x + r, at.y)));
    put(s, kw_format(s->arena, "%s, length of the slot", name), "length",
        kw_node_get(h->node, "slot"), told(s, h->flange, kw_v2(at.x - h->slot / 2, at.y)),
        told(s, h->flange, kw_v2(at.x + h->slot / 2, at.y)));
    bool low = h->flange >= 0; // along the bend by from_left or from_front, up from the bottom
    const struct kw_items *across = h->from_left.count > 0 || !low ? &h->from_left : &h->from_front;
    const struct kw_items *up = low ? &h->from_bottom : &h->from_front;
    place_sizes(s, h, name, across == &h->from_left ? "from_left" : "from_front", across, false,
                first_of(up));
    place_sizes(s, h, name, low ? "from_bottom" : "from_front", up, true, first_of(across));
}

static void sheet_sizes(struct sizes *s) {
    s->fold = kw_body_fold(s->arena, s->what->body, 1);
    base_sizes(s);
    round_sizes(s);
    for (int i = 0; i < s->what->part->bends.count; i++)
        flange_sizes(s, i);
    for (int i = 0; i < s->what->part->holes.count; i++)
        hole_sizes(s, i);
}

// ---------------------------------------------------------------------------------- tubes and bars

/// Straights and turns as they are told, in words.
static void shape_sizes(struct sizes *s, const struct kw_tube_table *t) {
    const struct kw_part *part = s->what->part;
    const struct kw_node *list = kw_node_get(part->node, "shape");
    for (int i = 0; list && i < list->count && i < part->shape.count; i++) {
        struct kw_vec3 from, to, next;
        if (i / 2 > t->count) return;
        kw_tube_straight_ends(t, i / 2, &from, &to);
        if (i % 2 == 0) {
            put(s, kw_format(s->arena, "straight %d", i / 2 + 1), "step", &list->items[i], from,
                to);
        } else if (i / 2 + 1 <= t->count) {
            kw_tube_straight_ends(t, i / 2 + 1, &next, &from);
            put(s, kw_format(s->arena, "turn %d", i / 2 + 1), "step", &list->items[i], to, next);
        }
    }
}

static void row_sizes(struct sizes *s, const struct kw_tube_table *t) {
    const struct kw_part *part = s->what->part;
    for (int i = 0; i < part->bend_table.count && i <= t->count; i++) {
        const struct kw_bender_row *row = KW_ITEM(struct kw_bender_row, part->bend_table, i);
        struct kw_vec3 from, to;
        kw_tube_straight_ends(t, i, &from, &to);
        put(s, kw_format(s->arena, "straight %d", i + 1), "length",
            kw_node_get(row->node, "straight"), from, to);
        put(s, kw_format(s->arena, "angle of bend %d", i + 1), "angle",
            kw_node_get(row->node, "angle"), to, to);
        put(s, kw_format(s->arena, "rotation before bend %d", i + 1), "angle",
            kw_node_get(row->node, "rotate"), to, to);
    }
}

static void stick_sizes(struct sizes *s) {
    const struct kw_part *part = s->what->part;
    if (!form_is_bent(s->what)) {
        put(s, "length", "length", kw_node_get(part->node, "length"), kw_v3(0, 0, 0),
            kw_v3(part->length, 0, 0));
        return;
    }
    const struct kw_tube_table *t = form_table(s->arena, s->what);
    shape_sizes(s, t);
    row_sizes(s, t);
}

void look_sizes(struct kw_json *j, struct kw_arena *scratch, const struct look *look,
                const struct kw_examined *what) {
    struct sizes s = {.j = j, .arena = scratch, .look = look, .what = what};
    kw_json_key(j, "sizes");
    kw_json_open(j, '[');
    if (what->body)
        sheet_sizes(&s);
    else if (what->tube)
        stick_sizes(&s);
    kw_json_close(j);
}
