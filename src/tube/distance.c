// SPDX-License-Identifier: Apache-2.0
// Distances between straight pieces, and between a straight piece and a box.
#include "tube/inside.h"

static double clamp01(double v) {
    return v < 0 ? 0 : v > 1 ? 1 : v;
}

double kw_tube_segment_to_segment(struct kw_vec3 p, struct kw_vec3 q, struct kw_vec3 u,
                                  struct kw_vec3 v) {
    struct kw_vec3 d = kw_sub3(q, p), e = kw_sub3(v, u), r = kw_sub3(p, u);
    double dd = kw_dot3(d, d), ee = kw_dot3(e, e), de = kw_dot3(d, e);
    double dr = kw_dot3(d, r), er = kw_dot3(e, r);
    // Least of |r + s d - t e|: s for free t, clamped, then t for that s, clamped, then s again.
    double s = 0, t = 0, det = dd * ee - de * de;
    if (det > 1e-12 * dd * ee) s = clamp01((de * er - dr * ee) / det);
    if (ee > 0) t = clamp01((er + s * de) / ee);
    if (dd > 0) s = clamp01((t * de - dr) / dd);
    return kw_length3(along3(along3(r, s, d), -t, e));
}

static double outside(double v, double low, double high) {
    return v < low ? v - low : v > high ? v - high : 0;
}

/// Half the slope of the squared distance to the box at p + t d.
static double slope(struct kw_vec3 p, struct kw_vec3 d, double t, const struct kw_box3 *b) {
    return outside(p.x + t * d.x, b->min.x, b->max.x) * d.x +
           outside(p.y + t * d.y, b->min.y, b->max.y) * d.y +
           outside(p.z + t * d.z, b->min.z, b->max.z) * d.z;
}

/// The bracket of the slope's zero, narrowed where one coordinate enters or leaves the box.
struct bracket {
    double low, high, slope_low, slope_high;
};

static void narrow(struct bracket *k, struct kw_vec3 p, struct kw_vec3 d, const struct kw_box3 *b,
                   double t) {
    if (!(t > k->low && t < k->high)) return;
    double g = slope(p, d, t, b);
    if (g < 0) {
        k->low = t;
        k->slope_low = g;
    } else {
        k->high = t;
        k->slope_high = g;
    }
}

static void narrow_axis(struct bracket *k, struct kw_vec3 p, struct kw_vec3 d,
                        const struct kw_box3 *b, double from, double step, double low,
                        double high) {
    if (step == 0) return;
    narrow(k, p, d, b, (low - from) / step);
    narrow(k, p, d, b, (high - from) / step);
}

double kw_tube_segment_to_box(struct kw_vec3 p, struct kw_vec3 q, const struct kw_box3 *b) {
    struct kw_vec3 d = kw_sub3(q, p);
    struct bracket k = {0, 1, slope(p, d, 0, b), slope(p, d, 1, b)};
    double t = k.slope_low >= 0 ? 0 : 1;
    if (k.slope_low < 0 && k.slope_high > 0) {
        narrow_axis(&k, p, d, b, p.x, d.x, b->min.x, b->max.x);
        narrow_axis(&k, p, d, b, p.y, d.y, b->min.y, b->max.y);
        narrow_axis(&k, p, d, b, p.z, d.z, b->min.z, b->max.z);
        // The squared distance is convex and between the brackets a parabola: its slope is a line.
        double rise = k.slope_high - k.slope_low;
        t = rise > 0 ? k.low + (k.high - k.low) * -k.slope_low / rise : k.low;
    }
    struct kw_vec3 c = along3(p, t, d);
    return kw_length3(kw_v3(outside(c.x, b->min.x, b->max.x), outside(c.y, b->min.y, b->max.y),
                            outside(c.z, b->min.z, b->max.z)));
}
