// SPDX-License-Identifier: Apache-2.0
// Order, directions, starts and times of the cuts.
#include "cut/job.h"
#include "cut_help.h"

#include <math.h>
#include <string.h>

Test(cut_order, what_lies_inside_is_cut_first_and_marks_before_all) {
    struct desk d;
    struct kw_cut_line marks[] = {{{550, 350}, {551.6, 350}}, {{52, 60}, {50, 60}}};
    desk_open(&d);
    d.sheet.marks = marks;
    d.sheet.mark_count = 2;
    struct kw_region *r = desk_part(&d, "frame#1", desk_box(&d, 50, 50, 250, 250));
    desk_hole(&d, r, desk_box(&d, 70, 70, 200, 200));
    desk_hole(&d, r, kw_path_circle(&d.arena, 225, 225, 8, false, 0));
    r = desk_part(&d, "ring#1", kw_path_circle(&d.arena, 135, 135, 50, true, 0));
    desk_hole(&d, r, kw_path_circle(&d.arena, 135, 135, 35, false, 0));
    desk_part(&d, "button#1", kw_path_circle(&d.arena, 135, 135, 12, true, 0));
    desk_part(&d, "other#1", desk_box(&d, 400, 100, 440, 150));
    desk_plan(&d);
    cr_expect_eq(d.plan.problem_count, 0);
    cr_expect_eq(d.plan.contour_count, 9);
    cr_expect_eq(d.plan.pierces, 9);
    cr_expect_eq(d.plan.contours[0].part, -1);
    cr_expect_eq(d.plan.contours[1].part, -1);
    int button = desk_rank(&d, 2, -1), ring_hole = desk_rank(&d, 1, 0), ring = desk_rank(&d, 1, -1);
    int frame_hole = desk_rank(&d, 0, 0), frame = desk_rank(&d, 0, -1);
    cr_expect(1 < button && button < ring_hole && ring_hole < ring && ring < frame_hole);
    cr_expect(frame_hole < frame && desk_rank(&d, 0, 1) < frame);
    kw_arena_free(&d.arena);
}

static double turning(const struct desk *d, int contour) { // signed area swept by its moves
    const struct kw_cut_contour *c = &d->plan.contours[contour];
    double area = 0;
    for (int i = c->first_move; i < c->first_move + c->moves; i++) {
        const struct kw_cut_move *m = &d->plan.moves[i];
        struct kw_segment s = kw_segment_make(m->from, m->to, m->bulge);
        struct kw_vec2 mid = kw_segment_point(s, 0.5);
        if (m->kind != KW_CUT_LINE && m->kind != KW_CUT_ARC) continue;
        area += kw_cross2(kw_sub2(m->from, c->start), kw_sub2(mid, c->start)) +
                kw_cross2(kw_sub2(mid, c->start), kw_sub2(m->to, c->start));
    }
    return area;
}

Test(cut_order, outlines_run_clockwise_and_holes_counter_clockwise_unless_turned_round) {
    for (int i = 0; i < 2; i++) {
        struct desk d;
        desk_open(&d);
        d.rule.left_is_square = i == 1;
        struct kw_region *r = desk_part(&d, "a#1", desk_box(&d, 50, 50, 150, 150));
        desk_hole(&d, r, kw_path_circle(&d.arena, 80, 90, 10, false, 0));
        desk_plan(&d);
        cr_expect_eq(turning(&d, 0) > 0, i == 0);
        cr_expect_eq(turning(&d, 1) < 0, i == 0);
        kw_arena_free(&d.arena);
    }
}

Test(cut_order, small_holes_are_pierced_in_their_middle_cut_slowly_and_over_their_start) {
    struct desk d;
    desk_open(&d);
    d.rule.hole_feed_below = 25.4;
    d.rule.overburn = 3;
    struct kw_region *r = desk_part(&d, "a#1", desk_box(&d, 50, 50, 250, 150));
    desk_hole(&d, r, kw_path_circle(&d.arena, 80, 90, 5, false, 0));
    desk_hole(&d, r, kw_path_circle(&d.arena, 160, 90, 30, false, 0));
    desk_plan(&d);
    int small = desk_rank(&d, 0, 0), large = desk_rank(&d, 0, 1);
    const struct kw_cut_contour *c = &d.plan.contours[small];
    cr_expect_float_eq(c->pierce.x, 80.0, 1e-6);
    cr_expect_float_eq(c->pierce.y, 90.0, 1e-6);
    cr_expect_float_eq(c->length, 4.25 + 2 * KW_PI * 4.25 + 3, 1e-6);
    cr_expect_float_eq(d.plan.moves[c->first_move + 3].feed, 30.0, 1e-9);
    cr_expect_float_eq(d.plan.contours[large].length, 4 + 2 * KW_PI * 29.25 + 3, 1e-6);
    cr_expect_not(d.plan.contours[large].slow);
    kw_arena_free(&d.arena);
}

Test(cut_order, no_cut_starts_on_an_edge_to_avoid_while_another_is_left) {
    const double v[][3] = {{50, 50, 0}, {150, 50, 0}, {150, 150, 0}, {50, 150, 0}};
    static const int avoid[] = {1, 2, 4, 3}; // tags: bottom, right, left, top
    for (int n = 0; n <= 4; n++) {
        struct desk d;
        desk_open(&d);
        desk_part(&d, "a#1", desk_path(&d, v, 4));
        d.parts[0].avoid = avoid;
        d.parts[0].avoid_count = n;
        desk_plan(&d);
        struct kw_vec2 at = d.plan.contours[0].start;
        cr_expect(n != 3 || fabs(at.y - 150.75) < 1e-9, "%g %g", at.x, at.y);
        cr_expect(n != 1 || at.y > 50);
        cr_expect_eq(desk_problem(&d, KW_CUT_START_MATTERS) != NULL, n == 4);
        cr_expect(d.plan.writable);
        kw_arena_free(&d.arena);
    }
}

Test(cut_order, lead_ins_stay_half_a_kerf_off_every_outline) {
    struct desk d;
    desk_open(&d);
    d.rule.lead_in = 6;
    // Rows 3.2 mm apart: no room for the whole lead-in between them.
    for (int i = 0; i < 25; i++) {
        double x = 20 + i % 5 * 43.2, y = 20 + (int)(i / 5) * 33.2;
        desk_part(&d, "a", desk_box(&d, x, y, x + 40, y + 30));
    }
    desk_plan(&d);
    cr_expect(d.plan.writable);
    cr_expect_eq(d.plan.contour_count, 25);
    double least = INFINITY;
    for (int i = 0; i < d.plan.move_count; i++) {
        const struct kw_cut_move *m = &d.plan.moves[i];
        for (int k = 0; k <= 100 && m->kind == KW_CUT_LEAD; k++)
            for (int p = 0; p < 25; p++)
                least = fmin(least, kw_path_distance(&d.parts[p].region.outer,
                                                     kw_lerp2(m->from, m->to, k / 100.0)));
    }
    cr_expect_float_eq(least, 0.75, 1e-6);
    kw_arena_free(&d.arena);
}

// The shortest way over all orders and turns.
static double brute(struct cut_stop *v, int n, int done, struct kw_vec2 at,
                    const struct kw_vec2 *to) {
    if (done == n) return to ? kw_length2(kw_sub2(*to, at)) : 0;
    double best = INFINITY;
    for (int i = done; i < n; i++) {
        struct cut_stop s = v[i];
        v[i] = v[done];
        v[done] = s;
        for (int flip = 0; flip <= s.flips; flip++) {
            struct kw_vec2 in = flip ? s.out : s.in, out = flip ? s.in : s.out;
            double rest = brute(v, n, done + 1, out, to);
            best = fmin(best, kw_length2(kw_sub2(in, at)) + rest);
        }
        v[done] = v[i];
        v[i] = s;
    }
    return best;
}

// The kerf round a neighbour may be a gap by then: lead-ins keep the torch off it while there is
// room, and come as near as half a kerf where there is none.
Test(cut_order, lead_ins_stay_out_of_gaps_that_may_be_cut_already) {
    static const double gaps[] = {3.2, 4, 6};
    for (int g = 0; g < 3; g++) {
        struct desk d;
        desk_open(&d);
        for (int i = 0; i < 9; i++) {
            double x = 50 + (i % 3) * (40 + gaps[g]), y = 50 + (int)(i / 3) * (40 + gaps[g]);
            desk_part(&d, "a#1", desk_box(&d, x, y, x + 40, y + 40));
        }
        desk_plan(&d);
        cr_expect(d.plan.writable);
        for (int i = 0; i < d.plan.contour_count; i++) {
            struct kw_vec2 p = d.plan.contours[i].pierce;
            for (int k = 0; k < 9; k++) {
                const struct kw_path *o = &d.parts[k].region.outer;
                double off = INFINITY;
                for (int s = 0; s < kw_path_segments(o); s++)
                    off = fmin(off, kw_segment_distance(kw_path_segment(o, s), p));
                if (k != d.plan.contours[i].part) cr_expect_gt(off, 1.5, "%g: %g", gaps[g], off);
            }
        }
        kw_arena_free(&d.arena);
    }
}

Test(cut_order, tours_of_seven_stops_are_the_shortest) {
    struct kw_arena arena = {0};
    uint64_t seed = 3;
    int found = 0;
    for (int c = 0; c < 40; c++) {
        struct cut_stop v[7];
        struct kw_vec2 to = {100, 0};
        for (int i = 0; i < 7; i++) {
            v[i] = (struct cut_stop){.id = i, .flips = c % 2};
            v[i].in = kw_v2(100 * kw_random_unit(&seed), 100 * kw_random_unit(&seed));
            v[i].out =
                kw_add2(v[i].in, kw_v2(20 * kw_random_unit(&seed), 20 * kw_random_unit(&seed)));
        }
        double best = brute(v, 7, 0, kw_v2(0, 0), c % 3 ? &to : NULL);
        double got = cut_tour(&arena, v, 7, kw_v2(0, 0), c % 3 ? &to : NULL, 1, 60);
        // What it says is what the stops say.
        struct kw_vec2 at = {0, 0};
        double sum = 0;
        for (int i = 0; i < 7; i++) {
            sum += kw_length2(kw_sub2(v[i].in, at));
            at = v[i].out;
        }
        if (c % 3) sum += kw_length2(kw_sub2(to, at));
        cr_expect_float_eq(sum, got, 1e-6);
        cr_expect_geq(got, best - 1e-6);
        found += got < best + 1e-6;
    }
    cr_expect_eq(found, 40);
    kw_arena_free(&arena);
}

Test(cut_order, times_follow_a_trapezoid_of_speed_between_corners) {
    struct desk d;
    desk_open(&d);
    d.rule.lead_in = 0;
    d.rule.pierce_delay = 1;
    desk_part(&d, "a#1", kw_path_circle(&d.arena, 200, 200, 99.25, true, 0));
    desk_plan(&d);
    // One round of radius 100 at 50 mm/s, speeding up and slowing down at 1500 mm/s2 once; the
    // travel of at least 250 mm/s squared over 1500 = 41.7 mm likewise.
    double round = 2 * KW_PI * 100 / 50 + 50.0 / 1500;
    double travel = d.plan.rapid_length / 250 + 250.0 / 1500;
    cr_expect_float_eq(d.plan.cut_time, round + travel + 1, 1e-6);
    cr_expect_float_eq(d.plan.cut_length, 2 * KW_PI * 100, 1e-6);
    double sum = 0;
    for (int i = 0; i < d.plan.move_count; i++)
        sum += d.plan.moves[i].time;
    cr_expect_float_eq(sum, d.plan.cut_time, 1e-6);
    kw_arena_free(&d.arena);
}
