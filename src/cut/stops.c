// SPDX-License-Identifier: Apache-2.0
// What is left of the sheet: travels round parts that may stand up, stops where there is no way
// round, and cuts in scrap.
#include "cut/job.h"

#include <math.h>

#define LOOK         0.2 // mm between the places of a cut in scrap that are looked at
#define SHORTEST     2.0 // mm: what is shorter frees nothing
#define ROUND        5.0 // mm beside a part that may stand up
#define MOST_CORNERS 24

struct standing { // parts that are cut, may stand up and have not been pulled
    const struct cut_job *j;
    int *parts, count;
};

static bool passes_over(const struct cut_job *j, int part, struct kw_vec2 from, struct kw_vec2 to) {
    const struct kw_path *p = &j->sheet->parts[part].region.outer;
    struct kw_segment way = kw_segment_make(from, to, 0);
    struct kw_vec2 hit[2];
    if (cut_box_gap(kw_path_box(p), cut_segment_box(way)) > 0) return false;
    for (int i = 0; i < kw_path_segments(p); i++)
        if (kw_segment_crossings(way, kw_path_segment(p, i), hit) > 0) return true;
    return kw_path_contains(p, from) && kw_path_contains(p, to);
}

static bool is_clear(const struct standing *s, struct kw_vec2 from, struct kw_vec2 to) {
    for (int k = 0; k < s->count; k++)
        if (passes_over(s->j, s->parts[k], from, to)) return false;
    return true;
}

// Corners about the parts that the straight way passes over, on the sheet.
static int find_corners(const struct standing *s, struct kw_vec2 from, struct kw_vec2 to,
                        struct kw_vec2 *v) {
    double w = s->j->sheet->width, h = s->j->sheet->height;
    int count = 0;
    for (int k = 0; k < s->count && count + 4 <= MOST_CORNERS; k++) {
        if (!passes_over(s->j, s->parts[k], from, to)) continue;
        struct kw_box2 b = kw_path_box(&s->j->sheet->parts[s->parts[k]].region.outer);
        for (int c = 0; c < 4; c++) {
            double x = c & 1 ? b.max.x + ROUND : b.min.x - ROUND;
            double y = c & 2 ? b.max.y + ROUND : b.min.y - ROUND;
            v[count++] = kw_v2(fmin(fmax(x, 0), w), fmin(fmax(y, 0), h));
        }
    }
    return count;
}

// The shortest way round with one corner, or else two; how many corners it takes, 0 where there is
// none.
static int find_way_round(const struct standing *s, struct kw_vec2 from, struct kw_vec2 to,
                          struct kw_vec2 via[2]) {
    struct kw_vec2 v[MOST_CORNERS];
    int n = find_corners(s, from, to, v), corners = 0;
    double best = INFINITY;
    for (int pairs = 0; pairs < 2 && corners == 0; pairs++) {
        for (int i = 0; i < n; i++) {
            if (!is_clear(s, from, v[i])) continue;
            for (int k = pairs ? 0 : i; k < (pairs ? n : i + 1); k++) {
                double way = kw_length2(kw_sub2(v[i], from)) + kw_length2(kw_sub2(v[k], v[i])) +
                             kw_length2(kw_sub2(to, v[k]));
                if (!(way < best) || !is_clear(s, v[i], v[k]) || !is_clear(s, v[k], to)) continue;
                best = way;
                corners = pairs + 1;
                via[0] = v[i];
                via[1] = v[k];
            }
        }
    }
    return corners;
}

// The travel at `at` of the moves goes by the corners; what follows moves up.
static void bend_travel(struct cut_job *j, int at, const struct kw_vec2 *via, int corners) {
    struct kw_cut_plan *plan = j->plan;
    for (int i = 0; i < corners; i++) {
        struct kw_cut_move spare = {0};
        KW_PUSH(j->arena, plan->moves, plan->move_count) = spare;
    }
    for (int i = plan->move_count - 1; i >= at + corners; i--)
        plan->moves[i] = plan->moves[i - corners];
    struct kw_cut_move *m = &plan->moves[at];
    struct kw_vec2 from = m->from, to = m->to;
    plan->rapid_length -= m->length;
    for (int i = 0; i <= corners; i++) {
        m[i] = m[0];
        m[i].from = from;
        m[i].to = from = i < corners ? via[i] : to;
        m[i].length = kw_length2(kw_sub2(m[i].to, m[i].from));
        plan->rapid_length += m[i].length;
    }
}

// Whether the travel to a contour needs a stop; if a way round spares it, that is taken.
static bool needs_stop(struct cut_job *j, struct standing *s, struct kw_cut_contour *c) {
    const struct kw_cut_move *m = &j->plan->moves[c->first_move];
    struct kw_vec2 via[2];
    if (m->kind != KW_CUT_RAPID || is_clear(s, m->from, m->to)) return false;
    int corners = find_way_round(s, m->from, m->to, via);
    if (corners == 0) return true;
    bend_travel(j, c->first_move, via, corners);
    c->moves += corners;
    return false;
}

void cut_find_stops(struct cut_job *j) {
    struct kw_cut_plan *plan = j->plan;
    struct standing s = {.j = j, .parts = KW_NEW_ARRAY(j->scratch, int, j->sheet->part_count + 1)};
    for (int i = 0, more = 0; i < plan->contour_count; i++) {
        struct kw_cut_contour *c = &plan->contours[i];
        int moves = c->moves;
        c->first_move += more;
        c->stop_before = needs_stop(j, &s, c);
        more += c->moves - moves;
        if (c->stop_before) s.count = 0; // all that stood is pulled
        if (c->part < 0 || c->hole >= 0) continue;
        const struct kw_cut_part *part = &j->sheet->parts[c->part];
        // A part that should be held and has no place for a tab tips like the others.
        if (part->may_tip || (part->tab_width > 0 && c->tabs == 0)) s.parts[s.count++] = c->part;
    }
}

static bool clear_at(const struct cut_job *j, struct kw_vec2 p) {
    struct kw_box2 at = {p, p};
    if (cut_over_clamp(j, p, p)) return false;
    for (int i = 0; i < j->plan->tab_count; i++) { // a tab keeps its root in the scrap
        const struct kw_cut_tab *t = &j->plan->tabs[i];
        double x = p.x - t->at.x, y = p.y - t->at.y, off = t->width + 4 * j->half;
        if (x * x + y * y < off * off) return false;
    }
    for (int i = 0; i < j->outline_count; i++) {
        const struct cut_outline *o = &j->outlines[i];
        if (o->hole >= 0 || cut_box_gap(o->box, at) > j->half) continue;
        if (kw_path_contains(o->path, p)) return false;
        for (int k = 0; k < o->edge_count; k++)
            if (kw_segment_distance(o->edges[k].s, p) < j->half) return false;
    }
    return true;
}

static void add_scrap(struct cut_job *j, struct kw_vec2 a, struct kw_vec2 b) {
    if (kw_length2(kw_sub2(b, a)) < SHORTEST) return;
    KW_PUSH(j->arena, j->plan->scrap, j->plan->scrap_count) = (struct kw_cut_line){a, b};
}

// The stretches of each line that keep half a kerf off every part: they end in the parts' kerfs.
void cut_find_scrap(struct cut_job *j) {
    for (int i = 0; i < j->sheet->scrap_count; i++) {
        struct kw_cut_line l = j->sheet->scrap[i];
        int n = (int)ceil(kw_length2(kw_sub2(l.to, l.from)) / LOOK), first = -1;
        for (int k = 0; k <= n + 1; k++) {
            bool clear = k <= n && clear_at(j, kw_lerp2(l.from, l.to, (double)k / n));
            if (clear && first < 0) first = k;
            if (clear || first < 0) continue;
            add_scrap(j, kw_lerp2(l.from, l.to, (double)first / n),
                      kw_lerp2(l.from, l.to, (k - 1.0) / n));
            first = -1;
        }
    }
}
