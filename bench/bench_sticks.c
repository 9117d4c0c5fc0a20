// SPDX-License-Identifier: Apache-2.0
// sticks: pieces out of as few equal sticks as possible, without kerf.
#include "bench.h"
#include "stick/stick.h"

#include <math.h>

#define BUDGET_GROWS 4    // each try has so many times the steps of the last
#define MOST_STEPS   1e12 // keeps the engine's node counts in range

struct deadline {
    const struct kw_watch *outer;
    double at;
};

static double now(void *user) {
    (void)user;
    return bench_now();
}

static bool is_over(void *user) {
    const struct deadline *d = user;
    return kw_watch_stopped(d->outer) || bench_now() >= d->at;
}

static enum kw_status write_layout(const struct bench_args *args, const char *name,
                                   const struct kw_stick_plan *plan, struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key(j, "sticks");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < plan->pattern_count; i++) {
        const struct kw_stick_pattern *p = &plan->patterns[i];
        kw_assert(p->times == 1); // every piece is one of its own
        kw_json_open_inline(j, '[');
        for (int k = 0; k < p->piece_count; k++)
            kw_json_count(j, p->pieces[k]);
        kw_json_close(j);
    }
    kw_json_close(j);
    return bench_line_write(&line, args->layout, name, err);
}

static enum kw_status print_case(const char *name, const struct kw_stick_plan *plan, double seconds,
                                 struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "name", name);
    kw_json_key_count(j, "sticks", plan->sticks);
    kw_json_key_number(j, "lower_bound", ceil(plan->lower_bound - 1e-6), 0);
    kw_json_key(j, "proven");
    kw_json_truth(j, plan->proven);
    kw_json_key_number(j, "seconds", seconds, 3);
    if (plan->unplaced_count > 0) kw_json_key_count(j, "unplaced", plan->unplaced_count);
    return bench_line_print(&line, err);
}

static struct kw_stick_piece *read_pieces(struct kw_arena *a, const struct kw_node *c, int *count,
                                          struct kw_error *err) {
    const struct kw_node *lengths = bench_list(c, "pieces", 1, err);
    struct kw_stick_piece *pieces = KW_NEW_ARRAY(a, struct kw_stick_piece, lengths->count + 1);
    *count = lengths->count;
    for (int i = 0; i < lengths->count; i++)
        pieces[i] = (struct kw_stick_piece){bench_number_of(&lengths->items[i], err), 1};
    return pieces;
}

// The engine has a step budget and no clock: with --seconds it is called again with a larger one
// until the plan is proven or the time is up, and the best plan counts.
enum kw_status bench_stick_plan(struct kw_arena *a, const struct bench_args *args,
                                const struct kw_stick_stock *stocks, int stock_count,
                                const struct kw_stick_piece *pieces, int count,
                                struct kw_stick_options o, struct kw_stick_plan *best,
                                struct kw_error *err) {
    struct deadline deadline = {&args->watch, bench_now() + args->seconds};
    struct kw_watch watch = {.user = &deadline, .stopped = is_over, .now = now};
    o.seed = args->seed;
    o.watch = args->seconds > 0 ? &watch : &args->watch;
    for (int round = 0;; round++) {
        if (args->seconds > 0) o.program_seconds = fmax(0.1, deadline.at - bench_now());
        struct kw_stick_plan plan;
        enum kw_status s = kw_stick_plan(a, stocks, stock_count, pieces, count, &o, &plan, err);
        if (s != KW_OK) return s;
        if (kw_watch_stopped(&args->watch)) return KW_STOPPED;
        if (round == 0) *best = plan;
        double bound = fmax(best->lower_bound, plan.lower_bound);
        bool proven = best->proven || plan.proven;
        if (plan.unplaced_count == best->unplaced_count && plan.cost < best->cost) *best = plan;
        best->lower_bound = bound;
        best->proven = proven;
        o.seed++;
        o.steps = (long)fmin((double)o.steps * BUDGET_GROWS, MOST_STEPS);
        if (best->proven || !(args->seconds > 0) || is_over(&deadline)) return KW_OK;
    }
}

static enum kw_status one(struct kw_arena *a, const struct bench_args *args,
                          const struct kw_node *c, struct kw_error *err) {
    int count;
    const char *name = bench_name(c, err);
    struct kw_stick_piece *pieces = read_pieces(a, c, &count, err);
    struct kw_stick_stock stock = {bench_number(c, "stick_length", err), -1, 1};
    if (err->status != KW_OK) return err->status;
    struct kw_stick_plan plan = {0};
    double begun = bench_now();
    enum kw_status s =
        bench_stick_plan(a, args, &stock, 1, pieces, count, kw_stick_options_default(), &plan, err);
    double seconds = bench_now() - begun;
    if (s == KW_OK && args->layout) s = write_layout(args, name, &plan, err);
    if (s == KW_OK) s = print_case(name, &plan, seconds, err);
    return s;
}

int bench_sticks(const struct bench_args *args) {
    return bench_each_case(args, one);
}
