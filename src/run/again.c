// SPDX-License-Identifier: Apache-2.0
// A part that was scrapped, once more: into the free space of sheets that are planned already.
#include "run/inside.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define BESIDE 0.5 // mm more than a lead-in needs to what lies there

static bool same_stock(const struct kw_taken *t, const struct kw_stock *stock) {
    return strcmp(t->material, stock->text) == 0 && fabs(t->thickness - stock->thickness) < 1e-6;
}

/// Of the same stock, and of the sheet's size where there is one.
static const struct kw_rack_item *rack_of(const struct kw_week *w, const struct kw_stock *stock,
                                          const struct kw_taken *t) {
    const struct kw_rack_item *found = NULL;
    for (int i = 0; i < w->shop->sheets.count; i++) {
        const struct kw_rack_item *r = KW_ITEM(struct kw_rack_item, w->shop->sheets, i);
        if (!kw_stock_same(&r->stock, stock)) continue;
        bool size = fabs(r->length - t->width) < 1e-3 && fabs(r->width - t->height) < 1e-3;
        if (!found || size) found = r;
    }
    return found;
}

/// So far apart that no lead-in, nor the kerf round it, touches what lies there, or its own kerf,
/// which is a gap if it was cut.
static double spacing_of(const struct kw_week *w, const struct kw_cut_entry *rule) {
    return fmax(w->shop->table.spacing, rule->lead_in + 2 * rule->kerf + BESIDE);
}

/// The part with `count` copies, then what lies there, each where it is.
static struct kw_nest_job job_on(struct kw_week *w, const struct kw_make *m, int count,
                                 const struct kw_taken *t, struct kw_nest_placement **fixed) {
    struct kw_nest_part *parts = KW_NEW_ARRAY(w->arena, struct kw_nest_part, t->part_count + 1);
    struct kw_nest_sheet *sheet = KW_NEW(w->arena, struct kw_nest_sheet);
    parts[0] = run_nest_part(w, m, count);
    *fixed = KW_NEW_ARRAY(w->arena, struct kw_nest_placement, t->part_count + 1);
    for (int i = 0; i < t->part_count; i++) {
        parts[i + 1] = (struct kw_nest_part){.outline = &t->parts[i]};
        (*fixed)[i].part = i + 1;
    }
    *sheet = (struct kw_nest_sheet){
        .width = t->width,
        .height = t->height,
        .outline = t->free ? t->free : run_free_sheet(w, NULL, t->width, t->height),
        .count = 1};
    return (struct kw_nest_job){parts, t->part_count + 1, sheet, 1};
}

static struct kw_run_sheet sheet_on(struct kw_week *w, const struct kw_make *m,
                                    const struct kw_taken *t, const struct kw_region *free,
                                    double spacing, const struct kw_nest_added *added) {
    const struct kw_rack_item *rack = rack_of(w, &m->part->stock, t);
    struct kw_run_sheet s = {.stock = m->part->stock,
                             .rack = rack,
                             .rule = kw_shop_cut_rule(w->shop, &m->part->stock),
                             .times = 1,
                             .width = t->width,
                             .height = t->height,
                             .free = free,
                             .spacing = spacing,
                             .margin = w->shop->table.margin,
                             .placements = added->placements,
                             .placement_count = added->placement_count,
                             .on = t};
    double area = run_sheet_area(free, t->width, t->height);
    s.density = added->placement_count * kw_region_area(&m->blank) / area;
    s.mass = kw_sheet_mass(w->shop, &s.stock, area);
    snprintf(s.id, sizeof s.id, "%s", t->id);
    return s;
}

static enum kw_status into_sheet(struct kw_week *w, const struct kw_run_options *o,
                                 const struct kw_taken *t, struct kw_error *err) {
    struct kw_make *m = &w->makes[0];
    const struct kw_cut_entry *rule = kw_shop_cut_rule(w->shop, &m->part->stock);
    struct kw_nest_placement *fixed;
    struct kw_nest_options options = kw_nest_options_default();
    struct kw_nest_added added;
    options.spacing = spacing_of(w, rule);
    options.margin = w->shop->table.margin;
    struct kw_nest_job job = job_on(w, m, m->needed - m->placed, t, &fixed);
    enum kw_status s = kw_nest_into(w->arena, &job, 0, fixed, t->part_count, &options, &added, err);
    if (s != KW_OK || added.placement_count == 0) return s;
    for (int i = 0; i < added.placement_count; i++)
        added.placements[i].copy += m->placed;
    m->placed += added.placement_count;
    struct kw_run_sheet sheet = sheet_on(w, m, t, job.sheets[0].outline, options.spacing, &added);
    return run_take_sheet(w, o, &sheet, err);
}

static void leave_rest_out(struct kw_week *w, const struct kw_taken *taken, int count) {
    const struct kw_make *m = &w->makes[0];
    int left = m->needed - m->placed;
    if (left == 0) return;
    struct kw_finding f =
        kw_rule_finding("sheets-short", m->kit, m->part, kw_place_of(m->part->node, "from"));
    f.level = KW_STOP;
    f.measured = left;
    f.says = kw_format(w->arena, "%d of %s find no free space on %s%s of %s", left, m->label,
                       count == 1 ? taken[0].from : "the sheets planned",
                       count == 1 ? "" : " before", m->part->stock.text);
    f.fix = "name a drop with --on, such as --on S2-A, or plan it with the next run";
    kw_find(&w->findings, f);
    run_leave_out(w, m->kit, m->part->name, left, f.says);
}

enum kw_status run_again_sheets(struct kw_week *w, const struct kw_run_options *o,
                                const struct kw_taken *taken, int count, struct kw_error *err) {
    if (w->make_count == 0) return KW_OK; // it can't be made: demand has said why
    struct kw_make *m = &w->makes[0];
    if (!run_is_sheet(m))
        return kw_fail(err, KW_UNKNOWN, m->part->node->at, "%s is cut from no sheet", m->label);
    m->spare = 0;
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < count && m->placed < m->needed; i++) {
        if (kw_watch_stopped(o->watch)) return KW_STOPPED;
        if (same_stock(&taken[i], &m->part->stock)) s = into_sheet(w, o, &taken[i], err);
    }
    if (s != KW_OK) return s;
    leave_rest_out(w, taken, count);
    run_per_piece(w);
    run_program_names(w);
    return KW_OK;
}
