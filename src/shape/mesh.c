// SPDX-License-Identifier: Apache-2.0
// The folded body as a closed mesh and as lines. Faces are chords of their flat at two heights,
// with walls along what is not a tangent line; each bend is a strip of sections that starts and
// ends on the points of its two faces.
#include "shape/inside.h"

#define CORNER_COS 0.94 // outline corners sharper than 20 degrees get an upright line

struct chord {
    struct kw_vec2 from;
    int tag;
    bool within; // in the middle of an arc
};

/// Lines to draw, as pairs of points of the mesh; `v` NULL and `wanted` false: none are asked for.
struct lines {
    int (*v)[2];
    int count;
    bool wanted;
};

/// A face's chords as points of the mesh: chain by chain (outer first), top and bottom.
struct skin {
    struct chord *v;
    struct kw_vec2 *flat; // the points alone
    int *starts;          // chains + 1
    int chains, count;
    int first; // index of point 0's top in the mesh; its bottom follows `count` later
};

static void add_chain(struct kw_arena *a, struct skin *s, const struct kw_path *p) {
    int n = kw_path_segments(p);
    for (int i = 0; i < n; i++) {
        struct kw_segment seg = kw_path_segment(p, i);
        int steps = 1;
        if (seg.radius > 0) {
            double most = 2 * acos(fmax(0.5, 1 - KW_CHORD_MM / seg.radius));
            steps = (int)fmax(1, ceil(fabs(seg.sweep) / most));
        }
        for (int k = 0; k < steps; k++) {
            KW_PUSH(a, s->v, s->count) =
                (struct chord){kw_segment_point(seg, (double)k / steps), p->v[i].tag, k > 0};
        }
    }
    s->starts[++s->chains] = s->count;
}

static struct skin make_skin(struct kw_arena *a, const struct kw_face *f) {
    struct skin s = {.starts = KW_NEW_ARRAY(a, int, f->shape.hole_count + 2)};
    add_chain(a, &s, &f->shape.outer);
    for (int i = 0; i < f->shape.hole_count; i++)
        add_chain(a, &s, &f->shape.holes[i]);
    s.flat = KW_NEW_ARRAY(a, struct kw_vec2, s.count);
    for (int i = 0; i < s.count; i++)
        s.flat[i] = s.v[i].from;
    return s;
}

static int after(const struct skin *s, int chain, int i) {
    return i + 1 < s->starts[chain + 1] ? i + 1 : s->starts[chain];
}

static void quad(struct kw_arena *a, struct kw_mesh *m, int i, int j, int k, int l) {
    kw_mesh_triangle(a, m, i, j, k);
    kw_mesh_triangle(a, m, i, k, l);
}

static void add_line(struct kw_arena *a, struct lines *l, int p, int q) {
    int(*at)[2] = &KW_PUSH(a, l->v, l->count);
    (*at)[0] = p;
    (*at)[1] = q;
}

static bool mesh_face(struct kw_arena *a, struct kw_arena *scratch, const struct kw_body *body,
                      struct skin *s, struct kw_move3 move, struct kw_mesh *out) {
    s->first = out->point_count;
    for (int side = 0; side < 2; side++)
        for (int i = 0; i < s->count; i++) {
            double z = side ? -body->thickness : 0;
            kw_mesh_point(a, out, kw_move3_point(move, kw_v3(s->flat[i].x, s->flat[i].y, z)));
        }
    int(*triangles)[3] = NULL;
    int count = 0;
    if (!kw_triangulate(scratch, s->flat, s->starts, s->chains, &triangles, &count)) return false;
    for (int i = 0; i < count; i++) {
        int p = s->first + triangles[i][0], q = s->first + triangles[i][1];
        int r = s->first + triangles[i][2];
        kw_mesh_triangle(a, out, p, q, r);
        kw_mesh_triangle(a, out, p + s->count, r + s->count, q + s->count);
    }
    for (int c = 0; c < s->chains; c++)
        for (int i = s->starts[c]; i < s->starts[c + 1]; i++) {
            if (s->v[i].tag >= KW_TANGENT_TAG) continue;
            int p = s->first + i, q = s->first + after(s, c, i);
            quad(a, out, p, p + s->count, q + s->count, q);
        }
    return true;
}

/// The two points (indices in the skin) of the tangent line of `bend`, as the outline runs.
static void tangent_points(const struct skin *s, int bend, int *from, int *to) {
    for (int i = 0; i < s->starts[1]; i++)
        if (s->v[i].tag == KW_TANGENT_TAG + bend) {
            *from = i;
            *to = after(s, 0, i);
            return;
        }
    kw_assert(false);
}

/// Factor for the radii of the inner points of an arc of `theta` in n steps, ends on the true
/// radius, that makes the section exact: sin d (2 s + (n - 2) s^2) = theta, d = theta/n, from the
/// triangles between neighbouring radii.
static double exact_scale(double theta, int n) {
    if (!(theta > 1e-9)) return 1;
    double wanted = theta / sin(theta / n);
    if (n == 2) return wanted / 2;
    double m = n - 2;
    return (sqrt(1 + m * wanted) - 1) / m;
}

/// Four points of a section: top and bottom at the low and the high x of the child's frame.
struct section {
    int top[2], low[2];
};

static struct section face_section(const struct skin *s, int lo, int hi) {
    struct section c = {{s->first + lo, s->first + hi}, {0, 0}};
    for (int i = 0; i < 2; i++)
        c.low[i] = c.top[i] + s->count;
    return c;
}

static void join_sections(struct kw_arena *a, struct kw_mesh *out, const struct section *p,
                          const struct section *q) {
    quad(a, out, p->top[0], p->top[1], q->top[1], q->top[0]);
    quad(a, out, p->low[0], q->low[0], q->low[1], p->low[1]);
    quad(a, out, p->low[1], q->low[1], q->top[1], p->top[1]);
    quad(a, out, p->low[0], p->top[0], q->top[0], q->low[0]);
}

static double x_in_child(const struct kw_body *body, int bend, int face, struct kw_vec2 p) {
    struct kw_move2 m = kw_move2_then(body->faces[face].flat,
                                      kw_move2_inverse(body->faces[body->bends[bend].child].flat));
    return kw_move2_point(m, p).x;
}

static void mesh_bend(struct kw_arena *a, const struct kw_body *body, int bend,
                      const struct skin *skins, struct kw_move3 parent, double t, double step,
                      struct kw_mesh *out, struct lines *lines) {
    const struct kw_bend *b = &body->bends[bend];
    const struct skin *p = &skins[b->parent], *c = &skins[b->child];
    int p0, p1, c0, c1; // the parent's outline runs against the child's x, the child's along it
    tangent_points(p, bend, &p1, &p0);
    tangent_points(c, bend, &c0, &c1);
    double from[2] = {x_in_child(body, bend, b->parent, p->flat[p0]),
                      x_in_child(body, bend, b->parent, p->flat[p1])};
    double to[2] = {c->flat[c0].x, c->flat[c1].x};
    struct bend_frame f = shape_bend_frame(body, bend, t);
    int n = (int)fmax(2, ceil(b->angle / step - 1e-9)); // of the finished bend: the same at every t
    double scale = exact_scale(f.theta, n);
    struct section last = face_section(p, p0, p1), next;
    for (int k = 1; k <= n; k++) {
        double s = (double)k / n;
        if (k == n) next = face_section(c, c0, c1);
        for (int e = 0; k < n && e < 2; e++) {
            double x = from[e] + (to[e] - from[e]) * s;
            struct kw_vec3 top = shape_bend_point(body, bend, &f, s, x, 0, scale);
            struct kw_vec3 low = shape_bend_point(body, bend, &f, s, x, -body->thickness, scale);
            next.top[e] = kw_mesh_point(a, out, kw_move3_point(parent, top));
            next.low[e] = kw_mesh_point(a, out, kw_move3_point(parent, low));
        }
        join_sections(a, out, &last, &next);
        for (int e = 0; lines->wanted && e < 2; e++) {
            add_line(a, lines, last.top[e], next.top[e]);
            add_line(a, lines, last.low[e], next.low[e]);
        }
        last = next;
    }
}

static bool sharp(struct kw_vec2 p, struct kw_vec2 q, struct kw_vec2 r) {
    struct kw_vec2 in = kw_sub2(q, p), out = kw_sub2(r, q);
    return kw_dot2(in, out) < CORNER_COS * kw_length2(in) * kw_length2(out);
}

/// A face's outlines above and below, and uprights at their corners; tangent lines are no edges.
static void line_face(struct kw_arena *a, const struct skin *s, struct lines *lines) {
    for (int c = 0; c < s->chains; c++) {
        int before = s->starts[c + 1] - 1;
        for (int i = s->starts[c]; i < s->starts[c + 1]; i++) {
            int p = s->first + i, next = after(s, c, i), q = s->first + next;
            if (s->v[i].tag < KW_TANGENT_TAG) {
                add_line(a, lines, p, q);
                add_line(a, lines, p + s->count, q + s->count);
            }
            if (!s->v[i].within && sharp(s->flat[before], s->flat[i], s->flat[next]))
                add_line(a, lines, p, p + s->count);
            before = i;
        }
    }
}

static bool mesh_body(struct kw_arena *a, const struct kw_body *body, struct pose pose, double step,
                      struct kw_mesh *out, struct lines *lines) {
    kw_assert(step > 0 && pose.t >= 0 && pose.t <= 1);
    struct kw_arena scratch = {0};
    struct kw_move3 *move = shape_fold(&scratch, body, pose);
    struct skin *skins = KW_NEW_ARRAY(&scratch, struct skin, body->face_count);
    bool done = true;
    for (int i = 0; i < body->face_count && done; i++) {
        skins[i] = make_skin(&scratch, &body->faces[i]);
        done = mesh_face(a, &scratch, body, &skins[i], move[i], out);
        if (done && lines->wanted) line_face(a, &skins[i], lines);
    }
    for (int i = 0; i < body->bend_count && done; i++)
        mesh_bend(a, body, i, skins, move[body->bends[i].parent], shape_bent(body, i, pose), step,
                  out, lines);
    kw_arena_free(&scratch);
    return done;
}

bool kw_body_mesh(struct kw_arena *a, const struct kw_body *body, double t, double step,
                  struct kw_mesh *out) {
    struct lines none = {0};
    return mesh_body(a, body, (struct pose){.t = t}, step, out, &none);
}

bool kw_body_mesh_lined(struct kw_arena *a, const struct kw_body *body, double t, double step,
                        struct kw_mesh *out, int (**lines)[2], int *line_count) {
    struct lines all = {.wanted = true};
    bool done = mesh_body(a, body, (struct pose){.t = t}, step, out, &all);
    *lines = all.v;
    *line_count = all.count;
    return done;
}

bool kw_body_mesh_each(struct kw_arena *a, const struct kw_body *body, const double *turns,
                       double step, struct kw_mesh *out, int (**lines)[2], int *line_count) {
    struct lines all = {.wanted = true};
    bool done = mesh_body(a, body, (struct pose){.t = 1, .each = turns}, step, out, &all);
    *lines = all.v;
    *line_count = all.count;
    return done;
}

bool kw_body_mesh_shipped(struct kw_arena *a, const struct kw_body *body, double step,
                          struct kw_mesh *out) {
    struct lines none = {0};
    return mesh_body(a, body, (struct pose){.t = 1, .hands_flat = true}, step, out, &none);
}

// ----------------------------------------------------------------------------- lines

struct edges {
    struct kw_arena *arena;
    struct kw_edge3 *v;
    int count;
    struct kw_move3 move;
};

static void line(struct edges *e, struct kw_vec3 p, struct kw_vec3 q) {
    KW_PUSH(e->arena, e->v, e->count) =
        (struct kw_edge3){kw_move3_point(e->move, p), kw_move3_point(e->move, q)};
}

static void face_lines(struct edges *e, const struct kw_body *body, const struct skin *s) {
    double low = -body->thickness;
    for (int c = 0; c < s->chains; c++) {
        int before = s->starts[c + 1] - 1;
        for (int i = s->starts[c]; i < s->starts[c + 1]; i++) {
            struct kw_vec2 p = s->flat[i], q = s->flat[after(s, c, i)];
            line(e, kw_v3(p.x, p.y, 0), kw_v3(q.x, q.y, 0));
            line(e, kw_v3(p.x, p.y, low), kw_v3(q.x, q.y, low));
            if (!s->v[i].within && sharp(s->flat[before], p, q))
                line(e, kw_v3(p.x, p.y, 0), kw_v3(p.x, p.y, low));
            before = i;
        }
    }
}

static void bend_lines(struct edges *e, const struct kw_body *body, int bend,
                       const struct skin *skins, double t) {
    const struct kw_bend *b = &body->bends[bend];
    const struct skin *p = &skins[b->parent], *c = &skins[b->child];
    int p0, p1, c0, c1;
    tangent_points(p, bend, &p1, &p0);
    tangent_points(c, bend, &c0, &c1);
    double from[2] = {x_in_child(body, bend, b->parent, p->flat[p0]),
                      x_in_child(body, bend, b->parent, p->flat[p1])};
    double to[2] = {c->flat[c0].x, c->flat[c1].x};
    struct bend_frame f = shape_bend_frame(body, bend, t);
    int n = (int)fmax(1, ceil(f.theta / (KW_PI / 24)));
    for (int side = 0; side < 2; side++)
        for (int end = 0; end < 2; end++)
            for (int k = 0; k < n; k++) {
                double s0 = (double)k / n, s1 = (double)(k + 1) / n;
                double z = side ? -body->thickness : 0, d = to[end] - from[end];
                line(e, shape_bend_point(body, bend, &f, s0, from[end] + d * s0, z, 1),
                     shape_bend_point(body, bend, &f, s1, from[end] + d * s1, z, 1));
            }
}

struct kw_edge3 *kw_body_edges(struct kw_arena *a, const struct kw_body *body, double t,
                               int *count) {
    struct kw_arena scratch = {0};
    struct kw_move3 *move = kw_body_fold(&scratch, body, t);
    struct skin *skins = KW_NEW_ARRAY(&scratch, struct skin, body->face_count);
    struct edges e = {.arena = a};
    for (int i = 0; i < body->face_count; i++) {
        skins[i] = make_skin(&scratch, &body->faces[i]);
        e.move = move[i];
        face_lines(&e, body, &skins[i]);
    }
    for (int i = 0; i < body->bend_count; i++) {
        e.move = move[body->bends[i].parent];
        bend_lines(&e, body, i, skins, t);
    }
    kw_arena_free(&scratch);
    *count = e.count;
    return e.v;
}
