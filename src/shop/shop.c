// SPDX-License-Identifier: Apache-2.0
// The shop file read, and what is looked up in it.
#include "shop/shop.h"

#include <math.h>
#include <string.h>

enum kw_status kw_shop_read(struct kw_arena *a, const char *folder, struct kw_shop **out,
                            struct kw_error *err) {
    const struct kw_node *root;
    const char *path = kw_format(a, "%s/shop.yaml", folder);
    *out = NULL;
    enum kw_status s = kw_yaml_read(a, path, (struct kw_place){0}, &root, err);
    if (s != KW_OK) return s;
    struct kw_shop *shop = KW_NEW(a, struct kw_shop);
    struct kw_reader reader = {.arena = a};
    s = kw_form_read(&reader, &kw_shop_form, root, shop, err);
    if (s == KW_OK) *out = shop;
    return s;
}

const struct kw_material *kw_shop_material(const struct kw_shop *shop, const struct kw_stock *s) {
    kw_assert(s->material >= 0 && s->material < shop->materials.count);
    return KW_ITEM(struct kw_material, shop->materials, s->material);
}

const struct kw_cut_entry *kw_shop_cut_rule(const struct kw_shop *shop, const struct kw_stock *s) {
    for (int i = 0; i < shop->table.rules.count; i++) {
        const struct kw_cut_entry *rule = KW_ITEM(struct kw_cut_entry, shop->table.rules, i);
        if (kw_stock_same(&rule->stock, s)) return rule;
    }
    return NULL;
}

const struct kw_hardware *kw_shop_hardware(const struct kw_shop *shop, const char *name) {
    for (int i = 0; i < shop->hardware.count; i++) {
        const struct kw_hardware *h = KW_ITEM(struct kw_hardware, shop->hardware, i);
        if (strcmp(h->name, name) == 0) return h;
    }
    return NULL;
}

// Area of metal in the section of a stick, mm2. Corners of square tube and angle are taken sharp:
// up to 3 % above the supplier's table for a thin wall.
static double section_area(const struct kw_stock *s) {
    double w = s->width, h = s->height, t = s->thickness;
    switch (s->kind) {
    case KW_ROUND_TUBE:
        return KW_PI * t * (w - t);
    case KW_SQUARE_TUBE:
        return w * h - (w - 2 * t) * (h - 2 * t);
    case KW_FLAT_BAR:
        return w * t;
    case KW_ROUND_ROD:
        return KW_PI * w * w / 4;
    case KW_ANGLE_BAR:
        return t * (w + h - t);
    case KW_SHEET:
        break;
    }
    return 0;
}

int kw_rack_item_delivery(const struct kw_shop *shop, const struct kw_rack_item *item) {
    if (kw_node_get(item->node, "delivery_days")) return item->delivery_days;
    return kw_node_get(shop->node, "delivery_days") ? shop->delivery_days : -1;
}

double kw_dimple_clear(const struct kw_dimple_die *die, double thickness) {
    return die->clear > 0 ? die->clear : die->flare + 2 * thickness;
}

double kw_sheet_mass(const struct kw_shop *shop, const struct kw_stock *stock, double area) {
    return area * stock->thickness * kw_shop_material(shop, stock)->density * 1e-9;
}

double kw_rack_item_mass(const struct kw_shop *shop, const struct kw_rack_item *item) {
    if (item->stock.kind == KW_SHEET)
        return kw_sheet_mass(shop, &item->stock,
                             item->outline.count > 0 ? fabs(kw_path_area(&item->outline))
                                                     : item->length * item->width);
    double density = kw_shop_material(shop, &item->stock)->density * 1e-9; // kg/mm3
    return item->length * section_area(&item->stock) * density;
}

double kw_rack_item_price(const struct kw_shop *shop, const struct kw_rack_item *item) {
    if (item->price > 0) return item->price;
    return kw_rack_item_mass(shop, item) * kw_shop_material(shop, &item->stock)->price_per_kg;
}
