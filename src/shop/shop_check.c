// SPDX-License-Identifier: Apache-2.0
// What must hold between the keys of shop.yaml.
#include "shop/shop_check.h"

#include <math.h>
#include <string.h>

KW_SHOP_CHECK(kw_material_check) {
    (void)r;
    // Densities and moduli: handbook values from memory; steel 7850 kg/m3 is the usual plate basis
    // of 490 lb/ft3.
    static const double density[] = {7850, 7850, 8000, 2700};
    static const double elastic[] = {200000, 200000, 193000, 69000};
    struct kw_material *m = out;
    if (m->family > KW_ALUMINIUM)
        m->family = m->family == KW_ALUMINIUM + 1 ? KW_GALVANISED : KW_ALUMINIUM;
    if (!(m->density > 0)) m->density = density[m->family];
    if (!(m->elastic > 0)) m->elastic = elastic[m->family];
    if (m->yield <= m->tensile) return KW_OK;
    return kw_fail(
        err, KW_RANGE, kw_place_of(node, "yield"),
        "expected a yield strength of at most the tensile strength, %.0f MPa, got %.0f MPa",
        m->tensile, m->yield);
}

KW_SHOP_CHECK(kw_cut_check) {
    (void)r;
    const struct kw_cut_entry *c = out;
    if (c->pierce_height >= c->cut_height) return KW_OK;
    return kw_fail(err, KW_RANGE, kw_place_of(node, "pierce_height"),
                   "expected a pierce height of at least the cut height, %.2f mm, got %.2f mm",
                   c->cut_height, c->pierce_height);
}

// "M7", "M64 P3": a word of the control, maybe with a number of its own.
static bool is_control_word(const char *s) {
    if (*s++ != 'M' || *s < '0' || *s > '9') return false;
    s += strspn(s, "0123456789");
    if (*s == ' ' && s[1] == 'P') s += 2 + strspn(s + 2, "0123456789.");
    return *s == 0;
}

KW_SHOP_CHECK(kw_scribe_check) {
    (void)r;
    const struct kw_scribe *s = out;
    const char *keys[] = {"down", "up"}, *words[] = {s->down, s->up};
    for (int i = 0; i < 2; i++)
        if (!is_control_word(words[i]))
            return kw_fail(err, KW_FORMAT, kw_place_of(node, keys[i]),
                           "expected a word such as M7 or M64 P3, got \"%s\"", words[i]);
    if (strcmp(s->down, s->up) != 0) return KW_OK;
    return kw_fail(err, KW_RANGE, kw_place_of(node, "up"),
                   "expected another word than the one that sets the scribe down, got \"%s\"",
                   s->up);
}

KW_SHOP_CHECK(kw_bender_die_check) {
    (void)r;
    const struct kw_bender_die *d = out;
    if (d->radius > d->od / 2) return KW_OK;
    return kw_fail(
        err, KW_RANGE, kw_place_of(node, "radius"),
        "expected a centreline radius above half the tube's diameter, %.2f mm, got %.2f mm",
        d->od / 2, d->radius);
}

KW_SHOP_CHECK(kw_bender_body_check) {
    (void)r;
    const struct kw_bender_body *b = out;
    const struct {
        const char *key;
        const struct kw_items *v;
    } sides[] = {{"ahead", &b->ahead}, {"side", &b->side}, {"up", &b->up}};
    for (int i = 0; i < 3; i++) {
        const double *v = sides[i].v->v;
        if (sides[i].v->count == 2 && v[0] < v[1]) continue;
        return kw_fail(err, KW_RANGE, kw_place_of(node, sides[i].key),
                       "expected %s as two lengths, the smaller first, such as [-24, 6]",
                       sides[i].key);
    }
    return KW_OK;
}

static const struct kw_press_tool *find_tool(const struct kw_items *tools, const char *name) {
    for (int i = 0; i < tools->count; i++) {
        const struct kw_press_tool *t = KW_ITEM(struct kw_press_tool, *tools, i);
        if (strcmp(t->name, name) == 0) return t;
    }
    return NULL;
}

KW_SHOP_CHECK(kw_press_tool_check) {
    struct kw_press_tool *t = out;
    if (t->profile.count == 0) return KW_OK;
    struct kw_place at = kw_place_of(node, "profile");
    if (t->profile.count < 3)
        return kw_fail(err, KW_GEOMETRY, at, "expected a section of 3 corners or more, got %d",
                       t->profile.count);
    for (int i = 0; i < t->profile.count; i++) {
        const struct kw_profile_point *p = KW_ITEM(struct kw_profile_point, t->profile, i);
        kw_path_add(r->arena, &t->section, p->x, p->y, 0, 0);
    }
    enum kw_status s = kw_path_check(&t->section, at, err);
    if (s != KW_OK) return s;
    for (int i = t->profile.count - 1; i >= 0; i--) { // from the end: a rounding adds a vertex
        const struct kw_profile_point *p = KW_ITEM(struct kw_profile_point, t->profile, i);
        if (p->radius > 0 && !kw_path_round_corner(r->arena, &t->section, i, p->radius))
            return kw_fail(err, KW_GEOMETRY, kw_place_of(p->node, "radius"),
                           "a rounding that does not fit between its neighbours");
    }
    t->section = kw_path_oriented(r->arena, &t->section, true);
    return kw_path_check(&t->section, at, err);
}

KW_SHOP_CHECK(kw_press_check) {
    (void)r;
    const struct kw_press *p = out;
    for (int i = 0; i < p->punches.count; i++) {
        const struct kw_press_tool *t = KW_ITEM(struct kw_press_tool, p->punches, i);
        const struct kw_press_tool *same = find_tool(&p->dies, t->name);
        if (same) {
            return kw_fail(err, KW_DUPLICATE, t->node->key_at,
                           "the tool name \"%s\" twice, there is a die of that name on line %d",
                           t->name, same->node->key_at.line);
        }
    }
    for (int i = 0; i < p->hemming.count; i++) {
        const struct kw_press_tool *t = KW_ITEM(struct kw_press_tool, p->hemming, i);
        const struct kw_press_tool *same = find_tool(&p->dies, t->name);
        if (!same) same = find_tool(&p->punches, t->name);
        if (same) {
            return kw_fail(err, KW_DUPLICATE, t->node->key_at,
                           "the tool name \"%s\" twice, there is a die or punch of that name on "
                           "line %d",
                           t->name, same->node->key_at.line);
        }
    }
    if (p->between_frames > p->bed) {
        return kw_fail(err, KW_RANGE, kw_place_of(node, "between_frames"),
                       "expected at most the length of the bed, %.1f mm, got %.1f mm", p->bed,
                       p->between_frames);
    }
    if (p->fingers_most > 0 && p->fingers_most < p->fingers_least)
        return kw_fail(err, KW_RANGE, kw_place_of(node, "fingers_most"),
                       "expected at least fingers_least, %.1f mm, got %.1f mm", p->fingers_least,
                       p->fingers_most);
    bool gauge = p->gauge_least > 0 || p->gauge_most > 0;
    if (gauge && !(p->gauge_most > p->gauge_least)) {
        const char *key = kw_node_get(node, "gauge_most") ? "gauge_most" : "gauge_least";
        return kw_fail(
            err, KW_RANGE, kw_place_of(node, key),
            "expected a back gauge that goes farther than it comes near, got %.1f to %.1f mm",
            p->gauge_least, p->gauge_most);
    }
    return KW_OK;
}

KW_SHOP_CHECK(kw_rates_check) {
    (void)r;
    const struct kw_rates *m = out;
    if (m->margin + m->card_fee <= 0.95) return KW_OK;
    return kw_fail(err, KW_RANGE, kw_place_of(node, "margin"),
                   "expected margin and card fee of at most 95 %% together, got %.1f %%",
                   (m->margin + m->card_fee) * 100);
}

KW_SHOP_CHECK(kw_layers_check) {
    (void)r;
    static const char *const keys[] = {"cut", "bend_up", "bend_down", "mark", "ignore"};
    const struct kw_layers *l = out;
    const struct kw_items *lists[] = {&l->cut, &l->bend_up, &l->bend_down, &l->mark, &l->ignore};
    for (int i = 0; i < 5; i++) {
        for (int j = 0; j < i; j++) {
            for (int k = 0; k < lists[i]->count * lists[j]->count; k++) {
                const char *a = *KW_ITEM(const char *, *lists[i], k % lists[i]->count);
                const char *b = *KW_ITEM(const char *, *lists[j], k / lists[i]->count);
                if (strcmp(a, b) != 0) continue;
                const char *key = kw_node_get(node, keys[i]) ? keys[i] : keys[j];
                return kw_fail(err, KW_DUPLICATE, kw_place_of(node, key),
                               "the layer \"%.*s\" is both %s and %s", KW_SHOWN(a), keys[j],
                               keys[i]);
            }
        }
    }
    return KW_OK;
}

// ----------------------------------------------------------------------------------- the whole
// file

static enum kw_status check_currency(const struct kw_shop *shop, const struct kw_node *node,
                                     struct kw_error *err) {
    const char *c = shop->currency;
    bool three = strlen(c) == 3;
    for (int i = 0; three && i < 3; i++)
        three = c[i] >= 'A' && c[i] <= 'Z';
    if (three) return KW_OK;
    return kw_fail(err, KW_FORMAT, kw_place_of(node, "currency"),
                   "expected three capital letters such as USD, got \"%.*s\"", KW_SHOWN(c));
}

static enum kw_status read_from(struct kw_reader *r, const struct kw_shop *shop,
                                const struct kw_node *node, const char *words, bool sheet,
                                struct kw_stock *out, struct kw_error *err) {
    struct kw_place at = kw_place_of(node, "from");
    enum kw_status s = kw_stock_read(shop, words, r->units, at, out, err);
    if (s != KW_OK || sheet == (out->kind == KW_SHEET)) return s;
    return kw_fail(err, KW_FORMAT, at, "expected %s, got \"%.*s\"",
                   sheet ? "a sheet" : "a tube, bar or rod", KW_SHOWN(words));
}

static const char *painted_on(const struct kw_rack_item *item) {
    return item->painted ? item->painted : "";
}

static enum kw_status read_rack(struct kw_reader *r, const struct kw_shop *shop,
                                const struct kw_items *rack, bool sheet, struct kw_error *err) {
    for (int i = 0; i < rack->count; i++) {
        struct kw_rack_item *item = KW_ITEM(struct kw_rack_item, *rack, i);
        enum kw_status s = read_from(r, shop, item->node, item->from, sheet, &item->stock, err);
        if (s != KW_OK) return s;
        for (int j = 0; j < i; j++) {
            const struct kw_rack_item *other = KW_ITEM(struct kw_rack_item, *rack, j);
            bool same = kw_stock_same(&other->stock, &item->stock) &&
                        fabs(other->length - item->length) < KW_SAME_POINT_MM &&
                        fabs(other->width - item->width) < KW_SAME_POINT_MM &&
                        strcmp(painted_on(other), painted_on(item)) == 0;
            if (same) {
                return kw_fail(err, KW_DUPLICATE, kw_place_of(item->node, "from"),
                               "%s in this size twice, the first is on line %d", item->stock.text,
                               other->node->at.line);
            }
        }
    }
    return KW_OK;
}

static enum kw_status read_cut_rules(struct kw_reader *r, const struct kw_shop *shop,
                                     struct kw_error *err) {
    const struct kw_items *rules = &shop->table.rules;
    for (int i = 0; i < rules->count; i++) {
        struct kw_cut_entry *rule = KW_ITEM(struct kw_cut_entry, *rules, i);
        enum kw_status s = read_from(r, shop, rule->node, rule->from, true, &rule->stock, err);
        if (s != KW_OK) return s;
        for (int j = 0; j < i; j++) {
            const struct kw_cut_entry *other = KW_ITEM(struct kw_cut_entry, *rules, j);
            if (kw_stock_same(&other->stock, &rule->stock)) {
                return kw_fail(err, KW_DUPLICATE, kw_place_of(rule->node, "from"),
                               "a second cut rule for %s, the first is on line %d",
                               rule->stock.text, other->node->at.line);
            }
        }
    }
    return KW_OK;
}

static enum kw_status check_marking(const struct kw_shop *shop, struct kw_error *err) {
    const struct kw_scribe *s = &shop->table.controller.scribe;
    if (shop->marking.way == KW_MARK_ETCH && !s->node)
        return kw_fail(err, KW_MISSING, kw_place_of(shop->marking.node, "way"),
                       "expected a `scribe:` in the table's controller to etch with, got none");
    return KW_OK;
}

KW_SHOP_CHECK(kw_shop_check) {
    struct kw_shop *shop = out;
    shop->file = node->at.file;
    enum kw_status s = check_currency(shop, node, err);
    if (s == KW_OK && shop->materials.count == 0) {
        s = kw_fail(err, KW_MISSING, kw_place_of(node, "materials"),
                    "expected at least one material");
    }
    if (s == KW_OK) s = read_rack(r, shop, &shop->sheets, true, err);
    if (s == KW_OK) s = read_rack(r, shop, &shop->sticks, false, err);
    if (s == KW_OK) s = kw_sheets_on_table(shop, err);
    if (s == KW_OK) s = read_cut_rules(r, shop, err);
    if (s == KW_OK) s = kw_bend_table_read(r, shop, err);
    if (s == KW_OK) s = check_marking(shop, err);
    if (s == KW_OK) kw_cut_rows_between(r->arena, shop);
    return s;
}
