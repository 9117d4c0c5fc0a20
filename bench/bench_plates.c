// SPDX-License-Identifier: Apache-2.0
// plates: the items of a strip case as a demand on equal plates, 1.5 strip widths long, with
// --copies times as many of each. Told beside the plates that the items' area needs.
#include "bench.h"

#include <math.h>

#define LENGTH 1.5 // of a plate, in strip widths

/// Plates, the emptiest of them by how far it is used: finer than whole ones.
static double used(const struct kw_nest *n, double length) {
    double least = length;
    for (int i = 0; i < n->layout_count; i++)
        least = fmin(least, n->layouts[i].used.max.x);
    return n->sheets_used - 1 + least / length;
}

static double item_area(const struct kw_nest_part *parts, int count) {
    double area = 0;
    for (int i = 0; i < count; i++)
        area += parts[i].count * kw_region_area(parts[i].outline);
    return area;
}

static struct kw_nest_options options_of(const struct bench_args *args) {
    struct kw_nest_options o = bench_nest_options(args);
    o.spacing = o.margin = o.drop_short = o.drop_long = 0;
    return o;
}

static enum kw_status print_case(const char *name, const struct kw_nest *nest, double length,
                                 double least, double seconds, struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "name", name);
    kw_json_key_count(j, "plates", nest->sheets_used);
    kw_json_key_number(j, "used", used(nest, length), 4);
    kw_json_key_number(j, "area_bound", least, 4);
    kw_json_key_number(j, "density", nest->density, 6);
    kw_json_key_count(j, "unplaced", nest->unplaced_count);
    kw_json_key_number(j, "seconds", seconds, 3);
    return bench_line_print(&line, err);
}

static enum kw_status one(struct kw_arena *a, const struct bench_args *args,
                          const struct kw_node *c, struct kw_error *err) {
    int count;
    const char *name = bench_name(c, err);
    double width = bench_number(c, "strip_width", err);
    struct kw_nest_part *parts = bench_items(a, c, &count, err);
    if (err->status != KW_OK) return err->status;
    for (int i = 0; i < count; i++)
        parts[i].count *= args->copies > 0 ? args->copies : 1;
    struct kw_nest_sheet plate = {
        .width = LENGTH * width, .height = width, .count = -1, .price = 1};
    struct kw_nest_job job = {parts, count, &plate, 1};
    struct kw_nest_options o = options_of(args);
    struct kw_nest nest = {0};
    double begun = bench_now();
    enum kw_status s = kw_nest(a, &job, &o, &nest, err);
    if (s != KW_OK) return s;
    double least = item_area(parts, count) / (plate.width * plate.height);
    return print_case(name, &nest, plate.width, least, bench_now() - begun, err);
}

int bench_plates(const struct bench_args *args) {
    return bench_each_case(args, one);
}
