// SPDX-License-Identifier: Apache-2.0
// Dimples against bends: flared first, flared last, or not at all; near a bend line.
#include "check_hand.h"

static struct kw_dimple_die small = {.name = "1 in",
                                     .pre_hole = 25,
                                     .flare = 33,
                                     .height = 4,
                                     .force = 80e3,
                                     .most_thickness = 3.1,
                                     .clear = 36};

/// A base of 200 x 120 with a flange of 40 at its back, a dimple `off` in front of that side.
static const struct kw_examined *with_dimple(struct bench *b, double off, int way) {
    bench_start(b);
    b->h.part.holes.count = 0;
    struct kw_hole *o = hand_hole(&b->h, -1, 25, 100, 120 - off);
    o->dimple = "1 in";
    o->dimple_way = way;
    b->h.shop.dimple_dies = (struct kw_items){&small, 1};
    b->h.shop.shop_press = (struct kw_shop_press){.rating = 200e3, .throat = 200, .daylight = 300};
    bench_check(b);
    cr_assert(b->what[0].body && b->what[0].brake);
    cr_assert_eq(b->what[0].body->dimple_count, 1);
    return &b->what[0];
}

Test(check_dimple_order, far_from_the_bend_it_is_flared_first) {
    struct bench b;
    const struct kw_examined *e = with_dimple(&b, 80, KW_DOWN);
    cr_expect(e->flare_at[0] == KW_FLARE_FLAT);
    cr_expect(!e->brake->collides);
    cr_expect(!bench_found(&b, "dimple-last") && !bench_found(&b, "dimple-near-bend"));
    kw_arena_free(&b.h.a);
}

// The die of 25.4 is some 50 mm wide: a flare that hangs 30 mm beside the bend line would lie on
// it; one that stands up there meets no tool.
Test(check_dimple_order, on_the_die_it_is_flared_last) {
    struct bench b;
    const struct kw_examined *e = with_dimple(&b, 33, KW_DOWN);
    cr_expect(e->flare_at[0] == KW_FLARE_LAST);
    cr_expect(!e->brake->collides, "without the flare it bends");
    const struct kw_finding *f = bench_found(&b, "dimple-last");
    cr_assert(f);
    cr_expect_eq(f->level, KW_NOTE);
    cr_expect_float_eq(f->measured, 40, 0.1); // the flange, outside
    cr_expect_float_eq(f->limit, 300, 1e-9);
    kw_arena_free(&b.h.a);
    e = with_dimple(&b, 33, KW_UP);
    cr_expect(e->flare_at[0] == KW_FLARE_FLAT);
    kw_arena_free(&b.h.a);
}

static void spoiled_press(double throat, double daylight, double measured, double limit) {
    struct bench b;
    with_dimple(&b, 33, KW_DOWN);
    b.h.shop.shop_press.throat = throat;
    b.h.shop.shop_press.daylight = daylight;
    bench_check(&b);
    const struct kw_finding *f = bench_found(&b, "dimple-after-bends");
    cr_assert(f);
    cr_expect_eq(f->level, KW_STOP);
    cr_expect_float_eq(f->measured, measured, 0.2, "%f", f->measured);
    cr_expect_float_eq(f->limit, limit, 1e-9);
    cr_expect(!b.what[0].makeable);
    kw_arena_free(&b.h.a);
}

Test(check_dimple_order, bent_it_must_go_into_the_shop_press) {
    // The nearest way in is over the flanged side, 33 mm. From the front the flange would stand on
    // the hands' side, clear of the arms, but the dimple lies 87 mm deep there.
    spoiled_press(30, 300, 33, 30);
    spoiled_press(60, 35, 40, 35);
}

// The back flange's die shuts it out of the flat blank; with the left flange too, 45 high, the part
// is too tall for the press over the back, and from no other side near enough.
Test(check_dimple_order, between_two_bends_it_goes_in) {
    struct bench b;
    for (int tall = 0; tall < 2; tall++) {
        with_dimple(&b, 33, KW_DOWN);
        hand_flange(&b.h, KW_EDGE_LEFT, tall ? 45 : 41, 90 * DEG, 0);
        b.h.shop.shop_press.throat = 60;
        b.h.shop.shop_press.daylight = 42;
        bench_check(&b);
        const struct kw_examined *e = &b.what[0];
        cr_assert(e->brake && !e->brake->collides);
        cr_expect(!bench_found(&b, "dimple-after-bends"));
        cr_expect(!bench_found(&b, "dimple-reach"), "the flat blank is not what goes in");
        cr_expect_eq(bench_found(&b, "dimple-between") != NULL, tall);
        cr_expect_eq(bench_found(&b, "dimple-last") != NULL, !tall);
        cr_expect_eq(kw_check_flared_after(e, 0), tall ? 1 : 2);
        if (tall) cr_expect_str_eq(e->body->bends[e->brake->steps[0].bends[0]].id, "A");
        kw_arena_free(&b.h.a);
    }
}

Test(check_dimple_order, low_daylight_is_met_from_the_other_side) {
    struct bench b;
    with_dimple(&b, 33, KW_DOWN);
    b.h.shop.shop_press.daylight = 25; // the flange is 40
    bench_check(&b);
    cr_expect(!bench_found(&b, "dimple-after-bends"));
    const struct kw_finding *f = bench_found(&b, "dimple-last");
    cr_assert(f);
    cr_expect_float_eq(f->measured, 3, 0.01, "%f", f->measured); // the sheet alone
    kw_arena_free(&b.h.a);
}

Test(check_dimple_order, near_the_line_it_is_pulled_out_of_round) {
    struct bench b;
    with_dimple(&b, 33, KW_UP); // 33 - half the deduction to the line, half the flare taken off
    cr_expect(!bench_found(&b, "dimple-near-bend"));
    kw_arena_free(&b.h.a);
    const struct kw_examined *e = with_dimple(&b, 31, KW_UP);
    const struct kw_finding *f = bench_found(&b, "dimple-near-bend");
    cr_assert(f);
    const struct kw_bend *bend = &e->body->bends[0];
    double line = bend->from.y - e->body->dimples[0].at.y;
    cr_expect_float_eq(f->measured, line - 16.5, 1e-6);
    cr_expect_float_eq(f->limit, 12.7, 1e-6); // half of V 25.4
    kw_arena_free(&b.h.a);
}
