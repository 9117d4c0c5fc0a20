// SPDX-License-Identifier: Apache-2.0
// Parts keep the sheet's margin from what the table's clamps hold: ordered ones, test pieces and
// fillers. Drops are still found on such sheets.
#include "run/run.h"

#include <criterion/criterion.h>

Test(run_clamps, hold_no_part) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_shop *shop;
    struct kw_kits kits;
    struct kw_orders orders;
    struct kw_week week;
    struct kw_run_options o = {.name = "t", .date = 20261130, .nest_steps = 2000, .coupons = true};
    enum kw_status s = kw_shop_read(&a, "demo", &shop, &err);
    if (s == KW_OK) s = kw_kits_read(&a, shop, "demo", &kits, &err);
    if (s == KW_OK) s = kw_orders_read(&a, &kits, "demo", &orders, &err);
    if (s == KW_OK) s = kw_run_week(&a, shop, &kits, &orders, &o, &week, &err);
    cr_assert_eq(s, KW_OK, "%s", err.text);
    cr_assert_gt(shop->table.clamps.count, 0);
    int looked_at = 0, drops = 0;
    for (int i = 0; i < week.sheet_count; i++) {
        const struct kw_run_sheet *sheet = &week.sheets[i];
        drops += sheet->drop_count;
        for (int c = 0; c < shop->table.clamps.count; c++) {
            const struct kw_clamp *k = KW_ITEM(struct kw_clamp, shop->table.clamps, c);
            struct kw_path hold =
                kw_path_box_outline(&a, k->from_left, k->from_front, k->from_left + k->length,
                                    k->from_front + k->width, 0);
            for (int n = 0; n < sheet->placement_count; n++) {
                const struct kw_nest_placement *p = &sheet->placements[n];
                struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
                struct kw_path outer = kw_path_moved(&a, &week.makes[p->part].blank.outer, m);
                cr_expect_gt(kw_path_gap(&hold, &outer), sheet->margin - 0.01, "%s on %s",
                             week.makes[p->part].label, sheet->id);
                looked_at++;
            }
        }
    }
    cr_expect_gt(looked_at, 100);
    cr_expect_gt(drops, 0);
    kw_arena_free(&a);
}
