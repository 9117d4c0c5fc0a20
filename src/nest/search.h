// SPDX-License-Identifier: Apache-2.0
// Private to nest: which piece goes on which sheet.
#pragma once

#include "nest/fill.h"

#define STEP_WORK 64 // elementary tests in a step

/// What a plan is worth. Compared in this order.
struct score {
    double missing; ///< bulk of the copies without a sheet, mm2: less is better
    double value;   ///< of the sheets: less is better
    double drops;   ///< more is better, see score_of
};

/// All sheets, and what found none.
struct plan {
    struct bin *bins;
    int count, room;
    int *missing; ///< copies by part
    struct score score;
};

/// The first full nest, and then the best within the budget. KW_STOPPED when the watch said so.
enum kw_status search_nest(struct world *w, struct plan *best, enum kw_nest_stop *why);
/// No nest of these copies (by part) can have a lower value.
double value_bound(const struct world *w, const struct plan *p);
