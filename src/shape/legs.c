// SPDX-License-Identifier: Apache-2.0
// Legs of bends: from each bend to the next bend or edge on either side.
#include "shape/layout.h"

/// A flange's own end, leaning in or rounded: it does not end the leg.
static bool is_end(const struct kw_vertex *v) {
    return v->tag == SIDE_TAG || (v->tag == OUTER_EDGE_TAG && v->bulge != 0);
}

/// Where the ray from `foot` along unit `in` meets segment i, nearest first; infinite: it misses.
static double meets(const struct kw_path *p, int i, struct kw_vec2 foot, struct kw_vec2 in) {
    const struct kw_vertex *v = &p->v[i], *w = &p->v[i + 1 < p->count ? i + 1 : 0];
    struct kw_vec2 a = kw_sub2(kw_v2(v->x, v->y), foot), b = kw_sub2(kw_v2(w->x, w->y), foot);
    double aside[2] = {kw_cross2(in, a), kw_cross2(in, b)}, first = INFINITY;
    if (v->bulge == 0) {
        if (aside[0] * aside[1] > 0 || aside[0] == aside[1]) return INFINITY;
        double t = aside[0] / (aside[0] - aside[1]);
        double d = kw_dot2(a, in) + t * kw_dot2(kw_sub2(b, a), in);
        return d > 0 ? d : INFINITY;
    }
    struct kw_segment arc = kw_path_segment(p, i);
    if (fabs(kw_cross2(in, kw_sub2(arc.centre, foot))) > arc.radius) return INFINITY;
    struct kw_segment line = kw_segment_make(foot, kw_add2(foot, kw_scale2(in, 2 * KW_MOST_MM)), 0);
    struct kw_vec2 q[2];
    for (int m = kw_segment_crossings(arc, line, q) - 1; m >= 0; m--)
        first = fmin(first, kw_dot2(kw_sub2(q[m], foot), in));
    return first;
}

/// How far the outline lies from `foot` along `in`, and the segment there; segment `from` and ends
/// of flanges are passed over.
static double ray(const struct kw_path *p, int from, struct kw_vec2 foot, struct kw_vec2 in,
                  int *at) {
    double first = INFINITY;
    for (int i = 0; i < p->count; i++) {
        if (i == from || is_end(&p->v[i])) continue;
        double d = meets(p, i, foot, in);
        if (d < first) first = d, *at = i;
    }
    return first;
}

/// How far the flat reaches from the tangent line of `bend`, shortest of places along it (the first
/// and last twentieth are passed over); *next is the bend it ends at, -1.
static double reach(const struct kw_body *body, int bend, int face, int *next) {
    const struct kw_path *p = &body->faces[face].shape.outer;
    double best = INFINITY;
    int from = 0;
    while (p->v[from].tag != KW_TANGENT_TAG + bend)
        from++;
    struct kw_segment line = kw_path_segment(p, from);
    struct kw_vec2 in = kw_left2(kw_segment_direction(line, 0.5)); // the metal is on the left
    *next = -1;
    for (int k = 0; k <= 36; k++) {
        int at = -1;
        double first = ray(p, from, kw_segment_point(line, 0.05 + 0.9 * k / 36), in, &at);
        if (!(first < best - 1e-9)) continue;
        best = first;
        *next = p->v[at].tag >= KW_TANGENT_TAG ? p->v[at].tag - KW_TANGENT_TAG : -1;
    }
    if (!isinf(best)) return best;
    best = 0; // an outer edge so short that no ray meets it
    for (int i = 0; i < p->count; i++)
        best = fmax(best, kw_dot2(kw_sub2(kw_v2(p->v[i].x, p->v[i].y), line.a), in));
    return best;
}

void shape_legs(struct kw_body *body) {
    for (int i = 0; i < body->bend_count; i++) {
        struct kw_bend *b = &body->bends[i];
        for (int side = 0; side < 2; side++) {
            int next;
            double flat = reach(body, i, side == 0 ? b->parent : b->child, &next);
            const struct kw_bend *n = next >= 0 ? &body->bends[next] : NULL;
            b->legs[side] = b->setback + flat + (n ? n->setback : 0);
            b->flat_legs[side] = b->allowance / 2 + flat + (n ? n->allowance / 2 : 0);
        }
    }
}
