// SPDX-License-Identifier: Apache-2.0
// run.json: the week for other programs, the judges first of all. Keys: docs/formats/run.md.
// Lengths mm to 1e-6, angles degrees, mass kg, time s, force kN, money as decimal text.
#include "packet/packet.h"

#include <stdio.h>
#include <string.h>

enum { FINE = 6 };

static double degrees(double rad) {
    return rad * 180 / KW_PI;
}

static void money(struct kw_json *j, const char *key, double amount) {
    char buf[KW_NUMBER_SIZE];
    kw_json_key_text(j, key, kw_fixed(buf, amount, 2));
}

static void point(struct kw_json *j, double x, double y) {
    kw_json_open_inline(j, '[');
    kw_json_number(j, x, FINE);
    kw_json_number(j, y, FINE);
    kw_json_close(j);
}

static void key_point(struct kw_json *j, const char *key, struct kw_vec2 p) {
    kw_json_key(j, key);
    point(j, p.x, p.y);
}

static void date(struct kw_json *j, const char *key, int day) {
    char buf[KW_NUMBER_SIZE];
    kw_json_key_text(j, key, kw_date_text(buf, day));
}

void kw_packet_outline_json(struct kw_json *j, const struct kw_path *p, int decimals) {
    kw_json_open_inline(j, '[');
    for (int i = 0; i < p->count; i++) {
        kw_json_open_inline(j, '[');
        kw_json_number(j, p->v[i].x, decimals);
        kw_json_number(j, p->v[i].y, decimals);
        kw_json_number(j, p->v[i].bulge, 9);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void box_outline(struct kw_json *j, double x0, double y0, double x1, double y1) {
    kw_json_open_inline(j, '[');
    point(j, x0, y0);
    point(j, x1, y0);
    point(j, x1, y1);
    point(j, x0, y1);
    kw_json_close(j);
}

static void kits(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "kits");
    kw_json_open(j, '[');
    for (int i = 0; i < w->run_kit_count; i++) {
        const struct kw_run_kit *k = &w->run_kits[i];
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "kit", k->kit->name);
        kw_json_key_text(j, "title", k->kit->title);
        kw_json_key_text(j, "revision", k->kit->revision);
        kw_json_key_count(j, "count", k->ordered);
        kw_json_key_count(j, "boxed", k->boxed);
        if (k->due) date(j, "due", k->due);
        kw_json_close(j);
    }
    kw_json_close(j);
    kw_json_key(j, "left_out");
    kw_json_open(j, '[');
    for (int i = 0; i < w->left_out_count; i++) {
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "kit", w->left_out[i].kit);
        kw_json_key_text(j, "part", w->left_out[i].part);
        kw_json_key_count(j, "count", w->left_out[i].count);
        kw_json_key_text(j, "why", w->left_out[i].why);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void bends(struct kw_json *j, const struct kw_make *m) {
    const struct kw_body *body = m->what->body;
    kw_json_key(j, "bends");
    kw_json_open(j, '[');
    for (int b = 0; b < body->bend_count; b++) {
        const struct kw_bend *bend = &body->bends[b];
        struct kw_vec2 from, to;
        kw_body_bend_line(body, b, m->hand == KW_RIGHT_HAND, &from, &to);
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "id", bend->id);
        key_point(j, "from", from);
        key_point(j, "to", to);
        kw_json_key_number(j, "angle", degrees(bend->angle), FINE);
        kw_json_key_number(j, "radius", bend->radius, FINE);
        kw_json_key_text(j, "toward", bend->way == KW_UP ? "up" : "down");
        kw_json_key_number(j, "allowance", bend->allowance, FINE);
        kw_json_key_number(j, "deduction", bend->deduction, FINE);
        kw_json_key_text(j, "source", bend->source);
        kw_json_close(j);
    }
    kw_json_close(j);
}

// Segments of the outline that matter later, by their use; the first hand's order of segments.
static void edges(struct kw_json *j, const struct kw_make *m) {
    static const struct {
        int use;
        const char *word;
    } words[] = {{KW_EDGE_MATES, "mates"},
                 {KW_EDGE_WELDED, "welded"},
                 {KW_EDGE_GAUGED, "gauged"},
                 {KW_EDGE_GRIPPED, "gripped"}};
    if (m->hand == KW_RIGHT_HAND) return;
    kw_json_key(j, "edges");
    kw_json_open(j, '[');
    for (int i = 0; i < m->blank.outer.count; i++) {
        int uses = kw_edge_uses(m->what, i);
        if (uses == 0) continue;
        kw_json_open_inline(j, '{');
        kw_json_key_count(j, "segment", i);
        kw_json_key(j, "uses");
        kw_json_open_inline(j, '[');
        for (size_t k = 0; k < sizeof words / sizeof *words; k++)
            if (uses & words[k].use) kw_json_text(j, words[k].word);
        kw_json_close(j);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void blanks(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "blanks");
    kw_json_open(j, '[');
    for (int i = 0; i < w->make_count; i++) {
        const struct kw_make *m = &w->makes[i];
        if (!m->what->body || (m->use != KW_MAKE_ORDERED && m->placed == 0)) continue;
        kw_json_open(j, '{');
        kw_json_key_text(j, "part", m->label);
        kw_json_key_text(j, "hand", kw_hand_name(m->hand));
        kw_json_key_text(j, "revision", m->part->revision);
        kw_json_key_text(j, "material", m->part->stock.text);
        kw_json_key_number(j, "thickness", m->part->stock.thickness, FINE);
        kw_json_key_count(j, "count", m->needed + m->spare + m->extra_placed);
        kw_json_key_count(j, "spare", m->spare);
        if (m->extra_placed > 0) kw_json_key_count(j, "extra", m->extra_placed);
        if (m->use == KW_MAKE_COUPON) kw_json_key_text(j, "use", "coupon");
        kw_json_key(j, "good_side");
        kw_json_truth(j, m->part->good_side != 0);
        kw_json_key(j, "outer");
        kw_packet_outline_json(j, &m->blank.outer, FINE);
        kw_json_key(j, "holes");
        kw_json_open(j, '[');
        for (int h = 0; h < m->blank.hole_count; h++)
            kw_packet_outline_json(j, &m->blank.holes[h], FINE);
        kw_json_close(j);
        if (m->etch_count > 0) {
            kw_json_key(j, "marks");
            kw_json_open(j, '[');
            for (int e = 0; e < m->etch_count; e++)
                kw_packet_outline_json(j, &m->etches[e], FINE);
            kw_json_close(j);
        }
        bends(j, m);
        edges(j, m);
        kw_json_key_number(j, "area", m->what->body->area, FINE);
        kw_json_key_number(j, "mass", m->what->mass, FINE);
        kw_json_key_number(j, "cut_time", m->cut_time, 3);
        kw_json_key_number(j, "cut_length", m->cut_length, 3);
        kw_json_key_number(j, "pierces", m->pierces, 3);
        kw_json_close(j);
    }
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
        kw_json_key_number(j, "x", p->x, FINE);
        kw_json_key_number(j, "y", p->y, FINE);
        kw_json_key_number(j, "rotation", degrees(p->rotation), 9);
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
        key_point(j, "from", v[i].from);
        key_point(j, "to", v[i].to);
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
    kw_json_key_number(j, "feed", s->feed, FINE);
    key_point(j, "from_torch", kw_v2(s->to_right, s->to_back));
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
    kw_json_key_number(j, "feed", s->cut.rule.feed, FINE);
    kw_json_key_number(j, "hole_feed", s->cut.rule.hole_feed, FINE);
    kw_json_key_number(j, "hole_feed_below", s->cut.rule.hole_feed_below, FINE);
    kw_json_key_number(j, "corner_feed", s->cut.rule.corner_feed, FINE);
    kw_json_key_number(j, "zone", s->cut.rule.zone, FINE);
    kw_json_key_number(j, "pierce_delay", s->cut.rule.pierce_delay, FINE);
    kw_json_key_number(j, "pierce_height", s->cut.rule.pierce_height, FINE);
    kw_json_key_number(j, "cut_height", s->cut.rule.cut_height, FINE);
    // Where the shop's own lines move the torch, its height and place are theirs.
    if (c->height_by_program && !lines_hold(c->at_pierce, "Zz"))
        kw_json_key_number(j, "travel_height", c->travel_height, FINE);
    if (lines_hold(c->header, "XYxy") || lines_hold(c->footer, "XYxy")) return;
    kw_json_key(j, "table");
    kw_json_open_inline(j, '[');
    kw_json_number(j, w->shop->table.length, FINE);
    kw_json_number(j, w->shop->table.width, FINE);
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
        key_point(j, "at", s->cut.tabs[i].at);
        kw_json_key_number(j, "width", s->cut.tabs[i].width, FINE);
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
        kw_packet_outline_json(j, &s->on->parts[i].outer, FINE);
    kw_json_close(j);
}

static void sheets(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "sheets");
    kw_json_open(j, '[');
    for (int i = 0; i < w->sheet_count; i++) {
        const struct kw_run_sheet *s = &w->sheets[i];
        if (!s->program) continue;
        kw_json_open(j, '{');
        kw_json_key_text(j, "id", s->id);
        kw_json_key_text(j, "material", s->stock.text);
        kw_json_key_number(j, "thickness", s->stock.thickness, FINE);
        kw_json_key(j, "outline");
        box_outline(j, 0, 0, s->width, s->height);
        kw_json_key_count(j, "times", s->times);
        if (s->standing) kw_json_key_text(j, "standing", s->standing);
        kw_json_key_text(j, "program", s->program);
        kw_json_key_text(j, "program_name", s->program_name);
        kw_json_key_number(j, "kerf", s->cut.kerf, FINE);
        kw_json_key_number(j, "spacing", s->spacing, FINE);
        kw_json_key_number(j, "margin", s->margin, FINE);
        kw_json_key_number(j, "cut_time", s->cut.cut_time, 3);
        kw_json_key_count(j, "pierces", s->cut.pierces);
        kw_json_key_number(j, "cut_length", s->cut.cut_length, 3);
        if (s->rule->life > 0)
            kw_json_key_number(j, "life_used", (double)s->cut.pierces / s->rule->life, FINE);
        if (s->cut.etch_length > 0) kw_json_key_number(j, "etch_length", s->cut.etch_length, 3);
        kw_json_key_number(j, "rapid_length", s->cut.rapid_length, 3);
        kw_json_key_number(j, "density", s->density, FINE);
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

static void brake_step(struct kw_json *j, const struct kw_week *w, const struct kw_make *m,
                       int step) {
    const struct kw_brake_step *s = &m->what->brake->steps[step];
    kw_json_open_inline(j, '{');
    kw_json_key(j, "bends");
    kw_json_open_inline(j, '[');
    for (int b = 0; b < s->bend_count; b++)
        kw_json_text(j, m->what->body->bends[s->bends[b]].id);
    kw_json_close(j);
    const struct kw_press *press = &w->shop->press;
    kw_json_key_count(j, "stage", s->stage);
    kw_json_key_text(j, "punch", s->punch < 0 ? "" : kw_press_punch_name(press, s->punch));
    kw_json_key(j, "punch_turned");
    kw_json_truth(j, s->punch_turned);
    kw_json_key_text(j, "die", s->die < 0 ? "" : kw_press_die_name(press, s->die));
    kw_json_key_count(j, "station", s->station);
    kw_json_key_number(j, "punch_length", s->punch_length, 3);
    kw_json_key_number(j, "die_length", s->die_length, 3);
    kw_json_key_number(j, "punch_at", s->punch_at, 3);
    kw_json_key_number(j, "die_at", s->die_at, 3);
    kw_json_key_number(j, "gauge_x", s->gauge_x, 3);
    kw_json_key_number(j, "gauge_r", s->gauge_r, 3);
    kw_json_key_number(j, "gauge_back", s->gauge_back, 3);
    kw_json_key(j, "fingers"); // along the bend, from the middle of the first one's line
    kw_json_open_inline(j, '[');
    for (int f = 0; f < s->finger_count; f++)
        kw_json_number(j, s->fingers[f], 1);
    kw_json_close(j);
    kw_json_key_number(j, "depth", s->depth, 3);
    kw_json_key_number(j, "start_depth", s->start_depth, 3);
    if (s->stage == 2) kw_json_key_number(j, "closed", s->closed, 3);
    kw_json_key_number(j, "force", s->force / 1000, 3);
    kw_json_key_number(j, "angle", degrees(s->angle), 3);
    kw_json_key_number(j, "angle_under_load", degrees(s->angle_under_load), 3);
    kw_json_key(j, "turned_over");
    kw_json_truth(j, s->turned_over);
    kw_json_key(j, "rotated");
    kw_json_truth(j, s->rotated);
    kw_json_key_number(j, "carried", s->carried, 1); // by the bed until the sheet is touched
    kw_json_key_number(j, "rise", s->rise, 1);       // of what is held, from there on
    if (s->near) { // goes past the tools with less than the full clearance
        kw_json_key_number(j, "gap", s->near->gap, 2);
        kw_json_key_text(j, "gap_to", kw_brake_obstacle_name(s->near->obstacle));
    }
    kw_json_key(j, "then_flare"); // dimples, by the numbers of the dimple sheet
    kw_json_open_inline(j, '[');
    for (int i = 0; i < m->what->body->dimple_count; i++)
        if (kw_check_flared_after(m->what, i) == step + 1) kw_json_count(j, i + 1);
    kw_json_close(j);
    kw_json_close(j);
}

static void brake(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "brake");
    kw_json_open(j, '[');
    for (int i = 0; i < w->brake_count; i++) {
        const struct kw_make *m = &w->makes[w->brake_order[i]];
        kw_json_open(j, '{');
        kw_json_key_text(j, "part", m->label);
        kw_json_key(j, "steps");
        kw_json_open(j, '[');
        for (int s = 0; s < m->what->brake->step_count; s++) {
            brake_step(j, w, m, s);
        }
        kw_json_close(j);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void numbers(struct kw_json *j, const char *key, const double *v, int count) {
    kw_json_key(j, key);
    kw_json_open_inline(j, '[');
    for (int i = 0; i < count; i++)
        kw_json_number(j, v[i], FINE);
    kw_json_close(j);
}

// The bender's surroundings, for whoever follows the tubes through it.
static void bender(struct kw_json *j, const struct kw_shop *shop) {
    kw_json_key(j, "bender");
    kw_json_open(j, '{');
    kw_json_key_number(j, "floor", shop->bender.floor, FINE);
    kw_json_key(j, "turns_by_itself");
    kw_json_truth(j, shop->bender.turns_by_itself != 0);
    kw_json_key(j, "bodies");
    kw_json_open(j, '[');
    for (int i = 0; i < shop->bender.bodies.count; i++) {
        const struct kw_bender_body *b = KW_ITEM(struct kw_bender_body, shop->bender.bodies, i);
        const double *x = b->ahead.v, *y = b->side.v, *z = b->up.v;
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "name", b->name);
        numbers(j, "min", (double[]){x[0], y[0], z[0]}, 3);
        numbers(j, "max", (double[]){x[1], y[1], z[1]}, 3);
        kw_json_close(j);
    }
    kw_json_close(j);
    kw_json_close(j);
}

static double die_radius(const struct kw_week *w, const struct kw_tube_bend *bend, int die) {
    return die < 0 ? bend->radius
                   : KW_ITEM(struct kw_bender_die, w->shop->bender.dies, die)->radius;
}

/// How the tube gets from the bend before: fed on and turned the short or the long way round, or
/// lifted out of the bender.
static const char *const turning_words[] = {"short", "long", "lifted"};

static void tube_size(struct kw_json *j, const struct kw_make *m) {
    if (!m->what->tube) return;
    kw_json_key_number(j, "od", m->part->stock.width, FINE);
    kw_json_key_number(j, "wall", m->part->stock.thickness, FINE);
    kw_json_key_number(j, "last", m->what->tube->last, FINE);
    kw_json_key_number(j, "trim_start", m->what->trims.start, FINE);
    kw_json_key_number(j, "trim_end", m->what->trims.end, FINE);
}

static void tubes(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "tubes");
    kw_json_open(j, '[');
    for (int i = 0; i < w->make_count; i++) {
        const struct kw_make *m = &w->makes[i];
        if (m->part->stock.kind == KW_SHEET) continue;
        kw_json_open(j, '{');
        kw_json_key_text(j, "part", m->label);
        kw_json_key_text(j, "material", m->part->stock.text);
        kw_json_key_count(j, "count", m->needed);
        kw_json_key_number(j, "cut_length", m->what->cut_length, FINE);
        tube_size(j, m);
        kw_json_key(j, "bends");
        kw_json_open(j, '[');
        for (int b = 0; m->what->tube && b < m->what->tube->count; b++) {
            const struct kw_tube_bend *bend = &m->what->tube->bends[b];
            kw_json_open_inline(j, '{');
            kw_json_key_number(j, "feed", bend->straight, FINE);
            kw_json_key_number(j, "rotate", degrees(bend->rotate), FINE);
            kw_json_key_number(j, "angle", degrees(bend->angle), FINE);
            kw_json_key_number(j, "angle_under_load", degrees(m->what->marks[b].angle_under_load),
                               3);
            kw_json_key_number(j, "radius", bend->radius, FINE);
            kw_json_key_number(j, "taken", kw_tube_taken(m->what->tube, b), FINE);
            kw_json_key_number(j, "die_radius", die_radius(w, bend, m->what->marks[b].die), FINE);
            if (b > 0) kw_json_key_text(j, "turning", turning_words[m->what->marks[b].turning]);
            kw_json_close(j);
        }
        kw_json_close(j);
        kw_json_close(j);
    }
    kw_json_close(j);
}

/// Of a mitred piece as it lies on the stick: degrees off square left and right, positive where the
/// lower edge is the longer one; `shared`: its left cut made the right end of the piece before it.
static void leans(struct kw_json *j, const struct kw_part *part, struct kw_run_laid laid) {
    double rad[2];
    kw_run_leans(part, laid, rad);
    if (rad[0] == 0 && rad[1] == 0) return;
    numbers(j, "leans", (double[]){degrees(rad[0]), degrees(rad[1])}, 2);
    kw_json_key(j, "shared");
    kw_json_truth(j, laid.shared);
}

static void sticks(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "sticks");
    kw_json_open(j, '[');
    for (int i = 0; i < w->saw_count; i++) {
        const struct kw_run_saw *saw = &w->saws[i];
        for (int p = 0; p < saw->plan.pattern_count; p++) {
            const struct kw_stick_pattern *pattern = &saw->plan.patterns[p];
            kw_json_open(j, '{');
            kw_json_key_text(j, "stock", saw->stock.text);
            kw_json_key_count(j, "rack", pattern->stock + 1);
            kw_json_key_number(j, "length", saw->racks[pattern->stock]->length, FINE);
            kw_json_key_count(j, "times", pattern->times);
            kw_json_key_number(j, "kerf", w->shop->saw.kerf, FINE);
            kw_json_key_number(j, "trim", w->shop->saw.trim, FINE);
            kw_json_key_number(j, "hold", w->shop->saw.hold, FINE);
            kw_json_key(j, "pieces");
            kw_json_open(j, '[');
            for (int k = 0; k < pattern->piece_count; k++) {
                int piece = pattern->pieces[k];
                kw_json_open_inline(j, '{');
                kw_json_key_text(j, "part", w->makes[saw->makes[piece]].label);
                kw_json_key_number(j, "length", saw->lengths[piece], FINE);
                leans(j, w->makes[saw->makes[piece]].part, saw->laid[p][k]);
                kw_json_close(j);
            }
            kw_json_close(j);
            kw_json_key_number(j, "leftover", pattern->leftover, FINE);
            kw_json_close(j);
        }
    }
    kw_json_close(j);
}

/// What the saw lists were made for: pieces wanted, and the rack.
static void saws(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "saws");
    kw_json_open(j, '[');
    for (int i = 0; i < w->saw_count; i++) {
        const struct kw_run_saw *saw = &w->saws[i];
        kw_json_open(j, '{');
        kw_json_key_text(j, "stock", saw->stock.text);
        kw_json_key(j, "racks");
        kw_json_open(j, '[');
        for (int k = 0; k < saw->rack_count; k++) {
            kw_json_open_inline(j, '{');
            kw_json_key_number(j, "length", saw->racks[k]->length, FINE);
            money(j, "price", kw_rack_item_price(w->shop, saw->racks[k]));
            if (!saw->racks[k]->can_buy) kw_json_key_count(j, "count", saw->racks[k]->on_hand);
            kw_json_close(j);
        }
        kw_json_close(j);
        kw_json_key(j, "wanted");
        kw_json_open(j, '[');
        for (int k = 0; k < saw->piece_count; k++) {
            kw_json_open_inline(j, '{');
            kw_json_key_text(j, "part", w->makes[saw->makes[k]].label);
            kw_json_key_number(j, "length", saw->lengths[k], FINE);
            kw_json_key_count(j, "count", w->makes[saw->makes[k]].needed);
            kw_json_close(j);
        }
        kw_json_close(j);
        kw_json_key(j, "proven");
        kw_json_truth(j, saw->plan.proven);
        kw_json_key_count(j, "patterns", saw->plan.pattern_count);
        kw_json_key_number(j, "keep", w->shop->saw.keep, FINE);
        kw_json_key_number(j, "keep_worth", w->shop->saw.keep_worth, FINE);
        money(j, "kept_worth", saw->plan.kept_worth);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void triple(struct kw_json *j, const char *key, const double v[3]) {
    kw_json_key(j, key);
    kw_json_open_inline(j, '[');
    for (int i = 0; i < 3; i++)
        kw_json_number(j, v[i], 3);
    kw_json_close(j);
}

static void cartons(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "cartons");
    kw_json_open(j, '[');
    for (int i = 0; i < w->packing_count; i++) {
        const struct kw_run_packing *packing = &w->packings[i];
        for (int c = 0; c < packing->plan.carton_count; c++) {
            const struct kw_carton *carton = &packing->plan.cartons[c];
            kw_json_open(j, '{');
            kw_json_key_text(j, "kit", packing->kit->name);
            kw_json_key_text(j, "carton",
                             KW_ITEM(struct kw_box_size, w->shop->cartons, carton->kind)->name);
            kw_json_key_count(j, "box", c + 1);
            kw_json_key_count(j, "of", packing->plan.carton_count);
            kw_json_key_number(j, "gross_mass", carton->gross_mass, 4);
            kw_json_key_number(j, "billable_mass", carton->billable_mass, 4);
            kw_json_key_number(j, "length_girth", carton->length_girth, 3);
            kw_json_key(j, "parts");
            kw_json_open(j, '[');
            for (int k = 0; k < carton->placed_count; k++) {
                const struct kw_carton_placed *p = &carton->placed[k];
                kw_json_open_inline(j, '{');
                kw_json_key_text(j, "part", packing->names[p->box]);
                kw_json_key_count(j, "count", 1);
                triple(j, "at", p->at);
                triple(j, "size", p->size);
                kw_json_key_text(j, "turn", kw_carton_turn_text(p->turn));
                kw_json_close(j);
            }
            kw_json_close(j);
            kw_json_close(j);
        }
    }
    kw_json_close(j);
}

static void money_lists(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "buy");
    kw_json_open(j, '[');
    for (int i = 0; i < w->buy_count; i++) {
        const struct kw_buy *b = &w->buys[i];
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "what", b->what);
        kw_json_key_count(j, "count", b->count);
        kw_json_key_text(j, "unit", b->unit);
        kw_json_key_count(j, "needed", b->needed);
        kw_json_key_count(j, "on_hand", b->on_hand);
        money(j, "price", b->price);
        kw_json_close(j);
    }
    kw_json_close(j);
    kw_json_key(j, "load");
    kw_json_open(j, '[');
    for (int i = 0; i < w->load_count; i++) {
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "machine", w->loads[i].machine);
        kw_json_key_number(j, "hours", w->loads[i].hours, 3);
        kw_json_key_number(j, "available", w->loads[i].available, 3);
        kw_json_close(j);
    }
    kw_json_close(j);
    kw_json_key(j, "cost");
    kw_json_open(j, '[');
    for (int i = 0; i < w->cost_count; i++) {
        const struct kw_cost *c = &w->costs[i];
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "kit", c->kit->name);
        money(j, "material", c->material);
        money(j, "machine", c->machine);
        money(j, "labour", c->labour);
        money(j, "hardware", c->hardware);
        money(j, "packing", c->packing);
        money(j, "total", c->total);
        money(j, "price", c->price);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void finding(struct kw_json *j, const struct kw_finding *f) {
    kw_json_open(j, '{');
    kw_json_key_text(j, "level", kw_level_name(f->level));
    kw_json_key_text(j, "rule", f->rule);
    kw_json_key_text(j, "kit", f->kit);
    kw_json_key_text(j, "part", f->part);
    kw_json_key(j, "where");
    kw_json_open_inline(j, '{');
    kw_json_key_text(j, "file", f->where.file);
    kw_json_key_count(j, "line", f->where.line);
    kw_json_key_count(j, "column", f->where.column);
    kw_json_key_text(j, "frame", f->frame ? f->frame : "");
    kw_json_key(j, "at");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < 3; i++)
        kw_json_number(j, f->at[i], 3);
    kw_json_close(j);
    kw_json_close(j);
    kw_json_key_number(j, "measured", f->measured, FINE);
    kw_json_key_number(j, "limit", f->limit, FINE);
    kw_json_key_text(j, "unit", f->unit);
    kw_json_key_text(j, "says", f->says);
    kw_json_key_text(j, "fix", f->fix);
    kw_json_key_text(j, "signed", f->signed_by);
    kw_json_close(j);
}

void kw_packet_findings_json(struct kw_json *j, const struct kw_findings *findings) {
    kw_json_key(j, "findings");
    kw_json_open(j, '[');
    for (int i = 0; i < findings->count; i++)
        finding(j, &findings->v[i]);
    kw_json_close(j);
}

void kw_packet_run_json(const struct kw_week *w, const char *made_by, struct kw_text *out) {
    struct kw_json writer = {.out = out}, *j = &writer;
    kw_json_open(j, '{');
    kw_json_key_text(j, "run", w->name);
    kw_json_key_text(j, "made_by", made_by);
    kw_json_key_text(j, "currency", w->shop->currency);
    date(j, "date", w->date);
    kits(j, w);
    blanks(j, w);
    sheets(j, w);
    brake(j, w);
    bender(j, w->shop);
    tubes(j, w);
    sticks(j, w);
    saws(j, w);
    cartons(j, w);
    money_lists(j, w);
    kw_packet_findings_json(j, &w->findings);
    kw_json_close(j);
}
