// SPDX-License-Identifier: Apache-2.0
// Predicted times against a simulation in fine steps of the same rules of motion: the way is cut
// into steps of 0.01 mm, curvature and corners are measured from their positions.
#include "cut_help.h"

#include <math.h>
#include <stdlib.h>

#define STEP 0.01

struct track {
    struct kw_vec2 *at;
    double *most, *length; ///< speed at a place; way to the next
    int count;
};

static void add_place(struct track *t, struct kw_vec2 at, double most) {
    if (t->count % 4096 == 0) {
        size_t n = (size_t)t->count + 4096;
        t->at = realloc(t->at, n * sizeof *t->at);
        t->most = realloc(t->most, n * sizeof *t->most);
        t->length = realloc(t->length, n * sizeof *t->length);
    }
    t->at[t->count] = at;
    t->most[t->count++] = most;
}

static void limit_turns(struct track *t, const struct kw_cut_controller *c) {
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

static double run_track(struct track *t, double a) {
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

static double simulate(const struct desk *d) {
    double time = 0;
    for (int i = 0; i < d->plan.move_count;) {
        const struct kw_cut_move *m = &d->plan.moves[i];
        struct track t = {0};
        if (m->kind == KW_CUT_PIERCE) {
            time += d->rule.pierce_delay;
            i++;
            continue;
        }
        add_place(&t, m->from, m->feed);
        for (bool first = true; i < d->plan.move_count; first = false, i++) {
            const struct kw_cut_move *n = &d->plan.moves[i];
            if (n->kind == KW_CUT_PIERCE || (!first && n->kind == KW_CUT_RAPID)) break;
            if (!first && d->plan.moves[i - 1].kind == KW_CUT_RAPID) break;
            struct kw_segment s = kw_segment_make(n->from, n->to, n->bulge);
            int steps = (int)ceil(n->length / STEP);
            t.most[t.count - 1] = fmin(t.most[t.count - 1], n->feed);
            for (int k = 1; k <= steps; k++)
                add_place(&t, kw_segment_point(s, (double)k / steps), n->feed);
        }
        limit_turns(&t, &d->controller);
        time += run_track(&t, d->controller.acceleration);
        free(t.at);
        free(t.most);
        free(t.length);
    }
    return time;
}

Test(cut_time, prediction_is_within_one_percent_of_fine_steps) {
    static const double corner[] = {0, 5, 12, 40}, feeds[] = {20, 60, 150};
    for (int i = 0; i < 12; i++) {
        struct desk d;
        desk_open(&d);
        d.rule.feed = feeds[i % 3];
        d.controller.corner_speed = corner[i / 3];
        d.controller.acceleration = 400 + 300 * i;
        d.rule.hole_feed_below = 30;
        d.rule.overburn = 2;
        struct kw_region *r = desk_part(&d, "a#1", desk_box(&d, 50, 50, 250, 150));
        desk_hole(&d, r, kw_path_circle(&d.arena, 80, 90, 4, false, 0));
        desk_hole(&d, r, desk_box(&d, 110, 80, 140, 120));
        const double v[][3] = {{300, 50, 0},  {400, 50, 0.4},   {420, 90, 0}, {360, 95, 0},
                               {405, 140, 0}, {380, 150, -0.2}, {310, 160, 0}};
        desk_part(&d, "b#1", desk_path(&d, v, 7));
        desk_plan(&d);
        double slow = simulate(&d);
        cr_expect(fabs(d.plan.cut_time - slow) < 0.01 * slow, "case %d: %.4f s, %.4f s in steps", i,
                  d.plan.cut_time, slow);
        kw_arena_free(&d.arena);
    }
}
