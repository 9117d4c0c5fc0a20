// SPDX-License-Identifier: Apache-2.0
// What is left between the bound and the best plan, as one integer program (arc flow, Valerio de
// Carvalho 1999): a stick is a way from place 0 through the places where pieces end, longest pieces
// first. A plan cheaper than the best one uses no way whose loss against the bound's values is more
// than what lies between bound and best plan, so arcs that are on no better way are left out: most
// of them.
#include "stick/inside.h"

#include <math.h>
#include <string.h>

// What CBC takes in seconds: with 4,500 places its first relaxation alone took 9 s, and it asks no
// clock in there.
enum { MOST_ARCS = 25000, MOST_PLACES = 2500 };

struct arc {
    int from, type; ///< type -1: the end of a stick at `from`, or -2 - j: a stick of stock j
    int to;
};

struct flow {
    const struct stick_model *m;
    const double *worth;
    int places;          ///< 0 .. places - 1
    double *loss_at_end; ///< a place: what a stick that ends here costs at least, less what limited
                         ///< stocks earn
    struct arc *arcs;
    int arc_count;
    int *stocks; ///< by room, rising
    int stock_count;
    int *first_end; ///< a place: first of `stocks` that holds it
};

// ------------------------------------------------------------------------------ arcs worth keeping

/// Stocks by room, and at each place the least that a stick ending there costs.
static void end_costs(struct kw_arena *a, struct flow *f, const double *carries) {
    const struct stick_model *m = f->m;
    f->stocks = KW_NEW_ARRAY(a, int, m->stocks);
    f->loss_at_end = KW_NEW_ARRAY(a, double, f->places);
    f->first_end = KW_NEW_ARRAY(a, int, f->places);
    for (int j = 0; j < m->stocks; j++) {
        if (m->have[j] == 0 || m->room[j] <= 0) continue;
        int at = f->stock_count++;
        while (at > 0 && m->room[f->stocks[at - 1]] > m->room[j])
            f->stocks[at] = f->stocks[at - 1], at--;
        f->stocks[at] = j;
    }
    int k = f->stock_count - 1;
    double least = INFINITY;
    for (int p = f->places - 1; p >= 0; p--) {
        for (; k >= 0 && m->room[f->stocks[k]] >= p; k--) {
            int j = f->stocks[k];
            double cost = (double)(m->price[j] / m->price_step);
            if (m->have[j] < m->total && carries[j] > cost) cost = carries[j];
            least = fmin(least, cost);
        }
        f->loss_at_end[p] = least;
        f->first_end[p] = k + 1;
    }
}

/// worst[p] = max over n <= most of from[p - n w] + n v (forward), or of from[p + n w] + n v.
static void add_type(const double *from, double *to, int places, int64_t w, double v, int most,
                     int way) {
    for (int p = 0; p < places; p++) {
        double best = from[p], now = v;
        int64_t at = p - way * w;
        for (int n = 1; n <= most && at >= 0 && at < places; n++, at -= way * w, now += v)
            if (from[at] + now > best) best = from[at] + now;
        to[p] = best;
    }
}

/// Keeps each arc that lies on a way which loses no more than `gap`. Types are taken in order, so
/// what comes before an arc is of earlier types (or its own), what follows of later ones.
static bool keep_arcs(struct kw_arena *a, struct flow *f, double gap) {
    const struct stick_model *m = f->m;
    struct kw_arena scratch = {0};
    size_t width = (size_t)f->places;
    double *after = KW_NEW_ARRAY(&scratch, double, width *(size_t)(m->types + 1));
    double *before = KW_NEW_ARRAY(&scratch, double, width);
    double *with = KW_NEW_ARRAY(&scratch, double, width);
    double *rest = KW_NEW_ARRAY(&scratch, double, width);
    for (int p = 0; p < f->places; p++) {
        after[width * (size_t)m->types + (size_t)p] = -f->loss_at_end[p];
        before[p] = p == 0 ? 0 : -INFINITY;
    }
    for (int t = m->types - 1; t >= 0; t--)
        add_type(after + width * (size_t)(t + 1), after + width * (size_t)t, f->places,
                 m->weight[t], f->worth[t], m->demand[t], -1);
    for (int t = 0; t < m->types && f->arc_count <= MOST_ARCS; t++) {
        add_type(before, with, f->places, m->weight[t], f->worth[t], m->demand[t] - 1, 1);
        add_type(after + width * (size_t)(t + 1), rest, f->places, m->weight[t], f->worth[t],
                 m->demand[t] - 1, -1);
        for (int64_t p = 0; p + m->weight[t] < f->places; p++) {
            double best = with[p] + f->worth[t] + rest[p + m->weight[t]];
            if (best < -gap) continue;
            KW_PUSH(a, f->arcs, f->arc_count) = (struct arc){(int)p, t, (int)(p + m->weight[t])};
        }
        add_type(before, with, f->places, m->weight[t], f->worth[t], m->demand[t], 1);
        double *swap = before;
        before = with;
        with = swap;
    }
    kw_arena_free(&scratch);
    return f->arc_count <= MOST_ARCS;
}

// --------------------------------------------------------------------------- the integer program
// Rows: one a type (>= demand), one a place that arcs touch (what comes in less what goes out, =
// 0), one a stock by room (ends that come here and longer rests that come down, = sticks), one for
// the cost. Columns: arcs, ends of a stick at a place, sticks of a stock taken for a shorter end,
// sticks.

static int number_rows(const struct flow *f, int *row_of_place) {
    for (int i = 0; i < f->arc_count; i++)
        row_of_place[f->arcs[i].from] = row_of_place[f->arcs[i].to] = 1;
    int rows = f->m->types;
    for (int p = 0; p < f->places; p++)
        row_of_place[p] = row_of_place[p] && p > 0 ? rows++ : -1;
    return rows;
}

static void write_program(struct kw_arena *a, struct flow *f, struct stick_program *g) {
    const struct stick_model *m = f->m;
    int *row_of_place = KW_NEW_ARRAY(a, int, f->places);
    int ends = number_rows(f, row_of_place), arcs = f->arc_count;
    int cost_row = ends + f->stock_count;
    g->rows = cost_row + 1;
    for (int i = 0; i < arcs; i++) {
        const struct arc *c = &f->arcs[i];
        stick_open_column(a, g, 0, m->demand[c->type]);
        stick_enter(a, g, c->type, 1);
        if (c->from > 0) stick_enter(a, g, row_of_place[c->from], -1);
        stick_enter(a, g, row_of_place[c->to], 1);
    }
    for (int p = 1; p < f->places; p++) {
        if (row_of_place[p] < 0) continue;
        stick_open_column(a, g, 0, m->total);
        stick_enter(a, g, row_of_place[p], -1);
        stick_enter(a, g, ends + f->first_end[p], 1);
    }
    for (int k = 0; k + 1 < f->stock_count; k++) {
        stick_open_column(a, g, 0, m->total);
        stick_enter(a, g, ends + k, -1);
        stick_enter(a, g, ends + k + 1, 1);
    }
    for (int k = 0; k < f->stock_count; k++) {
        int j = f->stocks[k];
        double cost = (double)(m->price[j] / m->price_step);
        stick_open_column(a, g, cost, m->have[j]);
        stick_enter(a, g, ends + k, -1);
        if (cost > 0) stick_enter(a, g, cost_row, cost);
    }
}

/// The sticks of a solution: ways are followed from place 0, an arc at a time.
static bool read_flow(struct kw_arena *scratch, const struct flow *f, const double *x,
                      struct stick_state *s) {
    const struct stick_model *m = f->m;
    int *left = KW_NEW_ARRAY(scratch, int, f->arc_count);
    int *next = KW_NEW_ARRAY(scratch, int, f->arc_count);
    int *first = KW_NEW_ARRAY(scratch, int, f->places);
    for (int p = 0; p < f->places; p++)
        first[p] = -1;
    for (int i = f->arc_count - 1; i >= 0; i--) {
        left[i] = (int)lround(x[i]);
        next[i] = first[f->arcs[i].from];
        first[f->arcs[i].from] = i;
    }
    const struct stick_column **columns =
        KW_NEW_ARRAY(scratch, const struct stick_column *, m->total);
    int count = 0;
    for (;;) {
        int *take = KW_NEW_ARRAY(scratch, int, m->types), place = 0;
        for (int i = first[0]; i >= 0;) {
            if (left[i] == 0) {
                i = next[i];
                continue;
            }
            left[i]--;
            take[f->arcs[i].type]++;
            place = f->arcs[i].to;
            i = first[place];
        }
        if (place == 0 || count == m->total) break;
        struct stick_column *c = KW_NEW(scratch, struct stick_column);
        c->type = KW_NEW_ARRAY(scratch, int, m->types);
        c->count = KW_NEW_ARRAY(scratch, int, m->types);
        for (int t = 0; t < m->types; t++)
            if (take[t] > 0) c->type[c->pairs] = t, c->count[c->pairs++] = take[t];
        columns[count++] = c;
    }
    return stick_state_from(scratch, s, columns, count);
}

bool stick_flow(struct kw_arena *scratch, const struct stick_master *p, struct stick_state *s,
                int nodes, double seconds, bool *proven) {
    const struct stick_model *m = p->m;
    if (!p->pricer.exact || p->pricer.most >= MOST_PLACES || s->out_count > 0) return false;
    struct flow f = {.m = m, .worth = p->worth, .places = (int)p->pricer.most + 1};
    double best = (double)(s->cost / m->price_step), gap = best - 1 - p->bound;
    double least = ceil(p->bound - 1e-9 * (1 + p->bound));
    end_costs(scratch, &f, p->carries);
    if (!keep_arcs(scratch, &f, gap + 1e-7 * (1 + best))) return false;
    struct stick_program g = {0};
    write_program(scratch, &f, &g);
    double *x;
    *proven = stick_solve(scratch, &g, m, least, best - 1, nodes, seconds, &x);
    if (!x) return true;
    struct stick_state made;
    stick_state_init(scratch, m, &made);
    if (read_flow(scratch, &f, x, &made) && made.cost < s->cost) stick_state_copy(s, &made);
    return true;
}
