// SPDX-License-Identifier: Apache-2.0
// Where pieces stand in the product, and the frames in which holes and edges of a face are told.
#include "shape/stand.h"

static struct kw_move3 turn_about(int axis, double angle) {
    struct kw_vec3 a = kw_v3(axis == 0, axis == 1, axis == 2);
    return kw_move3_turn(kw_v3(0, 0, 0), a, angle);
}

struct kw_move3 stand_place(const struct kw_standing *s, const struct kw_body *body) {
    struct kw_move3 m = kw_move3_none();
    if (s->hand == KW_RIGHT_HAND && body) { // the other hand: mirrored left to right
        m.r[0][0] = -1;
        m.t.x = body->part->base.length;
    }
    for (int i = 0; i < s->turns.count; i++) {
        const struct kw_axis_turn *t = KW_ITEM(struct kw_axis_turn, s->turns, i);
        m = kw_move3_then(m, turn_about(t->axis, t->angle));
    }
    m.t = kw_add3(m.t, kw_v3(s->at[0], s->at[1], s->at[2]));
    return m;
}

struct kw_move3 kw_standing_place(const struct kw_standing *s, const struct kw_body *body) {
    return stand_place(s, body);
}

struct kw_vec3 stand_back(struct kw_move3 m, struct kw_vec3 p) {
    struct kw_vec3 d = kw_sub3(p, m.t);
    return kw_v3(m.r[0][0] * d.x + m.r[1][0] * d.y + m.r[2][0] * d.z,
                 m.r[0][1] * d.x + m.r[1][1] * d.y + m.r[2][1] * d.z,
                 m.r[0][2] * d.x + m.r[1][2] * d.y + m.r[2][2] * d.z);
}

struct kw_vec3 stand_back_direction(struct kw_move3 m, struct kw_vec3 d) {
    m.t = kw_v3(0, 0, 0);
    return stand_back(m, d);
}

// ----------------------------------------------------------------------------- edges of faces

/// The longest straight segment of a face's outline that lies on the line through `at` along
/// `way`, metal on its left.
static bool along_line(const struct kw_path *p, struct kw_vec2 at, struct kw_vec2 way,
                       struct kw_vec2 ends[2]) {
    double longest = 0;
    for (int i = 0; i < p->count; i++) {
        struct kw_segment s = kw_path_segment(p, i);
        if (s.radius > 0 || p->v[i].tag >= KW_TANGENT_TAG) continue;
        struct kw_vec2 d = kw_sub2(s.b, s.a);
        double length = kw_length2(d);
        bool on = fabs(kw_cross2(way, kw_sub2(s.a, at))) <= 1e-3 &&
                  fabs(kw_cross2(way, kw_sub2(s.b, at))) <= 1e-3 && kw_dot2(way, d) > 0;
        if (!on || length <= longest) continue;
        longest = length;
        ends[0] = s.a;
        ends[1] = s.b;
    }
    return longest > 0;
}

/// Outer edge of a flange: the furthest line away from its bend.
static bool outer_edge(const struct kw_path *p, struct kw_vec2 ends[2]) {
    struct kw_box2 box = kw_path_box(p);
    return along_line(p, kw_v2(0, box.max.y), kw_v2(-1, 0), ends);
}

bool stand_edge(const struct kw_body *body, const struct kw_part *part, int flange, int edge,
                int outline_edge, struct kw_vec2 ends[2]) {
    const struct kw_path *p = &body->faces[kw_body_flange_face(body, flange)].shape.outer;
    if (flange >= 0) return outer_edge(p, ends);
    double l = part->base.length, w = part->base.width;
    switch (edge) {
    case KW_EDGE_FRONT:
        return along_line(p, kw_v2(0, 0), kw_v2(1, 0), ends);
    case KW_EDGE_RIGHT:
        return along_line(p, kw_v2(l, 0), kw_v2(0, 1), ends);
    case KW_EDGE_BACK:
        return along_line(p, kw_v2(0, w), kw_v2(-1, 0), ends);
    case KW_EDGE_LEFT:
        return along_line(p, kw_v2(0, 0), kw_v2(0, -1), ends);
    default:
        break;
    }
    for (int i = 0; i < part->base.outline.count; i++) {
        struct kw_segment s = kw_path_segment(&part->base.outline, i);
        if (part->base.outline.v[i].tag != outline_edge || s.radius > 0) continue;
        return along_line(p, s.a, kw_segment_direction(s, 0), ends);
    }
    return false;
}
