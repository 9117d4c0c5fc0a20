// SPDX-License-Identifier: Apache-2.0
// Holes of every shape, dimples, letters and marks in a body. Areas by elementary geometry.
#include "shape_hand.h"

#include <string.h>

static double removed(const struct kw_body *body) {
    double area = 0;
    for (int i = 0; i < body->blank.hole_count; i++)
        area -= kw_path_area(&body->blank.holes[i]);
    return area;
}

Test(shape_features, keyhole) {
    struct hand h;
    hand_start(&h, 200, 100, 3);
    struct kw_hole *o = hand_hole(&h, -1, 20, 60, 50);
    o->slot = 50;
    o->neck = 8;
    struct kw_body *body = hand_make(&h);
    cr_assert(body && body->blank.hole_count == 1);
    // the round hole, the neck to the middle of its round end, half of that end, less what the neck
    // has in the round hole
    double r = 10, w = 4, a = asin(w / r);
    double in_hole = r * r * a + w * r * cos(a); // two segments' worth: sector and triangle
    double neck = (50 - r - w) * 2 * w + KW_PI * w * w / 2;
    double want = KW_PI * r * r + neck - in_hole;
    cr_expect_float_eq(removed(body), want, 1e-6);
    struct kw_box2 box = kw_path_box(&body->blank.holes[0]);
    cr_expect_float_eq(box.min.x, 50, 1e-9);
    cr_expect_float_eq(box.max.x, 100, 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_features, turned_and_mirrored_cut_outs) {
    struct hand h;
    hand_start(&h, 200, 100, 3);
    struct kw_hole *o = hand_hole(&h, -1, 0, 50, 30);
    struct kw_path p = {0};
    kw_path_add(&h.a, &p, 0, 0, 0, 0);
    kw_path_add(&h.a, &p, 10, 0, 0, 0);
    kw_path_add(&h.a, &p, 0, 5, 0, 0);
    o->cut_out = p;
    o->turn = 90 * DEG;
    o->mirror = KW_MIRROR_BOTH;
    struct kw_body *body = hand_make(&h);
    cr_assert(body && body->blank.hole_count == 4);
    cr_expect_float_eq(removed(body), 4 * 25, 1e-9);
    // the corner at the place itself; its long leg ran right, now to the back, and its mirror
    // images to the back on the right, to the front on both sides
    static const double want[4][4] = {
        {45, 50, 30, 40}, {150, 155, 30, 40}, {45, 50, 60, 70}, {150, 155, 60, 70}};
    for (int i = 0; i < 4; i++) {
        struct kw_box2 b = kw_path_box(&body->blank.holes[i]);
        cr_expect(fabs(b.min.x - want[i][0]) < 1e-9 && fabs(b.max.x - want[i][1]) < 1e-9 &&
                      fabs(b.min.y - want[i][2]) < 1e-9 && fabs(b.max.y - want[i][3]) < 1e-9,
                  "%d: %g %g %g %g", i, b.min.x, b.max.x, b.min.y, b.max.y);
    }
    kw_arena_free(&h.a);
}

Test(shape_features, dimples_are_pre_holes_with_a_die) {
    struct hand h;
    hand_start(&h, 200, 100, 3);
    struct kw_hole *o = hand_hole(&h, -1, 50.8, 60, 50);
    o->dimple = "2 in";
    o->dimple_way = KW_DOWN;
    struct kw_body *body = hand_make(&h);
    cr_assert(body && body->dimple_count == 1);
    cr_expect_float_eq(body->dimples[0].at.x, 60, 1e-9);
    cr_expect_eq(body->dimples[0].way, KW_DOWN);
    cr_expect_float_eq(removed(body), KW_PI / 4 * 50.8 * 50.8, 1e-6);
    kw_arena_free(&h.a);
}

Test(shape_features, letters_and_ornaments_are_cut_with_bridges) {
    struct hand h;
    hand_start(&h, 400, 100, 3);
    struct kw_hole *o = hand_hole(&h, -1, 0, 200, 50);
    o->letters = "ROB";
    o->font = "DejaVu Sans Bold";
    o->tallness = 50;
    o->bridge = 2;
    o = hand_hole(&h, -1, 0, 40, 50);
    o->drawing = "ring";
    o->ornament.outer = kw_path_circle(&h.a, 0, 0, 20, true, 0);
    KW_PUSH(&h.a, o->ornament.holes, o->ornament.hole_count) =
        kw_path_circle(&h.a, 0, 0, 8, false, 0);
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", h.found.count ? h.found.v[0].says : "");
    cr_expect_eq(body->lettering_count, 2);
    // R: one island, two bridges, two openings; O: two; B: two islands in a row; the ring: two
    cr_expect_eq(body->blank.hole_count, 2 + 2 + 3 + 2, "%d", body->blank.hole_count);
    cr_expect_float_eq(body->letterings[1].least_web, 6, 1e-6, "twice the thickness");
    cr_expect_float_eq(body->letterings[1].least_stroke, 12, 0.1);
    kw_arena_free(&h.a);
    hand_start(&h, 400, 100, 3);
    o = hand_hole(&h, -1, 0, 200, 50);
    o->letters = "A";
    o->font = "No Such Face";
    o->tallness = 50;
    cr_expect_null(hand_make(&h));
    cr_expect(hand_has(&h, "letter-face"));
    kw_arena_free(&h.a);
}

Test(shape_features, marks_on_the_base_and_on_a_flange) {
    struct hand h;
    hand_start(&h, 200, 100, 3);
    hand_flange(&h, KW_EDGE_BACK, 40, 90 * DEG, 3);
    static struct kw_corner line[] = {{.at = {10, 20}}, {.at = {150, 20}}};
    static struct kw_mark marks[] = {
        {.line = {line, 2}, .flange = -1},
        {.text = "I", .height = 12, .from_left = 30, .from_bottom = 10}};
    h.part.marks = (struct kw_items){marks, 2};
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    cr_assert_eq(body->mark_count, 1 + 3);
    cr_expect_float_eq(kw_path_length(&body->marks[0]), 140, 1e-9);
    struct kw_move2 told = kw_move2_then(kw_body_told(body, 0), body->faces[1].flat);
    struct kw_vec2 low = kw_move2_point(told, kw_v2(30, 10));
    struct kw_box2 b = kw_path_box(&body->marks[1]);
    for (int i = 2; i < 4; i++) {
        struct kw_box2 c = kw_path_box(&body->marks[i]);
        b.min = kw_v2(fmin(b.min.x, c.min.x), fmin(b.min.y, c.min.y));
        b.max = kw_v2(fmax(b.max.x, c.max.x), fmax(b.max.y, c.max.y));
    }
    cr_expect_float_eq(b.min.x, low.x, 1e-9);
    cr_expect_float_eq(b.min.y, low.y, 1e-9);
    cr_expect_float_eq(b.max.y - b.min.y, 12, 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_features, parts_carry_their_names_where_the_shop_etches) {
    struct hand h;
    hand_start(&h, 200, 100, 3);
    h.shop.marking.way = KW_MARK_ETCH;
    h.shop.marking.name_parts = 1;
    h.shop.marking.text_height = 12;
    h.part.name = "long-panel";
    hand_hole(&h, -1, 30, 20, 20); // in the corner that is tried first
    struct kw_body *body = hand_make(&h);
    cr_assert(body && body->mark_count > 0);
    for (int i = 0; i < body->mark_count; i++) {
        cr_expect_gt(kw_path_gap(&body->marks[i], &body->blank.holes[0]), 2.9);
        cr_expect_gt(kw_path_gap(&body->marks[i], &body->blank.outer), 2.9);
    }
    kw_arena_free(&h.a);
}

// An L in the other hand's blank has its upright on the left and its foot to the right, as read.
Test(shape_features, letters_read_on_both_hands_and_names_tell_the_hand) {
    struct hand h;
    hand_start(&h, 200, 100, 3);
    static struct kw_corner line[] = {{.at = {10, 20}}, {.at = {150, 20}}};
    static struct kw_mark marks[] = {
        {.text = "L", .height = 20, .from_left = 30, .from_front = 40, .flange = -1},
        {.line = {line, 2}, .flange = -1}};
    h.part.marks = (struct kw_items){marks, 2};
    h.part.left = h.part.right = 1;
    h.shop.marking.way = KW_MARK_ETCH;
    h.shop.marking.name_parts = 1;
    h.shop.marking.text_height = 12;
    h.part.name = "side";
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    int first, second;
    struct kw_path *v = kw_body_marks(&h.a, body, false, &first);
    struct kw_path *w = kw_body_marks(&h.a, body, true, &second);
    cr_expect_eq(first, body->mark_count);
    cr_expect_eq(memcmp(&v[0].v[0], &body->marks[0].v[0], sizeof *v[0].v), 0);
    struct kw_box2 upright = kw_path_box(&w[0]), foot = upright;
    for (int i = 1; i < body->texts[0].count; i++)
        foot = kw_path_box(&w[i]);
    struct kw_box2 straight = kw_path_box(&v[0]);
    if (body->texts[0].count > 1) {
        cr_expect_lt(upright.min.x, foot.max.x - 1);
        cr_expect_float_eq(upright.min.x, foot.min.x, 1e-9);
    }
    cr_expect_float_eq(upright.min.y, straight.min.y, 1e-9);
    // In the place of the mirrored letter: 200 - 30 is its right side.
    struct kw_box2 whole = upright;
    whole.max.x = fmax(whole.max.x, foot.max.x);
    cr_expect_float_eq(whole.max.x, 170, 1e-9);
    struct kw_box2 mirrored = kw_path_box(&w[body->texts[0].count]);
    cr_expect_float_eq(mirrored.min.x, 50, 1e-9);
    cr_expect_float_eq(mirrored.max.x, 190, 1e-9);
    cr_expect_str_eq(body->texts[1].text, "side L");
    kw_arena_free(&h.a);
}
