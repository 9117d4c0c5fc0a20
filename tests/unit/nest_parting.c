// SPDX-License-Identifier: Apache-2.0
// Pieces parted by weights: one sheet squeezed, sheets saved; legal, the same on any number of
// threads, and against optima that are known because the pieces were cut from whole sheets.
#include "nest_parts.h"

static struct kw_arena arena;

static void free_arena(void) {
    kw_arena_free(&arena);
}

TestSuite(nest_parting, .fini = free_arena);

/// A square of side 100 cut by straight lines into eight pieces: whatever packs them into a strip
/// of breadth 100 needs a length of 100 at least. (At exactly 100 they are fitted edge on edge
/// instead, see nest_jigsaw.c.)
static const double cut_square[8][5][2] = {
    {{0, 0}, {60, 0}, {50, 30}, {0, 20}},
    {{60, 0}, {100, 0}, {100, 35}, {50, 30}},
    {{0, 20}, {50, 30}, {40, 60}, {0, 55}},
    {{50, 30}, {100, 35}, {100, 70}, {40, 60}},
    {{0, 55}, {40, 60}, {35, 100}, {0, 100}},
    {{40, 60}, {75, 65.833333333}, {70, 100}, {35, 100}},
    {{75, 65.833333333}, {100, 70}, {85, 100}, {70, 100}},
    {{100, 70}, {100, 100}, {85, 100}},
};

static int pieces_of_square(struct kw_region *shapes, struct kw_nest_part *parts, int copies) {
    static const double as_drawn[] = {0};
    for (int i = 0; i < 8; i++) {
        shapes[i] = polygon(&arena, cut_square[i], i == 7 ? 3 : 4);
        parts[i] = (struct kw_nest_part){
            .outline = &shapes[i], .count = copies, .rotations = as_drawn, .rotation_count = 1};
    }
    return 8;
}

/// Area that two placed parts share, and what lies outside the sheet, at most.
static double worst_fault(const struct kw_nest *n, const struct kw_nest_part *parts,
                          const struct kw_nest_sheet *sheets) {
    double worst = 0;
    for (int l = 0; l < n->layout_count; l++) {
        const struct kw_nest_layout *layout = &n->layouts[l];
        const struct kw_nest_sheet *s = &sheets[layout->sheet];
        struct kw_region *at = KW_NEW_ARRAY(&arena, struct kw_region, layout->placement_count);
        for (int i = 0; i < layout->placement_count; i++) {
            struct kw_nest_placement p = layout->placements[i];
            struct kw_move2 m = kw_move2_make(p.x, p.y, p.rotation, p.mirrored);
            at[i] = kw_region_moved(&arena, parts[p.part].outline, m);
            struct kw_box2 b = kw_path_box(&at[i].outer);
            worst = fmax(worst, fmax(-b.min.x, -b.min.y));
            worst = fmax(worst, fmax(b.max.x - s->width, b.max.y - s->height));
            for (int k = 0; k < i; k++)
                worst = fmax(worst, kw_region_overlap(&at[i], &at[k], 0.001));
        }
    }
    return worst;
}

Test(nest_parting, a_square_cut_into_pieces_goes_together_again) {
    struct kw_region shapes[8];
    struct kw_nest_part parts[8];
    struct kw_nest_sheet strip = {.width = 400, .height = 100.2, .count = 1}; // no exact fit
    int n = pieces_of_square(shapes, parts, 1);
    struct kw_nest out = nest(&arena, parts, n, &strip, 1, tight(1500000));
    cr_assert_eq(out.sheets_used, 1);
    double length = out.layouts[0].used.max.x;
    cr_expect(length <= 100.5 && length >= 100 / 1.002, "length %g", length);
    cr_expect(worst_fault(&out, parts, &strip) < 1e-3);
}

Test(nest_parting, sheets_are_saved_down_to_those_the_pieces_were_cut_from) {
    struct kw_region shapes[8];
    struct kw_nest_part parts[8];
    struct kw_nest_sheet sheet = {.width = 102, .height = 102, .count = -1, .price = 1};
    int n = pieces_of_square(shapes, parts, 2);
    struct kw_nest first = nest(&arena, parts, n, &sheet, 1, tight(0));
    struct kw_nest out = nest(&arena, parts, n, &sheet, 1, tight(3000000));
    cr_expect_eq(out.sheets_used, 2, "%d sheets after %d", out.sheets_used, first.sheets_used);
    cr_expect(first.sheets_used > 2);
    cr_expect(worst_fault(&out, parts, &sheet) < 1e-3);
    for (int i = 0; i < n; i++)
        cr_expect_eq(placed(&out, i), 2);
}

static bool same(const struct kw_nest *a, const struct kw_nest *b) {
    if (a->layout_count != b->layout_count || a->steps != b->steps) return false;
    for (int i = 0; i < a->layout_count; i++) {
        const struct kw_nest_layout *p = &a->layouts[i], *q = &b->layouts[i];
        if (p->placement_count != q->placement_count) return false;
        for (int k = 0; k < p->placement_count; k++) {
            struct kw_nest_placement s = p->placements[k], t = q->placements[k];
            if (s.part != t.part || s.x != t.x || s.y != t.y || s.rotation != t.rotation)
                return false;
        }
    }
    return true;
}

Test(nest_parting, threads_never_change_the_nest) {
    struct kw_region shapes[8];
    struct kw_nest_part parts[8];
    struct kw_nest_sheet sheets[2] = {{.width = 900, .height = 101, .count = 1},
                                      {.width = 103, .height = 103, .count = -1, .price = 1}};
    int n = pieces_of_square(shapes, parts, 3);
    for (int i = 0; i < 2; i++) { // a strip, and sheets
        struct kw_nest_options o = tight(100000);
        struct kw_nest one = nest(&arena, parts, n, &sheets[i], 1, o);
        o.threads = 3;
        struct kw_nest three = nest(&arena, parts, n, &sheets[i], 1, o);
        cr_expect(same(&one, &three));
        o.seed = 9;
        struct kw_nest other = nest(&arena, parts, n, &sheets[i], 1, o);
        cr_expect_not(same(&one, &other));
    }
}

Test(nest_parting, spacing_margin_and_holes_to_keep_out_of_hold_in_a_crowd) {
    struct kw_region shapes[12], sheet_outline = rectangle(&arena, 900, 500);
    struct kw_nest_part parts[12];
    uint64_t random = 3;
    for (int i = 0; i < 12; i++) {
        shapes[i] = random_shape(&arena, &random);
        parts[i] = (struct kw_nest_part){.outline = &shapes[i], .count = 1};
    }
    add_hole(&arena, &sheet_outline, 150, 250, 60); // a clamp
    struct kw_nest_sheet sheet = {
        .width = 900, .height = 500, .outline = &sheet_outline, .count = 1};
    struct kw_nest_options o = tight(300000);
    o.spacing = 5;
    o.margin = 7;
    struct kw_nest out = nest(&arena, parts, 12, &sheet, 1, o);
    for (int l = 0; l < out.layout_count; l++) {
        const struct kw_nest_layout *layout = &out.layouts[l];
        struct kw_path lies[12];
        for (int i = 0; i < layout->placement_count; i++) {
            struct kw_nest_placement p = layout->placements[i];
            lies[i] = kw_path_moved(&arena, &shapes[p.part].outer,
                                    kw_move2_make(p.x, p.y, p.rotation, p.mirrored));
            cr_expect(kw_path_gap(&lies[i], &sheet_outline.outer) >= 7 - 1e-4);
            cr_expect(kw_path_gap(&lies[i], &sheet_outline.holes[0]) >= 7 - 1e-4);
            for (int k = 0; k < i; k++) {
                double gap = kw_path_gap(&lies[i], &lies[k]);
                cr_expect(gap >= 5 - 1e-4, "%g", gap);
            }
        }
    }
    cr_expect(out.layout_count == 1 && out.layouts[0].placement_count > 6);
}

/// Seeds 1, 2 and 3 once gave the same four searches in another order, and so the same strip.
Test(nest_parting, neighbouring_seeds_search_elsewhere) {
    uint64_t random = 5;
    struct kw_region shapes[10];
    struct kw_nest_part parts[10];
    struct kw_nest_sheet strip = {.width = 4000, .height = 500, .count = 1};
    for (int i = 0; i < 10; i++) {
        shapes[i] = random_shape(&arena, &random);
        parts[i] = (struct kw_nest_part){.outline = &shapes[i], .count = 2};
    }
    double reached[3];
    for (int seed = 1; seed <= 3; seed++) {
        struct kw_nest_options o = tight(150000);
        o.seed = (uint64_t)seed;
        reached[seed - 1] = nest(&arena, parts, 10, &strip, 1, o).layouts[0].used.max.x;
    }
    cr_expect(fabs(reached[0] - reached[1]) > 1e-6 && fabs(reached[1] - reached[2]) > 1e-6,
              "%.6f %.6f %.6f", reached[0], reached[1], reached[2]);
}

/// Of several sheets the emptiest is used less than saving sheets and refilling left it (3.404
/// sheets, measured before), and everything stays legal.
Test(nest_parting, the_emptiest_of_several_sheets_is_used_ever_less) {
    uint64_t random = 106;
    struct kw_region shapes[12];
    struct kw_nest_part parts[12];
    struct kw_nest_sheet sheet = {.width = 800, .height = 600, .count = -1};
    for (int i = 0; i < 12; i++) {
        shapes[i] = random_shape(&arena, &random);
        parts[i] = (struct kw_nest_part){.outline = &shapes[i], .count = 7};
    }
    struct kw_nest_options o = tight(600000);
    o.spacing = 4;
    struct kw_nest out = nest(&arena, parts, 12, &sheet, 1, o);
    double used = out.sheets_used, least = 1;
    for (int i = 0; i < out.layout_count; i++)
        least = fmin(least, out.layouts[i].used.max.x / sheet.width);
    cr_expect_geq(least_clearance(&arena, &out, parts, &sheet, o), -1e-4);
    for (int i = 0; i < 12; i++)
        cr_expect_eq(placed(&out, i), 7);
    cr_expect_lt(used - 1 + least, 3.37, "%g sheets", used - 1 + least);
}
