// SPDX-License-Identifier: Apache-2.0
// Patterns that repeat: legal on the sheet, no worse than piece by piece, and against counts that
// are known by geometry.
#include "nest_parts.h"

static struct kw_arena arena;

static void free_arena(void) {
    kw_arena_free(&arena);
}

TestSuite(nest_repeat, .fini = free_arena);

/// Random outlines, sixty of each of one or two, on sheets that lie and that stand.
Test(nest_repeat, patterns_are_legal_and_no_worse_than_piece_by_piece) {
    uint64_t random = 77;
    double with = 0, without = 0;
    for (int round = 0; round < 12; round++) {
        struct kw_region shapes[2] = {random_shape(&arena, &random), random_shape(&arena, &random)};
        struct kw_nest_part parts[2];
        int count = 1 + round % 2;
        for (int i = 0; i < 2; i++) {
            parts[i] = (struct kw_nest_part){
                .outline = &shapes[i], .count = 120 / count, .may_mirror = round % 3 == 0};
        }
        struct kw_nest_sheet sheet = {.width = 1250, .height = 1000, .count = -1};
        if (round % 4 == 3)
            sheet = (struct kw_nest_sheet){.width = 900, .height = 1600, .count = -1};
        struct kw_nest_options o = kw_nest_options_default();
        o.steps = round < 6 ? 600000 : 20000;
        o.spacing = between(&random, 0, 8);
        struct kw_nest out = nest(&arena, parts, count, &sheet, 1, o);
        cr_expect_geq(least_clearance(&arena, &out, parts, &sheet, o), -1e-4);
        for (int i = 0; i < count; i++)
            cr_expect_eq(placed(&out, i), parts[i].count);
        with += out.value;
        o.piecewise = true;
        without += nest(&arena, parts, count, &sheet, 1, o).value;
    }
    cr_expect_lt(with, without, "%g against %g", with, without);
}

/// Discs stand densest in rows shifted by half a pitch (Lagrange 1773): 15 columns of six discs go
/// on this sheet, sqrt(3)/2 of the pitch apart.
Test(nest_repeat, discs_stand_as_in_a_honeycomb) {
    struct kw_region disc = disc_shape(&arena, 90);
    struct kw_nest_part part = {.outline = &disc, .count = 900};
    struct kw_nest_sheet sheet = {.width = 2500, .height = 1250, .count = -1};
    struct kw_nest_options o = kw_nest_options_default();
    struct kw_nest out = nest(&arena, &part, 1, &sheet, 1, o);
    cr_expect_leq(out.sheets_used, 10);
    cr_expect_geq(least_clearance(&arena, &out, &part, &sheet, o), -1e-4);
}

/// Angles whose legs are four times as long as wide, one behind the other along the diagonal, make
/// bands with stepped edges that fit into each other: they tile the plane, each a lattice step of
/// (t, t) and (7 t, 0) from the next, which is their area (7 t2). Columns that stand cover 0.7 of
/// it at most: two angles in a box of 5 t x 4 t.
Test(nest_repeat, angles_interlock_along_a_slanted_line) {
    const double xy[][2] = {{0, 0}, {80, 0}, {80, 20}, {20, 20}, {20, 80}, {0, 80}};
    struct kw_region angle = polygon(&arena, xy, 6);
    struct kw_nest_part part = {.outline = &angle, .count = 1800};
    struct kw_nest_sheet sheet = {.width = 2000, .height = 1000, .count = -1};
    struct kw_nest_options o = tight(200000);
    struct kw_nest out = nest(&arena, &part, 1, &sheet, 1, o);
    double net = kw_region_area(&angle) / (sheet.width * sheet.height);
    cr_expect_eq(placed(&out, 0), part.count);
    cr_expect_geq(least_clearance(&arena, &out, &part, &sheet, o), -1e-4);
    int most = 0;
    for (int i = 0; i < out.layout_count; i++)
        most = out.layouts[i].placement_count > most ? out.layouts[i].placement_count : most;
    cr_expect_gt(most * net, 0.9, "%d on a sheet, %g of it", most, most * net);
}

/// Slender angles: many columns lie within the width of one, and each must be clear of all.
Test(nest_repeat, slender_angles_are_clear_of_columns_far_away) {
    for (int i = 0; i < 8; i++) {
        double t = 12 + 4 * (i % 4), a = i < 4 ? 240 : 300, b = i % 2 ? a : 0.7 * a;
        const double xy[][2] = {{0, 0}, {a, 0}, {a, t}, {t, t}, {t, b}, {0, b}};
        struct kw_region angle = polygon(&arena, xy, 6);
        struct kw_nest_part part = {.outline = &angle, .count = 300};
        struct kw_nest_sheet sheet = {.width = 2000, .height = 1000, .count = -1};
        struct kw_nest_options o = tight(100000);
        o.spacing = i % 3 * 3;
        struct kw_nest out = nest(&arena, &part, 1, &sheet, 1, o);
        cr_expect_eq(placed(&out, 0), part.count);
        cr_expect_geq(least_clearance(&arena, &out, &part, &sheet, o), -1e-4, "%g x %g x %g", a, b,
                      t);
    }
}

/// Two right-angled triangles make a rectangle: with no spacing nothing is lost.
Test(nest_repeat, triangles_fill_sheets_whole) {
    const double xy[][2] = {{0, 0}, {100, 0}, {0, 80}};
    struct kw_region gusset = polygon(&arena, xy, 3);
    struct kw_nest_part part = {.outline = &gusset, .count = 2 * 10 * 10 * 7};
    struct kw_nest_sheet sheet = {.width = 1000, .height = 800, .count = -1};
    struct kw_nest out = nest(&arena, &part, 1, &sheet, 1, tight(100000));
    cr_expect_eq(out.sheets_used, 7);
    cr_expect_eq(out.layout_count, 1, "one program, seven times: %d", out.layout_count);
    cr_expect_geq(least_clearance(&arena, &out, &part, &sheet, tight(1)), -1e-4);
}

/// Least gap between a part and a place to keep out of.
static double least_gap(const struct kw_nest *n, const struct kw_nest_part *parts,
                        const struct kw_region *sheet) {
    double least = INFINITY;
    for (int l = 0; l < n->layout_count; l++) {
        for (int i = 0; i < n->layouts[l].placement_count; i++) {
            struct kw_nest_placement p = n->layouts[l].placements[i];
            struct kw_path lies = kw_path_moved(&arena, &parts[p.part].outline->outer,
                                                kw_move2_make(p.x, p.y, p.rotation, p.mirrored));
            for (int k = 0; k < sheet->hole_count; k++) {
                least = fmin(least, kw_path_gap(&lies, &sheet->holes[k]));
                if (kw_path_contains(&lies, kw_v2(sheet->holes[k].v[0].x, sheet->holes[k].v[0].y)))
                    least = -1;
            }
        }
    }
    return least;
}

static void add_keep_out(struct kw_region *r, double x, double y, double wide, double high) {
    struct kw_path box = kw_path_box_outline(&arena, x, y, x + wide, y + high, 0);
    KW_PUSH(&arena, r->holes, r->hole_count) = kw_path_oriented(&arena, &box, false);
}

/// A torn strip right across the sheet: four columns of whole rectangles left of it and five right
/// of it, which begin anew behind it.
Test(nest_repeat, columns_begin_anew_behind_a_torn_strip) {
    const double xy[][2] = {{0, 0}, {100, 0}, {0, 80}};
    struct kw_region gusset = polygon(&arena, xy, 3), torn = rectangle(&arena, 1000, 800);
    add_keep_out(&torn, 430, 0, 50, 800);
    struct kw_nest_part part = {.outline = &gusset, .count = 2 * 9 * 10 * 3};
    struct kw_nest_sheet sheet = {.width = 1000, .height = 800, .outline = &torn, .count = -1};
    struct kw_nest out = nest(&arena, &part, 1, &sheet, 1, tight(150000));
    cr_expect_eq(out.sheets_used, 3);
    cr_expect_geq(least_clearance(&arena, &out, &part, &sheet, tight(1)), -1e-4);
    cr_expect_geq(least_gap(&out, &part, &torn), -1e-4);
}

/// Rows of ten squares with a clamp between the fourth and the fifth of one: pushed past it, that
/// row holds nine. Piece by piece is as good with squares, so the count is known.
Test(nest_repeat, a_row_is_pushed_past_a_clamp) {
    struct kw_region square = rectangle(&arena, 98, 98), clamped = rectangle(&arena, 1060, 700);
    add_keep_out(&clamped, 390, 0, 60, 50);
    struct kw_nest_part part = {.outline = &square, .count = 69 * 4};
    struct kw_nest_sheet sheet = {.width = 1060, .height = 700, .outline = &clamped, .count = -1};
    struct kw_nest_options o = tight(200000);
    o.spacing = 2;
    struct kw_nest out = nest(&arena, &part, 1, &sheet, 1, o);
    cr_expect_eq(out.sheets_used, 4);
    cr_expect_geq(least_clearance(&arena, &out, &part, &sheet, o), -1e-4);
}

/// Random outlines around random clamps, on sheets that lie and that stand.
Test(nest_repeat, patterns_keep_off_clamps_and_beat_piece_by_piece) {
    uint64_t random = 4711;
    double with = 0, without = 0;
    for (int round = 0; round < 6; round++) {
        struct kw_region shapes[2] = {random_shape(&arena, &random), random_shape(&arena, &random)};
        struct kw_nest_part parts[2];
        int count = 1 + round % 2;
        double width = round % 3 ? 1250 : 900, height = round % 3 ? 1000 : 1600;
        struct kw_region clamped = rectangle(&arena, width, height);
        for (int i = 0; i < 3; i++) {
            double wide = between(&random, 20, 150), high = between(&random, 20, 80);
            add_keep_out(&clamped, between(&random, 0, width - wide), i % 2 ? height - high : 0,
                         wide, high);
        }
        for (int i = 0; i < 2; i++)
            parts[i] = (struct kw_nest_part){.outline = &shapes[i], .count = 500 / count};
        struct kw_nest_sheet sheet = {width, height, &clamped, -1, 0, 0};
        struct kw_nest_options o = kw_nest_options_default();
        o.steps = round < 3 ? 600000 : 20000;
        o.spacing = between(&random, 0, 8);
        struct kw_nest out = nest(&arena, parts, count, &sheet, 1, o);
        cr_expect_geq(least_clearance(&arena, &out, parts, &sheet, o), -1e-4);
        cr_expect_geq(least_gap(&out, parts, &clamped), o.margin - 1e-4);
        for (int i = 0; i < count; i++)
            cr_expect_eq(placed(&out, i), parts[i].count);
        with += out.value;
        o.piecewise = true;
        without += nest(&arena, parts, count, &sheet, 1, o).value;
    }
    cr_expect_lt(with, without, "%g against %g", with, without);
}
