// SPDX-License-Identifier: Apache-2.0
// Sheets: one nest for each stock, one torch plan for each layout.
#include "run/inside.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

// Measured on 5,000 parts: the first nest takes 3 to 4 % more steel than one given so many steps,
// which are about 1.2 ms of a core a part.
#define STEPS_A_COPY 800L

// ------------------------------------------------------------------------------------- the nest

struct group { // all makes of one stock
    struct kw_stock stock;
    int *makes;
    int make_count;
    const struct kw_rack_item **racks;
    int rack_count;
};

static bool turns_over(const struct kw_make *m) {
    bool bent = m->what->body && m->what->body->bend_count > 0;
    return m->part->good_side == 0 && !bent && m->etch_count == 0; // etched on the face that is up
}

// Of a sheet that is larger than the table, what lies on it.
static double on_table(double table, double sheet) {
    return table > 0 ? fmin(table, sheet) : sheet;
}

// The turns that the kit file allows its blank, NULL for quarter turns. The other hand's blank is
// the mirror image: its turns run the other way.
static double *turns_of(struct kw_week *w, const struct kw_make *m, int *count) {
    const struct kw_part *p = m->part;
    double way = m->hand == KW_RIGHT_HAND ? -1 : 1, step = p->sheet_turn_step;
    *count = step > 0 ? (int)floor(2 * KW_PI / step + 1e-9) : p->sheet_turns.count;
    if (*count == 0) return NULL;
    double *v = KW_NEW_ARRAY(w->arena, double, *count);
    for (int i = 0; i < *count; i++)
        v[i] = step > 0 ? i * step : way * *KW_ITEM(double, p->sheet_turns, i);
    return v;
}

struct kw_nest_part run_nest_part(struct kw_week *w, const struct kw_make *m, int count) {
    int turns;
    const double *rotations = turns_of(w, m, &turns);
    return (struct kw_nest_part){.outline = &m->blank,
                                 .count = count,
                                 .rotations = rotations,
                                 .rotation_count = turns,
                                 .may_mirror = turns_over(m),
                                 .has_grain = m->what->has_grain,
                                 .grain =
                                     m->hand == KW_RIGHT_HAND ? -m->what->grain : m->what->grain};
}

static void keep_out(struct kw_week *w, struct kw_region *r, const struct kw_items *places,
                     double width, double height) {
    for (int i = 0; i < places->count; i++) {
        struct kw_box2 b = run_clamp_box(KW_ITEM(struct kw_clamp, *places, i));
        b.max = kw_v2(fmin(b.max.x, width), fmin(b.max.y, height));
        if (!(b.min.x < b.max.x && b.min.y < b.max.y)) continue; // beside a smaller sheet
        struct kw_path hole = kw_path_box_outline(w->arena, b.min.x, b.min.y, b.max.x, b.max.y, 0);
        KW_PUSH(w->arena, r->holes, r->hole_count) = kw_path_oriented(w->arena, &hole, false);
    }
}

const struct kw_region *run_free_sheet(struct kw_week *w, const struct kw_rack_item *rack,
                                       double width, double height) {
    struct kw_region *r = KW_NEW(w->arena, struct kw_region);
    bool cut_down = rack && rack->outline.count > 0;
    if (cut_down)
        r->outer = rack->outline;
    else
        r->outer = kw_path_box_outline(w->arena, 0, 0, width, height, 0);
    keep_out(w, r, &w->shop->table.clamps, width, height);
    if (rack) keep_out(w, r, &rack->spoiled, width, height);
    return cut_down || r->hole_count > 0 ? r : NULL;
}

double run_sheet_area(const struct kw_region *free, double width, double height) {
    return free ? fabs(kw_path_area(&free->outer)) : width * height;
}

bool run_is_cut_down(const struct kw_region *free, double width, double height) {
    double whole = width * height;
    return fabs(run_sheet_area(free, width, height) - whole) > 1e-9 * whole;
}

static struct kw_nest_job nest_job(struct kw_week *w, const struct group *g) {
    struct kw_nest_part *parts = KW_NEW_ARRAY(w->arena, struct kw_nest_part, g->make_count);
    for (int i = 0; i < g->make_count; i++) {
        const struct kw_make *m = &w->makes[g->makes[i]];
        parts[i] = run_nest_part(w, m, m->needed + m->spare);
    }
    struct kw_nest_sheet *sheets = KW_NEW_ARRAY(w->arena, struct kw_nest_sheet, g->rack_count + 1);
    for (int i = 0; i < g->rack_count; i++) {
        const struct kw_rack_item *r = g->racks[i];
        sheets[i] = (struct kw_nest_sheet){.width = on_table(w->shop->table.length, r->length),
                                           .height = on_table(w->shop->table.width, r->width),
                                           .count = r->can_buy ? -1 : r->on_hand,
                                           .price = kw_rack_item_price(w->shop, r)};
        sheets[i].outline = run_free_sheet(w, r, sheets[i].width, sheets[i].height);
    }
    return (struct kw_nest_job){parts, g->make_count, sheets, g->rack_count};
}

// A layout becomes a sheet of the week; its cuts are planned when all sheets are known.
static void take_layout(struct kw_week *w, const struct group *g, const struct kw_nest_job *job,
                        const struct kw_nest_layout *layout, const char *standing) {
    const struct kw_rack_item *rack = g->racks[layout->sheet];
    const struct kw_nest_sheet *nested = &job->sheets[layout->sheet];
    struct kw_run_sheet sheet = {.stock = g->stock,
                                 .rack = rack,
                                 .rule = kw_shop_cut_rule(w->shop, &g->stock),
                                 .times = layout->times,
                                 .width = nested->width,
                                 .height = nested->height,
                                 .free = nested->outline,
                                 .spacing = w->shop->table.spacing,
                                 .margin = w->shop->table.margin,
                                 .placement_count = layout->placement_count,
                                 .drops = layout->drops,
                                 .drop_count = layout->drop_count,
                                 .standing = standing,
                                 .mass = kw_rack_item_mass(w->shop, rack)};
    double area = run_sheet_area(sheet.free, sheet.width, sheet.height);
    snprintf(sheet.id, sizeof sheet.id, "S%d", w->sheet_count + 1);
    sheet.placements =
        KW_NEW_ARRAY(w->arena, struct kw_nest_placement, layout->placement_count + 1);
    for (int i = 0; i < layout->placement_count; i++) {
        sheet.placements[i] = layout->placements[i];
        sheet.placements[i].part = g->makes[layout->placements[i].part];
        const struct kw_region *blank = &w->makes[sheet.placements[i].part].blank;
        w->makes[sheet.placements[i].part].placed += layout->times;
        sheet.density += kw_region_area(blank) / area; // clamps included
    }
    if (!standing) run_share_cuts(w, &sheet);
    KW_PUSH(w->arena, w->sheets, w->sheet_count) = sheet;
}

static void report_unplaced(struct kw_week *w, const struct group *g,
                            const struct kw_nest_unplaced *u) {
    const struct kw_make *make = &w->makes[g->makes[u->part]];
    const char *id = u->too_large ? "blank-too-large" : "sheets-short";
    struct kw_finding f =
        kw_rule_finding(id, make->kit, make->part, kw_place_of(make->part->node, "from"));
    f.level = KW_STOP; // these pieces are left out
    f.measured = u->too_large ? u->need[0] : u->count;
    f.limit = u->too_large ? u->have[0] : 0;
    f.says = u->too_large
                 ? kw_format(w->arena,
                             "%s needs %s x %s of sheet with its margins; the nearest has %s x %s",
                             make->part->name, run_length(w, u->need[0]), run_length(w, u->need[1]),
                             run_length(w, u->have[0]), run_length(w, u->have[1]))
                 : kw_format(w->arena, "%d of %s find no sheet of %s: the rack runs out", u->count,
                             make->part->name, make->part->stock.text);
    kw_find(&w->findings, f);
    run_leave_out(w, make->kit, make->part->name, u->count, f.says);
}

/// What proving one program more costs.
static double program_cost(const struct kw_week *w) {
    const struct kw_rates *r = &w->shop->rates;
    return w->shop->table.prove / 3600 * (r->labour + r->table);
}

/// A larger group gets more than the least.
static long steps_for(const struct kw_nest_job *job, long least) {
    long copies = 0;
    for (int i = 0; i < job->part_count; i++)
        copies += job->parts[i].count;
    return copies * STEPS_A_COPY > least ? copies * STEPS_A_COPY : least;
}

static enum kw_status nest_group(struct kw_week *w, const struct kw_run_options *o,
                                 const struct group *g, struct kw_error *err) {
    struct kw_nest_job job = nest_job(w, g);
    struct kw_nest_options options = kw_nest_options_default();
    options.threads = kw_team_cores();
    options.spacing = w->shop->table.spacing;
    options.margin = w->shop->table.margin;
    options.seed = o->seed + 1;
    options.steps = steps_for(&job, options.steps);
    if (o->nest_steps > 0) options.steps = o->nest_steps;
    options.watch = o->watch;
    options.program_cost = program_cost(w);
    int *from;
    options.standing = run_standing(w, o, g->makes, g->make_count, &job, g->racks, &g->stock,
                                    &options.standing_count, &from);
    struct kw_nest nest;
    enum kw_status s = kw_nest(w->arena, &job, &options, &nest, err);
    for (int i = 0; s == KW_OK && i < nest.layout_count; i++) {
        struct kw_nest_layout *l = &nest.layouts[i];
        const char *standing = l->standing < 0 ? NULL : o->standing[from[l->standing]].from;
        if (!standing) s = run_fill_scrap(w, &job, g->racks[l->sheet], g->makes, &options, l, err);
        if (s == KW_OK) take_layout(w, g, &job, l, standing);
    }
    for (int i = 0; s == KW_OK && i < nest.unplaced_count; i++) {
        report_unplaced(w, g, &nest.unplaced[i]);
    }
    return s;
}

static struct group *group_of(struct kw_week *w, struct group **groups, int *count,
                              const struct kw_stock *stock) {
    for (int i = 0; i < *count; i++) {
        if (kw_stock_same(&(*groups)[i].stock, stock)) return &(*groups)[i];
    }
    struct group g = {.stock = *stock};
    for (int i = 0; i < w->shop->sheets.count; i++) {
        const struct kw_rack_item *r = KW_ITEM(struct kw_rack_item, w->shop->sheets, i);
        if (!kw_stock_same(&r->stock, stock) || (!r->can_buy && r->on_hand == 0)) continue;
        KW_PUSH(w->arena, g.racks, g.rack_count) = r;
    }
    KW_PUSH(w->arena, *groups, *count) = g;
    return &(*groups)[*count - 1];
}

// What is not ordered is no reason to cut a sheet of its stock.
static bool has_group(const struct group *groups, int count, const struct kw_make *m) {
    for (int i = 0; i < count; i++)
        if (kw_stock_same(&groups[i].stock, &m->part->stock)) return true;
    return false;
}

void run_per_piece(struct kw_week *w) {
    for (int i = 0; i < w->make_count; i++) {
        struct kw_make *m = &w->makes[i];
        double one = m->placed > 0 ? 1.0 / m->placed : 1;
        m->cut_time *= one;
        m->cut_length *= one;
        m->pierces *= one;
    }
}

enum kw_status run_sheets(struct kw_week *w, const struct kw_run_options *o, struct kw_error *err) {
    struct group *groups = NULL;
    int count = 0;
    enum kw_status scrap = run_scrap_makes(w, o, err);
    if (scrap != KW_OK) return scrap;
    for (int i = 0; i < w->make_count; i++) {
        if (!run_is_sheet(&w->makes[i])) continue;
        if (w->makes[i].use != KW_MAKE_ORDERED && !has_group(groups, count, &w->makes[i])) continue;
        struct group *g = group_of(w, &groups, &count, &w->makes[i].part->stock);
        KW_PUSH(w->arena, g->makes, g->make_count) = i;
    }
    for (int i = 0; i < count; i++) {
        kw_watch_progress(o->watch, "nesting sheets", (double)i / count);
        enum kw_status s = nest_group(w, o, &groups[i], err);
        if (s != KW_OK) return s;
    }
    enum kw_status cut = run_cut_sheets(w, o, err);
    if (cut != KW_OK) return cut;
    run_per_piece(w);
    run_report_coupons(w);
    run_program_names(w);
    return KW_OK;
}
