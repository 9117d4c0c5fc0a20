// SPDX-License-Identifier: Apache-2.0
// Checks of shop.yaml that no single key can make. Private to shop; called through the table.
#pragma once

#include "shop/shop.h"

#define KW_SHOP_CHECK(name)                                                                        \
    enum kw_status name(struct kw_reader *r, const struct kw_node *node, void *out,                \
                        struct kw_error *err)
KW_SHOP_CHECK(kw_material_check);    ///< fills density and elastic by family; yield against tensile
KW_SHOP_CHECK(kw_sheet_check);       ///< outline and spoiled places on it; a drop isn't bought
KW_SHOP_CHECK(kw_cut_check);         ///< pierce height against cut height
KW_SHOP_CHECK(kw_scribe_check);      ///< two different words of the control
KW_SHOP_CHECK(kw_press_tool_check);  ///< the section: closed, not crossing itself
KW_SHOP_CHECK(kw_press_check);       ///< tool names, back gauge, frames
KW_SHOP_CHECK(kw_dimple_die_check);  ///< flare against pre-hole; fills clear
KW_SHOP_CHECK(kw_bend_row_check);    ///< one of deduction, allowance, k
KW_SHOP_CHECK(kw_bender_die_check);  ///< radius against diameter
KW_SHOP_CHECK(kw_bender_body_check); ///< two rising numbers each
KW_SHOP_CHECK(kw_rates_check);       ///< margin and card fee
KW_SHOP_CHECK(kw_layers_check);      ///< a layer with two roles
KW_SHOP_CHECK(kw_shop_check);        ///< reads all stock words, finds doubles

/// Stock and die of each row of the bend table; refuses doubles.
enum kw_status kw_bend_table_read(struct kw_reader *r, const struct kw_shop *shop,
                                  struct kw_error *err);

/// [[0, 0], [30, 0], [30, 20]] into a struct kw_path, counter-clockwise; sheet_form.c.
enum kw_status kw_read_sheet_outline(struct kw_reader *r, const struct kw_node *node,
                                     const struct kw_field *field, void *out, struct kw_error *err);
/// Sheets that are no whole rectangles lie on the table.
enum kw_status kw_sheets_on_table(const struct kw_shop *shop, struct kw_error *err);

extern const char *const kw_buy_words[]; ///< never, when-short; sheet_form.c
extern const struct kw_form kw_sheet_form, kw_clamp_form;
extern const struct kw_form kw_bend_row_form;
extern const struct kw_form kw_dimple_die_form, kw_shop_press_form, kw_marking_form;
extern const struct kw_form kw_table_form, kw_press_form, kw_bender_form, kw_saw_form;

/// Adds rows for sheets between two rows of their material, where the table says so; cut_rows.c.
void kw_cut_rows_between(struct kw_arena *arena, struct kw_shop *shop);
