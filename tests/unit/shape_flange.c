// SPDX-License-Identifier: Apache-2.0
// Flanges on any straight edge, what their heights are told to, rounded and tapered ones, and the
// reliefs that come by themselves.
#include "shape_hand.h"

#include <string.h>

/// An outline of straight edges, tags 1.. as of the corners.
static void outline(struct hand *h, const double (*v)[2], int n) {
    struct kw_base *base = &h->part.base;
    for (int i = 0; i < n; i++)
        kw_path_add(&h->a, &base->outline, v[i][0], v[i][1], 0, 1 + i);
    struct kw_box2 box = kw_path_box(&base->outline);
    base->length = box.max.x;
    base->width = box.max.y;
}

static struct kw_flange *on_edge(struct hand *h, int edge, double height, double turn, double r) {
    struct kw_flange *f = hand_flange(h, KW_EDGE_OF_OUTLINE, height, turn, r);
    f->outline_edge = edge;
    return f;
}

static void polygon(struct hand *h, int n, double side) {
    double v[24][2], r = side / 2 / sin(KW_PI / n);
    for (int i = 0; i < n; i++) {
        v[i][0] = r * cos(2 * KW_PI * i / n);
        v[i][1] = r * sin(2 * KW_PI * i / n);
    }
    double x = 0, y = 0;
    for (int i = 0; i < n; i++) {
        x = fmin(x, v[i][0]);
        y = fmin(y, v[i][1]);
    }
    for (int i = 0; i < n; i++) {
        v[i][0] -= x;
        v[i][1] -= y;
    }
    outline(h, (const double(*)[2])v, n);
}

static const char *says(const struct hand *h) {
    return h->found.count ? h->found.v[0].says : "nothing found";
}

static void expect_whole(struct hand *h, const struct kw_body *body) {
    struct kw_mesh mesh = {0};
    cr_assert(kw_body_mesh(&h->a, body, 1, 5 * DEG, &mesh));
    cr_expect(kw_mesh_is_closed(&mesh));
}

/// Least distance between the ends of two bends in the blank.
static double between_ends(const struct kw_body *body) {
    double least = INFINITY;
    for (int i = 0; i < body->bend_count; i++)
        for (int k = 0; k < i; k++) {
            const struct kw_bend *b = &body->bends[i], *c = &body->bends[k];
            const struct kw_vec2 p[2] = {b->from, b->to}, q[2] = {c->from, c->to};
            for (int m = 0; m < 4; m++)
                least = fmin(least, kw_length2(kw_sub2(p[m / 2], q[m % 2])));
        }
    return least;
}

Test(shape_flange, all_round_a_polygon_they_leave_a_gap_at_each_corner) {
    static const int corners[] = {3, 4, 5, 6, 8, 12, 24};
    for (int c = 0; c < 7; c++) {
        struct hand h;
        int n = corners[c];
        hand_start(&h, 0, 0, 2);
        polygon(&h, n, n < 12 ? 100 : 40);
        struct kw_flange *v = KW_NEW_ARRAY(&h.a, struct kw_flange, n);
        for (int e = 1; e <= n; e++) {
            v[e - 1] = *on_edge(&h, e, 20, 90 * DEG, 2);
            h.part.bends.count = 0;
        }
        h.part.bends = (struct kw_items){v, n};
        struct kw_body *body = hand_make(&h);
        cr_assert(body, "%d corners: %s", n, says(&h));
        cr_expect_eq(body->bend_count, n);
        // equal setbacks: the crossing of tangent lines lies S tan(turn/2) from the corner
        double side = n < 12 ? 100 : 40, a = 2 * KW_PI / n, s = 4, relief = kw_relief(2, 0);
        double w = relief * fmax(1, 1 / (2 * cos(a / 2)));
        double want = side - 2 * (s * tan(a / 2) + w);
        for (int i = 0; i < n && n < 18; i++)
            cr_expect_float_eq(body->bends[i].length, want, 1e-9, "%d corners, bend %d: %f", n, i,
                               body->bends[i].length);
        cr_expect_geq(between_ends(body), relief - 1e-9, "%d corners: %f", n, between_ends(body));
        cr_expect_float_eq(body->folded.max.z, 18, 1e-9);
        int faces[2];
        struct kw_vec3 at;
        cr_expect(!kw_body_clash(body, faces, &at), "%d corners", n);
        expect_whole(&h, body);
        kw_arena_free(&h.a);
    }
}

static const double ell[][2] = {{0, 0}, {300, 0}, {300, 100}, {120, 100}, {120, 250}, {0, 250}};

Test(shape_flange, at_an_inner_corner_each_keeps_to_its_side) {
    struct hand h;
    hand_start(&h, 0, 0, 2);
    outline(&h, ell, 6);
    on_edge(&h, 3, 30, 90 * DEG, 2); // from (300,100) to the inner corner
    on_edge(&h, 4, 30, 90 * DEG, 2); // from there up
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    // flat out of the nominal edge: 30 + allowance - 2 setbacks
    double reach = 30 + kw_bend_allowance(90 * DEG, 2, 2, 0.44) - 2 * 4;
    double keep = reach + kw_relief(2, 0) / 2 / cos(45 * DEG);
    cr_expect_float_eq(body->bends[0].length, 180 - keep, 1e-9);
    cr_expect_float_eq(body->bends[1].length, 150 - keep, 1e-9);
    expect_whole(&h, body);
    kw_arena_free(&h.a);
    hand_start(&h, 0, 0, 2); // one alone keeps a notch's width
    outline(&h, ell, 6);
    on_edge(&h, 3, 30, 90 * DEG, 2);
    body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    cr_expect_float_eq(body->bends[0].length, 180 - 2, 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_flange, sides_of_an_outline_are_told_by_their_words_and_numbers_count_as_on_the_base) {
    struct hand h;
    hand_start(&h, 0, 0, 2);
    outline(&h, ell, 6);
    hand_flange(&h, KW_EDGE_RIGHT, 30, 90 * DEG, 2); // x = 300, y 0 to 100
    hand_flange(&h, KW_EDGE_BACK, 30, 90 * DEG, 2);  // y = 250, x 0 to 120
    struct kw_hole *hole = hand_hole(&h, 0, 8, 40, 20);
    hole->from_front = hole->from_left;
    hole->from_left = (struct kw_items){0};
    hand_hole(&h, 1, 8, 50, 20);
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    struct kw_move3 *m = kw_body_fold(&h.a, body, 1);
    static const double want[2][3] = {{300, 40, 18}, {50, 250, 18}};
    for (int i = 0; i < 2; i++) {
        const struct kw_face *f = &body->faces[kw_body_flange_face(body, i)];
        cr_assert_eq(f->shape.hole_count, 1);
        struct kw_box2 b = kw_path_box(&f->shape.holes[0]);
        struct kw_vec2 c = kw_lerp2(b.min, b.max, 0.5);
        struct kw_vec3 p = kw_move3_point(m[i + 1], kw_v3(c.x, c.y, -2));
        cr_expect_float_eq(p.x, want[i][0], 1e-9);
        cr_expect_float_eq(p.y, want[i][1], 1e-9);
        cr_expect_float_eq(p.z, want[i][2], 1e-9);
    }
    kw_arena_free(&h.a);
    hand_start(&h, 0, 0, 2);
    outline(&h, ell, 6);
    on_edge(&h, 9, 30, 90 * DEG, 2); // there is none
    cr_expect(!hand_make(&h));
    cr_expect(hand_has(&h, "flange-fit"));
    kw_arena_free(&h.a);
}

Test(shape_flange, numbers_along_a_counted_edge_begin_at_its_start) {
    struct hand h;
    hand_start(&h, 0, 0, 2);
    static const double v[][2] = {{0, 0}, {200, 0}, {200, 80}, {120, 160}, {0, 160}};
    outline(&h, v, 5);
    struct kw_flange *f = on_edge(&h, 3, 40, 90 * DEG, 2); // from (200,80) to (120,160)
    f->from_start = 30;
    f->from_end = 20;
    struct kw_flange *lip = hand_flange(&h, KW_EDGE_OF_BEND, 20, 90 * DEG, 2);
    lip->parent = 0;
    lip->from_start = 5;
    hand_hole(&h, 0, 6, 50, 20);
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    cr_expect_float_eq(body->bends[0].length, hypot(80, 80) - 50, 1e-9);
    cr_expect_float_eq(body->bends[1].length, hypot(80, 80) - 55, 1e-9);
    struct kw_box2 b = kw_path_box(&body->faces[1].shape.holes[0]);
    struct kw_vec2 c = kw_lerp2(b.min, b.max, 0.5);
    struct kw_vec3 p =
        kw_move3_point(kw_body_fold(&h.a, body, 1)[1], kw_v3(c.x, c.y, -body->thickness));
    double d = sqrt(0.5); // along the edge from its start
    cr_expect_float_eq(p.x, 200 - 50 * d, 1e-9);
    cr_expect_float_eq(p.y, 80 + 50 * d, 1e-9);
    cr_expect_float_eq(p.z, 18, 1e-9);
    // the lip lies 5 from the start of the flange's edge, which is its high x
    struct kw_box2 face = kw_path_box(&body->faces[1].shape.outer);
    struct kw_box2 top = kw_path_box(&body->faces[2].shape.outer);
    cr_expect_float_eq(face.max.x - top.max.x, 5, 1e-9);
    cr_expect_float_eq(top.min.x, face.min.x, 1e-9);
    kw_arena_free(&h.a);
}

Test(shape_flange, beside_curves_it_keeps_a_relief_and_the_curve_stays_one) {
    struct hand h;
    hand_start(&h, 0, 0, 2);
    static const double v[][2] = {{0, 0}, {200, 0}, {200, 120}, {0, 120}};
    outline(&h, v, 4);
    struct kw_path *p = &h.part.base.outline;
    p->v[1].bulge = 0.2; // the right side bows outwards
    cr_assert(kw_path_round_corner(&h.a, p, 3, 15));
    p->v[3].tag = 0;
    p->v[4].tag = 4;
    h.part.base.length = kw_path_box(p).max.x;
    on_edge(&h, 3, 30, 90 * DEG, 2);
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    // a notch before the rounding; beside the bow a land as wide as the thickness too
    cr_expect_float_eq(body->bends[0].length, 200 - 15 - 2 - 2 - 2, 1e-9);
    int arcs = 0;
    for (int i = 0; i < body->blank.outer.count; i++)
        arcs += body->blank.outer.v[i].bulge != 0;
    cr_expect_eq(arcs, 2);
    expect_whole(&h, body);
    kw_arena_free(&h.a);
}

// ----------------------------------------------------------------------------- heights, ends

static double blank_width(struct hand *h) {
    struct kw_body *body = hand_make(h);
    cr_assert(body, "%s", says(h));
    struct kw_box2 b = kw_path_box(&body->blank.outer);
    return b.max.y - b.min.y;
}

Test(shape_flange, height_inside_and_to_the_bend_line_is_the_same_flange) {
    static const double turns[] = {30, 90, 135};
    for (int i = 0; i < 3; i++) {
        struct hand h;
        double t = 3, r = 4, a = turns[i] * DEG, s = kw_bend_setback(a, r, t);
        hand_start(&h, 100, 80, t);
        struct kw_flange *f = hand_flange(&h, KW_EDGE_BACK, 40, a, r);
        double outside = blank_width(&h);
        f->measured = KW_MEASURED_INSIDE;
        f->height = 40 - (a > KW_PI / 2 ? t : t * tan(a / 2));
        cr_expect_float_eq(blank_width(&h), outside, 1e-9);
        // flat from the bend's middle to the edge
        f->measured = KW_MEASURED_BEND_LINE;
        f->height = 40 - s + kw_bend_allowance(a, r, t, 0.44) / 2;
        cr_expect_float_eq(blank_width(&h), outside, 1e-9);
        struct kw_body *body = hand_make(&h);
        cr_expect_float_eq(body->bends[0].flat_legs[1], f->height, 1e-9);
        kw_arena_free(&h.a);
    }
}

Test(shape_flange, rounded_and_tapered_ends) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    struct kw_flange *f = hand_flange(&h, KW_EDGE_FRONT, 40, 90 * DEG, 2);
    f->taper_start = 45 * DEG; // the left end
    f->round = 6;
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    cr_expect_float_eq(body->bends[0].length, 200, 1e-9);
    cr_expect_float_eq(body->bends[0].legs[1], 40, 1e-9, "the taper does not shorten the leg");
    const struct kw_path *p = &body->faces[1].shape.outer;
    int arcs = 0;
    for (int i = 0; i < p->count; i++)
        arcs += fabs(kw_path_segment(p, i).radius - 6) < 1e-9;
    cr_expect_eq(arcs, 2);
    // from the tangent line, 4 up, 36 high: a triangle of 36 off the left, and the two roundings
    double area = 200 * 36 - 36 * 36 / 2.0, a = 135 * DEG;
    area -= 36 * (1 - KW_PI / 4) + 36 * (tan((KW_PI - a) / 2) - (KW_PI - a) / 2);
    cr_expect_float_eq(kw_path_area(p), area, 1e-9);
    struct kw_move3 *m = kw_body_fold(&h.a, body, 1);
    double left = INFINITY, right = -INFINITY;
    for (int i = 0; i < p->count; i++) {
        if (p->v[i].y < 39.99) continue; // on the outer edge
        struct kw_vec3 q = kw_move3_point(m[1], kw_v3(p->v[i].x, p->v[i].y, 0));
        left = fmin(left, q.x);
        right = fmax(right, q.x);
    }
    cr_expect_float_eq(left, 36 + 6 * tan(22.5 * DEG), 1e-9);
    cr_expect_float_eq(right, 194, 1e-9);
    expect_whole(&h, body);
    f->taper_start = f->taper_end = 75 * DEG;
    cr_expect(!hand_make(&h));
    cr_expect(hand_has(&h, "flange-fit"));
    kw_arena_free(&h.a);
}

Test(shape_flange, a_tab_may_be_all_round) {
    struct hand h;
    hand_start(&h, 200, 120, 2);
    struct kw_flange *f = hand_flange(&h, KW_EDGE_BACK, 60, 90 * DEG, 2);
    f->from_start = f->from_end = 70;
    f->round = 30;
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    cr_expect_float_eq(kw_path_area(&body->faces[1].shape.outer),
                       60 * (56 - 30) + KW_PI * 30 * 30 / 2, 1e-6);
    cr_expect_float_eq(body->bends[0].legs[1], 60, 0.1);
    cr_expect_float_eq(body->folded.max.z, 58, 1e-9);
    expect_whole(&h, body);
    hand_flange(&h, KW_EDGE_OF_BEND, 20, 90 * DEG, 2)->parent = 0;
    cr_expect(!hand_make(&h));
    cr_expect(hand_has(&h, "flange-fit"));
    kw_arena_free(&h.a);
}

Test(shape_flange, stands_on_the_straight_of_a_half_round) {
    struct hand h;
    hand_start(&h, 0, 0, 2);
    struct kw_path *p = &h.part.base.outline;
    kw_path_add(&h.a, p, 0, 0, 0, 1);
    kw_path_add(&h.a, p, 200, 0, 1, 2);
    h.part.base.length = 200;
    h.part.base.width = 100;
    on_edge(&h, 1, 30, 90 * DEG, 2);
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    // it leaves a notch and a land of the thickness beside the arc, which turns off square
    cr_expect(body->bends[0].length < 200 - 2 * (2 + 2) && body->bends[0].length > 190, "%f",
              body->bends[0].length);
    expect_whole(&h, body);
    kw_arena_free(&h.a);
}

Test(shape_flange, mitred_ends_close_an_inner_corner) {
    struct hand h;
    hand_start(&h, 0, 0, 2);
    outline(&h, ell, 6);
    on_edge(&h, 3, 30, 90 * DEG, 2)->taper_end = 44 * DEG;
    on_edge(&h, 4, 30, 90 * DEG, 2)->taper_start = 44 * DEG;
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    cr_expect_gt(body->bends[0].length, 180 - 5, "tapered, it runs to the corner: %f",
                 body->bends[0].length);
    expect_whole(&h, body);
    kw_arena_free(&h.a);
}

// ----------------------------------------------------------------------------- drawings

Test(shape_flange, stands_on_a_drawing_without_bend_lines) {
    struct hand h;
    hand_start(&h, 0, 0, 2);
    h.part.flat = "drawings/plate.dxf";
    static const double v[][3] = {
        {150, 0, 0}, {200, 50, 0.41421356237309503}, {150, 100, 0}, {0, 100, 0}, {0, 0, 0}};
    for (int i = 0; i < 5; i++)
        kw_path_add(&h.a, &h.part.drawing.outer, v[i][0], v[i][1], v[i][2], 7);
    KW_PUSH(&h.a, h.part.drawing.holes, h.part.drawing.hole_count) =
        kw_path_circle(&h.a, 40, 50, 10, true, 0);
    on_edge(&h, 1, 30, 90 * DEG, 2); // counted from (0,0): the front
    on_edge(&h, 4, 20, 90 * DEG, 2); // front, slope, back (the arc has no number), left
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    cr_expect_eq(body->bend_count, 2);
    static const double ways[2][2] = {{-1, 0}, {0, 1}}; // x of the front, of the left side
    for (int i = 0; i < 2; i++) {
        struct kw_move2 m = body->faces[kw_body_flange_face(body, i)].flat;
        cr_expect_float_eq(m.c, ways[i][0], 1e-12);
        cr_expect_float_eq(m.s, ways[i][1], 1e-12);
    }
    cr_expect_float_eq(body->folded.min.x, 0, 1e-9);
    cr_expect_float_eq(body->folded.min.y, 0, 1e-9);
    cr_expect_eq(body->blank.hole_count, 1);
    cr_expect_eq(body->faces[0].shape.hole_count, 1);
    struct kw_box2 b = kw_path_box(&body->faces[0].shape.holes[0]);
    cr_expect_float_eq(b.min.x, 30, 1e-9, "the hole stays where it was drawn");
    cr_expect_float_eq(kw_path_box(&body->blank.holes[0]).min.x, 30 + body->faces[0].flat.x, 1e-9);
    bool own = false;
    for (int i = 0; i < body->blank.outer.count; i++)
        own |= body->blank.outer.v[i].tag == 7;
    cr_expect(own, "a drawing keeps its tags");
    expect_whole(&h, body);
    kw_arena_free(&h.a);
}

// ----------------------------------------------------------------------------- what meets itself

Test(shape_flange, blank_that_overlaps_itself_is_told_with_the_place) {
    struct hand h;
    hand_start(&h, 0, 0, 2);
    static const double v[][2] = {{0, 0},     {300, 0},   {300, 200}, {180, 200},
                                  {180, 100}, {120, 100}, {120, 200}, {0, 200}};
    outline(&h, v, 8);
    on_edge(&h, 4, 50, 30 * DEG, 2); // down the right side of the slot, 60 wide
    on_edge(&h, 6, 50, 30 * DEG, 2); // up its left side
    cr_expect(!hand_make(&h));
    cr_expect(hand_has(&h, "blank-overlap"));
    const struct kw_finding *f = &h.found.v[h.found.count - 1];
    cr_expect_str_eq(f->frame, "blank");
    cr_expect(strstr(f->says, "bend A") && strstr(f->says, "bend B"), "%s", f->says);
    cr_expect(f->at[0] > 120 && f->at[0] < 180 && f->at[1] > 100 && f->at[1] < 200,
              "in the slot: %f %f", f->at[0], f->at[1]);
    kw_arena_free(&h.a);
}

Test(shape_flange, flat_that_meets_only_a_bend_zone_is_told) {
    for (int longer = 0; longer < 2; longer++) {
        struct hand h;
        hand_start(&h, 200, 100, 2);
        hand_flange(&h, KW_EDGE_FRONT, 60, 90 * DEG, 30); // its flat begins 32 up
        hand_flange(&h, KW_EDGE_BACK, 14, 90 * DEG, 2);
        // inside at 12 up the arc stands at 32 - sqrt(30^2 - 18^2) = 8
        hand_flange(&h, KW_EDGE_OF_BEND, longer ? 93 : 88, 90 * DEG, 2)->parent = 1;
        struct kw_body *body = hand_make(&h);
        cr_assert(body, "%s", says(&h));
        int faces[2] = {-1, -1};
        struct kw_vec3 at;
        cr_expect_eq(kw_body_clash(body, faces, &at), longer == 1);
        if (longer) cr_expect(faces[0] == 1 && faces[1] == 3, "%d %d", faces[0], faces[1]);
        kw_arena_free(&h.a);
    }
}
