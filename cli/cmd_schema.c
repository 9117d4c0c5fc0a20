// SPDX-License-Identifier: Apache-2.0
// schema: the keys of the files, from the tables that the reader uses.
#include "check/check.h"
#include "cli.h"

#include <string.h>

int cmd_schema(const struct cli_args *args) {
    const char *which = args->word_count > 0 ? args->words[0] : "";
    struct kw_text out = {0};
    if (strcmp(which, "rules") == 0) {
        kw_rules_page(&out);
        return cli_print(&out);
    }
    bool shop = strcmp(which, "shop") == 0;
    if (!shop && strcmp(which, "kit") != 0)
        return cli_usage("schema: expected shop, kit or rules, got \"%s\"", which);
    const struct kw_form *form = shop ? &kw_shop_form : &kw_kit_form;
    const char *title = shop ? "shop.yaml" : "kits/NAME.yaml";
    if (args->page) {
        kw_form_page(form, title, &out);
    } else {
        kw_form_schema(form, title, !shop, &out);
    }
    return cli_print(&out);
}
