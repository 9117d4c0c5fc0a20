// SPDX-License-Identifier: Apache-2.0
// Measures of paths, exact for lines and arcs: area, length, box, centroid, inside, distance.
#include "geom/segment.h"
#include "geom/units.h"

// t - sin t without the loss of digits that small angles bring.
static double less_sine(double t) {
    if (fabs(t) > 0.5) return t - sin(t);
    double term = t * t * t / 6, sum = term;
    for (int k = 5; k < 21 && term != 0; k += 2) {
        term *= -t * t / (k * (k - 1));
        sum += term;
    }
    return sum;
}

// Signed area between an arc and its chord.
static double cap_area(struct kw_segment s) {
    return s.radius > 0 ? s.radius * s.radius * less_sine(s.sweep) / 2 : 0;
}

double kw_path_area(const struct kw_path *p) {
    if (p->open || p->count < 2) return 0;
    struct kw_vec2 o = kw_v2(p->v[0].x, p->v[0].y);
    double area = 0;
    for (int i = 0; i < p->count; i++) {
        struct kw_segment s = kw_path_segment(p, i);
        area += kw_cross2(kw_sub2(s.a, o), kw_sub2(s.b, o)) / 2 + cap_area(s);
    }
    return area;
}

double kw_path_length(const struct kw_path *p) {
    double length = 0;
    for (int i = 0; i < kw_path_segments(p); i++)
        length += kw_segment_length(kw_path_segment(p, i));
    return length;
}

struct kw_box2 kw_path_box(const struct kw_path *p) {
    struct kw_box2 box = {{0, 0}, {0, 0}};
    if (p->count > 0) box.min = box.max = kw_v2(p->v[0].x, p->v[0].y);
    for (int i = 0; i < kw_path_segments(p); i++) {
        struct kw_box2 b = kw_segment_box(kw_path_segment(p, i));
        box.min = kw_v2(fmin(box.min.x, b.min.x), fmin(box.min.y, b.min.y));
        box.max = kw_v2(fmax(box.max.x, b.max.x), fmax(box.max.y, b.max.y));
    }
    return box;
}

// Adds the signed area and first moment about `o` of the area to the left of a closed path. The cap
// of an arc has the moment (2/3) r^3 sin^3(sweep/2) about the arc's centre, towards its middle.
static void add_moment(const struct kw_path *p, struct kw_vec2 o, double *area,
                       struct kw_vec2 *moment) {
    for (int i = 0; i < p->count; i++) {
        struct kw_segment s = kw_path_segment(p, i);
        struct kw_vec2 a = kw_sub2(s.a, o), b = kw_sub2(s.b, o);
        double triangle = kw_cross2(a, b) / 2;
        *area += triangle;
        *moment = kw_add2(*moment, kw_scale2(kw_add2(a, b), triangle / 3));
        if (!(s.radius > 0)) continue;
        double cap = cap_area(s), half = sin(s.sweep / 2);
        struct kw_vec2 out = kw_sub2(kw_segment_point(s, 0.5), s.centre);
        double lever = 2.0 / 3.0 * s.radius * s.radius * half * half * half;
        *area += cap;
        *moment = kw_add2(*moment, kw_scale2(kw_sub2(s.centre, o), cap));
        *moment = kw_add2(*moment, kw_scale2(out, lever));
    }
}

struct kw_vec2 kw_region_centroid(const struct kw_region *r) {
    struct kw_box2 box = kw_path_box(&r->outer);
    struct kw_vec2 o = kw_lerp2(box.min, box.max, 0.5), sum = {0, 0};
    double area = 0;
    for (int i = -1; i < r->hole_count; i++) {
        const struct kw_path *p = i < 0 ? &r->outer : &r->holes[i];
        struct kw_vec2 moment = {0, 0};
        double part = 0;
        add_moment(p, o, &part, &moment);
        // Whatever way the paths run, the outer one adds and holes take away.
        double sign = (part > 0) == (i < 0) ? 1 : -1;
        area += sign * part;
        sum = kw_add2(sum, kw_scale2(moment, sign));
    }
    return area > 0 ? kw_add2(o, kw_scale2(sum, 1 / area)) : o;
}

double kw_region_area(const struct kw_region *r) {
    double area = fabs(kw_path_area(&r->outer));
    for (int i = 0; i < r->hole_count; i++)
        area -= fabs(kw_path_area(&r->holes[i]));
    return area;
}

// Even-odd against the polygon of the chords; each arc whose cap holds the point turns the answer.
bool kw_path_contains(const struct kw_path *p, struct kw_vec2 q) {
    bool inside = false;
    if (p->open) return false;
    for (int i = 0; i < p->count; i++) {
        const struct kw_vertex *v = &p->v[i], *w = &p->v[i + 1 < p->count ? i + 1 : 0];
        double side = (w->x - v->x) * (q.y - v->y) - (w->y - v->y) * (q.x - v->x);
        // On the chord itself q counts as a hair to the right of it and a lesser hair above, the
        // same for every segment: a lens of two arcs has both its chords through its middle.
        if (side == 0) side = v->y != w->y ? v->y - w->y : w->x - v->x;
        if ((v->y > q.y) != (w->y > q.y) && (side > 0) == (w->y > v->y)) inside = !inside;
        if (v->bulge == 0 || (side < 0) != (v->bulge > 0)) continue;
        struct kw_segment s = kw_path_segment(p, i);
        if (s.radius > 0 && kw_length2(kw_sub2(q, s.centre)) < s.radius) inside = !inside;
    }
    return inside;
}

bool kw_region_contains(const struct kw_region *r, struct kw_vec2 q) {
    if (!kw_path_contains(&r->outer, q)) return false;
    for (int i = 0; i < r->hole_count; i++)
        if (kw_path_contains(&r->holes[i], q)) return false;
    return true;
}

double kw_path_distance(const struct kw_path *p, struct kw_vec2 q) {
    double best = INFINITY;
    for (int i = 0; i < kw_path_segments(p); i++)
        best = fmin(best, kw_segment_distance(kw_path_segment(p, i), q));
    if (kw_path_segments(p) == 0 && p->count == 1)
        best = kw_length2(kw_sub2(q, kw_v2(p->v[0].x, p->v[0].y)));
    return best;
}

struct boxed {
    struct kw_segment s;
    struct kw_box2 box;
};

static struct boxed *boxed_segments(struct kw_arena *a, const struct kw_path *p) {
    int n = kw_path_segments(p);
    struct boxed *all = KW_NEW_ARRAY(a, struct boxed, n);
    for (int i = 0; i < n; i++) {
        all[i].s = kw_path_segment(p, i);
        all[i].box = kw_segment_box(all[i].s);
    }
    return all;
}

double kw_path_gap(const struct kw_path *p, const struct kw_path *q) {
    struct kw_arena scratch = {0};
    const struct boxed *s = boxed_segments(&scratch, p), *t = boxed_segments(&scratch, q);
    struct kw_box2 whole = kw_path_box(q);
    double best = INFINITY;
    for (int i = 0; i < kw_path_segments(p) && best > 0; i++) {
        if (kw_box2_gap_squared(s[i].box, whole) >= best * best) continue;
        for (int j = 0; j < kw_path_segments(q); j++) {
            struct kw_vec2 at;
            if (kw_box2_gap_squared(s[i].box, t[j].box) >= best * best) continue;
            best = fmin(best, kw_segment_gap(s[i].s, t[j].s, &at));
        }
    }
    kw_arena_free(&scratch);
    return best;
}
