// SPDX-License-Identifier: Apache-2.0
// From fractions to a plan: the columns used once or more are taken whole, else one of those
// nearest to whole, drawn at random; the rest is priced again, and so on. The last pieces, where
// rounding loses most, are packed by branch and bound.
#include "stick/inside.h"

#include <coin/Clp_C_Interface.h>
#include <math.h>
#include <string.h>

enum { LAST_PIECES = 24, LAST_NODES = 20000 };
static const double NEAR = 0.6; // of the largest fraction

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

/// Takes all whole parts, or else one of the columns with a large fraction. False for nothing.
static bool take_some(struct stick_master *p, struct dive *d, uint64_t *random) {
    const double *x = Clp_primalColumnSolution(p->lp);
    bool any = false;
    double most = 0;
    int pick = -1, candidates = 0;
    for (int i = 0; i < p->column_count; i++) {
        for (int n = (int)floor(x[i] + 1e-6); n > 0; n--)
            any = take(d, p->columns[i]) || any;
        most = fmax(most, x[i]);
    }
    if (any) return true;
    for (int i = 0; i < p->column_count; i++) {
        if (x[i] < 1e-6 || x[i] < NEAR * most) continue;
        if (kw_random(random) % (uint64_t)++candidates == 0) pick = i;
    }
    return pick >= 0 && take(d, p->columns[pick]);
}

/// What is left of the question, and its sticks as further columns.
static void pack_last(struct kw_arena *a, const struct stick_model *m, struct dive *d,
                      const struct kw_watch *watch) {
    struct stick_model rest = *m;
    struct stick_state s;
    bool stopped = false;
    rest.demand = d->demand;
    rest.have = d->have;
    rest.total = d->wanted;
    rest.limited = true;
    stick_state_init(a, &rest, &s);
    stick_construct(a, &s);
    if (s.out_count == 0) stick_exact(a, &s, 0, LAST_NODES, watch, &stopped);
    for (int b = 0; b < s.bin_count; b++) {
        struct stick_column *c = KW_NEW(a, struct stick_column);
        stick_column_of_bin(a, &s, &s.bins[b], c);
        d->taken[d->taken_count++] = c;
    }
}

void stick_dive(struct kw_arena *scratch, struct stick_master *p, struct stick_state *s, int rounds,
                uint64_t *random, const struct kw_watch *watch) {
    const struct stick_model *m = p->m;
    struct dive d = {.wanted = m->total};
    d.demand = KW_NEW_ARRAY(scratch, int, m->types);
    d.have = KW_NEW_ARRAY(scratch, int, m->stocks);
    d.taken = KW_NEW_ARRAY(scratch, const struct stick_column *, m->total);
    memcpy(d.demand, m->demand, sizeof *d.demand * (size_t)m->types);
    memcpy(d.have, m->have, sizeof *d.have * (size_t)m->stocks);
    while (d.wanted > LAST_PIECES && !kw_watch_stopped(watch)) {
        if (!take_some(p, &d, random)) break;
        if (d.wanted > 0) stick_master_run(scratch, p, d.demand, d.have, rounds, watch);
        if (Clp_status(p->lp) != 0) break; // the sticks ran out: what is left is filled as it goes
    }
    if (d.wanted > 0 && d.wanted <= LAST_PIECES) pack_last(scratch, m, &d, watch);
    struct stick_state made;
    stick_state_init(scratch, m, &made);
    bool all = stick_state_from(scratch, &made, d.taken, d.taken_count);
    bool as_cheap = all && made.cost == s->cost;
    if ((all && made.cost < s->cost) ||
        (as_cheap && stick_pattern_count(scratch, &made) < stick_pattern_count(scratch, s)))
        stick_state_copy(s, &made);
    stick_master_run(scratch, p, m->demand, m->have, rounds, watch);
}
