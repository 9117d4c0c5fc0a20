// SPDX-License-Identifier: Apache-2.0
// Sheets by hand for the tests of cut.
#pragma once

#include "cut/cut.h"

#include <criterion/criterion.h>

struct desk { // what a test works with
    struct kw_arena arena;
    struct kw_cut_part parts[40];
    struct kw_cut_sheet sheet;
    struct kw_cut_rule rule;
    struct kw_cut_controller controller;
    struct kw_cut_plan plan;
};

static inline void desk_open(struct desk *d) {
    *d = (struct desk){0};
    d->sheet = (struct kw_cut_sheet){.width = 600, .height = 400, .parts = d->parts};
    d->rule = (struct kw_cut_rule){.kerf = 1.5, .feed = 50, .pierce_delay = 0.5, .lead_in = 4};
    d->controller = kw_cut_controller_usual();
}

static inline struct kw_region *desk_part(struct desk *d, const char *name, struct kw_path outer) {
    struct kw_cut_part *p = &d->parts[d->sheet.part_count++];
    p->name = name;
    p->region.outer = outer;
    return &p->region;
}

static inline struct kw_path desk_path(struct desk *d, const double (*v)[3], int n) {
    struct kw_path p = {0};
    for (int i = 0; i < n; i++)
        kw_path_add(&d->arena, &p, v[i][0], v[i][1], v[i][2], i + 1);
    return p;
}

static inline struct kw_path desk_box(struct desk *d, double x0, double y0, double x1, double y1) {
    return kw_path_box_outline(&d->arena, x0, y0, x1, y1, 0);
}

static inline void desk_hole(struct desk *d, struct kw_region *r, struct kw_path p) {
    KW_PUSH(&d->arena, r->holes, r->hole_count) = kw_path_oriented(&d->arena, &p, false);
}

static inline void desk_plan(struct desk *d) {
    struct kw_error err = {0};
    enum kw_status s =
        kw_cut_plan_sheet(&d->arena, &d->sheet, &d->rule, &d->controller, NULL, &d->plan, &err);
    cr_assert_eq(s, KW_OK, "%s", err.text);
}

static inline const struct kw_cut_problem *desk_problem(const struct desk *d,
                                                        enum kw_cut_trouble kind) {
    for (int i = 0; i < d->plan.problem_count; i++)
        if (d->plan.problems[i].kind == kind) return &d->plan.problems[i];
    return NULL;
}

// Place in the cutting order; -1 when it is not cut.
static inline int desk_rank(const struct desk *d, int part, int hole) {
    for (int i = 0; i < d->plan.contour_count; i++)
        if (d->plan.contours[i].part == part && d->plan.contours[i].hole == hole) return i;
    return -1;
}
