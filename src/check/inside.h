// SPDX-License-Identifier: Apache-2.0
// Private to check: a kit being examined.
#pragma once

#include "check/check.h"

struct checking {
    struct kw_arena *arena;
    const struct kw_shop *shop;
    const struct kw_kit *kit;
    struct kw_findings *findings;
    bool findings_only;              ///< any bend order will do
    bool no_remedies;                ///< nothing is tried for parts that no order bends
    struct kw_check_cartons cartons; ///< kinds NULL: not looked up yet
};

/// kw_place_of, for a struct that may have been made by hand without a node.
struct kw_place check_place(const struct kw_node *node, const char *key);
/// A length, mass or force in the arena, as the shop reads it.
const char *check_length(const struct checking *c, double mm);
const char *check_mass(const struct checking *c, double kg);
const char *check_force(const struct checking *c, double newton);
/// kw_rule_finding for a part of this kit with a measured value and its limit.
struct kw_finding check_finding(const struct checking *c, const char *rule,
                                const struct kw_part *part, struct kw_place where, double measured,
                                double limit);
void check_at(struct kw_finding *f, const char *frame, double x, double y, double z);

/// Limits by shop.yaml for rules that take none.
void check_overrides(struct checking *c);
/// Body and brake plan of a sheet part, made for each other (bends.c).
void check_make(struct checking *c, struct kw_examined *e);
/// A sheet part: body, cutting rules (sheet.c), then bends (bends.c).
void check_sheet(struct checking *c, struct kw_examined *e);
void check_bends(struct checking *c, struct kw_examined *e);
/// Dimples, letters, hems, hand tabs, grain, reliefs (features.c). Fills in e->grain.
void check_features(struct checking *c, struct kw_examined *e, double kerf);
/// The described hole that a hole of the blank came from, NULL for one of a drawing, a joint's slot
/// or a hand tab's slit.
const struct kw_hole *check_described(const struct kw_examined *e, const struct kw_path *p);
/// Holes against the dies that the plan uses.
void check_holes_near_bends(struct checking *c, const struct kw_examined *e);
/// Bent and straight tube and bar (stick.c).
void check_stick(struct checking *c, struct kw_examined *e);
/// The finished piece against the shop's cartons, where it has any (carton.c).
void check_carton(struct checking *c, const struct kw_examined *e);
/// Ends that follow from the assembly, into part->ends and part->longer (fit.c).
void check_fits(struct checking *c, struct kw_kit *kit);
/// A note where that makes a straight tube another length than its file says.
void check_tell_length(struct checking *c, const struct kw_examined *e);
/// The bend table as the part's file has it, nothing said of what is wrong with it; false then.
bool check_tube_table(struct checking *c, const struct kw_part *part, struct kw_tube_table *table);
/// A part that says the form of a bent tube, in any of three ways.
bool check_is_bent(const struct kw_part *part);
/// Bend table, bender, marks (tube.c).
void check_bent_tube(struct checking *c, struct kw_examined *e);
void check_end_problem(struct checking *c, const struct kw_examined *e, const struct kw_node *cope,
                       const struct kw_tube_problem *problem);
void check_tube_problems(struct checking *c, const struct kw_examined *e,
                         const struct kw_tube_problems *problems);

/// Where a part's bends stand in its file.
struct kw_place check_bends_place(const struct kw_part *part);
bool check_has_press(const struct kw_press *p);

/// A body as the brake wants it, and the shop's press. Fingers are taken to be set by hand in
/// height, -25 to 150 mm from the die's top.
struct brake_input {
    struct kw_brake_part part;
    int *bump_of; ///< dimple of the body for each of the part's bumps: those flared after are left
                  ///< out
    int *flat;    ///< the part's face of each of the body's
    int *bend_of; ///< bend of the body for each of the part's: tabs bent by hand are left out
    struct kw_brake_material material;
    struct kw_brake_shop shop;
};
/// "flange A".
const char *check_face_name(struct kw_arena *a, const struct kw_body *body, int face);
/// The radius that the part asks for, 0: what the die gives. A hem's comes of flattening.
double check_own_radius(const struct kw_body *body, const struct kw_bend *b);
/// Calls the bends of a plan by other numbers.
void check_renumber(struct kw_arena *a, struct kw_brake_plan *plan, const int *number);
/// A plan by the body's numbers, as the brake made it.
struct kw_brake_plan check_brakes_own(struct kw_arena *a, const struct kw_brake_plan *plan,
                                      const struct brake_input *in, int bend_count);
struct brake_input check_brake_input(struct kw_arena *a, const struct kw_shop *shop,
                                     const struct kw_examined *e);
/// Opening of the die that makes `bend`, 0 when there is none.
double check_opening(const struct checking *c, const struct kw_examined *e, int bend);
/// Whether a dimple comes under the shop press's ram with the first `strokes` of the plan made.
bool check_flare_fits(struct kw_arena *a, const struct kw_shop *shop, const struct kw_examined *e,
                      int dimple, int strokes);
/// When dimples are flared, and whether the bent part still goes into the shop press
/// (dimple_order.c).
void check_dimple_order(struct checking *c, const struct kw_examined *e);
/// Notes for signatures that no finding of this kit from `first` on needs (signed.c).
void check_idle_signatures(struct kw_arena *a, const struct kw_kit *kit,
                           struct kw_findings *findings, int first);
