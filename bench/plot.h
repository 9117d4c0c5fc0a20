// SPDX-License-Identifier: Apache-2.0
// A plot of lines against two axes.
#pragma once

#include "base/base.h"

#include <stdbool.h>

struct bench_plot_line {
    const char *name;
    double (*v)[2]; ///< x, y
    int count;
    bool dashed; ///< for comparison
};
struct bench_plot {
    const char *title, *x_name, *y_name;
    bool log_x, log_y; ///< values that are not above 0 are left out
    bool steps;        ///< a value holds until the next
    struct bench_plot_line *lines;
    int line_count;
};
enum kw_status bench_plot_write(const struct bench_plot *p, const char *path, struct kw_error *err);
