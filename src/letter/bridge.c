// SPDX-License-Identifier: Apache-2.0
// Bridges: what is cut round must stay joined to the sheet. The edges of an opening (its outline
// and the outlines of its islands, metal on their right) are cut apart on both sides of a bridge
// and joined anew along them: two edges become one, or one becomes two.
//
//        b_in │▒▒▒│ b_out       edge B runs from right to left
//             │▒▒▒│             the bridge, metal
//        a_out│▒▒▒│ a_in        edge A (of the island) runs from left to right, its part between
//             ▒▒▒▒▒              a_in and a_out falls away
#include "letter/letter.h"

#define SAMPLES   48  // places tried along an island's edge
#define FAR_APART 2.0 // rad between two bridges of an island, seen from its middle, if it can be
#define SIDE_RAYS 5   // lines across the width of a bridge that must be clear

struct opening {
    struct kw_arena *arena;
    struct kw_path *v; // count 0: gone
    bool *main;        // joined to the sheet's metal
    int count;
};

static int add_edge(struct opening *o, struct kw_path p, bool main) {
    int mains = o->count;
    KW_PUSH(o->arena, o->main, mains) = main;
    KW_PUSH(o->arena, o->v, o->count) = p;
    return o->count - 1;
}

// ------------------------------------------------------------------------------- stretches of
// edges

/// A place on an edge.
struct spot {
    int edge, segment;
    struct kw_vec2 at;
    double along; // of the edge, mm from its start; of the spots of a bridge that may fit only
};

static double sweep_to(const struct kw_segment *s, struct kw_vec2 p, struct kw_vec2 q) {
    struct kw_vec2 a = kw_sub2(p, s->centre), b = kw_sub2(q, s->centre);
    double turn = atan2(kw_cross2(a, b), kw_dot2(a, b));
    if (s->sweep > 0 && turn < -1e-9) turn += 2 * KW_PI;
    if (s->sweep < 0 && turn > 1e-9) turn -= 2 * KW_PI;
    return turn;
}

static void add_point(struct kw_arena *a, struct kw_path *out, struct kw_vec2 p, double bulge) {
    if (out->count > 0) {
        struct kw_vertex *last = &out->v[out->count - 1];
        if (hypot(last->x - p.x, last->y - p.y) <= KW_SAME_POINT_MM) {
            last->bulge = bulge;
            return;
        }
    }
    kw_path_add(a, out, p.x, p.y, bulge, 0);
}

/// Appends the edge from one place on it forward to another (all round when they are in that
/// order); the last point comes with bulge 0.
static void follow(struct opening *o, struct kw_path *out, const struct spot *from,
                   const struct spot *to) {
    const struct kw_path *p = &o->v[from->edge];
    struct kw_vec2 at = from->at;
    bool wraps = from->segment == to->segment && to->along < from->along;
    for (int i = from->segment;; i = (i + 1) % p->count) {
        struct kw_segment s = kw_path_segment(p, i);
        bool last = i == to->segment && !wraps;
        wraps = false;
        struct kw_vec2 end = last ? to->at : s.b;
        add_point(o->arena, out, at, s.radius > 0 ? tan(sweep_to(&s, at, end) / 4) : 0);
        at = end;
        if (last) break;
    }
    add_point(o->arena, out, at, 0);
}

static void close_up(struct kw_path *p) {
    const struct kw_vertex *first = &p->v[0], *last = &p->v[p->count - 1];
    if (p->count > 1 && hypot(first->x - last->x, first->y - last->y) <= KW_SAME_POINT_MM)
        p->count--;
}

// ---------------------------------------------------------------------------------- looking across

/// Whether segment i of a path surely does not meet the line through p along u: both its ends lie
/// further on one side than an arc can bow out. Most don't, and a segment is dear to unpack.
static bool passes_by(const struct kw_path *path, int i, struct kw_vec2 p, struct kw_vec2 u) {
    const struct kw_vertex *a = &path->v[i], *b = &path->v[(i + 1) % path->count];
    double bow = fabs(a->bulge) * (fabs(b->x - a->x) + fabs(b->y - a->y)) / 2 + 1e-3;
    double from = u.x * (a->y - p.y) - u.y * (a->x - p.x);
    double to = u.x * (b->y - p.y) - u.y * (b->x - p.x);
    return (from > bow && to > bow) || (from < -bow && to < -bow);
}

/// How far along its edge a place on a segment is.
static double way_to(const struct opening *o, const struct spot *spot) {
    double along = 0;
    for (int i = 0; i < spot->segment; i++)
        along += kw_segment_length(kw_path_segment(&o->v[spot->edge], i));
    struct kw_segment s = kw_path_segment(&o->v[spot->edge], spot->segment);
    double part = s.radius > 0 ? fabs(sweep_to(&s, s.a, spot->at)) * s.radius
                               : kw_length2(kw_sub2(spot->at, s.a));
    return along + part;
}

/// The nearest edge before and behind `middle` on the line p + s u; false when there is none.
static bool across(const struct opening *o, struct kw_vec2 p, struct kw_vec2 u, double middle,
                   struct spot *before, struct spot *behind) {
    double lo = -INFINITY, hi = INFINITY;
    struct kw_segment line =
        kw_segment_make(kw_sub2(p, kw_scale2(u, 1e5)), kw_add2(p, kw_scale2(u, 1e5)), 0);
    for (int e = 0; e < o->count; e++) {
        for (int i = 0; i < o->v[e].count; i++) {
            struct kw_vec2 q[2];
            if (passes_by(&o->v[e], i, p, u)) continue;
            int n = kw_segment_crossings(kw_path_segment(&o->v[e], i), line, q);
            for (int k = 0; k < n; k++) {
                double at = kw_dot2(kw_sub2(q[k], p), u);
                struct spot spot = {e, i, q[k], 0};
                if (at <= middle && at > lo) lo = at, *before = spot;
                if (at > middle && at < hi) hi = at, *behind = spot;
            }
        }
    }
    return lo > -INFINITY && hi < INFINITY;
}

struct bridge {
    struct kw_vec2 foot, way; // on the island's edge, towards what it is joined to
    double length;
    struct spot a_in, a_out, b_in, b_out;
    bool fits;
};

/// A bridge from `foot` along `way`, if its whole width is clear.
static struct bridge look(const struct opening *o, struct kw_vec2 foot, struct kw_vec2 way,
                          double width, const struct kw_path *island) {
    struct bridge b = {.foot = foot, .way = way};
    struct kw_vec2 aside = kw_left2(way);
    struct spot a[SIDE_RAYS], c[SIDE_RAYS];
    double middle = 1e-3;                  // just off the island
    for (int pass = 0; pass < 2; pass++) { // once through the foot for the length, then beside it
        for (int k = 0; k < SIDE_RAYS; k++) {
            double off = width * ((double)k / (SIDE_RAYS - 1) - 0.5);
            if (pass == 0) off = 0;
            if (!across(o, kw_add2(foot, kw_scale2(aside, off)), way, middle, &a[k], &c[k]))
                return b;
            if (pass == 0) break;
            if (a[k].edge != a[0].edge || c[k].edge != c[0].edge) return b;
        }
        if (pass == 0) {
            b.length = kw_length2(kw_sub2(c[0].at, foot));
            middle = b.length / 2;
        }
    }
    if (!o->main[c[0].edge] || kw_path_distance(island, c[2].at) < 1e-4 ||
        kw_path_distance(island, a[2].at) > 1e-4)
        return b;
    // the island's metal is on the right of its edge: it runs from the left of the bridge to its
    // right, seen along the way; what it is joined to runs the other way
    b.a_in = a[SIDE_RAYS - 1];
    b.a_out = a[0];
    b.b_in = c[0];
    b.b_out = c[SIDE_RAYS - 1];
    struct spot *ends[4] = {&b.a_in, &b.a_out, &b.b_in, &b.b_out};
    for (int k = 0; k < 4; k++)
        ends[k]->along = way_to(o, ends[k]);
    for (int k = 0; k < 2;
         k++) { // both stretches that fall away are no longer than a bend round it
        const struct spot *in = k ? &b.b_in : &b.a_in, *out = k ? &b.b_out : &b.a_out;
        double whole = kw_path_length(&o->v[in->edge]);
        double d = out->along - in->along;
        if (d < 0) d += whole;
        if (!(d <= 3 * width)) return b;
    }
    b.fits = true;
    return b;
}

static void build(struct opening *o, const struct bridge *b) {
    struct kw_path one = {0}, two = {0};
    int a = b->a_in.edge, c = b->b_in.edge;
    if (a != c) {
        follow(o, &one, &b->a_out, &b->a_in);
        follow(o, &one, &b->b_out, &b->b_in);
    } else {
        follow(o, &one, &b->a_out, &b->b_in);
        follow(o, &two, &b->b_out, &b->a_in);
    }
    o->v[a].count = o->v[c].count = 0;
    close_up(&one);
    add_edge(o, one, true);
    if (two.count == 0) return;
    close_up(&two);
    add_edge(o, two, true);
}

// ----------------------------------------------------------------------------------- islands

/// The best bridge from an island's edge: the shortest, at least `apart` from the first one.
static struct bridge best_bridge(const struct opening *o, const struct kw_path *island,
                                 double width, const struct bridge *first, double apart) {
    struct bridge best = {.length = INFINITY};
    struct kw_box2 box = kw_path_box(island);
    struct kw_vec2 middle = kw_lerp2(box.min, box.max, 0.5);
    double whole = kw_path_length(island), done = 0;
    int next = 0;
    for (int i = 0; i < island->count; i++) {
        struct kw_segment s = kw_path_segment(island, i);
        double length = kw_segment_length(s);
        for (; (next + 0.5) * whole / SAMPLES <= done + length && next < SAMPLES; next++) {
            double t = ((next + 0.5) * whole / SAMPLES - done) / length;
            struct kw_vec2 foot = kw_segment_point(s, fmin(fmax(t, 0), 1));
            if (first) {
                struct kw_vec2 p = kw_sub2(first->foot, middle), q = kw_sub2(foot, middle);
                if (fabs(atan2(kw_cross2(p, q), kw_dot2(p, q))) < apart) continue;
            }
            struct kw_vec2 way = kw_left2(kw_segment_direction(s, fmin(fmax(t, 0), 1)));
            struct bridge b = look(o, foot, way, width, island);
            if (b.fits && b.length < best.length - 1e-6) best = b;
        }
        done += length;
    }
    return best;
}

// A bridge no wider than the island that it holds: 0.6 of its smaller side.
static bool join_island(struct opening *o, const struct kw_path *island, double width) {
    struct kw_box2 size = kw_path_box(island);
    width = fmin(width, 0.6 * fmin(size.max.x - size.min.x, size.max.y - size.min.y));
    struct bridge one = best_bridge(o, island, width, NULL, 0);
    if (!one.fits) return false;
    build(o, &one);
    struct kw_box2 box = kw_path_box(island);
    if (kw_length2(kw_sub2(box.max, box.min)) < 3 * width) return true;
    for (double apart = FAR_APART; apart > 0.5; apart -= 0.5) {
        struct bridge two = best_bridge(o, island, width, &one, apart);
        if (!two.fits) continue;
        build(o, &two);
        break;
    }
    return true;
}

/// Islands one after the other: those that lie next to metal that is joined already come first.
static bool join_islands(struct opening *o, const struct kw_region *r, double width) {
    bool *joined = KW_NEW_ARRAY(o->arena, bool, r->hole_count ? r->hole_count : 1);
    for (int left = r->hole_count; left > 0;) {
        int before = left;
        for (int i = 0; i < r->hole_count; i++) {
            if (joined[i] || !join_island(o, &r->holes[i], width)) continue;
            joined[i] = true;
            left--;
        }
        if (left == before) return false;
    }
    return true;
}

// ----------------------------------------------------------------------------------- their state

/// Least width across an opening, met face to face, and where.
static void measure_strokes(const struct kw_path *p, struct kw_arena *a,
                            struct kw_opening_state *state) {
    struct opening alone = {.arena = a};
    add_edge(&alone, *p, true);
    for (int i = 0; i < p->count; i++) {
        struct kw_segment s = kw_path_segment(p, i);
        if (kw_segment_length(s) < 0.5) continue;
        for (int k = 1; k < 4; k++) {
            struct kw_vec2 foot = kw_segment_point(s, k / 4.0);
            struct kw_vec2 way = kw_left2(kw_segment_direction(s, k / 4.0));
            struct spot before, behind;
            if (!across(&alone, foot, way, 1e-3, &before, &behind)) continue;
            struct kw_segment other = kw_path_segment(p, behind.segment);
            double part =
                other.radius > 0 ? sweep_to(&other, other.a, behind.at) / other.sweep : 0.5;
            struct kw_vec2 facing = kw_left2(kw_segment_direction(other, fmin(fmax(part, 0), 1)));
            double width = kw_length2(kw_sub2(behind.at, foot));
            if (kw_dot2(facing, way) > -0.8 || width >= state->least_stroke) continue;
            state->least_stroke = width;
            state->stroke_at = kw_lerp2(foot, behind.at, 0.5);
        }
    }
}

static void measure(struct kw_path *v, int count, struct kw_arena *a,
                    struct kw_opening_state *state) {
    *state = (struct kw_opening_state){.least_stroke = INFINITY, .least_web = INFINITY};
    for (int i = 0; i < count; i++) {
        struct kw_path ccw = kw_path_oriented(a, &v[i], true);
        measure_strokes(&ccw, a, state);
        for (int k = i + 1; k < count; k++) {
            double web = kw_path_gap(&v[i], &v[k]);
            if (web >= state->least_web) continue;
            state->least_web = web;
            state->web_at = kw_v2(v[i].v[0].x, v[i].v[0].y);
        }
    }
}

struct kw_path *kw_letter_bridged(struct kw_arena *a, const struct kw_region *regions, int count,
                                  double bridge, int *out_count, struct kw_opening_state *state) {
    kw_assert(bridge > 0);
    struct kw_path *out = NULL;
    *out_count = 0;
    for (int i = 0; i < count; i++) {
        struct opening o = {.arena = a};
        add_edge(&o, regions[i].outer, true);
        for (int k = 0; k < regions[i].hole_count; k++)
            add_edge(&o, regions[i].holes[k], false);
        if (!join_islands(&o, &regions[i], bridge)) {
            *out_count = 0;
            return NULL;
        }
        for (int k = 0; k < o.count; k++)
            if (o.v[k].count > 0) KW_PUSH(a, out, *out_count) = kw_path_oriented(a, &o.v[k], false);
    }
    measure(out, *out_count, a, state);
    return out;
}
