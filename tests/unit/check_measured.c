// SPDX-License-Identifier: Apache-2.0
// What the shop has measured reaches the blank, the stroke and the tube.
#include "check/check.h"
#include "shop/learned.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#define DEG (KW_PI / 180)

struct demo {
    struct kw_arena a;
    struct kw_shop *shop;
    struct kw_learned learned;
    struct kw_learned_bend bend;
    struct kw_learned_tube tube;
};

static void open_demo(struct demo *d) {
    struct kw_error err = {0};
    *d = (struct demo){0};
    cr_assert_eq(kw_shop_read(&d->a, "demo", &d->shop, &err), KW_OK, "%s", err.text);
}

static void stock(struct demo *d, const char *words, struct kw_stock *out) {
    struct kw_error err = {0};
    cr_assert_eq(kw_stock_read(d->shop, words, KW_IN, (struct kw_place){0}, out, &err), KW_OK);
}

static const struct kw_examined *examine(struct demo *d, const char *kit_name, const char *part) {
    struct kw_error err = {0};
    struct kw_kits kits;
    struct kw_findings found = {.arena = &d->a};
    struct kw_examined *what;
    int count, i = 0;
    cr_assert_eq(kw_kits_read(&d->a, d->shop, "demo", &kits, &err), KW_OK, "%s", err.text);
    kw_check_kit(&d->a, d->shop, kw_kits_find(&kits, kit_name), &found, &what, &count);
    while (i < count - 1 && strcmp(what[i].part->name, part) != 0)
        i++;
    cr_assert_str_eq(what[i].part->name, part);
    return &what[i];
}

// The panel is 12 in high outside, with lips of 3/4 and 1 in and a return of 5/8: its blank is the
// sum of them less what three bends take.
Test(check_measured, a_panel_is_cut_and_bent_as_its_coupons_say) {
    struct demo d;
    open_demo(&d);
    const struct kw_examined *e = examine(&d, "raised-planter", "long-panel");
    cr_expect_str_eq(e->body->bends[0].source, "rule");
    struct kw_learned_bend *l = &d.bend;
    *l = (struct kw_learned_bend){.die = 0,
                                  .count = 7,
                                  .deduction = 3.6,
                                  .source = "coupons (7)",
                                  .spring = {7, 1.01, 0.6 * DEG, "coupons (7)"}};
    stock(&d, "14 ga hot-rolled sheet", &l->stock);
    d.learned = (struct kw_learned){.bends = l, .bend_count = 1};
    d.shop->learned = &d.learned;
    e = examine(&d, "raised-planter", "long-panel");
    struct kw_box2 box = kw_path_box(&e->body->blank.outer);
    double legs = (12 + 0.75 + 1 + 0.625) * KW_MM_PER_IN;
    cr_expect_float_eq(box.max.y - box.min.y, legs - 3 * 3.6, 1e-6);
    cr_expect_str_eq(e->body->bends[0].source, "coupons (7)");
    cr_assert(e->brake->step_count > 0);
    for (int i = 0; i < e->brake->step_count; i++)
        cr_expect_float_eq(e->brake->steps[i].angle_under_load, 91.5 * DEG, 1e-12);
    kw_arena_free(&d.a);
}

Test(check_measured, a_measured_spring_never_asks_for_less_than_the_angle) {
    struct demo d;
    open_demo(&d);
    d.bend = (struct kw_learned_bend){.die = 0,
                                      .count = 1,
                                      .deduction = 3.6,
                                      .source = "coupons (1)",
                                      .spring = {1, 0.98, 0, "coupons (1)"}};
    stock(&d, "14 ga hot-rolled sheet", &d.bend.stock);
    d.learned = (struct kw_learned){.bends = &d.bend, .bend_count = 1};
    d.shop->learned = &d.learned;
    const struct kw_examined *e = examine(&d, "raised-planter", "long-panel");
    cr_expect_float_eq(e->brake->steps[0].angle_under_load, 90 * DEG, 1e-12);
    kw_arena_free(&d.a);
}

// The hoop has two bends of 90 degrees: a larger radius shortens the tube between square ends by
// (2 tan(a/2) - a) of its growth a bend, the legs being outside sizes to the corners.
Test(check_measured, a_tube_is_sawn_and_set_as_its_coupons_say) {
    struct demo d;
    open_demo(&d);
    const struct kw_examined *e = examine(&d, "firewood-rack", "hoop");
    double before = e->cut_length, radius = e->tube->bends[0].radius;
    d.tube = (struct kw_learned_tube){
        .die = 0, .spring = {5, 1.02, 1 * DEG, "coupons (5)"}, .radius_count = 5, .radius = 102.6};
    stock(&d, "1-1/4 x 0.083 round tube", &d.tube.stock);
    d.learned = (struct kw_learned){.tubes = &d.tube, .tube_count = 1};
    d.shop->learned = &d.learned;
    e = examine(&d, "firewood-rack", "hoop");
    cr_assert_eq(e->tube->count, 2);
    double saved = 2 * (2 * tan(45 * DEG) - 90 * DEG) * (102.6 - radius);
    cr_expect_float_eq(before - e->cut_length, saved, 1e-9);
    for (int i = 0; i < 2; i++) {
        cr_expect_float_eq(e->tube->bends[i].radius, 102.6, 1e-12);
        cr_expect_float_eq(e->marks[i].angle_under_load, 92.8 * DEG, 1e-9);
        cr_expect_eq(e->marks[i].die, 0);
    }
    // Coupons that also say what a bend takes: the neutral line is 0.6 mm inside the centreline.
    double centre = e->cut_length, first = e->marks[0].start;
    d.tube.neutral = 102;
    e = examine(&d, "firewood-rack", "hoop");
    cr_expect_float_eq(centre - e->cut_length, 2 * 0.6 * 90 * DEG, 1e-9);
    cr_expect_float_eq(e->marks[0].start, first, 1e-9);
    cr_expect_float_eq(e->marks[0].end - first, 102 * 90 * DEG, 1e-9);
    kw_arena_free(&d.a);
}
