// SPDX-License-Identifier: Apache-2.0
#include "brake_parts.h"

/// A punch so tall that no wall here meets the ram.
static struct kw_brake_shop tall_shop(void) {
    static struct kw_brake_punch punch;
    struct kw_brake_shop shop = test_shop;
    punch = test_punches[0];
    punch.height = 200;
    shop.press.open_height = 500;
    shop.press.stroke = 0;
    shop.punches = &punch;
    shop.punch_count = 1;
    return shop;
}

static void expect_order(struct test_part *p, const char *want) {
    struct kw_brake_plan plan = plan_of(p, &test_shop);
    cr_expect_str_eq(order_text(p, &plan), want);
    kw_arena_free(&p->arena);
}

// Without turning it end for end the second stroke would leave 18 mm of the 40 leg before the die:
// both are gauged on their own legs, with the base in the hands, the shorter leg first.
Test(brake_order, u_channel_is_held_by_its_base) {
    struct test_part p = {0};
    make_strip(&p, (double[]){60, 100, 40}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_expect_str_eq(order_text(&p, &plan), "B A");
    cr_expect(plan.steps[0].gauge_child_side && plan.steps[1].gauge_child_side);
    cr_expect(plan.steps[1].rotated);
    cr_expect_null(problem_of(&plan, KW_BRAKE_HOLD));
    kw_arena_free(&p.arena);
}

// A clip of 30 and 30: nothing reaches out past the die by 50 mm, whichever way it is laid.
Test(brake_order, a_small_clip_can_not_be_held_clear_of_the_tools) {
    struct test_part p = {0};
    make_strip(&p, (double[]){30, 30}, (double[]){90}, 2, 0, 60, 3, 6.7);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    const struct kw_brake_problem *hold = problem_of(&plan, KW_BRAKE_HOLD);
    cr_assert_not_null(hold);
    cr_expect_eq(hold->level, KW_RISK);
    struct kw_path die = kw_brake_die_profile(&p.arena, &test_dies[plan.steps[0].die]);
    double front = kw_path_box(&die).max.x;
    cr_expect_float_eq(hold->measured, fmax(0, 30 + 6.7 / 2 - front), 1e-6);
    cr_expect_float_eq(hold->limit, 50, 1e-9);
    cr_expect(!plan.steps[0].blocked, "a risk, no stop");
    kw_arena_free(&p.arena);
    p = (struct test_part){0}; // long enough, but no wider than one hand
    make_strip(&p, (double[]){200, 60}, (double[]){90}, 2, 0, 90, 3, 6.7);
    plan = plan_of(&p, &test_shop);
    hold = problem_of(&plan, KW_BRAKE_HOLD);
    cr_assert_not_null(hold);
    cr_expect_eq(hold->level, KW_NOTE);
    cr_expect_float_eq(hold->measured, 90, 1e-6);
    cr_expect_float_eq(hold->limit, 150, 1e-9);
    kw_arena_free(&p.arena);
}

Test(brake_order, equal_flanges_go_by_index) {
    struct test_part p = {0};
    make_strip(&p, (double[]){40, 100, 40}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
    expect_order(&p, "A B");
}

Test(brake_order, return_flanges_come_before_their_carriers) {
    struct test_part p = {0}; // a C profile: lips, walls, base
    make_strip(&p, (double[]){20, 60, 120, 60, 20}, (double[]){90, 90, 90, 90}, 5, 2, 300, 3, 6.7);
    expect_order(&p, "A D B C");
}

Test(brake_order, hat_bends_its_brims_then_its_walls) {
    struct test_part p = {0}; // brims turn the other way
    make_strip(&p, (double[]){30, 50, 80, 50, 30}, (double[]){-90, 90, 90, -90}, 5, 2, 300, 3, 6.7);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_expect_str_eq(order_text(&p, &plan), "A D B C");
    cr_expect(plan.steps[0].turned_over && plan.steps[1].turned_over);
    cr_expect(!plan.steps[2].turned_over && !plan.steps[3].turned_over);
    kw_arena_free(&p.arena);
}

Test(brake_order, z_section_from_its_end_face) {
    struct test_part p = {0}; // face 0 at one end: the far bend first
    make_strip(&p, (double[]){50, 60, 40}, (double[]){90, -90}, 3, 0, 150, 3, 6.7);
    expect_order(&p, "B A");
}

/// A square tray with four walls, and lips on two of them.
static void make_tray(struct test_part *p) {
    double z = 6.7, w = 200, h = 50, lip = 20;
    int base = add_face(p, "base", 0, 0, w, w);
    int left = add_face(p, "left", -z - h, 0, -z, w);
    int right = add_face(p, "right", w + z, 0, w + z + h, w);
    int front = add_face(p, "front", 0, -z - h, w, -z);
    int back = add_face(p, "back", 0, w + z, w, w + z + h);
    int lip_left = add_face(p, "lip", -2 * z - h - lip, 0, -2 * z - h, w);
    int lip_right = add_face(p, "lip", w + 2 * z + h, 0, w + 2 * z + h + lip, w);
    add_bend(p, "L", base, left, kw_v2(-z / 2, 0), kw_v2(-z / 2, w), 90, false, 3, z);
    add_bend(p, "R", base, right, kw_v2(w + z / 2, 0), kw_v2(w + z / 2, w), 90, false, 3, z);
    add_bend(p, "F", base, front, kw_v2(0, -z / 2), kw_v2(w, -z / 2), 90, false, 3, z);
    add_bend(p, "B", base, back, kw_v2(0, w + z / 2), kw_v2(w, w + z / 2), 90, false, 3, z);
    double l = -1.5 * z - h;
    add_bend(p, "l", left, lip_left, kw_v2(l, 0), kw_v2(l, w), 90, false, 3, z);
    add_bend(p, "r", right, lip_right, kw_v2(w - l, 0), kw_v2(w - l, w), 90, false, 3, z);
}

static int step_of(const struct kw_brake_plan *plan, int bend) {
    for (int i = 0; i < plan->step_count; i++)
        for (int k = 0; k < plan->steps[i].bend_count; k++)
            if (plan->steps[i].bends[k] == bend) return i;
    return -1;
}

// Each lip before its wall, for a lip bent later has the base standing in the punch, even where the
// walls' sizes mate; front and back come when it is cheapest.
Test(brake_order, tray_bends_its_lips_before_their_walls) {
    for (int mates = 0; mates < 2; mates++) {
        struct test_part p = {0};
        struct kw_brake_shop shop = tall_shop();
        make_tray(&p);
        p.bends[0].mates = p.bends[1].mates = mates;
        struct kw_brake_plan plan = plan_of(&p, &shop);
        cr_expect(plan.proven && !plan.collides);
        cr_expect_eq(plan.step_count, 6);
        cr_expect_lt(step_of(&plan, 4), step_of(&plan, 0));
        cr_expect_lt(step_of(&plan, 5), step_of(&plan, 1));
        kw_arena_free(&p.arena);
    }
}

Test(brake_order, a_mating_dimension_goes_first_with_what_hangs_on_it) {
    struct test_part p = {0};
    make_strip(&p, (double[]){20, 60, 120, 60, 20}, (double[]){90, 90, 90, 90}, 5, 2, 300, 3, 6.7);
    p.bends[2].mates = true; // the right wall; its lip must still come before it
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_expect_str_eq(order_text(&p, &plan), "D C A B");
    cr_expect(plan.steps[1].gauge_child_side);
    kw_arena_free(&p.arena);
}

Test(brake_order, bends_on_one_line_are_one_stroke) {
    struct test_part p = {0};
    int base = add_face(&p, "base", 0, 0, 300, 100);
    int t1 = add_face(&p, "t1", 20, 106.7, 100, 150), t2 = add_face(&p, "t2", 180, 106.7, 280, 150);
    int t3 = add_face(&p, "t3", 110, -50, 170, -6.7);
    add_bend(&p, "a", base, t1, kw_v2(20, 103.35), kw_v2(100, 103.35), 90, false, 3, 6.7);
    // Drawn the other way round: still the same line.
    add_bend(&p, "b", base, t2, kw_v2(280, 103.35), kw_v2(180, 103.35), 90, false, 3, 6.7);
    add_bend(&p, "c", base, t3, kw_v2(110, -3.35), kw_v2(170, -3.35), 90, false, 3, 6.7);
    p.bends[1].hole_gap = 25;
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_assert_eq(plan.step_count, 2);
    const struct kw_brake_step *two = &plan.steps[plan.steps[0].bend_count == 2 ? 0 : 1];
    cr_expect_eq(two->bend_count, 2);
    cr_expect_float_eq(two->span, 260.0, 1e-9);
    cr_expect_float_eq(two->length, 155.0, 1e-9);
    cr_expect_float_eq(two->force, kw_brake_force(450, 155, 3, test_dies[two->die].opening), 1e-6);
    kw_arena_free(&p.arena);
}

Test(brake_order, another_angle_or_direction_is_another_stroke) {
    for (int k = 0; k < 2; k++) {
        struct test_part p = {0};
        int base = add_face(&p, "base", 0, 0, 300, 100);
        int t1 = add_face(&p, "t1", 20, 106.7, 100, 150);
        int t2 = add_face(&p, "t2", 180, 106.7, 280, 150);
        add_bend(&p, "a", base, t1, kw_v2(20, 103.35), kw_v2(100, 103.35), 90, false, 3, 6.7);
        add_bend(&p, "b", base, t2, kw_v2(180, 103.35), kw_v2(280, 103.35), k ? 90 : 89, k, 3, 6.7);
        cr_expect_eq(plan_of(&p, &test_shop).step_count, 2);
        kw_arena_free(&p.arena);
    }
}

Test(brake_order, random_trees_bend_every_bend_once) {
    uint64_t seed = 7;
    for (int round = 0; round < 6; round++) {
        struct test_part p = {0};
        add_face(&p, "f", 0, 0, 100, 100);
        int n = 1 + (int)(kw_random(&seed) % 6);
        for (int i = 1; i <= n; i++) { // a chain that may branch; boxes far apart are enough here
            int parent = (int)(kw_random(&seed) % (uint64_t)i);
            double y = 200.0 * i, x = parent * 3.0;
            add_face(&p, "f", x, y, x + 50, y + 100);
            add_bend(&p, "x", parent, i, kw_v2(x, y), kw_v2(x + 50, y), 90, kw_random(&seed) & 1, 3,
                     0);
        }
        struct kw_brake_plan plan = plan_of(&p, &test_shop);
        int seen = 0;
        for (int s = 0; s < plan.step_count; s++)
            seen += plan.steps[s].bend_count;
        cr_expect_eq(seen, n);
        kw_arena_free(&p.arena);
    }
}

// A lip bent after its wall has the base standing beside its bend. Tilted by half the turn the
// base's edge comes to (wall - base) / sqrt 2 from the punch's middle: in the punch, wherever the
// base is longer than the wall is high. The wall with a lip that is shorter closes free. So the
// outermost bend comes first, in whatever order the rest goes (geometry).
Test(brake_order, random_profiles_are_bent_outermost_first) {
    uint64_t seed = 7;
    struct kw_brake_shop shop = tall_shop();
    for (int round = 0; round < 40; round++) {
        struct test_part p = {0};
        double wall[2], lip[2], base = 30;
        for (int k = 0; k < 2; k++) {
            wall[k] = 50 + (double)(kw_random(&seed) % 30);
            lip[k] = 20 + (double)(kw_random(&seed) % (uint64_t)(wall[k] - 45));
            base += wall[k] + lip[k];
        }
        base += (double)(kw_random(&seed) % 60);
        make_strip(&p, (double[]){lip[0], wall[0], base, wall[1], lip[1]},
                   (double[]){90, 90, 90, 90}, 5, 2, 300, 3, 6.7);
        if (kw_random(&seed) & 1) p.bends[1 + kw_random(&seed) % 2].mates = true;
        struct kw_brake_plan plan = plan_of(&p, &shop);
        cr_expect(plan.proven && !plan.collides, "round %d", round);
        cr_expect_lt(step_of(&plan, 0), step_of(&plan, 1), "round %d", round);
        cr_expect_lt(step_of(&plan, 3), step_of(&plan, 2), "round %d", round);
        kw_arena_free(&p.arena);
    }
}

// Base 60, walls 75 and 38, a straight punch: with the low wall standing the edge keeps (60 - 38) /
// sqrt 2 from the punch's middle, with the high one it would be inside. The low wall is first, even
// where the other one's size mates.
Test(brake_order, deep_channel_bends_its_low_wall_first) {
    for (int mates = 0; mates < 2; mates++) {
        struct test_part p = {0};
        make_strip(&p, (double[]){75, 60, 38}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
        struct kw_brake_punch punch = test_punches[0];
        struct kw_brake_shop shop = test_shop;
        punch.height = 150;
        shop.press.open_height = 450;
        shop.punches = &punch;
        shop.punch_count = 1;
        p.bends[0].mates = mates;
        struct kw_brake_plan plan = plan_of(&p, &shop);
        cr_expect(!plan.collides);
        cr_expect_str_eq(order_text(&p, &plan), "B A");
        kw_arena_free(&p.arena);
    }
}

// Walls of 30 and a base of 80: with a wall bent first its brim's bend would have the base hanging
// 37 mm beside it and 80 down: into the bed, which is 60 below the die's top and 40 to each side.
Test(brake_order, low_hat_bends_its_brims_first) {
    struct test_part p = {0};
    make_strip(&p, (double[]){30, 30, 80, 30, 30}, (double[]){-90, 90, 90, -90}, 5, 2, 300, 3, 6.7);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_assert(!plan.collides);
    cr_expect_lt(step_of(&plan, 0), step_of(&plan, 1));
    cr_expect_lt(step_of(&plan, 3), step_of(&plan, 2));
    kw_arena_free(&p.arena);
}

// A Z of 100, 30, 45: the flange bent first hangs 37 mm beside the second bend. The short one ends
// above the bed, the long one would not: the short one is first, even where the other's size mates.
Test(brake_order, narrow_z_bends_its_short_flange_first) {
    for (int mates = 0; mates < 2; mates++) {
        struct test_part p = {0};
        make_strip(&p, (double[]){100, 30, 45}, (double[]){90, -90}, 3, 1, 200, 3, 6.7);
        p.bends[0].mates = mates;
        struct kw_brake_plan plan = plan_of(&p, &test_shop);
        cr_expect(!plan.collides);
        cr_expect_str_eq(order_text(&p, &plan), "B A");
        kw_arena_free(&p.arena);
    }
    struct test_part p = {0}; // two long ones: neither way
    make_strip(&p, (double[]){100, 30, 100}, (double[]){90, -90}, 3, 1, 200, 3, 6.7);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_expect(plan.collides && plan.proven);
    const struct kw_brake_problem *hit = problem_of(&plan, KW_BRAKE_COLLISION);
    cr_assert_not_null(hit);
    cr_expect(hit->obstacle == KW_BRAKE_BED || hit->obstacle == KW_BRAKE_DIE);
    kw_arena_free(&p.arena);
}

Test(brake_group, row_keeps_tools_together) {
    struct kw_brake_step d0 = {.die = 0, .punch = 0}, d1 = {.die = 1, .punch = 0};
    struct kw_brake_step both[2] = {d0, d1};
    struct kw_brake_plan a = {.steps = &d0, .step_count = 1}, b = {.steps = &d1, .step_count = 1},
                         c = {.steps = both, .step_count = 2}, none = {0};
    const struct kw_brake_plan *plans[] = {&b, &a, &b, &none, &c, &a};
    int order[6];
    cr_expect_eq(kw_brake_group(plans, 6, order), 1); // a a c b b: one change, inside c
    cr_expect_eq(kw_brake_group(plans, 0, order), 0);
}
