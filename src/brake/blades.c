// SPDX-License-Identifier: Apache-2.0
// A tool's section in convex pieces: triangles of its chords, joined again where the union stays
// convex, so that few pieces are left and none is a sliver with far-reaching corners.
#include "brake/inside.h"

#include <stdlib.h>

#define CHORD_MM 0.02 // outside of the arcs: a tool never loses metal

static double turn(struct kw_vec2 a, struct kw_vec2 b, struct kw_vec2 c) {
    return kw_cross2(kw_sub2(b, a), kw_sub2(c, b));
}

static bool is_convex(const struct kw_vec2 *v, int n) {
    for (int i = 0; i < n; i++)
        if (turn(v[i], v[(i + 1) % n], v[(i + 2) % n]) < -1e-9) return false;
    return true;
}

static bool same(struct kw_vec2 a, struct kw_vec2 b) {
    return fabs(a.x - b.x) < 1e-9 && fabs(a.y - b.y) < 1e-9;
}

/// Joins q to p over a common edge when the union is convex and has room.
static bool join(struct blade *p, const struct blade *q) {
    for (int i = 0; i < p->count; i++)
        for (int k = 0; k < q->count; k++) {
            if (!same(p->v[i], q->v[(k + 1) % q->count]) ||
                !same(p->v[(i + 1) % p->count], q->v[k]))
                continue;
            struct blade u = {0};
            if (p->count + q->count - 2 > BLADE_POINTS) return false;
            for (int m = 0; m < p->count; m++) // from the edge's end round to its start
                u.v[u.count++] = p->v[(i + 1 + m) % p->count];
            for (int m = 2; m < q->count; m++)
                u.v[u.count++] = q->v[(k + m) % q->count];
            if (!is_convex(u.v, u.count)) return false;
            *p = u;
            return true;
        }
    return false;
}

/// Box and sides, once the corners stand.
static void set_sides(struct blade *b) {
    for (int i = 0; i < b->count; i++) {
        struct kw_vec2 d = kw_sub2(b->v[(i + 1) % b->count], b->v[i]);
        double length = kw_length2(d);
        b->out[i] = kw_v2(d.y / length, -d.x / length);
    }
    for (int i = 0; i < b->count; i++) {
        struct kw_vec2 n = b->out[i], m = b->out[(i + b->count - 1) % b->count];
        b->grow[i] = kw_scale2(kw_add2(n, m), 1 / fmax(1 + kw_dot2(n, m), 1e-6));
    }
    b->box = (struct kw_box2){b->v[0], b->v[0]};
    for (int i = 1; i < b->count; i++) {
        b->box.min = kw_v2(fmin(b->box.min.x, b->v[i].x), fmin(b->box.min.y, b->v[i].y));
        b->box.max = kw_v2(fmax(b->box.max.x, b->v[i].x), fmax(b->box.max.y, b->v[i].y));
    }
}

static void join_all(struct blades *b) {
    for (bool more = true; more;) {
        more = false;
        for (int i = 0; i < b->count; i++)
            for (int k = i + 1; k < b->count; k++)
                if (join(&b->v[i], &b->v[k])) {
                    b->v[k--] = b->v[--b->count];
                    more = true;
                }
    }
}

struct blades blades_of(struct kw_arena *a, const struct kw_path *profile, double up) {
    struct blades out = {0};
    int count = 0, triangle_count = 0, (*triangles)[3] = NULL;
    struct kw_path ccw = kw_path_oriented(a, profile, true);
    struct kw_vec2 *v = kw_path_chords(a, &ccw, CHORD_MM, KW_CHORD_INSIDE, &count);
    int starts[2] = {0, count};
    if (!kw_triangulate(a, v, starts, 1, &triangles, &triangle_count)) return out;
    for (int i = 0; i < triangle_count; i++) {
        struct blade b = {.count = 3};
        for (int k = 0; k < 3; k++)
            b.v[k] = kw_v2(v[triangles[i][k]].x, v[triangles[i][k]].y + up);
        if (turn(b.v[0], b.v[1], b.v[2]) < 1e-12) continue;
        KW_PUSH(a, out.v, out.count) = b;
    }
    join_all(&out);
    for (int i = 0; i < out.count; i++)
        set_sides(&out.v[i]);
    return out;
}

static int by_place(const void *x, const void *y) {
    const struct kw_vec3 *a = x, *b = y;
    if (a->x != b->x) return a->x < b->x ? -1 : 1;
    return (a->z > b->z) - (a->z < b->z);
}

static struct kw_vec2 seen_along(struct kw_vec3 p) {
    return kw_v2(p.x, p.z);
}

/// By monotone chains.
int convex_hull(struct kw_vec3 *p, int n, int *out) {
    qsort(p, (size_t)n, sizeof *p, by_place);
    int k = 0;
    for (int pass = 0, low = 0; pass < 2; pass++, low = k - 1)
        for (int i = pass ? 1 : 0; i < n; i++) {
            int q = pass ? n - 1 - i : i;
            while (k - low >= 2 && turn(seen_along(p[out[k - 2]]), seen_along(p[out[k - 1]]),
                                        seen_along(p[q])) <= 1e-12)
                k--;
            out[k++] = q;
        }
    return k > 1 ? k - 1 : k; // the first again
}

struct blades blades_swept(struct kw_arena *a, const struct blades *b, double way) {
    struct blades out = {0};
    for (int i = 0; i < b->count; i++) {
        struct kw_vec3 p[2 * BLADE_POINTS];
        struct blade swept = {0};
        int corners[4 * BLADE_POINTS];
        for (int k = 0; k < b->v[i].count; k++) {
            p[2 * k] = kw_v3(b->v[i].v[k].x, 0, b->v[i].v[k].y);
            p[2 * k + 1] = kw_v3(p[2 * k].x, 0, p[2 * k].z + way);
        }
        int n = convex_hull(p, 2 * b->v[i].count, corners);
        kw_assert(n <= BLADE_POINTS);
        for (int k = 0; k < n; k++)
            swept.v[swept.count++] = seen_along(p[corners[k]]);
        set_sides(&swept);
        KW_PUSH(a, out.v, out.count) = swept;
    }
    return out;
}
