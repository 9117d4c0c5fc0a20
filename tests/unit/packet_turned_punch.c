// SPDX-License-Identifier: Apache-2.0
// A gooseneck turned round: its throat to the gauge instead of the front.
#include "packet_judged.h"

static struct kw_brake_punch punch;

/// One gooseneck; `mirrored` as it would be made with its throat to the gauge.
static struct kw_brake_shop one_gooseneck(struct kw_arena *a, bool mirrored, bool both_ways) {
    struct kw_brake_shop shop = test_shop;
    punch = test_punches[0];
    punch.neck = 45;
    punch.height = 165;
    if (mirrored) punch.profile = kw_brake_punch_profile(a, &punch, true);
    punch.both_ways = both_ways;
    shop.press.open_height = 450;
    shop.press.hold_clear = 20;
    shop.press.gauge_max_r = 200;
    shop.punches = &punch;
    shop.punch_count = 1;
    return shop;
}

/// A channel deeper than wide, both walls to be gauged themselves: the wall that stands is at the
/// hands when the last one is bent.
static void deep_channel(struct judged *j, const struct kw_brake_shop *shop) {
    make_strip(&j->p, (double[]){75, 62, 75}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
    j->p.bends[0].mates = j->p.bends[1].mates = true;
    j->plan = plan_of(&j->p, shop);
    judged_plan(j, &mild, shop);
}

Test(packet_turned_punch, does_what_its_mirror_image_does) {
    double seconds[3];
    for (int k = 0; k < 3; k++) { // made for it, wrong way only, wrong way that can be turned
        struct judged j = {0};
        struct kw_brake_shop shop = one_gooseneck(&j.arena, k > 0, k == 2);
        deep_channel(&j, &shop);
        cr_assert(!j.plan.collides, "%d", k);
        cr_assert_eq(j.plan.step_count, 2);
        const struct kw_brake_step *last = &j.plan.steps[1];
        // With the throat to the gauge the standing wall must be there: not gauged itself.
        cr_expect_eq(last->gauge_child_side, k != 1, "%d", k);
        cr_expect_eq(last->punch_turned, k == 2);
        cr_expect_eq(faults_of(&j, 2), 0);
        seconds[k] = j.plan.seconds;
        free_judged(&j);
    }
    cr_expect_gt(seconds[1], seconds[0] + 900, "%f, %f", seconds[0], seconds[1]);
    cr_expect_lt(seconds[2], seconds[1] - 600, "%f", seconds[2]); // one tool change at most
}

Test(packet_turned_punch, the_judge_sees_which_way_it_stands) {
    struct judged j = {0};
    struct kw_brake_shop shop = one_gooseneck(&j.arena, false, true);
    deep_channel(&j, &shop);
    struct kw_brake_step wrong = j.plan.steps[1];
    wrong.punch_turned = !wrong.punch_turned;
    j.strokes[1] = packet_bent_stroke(&j.arena, &shop, mild.thickness, &wrong);
    cr_expect_gt(faults_of(&j, 2), 0);
    free_judged(&j);
}

Test(packet_turned_punch, a_straight_one_has_no_other_way) {
    struct judged j = {0};
    struct kw_brake_shop shop = one_gooseneck(&j.arena, false, true);
    punch.neck = 0;
    make_strip(&j.p, (double[]){40, 140, 40}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
    j.plan = plan_of(&j.p, &shop);
    for (int i = 0; i < j.plan.step_count; i++)
        cr_expect(!j.plan.steps[i].punch_turned);
    free_judged(&j);
}

Test(packet_turned_punch, is_drawn_the_other_way_round) {
    struct judged j = {0};
    struct kw_brake_section s[2];
    struct kw_brake_shop shop = one_gooseneck(&j.arena, false, true);
    deep_channel(&j, &shop);
    for (int k = 0; k < 2; k++) {
        j.plan.steps[1].punch_turned = k;
        cr_assert(kw_brake_section(&j.arena, &j.p.part, &mild, &shop, &j.plan, 1, 80, &s[k]));
    }
    struct kw_box2 as = kw_path_box(&s[0].punch_after), turned = kw_path_box(&s[1].punch_after);
    cr_expect_float_eq(as.min.x, -turned.max.x, 1e-9);
    cr_expect_float_eq(as.max.x, -turned.min.x, 1e-9);
    cr_expect_gt(kw_path_area(&s[1].punch_after), 0);
    free_judged(&j);
}
