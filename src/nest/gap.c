// SPDX-License-Identifier: Apache-2.0
// Polygons in polygons, flush.
#include "nest/gap.h"

#include <string.h>

#define MOST_MARKS 64 // corners of the gap on one edge of a shape

double tile_area(const struct kw_vec2 *v, int count) {
    double twice = 0;
    for (int i = 0; i < count; i++)
        twice += kw_cross2(v[i], v[i + 1 < count ? i + 1 : 0]);
    return twice / 2;
}

struct kw_box2 tile_box(const struct kw_vec2 *v, int count) {
    struct kw_box2 b = {v[0], v[0]};
    for (int i = 1; i < count; i++) {
        b.min = kw_v2(fmin(b.min.x, v[i].x), fmin(b.min.y, v[i].y));
        b.max = kw_v2(fmax(b.max.x, v[i].x), fmax(b.max.y, v[i].y));
    }
    return b;
}

static bool near(struct kw_vec2 p, struct kw_vec2 q) {
    return fabs(p.x - q.x) <= FIT_MM && fabs(p.y - q.y) <= FIT_MM;
}

// --------------------------------------------------------------------------------- does it fit

struct edge {
    struct kw_vec2 a, b, along; ///< along: unit vector
    double length;
};

static struct edge edge_of(struct kw_vec2 a, struct kw_vec2 b) {
    struct kw_vec2 d = kw_sub2(b, a);
    double length = sqrt(kw_dot2(d, d));
    return (struct edge){a, b, length > 0 ? kw_scale2(d, 1 / length) : d, length};
}

/// Where a point lies beside an edge: along it, and to its left.
static struct kw_vec2 beside(const struct edge *e, struct kw_vec2 p) {
    struct kw_vec2 d = kw_sub2(p, e->a);
    return kw_v2(kw_dot2(d, e->along), kw_cross2(e->along, d));
}

/// Whether two edges cross well within both.
static bool cross_within(double c_left, double d_left, const struct edge *e, struct kw_vec2 c,
                         struct kw_vec2 d) {
    if (!(c_left > FIT_MM && d_left < -FIT_MM) && !(c_left < -FIT_MM && d_left > FIT_MM))
        return false;
    struct edge f = edge_of(c, d);
    double a_left = beside(&f, e->a).y, b_left = beside(&f, e->b).y;
    return (a_left > FIT_MM && b_left < -FIT_MM) || (a_left < -FIT_MM && b_left > FIT_MM);
}

/// Even-odd; a point on the border may be either.
static bool inside(const struct gap *g, struct kw_vec2 p) {
    bool in = false;
    for (int i = 0, k = g->count - 1; i < g->count; k = i++) {
        struct kw_vec2 a = g->v[i], b = g->v[k];
        if ((a.y > p.y) == (b.y > p.y)) continue;
        if (p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)) in = !in;
    }
    return in;
}

/// Whether the box of an edge meets a wider box. By comparisons: fmin and fmax are calls here, and
/// most of the search's time is spent on this.
static bool box_meets(struct kw_vec2 a, struct kw_vec2 b, const struct kw_box2 *box) {
    return !((a.x > box->max.x && b.x > box->max.x) || (a.x < box->min.x && b.x < box->min.x) ||
             (a.y > box->max.y && b.y > box->max.y) || (a.y < box->min.y && b.y < box->min.y));
}

static struct kw_box2 widened(struct kw_vec2 a, struct kw_vec2 b) {
    struct kw_box2 box = {kw_v2(a.x < b.x ? a.x : b.x, a.y < b.y ? a.y : b.y),
                          kw_v2(a.x > b.x ? a.x : b.x, a.y > b.y ? a.y : b.y)};
    box.min = kw_sub2(box.min, kw_v2(FIT_MM, FIT_MM));
    box.max = kw_add2(box.max, kw_v2(FIT_MM, FIT_MM));
    return box;
}

/// 1: an edge of the gap runs along here, 0: none, -1: one runs the other way.
static int border_at(const struct gap *g, const struct edge *e, struct kw_vec2 p) {
    struct kw_box2 box = widened(p, p);
    for (int i = 0, k = g->count - 1; i < g->count; k = i++) {
        if (!box_meets(g->v[k], g->v[i], &box)) continue;
        struct edge f = edge_of(g->v[k], g->v[i]);
        if (fabs(beside(&f, p).y) > FIT_MM) continue;
        double turn = kw_cross2(e->along, f.along);
        if (fabs(turn) * fmin(e->length, f.length) > 4 * FIT_MM) continue;
        return kw_dot2(e->along, f.along) > 0 ? 1 : -1;
    }
    return 0;
}

/// Where along an edge the corners of the gap lie on it, sorted; its own ends are not among them.
/// -1 when an edge of the gap crosses it.
static int marks_on(const struct gap *g, const struct edge *e, double marks[MOST_MARKS]) {
    int n = 0;
    struct kw_box2 box = widened(e->a, e->b);
    for (int i = 0, k = g->count - 1; i < g->count; k = i++) {
        struct kw_vec2 c = g->v[k], d = g->v[i];
        if (!box_meets(c, d, &box)) continue;
        struct kw_vec2 at_c = beside(e, c), at_d = beside(e, d);
        if (cross_within(at_c.y, at_d.y, e, c, d)) return -1;
        if (fabs(at_d.y) > FIT_MM || at_d.x <= FIT_MM || at_d.x >= e->length - FIT_MM) continue;
        if (n == MOST_MARKS) return -1;
        int m = n++;
        for (; m > 0 && marks[m - 1] > at_d.x; m--)
            marks[m] = marks[m - 1];
        marks[m] = at_d.x;
    }
    return n;
}

static bool edge_lies_in(const struct gap *g, const struct edge *e, struct snug *snug) {
    double marks[MOST_MARKS + 1];
    int n = marks_on(g, e, marks);
    if (n < 0) return false;
    marks[n] = e->length;
    for (int i = 0; i <= n; i++) {
        double from = i > 0 ? marks[i - 1] : 0;
        if (marks[i] - from < 4 * FIT_MM) continue;
        struct kw_vec2 middle = kw_add2(e->a, kw_scale2(e->along, (from + marks[i]) / 2));
        int border = border_at(g, e, middle);
        if (border < 0 || (border == 0 && !inside(g, middle))) return false;
        if (border > 0) snug->flush += marks[i] - from;
    }
    return true;
}

bool gap_holds(const struct gap *g, const struct tile *s, struct kw_vec2 at, struct snug *snug,
               long *work) {
    *snug = (struct snug){0, 0};
    *work += 1;
    if (s->area > g->area + FIT_MM * s->around) return false;
    if (at.x + s->box.min.x < g->box.min.x - FIT_MM || at.x + s->box.max.x > g->box.max.x + FIT_MM)
        return false;
    if (at.y + s->box.min.y < g->box.min.y - FIT_MM || at.y + s->box.max.y > g->box.max.y + FIT_MM)
        return false;
    for (int i = 0; i < s->count; i++) {
        struct edge e =
            edge_of(kw_add2(s->v[i], at), kw_add2(s->v[i + 1 < s->count ? i + 1 : 0], at));
        *work += g->count;
        if (!edge_lies_in(g, &e, snug)) return false;
        for (int k = 0; k < g->count; k++)
            snug->corners += near(e.a, g->v[k]);
    }
    return true;
}

// -------------------------------------------------------------------------------- cutting out

int gap_minus_room(const struct gap *g, const struct tile *s) {
    return 2 * (g->count + s->count) + 8;
}

static void carving_reserve(struct carving *c, int room) {
    if (room <= c->room) return;
    c->room = 2 * room;
    c->nodes = KW_NEW_ARRAY(c->a, struct kw_vec2, c->room);
    c->of = KW_NEW_ARRAY(c->a, int, c->room);
    c->edges = kw_alloc(c->a, sizeof *c->edges * (size_t)c->room);
    c->at = KW_NEW_ARRAY(c->a, double, c->room);
    c->order = KW_NEW_ARRAY(c->a, int, c->room);
}

static int find_nodes(struct carving *c, const struct gap *g, const struct tile *s,
                      struct kw_vec2 at) {
    int nodes = g->count;
    memcpy(c->nodes, g->v, sizeof *g->v * (size_t)g->count);
    for (int i = 0; i < s->count; i++) {
        struct kw_vec2 p = kw_add2(s->v[i], at);
        c->of[i] = -1;
        for (int k = 0; k < g->count && c->of[i] < 0; k++) {
            if (near(p, g->v[k])) c->of[i] = k;
        }
        if (c->of[i] >= 0) continue;
        c->of[i] = nodes;
        c->nodes[nodes++] = p;
    }
    return nodes;
}

/// Adds the edge between two nodes, broken at those of the nodes first..last - 1 that lie on it.
static int add_edge(struct carving *c, int count, int from, int to, int first, int last) {
    struct edge e = edge_of(c->nodes[from], c->nodes[to]);
    int n = 0;
    if (from == to) return count;
    for (int i = first; i < last; i++) {
        struct kw_vec2 p = beside(&e, c->nodes[i]);
        if (i == from || i == to || fabs(p.y) > FIT_MM) continue;
        if (p.x <= FIT_MM || p.x >= e.length - FIT_MM) continue;
        int m = n++;
        for (; m > 0 && c->at[m - 1] > p.x; m--) {
            c->at[m] = c->at[m - 1];
            c->order[m] = c->order[m - 1];
        }
        c->at[m] = p.x;
        c->order[m] = i;
    }
    for (int i = 0; i <= n && count < c->room; i++) {
        int next = i < n ? c->order[i] : to;
        c->edges[count][0] = from;
        c->edges[count++][1] = next;
        from = next;
    }
    return count;
}

/// Edges of the gap and, the other way round, of the shape; where both run, neither is left.
static int find_edges(struct carving *c, const struct gap *g, const struct tile *s, int nodes) {
    int count = 0;
    for (int i = 0; i < g->count; i++)
        count = add_edge(c, count, i, i + 1 < g->count ? i + 1 : 0, g->count, nodes);
    int of_gap = count;
    for (int i = 0; i < s->count; i++)
        count = add_edge(c, count, c->of[i + 1 < s->count ? i + 1 : 0], c->of[i], 0, g->count);
    for (int i = of_gap; i < count; i++) {
        for (int k = 0; k < of_gap; k++) {
            if (c->edges[k][0] != c->edges[i][1] || c->edges[k][1] != c->edges[i][0]) continue;
            c->edges[k][0] = c->edges[i][0] = -1;
            break;
        }
    }
    return count;
}

/// Of the edges that leave a node, the one furthest to the left of where we come from: so polygons
/// that touch in a corner come apart. -1: none.
static int leftmost(const struct carving *c, int edges, int from, int node) {
    struct kw_vec2 came = kw_sub2(c->nodes[node], c->nodes[from]);
    int best = -1;
    double most = -INFINITY;
    for (int i = 0; i < edges; i++) {
        if (c->edges[i][0] != node) continue;
        struct kw_vec2 goes = kw_sub2(c->nodes[c->edges[i][1]], c->nodes[node]);
        double turn = atan2(kw_cross2(came, goes), kw_dot2(came, goes));
        if (turn <= most) continue;
        most = turn;
        best = i;
    }
    return best;
}

/// Follows edges from `first` until they close. The number of points, -1 when they do not.
static int follow(struct carving *c, int edges, int first, struct kw_vec2 *to) {
    int start = c->edges[first][0], from = start, node = c->edges[first][1], n = 0;
    c->edges[first][0] = -1;
    to[n++] = c->nodes[start];
    while (node != start) {
        int next = leftmost(c, edges, from, node);
        if (next < 0) return -1;
        to[n++] = c->nodes[node];
        from = node;
        node = c->edges[next][1];
        c->edges[next][0] = -1;
    }
    return n;
}

int tile_straighten(struct kw_vec2 *v, int n, double within) {
    for (int i = 0; i < n && n > 2;) {
        struct kw_vec2 before = v[i > 0 ? i - 1 : n - 1], after = v[i + 1 < n ? i + 1 : 0];
        struct edge e = edge_of(before, after);
        bool gone = e.length <= within || fabs(beside(&e, v[i]).y) <= within;
        if (!gone) {
            i++;
            continue;
        }
        memmove(v + i, v + i + 1, sizeof *v * (size_t)(n - i - 1));
        n--;
        if (i > 0) i--;
    }
    return n;
}

double tile_around(const struct kw_vec2 *v, int count) {
    double sum = 0;
    for (int i = 0, k = count - 1; i < count; k = i++)
        sum += kw_length2(kw_sub2(v[i], v[k]));
    return sum;
}

int gap_minus(struct carving *c, const struct gap *g, const struct tile *s, struct kw_vec2 at,
              struct kw_vec2 *points, struct gap *out, long *work) {
    carving_reserve(c, gap_minus_room(g, s));
    int nodes = find_nodes(c, g, s, at), edges = find_edges(c, g, s, nodes), count = 0;
    double left = 0, slack = FIT_MM * (s->around + tile_around(g->v, g->count));
    *work += 2L * g->count * s->count;
    for (int i = 0; i < edges; i++) {
        if (c->edges[i][0] < 0) continue;
        int n = follow(c, edges, i, points);
        if (n < 0) return -1;
        double area = n > 2 ? tile_area(points, n) : 0;
        left += area;
        if (fabs(area) <= FIT_MM * tile_around(points, n)) continue;
        if (area < 0) return -1; // it would have to be a hole
        n = tile_straighten(points, n, FIT_MM / 2);
        out[count++] = (struct gap){points, n, area, tile_box(points, n)};
        points += n;
    }
    return fabs(left - (g->area - s->area)) <= 2 * slack ? count : -1;
}
