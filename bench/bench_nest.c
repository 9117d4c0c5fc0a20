// SPDX-License-Identifier: Apache-2.0
// nest: a shop's own kind of job, generated: --parts N parts of --shapes S shapes (a twelfth as
// many unless given) on sheets of two sizes with spacing and margin. Tells how long the first full
// nest takes, and the end.
#include "bench.h"
#include "plot.h"

#include <math.h>

#define EACH    12 // copies of a shape, so that 500 parts are of some 40 shapes
#define MM_STEP 5

struct marks {
    double begun, first;
    double first_value;
};

static void take_mark(void *user, double value, double extent) {
    struct marks *m = user;
    (void)extent;
    if (m->first > 0) return;
    m->first = bench_now() - m->begun;
    m->first_value = value;
}

static double side(uint64_t *random, double least, double most) {
    return bench_random_step(random, least, most, MM_STEP);
}

/// Plates with holes, angles, gussets, discs, channels: what a kit shop cuts.
static struct kw_region *shape(struct kw_arena *a, int i, uint64_t *random) {
    struct kw_region *r = KW_NEW(a, struct kw_region);
    double x = side(random, 60, 500), y = side(random, 40, 300), t = side(random, 25, 40);
    t = fmin(t, y - MM_STEP);
    if (i % 5 == 3) {
        r->outer = kw_path_circle(a, 0, 0, y / 2, true, 0);
        return r;
    }
    r->outer = kw_path_box_outline(a, 0, 0, x, y, 0);
    if (i % 5 == 0) {
        KW_PUSH(a, r->holes, r->hole_count) = kw_path_circle(a, 20, 20, 6, false, 0);
        return r;
    }
    const double outlines[3][8][2] = {
        {{0, 0}, {x, 0}, {x, t}, {t, t}, {t, y}, {0, y}},
        {{0, 0}, {x, 0}, {x, t}, {t, y}, {0, y}},
        {{0, 0}, {x, 0}, {x, y}, {x - 20, y}, {x - 20, 20}, {20, 20}, {20, y}, {0, y}},
    };
    const int corners[3] = {6, 5, 8};
    int kind = i % 5 == 4 ? 2 : i % 5 - 1;
    r->outer = (struct kw_path){0};
    for (int k = 0; k < corners[kind]; k++)
        kw_path_add(a, &r->outer, outlines[kind][k][0], outlines[kind][k][1], 0, 0);
    return r;
}

static enum kw_status print(const struct bench_args *args, int shapes, const struct marks *m,
                            const struct kw_nest *nest, double seconds, struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_count(j, "parts", args->parts);
    kw_json_key_count(j, "shapes", shapes);
    kw_json_key_number(j, "first", m->first, 4);
    kw_json_key_number(j, "first_value", m->first_value, 6);
    kw_json_key_number(j, "value", nest->value, 6);
    kw_json_key_number(j, "lower_bound", nest->lower_bound, 6);
    kw_json_key_count(j, "sheets", nest->sheets_used);
    kw_json_key_count(j, "programs", nest->layout_count);
    kw_json_key_count(j, "unplaced", nest->unplaced_count);
    kw_json_key_number(j, "density", nest->density, 6);
    kw_json_key_number(j, "seconds", seconds, 3);
    kw_json_key_number(j, "peak_mb", bench_peak_mb(), 1);
    return bench_line_print(&line, err);
}

/// The generated job, and what its nest took.
static enum kw_status nest_job(struct kw_arena *a, const struct bench_args *args, int shapes,
                               struct marks *marks, struct kw_nest *nest, struct kw_error *err) {
    uint64_t random = args->seed;
    struct kw_nest_part *parts = KW_NEW_ARRAY(a, struct kw_nest_part, shapes + 1);
    for (int i = 0; i < shapes; i++) {
        parts[i].outline = shape(a, i, &random);
        parts[i].count = args->parts / shapes + (i < args->parts % shapes);
    }
    const struct kw_nest_sheet sheets[2] = {{.width = 2500, .height = 1250, .count = -1},
                                            {.width = 2000, .height = 1000, .count = -1}};
    struct kw_nest_job job = {parts, shapes, sheets, 2};
    struct kw_nest_options o = bench_nest_options(args);
    *marks = (struct marks){.begun = bench_now()};
    o.better = take_mark;
    o.better_user = marks;
    return kw_nest(a, &job, &o, nest, err);
}

int bench_nest(const struct bench_args *args) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct marks marks;
    struct kw_nest nest;
    int shapes = args->shapes > 0 ? args->shapes : (args->parts + EACH - 1) / EACH;
    enum kw_status s = nest_job(&a, args, shapes, &marks, &nest, &err);
    if (s == KW_OK) s = print(args, shapes, &marks, &nest, bench_now() - marks.begun, &err);
    kw_arena_free(&a);
    return s == KW_OK ? 0 : bench_fail(&err);
}

// ------------------------------------------------------------------------------------- growth

#define SIZES 7
#define FEW   40 // shapes

#define JOBS    3 // generated, that a figure is the mean of
#define REPEATS 2 // the least of them: others use the processor too

static enum kw_status first_seconds_of(struct bench_args args, int shapes, double *seconds,
                                       struct kw_error *err) {
    enum kw_status s = KW_OK;
    *seconds = INFINITY;
    args.seconds = 0;
    args.steps = 1;
    for (int i = 0; s == KW_OK && i < REPEATS; i++) {
        struct kw_arena a = {0};
        struct marks marks;
        struct kw_nest nest;
        double begun = bench_cpu();
        s = nest_job(&a, &args, shapes, &marks, &nest, err);
        *seconds = fmin(*seconds, bench_cpu() - begun);
        kw_arena_free(&a);
    }
    return s;
}

/// Seconds of the processor to the first full nest.
static enum kw_status first_seconds(struct bench_args args, int shapes, double *seconds,
                                    struct kw_error *err) {
    enum kw_status s = KW_OK;
    *seconds = 0;
    for (int i = 0; s == KW_OK && i < JOBS; i++, args.seed++) {
        double one;
        s = first_seconds_of(args, shapes, &one, err);
        *seconds += one / JOBS;
    }
    return s;
}

static enum kw_status measure(const struct bench_args *args, double few[SIZES][2],
                              double many[SIZES][2], struct kw_error *err) {
    static const double part[SIZES] = {0.01, 0.02, 0.04, 0.1, 0.2, 0.4, 1};
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < SIZES; i++) {
        struct bench_args one = *args;
        struct bench_line line;
        one.parts = (int)fmax(args->parts * part[i], 1);
        few[i][0] = many[i][0] = one.parts;
        s = first_seconds(one, FEW, &few[i][1], err);
        if (s == KW_OK) s = first_seconds(one, (one.parts + EACH - 1) / EACH, &many[i][1], err);
        if (s != KW_OK) break;
        struct kw_json *j = bench_line_begin(&line);
        kw_json_key_count(j, "parts", one.parts);
        kw_json_key_number(j, "few_shapes", few[i][1], 4);
        kw_json_key_number(j, "many_shapes", many[i][1], 4);
        kw_json_key_number(j, "peak_mb", bench_peak_mb(), 1);
        s = bench_line_print(&line, err);
    }
    return s;
}

/// How n log n would go on from the first size.
static void n_log_n(double from[SIZES][2], double to[SIZES][2]) {
    double unit = from[0][1] / (from[0][0] * log(from[0][0]));
    for (int i = 0; i < SIZES; i++) {
        to[i][0] = from[i][0];
        to[i][1] = unit * from[i][0] * log(from[i][0]);
    }
}

int bench_growth(const struct bench_args *args) {
    struct kw_error err = {0};
    double few[SIZES][2], many[SIZES][2], like_few[SIZES][2], like_many[SIZES][2];
    struct bench_args all = *args;
    if (all.parts == 0) all.parts = 50000;
    enum kw_status s = measure(&all, few, many, &err);
    if (s == KW_OK && args->plot) {
        n_log_n(few, like_few);
        n_log_n(many, like_many);
        struct bench_plot_line lines[] = {{"40 shapes", few, SIZES, false},
                                          {"12 parts a shape", many, SIZES, false},
                                          {"n log n", like_few, SIZES, true},
                                          {"n log n", like_many, SIZES, true}};
        struct bench_plot plot = {"Time to a first full nest",
                                  "parts",
                                  "s of one processor",
                                  true,
                                  true,
                                  false,
                                  lines,
                                  4};
        s = bench_plot_write(&plot, args->plot, &err);
    }
    return s == KW_OK ? 0 : bench_fail(&err);
}
