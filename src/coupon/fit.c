// SPDX-License-Identifier: Apache-2.0
// Least squares about the mean, which keeps the digits that the normal equations lose.
#include "coupon/fit.h"

#include "base/base.h"

#include <math.h>

static double mean(const double *v, int count) {
    double sum = 0, rest = 0;
    for (int i = 0; i < count; i++)
        sum += v[i];
    sum /= count;
    for (int i = 0; i < count; i++)
        rest += v[i] - sum; // what rounding left
    return sum + rest / count;
}

struct kw_line_fit kw_fit_line(const double *x, const double *y, int count, int terms) {
    kw_assert((terms == 1 || terms == 2) && count >= terms);
    struct kw_line_fit f = {.count = count, .terms = terms};
    double mean_y = terms == 2 ? mean(y, count) : 0, sum_xy = 0, squares = 0;
    f.mean_x = terms == 2 ? mean(x, count) : 0;
    for (int i = 0; i < count; i++) {
        f.sum_xx += (x[i] - f.mean_x) * (x[i] - f.mean_x);
        sum_xy += (x[i] - f.mean_x) * (y[i] - mean_y);
    }
    kw_assert(f.sum_xx > 0);
    f.slope = sum_xy / f.sum_xx;
    f.offset = mean_y - f.slope * f.mean_x;
    for (int i = 0; i < count; i++) {
        double rest = (y[i] - mean_y) - f.slope * (x[i] - f.mean_x);
        squares += rest * rest;
    }
    if (count > terms) f.deviation = sqrt(squares / (count - terms));
    return f;
}

bool kw_fit_has_spread(const struct kw_line_fit *f) {
    return f->count > f->terms;
}

double kw_fit_at(const struct kw_line_fit *f, double x) {
    return f->slope * x + f->offset;
}

/// Part that point x has in the line's own place: its leverage.
static double leverage(const struct kw_line_fit *f, double x) {
    double away = x - f->mean_x;
    return (f->terms == 2 ? 1.0 / f->count : 0) + away * away / f->sum_xx;
}

double kw_fit_slope_error(const struct kw_line_fit *f) {
    return f->deviation / sqrt(f->sum_xx);
}

double kw_fit_offset_error(const struct kw_line_fit *f) {
    return f->terms == 2 ? kw_fit_error_at(f, 0) : 0;
}

double kw_fit_error_at(const struct kw_line_fit *f, double x) {
    return f->deviation * sqrt(leverage(f, x));
}

double kw_fit_half_at(const struct kw_line_fit *f, double x) {
    if (!kw_fit_has_spread(f)) return INFINITY;
    return kw_student_t(0.05, f->count - f->terms) * kw_fit_error_at(f, x);
}

double kw_fit_student(const struct kw_line_fit *f, const double *x, const double *y, int i) {
    int freedom = f->count - f->terms - 1;
    double own = 1 - leverage(f, x[i]), rest = y[i] - kw_fit_at(f, x[i]);
    if (freedom < 1 || own < 1e-12) return NAN;
    double others = f->deviation * f->deviation * (freedom + 1) - rest * rest / own;
    if (others <= 0) return rest == 0 ? 0 : copysign(INFINITY, rest);
    return rest / sqrt(others / freedom * own);
}

bool kw_fit_odd(const struct kw_line_fit *f, const double *x, const double *y, int i,
                double noise) {
    double t = kw_fit_student(f, x, y, i);
    if (isnan(t) || fabs(y[i] - kw_fit_at(f, x[i])) <= noise) return false;
    return fabs(t) > kw_student_t(0.05 / f->count, f->count - f->terms - 1);
}
