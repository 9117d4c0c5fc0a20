// SPDX-License-Identifier: Apache-2.0
// An outline as few convex pieces: chords, narrow pockets filled, triangles, and triangles merged
// while they stay convex (Hertel and Mehlhorn 1983: at most four times the least number).
#include "nest/pieces.h"

#include <stdlib.h>

#define POCKET_POINTS 60 // a pocket with more points than this is left open

struct polygon {
    struct kw_vec2 *v;
    int count;
};

static double corner(const struct polygon *p, int i) {
    struct kw_vec2 a = p->v[(i + p->count - 1) % p->count], b = p->v[i];
    struct kw_vec2 c = p->v[(i + 1) % p->count];
    return kw_cross2(kw_sub2(b, a), kw_sub2(c, b));
}

static void remove_point(struct polygon *p, int i) {
    for (; i + 1 < p->count; i++)
        p->v[i] = p->v[i + 1];
    p->count--;
}

/// Metal is on the left. Takes out hollow corners shallower than `depth` (which adds metal) and
/// points on straight lines.
static void fill_shallow(struct polygon *p, double depth) {
    for (int i = 0; i < p->count && p->count > 3;) {
        struct kw_vec2 a = p->v[(i + p->count - 1) % p->count];
        struct kw_vec2 c = p->v[(i + 1) % p->count];
        double base = kw_length2(kw_sub2(c, a)), area = corner(p, i);
        bool hollow = area <= 0 && -area <= depth * base;
        bool straight = area >= 0 && area <= 1e-7 * base;
        if ((hollow || straight) && base > depth)
            remove_point(p, i);
        else
            i++;
    }
}

static bool segments_touch(struct kw_vec2 a, struct kw_vec2 b, struct kw_vec2 c, struct kw_vec2 d) {
    double s = kw_cross2(kw_sub2(b, a), kw_sub2(c, a)), t = kw_cross2(kw_sub2(b, a), kw_sub2(d, a));
    double u = kw_cross2(kw_sub2(d, c), kw_sub2(a, c)), v = kw_cross2(kw_sub2(d, c), kw_sub2(b, c));
    return ((s >= 0) != (t > 0) || (s > 0) != (t >= 0)) &&
           ((u >= 0) != (v > 0) || (u > 0) != (v >= 0));
}

/// Whether the points after i up to i + k hang to the left of the line across the mouth, and
/// nothing else of the polygon comes through that line.
static bool is_pocket(const struct polygon *p, int i, int k) {
    int n = p->count;
    struct kw_vec2 a = p->v[i], b = p->v[(i + k) % n];
    for (int m = 1; m < k; m++) {
        struct kw_vec2 q = p->v[(i + m) % n];
        if (!(kw_cross2(kw_sub2(b, a), kw_sub2(q, a)) > 0)) return false;
    }
    for (int m = k + 1; m + 1 < n; m++) { // edges that touch neither end
        if (segments_touch(a, b, p->v[(i + m) % n], p->v[(i + m + 1) % n])) return false;
    }
    return true;
}

static void fill_pockets(struct kw_arena *a, struct polygon *p, double gap) {
    for (int i = 0; i < p->count; i++) {
        int most = p->count - 3 < POCKET_POINTS ? p->count - 3 : POCKET_POINTS;
        for (int k = most; k >= 2; k--) {
            struct kw_vec2 mouth = kw_sub2(p->v[(i + k) % p->count], p->v[i]);
            if (!(kw_length2(mouth) < gap) || !is_pocket(p, i, k)) continue;
            struct polygon q = {KW_NEW_ARRAY(a, struct kw_vec2, p->count), 0};
            for (int m = k; m <= p->count; m++)
                q.v[q.count++] = p->v[(i + m) % p->count];
            *p = q; // starts behind the pocket and ends at its first point
            i = -1;
            break;
        }
    }
}

static double polygon_area(const struct polygon *p) {
    double sum = 0;
    for (int i = 0; i < p->count; i++)
        sum += kw_cross2(p->v[i], p->v[(i + 1) % p->count]);
    return sum / 2;
}

// ---------------------------------------------------------------------------------- convex hull

static int by_x_then_y(const void *a, const void *b) {
    const struct kw_vec2 *p = a, *q = b;
    if (p->x != q->x) return p->x < q->x ? -1 : 1;
    return (p->y > q->y) - (p->y < q->y);
}

/// Andrew's monotone chain.
static struct convex hull(struct kw_arena *a, const struct polygon *p) {
    struct kw_vec2 *s = KW_NEW_ARRAY(a, struct kw_vec2, p->count);
    for (int i = 0; i < p->count; i++)
        s[i] = p->v[i];
    qsort(s, (size_t)p->count, sizeof *s, by_x_then_y);
    struct convex h = {KW_NEW_ARRAY(a, struct kw_vec2, 2 * p->count + 1), 0};
    for (int pass = 0, base = 0; pass < 2; pass++, base = h.count) {
        for (int k = 0; k < p->count; k++) {
            struct kw_vec2 q = s[pass ? p->count - 1 - k : k];
            while (h.count >= base + 2 && kw_cross2(kw_sub2(h.v[h.count - 1], h.v[h.count - 2]),
                                                    kw_sub2(q, h.v[h.count - 1])) <= 0) {
                h.count--;
            }
            h.v[h.count++] = q;
        }
        h.count--; // the last point is the first of the other chain
    }
    return h;
}

// ------------------------------------------------------------------------- triangles to pieces

struct cell {
    int *v;
    int count; ///< 0: merged into another
};

static int find_edge(const struct cell *c, int from, int to) {
    for (int i = 0; i < c->count; i++) {
        if (c->v[i] == from && c->v[(i + 1) % c->count] == to) return i;
    }
    return -1;
}

static bool convex_at(const struct kw_vec2 *at, int a, int b, int c) {
    return kw_cross2(kw_sub2(at[b], at[a]), kw_sub2(at[c], at[b])) >= 0;
}

/// Merges q into p across the edge that is p[i]..p[i+1] and q[j]..q[j+1], if that stays convex.
static bool merge(struct kw_arena *a, const struct kw_vec2 *at, struct cell *p, int i,
                  struct cell *q, int j) {
    int n = p->count, m = q->count;
    if (!convex_at(at, p->v[(i + n - 1) % n], p->v[i], q->v[(j + 2) % m])) return false;
    if (!convex_at(at, q->v[(j + m - 1) % m], q->v[j], p->v[(i + 2) % n])) return false;
    int *v = KW_NEW_ARRAY(a, int, n + m - 2);
    int k = 0;
    for (int s = 1; s <= n; s++)
        v[k++] = p->v[(i + s) % n]; // ends at p[i]
    for (int s = 2; s < m; s++)
        v[k++] = q->v[(j + s) % m]; // between p[i] and p[i+1]
    *p = (struct cell){v, k};
    q->count = 0;
    return true;
}

static struct pieces merge_triangles(struct kw_arena *a, const struct kw_vec2 *at,
                                     const int *triangles, int count) {
    struct cell *cells = KW_NEW_ARRAY(a, struct cell, count);
    for (int i = 0; i < count; i++) {
        cells[i] = (struct cell){KW_NEW_ARRAY(a, int, 3), 3};
        for (int k = 0; k < 3; k++)
            cells[i].v[k] = triangles[3 * i + k];
    }
    for (int i = 0; i < count; i++) { // cell i swallows what it can until nothing fits
        for (int e = 0; e < cells[i].count; e++) {
            int from = cells[i].v[e], to = cells[i].v[(e + 1) % cells[i].count];
            for (int k = 0; k < count; k++) {
                int f = k == i ? -1 : find_edge(&cells[k], to, from);
                if (f < 0 || !merge(a, at, &cells[i], e, &cells[k], f)) continue;
                e = -1;
                break;
            }
        }
    }
    struct pieces out = {.v = KW_NEW_ARRAY(a, struct convex, count)};
    for (int i = 0; i < count; i++) {
        if (cells[i].count == 0) continue;
        struct convex c = {KW_NEW_ARRAY(a, struct kw_vec2, cells[i].count), cells[i].count};
        for (int k = 0; k < c.count; k++)
            c.v[k] = at[cells[i].v[k]];
        out.v[out.count++] = c;
    }
    return out;
}

// ------------------------------------------------------------------------------- whole regions

static bool all_convex(const struct polygon *p) {
    for (int i = 0; i < p->count; i++) {
        if (corner(p, i) < 0) return false;
    }
    return true;
}

static bool split(struct kw_arena *a, const struct polygon *rings, int count, struct pieces *out) {
    if (count == 1 && all_convex(&rings[0])) {
        out->v = KW_NEW(a, struct convex);
        out->v[0] = (struct convex){rings[0].v, rings[0].count};
        out->count = 1;
        return true;
    }
    int n = 0;
    double area = 0;
    for (int k = 0; k < count; k++)
        n += rings[k].count;
    struct kw_vec2 *at = KW_NEW_ARRAY(a, struct kw_vec2, n);
    struct rings r = {at, KW_NEW_ARRAY(a, int, n), KW_NEW_ARRAY(a, int, count + 1), count};
    n = 0;
    for (int k = 0; k < count; k++) {
        r.start[k] = n;
        area += polygon_area(&rings[k]);
        for (int i = 0; i < rings[k].count; i++, n++) {
            at[n] = rings[k].v[i];
            r.v[n] = n;
        }
    }
    r.start[count] = n;
    int *triangles, triangle_count;
    if (!rings_to_triangles(a, &r, &triangles, &triangle_count)) return false;
    double sum = 0; // the triangles must fill the rings: this is what makes the split safe
    for (int i = 0; i < triangle_count; i++) {
        const int *t = triangles + 3 * i;
        sum += kw_cross2(kw_sub2(at[t[1]], at[t[0]]), kw_sub2(at[t[2]], at[t[0]])) / 2;
    }
    if (!(fabs(sum - area) <= 1e-7 * fabs(area) + 1e-6)) return false;
    struct pieces merged = merge_triangles(a, at, triangles, triangle_count);
    out->v = merged.v;
    out->count = merged.count;
    return true;
}

/// The rings of a region; holes in which nothing has room are left out.
static struct polygon *region_rings(struct kw_arena *a, const struct kw_region *g, double tolerance,
                                    double gap, bool simplify, int *count) {
    struct polygon *rings = KW_NEW_ARRAY(a, struct polygon, g->hole_count + 1);
    *count = 0;
    for (int k = -1; k < g->hole_count; k++) {
        const struct kw_path *path = k < 0 ? &g->outer : &g->holes[k];
        struct kw_box2 box = kw_path_box(path);
        bool tight = box.max.x - box.min.x < gap || box.max.y - box.min.y < gap;
        if (k >= 0 && tight) continue;
        struct polygon p = {0};
        p.v = kw_path_chords(a, path, tolerance, KW_CHORD_OUTSIDE, &p.count);
        if (simplify) fill_shallow(&p, 2 * tolerance);
        if (simplify) fill_pockets(a, &p, gap);
        if (p.count < 3 || (k >= 0 && !(polygon_area(&p) < 0))) continue;
        rings[(*count)++] = p;
    }
    return rings;
}

struct pieces pieces_of_region(struct kw_arena *a, const struct kw_region *region, double tolerance,
                               double gap) {
    struct pieces out = {0};
    int count;
    for (int attempt = 0; attempt < 3; attempt++) { // simplified; as it is; without holes
        struct polygon *rings = region_rings(a, region, tolerance, gap, attempt == 0, &count);
        if (attempt == 2) count = 1;
        out.holes = count - 1;
        if (split(a, rings, count, &out)) return out;
    }
    struct polygon whole = {0};
    whole.v = kw_path_chords(a, &region->outer, tolerance, KW_CHORD_OUTSIDE, &whole.count);
    out.v = KW_NEW(a, struct convex);
    out.v[0] = hull(a, &whole);
    out.count = 1;
    out.holes = 0;
    return out;
}
