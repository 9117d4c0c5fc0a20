// SPDX-License-Identifier: Apache-2.0
// Fits of few points: what is known of them, and which is odd.
#include "coupon/fit.h"

#include <criterion/criterion.h>
#include <math.h>

Test(coupon_fit, one_point_has_a_ratio_and_no_spread) {
    double x[] = {2}, y[] = {3};
    struct kw_line_fit f = kw_fit_line(x, y, 1, 1);
    cr_expect_float_eq(f.slope, 1.5, 1e-15);
    cr_expect_not(kw_fit_has_spread(&f));
    cr_expect(isinf(kw_fit_half_at(&f, 2)));
    cr_expect(isnan(kw_fit_student(&f, x, y, 0)));
    cr_expect_not(kw_fit_odd(&f, x, y, 0, 0));
}

Test(coupon_fit, points_on_a_line_are_never_odd) {
    double x[] = {1, 2, 3, 4, 5}, y[] = {3, 5, 7, 9, 11};
    struct kw_line_fit f = kw_fit_line(x, y, 5, 2);
    cr_expect_float_eq(f.slope, 2, 1e-14);
    cr_expect_float_eq(f.offset, 1, 1e-14);
    for (int i = 0; i < 5; i++)
        cr_expect_not(kw_fit_odd(&f, x, y, i, 1e-9));
}

// The residual without the point is that of a fit without it, over its prediction error.
Test(coupon_fit, the_student_residual_is_that_of_a_fit_without_the_point) {
    double x[] = {1, 2, 3, 4, 5, 6}, y[] = {1.1, 1.9, 3.2, 3.8, 7.0, 6.1};
    for (int terms = 1; terms <= 2; terms++) {
        struct kw_line_fit all = kw_fit_line(x, y, 6, terms);
        for (int i = 0; i < 6; i++) {
            double xs[5], ys[5];
            for (int k = 0, n = 0; k < 6; k++) {
                if (k == i) continue;
                xs[n] = x[k];
                ys[n++] = y[k];
            }
            struct kw_line_fit rest = kw_fit_line(xs, ys, 5, terms);
            double error = hypot(rest.deviation, kw_fit_error_at(&rest, x[i]));
            cr_expect_float_eq(kw_fit_student(&all, x, y, i),
                               (y[i] - kw_fit_at(&rest, x[i])) / error, 1e-10);
        }
    }
}

Test(coupon_fit, the_one_that_stands_out_is_odd_unless_it_is_noise) {
    double x[] = {1, 1, 1, 1, 1, 1, 1}, y[] = {5.01, 4.99, 5.00, 5.02, 4.98, 5.01, 5.5};
    struct kw_line_fit f = kw_fit_line(x, y, 7, 1);
    for (int i = 0; i < 7; i++)
        cr_expect_eq(kw_fit_odd(&f, x, y, i, 0.1), i == 6, "%d", i);
    cr_expect_not(kw_fit_odd(&f, x, y, 6, 0.6), "within what a tape reads");
}
