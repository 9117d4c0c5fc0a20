// SPDX-License-Identifier: Apache-2.0
// Generated nests: plates, rounded plates, brackets and discs, some kinds of each size of nest,
// every kind with its own holes on a grid inside it.
#include "route_nest.h"

#include "bench.h"

#include <math.h>

#define LEAST_PARTS  20
#define MOST_PARTS   400
#define MOST_HOLES   10
#define SHEET_HEIGHT 1219.2 // 48 in
#define SHEET_LENGTH 2438.4 // 96 in: the parts are made so large that they fill about this
#define FILL         0.55   // of it, by area
#define LEAST_SIDE   40.0   // mm: room for 10 holes of 6 mm and their lead-ins
#define MOST_SIDE    320.0

// A hole in the cell of a grid: a circle or a slot, at most half the cell.
static struct kw_path hole_in(struct kw_arena *a, uint64_t *random, struct kw_box2 cell) {
    double w = cell.max.x - cell.min.x, h = cell.max.y - cell.min.y;
    double r = fmin(w, h) * (0.18 + 0.07 * kw_random_unit(random));
    double x = (cell.min.x + cell.max.x) / 2, y = (cell.min.y + cell.max.y) / 2;
    double half = w / 4 - r;
    if (half < r || bench_random_count(random, 0, 2) > 0)
        return kw_path_circle(a, x, y, r, false, 0);
    struct kw_path p = {0}; // a slot, clockwise
    kw_path_add(a, &p, x - half, y + r, 0, 0);
    kw_path_add(a, &p, x + half, y + r, -1, 0);
    kw_path_add(a, &p, x + half, y - r, 0, 0);
    kw_path_add(a, &p, x - half, y - r, -1, 0);
    return p;
}

static void add_holes(struct kw_arena *a, uint64_t *random, struct kw_region *r,
                      struct kw_box2 inner) {
    int count = bench_random_count(random, 0, MOST_HOLES);
    if (count == 0) return;
    double w = inner.max.x - inner.min.x, h = inner.max.y - inner.min.y;
    int across = (int)ceil(sqrt(count * w / h)), up = (count + across - 1) / across;
    for (int i = 0; i < count; i++) {
        int column = i % across, row = i / across;
        struct kw_vec2 low = kw_add2(inner.min, kw_v2(w * column / across, h * row / up));
        struct kw_box2 cell = {low, kw_add2(low, kw_v2(w / across, h / up))};
        KW_PUSH(a, r->holes, r->hole_count) = hole_in(a, random, cell);
    }
}

// One kind: plate, rounded plate, disc or bracket of about w by h.
static struct kw_region *shape(struct kw_arena *a, uint64_t *random, double w, double h) {
    struct kw_region *r = KW_NEW(a, struct kw_region);
    struct kw_box2 inner = {kw_v2(0, 0), kw_v2(w, h)};
    int which = bench_random_count(random, 0, 3);
    if (which < 2) {
        r->outer = kw_path_box_outline(a, 0, 0, w, h, 0);
        for (int i = 0; which == 1 && i < 4; i++) // each rounded corner is one vertex more
            kw_path_round_corner(a, &r->outer, 2 * i, fmin(w, h) / 6);
    } else if (which == 2) {
        double d = fmin(w, h), side = d * sqrt(0.5);
        r->outer = kw_path_circle(a, d / 2, d / 2, d / 2, true, 0);
        inner = (struct kw_box2){kw_v2((d - side) / 2, (d - side) / 2),
                                 kw_v2((d + side) / 2, (d + side) / 2)};
    } else { // the holes are in the lower leg
        const double x[] = {0, w, w, w / 2, w / 2, 0}, y[] = {0, 0, h / 2, h / 2, h, h};
        for (int i = 0; i < 6; i++)
            kw_path_add(a, &r->outer, x[i], y[i], 0, 0);
        inner.max.y = h / 2;
    }
    add_holes(a, random, r, inner);
    return r;
}

static struct kw_nest_part *make_parts(struct kw_arena *a, int total, uint64_t *random,
                                       int *kinds) {
    double mean = sqrt(SHEET_LENGTH * SHEET_HEIGHT * FILL / total);
    struct kw_nest_part *parts = NULL;
    *kinds = 0;
    for (int left = total; left > 0;) {
        double w = fmin(fmax(mean * (0.6 + kw_random_unit(random)), LEAST_SIDE), MOST_SIDE);
        double h = fmin(fmax(mean * (0.6 + kw_random_unit(random)), LEAST_SIDE), MOST_SIDE);
        int count = bench_random_count(random, 1, 1 + total / 8);
        if (count > left) count = left;
        struct kw_nest_part part = {.outline = shape(a, random, w, h), .count = count};
        KW_PUSH(a, parts, *kinds) = part;
        left -= count;
    }
    return parts;
}

static void place_parts(struct kw_arena *a, const struct kw_nest_part *parts,
                        const struct kw_nest_layout *l, struct kw_cut_sheet *out) {
    struct kw_cut_part *v = KW_NEW_ARRAY(a, struct kw_cut_part, l->placement_count);
    for (int i = 0; i < l->placement_count; i++) {
        const struct kw_nest_placement *p = &l->placements[i];
        struct kw_move2 move = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
        v[i].name = kw_format(a, "part-%d#%d", p->part, p->copy);
        v[i].region = kw_region_moved(a, parts[p->part].outline, move);
    }
    out->parts = v;
    out->part_count = l->placement_count;
}

enum kw_status route_nest(struct kw_arena *a, int index, uint64_t seed,
                          const struct kw_watch *watch, struct kw_cut_sheet *out,
                          struct kw_error *err) {
    uint64_t random = kw_hash(seed, &index, sizeof index);
    int total = LEAST_PARTS + (MOST_PARTS - LEAST_PARTS) * index / (ROUTE_NESTS - 1), kinds;
    struct kw_nest_part *parts = make_parts(a, total, &random, &kinds);
    struct kw_nest_options o = kw_nest_options_default();
    o.steps = 0; // the first whole nest: travel is measured, not the nest
    o.watch = watch;
    struct kw_nest_sheet sheet = {.width = SHEET_LENGTH, .height = SHEET_HEIGHT, .count = 1};
    struct kw_nest_job job = {parts, kinds, &sheet, 1};
    struct kw_nest nest = {0};
    enum kw_status s = kw_nest(a, &job, &o, &nest, err);
    while (s == KW_OK && nest.unplaced_count > 0) {
        sheet.width *= 1.25;
        s = kw_nest(a, &job, &o, &nest, err);
    }
    if (s != KW_OK) return s;
    *out = (struct kw_cut_sheet){.width = sheet.width, .height = sheet.height};
    place_parts(a, parts, &nest.layouts[0], out);
    return KW_OK;
}
