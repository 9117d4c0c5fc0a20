// SPDX-License-Identifier: Apache-2.0
// What no plan can go below. Give each piece any value; let V_j be the most value that one stick of
// stock j can carry (an unbounded knapsack, solved exactly): then the sticks' V must add up to all
// pieces' value, whatever the plan. Lengths themselves are one choice of values; others come from
// dual feasible functions (Fekete and Schepers 2001; Martello and Toth 1990 for the thresholds),
// used here only as a source of values: the bound is valid for any.
#include "stick/inside.h"

#include <math.h>
#include <string.h>

enum { GRID = 20000 };               // knapsack cells at most
static const double most_work = 2e8; // cell updates in all

int64_t stick_least_cost(const struct stick_model *m, const int *have, const int64_t *value,
                         int64_t demand) {
    // By price a value, cheapest first: repeated scans, as stocks are few.
    double cost = 0, left = (double)demand, last_rate = -1;
    int last = -1;
    while (left > 0) {
        int best = -1;
        double best_rate = 0;
        for (int j = 0; j < m->stocks; j++) {
            if (have[j] == 0 || value[j] <= 0) continue;
            double rate = (double)m->price[j] / (double)value[j];
            if (rate < last_rate || (rate == last_rate && j <= last)) continue;
            if (best < 0 || rate < best_rate) best = j, best_rate = rate;
        }
        if (best < 0) return INT64_MAX;
        double carried = fmin(left, (double)value[best] * have[best]);
        cost += carried * best_rate;
        left -= carried;
        last = best;
        last_rate = best_rate;
    }
    // Rounding must never lift the bound: a relative hair is taken off before rounding up.
    double steps = cost / (double)m->price_step;
    return (int64_t)ceil(steps - 1e-9 * (1 + steps)) * m->price_step;
}

/// The question on a coarser grid: weights and rooms both rounded down, so that every real pattern
/// is one here too.
struct grid {
    const struct stick_model *m;
    int64_t *weight, *value; ///< a type
    int64_t *room, *carries; ///< a stock
    int64_t *best;           ///< knapsack cells 0..most
    int64_t most;
};

static void grid_init(struct kw_arena *a, const struct stick_model *m, struct grid *g) {
    int64_t most = 0;
    for (int j = 0; j < m->stocks; j++)
        most = m->room[j] > most ? m->room[j] : most;
    int64_t cell = most / GRID + 1;
    *g = (struct grid){.m = m, .most = most / cell};
    g->weight = KW_NEW_ARRAY(a, int64_t, m->types);
    g->value = KW_NEW_ARRAY(a, int64_t, m->types);
    g->room = KW_NEW_ARRAY(a, int64_t, m->stocks);
    g->carries = KW_NEW_ARRAY(a, int64_t, m->stocks);
    g->best = KW_NEW_ARRAY(a, int64_t, g->most + 1);
    for (int i = 0; i < m->types; i++)
        g->weight[i] = m->weight[i] / cell;
    for (int j = 0; j < m->stocks; j++)
        g->room[j] = m->room[j] < 0 ? -1 : m->room[j] / cell;
}

/// best[c]: most value in c cells, any number of each type.
static void solve_knapsack(struct grid *g) {
    memset(g->best, 0, sizeof *g->best * (size_t)(g->most + 1));
    for (int i = 0; i < g->m->types; i++) {
        int64_t w = g->weight[i], v = g->value[i];
        if (v == 0) continue;
        for (int64_t c = w; c <= g->most; c++) {
            int64_t with = g->best[c - w] + v;
            if (with > g->best[c]) g->best[c] = with;
        }
    }
}

static int64_t bound_by_values(struct grid *g) {
    const struct stick_model *m = g->m;
    int64_t demand = 0;
    for (int i = 0; i < m->types; i++)
        demand += g->value[i] * m->demand[i];
    solve_knapsack(g);
    for (int j = 0; j < m->stocks; j++)
        g->carries[j] = g->room[j] < 0 ? 0 : g->best[g->room[j]];
    return stick_least_cost(m, m->have, g->carries, demand);
}

/// Pieces over C - k count whole, under k nothing, the others their weight.
static void threshold_values(struct grid *g, int64_t room, int64_t k) {
    for (int i = 0; i < g->m->types; i++) {
        int64_t w = g->weight[i];
        g->value[i] = w > room - k ? room : w < k ? 0 : w;
    }
}

/// u(k), times k C: w k where (k + 1) w / C is whole, else C floor((k + 1) w / C).
static void step_values(struct grid *g, int64_t room, int64_t k) {
    for (int i = 0; i < g->m->types; i++) {
        int64_t up = (k + 1) * g->weight[i];
        g->value[i] = up % room == 0 ? k * g->weight[i] : up / room * room;
    }
}

/// Pieces over half count what they leave in multiples of k, the others their own multiples.
static void multiple_values(struct grid *g, int64_t room, int64_t k) {
    for (int i = 0; i < g->m->types; i++) {
        int64_t w = g->weight[i];
        if (2 * w > room)
            g->value[i] = w > room ? 0 : 2 * (room / k - (room - w) / k);
        else
            g->value[i] = 2 * w == room ? room / k : 2 * (w / k);
    }
}

static int64_t larger(int64_t a, int64_t b) {
    return a > b ? a : b;
}

/// All choices of values made from one room.
static int64_t bound_from_room(struct grid *g, int64_t room, int64_t bound, double *work) {
    double one = (double)g->most * g->m->types;
    for (int64_t k = 1; k <= 12 && *work + one < most_work; k++, *work += one) {
        step_values(g, room, k);
        bound = larger(bound, bound_by_values(g));
    }
    for (int i = 0; i < g->m->types && *work + 2 * one < most_work; i++) {
        int64_t k = g->weight[i];
        if (k < 1 || 2 * k > room) continue;
        threshold_values(g, room, k);
        bound = larger(bound, bound_by_values(g));
        multiple_values(g, room, k);
        bound = larger(bound, bound_by_values(g));
        *work += 2 * one;
    }
    return bound;
}

int64_t stick_bound(struct kw_arena *scratch, const struct stick_model *m) {
    if (m->total == 0) return 0;
    int64_t all = 0;
    for (int i = 0; i < m->types; i++)
        all += m->weight[i] * m->demand[i];
    int64_t bound = stick_least_cost(m, m->have, m->room, all);
    struct grid g;
    grid_init(scratch, m, &g);
    // A type of no cells on the grid would fit without end.
    for (int i = 0; i < m->types; i++)
        if (g.weight[i] < 1) return bound;
    double work = 0;
    for (int i = 0; i < m->types; i++)
        g.value[i] = g.weight[i];
    bound = larger(bound, bound_by_values(&g));
    for (int j = 0; j < m->stocks; j++) {
        bool seen = g.room[j] < 1;
        for (int i = 0; i < j; i++)
            seen = seen || g.room[i] == g.room[j];
        if (!seen) bound = bound_from_room(&g, g.room[j], bound, &work);
    }
    return bound;
}
