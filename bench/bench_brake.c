// SPDX-License-Identifier: Apache-2.0
// brake: bend orders of random parts that have one, each plan judged.
#include "bench.h"
#include "brake_case.h"
#include "packet/packet.h"

static bool is_whole(const struct kw_brake_plan *plan) {
    for (int i = 0; i < plan->step_count; i++)
        if (plan->steps[i].blocked) return false;
    return plan->step_count > 0 && !plan->collides;
}

/// The least gap told of, mm; 0: none, all is clear.
static double least_gap(const struct kw_brake_plan *plan) {
    double least = 0;
    for (int i = 0; i < plan->step_count; i++) {
        const struct kw_brake_hit *near = plan->steps[i].near;
        if (near && (least == 0 || near->gap < least)) least = near->gap;
    }
    return least;
}

static enum kw_status one(struct kw_arena *a, const struct bench_args *args, uint64_t seed, int n,
                          const struct kw_brake_part *part, struct kw_error *err) {
    struct kw_brake_plan plan;
    struct kw_place at = {"part", 0, 0};
    double begun = bench_now(), cpu = bench_cpu();
    enum kw_status s = kw_brake_plan(a, part, &case_material, &case_shop, at, &plan, err);
    double seconds = bench_now() - begun;
    cpu = bench_cpu() - cpu;
    if (s != KW_OK) return s;
    struct kw_verdict verdict = {.arena = a};
    bool planned = is_whole(&plan);
    int faults =
        planned ? packet_judge_bends(part, &case_material, &case_shop, &plan, NULL, &verdict) : 0;
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "name", kw_format(a, "bends-%d-%d", args->bends, n));
    kw_json_key_count(j, "bends", part->bend_count);
    kw_json_key(j, "planned");
    kw_json_truth(j, planned);
    kw_json_key(j, "judged");
    kw_json_truth(j, planned && faults == 0);
    kw_json_key(j, "proven");
    kw_json_truth(j, plan.proven);
    kw_json_key_number(j, "seconds", seconds, 3);
    kw_json_key_number(j, "cpu_seconds", cpu, 3);
    kw_json_key_number(j, "handling", plan.seconds, 1);
    kw_json_key_number(j, "gap", least_gap(&plan), 2);
    kw_json_key_number(j, "strokes_searched", (double)plan.searched, 0);
    kw_json_key_number(j, "seed", (double)seed, 0);
    kw_json_key_number(j, "peak_mb", bench_peak_mb(), 0);
    if (faults > 0) kw_json_key_text(j, "fault", verdict.faults[0]);
    if (!planned && plan.problem_count > 0)
        kw_json_key_text(j, "why", kw_brake_problem_name(plan.problems[0].kind));
    return bench_line_print(&line, err);
}

/// Time to prove that a part has no order, and to try what would help. Those that can be bent after
/// all are passed over.
static enum kw_status prove_none(struct kw_arena *a, const struct bench_args *args, uint64_t seed,
                                 int *n, const struct kw_brake_part *part, struct kw_error *err) {
    struct kw_brake_plan plan;
    struct kw_place at = {"part", 0, 0};
    double begun = bench_now(), cpu = bench_cpu();
    enum kw_status s = kw_brake_plan(a, part, &case_material, &case_shop, at, &plan, err);
    if (s != KW_OK || !plan.collides) return s;
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "name", kw_format(a, "none-%d-%d", args->bends, (*n)++));
    kw_json_key_count(j, "bends", part->bend_count);
    kw_json_key(j, "planned");
    kw_json_truth(j, false);
    kw_json_key(j, "proven");
    kw_json_truth(j, plan.proven);
    kw_json_key_number(j, "seconds", bench_now() - begun, 3);
    kw_json_key_number(j, "cpu_seconds", bench_cpu() - cpu, 3);
    kw_json_key_number(j, "strokes_searched", (double)plan.searched, 0);
    int helps = 0;
    for (int i = 0; i < plan.problem_count; i++)
        helps += plan.problems[i].help_count;
    kw_json_key_count(j, "helps", helps);
    kw_json_key(j, "pictured");
    kw_json_truth(j, plan.hit != NULL);
    kw_json_key_number(j, "seed", (double)seed, 0);
    kw_json_key_number(j, "peak_mb", bench_peak_mb(), 0);
    return bench_line_print(&line, err);
}

int bench_brake(const struct bench_args *args) {
    struct kw_error err = {0};
    uint64_t seed = args->seed * 1000003;
    int most = args->none ? args->none : args->cases ? args->cases : 200;
    for (int n = 0; n < most; seed++) {
        struct kw_arena a = {0};
        struct kw_brake_part part;
        enum kw_status s = KW_OK;
        if (args->none && case_any(&a, seed, args->bends, &part))
            s = prove_none(&a, args, seed, &n, &part, &err);
        else if (!args->none && case_make(&a, seed, args->bends, &part))
            s = one(&a, args, seed, n++, &part, &err);
        kw_arena_free(&a);
        if (kw_watch_stopped(&args->watch)) s = KW_STOPPED;
        if (s != KW_OK) return s == KW_STOPPED ? kw_exit_code(s) : bench_fail(&err);
    }
    return 0;
}
