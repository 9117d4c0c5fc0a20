// SPDX-License-Identifier: Apache-2.0
// The shop's own bend table: one row for a sheet and a die.
#include "form/fields.h"
#include "shop/shop_check.h"

#include <string.h>

static const struct kw_field row_fields[] = {
    TEXT(kw_bend_row, "from", from, REQUIRED, .example = "11 ga hot-rolled sheet",
         SAYS("Gauge or thickness, material, the word sheet.")),
    TEXT(kw_bend_row, "die", die_name, .example = "D-100",
         SAYS("Shelf number of the die; without it the row holds for every die that has no row of "
              "its own.")),
    QUANTITY(kw_bend_row, "deduction", deduction, LENGTH, ABOVE_ZERO_TO(200),
             SAYS("What a bend of 90 degrees takes from the sum of its two outside legs, over the "
                  "die named.")),
    QUANTITY(
        kw_bend_row, "allowance", allowance, LENGTH, ABOVE_ZERO_TO(200),
        SAYS("Flat length of a bend of 90 degrees, from tangent to tangent, over the die named.")),
    QUANTITY(kw_bend_row, "k", k, NUMBER, .max = 0.6, .above_min = true,
             SAYS("Where the neutral line lies, as a part of the thickness from the inside.")),
    {0},
};
const struct kw_form kw_bend_row_form = {
    "bend row",
    "What one bend of 90 degrees takes in this shop: one of deduction, allowance and k.",
    sizeof(struct kw_bend_row), row_fields, kw_bend_row_check};

KW_SHOP_CHECK(kw_bend_row_check) {
    (void)r;
    static const char *const keys[] = {"deduction", "allowance", "k"};
    const struct kw_node *first = NULL;
    for (int i = 0; i < 3; i++) {
        const struct kw_node *child = kw_node_get(node, keys[i]);
        if (child && first) {
            return kw_fail(err, KW_DUPLICATE, child->key_at,
                           "expected one of deduction, allowance and k, got %s besides %s", keys[i],
                           first->key);
        }
        if (child) first = child;
    }
    ((struct kw_bend_row *)out)->die = -1;
    if (first) return KW_OK;
    return kw_fail(err, KW_MISSING, node->at,
                   "missing one of \"deduction\", \"allowance\" and \"k\" of the bend row");
}

static const struct kw_press_tool *tool_of(const struct kw_press *press, struct kw_items tools,
                                           int i) {
    if (i < 0) return NULL;
    return i < tools.count ? KW_ITEM(struct kw_press_tool, tools, i)
                           : KW_ITEM(struct kw_press_tool, press->hemming, i - tools.count);
}

const char *kw_press_die_name(const struct kw_press *press, int i) {
    const struct kw_press_tool *t = tool_of(press, press->dies, i);
    return t ? t->name : "none";
}

const char *kw_press_punch_name(const struct kw_press *press, int i) {
    const struct kw_press_tool *t = tool_of(press, press->punches, i);
    return t ? t->name : "none";
}

struct kw_items kw_press_die_segments(const struct kw_press *press, int i) {
    const struct kw_press_tool *t = tool_of(press, press->dies, i);
    return t ? t->segments : (struct kw_items){0};
}

struct kw_items kw_press_punch_segments(const struct kw_press *press, int i) {
    const struct kw_press_tool *t = tool_of(press, press->punches, i);
    return t ? t->segments : (struct kw_items){0};
}

int kw_press_die(const struct kw_shop *shop, const char *name) {
    for (int i = 0; i < shop->press.dies.count; i++)
        if (strcmp(KW_ITEM(struct kw_press_tool, shop->press.dies, i)->name, name) == 0) return i;
    return -1;
}

static enum kw_status find_die(struct kw_reader *r, const struct kw_shop *shop,
                               struct kw_bend_row *row, struct kw_error *err) {
    if (!row->die_name) return KW_OK;
    row->die = kw_press_die(shop, row->die_name);
    if (row->die >= 0) return KW_OK;
    const char **names = KW_NEW_ARRAY(r->arena, const char *, shop->press.dies.count + 1);
    for (int i = 0; i < shop->press.dies.count; i++)
        names[i] = KW_ITEM(struct kw_press_tool, shop->press.dies, i)->name;
    const char *near = kw_nearest_word(row->die_name, names);
    return kw_fail(err, KW_UNKNOWN, kw_place_of(row->node, "die"),
                   "the press has no die \"%.*s\"%s%s%s", KW_SHOWN(row->die_name),
                   near ? ", did you mean \"" : "", near ? near : "", near ? "\"?" : "");
}

static enum kw_status check_double(const struct kw_shop *shop, int i, struct kw_error *err) {
    const struct kw_bend_row *row = KW_ITEM(struct kw_bend_row, shop->bend_table, i);
    for (int j = 0; j < i; j++) {
        const struct kw_bend_row *other = KW_ITEM(struct kw_bend_row, shop->bend_table, j);
        if (other->die != row->die || !kw_stock_same(&other->stock, &row->stock)) continue;
        return kw_fail(err, KW_DUPLICATE, kw_place_of(row->node, "from"),
                       "a second bend row for %s over %s, the first is on line %d", row->stock.text,
                       row->die_name ? row->die_name : "any die", other->node->at.line);
    }
    return KW_OK;
}

/// A deduction or allowance that puts the neutral line a thickness or more out of the metal is a
/// slip of the pen. The radius is about 0.16 of the opening (shape.h), closely enough for that.
static enum kw_status check_length(const struct kw_shop *shop, const struct kw_bend_row *row,
                                   struct kw_error *err) {
    if (row->k > 0) return KW_OK;
    const char *key = row->deduction > 0 ? "deduction" : "allowance";
    struct kw_place at = kw_place_of(row->node, key);
    if (row->die < 0) {
        return kw_fail(err, KW_MISSING, at,
                       "a %s holds for one die: expected die: beside it, or k: for any die", key);
    }
    double t = row->stock.thickness;
    double r = 0.16 * KW_ITEM(struct kw_press_tool, shop->press.dies, row->die)->opening;
    double allowance = row->allowance > 0 ? row->allowance : 2 * (r + t) - row->deduction;
    double k = (allowance / (KW_PI / 2) - r) / t;
    if (k > -1 && k < 2) return KW_OK;
    double usual = KW_PI / 2 * (r + 0.44 * t);
    if (row->deduction > 0) usual = 2 * (r + t) - usual;
    return kw_fail(err, KW_RANGE, at,
                   "no bend in %s over %s has a %s of %.2f mm: about %.2f mm is "
                   "usual",
                   row->stock.text, row->die_name, key,
                   row->deduction > 0 ? row->deduction : row->allowance, usual);
}

enum kw_status kw_bend_table_read(struct kw_reader *r, const struct kw_shop *shop,
                                  struct kw_error *err) {
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < shop->bend_table.count; i++) {
        struct kw_bend_row *row = KW_ITEM(struct kw_bend_row, shop->bend_table, i);
        struct kw_place at = kw_place_of(row->node, "from");
        s = kw_stock_read(shop, row->from, r->units, at, &row->stock, err);
        if (s == KW_OK && row->stock.kind != KW_SHEET)
            s = kw_fail(err, KW_FORMAT, at, "expected a sheet, got \"%.*s\"", KW_SHOWN(row->from));
        if (s == KW_OK) s = find_die(r, shop, row, err);
        if (s == KW_OK) s = check_length(shop, row, err);
        if (s == KW_OK) s = check_double(shop, i, err);
    }
    return s;
}
