// SPDX-License-Identifier: Apache-2.0
// Bend tables and walls against values worked out outside this program.
// Source: reference/check-values.md, section 4 (its formulas and printed digits) and 4.2 (points to
// length, rotation, angle; the last row's points are from a published question).
#include "geom/geom.h"
#include "tube/tube.h"

#include <criterion/criterion.h>

enum { MOST = 6 };

struct row {
    const char *name;
    double radius;
    int points;
    struct kw_vec3 v[MOST];
    double straights[MOST], rotate_deg[MOST], angle_deg[MOST];
    double cut;
    double digits; ///< half of the last digit printed, for the lengths
};

static const struct row rows[] = {
    {"3-D corner",
     2,
     4,
     {{0, 0, 0}, {10, 0, 0}, {10, 10, 0}, {10, 10, 10}},
     {8, 6, 8},
     {0, 90},
     {90, 90},
     28.2832,
     5e-5},
    {"S offset",
     2,
     4,
     {{0, 0, 0}, {10, 0, 0}, {10, 10, 0}, {20, 10, 0}},
     {8, 6, 8},
     {0, 180},
     {90, 90},
     28.2832,
     5e-5},
    {"U",
     2,
     4,
     {{0, 0, 0}, {10, 0, 0}, {10, 10, 0}, {0, 10, 0}},
     {8, 6, 8},
     {0, 0},
     {90, 90},
     28.2832,
     5e-5},
    {"45 then up",
     3,
     4,
     {{0, 0, 0}, {10, 0, 0}, {20, 10, 0}, {20, 10, 10}},
     {8.7574, 9.8995, 7},
     {0, 90},
     {45, 90},
     32.7254,
     5e-5},
    {"hoop",
     152.4,
     4,
     {{0, 0, 0}, {0, 0, 900}, {1100, 0, 900}, {1100, 0, 0}},
     {747.6, 795.2, 747.6},
     {0, 0},
     {90, 90},
     2769.1787,
     5e-5},
    {"4 bends",
     75,
     6,
     {{0, 0, 0}, {0, 0, 300}, {200, 0, 500}, {200, 400, 500}, {500, 400, 500}, {500, 400, 0}},
     {268.934, 176.7767, 250, 150, 425},
     {0, 90, -135, 90},
     {45, 90, 90, 90},
     1683.0447,
     5e-5},
    {"published points",
     1,
     4,
     {{38.5202, -14.0264, 0},
      {45.3142, -14.0264, 0},
      {45.3142, -17.5214, .9654},
      {48.6822, -17.5214, .9654}},
     {5.794, 1.6259, 2.368},
     {0, 180},
     {90, 90},
     12.9295,
     5e-5},
};

static double deg(double radians) {
    return radians * 180 / KW_PI;
}

/// The length printed for "4 bends" has three decimals, the others four or are exact.
static double printed(const struct row *r, int straight) {
    return r->points == 6 && straight == 0 ? 5e-4 : r->digits;
}

static void expect_row(const struct row *r, const struct kw_tube_table *t) {
    cr_assert_eq(t->count, r->points - 2, "%s", r->name);
    for (int i = 0; i < t->count; i++) {
        const struct kw_tube_bend *b = &t->bends[i];
        cr_expect_float_eq(b->straight, r->straights[i], printed(r, i), "%s straight %d: %.6f",
                           r->name, i, b->straight);
        cr_expect_float_eq(deg(b->rotate), r->rotate_deg[i], 1e-9, "%s rotate %d: %.9f", r->name, i,
                           deg(b->rotate));
        cr_expect_float_eq(deg(b->angle), r->angle_deg[i], 1e-9, "%s angle %d", r->name, i);
    }
    cr_expect_float_eq(t->last, r->straights[t->count], r->digits, "%s last: %.6f", r->name,
                       t->last);
    cr_expect_float_eq(t->cut_length, r->cut, r->digits, "%s cut: %.6f", r->name, t->cut_length);
}

Test(tube_outside, points_give_the_published_lengths_rotations_and_angles) {
    struct kw_arena a = {0};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct kw_tube_problems p = {.arena = &a};
        struct kw_tube_line line;
        struct kw_tube_table t;
        cr_assert(kw_tube_line_from_points(&a, rows[i].v, rows[i].points, NULL, rows[i].radius,
                                           &line, &p));
        cr_assert(kw_tube_table(&a, &line, &t, &p));
        cr_expect_eq(p.count, 0);
        expect_row(&rows[i], &t);
    }
    kw_arena_free(&a);
}

Test(tube_outside, walls_thin_and_thicken_as_the_volume_says) {
    // Columns: od, wall, centreline radius; thinning %, outer and inner wall, strain % (0: not
    // printed); half of the last digit of the walls.
    static const struct {
        double od, wall, radius, thinning, outer, inner, strain, digit;
    } walls[] = {
        {1.5, .120, 4.5, 14.286, .1029, .1440, 16.667, 5e-5},
        {1.75, .095, 6, 12.727, .08291, .11122, 14.583, 5e-6},
        {25.4, 1.65, 76.2, 14.286, 1.4143, 1.9800, 16.667, 5e-5},
    };
    for (size_t i = 0; i < sizeof walls / sizeof *walls; i++) {
        struct kw_tube_form f =
            kw_tube_form((struct kw_tube_size){walls[i].od, walls[i].wall}, walls[i].radius);
        cr_expect_float_eq(100 * f.thinning, walls[i].thinning, 5e-4);
        cr_expect_float_eq(f.outer_wall, walls[i].outer, walls[i].digit);
        cr_expect_float_eq(f.inner_wall, walls[i].inner, walls[i].digit);
        cr_expect_float_eq(100 * f.strain, walls[i].strain, 5e-4);
    }
    struct kw_tube_form f = kw_tube_form((struct kw_tube_size){1.75, .095}, 6);
    cr_expect_float_eq(f.wall_factor, 18.42, 5e-3);
    cr_expect_float_eq(f.r_over_d, 3.43, 5e-3);
}

Test(tube_outside, wall_factor_limit_is_the_trade_s) {
    // trade.md, Tube without mandrel: 16 at 3 D, 20 at 4 D.
    cr_expect_float_eq(kw_tube_wall_factor_limit(3), 16, 1e-12);
    cr_expect_float_eq(kw_tube_wall_factor_limit(3.25), 17, 1e-12);
    cr_expect_float_eq(kw_tube_wall_factor_limit(4), 20, 1e-12);
    cr_expect_float_eq(kw_tube_wall_factor_limit(2), 16, 1e-12);
    cr_expect_float_eq(kw_tube_wall_factor_limit(6), 20, 1e-12);
}
