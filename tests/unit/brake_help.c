// SPDX-License-Identifier: Apache-2.0
// What would help a part that no order bends: each remedy is carried out here again, by hand.
#include "brake/inside.h"
#include "brake_parts.h"

static bool channel_bends(double left, double base, double right) {
    struct test_part p = {0};
    struct kw_brake_shop shop = one_tall_punch(0);
    make_strip(&p, (double[]){left, base, right}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
    bool bends = !plan_of(&p, &shop).collides;
    kw_arena_free(&p.arena);
    return bends;
}

static const struct kw_brake_remedy *remedy(const struct kw_brake_problem *p,
                                            enum kw_brake_help kind) {
    for (int i = 0; i < p->help_count; i++)
        if (p->helps[i].kind == kind) return &p->helps[i];
    return NULL;
}

// Common practice: a channel deeper than it is wide wants a gooseneck, a wider base, lower walls,
// or two parts.
Test(brake_help, of_a_deep_channel) {
    struct test_part p = {0};
    struct kw_brake_shop shop = one_tall_punch(0);
    make_strip(&p, (double[]){75, 60, 75}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
    struct kw_brake_plan plan = plan_of(&p, &shop);
    const struct kw_brake_problem *hit = problem_of(&plan, KW_BRAKE_COLLISION);
    cr_assert_not_null(hit);
    cr_expect_not_null(remedy(hit, KW_BRAKE_HELP_NECK));
    cr_expect_not_null(remedy(hit, KW_BRAKE_HELP_SPLIT));
    cr_expect_null(remedy(hit, KW_BRAKE_HELP_TALL), "the wall meets the punch, not the ram");
    cr_expect_null(remedy(hit, KW_BRAKE_HELP_RELIEF));
    const struct kw_brake_remedy *wider = remedy(hit, KW_BRAKE_HELP_LONGER);
    cr_assert_not_null(wider);
    cr_expect_eq(wider->face, 0); // the base
    cr_expect(!channel_bends(75, 60, 75));
    cr_expect(channel_bends(75, 60 + wider->size, 75));
    cr_expect(wider->size == 10 || !channel_bends(75, 60 + wider->size / 2, 75));
    const struct kw_brake_remedy *lower = remedy(hit, KW_BRAKE_HELP_LOWER);
    cr_assert_not_null(lower);
    cr_expect_eq(lower->face, hit->face);
    cr_expect(channel_bends(75, 60, 75 - lower->size));
    kw_arena_free(&p.arena);
}

Test(brake_help, walls_that_meet_the_ram_want_a_taller_punch) {
    struct test_part p = {0};
    struct kw_brake_shop shop = one_tall_punch(0);
    struct kw_brake_punch punch = shop.punches[0];
    punch.height = 60;
    shop.punches = &punch;
    make_strip(&p, (double[]){80, 115, 80}, (double[]){90, 90}, 3, 1, 200, 3, 6.7);
    struct kw_brake_plan plan = plan_of(&p, &shop);
    const struct kw_brake_problem *hit = problem_of(&plan, KW_BRAKE_COLLISION);
    cr_assert_not_null(hit);
    const struct kw_brake_remedy *tall = remedy(hit, KW_BRAKE_HELP_TALL);
    cr_assert_not_null(tall);
    punch.height = tall->size;
    cr_expect(!plan_of(&p, &shop).collides);
    kw_arena_free(&p.arena);
}

/// The job of a part, as far as stretch.c needs it.
static struct job job_of(struct test_part *p, struct kw_vec2 *normals) {
    p->part.faces = p->faces;
    p->part.bends = p->bends;
    for (int i = 0; i < p->part.bend_count; i++)
        normals[i] = bend_normal(&p->part, i);
    return (struct job){.arena = &p->arena,
                        .scratch = &p->arena,
                        .part = &p->part,
                        .material = mild,
                        .normals = normals};
}

Test(brake_help, parts_are_stretched_lowered_and_cut_back) {
    struct test_part p = {0};
    struct kw_vec2 normals[8];
    make_strip(&p, (double[]){40, 100, 50, 20}, (double[]){90, 90, 90}, 4, 1, 200, 3, 6.7);
    struct job job = job_of(&p, normals);
    int face;
    struct kw_brake_part longer = longer_leg(&job, 1, false, 15, &face); // the base at bend B
    cr_expect_eq(face, 0);
    struct kw_box2 base = kw_path_box(&longer.faces[0].outline);
    cr_expect_float_eq(base.max.x - base.min.x, 115, 1e-9);
    struct kw_box2 old = kw_path_box(&p.faces[2].outline),
                   now = kw_path_box(&longer.faces[2].outline);
    cr_expect_float_eq(now.min.x - old.min.x, 15, 1e-9);
    cr_expect_float_eq(now.max.x - now.min.x, 50, 1e-9);
    cr_expect_float_eq(longer.bends[1].from.x - p.bends[1].from.x, 15, 1e-9);
    cr_expect_float_eq(longer.bends[2].from.x - p.bends[2].from.x, 15, 1e-9);
    cr_expect_float_eq(longer.bends[0].from.x, p.bends[0].from.x, 1e-9);
    longer = longer_leg(&job, 1, true, 15, &face); // the wall beyond it
    now = kw_path_box(&longer.faces[2].outline);
    cr_expect_float_eq(now.min.x, old.min.x, 1e-9);
    cr_expect_float_eq(now.max.x - now.min.x, 65, 1e-9);
    cr_expect_float_eq(longer.bends[2].from.x - p.bends[2].from.x, 15, 1e-9);
    struct kw_brake_part other;
    cr_assert(lower_flange(&job, 1, 12, &other));
    cr_expect_float_eq(kw_path_box(&other.faces[1].outline).min.x, 12, 1e-6);
    cr_expect(!lower_flange(&job, 2, 12, &other), "it carries a lip");
    cr_expect(!lower_flange(&job, 1, 45, &other), "it is not so high");
    // Seen from a bend whose line is nearer to y = 0 that end is cut back.
    p.bends[2].from.y = p.bends[2].to.y = 0;
    p.bends[2].to.x += 10;
    cr_assert(cut_back(&job, 1, 2, 8, &other));
    struct kw_box2 cut = kw_path_box(&other.faces[1].outline);
    cr_expect_float_eq(cut.min.y, 8, 1e-6);
    cr_expect_float_eq(cut.max.y, 200, 1e-6);
    cr_expect_float_eq(fmin(other.bends[0].from.y, other.bends[0].to.y), 8, 1e-6);
    kw_arena_free(&p.arena);
}
