// SPDX-License-Identifier: Apache-2.0
// fit: a line through measured points by least squares, how far it may be off, and which point is
// odd. Pure arithmetic on arrays.
#pragma once

#include <stdbool.h>

/// y = slope x + offset. With terms 1 the line goes through the origin and offset is 0.
struct kw_line_fit {
    int count, terms;
    double slope, offset;
    double deviation; ///< residual standard deviation, count - terms degrees of freedom; 0: none
    double mean_x, sum_xx; ///< about the mean (terms 2) or about 0 (terms 1)
};

/// Least squares. `count` >= terms; terms 2 needs two different x. Some x is not 0.
struct kw_line_fit kw_fit_line(const double *x, const double *y, int count, int terms);
bool kw_fit_has_spread(const struct kw_line_fit *fit); ///< whether anything is left to judge it by
double kw_fit_at(const struct kw_line_fit *fit, double x);
/// Standard errors: of slope, offset, and of the line itself at x. 0 without spread.
double kw_fit_slope_error(const struct kw_line_fit *fit);
double kw_fit_offset_error(const struct kw_line_fit *fit);
double kw_fit_error_at(const struct kw_line_fit *fit, double x);
/// Half the width of the 95 % interval of the line at x; INFINITY without spread.
double kw_fit_half_at(const struct kw_line_fit *fit, double x);

/// Residual of point i over its own standard deviation, as estimated without that point
/// (externally studentised: Belsley, Kuh, Welsch, Regression Diagnostics, 1980; from memory).
/// NAN where less than one degree of freedom would be left.
double kw_fit_student(const struct kw_line_fit *fit, const double *x, const double *y, int i);
/// Whether that residual is odd among `count`: beyond Student's t for 5 % shared by all points
/// (Bonferroni). What lies within `noise` of the line is never odd: no tape reads finer.
bool kw_fit_odd(const struct kw_line_fit *fit, const double *x, const double *y, int i,
                double noise);

/// The value that Student's t of `freedom` degrees exceeds either way with probability `outside`
/// (0..1): 12.706 for 0.05 and 1. From the closed sums of the distribution for whole degrees of
/// freedom (Abramowitz and Stegun 26.7.3, 26.7.4) by halving.
double kw_student_t(double outside, int freedom);
