// SPDX-License-Identifier: Apache-2.0
// A tube said in three ways is one tube; what is wrong with points and rows is told at their place.
#include "check_hand.h"

#include <criterion/criterion.h>

static struct bench b;

static void by_points(const double (*at)[3], int count) {
    static struct kw_tube_point points[8];
    for (int i = 0; i < count; i++) {
        points[i] = (struct kw_tube_point){.place = {"kit.yaml", 10 + i, 5}};
        memcpy(points[i].at, at[i], sizeof points[i].at);
    }
    b.parts[1].shape.count = 0;
    b.parts[1].points = (struct kw_items){points, count};
}

static void by_rows(const struct kw_bender_row *rows, int count) {
    static struct kw_bender_row copy[8];
    memcpy(copy, rows, (size_t)count * sizeof *rows);
    b.parts[1].shape.count = 0;
    b.parts[1].bend_table = (struct kw_items){copy, count};
}

static double cut_length(void) {
    bench_check(&b);
    cr_assert(b.what[1].tube != NULL);
    double length = b.what[1].cut_length;
    kw_arena_free(&b.h.a);
    bench_start(&b);
    return length;
}

// The hoop of the good kit: 300 up, 400 across, 300 down, outside to outside, 25.4 thick.
static const double hoop[][3] = {{0, 0, 0}, {0, 0, 287.3}, {374.6, 0, 287.3}, {374.6, 0, 0}};

Test(check_tube_forms, words_points_and_rows_say_the_same_tube) {
    bench_start(&b);
    double words = cut_length();
    by_points(hoop, 4);
    cr_expect_float_eq(cut_length(), words, 1e-9);
    double radius = 101.6 * 1.02;
    const struct kw_bender_row rows[] = {{.straight = 287.3 - radius, .angle = 90 * DEG},
                                         {.straight = 374.6 - 2 * radius, .angle = 90 * DEG},
                                         {.straight = 287.3 - radius}};
    by_rows(rows, 3);
    cr_expect_float_eq(cut_length(), words, 1e-9);
    kw_arena_free(&b.h.a);
}

static void expect_at(const char *rule, int line) {
    bench_check(&b);
    const struct kw_finding *f = bench_found(&b, rule);
    cr_expect(f != NULL, "%s is not found", rule);
    if (f) cr_expect_eq(f->where.line, line, "%s at line %d", rule, f->where.line);
    if (f) cr_expect_eq(f->level, KW_STOP);
    kw_arena_free(&b.h.a);
    bench_start(&b);
}

Test(check_tube_forms, what_is_wrong_with_points_is_told_at_the_point) {
    bench_start(&b);
    const double back[][3] = {{0, 0, 0}, {0, 0, 500}, {0, 0, 100}, {300, 0, 100}};
    by_points(back, 4);
    expect_at("tube-doubles-back", 11);
    const double twice[][3] = {{0, 0, 0}, {0, 0, 500}, {0, 0, 500}, {300, 0, 500}};
    by_points(twice, 4);
    expect_at("tube-zero-length-straight", 12);
    const double tight[][3] = {{0, 0, 0}, {0, 0, 500}, {150, 0, 500}, {150, 0, 0}};
    by_points(tight, 4);
    expect_at("tube-radius-does-not-fit", 12);
    kw_arena_free(&b.h.a);
}

Test(check_tube_forms, a_seam_that_finds_no_side_is_told) {
    bench_start(&b);
    struct kw_bender_row rows[] = {{.straight = 300, .angle = 60 * DEG},
                                   {.straight = 300, .rotate = 90 * DEG, .angle = 60 * DEG},
                                   {.straight = 300}};
    by_rows(rows, 3);
    bench_check(&b);
    cr_expect_null(bench_found(&b, "tube-seam"), "45 degrees off the side are allowed");
    kw_arena_free(&b.h.a);
    bench_start(&b);
    struct kw_bender_row more[] = {{.straight = 300, .angle = 60 * DEG},
                                   {.straight = 300, .rotate = 60 * DEG, .angle = 60 * DEG},
                                   {.straight = 300, .rotate = 60 * DEG, .angle = 60 * DEG},
                                   {.straight = 300}};
    by_rows(more, 4);
    bench_check(&b);
    const struct kw_finding *f = bench_found(&b, "tube-seam");
    cr_assert_not_null(f);
    cr_expect_float_eq(f->measured, 60, 1e-6);
    kw_arena_free(&b.h.a);
}
