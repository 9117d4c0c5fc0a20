// SPDX-License-Identifier: Apache-2.0
// The moves of contours and marks in their order.
#include "cut/job.h"

#include <math.h>

#define SHORTEST_MOVE 1e-9
#define TAB_EVERY     203.2 // mm: 8 in of edge (common practice, no source)
#define TAB_STEP      3.0   // mm between the places that a tab may slide to

struct builder {
    struct cut_job *j;
    struct kw_vec2 at;
    struct kw_cut_contour c; ///< in hand
};

double cut_add_move(struct cut_job *j, enum kw_cut_move_kind kind, struct kw_segment s, double feed,
                    struct kw_vec2 *at) {
    struct kw_cut_plan *plan = j->plan;
    double length = kw_segment_length(s);
    bool stands = kind == KW_CUT_PIERCE || kind == KW_CUT_SCRIBE;
    if (!(length > SHORTEST_MOVE) && !stands) return 0;
    struct kw_cut_move m = {.kind = kind,
                            .from = s.a,
                            .to = s.b,
                            .bulge = s.bulge,
                            .feed = feed,
                            .length = length,
                            .contour = plan->contour_count};
    KW_PUSH(j->arena, plan->moves, plan->move_count) = m;
    *at = s.b;
    if (kind == KW_CUT_RAPID) plan->rapid_length += length;
    return kind == KW_CUT_RAPID ? 0 : length;
}

static void add_move(struct builder *b, enum kw_cut_move_kind kind, struct kw_segment s,
                     double feed) {
    b->c.length += cut_add_move(b->j, kind, s, feed, &b->at);
}

static void add_straight(struct builder *b, enum kw_cut_move_kind kind, struct kw_vec2 to,
                         double feed) {
    add_move(b, kind, kw_segment_make(b->at, to, 0), feed);
}

static void pierce_at(struct builder *b, struct kw_vec2 pierce) {
    add_straight(b, KW_CUT_RAPID, pierce, b->j->controller->rapid);
    add_straight(b, KW_CUT_PIERCE, pierce, 0);
    b->j->plan->pierces++;
}

static struct builder begin(struct cut_job *j, int part, int hole, struct kw_vec2 at,
                            struct kw_vec2 pierce) {
    struct builder b = {.j = j, .at = at};
    b.c = (struct kw_cut_contour){.part = part, .hole = hole, .pierce = pierce};
    b.c.first_move = j->plan->move_count;
    pierce_at(&b, pierce);
    return b;
}

static void finish(struct builder *b, struct kw_vec2 *at) {
    struct kw_cut_plan *plan = b->j->plan;
    cut_zones(b->j, b->c.first_move, b->c.slow);
    *at = b->at;
    b->c.moves = plan->move_count - b->c.first_move;
    plan->cut_length += b->c.length;
    KW_PUSH(b->j->arena, plan->contours, plan->contour_count) = b->c;
}

// The part from t0 to t1 (0..1 by length) of a segment.
static struct kw_segment stretch(struct kw_segment s, double t0, double t1) {
    struct kw_vec2 a = t0 > 0 ? kw_segment_point(s, t0) : s.a;
    struct kw_vec2 b = t1 < 1 ? kw_segment_point(s, t1) : s.b;
    double bulge = t0 > 0 || t1 < 1 ? tan(s.sweep * (t1 - t0) / 4) : s.bulge;
    return kw_segment_make(a, b, s.radius > 0 ? bulge : 0);
}

// `way` mm along the loop from a start; marked as going over the start when `over`.
static void follow(struct builder *b, const struct cut_loop *l, const struct cut_entry *e,
                   double way, double feed, bool over) {
    int n = kw_path_segments(&l->line), i = e->segment;
    double from = e->part, left = way;
    for (int k = 0; k <= n && left > SHORTEST_MOVE; k++) {
        struct kw_segment s = kw_path_segment(&l->line, i);
        double length = kw_segment_length(s), to = fmin(1, from + left / length);
        // The last stretch of a full turn ends exactly at the start, whatever the sums say.
        bool whole = !over && way == l->length;
        if (whole && k == n) to = e->part;
        if (whole && k == n - 1 && e->part == 0) to = 1;
        enum kw_cut_move_kind kind = over ? KW_CUT_OVER : s.radius > 0 ? KW_CUT_ARC : KW_CUT_LINE;
        add_move(b, kind, stretch(s, from, to), feed);
        left -= (to - from) * length;
        from = 0;
        i = (i + 1) % n;
    }
}

// ------------------------------------------------------------------------------------ holding tabs

// Metal of the outline where the torch's centre would be `way` mm from the start.
static struct kw_vec2 metal_at(const struct cut_job *j, const struct cut_loop *l, double way,
                               struct cut_entry *e) {
    *e = l->entries[l->chosen];
    cut_walk(l, e, way);
    struct kw_vec2 out = kw_left2(kw_segment_direction(l->segments[e->segment], e->part));
    return kw_sub2(e->start, kw_scale2(out, j->rule->left_is_square ? -j->half : j->half));
}

// A nick at a tab's root would eat the metal that holds.
static bool near_mark(const struct cut_job *j, struct kw_vec2 at, double width) {
    double least = width / 2 + 2 * j->rule->kerf;
    for (int i = 0; i < j->sheet->mark_count; i++) {
        struct kw_cut_line m = j->sheet->marks[i];
        if (kw_segment_distance(kw_segment_make(m.from, m.to, 0), at) < least) return true;
    }
    return false;
}

// A tab lies on one edge: flat, since along a tight arc its two ends would lean together.
static bool good_tab(const struct cut_job *j, const struct cut_loop *l, double from, double to,
                     bool choosy) {
    struct cut_entry a, b;
    struct kw_vec2 end = metal_at(j, l, to, &b), begin = metal_at(j, l, from, &a);
    if (near_mark(j, kw_lerp2(begin, end, 0.5), kw_length2(kw_sub2(end, begin)))) return false;
    double radius = l->segments[a.segment].radius;
    if (a.segment != b.segment || (radius > 0 && radius < 10 * j->half)) return false;
    if (cut_edge_matters(j, l, a.segment)) return false; // better no tab: a stop to pull the part
    return !choosy ||
           (!cut_near_corner(j, l, a.segment, a.part) && !cut_near_corner(j, l, b.segment, b.part));
}

static void add_tab(struct cut_job *j, struct kw_vec2 at, double width) {
    struct kw_cut_tab t = {at, width, j->plan->contour_count};
    KW_PUSH(j->arena, j->plan->tabs, j->plan->tab_count) = t;
}

// Where the torch stops before tab k of n: as near as may be to an even share of the way, never on
// an edge to avoid, off corners if it can be. Negative: nowhere.
static double tab_place(const struct cut_job *j, const struct cut_loop *l, int k, int n,
                        double gap) {
    double even = l->length * (k + 1) / n - gap, room = fmin(l->length / n - 2 * gap, even);
    for (int choosy = 1; choosy >= 0; choosy--) {
        for (double slide = 0; slide < room; slide += TAB_STEP) {
            // The last one ends where the cut began, or leaves a stretch that is worth a pierce.
            if (k + 1 == n && slide > 0 && slide < 4 * gap) continue;
            // Its far end may be the start itself, which counts as the end of the edge.
            double to = even - slide + gap, inside = fmin(to, l->length - 1e-6);
            if (good_tab(j, l, even - slide, inside, choosy > 0)) return even - slide;
        }
    }
    return -1;
}

// The outside of a part that is held: cut in stretches, with metal left between them.
static void follow_with_tabs(struct builder *b, const struct cut_loop *l, double width,
                             double feed) {
    struct cut_job *j = b->j;
    double every = j->sheet->tab_every > 0 ? j->sheet->tab_every : TAB_EVERY;
    double gap = width + j->rule->kerf, way = 0;
    int n = (int)fmax(1, floor(l->length / every));
    struct cut_entry e = l->entries[l->chosen];
    for (int k = 0; k < n; k++) {
        double to = tab_place(j, l, k, n, gap);
        struct cut_entry at;
        if (!(to > way)) continue;
        follow(b, l, &e, to - way, feed, false);
        add_tab(j, metal_at(j, l, to + gap / 2, &at), width);
        b->c.tabs++;
        way = to + gap;
        if (l->length - way < gap / 2) return;
        e = l->entries[l->chosen];
        cut_walk(l, &e, way);
        cut_lead_at(j, l, &e);
        pierce_at(b, e.pierce);
        add_move(b, KW_CUT_LEAD, kw_segment_make(b->at, e.start, e.bulge), feed);
    }
    follow(b, l, &e, l->length - way, feed, false);
}

// ---------------------------------------------------------------------------------------- contours

// All but the edges that are left to partners.
static void open_moves(struct cut_job *j, const struct cut_loop *l, const struct cut_stretch *v,
                       int count, struct kw_vec2 *at) {
    struct builder b;
    for (int i = 0; i < count; i++) {
        struct cut_entry e = {.segment = v[i].segment, .start = l->segments[v[i].segment].a};
        cut_lead_at(j, l, &e);
        if (i == 0) {
            b = begin(j, l->part, l->hole, *at, e.pierce);
            b.c.start = e.start;
        } else {
            pierce_at(&b, e.pierce);
        }
        add_move(&b, KW_CUT_LEAD, kw_segment_make(b.at, e.start, e.bulge), j->rule->feed);
        follow(&b, l, &e, v[i].length, j->rule->feed, false);
    }
    finish(&b, at);
}

void cut_loop_moves(struct cut_job *j, const struct cut_loop *l, struct kw_vec2 *at) {
    const struct kw_cut_rule *r = j->rule;
    struct cut_stretch *stretches =
        KW_NEW_ARRAY(j->scratch, struct cut_stretch, kw_path_segments(&l->line));
    int open = cut_stretches(j, l, stretches);
    if (open > 0) {
        open_moves(j, l, stretches, open, at);
        return;
    }
    const struct cut_entry *e = &l->entries[l->chosen];
    double slow = r->hole_feed > 0 ? r->hole_feed : CUT_HOLE_FEED;
    double feed = r->feed * (l->slow ? slow : 1);
    double tab = l->hole < 0 ? j->sheet->parts[l->part].tab_width : 0;
    struct builder b = begin(j, l->part, l->hole, *at, e->pierce);
    b.c.start = e->start;
    b.c.slow = l->slow;
    add_move(&b, KW_CUT_LEAD, kw_segment_make(b.at, e->start, e->bulge), feed);
    if (tab > 0 && l->length > 4 * (tab + r->kerf)) {
        follow_with_tabs(&b, l, tab, feed);
    } else {
        double over = l->hole >= 0 ? fmin(r->overburn, l->length / 2) : 0;
        follow(&b, l, e, l->length, feed, false);
        if (over > 0) follow(&b, l, e, over, feed, true);
    }
    finish(&b, at);
}

// ------------------------------------------------------------------------------------------- marks

static bool mark_fits(const struct cut_job *j, struct kw_cut_line m) {
    double w = j->sheet->width, h = j->sheet->height;
    bool in = fmin(m.from.x, m.to.x) >= 0 && fmax(m.from.x, m.to.x) <= w &&
              fmin(m.from.y, m.to.y) >= 0 && fmax(m.from.y, m.to.y) <= h;
    return in && kw_length2(kw_sub2(m.to, m.from)) > 0.01;
}

static void cut_lines(struct cut_job *j, struct cut_stop *v, int n, int part, struct kw_vec2 *at) {
    cut_tour(j->scratch, v, n, *at, NULL, j->options->seed, n > 3 ? 20 : 0);
    for (int i = 0; i < n; i++) {
        struct builder b = begin(j, part, v[i].id, *at, v[i].in);
        b.c.start = v[i].in;
        add_straight(&b, KW_CUT_MARK, v[i].out, j->rule->feed);
        finish(&b, at);
    }
}

void cut_mark_moves(struct cut_job *j, struct kw_vec2 *at) {
    int n = 0;
    struct cut_stop *v = KW_NEW_ARRAY(j->scratch, struct cut_stop, j->sheet->mark_count + 1);
    for (int i = 0; i < j->sheet->mark_count; i++) {
        struct kw_cut_line m = j->sheet->marks[i];
        if (mark_fits(j, m)) {
            v[n++] = (struct cut_stop){.in = m.from, .out = m.to, .flips = true, .id = i};
            continue;
        }
        cut_problem(j, (struct kw_cut_problem){.kind = KW_CUT_NO_MARK,
                                               .part = -1,
                                               .hole = i,
                                               .at = m.from,
                                               .measured = kw_length2(kw_sub2(m.to, m.from))});
    }
    cut_lines(j, v, n, -1, at);
}

void cut_scrap_moves(struct cut_job *j, struct kw_vec2 *at) {
    int n = j->plan->scrap_count;
    struct cut_stop *v = KW_NEW_ARRAY(j->scratch, struct cut_stop, n + 1);
    for (int i = 0; i < n; i++) {
        struct kw_cut_line l = j->plan->scrap[i];
        v[i] = (struct cut_stop){.in = l.from, .out = l.to, .flips = true, .id = i};
    }
    cut_lines(j, v, n, KW_CUT_SCRAP, at);
}
