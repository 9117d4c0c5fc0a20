// SPDX-License-Identifier: Apache-2.0
#include "brake_parts.h"

static struct test_part angle_part(double leg, double base, double wide) {
    struct test_part p = {0};
    make_strip(&p, (double[]){base, leg}, (double[]){90}, 2, 0, wide, 3, 6.7);
    return p;
}

Test(brake_plan, groovers_blank_stops_at_two_inches) {
    // Groover, problem: blank 4.0 x 1.5 in, t 5/32, R 3/16 in, 90 degrees, K .33, bent in the
    // middle: each straight leg 1.8122 in, stop set at 2.000 in.
    struct test_part p = {0};
    double in = 25.4;
    make_strip(&p, (double[]){1.8122 * in, 1.8122 * in}, (double[]){90}, 2, 0, 1.5 * in,
               3 * in / 16, 0.3755 * in);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_expect_float_eq(plan.steps[0].gauge_x, 2.0 * in, 0.01);
    cr_expect_float_eq(plan.steps[0].gauge_r, 0.0, 1e-9);
    kw_arena_free(&p.arena);
}

Test(brake_plan, gauge_on_a_made_flange_is_its_outside_less_half_the_deduction) {
    // U channel 60 x 100 x 40 outside, t 3, R 3, K .42: allowance 6.6916, deduction 5.3084
    // (check-values 1.4 f).
    struct test_part p = {0};
    double zone = 6.6916, back = 6.0, half = 5.3084 / 2;
    make_strip(&p, (double[]){60 - back, 100 - 2 * back, 40 - back}, (double[]){90, 90}, 3, 1, 200,
               3, zone);
    p.bends[0].mates = p.bends[1].mates = true; // both sizes are gauged themselves
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_assert_eq(plan.step_count, 2);
    cr_expect_float_eq(plan.steps[0].gauge_x, 40 - half, 0.001); // the flat flange's edge
    cr_expect_str_eq(plan.steps[0].gauge_edge, "edge of B");
    cr_expect_float_eq(plan.steps[1].gauge_x, 60 - half, 0.001);
    struct kw_brake_shop shop = test_shop;
    shop.press.gauge_max_x = 50; // the flange's edge is out of reach, nothing else is nearer
    plan = plan_of(&p, &shop);
    for (int i = 0; i < 2; i++) // the other flange's edge is in reach
        cr_expect_eq(plan.steps[i].gauged, plan.steps[i].bends[0] == 1, "step %d", i + 1);
    const struct kw_brake_problem *far = problem_of(&plan, KW_BRAKE_GAUGE_REACH);
    cr_assert_not_null(far);
    cr_expect_eq(far->bend, 0);
    cr_expect_float_eq(far->limit, 50, 1e-9);
    kw_arena_free(&p.arena);
    p = (struct test_part){0}; // a leg out of the gauge's reach: the made flange is the rest
    make_strip(&p, (double[]){150 - back, 100 - 2 * back, 40 - back}, (double[]){90, 90}, 3, 1, 200,
               3, zone);
    shop.press.gauge_max_x = 120;
    plan = plan_of(&p, &shop);
    cr_expect_float_eq(plan.steps[1].gauge_x, 100 - half, 0.001);
    cr_expect_str_eq(plan.steps[1].gauge_edge, "outside of B");
    cr_expect_float_eq(plan.steps[1].gauge_r, 6.0, 0.001); // above the round of R + t
    cr_expect(!plan.steps[1].gauge_child_side);
    kw_arena_free(&p.arena);
}

Test(brake_plan, a_flange_past_square_is_gauged_on_its_round) {
    struct test_part p = {0};
    make_strip(&p, (double[]){200, 100, 60}, (double[]){90, 120}, 3, 1, 200, 3, 8.9221);
    struct kw_brake_shop shop = test_shop;
    struct kw_brake_die sharp = test_dies[2];
    struct kw_brake_punch slim = test_punches[0];
    sharp.angle = slim.angle = 30 * DEG;
    shop.dies = &sharp;
    shop.punches = &slim;
    shop.die_count = shop.punch_count = 1;
    struct kw_brake_plan plan = plan_of(&p, &shop);
    cr_assert_str_eq(order_text(&p, &plan), "B A");
    // Half the zone of A, the flat, and the outer radius of B.
    cr_expect_float_eq(plan.steps[1].gauge_x, 8.9221 / 2 + 100 + 6, 0.01);
    cr_expect_str_eq(plan.steps[1].gauge_edge, "outside of bend B");
    kw_arena_free(&p.arena);
}

Test(brake_plan, a_slanted_edge_is_no_gauge_edge) {
    struct test_part p = {0};
    make_strip(&p, (double[]){100, 60}, (double[]){90}, 2, 0, 200, 3, 6.7);
    struct kw_path *base = &p.faces[0].outline, *leg = &p.faces[1].outline;
    for (int i = 0; i < 4; i++) { // both free edges run askew
        if (base->v[i].x == 0 && base->v[i].y > 0) base->v[i].x = -30;
        if (leg->v[i].x > 150 && leg->v[i].y > 0) leg->v[i].x += 30;
    }
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_assert_not_null(problem_of(&plan, KW_BRAKE_NO_GAUGE_EDGE));
    cr_expect(plan.steps[0].blocked && !plan.steps[0].gauged);
    kw_arena_free(&p.arena);
}

Test(brake_plan, an_edge_behind_a_tongue_is_not_seen_by_the_gauge) {
    // The child's edge is at 66.7 + half a zone; a tongue of the base beside it reaches further out
    // but covers only its own width: the child's edge is still the longest rest.
    struct test_part p = {0};
    make_strip(&p, (double[]){300, 60}, (double[]){90}, 2, 0, 200, 3, 6.7);
    static const double tongue[][2] = {{0, 0},     {300, 0},   {300, 205},
                                       {420, 205}, {420, 230}, {0, 230}};
    p.faces[0].outline = (struct kw_path){0};
    for (int i = 0; i < 6; i++)
        kw_path_add(&p.arena, &p.faces[0].outline, tongue[i][0], tongue[i][1], 0, 0);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_expect_float_eq(plan.steps[0].gauge_x, 63.35, 0.001);
    cr_expect_float_eq(plan.steps[0].gauge_length, 200.0, 2.0);
    kw_arena_free(&p.arena);
}

Test(brake_plan, settings_come_from_the_formulas) {
    struct test_part p = angle_part(60, 100, 200);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    const struct kw_brake_step *s = &plan.steps[0];
    const struct kw_brake_die *die = &test_dies[s->die];
    cr_assert_eq(s->die, 2);                         // 8 t = 24: the 25 mm die
    cr_expect_float_eq(s->inside_radius, 4.0, 1e-9); // 0.16 V over the nose
    double load = kw_brake_angle_under_load(90 * DEG, 4, 3, 250, 200000, NULL);
    cr_expect_float_eq(s->angle_under_load, load, 1e-12);
    cr_expect_float_eq(s->force, kw_brake_force(450, 200, 3, 25), 1e-6);
    cr_expect_float_eq(s->depth, kw_brake_depth(load, 4, 3, die), 1e-9);
    cr_expect_float_eq(s->start_depth, kw_brake_depth(load - 3 * DEG, 4, 3, die), 1e-9);
    // The printed correction mends what it says: a degree short, one correction, within 0.03 deg.
    double short_of = kw_brake_angle_under_load(89 * DEG, 4, 3, 250, 200000, NULL);
    double mended = kw_brake_depth(short_of, 4, 3, die) + s->depth_per_degree;
    cr_expect_float_eq(mended, s->depth, 0.03 * s->depth_per_degree);
    kw_arena_free(&p.arena);
}

Test(brake_plan, a_measured_springback_comes_before_the_formula) {
    struct test_part p = angle_part(60, 100, 200);
    struct kw_brake_die dies[4];
    memcpy(dies, test_dies, sizeof dies);
    struct kw_brake_shop shop = test_shop;
    shop.dies = dies;
    dies[2].load_slope = 1.015;
    dies[2].load_offset = 0.4 * DEG;
    struct kw_brake_plan plan = plan_of(&p, &shop);
    const struct kw_brake_step *s = &plan.steps[0];
    cr_assert_eq(s->die, 2);
    double load = (1.015 * 90 + 0.4) * DEG;
    cr_expect_float_eq(s->angle_under_load, load, 1e-12);
    cr_expect_float_eq(s->depth, kw_brake_depth(load, 4, 3, &dies[2]), 1e-9);
    double degree = kw_brake_depth((1.015 * 90.5 + 0.4) * DEG, 4, 3, &dies[2]) -
                    kw_brake_depth((1.015 * 89.5 + 0.4) * DEG, 4, 3, &dies[2]);
    cr_expect_float_eq(s->depth_per_degree, degree, 1e-3 * degree);
    kw_arena_free(&p.arena);
}

Test(brake_plan, slope_is_the_derivative_of_depth) {
    struct kw_brake_die die = test_dies[2];
    for (double a = 5; a < 140; a += 7) {
        double h = 1e-6, up = kw_brake_depth(a * DEG + h, 4, 3, &die);
        double down = kw_brake_depth(a * DEG - h, 4, 3, &die);
        cr_expect_float_eq(kw_brake_depth_slope(a * DEG, 4, 3, &die), (up - down) / (2 * h), 1e-5);
    }
}

Test(brake_plan, a_short_leg_takes_a_smaller_die) {
    struct test_part p = angle_part(12, 100, 200); // outside leg 18 mm: 25 x .75 = 18.75
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_expect_eq(plan.steps[0].die, 1);
    cr_expect_eq(plan.problem_count, 0);
    kw_arena_free(&p.arena);
}

Test(brake_plan, a_leg_too_short_for_every_die_is_a_stop_that_says_what_would_do) {
    struct test_part p = angle_part(1, 100, 200); // outside 7 mm; 12 mm die: 7.8, 9
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    const struct kw_brake_problem *leg = problem_of(&plan, KW_BRAKE_LEG_SHORT);
    cr_assert_not_null(leg);
    cr_expect_eq(leg->level, KW_STOP);
    cr_expect_float_eq(leg->measured, 7.0, 1e-6);
    const struct kw_brake_die *die = &test_dies[plan.steps[leg->step].die];
    cr_expect_float_eq(leg->limit, 0.65 * die->opening, 1e-9);
    cr_expect_float_eq(leg->wanted, 0.75 * die->opening, 1e-9);
    cr_expect(plan.steps[0].blocked);
    cr_expect_eq(plan.steps[0].force, 0.0);
    cr_expect_eq(plan.steps[0].depth, 0.0);
    cr_expect_eq(plan.steps[0].start_depth, 0.0);
    kw_arena_free(&p.arena);
}

/// One fault planted in an otherwise good shop, and the problem it must give.
struct planted {
    const char *what;
    enum kw_brake_problem_kind kind;
    enum kw_level level;
    double measured, limit;
};

static void expect_planted(const struct kw_brake_shop *shop, struct planted want) {
    struct test_part p = angle_part(60, 100, 200);
    p.part.mass = 12;
    struct kw_brake_plan plan = plan_of(&p, shop);
    const struct kw_brake_problem *got = problem_of(&plan, want.kind);
    cr_assert_not_null(got, "%s", want.what);
    cr_expect_eq(got->level, want.level, "%s", want.what);
    cr_expect_float_eq(got->measured, want.measured, 0.01, "%s: %f", want.what, got->measured);
    cr_expect_float_eq(got->limit, want.limit, 0.01, "%s: %f", want.what, got->limit);
    cr_expect_eq(plan.steps[0].blocked, want.level == KW_STOP, "%s", want.what);
    if (plan.steps[0].blocked) cr_expect(plan.steps[0].force == 0 && plan.steps[0].depth == 0);
    kw_arena_free(&p.arena);
}

Test(brake_plan, each_limit_of_the_press_stops_or_warns) {
    double force = kw_brake_force(450, 200, 3, 25);
    struct kw_brake_shop s = test_shop;
    s.dies = &test_dies[2];
    s.die_count = 1;
    struct kw_brake_shop good = s;
    s.press.rating = 0;
    expect_planted(&s, (struct planted){"no rating", KW_BRAKE_FORCE_PRESS, KW_STOP, force, 0});
    s.press.rating = 42500;
    expect_planted(&s, (struct planted){"over", KW_BRAKE_FORCE_PRESS, KW_STOP, force, 42500});
    s.press.rating = 50000;
    expect_planted(&s, (struct planted){"near", KW_BRAKE_FORCE_PRESS, KW_RISK, force, 40000});
    s = good;
    s.press.bed_length = 199;
    expect_planted(&s, (struct planted){"bed", KW_BRAKE_TOO_LONG, KW_STOP, 200, 199});
    s = good;
    s.press.gauge_max_x = 0;
    expect_planted(&s, (struct planted){"gauge", KW_BRAKE_NO_GAUGE, KW_STOP, 63.35, 0});
    s = good;
    s.press.gauge_min_x = 150;
    expect_planted(&s, (struct planted){"near", KW_BRAKE_GAUGE_REACH, KW_STOP, 63.35, 150});
    s = good;
    s.press.throat = 50;
    s.press.between_frames = 190;
    expect_planted(&s, (struct planted){"frames", KW_BRAKE_FRAMES, KW_STOP, 200, 190});
    s = good;
    s.press.open_height = 140;
    expect_planted(&s, (struct planted){"open", KW_BRAKE_NO_ROOM, KW_STOP, 153, 140});
    s = good;
    s.press.one_person_mass = 10;
    expect_planted(&s, (struct planted){"mass", KW_BRAKE_HEAVY, KW_RISK, 12, 10});
}

Test(brake_plan, each_limit_of_the_tools_stops_or_warns) {
    struct kw_brake_die die = test_dies[2];
    struct kw_brake_punch punch = test_punches[0];
    struct kw_brake_shop s = test_shop;
    s.dies = &die;
    s.punches = &punch;
    s.die_count = s.punch_count = 1;
    double line = kw_brake_force(450, 1, 3, 25);
    die.rating = 200;
    expect_planted(&s, (struct planted){"die", KW_BRAKE_FORCE_TOOL, KW_STOP, line, 200});
    die.rating = 900;
    punch.rating = 250;
    expect_planted(&s, (struct planted){"punch", KW_BRAKE_FORCE_TOOL, KW_RISK, line, 200});
    punch.rating = 0;
    punch.length = 150;
    expect_planted(&s, (struct planted){"length", KW_BRAKE_TOO_LONG, KW_STOP, 200, 150});
    punch.length = 0;
    punch.angle = 90 * DEG;
    double load = kw_brake_angle_under_load(90 * DEG, 4, 3, 250, 200000, NULL) / DEG;
    expect_planted(&s, (struct planted){"angle", KW_BRAKE_ANGLE_SHARP, KW_STOP, load, 90});
    punch = test_punches[0];
    punch.nose_radius = 8;
    expect_planted(&s, (struct planted){"radius", KW_BRAKE_RADIUS_OFF, KW_RISK, 8, 3});
    die.opening = 80;
    punch = test_punches[0];
    expect_planted(&s, (struct planted){"no die", KW_BRAKE_NO_DIE, KW_STOP, 80, 24});
    die.opening = 25;
    s.punch_count = 0;
    expect_planted(&s, (struct planted){"no punch", KW_BRAKE_NO_PUNCH, KW_STOP, 0, 1});
}

Test(brake_plan, a_problem_names_the_die_that_lifts_it) {
    struct test_part p = angle_part(6, 100, 200); // outside leg 12: stop on 25, none on 16
    struct kw_brake_shop s = test_shop;
    struct kw_brake_die dies[2] = {test_dies[1], test_dies[2]};
    dies[0].rating = 100; // but the small die is too weak
    s.dies = dies;
    s.die_count = 2;
    struct kw_brake_plan plan = plan_of(&p, &s);
    cr_expect_eq(plan.steps[0].die, 1); // one stop each: the opening nearer to 8 t
    const struct kw_brake_problem *leg = problem_of(&plan, KW_BRAKE_LEG_SHORT);
    cr_assert_not_null(leg);
    cr_expect_eq(leg->other_die, 0, "%d", leg->other_die);
    kw_arena_free(&p.arena);
}

Test(brake_plan, one_die_for_the_part_where_it_costs_nothing) {
    struct test_part p = {0}; // a short flange that needs V16, a long one that would take V25
    make_strip(&p, (double[]){12, 150, 80}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_expect_eq(plan.steps[0].die, 1);
    cr_expect_eq(plan.steps[1].die, 1);
    cr_expect_eq(plan.problem_count, 0);
    kw_arena_free(&p.arena);
}

Test(brake_plan, refuses_what_is_not_a_tree_or_not_a_number) {
    for (int k = 0; k < 8; k++) {
        struct test_part p = {0};
        make_strip(&p, (double[]){60, 100, 40}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
        struct kw_brake_material m = mild;
        if (k == 0) p.bends[0].angle = NAN;
        if (k == 1) p.bends[0].to = p.bends[0].from;
        if (k == 2) p.bends[0].child = 7;
        if (k == 3) p.bends[0].parent = p.bends[1].child, p.bends[1].parent = p.bends[0].child;
        if (k == 4) p.bends[1].child = p.bends[0].child;
        if (k == 5) m.thickness = NAN;
        if (k == 6) p.faces[1].outline.v[0].x = INFINITY;
        if (k == 7) p.bends[0].angle = KW_PI;
        struct kw_brake_plan plan;
        struct kw_error err = {0};
        cr_expect_eq(kw_brake_plan(&p.arena, &p.part, &m, &test_shop, HERE, &plan, &err),
                     KW_GEOMETRY, "case %d", k);
        cr_expect_eq(err.at.line, 1);
        cr_expect_eq(plan.step_count, 0);
        kw_arena_free(&p.arena);
    }
}

Test(brake_plan, a_flat_part_has_no_strokes) {
    struct test_part p = {0};
    add_face(&p, "base", 0, 0, 100, 100);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_expect_eq(plan.step_count + plan.problem_count, 0);
    kw_arena_free(&p.arena);
}

// A Z whose hanging flange rests on the fingers swings past them: its lower edge runs on a circle
// about the inside radius' centre (R + t above the die), at most as far out as that circle reaches.
Test(brake_plan, a_hanging_flange_wants_the_gauge_pulled_back) {
    struct test_part p = {0};
    make_strip(&p, (double[]){150, 100, 40}, (double[]){90, -90}, 3, 1, 200, 3, 6.7);
    struct kw_brake_shop shop = test_shop;
    shop.press.gauge_max_x = 120;
    struct kw_brake_plan plan = plan_of(&p, &shop);
    cr_assert_eq(plan.step_count, 2);
    int hung = 0;
    for (int i = 0; i < 2; i++) {
        const struct kw_brake_step *s = &plan.steps[i];
        bool flange = strncmp(s->gauge_edge, "outside", 7) == 0;
        hung += flange;
        if (!flange) cr_expect_eq(s->gauge_back, 0);
        if (!flange) continue;
        double h = s->inside_radius + 3, low = 40 + s->inside_radius + h;
        double most = hypot(s->gauge_x, low) - s->gauge_x + 1;
        double least = hypot(s->gauge_x - 6.7, low - 7) - s->gauge_x;
        cr_expect(s->gauge_back > least && s->gauge_back < most + 1, "%g: %g to %g", s->gauge_back,
                  least, most);
    }
    cr_expect_eq(hung, 1);
    kw_arena_free(&p.arena);
}

Test(brake_plan, pieces_of_a_length_are_named) {
    struct kw_arena a = {0};
    const double pieces[] = {100, 20, 50, 35, 200};
    int which[5];
    cr_expect_eq(kw_brake_pieces(&a, pieces, 5, 255, which), 3);
    double sum = 0;
    for (int i = 0; i < 3; i++)
        sum += pieces[which[i]];
    cr_expect_eq(sum, 255);
    cr_expect_eq(kw_brake_pieces(&a, pieces, 5, 60, which), 0);
    cr_expect_eq(kw_brake_pieces(&a, pieces, 5, 405, which), 5);
    kw_arena_free(&a);
}
