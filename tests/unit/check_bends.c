// SPDX-License-Identifier: Apache-2.0
// Which bends go to the press, and how.
#include "check_hand.h"

static const struct kw_node told; // a key that stands in the kit file

static struct kw_flange *tab_by_hand(struct bench *b, int edge) {
    struct kw_flange *f = hand_flange(&b->h, edge, 30, 90 * DEG, 0);
    f->by_hand.node = &told;
    f->by_hand.slit = 19;
    f->by_hand.web = 5;
    return f;
}

static const struct kw_bend *bend_of(const struct kw_examined *e, const char *id) {
    for (int i = 0; i < e->body->bend_count; i++)
        if (strcmp(e->body->bends[i].id, id) == 0) return &e->body->bends[i];
    return NULL;
}

Test(check_bends, a_tab_bent_by_hand_is_no_stroke_and_what_stands_on_it_is) {
    struct bench b;
    bench_start(&b);
    tab_by_hand(&b, KW_EDGE_FRONT);                                  // B
    hand_flange(&b.h, KW_EDGE_OF_BEND, 40, 90 * DEG, 0)->parent = 1; // C, on the tab
    bench_check(&b);
    const struct kw_examined *e = &b.what[0];
    cr_assert(e->body && e->brake);
    cr_expect_eq(e->body->bend_count, 3);
    cr_assert_eq(e->brake->step_count, 2);
    for (int s = 0; s < 2; s++) {
        const struct kw_bend *bend = &e->body->bends[e->brake->steps[s].bends[0]];
        cr_expect(bend == bend_of(e, "A") || bend == bend_of(e, "C"), "stroke %d bends %s", s,
                  bend->id);
        struct kw_brake_section section;
        cr_expect(kw_check_brake_section(&b.h.a, &b.h.shop, e, s, 60, &section));
        cr_expect_gt(section.before_count, 0);
    }
    cr_expect_float_eq(e->box.max.z, 37, 1e-9, "A and C up, the tab flat: %f", e->box.max.z);
    for (int i = 0; i < b.h.found.count; i++)
        cr_expect_str_neq(b.h.found.v[i].rule, "hole-small", "slits are no holes");
    kw_arena_free(&b.h.a);
}

Test(check_bends, only_tabs_by_hand_need_no_press_work) {
    struct bench b;
    bench_start(&b);
    b.h.part.bends.count = 0;
    tab_by_hand(&b, KW_EDGE_FRONT);
    bench_check(&b);
    cr_assert(b.what[0].body && b.what[0].brake);
    cr_expect_eq(b.what[0].brake->step_count, 0);
    kw_arena_free(&b.h.a);
}

Test(check_bends, a_hem_is_turned_on_the_die_before_it_is_flattened) {
    struct bench b;
    bench_start(&b);
    hand_flange(&b.h, KW_EDGE_FRONT, 45, 0, 0)->hem = KW_HEM_CLOSED;
    bench_check(&b);
    const struct kw_examined *e = &b.what[0];
    cr_assert(e->body && e->brake);
    cr_assert_eq(e->brake->step_count, 3);
    int stage = 0;
    for (int s = 0; s < 3; s++) {
        const struct kw_brake_step *step = &e->brake->steps[s];
        bool hem = e->body->bends[step->bends[0]].kind == KW_BEND_HEM;
        if (hem) cr_expect_eq(step->stage, ++stage);
        cr_expect_float_eq(step->angle, (!hem ? 90 : stage == 1 ? 135 : 180) * DEG, 1e-9);
        if (stage == 2 && hem)
            cr_expect_str_eq(kw_press_die_name(&b.h.shop.press, step->die), "H1");
    }
    cr_expect_eq(stage, 2);
    cr_expect_float_eq(bend_of(e, "B")->radius, 0.3, 1e-12, "flattened, whatever the die");
    kw_arena_free(&b.h.a);
}

Test(check_bends, both_bends_of_an_offset_have_one_radius) {
    struct bench b;
    bench_start(&b);
    hand_flange(&b.h, KW_EDGE_FRONT, 90, 45 * DEG, 0)->offset = 40;
    bench_check(&b);
    const struct kw_examined *e = &b.what[0];
    cr_assert(e->body && e->brake);
    cr_assert_eq(e->body->bend_count, 3);
    const struct kw_bend *one = bend_of(e, "B/1"), *two = bend_of(e, "B/2");
    cr_assert(one && two);
    cr_expect_float_eq(one->radius, two->radius, 1e-12);
    cr_expect_float_eq(e->body->folded.min.y, -90, 1e-9);
    kw_arena_free(&b.h.a);
}

// Walls of 160 on a base of 120: the second one brings the first into the ram. The finding says
// when and where, points at the spot on the blank, and names what was tried and helps.
Test(check_bends, a_collision_names_its_moment_its_spot_and_what_helps) {
    struct bench b;
    bench_start(&b);
    b.h.part.bends.count = 0;
    hand_flange(&b.h, KW_EDGE_BACK, 160, 90 * DEG, 0);
    hand_flange(&b.h, KW_EDGE_FRONT, 160, 90 * DEG, 0);
    bench_check(&b);
    const struct kw_examined *e = &b.what[0];
    cr_assert(e->body && e->brake && e->brake->collides);
    cr_assert_not_null(e->brake->hit);
    const struct kw_finding *f = bench_found(&b, "bend-collision");
    cr_assert(f);
    cr_expect_eq(f->level, KW_STOP);
    cr_expect_str_eq(f->frame, "blank");
    cr_expect(kw_path_contains(&e->body->blank.outer, kw_v2(f->at[0], f->at[1])) ||
              kw_path_distance(&e->body->blank.outer, kw_v2(f->at[0], f->at[1])) < 1e-6);
    cr_expect_not_null(strstr(f->says, "the die's top"), "%s", f->says);
    cr_expect_not_null(strstr(f->fix, "each tried"), "%s", f->fix);
    struct kw_brake_collision c;
    const char *bend, *face;
    cr_assert(kw_check_brake_collision(&b.h.a, &b.h.shop, e, e->brake->hit, 0, &c, &bend, &face));
    cr_expect_not_null(strstr(f->says, face));
    cr_expect_gt(c.section.after_count, 3);
    kw_arena_free(&b.h.a);
}
