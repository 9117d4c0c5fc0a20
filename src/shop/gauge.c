// SPDX-License-Identifier: Apache-2.0
// Sheet gauges. A gauge is another thickness in each family of metal.
#include "shop/shop.h"

// Inches, as the charts print them. 0: the charts read have no limit (or no such gauge).
//
// Steel: Manufacturers' Standard Gauge with the limits of hot-rolled pickled and oiled sheet, chart
// at craginmetals.com (weight basis 41.82 lb/ft2 per inch). Galvanised: the same chart; 8 ga from
// cableorganizer.com. Stainless and aluminium (the latter is the Brown and Sharpe gauge):
// cableorganizer.com. Cold-rolled sheet has the same nominal thicknesses with narrower limits; the
// wider ones are used for all steel, so that a forecast of an angle is never too good.
struct gauge_row {
    int gauge;
    double steel, most, least;
    double galvanised, stainless, aluminium;
};
static const struct gauge_row rows[] = {
    {7, .1793, .1873, .1713, 0, 0, 0},
    {8, .1644, .1724, .1564, .1681, 0, 0},
    {9, .1495, .1575, .1415, .1532, 0, 0},
    {10, .1345, .1425, .1265, .1382, .1406, .1019},
    {11, .1196, .1276, .1116, .1233, .1250, .0907},
    {12, .1046, .1126, .0966, .1084, .1094, .0808},
    {13, .0897, .0967, .0827, .0934, 0, 0},
    {14, .0747, .0817, .0677, .0785, .0781, .0641},
    {15, .0673, .0733, .0613, .0710, 0, 0},
    {16, .0598, .0658, .0538, .0635, .0625, .0508},
    {17, .0538, 0, 0, .0575, 0, 0},
    {18, .0478, .0528, .0428, .0516, .0500, .0403},
    {19, .0418, 0, 0, .0456, 0, 0},
    {20, .0359, 0, 0, .0396, .0375, .0320},
};

static double nominal(const struct gauge_row *row, enum kw_family family) {
    switch (family) {
    case KW_STEEL:
        return row->steel;
    case KW_GALVANISED:
        return row->galvanised;
    case KW_STAINLESS:
        return row->stainless;
    case KW_ALUMINIUM:
        return row->aluminium;
    }
    return 0;
}

bool kw_gauge(enum kw_family family, int gauge, double *thickness, double *least, double *most) {
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct gauge_row *row = &rows[i];
        double t = nominal(row, family);
        if (row->gauge != gauge || !(t > 0)) continue;
        bool limits = family == KW_STEEL && row->least > 0;
        *thickness = t * KW_MM_PER_IN;
        *least = (limits ? row->least : t) * KW_MM_PER_IN;
        *most = (limits ? row->most : t) * KW_MM_PER_IN;
        return true;
    }
    return false;
}
