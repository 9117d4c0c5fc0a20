// SPDX-License-Identifier: Apache-2.0
// repeats: what patterns that repeat gain. Shapes that a kit shop cuts by the hundred, one or two
// at a time, on sheets of 2500 x 1250 mm with spacing and margin: nested with patterns and piece by
// piece, with the same budget. --parts N copies of each, 400 unless given. --clamps K: with so many
// clamps along the lower edge, and a bad corner.
#include "bench.h"

#include <math.h>

struct shape {
    const char *name;
    int count;
    double v[10][2];
};

static const struct shape shapes[] = {
    {"gusset", 3, {{0, 0}, {220, 0}, {0, 160}}},
    {"angle", 6, {{0, 0}, {260, 0}, {260, 60}, {60, 60}, {60, 200}, {0, 200}}},
    {"bracket", 5, {{0, 0}, {180, 0}, {180, 50}, {60, 190}, {0, 190}}},
    {"arrow", 6, {{0, 0}, {150, 60}, {300, 0}, {300, 70}, {150, 130}, {0, 70}}},
    {"tee", 8, {{0, 0}, {240, 0}, {240, 60}, {150, 60}, {150, 220}, {90, 220}, {90, 60}, {0, 60}}},
    {"foot", 8, {{0, 0}, {90, 0}, {90, 30}, {40, 55}, {40, 145}, {90, 170}, {90, 200}, {0, 200}}},
    {"tongue", 6, {{0, 0}, {70, 0}, {110, 90}, {85, 230}, {-15, 230}, {-40, 90}}},
    {"disc", 0, {{90, 0}}},
};
enum { SHAPES = sizeof shapes / sizeof *shapes };
static const int pairs[][2] = {{0, 6}, {2, 5}, {4, 7}};
enum { PAIRS = sizeof pairs / sizeof *pairs };

static struct kw_region *outline_of(struct kw_arena *a, const struct shape *s) {
    struct kw_region *r = KW_NEW(a, struct kw_region);
    if (s->count == 0) r->outer = kw_path_circle(a, 0, 0, s->v[0][0], true, 0);
    for (int i = 0; i < s->count; i++)
        kw_path_add(a, &r->outer, s->v[i][0], s->v[i][1], 0, 0);
    return r;
}

/// Sheets, the last one by how far it is used: finer than whole sheets.
static double used(const struct kw_nest *n, double length) {
    double sum = n->sheets_used, least = length;
    for (int i = 0; i < n->layout_count; i++)
        least = fmin(least, n->layouts[i].used.max.x);
    return sum - 1 + least / length;
}

static void keep_out(struct kw_arena *a, struct kw_region *r, double x, double y, double wide,
                     double high) {
    struct kw_path box = kw_path_box_outline(a, x, y, x + wide, y + high, 0);
    KW_PUSH(a, r->holes, r->hole_count) = kw_path_oriented(a, &box, false);
}

/// Clamps of 120 x 60 mm along the lower edge and a corner that is torn, 300 x 200 mm.
static struct kw_nest_sheet sheet_with(struct kw_arena *a, int clamps) {
    struct kw_nest_sheet sheet = {.width = 2500, .height = 1250, .count = -1};
    if (clamps == 0) return sheet;
    struct kw_region *r = KW_NEW(a, struct kw_region);
    r->outer = kw_path_box_outline(a, 0, 0, sheet.width, sheet.height, 0);
    for (int i = 0; i < clamps; i++)
        keep_out(a, r, sheet.width * (i + 0.5) / clamps - 60, 0, 120, 60);
    keep_out(a, r, sheet.width - 300, sheet.height - 200, 300, 200);
    sheet.outline = r;
    return sheet;
}

static enum kw_status one(struct kw_arena *a, const struct bench_args *args, const int *which,
                          int count, struct kw_error *err) {
    struct kw_nest_part parts[2] = {{0}};
    for (int i = 0; i < count; i++)
        parts[i] = (struct kw_nest_part){.outline = outline_of(a, &shapes[which[i]]),
                                         .count = (args->parts > 0 ? args->parts : 400) / count};
    const struct kw_nest_sheet sheet = sheet_with(a, args->clamps);
    struct kw_nest_job job = {parts, count, &sheet, 1};
    struct bench_line line;
    struct kw_json *j = bench_line_begin(&line);
    kw_json_key_text(j, "name",
                     count == 1
                         ? shapes[which[0]].name
                         : kw_format(a, "%s and %s", shapes[which[0]].name, shapes[which[1]].name));
    kw_json_key_count(j, "parts", parts[0].count + parts[1].count);
    for (int plain = 0; plain < 2; plain++) {
        struct kw_nest_options o = bench_nest_options(args);
        if (!(args->steps > 0) && !(args->seconds > 0)) o.steps = 2000000;
        o.piecewise = plain == 1;
        struct kw_nest nest;
        enum kw_status s = kw_nest(a, &job, &o, &nest, err);
        if (s != KW_OK) return s;
        kw_json_key(j, plain ? "piecewise" : "patterns");
        kw_json_open_inline(j, '{');
        kw_json_key_count(j, "sheets", nest.sheets_used);
        kw_json_key_number(j, "used", used(&nest, sheet.width), 4);
        kw_json_key_count(j, "programs", nest.layout_count);
        kw_json_key_number(j, "density", nest.density, 6);
        kw_json_close(j);
    }
    return bench_line_print(&line, err);
}

int bench_repeats(const struct bench_args *args) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < SHAPES + PAIRS; i++) {
        s = i < SHAPES ? one(&a, args, &i, 1, &err) : one(&a, args, pairs[i - SHAPES], 2, &err);
        kw_arena_free(&a);
    }
    return s == KW_OK ? 0 : bench_fail(&err);
}
