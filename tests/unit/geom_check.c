// SPDX-License-Identifier: Apache-2.0
#include "geom_shapes.h"

#include <criterion/criterion.h>
#include <string.h>

static const struct kw_place here = {"kit.yaml", 12, 5};

struct corner {
    double x, y, bulge;
};

static struct kw_path outline(struct kw_arena *a, const struct corner *v, int n) {
    struct kw_path p = {0};
    for (int i = 0; i < n; i++)
        kw_path_add(a, &p, v[i].x, v[i].y, v[i].bulge, 0);
    return p;
}

static void expect_refused(const struct corner *v, int n, const char *says) {
    struct kw_arena a = {0};
    struct kw_path p = outline(&a, v, n);
    struct kw_error err = {0};
    cr_expect_eq(kw_path_check(&p, here, &err), KW_GEOMETRY, "%s", says);
    cr_expect(strstr(err.text, says) != NULL, "\"%s\" doesn't say \"%s\"", err.text, says);
    cr_expect_eq(err.at.line, 12);
    kw_arena_free(&a);
}

Test(geom_check, what_is_not_an_outline_is_refused_with_the_place) {
    expect_refused((struct corner[]){{0, 0, 0}, {10, 10, 0}, {10, 0, 0}, {0, 10, 0}}, 4,
                   "crosses itself at (5, 5) mm");
    // A half circle that reaches through the far side.
    expect_refused((struct corner[]){{0, 0, 0}, {20, 0, 0}, {20, 4, -1}, {0, 4, 0}}, 4,
                   "crosses itself at");
    // A corner on another side, a doubled corner, a spike, an arc and its way back.
    expect_refused((struct corner[]){{0, 0, 0}, {10, 0, 0}, {10, 10, 0}, {5, 0, 0}, {0, 10, 0}}, 5,
                   "crosses itself at (5, 0) mm");
    expect_refused(
        (struct corner[]){{0, 0, 0}, {10, 0, 0}, {5, 5, 0}, {10, 10, 0}, {0, 10, 0}, {5, 5, 0}}, 6,
        "crosses itself at (5, 5) mm");
    expect_refused((struct corner[]){{0, 0, 0}, {10, 0, 0}, {10, 10, 0}, {10, 5, 0}, {0, 5, 0}}, 5,
                   "crosses itself at");
    expect_refused((struct corner[]){{0, 0, 0}, {10, 0, 0.5}, {20, 0, -0.5}, {10, 0, 0}, {5, 9, 0}},
                   5, "crosses itself at");
    expect_refused((struct corner[]){{0, 0, 0.3}, {10, 0, -0.3}}, 2, "has no area");
    expect_refused((struct corner[]){{0, 0, 0}, {10, 0, 0}}, 2, "has no area");
    expect_refused((struct corner[]){{0, 0, 0}}, 1, "2 or more corners");
    expect_refused((struct corner[]){{0, 0, 0}, {10, 0, 0}, {10, 5e-7, 0}, {0, 9, 0}}, 4,
                   "without length at (10, 0) mm");
    expect_refused((struct corner[]){{0, 0, 0}, {10, 0, 1.01}, {0, 9, 0}}, 3, "half circle");
    expect_refused((struct corner[]){{0, 0, 0}, {10, 0, NAN}, {0, 9, 0}}, 3, "half circle");
    expect_refused((struct corner[]){{0, 0, 0}, {10, NAN, 0}, {0, 9, 0}}, 3, "corner 2");
    expect_refused((struct corner[]){{0, 0, 0}, {10, 0, 0}, {INFINITY, 9, 0}}, 3, "corner 3");
    expect_refused((struct corner[]){{50000.1, 0, 0}, {10, 0, 0}, {0, 9, 0}}, 3, "corner 1");
    struct kw_arena a = {0};
    struct kw_path open = outline(&a, (struct corner[]){{0, 0, 0}, {9, 0, 0}, {9, 9, 0}}, 3);
    cr_expect_eq(kw_path_check(&open, here, NULL), KW_OK);
    open.open = true;
    cr_expect_eq(kw_path_check(&open, here, NULL), KW_GEOMETRY);
    kw_arena_free(&a);
}

Test(geom_check, outlines_with_tangent_joins_and_whole_circles_pass) {
    struct kw_arena a = {0};
    struct kw_path circle = kw_path_circle(&a, 3000, 2000, 4, false, 0);
    cr_expect_eq(kw_path_check(&circle, here, NULL), KW_OK);
    struct kw_path half = outline(&a, (struct corner[]){{0, 0, 0}, {10, 0, 1}}, 2);
    cr_expect_eq(kw_path_check(&half, here, NULL), KW_OK);
    struct kw_path moon = outline(&a, (struct corner[]){{10, 0, 1}, {-10, 0, -0.5}}, 2);
    cr_expect_eq(kw_path_check(&moon, here, NULL), KW_OK);
    // Slots turned and moved all over the place, and written with three decimals.
    uint64_t state = 15;
    for (int i = 0; i < 300; i++) {
        struct kw_path slot =
            outline(&a, (struct corner[]){{0, 0, 0}, {40, 0, 1}, {40, 9, 0}, {0, 9, 1}}, 4);
        struct kw_move2 m =
            kw_move2_make(random_in(&state, -5000, 5000), 77, random_in(&state, -4, 4), i % 2);
        struct kw_path p = kw_path_moved(&a, &slot, m);
        for (int k = 0; k < 4 && i % 3 == 0; k++) {
            p.v[k].x = round(p.v[k].x * 1000) / 1000;
            p.v[k].y = round(p.v[k].y * 1000) / 1000;
        }
        struct kw_error err = {0};
        cr_expect_eq(kw_path_check(&p, here, &err), KW_OK, "slot %d %s", i, err.text);
    }
    kw_arena_free(&a);
}

Test(geom_check, two_thousand_corners_are_checked_and_one_crossing_is_found) {
    struct kw_arena a = {0};
    struct kw_path p = {0};
    for (int i = 0; i < 2000; i++) {
        double r = i % 2 ? 500 : 480, angle = 2 * KW_PI * i / 2000;
        kw_path_add(&a, &p, r * cos(angle), r * sin(angle), i % 5 == 0 ? 0.02 : 0, 0);
    }
    cr_expect_eq(kw_path_check(&p, here, NULL), KW_OK);
    // One tooth that points to the far side goes through it.
    p.v[501].x = 3;
    p.v[501].y = -520;
    struct kw_error err = {0};
    cr_expect_eq(kw_path_check(&p, here, &err), KW_GEOMETRY);
    cr_expect(strstr(err.text, "crosses itself at") != NULL);
    kw_arena_free(&a);
}
