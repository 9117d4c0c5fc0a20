// SPDX-License-Identifier: Apache-2.0
// learned: what the shop's own test pieces (coupons.csv) say of a bend, by stock and die. Filled by
// the fit (src/coupon), looked up by whoever reckons a bend. Values are mm and radians.
#pragma once

#include "shop/shop.h"

/// Angle under load (press) or to set (tube bender) for an angle that is to be left:
/// slope * angle + offset.
struct kw_spring {
    int count; ///< coupons it comes from; 0: nothing is known
    double slope, offset;
    const char *source; ///< "coupons (5)"
};
double kw_spring_set(const struct kw_spring *spring, double angle);

struct kw_learned_bend { ///< sheet over a die of the press
    struct kw_stock stock;
    int die;            ///< index into shop->press.dies
    int count;          ///< coupons it comes from
    double radius;      ///< inside, that K was fitted with
    double k;           ///< factor of the neutral line
    double deduction;   ///< of a bend of 90 degrees in the stock's own thickness
    const char *source; ///< "coupons (7)"
    struct kw_spring spring;
};

struct kw_learned_tube { ///< tube over a die of the bender
    struct kw_stock stock;
    int die; ///< index into shop->bender.dies
    struct kw_spring spring;
    int radius_count; ///< coupons that the radius comes from; 0: the die's own stands
    double radius;    ///< centreline, that results
    /// Radius of the neutral line, along which the stick keeps its length: from lengths taken;
    /// 0: not measured, then the centreline's.
    double neutral;
};

struct kw_learned {
    const struct kw_learned_bend *bends;
    int bend_count;
    const struct kw_learned_tube *tubes;
    int tube_count;
};

/// NULL when there are no coupons of this stock over this die.
const struct kw_learned_bend *kw_learned_bend_of(const struct kw_shop *shop,
                                                 const struct kw_stock *stock, int die);
const struct kw_learned_tube *kw_learned_tube_of(const struct kw_shop *shop,
                                                 const struct kw_stock *stock, int die);
/// The shop's own row for this stock and die, else the one for this stock and any die, else NULL.
const struct kw_bend_row *kw_bend_row_of(const struct kw_shop *shop, const struct kw_stock *stock,
                                         int die);
