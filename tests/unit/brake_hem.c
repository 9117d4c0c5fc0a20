// SPDX-License-Identifier: Apache-2.0
// Hems: bent over sharp tools, then flattened between flats, as two strokes of the plan.
#include "brake_hems.h"

/// A flat with a hem of 22 mm at its right end, and a wall at its left.
static struct test_part hemmed_strip(double wall_turn) {
    struct test_part p = {0};
    make_strip(&p, (double[]){60, 150, 22}, (double[]){wall_turn, 90}, 3, 1, 200, 2.6, 3.54);
    p.bends[0].allowance = 3.54;
    make_hem(&p, 1);
    return p;
}

static int step_at(const struct kw_brake_plan *plan, int bend, int stage) {
    for (int i = 0; i < plan->step_count; i++)
        if (plan->steps[i].bends[0] == bend && plan->steps[i].stage == stage) return i;
    return -1;
}

Test(brake_hem, is_bent_sharp_and_then_flattened) {
    struct test_part p = hemmed_strip(90);
    struct kw_brake_shop shop = hem_shop();
    struct kw_brake_plan plan = hem_plan(&p, &shop);
    cr_assert_eq(plan.step_count, 3);
    cr_expect(plan.proven && !plan.collides);
    cr_expect_eq(plan.problem_count, 0);
    int one = step_at(&plan, 1, 1), two = step_at(&plan, 1, 2);
    cr_assert(one >= 0 && two > one);
    const struct kw_brake_step *bent = &plan.steps[one], *flat = &plan.steps[two];
    cr_expect_str_eq(shop.dies[bent->die].id, "D30");
    cr_expect_str_eq(shop.punches[bent->punch].id, "P28");
    cr_expect_float_eq(bent->angle, 135 * DEG, 1e-12);
    cr_expect_float_eq(bent->force, kw_brake_force(400, 200, 2, 16), 1e-6);
    cr_expect_str_eq(shop.dies[flat->die].id, "H1");
    cr_expect_str_eq(shop.punches[flat->punch].id, "H1");
    cr_expect_float_eq(flat->angle, KW_PI, 1e-12);
    // Four times the bend over a die of 8 t: check-values have no row, common practice.
    cr_expect_float_eq(flat->force, 4 * kw_brake_force(400, 200, 2, 16), 1e-6);
    cr_expect_float_eq(flat->closed, 2 * (2 + 0.2), 1e-12); // two sheets and the eye
    cr_expect(!flat->gauged && flat->gauge_x == 0);
    // The edge of the bent flange: the round rises (R + t)(1 - cos), and what the wider zone of the
    // first stage leaves of the flat's 22 mm goes up a slope of 45 degrees.
    double round = (bent->inside_radius + 2) * (1 - cos(135 * DEG));
    double zone = 135 * DEG * (bent->inside_radius + 0.44 * 2);
    double left = 22 - (zone - 1.77 * 2) / 2;
    cr_expect_float_eq(flat->depth, round + left * sin(45 * DEG) - flat->closed, 1e-9);
    kw_arena_free(&p.arena);
}

Test(brake_hem, without_a_tool_for_it_stops) {
    struct test_part p = hemmed_strip(90);
    struct kw_brake_shop shop = hem_shop();
    shop.die_count = shop.punch_count = 2;
    struct kw_brake_plan plan = hem_plan(&p, &shop);
    const struct kw_brake_problem *none = problem_of(&plan, KW_BRAKE_NO_HEMMING);
    cr_assert_not_null(none);
    cr_expect_eq(none->level, KW_STOP);
    cr_expect_eq(none->bend, 1);
    cr_expect_eq(plan.steps[none->step].stage, 2);
    cr_expect(plan.steps[none->step].blocked);
    kw_arena_free(&p.arena);
}

Test(brake_hem, force_is_held_against_press_and_tool) {
    struct test_part p = hemmed_strip(90);
    struct kw_brake_shop shop = hem_shop();
    struct kw_brake_die dies[3];
    memcpy(dies, hem_dies, sizeof dies);
    shop.dies = dies;
    double force = 4 * kw_brake_force(400, 200, 2, 16);
    shop.press.rating = force * 0.99;
    struct kw_brake_plan plan = hem_plan(&p, &shop);
    const struct kw_brake_problem *found = problem_of(&plan, KW_BRAKE_FORCE_PRESS);
    cr_assert_not_null(found);
    cr_expect_eq(found->level, KW_STOP);
    cr_expect_eq(plan.steps[found->step].stage, 2);
    cr_expect_eq(plan.steps[found->step].force, 0.0);
    shop.press.rating = force * 1.2;
    plan = hem_plan(&p, &shop);
    found = problem_of(&plan, KW_BRAKE_FORCE_PRESS);
    cr_assert_not_null(found);
    cr_expect_eq(found->level, KW_RISK);
    shop.press.flatten_share = 0.8; // the shop's own limit: 0.96 of what it takes
    plan = hem_plan(&p, &shop);
    cr_expect_eq(problem_of(&plan, KW_BRAKE_FORCE_PRESS)->level, KW_STOP);
    shop.press.rating = 600000;
    shop.press.flatten_share = 0;
    dies[2].rating = force / 200 * 0.9;
    plan = hem_plan(&p, &shop);
    found = problem_of(&plan, KW_BRAKE_FORCE_TOOL);
    cr_assert_not_null(found);
    cr_expect_eq(found->level, KW_STOP);
    cr_expect_float_eq(found->measured, force / 200, 1e-6);
    kw_arena_free(&p.arena);
}

// The upper flat comes down on whatever stands within its width: a wall 15 mm from the fold must be
// bent after the hem is flat, one 80 mm away may stand.
Test(brake_hem, a_near_wall_waits_until_the_hem_is_flat) {
    for (int k = 0; k < 2; k++) {
        struct test_part p = {0};
        make_strip(&p, (double[]){60, k ? 80 : 22, 16}, (double[]){90, 90}, 3, 1, 200, 2.6, 5.4);
        make_hem(&p, 1);
        struct kw_brake_shop shop = hem_shop();
        shop.seconds = kw_brake_usual_seconds;
        shop.seconds.awkward = 0;
        struct kw_brake_plan plan = hem_plan(&p, &shop);
        cr_assert(!plan.collides);
        int wall = step_at(&plan, 0, 1), flat = step_at(&plan, 1, 2);
        if (!k) cr_expect_gt(wall, flat, "%d %d", wall, flat);
        p.bends[0].mates = true; // the wall first, where it can
        plan = hem_plan(&p, &shop);
        wall = step_at(&plan, 0, 1), flat = step_at(&plan, 1, 2);
        cr_expect_eq(wall < flat, k == 1, "%d %d", wall, flat);
        kw_arena_free(&p.arena);
    }
}

Test(brake_hem, a_flange_too_tall_for_the_open_flats_stops) {
    struct test_part p = hemmed_strip(90);
    struct kw_brake_shop shop = hem_shop();
    shop.press.open_height = 70 + 110 + 3; // lets the sheet between die and punch, not the flange
    struct kw_brake_plan plan = hem_plan(&p, &shop);
    cr_assert_null(problem_of(&plan, KW_BRAKE_NO_HEMMING));
    shop.press.open_height = 160;
    plan = hem_plan(&p, &shop);
    const struct kw_brake_problem *room = NULL;
    for (int i = 0; i < plan.problem_count; i++)
        if (plan.problems[i].kind == KW_BRAKE_NO_ROOM &&
            plan.steps[plan.problems[i].step].stage == 2)
            room = &plan.problems[i];
    cr_assert_not_null(room);
    kw_arena_free(&p.arena);
}

Test(brake_hem, section_shows_it_bent_and_flat) {
    struct test_part p = hemmed_strip(90);
    struct kw_brake_shop shop = hem_shop();
    struct kw_brake_plan plan = hem_plan(&p, &shop);
    struct kw_brake_section s;
    int two = step_at(&plan, 1, 2);
    cr_assert(kw_brake_section(&p.arena, &p.part, &thin, &shop, &plan, two, 0, &s));
    double before = 0, after = 0;
    for (int i = 0; i < s.before_count; i++) // the wall stands at the other end, 150 mm away
        if (fabs(kw_path_box(&s.before[i]).min.x) < 30)
            before = fmax(before, kw_path_box(&s.before[i]).max.y);
    for (int i = 0; i < s.after_count; i++)
        if (fabs(kw_path_box(&s.after[i]).min.x) < 30)
            after = fmax(after, kw_path_box(&s.after[i]).max.y);
    cr_expect_float_eq(before, plan.steps[two].closed + plan.steps[two].depth, 1e-6);
    cr_expect_float_eq(after, 4.4, 0.01);
    cr_expect_float_eq(kw_path_box(&s.punch_before).min.y, before, 1e-6);
    cr_expect_float_eq(kw_path_box(&s.punch_after).min.y, 4.4, 1e-6);
    kw_arena_free(&p.arena);
}
