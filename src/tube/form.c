// SPDX-License-Identifier: Apache-2.0
// What bending does to the wall, and what springs back.
#include "tube/inside.h"

struct kw_tube_form kw_tube_form(struct kw_tube_size size, double radius) {
    double half = size.od / 2;
    return (struct kw_tube_form){
        .thinning = half / (radius + half),
        .outer_wall = size.wall * radius / (radius + half),
        .inner_wall = radius > half ? size.wall * radius / (radius - half) : 0,
        .strain = half / radius,
        .wall_factor = size.od / size.wall,
        .r_over_d = radius / size.od,
    };
}

double kw_tube_wall_factor_limit(double r_over_d) {
    if (!(r_over_d > 3)) return 16;
    return r_over_d < 4 ? 16 + 4 * (r_over_d - 3) : 20;
}

double kw_tube_springback(struct kw_tube_size size, double radius, double yield, double modulus) {
    if (!(yield > 0) || !(modulus > 0)) return 1;
    double outer = size.od, inner = size.od - 2 * size.wall;
    double section = (pow(outer, 3) - pow(inner, 3)) / 6; // full plastic moment over yield
    double inertia = KW_PI / 64 * (pow(outer, 4) - pow(inner, 4));
    // The arc's length stays; its curvature 1/R under load loses M/(E I) when released.
    double kept = 1 - radius * yield * section / (modulus * inertia);
    return kept > 0 ? 1 / kept : 0;
}

double kw_tube_growth(double radius, double factor) {
    return factor > 1 ? radius * (factor - 1) : 0;
}

double kw_tube_wall_allowance(double r_over_d) {
    static const double rows[][2] = {{3, 1.25}, {4, 1.14}, {5, 1.08}, {6, 1.06}};
    if (!(r_over_d < 6)) return 1.06;
    int i = r_over_d < 4 ? 0 : r_over_d < 5 ? 1 : 2;
    double part = r_over_d - rows[i][0];
    return rows[i][1] + part * (rows[i + 1][1] - rows[i][1]);
}
