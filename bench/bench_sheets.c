// SPDX-License-Identifier: Apache-2.0
// sheets: irregular items on as few equal sheets as possible, without spacing or margin.
#include "bench.h"

#include <math.h>

static enum kw_status write_layout(const struct bench_args *args, const char *name,
                                   const struct kw_nest *nest, struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key(j, "sheets");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < nest->layout_count; i++) {
        for (int k = 0; k < nest->layouts[i].times; k++) {
            kw_json_open_inline(j, '{');
            bench_placements(j, &nest->layouts[i]);
            kw_json_close(j);
        }
    }
    kw_json_close(j);
    return bench_line_write(&line, args->layout, name, err);
}

static enum kw_status print_case(const char *name, const struct kw_nest *nest, double seconds,
                                 struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    int unplaced = 0;
    for (int i = 0; i < nest->unplaced_count; i++)
        unplaced += nest->unplaced[i].count;
    kw_json_key_text(j, "name", name);
    kw_json_key_count(j, "sheets", nest->sheets_used);
    kw_json_key_number(j, "lower_bound", ceil(nest->lower_bound - 1e-6), 0);
    kw_json_key_number(j, "density", nest->density, 6);
    kw_json_key_number(j, "seconds", seconds, 3);
    if (unplaced > 0) kw_json_key_count(j, "unplaced", unplaced);
    return bench_line_print(&line, err);
}

static enum kw_status one(struct kw_arena *a, const struct bench_args *args,
                          const struct kw_node *c, struct kw_error *err) {
    int count;
    const char *name = bench_name(c, err);
    struct kw_nest_part *parts = bench_items(a, c, &count, err);
    const struct kw_node *size = bench_list(c, "sheet", 2, err);
    if (err->status != KW_OK) return err->status;
    struct kw_nest_sheet sheet = {.width = bench_number_of(&size->items[0], err),
                                  .height = bench_number_of(&size->items[1], err),
                                  .count = -1,
                                  .price = 1}; // so that the bound counts sheets
    struct kw_nest_job job = {parts, count, &sheet, 1};
    struct kw_nest_options o = bench_nest_options(args);
    o.spacing = o.margin = o.drop_short = o.drop_long = 0;
    struct kw_nest nest = {0};
    double begun = bench_now();
    enum kw_status s = err->status == KW_OK ? kw_nest(a, &job, &o, &nest, err) : err->status;
    double seconds = bench_now() - begun;
    if (s == KW_OK && args->layout) s = write_layout(args, name, &nest, err);
    if (s == KW_OK) s = print_case(name, &nest, seconds, err);
    return s;
}

int bench_sheets(const struct bench_args *args) {
    return bench_each_case(args, one);
}
