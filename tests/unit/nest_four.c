// SPDX-License-Identifier: Apache-2.0
// Four boxes and two sides at once: the same answers as one by one, with and without SSE2.
#include "base/base.h"
#include "geom/geom.h"
#include "nest/four.h"

#include <criterion/criterion.h>

static uint64_t random_state = 1;

/// In whole quarters, so that boxes often touch exactly.
static double quarter(double from, double to) {
    return from + floor(kw_random_unit(&random_state) * (to - from) * 4) / 4;
}

Test(nest_four, boxes_that_meet_are_found_also_far_out) {
    for (int round = 0; round < 20000; round++) {
        double far = round % 2 ? 49000 : 0; // mm: where float keeps 0.004
        double left[4], low[4], wide = quarter(0.25, 9), tall = quarter(0.25, 9);
        struct four_boxes f;
        four_none(&f);
        int n = round % 5;
        for (int i = 0; i < n; i++) {
            left[i] = far + quarter(0, 30);
            low[i] = far + quarter(0, 30);
            four_set(&f, i, left[i], left[i] + wide, low[i], low[i] + tall);
        }
        double u = far + quarter(0, 30), v = far + quarter(0, 30);
        float x = (float)u, y = (float)v;
        unsigned met = four_meet(&f, x, (float)(u + 5), y, (float)(v + 5));
        cr_assert_eq(met, four_meet_plain(&f, x, (float)(u + 5), y, (float)(v + 5)));
        for (int i = 0; i < 4; i++) {
            bool there = i < n, found = met >> i & 1;
            double gap = !there ? INFINITY
                                : fmax(fmax(left[i] - u - 5, u - left[i] - wide),
                                       fmax(low[i] - v - 5, v - low[i] - tall));
            if (gap < 0) cr_assert(found, "round %d: box %d is missed", round, i);
            if (gap > 2 * FOUR_GROWTH) cr_assert(!found, "round %d: box %d is far", round, i);
        }
    }
}

Test(nest_four, boxes_that_were_taken_out_meet_nothing) {
    struct four_boxes f, g;
    four_none(&f);
    four_none(&g);
    four_set(&f, 0, 0, 10, 0, 10);
    four_set(&f, 1, 5, 15, 0, 10);
    cr_assert_eq(four_meet(&f, 4, 6, 1, 2), 3);
    four_put(&g, 2, &f, 1);
    four_clear(&f, 1);
    cr_expect_eq(four_meet(&f, 4, 6, 1, 2), 1);
    cr_expect_eq(four_meet(&g, 4, 6, 1, 2), 4);
    unsigned bits = 10;
    cr_expect_eq(four_next(&bits), 1);
    cr_expect_eq(four_next(&bits), 3);
    cr_expect_eq(bits, 0);
}

/// A regular polygon around the unit disc, its sides two by two.
static int polygon_around(struct two_sides *out, int sides) {
    for (int i = 0; i < sides + sides % 2; i++) {
        double angle = 2 * KW_PI * (i < sides ? i : sides - 1) / sides;
        out[i / 2].x[i % 2] = cos(angle);
        out[i / 2].y[i % 2] = sin(angle);
        out[i / 2].reach[i % 2] = 1;
    }
    return (sides + 1) / 2;
}

Test(nest_four, depth_is_that_along_the_nearest_side) {
    struct two_sides v[8];
    for (int round = 0; round < 20000; round++) {
        int sides = 3 + round % 13, pairs = polygon_around(v, sides);
        double x = 3 * kw_random_unit(&random_state) - 1.5;
        double y = 3 * kw_random_unit(&random_state) - 1.5, least = INFINITY;
        for (int i = 0; i < sides; i++) {
            double angle = 2 * KW_PI * i / sides;
            least = fmin(least, 1 - x * cos(angle) - y * sin(angle));
        }
        double d = two_least(v, pairs, x, y, 1e-6), plain = two_least_plain(v, pairs, x, y, 1e-6);
        if (least < 1e-6) {
            cr_assert(d < 1e-6 && plain < 1e-6);
        } else {
            cr_assert_eq(d, plain);
            cr_assert_float_eq(d, least, 1e-15);
        }
    }
}
