// SPDX-License-Identifier: Apache-2.0
// shop.yaml as a whole: what is read, what is filled in, what does not go together.
#include "shop/shop.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static const char *const head = "shop: S\ncurrency: USD\nunits: in\n";
static const char *const metals =
    "materials: { hr: { family: steel, tensile: 55 ksi, yield: 36 ksi, price_per_kg: 2 } }\n";
static const char *const rates = "rates: { labour: 30, margin: 30 % }\n";

static enum kw_status read(struct kw_arena *a, const char *text, struct kw_shop *shop,
                           struct kw_error *err) {
    const struct kw_node *root;
    struct kw_reader r = {.arena = a};
    memset(shop, 0, sizeof *shop);
    enum kw_status s = kw_yaml_parse(a, "shop.yaml", text, strlen(text), &root, err);
    cr_assert_eq(s, KW_OK, "%d:%d %s in %s", err->at.line, err->at.column, err->text, text);
    return kw_form_read(&r, &kw_shop_form, root, shop, err);
}

Test(shop_file, the_base_folder_of_the_cases_is_read) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_shop *shop;
    cr_assert_eq(kw_shop_read(&a, "tests/cases/_base", &shop, &err), KW_OK, "%s", err.text);
    cr_expect_str_eq(shop->name, "Alder Lane Yard Works");
    cr_expect_str_eq(shop->file, "tests/cases/_base/shop.yaml");
    struct kw_stock s;
    struct kw_place at = {0};
    cr_assert_eq(kw_stock_read(shop, "14 ga hot-rolled sheet", KW_IN, at, &s, &err), KW_OK);
    const struct kw_cut_entry *rule = kw_shop_cut_rule(shop, &s);
    cr_assert_not_null(rule);
    cr_expect_float_eq(rule->feed, 220 * 25.4 / 60, 1e-9, "a bare speed is in/min here");
    cr_expect_float_eq(rule->kerf, 0.055 * 25.4, 1e-12);
    cr_expect_float_eq(rule->hole_feed, 0.6, 1e-15);
    cr_assert_eq(kw_stock_read(shop, "12 ga hot-rolled sheet", KW_IN, at, &s, &err), KW_OK);
    cr_expect_null(kw_shop_cut_rule(shop, &s), "nothing between 11 and 14 ga is guessed");
    cr_expect_str_eq(kw_shop_material(shop, &s)->name, "hot-rolled");
    cr_expect_float_eq(kw_shop_hardware(shop, "flange nut 3/8-16")->mass, 0.012, 1e-15);
    cr_expect_null(kw_shop_hardware(shop, "flange nut"));
    cr_expect_eq(shop->layers.cut.count, 2);
    kw_arena_free(&a);
}

Test(shop_file, a_folder_without_a_shop_file_says_so) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_shop *shop;
    cr_expect_eq(kw_shop_read(&a, "tests/cases", &shop, &err), KW_MISSING);
    cr_expect_str_eq(err.at.file, "tests/cases/shop.yaml");
    cr_expect_null(shop);
    kw_arena_free(&a);
}

Test(shop_file, the_least_shop_has_no_machines_and_the_usual_defaults) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_shop shop;
    cr_assert_eq(read(&a, kw_format(&a, "%s%s%s", head, metals, rates), &shop, &err), KW_OK, "%s",
                 err.text);
    cr_expect(!shop.table.node && !shop.press.node && !shop.bender.node && !shop.saw.node);
    const struct kw_material *m = KW_ITEM(struct kw_material, shop.materials, 0);
    cr_expect_float_eq(m->density, 7850.0, 1e-9);
    cr_expect_float_eq(m->elastic, 200000.0, 1e-9);
    cr_expect_float_eq(m->tensile, 55 * KW_MPA_PER_KSI, 1e-9);
    cr_expect_float_eq(shop.bending.k, 0.44, 1e-15);
    cr_expect_float_eq(shop.rates.scrap, 0.04, 1e-15);
    cr_expect_float_eq(shop.hours.press, 40 * 3600.0, 1e-9);
    cr_expect_str_eq(*KW_ITEM(const char *, shop.layers.bend_up, 0), "BEND_UP");
    kw_arena_free(&a);
}

// 490 lb/ft3 plate basis: 3/16 in weighs 7.65 lb/ft2 and 1/4 in 10.20 lb/ft2 (steel chart);
// 1-1/4 x 0.083 round tube 1.034 lb/ft = 10.69 t (D - t) lb/ft, the pipe-weight formula.
Test(shop_file, masses_are_those_of_the_supplier_tables) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_shop shop;
    cr_assert_eq(read(&a,
                      kw_format(&a,
                                "%s%s%ssheets:\n"
                                "  - { from: 3/16 hr sheet, long: 12, wide: 12 }\n"
                                "  - { from: 1/4 hr sheet, long: 12, wide: 12, price: 9 }\n"
                                "sticks:\n"
                                "  - { from: 1-1/4 x 0.083 round tube, long: 12 }\n"
                                "  - { from: 1 x 1/4 flat bar, long: 12 }\n"
                                "  - { from: 1/2 round rod, long: 12 }\n",
                                head, metals, rates),
                      &shop, &err),
                 KW_OK, "%s", err.text);
    static const double pounds[] = {7.65, 10.20, 10.69 * 0.083 * (1.25 - 0.083), 0.850, 0.668};
    for (int i = 0; i < 5; i++) {
        const struct kw_rack_item *item = i < 2 ? KW_ITEM(struct kw_rack_item, shop.sheets, i)
                                                : KW_ITEM(struct kw_rack_item, shop.sticks, i - 2);
        double got = kw_rack_item_mass(&shop, item) / KW_KG_PER_LB;
        cr_expect_float_eq(got, pounds[i], pounds[i] * 0.003, "%s: %g lb", item->stock.text, got);
        cr_expect_eq(item->can_buy, 1);
        double price = kw_rack_item_price(&shop, item);
        cr_expect_float_eq(price, i == 1 ? 9.0 : got * KW_KG_PER_LB * 2, 1e-9);
    }
    kw_arena_free(&a);
}

#define RULE                                                                                       \
    "kerf: 0.06, feed: 150, pierce_delay: 0.4, pierce_height: 0.15, cut_height: 0.06, lead_in: "   \
    "0.2"

Test(shop_file, refuses_what_does_not_go_together) {
    static const struct {
        const char *tail, *line;
        enum kw_status status;
    } cases[] = {
        {"sheets:\n  - { from: 11 ga hr sheet, long: 96, wide: 48 }\n"
         "  - { from: 0.1196 hr sheet, long: 8 ft, wide: 4 ft }\n",
         "shop.yaml:8:13: 11 ga hr sheet in this size twice, the first is on line 7", KW_DUPLICATE},
        {"sheets: [{ from: 1 x 0.065 round tube, long: 9, wide: 1 }]",
         "shop.yaml:6:18: expected a sheet, got \"1 x 0.065 round tube\"", KW_FORMAT},
        {"sticks: [{ from: 11 ga hr sheet, long: 9 }]",
         "shop.yaml:6:18: expected a tube, bar or rod, got \"11 ga hr sheet\"", KW_FORMAT},
        {"sheets: [{ from: 11 ga rusty sheet, long: 9, wide: 9 }]",
         "shop.yaml:6:18: unknown material \"rusty\", expected one of hr", KW_UNKNOWN},
        {"table:\n  long: 96\n  wide: 48\n  cut_rules:\n    - { from: 11 ga hr sheet, " RULE
         " }\n    - { from: 11 ga hr sheet, " RULE " }\n",
         "shop.yaml:11:15: a second cut rule for 11 ga hr sheet, the first is on line 10",
         KW_DUPLICATE},
        {"table:\n  long: 96\n  wide: 48\n  cut_rules: [{ from: 11 ga hr sheet, kerf: 0.06, feed: "
         "9, "
         "pierce_delay: 0, pierce_height: 1 mm, cut_height: 2 mm, lead_in: 0 }]",
         "shop.yaml:9:92: expected a pierce height of at least the cut height, 2.00 mm, got 1.00 "
         "mm",
         KW_RANGE},
        {"press:\n  { rating: 60 ton, bed: 78, between_frames: 62, open_height: 15, stroke: 4,\n"
         "    dies: { T-1: { opening: 1, height: 3, length: 72, rating: 15 } },\n"
         "    punches: { T-1: { radius: 0.03, height: 4, length: 72, rating: 15 } } }\n",
         "shop.yaml:9:16: the tool name \"T-1\" twice, there is a die of that name on line 8",
         KW_DUPLICATE},
        {"press: { rating: 60 ton, bed: 60, between_frames: 62, open_height: 15, stroke: 4, dies: "
         "{}, punches: {} }",
         "shop.yaml:6:51: expected at most the length of the bed, 1524.0 mm, got 1574.8 mm",
         KW_RANGE},
        {"press: { rating: 60 ton, bed: 78, between_frames: 62, open_height: 15, stroke: 4, "
         "gauge_least: 5, dies: {}, punches: {} }",
         "shop.yaml:6:96: expected a back gauge that goes farther than it comes near, got 127.0 to "
         "0.0 mm",
         KW_RANGE},
        {"bender: { most_wall: 0.1, dies: { T: { od: 2, radius: 1, clamp: 2 } } }",
         "shop.yaml:6:55: expected a centreline radius above half the tube's diameter, 25.40 mm, "
         "got "
         "25.40 mm",
         KW_RANGE},
        {"layers: { cut: [A, B], mark: B }", "shop.yaml:6:30: the layer \"B\" is both cut and mark",
         KW_DUPLICATE},
        {"layers: { mark: CUT }", "shop.yaml:6:17: the layer \"CUT\" is both cut and mark",
         KW_DUPLICATE},
        {"hardware: { hex bolt: { price: 1 } }",
         "shop.yaml:6:23: missing key \"mass\" of the hardware item", KW_MISSING},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_arena a = {0};
        struct kw_error err = {0};
        struct kw_shop shop;
        char got[900];
        const char *text = kw_format(&a, "%s%s%s%s\n", head, metals, rates, cases[i].tail);
        cr_expect_eq(read(&a, text, &shop, &err), cases[i].status, "%s", cases[i].tail);
        kw_error_line(&err, got, sizeof got);
        cr_expect_str_eq(got, cases[i].line, "\n got %s\nwant %s", got, cases[i].line);
        kw_arena_free(&a);
    }
}

Test(shop_file, refuses_money_and_metal_that_can_not_be) {
    static const struct {
        const char *text, *line;
    } cases[] = {
        {"shop: S\ncurrency: dollars\nunits: in\n"
         "materials: { hr: { family: steel, tensile: 55 ksi, yield: 36 ksi } }\n"
         "rates: { labour: 30, margin: 30 % }\n",
         "shop.yaml:2:11: expected three capital letters such as USD, got \"dollars\""},
        {"shop: S\ncurrency: USD\nunits: in\nmaterials: {}\nrates: { labour: 30, margin: 0.3 }\n",
         "shop.yaml:4:12: expected at least one material"},
        {"shop: S\ncurrency: USD\nunits: in\n"
         "materials: { hr: { family: steel, tensile: 55 ksi, yield: 36 ksi } }\n"
         "rates: { labour: 30, margin: 94 %, card_fee: 3 % }\n",
         "shop.yaml:5:30: expected margin and card fee of at most 95 % together, got 97.0 %"},
        {"shop: S\ncurrency: USD\nunits: in\n"
         "materials: { hr: { family: steel, tensile: 250, yield: 300 } }\n"
         "rates: { labour: 30, margin: 30 % }\n",
         "shop.yaml:4:56: expected a yield strength of at most the tensile strength, 250 MPa, got "
         "300 MPa"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_arena a = {0};
        struct kw_error err = {0};
        struct kw_shop shop;
        char got[900];
        cr_expect_neq(read(&a, cases[i].text, &shop, &err), KW_OK);
        kw_error_line(&err, got, sizeof got);
        cr_expect_str_eq(got, cases[i].line, "\n got %s\nwant %s", got, cases[i].line);
        kw_arena_free(&a);
    }
}

// Every key and word of the table, all forms: none reads as true, false or nothing in YAML 1.1.
static void check_words(const struct kw_form *form, int *seen) {
    static const char *const bad[] = {"on",    "off",  "yes", "no", "true",
                                      "false", "null", "y",   "n",  "~"};
    for (const struct kw_field *f = form->fields; f->key; f++) {
        (*seen)++;
        cr_expect(f->meaning && strlen(f->meaning) > 10, "%s.%s has no meaning", form->name,
                  f->key);
        for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
            cr_expect_neq(strcmp(f->key, bad[i]), 0, "key %s", f->key);
            for (int w = 0; f->words && f->words[w]; w++) {
                cr_expect_neq(strcmp(f->words[w], bad[i]), 0, "word %s", f->words[w]);
            }
        }
        if (f->form) check_words(f->form, seen);
    }
}

Test(shop_file, no_key_or_word_reads_as_true_or_false) {
    int seen = 0;
    check_words(&kw_shop_form, &seen);
    cr_expect_gt(seen, 110);
}
