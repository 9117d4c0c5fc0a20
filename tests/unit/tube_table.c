// SPDX-License-Identifier: Apache-2.0
// Points to table and back; what a table refuses.
#include "geom/geom.h"
#include "tube/tube.h"

#include <criterion/criterion.h>

enum { MOST_POINTS = 14 };

static struct kw_vec3 random_direction(uint64_t *state) {
    while (true) {
        struct kw_vec3 v = kw_v3(kw_random_unit(state) - 0.5, kw_random_unit(state) - 0.5,
                                 kw_random_unit(state) - 0.5);
        double length = kw_length3(v);
        if (length > 0.05 && length < 0.5) return kw_scale3(v, 1 / length);
    }
}

static double between(uint64_t *state, double low, double high) {
    return low + (high - low) * kw_random_unit(state);
}

/// Points with turns of 1 to 178 degrees, legs of 60 to 1500 mm, and radii that just fit.
static int random_tube(uint64_t *state, struct kw_vec3 *v, double *radii) {
    int n = 3 + (int)(kw_random(state) % (MOST_POINTS - 2));
    struct kw_vec3 d = random_direction(state);
    double legs[MOST_POINTS], turns[MOST_POINTS] = {0};
    v[0] = kw_scale3(random_direction(state), 1000);
    for (int i = 1; i < n; i++) {
        legs[i] = between(state, 60, 1500);
        v[i] = kw_add3(v[i - 1], kw_scale3(d, legs[i]));
        struct kw_vec3 side = kw_cross3(d, random_direction(state));
        if (kw_length3(side) < 0.05) side = kw_cross3(d, kw_v3(d.y, d.z, -d.x));
        side = kw_scale3(side, 1 / kw_length3(side));
        turns[i] = between(state, 1, 178) * KW_PI / 180;
        d = kw_add3(kw_scale3(d, cos(turns[i])), kw_scale3(side, sin(turns[i])));
    }
    for (int i = 1; i < n - 1; i++) {
        double least = fmin(legs[i], legs[i + 1]);
        radii[i] = fmin(between(state, 20, 300), 0.4999 * least / tan(turns[i] / 2));
    }
    return n;
}

Test(tube_table, ten_thousand_random_tubes_come_back_to_a_billionth_of_a_millimetre) {
    uint64_t state = 7;
    double worst = 0;
    for (int k = 0; k < 10000; k++) {
        struct kw_arena a = {0};
        struct kw_vec3 v[MOST_POINTS];
        double radii[MOST_POINTS] = {0};
        int n = random_tube(&state, v, radii);
        struct kw_tube_problems p = {.arena = &a};
        struct kw_tube_line line, back;
        struct kw_tube_table t;
        cr_assert(kw_tube_line_from_points(&a, v, n, radii, 0, &line, &p));
        cr_assert(kw_tube_table(&a, &line, &t, &p), "tube %d", k);
        cr_assert(kw_tube_line_from_table(&a, &t, &back, &p));
        cr_assert_eq(back.count, n);
        for (int i = 0; i < n; i++)
            worst = fmax(worst, kw_length3(kw_sub3(back.v[i], v[i])));
        kw_arena_free(&a);
    }
    cr_expect_lt(worst, 1e-9, "worst %.3g mm", worst);
}

Test(tube_table, rows_come_back_as_they_were) {
    uint64_t state = 11;
    for (int k = 0; k < 1000; k++) {
        struct kw_arena a = {0};
        struct kw_tube_bend rows[8];
        int n = 1 + (int)(kw_random(&state) % 8);
        for (int i = 0; i < n; i++)
            rows[i] = (struct kw_tube_bend){between(&state, 1, 900), between(&state, -3.1, 3.1),
                                            between(&state, 0.02, 3.0), between(&state, 30, 200)};
        rows[0].rotate = 0;
        struct kw_tube_problems p = {.arena = &a};
        struct kw_tube_table t, again;
        struct kw_tube_line line;
        cr_assert(kw_tube_table_from_rows(&a, rows, n, 55, &t, &p));
        cr_assert(kw_tube_line_from_table(&a, &t, &line, &p));
        cr_assert(kw_tube_table(&a, &line, &again, &p));
        cr_expect_float_eq(again.cut_length, t.cut_length, 1e-8);
        for (int i = 0; i < n; i++) {
            cr_expect_float_eq(again.bends[i].straight, rows[i].straight, 1e-8);
            cr_expect_float_eq(again.bends[i].rotate, rows[i].rotate, 1e-9);
            cr_expect_float_eq(again.bends[i].angle, rows[i].angle, 1e-11);
        }
        kw_arena_free(&a);
    }
}

Test(tube_table, mirrored_tube_turns_the_other_way) {
    struct kw_arena a = {0};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_vec3 v[] = {{0, 0, 0}, {300, 0, 0}, {300, 300, 0}, {300, 400, 300}};
    struct kw_tube_line line;
    struct kw_tube_table right, left;
    kw_tube_line_from_points(&a, v, 4, NULL, 50, &line, &p);
    cr_assert(kw_tube_table(&a, &line, &right, &p));
    for (int i = 0; i < 4; i++)
        v[i].z = -v[i].z;
    kw_tube_line_from_points(&a, v, 4, NULL, 50, &line, &p);
    cr_assert(kw_tube_table(&a, &line, &left, &p));
    cr_expect_float_eq(left.bends[1].rotate, -right.bends[1].rotate, 1e-12);
    cr_expect_gt(right.bends[1].rotate, 0);
    kw_arena_free(&a);
}

Test(tube_table, straight_tube_has_no_bends) {
    struct kw_arena a = {0};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_vec3 v[] = {{10, 0, 0}, {10, 0, 500}};
    struct kw_tube_line line;
    struct kw_tube_table t;
    kw_tube_line_from_points(&a, v, 2, NULL, 50, &line, &p);
    cr_assert(kw_tube_table(&a, &line, &t, &p));
    cr_expect_eq(t.count, 0);
    cr_expect_float_eq(t.cut_length, 500, 1e-12);
    struct kw_box3 box = kw_tube_box(&t, 20);
    cr_expect_float_eq(box.min.x, 0, 1e-12);
    cr_expect_float_eq(box.max.z, 500, 1e-12);
    int n;
    kw_tube_sample(&a, &t, 0.1, &n);
    cr_expect_eq(n, 2);
    kw_arena_free(&a);
}

Test(tube_table, overlapping_bends_are_named_at_their_straight) {
    struct kw_arena a = {0};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_vec3 v[] = {{0, 0, 0}, {300, 0, 0}, {300, 90, 0}, {0, 90, 0}};
    struct kw_tube_line line;
    struct kw_tube_table t;
    kw_tube_line_from_points(&a, v, 4, NULL, 50, &line, &p);
    cr_expect_not(kw_tube_table(&a, &line, &t, &p));
    cr_assert_eq(p.count, 1);
    cr_expect_eq(p.v[0].kind, KW_TUBE_RADIUS_DOES_NOT_FIT);
    cr_expect_eq(p.v[0].straight, 1);
    cr_expect_float_eq(p.v[0].measured, 90, 1e-9);
    cr_expect_float_eq(p.v[0].limit, 100, 1e-9);
    kw_arena_free(&a);
}

Test(tube_table, bends_that_just_touch_fit) {
    struct kw_arena a = {0};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_vec3 v[] = {{0, 0, 0}, {300, 0, 0}, {300, 100, 0}, {0, 100, 0}};
    struct kw_tube_line line;
    struct kw_tube_table t;
    kw_tube_line_from_points(&a, v, 4, NULL, 50, &line, &p);
    cr_expect(kw_tube_table(&a, &line, &t, &p));
    cr_expect_float_eq(t.bends[1].straight, 0, 0);
    kw_arena_free(&a);
}

Test(tube_table, rows_out_of_range_are_named) {
    static const struct kw_tube_bend bad[] = {
        {-1, 0, 1, 50}, {1, (double)NAN, 1, 50}, {1, 0, 0, 50}, {1, 0, 3.2, 50}, {1, 0, 1, 0}};
    struct kw_arena a = {0};
    struct kw_tube_table t;
    for (int i = 0; i < 5; i++) {
        struct kw_tube_problems p = {.arena = &a};
        cr_expect_not(kw_tube_table_from_rows(&a, &bad[i], 1, 10, &t, &p), "%d", i);
        cr_expect_eq(p.count, 1);
    }
    struct kw_tube_problems p = {.arena = &a};
    cr_expect_not(kw_tube_table_from_rows(&a, bad, 0, (double)NAN, &t, &p));
    kw_arena_free(&a);
}

Test(tube_draw, u_in_one_bend_has_a_box_but_no_corner) {
    struct kw_arena a = {0};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_tube_bend u = {100, 0, KW_PI, 50};
    struct kw_tube_table t;
    struct kw_tube_line line;
    cr_assert(kw_tube_table_from_rows(&a, &u, 1, 100, &t, &p));
    struct kw_box3 box = kw_tube_box(&t, 20);
    cr_expect_float_eq(box.max.x, 160, 1e-9);
    cr_expect_float_eq(box.max.y, 110, 1e-9);
    cr_expect_float_eq(box.min.x, 0, 1e-9);
    struct kw_vec3 from, to;
    kw_tube_straight_ends(&t, 1, &from, &to);
    cr_expect_float_eq(from.y, 100, 1e-9);
    cr_expect_float_eq(to.x, 0, 1e-9);
    cr_expect_not(kw_tube_line_from_table(&a, &t, &line, &p));
    cr_expect_eq(p.v[0].kind, KW_TUBE_DOUBLES_BACK);
    kw_arena_free(&a);
}

Test(tube_table, another_neutral_line_changes_the_stick_and_not_the_shape) {
    struct kw_arena a = {0};
    const struct kw_tube_bend rows[] = {{100, 0, 1.0, 50}, {80, 0.5, 2.0, 60}};
    const double taken[] = {49, 117};
    struct kw_tube_table t, other;
    cr_assert(kw_tube_table_from_rows(&a, rows, 2, 30, &t, NULL));
    cr_expect_float_eq(t.cut_length, 210 + 50 + 120, 1e-12);
    cr_expect_float_eq(kw_tube_taken(&t, 1), 120, 1e-12);
    kw_tube_take(&t, taken);
    cr_expect_float_eq(t.cut_length, 210 + 49 + 117, 1e-12);
    kw_tube_other_end(&a, &t, &other);
    cr_expect_float_eq(kw_tube_taken(&other, 0), 117, 0);
    cr_expect_float_eq(other.cut_length, t.cut_length, 0);
    struct kw_tube_bender bender = {0};
    struct kw_tube_mark *m =
        kw_tube_marks(&a, &t, (struct kw_tube_size){20, 2}, &bender, (struct kw_tube_trims){5, 0});
    cr_expect_float_eq(m[0].end, 5 + 100 + 49, 1e-12);
    cr_expect_float_eq(m[1].start, 5 + 100 + 49 + 80, 1e-12);
    kw_arena_free(&a);
}
