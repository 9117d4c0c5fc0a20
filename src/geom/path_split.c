// SPDX-License-Identifier: Apache-2.0
// Splitting a closed path along a straight segment.
#include "geom/segment.h"
#include "geom/units.h"

// A place on a path: on segment `i` at the part `t` of its length; t = 0 where it is a vertex.
struct spot {
    int i;
    double t;
    struct kw_vec2 at;
};

static bool find_spot(const struct kw_path *p, struct kw_vec2 q, double tolerance,
                      struct spot *spot) {
    double best = INFINITY;
    for (int i = 0; i < p->count; i++) {
        struct kw_segment s = kw_path_segment(p, i);
        double distance = kw_segment_distance(s, q);
        if (!(distance < best)) continue;
        best = distance;
        double t = kw_segment_nearest(s, q);
        *spot = (struct spot){i, t, kw_segment_point(s, t)};
    }
    if (!(best <= tolerance)) return false;
    struct kw_segment s = kw_path_segment(p, spot->i);
    if (kw_length2(kw_sub2(spot->at, s.b)) <= KW_SAME_POINT_MM)
        *spot = (struct spot){(spot->i + 1) % p->count, 0, s.b};
    else if (kw_length2(kw_sub2(spot->at, s.a)) <= KW_SAME_POINT_MM)
        *spot = (struct spot){spot->i, 0, s.a};
    return true;
}

// Whether the cut runs inside from end to end: it meets the path nowhere else.
static bool runs_inside(const struct kw_path *p, struct kw_segment cut) {
    for (int i = 0; i < p->count; i++) {
        struct kw_segment s = kw_path_segment(p, i);
        struct kw_vec2 at[3];
        int n = kw_segment_crossings(cut, s, at);
        // A corner that the cut passes within the width of a point counts as met.
        if (kw_segment_distance(cut, s.a) <= KW_SAME_POINT_MM) at[n++] = s.a;
        for (int k = 0; k < n; k++)
            if (kw_length2(kw_sub2(at[k], cut.a)) > KW_SAME_POINT_MM &&
                kw_length2(kw_sub2(at[k], cut.b)) > KW_SAME_POINT_MM)
                return false;
    }
    struct kw_vec2 middle = kw_segment_point(cut, 0.5);
    return kw_path_contains(p, middle) && kw_path_distance(p, middle) > KW_SAME_POINT_MM / 2;
}

static void add_part(struct kw_arena *a, struct kw_path *out, const struct kw_path *p, int i,
                     double t0, double t1) {
    struct kw_segment s = kw_path_segment(p, i);
    struct kw_vec2 from = kw_segment_point(s, t0);
    double bulge = p->v[i].bulge;
    if (t1 - t0 < 1) bulge = s.radius > 0 ? tan(s.sweep * (t1 - t0) / 4) : 0;
    kw_path_add(a, out, from.x, from.y, bulge, p->v[i].tag);
}

// The path from one spot forward to the other, closed by a straight segment back.
static struct kw_path loop_between(struct kw_arena *a, const struct kw_path *p, struct spot from,
                                   struct spot to, int tag) {
    struct kw_path out = {0};
    int i = from.i;
    double t = from.t;
    if (i == to.i && to.t > t) {
        add_part(a, &out, p, i, t, to.t);
    } else {
        do {
            add_part(a, &out, p, i, t, 1);
            i = (i + 1) % p->count;
            t = 0;
        } while (i != to.i);
        if (to.t > 0) add_part(a, &out, p, i, 0, to.t);
    }
    kw_path_add(a, &out, to.at.x, to.at.y, 0, tag);
    return out;
}

bool kw_path_split(struct kw_arena *arena, const struct kw_path *p, struct kw_vec2 a,
                   struct kw_vec2 b, double tolerance, int tag, struct kw_path *left,
                   struct kw_path *right) {
    struct spot from, to;
    if (p->open || p->count < 2) return false;
    if (!find_spot(p, a, tolerance, &from) || !find_spot(p, b, tolerance, &to)) return false;
    if (!(kw_length2(kw_sub2(to.at, from.at)) > KW_SAME_POINT_MM)) return false;
    if (!runs_inside(p, kw_segment_make(from.at, to.at, 0))) return false;
    // The loop that the cut closes from a to b lies to its left when the path is counter-clockwise.
    struct kw_path with_cut = loop_between(arena, p, to, from, tag);
    struct kw_path against = loop_between(arena, p, from, to, tag);
    bool ccw = kw_path_area(p) > 0;
    *left = ccw ? with_cut : against;
    *right = ccw ? against : with_cut;
    return true;
}
