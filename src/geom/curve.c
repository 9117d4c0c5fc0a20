// SPDX-License-Identifier: Apache-2.0
// Affine maps, ellipses and splines, and their way into a path.
#include "geom/curve.h"

#include "geom/units.h"

#include <stdlib.h>
#include <string.h>

// ------------------------------------------------------------------------------------------- maps

struct kw_affine2 kw_affine2_none(void) {
    return (struct kw_affine2){.xx = 1, .yy = 1};
}

struct kw_affine2 kw_affine2_then(struct kw_affine2 m, struct kw_affine2 n) {
    return (struct kw_affine2){.xx = n.xx * m.xx + n.xy * m.yx,
                               .xy = n.xx * m.xy + n.xy * m.yy,
                               .yx = n.yx * m.xx + n.yy * m.yx,
                               .yy = n.yx * m.xy + n.yy * m.yy,
                               .x = n.xx * m.x + n.xy * m.y + n.x,
                               .y = n.yx * m.x + n.yy * m.y + n.y};
}

struct kw_vec2 kw_affine2_direction(struct kw_affine2 m, struct kw_vec2 d) {
    return kw_v2(m.xx * d.x + m.xy * d.y, m.yx * d.x + m.yy * d.y);
}

struct kw_vec2 kw_affine2_point(struct kw_affine2 m, struct kw_vec2 p) {
    return kw_add2(kw_affine2_direction(m, p), kw_v2(m.x, m.y));
}

struct kw_affine2 kw_affine2_inverse(struct kw_affine2 m) {
    double d = m.xx * m.yy - m.xy * m.yx;
    struct kw_affine2 n = {.xx = m.yy / d, .xy = -m.xy / d, .yx = -m.yx / d, .yy = m.xx / d};
    n.x = -(n.xx * m.x + n.xy * m.y);
    n.y = -(n.yx * m.x + n.yy * m.y);
    return n;
}

// The images of two unit vectors that are square to each other: of one length and square again.
static bool is_circle(struct kw_vec2 u, struct kw_vec2 v) {
    double uu = kw_dot2(u, u), vv = kw_dot2(v, v);
    return fabs(uu - vv) <= 1e-9 * (uu + vv) && fabs(kw_dot2(u, v)) <= 1e-9 * (uu + vv);
}

bool kw_affine2_is_similar(struct kw_affine2 m, double *scale, bool *mirrored) {
    *scale = sqrt(fabs(m.xx * m.yy - m.xy * m.yx));
    *mirrored = m.xx * m.yy - m.xy * m.yx < 0;
    return is_circle(kw_v2(m.xx, m.yx), kw_v2(m.xy, m.yy));
}

// --------------------------------------------------------------------------------------- ellipses

struct kw_ellipse kw_ellipse_mapped(const struct kw_ellipse *e, struct kw_affine2 m) {
    return (struct kw_ellipse){kw_affine2_point(m, e->centre), kw_affine2_direction(m, e->u),
                               kw_affine2_direction(m, e->v), e->from, e->to};
}

struct kw_vec2 kw_ellipse_point(const struct kw_ellipse *e, double t) {
    return kw_add2(e->centre, kw_add2(kw_scale2(e->u, cos(t)), kw_scale2(e->v, sin(t))));
}

static struct kw_vec2 ellipse_point(const void *user, double t) {
    return kw_ellipse_point(user, t);
}

void kw_path_add_ellipse(struct kw_arena *a, struct kw_path *p, const struct kw_ellipse *e,
                         double tolerance, int tag) {
    double sweep = e->to - e->from;
    int quarters = (int)ceil(fabs(sweep) / (KW_PI / 2) - 1e-9);
    if (quarters < 1) quarters = 1;
    if (!is_circle(e->u, e->v)) {
        struct kw_curve c = {e, ellipse_point};
        kw_path_add_curve(a, p, &c, e->from, e->to, 2 * quarters, tolerance, tag);
        return;
    }
    int arcs = fabs(sweep) > KW_PI * (1 + 1e-12) ? 2 : 1;
    double bulge = tan(sweep / arcs / 4);
    if (kw_cross2(e->u, e->v) < 0) bulge = -bulge;
    p->open = true;
    if (p->count > 0) p->count--;
    for (int i = 0; i <= arcs; i++) {
        struct kw_vec2 q = kw_ellipse_point(e, e->from + sweep * i / arcs);
        kw_path_add(a, p, q.x, q.y, i < arcs ? fmax(-1, fmin(1, bulge)) : 0, tag);
    }
}

// ---------------------------------------------------------------------------------------- splines

static const char *knots_fault(const struct kw_spline *s) {
    int n = s->count + s->degree + 1;
    for (int i = 0; i < n; i++) {
        if (!isfinite(s->knots[i])) return "a knot that is no number";
        if (i > 0 && s->knots[i] < s->knots[i - 1]) return "knots that fall";
    }
    double from = s->knots[s->degree], to = s->knots[s->count];
    if (!(to > from)) return "knots without a range";
    for (int i = 0; i + s->degree < n; i++) {
        double knot = s->knots[i];
        if (knot > from && knot < to && s->knots[i + s->degree] <= knot) return "a break in it";
    }
    return NULL;
}

const char *kw_spline_fault(const struct kw_spline *s) {
    if (s->degree < 1 || s->degree > KW_SPLINE_MOST_DEGREE) return "a degree out of range";
    if (s->count <= s->degree) return "fewer points than its degree asks for";
    for (int i = 0; i < s->count; i++) {
        if (!isfinite(s->points[i].x) || !isfinite(s->points[i].y))
            return "a point that is no number";
        if (s->weights && !(s->weights[i] > 0 && s->weights[i] < 1e12))
            return "a weight that is not above 0";
    }
    return knots_fault(s);
}

// The knot span that holds t: knots[k] <= t < knots[k + 1], the last one for the end.
static int find_span(const struct kw_spline *s, double t) {
    int lo = s->degree, hi = s->count; // knots[lo] <= t < knots[hi]
    if (t >= s->knots[hi]) {
        while (hi > lo + 1 && s->knots[hi - 1] >= s->knots[s->count])
            hi--;
        return hi - 1;
    }
    while (hi - lo > 1) {
        int middle = (lo + hi) / 2;
        if (t < s->knots[middle])
            hi = middle;
        else
            lo = middle;
    }
    return lo;
}

// De Boor's scheme in homogeneous coordinates.
struct kw_vec2 kw_spline_point(const struct kw_spline *s, double t) {
    struct {
        double x, y, w;
    } d[KW_SPLINE_MOST_DEGREE + 1];
    int n = s->degree, k = find_span(s, t);
    for (int i = 0; i <= n; i++) {
        double w = s->weights ? s->weights[k - n + i] : 1;
        d[i].x = s->points[k - n + i].x * w;
        d[i].y = s->points[k - n + i].y * w;
        d[i].w = w;
    }
    for (int level = 1; level <= n; level++) {
        for (int i = n; i >= level; i--) {
            double from = s->knots[k - n + i], to = s->knots[k + 1 + i - level];
            double part = to > from ? (t - from) / (to - from) : 0;
            d[i].x = d[i - 1].x + (d[i].x - d[i - 1].x) * part;
            d[i].y = d[i - 1].y + (d[i].y - d[i - 1].y) * part;
            d[i].w = d[i - 1].w + (d[i].w - d[i - 1].w) * part;
        }
    }
    return kw_v2(d[n].x / d[n].w, d[n].y / d[n].w);
}

static struct kw_vec2 spline_point(const void *user, double t) {
    return kw_spline_point(user, t);
}

// A knot that comes as often as the degree says leaves the directions on its two sides free: the
// curve is taken from one such knot to the next.
void kw_path_add_spline(struct kw_arena *a, struct kw_path *p, const struct kw_spline *s,
                        double tolerance, int tag) {
    struct kw_curve c = {s, spline_point};
    int from = s->degree;
    while (s->knots[from + 1] <= s->knots[from]) // the last of the first ones
        from++;
    int spans = 0;
    for (int i = from + 1; i <= s->count; i++) {
        int same = 1;
        if (s->knots[i] > s->knots[i - 1]) spans++;
        while (i < s->count && s->knots[i + 1] <= s->knots[i])
            i++, same++;
        bool end = i >= s->count || s->knots[i] >= s->knots[s->count];
        if (!end && same < s->degree) continue;
        kw_path_add_curve(a, p, &c, s->knots[from], s->knots[i], spans * (s->degree > 1 ? 2 : 1),
                          tolerance, tag);
        if (end) return;
        from = i;
        spans = 0;
    }
}

// ------------------------------------------------------------------------------------ fit points

// Second derivatives m of the cubic spline at its points: a tridiagonal system, row i
// h[i-1] m[i-1] + 2 (h[i-1] + h[i]) m[i] + h[i] m[i+1] = 6 (slope[i] - slope[i-1]).
static void solve(int n, const double *h, const double *y, size_t stride, const double *start,
                  const double *end, double *m, double *c) {
    const double *v = y;
#define Y(i) v[(size_t)(i)*stride]
    double diagonal = start ? 2 * h[0] : 1, upper = start ? h[0] : 0;
    double right = start ? 6 * ((Y(1) - Y(0)) / h[0] - *start) : 0;
    c[0] = upper / diagonal;
    m[0] = right / diagonal;
    for (int i = 1; i < n; i++) {
        bool last = i == n - 1;
        double lower = last && !end ? 0 : h[i - 1];
        upper = last ? 0 : h[i];
        diagonal = last ? (end ? 2 * h[i - 1] : 1) : 2 * (h[i - 1] + h[i]);
        if (last)
            right = end ? 6 * (*end - (Y(i) - Y(i - 1)) / h[i - 1]) : 0;
        else
            right = 6 * ((Y(i + 1) - Y(i)) / h[i] - (Y(i) - Y(i - 1)) / h[i - 1]);
        double pivot = diagonal - lower * c[i - 1];
        c[i] = upper / pivot;
        m[i] = (right - lower * m[i - 1]) / pivot;
    }
    for (int i = n - 2; i >= 0; i--)
        m[i] -= c[i] * m[i + 1];
#undef Y
}

// Each span as a cubic in the form of its four Bezier points, the whole as one spline.
static struct kw_spline bezier_chain(struct kw_arena *a, const struct kw_vec2 *q, int n,
                                     const double *h, const double *mx, const double *my) {
    struct kw_spline s = {.degree = 3, .count = 3 * (n - 1) + 1};
    s.points = KW_NEW_ARRAY(a, struct kw_vec2, s.count);
    s.knots = KW_NEW_ARRAY(a, double, s.count + 4);
    double t = 0;
    for (int i = 0; i + 1 < n; i++) {
        struct kw_vec2 step = kw_sub2(q[i + 1], q[i]);
        // slopes at the two ends, times h/3
        struct kw_vec2 one = kw_v2(step.x - h[i] * h[i] * (2 * mx[i] + mx[i + 1]) / 6,
                                   step.y - h[i] * h[i] * (2 * my[i] + my[i + 1]) / 6);
        struct kw_vec2 two = kw_v2(step.x + h[i] * h[i] * (mx[i] + 2 * mx[i + 1]) / 6,
                                   step.y + h[i] * h[i] * (my[i] + 2 * my[i + 1]) / 6);
        s.points[3 * i] = q[i];
        s.points[3 * i + 1] = kw_add2(q[i], kw_scale2(one, 1.0 / 3));
        s.points[3 * i + 2] = kw_sub2(q[i + 1], kw_scale2(two, 1.0 / 3));
        for (int k = 1; k <= 3; k++)
            s.knots[3 * i + k] = t;
        if (i == 0) s.knots[0] = t;
        t += h[i];
    }
    s.points[s.count - 1] = q[n - 1];
    for (int k = 0; k < 4; k++)
        s.knots[s.count + k] = t;
    return s;
}

struct kw_spline kw_spline_through(struct kw_arena *a, const struct kw_vec2 *points, int count,
                                   const struct kw_vec2 *start, const struct kw_vec2 *end) {
    struct kw_vec2 *q = KW_NEW_ARRAY(a, struct kw_vec2, count + 1);
    double *h = KW_NEW_ARRAY(a, double, count + 1);
    int n = 0;
    for (int i = 0; i < count; i++) {
        double step = n > 0 ? kw_length2(kw_sub2(points[i], q[n - 1])) : 1;
        if (!(step > KW_SAME_POINT_MM)) continue;
        if (n > 0) h[n - 1] = step;
        q[n++] = points[i];
    }
    if (n < 2) return (struct kw_spline){0};
    double *mx = KW_NEW_ARRAY(a, double, n), *my = KW_NEW_ARRAY(a, double, n);
    double *work = KW_NEW_ARRAY(a, double, n);
    size_t stride = sizeof *q / sizeof(double);
    solve(n, h, &q[0].x, stride, start ? &start->x : NULL, end ? &end->x : NULL, mx, work);
    solve(n, h, &q[0].y, stride, start ? &start->y : NULL, end ? &end->y : NULL, my, work);
    return bezier_chain(a, q, n, h, mx, my);
}

// The loop three times over: what happens at the two far ends fades by 0.27 a point, and the turn
// in the middle knows nothing of it (24 points: 1e-14).
struct kw_spline kw_spline_around(struct kw_arena *a, const struct kw_vec2 *points, int count) {
    struct kw_vec2 *q = KW_NEW_ARRAY(a, struct kw_vec2, count + 1);
    int n = 0;
    for (int i = 0; i < count; i++) {
        if (n == 0 || kw_length2(kw_sub2(points[i], q[n - 1])) > KW_SAME_POINT_MM)
            q[n++] = points[i];
    }
    while (n > 1 && kw_length2(kw_sub2(q[0], q[n - 1])) <= KW_SAME_POINT_MM)
        n--;
    if (n < 2) return (struct kw_spline){0};
    int turns = 1 + 2 * (24 / n + 1);
    struct kw_vec2 *r = KW_NEW_ARRAY(a, struct kw_vec2, turns * n + 1);
    for (int i = 0; i <= turns * n; i++)
        r[i] = q[i % n];
    struct kw_spline s = kw_spline_through(a, r, turns * n + 1, NULL, NULL);
    int skip = 3 * n * (turns / 2);
    s.points += skip;
    s.knots += skip; // three equal knots stand before the first point and after the last
    s.count = 3 * n + 1;
    return s;
}

// ------------------------------------------------------------------------------------ mapped paths

static void add_mapped_arc(struct kw_arena *a, struct kw_path *p, struct kw_segment s, int tag,
                           struct kw_affine2 m, double tolerance) {
    struct kw_vec2 u = kw_sub2(s.a, s.centre);
    struct kw_ellipse e = {s.centre, u, kw_left2(u), 0, s.sweep};
    e = kw_ellipse_mapped(&e, m);
    kw_path_add_ellipse(a, p, &e, tolerance, tag);
}

void kw_path_add_mapped(struct kw_arena *a, struct kw_path *p, const struct kw_path *q,
                        struct kw_affine2 m, double tolerance) {
    double scale;
    bool mirrored, similar = kw_affine2_is_similar(m, &scale, &mirrored);
    int n = kw_path_segments(q);
    p->open = true;
    for (int i = 0; i < n; i++) {
        struct kw_vertex v = q->v[i], w = q->v[(i + 1) % q->count];
        struct kw_vec2 from = kw_affine2_point(m, kw_v2(v.x, v.y));
        struct kw_vec2 to = kw_affine2_point(m, kw_v2(w.x, w.y));
        if (v.bulge != 0 && !similar) {
            add_mapped_arc(a, p, kw_path_segment(q, i), v.tag, m, tolerance);
            continue;
        }
        if (p->count > 0) p->count--;
        kw_path_add(a, p, from.x, from.y, mirrored ? -v.bulge : v.bulge, v.tag);
        kw_path_add(a, p, to.x, to.y, 0, v.tag);
    }
}
