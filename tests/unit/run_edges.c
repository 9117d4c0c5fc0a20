// SPDX-License-Identifier: Apache-2.0
// Edges that matter after the cut: the torch starts on others. On the demo's week, whose herb boxes
// have tabs in slots and welds, and whose ember gate is gripped.
#include "run_demo.h"

#include <string.h>

static int uses_of(const struct kw_make *m) {
    int uses = 0;
    for (int i = 0; i < m->what->body->blank.outer.count; i++)
        uses |= kw_edge_uses(m->what, i);
    return uses;
}

Test(run_edges, are_known_by_what_they_are_for) {
    struct fixture f = {0};
    plan_demo(&f);
    int seen = 0;
    for (int i = 0; i < f.week.make_count; i++) {
        const struct kw_make *m = &f.week.makes[i];
        if (!m->what->body) continue;
        int uses = uses_of(m);
        seen |= uses;
        if (strcmp(m->label, "herb-box-24/floor") == 0)
            cr_expect_eq(uses & (KW_EDGE_MATES | KW_EDGE_WELDED), KW_EDGE_MATES | KW_EDGE_WELDED);
        if (strcmp(m->label, "fire-ring/ember-gate") == 0)
            cr_expect_eq(uses & KW_EDGE_GRIPPED, KW_EDGE_GRIPPED);
        if (strcmp(m->label, "garden-arch/leaf") == 0) cr_expect_eq(uses, 0);
    }
    cr_expect_eq(seen, KW_EDGE_MATES | KW_EDGE_WELDED | KW_EDGE_GAUGED | KW_EDGE_GRIPPED);
    kw_arena_free(&f.a);
}

// The use of the edge nearest to a point of the sheet, for a placed part.
static int use_at(const struct fixture *f, const struct kw_run_sheet *s, int placement,
                  struct kw_vec2 at) {
    const struct kw_nest_placement *p = &s->placements[placement];
    const struct kw_make *m = &f->week.makes[p->part];
    struct kw_move2 home = kw_move2_inverse(kw_move2_make(p->x, p->y, p->rotation, p->mirrored));
    struct kw_vec2 q = kw_move2_point(home, at);
    if (m->hand == KW_RIGHT_HAND) q = kw_body_to_first_hand(m->what->body, q);
    const struct kw_path *outer = &m->what->body->blank.outer;
    int best = 0;
    for (int i = 1; i < outer->count; i++)
        if (kw_segment_distance(kw_path_segment(outer, i), q) <
            kw_segment_distance(kw_path_segment(outer, best), q))
            best = i;
    return kw_edge_uses(m->what, best);
}

// A start on an edge that matters is told as such: all others are without a word.
Test(run_edges, the_torch_starts_elsewhere_or_says_so) {
    struct fixture f = {0};
    plan_demo(&f);
    int starts = 0, on_edges = 0, told = 0;
    for (int i = 0; i < f.week.sheet_count; i++) {
        const struct kw_run_sheet *s = &f.week.sheets[i];
        for (int c = 0; c < s->cut.contour_count; c++) {
            const struct kw_cut_contour *k = &s->cut.contours[c];
            if (k->part < 0 || k->hole >= 0) continue;
            // Where the torch meets the outline: the end of the first move after the pierce.
            starts++;
            on_edges += use_at(&f, s, k->part, k->start) != 0;
        }
        for (int p = 0; p < s->cut.problem_count; p++)
            told += s->cut.problems[p].kind == KW_CUT_START_MATTERS;
    }
    cr_expect_gt(starts, 200);
    cr_expect_leq(on_edges, told, "%d starts on edges that matter, %d told", on_edges, told);
    cr_expect_lt(on_edges, starts / 4);
    kw_arena_free(&f.a);
}
