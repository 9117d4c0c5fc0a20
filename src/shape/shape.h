// SPDX-License-Identifier: Apache-2.0
// shape: from a sheet part as described to its blank and its folded body. Bend arithmetic; the tree
// of faces and bends; flat and folded frames; watertight mesh. One structure that mesh, blank, brake
// and browser read.
//
//   body = faces and bends in topological order, face 0 (the base) fixed.
//   flat:   one rigid map a face in the plane (face frame -> blank frame)
//   folded: one rigid map a face in space at t in 0..1 (0 flat, 1 finished)
//
// Face frame of the base: kit.h. Face frame of a flange: x along the bend line, y away from it
// (outwards); y = 0 at the flange's outside corner, so that y reads as `from_bottom`, for turns up to
// 90 degrees; beyond 90 y = 0 at the outside tangent (the leg is measured to it, as DIN 6935 does).
// z = 0 is the face that was up in the blank; the metal lies below it (z in -thickness..0).
#pragma once

#include "base/base.h"
#include "geom/geom.h"
#include "kit/kit.h"
#include "shop/shop.h"

// ---------------------------------------------------------------------------------- bend arithmetic

/// K factor (0..0.5) for inside radius r and thickness t under the shop's rule: a constant; DIN 6935
/// k/2 with k = 0.65 + 0.5 log10(r/t), at most 1; or by radius over thickness (air bending, soft:
/// r < t 0.33, t..3t 0.40, beyond 0.50; encyclopaedia table, check-values 1.1).
double kw_bend_k(const struct kw_bending *rule, double r, double t);
/// Length of the neutral line: angle (r + K t). angle in radians from flat.
double kw_bend_allowance(double angle, double r, double t, double k);
/// Outside setback (r + t) tan(angle/2) for turns up to 90 degrees; r + t beyond (leg to the outside
/// tangent, DIN 6935).
double kw_bend_setback(double angle, double r, double t);
/// What a bend takes from the sum of the outside legs: 2 setback - allowance.
double kw_bend_deduction(double angle, double r, double t, double k);
/// Inside radius that air bending over die opening V gives: 0.16 V for mild steel (20 % rule; values
/// by family with their sources in bend.c), not less than the punch nose.
double kw_bend_natural_radius(int family, double opening, double nose);

// ---------------------------------------------------------------------------------- the body

struct kw_face {
    int bend;               ///< index of the bend that joins it to its parent; -1: face 0
    struct kw_region shape; ///< flat part between tangent lines, holes included, face frame
    struct kw_move2 flat;   ///< face frame -> blank frame
};

struct kw_bend {
    const char *id;        ///< "A", or as the drawing numbers it
    int parent, child;     ///< faces
    int flange;            ///< index into part->bends, -1: from a drawing
    struct kw_vec2 from, to; ///< centre of the bend zone, blank frame; the child is on the left of from -> to
    double angle;          ///< rad from flat, > 0
    double radius;         ///< inside
    double allowance, setback, deduction, k;
    int way;               ///< enum kw_way, seen on the blank with its up side up
    double legs[2];        ///< outside leg on the parent's and child's side, to the next bend or edge
    double flat_legs[2];   ///< the same from the centre of the bend zone on the blank
    double length;         ///< of the bend line
    double hole_gap;       ///< part of it that is open (holes, slots on the line)
    bool mates;
    int die;               ///< index into shop->press.dies that the radius was taken from, -1 none
    struct kw_place at;
};

struct kw_body {
    const struct kw_part *part;
    double thickness;
    struct kw_face *faces;
    int face_count;
    struct kw_bend *bends;
    int bend_count;
    struct kw_region blank; ///< outer and holes, lines and arcs, blank frame
    double area;            ///< net, mm2, exact
    double mass;            ///< kg: area, thickness, density
    struct kw_box3 folded;  ///< box of the finished part, base frame
};

/// Builds the body of a sheet part. The inside radius of a bend without one of its own is the
/// natural radius of the die that its thickness calls for (8 t rule, nearest in the rack; no die: r =
/// t). Tags of the blank's segments: 1 + index of the hole for holes, 1000 + bend index for the sides
/// of flanges, 0 else. Impossible shapes (a flange shorter than its setback, a blank that overlaps
/// itself, a bend line that does not split the drawing, a cycle) are `stop` findings and *out stays
/// NULL.
void kw_body_make(struct kw_arena *a, const struct kw_shop *shop, const struct kw_kit *kit,
                  const struct kw_part *part, struct kw_findings *findings, struct kw_body **out);

/// The other hand: the blank mirrored (x -> -x, then moved so that its box starts at the same
/// corner), up stays up. For parts sold left and right the description is the left hand.
struct kw_region kw_body_other_hand(struct kw_arena *a, const struct kw_body *body);
/// Bend lines of either hand in the blank frame of that hand.
void kw_body_bend_line(const struct kw_body *body, int bend, bool other_hand, struct kw_vec2 *from,
                       struct kw_vec2 *to);

/// Motion of each face (face_count entries) from its face frame (z up) to the base frame at `t`.
struct kw_move3 *kw_body_fold(struct kw_arena *a, const struct kw_body *body, double t);
/// Watertight mesh at `t`, bends with real radius in at most `step` radians, base frame. Its volume is
/// faces x thickness + for each bend angle x thickness x (radius + thickness/2) x length.
void kw_body_mesh(struct kw_arena *a, const struct kw_body *body, double t, double step,
                  struct kw_mesh *out);
/// Edges for a line picture of the folded part: closed chains of points in the base frame.
struct kw_edge3 {
    struct kw_vec3 a, b;
};
struct kw_edge3 *kw_body_edges(struct kw_arena *a, const struct kw_body *body, double t, int *count);
