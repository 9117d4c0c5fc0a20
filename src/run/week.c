// SPDX-License-Identifier: Apache-2.0
// A week, step by step.
#include "run/inside.h"

#include <math.h>
#include <string.h>

double kw_cents(double amount) {
    return round(amount * 100) / 100;
}

const struct kw_run_kit *kw_run_kit_of(const struct kw_week *w, const struct kw_kit *kit) {
    for (int i = 0; i < w->run_kit_count; i++) {
        if (w->run_kits[i].kit == kit) return &w->run_kits[i];
    }
    return NULL;
}

const char *run_length(struct kw_week *w, double mm) {
    char buf[48];
    kw_length_text(buf, mm, (enum kw_length_unit)w->shop->units);
    return kw_copy_text(w->arena, buf, strlen(buf));
}

bool run_is_sheet(const struct kw_make *make) {
    return make->part->stock.kind == KW_SHEET;
}

void run_leave_out(struct kw_week *w, const struct kw_kit *kit, const char *part, int count,
                   const char *why) {
    KW_PUSH(w->arena, w->left_out, w->left_out_count) =
        (struct kw_left_out){.kit = kit->name, .part = part, .count = count, .why = why};
}

// Risks that only a run can meet may be signed too.
static void sign_risks(struct kw_week *w) {
    for (int i = 0; i < w->run_kit_count; i++) {
        kw_check_sign(w->arena, w->run_kits[i].kit, &w->findings, w->first_of_run);
    }
}

// Places in the shop file by its name in the shop folder, as those in kit files are: a packet does
// not depend on where the folder lies.
static void name_shop_file(struct kw_week *w) {
    for (int i = 0; i < w->findings.count; i++) {
        struct kw_finding *f = &w->findings.v[i];
        if (f->where.file && w->shop->file && strcmp(f->where.file, w->shop->file) == 0)
            f->where.file = "shop.yaml";
    }
}

// The press's order of work: the order of least tool change over all parts with bends.
static void order_brake(struct kw_week *w) {
    const struct kw_brake_plan **plans =
        KW_NEW_ARRAY(w->arena, const struct kw_brake_plan *, w->make_count + 1);
    int *which = KW_NEW_ARRAY(w->arena, int, w->make_count + 1);
    int *order = KW_NEW_ARRAY(w->arena, int, w->make_count + 1);
    int n = 0;
    for (int i = 0; i < w->make_count; i++) {
        const struct kw_brake_plan *plan = w->makes[i].what->brake;
        if (!plan || plan->step_count == 0 || w->makes[i].placed == 0) continue;
        if (w->makes[i].use == KW_MAKE_COUPON) continue; // they have a form of their own
        plans[n] = plan;
        which[n++] = i;
    }
    if (n > 0) kw_brake_group(plans, n, order);
    for (int i = 0; i < n; i++)
        order[i] = which[order[i]];
    w->brake_order = order;
    w->brake_count = n;
}

static enum kw_status begin(struct kw_arena *a, const struct kw_shop *shop,
                            const struct kw_kits *kits, const struct kw_orders *orders,
                            const struct kw_run_options *options, struct kw_week *out,
                            struct kw_error *err) {
    *out = (struct kw_week){.arena = a,
                            .shop = shop,
                            .kits = kits,
                            .orders = orders,
                            .name = options->name,
                            .date = options->date,
                            .findings = {.arena = a}};
    return run_demand(out, options, err);
}

static void finish_findings(struct kw_week *w) {
    sign_risks(w);
    name_shop_file(w);
    kw_findings_sort(&w->findings);
}

enum kw_status kw_run_week(struct kw_arena *a, const struct kw_shop *shop,
                           const struct kw_kits *kits, const struct kw_orders *orders,
                           const struct kw_run_options *options, struct kw_week *out,
                           struct kw_error *err) {
    enum kw_status s = begin(a, shop, kits, orders, options, out, err);
    if (s == KW_OK) s = run_sheets(out, options, err);
    if (s == KW_OK) s = run_saws(out, options, err);
    if (s == KW_OK) s = run_packings(out, err);
    if (s != KW_OK) return s;
    order_brake(out);
    run_buys(out);
    run_loads(out);
    run_costs(out);
    finish_findings(out);
    return KW_OK;
}

enum kw_status kw_run_again(struct kw_arena *a, const struct kw_shop *shop,
                            const struct kw_kits *kits, const struct kw_order *what,
                            const struct kw_taken *taken, int taken_count,
                            const struct kw_run_options *options, struct kw_week *out,
                            struct kw_error *err) {
    struct kw_order *order = KW_NEW(a, struct kw_order);
    struct kw_orders *orders = KW_NEW(a, struct kw_orders);
    *order = *what;
    *orders = (struct kw_orders){.v = order, .count = 1};
    enum kw_status s = begin(a, shop, kits, orders, options, out, err);
    if (s == KW_OK) s = run_again_sheets(out, options, taken, taken_count, err);
    if (s != KW_OK) return s;
    order_brake(out);
    finish_findings(out);
    return KW_OK;
}

enum kw_status kw_run_quote(struct kw_arena *a, const struct kw_shop *shop,
                            const struct kw_kits *kits, const struct kw_kit *kit, int count,
                            const struct kw_run_options *options, struct kw_week *out,
                            struct kw_error *err) {
    struct kw_order *order = KW_NEW(a, struct kw_order);
    *order = (struct kw_order){.at = {.file = kit->file},
                               .number = "quote",
                               .part = -1,
                               .count = count,
                               .due = options->date};
    while (kits->v[order->kit] != kit)
        order->kit++;
    struct kw_orders *orders = KW_NEW(a, struct kw_orders);
    *orders = (struct kw_orders){.v = order, .count = 1};
    struct kw_run_options keep = *options;
    keep.keep_going = true; // a price is wanted even where a part can't be made here yet
    return kw_run_week(a, shop, kits, orders, &keep, out, err);
}
