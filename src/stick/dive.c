// SPDX-License-Identifier: Apache-2.0
// From fractions to a plan: the columns used once or more are taken whole, else the one nearest to
// whole; the rest is priced again, and so on until every piece has a stick.
#include "stick/inside.h"

#include <coin/Clp_C_Interface.h>
#include <math.h>
#include <string.h>

struct dive {
    int *demand, *have, wanted;
    const struct stick_column **taken;
    int taken_count;
};

static bool take(struct dive *d, const struct stick_column *c) {
    int helps = 0;
    for (int k = 0; k < c->pairs; k++)
        helps += d->demand[c->type[k]] < c->count[k] ? d->demand[c->type[k]] : c->count[k];
    if (helps == 0 || d->have[c->stock] == 0) return false;
    for (int k = 0; k < c->pairs; k++)
        d->demand[c->type[k]] -=
            d->demand[c->type[k]] < c->count[k] ? d->demand[c->type[k]] : c->count[k];
    d->wanted -= helps;
    d->have[c->stock]--;
    d->taken[d->taken_count++] = c;
    return true;
}

/// Takes all whole parts, or else the column with the largest fraction. False for nothing.
static bool take_some(struct stick_master *p, struct dive *d) {
    const double *x = Clp_primalColumnSolution(p->lp);
    bool any = false;
    int best = -1;
    for (int i = 0; i < p->column_count; i++) {
        for (int n = (int)floor(x[i] + 1e-6); n > 0; n--)
            any = take(d, p->columns[i]) || any;
        if (best < 0 || x[i] > x[best] + 1e-9) best = i;
    }
    return any || (best >= 0 && x[best] > 1e-9 && take(d, p->columns[best]));
}

void stick_dive(struct kw_arena *scratch, struct stick_master *p, struct stick_state *s, int rounds,
                const struct kw_watch *watch) {
    const struct stick_model *m = p->m;
    struct dive d = {.wanted = m->total};
    d.demand = KW_NEW_ARRAY(scratch, int, m->types);
    d.have = KW_NEW_ARRAY(scratch, int, m->stocks);
    d.taken = KW_NEW_ARRAY(scratch, const struct stick_column *, m->total);
    memcpy(d.demand, m->demand, sizeof *d.demand * (size_t)m->types);
    memcpy(d.have, m->have, sizeof *d.have * (size_t)m->stocks);
    while (d.wanted > 0 && !kw_watch_stopped(watch)) {
        if (!take_some(p, &d)) break;
        if (d.wanted > 0) stick_master_run(scratch, p, d.demand, d.have, rounds, watch);
        if (Clp_status(p->lp) != 0) break; // the sticks ran out: what is left is filled as it goes
    }
    struct stick_state made;
    stick_state_init(scratch, m, &made);
    bool all = stick_state_from(scratch, &made, d.taken, d.taken_count);
    if (all && made.cost < s->cost) stick_state_copy(s, &made);
    stick_master_run(scratch, p, m->demand, m->have, rounds, watch);
}
