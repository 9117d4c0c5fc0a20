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
