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

// ------------------------------------------------------------------------------- between two bends

static struct kw_tube_problems turned(struct kw_arena *a, const struct kw_tube_bend *rows, int n,
                                      struct kw_tube_bender bender, enum kw_tube_turning *ways) {
    struct kw_tube_problems p = {.arena = a};
    struct kw_tube_table t;
    cr_assert(kw_tube_table_from_rows(a, rows, n, 200, &t, &p));
    kw_tube_swing(a, &t, size, &bender, (struct kw_tube_trims){0}, &p);
    cr_expect_eq(p.count, 0, "every bend by itself is clear");
    kw_tube_turns(a, &t, size, &bender, (struct kw_tube_trims){0}, ways, &p);
    return p;
}

Test(tube_swing, tube_that_meets_the_floor_only_while_it_is_turned) {
    // A leg reaches 500 mm to the die's side, and lies on the other side in the next bend: turned
    // clockwise its end dips to 500 sin q + 15 under the stick, 0.5 mm and half a step of 0.5 mm
    // from a floor 450 mm down at sin q = 434.25/500.
    struct kw_arena a = {0};
    struct kw_tube_bend rows[] = {{400, 0, 90 * DEG, 100}, {200, -179 * DEG, 45 * DEG, 100}};
    struct kw_box3 beam = {{-500, -20, 300}, {800, 20, 340}};
    struct kw_tube_bender bender = {.floor = 450};
    enum kw_tube_turning ways[2];
    cr_expect_eq(turned(&a, rows, 2, bender, ways).count, 0);
    cr_expect_eq(ways[1], KW_TUBE_TURN_LONG, "over the top it is free");
    cr_expect_float_eq(kw_tube_turned_by(rows[1].rotate, ways[1]), 181 * DEG, 1e-12);
    bender.floor = 520;
    cr_expect_eq(turned(&a, rows, 2, bender, ways).count, 0);
    cr_expect_eq(ways[1], KW_TUBE_TURN_SHORT);
    bender = (struct kw_tube_bender){.floor = 450, .bodies = &beam, .body_count = 1};
    struct kw_tube_problems p = turned(&a, rows, 2, bender, ways);
    cr_assert_eq(p.count, 1);
    cr_expect_eq(ways[1], KW_TUBE_LIFT_OUT);
    cr_expect_eq(p.v[0].kind, KW_TUBE_TURN_HITS_FLOOR);
    cr_expect_eq(p.v[0].bend, 1);
    cr_expect_float_eq(p.v[0].measured, asin(434.25 / 500), 0.002, "%f deg", p.v[0].measured / DEG);
    cr_expect_float_eq(p.v[0].limit, 179 * DEG, 1e-9);
    // The other way round the beam is met first.
    rows[1].rotate = 179 * DEG;
    p = turned(&a, rows, 2, bender, ways);
    cr_assert_eq(p.count, 1);
    cr_expect_eq(p.v[0].kind, KW_TUBE_TURN_HITS_BODY);
    kw_arena_free(&a);
}

Test(tube_swing, tube_that_meets_a_post_only_while_it_is_fed_on) {
    // The leg stands at x = 100 after the bend and goes on to 800; a post at 600 is out of reach of
    // both bends.
    struct kw_arena a = {0};
    struct kw_tube_bend rows[] = {{400, 0, 90 * DEG, 100}, {700, 0, 30 * DEG, 100}};
    struct kw_box3 post = {{600, 400, -100}, {640, 440, 100}};
    struct kw_tube_bender bender = {.bodies = &post, .body_count = 1};
    enum kw_tube_turning ways[2];
    struct kw_tube_problems p = turned(&a, rows, 2, bender, ways);
    cr_assert_eq(p.count, 1);
    cr_expect_eq(p.v[0].kind, KW_TUBE_FEED_HITS_BODY);
    cr_expect_eq(ways[1], KW_TUBE_LIFT_OUT);
    cr_expect_float_eq(p.v[0].measured, 600 - 15.75 - 100, 0.3, "%f mm", p.v[0].measured);
    cr_expect_float_eq(p.v[0].limit, 700, 1e-9);
    post.min.y += 120; // the leg ends at 500, and a capsule's end reaches 515
    post.max.y += 120;
    cr_expect_eq(turned(&a, rows, 2, bender, ways).count, 0);
    cr_expect_eq(ways[1], KW_TUBE_TURN_SHORT);
    kw_arena_free(&a);
}

Test(tube_swing, tube_turns_agree_with_a_plain_walk_in_small_steps) {
    // Points on the middle line 2 mm apart, moved in steps of a tenth of a degree and of a
    // millimetre, by the definition: x + feed, then about the x axis.
    struct kw_arena a = {0};
    uint64_t state = 11;
    int lifted = 0, others = 0;
    for (int round = 0; round < 250; round++) {
        double v[8];
        for (int i = 0; i < 8; i++) {
            state = state * 6364136223846793005u + 1442695040888963407u;
            v[i] = (double)(state >> 11) / 9007199254740992.0;
        }
        struct kw_tube_bend rows[] = {{150 + 250 * v[0], 0, (0.5 + v[1]) * KW_PI / 2, 100},
                                      {60 + 300 * v[2], (2 * v[3] - 1) * KW_PI, 20 * DEG, 100}};
        struct kw_vec3 low = {-100 + 400 * v[4], -300 + 200 * v[5], 100 + 200 * v[6]};
        struct kw_box3 box = {low, kw_add3(low, kw_v3(120, 120, 60))};
        struct kw_tube_bender bender = {.floor = 280 + 200 * v[7], .bodies = &box, .body_count = 1};
        struct kw_tube_table t;
        cr_assert(kw_tube_table_from_rows(&a, rows, 2, 200, &t, NULL));
        enum kw_tube_turning ways[2];
        struct kw_tube_problems p = {.arena = &a};
        kw_tube_turns(&a, &t, size, &bender, (struct kw_tube_trims){0}, ways, &p);
        double by = kw_tube_turned_by(rows[1].rotate, ways[1]), deepest = -1e9;
        int feeds = (int)rows[1].straight, turns = (int)(fabs(by) / (0.1 * DEG));
        for (double s = 0; s <= rows[0].straight + 100 * rows[0].angle; s += 2) {
            double arc = s < 100 * rows[0].angle ? s / 100 : rows[0].angle, leg = s - 100 * arc;
            double x0 = 100 * sin(arc) + leg * cos(arc);
            double y0 = 100 * (1 - cos(arc)) + leg * sin(arc);
            for (int i = 0; i <= feeds + turns; i++) {
                double x = x0 + fmin(i, rows[1].straight);
                double q = i <= feeds ? 0 : by * (i - feeds) / turns;
                double y = y0 * cos(q), z = y0 * sin(q);
                double dx = fmax(0, fmax(box.min.x - x, x - box.max.x));
                double dy = fmax(0, fmax(box.min.y - y, y - box.max.y));
                double dz = fmax(0, fmax(box.min.z - z, z - box.max.z));
                deepest = fmax(deepest, 15 - sqrt(dx * dx + dy * dy + dz * dz));
                deepest = fmax(deepest, 15 - (z + bender.floor));
            }
        }
        if (ways[1] == KW_TUBE_LIFT_OUT) {
            // The short way, the one walked then, meets something or comes nearer than 2 mm.
            cr_expect(deepest > -2, "round %d: %f", round, deepest);
            cr_expect_eq(p.count, 1);
            lifted++;
        } else {
            cr_expect(deepest <= -0.4, "round %d: %f", round, deepest);
            others += ways[1] == KW_TUBE_TURN_LONG;
        }
    }
    cr_expect(lifted > 10 && others > 10 && lifted + others < 230, "%d lifted, %d the long way",
              lifted, others);
    kw_arena_free(&a);
}
