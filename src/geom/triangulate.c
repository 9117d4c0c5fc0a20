// SPDX-License-Identifier: Apache-2.0
// Ear clipping. Holes are bridged to the outer chain first, the rightmost hole first, so that each
// sees a vertex of what is already joined (D. Eberly, "Triangulation by Ear Clipping", 1998-2022).
// Every point becomes a corner of a triangle, also those on a straight side: a mesh made of this
// has no open seams.
#include "geom/mesh.h"
#include "geom/segment.h"

#include <stdlib.h>

struct ring {
    struct kw_arena *scratch;
    const struct kw_vec2 *points;
    int *index, *next, *prev; // nodes; after bridging two nodes may have one index
    int count;
    double flat; // twice the area of what may be a triangle by rounding alone, mm2
};

// Twice the signed area of a, b, c.
static double orient(struct kw_vec2 a, struct kw_vec2 b, struct kw_vec2 c) {
    return kw_cross2(kw_sub2(b, a), kw_sub2(c, a));
}

static struct kw_vec2 at(const struct ring *r, int node) {
    return r->points[r->index[node]];
}

// -------------------------------------------------------------------------------- is it a polygon

struct side {
    struct kw_segment s;
    struct kw_box2 box;
    int from, to; // point indices
};

static int by_left(const void *a, const void *b) {
    const struct side *p = a, *q = b;
    if (p->box.min.x != q->box.min.x) return p->box.min.x < q->box.min.x ? -1 : 1;
    return (p->from > q->from) - (p->from < q->from);
}

static bool sides_clash(const struct side *p, const struct side *q) {
    struct kw_vec2 where;
    if (p->to == q->from || q->to == p->from) {
        const struct side *first = p->to == q->from ? p : q, *second = first == p ? q : p;
        if (first->from == second->to) return true; // a chain of two
        struct kw_vec2 in = kw_sub2(first->s.b, first->s.a);
        struct kw_vec2 out = kw_sub2(second->s.b, second->s.a);
        return kw_cross2(in, out) == 0 && kw_dot2(in, out) < 0;
    }
    return !(kw_segment_gap(p->s, q->s, &where) > 0);
}

static bool is_simple(const struct kw_vec2 *points, const int *starts, int chains) {
    struct kw_arena scratch = {0};
    int n = starts[chains];
    struct side *v = KW_NEW_ARRAY(&scratch, struct side, n);
    bool simple = true;
    for (int c = 0; c < chains; c++) {
        for (int i = starts[c]; i < starts[c + 1]; i++) {
            int to = i + 1 < starts[c + 1] ? i + 1 : starts[c];
            struct kw_segment s = kw_segment_make(points[i], points[to], 0);
            v[i] = (struct side){s, kw_segment_box(s), i, to};
            if (!(kw_segment_length(s) > 0)) simple = false;
        }
    }
    qsort(v, (size_t)n, sizeof *v, by_left);
    for (int i = 0; i < n && simple; i++)
        for (int j = i + 1; j < n && v[j].box.min.x <= v[i].box.max.x + 1e-9 && simple; j++)
            if (kw_box2_gap_squared(v[i].box, v[j].box) <= 1e-18)
                simple = !sides_clash(&v[i], &v[j]);
    kw_arena_free(&scratch);
    return simple;
}

static double chain_area(const struct kw_vec2 *points, int from, int to) {
    double twice = 0;
    for (int i = from + 1; i + 1 < to; i++)
        twice += orient(points[from], points[i], points[i + 1]);
    return twice / 2;
}

// ------------------------------------------------------------------------------------------
// bridges

static int add_node(struct ring *r, int index) {
    int node = r->count++;
    r->index[node] = index;
    return node;
}

static void link_nodes(struct ring *r, int before, int after) {
    r->next[before] = after;
    r->prev[after] = before;
}

// A ring of its own; returns its first node.
static int add_chain(struct ring *r, int from, int to) {
    int first = r->count;
    for (int i = from; i < to; i++) {
        int node = add_node(r, i);
        if (i > from) link_nodes(r, node - 1, node);
    }
    link_nodes(r, r->count - 1, first);
    return first;
}

// Whether the direction from the node to p starts out inside the polygon.
static bool opens_to(const struct ring *r, int node, struct kw_vec2 p) {
    struct kw_vec2 a = at(r, r->prev[node]), b = at(r, node), c = at(r, r->next[node]);
    double before = orient(a, b, p), after = orient(b, c, p);
    if (orient(a, b, c) > 0) return before > 0 && after > 0;
    return before > 0 || after > 0;
}

static bool touch(struct kw_vec2 a, struct kw_vec2 b, struct kw_vec2 c, struct kw_vec2 d) {
    double c_side = orient(a, b, c), d_side = orient(a, b, d);
    double a_side = orient(c, d, a), b_side = orient(c, d, b);
    if ((c_side > 0 && d_side > 0) || (c_side < 0 && d_side < 0)) return false;
    if ((a_side > 0 && b_side > 0) || (a_side < 0 && b_side < 0)) return false;
    // All in one line: apart when their boxes are.
    return fmax(a.x, b.x) >= fmin(c.x, d.x) && fmax(c.x, d.x) >= fmin(a.x, b.x) &&
           fmax(a.y, b.y) >= fmin(c.y, d.y) && fmax(c.y, d.y) >= fmin(a.y, b.y);
}

// Whether two nodes see each other; sides of all chains block, joined or not.
static bool sees(const struct ring *r, int from, int to) {
    struct kw_vec2 a = at(r, from), b = at(r, to);
    if (!opens_to(r, from, b) || !opens_to(r, to, a)) return false;
    for (int i = 0; i < r->count; i++) {
        int u = r->index[i], v = r->index[r->next[i]];
        if (u == r->index[from] || u == r->index[to] || v == r->index[from] || v == r->index[to])
            continue;
        if (touch(a, b, r->points[u], r->points[v])) return false;
    }
    return true;
}

struct candidate {
    double distance;
    int node;
};

static int nearest_first(const void *a, const void *b) {
    const struct candidate *p = a, *q = b;
    if (p->distance != q->distance) return p->distance < q->distance ? -1 : 1;
    return (p->node > q->node) - (p->node < q->node);
}

// Joins the hole at its node m to the nearest node of the outer ring that sees it.
static bool bridge(struct ring *r, int outer, int m) {
    struct kw_arena scratch = {0};
    struct candidate *v = NULL;
    int n = 0, to = -1, node = outer;
    do {
        double distance = kw_length2(kw_sub2(at(r, node), at(r, m)));
        KW_PUSH(&scratch, v, n) = (struct candidate){distance, node};
        node = r->next[node];
    } while (node != outer);
    qsort(v, (size_t)n, sizeof *v, nearest_first);
    for (int i = 0; i < n && to < 0; i++)
        if (sees(r, m, v[i].node)) to = v[i].node;
    kw_arena_free(&scratch);
    if (to < 0) return false;
    // ... to, m, (the hole), m again, to again, ...
    int to_again = add_node(r, r->index[to]), m_again = add_node(r, r->index[m]);
    link_nodes(r, to_again, r->next[to]);
    link_nodes(r, r->prev[m], m_again);
    link_nodes(r, m_again, to_again);
    link_nodes(r, to, m);
    return true;
}

// Bridges all holes, that with the rightmost vertex first.
static bool bridge_all(struct ring *r, int outer, const int *starts, int chains) {
    struct candidate *hole = KW_NEW_ARRAY(r->scratch, struct candidate, chains);
    int n = 0;
    for (int c = 1; c < chains; c++) {
        int first = add_chain(r, starts[c], starts[c + 1]), right = first;
        for (int i = first; i < r->count; i++)
            if (at(r, i).x > at(r, right).x) right = i;
        hole[n++] = (struct candidate){-at(r, right).x, right};
    }
    qsort(hole, (size_t)n, sizeof *hole, nearest_first);
    for (int i = 0; i < n; i++)
        if (!bridge(r, outer, hole[i].node)) return false;
    return true;
}

// ---------------------------------------------------------------------------------------------
// ears

// Whether node b is an ear: the triangle with its neighbours lies inside and holds no other vertex,
// not even on its new side to within the slack: cut off along a row of points in one line, an ear
// would leave a polygon without area.
static bool is_ear(const struct ring *r, int b, double slack) {
    int i = r->prev[b], k = r->next[b];
    struct kw_vec2 pa = at(r, i), pb = at(r, b), pc = at(r, k);
    if (!(orient(pa, pb, pc) > slack)) return false;
    if (r->next[k] == i) return true; // the last triangle
    if (!opens_to(r, i, pc) || !opens_to(r, k, pa)) return false;
    for (int n = r->next[k]; n != i; n = r->next[n]) {
        struct kw_vec2 p = at(r, n);
        int index = r->index[n];
        if (index == r->index[i] || index == r->index[b] || index == r->index[k]) continue;
        if (orient(pa, pb, p) >= -slack && orient(pb, pc, p) >= -slack &&
            orient(pc, pa, p) >= -slack)
            return false;
    }
    return true;
}

struct triangles {
    struct kw_arena *arena;
    int (*v)[3];
    int count;
};

static void cut_ear(struct ring *r, int b, struct triangles *out) {
    int i = r->prev[b], k = r->next[b];
    out->v = kw_grow(out->arena, out->v, out->count, sizeof *out->v);
    int *t = out->v[out->count++];
    t[0] = r->index[i];
    t[1] = r->index[b];
    t[2] = r->index[k];
    link_nodes(r, i, k);
}

// Goes two on after each ear: fans of slivers about one vertex are rarer. Where no ear is left with
// the slack, one without it will do.
static bool clip(struct ring *r, int start, struct triangles *out) {
    int left = 1, node = start;
    for (int i = r->next[start]; i != start; i = r->next[i])
        left++;
    for (int tried = 0; left >= 3; tried++) {
        if (tried > 2 * left) return false;
        int next = r->next[node];
        if (is_ear(r, node, tried <= left ? r->flat : 0)) {
            cut_ear(r, node, out);
            left--;
            tried = -1;
            next = r->next[next];
        }
        node = next;
    }
    return true;
}

// Coordinates are good to 1e-16 of their size, and so is a product of two of them.
static double flat_area(const struct kw_vec2 *points, int n) {
    double most = 0;
    for (int i = 0; i < n; i++)
        most = fmax(most, fmax(fabs(points[i].x), fabs(points[i].y)));
    return 1e-14 * most * most;
}

// Triangles whose areas add up to the polygon's: what a wrong bridge (a hole outside, one hole in
// another) can't give.
static bool fills(const struct kw_vec2 *points, const struct triangles *t, double area) {
    double sum = 0;
    for (int i = 0; i < t->count; i++)
        sum += orient(points[t->v[i][0]], points[t->v[i][1]], points[t->v[i][2]]) / 2;
    return fabs(sum - area) <= 1e-9 * (1 + fabs(area));
}

bool kw_triangulate(struct kw_arena *a, const struct kw_vec2 *points, const int *starts,
                    int chain_count, int (**triangles)[3], int *triangle_count) {
    *triangles = NULL;
    *triangle_count = 0;
    double area = 0;
    for (int c = 0; c < chain_count; c++) {
        double part = chain_area(points, starts[c], starts[c + 1]);
        if (starts[c + 1] - starts[c] < 3 || !(c == 0 ? part > 0 : part < 0)) return false;
        area += part;
    }
    if (chain_count < 1 || !is_simple(points, starts, chain_count)) return false;
    struct kw_arena scratch = {0};
    int most = starts[chain_count] + 2 * chain_count;
    struct ring r = {.scratch = &scratch, .points = points};
    r.flat = flat_area(points, starts[chain_count]);
    r.index = KW_NEW_ARRAY(&scratch, int, most);
    r.next = KW_NEW_ARRAY(&scratch, int, most);
    r.prev = KW_NEW_ARRAY(&scratch, int, most);
    struct triangles out = {.arena = a};
    int outer = add_chain(&r, starts[0], starts[1]);
    bool ok = bridge_all(&r, outer, starts, chain_count) && clip(&r, outer, &out) &&
              fills(points, &out, area);
    kw_arena_free(&scratch);
    if (!ok) return false;
    *triangles = out.v;
    *triangle_count = out.count;
    return true;
}
