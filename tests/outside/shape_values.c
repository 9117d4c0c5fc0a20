// SPDX-License-Identifier: Apache-2.0
// Bend arithmetic and blanks against values worked out outside this program. The numbers are those
// of reference/check-values.md, sections 1 and 2, whose sources are named beside each.
#include "../unit/shape_hand.h"

static struct kw_box2 blank_box(const struct kw_body *body) {
    return kw_path_box(&body->blank.outer);
}

static double blank_width(const struct kw_body *body) {
    struct kw_box2 b = blank_box(body);
    return b.max.y - b.min.y;
}

/// A strip with one bend whose straight legs to the tangents are `a` and `b`.
static struct kw_body *one_bend(struct hand *h, double along, double t, double r, double angle,
                                double k, double a, double b) {
    double s = kw_bend_setback(angle, r, t);
    hand_start(h, along, a + s, t);
    h->shop.bending.k = k;
    hand_flange(h, KW_EDGE_BACK, b + s, angle, r);
    struct kw_body *body = hand_make(h);
    cr_assert(body);
    return body;
}

// Groover, Fundamentals of Modern Manufacturing, example 20.2: allowance 6.08, blank 69.08 x 44.5.
Test(shape_values, textbook_bend_has_a_blank_of_69_08) {
    struct hand h;
    struct kw_body *body = one_bend(&h, 44.5, 3.2, 4.75, 60 * DEG, 0.33, 38, 25);
    cr_expect_float_eq(body->bends[0].allowance, 6.08, 0.005);
    cr_expect_float_eq(blank_width(body), 69.08, 0.005);
    cr_expect_float_eq(body->area, 69.08 * 44.5, 0.3);
    kw_arena_free(&h.a);
}

// Groover, a problem of the same chapter: included angle 40, allowance 24.84, length 129.34.
Test(shape_values, textbook_bend_past_square) {
    struct hand h;
    struct kw_body *body = one_bend(&h, 35, 5, 8.5, 140 * DEG, 0.333, 58, 46.5);
    cr_expect_float_eq(body->bends[0].allowance, 24.84, 0.005);
    cr_expect_float_eq(blank_width(body), 129.34, 0.01);
    kw_arena_free(&h.a);
}

// Groover, a problem of the same chapter: blank 4.0 in, allowance 0.3755, straight legs 1.8122.
Test(shape_values, textbook_bend_in_inches) {
    struct hand h;
    const double in = 25.4;
    struct kw_body *body = one_bend(&h, 1.5 * in, 5.0 / 32 * in, 3.0 / 16 * in, 90 * DEG, 0.33,
                                    1.8122 * in, 1.8122 * in);
    cr_expect_float_eq(body->bends[0].allowance / in, 0.3755, 0.00005);
    cr_expect_float_eq(blank_width(body) / in, 4.0, 0.0002);
    kw_arena_free(&h.a);
}

// FAA aviation maintenance handbook, U-channel: mold lines 1, 2, 1 in, T 0.040, R 0.16: setback
// 0.20, flats 0.80, 1.60, 0.80, developed width printed as 3.74 (its allowance is rounded to 0.27).
// K = 0.0078/0.01743 is the empirical formula (0.01743 R + 0.0078 T) a degree.
Test(shape_values, aviation_u_channel) {
    struct hand h;
    const double in = 25.4;
    hand_start(&h, 10 * in, 2 * in, 0.04 * in);
    h.shop.bending.k = 0.0078 / 0.01743;
    hand_flange(&h, KW_EDGE_FRONT, 1 * in, 90 * DEG, 0.16 * in);
    hand_flange(&h, KW_EDGE_BACK, 1 * in, 90 * DEG, 0.16 * in);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    cr_expect_float_eq(body->bends[0].setback / in, 0.20, 1e-9);
    const double flats[] = {1.60, 0.80, 0.80};
    for (int i = 0; i < 3; i++) {
        struct kw_box2 b = kw_path_box(&body->faces[i].shape.outer);
        cr_expect_float_eq((b.max.y - b.min.y) / in, flats[i], 1e-9);
    }
    cr_expect_float_eq(blank_width(body) / in, 3.74, 0.02);
    cr_expect_float_eq(body->bends[0].allowance / in, 90 * (0.01743 * 0.16 + 0.0078 * 0.04),
                       0.0005);
    // the same chapter, 60 degrees: 0.003034 in a degree by its chart (whose radius is 5/32)
    double ba = kw_bend_allowance(60 * DEG, 0.156, 0.04, 0.0078 / 0.01743);
    cr_expect_float_eq(ba, 0.18204, 0.0005);
    kw_arena_free(&h.a);
}

// Austrian vocational text: profile 50 + 40 + 30, r = t = 1, two bends shortened by 2.0: 116 mm.
// Its rule (0.5 r + 1.5 t) is rounded; DIN 6935 gives 1.919 a bend.
Test(shape_values, vocational_text_profile_of_116) {
    struct hand h;
    hand_start(&h, 60, 40, 1);
    h.shop.bending.rule = KW_RULE_DIN_6935;
    hand_flange(&h, KW_EDGE_BACK, 50, 90 * DEG, 1);
    hand_flange(&h, KW_EDGE_FRONT, 30, 90 * DEG, 1);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    cr_expect_float_eq(blank_width(body), 116, 0.2);
    kw_arena_free(&h.a);
}

// A worked flat pattern (check values 1.4 e): T 0.036, R 0.125, K 0.42: legs 2 + 3 to the mold
// lines 4.8981 in, to the tangents 5.2201 in.
Test(shape_values, worked_flat_pattern) {
    double ba = kw_bend_allowance(90 * DEG, 0.125, 0.036, 0.42);
    cr_expect_float_eq(ba, 0.220100, 1e-6);
    cr_expect_float_eq(5 + ba, 5.2201, 5e-5);
    cr_expect_float_eq(5 - kw_bend_deduction(90 * DEG, 0.125, 0.036, 0.42), 4.8981, 5e-5);
    const double in = 25.4;
    for (int inside = 0; inside < 2; inside++) { // as a part, legs told outside and inside
        struct hand h;
        hand_start(&h, 4 * in, 2 * in, 0.036 * in);
        h.shop.bending.k = 0.42;
        struct kw_flange *f = hand_flange(&h, KW_EDGE_BACK, 3 * in, 90 * DEG, 0.125 * in);
        if (inside) {
            f->measured = KW_MEASURED_INSIDE;
            f->height = (3 - 0.036) * in;
        }
        struct kw_body *body = hand_make(&h);
        cr_assert(body);
        cr_expect_float_eq(blank_width(body) / in, 4.8981, 5e-5);
        kw_arena_free(&h.a);
    }
}

// Machinery's Handbook, length of a 90 degree bend a T + 1.57 R: a = 0.55 soft brass and copper,
// 0.64 half-hard brass and soft steel, 0.71 bronze and cold-rolled steel (from memory; check values
// 1.1 with its lengths for T 1/16, R 1/8 and T = R = 1/8 in).
Test(shape_values, handbook_lengths_of_a_square_bend) {
    static const double a[3] = {0.55, 0.64, 0.71};
    static const double thin[3] = {0.2306, 0.2363, 0.2406}, thick[3] = {0.2650, 0.2763, 0.2850};
    for (int i = 0; i < 3; i++) {
        double k = a[i] / (KW_PI / 2);
        cr_expect_float_eq(kw_bend_allowance(90 * DEG, 0.125, 0.0625, k), thin[i], 1.5e-4);
        cr_expect_float_eq(kw_bend_allowance(90 * DEG, 0.125, 0.125, k), thick[i], 1.5e-4);
    }
}

// The naval form of the empirical formula: (0.0173 R + 0.0078 T) a degree (check values 1.1).
Test(shape_values, empirical_formula_a_degree) {
    for (int turned = 15; turned <= 180; turned += 15)
        cr_expect_float_eq(kw_bend_allowance(turned * DEG, 0.16, 0.04, 0.0078 / 0.01743),
                           (0.0173 * 0.16 + 0.0078 * 0.04) * turned, 0.01 * 0.16 * turned / 50);
}

// Rule of thumb of the Austrian vocational text, 90 degrees: v = 0.5 r + 1.5 t; K 0.44 and
// DIN 6935 come within 0.1 t + 0.08 r of it for r of about t.
Test(shape_values, vocational_rule_of_thumb) {
    static const struct kw_bending din = {.rule = KW_RULE_DIN_6935};
    for (double r = 1; r <= 1.6; r += 0.2) {
        double v = kw_bend_deduction(90 * DEG, r, 1, kw_bend_k(&din, r, 1));
        cr_expect_float_eq(v, 0.5 * r + 1.5, 0.1 + 0.08 * r, "r %g: %f", r, v);
    }
}

// Derived set (check values 1.4 f): T 3, R 3, K 0.42.
Test(shape_values, derived_metric_set) {
    cr_expect_float_eq(kw_bend_allowance(90 * DEG, 3, 3, 0.42), 6.6916, 5e-5);
    cr_expect_float_eq(kw_bend_setback(90 * DEG, 3, 3), 6.0, 5e-5);
    cr_expect_float_eq(kw_bend_deduction(90 * DEG, 3, 3, 0.42), 5.3084, 5e-5);
    cr_expect_float_eq(kw_bend_allowance(45 * DEG, 3, 3, 0.42), 3.3458, 5e-5);
    cr_expect_float_eq(kw_bend_setback(45 * DEG, 3, 3), 2.4853, 5e-5);
    cr_expect_float_eq(kw_bend_deduction(45 * DEG, 3, 3, 0.42), 1.6248, 5e-5);
    cr_expect_float_eq(kw_bend_allowance(120 * DEG, 3, 3, 0.42), 8.9221, 5e-5);
    struct hand h;
    hand_start(&h, 60, 50, 3);
    h.shop.bending.k = 0.42;
    hand_flange(&h, KW_EDGE_LEFT, 50, 90 * DEG, 3);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    struct kw_box2 b = blank_box(body);
    cr_expect_float_eq(b.max.x - b.min.x, 60 + 50 - 5.3084, 5e-5);
    kw_arena_free(&h.a);
}

// K chart of the aviation handbook (tangent of half the turn), up to square; beyond, legs are
// measured to the outside tangent here (DIN 6935), and the setback is the whole r + t.
Test(shape_values, setback_chart) {
    static const double chart[][2] = {{15, 0.13165}, {30, 0.26795}, {45, 0.41421},
                                      {60, 0.57735}, {75, 0.76733}, {90, 1.0}};
    for (int i = 0; i < 6; i++)
        cr_expect_float_eq(kw_bend_setback(chart[i][0] * DEG, 0.6, 0.4), chart[i][1], 5e-6);
    cr_expect_float_eq(kw_bend_setback(120 * DEG, 0.6, 0.4), 1.0, 1e-12);
}

// DIN 6935 worked example of a table book: opening 60, a 16, b 21, r 6, s 5: v 5.77 with k 0.7 read
// off the chart, 5.8229 with k by its formula; length 31.1771.
Test(shape_values, din_6935_worked_example) {
    cr_expect_float_eq(kw_bend_deduction(120 * DEG, 6, 5, 0.7 / 2), 5.77, 0.005);
    struct hand h;
    hand_start(&h, 50, 16, 5);
    h.shop.bending.rule = KW_RULE_DIN_6935;
    hand_flange(&h, KW_EDGE_BACK, 21, 120 * DEG, 6);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    cr_expect_float_eq(body->bends[0].deduction, 5.8229, 5e-5);
    cr_expect_float_eq(blank_width(body), 31.1771, 5e-5);
    cr_expect_float_eq(2 * body->bends[0].k, 0.6896, 5e-5);
    kw_arena_free(&h.a);
}

// DIN 6935, k by its formula and the shortening for openings of 90, 60, 120 and 135 degrees (check
// values 2.3; the 90 degree column agrees with the rounded table-book values).
Test(shape_values, din_6935_table) {
    static const struct kw_bending din = {.rule = KW_RULE_DIN_6935};
    static const double ks[][2] = {{0.2, 0.3005}, {0.5, 0.4995}, {0.8, 0.6015},
                                   {1, 0.6500},   {1.5, 0.7380}, {2, 0.8005},
                                   {3, 0.8886},   {4, 0.9510},   {5, 0.9995}};
    for (int i = 0; i < 9; i++)
        cr_expect_float_eq(2 * kw_bend_k(&din, ks[i][0], 1), ks[i][1], 5.1e-5);
    cr_expect_float_eq(kw_bend_k(&din, 8, 1), 0.5, 1e-12); // r/s over 5: k is 1
    static const double turned[4] = {90, 120, 60, 45};
    static const double rows[][6] = {
        {1, 1, 1.919, 1.225, 0.922, 0.616},     {1.6, 1, 2.096, 1.061, 0.933, 0.602},
        {1.6, 1.5, 2.904, 1.806, 1.383, 0.920}, {2.5, 1, 2.406, 0.875, 0.979, 0.603},
        {2.5, 1.5, 3.177, 1.569, 1.403, 0.902}, {2.5, 2, 3.976, 2.301, 1.847, 1.216},
        {2.5, 2.5, 4.797, 3.062, 2.305, 1.541}, {4, 2, 4.459, 1.946, 1.901, 1.200},
        {4, 3, 6.038, 3.384, 2.775, 1.818},     {6, 3, 6.689, 2.919, 2.852, 1.800},
        {6, 4, 8.257, 4.342, 3.718, 2.413},     {6, 5, 9.867, 5.823, 4.613, 3.046},
        {10, 5, 11.148, 4.865, 4.753, 3.001}};
    for (int i = 0; i < 13; i++)
        for (int c = 0; c < 4; c++) {
            double r = rows[i][0], t = rows[i][1];
            double v = kw_bend_deduction(turned[c] * DEG, r, t, kw_bend_k(&din, r, t));
            cr_expect_float_eq(v, rows[i][2 + c], 0.00051, "r %g s %g turned %g: %f, table %f", r,
                               t, turned[c], v, rows[i][2 + c]);
        }
}

// Encyclopaedia table of K for air bending, soft metal.
Test(shape_values, k_by_radius_table) {
    static const struct kw_bending rule = {.rule = KW_RULE_K_BY_RADIUS};
    cr_expect_float_eq(kw_bend_k(&rule, 0.5, 1), 0.33, 1e-12);
    cr_expect_float_eq(kw_bend_k(&rule, 2, 1), 0.40, 1e-12);
    cr_expect_float_eq(kw_bend_k(&rule, 4, 1), 0.50, 1e-12);
}

// Air bend chart for mild steel: opening and inside radius in inches, rounded to 1/64.
Test(shape_values, natural_radius_chart) {
    static const double chart[][2] = {{0.5, 0.078}, {0.75, 0.141}, {1.0, 0.156}, {1.25, 0.203},
                                      {1.5, 0.250}, {2.0, 0.313},  {2.5, 0.406}, {3.0, 0.516},
                                      {4.0, 0.625}, {5.0, 0.75},   {8.0, 1.313}};
    for (int i = 0; i < 11; i++)
        cr_expect_float_eq(kw_bend_natural_radius(KW_STEEL, chart[i][0], 0), chart[i][1],
                           0.15 * chart[i][1]);
    cr_expect_float_eq(kw_bend_natural_radius(KW_STEEL, 10, 3), 3, 1e-12, "the punch nose is more");
}
