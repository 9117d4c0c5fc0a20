// SPDX-License-Identifier: Apache-2.0
// What is still free of a sheet: what lies in it, and what is left when that is cut out.
#include "nest/gap.h"
#include "nest_parts.h"

#include <string.h>

static struct kw_arena arena;

static void free_arena(void) {
    kw_arena_free(&arena);
}

TestSuite(nest_gap, .fini = free_arena);

static struct gap gap_of(const struct kw_vec2 *v, int n) {
    return (struct gap){v, n, tile_area(v, n), tile_box(v, n)};
}

static struct tile tile_of_points(const struct kw_vec2 *v, int n) {
    return (struct tile){v, n, tile_area(v, n), tile_around(v, n), 0, tile_box(v, n)};
}

#define POINTS(name, ...) static const struct kw_vec2 name[] = {__VA_ARGS__}

POINTS(square, {0, 0}, {100, 0}, {100, 100}, {0, 100});
POINTS(ell, {0, 0}, {100, 0}, {100, 40}, {40, 40}, {40, 100}, {0, 100});
POINTS(box_30, {0, 0}, {30, 0}, {30, 30}, {0, 30});
POINTS(diamond, {50, 0}, {100, 50}, {50, 100}, {0, 50});
POINTS(bar, {0, 0}, {100, 0}, {100, 20}, {0, 20});

static bool holds(struct gap g, struct tile t, double x, double y, struct snug *snug) {
    long work = 0;
    bool held = gap_holds(&g, &t, kw_v2(x, y), snug, &work);
    cr_expect(work > 0);
    return held;
}

Test(nest_gap, a_shape_lies_within_or_it_does_not) {
    struct gap g = gap_of(ell, COUNT(ell));
    struct tile t = tile_of_points(box_30, COUNT(box_30));
    struct snug snug;
    cr_expect(holds(g, t, 0, 0, &snug));
    cr_expect_float_eq(snug.flush, 60, 1e-9);
    cr_expect_eq(snug.corners, 1);
    cr_expect(holds(g, t, 5, 5, &snug));
    cr_expect_float_eq(snug.flush, 0, 1e-9);
    cr_expect(holds(g, t, 70, 10, &snug));     // in a corner that turns in, and on two sides
    cr_expect_not(holds(g, t, 40, 40, &snug)); // in the notch: outside, though all edges touch
    cr_expect_not(holds(g, t, 20, 20, &snug)); // over the corner that turns in
    cr_expect_not(holds(g, t, 70.001, 10, &snug));
    cr_expect_not(holds(g, t, -30, 0, &snug)); // flush with it from outside
}

Test(nest_gap, edges_through_corners_do_not_get_out) {
    struct gap g = gap_of(diamond, COUNT(diamond));
    struct snug snug;
    struct tile whole = tile_of_points(square, COUNT(square));
    cr_expect_not(holds(g, whole, 0, 0, &snug)); // its corners touch edges from outside
    POINTS(inner, {25, 25}, {75, 25}, {75, 75}, {25, 75});
    cr_expect(holds(g, tile_of_points(inner, 4), 0, 0, &snug)); // all corners on edges
}

static double area_left(const struct gap *out, int n) {
    double area = 0;
    for (int i = 0; i < n; i++) {
        area += out[i].area;
        cr_expect_float_eq(out[i].area, tile_area(out[i].v, out[i].count), 1e-3);
    }
    return area;
}

static int cut_out(struct gap g, struct tile t, double x, double y, struct gap out[8]) {
    static struct kw_vec2 points[64];
    struct carving c = {.a = &arena};
    long work = 0;
    return gap_minus(&c, &g, &t, kw_v2(x, y), points, out, &work);
}

Test(nest_gap, what_is_left_falls_apart_where_it_only_touches) {
    struct gap g = gap_of(square, COUNT(square)), out[8];
    cr_expect_eq(cut_out(g, tile_of_points(square, 4), 0, 0, out), 0);
    cr_assert_eq(cut_out(g, tile_of_points(box_30, 4), 0, 0, out), 1);
    cr_expect_eq(out[0].count, 6);
    cr_expect_float_eq(out[0].area, 9100, 1e-9);
    cr_assert_eq(cut_out(g, tile_of_points(bar, 4), 0, 40, out), 2); // across the middle
    cr_expect_float_eq(area_left(out, 2), 8000, 1e-9);
    cr_assert_eq(cut_out(g, tile_of_points(diamond, 4), 0, 0, out), 4); // four corners
    cr_expect_float_eq(area_left(out, 4), 5000, 1e-9);
    cr_expect_eq(cut_out(g, tile_of_points(box_30, 4), 20, 20, out), -1); // it would be a hole
}

Test(nest_gap, cut_piece_by_piece_nothing_of_a_polygon_is_left) {
    struct gap g = gap_of(ell, COUNT(ell)), out[8];
    POINTS(foot, {0, 0}, {100, 0}, {100, 40}, {40, 40});
    POINTS(leg, {0, 0}, {40, 40}, {40, 100}, {0, 100});
    cr_assert_eq(cut_out(g, tile_of_points(foot, 4), 0, 0, out), 1);
    cr_expect_eq(out[0].count, 4);
    struct kw_vec2 left[4];
    memcpy(left, out[0].v, sizeof left);
    cr_expect_eq(cut_out(gap_of(left, 4), tile_of_points(leg, 4), 0, 0, out), 0);
}
