// SPDX-License-Identifier: Apache-2.0
// Carrier figures and open cases against published values.
#include "../unit/carton_help.h"

#include <jansson.h>
#include <time.h>

Test(carton_values, dimensional_weight_of_published_examples) {
    // Published carrier example: 25 x 6 x 43 in over 139 = 46.40, billed 47 lb.
    struct kw_carton_rules rules = {.divisor = DIVISOR(139), .mass_step = LB, .size_step = IN};
    double side[3] = {25 * IN, 6 * IN, 43 * IN}, by_size = 0;
    double billed = kw_carton_billable(10 * LB, side, &rules, &by_size);
    cr_expect_float_eq(by_size / LB, 46.40, 0.005);
    cr_expect_float_eq(billed / LB, 47.0, 1e-9);
    // The heavier counts, and a whole pound stays what it is.
    cr_expect_float_eq(kw_carton_billable(52 * LB, side, &rules, NULL) / LB, 52.0, 1e-9);
    cr_expect_float_eq(kw_carton_billable(52.01 * LB, side, &rules, NULL) / LB, 53.0, 1e-9);
    // 8 x 8 x 6 in is 384 in3 (a public page has 288): over 139 it is 2.76, billed 3 lb; over 128
    // exactly 3 lb, which must not become 4.
    double small[3] = {8 * IN, 8 * IN, 6 * IN};
    cr_expect_float_eq(kw_carton_billable(LB, small, &rules, &by_size) / LB, 3.0, 1e-9);
    cr_expect_float_eq(by_size / LB, 384.0 / 139, 1e-9);
    rules.divisor = DIVISOR(128);
    cr_expect_float_eq(kw_carton_billable(LB, small, &rules, NULL) / LB, 3.0, 1e-9);
}

Test(carton_values, length_and_girth_from_sides_rounded_up) {
    // Published example: 30 x 10 x 10 in has 70 in, whichever side is named first.
    cr_expect_float_eq(kw_carton_length_girth((double[]){30, 10, 10}), 70.0, 1e-12);
    cr_expect_float_eq(kw_carton_length_girth((double[]){10, 10, 30}), 70.0, 1e-12);
    struct kw_carton_rules rules = {.size_step = IN};
    struct kw_carton_kind kind = carton_of(29.5 * IN, 9.5 * IN, 9.6 * IN);
    kind.wall = 0.25 * IN;
    double out[3];
    kw_carton_outside(&kind, &rules, out); // 30, 10, 10.1
    cr_expect_float_eq(out[0] / IN, 30.0, 1e-9);
    cr_expect_float_eq(out[1] / IN, 10.0, 1e-9);
    cr_expect_float_eq(out[2] / IN, 11.0, 1e-9);
}

static double number_at(const json_t *list, size_t i) {
    return json_number_value(json_array_get(list, i));
}

/// Reads one case; returns the number of kinds of boxes.
static int read_case(const json_t *c, struct kw_carton_box *boxes, int most,
                     struct kw_carton_kind *kind) {
    const json_t *list = json_object_get(c, "boxes"), *size = json_object_get(c, "carton");
    int n = (int)json_array_size(list);
    cr_assert_leq(n, most);
    *kind = carton_of(number_at(size, 0), number_at(size, 1), number_at(size, 2));
    for (int i = 0; i < n; i++) {
        const json_t *b = json_array_get(list, (size_t)i);
        const json_t *s = json_object_get(b, "size"), *u = json_object_get(b, "may_stand_on");
        boxes[i] =
            (struct kw_carton_box){.count = (int)json_integer_value(json_object_get(b, "count"))};
        for (size_t k = 0; k < 3; k++) {
            boxes[i].size[k] = number_at(s, k);
            boxes[i].upright[k] = json_is_true(json_array_get(u, k));
        }
    }
    return n;
}

static json_t *open_cases(const char *name) {
    char path[256];
    snprintf(path, sizeof path, "../shared/bench-data/cartons/%s.json", name);
    json_t *root = json_load_file(path, 0, NULL);
    if (!root) cr_skip_test("no %s", path);
    return root;
}

// Bischoff and Ratcliff 1995, ESICUP 3d_rectangular/thpack1: one carton, 3 kinds of boxes, filled
// as well as can be. Published heuristics with full support fill 82 to 94 % (from memory).
Test(carton_values, one_carton_of_few_kinds_is_well_filled) {
    json_t *root = open_cases("thpack1"), *cases = json_object_get(root, "cases");
    double sum = 0, least = 1;
    int count = 10;
    for (int i = 0; i < count; i++) {
        struct kw_arena a = {0};
        struct kw_carton_box boxes[32];
        struct kw_carton_kind kind;
        int n = read_case(json_array_get(cases, (size_t)i), boxes, 32, &kind);
        kind.count = 1;
        struct kw_carton_rules rules = {.support = 0.7, .effort = 16};
        struct kw_carton_plan plan = planned(&a, boxes, n, &kind, 1, &rules);
        cr_assert_eq(plan.carton_count, 1);
        sum += plan.cartons[0].filled;
        least = fmin(least, plan.cartons[0].filled);
        kw_arena_free(&a);
    }
    fprintf(stderr, "thpack1: %d cases, filled %.1f %% on average, least %.1f %%\n", count,
            100 * sum / count, 100 * least);
    cr_expect_gt(sum / count, 0.80);
    cr_expect_gt(least, 0.70);
    json_decref(root);
}

// Ivancic, Mathur and Mohanty 1989, ESICUP 3d_rectangular/thpack9: as few cartons as can be. Bound:
// volume of the boxes over that of a carton, rounded up.
Test(carton_values, few_cartons_for_many_boxes) {
    json_t *root = open_cases("thpack9"), *cases = json_object_get(root, "cases");
    int cartons = 0, bound = 0, count = 12;
    for (int i = 0; i < count; i++) {
        struct kw_arena a = {0};
        struct kw_carton_box boxes[32];
        struct kw_carton_kind kind;
        int n = read_case(json_array_get(cases, (size_t)i), boxes, 32, &kind);
        double volume = 0;
        for (int k = 0; k < n; k++)
            volume += boxes[k].count * boxes[k].size[0] * boxes[k].size[1] * boxes[k].size[2];
        struct kw_carton_rules rules = {.support = 0.7, .effort = 12};
        struct kw_carton_plan plan = planned(&a, boxes, n, &kind, 1, &rules);
        cr_expect_eq(plan.problem_count, 0);
        cartons += plan.carton_count;
        bound += (int)ceil(volume / (kind.inside[0] * kind.inside[1] * kind.inside[2]) - 1e-9);
        kw_arena_free(&a);
    }
    fprintf(stderr, "thpack9: %d cases, %d cartons, bound by volume %d\n", count, cartons, bound);
    cr_expect_geq(cartons, bound);
    cr_expect_lt(cartons, 1.5 * bound);
    json_decref(root);
}

Test(carton_values, a_kit_of_sixty_boxes_takes_moments) {
    struct kw_arena a = {0};
    struct kw_carton_box boxes[20];
    uint64_t seed = 3;
    for (int i = 0; i < 20; i++) {
        boxes[i] = (struct kw_carton_box){.mass = 0.5, .count = 3, .upright = {false, true, true}};
        for (int k = 0; k < 3; k++)
            boxes[i].size[k] = 5 + floor(kw_random_unit(&seed) * (k == 2 ? 30 : 250));
    }
    struct kw_carton_kind kinds[4];
    for (int i = 0; i < 4; i++)
        kinds[i] = carton_of(300 + 100 * i, 300, 100 + 60 * i);
    struct kw_carton_rules rules = {.divisor = DIVISOR(139), .most_mass = 68};
    struct timespec t0, t1;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t0);
    struct kw_carton_plan plan = planned(&a, boxes, 20, kinds, 4, &rules);
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t1);
    double ms = 1e3 * (double)(t1.tv_sec - t0.tv_sec) + (double)(t1.tv_nsec - t0.tv_nsec) / 1e6;
    fprintf(stderr, "60 boxes: %d cartons, %.0f %% filled, %.1f ms\n", plan.carton_count,
            100 * plan.cartons[0].filled, ms);
    cr_expect_lt(ms, 2000); // measured 10 to 30 ms; wide for sanitizers and busy machines
    kw_arena_free(&a);
}
