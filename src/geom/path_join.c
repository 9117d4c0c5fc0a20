// SPDX-License-Identifier: Apache-2.0
// Joining the loose lines and arcs of a drawing into closed outlines.
#include "geom/segment.h"
#include "geom/units.h"

#include <stdlib.h>

// End 2 * piece is its start, 2 * piece + 1 its end.
struct link {
    double distance;
    int e, f;
};

struct ends {
    struct kw_arena *scratch;
    const struct kw_path *pieces;
    int count;
    int *mate;     // the end that an end is joined to, -1 for none
    bool *dropped; // of each piece
};

static struct kw_vec2 end_point(const struct ends *g, int end) {
    const struct kw_path *p = &g->pieces[end / 2];
    const struct kw_vertex *v = &p->v[end % 2 ? p->count - 1 : 0];
    return kw_v2(v->x, v->y);
}

static bool near(struct kw_vec2 a, struct kw_vec2 b, double tolerance) {
    return kw_length2(kw_sub2(a, b)) <= tolerance;
}

// ------------------------------------------------------------------------------- what is left out

/// The point after `part` (0..1) of the path's length.
static struct kw_vec2 point_after(const struct kw_path *p, double part) {
    double left = kw_path_length(p) * part;
    for (int i = 0; i < kw_path_segments(p); i++) {
        struct kw_segment s = kw_path_segment(p, i);
        double length = kw_segment_length(s);
        if (left <= length && length > 0) return kw_segment_point(s, left / length);
        left -= length;
    }
    const struct kw_vertex *last = &p->v[p->count - 1];
    return kw_v2(last->x, last->y);
}

// Whether two pieces are one drawn twice, in the same direction or the other. The number of
// vertices says nothing: a half circle is one arc or, a rounding longer, two.
static bool same_piece(const struct ends *g, int i, int j) {
    const struct kw_path *p = &g->pieces[i], *q = &g->pieces[j];
    double same = KW_SAME_POINT_MM;
    if (fabs(kw_path_length(p) - kw_path_length(q)) > same) return false;
    for (int back = 0; back < 2; back++) {
        bool all = near(end_point(g, 2 * i), end_point(g, 2 * j + back), same) &&
                   near(end_point(g, 2 * i + 1), end_point(g, 2 * j + 1 - back), same);
        for (int k = 1; k < 4 && all; k++)
            all = near(point_after(p, k / 4.0), point_after(q, back ? 1 - k / 4.0 : k / 4.0), same);
        if (all) return true;
    }
    return false;
}

struct left_piece {
    double x;
    int piece;
};

static int by_left(const void *a, const void *b) {
    const struct left_piece *p = a, *q = b;
    if (p->x != q->x) return p->x < q->x ? -1 : 1;
    return (p->piece > q->piece) - (p->piece < q->piece);
}

// Marks pieces without length and pieces that are drawn twice; returns how many.
static int drop_useless(struct ends *g) {
    int dropped = 0;
    struct left_piece *order = KW_NEW_ARRAY(g->scratch, struct left_piece, g->count);
    for (int i = 0; i < g->count; i++) {
        const struct kw_path *p = &g->pieces[i];
        g->dropped[i] = p->count < 2 || !(kw_path_length(p) > KW_SAME_POINT_MM);
        dropped += g->dropped[i];
        order[i].piece = i;
        order[i].x = p->count < 1 ? 0 : fmin(p->v[0].x, p->v[p->count - 1].x);
    }
    qsort(order, (size_t)g->count, sizeof *order, by_left);
    for (int i = 0; i < g->count; i++) {
        int first = order[i].piece;
        for (int j = i + 1; j < g->count && order[j].x - order[i].x <= KW_SAME_POINT_MM; j++) {
            int other = order[j].piece;
            if (g->dropped[first] || g->dropped[other]) continue;
            if (g->pieces[first].open != g->pieces[other].open) continue;
            if (!same_piece(g, first, other)) continue;
            g->dropped[other] = true;
            dropped++;
        }
    }
    return dropped;
}

// ----------------------------------------------------------------------------------------- joints

static int nearest_first(const void *a, const void *b) {
    const struct link *p = a, *q = b;
    if (p->distance != q->distance) return p->distance < q->distance ? -1 : 1;
    if (p->e != q->e) return p->e < q->e ? -1 : 1;
    return (p->f > q->f) - (p->f < q->f);
}

// Pairs of ends within the tolerance. The two ends of one piece are a pair only where the piece is
// long enough to be a loop.
static struct link *find_links(struct ends *g, double tolerance, int *count) {
    struct link *links = NULL;
    int n = 0;
    struct left_piece *order = KW_NEW_ARRAY(g->scratch, struct left_piece, 2 * g->count);
    for (int e = 0; e < 2 * g->count; e++)
        if (!g->dropped[e / 2] && g->pieces[e / 2].open)
            order[n++] = (struct left_piece){end_point(g, e).x, e};
    qsort(order, (size_t)n, sizeof *order, by_left);
    *count = 0;
    for (int i = 0; i < n; i++) {
        for (int j = i + 1; j < n && order[j].x - order[i].x <= tolerance; j++) {
            int e = order[i].piece, f = order[j].piece;
            double distance = kw_length2(kw_sub2(end_point(g, e), end_point(g, f)));
            if (!(distance <= tolerance)) continue;
            const struct kw_path *p = &g->pieces[e / 2];
            if (e / 2 == f / 2 && (p->count < 3 || !(kw_path_length(p) > 4 * tolerance))) continue;
            KW_PUSH(g->scratch, links, *count) =
                e < f ? (struct link){distance, e, f} : (struct link){distance, f, e};
        }
    }
    if (*count > 0) qsort(links, (size_t)*count, sizeof *links, nearest_first);
    return links;
}

// Adds a piece to the chain, entered by `end`; the point where it joins is midway between the ends.
static void append(struct kw_arena *a, struct kw_path *chain, const struct ends *g, int end) {
    struct kw_arena scratch = {0};
    struct kw_path p = g->pieces[end / 2];
    if (end % 2) p = kw_path_reversed(&scratch, &p);
    if (chain->count > 0) {
        struct kw_vertex *last = &chain->v[chain->count - 1];
        if (!near(kw_v2(last->x, last->y), kw_v2(p.v[0].x, p.v[0].y), KW_SAME_POINT_MM)) {
            last->x = (last->x + p.v[0].x) / 2;
            last->y = (last->y + p.v[0].y) / 2;
        }
        last->bulge = p.v[0].bulge;
        last->tag = p.v[0].tag;
    }
    for (int i = chain->count > 0 ? 1 : 0; i < p.count; i++)
        kw_path_add(a, chain, p.v[i].x, p.v[i].y, p.v[i].bulge, p.v[i].tag);
    kw_arena_free(&scratch);
}

// The last point of a closed chain is its first one.
static void close_chain(struct kw_path *chain) {
    struct kw_vertex *first = &chain->v[0];
    const struct kw_vertex *last = &chain->v[--chain->count];
    if (!near(kw_v2(first->x, first->y), kw_v2(last->x, last->y), KW_SAME_POINT_MM)) {
        first->x = (first->x + last->x) / 2;
        first->y = (first->y + last->y) / 2;
    }
    chain->open = false;
}

// Follows the joints from `end` (entering its piece there) to a loose end or round to the start.
// True when it came round.
static bool follow(struct kw_arena *a, const struct ends *g, int end, bool *done,
                   struct kw_path *chain) {
    int start = end;
    *chain = (struct kw_path){.open = true};
    for (;;) {
        append(a, chain, g, end);
        done[end / 2] = true;
        int next = g->mate[end ^ 1];
        if (next < 0) return false;
        if (next == start) return true;
        end = next;
    }
}

void kw_path_join(struct kw_arena *a, const struct kw_path *pieces, int count, double tolerance,
                  struct kw_path **closed, int *closed_count, struct kw_loose **open,
                  int *open_count, int *dropped) {
    struct kw_arena scratch = {0};
    struct ends g = {.scratch = &scratch, .pieces = pieces, .count = count};
    g.mate = KW_NEW_ARRAY(&scratch, int, 2 * count);
    g.dropped = KW_NEW_ARRAY(&scratch, bool, count);
    bool *done = KW_NEW_ARRAY(&scratch, bool, count);
    *closed = NULL;
    *open = NULL;
    *closed_count = *open_count = 0;
    *dropped = drop_useless(&g);
    int links;
    struct link *link = find_links(&g, tolerance, &links);
    for (int e = 0; e < 2 * count; e++)
        g.mate[e] = -1;
    for (int i = 0; i < links; i++) {
        if (g.mate[link[i].e] >= 0 || g.mate[link[i].f] >= 0) continue;
        g.mate[link[i].e] = link[i].f;
        g.mate[link[i].f] = link[i].e;
    }
    // Chains with a loose end start there; what is left after them is closed.
    for (int e = 0; e < 2 * count; e++) {
        if (done[e / 2] || g.dropped[e / 2] || !pieces[e / 2].open || g.mate[e] >= 0) continue;
        struct kw_path chain;
        (void)follow(a, &g, e, done, &chain);
        const struct kw_vertex *v = chain.v, *w = &chain.v[chain.count - 1];
        KW_PUSH(a, *open, *open_count) = (struct kw_loose){chain, hypot(w->x - v->x, w->y - v->y)};
    }
    for (int i = 0; i < count; i++) {
        if (done[i] || g.dropped[i]) continue;
        struct kw_path chain = {0};
        if (!pieces[i].open) {
            chain = kw_path_copy(a, &pieces[i]);
        } else if (follow(a, &g, 2 * i, done, &chain)) {
            close_chain(&chain);
        }
        KW_PUSH(a, *closed, *closed_count) = chain;
    }
    kw_arena_free(&scratch);
}
