// SPDX-License-Identifier: Apache-2.0
// A press whose bed comes up: the same bends, but the part is carried, and a gauge on the frame is
// passed by the die.
#include "packet_judged.h"

#define ZONE 6.7

/// A near leg of 25 and a far one: flats from tangent line to tangent line.
static void angle_part(struct test_part *p, double near) {
    *p = (struct test_part){0};
    make_strip(p, (double[]){near, 150}, (double[]){90}, 2, 1, 200, 3, ZONE);
}

static struct kw_brake_shop with_bed(bool moves, bool gauge_stays) {
    struct kw_brake_shop shop = test_shop;
    shop.press.bed_moves = moves;
    shop.press.gauge_stays = gauge_stays;
    return shop;
}

Test(packet_bed_moves, bends_are_made_as_by_a_ram) {
    struct test_part p[2];
    struct kw_brake_plan plans[2];
    for (int k = 0; k < 2; k++) {
        struct kw_brake_shop shop = with_bed(k == 1, false);
        p[k] = (struct test_part){0};
        make_strip(&p[k], (double[]){30, 40, 90, 40, 30}, (double[]){-90, 90, 90, -90}, 5, 2, 200,
                   3, ZONE);
        plans[k] = plan_of(&p[k], &shop);
        cr_assert_eq(plans[k].step_count, 4);
    }
    for (int i = 0; i < 4; i++) {
        const struct kw_brake_step *ram = &plans[0].steps[i], *bed = &plans[1].steps[i];
        cr_expect_eq(ram->bends[0], bed->bends[0]);
        cr_expect_float_eq(ram->depth, bed->depth, 1e-9);
        cr_expect_float_eq(ram->gauge_x, bed->gauge_x, 1e-9);
        // The ram presses what the bed lifts.
        cr_expect_float_eq(bed->rise, ram->rise + ram->depth, 1e-6);
        double tools = test_dies[bed->die].height + test_punches[bed->punch].height;
        cr_expect_float_eq(bed->carried, 350 - tools - mild.thickness, 1e-6);
        cr_expect_eq(ram->carried, 0);
    }
    kw_arena_free(&p[0].arena);
    kw_arena_free(&p[1].arena);
}

// The far end's lower corner, L before the tangent line and T + R under the swing's centre, turns
// by half the angle about it: L sin + (T + R)(1 - cos) (geometry).
Test(packet_bed_moves, the_held_end_rises_by_the_swing) {
    struct test_part p;
    struct kw_brake_shop shop = with_bed(true, false);
    angle_part(&p, 25);
    struct kw_brake_plan plan = plan_of(&p, &shop);
    const struct kw_brake_step *s = &plan.steps[0];
    double half = s->angle_under_load / 2, up = mild.thickness + s->inside_radius;
    double far = s->gauge_child_side ? 150 : 25;
    cr_expect_float_eq(s->rise, far * sin(half) + up * (1 - cos(half)), 1e-6);
    kw_arena_free(&p.arena);
}

static void planned(struct judged *j, double near, bool gauge_stays) {
    struct kw_brake_shop shop = with_bed(true, gauge_stays);
    *j = (struct judged){0};
    angle_part(&j->p, near);
    j->plan = plan_of(&j->p, &shop);
    judged_plan(j, &mild, &shop);
}

static int faults(struct judged *j) {
    struct kw_verdict v = {.arena = &j->arena};
    kw_judge_brake(&j->part, j->strokes, j->plan.step_count, &v);
    return v.fault_count;
}

// The die is some 31 mm wide: a finger that rides on the bed may lie on its top, one that stands on
// the frame is run into as the die comes up.
Test(packet_bed_moves, a_gauge_on_the_frame_keeps_off_the_die) {
    struct judged j;
    planned(&j, 9, false);
    cr_expect_null(problem_of(&j.plan, KW_BRAKE_FINGERS));
    cr_expect_lt(j.plan.steps[0].gauge_x, 14);
    cr_expect_eq(faults(&j), 0);
    j.strokes[0].gauge_stays = true;
    cr_expect_gt(faults(&j), 0);
    free_judged(&j);
    planned(&j, 9, true);
    bool far = j.plan.steps[0].gauge_x > 100; // gauged from the other end, or refused
    cr_expect(far || problem_of(&j.plan, KW_BRAKE_FINGERS));
    cr_expect_eq(faults(&j) > 0, !far);
    free_judged(&j);
}

Test(packet_bed_moves, a_far_edge_is_gauged_on_either) {
    for (int stays = 0; stays < 2; stays++) {
        struct judged j;
        planned(&j, 60, stays);
        cr_expect_null(problem_of(&j.plan, KW_BRAKE_FINGERS));
        cr_expect(j.plan.steps[0].gauged);
        cr_expect_eq(j.strokes[0].gauge_stays, stays);
        cr_expect_eq(faults(&j), 0);
        free_judged(&j);
    }
}

Test(packet_bed_moves, the_picture_keeps_the_punch_and_lifts_the_die) {
    struct kw_brake_section s;
    struct test_part p;
    struct kw_brake_shop shop = with_bed(true, false);
    angle_part(&p, 25);
    struct kw_brake_plan plan = plan_of(&p, &shop);
    cr_assert(kw_brake_section(&p.arena, &p.part, &mild, &shop, &plan, 0, 80, &s));
    double depth = plan.steps[0].depth;
    cr_expect_float_eq(kw_path_box(&s.punch_after).min.y, kw_path_box(&s.punch_before).min.y, 1e-9);
    cr_expect_float_eq(kw_path_box(&s.die_after).max.y, depth, 1e-6);
    cr_expect_float_eq(kw_path_box(&s.die).max.y, 0, 1e-6);
    kw_arena_free(&p.arena);
}
