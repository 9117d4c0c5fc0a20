// SPDX-License-Identifier: Apache-2.0
#include "carton_help.h"

#include <string.h>

#define ANY                                                                                        \
    { true, true, true }

Test(carton_plan, takes_the_cheapest_carton_that_holds_all) {
    struct kw_arena a = {0};
    struct kw_carton_box boxes[] = {{{300, 200, 20}, 2, 3, ANY}, {{150, 100, 50}, 1, 4, ANY}};
    struct kw_carton_kind kinds[] = {carton_of(600, 400, 300), carton_of(320, 220, 120),
                                     carton_of(200, 200, 200)};
    struct kw_carton_rules rules = {.divisor = 5e6, .mass_step = 0.5};
    struct kw_carton_plan plan = PLAN(&a, boxes, kinds, &rules);
    cr_assert_eq(plan.carton_count, 1);
    cr_expect_eq(plan.cartons[0].kind, 1);
    cr_expect_eq(plan.problem_count, 0);
    cr_expect_float_eq(plan.cartons[0].gross_mass, 10.0, 1e-9);
    kw_arena_free(&a);
}

Test(carton_plan, splits_by_mass_into_the_fewest) {
    struct kw_arena a = {0};
    struct kw_carton_box boxes[] = {{{200, 100, 10}, 4, 16, ANY}}; // 64 kg, 25 kg net a carton
    struct kw_carton_kind kinds[] = {carton_of(400, 400, 400)};
    kinds[0].tare = 1;
    struct kw_carton_rules rules = {.most_mass = 26};
    struct kw_carton_plan plan = PLAN(&a, boxes, kinds, &rules);
    cr_expect_eq(plan.carton_count, 3); // 6 + 6 + 4
    kw_arena_free(&a);
}

Test(carton_plan, last_carton_of_a_split_is_a_small_one) {
    struct kw_arena a = {0};
    struct kw_carton_box boxes[] = {{{100, 100, 100}, 1, 9, ANY}};
    struct kw_carton_kind kinds[] = {carton_of(200, 200, 200), carton_of(100, 100, 100)};
    struct kw_carton_rules rules = {.divisor = 5e6};
    struct kw_carton_plan plan = PLAN(&a, boxes, kinds, &rules);
    cr_assert_eq(plan.carton_count, 2);
    cr_expect_eq(plan.cartons[0].kind + plan.cartons[1].kind, 1);
    kw_arena_free(&a);
}

Test(carton_plan, fills_a_carton_of_cubes_to_the_last) {
    struct kw_arena a = {0};
    struct kw_carton_box boxes[] = {{{50, 40, 30}, 0.1, 60, {false, false, true}}};
    // Turned a quarter, 5 x 3 cover the floor, 4 high: 60 and not one more.
    struct kw_carton_kind kinds[] = {carton_of(200, 150, 120)};
    struct kw_carton_rules rules = {0};
    struct kw_carton_plan plan = PLAN(&a, boxes, kinds, &rules);
    cr_expect_eq(plan.carton_count, 1);
    cr_expect_float_eq(plan.cartons[0].filled, 1.0, 1e-9);
    boxes[0].count = 61;
    cr_expect_eq(PLAN(&a, boxes, kinds, &rules).carton_count, 2);
    kw_arena_free(&a);
}

Test(carton_plan, gaps_are_kept_on_walls_and_between_layers) {
    struct kw_arena a = {0};
    struct kw_carton_box boxes[] = {{{100, 100, 20}, 1, 3, {false, false, true}}};
    // 3 layers and 2 gaps of 5, 10 at floor and lid: 90 in height, 120 across.
    struct kw_carton_kind kinds[] = {carton_of(120, 120, 90)};
    struct kw_carton_rules rules = {.wall_gap = 10, .layer_gap = 5};
    struct kw_carton_plan plan = PLAN(&a, boxes, kinds, &rules);
    cr_assert_eq(plan.carton_count, 1);
    cr_expect_eq(plan.cartons[0].layers, 3);
    cr_expect_float_eq(plan.cartons[0].placed[0].at[2], 10.0, 1e-9);
    cr_expect_float_eq(plan.cartons[0].placed[2].at[2], 60.0, 1e-9);
    kinds[0].inside[2] = 89.9;
    plan = PLAN(&a, boxes, kinds, &rules);
    cr_expect_eq(plan.carton_count, 2);
    kw_arena_free(&a);
}

Test(carton_plan, heavy_plates_lie_under_light_boxes) {
    struct kw_arena a = {0};
    struct kw_carton_box boxes[] = {{{300, 200, 60}, 0.5, 1, {false, false, true}},
                                    {{300, 200, 60}, 9, 1, {false, false, true}}};
    struct kw_carton_kind kinds[] = {carton_of(300, 200, 120)};
    struct kw_carton_plan plan = PLAN(&a, boxes, kinds, &(struct kw_carton_rules){0});
    cr_assert_eq(plan.carton_count, 1);
    cr_expect_eq(plan.cartons[0].placed[0].box, 1);
    kw_arena_free(&a);
}

Test(carton_plan, a_box_stands_only_as_it_may) {
    struct kw_arena a = {0};
    struct kw_carton_kind kinds[] = {carton_of(100, 100, 300)};
    static const struct {
        bool upright[3];
        int cartons;
    } cases[] = {{{true, false, false}, 1},
                 {{false, true, false}, 0},
                 {{false, false, true}, 0},
                 {{false, false, false}, 0},
                 {{true, true, true}, 1}};
    for (int i = 0; i < LENGTH(cases); i++) {
        struct kw_carton_box boxes[] = {{{280, 90, 40}, 1, 1, {0}}};
        memcpy(boxes[0].upright, cases[i].upright, sizeof boxes[0].upright);
        struct kw_carton_plan plan = PLAN(&a, boxes, kinds, &(struct kw_carton_rules){0});
        cr_expect_eq(plan.carton_count, cases[i].cartons, "case %d", i);
        if (plan.carton_count) cr_expect_float_eq(plan.cartons[0].placed[0].size[2], 280.0, 1e-9);
    }
    kw_arena_free(&a);
}

Test(carton_plan, what_cannot_go_says_why) {
    struct kw_arena a = {0};
    struct kw_carton_kind kinds[] = {carton_of(300, 200, 100), carton_of(2900, 100, 100),
                                     carton_of(1500, 800, 800)};
    struct kw_carton_box boxes[] = {{{3000, 20, 20}, 1, 1, ANY},  // no carton
                                    {{200, 150, 90}, 40, 2, ANY}, // too heavy
                                    {{2800, 20, 20}, 1, 1, ANY},  // carton over 2743 long
                                    {{700, 700, 700}, 5, 1, ANY}, // carton over 4191 round
                                    {{100, 100, 50}, 1, 1, ANY}};
    struct kw_carton_rules rules = {
        .most_mass = 30, .most_length = 2743, .most_length_girth = 4191};
    struct kw_carton_plan plan = PLAN(&a, boxes, kinds, &rules);
    static const struct kw_carton_problem want[] = {{KW_CARTON_NO_CARTON, 0, 1, 3000, 2900, 1},
                                                    {KW_CARTON_TOO_HEAVY, 1, 2, 40, 30, -1},
                                                    {KW_CARTON_TOO_LONG, 2, 1, 2900, 2743, -1},
                                                    {KW_CARTON_OVER_GIRTH, 3, 1, 4700, 4191, -1}};
    cr_assert_eq(plan.problem_count, 4);
    for (int i = 0; i < 4; i++) {
        cr_expect_eq(plan.problems[i].kind, want[i].kind, "%d", i);
        cr_expect_eq(plan.problems[i].box, want[i].box);
        cr_expect_eq(plan.problems[i].count, want[i].count);
        cr_expect_float_eq(plan.problems[i].measured, want[i].measured, 1e-9);
        cr_expect_float_eq(plan.problems[i].limit, want[i].limit, 1e-9);
        cr_expect_eq(plan.problems[i].carton, want[i].carton, "%d", i);
    }
    cr_expect_eq(plan.carton_count, 1); // the rest still goes
    kw_arena_free(&a);
}

// 500 x 400 x 50 lies in 500 x 300 x 60 but for 100 of its width; on edge it would stick out by
// 340.
Test(carton_plan, a_box_alone_says_which_side_sticks_out_of_the_nearest_carton) {
    static const struct kw_carton_kind kinds[] = {{.inside = {200, 200, 200}, .count = -1},
                                                  {.inside = {520, 320, 80}, .count = -1}};
    static const struct kw_carton_rules rules = {.wall_gap = 10, .layer_gap = 5};
    struct kw_carton_box box = {{500, 400, 50}, 1, 1, ANY};
    struct kw_carton_problem why;
    cr_assert(kw_carton_refuses(&box, kinds, 2, &rules, &why));
    cr_expect_eq(why.kind, KW_CARTON_NO_CARTON);
    cr_expect_eq(why.carton, 1);
    cr_expect_float_eq(why.measured, 400, 1e-9);
    cr_expect_float_eq(why.limit, 300, 1e-9);
    box.size[1] = 300;
    cr_expect_not(kw_carton_refuses(&box, kinds, 2, &rules, &why));
    box.size[2] = 60.5; // taller by half a millimetre than what is left of 80
    cr_assert(kw_carton_refuses(&box, kinds, 2, &rules, &why));
    cr_expect_float_eq(why.measured, 60.5, 1e-9);
    cr_expect_float_eq(why.limit, 60, 1e-9);
    cr_assert(kw_carton_refuses(&box, kinds, 0, &rules, &why));
    cr_expect_eq(why.carton, -1);
}

Test(carton_plan, no_more_cartons_than_in_stock) {
    struct kw_arena a = {0};
    struct kw_carton_box boxes[] = {{{100, 100, 100}, 1, 3, ANY}};
    struct kw_carton_kind kinds[] = {carton_of(100, 100, 100)};
    kinds[0].count = 2;
    struct kw_carton_plan plan = PLAN(&a, boxes, kinds, &(struct kw_carton_rules){0});
    cr_expect_eq(plan.carton_count, 2);
    cr_assert_eq(plan.problem_count, 1);
    cr_expect_eq(plan.problems[0].kind, KW_CARTON_NO_STOCK);
    cr_expect_float_eq(plan.problems[0].measured, 1.0, 0.0);
    kw_arena_free(&a);
}

Test(carton_plan, refuses_sizes_that_are_none) {
    struct kw_arena a = {0};
    struct kw_carton_kind kinds[] = {carton_of(100, 100, 100)};
    for (int k = 0; k < 6; k++) {
        struct kw_carton_box b = {{100, 100, 100}, 1, 1, ANY};
        if (k == 0) b.size[1] = NAN;
        if (k == 1) b.size[1] = 0;
        if (k == 2) b.mass = NAN;
        if (k == 3) b.count = 0;
        if (k == 4) b.count = 5001;
        if (k == 5) kinds[0].inside[0] = -1;
        struct kw_carton_plan plan;
        struct kw_error err = {0};
        cr_expect_eq(
            kw_carton_plan(&a, &b, 1, kinds, 1, &(struct kw_carton_rules){0}, HERE, &plan, &err),
            k == 4 ? KW_LIMIT : KW_RANGE, "case %d", k);
    }
    kw_arena_free(&a);
}

/// Boxes and cartons of a random kit; the plan must pass its check and be the same twice.
Test(carton_plan, random_kits_pass_the_check_and_repeat) {
    uint64_t seed = 11;
    for (int round = 0; round < 40; round++) {
        struct kw_arena a = {0};
        struct kw_carton_box boxes[12];
        struct kw_carton_kind kinds[3];
        int n = 1 + (int)(kw_random(&seed) % 12);
        for (int i = 0; i < n; i++) {
            boxes[i] = (struct kw_carton_box){.count = 1 + (int)(kw_random(&seed) % 6)};
            for (int k = 0; k < 3; k++) {
                boxes[i].size[k] = 3 + floor(kw_random_unit(&seed) * (k == 2 ? 60 : 500));
                boxes[i].upright[k] = kw_random(&seed) & 1;
            }
            boxes[i].mass = kw_random_unit(&seed) * 5;
        }
        for (int i = 0; i < 3; i++) {
            kinds[i] = carton_of(200 + 200 * i, 150 + 150 * i, 100 + 80 * i);
            kinds[i].wall = 4;
            kinds[i].tare = 0.4 + 0.3 * i;
            kinds[i].count = kw_random(&seed) & 1 ? -1 : 2;
        }
        struct kw_carton_rules rules = {.most_mass = 30,
                                        .divisor = DIVISOR(139),
                                        .mass_step = LB,
                                        .size_step = IN,
                                        .wall_gap = 3 * (round % 3),
                                        .layer_gap = round % 2,
                                        .support = 0.6 + 0.2 * (round % 3)};
        struct kw_carton_plan p = planned(&a, boxes, n, kinds, 3, &rules);
        struct kw_carton_plan q = planned(&a, boxes, n, kinds, 3, &rules);
        cr_assert_eq(p.carton_count, q.carton_count);
        for (int i = 0; i < p.carton_count; i++)
            cr_expect_eq(memcmp(p.cartons[i].placed, q.cartons[i].placed,
                                (size_t)p.cartons[i].placed_count * sizeof *p.cartons[i].placed),
                         0);
        kw_arena_free(&a);
    }
}

/// Each planted fault must be seen by the check.
Test(carton_check, sees_every_planted_fault) {
    for (int fault = 0; fault < 20; fault++) {
        struct kw_arena a = {0};
        struct kw_carton_box boxes[] = {{{300, 200, 50}, 4, 2, {false, false, true}},
                                        {{100, 100, 50}, 1, 3, ANY}};
        struct kw_carton_kind kinds[] = {carton_of(320, 220, 160)};
        kinds[0].tare = 0.5;
        kinds[0].wall = 4;
        kinds[0].count = 1;
        struct kw_carton_rules r = {.most_mass = 30,
                                    .most_length = 400,
                                    .most_length_girth = 1200,
                                    .divisor = 5e6,
                                    .mass_step = 0.5,
                                    .size_step = IN};
        struct kw_carton_plan plan = PLAN(&a, boxes, kinds, &r);
        struct kw_carton *c = &plan.cartons[0];
        struct kw_carton_placed *top = &c->placed[4], *low = &c->placed[0];
        cr_assert(plan.carton_count == 1 && c->layers == 3 && top->box == 1 && low->box == 0);
        switch (fault) {
        case 0:
            top->at[2] -= 1;
            break; // into the one below
        case 1:
            top->at[2] += 1;
            break; // hangs in the air
        case 2:
            low->at[0] = -1;
            break; // through the wall
        case 3:
            low->at[0] = 30;
            break; // through the other
        case 4:
            low->turn = 1;
            break; // size does not follow
        case 5:
            low->turn = 6;
            break; // no such turn
        case 6:
            low->size[0] = 290;
            break; // not its size
        case 7:
            top->copy = 0, c->placed[3].copy = 0;
            break; // one copy twice
        case 8:
            c->placed_count--;
            break; // one is missing
        case 9:
            c->gross_mass += 1;
            break;
        case 10:
            c->billable_mass -= 0.5;
            break;
        case 11:
            c->outside[0] -= IN;
            break;
        case 12:
            c->length_girth -= 1;
            break;
        case 13:
            r.most_mass = 11;
            break;
        case 14:
            r.most_length = 300;
            break;
        case 15:
            r.most_length_girth = 1000;
            break;
        case 16:
            top->layer = 0;
            break;
        case 17:
            kinds[0].count = 0;
            break;
        case 18:
            boxes[0].upright[2] = false, boxes[0].upright[0] = true;
            break;
        case 19:
            top->at[0] = NAN;
            break;
        }
        struct kw_error err = {0};
        cr_expect_eq(kw_carton_check(&plan, boxes, 2, kinds, 1, &r, &err), KW_JUDGE, "fault %d",
                     fault);
        kw_arena_free(&a);
    }
}
