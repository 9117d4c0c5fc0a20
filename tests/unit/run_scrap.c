// SPDX-License-Identifier: Apache-2.0
// Test pieces and fillers in the scrap of the demo's week. What is checked against: the week
// without them, and geometry.
#include "run_demo.h"
#include "shop/learned.h"

#include <math.h>
#include <string.h>

static enum kw_status plan(struct fixture *f, bool coupons, struct kw_error *err) {
    struct kw_run_options o = {
        .name = "t", .date = 20261130, .coupons = coupons, .nest_steps = 2000};
    return kw_run_week(&f->a, f->shop, &f->kits, &f->orders, &o, &f->week, err);
}

static void plan_well(struct fixture *f, bool coupons) {
    struct kw_error err = {0};
    cr_assert_eq(plan(f, coupons, &err), KW_OK, "%s", err.text);
}

static const struct kw_finding *finding(const struct kw_week *w, const char *rule) {
    for (int i = 0; i < w->findings.count; i++)
        if (strcmp(w->findings.v[i].rule, rule) == 0) return &w->findings.v[i];
    return NULL;
}

static int sheets_bought(const struct kw_week *w) {
    int n = 0;
    for (int i = 0; i < w->sheet_count; i++)
        n += w->sheets[i].times;
    return n;
}

// Nothing that was placed without them moves, no sheet is added, every drop stays clear of them.
Test(run_scrap, takes_only_what_would_be_scrap) {
    struct fixture f = {0};
    read_demo(&f);
    struct kw_items fillers = f.shop->fillers;
    cr_assert_eq(fillers.count, 2);
    f.shop->fillers.count = 0;
    f.shop->coupons = KW_COUPONS_NEVER;
    plan_well(&f, false);
    struct kw_week without = f.week;
    for (int i = 0; i < without.make_count; i++)
        cr_expect_eq(without.makes[i].extra_placed, 0);
    f.shop->fillers = fillers;
    plan_well(&f, true);
    cr_assert_eq(sheets_bought(&f.week), sheets_bought(&without));
    cr_assert_eq(f.week.sheet_count, without.sheet_count);
    int extra = 0, coupons = 0;
    for (int i = 0; i < f.week.sheet_count; i++) {
        const struct kw_run_sheet *s = &f.week.sheets[i], *o = &without.sheets[i];
        cr_assert_geq(s->placement_count, o->placement_count);
        cr_assert_eq(s->drop_count, o->drop_count);
        for (int k = 0; k < o->placement_count; k++)
            cr_expect_eq(memcmp(&s->placements[k], &o->placements[k], sizeof *o->placements), 0);
        for (int k = o->placement_count; k < s->placement_count; k++) {
            const struct kw_nest_placement *p = &s->placements[k];
            const struct kw_make *m = &f.week.makes[p->part];
            struct kw_region r = kw_region_moved(
                &f.a, &m->blank, kw_move2_make(p->x, p->y, p->rotation, p->mirrored));
            struct kw_box2 box = kw_path_box(&r.outer);
            for (int d = 0; d < s->drop_count; d++)
                cr_expect(box.max.x <= s->drops[d].min.x + 1e-6 ||
                          box.max.y <= s->drops[d].min.y + 1e-6 ||
                          box.min.x >= s->drops[d].max.x - 1e-6 ||
                          box.min.y >= s->drops[d].max.y - 1e-6);
            extra += s->times;
            coupons += m->use == KW_MAKE_COUPON;
        }
    }
    cr_expect_gt(coupons, 3);
    cr_expect_gt(extra, coupons + 5);
    int counted = 0;
    for (int i = 0; i < f.week.make_count; i++) {
        const struct kw_make *m = &f.week.makes[i];
        cr_expect_leq(m->extra_placed, m->extra);
        cr_expect_leq(m->use == KW_MAKE_COUPON ? m->placed : 0, 1);
        counted += m->extra_placed;
    }
    cr_expect_eq(counted, extra);
    // The kits' material costs what it cost.
    for (int i = 0; i < f.week.cost_count; i++)
        cr_expect_float_eq(f.week.costs[i].material, without.costs[i].material, 0.011);
    kw_arena_free(&f.a);
}

Test(run_scrap, test_pieces_are_for_bends_of_the_week_that_were_never_measured) {
    struct fixture f = {0};
    read_demo(&f);
    plan_well(&f, true);
    for (int i = 0; i < f.week.make_count; i++) {
        const struct kw_make *m = &f.week.makes[i];
        if (m->use != KW_MAKE_COUPON || m->extra == 0) continue;
        int die = m->what->brake->steps[0].die;
        bool bent = false;
        for (int k = 0; k < f.week.make_count; k++) {
            const struct kw_make *o = &f.week.makes[k];
            for (int s = 0;
                 o->use == KW_MAKE_ORDERED && o->what->brake && s < o->what->brake->step_count; s++)
                bent = bent || (o->what->brake->steps[s].die == die &&
                                kw_stock_same(&o->part->stock, &m->part->stock));
        }
        cr_expect(bent, "%s over die %d", m->label, die);
    }
    // Seven measured coupons of 14 ga over this die: no more are cut.
    int found = 0;
    struct kw_learned_bend known[8];
    struct kw_learned learned = {.bends = known};
    for (int i = 0; i < f.week.make_count && learned.bend_count < 8; i++) {
        const struct kw_make *m = &f.week.makes[i];
        if (m->use != KW_MAKE_COUPON || m->extra == 0) continue;
        found++;
        known[learned.bend_count++] = (struct kw_learned_bend){.stock = m->part->stock,
                                                               .die = m->what->brake->steps[0].die,
                                                               .count = 7,
                                                               .radius = 2,
                                                               .k = 0.44,
                                                               .deduction = 3,
                                                               .source = "coupons (7)"};
    }
    cr_assert_gt(found, 0);
    f.shop->learned = &learned;
    plan_well(&f, true);
    for (int i = 0; i < f.week.make_count; i++) {
        const struct kw_make *m = &f.week.makes[i];
        if (m->use != KW_MAKE_COUPON) continue;
        for (int k = 0; k < learned.bend_count; k++)
            cr_expect(!(kw_stock_same(&m->part->stock, &known[k].stock) && m->extra > 0 &&
                        m->what->brake->steps[0].die == known[k].die),
                      "%s was measured", m->label);
    }
    kw_arena_free(&f.a);
}

// A margin that leaves no room beside what is ordered.
Test(run_scrap, test_pieces_that_find_no_room_are_told) {
    struct fixture f = {0};
    read_demo(&f);
    f.shop->fillers.count = 0;
    for (int tight = 0; tight < 2; tight++) {
        if (tight) f.shop->table.margin = 90;
        plan_well(&f, true);
        int missing = 0;
        double told = 0;
        for (int i = 0; i < f.week.make_count; i++) {
            const struct kw_make *m = &f.week.makes[i];
            missing += m->use == KW_MAKE_COUPON && m->placed == 0 && m->extra > 0;
        }
        for (int i = 0; i < f.week.findings.count; i++)
            if (strcmp(f.week.findings.v[i].rule, "coupons-no-room") == 0)
                told += f.week.findings.v[i].measured;
        cr_expect_float_eq(told, missing, 0.5);
        if (tight) cr_expect_gt(missing, 0);
    }
    kw_arena_free(&f.a);
}

Test(run_scrap, a_filler_must_be_worth_its_cutting_and_flat_and_there) {
    struct fixture f = {0};
    struct kw_error err = {0};
    read_demo(&f);
    struct kw_filler own[2] = {*KW_ITEM(struct kw_filler, f.shop->fillers, 0),
                               *KW_ITEM(struct kw_filler, f.shop->fillers, 1)};
    f.shop->fillers = (struct kw_items){own, 2};
    f.shop->coupons = KW_COUPONS_NEVER;
    own[0].value = 0.001;
    own[1].part = "firewood-rack/foot"; // bent
    plan_well(&f, false);
    const struct kw_finding *dear = finding(&f.week, "filler-costs-more");
    cr_assert_not_null(dear);
    cr_expect_gt(dear->limit, dear->measured);
    cr_expect_gt(dear->where.line, 0);
    cr_expect_not_null(finding(&f.week, "filler-not-made"));
    for (int i = 0; i < f.week.make_count; i++)
        cr_expect_eq(f.week.makes[i].extra_placed, 0);
    own[0].part = "firewood-rack/hok";
    cr_expect_eq(plan(&f, false, &err), KW_UNKNOWN);
    cr_expect_gt(err.at.line, 0);
    kw_arena_free(&f.a);
}
