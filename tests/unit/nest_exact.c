// SPDX-License-Identifier: Apache-2.0
// Small nests whose best answer is known, and the rules that a placement must keep.
#include "nest_parts.h"

static struct kw_arena arena;

static void free_arena(void) {
    kw_arena_free(&arena);
}

TestSuite(nest_exact, .fini = free_arena);

Test(nest_exact, squares_tile_a_sheet_without_rest) {
    struct kw_region square = rectangle(&arena, 50, 50);
    struct kw_nest_part part = {.outline = &square, .count = 16};
    struct kw_nest_sheet sheet = {.width = 200, .height = 200, .count = -1, .price = 10};
    struct kw_nest n = nest(&arena, &part, 1, &sheet, 1, tight(10000));
    cr_expect_eq(n.sheets_used, 1);
    cr_expect_float_eq(n.density, 1, 1e-9);
    cr_expect_float_eq(n.value, n.lower_bound, 1e-9);
    cr_expect_eq(n.stopped_by, KW_NEST_STOPPED_BY_BOUND);
}

Test(nest_exact, spacing_and_margin_are_kept_to_the_last_hair) {
    struct kw_region bar = rectangle(&arena, 40, 100);
    struct kw_nest_part part = {.outline = &bar, .count = 3};
    struct kw_nest_options o = tight(10000);
    o.spacing = 10;
    o.margin = 5;
    struct {
        double width;
        int sheets;
    } cases[] = {{150, 1}, {149.99, 2}, {101, 2}};
    for (int i = 0; i < COUNT(cases); i++) {
        struct kw_nest_sheet s = {.width = cases[i].width, .height = 110, .count = -1};
        struct kw_nest n = nest(&arena, &part, 1, &s, 1, o);
        cr_expect_eq(n.sheets_used, cases[i].sheets, "%g wide: %d sheets", cases[i].width,
                     n.sheets_used);
    }
}

Test(nest_exact, two_triangles_make_a_square) {
    struct kw_region t = polygon(&arena, (const double[][2]){{0, 0}, {100, 0}, {0, 100}}, 3);
    struct kw_nest_part part = {.outline = &t, .count = 2};
    struct kw_nest_sheet sheet = {.width = 100, .height = 100, .count = -1};
    struct kw_nest n = nest(&arena, &part, 1, &sheet, 1, tight(20000));
    cr_expect_eq(n.sheets_used, 1);
    cr_expect_float_eq(n.density, 1, 1e-9);
}

Test(nest_exact, two_angles_make_a_rectangle) {
    struct kw_region l = polygon(
        &arena, (const double[][2]){{0, 0}, {90, 0}, {90, 30}, {30, 30}, {30, 60}, {0, 60}}, 6);
    struct kw_nest_part part = {.outline = &l, .count = 2};
    struct kw_nest_sheet sheet = {
        .width = 120, .height = 60, .count = -1}; // no smaller one holds both
    struct kw_nest n = nest(&arena, &part, 1, &sheet, 1, tight(20000));
    cr_expect_eq(n.sheets_used, 1);
}

Test(nest_exact, a_small_part_goes_into_the_hole_of_a_large_one) {
    struct kw_region ring = disc_shape(&arena, 100), disc = disc_shape(&arena, 70);
    add_hole(&arena, &ring, 0, 0, 78);
    struct kw_nest_part parts[] = {{.outline = &ring, .count = 2}, {.outline = &disc, .count = 2}};
    struct kw_nest_sheet sheet = {.width = 420, .height = 210, .count = -1};
    struct kw_nest_options o = tight(20000);
    o.spacing = 6;
    o.margin = 5;
    struct kw_nest n = nest(&arena, parts, 2, &sheet, 1, o);
    cr_expect_eq(n.sheets_used, 1);
    for (int i = 0; i < 4; i++) { // each disc about the middle of a ring, 2 mm play at most
        struct kw_nest_placement p = n.layouts[0].placements[i];
        if (p.part == 0) continue;
        double best = INFINITY;
        for (int k = 0; k < 4; k++) {
            struct kw_nest_placement q = n.layouts[0].placements[k];
            if (q.part == 0) best = fmin(best, hypot(p.x - q.x, p.y - q.y));
        }
        cr_expect(best <= 2.001, "%g", best);
    }
}

Test(nest_exact, a_part_is_turned_over_only_where_it_may_be) {
    // a hook that fits the cut-out sheet only turned over
    const double hook[][2] = {{0, 0}, {100, 0}, {100, 100}, {80, 100}, {80, 20}, {0, 20}};
    const double room[][2] = {{0, 0}, {102, 0}, {102, 22}, {22, 22}, {22, 102}, {0, 102}};
    struct kw_region h = polygon(&arena, hook, 6), s = polygon(&arena, room, 6);
    double as_drawn[] = {0};
    struct kw_nest_part part = {
        .outline = &h, .count = 1, .rotations = as_drawn, .rotation_count = 1};
    struct kw_nest_sheet sheet = {.width = 102, .height = 102, .outline = &s, .count = 1};
    struct kw_nest n = nest(&arena, &part, 1, &sheet, 1, tight(1000));
    cr_assert_eq(n.unplaced_count, 1);
    cr_expect(n.unplaced[0].too_large);
    part.may_mirror = true;
    n = nest(&arena, &part, 1, &sheet, 1, tight(1000));
    cr_assert_eq(n.unplaced_count, 0);
    cr_expect(n.layouts[0].placements[0].mirrored);
    cr_expect_float_eq(n.layouts[0].placements[0].x, 101, 1.0001);
}

Test(nest_exact, only_listed_rotations_are_used_and_grain_runs_with_the_sheet) {
    struct kw_region bar = rectangle(&arena, 80, 20);
    double thirty[] = {KW_PI / 6};
    struct kw_nest_part listed = {
        .outline = &bar, .count = 3, .rotations = thirty, .rotation_count = 1};
    struct kw_nest_sheet sheet = {.width = 300, .height = 200, .count = -1, .grain = KW_PI / 2};
    struct kw_nest n = nest(&arena, &listed, 1, &sheet, 1, tight(1000));
    cr_assert_eq(placed(&n, 0), 3);
    for (int i = 0; i < 3; i++) {
        cr_expect_float_eq(n.layouts[0].placements[i].rotation, KW_PI / 6, 1e-12);
    }
    struct kw_nest_part grained = {.outline = &bar, .count = 5, .has_grain = true, .grain = 0.3};
    n = nest(&arena, &grained, 1, &sheet, 1, tight(1000));
    cr_assert_eq(placed(&n, 0), 5);
    for (int i = 0; i < 5; i++) {
        double lies = n.layouts[0].placements[i].rotation + 0.3;
        cr_expect_float_eq(sin(lies - KW_PI / 2), 0, 1e-9);
    }
}

Test(nest_exact, the_cheapest_mix_of_sheets_is_chosen) {
    struct kw_region square = rectangle(&arena, 98, 98);
    struct kw_nest_part part = {.outline = &square, .count = 5};
    // 4 on a large one at 30, 1 on a small one at 10: 40 for all; large ones alone 60, small 50
    struct kw_nest_sheet sheets[] = {{.width = 200, .height = 200, .count = -1, .price = 30},
                                     {.width = 100, .height = 100, .count = -1, .price = 10}};
    struct kw_nest n = nest(&arena, &part, 1, sheets, 2, tight(20000));
    cr_expect_float_eq(n.value, 40, 1e-9);
    sheets[1].price = 7; // now the small ones alone are best
    n = nest(&arena, &part, 1, sheets, 2, tight(20000));
    cr_expect_float_eq(n.value, 35, 1e-9);
    sheets[1].count = 2; // of which there are only two
    n = nest(&arena, &part, 1, sheets, 2, tight(20000));
    cr_expect_float_eq(n.value, 37, 1e-9);
}

Test(nest_exact, equal_sheets_are_one_layout_cut_several_times) {
    struct kw_region square = rectangle(&arena, 90, 90);
    struct kw_nest_part part = {.outline = &square, .count = 30};
    struct kw_nest_sheet sheet = {.width = 200, .height = 200, .count = -1};
    struct kw_nest n = nest(&arena, &part, 1, &sheet, 1, tight(5000));
    cr_expect_eq(n.sheets_used, 8);
    cr_expect_eq(placed(&n, 0), 30);
    cr_assert_eq(n.layout_count, 2);
    cr_expect_eq(n.layouts[0].times, 7);
    bool seen[31] = {0};
    for (int i = 0; i < 2; i++) {
        for (int k = 0; k < n.layouts[i].placement_count; k++) {
            for (int t = 0; t < n.layouts[i].times; t++) {
                int copy = n.layouts[i].placements[k].copy + t;
                cr_assert(copy >= 1 && copy <= 30 && !seen[copy]);
                seen[copy] = true;
            }
        }
    }
}

Test(nest_exact, places_to_keep_out_of_stay_free) {
    struct kw_region sheet_outline = rectangle(&arena, 300, 100);
    add_hole(&arena, &sheet_outline, 150, 50, 30); // a clamp in the middle
    struct kw_region square = rectangle(&arena, 100, 100);
    struct kw_nest_part part = {.outline = &square, .count = 3};
    struct kw_nest_sheet sheet = {
        .width = 300, .height = 100, .outline = &sheet_outline, .count = 1};
    struct kw_nest n = nest(&arena, &part, 1, &sheet, 1, tight(1000));
    cr_expect_eq(placed(&n, 0), 2);
    cr_assert_eq(n.unplaced_count, 1);
    cr_expect_eq(n.unplaced[0].count, 1);
    cr_expect_not(n.unplaced[0].too_large);
}

Test(nest_exact, what_is_too_large_is_named_with_its_numbers_and_the_rest_is_nested) {
    struct kw_region plank = rectangle(&arena, 500, 40), square = rectangle(&arena, 50, 50);
    struct kw_nest_part parts[] = {{.outline = &plank, .count = 2},
                                   {.outline = &square, .count = 3}};
    struct kw_nest_sheet sheet = {.width = 400, .height = 300, .count = -1};
    struct kw_nest_options o = tight(1000);
    o.margin = 10;
    struct kw_nest n = nest(&arena, parts, 2, &sheet, 1, o);
    cr_expect_eq(placed(&n, 1), 3);
    cr_assert_eq(n.unplaced_count, 1);
    struct kw_nest_unplaced u = n.unplaced[0];
    cr_expect_eq(u.part, 0);
    cr_expect_eq(u.count, 2);
    cr_expect(u.too_large);
    cr_expect_eq(u.nearest_sheet, 0);
    cr_expect_float_eq(u.need[0], 520, 1e-9);
    cr_expect_float_eq(u.need[1], 60, 1e-9);
    cr_expect_float_eq(u.have[0], 400, 1e-9);
}

Test(nest_exact, no_sheets_or_no_parts_is_no_error) {
    struct kw_region square = rectangle(&arena, 50, 50);
    struct kw_nest_part part = {.outline = &square, .count = 3};
    struct kw_nest n = nest(&arena, &part, 1, NULL, 0, tight(1000));
    cr_assert_eq(n.unplaced_count, 1);
    cr_expect_eq(n.unplaced[0].nearest_sheet, -1);
    struct kw_nest_sheet sheet = {.width = 400, .height = 300, .count = -1};
    n = nest(&arena, NULL, 0, &sheet, 1, tight(1000));
    cr_expect_eq(n.sheets_used, 0);
    part.count = 0;
    n = nest(&arena, &part, 1, &sheet, 1, tight(1000));
    cr_expect_eq(n.sheets_used + n.unplaced_count, 0);
}

Test(nest_exact, drops_are_free_apart_and_worth_keeping) {
    struct kw_region square = rectangle(&arena, 300, 300);
    struct kw_nest_part part = {.outline = &square, .count = 2};
    struct kw_nest_sheet sheets[] = {{.width = 2000, .height = 1000, .count = -1},
                                     {.width = 1000, .height = 2000, .count = -1}};
    struct kw_nest_options o = kw_nest_options_default();
    for (int i = 0; i < 2; i++) {
        struct kw_nest n = nest(&arena, &part, 1, &sheets[i], 1, o);
        cr_assert_eq(n.sheets_used, 1);
        const struct kw_nest_layout *l = &n.layouts[0];
        cr_assert_geq(l->drop_count, 1);
        double area = 0;
        for (int k = 0; k < l->drop_count; k++) {
            struct kw_box2 d = l->drops[k];
            double x = d.max.x - d.min.x, y = d.max.y - d.min.y;
            cr_expect(fmin(x, y) >= o.drop_short && fmax(x, y) >= o.drop_long);
            cr_expect(d.min.x >= l->used.max.x + o.spacing - 1e-9 ||
                      d.min.y >= l->used.max.y + o.spacing - 1e-9);
            area += x * y;
        }
        // both squares side by side across the short side: a strip of 1000 x 1686 is left
        cr_expect(area >= 1000 * 1686 - 1, "%g", area);
        cr_expect_float_eq(area, n.drop_area, 1e-6);
    }
}

static bool always(void *user) {
    (void)user;
    return true;
}

Test(nest_exact, a_bad_job_is_refused_by_name) {
    struct kw_region good = rectangle(&arena, 50, 50), wrong_way = {0}, crossed;
    wrong_way.outer = kw_path_oriented(&arena, &good.outer, false);
    crossed = polygon(&arena, (const double[][2]){{0, 0}, {50, 50}, {50, 0}, {0, 60}}, 4);
    struct kw_nest_sheet sheet = {.width = 400, .height = 300, .count = -1};
    double nan_rotation[] = {NAN};
    struct {
        struct kw_nest_part part;
        double spacing, width;
        enum kw_status want;
    } cases[] = {
        {{.outline = &good, .count = 2000000}, 0, 400, KW_LIMIT},
        {{.outline = &good, .count = -1}, 0, 400, KW_RANGE},
        {{.outline = &wrong_way, .count = 1}, 0, 400, KW_GEOMETRY},
        {{.outline = &crossed, .count = 1}, 0, 400, KW_GEOMETRY},
        {{.outline = &good, .count = 1, .rotations = nan_rotation, .rotation_count = 1},
         0,
         400,
         KW_RANGE},
        {{.outline = &good, .count = 1}, NAN, 400, KW_RANGE},
        {{.outline = &good, .count = 1}, -1, 400, KW_RANGE},
        {{.outline = &good, .count = 1}, 0, NAN, KW_RANGE},
        {{.outline = &good, .count = 1}, 0, 0, KW_RANGE},
    };
    for (int i = 0; i < COUNT(cases); i++) {
        struct kw_nest_options o = tight(1000);
        o.spacing = cases[i].spacing;
        sheet.width = cases[i].width;
        struct kw_nest_job job = {&cases[i].part, 1, &sheet, 1};
        struct kw_nest out;
        struct kw_error err = {0};
        cr_expect_eq(kw_nest(&arena, &job, &o, &out, &err), cases[i].want, "case %d: %s", i,
                     err.text);
        cr_expect(err.text[0] != 0);
    }
}

Test(nest_exact, stops_when_told_to) {
    struct kw_region square = rectangle(&arena, 50, 50);
    struct kw_nest_part part = {.outline = &square, .count = 100};
    struct kw_nest_sheet sheet = {.width = 400, .height = 300, .count = -1};
    struct kw_watch watch = {.stopped = always};
    struct kw_nest_options o = tight(1000);
    o.watch = &watch;
    struct kw_nest_job job = {&part, 1, &sheet, 1};
    struct kw_nest out;
    struct kw_error err = {0};
    cr_expect_eq(kw_nest(&arena, &job, &o, &out, &err), KW_STOPPED);
}
