// SPDX-License-Identifier: Apache-2.0
// Lines that a scribe etches before anything is cut: part by part, in a short way, the torch off.
// The scribe stands beside the torch, and programs say where the torch's middle goes.
#include "cut/job.h"

#include <math.h>

#define SHORTEST 0.01 // mm: of a line
#define OUTSIDE  0.05 // mm: how far a line may run beyond its part's outline
#define LOOK     1.0  // mm between the places of a line that are looked at
#define ROUNDS   20   // disturbed tours through the lines of one part

// ------------------------------------------------------------------------ what can be etched

static bool in_part(const struct kw_path *outer, struct kw_vec2 p) {
    return kw_path_contains(outer, p) || kw_path_distance(outer, p) < OUTSIDE;
}

static bool in_reach(const struct cut_job *j, struct kw_vec2 point) {
    struct kw_vec2 p = kw_sub2(point, j->controller->scribe), most = j->controller->reach;
    return !(most.x > 0) || (p.x >= 0 && p.y >= 0 && p.x <= most.x && p.y <= most.y);
}

// The first place at which a line can't be etched; false when it can.
static bool find_bad_place(const struct cut_job *j, const struct kw_cut_etch *e,
                           struct kw_vec2 *at) {
    const struct kw_path *outer = &j->sheet->parts[e->part].region.outer;
    for (int i = 0; i < kw_path_segments(&e->line); i++) {
        struct kw_segment s = kw_path_segment(&e->line, i);
        int n = (int)ceil(kw_segment_length(s) / LOOK) + 1;
        for (int k = 0; k <= n; k++) {
            *at = kw_segment_point(s, (double)k / n);
            if (!in_part(outer, *at) || !in_reach(j, *at)) return true;
        }
    }
    *at = kw_v2(e->line.v[0].x, e->line.v[0].y);
    return !(kw_path_length(&e->line) > SHORTEST);
}

static void leave_out(struct cut_job *j, int etch) {
    const struct kw_cut_etch *e = &j->sheet->etches[etch];
    struct kw_vec2 at;
    if (!find_bad_place(j, e, &at)) return;
    j->plan->unetched[etch] = true;
    cut_problem(
        j, (struct kw_cut_problem){.kind = KW_CUT_NO_MARK, .part = e->part, .hole = -1, .at = at});
}

// ---------------------------------------------------------------------------------- its moves

static struct kw_segment turned_round(struct kw_segment s) {
    return kw_segment_make(s.b, s.a, -s.bulge);
}

static struct kw_segment by_torch(const struct cut_job *j, struct kw_segment s) {
    struct kw_vec2 off = j->controller->scribe;
    return kw_segment_make(kw_sub2(s.a, off), kw_sub2(s.b, off), s.bulge);
}

static void etch_line(struct cut_job *j, const struct cut_stop *stop, struct kw_vec2 *at) {
    const struct kw_path *line = &j->sheet->etches[stop->id].line;
    int n = kw_path_segments(line);
    if (kw_length2(kw_sub2(stop->in, *at)) > SHORTEST || j->plan->move_count == 0 ||
        j->plan->moves[j->plan->move_count - 1].kind != KW_CUT_ETCH) {
        cut_add_move(j, KW_CUT_RAPID, kw_segment_make(*at, stop->in, 0), j->controller->rapid, at);
        cut_add_move(j, KW_CUT_SCRIBE, kw_segment_make(*at, *at, 0), 0, at);
    }
    for (int i = 0; i < n; i++) {
        struct kw_segment s = kw_path_segment(line, stop->flipped ? n - 1 - i : i);
        s = by_torch(j, stop->flipped ? turned_round(s) : s);
        j->plan->etch_length += cut_add_move(j, KW_CUT_ETCH, kw_segment_make(*at, s.b, s.bulge),
                                             j->controller->scribe_feed, at);
    }
}

static struct cut_stop stop_of(const struct cut_job *j, int etch) {
    const struct kw_path *line = &j->sheet->etches[etch].line;
    const struct kw_vertex *first = &line->v[0], *last = &line->v[line->count - 1];
    struct kw_vec2 off = j->controller->scribe;
    return (struct cut_stop){.in = kw_sub2(kw_v2(first->x, first->y), off),
                             .out = kw_sub2(kw_v2(last->x, last->y), off),
                             .flips = true,
                             .id = etch};
}

// The lines to be etched, part by part: lines first[p] .. first[p + 1] - 1 of v are of part p.
static struct cut_stop *lines_by_part(struct cut_job *j, int *first) {
    const struct kw_cut_sheet *sheet = j->sheet;
    struct cut_stop *v = KW_NEW_ARRAY(j->scratch, struct cut_stop, sheet->etch_count + 1);
    int *next = KW_NEW_ARRAY(j->scratch, int, sheet->part_count + 1);
    for (int i = 0; i < sheet->etch_count; i++)
        if (!j->plan->unetched[i]) first[sheet->etches[i].part + 1]++;
    for (int p = 0; p < sheet->part_count; p++)
        next[p] = first[p + 1] += first[p];
    for (int i = sheet->etch_count - 1; i >= 0; i--)
        if (!j->plan->unetched[i]) v[--next[sheet->etches[i].part]] = stop_of(j, i);
    return v;
}

static void etch_part(struct cut_job *j, int part, struct cut_stop *v, int n, struct kw_vec2 *at) {
    struct kw_cut_plan *plan = j->plan;
    struct kw_cut_contour c = {.part = KW_CUT_ETCHED, .hole = part, .first_move = plan->move_count};
    cut_tour(j->scratch, v, n, *at, NULL, j->options->seed, n > 3 ? ROUNDS : 0);
    c.pierce = c.start = v[0].in;
    for (int i = 0; i < n; i++)
        etch_line(j, &v[i], at);
    c.moves = plan->move_count - c.first_move;
    KW_PUSH(j->arena, plan->contours, plan->contour_count) = c;
}

void cut_etch_moves(struct cut_job *j, struct kw_vec2 *at) {
    const struct kw_cut_sheet *sheet = j->sheet;
    struct cut_stop *parts = KW_NEW_ARRAY(j->scratch, struct cut_stop, sheet->part_count + 1);
    int *first = KW_NEW_ARRAY(j->scratch, int, sheet->part_count + 1), n = 0;
    j->plan->unetched = KW_NEW_ARRAY(j->arena, bool, sheet->etch_count + 1);
    j->plan->scribe = j->controller->scribe;
    for (int i = 0; i < sheet->etch_count; i++)
        leave_out(j, i);
    struct cut_stop *lines = lines_by_part(j, first);
    for (int p = 0; p < sheet->part_count; p++) {
        if (first[p] == first[p + 1] || j->bad[p]) continue;
        struct kw_vec2 in = lines[first[p]].in;
        parts[n++] = (struct cut_stop){.in = in, .out = in, .id = p};
    }
    if (n == 0) return;
    cut_tour(j->scratch, parts, n, *at, NULL, j->options->seed, n > 3 ? ROUNDS : 0);
    for (int i = 0; i < n; i++) {
        int p = parts[i].id;
        etch_part(j, p, &lines[first[p]], first[p + 1] - first[p], at);
    }
}
