// SPDX-License-Identifier: Apache-2.0
// One value of a form: its bounds and how they are said. Private to form.
#pragma once

#include "form/form.h"

#define KW_MOST_TEXT    200 ///< bytes of a text or label
#define KW_MOST_NAME    40  ///< characters of a name
#define KW_MOST_COUNT   1000000
#define KW_NAME_PATTERN "^[A-Za-z0-9][A-Za-z0-9_-]{0,39}$"
#define KW_DATE_PATTERN "^(19|[2-9][0-9])[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"

/// All forms that a form needs, itself first, in the order in which they are met.
struct kw_forms {
    const struct kw_form *v[64];
    int count;
};
void kw_forms_collect(struct kw_forms *all, const struct kw_form *form);

struct kw_bounds {
    double min, max; ///< house unit
    bool above_min;
};
struct kw_bounds kw_field_bounds(const struct kw_field *field);

/// The unit in which a bound is said: the one that a bare number has.
struct kw_spoken_unit {
    const char *name; ///< "" for none
    double house;     ///< house units in one
};
struct kw_spoken_unit kw_spoken_unit(enum kw_dimension dim, enum kw_length_unit units);

/// "from 0 in to 120 in", "above 0 deg and at most 180 deg".
#define KW_BOUNDS_SIZE 96
char *kw_bounds_text(char buf[static KW_BOUNDS_SIZE], struct kw_bounds b, enum kw_dimension dim,
                     enum kw_length_unit units);
const char *kw_article(const char *noun); ///< "a ", "an ", or "" before money

/// Reads one scalar of `field` (all kinds but forms, lists and custom) into `out`.
enum kw_status kw_read_value(struct kw_reader *r, const struct kw_node *node,
                             const struct kw_field *field, void *out, struct kw_error *err);
