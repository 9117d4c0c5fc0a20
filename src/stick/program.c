// SPDX-License-Identifier: Apache-2.0
// One integer program handed to CBC: one thread, under a lock (its settings are global), with a
// limit of nodes, so that it ends the same each time.
#include "stick/inside.h"

#include <coin/Cbc_C_Interface.h>
#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <string.h>

static pthread_mutex_t one_at_a_time = PTHREAD_MUTEX_INITIALIZER;

void stick_open_column(struct kw_arena *a, struct stick_program *g, double cost, double upper) {
    int n = g->columns;
    KW_PUSH(a, g->cost, g->columns) = cost;
    g->columns = n;
    KW_PUSH(a, g->upper, g->columns) = upper;
    KW_PUSH(a, g->start, g->starts) = g->entries;
}

void stick_enter(struct kw_arena *a, struct stick_program *g, int row, double value) {
    int n = g->entries;
    KW_PUSH(a, g->row, g->entries) = row;
    g->entries = n;
    KW_PUSH(a, g->value, g->entries) = value;
}

static void set_up(Cbc_Model *c, int columns, int nodes, double seconds) {
    char text[40];
    for (int i = 0; i < columns; i++)
        Cbc_setInteger(c, i);
    Cbc_setLogLevel(c, 0);
    Cbc_setParameter(c, "log", "0");
    snprintf(text, sizeof text, "%d", nodes);
    Cbc_setParameter(c, "maxNodes", text);
    snprintf(text, sizeof text, "%.3f", seconds);
    Cbc_setParameter(c, "timeMode", "elapsed");
    Cbc_setParameter(c, "seconds", text);
}

static bool run(struct kw_arena *a, Cbc_Model *c, int columns, double **x) {
    Cbc_solve(c);
    const double *best = Cbc_bestSolution(c);
    if (best) {
        *x = KW_NEW_ARRAY(a, double, columns);
        memcpy(*x, best, sizeof **x * (size_t)columns);
    }
    return Cbc_isProvenOptimal(c) || Cbc_isProvenInfeasible(c) ||
           Cbc_isInitialSolveProvenPrimalInfeasible(c);
}

bool stick_solve(struct kw_arena *a, struct stick_program *g, const struct stick_model *m,
                 double least, double most, int nodes, double seconds, double **x) {
    double *lower = KW_NEW_ARRAY(a, double, g->rows), *upper = KW_NEW_ARRAY(a, double, g->rows);
    for (int t = 0; t < m->types; t++)
        lower[t] = m->demand[t], upper[t] = INFINITY;
    for (int i = m->types; g->few && i < g->rows; i++)
        lower[i] = -g->few[i];
    lower[g->rows - 1] = least;
    upper[g->rows - 1] = most;
    KW_PUSH(a, g->start, g->starts) = g->entries;
    *x = NULL;
    pthread_mutex_lock(&one_at_a_time);
    Cbc_Model *c = Cbc_newModel();
    Cbc_loadProblem(c, g->columns, g->rows, g->start, g->row, g->value, NULL, g->upper, g->cost,
                    lower, upper);
    set_up(c, g->columns, nodes, seconds);
    bool all = run(a, c, g->columns, x);
    Cbc_deleteModel(c);
    pthread_mutex_unlock(&one_at_a_time);
    return all;
}
