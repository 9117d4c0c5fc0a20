// SPDX-License-Identifier: Apache-2.0
#include "geom_shapes.h"

#include <criterion/criterion.h>

static struct kw_move2 random_move(uint64_t *state) {
    double turn = kw_random(state) % 2 ? KW_PI / 2 * (double)(kw_random(state) % 9)
                                       : random_in(state, -10, 10);
    return kw_move2_make(random_in(state, -900, 900), random_in(state, -900, 900), turn,
                         kw_random(state) % 2);
}

static void expect_same(struct kw_vec2 a, struct kw_vec2 b) {
    cr_expect_float_eq(a.x, b.x, 1e-9);
    cr_expect_float_eq(a.y, b.y, 1e-9);
}

Test(geom_move, inverse_brings_back_and_then_is_one_after_the_other) {
    uint64_t state = 4;
    for (int i = 0; i < 500; i++) {
        struct kw_move2 m = random_move(&state), n = random_move(&state);
        struct kw_vec2 p = kw_v2(random_in(&state, -500, 500), random_in(&state, -500, 500));
        expect_same(kw_move2_point(kw_move2_inverse(m), kw_move2_point(m, p)), p);
        expect_same(kw_move2_point(kw_move2_then(m, n), p),
                    kw_move2_point(n, kw_move2_point(m, p)));
        expect_same(kw_move2_point(kw_move2_then(m, kw_move2_inverse(m)), p), p);
    }
    expect_same(kw_move2_point(kw_move2_none(), kw_v2(3, 4)), kw_v2(3, 4));
}

Test(geom_move, mirror_comes_before_the_turn_and_quarters_are_exact) {
    struct kw_move2 m = kw_move2_make(10, 20, KW_PI / 2, true);
    struct kw_vec2 p = kw_move2_point(m, kw_v2(3, 1)); // (-3, 1) -> (-1, -3) -> (9, 17)
    cr_expect(p.x == 9 && p.y == 17);
    for (int k = -9; k <= 9; k++) {
        struct kw_move2 q = kw_move2_make(0, 0, k * KW_PI / 2, false);
        cr_expect(fabs(q.c) + fabs(q.s) == 1, "%d quarters", k);
        cr_expect_float_eq(q.c, cos(k * KW_PI / 2), 1e-12);
        cr_expect_float_eq(q.s, sin(k * KW_PI / 2), 1e-12);
    }
}

Test(geom_move, paths_keep_area_length_and_orientation) {
    uint64_t state = 8;
    for (int i = 0; i < 200; i++) {
        struct kw_arena a = {0};
        struct kw_path p = random_outline(&a, &state);
        struct kw_move2 m = random_move(&state);
        struct kw_path q = kw_path_moved(&a, &p, m);
        cr_expect_float_eq(kw_path_area(&q), kw_path_area(&p), 1e-7);
        cr_expect_float_eq(kw_path_length(&q), kw_path_length(&p), 1e-8);
        struct kw_path back = kw_path_moved(&a, &q, kw_move2_inverse(m));
        cr_assert_eq(back.count, p.count);
        // Mirrored twice it may begin elsewhere; it is the same curve with the same tags.
        double tags = 0, tags_back = 0;
        for (int k = 0; k < p.count; k++) {
            struct kw_segment s = kw_path_segment(&p, k);
            cr_expect(kw_path_distance(&back, kw_segment_point(s, 0.3)) < 1e-8);
            cr_expect(kw_path_distance(&q, kw_move2_point(m, kw_segment_point(s, 0.7))) < 1e-8);
            tags += p.v[k].tag * kw_segment_length(s);
            tags_back += back.v[k].tag * kw_segment_length(kw_path_segment(&back, k));
        }
        cr_expect_float_eq(tags, tags_back, 1e-6);
        kw_arena_free(&a);
    }
}

Test(geom_move, turns_in_space_follow_the_right_hand) {
    struct kw_move3 m = kw_move3_turn(kw_v3(1, 0, 0), kw_v3(0, 0, 1), KW_PI / 2);
    struct kw_vec3 p = kw_move3_point(m, kw_v3(2, 0, 5));
    cr_expect(p.x == 1 && p.y == 1 && p.z == 5);
    uint64_t state = 6;
    for (int i = 0; i < 200; i++) {
        struct kw_vec3 axis = kw_v3(random_in(&state, -1, 1), random_in(&state, -1, 1), 0.5);
        axis = kw_scale3(axis, 1 / kw_length3(axis));
        struct kw_vec3 at = kw_v3(random_in(&state, -90, 90), 5, random_in(&state, -90, 90));
        double t = random_in(&state, -6, 6);
        struct kw_move3 to = kw_move3_turn(at, axis, t), back = kw_move3_turn(at, axis, -t);
        struct kw_vec3 q = kw_v3(random_in(&state, -90, 90), 7, random_in(&state, -90, 90));
        struct kw_vec3 d = kw_sub3(kw_move3_point(kw_move3_then(to, back), q), q);
        cr_expect(kw_length3(d) < 1e-11);
        // On the axis nothing moves; a direction keeps its length and its part along the axis.
        struct kw_vec3 on = kw_add3(at, kw_scale3(axis, 17));
        cr_expect(kw_length3(kw_sub3(kw_move3_point(to, on), on)) < 1e-11);
        struct kw_vec3 turned = kw_move3_direction(to, q);
        cr_expect_float_eq(kw_length3(turned), kw_length3(q), 1e-11);
        cr_expect_float_eq(kw_dot3(turned, axis), kw_dot3(q, axis), 1e-11);
    }
    cr_expect(kw_length3(kw_sub3(kw_move3_point(kw_move3_none(), p), p)) == 0);
}
