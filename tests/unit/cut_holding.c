// SPDX-License-Identifier: Apache-2.0
// Holding tabs, stops, cuts in scrap, clamps, locked height, the words of the control.
#include "cut_help.h"

#include <math.h>
#include <string.h>

Test(cut_holding, a_tab_every_so_much_edge_and_the_metal_is_as_wide_as_said) {
    struct desk d;
    desk_open(&d);
    desk_part(&d, "a#1", desk_box(&d, 50, 50, 250, 150));
    d.parts[0].tab_width = 2;
    d.sheet.tab_every = 150; // 606 mm of kerf line: four tabs
    desk_plan(&d);
    cr_expect_eq(d.plan.tab_count, 4);
    cr_expect(d.plan.pierces == 4 || d.plan.pierces == 5);
    for (int t = 0; t < d.plan.tab_count; t++) {
        struct kw_vec2 at = d.plan.tabs[t].at;
        double near = INFINITY;
        cr_expect_lt(kw_path_distance(&d.parts[0].region.outer, at), 1e-6);
        for (int i = 0; i < d.plan.move_count; i++) {
            const struct kw_cut_move *m = &d.plan.moves[i];
            if (m->kind <= KW_CUT_PIERCE) continue;
            near = fmin(near, kw_segment_distance(kw_segment_make(m->from, m->to, m->bulge), at));
        }
        // Half the tab and half the kerf to the side, half a kerf off the outline.
        cr_expect_float_eq(near, hypot(1 + 0.75, 0.75), 1e-6);
    }
    kw_arena_free(&d.arena);
}

Test(cut_holding, no_tab_lies_on_an_edge_that_matters) {
    const double v[][3] = {{50, 50, 0}, {450, 50, 0}, {450, 90, 0}, {50, 90, 0}};
    static const int avoid[] = {1, 2, 4, 3}; // tags: bottom, right, left, top
    for (int n = 0; n <= 4; n++) {
        struct desk d;
        desk_open(&d);
        desk_part(&d, "a#1", desk_path(&d, v, 4));
        d.parts[0].avoid = avoid;
        d.parts[0].avoid_count = n;
        d.parts[0].tab_width = 2;
        d.sheet.tab_every = 200;
        desk_plan(&d);
        cr_expect_eq(d.plan.tab_count > 0, n < 4, "%d avoided: %d tabs", n, d.plan.tab_count);
        for (int i = 0; i < d.plan.tab_count; i++) {
            struct kw_vec2 at = d.plan.tabs[i].at;
            if (n >= 1) cr_expect_gt(at.y, 50.01);
            if (n >= 2) cr_expect_lt(at.x, 449.99);
            if (n >= 3) cr_expect_gt(at.x, 50.01);
        }
        kw_arena_free(&d.arena);
    }
}

Test(cut_holding, no_tab_lies_where_a_nick_marks_a_bend) {
    struct kw_cut_line marks[16];
    struct desk d;
    desk_open(&d);
    desk_part(&d, "a#1", desk_box(&d, 50, 50, 450, 90));
    d.parts[0].tab_width = 2;
    d.sheet.tab_every = 100;
    desk_plan(&d);
    int n = d.plan.tab_count;
    cr_assert(n > 3 && n <= 16);
    for (int i = 0; i < n; i++) {
        struct kw_vec2 at = d.plan.tabs[i].at, in = kw_lerp2(at, kw_v2(250, 70), 0.01);
        marks[i] = (struct kw_cut_line){at, in};
    }
    d.sheet.marks = marks;
    d.sheet.mark_count = n;
    desk_plan(&d);
    cr_expect_eq(d.plan.tab_count, n);
    for (int i = 0; i < d.plan.tab_count; i++)
        for (int k = 0; k < n; k++)
            cr_expect_gt(kw_length2(kw_sub2(d.plan.tabs[i].at, marks[k].from)), 2 + 1.5);
    kw_arena_free(&d.arena);
}

Test(cut_holding, a_travel_over_a_part_that_can_stand_up_has_a_stop_before_it) {
    struct desk d;
    struct kw_text t = {0};
    desk_open(&d);
    // Between two stops no travel passes over a part that has been cut since the first of them.
    for (int i = 0; i < 12; i++)
        desk_part(&d, "a#1",
                  desk_box(&d, 20 + i % 4 * 60, 20 + (int)(i / 4) * 60, 70 + i % 4 * 60,
                           70 + (int)(i / 4) * 60));
    for (int i = 0; i < 12; i++)
        d.parts[i].may_tip = true;
    desk_plan(&d);
    bool cut[12] = {false};
    for (int c = 0; c < d.plan.contour_count; c++) {
        const struct kw_cut_contour *k = &d.plan.contours[c];
        const struct kw_cut_move *m = &d.plan.moves[k->first_move];
        if (k->stop_before) memset(cut, 0, sizeof cut);
        for (; m->kind == KW_CUT_RAPID; m++)
            for (int p = 0; p < 12; p++)
                for (int s = 0; s <= 200 && cut[p]; s++)
                    cr_expect_not(kw_path_contains(&d.parts[p].region.outer,
                                                   kw_lerp2(m->from, m->to, s / 200.0)),
                                  "over %d before %d", p, k->part);
        cut[k->part] = true;
    }
    d.plan.contours[3].stop_before = true;
    kw_cut_program_text(&d.plan, &d.controller, "S1", &t);
    cr_expect(strstr(t.s, "(STOP - PULL PARTS THAT STAND UP)\nM1\n"));
    kw_text_free(&t);
    kw_arena_free(&d.arena);
}

Test(cut_holding, a_travel_goes_round_a_part_that_stands_where_it_can) {
    struct desk d;
    int bent = 0, stops = 0;
    desk_open(&d);
    for (int i = 0; i < 24; i++) {
        double x = 20 + i % 6 * 60, y = 20 + (int)(i / 6) * 60;
        struct kw_region *r = desk_part(&d, "a#1", desk_box(&d, x, y, x + 50, y + 50));
        if (i % 3 == 0) desk_hole(&d, r, kw_path_circle(&d.arena, x + 25, y + 25, 8, false, 0));
        d.parts[i].may_tip = true;
    }
    d.sheet.heat_gap = 90; // the torch has to go far
    desk_plan(&d);
    double rapid = 0;
    for (int c = 0; c < d.plan.contour_count; c++) {
        const struct kw_cut_contour *k = &d.plan.contours[c];
        const struct kw_cut_move *m = &d.plan.moves[k->first_move];
        stops += k->stop_before;
        bent += m[0].kind == KW_CUT_RAPID && m[1].kind == KW_CUT_RAPID;
        cr_expect_eq(m[k->moves - 1].contour, c);
        for (int i = 1; i < k->moves; i++)
            cr_expect_lt(kw_length2(kw_sub2(m[i].from, m[i - 1].to)), 1e-9);
    }
    for (int i = 0; i < d.plan.move_count; i++)
        rapid += d.plan.moves[i].kind == KW_CUT_RAPID ? d.plan.moves[i].length : 0;
    cr_expect_float_eq(rapid, d.plan.rapid_length, 1e-6);
    cr_expect_gt(bent, 0);
    cr_expect_lt(stops, bent);
    kw_arena_free(&d.arena);
}

Test(cut_holding, scrap_is_cut_last_and_only_where_it_is_scrap) {
    struct desk d;
    desk_open(&d);
    struct kw_cut_line line = {{0, 100}, {600, 100}};
    desk_part(&d, "a#1", desk_box(&d, 50, 50, 250, 150));
    d.sheet.scrap = &line;
    d.sheet.scrap_count = 1;
    desk_plan(&d);
    cr_expect_eq(d.plan.scrap_count, 2);
    cr_expect_eq(d.plan.contours[d.plan.contour_count - 1].part, KW_CUT_SCRAP);
    cr_expect_eq(d.plan.contours[0].part, 0);
    cr_expect(d.plan.scrap[0].to.x > 49 && d.plan.scrap[0].to.x <= 49.25 + 1e-9);
    cr_expect(d.plan.scrap[1].from.x >= 250.75 - 1e-9 && d.plan.scrap[1].from.x < 251);
    kw_arena_free(&d.arena);
}

Test(cut_holding, nothing_is_pierced_in_a_clamp) {
    struct desk d;
    desk_open(&d);
    struct kw_box2 clamp = {{0, 0}, {300, 300}};
    clamp.max.x = 120;
    desk_part(&d, "a#1", desk_box(&d, 50, 50, 250, 150));
    d.sheet.clamps = &clamp;
    d.sheet.clamp_count = 1;
    desk_plan(&d);
    cr_expect(d.plan.writable);
    cr_expect_gt(d.plan.contours[0].pierce.x, 120.0);
    clamp.max.x = 600;
    desk_plan(&d);
    cr_expect(desk_problem(&d, KW_CUT_NO_LEAD));
    kw_arena_free(&d.arena);
}

// Right-angled at (from, from), its legs to `to`.
static struct kw_path desk_triangle(struct desk *d, double from, double to) {
    struct kw_path p = {0};
    KW_PUSH(&d->arena, p.v, p.count) = (struct kw_vertex){.x = from, .y = from};
    KW_PUSH(&d->arena, p.v, p.count) = (struct kw_vertex){.x = to, .y = from};
    KW_PUSH(&d->arena, p.v, p.count) = (struct kw_vertex){.x = from, .y = to};
    return p;
}

// A sheet that is half a square, with a part 6 mm from its long edge all along: whatever begins
// there begins on the sheet.
Test(cut_holding, the_torch_stays_on_a_sheet_that_is_no_rectangle) {
    struct desk d;
    desk_open(&d);
    struct kw_path sheet = desk_triangle(&d, 0, 500), part = desk_triangle(&d, 20, 500 - 20 - 8.5);
    desk_part(&d, "a#1", part);
    d.sheet.outline = &sheet;
    desk_plan(&d);
    cr_assert(d.plan.writable);
    for (int i = 0; i < d.plan.move_count; i++) {
        const struct kw_cut_move *m = &d.plan.moves[i];
        if (m->kind == KW_CUT_RAPID) continue;
        cr_expect(kw_path_contains(&sheet, m->from) && kw_path_contains(&sheet, m->to), "%d", i);
    }
    for (int i = 1; i < 3; i++) // now half a millimetre from the long edge
        *(i == 1 ? &part.v[i].x : &part.v[i].y) += 7.8;
    desk_plan(&d);
    cr_expect(desk_problem(&d, KW_CUT_TOO_NEAR));
    kw_arena_free(&d.arena);
}

// The drop's edge runs under the clamp from 200 to 240: the cut stops half a kerf before it.
Test(cut_holding, scrap_is_not_cut_under_a_clamp) {
    struct desk d;
    desk_open(&d);
    struct kw_box2 clamp = {{200, 80}, {240, 120}};
    struct kw_cut_line line = {{0, 100}, {600, 100}};
    desk_part(&d, "a#1", desk_box(&d, 300, 200, 400, 300));
    d.sheet.scrap = &line;
    d.sheet.scrap_count = 1;
    d.sheet.clamps = &clamp;
    d.sheet.clamp_count = 1;
    desk_plan(&d);
    cr_assert_eq(d.plan.scrap_count, 2);
    cr_expect_leq(d.plan.scrap[0].to.x, 200 - 0.75);
    cr_expect_geq(d.plan.scrap[1].from.x, 240 + 0.75);
    kw_arena_free(&d.arena);
}

Test(cut_holding, height_is_locked_in_small_holes_at_corners_and_at_the_end) {
    struct desk d;
    struct kw_text t = {0};
    desk_open(&d);
    d.rule.zone = 6.35;
    d.rule.corner_feed = 0.5;
    d.rule.hole_feed_below = 25.4;
    d.controller.lock = "M50 P0";
    d.controller.unlock = "M50 P1";
    struct kw_region *r = desk_part(&d, "a#1", desk_box(&d, 50, 50, 250, 150));
    desk_hole(&d, r, kw_path_circle(&d.arena, 100, 100, 6, false, 0));
    desk_plan(&d);
    double locked = 0, slow = 0, corners = 4 * (2 * 6.35 + KW_PI / 2 * 0.75);
    for (int i = 0; i < d.plan.move_count; i++) {
        const struct kw_cut_move *m = &d.plan.moves[i];
        if (m->kind <= KW_CUT_PIERCE) continue;
        bool hole = d.plan.contours[m->contour].hole >= 0;
        cr_expect(!hole || m->locked);
        if (!hole && m->locked) locked += m->length;
        if (!hole && m->feed < 30) slow += m->length;
    }
    // Four corners and the end, which may overlap one of them.
    cr_expect(locked >= corners - 1e-6 && locked <= corners + 6.35 + 1e-6, "%f", locked);
    cr_expect_float_eq(slow, corners, 1e-6, "%f", slow);
    kw_cut_program_text(&d.plan, &d.controller, "S1", &t);
    cr_expect(strstr(t.s, "\nM50 P0\n") && strstr(t.s, "\nM50 P1\n"));
    kw_text_free(&t);
    kw_arena_free(&d.arena);
}

Test(cut_holding, an_arc_lead_in_runs_into_the_contour_without_a_corner) {
    struct desk d;
    desk_open(&d);
    d.rule.lead_arc = true;
    desk_part(&d, "a#1", desk_box(&d, 50, 50, 250, 150));
    desk_plan(&d);
    const struct kw_cut_move *lead = &d.plan.moves[2], *next = lead + 1;
    cr_expect_eq(lead->kind, KW_CUT_LEAD);
    struct kw_vec2 a = kw_segment_direction(kw_segment_make(lead->from, lead->to, lead->bulge), 1);
    struct kw_vec2 b = kw_segment_direction(kw_segment_make(next->from, next->to, next->bulge), 0);
    cr_expect_float_eq(kw_dot2(a, b), 1.0, 1e-9);
    cr_expect_float_eq(fabs(lead->bulge), tan(KW_PI / 8), 1e-9);
    kw_arena_free(&d.arena);
}

Test(cut_holding, after_three_near_neighbours_the_torch_goes_elsewhere) {
    struct desk d;
    desk_open(&d);
    for (int i = 0; i < 20; i++)
        desk_part(&d, "a#1",
                  desk_box(&d, 20 + i % 5 * 60, 20 + (int)(i / 5) * 60, 70 + i % 5 * 60,
                           70 + (int)(i / 5) * 60));
    d.sheet.heat_gap = 90;
    desk_plan(&d);
    int run = 1, longest = 1;
    for (int c = 1; c < 14; c++) { // the last ones have no choice
        int p = d.plan.contours[c].part, q = d.plan.contours[c - 1].part;
        double gap = hypot((p % 5 - q % 5) * 60.0, (p / 5 - q / 5) * 60.0);
        run = gap < 90 ? run + 1 : 1;
        longest = run > longest ? run : longest;
    }
    cr_expect_leq(longest, 3);
    kw_arena_free(&d.arena);
}
