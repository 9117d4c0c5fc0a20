// SPDX-License-Identifier: Apache-2.0
#include "brake_parts.h"

static double area_of(const struct kw_path *paths, int count) {
    double sum = 0;
    for (int i = 0; i < count; i++)
        sum += kw_path_area(&paths[i]);
    return sum;
}

/// Least distance of the sheet under load to a tool, over both surfaces.
static double gap_to(const struct kw_brake_section *s, const struct kw_path *tool) {
    double least = INFINITY;
    for (int i = 0; i < s->after_count; i++)
        for (int k = 0; k < kw_path_segments(&s->after[i]); k++)
            for (int m = 0; m <= 40; m++) {
                struct kw_vec2 p = kw_segment_point(kw_path_segment(&s->after[i], k), m / 40.0);
                double d = kw_path_distance(tool, p);
                least = fmin(least, kw_path_contains(tool, p) ? -d : d);
            }
    return least;
}

Test(brake_section, sheet_under_load_touches_die_and_punch_and_enters_neither) {
    struct test_part p = {0};
    make_strip(&p, (double[]){60, 100, 80}, (double[]){90, 90}, 3, 1, 200, 4, 8.26);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    for (int step = 0; step < plan.step_count; step++) {
        struct kw_brake_section s;
        cr_assert(kw_brake_section(&p.arena, &p.part, &mild, &test_shop, &plan, step, 0, &s));
        cr_expect_float_eq(gap_to(&s, &s.die), 0.0, 0.02);
        cr_expect_float_eq(gap_to(&s, &s.punch_after), 0.0, 0.02);
        cr_expect_gt(gap_to(&s, &s.die), -0.001);
        // Before: lying on the die, the punch on top of it.
        cr_expect_float_eq(kw_path_box(&s.punch_before).min.y, 3.0, 1e-9);
        cr_expect_float_eq(s.gauge_x, plan.steps[step].gauge_x, 1e-12);
    }
    kw_arena_free(&p.arena);
}

Test(brake_section, steel_is_kept) {
    struct test_part p = {0};
    make_strip(&p, (double[]){60, 100, 80}, (double[]){90, 90}, 3, 1, 200, 4, 8.26);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    struct kw_brake_section s;
    cr_assert(kw_brake_section(&p.arena, &p.part, &mild, &test_shop, &plan, 0, 0, &s));
    double flat = 3 * (60 + 100 + 80 + 2 * 8.26);
    cr_expect_float_eq(area_of(s.before, s.before_count), flat, 0.01);
    cr_expect_float_eq(area_of(s.after, s.after_count), flat, 5.0); // the zone becomes an arc
    cr_assert(kw_brake_section(&p.arena, &p.part, &mild, &test_shop, &plan, 1, 30, &s));
    struct kw_box2 box = kw_path_box(&s.before[0]);
    for (int i = 0; i < s.before_count; i++) {
        struct kw_box2 b = kw_path_box(&s.before[i]);
        box.min.x = fmin(box.min.x, b.min.x);
        box.max.x = fmax(box.max.x, b.max.x);
    }
    cr_expect_float_eq(box.min.x, -30.0, 1e-9);
    cr_expect_float_eq(box.max.x, 30.0, 1e-9);
    kw_arena_free(&p.arena);
}

Test(brake_section, a_made_flange_stands_at_its_outside_size) {
    struct test_part p = {0};
    make_strip(&p, (double[]){144, 88, 34}, (double[]){90, 90}, 3, 1, 200, 3, 6.6916);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    struct kw_brake_section s;
    cr_assert(kw_brake_section(&p.arena, &p.part, &mild, &test_shop, &plan, 1, 0, &s));
    double right = 0, top = 0;
    for (int i = 0; i < s.before_count; i++) {
        right = fmax(right, kw_path_box(&s.before[i]).max.x);
        top = fmax(top, kw_path_box(&s.before[i]).max.y);
    }
    cr_expect_float_eq(right, plan.steps[1].gauge_x, 0.001);
    cr_expect_float_eq(top, 40.0, 0.001); // the flange's outside height
    kw_arena_free(&p.arena);
}

Test(brake_section, a_step_without_tools_has_no_picture) {
    struct test_part p = {0};
    make_strip(&p, (double[]){60, 100}, (double[]){90}, 2, 1, 200, 4, 8.26);
    struct kw_brake_shop shop = test_shop;
    shop.punch_count = 0;
    struct kw_brake_plan plan = plan_of(&p, &shop);
    struct kw_brake_section s;
    cr_expect(!kw_brake_section(&p.arena, &p.part, &mild, &shop, &plan, 0, 0, &s));
    kw_arena_free(&p.arena);
}
