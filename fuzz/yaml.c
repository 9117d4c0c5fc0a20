// SPDX-License-Identifier: Apache-2.0
// Any bytes as shop.yaml: refused with a place, or a tree and a shop that hold what the headers
// say.
#include "shop/shop.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

struct bytes {
    const char *at;
    size_t count;
};

// Children lie in their parent's range, in order; places point where the range starts.
static void check_node(const struct kw_node *n, struct bytes file, int depth) {
    kw_assert(depth <= KW_YAML_DEEPEST);
    kw_assert(n->from <= n->to && n->to <= file.count);
    kw_assert(n->at.line > 0 && n->at.column > 0 && n->at.file);
    kw_assert((n->kind == KW_SCALAR) == (n->text != NULL));
    kw_assert(n->kind != KW_SCALAR || n->count == 0);
    size_t before = n->from;
    for (int i = 0; i < n->count; i++) {
        const struct kw_node *child = &n->items[i];
        kw_assert((n->kind == KW_MAP) == (child->key != NULL));
        kw_assert(child->from >= before && child->to <= n->to);
        kw_assert(!child->key || kw_node_get(n, child->key) == child);
        before = child->to;
        check_node(child, file, depth + 1);
    }
}

static void check_stock(const struct kw_shop *shop, const struct kw_stock *s) {
    struct kw_stock again;
    struct kw_place at = {0};
    enum kw_length_unit unit = (enum kw_length_unit)shop->units;
    kw_assert(s->thickness > 0 && s->thickness_least <= s->thickness);
    kw_assert(s->thickness <= s->thickness_most);
    kw_assert(s->material >= 0 && s->material < shop->materials.count);
    kw_assert(kw_stock_read(shop, s->text, unit, at, &again, NULL) == KW_OK);
    kw_assert(kw_stock_same(s, &again));
}

static void check_rack(const struct kw_shop *shop, const struct kw_items *rack) {
    for (int i = 0; i < rack->count; i++) {
        const struct kw_rack_item *item = KW_ITEM(struct kw_rack_item, *rack, i);
        check_stock(shop, &item->stock);
        kw_assert(item->length > 0 && kw_rack_item_mass(shop, item) > 0);
        kw_assert(kw_rack_item_price(shop, item) >= 0);
    }
}

static void check_shop(const struct kw_shop *shop) {
    kw_assert(shop->name && shop->currency && strlen(shop->currency) == 3);
    kw_assert(shop->materials.count > 0);
    kw_assert(shop->bending.k >= 0.2 && shop->bending.k <= 0.6);
    kw_assert(shop->rates.margin >= 0 && shop->rates.margin < 1);
    check_rack(shop, &shop->sheets);
    check_rack(shop, &shop->sticks);
    for (int i = 0; i < shop->table.rules.count; i++) {
        const struct kw_cut_entry *rule = KW_ITEM(struct kw_cut_entry, shop->table.rules, i);
        kw_assert(kw_shop_cut_rule(shop, &rule->stock) == rule);
        kw_assert(rule->kerf > 0 && rule->feed > 0);
    }
}

static void check_refusal(enum kw_status s, const struct kw_error *err) {
    kw_assert(kw_exit_code(s) == 2 && err->status == s && err->text[0] && err->at.file);
    kw_assert(kw_is_utf8(err->text, strlen(err->text), NULL));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    const struct kw_node *root = NULL;
    enum kw_status s = kw_yaml_parse(&a, "shop.yaml", (const char *)data, size, &root, &err);
    if (s == KW_OK) {
        struct kw_reader r = {.arena = &a};
        struct kw_shop *shop = KW_NEW(&a, struct kw_shop);
        check_node(root, (struct bytes){(const char *)data, size}, 0);
        s = kw_form_read(&r, &kw_shop_form, root, shop, &err);
        if (s == KW_OK) check_shop(shop);
    } else {
        kw_assert(!root);
    }
    if (s != KW_OK) check_refusal(s, &err);
    kw_arena_free(&a);
    return 0;
}
