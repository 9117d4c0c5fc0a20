// SPDX-License-Identifier: Apache-2.0
// Kit files: every value where it belongs, in house units; refusals with their place.
#include "kit_help.h"

#include <math.h>

#define IN(v) ((v)*25.4)

static const char *const RACK =
    "kit: firewood-rack\n"
    "name: Firewood rack\n"
    "revision: B\n"
    "units: in                         # sizes outside to outside\n"
    "parts:\n"
    "  foot:\n"
    "    from: 11 ga hot-rolled sheet\n"
    "    per_kit: 4\n"
    "    good_side: up\n"
    "    base: { long: 6, wide: 3, round: { front-left: 1/4, front-right: 1/4 } }\n"
    "    bends:\n"
    "      A: { along: back, height: 1-1/2, turn: 90, way: up }\n"
    "    holes:\n"
    "      - { size: 7/16, from_left: [1-1/2, 4-1/2], from_front: 1-1/2 }\n"
    "  side:\n"
    "    from: 14 ga hot-rolled sheet\n"
    "    per_kit: { left: 1, right: 1 }\n"
    "    flat: drawings/side.dxf       # bend lines by layer, named in shop.yaml\n"
    "    must_measure: 28 x 20         # so that a wrong scale can't pass\n"
    "  hoop:\n"
    "    from: 1-1/4 x 0.083 round tube\n"
    "    per_kit: 2\n"
    "    die: 4 in centreline\n"
    "    shape: [up 30-5/8, turn 90, across 25-1/4, turn 90, down 30-5/8]\n"
    "bags:\n"
    "  feet: { holds: [8 hex bolt 3/8-16 x 1, 8 flange nut 3/8-16], spare: 1 of each }\n";

#define SIDE                                                                                       \
    "0 LWPOLYLINE 8 CUT 90 4 70 1 10 0 20 0 10 28 20 0 10 28 20 20 10 0 20 20 "                    \
    "0 LINE 8 BEND_UP 10 0 20 18 11 28 21 18 0 LINE 8 BEND_DOWN 10 2 20 0 11 2 21 20 "

static struct kw_kit *read_ok(struct kw_arena *a, const char *text) {
    char why[900];
    struct kw_kit *kit = kit_of(a, text, dxf_of(a, 1, SIDE), why);
    cr_assert(kit != NULL, "%s", why);
    return kit;
}

// The kit text with one stretch of it replaced.
static char *with(struct kw_arena *a, const char *text, const char *from, const char *to) {
    const char *at = strstr(text, from);
    cr_assert(at != NULL, "no \"%s\"", from);
    return kw_format(a, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from));
}

Test(kit_read, the_heads_of_kit_and_parts) {
    struct kw_arena a = {0};
    struct kw_kit *kit = read_ok(&a, RACK);
    cr_expect_str_eq(kit->name, "firewood-rack");
    cr_expect_str_eq(kit->title, "Firewood rack");
    cr_expect_str_eq(kit->revision, "B");
    cr_expect_str_eq(kit->file, "kits/k.yaml");
    cr_expect_eq(kit->units, (int)KW_IN);
    cr_assert_eq(kit->parts.count, 3);
    static const struct {
        const char *name, *from;
        int kind, each, left, right, good;
    } want[] = {{"foot", "11 ga hot-rolled sheet", KW_SHEET, 4, 0, 0, 1},
                {"side", "14 ga hot-rolled sheet", KW_SHEET, 0, 1, 1, 0},
                {"hoop", "1-1/4 x 0.083 round tube", KW_ROUND_TUBE, 2, 0, 0, 0}};
    for (int i = 0; i < 3; i++) {
        const struct kw_part *p = KW_ITEM(struct kw_part, kit->parts, i);
        cr_expect_str_eq(p->name, want[i].name);
        cr_expect_str_eq(p->from, want[i].from);
        cr_expect_str_eq(p->revision, "B");
        cr_expect_eq((int)p->stock.kind, want[i].kind);
        cr_expect_eq(p->each, want[i].each);
        cr_expect_eq(p->left, want[i].left);
        cr_expect_eq(p->right, want[i].right);
        cr_expect_eq(p->good_side, want[i].good);
        cr_expect_eq(strlen(p->code), 8);
        cr_expect_eq(kw_kit_part(kit, p->name), p);
    }
    cr_expect_null(kw_kit_part(kit, "Foot"));
    kw_arena_free(&a);
}

Test(kit_read, a_folded_part) {
    struct kw_arena a = {0};
    const struct kw_part *p = kw_kit_part(read_ok(&a, RACK), "foot");
    cr_expect_float_eq(p->base.length, IN(6), 1e-9);
    cr_expect_float_eq(p->base.width, IN(3), 1e-9);
    cr_expect_float_eq(p->base.round.front_left, IN(0.25), 1e-9);
    cr_expect_float_eq(p->base.round.front_right, IN(0.25), 1e-9);
    cr_expect_float_eq(p->base.round.back_left, 0.0, 1e-9);
    cr_assert_eq(p->bends.count, 1);
    const struct kw_flange *f = p->bends.v;
    cr_expect_str_eq(f->name, "A");
    cr_expect_eq(f->edge, KW_EDGE_BACK);
    cr_expect_eq(f->parent, -1);
    cr_expect_float_eq(f->height, IN(1.5), 1e-9);
    cr_expect_float_eq(f->turn, KW_PI / 2, 1e-12);
    cr_expect_eq(f->way, KW_UP);
    cr_assert_eq(p->holes.count, 1);
    const struct kw_hole *h = p->holes.v;
    cr_expect_float_eq(h->size, IN(7.0 / 16), 1e-9);
    cr_assert_eq(h->from_left.count, 2);
    cr_assert_eq(h->from_front.count, 1);
    cr_expect_float_eq(*KW_ITEM(double, h->from_left, 1), IN(4.5), 1e-9);
    cr_expect_eq(h->flange, -1);
    cr_expect_eq(kw_place_of(f->node, "height").line, 12);
    kw_arena_free(&a);
}

Test(kit_read, a_drawn_part_a_bent_tube_and_a_bag) {
    struct kw_arena a = {0};
    const struct kw_kit *kit = read_ok(&a, RACK);
    const struct kw_part *side = kw_kit_part(kit, "side"), *hoop = kw_kit_part(kit, "hoop");
    cr_expect_null(side->base.node);
    cr_expect_float_eq(kw_region_area(&side->drawing), IN(28) * IN(20), 1e-6);
    cr_expect_float_eq(side->measure_long, IN(28), 1e-9);
    cr_expect_float_eq(side->measure_wide, IN(20), 1e-9);
    cr_expect_eq(side->drawn_bends.count, 2);
    cr_expect_float_eq(hoop->die, IN(4), 1e-9);
    cr_expect_float_eq(hoop->stock.width, IN(1.25), 1e-9);
    cr_assert_eq(hoop->shape.count, 5);
    static const struct {
        const char *word;
        double value;
    } steps[] = {{"up", IN(30.625)},
                 {"turn", KW_PI / 2},
                 {"across", IN(25.25)},
                 {"turn", KW_PI / 2},
                 {"down", IN(30.625)}};
    for (int i = 0; i < 5; i++) {
        const struct kw_shape_step *s = KW_ITEM(struct kw_shape_step, hoop->shape, i);
        cr_expect_str_eq(s->word, steps[i].word);
        cr_expect_float_eq(s->value, steps[i].value, 1e-9);
    }
    cr_assert_eq(kit->bags.count, 1);
    const struct kw_bag *bag = kit->bags.v;
    cr_expect_str_eq(bag->name, "feet");
    cr_expect_eq(bag->spare, 1);
    cr_assert_eq(bag->holds.count, 2);
    cr_expect_eq(KW_ITEM(struct kw_bag_item, bag->holds, 0)->count, 8);
    cr_expect_str_eq(KW_ITEM(struct kw_bag_item, bag->holds, 0)->name, "hex bolt 3/8-16 x 1");
    kw_arena_free(&a);
}

Test(kit_read, flanges_on_flanges_holes_in_them_slots_and_cut_outs) {
    struct kw_arena a = {0};
    const struct kw_part *p = kw_kit_part(
        read_ok(&a,
                "kit: k\nname: K\nunits: mm\nparts:\n  p:\n    from: 2 mm hot-rolled sheet\n"
                "    per_kit: 1\n    base: { long: 200, wide: 100 }\n    bends:\n"
                "      L: { along: left, height: 40, from_start: 10, from_end: 20 }\n"
                "      M: { along: L, height: 15, turn: 45 deg, way: down, radius: 3, gauge: "
                "first }\n    holes:\n"
                "      - { size: 8, slot: 20, runs: front-back, from_left: 50, from_front: 50 }\n"
                "      - { size: 6, slot: 12, runs: up-down, flange: L, from_front: [20, 60], "
                "from_bottom: 20 }\n"
                "      - { wide: 10, tall: 5, flange: M, from_front: 30, from_bottom: 8, make: "
                "drill }\n"),
        "p");
    const struct kw_flange *l = KW_ITEM(struct kw_flange, p->bends, 0),
                           *m = KW_ITEM(struct kw_flange, p->bends, 1);
    cr_expect_eq(l->edge, KW_EDGE_LEFT);
    cr_expect_eq(m->edge, KW_EDGE_OF_BEND);
    cr_expect_eq(m->parent, 0);
    cr_expect_eq(m->way, KW_DOWN);
    cr_expect_eq(m->mates, 1);
    cr_expect_float_eq(m->radius, 3.0, 1e-12);
    cr_expect_float_eq(m->turn, KW_PI / 4, 1e-12);
    const struct kw_hole *h = p->holes.v;
    cr_expect_eq(h[0].slot_along, 1);
    cr_expect_eq(h[1].flange, 0);
    cr_expect_eq(h[1].slot_along, 1);
    cr_expect_eq(h[2].flange, 1);
    cr_expect_eq(h[2].close_fit, 1);
    cr_expect_float_eq(h[2].tall, 5.0, 1e-12);
    kw_arena_free(&a);
}

Test(kit_read, corners_turn_counter_clockwise_and_start_at_the_origin) {
    struct kw_arena a = {0};
    const struct kw_part *p = kw_kit_part(
        read_ok(&a, "kit: k\nname: K\nunits: mm\nparts:\n  p:\n    from: 2 mm hot-rolled sheet\n"
                    "    per_kit: 1\n    base: { points: [[10, 5], [10, 25], [40, 25], [30, 5]] }\n"
                    "    bends: { A: { along: back, height: 12 } }\n"),
        "p");
    cr_expect_float_eq(p->base.length, 30.0, 1e-12);
    cr_expect_float_eq(p->base.width, 20.0, 1e-12);
    struct kw_path path = {0};
    for (int i = 0; i < 4; i++) {
        const struct kw_corner *v = KW_ITEM(struct kw_corner, p->base.points, i);
        kw_path_add(&a, &path, v->at.x, v->at.y, 0, 0);
    }
    cr_expect_float_eq(kw_path_area(&path), 500.0, 1e-9);
    kw_arena_free(&a);
}

Test(kit_read, a_drawings_bend_lines_get_names_turns_and_radii) {
    struct kw_arena a = {0};
    const char *text =
        with(&a, RACK, "    must_measure: 28 x 20",
             "    must_measure: 20 x 28\n"
             "    bends: { lip: { line: 2, turn: 45, radius: 1/8 }, 1: { turn: 30 } }");
    const struct kw_part *p = kw_kit_part(read_ok(&a, text), "side");
    const struct kw_drawn_bend *b = p->drawn_bends.v;
    cr_expect_str_eq(b[0].name, "1");
    cr_expect_float_eq(b[0].turn, KW_PI / 6, 1e-12);
    cr_expect_eq(b[0].way, KW_DOWN);
    cr_expect_str_eq(b[1].name, "lip");
    cr_expect_float_eq(b[1].turn, KW_PI / 4, 1e-12);
    cr_expect_float_eq(b[1].radius, IN(0.125), 1e-12);
    const struct kw_flange *f = p->bends.v;
    cr_expect_eq(f[0].from_drawing, 1);
    cr_expect_eq(f[0].line, 2);
    cr_expect_eq(f[0].way, KW_UP);
    kw_arena_free(&a);
}

Test(kit_read, signatures_miters_and_prices) {
    struct kw_arena a = {0};
    const struct kw_kit *kit = read_ok(
        &a, "kit: k\nname: K\nunits: mm\nprice: 189.50\nweld_time: 90 min\nparts:\n"
            "  p: { from: 30 x 2 mm square tube, per_kit: 1, length: 500, miter: [45, -30], "
            "bin: C4, revision: D }\nsigned:\n  - { risk: hole-near-bend, part: p, by: R. "
            "Ortega, date: 2026-01-05, reason: tried twenty, code: \"3f09a2c1\" }\n"
            "  - { risk: carton-mass, by: R. Ortega, date: 2026-01-06, reason: asked, code: "
            "\"00000000\" }\n");
    const struct kw_part *p = kw_kit_part(kit, "p");
    cr_expect_float_eq(kit->price, 189.5, 1e-9);
    cr_expect_float_eq(kit->weld_time, 5400.0, 1e-9);
    cr_expect_float_eq(p->length, 500.0, 1e-9);
    cr_expect_float_eq(p->miter[0], KW_PI / 4, 1e-12);
    cr_expect_float_eq(p->miter[1], -KW_PI / 6, 1e-12);
    cr_expect_str_eq(p->bin, "C4");
    cr_expect_str_eq(p->revision, "D");
    cr_assert_eq(kit->signed_risks.count, 2);
    const struct kw_signature *s = kit->signed_risks.v;
    cr_expect_str_eq(s[0].part, "p");
    cr_expect_eq(s[0].date, 20260105);
    cr_expect_str_eq(s[0].code, "3f09a2c1");
    cr_expect_null(s[1].part);
    kw_arena_free(&a);
}

// ------------------------------------------------------------------------------------- refusals

struct edit {
    const char *from, *to, *why;
};

static void refuse_all(const struct edit *edits, size_t count, const char *text) {
    for (size_t i = 0; i < count; i++) {
        struct kw_arena a = {0};
        char why[900];
        const struct kw_kit *kit =
            kit_of(&a, with(&a, text, edits[i].from, edits[i].to), dxf_of(&a, 1, SIDE), why);
        cr_expect_null(kit, "\"%s\" is taken", edits[i].to);
        const char *at = strncmp(why, "kits/k.yaml:", 12) == 0 ? why + 12 : why;
        cr_expect(strncmp(at, edits[i].why, strlen(edits[i].why)) == 0,
                  "\"%s\": got \"%s\", want \"%s\"", edits[i].to, at, edits[i].why);
        kw_arena_free(&a);
    }
}

Test(kit_read, refuses_values_that_say_nothing) {
    static const struct edit edits[] = {
        {"per_kit: 4", "per_kit: 0", "8:14: expected a count from 1 to 1000"},
        {"per_kit: 4", "per_kit: 1001", "8:14: expected a count from 1 to 1000"},
        {"per_kit: 4", "per_kit: 4.5", "8:14: expected a count from 1 to 1000"},
        {"per_kit: 4", "per_kit: {}", "8:14: expected a count or { left: 1, right: 1 }"},
        {"{ left: 1, right: 1 }", "{ lefty: 1 }", "17:16: unknown key \"lefty\""},
        {"{ left: 1, right: 1 }", "{ left: -1 }", "17:22: expected a count"},
        {"28 x 20  ", "28x20  ", "19:19: expected a size such as 28 x 20, got \"28x20\""},
        {"28 x 20  ", "28 x 20 kg  ", "19:24: expected a length"},
        {"28 x 20  ", "0 x 20  ", "19:19: expected a length above 0"},
        {"4 in centreline", "4 in inside", "23:10: expected a length"},
        {"4 in centreline", "centreline", "23:10: expected a length"},
        {"up 30-5/8", "upp 30-5/8", "24:13: expected a straight such as up 30-5/8, got \"upp"},
        {"up 30-5/8", "turn 30", "24:13: expected a straight"},
        {"turn 90, across", "turn 0, across", "24:24: expected a turn above 0 and below 180"},
        {"turn 90, across", "turn 180, across", "24:24: expected a turn above 0 and below 180"},
        {"turn 90, across", "turn ninety, across", "24:29: expected an angle"},
        {"across 25-1/4", "up 25-1/4", "24:33: the tube runs up already"},
        {"across 25-1/4", "down 25-1/4", "24:33: the tube runs the opposite way already"},
        {", turn 90, down 30-5/8", ", turn 90", "24:12: expected straights with a turn between"},
        {"8 hex bolt", "hex bolt", "26:19: expected a count and a name"},
        {"8 hex bolt", "0 hex bolt", "26:19: expected a count and a name"},
        {"8 flange nut", "8 flange nuts", "26:42: unknown hardware \"flange nuts 3/8-16\", did"},
        {"1 of each", "1 each", "26:71: expected a count of spares such as 1 of each"},
        {"parts:\n", "part:\n", "5:1: unknown key \"part\""},
    };
    refuse_all(edits, sizeof edits / sizeof *edits, RACK);
}

Test(kit_read, refuses_keys_that_do_not_go_together) {
    static const struct edit edits[] = {
        {"    good_side: up\n", "    length: 4\n", "9:5: part \"foot\" has base and length"},
        {"    good_side: up\n", "    die: 4\n", "9:5: die goes with shape, which part \"foot\""},
        {"    good_side: up\n", "    must_measure: 4 x 5\n", "9:5: must_measure goes with flat"},
        {"    good_side: up\n", "    miter: [45, 0]\n", "9:5: miter goes with length"},
        {"    die: 4 in centreline\n", "    good_side: up\n", "23:5: good_side goes with base or"},
        {"1-1/4 x 0.083 round tube", "11 ga hot-rolled sheet", "24:5: shape doesn't go with"},
        {"    from: 14 ga hot-rolled sheet", "    from: 1 x 3/16 flat bar", "18:5: flat doesn't"},
        {"    flat: drawings/side.dxf       # bend lines by layer, named in shop.yaml\n", "",
         "15:3: part \"side\" has no form"},
        {"long: 6, ", "", "10:11: missing key \"long\" of the base"},
        {"long: 6, wide", "points: [[0, 0], [6, 0], [6, 3]], wide",
         "10:47: the base has points and"},
        {"along: back, ", "", "12:10: missing key \"along\" of flange \"A\""},
        {"along: back", "line: 1, along: back", "12:12: line goes with flat"},
        {"A: { along: back", "back: { along: back", "12:7: a flange can't be called \"back\""},
        {"along: back", "along: B", "12:19: unknown flange \"B\" of part \"foot\""},
        {"along: back", "along: A", "12:19: flange \"A\" stands on \"A\""},
        {"way: up }\n", "way: up }\n      B: { along: back, height: 1 }\n",
         "13:7: flanges \"A\" and \"B\" share a stretch"},
        {"way: up }\n", "way: up, from_start: 4, from_end: 2 }\n",
         "12:7: flange \"A\" keeps so far"},
        {"must_measure: 28 x 20 ", "must_measure: 28 x 20\n    bends: { 3: { turn: 45 } }",
         "20:14: no bend line 3 in drawings/side.dxf, which has 2"},
        {"must_measure: 28 x 20 ", "must_measure: 28 x 20\n    bends: { lip: { turn: 45 } }",
         "20:19: missing key \"line\" of bend \"lip\""},
        {"must_measure: 28 x 20 ", "must_measure: 28 x 20\n    bends: { 1: { way: up } }",
         "20:19: way of bend \"1\" comes from the drawing"},
        {"must_measure: 28 x 20 ",
         "must_measure: 28 x 20\n    bends: { 1: { turn: 45 }, b: { line: 1 } }",
         "20:42: bend line 1 has a name already"},
        {"must_measure: 28 x 20 ", "must_measure: 28 x 20\n    bends: { 2: { line: 1 } }",
         "20:12: two bend lines are called \"2\""},
    };
    refuse_all(edits, sizeof edits / sizeof *edits, RACK);
}

Test(kit_read, refuses_sizes_that_can_not_be) {
    static const struct edit edits[] = {
        {"front-right: 1/4", "front-right: 6", "10:38: corners rounded by 0.25 and 6 in don't fit"},
        {"front-right: 1/4", "back-left: 2-7/8", "10:38: corners rounded by 0.25 and 2.875 in"},
        {"front-right: 1/4", "back-left: -1", "10:68: expected a length from 0 in"},
        {"size: 7/16", "size: 0", "14:17: expected a length above 0"},
        {"size: 7/16", "size: 7/16, wide: 1, tall: 1", "14:9: expected a hole with one of"},
        {"size: 7/16", "wide: 1", "14:9: expected a hole with one of"},
        {"size: 7/16", "size: 7/16, slot: 1/4", "14:29: a slot of 0.25 in is no longer than"},
        {"size: 7/16", "size: 7/16, runs: up-down", "14:23: runs goes with slot"},
        {"size: 7/16", "size: 7/16, slot: 1, runs: up-down", "14:38: a slot in the base can't run"},
        {"from_left: [1-1/2, 4-1/2]", "from_left: [1-1/2, 6-7/32]",
         "14:9: a hole from_left 6.2188"},
        {"from_front: 1-1/2", "from_bottom: 1",
         "14:9: missing key \"from_front\" of a hole in the"},
        {"from_front: 1-1/2", "from_front: 1, from_bottom: 1", "14:65: from_bottom doesn't place"},
        {"from_front: 1-1/2", "from_bottom: 1-3/4, flange: A",
         "14:9: a hole from_left 1.5 and from_bottom 1.75 is wholly outside flange \"A\""},
        {"from_front: 1-1/2", "from_bottom: 1, flange: AA", "14:74: unknown flange \"AA\" of part"},
        {"28 x 20  ", "28.02 x 20  ",
         "19:19: drawings/side.dxf measures 28 x 20 in, expected 28.02 x 20 in"},
        {"28 x 20  ", "711.2 x 508  ",
         "19:19: drawings/side.dxf measures 28 x 20 in, expected 711.2 x 508 in: looks like inches "
         "read as millimetres"},
        {"28 x 20  ", "28 mm x 20 mm  ",
         "19:19: drawings/side.dxf measures 28 x 20 in, expected 1.1024 x 0.7874 in: looks like "
         "millimetres read as inches"},
        {"drawings/side.dxf", "drawings/../../side.dxf", "18:11: expected a drawing in the shop"},
        {"drawings/side.dxf", "/etc/side.dxf", "18:11: expected a drawing in the shop"},
        {"drawings/side.dxf", "drawings/side.pdf", "18:11: expected a drawing that ends with .dxf"},
        {"drawings/side.dxf", "drawings/sid.dxf", "18:11: no such file: \"drawings/sid.dxf\""},
        {"drawings/side.dxf ", "drawings ", "18:11: expected a drawing that ends with .dxf"},
    };
    refuse_all(edits, sizeof edits / sizeof *edits, RACK);
}

Test(kit_read, a_hole_that_reaches_over_the_edge_is_no_matter_of_reading) {
    struct kw_arena a = {0};
    read_ok(&a, with(&a, RACK, "from_left: [1-1/2, 4-1/2]", "from_left: [1-1/2, 6-13/64]"));
    kw_arena_free(&a);
}

Test(kit_read, corners_that_cross_touch_or_enclose_nothing_are_refused) {
    static const char *const bad[] = {"[[0, 0], [6, 3], [6, 0], [0, 3]]",
                                      "[[0, 0], [6, 0], [3, 0]]",
                                      "[[0, 0], [0, 0], [3, 4]]",
                                      "[[0, 0], [6, 0], [6, 4], [3, 0], [0, 4]]",
                                      "[[0, 0], [6, 0], [6]]",
                                      "[[0, 0], [6, 0]]"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct kw_arena a = {0};
        char why[900];
        const char *base = "long: 6, wide: 3, round: { front-left: 1/4, front-right: 1/4 }";
        cr_expect_null(kit_of(&a, with(&a, RACK, base, kw_format(&a, "points: %s", bad[i])),
                              dxf_of(&a, 1, SIDE), why),
                       "%s is taken", bad[i]);
        cr_expect(strncmp(why, "kits/k.yaml:10:", 15) == 0, "%s", why);
        kw_arena_free(&a);
    }
}

Test(kit_read, folders_are_read_in_order_and_names_are_unique) {
    struct kw_arena a = {0};
    struct kw_kits kits;
    struct kw_error err = {0};
    char *folder = kit_folder();
    static const char *const text = "kit: %s\nname: K\nunits: mm\nparts: { p: { from: 20 x 5 flat "
                                    "bar, per_kit: 1, length: 9 } }\n";
    kit_put(folder, "kits/b.yaml", kw_format(&a, text, "first"));
    kit_put(folder, "kits/a.yaml", kw_format(&a, text, "second"));
    kit_put(folder, "kits/notes.txt", "not a kit");
    cr_assert_eq(kw_kits_read(&a, kit_shop(), folder, &kits, &err), KW_OK, "%s", err.text);
    cr_assert_eq(kits.count, 2);
    cr_expect_str_eq(kits.v[0]->name, "second");
    cr_expect_str_eq(kw_kits_find(&kits, "first")->file, "kits/b.yaml");
    cr_expect_null(kw_kits_find(&kits, "third"));
    kit_put(folder, "kits/c.yaml", kw_format(&a, text, "first"));
    cr_expect_eq(kw_kits_read(&a, kit_shop(), folder, &kits, &err), KW_DUPLICATE);
    cr_expect_str_eq(err.text, "kit \"first\" is in kits/b.yaml already");
    cr_expect_str_eq(err.at.file, "kits/c.yaml");
    err = (struct kw_error){0};
    kit_put(folder, "kits/d.yml", "kit: d\n");
    cr_expect_eq(kw_kits_read(&a, kit_shop(), folder, &kits, &err), KW_FORMAT);
    cr_expect_str_eq(err.at.file, "kits/d.yml");
    cr_expect_eq(kw_remove_folder(folder, NULL), KW_OK);
    kw_arena_free(&a);
}

// ---------------------------------------------------------------------------------------- codes

static void code_of(const char *text, const char *drawing, const char *part, char out[12]) {
    struct kw_arena a = {0};
    char why[900];
    const struct kw_kit *kit = kit_of(&a, text, drawing, why);
    cr_assert(kit != NULL, "%s", why);
    memcpy(out, part ? kw_kit_part(kit, part)->code : kit->code, 12);
    kw_arena_free(&a);
}

struct change {
    const char *from, *to;
    bool changes;
};

static void check_codes(const struct change *v, size_t count, const char *part) {
    struct kw_arena a = {0};
    char before[12], after[12];
    const char *drawing = dxf_of(&a, 1, SIDE);
    code_of(RACK, drawing, part, before);
    for (size_t i = 0; i < count; i++) {
        code_of(with(&a, RACK, v[i].from, v[i].to), drawing, part, after);
        cr_expect_eq(strcmp(before, after) != 0, v[i].changes, "%s -> %s: %s, %s", v[i].from,
                     v[i].to, before, after);
    }
    kw_arena_free(&a);
}

Test(kit_read, a_parts_code_changes_when_and_only_when_the_part_does) {
    static const struct change foot[] = {
        {"long: 6, wide: 3", "wide: 76.2 mm, long: 152.4 mm", false},
        {"long: 6", "long: 6.001", true},
        {"front-left: 1/4", "front-left: 0.25", false},
        {"front-left: 1/4", "back-left: 1/4", true},
        {"height: 1-1/2", "height: 38.1 mm", false},
        {"height: 1-1/2", "height: 1-33/64", true},
        {"turn: 90, way: up", "way: up", false},
        {"turn: 90", "turn: 89.9", true},
        {"way: up", "way: down", true},
        {"way: up", "way: up, radius: 1/8", true},
        {"way: up", "way: up, gauge: first", true},
        {"way: up", "way: up, from_start: 1/32", true},
        {"along: back", "along: front", true},
        {"A: {", "B: {", true},
        {"[1-1/2, 4-1/2]", "[4-1/2, 1.5]", false},
        {"[1-1/2, 4-1/2], from_front: 1-1/2 }",
         "4-1/2, from_front: 1-1/2 }\n      - { from_left: 1-1/2, from_front: 1-1/2, size: 0.4375 "
         "}",
         false},
        {"[1-1/2, 4-1/2]", "[1-1/2, 4-17/32]", true},
        {"size: 7/16", "size: 13/32", true},
        {"size: 7/16", "size: 7/16, make: drill", true},
        {"11 ga hot-rolled sheet", "12 ga hot-rolled sheet", true},
        {"11 ga hot-rolled sheet", "11 ga galvanised sheet", true},
        {"good_side: up", "good_side: down", true},
        {"per_kit: 4", "per_kit: 5", false},
        {"per_kit: 4", "per_kit: { left: 2, right: 2 }", true},
        {"good_side: up", "good_side: up\n    bin: C3   # by the door", false},
        {"revision: B", "revision: C", false},
        {"kit: firewood-rack", "kit: rack", false},
        {"28 x 20", "28 in x 508 mm", false},
    };
    check_codes(foot, sizeof foot / sizeof *foot, "foot");
    static const struct change hoop[] = {
        {"up 30-5/8", "up 30.625", false},        {"up 30-5/8", "up 30-41/64", true},
        {"across 25", "right 25", false},         {"across 25", "left 25", true},
        {"turn 90, down", "turn 91, down", true}, {"4 in centreline", "4", false},
        {"4 in centreline", "4-1/2", true},       {"0.083 round", "0.095 round", true}};
    check_codes(hoop, sizeof hoop / sizeof *hoop, "hoop");
    static const struct change kit[] = {{"per_kit: 4", "per_kit: 5", true},
                                        {"spare: 1", "spare: 2", true},
                                        {"8 hex", "9 hex", true},
                                        {"name: Firewood rack", "name: Wood rack", false}};
    check_codes(kit, sizeof kit / sizeof *kit, NULL);
}

Test(kit_read, a_drawings_code_is_of_its_lines_not_of_its_file) {
    struct kw_arena a = {0};
    char code[12], other[12];
    code_of(RACK, dxf_of(&a, 1, SIDE), "side", code);
    static const struct {
        int units;
        const char *words;
        bool changes;
    } cases[] = {
        // moved, from another corner, with a note
        {1,
         "0 LWPOLYLINE 8 OUTLINE 90 4 70 1 10 30 20 1 10 30 20 21 10 2 20 21 10 2 20 1 0 TEXT 8 X "
         "0 LINE 8 BEND_DOWN 10 4 20 21 11 4 21 1 0 LINE 8 BEND_UP 10 2 20 19 11 30 21 19 ",
         false},
        // as lines, in mm
        {4,
         "0 LINE 8 CUT 10 711.2 20 0 11 0 21 0 0 LINE 8 CUT 10 0 20 508 11 0 21 0 "
         "0 LINE 8 CUT 10 711.2 20 0 11 711.2 21 508 0 LINE 8 CUT 10 711.2 20 508 11 0 21 508 "
         "0 LINE 8 BEND_DOWN 10 50.8 20 0 11 50.8 21 508 0 LINE 8 BEND_UP 10 0 20 457.2 11 711.2 "
         "21 457.2 ",
         false},
        {1, SIDE "0 CIRCLE 8 CUT 10 9 20 9 40 1 ", true},
        {1, SIDE "0 LINE 8 MARK 10 9 20 9 11 10 21 9 ", true},
        {1,
         "0 LWPOLYLINE 8 CUT 90 4 70 1 10 0 20 0 10 28 20 0 10 28 20 20 10 0 20 20 "
         "0 LINE 8 BEND_UP 10 0 20 18 11 28 21 18 0 LINE 8 BEND_UP 10 2 20 0 11 2 21 20 ",
         true},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        code_of(RACK, dxf_of(&a, cases[i].units, cases[i].words), "side", other);
        cr_expect_eq(strcmp(code, other) != 0, cases[i].changes, "case %zu: %s, %s", i, code,
                     other);
    }
    kw_arena_free(&a);
}
