// SPDX-License-Identifier: Apache-2.0
#include "geom_shapes.h"

#include <criterion/criterion.h>
#include <stdio.h>

// Every point of the result is at distance |d| from the source; the loops are outlines in order.
static void expect_at_distance(const struct kw_path *source, const struct kw_path *loops, int count,
                               double d, const char *what) {
    for (int k = 0; k < count; k++) {
        struct kw_error err = {0};
        cr_expect_eq(kw_path_check(&loops[k], (struct kw_place){0}, &err), KW_OK, "%s: loop %d %s",
                     what, k, err.text);
        for (int i = 0; i < kw_path_segments(&loops[k]); i++) {
            struct kw_segment s = kw_path_segment(&loops[k], i);
            for (int j = 0; j < 8; j++) {
                double far = kw_path_distance(source, kw_segment_point(s, j / 8.0));
                cr_expect(far >= fabs(d) - 1e-7, "%s: loop %d segment %d: %.9f < %.9f", what, k, i,
                          far, fabs(d));
                cr_expect(far <= fabs(d) + 1e-6, "%s: loop %d segment %d: %.9f > %.9f", what, k, i,
                          far, fabs(d));
            }
        }
    }
}

static bool even_odd(const struct kw_path *loops, int count, struct kw_vec2 p) {
    bool inside = false;
    for (int k = 0; k < count; k++)
        if (kw_path_contains(&loops[k], p)) inside = !inside;
    return inside;
}

// Points all over the place are inside the result exactly when their distance says so. `inwards`
// is d with the sign that shrinks positive.
static void expect_right_side(uint64_t *state, const struct kw_path *source,
                              const struct kw_path *loops, int count, double inwards,
                              const char *what) {
    struct kw_box2 box = kw_path_box(source);
    for (int i = 0; i < 150; i++) {
        struct kw_vec2 p = kw_v2(random_in(state, box.min.x - 15, box.max.x + 15),
                                 random_in(state, box.min.y - 15, box.max.y + 15));
        double far = kw_path_distance(source, p);
        if (fabs(far - fabs(inwards)) < 1e-5) continue;
        bool in = kw_path_contains(source, p);
        bool want = inwards > 0 ? in && far > inwards : in || far < -inwards;
        cr_expect_eq(even_odd(loops, count, p), want, "%s: (%.6f, %.6f) distance %.6f of %.6f",
                     what, p.x, p.y, far, inwards);
    }
}

Test(geom_offset, of_random_outlines_is_at_the_distance_and_complete) {
    uint64_t state = 20240611;
    int loops_in = 0, empty = 0, several = 0;
    for (int n = 0; n < 400; n++) {
        struct kw_arena a = {0};
        struct kw_path p = random_outline(&a, &state);
        bool ccw = n % 2 == 0;
        struct kw_path source = kw_path_oriented(&a, &p, ccw);
        double inwards = random_in(&state, -12, 12);
        int count;
        struct kw_path *loops = kw_path_offset(&a, &source, ccw ? inwards : -inwards, &count);
        char what[64];
        snprintf(what, sizeof what, "shape %d, %.3f inwards", n, inwards);
        expect_at_distance(&source, loops, count, inwards, what);
        expect_right_side(&state, &source, loops, count, inwards, what);
        loops_in += count;
        empty += count == 0;
        several += count > 1;
        kw_arena_free(&a);
    }
    cr_expect(loops_in >= 350 && several >= 15 && empty >= 3, "%d loops, %d several, %d empty",
              loops_in, several, empty);
}

// The hard cases: passages, bays and arcs that close exactly, and those that miss it by less than
// the width of a point. A loop that touches itself there would not be an outline.
Test(geom_offset, is_right_where_passages_and_arcs_close_exactly_or_nearly) {
    uint64_t state = 11;
    int several = 0, empty = 0;
    for (int n = 0; n < 600; n++) {
        struct kw_arena a = {0};
        struct kw_path source = random_cells(&a, &state);
        double d = 0.25 * (double)(1 + kw_random(&state) % 16);
        if (n % 2) d += random_in(&state, -3e-7, 3e-7);
        if (kw_random(&state) % 2) d = -d;
        int count;
        struct kw_path *loops = kw_path_offset(&a, &source, d, &count);
        char what[64];
        snprintf(what, sizeof what, "cells %d, %.9f inwards", n, d);
        expect_at_distance(&source, loops, count, d, what);
        expect_right_side(&state, &source, loops, count, d, what);
        empty += count == 0;
        several += count > 1;
        kw_arena_free(&a);
    }
    cr_expect(several >= 25 && empty >= 15, "%d several, %d empty", several, empty);
}

// The arc about such a corner is nearly its chord, and a nearly straight arc nearly a line.
Test(geom_offset, is_right_at_corners_that_hardly_turn_and_arcs_that_hardly_bend) {
    uint64_t state = 23;
    for (int n = 0; n < 300; n++) {
        struct kw_arena a = {0};
        struct kw_path p = {0};
        double off = pow(10, random_in(&state, -7, -0.5)) * (n % 2 ? 1 : -1);
        double bulge = pow(10, random_in(&state, -9, -2)) * (n % 4 < 2 ? 1 : -1);
        kw_path_add(&a, &p, -40, 0, 0, 1);
        kw_path_add(&a, &p, 0, off, 0, 2);
        kw_path_add(&a, &p, 40, 0, n % 3 ? bulge : 0, 3);
        kw_path_add(&a, &p, 40, 30, n % 5 ? -bulge : 0, 4);
        kw_path_add(&a, &p, -40, 30, 0, 5);
        double d = pow(10, random_in(&state, -2, 1)) * (n % 7 < 3 ? 1 : -1);
        int count;
        struct kw_path *loops = kw_path_offset(&a, &p, d, &count);
        char what[64];
        snprintf(what, sizeof what, "corner %d, %.9f inwards", n, d);
        cr_expect_eq(count, 1, "%s", what);
        expect_at_distance(&p, loops, count, d, what);
        expect_right_side(&state, &p, loops, count, d, what);
        kw_arena_free(&a);
    }
}

Test(geom_offset, of_a_convex_outline_grows_by_the_formula_of_steiner) {
    uint64_t state = 7;
    for (int n = 0; n < 200; n++) {
        struct kw_arena a = {0};
        struct kw_path p = random_convex(&a, &state);
        double d = random_in(&state, 0.1, 30);
        int count;
        struct kw_path *grown = kw_path_offset(&a, &p, -d, &count);
        cr_assert_eq(count, 1);
        double area = kw_path_area(&p), length = kw_path_length(&p);
        cr_expect_float_eq(kw_path_area(grown), area + length * d + KW_PI * d * d, 1e-6);
        cr_expect_float_eq(kw_path_length(grown), length + 2 * KW_PI * d, 1e-7);
        kw_arena_free(&a);
    }
}

static int arcs_of(const struct kw_path *p) {
    int arcs = 0;
    for (int i = 0; i < p->count; i++)
        arcs += p->v[i].bulge != 0;
    return arcs;
}

Test(geom_offset, keeps_lines_and_arcs_and_their_tags) {
    struct kw_arena a = {0};
    struct kw_path p = kw_path_box_outline(&a, 0, 0, 40, 20, 3);
    for (int i = 3; i >= 0; i--)
        cr_assert(kw_path_round_corner(&a, &p, i, 5));
    int count;
    struct kw_path *in = kw_path_offset(&a, &p, 2, &count);
    cr_assert_eq(count, 1);
    cr_expect_eq(in->count, 8);
    cr_expect_eq(arcs_of(in), 4);
    for (int i = 0; i < in->count; i++)
        cr_expect_eq(in->v[i].tag, 3);
    cr_expect_float_eq(kw_path_area(in), 36 * 16 - (4 - KW_PI) * 9, 1e-9);
    // Past the radius of the corners the arcs are gone and the corners are sharp.
    in = kw_path_offset(&a, &p, 6, &count);
    cr_assert_eq(count, 1);
    cr_expect_eq(in->count, 4);
    cr_expect_eq(arcs_of(in), 0);
    cr_expect_float_eq(kw_path_area(in), 28 * 8, 1e-9);
    // Exactly at the radius too.
    in = kw_path_offset(&a, &p, 5, &count);
    cr_assert_eq(count, 1);
    cr_expect_eq(in->count, 4);
    cr_expect_float_eq(kw_path_area(in), 30 * 10, 1e-7);
    struct kw_path sharp = kw_path_box_outline(&a, 0, 0, 40, 20, 0);
    struct kw_path *out = kw_path_offset(&a, &sharp, -1, &count);
    cr_assert_eq(count, 1);
    cr_expect_eq(out->count, 8);
    cr_expect_eq(arcs_of(out), 4);
    kw_arena_free(&a);
}

Test(geom_offset, of_a_circle_is_a_circle_until_it_vanishes) {
    struct kw_arena a = {0};
    struct kw_path hole = kw_path_circle(&a, 100, -50, 6, false, 9);
    const double steps[] = {-5.9, -3, -0.75, 0.75, 40};
    int count;
    for (int i = 0; i < 5; i++) {
        struct kw_path *c = kw_path_offset(&a, &hole, steps[i], &count);
        cr_assert_eq(count, 1);
        cr_expect_eq(c->count, 2);
        cr_expect_eq(c->v[0].tag, 9);
        double r = 6 + steps[i];
        cr_expect_float_eq(kw_path_area(c), -KW_PI * r * r, 1e-8);
    }
    kw_path_offset(&a, &hole, -6, &count);
    cr_expect_eq(count, 0);
    kw_path_offset(&a, &hole, -7.5, &count);
    cr_expect_eq(count, 0);
    kw_arena_free(&a);
}

// Two rooms of 30 x 30 joined by a passage 4 wide.
static struct kw_path two_rooms(struct kw_arena *a) {
    static const double xy[][2] = {{0, 0},   {30, 0},  {30, 13}, {60, 13}, {60, 0},  {90, 0},
                                   {90, 30}, {60, 30}, {60, 17}, {30, 17}, {30, 30}, {0, 30}};
    struct kw_path p = {0};
    for (int i = 0; i < 12; i++)
        kw_path_add(a, &p, xy[i][0], xy[i][1], 0, i);
    return p;
}

Test(geom_offset, falls_apart_where_a_passage_closes) {
    struct kw_arena a = {0};
    struct kw_path p = two_rooms(&a);
    const double steps[] = {1.9, 1.99999, 2, 2.00001, 2.5, 14, 15, 16};
    const int want[] = {1, 1, 2, 2, 2, 2, 0, 0};
    for (int i = 0; i < 8; i++) {
        int count;
        struct kw_path *in = kw_path_offset(&a, &p, steps[i], &count);
        cr_expect_eq(count, want[i], "%g inwards: %d loops", steps[i], count);
        char what[32];
        snprintf(what, sizeof what, "%g inwards", steps[i]);
        expect_at_distance(&p, in, count, steps[i], what);
        double d = steps[i], side = 30 - 2 * d, area = 0;
        for (int k = 0; k < count; k++)
            area += kw_path_area(&in[k]);
        // At the mouths the two corners of the passage keep a disc of d away. The offset there is
        // x = 30 - sqrt(d^2 - (y - 13)^2) where the discs reach past the wall of the room.
        if (count == 2 && d > 2.4) {
            double h = sqrt(d * d - 4); // the discs meet this far from the wall
            cr_expect(area >= 2 * side * side && area <= 2 * (side * side + 4 * d - 4 * h),
                      "%g: %.9f", d, area);
        }
    }
    kw_arena_free(&a);
}

Test(geom_offset, of_slots_closes_them_up_and_leaves_nothing) {
    struct kw_arena a = {0};
    // A slot 6 wide with round ends and one with square ends.
    struct kw_path round = {0};
    kw_path_add(&a, &round, 0, 0, 0, 0);
    kw_path_add(&a, &round, 50, 0, 1, 0);
    kw_path_add(&a, &round, 50, 6, 0, 0);
    kw_path_add(&a, &round, 0, 6, 1, 0);
    struct kw_path square = kw_path_box_outline(&a, 0, 0, 50, 6, 0);
    int count;
    const double close[] = {3, 3.0000001, 3.1, 10};
    for (int i = 0; i < 4; i++) {
        kw_path_offset(&a, &round, close[i], &count);
        cr_expect_eq(count, 0, "round, %g: %d", close[i], count);
        kw_path_offset(&a, &square, close[i], &count);
        cr_expect_eq(count, 0, "square, %g: %d", close[i], count);
    }
    struct kw_path *thin = kw_path_offset(&a, &round, 2.99, &count);
    cr_assert_eq(count, 1);
    cr_expect_float_eq(kw_path_area(thin), 50 * 0.02 + KW_PI * 1e-4, 1e-8);
    // Seen from outside: the bay between two legs closes, and what is left of it is a pocket.
    struct kw_path bottle = {0};
    static const double xy[][2] = {{0, 0},   {60, 0},  {60, 50}, {32, 50}, {32, 40}, {50, 40},
                                   {50, 10}, {10, 10}, {10, 40}, {28, 40}, {28, 50}, {0, 50}};
    for (int i = 0; i < 12; i++)
        kw_path_add(&a, &bottle, xy[i][0], xy[i][1], 0, i);
    struct kw_path *out = kw_path_offset(&a, &bottle, -1.5, &count);
    cr_expect_eq(count, 1);
    out = kw_path_offset(&a, &bottle, -2, &count);
    cr_assert_eq(count, 2);
    double most = fmax(kw_path_area(&out[0]), kw_path_area(&out[1]));
    double least = fmin(kw_path_area(&out[0]), kw_path_area(&out[1]));
    cr_expect(most > 60 * 50 && least < -36 * 26 + 1e-6 && least > -36 * 26 - 4);
    expect_at_distance(&bottle, out, count, 2, "bottle");
    kw_arena_free(&a);
}

Test(geom_offset, is_the_same_wherever_the_outline_lies) {
    uint64_t state = 99;
    for (int n = 0; n < 60; n++) {
        struct kw_arena a = {0};
        struct kw_path p = random_outline(&a, &state);
        double d = random_in(&state, -6, 6);
        struct kw_move2 m =
            kw_move2_make(random_in(&state, -3000, 3000), random_in(&state, -3000, 3000),
                          random_in(&state, 0, 6), n % 2 == 0);
        struct kw_path moved = kw_path_moved(&a, &p, m);
        int here, there;
        struct kw_path *x = kw_path_offset(&a, &p, d, &here);
        struct kw_path *y = kw_path_offset(&a, &moved, d, &there);
        double area_x = 0, area_y = 0;
        for (int i = 0; i < here; i++)
            area_x += kw_path_area(&x[i]);
        for (int i = 0; i < there; i++)
            area_y += kw_path_area(&y[i]);
        cr_expect_eq(here, there, "shape %d", n);
        cr_expect_float_eq(area_x, area_y, 1e-5, "shape %d: %.9f %.9f", n, area_x, area_y);
        kw_arena_free(&a);
    }
}

// Out and back in by the same distance is the outline again where it has no narrow places: for a
// convex one always.
Test(geom_offset, out_and_back_in_is_the_convex_outline_again) {
    uint64_t state = 3;
    for (int n = 0; n < 200; n++) {
        struct kw_arena a = {0};
        struct kw_path p = random_convex(&a, &state);
        double d = random_in(&state, 0.1, 20);
        int count;
        struct kw_path *out = kw_path_offset(&a, &p, -d, &count);
        cr_assert_eq(count, 1);
        struct kw_path *back = kw_path_offset(&a, out, d, &count);
        cr_assert_eq(count, 1, "shape %d: %d loops", n, count);
        cr_expect_eq(back->count, p.count, "shape %d: %d of %d", n, back->count, p.count);
        cr_expect_float_eq(kw_path_area(back), kw_path_area(&p), 1e-5);
        kw_arena_free(&a);
    }
}

Test(geom_offset, of_two_thousand_corners_is_quick_and_right) {
    struct kw_arena a = {0};
    struct kw_path gear = {0};
    for (int i = 0; i < 2000; i++) {
        double r = i % 2 ? 500 : 496, angle = 2 * KW_PI * i / 2000;
        kw_path_add(&a, &gear, r * cos(angle), r * sin(angle), i % 3 == 0 ? 0.1 : 0, i);
    }
    int count;
    struct kw_path *out = kw_path_offset(&a, &gear, -0.8, &count);
    cr_assert_eq(count, 1);
    expect_at_distance(&gear, out, count, 0.8, "gear");
    kw_arena_free(&a);
}
