// SPDX-License-Identifier: Apache-2.0
// What can't be cut with a kerf of 1.5 mm is said, with the place and the measure.
#include "cut_help.h"

#include <math.h>

Test(cut_troubles, a_hole_that_closes_keeps_its_part_off_the_sheet) {
    static const double sizes[] = {1.4, 1.499, 1.52, 3};
    for (int i = 0; i < 4; i++) {
        struct desk d;
        desk_open(&d);
        struct kw_region *r = desk_part(&d, "a#1", desk_box(&d, 50, 50, 150, 150));
        desk_hole(&d, r, kw_path_circle(&d.arena, 80, 90, sizes[i] / 2, false, 0));
        desk_part(&d, "b#1", desk_box(&d, 200, 50, 260, 150));
        desk_plan(&d);
        const struct kw_cut_problem *p = desk_problem(&d, KW_CUT_HOLE_CLOSES);
        cr_expect_eq(p != NULL, sizes[i] < 1.5, "%g", sizes[i]);
        cr_expect_eq(d.plan.writable, sizes[i] > 1.5, "%g", sizes[i]);
        cr_expect_eq(desk_rank(&d, 0, -1) >= 0, sizes[i] > 1.5);
        cr_expect_geq(desk_rank(&d, 1, -1), 0);
        if (p) {
            cr_expect_float_eq(p->measured, sizes[i], 1e-6);
            cr_expect_float_eq(p->limit, 1.5, 1e-12);
            cr_expect_float_eq(p->at.x, 80.0, 1e-9);
            cr_expect_eq(p->part, 0);
            cr_expect_eq(p->hole, 0);
        }
        kw_arena_free(&d.arena);
    }
}

Test(cut_troubles, a_slot_in_the_edge_is_measured_against_the_kerf) {
    static const struct {
        double width, depth;
        bool narrow;
    } slots[] = {
        {1.2, 20, true}, {1.45, 5, true}, {1.6, 20, false}, {3, 20, false}, {0.5, 8, true}};
    for (int i = 0; i < 5; i++) {
        struct desk d;
        double a = 100 - slots[i].width / 2, b = 100 + slots[i].width / 2, y = 100 - slots[i].depth;
        const double v[][3] = {{50, 50, 0}, {150, 50, 0}, {150, 100, 0}, {b, 100, 0},
                               {b, y, 0},   {a, y, 0},    {a, 100, 0},   {50, 100, 0}};
        desk_open(&d);
        desk_part(&d, "a#1", desk_path(&d, v, 8));
        desk_plan(&d);
        const struct kw_cut_problem *p = desk_problem(&d, KW_CUT_SLOT_NARROW);
        cr_expect_eq(p != NULL, slots[i].narrow, "%g wide", slots[i].width);
        cr_expect_eq(d.plan.writable, !slots[i].narrow);
        if (p) cr_expect_float_eq(p->measured, slots[i].width, 1e-6);
        if (p) cr_expect(p->at.y < 100 + 1e-6 && p->at.y > y - 1e-6);
        kw_arena_free(&d.arena);
    }
}

Test(cut_troubles, a_hole_with_a_neck_is_a_narrow_slot) {
    struct desk d;
    // Two rooms joined by a neck of 1.2 mm.
    const double v[][3] = {{60, 60, 0},    {80, 60, 0},   {80, 69.4, 0}, {100, 69.4, 0},
                           {100, 60, 0},   {120, 60, 0},  {120, 80, 0},  {100, 80, 0},
                           {100, 70.6, 0}, {80, 70.6, 0}, {80, 80, 0},   {60, 80, 0}};
    desk_open(&d);
    struct kw_region *r = desk_part(&d, "a#1", desk_box(&d, 40, 40, 140, 100));
    desk_hole(&d, r, desk_path(&d, v, 12));
    desk_plan(&d);
    const struct kw_cut_problem *p = desk_problem(&d, KW_CUT_SLOT_NARROW);
    cr_assert_not_null(p);
    cr_expect_float_eq(p->measured, 1.2, 1e-6);
    cr_expect_eq(p->hole, 0);
    cr_expect_not(d.plan.writable);
    kw_arena_free(&d.arena);
}

Test(cut_troubles, notches_down_to_thirty_degrees_are_corners_and_ten_degrees_are_slots) {
    static const struct {
        double degrees;
        bool narrow;
    } notches[] = {{120, false}, {90, false}, {45, false}, {30, false}, {10, true}};
    for (int i = 0; i < 5; i++) {
        struct desk d;
        double half = 40 * tan(notches[i].degrees / 2 * KW_PI / 180);
        const double v[][3] = {{20, 50, 0},          {180, 50, 0}, {180, 100, 0},
                               {100 + half, 100, 0}, {100, 60, 0}, {100 - half, 100, 0},
                               {20, 100, 0}};
        desk_open(&d);
        desk_part(&d, "a#1", desk_path(&d, v, 7));
        desk_plan(&d);
        cr_expect_eq(desk_problem(&d, KW_CUT_SLOT_NARROW) != NULL, notches[i].narrow, "%g degrees",
                     notches[i].degrees);
        kw_arena_free(&d.arena);
    }
}

Test(cut_troubles, a_small_hole_is_told_and_cut) {
    struct desk d;
    desk_open(&d);
    d.rule.least_hole = 5;
    struct kw_region *r = desk_part(&d, "a#1", desk_box(&d, 50, 50, 150, 150));
    desk_hole(&d, r, kw_path_circle(&d.arena, 80, 90, 2, false, 0));
    desk_hole(&d, r, kw_path_circle(&d.arena, 120, 90, 2.6, false, 0));
    desk_plan(&d);
    const struct kw_cut_problem *p = desk_problem(&d, KW_CUT_HOLE_SMALL);
    cr_assert_not_null(p);
    cr_expect_eq(d.plan.problem_count, 1);
    cr_expect_float_eq(p->measured, 4.0, 1e-9);
    cr_expect(d.plan.writable);
    cr_expect_geq(desk_rank(&d, 0, 0), 0);
    kw_arena_free(&d.arena);
}

Test(cut_troubles, parts_nearer_than_a_kerf_and_over_the_edge_are_told) {
    struct desk d;
    desk_open(&d);
    desk_part(&d, "a#1", desk_box(&d, 50, 50, 150, 150));
    desk_part(&d, "b#1", desk_box(&d, 151, 50, 200, 150));
    desk_part(&d, "c#1", desk_box(&d, 300, 0.5, 340, 50));
    desk_part(&d, "d#1", desk_box(&d, 400, 100, 440, 150));
    desk_plan(&d);
    cr_expect_eq(d.plan.problem_count, 2);
    const struct kw_cut_problem *p = desk_problem(&d, KW_CUT_TOO_NEAR);
    cr_assert_not_null(p);
    cr_expect_float_eq(p->measured, 0.5, 1e-6);
    cr_expect_float_eq(d.plan.problems[1].measured, 1.0, 1e-6);
    cr_expect_eq(desk_rank(&d, 2, -1), -1);
    cr_expect_geq(desk_rank(&d, 3, -1), 0);
    kw_arena_free(&d.arena);
}

Test(cut_troubles, a_part_without_room_for_a_lead_in_is_told) {
    for (int i = 0; i < 2; i++) {
        struct desk d;
        double gap = i ? 6 : 1.7;
        desk_open(&d);
        struct kw_region *r = desk_part(&d, "frame#1", desk_box(&d, 50, 50, 200, 200));
        desk_hole(&d, r, desk_box(&d, 80 - gap, 80 - gap, 160 + gap, 160 + gap));
        desk_part(&d, "inner#1", desk_box(&d, 80, 80, 160, 160));
        desk_plan(&d);
        const struct kw_cut_problem *p = desk_problem(&d, KW_CUT_NO_LEAD);
        cr_expect_eq(p != NULL, i == 0);
        cr_expect_eq(d.plan.writable, i == 1);
        kw_arena_free(&d.arena);
    }
}

Test(cut_troubles, marks_off_the_sheet_are_left_out_by_name) {
    struct desk d;
    struct kw_cut_line marks[] = {{{50, 70}, {51.6, 70}}, {{599, 70}, {601, 70}}, {{5, 5}, {5, 5}}};
    desk_open(&d);
    d.sheet.marks = marks;
    d.sheet.mark_count = 3;
    desk_part(&d, "a#1", desk_box(&d, 50, 50, 150, 150));
    desk_plan(&d);
    cr_expect_eq(d.plan.problem_count, 2);
    cr_expect_eq(d.plan.problems[0].kind, KW_CUT_NO_MARK);
    cr_expect_eq(d.plan.pierces, 2);
    cr_expect(d.plan.writable);
    kw_arena_free(&d.arena);
}

Test(cut_troubles, rules_without_sense_are_refused) {
    static const double bad[] = {0, -1, NAN};
    for (int i = 0; i < 3; i++) {
        struct desk d;
        struct kw_error err = {0};
        desk_open(&d);
        desk_part(&d, "a#1", desk_box(&d, 50, 50, 150, 150));
        d.rule.kerf = bad[i];
        cr_expect_eq(
            kw_cut_plan_sheet(&d.arena, &d.sheet, &d.rule, &d.controller, NULL, &d.plan, &err),
            KW_RANGE);
        kw_arena_free(&d.arena);
    }
}
