// SPDX-License-Identifier: Apache-2.0
// quote: what a kit costs when a number of it is made by itself.
#include "cli.h"

#include <stdlib.h>

static int quote(const struct cli_args *args, struct cli_shop *s, const char *name, int count,
                 int date) {
    const struct kw_kit *kit = kw_kits_find(&s->kits, name);
    if (!kit) return cli_usage("no kit \"%s\" in %s/kits", name, s->folder);
    struct kw_error err = {0};
    struct kw_run_options options = {.name = "quote", .date = date, .watch = args->watch};
    struct kw_week week;
    enum kw_status status =
        kw_run_quote(&s->arena, s->shop, &s->kits, kit, count, &options, &week, &err);
    if (status != KW_OK) {
        if (err.status == KW_OK) err.status = status;
        return cli_fail(&err);
    }
    struct kw_text out = {0};
    if (args->json) {
        kw_packet_run_json(&week, KW_MADE_BY, &out);
    } else {
        kw_packet_print_quote(&week, count, &out);
    }
    int code = cli_print(&out);
    return code ? code : kw_findings_at_level(&week.findings, KW_STOP, false) > 0;
}

int cmd_quote(const struct cli_args *args) {
    if (args->word_count < 1) return cli_usage("quote: expected the name of a kit");
    int date = cli_date(args), count = args->count ? atoi(args->count) : 10;
    if (date == 0) return 64;
    if (count < 1 || count > 100000)
        return cli_usage("--count: expected 1 to 100000, got \"%s\"", args->count);
    struct cli_shop s = {0};
    struct kw_error err = {0};
    const char *folder = args->dir ? args->dir : args->word_count > 1 ? args->words[0] : ".";
    enum kw_status status = cli_read(&s, folder, false, &err);
    int code = status == KW_OK ? quote(args, &s, args->words[args->word_count - 1], count, date)
                               : cli_fail(&err);
    cli_free(&s);
    return code;
}
