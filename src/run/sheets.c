// SPDX-License-Identifier: Apache-2.0
// Sheets: one nest for each stock, one torch plan for each layout.
#include "run/inside.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const *lines_of(struct kw_items items) {
    return items.v;
}

struct kw_cut_controller kw_run_controller(const struct kw_week *w) {
    const struct kw_table *t = &w->shop->table;
    const struct kw_controller *k = &t->controller;
    struct kw_cut_controller c = kw_cut_controller_usual();
    c.units = (enum kw_length_unit)k->units;
    c.decimals = k->decimals;
    c.line_numbers = k->line_numbers;
    if (k->torch_on) c.torch_on = k->torch_on;
    if (k->torch_off) c.torch_off = k->torch_off;
    c.before_pierce = lines_of(k->at_pierce);
    c.before_pierce_count = k->at_pierce.count;
    c.header = lines_of(k->header);
    c.header_count = k->header.count;
    c.footer = lines_of(k->footer);
    c.footer_count = k->footer.count;
    c.rapid = t->rapid;
    c.acceleration = t->acceleration;
    c.corner_speed = t->corner_speed;
    c.height_finding = t->height_finding;
    if (k->lock && *k->lock && k->unlock && *k->unlock) {
        c.lock = k->lock;
        c.unlock = k->unlock;
    }
    c.stop = k->stop;
    c.trace = k->trace != 0;
    c.arcs_by_radius = k->arcs_by_radius != 0;
    c.all_decimals = k->all_decimals != 0;
    c.moves_height = k->height_by_program != 0;
    c.travel_height = k->travel_height;
    if (k->scribe.node) {
        c.scribe_down = k->scribe.down;
        c.scribe_up = k->scribe.up;
        c.scribe_delay = k->scribe.delay;
        c.scribe_feed = k->scribe.feed;
        c.scribe = kw_v2(k->scribe.to_right, k->scribe.to_back);
    }
    c.reach = kw_v2(t->length, t->width);
    c.longest_name = k->longest_name;
    c.name_letters = (enum kw_cut_letters)k->name_letters;
    return c;
}

struct kw_cut_rule run_cut_rule(const struct kw_week *w, const struct kw_cut_entry *e) {
    const struct kw_controller *k = &w->shop->table.controller;
    bool locks = k->lock && *k->lock, slows = e->corner_feed > 0 && e->corner_feed < 1;
    return (struct kw_cut_rule){.left_is_square = w->shop->table.square_side != 0,
                                .lead_arc = e->lead_shape != 0,
                                .corner_feed = slows ? e->corner_feed : 0,
                                .zone = locks || slows ? e->zone : 0,
                                .kerf = e->kerf,
                                .feed = e->feed,
                                .pierce_delay = e->pierce_delay,
                                .pierce_height = e->pierce_height,
                                .cut_height = e->cut_height,
                                .lead_in = e->lead_in,
                                .hole_feed = e->hole_feed,
                                .hole_feed_below = e->hole_feed_below,
                                .overburn = e->overburn,
                                .least_hole = e->least_hole,
                                .amps = e->amps};
}

static const char *const rule_of_trouble[] = {
    [KW_CUT_HOLE_CLOSES] = "hole-closes", [KW_CUT_SLOT_NARROW] = "slot-narrow",
    [KW_CUT_HOLE_SMALL] = "hole-small",   [KW_CUT_NO_LEAD] = "no-lead-in",
    [KW_CUT_TOO_NEAR] = "cut-too-near",   [KW_CUT_START_MATTERS] = "start-on-edge",
    [KW_CUT_NO_MARK] = "mark-left-out",
};

void run_cut_finding(struct kw_week *w, const struct kw_make *make, const struct kw_cut_problem *p,
                     const char *frame) {
    if (p->kind == KW_CUT_HOLE_SMALL) return; // check has said it, at the hole's own line
    struct kw_finding f = kw_rule_finding(
        rule_of_trouble[p->kind], make->kit, make->part,
        kw_place_of(make->part->node, p->kind == KW_CUT_NO_MARK ? "marks" : "holes"));
    if (p->unwritable) f.level = KW_STOP;
    f.frame = frame;
    f.at[0] = p->at.x;
    f.at[1] = p->at.y;
    f.measured = p->measured;
    f.limit = p->limit;
    const char *says = kw_rule_named(rule_of_trouble[p->kind])->says;
    if (p->limit > 0)
        f.says = kw_format(w->arena, "%s: %s at (%s, %s) of the %s: %s against %s",
                           make->part->name, says, run_length(w, p->at.x), run_length(w, p->at.y),
                           frame, run_length(w, p->measured), run_length(w, p->limit));
    else
        f.says = kw_format(w->arena, "%s: %s at (%s, %s) of the %s", make->part->name, says,
                           run_length(w, p->at.x), run_length(w, p->at.y), frame);
    kw_find(&w->findings, f);
}

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

const struct kw_region *run_free_sheet(struct kw_week *w, double width, double height) {
    struct kw_region *r = NULL;
    for (int i = 0; i < w->shop->table.clamps.count; i++) {
        const struct kw_clamp *c = KW_ITEM(struct kw_clamp, w->shop->table.clamps, i);
        double x0 = c->from_left, y0 = c->from_front;
        double x1 = fmin(x0 + c->length, width), y1 = fmin(y0 + c->width, height);
        if (!(x0 < x1 && y0 < y1)) continue; // beside a smaller sheet
        if (!r) {
            r = KW_NEW(w->arena, struct kw_region);
            r->outer = kw_path_box_outline(w->arena, 0, 0, width, height, 0);
        }
        struct kw_path hole = kw_path_box_outline(w->arena, x0, y0, x1, y1, 0);
        KW_PUSH(w->arena, r->holes, r->hole_count) = kw_path_oriented(w->arena, &hole, false);
    }
    return r;
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
        sheets[i].outline = run_free_sheet(w, sheets[i].width, sheets[i].height);
    }
    return (struct kw_nest_job){parts, g->make_count, sheets, g->rack_count};
}

// The parts of a layout in sheet frame, named KIT/PART#copy.
static struct kw_cut_sheet cut_sheet(struct kw_week *w, struct kw_run_sheet *sheet) {
    struct kw_cut_part *parts =
        KW_NEW_ARRAY(w->arena, struct kw_cut_part, sheet->placement_count + 1);
    struct kw_cut_line *marks = NULL;
    struct kw_cut_etch *etches = NULL;
    int mark_count = 0, etch_count = 0;
    for (int i = 0; i < sheet->placement_count; i++) {
        const struct kw_nest_placement *p = &sheet->placements[i];
        const struct kw_make *make = &w->makes[p->part];
        struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
        parts[i].name = kw_format(w->arena, "%s#%d", make->label, p->copy);
        parts[i].region = kw_region_moved(w->arena, &make->blank, m);
        run_table_part(w, make, m, &parts[i]);
        run_bend_marks(w, make, m, &marks, &mark_count);
        run_place_etches(w, make, m, i, &etches, &etch_count);
        if (make->use == KW_MAKE_COUPON) run_coupon_nicks(w, make, m, &marks, &mark_count);
    }
    sheet->marks = marks;
    sheet->mark_count = mark_count;
    sheet->etches = etches;
    sheet->etch_count = etch_count;
    struct kw_cut_sheet out = {.width = sheet->width,
                               .height = sheet->height,
                               .parts = parts,
                               .part_count = sheet->placement_count,
                               .marks = marks,
                               .mark_count = mark_count,
                               .etches = etches,
                               .etch_count = etch_count};
    run_table_sheet(w, sheet, &out);
    return out;
}

static void leave_out_sheet(struct kw_week *w, struct kw_run_sheet *sheet) {
    for (int i = 0; i < sheet->placement_count; i++) {
        struct kw_make *make = &w->makes[sheet->placements[i].part];
        make->placed -= sheet->times;
        if (sheet->placements[i].copy > make->needed + make->spare) {
            make->extra_placed -= sheet->times;
            continue;
        }
        run_leave_out(w, make->kit, make->part->name, sheet->times,
                      kw_format(w->arena, "sheet %s has no program", sheet->id));
    }
}

static int pierces_of(const struct kw_cut_plan *plan, const struct kw_cut_contour *c) {
    int n = 0;
    for (int m = 0; m < c->moves; m++)
        n += plan->moves[c->first_move + m].kind == KW_CUT_PIERCE;
    return n;
}

// Time, way and pierces of the makes on the sheet. What belongs to none (travel, marks, cuts in
// scrap) is shared: time and way by the length of the cuts, pierces by their number.
static void share_sheet(struct kw_week *w, const struct kw_run_sheet *sheet) {
    const struct kw_cut_plan *plan = &sheet->cut;
    double length = 0, pierces = 0;
    for (int c = 0; c < plan->contour_count; c++) {
        const struct kw_cut_contour *k = &plan->contours[c];
        if (k->part < 0) continue;
        length += k->length;
        pierces += pierces_of(plan, k);
    }
    for (int c = 0; c < plan->contour_count; c++) {
        const struct kw_cut_contour *k = &plan->contours[c];
        if (k->part < 0 || !(length > 0)) continue;
        struct kw_make *make = &w->makes[sheet->placements[k->part].part];
        double share = k->length / length * sheet->times;
        // Of all; of one when all sheets are planned.
        make->cut_time += plan->cut_time * share;
        make->cut_length += plan->cut_length * share;
        make->pierces += plan->pierces * pierces_of(plan, k) / pierces * sheet->times;
    }
}

// Copies of a part begin alike and have the same marks: one of them is told.
static bool told_before(const struct kw_week *w, const struct kw_run_sheet *sheet,
                        const struct kw_cut_problem *p) {
    const struct kw_make *make = &w->makes[sheet->placements[p->part].part];
    bool alike = p->kind == KW_CUT_START_MATTERS || p->kind == KW_CUT_NO_MARK;
    for (int i = 0; i < w->findings.count && alike; i++) {
        const struct kw_finding *f = &w->findings.v[i];
        if (strcmp(f->rule, rule_of_trouble[p->kind]) == 0 && f->kit && f->part &&
            strcmp(f->kit, make->kit->name) == 0 && strcmp(f->part, make->part->name) == 0)
            return true;
    }
    return false;
}

static enum kw_status cut_layout(struct kw_week *w, const struct kw_run_options *o,
                                 struct kw_run_sheet *sheet, struct kw_error *err) {
    struct kw_cut_sheet input = cut_sheet(w, sheet);
    struct kw_cut_rule rule = run_cut_rule(w, sheet->rule);
    struct kw_cut_controller controller = kw_run_controller(w);
    struct kw_watch watch = {0};
    if (o->watch) watch = *o->watch;
    struct kw_cut_options options = {.seed = o->seed, .watch = &watch};
    enum kw_status s =
        kw_cut_plan_sheet(w->arena, &input, &rule, &controller, &options, &sheet->cut, err);
    if (s != KW_OK) return s;
    for (int i = 0; i < sheet->cut.problem_count; i++) {
        const struct kw_cut_problem *p = &sheet->cut.problems[i];
        bool seen_alone = p->kind == KW_CUT_HOLE_CLOSES || p->kind == KW_CUT_SLOT_NARROW;
        if (seen_alone || p->part < 0 || told_before(w, sheet, p)) continue;
        run_cut_finding(w, &w->makes[sheet->placements[p->part].part], p,
                        kw_format(w->arena, "sheet %s", sheet->id));
    }
    if (sheet->cut.writable) {
        sheet->program = kw_format(w->arena, "sheets/%s.nc", sheet->id);
        share_sheet(w, sheet);
    } else {
        leave_out_sheet(w, sheet);
    }
    return KW_OK;
}

enum kw_status run_take_sheet(struct kw_week *w, const struct kw_run_options *o,
                              struct kw_run_sheet *sheet, struct kw_error *err) {
    enum kw_status s = cut_layout(w, o, sheet, err);
    if (s == KW_OK) KW_PUSH(w->arena, w->sheets, w->sheet_count) = *sheet;
    return s;
}

static enum kw_status take_layout(struct kw_week *w, const struct kw_run_options *o,
                                  const struct group *g, const struct kw_nest_layout *layout,
                                  const char *standing, struct kw_error *err) {
    const struct kw_rack_item *rack = g->racks[layout->sheet];
    struct kw_run_sheet sheet = {.stock = g->stock,
                                 .rack = rack,
                                 .rule = kw_shop_cut_rule(w->shop, &g->stock),
                                 .times = layout->times,
                                 .width = on_table(w->shop->table.length, rack->length),
                                 .height = on_table(w->shop->table.width, rack->width),
                                 .spacing = w->shop->table.spacing,
                                 .margin = w->shop->table.margin,
                                 .placement_count = layout->placement_count,
                                 .drops = layout->drops,
                                 .drop_count = layout->drop_count,
                                 .standing = standing,
                                 .mass = kw_rack_item_mass(w->shop, rack)};
    snprintf(sheet.id, sizeof sheet.id, "S%d", w->sheet_count + 1);
    sheet.placements =
        KW_NEW_ARRAY(w->arena, struct kw_nest_placement, layout->placement_count + 1);
    for (int i = 0; i < layout->placement_count; i++) {
        sheet.placements[i] = layout->placements[i];
        sheet.placements[i].part = g->makes[layout->placements[i].part];
        const struct kw_region *blank = &w->makes[sheet.placements[i].part].blank;
        w->makes[sheet.placements[i].part].placed += layout->times;
        sheet.density += kw_region_area(blank) / (sheet.width * sheet.height); // clamps included
    }
    if (!standing) run_share_cuts(w, &sheet);
    return run_take_sheet(w, o, &sheet, err);
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

static enum kw_status nest_group(struct kw_week *w, const struct kw_run_options *o,
                                 const struct group *g, struct kw_error *err) {
    struct kw_nest_job job = nest_job(w, g);
    struct kw_nest_options options = kw_nest_options_default();
    options.spacing = w->shop->table.spacing;
    options.margin = w->shop->table.margin;
    options.seed = o->seed + 1;
    if (o->nest_steps > 0) options.steps = o->nest_steps;
    options.watch = o->watch;
    options.program_cost = program_cost(w);
    int *from;
    options.standing = run_standing(w, o, g->makes, g->make_count, &job, &g->stock,
                                    &options.standing_count, &from);
    struct kw_nest nest;
    enum kw_status s = kw_nest(w->arena, &job, &options, &nest, err);
    for (int i = 0; s == KW_OK && i < nest.layout_count; i++) {
        struct kw_nest_layout *l = &nest.layouts[i];
        const char *standing = l->standing < 0 ? NULL : o->standing[from[l->standing]].from;
        if (!standing) s = run_fill_scrap(w, &job, g->makes, &options, l, err);
        if (s == KW_OK) s = take_layout(w, o, g, l, standing, err);
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
    run_per_piece(w);
    run_report_coupons(w);
    run_program_names(w);
    return KW_OK;
}
