// SPDX-License-Identifier: Apache-2.0
// The week on the demo shop's files: counts by hand, money by hand, left-out kits.
#include "run_demo.h"

#include <math.h>
#include <string.h>

static void plan(struct fixture *f, bool keep_going) {
    plan_read(f, (struct kw_run_options){.keep_going = keep_going});
}

static const struct kw_make *make_named(const struct kw_week *w, const char *label) {
    for (int i = 0; i < w->make_count; i++) {
        if (strcmp(w->makes[i].label, label) == 0) return &w->makes[i];
    }
    return NULL;
}

static struct kw_order order(const struct fixture *f, const char *kit, int count) {
    struct kw_order o = {
        .at = {"orders.csv", 2, 1}, .number = "1", .part = -1, .count = count, .due = 20261204};
    while (strcmp(f->kits.v[o.kit]->name, kit) != 0)
        o.kit++;
    return o;
}

Test(run_week, counts_kits_spares_hands_and_spare_blanks) {
    struct fixture f = {0};
    read_demo(&f);
    plan(&f, false);
    // 4 racks ordered in two lines, 4 feet each, and 2 feet as spares
    const struct kw_make *foot = make_named(&f.week, "firewood-rack/foot");
    cr_assert_not_null(foot);
    cr_expect_eq(foot->needed, 18);
    cr_expect_eq(foot->spare, 1);      // 1 a set-up and 1 in 20
    cr_expect_eq(foot->due, 20261201); // the spare is due first
    cr_expect_eq(make_named(&f.week, "firewood-rack/side left")->needed, 5);
    cr_expect_eq(make_named(&f.week, "firewood-rack/side right")->needed, 4);
    cr_expect_eq(make_named(&f.week, "fire-ring/ring-panel")->spare, 1 + 24 / 20);
    cr_expect_eq(make_named(&f.week, "firewood-rack/hoop")->spare, 0);
    cr_expect_eq(f.week.left_out_count, 0);
    for (int i = 0; i < f.week.make_count; i++) {
        const struct kw_make *m = &f.week.makes[i];
        cr_expect_eq(m->placed, m->needed + m->spare + m->extra_placed, "%s", m->label);
    }
    int boxes = 0;
    for (int i = 0; i < f.week.run_kit_count; i++)
        boxes += f.week.run_kits[i].boxed;
    cr_expect_eq(boxes, 20);
    kw_arena_free(&f.a);
}

Test(run_week, money_adds_up_and_margin_is_part_of_the_price) {
    struct fixture f = {0};
    read_demo(&f);
    plan(&f, false);
    cr_assert_eq(f.week.cost_count, 8);
    double material = 0;
    for (int i = 0; i < f.week.cost_count; i++) {
        const struct kw_cost *c = &f.week.costs[i];
        double sum = c->material + c->machine + c->labour + c->hardware + c->packing;
        cr_expect_float_eq(c->total, sum, 1e-9);
        double kept = c->price * (1 - 0.38 - 0.03);
        cr_expect_float_eq(kept, c->total, 0.01, "%s", c->kit->name);
        for (int k = 0; k < f.week.run_kit_count; k++) {
            if (f.week.run_kits[k].kit == c->kit)
                material += c->material * f.week.run_kits[k].boxed;
        }
    }
    // All sheets and sticks, less drops and remainders, plus 4 % scrap; the spares ordered single
    // pay the small rest.
    double bill = 0;
    for (int i = 0; i < f.week.sheet_count; i++) {
        const struct kw_run_sheet *s = &f.week.sheets[i];
        double dropped = 0;
        for (int d = 0; d < s->drop_count; d++) {
            dropped +=
                (s->drops[d].max.x - s->drops[d].min.x) * (s->drops[d].max.y - s->drops[d].min.y);
        }
        bill += s->times * s->rack->price * (1 - dropped / (s->width * s->height));
    }
    for (int i = 0; i < f.week.saw_count; i++) {
        const struct kw_stick_plan *p = &f.week.saws[i].plan;
        for (int n = 0; n < p->pattern_count; n++) {
            const struct kw_rack_item *r = f.week.saws[i].racks[p->patterns[n].stock];
            // From 30 in on the demo's saw keeps them, at 80 %.
            double kept = p->patterns[n].leftover >= 762 ? p->patterns[n].leftover : 0;
            bill += p->patterns[n].times * r->price * (1 - 0.8 * kept / r->length);
        }
    }
    cr_expect(material <= bill * 1.04 + 0.5, "%f of %f", material, bill * 1.04);
    cr_expect(material >= bill * 1.04 * 0.95, "%f of %f", material, bill * 1.04);
    kw_arena_free(&f.a);
}

Test(run_week, a_stop_leaves_its_kit_out_by_name_and_keep_going_makes_the_rest) {
    struct fixture f = {0};
    read_demo(&f);
    struct kw_order o[2] = {order(&f, "potting-bench", 3), order(&f, "garden-arch", 1)};
    f.orders = (struct kw_orders){o, 2};
    plan(&f, false);
    cr_assert(f.week.left_out_count >= 2);
    cr_expect_str_eq(f.week.left_out[0].kit, "potting-bench");
    cr_expect_str_eq(f.week.left_out[0].part, "back-rail");
    cr_expect_eq(f.week.left_out[0].count, 3);
    cr_expect_null(make_named(&f.week, "potting-bench/tool-strip"));
    cr_expect_not_null(make_named(&f.week, "garden-arch/leaf"));
    struct kw_week without = f.week;
    plan(&f, true);
    cr_expect_null(make_named(&f.week, "potting-bench/back-rail"));
    cr_expect_not_null(make_named(&f.week, "potting-bench/tool-strip"));
    cr_expect(f.week.make_count > without.make_count);
    for (int i = 0; i < f.week.run_kit_count; i++) {
        bool bench = strcmp(f.week.run_kits[i].kit->name, "potting-bench") == 0;
        cr_expect_eq(f.week.run_kits[i].boxed, bench ? 0 : 1);
    }
    kw_arena_free(&f.a);
}

Test(run_week, buys_what_the_rack_does_not_hold) {
    struct fixture f = {0};
    read_demo(&f);
    plan(&f, false);
    int needed = 0, times = 0;
    for (int i = 0; i < f.week.sheet_count; i++)
        times += f.week.sheets[i].times;
    for (int i = 0; i < f.week.buy_count; i++) {
        const struct kw_buy *b = &f.week.buys[i];
        cr_expect(b->needed > b->on_hand);
        cr_expect(b->count >= 1 && b->price >= 0);
        if (strcmp(b->unit, "sheet") == 0) needed += b->needed - b->on_hand;
        // 4 racks x (8 + 1) + 4 rings x (6 + 1) + 2 arches x (8 + 1) bolts
        if (strcmp(b->what, "hex bolt 3/8-16 x 1") == 0) cr_expect_eq(b->needed, 36 + 28 + 18);
    }
    cr_expect(needed <= times);
    kw_arena_free(&f.a);
}

Test(run_week, names_that_the_control_can_not_hold_are_told_with_both) {
    struct fixture f = {0};
    read_demo(&f);
    f.shop->table.controller.longest_name = 4;
    struct kw_order o = order(&f, "garden-arch", 1);
    f.orders = (struct kw_orders){&o, 1};
    struct kw_error err = {0};
    struct kw_run_options long_name = {.name = "first-week-of-december", .nest_steps = 500};
    cr_assert_eq(kw_run_week(&f.a, f.shop, &f.kits, &f.orders, &long_name, &f.week, &err), KW_OK);
    const struct kw_finding *told = NULL;
    for (int i = 0; i < f.week.findings.count; i++)
        if (strcmp(f.week.findings.v[i].rule, "program-name-short") == 0)
            told = &f.week.findings.v[i];
    cr_assert_not_null(told);
    for (int i = 0; i < f.week.sheet_count; i++) {
        const struct kw_run_sheet *s = &f.week.sheets[i];
        cr_expect_leq(strlen(s->program_name), 4);
        for (int k = 0; k < i; k++)
            cr_expect_str_neq(s->program_name, f.week.sheets[k].program_name);
    }
    cr_expect_not_null(strstr(told->says, f.week.sheets[0].full_name));
    cr_expect_not_null(strstr(told->says, f.week.sheets[0].program_name));
    kw_arena_free(&f.a);
}

// Twice the area that a contour goes round, as the torch goes: above 0 counter-clockwise.
static double turned(const struct kw_cut_plan *cut, const struct kw_cut_contour *k) {
    double sum = 0;
    for (int i = k->first_move; i < k->first_move + k->moves; i++) {
        struct kw_vec2 a = cut->moves[i].from, b = cut->moves[i].to;
        sum += kw_cross2(kw_sub2(a, k->start), kw_sub2(b, k->start));
    }
    return sum;
}

Test(run_week, the_square_side_of_the_torch_says_which_way_round) {
    for (int left = 0; left < 2; left++) {
        struct fixture f = {0};
        read_demo(&f);
        f.shop->table.square_side = left;
        struct kw_order o = order(&f, "garden-arch", 1);
        f.orders = (struct kw_orders){&o, 1};
        plan(&f, false);
        int outsides = 0, right_way = 0;
        for (int i = 0; i < f.week.sheet_count; i++) {
            const struct kw_cut_plan *cut = &f.week.sheets[i].cut;
            for (int c = 0; c < cut->contour_count; c++) {
                const struct kw_cut_contour *k = &cut->contours[c];
                if (k->part < 0 || k->hole >= 0) continue;
                outsides++;
                right_way += (turned(cut, k) > 0) == left;
            }
        }
        cr_expect_gt(outsides, 10);
        cr_expect_eq(right_way, outsides, "left %d: %d of %d", left, right_way, outsides);
        kw_arena_free(&f.a);
    }
}

static bool stop_at_once(void *user) {
    (void)user;
    return true;
}

Test(run_week, can_be_stopped) {
    struct fixture f = {0};
    read_demo(&f);
    struct kw_watch watch = {.stopped = stop_at_once};
    struct kw_run_options o = {.name = "t", .date = 20261130, .watch = &watch};
    struct kw_error err = {0};
    cr_expect_eq(kw_run_week(&f.a, f.shop, &f.kits, &f.orders, &o, &f.week, &err), KW_STOPPED);
    kw_arena_free(&f.a);
}

// Of the rack's tubes the hoop is 30-5/8 in high and 25-1/4 wide: no carton under two feet takes
// it.
Test(run_week, a_kit_that_fits_no_carton_is_left_out_before_any_of_it_is_cut) {
    struct fixture f = {0};
    read_demo(&f);
    for (int i = 0; i < f.shop->cartons.count; i++)
        KW_ITEM(struct kw_box_size, f.shop->cartons, i)->length = 24 * KW_MM_PER_IN;
    plan(&f, false);
    bool told = false;
    for (int i = 0; i < f.week.findings.count; i++) {
        const struct kw_finding *d = &f.week.findings.v[i];
        told = told || (strcmp(d->rule, "no-carton") == 0 && strcmp(d->part, "hoop") == 0 &&
                        d->level == KW_STOP);
    }
    cr_expect(told);
    cr_expect_null(make_named(&f.week, "firewood-rack/hoop"));
    cr_expect_null(make_named(&f.week, "firewood-rack/kindling-tray"), "nor the rest of the kit");
    cr_expect_not_null(make_named(&f.week, "garden-lantern/tray"), "a small kit is made");
    kw_arena_free(&f.a);
}

Test(run_week, a_shop_without_cartons_picks_and_does_not_pack) {
    struct fixture f = {0};
    read_demo(&f);
    f.shop->cartons = (struct kw_items){0};
    plan(&f, false);
    int boxes = 0;
    for (int i = 0; i < f.week.run_kit_count; i++)
        boxes += f.week.run_kits[i].boxed;
    cr_expect_eq(boxes, 20);
    cr_expect_eq(f.week.left_out_count, 0);
    cr_expect_eq(f.week.packing_count, 8);
    cr_expect_eq(f.week.packings[0].plan.carton_count, 0);
    kw_arena_free(&f.a);
}

// The drop W46-B has a corner cut off and a rusty one; what is put on it keeps off both, by the
// judge of nests as well (demo-packet).
Test(run_week, a_drop_is_cut_as_it_is) {
    struct fixture f = {0};
    read_demo(&f);
    plan(&f, false);
    const struct kw_run_sheet *s = NULL;
    for (int i = 0; i < f.week.sheet_count; i++) {
        const char *name = f.week.sheets[i].rack->painted;
        if (name && strcmp(name, "W46-B") == 0) s = &f.week.sheets[i];
    }
    cr_assert(s && s->free && s->program, "it is used up before a sheet is bought");
    cr_expect_eq(s->times, 1);
    cr_expect_eq(s->free->hole_count, 1);
    double inch2 = 25.4 * 25.4, area = (40 * 30 - 16 * 12 / 2.0) * inch2;
    cr_expect_float_eq(kw_path_area(&s->free->outer), area, 1e-6);
    cr_expect_float_eq(s->mass, area * .0747 * 25.4 * 7850e-9, 0.02); // 14 ga is 0.0747 in
    for (int i = 0; i < s->placement_count; i++) {
        const struct kw_nest_placement *p = &s->placements[i];
        struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
        struct kw_region r = kw_region_moved(f.week.arena, &f.week.makes[p->part].blank, m);
        for (int k = 0; k < r.outer.count; k++) {
            struct kw_vec2 at = {r.outer.v[k].x, r.outer.v[k].y};
            cr_expect(kw_path_contains(&s->free->outer, at));
            cr_expect_not(at.x < 6 * 25.4 && at.y > 25 * 25.4);
        }
    }
    kw_arena_free(&f.a);
}
