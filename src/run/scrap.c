// SPDX-License-Identifier: Apache-2.0
// What would be scrap: test pieces for the bends of the week that were never measured, then small
// parts that sell by themselves. Neither costs a sheet, nor the drop that a sheet leaves.
#include "run/inside.h"
#include "shop/learned.h"

#include <string.h>

// Common practice, no source: five test pieces tell allowance and springback; two of them square,
// since most bends are, the last only where the die is sharp enough; legs of 1-1/4 in or more are
// measured well by a caliper's depth rod.
#define COUPONS     5
#define LEAST_LEG   (1.25 * KW_MM_PER_IN)
#define LEG_TO_DIE  1.5 // of the opening: the shortest leg at 120 degrees with room for the hands
#define COUPON_WIDE (2 * KW_MM_PER_IN)
#define NICK_PITCH  (0.25 * KW_MM_PER_IN)
static const int coupon_turns[COUPONS] = {90, 90, 60, 30, 120};

// ------------------------------------------------------------------------------------ test pieces

/// A sheet over a die that bends it this week.
struct pair {
    const struct kw_stock *stock;
    int die, first, count; ///< test pieces coupon_turns[first ..], so many
    bool behind;           ///< its nicks: another die of the stock has those on the front edge
};

static double coupon_leg(const struct kw_week *w, int die) {
    double opening = KW_ITEM(struct kw_press_tool, w->shop->press.dies, die)->opening;
    double least = fmax(LEAST_LEG, LEG_TO_DIE * opening), eighth = KW_MM_PER_IN / 8;
    return ceil(least / eighth - 1e-9) * eighth;
}

static void add_pair(struct kw_week *w, const struct kw_stock *stock, int die, struct pair **v,
                     int *count) {
    const struct kw_learned_bend *known = kw_learned_bend_of(w->shop, stock, die);
    int measured = known ? known->count : 0, like = 0;
    for (int i = 0; i < *count; i++) {
        bool same = kw_stock_same((*v)[i].stock, stock);
        if (same && (*v)[i].die == die) return;
        like += same;
    }
    if (measured >= COUPONS || like > 1) return;
    KW_PUSH(w->arena, *v, *count) =
        (struct pair){stock, die, measured, COUPONS - measured, like == 1};
}

static struct pair *unmeasured_bends(struct kw_week *w, int *count) {
    struct pair *v = NULL;
    *count = 0;
    for (int i = 0; i < w->make_count; i++) {
        const struct kw_brake_plan *plan = w->makes[i].what->brake;
        for (int s = 0; plan && s < plan->step_count; s++)
            if (plan->steps[s].die >= 0 && !plan->steps[s].blocked && plan->steps[s].stage == 1)
                add_pair(w, &w->makes[i].part->stock, plan->steps[s].die, &v, count);
    }
    return v;
}

// The run's own kit: read by the kit reader, so that its parts are parts like any other.
static const char *coupon_kit_text(struct kw_week *w, const struct pair *v, int count) {
    struct kw_text t = {0};
    int number = 0;
    kw_text_add(&t, "kit: coupons\nname: Test pieces\nrevision: A\nunits: mm\nparts:\n");
    for (int i = 0; i < count; i++)
        for (int k = 0; k < v[i].count; k++) {
            char leg[KW_NUMBER_SIZE], wide[KW_NUMBER_SIZE];
            kw_number(leg, coupon_leg(w, v[i].die), 4);
            kw_text_addf(
                &t,
                "  %04d-%d:\n    from: \"%s\"\n    per_kit: 1\n    base: { long: %s, wide: %s }\n"
                "    bends: { A: { along: right, height: %s, turn: %d } }\n",
                w->date % 10000, ++number, v[i].stock->text, leg, kw_number(wide, COUPON_WIDE, 4),
                leg, coupon_turns[v[i].first + k]);
        }
    const char *text = kw_copy_text(w->arena, t.s, t.length);
    kw_text_free(&t);
    return text;
}

static bool uses_die(const struct kw_examined *what, int die) {
    return what->makeable && what->brake && what->brake->step_count == 1 &&
           what->brake->steps[0].die == die;
}

static enum kw_status add_coupons(struct kw_week *w, struct kw_error *err) {
    int count, number = 0;
    struct pair *v = unmeasured_bends(w, &count);
    if (count == 0) return KW_OK;
    const char *text = coupon_kit_text(w, v, count);
    struct kw_kit *kit;
    enum kw_status s = kw_kit_parse(w->arena, w->shop, w->kits->folder, "test pieces", text,
                                    strlen(text), NULL, &kit, err);
    if (s != KW_OK) return s;
    struct kw_findings unsaid = {.arena = w->arena}; // a test piece may be small
    struct kw_examined *parts;
    struct kw_run_kit row = {.kit = kit};
    kw_check_kit(w->arena, w->shop, kit, &unsaid, &parts, &row.part_count);
    row.parts = parts;
    for (int i = 0; i < count; i++)
        for (int k = 0; k < v[i].count; k++, number++) {
            struct kw_make m = run_make_row(w, &row, number, KW_EACH);
            bool ok = uses_die(m.what, v[i].die);
            if (ok) s = run_try_cut(w, &m, &ok, err);
            if (s != KW_OK) return s;
            m.use = KW_MAKE_COUPON;
            m.extra = ok;
            m.nicks = k + 1;
            m.nicks_behind = v[i].behind;
            KW_PUSH(w->arena, w->makes, w->make_count) = m;
        }
    return KW_OK;
}

void run_coupon_nicks(struct kw_week *w, const struct kw_make *make, struct kw_move2 m,
                      struct kw_cut_line **marks, int *count) {
    double nick = w->shop->table.nick, wide = kw_path_box(&make->blank.outer).max.y;
    for (int i = 1; nick > 0 && i <= make->nicks; i++) {
        double x = NICK_PITCH * i, y = make->nicks_behind ? wide : 0;
        struct kw_vec2 from = kw_v2(x, y), to = kw_v2(x, make->nicks_behind ? wide - nick : nick);
        KW_PUSH(w->arena, *marks, *count) =
            (struct kw_cut_line){kw_move2_point(m, from), kw_move2_point(m, to)};
    }
}

void run_report_coupons(struct kw_week *w) {
    for (int i = 0; i < w->make_count; i++) {
        const struct kw_make *m = &w->makes[i];
        if (m->use != KW_MAKE_COUPON || m->placed > 0 || m->extra == 0) continue;
        int missing = 0, all = 0;
        bool first = true;
        for (int k = 0; k < w->make_count; k++) {
            const struct kw_make *o = &w->makes[k];
            if (o->use != KW_MAKE_COUPON || !kw_stock_same(&o->part->stock, &m->part->stock))
                continue;
            all += o->extra > 0;
            missing += o->placed == 0 && o->extra > 0;
            first = first && !(k < i && o->placed == 0 && o->extra > 0);
        }
        if (!first) continue;
        struct kw_finding f =
            kw_rule_finding("coupons-no-room", NULL, NULL, kw_place_of(w->shop->node, "coupons"));
        f.measured = missing;
        f.limit = 0;
        f.says = kw_format(w->arena, "%d of %d test pieces of %s find no room", missing, all,
                           m->part->stock.text);
        kw_find(&w->findings, f);
    }
}

// ---------------------------------------------------------------------------------------- fillers

static enum kw_status find_filler(struct kw_week *w, const struct kw_filler *f,
                                  struct kw_run_kit *row, int *part, struct kw_error *err) {
    const char *slash = strchr(f->part, '/');
    struct kw_kit *kit = NULL;
    for (int i = 0; slash && i < w->kits->count; i++) {
        const char *name = w->kits->v[i]->name;
        if (strlen(name) == (size_t)(slash - f->part) && strncmp(name, f->part, strlen(name)) == 0)
            kit = w->kits->v[i];
    }
    struct kw_part *found = kit ? kw_kit_part(kit, slash + 1) : NULL;
    if (!found) {
        return kw_fail(err, KW_UNKNOWN, kw_place_of(f->node, "part"),
                       "expected KIT/PART of a kit in kits/, got \"%.*s\"", KW_SHOWN(f->part));
    }
    *part = (int)(found - KW_ITEM(struct kw_part, kit->parts, 0));
    const struct kw_run_kit *known = kw_run_kit_of(w, kit);
    if (known) {
        *row = *known;
        return KW_OK;
    }
    struct kw_findings unsaid = {.arena = w->arena}; // the kit itself is not asked for
    struct kw_examined *parts;
    *row = (struct kw_run_kit){.kit = kit};
    kw_check_kit(w->arena, w->shop, kit, &unsaid, &parts, &row->part_count);
    row->parts = parts;
    return KW_OK;
}

static double length_of(const struct kw_region *r) {
    double length = kw_path_length(&r->outer);
    for (int i = 0; i < r->hole_count; i++)
        length += kw_path_length(&r->holes[i]);
    return length;
}

/// What the torch costs for one: time at the table's rate, pierces at the rule's.
static double cutting_cost(const struct kw_week *w, const struct kw_make *m) {
    const struct kw_cut_entry *rule = kw_shop_cut_rule(w->shop, &m->part->stock);
    int pierces = 1 + m->blank.hole_count;
    double time = length_of(&m->blank) / rule->feed + pierces * rule->pierce_delay;
    return time / 3600 * w->shop->rates.table + pierces * rule->cost_per_pierce;
}

static void say_filler(struct kw_week *w, const struct kw_filler *f, const char *rule,
                       double measured, double limit, const char *says) {
    struct kw_finding finding = kw_rule_finding(rule, NULL, NULL, kw_place_of(f->node, "part"));
    finding.measured = measured;
    finding.limit = limit;
    finding.says = says;
    kw_find(&w->findings, finding);
}

static enum kw_status add_filler(struct kw_week *w, const struct kw_filler *f,
                                 struct kw_error *err) {
    struct kw_run_kit row;
    int part = 0;
    bool ok = true;
    enum kw_status s = find_filler(w, f, &row, &part, err);
    if (s != KW_OK) return s;
    const struct kw_examined *what = &row.parts[part];
    bool flat = what->body && what->body->bend_count == 0 &&
                KW_ITEM(struct kw_part, row.kit->parts, part)->each > 0;
    if (!flat || !what->makeable) {
        say_filler(
            w, f, "filler-not-made", 0, 0,
            kw_format(w->arena,
                      flat ? "%s can't be made here" : "%s is no flat sheet part in one hand",
                      f->part));
        return KW_OK;
    }
    struct kw_make m = run_make_row(w, &row, part, KW_EACH);
    double cost = cutting_cost(w, &m);
    if (f->value <= cost) {
        say_filler(w, f, "filler-costs-more", f->value, cost,
                   kw_format(w->arena, "%s is worth %.2f %s and costs %.2f to cut", f->part,
                             f->value, w->shop->currency, cost));
        return KW_OK;
    }
    for (int i = 0; i < w->make_count; i++) { // ordered too: some more of them
        if (strcmp(w->makes[i].label, m.label) != 0) continue;
        w->makes[i].extra = f->most;
        w->makes[i].value = f->value;
        return KW_OK;
    }
    s = run_try_cut(w, &m, &ok, err);
    m.use = KW_MAKE_FILLER;
    m.extra = ok ? f->most : 0;
    m.value = f->value;
    if (s == KW_OK) KW_PUSH(w->arena, w->makes, w->make_count) = m;
    return s;
}

enum kw_status run_scrap_makes(struct kw_week *w, const struct kw_run_options *o,
                               struct kw_error *err) {
    enum kw_status s = KW_OK;
    if (o->coupons || w->shop->coupons == KW_COUPONS_WHEN_MISSING) s = add_coupons(w, err);
    for (int i = 0; s == KW_OK && i < w->shop->fillers.count; i++)
        s = add_filler(w, KW_ITEM(struct kw_filler, w->shop->fillers, i), err);
    return s;
}

// ---------------------------------------------------------------------------------- into a layout

/// The sheet without the strips that are left as drops.
static struct kw_nest_sheet without_drops(const struct kw_nest_sheet *sheet,
                                          const struct kw_nest_layout *l) {
    struct kw_nest_sheet out = *sheet;
    for (int i = 0; i < l->drop_count; i++) {
        if (l->drops[i].min.x > l->drops[i].min.y)
            out.width = fmin(out.width, l->drops[i].min.x);
        else
            out.height = fmin(out.height, l->drops[i].min.y);
    }
    return out;
}

/// How many of a make this layout may take, cut as often as it is.
static int room_for_extra(const struct kw_make *m, int times) {
    if (m->use == KW_MAKE_COUPON && times > 1) return 0; // one of each is enough
    return (m->extra - m->extra_placed) / times;
}

/// Test pieces by number, then fillers by value for their area.
static bool comes_before(const struct kw_make *a, const struct kw_make *b) {
    bool coupons[2] = {a->use == KW_MAKE_COUPON, b->use == KW_MAKE_COUPON};
    if (coupons[0] || coupons[1]) return coupons[0] && !coupons[1];
    return a->value * kw_region_area(&b->blank) > b->value * kw_region_area(&a->blank);
}

static enum kw_status place_one_kind(struct kw_week *w, const struct kw_nest_job *job, int part,
                                     struct kw_make *make, const struct kw_nest_sheet *sheet,
                                     const struct kw_nest_options *options,
                                     struct kw_nest_layout *layout, struct kw_error *err) {
    struct kw_nest_part *parts = KW_NEW_ARRAY(w->arena, struct kw_nest_part, job->part_count);
    for (int i = 0; i < job->part_count; i++) {
        parts[i] = job->parts[i];
        parts[i].count = i == part ? room_for_extra(make, layout->times) : 0;
    }
    if (parts[part].count <= 0) return KW_OK;
    struct kw_nest_job into = {parts, job->part_count, sheet, 1};
    struct kw_nest_added added;
    enum kw_status s = kw_nest_into(w->arena, &into, 0, layout->placements, layout->placement_count,
                                    options, &added, err);
    if (s != KW_OK || added.placement_count == 0) return s;
    int n = layout->placement_count;
    struct kw_nest_placement *all =
        KW_NEW_ARRAY(w->arena, struct kw_nest_placement, n + added.placement_count);
    memcpy(all, layout->placements, (size_t)n * sizeof *all);
    for (int i = 0; i < added.placement_count; i++) {
        all[n] = added.placements[i];
        all[n++].copy = make->needed + make->spare + make->extra_placed + 1;
        make->extra_placed += layout->times;
    }
    layout->placements = all;
    layout->placement_count = n;
    return KW_OK;
}

enum kw_status run_fill_scrap(struct kw_week *w, const struct kw_nest_job *job,
                              const struct kw_rack_item *rack, const int *makes,
                              const struct kw_nest_options *options, struct kw_nest_layout *layout,
                              struct kw_error *err) {
    struct kw_nest_sheet sheet = without_drops(&job->sheets[layout->sheet], layout);
    sheet.outline = run_free_sheet(w, rack, sheet.width, sheet.height);
    bool *done = KW_NEW_ARRAY(w->arena, bool, job->part_count + 1);
    enum kw_status s = KW_OK;
    while (s == KW_OK) {
        int next = -1;
        for (int i = 0; i < job->part_count; i++) {
            const struct kw_make *m = &w->makes[makes[i]];
            if (done[i] || room_for_extra(m, layout->times) <= 0) continue;
            if (next < 0 || comes_before(m, &w->makes[makes[next]])) next = i;
        }
        if (next < 0) break;
        done[next] = true;
        s = place_one_kind(w, job, next, &w->makes[makes[next]], &sheet, options, layout, err);
    }
    return s;
}
