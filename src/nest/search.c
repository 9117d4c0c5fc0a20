// SPDX-License-Identifier: Apache-2.0
// The order of the search: first nests by a few orders of filling; then either all on one sheet is
// made shorter, or sheets are saved and refilled in turn.
#include "nest/search.h"

#include "nest/fewer.h"
#include "nest/jigsaw.h"
#include "nest/refill.h"
#include "nest/squeeze.h"

#include <string.h>

#define FIRST_ROUNDS    7
#define LEAST_ROUNDS    8    // of tries that what is left of the budget is shared by
#define IN_ADVANCE      0.25 // of the budget
#define MOST_IN_ADVANCE 64e6 // work
#define MOST_SHARE      0.05 // of the budget, before a sheet is squeezed
#define MOST_CROWDED    1500 // pieces that are parted together: each pair has a weight

static double sheets_value(const struct world *w, const struct plan *p) {
    double value = 0;
    for (int i = 0; i < p->count; i++)
        value += p->bins[i].times * w->kinds[p->bins[i].kind].value;
    return value;
}

/// Sheets at the least value there can be, without waste.
static bool is_full(const struct world *w, const struct plan *p) {
    bool full = p->score.missing <= 0 && p->score.value <= value_bound(w, p) * (1 + 1e-9);
    for (int i = 0; i < p->count; i++)
        full = full && p->bins[i].area >= w->kinds[p->bins[i].kind].area * (1 - 1e-9);
    return full;
}

/// Nothing to gain: one sheet, as cheap as can be, and its last outline as near as it can be.
static bool is_bound(const struct world *w, const struct plan *p) {
    if (p->count > 1 || p->score.missing > 0) return is_full(w, p);
    if (p->count == 0) return true;
    const struct bin *b = &p->bins[0];
    const struct kind *k = &w->kinds[b->kind];
    double m = w->options->margin;
    double reach = m + b->area / (k->breadth - 2 * m);
    return b->times == 1 && p->score.value <= value_bound(w, p) * (1 + 1e-9) &&
           b->extent <= reach + 1e-3;
}

/// Of the time given; 0 where no clock counts.
static double time_spent(const struct world *w) {
    const struct kw_nest_options *o = w->options;
    if (!o->watch || !o->watch->now || !(o->seconds > 0)) return 0;
    return (o->watch->now(o->watch->user) - w->start) / o->seconds;
}

static bool out_of_time(const struct world *w) {
    return time_spent(w) >= 1 || kw_watch_stopped(w->options->watch);
}

/// By the watch's clock; 0: no clock counts.
static double last_moment(const struct world *w) {
    const struct kw_nest_options *o = w->options;
    return o->seconds > 0 && o->watch && o->watch->now ? w->start + o->seconds : 0;
}

// ------------------------------------------------------------------------ all on one sheet

struct one_sheet {
    struct world *w;
    struct plan *best;
    long first_work;
    double first_time;
    bool stopped;
};

static double sheet_done(void *user, long work) {
    struct one_sheet *o = user;
    const struct kw_nest_options *options = o->w->options;
    o->w->work += work;
    o->stopped = kw_watch_stopped(options->watch);
    if (o->stopped || is_bound(o->w, o->best)) return 1;
    double steps = (double)(o->w->work - o->first_work) /
                   ((double)options->steps * STEP_WORK - (double)o->first_work);
    double time = (time_spent(o->w) - o->first_time) / (1 - o->first_time);
    kw_watch_progress(options->watch, "nest", fmin(fmax(steps, time), 1));
    return fmax(steps, time);
}

static void tell_better(const struct world *w, const struct plan *p) {
    const struct kw_nest_options *o = w->options;
    if (!o->better || p->count == 0) return;
    double last = 0; // of the emptiest sheet
    for (int i = 0; i < p->count; i++) {
        double extent = p->bins[i].extent;
        last = i == 0 || extent < last ? extent : last;
    }
    o->better(o->better_user, sheets_value(w, p), last);
}

static void sheet_better(void *user, double extent) {
    struct one_sheet *o = user;
    o->best->bins[0].extent = extent;
    o->best->score = score_of(o->w, o->best);
    tell_better(o->w, o->best);
}

static bool all_on_one_sheet(const struct plan *p) {
    return p->count == 1 && p->bins[0].times == 1 && !(p->score.missing > 0) &&
           p->bins[0].count <= MOST_CROWDED;
}

/// Whether all pieces of the sheet fill a rectangle, which is then the shortest there can be.
static bool fill_shortest(struct world *w, struct bin *b) {
    struct jigsaw j;
    double begun = time_spent(w), whole = (double)(w->options->steps * STEP_WORK - w->work);
    const struct jigsaw_sheets *full = NULL;
    jigsaw_begin(&j, w, true, b->kind);
    j.share = fmin(j.share, MOST_SHARE); // nothing gets better meanwhile
    while (!full && !jigsaw_ended(&j) && !out_of_time(w) && time_spent(w) - begun < j.share &&
           (double)(j.work + jigsaw_next(&j)) <= j.share * whole)
        full = jigsaw_round(&j, w, last_moment(w));
    bool filled = full && full->count == 1 && full->v[0].times == 1 && full->v[0].count == b->count;
    if (filled) bin_copy(w, b, &full->v[0]);
    jigsaw_end(&j);
    return filled;
}

static enum kw_status shorten_sheet(struct world *w, struct plan *best) {
    if (fill_shortest(w, &best->bins[0])) {
        best->score = score_of(w, best);
        tell_better(w, best);
        if (is_bound(w, best)) return KW_OK;
    }
    struct one_sheet o = {w, best, w->work, time_spent(w), false};
    struct budget budget = {&o, sheet_done, sheet_better, 0};
    budget.work = w->options->seconds > 0 ? 0 : w->options->steps * STEP_WORK - w->work;
    squeeze_bin(w, &best->bins[0], &budget, w->options->threads);
    best->score = score_of(w, best);
    return o.stopped ? KW_STOPPED : KW_OK;
}

// ------------------------------------------------------------------------- one sheet fewer

/// A sheet of a crowd that was parted.
static struct bin bin_of(struct world *w, const struct crowd *c, int ground) {
    const struct ground *g = &c->grounds[ground];
    struct bin b = {.kind = g->kind, .times = 1, .count = g->count};
    b.v = KW_NEW_ARRAY(w->a, struct spot, g->count + 1);
    for (int i = 0; i < b.count; i++) {
        struct seat s = c->seats[g->v[i].piece];
        const struct pose *pose = &w->poses[s.pose];
        b.v[i] = (struct spot){s.pose, s.u, s.v};
        b.area += w->area[pose->part];
        b.extent = fmax(b.extent, s.u + pose->size.x);
    }
    return b;
}

/// The sheets of a crowd that was parted take the place of those it was made from, if the plan is
/// the better for it.
static void take_fewer(struct world *w, struct plan *p, const struct fewer_try *t) {
    const struct crowd *c = &t->crowd;
    struct bin fresh[FEWER_MOST];
    struct score s = p->score;
    for (int i = 0; i < t->from_count; i++) {
        const struct bin *b = &p->bins[t->from[i]];
        s.value -= w->kinds[b->kind].value + program_cost(w, b);
        s.drops -= sheet_drops(w, b);
    }
    for (int g = 0; g < c->ground_count; g++) {
        fresh[g] = bin_of(w, c, g);
        if (fresh[g].count == 0) continue;
        s.value += w->kinds[fresh[g].kind].value + program_cost(w, &fresh[g]);
        s.drops += sheet_drops(w, &fresh[g]);
    }
    if (!score_better(s, p->score)) return;
    for (int i = 0; i < t->from_count; i++)
        p->bins[t->from[i]].times = 0;
    for (int g = 0; g < c->ground_count; g++) {
        int at = t->from[(g + t->emptied) % t->from_count]; // those emptied last, for what is new
        if (fresh[g].count > 0) bin_copy(w, &p->bins[at], &fresh[g]);
    }
    plan_drop_empty(p);
    p->score = score_of(w, p);
}

/// Whether another sheet could be saved, as far as areas tell.
static bool may_cost_less(const struct world *w, const struct plan *p) {
    return p->count > 1 && sheets_value(w, p) > value_bound(w, p) * (1 + 1e-9);
}

static void try_fewer(struct world *w, struct plan *p, struct fewer *f, bool cut) {
    long left = w->options->steps * STEP_WORK - w->work;
    int i = fewer_round(f, w, p, cut, left / (FEWER_TRIES * LEAST_ROUNDS) + 1, last_moment(w));
    if (i >= 0) take_fewer(w, p, &f->tries[i]);
}

// ------------------------------------------------------------------------------- the whole

struct hunt {
    struct world *w;
    struct plan *best;
    struct plan trial, current; ///< current: without sheets until the improving begins
    struct change change;
    struct fewer *fewer;
    struct jigsaw *jigsaw;
    long fewer_work, cut_work, refill_work; ///< spent on each: two parts to two to one
};

static void keep_better(struct hunt *h, const struct plan *p) {
    if (h->best->missing && !score_better(p->score, h->best->score)) return;
    plan_copy(h->w, h->best, p);
    tell_better(h->w, h->best);
}

static void try_first(struct hunt *h, int round) {
    static const struct {
        struct policy policy;
        enum lie lie;
    } first[FIRST_ROUNDS] = {
        {{.reach = 1, .order = 0, .patience = 16}, LIE_FREE},
        {{.reach = 1, .order = 0, .repeats = true}, LIE_FREE},
        {{.reach = 1, .order = 1}, LIE_ALONG},
        {{.reach = 1, .order = 0}, LIE_ALONG},
        {{.reach = 0.5, .order = 2}, LIE_FREE},
        {{.reach = 1, .order = 1}, LIE_ACROSS},
        {{.reach = 1, .order = 3}, LIE_FREE},
    };
    struct world *w = h->w;
    memset(w->lie, (int)first[round].lie, (size_t)w->job->part_count);
    struct policy policy = first[round].policy;
    policy.repeats = policy.repeats && !w->options->piecewise;
    if (first_nest(w, &h->trial, policy, round > 0 ? out_of_time : NULL)) keep_better(h, &h->trial);
}

/// What is not on those sheets is nested on others.
static void nest_rest(struct world *w, const struct jigsaw_sheets *full, struct plan *p) {
    const struct kw_nest_job *job = w->job;
    struct kind *kinds = w->kinds;
    struct kw_nest_job rest = *job;
    struct kw_nest_part *parts = KW_NEW_ARRAY(w->a, struct kw_nest_part, job->part_count + 1);
    memcpy(parts, job->parts, sizeof *parts * (size_t)job->part_count);
    w->kinds = KW_NEW_ARRAY(w->a, struct kind, job->sheet_count + 1);
    memcpy(w->kinds, kinds, sizeof *kinds * (size_t)job->sheet_count);
    for (int i = 0; i < full->count; i++) {
        const struct bin *b = &full->v[i];
        if (w->kinds[b->kind].count > 0) w->kinds[b->kind].count -= b->times;
        for (int k = 0; k < b->count; k++)
            parts[w->poses[b->v[k].pose].part].count -= b->times;
    }
    rest.parts = parts;
    w->job = &rest;
    first_nest(w, p, (struct policy){.reach = 1, .patience = 16}, NULL);
    w->job = job;
    w->kinds = kinds;
    for (int i = 0; i < full->count; i++)
        bin_copy(w, plan_add(w, p), &full->v[i]);
    p->score = score_of(w, p);
}

static void try_jigsaw(struct hunt *h) {
    struct world *w = h->w;
    const struct jigsaw_sheets *full = jigsaw_round(h->jigsaw, w, last_moment(w));
    if (!full) return;
    nest_rest(w, full, &h->trial);
    if (score_better(h->trial.score, h->current.score)) plan_copy(w, &h->current, &h->trial);
}

/// Whether sheets without waste are looked for now: as long as their share of the work lasts, some
/// of it in advance.
static bool jigsaw_turn(const struct hunt *h) {
    const struct jigsaw *j = h->jigsaw;
    double whole = (double)h->w->options->steps * STEP_WORK;
    double credit = fmin(IN_ADVANCE * whole, MOST_IN_ADVANCE);
    return !jigsaw_ended(j) && (double)(h->w->work + jigsaw_next(j)) <= whole &&
           (double)(j->work + jigsaw_next(j)) <= j->share * ((double)h->w->work + credit);
}

static void improve(struct hunt *h, double done) {
    struct world *w = h->w;
    if (h->current.count == 0) plan_copy(w, &h->current, h->best);
    if (!h->jigsaw->facets) jigsaw_begin(h->jigsaw, w, false, 0);
    if (jigsaw_turn(h)) {
        try_jigsaw(h);
        keep_better(h, &h->current);
        return;
    }
    long before = w->work, most = 2 * h->refill_work, *spent = &h->refill_work;
    if (may_cost_less(w, &h->current) && h->fewer_work <= most)
        spent = &h->fewer_work;
    else if (h->current.count > 1 && h->cut_work <= most)
        spent = &h->cut_work;
    if (spent == &h->refill_work)
        try_change(w, &h->current, &h->change, done);
    else
        try_fewer(w, &h->current, h->fewer, spent == &h->cut_work);
    *spent += w->work - before;
    keep_better(h, &h->current);
}

static bool is_over(const struct world *w, const struct plan *best, double done,
                    enum kw_nest_stop *why) {
    *why = KW_NEST_STOPPED_BY_BOUND;
    if (is_bound(w, best)) return true;
    *why = KW_NEST_STOPPED_BY_STEPS;
    if (done >= 1 || best->count == 0) return true;
    *why = KW_NEST_STOPPED_BY_TIME;
    return time_spent(w) >= 1;
}

static enum kw_status search_all(struct hunt *h, enum kw_nest_stop *why) {
    struct world *w = h->w;
    const struct kw_nest_options *o = w->options;
    for (int round = 0;; round++) {
        if (kw_watch_stopped(o->watch)) return KW_STOPPED;
        double steps = o->steps > 0 ? (double)w->work / STEP_WORK / (double)o->steps : 1;
        double done = fmax(steps, time_spent(w));
        kw_watch_progress(o->watch, "nest", fmin(done, 1));
        if (round > 0 && is_over(w, h->best, steps, why)) return KW_OK;
        if (round == 0 || (round < FIRST_ROUNDS && done < (round == 1 ? 1 : 0.4))) {
            try_first(h, round);
        } else if (all_on_one_sheet(h->best)) {
            enum kw_status s = shorten_sheet(w, h->best);
            if (s != KW_OK) return s;
        } else {
            improve(h, done);
        }
    }
}

enum kw_status search_nest(struct world *w, struct plan *best, enum kw_nest_stop *why) {
    const struct kw_watch *watch = w->options->watch;
    struct hunt h = {.w = w, .best = best, .fewer = KW_NEW(w->a, struct fewer)};
    h.jigsaw = KW_NEW(w->a, struct jigsaw);
    h.trial.missing = KW_NEW_ARRAY(w->a, int, w->job->part_count + 1);
    w->start = watch && watch->now ? watch->now(watch->user) : 0;
    fewer_begin(h.fewer, w);
    enum kw_status s = search_all(&h, why);
    fewer_end(h.fewer);
    if (h.jigsaw->facets) jigsaw_end(h.jigsaw);
    return s;
}
