// SPDX-License-Identifier: Apache-2.0
// Saw lists: pieces of each tube or bar stock onto the sticks of the rack.
#include "run/inside.h"

#include <math.h>

/// What a piece's saw cuts take along the stick beyond the one square cut that every piece has.
static double cuts_beside(const struct kw_week *w, const double miter[2]) {
    double kerf = w->shop->saw.kerf;
    return (miter[0] != 0 ? kerf / cos(miter[0]) : 0) +
           (miter[1] != 0 ? kerf / cos(miter[1]) - kerf : 0);
}

static void add_piece(struct kw_week *w, struct kw_run_saw *saw, int make) {
    const struct kw_make *m = &w->makes[make];
    int n = saw->piece_count, k = n;
    KW_PUSH(w->arena, saw->makes, saw->piece_count) = make;
    KW_PUSH(w->arena, saw->lengths, n) = m->what->cut_length;
    KW_PUSH(w->arena, saw->takes, k) = m->what->cut_length + cuts_beside(w, m->part->miter);
}

static struct kw_run_saw *saw_of(struct kw_week *w, const struct kw_stock *stock) {
    for (int i = 0; i < w->saw_count; i++) {
        if (kw_stock_same(&w->saws[i].stock, stock)) return &w->saws[i];
    }
    struct kw_run_saw saw = {.stock = *stock};
    for (int i = 0; i < w->shop->sticks.count; i++) {
        const struct kw_rack_item *r = KW_ITEM(struct kw_rack_item, w->shop->sticks, i);
        if (!kw_stock_same(&r->stock, stock) || (!r->can_buy && r->on_hand == 0)) continue;
        KW_PUSH(w->arena, saw.racks, saw.rack_count) = r;
    }
    KW_PUSH(w->arena, w->saws, w->saw_count) = saw;
    return &w->saws[w->saw_count - 1];
}

static void report_unplaced(struct kw_week *w, const struct kw_run_saw *saw, int piece) {
    int n = saw->plan.unplaced[piece];
    struct kw_make *make = &w->makes[saw->makes[piece]];
    make->placed -= n;
    if (n == 0) return;
    struct kw_finding f = kw_rule_finding("sticks-short", make->kit, make->part,
                                          kw_place_of(make->part->node, "from"));
    f.level = KW_STOP; // these pieces are left out
    f.measured = saw->lengths[piece];
    f.says = kw_format(w->arena, "%d of %s (%s each) find no stick of %s", n, make->part->name,
                       run_length(w, saw->lengths[piece]), make->part->stock.text);
    kw_find(&w->findings, f);
    run_leave_out(w, make->kit, make->part->name, n, f.says);
}

static enum kw_status saw_plan(struct kw_week *w, const struct kw_run_options *o,
                               struct kw_run_saw *saw, struct kw_error *err) {
    struct kw_stick_stock *stocks =
        KW_NEW_ARRAY(w->arena, struct kw_stick_stock, saw->rack_count + 1);
    for (int i = 0; i < saw->rack_count; i++) {
        const struct kw_rack_item *r = saw->racks[i];
        stocks[i] = (struct kw_stick_stock){.length = r->length,
                                            .count = r->can_buy ? -1 : r->on_hand,
                                            .price = kw_rack_item_price(w->shop, r)};
    }
    struct kw_stick_piece *pieces =
        KW_NEW_ARRAY(w->arena, struct kw_stick_piece, saw->piece_count + 1);
    for (int i = 0; i < saw->piece_count; i++) {
        struct kw_make *make = &w->makes[saw->makes[i]];
        make->placed = make->needed;
        pieces[i] = (struct kw_stick_piece){.length = saw->takes[i], .count = make->needed};
    }
    struct kw_stick_options options = kw_stick_options_default();
    options.kerf = w->shop->saw.kerf;
    options.trim = w->shop->saw.trim;
    options.hold = w->shop->saw.hold;
    options.keep = w->shop->saw.keep;
    options.keep_worth = w->shop->saw.keep_worth;
    options.seed = o->seed + 1;
    options.watch = o->watch;
    enum kw_status s = kw_stick_plan(w->arena, stocks, saw->rack_count, pieces, saw->piece_count,
                                     &options, &saw->plan, err);
    for (int i = 0; s == KW_OK && i < saw->piece_count; i++)
        report_unplaced(w, saw, i);
    if (s == KW_OK) run_order_saw(w, saw);
    return s;
}

enum kw_status run_saws(struct kw_week *w, const struct kw_run_options *o, struct kw_error *err) {
    for (int i = 0; i < w->make_count; i++) {
        if (!run_is_sheet(&w->makes[i])) add_piece(w, saw_of(w, &w->makes[i].part->stock), i);
    }
    for (int i = 0; i < w->saw_count; i++) {
        kw_watch_progress(o->watch, "sawing list", (double)i / w->saw_count);
        enum kw_status s = saw_plan(w, o, &w->saws[i], err);
        if (s != KW_OK) return s;
    }
    return KW_OK;
}
