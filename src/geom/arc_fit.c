// SPDX-License-Identifier: Apache-2.0
// A smooth curve as arcs: between two points of it the pair of arcs that leaves and arrives in its
// directions (a biarc with equal arms: Bolton, Biarc curves, Computer-Aided Design 7, 1975), halved
// until every sample of the curve is near enough.
#include "geom/curve.h"
#include "geom/segment.h"
#include "geom/units.h"

/// Samples in each span of a piece.
#define SAMPLES 8
/// The farthest of some samples is not the farthest point: with 6 a span and 0.9 one spline in 200
/// of wild weights was 4 % beyond the tolerance.
#define SAMPLED_PART 0.75
/// A piece of curve shorter than this is a line: a cusp, or noise.
#define LEAST_MM 1e-3
/// An arc flatter than this is a line.
#define FLAT_MM 1e-5
enum { DEEPEST = 40 };

struct fit {
    struct kw_arena *a;
    struct kw_path *path;
    const struct kw_curve *curve;
    double from, to, span, tolerance;
    int tag;
};

struct node { // a place on the curve
    double t;
    struct kw_vec2 p, direction; // of length 1
};

static struct kw_vec2 at(const struct fit *f, double t) {
    return f->curve->point(f->curve->user, t);
}

// Direction of the curve at t from points on its two sides, one sided at its ends. The step is
// small against a span and large against rounding; where the curve stands still it grows.
static struct kw_vec2 direction(const struct fit *f, double t) {
    double way = f->to > f->from ? 1 : -1;
    double least = 1e-9;
    for (double step = 1e-5 * fabs(f->span); step <= fabs(f->span) / 2; step *= 8) {
        double before = t - way * step, after = t + way * step;
        bool first = (before - f->from) * way < 0, last = (f->to - after) * way < 0;
        struct kw_vec2 d;
        if (first && last) break;
        if (first) { // parabola through three points: errors fall with the square of the step
            struct kw_vec2 p = at(f, t), q = at(f, after), r = at(f, t + 2 * way * step);
            d = kw_sub2(kw_scale2(kw_sub2(q, p), 4), kw_sub2(r, p));
        } else if (last) {
            struct kw_vec2 p = at(f, t), q = at(f, before), r = at(f, t - 2 * way * step);
            d = kw_sub2(kw_scale2(kw_sub2(p, q), 4), kw_sub2(p, r));
        } else {
            d = kw_sub2(at(f, after), at(f, before));
        }
        double length = kw_length2(d);
        if (length > least) return kw_scale2(d, 1 / length);
    }
    struct kw_vec2 d = kw_sub2(at(f, f->to), at(f, f->from));
    double length = kw_length2(d);
    return length > 0 ? kw_scale2(d, 1 / length) : kw_v2(1, 0);
}

static struct node node_at(const struct fit *f, double t) {
    return (struct node){t, at(f, t), direction(f, t)};
}

static void add(struct fit *f, struct kw_vec2 from, double bulge) {
    kw_path_add(f->a, f->path, from.x, from.y, bulge, f->tag);
}

// Bulge of the arc from p to q that leaves p along `d`; more than 1 when it is over a half circle.
static double arc_bulge(struct kw_vec2 p, struct kw_vec2 q, struct kw_vec2 d) {
    struct kw_vec2 chord = kw_sub2(q, p);
    double half = atan2(kw_cross2(d, chord), kw_dot2(d, chord)); // of the sweep
    double bulge = tan(half / 2);
    double flat = fabs(bulge) * kw_length2(chord) / 2;
    return flat < FLAT_MM ? 0 : bulge;
}

static double distance(const struct kw_segment *s, int count, struct kw_vec2 p) {
    double least = kw_segment_distance(s[0], p);
    for (int i = 1; i < count; i++)
        least = fmin(least, kw_segment_distance(s[i], p));
    return least;
}

// Whether all samples of the curve from a to b are within `tolerance` of the segments.
static bool is_near(const struct fit *f, const struct node *a, const struct node *b,
                    const struct kw_segment *s, int count, double tolerance) {
    int spans = (int)ceil(fabs((b->t - a->t) / f->span) - 1e-9);
    int samples = SAMPLES * (spans > 1 ? spans : 1);
    for (int i = 1; i < samples; i++) {
        struct kw_vec2 p = at(f, a->t + (b->t - a->t) * i / samples);
        if (!(distance(s, count, p) <= tolerance)) return false;
    }
    return true;
}

static bool add_line(struct fit *f, const struct node *a, const struct node *b) {
    struct kw_segment s = kw_segment_make(a->p, b->p, 0);
    if (!is_near(f, a, b, &s, 1, FLAT_MM)) return false;
    add(f, a->p, 0);
    return true;
}

// Arms of one length d from a along its direction and from b against its own end 2 d apart, with
// the place where the arcs meet in the middle: |v - d (ta + tb)| = 2 d for v = b - a, or
// 2 d d (1 - ta tb) + 2 d v (ta + tb) - v v = 0, solved so that nothing cancels.
static bool add_biarc(struct fit *f, const struct node *a, const struct node *b) {
    struct kw_vec2 v = kw_sub2(b->p, a->p), sum = kw_add2(a->direction, b->direction);
    double vt = kw_dot2(v, sum), vv = kw_dot2(v, v);
    double c = 1 - kw_dot2(a->direction, b->direction);
    double below = vt + sqrt(vt * vt + 2 * c * vv);
    if (!(vt > 0) || !(below > 0)) return false;
    double arm = vv / below;
    struct kw_vec2 meet = kw_lerp2(a->p, b->p, 0.5);
    meet = kw_add2(meet, kw_scale2(kw_sub2(a->direction, b->direction), arm / 2));
    double first = arc_bulge(a->p, meet, a->direction);
    double second = -arc_bulge(b->p, meet, kw_scale2(b->direction, -1));
    if (!(fabs(first) <= 1 && fabs(second) <= 1)) return false;
    struct kw_segment s[2] = {kw_segment_make(a->p, meet, first),
                              kw_segment_make(meet, b->p, second)};
    if (!is_near(f, a, b, s, 2, f->tolerance)) return false;
    double whole = arc_bulge(a->p, b->p, a->direction);
    struct kw_segment one = kw_segment_make(a->p, b->p, whole);
    if (fabs(whole) <= 1 && kw_segment_distance(one, meet) < FLAT_MM) {
        add(f, a->p, whole);
    } else {
        add(f, a->p, first);
        add(f, meet, second);
    }
    return true;
}

static void fit(struct fit *f, const struct node *a, const struct node *b, int depth) {
    double chord = kw_length2(kw_sub2(b->p, a->p));
    bool whole = depth == 0; // a curve of one span is looked at in halves first: it may be a loop
    if (add_line(f, a, b)) return;
    if (!whole && chord > LEAST_MM && add_biarc(f, a, b)) return;
    double middle = (a->t + b->t) / 2;
    struct kw_vec2 between = at(f, middle);
    bool small = chord <= LEAST_MM && kw_length2(kw_sub2(between, a->p)) <= LEAST_MM;
    if ((small && depth > 3) || depth == DEEPEST) {
        add(f, a->p, 0);
        return;
    }
    struct node n = node_at(f, middle);
    fit(f, a, &n, depth + 1);
    fit(f, &n, b, depth + 1);
}

void kw_path_add_curve(struct kw_arena *a, struct kw_path *p, const struct kw_curve *c, double from,
                       double to, int spans, double tolerance, int tag) {
    struct fit f = {a, p, c, from, to, (to - from) / spans, tolerance * SAMPLED_PART, tag};
    struct node first = node_at(&f, from), last = node_at(&f, to);
    p->open = true;
    if (p->count > 0) p->count--; // the curve begins where the path ends
    fit(&f, &first, &last, 0);
    kw_path_add(a, p, last.p.x, last.p.y, 0, tag);
}
