// SPDX-License-Identifier: Apache-2.0
// Where each face stands at t, the arcs between them, and the exact box of the finished part.
#include "shape/inside.h"

struct bend_frame shape_bend_frame(const struct kw_body *body, int bend, double t) {
    const struct kw_bend *b = &body->bends[bend];
    struct kw_move2 joint =
        kw_move2_then(body->faces[b->child].flat, kw_move2_inverse(body->faces[b->parent].flat));
    struct kw_vec2 edge = kw_move2_point(joint, kw_v2(0, b->setback - b->allowance));
    struct bend_frame f = {.along = {joint.c, joint.s, 0}, .out = {-joint.s, joint.c, 0}};
    f.theta = b->angle * t;
    f.sign = b->way == KW_DOWN ? -1 : 1;
    f.inner = f.theta > 1e-9 ? b->allowance / f.theta - b->k * body->thickness : INFINITY;
    f.centre = kw_v3(edge.x, edge.y, 0);
    return f;
}

// In (out, z) seen from the tangent line: up, the axis lies at z = inner above the top face; down,
// at the same distance below the lower face.
struct kw_vec3 shape_bend_point(const struct kw_body *body, int bend, const struct bend_frame *f,
                                double s, double x, double z, double scale) {
    double out, up, depth = -z;
    if (isinf(f->inner)) {
        out = body->bends[bend].allowance * s;
        up = z;
    } else {
        double turned = f->theta * s;
        double axis = f->sign > 0 ? f->inner : -body->thickness - f->inner;
        double radius = f->sign > 0 ? f->inner + depth : f->inner + body->thickness - depth;
        out = scale * radius * sin(turned);
        up = axis - f->sign * scale * radius * cos(turned);
    }
    struct kw_vec3 p = kw_add3(f->centre, kw_scale3(f->along, x));
    p = kw_add3(p, kw_scale3(f->out, out));
    p.z += up;
    return p;
}

/// Child's face frame to parent's at t.
static struct kw_move3 joint_at(const struct kw_body *body, int bend, double t) {
    struct bend_frame f = shape_bend_frame(body, bend, t);
    double c = cos(f.theta), s = f.sign * sin(f.theta);
    struct kw_vec3 y = kw_add3(kw_scale3(f.out, c), kw_v3(0, 0, s));
    struct kw_vec3 z = kw_add3(kw_scale3(f.out, -s), kw_v3(0, 0, c));
    struct kw_vec3 start = shape_bend_point(body, bend, &f, 1, 0, 0, 1);
    struct kw_move3 m = {
        .r = {{f.along.x, y.x, z.x}, {f.along.y, y.y, z.y}, {f.along.z, y.z, z.z}}};
    m.t = kw_sub3(start, kw_scale3(y, body->bends[bend].setback));
    return m;
}

double shape_bent(const struct kw_body *body, int bend, struct pose pose) {
    if (pose.each) return pose.each[bend];
    return pose.hands_flat && body->bends[bend].kind == KW_BEND_HAND ? 0 : pose.t;
}

struct kw_move3 *shape_fold(struct kw_arena *a, const struct kw_body *body, struct pose pose) {
    struct kw_move3 *m = KW_NEW_ARRAY(a, struct kw_move3, body->face_count);
    m[0] = kw_move3_none();
    for (int i = 1; i < body->face_count; i++) {
        int bend = body->faces[i].bend;
        m[i] = kw_move3_then(joint_at(body, bend, shape_bent(body, bend, pose)),
                             m[body->bends[bend].parent]);
    }
    return m;
}

struct kw_move3 *kw_body_fold(struct kw_arena *a, const struct kw_body *body, double t) {
    return shape_fold(a, body, (struct pose){.t = t});
}

struct kw_move3 *kw_body_fold_shipped(struct kw_arena *a, const struct kw_body *body) {
    return shape_fold(a, body, (struct pose){.t = 1, .hands_flat = true});
}

struct kw_move3 *kw_body_fold_each(struct kw_arena *a, const struct kw_body *body,
                                   const double *turns) {
    return shape_fold(a, body, (struct pose){.t = 1, .each = turns});
}

struct kw_bend_middle kw_body_bend_middle(const struct kw_body *body, const double *turns,
                                          int bend) {
    struct kw_arena scratch = {0};
    struct kw_move3 *m = shape_fold(&scratch, body, (struct pose){.t = 1, .each = turns});
    struct kw_move3 parent = m[body->bends[bend].parent];
    struct bend_frame f = shape_bend_frame(body, bend, turns[bend]);
    double x0, x1, half = f.theta / 2, outside = f.sign > 0 ? -body->thickness : 0;
    shape_zone_ends(body, bend, body->bends[bend].child, &x0, &x1);
    struct kw_vec3 at = shape_bend_point(body, bend, &f, 0.5, (x0 + x1) / 2, outside, 1);
    struct kw_vec3 along = kw_add3(kw_scale3(f.out, cos(half)), kw_v3(0, 0, f.sign * sin(half)));
    struct kw_vec3 in = kw_add3(kw_scale3(f.out, -sin(half)), kw_v3(0, 0, f.sign * cos(half)));
    kw_arena_free(&scratch);
    return (struct kw_bend_middle){kw_move3_point(parent, at), kw_move3_direction(parent, along),
                                   kw_move3_direction(parent, in)};
}

// ----------------------------------------------------------------------------- box

static void cover(struct kw_box3 *box, int axis, double lo, double hi) {
    double *min[3] = {&box->min.x, &box->min.y, &box->min.z};
    double *max[3] = {&box->max.x, &box->max.y, &box->max.z};
    *min[axis] = fmin(*min[axis], lo);
    *max[axis] = fmax(*max[axis], hi);
}

/// A face along one axis of space: its outline's extent in that direction, at both surfaces.
static void cover_face(struct kw_box3 *box, const struct kw_body *body, int face,
                       struct kw_move3 m) {
    struct kw_arena scratch = {0};
    const double t[3] = {m.t.x, m.t.y, m.t.z};
    for (int axis = 0; axis < 3; axis++) {
        double gx = m.r[axis][0], gy = m.r[axis][1], gz = m.r[axis][2];
        double g = hypot(gx, gy), lo = 0, hi = 0;
        if (g > 1e-12) {
            struct kw_move2 turn = {gx / g, -gy / g, 0, 0, false};
            struct kw_path p = kw_path_moved(&scratch, &body->faces[face].shape.outer, turn);
            struct kw_box2 b = kw_path_box(&p);
            lo = g * b.min.x;
            hi = g * b.max.x;
        }
        double below = -gz * body->thickness;
        cover(box, axis, t[axis] + lo + fmin(0, below), t[axis] + hi + fmax(0, below));
    }
    kw_arena_free(&scratch);
}

void shape_zone_ends(const struct kw_body *body, int bend, int face, double *x0, double *x1) {
    const struct kw_path *p = &body->faces[face].shape.outer;
    struct kw_move2 to_child = kw_move2_then(
        body->faces[face].flat, kw_move2_inverse(body->faces[body->bends[bend].child].flat));
    *x0 = INFINITY;
    *x1 = -INFINITY;
    for (int i = 0; i < p->count; i++) {
        if (p->v[i].tag != KW_TANGENT_TAG + bend) continue;
        for (int k = 0; k < 2; k++) {
            const struct kw_vertex *v = &p->v[(i + k) % p->count];
            double x = kw_move2_point(to_child, kw_v2(v->x, v->y)).x;
            *x0 = fmin(*x0, x);
            *x1 = fmax(*x1, x);
        }
    }
}

/// The outer and inner arcs at the zone's ends: their ends belong to faces, their furthest points
/// in between may stand out.
static void cover_bend(struct kw_box3 *box, const struct kw_body *body, int bend, double t,
                       struct kw_move3 parent) {
    const struct kw_bend *b = &body->bends[bend];
    struct bend_frame f = shape_bend_frame(body, bend, t);
    double x[2];
    shape_zone_ends(body, bend, b->child, &x[0], &x[1]);
    struct kw_vec3 out = kw_move3_direction(parent, f.out);
    const double o[3] = {out.x, out.y, out.z};
    const double z[3] = {parent.r[0][2], parent.r[1][2], parent.r[2][2]};
    for (int axis = 0; axis < 3; axis++)
        for (int half = 0; half < 2; half++) {
            // the arc is out sin(turned) - sign z cos(turned): furthest where its slope is nothing
            double furthest = atan2(o[axis], -f.sign * z[axis]) + half * KW_PI;
            while (furthest > KW_PI)
                furthest -= 2 * KW_PI;
            if (!(furthest > 0) || !(furthest < f.theta)) continue;
            for (int k = 0; k < 4; k++) {
                struct kw_vec3 q = shape_bend_point(body, bend, &f, furthest / f.theta, x[k % 2],
                                                    k < 2 ? 0 : -body->thickness, 1);
                q = kw_move3_point(parent, q);
                const double c[3] = {q.x, q.y, q.z};
                cover(box, axis, c[axis], c[axis]);
            }
        }
}

struct kw_box3 shape_box(struct kw_arena *a, const struct kw_body *body, struct pose pose) {
    struct kw_box3 box = {{INFINITY, INFINITY, INFINITY}, {-INFINITY, -INFINITY, -INFINITY}};
    struct kw_move3 *m = shape_fold(a, body, pose);
    for (int i = 0; i < body->face_count; i++)
        cover_face(&box, body, i, m[i]);
    for (int i = 0; i < body->bend_count; i++)
        cover_bend(&box, body, i, shape_bent(body, i, pose), m[body->bends[i].parent]);
    return box;
}
