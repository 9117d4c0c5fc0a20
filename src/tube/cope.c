// SPDX-License-Identifier: Apache-2.0
// End cuts: the saddle that lets a tube stand on another, and the mitre, as curves round the tube.
//
// Frame of a cope: the tube runs along z towards the main tube, the main tube's axis passes the
// tube's axis at (offset, 0, 0), across x, leaning by `angle` from z in the plane of y and z. A
// line along the tube at the angle q round it (from x towards y) and the distance p from its axis
// meets the main tube's surface where its distance from the main axis is the radius R there:
//   (p cos q - offset)^2 + (p sin q cos A - z sin A)^2 = R^2,
// the nearer of the two z being the cut.
#include "tube/inside.h"

bool kw_tube_cope_check(const struct kw_tube_cope *c, struct kw_tube_size size,
                        struct kw_tube_problems *problems) {
    struct kw_tube_problem p = {.step = -1, .straight = -1, .bend = -1};
    if (!(c->angle >= KW_TUBE_LEAST_COPE && c->angle <= KW_PI / 2 + 1e-9)) {
        p.kind = KW_TUBE_COPE_TOO_FLAT;
        p.measured = c->angle;
        p.limit = KW_TUBE_LEAST_COPE;
        kw_tube_problem_add(problems, p);
        return false;
    }
    double reach = fabs(c->offset) + size.od / 2;
    if (!(reach <= c->onto / 2 + 1e-6)) {
        p.kind = KW_TUBE_COPE_MISSES;
        p.measured = reach;
        p.limit = c->onto / 2;
        kw_tube_problem_add(problems, p);
        return false;
    }
    return true;
}

double kw_tube_cope_at(const struct kw_tube_cope *c, double radius, double around) {
    double aside = radius * cos(around) - c->offset, big = c->onto / 2;
    double under = sqrt(fmax(0, big * big - aside * aside));
    return (radius * sin(around) * cos(c->angle) - under) / sin(c->angle);
}

double kw_tube_miter_at(double miter, double radius, double around) {
    return radius * sin(around) * tan(miter);
}

double kw_tube_end_at(const struct kw_tube_end *e, double radius, double around) {
    double q = around - e->turn;
    return e->cope.onto > 0 ? kw_tube_cope_at(&e->cope, radius, q)
                            : kw_tube_miter_at(e->miter, radius, q);
}

double kw_tube_end_tip(const struct kw_tube_end *e, double radius) {
    // Smooth and of few waves: the best of fine steps, then narrowed by golden section.
    enum { STEPS = 720 };
    double best = -INFINITY, at = 0, step = 2 * KW_PI / STEPS;
    for (int i = 0; i < STEPS; i++) {
        double z = kw_tube_end_at(e, radius, i * step);
        if (z > best) {
            best = z;
            at = i * step;
        }
    }
    double low = at - step, high = at + step, part = (sqrt(5) - 1) / 2;
    for (int i = 0; i < 60; i++) {
        double a = high - part * (high - low), b = low + part * (high - low);
        if (kw_tube_end_at(e, radius, a) > kw_tube_end_at(e, radius, b))
            high = b;
        else
            low = a;
    }
    return fmax(best, kw_tube_end_at(e, radius, (low + high) / 2));
}

double kw_tube_flat_width(struct kw_tube_size size) {
    return KW_PI * (size.od - 2 * size.wall) / 2 + 2 * size.wall;
}
