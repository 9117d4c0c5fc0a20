// SPDX-License-Identifier: Apache-2.0
// How long the moves take. The table speeds up and slows down by its acceleration along the way,
// takes an arc no faster than the same acceleration sideways allows, and a corner no faster than
// its corner speed in proportion: a corner of 90 degrees at the corner speed, a sharper one slower,
// so that the jump of the velocity is the same at all corners. It looks ahead over all moves until
// the torch goes off.
#include "cut/job.h"

#include <math.h>

#define SMOOTH 1e-3 // radians: no corner at all

// The table can't take an arc faster than its sideways acceleration allows.
static double top_speed(const struct kw_cut_move *m, double acceleration) {
    double radius = kw_segment_make(m->from, m->to, m->bulge).radius;
    return radius > 0 ? fmin(m->feed, sqrt(acceleration * radius)) : m->feed;
}

static bool stands_before(const struct kw_cut_move *a, const struct kw_cut_move *b) {
    return a->kind == KW_CUT_RAPID || b->kind == KW_CUT_RAPID || a->kind == KW_CUT_PIERCE ||
           b->kind == KW_CUT_PIERCE || a->kind == KW_CUT_SCRIBE || b->kind == KW_CUT_SCRIBE ||
           a->contour != b->contour;
}

double cut_corner_turn(const struct kw_cut_move *a, const struct kw_cut_move *b) {
    struct kw_vec2 d = kw_segment_direction(kw_segment_make(a->from, a->to, a->bulge), 1);
    struct kw_vec2 e = kw_segment_direction(kw_segment_make(b->from, b->to, b->bulge), 0);
    return fabs(atan2(kw_cross2(d, e), kw_dot2(d, e)));
}

static double corner_speed(const struct cut_job *j, const struct kw_cut_move *a,
                           const struct kw_cut_move *b) {
    if (stands_before(a, b)) return 0;
    double turn = cut_corner_turn(a, b);
    if (turn < SMOOTH) return INFINITY;
    return j->controller->corner_speed * sin(KW_PI / 4) / sin(turn / 2);
}

// Over `length` from speed `from` to speed `to`, at most `most` on the way.
static double time_between(double length, double from, double to, double most, double a) {
    double peak = fmin(most, sqrt((from * from + to * to) / 2 + a * length));
    double ramps = (2 * peak * peak - from * from - to * to) / (2 * a);
    return (2 * peak - from - to) / a + fmax(length - ramps, 0) / peak;
}

// The moves first..end-1 run without a stand: speeds at their borders by looking ahead, then back.
static double time_stretch(struct cut_job *j, int first, int end, double *speed) {
    struct kw_cut_move *m = j->plan->moves;
    double a = j->controller->acceleration, total = 0;
    speed[end] = 0;
    for (int i = end - 1; i >= first; i--) {
        double limit = i > first ? corner_speed(j, &m[i - 1], &m[i]) : 0;
        limit = fmin(limit, top_speed(&m[i], a));
        if (i > first) limit = fmin(limit, top_speed(&m[i - 1], a));
        speed[i] = fmin(limit, sqrt(speed[i + 1] * speed[i + 1] + 2 * a * m[i].length));
    }
    for (int i = first; i < end; i++) {
        double reached = sqrt(speed[i] * speed[i] + 2 * a * m[i].length);
        speed[i + 1] = fmin(speed[i + 1], reached);
        m[i].time = time_between(m[i].length, speed[i], speed[i + 1], top_speed(&m[i], a), a);
        total += m[i].time;
    }
    return total;
}

void cut_time_moves(struct cut_job *j) {
    struct kw_cut_plan *plan = j->plan;
    const struct kw_cut_controller *c = j->controller;
    double lift = c->moves_height ? 2 * c->travel_height / c->rapid : 0;
    double *speed = KW_NEW_ARRAY(j->scratch, double, plan->move_count + 1);
    for (int i = 0, end; i < plan->move_count; i = end) {
        struct kw_cut_move *m = &plan->moves[i];
        end = i + 1;
        if (m->kind == KW_CUT_PIERCE) {
            m->time = j->rule->pierce_delay + c->height_finding + lift;
            plan->cut_time += m->time;
            continue;
        }
        if (m->kind == KW_CUT_SCRIBE) {
            m->time = c->scribe_delay;
            plan->cut_time += m->time;
            continue;
        }
        while (end < plan->move_count && !stands_before(&plan->moves[end - 1], &plan->moves[end]))
            end++;
        plan->cut_time += time_stretch(j, i, end, speed);
    }
}
