// SPDX-License-Identifier: Apache-2.0
// Blanks lie on sheets in the turns that their kit file allows: the demo's leaves in steps of 15
// degrees, its tube clips at 0 or 90, all others in quarter turns (the other hand's the other way
// round).
#include "run/run.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static int degrees_of(const struct kw_nest_placement *p) {
    double d = p->rotation * 180 / KW_PI;
    cr_expect_float_eq(d, round(d), 1e-6);
    return (int)round(d) % 360;
}

Test(run_turns, as_the_kit_file_allows) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_shop *shop;
    struct kw_kits kits;
    struct kw_orders orders;
    struct kw_week week;
    struct kw_run_options o = {.name = "t", .date = 20261130, .nest_steps = 2000};
    enum kw_status s = kw_shop_read(&a, "demo", &shop, &err);
    if (s == KW_OK) s = kw_kits_read(&a, shop, "demo", &kits, &err);
    if (s == KW_OK) s = kw_orders_read(&a, &kits, "demo", &orders, &err);
    if (s == KW_OK) s = kw_run_week(&a, shop, &kits, &orders, &o, &week, &err);
    cr_assert_eq(s, KW_OK, "%s", err.text);
    int leaves = 0, clips = 0, others = 0;
    for (int i = 0; i < week.sheet_count; i++)
        for (int k = 0; k < week.sheets[i].placement_count; k++) {
            const struct kw_nest_placement *p = &week.sheets[i].placements[k];
            const char *label = week.makes[p->part].label;
            int d = degrees_of(p);
            if (strcmp(label, "garden-arch/leaf") == 0) {
                leaves++;
                cr_expect_eq(d % 15, 0);
            } else if (strcmp(label, "firewood-rack/tube-clip") == 0) {
                clips++;
                cr_expect(d == 0 || d == 90, "a clip at %d", d);
            } else {
                others++;
                cr_expect_eq(d % 90, 0, "%s at %d", label, d);
            }
        }
    cr_expect(leaves > 0 && clips > 0 && others > 0);
    kw_arena_free(&a);
}
