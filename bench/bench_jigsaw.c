// SPDX-License-Identifier: Apache-2.0
// jigsaw: sheets cut up without waste by lines of several kinds, to be filled again: how many
// sheets are needed against how many there were. --cases K of each kind and size, 5 unless given.
#include "bench.h"
#include "cut_up.h"

static const char *const kinds[CUT_KINDS] = {"lines", "bent", "round", "boxes"};
static const int sizes[][2] = {{3, 10}, {3, 20}, {8, 7},
                               {4, 15}, {2, 60}, {12, 20}}; // sheets, pieces of each

struct sum {
    int cases, solved, sheets, cut;
    double seconds, longest;
};

static enum kw_status one(const struct bench_args *args, enum cut_kind kind, const int *size,
                          uint64_t seed, struct sum *sum, struct kw_error *err) {
    struct kw_arena a = {0};
    struct cut_job cut = cut_up(&a, seed, kind, size[0], size[1], seed % 2 == 1);
    struct kw_nest_sheet sheet = {
        .width = cut.width, .height = cut.height, .count = -1, .price = 1};
    struct kw_nest_job job = {cut.parts, cut.count, &sheet, 1};
    struct kw_nest_options o = bench_nest_options(args);
    o.spacing = o.margin = o.drop_short = o.drop_long = 0;
    struct kw_nest nest;
    double begun = bench_cpu();
    enum kw_status s = kw_nest(&a, &job, &o, &nest, err);
    double seconds = bench_cpu() - begun;
    if (s == KW_OK) {
        sum->cases++;
        sum->solved += nest.sheets_used == size[0];
        sum->sheets += nest.sheets_used;
        sum->cut += size[0];
        sum->seconds += seconds;
        if (seconds > sum->longest) sum->longest = seconds;
    }
    kw_arena_free(&a);
    return s;
}

static enum kw_status print(enum cut_kind kind, const int *size, const struct sum *sum,
                            struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "cuts", kinds[kind]);
    kw_json_key_count(j, "sheets_cut", size[0]);
    kw_json_key_count(j, "pieces_of_each", size[1]);
    kw_json_key_count(j, "cases", sum->cases);
    kw_json_key_count(j, "filled_again", sum->solved);
    kw_json_key_count(j, "sheets", sum->sheets);
    kw_json_key_count(j, "of", sum->cut);
    kw_json_key_number(j, "cpu_mean", sum->seconds / sum->cases, 3);
    kw_json_key_number(j, "cpu_longest", sum->longest, 3);
    return bench_line_print(&line, err);
}

int bench_jigsaw(const struct bench_args *args) {
    struct kw_error err = {0};
    int cases = args->cases > 0 ? args->cases : 5;
    enum kw_status s = KW_OK;
    for (int k = 0; k < CUT_KINDS; k++) {
        for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
            struct sum sum = {0};
            for (int n = 0; s == KW_OK && n < cases; n++)
                s = one(args, (enum cut_kind)k, sizes[i], args->seed * 1000 + (uint64_t)n, &sum,
                        &err);
            if (s == KW_OK) s = print((enum cut_kind)k, sizes[i], &sum, &err);
            if (s != KW_OK) return bench_fail(&err);
        }
    }
    return 0;
}
