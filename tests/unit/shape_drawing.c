// SPDX-License-Identifier: Apache-2.0
// Drawn blanks split by their bend lines.
#include "shape_hand.h"

#include <string.h>

#define MOST_LINES 8

struct drawn {
    struct hand h;
    struct kw_drawn_bend lines[MOST_LINES];
};

static void start(struct drawn *d, const double (*v)[3], int n, double t) {
    hand_start(&d->h, 0, 0, t);
    d->h.part.flat = "drawings/part.dxf";
    d->h.part.drawn_bends = (struct kw_items){d->lines, 0};
    for (int i = 0; i < n; i++)
        kw_path_add(&d->h.a, &d->h.part.drawing.outer, v[i][0], v[i][1], v[i][2], 0);
}

static struct kw_drawn_bend *line(struct drawn *d, double ax, double ay, double bx, double by,
                                  double turn, int way) {
    static const char *const names[] = {"1", "2", "3", "4", "5", "6", "7", "8"};
    int i = d->h.part.drawn_bends.count++;
    d->lines[i] = (struct kw_drawn_bend){{ax, ay}, {bx, by}, way, turn * DEG, 3, names[i], {0}};
    return &d->lines[i];
}

static void check_mesh(struct drawn *d, const struct kw_body *body) {
    struct kw_mesh mesh = {0};
    cr_assert(kw_body_mesh(&d->h.a, body, 1, 5 * DEG, &mesh));
    cr_expect(kw_mesh_is_closed(&mesh));
}

static const double plate[][3] = {{0, 0, 0}, {200, 0, 0}, {200, 120, 0}, {0, 120, 0}};

Test(shape_drawing, blank_stays_as_drawn_and_splits_at_the_zones) {
    struct drawn d;
    start(&d, plate, 4, 2);
    line(&d, 40, 120, 40, 0, 90, KW_UP);
    line(&d, 150, 0, 150, 120, 90, KW_DOWN);
    struct kw_body *body = hand_make(&d.h);
    cr_assert(body, "%s", d.h.found.count ? d.h.found.v[0].says : "");
    cr_expect_eq(body->face_count, 3);
    cr_expect_eq(body->bend_count, 2);
    cr_expect_float_eq(body->area, 200 * 120, 1e-6);
    double ba = kw_bend_allowance(90 * DEG, 3, 2, 0.44);
    double flats = 0;
    for (int i = 0; i < 3; i++)
        flats += kw_path_area(&body->faces[i].shape.outer);
    cr_expect_float_eq(flats, (200 - 2 * ba) * 120, 1e-6);
    cr_expect_float_eq(kw_path_area(&body->faces[0].shape.outer), (110 - ba) * 120, 1e-6,
                       "the largest flat is the base");
    for (int i = 0; i < 2; i++) {
        const struct kw_bend *b = &body->bends[i];
        struct kw_vec2 out = kw_left2(kw_sub2(b->to, b->from));
        cr_expect_float_eq(b->length, 120, 1e-9);
        cr_expect(b->from.x < 100 ? out.x < 0 : out.x > 0, "the child is on the left");
    }
    // outside leg: the flat, half a zone shorter than drawn, and the setback
    cr_expect_float_eq(body->bends[0].legs[1], 40 - ba / 2 + 5, 1e-9);
    double leg = 40 - ba / 2 + 5, other = 50 - ba / 2 + 5;
    cr_expect_float_eq(body->folded.max.z, leg - 2, 1e-9);
    cr_expect_float_eq(body->folded.min.z, -other, 1e-9);
    check_mesh(&d, body);
    kw_arena_free(&d.h.a);
}

Test(shape_drawing, slanted_lines_and_a_chain_of_flats) {
    struct drawn d;
    start(&d, plate, 4, 2);
    line(&d, 30, 0, 80, 120, 45, KW_UP);
    line(&d, 120, 0, 140, 120, 30, KW_UP);
    line(&d, 170, 0, 170, 120, 120, KW_UP);
    struct kw_body *body = hand_make(&d.h);
    cr_assert(body, "%s", d.h.found.count ? d.h.found.v[0].says : "");
    cr_expect_eq(body->face_count, 4);
    for (int i = 0; i < 3; i++)
        cr_expect_eq(body->faces[body->bends[i].child].bend, i);
    check_mesh(&d, body);
    for (int i = 0; i < body->face_count; i++) {
        struct kw_error err = {0};
        cr_expect_eq(kw_path_check(&body->faces[i].shape.outer, (struct kw_place){0}, &err), KW_OK);
    }
    kw_arena_free(&d.h.a);
}

Test(shape_drawing, notches_and_arcs_beside_a_line) {
    // a flange with reliefs 4 wide and 8 deep at both ends, its outer corners rounded
    static const double v[][3] = {{0, 0, 0},
                                  {200, 0, 0},
                                  {200, 100, 0},
                                  {160, 100, 0},
                                  {160, 92, 0},
                                  {156, 92, 0},
                                  {156, 130, 0.41421356237309503},
                                  {146, 140, 0},
                                  {54, 140, 0.41421356237309503},
                                  {44, 130, 0},
                                  {44, 92, 0},
                                  {40, 92, 0},
                                  {40, 100, 0},
                                  {0, 100, 0}};
    struct drawn d;
    start(&d, v, 14, 2);
    line(&d, 44, 97, 156, 97, 90, KW_UP);
    struct kw_body *body = hand_make(&d.h);
    cr_assert(body, "%s", d.h.found.count ? d.h.found.v[0].says : "");
    cr_expect_eq(body->face_count, 2);
    cr_expect_float_eq(body->bends[0].length, 112, 1e-9);
    check_mesh(&d, body);
    kw_arena_free(&d.h.a);
}

Test(shape_drawing, holes_go_to_their_flat_or_take_from_the_line) {
    struct drawn d;
    start(&d, plate, 4, 2);
    line(&d, 0, 60, 200, 60, 90, KW_UP);
    struct kw_region *r = &d.h.part.drawing;
    KW_PUSH(&d.h.a, r->holes, r->hole_count) = kw_path_circle(&d.h.a, 50, 30, 5, true, 0);
    KW_PUSH(&d.h.a, r->holes, r->hole_count) = kw_path_circle(&d.h.a, 50, 95, 5, true, 0);
    KW_PUSH(&d.h.a, r->holes, r->hole_count) = kw_path_circle(&d.h.a, 100, 60, 10, true, 0);
    struct kw_body *body = hand_make(&d.h);
    cr_assert(body);
    cr_expect_eq(body->faces[0].shape.hole_count + body->faces[1].shape.hole_count, 2);
    cr_expect_eq(body->blank.hole_count, 3);
    cr_expect_float_eq(body->bends[0].hole_gap, 20, 1e-9);
    cr_expect(hand_has(&d.h, "hole-on-bend"));
    cr_expect_eq(d.h.found.count, 1);
    cr_expect_float_eq(body->area, 200 * 120 - KW_PI * (25 + 25 + 100), 1e-6);
    check_mesh(&d, body);
    kw_arena_free(&d.h.a);
}

static void expect_stop(struct drawn *d, const char *rule) {
    cr_expect(hand_make(&d->h) == NULL);
    cr_expect(hand_has(&d->h, rule), "%s is missing", rule);
    kw_arena_free(&d->h.a);
}

Test(shape_drawing, lines_that_do_not_split_are_stops) {
    struct drawn d;
    start(&d, plate, 4, 2);
    line(&d, 0, 1, 200, 1, 90, KW_UP); // no room for half a zone
    expect_stop(&d, "bend-line");
    start(&d, plate, 4, 2);
    line(&d, 0, 60, 200, 60, 90, KW_UP);
    line(&d, 0, 63, 200, 63, 90, KW_UP); // in the zone of the first
    expect_stop(&d, "bend-line");
    start(&d, plate, 4, 2);
    line(&d, 0, 60, 200, 60, 90, KW_UP);
    line(&d, 100, 0, 100, 60, 90, KW_UP); // ends in the zone of the first: no relief
    expect_stop(&d, "bend-line");
    start(&d, plate, 4, 2);
    line(&d, 100, 0, 100, 120, 90, KW_UP);
    hand_flange(&d.h, KW_EDGE_BACK, 40, 90 * DEG, 3); // across the bend line
    expect_stop(&d, "bend-line");
    start(&d, plate, 4, 2);
    line(&d, 0, 60, 200, 60, 90, KW_UP);
    hand_flange(&d.h, 0, 40, 90 * DEG, 3)->from_drawing = 1;
    hand_flange(&d.h, KW_EDGE_OF_BEND, 40, 90 * DEG, 3)->parent = 0; // on the line's own flat
    expect_stop(&d, "flange-fit");
}

Test(shape_drawing, flanges_stand_on_edges_beside_bend_lines) {
    struct drawn d;
    start(&d, plate, 4, 2);
    line(&d, 0, 50, 200, 50, 90, KW_UP);
    struct kw_region *r = &d.h.part.drawing;
    KW_PUSH(&d.h.a, r->holes, r->hole_count) = kw_path_circle(&d.h.a, 60, 80, 5, true, 0);
    hand_flange(&d.h, KW_EDGE_FRONT, 30, 90 * DEG, 3)->from_start = 40;
    struct kw_flange *left = hand_flange(&d.h, KW_EDGE_OF_OUTLINE, 35, 45 * DEG, 3);
    left->outline_edge = 4; // from (0,120) down to (0,0)
    left->offset = 12;
    left->from_end = 70; // clear of the bend line
    left->height = 60;
    hand_hole(&d.h, 0, 6, 90, 20);
    struct kw_body *body = hand_make(&d.h);
    cr_assert(body, "%s", d.h.found.count ? d.h.found.v[0].says : "");
    cr_expect_eq(body->face_count, 5);
    cr_expect_eq(body->bend_count, 4);
    double area = 0;
    for (int i = 0; i < body->face_count; i++)
        area += kw_region_area(&body->faces[i].shape);
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        area += b->allowance * b->length;
        cr_expect(b->twin < 0 || body->bends[b->twin].twin == i);
        cr_expect_eq(body->faces[b->child].bend, i);
        cr_expect_lt(b->parent, b->child);
        if (b->flange >= 0) continue;
        cr_expect_eq(b->parent, 0, "the larger flat is behind the line");
        cr_expect_float_eq(b->length, 200, 1e-9);
    }
    cr_expect_float_eq(body->area, area, 1e-6);
    // the front flange stands on the flat that the line turns up: all of it 90 degrees further
    int front = kw_body_flange_face(body, 0);
    int below = body->bends[body->faces[front].bend].parent;
    cr_expect_eq(body->bends[body->faces[below].bend].drawn, 0);
    struct kw_move3 *m = kw_body_fold(&d.h.a, body, 1);
    cr_expect_float_eq(m[front].r[2][2], -1, 1e-12, "turned over");
    cr_assert_eq(body->faces[front].shape.hole_count, 1);
    struct kw_box2 hole = kw_path_box(&body->faces[front].shape.holes[0]);
    struct kw_vec3 p = kw_move3_point(m[front], kw_v3((hole.min.x + hole.max.x) / 2, 0, 0));
    cr_expect_float_eq(p.x, 90, 1e-9, "along the front, from the left: %f", p.x);
    // what was drawn lies where it was drawn, in the frame of face 0
    hole = kw_path_box(&body->faces[0].shape.holes[0]);
    cr_expect_float_eq(hole.min.x, 55, 1e-9);
    cr_expect_float_eq(hole.min.y, 75, 1e-9);
    bool sides = false;
    for (int i = 0; i < body->blank.outer.count; i++) {
        int bend = body->blank.outer.v[i].tag - 1000;
        if (bend < 0) continue;
        cr_assert_lt(bend, body->bend_count);
        cr_expect_geq(body->bends[bend].flange, 0, "sides of flanges have the tags of their bends");
        sides = true;
    }
    cr_expect(sides);
    struct kw_mesh mesh = {0};
    cr_assert(kw_body_mesh(&d.h.a, body, 1, 5 * DEG, &mesh));
    cr_expect(kw_mesh_is_closed(&mesh));
    kw_arena_free(&d.h.a);
}
