// SPDX-License-Identifier: Apache-2.0
// Parts into the free space of planned sheets: nothing that lies there moves or is touched.
#include "nest_parts.h"

static struct kw_arena arena;

static void free_arena(void) {
    kw_arena_free(&arena);
}

TestSuite(nest_into, .fini = free_arena);

static struct kw_path lies(const struct kw_region *r, struct kw_nest_placement p) {
    return kw_path_moved(&arena, &r->outer, kw_move2_make(p.x, p.y, p.rotation, p.mirrored));
}

/// Nests ten random shapes, then fills up with small ones; on a lying and on a standing sheet.
Test(nest_into, what_is_added_keeps_its_distance_and_nothing_moves) {
    for (int standing = 0; standing < 2; standing++) {
        struct kw_region shapes[11];
        struct kw_nest_part parts[11];
        uint64_t random = 21;
        for (int i = 0; i < 11; i++) {
            shapes[i] = i < 10 ? random_shape(&arena, &random) : rectangle(&arena, 40, 25);
            parts[i] = (struct kw_nest_part){
                .outline = &shapes[i], .count = i < 10, .may_mirror = i % 2 == 0};
        }
        struct kw_nest_sheet sheet = {.width = 900, .height = 700, .count = 1};
        if (standing) sheet = (struct kw_nest_sheet){.width = 700, .height = 900, .count = 1};
        struct kw_nest_options o = tight(20000);
        o.spacing = 4;
        o.margin = 6;
        struct kw_nest first = nest(&arena, parts, 10, &sheet, 1, o);
        cr_assert_eq(first.layout_count, 1);
        const struct kw_nest_layout *l = &first.layouts[0];
        for (int i = 0; i < 10; i++)
            parts[i].count = 0;
        parts[10].count = 30;
        struct kw_nest_job job = {parts, 11, &sheet, 1};
        struct kw_nest_added added;
        struct kw_error err = {0};
        cr_assert_eq(
            kw_nest_into(&arena, &job, 0, l->placements, l->placement_count, &o, &added, &err),
            KW_OK, "%s", err.text);
        cr_expect(added.placement_count > 5, "%d", added.placement_count);
        for (int i = 0; i < added.placement_count; i++) {
            cr_assert_eq(added.placements[i].part, 10);
            struct kw_path p = lies(&shapes[10], added.placements[i]);
            struct kw_box2 b = kw_path_box(&p);
            cr_expect(b.min.x >= 6 - 1e-5 && b.min.y >= 6 - 1e-5);
            cr_expect(b.max.x <= sheet.width - 6 + 1e-5 && b.max.y <= sheet.height - 6 + 1e-5);
            for (int k = 0; k < l->placement_count; k++) {
                struct kw_path q = lies(&shapes[l->placements[k].part], l->placements[k]);
                cr_expect(kw_path_gap(&p, &q) >= 4 - 1e-4);
            }
            for (int k = 0; k < i; k++) {
                struct kw_path q = lies(&shapes[10], added.placements[k]);
                cr_expect(kw_path_gap(&p, &q) >= 4 - 1e-4);
            }
        }
    }
}

Test(nest_into, a_full_sheet_takes_nothing_and_wrong_numbers_are_refused) {
    struct kw_region plate = rectangle(&arena, 100, 100);
    struct kw_nest_part part = {.outline = &plate, .count = 1};
    struct kw_nest_sheet sheet = {.width = 150, .height = 100, .count = 1};
    struct kw_nest_placement there = {.part = 0, .x = 25, .y = 0};
    struct kw_nest_job job = {&part, 1, &sheet, 1};
    struct kw_nest_options o = tight(0);
    struct kw_nest_added added;
    struct kw_error err = {0};
    cr_expect_eq(kw_nest_into(&arena, &job, 0, &there, 1, &o, &added, &err), KW_OK);
    cr_expect_eq(added.placement_count, 0);
    cr_expect_eq(kw_nest_into(&arena, &job, 0, NULL, 0, &o, &added, &err), KW_OK);
    cr_expect_eq(added.placement_count, 1);
    cr_expect_eq(kw_nest_into(&arena, &job, 1, NULL, 0, &o, &added, &err), KW_RANGE);
    there.part = 3;
    cr_expect_eq(kw_nest_into(&arena, &job, 0, &there, 1, &o, &added, &err), KW_RANGE);
}
