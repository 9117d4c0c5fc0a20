// SPDX-License-Identifier: Apache-2.0
// From lengths to whole numbers, through the searches, and back to patterns.
#include "stick/inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double unit = 1e-6, money_unit = 1e-6;
static const double most_length = 1e6, most_money = 1e7;
enum {
    MOST_PIECES = 100000,
    MOST_STOCKS = 1000,
    DEFAULT_STEPS = 60000,
    STEPS_A_ROUND = 10,  // of improvement before the linear program, and nodes of branch and bound
    STEPS_A_DIVE = 3000, // twenty roundings by default
    PATTERN_DIVES = 6,   // when only fewer patterns are sought
    DIVE_ROUNDS = 40,    // of new columns after each rounding
    STEPS_A_NODE = 10,   // of the integer program
    STEPS_A_GOAL = 100,  // patterns taken apart for fewer of them
    MOST_NODES = 10000000,
    FEW_PIECES = 60 // always looked at for fewer patterns
};

struct kw_stick_options kw_stick_options_default(void) {
    return (struct kw_stick_options){
        .keep_worth = 1, .seed = 1, .steps = DEFAULT_STEPS, .program_seconds = 60};
}

static int64_t whole(double mm) {
    return llround(mm / unit);
}

static int64_t room_of(double length, const struct kw_stick_options *o) {
    int64_t room = whole(length) - whole(o->trim);
    return o->hold > 0 ? room - whole(o->hold) : room + whole(o->kerf);
}

double kw_stick_room(double stick_length, const struct kw_stick_options *options) {
    return (double)room_of(stick_length, options) * unit;
}

// ---------------------------------------------------------------------------------- what comes in

static enum kw_status refuse(struct kw_error *err, const char *what, int index, double got) {
    return kw_fail(err, KW_RANGE, (struct kw_place){0}, "%s %d is out of range: %g", what, index,
                   got);
}

static enum kw_status check_input(const struct kw_stick_stock *stocks, int stock_count,
                                  const struct kw_stick_piece *pieces, int piece_count,
                                  const struct kw_stick_options *o, struct kw_error *err) {
    const double options[] = {o->kerf, o->trim, o->hold, o->keep};
    static const char *const names[] = {"kerf", "trim", "hold", "keep"};
    for (int i = 0; i < 4; i++)
        if (!(options[i] >= 0 && options[i] <= most_length))
            return kw_fail(err, KW_RANGE, (struct kw_place){0}, "%s is out of range: %g", names[i],
                           options[i]);
    if (!(o->keep_worth >= 0 && o->keep_worth <= 1))
        return refuse(err, "worth of leftovers", 0, o->keep_worth);
    if (stock_count < 0 || stock_count > MOST_STOCKS)
        return refuse(err, "number of stock lengths", 0, stock_count);
    for (int i = 0; i < stock_count; i++) {
        if (!(stocks[i].length > 0 && stocks[i].length <= most_length))
            return refuse(err, "length of stock", i, stocks[i].length);
        if (!(stocks[i].price >= 0 && stocks[i].price <= most_money))
            return refuse(err, "price of stock", i, stocks[i].price);
    }
    int total = 0;
    for (int i = 0; i < piece_count; i++) {
        if (!(pieces[i].length > 0 && pieces[i].length <= most_length))
            return refuse(err, "length of piece", i, pieces[i].length);
        if (pieces[i].count < 0 || pieces[i].count > MOST_PIECES - total)
            return refuse(err, "count of piece", i, pieces[i].count);
        total += pieces[i].count;
    }
    return KW_OK;
}

/// A piece index with its weight, to be sorted.
struct weighed {
    int64_t weight;
    int index;
};

static int heavier_first(const void *a, const void *b) {
    const struct weighed *x = a, *y = b;
    if (x->weight != y->weight) return x->weight < y->weight ? 1 : -1;
    return x->index < y->index ? -1 : x->index > y->index;
}

static int64_t common(int64_t a, int64_t b) {
    while (b != 0) {
        int64_t r = a % b;
        a = b;
        b = r;
    }
    return a < 0 ? -a : a;
}

static void model_stocks(struct kw_arena *a, const struct kw_stick_stock *stocks, int count,
                         const struct kw_stick_options *o, struct stick_model *m) {
    m->stocks = count;
    m->room = KW_NEW_ARRAY(a, int64_t, count);
    m->have = KW_NEW_ARRAY(a, int, count);
    m->price = KW_NEW_ARRAY(a, int64_t, count);
    m->rest = KW_NEW_ARRAY(a, int64_t, count);
    m->keep_rate = KW_NEW_ARRAY(a, double, count);
    m->keep = whole(o->keep);
    m->unit = 1;
    bool all_free = true;
    for (int j = 0; j < count; j++)
        all_free = all_free && stocks[j].price == 0;
    for (int j = 0; j < count; j++) {
        m->room[j] = room_of(stocks[j].length, o);
        m->price[j] = llround((all_free ? stocks[j].length : stocks[j].price) / money_unit);
        m->price_step = common(m->price_step, m->price[j]);
        m->rest[j] = whole(stocks[j].length) - whole(o->trim);
        m->keep_rate[j] = (double)m->price[j] / (double)whole(stocks[j].length) * o->keep_worth;
    }
    if (m->price_step == 0) m->price_step = 1;
}

/// Types out of the sorted pieces that fit anywhere; `type` (a sorted place) gets the type or -1.
static void model_types(struct kw_arena *a, const struct weighed *sorted, int count,
                        const struct kw_stick_piece *pieces, struct stick_model *m, int *type) {
    int64_t most = -1;
    for (int j = 0; j < m->stocks; j++)
        if (m->have[j] != 0 && m->room[j] > most) most = m->room[j];
    m->weight = KW_NEW_ARRAY(a, int64_t, count);
    m->demand = KW_NEW_ARRAY(a, int, count);
    for (int i = 0; i < count; i++) {
        type[i] = -1;
        int n = pieces[sorted[i].index].count;
        if (n == 0 || sorted[i].weight > most) continue;
        if (m->types == 0 || m->weight[m->types - 1] != sorted[i].weight)
            m->weight[m->types++] = sorted[i].weight;
        type[i] = m->types - 1;
        m->demand[m->types - 1] += n;
        m->total += n;
    }
}

/// Divides by the common divisor, so that searches work in few cells.
static void scale_down(struct stick_model *m) {
    int64_t g = 0;
    for (int t = 0; t < m->types; t++)
        g = common(g, m->weight[t]);
    if (g <= 1) return;
    m->unit = g;
    for (int t = 0; t < m->types; t++)
        m->weight[t] /= g;
    for (int j = 0; j < m->stocks; j++)
        m->room[j] = m->room[j] < 0 ? -1 : m->room[j] / g;
}

static void finish_model(const struct kw_stick_stock *stocks, struct stick_model *m) {
    m->limited = true;
    for (int j = 0; j < m->stocks; j++) {
        bool any = stocks[j].count < 0 || stocks[j].count > m->total;
        m->have[j] = any ? m->total : stocks[j].count;
        if (m->types > 0 && m->have[j] == m->total && m->room[j] >= m->weight[0])
            m->limited = false;
    }
}

// ------------------------------------------------------------------------------------ what goes
// out

/// Types of one stick, sorted; for grouping sticks that are cut alike.
struct cut {
    int stock, count;
    const int *types;
    int64_t fill;
};

static int cut_order(const void *a, const void *b) {
    const struct cut *x = a, *y = b;
    if (x->stock != y->stock) return x->stock < y->stock ? -1 : 1;
    if (x->fill != y->fill) return x->fill > y->fill ? -1 : 1;
    for (int i = 0; i < x->count && i < y->count; i++)
        if (x->types[i] != y->types[i]) return x->types[i] < y->types[i] ? -1 : 1;
    return x->count < y->count ? -1 : x->count > y->count;
}

static int by_number(const void *a, const void *b) {
    int x = *(const int *)a, y = *(const int *)b;
    return x < y ? -1 : x > y;
}

static struct cut *sorted_cuts(struct kw_arena *a, const struct stick_state *s) {
    struct cut *cuts = KW_NEW_ARRAY(a, struct cut, s->bin_count);
    for (int b = 0; b < s->bin_count; b++) {
        const struct stick_bin *bin = &s->bins[b];
        int *types = KW_NEW_ARRAY(a, int, bin->count);
        int n = 0;
        for (int p = bin->first; p >= 0; p = s->next[p])
            types[n++] = s->type_of[p];
        kw_assert(n == bin->count);
        qsort(types, (size_t)n, sizeof *types, by_number);
        cuts[b] = (struct cut){bin->stock, n, types, bin->fill};
    }
    if (s->bin_count > 1) qsort(cuts, (size_t)s->bin_count, sizeof *cuts, cut_order);
    return cuts;
}

int stick_pattern_count(struct kw_arena *scratch, const struct stick_state *s) {
    const struct cut *cuts = sorted_cuts(scratch, s);
    int count = 0;
    for (int b = 0; b < s->bin_count; b++)
        count += b == 0 || cut_order(&cuts[b - 1], &cuts[b]) != 0;
    return count;
}

/// Which given pieces a type stands for, handed out in order of index.
struct supply {
    const struct weighed *sorted;
    int *at;   ///< a type: place in sorted
    int *left; ///< a place in sorted
};

static int hand_out(struct supply *s, int type) {
    while (s->left[s->at[type]] == 0)
        s->at[type]++;
    s->left[s->at[type]]--;
    return s->sorted[s->at[type]].index;
}

static bool cut_alike(const struct kw_stick_pattern *a, const struct kw_stick_pattern *b) {
    return a->stock == b->stock && a->piece_count == b->piece_count &&
           memcmp(a->pieces, b->pieces, sizeof *a->pieces * (size_t)a->piece_count) == 0;
}

static double leftover_of(const struct kw_stick_pattern *p, const struct kw_stick_stock *stocks,
                          const struct kw_stick_piece *pieces, const struct kw_stick_options *o) {
    int64_t left = whole(stocks[p->stock].length) - whole(o->trim);
    for (int i = 0; i < p->piece_count; i++)
        left -= whole(pieces[p->pieces[i]].length) + whole(o->kerf);
    return left > 0 ? (double)left * unit : 0;
}

static void write_patterns(struct kw_arena *a, struct kw_arena *scratch,
                           const struct stick_state *s, struct supply *supply,
                           struct kw_stick_plan *plan) {
    struct cut *cuts = sorted_cuts(scratch, s);
    for (int b = 0; b < s->bin_count; b++) {
        struct kw_stick_pattern p = {cuts[b].stock, 1, NULL, cuts[b].count, 0};
        p.pieces = KW_NEW_ARRAY(a, int, p.piece_count);
        for (int i = 0; i < p.piece_count; i++)
            p.pieces[i] = hand_out(supply, cuts[b].types[i]);
        struct kw_stick_pattern *last =
            plan->pattern_count > 0 ? &plan->patterns[plan->pattern_count - 1] : NULL;
        if (last && cut_alike(last, &p))
            last->times++;
        else
            KW_PUSH(a, plan->patterns, plan->pattern_count) = p;
    }
    plan->sticks = s->bin_count;
}

static void count_unplaced(struct supply *supply, int piece_count, struct kw_stick_plan *plan) {
    for (int i = 0; i < piece_count; i++) {
        plan->unplaced[supply->sorted[i].index] = supply->left[i];
        plan->unplaced_count += supply->left[i];
    }
}

/// Seconds the integer program may still take: all of them where there is no clock.
static double seconds_left(const struct kw_stick_options *o, double begun) {
    if (!o->watch || !o->watch->now) return o->program_seconds;
    return fmax(0.1, o->program_seconds - (o->watch->now(o->watch->user) - begun));
}

/// Whether lengths come often enough that sticks can be cut alike.
static bool repeats(const struct stick_model *m) {
    return m->total >= 3 * m->types;
}

/// Linear program, roundings of it, integer program. True when `s` is proven; lifts the bound.
static bool solve_by_programs(struct kw_arena *scratch, const struct stick_model *m,
                              const struct kw_stick_options *o, struct stick_state *s,
                              int64_t *bound, long steps) {
    struct stick_master p;
    bool proven = false;
    double begun = o->watch && o->watch->now ? o->watch->now(o->watch->user) : 0;
    int nodes = (int)fmin((double)steps / STEPS_A_NODE + 1, MOST_NODES);
    uint64_t random = o->seed;
    if (stick_master_open(scratch, m, s, &p, o->watch)) {
        int64_t by_values = (int64_t)ceil(p.bound - 1e-9 * (1 + p.bound)) * m->price_step;
        if (by_values > *bound) *bound = by_values;
        for (long i = 0; i <= steps / STEPS_A_DIVE; i++) {
            // A plan that can't be cheaper may still need fewer patterns.
            bool enough = s->cost <= *bound && i >= (repeats(m) ? PATTERN_DIVES : 0);
            if (enough || kw_watch_stopped(o->watch)) break;
            kw_watch_progress(o->watch, "sticks", (double)i * STEPS_A_DIVE / (double)steps);
            stick_dive(scratch, &p, s, DIVE_ROUNDS, &random, o->watch);
        }
        proven = s->cost <= *bound;
        if (!proven && !kw_watch_stopped(o->watch) &&
            !stick_choose(scratch, &p, s, nodes, seconds_left(o, begun), &proven))
            stick_flow(scratch, &p, s, nodes, seconds_left(o, begun), &proven);
    }
    stick_master_close(&p);
    return proven;
}

static void solve(struct kw_arena *scratch, const struct stick_model *m,
                  const struct kw_stick_options *o, struct stick_state *s, int64_t *bound,
                  struct kw_stick_plan *plan) {
    long steps = o->steps < 1 ? DEFAULT_STEPS : o->steps;
    *bound = stick_bound(scratch, m);
    stick_state_init(scratch, m, s);
    stick_construct(scratch, s);
    bool all = stick_exact(scratch, s, *bound, steps, o->watch, &plan->stopped);
    if (!all && !plan->stopped)
        stick_improve(scratch, s, *bound, steps / STEPS_A_ROUND, o->seed, o->watch, &plan->stopped);
    if (all) *bound = s->cost;
    bool more = !all && s->cost > *bound;
    if (s->out_count == 0 && !plan->stopped && (more || repeats(m)))
        all = solve_by_programs(scratch, m, o, s, bound, steps) || all;
    plan->stopped = plan->stopped || (!all && kw_watch_stopped(o->watch));
    // Where the stock ran out, the bound for all pieces says nothing of the plan's cost.
    if (all)
        *bound = s->cost;
    else if (s->out_count > 0)
        *bound = 0;
    bool whole_order = all || s->out_count == 0;
    plan->proven = s->cost == *bound && whole_order;
    if (plan->stopped || (m->total > FEW_PIECES && m->keep == 0 && !repeats(m))) return;
    bool seen_all = stick_goals(scratch, s, steps / STEPS_A_GOAL, o->seed, o->watch);
    plan->proven = s->cost == *bound && whole_order; // a cheaper one may have turned up
    plan->goals_proven = seen_all && plan->proven;
}

enum kw_status kw_stick_plan(struct kw_arena *a, const struct kw_stick_stock *stocks,
                             int stock_count, const struct kw_stick_piece *pieces, int piece_count,
                             const struct kw_stick_options *options, struct kw_stick_plan *plan,
                             struct kw_error *err) {
    *plan = (struct kw_stick_plan){0};
    enum kw_status st = check_input(stocks, stock_count, pieces, piece_count, options, err);
    if (st != KW_OK) return st;
    struct kw_arena scratch = {0};
    struct weighed *sorted = KW_NEW_ARRAY(&scratch, struct weighed, piece_count);
    for (int i = 0; i < piece_count; i++)
        sorted[i] = (struct weighed){whole(pieces[i].length) + whole(options->kerf), i};
    if (piece_count > 1) qsort(sorted, (size_t)piece_count, sizeof *sorted, heavier_first);

    struct stick_model m = {0};
    int *type = KW_NEW_ARRAY(&scratch, int, piece_count);
    model_stocks(&scratch, stocks, stock_count, options, &m);
    for (int j = 0; j < stock_count; j++)
        m.have[j] = stocks[j].count;
    model_types(&scratch, sorted, piece_count, pieces, &m, type);
    scale_down(&m);
    finish_model(stocks, &m);

    struct stick_state s;
    int64_t bound;
    solve(&scratch, &m, options, &s, &bound, plan);

    struct supply supply = {.sorted = sorted};
    supply.left = KW_NEW_ARRAY(&scratch, int, piece_count);
    supply.at = KW_NEW_ARRAY(&scratch, int, m.types);
    for (int i = piece_count - 1; i >= 0; i--) {
        supply.left[i] = pieces[sorted[i].index].count;
        if (type[i] >= 0) supply.at[type[i]] = i;
    }
    plan->unplaced = KW_NEW_ARRAY(a, int, piece_count);
    write_patterns(a, &scratch, &s, &supply, plan);
    count_unplaced(&supply, piece_count, plan);
    for (int i = 0; i < plan->pattern_count; i++) {
        struct kw_stick_pattern *p = &plan->patterns[i];
        p->leftover = leftover_of(p, stocks, pieces, options);
        if (m.keep == 0 || whole(p->leftover) < m.keep) continue;
        plan->kept_worth += p->times * p->leftover * m.keep_rate[p->stock];
    }
    plan->cost = (double)s.cost * money_unit;
    plan->lower_bound = (double)bound * money_unit;
    kw_arena_free(&scratch);
    return KW_OK;
}
