// SPDX-License-Identifier: Apache-2.0
// Shared inside tube: adding problems, vectors made unit, and a walk along the tube.
#pragma once

#include "geom/geom.h"
#include "tube/tube.h"

/// Adds p; `problems` may be NULL (then nothing is kept).
void kw_tube_problem_add(struct kw_tube_problems *problems, struct kw_tube_problem p);

/// A place on the centreline: where, which way, and the side the next bend goes to (unit, square).
struct kw_tube_walk {
    struct kw_vec3 at, along, side;
};
struct kw_tube_walk kw_tube_walk_start(const struct kw_tube_table *t);
struct kw_tube_walk kw_tube_walk_straight(struct kw_tube_walk w, double length);
/// The side turned about the direction of travel, right hand rule.
struct kw_tube_walk kw_tube_walk_rotate(struct kw_tube_walk w, double radians);
/// Along an arc of the centreline by `angle`.
struct kw_tube_walk kw_tube_walk_arc(struct kw_tube_walk w, double radius, double angle);
/// Rotation, straight: at the first tangent point of bend i when called for i = 0, 1, ... in order.
struct kw_tube_walk kw_tube_walk_to_bend(struct kw_tube_walk w, const struct kw_tube_bend *b);

/// kw_tube_die_for as a pointer, NULL for none.
const struct kw_tube_die *kw_tube_die_of(const struct kw_tube_bender *b, double od,
                                         const struct kw_tube_bend *bend);
/// A piece of the tube: the chord a-b with the tube round it.
struct kw_tube_piece {
    struct kw_vec3 a, b;
    double radius;
    double from, to; ///< mm along the tube, start trim included
};
#define KW_TUBE_SAGITTA 0.5 // mm that a chord may stand off its arc; added to the piece's radius
#define KW_TUBE_MOTION  0.5 // mm, smallest step of a motion; half of it is added to the clearance
/// The whole tube in its own frame; at least one piece where it has any length.
struct kw_tube_piece *kw_tube_pieces(struct kw_arena *a, const struct kw_tube_table *t, double r,
                                     struct kw_tube_trims trims, int *count);
/// Between the tube's frame and the bender's, w being at the die's tangent line: along the tube is
/// against x, the bend's side is y.
struct kw_vec3 kw_tube_to_bender(const struct kw_tube_walk *w, struct kw_vec3 p);
struct kw_vec3 kw_tube_from_bender(const struct kw_tube_walk *w, struct kw_vec3 p);

/// Least distance between the straight pieces p-q and u-v.
double kw_tube_segment_to_segment(struct kw_vec3 p, struct kw_vec3 q, struct kw_vec3 u,
                                  struct kw_vec3 v);
/// Least distance between the straight piece p-q and a box; 0 where they meet.
double kw_tube_segment_to_box(struct kw_vec3 p, struct kw_vec3 q, const struct kw_box3 *b);

static inline struct kw_vec3 unit3(struct kw_vec3 v) {
    return kw_scale3(v, 1 / kw_length3(v));
}
/// v + s w
static inline struct kw_vec3 along3(struct kw_vec3 v, double s, struct kw_vec3 w) {
    return kw_add3(v, kw_scale3(w, s));
}
/// Angle between two vectors: exact near 0 and pi, where acos is not.
static inline double angle_between(struct kw_vec3 v, struct kw_vec3 w) {
    return atan2(kw_length3(kw_cross3(v, w)), kw_dot3(v, w));
}
/// Into (-pi, pi]; the tiny negative side of -pi counts as pi, so that an S is 180 and not -180.
double kw_tube_half_turn(double radians);
/// Some unit vector square to the unit vector d, the same for the same d.
struct kw_vec3 kw_tube_square_to(struct kw_vec3 d);
