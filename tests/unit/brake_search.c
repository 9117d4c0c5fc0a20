// SPDX-License-Identifier: Apache-2.0
// The search against every order there is, and parts whose orders are known from geometry.
#include "brake/inside.h"
#include "brake_parts.h"

#include <stdlib.h>

/// A base with flanges on some of its sides, some with a lip, some lips and flanges hemmed. Numbers
/// invented.
static void random_box(struct test_part *p, uint64_t *seed, bool hems) {
    double z = 5.4, w = 130 + (double)(kw_random(seed) % 150),
           h = 120 + (double)(kw_random(seed) % 120);
    add_face(p, "base", 0, 0, w, h);
    for (int side = 0; side < 4 && p->part.bend_count < 6; side++) {
        if (kw_random(seed) % 4 == 0) continue;
        double tall = 20 + (double)(kw_random(seed) % 40),
               lip = 18 + (double)(kw_random(seed) % 20);
        bool upright = side < 2, lipped = kw_random(seed) % 3 == 0, down = kw_random(seed) % 4 == 0;
        double rim = upright ? (side ? w : 0) : (side == 3 ? h : 0), s = side % 2 ? 1 : -1;
        double from = 3, to = (upright ? h : w) - 3;
        for (int k = 0; k < (lipped ? 2 : 1); k++) {
            double near = rim + s * z, far = near + s * (k ? lip : tall), line = rim + s * z / 2;
            double lo = fmin(near, far), hi = fmax(near, far);
            int parent = k ? p->part.face_count - 1 : 0;
            int face =
                upright ? add_face(p, "f", lo, from, hi, to) : add_face(p, "f", from, lo, to, hi);
            struct kw_vec2 a = upright ? kw_v2(line, from) : kw_v2(from, line);
            struct kw_vec2 b = upright ? kw_v2(line, to) : kw_v2(to, line);
            add_bend(p, "x", parent, face, a, b, 90, down, 2.6, z);
            if (kw_random(seed) % 6 == 0) p->bends[p->part.bend_count - 1].mates = true;
            if (hems && k == lipped && kw_random(seed) % 3 == 0) {
                p->bends[p->part.bend_count - 1].hem = true;
                p->bends[p->part.bend_count - 1].flat_radius = 0.2;
            }
            rim = far;
        }
    }
}

struct brute {
    struct job *job;
    const int *rank;
    uint64_t all;
    double best;
    struct stroke *looks; ///< by made, bend, tools and side: each is looked at once
    bool *looked;
    int ways; ///< most tools of a bend, two sides each
};

static const struct stroke *look_once(struct brute *b, uint64_t made, int g, int way) {
    size_t at =
        ((size_t)made * (size_t)b->job->group_count + (size_t)g) * (size_t)b->ways + (size_t)way;
    if (!b->looked[at]) b->looks[at] = look_at_stroke(b->job, made, g, way / 2, way % 2, NULL);
    b->looked[at] = true;
    return &b->looks[at];
}

/// Every order, both sides, all tools; only what is dearer than the best so far is left.
static void try_all(struct brute *b, uint64_t made, const struct stroke *last, double cost) {
    if (cost >= b->best) return;
    if (made == b->all) {
        b->best = cost;
        return;
    }
    for (int g = 0; g < b->job->group_count; g++)
        for (int k = 0; k < 2 * b->job->options[g].count && !(made >> g & 1); k++) {
            int before = b->job->groups[g].before;
            if (before >= 0 && !(made >> before & 1)) break;
            const struct stroke *s = look_once(b, made, g, k);
            if (!s->feasible) continue;
            try_all(b, made | 1ull << g, s, cost + stroke_cost(b->job, last, s, made, b->rank));
        }
}

/// Infinite when there is no order.
static double cheapest_of_all(struct job *job, const int *rank) {
    struct kw_arena a = {0};
    struct brute b = {.job = job, .rank = rank, .all = (1ull << job->group_count) - 1};
    b.best = INFINITY;
    for (int g = 0; g < job->group_count; g++)
        if (2 * job->options[g].count > b.ways) b.ways = 2 * job->options[g].count;
    size_t count = ((size_t)b.all + 1) * (size_t)(job->group_count * b.ways);
    b.looks = KW_NEW_ARRAY(&a, struct stroke, count);
    b.looked = KW_NEW_ARRAY(&a, bool, count);
    try_all(&b, 0, NULL, 0);
    kw_arena_free(&a);
    return b.best;
}

static int compare_orders(int rounds, uint64_t seed, bool hems, int *hemmed) {
    int bendable = 0, sizes[9] = {0};
    *hemmed = 0;
    for (int i = 0; i < rounds; i++) {
        struct test_part p = {0};
        struct kw_arena scratch = {0};
        random_box(&p, &seed, hems);
        if (p.part.bend_count == 0) {
            kw_arena_free(&p.arena);
            continue;
        }
        sizes[p.part.bend_count]++;
        struct kw_brake_shop shop = test_shop;
        struct kw_brake_punch punches[2] = {test_punches[0],
                                            {.id = "H", .flat = true, .height = 80, .width = 60}};
        struct kw_brake_die racks[5] = {[4] = {.id = "H", .flat = true, .height = 70, .width = 60}};
        for (int k = 0; k < 4; k++)
            racks[k] = test_dies[k];
        punches[0].height = 180;
        shop.punches = punches;
        shop.punch_count = 2;
        shop.dies = racks;
        shop.die_count = 5;
        shop.press.open_height = 450;
        shop.press.stroke = 0;
        shop.seconds = kw_brake_usual_seconds;
        struct kw_brake_material m = mild;
        m.thickness = 2;
        m.natural_ratio = 0.16;
        struct job job = {
            .arena = &p.arena, .scratch = &scratch, .part = &p.part, .material = m, .shop = &shop};
        struct trial *trials;
        int *rank;
        cr_assert(prepare_job(&job, &trials, &rank));
        struct order found = search_order(&job, rank);
        double best = cheapest_of_all(&job, rank);
        cr_expect(found.proven);
        cr_expect_eq(found.count == job.group_count, isfinite(best), "part %d", i);
        if (isfinite(best)) cr_expect_float_eq(found.cost, best, 1e-6, "part %d", i);
        bendable += isfinite(best);
        *hemmed += isfinite(best) && job.group_count > p.part.bend_count;
        kw_arena_free(&scratch);
        kw_arena_free(&p.arena);
    }
    if (rounds >= 1000) cr_expect_gt(sizes[7], rounds / 50);
    return bendable;
}

Test(brake_search, costs_no_more_than_any_order) {
    const char *full = getenv("KW_PROOF"); // tools/proof: the full count
    int rounds = full && *full ? 1000 : 25;
    int hemmed, bendable = compare_orders(rounds, 11, false, &hemmed);
    cr_expect_gt(bendable, rounds / 2);
}

Test(brake_search, costs_no_more_than_any_order_with_hems) {
    const char *full = getenv("KW_PROOF");
    int rounds = full && *full ? 400 : 60, hemmed;
    compare_orders(rounds, 17, true, &hemmed);
    cr_expect_gt(hemmed, rounds / 15, "%d", hemmed);
}

static void same_problems(const struct kw_brake_plan *a, const struct kw_brake_plan *b, int part) {
    cr_expect_eq(a->problem_count, b->problem_count, "part %d", part);
    for (int i = 0; i < a->problem_count && i < b->problem_count; i++) {
        bool there = false; // problems stand in the order of the strokes, which may differ
        for (int k = 0; k < b->problem_count; k++)
            there = there || (a->problems[i].kind == b->problems[k].kind &&
                              a->problems[i].level == b->problems[k].level &&
                              a->problems[i].bend == b->problems[k].bend &&
                              a->problems[i].measured == b->problems[k].measured);
        cr_expect(there, "part %d, problem %d of kind %d", part, i, a->problems[i].kind);
    }
}

// Punches of one length: some boxes can't be closed.
Test(brake_search, any_order_has_the_problems_of_the_cheapest) {
    uint64_t seed = 23;
    int closed = 0, open = 0;
    for (int i = 0; i < 60; i++) {
        struct test_part p = {0};
        random_box(&p, &seed, false);
        if (p.part.bend_count == 0) {
            kw_arena_free(&p.arena);
            continue;
        }
        struct kw_brake_shop shop = test_shop;
        struct kw_brake_plan plans[3];
        struct kw_error err = {0};
        for (int k = 0; k < 3; k++)
            cr_assert_eq(kw_brake_plan_for(&p.arena, &p.part, &mild, &shop, (enum kw_brake_effort)k,
                                           HERE, &plans[k], &err),
                         KW_OK);
        cr_expect_eq(plans[0].collides, plans[1].collides);
        same_problems(&plans[0], &plans[1], i);
        for (int k = 0; k < plans[2].step_count; k++) // the same tools by the rule alone
            for (int m = 0; m < plans[0].step_count; m++)
                if (plans[0].steps[m].bends[0] == plans[2].steps[k].bends[0])
                    cr_expect_eq(plans[0].steps[m].die, plans[2].steps[k].die);
        closed += !plans[0].collides;
        open += plans[0].collides;
        kw_arena_free(&p.arena);
    }
    cr_expect_gt(closed, 5);
    cr_expect_gt(open, 5);
}

// Common practice: a channel deeper than it is wide can't be closed over a straight punch, a
// gooseneck of enough neck does it.
Test(brake_search, a_deep_channel_wants_a_gooseneck) {
    struct test_part p = {0};
    make_strip(&p, (double[]){75, 60, 75}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
    struct kw_brake_shop shop = one_tall_punch(0);
    struct kw_brake_plan plan = plan_of(&p, &shop);
    cr_assert(plan.collides && plan.proven);
    const struct kw_brake_problem *hit = problem_of(&plan, KW_BRAKE_COLLISION);
    cr_assert_not_null(hit);
    cr_expect_eq(hit->level, KW_STOP);
    cr_expect(hit->obstacle == KW_BRAKE_PUNCH || hit->obstacle == KW_BRAKE_RAM);
    cr_assert_gt(hit->help_count, 0);
    cr_expect_eq(hit->helps[0].kind, KW_BRAKE_HELP_NECK);
    double neck = hit->helps[0].size;
    cr_assert_gt(neck, 0);
    shop = one_tall_punch(neck);
    plan = plan_of(&p, &shop);
    cr_expect(!plan.collides, "neck %.0f", neck);
    kw_arena_free(&p.arena);
}

Test(brake_search, a_wide_channel_needs_no_gooseneck) {
    struct test_part p = {0};
    make_strip(&p, (double[]){50, 140, 50}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
    struct kw_brake_shop shop = one_tall_punch(0);
    cr_expect(!plan_of(&p, &shop).collides);
    kw_arena_free(&p.arena);
}

// Common practice: a hat's brims go first or last as they like, a tall hat's walls come between
// which the punch must still pass.
Test(brake_search, z_and_hat_sections_can_be_bent) {
    struct test_part p = {0};
    make_strip(&p, (double[]){40, 50, 40}, (double[]){90, -90}, 3, 1, 200, 3, 6.7);
    struct kw_brake_plan plan = plan_of(&p, &test_shop);
    cr_expect(!plan.collides);
    cr_expect_neq(plan.steps[0].turned_over, plan.steps[1].turned_over);
    kw_arena_free(&p.arena);
    p = (struct test_part){0};
    make_strip(&p, (double[]){30, 40, 90, 40, 30}, (double[]){-90, 90, 90, -90}, 5, 2, 200, 3, 6.7);
    cr_expect(!plan_of(&p, &test_shop).collides);
    kw_arena_free(&p.arena);
}

// A box with return flanges: the last walls need a punch that fits between the returns.
Test(brake_search, tools_are_set_up_between_the_walls) {
    struct test_part p = {0};
    double z = 6.7, w = 200, h = 140;
    add_face(&p, "base", 0, 0, w, h);
    add_face(&p, "left", -z - 70, 0, -z, h);
    add_face(&p, "right", w + z, 0, w + z + 70, h);
    add_face(&p, "front", 0, -z - 70, w, -z);
    add_face(&p, "back", 0, h + z, w, h + z + 70);
    add_bend(&p, "L", 0, 1, kw_v2(-z / 2, 0), kw_v2(-z / 2, h), 90, false, 3, z);
    add_bend(&p, "R", 0, 2, kw_v2(w + z / 2, 0), kw_v2(w + z / 2, h), 90, false, 3, z);
    add_bend(&p, "F", 0, 3, kw_v2(0, -z / 2), kw_v2(w, -z / 2), 90, false, 3, z);
    add_bend(&p, "B", 0, 4, kw_v2(0, h + z / 2), kw_v2(w, h + z / 2), 90, false, 3, z);
    static const double pieces[] = {10, 20, 40, 50, 80, 200};
    struct kw_brake_punch punch = test_punches[0];
    struct kw_brake_shop shop = test_shop;
    shop.punches = &punch;
    shop.punch_count = 1;
    punch.segments = pieces;
    punch.segment_count = 6;
    punch.height = 250; // the walls stand beside it and must not reach the ram
    shop.press.open_height = 500;
    shop.press.stroke = 0;
    struct kw_brake_plan plan = plan_of(&p, &shop);
    cr_assert(!plan.collides);
    double shortest = INFINITY;
    for (int i = 0; i < plan.step_count; i++)
        if (plan.steps[i].punch_length > 0) shortest = fmin(shortest, plan.steps[i].punch_length);
    cr_expect_leq(shortest, 210);
    static const double coarse[] = {900}; // cannot stand between the walls, nor beside one
    punch.segments = coarse;
    punch.segment_count = 1;
    plan = plan_of(&p, &shop);
    cr_assert(plan.collides);
    const struct kw_brake_problem *short_of = problem_of(&plan, KW_BRAKE_SEGMENTS);
    cr_assert_not_null(short_of);
    cr_assert_gt(short_of->help_count, 0);
    cr_expect_eq(short_of->helps[0].kind, KW_BRAKE_HELP_SEGMENTS);
    kw_arena_free(&p.arena);
}
