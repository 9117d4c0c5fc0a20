// SPDX-License-Identifier: Apache-2.0
// Walking along a tube. The whole kinematics is three moves: ahead, about the direction of travel,
// and round an arc in the plane of direction and side.
#include "tube/inside.h"

double kw_tube_half_turn(double radians) {
    double r = remainder(radians, 2 * KW_PI);
    return r <= -KW_PI + 1e-12 ? KW_PI : r;
}

struct kw_vec3 kw_tube_square_to(struct kw_vec3 d) {
    // The axis that d leans on least, made square to d.
    struct kw_vec3 e = kw_v3(1, 0, 0);
    double least = fabs(d.x);
    if (fabs(d.y) < least) {
        e = kw_v3(0, 1, 0);
        least = fabs(d.y);
    }
    if (fabs(d.z) < least) e = kw_v3(0, 0, 1);
    return unit3(along3(e, -kw_dot3(e, d), d));
}

struct kw_tube_walk kw_tube_walk_start(const struct kw_tube_table *t) {
    return (struct kw_tube_walk){t->start, t->along, t->side};
}

struct kw_tube_walk kw_tube_walk_straight(struct kw_tube_walk w, double length) {
    w.at = along3(w.at, length, w.along);
    return w;
}

struct kw_tube_walk kw_tube_walk_rotate(struct kw_tube_walk w, double radians) {
    if (radians == 0) return w;
    struct kw_vec3 third = kw_cross3(w.along, w.side);
    w.side = unit3(along3(kw_scale3(w.side, cos(radians)), sin(radians), third));
    return w;
}

struct kw_tube_walk kw_tube_walk_arc(struct kw_tube_walk w, double radius, double angle) {
    double c = cos(angle), s = sin(angle);
    struct kw_tube_walk to;
    to.at = along3(along3(w.at, radius * s, w.along), radius * (1 - c), w.side);
    to.along = unit3(along3(kw_scale3(w.along, c), s, w.side));
    struct kw_vec3 side = along3(kw_scale3(w.side, c), -s, w.along);
    // Kept square, so that rounding does not grow over many bends.
    to.side = unit3(along3(side, -kw_dot3(side, to.along), to.along));
    return to;
}

struct kw_tube_walk kw_tube_walk_to_bend(struct kw_tube_walk w, const struct kw_tube_bend *b) {
    return kw_tube_walk_straight(kw_tube_walk_rotate(w, b->rotate), b->straight);
}
