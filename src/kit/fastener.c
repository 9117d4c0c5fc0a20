// SPDX-License-Identifier: Apache-2.0
// Clearance holes for bolts.
#include "kit/kit.h"

#include <string.h>

struct clearance {
    const char *bolt;
    double close, normal, loose;
};

// ISO 273: fine, medium, coarse series (mm), from memory; ASME B18.2.8 has the same for metric
// bolts from M5 on.
static const struct clearance metric[] = {
    {"M2", 2.2, 2.4, 2.6},   {"M2.5", 2.7, 2.9, 3.1}, {"M3", 3.2, 3.4, 3.6},
    {"M4", 4.3, 4.5, 4.8},   {"M5", 5.3, 5.5, 5.8},   {"M6", 6.4, 6.6, 7},
    {"M8", 8.4, 9, 10},      {"M10", 10.5, 11, 12},   {"M12", 13, 13.5, 14.5},
    {"M14", 15, 15.5, 16.5}, {"M16", 17, 17.5, 18.5}, {"M18", 19, 20, 21},
    {"M20", 21, 22, 24},     {"M22", 23, 24, 26},     {"M24", 25, 26, 28},
    {"M27", 28, 30, 32},     {"M30", 31, 33, 35},     {"M33", 34, 36, 38},
    {"M36", 37, 39, 42},
};
// ASME B18.2.8: close, normal, loose (inches), from memory.
static const struct clearance inch[] = {
    {"#0", .067, .076, .094},       {"#1", .081, .089, .104},       {"#2", .094, .102, .116},
    {"#3", .106, .116, .128},       {"#4", .120, .128, .144},       {"#5", .141, .156, .172},
    {"#6", .154, .170, .185},       {"#8", .180, .196, .213},       {"#10", .206, .221, .238},
    {"1/4", .266, .281, .295},      {"5/16", .328, .344, .359},     {"3/8", .391, .406, .422},
    {"7/16", .453, .469, .484},     {"1/2", .531, .562, .609},      {"5/8", .656, .688, .734},
    {"3/4", .781, .812, .906},      {"7/8", .906, .938, 1.031},     {"1", 1.031, 1.094, 1.156},
    {"1-1/8", 1.156, 1.219, 1.312}, {"1-1/4", 1.281, 1.344, 1.438}, {"1-3/8", 1.438, 1.5, 1.609},
    {"1-1/2", 1.562, 1.625, 1.734},
};

static bool find(const struct clearance *v, size_t count, const char *bolt, enum kw_fit fit,
                 double unit, double *diameter) {
    for (size_t i = 0; i < count; i++) {
        if (strcmp(v[i].bolt, bolt) != 0) continue;
        double d = fit == KW_FIT_CLOSE   ? v[i].close
                   : fit == KW_FIT_LOOSE ? v[i].loose
                                         : v[i].normal;
        *diameter = d * unit;
        return true;
    }
    return false;
}

bool kw_clearance_hole(const char *bolt, enum kw_fit fit, double *diameter) {
    return find(metric, sizeof metric / sizeof *metric, bolt, fit, 1, diameter) ||
           find(inch, sizeof inch / sizeof *inch, bolt, fit, KW_MM_PER_IN, diameter);
}
