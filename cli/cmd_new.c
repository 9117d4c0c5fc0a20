// SPDX-License-Identifier: Apache-2.0
// new: a shop folder to start from. The files are in cli/starter, taken into the program as they
// are.
#include "cli.h"

#include <string.h>
#include <sys/stat.h>

#define EMBED(symbol, path)                                                                        \
    __asm__(".section .rodata\n"                                                                   \
            ".global " #symbol "\n" #symbol ":\n.incbin \"" path "\"\n"                            \
            ".global " #symbol "_end\n" #symbol "_end:\n.byte 0\n.previous\n");                    \
    extern const char symbol[], symbol##_end[]

EMBED(starter_shop, "cli/starter/shop.yaml");
EMBED(starter_kit, "cli/starter/kits/planter.yaml");
EMBED(starter_orders, "cli/starter/orders.csv");

int cmd_new(const struct cli_args *args) {
    if (args->word_count != 1) return cli_usage("new: expected one folder to make");
    const char *dir = args->words[0];
    const struct {
        const char *name, *from, *to;
    } files[] = {{"shop.yaml", starter_shop, starter_shop_end},
                 {"kits/planter.yaml", starter_kit, starter_kit_end},
                 {"orders.csv", starter_orders, starter_orders_end}};
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct stat st;
    const char *shop = kw_format(&a, "%s/shop.yaml", dir);
    if (stat(shop, &st) == 0) {
        kw_arena_free(&a);
        return cli_usage("new: %s is a shop folder already", dir);
    }
    enum kw_status s = kw_make_folder(kw_format(&a, "%s/kits", dir), &err);
    if (s == KW_OK) s = kw_make_folder(kw_format(&a, "%s/drawings", dir), &err);
    for (int i = 0; s == KW_OK && i < 3; i++) {
        s = kw_write_file(kw_format(&a, "%s/%s", dir, files[i].name), files[i].from,
                          (size_t)(files[i].to - files[i].from), &err);
    }
    kw_arena_free(&a);
    if (s != KW_OK) return cli_fail(&err);
    struct kw_text out = {0};
    if (args->json) {
        struct kw_json j = {.out = &out};
        kw_json_open(&j, '{');
        kw_json_key_text(&j, "folder", dir);
        kw_json_close(&j);
    } else {
        kw_text_addf(
            &out,
            "%s: shop.yaml, kits/planter.yaml, orders.csv. Put your machines into shop.yaml,\n"
            "then: kitwright check %s\n",
            dir, dir);
    }
    return cli_print(&out);
}
