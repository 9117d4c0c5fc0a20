// SPDX-License-Identifier: Apache-2.0
// Cut rules between two rows, where the shop wants them: every value in proportion to thickness.
#include "shop/shop_check.h"

#include <math.h>

// The nearest row of the same material that is thinner (side -1) or thicker (side 1).
static const struct kw_cut_entry *nearest(const struct kw_shop *shop, const struct kw_stock *s,
                                          int rows, int side) {
    const struct kw_cut_entry *best = NULL;
    for (int i = 0; i < rows; i++) {
        const struct kw_cut_entry *e = KW_ITEM(struct kw_cut_entry, shop->table.rules, i);
        double off = side * (e->stock.thickness - s->thickness);
        if (e->stock.material != s->material || off <= 0) continue;
        if (!best || off < side * (best->stock.thickness - s->thickness)) best = e;
    }
    return best;
}

static struct kw_cut_entry between(const struct kw_cut_entry *a, const struct kw_cut_entry *b,
                                   const struct kw_rack_item *sheet) {
    double t =
        (sheet->stock.thickness - a->stock.thickness) / (b->stock.thickness - a->stock.thickness);
    struct kw_cut_entry e = *a;
    e.node = sheet->node;
    e.from = sheet->from;
    e.stock = sheet->stock;
#define MIX(member) e.member = a->member + t * (b->member - a->member)
    MIX(kerf);
    MIX(feed);
    MIX(pierce_delay);
    MIX(pierce_height);
    MIX(cut_height);
    MIX(lead_in);
    MIX(hole_feed);
    MIX(hole_feed_below);
    MIX(overburn);
    MIX(corner_feed);
    MIX(zone);
    MIX(cost_per_pierce);
#undef MIX
    // The rule of thumb is wanted as soon as one of the rows has it; a current is set, not mixed.
    e.least_hole = a->least_hole > 0 && b->least_hole > 0
                       ? a->least_hole + t * (b->least_hole - a->least_hole)
                       : 0;
    if (a->amps != b->amps) e.amps = t < 0.5 ? a->amps : b->amps;
    return e;
}

void kw_cut_rows_between(struct kw_arena *arena, struct kw_shop *shop) {
    int rows = shop->table.rules.count;
    if (!shop->table.between_rows) return;
    for (int i = 0; i < shop->sheets.count; i++) {
        const struct kw_rack_item *sheet = KW_ITEM(struct kw_rack_item, shop->sheets, i);
        const struct kw_cut_entry *a = nearest(shop, &sheet->stock, rows, -1);
        const struct kw_cut_entry *b = nearest(shop, &sheet->stock, rows, 1);
        if (!a || !b || kw_shop_cut_rule(shop, &sheet->stock)) continue;
        struct kw_cut_entry e = between(a, b, sheet), *v = shop->table.rules.v;
        struct kw_cut_entry *more =
            KW_NEW_ARRAY(arena, struct kw_cut_entry, shop->table.rules.count + 1);
        for (int k = 0; k < shop->table.rules.count; k++)
            more[k] = v[k];
        more[shop->table.rules.count++] = e;
        shop->table.rules.v = more;
    }
}
