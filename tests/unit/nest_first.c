// SPDX-License-Identifier: Apache-2.0
// First places: legal on many random sheets, and the leftmost there is.
#include "nest_parts.h"

#include <string.h>

static struct kw_arena arena;

static void free_arena(void) {
    kw_arena_free(&arena);
}

TestSuite(nest_first, .fini = free_arena);

/// Found with such jobs: a search that went on from a chain of polygons which had ended, or whose
/// tops had changed their order, put pieces beside the sheet or did not end.
Test(nest_first, many_random_shapes_are_placed_legally) {
    uint64_t random = 4;
    for (int round = 0; round < 150; round++) {
        struct kw_region shapes[12];
        struct kw_nest_part parts[12];
        for (int i = 0; i < 12; i++) {
            shapes[i] = random_shape(&arena, &random);
            parts[i] = (struct kw_nest_part){
                .outline = &shapes[i], .count = 1 + i % 3, .may_mirror = i % 2 == 0};
        }
        struct kw_nest_sheet sheet = {.width = 420, .height = 340, .count = -1};
        if (round % 2) sheet = (struct kw_nest_sheet){.width = 340, .height = 400, .count = -1};
        struct kw_nest_options o = tight(4000);
        o.spacing = round % 3 * 2.5;
        o.margin = round % 4;
        struct kw_nest out = nest(&arena, parts, 12, &sheet, 1, o);
        cr_assert_geq(least_clearance(&arena, &out, parts, &sheet, o), -1e-4, "round %d", round);
        cr_assert_eq(out.unplaced_count, 0);
        kw_arena_free(&arena);
    }
}

/// A square cut by random lines: pieces that fit together in many ways.
static int cut_square(struct kw_region *out, int most, uint64_t *random) {
    int count = 1;
    out[0] = rectangle(&arena, 1000, 1000);
    while (count < most) {
        struct kw_path *p = &out[(int)(kw_random(random) % (uint64_t)count)].outer;
        int n = p->count, i = (int)(kw_random(random) % (uint64_t)n);
        int k = (i + 1 + (int)(kw_random(random) % (uint64_t)(n - 1))) % n;
        struct kw_segment s = kw_path_segment(p, i), t = kw_path_segment(p, k);
        struct kw_vec2 a = kw_segment_point(s, between(random, 0.2, 0.8));
        struct kw_vec2 b = kw_segment_point(t, between(random, 0.2, 0.8));
        struct kw_path halves[2] = {{0}};
        for (int h = 0; h < 2; h++) {
            int from = h ? k : i, to = h ? i : k;
            struct kw_vec2 first = h ? b : a, last = h ? a : b;
            kw_path_add(&arena, &halves[h], first.x, first.y, 0, 0);
            for (int m = (from + 1) % n;; m = (m + 1) % n) {
                kw_path_add(&arena, &halves[h], p->v[m].x, p->v[m].y, 0, 0);
                if (m == to) break;
            }
            kw_path_add(&arena, &halves[h], last.x, last.y, 0, 0);
        }
        *p = halves[0];
        out[count++].outer = halves[1];
    }
    return count;
}

Test(nest_first, pieces_of_cut_squares_are_placed_legally) {
    uint64_t random = 9;
    for (int round = 0; round < 10; round++) {
        struct kw_region shapes[40];
        struct kw_nest_part parts[40];
        int n = 0;
        memset(shapes, 0, sizeof shapes);
        for (int k = 0; k < 2; k++)
            n += cut_square(shapes + n, 20, &random);
        for (int i = 0; i < n; i++)
            parts[i] = (struct kw_nest_part){.outline = &shapes[i], .count = 1};
        struct kw_nest_sheet sheet = {.width = 1000, .height = 1000, .count = -1};
        struct kw_nest_options o = tight(150000);
        struct kw_nest out = nest(&arena, parts, n, &sheet, 1, o);
        cr_assert_geq(least_clearance(&arena, &out, parts, &sheet, o), -1e-4, "round %d", round);
        cr_assert_eq(out.unplaced_count, 0);
        kw_arena_free(&arena);
    }
}

/// Three discs of radius 50 in a strip 200 high: the third touches both others where they leave a
/// gap, 50 * sqrt(3) to the right (geometry).
Test(nest_first, a_crossing_of_two_forbidden_places_is_met_exactly) {
    struct kw_region disc = disc_shape(&arena, 50);
    struct kw_nest_part part = {.outline = &disc, .count = 3};
    struct kw_nest_sheet strip = {.width = 1000, .height = 200, .count = 1};
    struct kw_nest out = nest(&arena, &part, 1, &strip, 1, tight(0));
    cr_expect_float_eq(out.layouts[0].used.max.x, 100 + 50 * sqrt(3), 0.3, "%g",
                       out.layouts[0].used.max.x);
}
