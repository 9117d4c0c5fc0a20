// SPDX-License-Identifier: Apache-2.0
// Single parts: outside sizes, holes where they were asked for, corners and notches, hands, stops.
#include "shape_hand.h"

#include <string.h>

static void expect_box(struct kw_box3 b, double x0, double y0, double z0, double x1, double y1,
                       double z1) {
    const double got[6] = {b.min.x, b.min.y, b.min.z, b.max.x, b.max.y, b.max.z};
    const double want[6] = {x0, y0, z0, x1, y1, z1};
    for (int i = 0; i < 6; i++)
        cr_expect_float_eq(got[i], want[i], 1e-9, "side %d: %f, wanted %f", i, got[i], want[i]);
}

Test(shape_part, tray_measures_outside_to_outside) {
    for (int way = 0; way < 2; way++) {
        struct hand h;
        hand_start(&h, 200, 120, 3);
        for (int e = 0; e < 4; e++)
            hand_flange(&h, e, 40, 90 * DEG, 3)->way = way;
        struct kw_body *body = hand_make(&h);
        cr_assert(body);
        // top of the base is z = 0; up, the bottom at -3 is the outside
        if (way == KW_UP)
            expect_box(body->folded, 0, 0, -3, 200, 120, 37);
        else
            expect_box(body->folded, 0, 0, -40, 200, 120, 0);
        kw_arena_free(&h.a);
    }
}

Test(shape_part, bend_past_square_reaches_to_its_outside_tangent) {
    struct hand h;
    hand_start(&h, 100, 80, 2);
    hand_flange(&h, KW_EDGE_RIGHT, 50, 135 * DEG, 4);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    cr_expect_float_eq(body->folded.max.x, 100, 1e-9);
    // the leg is 50 long from the tangent line square to it
    struct kw_box2 flat = kw_path_box(&body->faces[1].shape.outer);
    cr_expect_float_eq(flat.max.y, 50, 1e-9);
    cr_expect_float_eq(flat.min.y, 6, 1e-9);
    kw_arena_free(&h.a);
}

static struct kw_vec3 hole_in_space(struct hand *h, const struct kw_body *body, int face) {
    struct kw_move3 *m = kw_body_fold(&h->a, body, 1);
    cr_assert_eq(body->faces[face].shape.hole_count, 1);
    struct kw_box2 b = kw_path_box(&body->faces[face].shape.holes[0]);
    struct kw_vec2 c = kw_lerp2(b.min, b.max, 0.5);
    return kw_move3_point(m[face],
                          kw_v3(c.x, c.y, -body->thickness)); // outside of an upward flange
}

Test(shape_part, holes_come_out_where_they_were_asked_for) {
    // from_left or from_front 30, from_bottom 20 on each of the four flanges in turn
    static const double want[4][3] = {{30, 0, 20}, {200, 30, 20}, {30, 120, 20}, {0, 30, 20}};
    for (int e = 0; e < 4; e++) {
        struct hand h;
        hand_start(&h, 200, 120, 2);
        hand_flange(&h, e, 40, 90 * DEG, 2);
        struct kw_hole *hole = hand_hole(&h, 0, 8, 30, 20);
        if (e == KW_EDGE_LEFT || e == KW_EDGE_RIGHT) {
            hole->from_front = hole->from_left;
            hole->from_left = (struct kw_items){0};
        }
        struct kw_body *body = hand_make(&h);
        cr_assert(body);
        struct kw_vec3 p = hole_in_space(&h, body, 1);
        cr_expect_float_eq(p.x, want[e][0], 1e-9, "edge %d x %f", e, p.x);
        cr_expect_float_eq(p.y, want[e][1], 1e-9, "edge %d y %f", e, p.y);
        cr_expect_float_eq(p.z + 2, want[e][2], 1e-9, "edge %d z %f", e, p.z);
        kw_arena_free(&h.a);
    }
}

Test(shape_part, hole_on_a_return_flange_is_measured_from_what_it_stands_on) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    hand_flange(&h, KW_EDGE_BACK, 40, 90 * DEG, 2);
    struct kw_flange *lip = hand_flange(&h, KW_EDGE_OF_BEND, 30, 90 * DEG, 2);
    lip->parent = 0;
    hand_hole(&h, 1, 8, 50, 18);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    // the lip turns forward over the base, 40 above its bottom; 18 from the back's outside
    struct kw_vec3 p = hole_in_space(&h, body, 2);
    cr_expect_float_eq(p.x, 50, 1e-9);
    cr_expect_float_eq(p.y, 120 - 18, 1e-9);
    cr_expect_float_eq(p.z, 40 - 2, 1e-9);
    expect_box(body->folded, 0, 0, -2, 200, 120, 38);
    kw_arena_free(&h.a);
}

Test(shape_part, blank_keeps_arcs_and_says_where_each_segment_came_from) {
    struct hand h;
    hand_start(&h, 152.4, 76.2, 3);
    h.part.base.round.front_left = h.part.base.round.front_right = 6.35;
    hand_flange(&h, KW_EDGE_BACK, 38.1, 90 * DEG, 3);
    hand_hole(&h, -1, 11.1, 38.1, 38.1);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    const struct kw_path *p = &body->blank.outer;
    int arcs = 0, flange = 0;
    for (int i = 0; i < p->count; i++) {
        arcs += kw_path_segment(p, i).radius > 6.3499 && kw_path_segment(p, i).radius < 6.3501;
        flange += p->v[i].tag == 1000;
    }
    cr_expect_eq(arcs, 2);
    cr_expect_eq(flange, 3, "two sides and the edge of the flange");
    cr_expect_eq(p->count, 8);
    cr_expect_eq(body->blank.hole_count, 1);
    cr_expect_eq(body->blank.holes[0].v[0].tag, 1);
    cr_expect_lt(kw_path_area(&body->blank.holes[0]), 0.0, "holes run clockwise");
    struct kw_box2 b = kw_path_box(p);
    cr_expect_float_eq(b.min.x, 0, 1e-12);
    cr_expect_float_eq(b.min.y, 0, 1e-12);
    double volume = body->area * 3;
    cr_expect_float_eq(body->mass, volume * 7850e-9, 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_part, neighbouring_flanges_leave_a_square_corner) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    hand_flange(&h, KW_EDGE_RIGHT, 40, 90 * DEG, 3);
    hand_flange(&h, KW_EDGE_BACK, 30, 60 * DEG, 3);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    double relief = kw_relief(2, 0), right = 5, back = 5 * tan(30 * DEG);
    cr_expect_float_eq(body->bends[0].length, 120 - back - relief, 1e-9);
    cr_expect_float_eq(body->bends[1].length, 200 - right - relief, 1e-9);
    // the base's own flat has the crossing of the tangent lines as its corner
    struct kw_box2 b = kw_path_box(&body->faces[0].shape.outer);
    cr_expect_float_eq(b.max.x, 200 - right, 1e-9);
    cr_expect_float_eq(b.max.y, 120 - back, 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_part, bend_inside_an_edge_gets_a_notch_past_its_tangent_line) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    struct kw_flange *f = hand_flange(&h, KW_EDGE_BACK, 30, 90 * DEG, 3);
    f->from_start = 50;
    f->from_end = 40;
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    cr_expect_float_eq(body->bends[0].length, 110, 1e-9);
    const struct kw_path *p = &body->faces[0].shape.outer;
    // metal beside the notch reaches the full outside size, the notch 1 mm past the tangent line
    cr_expect_float_eq(kw_path_box(p).max.y, 120, 1e-9);
    cr_expect(kw_path_contains(p, kw_v2(47, 119)));
    cr_expect(!kw_path_contains(p, kw_v2(49, 114.5)), "the notch is 2 mm wide");
    cr_expect(kw_path_contains(p, kw_v2(49, 113.5)), "and ends at 120 - 5 - 1");
    cr_expect(!kw_path_contains(p, kw_v2(161, 114.5)));
    cr_expect(kw_path_contains(p, kw_v2(163, 119)));
    kw_arena_free(&h.a);
}

Test(shape_part, flange_ends_before_a_rounded_corner) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    h.part.base.round.back_right = 20;
    hand_flange(&h, KW_EDGE_BACK, 30, 90 * DEG, 3);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    cr_expect_float_eq(body->bends[0].length, 200 - 20 - 2, 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_part, two_flanges_on_one_edge) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    hand_flange(&h, KW_EDGE_BACK, 30, 90 * DEG, 3)->from_end = 120;
    struct kw_flange *f = hand_flange(&h, KW_EDGE_BACK, 50, 45 * DEG, 3);
    f->from_start = 90;
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", h.found.count ? h.found.v[0].says : "");
    cr_expect_eq(body->bend_count, 2);
    cr_expect_float_eq(body->bends[0].length, 80, 1e-9);
    cr_expect_float_eq(body->bends[1].length, 110, 1e-9);
    struct kw_mesh mesh = {0};
    cr_expect(kw_body_mesh(&h.a, body, 1, 10 * DEG, &mesh));
    cr_expect(kw_mesh_is_closed(&mesh));
    kw_arena_free(&h.a);
}

Test(shape_part, legs_reach_to_the_next_bend_or_edge) {
    struct hand h;
    hand_start(&h, 200, 60, 2);
    hand_flange(&h, KW_EDGE_BACK, 30, 90 * DEG, 3);
    hand_flange(&h, KW_EDGE_FRONT, 25, 90 * DEG, 3);
    struct kw_flange *lip = hand_flange(&h, KW_EDGE_OF_BEND, 12, 90 * DEG, 3);
    lip->parent = 0;
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    for (int i = 0; i < 3; i++) {
        const struct kw_bend *b = &body->bends[i];
        const double *want = b->flange == 0   ? (const double[]){60, 30}
                             : b->flange == 1 ? (const double[]){60, 25}
                                              : (const double[]){30, 12};
        cr_expect_float_eq(b->legs[0], want[0], 1e-9);
        cr_expect_float_eq(b->legs[1], want[1], 1e-9);
    }
    // on the blank from the middle of the zone: half an allowance, the flat, half the next
    double half = body->bends[0].allowance / 2;
    cr_expect_float_eq(body->bends[0].flat_legs[0], half + 50 + half, 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_part, other_hand_is_the_mirrored_blank_with_children_on_the_left) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    h.part.base.round.front_left = 30;
    hand_flange(&h, KW_EDGE_RIGHT, 40, 90 * DEG, 3);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    struct kw_region other = kw_body_other_hand(&h.a, body);
    struct kw_error err = {0};
    cr_expect_eq(kw_path_check(&other.outer, (struct kw_place){0}, &err), KW_OK);
    cr_expect_float_eq(kw_path_area(&other.outer), kw_path_area(&body->blank.outer), 1e-6);
    struct kw_box2 a = kw_path_box(&body->blank.outer), b = kw_path_box(&other.outer);
    cr_expect_float_eq(b.min.x, a.min.x, 1e-9);
    cr_expect_float_eq(b.max.x, a.max.x, 1e-9);
    cr_expect(!kw_path_contains(&other.outer, kw_v2(b.max.x - 2, 2)), "rounded on the right now");
    struct kw_vec2 from, to;
    kw_body_bend_line(body, 0, true, &from, &to);
    struct kw_vec2 left = kw_left2(kw_sub2(to, from));
    cr_expect_lt(left.x, 0.0, "the flange is on the left now");
    cr_expect_float_eq(from.x, b.max.x - body->bends[0].from.x, 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_part, close_fit_holes_are_marked_not_cut) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    hand_hole(&h, -1, 5, 50, 60)->close_fit = 1;
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    cr_expect_eq(body->blank.hole_count, 0);
    cr_expect_eq(body->mark_count, 2);
    cr_expect_float_eq(kw_path_length(&body->marks[0]), KW_CENTRE_MARK_MM, 1e-9);
    struct kw_box2 b = kw_path_box(&body->marks[1]);
    cr_expect_float_eq((b.min.y + b.max.y) / 2, 60, 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_part, slots_and_cut_outs_lie_as_described) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    hand_hole(&h, -1, 10, 50, 60)->slot = 30;
    struct kw_hole *upright = hand_hole(&h, -1, 10, 100, 60);
    upright->slot = 30;
    upright->slot_along = 1;
    struct kw_hole *cut = hand_hole(&h, -1, 0, 150, 60);
    cut->wide = 40;
    cut->tall = 20;
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    static const double want[3][4] = {{35, 55, 65, 65}, {95, 45, 105, 75}, {130, 50, 170, 70}};
    for (int i = 0; i < 3; i++) {
        struct kw_box2 b = kw_path_box(&body->blank.holes[i]);
        cr_expect_float_eq(b.min.x, want[i][0], 1e-9);
        cr_expect_float_eq(b.min.y, want[i][1], 1e-9);
        cr_expect_float_eq(b.max.x, want[i][2], 1e-9);
        cr_expect_float_eq(b.max.y, want[i][3], 1e-9);
        cr_expect_lt(kw_path_area(&body->blank.holes[i]), 0.0);
    }
    cr_expect_float_eq(-kw_path_area(&body->blank.holes[0]), 20 * 10 + KW_PI * 25, 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_part, edges_of_a_flat_plate_are_its_twelve) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    struct kw_body *body = hand_make(&h);
    int count;
    kw_body_edges(&h.a, body, 1, &count);
    cr_expect_eq(count, 12);
    kw_arena_free(&h.a);
}

Test(shape_part, radius_comes_from_the_die_that_the_thickness_calls_for) {
    struct hand h;
    hand_start(&h, 200, 120, 3);
    struct kw_press_tool dies[] = {{.opening = 12}, {.opening = 25.4}, {.opening = 50}};
    struct kw_press_tool punch = {.radius = 1};
    h.shop.press.dies = (struct kw_items){dies, 3};
    h.shop.press.punches = (struct kw_items){&punch, 1};
    hand_flange(&h, KW_EDGE_BACK, 40, 90 * DEG, 0);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    cr_expect_eq(body->bends[0].die, 1);
    cr_expect_float_eq(body->bends[0].radius, 0.16 * 25.4, 1e-9);
    h.shop.press.dies.count = 0;
    body = hand_make(&h);
    cr_expect_eq(body->bends[0].die, -1);
    cr_expect_float_eq(body->bends[0].radius, 3, 1e-9, "no die: the thickness");
    kw_arena_free(&h.a);
}

// ----------------------------------------------------------------------------- what can't be made

static void expect_stop(struct hand *h, const char *rule) {
    struct kw_body *body = hand_make(h);
    cr_expect(body == NULL, "%s: a body came of it", rule);
    cr_expect(hand_has(h, rule), "%s is missing", rule);
    for (int i = 0; i < h->found.count; i++)
        cr_expect_eq(h->found.v[i].level, KW_STOP);
    kw_arena_free(&h->a);
}

Test(shape_part, impossible_shapes_are_stops) {
    struct hand h;
    hand_start(&h, 200, 120, 3);
    hand_flange(&h, KW_EDGE_BACK, 5.9, 90 * DEG, 3); // its bend alone takes 6
    expect_stop(&h, "flange-fit");
    hand_start(&h, 200, 11, 3);
    hand_flange(&h, KW_EDGE_BACK, 40, 90 * DEG, 3);
    hand_flange(&h, KW_EDGE_FRONT, 40, 90 * DEG, 3); // 12 of 11
    expect_stop(&h, "flange-fit");
    hand_start(&h, 200, 120, 3);
    hand_flange(&h, KW_EDGE_BACK, 40, 90 * DEG, 3)->from_start = 200;
    expect_stop(&h, "flange-fit");
    hand_start(&h, 200, 120, 3);
    hand_flange(&h, KW_EDGE_BACK, 40, 90 * DEG, 3)->from_end = 90;
    hand_flange(&h, KW_EDGE_BACK, 40, 90 * DEG, 3)->from_start = 100;
    expect_stop(&h, "flange-fit");
    hand_start(&h, 200, 120, 3);
    hand_flange(&h, KW_EDGE_OF_BEND, 40, 90 * DEG, 3)->parent = 1;
    hand_flange(&h, KW_EDGE_OF_BEND, 40, 90 * DEG, 3)->parent = 0;
    expect_stop(&h, "flange-cycle");
    hand_start(&h, 200, 120, 3);
    hand_hole(&h, -1, 10, 4, 60);
    expect_stop(&h, "hole-outside");
    hand_start(&h, 200, 120, 3);
    hand_hole(&h, -1, 10, 50, 60);
    hand_hole(&h, -1, 10, 59, 60);
    expect_stop(&h, "holes-cross");
    hand_start(&h, 200, 120, 3);
    hand_hole(&h, -1, 10, 50, 60);
    hand_hole(&h, -1, 40, 50, 60); // one round the other
    expect_stop(&h, "holes-cross");
}

Test(shape_part, outline_by_points_that_crosses_itself_is_a_stop) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    struct kw_corner points[] = {
        {.at = {0, 0}}, {.at = {100, 100}}, {.at = {100, 0}}, {.at = {0, 100}}};
    h.part.base.points = (struct kw_items){points, 4};
    expect_stop(&h, "blank-overlap");
}

Test(shape_part, hole_in_a_bend_zone_is_a_risk_and_takes_from_the_bend) {
    struct hand h;
    hand_start(&h, 200, 120, 3);
    hand_flange(&h, KW_EDGE_BACK, 40, 90 * DEG, 3);
    double middle = 120 - 6 + kw_bend_allowance(90 * DEG, 3, 3, 0.44) / 2;
    hand_hole(&h, -1, 10, 50, middle);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    cr_expect(hand_has(&h, "hole-on-bend"));
    cr_expect_float_eq(body->bends[0].hole_gap, 10, 1e-9);
    cr_expect_eq(body->blank.hole_count, 1);
    cr_expect_eq(body->faces[0].shape.hole_count, 0);
    struct kw_mesh mesh = {0};
    cr_expect(kw_body_mesh(&h.a, body, 1, 10 * DEG, &mesh));
    cr_expect(kw_mesh_is_closed(&mesh));
    kw_arena_free(&h.a);
    hand_start(&h, 200, 120, 3); // just clear of the zone
    hand_flange(&h, KW_EDGE_BACK, 40, 90 * DEG, 3);
    hand_hole(&h, -1, 10, 50, 120 - 6 - 5 - 0.01);
    body = hand_make(&h);
    cr_assert(body);
    cr_expect_eq(h.found.count, 0);
    cr_expect_float_eq(body->bends[0].hole_gap, 0, 1e-12);
    cr_expect_eq(body->faces[0].shape.hole_count, 1);
    kw_arena_free(&h.a);
}

// ----------------------------------------------------------------------------- flats that meet

static bool clashes(struct hand *h) {
    int faces[2];
    struct kw_vec3 at;
    struct kw_body *body = hand_make(h);
    cr_assert(body);
    bool found = kw_body_clash(body, faces, &at);
    if (found) cr_expect(faces[0] < faces[1] && isfinite(at.x + at.y + at.z));
    kw_arena_free(&h->a);
    return found;
}

static void tray(struct hand *h, double turn, double lip, double keep) {
    hand_start(h, 200, 120, 2);
    for (int e = 0; e < 4; e++) {
        hand_flange(h, e, 40, turn * DEG, 2);
        if (!(lip > 0)) continue;
        struct kw_flange *f = hand_flange(h, KW_EDGE_OF_BEND, lip, 90 * DEG, 2);
        f->parent = h->part.bends.count - 2;
        f->from_start = f->from_end = keep;
    }
}

Test(shape_part, flats_that_run_into_each_other_are_told) {
    struct hand h;
    tray(&h, 90, 0, 0);
    cr_expect(!clashes(&h), "a plain tray");
    tray(&h, 45, 0, 0);
    cr_expect(!clashes(&h), "a flared tray");
    tray(&h, 120, 0, 0);
    cr_expect(clashes(&h), "all four lean in");
    tray(&h, 90, 20, 0);
    cr_expect(clashes(&h), "lips meet at the corners");
    // a flange's end is 4 + 2 from the corner, a lip reaches 20 in: 14 more clears them
    tray(&h, 90, 20, 13.5);
    cr_expect(clashes(&h), "lips still meet by half a millimetre");
    tray(&h, 90, 20, 14);
    cr_expect(!clashes(&h), "lips kept back");
    hand_start(&h, 200, 60, 2); // a lip of 50 from the back, the front 60 away
    hand_flange(&h, KW_EDGE_FRONT, 40, 90 * DEG, 2);
    hand_flange(&h, KW_EDGE_BACK, 40, 90 * DEG, 2);
    hand_flange(&h, KW_EDGE_OF_BEND, 57.5, 90 * DEG, 2)->parent = 1;
    cr_expect(!clashes(&h), "half a millimetre free");
    hand_start(&h, 200, 60, 2);
    hand_flange(&h, KW_EDGE_FRONT, 40, 90 * DEG, 2);
    hand_flange(&h, KW_EDGE_BACK, 40, 90 * DEG, 2);
    hand_flange(&h, KW_EDGE_OF_BEND, 58.5, 90 * DEG, 2)->parent = 1;
    cr_expect(clashes(&h), "half a millimetre in");
}

static double length_on(const struct kw_body *body, const char *edge) {
    double length = 0;
    for (int i = 0; i < body->blank.outer.count; i++)
        if (kw_body_on_edge(body, i, edge))
            length += kw_segment_length(kw_path_segment(&body->blank.outer, i));
    return length;
}

// Sides without a flange are there whole; a side with one is gone, and the flange's far edge is as
// long as its bend.
Test(shape_part, edges_told_by_name_are_found_on_the_blank) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    hand_flange(&h, KW_EDGE_BACK, 30, 90 * DEG, 2);
    struct kw_body *body = hand_make(&h);
    cr_assert(body);
    cr_expect_float_eq(length_on(body, "front"), 200, 1e-9);
    cr_expect_float_eq(length_on(body, "back"), 0, 1e-9);
    cr_expect_float_eq(length_on(body, body->bends[0].id), 200, 1e-9);
    // On the left the base's own side and what the base keeps of the bend's: no more than its
    // width.
    cr_expect_leq(length_on(body, "left"), 120 + 1e-9);
    cr_expect_gt(length_on(body, "left"), 110);
    cr_expect_float_eq(length_on(body, "edge 1"), 0, 1e-9);
    kw_arena_free(&h.a);
}
