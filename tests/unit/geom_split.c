// SPDX-License-Identifier: Apache-2.0
#include "geom_shapes.h"

#include <criterion/criterion.h>

static const struct kw_place nowhere = {0};

Test(geom_split, areas_of_the_halves_add_up) {
    uint64_t state = 42;
    int split = 0, refused = 0;
    for (int n = 0; n < 600; n++) {
        struct kw_arena a = {0};
        struct kw_path made = random_outline(&a, &state);
        struct kw_path p = kw_path_oriented(&a, &made, n % 2);
        int i = (int)(kw_random(&state) % (uint64_t)p.count);
        int j = (int)(kw_random(&state) % (uint64_t)p.count);
        // Corners, places along a side, both on one side.
        double t = n % 3 ? random_in(&state, 0, 1) : 0, u = n % 4 ? random_in(&state, 0, 1) : 0;
        struct kw_vec2 from = kw_segment_point(kw_path_segment(&p, i), t);
        struct kw_vec2 to = kw_segment_point(kw_path_segment(&p, j), u);
        struct kw_path left, right;
        if (!kw_path_split(&a, &p, from, to, 1e-6, 77, &left, &right)) {
            refused++;
            kw_arena_free(&a);
            continue;
        }
        split++;
        struct kw_error err = {0};
        cr_expect_eq(kw_path_check(&left, nowhere, &err), KW_OK, "%d left %s", n, err.text);
        cr_expect_eq(kw_path_check(&right, nowhere, &err), KW_OK, "%d right %s", n, err.text);
        double x = kw_path_area(&left), y = kw_path_area(&right), both = kw_path_area(&p);
        cr_expect_float_eq(x + y, both, 1e-7);
        cr_expect((x > 0) == (both > 0) && (y > 0) == (both > 0));
        double cut = kw_length2(kw_sub2(to, from));
        cr_expect_float_eq(kw_path_length(&left) + kw_path_length(&right),
                           kw_path_length(&p) + 2 * cut, 1e-6);
        // Left of the way from a to b is in the left half.
        struct kw_vec2 way = kw_scale2(kw_left2(kw_sub2(to, from)), 1e-4 / cut);
        struct kw_vec2 middle = kw_lerp2(from, to, 0.5);
        cr_expect(kw_path_contains(&left, kw_add2(middle, way)));
        cr_expect(kw_path_contains(&right, kw_sub2(middle, way)));
        double tagged = 0;
        for (int k = 0; k < left.count; k++)
            if (left.v[k].tag == 77) tagged += kw_segment_length(kw_path_segment(&left, k));
        cr_expect_float_eq(tagged, cut, 1e-6);
        kw_arena_free(&a);
    }
    cr_expect(split >= 100 && refused >= 100, "%d split, %d refused", split, refused);
}

Test(geom_split, is_refused_off_the_path_outside_or_along_a_side) {
    struct kw_arena a = {0};
    struct kw_path u = {0}, l, r;
    static const double xy[][2] = {{0, 0},   {60, 0},  {60, 40}, {40, 40},
                                   {40, 10}, {20, 10}, {20, 40}, {0, 40}};
    for (int i = 0; i < 8; i++)
        kw_path_add(&a, &u, xy[i][0], xy[i][1], 0, i);
    const double tol = 0.01;
    cr_expect(kw_path_split(&a, &u, kw_v2(0, 20), kw_v2(20, 20), tol, 9, &l, &r));
    cr_expect(kw_path_split(&a, &u, kw_v2(0.009, 20), kw_v2(20, 20), tol, 9, &l, &r));
    cr_expect(kw_path_split(&a, &u, kw_v2(0, 0), kw_v2(20, 10), tol, 9, &l, &r));
    cr_expect(!kw_path_split(&a, &u, kw_v2(0.02, 20), kw_v2(20, 20), tol, 9, &l, &r)); // off it
    cr_expect(!kw_path_split(&a, &u, kw_v2(0, 20), kw_v2(60, 20), tol, 9, &l, &r));    // leaves
    cr_expect(!kw_path_split(&a, &u, kw_v2(20, 20), kw_v2(40, 20), tol, 9, &l, &r));   // outside
    cr_expect(!kw_path_split(&a, &u, kw_v2(0, 10), kw_v2(60, 10), tol, 9, &l, &r));    // along
    cr_expect(!kw_path_split(&a, &u, kw_v2(0, 10), kw_v2(0, 30), tol, 9, &l, &r));     // a side
    cr_expect(!kw_path_split(&a, &u, kw_v2(0, 10), kw_v2(0, 10), tol, 9, &l, &r));
    cr_expect(!kw_path_split(&a, &u, kw_v2(20, 40), kw_v2(40, 40), tol, 9, &l, &r));
    cr_expect(!kw_path_split(&a, &u, kw_v2(NAN, 40), kw_v2(40, 40), tol, 9, &l, &r));
    kw_arena_free(&a);
}

static struct kw_path piece(struct kw_arena *a, struct kw_segment s, bool back) {
    struct kw_path p = {.open = true};
    struct kw_vec2 from = back ? s.b : s.a, to = back ? s.a : s.b;
    kw_path_add(a, &p, from.x, from.y, back ? -s.bulge : s.bulge, 5);
    kw_path_add(a, &p, to.x, to.y, 0, 5);
    return p;
}

// The segments of random outlines, mixed up, turned round, some twice, some pulled apart a little.
Test(geom_join, puts_shuffled_outlines_together_again) {
    uint64_t state = 64;
    for (int n = 0; n < 100; n++) {
        struct kw_arena a = {0};
        struct kw_path *pieces = NULL, *closed;
        struct kw_loose *open;
        int count = 0, closed_count, open_count, dropped, doubled = 0;
        double area = 0, apart = n % 2 ? 0.01 : 0, length = 0;
        for (int k = 0; k < 3; k++) {
            struct kw_path p = random_outline(&a, &state);
            p = kw_path_moved(&a, &p, kw_move2_make(500 * k, 0, 0, false));
            area += kw_path_area(&p);
            length += kw_path_length(&p);
            for (int i = 0; i < p.count; i++) {
                struct kw_segment s = kw_path_segment(&p, i);
                if (kw_segment_length(s) < 0.2) goto next; // as short as the tolerance
                s.a.x += random_in(&state, -apart, apart);
                s.b.y += random_in(&state, -apart, apart);
                bool back = kw_random(&state) % 2;
                KW_PUSH(&a, pieces, count) = piece(&a, s, back);
                if (kw_random(&state) % 10) continue;
                KW_PUSH(&a, pieces, count) = piece(&a, s, !back);
                doubled++;
            }
        }
        for (int i = count - 1; i > 0; i--) {
            int j = (int)(kw_random(&state) % (uint64_t)(i + 1));
            struct kw_path swap = pieces[i];
            pieces[i] = pieces[j];
            pieces[j] = swap;
        }
        kw_path_join(&a, pieces, count, KW_JOIN_MM, &closed, &closed_count, &open, &open_count,
                     &dropped);
        cr_expect_eq(closed_count, 3, "%d: %d closed", n, closed_count);
        cr_expect_eq(open_count, 0);
        cr_expect_eq(dropped, doubled);
        double sum = 0;
        for (int i = 0; i < closed_count; i++) {
            sum += fabs(kw_path_area(&closed[i]));
            cr_expect_eq(kw_path_check(&closed[i], nowhere, NULL), KW_OK);
        }
        cr_expect_float_eq(sum, area, 1e-7 + 2 * apart * length);
    next:
        kw_arena_free(&a);
    }
}

// Drawing programs round half circles up or down: the same arc comes as one piece or as two.
Test(geom_join, an_arc_drawn_twice_is_one_however_many_vertices_it_has) {
    struct kw_arena a = {0};
    struct kw_path one = piece(&a, kw_segment_make(kw_v2(0, 0), kw_v2(0, 8), 1), false);
    struct kw_path two = {.open = true}, line = {.open = true}, other = {.open = true};
    double eighth = tan(KW_PI / 8);
    kw_path_add(&a, &two, 0, 8, -eighth, 5);
    kw_path_add(&a, &two, 4, 4, -eighth, 5);
    kw_path_add(&a, &two, 0, 0, 0, 5);
    kw_path_add(&a, &line, 0, 8, 0, 5);
    kw_path_add(&a, &line, 0, 0, 0, 5);
    kw_path_add(&a, &other, 0, 0, -1, 5); // the other half of the circle: no double
    kw_path_add(&a, &other, 0, 8, 0, 5);
    struct kw_path pieces[3] = {one, two, line}, *closed;
    struct kw_loose *open;
    int closed_count, open_count, dropped;
    kw_path_join(&a, pieces, 3, KW_JOIN_MM, &closed, &closed_count, &open, &open_count, &dropped);
    cr_expect_eq(dropped, 1);
    cr_expect_eq(closed_count, 1);
    cr_expect_eq(open_count, 0);
    pieces[1] = other;
    kw_path_join(&a, pieces, 2, KW_JOIN_MM, &closed, &closed_count, &open, &open_count, &dropped);
    cr_expect_eq(dropped, 0);
    cr_expect_eq(closed_count, 1);
    cr_expect_float_eq(fabs(kw_path_area(&closed[0])), KW_PI * 16, 1e-9);
    kw_arena_free(&a);
}

Test(geom_join, tells_what_stays_open_and_how_far) {
    struct kw_arena a = {0};
    struct kw_path pieces[6];
    static const double ends[6][4] = {{0, 0, 10, 0},   {10, 10, 10, 0},  {10, 10, 0, 10},
                                      {0, 10, 0, 1.5}, {50, 50, 50, 50}, {90, 0, 99, 0}};
    for (int i = 0; i < 6; i++) {
        struct kw_vec2 from = kw_v2(ends[i][0], ends[i][1]), to = kw_v2(ends[i][2], ends[i][3]);
        pieces[i] = piece(&a, kw_segment_make(from, to, 0), false);
    }
    struct kw_path *closed;
    struct kw_loose *open;
    int closed_count, open_count, dropped;
    kw_path_join(&a, pieces, 6, 0.05, &closed, &closed_count, &open, &open_count, &dropped);
    cr_expect_eq(closed_count, 0);
    cr_assert_eq(open_count, 2);
    cr_expect_eq(dropped, 1);
    cr_expect_eq(open[0].path.count, 5);
    cr_expect_float_eq(open[0].gap, 1.5, 1e-12);
    cr_expect_float_eq(open[1].gap, 9, 1e-12);
    kw_path_join(&a, pieces, 4, 2, &closed, &closed_count, &open, &open_count, &dropped);
    cr_expect_eq(closed_count, 1);
    cr_expect_eq(open_count, 0);
    kw_path_join(&a, NULL, 0, 2, &closed, &closed_count, &open, &open_count, &dropped);
    cr_expect(closed_count == 0 && open_count == 0 && dropped == 0);
    kw_arena_free(&a);
}

Test(geom_overlap, of_polygons_is_that_of_the_closed_forms) {
    struct kw_arena a = {0};
    struct kw_region x = {.outer = kw_path_box_outline(&a, 0, 0, 100, 60, 0)};
    struct kw_region y = {.outer = kw_path_box_outline(&a, 80, 50, 200, 90, 0)};
    struct kw_region far = {.outer = kw_path_box_outline(&a, 100, 0, 120, 60, 0)};
    cr_expect_float_eq(kw_region_overlap(&x, &y, 0.01), 200, 1e-9);
    cr_expect_float_eq(kw_region_overlap(&x, &far, 0.01), 0, 1e-9);
    struct kw_path hole = kw_path_circle(&a, 90, 55, 3, false, 0);
    x.holes = &hole;
    x.hole_count = 1;
    cr_expect_float_eq(kw_region_overlap(&x, &y, 1e-5), 200 - KW_PI * 9, 1e-3);
    // Two discs of radius r whose centres are r apart: (2 pi / 3 - sqrt(3) / 2) r^2.
    struct kw_region c = {.outer = kw_path_circle(&a, 0, 0, 20, true, 0)};
    struct kw_region d = {.outer = kw_path_circle(&a, 0, 20, 20, false, 0)};
    double lens = (2 * KW_PI / 3 - sqrt(3) / 2) * 400;
    cr_expect_float_eq(kw_region_overlap(&c, &d, 1e-5), lens, 2e-3);
    cr_expect_float_eq(kw_region_overlap(&c, &c, 1e-5), KW_PI * 400, 2e-3);
    kw_arena_free(&a);
}
