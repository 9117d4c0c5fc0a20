// SPDX-License-Identifier: Apache-2.0
// Curves against what is known of them in closed form, and arcs against their curve.
#include "geom/geom.h"

#include <criterion/criterion.h>

#define TOLERANCE 0.02

// Largest distance of 1500 points of the curve from the path.
static double farthest(const struct kw_path *p, const struct kw_curve *c, double from, double to) {
    double worst = 0;
    for (int i = 0; i <= 1500; i++) {
        struct kw_vec2 q = c->point(c->user, from + (to - from) * i / 1500);
        worst = fmax(worst, kw_path_distance(p, q));
    }
    return worst;
}

static struct kw_vec2 ellipse_at(const void *e, double t) {
    return kw_ellipse_point(e, t);
}
static struct kw_vec2 spline_at(const void *s, double t) {
    return kw_spline_point(s, t);
}

static double random_in(uint64_t *seed, double lo, double hi) {
    return lo + (hi - lo) * kw_random_unit(seed);
}

// Area and perimeter of an ellipse: pi a b, and Ramanujan's second formula (1914), whose error at
// these ratios is far below the tolerance. Values of the formula from memory.
Test(geom_curve, an_ellipse_as_arcs_keeps_area_and_length_within_the_band) {
    uint64_t seed = 7;
    for (int i = 0; i < 300; i++) {
        struct kw_arena a = {0};
        double ra = random_in(&seed, 1, 500), rb = ra * random_in(&seed, 0.05, 1), turn = i;
        struct kw_vec2 u = kw_v2(ra * cos(turn), ra * sin(turn));
        struct kw_ellipse e = {kw_v2(3, -4), u, kw_scale2(kw_left2(u), rb / ra), 0, 2 * KW_PI};
        struct kw_path p = {0};
        kw_path_add_ellipse(&a, &p, &e, TOLERANCE, 5);
        struct kw_curve c = {&e, ellipse_at};
        cr_expect_leq(farthest(&p, &c, 0, 2 * KW_PI), TOLERANCE, "%g x %g", ra, rb);
        for (int k = 0; k + 1 < p.count; k++)
            cr_expect(p.v[k].tag == 5 && fabs(p.v[k].bulge) <= 1);
        p.count--;
        p.open = false;
        double h = (ra - rb) * (ra - rb) / ((ra + rb) * (ra + rb));
        double length = KW_PI * (ra + rb) * (1 + 3 * h / (10 + sqrt(4 - 3 * h)));
        cr_expect_float_eq(kw_path_length(&p), length, 2 * KW_PI * TOLERANCE + 1e-3 * rb);
        cr_expect_float_eq(kw_path_area(&p), KW_PI * ra * rb, TOLERANCE * length);
        cr_expect_eq(kw_path_check(&p, (struct kw_place){0}, NULL), KW_OK);
        cr_expect_leq(p.count, 8 + 12 * (int)ceil(cbrt(ra / TOLERANCE)), "%d arcs", p.count);
        kw_arena_free(&a);
    }
}

Test(geom_curve, a_circle_stays_exact_arcs) {
    struct kw_arena a = {0};
    struct kw_ellipse e = {kw_v2(1, 2), kw_v2(3, 4), kw_v2(4, -3), 0.5, 0.5 + 2 * KW_PI};
    struct kw_path p = {0};
    kw_path_add_ellipse(&a, &p, &e, TOLERANCE, 0);
    cr_assert_eq(p.count, 3);
    p.count--;
    p.open = false;
    cr_expect_float_eq(kw_path_area(&p), -25 * KW_PI, 1e-9); // v is on the right of u
    kw_arena_free(&a);
}

// A circle as a rational spline of degree 2 with nine points: The NURBS Book, example 7.2.
Test(geom_curve, a_circle_as_a_rational_spline_becomes_arcs_of_its_radius) {
    struct kw_arena a = {0};
    struct kw_vec2 q[9] = {{1, 0},   {1, 1},  {0, 1},  {-1, 1}, {-1, 0},
                           {-1, -1}, {0, -1}, {1, -1}, {1, 0}};
    double r = sqrt(0.5), w[9] = {1, r, 1, r, 1, r, 1, r, 1};
    double knots[12] = {0, 0, 0, .25, .25, .5, .5, .75, .75, 1, 1, 1};
    for (int i = 0; i < 9; i++)
        q[i] = kw_scale2(q[i], 50);
    struct kw_spline s = {2, 9, q, w, knots};
    cr_assert_null(kw_spline_fault(&s));
    for (int i = 0; i <= 100; i++)
        cr_expect_float_eq(kw_length2(kw_spline_point(&s, i / 100.0)), 50, 1e-12);
    struct kw_path p = {0};
    kw_path_add_spline(&a, &p, &s, TOLERANCE, 0);
    for (int i = 0; i + 1 < p.count; i++)
        cr_expect_float_eq(kw_path_segment(&p, i).radius, 50, 1e-4);
    p.count--;
    p.open = false;
    cr_expect_float_eq(kw_path_area(&p), 2500 * KW_PI, 2e-3);
    cr_expect_leq(p.count, 8);
    kw_arena_free(&a);
}

Test(geom_curve, splines_of_any_degree_stay_within_the_tolerance) {
    uint64_t seed = 3;
    for (int i = 0; i < 240; i++) {
        struct kw_arena a = {0};
        int degree = 1 + i % 6, n = degree + 1 + (int)random_in(&seed, 0, 20);
        struct kw_spline s = {degree, n, KW_NEW_ARRAY(&a, struct kw_vec2, n),
                              i % 3 ? NULL : KW_NEW_ARRAY(&a, double, n),
                              KW_NEW_ARRAY(&a, double, n + degree + 1)};
        for (int k = 0; k < n; k++) {
            s.points[k] = kw_v2(20 * k + random_in(&seed, 0, 30), random_in(&seed, 0, 200));
            if (s.weights) s.weights[k] = random_in(&seed, 0.3, 3);
        }
        for (int k = 1; k < n + degree + 1; k++) {
            bool clamped = i % 2 && (k <= degree || k > n);
            bool twice = kw_random_unit(&seed) < 0.2;
            s.knots[k] = s.knots[k - 1] + (clamped || twice ? 0 : random_in(&seed, 0.1, 2));
        }
        if (!kw_spline_fault(&s)) {
            struct kw_path p = {0};
            kw_path_add_spline(&a, &p, &s, TOLERANCE, 0);
            struct kw_curve c = {&s, spline_at};
            double far = farthest(&p, &c, s.knots[degree], s.knots[n]);
            cr_expect_leq(far, TOLERANCE, "spline %d of degree %d: %g", i, degree, far);
            cr_expect_leq(p.count, 60 * n);
            if (degree == 1) cr_expect_leq(p.count, n);
        }
        kw_arena_free(&a);
    }
}

Test(geom_curve, a_cusp_and_a_loop_and_a_curve_that_stands_still_end) {
    struct kw_vec2 shapes[4][4] = {{{0, 0}, {100, 100}, {0, 100}, {100, 0}},    // cusp
                                   {{0, 0}, {200, 100}, {-100, 100}, {100, 0}}, // loop
                                   {{0, 0}, {0, 0}, {100, 0}, {100, 0}},        // straight
                                   {{5, 5}, {5, 5}, {5, 5}, {5, 5}}};           // a point
    double knots[8] = {0, 0, 0, 0, 1, 1, 1, 1};
    for (int i = 0; i < 4; i++) {
        struct kw_arena a = {0};
        struct kw_spline s = {3, 4, shapes[i], NULL, knots};
        struct kw_curve c = {&s, spline_at};
        struct kw_path p = {0};
        kw_path_add_spline(&a, &p, &s, TOLERANCE, 0);
        cr_expect_leq(farthest(&p, &c, 0, 1), TOLERANCE);
        cr_expect_leq(p.count, i == 2 ? 3 : 120, "%d vertices", p.count);
        kw_arena_free(&a);
    }
}

Test(geom_curve, a_spline_through_points_meets_them_and_keeps_its_bend) {
    struct kw_arena a = {0};
    uint64_t seed = 9;
    struct kw_vec2 q[12], start = {0, 1}, end = {1, 0};
    for (int i = 0; i < 12; i++)
        q[i] = kw_v2(10 * i, random_in(&seed, 0, 30));
    for (int way = 0; way < 2; way++) {
        struct kw_spline s = kw_spline_through(&a, q, 12, way ? &start : NULL, way ? &end : NULL);
        cr_assert_null(kw_spline_fault(&s));
        double t = 0, h = 1e-4;
        for (int i = 0; i < 12; i++) {
            if (i > 0) t += kw_length2(kw_sub2(q[i], q[i - 1]));
            cr_expect_leq(kw_length2(kw_sub2(kw_spline_point(&s, t), q[i])), 1e-9);
            if (i == 0 || i == 11) continue;
            // Second differences on the two sides of the point agree.
            struct kw_vec2 v[5];
            for (int k = -2; k <= 2; k++)
                v[k + 2] = kw_spline_point(&s, t + k * h);
            struct kw_vec2 one = kw_add2(kw_sub2(v[0], kw_scale2(v[1], 2)), v[2]);
            struct kw_vec2 two = kw_add2(kw_sub2(v[2], kw_scale2(v[3], 2)), v[4]);
            cr_expect_leq(kw_length2(kw_sub2(one, two)) / (h * h), 1e-3);
        }
        struct kw_vec2 leaves = kw_sub2(kw_spline_point(&s, 1e-6), q[0]);
        if (way) cr_expect_float_eq(leaves.x / 1e-6, 0, 1e-3);
    }
    kw_arena_free(&a);
}

Test(geom_curve, arcs_that_are_stretched_become_arcs_of_an_ellipse) {
    struct kw_arena a = {0};
    struct kw_path circle = kw_path_circle(&a, 5, 5, 40, true, 3), p = {0}, q = {0};
    struct kw_affine2 stretch = {.xx = 2, .yy = 0.5, .x = 7};
    kw_path_add_mapped(&a, &p, &circle, stretch, TOLERANCE);
    p.count--;
    p.open = false;
    cr_expect_float_eq(kw_path_area(&p), KW_PI * 80 * 20, 0.02 * 350);
    struct kw_box2 box = kw_path_box(&p);
    cr_expect_float_eq(box.max.x, 10 + 7 + 80, 0.02);
    cr_expect_float_eq(box.min.y, 2.5 - 20, 0.02);
    struct kw_affine2 mirror = {.xx = -3, .yy = 3};
    kw_path_add_mapped(&a, &q, &circle, mirror, TOLERANCE);
    cr_assert_eq(q.count, 3);
    q.count--;
    q.open = false;
    cr_expect_float_eq(kw_path_area(&q), -9 * KW_PI * 1600, 1e-8);
    kw_arena_free(&a);
}
