// SPDX-License-Identifier: Apache-2.0
// What is marked on blanks: the demo's shop etches. Bend lines whole where the etched face comes
// inside, only their ends where it comes outside.
#include "run_demo.h"

#include <math.h>
#include <string.h>

static void plan_marked(struct fixture *f, enum kw_mark_way way) {
    read_demo(f);
    f->shop->marking.way = (int)way;
    plan_read(f, (struct kw_run_options){0});
}

// Length of the straight marks of a make that lie on the line of a bend.
static double marked_on(const struct kw_make *m, int bend) {
    struct kw_vec2 from, to;
    double sum = 0;
    kw_body_bend_line(m->what->body, bend, m->hand == KW_RIGHT_HAND, &from, &to);
    struct kw_segment line = kw_segment_make(from, to, 0);
    for (int i = 0; i < m->etch_count; i++) {
        struct kw_segment s = kw_path_segment(&m->etches[i], 0);
        if (kw_segment_distance(line, s.a) > 1e-6 || kw_segment_distance(line, s.b) > 1e-6)
            continue;
        sum += kw_segment_length(s);
    }
    return sum;
}

Test(run_marks, bend_lines_are_etched_by_the_face_that_is_up) {
    struct fixture f = {0};
    int whole = 0, ends = 0, by_hand = 0;
    plan_marked(&f, KW_MARK_ETCH);
    for (int i = 0; i < f.week.make_count; i++) {
        const struct kw_make *m = &f.week.makes[i];
        const struct kw_body *body = m->what->body;
        for (int b = 0; body && b < body->bend_count; b++) {
            double got = marked_on(m, b), length = body->bends[b].length - 3;
            if (body->bends[b].kind == KW_BEND_HAND) {
                by_hand++;
                continue; // its slits show it
            }
            if (body->bends[b].hole_gap > 0) continue;
            bool all = body->bends[b].way == KW_UP || length < 38.1;
            cr_expect_float_eq(got, all ? length : 25.4, 1e-6, "%s bend %s", m->label,
                               body->bends[b].id);
            whole += all;
            ends += !all;
        }
    }
    cr_expect(whole > 10 && ends > 2 && by_hand > 0, "%d, %d, %d", whole, ends, by_hand);
    for (int i = 0; i < f.week.sheet_count; i++) {
        const struct kw_run_sheet *s = &f.week.sheets[i];
        for (int k = 0; k < s->placement_count; k++)
            cr_expect_not(s->placements[k].mirrored &&
                          f.week.makes[s->placements[k].part].etch_count);
        cr_expect_gt(s->cut.etch_length, 0);
    }
    kw_arena_free(&f.a);
}

Test(run_marks, a_table_without_a_scribe_nicks_or_leaves_it) {
    for (int way = 0; way < 3; way++) {
        struct fixture f = {0};
        int nicks = 0, etches = 0;
        plan_marked(&f, (enum kw_mark_way)way);
        for (int i = 0; i < f.week.sheet_count; i++) {
            nicks += f.week.sheets[i].mark_count;
            etches += f.week.sheets[i].etch_count;
        }
        cr_expect_eq(etches > 0, way == KW_MARK_ETCH);
        if (way == KW_MARK_NICKS) cr_expect_gt(nicks, 100);
        kw_arena_free(&f.a);
    }
}
