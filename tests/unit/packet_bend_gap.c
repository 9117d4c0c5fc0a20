// SPDX-License-Identifier: Apache-2.0
// Where no order keeps half a millimetre: one with less is found, and what is left is told.
#include "brake_parts.h"
#include "packet/bend_judged.h"
#include "verify/verify.h"

#define WALL 75.0
#define ZONE 6.7
#define WIDE 200.0

static struct kw_brake_plan channel(struct test_part *p, const struct kw_brake_shop *shop,
                                    double base) {
    *p = (struct test_part){0};
    make_strip(p, (double[]){WALL, base, WALL}, (double[]){90, 90}, 3, 1, WIDE, 3, ZONE);
    return plan_of(p, shop);
}

static double to_side(struct kw_vec2 p, struct kw_vec2 a, struct kw_vec2 b) {
    struct kw_vec2 d = kw_sub2(b, a);
    double t = kw_dot2(kw_sub2(p, a), d) / kw_dot2(d, d);
    return kw_length2(kw_sub2(p, kw_lerp2(a, b, fmax(0, fmin(1, t)))));
}

/// The wall that stands already, followed by its points while the other one is bent: its inside
/// face and its end against the punch. Plain section geometry, nothing of the planner's bodies.
static double wall_to_punch(struct kw_arena *a, double base, const struct kw_brake_step *s) {
    int n = 0;
    double t = mild.thickness, least = INFINITY, up = t + s->inside_radius;
    struct kw_path outline = kw_brake_punch_profile(a, one_tall_punch(0).punches, false);
    struct kw_vec2 *v = kw_path_chords(a, &outline, 0.01, KW_CHORD_OUTSIDE, &n);
    double inside = -(ZONE / 2 + base) - 3, foot = t + 3;
    for (int look = 0; look <= 1000; look++)
        for (double along = 0; along <= WALL + t; along += 0.1) {
            double turn = s->angle_under_load * look / 1000;
            double x = along <= WALL ? inside : inside - (along - WALL);
            double z = foot + fmin(along, WALL), c = cos(turn / 2), q = -sin(turn / 2);
            x += ZONE / 2 * turn / s->angle_under_load;
            struct kw_vec2 at = kw_v2(c * x - q * (z - up), up + q * x + c * (z - up));
            for (int i = 0; i < n; i++)
                least = fmin(least, to_side(kw_v2(at.x, at.y - t), v[i], v[(i + 1) % n]));
        }
    return least;
}

static bool judged(struct test_part *p, const struct kw_brake_shop *shop,
                   const struct kw_brake_plan *plan) {
    struct kw_verdict v = {.arena = &p->arena};
    return packet_judge_bends(&p->part, &mild, shop, plan, NULL, &v) == 0;
}

/// The narrowest base, to a hundredth, whose channel is as `wanted`: 1 bent at all, 2 told nothing.
static double narrowest_base(const struct kw_brake_shop *shop, int wanted) {
    double low = 30, high = 140;
    while (high - low > 0.01) {
        struct test_part p;
        double mid = (low + high) / 2;
        struct kw_brake_plan plan = channel(&p, shop, mid);
        bool ok = !plan.collides && (wanted == 1 || !problem_of(&plan, KW_BRAKE_TIGHT));
        *(ok ? &high : &low) = mid;
        kw_arena_free(&p.arena);
    }
    return high;
}

Test(packet_bend_gap, is_what_the_wall_leaves) {
    struct kw_brake_shop shop = one_tall_punch(0);
    double bent = narrowest_base(&shop, 1), clear = narrowest_base(&shop, 2);
    cr_assert_gt(clear, bent + 0.1);
    for (int i = 0; i <= 4; i++) {
        struct test_part p;
        double base = bent + (clear - bent) * i / 4;
        struct kw_brake_plan plan = channel(&p, &shop, base);
        const struct kw_brake_step *last = &plan.steps[1];
        double left = wall_to_punch(&p.arena, base, last);
        cr_assert(!plan.collides);
        cr_expect(judged(&p, &shop, &plan));
        if (i == 4) {
            cr_expect_null(last->near);
            cr_expect_gt(left, 0.49);
        } else {
            const struct kw_brake_problem *told = problem_of(&plan, KW_BRAKE_TIGHT);
            cr_assert(last->near && told);
            cr_expect_float_eq(last->near->gap, left, 0.02, "%.3f, %.3f", last->near->gap, left);
            cr_expect_eq(told->level, KW_RISK);
            cr_expect_gt(told->help_count, 0, "a gooseneck at least gives more");
            cr_expect_float_eq(told->measured, last->near->gap, 1e-9);
            cr_expect_eq(last->near->obstacle, KW_BRAKE_PUNCH);
            cr_expect_gt(last->near->gap, 0.1 - 0.02);
        }
        kw_arena_free(&p.arena);
    }
}

Test(packet_bend_gap, a_tenth_is_the_least) {
    struct kw_brake_shop shop = one_tall_punch(0);
    struct test_part p;
    double bent = narrowest_base(&shop, 1);
    struct kw_brake_plan plan = channel(&p, &shop, bent - 0.3);
    cr_expect(plan.collides && plan.proven);
    cr_expect_not_null(problem_of(&plan, KW_BRAKE_COLLISION));
    kw_arena_free(&p.arena);
}

Test(packet_bend_gap, the_moment_can_be_drawn) {
    struct kw_brake_shop shop = one_tall_punch(0);
    struct test_part p;
    struct kw_brake_collision c;
    struct kw_brake_plan plan = channel(&p, &shop, narrowest_base(&shop, 1) + 0.1);
    cr_assert_not_null(plan.steps[1].near);
    cr_assert(
        kw_brake_collision(&p.arena, &p.part, &mild, &shop, &plan, plan.steps[1].near, 0, &c));
    cr_expect_null(plan.obvious_hit, "it is the order that was found");
    // The spot lies on the part as it is drawn and as far from the punch as is told.
    double part = INFINITY, tool = INFINITY;
    for (int i = 0; i < c.section.after_count; i++)
        part = fmin(part, kw_path_distance(&c.section.after[i], c.spot));
    tool = kw_path_distance(&c.section.punch_after, c.spot);
    cr_expect_lt(part, 0.05, "%.3f", part);
    cr_expect_float_eq(tool, plan.steps[1].near->gap, 0.05, "%.3f", tool);
    kw_arena_free(&p.arena);
}
