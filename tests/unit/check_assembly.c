// SPDX-License-Identifier: Apache-2.0
// Assembled kits: expected sizes follow from where the pieces stand (geometry) and from the rules
// of the trade for tabs, slots and stitches (common practice, no source); fillets of plate: AWS
// D1.1, least sizes.
#include "check_product.h"

#include <stdio.h>
#include <string.h>

#define T_JOINT(wall_at, more)                                                                     \
    "kit: k\nname: K\nunits: mm\nparts:\n"                                                         \
    "  floor: { from: 3 mm hot-rolled sheet, per_kit: 1, base: { long: 240, wide: 100 } }\n"       \
    "  wall: { from: 3 mm hot-rolled sheet, per_kit: 1, base: { long: 200, wide: 80 } }\n"         \
    "assembly:\n  floor: { part: floor, at: [0, 0, 0] }\n"                                         \
    "  wall: { part: wall, at: " wall_at ", turns: [x 90] }\n" more

#define JOINED "joints: { j: { tab: wall.front, slot: floor } }\n"
#define WELDED "welds: [{ between: [wall, floor] }]\n"

Test(check_assembly, a_wall_stands_on_a_floor_by_tabs) {
    struct product p;
    assemble(&p, T_JOINT("[20, 48.5, 0]", JOINED WELDED));
    cr_assert_null(found(&p, "joint-apart"), "%s", found(&p, "joint-apart")->says);
    const struct kw_part *floor = KW_ITEM(struct kw_part, p.kit->parts, 0);
    const struct kw_part *wall = KW_ITEM(struct kw_part, p.kit->parts, 1);
    cr_assert(floor->slots.count == 2 && wall->tabs.count == 2);
    const struct kw_joint_slot *s = floor->slots.v;
    const struct kw_joint_tab *t = wall->tabs.v;
    // a third of half of 200, through 3 mm, slots over the middle of the wall's sheet
    cr_expect_float_eq(t[0].wide, 200.0 / 6, 1e-6);
    cr_expect_float_eq(t[0].reach, 3, 1e-9);
    cr_expect_float_eq(s[0].length, 200.0 / 6 + 25.4 / 16, 1e-6);
    double thickest = fmax(3, wall->stock.thickness_most);
    cr_expect_float_eq(s[0].wide, thickest + 0.025 * 25.4, 1e-6);
    cr_expect_float_eq(s[0].at.x, 70, 1e-6);
    cr_expect_float_eq(s[1].at.x, 170, 1e-6);
    cr_expect_float_eq(s[0].at.y, 50, 1e-6);
    double clip = 25.4 / 16;
    cr_expect_float_eq(p.parts[1].body->area, 200 * 80 + 2 * (200.0 / 6 * 3 - clip * clip), 1e-6);
    cr_expect_float_eq(p.parts[0].body->area, 240 * 100 - 2 * s[0].length * s[0].wide, 1e-6);
    cr_expect_null(found(&p, "pieces-collide"));
    cr_expect_null(found(&p, "tab-without-slot"));
    const struct kw_assembly *all = p.parts[0].assembly;
    cr_assert(all && all->seam_count == 1);
    cr_expect_float_eq(all->seams[0].length, 200, 1.01);
    cr_expect_float_eq(all->seams[0].size, 3, 1e-9, "the leg is the thinner sheet");
    cr_expect_float_eq(all->seams[0].stitch, 25.4, 1e-9);
    cr_expect_eq(all->seams[0].stitches, 2);
    cr_expect_float_eq(all->seams[0].gap, 0, 1e-6);
    int mates = 0, welded = 0;
    for (int i = 0; i < all->edge_count; i++) {
        mates += all->edges[i].part == 1 && (all->edges[i].uses & KW_EDGE_MATES);
        welded += all->edges[i].part == 1 && (all->edges[i].uses & KW_EDGE_WELDED);
    }
    cr_expect_eq(mates, 10, "five segments a tab");
    cr_expect_geq(welded, 1);
    kw_arena_free(&p.a);
}

Test(check_assembly, a_changed_place_moves_the_slots) {
    struct product p;
    assemble(&p, T_JOINT("[10, 28.5, 0]", JOINED));
    const struct kw_part *floor = KW_ITEM(struct kw_part, p.kit->parts, 0);
    cr_assert_eq(floor->slots.count, 2);
    const struct kw_joint_slot *s = floor->slots.v;
    cr_expect_float_eq(s[0].at.x, 60, 1e-6);
    cr_expect_float_eq(s[0].at.y, 30, 1e-6);
    kw_arena_free(&p.a);
}

Test(check_assembly, edges_that_miss_are_told_with_the_distance) {
    struct product p;
    assemble(&p, T_JOINT("[20, 48.5, 4]", JOINED));
    const struct kw_finding *f = found(&p, "joint-apart");
    cr_assert(f);
    cr_expect_float_eq(f->measured, 4, 1e-6);
    cr_expect_eq(f->level, KW_STOP);
    cr_expect_eq(f->where.line, 10);
    kw_arena_free(&p.a);
    assemble(&p, T_JOINT("[20, 98.5, 0]", JOINED)); // half beside the floor
    cr_expect(found(&p, "joint-apart"));
    kw_arena_free(&p.a);
}

Test(check_assembly, pieces_that_run_into_each_other) {
    struct product p;
    assemble(&p, T_JOINT("[20, 48.5, -1]", ""));
    const struct kw_finding *f = found(&p, "pieces-collide");
    cr_assert(f);
    cr_expect_str_eq(f->frame, "product");
    cr_expect(f->at[1] > 47 && f->at[1] < 53);
    kw_arena_free(&p.a);
    assemble(&p, T_JOINT("[20, 48.5, 0]", ""));
    cr_expect_null(found(&p, "pieces-collide"), "they only touch");
    kw_arena_free(&p.a);
}

Test(check_assembly, seams_that_gape_or_are_not_there) {
    struct product p;
    assemble(&p, T_JOINT("[20, 48.5, 1.2]", WELDED));
    const struct kw_finding *f = found(&p, "weld-gap");
    cr_assert(f);
    cr_expect_float_eq(f->measured, 1.2, 1e-6);
    cr_expect_float_eq(f->limit, 25.4 / 32, 1e-6);
    kw_arena_free(&p.a);
    assemble(&p, T_JOINT("[20, 48.5, 9]", WELDED));
    f = found(&p, "weld-apart");
    cr_assert(f);
    cr_expect_float_eq(f->measured, 9, 1e-6);
    kw_arena_free(&p.a);
}

#define TWICE(other_at)                                                                            \
    "kit: k\nname: K\nunits: mm\nparts:\n"                                                         \
    "  floor: { from: 3 mm hot-rolled sheet, per_kit: 2, base: { long: 240, wide: 100 } }\n"       \
    "  wall: { from: 3 mm hot-rolled sheet, per_kit: 2, base: { long: 200, wide: 80 } }\n"         \
    "assembly:\n  floor: { part: floor, at: [0, 0, 0] }\n"                                         \
    "  wall: { part: wall, at: [20, 48.5, 0], turns: [x 90] }\n"                                   \
    "  roof: { part: floor, at: [0, 0, 500] }\n"                                                   \
    "  other: { part: wall, at: " other_at ", turns: [x 90] }\n" JOINED

Test(check_assembly, every_piece_of_a_part_has_its_tabs) {
    struct product p;
    assemble(&p, TWICE("[20, 48.5, 500]"));
    cr_expect_null(found(&p, "tab-without-slot"));
    cr_expect_null(found(&p, "tab-tight"));
    cr_expect_null(found(&p, "assembly-count"));
    kw_arena_free(&p.a);
    assemble(&p, TWICE("[20, 49.2, 500]"));
    const struct kw_finding *f = found(&p, "tab-tight");
    cr_assert(f);
    // play of half of 0.025 in a side, less 0.7
    cr_expect_float_eq(f->measured, 0.0125 * 25.4 - 0.7, 1e-6);
    kw_arena_free(&p.a);
    assemble(&p, TWICE("[20, 85, 500]"));
    cr_expect(found(&p, "tab-without-slot"));
    kw_arena_free(&p.a);
    assemble(&p, T_JOINT("[20, 48.5, 0]", "  more: { part: wall, at: [0, 0, 900] }\n"));
    f = found(&p, "assembly-count");
    cr_assert(f);
    cr_expect(f->measured == 2 && f->limit == 1 && f->level == KW_NOTE);
    kw_arena_free(&p.a);
}

Test(check_assembly, fillets_by_thickness) {
    static const struct {
        const char *stock;
        double leg, stitch;
    } rows[] = {{"3/16 in", 3.175, 0}, {"1/4 in", 3.175, 0}, {"3/8 in", 4.7625, 0},
                {"5/8 in", 6.35, 0},   {"1 in", 7.9375, 0},  {"1/8 in", 3.175, 25.4}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct product p;
        char text[1200];
        (void)snprintf(text, sizeof text,
                       "kit: k\nname: K\nunits: mm\nparts:\n"
                       "  floor: { from: %s hot-rolled sheet, per_kit: 1, base: { long: 240, wide: "
                       "100 } }\n"
                       "  wall: { from: %s hot-rolled sheet, per_kit: 1, base: { long: 200, wide: "
                       "80 } }\n"
                       "assembly:\n  floor: { part: floor, at: [0, 0, 0] }\n"
                       "  wall: { part: wall, at: [20, 40, 0], turns: [x 90] }\n" WELDED,
                       rows[i].stock, rows[i].stock);
        assemble(&p, text);
        const struct kw_assembly *all = p.parts[0].assembly;
        cr_assert(all && all->seam_count == 1, "%s: %d", rows[i].stock, all->seam_count);
        cr_expect_float_eq(all->seams[0].size, rows[i].leg, 1e-6, "%s", rows[i].stock);
        cr_expect_float_eq(all->seams[0].stitch, rows[i].stitch, 1e-6, "%s", rows[i].stock);
        kw_arena_free(&p.a);
    }
}

Test(check_assembly, the_size_in_the_name_is_measured) {
    struct product p;
    const char *text = "kit: k\nname: K\nunits: mm\nsizes: { 200: { l: 200 }, 300: { l: 290 } }\n"
                       "size_measured: floor long\nparts:\n"
                       "  floor: { from: 3 mm hot-rolled sheet, per_kit: 1, base: { long: l, wide: "
                       "100 } }\n";
    assemble(&p, text);
    cr_expect_null(found(&p, "size-differs"));
    kw_arena_free(&p.a);
    char other[600];
    (void)snprintf(other, sizeof other, "%s", text);
    memcpy(strstr(other, "l: 200"), "l: 199", 6);
    assemble(&p, other);
    const struct kw_finding *f = found(&p, "size-differs");
    cr_assert(f);
    cr_expect_float_eq(f->measured, 199, 1e-9);
    kw_arena_free(&p.a);
}
