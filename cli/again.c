// SPDX-License-Identifier: Apache-2.0
// run --again: the scrapped part at three in the afternoon. What was planned stays as it is; the
// part gets a program, a map and papers of its own, judged like any packet.
#include "again.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define MOST_RUN_JSON ((size_t)256 << 20)
#define MOST_PACKETS  99

static enum kw_status read_text(struct kw_arena *a, const char *path, char **text, size_t *length,
                                struct kw_error *err) {
    return kw_read_file(a, path, MOST_RUN_JSON, (struct kw_place){0}, text, length, err);
}

static enum kw_status unknown(struct kw_error *err, const char *what, const char *name) {
    return kw_fail(err, KW_UNKNOWN, (struct kw_place){0}, "--again: no %s \"%.60s\"", what, name);
}

/// The part, which comes in the hand that is said; NULL.
static const struct kw_part *part_of(struct kw_arena *a, const struct kw_kit *kit, const char *name,
                                     enum kw_hand *hand) {
    const struct kw_part *part = kw_kit_part(kit, kw_part_in_hand(a, name, hand));
    int has = !part                    ? 0
              : *hand == KW_LEFT_HAND  ? part->left
              : *hand == KW_RIGHT_HAND ? part->right
                                       : part->each;
    return has > 0 ? part : NULL;
}

/// KIT/PART[=COUNT], named as in run.json: kits in the sizes and with the options of orders.csv.
static enum kw_status read_order(struct cli_shop *s, const char *again, int date,
                                 struct kw_order *out, struct kw_error *err) {
    const char *slash = strchr(again, '/'), *equals = strchr(again, '=');
    char *end = "";
    if (!slash || slash == again)
        return kw_fail(err, KW_USAGE, (struct kw_place){0},
                       "--again: expected KIT/PART or KIT/PART=COUNT, such as rack/foot=2");
    long count = equals ? strtol(equals + 1, &end, 10) : 1;
    if (*end || count < 1 || count > KW_NEST_MOST_COPIES)
        return kw_fail(err, KW_USAGE, (struct kw_place){0},
                       "--again: expected a count from 1 to %d, got \"%s\"", KW_NEST_MOST_COPIES,
                       equals + 1);
    const char *name = kw_copy_text(&s->arena, again, (size_t)(slash - again));
    const char *rest = kw_copy_text(&s->arena, slash + 1,
                                    equals ? (size_t)(equals - slash - 1) : strlen(slash + 1));
    const struct kw_kit *kit = kw_kits_find(&s->kits, name);
    if (!kit || strcmp(kit->name, name) != 0) return unknown(err, "kit", name);
    *out = (struct kw_order){.number = "again", .count = (int)count, .due = date};
    const struct kw_part *part = part_of(&s->arena, kit, rest, &out->hand);
    if (!part) return unknown(err, "part in that hand", kw_format(&s->arena, "%s/%s", name, rest));
    while (s->kits.v[out->kit] != kit)
        out->kit++;
    out->part = (int)(part - (const struct kw_part *)kit->parts.v);
    return KW_OK;
}

/// The sheets of the run, with what earlier packets of this kind put there; *fresh: the name that
/// is free.
static enum kw_status read_sheets(struct cli_shop *s, const char *name, const char *on,
                                  struct kw_taken **sheets, int *count, const char **fresh,
                                  struct kw_error *err) {
    char *text;
    size_t length;
    struct kw_arena *a = &s->arena;
    const char *path = kw_format(a, "%s/runs/%s/run.json", s->folder, name);
    enum kw_status status = read_text(a, path, &text, &length, err);
    if (status == KW_OK) status = again_read(a, path, text, length, name, on, sheets, count, err);
    for (int i = 1; status == KW_OK && i <= MOST_PACKETS; i++) {
        *fresh = i == 1 ? kw_format(a, "%s-again", name) : kw_format(a, "%s-again-%d", name, i);
        path = kw_format(a, "%s/runs/%s/run.json", s->folder, *fresh);
        if (access(path, F_OK) != 0) return KW_OK;
        status = read_text(a, path, &text, &length, err);
        if (status == KW_OK) status = again_add(a, path, text, length, *sheets, *count, err);
    }
    if (status == KW_OK)
        status = kw_fail(err, KW_LIMIT, (struct kw_place){0}, "%d packets of %s: plan a new run",
                         MOST_PACKETS, name);
    return status;
}

static enum kw_status plan(struct cli_shop *s, const struct cli_args *args, const char *name,
                           int date, struct kw_week *week, const char **path,
                           struct kw_error *err) {
    struct kw_order order;
    struct kw_taken *sheets;
    int count;
    struct kw_run_options o = {.date = date, .keep_going = true, .watch = args->watch};
    enum kw_status status = cli_read(s, cli_folder(args, 0), true, err);
    if (status == KW_OK) status = read_order(s, args->again, date, &order, err);
    if (status == KW_OK) status = read_sheets(s, name, args->on, &sheets, &count, &o.name, err);
    if (status == KW_OK)
        status = kw_run_again(&s->arena, s->shop, &s->kits, &order, sheets, count, &o, week, err);
    *path = NULL;
    if (status == KW_OK && week->sheet_count > 0)
        status = kw_packet_write(week, s->folder, KW_MADE_BY, args->watch, path, err);
    return status;
}

static int tell(const struct cli_args *args, const struct kw_week *week, const char *path) {
    struct kw_text out = {0};
    if (args->json) {
        kw_packet_run_json(week, KW_MADE_BY, &out);
        return cli_print(&out);
    }
    if (week->findings.count > 0) kw_packet_print_findings(&week->findings, &out);
    for (int i = 0; i < week->sheet_count; i++) {
        const struct kw_run_sheet *s = &week->sheets[i];
        if (!s->program) continue;
        kw_text_addf(&out, "%d of %s on %s: program  %s/%s\n", s->placement_count,
                     week->makes[s->placements[0].part].label, s->on->from, path, s->program);
    }
    if (path) kw_text_addf(&out, "packet  %s/packet.pdf\n", path);
    return cli_print(&out);
}

int run_again(const struct cli_args *args, const char *name, int date) {
    struct cli_shop s = {0};
    struct kw_error err = {0};
    struct kw_week week = {0};
    const char *path = NULL;
    enum kw_status status = plan(&s, args, name, date, &week, &path, &err);
    int code;
    if (status != KW_OK) {
        if (err.status == KW_OK) err.status = status;
        code = cli_fail(&err);
    } else {
        code = tell(args, &week, path);
        if (code == 0) code = kw_findings_at_level(&week.findings, KW_STOP, false) > 0;
    }
    cli_free(&s);
    return code;
}
