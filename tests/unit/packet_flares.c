// SPDX-License-Identifier: Apache-2.0
// Dimples flared between strokes: the planner looks at them from there on, the judge too, and sees
// that the part goes into the shop press then.
#include "packet_judged.h"

#define ZONE 6.7

/// A hat: base of 120 and walls of 60 on both sides, a dimple that hangs 30 beside the first line.
static void hat(struct judged *j, struct kw_brake_bump *bump, int after) {
    *j = (struct judged){0};
    make_strip(&j->p, (double[]){60, 120, 60}, (double[]){90, 90}, 3, 1, 200, 3, ZONE);
    *bump = (struct kw_brake_bump){
        .face = 0, .at = {60 + ZONE + 25, 100}, .radius = 16, .height = 4, .down = true};
    bump->after = after;
    j->p.part.bumps = bump;
    j->p.part.bump_count = 1;
    j->plan = plan_of(&j->p, &test_shop);
    judged_plan(j, &mild, &test_shop);
}

Test(packet_flares, one_in_the_way_waits_for_its_bend) {
    struct judged j;
    struct kw_brake_bump bump;
    hat(&j, &bump, 0);
    cr_expect(j.plan.collides, "it hangs where the die stands");
    free_judged(&j);
    hat(&j, &bump, 1); // once the bend beside it is made
    cr_expect(!j.plan.collides);
    cr_assert_eq(j.plan.step_count, 2);
    cr_expect_eq(j.plan.steps[0].bends[0], 0);
    cr_expect_eq(faults_of(&j, 2), 0);
    struct kw_bent_bump early = j.part.bumps[0];
    early.after = 0;
    j.part.bumps = &early;
    cr_expect_gt(faults_of(&j, 2), 0);
    free_judged(&j);
}

/// Faults of a dimple in the middle of the base, 33 from its first line, after some strokes.
static int flared(struct judged *j, int after, double throat, double daylight) {
    struct kw_bent_flare flare = {.face = 0, .at = {60 + ZONE + 33, 100}, .clear = 40};
    flare.after = after;
    j->part.flares = &flare;
    j->part.flare_count = 1;
    j->part.throat = throat;
    j->part.daylight = daylight;
    return faults_of(j, 2);
}

// Outside sizes: a wall of 60 between tangent lines stands 60 + 3 + 3 high, its outside 33 + 3.35 +
// 3 ... from the dimple: over it the press reaches in 33 + 6, under a height of 66.
Test(packet_flares, the_shop_press_must_take_the_part) {
    struct judged j;
    struct kw_brake_bump bump;
    hat(&j, &bump, 1);
    cr_expect_eq(flared(&j, 0, 110, 4), 0, "flat, from the long side");
    cr_expect_gt(flared(&j, 0, 80, 4), 0, "no side is so near");
    cr_expect_eq(flared(&j, 1, 45, 70), 0);
    cr_expect_gt(flared(&j, 1, 45, 60), 0, "the wall is higher");
    cr_expect_gt(flared(&j, 1, 35, 70), 0, "and stands further off");
    cr_expect_eq(flared(&j, 1, 110, 4), 1, "the wall stands between the arms from the side");
    cr_expect_eq(flared(&j, 2, 45, 70), 0, "the other wall is on the hands' side");
    free_judged(&j);
}
