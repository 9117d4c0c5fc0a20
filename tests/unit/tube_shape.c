// SPDX-License-Identifier: Apache-2.0
// Shapes said at the bench and through points: what comes of them, and what is refused where.
#include "geom/geom.h"
#include "tube/tube.h"

#include <criterion/criterion.h>

static double deg(double radians) {
    return radians * 180 / KW_PI;
}

static struct kw_tube_step go(const char *word, double length) {
    struct kw_tube_step s = {.kind = KW_TUBE_STRAIGHT, .length = length};
    cr_assert(kw_tube_way(word, &s.towards), "%s", word);
    return s;
}

static struct kw_tube_step turn(double degrees) {
    return (struct kw_tube_step){.kind = KW_TUBE_TURN, .angle = degrees * KW_PI / 180};
}

#define STEPS(...)                                                                                 \
    (struct kw_tube_step[]){__VA_ARGS__},                                                          \
        (int)(sizeof((struct kw_tube_step[]){__VA_ARGS__}) / sizeof(struct kw_tube_step))

static void expect_point(struct kw_vec3 p, double x, double y, double z) {
    cr_expect_float_eq(p.x, x, 1e-9, "x %.9f, not %.9f", p.x, x);
    cr_expect_float_eq(p.y, y, 1e-9, "y %.9f, not %.9f", p.y, y);
    cr_expect_float_eq(p.z, z, 1e-9, "z %.9f, not %.9f", p.z, z);
}

Test(tube_way, every_word_is_a_unit_vector_and_pairs_are_diagonals) {
    struct kw_vec3 d;
    for (int i = 0; kw_tube_way_words[i]; i++) {
        cr_expect(kw_tube_way(kw_tube_way_words[i], &d));
        cr_expect_float_eq(kw_length3(d), 1, 1e-12);
    }
    cr_assert(kw_tube_way("across-down", &d));
    expect_point(d, sqrt(0.5), 0, -sqrt(0.5));
    static const char *const bad[] = {"",      "upp", "Up",  "up-down",
                                      "up-up", "up-", "-up", "up-left-back-up"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        cr_expect_not(kw_tube_way(bad[i], &d), "%s", bad[i]);
}

Test(tube_steps, hoop_measured_outside_is_a_diameter_less_between_corners) {
    struct kw_arena a = {0};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_tube_line line;
    double in = KW_MM_PER_IN, od = 1.25 * in;
    cr_assert(
        kw_tube_line_from_steps(&a,
                                STEPS(go("up", 30.625 * in), turn(90), go("across", 25.25 * in),
                                      turn(90), go("down", 30.625 * in)),
                                od, 4 * in, KW_TUBE_OUTSIDE, &line, &p));
    cr_expect_eq(p.count, 0);
    cr_assert_eq(line.count, 4);
    expect_point(line.v[1], 0, 0, 30 * in);
    expect_point(line.v[2], 24 * in, 0, 30 * in);
    expect_point(line.v[3], 24 * in, 0, 0);
    struct kw_tube_table t;
    cr_assert(kw_tube_table(&a, &line, &t, &p));
    cr_expect_float_eq(t.cut_length, (84 - 16 + 4 * KW_PI) * in, 1e-9);
    // The tape's reading, from the box of the outside.
    struct kw_box3 box = kw_tube_box(&t, od);
    cr_expect_float_eq(box.max.x - box.min.x, 25.25 * in, 1e-9);
    cr_expect_float_eq(box.max.z - box.min.z, 30.625 * in, 1e-9);
    cr_expect_float_eq(box.max.y - box.min.y, od, 1e-9);
    kw_arena_free(&a);
}

Test(tube_steps, tape_reading_comes_back_at_any_turn) {
    // Up, turn, onwards: the highest outside along the first straight, or where the outer lines
    // meet.
    struct kw_arena a = {0};
    for (int degrees = 10; degrees <= 170; degrees += 20) {
        struct kw_tube_problems p = {.arena = &a};
        struct kw_tube_line line;
        struct kw_tube_table t;
        const char *on = degrees < 90 ? "across" : "across-down";
        double od = 30, angle = degrees * KW_PI / 180;
        struct kw_tube_step towards = go(on, 900);
        towards.towards = kw_v3(sin(angle), 0, cos(angle));
        cr_assert(kw_tube_line_from_steps(&a, STEPS(go("up", 700), turn(degrees), towards), od, 50,
                                          KW_TUBE_OUTSIDE, &line, &p),
                  "%d", degrees);
        if (!kw_tube_table(&a, &line, &t, &p)) {
            // 170 degrees: the tangent is 571 mm and fits in neither straight.
            cr_expect_eq(degrees, 170);
            continue;
        }
        if (degrees > 90) {
            cr_expect_float_eq(kw_tube_box(&t, od).max.z, 700, 1e-9, "%d", degrees);
            continue;
        }
        // The outer lines: x = -r, and the second straight's line moved r to its left.
        struct kw_vec3 d = towards.towards;
        struct kw_vec3 q = kw_add3(line.v[1], kw_scale3(kw_v3(-d.z, 0, d.x), od / 2));
        double apex = q.z + (-od / 2 - q.x) * d.z / d.x;
        cr_expect_float_eq(apex, 700, 1e-9, "%d", degrees);
    }
    kw_arena_free(&a);
}

Test(tube_steps, apex_and_centreline_measures_differ_by_the_outer_lines) {
    struct kw_arena a = {0};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_tube_line line;
    struct kw_tube_step down = go("across-down", 300);
    cr_assert(kw_tube_line_from_steps(&a, STEPS(go("up", 500), turn(135), down), 30, 40,
                                      KW_TUBE_APEX, &line, &p));
    cr_expect_float_eq(line.v[1].z, 500 - 15 * tan(67.5 * KW_PI / 180), 1e-9);
    cr_assert(kw_tube_line_from_steps(&a, STEPS(go("up", 500), turn(135), down), 30, 40,
                                      KW_TUBE_CENTRELINE, &line, &p));
    cr_expect_float_eq(line.v[1].z, 500, 1e-12);
    kw_arena_free(&a);
}

Test(tube_steps, turn_short_of_the_word_leans_towards_it) {
    struct kw_arena a = {0};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_tube_line line;
    double h = sqrt(0.5);
    cr_assert(kw_tube_line_from_steps(&a,
                                      STEPS(go("up", 200), turn(45), go("across", 100), turn(45),
                                            go("across", 300), turn(30), go("back", 100)),
                                      25, 60, KW_TUBE_CENTRELINE, &line, &p));
    expect_point(line.v[2], 100 * h, 0, 200 + 100 * h);
    expect_point(line.v[3], 300 + 100 * h, 0, 200 + 100 * h);
    expect_point(kw_sub3(line.v[4], line.v[3]), 100 * cos(KW_PI / 6), 50, 0);
    kw_arena_free(&a);
}

Test(tube_steps, what_cant_be_is_named_with_its_step) {
    static const struct {
        enum kw_tube_problem_kind kind;
        int step;
    } want[] = {{KW_TUBE_TURN_DISAGREES, 1},       {KW_TUBE_TURN_DISAGREES, 1},
                {KW_TUBE_TURN_DISAGREES, 1},       {KW_TUBE_STEP_ORDER, 1},
                {KW_TUBE_STEP_ORDER, 1},           {KW_TUBE_STEP_ORDER, 0},
                {KW_TUBE_ZERO_LENGTH_STRAIGHT, 2}, {KW_TUBE_OUT_OF_RANGE, 0},
                {KW_TUBE_DOUBLES_BACK, 1},         {KW_TUBE_RADIUS_DOES_NOT_FIT, 2}};
    struct kw_tube_step steps[10][5] = {
        {go("up", 200), turn(100), go("across", 100)},
        {go("up", 200), turn(90), go("up", 100)},
        {go("up", 200), turn(90), go("down", 100)},
        {go("up", 200), go("across", 100)},
        {go("up", 200), turn(90)},
        {turn(90), go("up", 200)},
        {go("up", 200), turn(90), go("across", 0)},
        {go("up", (double)NAN)},
        {go("up", 200), turn(180), go("down", 100)},
        {go("up", 200), turn(90), go("across", 24), turn(90), go("up", 200)},
    };
    static const int counts[] = {3, 3, 3, 2, 2, 2, 3, 1, 3, 5};
    struct kw_arena a = {0};
    for (int i = 0; i < 10; i++) {
        struct kw_tube_problems p = {.arena = &a};
        struct kw_tube_line line;
        cr_expect_not(
            kw_tube_line_from_steps(&a, steps[i], counts[i], 25, 60, KW_TUBE_OUTSIDE, &line, &p));
        cr_assert_eq(p.count, 1, "%d: %d problems", i, p.count);
        cr_expect_eq(p.v[0].kind, want[i].kind, "%d: %s", i, kw_tube_problem_name(p.v[0].kind));
        cr_expect_eq(p.v[0].step, want[i].step, "%d: step %d", i, p.v[0].step);
    }
    cr_expect_float_eq(deg(turn(100).angle), 100, 1e-9);
    kw_arena_free(&a);
}

Test(tube_steps, all_wrong_steps_are_named_not_only_the_first) {
    struct kw_arena a = {0};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_tube_line line;
    cr_expect_not(kw_tube_line_from_steps(
        &a, STEPS(go("up", 0), turn(-5), go("across", -3), turn(90), go("down", 10)), 25, 60,
        KW_TUBE_OUTSIDE, &line, &p));
    cr_assert_eq(p.count, 3);
    cr_expect_eq(p.v[0].step, 0);
    cr_expect_eq(p.v[1].step, 1);
    cr_expect_eq(p.v[2].step, 2);
    kw_arena_free(&a);
}

Test(tube_points, those_on_a_straight_drop_out) {
    struct kw_arena a = {0};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_tube_line line;
    struct kw_vec3 v[] = {{0, 0, 0}, {100, 0, 0}, {300, 0, 0}, {300, 100, 0}, {300, 250, 0}};
    double radii[] = {0, 7, 50, 7, 0};
    cr_assert(kw_tube_line_from_points(&a, v, 5, radii, 0, &line, &p));
    cr_assert_eq(line.count, 3);
    cr_expect_eq(line.from[1], 2);
    cr_expect_float_eq(line.radius[1], 50, 0);
    kw_arena_free(&a);
}

Test(tube_points, bad_points_are_named_with_their_index) {
    static const struct {
        struct kw_vec3 v[4];
        int count;
        double radius;
        enum kw_tube_problem_kind kind;
        int step;
    } bad[] = {
        {{{0, 0, 0}, {100, 0, 0}, {50, 0, 0}}, 3, 20, KW_TUBE_DOUBLES_BACK, 1},
        {{{0, 0, 0}, {100, 0, 0}, {100, 0, 0}, {100, 9, 0}},
         4,
         20,
         KW_TUBE_ZERO_LENGTH_STRAIGHT,
         2},
        {{{0, 0, 0}}, 1, 20, KW_TUBE_TOO_FEW_POINTS, -1},
        {{{0, 0, 0}, {100, (double)NAN, 0}}, 2, 20, KW_TUBE_OUT_OF_RANGE, 1},
        {{{0, 0, 0}, {1e9, 0, 0}}, 2, 20, KW_TUBE_OUT_OF_RANGE, 1},
        {{{0, 0, 0}, {100, 0, 0}, {100, 100, 0}}, 3, -1, KW_TUBE_OUT_OF_RANGE, 1},
        {{{0, 0, 0}, {100, 0, 0}, {100, 100, 0}}, 3, (double)NAN, KW_TUBE_OUT_OF_RANGE, 1},
    };
    struct kw_arena a = {0};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct kw_tube_problems p = {.arena = &a};
        struct kw_tube_line line;
        cr_expect_not(
            kw_tube_line_from_points(&a, bad[i].v, bad[i].count, NULL, bad[i].radius, &line, &p));
        cr_assert_eq(p.count, 1, "%zu", i);
        cr_expect_eq(p.v[0].kind, bad[i].kind, "%zu: %s", i, kw_tube_problem_name(p.v[0].kind));
        cr_expect_eq(p.v[0].step, bad[i].step, "%zu", i);
    }
    kw_arena_free(&a);
}

Test(tube_shape, tape_reads_the_lengths_of_the_steps_again) {
    struct kw_arena a = {0};
    const double lengths[] = {400, 500, 450, 380};
    const double turns[] = {90, 45, 135};
    static const char *const words[] = {"up", "across", "back", "left"};
    struct kw_tube_step steps[7];
    for (int i = 0; i < 7; i++) {
        if (i % 2) {
            steps[i] =
                (struct kw_tube_step){.kind = KW_TUBE_TURN, .angle = turns[i / 2] * KW_PI / 180};
            continue;
        }
        steps[i] = (struct kw_tube_step){.kind = KW_TUBE_STRAIGHT, .length = lengths[i / 2]};
        cr_assert(kw_tube_way(words[i / 2], &steps[i].towards));
    }
    struct kw_tube_line line;
    struct kw_tube_table t;
    cr_assert(kw_tube_line_from_steps(&a, steps, 7, 30, 90, KW_TUBE_OUTSIDE, &line, NULL));
    cr_assert(kw_tube_table(&a, &line, &t, NULL));
    for (int i = 0; i < 4; i++)
        cr_expect_float_eq(kw_tube_tape(&t, 30, i), lengths[i], 1e-9, "%d: %f", i,
                           kw_tube_tape(&t, 30, i));
    kw_arena_free(&a);
}
