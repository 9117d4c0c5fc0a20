// SPDX-License-Identifier: Apache-2.0
// The time of a plan's moves, s, by a simulation in fine steps of the same rules of motion: the way
// is cut into steps of 0.01 mm, curvature and corners are measured from their positions. Height
// finding and lifts are left out. For the bench and the tests of cut alike.
#pragma once

#include "cut/cut.h"

#include <math.h>
#include <stdlib.h>

#define FINE_STEP 0.01

struct track {
    struct kw_vec2 *at;
    double *most, *length; ///< speed at a place; way to the next
    int count;
};

static inline void add_place(struct track *t, struct kw_vec2 at, double most) {
    if (t->count % 4096 == 0) {
        size_t n = (size_t)t->count + 4096;
        t->at = realloc(t->at, n * sizeof *t->at);
        t->most = realloc(t->most, n * sizeof *t->most);
        t->length = realloc(t->length, n * sizeof *t->length);
    }
    t->at[t->count] = at;
    t->most[t->count++] = most;
}

static inline void limit_turns(struct track *t, const struct kw_cut_controller *c) {
    for (int i = 1; i + 1 < t->count; i++) {
        struct kw_vec2 d = kw_sub2(t->at[i], t->at[i - 1]), e = kw_sub2(t->at[i + 1], t->at[i]);
        double turn = fabs(atan2(kw_cross2(d, e), kw_dot2(d, e)));
        double way = (kw_length2(d) + kw_length2(e)) / 2;
        double corner = c->corner_speed * sin(KW_PI / 4) / sin(turn / 2);
        double curve = sqrt(c->acceleration * way / turn);
        if (turn > 0.1) t->most[i] = fmin(t->most[i], corner);
        if (turn > 1e-5 && turn <= 0.1) t->most[i] = fmin(t->most[i], curve);
    }
    t->most[0] = t->most[t->count - 1] = 0;
}

static inline double run_track(struct track *t, double a) {
    double time = 0;
    for (int i = 0; i + 1 < t->count; i++)
        t->length[i] = kw_length2(kw_sub2(t->at[i + 1], t->at[i]));
    for (int i = t->count - 2; i >= 0; i--)
        t->most[i] = fmin(t->most[i], sqrt(t->most[i + 1] * t->most[i + 1] + 2 * a * t->length[i]));
    for (int i = 0; i + 1 < t->count; i++) {
        double reach = sqrt(t->most[i] * t->most[i] + 2 * a * t->length[i]);
        t->most[i + 1] = fmin(t->most[i + 1], reach);
        time += 2 * t->length[i] / (t->most[i] + t->most[i + 1]);
    }
    return time;
}

static inline double fine_steps(const struct kw_cut_plan *plan, const struct kw_cut_controller *c) {
    double time = 0;
    for (int i = 0; i < plan->move_count;) {
        const struct kw_cut_move *m = &plan->moves[i];
        struct track t = {0};
        if (m->kind == KW_CUT_PIERCE) {
            time += plan->rule.pierce_delay;
            i++;
            continue;
        }
        add_place(&t, m->from, m->feed);
        for (bool first = true; i < plan->move_count; first = false, i++) {
            const struct kw_cut_move *n = &plan->moves[i];
            if (n->kind == KW_CUT_PIERCE || (!first && n->kind == KW_CUT_RAPID)) break;
            if (!first && plan->moves[i - 1].kind == KW_CUT_RAPID) break;
            struct kw_segment s = kw_segment_make(n->from, n->to, n->bulge);
            int steps = (int)ceil(n->length / FINE_STEP);
            t.most[t.count - 1] = fmin(t.most[t.count - 1], n->feed);
            for (int k = 1; k <= steps; k++)
                add_place(&t, kw_segment_point(s, (double)k / steps), n->feed);
        }
        limit_turns(&t, c);
        time += run_track(&t, c->acceleration);
        free(t.at);
        free(t.most);
        free(t.length);
    }
    return time;
}
