// SPDX-License-Identifier: Apache-2.0
// Integer polygons. Doubles are used to place an outline and for figures in messages; every
// decision is made on integers.
#include "verify/exact.h"

#include <math.h>
#include <stdlib.h>

#define PI         3.14159265358979323846
#define MOST_STEPS 50000

__extension__ typedef __int128 wide; // the one 128-bit type both compilers have

// ----------------------------------------------------------------------------- placing and arcs

struct placing placing_make(double x, double y, double degrees, bool mirrored) {
    double quarter = degrees / 90, whole = round(quarter);
    struct placing p = {cos(degrees * PI / 180), sin(degrees * PI / 180), x, y, mirrored};
    if (fabs(quarter - whole) < 1e-12) { // exact for quarter turns
        static const double table[] = {1, 0, -1, 0};
        int k = (int)fmod(whole, 4);
        if (k < 0) k += 4;
        p.cosine = table[k];
        p.sine = table[(k + 3) % 4];
    }
    return p;
}

struct spot { // a placed point in mm
    double x, y;
};

static struct spot place(struct placing p, double x, double y) {
    if (p.mirrored) x = -x;
    return (struct spot){p.cosine * x - p.sine * y + p.x, p.sine * x + p.cosine * y + p.y};
}

static struct point rounded(double x, double y) {
    return (struct point){llround(x * UNITS_PER_MM), llround(y * UNITS_PER_MM)};
}

struct points {
    struct point *v;
    int count;
};

static void add_point(struct kw_arena *a, struct points *list, double x, double y) {
    struct point p = rounded(x, y);
    if (list->count > 0) {
        struct point last = list->v[list->count - 1];
        if (last.x == p.x && last.y == p.y) return;
    }
    KW_PUSH(a, list->v, list->count) = p;
}

/// Points between the ends of an arc: on it, or the corners of the tangents to it.
static void add_arc(struct kw_arena *a, struct points *list, struct spot from, struct spot to,
                    double bulge, bool tangents) {
    double dx = to.x - from.x, dy = to.y - from.y;
    // the centre lies on the bisector of the chord, to its left for a bulge in 0..1
    double off = (1 - bulge * bulge) / (4 * bulge);
    double cx = (from.x + to.x) / 2 - dy * off, cy = (from.y + to.y) / 2 + dx * off;
    double radius = hypot(from.x - cx, from.y - cy), sweep = 4 * atan(bulge);
    double half = acos(radius / (radius + ARC_TOLERANCE_MM));
    double wanted = ceil(fabs(sweep) / (2 * half));
    int steps = wanted >= 1 ? wanted < MOST_STEPS ? (int)wanted : MOST_STEPS : 1;
    if (tangents && steps < 3) steps = 3;
    double start = atan2(from.y - cy, from.x - cx), step = sweep / steps;
    double reach = tangents ? radius / cos(step / 2) : radius;
    for (int k = tangents ? 0 : 1; k < steps; k++) {
        double angle = start + step * (tangents ? k + 0.5 : k);
        add_point(a, list, cx + reach * cos(angle), cy + reach * sin(angle));
    }
}

/// Twice the signed area of the outline, arcs taken as the triangles to their middles: for its
/// sign.
static double turning(const struct kw_run_outline *o) {
    double sum = 0;
    for (int i = 0; i < o->count; i++) {
        const struct kw_run_vertex *p = &o->v[i], *q = &o->v[(i + 1) % o->count];
        double x = q->x - p->x, y = q->y - p->y;
        sum += p->x * q->y - q->x * p->y + p->bulge * (x * x + y * y) / 2;
    }
    return sum;
}

static struct box no_box(void) {
    return (struct box){{INT64_MAX, INT64_MAX}, {INT64_MIN, INT64_MIN}};
}

static void box_add(struct box *b, struct point p) {
    if (p.x < b->min.x) b->min.x = p.x;
    if (p.y < b->min.y) b->min.y = p.y;
    if (p.x > b->max.x) b->max.x = p.x;
    if (p.y > b->max.y) b->max.y = p.y;
}

static void add_boxes(struct kw_arena *a, struct ring *r) {
    r->run_count = (r->count + RUN - 1) / RUN;
    r->runs = KW_NEW_ARRAY(a, struct box, r->run_count + 1);
    r->box = no_box();
    for (int k = 0; k < r->run_count; k++) {
        r->runs[k] = no_box();
        for (int i = k * RUN; i <= (k + 1) * RUN && i <= r->count; i++) {
            box_add(&r->runs[k], r->v[i % r->count]);
        }
        box_add(&r->box, r->runs[k].min);
        box_add(&r->box, r->runs[k].max);
    }
}

struct ring ring_make(struct kw_arena *a, const struct kw_run_outline *o, struct placing p,
                      bool is_hole, enum chord_rule rule) {
    struct points list = {0};
    // metal is left of a counter-clockwise outer outline and of a clockwise hole
    bool metal_left = (turning(o) > 0) != is_hole;
    for (int i = 0; i < o->count; i++) {
        const struct kw_run_vertex *v = &o->v[i], *w = &o->v[(i + 1) % o->count];
        struct spot from = place(p, v->x, v->y), to = place(p, w->x, w->y);
        bool hollow = (v->bulge > 0) != metal_left; // the metal is outside the arc's circle
        double bulge = p.mirrored ? -v->bulge : v->bulge;
        add_point(a, &list, from.x, from.y);
        if (bulge != 0) add_arc(a, &list, from, to, bulge, hollow == (rule == CHORDS_IN_METAL));
    }
    while (list.count > 1 && list.v[0].x == list.v[list.count - 1].x &&
           list.v[0].y == list.v[list.count - 1].y) {
        list.count--;
    }
    struct ring r = {.v = list.v, .count = list.count};
    add_boxes(a, &r);
    return r;
}

struct body body_make(struct kw_arena *a, const struct kw_run_outline *outer,
                      const struct kw_run_outline *holes, int hole_count, struct placing p,
                      enum chord_rule rule) {
    struct body b = {KW_NEW_ARRAY(a, struct ring, hole_count + 1), hole_count + 1, no_box()};
    b.rings[0] = ring_make(a, outer, p, false, rule);
    for (int i = 0; i < hole_count; i++)
        b.rings[i + 1] = ring_make(a, &holes[i], p, true, rule);
    b.box = b.rings[0].box;
    return b;
}

// ------------------------------------------------------------------------------ exact predicates

/// Twice the area of a, b, c: below 2^63 for coordinates below 2^30.
static int64_t cross(struct point a, struct point b, struct point c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

static int64_t dot(struct point a, struct point b, struct point c) {
    return (b.x - a.x) * (c.x - a.x) + (b.y - a.y) * (c.y - a.y);
}

static int64_t square(struct point a, struct point b) {
    return dot(a, b, b);
}

static int sign(int64_t v) {
    return (v > 0) - (v < 0);
}

static bool on_segment(struct point a, struct point b, struct point p) {
    return cross(a, b, p) == 0 && dot(p, a, b) <= 0;
}

bool segments_meet(struct point a, struct point b, struct point c, struct point d) {
    int s = sign(cross(a, b, c)), t = sign(cross(a, b, d));
    int u = sign(cross(c, d, a)), v = sign(cross(c, d, b));
    if (s * t < 0 && u * v < 0) return true;
    return on_segment(a, b, c) || on_segment(a, b, d) || on_segment(c, d, a) || on_segment(c, d, b);
}

static bool point_nearer(struct point p, struct point a, struct point b, int64_t limit) {
    wide limit2 = (wide)limit * limit;
    int64_t along = dot(a, b, p), length2 = square(a, b);
    if (along <= 0) return square(a, p) < limit2;
    if (along >= length2) return square(b, p) < limit2;
    wide c = cross(a, b, p);
    return c * c < limit2 * length2;
}

bool segments_nearer(struct point a, struct point b, struct point c, struct point d,
                     int64_t limit) {
    if (limit <= 0) return false;
    return point_nearer(a, c, d, limit) || point_nearer(b, c, d, limit) ||
           point_nearer(c, a, b, limit) || point_nearer(d, a, b, limit) ||
           segments_meet(a, b, c, d);
}

/// Crossings of the ray from p towards +x with a ring; 0 in *on becomes 1 when p is on the ring.
static int ray_crossings(const struct ring *r, struct point p, bool *on) {
    int n = 0;
    for (int k = 0; k < r->run_count; k++) {
        if (p.y < r->runs[k].min.y || p.y > r->runs[k].max.y || p.x > r->runs[k].max.x) continue;
        for (int i = k * RUN; i < (k + 1) * RUN && i < r->count; i++) {
            struct point a = r->v[i], b = r->v[(i + 1) % r->count];
            if (on_segment(a, b, p)) *on = true;
            if ((a.y > p.y) == (b.y > p.y)) continue;
            int64_t side = cross(a, b, p);
            n += b.y > a.y ? side > 0 : side < 0;
        }
    }
    return n;
}

int body_holds(const struct body *b, struct point p) {
    if (p.x < b->box.min.x || p.x > b->box.max.x || p.y < b->box.min.y || p.y > b->box.max.y) {
        return -1;
    }
    bool on = false;
    int n = 0;
    for (int k = 0; k < b->ring_count; k++)
        n += ray_crossings(&b->rings[k], p, &on);
    return on ? 0 : n % 2 ? 1 : -1;
}

// ------------------------------------------------------------------------------------- distances

static bool boxes_apart(struct box a, struct box b, int64_t limit) {
    return a.min.x - b.max.x > limit || b.min.x - a.max.x > limit || a.min.y - b.max.y > limit ||
           b.min.y - a.max.y > limit;
}

static struct box edge_box(struct point a, struct point b) {
    struct box x = {a, a};
    box_add(&x, b);
    return x;
}

/// For messages and depths: distance of p to a segment.
static double point_distance(struct point p, struct point a, struct point b) {
    double dx = (double)(b.x - a.x), dy = (double)(b.y - a.y);
    double px = (double)(p.x - a.x), py = (double)(p.y - a.y);
    double length2 = dx * dx + dy * dy;
    double t = length2 > 0 ? (px * dx + py * dy) / length2 : 0;
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    return hypot(px - t * dx, py - t * dy);
}

static void note_edges(struct point a, struct point b, struct point c, struct point d,
                       struct nearest *out) {
    struct point ends[4] = {a, b, c, d};
    double distance[4] = {point_distance(a, c, d), point_distance(b, c, d), point_distance(c, a, b),
                          point_distance(d, a, b)};
    bool meet = segments_meet(a, b, c, d);
    for (int i = 0; i < 4; i++) {
        if (!(distance[i] < out->distance)) continue;
        out->distance = distance[i];
        out->at = ends[i];
    }
    if (meet) out->distance = 0;
}

static bool runs_nearer(const struct ring *p, int i, const struct ring *q, int j, int64_t limit,
                        struct nearest *out) {
    bool found = false;
    for (int s = i * RUN; s < (i + 1) * RUN && s < p->count; s++) {
        struct point a = p->v[s], b = p->v[(s + 1) % p->count];
        struct box ab = edge_box(a, b);
        if (boxes_apart(ab, q->runs[j], limit)) continue;
        for (int t = j * RUN; t < (j + 1) * RUN && t < q->count; t++) {
            struct point c = q->v[t], d = q->v[(t + 1) % q->count];
            if (boxes_apart(ab, edge_box(c, d), limit)) continue;
            if (!segments_nearer(a, b, c, d, limit)) continue;
            note_edges(a, b, c, d, out);
            found = true;
        }
    }
    return found;
}

bool bodies_nearer(const struct body *a, const struct body *b, int64_t limit, struct nearest *out) {
    bool found = false;
    *out = (struct nearest){.distance = INFINITY};
    for (int k = 0; k < a->ring_count; k++) {
        const struct ring *p = &a->rings[k];
        for (int m = 0; m < b->ring_count; m++) {
            const struct ring *q = &b->rings[m];
            if (boxes_apart(p->box, q->box, limit)) continue;
            for (int i = 0; i < p->run_count; i++) {
                if (boxes_apart(p->runs[i], q->box, limit)) continue;
                for (int j = 0; j < q->run_count; j++) {
                    if (boxes_apart(p->runs[i], q->runs[j], limit)) continue;
                    if (runs_nearer(p, i, q, j, limit, out)) found = true;
                }
            }
        }
    }
    return found;
}

static double border_distance(const struct body *b, struct point p, double best) {
    for (int k = 0; k < b->ring_count; k++) {
        const struct ring *r = &b->rings[k];
        for (int i = 0; i < r->count; i++) {
            best = fmin(best, point_distance(p, r->v[i], r->v[(i + 1) % r->count]));
        }
    }
    return best;
}

struct cuts {
    double *t;
    int count;
};

/// Where an edge meets the borders of b, as parts of its length.
static void add_cuts(struct kw_arena *scratch, struct point p, struct point q, const struct body *b,
                     struct cuts *cuts) {
    struct box pq = edge_box(p, q);
    for (int k = 0; k < b->ring_count; k++) {
        const struct ring *r = &b->rings[k];
        for (int i = 0; i < r->count; i++) {
            struct point c = r->v[i], d = r->v[(i + 1) % r->count];
            if (boxes_apart(pq, edge_box(c, d), 0) || !segments_meet(p, q, c, d)) continue;
            double u = (double)cross(c, d, p), v = (double)cross(c, d, q);
            double t = u != v ? u / (u - v) : 0;
            KW_PUSH(scratch, cuts->t, cuts->count) = t < 0 ? 0 : t > 1 ? 1 : t;
        }
    }
}

static int by_value(const void *a, const void *b) {
    double p = *(const double *)a, q = *(const double *)b;
    return (p > q) - (p < q);
}

static void probe(const struct body *b, struct point p, bool outside, double *deepest,
                  struct point *at) {
    if (body_holds(b, p) != (outside ? -1 : 1)) return;
    double d = border_distance(b, p, INFINITY);
    if (!(d > *deepest)) return;
    *deepest = d;
    *at = p;
}

double intrusion(struct kw_arena *scratch, const struct body *a, const struct body *b, bool outside,
                 struct point *at) {
    double deepest = 0;
    for (int k = 0; k < a->ring_count; k++) {
        const struct ring *r = &a->rings[k];
        for (int i = 0; i < r->count; i++) {
            struct point p = r->v[i], q = r->v[(i + 1) % r->count];
            if (!outside && boxes_apart(edge_box(p, q), b->box, 0)) continue;
            probe(b, p, outside, &deepest, at);
            struct cuts cuts = {0};
            KW_PUSH(scratch, cuts.t, cuts.count) = 0;
            KW_PUSH(scratch, cuts.t, cuts.count) = 1;
            add_cuts(scratch, p, q, b, &cuts);
            qsort(cuts.t, (size_t)cuts.count, sizeof *cuts.t, by_value);
            for (int c = 0; c + 1 < cuts.count; c++) {
                double t = (cuts.t[c] + cuts.t[c + 1]) / 2;
                struct point middle = {p.x + llround((double)(q.x - p.x) * t),
                                       p.y + llround((double)(q.y - p.y) * t)};
                probe(b, middle, outside, &deepest, at);
            }
        }
    }
    return deepest;
}
