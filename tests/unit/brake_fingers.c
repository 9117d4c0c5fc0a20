// SPDX-License-Identifier: Apache-2.0
// Fingers and side frames as bodies.
#include "brake/inside.h"
#include "brake_parts.h"

static struct fingers placed(const struct kw_brake_press *press, const char *edge) {
    bool seen[64] = {false}, shut[64] = {false};
    int n = (int)strlen(edge); // one slot is 5 mm: '=' edge, '#' something further out, ' ' nothing
    for (int i = 0; i < n; i++) {
        seen[i] = edge[i] == '=';
        shut[i] = edge[i] == '#';
    }
    return place_fingers(press, seen, shut, n, 100, 5);
}

Test(brake_fingers, stand_as_far_apart_as_the_edge_lets_them) {
    struct kw_brake_press press = {.finger_width = 20};
    struct fingers f = placed(&press, "========================"); // 120 mm
    cr_assert_eq(f.count, 2);
    cr_expect_float_eq(f.at[0], 102.5, 1e-9); // half over the end
    cr_expect_float_eq(f.at[1], 217.5, 1e-9);
    press.fingers_most = 80;
    f = placed(&press, "========================");
    cr_expect_float_eq(f.at[1] - f.at[0], 80, 1e-9);
    press.fingers_least = 90;
    press.fingers_most = 0;
    f = placed(&press, "=============="); // 70 mm
    cr_expect_eq(f.count, 1);
    cr_expect_float_eq(f.at[0], 135, 2.6);
}

Test(brake_fingers, keep_clear_of_what_stands_out) {
    struct kw_brake_press press = {.finger_width = 20};
    struct fingers f = placed(&press, "##########==========");
    cr_assert_eq(f.count, 2);
    cr_expect_geq(f.at[0] - 10, 150 - 1e-9);                // wholly past the tongue
    cr_expect_eq(placed(&press, "#####===#####").count, 0); // 15 mm between two tongues
    cr_expect_eq(placed(&press, "#####====== #####").count, 1);
    cr_expect_eq(placed(&press, "          ").count, 0);
}

static struct test_part angle_of(double leg) {
    struct test_part p = {0};
    make_strip(&p, (double[]){300, leg}, (double[]){90}, 2, 0, 200, 3, 6.7);
    return p;
}

// The edge of a leg of 15 mm lies 18.4 mm behind the die's middle. A punch of 20 mm lets a finger
// before it, one whose gooseneck leans back over the gauge does not; the long edge on the other
// side is gauged instead, if it is in reach.
Test(brake_fingers, must_clear_the_punch) {
    struct test_part p = angle_of(15);
    struct kw_brake_punch punch = test_punches[1];
    struct kw_brake_shop shop = test_shop;
    shop.punches = &punch;
    shop.punch_count = 1;
    shop.press.gauge_max_x = 250; // the other edge lies 303 mm away
    struct kw_brake_plan plan = plan_of(&p, &shop);
    cr_expect_null(problem_of(&plan, KW_BRAKE_FINGERS));
    cr_expect_eq(plan.steps[0].finger_count, 2);
    shop.press.finger_height = 60;
    punch.height = 50; // the ram comes down onto so tall a finger
    plan = plan_of(&p, &shop);
    const struct kw_brake_problem *f = problem_of(&plan, KW_BRAKE_FINGERS);
    cr_assert_not_null(f);
    cr_expect_eq(f->level, KW_STOP);
    cr_expect_float_eq(f->measured, 18.35, 0.01);
    cr_expect_float_eq(f->limit, 30.5, 0.6); // half of the ram's 60 mm and half a millimetre
    cr_expect(plan.steps[0].blocked);
    shop.press.gauge_max_x = 600;
    plan = plan_of(&p, &shop);
    cr_expect_null(problem_of(&plan, KW_BRAKE_FINGERS));
    cr_expect_float_eq(plan.steps[0].gauge_x, 303.35, 0.01);
    kw_arena_free(&p.arena);
}

// A plate of 1200 with a tongue of 150 behind: only the tongue reaches past the throat of 200.
Test(brake_fingers, only_what_is_past_the_throat_must_go_between_the_frames) {
    for (int wide = 0; wide < 2; wide++) {
        struct test_part p = {0};
        make_strip(&p, (double[]){150, 400}, (double[]){90}, 2, 0, 1200, 3, 6.7);
        struct kw_path *leg = &p.faces[1].outline;
        *leg = (struct kw_path){0};
        double x = 156.7, tongue = wide ? 1100 : 150;
        const double at[][2] = {{x, 0},
                                {x + 100, 0},
                                {x + 100, 20},
                                {x + 400, 20},
                                {x + 400, 20 + tongue},
                                {x + 100, 20 + tongue},
                                {x + 100, 1200},
                                {x, 1200}};
        for (int i = 0; i < 8; i++)
            kw_path_add(&p.arena, leg, at[i][0], at[i][1], 0, 0);
        struct kw_brake_shop shop = test_shop;
        shop.press.throat = 140; // neither side is short of it
        shop.press.bed_length = 1250;
        p.bends[0].mates = true; // gauged on the leg itself
        shop.press.gauge_min_x = 160;
        struct kw_brake_plan plan = plan_of(&p, &shop);
        const struct kw_brake_problem *f = problem_of(&plan, KW_BRAKE_FRAMES);
        cr_expect_eq(f != NULL, wide == 1);
        if (f) cr_expect_float_eq(f->measured, 1100, 0.01, "%f", f->measured);
        kw_arena_free(&p.arena);
    }
}
