// SPDX-License-Identifier: Apache-2.0
// Weld seams: where a straight edge of one piece lies on a face of another; their size and
// stitches. Edges of the blanks that matter to whoever cuts and gauges them.
//
// Sizes: sheet under 3/16 in: leg = the thinner sheet, stitches of 1 in every 4 in (common
// practice, no source); from 3/16 in on the least fillet of AWS D1.1 by the thinner part, run full
// length: to 1/4 in 1/8, to 1/2 in 3/16, to 3/4 in 1/4, above 5/16 in (T inclusive at the thin
// side). Gap allowed: 1/32 in or half the thinner sheet, whichever is less (common practice, no
// source).
#include "shape/stand.h"

#define IN            KW_MM_PER_IN
#define SEEK_MM       3.0 // an edge further from a face than this is no seam
#define STEP_MM       1.0 // places at which an edge is looked at
#define LEAST_SEAM_MM 6.0
#define MOST_LEAN     0.34 // sine: an edge that leans more goes through the face, not along it

static double fillet_of(double thinner) {
    static const double table[][2] = {{.25, .125}, {.5, .1875}, {.75, .25}, {1e9, .3125}};
    if (thinner < 3 * IN / 16 - 1e-6) return thinner;
    for (int i = 0;; i++)
        if (thinner <= table[i][0] * IN + 1e-6) return table[i][1] * IN;
}

static void size_seam(struct kw_seam *s, double thinner) {
    const struct kw_weld *w = s->weld;
    s->size = w->size > 0 ? w->size : fillet_of(thinner);
    s->stitch = w->stitch;
    s->every = w->every;
    if (!(s->stitch > 0) && thinner < 3 * IN / 16 - 1e-6) {
        s->stitch = IN;
        s->every = 4 * IN;
    }
    if (s->stitch > 0 && s->length <= s->every) s->stitch = fmin(s->stitch, s->length);
    s->stitches =
        s->stitch > 0 ? (int)fmax(2, floor((s->length - s->stitch) / s->every + 1e-9) + 1) : 1;
    if (s->stitch > 0 && s->length < 2 * s->stitch) s->stitches = 1, s->stitch = s->length;
}

/// One straight edge of a piece, in its face's frame.
struct edge {
    int piece, face, segment; // segment of the blank's outline, -1 not found
    struct kw_vec2 a, b;
};

/// Distance of a point of the edge (both corners of the sheet looked at) from the metal of a face
/// of another piece; large when it lies beside that face.
static double gap_at(const struct assembling *g, const struct edge *e, double s, int piece,
                     int face) {
    const struct kw_body *body = g->bodies[g->out->pieces[e->piece].part];
    const struct kw_body *other = g->bodies[g->out->pieces[piece].part];
    struct kw_vec2 p = kw_lerp2(e->a, e->b, s);
    double best = INFINITY;
    for (int i = 0; i < 2; i++) {
        struct kw_vec3 q =
            kw_move3_point(g->folds[e->piece][e->face], kw_v3(p.x, p.y, i ? -body->thickness : 0));
        q = stand_back(g->folds[piece][face], q);
        double off = q.z > 0 ? q.z : q.z < -other->thickness ? -other->thickness - q.z : 0;
        struct kw_vec2 flat = kw_v2(q.x, q.y);
        const struct kw_path *outer = &other->faces[face].shape.outer;
        if (!kw_path_contains(outer, flat)) off = hypot(off, kw_path_distance(outer, flat));
        if (off < best) best = off;
    }
    return best;
}

/// A run of places along an edge.
struct run {
    int first, last; // last < first: none
    double worst;
};

/// The longest run of places that are no further than `most` from the face.
static struct run longest_run(const double *gap, int count, double most) {
    struct run best = {0, -1, 0}, now = {0, -1, 0};
    for (int i = 0; i < count; i++) {
        if (gap[i] > most) {
            now = (struct run){i + 1, i, 0};
            continue;
        }
        now.last = i;
        now.worst = fmax(now.worst, gap[i]);
        if (now.last - now.first > best.last - best.first) best = now;
    }
    return best;
}

/// The seam between an edge and a face, if there is one: where they fit, or else where they nearly
/// do. `nearest` over all looked at.
static bool find_seam(const struct assembling *g, const struct edge *e, int piece, int face,
                      double allowed, struct kw_seam *out, double *nearest) {
    double length = kw_length2(kw_sub2(e->b, e->a));
    struct kw_vec2 u = kw_scale2(kw_sub2(e->b, e->a), 1 / length);
    struct kw_vec3 along = kw_move3_direction(g->folds[e->piece][e->face], kw_v3(u.x, u.y, 0));
    if (fabs(stand_back_direction(g->folds[piece][face], along).z) > MOST_LEAN) return false;
    int n = (int)fmax(2, ceil(length / STEP_MM));
    struct kw_arena scratch = {0};
    double *gap = KW_NEW_ARRAY(&scratch, double, n + 1);
    for (int i = 0; i <= n; i++) {
        gap[i] = gap_at(g, e, (double)i / n, piece, face);
        *nearest = fmin(*nearest, gap[i]);
    }
    struct run r = longest_run(gap, n + 1, allowed + 1e-6);
    if ((r.last - r.first) * length / n < LEAST_SEAM_MM) r = longest_run(gap, n + 1, SEEK_MM);
    kw_arena_free(&scratch);
    double from = r.first * length / n, to = r.last * length / n;
    if (to - from < LEAST_SEAM_MM) return false;
    struct kw_move3 m = g->folds[e->piece][e->face];
    struct kw_vec2 p = kw_lerp2(e->a, e->b, from / length), q = kw_lerp2(e->a, e->b, to / length);
    *out = (struct kw_seam){.pieces = {e->piece, piece},
                            .from = kw_move3_point(m, kw_v3(p.x, p.y, 0)),
                            .to = kw_move3_point(m, kw_v3(q.x, q.y, 0)),
                            .length = to - from,
                            .gap = r.worst,
                            .edges = {e->segment, -1}};
    return true;
}

/// Segment of the blank's outline that holds the middle of the edge.
static int blank_segment(const struct kw_body *body, int face, struct kw_vec2 a, struct kw_vec2 b) {
    struct kw_vec2 p = kw_move2_point(body->faces[face].flat, kw_lerp2(a, b, 0.5));
    for (int i = 0; i < body->blank.outer.count; i++)
        if (kw_segment_distance(kw_path_segment(&body->blank.outer, i), p) < 1e-3) return i;
    return -1;
}

static bool is_tab(const struct kw_body *body, int tag) {
    return tag >= KW_TAB_TAG && tag < KW_TAB_TAG + body->part->tabs.count;
}

/// Straight cut edges of a piece; an edge with tabs is one edge.
static struct edge *edges_of(const struct assembling *g, int piece, int *count) {
    const struct kw_body *body = g->bodies[g->out->pieces[piece].part];
    struct edge *v = NULL;
    *count = 0;
    for (int f = 0; body && f < body->face_count; f++) {
        const struct kw_path *p = &body->faces[f].shape.outer;
        bool after_tab = false;
        for (int i = 0; i < p->count; i++) {
            struct kw_segment s = kw_path_segment(p, i);
            if (is_tab(body, p->v[i].tag)) {
                after_tab = true;
                continue;
            }
            if (s.radius > 0 || p->v[i].tag >= KW_TANGENT_TAG) continue;
            struct edge *last = *count ? &v[*count - 1] : NULL;
            if (after_tab && last && last->face == f) {
                last->b = s.b;
                after_tab = false;
                continue;
            }
            int segment = blank_segment(body, f, s.a, s.b);
            after_tab = false;
            if (segment < 0 || kw_segment_length(s) < LEAST_SEAM_MM)
                continue; // not cut (the side of a bend zone), or too short
            KW_PUSH(g->arena, v, *count) = (struct edge){piece, f, segment, s.a, s.b};
        }
    }
    return v;
}

static bool same_place(const struct kw_seam *s, const struct kw_seam *t, double thick) {
    double d0 = kw_length3(kw_sub3(s->from, t->from)), d1 = kw_length3(kw_sub3(s->to, t->to));
    double e0 = kw_length3(kw_sub3(s->from, t->to)), e1 = kw_length3(kw_sub3(s->to, t->from));
    return fmin(fmax(d0, d1), fmax(e0, e1)) < 2 * thick + SEEK_MM;
}

static double thinner_of(const struct assembling *g, const int pieces[2]) {
    double t = INFINITY;
    for (int i = 0; i < 2; i++) {
        const struct kw_body *b = g->bodies[g->out->pieces[pieces[i]].part];
        if (b) t = fmin(t, b->thickness);
    }
    return t;
}

static double allowed_gap(const struct assembling *g, const int pieces[2]) {
    return fmin(IN / 32, thinner_of(g, pieces) / 2);
}

static void add_seam(struct assembling *g, struct kw_seam s) {
    double thin = thinner_of(g, s.pieces);
    for (int i = 0; i < g->out->seam_count; i++) {
        struct kw_seam *t = &g->out->seams[i];
        if (t->weld != s.weld || !same_place(t, &s, thin)) continue;
        if (t->pieces[0] == s.pieces[1]) t->edges[1] = s.edges[0]; // edge on edge: both are welded
        t->gap = fmin(t->gap, s.gap);
        return;
    }
    size_seam(&s, thin);
    KW_PUSH(g->arena, g->out->seams, g->out->seam_count) = s;
}

/// Where two pieces meet in some seams, edges that only come near are none.
static void drop_near_misses(struct assembling *g, int first) {
    int good = 0, kept = first;
    for (int i = first; i < g->out->seam_count; i++)
        good += g->out->seams[i].gap <= allowed_gap(g, g->out->seams[i].pieces) + 1e-6;
    if (good == 0) return;
    for (int i = first; i < g->out->seam_count; i++) {
        const struct kw_seam s = g->out->seams[i];
        if (s.gap <= allowed_gap(g, s.pieces) + 1e-6) g->out->seams[kept++] = s;
    }
    g->out->seam_count = kept;
}

static void tell_gaps(struct assembling *g, const struct kw_weld *w, int first, double nearest) {
    const char *one = g->out->pieces[w->pieces[0]].standing->name;
    const char *two = g->out->pieces[w->pieces[1]].standing->name;
    struct kw_place where = shape_place(w->node, "between");
    if (g->out->seam_count == first) {
        struct kw_finding *f = stand_find(
            g, KW_STOP, "weld-apart", where, NULL,
            kw_format(g->arena, "%s and %s have no edges that meet: the nearest are %s apart", one,
                      two, stand_length(g, nearest)));
        f->measured = nearest;
        f->limit = SEEK_MM;
        f->part = g->out->pieces[w->pieces[0]].standing->part;
        return;
    }
    drop_near_misses(g, first);
    for (int i = first; i < g->out->seam_count; i++) {
        const struct kw_seam *s = &g->out->seams[i];
        double most = allowed_gap(g, s->pieces);
        if (s->gap <= most + 1e-6) continue;
        struct kw_finding *f =
            stand_find(g, KW_RISK, "weld-gap", where, &s->from,
                       kw_format(g->arena, "the seam between %s and %s gapes by %s", one, two,
                                 stand_length(g, s->gap)));
        f->measured = s->gap;
        f->limit = most;
    }
}

void stand_seams(struct assembling *g) {
    for (int i = 0; i < g->kit->welds.count; i++) {
        const struct kw_weld *w = KW_ITEM(struct kw_weld, g->kit->welds, i);
        int first = g->out->seam_count;
        double nearest = INFINITY;
        if (!g->bodies[g->out->pieces[w->pieces[0]].part] ||
            !g->bodies[g->out->pieces[w->pieces[1]].part])
            continue; // tube and bar: their ends are fitted by hand
        for (int side = 0; side < 2; side++) {
            int n, other = w->pieces[1 - side];
            struct edge *e = edges_of(g, w->pieces[side], &n);
            const struct kw_body *body = g->bodies[g->out->pieces[other].part];
            for (int k = 0; k < n; k++)
                for (int f = 0; f < body->face_count; f++) {
                    struct kw_seam s;
                    if (!find_seam(g, &e[k], other, f, allowed_gap(g, w->pieces), &s, &nearest))
                        continue;
                    s.weld = w;
                    add_seam(g, s);
                }
        }
        tell_gaps(g, w, first, nearest);
    }
}

// ----------------------------------------------------------------------------- edges that matter

static void mark(struct assembling *g, int part, int segment, int use) {
    if (segment < 0) return;
    for (int i = 0; i < g->out->edge_count; i++) {
        struct kw_edge_mark *m = &g->out->edges[i];
        if (m->part != part || m->segment != segment) continue;
        m->uses |= use;
        return;
    }
    KW_PUSH(g->arena, g->out->edges, g->out->edge_count) =
        (struct kw_edge_mark){part, segment, use};
}

void stand_edge_uses(struct assembling *g) {
    for (int i = 0; i < g->out->seam_count; i++) {
        const struct kw_seam *s = &g->out->seams[i];
        for (int k = 0; k < 2; k++)
            mark(g, g->out->pieces[s->pieces[k]].part, s->edges[k], KW_EDGE_WELDED);
    }
    for (int i = 0; i < g->kit->parts.count; i++) {
        const struct kw_body *body = g->bodies[i];
        if (!body) continue;
        const struct kw_path *p = &body->blank.outer;
        for (int k = 0; k < p->count; k++) {
            if (p->v[k].tag >= KW_TAB_TAG && p->v[k].tag < KW_TAB_TAG + body->part->tabs.count)
                mark(g, i, k, KW_EDGE_MATES);
        }
    }
}
