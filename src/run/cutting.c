// SPDX-License-Identifier: Apache-2.0
// The torch plans of the week's sheets: what the shop's table and its controller are to the cut
// engine, one plan a sheet (side by side, since they share nothing), and what it says of the parts.
#include "run/inside.h"

#include <math.h>
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

struct cutting { // one sheet's cuts, planned by themselves
    struct kw_cut_sheet input;
    struct kw_cut_rule rule;
    struct kw_cut_controller controller;
    struct kw_cut_options options;
    struct kw_watch watch;
    struct kw_cut_plan plan;
    struct kw_arena arena; // of the plan
    struct kw_error err;
    enum kw_status status;
};

static void begin(struct cutting *c, struct kw_week *w, const struct kw_run_options *o,
                  struct kw_run_sheet *sheet) {
    *c = (struct cutting){.input = cut_sheet(w, sheet),
                          .rule = run_cut_rule(w, sheet->rule),
                          .controller = kw_run_controller(w),
                          .options = {.seed = o->seed}};
    if (o->watch) c->watch = *o->watch;
    c->options.watch = &c->watch;
}

static void plan_one(void *user, int index) {
    struct cutting *c = (struct cutting *)user + index;
    c->status = kw_cut_plan_sheet(&c->arena, &c->input, &c->rule, &c->controller, &c->options,
                                  &c->plan, &c->err);
}

// What the plan says of the parts, and what each of them takes of it.
static enum kw_status take_plan(struct cutting *c, struct kw_week *w, struct kw_run_sheet *sheet,
                                struct kw_error *err) {
    kw_arena_take(w->arena, &c->arena);
    if (c->status != KW_OK) return kw_fail(err, c->status, c->err.at, "%s", c->err.text);
    sheet->cut = c->plan;
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

enum kw_status run_cut_sheets(struct kw_week *w, const struct kw_run_options *o,
                              struct kw_error *err) {
    struct cutting *c = KW_NEW_ARRAY(w->arena, struct cutting, w->sheet_count + 1);
    enum kw_status s = KW_OK;
    kw_watch_progress(o->watch, "planning cuts", 0);
    for (int i = 0; i < w->sheet_count; i++)
        begin(&c[i], w, o, &w->sheets[i]);
    kw_team_run(plan_one, c, w->sheet_count, kw_team_cores());
    for (int i = 0; i < w->sheet_count; i++) {
        enum kw_status one = take_plan(&c[i], w, &w->sheets[i], err);
        if (s == KW_OK) s = one;
    }
    return s;
}

enum kw_status run_take_sheet(struct kw_week *w, const struct kw_run_options *o,
                              struct kw_run_sheet *sheet, struct kw_error *err) {
    struct cutting *c = KW_NEW(w->arena, struct cutting);
    begin(c, w, o, sheet);
    plan_one(c, 0);
    enum kw_status s = take_plan(c, w, sheet, err);
    if (s == KW_OK) KW_PUSH(w->arena, w->sheets, w->sheet_count) = *sheet;
    return s;
}
