// SPDX-License-Identifier: Apache-2.0
// Private to nest: which piece goes on which sheet.
#pragma once

#include "nest/fill.h"

#define STEP_WORK 64 // elementary tests in a step

/// What a plan is worth. Compared in this order.
struct score {
    double missing; ///< bulk of the copies without a sheet, mm2: less is better
    double value;   ///< of the sheets, and what their programs cost: less is better
    double drops;   ///< more is better, see score_of
};

/// All sheets, and what found none.
struct plan {
    struct bin *bins;
    int count, room;
    int *missing; ///< copies by part
    struct score score;
};

// plan.c
bool score_differ(double a, double b); ///< by more than the rounding of sums in another order
bool score_better(struct score a, struct score b);
struct score score_of(const struct world *w, const struct plan *p);
double program_cost(const struct world *w, const struct bin *b);
double sheet_drops(const struct world *w, const struct bin *b); ///< a sheet's share of the score
struct bin *plan_add(struct world *w, struct plan *p);
void plan_copy(struct world *w, struct plan *to, const struct plan *from);
void plan_drop_empty(struct plan *p); ///< takes out bins cut 0 times
int sheets_of_kind(const struct plan *p, int kind);

/// A full nest by a policy (first.c). False, and of no use, when `late` said so on the way.
bool first_nest(struct world *w, struct plan *p, struct policy policy,
                bool (*late)(const struct world *w));

/// Area of a kind within its margins.
double usable_area(const struct world *w, int kind);

/// The standing layouts of the call as bins, with their kind; those that do not suit have no
/// pieces.
struct bin *standing_bins(struct world *w);

/// The first full nest, and then the best within the budget. KW_STOPPED when the watch said so.
enum kw_status search_nest(struct world *w, struct plan *best, enum kw_nest_stop *why);
/// No nest of these copies (by part) can have a lower value.
double value_bound(const struct world *w, const struct plan *p);
