// SPDX-License-Identifier: Apache-2.0
// Bend arithmetic: neutral line, allowance, setback, deduction, natural radius.
#include "shape/shape.h"
#include "shop/learned.h"

#define DEFAULT_K 0.44 // air-bent mild steel: common practice, no source

// DIN 6935 counts k from the middle of the sheet: k/2 is the K factor. Below r/t = 0.05 its k would
// turn negative; the neutral line stays inside the metal.
static double din_k(double ratio) {
    double k = 0.65 + 0.5 * log10(ratio);
    return 0.5 * fmin(1, fmax(0, k));
}

// Air bending, soft metal (encyclopaedia table, check-values 1.1).
static double k_by_radius(double ratio) {
    if (ratio < 1) return 0.33;
    return ratio <= 3 ? 0.40 : 0.50;
}

double kw_bend_k(const struct kw_bending *rule, double r, double t) {
    kw_assert(t > 0 && r >= 0);
    if (rule->rule == KW_RULE_DIN_6935) return r > 0 ? din_k(r / t) : 0;
    if (rule->rule == KW_RULE_K_BY_RADIUS) return k_by_radius(r / t);
    return rule->k > 0 ? rule->k : DEFAULT_K;
}

double kw_bend_k_from_deduction(double deduction, double r, double t) {
    return ((2 * (r + t) - deduction) / (KW_PI / 2) - r) / t;
}

static double k_of_row(const struct kw_bend_row *row, double r, double t) {
    if (row->deduction > 0) return kw_bend_k_from_deduction(row->deduction, r, t);
    if (row->allowance > 0) return (row->allowance / (KW_PI / 2) - r) / t;
    return row->k;
}

double kw_bend_k_of(const struct kw_shop *shop, const struct kw_stock *stock, int die, double r,
                    const char **source) {
    double t = stock->thickness;
    const struct kw_learned_bend *learned = kw_learned_bend_of(shop, stock, die);
    if (learned) {
        *source = learned->source;
        return kw_bend_k_from_deduction(learned->deduction, r, t);
    }
    const struct kw_bend_row *row = die >= 0 ? kw_bend_row_of(shop, stock, die) : NULL;
    *source = row ? "table" : "rule";
    return row ? k_of_row(row, r, t) : kw_bend_k(&shop->bending, r, t);
}

// As the brake tells a radius that is off.
bool kw_bend_die_gives(double natural, double r) {
    return fabs(natural - r) <= fmax(0.25 * r, 0.3);
}

double kw_bend_allowance(double angle, double r, double t, double k) {
    return angle * (r + k * t);
}

double kw_bend_setback(double angle, double r, double t) {
    return angle > KW_PI / 2 ? r + t : (r + t) * tan(angle / 2);
}

double kw_bend_deduction(double angle, double r, double t, double k) {
    return 2 * kw_bend_setback(angle, r, t) - kw_bend_allowance(angle, r, t, k);
}

// Inside radius as part of the die opening ("20 % rule"). Mild steel 0.15 to 0.17 (chart,
// check-values 3.3: 0.156); 304 stainless 0.20 to 0.22 and soft aluminium 0.13 to 0.15 from memory.
double kw_bend_natural_radius(int family, double opening, double nose) {
    static const double part[] = {
        [KW_STEEL] = 0.16, [KW_GALVANISED] = 0.16, [KW_STAINLESS] = 0.21, [KW_ALUMINIUM] = 0.14};
    kw_assert(family >= KW_STEEL && family <= KW_ALUMINIUM);
    return fmax(part[family] * opening, nose);
}

// Fully plastic bending of a rectangle: yield strength times b t^2 / 4 (strength of materials, from
// memory).
double kw_hand_force(double yield, double webs, double t, double arm) {
    kw_assert(arm > 0);
    return yield * webs * t * t / 4 / arm;
}

double kw_relief(double thickness, double kerf) {
    return fmax(fmax(thickness, KW_MM_PER_IN / 16), 1.5 * kerf);
}
