// SPDX-License-Identifier: Apache-2.0
// run.json: the week for other programs, the judges first of all. Keys: docs/formats/run.md.
// Lengths mm to 1e-6, angles degrees, mass kg, time s, force kN, money as decimal text.
#include "packet/run_json.h"

#include <stdio.h>
#include <string.h>

double run_json_degrees(double rad) {
    return rad * 180 / KW_PI;
}

void run_json_money(struct kw_json *j, const char *key, double amount) {
    char buf[KW_NUMBER_SIZE];
    kw_json_key_text(j, key, kw_fixed(buf, amount, 2));
}

void run_json_point(struct kw_json *j, double x, double y) {
    kw_json_open_inline(j, '[');
    kw_json_number(j, x, RUN_JSON_FINE);
    kw_json_number(j, y, RUN_JSON_FINE);
    kw_json_close(j);
}

void run_json_key_point(struct kw_json *j, const char *key, struct kw_vec2 p) {
    kw_json_key(j, key);
    run_json_point(j, p.x, p.y);
}

void run_json_numbers(struct kw_json *j, const char *key, const double *v, int count) {
    kw_json_key(j, key);
    kw_json_open_inline(j, '[');
    for (int i = 0; i < count; i++)
        kw_json_number(j, v[i], RUN_JSON_FINE);
    kw_json_close(j);
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
        run_json_key_point(j, "from", from);
        run_json_key_point(j, "to", to);
        kw_json_key_number(j, "angle", run_json_degrees(bend->angle), RUN_JSON_FINE);
        kw_json_key_number(j, "radius", bend->radius, RUN_JSON_FINE);
        kw_json_key_text(j, "toward", bend->way == KW_UP ? "up" : "down");
        kw_json_key_number(j, "allowance", bend->allowance, RUN_JSON_FINE);
        kw_json_key_number(j, "deduction", bend->deduction, RUN_JSON_FINE);
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
        kw_json_key_number(j, "thickness", m->part->stock.thickness, RUN_JSON_FINE);
        kw_json_key_count(j, "count", m->needed + m->spare + m->extra_placed);
        kw_json_key_count(j, "spare", m->spare);
        if (m->extra_placed > 0) kw_json_key_count(j, "extra", m->extra_placed);
        if (m->use == KW_MAKE_COUPON) kw_json_key_text(j, "use", "coupon");
        kw_json_key(j, "good_side");
        kw_json_truth(j, m->part->good_side != 0);
        kw_json_key(j, "outer");
        kw_packet_outline_json(j, &m->blank.outer, RUN_JSON_FINE);
        kw_json_key(j, "holes");
        kw_json_open(j, '[');
        for (int h = 0; h < m->blank.hole_count; h++)
            kw_packet_outline_json(j, &m->blank.holes[h], RUN_JSON_FINE);
        kw_json_close(j);
        if (m->etch_count > 0) {
            kw_json_key(j, "marks");
            kw_json_open(j, '[');
            for (int e = 0; e < m->etch_count; e++)
                kw_packet_outline_json(j, &m->etches[e], RUN_JSON_FINE);
            kw_json_close(j);
        }
        bends(j, m);
        edges(j, m);
        kw_json_key_number(j, "area", m->what->body->area, RUN_JSON_FINE);
        kw_json_key_number(j, "mass", m->what->mass, RUN_JSON_FINE);
        kw_json_key_number(j, "cut_time", m->cut_time, 3);
        kw_json_key_number(j, "cut_length", m->cut_length, 3);
        kw_json_key_number(j, "pierces", m->pierces, 3);
        kw_json_close(j);
    }
    kw_json_close(j);
}

// Where a tool begins along the press; the other hand is the mirror image, a whole tool stands in
// the middle for both.
static double tool_at(const struct kw_make *m, double at, double length) {
    return m->hand == KW_RIGHT_HAND && length > 0 ? -at - length : at;
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
    kw_json_key_number(j, "punch_at", tool_at(m, s->punch_at, s->punch_length), 3);
    kw_json_key_number(j, "die_at", tool_at(m, s->die_at, s->die_length), 3);
    kw_json_key_number(j, "gauge_x", s->gauge_x, 3);
    kw_json_key_number(j, "gauge_r", s->gauge_r, 3);
    kw_json_key_number(j, "gauge_back", s->gauge_back, 3);
    kw_json_key(j, "fingers"); // along the bend, from the middle of the first one's line
    kw_json_open_inline(j, '[');
    for (int f = 0; f < s->finger_count; f++)
        kw_json_number(
            j, m->hand == KW_RIGHT_HAND ? -s->fingers[s->finger_count - 1 - f] : s->fingers[f], 1);
    kw_json_close(j);
    kw_json_key_number(j, "depth", s->depth, 3);
    kw_json_key_number(j, "start_depth", s->start_depth, 3);
    if (s->stage == 2) kw_json_key_number(j, "closed", s->closed, 3);
    kw_json_key_number(j, "force", s->force / 1000, 3);
    kw_json_key_number(j, "angle", run_json_degrees(s->angle), 3);
    kw_json_key_number(j, "angle_under_load", run_json_degrees(s->angle_under_load), 3);
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
                run_json_numbers(j, "at", p->at, 3);
                run_json_numbers(j, "size", p->size, 3);
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
        run_json_money(j, "price", b->price);
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
        run_json_money(j, "material", c->material);
        run_json_money(j, "machine", c->machine);
        run_json_money(j, "labour", c->labour);
        run_json_money(j, "hardware", c->hardware);
        run_json_money(j, "packing", c->packing);
        run_json_money(j, "total", c->total);
        run_json_money(j, "price", c->price);
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
    kw_json_key_number(j, "measured", f->measured, RUN_JSON_FINE);
    kw_json_key_number(j, "limit", f->limit, RUN_JSON_FINE);
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
    run_json_sheets(j, w);
    brake(j, w);
    run_json_bender(j, w->shop);
    run_json_tubes(j, w);
    run_json_assemblies(j, w);
    run_json_sticks(j, w);
    run_json_saws(j, w);
    cartons(j, w);
    money_lists(j, w);
    kw_packet_findings_json(j, &w->findings);
    kw_json_close(j);
}
