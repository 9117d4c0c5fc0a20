// SPDX-License-Identifier: Apache-2.0
// Curves, blocks and layers of the drawing reader, on minimal files written by hand.
#include "kit_help.h"

#include <math.h>

#define RECT "0 LWPOLYLINE 8 CUT 90 4 70 1 10 0 20 0 10 80 20 0 10 80 20 50 10 0 20 50 "

// A drawing in mm with tables, blocks and entities, all as words.
static const char *drawing(struct kw_arena *a, const char *layers, const char *blocks,
                           const char *entities) {
    char *words = kw_format(a,
                            "0 SECTION 2 TABLES 0 TABLE 2 LAYER %s0 ENDTAB 0 ENDSEC "
                            "0 SECTION 2 BLOCKS %s0 ENDSEC 0 SECTION 2 ENTITIES %s0 ENDSEC 0 EOF",
                            layers, blocks, entities);
    struct kw_text t = {0};
    kw_text_add(&t, "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n");
    for (char *w = strtok(words, " "); w; w = strtok(NULL, " "))
        kw_text_addf(&t, "%s\n", w);
    char *text = kw_copy_text(a, t.s, t.length);
    kw_text_free(&t);
    return text;
}

static struct kw_drawing read_ok(struct kw_arena *a, const char *layers, const char *blocks,
                                 const char *entities) {
    struct kw_drawing d;
    const char *why = dxf_read_text(a, drawing(a, layers, blocks, entities), &d);
    cr_assert_str_eq(why, "", "%s", why);
    return d;
}

static void refused(const char *blocks, const char *entities, const char *part) {
    struct kw_arena a = {0};
    struct kw_drawing d;
    const char *why = dxf_read_text(&a, drawing(&a, "", blocks, entities), &d);
    cr_expect(strstr(why, part) != NULL, "wanted \"%s\", got \"%s\"", part, why);
    kw_arena_free(&a);
}

static void box_is(const struct kw_path *p, double x0, double y0, double x1, double y1) {
    struct kw_box2 b = kw_path_box(p);
    bool same = fabs(b.min.x - x0) < 0.02 && fabs(b.min.y - y0) < 0.02 &&
                fabs(b.max.x - x1) < 0.02 && fabs(b.max.y - y1) < 0.02;
    cr_expect(same, "got (%g, %g) to (%g, %g)", b.min.x, b.min.y, b.max.x, b.max.y);
}

// A block of one circle of radius 2 at (5, 5) about the base point (4, 5).
#define PEG "0 BLOCK 8 0 2 PEG 70 0 10 4 20 5 0 CIRCLE 8 CUT 10 5 20 5 40 2 0 ENDBLK 8 0 "

Test(kit_dxf_blocks, a_block_is_moved_scaled_turned_and_mirrored) {
    struct kw_arena a = {0};
    struct kw_drawing d = read_ok(&a, "", PEG, RECT "0 INSERT 8 CUT 2 peg 10 20 20 20 ");
    cr_assert_eq(d.region.hole_count, 1);
    box_is(&d.region.holes[0], 19, 18, 23, 22);
    d = read_ok(&a, "", PEG, RECT "0 INSERT 8 CUT 2 PEG 10 20 20 20 41 3 42 3 50 90 ");
    box_is(&d.region.holes[0], 14, 17, 26, 29); // centre (20, 23), radius 6
    cr_expect_eq(d.region.holes[0].count, 2);
    cr_expect_float_eq(kw_path_area(&d.region.holes[0]), -36 * KW_PI, 1e-9);
    d = read_ok(&a, "", PEG, RECT "0 INSERT 8 CUT 2 PEG 10 20 20 20 41 -3 42 3 ");
    box_is(&d.region.holes[0], 11, 14, 23, 26);
    d = read_ok(&a, "", PEG, RECT "0 INSERT 8 CUT 2 PEG 10 -20 20 20 230 -1 "); // from below
    box_is(&d.region.holes[0], 17, 18, 21, 22);
    kw_arena_free(&a);
}

Test(kit_dxf_blocks, a_circle_in_a_stretched_block_is_an_ellipse) {
    struct kw_arena a = {0};
    struct kw_drawing d = read_ok(&a, "", PEG, RECT "0 INSERT 8 CUT 2 PEG 10 30 20 25 41 5 42 2 ");
    box_is(&d.region.holes[0], 25, 21, 45, 29);
    cr_expect_float_eq(kw_path_area(&d.region.holes[0]), -KW_PI * 10 * 4, 0.02 * 46);
    kw_arena_free(&a);
}

Test(kit_dxf_blocks, rows_and_columns_are_turned_with_the_block_and_not_scaled) {
    struct kw_arena a = {0};
    struct kw_drawing d =
        read_ok(&a, "", PEG,
                RECT "0 INSERT 8 CUT 2 PEG 10 40 20 10 41 0.5 42 0.5 50 90 70 3 71 2 44 10 45 8 ");
    cr_assert_eq(d.region.hole_count, 6);
    double low = 1e9, high = -1e9, left = 1e9;
    for (int i = 0; i < 6; i++) {
        struct kw_box2 b = kw_path_box(&d.region.holes[i]);
        low = fmin(low, b.min.y), high = fmax(high, b.max.y), left = fmin(left, b.min.x);
    }
    cr_expect_float_eq(low, 10 + 0.5 - 1, 1e-9);
    cr_expect_float_eq(high, 10 + 20 + 0.5 + 1, 1e-9);
    cr_expect_float_eq(left, 40 - 8 - 1, 1e-9);
    kw_arena_free(&a);
}

Test(kit_dxf_blocks, blocks_hold_blocks_and_layer_0_is_the_layer_of_the_insert) {
    struct kw_arena a = {0};
    const char *blocks = "0 BLOCK 2 OUT 10 0 20 0 0 INSERT 8 0 2 IN 10 10 20 10 41 2 42 2 0 ENDBLK "
                         "0 BLOCK 2 IN 10 0 20 0 0 CIRCLE 8 0 10 0 20 0 40 2 "
                         "0 LINE 8 MARK 10 3 20 0 11 4 21 0 0 ENDBLK ";
    struct kw_drawing d = read_ok(&a, "", blocks, RECT "0 INSERT 8 CUT 2 OUT 10 10 20 5 ");
    cr_assert_eq(d.region.hole_count, 1);
    box_is(&d.region.holes[0], 16, 11, 24, 19);
    cr_assert_eq(d.marks.count, 1);
    d = read_ok(&a, "", blocks, RECT "0 INSERT 8 MARK 2 OUT 10 10 20 5 ");
    cr_expect_eq(d.region.hole_count, 0);
    cr_expect_eq(d.marks.count, 2);
    d = read_ok(&a, "", blocks, RECT "0 INSERT 8 NOTES 2 OUT 10 10 20 5 ");
    cr_expect(d.marks.count == 0 && d.ignored == 1, "the shop passes this layer over");
    // An insert's own layer needs no role as long as nothing in it takes that layer.
    d = read_ok(&a, "", PEG, RECT "0 INSERT 8 Parts 2 PEG 10 20 20 20 ");
    cr_expect_eq(d.region.hole_count, 1);
    refused(blocks, RECT "0 INSERT 8 CUTS 2 OUT 10 10 20 5 ", "layer \"CUTS\" has no role");
    kw_arena_free(&a);
}

Test(kit_dxf_blocks, frozen_and_switched_off_layers_are_passed_over_and_counted) {
    struct kw_arena a = {0};
    const char *layers = "0 LAYER 2 OUTLINE 70 1 62 7 0 LAYER 2 MARK 70 0 62 -3 "
                         "0 LAYER 2 CUT 70 4 62 7 ";
    const char *more =
        RECT "0 CIRCLE 8 OUTLINE 10 20 20 20 40 3 0 LINE 8 Mark 10 1 20 1 11 2 21 2 ";
    struct kw_drawing d = read_ok(&a, layers, "", more);
    cr_expect(d.region.hole_count == 0 && d.marks.count == 0 && d.ignored == 2);
    // Frozen, a block shows nothing; switched off, it shows what is on other layers.
    const char *one = RECT "0 INSERT 8 OUTLINE 2 PEG 10 20 20 20 ";
    const char *two = RECT "0 INSERT 8 MARK 2 PEG 10 20 20 20 ";
    cr_expect_eq(read_ok(&a, layers, PEG, one).region.hole_count, 0);
    cr_expect_eq(read_ok(&a, layers, PEG, two).region.hole_count, 1);
    kw_arena_free(&a);
}

Test(kit_dxf_blocks, blocks_that_cannot_be_read_are_refused) {
    const char *itself = "0 BLOCK 2 A 0 INSERT 8 0 2 B 10 0 20 0 0 ENDBLK "
                         "0 BLOCK 2 B 0 INSERT 8 0 2 A 10 0 20 0 0 ENDBLK ";
    refused(itself, RECT "0 INSERT 8 CUT 2 A 10 0 20 0 ", "block \"A\" holds itself");
    refused(PEG, RECT "0 INSERT 8 CUT 2 PEG 10 0 20 0 41 0 ", "a scale of 0");
    refused(PEG, RECT "0 INSERT 8 CUT 2 PEG 10 0 20 0 70 30000 71 30000 ", "at most 10000 copies");
    refused(PEG, RECT "0 INSERT 8 CUT 2 PEG 10 9 20 9 30 5 ", "3D");
    refused(PEG, RECT "0 INSERT 8 CUT 2 PEG 10 9 20 9 210 1 220 0 230 0 ", "3D");
    refused("0 BLOCK 2 X 70 4 1 far.dxf 0 ENDBLK ", RECT "0 INSERT 8 CUT 2 X 10 0 20 0 ",
            "kept in another drawing");
    refused("0 BLOCK 2 X 0 GADGET 8 CUT 0 ENDBLK ", RECT "0 INSERT 8 CUT 2 X 10 0 20 0 ",
            "GADGET on layer \"CUT\"");
    // Ten blocks of a hundred of the next: refused long before they are all read.
    struct kw_text bomb = {0};
    for (int i = 0; i < 10; i++) {
        kw_text_addf(&bomb, "0 BLOCK 2 B%d 0 INSERT 8 0 2 B%d 10 0 20 0 70 100 71 10 0 ENDBLK ", i,
                     i + 1);
    }
    kw_text_add(&bomb, "0 BLOCK 2 B10 0 ENDBLK ");
    refused(bomb.s, RECT "0 INSERT 8 CUT 2 B0 10 0 20 0 ", "at most 1000000 entities");
    kw_text_free(&bomb);
}

Test(kit_dxf_blocks, ellipses_and_splines_are_outlines_like_others) {
    struct kw_arena a = {0};
    struct kw_drawing d = read_ok(
        &a, "", "",
        "0 ELLIPSE 8 CUT 10 0 20 0 11 0 21 60 40 0.5 41 0 42 6.283185307179586 "
        // the left half of a smaller one, seen from below: its short axis runs the other way
        "0 ELLIPSE 8 CUT 10 0 20 0 11 0 21 20 40 0.25 41 0 42 3.141592653589793 230 -1 "
        "0 LINE 8 CUT 10 0 20 -20 11 0 21 20 ");
    cr_assert_eq(d.region.hole_count, 1);
    cr_expect_float_eq(d.width, 60, 0.04);
    cr_expect_float_eq(d.height, 120, 0.04);
    box_is(&d.region.holes[0], 30, 40, 35, 80);
    double area = KW_PI * 60 * 30 - KW_PI * 20 * 5 / 2;
    cr_expect_float_eq(kw_region_area(&d.region), area, 0.02 * (300 + 70));
    // A parabola as a spline of degree 2, closed by a line: two thirds of its box.
    d = read_ok(&a, "", "",
                "0 SPLINE 8 CUT 70 8 71 2 72 6 73 3 40 0 40 0 40 0 40 1 40 1 40 1 10 0 20 0 10 30 "
                "20 80 10 60 20 0 0 LINE 8 CUT 10 0 20 0 11 60 21 0 ");
    cr_expect_float_eq(kw_region_area(&d.region), 60 * 40 * 2.0 / 3, 0.02 * 110);
    cr_expect_float_eq(d.height, 40, 0.02);
    kw_arena_free(&a);
}

// Points on a circle: a closed spline through 24 of them is the circle to 1e-4 of its radius (the
// error of cubic interpolation of sine, (pi/12)^4 / 384, is 1.2e-5).
Test(kit_dxf_blocks, a_closed_spline_through_points_has_no_corner) {
    struct kw_arena a = {0};
    struct kw_text t = {0};
    kw_text_add(&t, "0 SPLINE 8 CUT 70 1 71 3 74 24 ");
    for (int i = 0; i < 24; i++)
        kw_text_addf(&t, "11 %.12f 21 %.12f ", 40 * cos(i * KW_PI / 12), 40 * sin(i * KW_PI / 12));
    struct kw_drawing d = read_ok(&a, "", "", t.s);
    cr_expect_float_eq(kw_region_area(&d.region), 1600 * KW_PI, 0.02 * 252);
    cr_expect_float_eq(d.width, 80, 0.04);
    for (int i = 0; i < d.region.outer.count; i++) {
        struct kw_segment s = kw_path_segment(&d.region.outer, i);
        struct kw_segment u = kw_path_segment(&d.region.outer, (i + 1) % d.region.outer.count);
        struct kw_vec2 v = kw_segment_direction(s, 1), w = kw_segment_direction(u, 0);
        cr_expect_geq(kw_dot2(v, w), cos(0.01), "a corner at %d", i);
    }
    kw_text_free(&t);
    kw_arena_free(&a);
}
