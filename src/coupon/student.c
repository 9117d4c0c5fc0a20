// SPDX-License-Identifier: Apache-2.0
// Student's t for whole degrees of freedom.
#include "base/base.h"
#include "coupon/fit.h"
#include "geom/geom.h"

#include <math.h>

/// Probability that |t| stays below `t`: the closed sums of Abramowitz and Stegun 26.7.3 and 26.7.4
/// in theta = atan(t / sqrt(freedom)).
static double inside(double t, int freedom) {
    double theta = atan(t / sqrt(freedom)), c2 = cos(theta) * cos(theta);
    bool odd = freedom % 2 == 1;
    double term = odd ? cos(theta) : 1, sum = freedom > 1 ? term : 0;
    for (int k = odd ? 3 : 2; k < freedom; k += 2) {
        term *= c2 * (k - 1) / k;
        sum += term;
    }
    if (!odd) return sin(theta) * sum;
    return 2 / KW_PI * (theta + sin(theta) * sum);
}

double kw_student_t(double outside, int freedom) {
    kw_assert(outside > 0 && outside < 1 && freedom >= 1);
    double low = 0, high = 1;
    while (inside(high, freedom) < 1 - outside && high < 1e12)
        high *= 2;
    for (int i = 0; i < 200 && low < high; i++) {
        double middle = (low + high) / 2;
        if (middle <= low || middle >= high) break;
        if (inside(middle, freedom) < 1 - outside)
            low = middle;
        else
            high = middle;
    }
    return (low + high) / 2;
}
