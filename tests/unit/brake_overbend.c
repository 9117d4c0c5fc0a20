// SPDX-License-Identifier: Apache-2.0
// How far a bend can be bent on before the sheet lies on the punch's body.
#include "brake_parts.h"

static struct kw_brake_punch punch;

static struct kw_brake_shop one_gooseneck(double neck) {
    struct kw_brake_shop shop = test_shop;
    punch = test_punches[0];
    punch.neck = neck;
    punch.height = 220;
    shop.press.open_height = 500;
    shop.punches = &punch;
    shop.punch_count = 1;
    return shop;
}

/// The turn, in steps of a thousandth of a degree from `from` on, at which the inside of a leg, a
/// straight line at R from the middle of the bend, first has a corner of the punch beyond the V
/// below it (plane geometry). The corners of one side: sign +1 or -1.
static double meets(struct kw_arena *a, double from, double radius, double v, double length,
                    double sign) {
    struct kw_path p = kw_brake_punch_profile(a, &punch, false);
    for (double more = 0; more < 2 * DEG; more += 0.001 * DEG) {
        double half = (from + more) / 2;
        for (int i = 0; i < p.count; i++) {
            double x = sign * p.v[i].x, y = p.v[i].y - radius;
            double along = x * cos(half) + y * sin(half), off = y * cos(half) - x * sin(half);
            if (x > v && along < length && off < -radius) return more;
        }
    }
    return INFINITY;
}

Test(brake_overbend, is_where_the_leg_meets_the_neck) {
    int limited = 0;
    for (double neck = 20; neck <= 65; neck += 5) {
        struct test_part p = {0};
        struct kw_brake_shop shop = one_gooseneck(neck);
        make_strip(&p, (double[]){150, 150}, (double[]){90}, 2, 1, 200, 3, 6.7);
        struct kw_brake_plan plan = plan_of(&p, &shop);
        const struct kw_brake_step *s = &plan.steps[0];
        double v = test_dies[s->die].opening / 2, least = INFINITY;
        for (int side = -1; side <= 1; side += 2)
            least =
                fmin(least, meets(&p.arena, s->angle_under_load, s->inside_radius, v, 150, side));
        cr_expect_eq(isfinite(least), isfinite(s->overbend), "neck %.0f", neck);
        const struct kw_brake_problem *told = problem_of(&plan, KW_BRAKE_OVERBEND);
        cr_expect_eq(told != NULL, isfinite(s->overbend));
        if (told) {
            cr_expect_float_eq(s->overbend / DEG, least / DEG, 0.05, "neck %.0f: %.3f, %.3f", neck,
                               s->overbend / DEG, least / DEG);
            cr_expect_eq(told->level, s->overbend < 0.5 * DEG ? KW_RISK : KW_NOTE);
            limited++;
        }
        kw_arena_free(&p.arena);
    }
    cr_expect_gt(limited, 0);
}

Test(brake_overbend, a_straight_punch_leaves_room) {
    struct test_part p = {0};
    struct kw_brake_shop shop = one_gooseneck(0);
    make_strip(&p, (double[]){150, 150}, (double[]){90}, 2, 1, 200, 3, 6.7);
    struct kw_brake_plan plan = plan_of(&p, &shop);
    cr_expect(!isfinite(plan.steps[0].overbend));
    cr_expect_null(problem_of(&plan, KW_BRAKE_OVERBEND));
    kw_arena_free(&p.arena);
}
