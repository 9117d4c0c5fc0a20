// SPDX-License-Identifier: Apache-2.0
// Ends of tubes that are cut to stand on another piece, for their judge: the cut as it is told to
// the shop with the tube, and apart from it where all pieces of the kit stand and what those are
// that it goes onto. Kits without such ends are not listed.
#include "packet/run_json.h"

#include <string.h>

#define EXACT 9 // decimals of directions

static bool can_tell(const struct kw_examined *what) {
    return what->part->stock.kind == KW_SHEET ? what->body != NULL : what->tube != NULL;
}

/// What an end of a tube that is made goes onto where they stand; NULL when that decides nothing.
static const struct kw_examined *onto(const struct kw_week *w, const struct kw_make *m, int end) {
    const struct kw_end *e = end ? &m->part->ends.end : &m->part->ends.start;
    if (!e->fit.is || m->placed == 0 || !m->what->makeable || !m->what->tube) return NULL;
    const struct kw_run_kit *row = kw_run_kit_of(w, m->kit);
    for (int i = 0; row && i < row->part_count; i++)
        if (strcmp(row->parts[i].part->name, e->cope.onto) == 0)
            return can_tell(&row->parts[i]) ? &row->parts[i] : NULL;
    return NULL;
}

static bool is_fitted(const struct kw_week *w, const struct kw_make *m) {
    return onto(w, m, 0) || onto(w, m, 1);
}

static void direction(struct kw_json *j, const char *key, struct kw_vec3 v) {
    kw_json_key(j, key);
    kw_json_open_inline(j, '[');
    kw_json_number(j, v.x, EXACT);
    kw_json_number(j, v.y, EXACT);
    kw_json_number(j, v.z, EXACT);
    kw_json_close(j);
}

/// Where the tube lies in its own frame: the start of its centreline, the way along it, and the
/// side its first bend turns to (of a straight one the side away from the reference line).
static void lies(struct kw_json *j, const struct kw_examined *what) {
    const struct kw_tube_table *t = what->tube;
    struct kw_vec3 at = t->start, along = t->along, side = t->side;
    if (t->count == 0 && what->part->length > 0) {
        double half = what->part->stock.width / 2;
        at = kw_v3(-what->part->longer[0], half, half);
        along = kw_v3(1, 0, 0);
        side = kw_v3(0, 0, -1);
    }
    kw_json_key(j, "lies");
    kw_json_open_inline(j, '{');
    run_json_numbers(j, "at", (double[]){at.x, at.y, at.z}, 3);
    direction(j, "along", along);
    direction(j, "side", side);
    kw_json_key_text(j, "from", what->from_end ? "end" : "start");
    kw_json_close(j);
}

static void cut(struct kw_json *j, const struct kw_examined *what, int end) {
    const struct kw_end *said = end ? &what->part->ends.end : &what->part->ends.start;
    const struct kw_tube_end *e = &what->ends[end];
    kw_json_open_inline(j, '{');
    kw_json_key_text(j, "end", end ? "end" : "start");
    kw_json_key_text(j, "onto", said->cope.onto);
    kw_json_key_number(j, "saw", e->cope.onto, RUN_JSON_FINE);
    kw_json_key_number(j, "angle", run_json_degrees(e->cope.angle), RUN_JSON_FINE);
    kw_json_key_number(j, "offset", e->cope.offset, RUN_JSON_FINE);
    kw_json_key_number(j, "miter", run_json_degrees(e->miter), RUN_JSON_FINE);
    kw_json_key_number(j, "turn", run_json_degrees(e->turn), RUN_JSON_FINE);
    kw_json_close(j);
}

void run_json_fits(struct kw_json *j, const struct kw_week *w, const struct kw_make *m) {
    if (!is_fitted(w, m)) return;
    lies(j, m->what);
    kw_json_key(j, "fits");
    kw_json_open(j, '{');
    kw_json_key_text(j, "kit", m->kit->name);
    kw_json_key_text(j, "part", m->part->name);
    kw_json_key(j, "ends");
    kw_json_open(j, '[');
    for (int end = 0; end < 2; end++)
        if (onto(w, m, end)) cut(j, m->what, end);
    kw_json_close(j);
    kw_json_close(j);
}

// --------------------------------------------------------------------------------------- pieces

static void piece(struct kw_json *j, const struct kw_standing *s) {
    kw_json_open_inline(j, '{');
    kw_json_key_text(j, "piece", s->name);
    kw_json_key_text(j, "part", s->part);
    kw_json_key_text(j, "hand", kw_hand_name((enum kw_hand)s->hand));
    run_json_numbers(j, "at", s->at, 3);
    kw_json_key(j, "turns");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < s->turns.count; i++) {
        const struct kw_axis_turn *t = KW_ITEM(struct kw_axis_turn, s->turns, i);
        kw_json_open_inline(j, '[');
        kw_json_text(j, (const char *[]){"x", "y", "z"}[t->axis]);
        kw_json_number(j, run_json_degrees(t->angle), EXACT);
        kw_json_close(j);
    }
    kw_json_close(j);
    kw_json_close(j);
}

// --------------------------------------------------------------------------------------- shapes

static void round_shape(struct kw_json *j, const struct kw_examined *what) {
    kw_json_key_number(j, "od", what->part->stock.width, RUN_JSON_FINE);
    kw_json_key_number(j, "last", what->tube->last, RUN_JSON_FINE);
    lies(j, what);
    kw_json_key(j, "bends");
    kw_json_open(j, '[');
    for (int i = 0; i < what->tube->count; i++) {
        const struct kw_tube_bend *b = &what->tube->bends[i];
        kw_json_open_inline(j, '{');
        kw_json_key_number(j, "feed", b->straight, RUN_JSON_FINE);
        kw_json_key_number(j, "rotate", run_json_degrees(b->rotate), RUN_JSON_FINE);
        kw_json_key_number(j, "angle", run_json_degrees(b->angle), RUN_JSON_FINE);
        kw_json_key_number(j, "radius", b->radius, RUN_JSON_FINE);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static const char *bend_before(const struct kw_body *body, int bend) {
    int face = body->bends[bend].parent;
    return face == 0 ? "" : body->bends[body->faces[face].bend].id;
}

/// The left hand's blank; a right one is its mirror image about x = mirror / 2.
static void sheet_shape(struct kw_json *j, const struct kw_body *body) {
    kw_json_key_number(j, "thickness", body->thickness, RUN_JSON_FINE);
    kw_json_key_number(j, "mirror", body->part->base.length, RUN_JSON_FINE);
    kw_json_key(j, "outer");
    kw_packet_outline_json(j, &body->blank.outer, RUN_JSON_FINE);
    kw_json_key(j, "bends");
    kw_json_open(j, '[');
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "id", b->id);
        kw_json_key_text(j, "beyond", bend_before(body, i));
        run_json_key_point(j, "from", b->from);
        run_json_key_point(j, "to", b->to);
        kw_json_key_number(j, "angle", run_json_degrees(b->angle), RUN_JSON_FINE);
        kw_json_key_number(j, "radius", b->radius, RUN_JSON_FINE);
        kw_json_key_number(j, "allowance", b->allowance, RUN_JSON_FINE);
        kw_json_key_text(j, "toward", b->way == KW_UP ? "up" : "down");
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void shape(struct kw_json *j, const struct kw_examined *what) {
    const struct kw_stock *stock = &what->part->stock;
    kw_json_open(j, '{');
    kw_json_key_text(j, "part", what->part->name);
    bool is_round = stock->kind == KW_ROUND_TUBE || stock->kind == KW_ROUND_ROD;
    kw_json_key_text(j, "kind", stock->kind == KW_SHEET ? "sheet" : is_round ? "round" : "bar");
    if (stock->kind == KW_SHEET) {
        sheet_shape(j, what->body);
    } else if (is_round) {
        round_shape(j, what);
    } else {
        double deep = stock->height > 0 ? stock->height : stock->thickness;
        run_json_numbers(j, "size", (double[]){what->part->length, stock->width, deep}, 3);
    }
    kw_json_close(j);
}

static bool is_met(const struct kw_week *w, const struct kw_examined *what) {
    for (int i = 0; i < w->make_count; i++)
        if (onto(w, &w->makes[i], 0) == what || onto(w, &w->makes[i], 1) == what) return true;
    return false;
}

static bool has_fitted(const struct kw_week *w, const struct kw_kit *kit) {
    bool any = false;
    for (int i = 0; i < w->make_count; i++)
        any = any || (w->makes[i].kit == kit && is_fitted(w, &w->makes[i]));
    return any;
}

static void assembly(struct kw_json *j, const struct kw_week *w, const struct kw_run_kit *row) {
    kw_json_open(j, '{');
    kw_json_key_text(j, "kit", row->kit->name);
    kw_json_key(j, "pieces");
    kw_json_open(j, '[');
    for (int i = 0; i < row->kit->assembly.count; i++)
        piece(j, KW_ITEM(struct kw_standing, row->kit->assembly, i));
    kw_json_close(j);
    kw_json_key(j, "shapes");
    kw_json_open(j, '[');
    for (int i = 0; i < row->part_count; i++)
        if (is_met(w, &row->parts[i])) shape(j, &row->parts[i]);
    kw_json_close(j);
    kw_json_close(j);
}

void run_json_assemblies(struct kw_json *j, const struct kw_week *w) {
    kw_json_key(j, "assemblies");
    kw_json_open(j, '[');
    for (int i = 0; i < w->run_kit_count; i++)
        if (has_fitted(w, w->run_kits[i].kit)) assembly(j, w, &w->run_kits[i]);
    kw_json_close(j);
}

int kw_packet_fitted_ends(const struct kw_week *w) {
    int ends = 0;
    for (int i = 0; i < w->make_count; i++)
        ends += (onto(w, &w->makes[i], 0) != NULL) + (onto(w, &w->makes[i], 1) != NULL);
    return ends;
}
