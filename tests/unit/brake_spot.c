// SPDX-License-Identifier: Apache-2.0
// Pictures of collisions: the moment, and the spot on tool and part.
#include "brake_parts.h"

static struct kw_brake_shop short_punch(double tall) {
    static struct kw_brake_punch punch;
    punch = test_punches[0];
    punch.height = tall;
    struct kw_brake_shop shop = test_shop;
    shop.press.gauge_max_r = 200;
    shop.punches = &punch;
    shop.punch_count = 1;
    return shop;
}

static double from_path(const struct kw_path *p, struct kw_vec2 at) {
    return kw_path_contains(p, at) ? 0 : kw_path_distance(p, at);
}

/// The spot lies on the part and within the clearance of what is run into.
static void expect_spot(struct test_part *p, const struct kw_brake_shop *shop,
                        const struct kw_brake_plan *plan, const struct kw_brake_hit *hit) {
    struct kw_brake_collision c;
    cr_assert_not_null(hit);
    cr_assert(kw_brake_collision(&p->arena, &p->part, &mild, shop, plan, hit, 0, &c));
    const struct kw_path *tools[] = {&c.section.punch_after, &c.section.die, &c.ram, &c.bed};
    cr_expect_leq(from_path(tools[hit->obstacle], c.spot), 0.5 + 1e-6);
    double part = INFINITY;
    for (int i = 0; i < c.section.after_count; i++)
        part = fmin(part, from_path(&c.section.after[i], c.spot));
    cr_expect_leq(part, 0.05, "%f", part);
    struct kw_vec2 blank = kw_v2(hit->blank.x, hit->blank.y);
    cr_expect_leq(from_path(&p->part.faces[hit->face].outline, blank), 1e-6);
    cr_expect(hit->blank.z > -1e-6 && hit->blank.z < 3 + 1e-6);
}

Test(brake_spot, of_a_channel_that_can_not_be_closed) {
    struct test_part p = {0};
    make_strip(&p, (double[]){125, 50, 125}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
    struct kw_brake_shop shop = short_punch(90);
    struct kw_brake_plan plan = plan_of(&p, &shop);
    cr_assert(plan.collides);
    expect_spot(&p, &shop, &plan, plan.hit);
    cr_expect(plan.hit->obstacle == KW_BRAKE_RAM || plan.hit->obstacle == KW_BRAKE_PUNCH);
    cr_expect_gt(plan.hit->at.z, 50); // high up on the wall
    cr_expect_null(plan.obvious_hit);
    kw_arena_free(&p.arena);
}

// A short base, a wall and a long lip: the lip first, as usual, and then it stands 60 mm beside the
// wall's bend, taller than the punch, and runs into the ram. The wall first leaves only the base
// standing there.
Test(brake_spot, of_the_obvious_order) {
    struct test_part p = {0};
    make_strip(&p, (double[]){30, 56, 115}, (double[]){90, 90}, 3, 0, 200, 3, 6.7);
    struct kw_brake_shop shop = short_punch(90);
    struct kw_brake_plan plan = plan_of(&p, &shop);
    cr_assert(!plan.collides);
    cr_expect_str_eq(order_text(&p, &plan), "A B");
    cr_assert_eq(plan.obvious_count, 2);
    cr_expect_eq(plan.obvious[0], 1);
    cr_expect_eq(plan.obvious[1], 0);
    expect_spot(&p, &shop, &plan, plan.obvious_hit);
    cr_expect_eq(plan.obvious_hit->face, 2); // the lip
    kw_arena_free(&p.arena);
    p = (struct test_part){0}; // a short lip: the usual order will do
    make_strip(&p, (double[]){30, 56, 20}, (double[]){90, 90}, 3, 0, 200, 3, 6.7);
    plan = plan_of(&p, &shop);
    cr_expect_null(plan.obvious_hit);
    kw_arena_free(&p.arena);
}
