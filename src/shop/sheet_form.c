// SPDX-License-Identifier: Apache-2.0
// Sheets on the rack: whole ones, drops of any outline, places on them that are spoiled.
#include "form/fields.h"
#include "shop/shop_check.h"

#define MOST_CORNERS 200
#define OUTLINE_SCHEMA                                                                             \
    "{\"type\":\"array\",\"minItems\":3,\"maxItems\":200,\"items\":{\"type\":\"array\","           \
    "\"minItems\":2,"                                                                              \
    "\"maxItems\":2,\"items\":{\"type\":[\"number\",\"string\"]}}}"

const char *const kw_buy_words[] = {"never", "when-short", NULL};

static const struct kw_field sheet_fields[] = {
    TEXT(kw_rack_item, "from", from, REQUIRED, .example = "11 ga hot-rolled sheet",
         SAYS("Gauge or thickness, material, the word sheet.")),
    QUANTITY(kw_rack_item, "long", length, LENGTH, REQUIRED, ABOVE_ZERO_TO(12500),
             SAYS("Length of the sheet.")),
    QUANTITY(kw_rack_item, "wide", width, LENGTH, REQUIRED, ABOVE_ZERO_TO(4000),
             SAYS("Width of the sheet.")),
    TEXT(kw_rack_item, "name", painted, .example = "S2-A",
         SAYS("The name that is painted on it; papers call for it by that.")),
    CUSTOM(kw_rack_item, "outline", outline, kw_read_sheet_outline, OUTLINE_SCHEMA,
           .example = "[[0, 0], [30, 0], [30, 12], [18, 20], [0, 20]]",
           SAYS("Of a drop that is no whole rectangle of that length and width: its corners one "
                "after another, each [to the right, to the back].")),
    FORMS(kw_rack_item, "spoiled", spoiled, kw_clamp_form,
          SAYS("Places that no part may lie on: rust, a torn corner, an old cut.")),
    COUNT(kw_rack_item, "on_hand", on_hand, .max = 10000, DEFAULT("0"),
          SAYS("How many are on the rack.")),
    WORD(kw_rack_item, "buy", can_buy, kw_buy_words, DEFAULT("when-short"),
         SAYS("Whether more of this size can be bought; never, of one with an outline or spoiled "
              "places.")),
    QUANTITY(kw_rack_item, "price", price, MONEY, .max = 100000, DEFAULT("0"),
             SAYS("Price of one; 0 reckons it from the mass.")),
    COUNT(kw_rack_item, "delivery_days", delivery_days, .max = 365,
          SAYS("Working days from the order until it is here, such as 3. Without it, those of the "
               "whole shop.")),
    {0},
};
const struct kw_form kw_sheet_form = {"sheet", "A size of sheet on the rack or from the supplier.",
                                      sizeof(struct kw_rack_item), sheet_fields, kw_sheet_check};

static enum kw_status read_corner(struct kw_reader *r, const struct kw_node *p, struct kw_vertex *v,
                                  struct kw_error *err) {
    if (p->kind != KW_LIST || p->count != 2)
        return kw_fail(err, KW_FORMAT, p->at, "expected a corner such as [30, 12]");
    double *xy[2] = {&v->x, &v->y};
    enum kw_status s = KW_OK;
    for (int k = 0; s == KW_OK && k < 2; k++)
        s = kw_node_quantity(r, &p->items[k], KW_DIM_LENGTH, 0, KW_MOST_MM, xy[k], err);
    return s;
}

enum kw_status kw_read_sheet_outline(struct kw_reader *r, const struct kw_node *node,
                                     const struct kw_field *field, void *out,
                                     struct kw_error *err) {
    (void)field;
    if (node->kind != KW_LIST || node->count < 3 || node->count > MOST_CORNERS)
        return kw_fail(err, KW_FORMAT, node->at,
                       "expected 3 to %d corners such as [[0, 0], [30, 0], [30, 20]]",
                       MOST_CORNERS);
    struct kw_path p = {.v = KW_NEW_ARRAY(r->arena, struct kw_vertex, node->count),
                        .count = node->count};
    for (int i = 0; i < node->count; i++) {
        enum kw_status s = read_corner(r, &node->items[i], &p.v[i], err);
        if (s != KW_OK) return s;
    }
    enum kw_status s = kw_path_check(&p, node->at, err);
    if (s == KW_OK) *(struct kw_path *)out = kw_path_oriented(r->arena, &p, true);
    return s;
}

static enum kw_status within(const struct kw_rack_item *item, struct kw_box2 b, struct kw_place at,
                             const char *what, struct kw_error *err) {
    double slack = KW_SAME_POINT_MM;
    if (b.max.x <= item->length + slack && b.max.y <= item->width + slack) return KW_OK;
    return kw_fail(err, KW_RANGE, at, "expected %s on the sheet, %.1f x %.1f mm, got %.1f, %.1f mm",
                   what, item->length, item->width, b.max.x, b.max.y);
}

KW_SHOP_CHECK(kw_sheet_check) {
    struct kw_rack_item *item = out;
    enum kw_status s = KW_OK;
    (void)r;
    if (item->outline.count > 0)
        s = within(item, kw_path_box(&item->outline), kw_place_of(node, "outline"), "corners", err);
    for (int i = 0; s == KW_OK && i < item->spoiled.count; i++) {
        const struct kw_clamp *c = KW_ITEM(struct kw_clamp, item->spoiled, i);
        struct kw_box2 box = {kw_v2(c->from_left, c->from_front),
                              kw_v2(c->from_left + c->length, c->from_front + c->width)};
        s = within(item, box, c->node->at, "a spoiled place", err);
    }
    if (s != KW_OK || (item->outline.count == 0 && item->spoiled.count == 0)) return s;
    if (kw_node_get(node, "buy") && item->can_buy)
        return kw_fail(err, KW_FORMAT, kw_place_of(node, "buy"),
                       "a drop can't be bought again, expected never, got \"when-short\"");
    item->can_buy = 0;
    return KW_OK;
}

enum kw_status kw_sheets_on_table(const struct kw_shop *shop, struct kw_error *err) {
    const struct kw_table *t = &shop->table;
    for (int i = 0; i < shop->sheets.count && t->node; i++) {
        const struct kw_rack_item *item = KW_ITEM(struct kw_rack_item, shop->sheets, i);
        if (item->outline.count == 0) continue;
        struct kw_box2 b = kw_path_box(&item->outline);
        if (b.max.x <= t->length + KW_SAME_POINT_MM && b.max.y <= t->width + KW_SAME_POINT_MM)
            continue;
        return kw_fail(
            err, KW_RANGE, kw_place_of(item->node, "outline"),
            "expected corners on the table, %.1f x %.1f mm, got %.1f, %.1f mm: cut it up",
            t->length, t->width, b.max.x, b.max.y);
    }
    return KW_OK;
}
