// SPDX-License-Identifier: Apache-2.0
// Open cases of one-dimensional packing (shared/bench-data/sticks; Falkenauer 1996, from the ESICUP
// data sets, public domain), in $KW_BENCH_DATA or ../shared/bench-data. Optima that differ from the
// files' best_known: u250_07 103, u250_12 105 (packing-benchmarks.md). Skipped where absent.
#include "stick_judge.h"

#include <criterion/criterion.h>
#include <jansson.h>
#include <string.h>

static json_t *open_cases(const char *file) {
    const char *folder = getenv("KW_BENCH_DATA");
    char path[4096];
    snprintf(path, sizeof path, "%s/sticks/%s", folder ? folder : "../shared/bench-data", file);
    json_error_t err;
    json_t *all = json_load_file(path, 0, &err);
    if (!all) cr_skip_test("%s: %s; skipped", path, err.text);
    return all;
}

/// The optimum lies in low..high.
struct optimum {
    int low, high;
};

/// hard28 has no best known: the optimum of each case is what its length needs or one stick more
/// (packing-benchmarks.md).
static struct optimum optimum(const char *name, json_t *one) {
    if (strcmp(name, "u250_07") == 0) return (struct optimum){103, 103};
    if (strcmp(name, "u250_12") == 0) return (struct optimum){105, 105};
    json_t *known = json_object_get(one, "best_known"), *length;
    int best = (int)json_integer_value(known);
    if (known) return (struct optimum){best, best};
    double sum = 0, stick = json_number_value(json_object_get(one, "stick_length"));
    size_t i;
    json_array_foreach(json_object_get(one, "pieces"), i, length) sum += json_number_value(length);
    return (struct optimum){(int)ceil(sum / stick), (int)ceil(sum / stick) + 1};
}

struct score {
    int cases, reached, proven, over;
};

static void solve_case(json_t *one, long steps, struct score *score) {
    struct kw_arena a = {0};
    const char *name = json_string_value(json_object_get(one, "name"));
    json_t *lengths = json_object_get(one, "pieces");
    int n = (int)json_array_size(lengths);
    struct kw_stick_piece *pieces = KW_NEW_ARRAY(&a, struct kw_stick_piece, n);
    for (int i = 0; i < n; i++)
        pieces[i] =
            (struct kw_stick_piece){json_number_value(json_array_get(lengths, (size_t)i)), 1};
    struct kw_stick_stock stock = {json_number_value(json_object_get(one, "stick_length")), -1, 1};
    struct stick_case c = {&stock, 1, pieces, n, kw_stick_options_default()};
    c.o.steps = steps;
    struct kw_stick_plan plan;
    cr_assert_eq(kw_stick_plan(&a, &stock, 1, pieces, n, &c.o, &plan, NULL), KW_OK);
    const char *fault = plan_fault(&c, &plan);
    cr_expect_null(fault, "%s: %s", name, fault ? fault : "");
    struct optimum best = optimum(name, one);
    cr_expect_geq(plan.sticks, best.low, "%s: %d, fewer than the optimum", name, plan.sticks);
    cr_expect_leq(plan.lower_bound, best.high, "%s: a bound above the optimum", name);
    score->cases++;
    score->reached += plan.sticks <= best.high;
    score->proven += plan.proven;
    score->over += plan.sticks > best.high ? plan.sticks - best.high : 0;
    kw_arena_free(&a);
}

static struct score solve_some(const char *file, long steps, size_t most) {
    struct score score = {0};
    json_t *all = open_cases(file), *cases = json_object_get(all, "cases"), *one;
    size_t i;
    json_array_foreach(cases, i, one) {
        if (i < most) solve_case(one, steps, &score);
    }
    json_decref(all);
    fprintf(stderr, "%s: %d of %d reach the optimum, %d proven, %d sticks over in all\n", file,
            score.reached, score.cases, score.proven, score.over);
    return score;
}

Test(stick_open_cases, all_of_binpack2_are_proven) {
    struct score s = solve_some("binpack2.json", 20000, 20);
    cr_expect_eq(s.reached, s.cases, "%d", s.reached);
    cr_expect_eq(s.proven, s.cases, "%d", s.proven);
}

Test(stick_open_cases, all_of_binpack5_are_proven) {
    struct score s = solve_some("binpack5.json", 20000, 20);
    cr_expect_eq(s.reached, s.cases, "%d", s.reached);
    cr_expect_eq(s.proven, s.cases, "%d", s.proven);
}

Test(stick_open_cases, five_of_binpack7_are_proven) {
    struct score s = solve_some("binpack7.json", 60000, 5);
    cr_expect_eq(s.proven, 5, "%d", s.proven);
}

// The first three: one whose optimum is above the bound of the linear program, two that roundings
// and the integer program bring down to it.
Test(stick_open_cases, three_of_hard28_are_proven) {
    struct score s = solve_some("hard28.json", 60000, 3);
    cr_expect_eq(s.proven, 3, "%d", s.proven);
}
