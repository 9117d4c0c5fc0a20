// SPDX-License-Identifier: Apache-2.0
// Any bytes as orders.csv and as coupons.csv: refused with a place, or rows that hold what the
// headers promise.
#include "coupon/coupon.h"
#include "kit/kit.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const char shop_text[] =
    "shop: S\ncurrency: USD\nunits: in\nmaterials: { hr: { family: steel, tensile: 55 ksi, yield: "
    "36 ksi } }\n"
    "press: { rating: 100 kN, bed: 48, between_frames: 40, open_height: 12, stroke: 4, gauge_most: "
    "20,\n"
    "  dies: { D1: { opening: 1, height: 3, length: 48, rating: 1000 kN/m } }, punches: { P1: { "
    "angle: 85 deg, radius: 1/32, height: 4, length: 48, rating: 1000 kN/m } } }\n"
    "bender: { most_wall: 1/8, dies: { T1: { od: 1, radius: 4, most_angle: 180, clamp: 2, lead: 1 "
    "} } }\n"
    "rates: { labour: 30, margin: 30 % }\n";
static const char kit_text[] =
    "kit: rack\nname: Rack\nunits: in\nsizes: { 24: { w: 24 }, 36: { w: 36 } }\n"
    "options: { shelf: { name: with a shelf } }\n"
    "parts:\n  foot: { from: 11 ga hr sheet, per_kit: 4, base: { long: 6, wide: 3 } }\n"
    "  side: { from: 11 ga hr sheet, per_kit: { left: 1, right: 1 }, base: { long: w, wide: 3 } }\n"
    "  plate: { from: 11 ga hr sheet, per_kit: 1, with: shelf, base: { long: 6, wide: 3 } }\n";

static void read_shop(struct kw_arena *a, struct kw_shop *shop) {
    struct kw_error err = {0};
    const struct kw_node *root;
    struct kw_reader r = {.arena = a};
    kw_assert(kw_yaml_parse(a, "shop.yaml", shop_text, sizeof shop_text - 1, &root, &err) == KW_OK);
    kw_assert(kw_form_read(&r, &kw_shop_form, root, shop, &err) == KW_OK);
}

static void refused(enum kw_status s, const struct kw_error *err) {
    // 74: another size of the kit is read from its file, which is not there
    kw_assert(kw_exit_code(s) == 2 || kw_exit_code(s) == 74);
    kw_assert(err->status == s && err->text[0] && err->at.file);
}

static void as_orders(struct kw_arena *a, const struct kw_shop *shop, const char *bytes, size_t n) {
    struct kw_error err = {0};
    struct kw_kit *kit = NULL;
    struct kw_kits kits = {.shop = shop, .folder = "/nonexistent"};
    struct kw_orders orders = {0};
    kw_assert(kw_kit_parse(a, shop, "/nonexistent", "kits/rack.yaml", kit_text, sizeof kit_text - 1,
                           NULL, &kit, &err) == KW_OK);
    KW_PUSH(a, kits.v, kits.count) = kit;
    enum kw_status s = kw_orders_parse(a, &kits, "orders.csv", bytes, n, &orders, &err);
    if (s != KW_OK) {
        refused(s, &err);
        return;
    }
    for (int i = 0; i < orders.count; i++) {
        const struct kw_order *o = &orders.v[i];
        kw_assert(o->count > 0 && o->kit >= 0 && o->kit < kits.count);
        kw_assert(o->part < kits.v[o->kit]->parts.count && o->number && o->due > 0);
    }
}

static void as_coupons(struct kw_arena *a, struct kw_shop *shop, const char *bytes, size_t n) {
    struct kw_error err = {0};
    struct kw_coupons coupons = {0};
    enum kw_status s = kw_coupons_parse(a, shop, "coupons.csv", bytes, n, &coupons, &err);
    if (s != KW_OK)
        refused(s, &err);
    else
        (void)kw_coupons_learn(a, shop, &coupons);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    struct kw_arena a = {0};
    struct kw_shop shop = {0};
    read_shop(&a, &shop);
    as_orders(&a, &shop, (const char *)data, size);
    as_coupons(&a, &shop, (const char *)data, size);
    kw_arena_free(&a);
    return 0;
}
