// SPDX-License-Identifier: Apache-2.0
// Where can't the torch follow an outline? Along a shaded stretch a torch that touched the outline
// would cut into it elsewhere. That is right in an inside corner, which comes out rounded to half a
// kerf, and wrong in a slot or neck narrower than the kerf.
#include "cut/job.h"

#include <math.h>

#define SHADE_SLACK 1e-3
// Metal left in a square inside corner: half a kerf times sqrt 2 from the torch's centre.
#define SQUARE_CORNER 1.41422
// Notches under about 20 degrees are slots: 1 / sin(10.3 deg).
#define SHARPEST_CORNER 5.6
#define OUTWARD_SLIP    0.03 // radians

struct spot {               // on the outline
    struct kw_vec2 at, out; ///< out: towards the scrap
    double turn;            ///< outward turning since the spot before, radians
    double reach;           ///< to the nearest kerf line
    bool shaded;
};

struct probe {
    struct cut_job *j;
    const struct cut_outline *o;
    double side; ///< +1: scrap on the right
    struct spot *v;
    int count;
    struct cut_edge *line; ///< segments of the kerf lines
    int line_count;
    int *near_own, *near_line; ///< indices for the edge in hand
};

static int near_edges(const struct cut_edge *v, int n, struct kw_box2 box, double reach, int *out) {
    int count = 0;
    for (int i = 0; i < n; i++)
        if (cut_box_gap(v[i].box, box) <= reach) out[count++] = i;
    return count;
}

static double nearest(const struct cut_edge *v, const int *list, int n, struct kw_vec2 p) {
    double best = INFINITY;
    for (int i = 0; i < n; i++)
        best = fmin(best, kw_segment_distance(v[list[i]].s, p));
    return best;
}

static void probe_edge(struct probe *p, int edge, struct kw_vec2 *before) {
    const struct cut_edge *e = &p->o->edges[edge];
    double half = p->j->half, length = kw_segment_length(e->s);
    int own = near_edges(p->o->edges, p->o->edge_count, e->box, 2.1 * half, p->near_own);
    int line = near_edges(p->line, p->line_count, e->box, 7 * half, p->near_line);
    int n = (int)ceil(length / (half / 4)) + 1;
    for (int i = 0; i <= n; i++) {
        struct spot s = {0};
        struct kw_vec2 d = kw_segment_direction(e->s, (double)i / n);
        s.at = kw_segment_point(e->s, (double)i / n);
        s.out = kw_scale2(kw_left2(d), -p->side);
        s.turn = p->side * atan2(kw_cross2(*before, d), kw_dot2(*before, d));
        struct kw_vec2 torch = kw_add2(s.at, kw_scale2(s.out, half));
        s.shaded = nearest(p->o->edges, p->near_own, own, torch) < half - SHADE_SLACK;
        s.reach = s.shaded ? nearest(p->line, p->near_line, line, s.at) : half;
        *before = d;
        KW_PUSH(p->j->scratch, p->v, p->count) = s;
    }
}

// Across the scrap to the other side of the same outline.
static double width_at(const struct probe *p, struct kw_vec2 at, struct kw_vec2 out) {
    double most = 4 * p->j->half, best = INFINITY;
    struct kw_vec2 far = kw_add2(at, kw_scale2(out, most)), hit[2];
    struct kw_segment ray = kw_segment_make(at, far, 0);
    for (int i = 0; i < p->o->edge_count; i++) {
        int n = kw_segment_crossings(ray, p->o->edges[i].s, hit);
        for (int k = 0; k < n; k++) {
            double d = kw_length2(kw_sub2(hit[k], at));
            if (d > 1e-4) best = fmin(best, d);
        }
    }
    return best;
}

// The shaded spots first .. first + n - 1 (counted round): a corner, or a problem?
static bool judge_stretch(struct probe *p, int first, int n) {
    double outward = 0, reach = 0, width = 2 * p->j->half;
    struct kw_vec2 at = p->v[first].at;
    for (int k = 0; k <= n; k++) {
        const struct spot *s = &p->v[(first + k) % p->count];
        outward += fmax(s->turn, 0);
        if (k < n) reach = fmax(reach, s->reach);
    }
    if (reach <= p->j->half * SQUARE_CORNER + 0.01) return true;
    if (outward <= OUTWARD_SLIP && reach <= p->j->half * SHARPEST_CORNER) return true;
    for (int k = 0; k < n; k++) {
        const struct spot *s = &p->v[(first + k) % p->count];
        double w = width_at(p, s->at, s->out);
        if (w < width) {
            width = w;
            at = kw_add2(s->at, kw_scale2(s->out, w / 2));
        }
    }
    cut_problem(p->j, (struct kw_cut_problem){.kind = KW_CUT_SLOT_NARROW,
                                              .unwritable = true,
                                              .part = p->o->part,
                                              .hole = p->o->hole,
                                              .at = at,
                                              .measured = width,
                                              .limit = 2 * p->j->half});
    return false;
}

static bool judge_spots(struct probe *p) {
    int start = 0;
    while (start < p->count && p->v[start].shaded)
        start++;
    if (start == p->count) return judge_stretch(p, 0, p->count);
    for (int k = 1; k < p->count;) {
        int i = (start + k) % p->count, n = 0;
        while (n < p->count && p->v[(i + n) % p->count].shaded)
            n++;
        if (n > 0 && !judge_stretch(p, i, n)) return false;
        k += n + 1;
    }
    return true;
}

void cut_narrow(struct cut_job *j, const struct cut_outline *o, const struct kw_path *lines,
                int count) {
    struct probe p = {.j = j, .o = o};
    p.side = (kw_path_area(o->path) > 0) == (o->hole < 0) ? 1 : -1;
    for (int i = 0; i < count; i++) {
        for (int k = 0; k < kw_path_segments(&lines[i]); k++) {
            struct kw_segment s = kw_path_segment(&lines[i], k);
            KW_PUSH(j->scratch, p.line, p.line_count) =
                (struct cut_edge){.s = s, .box = cut_segment_box(s)};
        }
    }
    p.near_own = KW_NEW_ARRAY(j->scratch, int, o->edge_count);
    p.near_line = KW_NEW_ARRAY(j->scratch, int, p.line_count);
    struct kw_vec2 before = kw_segment_direction(o->edges[o->edge_count - 1].s, 1);
    for (int i = 0; i < o->edge_count; i++)
        probe_edge(&p, i, &before);
    if (!judge_spots(&p) || count == 1) return;
    // Torn into several although no stretch is bad: a neck of just under a kerf.
    struct kw_box2 b = kw_path_box(&lines[1]);
    cut_problem(j, (struct kw_cut_problem){.kind = KW_CUT_SLOT_NARROW,
                                           .unwritable = true,
                                           .part = o->part,
                                           .hole = o->hole,
                                           .at = kw_lerp2(b.min, b.max, 0.5),
                                           .measured = 2 * j->half,
                                           .limit = 2 * j->half});
}
