// SPDX-License-Identifier: Apache-2.0
// What the shop's table asks of a sheet besides its outlines: parts that tip, edges to keep starts
// off, clamps, cuts through what is left.
#include "run/inside.h"

#define PARALLEL     0.02 // radians
#define LEAST_GAUGE  10.0 // mm: a shorter edge meets no gauge finger
#define SAME_EDGE_MM 0.01

static double smaller_side(const struct kw_region *r) {
    struct kw_box2 b = kw_path_box(&r->outer);
    return fmin(b.max.x - b.min.x, b.max.y - b.min.y);
}

// A part of less than two slats can lie on one of them only, whichever way it is turned (common
// practice, no source).
static bool can_tip(const struct kw_table *t, const struct kw_region *r) {
    return t->slats > 0 && smaller_side(r) < 2 * t->slats;
}

// Edges along a bend line meet the gauge of the brake or the bend's own zone.
static bool is_gauged(const struct kw_body *body, struct kw_segment s) {
    struct kw_vec2 along = kw_sub2(s.b, s.a);
    if (s.radius > 0 || kw_length2(along) <= LEAST_GAUGE) return false;
    for (int b = 0; b < body->bend_count; b++) {
        struct kw_vec2 d = kw_sub2(body->bends[b].to, body->bends[b].from);
        double turn = fabs(kw_cross2(d, along)), size = kw_length2(d) * kw_length2(along);
        if (turn < PARALLEL * size) return true;
    }
    return false;
}

static bool is_gripped(const struct kw_body *body, int segment) {
    for (int i = 0; i < body->part->gripped.count; i++)
        if (kw_body_on_edge(body, segment, *KW_ITEM(const char *, body->part->gripped, i)))
            return true;
    return false;
}

int kw_edge_uses(const struct kw_examined *what, int segment) {
    const struct kw_body *body = what->body;
    int uses = 0, part = (int)(what->part - KW_ITEM(struct kw_part, what->kit->parts, 0));
    for (int i = 0; what->assembly && i < what->assembly->edge_count; i++) {
        const struct kw_edge_mark *mark = &what->assembly->edges[i];
        if (mark->part == part && mark->segment == segment) uses |= mark->uses;
    }
    if (is_gauged(body, kw_path_segment(&body->blank.outer, segment))) uses |= KW_EDGE_GAUGED;
    if (is_gripped(body, segment)) uses |= KW_EDGE_GRIPPED;
    return uses;
}

// The segment of a blank that lies over a point of it; -1 when there is none.
static int segment_at(const struct kw_path *p, struct kw_vec2 at) {
    int best = -1;
    double least = SAME_EDGE_MM;
    for (int i = 0; i < p->count; i++) {
        double gap = kw_segment_distance(kw_path_segment(p, i), at);
        if (gap > least) continue;
        least = gap;
        best = i;
    }
    return best;
}

// Edges that matter to those who come after the cut. The blank of the other hand runs the other way
// round, so that its edges are found by where they lie.
static void avoid_edges_that_matter(struct kw_week *w, const struct kw_make *make,
                                    struct kw_move2 m, struct kw_cut_part *part) {
    const struct kw_body *body = make->what->body;
    struct kw_move2 home = kw_move2_inverse(m);
    struct kw_path *p = &part->region.outer;
    int *avoid = NULL;
    for (int i = 0; i < p->count; i++)
        p->v[i].tag = i + 1;
    for (int i = 0; body && i < p->count; i++) {
        struct kw_vec2 at = kw_move2_point(home, kw_segment_point(kw_path_segment(p, i), 0.5));
        if (make->hand == KW_RIGHT_HAND) at = kw_body_to_first_hand(body, at);
        int segment = segment_at(&body->blank.outer, at);
        if (segment >= 0 && kw_edge_uses(make->what, segment) != 0)
            KW_PUSH(w->arena, avoid, part->avoid_count) = p->v[i].tag;
    }
    part->avoid = avoid;
}

void run_table_part(struct kw_week *w, const struct kw_make *make, struct kw_move2 m,
                    struct kw_cut_part *part) {
    const struct kw_table *t = &w->shop->table;
    bool tips = can_tip(t, &part->region);
    bool tabs = t->tab_width > 0 && make->part->stock.thickness <= t->tabs_up_to + 1e-6;
    part->tab_width = tips && tabs ? t->tab_width : 0;
    part->may_tip = tips && !tabs;
    avoid_edges_that_matter(w, make, m, part);
}

static void add_line(struct kw_week *w, struct kw_cut_line **v, int *count, double x0, double y0,
                     double x1, double y1) {
    KW_PUSH(w->arena, *v, *count) = (struct kw_cut_line){{x0, y0}, {x1, y1}};
}

// The sides of a drop that lie inside the sheet, half a kerf outside it and on to the sheet's edge.
static void drop_lines(struct kw_week *w, const struct kw_run_sheet *s, struct kw_box2 d,
                       struct kw_cut_line **v, int *count) {
    double off = s->rule->kerf / 2;
    double x0 = fmax(d.min.x - off, 0), x1 = fmin(d.max.x + off, s->width);
    double y0 = fmax(d.min.y - off, 0), y1 = fmin(d.max.y + off, s->height);
    if (x0 > 0) add_line(w, v, count, x0, y0, x0, y1);
    if (x1 < s->width) add_line(w, v, count, x1, y0, x1, y1);
    if (y0 > 0) add_line(w, v, count, x0, y0, x1, y0);
    if (y1 < s->height) add_line(w, v, count, x0, y1, x1, y1);
}

static bool in_drop(const struct kw_run_sheet *s, double x) {
    for (int i = 0; i < s->drop_count; i++)
        if (x > s->drops[i].min.x && x < s->drops[i].max.x) return true;
    return false;
}

struct kw_box2 run_clamp_box(const struct kw_clamp *c) {
    struct kw_vec2 at = {c->from_left, c->from_front};
    return (struct kw_box2){at, kw_add2(at, kw_v2(c->length, c->width))};
}

void run_table_sheet(struct kw_week *w, const struct kw_run_sheet *s, struct kw_cut_sheet *out) {
    const struct kw_table *t = &w->shop->table;
    struct kw_cut_line *lines = NULL;
    int places = s->free ? s->free->hole_count : 0;
    bool cut_down = run_is_cut_down(s->free, s->width, s->height);
    struct kw_box2 *clamps = KW_NEW_ARRAY(w->arena, struct kw_box2, places + 1);
    for (int i = 0; i < places; i++)
        clamps[i] = kw_path_box(&s->free->holes[i]);
    // What lies there already is not cut up, nor what has no straight sides to cut between.
    double skeleton = s->on || cut_down ? 0 : t->skeleton;
    for (int i = 0; t->cut_off && i < s->drop_count; i++)
        drop_lines(w, s, s->drops[i], &lines, &out->scrap_count);
    for (double x = skeleton; skeleton > 0 && x < s->width - skeleton / 4; x += skeleton)
        if (!in_drop(s, x)) add_line(w, &lines, &out->scrap_count, x, 0, x, s->height);
    out->scrap = lines;
    out->clamps = clamps;
    out->clamp_count = places;
    if (cut_down) out->outline = &s->free->outer;
    out->tab_every = t->tab_every;
    out->share_straight = t->shared_cuts != 0;
    out->heat_gap = t->heat_gap;
}
