// SPDX-License-Identifier: Apache-2.0
// All on one sheet instead of several: the pieces lie end to end on a sheet of the same breadth
// without an end, and are squeezed until they would fit on one. From the long side more is found
// than by throwing the last pieces in among the others.
#include "nest/search.h"
#include "nest/squeeze.h"

#define FULLEST    0.97 // of the sheet's area: beyond, only exact fits are left, which aren't found so
#define HOPELESS   1.08 // of the length still after half of the work
#define MOST_MOVED 400  // pieces

struct one {
    struct world *w;
    double length; ///< that is there
    double share;  ///< of the whole budget that may be spent
    double first_steps, first_time, reached;
};

static double done(void *user, long work) {
    struct one *o = user;
    struct world *w = o->w;
    w->work += work;
    if (kw_watch_stopped(w->options->watch) || o->reached <= o->length + TOUCH_MM) return 1;
    double steps = (double)w->work / STEP_WORK / (double)w->options->steps - o->first_steps;
    double part = fmax(steps, time_spent(w) - o->first_time) / o->share;
    return part > 0.5 && o->reached > HOPELESS * o->length ? 1 : part;
}

static void better(void *user, double extent) {
    struct one *o = user;
    o->reached = extent + o->w->options->margin;
}

/// The kind with most room of those on which all would cost less; -1: none.
static int kind_for_all(const struct world *w, const struct plan *p) {
    int best = -1;
    double area = 0, most = 0;
    for (int i = 0; i < p->count; i++)
        area += p->bins[i].times * p->bins[i].area;
    for (int i = 0; i < w->job->sheet_count; i++) {
        const struct kind *k = &w->kinds[i];
        if (k->count == 0 || k->obstacle_count > 0) continue;
        if (!(k->value < p->score.value * (1 - 1e-9))) continue;
        if (!(area < FULLEST * usable_area(w, i)) || k->area <= most) continue;
        most = k->area;
        best = i;
    }
    return best;
}

/// All pieces of the plan on one sheet without an end: the kind behind those of the job. False when
/// some sheet's pieces don't lie on it as they are, or when they are too many.
static bool lay_end_to_end(struct world *w, const struct plan *p, int kind, struct bin *bin) {
    int endless = w->job->sheet_count, pieces = 0;
    w->kinds[endless] = w->kinds[kind];
    w->kinds[endless].length = 0;
    for (int i = 0; i < p->count; i++) {
        const struct kind *k = &w->kinds[p->bins[i].kind];
        pieces += p->bins[i].times * p->bins[i].count;
        w->kinds[endless].length += p->bins[i].times * k->length;
        if (k->group != w->kinds[kind].group || k->breadth > w->kinds[kind].breadth) return false;
    }
    if (pieces > MOST_MOVED) return false;
    clear_bin(w, bin, endless);
    double from = 0;
    for (int i = 0; i < p->count; i++) {
        const struct bin *b = &p->bins[i];
        for (int n = 0; n < b->times; n++, from += w->kinds[b->kind].length) {
            for (int k = 0; k < b->count; k++)
                bin_add(w, bin, (struct spot){b->v[k].pose, from + b->v[k].u, b->v[k].v});
        }
    }
    return true;
}

bool all_on_one(struct world *w, struct plan *p, double share) {
    struct bin bin = {0};
    int kind = kind_for_all(w, p);
    if (kind < 0 || p->score.missing > 0 || !lay_end_to_end(w, p, kind, &bin)) return false;
    double steps = (double)w->options->steps;
    struct one o = {w,
                    w->kinds[kind].length,
                    share,
                    (double)w->work / STEP_WORK / steps,
                    time_spent(w),
                    bin.extent + w->options->margin};
    struct budget budget = {&o, done, better, 0};
    if (!(w->options->seconds > 0)) budget.work = (long)(share * steps) * STEP_WORK;
    squeeze_bin(w, &bin, &budget, w->options->threads);
    if (bin.extent + w->options->margin > o.length + TOUCH_MM) return false;
    bin.kind = kind;
    p->count = 0;
    bin_copy(w, plan_add(w, p), &bin);
    p->score = score_of(w, p);
    return true;
}
