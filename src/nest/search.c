// SPDX-License-Identifier: Apache-2.0
// First nests by a few orders of filling; then one to three sheets at a time are emptied and filled
// again in a shuffled order, and the outcome is kept where it is no worse.
#include "nest/search.h"

#include "nest/fewer.h"
#include "nest/squeeze.h"

#include <string.h>

#define WARMTH       0.01 // of a sheet's area
#define MOST_OFFERED 50   // a part
#define MOST_CROWDED 1500 // pieces that are parted together: each pair has a weight

/// By more than the rounding of sums that were added up in another order.
static bool differ(double a, double b) {
    return fabs(a - b) > 1e-9 * fmax(fabs(a), fabs(b)) + 1e-9;
}

static bool better(struct score a, struct score b) {
    if (differ(a.missing, b.missing)) return a.missing < b.missing;
    if (differ(a.value, b.value)) return a.value < b.value;
    return a.drops > b.drops;
}

static struct bin *add_bin(struct world *w, struct plan *p) {
    if (p->count == p->room) {
        struct bin *old = p->bins;
        p->room = p->room ? 2 * p->room : 16;
        p->bins = KW_NEW_ARRAY(w->a, struct bin, p->room);
        if (old) memcpy(p->bins, old, sizeof *old * (size_t)p->count);
    }
    return &p->bins[p->count++]; // keeps the buffer of a bin that was here before
}

static void plan_copy(struct world *w, struct plan *to, const struct plan *from) {
    while (to->count < from->count)
        add_bin(w, to);
    to->count = from->count;
    for (int i = 0; i < from->count; i++)
        bin_copy(w, &to->bins[i], &from->bins[i]);
    size_t size = sizeof *from->missing * (size_t)w->job->part_count;
    if (!to->missing) to->missing = kw_alloc(w->a, size + 1);
    memcpy(to->missing, from->missing, size);
    to->score = from->score;
}

/// Worth of what one sheet leaves: the square prefers one long drop to two short ones, and the
/// second term draws pieces off the emptiest sheet even while its last outline stays where it is.
static double sheet_drops(const struct world *w, const struct bin *b) {
    const struct kind *k = &w->kinds[b->kind];
    double left = 1 - b->extent / k->length, empty = 1 - b->area / k->area;
    return k->area * (left * left + 0.1 * empty * empty);
}

static struct score score_of(const struct world *w, const struct plan *p) {
    struct score s = {0};
    for (int i = 0; i < w->job->part_count; i++)
        s.missing += p->missing[i] * w->bulk[i];
    for (int i = 0; i < p->count; i++) {
        const struct bin *b = &p->bins[i];
        s.value += b->times * w->kinds[b->kind].value;
        s.drops += b->times * sheet_drops(w, b);
    }
    return s;
}

static int sheets_of_kind(const struct plan *p, int kind) {
    int n = 0;
    for (int i = 0; i < p->count; i++) {
        if (p->bins[i].kind == kind) n += p->bins[i].times;
    }
    return n;
}

// -------------------------------------------------------------------------- the first nest

/// How often a layout can be cut: as long as copies of all its parts and sheets last.
static int repeats(const struct world *w, const struct bin *b, const int *have, int sheets) {
    int times = sheets < 0 ? KW_NEST_MOST_COPIES : sheets;
    for (int i = 0; i < b->count; i++) {
        int part = w->poses[b->v[i].pose].part, used = 0;
        for (int k = 0; k < b->count; k++)
            used += w->poses[b->v[k].pose].part == part;
        if (have[part] / used < times) times = have[part] / used;
    }
    return times;
}

/// Fills one sheet of each kind and keeps the one that costs least for the metal on it.
static bool best_kind(struct world *w, struct plan *p, struct policy policy,
                      const struct want *wants, int count, struct bin *out) {
    struct bin trial = {0};
    struct want *copy = KW_NEW_ARRAY(w->a, struct want, count + 1);
    double best = INFINITY;
    for (int k = 0; k < w->job->sheet_count; k++) {
        if (w->kinds[k].count >= 0 && sheets_of_kind(p, k) >= w->kinds[k].count) continue;
        memcpy(copy, wants, sizeof *copy * (size_t)count);
        fill_bin(w, &trial, k, policy, copy, count);
        double cost = w->kinds[k].value / trial.area;
        if (trial.count == 0 || !(cost < best)) continue;
        best = cost;
        bin_copy(w, out, &trial);
    }
    return best < INFINITY;
}

static void first_nest(struct world *w, struct plan *p, struct policy policy) {
    int n = w->job->part_count;
    struct want *wants = KW_NEW_ARRAY(w->a, struct want, n + 1);
    for (int i = 0; i < n; i++) {
        p->missing[i] = w->job->parts[i].count;
        wants[i] = (struct want){.part = i, .as = -1};
    }
    sort_wants(w, policy, wants, n);
    p->count = 0;
    struct bin b = {0};
    for (;;) {
        int left = 0;
        for (int i = 0; i < n; i++)
            left += wants[i].count = p->missing[wants[i].part];
        if (left == 0) break;
        if (!best_kind(w, p, policy, wants, n, &b)) {
            if (policy.patience == 0) break;
            policy.patience = 0; // some that were passed over may still have a place
            continue;
        }
        int kept = w->kinds[b.kind].count;
        b.times = repeats(w, &b, p->missing, kept < 0 ? -1 : kept - sheets_of_kind(p, b.kind));
        for (int i = 0; i < b.count; i++)
            p->missing[w->poses[b.v[i].pose].part] -= b.times;
        struct bin *to = add_bin(w, p);
        bin_copy(w, to, &b);
    }
    p->score = score_of(w, p);
}

// ------------------------------------------------------------------------- making it better

/// A change under way: the sheets taken out, the pieces that were on them, the new sheets.
struct change {
    int out[3], out_count;
    int times;   ///< 1: one sheet of each layout is taken out. Else all sheets of the only layout
    bool splits; ///< a layout that is cut several times loses one sheet
    struct want *wants;
    int want_count, want_room;
    struct bin fresh[3];
    int fresh_count;
};

static void want_one(struct world *w, struct change *c, int part, int as) {
    if (c->want_count == c->want_room) {
        struct want *old = c->wants;
        c->want_room = c->want_room ? 2 * c->want_room : 64;
        c->wants = KW_NEW_ARRAY(w->a, struct want, c->want_room);
        if (old) memcpy(c->wants, old, sizeof *old * (size_t)c->want_count);
    }
    c->wants[c->want_count++] = (struct want){.part = part, .count = 1, .as = as};
}

static int pick(struct world *w, int n) {
    return (int)(kw_random(&w->random) % (uint64_t)n);
}

static int emptiest(const struct world *w, const struct plan *p) {
    int best = 0;
    double least = INFINITY;
    for (int i = 0; i < p->count; i++) {
        double full = p->bins[i].area / w->kinds[p->bins[i].kind].area;
        if (!(full < least)) continue;
        least = full;
        best = i;
    }
    return best;
}

/// One to three sheets, the emptiest among them more often than not.
static void choose_sheets(struct world *w, const struct plan *p, struct change *c) {
    double r = kw_random_unit(&w->random);
    int wanted = p->count > 1 && r > 0.3 ? 2 : 1;
    if (p->count > 2 && r > 0.85) wanted = 3;
    c->out[0] = kw_random_unit(&w->random) < 0.6 ? emptiest(w, p) : pick(w, p->count);
    c->out_count = 1;
    for (int tries = 0; c->out_count < wanted && tries < 8; tries++) {
        int i = pick(w, p->count);
        bool known = false;
        for (int k = 0; k < c->out_count; k++)
            known = known || c->out[k] == i;
        if (!known) c->out[c->out_count++] = i;
    }
    c->times = c->out_count == 1 ? p->bins[c->out[0]].times : 1;
    c->splits = false;
    for (int k = 0; k < c->out_count; k++) {
        c->splits = c->splits || p->bins[c->out[k]].times > c->times;
    }
}

/// Copies without a sheet that are tried again with every change.
static int offered(const struct plan *p, int part) {
    return p->missing[part] < MOST_OFFERED ? p->missing[part] : MOST_OFFERED;
}

static void empty_sheets(struct world *w, const struct plan *p, struct change *c) {
    c->want_count = 0;
    for (int k = 0; k < c->out_count; k++) {
        const struct bin *b = &p->bins[c->out[k]];
        for (int i = 0; i < b->count; i++)
            want_one(w, c, w->poses[b->v[i].pose].part, b->v[i].pose);
    }
    if (c->times > 1) return;
    for (int i = 0; i < w->job->part_count; i++) { // what had no place may find one now
        for (int k = 0; k < offered(p, i); k++)
            want_one(w, c, i, -1);
    }
}

static int pieces_wanted(const struct change *c) {
    int n = 0;
    for (int i = 0; i < c->want_count; i++)
        n += c->wants[i].count;
    return n;
}

/// A kind for the next fresh sheet: mostly that of the sheet it replaces.
static int choose_kind(struct world *w, const struct plan *p, const struct change *c, int next) {
    int kind = p->bins[c->out[next]].kind;
    if (w->job->sheet_count > 1 && kw_random_unit(&w->random) < 0.35) {
        kind = pick(w, w->job->sheet_count);
    }
    int used = sheets_of_kind(p, kind);
    for (int k = 0; k < c->out_count; k++)
        used -= c->times * (p->bins[c->out[k]].kind == kind);
    for (int k = 0; k < next; k++)
        used += c->times * (c->fresh[k].kind == kind);
    int limit = w->kinds[kind].count;
    return limit >= 0 && used + c->times > limit ? p->bins[c->out[next]].kind : kind;
}

/// Each part may be told which way to lie, anew for every refill.
static void choose_lies(struct world *w) {
    static const char often_free[8] = {LIE_FREE,  LIE_FREE,  LIE_FREE,   LIE_FREE,
                                       LIE_ALONG, LIE_ALONG, LIE_ACROSS, LIE_ACROSS};
    for (int i = 0; i < w->job->part_count; i++)
        w->lie[i] = often_free[pick(w, 8)];
}

/// A new order altogether.
static void shuffle(struct world *w, struct policy *policy, struct change *c) {
    choose_lies(w);
    policy->order = pick(w, 4);
    policy->noise = kw_random_unit(&w->random) * (pick(w, 2) ? 0.15 : 0.6);
    for (int i = 0; i < c->want_count; i++)
        c->wants[i].as = -1;
    sort_wants(w, *policy, c->wants, c->want_count);
}

/// The order in which the sheets were filled, a few pieces moved and turned.
static void disturb(struct world *w, struct change *c) {
    choose_lies(w);
    for (int moves = 1 + pick(w, 4); moves > 0 && c->want_count > 0; moves--) {
        int from = pick(w, c->want_count), to = pick(w, c->want_count);
        struct want moved = c->wants[from];
        if (pick(w, 2)) moved.as = -1;
        if (pick(w, 3) == 0) { // exchanged
            c->wants[from] = c->wants[to];
        } else {
            int step = to > from ? 1 : -1;
            for (int i = from; i != to; i += step)
                c->wants[i] = c->wants[i + step];
        }
        c->wants[to] = moved;
    }
}

static void refill(struct world *w, const struct plan *p, struct change *c) {
    struct policy policy = {.reach = pick(w, 3) * 0.5};
    if (pick(w, 3) == 0)
        shuffle(w, &policy, c);
    else
        disturb(w, c);
    c->fresh_count = 0;
    while (c->fresh_count < c->out_count && pieces_wanted(c) > 0) {
        struct bin *b = &c->fresh[c->fresh_count];
        fill_bin(w, b, choose_kind(w, p, c, c->fresh_count), policy, c->wants, c->want_count);
        b->times = c->times;
        c->fresh_count++;
    }
}

/// The plan's score if the change is made. Copies that found no place count as missing.
static struct score changed_score(struct world *w, const struct plan *p, const struct change *c) {
    struct score s = p->score;
    for (int k = 0; k < c->out_count; k++) {
        const struct bin *b = &p->bins[c->out[k]];
        s.value -= c->times * w->kinds[b->kind].value;
        s.drops -= c->times * sheet_drops(w, b);
    }
    for (int k = 0; k < c->fresh_count; k++) {
        if (c->fresh[k].count == 0) continue;
        s.value += c->times * w->kinds[c->fresh[k].kind].value;
        s.drops += c->times * sheet_drops(w, &c->fresh[k]);
    }
    if (c->times > 1) return s;
    for (int i = 0; i < w->job->part_count; i++)
        s.missing -= offered(p, i) * w->bulk[i];
    for (int i = 0; i < c->want_count; i++) {
        s.missing += c->wants[i].count * w->bulk[c->wants[i].part];
    }
    return s;
}

static void drop_empty_sheets(struct plan *p) {
    int kept = 0;
    for (int i = 0; i < p->count; i++) { // buffers are swapped, not lost
        if (p->bins[i].times == 0) continue;
        struct bin b = p->bins[i];
        p->bins[i] = p->bins[kept];
        p->bins[kept++] = b;
    }
    p->count = kept;
}

static void make_change(struct world *w, struct plan *p, struct change *c) {
    for (int i = 0; c->times == 1 && i < w->job->part_count; i++)
        p->missing[i] -= offered(p, i);
    for (int i = 0; c->times == 1 && i < c->want_count; i++) {
        p->missing[c->wants[i].part] += c->wants[i].count;
    }
    for (int k = 0; k < c->out_count; k++)
        p->bins[c->out[k]].times -= c->times;
    for (int k = 0; k < c->fresh_count; k++) {
        if (c->fresh[k].count == 0) continue;
        struct bin *to = NULL; // the place of one that went, where there is one
        for (int m = 0; m < c->out_count && !to; m++) {
            if (p->bins[c->out[m]].times == 0) to = &p->bins[c->out[m]];
        }
        bin_copy(w, to ? to : add_bin(w, p), &c->fresh[k]);
    }
    drop_empty_sheets(p);
    p->score = score_of(w, p);
}

/// A change is made where the plan gets no worse; where it would break up sheets that are cut
/// alike, only where it gets better: one more program costs the shop time.
/// Early in the search drops may get a little smaller, which leads out of dead ends.
static bool take_change(const struct world *w, const struct plan *p, const struct change *c,
                        struct score s, double done) {
    if (c->splits) return better(s, p->score);
    if (!differ(s.missing, p->score.missing) && !differ(s.value, p->score.value)) {
        double worse = WARMTH * w->kinds[p->bins[c->out[0]].kind].area * fmax(1 - done, 0);
        return s.drops >= p->score.drops - worse;
    }
    return !better(p->score, s);
}

static void try_change(struct world *w, struct plan *p, struct change *c, double done) {
    choose_sheets(w, p, c);
    empty_sheets(w, p, c);
    refill(w, p, c);
    if (c->times > 1 && pieces_wanted(c) > 0) return;
    struct score s = changed_score(w, p, c);
    if (take_change(w, p, c, s, done)) make_change(w, p, c);
}

double value_bound(const struct world *w, const struct plan *p) {
    double area = 0, rate = INFINITY, least = INFINITY, most_area = 0;
    for (int i = 0; i < w->job->part_count; i++) {
        area += w->area[i] * (w->job->parts[i].count - p->missing[i]);
    }
    for (int k = 0; k < w->job->sheet_count; k++) {
        const struct kind *kind = &w->kinds[k];
        double m = 2 * w->options->margin;
        double useful = fmin(kind->area, (kind->length - m) * (kind->breadth - m));
        if (kind->count == 0 || !(useful > 0)) continue;
        rate = fmin(rate, kind->value / useful);
        least = fmin(least, kind->value);
        most_area = fmax(most_area, useful);
    }
    if (!(area > 0) || !(most_area > 0)) return 0;
    double sheets =
        ceil(area / most_area - 1e-9); // no fewer, and none is cheaper than the cheapest
    return fmax(area * rate, sheets * least);
}

/// Nothing to gain: one sheet, as cheap as can be, and its last outline as near as it can be.
static bool is_bound(const struct world *w, const struct plan *p) {
    if (p->score.missing > 0 || p->count > 1) return false;
    if (p->count == 0) return true;
    const struct bin *b = &p->bins[0];
    const struct kind *k = &w->kinds[b->kind];
    double m = w->options->margin;
    double reach = m + b->area / (k->breadth - 2 * m);
    return b->times == 1 && p->score.value <= value_bound(w, p) * (1 + 1e-9) &&
           b->extent <= reach + 1e-3;
}

/// Of the time given; 0 where no clock counts.
static double time_spent(const struct world *w, double start) {
    const struct kw_nest_options *o = w->options;
    if (!o->watch || !o->watch->now || !(o->seconds > 0)) return 0;
    return (o->watch->now(o->watch->user) - start) / o->seconds;
}

static bool out_of_time(const struct world *w, double start) {
    return time_spent(w, start) >= 1;
}

// ------------------------------------------------------------------------ all on one sheet

struct one_sheet {
    struct world *w;
    struct plan *best;
    double start;
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
    double time = (time_spent(o->w, o->start) - o->first_time) / (1 - o->first_time);
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
    o->better(o->better_user, p->score.value, last);
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

static enum kw_status shorten_sheet(struct world *w, struct plan *best, double start) {
    struct one_sheet o = {w, best, start, w->work, time_spent(w, start), false};
    struct budget budget = {&o, sheet_done, sheet_better, 0};
    budget.work = w->options->seconds > 0 ? 0 : w->options->steps * STEP_WORK - w->work;
    squeeze_bin(w, &best->bins[0], &budget, w->options->threads);
    best->score = score_of(w, best);
    return o.stopped ? KW_STOPPED : KW_OK;
}

// ------------------------------------------------------------------------- one sheet fewer

/// The sheets of a crowd that was parted take the place of those it was made from.
static void take_fewer(struct world *w, struct plan *p, const struct fewer_try *t) {
    const struct crowd *c = &t->crowd;
    for (int i = 0; i < t->from_count; i++)
        p->bins[t->from[i]].times = 0;
    for (int g = 0; g < c->ground_count; g++) {
        int at = t->from[(g + 1) % t->from_count]; // the emptied one last, if a cheaper is there
        struct bin fresh = {.kind = t->kinds[g], .times = 1};
        fresh.count = c->grounds[g].count;
        fresh.v = KW_NEW_ARRAY(w->a, struct spot, fresh.count + 1);
        for (int i = 0; i < fresh.count; i++) {
            struct seat s = c->seats[c->grounds[g].v[i].piece];
            const struct pose *pose = &w->poses[s.pose];
            fresh.v[i] = (struct spot){s.pose, s.u, s.v};
            fresh.area += w->area[pose->part];
            fresh.extent = fmax(fresh.extent, s.u + pose->size.x);
        }
        if (fresh.count > 0) bin_copy(w, &p->bins[at], &fresh);
    }
    drop_empty_sheets(p);
    p->score = score_of(w, p);
}

/// Whether another sheet could be saved, as far as areas tell.
static bool may_cost_less(const struct world *w, const struct plan *p) {
    return p->count > 1 && p->score.value > value_bound(w, p) * (1 + 1e-9);
}

static void try_fewer(struct world *w, struct plan *p, struct fewer *f) {
    long left = w->options->steps * STEP_WORK - w->work;
    int i = fewer_round(f, w, p, left / FEWER_TRIES + 1, w->options->threads);
    if (i >= 0) take_fewer(w, p, &f->tries[i]);
}

static enum kw_status search_all(struct world *w, struct plan *best, struct fewer *fewer,
                                 enum kw_nest_stop *why);

enum kw_status search_nest(struct world *w, struct plan *best, enum kw_nest_stop *why) {
    struct fewer *fewer = KW_NEW(w->a, struct fewer);
    fewer_begin(fewer, w);
    enum kw_status s = search_all(w, best, fewer, why);
    fewer_end(fewer);
    return s;
}

static enum kw_status search_all(struct world *w, struct plan *best, struct fewer *fewer,
                                 enum kw_nest_stop *why) {
    const struct kw_nest_options *o = w->options;
    static const struct {
        struct policy policy;
        enum lie lie;
    } first[] = {
        {{1, 0, 0, 16}, LIE_FREE},  {{1, 1, 0, 0}, LIE_ALONG},  {{1, 0, 0, 0}, LIE_ALONG},
        {{0.5, 2, 0, 0}, LIE_FREE}, {{1, 1, 0, 0}, LIE_ACROSS}, {{1, 3, 0, 0}, LIE_FREE},
    };
    enum { FIRST_COUNT = sizeof first / sizeof *first };
    double start = o->watch && o->watch->now ? o->watch->now(o->watch->user) : 0;
    struct plan trial = {.missing = KW_NEW_ARRAY(w->a, int, w->job->part_count + 1)};
    struct plan current = {0};
    struct change change = {0};
    long fewer_work = 0, refill_work = 0; // spent on each: two parts to one
    for (int round = 0;; round++) {
        if (kw_watch_stopped(o->watch)) return KW_STOPPED;
        double done = o->steps > 0 ? (double)w->work / STEP_WORK / (double)o->steps : 1;
        kw_watch_progress(o->watch, "nest", fmin(done, 1));
        *why = KW_NEST_STOPPED_BY_BOUND;
        if (round > 0 && is_bound(w, best)) return KW_OK;
        *why = KW_NEST_STOPPED_BY_STEPS;
        if (round > 0 && (done >= 1 || best->count == 0)) return KW_OK;
        *why = KW_NEST_STOPPED_BY_TIME;
        if (round > 0 && out_of_time(w, start)) return KW_OK;
        if (round < FIRST_COUNT && (round == 0 || done < 0.4)) {
            memset(w->lie, (int)first[round].lie, (size_t)w->job->part_count);
            first_nest(w, &trial, first[round].policy);
        } else if (all_on_one_sheet(best)) {
            enum kw_status s = shorten_sheet(w, best, start);
            if (s != KW_OK) return s;
            continue;
        } else {
            if (current.count == 0) plan_copy(w, &current, best);
            bool turn = may_cost_less(w, &current) && fewer_work <= 2 * refill_work;
            long before = w->work;
            if (turn)
                try_fewer(w, &current, fewer);
            else
                try_change(w, &current, &change, done);
            *(turn ? &fewer_work : &refill_work) += w->work - before;
        }
        const struct plan *p = round < FIRST_COUNT && current.count == 0 ? &trial : &current;
        if (round > 0 && !better(p->score, best->score)) continue;
        plan_copy(w, best, p);
        tell_better(w, best);
    }
}
