// SPDX-License-Identifier: Apache-2.0
// Sizes of one flange: what its height is told to, hems, the two bends of an offset bend, tabs bent
// by hand.
#include "shape/inside.h"

// A hem pressed flat keeps a small eye: its inside radius as part of the thickness, and what it
// takes from the sum of the outside legs, as part of the thickness. Common practice, no source.
#define CLOSED_EYE       0.1
#define CLOSED_DEDUCTION 0.43

#define OFFSET_TURN (KW_PI / 4) // of each of the two bends when none is given

static const struct kw_flange *flange_of(const struct build *b, int i) {
    return KW_ITEM(struct kw_flange, b->part->bends, i);
}

const struct kw_flange *shape_root(const struct kw_part *part, int flange) {
    const struct kw_flange *f = KW_ITEM(struct kw_flange, part->bends, flange);
    for (int i = 0; i < part->bends.count && f->parent >= 0; i++) // ends in a circle too
        f = KW_ITEM(struct kw_flange, part->bends, f->parent);
    return f;
}

/// The neutral line of a closed hem lies where its deduction puts it, by no rule for open bends.
static void close_hem(struct kw_bend *bend, double t) {
    bend->deduction = CLOSED_DEDUCTION * t;
    bend->allowance = 2 * bend->setback - bend->deduction;
    bend->k = (bend->allowance / bend->angle - bend->radius) / t;
}

void shape_flange_bend(const struct build *b, struct kw_bend *bend, int flange, bool second) {
    const struct kw_flange *f = flange_of(b, flange);
    double t = b->body->thickness, angle = f->turn, radius = f->radius;
    bend->way = f->way;
    if (f->hem != KW_NO_HEM) {
        bend->kind = KW_BEND_HEM;
        angle = KW_PI;
        radius = f->hem == KW_HEM_CLOSED ? CLOSED_EYE * t : (f->gap > 0 ? f->gap : t) / 2;
    } else if (f->offset > 0) {
        bend->kind = KW_BEND_OFFSET;
        if (!(angle > 0)) angle = OFFSET_TURN;
        if (second) bend->way = f->way == KW_UP ? KW_DOWN : KW_UP;
    } else if (f->by_hand.node) {
        bend->kind = KW_BEND_HAND;
        if (!(radius > 0)) radius = t;
    }
    shape_bend_sizes(b, bend, flange, angle, radius);
    if (f->hem == KW_HEM_CLOSED) close_hem(bend, t);
}

double shape_flange_height(const struct kw_flange *f, const struct kw_bend *bend, double t) {
    if (f->measured == KW_MEASURED_INSIDE)
        return f->height + (bend->angle > KW_PI / 2 ? t : t * tan(bend->angle / 2));
    if (f->measured == KW_MEASURED_BEND_LINE)
        return f->height - bend->allowance / 2 + bend->setback;
    return f->height;
}

// Seen from the side, bending up by a: the top rises by r (1 - cos a) in the first bend, by
// flat sin a between, by (r + t) (1 - cos a) in the second, whose top is its outside. The outside
// corners lie `between` apart along the slope, and on opposite faces of the sheet.
struct shape_step shape_flange_step(const struct kw_flange *f, const struct kw_bend *bend,
                                    double t) {
    double s = sin(bend->angle), c = cos(bend->angle);
    double bends = (2 * bend->radius + t) * (1 - c);
    struct shape_step step = {.flat = (f->offset - bends) / s, .least = bends + LEAST_FLAT_MM * s};
    step.between = step.flat + 2 * bend->setback;
    step.run = step.between * c - t * s;
    step.last = shape_flange_height(f, bend, t) - step.run;
    return step;
}
