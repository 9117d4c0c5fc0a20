// SPDX-License-Identifier: Apache-2.0
// Plain sums in a file: names of dimensions and numbers with + - * / between blanks.
#pragma once

#include "form/form.h"

/// Works out `node` in the house unit of `dim`. Numbers without a unit, and names that stand for
/// such numbers, are pure as factors and divisors, and in the file's unit as terms. KW_UNKNOWN for
/// a name that the file does not have, KW_FORMAT, KW_UNIT (a length times a length), KW_RANGE
/// (division by nothing).
enum kw_status kw_sum(struct kw_reader *r, const struct kw_node *node, enum kw_dimension dim,
                      double *out, struct kw_error *err);
