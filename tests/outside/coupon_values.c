// SPDX-License-Identifier: Apache-2.0
// Least squares and Student's t against published values.
#include "coupon/fit.h"

#include <criterion/criterion.h>
#include <math.h>

// NIST Statistical Reference Datasets, linear regression, "Norris": ozone monitors, observed
// against true. Data and certified values from memory; numpy's lstsq gives the certified values
// from this data to all its digits, which one wrong digit in it would prevent.
static const double norris[36][2] = {
    {0.1, 0.2},     {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1},    {228.1, 226.5},
    {668.5, 666.3}, {998.5, 996.3}, {449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4},
    {0.1, 0.6},     {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0}, {448.9, 447.5}, {10.8, 11.6},
    {557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3},
    {0.6, 0.3},     {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2}, {998.5, 999.0}, {778.9, 779.0},
    {10.2, 11.1},   {117.6, 118.3}, {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5}};

Test(coupon_values, norris_has_the_certified_line_and_errors) {
    double x[36], y[36];
    for (int i = 0; i < 36; i++) {
        y[i] = norris[i][0];
        x[i] = norris[i][1];
    }
    struct kw_line_fit f = kw_fit_line(x, y, 36, 2);
    cr_expect_float_eq(f.slope, 1.00211681802045, 1e-13);
    cr_expect_float_eq(f.offset, -0.262323073774029, 1e-12);
    cr_expect_float_eq(f.deviation, 0.884796396144373, 1e-12);
    cr_expect_float_eq(kw_fit_slope_error(&f), 0.429796848199937e-3, 1e-15);
    cr_expect_float_eq(kw_fit_offset_error(&f), 0.232818234301152, 1e-12);
}

// The same collection's "NoInt1": a line through the origin. From memory; the slope is 23125/11146
// whatever the memory says.
Test(coupon_values, a_line_through_the_origin_has_the_certified_slope) {
    double x[11], y[11], xy = 0, xx = 0;
    for (int i = 0; i < 11; i++) {
        x[i] = 60 + i;
        y[i] = 130 + i;
        xy += x[i] * y[i];
        xx += x[i] * x[i];
    }
    struct kw_line_fit f = kw_fit_line(x, y, 11, 1);
    cr_expect_float_eq(f.slope, xy / xx, 1e-14);
    cr_expect_float_eq(f.slope, 2.07438016528926, 1e-13);
    cr_expect_float_eq(f.deviation, 3.56753034006338, 1e-12);
    cr_expect_float_eq(kw_fit_slope_error(&f), 0.165289256198347e-1, 1e-14);
    cr_expect_eq(f.offset, 0);
}

// Two-sided 5 % and 1 % points as handbooks print them (Abramowitz and Stegun, table 26.10; from
// memory).
Test(coupon_values, students_t_is_the_handbooks) {
    static const struct {
        int freedom;
        double five, one;
    } rows[] = {{1, 12.706, 63.657}, {2, 4.303, 9.925},  {3, 3.182, 5.841},  {4, 2.776, 4.604},
                {5, 2.571, 4.032},   {6, 2.447, 3.707},  {7, 2.365, 3.499},  {8, 2.306, 3.355},
                {9, 2.262, 3.250},   {10, 2.228, 3.169}, {15, 2.131, 2.947}, {20, 2.086, 2.845},
                {30, 2.042, 2.750},  {60, 2.000, 2.660}, {120, 1.980, 2.617}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        cr_expect_float_eq(kw_student_t(0.05, rows[i].freedom), rows[i].five, 6e-4, "%d",
                           rows[i].freedom);
        cr_expect_float_eq(kw_student_t(0.01, rows[i].freedom), rows[i].one, 6e-4, "%d",
                           rows[i].freedom);
    }
    // closed forms: 1 degree is tan, 2 degrees c sqrt(2 / (1 - c^2)) for confidence c
    cr_expect_float_eq(kw_student_t(0.05, 1), tan(0.95 * acos(-1) / 2), 1e-9);
    cr_expect_float_eq(kw_student_t(0.05, 2), 0.95 * sqrt(2 / (1 - 0.95 * 0.95)), 1e-12);
}
