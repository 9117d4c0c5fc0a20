// SPDX-License-Identifier: Apache-2.0
// Programs weighed against steel, and layouts proven on steel cut again.
#include "nest_parts.h"

static struct kw_arena arena;

static void free_arena(void) {
    kw_arena_free(&arena);
}

TestSuite(nest_standing, .fini = free_arena);

/// Twelve shapes, eight of each, as twelve kits would want them.
static int kit(struct kw_region *shapes, struct kw_nest_part *parts, int each) {
    uint64_t random = 12;
    for (int i = 0; i < 12; i++) {
        shapes[i] = random_shape(&arena, &random);
        parts[i] = (struct kw_nest_part){.outline = &shapes[i], .count = each};
    }
    return 12;
}

static struct kw_nest nest_kits(int each, double program_cost) {
    struct kw_region *shapes = KW_NEW_ARRAY(&arena, struct kw_region, 12);
    struct kw_nest_part *parts = KW_NEW_ARRAY(&arena, struct kw_nest_part, 12);
    int n = kit(shapes, parts, each);
    struct kw_nest_sheet sheet = {.width = 1250, .height = 1000, .count = -1, .price = 50};
    struct kw_nest_options o = kw_nest_options_default();
    o.steps = 300000;
    o.program_cost = program_cost;
    struct kw_nest out = nest(&arena, parts, n, &sheet, 1, o);
    for (int i = 0; i < n; i++)
        cr_expect_eq(placed(&out, i), each);
    cr_expect_geq(least_clearance(&arena, &out, parts, &sheet, o), -1e-4);
    return out;
}

Test(nest_standing, dear_programs_are_few_and_cheap_ones_never_cost_a_sheet) {
    struct kw_nest free = nest_kits(48, 0), dear = nest_kits(48, 40);
    cr_expect_lt(dear.layout_count, free.layout_count, "%d programs against %d", dear.layout_count,
                 free.layout_count);
    double with = dear.value + 40 * dear.layout_count,
           without = free.value + 40 * free.layout_count;
    cr_expect_leq(with, without, "%g against %g", with, without);
    struct kw_nest penny = nest_kits(48, 0.01);
    cr_expect_leq(penny.sheets_used, free.sheets_used);
    for (int i = 0; i < dear.layout_count; i++)
        cr_expect_eq(dear.layouts[i].standing, -1);
}

static bool has(const struct kw_nest_layout *l, const struct kw_nest_placement *p) {
    for (int i = 0; i < l->placement_count; i++) {
        const struct kw_nest_placement *q = &l->placements[i];
        if (p->part == q->part && p->rotation == q->rotation && fabs(p->x - q->x) < 1e-5 &&
            fabs(p->y - q->y) < 1e-5)
            return true;
    }
    return false;
}

Test(nest_standing, a_proven_layout_is_cut_again_as_it_is) {
    struct kw_region shapes[12];
    struct kw_nest_part parts[12];
    int n = kit(shapes, parts, 4);
    struct kw_nest_sheet sheets[] = {{.width = 900, .height = 900, .count = -1, .price = 40},
                                     {.width = 1000, .height = 1250, .count = -1, .price = 50}};
    struct kw_nest_options o = kw_nest_options_default();
    struct kw_nest first = nest(&arena, parts, n, sheets, 2, o);
    const struct kw_nest_layout *proven = &first.layouts[0];
    struct kw_nest_standing standing[] = {
        {proven->sheet, proven->placements, proven->placement_count},
        {7, proven->placements, proven->placement_count}, // no such sheet
    };
    for (int i = 0; i < n; i++)
        parts[i].count = 11;
    o.program_cost = 1000;
    o.standing = standing;
    o.standing_count = 2;
    struct kw_nest out = nest(&arena, parts, n, sheets, 2, o);
    int used = 0;
    for (int i = 0; i < out.layout_count; i++) {
        const struct kw_nest_layout *l = &out.layouts[i];
        if (l->standing < 0) continue;
        used += l->times;
        cr_expect_eq(l->standing, 0);
        cr_assert_eq(l->sheet, proven->sheet);
        cr_assert_eq(l->placement_count, proven->placement_count);
        for (int k = 0; k < l->placement_count; k++)
            cr_expect(has(proven, &l->placements[k]));
    }
    cr_expect_geq(used, 2, "cut %d times", used);
    for (int i = 0; i < n; i++)
        cr_expect_eq(placed(&out, i), 11);
    double grain[] = {0.3}; // a rotation that the part does not allow now
    parts[proven->placements[0].part].rotations = grain;
    parts[proven->placements[0].part].rotation_count = 1;
    out = nest(&arena, parts, n, sheets, 2, o);
    for (int i = 0; i < out.layout_count; i++)
        cr_expect_eq(out.layouts[i].standing, -1);
}
