// SPDX-License-Identifier: Apache-2.0
// The path at a distance from a path. Every point of it is at distance |d| from the source and no
// point is nearer; so all candidates are made, cut at all crossings, and tested against the source.
// Winding rules and local repair are not used: they fail where arcs vanish or slots close.
#include "geom/offset.h"
#include "geom/units.h"

#include <stdlib.h>

// A kept piece may be nearer than |d| by this, for rounding: half of what the header promises.
#define SLACK_MM 5e-8

struct cut {
    int curve;
    double t;
    struct kw_vec2 at;
};

struct cuts {
    struct kw_arena *arena;
    struct cut *v;
    int count;
};

// -------------------------------------------------------------------------------------------
// curves

static void add_curve(struct kw_arena *a, struct kw_offset_work *w, struct kw_segment s, int tag) {
    KW_PUSH(a, w->curves, w->curve_count) = (struct kw_offset_curve){s, kw_segment_box(s), tag};
}

static struct kw_vec2 shifted(struct kw_vec2 p, struct kw_vec2 direction, double d) {
    return kw_add2(p, kw_scale2(kw_left2(direction), d));
}

// Where the corner opens towards the offset side, an arc about it joins the two shifted segments.
static void add_corner(struct kw_arena *a, struct kw_offset_work *w, struct kw_segment before,
                       struct kw_segment after, double d, int tag) {
    struct kw_vec2 in = kw_segment_direction(before, 1), out = kw_segment_direction(after, 0);
    double turn = atan2(kw_cross2(in, out), kw_dot2(in, out));
    // Straight back: which way is decided by rounding, so the open side is taken.
    if (fabs(turn) > KW_PI - 1e-9) turn = d > 0 ? -KW_PI : KW_PI;
    if (!(turn * d < 0) || !(fabs(turn * d) > KW_NODE_MM)) return;
    struct kw_segment arc =
        kw_segment_make(shifted(after.a, in, d), shifted(after.a, out, d), tan(turn / 4));
    add_curve(a, w, arc, tag);
}

// An arc whose radius is used up leaves nothing: the points beyond its centre are too near.
static void add_shifted(struct kw_arena *a, struct kw_offset_work *w, struct kw_segment s, double d,
                        int tag) {
    if (s.radius > 0 && !((s.sweep > 0 ? s.radius - d : s.radius + d) > 1e-9)) return;
    struct kw_vec2 from = shifted(s.a, kw_segment_direction(s, 0), d);
    struct kw_vec2 to = shifted(s.b, kw_segment_direction(s, 1), d);
    add_curve(a, w, kw_segment_make(from, to, s.bulge), tag);
}

static void make_curves(struct kw_arena *a, struct kw_offset_work *w,
                        const struct kw_offset_curve *source, int n, double d) {
    for (int i = 0; i < n; i++) {
        const struct kw_offset_curve *before = &source[i > 0 ? i - 1 : n - 1];
        add_corner(a, w, before->s, source[i].s, d, before->tag);
        add_shifted(a, w, source[i].s, d, source[i].tag);
    }
}

// ---------------------------------------------------------------------------------------------
// cuts

static void add_cut(struct cuts *c, int curve, struct kw_segment s, struct kw_vec2 at) {
    KW_PUSH(c->arena, c->v, c->count) = (struct cut){curve, kw_segment_nearest(s, at), at};
}

// An end of t that lies on s cuts s: curves that run along each other have no crossings.
static void cut_at_ends(struct cuts *c, int curve, struct kw_segment s, struct kw_segment t) {
    if (kw_segment_distance(s, t.a) <= KW_NODE_MM) add_cut(c, curve, s, t.a);
    if (kw_segment_distance(s, t.b) <= KW_NODE_MM) add_cut(c, curve, s, t.b);
}

static void cut_pair(struct cuts *c, const struct kw_offset_work *w, int i, int j) {
    struct kw_segment s = w->curves[i].s, t = w->curves[j].s;
    struct kw_vec2 at[2];
    int n = kw_segment_meet(s, t, KW_NODE_MM, at);
    for (int k = 0; k < n; k++) {
        add_cut(c, i, s, at[k]);
        add_cut(c, j, t, at[k]);
    }
    cut_at_ends(c, i, s, t);
    cut_at_ends(c, j, t, s);
}

struct left_end {
    double x;
    int curve;
};

static int by_left(const void *a, const void *b) {
    const struct left_end *p = a, *q = b;
    if (p->x != q->x) return p->x < q->x ? -1 : 1;
    return (p->curve > q->curve) - (p->curve < q->curve);
}

// All pairs of curves whose boxes meet, in order of their left ends.
static void cut_all(struct cuts *c, const struct kw_offset_work *w) {
    int n = w->curve_count;
    struct left_end *order = KW_NEW_ARRAY(c->arena, struct left_end, n);
    for (int i = 0; i < n; i++)
        order[i] = (struct left_end){w->curves[i].box.min.x, i};
    qsort(order, (size_t)n, sizeof *order, by_left);
    for (int i = 0; i < n; i++) {
        const struct kw_offset_curve *p = &w->curves[order[i].curve];
        add_cut(c, order[i].curve, p->s, p->s.a);
        KW_PUSH(c->arena, c->v, c->count) = (struct cut){order[i].curve, 1, p->s.b};
        for (int j = i + 1; j < n && order[j].x <= p->box.max.x + KW_NODE_MM; j++) {
            const struct kw_box2 *b = &w->curves[order[j].curve].box;
            if (b->min.y > p->box.max.y + KW_NODE_MM || b->max.y < p->box.min.y - KW_NODE_MM)
                continue;
            cut_pair(c, w, order[i].curve, order[j].curve);
        }
    }
}

static int by_place(const void *a, const void *b) {
    const struct cut *p = a, *q = b;
    if (p->curve != q->curve) return p->curve < q->curve ? -1 : 1;
    if (p->t != q->t) return p->t < q->t ? -1 : 1;
    if (p->at.x != q->at.x) return p->at.x < q->at.x ? -1 : 1;
    return (p->at.y > q->at.y) - (p->at.y < q->at.y);
}

// --------------------------------------------------------------------------------------------
// pieces

static bool far_enough(const struct kw_offset_curve *source, int n, struct kw_vec2 p,
                       double distance) {
    for (int i = 0; i < n; i++) {
        const struct kw_box2 *b = &source[i].box;
        if (b->min.x - p.x >= distance || p.x - b->max.x >= distance ||
            b->min.y - p.y >= distance || p.y - b->max.y >= distance)
            continue;
        if (kw_segment_distance(source[i].s, p) < distance) return false;
    }
    return true;
}

// Between two cuts a curve is far enough all along or nowhere: its middle decides.
static void keep_pieces(struct kw_arena *a, struct kw_offset_work *w, struct cuts *c,
                        const struct kw_offset_curve *source, int n, double d) {
    if (c->count > 0) qsort(c->v, (size_t)c->count, sizeof *c->v, by_place);
    for (int i = 0; i + 1 < c->count; i++) {
        const struct cut *from = &c->v[i], *to = from + 1;
        if (from->curve != to->curve || !(to->t > from->t)) continue;
        struct kw_segment s = w->curves[from->curve].s;
        struct kw_vec2 middle = kw_segment_point(s, (from->t + to->t) / 2);
        if (!far_enough(source, n, middle, fabs(d) - SLACK_MM)) continue;
        KW_PUSH(a, w->pieces, w->piece_count) =
            (struct kw_offset_piece){from->curve, from->t, to->t, from->at, to->at};
    }
}

// What lies on the inside of a simple path can't go round a hole: loops of the other orientation
// there are rounding.
static void drop_reversed(struct kw_path *loops, int *count, bool ccw) {
    int kept = 0;
    for (int i = 0; i < *count; i++)
        if ((kw_path_area(&loops[i]) > 0) == ccw) loops[kept++] = loops[i];
    *count = kept;
}

static struct kw_path *offset_once(struct kw_arena *a, const struct kw_path *p, double d,
                                   int *count, bool *strayed) {
    struct kw_arena scratch = {0};
    int n = p->count;
    struct kw_offset_curve *source = KW_NEW_ARRAY(&scratch, struct kw_offset_curve, n);
    for (int i = 0; i < n; i++) {
        struct kw_segment s = kw_path_segment(p, i);
        source[i] = (struct kw_offset_curve){s, kw_segment_box(s), p->v[i].tag};
    }
    struct kw_offset_work w = {.region_left = d > 0};
    struct cuts c = {.arena = &scratch};
    make_curves(&scratch, &w, source, n, d);
    cut_all(&c, &w);
    keep_pieces(&scratch, &w, &c, source, n, d);
    struct kw_path *loops = kw_offset_loops(a, &w, count);
    *strayed = w.strayed;
    kw_arena_free(&scratch);
    bool ccw = kw_path_area(p) > 0;
    if (ccw == (d > 0)) drop_reversed(loops, count, ccw);
    return loops;
}

static bool are_outlines(const struct kw_path *loops, int count) {
    for (int i = 0; i < count; i++)
        if (kw_path_check(&loops[i], (struct kw_place){0}, NULL) != KW_OK) return false;
    return true;
}

// Just before a passage closes (or an arc vanishes) its sides are nearer to each other than two
// points may be. A little farther out it has closed: NUDGE_MM is less than the 1e-6 mm that
// the result may be off, and errs to the side where nothing is cut away.
#define NUDGE_MM 9e-7

struct kw_path *kw_path_offset(struct kw_arena *a, const struct kw_path *p, double d, int *count) {
    *count = 0;
    if (p->open || p->count < 2 || !isfinite(d)) return NULL;
    if (fabs(d) <= KW_NODE_MM) {
        struct kw_path *same = NULL;
        KW_PUSH(a, same, *count) = kw_path_copy(a, p);
        return same;
    }
    bool strayed;
    struct kw_path *loops = offset_once(a, p, d, count, &strayed);
    if (!strayed && are_outlines(loops, *count)) return loops;
    return offset_once(a, p, d + copysign(NUDGE_MM, d), count, &strayed);
}
