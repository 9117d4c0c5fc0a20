// SPDX-License-Identifier: Apache-2.0
// Whether flats of the finished part run into each other.
#include "shape/inside.h"

#define DEEPER_MM 0.1 // what only touches, or rubs by rounding, is no clash

/// A triangle of a face's top with the metal below it, in space.
struct prism {
    struct kw_vec3 corner[6];
    struct kw_vec3 axis[4]; // normals: of the face, of the three sides
    struct kw_vec3 edge[4]; // directions: the three sides, through the metal
    struct kw_box3 box;
};

struct prisms {
    struct prism *v;
    int count;
    struct kw_box3 box;
};

static void cover(struct kw_box3 *box, struct kw_vec3 p) {
    box->min = kw_v3(fmin(box->min.x, p.x), fmin(box->min.y, p.y), fmin(box->min.z, p.z));
    box->max = kw_v3(fmax(box->max.x, p.x), fmax(box->max.y, p.y), fmax(box->max.z, p.z));
}

static struct kw_box3 empty(void) {
    return (struct kw_box3){{INFINITY, INFINITY, INFINITY}, {-INFINITY, -INFINITY, -INFINITY}};
}

static bool apart(struct kw_box3 a, struct kw_box3 b) {
    return a.max.x - b.min.x < DEEPER_MM || b.max.x - a.min.x < DEEPER_MM ||
           a.max.y - b.min.y < DEEPER_MM || b.max.y - a.min.y < DEEPER_MM ||
           a.max.z - b.min.z < DEEPER_MM || b.max.z - a.min.z < DEEPER_MM;
}

static struct prism make_prism(const struct kw_vec2 *flat, const int triangle[3], double thickness,
                               struct kw_move3 m) {
    struct prism p = {.box = empty()};
    for (int i = 0; i < 3; i++) {
        struct kw_vec2 q = flat[triangle[i]];
        p.corner[i] = kw_move3_point(m, kw_v3(q.x, q.y, 0));
        p.corner[i + 3] = kw_move3_point(m, kw_v3(q.x, q.y, -thickness));
        cover(&p.box, p.corner[i]);
        cover(&p.box, p.corner[i + 3]);
    }
    p.axis[0] = p.edge[3] = kw_move3_direction(m, kw_v3(0, 0, 1));
    for (int i = 0; i < 3; i++) {
        struct kw_vec3 d = kw_sub3(p.corner[(i + 1) % 3], p.corner[i]);
        p.edge[i] = kw_scale3(d, 1 / kw_length3(d));
        p.axis[i + 1] = kw_cross3(p.edge[i], p.axis[0]);
    }
    return p;
}

static struct prisms face_prisms(struct kw_arena *a, const struct kw_body *body, int face,
                                 struct kw_move3 m) {
    struct prisms all = {.box = empty()};
    int n, count = 0, (*triangles)[3] = NULL;
    struct kw_vec2 *flat =
        kw_path_chords(a, &body->faces[face].shape.outer, 10 * KW_CHORD_MM, KW_CHORD_INSIDE, &n);
    const int starts[2] = {0, n};
    if (!kw_triangulate(a, flat, starts, 1, &triangles, &count)) return all;
    for (int i = 0; i < count; i++) {
        struct prism p = make_prism(flat, triangles[i], body->thickness, m);
        KW_PUSH(a, all.v, all.count) = p;
        cover(&all.box, p.box.min);
        cover(&all.box, p.box.max);
    }
    return all;
}

/// Whether the two are apart along `axis` (or meet by less than DEEPER_MM).
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
    return fmin(hi[0] - lo[1], hi[1] - lo[0]) < DEEPER_MM * length;
}

static bool meet(const struct prism *p, const struct prism *q) {
    if (apart(p->box, q->box)) return false;
    for (int i = 0; i < 4; i++)
        if (parts_them(p, q, p->axis[i]) || parts_them(p, q, q->axis[i])) return false;
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 4; k++)
            if (parts_them(p, q, kw_cross3(p->edge[i], q->edge[k]))) return false;
    return true;
}

static bool faces_meet(const struct prisms *f, const struct prisms *g, struct kw_vec3 *at) {
    if (f->count == 0 || g->count == 0 || apart(f->box, g->box)) return false;
    for (int i = 0; i < f->count; i++)
        for (int k = 0; k < g->count; k++) {
            const struct kw_box3 *p = &f->v[i].box, *q = &g->v[k].box;
            if (!meet(&f->v[i], &g->v[k])) continue;
            at->x = (fmax(p->min.x, q->min.x) + fmin(p->max.x, q->max.x)) / 2;
            at->y = (fmax(p->min.y, q->min.y) + fmin(p->max.y, q->max.y)) / 2;
            at->z = (fmax(p->min.z, q->min.z) + fmin(p->max.z, q->max.z)) / 2;
            return true;
        }
    return false;
}

static bool joined(const struct kw_body *body, int i, int k) {
    int a = body->faces[i].bend, b = body->faces[k].bend;
    return (a >= 0 && body->bends[a].parent == k) || (b >= 0 && body->bends[b].parent == i);
}

bool kw_body_clash(const struct kw_body *body, int faces[2], struct kw_vec3 *at) {
    struct kw_arena scratch = {0};
    bool found = false;
    struct kw_move3 *m = kw_body_fold(&scratch, body, 1);
    struct prisms *all = KW_NEW_ARRAY(&scratch, struct prisms, body->face_count);
    for (int i = 0; i < body->face_count; i++)
        all[i] = face_prisms(&scratch, body, i, m[i]);
    for (int i = 0; i < body->face_count && !found; i++)
        for (int k = i + 1; k < body->face_count && !found; k++) {
            if (joined(body, i, k) || !faces_meet(&all[i], &all[k], at)) continue;
            found = true;
            faces[0] = i;
            faces[1] = k;
        }
    kw_arena_free(&scratch);
    return found;
}
