// SPDX-License-Identifier: Apache-2.0
// schema: the keys of the files, from the tables that the reader uses.
#include "check/check.h"
#include "cli.h"
#include "coupon/coupon.h"

#include <string.h>

int cmd_schema(const struct cli_args *args) {
    const char *which = args->word_count > 0 ? args->words[0] : "";
    struct kw_text out = {0};
    if (strcmp(which, "rules") == 0) {
        kw_rules_page(&out);
        return cli_print(&out);
    }
    static const struct {
        const char *word, *title;
        const struct kw_form *form;
        bool sums;
    } files[] = {{"shop", "shop.yaml", &kw_shop_form, false},
                 {"kit", "kits/NAME.yaml", &kw_kit_form, true},
                 {"coupon", "coupons.csv", &kw_coupon_form, false}};
    size_t i = 0;
    while (i < 3 && strcmp(files[i].word, which) != 0)
        i++;
    if (i == 3) return cli_usage("schema: expected shop, kit, coupon or rules, got \"%s\"", which);
    if (args->page) {
        kw_form_page(files[i].form, files[i].title, &out);
    } else {
        kw_form_schema(files[i].form, files[i].title, files[i].sums, &out);
    }
    return cli_print(&out);
}
