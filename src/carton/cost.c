// SPDX-License-Identifier: Apache-2.0
// What the carrier measures and bills.
#include "carton/inside.h"

#include <math.h>

static const struct {
    const char *name, *unit;
} problems[] = {
#define X(name, id, unit) {id, unit},
    KW_CARTON_PROBLEM_LIST(X)
#undef X
};

const char *kw_carton_problem_name(enum kw_carton_problem_kind kind) {
    return problems[kind].name;
}
const char *kw_carton_problem_unit(enum kw_carton_problem_kind kind) {
    return problems[kind].unit;
}

const int turn_axes[TURNS][3] = {{0, 1, 2}, {1, 0, 2}, {0, 2, 1}, {2, 0, 1}, {1, 2, 0}, {2, 1, 0}};

const char *kw_carton_turn_text(int turn) {
    static const char *const texts[TURNS] = {"lwh", "wlh", "lhw", "hlw", "whl", "hwl"};
    return texts[turn];
}

double round_up(double value, double step) {
    // 12 in written as 304.8 mm must not become 13 by its last bit.
    return step > 0 ? ceil(value / step - 1e-6) * step : value;
}

void kw_carton_outside(const struct kw_carton_kind *kind, const struct kw_carton_rules *rules,
                       double outside[3]) {
    for (int i = 0; i < 3; i++)
        outside[i] = round_up(kind->inside[i] + 2 * kind->wall, rules->size_step);
}

double kw_carton_length_girth(const double outside[3]) {
    double longest = fmax(outside[0], fmax(outside[1], outside[2]));
    return 2 * (outside[0] + outside[1] + outside[2]) - longest;
}

double kw_carton_billable(double gross, const double outside[3],
                          const struct kw_carton_rules *rules, double *dimensional) {
    double by_size = rules->divisor > 0 ? outside[0] * outside[1] * outside[2] / rules->divisor : 0;
    if (dimensional) *dimensional = by_size;
    return round_up(fmax(gross, by_size), rules->mass_step);
}

double gross_limit(const struct kw_carton_kind *kind, const struct kw_carton_rules *rules) {
    double limit = rules->most_mass > 0 ? rules->most_mass : INFINITY;
    return kind->most_gross > 0 ? fmin(limit, kind->most_gross) : limit;
}
