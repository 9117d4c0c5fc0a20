// SPDX-License-Identifier: Apache-2.0
// Column generation (Gilmore and Gomory 1961): the linear program over fills, its row values price
// the next fills. Whatever the values, the bound drawn from them is valid by itself: values of
// pieces are scaled until no stick carries more than it costs (Farley 1990), and a stock of which
// there are few may carry more, at the loss of that times the number of them.
#include "stick/inside.h"

#include <coin/Clp_C_Interface.h>
#include <float.h>
#include <math.h>
#include <string.h>

enum { MOST_TYPES = 1000, MOST_STOCKS = 64, MOST_TOTAL = 20000, FIRST_ROUNDS = 2000 };

static bool is_few(const struct stick_model *m, int stock) {
    return m->have[stock] < m->total;
}

static double cost_of(const struct stick_model *m, int stock) {
    return (double)(m->price[stock] / m->price_step);
}

static void set_rows(struct stick_master *p, const int *demand, const int *have) {
    const struct stick_model *m = p->m;
    double *lower = Clp_rowLower(p->lp);
    for (int t = 0; t < m->types; t++)
        lower[t] = demand[t];
    for (int j = 0; j < m->stocks; j++)
        lower[m->types + j] = -(double)have[j];
    Clp_chgRowLower(p->lp, lower);
}

static void add_column(struct kw_arena *a, struct stick_master *p, const struct stick_column *c) {
    struct stick_column *own = KW_NEW(a, struct stick_column);
    *own = *c;
    KW_PUSH(a, p->columns, p->column_count) = own;
    struct kw_arena scratch = {0};
    int *rows = KW_NEW_ARRAY(&scratch, int, c->pairs + 1);
    double *counts = KW_NEW_ARRAY(&scratch, double, c->pairs + 1);
    for (int k = 0; k < c->pairs; k++) {
        rows[k] = c->type[k];
        counts[k] = c->count[k];
    }
    rows[c->pairs] = p->m->types + c->stock;
    counts[c->pairs] = -1;
    double zero = 0, endless = DBL_MAX, cost = cost_of(p->m, c->stock);
    int starts[2] = {0, c->pairs + 1};
    Clp_addColumns(p->lp, 1, &zero, &endless, &cost, starts, rows, counts);
    kw_arena_free(&scratch);
}

// Pieces of a bin stand in any order.
void stick_column_of_bin(struct kw_arena *a, const struct stick_state *s,
                         const struct stick_bin *bin, struct stick_column *c) {
    *c = (struct stick_column){.stock = bin->stock};
    int *count = KW_NEW_ARRAY(a, int, s->m->types);
    for (int i = bin->first; i >= 0; i = s->next[i])
        c->pairs += count[s->type_of[i]]++ == 0;
    c->type = KW_NEW_ARRAY(a, int, c->pairs);
    c->count = KW_NEW_ARRAY(a, int, c->pairs);
    for (int t = 0, k = 0; t < s->m->types; t++) {
        if (count[t] == 0) continue;
        c->type[k] = t;
        c->count[k++] = count[t];
    }
}

bool stick_master_open(struct kw_arena *a, const struct stick_model *m, const struct stick_state *s,
                       struct stick_master *p, const struct kw_watch *watch) {
    *p = (struct stick_master){.m = m};
    if (m->types > MOST_TYPES || m->stocks > MOST_STOCKS || m->total > MOST_TOTAL) return false;
    if (!stick_pricer_init(a, m, &p->pricer)) return false;
    p->worth = KW_NEW_ARRAY(a, double, m->types);
    p->carries = KW_NEW_ARRAY(a, double, m->stocks);
    p->lp = Clp_newModel();
    Clp_setLogLevel(p->lp, 0);
    int rows = m->types + m->stocks;
    double *lower = KW_NEW_ARRAY(a, double, rows), *upper = KW_NEW_ARRAY(a, double, rows);
    for (int i = 0; i < rows; i++)
        upper[i] = DBL_MAX;
    Clp_resize(p->lp, 0, 0);
    int none = 0;
    double nothing = 0;
    int *starts = KW_NEW_ARRAY(a, int, rows + 1);
    Clp_addRows(p->lp, rows, lower, upper, starts, &none, &nothing);
    for (int b = 0; b < s->bin_count; b++) {
        struct stick_column c;
        stick_column_of_bin(a, s, &s->bins[b], &c);
        add_column(a, p, &c);
    }
    stick_master_run(a, p, m->demand, m->have, FIRST_ROUNDS, watch);
    return true;
}

/// The bound that these values prove, fractional, in price steps; `scale` makes them prove it.
static double proven_by(const struct stick_model *m, const double *worth, const double *carries,
                        double *scale) {
    *scale = 1;
    for (int j = 0; j < m->stocks; j++)
        if (!is_few(m, j) && carries[j] > cost_of(m, j))
            *scale = fmin(*scale, cost_of(m, j) / carries[j]);
    double bound = 0;
    for (int t = 0; t < m->types; t++)
        bound += *scale * worth[t] * m->demand[t];
    for (int j = 0; j < m->stocks; j++)
        if (is_few(m, j)) bound += m->have[j] * fmin(0, cost_of(m, j) - *scale * carries[j]);
    return bound;
}

static void keep_bound(struct stick_master *p, const double *worth, const double *carries) {
    double scale, bound = proven_by(p->m, worth, carries, &scale);
    if (!(bound > p->bound)) return;
    p->bound = bound;
    for (int t = 0; t < p->m->types; t++)
        p->worth[t] = scale * worth[t];
    for (int j = 0; j < p->m->stocks; j++)
        p->carries[j] = scale * carries[j];
}

void stick_master_run(struct kw_arena *a, struct stick_master *p, const int *demand,
                      const int *have, int rounds, const struct kw_watch *watch) {
    const struct stick_model *m = p->m;
    double *worth = KW_NEW_ARRAY(a, double, m->types);
    double *carries = KW_NEW_ARRAY(a, double, m->stocks);
    struct stick_column *fresh = KW_NEW_ARRAY(a, struct stick_column, m->stocks);
    bool whole = memcmp(demand, m->demand, sizeof *demand * (size_t)m->types) == 0;
    set_rows(p, demand, have);
    for (int i = 0;; i++) {
        if (i == 0 && !whole) Clp_dual(p->lp, 0);
        Clp_primal(p->lp, 0);
        p->value = Clp_objectiveValue(p->lp);
        if (i == rounds || Clp_status(p->lp) != 0 || kw_watch_stopped(watch)) return;
        const double *row = Clp_dualRowSolution(p->lp);
        for (int t = 0; t < m->types; t++)
            worth[t] = fmax(0, row[t]);
        stick_price(a, &p->pricer, worth, demand, carries, fresh);
        if (whole) keep_bound(p, worth, carries);
        bool added = false;
        for (int j = 0; j < m->stocks; j++) {
            double pays = cost_of(m, j) + fmax(0, row[m->types + j]);
            if (have[j] == 0 || fresh[j].pairs == 0 || carries[j] <= pays * (1 + 1e-9) + 1e-9)
                continue;
            added = true;
            add_column(a, p, &fresh[j]);
        }
        if (!added) return;
    }
}

void stick_master_close(struct stick_master *p) {
    if (p->lp) Clp_deleteModel(p->lp);
    p->lp = NULL;
}
