// SPDX-License-Identifier: Apache-2.0
// Gauges against printed charts; stock words.
#include "shop/shop.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

// craginmetals.com chart (hot-rolled pickled and oiled, with limits; galvanised) and
// cableorganizer.com (8 ga galvanised, stainless, aluminium), inches.
Test(shop_gauge, thicknesses_and_limits_are_those_of_the_charts) {
    static const struct {
        enum kw_family family;
        int gauge;
        double t, least, most;
    } chart[] = {
        {KW_STEEL, 7, .1793, .1713, .1873},       {KW_STEEL, 10, .1345, .1265, .1425},
        {KW_STEEL, 11, .1196, .1116, .1276},      {KW_STEEL, 12, .1046, .0966, .1126},
        {KW_STEEL, 14, .0747, .0677, .0817},      {KW_STEEL, 16, .0598, .0538, .0658},
        {KW_STEEL, 18, .0478, .0428, .0528},      {KW_STEEL, 20, .0359, .0359, .0359},
        {KW_GALVANISED, 8, .1681, .1681, .1681},  {KW_GALVANISED, 11, .1233, .1233, .1233},
        {KW_GALVANISED, 16, .0635, .0635, .0635}, {KW_STAINLESS, 11, .1250, .1250, .1250},
        {KW_STAINLESS, 16, .0625, .0625, .0625},  {KW_ALUMINIUM, 11, .0907, .0907, .0907},
        {KW_ALUMINIUM, 20, .0320, .0320, .0320},
    };
    for (size_t i = 0; i < sizeof chart / sizeof *chart; i++) {
        double t = 0, least = 0, most = 0;
        cr_expect(kw_gauge(chart[i].family, chart[i].gauge, &t, &least, &most));
        cr_expect_float_eq(t / KW_MM_PER_IN, chart[i].t, 1e-12, "%d ga", chart[i].gauge);
        cr_expect_float_eq(least / KW_MM_PER_IN, chart[i].least, 1e-12);
        cr_expect_float_eq(most / KW_MM_PER_IN, chart[i].most, 1e-12);
    }
    double t, least, most;
    cr_expect_not(kw_gauge(KW_STEEL, 21, &t, &least, &most));
    cr_expect_not(kw_gauge(KW_GALVANISED, 7, &t, &least, &most));
    cr_expect_not(kw_gauge(KW_STAINLESS, 9, &t, &least, &most));
}

// The chart's own weights: lb/ft2 on the basis of 41.82 lb/ft2 per inch.
Test(shop_gauge, thicknesses_give_the_charts_weights) {
    static const double weights[][2] = {
        {7, 7.498},  {8, 6.875},  {9, 6.252},  {10, 5.624}, {11, 5.001}, {12, 4.374}, {13, 3.751},
        {14, 3.124}, {15, 2.814}, {16, 2.501}, {17, 2.250}, {18, 1.999}, {19, 1.748}, {20, 1.501}};
    for (size_t i = 0; i < sizeof weights / sizeof *weights; i++) {
        double t, least, most;
        cr_assert(kw_gauge(KW_STEEL, (int)weights[i][0], &t, &least, &most));
        cr_expect_float_eq(t / KW_MM_PER_IN * 41.82, weights[i][1], 0.002);
    }
}

Test(shop_gauge, thickness_falls_with_the_gauge_and_lies_in_its_limits) {
    for (int f = KW_STEEL; f <= KW_ALUMINIUM; f++) {
        double before = 1e9, t, least, most;
        int rows = 0;
        for (int g = 0; g < 50; g++) {
            if (!kw_gauge((enum kw_family)f, g, &t, &least, &most)) continue;
            cr_expect(t < before && least <= t && t <= most);
            before = t;
            rows++;
        }
        cr_expect_geq(rows, 7);
    }
}
