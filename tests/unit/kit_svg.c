// SPDX-License-Identifier: Apache-2.0
// The SVG reader on small drawings written by hand.
#include "kit_help.h"

#include <math.h>

#define HEAD                                                                                       \
    "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='60mm' viewBox='0 0 100 60'>"
#define CUT  "<g id='CUT'>"
#define RECT "<rect width='80' height='50'/>"

static const char *read_text(struct kw_arena *a, const char *text, struct kw_drawing *d) {
    struct kw_error err = {0};
    static char why[900];
    why[0] = 0;
    if (kw_svg_parse(a, &kit_shop()->layers, "d.svg", text, strlen(text), d, &err) != KW_OK)
        kw_error_line(&err, why, sizeof why);
    return why;
}

static struct kw_drawing read_ok(struct kw_arena *a, const char *body) {
    struct kw_drawing d;
    const char *why = read_text(a, kw_format(a, HEAD "%s</svg>", body), &d);
    cr_assert_str_eq(why, "", "%s", why);
    return d;
}

static void refused(const char *body, const char *part) {
    struct kw_arena a = {0};
    struct kw_drawing d;
    const char *why = read_text(&a, kw_format(&a, HEAD "%s</svg>", body), &d);
    cr_expect(strstr(why, part) != NULL, "wanted \"%s\", got \"%s\"", part, why);
    kw_arena_free(&a);
}

static double area(const char *body) {
    struct kw_arena a = {0};
    struct kw_drawing d = read_ok(&a, body);
    double v = kw_region_area(&d.region);
    kw_arena_free(&a);
    return v;
}

static struct kw_box2 hole_box(struct kw_arena *a, const char *body) {
    struct kw_drawing d = read_ok(a, body);
    cr_assert_eq(d.region.hole_count, 1);
    return kw_path_box(&d.region.holes[0]);
}

static void box_is(struct kw_box2 b, double x0, double y0, double x1, double y1) {
    bool same = fabs(b.min.x - x0) < 1e-6 && fabs(b.min.y - y0) < 1e-6 &&
                fabs(b.max.x - x1) < 1e-6 && fabs(b.max.y - y1) < 1e-6;
    cr_expect(same, "got (%g, %g) to (%g, %g)", b.min.x, b.min.y, b.max.x, b.max.y);
}

Test(kit_svg, basic_shapes_have_the_areas_of_the_handbook) {
    cr_expect_float_eq(area(RECT), 4000, 1e-9);
    cr_expect_float_eq(area("<rect width='80' height='50' rx='5'/>"), 4000 - (4 - KW_PI) * 25,
                       1e-9);
    cr_expect_float_eq(area("<rect width='80' height='50' ry='99'/>"), // at most half of each side
                       4000 - (4 - KW_PI) * 40 * 25, 0.02 * 260);
    cr_expect_float_eq(area("<rect width='80' height='50' rx='9' ry='4'/>"),
                       4000 - (4 - KW_PI) * 36, 0.02 * 60);
    cr_expect_float_eq(area("<circle cx='9' cy='9' r='7'/>"), KW_PI * 49, 1e-9);
    cr_expect_float_eq(area("<ellipse cx='9' cy='9' rx='30' ry='10'/>"), KW_PI * 300, 0.02 * 134);
    cr_expect_float_eq(area("<polygon points='0,0 10,0 10,20'/>"), 100, 1e-9);
    cr_expect_float_eq(area("<polyline points='0 0 10-5 10.5.5'/>"), 28.75, 1e-9); // filled: closed
    cr_expect_float_eq(area("<rect width='80%' height='50%'/>"), 80 * 30, 1e-9);
    cr_expect_float_eq(area("<rect width='1in' height='72pt'/>"), pow(96, 2),
                       1e-9); // 96 user units, which are 1 mm here
}

Test(kit_svg, every_letter_of_a_path_is_read) {
    // The same 30 x 20 box in ten ways.
    static const char *const boxes[] = {"M0 0L30 0L30 20L0 20Z",
                                        "m0,0l30,0l0,20l-30,0z",
                                        "M0 0H30V20H0z",
                                        "m0 0h30v20h-30z",
                                        "M0 0 30 0 30 20 0 20z",
                                        "m0 0 30 0 0 20 -30 0z",
                                        "M0,0C10,0,20,0,30,0V20H0Z",
                                        "m0 0c10 0 30 0 30 0s0 10 0 20h-30z",
                                        "M0 0Q15 0 30 0v20H0z",
                                        "M0 0q30 0 30 0t0 20h-30z"};
    for (int i = 0; i < 10; i++) {
        struct kw_arena a = {0};
        struct kw_drawing d = read_ok(&a, kw_format(&a, "<path d='%s'/>", boxes[i]));
        cr_expect_float_eq(kw_region_area(&d.region), 600, 1e-6, "%s", boxes[i]);
        cr_expect_float_eq(d.width, 30, 1e-6, "%s", boxes[i]);
        kw_arena_free(&a);
    }
    // Half discs by arcs, with the flags written close together.
    cr_expect_float_eq(area("<path d='M0 0a10 10 0 0120 0z'/>"), KW_PI * 50, 1e-9);
    cr_expect_float_eq(area("<path d='M0 0A10,10,0,1,1,20,0Z'/>"), KW_PI * 50, 1e-9);
    cr_expect_float_eq(area("<path d='M0 0a1 1 0 0 0 20 0z'/>"), KW_PI * 50, 1e-9); // grown to fit
    cr_expect_float_eq(area("<path d='M0 0a10 10 0 1 1 10 10z'/>"), KW_PI * 75 + 50, 1e-9);
    cr_expect_float_eq(area("<path d='M0 0a10 10 0 0 1 10 10z'/>"), KW_PI * 25 - 50, 1e-9);
    cr_expect_float_eq(area("<path d='M0 0a0 9 0 0 1 10 10v-9z'/>"), 45, 1e-9); // a line
    cr_expect_float_eq(area("<path d='M0 0a20 10 90 0 1 20 0z'/>"), KW_PI * 100, 0.02 * 70);
    // Four cubics that are nearly a circle (their arms 0.5523 r: within 3e-4 of it).
    double oval = area("<path d='M20 0c11.0457 0 20 8.9543 20 20s-8.9543 20-20 20-20-8.9543-20-20"
                       " 8.9543-20 20-20z'/>");
    cr_expect_float_eq(oval, KW_PI * 400, 400 * KW_PI * 3e-4 + 0.02 * 126);
    // Two quadratics, the second with its control mirrored to (20, 0): what the first adds to the
    // triangle below the chord, the second takes off.
    cr_expect_float_eq(area("<path d='M0 10Q0 0 10 0T20-10V10z'/>"), 200, 0.02 * 75);
    cr_expect_float_eq(area("<path d='M0 10Q0 0 10 0L20-10V10z'/>"), 200 + 50 * 2.0 / 3, 0.02 * 75);
}

Test(kit_svg, transforms_are_nested_and_the_last_comes_first) {
    struct kw_arena a = {0};
    box_is(hole_box(&a, RECT "<g transform='translate(10 20)'><g transform='scale(2)'>"
                             "<rect width='5' height='3'/></g></g>"),
           10, 24, 20, 30);
    box_is(hole_box(&a, RECT "<rect transform='translate(10,20) scale(2)' width='5' height='3'/>"),
           10, 24, 20, 30);
    box_is(hole_box(&a, RECT "<rect transform='rotate(90 40 25)' x='30' y='24' width='10' "
                             "height='2'/>"),
           39, 25, 41, 35);
    box_is(hole_box(&a, RECT "<rect transform='matrix(1 0 0 -1 0 30)' x='5' y='5' width='10' "
                             "height='2'/>"),
           5, 27 - 2 - 2 + 2, 15, 27);
    box_is(hole_box(&a, RECT "<rect transform='skewX(45)' x='5' y='5' width='10' height='2'/>"), 10,
           43, 22, 45);
    box_is(hole_box(&a, RECT "<rect transform='skewY(45)' x='5' y='5' width='10' height='2'/>"), 5,
           28, 15, 40);
    // A stretched circle is an ellipse.
    cr_expect_float_eq(area("<circle transform='scale(3 1)' r='10' cx='10' cy='10'/>"), KW_PI * 300,
                       0.02 * 134);
    kw_arena_free(&a);
}

Test(kit_svg, the_size_is_that_of_width_and_height) {
    static const struct {
        const char *size;
        double width;
        bool said;
    } cases[] = {{"width='100mm' height='100mm' viewBox='0 0 100 100'", 50, true},
                 {"width='10cm' viewBox='0 0 100 100'", 50, true},
                 {"height='4in' viewBox='0 0 100 100'", 50.8, true},
                 {"width='400Q' viewBox='0 0 100 100'", 50, true},
                 {"width='72pt' viewBox='0 0 100 100'", 12.7, true},
                 {"width='6pc' viewBox='0 0 100 100'", 12.7, true},
                 {"width='100mm'", 50 * 25.4 / 96, true},
                 {"width='100' viewBox='0 0 50 50'", 100 * 25.4 / 96, false},
                 {"width='100px' height='100px'", 50 * 25.4 / 96, false},
                 {"width='100%' height='100%' viewBox='0 0 50 50'", 50 * 25.4 / 96, false},
                 {"viewBox='7 7 50 50'", 50 * 25.4 / 96, false},
                 // meet: the smaller scale; none: each its own; slice: the larger
                 {"width='100mm' height='300mm' viewBox='0 0 100 100'", 50, true},
                 {"width='200mm' height='100mm' viewBox='0 0 100 100' preserveAspectRatio='none'",
                  100, true},
                 {"width='200mm' height='100mm' viewBox='0 0 100 100' "
                  "preserveAspectRatio='xMidYMid slice'",
                  100, true}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_arena a = {0};
        struct kw_drawing d;
        char *text = kw_format(&a, "<svg %s><rect width='50' height='20'/></svg>", cases[i].size);
        cr_expect_str_eq(read_text(&a, text, &d), "", "%s", cases[i].size);
        cr_expect_float_eq(d.width, cases[i].width, 1e-9, "%s: %g", cases[i].size, d.width);
        cr_expect_eq(d.units_said, cases[i].said, "%s", cases[i].size);
        kw_arena_free(&a);
    }
}

Test(kit_svg, nested_views_and_symbols_are_fitted) {
    struct kw_arena a = {0};
    box_is(hole_box(&a, RECT "<svg x='10' y='10' width='20' height='20' viewBox='0 0 2 4'>"
                             "<rect width='2' height='4'/></svg>"),
           15, 20, 25, 40);
    box_is(hole_box(&a, RECT "<symbol id='s' viewBox='0 0 2 4' preserveAspectRatio='xMinYMax'>"
                             "<rect width='2' height='4'/></symbol>"
                             "<use href='#s' x='10' y='10' width='20' height='20'/>"),
           10, 20, 20, 40);
    box_is(hole_box(&a, RECT "<defs><rect id='r' x='1' width='5' height='5'/></defs>"
                             "<g transform='translate(10)'><use xmlns:l="
                             "'http://www.w3.org/1999/xlink' l:href='#r' y='20'/></g>"),
           11, 25, 16, 30);
    kw_arena_free(&a);
}

Test(kit_svg, roles_come_from_names_then_colours) {
    struct kw_arena a = {0};
    struct kw_shop shop = *kit_shop();
    static const char *cut[] = {"CUT", "black"}, *up[] = {"BEND_UP", "#00f"}, *down[] = {"red"};
    shop.layers.cut = (struct kw_items){cut, 2};
    shop.layers.bend_up = (struct kw_items){up, 2};
    shop.layers.bend_down = (struct kw_items){down, 1};
    const char *text = HEAD
        "<style>/* lines */ .f, .g { stroke: #ff0000; fill:none } @media print {.f{stroke:lime}}"
        "#u{stroke:blue}</style><g stroke='black' fill='none'>" RECT
        "<line class='f' x1='20' y1='0' x2='20' y2='50'/>"
        "<path id='u' d='M40 0V50'/>"
        "<line style='stroke : rgb(0,0,100%)' x1='60' y1='0' x2='60' y2='50'/></g>"
        "<g xmlns:d='urn:any' d:label='Mark' stroke='black'><path d='M5 5H9'/></g>"
        "<text class='f'>words</text><g style='display:none'><circle r='5'/></g>"
        "<circle r='1' visibility='hidden'/><circle r='2' fill='none'/></svg>";
    struct kw_drawing d;
    struct kw_error err = {0};
    enum kw_status s = kw_svg_parse(&a, &shop.layers, "d", text, strlen(text), &d, &err);
    cr_assert_eq(s, KW_OK, "%s", err.text);
    cr_assert_eq(d.bends.count, 3);
    for (int i = 0; i < 3; i++)
        cr_expect_eq(KW_ITEM(struct kw_drawn_bend, d.bends, i)->way, i == 0 ? KW_DOWN : KW_UP);
    cr_expect_eq(d.marks.count, 1);
    cr_expect_eq(d.region.hole_count, 0);
    cr_expect_eq(d.ignored, 4);
    kw_arena_free(&a);
}

Test(kit_svg, a_drawing_in_one_colour_without_roles_is_cut_whole) {
    cr_expect_float_eq(area(RECT "<circle cx='20' cy='20' r='5'/>"), 4000 - 25 * KW_PI, 1e-9);
    refused(RECT "<circle cx='20' cy='20' r='5' fill='#123456'/>",
            "d.svg:1: a shape of colour #000000 has no role in shop.yaml, expected one of CUT");
    refused(CUT RECT "</g><g id='CUTS'><circle cx='20' cy='20' r='5'/></g>",
            "a shape in group \"CUTS\" of colour #000000 has no role in shop.yaml, did you mean "
            "\"CUT\"");
}

Test(kit_svg, an_open_path_is_closed_where_it_is_only_filled) {
    cr_expect_float_eq(area("<path d='M0 0H30V20H0'/>"), 600, 1e-9);
    refused("<path d='M0 0H30V20H0' stroke='black'/>",
            "the outline is open: from (0, 20) to (0, 0) there is a gap of 20 mm");
}

Test(kit_svg, refusals_say_what_and_where) {
    refused("<path d='M0 0H30V20H0", "d.svg:1:");
    refused("<g></svg>", "expected an SVG drawing: mismatched tag");
    refused(RECT "<path d='M0 0L1'/>", "path data: expected a number, got \"\"");
    refused(RECT "<path d='M0 0 a1 1 0 2 0 5 5'/>", "path data: expected 0 or 1, got \"2 0 5 5\"");
    refused(RECT "<path d='L0 0'/>", "path data: expected M or m");
    refused(RECT "<path d='M0 0 X 5'/>", "path data: expected a letter of a path, got \"X 5\"");
    refused(RECT "<path d='M0 0 L 1e400 0'/>", "path data: expected a number");
    refused(RECT "<path d='M0 0 L 1e9 0'/>", "within 50 m");
    refused(RECT "<rect width='1em' height='3'/>",
            "expected a length such as 12 or 12mm for width");
    refused(RECT "<polygon points='0 0 1'/>", "points: expected pairs of numbers");
    refused(RECT "<g transform='turn(3)'/>", "expected transforms such as");
    refused(RECT "<g transform='scale(0)'/>", "a transform that leaves nothing");
    refused(RECT "<use href='#x'/>", "nothing in the drawing has the id \"x\"");
    refused(RECT "<use href='other.svg#x'/>", "expected a use of something in this drawing");
    refused(RECT "<g id='x'><use href='#x'/></g>", "\"#x\" uses itself");
    refused("<g clip-path='url(#c)'>" RECT "</g>", "what is clipped or masked");
    refused(RECT "<svg viewBox='0 0 0 5'/>", "a viewBox of four numbers");
    refused("<text>nothing</text>", "an empty drawing");
    refused("<g stroke='red' fill='none'>" RECT "<path d='M5 5C6 6 7 7 8 5'/></g>", "is open");
    struct kw_arena a = {0};
    struct kw_drawing d;
    cr_expect(strstr(read_text(&a, "<a/>", &d), "its first element is not svg"));
    cr_expect(strstr(read_text(&a, "", &d), "no element found"));
    cr_expect(strstr(read_text(&a, "\x1f\x8b\x08", &d), "a packed file"));
    cr_expect(strstr(read_text(&a, "<!DOCTYPE svg [<!ENTITY a 'b'>]><svg/>", &d),
                     "the entity \"a\" is declared"));
    cr_expect(strstr(read_text(&a, "<svg width='1fur'/>", &d), "expected a size such as 120mm"));
    struct kw_text deep = {0};
    for (int i = 0; i < 300; i++)
        kw_text_add(&deep, "<g>");
    refused(deep.s, "at most 200 deep");
    kw_text_free(&deep);
    kw_arena_free(&a);
}

Test(kit_svg, things_used_over_and_over_are_refused_in_time) {
    struct kw_text t = {0};
    kw_text_add(&t, RECT);
    for (int i = 0; i < 12; i++) {
        kw_text_addf(&t, "<g id='g%d'>", i);
        for (int k = 0; k < 10; k++)
            kw_text_addf(&t, "<use href='#g%d'/>", i + 1);
        kw_text_add(&t, "</g>");
    }
    kw_text_add(&t, "<g id='g12'/>");
    refused(t.s, "expected at most 1000000 elements");
    kw_text_free(&t);
}

Test(kit_svg, a_part_is_made_of_it_as_of_a_dxf) {
    struct kw_arena a = {0};
    char *folder = kit_folder();
    struct kw_error err = {0};
    struct kw_kit *kit = NULL;
    kit_put(folder, "drawings/side.svg",
            HEAD "<g id='CUT'>" RECT "</g><g id='BEND_UP'><line stroke='red' x1='20' x2='20' "
                 "y2='50'/></g></svg>");
    kit_put(folder, "kits/k.yaml",
            "kit: k\nname: K\nrevision: A\nunits: mm\nparts:\n  side:\n"
            "    from: 11 ga hot-rolled sheet\n    per_kit: 1\n    flat: drawings/side.svg\n"
            "    must_measure: 80 x 50\n    bends:\n      lip: { line: 1, turn: 45 }\n");
    enum kw_status s = kw_kit_read(&a, kit_shop(), folder, "kits/k.yaml", NULL, &kit, &err);
    cr_assert_eq(s, KW_OK, "%s", err.text);
    const struct kw_part *part = kw_kit_part(kit, "side");
    cr_expect_float_eq(kw_region_area(&part->drawing), 4000, 1e-9);
    cr_assert_eq(part->drawn_bends.count, 1);
    const struct kw_drawn_bend *b = part->drawn_bends.v;
    cr_expect_str_eq(b->name, "lip");
    cr_expect_float_eq(b->turn, KW_PI / 4, 1e-12);
    cr_expect_eq(kw_remove_folder(folder, NULL), KW_OK);
    kw_arena_free(&a);
}
