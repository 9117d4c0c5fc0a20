// SPDX-License-Identifier: Apache-2.0
// Shared by the carton tests.
#pragma once

#include "carton/carton.h"

#include <criterion/criterion.h>
#include <math.h>

#define IN   25.4
#define LB   0.45359237
#define HERE ((struct kw_place){"kit", 1, 1})
/// mm3 a kg for a divisor in cubic inches a pound.
#define DIVISOR(in3_per_lb) ((in3_per_lb)*IN * IN * IN / LB)

#define LENGTH(a) ((int)(sizeof(a) / sizeof *(a)))
/// Plans and checks; the plan lives in the arena.
#define PLAN(arena, boxes, kinds, rules)                                                           \
    planned((arena), (boxes), LENGTH(boxes), (kinds), LENGTH(kinds), (rules))

static inline struct kw_carton_plan planned(struct kw_arena *a, const struct kw_carton_box *boxes,
                                            int box_count, const struct kw_carton_kind *kinds,
                                            int kind_count, const struct kw_carton_rules *rules) {
    struct kw_carton_plan plan;
    struct kw_error err = {0};
    cr_assert_eq(kw_carton_plan(a, boxes, box_count, kinds, kind_count, rules, HERE, &plan, &err),
                 KW_OK, "%s", err.text);
    cr_assert_eq(kw_carton_check(&plan, boxes, box_count, kinds, kind_count, rules, &err), KW_OK,
                 "%s", err.text);
    return plan;
}

static inline struct kw_carton_kind carton_of(double l, double w, double h) {
    return (struct kw_carton_kind){.inside = {l, w, h}, .count = -1};
}
