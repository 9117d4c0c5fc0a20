// SPDX-License-Identifier: Apache-2.0
// Irregular items of strips and sheets: into parts to nest, and back to placements.
#include "bench.h"

#include <math.h>
#include <string.h>

#define ANY_STEP_DEG 10 // "any" rotation, for an engine that takes a list

static struct kw_region *outline_of(struct kw_arena *a, const struct kw_node *item,
                                    struct kw_error *err) {
    const struct kw_node *points = bench_list(item, "outline", 3, err);
    struct kw_path p = {0};
    for (int i = 0; i < points->count; i++) {
        const struct kw_node *xy = &points->items[i];
        if (xy->kind != KW_LIST || xy->count != 2) {
            kw_fail(err, KW_FORMAT, xy->at, "expected a point [x, y]");
            continue;
        }
        kw_path_add(a, &p, bench_number_of(&xy->items[0], err), bench_number_of(&xy->items[1], err),
                    0, 0);
    }
    struct kw_region *r = KW_NEW(a, struct kw_region);
    r->outer = kw_path_oriented(a, &p, true);
    return r;
}

static void read_rotations(struct kw_arena *a, const struct kw_node *item,
                           struct kw_nest_part *part, struct kw_error *err) {
    const struct kw_node *n = kw_node_get(item, "rotations");
    double *v = NULL;
    if (n && n->kind == KW_SCALAR && strcmp(n->text, "any") == 0) {
        for (int deg = 0; deg < 360; deg += ANY_STEP_DEG)
            KW_PUSH(a, v, part->rotation_count) = deg * KW_PI / 180;
    } else {
        n = bench_list(item, "rotations", 1, err);
        for (int i = 0; i < n->count; i++)
            KW_PUSH(a, v, part->rotation_count) = bench_number_of(&n->items[i], err) * KW_PI / 180;
    }
    part->rotations = v;
}

struct kw_nest_part *bench_items(struct kw_arena *a, const struct kw_node *c, int *count,
                                 struct kw_error *err) {
    const struct kw_node *items = bench_list(c, "items", 1, err);
    struct kw_nest_part *parts = KW_NEW_ARRAY(a, struct kw_nest_part, items->count + 1);
    *count = items->count;
    for (int i = 0; i < items->count; i++) {
        const struct kw_node *item = &items->items[i];
        parts[i].count = bench_count(item, "count", err);
        parts[i].outline = outline_of(a, item, err);
        read_rotations(a, item, &parts[i], err);
    }
    return parts;
}

void bench_placements(struct kw_json *j, const struct kw_nest_layout *layout) {
    kw_json_key(j, "placements");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < layout->placement_count; i++) {
        const struct kw_nest_placement *p = &layout->placements[i];
        kw_json_open_inline(j, '{');
        kw_json_key_count(j, "item", p->part);
        kw_json_key_number(j, "rotation", p->rotation * 180 / KW_PI, 9);
        kw_json_key_number(j, "x", p->x, 6);
        kw_json_key_number(j, "y", p->y, 6);
        kw_json_close(j);
    }
    kw_json_close(j);
}

#define NO_LIMIT_STEPS 1000000000000L

struct kw_nest_options bench_nest_options(const struct bench_args *args) {
    struct kw_nest_options o = kw_nest_options_default();
    o.seed = args->seed;
    o.threads = args->threads;
    o.seconds = args->seconds;
    if (args->seconds > 0) o.steps = NO_LIMIT_STEPS;
    if (args->steps > 0) o.steps = (long)args->steps;
    o.watch = &args->watch;
    return o;
}
