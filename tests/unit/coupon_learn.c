// SPDX-License-Identifier: Apache-2.0
// From coupons.csv to the blank: the order coupons, bend table, rule; springback; tube radius.
#include "coupon/coupon.h"
#include "shape/shape.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define DEG    (KW_PI / 180)
#define ELEVEN "11 ga hot-rolled sheet"

struct fixture {
    struct kw_arena a;
    struct kw_shop *shop;
    struct kw_stock stock;
    struct kw_coupons coupons;
    struct kw_lessons lessons;
};

static void open_shop(struct fixture *f, const char *words) {
    struct kw_error err = {0};
    *f = (struct fixture){0};
    cr_assert_eq(kw_shop_read(&f->a, "tests/cases/_base", &f->shop, &err), KW_OK, "%s", err.text);
    cr_assert_eq(kw_stock_read(f->shop, words, KW_IN, (struct kw_place){0}, &f->stock, &err),
                 KW_OK);
}

static void learn(struct fixture *f, const char *rows) {
    struct kw_error err = {0};
    enum kw_status s =
        kw_coupons_parse(&f->a, f->shop, "coupons.csv", rows, strlen(rows), &f->coupons, &err);
    cr_assert_eq(s, KW_OK, "%d:%d %s", err.at.line, err.at.column, err.text);
    f->lessons = kw_coupons_learn(&f->a, f->shop, &f->coupons);
    f->shop->learned = &f->lessons.learned;
}

/// A coupon bent in metal whose neutral line lies at k: legs as a caliper would read them.
static void add_row(struct kw_text *rows, const char *name, double k, double angle, double r,
                    double t, double error) {
    double setback = kw_bend_setback(angle, r, t);
    double legs = 100 - kw_bend_allowance(angle, r, t, k) + 2 * setback + error;
    kw_text_addf(rows, "%s," ELEVEN ",V-16,100 mm,%.9f mm,%.9f mm,%.9f,%.9f,%.6f mm\n", name,
                 legs * 0.4, legs * 0.6, angle / DEG, 1.02 * angle / DEG + 0.5, t);
}

static double natural(const struct fixture *f) {
    return kw_bend_natural_radius(kw_shop_material(f->shop, &f->stock)->family, 25.4,
                                  KW_MM_PER_IN / 32);
}

static void add_head(struct kw_text *rows) {
    kw_text_add(rows, "coupon,from,die,blank,leg_a,leg_b,angle,angle_set,thickness\n");
}

Test(coupon_learn, coupons_of_a_known_k_give_it_back_at_any_angle_and_thickness) {
    struct fixture f;
    struct kw_text rows = {0};
    open_shop(&f, ELEVEN);
    add_head(&rows);
    static const double angles[] = {30, 60, 90, 90, 120, 150};
    for (int i = 0; i < 6; i++) {
        char name[16];
        snprintf(name, sizeof name, "C%d", i + 1);
        add_row(&rows, name, 0.37, angles[i] * DEG, natural(&f), f.stock.thickness * (1 - 0.01 * i),
                0);
    }
    learn(&f, rows.s);
    cr_assert_eq(f.lessons.bend_count, 1);
    const struct kw_bend_group *g = &f.lessons.bends[0];
    cr_expect_eq(g->use.count, 6);
    cr_expect_float_eq(g->use.k, 0.37, 1e-6);
    cr_expect_float_eq(g->use.spring.slope, 1.02, 1e-8);
    cr_expect_float_eq(g->use.spring.offset, 0.5 * DEG, 1e-8);
    cr_expect(g->half < 1e-4);
    cr_expect_eq(g->trust, KW_TRUST_GOOD);
    const char *source;
    double t = f.stock.thickness, r = natural(&f);
    double k = kw_bend_k_of(f.shop, &f.stock, 1, r, &source);
    cr_expect_float_eq(k, 0.37, 1e-6);
    cr_expect_str_eq(source, "coupons (6)");
    // with another radius that the die might give, the deduction at 90 degrees stays
    double other = kw_bend_k_of(f.shop, &f.stock, 1, 1.1 * r, &source);
    cr_expect_float_eq(kw_bend_deduction(90 * DEG, 1.1 * r, t, other),
                       kw_bend_deduction(90 * DEG, r, t, k), 1e-6);
    kw_text_free(&rows);
    kw_arena_free(&f.a);
}

Test(coupon_learn, coupons_come_before_the_table_and_the_table_before_the_rule) {
    struct fixture f;
    struct kw_text rows = {0};
    const char *source;
    open_shop(&f, ELEVEN);
    double t = f.stock.thickness, r = natural(&f);
    cr_expect_float_eq(kw_bend_k_of(f.shop, &f.stock, 1, r, &source), 0.44, 1e-12);
    cr_expect_str_eq(source, "rule");
    struct kw_bend_row table[] = {{.stock = f.stock, .die = -1, .k = 0.41},
                                  {.stock = f.stock, .die = 1, .deduction = 5}};
    f.shop->bend_table = (struct kw_items){table, 2};
    double k = kw_bend_k_of(f.shop, &f.stock, 1, r, &source);
    cr_expect_str_eq(source, "table");
    cr_expect_float_eq(kw_bend_deduction(90 * DEG, r, t, k), 5, 1e-12);
    cr_expect_float_eq(kw_bend_k_of(f.shop, &f.stock, 0, r, &source), 0.41, 1e-12, "any die");
    kw_bend_k_of(f.shop, &f.stock, -1, r, &source);
    cr_expect_str_eq(source, "rule", "no die, no row");
    table[1].deduction = 0;
    table[1].allowance = 6;
    k = kw_bend_k_of(f.shop, &f.stock, 1, r, &source);
    cr_expect_float_eq(kw_bend_allowance(90 * DEG, r, t, k), 6, 1e-12);
    add_head(&rows);
    add_row(&rows, "C1", 0.39, 90 * DEG, r, t, 0);
    learn(&f, rows.s);
    cr_expect_float_eq(kw_bend_k_of(f.shop, &f.stock, 1, r, &source), 0.39, 1e-6);
    cr_expect_str_eq(source, "coupons (1)");
    cr_expect_eq(f.lessons.bends[0].trust, KW_TRUST_NONE);
    kw_bend_k_of(f.shop, &f.stock, 0, r, &source);
    cr_expect_str_eq(source, "table", "another die has no coupons");
    kw_text_free(&rows);
    kw_arena_free(&f.a);
}

Test(coupon_learn, an_odd_coupon_is_named_and_counts) {
    struct fixture f;
    struct kw_text rows = {0};
    open_shop(&f, ELEVEN);
    add_head(&rows);
    double t = f.stock.thickness, r = natural(&f);
    static const double error[] = {0.03, -0.05, 0.02, 0.01, -0.04, 0.9, 0.02};
    for (int i = 0; i < 7; i++) {
        char name[16];
        snprintf(name, sizeof name, "C%d", i + 1);
        add_row(&rows, name, 0.40, 90 * DEG, r, t, error[i]);
    }
    learn(&f, rows.s);
    const struct kw_points *p = &f.lessons.bends[0].lengths;
    for (int i = 0; i < 7; i++)
        cr_expect_eq(p->odd[i], i == 5, "%d", i);
    double mean = 0;
    for (int i = 0; i < 7; i++)
        mean += error[i] / 7;
    cr_expect_float_eq(f.lessons.bends[0].use.deduction,
                       kw_bend_deduction(90 * DEG, r, t, 0.40) + mean, 1e-6, "it is not dropped");
    struct kw_text out = {0};
    kw_lessons_print(f.shop, &f.coupons, &f.lessons, &out);
    cr_expect_not_null(strstr(out.s, "odd       C6:"), "%s", out.s);
    kw_text_free(&out);
    kw_text_free(&rows);
    kw_arena_free(&f.a);
}

Test(coupon_learn, a_measured_depth_is_the_depth_that_comes_back) {
    struct fixture f;
    open_shop(&f, ELEVEN);
    // 6.9 mm deep left 60 degrees: whatever turn the formula makes of it, 60 degrees get 6.9 mm
    learn(&f, "coupon,from,die,blank,leg_a,leg_b,angle,depth,thickness\n"
              "C1," ELEVEN ",V-16,4,2.04,2.08,60,6.9 mm,0.1196\n");
    const struct kw_spring *spring = &f.lessons.bends[0].use.spring;
    cr_assert_eq(spring->count, 1);
    const struct kw_press_tool *tool = KW_ITEM(struct kw_press_tool, f.shop->press.dies, 1);
    struct kw_brake_die die = {
        .opening = tool->opening, .angle = tool->angle, .shoulder_radius = tool->radius};
    double load = kw_spring_set(spring, 60 * DEG);
    cr_expect_float_eq(kw_brake_depth(load, natural(&f), f.stock.thickness, &die), 6.9, 2e-3);
    kw_arena_free(&f.a);
}

Test(coupon_learn, tube_angles_and_radius_are_the_measured_ones) {
    struct fixture f;
    open_shop(&f, "1-1/4 x 0.083 round tube");
    learn(&f, "coupon,from,die,angle_set,angle,radius,taken\n"
              "T1,1-1/4 x 0.083 round tube,T-125,31.5,30,4.1,\n"
              "T2,1-1/4 x 0.083 round tube,T-125,62,60,,\n"
              "T3,1-1/4 x 0.083 round tube,T-125,92.5,90,4.06,6.4088490\n");
    const struct kw_learned_tube *l = kw_learned_tube_of(f.shop, &f.stock, 0);
    cr_assert_not_null(l);
    cr_expect_float_eq(kw_spring_set(&l->spring, 45 * DEG), 46.75 * DEG, 1e-9);
    cr_expect_eq(l->radius_count, 2);
    cr_expect_float_eq(l->radius, 4.08 * 25.4, 1e-5);
    cr_expect_float_eq(l->neutral, 4.08 * 25.4, 1e-5);
    kw_arena_free(&f.a);
    // No radius measured: the length taken stands for it.
    open_shop(&f, "1-1/4 x 0.083 round tube");
    learn(&f, "coupon,from,die,angle_set,angle,radius,taken\n"
              "T1,1-1/4 x 0.083 round tube,T-125,92.5,90,,6.3303091\n");
    l = kw_learned_tube_of(f.shop, &f.stock, 0);
    cr_assert_not_null(l);
    cr_expect_eq(l->radius_count, 1);
    cr_expect_float_eq(l->radius, 4.03 * 25.4, 1e-5);
    cr_expect_float_eq(l->neutral, 4.03 * 25.4, 1e-5);
    kw_arena_free(&f.a);
}
