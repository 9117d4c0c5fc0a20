// SPDX-License-Identifier: Apache-2.0
// carton: boxes into shipping cartons. Which cartons, what lies where, layer by layer from the
// bottom, what they weigh and what the carrier bills. Pure: no files, no clock, no knowledge of
// kits.
//
// Frame of a carton: origin in the inside lower left front corner, x along its inside length, y its
// width, z up. Lengths mm, masses kg. Nothing is weighed against strength: heavy things are put
// low, and every box above the floor rests on at least `support` of its base.
#pragma once

#include "base/base.h"

/// `count` like boxes.
struct kw_carton_box {
    double size[3];  ///< length, width, height, mm, > 0
    double mass;     ///< kg each, >= 0
    int count;       ///< >= 1
    bool upright[3]; ///< whether that dimension may stand vertical; all false: only the height
};

struct kw_carton_kind {
    double inside[3];  ///< length, width, height, mm
    double wall;       ///< thickness of board, mm: outside = inside + 2 wall
    double tare;       ///< kg, padding included
    double price;      ///< shop's currency
    double most_gross; ///< kg printed on the box; 0: none
    int count;         ///< in stock; -1: any number
};

/// Limits of the parcel carrier and how we pack. A limit of 0 is none.
struct kw_carton_rules {
    double most_mass;         ///< kg gross
    double most_length;       ///< mm, longest outside side, rounded up
    double most_length_girth; ///< mm, longest + 2 (the other two), each rounded up
    double divisor;           ///< mm3 a kg of dimensional mass; 0: billed by mass alone
    double mass_step;         ///< kg; billable mass is rounded up to it; 0: not rounded
    double size_step;         ///< mm; outside sides are rounded up to it (25.4); 0: not rounded
    double wall_gap;          ///< mm kept free along the walls, floor and lid
    double layer_gap;         ///< mm kept free between boxes that lie on each other
    double support;           ///< 0..1, least part of a base that rests; 0: 0.7
    int effort;               ///< tries a carton, 1..; 0: 12 (60 boxes in some ms)
};

/// One box where it lies.
struct kw_carton_placed {
    int box;        ///< index into the boxes
    int copy;       ///< 0.. of that box's count
    double at[3];   ///< lower corner
    double size[3]; ///< as placed, along x, y, z
    int turn;       ///< 0..5, see kw_carton_turn_text
    int layer;      ///< 0 on the floor, else one more than the highest it rests on
};

struct kw_carton {
    int kind;
    struct kw_carton_placed *placed; ///< bottom layer first, then from the back left
    int placed_count, layers;
    double net_mass, gross_mass;
    double outside[3];       ///< mm, rounded up
    double length_girth;     ///< mm, from the rounded sides
    double dimensional_mass; ///< kg, before rounding; 0 without a divisor
    double billable_mass;    ///< kg: the larger of both, rounded up
    double filled;           ///< 0..1 of the inside volume
};

#define KW_CARTON_PROBLEM_LIST(X)                                                                  \
    X(NO_CARTON, "no-carton", "mm")      /* fits none; the side that sticks out of the nearest */  \
    X(TOO_HEAVY, "too-heavy", "kg")      /* one box and the carton over the limit */               \
    X(TOO_LONG, "parcel-too-long", "mm") /* fits only cartons that are over the carrier's limit */ \
    X(OVER_GIRTH, "over-girth", "mm")                                                              \
    X(NO_STOCK, "cartons-short", "") /* cartons ran out; measured: boxes left over */

enum kw_carton_problem_kind {
#define X(name, id, unit) KW_CARTON_##name,
    KW_CARTON_PROBLEM_LIST(X)
#undef X
};
const char *kw_carton_problem_name(enum kw_carton_problem_kind kind); ///< "no-carton"
const char *kw_carton_problem_unit(enum kw_carton_problem_kind kind);

struct kw_carton_problem {
    enum kw_carton_problem_kind kind;
    int box;   ///< index; all its copies are left out, but for NO_STOCK
    int count; ///< copies left out
    double measured, limit;
    int carton; ///< of NO_CARTON: the one that comes nearest, -1 without any; of the others -1
};

struct kw_carton_plan {
    struct kw_carton *cartons;
    int carton_count;
    struct kw_carton_problem *problems;
    int problem_count;
    double billable_mass; ///< kg, all cartons
    double price;         ///< of all cartons
};

/// Packs all boxes: fewest cartons, then least billable mass, then least price, then lowest centre
/// of mass. Results live in `arena`. KW_RANGE (box or kind named) for a size that is not > 0, a
/// negative mass or a count below 1; more than 5000 boxes KW_LIMIT. What does not fit is a problem.
enum kw_status kw_carton_plan(struct kw_arena *arena, const struct kw_carton_box *boxes,
                              int box_count, const struct kw_carton_kind *kinds, int kind_count,
                              const struct kw_carton_rules *rules, struct kw_place at,
                              struct kw_carton_plan *plan, struct kw_error *err);

/// Whether a box can't go in any carton that may be sent, were it alone; then why. The box and the
/// cartons are as kw_carton_plan takes them; why->box is 0.
bool kw_carton_refuses(const struct kw_carton_box *box, const struct kw_carton_kind *kinds,
                       int kind_count, const struct kw_carton_rules *rules,
                       struct kw_carton_problem *why);

/// The invariant of a plan, written apart from the packer: every copy of every box lies in one
/// carton or is in the problems; inside with its gaps; no two overlap; each rests on the floor or
/// on `support` of its base; stands as it may; layers, masses, sides and billable mass are right;
/// no limit is broken. KW_JUDGE with the first fault.
enum kw_status kw_carton_check(const struct kw_carton_plan *plan, const struct kw_carton_box *boxes,
                               int box_count, const struct kw_carton_kind *kinds, int kind_count,
                               const struct kw_carton_rules *rules, struct kw_error *err);

/// Which side of the box lies along x, y, z: "lwh" as given, "wlh" turned a quarter on its base,
/// "lhw", "hlw" on its long side, "whl", "hwl" on its end.
const char *kw_carton_turn_text(int turn);

/// Outside sides of a kind, rounded up; length plus girth of them.
void kw_carton_outside(const struct kw_carton_kind *kind, const struct kw_carton_rules *rules,
                       double outside[3]);
double kw_carton_length_girth(const double outside[3]);
/// The larger of gross and dimensional mass, rounded up to the step. *dimensional may be NULL.
double kw_carton_billable(double gross, const double outside[3],
                          const struct kw_carton_rules *rules, double *dimensional);
