// SPDX-License-Identifier: Apache-2.0
// Whether a stick plan is what it says: the rule of stick.h, counted anew in doubles.
#pragma once

#include "stick/stick.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

struct stick_case {
    const struct kw_stick_stock *stocks;
    int stock_count;
    const struct kw_stick_piece *pieces;
    int piece_count;
    struct kw_stick_options o;
};

/// mm that would be left after these pieces; whether that is allowed.
static inline bool stick_holds(double stick, double pieces_and_cuts,
                               const struct kw_stick_options *o) {
    double left = stick - o->trim - pieces_and_cuts;
    return left >= (o->hold > 0 ? o->hold : -o->kerf) - 1e-6;
}

static inline const char *pattern_fault(const struct stick_case *c,
                                        const struct kw_stick_pattern *p, int *placed) {
    if (p->stock < 0 || p->stock >= c->stock_count) return "a stock that is none";
    if (p->times < 1 || p->piece_count < 1) return "an empty pattern";
    double sum = 0;
    for (int i = 0; i < p->piece_count; i++) {
        if (p->pieces[i] < 0 || p->pieces[i] >= c->piece_count) return "a piece that is none";
        double length = c->pieces[p->pieces[i]].length;
        if (i > 0 && c->pieces[p->pieces[i - 1]].length < length) return "not longest first";
        sum += length + c->o.kerf;
        placed[p->pieces[i]] += p->times;
    }
    double stick = c->stocks[p->stock].length;
    if (!stick_holds(stick, sum, &c->o)) return "does not fit its stick";
    if (fabs(p->leftover - fmax(0, stick - c->o.trim - sum)) > 1e-5) return "wrong leftover";
    return NULL;
}

/// NULL when the plan is good, else what is wrong.
static inline const char *plan_fault(const struct stick_case *c, const struct kw_stick_plan *plan) {
    int *placed = calloc((size_t)c->piece_count + 1, sizeof *placed);
    int *used = calloc((size_t)c->stock_count + 1, sizeof *used);
    const char *fault = NULL;
    double cost = 0;
    bool all_free = true;
    int sticks = 0, unplaced = 0;
    for (int j = 0; j < c->stock_count; j++)
        all_free = all_free && c->stocks[j].price == 0;
    for (int i = 0; i < plan->pattern_count && !fault; i++) {
        const struct kw_stick_pattern *p = &plan->patterns[i];
        fault = pattern_fault(c, p, placed);
        if (fault) break;
        used[p->stock] += p->times;
        sticks += p->times;
        cost += p->times * (all_free ? c->stocks[p->stock].length : c->stocks[p->stock].price);
    }
    for (int i = 0; i < c->piece_count && !fault; i++) {
        if (placed[i] + plan->unplaced[i] != c->pieces[i].count) fault = "pieces lost or invented";
        unplaced += plan->unplaced[i];
    }
    for (int j = 0; j < c->stock_count && !fault; j++)
        if (c->stocks[j].count >= 0 && used[j] > c->stocks[j].count)
            fault = "more sticks than there are";
    if (!fault && sticks != plan->sticks) fault = "wrong number of sticks";
    if (!fault && unplaced != plan->unplaced_count) fault = "wrong count of unplaced";
    if (!fault && fabs(cost - plan->cost) > 1e-6 * (1 + cost)) fault = "wrong cost";
    if (!fault && !(plan->lower_bound <= plan->cost)) fault = "bound above the cost";
    if (!fault && plan->proven && plan->lower_bound != plan->cost) fault = "proven without a bound";
    free(placed);
    free(used);
    return fault;
}

/// The plan, which is what it says.
static inline struct kw_stick_plan plan_of(struct kw_arena *a, const struct stick_case *c) {
    struct kw_stick_plan plan;
    struct kw_error err = {0};
    cr_assert_eq(
        kw_stick_plan(a, c->stocks, c->stock_count, c->pieces, c->piece_count, &c->o, &plan, &err),
        KW_OK, "%s", err.text);
    const char *fault = plan_fault(c, &plan);
    cr_expect_null(fault, "%s", fault ? fault : "");
    return plan;
}
