// SPDX-License-Identifier: Apache-2.0
// Edges as a kit file tells them, found again on the blank.
#include "shape/inside.h"

#include <stdio.h>
#include <string.h>

#define ON_EDGE_MM 0.01

int shape_drawn_edge(const struct kw_path *outline, int number) {
    int first = 0, n = outline->count;
    for (int k = 1; k < n; k++) {
        struct kw_vec2 p = {outline->v[k].x, outline->v[k].y};
        struct kw_vec2 q = {outline->v[first].x, outline->v[first].y};
        if (p.x < q.x - KW_SAME_POINT_MM || (p.x <= q.x + KW_SAME_POINT_MM && p.y < q.y)) first = k;
    }
    for (int k = 0; k < n; k++) {
        int at = (first + k) % n;
        if (kw_path_segment(outline, at).radius == 0 && --number == 0) return at;
    }
    return -1;
}

/// Whether a piece of the blank, in the base's frame, lies on edge `number` of the base's outline.
static bool on_outline_edge(const struct kw_part *part, struct kw_segment s, int number) {
    const struct kw_path *outline = part->flat ? &part->drawing.outer : &part->base.outline;
    int drawn = part->flat ? shape_drawn_edge(outline, number) : -1;
    struct kw_vec2 middle = kw_segment_point(s, 0.5);
    for (int i = 0; i < outline->count; i++) {
        if (part->flat ? i != drawn : outline->v[i].tag != number) continue;
        struct kw_segment e = kw_path_segment(outline, i);
        if (kw_segment_distance(e, s.a) <= ON_EDGE_MM &&
            kw_segment_distance(e, s.b) <= ON_EDGE_MM &&
            kw_segment_distance(e, middle) <= ON_EDGE_MM)
            return true;
    }
    return false;
}

/// Whether a straight piece lies on a side of a box: 0 front, 1 right, 2 back, 3 left. What goes on
/// past its corner, as the side of a flange does, is another edge.
static bool on_side(struct kw_segment s, struct kw_box2 box, int side) {
    if (s.radius > 0) return false;
    double a = side % 2 ? s.a.x : s.a.y, b = side % 2 ? s.b.x : s.b.y;
    double at = side == 0 ? box.min.y : side == 1 ? box.max.x : side == 2 ? box.max.y : box.min.x;
    struct kw_vec2 middle = kw_segment_point(s, 0.5);
    bool beside = side % 2 ? middle.y >= box.min.y && middle.y <= box.max.y
                           : middle.x >= box.min.x && middle.x <= box.max.x;
    return beside && fabs(a - at) <= ON_EDGE_MM && fabs(b - at) <= ON_EDGE_MM;
}

static struct kw_box2 base_box(const struct kw_body *body) {
    const struct kw_part *part = body->part;
    if (part->flat) return kw_path_box(&part->drawing.outer);
    return (struct kw_box2){{0, 0}, {part->base.length, part->base.width}};
}

bool kw_body_on_edge(const struct kw_body *body, int segment, const char *name) {
    static const char *const sides[] = {"front", "right", "back", "left"};
    struct kw_segment s = kw_path_segment(&body->blank.outer, segment);
    int number, flange = kw_flange_named(body->part, name);
    int face = kw_body_flange_face(body, flange);
    struct kw_move2 back = kw_move2_inverse(body->faces[face].flat);
    s = kw_segment_make(kw_move2_point(back, s.a), kw_move2_point(back, s.b), s.bulge);
    if (flange >= 0) return on_side(s, kw_path_box(&body->faces[face].shape.outer), 2);
    for (int i = 0; i < 4; i++)
        if (strcmp(name, sides[i]) == 0) return on_side(s, base_box(body), i);
    return sscanf(name, "edge %d", &number) == 1 && on_outline_edge(body->part, s, number);
}
