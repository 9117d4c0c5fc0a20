// SPDX-License-Identifier: Apache-2.0
// The search as a whole: same answer every time, never worse with more steps, quick on a week's
// work, and every result keeps its own figures.
#include "nest_parts.h"

#include <string.h>

static struct kw_arena arena;

static void free_arena(void) {
    kw_arena_free(&arena);
}

TestSuite(nest_search, .fini = free_arena);

/// About 150 parts of 25 shapes: plates with holes, angles, channels, rings, discs, gussets,
/// strips.
static int week(struct kw_region *shapes, struct kw_nest_part *parts) {
    uint64_t random = 5;
    for (int i = 0; i < 25; i++) {
        double x = between(&random, 60, 700), y = between(&random, 40, 400);
        switch (i % 5) {
        case 0:
            shapes[i] = rectangle(&arena, x, y);
            add_hole(&arena, &shapes[i], x / 4, y / 2, 6);
            add_hole(&arena, &shapes[i], x * 3 / 4, y / 2, 6);
            break;
        case 1: {
            const double xy[][2] = {{0, 0}, {x, 0}, {x, 40}, {40, 40}, {40, y + 40}, {0, y + 40}};
            shapes[i] = polygon(&arena, xy, 6);
            break;
        }
        case 2: {
            const double xy[][2] = {{0, 0}, {x, 0}, {0, y}};
            shapes[i] = polygon(&arena, xy, 3);
            break;
        }
        case 3:
            shapes[i] = disc_shape(&arena, x / 3);
            if (x > 300) add_hole(&arena, &shapes[i], 0, 0, x / 3 - 40);
            break;
        default:
            shapes[i] = rectangle(&arena, x + 300, 45);
        }
        parts[i] = (struct kw_nest_part){.outline = &shapes[i], .count = 6};
    }
    return 25;
}

static struct kw_nest nest_week(long steps, uint64_t seed, int threads) {
    static struct kw_region shapes[25];
    static struct kw_nest_part parts[25];
    static const struct kw_nest_sheet sheets[] = {
        {.width = 2438.4, .height = 1219.2, .count = -1, .price = 120},
        {.width = 1219.2, .height = 1219.2, .count = -1, .price = 64},
    };
    int n = week(shapes, parts);
    struct kw_nest_options o = kw_nest_options_default();
    if (steps >= 0) o.steps = steps;
    o.seed = seed;
    o.threads = threads;
    struct kw_nest out = nest(&arena, parts, n, sheets, 2, o);
    for (int i = 0; i < n; i++)
        cr_expect_eq(placed(&out, i), 6);
    return out;
}

static bool same(const struct kw_nest *a, const struct kw_nest *b) {
    if (a->layout_count != b->layout_count || a->steps != b->steps) return false;
    for (int i = 0; i < a->layout_count; i++) {
        const struct kw_nest_layout *p = &a->layouts[i], *q = &b->layouts[i];
        if (p->sheet != q->sheet || p->times != q->times ||
            p->placement_count != q->placement_count) {
            return false;
        }
        for (int k = 0; k < p->placement_count; k++) {
            struct kw_nest_placement s = p->placements[k], t = q->placements[k];
            if (s.part != t.part || s.copy != t.copy || s.x != t.x || s.y != t.y ||
                s.rotation != t.rotation || s.mirrored != t.mirrored) {
                return false;
            }
        }
    }
    return true;
}

Test(nest_search, the_same_seed_and_steps_give_the_same_nest_on_any_number_of_threads) {
    struct kw_nest first = nest_week(200000, 3, 1), again = nest_week(200000, 3, 1);
    cr_expect(same(&first, &again));
    struct kw_nest threaded = nest_week(200000, 3, 4), other = nest_week(200000, 4, 1);
    cr_expect(same(&first, &threaded));
    cr_expect_not(same(&first, &other));
}

Test(nest_search, more_steps_are_never_worse) {
    double value = INFINITY;
    long budgets[] = {0, 150000, 300000};
    for (int i = 0; i < COUNT(budgets); i++) {
        struct kw_nest n = nest_week(budgets[i], 1, 1);
        cr_expect(n.value <= value, "%ld steps: %g after %g", budgets[i], n.value, value);
        cr_expect(n.value >= n.lower_bound);
        value = n.value;
    }
}

Test(nest_search, figures_are_those_of_the_layouts) {
    struct kw_nest n = nest_week(20000, 1, 1);
    int sheets = 0;
    double value = 0, drops = 0;
    for (int i = 0; i < n.layout_count; i++) {
        const struct kw_nest_layout *l = &n.layouts[i];
        sheets += l->times;
        value += l->times * (l->sheet == 0 ? 120 : 64);
        cr_expect(l->density > 0 && l->density < 1);
        cr_expect(l->used.min.x >= 8 - 1e-5 && l->used.min.y >= 8 - 1e-5);
        cr_expect(l->used.max.x <= (l->sheet == 0 ? 2438.4 : 1219.2) - 8 + 1e-5);
        cr_expect(l->used.max.y <= 1219.2 - 8 + 1e-5);
        for (int k = 0; k < l->drop_count; k++) {
            struct kw_box2 d = l->drops[k];
            drops += l->times * (d.max.x - d.min.x) * (d.max.y - d.min.y);
        }
    }
    cr_expect_eq(sheets, n.sheets_used);
    cr_expect_float_eq(value, n.value, 1e-9);
    cr_expect_float_eq(drops, n.drop_area, 1e-3);
    cr_expect_eq(n.stopped_by, KW_NEST_STOPPED_BY_STEPS);
}

// Boxes can't be nested on less than their own area; outlines with holes can.
Test(nest_search, outlines_need_less_steel_than_their_boxes_alone_would) {
    static struct kw_region shapes[25];
    static struct kw_nest_part parts[25];
    int n = week(shapes, parts);
    double boxes = 0, used = 0;
    for (int i = 0; i < n; i++) {
        struct kw_box2 b = kw_path_box(&shapes[i].outer);
        boxes += parts[i].count * (b.max.x - b.min.x) * (b.max.y - b.min.y);
    }
    struct kw_nest out = nest_week(-1, 1, 1);
    for (int i = 0; i < out.layout_count; i++) {
        const struct kw_nest_layout *l = &out.layouts[i];
        double width = l->sheet == 0 ? 2438.4 : 1219.2;
        used += l->times * (i + 1 < out.layout_count ? width : l->used.max.x) * 1219.2;
    }
    cr_expect(used < 0.9 * boxes, "%.2f m2 of sheet for %.2f m2 of boxes", used / 1e6, boxes / 1e6);
}
