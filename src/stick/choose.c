// SPDX-License-Identifier: Apache-2.0
// The integer program over fills: every fill that loses no more against the bound's values than
// lies between bound and best plan is listed, and CBC chooses. A plan cheaper than the best one
// uses no other fill, and a fill on which a further piece would go need not be listed, as pieces
// may be carried more often than wanted. Rooms of any number of cells will do: fills are listed in
// the model's own units, and cells only bound what is still to come.
#include "stick/inside.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double most_after = 6e6; // entries
enum { MOST_LOOKS = 1000000, MOST_FILLS = 3000 };

struct listing {
    const struct stick_master *p;
    struct kw_arena *arena;
    double *after; ///< types + 1 rows of cells: most value of types t.. in so many cells
    int *now;      ///< a type
    int stock;
    double target;
    long looks;
    struct stick_column **fills;
    int count;
};

/// Most that types t.. are worth in each number of cells, weights rounded down.
static bool fill_after(struct kw_arena *a, struct listing *l) {
    const struct stick_model *m = l->p->m;
    const struct stick_pricer *r = &l->p->pricer;
    int64_t width = r->most + 1;
    if ((double)width * (m->types + 1) > most_after) return false;
    l->after = KW_NEW_ARRAY(a, double, width *(m->types + 1));
    for (int t = m->types - 1; t >= 0; t--) {
        const double *from = l->after + (t + 1) * width;
        double *to = l->after + t * width;
        for (int64_t c = 0; c < width; c++) {
            double best = from[c], now = l->p->worth[t];
            int64_t at = c - r->weight[t];
            for (int n = 1; n <= m->demand[t] && at >= 0;
                 n++, at -= r->weight[t], now += l->p->worth[t])
                best = fmax(best, from[at] + now);
            to[c] = best;
        }
    }
    return true;
}

static bool is_full(const struct listing *l, int64_t room) {
    const struct stick_model *m = l->p->m;
    for (int t = m->types - 1; t >= 0 && m->weight[t] <= room; t--)
        if (l->now[t] < m->demand[t]) return false;
    return true;
}

static void keep(struct listing *l) {
    const struct stick_model *m = l->p->m;
    struct stick_column *c = KW_NEW(l->arena, struct stick_column);
    c->stock = l->stock;
    for (int t = 0; t < m->types; t++)
        c->pairs += l->now[t] > 0;
    c->type = KW_NEW_ARRAY(l->arena, int, c->pairs);
    c->count = KW_NEW_ARRAY(l->arena, int, c->pairs);
    for (int t = 0, k = 0; t < m->types; t++)
        if (l->now[t] > 0) c->type[k] = t, c->count[k++] = l->now[t];
    KW_PUSH(l->arena, l->fills, l->count) = c;
}

static void list(struct listing *l, int from, int64_t room, double value) {
    const struct stick_model *m = l->p->m;
    int64_t most = l->p->pricer.most, room_of = l->p->pricer.room[l->stock];
    // Cells that are left: in coarse cells from what is left in real units, rounded up.
    int64_t cells = l->p->pricer.exact ? room : (room * most) / m->room[l->stock] + 2;
    if (!l->p->pricer.exact && cells > room_of) cells = room_of;
    if (value >= l->target && is_full(l, room)) keep(l);
    for (int t = from; t < m->types && l->count <= MOST_FILLS; t++) {
        if (value + l->after[t * (most + 1) + cells] < l->target || --l->looks < 0) return;
        int64_t n = room / m->weight[t];
        if (n > m->demand[t]) n = m->demand[t];
        for (; n > 0; n--) {
            l->now[t] = (int)n;
            list(l, t + 1, room - n * m->weight[t], value + (double)n * l->p->worth[t]);
        }
        l->now[t] = 0;
    }
}

/// What a stick of this stock may cost at least, with what its small number earns.
static double pays(const struct stick_master *p, int stock) {
    double cost = (double)(p->m->price[stock] / p->m->price_step);
    return p->m->have[stock] < p->m->total ? fmax(cost, p->carries[stock]) : cost;
}

/// All fills that lose at most `gap`; false when there are too many.
static bool list_fills(struct listing *l, double gap) {
    const struct stick_model *m = l->p->m;
    l->looks = MOST_LOOKS;
    for (int j = 0; j < m->stocks && l->count <= MOST_FILLS && l->looks >= 0; j++) {
        if (m->have[j] == 0 || m->room[j] <= 0) continue;
        l->stock = j;
        l->target = pays(l->p, j) - gap;
        list(l, 0, m->room[j], 0);
    }
    return l->count <= MOST_FILLS && l->looks >= 0;
}

static void write_program(struct kw_arena *a, const struct listing *l, struct stick_program *g) {
    const struct stick_model *m = l->p->m;
    g->rows = m->types + m->stocks + 1;
    double *few = KW_NEW_ARRAY(a, double, g->rows);
    for (int j = 0; j < m->stocks; j++)
        few[m->types + j] = m->have[j];
    g->few = few;
    for (int i = 0; i < l->count; i++) {
        const struct stick_column *c = l->fills[i];
        double cost = (double)(m->price[c->stock] / m->price_step);
        stick_open_column(a, g, cost, m->total);
        for (int k = 0; k < c->pairs; k++)
            stick_enter(a, g, c->type[k], c->count[k]);
        stick_enter(a, g, m->types + c->stock, -1);
        if (cost > 0) stick_enter(a, g, g->rows - 1, cost);
    }
}

static bool read_choice(struct kw_arena *scratch, const struct listing *l, const double *x,
                        struct stick_state *made) {
    const struct stick_model *m = l->p->m;
    int count = 0;
    const struct stick_column **taken =
        KW_NEW_ARRAY(scratch, const struct stick_column *, m->total);
    for (int i = 0; i < l->count; i++)
        for (long n = lround(x[i]); n > 0 && count < m->total; n--)
            taken[count++] = l->fills[i];
    return stick_state_from(scratch, made, taken, count);
}

bool stick_choose(struct kw_arena *scratch, const struct stick_master *p, struct stick_state *s,
                  int nodes, double seconds, bool *proven) {
    const struct stick_model *m = p->m;
    struct listing l = {.p = p, .arena = scratch};
    double best = (double)(s->cost / m->price_step), gap = best - 1 - p->bound;
    double least = ceil(p->bound - 1e-9 * (1 + p->bound));
    if (s->out_count > 0 || !fill_after(scratch, &l)) return false;
    l.now = KW_NEW_ARRAY(scratch, int, m->types);
    if (!list_fills(&l, gap + 1e-7 * (1 + best))) return false;
    struct stick_program g = {0};
    write_program(scratch, &l, &g);
    double *x;
    *proven = stick_solve(scratch, &g, m, least, best - 1, nodes, seconds, &x);
    if (!x) return *proven;
    struct stick_state made;
    stick_state_init(scratch, m, &made);
    if (read_choice(scratch, &l, x, &made) && made.cost < s->cost) stick_state_copy(s, &made);
    return *proven;
}
