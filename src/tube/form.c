// SPDX-License-Identifier: Apache-2.0
// What bending does to the wall, and what springs back.
#include "tube/inside.h"

#include <stdlib.h>

#define SAME_PLANE 1e-9 // radians

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

// ------------------------------------------------------------------------------------- the seam

static int by_size(const void *x, const void *y) {
    const double *a = x, *b = y;
    return (*a > *b) - (*a < *b);
}

struct kw_tube_seam kw_tube_seam(const struct kw_tube_table *table) {
    struct kw_arena scratch = {0};
    struct kw_tube_seam best = {KW_PI / 2, 0};
    double *plane = KW_NEW_ARRAY(&scratch, double, table->count + 1), turned = 0, widest = -1;
    for (int i = 0; i < table->count; i++) { // a plane and its opposite are alike
        turned += i > 0 ? table->bends[i].rotate : 0;
        plane[i] = fmod(turned, KW_PI);
        if (plane[i] < 0) plane[i] += KW_PI;
        if (KW_PI - plane[i] < SAME_PLANE) plane[i] = 0;
    }
    qsort(plane, (size_t)table->count, sizeof *plane, by_size);
    for (int i = 0; i < table->count; i++) {
        double next = i + 1 < table->count ? plane[i + 1] : plane[0] + KW_PI;
        if (!(next - plane[i] > widest + SAME_PLANE)) continue;
        widest = next - plane[i];
        best = (struct kw_tube_seam){fmod((plane[i] + next) / 2, KW_PI),
                                     fmax(0, KW_PI / 2 - widest / 2)};
    }
    kw_arena_free(&scratch);
    return best;
}
