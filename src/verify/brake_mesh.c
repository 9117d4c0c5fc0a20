// SPDX-License-Identifier: Apache-2.0
#include "verify/brake_mesh.h"

#include <math.h>

#define ROUND_STEPS 8
#define BUMP_SIDES  16

void bent_apply(const struct bent_map *m, const double p[3], double out[3]) {
    for (int i = 0; i < 3; i++)
        out[i] = m->m[i][0] * p[0] + m->m[i][1] * p[1] + m->m[i][2] * p[2] + m->t[i];
}

/// first, then second.
static struct bent_map chain(const struct bent_map *first, const struct bent_map *second) {
    struct bent_map out;
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++) {
            out.m[i][j] = 0;
            for (int k = 0; k < 3; k++)
                out.m[i][j] += second->m[i][k] * first->m[k][j];
        }
    bent_apply(second, first->t, out.t);
    return out;
}

static struct bent_map undo(const struct bent_map *m) {
    struct bent_map out;
    for (int i = 0; i < 3; i++) {
        out.t[i] = 0;
        for (int j = 0; j < 3; j++) {
            out.m[i][j] = m->m[j][i];
            out.t[i] -= m->m[j][i] * m->t[j];
        }
    }
    return out;
}

/// A turn by `angle` of the plane (n, z) about the line through (q, h) along the bend.
static struct bent_map turned(const double n[2], const double q[2], double h, double angle) {
    double c = cos(angle), s = sin(angle);
    struct bent_map out = {{{1 + (c - 1) * n[0] * n[0], (c - 1) * n[0] * n[1], -s * n[0]},
                            {(c - 1) * n[0] * n[1], 1 + (c - 1) * n[1] * n[1], -s * n[1]},
                            {s * n[0], s * n[1], c}},
                           {0, 0, 0}};
    double at[3] = {q[0], q[1], h}, moved[3];
    bent_apply(&out, at, moved);
    for (int i = 0; i < 3; i++)
        out.t[i] = at[i] - moved[i];
    return out;
}

/// A bend as it is by now: a hem is wider and rounder before it is flattened.
struct form {
    double angle, radius, zone;
};

static struct form form_of(const struct kw_bent_bend *b, int state, double share) {
    struct form f = {b->angle, b->radius, b->allowance};
    if (!b->hem) return f;
    double to = state == 2 ? 1 : state == 3 ? share : 0;
    f.angle = b->angle * (1 - to) + 3.14159265358979323846 * to;
    f.radius = b->first_radius * (1 - to) + b->radius * to;
    f.zone = b->first_zone * (1 - to) + b->allowance * to;
    return f;
}

/// The child's place in the blank to where the bend, `turned_by` of it made, puts it.
static struct bent_map bend_map(const struct kw_bent_part *part, const struct kw_bent_bend *b,
                                struct form f, double turned_by) {
    double rim[2] = {b->from[0] - b->normal[0] * f.zone / 2,
                     b->from[1] - b->normal[1] * f.zone / 2};
    double h = b->down ? -f.radius : part->thickness + f.radius;
    struct bent_map turn = turned(b->normal, rim, h, (b->down ? -1 : 1) * f.angle * turned_by);
    struct bent_map back = {{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
                            {-b->normal[0] * f.zone, -b->normal[1] * f.zone, 0}};
    return chain(&back, &turn);
}

void bent_fold(const struct kw_bent_part *part, const unsigned char *made, double share,
               struct bent_map *maps) {
    struct bent_map none = {{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, {0, 0, 0}};
    for (int i = 0; i < part->face_count; i++)
        maps[i] = none;
    // A face's map is the product of the bends above it, nearest first.
    for (int f = 1; f < part->face_count; f++)
        for (int at = f, left = part->bend_count; at != 0 && left > 0; left--)
            for (int b = 0; b < part->bend_count; b++) {
                if (part->bends[b].child != at) continue;
                if (made[b]) {
                    struct form form = form_of(&part->bends[b], made[b], share);
                    struct bent_map m = bend_map(part, &part->bends[b], form, 1);
                    maps[f] = chain(&maps[f], &m);
                }
                at = part->bends[b].parent;
                break;
            }
}

struct bent_map bent_stroke_frame(const struct kw_bent_part *part, const struct kw_bent_stroke *s) {
    const struct kw_bent_bend *b = &part->bends[s->bends[0]];
    double w = s->child_behind ? 1 : -1, over = b->down ? -1 : 1;
    double u[2] = {w * b->normal[0], w * b->normal[1]};
    double mid[2] = {(b->from[0] + b->to[0]) / 2, (b->from[1] + b->to[1]) / 2};
    struct bent_map out = {{{u[0], u[1], 0}, {-over * u[1], over * u[0], 0}, {0, 0, over}},
                           {-(u[0] * mid[0] + u[1] * mid[1]),
                            over * (u[1] * mid[0] - u[0] * mid[1]), b->down ? part->thickness : 0}};
    return out;
}

// ---------------------------------------------------------------------------------- triangles

static double turn2(const double a[2], const double b[2], const double c[2]) {
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

/// Ears cut off a simple counter-clockwise outline; triangles as indices. Returns their number.
static int cut_ears(struct kw_arena *a, const double (*at)[2], int count, int (*out)[3]) {
    int *left = kw_alloc(a, (size_t)count * sizeof *left), n = count, made = 0;
    for (int i = 0; i < n; i++)
        left[i] = i;
    for (int tries = 0, i = 0; n > 2 && tries <= n; tries++, i = (i + 1) % n) {
        int p = left[(i + n - 1) % n], q = left[i], r = left[(i + 1) % n];
        bool ear = turn2(at[p], at[q], at[r]) > 0;
        for (int k = 0; k < n && ear; k++) {
            const double *x = at[left[k]];
            if (left[k] == p || left[k] == q || left[k] == r) continue;
            ear = turn2(at[p], at[q], x) < 0 || turn2(at[q], at[r], x) < 0 ||
                  turn2(at[r], at[p], x) < 0;
        }
        if (!ear && fabs(turn2(at[p], at[q], at[r])) > 1e-12) continue;
        if (ear) {
            out[made][0] = p;
            out[made][1] = q;
            out[made++][2] = r;
        }
        for (int k = i; k + 1 < n; k++)
            left[k] = left[k + 1];
        n--;
        tries = -1;
        i = i % n;
    }
    return made;
}

static void add(struct kw_arena *a, struct bent_mesh *mesh, const double *p, const double *q,
                const double *r, int leg, int face) {
    struct bent_triangle t = {.leg = leg, .face = face};
    for (int k = 0; k < 3; k++) {
        t.p[0][k] = p[k];
        t.p[1][k] = q[k];
        t.p[2][k] = r[k];
    }
    KW_PUSH(a, mesh->v, mesh->count) = t;
}

/// A prism between two rings of points that correspond.
static void add_prism(struct kw_arena *a, struct bent_mesh *mesh, double (*low)[3],
                      double (*high)[3], int n, int (*caps)[3], int cap_count, int leg, int face) {
    for (int i = 0; i < cap_count; i++) {
        add(a, mesh, low[caps[i][0]], low[caps[i][1]], low[caps[i][2]], leg, face);
        add(a, mesh, high[caps[i][0]], high[caps[i][1]], high[caps[i][2]], leg, face);
    }
    for (int i = 0; i < n; i++) {
        int k = (i + 1) % n;
        add(a, mesh, low[i], low[k], high[k], leg, face);
        add(a, mesh, low[i], high[k], high[i], leg, face);
    }
}

static void add_face(struct kw_arena *a, struct bent_mesh *mesh, const struct kw_bent_part *part,
                     int face, const struct bent_map *m, int leg) {
    const struct kw_bent_face *f = &part->faces[face];
    size_t n = (size_t)f->count;
    double(*ring[2])[3] = {kw_alloc(a, n * sizeof *ring[0]), kw_alloc(a, n * sizeof *ring[0])};
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < f->count; i++) {
            double p[3] = {f->at[i][0], f->at[i][1], s * part->thickness};
            bent_apply(m, p, ring[s][i]);
        }
    int(*caps)[3] = kw_alloc(a, n * sizeof *caps);
    int cap_count = cut_ears(a, f->at, f->count, caps);
    add_prism(a, mesh, ring[0], ring[1], f->count, caps, cap_count, leg, face);
}

static void add_round(struct kw_arena *a, struct bent_mesh *mesh, const struct kw_bent_part *part,
                      int bend, struct form form, const struct bent_map *parent, int leg) {
    const struct kw_bent_bend *b = &part->bends[bend];
    int caps[2][3] = {{0, 1, 2}, {0, 2, 3}};
    for (int k = 0; k < ROUND_STEPS; k++) {
        double ring[2][4][3];
        for (int s = 0; s < 2; s++)
            for (int i = 0; i < 4; i++) {
                const double *end = i == 0 || i == 3 ? b->from : b->to;
                double p[3] = {end[0] + b->normal[0] * form.zone / 2,
                               end[1] + b->normal[1] * form.zone / 2, s * part->thickness};
                double q[3];
                struct bent_map m = bend_map(part, b, form, (double)(k + (i > 1)) / ROUND_STEPS);
                bent_apply(&m, p, q);
                bent_apply(parent, q, ring[s][i]);
            }
        add_prism(a, mesh, ring[0], ring[1], 4, caps, 2, leg, b->child);
    }
}

static void add_bump(struct kw_arena *a, struct bent_mesh *mesh, const struct kw_bent_part *part,
                     const struct kw_bent_bump *b, const struct bent_map *m, int leg) {
    double ring[2][BUMP_SIDES][3];
    int caps[BUMP_SIDES - 2][3];
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < BUMP_SIDES; i++) {
            double turn = 2 * 3.14159265358979323846 * i / BUMP_SIDES;
            double z = b->down ? -b->height * s : part->thickness + b->height * s;
            double p[3] = {b->at[0] + b->radius * cos(turn), b->at[1] + b->radius * sin(turn), z};
            bent_apply(m, p, ring[s][i]);
        }
    for (int i = 0; i < BUMP_SIDES - 2; i++) {
        caps[i][0] = 0;
        caps[i][1] = i + 1;
        caps[i][2] = i + 2;
    }
    add_prism(a, mesh, ring[0], ring[1], BUMP_SIDES, caps, BUMP_SIDES - 2, leg, b->face);
}

static bool hangs_on(const struct kw_bent_part *part, int face, const struct kw_bent_stroke *s) {
    for (int left = part->bend_count; face != 0 && left > 0; left--)
        for (int b = 0; b < part->bend_count; b++) {
            if (part->bends[b].child != face) continue;
            for (int k = 0; k < s->bend_count; k++)
                if (s->bends[k] == b) return true;
            face = part->bends[b].parent;
            break;
        }
    return false;
}

struct bent_mesh bent_part_mesh(struct kw_arena *a, const struct kw_bent_part *part,
                                const struct kw_bent_stroke *s, const unsigned char *made,
                                double share) {
    struct bent_mesh mesh = {0};
    struct bent_map *maps = kw_alloc(a, (size_t)part->face_count * sizeof *maps);
    bent_fold(part, made, share, maps);
    struct bent_map home = undo(&maps[part->bends[s->bends[0]].parent]);
    struct bent_map frame = bent_stroke_frame(part, s), to = chain(&home, &frame);
    for (int f = 0; f < part->face_count; f++) {
        struct bent_map m = chain(&maps[f], &to);
        add_face(a, &mesh, part, f, &m, hangs_on(part, f, s) == s->child_behind ? 1 : -1);
    }
    for (int i = 0; i < part->bump_count; i++) {
        int f = part->bumps[i].face, after = part->bumps[i].after;
        if (after > 0 && !made[after - 1]) continue; // not flared yet
        struct bent_map m = chain(&maps[f], &to);
        add_bump(a, &mesh, part, &part->bumps[i], &m,
                 hangs_on(part, f, s) == s->child_behind ? 1 : -1);
    }
    for (int b = 0; b < part->bend_count; b++) {
        if (!made[b]) continue;
        struct bent_map m = chain(&maps[part->bends[b].parent], &to);
        bool child = hangs_on(part, part->bends[b].child, s);
        add_round(a, &mesh, part, b, form_of(&part->bends[b], made[b], share), &m,
                  child == s->child_behind ? 1 : -1);
    }
    return mesh;
}

struct bent_mesh bent_tool_mesh(struct kw_arena *a, const struct kw_bent_tool *tool, double grow,
                                double up) {
    struct bent_mesh mesh = {0};
    int n = tool->count;
    double(*at)[2] = kw_alloc(a, (size_t)n * sizeof *at);
    for (int i = 0; i < n; i++) { // each corner along the mean of its two sides' normals
        const double *p = tool->at[(i + n - 1) % n], *q = tool->at[i], *r = tool->at[(i + 1) % n];
        double d1 = hypot(q[0] - p[0], q[1] - p[1]), d2 = hypot(r[0] - q[0], r[1] - q[1]);
        double n1[2] = {(q[1] - p[1]) / d1, -(q[0] - p[0]) / d1};
        double n2[2] = {(r[1] - q[1]) / d2, -(r[0] - q[0]) / d2};
        double k = grow / fmax(0.2, 1 + n1[0] * n2[0] + n1[1] * n2[1]);
        at[i][0] = q[0] + k * (n1[0] + n2[0]);
        at[i][1] = q[1] + k * (n1[1] + n2[1]);
    }
    int(*caps)[3] = kw_alloc(a, (size_t)n * sizeof *caps);
    int cap_count = cut_ears(a, (void *)at, n, caps);
    double(*ring[2])[3] = {kw_alloc(a, (size_t)n * sizeof *ring[0]),
                           kw_alloc(a, (size_t)n * sizeof *ring[0])};
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < n; i++) {
            ring[s][i][0] = at[i][0];
            ring[s][i][1] = s ? tool->to + grow : tool->from - grow;
            ring[s][i][2] = at[i][1] + up;
        }
    add_prism(a, &mesh, ring[0], ring[1], n, caps, cap_count, 0, -1);
    return mesh;
}

// ------------------------------------------------------------------- two triangles, by their edges

static double det(const double *a, const double *b, const double *c, const double *d) {
    double x[3], y[3], z[3];
    for (int k = 0; k < 3; k++) {
        x[k] = b[k] - a[k];
        y[k] = c[k] - a[k];
        z[k] = d[k] - a[k];
    }
    return x[0] * (y[1] * z[2] - y[2] * z[1]) - x[1] * (y[0] * z[2] - y[2] * z[0]) +
           x[2] * (y[0] * z[1] - y[1] * z[0]);
}

/// Whether the segment p q, whose ends lie on different sides of the triangle's plane, goes through
/// it.
static bool pierces(const double *p, const double *q, const double *const t[3]) {
    double x = det(p, q, t[0], t[1]), y = det(p, q, t[1], t[2]), z = det(p, q, t[2], t[0]);
    return (x >= 0 && y >= 0 && z >= 0) || (x <= 0 && y <= 0 && z <= 0);
}

static bool any_pierces(const double *const s[3], const double *const t[3]) {
    bool above[3];
    for (int i = 0; i < 3; i++)
        above[i] = det(t[0], t[1], t[2], s[i]) > 0;
    for (int i = 0; i < 3; i++) {
        int k = (i + 1) % 3;
        if (above[i] != above[k] && pierces(s[i], s[k], t)) return true;
    }
    return false;
}

// fmin and fmax are calls into libm, and this is the judge's hottest loop.
static bool boxes_apart(const double *const a[3], const double *const b[3]) {
    for (int k = 0; k < 3; k++) {
        double a0 = a[0][k], a1 = a[0][k], b0 = b[0][k], b1 = b[0][k];
        for (int i = 1; i < 3; i++) {
            a0 = a[i][k] < a0 ? a[i][k] : a0;
            a1 = a[i][k] > a1 ? a[i][k] : a1;
            b0 = b[i][k] < b0 ? b[i][k] : b0;
            b1 = b[i][k] > b1 ? b[i][k] : b1;
        }
        if (a1 < b0 || b1 < a0) return true;
    }
    return false;
}

bool bent_triangles_meet(const struct bent_triangle *s, const struct bent_triangle *t) {
    const double *const a[3] = {s->p[0], s->p[1], s->p[2]};
    const double *const b[3] = {t->p[0], t->p[1], t->p[2]};
    return !boxes_apart(a, b) && (any_pierces(a, b) || any_pierces(b, a));
}
