// SPDX-License-Identifier: Apache-2.0
// Findings name the very key in the file that a person would change.
#include "check/check.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char shop_yaml[] =
    "shop: Test shop\n"
    "currency: USD\n"
    "units: mm\n"
    "materials:\n"
    "  steel: { family: steel, tensile: 400 MPa, yield: 250 MPa, price_per_kg: 1 }\n"
    "sheets:\n"
    "  - { from: 3 mm steel sheet, long: 2000, wide: 1000, on_hand: 4 }\n"
    "table:\n"
    "  long: 2500\n"
    "  wide: 1250\n"
    "  margin: 10\n"
    "  spacing: 8\n"
    "  rapid: 200 mm/s\n"
    "  acceleration: 1000 mm/s2\n"
    "  cut_rules:\n"
    "    - { from: 3 mm steel sheet, kerf: 1.5, feed: 3000 mm/min, pierce_delay: 0.3 s, "
    "pierce_height: 4, "
    "cut_height: 1.5, lead_in: 5 }\n"
    "rates: { labour: 38, table: 22, press: 12, bender: 6, saw: 4, margin: 35 % }\n"
    "layers: { cut: CUT }\n";

static const char kit_yaml[] = "kit: plate\n"                                           // 1
                               "name: Plate\n"                                          // 2
                               "units: mm\n"                                            // 3
                               "parts:\n"                                               // 4
                               "  plate:\n"                                             // 5
                               "    from: 3 mm steel sheet\n"                           // 6
                               "    per_kit: 1\n"                                       // 7
                               "    base: { long: 200, wide: 120 }\n"                   // 8
                               "    bends:\n"                                           // 9
                               "      A: { along: back, height: 5, turn: 90 }\n"        // 10
                               "  disc:\n"                                              // 11
                               "    from: 3 mm steel sheet\n"                           // 12
                               "    per_kit: 1\n"                                       // 13
                               "    base: { long: 200, wide: 120 }\n"                   // 14
                               "    holes:\n"                                           // 15
                               "      - { size: 4, from_left: 50, from_front: 60 }\n"   // 16
                               "      - { size: 12, from_left: 150, from_front: 60 }\n" // 17
                               "      - { size: 12, from_left: 50, from_front: 8 }\n";  // 18

static void write_file(const char *folder, const char *name, const char *text) {
    char path[256];
    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    struct kw_error err = {0};
    cr_assert_eq(kw_write_file(path, text, strlen(text), &err), KW_OK, "%s", err.text);
}

struct want {
    const char *rule, *part;
    int line;
    const char *before; // text of the line up to the place
};

Test(check_places, findings_stand_at_the_key_to_change) {
    char folder[] = "/tmp/kw-places-XXXXXX", kits[64];
    cr_assert(mkdtemp(folder));
    (void)snprintf(kits, sizeof kits, "%s/kits", folder);
    struct kw_error err = {0};
    cr_assert_eq(kw_make_folder(kits, &err), KW_OK);
    write_file(folder, "shop.yaml", shop_yaml);
    write_file(folder, "kits/plate.yaml", kit_yaml);
    struct kw_arena a = {0};
    struct kw_shop *shop;
    struct kw_kit *kit;
    cr_assert_eq(kw_shop_read(&a, folder, &shop, &err), KW_OK, "%d:%d %s", err.at.line,
                 err.at.column, err.text);
    cr_assert_eq(kw_kit_read(&a, shop, folder, "kits/plate.yaml", NULL, &kit, &err), KW_OK,
                 "%d:%d %s", err.at.line, err.at.column, err.text);
    struct kw_findings found = {.arena = &a};
    struct kw_examined *what;
    int count;
    kw_check_kit(&a, shop, kit, &found, &what, &count);
    static const struct want wants[] = {
        {"flange-fit", "plate", 10, "      A: { along: back, height: "},
        {"hole-small", "disc", 16, "      - { size: "},
        {"web-thin", "disc", 18, "      - { size: 12, from_left: "},
    };
    for (size_t i = 0; i < sizeof wants / sizeof *wants; i++) {
        const struct kw_finding *f = NULL;
        for (int k = 0; k < found.count && !f; k++)
            if (strcmp(found.v[k].rule, wants[i].rule) == 0) f = &found.v[k];
        cr_expect(f, "%s is not found", wants[i].rule);
        if (!f) continue;
        cr_expect_str_eq(f->part, wants[i].part);
        cr_expect_str_eq(f->kit, "plate");
        cr_expect_str_eq(f->where.file, "kits/plate.yaml");
        cr_expect_eq(f->where.line, wants[i].line, "%s: line %d", f->rule, f->where.line);
        cr_expect_eq(f->where.column, (int)strlen(wants[i].before) + 1, "%s: column %d", f->rule,
                     f->where.column);
    }
    kw_arena_free(&a);
    cr_expect_eq(kw_remove_folder(folder, &err), KW_OK);
}
