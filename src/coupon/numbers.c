// SPDX-License-Identifier: Apache-2.0
// What follows from one coupon by itself.
#include "coupon/inside.h"
#include "shape/shape.h"

double coupon_natural_radius(const struct kw_shop *shop, const struct kw_stock *stock, int die) {
    int family = kw_shop_material(shop, stock)->family;
    double opening = KW_ITEM(struct kw_press_tool, shop->press.dies, die)->opening;
    double nose = shop->press.punches.count ? INFINITY : 0;
    for (int i = 0; i < shop->press.punches.count; i++)
        nose = fmin(nose, KW_ITEM(struct kw_press_tool, shop->press.punches, i)->radius);
    return kw_bend_natural_radius(family, opening, nose);
}

double coupon_allowance(const struct kw_coupon *c, double r) {
    return c->blank - c->leg_a - c->leg_b + 2 * kw_bend_setback(c->angle, r, c->thickness);
}

double coupon_angle_at_depth(const struct kw_shop *shop, const struct kw_coupon *c, double r) {
    const struct kw_press_tool *t = KW_ITEM(struct kw_press_tool, shop->press.dies, c->die);
    struct kw_brake_die die = {
        .id = t->name, .opening = t->opening, .angle = t->angle, .shoulder_radius = t->radius};
    double low = 0, high = 150 * KW_PI / 180;
    for (int i = 0; i < 60; i++) { // the depth grows with the angle
        double middle = (low + high) / 2;
        if (kw_brake_depth(middle, r, c->thickness, &die) < c->depth)
            low = middle;
        else
            high = middle;
    }
    return (low + high) / 2;
}
