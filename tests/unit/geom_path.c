// SPDX-License-Identifier: Apache-2.0
#include "geom_shapes.h"

#include <criterion/criterion.h>

static const struct kw_place nowhere = {0};

Test(geom_path, areas_and_lengths_of_known_shapes) {
    struct kw_arena a = {0};
    struct kw_path box = kw_path_box_outline(&a, 1000, 2000, 1040, 2020, 0);
    cr_expect_float_eq(kw_path_area(&box), 800, 1e-9);
    cr_expect_float_eq(kw_path_length(&box), 120, 1e-9);
    struct kw_path circle = kw_path_circle(&a, 300, -20, 12.5, true, 0);
    cr_expect_float_eq(kw_path_area(&circle), KW_PI * 156.25, 1e-9);
    cr_expect_float_eq(kw_path_length(&circle), KW_PI * 25, 1e-9);
    struct kw_path hole = kw_path_circle(&a, 0, 0, 3, false, 0);
    cr_expect_float_eq(kw_path_area(&hole), -KW_PI * 9, 1e-12);
    // A rounded box: each corner loses (1 - pi/4) r^2, and 2 r - pi r / 2 of length.
    for (int i = 3; i >= 0; i--)
        cr_assert(kw_path_round_corner(&a, &box, i, 6));
    cr_expect_eq(box.count, 8);
    cr_expect_float_eq(kw_path_area(&box), 800 - (4 - KW_PI) * 36, 1e-9);
    cr_expect_float_eq(kw_path_length(&box), 120 - 48 + 12 * KW_PI, 1e-9);
    // A circular segment (chord 80, height 16): r = 58, from its area formula.
    struct kw_path cap = {0};
    kw_path_add(&a, &cap, 0, 0, 0, 0);
    kw_path_add(&a, &cap, 80, 0, 16 / 40.0, 0);
    double sweep = 2 * asin(40 / 58.0);
    cr_expect_float_eq(kw_path_area(&cap), 58 * 58 * (sweep - sin(sweep)) / 2, 1e-9);
    cr_expect_float_eq(kw_path_length(&cap), 80 + 58 * sweep, 1e-10);
    struct kw_path open = kw_path_copy(&a, &cap);
    open.open = true;
    cr_expect_eq(kw_path_area(&open), 0);
    cr_expect_eq(kw_path_segments(&open), 1);
    kw_arena_free(&a);
}

Test(geom_path, boxes_take_in_the_arcs) {
    struct kw_arena a = {0};
    struct kw_path circle = kw_path_circle(&a, 10, 20, 5, false, 0);
    struct kw_box2 b = kw_path_box(&circle);
    cr_expect(b.min.x == 5 && b.max.x == 15);
    cr_expect_float_eq(b.min.y, 15, 1e-12);
    cr_expect_float_eq(b.max.y, 25, 1e-12);
    uint64_t state = 12;
    for (int n = 0; n < 100; n++) {
        struct kw_path p = random_outline(&a, &state);
        struct kw_box2 box = kw_path_box(&p), seen = {{1e9, 1e9}, {-1e9, -1e9}};
        for (int i = 0; i < p.count; i++) {
            for (int k = 0; k <= 200; k++) {
                struct kw_vec2 q = kw_segment_point(kw_path_segment(&p, i), k / 200.0);
                seen.min = kw_v2(fmin(seen.min.x, q.x), fmin(seen.min.y, q.y));
                seen.max = kw_v2(fmax(seen.max.x, q.x), fmax(seen.max.y, q.y));
            }
        }
        cr_expect(box.min.x <= seen.min.x + 1e-9 && box.max.x >= seen.max.x - 1e-9);
        cr_expect(box.min.y <= seen.min.y + 1e-9 && box.max.y >= seen.max.y - 1e-9);
        cr_expect(seen.min.x - box.min.x < 0.01 && box.max.x - seen.max.x < 0.01);
        cr_expect(seen.min.y - box.min.y < 0.01 && box.max.y - seen.max.y < 0.01);
    }
    kw_arena_free(&a);
}

Test(geom_path, centroids_of_known_shapes) {
    struct kw_arena a = {0};
    // Half a disc: 4 r / (3 pi) above its diameter.
    struct kw_region half = {0};
    kw_path_add(&a, &half.outer, 90, 40, 0, 0);
    kw_path_add(&a, &half.outer, 110, 40, 1, 0);
    struct kw_vec2 c = kw_region_centroid(&half);
    cr_expect_float_eq(c.x, 100, 1e-10);
    cr_expect_float_eq(c.y, 40 + 40 / (3 * KW_PI), 1e-10);
    // A plate 100 x 60 with a hole of 20 at (80, 30), drawn either way round.
    for (int ccw = 0; ccw < 2; ccw++) {
        struct kw_path hole = kw_path_circle(&a, 80, 30, 10, ccw, 0);
        struct kw_region plate = {kw_path_box_outline(&a, 0, 0, 100, 60, 0), &hole, 1};
        double left = 6000 - KW_PI * 100;
        cr_expect_float_eq(kw_region_area(&plate), left, 1e-9);
        c = kw_region_centroid(&plate);
        cr_expect_float_eq(c.x, (6000 * 50 - KW_PI * 100 * 80) / left, 1e-9);
        cr_expect_float_eq(c.y, 30, 1e-9);
        cr_expect(kw_region_contains(&plate, kw_v2(5, 5)));
        cr_expect(!kw_region_contains(&plate, kw_v2(80, 30)));
        cr_expect(!kw_region_contains(&plate, kw_v2(101, 30)));
    }
    kw_arena_free(&a);
}

// Winding of many straight steps along the path about p.
static bool inside_by_winding(const struct kw_path *p, struct kw_vec2 q) {
    double turn = 0;
    for (int i = 0; i < p->count; i++) {
        for (int k = 0; k < 64; k++) {
            struct kw_segment s = kw_path_segment(p, i);
            struct kw_vec2 u = kw_sub2(kw_segment_point(s, k / 64.0), q);
            struct kw_vec2 v = kw_sub2(kw_segment_point(s, (k + 1) / 64.0), q);
            turn += atan2(kw_cross2(u, v), kw_dot2(u, v));
        }
    }
    return fabs(turn) > KW_PI;
}

Test(geom_path, contains_agrees_with_the_winding_number) {
    uint64_t state = 31;
    int inside = 0;
    for (int n = 0; n < 60; n++) {
        struct kw_arena a = {0};
        struct kw_path p = random_outline(&a, &state);
        for (int k = 0; k < 20; k++) {
            struct kw_vec2 q = kw_v2(random_in(&state, -60, 60), random_in(&state, -60, 60));
            if (kw_path_distance(&p, q) < 0.05) continue;
            bool in = kw_path_contains(&p, q);
            inside += in;
            cr_expect_eq(in, inside_by_winding(&p, q), "shape %d (%g, %g)", n, q.x, q.y);
        }
        kw_arena_free(&a);
    }
    cr_expect(inside > 100 && inside < 1100, "%d inside", inside);
}

static double sampled_gap(const struct kw_path *p, const struct kw_path *q) {
    double best = INFINITY;
    for (int i = 0; i < p->count; i++)
        for (int k = 0; k < 100; k++)
            best =
                fmin(best, kw_path_distance(q, kw_segment_point(kw_path_segment(p, i), k / 100.0)));
    return best;
}

Test(geom_path, gaps_are_exact_between_lines_and_arcs) {
    struct kw_arena a = {0};
    struct kw_path c = kw_path_circle(&a, 0, 0, 5, true, 0),
                   d = kw_path_circle(&a, 3, 4, 7, true, 0);
    struct kw_path e = kw_path_circle(&a, 30, 40, 8, false, 0);
    struct kw_path in = kw_path_circle(&a, 0.3, 0.4, 2, true, 0);
    struct kw_path box = kw_path_box_outline(&a, 9, -20, 12, 20, 0);
    cr_expect_eq(kw_path_gap(&c, &d), 0);
    cr_expect_float_eq(kw_path_gap(&c, &e), 50 - 13, 1e-12);
    cr_expect_float_eq(kw_path_gap(&c, &in), 5 - 2.5, 1e-12);
    cr_expect_float_eq(kw_path_gap(&c, &box), 4, 1e-12);
    uint64_t state = 77;
    for (int n = 0; n < 100; n++) {
        struct kw_path p = random_outline(&a, &state), q = random_outline(&a, &state);
        struct kw_move2 m = kw_move2_make(random_in(&state, 60, 200), 0, 1, false);
        q = kw_path_moved(&a, &q, m);
        double gap = kw_path_gap(&p, &q), most = fmin(sampled_gap(&p, &q), sampled_gap(&q, &p));
        cr_expect_float_eq(gap, kw_path_gap(&q, &p), 1e-9);
        cr_expect(gap <= most + 1e-9 && gap >= most - (gap == 0 ? 1.0 : 0.05), "%g of %g", gap,
                  most);
    }
    kw_arena_free(&a);
}

Test(geom_path, reversed_and_oriented_turn_the_area_round) {
    uint64_t state = 21;
    for (int n = 0; n < 50; n++) {
        struct kw_arena a = {0};
        struct kw_path p = random_outline(&a, &state), r = kw_path_reversed(&a, &p);
        cr_expect_float_eq(kw_path_area(&r), -kw_path_area(&p), 1e-8);
        struct kw_path o = kw_path_oriented(&a, &r, true), rr = kw_path_reversed(&a, &r);
        cr_expect(kw_path_area(&o) > 0);
        for (int i = 0; i < p.count; i++) {
            struct kw_segment s = kw_path_segment(&p, i);
            int tag = 0; // of the segment of r that runs along this one
            for (int k = 0; k < r.count; k++)
                if (kw_segment_distance(kw_path_segment(&r, k), kw_segment_point(s, 0.5)) < 1e-9)
                    tag = r.v[k].tag;
            cr_expect_eq(tag, p.v[i].tag);
            cr_expect_float_eq(kw_path_distance(&rr, kw_segment_point(s, 0.2)), 0, 1e-9);
        }
        kw_arena_free(&a);
    }
}

static double polygon_area(const struct kw_vec2 *v, int n) {
    double twice = 0;
    for (int i = 0; i < n; i++)
        twice += kw_cross2(v[i], v[(i + 1) % n]);
    return twice / 2;
}

Test(geom_path, chords_keep_to_their_side_within_the_tolerance) {
    uint64_t state = 55;
    for (int n = 0; n < 200; n++) {
        struct kw_arena a = {0};
        struct kw_path p = random_outline(&a, &state);
        struct kw_path source = kw_path_oriented(&a, &p, n % 2);
        double tolerance = n % 3 ? 0.01 : 0.4, length = kw_path_length(&p);
        for (int side = 0; side < 2; side++) {
            int count;
            struct kw_vec2 *v =
                kw_path_chords(&a, &source, tolerance, (enum kw_chord_side)side, &count);
            // Metal to the left: inside loses area, outside gains it, by at most the tolerance.
            double gain = polygon_area(v, count) - kw_path_area(&source);
            if (side == KW_CHORD_INSIDE) gain = -gain;
            cr_expect(gain >= -1e-9 && gain <= tolerance * length, "gain %g", gain);
            for (int i = 0; i < count; i++) {
                struct kw_vec2 w = v[(i + 1) % count];
                for (int k = 0; k < 5; k++) {
                    struct kw_vec2 q = kw_lerp2(v[i], w, k / 5.0);
                    cr_expect(kw_path_distance(&source, q) <= tolerance + 1e-9);
                }
            }
        }
        kw_arena_free(&a);
    }
}

Test(geom_path, corners_are_rounded_where_there_is_room) {
    struct kw_arena a = {0};
    struct kw_path p = kw_path_box_outline(&a, 0, 0, 30, 10, 4);
    cr_expect(!kw_path_round_corner(&a, &p, 0, 10.01));
    cr_expect(!kw_path_round_corner(&a, &p, 0, 0));
    cr_expect(!kw_path_round_corner(&a, &p, 0, NAN));
    cr_expect(!kw_path_round_corner(&a, &p, 4, 1));
    cr_expect_eq(p.count, 4);
    // Two corners of 5 use up the short side between them.
    cr_expect(kw_path_round_corner(&a, &p, 2, 5));
    cr_expect(kw_path_round_corner(&a, &p, 1, 5));
    cr_expect_eq(p.count, 5);
    cr_expect_eq(kw_path_check(&p, nowhere, NULL), KW_OK);
    cr_expect_float_eq(kw_path_area(&p), 300 - (2 - KW_PI / 2) * 25, 1e-9);
    cr_expect(!kw_path_round_corner(&a, &p, 1, 1)); // between a line and an arc
    // A blank 10 x 10 with four corners of 5 is a circle of four arcs.
    struct kw_path round = kw_path_box_outline(&a, 0, 0, 10, 10, 4);
    for (int i = 3; i >= 0; i--)
        cr_expect(kw_path_round_corner(&a, &round, i, 5));
    cr_expect_eq(round.count, 4);
    cr_expect_float_eq(kw_path_area(&round), KW_PI * 25, 1e-9);
    // An obtuse and a reflex corner.
    struct kw_path l = {0};
    static const double xy[][2] = {{0, 0}, {40, 0}, {40, 20}, {20, 20}, {20, 40}, {0, 40}};
    for (int i = 0; i < 6; i++)
        kw_path_add(&a, &l, xy[i][0], xy[i][1], 0, i);
    cr_expect(kw_path_round_corner(&a, &l, 3, 4));
    cr_expect_float_eq(kw_path_area(&l), 1200 + (1 - KW_PI / 4) * 16, 1e-9);
    kw_arena_free(&a);
}

Test(geom_path, crossings_of_lines_and_arcs) {
    struct kw_vec2 at[2];
    struct kw_segment x = kw_segment_make(kw_v2(-10, 3), kw_v2(10, 3), 0);
    struct kw_segment y = kw_segment_make(kw_v2(2, -5), kw_v2(2, 5), 0);
    cr_expect_eq(kw_segment_crossings(x, y, at), 1);
    cr_expect(at[0].x == 2 && at[0].y == 3);
    struct kw_segment upper = kw_segment_make(kw_v2(5, 0), kw_v2(-5, 0), 1);
    cr_expect_eq(kw_segment_crossings(x, upper, at), 2);
    cr_expect_float_eq(fabs(at[0].x), 4, 1e-12);
    cr_expect_float_eq(at[0].x, -at[1].x, 1e-12);
    struct kw_segment lower = kw_segment_make(kw_v2(-5, 0), kw_v2(5, 0), 1);
    cr_expect_eq(kw_segment_crossings(x, lower, at), 0);
    struct kw_segment other = kw_segment_make(kw_v2(11, 0), kw_v2(1, 0), 1); // about (6, 0)
    cr_expect_eq(kw_segment_crossings(upper, other, at), 1);
    cr_expect_float_eq(at[0].x, 3, 1e-12);
    cr_expect_float_eq(at[0].y, 4, 1e-12);
    struct kw_segment touching = kw_segment_make(kw_v2(-10, 5), kw_v2(10, 5), 0);
    cr_expect_eq(kw_segment_crossings(touching, upper, at), 1);
    struct kw_segment over = kw_segment_make(kw_v2(0, 3), kw_v2(20, 3), 0);
    cr_expect_eq(kw_segment_crossings(x, over, at), 0);
    cr_expect_eq(kw_segment_crossings(upper, upper, at), 0);
}
