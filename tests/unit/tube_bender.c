// SPDX-License-Identifier: Apache-2.0
// A table against a bender, marks along the stick, springback.
#include "geom/geom.h"
#include "tube/tube.h"

#include <criterion/criterion.h>

static const double rad = KW_PI / 180;

static const struct kw_tube_die dies[] = {
    {25.4, 76.2, 100 * KW_PI / 180, 60, 80, 1.02, 0},
    {25.4, 76.2, 180 * KW_PI / 180, 60, 80, 1.02, 0},
    {25.4, 101.6, 0, 60, 80, 1.02, 0},
    {38.1, 152.4, 0, 90, 120, 1.02, 0},
};
static const struct kw_tube_bender bender = {dies, 4, 3.2, false, 0, NULL, 0};
static const struct kw_tube_size tube = {25.4, 1.65};

static struct kw_tube_problems check(struct kw_arena *a, const struct kw_tube_bend *rows, int n,
                                     double last, struct kw_tube_size size) {
    struct kw_tube_problems p = {.arena = a};
    struct kw_tube_table t;
    cr_assert(kw_tube_table_from_rows(a, rows, n, last, &t, &p));
    kw_tube_check(&t, size, &bender, (struct kw_tube_trims){0}, &p);
    return p;
}

static void expect_one(struct kw_tube_problems p, enum kw_tube_problem_kind kind, double measured,
                       double limit) {
    cr_assert_eq(p.count, 1, "%d problems, the first %s", p.count,
                 p.count ? kw_tube_problem_name(p.v[0].kind) : "none");
    cr_expect_eq(p.v[0].kind, kind, "%s", kw_tube_problem_name(p.v[0].kind));
    cr_expect_float_eq(p.v[0].measured, measured, 1e-9, "%f", p.v[0].measured);
    cr_expect_float_eq(p.v[0].limit, limit, 1e-9, "%f", p.v[0].limit);
}

Test(tube_bender, good_tube_has_no_problem) {
    struct kw_arena a = {0};
    struct kw_tube_bend rows[] = {{60, 0, 90 * rad, 76.2}, {60, 0, 45 * rad, 76.2}};
    cr_expect_eq(check(&a, rows, 2, 80, tube).count, 0);
    kw_arena_free(&a);
}

Test(tube_bender, each_limit_is_found_with_its_figures_and_not_before_it) {
    struct kw_arena a = {0};
    struct kw_tube_bend good = {60, 0, 90 * rad, 76.2}, b;
    b = good;
    b.radius = 90;
    expect_one(check(&a, &b, 1, 80, tube), KW_TUBE_RADIUS_NO_DIE, 90, 101.6);
    b = good;
    b.straight = 59.9;
    expect_one(check(&a, &b, 1, 80, tube), KW_TUBE_STRAIGHT_TOO_SHORT, 59.9, 60);
    expect_one(check(&a, &good, 1, 79.9, tube), KW_TUBE_STRAIGHT_TOO_SHORT, 79.9, 80);
    struct kw_tube_size thin = tube, thick = tube, odd = {30, 3};
    thin.wall = 25.4 / 16.5;
    expect_one(check(&a, &good, 1, 80, thin), KW_TUBE_WALL_FACTOR, 16.5, 16);
    thin.wall = 25.4 / 19.5;
    b = good;
    b.radius = 101.6;
    cr_expect_eq(check(&a, &b, 1, 80, thin).count, 0);
    thick.wall = 3.3;
    expect_one(check(&a, &good, 1, 80, thick), KW_TUBE_WALL_BEYOND, 3.3, 3.2);
    b = good;
    b.radius = 95;
    expect_one(check(&a, &b, 1, 80, odd), KW_TUBE_OD_NO_DIE, 30, 25.4);
    thick.wall = 12.7;
    expect_one(check(&a, &good, 1, 80, thick), KW_TUBE_WALL_THICKER_THAN_HALF, 12.7, 12.7);
    thick.wall = (double)NAN;
    cr_expect_eq(check(&a, &good, 1, 80, thick).v[0].kind, KW_TUBE_OUT_OF_RANGE);
    kw_arena_free(&a);
}

Test(tube_bender, die_that_reaches_the_angle_is_taken) {
    cr_expect_eq(kw_tube_die_for(&bender, 25.4, 76.2, 90 * rad), 0);
    cr_expect_eq(kw_tube_die_for(&bender, 25.4, 76.2, 120 * rad), 1);
    cr_expect_eq(kw_tube_die_for(&bender, 25.4, 76.25, 90 * rad), 0);
    cr_expect_eq(kw_tube_die_for(&bender, 25.4, 76.4, 90 * rad), -1);
    struct kw_arena a = {0};
    struct kw_tube_bender few = {dies, 1, 0, true, 0, NULL, 0};
    struct kw_tube_bend row = {100, 0, 120 * rad, 76.2};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_tube_table t;
    kw_tube_table_from_rows(&a, &row, 1, 100, &t, &p);
    kw_tube_check(&t, tube, &few, (struct kw_tube_trims){0}, &p);
    expect_one(p, KW_TUBE_ANGLE_BEYOND_DIE, 120 * rad, 100 * rad);
    // The middle of the arc: 60 degrees round from (100, 0, 0).
    cr_expect_float_eq(p.v[0].at.x, 100 + 76.2 * sin(60 * rad), 1e-9);
    cr_expect_float_eq(p.v[0].at.y, 76.2 * 0.5, 1e-9);
    kw_arena_free(&a);
}

Test(tube_bender, tight_radius_short_straight_and_turning_are_all_found_in_order) {
    struct kw_arena a = {0};
    struct kw_tube_bend rows[] = {{100, 0, 1, 76.2}, {30, 1, 1, 60}};
    struct kw_tube_problems p = check(&a, rows, 2, 200, tube);
    // No die for radius 60, so no clamp length is known for straight 1.
    static const enum kw_tube_problem_kind want[] = {KW_TUBE_RADIUS_NO_DIE, KW_TUBE_UNDER_THREE_D,
                                                     KW_TUBE_TURNED_BY_HAND};
    cr_assert_eq(p.count, 3);
    for (int i = 0; i < 3; i++) {
        cr_expect_eq(p.v[i].kind, want[i]);
        cr_expect_eq(p.v[i].bend, 1);
    }
    rows[1].radius = 76.2;
    p = check(&a, rows, 2, 200, tube);
    cr_assert_eq(p.count, 2);
    cr_expect_eq(p.v[0].kind, KW_TUBE_STRAIGHT_TOO_SHORT);
    cr_expect_eq(p.v[0].straight, 1);
    rows[1].radius = 12;
    p = check(&a, rows, 2, 200, tube);
    cr_expect_eq(p.v[1].kind, KW_TUBE_RADIUS_DOES_NOT_FIT);
    kw_arena_free(&a);
}

Test(tube_bender, trims_mend_short_ends_and_shift_the_marks) {
    struct kw_arena a = {0};
    struct kw_tube_bend rows[] = {{20, 0, 90 * rad, 76.2},
                                  {150, -90 * rad, 90 * rad, 76.2},
                                  {150, -90 * rad, 45 * rad, 76.2}};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_tube_bender turns = bender;
    turns.rotates_by_itself = true;
    struct kw_tube_table t;
    kw_tube_table_from_rows(&a, rows, 3, 30, &t, &p);
    kw_tube_check(&t, tube, &turns, (struct kw_tube_trims){0}, &p);
    cr_expect_eq(p.count, 2);
    struct kw_tube_trims trims = kw_tube_trims_needed(&t, tube, &turns);
    cr_expect_float_eq(trims.start, 40, 1e-9);
    cr_expect_float_eq(trims.end, 50, 1e-9);
    p.count = 0, p.v = NULL;
    kw_tube_check(&t, tube, &turns, trims, &p);
    cr_expect_eq(p.count, 0);
    struct kw_tube_mark *m = kw_tube_marks(&a, &t, tube, &turns, trims);
    double arc = 76.2 * KW_PI / 2;
    cr_expect_float_eq(m[0].start, 60, 1e-9);
    cr_expect_float_eq(m[1].start, 60 + arc + 150, 1e-9);
    cr_expect_float_eq(m[2].end, 60 + 2.5 * arc + 300, 1e-9);
    cr_expect_float_eq(m[2].end + t.last + trims.end, t.cut_length + 90, 1e-9);
    cr_expect_float_eq(m[1].index, 270 * rad, 1e-9);
    cr_expect_float_eq(m[2].index, 180 * rad, 1e-9);
    cr_expect_float_eq(m[2].angle_under_load, 45.9 * rad, 1e-9);
    cr_expect_eq(m[1].die, 0);
    kw_arena_free(&a);
}

Test(tube_bender, springback_is_that_of_a_plastic_hinge) {
    // A solid bar (wall just under half): M = yield D^3/6, I = pi D^4/64, so
    // R M/(E I) = 64 R yield/(6 pi E D).
    struct kw_tube_size bar = {20, 9.99999};
    double loss = 64 * 100 * 250 / (6 * KW_PI * 200000 * 20);
    cr_expect_float_eq(kw_tube_springback(bar, 100, 250, 200000), 1 / (1 - loss), 1e-9);
    cr_expect_float_eq(kw_tube_springback(tube, 76.2, 0, 200000), 1, 0);
    cr_expect_float_eq(kw_tube_springback(tube, 50000, 400, 200000), 0, 0);
    double soft = kw_tube_springback(tube, 76.2, 250, 200000);
    double hard = kw_tube_springback(tube, 76.2, 500, 200000);
    cr_expect(1 < soft && soft < hard && hard < 1.05, "%f %f", soft, hard);
}

Test(tube_draw, samples_keep_to_their_tolerance) {
    struct kw_arena a = {0};
    struct kw_tube_bend rows[] = {{0, 0, 2, 80}, {0, 1, 1, 40}};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_tube_table t;
    kw_tube_table_from_rows(&a, rows, 2, 0, &t, &p);
    for (double tolerance = 0.001; tolerance < 200; tolerance *= 10) {
        int n;
        struct kw_vec3 *v = kw_tube_sample(&a, &t, tolerance, &n);
        // The first arc has its centre at (0, 80, 0): its chords' middles are inside by the
        // sagitta.
        for (int i = 1; i < n && fabs(v[i].z) < 1e-12; i++) {
            struct kw_vec3 mid = kw_scale3(kw_add3(v[i - 1], v[i]), 0.5);
            double sagitta = 80 - hypot(mid.x, mid.y - 80);
            cr_expect_leq(sagitta, tolerance * (1 + 1e-9));
        }
        cr_expect_geq(n, 3);
    }
    kw_arena_free(&a);
}

static struct kw_tube_seam seam_of(const double *rotate, int count) {
    struct kw_arena a = {0};
    struct kw_tube_bend rows[8];
    struct kw_tube_table table;
    for (int i = 0; i < count; i++)
        rows[i] = (struct kw_tube_bend){
            .straight = 300, .rotate = rotate[i] * KW_PI / 180, .angle = 1, .radius = 100};
    cr_assert(kw_tube_table_from_rows(&a, rows, count, 300, &table, NULL));
    struct kw_tube_seam seam = kw_tube_seam(&table);
    kw_arena_free(&a);
    return seam;
}

// Geometry: with planes spread evenly over the half turn, the seam can keep no more than half of
// the angle between two of them from either.
Test(tube_bender, the_seam_lies_to_the_side_as_far_as_it_can) {
    static const struct {
        double rotate[4];
        int count;
        double from_first, off;
    } t[] = {{{0}, 1, 90, 0},          {{0, 180, -180}, 3, 90, 0},       {{0, 90}, 2, 45, 45},
             {{0, 60, 60}, 3, 30, 60}, {{0, 45, 45, 45}, 4, 22.5, 67.5}, {{0, 30}, 2, 105, 15},
             {{0, -30}, 2, 75, 15}};
    for (size_t i = 0; i < sizeof t / sizeof *t; i++) {
        struct kw_tube_seam s = seam_of(t[i].rotate, t[i].count);
        cr_expect_float_eq(s.from_first * 180 / KW_PI, t[i].from_first, 1e-6, "row %zu: %f", i,
                           s.from_first * 180 / KW_PI);
        cr_expect_float_eq(s.off * 180 / KW_PI, t[i].off, 1e-6, "row %zu", i);
    }
}
