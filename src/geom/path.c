// SPDX-License-Identifier: Apache-2.0
// Making paths: points, copies, motions, simple outlines, rounded corners, chords.
#include "geom/path.h"

#include "geom/segment.h"
#include "geom/units.h"

#include <string.h>

int kw_path_segments(const struct kw_path *p) {
    return p->open && p->count > 0 ? p->count - 1 : p->count;
}

struct kw_segment kw_path_segment(const struct kw_path *p, int i) {
    const struct kw_vertex *v = &p->v[i], *w = &p->v[i + 1 < p->count ? i + 1 : 0];
    return kw_segment_make(kw_v2(v->x, v->y), kw_v2(w->x, w->y), v->bulge);
}

void kw_path_add(struct kw_arena *a, struct kw_path *p, double x, double y, double bulge, int tag) {
    KW_PUSH(a, p->v, p->count) = (struct kw_vertex){x, y, bulge, tag};
}

// Capacity follows the rule of KW_PUSH, so that a copy can grow.
struct kw_path kw_path_copy(struct kw_arena *a, const struct kw_path *p) {
    struct kw_path copy = {.open = p->open};
    for (int i = 0; i < p->count; i++)
        KW_PUSH(a, copy.v, copy.count) = p->v[i];
    return copy;
}

struct kw_path kw_path_reversed(struct kw_arena *a, const struct kw_path *p) {
    struct kw_path r = {.open = p->open};
    int n = p->count;
    for (int i = n - 1; i >= 0; i--) {
        // The segment that left i-1 towards i now leaves i towards i-1.
        const struct kw_vertex *before = &p->v[i > 0 ? i - 1 : n - 1];
        bool end = p->open && i == 0;
        kw_path_add(a, &r, p->v[i].x, p->v[i].y, end ? 0 : -before->bulge,
                    end ? p->v[0].tag : before->tag);
    }
    return r;
}

struct kw_path kw_path_oriented(struct kw_arena *a, const struct kw_path *p, bool ccw) {
    return (kw_path_area(p) > 0) == ccw ? kw_path_copy(a, p) : kw_path_reversed(a, p);
}

// A mirror turns the path round; it is reversed again, so that outside stays counter-clockwise.
struct kw_path kw_path_moved(struct kw_arena *a, const struct kw_path *p, struct kw_move2 m) {
    struct kw_path moved = kw_path_copy(a, p);
    for (int i = 0; i < moved.count; i++) {
        struct kw_vec2 q = kw_move2_point(m, kw_v2(p->v[i].x, p->v[i].y));
        moved.v[i].x = q.x;
        moved.v[i].y = q.y;
        if (m.mirror) moved.v[i].bulge = -p->v[i].bulge;
    }
    return m.mirror && !p->open ? kw_path_reversed(a, &moved) : moved;
}

struct kw_region kw_region_moved(struct kw_arena *a, const struct kw_region *r, struct kw_move2 m) {
    struct kw_region moved = {.outer = kw_path_moved(a, &r->outer, m)};
    for (int i = 0; i < r->hole_count; i++)
        KW_PUSH(a, moved.holes, moved.hole_count) = kw_path_moved(a, &r->holes[i], m);
    return moved;
}

struct kw_path kw_path_circle(struct kw_arena *a, double cx, double cy, double radius, bool ccw,
                              int tag) {
    struct kw_path p = {0};
    double bulge = ccw ? 1 : -1;
    kw_path_add(a, &p, cx + radius, cy, bulge, tag);
    kw_path_add(a, &p, cx - radius, cy, bulge, tag);
    return p;
}

struct kw_path kw_path_box_outline(struct kw_arena *a, double x0, double y0, double x1, double y1,
                                   int tag) {
    struct kw_path p = {0};
    kw_path_add(a, &p, x0, y0, 0, tag);
    kw_path_add(a, &p, x1, y0, 0, tag);
    kw_path_add(a, &p, x1, y1, 0, tag);
    kw_path_add(a, &p, x0, y1, 0, tag);
    return p;
}

// ---------------------------------------------------------------------------------- rounded
// corners

// Room for one more vertex before place i.
static struct kw_vertex *insert(struct kw_arena *a, struct kw_path *p, int i) {
    KW_PUSH(a, p->v, p->count) = (struct kw_vertex){0};
    memmove(&p->v[i + 1], &p->v[i], sizeof *p->v * (size_t)(p->count - 1 - i));
    return &p->v[i];
}

// Puts the arc from `start` to `end` in the place of corner i. A line that it uses up leaves no
// segment behind.
static void put_arc(struct kw_arena *a, struct kw_path *p, int i, struct kw_vec2 start,
                    struct kw_vec2 end, double bulge) {
    int n = p->count, tag = p->v[i].tag;
    struct kw_vertex *before = &p->v[i > 0 ? i - 1 : n - 1], *v = &p->v[i];
    const struct kw_vertex *after = &p->v[i + 1 < n ? i + 1 : 0];
    bool keep_in = hypot(start.x - before->x, start.y - before->y) > KW_SAME_POINT_MM;
    bool keep_out = hypot(end.x - after->x, end.y - after->y) > KW_SAME_POINT_MM;
    if (keep_in) {
        *v = (struct kw_vertex){start.x, start.y, bulge, tag};
        if (keep_out) *insert(a, p, i + 1) = (struct kw_vertex){end.x, end.y, 0, tag};
        return;
    }
    before->bulge = bulge;
    before->tag = tag;
    if (keep_out) {
        v->x = end.x;
        v->y = end.y;
        return;
    }
    memmove(v, v + 1, sizeof *v * (size_t)(n - 1 - i));
    p->count--;
}

bool kw_path_round_corner(struct kw_arena *a, struct kw_path *p, int i, double radius) {
    int n = p->count;
    if (i < 0 || i >= n || n < 3 || !(radius > 0) || (p->open && (i == 0 || i == n - 1)))
        return false;
    const struct kw_vertex *before = &p->v[i > 0 ? i - 1 : n - 1], *v = &p->v[i];
    const struct kw_vertex *after = &p->v[i + 1 < n ? i + 1 : 0];
    if (before->bulge != 0 || v->bulge != 0) return false;
    struct kw_vec2 corner = kw_v2(v->x, v->y);
    struct kw_vec2 in = kw_sub2(corner, kw_v2(before->x, before->y));
    struct kw_vec2 out = kw_sub2(kw_v2(after->x, after->y), corner);
    double in_length = kw_length2(in), out_length = kw_length2(out);
    double turn = atan2(kw_cross2(in, out), kw_dot2(in, out));
    if (!(fabs(turn) > 1e-6) || !(fabs(turn) < KW_PI - 1e-6)) return false;
    double cut = radius * tan(fabs(turn) / 2);
    if (!(cut <= fmin(in_length, out_length) + KW_SAME_POINT_MM / 2)) return false;
    struct kw_vec2 start = kw_sub2(corner, kw_scale2(in, cut / in_length));
    struct kw_vec2 end = kw_add2(corner, kw_scale2(out, cut / out_length));
    put_arc(a, p, i, start, end, tan(turn / 4));
    return true;
}

// ------------------------------------------------------------------------------------------ chords

// Half the largest angle a step along the arc may take.
static double half_step(double radius, double tolerance, bool tangents) {
    double c = tangents ? radius / (radius + tolerance) : 1 - tolerance / radius;
    double half = acos(c > 0 ? c : 0);
    return half < KW_PI / 4 ? half : KW_PI / 4;
}

static void chord_arc(struct kw_arena *a, struct kw_segment s, double tolerance, bool tangents,
                      struct kw_vec2 **points, int *count) {
    double half = half_step(s.radius, tolerance, tangents);
    int steps = (int)ceil(fabs(s.sweep) / (2 * half) - 1e-9);
    if (steps < 1) steps = 1;
    if (tangents) {
        double out = 1 / cos(s.sweep / steps / 2);
        for (int k = 0; k < steps; k++) {
            struct kw_vec2 on = kw_segment_point(s, (k + 0.5) / steps);
            KW_PUSH(a, *points, *count) = kw_lerp2(s.centre, on, out);
        }
        return;
    }
    for (int k = 1; k < steps; k++)
        KW_PUSH(a, *points, *count) = kw_segment_point(s, (double)k / steps);
}

// With metal on the left, an arc to the left is convex: its chords lose metal and its tangents add
// some; the other way round for an arc to the right.
struct kw_vec2 *kw_path_chords(struct kw_arena *a, const struct kw_path *p, double tolerance,
                               enum kw_chord_side side, int *count) {
    struct kw_vec2 *points = NULL;
    *count = 0;
    kw_assert(tolerance > 0);
    for (int i = 0; i < kw_path_segments(p); i++) {
        struct kw_segment s = kw_path_segment(p, i);
        KW_PUSH(a, points, *count) = s.a;
        if (s.radius > 0)
            chord_arc(a, s, tolerance, (side == KW_CHORD_OUTSIDE) == (s.sweep > 0), &points, count);
    }
    if (p->open && p->count > 0)
        KW_PUSH(a, points, *count) = kw_v2(p->v[p->count - 1].x, p->v[p->count - 1].y);
    return points;
}
