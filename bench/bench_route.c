// SPDX-License-Identifier: Apache-2.0
// route: how far the torch travels between cuts, against a lower bound and against a long run of
// the same planner.
#include "bench.h"
#include "cut/cut.h"
#include "fine_steps.h"
#include "route_bound.h"
#include "route_nest.h"

#include <math.h>

#define LONG_STEPS   4e6
#define BOUND_ROUNDS 250

static struct route_stop *find_stops(struct kw_arena *a, const struct kw_cut_plan *plan) {
    struct route_stop *v = KW_NEW_ARRAY(a, struct route_stop, plan->contour_count + 1);
    for (int i = 0; i < plan->contour_count; i++) {
        const struct kw_cut_contour *c = &plan->contours[i];
        v[i] = (struct route_stop){c->pierce, plan->moves[c->first_move + c->moves - 1].to};
    }
    return v;
}

static void write_path(struct kw_json *j, const struct kw_path *p) {
    kw_json_open_inline(j, '[');
    for (int i = 0; i < p->count; i++) {
        kw_json_open_inline(j, '[');
        kw_json_number(j, p->v[i].x, 6);
        kw_json_number(j, p->v[i].y, 6);
        kw_json_number(j, p->v[i].bulge, 9);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static void write_point(struct kw_json *j, const char *key, struct kw_vec2 p) {
    kw_json_key(j, key);
    kw_json_open_inline(j, '[');
    kw_json_number(j, p.x, 6);
    kw_json_number(j, p.y, 6);
    kw_json_close(j);
}

static void write_parts(struct kw_json *j, const struct kw_cut_sheet *sheet) {
    kw_json_key(j, "parts");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < sheet->part_count; i++) {
        const struct kw_region *r = &sheet->parts[i].region;
        kw_json_open_inline(j, '{');
        kw_json_key_text(j, "part", sheet->parts[i].name);
        kw_json_key(j, "outer");
        write_path(j, &r->outer);
        kw_json_key(j, "holes");
        kw_json_open_inline(j, '[');
        for (int k = 0; k < r->hole_count; k++)
            write_path(j, &r->holes[k]);
        kw_json_close(j);
        kw_json_close(j);
    }
    kw_json_close(j);
}

static enum kw_status write_layout(struct kw_arena *a, const struct bench_args *args,
                                   const char *name, const struct kw_cut_sheet *sheet,
                                   const struct kw_cut_plan *plan, struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    const struct route_stop *v = find_stops(a, plan);
    kw_json_key_text(j, "name", name);
    write_point(j, "sheet", kw_v2(sheet->width, sheet->height));
    write_parts(j, sheet);
    kw_json_key(j, "contours");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < plan->contour_count; i++) {
        kw_json_open_inline(j, '{');
        kw_json_key_count(j, "part", plan->contours[i].part);
        kw_json_key_count(j, "hole", plan->contours[i].hole);
        write_point(j, "pierce", v[i].in);
        write_point(j, "off", v[i].out);
        kw_json_close(j);
    }
    kw_json_close(j);
    return bench_line_write(&line, args->layout, name, err);
}

struct figures {
    double bound, long_run, seconds, cpu_seconds; // mm, mm, s, s
    double in_steps;                              // s: time of the plan by simulation
};

static enum kw_status print_case(const char *name, const struct kw_cut_sheet *sheet,
                                 const struct kw_cut_plan *plan, struct figures f,
                                 struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "name", name);
    kw_json_key_count(j, "parts", sheet->part_count);
    kw_json_key_number(j, "rapid", plan->rapid_length, 3);
    kw_json_key_number(j, "bound", f.bound, 3);
    kw_json_key_number(j, "long_run", f.long_run, 3);
    kw_json_key_number(j, "seconds", f.seconds, 3);
    kw_json_key_number(j, "cpu_seconds", f.cpu_seconds, 3);
    kw_json_key_number(j, "predicted", plan->cut_time, 3);
    kw_json_key_number(j, "simulated", f.in_steps, 3);
    kw_json_key_count(j, "pierces", plan->pierces);
    kw_json_key_count(j, "problems", plan->problem_count);
    return bench_line_print(&line, err);
}

// The shortest of many searches from other random numbers, each of more steps than usual, until so
// much time of the processor is used: at least one.
static enum kw_status long_search(struct kw_arena *a, const struct bench_args *args,
                                  const struct kw_cut_sheet *sheet, const struct kw_cut_rule *rule,
                                  const struct kw_cut_controller *controller, double *least,
                                  struct kw_error *err) {
    double begun = bench_cpu();
    struct kw_watch watch = args->watch;
    struct kw_cut_options o = {.seed = args->seed, .order_steps = LONG_STEPS, .watch = &watch};
    *least = INFINITY;
    do {
        struct kw_cut_plan plan = {0};
        o.seed++;
        enum kw_status s = kw_cut_plan_sheet(a, sheet, rule, controller, &o, &plan, err);
        if (s != KW_OK) return s;
        *least = fmin(*least, plan.rapid_length);
    } while (bench_cpu() - begun < args->seconds);
    return KW_OK;
}

static enum kw_status one(struct kw_arena *a, const struct bench_args *args, int index,
                          struct kw_error *err) {
    const struct kw_cut_rule rule = {.kerf = 1.5,
                                     .feed = 55,
                                     .pierce_delay = 0.4,
                                     .pierce_height = 3.8,
                                     .cut_height = 1.5,
                                     .lead_in = 4};
    struct kw_cut_controller controller = kw_cut_controller_usual();
    struct kw_watch watch = args->watch;
    struct kw_cut_options o = {.seed = args->seed, .watch = &watch};
    struct kw_cut_sheet sheet = {0};
    struct kw_cut_plan plan = {0};
    const char *name = kw_format(a, "nest-%02d", index + 1);
    enum kw_status s = route_nest(a, index, args->seed, &watch, &sheet, err);
    double begun = bench_now(), cpu = bench_cpu();
    if (s == KW_OK) s = kw_cut_plan_sheet(a, &sheet, &rule, &controller, &o, &plan, err);
    struct figures f = {.seconds = bench_now() - begun, .cpu_seconds = bench_cpu() - cpu};
    if (s != KW_OK) return s;
    f.in_steps = fine_steps(&plan, &controller);
    s = long_search(a, args, &sheet, &rule, &controller, &f.long_run, err);
    if (s != KW_OK) return s;
    f.long_run = fmin(f.long_run, plan.rapid_length);
    f.bound = route_bound(a, (struct kw_vec2){0, 0}, find_stops(a, &plan), plan.contour_count,
                          plan.rapid_length, BOUND_ROUNDS);
    kw_assert(f.bound <= plan.rapid_length + 1e-6);
    if (args->layout) s = write_layout(a, args, name, &sheet, &plan, err);
    return s == KW_OK ? print_case(name, &sheet, &plan, f, err) : s;
}

int bench_route(const struct bench_args *args) {
    struct kw_error err = {0};
    int count = args->cases > 0 && args->cases < ROUTE_NESTS ? args->cases : ROUTE_NESTS;
    for (int i = 0; i < count; i++) {
        struct kw_arena a = {0};
        enum kw_status s = kw_watch_stopped(&args->watch) ? KW_STOPPED : one(&a, args, i, &err);
        kw_arena_free(&a);
        if (s == KW_OK) continue;
        if (err.status == KW_OK) err.status = s;
        return bench_fail(&err);
    }
    return 0;
}
