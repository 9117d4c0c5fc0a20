// SPDX-License-Identifier: Apache-2.0
// strips: all items in a strip of given width, the shorter the better. The engine knows sheets, so
// the strip is a sheet on which all items lie end to end; it leaves the longest drop it can, which
// is the shortest strip.
#include "bench.h"
#include "plot.h"

#include <math.h>
#include <string.h>

struct strip {
    const char *name;
    double width, area; ///< of all items
    struct kw_nest_part *parts;
    int part_count;
    struct kw_nest_sheet sheet;
};

static double length_of(const struct kw_nest *nest) {
    return nest->layout_count > 0 ? nest->layouts[0].used.max.x : 0;
}

static void read_strip(struct kw_arena *a, const struct kw_node *c, struct strip *strip,
                       struct kw_error *err) {
    strip->name = bench_name(c, err);
    strip->width = bench_number(c, "strip_width", err);
    strip->parts = bench_items(a, c, &strip->part_count, err);
    double length = 2 * strip->width; // the longer side, along which the nest grows
    for (int i = 0; i < strip->part_count; i++) {
        const struct kw_nest_part *p = &strip->parts[i];
        struct kw_box2 box = kw_path_box(&p->outline->outer);
        length += p->count * hypot(box.max.x - box.min.x, box.max.y - box.min.y);
        strip->area += p->count * kw_region_area(p->outline);
    }
    length = fmin(length, KW_MOST_MM); // no sheet may be longer
    strip->sheet = (struct kw_nest_sheet){.width = length, .height = strip->width, .count = 1};
}

static enum kw_status write_layout(const struct bench_args *args, const struct strip *strip,
                                   const struct kw_nest *nest, struct kw_error *err) {
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "name", strip->name);
    kw_json_key_number(j, "length", length_of(nest), 6);
    bench_placements(j, &nest->layouts[0]);
    return bench_line_write(&line, args->layout, NULL, err);
}

struct mark {
    double seconds, length;
};
struct curve { ///< every better strip, and the end
    struct kw_arena *a;
    double begun;
    struct mark *v;
    int count;
};

static enum kw_status print_case(const struct bench_args *args, const struct strip *strip,
                                 const struct kw_nest *nest, const struct curve *curve,
                                 struct kw_error *err) {
    static const char *const stops[] = {"steps", "time", "bound"};
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    double length = length_of(nest);
    kw_json_key_text(j, "name", strip->name);
    kw_json_key_number(j, "strip_width", strip->width, 6);
    kw_json_key_number(j, "length", length, 6);
    kw_json_key_number(j, "density", strip->area / (strip->width * length), 6);
    kw_json_key_number(j, "seconds", curve->v[curve->count - 1].seconds, 3);
    kw_json_key_number(j, "first", curve->v[0].seconds, 4);
    kw_json_key(j, "curve");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < curve->count; i++) {
        kw_json_open_inline(j, '[');
        kw_json_number(j, curve->v[i].seconds, 4);
        kw_json_number(j, curve->v[i].length, 6);
        kw_json_close(j);
    }
    kw_json_close(j);
    kw_json_key_text(j, "stopped_by", stops[nest->stopped_by]);
    kw_json_key_count(j, "threads", args->threads);
    kw_json_key_count(j, "seed", (long)args->seed);
    return bench_line_print(&line, err);
}

static void take_mark(void *user, double value, double extent) {
    struct curve *curve = user;
    (void)value;
    KW_PUSH(curve->a, curve->v, curve->count) = (struct mark){bench_now() - curve->begun, extent};
}

static enum kw_status solve(struct kw_arena *a, const struct bench_args *args,
                            const struct strip *strip, struct kw_nest *nest, struct curve *curve,
                            struct kw_error *err) {
    struct kw_nest_job job = {strip->parts, strip->part_count, &strip->sheet, 1};
    struct kw_nest_options o = bench_nest_options(args);
    *curve = (struct curve){.a = a, .begun = bench_now()};
    o.spacing = o.margin = o.drop_short = o.drop_long = 0;
    o.better = take_mark;
    o.better_user = curve;
    enum kw_status s = kw_nest(a, &job, &o, nest, err);
    if (s != KW_OK) return s;
    if (nest->unplaced_count > 0) {
        const struct kw_nest_unplaced *u = &nest->unplaced[0];
        return kw_fail(err, KW_RANGE, (struct kw_place){.file = args->file},
                       u->too_large ? "item %d is wider than the strip"
                                    : "item %d finds no place within 50 m of strip",
                       u->part);
    }
    take_mark(curve, 0, length_of(nest));
    return KW_OK;
}

// Curves of all cases of a file, kept until they are drawn. The cases' own arena is emptied.
static struct {
    struct kw_arena a;
    struct bench_plot_line *v;
    int count;
} kept;

static void keep_curve(const struct strip *strip, const struct curve *curve) {
    struct bench_plot_line l = {.name = kw_copy_text(&kept.a, strip->name, strlen(strip->name))};
    l.v = kw_alloc(&kept.a, sizeof *l.v * (size_t)(curve->count + 1));
    for (int i = 0; i < curve->count; i++, l.count++) {
        l.v[i][0] = fmax(curve->v[i].seconds, 0.01);
        l.v[i][1] = 100 * strip->area / (strip->width * curve->v[i].length);
    }
    KW_PUSH(&kept.a, kept.v, kept.count) = l;
}

static enum kw_status one(struct kw_arena *a, const struct bench_args *args,
                          const struct kw_node *c, struct kw_error *err) {
    struct strip strip = {0};
    struct kw_nest nest = {0};
    struct curve curve = {0};
    read_strip(a, c, &strip, err);
    enum kw_status s = err->status;
    if (s == KW_OK) s = solve(a, args, &strip, &nest, &curve, err);
    if (s == KW_OK && nest.layout_count == 0)
        s = kw_fail(err, KW_RANGE, c->at, "expected one item or more");
    if (s == KW_OK && args->layout) s = write_layout(args, &strip, &nest, err);
    if (s == KW_OK) s = print_case(args, &strip, &nest, &curve, err);
    if (s == KW_OK && args->plot) keep_curve(&strip, &curve);
    return s;
}

int bench_strips(const struct bench_args *args) {
    struct kw_error err = {0};
    struct bench_plot plot = {
        "Density over time", "s", "% of the strip", true, false, true, NULL, 0};
    int code = bench_each_case(args, one);
    plot.lines = kept.v;
    plot.line_count = kept.count;
    if (code == 0 && args->plot && bench_plot_write(&plot, args->plot, &err) != KW_OK)
        code = bench_fail(&err);
    kw_arena_free(&kept.a);
    return code;
}
