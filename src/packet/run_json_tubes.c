// SPDX-License-Identifier: Apache-2.0
// The tubes of run.json: the bender, bend tables, sticks and what they were planned for.
#include "packet/run_json.h"

// The bender's surroundings, for whoever follows the tubes through it.
void run_json_bender(struct kw_json *j, const struct kw_shop *shop) {
    kw_json_key(j, "bender");
    kw_json_open(j, '{');
    kw_json_key_number(j, "floor", shop->bender.floor, RUN_JSON_FINE);
    kw_json_key(j, "turns_by_itself");
    kw_json_truth(j, shop->bender.turns_by_itself != 0);
    kw_json_key(j, "bodies");
    kw_json_open(j, '[');
    for (int i = 0; i < shop->bender.bodies.count; i++) {
        const struct kw_bender_body *b = KW_ITEM(struct kw_bender_body, shop->bender.bodies, i);
        const double *x = b->ahead.v, *y = b->side.v, *z = b->up.v;
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "name", b->name);
        run_json_numbers(j, "min", (double[]){x[0], y[0], z[0]}, 3);
        run_json_numbers(j, "max", (double[]){x[1], y[1], z[1]}, 3);
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
    kw_json_key_number(j, "od", m->part->stock.width, RUN_JSON_FINE);
    kw_json_key_number(j, "wall", m->part->stock.thickness, RUN_JSON_FINE);
    kw_json_key_number(j, "last", m->what->tube->last, RUN_JSON_FINE);
    kw_json_key_number(j, "trim_start", m->what->trims.start, RUN_JSON_FINE);
    kw_json_key_number(j, "trim_end", m->what->trims.end, RUN_JSON_FINE);
}

void run_json_tubes(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "tubes");
    kw_json_open(j, '[');
    for (int i = 0; i < w->make_count; i++) {
        const struct kw_make *m = &w->makes[i];
        if (m->part->stock.kind == KW_SHEET) continue;
        kw_json_open(j, '{');
        kw_json_key_text(j, "part", m->label);
        kw_json_key_text(j, "material", m->part->stock.text);
        kw_json_key_count(j, "count", m->needed);
        kw_json_key_number(j, "cut_length", m->what->cut_length, RUN_JSON_FINE);
        tube_size(j, m);
        run_json_fits(j, w, m);
        kw_json_key(j, "bends");
        kw_json_open(j, '[');
        for (int b = 0; m->what->tube && b < m->what->tube->count; b++) {
            const struct kw_tube_bend *bend = &m->what->tube->bends[b];
            kw_json_open_inline(j, '{');
            kw_json_key_number(j, "feed", bend->straight, RUN_JSON_FINE);
            kw_json_key_number(j, "rotate", run_json_degrees(bend->rotate), RUN_JSON_FINE);
            kw_json_key_number(j, "angle", run_json_degrees(bend->angle), RUN_JSON_FINE);
            kw_json_key_number(j, "angle_under_load",
                               run_json_degrees(m->what->marks[b].angle_under_load), 3);
            kw_json_key_number(j, "radius", bend->radius, RUN_JSON_FINE);
            kw_json_key_number(j, "taken", kw_tube_taken(m->what->tube, b), RUN_JSON_FINE);
            kw_json_key_number(j, "die_radius", die_radius(w, bend, m->what->marks[b].die),
                               RUN_JSON_FINE);
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
    run_json_numbers(j, "leans", (double[]){run_json_degrees(rad[0]), run_json_degrees(rad[1])}, 2);
    kw_json_key(j, "shared");
    kw_json_truth(j, laid.shared);
}

void run_json_sticks(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "sticks");
    kw_json_open(j, '[');
    for (int i = 0; i < w->saw_count; i++) {
        const struct kw_run_saw *saw = &w->saws[i];
        for (int p = 0; p < saw->plan.pattern_count; p++) {
            const struct kw_stick_pattern *pattern = &saw->plan.patterns[p];
            kw_json_open(j, '{');
            kw_json_key_text(j, "stock", saw->stock.text);
            kw_json_key_count(j, "rack", pattern->stock + 1);
            kw_json_key_number(j, "length", saw->racks[pattern->stock]->length, RUN_JSON_FINE);
            kw_json_key_count(j, "times", pattern->times);
            kw_json_key_number(j, "kerf", w->shop->saw.kerf, RUN_JSON_FINE);
            kw_json_key_number(j, "trim", w->shop->saw.trim, RUN_JSON_FINE);
            kw_json_key_number(j, "hold", w->shop->saw.hold, RUN_JSON_FINE);
            kw_json_key(j, "pieces");
            kw_json_open(j, '[');
            for (int k = 0; k < pattern->piece_count; k++) {
                int piece = pattern->pieces[k];
                kw_json_open_inline(j, '{');
                kw_json_key_text(j, "part", w->makes[saw->makes[piece]].label);
                kw_json_key_number(j, "length", saw->lengths[piece], RUN_JSON_FINE);
                leans(j, w->makes[saw->makes[piece]].part, saw->laid[p][k]);
                kw_json_close(j);
            }
            kw_json_close(j);
            kw_json_key_number(j, "leftover", pattern->leftover, RUN_JSON_FINE);
            kw_json_close(j);
        }
    }
    kw_json_close(j);
}

/// What the saw lists were made for: pieces wanted, and the rack.
void run_json_saws(struct kw_json *j, const struct kw_week *w) {
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
            kw_json_key_number(j, "length", saw->racks[k]->length, RUN_JSON_FINE);
            run_json_money(j, "price", kw_rack_item_price(w->shop, saw->racks[k]));
            if (!saw->racks[k]->can_buy) kw_json_key_count(j, "count", saw->racks[k]->on_hand);
            kw_json_close(j);
        }
        kw_json_close(j);
        kw_json_key(j, "wanted");
        kw_json_open(j, '[');
        for (int k = 0; k < saw->piece_count; k++) {
            kw_json_open_inline(j, '{');
            kw_json_key_text(j, "part", w->makes[saw->makes[k]].label);
            kw_json_key_number(j, "length", saw->lengths[k], RUN_JSON_FINE);
            kw_json_key_count(j, "count", w->makes[saw->makes[k]].needed);
            kw_json_close(j);
        }
        kw_json_close(j);
        kw_json_key(j, "proven");
        kw_json_truth(j, saw->plan.proven);
        kw_json_key_count(j, "patterns", saw->plan.pattern_count);
        kw_json_key_number(j, "keep", w->shop->saw.keep, RUN_JSON_FINE);
        kw_json_key_number(j, "keep_worth", w->shop->saw.keep_worth, RUN_JSON_FINE);
        run_json_money(j, "kept_worth", saw->plan.kept_worth);
        kw_json_close(j);
    }
    kw_json_close(j);
}
