// SPDX-License-Identifier: Apache-2.0
// The fill of greatest value: a bounded knapsack. Rooms of few cells are solved cell by cell;
// others by branch and bound in exact units, with the cells (weights rounded down) for a bound
// where that takes too long.
#include "stick/inside.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CELLS = 8192, COARSE = 16384, NODES = 100000 };
static const double most_took = 3e7; // entries

bool stick_pricer_init(struct kw_arena *a, const struct stick_model *m, struct stick_pricer *p) {
    int64_t most = 0;
    for (int j = 0; j < m->stocks; j++)
        if (m->have[j] != 0 && m->room[j] > most) most = m->room[j];
    int64_t cell = most <= CELLS ? 1 : most / COARSE + 1;
    *p = (struct stick_pricer){.m = m, .exact = cell == 1, .most = most / cell};
    if ((double)p->most * m->types > most_took || m->types == 0) return false;
    p->weight = KW_NEW_ARRAY(a, int64_t, m->types);
    p->room = KW_NEW_ARRAY(a, int64_t, m->stocks);
    p->best = KW_NEW_ARRAY(a, double, p->most + 1);
    p->took = KW_NEW_ARRAY(a, uint16_t, (p->most + 1) * m->types);
    for (int t = 0; t < m->types; t++)
        p->weight[t] = m->weight[t] / cell;
    for (int j = 0; j < m->stocks; j++)
        p->room[j] = m->room[j] < 0 ? -1 : m->room[j] / cell;
    return p->weight[m->types - 1] > 0;
}

static void fill_cells(struct stick_pricer *p, const double *value, const int *limit) {
    int64_t width = p->most + 1;
    memset(p->best, 0, sizeof *p->best * (size_t)width);
    for (int t = 0; t < p->m->types; t++) {
        uint16_t *took = p->took + t * width;
        memset(took, 0, sizeof *took * (size_t)width);
        int64_t w = p->weight[t];
        if (!(value[t] > 0) || limit[t] == 0) continue;
        for (int64_t c = p->most; c >= w; c--) {
            double best = p->best[c], now = value[t];
            int64_t at = c - w;
            for (int n = 1; n <= limit[t] && at >= 0; n++, at -= w, now += value[t]) {
                if (p->best[at] + now > best + 1e-12)
                    best = p->best[at] + now, took[c] = (uint16_t)n;
            }
            p->best[c] = best;
        }
    }
}

static void column_of(struct kw_arena *a, const struct stick_model *m, int stock, const int *take,
                      struct stick_column *c) {
    *c = (struct stick_column){.stock = stock};
    for (int t = 0; t < m->types; t++)
        c->pairs += take[t] > 0;
    c->type = KW_NEW_ARRAY(a, int, c->pairs);
    c->count = KW_NEW_ARRAY(a, int, c->pairs);
    for (int t = 0, k = 0; t < m->types; t++) {
        if (take[t] == 0) continue;
        c->type[k] = t;
        c->count[k++] = take[t];
    }
}

static void read_cells(const struct stick_pricer *p, int64_t room, int *take) {
    for (int t = p->m->types - 1; t >= 0; t--) {
        take[t] = p->took[t * (p->most + 1) + room];
        room -= take[t] * p->weight[t];
    }
}

// ------------------------------------------------------------------------------ branch and bound

/// Types by value a length, best first.
struct rated {
    double rate, value;
    int64_t weight;
    int type, limit;
};

static int better_rate(const void *a, const void *b) {
    const struct rated *x = a, *y = b;
    if (x->rate != y->rate) return x->rate > y->rate ? -1 : 1;
    return x->type < y->type ? -1 : x->type > y->type;
}

struct digger {
    const struct rated *v;
    int count;
    int *now, *take; ///< a place in v, a type
    double best;
    long nodes;
};

static void dig(struct digger *d, int from, int64_t room, double value) {
    if (value > d->best + 1e-12) {
        d->best = value;
        for (int i = 0; i < d->count; i++)
            d->take[d->v[i].type] = d->now[i];
    }
    for (int i = from; i < d->count; i++) {
        if (value + (double)room * d->v[i].rate <= d->best + 1e-12 || --d->nodes < 0) return;
        int64_t most = room / d->v[i].weight;
        if (most > d->v[i].limit) most = d->v[i].limit;
        for (int n = (int)most; n > 0; n--) {
            d->now[i] = n;
            dig(d, i + 1, room - n * d->v[i].weight, value + n * d->v[i].value);
        }
        d->now[i] = 0;
    }
}

static void price_by_branches(struct kw_arena *a, struct stick_pricer *p, const double *value,
                              const int *limit, double *carries, struct stick_column *columns) {
    const struct stick_model *m = p->m;
    struct kw_arena scratch = {0};
    struct rated *v = KW_NEW_ARRAY(&scratch, struct rated, m->types);
    struct digger d = {.v = v};
    d.now = KW_NEW_ARRAY(&scratch, int, m->types);
    d.take = KW_NEW_ARRAY(&scratch, int, m->types);
    for (int t = 0; t < m->types; t++)
        if (value[t] > 0 && limit[t] > 0)
            v[d.count++] = (struct rated){value[t] / (double)m->weight[t], value[t], m->weight[t],
                                          t, limit[t]};
    if (d.count > 1) qsort(v, (size_t)d.count, sizeof *v, better_rate);
    bool celled = false;
    for (int j = 0; j < m->stocks; j++) {
        memset(d.take, 0, sizeof *d.take * (size_t)m->types);
        memset(d.now, 0, sizeof *d.now * (size_t)m->types);
        d.best = 0;
        d.nodes = NODES;
        if (m->room[j] > 0) dig(&d, 0, m->room[j], 0);
        column_of(a, m, j, d.take, &columns[j]);
        carries[j] = d.best;
        if (d.nodes >= 0) continue;
        if (!celled) fill_cells(p, value, limit);
        celled = true;
        carries[j] = p->room[j] < 0 ? 0 : fmax(d.best, p->best[p->room[j]]);
    }
    kw_arena_free(&scratch);
}

void stick_price(struct kw_arena *a, struct stick_pricer *p, const double *value, const int *limit,
                 double *carries, struct stick_column *columns) {
    if (!p->exact) {
        price_by_branches(a, p, value, limit, carries, columns);
        return;
    }
    struct kw_arena scratch = {0};
    int *take = KW_NEW_ARRAY(&scratch, int, p->m->types);
    fill_cells(p, value, limit);
    for (int j = 0; j < p->m->stocks; j++) {
        columns[j] = (struct stick_column){.stock = j};
        int64_t room = p->room[j] < p->most ? p->room[j] : p->most; // a stock of none may be longer
        carries[j] = room < 0 ? 0 : p->best[room];
        if (room < 0) continue;
        read_cells(p, room, take);
        column_of(a, p->m, j, take, &columns[j]);
    }
    kw_arena_free(&scratch);
}
