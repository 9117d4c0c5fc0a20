// SPDX-License-Identifier: Apache-2.0
// Sizes, options and sums of a kit: invented examples; the sums are worked by hand.
#include "kit_help.h"

static const char *const PLANTER =
    "kit: planter\n"
    "name: Planter\n"
    "units: in\n"
    "sizes:\n"
    "  24: { width: 24, slats: 3 }\n"
    "  36: { width: 36 in, slats: 5 }\n"
    "dimensions: { edge: 3/4, inside: width - 2 * edge, metric: 20 mm }\n"
    "options:\n"
    "  shelf: { name: a shelf }\n"
    "  feet: { normally: with }\n"
    "parts:\n"
    "  panel:\n"
    "    from: 11 ga hot-rolled sheet\n"
    "    per_kit: slats + 1\n"
    "    base: { long: inside, wide: (inside + edge) / 3 }\n"
    "    holes: [{ size: 7/16, from_left: [edge * 2, inside / 2], from_front: metric + edge }]\n"
    "  shelf: { from: 1 x 3/16 flat bar, per_kit: slats, length: inside - 1-1/2, with: shelf }\n"
    "  brace: { from: 1 x 3/16 flat bar, per_kit: 1, length: 8, without: shelf }\n"
    "  foot: { from: 1 x 3/16 flat bar, per_kit: 4, length: 3, with: feet }\n";

static struct kw_kit *chosen(struct kw_arena *a, const char *text, const struct kw_kit_choice *c,
                             char why[static 900]) {
    struct kw_error err = {0};
    struct kw_kit *kit = NULL;
    why[0] = 0;
    if (kw_kit_parse(a, kit_shop(), "/nonexistent", "kits/k.yaml", text, strlen(text), c, &kit,
                     &err) != KW_OK) {
        kw_error_line(&err, why, 900);
        return NULL;
    }
    return kit;
}

Test(kit_sizes, a_size_gives_its_numbers_to_every_sum) {
    struct kw_arena a = {0};
    char why[900];
    struct kw_kit_choice c = {.size = "36"};
    struct kw_kit *kit = chosen(&a, PLANTER, &c, why);
    cr_assert_not_null(kit, "%s", why);
    cr_expect_str_eq(kit->name, "planter-36");
    cr_expect_str_eq(kit->family, "planter");
    cr_expect_str_eq(kit->title, "Planter 36 in");
    const struct kw_part *p = kw_kit_part(kit, "panel");
    cr_expect_eq(p->each, 6);
    cr_expect_float_eq(p->base.length, 34.5 * 25.4, 1e-9);
    cr_expect_float_eq(p->base.width, 35.25 / 3 * 25.4, 1e-9);
    const struct kw_hole *h = KW_ITEM(struct kw_hole, p->holes, 0);
    cr_expect_float_eq(*KW_ITEM(double, h->from_left, 0), 1.5 * 25.4, 1e-9);
    cr_expect_float_eq(*KW_ITEM(double, h->from_left, 1), 17.25 * 25.4, 1e-9);
    cr_expect_float_eq(*KW_ITEM(double, h->from_front, 0), 20 + 0.75 * 25.4, 1e-9);
    kw_arena_free(&a);
}

Test(kit_sizes, the_first_size_stands_when_nobody_chooses) {
    struct kw_arena a = {0};
    char why[900];
    struct kw_kit *kit = chosen(&a, PLANTER, NULL, why);
    cr_assert_not_null(kit, "%s", why);
    cr_expect_str_eq(kit->name, "planter-24");
    cr_expect_eq(kw_kit_part(kit, "panel")->each, 4);
    cr_expect_eq(kit->sizes.count, 2);
    kw_arena_free(&a);
}

Test(kit_sizes, options_add_parts_and_take_them_out) {
    struct kw_arena a = {0};
    char why[900];
    const char *with[] = {"shelf"}, *without[] = {"feet"};
    struct kw_kit *usual = chosen(&a, PLANTER, NULL, why);
    cr_expect_null(kw_kit_part(usual, "shelf"));
    cr_expect_not_null(kw_kit_part(usual, "brace"));
    cr_expect_not_null(kw_kit_part(usual, "foot"));
    struct kw_kit_choice c = {
        .with = with, .with_count = 1, .without = without, .without_count = 1};
    struct kw_kit *other = chosen(&a, PLANTER, &c, why);
    cr_assert_not_null(other, "%s", why);
    cr_expect_not_null(kw_kit_part(other, "shelf"));
    cr_expect_null(kw_kit_part(other, "brace"));
    cr_expect_null(kw_kit_part(other, "foot"));
    cr_expect_str_eq(other->name, "planter-24-with-shelf-without-feet");
    cr_expect_str_eq(other->title, "Planter 24 in, with a shelf, without feet");
    kw_arena_free(&a);
}

static const struct {
    const char *from, *to, *why;
} faults[] = {
    {"slats: 5", "slat: 5", "6:7: missing dimension \"slats\" of size \"36\""},
    {"slats: 5", "slats: 5, x: 1", "6:33: dimension \"x\" of size \"36\" is not in size \"24\""},
    {"2 * edge", "2 * egde", "7:46: no dimension is called \"egde\", did you mean \"edge\"?"},
    {"2 * edge", "metric * metric", "7:42: no dimension is called \"metric\""},
    {"2 * edge", "2 / 0", "7:46: a division by nothing"},
    {"(inside + edge) / 3", "(inside + edge / 3", "15:33: a bracket that is never closed"},
    {"(inside + edge) / 3", "inside +", "15:33: no dimension is called \"inside +\""},
    {"slats + 1", "slats / 2",
     "14:14: expected a whole number from 1 to 1000, got slats / 2 = 1.5"},
    {"slats + 1", "metric", "14:14: \"metric\" is a length, expected a number"},
    {"with: shelf", "with: shelve",
     "17:83: kit \"planter\" has no option \"shelve\", did you mean"},
    {"edge: 3/4", "width: 3/4", "7:15: the dimension \"width\" is given already"},
    {"edge: 3/4", "3edge: 3/4", "7:15: expected a dimension's name"},
    {"  24: { width: 24, slats: 3 }", "  24: 24", "5:7: expected a map from names to lengths"},
};

Test(kit_sizes, refusals_with_their_place) {
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        struct kw_arena a = {0};
        char why[900];
        const char *at = strstr(PLANTER, faults[i].from);
        cr_assert_not_null(at);
        char *text = kw_format(&a, "%.*s%s%s", (int)(at - PLANTER), PLANTER, faults[i].to,
                               at + strlen(faults[i].from));
        cr_expect_null(chosen(&a, text, NULL, why), "\"%s\" is taken", faults[i].to);
        const char *got = strncmp(why, "kits/k.yaml:", 12) == 0 ? why + 12 : why;
        cr_expect(strncmp(got, faults[i].why, strlen(faults[i].why)) == 0,
                  "got \"%s\", want \"%s\"", got, faults[i].why);
        kw_arena_free(&a);
    }
}

Test(kit_sizes, orders_choose_sizes_and_options) {
    struct kw_arena a = {0};
    char *folder = kit_folder();
    kit_put(folder, "kits/planter.yaml", PLANTER);
    struct kw_kits kits;
    struct kw_orders o;
    struct kw_error err = {0};
    cr_assert_eq(kw_kits_read(&a, kit_shop(), folder, &kits, &err), KW_OK, "%s", err.text);
    cr_assert_eq(kits.count, 2);
    const char *text = "order,kit,size,options,count,due\n"
                       "1,planter,36,,2,2026-03-06\n"
                       "2,planter-24,,,1,2026-03-06\n"
                       "3,planter,24,\"with shelf, without feet\",1,2026-03-06\n"
                       "4,planter,24,\"shelf, without feet\",1,2026-03-06\n";
    cr_assert_eq(kw_orders_parse(&a, &kits, "orders.csv", text, strlen(text), &o, &err), KW_OK,
                 "%s", err.text);
    cr_expect_eq(kits.count, 3);
    cr_expect_str_eq(kits.v[o.v[0].kit]->name, "planter-36");
    cr_expect_str_eq(kits.v[o.v[1].kit]->name, "planter-24");
    cr_expect_str_eq(kits.v[o.v[2].kit]->name, "planter-24-with-shelf-without-feet");
    cr_expect_eq(o.v[3].kit, o.v[2].kit);
    static const struct {
        const char *line, *why;
    } bad[] = {{"1,planter,,,1,2026-03-06", "orders.csv:2:3: kit \"planter\" comes in 2 sizes"},
               {"1,planter,40,,1,2026-03-06", "orders.csv:2:11: the kit has no size \"40\""},
               {"1,planter,24,lid,1,2026-03-06", "orders.csv:2:14: kit \"planter\" has no option"}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        char line[900];
        struct kw_error why = {0};
        char *one = kw_format(&a, "order,kit,size,options,count,due\n%s\n", bad[i].line);
        cr_expect_neq(kw_orders_parse(&a, &kits, "orders.csv", one, strlen(one), &o, &why), KW_OK);
        kw_error_line(&why, line, sizeof line);
        cr_expect(strncmp(line, bad[i].why, strlen(bad[i].why)) == 0, "got \"%s\"", line);
    }
    cr_assert_eq(kw_remove_folder(folder, NULL), KW_OK);
    kw_arena_free(&a);
}
