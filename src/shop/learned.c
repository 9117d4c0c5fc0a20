// SPDX-License-Identifier: Apache-2.0
// Looking up what the shop has measured, or keeps in its bend table.
#include "shop/learned.h"

double kw_spring_set(const struct kw_spring *spring, double angle) {
    kw_assert(spring->count > 0);
    return spring->slope * angle + spring->offset;
}

const struct kw_learned_bend *kw_learned_bend_of(const struct kw_shop *shop,
                                                 const struct kw_stock *stock, int die) {
    for (int i = 0; shop->learned && i < shop->learned->bend_count; i++) {
        const struct kw_learned_bend *b = &shop->learned->bends[i];
        if (b->die == die && kw_stock_same(&b->stock, stock)) return b;
    }
    return NULL;
}

const struct kw_learned_tube *kw_learned_tube_of(const struct kw_shop *shop,
                                                 const struct kw_stock *stock, int die) {
    for (int i = 0; shop->learned && i < shop->learned->tube_count; i++) {
        const struct kw_learned_tube *t = &shop->learned->tubes[i];
        if (t->die == die && kw_stock_same(&t->stock, stock)) return t;
    }
    return NULL;
}

const struct kw_bend_row *kw_bend_row_of(const struct kw_shop *shop, const struct kw_stock *stock,
                                         int die) {
    const struct kw_bend_row *any = NULL;
    for (int i = 0; i < shop->bend_table.count; i++) {
        const struct kw_bend_row *row = KW_ITEM(struct kw_bend_row, shop->bend_table, i);
        if (!kw_stock_same(&row->stock, stock)) continue;
        if (row->die >= 0 && row->die == die) return row;
        if (row->die < 0) any = row;
    }
    return any;
}
