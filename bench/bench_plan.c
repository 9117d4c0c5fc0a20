// SPDX-License-Identifier: Apache-2.0
// plan: a generated shop folder, from its files to the packet on disk, stage by stage.
#include "bench.h"
#include "check/check.h"
#include "kit/kit.h"
#include "packet/packet.h"
#include "plan_shop.h"
#include "run/run.h"
#include "shop/shop.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

#define RUN_NAME "bench"
#define RUN_DATE 20261130

/// All that the stages hand on.
struct planning {
    const struct bench_args *args;
    const char *folder;
    struct kw_arena *a;
    struct kw_shop *shop;
    struct kw_kits kits;
    struct kw_orders orders;
    struct kw_week week;
    int checked, stops; ///< parts examined; findings of level stop
};

static enum kw_status stage_read(struct planning *p, struct kw_error *err) {
    enum kw_status s = kw_shop_read(p->a, p->folder, &p->shop, err);
    if (s == KW_OK) s = kw_kits_read(p->a, p->shop, p->folder, &p->kits, err);
    if (s == KW_OK) s = kw_orders_read(p->a, &p->kits, p->folder, &p->orders, err);
    return s;
}

static enum kw_status stage_check(struct planning *p, struct kw_error *err) {
    struct kw_arena scratch = {0};
    struct kw_findings findings = {.arena = &scratch};
    p->checked =
        kw_check_findings(&scratch, p->shop, p->kits.v, p->kits.count, kw_team_cores(), &findings);
    p->stops = kw_findings_at_level(&findings, KW_STOP, false);
    kw_arena_free(&scratch);
    if (!kw_watch_stopped(&p->args->watch)) return KW_OK;
    return kw_fail(err, KW_STOPPED, (struct kw_place){0}, "stopped");
}

static enum kw_status stage_run(struct planning *p, struct kw_error *err) {
    struct kw_run_options options = {.name = RUN_NAME,
                                     .date = RUN_DATE,
                                     .keep_going = true,
                                     .seed = p->args->seed,
                                     .watch = &p->args->watch};
    return kw_run_week(p->a, p->shop, &p->kits, &p->orders, &options, &p->week, err);
}

static enum kw_status stage_packet(struct planning *p, struct kw_error *err) {
    const char *path;
    return kw_packet_write(&p->week, p->folder, "kw-bench", &p->args->watch, &path, err);
}

static enum kw_status print_stage(const struct bench_args *args, const char *stage, double seconds,
                                  struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "stage", stage);
    kw_json_key_count(j, "kits", args->kits);
    kw_json_key_count(j, "parts", args->parts);
    kw_json_key_number(j, "seconds", seconds, 3);
    kw_json_key_number(j, "peak_mb", bench_peak_mb(), 1);
    return bench_line_print(&line, err);
}

static int sheets_cut(const struct kw_week *w) {
    int n = 0;
    for (int i = 0; i < w->sheet_count; i++)
        n += w->sheets[i].times;
    return n;
}

static enum kw_status print_total(const struct planning *p, double seconds, struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_count(j, "kits", p->args->kits);
    kw_json_key_count(j, "parts", p->args->parts);
    kw_json_key_number(j, "seconds", seconds, 3);
    kw_json_key_number(j, "peak_mb", bench_peak_mb(), 1);
    kw_json_key_count(j, "checked", p->checked);
    kw_json_key_count(j, "stops", p->stops);
    kw_json_key_count(j, "layouts", p->week.sheet_count);
    kw_json_key_count(j, "sheets", sheets_cut(&p->week));
    kw_json_key_count(j, "left_out", p->week.left_out_count);
    return bench_line_print(&line, err);
}

// The check of a week is part of `run`: the stage of that name measures it alone, once more. The
// total is the sum of all stages.
static enum kw_status plan_all(struct planning *p, struct kw_error *err) {
    static const struct {
        const char *name;
        enum kw_status (*run)(struct planning *p, struct kw_error *err);
    } stages[] = {
        {"read", stage_read}, {"check", stage_check}, {"run", stage_run}, {"packet", stage_packet}};
    double total = 0;
    for (size_t i = 0; i < sizeof stages / sizeof *stages; i++) {
        double begun = bench_now();
        enum kw_status s = stages[i].run(p, err);
        double seconds = bench_now() - begun;
        total += seconds;
        if (s == KW_OK) s = print_stage(p->args, stages[i].name, seconds, err);
        if (s != KW_OK) return s;
    }
    return print_total(p, total, err);
}

int bench_plan(const struct bench_args *args) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    const char *base = getenv("TMPDIR");
    char *folder = kw_format(&a, "%s/kw-bench-XXXXXX", base && *base ? base : "/tmp");
    struct planning p = {.args = args, .folder = folder, .a = &a};
    enum kw_status s = KW_OK;
    if (!mkdtemp(folder))
        return bench_fail(&(struct kw_error){.status = KW_IO, .text = "can't make a folder"});
    s = plan_shop_write(folder, args->kits, args->parts, args->seed, &err);
    if (s == KW_OK) s = plan_all(&p, &err);
    enum kw_status removed = kw_remove_folder(folder, s == KW_OK ? &err : NULL);
    if (s == KW_OK) s = removed;
    int code = 0;
    if (s != KW_OK) {
        if (err.status == KW_OK) err.status = s;
        code = bench_fail(&err);
    }
    kw_arena_free(&a);
    return code;
}
