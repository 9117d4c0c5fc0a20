// SPDX-License-Identifier: Apache-2.0
// The sheets of run.json: placements, what the program is held against, tabs, marks, drops.
#include "packet/run_json.h"

#include <string.h>

static void box_outline(struct kw_json *j, double x0, double y0, double x1, double y1) {
    kw_json_open_inline(j, '[');
    run_json_point(j, x0, y0);
    run_json_point(j, x1, y0);
    run_json_point(j, x1, y1);
    run_json_point(j, x0, y1);
    kw_json_close(j);
}

static void placements(struct kw_json *j, const struct kw_week *w, const struct kw_run_sheet *s) {
    kw_json_key(j, "placements");
    kw_json_open(j, '[');
    for (int i = 0; i < s->placement_count; i++) {
        const struct kw_nest_placement *p = &s->placements[i];
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "part", w->makes[p->part].label);
        kw_json_key_count(j, "copy", p->copy);
        kw_json_key_number(j, "x", p->x, RUN_JSON_FINE);
        kw_json_key_number(j, "y", p->y, RUN_JSON_FINE);
        kw_json_key_number(j, "rotation", run_json_degrees(p->rotation), 9);
        kw_json_key(j, "mirrored");
        kw_json_truth(j, p->mirrored);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void lines(struct kw_json *j, const char *key, const struct kw_cut_line *v, int count) {
    kw_json_key(j, key);
    kw_json_open(j, '[');
    for (int i = 0; i < count; i++) {
        kw_json_open_inline(j, '{');
        run_json_key_point(j, "from", v[i].from);
        run_json_key_point(j, "to", v[i].to);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static bool lines_hold(struct kw_items lines, const char *letters) {
    for (int i = 0; i < lines.count; i++)
        if (strpbrk(*KW_ITEM(const char *, lines, i), letters)) return true;
    return false;
}

static void scribe(struct kw_json *j, const struct kw_scribe *s) {
    kw_json_key(j, "scribe");
    kw_json_open_inline(j, '{');
    kw_json_key_text(j, "down", s->down);
    kw_json_key_text(j, "up", s->up);
    kw_json_key_number(j, "delay", s->delay, 3);
    kw_json_key_number(j, "feed", s->feed, RUN_JSON_FINE);
    run_json_key_point(j, "from_torch", kw_v2(s->to_right, s->to_back));
    kw_json_close(j);
}

// What the judge holds the program's words against.
static void controller(struct kw_json *j, const struct kw_week *w, const struct kw_run_sheet *s) {
    const struct kw_controller *c = &w->shop->table.controller;
    kw_json_key(j, "controller");
    kw_json_open_inline(j, '{');
    kw_json_key_text(j, "torch_on", c->torch_on ? c->torch_on : "M3");
    kw_json_key_text(j, "torch_off", c->torch_off ? c->torch_off : "M5");
    struct kw_backplot_words words = kw_packet_words(w->arena, c);
    kw_json_key(j, "lines");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < words.line_count; i++)
        kw_json_text(j, words.lines[i]);
    kw_json_close(j);
    kw_json_key_text(j, "stop", c->stop && *c->stop ? c->stop : "M1");
    if (*c->lock && *c->unlock) {
        kw_json_key_text(j, "lock", c->lock);
        kw_json_key_text(j, "unlock", c->unlock);
    }
    if (c->scribe.node) scribe(j, &c->scribe);
    kw_json_key(j, "trace");
    kw_json_truth(j, c->trace != 0);
    kw_json_close(j);
    kw_json_key_number(j, "feed", s->cut.rule.feed, RUN_JSON_FINE);
    kw_json_key_number(j, "hole_feed", s->cut.rule.hole_feed, RUN_JSON_FINE);
    kw_json_key_number(j, "hole_feed_below", s->cut.rule.hole_feed_below, RUN_JSON_FINE);
    kw_json_key_number(j, "corner_feed", s->cut.rule.corner_feed, RUN_JSON_FINE);
    kw_json_key_number(j, "zone", s->cut.rule.zone, RUN_JSON_FINE);
    kw_json_key_number(j, "pierce_delay", s->cut.rule.pierce_delay, RUN_JSON_FINE);
    kw_json_key_number(j, "pierce_height", s->cut.rule.pierce_height, RUN_JSON_FINE);
    kw_json_key_number(j, "cut_height", s->cut.rule.cut_height, RUN_JSON_FINE);
    // Where the shop's own lines move the torch, its height and place are theirs.
    if (c->height_by_program && !lines_hold(c->at_pierce, "Zz"))
        kw_json_key_number(j, "travel_height", c->travel_height, RUN_JSON_FINE);
    if (lines_hold(c->header, "XYxy") || lines_hold(c->footer, "XYxy")) return;
    kw_json_key(j, "table");
    kw_json_open_inline(j, '[');
    kw_json_number(j, w->shop->table.length, RUN_JSON_FINE);
    kw_json_number(j, w->shop->table.width, RUN_JSON_FINE);
    kw_json_close(j);
}

// Pierces, counted from 1, before which the table stops for the operator.
static void stops(struct kw_json *j, const struct kw_cut_plan *plan) {
    kw_json_key(j, "stops");
    kw_json_open_inline(j, '[');
    for (int c = 0, pierces = 0; c < plan->contour_count; c++) {
        const struct kw_cut_contour *k = &plan->contours[c];
        if (k->stop_before) kw_json_number(j, pierces + 1, 0);
        for (int m = 0; m < k->moves; m++)
            pierces += plan->moves[k->first_move + m].kind == KW_CUT_PIERCE;
    }
    kw_json_close(j);
}

// Marks that the scribe leaves to be made by hand: the number among those of their blank.
static void unetched(struct kw_json *j, const struct kw_week *w, const struct kw_run_sheet *s) {
    kw_json_key(j, "unetched");
    kw_json_open_inline(j, '[');
    for (int i = 0, first = 0; i < s->etch_count; i++) {
        if (i > 0 && s->etches[i].part != s->etches[i - 1].part) first = i;
        if (!s->cut.unetched[i]) continue;
        const struct kw_nest_placement *p = &s->placements[s->etches[i].part];
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "part", w->makes[p->part].label);
        kw_json_key_count(j, "copy", p->copy);
        kw_json_key_count(j, "mark", i - first);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void sheet_lists(struct kw_json *j, const struct kw_week *w, const struct kw_run_sheet *s) {
    kw_json_key(j, "tabs");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < s->cut.tab_count; i++) {
        kw_json_open_inline(j, '{');
        run_json_key_point(j, "at", s->cut.tabs[i].at);
        kw_json_key_number(j, "width", s->cut.tabs[i].width, RUN_JSON_FINE);
        kw_json_close(j);
    }
    kw_json_close(j);
    lines(j, "marks", s->marks, s->mark_count);
    unetched(j, w, s);
    lines(j, "scrap_cuts", s->cut.scrap, s->cut.scrap_count);
    lines(j, "shared_cuts", s->cut.shared, s->cut.shared_count);
    kw_json_key(j, "drops");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < s->drop_count; i++) {
        box_outline(j, s->drops[i].min.x, s->drops[i].min.y, s->drops[i].max.x, s->drops[i].max.y);
    }
    kw_json_close(j);
}

// What lies on a sheet of an earlier run, and stays there.
static void taken(struct kw_json *j, const struct kw_run_sheet *s) {
    if (!s->on) return;
    kw_json_key_text(j, "on", s->on->from);
    kw_json_key(j, "taken");
    kw_json_open(j, '[');
    for (int i = 0; i < s->on->part_count; i++)
        kw_packet_outline_json(j, &s->on->parts[i].outer, RUN_JSON_FINE);
    kw_json_close(j);
}

// What is there of the sheet, and where nothing may lie or be pierced: clamps, spoiled places.
static void sheet_outline(struct kw_json *j, const struct kw_run_sheet *s) {
    if (!s->free) {
        box_outline(j, 0, 0, s->width, s->height);
        return;
    }
    kw_json_open_inline(j, '[');
    for (int i = 0; i < s->free->outer.count; i++)
        run_json_point(j, s->free->outer.v[i].x, s->free->outer.v[i].y);
    kw_json_close(j);
    if (s->free->hole_count == 0) return;
    kw_json_key(j, "keep_out");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < s->free->hole_count; i++) {
        struct kw_box2 b = kw_path_box(&s->free->holes[i]);
        box_outline(j, b.min.x, b.min.y, b.max.x, b.max.y);
    }
    kw_json_close(j);
}

void run_json_sheets(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "sheets");
    kw_json_open(j, '[');
    for (int i = 0; i < w->sheet_count; i++) {
        const struct kw_run_sheet *s = &w->sheets[i];
        if (!s->program) continue;
        kw_json_open(j, '{');
        kw_json_key_text(j, "id", s->id);
        kw_json_key_text(j, "material", s->stock.text);
        kw_json_key_number(j, "thickness", s->stock.thickness, RUN_JSON_FINE);
        kw_json_key(j, "outline");
        sheet_outline(j, s);
        if (s->rack && s->rack->painted) kw_json_key_text(j, "painted", s->rack->painted);
        kw_json_key_count(j, "times", s->times);
        if (s->standing) kw_json_key_text(j, "standing", s->standing);
        kw_json_key_text(j, "program", s->program);
        kw_json_key_text(j, "program_name", s->program_name);
        kw_json_key_number(j, "kerf", s->cut.kerf, RUN_JSON_FINE);
        kw_json_key_number(j, "spacing", s->spacing, RUN_JSON_FINE);
        kw_json_key_number(j, "margin", s->margin, RUN_JSON_FINE);
        kw_json_key_number(j, "cut_time", s->cut.cut_time, 3);
        kw_json_key_count(j, "pierces", s->cut.pierces);
        kw_json_key_number(j, "cut_length", s->cut.cut_length, 3);
        if (s->rule->life > 0)
            kw_json_key_number(j, "life_used", (double)s->cut.pierces / s->rule->life,
                               RUN_JSON_FINE);
        if (s->cut.etch_length > 0) kw_json_key_number(j, "etch_length", s->cut.etch_length, 3);
        kw_json_key_number(j, "rapid_length", s->cut.rapid_length, 3);
        kw_json_key_number(j, "density", s->density, RUN_JSON_FINE);
        kw_json_key_number(j, "mass", s->mass, 3);
        controller(j, w, s);
        stops(j, &s->cut);
        placements(j, w, s);
        sheet_lists(j, w, s);
        taken(j, s);
        kw_json_close(j);
    }
    kw_json_close(j);
}
