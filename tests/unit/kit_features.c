// SPDX-License-Identifier: Apache-2.0
// Outlines, flanges, holes and marks as a kit file says them. Clearance holes: ISO 273 and ASME
// B18.2.8, from memory; areas by elementary geometry.
#include "kit_help.h"

static const char *const HEAD = "kit: k\nname: K\nunits: in\nparts:\n  p:\n"
                                "    from: 11 ga hot-rolled sheet\n    per_kit: 1\n";

static struct kw_part *part_of(struct kw_arena *a, const char *lines, char why[static 900]) {
    struct kw_kit *kit = kit_of(a, kw_format(a, "%s%s", HEAD, lines), NULL, why);
    return kit ? KW_ITEM(struct kw_part, kit->parts, 0) : NULL;
}

Test(kit_features, clearance_holes) {
    static const struct {
        const char *bolt;
        double close, normal, loose, unit;
    } rows[] = {{"M6", 6.4, 6.6, 7, 1},          {"M10", 10.5, 11, 12, 1},
                {"M20", 21, 22, 24, 1},          {"3/8", .391, .406, .422, 25.4},
                {"1/2", .531, .562, .609, 25.4}, {"#10", .206, .221, .238, 25.4}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double d[3];
        cr_assert(kw_clearance_hole(rows[i].bolt, KW_FIT_CLOSE, &d[0]));
        cr_assert(kw_clearance_hole(rows[i].bolt, KW_FIT_NORMAL, &d[1]));
        cr_assert(kw_clearance_hole(rows[i].bolt, KW_FIT_LOOSE, &d[2]));
        cr_expect_float_eq(d[0], rows[i].close * rows[i].unit, 1e-9);
        cr_expect_float_eq(d[1], rows[i].normal * rows[i].unit, 1e-9);
        cr_expect_float_eq(d[2], rows[i].loose * rows[i].unit, 1e-9);
    }
    double d;
    cr_expect_not(kw_clearance_hole("M7", KW_FIT_NORMAL, &d));
}

Test(kit_features, outlines_with_rounded_corners_and_bows) {
    struct kw_arena a = {0};
    char why[900];
    struct kw_part *p = part_of(&a,
                                "    base: { points: [[0, 0], [6, 0, round 1], [6, 4], "
                                "[0, 4, bow 1/2]] }\n",
                                why);
    cr_assert_not_null(p, "%s", why);
    // 6 x 4, less a corner of (1 - pi/4) in2, more a segment of sagitta 1/2 on a chord of 4
    double r = (16.0 / 4 + 0.25) / (2 * 0.5);
    double half = asin(2 / r);
    double segment = r * r * (half - sin(half) * cos(half));
    double area = 24 - (1 - KW_PI / 4) + segment;
    cr_expect_float_eq(kw_path_area(&p->base.outline), area * 645.16, 1e-6);
    cr_expect_float_eq(p->base.length, 6.5 * 25.4, 1e-9);
    cr_expect_float_eq(p->base.width, 4 * 25.4, 1e-9);
    int tags[5] = {0};
    for (int i = 0; i < p->base.outline.count; i++)
        tags[p->base.outline.v[i].tag]++;
    cr_expect(tags[0] == 1 && tags[1] == 1 && tags[2] == 1 && tags[3] == 1 && tags[4] == 1);
    kw_arena_free(&a);
}

Test(kit_features, corners_may_go_round_either_way) {
    struct kw_arena a = {0};
    char why[900];
    struct kw_part *p = part_of(&a,
                                "    base: { points: [[0, 4, bow -1/2], [6, 4], [6, 0, round 1], "
                                "[0, 0]] }\n",
                                why);
    cr_assert_not_null(p, "%s", why);
    double r = (36.0 / 4 + 0.25) / (2 * 0.5), half = asin(3 / r);
    double area = 24 - (1 - KW_PI / 4) - r * r * (half - sin(half) * cos(half));
    cr_expect_float_eq(kw_path_area(&p->base.outline), area * 645.16, 1e-6);
    for (int i = 0; i < p->base.outline.count; i++) {
        struct kw_segment s = kw_path_segment(&p->base.outline, i);
        int tag = p->base.outline.v[i].tag;
        if (tag == 1) cr_expect(s.radius > 0); // the bow is the edge that was written first
        if (tag == 3) cr_expect_float_eq(fmax(s.a.y, s.b.y), 0, 1e-9);
    }
    kw_arena_free(&a);
}

Test(kit_features, circles_and_polygons) {
    struct kw_arena a = {0};
    char why[900];
    struct kw_part *p = part_of(&a, "    base: { circle: 8 }\n", why);
    cr_assert_not_null(p, "%s", why);
    cr_expect_float_eq(kw_path_area(&p->base.outline), KW_PI * 16 * 645.16, 1e-6);
    p = part_of(&a, "    base: { polygon: 6, across: 4 }\n", why);
    cr_assert_not_null(p, "%s", why);
    cr_expect_float_eq(kw_path_area(&p->base.outline), 2 * sqrt(3.0) * 4 * 645.16, 1e-6);
    cr_expect_float_eq(p->base.width, 4 * 25.4, 1e-9);
    p = part_of(&a, "    base: { polygon: 3, across: 3 }\n", why);
    cr_assert_not_null(p, "%s", why);
    cr_expect_float_eq(kw_path_area(&p->base.outline), 9 / sqrt(3.0) * 645.16, 1e-6);
    kw_arena_free(&a);
}

Test(kit_features, rows_grids_rings_and_mirrors) {
    struct kw_arena a = {0};
    char why[900];
    struct kw_part *p =
        part_of(&a,
                "    base: { long: 20, wide: 10 }\n"
                "    holes:\n"
                "      - { size: 1/2, from_left: 2, from_front: 2, repeat: { count: [3, 2], step: "
                "[1, 1-1/2] } }\n"
                "      - { size: 1/2, slot: 1, from_left: 12, from_front: 5, repeat: { ring: 4, "
                "across: 4 } }\n"
                "      - { bolt: 3/8, from_left: 2, from_front: 8, mirror: both }\n",
                why);
    cr_assert_not_null(p, "%s", why);
    int n;
    struct kw_hole_spot *s = kw_hole_spots(&a, p, KW_ITEM(struct kw_hole, p->holes, 0), &n);
    cr_assert_eq(n, 6);
    cr_expect_float_eq(s[5].at.x, 4 * 25.4, 1e-9);
    cr_expect_float_eq(s[5].at.y, 3.5 * 25.4, 1e-9);
    s = kw_hole_spots(&a, p, KW_ITEM(struct kw_hole, p->holes, 1), &n);
    cr_assert_eq(n, 4);
    cr_expect_float_eq(s[1].at.y, 7 * 25.4, 1e-9);
    cr_expect_float_eq(s[1].turn, KW_PI / 2, 1e-12);
    s = kw_hole_spots(&a, p, KW_ITEM(struct kw_hole, p->holes, 2), &n);
    cr_assert_eq(n, 4);
    cr_expect_float_eq(s[1].at.x, 18 * 25.4, 1e-9);
    cr_expect_float_eq(s[2].at.y, 2 * 25.4, 1e-9);
    cr_expect(s[1].flip && !s[0].flip && s[2].flip && !s[3].flip);
    cr_expect_float_eq(KW_ITEM(struct kw_hole, p->holes, 2)->size, .406 * 25.4, 1e-9);
    kw_arena_free(&a);
}

Test(kit_features, flanges_of_every_kind) {
    struct kw_arena a = {0};
    char why[900];
    struct kw_part *p = part_of(
        &a,
        "    base: { points: [[0, 0], [8, 0], [8, 5], [4, 7], [0, 5]] }\n"
        "    bends:\n"
        "      A: { along: edge 3, height: 1, measured: inside, round: 1/4 }\n"
        "      B: { along: front, height: 1/2, hem: open, gap: 1/8 }\n"
        "      C: { along: left, height: 1, offset: 1/4 }\n"
        "      D: { along: right, height: 1, by_hand: { slit: 3/4, web: 3/16, width: 1/8 } }\n"
        "      E: { along: A, height: 3/4, taper_start: 45, taper_end: 30 }\n",
        why);
    cr_assert_not_null(p, "%s", why);
    const struct kw_flange *f = p->bends.v;
    cr_expect(f[0].edge == KW_EDGE_OF_OUTLINE && f[0].outline_edge == 3);
    cr_expect_eq(f[0].measured, KW_MEASURED_INSIDE);
    cr_expect_float_eq(f[0].turn, KW_PI / 2, 1e-12);
    cr_expect(f[1].hem == KW_HEM_OPEN && fabs(f[1].turn - KW_PI) < 1e-12);
    cr_expect_float_eq(f[2].offset, 6.35, 1e-9);
    cr_expect_float_eq(f[2].turn, KW_PI / 4, 1e-12);
    cr_expect_not_null(f[3].by_hand.node);
    cr_expect_null(f[0].by_hand.node);
    cr_expect_eq(f[4].parent, 0);
    kw_arena_free(&a);
}

static const struct {
    const char *lines, *why;
} faults[] = {
    {"    base: { circle: 8, long: 3 }\n", "8:24: the base has circle and long"},
    {"    base: { circle: 8, polygon: 3 }\n", "8:24: the base has circle and polygon"},
    {"    base: { polygon: 3 }\n", "8:11: expected polygon, the number of corners, and across"},
    {"    base: { points: [[0, 0], [6, 0, round 5], [6, 3]] }\n",
     "8:30: the corner at (6, 0) in can't be rounded by 5 in"},
    {"    base: { points: [[0, 0], [6, 0, bow 2], [6, 3]] }\n",
     "8:30: expected a bow of at most half the edge's length, 1.5 in, got 2"},
    {"    base: { points: [[0, 0], [6, 0, bend 2], [6, 3]] }\n",
     "8:37: expected round 1/2 or bow 1/4, got \"bend 2\""},
    {"    base: { points: [[0, 0], [6, 0], [6, 3]] }\n    bends: { A: { along: edge 4, height: 1 } "
     "}\n",
     "9:26: flange \"A\" needs a straight edge, expected one of edges 1 to 3, got edge 4"},
    {"    base: { long: 6, wide: 3 }\n    bends: { A: { along: edge 1, height: 1 } }\n",
     "9:26: a base by long and wide has no numbered edges"},
    {"    base: { long: 6, wide: 3 }\n    bends: { A: { along: back, height: 1, hem: open, turn: "
     "90 } }\n",
     "9:54: turn of flange \"A\": a hem has none"},
    {"    base: { long: 6, wide: 3 }\n    bends: { A: { along: back, height: 1, gap: 1/8 } }\n",
     "9:43: gap of flange \"A\": only an open hem has one"},
    {"    base: { long: 6, wide: 3 }\n    holes: [{ size: 1, neck: 1/2, from_left: 2, from_front: "
     "1 }]\n",
     "9:30: expected a keyhole with slot"},
    {"    base: { long: 6, wide: 3 }\n    holes: [{ bolt: M7, from_left: 2, from_front: 1 }]\n",
     "9:21: expected a bolt size such as 3/8, #10 or M10, got \"M7\""},
    {"    base: { long: 6, wide: 3 }\n    holes: [{ dimple: 2 in, from_left: 2, from_front: 1 }]\n",
     "9:23: unknown dimple die \"2 in\""},
    {"    base: { long: 6, wide: 3 }\n    holes: [{ letters: A, from_left: 2, from_front: 1 }]\n",
     "9:13: missing key \"height\" of letters"},
    {"    base: { long: 6, wide: 3 }\n    holes: [{ size: 1, from_left: 2, from_front: 1, repeat: "
     "{ "
     "count: 3 } }]\n",
     "9:61: expected repeat with count and step, or with ring and across"},
    {"    base: { long: 6, wide: 3 }\n    marks: [{ text: A, from_left: 1 }]\n",
     "9:13: missing key \"from_front\" of a text in the base"},
    {"    base: { long: 6, wide: 3 }\n    marks: [{ from_left: 1 }]\n",
     "9:13: expected a mark with text, or with line"},
};

Test(kit_features, refusals_with_their_place) {
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        struct kw_arena a = {0};
        char why[900];
        cr_expect_null(part_of(&a, faults[i].lines, why), "taken: %s", faults[i].lines);
        const char *got = strncmp(why, "kits/k.yaml:", 12) == 0 ? why + 12 : why;
        cr_expect(strncmp(got, faults[i].why, strlen(faults[i].why)) == 0,
                  "got \"%s\", want \"%s\"", got, faults[i].why);
        kw_arena_free(&a);
    }
}

Test(kit_features, pieces_joints_and_welds_by_name) {
    struct kw_arena a = {0};
    char why[900];
    const char *text = kw_format(&a,
                                 "%s    base: { long: 6, wide: 3 }\n"
                                 "assembly:\n"
                                 "  one: { part: p, at: [0, 0, 0] }\n"
                                 "  two: { part: p, at: [0, 3, 1], turns: [x 90, z -45] }\n"
                                 "joints:\n  j: { tab: two.front, slot: one }\n"
                                 "welds: [{ between: [one, two], stitch: 1, every: 4 }]\n",
                                 HEAD);
    struct kw_kit *kit = kit_of(&a, text, NULL, why);
    cr_assert_not_null(kit, "%s", why);
    const struct kw_joint *j = kit->joints.v;
    cr_expect(j->tab_piece == 1 && j->slot_piece == 0 && j->tabs == 2);
    const struct kw_standing *s = kit->assembly.v;
    cr_expect_eq(s[1].turns.count, 2);
    cr_expect_float_eq(KW_ITEM(struct kw_axis_turn, s[1].turns, 1)->angle, -KW_PI / 4, 1e-12);
    const struct kw_weld *w = kit->welds.v;
    cr_expect(w->pieces[0] == 0 && w->pieces[1] == 1);
    kw_arena_free(&a);
}
