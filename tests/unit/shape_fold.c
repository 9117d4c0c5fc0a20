// SPDX-License-Identifier: Apache-2.0
// Fold and unfold: random parts keep their sizes, areas and volumes.
#include "shape_hand.h"

#include <string.h>

static double between(uint64_t *seed, double lo, double hi) {
    return lo + (hi - lo) * kw_random_unit(seed);
}

static void random_part(struct hand *h, uint64_t *seed) {
    double t = between(seed, 0.8, 6);
    hand_start(h, between(seed, 150, 600), between(seed, 150, 600), t);
    int edges = (int)(kw_random(seed) % 16);
    for (int e = 0; e < 4; e++) {
        if (!(edges >> e & 1)) continue;
        struct kw_flange *f = hand_flange(h, e, between(seed, 45, 70), between(seed, 15, 135) * DEG,
                                          between(seed, 0.5, 1.5) * t);
        f->way = (int)(kw_random(seed) % 2);
        if (kw_random(seed) % 4 == 0) f->from_start = between(seed, 0, 40);
        if (kw_random(seed) % 4 == 0) f->from_end = between(seed, 0, 40);
        if (kw_random(seed) % 3) continue;
        int parent = h->part.bends.count - 1;
        f = hand_flange(h, KW_EDGE_OF_BEND, between(seed, 45, 60), between(seed, 15, 135) * DEG, t);
        f->parent = parent;
        f->way = (int)(kw_random(seed) % 2);
        if (kw_random(seed) % 3 == 0) f->from_start = between(seed, 0, 20);
    }
    struct kw_round *r = &h->part.base.round;
    double *round[] = {&r->front_left, &r->front_right, &r->back_right, &r->back_left};
    for (int i = 0; i < 4; i++)
        if (kw_random(seed) % 4 == 0) *round[i] = between(seed, 2, 25);
    hand_hole(h, -1, 10, 75, 75);
}

static double flat_area(const struct kw_body *body) {
    double area = 0;
    for (int i = 0; i < body->face_count; i++)
        area += kw_region_area(&body->faces[i].shape);
    return area;
}

static void check_sums(const struct kw_body *body) {
    double zones = 0;
    for (int i = 0; i < body->bend_count; i++)
        zones += body->bends[i].allowance * body->bends[i].length;
    double sum = flat_area(body) + zones;
    cr_expect_float_eq(body->area, sum, 1e-9 * sum, "area %f, faces and bends %f", body->area, sum);
}

/// Chorded holes and corners: the mesh's faces, for comparing volumes to the last digit.
static double chord_area(struct kw_arena *a, const struct kw_body *body) {
    double area = 0;
    struct kw_mesh flat = {0};
    cr_assert(kw_body_mesh(a, body, 0, 1, &flat));
    area = kw_mesh_volume(&flat) / body->thickness;
    for (int i = 0; i < body->bend_count; i++)
        area -= body->bends[i].allowance * body->bends[i].length;
    return area;
}

static void check_mesh(struct kw_arena *a, const struct kw_body *body, double t) {
    struct kw_mesh mesh = {0};
    cr_assert(kw_body_mesh(a, body, t, 5 * DEG, &mesh));
    cr_expect(kw_mesh_is_closed(&mesh), "the mesh at %f is open", t);
    double volume = chord_area(a, body) * body->thickness;
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        double across = t == 1 ? b->angle * (b->radius + body->thickness / 2)
                               : b->allowance + b->angle * t * (0.5 - b->k) * body->thickness;
        volume += across * body->thickness * b->length;
    }
    double got = kw_mesh_volume(&mesh);
    cr_expect_float_eq(got, volume, 1e-6 * volume, "volume %f at %f, wanted %f", got, t, volume);
}

/// Chords lie inside round corners (less metal) and inside holes (more): far under 1e-3.
static void check_chords(struct kw_arena *a, const struct kw_body *body) {
    double chorded = chord_area(a, body), exact = flat_area(body);
    cr_expect_float_eq(chorded, exact, 1e-4 * exact, "chords %f, exact %f", chorded, exact);
}

/// Where the outsides of a flange and of what it stands on meet, up to square: on the nominal edge.
static void check_apex(struct hand *h, const struct kw_body *body, const struct kw_bend *b,
                       const struct kw_move3 *m) {
    if (b->angle > KW_PI / 2) return;
    const struct kw_flange *f = &h->flanges[b->flange];
    double outside = f->way == KW_UP ? -body->thickness : 0;
    struct kw_vec3 p = kw_move3_point(m[b->child], kw_v3(0, 0, outside));
    // the same edge in the parent's own frame
    const double l = h->part.base.length, w = h->part.base.width;
    const double edge[4][2] = {{l, 0}, {l, w}, {0, w}, {0, 0}};
    struct kw_vec3 q = kw_v3(0, 0, outside);
    if (f->parent < 0)
        q = kw_v3(edge[f->edge][0], edge[f->edge][1], outside);
    else
        q.y = h->flanges[f->parent].height;
    q = kw_move3_point(m[b->parent], q);
    cr_expect_float_eq(kw_length3(kw_sub3(p, q)), 0, 1e-9, "flange %s is off by %g", f->name,
                       kw_length3(kw_sub3(p, q)));
}

/// Outside sizes: each flange's edge is its height from its outside corner, and the corner is where
/// the base's (or the parent's) size says.
static void check_sizes(struct hand *h, const struct kw_body *body) {
    struct kw_move3 *m = kw_body_fold(&h->a, body, 1);
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        const struct kw_flange *f = &h->flanges[b->flange];
        struct kw_box2 box = kw_path_box(&body->faces[b->child].shape.outer);
        bool carries = false;
        for (int k = 0; k < h->part.bends.count; k++)
            carries |= h->flanges[k].parent == b->flange;
        if (!carries) cr_expect_float_eq(box.max.y, f->height, 1e-9);
        cr_expect_float_eq(box.min.y, b->setback, 1e-9);
        check_apex(h, body, b, m);
    }
}

Test(shape_fold, random_parts_keep_sizes_areas_and_volumes) {
    uint64_t seed = 20260705;
    int made = 0;
    for (int n = 0; n < 300; n++) {
        struct hand h;
        random_part(&h, &seed);
        struct kw_body *body = hand_make(&h);
        cr_assert(body, "part %d: %s", n, h.found.count ? h.found.v[0].says : "no finding");
        struct kw_error err = {0};
        cr_expect_eq(kw_path_check(&body->blank.outer, (struct kw_place){0}, &err), KW_OK,
                     "part %d: %s", n, err.text);
        check_sums(body);
        check_mesh(&h.a, body, 1);
        check_mesh(&h.a, body, 0.37);
        check_chords(&h.a, body);
        check_sizes(&h, body);
        made++;
        kw_arena_free(&h.a);
    }
    cr_expect_eq(made, 300);
}
