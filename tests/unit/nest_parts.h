// SPDX-License-Identifier: Apache-2.0
// Shapes and jobs for the tests of nest.
#pragma once

#include "nest/nest.h"

#include <criterion/criterion.h>

#define COUNT(array) ((int)(sizeof(array) / sizeof *(array)))

static inline struct kw_region polygon(struct kw_arena *a, const double (*xy)[2], int count) {
    struct kw_region r = {0};
    for (int i = 0; i < count; i++)
        kw_path_add(a, &r.outer, xy[i][0], xy[i][1], 0, 0);
    return r;
}

static inline struct kw_region rectangle(struct kw_arena *a, double width, double height) {
    struct kw_region r = {0};
    r.outer = kw_path_box_outline(a, 0, 0, width, height, 0);
    return r;
}

static inline struct kw_region disc_shape(struct kw_arena *a, double radius) {
    struct kw_region r = {0};
    r.outer = kw_path_circle(a, 0, 0, radius, true, 0);
    return r;
}

static inline void add_hole(struct kw_arena *a, struct kw_region *r, double x, double y,
                            double radius) {
    KW_PUSH(a, r->holes, r->hole_count) = kw_path_circle(a, x, y, radius, false, 0);
}

static inline struct kw_nest_options tight(long steps) { // no spacing, no margin, every drop counts
    struct kw_nest_options o = kw_nest_options_default();
    o.spacing = o.margin = o.drop_short = o.drop_long = 0;
    o.steps = steps;
    return o;
}

static inline struct kw_nest nest(struct kw_arena *a, const struct kw_nest_part *parts,
                                  int part_count, const struct kw_nest_sheet *sheets,
                                  int sheet_count, struct kw_nest_options o) {
    struct kw_nest_job job = {parts, part_count, sheets, sheet_count};
    struct kw_nest out;
    struct kw_error err = {0};
    cr_assert_eq(kw_nest(a, &job, &o, &out, &err), KW_OK, "%s", err.text);
    return out;
}

/// Copies of a part that are placed, times counted.
static inline int placed(const struct kw_nest *n, int part) {
    int count = 0;
    for (int i = 0; i < n->layout_count; i++) {
        for (int k = 0; k < n->layouts[i].placement_count; k++) {
            if (n->layouts[i].placements[k].part == part) count += n->layouts[i].times;
        }
    }
    return count;
}

static inline double between(uint64_t *random, double low, double high) {
    return low + (high - low) * kw_random_unit(random);
}

/// A star-shaped polygon with `corners` corners around (0, 0), some of its edges bowed to arcs.
static inline struct kw_region random_shape(struct kw_arena *a, uint64_t *random) {
    int corners = 3 + (int)(kw_random(random) % 8);
    double size = between(random, 30, 160);
    struct kw_region r = {0};
    for (int i = 0; i < corners; i++) {
        double angle = 2 * KW_PI * (i + between(random, 0.1, 0.9)) / corners;
        double reach = size * between(random, 0.4, 1);
        double bulge = kw_random(random) % 3 == 0 ? between(random, 0.02, 0.12) : 0;
        kw_path_add(a, &r.outer, reach * cos(angle), reach * sin(angle), bulge, 0);
    }
    double room = INFINITY; // a round hole where there is room for it
    for (int i = 0; i < kw_path_segments(&r.outer); i++) {
        room = fmin(room, kw_segment_distance(kw_path_segment(&r.outer, i), kw_v2(0, 0)));
    }
    bool inside = kw_path_contains(&r.outer, kw_v2(0, 0));
    if (inside && room > 12 && kw_random(random) % 2) add_hole(a, &r, 0, 0, room - 6);
    return r;
}

/// Least gap between two parts of a layout, less the spacing; and to the edge, less the margin.
static inline double least_clearance(struct kw_arena *a, const struct kw_nest *n,
                                     const struct kw_nest_part *parts,
                                     const struct kw_nest_sheet *s, struct kw_nest_options o) {
    double least = INFINITY;
    for (int l = 0; l < n->layout_count; l++) {
        const struct kw_nest_layout *layout = &n->layouts[l];
        struct kw_path *at = KW_NEW_ARRAY(a, struct kw_path, layout->placement_count);
        for (int i = 0; i < layout->placement_count; i++) {
            struct kw_nest_placement p = layout->placements[i];
            at[i] = kw_path_moved(a, &parts[p.part].outline->outer,
                                  kw_move2_make(p.x, p.y, p.rotation, p.mirrored));
            struct kw_box2 b = kw_path_box(&at[i]);
            double low = fmin(b.min.x, b.min.y);
            double high = fmin(s->width - b.max.x, s->height - b.max.y);
            least = fmin(least, fmin(low, high) - o.margin);
            for (int k = 0; k < i; k++) {
                struct kw_box2 c = kw_path_box(&at[k]);
                if (c.min.x > b.max.x + o.spacing || b.min.x > c.max.x + o.spacing) continue;
                if (c.min.y > b.max.y + o.spacing || b.min.y > c.max.y + o.spacing) continue;
                least = fmin(least, kw_path_gap(&at[i], &at[k]) - o.spacing);
            }
        }
    }
    return least;
}
