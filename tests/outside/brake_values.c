// SPDX-License-Identifier: Apache-2.0
// Press-brake figures against handbooks and charts. Each value's source stands beside it.
#include "brake/brake.h"

#include <criterion/criterion.h>

#define DEG (KW_PI / 180)

Test(brake_values, force_is_groovers) {
    // Groover, Fundamentals of Modern Manufacturing, example 20.2: TS 450, w 44.5, t 3.2, D 25.
    cr_expect_float_eq(kw_brake_force(450, 44.5, 3.2, 25), 10909.0, 0.5);
    // Groover, problem: TS 600, w 35, t 5, D 40.
    cr_expect_float_eq(kw_brake_force(600, 35, 5, 40), 17456.0, 0.5);
    // Groover, problem: TS 70 000 psi, w 1.5 in, t 5/32 in, D 1.25 in: 2728 lbf.
    double n = kw_brake_force(70 * KW_MPA_PER_KSI, 1.5 * 25.4, 25.4 * 5 / 32, 1.25 * 25.4);
    cr_expect_float_eq(n / KW_N_PER_LBF, 2727.5, 0.5);
    // A published calculation: 1.33 * 3 in * 50 000 psi * 1.5^2 in2 / 12 in = 37 406 lbf.
    n = kw_brake_force(50 * KW_MPA_PER_KSI, 3 * 25.4, 1.5 * 25.4, 12 * 25.4);
    cr_expect_float_eq(n / KW_N_PER_LBF, 37406.0, 1.0);
}

Test(brake_values, force_is_within_a_fifth_of_the_air_bend_chart) {
    // Air-bend force chart for mild steel, short tons a foot (scribd 414866806), 60 ksi. The
    // furthest row, 1/4 in on 1.25 in, is 20.2 % over the formula.
    static const struct {
        double thick, opening, tons;
    } rows[] = {{.25, 1.25, 30},  {.25, 1.5, 20},  {.25, 2, 14},    {.25, 2.5, 10.5},
                {.25, 3, 8.5},    {.135, .75, 12}, {.135, 1, 9},    {.135, 1.25, 6.2},
                {.135, 1.5, 4.7}, {.135, 2, 3.5},  {.06, .25, 7.8}, {.06, .313, 5},
                {.06, .375, 4.2}, {.06, .5, 3.5},  {.06, .625, 2.7}};
    double worst = 0;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double n = kw_brake_force(60 * KW_MPA_PER_KSI, 12 * 25.4, rows[i].thick * 25.4,
                                  rows[i].opening * 25.4);
        double off = fabs(n / KW_N_PER_SHORT_TON / rows[i].tons - 1);
        worst = fmax(worst, off);
        cr_expect(off <= 0.205, "t %.3f V %.3f: %.2f tons, chart %.2f", rows[i].thick,
                  rows[i].opening, n / KW_N_PER_SHORT_TON, rows[i].tons);
    }
    cr_expect(worst > 0.01); // the chart is measured, not this formula
}

Test(brake_values, springback_is_gardiners) {
    static const struct {
        double t, r, yield, modulus, sprung, turned;
    } rows[] = {// Kalpakjian & Schmid, example: 20 ga steel, inch and ksi.
                {.0359, .5, 40, 29000, .5306, 95.31},
                // A set variant: t .0265 in, Y 300 MPa = 43.511 ksi.
                {.0265, .5, 43.5113, 29000, .5464, 98.13},
                // Computed from the formula with a second program (check-values, 3.4): mm, MPa.
                {3, 3, 250, 200000, 3.0113, 90.226},
                {3, 6, 250, 200000, 6.0453, 90.544},
                {3, 12, 345, 200000, 12.2536, 91.691}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double sprung = 0;
        double a = kw_brake_angle_under_load(90 * DEG, rows[i].r, rows[i].t, rows[i].yield,
                                             rows[i].modulus, &sprung);
        cr_expect_float_eq(sprung, rows[i].sprung, 0.00006);
        cr_expect_float_eq(a / DEG, rows[i].turned, 0.006);
    }
}

Test(brake_values, penetration_of_sharp_dies) {
    // Geometry of the air bend (check-values, 3.5): V, R, T, A, depth; angle under load.
    static const double rows[][5] = {{25, 4, 3, 60, 6.134},
                                     {25, 4, 3, 90, 9.6005},
                                     {25, 4, 3, 120, 14.651},
                                     {16, 2.5, 2, 90, 6.136},
                                     {1, .156, .125, 90, .3836}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct kw_brake_die die = {.opening = rows[i][0], .angle = 60 * DEG};
        cr_expect_float_eq(kw_brake_depth(rows[i][3] * DEG, rows[i][1], rows[i][2], &die),
                           rows[i][4], 0.0006);
    }
    struct kw_brake_die die = {.opening = 25, .angle = 88 * DEG};
    cr_expect_float_eq(kw_brake_depth(0, 4, 3, &die), 0.0, 1e-12);
    cr_expect_float_eq(kw_brake_depth(90 * DEG, 0, 0, &die), 12.5, 1e-9);
}

/// Bisection on the tangency itself: a sheet of thickness t with inside radius r, legs at A/2, its
/// bottom line touching a circle of radius rd about (x, -rd). Returns how deep the apex is.
static double touched_depth(double angle, double r, double t, double rd, double x) {
    double low = -100, high = 100;
    for (int i = 0; i < 200; i++) {
        double depth = (low + high) / 2, cy = r + t - depth; // nose centre
        // Leg's bottom: through the outer tangent point, direction (cos, sin)(A/2).
        double c = cos(angle / 2), s = sin(angle / 2), px = (r + t) * s, py = cy - (r + t) * c;
        double above = -s * (x - px) + c * (-rd - py); // of the circle's centre over the leg
        if (above > -rd)
            high = depth; // the leg has sunk into the shoulder
        else
            low = depth;
    }
    return (low + high) / 2;
}

Test(brake_values, penetration_touches_round_shoulders) {
    struct kw_brake_die die = {.opening = 25, .angle = 86 * DEG, .shoulder_radius = 2};
    // Centre of the shoulder's rounding, built from top face and flank: 2 mm from both.
    double half = 43 * DEG, x = 12.5;
    for (int i = 0; i < 100; i++) // walk out until the flank is 2 mm away
        x += 2 - ((x - 12.5) * cos(half) + 2 * sin(half));
    for (double a = 10; a <= 125; a += 11.5)
        cr_expect_float_eq(kw_brake_depth(a * DEG, 4, 3, &die), touched_depth(a * DEG, 4, 3, 2, x),
                           1e-6);
}

Test(brake_values, natural_radius_and_least_leg_follow_the_chart) {
    // The same chart: V, shortest flange b, inside radius ir, inches. b of 4 in is a misprint.
    static const double rows[][3] = {{.25, .188, .031}, {.5, .344, .078},   {.75, .563, .141},
                                     {1, .688, .156},   {1.25, .875, .203}, {1.5, 1.125, .25},
                                     {2, 1.375, .313},  {2.5, 1.75, .406},  {3, 2.188, .516},
                                     {5, 3.5, .75},     {8, 5.5, 1.313},    {10, 6.875, 1.625}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double v = rows[i][0], leg = rows[i][1], stop = kw_brake_least_leg(90 * DEG, v, KW_STOP);
        double risk = kw_brake_least_leg(90 * DEG, v, KW_RISK);
        cr_expect(leg >= stop - 1e-9 && leg <= risk + 0.005, "V %.2f", v); // charts round to 1/32
        if (v >= 0.5) cr_expect(fabs(0.16 * v / rows[i][2] - 1) < 0.16, "V %.2f", v);
    }
}

Test(brake_values, opening_wanted_follows_the_charts) {
    // Chart: up to .105 in 6 t; .120 to .313 in 8 t; .375 to .5 in 10 t (scribd 414866806); metric:
    // 0.5-2.5 mm 6 t, 3-8 mm 8 t, 9-10 mm 10 t, over 12 mm 12 t.
    cr_expect_float_eq(kw_brake_wanted_opening(.105 * 25.4), 6 * .105 * 25.4, 1e-9);
    cr_expect_float_eq(kw_brake_wanted_opening(.120 * 25.4), 8 * .120 * 25.4, 1e-9);
    cr_expect_float_eq(kw_brake_wanted_opening(.313 * 25.4), 8 * .313 * 25.4, 1e-9);
    cr_expect_float_eq(kw_brake_wanted_opening(10), 100.0, 1e-9);
    cr_expect_float_eq(kw_brake_wanted_opening(15), 180.0, 1e-9);
}
