// SPDX-License-Identifier: Apache-2.0
// Triangular prisms and the axes that part them.
#include "shape/prism.h"

#define BEND_STEP (KW_PI / 18) // of a bend zone: chords within 1/250 of its radius

static void cover(struct kw_box3 *box, struct kw_vec3 p) {
    box->min = kw_v3(fmin(box->min.x, p.x), fmin(box->min.y, p.y), fmin(box->min.z, p.z));
    box->max = kw_v3(fmax(box->max.x, p.x), fmax(box->max.y, p.y), fmax(box->max.z, p.z));
}

static struct kw_box3 empty(void) {
    return (struct kw_box3){{INFINITY, INFINITY, INFINITY}, {-INFINITY, -INFINITY, -INFINITY}};
}

static bool apart(const struct kw_box3 *a, const struct kw_box3 *b) {
    return a->max.x - b->min.x < SHAPE_DEEPER_MM || b->max.x - a->min.x < SHAPE_DEEPER_MM ||
           a->max.y - b->min.y < SHAPE_DEEPER_MM || b->max.y - a->min.y < SHAPE_DEEPER_MM ||
           a->max.z - b->min.z < SHAPE_DEEPER_MM || b->max.z - a->min.z < SHAPE_DEEPER_MM;
}

static struct kw_vec3 unit(struct kw_vec3 v) {
    double length = kw_length3(v);
    return length > 0 ? kw_scale3(v, 1 / length) : v;
}

void shape_add_prism(struct kw_arena *a, struct prisms *all, const struct kw_vec3 triangle[3],
                     struct kw_vec3 through) {
    struct prism p = {.box = empty()};
    for (int i = 0; i < 3; i++) {
        p.corner[i] = triangle[i];
        p.corner[i + 3] = kw_add3(triangle[i], through);
        cover(&p.box, p.corner[i]);
        cover(&p.box, p.corner[i + 3]);
    }
    p.edge[3] = unit(through);
    for (int i = 0; i < 3; i++) {
        p.edge[i] = unit(kw_sub3(p.corner[(i + 1) % 3], p.corner[i]));
        p.axis[i + 1] = kw_cross3(p.edge[i], p.edge[3]);
    }
    p.axis[0] = kw_cross3(p.edge[0], p.edge[1]);
    if (all->count == 0) all->box = empty();
    cover(&all->box, p.box.min);
    cover(&all->box, p.box.max);
    KW_PUSH(a, all->v, all->count) = p;
}

static void chain(struct kw_arena *a, const struct kw_path *p, bool outer, struct kw_vec2 **flat,
                  int *count) {
    int n;
    struct kw_vec2 *v =
        kw_path_chords(a, p, 10 * KW_CHORD_MM, outer ? KW_CHORD_INSIDE : KW_CHORD_OUTSIDE, &n);
    for (int i = 0; i < n; i++)
        KW_PUSH(a, *flat, *count) = v[i];
}

void shape_face_prisms(struct kw_arena *a, const struct kw_body *body, int face, struct kw_move3 m,
                       struct prisms *all) {
    const struct kw_region *shape = &body->faces[face].shape;
    int n = 0, count = 0, (*triangles)[3] = NULL;
    int *starts = KW_NEW_ARRAY(a, int, shape->hole_count + 2);
    struct kw_vec2 *flat = NULL;
    chain(a, &shape->outer, true, &flat, &n);
    for (int i = 0; i < shape->hole_count; i++) {
        starts[i + 1] = n;
        chain(a, &shape->holes[i], false, &flat, &n);
    }
    starts[shape->hole_count + 1] = n;
    if (!kw_triangulate(a, flat, starts, shape->hole_count + 1, &triangles, &count)) return;
    struct kw_vec3 through = kw_move3_direction(m, kw_v3(0, 0, -body->thickness));
    for (int i = 0; i < count; i++) {
        struct kw_vec3 p[3];
        for (int k = 0; k < 3; k++) {
            struct kw_vec2 q = flat[triangles[i][k]];
            p[k] = kw_move3_point(m, kw_v3(q.x, q.y, 0));
        }
        shape_add_prism(a, all, p, through);
    }
}

void shape_bend_prisms(struct kw_arena *a, const struct kw_body *body, int bend, struct kw_move3 m,
                       struct prisms *all) {
    const struct kw_bend *b = &body->bends[bend];
    struct bend_frame f = shape_bend_frame(body, bend, 1);
    struct kw_move2 back = kw_move2_inverse(body->faces[b->child].flat);
    double x0 = kw_move2_point(back, b->from).x, x1 = kw_move2_point(back, b->to).x;
    struct kw_vec3 through = kw_move3_direction(m, kw_scale3(f.along, x1 - x0));
    int steps = (int)fmax(1, ceil(b->angle / BEND_STEP - 1e-9));
    for (int k = 0; k < steps; k++) {
        struct kw_vec3 q[4];
        for (int i = 0; i < 4; i++) {
            double s = (double)(k + (i == 1 || i == 2)) / steps;
            double z = i >= 2 ? -body->thickness : 0;
            q[i] = kw_move3_point(m, shape_bend_point(body, bend, &f, s, x0, z, 1));
        }
        const struct kw_vec3 one[3] = {q[0], q[1], q[2]}, two[3] = {q[0], q[2], q[3]};
        shape_add_prism(a, all, one, through);
        shape_add_prism(a, all, two, through);
    }
}

/// Whether the two are apart along `axis` (or meet by less than SHAPE_DEEPER_MM).
static bool parts_them(const struct prism *p, const struct prism *q, struct kw_vec3 axis) {
    double length = kw_length3(axis), lo[2] = {INFINITY, INFINITY}, hi[2] = {-INFINITY, -INFINITY};
    if (!(length > 1e-6)) return false; // of two parallel edges: the other axes tell
    for (int i = 0; i < 6; i++) {
        double at[2] = {kw_dot3(p->corner[i], axis), kw_dot3(q->corner[i], axis)};
        for (int k = 0; k < 2; k++) {
            lo[k] = fmin(lo[k], at[k]);
            hi[k] = fmax(hi[k], at[k]);
        }
    }
    return fmin(hi[0] - lo[1], hi[1] - lo[0]) < SHAPE_DEEPER_MM * length;
}

static bool meet(const struct prism *p, const struct prism *q) {
    if (apart(&p->box, &q->box)) return false;
    for (int i = 0; i < 4; i++)
        if (parts_them(p, q, p->axis[i]) || parts_them(p, q, q->axis[i])) return false;
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 4; k++)
            if (parts_them(p, q, kw_cross3(p->edge[i], q->edge[k]))) return false;
    return true;
}

bool shape_prisms_meet(const struct prisms *f, const struct prisms *g, struct kw_vec3 *at) {
    if (f->count == 0 || g->count == 0 || apart(&f->box, &g->box)) return false;
    for (int i = 0; i < f->count; i++) {
        if (apart(&f->v[i].box, &g->box)) continue;
        for (int k = 0; k < g->count; k++) {
            const struct kw_box3 *p = &f->v[i].box, *q = &g->v[k].box;
            if (!meet(&f->v[i], &g->v[k])) continue;
            at->x = (fmax(p->min.x, q->min.x) + fmin(p->max.x, q->max.x)) / 2;
            at->y = (fmax(p->min.y, q->min.y) + fmin(p->max.y, q->max.y)) / 2;
            at->z = (fmax(p->min.z, q->min.z) + fmin(p->max.z, q->max.z)) / 2;
            return true;
        }
    }
    return false;
}
