// SPDX-License-Identifier: Apache-2.0
// run: the week's orders into a packet.
#include "again.h"
#include "cli.h"

#include <string.h>

#define MOST_PROGRAM ((size_t)64 << 20)
#define MOST_RUN     ((size_t)256 << 20)

static int print_result(const struct cli_args *args, const struct kw_week *week, const char *path) {
    struct kw_text out = {0};
    if (args->json) {
        kw_packet_run_json(week, KW_MADE_BY, &out);
        return cli_print(&out);
    }
    if (week->findings.count > 0) kw_packet_print_findings(&week->findings, &out);
    kw_packet_print_week(week, &out);
    kw_text_addf(&out, "packet  %s/packet.pdf, and the programs in %s/sheets\n", path, path);
    return cli_print(&out);
}

static bool is_plain_name(const char *name) {
    return *name && *name != '.' && strlen(name) <= 64 &&
           strspn(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.") ==
               strlen(name);
}

// --from-part SHEET:PART or SHEET:PIERCE: beside the sheet's program, the one that goes on there.
static enum kw_status go_on(struct cli_shop *s, const char *folder, const char *name,
                            const char *from, const char **path, struct kw_error *err) {
    const char *colon = strchr(from, ':');
    char *text;
    size_t length;
    struct kw_text out = {0};
    if (!colon || colon == from || memchr(from, '/', (size_t)(colon - from)))
        return kw_fail(err, KW_USAGE, (struct kw_place){0},
                       "--from-part: expected SHEET:PART or SHEET:PIERCE, such as S1:14");
    enum kw_status status = kw_shop_read(&s->arena, folder, &s->shop, err);
    if (status != KW_OK) return status;
    struct kw_backplot_words words = kw_packet_words(&s->arena, &s->shop->table.controller);
    const char *sheet = kw_copy_text(&s->arena, from, (size_t)(colon - from));
    const char *whole = kw_format(&s->arena, "%s/runs/%s/sheets/%s.nc", folder, name, sheet);
    *path = kw_format(&s->arena, "%s/runs/%s/sheets/%s-from.nc", folder, name, sheet);
    status =
        kw_read_file(&s->arena, whole, MOST_PROGRAM, (struct kw_place){0}, &text, &length, err);
    if (status == KW_OK)
        status = kw_packet_restart(&s->arena, text, length, &words, colon + 1, &out, err);
    if (status == KW_OK) status = kw_write_file(*path, out.s, out.length, err);
    kw_text_free(&out);
    return status;
}

static int run_from(const struct cli_args *args, const char *name) {
    struct cli_shop s = {0};
    struct kw_error err = {0};
    struct kw_text out = {0};
    const char *path = NULL;
    enum kw_status status = go_on(&s, cli_folder(args, 0), name, args->from_part, &path, &err);
    if (status == KW_OK) kw_text_addf(&out, "program  %s\n", path);
    int code = status == KW_OK ? cli_print(&out) : cli_fail(&err);
    cli_free(&s);
    return code;
}

// --standing RUN or RUN/SHEET: the proven sheets of an earlier run.
static enum kw_status read_standing(struct cli_shop *s, const char *which, struct kw_run_options *o,
                                    struct kw_error *err) {
    if (!which) return KW_OK;
    const char *slash = strchr(which, '/');
    const char *run =
        kw_copy_text(&s->arena, which, slash ? (size_t)(slash - which) : strlen(which));
    if (!is_plain_name(run))
        return kw_fail(err, KW_USAGE, (struct kw_place){0},
                       "--standing: expected RUN or RUN/SHEET, such as week-48/S1");
    struct kw_proven *list = NULL;
    char *text;
    size_t length;
    const char *path = kw_format(&s->arena, "%s/runs/%s/run.json", s->folder, run);
    enum kw_status status =
        kw_read_file(&s->arena, path, MOST_RUN, (struct kw_place){0}, &text, &length, err);
    if (status == KW_OK)
        status = again_standing(&s->arena, path, text, length, run, slash ? slash + 1 : NULL, &list,
                                &o->standing_count, err);
    o->standing = list;
    return status;
}

int cmd_run(const struct cli_args *args) {
    int date = cli_date(args);
    if (date == 0) return 64;
    if (args->word_count > 1)
        return cli_usage("run: expected one folder, got \"%s\" too", args->words[1]);
    struct cli_shop s = {0};
    struct kw_error err = {0};
    char today[KW_NUMBER_SIZE];
    const char *name = args->name;
    if (!name) name = kw_date_text(today, date);
    if (!is_plain_name(name)) {
        cli_free(&s);
        return cli_usage("--name: expected letters, digits, \"-\", \"_\" and \".\", got \"%s\"",
                         args->name);
    }
    if (args->from_part) {
        cli_free(&s);
        return run_from(args, name);
    }
    if (args->on && !args->again) {
        cli_free(&s);
        return cli_usage("--on: goes with --again");
    }
    if (args->again) {
        int code = run_again(args, name, date);
        cli_free(&s);
        return code;
    }
    struct kw_run_options options = {.name = name,
                                     .date = date,
                                     .keep_going = args->keep_going,
                                     .coupons = args->coupons,
                                     .watch = args->watch};
    struct kw_week week;
    const char *path = NULL;
    enum kw_status status = cli_read(&s, cli_folder(args, 0), true, &err);
    if (status == KW_OK && s.orders.count == 0) {
        status = kw_fail(&err, KW_MISSING, (struct kw_place){.file = "orders.csv"},
                         "no orders: there is nothing to plan");
    }
    if (status == KW_OK) status = read_standing(&s, args->standing, &options, &err);
    if (status == KW_OK)
        status = kw_run_week(&s.arena, s.shop, &s.kits, &s.orders, &options, &week, &err);
    if (status == KW_OK)
        status = kw_packet_write(&week, s.folder, KW_MADE_BY, args->watch, &path, &err);
    int code;
    if (status != KW_OK) {
        if (err.status == KW_OK) err.status = status;
        code = cli_fail(&err);
    } else {
        code = print_result(args, &week, path);
        if (code == 0) code = kw_findings_at_level(&week.findings, KW_STOP, false) > 0;
    }
    cli_free(&s);
    return code;
}
