// SPDX-License-Identifier: Apache-2.0
// Copes and mitres against closed forms. Curves of any case: tests/outside/cope_numpy.py.
#include "geom/geom.h"
#include "tube/tube.h"

#include <criterion/criterion.h>

#define DEG (KW_PI / 180)

Test(tube_cope, equal_tubes_at_a_right_angle_meet_in_two_ellipses) {
    // x^2 + y^2 = r^2 = x^2 + z^2: |z| = |y|, planes at 45 degrees (two crossed cylinders of one
    // diameter, Archimedes).
    struct kw_tube_cope c = {50, KW_PI / 2, 0};
    for (int i = 0; i < 360; i++) {
        double q = i * DEG;
        cr_expect_float_eq(kw_tube_cope_at(&c, 25, q), -25 * fabs(sin(q)), 1e-9);
    }
}

Test(tube_cope, thin_tube_on_a_wide_one_is_cut_almost_square) {
    struct kw_tube_cope c = {1000, KW_PI / 2, 0};
    // 500 - sqrt(500^2 - 10^2) = 0.10001 mm deep
    double top = kw_tube_cope_at(&c, 10, 90 * DEG), side = kw_tube_cope_at(&c, 10, 0);
    cr_expect_float_eq(top, -500, 1e-9);
    cr_expect_float_eq(side - top, 500 - sqrt(500.0 * 500 - 100), 1e-9);
}

Test(tube_cope, equal_tubes_at_any_angle_meet_in_planes_that_halve_it) {
    // Equal diameters: the curve is two ellipses in the planes that halve the angles between the
    // axes: z = y cot(A/2) - ... with |z sin A - y cos A| = |y|.
    for (double a = 20; a <= 90; a += 5) {
        struct kw_tube_cope c = {40, a * DEG, 0};
        for (int i = 0; i < 360; i += 7) {
            double y = 20 * sin(i * DEG), z = kw_tube_cope_at(&c, 20, i * DEG);
            double plane = y > 0 ? -y * tan(a * DEG / 2) : y / tan(a * DEG / 2);
            cr_expect_float_eq(z, plane, 1e-9, "%g degrees at %d: %f", a, i, z);
        }
    }
}

Test(tube_cope, offset_mirrors_round_the_first_line) {
    struct kw_tube_cope plus = {90, 70 * DEG, 12}, minus = {90, 70 * DEG, -12};
    for (int i = 0; i < 360; i += 5)
        cr_expect_float_eq(kw_tube_cope_at(&plus, 25, i * DEG),
                           kw_tube_cope_at(&minus, 25, KW_PI - i * DEG), 1e-9);
}

Test(tube_cope, miter_of_45_is_as_deep_as_the_tube_is_wide_and_the_tip_is_found) {
    struct kw_tube_end e = {.miter = 45 * DEG, .turn = 33 * DEG};
    cr_expect_float_eq(kw_tube_end_at(&e, 20, 123 * DEG), 20, 1e-9);
    cr_expect_float_eq(kw_tube_end_at(&e, 20, -57 * DEG), -20, 1e-9);
    cr_expect_float_eq(kw_tube_end_tip(&e, 20), 20, 1e-9);
    struct kw_tube_end saddle = {.cope = {50, KW_PI / 2, 0}, .turn = 1};
    cr_expect_float_eq(kw_tube_end_tip(&saddle, 25), 0, 1e-6);
}

Test(tube_cope, too_flat_and_too_wide_are_told_with_their_figures) {
    struct kw_arena a = {0};
    struct kw_tube_problems p = {.arena = &a};
    struct kw_tube_size size = {40, 2};
    cr_expect(kw_tube_cope_check(&(struct kw_tube_cope){40, KW_PI / 2, 0}, size, &p));
    cr_expect_eq(p.count, 0);
    cr_expect_not(kw_tube_cope_check(&(struct kw_tube_cope){60, 14 * DEG, 0}, size, &p));
    cr_expect_not(kw_tube_cope_check(&(struct kw_tube_cope){60, 60 * DEG, -11}, size, &p));
    cr_assert_eq(p.count, 2);
    cr_expect_eq(p.v[0].kind, KW_TUBE_COPE_TOO_FLAT);
    cr_expect_eq(p.v[1].kind, KW_TUBE_COPE_MISSES);
    cr_expect_float_eq(p.v[1].measured, 31, 1e-12);
    cr_expect_float_eq(p.v[1].limit, 30, 1e-12);
    kw_arena_free(&a);
}
