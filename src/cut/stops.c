// SPDX-License-Identifier: Apache-2.0
// What is left of the sheet: travels over parts that may stand up, and cuts in scrap.
#include "cut/job.h"

#include <math.h>

#define LOOK     0.2 // mm between the places of a cut in scrap that are looked at
#define SHORTEST 2.0 // mm: what is shorter frees nothing

static bool passes_over(const struct cut_job *j, int part, const struct kw_cut_move *m) {
    const struct kw_path *p = &j->sheet->parts[part].region.outer;
    struct kw_segment way = kw_segment_make(m->from, m->to, 0);
    struct kw_vec2 hit[2];
    if (cut_box_gap(kw_path_box(p), cut_segment_box(way)) > 0) return false;
    for (int i = 0; i < kw_path_segments(p); i++)
        if (kw_segment_crossings(way, kw_path_segment(p, i), hit) > 0) return true;
    return kw_path_contains(p, m->from) && kw_path_contains(p, m->to);
}

void cut_find_stops(struct cut_job *j) {
    struct kw_cut_plan *plan = j->plan;
    int *standing = KW_NEW_ARRAY(j->scratch, int, j->sheet->part_count + 1), count = 0;
    for (int i = 0; i < plan->contour_count; i++) {
        struct kw_cut_contour *c = &plan->contours[i];
        const struct kw_cut_move *m = &plan->moves[c->first_move];
        for (int k = 0; k < count && !c->stop_before; k++)
            c->stop_before = m->kind == KW_CUT_RAPID && passes_over(j, standing[k], m);
        if (c->stop_before) count = 0; // all that stood is pulled
        if (c->part < 0 || c->hole >= 0) continue;
        const struct kw_cut_part *part = &j->sheet->parts[c->part];
        // A part that should be held and has no place for a tab tips like the others.
        if (part->may_tip || (part->tab_width > 0 && c->tabs == 0)) standing[count++] = c->part;
    }
}

static bool clear_at(const struct cut_job *j, struct kw_vec2 p) {
    struct kw_box2 at = {p, p};
    for (int i = 0; i < j->plan->tab_count; i++) { // a tab keeps its root in the scrap
        const struct kw_cut_tab *t = &j->plan->tabs[i];
        if (kw_length2(kw_sub2(p, t->at)) < t->width + 4 * j->half) return false;
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
