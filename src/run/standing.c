// SPDX-License-Identifier: Apache-2.0
// Standing sheets: proven on steel, cut again where the same parts are wanted. A part that was
// changed since, another sheet size or a wider spacing makes a sheet stand no longer.
#include "run/inside.h"

#include <math.h>
#include <string.h>

#define SAME_MM 1e-3

static bool same_outline(const struct kw_path *p, const struct kw_path *q) {
    if (p->count != q->count) return false;
    for (int i = 0; i < p->count; i++) {
        const struct kw_vertex *a = &p->v[i], *b = &q->v[i];
        if (!(fabs(a->x - b->x) < SAME_MM && fabs(a->y - b->y) < SAME_MM)) return false;
        if (!(fabs(a->bulge - b->bulge) < 1e-6)) return false;
    }
    return true;
}

/// Index into makes[] of a piece as it is made now; -1: none.
static int make_of(const struct kw_week *w, const int *makes, int count,
                   const struct kw_proven_piece *piece) {
    for (int i = 0; i < count; i++) {
        const struct kw_make *m = &w->makes[makes[i]];
        bool same = m->use == KW_MAKE_ORDERED && strcmp(m->label, piece->label) == 0;
        if (same && same_outline(&m->blank.outer, &piece->outer)) return i;
    }
    return -1;
}

/// Whole sheets only: a drop with corners or spoiled places is there once.
static int sheet_of(const struct kw_nest_job *job, const struct kw_rack_item *const *racks,
                    const struct kw_proven *s) {
    for (int i = 0; i < job->sheet_count; i++) {
        const struct kw_nest_sheet *k = &job->sheets[i];
        if (racks[i]->outline.count > 0 || racks[i]->spoiled.count > 0) continue;
        if (fabs(k->width - s->width) < SAME_MM && fabs(k->height - s->height) < SAME_MM) return i;
    }
    return -1;
}

static bool stands(struct kw_week *w, const int *makes, int make_count,
                   const struct kw_nest_job *job, const struct kw_rack_item *const *racks,
                   const struct kw_stock *stock, const struct kw_proven *s,
                   struct kw_nest_standing *out) {
    const struct kw_table *t = &w->shop->table;
    if (strcmp(s->material, stock->text) != 0 || fabs(s->thickness - stock->thickness) > 1e-6)
        return false;
    if (s->spacing < t->spacing - SAME_MM || s->margin < t->margin - SAME_MM) return false;
    struct kw_nest_placement *v = KW_NEW_ARRAY(w->arena, struct kw_nest_placement, s->count + 1);
    for (int i = 0; i < s->count; i++) {
        const struct kw_proven_piece *p = &s->v[i];
        v[i] = (struct kw_nest_placement){.part = make_of(w, makes, make_count, p),
                                          .x = p->x,
                                          .y = p->y,
                                          .rotation = p->rotation,
                                          .mirrored = p->mirrored};
        if (v[i].part < 0) return false;
    }
    *out = (struct kw_nest_standing){sheet_of(job, racks, s), v, s->count};
    return out->sheet >= 0 && s->count > 0;
}

struct kw_nest_standing *run_standing(struct kw_week *w, const struct kw_run_options *o,
                                      const int *makes, int make_count,
                                      const struct kw_nest_job *job,
                                      const struct kw_rack_item *const *racks,
                                      const struct kw_stock *stock, int *count, int **from) {
    struct kw_nest_standing *list =
        KW_NEW_ARRAY(w->arena, struct kw_nest_standing, o->standing_count + 1);
    *from = KW_NEW_ARRAY(w->arena, int, o->standing_count + 1);
    *count = 0;
    for (int i = 0; i < o->standing_count; i++) {
        if (!stands(w, makes, make_count, job, racks, stock, &o->standing[i], &list[*count]))
            continue;
        (*from)[(*count)++] = i;
    }
    return list;
}
