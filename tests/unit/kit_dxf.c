// SPDX-License-Identifier: Apache-2.0
// The drawing reader on minimal files written by hand.
#include "kit_help.h"

#include <math.h>

#define RECT "0 LWPOLYLINE 8 CUT 90 4 70 1 10 0 20 0 10 8 20 0 10 8 20 5 10 0 20 5 "
#define IN2  (25.4 * 25.4)

static struct kw_drawing read_ok(struct kw_arena *a, int units, const char *words) {
    struct kw_drawing d;
    const char *why = dxf_read_text(a, dxf_of(a, units, words), &d);
    cr_expect_str_eq(why, "", "%s", why);
    return d;
}

// What is refused, and the words that the message must hold.
static void refused(const char *words, const char *part) {
    struct kw_arena a = {0};
    struct kw_drawing d;
    const char *why = dxf_read_text(&a, dxf_of(&a, 1, words), &d);
    cr_expect(strstr(why, part) != NULL, "wanted \"%s\", got \"%s\"", part, why);
    kw_arena_free(&a);
}

Test(kit_dxf, lines_in_any_order_and_direction_make_an_outline) {
    struct kw_arena a = {0};
    struct kw_drawing d = read_ok(&a, 1,
                                  "0 LINE 8 CUT 10 10 20 10 11 18 21 10 "
                                  "0 LINE 8 outline 10 18 20 15 11 10 21 15 "
                                  "0 LINE 8 Cut 10 18 20 15 11 18 21 10 "
                                  "0 LINE 8 CUT 10 10 20 10 11 10 21 15 ");
    cr_expect_float_eq(kw_region_area(&d.region), 40 * IN2, 1e-6);
    cr_expect_gt(kw_path_area(&d.region.outer), 0.0);
    cr_expect_float_eq(kw_path_box(&d.region.outer).min.x, 0.0, 1e-9);
    cr_expect_float_eq(kw_path_box(&d.region.outer).min.y, 0.0, 1e-9);
    cr_expect_float_eq(d.width, 203.2, 1e-9);
    cr_expect_float_eq(d.height, 127.0, 1e-9);
    for (int i = 0; i < d.region.outer.count; i++)
        cr_expect_eq(d.region.outer.v[i].tag, 0);
    kw_arena_free(&a);
}

Test(kit_dxf, units_come_from_insunits_then_measurement_then_the_kit_file) {
    static const struct {
        const char *header;
        double width;
        bool said;
    } cases[] = {{"9\n$INSUNITS\n70\n1\n", 203.2, true},
                 {"9\n$INSUNITS\n70\n4\n", 8, true},
                 {"9\n$INSUNITS\n70\n5\n", 80, true},
                 {"9\n$INSUNITS\n70\n2\n", 2438.4, true},
                 {"9\n$INSUNITS\n70\n0\n", 203.2, false},
                 {"9\n$MEASUREMENT\n70\n1\n", 8, false},
                 {"9\n$MEASUREMENT\n70\n0\n", 203.2, false},
                 {"9\n$INSUNITS\n70\n1\n9\n$MEASUREMENT\n70\n1\n", 203.2, true},
                 {"9\n$LUNITS\n70\n4\n", 203.2, false}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_arena a = {0};
        struct kw_drawing d;
        char *text = kw_format(&a, "0\nSECTION\n2\nHEADER\n%s0\nENDSEC\n%s", cases[i].header,
                               dxf_of(&a, -1, RECT));
        cr_expect_str_eq(dxf_read_text(&a, text, &d), "");
        cr_expect_float_eq(d.width, cases[i].width, 1e-9, "case %zu", i);
        cr_expect_eq(d.units_said, cases[i].said, "case %zu", i);
        kw_arena_free(&a);
    }
}

Test(kit_dxf, arcs_of_any_sweep_keep_their_area) {
    struct kw_arena a = {0};
    // Three quarters of a disc of radius 2: the arc is split in two, the corner is at its centre.
    struct kw_drawing d = read_ok(&a, 4,
                                  "0 ARC 8 CUT 10 5 20 5 40 2 50 0 51 270 "
                                  "0 LINE 8 CUT 10 5 20 5 11 7 21 5 "
                                  "0 LINE 8 CUT 10 5 20 5 11 5 21 3 ");
    cr_expect_float_eq(kw_region_area(&d.region), 0.75 * KW_PI * 4, 1e-9);
    // The same by a bulge of more than a half circle: tan(270/4 degrees).
    d = read_ok(&a, 4,
                "0 LWPOLYLINE 8 CUT 90 3 70 1 10 7 20 5 42 2.414213562373095 10 5 20 3 10 5 20 5 ");
    cr_expect_float_eq(kw_region_area(&d.region), 0.75 * KW_PI * 4, 1e-9);
    for (int i = 0; i < d.region.outer.count; i++)
        cr_expect_leq(fabs(d.region.outer.v[i].bulge), 1.0);
    // Angles beyond a turn and a full circle by an arc.
    d = read_ok(&a, 4, "0 ARC 8 CUT 10 0 20 0 40 3 50 720 51 360 ");
    cr_expect_float_eq(kw_region_area(&d.region), KW_PI * 9, 1e-9);
    kw_arena_free(&a);
}

Test(kit_dxf, holes_are_clockwise_and_taken_off) {
    struct kw_arena a = {0};
    struct kw_drawing d = read_ok(&a, 4,
                                  RECT "0 CIRCLE 8 CUT 10 2 20 2 40 0.5 "
                                       "0 LWPOLYLINE 8 CUT 90 4 70 1 10 5 20 2 10 6 20 2 42 1 10 6 "
                                       "20 3 10 5 20 3 42 1 ");
    cr_expect_eq(d.region.hole_count, 2);
    cr_expect_float_eq(kw_region_area(&d.region), 40 - KW_PI * 0.25 - (1 + KW_PI * 0.25), 1e-9);
    for (int i = 0; i < d.region.hole_count; i++)
        cr_expect_lt(kw_path_area(&d.region.holes[i]), 0.0);
    kw_arena_free(&a);
}

Test(kit_dxf, a_lens_of_two_arcs_holds_a_hole_on_its_chord) {
    struct kw_arena a = {0};
    struct kw_drawing d = read_ok(&a, 1,
                                  "0 LWPOLYLINE 8 CUT 90 2 70 1 10 0 20 2 42 0.5 10 8 20 2 42 0.5 "
                                  "0 CIRCLE 8 CUT 10 4 20 2 40 0.25 ");
    cr_expect_eq(d.region.hole_count, 1);
    kw_arena_free(&a);
}

Test(kit_dxf, old_polylines_with_bulges_are_read) {
    struct kw_arena a = {0};
    struct kw_drawing d = read_ok(&a, -1,
                                  "0 POLYLINE 8 CUT 66 1 70 1 10 0 20 0 30 0 "
                                  "0 VERTEX 8 CUT 10 0 20 0 0 VERTEX 8 CUT 10 4 20 0 42 1 "
                                  "0 VERTEX 8 CUT 10 4 20 2 0 VERTEX 8 CUT 10 0 20 2 0 SEQEND ");
    cr_expect_float_eq(kw_region_area(&d.region), (8 + KW_PI / 2) * IN2, 1e-6);
    kw_arena_free(&a);
}

Test(kit_dxf, what_is_drawn_from_below_is_mirrored) {
    struct kw_arena a = {0};
    // In their own frame x runs the other way: these lie at x = 2 and x = 0..8.
    struct kw_drawing d = read_ok(
        &a, 4,
        "0 LWPOLYLINE 8 CUT 90 4 70 1 10 0 20 0 10 -8 20 0 42 0.5 10 -8 20 5 10 0 20 5 230 -1 "
        "0 CIRCLE 8 CUT 10 -2 20 2 40 0.5 230 -1 "
        "0 ARC 8 CUT 10 -5 20 2 40 1 50 0 51 180 230 -1 0 LINE 8 CUT 10 4 20 2 11 6 21 2 ");
    cr_assert_eq(d.region.hole_count, 2);
    struct kw_box2 hole = kw_path_box(&d.region.holes[0]);
    cr_expect_float_eq((hole.min.x + hole.max.x) / 2, 2.0, 1e-9);
    struct kw_box2 half = kw_path_box(&d.region.holes[1]);
    cr_expect_float_eq(half.min.x, 4.0, 1e-9);
    cr_expect_float_eq(half.max.y, 3.0, 1e-9);
    // Seen from above the bulge turns the other way: into the plate.
    cr_expect_float_eq(d.width, 8.0, 1e-9);
    kw_arena_free(&a);
}

Test(kit_dxf, bend_lines_are_named_from_left_to_right_then_upward) {
    struct kw_arena a = {0};
    struct kw_drawing d = read_ok(&a, 1,
                                  RECT "0 LINE 8 BEND_DOWN 10 6 20 5 11 6 21 0 "
                                       "0 LINE 8 BEND_UP 10 8 20 4 11 0 21 4 "
                                       "0 LINE 8 BEND_UP 10 0 20 1 11 8 21 1 "
                                       "0 TEXT 8 ANYTHING 10 1 20 1 1 words 0 DIMENSION 8 X ");
    cr_assert_eq(d.bends.count, 3);
    const struct kw_drawn_bend *b = d.bends.v;
    static const double want[3][4] = {{0, 1, 8, 1}, {0, 4, 8, 4}, {6, 0, 6, 5}};
    for (int i = 0; i < 3; i++) {
        char name[12];
        (void)snprintf(name, sizeof name, "%d", i + 1);
        cr_expect_str_eq(b[i].name, name);
        cr_expect_float_eq(b[i].a.x, want[i][0] * 25.4, 1e-9);
        cr_expect_float_eq(b[i].a.y, want[i][1] * 25.4, 1e-9);
        cr_expect_float_eq(b[i].b.x, want[i][2] * 25.4, 1e-9);
        cr_expect_float_eq(b[i].b.y, want[i][3] * 25.4, 1e-9);
        cr_expect_eq(b[i].way, i == 2 ? KW_DOWN : KW_UP);
        cr_expect_float_eq(b[i].turn, KW_PI / 2, 1e-12);
    }
    cr_expect_eq(d.ignored, 2);
    kw_arena_free(&a);
}

Test(kit_dxf, marks_are_kept_apart) {
    struct kw_arena a = {0};
    struct kw_drawing d =
        read_ok(&a, 4, RECT "0 LINE 8 MARK 10 1 20 1 11 2 21 1 0 CIRCLE 8 MARK 10 4 20 2 40 0.2 ");
    cr_expect_eq(d.marks.count, 2);
    cr_expect_eq(d.region.hole_count, 0);
    kw_arena_free(&a);
}

Test(kit_dxf, a_shop_that_names_no_layers_cuts_them_all) {
    struct kw_arena a = {0};
    struct kw_shop shop = *kit_shop();
    shop.layers = (struct kw_layers){0};
    struct kw_drawing d;
    struct kw_error err = {0};
    const char *text = dxf_of(&a, 4,
                              "0 LWPOLYLINE 8 0 90 4 70 1 10 0 20 0 10 8 20 0 10 8 20 5 10 0 20 5 "
                              "0 CIRCLE 8 holes 10 2 20 2 40 1 0 POINT 8 DEFPOINTS 10 0 20 0 "
                              "0 LINE 8 Defpoints 10 0 20 0 11 9 21 9 ");
    cr_expect_eq(kw_dxf_parse(&a, &shop.layers, "d", text, strlen(text), KW_MM, &d, &err), KW_OK,
                 "%s", err.text);
    cr_expect_eq(d.region.hole_count, 1);
    kw_arena_free(&a);
}

Test(kit_dxf, carriage_returns_comments_blanks_and_a_byte_order_mark_do_no_harm) {
    struct kw_arena a = {0};
    struct kw_drawing d;
    struct kw_text t = {0};
    kw_text_add(&t, "\xEF\xBB\xBF");
    for (const char *p = dxf_of(&a, 4, "999 note " RECT); *p; p++) {
        if (*p == '\n') kw_text_add(&t, "  \r");
        kw_text_addn(&t, p, 1);
        if (*p == '\n') kw_text_add(&t, " ");
    }
    cr_expect_str_eq(dxf_read_text(&a, t.s, &d), "");
    cr_expect_float_eq(d.width, 8.0, 1e-12);
    kw_text_free(&t);
    kw_arena_free(&a);
}

Test(kit_dxf, paper_space_hidden_things_and_slips_of_the_pen_are_passed_over) {
    struct kw_arena a = {0};
    struct kw_drawing d =
        read_ok(&a, 4,
                "0 LINE 8 CUT 67 1 10 0 20 0 11 9 21 9 0 LINE 8 CUT 60 1 10 0 20 0 11 9 21 9 "
                "0 LWPOLYLINE 8 CUT 90 6 70 1 10 0 20 0 10 8 20 0 10 8 20 5 10 8 20 5.0001 10 0 20 "
                "5 10 0 20 0 ");
    cr_expect_eq(d.ignored, 2);
    cr_expect_eq(d.region.outer.count, 4);
    kw_arena_free(&a);
}

Test(kit_dxf, what_is_drawn_twice_or_has_no_length_is_dropped_and_counted) {
    struct kw_arena a = {0};
    struct kw_drawing d = read_ok(
        &a, 4,
        RECT "0 LWPOLYLINE 8 OUTLINE 90 4 70 1 10 8 20 5 10 0 20 5 10 0 20 0 10 8 20 0 " // again
             "0 CIRCLE 8 CUT 10 2 20 2 40 1 "
             "0 LWPOLYLINE 8 CUT 90 2 70 1 10 2 20 1 42 1 10 2 20 3 42 1 " // the circle
             "0 LINE 8 CUT 10 7 20 1 11 7 21 1 "                           // no length
             "0 LINE 8 CUT 10 6 20 1 11 7 21 1 0 LINE 8 CUT 10 7 20 1 11 7 21 4 "
             "0 LINE 8 CUT 10 7 20 4 11 6 21 1 0 LINE 8 CUT 10 6 20 1 11 7 21 4 " // one again
             "0 LINE 8 BEND_UP 10 4 20 0 11 4 21 5 0 LINE 8 BEND_UP 10 4 20 5 11 4 21 0 "
             "0 LINE 8 MARK 10 1 20 1 11 2 21 2 0 LINE 8 MARK 10 2 20 2 11 1 21 1 "
             "0 LINE 8 MARK 10 2 20 2 11 2 21 2 ");
    cr_expect_eq(d.dropped, 7, "%d dropped", d.dropped);
    cr_expect_eq(d.region.hole_count, 2);
    cr_expect_eq(d.bends.count, 1);
    cr_expect_eq(d.marks.count, 1);
    cr_expect_float_eq(kw_region_area(&d.region), 40 - KW_PI - 1.5, 1e-9);
    kw_arena_free(&a);
}

Test(kit_dxf, refusals_say_what_and_where) {
    refused("0 LINE 8 CUT 10 0 20 0 11 8 21 0 0 LINE 8 CUT 10 8 20 0 11 8 21 5 ", "is open");
    refused("0 LINE 8 CUT 10 0 20 0 11 8 ", "d.dxf:16: LINE without group code 21");
    refused("0 LINE 8 CUT 10 0x10 20 0 11 8 21 1 ", "got \"0x10\"");
    refused("0 LINE 8 CUT 10 inf 20 0 11 8 21 1 ", "got \"inf\"");
    refused("0 LINE 8 CUT 10 1e400 20 0 11 8 21 1 ", "expected a number");
    refused("0 LINE 8 CUT 10 3000 20 0 11 8 21 1 ", "within 50 m");
    refused("0 CIRCLE 8 CUT 10 0 20 0 40 0 ", "a radius above 0");
    refused("0 CIRCLE 8 CUT 10 0 20 0 40 -1 ", "a radius above 0");
    refused(RECT "0 CIRCLE 8 CUT 10 0 20 2 40 1 ", "crosses or touches the one at line");
    refused(RECT "0 CIRCLE 8 CUT 10 4 20 2 40 1 0 CIRCLE 8 CUT 10 4.2 20 2 40 1 ", "touches");
    refused(RECT "0 CIRCLE 8 CUT 10 4 20 2 40 1 0 CIRCLE 8 CUT 10 4 20 2 40 0.5 ", "fall out");
    refused(RECT "0 CIRCLE 8 CUT 10 14 20 2 40 1 ", "a second outline");
    refused(RECT "0 ELLIPSE 8 CUT 10 4 20 2 ", "ELLIPSE without group code 11");
    refused(RECT "0 ELLIPSE 8 CUT 10 4 20 2 11 0 21 0 40 1 ", "an ellipse without size");
    refused(RECT "0 ELLIPSE 8 CUT 10 4 20 2 11 1 21 0 40 0 ", "an ellipse without size");
    refused(RECT "0 ELLIPSE 8 BEND_UP 10 4 20 2 11 1 21 0 40 0.5 ", "an arc on a bend layer");
    refused(RECT "0 ELLIPSE 8 CUT 10 4 20 2 11 1 21 0 31 1 40 0.5 ", "3D");
    refused(RECT "0 SPLINE 8 CUT 71 3 ", "a spline with fewer than two points");
    refused(RECT "0 SPLINE 8 CUT 71 1 40 0 10 1 20 1 10 2 20 2 ", "expected 4 knots");
    refused(RECT "0 SPLINE 8 CUT 71 1 40 0 40 0 40 1 40 0 10 1 20 1 10 2 20 2 ", "knots that fall");
    refused(RECT "0 SPLINE 8 CUT 71 1 40 0 40 0 40 1 40 1 41 1 41 0 10 1 20 1 10 2 20 2 ",
            "a weight that is not above 0");
    refused(RECT "0 SPLINE 8 CUT 71 99 10 1 20 1 10 2 20 2 ", "a degree of 99");
    refused(RECT "0 HELIX 8 CUT 10 4 20 2 ", "HELIX on layer \"CUT\" can't be cut");
    refused(RECT "0 INSERT 8 CUT 2 PLATE 10 4 20 2 ", "no block \"PLATE\" in the drawing");
    refused(RECT "0 INSERT 8 CUT 10 4 20 2 ", "INSERT without group code 2");
    refused(RECT "0 GADGET 8 CUT 10 4 20 2 ", "GADGET on layer \"CUT\"");
    refused(RECT "0 3DFACE 8 CUT 10 4 20 2 ", "3D");
    refused(RECT "0 POLYLINE 8 CUT 70 64 ", "3D");
    refused(RECT "0 CIRCLE 8 CUT 10 4 20 2 40 1 210 0 220 1 230 0 ", "3D");
    refused(RECT "0 CIRCLE 8 CUT 10 4 20 2 30 1 40 1 ", "3D");
    refused(RECT "0 ARC 8 BEND_UP 10 4 20 2 40 1 50 0 51 90 ", "an arc on a bend layer");
    refused(RECT "0 LINE 8 BEND_UP 10 0 20 2 11 7 21 2 ", "the bend line ends at (7, 2) in");
    refused(RECT "0 LINE 8 BEND_UP 10 0 20 0 11 8 21 0 ", "along the edge");
    refused(RECT "0 LINE 8 BEND_UP 10 0 20 2 11 0 21 2 ", "without length");
    refused(RECT "0 LINE 8 MARK 10 0 20 2 11 9 21 2 ", "a mark outside the outline, at (9, 2) in");
    refused(RECT "0 LINE 8 CUTT 10 0 20 2 11 9 21 2 ", "did you mean \"CUT\"");
    refused(RECT "0 VERTEX 8 CUT 10 0 20 2 ", "VERTEX without POLYLINE");
    refused("0 LWPOLYLINE 8 CUT 90 5 70 1 10 0 20 0 10 8 20 0 10 8 20 5 ", "promises 5 points");
    refused("0 LWPOLYLINE 8 CUT 90 3 70 1 10 0 20 0 10 8 20 0 10 4 20 0 ", "the outline");
    refused("0 LWPOLYLINE 8 CUT 90 2 70 1 10 0 20 0 42 1e9 10 8 20 0 ", "is no arc");
    refused("0 TEXT 8 CUT 1 nothing ", "an empty drawing");
    refused("0 POLYLINE 8 CUT 70 1 0 SEQEND ", "an empty drawing");
}

Test(kit_dxf, cut_off_at_any_byte_it_is_refused) {
    struct kw_arena a = {0};
    const char *whole = dxf_of(&a, 1, RECT "0 CIRCLE 8 CUT 10 4 20 2 40 1 ");
    size_t n = strlen(whole);
    for (size_t i = 0; i < n - 1; i++) { // without its last line end it is whole
        struct kw_drawing d;
        struct kw_error err = {0};
        enum kw_status s = kw_dxf_parse(&a, &kit_shop()->layers, "d", whole, i, KW_IN, &d, &err);
        cr_expect_eq(s, KW_FORMAT, "first %zu bytes", i);
    }
    kw_arena_free(&a);
}

static struct kw_items one(const char **name) {
    return (struct kw_items){name, 1};
}

Test(kit_dxf, a_drawing_s_own_roles_come_before_the_shop_s) {
    struct kw_arena a = {0};
    const char *cut[] = {"CUT"}, *red[] = {"#f00"}, *blue[] = {"blue"}, *mine[] = {"Cut"},
               *pure[] = {"rgb(255, 0, 0)"};
    struct kw_layers shop = {.cut = one(cut), .mark = one(red), .bend_up = one(blue)};
    struct kw_layers own = {.ignore = one(mine), .bend_down = one(pure)}, none = {0};
    struct kw_layers both = kw_layers_over(&a, &own, &shop);
    cr_expect_str_eq(kw_layer_role(&both, "CUT"), "ignore", "in capitals and small letters");
    cr_expect_str_eq(kw_layer_role(&both, "red"), "bend down",
                     "the same colour, written otherwise");
    cr_expect_str_eq(kw_layer_role(&both, "#00f"), "bend up", "the shop's, where nothing is said");
    cr_expect_null(kw_layer_role(&both, "green"));
    both = kw_layers_over(&a, &none, &shop);
    cr_expect_str_eq(kw_layer_role(&both, "cut"), "cut");
    kw_arena_free(&a);
}
