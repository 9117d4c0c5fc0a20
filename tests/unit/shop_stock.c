// SPDX-License-Identifier: Apache-2.0
// Stock words: what they mean, that they say the same back, and every refusal.
#include "shop/shop.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static const char *const inch_shop =
    "shop: S\ncurrency: USD\nunits: in\nmaterials:\n"
    "  galv: { family: galvanized, tensile: 50 ksi, yield: 30 ksi }\n"
    "  hot-rolled: { family: steel, tensile: 55 ksi, yield: 36 ksi }\n"
    "  alu: { family: aluminum, tensile: 40 ksi, yield: 30 ksi }\n"
    "rates: { labour: 30, margin: 30 % }\n";

static struct kw_shop *make_shop(struct kw_arena *a, const char *text, enum kw_length_unit units) {
    struct kw_error err = {0};
    const struct kw_node *root;
    struct kw_shop *shop = KW_NEW(a, struct kw_shop);
    struct kw_reader r = {.arena = a};
    cr_assert_eq(kw_yaml_parse(a, "shop.yaml", text, strlen(text), &root, &err), KW_OK);
    cr_assert_eq(kw_form_read(&r, &kw_shop_form, root, shop, &err), KW_OK, "%s", err.text);
    shop->units = (int)units;
    return shop;
}

struct meaning {
    const char *words;
    enum kw_stock_kind kind;
    double thickness, width, height; // inches
    const char *text;
    int material;
};
static const struct meaning meanings[] = {
    {"11 ga hot-rolled sheet", KW_SHEET, .1196, 0, 0, "11 ga hot-rolled sheet", 1},
    {"11ga hot-rolled sheet", KW_SHEET, .1196, 0, 0, "11 ga hot-rolled sheet", 1},
    {"11 gauge hot-rolled  sheet", KW_SHEET, .1196, 0, 0, "11 ga hot-rolled sheet", 1},
    {"0.1196 in hot-rolled sheet", KW_SHEET, .1196, 0, 0, "11 ga hot-rolled sheet", 1},
    {"0.12 hot-rolled sheet", KW_SHEET, .1196, 0, 0, "11 ga hot-rolled sheet", 1},
    {"11 ga galv sheet", KW_SHEET, .1233, 0, 0, "11 ga galv sheet", 0},
    {"11 ga alu sheet", KW_SHEET, .0907, 0, 0, "11 ga alu sheet", 2},
    {"3/16 in hot-rolled sheet", KW_SHEET, .1875, 0, 0, "3/16 in hot-rolled sheet", 1},
    {"3/16 hot-rolled plate", KW_SHEET, .1875, 0, 0, "3/16 in hot-rolled sheet", 1},
    {"0.1875in hot-rolled sheet", KW_SHEET, .1875, 0, 0, "3/16 in hot-rolled sheet", 1},
    {"2 mm galv sheet", KW_SHEET, 2 / 25.4, 0, 0, "2 mm galv sheet", 0},
    {"1-1/4 x 0.083 round tube", KW_ROUND_TUBE, .083, 1.25, 1.25, "1-1/4 x 0.083 round tube", 1},
    {"1-1/4x0.083 round tube", KW_ROUND_TUBE, .083, 1.25, 1.25, "1-1/4 x 0.083 round tube", 1},
    {"1.25 in x .083 in hot-rolled round tube", KW_ROUND_TUBE, .083, 1.25, 1.25,
     "1-1/4 x 0.083 round tube", 1},
    {"1 x 0.065 alu round tube", KW_ROUND_TUBE, .065, 1, 1, "1 x 0.065 alu round tube", 2},
    {"1 x 0.065 square tube", KW_SQUARE_TUBE, .065, 1, 1, "1 x 0.065 square tube", 1},
    {"1 x 1 x 0.065 square tube", KW_SQUARE_TUBE, .065, 1, 1, "1 x 0.065 square tube", 1},
    {"2 x 1 x 0.083 rectangular tube", KW_SQUARE_TUBE, .083, 2, 1, "2 x 1 x 0.083 rectangular tube",
     1},
    {"1 x 3/16 flat bar", KW_FLAT_BAR, .1875, 1, .1875, "1 x 3/16 flat bar", 1},
    {"3/8 round rod", KW_ROUND_ROD, .375, .375, .375, "3/8 round rod", 1},
    {"1 x 1 x 1/8 angle bar", KW_ANGLE_BAR, .125, 1, 1, "1 x 1 x 1/8 angle bar", 1},
};

Test(shop_stock, words_mean_what_the_trade_means) {
    struct kw_arena a = {0};
    struct kw_shop *shop = make_shop(&a, inch_shop, KW_IN);
    for (size_t i = 0; i < sizeof meanings / sizeof *meanings; i++) {
        const struct meaning *m = &meanings[i];
        struct kw_error err = {0};
        struct kw_stock s, again;
        struct kw_place at = {"k.yaml", 3, 4};
        cr_assert_eq(kw_stock_read(shop, m->words, KW_IN, at, &s, &err), KW_OK, "%s: %s", m->words,
                     err.text);
        cr_expect_eq(s.kind, m->kind, "%s", m->words);
        cr_expect_eq(s.material, m->material, "%s", m->words);
        cr_expect_float_eq(s.thickness / 25.4, m->thickness, 1e-9, "%s", m->words);
        cr_expect_float_eq(s.width / 25.4, m->width, 1e-9, "%s", m->words);
        cr_expect_float_eq(s.height / 25.4, m->height, 1e-9, "%s", m->words);
        cr_expect_str_eq(s.text, m->text, "%s: %s", m->words, s.text);
        cr_assert_eq(kw_stock_read(shop, s.text, KW_IN, at, &again, &err), KW_OK, "%s", err.text);
        cr_expect(kw_stock_same(&s, &again), "%s and %s", s.text, again.text);
    }
    kw_arena_free(&a);
}

Test(shop_stock, the_same_stock_from_files_of_either_unit) {
    struct kw_arena a = {0};
    struct kw_shop *shop = make_shop(&a, inch_shop, KW_IN);
    struct kw_error err = {0};
    struct kw_stock in, mm;
    struct kw_place at = {0};
    cr_assert_eq(kw_stock_read(shop, "1 x 0.125 round tube", KW_IN, at, &in, &err), KW_OK);
    cr_assert_eq(kw_stock_read(shop, "25.4 x 3.175 round tube", KW_MM, at, &mm, &err), KW_OK);
    cr_expect(kw_stock_same(&in, &mm));
    shop->units = KW_MM;
    cr_assert_eq(kw_stock_read(shop, "30 x 2 round tube", KW_MM, at, &mm, &err), KW_OK);
    cr_expect_str_eq(mm.text, "30 x 2 round tube");
    cr_assert_eq(kw_stock_read(shop, "1.5 hot-rolled sheet", KW_MM, at, &mm, &err), KW_OK);
    cr_expect_str_eq(mm.text, "1.5 mm hot-rolled sheet", "16 ga is 1.519 mm, not this");
    cr_expect_not(kw_stock_same(&in, &mm));
    cr_expect_float_eq(mm.thickness_most, 1.5, 1e-12);
    kw_arena_free(&a);
}

Test(shop_stock, words_of_the_rack_mean_the_racks_stock_in_a_kit_of_the_other_unit) {
    struct kw_arena a = {0};
    struct kw_shop *shop = make_shop(&a, inch_shop, KW_IN);
    struct kw_place at = {0};
    struct kw_rack_item stick = {.length = 6096};
    struct kw_stock s;
    cr_assert_eq(kw_stock_read(shop, "1 x 0.065 square tube", KW_IN, at, &stick.stock, NULL),
                 KW_OK);
    shop->sticks = (struct kw_items){&stick, 1};
    cr_assert_eq(kw_stock_meant(shop, "1 x 0.065 square tube", KW_MM, at, &s, NULL), KW_OK);
    cr_expect(kw_stock_same(&s, &stick.stock), "%s", s.text);
    cr_assert_eq(kw_stock_meant(shop, "25.4 x 1.651 square tube", KW_MM, at, &s, NULL), KW_OK);
    cr_expect(kw_stock_same(&s, &stick.stock), "%s", s.text);
    cr_assert_eq(kw_stock_meant(shop, "40 x 2 square tube", KW_MM, at, &s, NULL), KW_OK);
    cr_expect_float_eq(s.width, 40, 1e-9, "neither is on the rack: as the kit counts");
    cr_expect_eq(kw_stock_meant(shop, "1 x 0.9 square tube", KW_MM, at, &s, NULL), KW_RANGE);
    kw_arena_free(&a);
}

Test(shop_stock, gauges_bring_their_limits) {
    struct kw_arena a = {0};
    struct kw_shop *shop = make_shop(&a, inch_shop, KW_IN);
    struct kw_stock s;
    struct kw_place at = {0};
    cr_assert_eq(kw_stock_read(shop, "0.1196 hot-rolled sheet", KW_IN, at, &s, NULL), KW_OK);
    cr_expect_float_eq(s.thickness_least / 25.4, .1116, 1e-12);
    cr_expect_float_eq(s.thickness_most / 25.4, .1276, 1e-12);
    kw_arena_free(&a);
}

Test(shop_stock, refuses_with_words_that_help) {
    static const struct {
        const char *words, *text;
        enum kw_status status;
    } cases[] = {
        {"11.5 ga hot-rolled sheet",
         "no gauge \"11.5 ga\" in the steel table, expected one of 7, 8, 9, 10, 11, 12, 13, 14, "
         "15, "
         "16, 17, 18, 19, 20",
         KW_UNKNOWN},
        {"40 ga alu sheet",
         "no gauge \"40 ga\" in the aluminium table, expected one of 10, 11, 12, 14, 16, 18, 20",
         KW_UNKNOWN},
        {"16 1 ga galv sheet",
         "no gauge \"16 1 ga\" in the galvanised table, expected one of 8, 9, 10, 11, 12, 13, 14, "
         "15, 16, 17, 18, 19, 20",
         KW_UNKNOWN},
        {"11 hot-rolled sheet",
         "\"11\" alone could be a gauge or a thickness, write \"11 ga\" or \"11 in\"", KW_UNIT},
        {"hot-rolled sheet",
         "expected a gauge or thickness first, such as \"11 ga hot-rolled sheet\", got "
         "\"hot-rolled sheet\"",
         KW_MISSING},
        {"11 ga sheet",
         "expected a material before \"sheet\", such as \"11 ga hot-rolled sheet\", got \"11 ga "
         "sheet\"",
         KW_MISSING},
        {"11 ga hot-roled sheet",
         "unknown material \"hot-roled\", expected one of galv, hot-rolled, alu, did you mean "
         "\"hot-rolled\"?",
         KW_UNKNOWN},
        {"1 x 0.065 brass round tube",
         "unknown material \"brass\", expected one of galv, hot-rolled, alu", KW_UNKNOWN},
        {"1-1/4 x 0.083 tube",
         "expected a stock that ends in sheet, pipe, round tube, square tube, flat bar, round rod "
         "or "
         "angle bar, got \"1-1/4 x 0.083 tube\"",
         KW_FORMAT},
        {"steel",
         "expected a stock that ends in sheet, pipe, round tube, square tube, flat bar, round rod "
         "or "
         "angle bar, got \"steel\"",
         KW_FORMAT},
        {"1-1/4 round tube",
         "expected sizes as in \"1-1/4 x 0.083 round tube\", got \"1-1/4 round tube\"", KW_FORMAT},
        {"1 x 2 x 3 x 4 square tube",
         "expected sizes as in \"1 x 0.065 square tube\", got \"1 x 2 x 3 x 4 square tube\"",
         KW_FORMAT},
        {"1 x 16 ga square tube",
         "tube and bar have no sheet gauge, write the wall as a length such as 0.065, got \"1 x 16 "
         "ga square tube\"",
         KW_UNIT},
        {"1 x 0.5 round tube", "the wall leaves nothing inside in \"1 x 0.5 round tube\"",
         KW_RANGE},
        {"3/16 x 1 flat bar",
         "expected the width first and the thickness last, got \"3/16 x 1 flat bar\"", KW_RANGE},
        {"-3 round rod", "expected a size above 0 and at most 500 mm, got \"-3\"", KW_RANGE},
        {"30 round rod", "expected a size above 0 and at most 500 mm, got \"30\"", KW_RANGE},
        {"3 in hot-rolled sheet",
         "expected a sheet from 0.2 mm to 1 in thick, got \"3 in hot-rolled sheet\"", KW_RANGE},
        {"nan hot-rolled sheet", "expected a length such as 1-1/2 in or 38.1 mm, got \"nan\"",
         KW_UNIT},
        {"1 kg hot-rolled sheet", "expected a length such as 1-1/2 in or 38.1 mm, got \"1 kg\"",
         KW_UNIT},
        {"", "expected a stock that ends in", KW_FORMAT},
    };
    struct kw_arena a = {0};
    struct kw_shop *shop = make_shop(&a, inch_shop, KW_IN);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_error err = {0};
        struct kw_stock s;
        struct kw_place at = {"k.yaml", 3, 4};
        enum kw_status got = kw_stock_read(shop, cases[i].words, KW_IN, at, &s, &err);
        bool whole = cases[i].words[0] != 0;
        cr_expect_eq(got, cases[i].status, "%s: %s", cases[i].words, err.text);
        cr_expect(
            strncmp(err.text, cases[i].text, whole ? sizeof err.text : strlen(cases[i].text)) == 0,
            "\n got %s\nwant %s", err.text, cases[i].text);
        cr_expect(err.at.line == 3 && err.at.column == 4);
    }
    struct kw_text nonsense = {0};
    for (int i = 0; i < 300; i++)
        kw_text_add(&nonsense, "x ");
    kw_text_add(&nonsense, "sheet");
    struct kw_stock s;
    cr_expect_eq(kw_stock_read(shop, nonsense.s, KW_IN, (struct kw_place){0}, &s, NULL), KW_LIMIT);
    kw_text_free(&nonsense);
    kw_arena_free(&a);
}

Test(shop_stock, pipe_by_its_nominal_size_has_the_diameter_and_wall_of_asme_b36_10) {
    // ASME B36.10M (from memory); 2 in: outside diameter 60.3 mm also in the piping example of the
    // reference values, section 4.
    struct kw_arena a = {0};
    const struct kw_shop *shop = make_shop(&a, inch_shop, KW_IN);
    struct kw_stock s;
    struct kw_error err = {0};
    struct kw_place at = {0};
    cr_assert_eq(kw_stock_read(shop, "2 schedule 40 pipe", KW_IN, at, &s, &err), KW_OK, "%s",
                 err.text);
    cr_expect_eq(s.kind, KW_ROUND_TUBE);
    cr_expect_float_eq(s.width, 60.325, 1e-9);
    cr_expect_float_eq(s.thickness, 3.9116, 1e-9);
    cr_expect_str_eq(s.text, "2 schedule 40 pipe");
    cr_assert_eq(kw_stock_read(shop, "1-1/2  schedule 80 pipe", KW_MM, at, &s, &err), KW_OK);
    cr_expect_float_eq(s.width, 48.26, 1e-9);
    cr_expect_float_eq(s.thickness, 5.08, 1e-9);
    cr_expect_eq(kw_stock_read(shop, "7 schedule 40 pipe", KW_IN, at, &s, &err), KW_UNKNOWN);
    cr_expect_eq(kw_stock_read(shop, "2 x 0.154 pipe", KW_IN, at, &s, &(struct kw_error){0}),
                 KW_FORMAT);
    kw_arena_free(&a);
}
