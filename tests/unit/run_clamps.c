// SPDX-License-Identifier: Apache-2.0
// Parts keep the sheet's margin from what the table's clamps hold: ordered ones, test pieces and
// fillers. Drops are still found on such sheets.
#include "run_demo.h"

Test(run_clamps, hold_no_part) {
    struct fixture f = {0};
    read_demo(&f);
    plan_read(&f, (struct kw_run_options){.coupons = true});
    cr_assert_gt(f.shop->table.clamps.count, 0);
    int looked_at = 0, drops = 0;
    for (int i = 0; i < f.week.sheet_count; i++) {
        const struct kw_run_sheet *sheet = &f.week.sheets[i];
        drops += sheet->drop_count;
        for (int c = 0; c < f.shop->table.clamps.count; c++) {
            const struct kw_clamp *k = KW_ITEM(struct kw_clamp, f.shop->table.clamps, c);
            struct kw_path hold =
                kw_path_box_outline(&f.a, k->from_left, k->from_front, k->from_left + k->length,
                                    k->from_front + k->width, 0);
            for (int n = 0; n < sheet->placement_count; n++) {
                const struct kw_nest_placement *p = &sheet->placements[n];
                struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
                struct kw_path outer = kw_path_moved(&f.a, &f.week.makes[p->part].blank.outer, m);
                cr_expect_gt(kw_path_gap(&hold, &outer), sheet->margin - 0.01, "%s on %s",
                             f.week.makes[p->part].label, sheet->id);
                looked_at++;
            }
        }
    }
    cr_expect_gt(looked_at, 100);
    cr_expect_gt(drops, 0);
    kw_arena_free(&f.a);
}
