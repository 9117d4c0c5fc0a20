// SPDX-License-Identifier: Apache-2.0
// cartons: boxes into as few equal cartons as possible (thpack9), or into one carton as full as
// possible (thpack1: more boxes than it holds). The source's name tells which is meant.
#include "bench.h"
#include "carton/carton.h"

#include <stdio.h>
#include <string.h>

#define FIRST_EFFORT 12
#define MOST_EFFORT  100000

struct task {
    const char *name;
    struct kw_carton_box *boxes;
    int box_count;
    struct kw_carton_kind kind;
    bool one_carton;
};

static bool truth(const struct kw_node *n, struct kw_error *err) {
    bool yes = n->kind == KW_SCALAR && strcmp(n->text, "true") == 0;
    bool no = n->kind == KW_SCALAR && strcmp(n->text, "false") == 0;
    if (!yes && !no) kw_fail(err, KW_FORMAT, n->at, "expected true or false");
    return yes;
}

static void read_size(const struct kw_node *map, const char *key, double size[3],
                      struct kw_error *err) {
    const struct kw_node *n = bench_list(map, key, 3, err);
    for (int i = 0; i < 3 && n->count >= 3; i++)
        size[i] = bench_number_of(&n->items[i], err);
}

static void read_task(struct kw_arena *a, const struct kw_node *c, struct task *t,
                      struct kw_error *err) {
    const struct kw_node *boxes = bench_list(c, "boxes", 1, err);
    t->name = bench_name(c, err);
    t->one_carton = strncmp(t->name, "thpack9", 7) != 0;
    t->kind = (struct kw_carton_kind){.count = t->one_carton ? 1 : -1};
    read_size(c, "carton", t->kind.inside, err);
    t->boxes = KW_NEW_ARRAY(a, struct kw_carton_box, boxes->count + 1);
    t->box_count = boxes->count;
    for (int i = 0; i < boxes->count; i++) {
        struct kw_carton_box *b = &t->boxes[i];
        const struct kw_node *n = &boxes->items[i];
        const struct kw_node *stand = bench_list(n, "may_stand_on", 3, err);
        b->count = bench_count(n, "count", err);
        read_size(n, "size", b->size, err);
        for (int k = 0; k < 3 && stand->count >= 3; k++)
            b->upright[k] = truth(&stand->items[k], err);
    }
}

// Filled part of all cartons used.
static double filled_of(const struct kw_carton_plan *plan) {
    double sum = 0;
    for (int i = 0; i < plan->carton_count; i++)
        sum += plan->cartons[i].filled;
    return plan->carton_count > 0 ? sum / plan->carton_count : 0;
}

static int left_over(const struct kw_carton_plan *plan) {
    int n = 0;
    for (int i = 0; i < plan->problem_count; i++)
        n += plan->problems[i].count;
    return n;
}

static bool is_better(const struct task *t, const struct kw_carton_plan *a,
                      const struct kw_carton_plan *b) {
    if (t->one_carton) return filled_of(a) > filled_of(b);
    if (left_over(a) != left_over(b)) return left_over(a) < left_over(b);
    return a->carton_count < b->carton_count;
}

// With --seconds the engine is called again with twice the tries until the time is up; a round is
// begun only when there is time for it, going by the last.
static enum kw_status solve(struct kw_arena *a, const struct bench_args *args, const struct task *t,
                            struct kw_carton_plan *best, struct kw_error *err) {
    struct kw_carton_rules rules = {.support = 1, .effort = FIRST_EFFORT};
    double begun = bench_now();
    for (int round = 0;; round++) {
        struct kw_carton_plan plan;
        double at = bench_now();
        enum kw_status s = kw_carton_plan(a, t->boxes, t->box_count, &t->kind, 1, &rules,
                                          (struct kw_place){.file = args->file}, &plan, err);
        if (s == KW_OK)
            s = kw_carton_check(&plan, t->boxes, t->box_count, &t->kind, 1, &rules, err);
        if (s != KW_OK) return s;
        if (kw_watch_stopped(&args->watch)) return KW_STOPPED;
        if (round == 0 || is_better(t, &plan, best)) *best = plan;
        double now = bench_now();
        rules.effort *= 2;
        if (now + 2 * (now - at) > begun + args->seconds || rules.effort > MOST_EFFORT)
            return KW_OK;
    }
}

static void write_numbers(struct kw_json *j, const char *key, const double v[3]) {
    kw_json_key(j, key);
    kw_json_open_inline(j, '[');
    for (int i = 0; i < 3; i++)
        kw_json_number(j, v[i], 6);
    kw_json_close(j);
}

static enum kw_status write_layout(const struct bench_args *args, const struct task *t,
                                   const struct kw_carton_plan *plan, struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key(j, "boxes");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < plan->carton_count; i++) {
        const struct kw_carton *c = &plan->cartons[i];
        for (int k = 0; k < c->placed_count; k++) {
            kw_json_open_inline(j, '{');
            kw_json_key_count(j, "carton", i);
            kw_json_key_count(j, "box", c->placed[k].box);
            write_numbers(j, "at", c->placed[k].at);
            write_numbers(j, "size", c->placed[k].size);
            kw_json_close(j);
        }
    }
    kw_json_close(j);
    return bench_line_write(&line, args->layout, t->name, err);
}

static enum kw_status print_case(const struct task *t, const struct kw_carton_plan *plan,
                                 double seconds, struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "name", t->name);
    kw_json_key_count(j, "cartons", plan->carton_count);
    kw_json_key_number(j, "filled", filled_of(plan), 6);
    kw_json_key_number(j, "seconds", seconds, 3);
    kw_json_key_count(j, "left_over", left_over(plan));
    return bench_line_print(&line, err);
}

static enum kw_status one(struct kw_arena *a, const struct bench_args *args,
                          const struct kw_node *c, struct kw_error *err) {
    struct task t = {0};
    struct kw_carton_plan plan = {0};
    read_task(a, c, &t, err);
    if (err->status != KW_OK) return err->status;
    double begun = bench_now();
    enum kw_status s = solve(a, args, &t, &plan, err);
    double seconds = bench_now() - begun;
    if (s == KW_OK && args->layout) s = write_layout(args, &t, &plan, err);
    if (s == KW_OK) s = print_case(&t, &plan, seconds, err);
    return s;
}

int bench_cartons(const struct bench_args *args) {
    return bench_each_case(args, one);
}
