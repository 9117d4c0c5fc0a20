// SPDX-License-Identifier: Apache-2.0
// The judge of bend orders: replays every stroke on the folded mesh, triangle against triangle, the
// part against punch, die, ram, bed, the gauge's fingers and the side frames, in steps of at most
// half a millimetre, with 0.1 mm allowed; sees that every bend is made once, that tools cover the
// bend, that an edge lies at the gauge, and measures the finished part against its design. Plain
// numbers in, nothing of the planner.
//
// Frames as brake.h has them: blank with its bottom at z = 0; a stroke's frame with u towards the
// gauge, v along the bend line, z up from the die's top face.
#pragma once

#include "base/base.h"

struct kw_verdict;

struct kw_bent_face {
    const double (*at)[2]; ///< straight outline between tangent lines, counter-clockwise, blank
    int count;
};
struct kw_bent_bend {
    int parent, child;
    double from[2], to[2], normal[2]; ///< centre of the zone; unit, from parent to child
    double angle, radius, allowance;
    bool down;
    bool hem;            ///< made in two stages: bent by `angle`, then flattened
    double first_radius; ///< of a hem once bent: inside radius, width of its zone; `radius` and
    double first_zone;   ///< `allowance` are those of the flattened hem
};
struct kw_bent_tool {
    const double (*at)[2]; ///< section, straight, counter-clockwise
    int count;
    double from, to; ///< along v
};
struct kw_bent_stroke {
    const int *bends;
    int bend_count;
    bool child_behind;                   ///< the child's side lies at the gauge
    double under_load, radius;           ///< turn at the deepest point, inside radius
    double opening, shoulder, die_angle; ///< of the V: gives the depth at each angle
    struct kw_bent_tool punch, die;      ///< punch with its tip at y = 0
    double ram_width, bed_width, open;   ///< open: way from above down to the sheet
    double step; ///< mm of motion between two looks; 0: half a millimetre, as a verdict wants
    bool gauged;
    double gauge_x, gauge_r; ///< front of the fingers, their lower edge
    double gauge_back;       ///< pulled back once the sheet is held
    double fingers[2];       ///< their middles along v
    int finger_count;
    double finger_size[3];         ///< along u, v, z
    bool gauge_stays;              ///< the bed comes up past the fingers, which hold their height
                                   ///< against the punch
    double throat, between_frames; ///< 0: not known
    bool flatten;  ///< the second stage of hems: `die` and `punch` are flats, nothing is gauged
    double closed; ///< mm between the flats at its end
    bool own_tool; ///< made with a tool of its own: neither tools nor gauge are looked at
};
struct kw_bent_bump { ///< what stands out of a face: round, on one side
    int face;
    double at[2], radius, height;
    bool down;
    int after; ///< there once bend `after` - 1 is made; 0: from the beginning
};
struct kw_bent_flare { ///< a dimple made on the shop press between strokes, or after the last
    int face;
    double at[2];
    double clear; ///< diameter that lies on the die
    int after;    ///< strokes made before
};
struct kw_bent_part {
    const struct kw_bent_face *faces;
    int face_count;
    const struct kw_bent_bend *bends;
    int bend_count;
    const struct kw_bent_bump *bumps;
    int bump_count;
    const struct kw_bent_flare *flares;
    int flare_count;
    double throat, daylight; ///< of the shop press
    double thickness;
    const double (*finished)[3]; ///< the first point of each face's outline (bottom) on the
                                 ///< finished part, any frame; NULL: not measured
};

/// One stroke, with the bends in `made` done before: 0 not, 1 bent, 2 a hem flattened. Returns its
/// faults.
int kw_judge_stroke(const struct kw_bent_part *part, const struct kw_bent_stroke *stroke,
                    int number, const unsigned char *made, struct kw_verdict *verdict);
/// A dimple to be made with the bends in `made` done: the part must go in between the arms of the
/// shop press, held some way round. Returns its faults.
int kw_judge_flare(const struct kw_bent_part *part, const struct kw_bent_flare *flare,
                   const unsigned char *made, struct kw_verdict *verdict);
/// Judges one part's strokes in order, and the dimples made between them. Returns the number of
/// faults; texts in `verdict`.
int kw_judge_brake(const struct kw_bent_part *part, const struct kw_bent_stroke *strokes, int count,
                   struct kw_verdict *verdict);
