// SPDX-License-Identifier: Apache-2.0
// Private to coupon: one coupon's own numbers.
#pragma once

#include "coupon/coupon.h"

/// Inside radius that the die gives by rule, mm.
double coupon_natural_radius(const struct kw_shop *shop, const struct kw_stock *stock, int die);
/// Flat length of its bend, with inside radius r: blank - legs + 2 setback.
double coupon_allowance(const struct kw_coupon *c, double r);
/// Turn under load that kw_brake_depth has for the coupon's depth; the largest that it looks for
/// (150 degrees) where the depth is beyond.
double coupon_angle_at_depth(const struct kw_shop *shop, const struct kw_coupon *c, double r);
