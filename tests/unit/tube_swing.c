// SPDX-License-Identifier: Apache-2.0
// The other end of a tube, and what a swinging tube meets, at places worked out by hand.
#include "geom/geom.h"
#include "tube/tube.h"

#include <criterion/criterion.h>

#define DEG (KW_PI / 180)

static const struct kw_tube_size size = {30, 2};

static struct kw_tube_problems swung(struct kw_arena *a, const struct kw_tube_bend *rows, int n,
                                     double last, struct kw_tube_bender bender) {
    struct kw_tube_problems p = {.arena = a};
    struct kw_tube_table t;
    cr_assert(kw_tube_table_from_rows(a, rows, n, last, &t, &p));
    kw_tube_swing(a, &t, size, &bender, (struct kw_tube_trims){0}, &p);
    return p;
}

Test(tube_swing, other_end_is_the_same_tube_backwards) {
    struct kw_arena a = {0};
    struct kw_vec3 points[] = {
        {0, 0, 0}, {0, 0, 400}, {300, 50, 520}, {380, 500, 520}, {0, 700, 0}};
    struct kw_vec3 back[5];
    struct kw_tube_line line;
    struct kw_tube_table t, other, want;
    for (int i = 0; i < 5; i++)
        back[i] = points[4 - i];
    cr_assert(kw_tube_line_from_points(&a, points, 5, NULL, 60, &line, NULL));
    cr_assert(kw_tube_table(&a, &line, &t, NULL));
    cr_assert(kw_tube_line_from_points(&a, back, 5, NULL, 60, &line, NULL));
    cr_assert(kw_tube_table(&a, &line, &want, NULL));
    kw_tube_other_end(&a, &t, &other);
    cr_assert_eq(other.count, 3);
    for (int i = 0; i < 3; i++) {
        cr_expect_float_eq(other.bends[i].straight, want.bends[i].straight, 1e-9);
        cr_expect_float_eq(other.bends[i].rotate, want.bends[i].rotate, 1e-9);
        cr_expect_float_eq(other.bends[i].angle, want.bends[i].angle, 1e-9);
    }
    cr_expect_float_eq(other.last, want.last, 1e-9);
    cr_assert(kw_tube_line_from_table(&a, &other, &line, NULL));
    for (int i = 0; i < 5; i++)
        cr_expect(kw_length3(kw_sub3(line.v[i], back[i])) < 1e-9, "point %d", i);
    kw_arena_free(&a);
}

Test(tube_swing, leg_meets_a_post_at_the_turn_worked_out_by_hand) {
    // A straight leg of 500 swings round (0, 100) towards a post that stands 200 to 240 mm beyond
    // the axis. Its far corner (50, 340) is met first, past a right angle: with n = (sin q, -cos q)
    // across the leg, the corner is then 15 + 0.5 mm off the leg's line,
    // (50, 240) . n - 100 = -15.5.
    struct kw_arena a = {0};
    struct kw_box3 post = {{-50, 300, -200}, {50, 340, 200}};
    struct kw_tube_bender bender = {.bodies = &post, .body_count = 1};
    struct kw_tube_bend row = {500, 0, 170 * DEG, 100};
    struct kw_tube_problems p = swung(&a, &row, 1, 200, bender);
    cr_assert_eq(p.count, 1);
    cr_expect_eq(p.v[0].kind, KW_TUBE_HITS_BODY);
    double q = p.v[0].measured;
    double off = 50 * sin(q) - 240 * cos(q) - 100;
    cr_expect_float_eq(off, -15.63, 0.13, "%f at %f degrees", off, q / DEG);
    // One degree less than the turn that meets it is free.
    row.angle = q - 1 * DEG;
    cr_expect_eq(swung(&a, &row, 1, 200, bender).count, 0);
    kw_arena_free(&a);
}

Test(tube_swing, floor_is_met_by_what_hangs_lower_than_it_stands) {
    // After a bend of 90 and a quarter turn of the stick the first leg hangs or stands upright:
    // radius 100 + leg 400 under the stick on one of the two sides.
    struct kw_arena a = {0};
    struct kw_tube_bend rows[] = {{400, 0, 90 * DEG, 100}, {200, 90 * DEG, 45 * DEG, 100}};
    struct kw_tube_bender bender = {.floor = 490};
    int down = 0;
    for (int side = 0; side < 2; side++) {
        rows[1].rotate = side ? -90 * DEG : 90 * DEG;
        bender.floor = 490;
        int hits = swung(&a, rows, 2, 200, bender).count;
        bender.floor = 502; // the end is cut square: 500 and the clearance are enough
        cr_expect(swung(&a, rows, 2, 200, bender).count <= hits);
        bender.floor = 520;
        cr_expect_eq(swung(&a, rows, 2, 200, bender).count, 0);
        down += hits;
    }
    cr_expect_eq(down, 1, "hangs on one side only");
    kw_arena_free(&a);
}

Test(tube_swing, ring_that_closes_on_its_own_stick_is_told_and_a_coil_is_not) {
    struct kw_arena a = {0};
    struct kw_tube_bend rows[4];
    for (int i = 0; i < 4; i++)
        rows[i] = (struct kw_tube_bend){100, 0, 90 * DEG, 100};
    rows[0].straight = 300;
    struct kw_tube_problems p = swung(&a, rows, 4, 200, (struct kw_tube_bender){0});
    cr_assert(p.count > 0);
    cr_expect_eq(p.v[0].kind, KW_TUBE_HITS_ITSELF);
    // Each quarter climbs by 20 degrees: the coil passes clear of itself.
    for (int i = 1; i < 4; i++)
        rows[i].rotate = 20 * DEG;
    cr_expect_eq(swung(&a, rows, 4, 200, (struct kw_tube_bender){0}).count, 0);
    kw_arena_free(&a);
}
