// SPDX-License-Identifier: Apache-2.0
// Rings to triangles: holes are joined to the outer ring by bridges, then ears are clipped
// (Meisters 1975). Quadratic and plain: a part has some tens of corners and is split once.
#include "nest/pieces.h"

static double turn(const struct kw_vec2 *at, int a, int b, int c) {
    return kw_cross2(kw_sub2(at[b], at[a]), kw_sub2(at[c], at[a]));
}

static bool between(const struct kw_vec2 *at, int a, int b, int p) {
    return kw_dot2(kw_sub2(at[a], at[p]), kw_sub2(at[b], at[p])) <= 0;
}

/// Whether segments a-b and c-d share a point; ends that are the same index don't count.
static bool meet(const struct kw_vec2 *at, int a, int b, int c, int d) {
    if (a == c || a == d || b == c || b == d) return false;
    double s = turn(at, a, b, c), t = turn(at, a, b, d);
    double u = turn(at, c, d, a), v = turn(at, c, d, b);
    if (((s > 0 && t < 0) || (s < 0 && t > 0)) && ((u > 0 && v < 0) || (u < 0 && v > 0))) {
        return true;
    }
    return (s == 0 && between(at, a, b, c)) || (t == 0 && between(at, a, b, d)) ||
           (u == 0 && between(at, c, d, a)) || (v == 0 && between(at, c, d, b));
}

static bool crosses_ring(const struct kw_vec2 *at, const int *ring, int n, int a, int b) {
    for (int i = 0; i < n; i++) {
        if (meet(at, a, b, ring[i], ring[(i + 1) % n])) return true;
    }
    return false;
}

/// Whether the direction from ring[i] to p points into the metal at that corner.
static bool in_corner(const struct kw_vec2 *at, const int *ring, int n, int i, int p) {
    int before = ring[(i + n - 1) % n], here = ring[i], after = ring[(i + 1) % n];
    bool left_of_in = turn(at, before, here, p) > 0, left_of_out = turn(at, here, after, p) > 0;
    if (turn(at, before, here, after) > 0) return left_of_in && left_of_out;
    return left_of_in || left_of_out;
}

struct bridge {
    int outer, hole; ///< places in the two rings
    double length;
};

/// The shortest bridge from `ring` to hole k that crosses no ring.
static bool find_bridge(const struct rings *r, const int *ring, int n, int k, const bool *joined,
                        struct bridge *best) {
    const int *hole = r->v + r->start[k];
    int m = r->start[k + 1] - r->start[k];
    bool found = false;
    for (int i = 0; i < n; i++) {
        for (int j = 0; j < m; j++) {
            double d = kw_length2(kw_sub2(r->at[ring[i]], r->at[hole[j]]));
            if (found && d >= best->length) continue;
            if (!in_corner(r->at, ring, n, i, hole[j])) continue;
            if (!in_corner(r->at, hole, m, j, ring[i])) continue;
            bool blocked = crosses_ring(r->at, ring, n, ring[i], hole[j]);
            for (int h = 1; h < r->count && !blocked; h++) {
                if (joined[h]) continue;
                blocked = crosses_ring(r->at, r->v + r->start[h], r->start[h + 1] - r->start[h],
                                       ring[i], hole[j]);
            }
            if (blocked) continue;
            *best = (struct bridge){i, j, d};
            found = true;
        }
    }
    return found;
}

static void splice(int *ring, int *n, const int *hole, int m, struct bridge b, int *room) {
    int k = 0;
    for (int i = 0; i <= b.outer; i++)
        room[k++] = ring[i];
    for (int j = 0; j <= m; j++)
        room[k++] = hole[(b.hole + j) % m];
    for (int i = b.outer; i < *n; i++)
        room[k++] = ring[i];
    for (int i = 0; i < k; i++)
        ring[i] = room[i];
    *n = k;
}

/// One ring that visits all: the outer ring with a bridge to every hole. NULL when a hole has none.
static int *join_holes(struct kw_arena *a, const struct rings *r, int *n) {
    int all = r->start[r->count] + 2 * r->count;
    int *ring = KW_NEW_ARRAY(a, int, all), *room = KW_NEW_ARRAY(a, int, all);
    bool *joined = KW_NEW_ARRAY(a, bool, r->count);
    *n = r->start[1];
    for (int i = 0; i < *n; i++)
        ring[i] = r->v[i];
    for (int left = r->count - 1; left > 0; left--) {
        int nearest = -1;
        struct bridge best = {0};
        for (int k = 1; k < r->count; k++) {
            struct bridge b = {0};
            if (joined[k] || !find_bridge(r, ring, *n, k, joined, &b)) continue;
            if (nearest >= 0 && !(b.length < best.length)) continue;
            nearest = k;
            best = b;
        }
        if (nearest < 0) return NULL;
        joined[nearest] = true;
        splice(ring, n, r->v + r->start[nearest], r->start[nearest + 1] - r->start[nearest], best,
               room);
    }
    return ring;
}

static bool in_triangle(const struct kw_vec2 *at, int a, int b, int c, int p) {
    return turn(at, a, b, p) >= 0 && turn(at, b, c, p) >= 0 && turn(at, c, a, p) >= 0;
}

static bool is_ear(const struct kw_vec2 *at, const int *ring, int n, int i) {
    int a = ring[(i + n - 1) % n], b = ring[i], c = ring[(i + 1) % n];
    if (!(turn(at, a, b, c) > 0)) return false;
    for (int k = 0; k < n; k++) {
        int p = ring[k];
        if (p == a || p == b || p == c) continue;
        if (turn(at, ring[(k + n - 1) % n], p, ring[(k + 1) % n]) > 0) continue;
        if (in_triangle(at, a, b, c, p)) return false;
    }
    return true;
}

/// A corner that encloses nothing (the end of a spike, or a point on a straight line).
static bool is_flat(const struct kw_vec2 *at, const int *ring, int n, int i) {
    int a = ring[(i + n - 1) % n], b = ring[i], c = ring[(i + 1) % n];
    double size = kw_length2(kw_sub2(at[b], at[a])) + kw_length2(kw_sub2(at[c], at[b]));
    double area = turn(at, a, b, c);
    return area <= 1e-9 * size && area >= -1e-9 * size;
}

bool rings_to_triangles(struct kw_arena *a, const struct rings *r, int **triangles, int *count) {
    int n;
    int *ring = join_holes(a, r, &n);
    *count = 0;
    if (!ring) return false;
    int *t = KW_NEW_ARRAY(a, int, 3 * n);
    int start = 0; // going round keeps the triangles from becoming a fan of slivers
    while (n > 3) {
        int ear = -1;
        for (int k = 0; k < n && ear < 0; k++) {
            int i = (start + k) % n;
            if (is_ear(r->at, ring, n, i)) ear = i;
        }
        bool flat = ear < 0;
        for (int i = 0; i < n && ear < 0; i++) {
            if (is_flat(r->at, ring, n, i)) ear = i;
        }
        if (ear < 0) return false;
        if (!flat) {
            int *out = t + 3 * (*count)++;
            out[0] = ring[(ear + n - 1) % n];
            out[1] = ring[ear];
            out[2] = ring[(ear + 1) % n];
        }
        for (int i = ear; i + 1 < n; i++)
            ring[i] = ring[i + 1];
        n--;
        start = ear % n;
    }
    if (turn(r->at, ring[0], ring[1], ring[2]) > 0) {
        int *out = t + 3 * (*count)++;
        for (int k = 0; k < 3; k++)
            out[k] = ring[k];
    }
    *triangles = t;
    return true;
}
