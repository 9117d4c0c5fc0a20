// SPDX-License-Identifier: Apache-2.0
// Sheets that were cut up without waste are filled again, to the last corner; and where nothing
// fits so, next to no work is spent on it.
#include "bench/cut_up.h"
#include "nest/jigsaw.h"
#include "nest/prepare.h"
#include "nest_parts.h"

static struct kw_arena arena;

static void free_arena(void) {
    kw_arena_free(&arena);
}

TestSuite(nest_jigsaw, .fini = free_arena);

static struct kw_nest fill_again(const struct cut_job *cut, struct kw_nest_options o) {
    struct kw_nest_sheet sheet = {
        .width = cut->width, .height = cut->height, .count = -1, .price = 1};
    struct kw_nest n = nest(&arena, cut->parts, cut->count, &sheet, 1, o);
    double least = least_clearance(&arena, &n, cut->parts, &sheet, o);
    cr_expect(least > -1e-5, "overlap or overhang of %g mm", -least);
    for (int i = 0; i < cut->count; i++)
        cr_expect_eq(placed(&n, i), cut->parts[i].count, "part %d", i);
    return n;
}

Test(nest_jigsaw, sheets_cut_up_by_any_lines_are_filled_again) {
    for (int kind = 0; kind < CUT_KINDS; kind++) {
        for (uint64_t seed = 1; seed <= 4; seed++) {
            struct cut_job cut = cut_up(&arena, seed, (enum cut_kind)kind, 3, 9, seed % 2 == 0);
            cr_assert_eq(cut.count, 27);
            struct kw_nest n = fill_again(&cut, tight(400000));
            cr_expect_eq(n.sheets_used, 3, "cuts %d, seed %lu: %d sheets", kind,
                         (unsigned long)seed, n.sheets_used);
            cr_expect_eq(n.stopped_by, KW_NEST_STOPPED_BY_BOUND);
            cr_expect_float_eq(n.density, 1, 1e-9);
        }
    }
}

Test(nest_jigsaw, the_same_sheets_on_any_number_of_threads) {
    struct cut_job cut = cut_up(&arena, 5, CUT_BENT, 3, 12, false);
    struct kw_nest_options o = tight(400000);
    struct kw_nest one = fill_again(&cut, o);
    o.threads = 4;
    struct kw_nest four = fill_again(&cut, o);
    cr_assert_eq(one.layout_count, four.layout_count);
    cr_expect_eq(one.steps, four.steps);
    for (int l = 0; l < one.layout_count; l++) {
        cr_assert_eq(one.layouts[l].placement_count, four.layouts[l].placement_count);
        for (int i = 0; i < one.layouts[l].placement_count; i++) {
            struct kw_nest_placement p = one.layouts[l].placements[i];
            struct kw_nest_placement q = four.layouts[l].placements[i];
            cr_expect(p.part == q.part && p.x == q.x && p.y == q.y && p.rotation == q.rotation);
        }
    }
}

Test(nest_jigsaw, some_parts_less_still_fill_the_other_sheets) {
    struct cut_job cut = cut_up(&arena, 7, CUT_LINES, 4, 8, false);
    for (int i = 0; i < 3; i++)
        cut.parts[i].count = 0;
    struct kw_nest n = fill_again(&cut, tight(400000));
    cr_expect_eq(n.sheets_used, 4);
    for (int i = 0; i < n.layout_count; i++) // at least the sheets none of those came from
        if (n.layouts[i].density > 1 - 1e-9) return;
    cr_expect(false, "no sheet without waste");
}

Test(nest_jigsaw, one_sheet_of_them_is_as_short_as_it_can_be) {
    for (int kind = 0; kind < CUT_BOXES; kind++) {
        struct cut_job cut = cut_up(&arena, 11 + (uint64_t)kind, (enum cut_kind)kind, 1, 14, true);
        struct kw_nest_sheet strip = {.width = 4000, .height = cut.height, .count = 1};
        struct kw_nest_options o = tight(400000);
        struct kw_nest n = nest(&arena, cut.parts, cut.count, &strip, 1, o);
        cr_assert_eq(n.layout_count, 1);
        cr_expect_float_eq(n.layouts[0].used.max.x, 1000, 1e-6, "cuts %d", kind);
        cr_expect(least_clearance(&arena, &n, cut.parts, &strip, o) > -1e-5);
    }
}

// A sheet of 1000 x 700 with a margin of 8 in rectangles that lie 6 apart.
Test(nest_jigsaw, a_gap_between_the_parts_is_kept) {
    static const double sizes[][2] = {{400, 300}, {578, 204}, {578, 90}, {251, 378},
                                      {727, 180}, {300, 192}, {421, 192}};
    struct kw_region shapes[COUNT(sizes)];
    struct kw_nest_part parts[COUNT(sizes)];
    struct cut_job cut = {parts, COUNT(sizes), 1000, 700};
    for (int i = 0; i < COUNT(sizes); i++) {
        shapes[i] = rectangle(&arena, sizes[i][i % 2], sizes[i][1 - i % 2]);
        parts[i] = (struct kw_nest_part){.outline = &shapes[i], .count = 2};
    }
    struct kw_nest_options o = tight(400000);
    o.spacing = 6;
    o.margin = 8;
    struct kw_nest n = fill_again(&cut, o);
    cr_expect_eq(n.sheets_used, 2);
}

/// As a file gives them: with six digits behind the point.
static void round_off(struct cut_job *cut, double grid) {
    for (int i = 0; i < cut->count; i++) {
        struct kw_region *r = KW_NEW(&arena, struct kw_region);
        r->outer = kw_path_copy(&arena, &cut->parts[i].outline->outer);
        for (int k = 0; k < r->outer.count; k++) {
            r->outer.v[k].x = grid * round(r->outer.v[k].x / grid);
            r->outer.v[k].y = grid * round(r->outer.v[k].y / grid);
        }
        cut->parts[i].outline = r;
    }
}

Test(nest_jigsaw, digits_that_were_cut_off_do_not_matter) {
    for (int kind = 0; kind < CUT_KINDS; kind++) {
        struct cut_job cut = cut_up(&arena, 21, (enum cut_kind)kind, 2, 12, false);
        round_off(&cut, 1e-6);
        cr_expect_eq(fill_again(&cut, tight(400000)).sheets_used, 2, "cuts %d", kind);
    }
}

Test(nest_jigsaw, upright_sheets_and_parts_that_lie_turned_over) {
    struct cut_job cut = cut_up(&arena, 31, CUT_BENT, 3, 9, true);
    for (int i = 0; i < cut.count; i += 2) {
        struct kw_region *r = KW_NEW(&arena, struct kw_region);
        struct kw_path path =
            kw_path_moved(&arena, &cut.parts[i].outline->outer, kw_move2_make(0, 0, 0, true));
        r->outer = kw_path_oriented(&arena, &path, true);
        cut.parts[i].outline = r;
        cut.parts[i].may_mirror = true;
    }
    double width = cut.width;
    cut.width = cut.height;
    cut.height = width;
    cr_expect_eq(fill_again(&cut, tight(400000)).sheets_used, 3);
}

Test(nest_jigsaw, a_sheet_that_is_filled_is_cut_again_while_copies_last) {
    struct cut_job cut = cut_up(&arena, 41, CUT_LINES, 1, 12, false);
    for (int i = 0; i < cut.count; i++)
        cut.parts[i].count = 5;
    struct kw_nest n = fill_again(&cut, tight(400000));
    cr_expect_eq(n.sheets_used, 5);
    cr_expect_eq(n.layout_count, 1);
}

Test(nest_jigsaw, sheets_of_two_sizes_are_filled_as_they_were_cut) {
    struct cut_job cut = cut_up(&arena, 51, CUT_LINES, 2, 8, false);
    struct cut_job other = cut_up(&arena, 52, CUT_LINES, 2, 8, true);
    struct kw_nest_part parts[32];
    memcpy(parts, cut.parts, 16 * sizeof *parts);
    memcpy(parts + 16, other.parts, 16 * sizeof *parts);
    struct kw_nest_sheet sheets[2] = {{.width = 1000, .height = 1000, .count = 2},
                                      {.width = 1000, .height = 700, .count = 3}};
    struct kw_nest n = nest(&arena, parts, 32, sheets, 2, tight(1500000));
    cr_expect_float_eq(n.value, 3.4, 1e-9);
    cr_expect_eq(n.unplaced_count, 0);
}

static double share_for(const struct kw_nest_part *parts, int count, double spacing) {
    struct kw_nest_sheet sheet = {.width = 2500, .height = 1250, .count = -1};
    struct kw_nest_job job = {parts, count, &sheet, 1};
    struct kw_nest_options o = tight(1000);
    o.spacing = spacing;
    struct world w = {.a = &arena, .job = &job, .options = &o};
    struct jigsaw j;
    prepare_world(&w);
    jigsaw_begin(&j, &w, false, 0);
    double share = j.share;
    jigsaw_end(&j);
    contacts_free(&w.contacts);
    return share;
}

Test(nest_jigsaw, where_nothing_fits_so_next_to_no_work_is_spent) {
    struct kw_region shapes[12];
    struct kw_nest_part parts[12];
    uint64_t random = 3;
    for (int i = 0; i < COUNT(shapes); i++) {
        shapes[i] = random_shape(&arena, &random);
        parts[i] = (struct kw_nest_part){.outline = &shapes[i], .count = 3};
    }
    cr_expect_leq(share_for(parts, COUNT(parts), 0), 0.01);
    cr_expect_eq(share_for(parts, COUNT(parts), 6), 0);
}
