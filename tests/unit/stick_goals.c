// SPDX-License-Identifier: Apache-2.0
// The order of goals: least cost, fewest different patterns, leftovers of most worth; all against
// brute force over every way to put tiny pieces on sticks.
#include "stick_brute.h"

static int random_of(uint64_t *r, int low, int high) {
    return low + (int)(kw_random(r) % (uint64_t)(high - low + 1));
}

/// Round numbers, so that many plans cost the same.
static void even_case(uint64_t *r, struct kw_stick_stock *stocks, struct kw_stick_piece *pieces,
                      struct stick_case *c) {
    *c = (struct stick_case){stocks, random_of(r, 1, 3), pieces, random_of(r, 1, 4),
                             kw_stick_options_default()};
    for (int j = 0; j < c->stock_count; j++) {
        int length = 10 * random_of(r, 6, 16);
        stocks[j] = (struct kw_stick_stock){length, random_of(r, 0, 2) ? -1 : random_of(r, 1, 3),
                                            random_of(r, 0, 2) ? length / 20 : 5};
    }
    int total = 0;
    for (int i = 0; i < c->piece_count; i++) {
        int n = random_of(r, 1, 4);
        if (total + n > BRUTE_MOST) n = BRUTE_MOST - total;
        total += n;
        // Each in its own decade, so that equal lengths are one piece.
        pieces[i] = (struct kw_stick_piece){10 * random_of(r, 1, 3) + 2.5 * i, n};
    }
    if (kw_random(r) % 2) c->o.kerf = 2.5;
    if (kw_random(r) % 2) c->o.trim = 5;
    if (kw_random(r) % 3 == 0) c->o.hold = 10;
    if (kw_random(r) % 3) c->o.keep = random_of(r, 2, 8) * 5;
    c->o.keep_worth = random_of(r, 1, 4) / 4.0;
}

Test(stick_goals, four_hundred_tiny_cases_are_best_in_all_three_and_say_so) {
    uint64_t r = 21;
    int kept = 0, repeated = 0, said = 0;
    for (int k = 0; k < 400; k++) {
        struct kw_arena a = {0};
        struct kw_stick_stock stocks[3];
        struct kw_stick_piece pieces[4];
        struct stick_case c;
        even_case(&r, stocks, pieces, &c);
        struct score best = by_force(&c);
        struct kw_stick_plan plan = plan_of(&a, &c);
        cr_expect_float_eq(plan.cost, best.cost, 1e-6, "case %d: cost %f, %f", k, plan.cost,
                           best.cost);
        cr_expect(plan.proven, "case %d", k);
        if (plan.unplaced_count == 0) {
            cr_expect(plan.goals_proven, "case %d", k);
            cr_expect_eq(plan.pattern_count, best.patterns, "case %d: %d patterns, %d", k,
                         plan.pattern_count, best.patterns);
            cr_expect_float_eq(plan.kept_worth, best.worth, 1e-6, "case %d: worth %f, %f", k,
                               plan.kept_worth, best.worth);
            kept += best.worth > 0;
            repeated += best.patterns < plan.sticks;
        } else {
            cr_expect_not(plan.goals_proven);
        }
        said += plan.goals_proven;
        kw_arena_free(&a);
    }
    cr_expect(kept > 60 && repeated > 60 && said > 250 && said < 400, "%d kept, %d repeated, %d",
              kept, repeated, said);
}

Test(stick_goals, one_pattern_twice_is_taken_before_two_that_cost_the_same) {
    // 4 of 30 and 4 of 20 on sticks of 100: 30 30 20 20 twice, not 30 30 30 and so on.
    struct kw_arena a = {0};
    struct kw_stick_stock stock = {100, -1, 7};
    struct kw_stick_piece pieces[] = {{30, 4}, {20, 4}};
    struct stick_case c = {&stock, 1, pieces, 2, kw_stick_options_default()};
    struct kw_stick_plan plan = plan_of(&a, &c);
    cr_expect_eq(plan.sticks, 2);
    cr_expect_eq(plan.pattern_count, 1);
    kw_arena_free(&a);
}

Test(stick_goals, waste_is_gathered_on_one_stick_when_that_makes_a_leftover) {
    // 60, 40, 30, 30 on sticks of 100: two patterns anyway. 60 + 40 leaves a stick with 40 over;
    // 60 + 30 would leave 10 and 30.
    struct kw_arena a = {0};
    struct kw_stick_stock stock = {100, -1, 10};
    struct kw_stick_piece pieces[] = {{60, 1}, {40, 1}, {30, 2}};
    struct stick_case c = {&stock, 1, pieces, 3, kw_stick_options_default()};
    c.o.keep = 35;
    c.o.keep_worth = 0.5;
    struct kw_stick_plan plan = plan_of(&a, &c);
    cr_expect_eq(plan.pattern_count, 2);
    cr_expect_float_eq(plan.kept_worth, 0.5 * 0.4 * 10, 1e-9);
    c.o.keep = 45; // nothing reaches that
    cr_expect_float_eq(plan_of(&a, &c).kept_worth, 0, 1e-9);
    c.o.keep_worth = 1.5;
    struct kw_error err = {0};
    cr_expect_eq(kw_stick_plan(&a, &stock, 1, pieces, 3, &c.o, &plan, &err), KW_RANGE);
    kw_arena_free(&a);
}

Test(stick_goals, large_plan_needs_no_more_patterns_and_costs_no_more) {
    // 24 lengths, 10 to 30 of each: too many to look at all ways; what is saved is measured in the
    // benchmark. Here: the plan is whole, repeats, and leaves the claim out.
    uint64_t r = 9;
    struct kw_arena a = {0};
    struct kw_stick_stock stocks[] = {{6000, -1, 36}, {7200, -1, 45}};
    struct kw_stick_piece pieces[24];
    for (int i = 0; i < 24; i++)
        pieces[i] = (struct kw_stick_piece){random_of(&r, 200, 2200), random_of(&r, 10, 30)};
    struct stick_case c = {stocks, 2, pieces, 24, kw_stick_options_default()};
    c.o.kerf = 1.5;
    c.o.keep = 600;
    c.o.steps = 6000;
    struct kw_stick_plan plan = plan_of(&a, &c), again = plan_of(&a, &c);
    cr_expect_not(plan.goals_proven);
    cr_expect(plan.cost <= plan.lower_bound * 1.02);
    cr_expect_eq(plan.pattern_count, again.pattern_count);
    cr_expect_float_eq(plan.kept_worth, again.kept_worth, 0);
    kw_arena_free(&a);
}
