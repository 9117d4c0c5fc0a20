// SPDX-License-Identifier: Apache-2.0
// Load of the machines, what to buy, and what a kit costs.
//
// Money follows the trade: the sheet used is charged, skeleton included; only a useful drop that
// goes back to the rack is credited. Margin is part of the price, not a mark-up on the cost.
#include "run/inside.h"

#include <math.h>
#include <string.h>

// ------------------------------------------------------------------------------------------ time

static int brake_strokes(const struct kw_make *m) {
    return m->what->brake ? m->what->brake->step_count : 0;
}
static int tube_bends(const struct kw_make *m) {
    return m->what->tube ? m->what->tube->count : 0;
}

// Test pieces of one stock and die are bent one after the other, from one set-up.
static bool shares_setup(const struct kw_week *w, const struct kw_make *m) {
    for (const struct kw_make *o = w->makes; m->use == KW_MAKE_COUPON && o < m; o++)
        if (o->use == KW_MAKE_COUPON && o->placed > 0 && o->nicks_behind == m->nicks_behind &&
            kw_stock_same(&o->part->stock, &m->part->stock))
            return true;
    return false;
}

// Seconds for all placed pieces of a make; set-up once a make.
static double press_time(const struct kw_week *w, const struct kw_make *m) {
    int strokes = brake_strokes(m);
    if (strokes == 0 || m->placed == 0) return 0;
    double setup = shares_setup(w, m) ? 0 : w->shop->press.setup;
    return setup + w->shop->press.per_bend * strokes * m->placed;
}

static double bender_time(const struct kw_week *w, const struct kw_make *m) {
    int bends = tube_bends(m);
    if (bends == 0 || m->placed == 0) return 0;
    return w->shop->bender.setup + w->shop->bender.per_bend * bends * m->placed;
}

static double saw_time(const struct kw_week *w, const struct kw_make *m) {
    if (run_is_sheet(m) || m->placed == 0) return 0;
    return w->shop->saw.setup + w->shop->saw.per_cut * m->placed;
}

// Of all sheets of a layout; a new program is proven once.
static double set_up_time(const struct kw_week *w, const struct kw_run_sheet *s) {
    return s->times * w->shop->table.setup + (s->standing ? 0 : w->shop->table.prove);
}

static double table_time(const struct kw_week *w) {
    double s = 0;
    for (int i = 0; i < w->sheet_count; i++) {
        if (!w->sheets[i].program) continue;
        s += w->sheets[i].times * w->sheets[i].cut.cut_time + set_up_time(w, &w->sheets[i]);
    }
    return s;
}

// The table's set-up falls on the makes of a sheet by their share of the cut.
static double table_setup_time(const struct kw_week *w, int make) {
    double s = 0;
    for (int i = 0; i < w->sheet_count; i++) {
        const struct kw_run_sheet *sheet = &w->sheets[i];
        if (!sheet->program) continue;
        double mine = 0, all = 0;
        for (int c = 0; c < sheet->cut.contour_count; c++) {
            const struct kw_cut_contour *k = &sheet->cut.contours[c];
            if (k->part < 0) continue;
            all += k->length;
            if (sheet->placements[k->part].part == make) mine += k->length;
        }
        if (all > 0) s += set_up_time(w, sheet) * mine / all;
    }
    return s;
}

static int cartons_packed(const struct kw_week *w) {
    int n = 0;
    for (int i = 0; i < w->packing_count; i++) {
        const struct kw_run_packing *p = &w->packings[i];
        n += kw_run_kit_of(w, p->kit)->boxed * p->plan.carton_count;
    }
    return n;
}

static void add_load(struct kw_week *w, const char *machine, double s, double available) {
    KW_PUSH(w->arena, w->loads, w->load_count) =
        (struct kw_load){machine, s / 3600, available / 3600};
    if (s <= available) return;
    struct kw_finding f = kw_rule_finding("hours-short", NULL, NULL, w->shop->node->at);
    f.where = kw_place_of(w->shop->hours.node ? w->shop->hours.node : w->shop->node, machine);
    f.measured = s / 3600;
    f.limit = available / 3600;
    f.says = kw_format(w->arena, "the %s needs %.1f h this week and has %.1f h", machine,
                       f.measured, f.limit);
    kw_find(&w->findings, f);
}

void run_loads(struct kw_week *w) {
    double press = 0, bender = 0, saw = 0, bench = 0;
    for (int i = 0; i < w->make_count; i++) {
        press += press_time(w, &w->makes[i]);
        bender += bender_time(w, &w->makes[i]);
        saw += saw_time(w, &w->makes[i]);
        bench += w->shop->rates.handle * w->makes[i].placed;
    }
    bench += w->shop->rates.pack * cartons_packed(w);
    add_load(w, "table", table_time(w), w->shop->hours.table);
    add_load(w, "press", press, w->shop->hours.press);
    add_load(w, "bender", bender, w->shop->hours.bender);
    add_load(w, "saw", saw, w->shop->hours.saw);
    add_load(w, "bench", bench, w->shop->hours.bench);
}

// ------------------------------------------------------------------------------------------- buy

static void add_buy(struct kw_week *w, const char *what, int needed, int on_hand, int pack,
                    double price_of_pack, const char *unit) {
    int missing = needed - on_hand;
    int packs = missing > 0 ? (missing + pack - 1) / pack : 0;
    if (packs == 0) return;
    KW_PUSH(w->arena, w->buys, w->buy_count) =
        (struct kw_buy){.what = what,
                        .count = packs,
                        .needed = needed,
                        .on_hand = on_hand,
                        .price = kw_cents(packs * price_of_pack),
                        .unit = unit};
}

const char *kw_rack_name(struct kw_arena *a, const struct kw_shop *shop,
                         const struct kw_rack_item *r) {
    char length[KW_NUMBER_SIZE], width[KW_NUMBER_SIZE];
    bool inches = shop->units == (int)KW_IN;
    const char *unit = inches ? "in" : "mm";
    double scale = inches ? KW_MM_PER_IN : 1;
    kw_number(length, r->length / scale, 3);
    kw_number(width, r->width / scale, 3);
    if (r->width > 0) return kw_format(a, "%s, %s x %s %s", r->stock.text, length, width, unit);
    return kw_format(a, "%s, %s %s long", r->stock.text, length, unit);
}

static void buy_racks(struct kw_week *w) {
    for (int i = 0; i < w->shop->sheets.count; i++) {
        const struct kw_rack_item *r = KW_ITEM(struct kw_rack_item, w->shop->sheets, i);
        int used = 0;
        for (int s = 0; s < w->sheet_count; s++) {
            if (w->sheets[s].rack == r && w->sheets[s].program) used += w->sheets[s].times;
        }
        add_buy(w, kw_rack_name(w->arena, w->shop, r), used, r->on_hand, 1,
                kw_rack_item_price(w->shop, r), "sheet");
    }
    for (int i = 0; i < w->shop->sticks.count; i++) {
        const struct kw_rack_item *r = KW_ITEM(struct kw_rack_item, w->shop->sticks, i);
        int used = 0;
        for (int s = 0; s < w->saw_count; s++) {
            for (int p = 0; p < w->saws[s].plan.pattern_count; p++) {
                const struct kw_stick_pattern *pattern = &w->saws[s].plan.patterns[p];
                if (w->saws[s].racks[pattern->stock] == r) used += pattern->times;
            }
        }
        add_buy(w, kw_rack_name(w->arena, w->shop, r), used, r->on_hand, 1,
                kw_rack_item_price(w->shop, r), "stick");
    }
}

static int hardware_needed(const struct kw_week *w, const char *name) {
    int n = 0;
    for (int k = 0; k < w->run_kit_count; k++) {
        const struct kw_kit *kit = w->run_kits[k].kit;
        for (int b = 0; b < kit->bags.count; b++) {
            const struct kw_bag *bag = KW_ITEM(struct kw_bag, kit->bags, b);
            for (int i = 0; i < bag->holds.count; i++) {
                const struct kw_bag_item *item = KW_ITEM(struct kw_bag_item, bag->holds, i);
                if (strcmp(item->name, name) != 0) continue;
                n += (item->count + bag->spare) * w->run_kits[k].boxed;
            }
        }
    }
    return n;
}

static void buy_cartons(struct kw_week *w) {
    for (int c = 0; c < w->shop->cartons.count; c++) {
        const struct kw_box_size *size = KW_ITEM(struct kw_box_size, w->shop->cartons, c);
        int n = 0;
        for (int p = 0; p < w->packing_count; p++) {
            int each = 0;
            for (int i = 0; i < w->packings[p].plan.carton_count; i++) {
                each += w->packings[p].plan.cartons[i].kind == c;
            }
            n += each * kw_run_kit_of(w, w->packings[p].kit)->boxed;
        }
        add_buy(w, kw_format(w->arena, "carton %s", size->name), n, 0, 1, size->price, "carton");
    }
}

void run_buys(struct kw_week *w) {
    buy_racks(w);
    for (int i = 0; i < w->shop->hardware.count; i++) {
        const struct kw_hardware *h = KW_ITEM(struct kw_hardware, w->shop->hardware, i);
        int pack = h->pack > 1 ? h->pack : 1;
        add_buy(w, h->name, hardware_needed(w, h->name), h->on_hand, pack, h->price * pack,
                pack > 1 ? kw_format(w->arena, "pack of %d", pack) : "piece");
    }
    buy_cartons(w);
}

// ------------------------------------------------------------------------------------------ cost

// Pieces that the kits pay for. What comes out of the scrap pays nothing: the sheets are bought
// either way.
static int paid_for(const struct kw_make *m) {
    return m->placed - m->extra_placed;
}

static double make_area(const struct kw_make *m) {
    return kw_region_area(&m->blank) * paid_for(m);
}

// Sheets of one stock as bought, less the drops by area.
static double sheet_bill(const struct kw_week *w, const struct kw_stock *stock) {
    double bill = 0;
    for (int i = 0; i < w->sheet_count; i++) {
        const struct kw_run_sheet *s = &w->sheets[i];
        if (!s->program || !kw_stock_same(&s->stock, stock)) continue;
        double dropped = 0;
        for (int d = 0; d < s->drop_count; d++) {
            dropped +=
                (s->drops[d].max.x - s->drops[d].min.x) * (s->drops[d].max.y - s->drops[d].min.y);
        }
        double used = 1 - dropped / (s->width * s->height);
        bill += s->times * kw_rack_item_price(w->shop, s->rack) * used;
    }
    return bill;
}

// Sticks as bought, less the worth of leftovers that go back to the rack.
static double stick_bill(const struct kw_week *w, const struct kw_run_saw *saw) {
    double bill = 0;
    for (int p = 0; p < saw->plan.pattern_count; p++) {
        const struct kw_stick_pattern *pattern = &saw->plan.patterns[p];
        const struct kw_rack_item *r = saw->racks[pattern->stock];
        bill += pattern->times * kw_rack_item_price(w->shop, r);
    }
    return bill - saw->plan.kept_worth;
}

// Material of all placed pieces of a make: its share of the bill of its stock, by area or length.
static double make_material(const struct kw_week *w, int make) {
    const struct kw_make *m = &w->makes[make];
    double mine = 0, all = 0, bill = 0;
    if (run_is_sheet(m)) {
        bill = sheet_bill(w, &m->part->stock);
        for (int i = 0; i < w->make_count; i++) {
            const struct kw_make *o = &w->makes[i];
            if (run_is_sheet(o) && kw_stock_same(&o->part->stock, &m->part->stock))
                all += make_area(o);
        }
        mine = make_area(m);
    } else {
        for (int s = 0; s < w->saw_count; s++) {
            if (!kw_stock_same(&w->saws[s].stock, &m->part->stock)) continue;
            bill = stick_bill(w, &w->saws[s]);
            for (int i = 0; i < w->saws[s].piece_count; i++) {
                const struct kw_make *o = &w->makes[w->saws[s].makes[i]];
                all += w->saws[s].lengths[i] * o->placed;
            }
        }
        mine = m->what->cut_length * m->placed;
    }
    return all > 0 ? bill * mine / all : 0;
}

static double pierces_cost(const struct kw_week *w, const struct kw_make *m) {
    if (!run_is_sheet(m)) return 0;
    const struct kw_cut_entry *rule = kw_shop_cut_rule(w->shop, &m->part->stock);
    double pierces = m->pierces > 0 ? m->pierces : 1 + m->blank.hole_count;
    return rule ? rule->cost_per_pierce * pierces : 0;
}

// Of one good piece: spare blanks are paid by the good ones.
static void add_make(const struct kw_week *w, int make, int per_kit, struct kw_cost *cost) {
    const struct kw_make *m = &w->makes[make];
    int good = m->placed < m->needed ? m->placed : m->needed;
    if (good == 0) return;
    const struct kw_rates *r = &w->shop->rates;
    double table = m->cut_time * paid_for(m) + table_setup_time(w, make);
    double press = press_time(w, m), bender = bender_time(w, m), saw = saw_time(w, m);
    double attended = table_setup_time(w, make) + press + bender + saw + r->handle * paid_for(m);
    double share = (double)per_kit / good;
    cost->material += make_material(w, make) * (1 + r->scrap) * share;
    cost->machine +=
        share * (table * r->table + press * r->press + bender * r->bender + saw * r->saw) / 3600;
    cost->machine += share * pierces_cost(w, m) * paid_for(m);
    cost->labour += share * attended * r->labour / 3600;
}

static double hardware_cost(const struct kw_week *w, const struct kw_kit *kit) {
    double cost = 0;
    for (int b = 0; b < kit->bags.count; b++) {
        const struct kw_bag *bag = KW_ITEM(struct kw_bag, kit->bags, b);
        for (int i = 0; i < bag->holds.count; i++) {
            const struct kw_bag_item *item = KW_ITEM(struct kw_bag_item, bag->holds, i);
            cost += kw_shop_hardware(w->shop, item->name)->price * (item->count + bag->spare);
        }
    }
    return cost;
}

static void cost_of_kit(struct kw_week *w, const struct kw_run_packing *packing) {
    const struct kw_kit *kit = packing->kit;
    const struct kw_rates *r = &w->shop->rates;
    struct kw_cost c = {.kit = kit};
    for (int i = 0; i < w->make_count; i++) {
        const struct kw_make *m = &w->makes[i];
        if (m->kit != kit) continue;
        int per_kit = run_per_kit(m->part, m->hand);
        add_make(w, i, per_kit, &c);
    }
    c.hardware = hardware_cost(w, kit);
    c.packing = packing->plan.price;
    c.labour += r->pack * packing->plan.carton_count * r->labour / 3600;
    c.material = kw_cents(c.material);
    c.machine = kw_cents(c.machine);
    c.labour = kw_cents(c.labour);
    c.hardware = kw_cents(c.hardware);
    c.packing = kw_cents(c.packing);
    c.total = c.material + c.machine + c.labour + c.hardware + c.packing;
    double keep = 1 - r->margin - r->card_fee;
    c.price = kit->price > 0 ? kit->price : keep > 0 ? kw_cents(c.total / keep) : 0;
    KW_PUSH(w->arena, w->costs, w->cost_count) = c;
}

void run_costs(struct kw_week *w) {
    for (int i = 0; i < w->packing_count; i++)
        cost_of_kit(w, &w->packings[i]);
}
