// SPDX-License-Identifier: Apache-2.0
// stick-week: an invented week of sawing from a seed: 400 pieces of 25 lengths, three lengths to
// buy with prices, leftovers on the rack of which there are few, kerf, trim and what the vise must
// hold. Each week twice: as it is, and with only the longest stick to buy. In odd weeks lengths are
// in sixteenths of an inch, in even ones as bent tube comes out, to 1e-6 mm.
#include "bench.h"
#include "stick/stick.h"

#include <stdio.h>

enum { LENGTHS = 25, PIECES = 400, BOUGHT = 3, LEFTOVERS = 6, WEEKS = 6 };

struct sawing {
    struct kw_stick_piece pieces[LENGTHS];
    struct kw_stick_stock stocks[BOUGHT + LEFTOVERS];
    struct kw_stick_options options;
};

static double some_length(uint64_t *r, double least, double most, bool odd) {
    double inches = bench_random_step(r, least, most, 1.0 / 16);
    return inches * 25.4 + (odd ? 0 : 1e-6 * bench_random_count(r, 0, 1587499));
}

static void make_week(int week, uint64_t seed, struct sawing *s) {
    uint64_t r = seed * 1000 + (uint64_t)week;
    *s = (struct sawing){.options = kw_stick_options_default()};
    for (int i = 0; i < LENGTHS; i++)
        s->pieces[i] = (struct kw_stick_piece){some_length(&r, 6, 94, week % 2), 4};
    for (int n = 4 * LENGTHS; n < PIECES; n++)
        s->pieces[bench_random_count(&r, 0, LENGTHS - 1)].count++;
    static const struct kw_stick_stock bought[BOUGHT] = {
        {288 * 25.4, -1, 44.85}, {240 * 25.4, -1, 36.9}, {120 * 25.4, -1, 20.15}};
    for (int j = 0; j < BOUGHT; j++)
        s->stocks[j] = bought[j];
    for (int j = BOUGHT; j < BOUGHT + LEFTOVERS; j++)
        s->stocks[j] = (struct kw_stick_stock){some_length(&r, 24, 110, week % 2),
                                               bench_random_count(&r, 1, 3), 0};
    s->options.kerf = 25.4 / 16;
    s->options.trim = 25.4 / 4;
    s->options.hold = 4.5 * 25.4;
}

static enum kw_status print(const char *name, const struct kw_stick_plan *p, double seconds,
                            struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "name", name);
    kw_json_key_count(j, "sticks", p->sticks);
    kw_json_key_number(j, "cost", p->cost, 2);
    kw_json_key_number(j, "lower_bound", p->lower_bound, 2);
    kw_json_key_number(j, "gap_percent",
                       p->lower_bound > 0 ? 100 * (p->cost / p->lower_bound - 1) : 0, 3);
    kw_json_key(j, "proven");
    kw_json_truth(j, p->proven);
    kw_json_key_count(j, "patterns", p->pattern_count);
    kw_json_key_count(j, "unplaced", p->unplaced_count);
    kw_json_key_number(j, "seconds", seconds, 3);
    return bench_line_print(&line, err);
}

static enum kw_status one(const struct bench_args *args, int week, int bought,
                          struct kw_error *err) {
    struct kw_arena a = {0};
    struct sawing s;
    make_week(week, args->seed, &s);
    char name[40];
    snprintf(name, sizeof name, "week-%d%s", week, bought == 1 ? "-one-stock" : "");
    double begun = bench_now();
    struct kw_stick_plan plan;
    s.options.watch = &args->watch;
    enum kw_status done = bench_stick_plan(&a, args, s.stocks, bought == 1 ? 1 : BOUGHT + LEFTOVERS,
                                           s.pieces, LENGTHS, s.options, &plan, err);
    if (done == KW_OK) done = print(name, &plan, bench_now() - begun, err);
    kw_arena_free(&a);
    return done;
}

int bench_stick_week(const struct bench_args *args) {
    struct kw_error err = {0};
    int weeks = args->cases > 0 ? args->cases : WEEKS;
    for (int w = 1; w <= weeks; w++) {
        enum kw_status s = one(args, w, BOUGHT, &err);
        if (s == KW_OK) s = one(args, w, 1, &err);
        if (s == KW_OK) continue;
        if (err.status == KW_OK) err.status = s;
        return bench_fail(&err);
    }
    return 0;
}
