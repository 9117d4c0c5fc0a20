// SPDX-License-Identifier: Apache-2.0
// What the table marks on a blank before it is cut: nicks at the ends of bend lines, or etched
// lines and letters.
#include "run/inside.h"

#include <math.h>

#define INSET_MM 1.5  // an etched bend line keeps off the blank's edge
#define END_MM   12.7 // 1/2 in: how much of a bend line is etched where all of it would harm
#define LEAST_MM 4.0  // a shorter bend line isn't etched

void run_bend_marks(struct kw_week *w, const struct kw_make *make, struct kw_move2 m,
                    struct kw_cut_line **marks, int *count) {
    double nick = w->shop->marking.way == KW_MARK_NICKS ? w->shop->table.nick : 0;
    const struct kw_body *body = make->what->body;
    for (int b = 0; nick > 0 && body && b < body->bend_count; b++) {
        struct kw_vec2 from, to;
        kw_body_bend_line(body, b, make->hand == KW_RIGHT_HAND, &from, &to);
        double length = kw_length2(kw_sub2(to, from));
        if (length < 4 * nick || body->bends[b].kind == KW_BEND_HAND) continue; // slits show it
        struct kw_vec2 step = kw_scale2(kw_sub2(to, from), nick / length);
        KW_PUSH(w->arena, *marks, *count) =
            (struct kw_cut_line){kw_move2_point(m, from), kw_move2_point(m, kw_add2(from, step))};
        KW_PUSH(w->arena, *marks, *count) =
            (struct kw_cut_line){kw_move2_point(m, to), kw_move2_point(m, kw_sub2(to, step))};
    }
}

// ---------------------------------------------------------------------------------------- etching

static void add_line(struct kw_week *w, struct kw_make *make, struct kw_vec2 from,
                     struct kw_vec2 to) {
    struct kw_path line = {.open = true};
    kw_path_add(w->arena, &line, from.x, from.y, 0, 0);
    kw_path_add(w->arena, &line, to.x, to.y, 0, 0);
    KW_PUSH(w->arena, make->etches, make->etch_count) = line;
}

// The etched face is inside of a bend up, and its whole line may be etched. Of a bend down it is
// the outside, which stretches: a scratch along it is where a crack begins (common practice, no
// source), so that only its ends are.
static void add_bend_line(struct kw_week *w, struct kw_make *make, int bend) {
    const struct kw_body *body = make->what->body;
    struct kw_vec2 from, to;
    kw_body_bend_line(body, bend, make->hand == KW_RIGHT_HAND, &from, &to);
    double length = kw_length2(kw_sub2(to, from)) - 2 * INSET_MM;
    if (length < LEAST_MM || body->bends[bend].kind == KW_BEND_HAND) return; // slits show it
    struct kw_vec2 u = kw_scale2(kw_sub2(to, from), 1 / kw_length2(kw_sub2(to, from)));
    from = kw_add2(from, kw_scale2(u, INSET_MM));
    to = kw_sub2(to, kw_scale2(u, INSET_MM));
    if (body->bends[bend].way == KW_UP || length < 3 * END_MM) {
        add_line(w, make, from, to);
        return;
    }
    add_line(w, make, from, kw_add2(from, kw_scale2(u, END_MM)));
    add_line(w, make, kw_sub2(to, kw_scale2(u, END_MM)), to);
}

void run_make_etches(struct kw_week *w, struct kw_make *make) {
    const struct kw_body *body = make->what->body;
    if (!body || w->shop->marking.way != KW_MARK_ETCH) return;
    int count;
    struct kw_path *v = kw_body_marks(w->arena, body, make->hand == KW_RIGHT_HAND, &count);
    for (int i = 0; i < count; i++)
        KW_PUSH(w->arena, make->etches, make->etch_count) = v[i];
    for (int b = 0; b < body->bend_count; b++)
        add_bend_line(w, make, b);
}

void run_place_etches(struct kw_week *w, const struct kw_make *make, struct kw_move2 m, int part,
                      struct kw_cut_etch **etches, int *count) {
    for (int i = 0; i < make->etch_count; i++)
        KW_PUSH(w->arena, *etches, *count) =
            (struct kw_cut_etch){kw_path_moved(w->arena, &make->etches[i], m), part};
}
