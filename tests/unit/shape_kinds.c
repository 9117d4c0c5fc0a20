// SPDX-License-Identifier: Apache-2.0
// Hems, offset bends, tabs bent by hand.
#include "shape_hand.h"

#include <string.h>

static const char *says(const struct hand *h) {
    return h->found.count ? h->found.v[0].says : "nothing found";
}

static void expect_whole(struct hand *h, const struct kw_body *body) {
    struct kw_mesh mesh = {0};
    cr_assert(kw_body_mesh(&h->a, body, 1, 5 * DEG, &mesh));
    cr_expect(kw_mesh_is_closed(&mesh));
    double volume = 0, most = body->part->holes.count ? 1e-3 : 1e-6; // holes are chords
    for (int i = 0; i < body->face_count; i++)
        volume += kw_region_area(&body->faces[i].shape) * body->thickness;
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        volume += b->angle * body->thickness * (b->radius + body->thickness / 2) * b->length;
    }
    cr_expect_float_eq(kw_mesh_volume(&mesh), volume, most * volume);
}

static double blank_width(const struct kw_body *body) {
    struct kw_box2 b = kw_path_box(&body->blank.outer);
    return b.max.y - b.min.y;
}

// ----------------------------------------------------------------------------- hems

// A closed hem takes 0.43 thickness from the sum of the legs: common practice, no source.
Test(shape_kinds, closed_hem) {
    struct hand h;
    hand_start(&h, 100, 80, 1.5);
    hand_flange(&h, KW_EDGE_BACK, 10, 0, 0)->hem = KW_HEM_CLOSED;
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    const struct kw_bend *b = &body->bends[0];
    cr_expect_eq(b->kind, KW_BEND_HEM);
    cr_expect_float_eq(b->angle, KW_PI, 1e-12);
    cr_expect_float_eq(blank_width(body), 80 + 10 - 0.43 * 1.5, 1e-9);
    cr_expect(b->k > 0 && b->k < 0.5, "the neutral line lies in the metal: %f", b->k);
    // folded: 80 outside to outside, two sheets and the eye high
    cr_expect_float_eq(body->folded.max.y, 80, 1e-9);
    cr_expect_float_eq(body->folded.min.y, 0, 1e-9);
    cr_expect_float_eq(body->folded.max.z, 0.2 * 1.5 + 1.5, 1e-9);
    int faces[2];
    struct kw_vec3 at;
    cr_expect(!kw_body_clash(body, faces, &at), "it lies on its parent");
    expect_whole(&h, body);
    kw_arena_free(&h.a);
}

Test(shape_kinds, open_hem_keeps_its_gap) {
    struct hand h;
    hand_start(&h, 100, 80, 1.5);
    struct kw_flange *f = hand_flange(&h, KW_EDGE_BACK, 12, 0, 0);
    f->hem = KW_HEM_OPEN;
    f->gap = 4;
    f->way = KW_DOWN;
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    cr_expect_float_eq(body->bends[0].radius, 2, 1e-12);
    cr_expect_float_eq(body->folded.min.z, -1.5 - 4 - 1.5, 1e-9);
    cr_expect_float_eq(body->folded.max.y, 80, 1e-9);
    // 80 + 12 - 2 (r + t) + pi (r + K t)
    cr_expect_float_eq(blank_width(body), 92 - 7 + KW_PI * (2 + 0.44 * 1.5), 1e-9);
    expect_whole(&h, body);
    f->gap = 0; // the thickness
    body = hand_make(&h);
    cr_expect_float_eq(body->bends[0].radius, 0.75, 1e-12);
    kw_arena_free(&h.a);
}

Test(shape_kinds, hem_on_a_flange_runs_into_what_stands_in_its_way) {
    for (int lower = 0; lower < 2; lower++) {
        struct hand h;
        hand_start(&h, 200, 120, 2);
        hand_flange(&h, KW_EDGE_BACK, lower ? 60 : 20, 90 * DEG, 2);
        struct kw_flange *hem = hand_flange(&h, KW_EDGE_OF_BEND, 19, 0, 0);
        hem->parent = 0;
        hem->hem = KW_HEM_CLOSED; // inwards, down along the flange: 19 of 20 reaches the bend
        struct kw_body *body = hand_make(&h);
        cr_assert(body, "%s", says(&h));
        int faces[2];
        struct kw_vec3 at;
        cr_expect_eq(kw_body_clash(body, faces, &at), !lower);
        kw_arena_free(&h.a);
    }
}

// ----------------------------------------------------------------------------- offset bends

Test(shape_kinds, offset_bend_steps_as_far_as_told) {
    static const double turns[] = {30, 45, 60, 90};
    for (int i = 0; i < 8; i++) {
        struct hand h;
        bool down = i >= 4;
        hand_start(&h, 100, 80, 2);
        struct kw_flange *f = hand_flange(&h, KW_EDGE_BACK, 60, turns[i % 4] * DEG, 2.5);
        f->offset = 12;
        f->way = down ? KW_DOWN : KW_UP;
        hand_hole(&h, 0, 6, 40, 50);
        struct kw_body *body = hand_make(&h);
        cr_assert(body, "%s", says(&h));
        cr_assert_eq(body->bend_count, 2);
        cr_expect_str_eq(body->bends[0].id, "A/1");
        cr_expect_str_eq(body->bends[1].id, "A/2");
        cr_expect_eq(body->bends[0].twin, 1);
        cr_expect_eq(body->bends[1].twin, 0);
        cr_expect_neq(body->bends[0].way, body->bends[1].way);
        cr_expect_eq(body->bends[1].flange, 0);
        // the same side 12 further, the edge 60 from the first outside corner
        cr_expect_float_eq(down ? body->folded.min.z : body->folded.max.z, down ? -14 : 12, 1e-9);
        cr_expect_float_eq(body->folded.max.y, 140, 1e-9);
        int face = kw_body_flange_face(body, 0);
        cr_expect_eq(face, 2);
        cr_assert_eq(body->faces[face].shape.hole_count, 1);
        struct kw_box2 b = kw_path_box(&body->faces[face].shape.holes[0]);
        struct kw_vec2 c = kw_lerp2(b.min, b.max, 0.5);
        struct kw_vec3 p = kw_move3_point(kw_body_fold(&h.a, body, 1)[face], kw_v3(c.x, c.y, 0));
        cr_expect_float_eq(p.x, 40, 1e-9);
        cr_expect_float_eq(p.y, 130, 1e-9, "from where the height counts: %f", p.y);
        expect_whole(&h, body);
        kw_arena_free(&h.a);
    }
}

Test(shape_kinds, offset_without_a_flat_between_tells_the_least_that_works) {
    struct hand h;
    hand_start(&h, 100, 80, 2);
    struct kw_flange *f = hand_flange(&h, KW_EDGE_BACK, 60, 0, 2.5);
    f->offset = 2; // 45 degrees: the bends alone step by (2 r + t) (1 - cos 45) = 2.05
    cr_expect(!hand_make(&h));
    cr_assert_eq(h.found.count, 1);
    cr_expect_str_eq(h.found.v[0].rule, "flange-fit");
    cr_expect_float_eq(h.found.v[0].measured, 2, 1e-12);
    f->offset = h.found.v[0].limit + 1e-6;
    cr_expect_float_eq(f->offset, 7 * (1 - sqrt(0.5)) + 0.1 * sqrt(0.5), 1e-5);
    struct kw_body *body = hand_make(&h);
    cr_expect(body, "the least step works");
    f->turn = 100 * DEG;
    f->offset = 20;
    h.found.count = 0;
    cr_expect(!hand_make(&h));
    kw_arena_free(&h.a);
}

Test(shape_kinds, flange_stands_on_an_offset_flange) {
    struct hand h;
    hand_start(&h, 100, 80, 2);
    hand_flange(&h, KW_EDGE_LEFT, 60, 45 * DEG, 2.5)->offset = 10;
    hand_flange(&h, KW_EDGE_OF_BEND, 20, 90 * DEG, 2)->parent = 0;
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    cr_expect_eq(body->bend_count, 3);
    cr_expect_eq(body->bends[2].parent, 2);
    cr_expect_float_eq(body->folded.min.x, -60, 1e-9);
    cr_expect_float_eq(body->folded.max.z, 10 - 2 + 20, 1e-9);
    expect_whole(&h, body);
    kw_arena_free(&h.a);
}

// ----------------------------------------------------------------------------- by hand

Test(shape_kinds, tab_by_hand_has_slits_and_ships_flat) {
    static const struct kw_node node;
    struct hand h;
    hand_start(&h, 200, 120, 2);
    struct kw_flange *f = hand_flange(&h, KW_EDGE_BACK, 30, 90 * DEG, 0);
    f->from_start = f->from_end = 50;
    f->by_hand.node = &node;
    f->by_hand.slit = 19;
    f->by_hand.web = 5;
    f->by_hand.width = 3;
    hand_hole(&h, -1, 10, 60, 60);
    struct kw_body *body = hand_make(&h);
    cr_assert(body, "%s", says(&h));
    const struct kw_bend *b = &body->bends[0];
    cr_expect_eq(b->kind, KW_BEND_HAND);
    cr_expect_float_eq(b->radius, 2, 1e-12, "the thickness");
    // 100 long: four slits of 19 and five webs of 4.8 are too narrow: three slits, webs of 10.75
    cr_assert_eq(body->blank.hole_count, 4);
    cr_expect_float_eq(b->hole_gap, 57, 1e-9);
    int slits = 0;
    for (int i = 0; i < 4; i++) {
        const struct kw_path *p = &body->blank.holes[i];
        if (!kw_body_is_slit(body, p)) continue;
        slits++;
        cr_expect_lt(kw_path_area(p), 0.0, "holes run clockwise");
        struct kw_box2 box = kw_path_box(p);
        cr_expect_float_eq(box.max.x - box.min.x, 19, 1e-9);
        cr_expect_float_eq(box.max.y - box.min.y, 3, 1e-9);
        cr_expect_float_eq((box.min.y + box.max.y) / 2, b->from.y, 1e-9, "on the bend line");
        cr_expect_float_eq(box.min.x, 50 + 10.75 + (slits - 1) * 29.75, 1e-9);
        cr_expect_eq(p->v[0].tag, KW_SLIT_TAG + slits - 1);
    }
    cr_expect_eq(slits, 3);
    cr_expect_float_eq(body->folded.max.z, 28, 1e-9);
    cr_expect_float_eq(body->shipped.max.z, 0, 1e-9);
    cr_expect_float_eq(body->shipped.max.y, 120 + 30 - b->deduction, 1e-9);
    struct kw_move3 *m = kw_body_fold_shipped(&h.a, body);
    cr_expect_float_eq(m[1].r[2][2], 1, 1e-12);
    struct kw_mesh mesh = {0};
    cr_assert(kw_body_mesh_shipped(&h.a, body, 5 * DEG, &mesh));
    cr_expect(kw_mesh_is_closed(&mesh));
    cr_expect_float_eq(kw_mesh_box(&mesh).max.z, 0, 1e-9);
    expect_whole(&h, body);
    f->by_hand.slit = 95;
    cr_expect(!hand_make(&h), "no room for a slit and two webs");
    cr_expect(hand_has(&h, "flange-fit"));
    kw_arena_free(&h.a);
}

// Plastic moment of a rectangle, yield b t^2 / 4 (strength of materials, from memory): 250 MPa, two
// webs of 5, 2 thick: 2500 N mm, at an arm of 25 mm 100 N.
Test(shape_kinds, force_by_hand) {
    cr_expect_float_eq(kw_hand_force(250, 10, 2, 25), 100, 1e-9);
}
