// SPDX-License-Identifier: Apache-2.0
// Closed loops from the pieces of an offset: nodes, doubled pieces, the walk, the finished paths.
#include "geom/offset.h"
#include "geom/units.h"

#include <stdlib.h>
#include <string.h>

struct graph {
    struct kw_arena *scratch;
    struct kw_offset_work *w;
    int *from, *to;     // node of each piece's ends
    bool *used;         // or not to be used
    int *out, *out_end; // pieces in order of their first node; out_end[node] ends its part of `out`
    struct kw_vec2 *at; // of each node
    int node_count;
};

// --------------------------------------------------------------------------------------------
// nodes

struct end {
    struct kw_vec2 p;
    int index; // 2 * piece, + 1 for the far end
};

static int by_x(const void *a, const void *b) {
    const struct end *p = a, *q = b;
    if (p->p.x != q->p.x) return p->p.x < q->p.x ? -1 : 1;
    return (p->index > q->index) - (p->index < q->index);
}

static int root(int *parent, int i) {
    while (parent[i] != i)
        i = parent[i] = parent[parent[i]];
    return i;
}

// The lower index becomes the root, and gives the node its place.
static void unite(int *parent, int i, int j) {
    i = root(parent, i);
    j = root(parent, j);
    if (i < j)
        parent[j] = i;
    else
        parent[i] = j;
}

static void find_nodes(struct graph *g) {
    int n = 2 * g->w->piece_count;
    struct end *e = KW_NEW_ARRAY(g->scratch, struct end, n);
    int *parent = KW_NEW_ARRAY(g->scratch, int, n);
    int *node = KW_NEW_ARRAY(g->scratch, int, n);
    g->at = KW_NEW_ARRAY(g->scratch, struct kw_vec2, n);
    for (int i = 0; i < n; i++) {
        const struct kw_offset_piece *p = &g->w->pieces[i / 2];
        e[i] = (struct end){i % 2 ? p->to : p->from, i};
        parent[i] = i;
    }
    qsort(e, (size_t)n, sizeof *e, by_x);
    for (int i = 0; i < n; i++)
        for (int j = i + 1; j < n && e[j].p.x - e[i].p.x <= KW_NODE_MM; j++)
            if (kw_length2(kw_sub2(e[j].p, e[i].p)) <= KW_NODE_MM)
                unite(parent, e[i].index, e[j].index);
    for (int i = 0; i < n; i++) {
        const struct kw_offset_piece *p = &g->w->pieces[i / 2];
        if (root(parent, i) == i) {
            g->at[g->node_count] = i % 2 ? p->to : p->from;
            node[i] = g->node_count++;
        }
        *(i % 2 ? &g->to[i / 2] : &g->from[i / 2]) = node[root(parent, i)];
    }
}

// Pieces by the node they leave (counting sort, so that equal ones keep their order).
static void list_outs(struct graph *g) {
    int n = g->w->piece_count;
    g->out = KW_NEW_ARRAY(g->scratch, int, n);
    g->out_end = KW_NEW_ARRAY(g->scratch, int, g->node_count);
    for (int i = 0; i < n; i++)
        g->out_end[g->from[i]]++;
    for (int i = 1; i < g->node_count; i++)
        g->out_end[i] += g->out_end[i - 1];
    for (int i = n - 1; i >= 0; i--)
        g->out[--g->out_end[g->from[i]]] = i;
    for (int i = 0; i < n; i++)
        g->out_end[g->from[i]]++;
}

// ------------------------------------------------------------------------------------ doubled
// pieces

struct span {
    int low, high, piece;
};

static int by_nodes(const void *a, const void *b) {
    const struct span *p = a, *q = b;
    if (p->low != q->low) return p->low < q->low ? -1 : 1;
    if (p->high != q->high) return p->high < q->high ? -1 : 1;
    return (p->piece > q->piece) - (p->piece < q->piece);
}

static struct kw_vec2 middle(const struct graph *g, int piece) {
    const struct kw_offset_piece *p = &g->w->pieces[piece];
    return kw_segment_point(g->w->curves[p->curve].s, (p->t0 + p->t1) / 2);
}

static bool same_track(const struct graph *g, int i, int j) {
    return kw_length2(kw_sub2(middle(g, i), middle(g, j))) <= 2 * KW_NODE_MM;
}

// Two pieces on one track are one; two in opposite directions are a slot that has just closed, and
// both go. Pieces within one node go too.
static void drop_doubled(struct graph *g) {
    int n = g->w->piece_count;
    struct span *s = KW_NEW_ARRAY(g->scratch, struct span, n);
    for (int i = 0; i < n; i++) {
        int from = g->from[i], to = g->to[i];
        s[i] = from < to ? (struct span){from, to, i} : (struct span){to, from, i};
        g->used[i] = from == to;
    }
    qsort(s, (size_t)n, sizeof *s, by_nodes);
    for (int i = 0; i < n; i++) {
        for (int j = i + 1; j < n && s[j].low == s[i].low && s[j].high == s[i].high; j++) {
            int p = s[i].piece, q = s[j].piece;
            if (g->used[p] || g->used[q] || !same_track(g, p, q)) continue;
            g->used[q] = true;
            g->used[p] = g->from[p] != g->from[q];
        }
    }
}

// ---------------------------------------------------------------------------------------------
// walk

// From the node at one end of a piece to a point a little way along it: the direction, with enough
// of the curvature to tell curves apart that touch.
static struct kw_vec2 look(const struct graph *g, int piece, bool from_end) {
    const struct kw_offset_piece *p = &g->w->pieces[piece];
    struct kw_segment s = g->w->curves[p->curve].s;
    double length = kw_segment_length(s), part = p->t1 - p->t0;
    double step = fmin(part / 2, 1e-3 / length);
    double t = from_end ? p->t1 - step : p->t0 + step;
    return kw_sub2(kw_segment_point(s, t), from_end ? p->to : p->from);
}

// The next piece after `last`: of those that leave its end, the first one found turning from the
// way back across the farther side. What is farther from the source stays whole between the two, so
// that loops touch where they must and never cross.
static int next_piece(const struct graph *g, int last) {
    int node = g->to[last], best = -1;
    double least = INFINITY;
    struct kw_vec2 back = look(g, last, true);
    for (int k = node > 0 ? g->out_end[node - 1] : 0; k < g->out_end[node]; k++) {
        int i = g->out[k];
        if (g->used[i]) continue;
        struct kw_vec2 way = look(g, i, false);
        double angle = atan2(kw_cross2(back, way), kw_dot2(back, way));
        if (g->w->region_left) angle = -angle;
        if (angle < 0) angle += 2 * KW_PI;
        if (angle < least) {
            least = angle;
            best = i;
        }
    }
    return best;
}

// -------------------------------------------------------------------------------------------
// finish

static bool continues(const struct graph *g, int before, int after) {
    const struct kw_offset_piece *p = &g->w->pieces[before], *q = &g->w->pieces[after];
    // Cuts at one node may stand a node's width apart.
    double gap = fabs(q->t0 - p->t1) * kw_segment_length(g->w->curves[p->curve].s);
    return p->curve == q->curve && q->t0 > p->t0 && gap <= 4 * KW_NODE_MM;
}

// The bulge of s when its start (or end) moves by `by` along its circle.
static double stretched(struct kw_segment s, bool start, struct kw_vec2 by) {
    if (!(s.radius > 0)) return 0;
    double along = kw_dot2(kw_segment_direction(s, start ? 0 : 1), by);
    double more = (start ? -along : along) / s.radius;
    return tan((s.sweep + (s.sweep > 0 ? more : -more)) / 4);
}

// Takes segment i out: the one before or the one after reaches over it, whichever has to move
// less sideways. Returns by how much.
static double take_out(struct kw_path *p, int i) {
    int n = p->count, prev = (i + n - 1) % n, next = (i + 1) % n;
    struct kw_segment before = kw_path_segment(p, prev), after = kw_path_segment(p, next);
    struct kw_vec2 on = kw_sub2(after.a, before.b), back = kw_scale2(on, -1);
    double aside_before = fabs(kw_cross2(kw_segment_direction(before, 1), on));
    double aside_after = fabs(kw_cross2(kw_segment_direction(after, 0), on));
    if (aside_before < aside_after) {
        p->v[prev].bulge = stretched(before, false, on);
    } else {
        p->v[next].bulge = stretched(after, true, back);
        p->v[next].x = p->v[i].x;
        p->v[next].y = p->v[i].y;
    }
    memmove(&p->v[i], &p->v[i + 1], sizeof *p->v * (size_t)(n - 1 - i));
    p->count--;
    return fmin(aside_before, aside_after);
}

// No segment is shorter than KW_SAME_POINT_MM. True when a curve had to move sideways for it by
// more than rounding: an arc of less than that radius between two lines does that.
static bool drop_short(struct kw_path *p) {
    bool strayed = false;
    for (int i = 0; i < p->count && p->count > 1;) {
        const struct kw_vertex *v = &p->v[i], *w = &p->v[i + 1 < p->count ? i + 1 : 0];
        if (hypot(w->x - v->x, w->y - v->y) >= KW_SAME_POINT_MM)
            i++;
        else if (take_out(p, i) > KW_NODE_MM)
            strayed = true;
    }
    return strayed;
}

// The pieces of one loop as a path; consecutive pieces of one curve are one segment again.
static struct kw_path loop_path(struct kw_arena *a, const struct graph *g, const int *loop, int n) {
    struct kw_path path = {0};
    int start = 0;
    while (start < n - 1 && continues(g, loop[(start + n - 1) % n], loop[start]))
        start++;
    for (int k = 0; k < n;) {
        int first = loop[(start + k) % n];
        const struct kw_offset_piece *p = &g->w->pieces[first];
        const struct kw_offset_curve *c = &g->w->curves[p->curve];
        double t1 = p->t1;
        for (k++; k < n && continues(g, loop[(start + k - 1) % n], loop[(start + k) % n]); k++)
            t1 = g->w->pieces[loop[(start + k) % n]].t1;
        struct kw_vec2 at = g->at[g->from[first]];
        double bulge = c->s.radius > 0 ? tan(c->s.sweep * (t1 - p->t0) / 4) : 0;
        if (t1 - p->t0 >= 1) bulge = c->s.bulge;
        kw_path_add(a, &path, at.x, at.y, bulge, c->tag);
    }
    if (drop_short(&path)) g->w->strayed = true;
    return path;
}

static void finish_loop(struct kw_arena *a, const struct graph *g, const int *loop, int n,
                        struct kw_path **loops, int *count) {
    struct kw_path path = loop_path(a, g, loop, n);
    if (path.count < 2) return;
    if (!(fabs(kw_path_area(&path)) > KW_SAME_POINT_MM * kw_path_length(&path) / 2)) return;
    KW_PUSH(a, *loops, *count) = path;
}

// Walks from piece to piece. A node that the walk has seen closes a loop, which is taken out of it;
// a piece that leads nowhere (rounding left it) is dropped.
static void walk(struct kw_arena *a, struct graph *g, int start, int *stack, int *seen,
                 struct kw_path **loops, int *count) {
    int depth = 0, next = start;
    while (next >= 0) {
        stack[depth] = next;
        g->used[next] = true;
        seen[g->from[next]] = ++depth; // place + 1, 0 for unseen
        for (next = -1; depth > 0 && next < 0;) {
            int last = stack[depth - 1], again = seen[g->to[last]];
            if (again > 0) {
                finish_loop(a, g, stack + again - 1, depth - again + 1, loops, count);
                while (depth >= again)
                    seen[g->from[stack[--depth]]] = 0;
                continue;
            }
            next = next_piece(g, last);
            if (next < 0) seen[g->from[stack[--depth]]] = 0;
        }
    }
}

struct kw_path *kw_offset_loops(struct kw_arena *a, struct kw_offset_work *w, int *count) {
    struct kw_arena scratch = {0};
    struct kw_path *loops = NULL;
    int n = w->piece_count;
    *count = 0;
    struct graph g = {.scratch = &scratch, .w = w};
    g.from = KW_NEW_ARRAY(&scratch, int, n);
    g.to = KW_NEW_ARRAY(&scratch, int, n);
    g.used = KW_NEW_ARRAY(&scratch, bool, n);
    find_nodes(&g);
    list_outs(&g);
    drop_doubled(&g);
    int *stack = KW_NEW_ARRAY(&scratch, int, n + 1);
    int *seen = KW_NEW_ARRAY(&scratch, int, g.node_count);
    for (int i = 0; i < n; i++)
        if (!g.used[i]) walk(a, &g, i, stack, seen, &loops, count);
    kw_arena_free(&scratch);
    return loops;
}
