// SPDX-License-Identifier: Apache-2.0
// Lines that a scribe etches: before all cuts, where its point goes, what it can't reach.
#include "cut/job.h"
#include "cut_help.h"

#include <math.h>
#include <string.h>

static void add_etch(struct desk *d, struct kw_cut_etch *etches, int part, double x0, double y0,
                     double x1, double y1) {
    struct kw_path p = {.open = true};
    kw_path_add(&d->arena, &p, x0, y0, 0, 0);
    kw_path_add(&d->arena, &p, x1, y1, 0, 0);
    etches[d->sheet.etch_count++] = (struct kw_cut_etch){p, part};
    d->sheet.etches = etches;
}

static void open_scribe(struct desk *d) {
    desk_open(d);
    d->controller.scribe_down = "M7";
    d->controller.scribe_up = "M9";
    d->controller.scribe_delay = 0.25;
    d->controller.scribe_feed = 40;
    d->controller.scribe = kw_v2(30, -10);
    d->controller.reach = kw_v2(d->sheet.width, d->sheet.height);
    desk_part(d, "plate#1", desk_box(d, 100, 100, 300, 200));
    desk_part(d, "plate#2", desk_box(d, 320, 100, 520, 200));
}

Test(cut_etch, lines_come_first_by_the_torch_and_are_lifted_between) {
    struct desk d;
    struct kw_cut_etch etches[8];
    open_scribe(&d);
    add_etch(&d, etches, 0, 120, 120, 160, 120);
    add_etch(&d, etches, 0, 160, 120, 160, 150); // goes on where the first ends
    add_etch(&d, etches, 1, 400, 150, 420, 150);
    desk_plan(&d);
    cr_expect_eq(d.plan.problem_count, 0);
    cr_expect_float_eq(d.plan.etch_length, 90, 1e-9);
    int down = 0, etched = 0;
    double time = 0;
    for (int i = 0; i < d.plan.move_count; i++) {
        const struct kw_cut_move *m = &d.plan.moves[i];
        down += m->kind == KW_CUT_SCRIBE;
        if (m->kind == KW_CUT_SCRIBE) time += m->time;
        etched += m->kind == KW_CUT_ETCH;
        if (m->kind == KW_CUT_PIERCE) cr_expect_eq(etched, 3, "before all cuts");
    }
    cr_expect_eq(down, 2, "two of the lines meet");
    cr_expect_float_eq(time, 0.5, 1e-12);
    const struct kw_cut_contour *c = &d.plan.contours[0];
    cr_expect_eq(c->part, KW_CUT_ETCHED);
    cr_expect_eq(c->hole, 0);
    // From (120, 120), whose torch is 30 to the left and 10 further back.
    cr_expect_float_eq(d.plan.moves[c->first_move].to.x, 90, 1e-9);
    cr_expect_float_eq(d.plan.moves[c->first_move].to.y, 130, 1e-9);
    kw_arena_free(&d.arena);
}

Test(cut_etch, what_leaves_its_part_or_the_reach_is_left_out_and_told) {
    struct desk d;
    struct kw_cut_etch etches[8];
    open_scribe(&d);
    add_etch(&d, etches, 0, 120, 120, 310, 120); // out of the part
    add_etch(&d, etches, 0, 250, 120, 290, 120);
    add_etch(&d, etches, 0, 100, 150, 300, 150); // from edge to edge: in it
    d.controller.scribe = kw_v2(260, 0);
    desk_plan(&d);
    cr_expect(d.plan.unetched[0] && d.plan.unetched[1] && d.plan.unetched[2]);
    cr_expect_eq(d.plan.problem_count, 3);
    cr_expect_eq(d.plan.problems[0].kind, KW_CUT_NO_MARK);
    cr_expect_not(d.plan.problems[0].unwritable);
    cr_expect(d.plan.writable);
    d.controller.scribe = kw_v2(0, 0);
    desk_plan(&d);
    cr_expect(d.plan.unetched[0] && !d.plan.unetched[1] && !d.plan.unetched[2]);
    cr_expect_float_eq(d.plan.etch_length, 240, 1e-9);
    kw_arena_free(&d.arena);
}
