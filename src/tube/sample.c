// SPDX-License-Identifier: Apache-2.0
// Points along the centreline for drawing, and the box of the tube's outside.
#include "tube/inside.h"

enum { MOST_CHORDS = 10000 }; // an arc; keeps a tiny tolerance from filling the memory

static int chords_of(const struct kw_tube_bend *b, double tolerance) {
    double part = fmin(1, tolerance / b->radius);
    double step = 2 * acos(1 - part); // sagitta R (1 - cos(step/2))
    double n = step > 0 ? ceil(b->angle / step - 1e-9) : MOST_CHORDS;
    return (int)fmin(MOST_CHORDS, fmax(1, n));
}

struct kw_vec3 *kw_tube_sample(struct kw_arena *a, const struct kw_tube_table *t, double tolerance,
                               int *count) {
    kw_assert(tolerance > 0);
    int most = 2;
    for (int i = 0; i < t->count; i++)
        most += 1 + chords_of(&t->bends[i], tolerance);
    struct kw_vec3 *v = KW_NEW_ARRAY(a, struct kw_vec3, most);
    struct kw_tube_walk w = kw_tube_walk_start(t);
    int n = 0;
    v[n++] = w.at;
    for (int i = 0; i < t->count; i++) {
        const struct kw_tube_bend *b = &t->bends[i];
        w = kw_tube_walk_to_bend(w, b);
        if (b->straight > 0) v[n++] = w.at;
        int chords = chords_of(b, tolerance);
        for (int c = 1; c <= chords; c++)
            v[n++] = kw_tube_walk_arc(w, b->radius, b->angle * c / chords).at;
        w = kw_tube_walk_arc(w, b->radius, b->angle);
    }
    if (t->last > 0 || n == 1) v[n++] = kw_tube_walk_straight(w, t->last).at;
    *count = n;
    return v;
}

static void cover(double *min, double *max, double at, double reach) {
    *min = fmin(*min, at - reach);
    *max = fmax(*max, at + reach);
}

/// A square cut across the tube, seen along one axis: the disc reaches r sqrt(1 - d^2) either way.
static void cover_disc(double *min, double *max, double at, double along, double r) {
    cover(min, max, at, r * sqrt(fmax(0, 1 - along * along)));
}

/// One axis of a bend: `at`, `along`, `side` are the walk's components at its first tangent point.
/// The centreline is at + R sin(q) along + R (1 - cos q) side for q in 0..A; the outside reaches
/// furthest where the tangent is square to the axis, else at an end of the arc (there is no other
/// stationary point while R > r).
static void cover_arc(double *min, double *max, double at, double along, double side,
                      const struct kw_tube_bend *b, double r) {
    double top = atan2(along, -side);
    for (int k = -2; k <= 2; k++) {
        double q = top + k * KW_PI;
        if (!(q > 0 && q < b->angle)) continue;
        double p = at + b->radius * (sin(q) * along + (1 - cos(q)) * side);
        cover(min, max, p, r);
    }
}

static void cover_discs(struct kw_box3 *box, struct kw_tube_walk w, double r) {
    cover_disc(&box->min.x, &box->max.x, w.at.x, w.along.x, r);
    cover_disc(&box->min.y, &box->max.y, w.at.y, w.along.y, r);
    cover_disc(&box->min.z, &box->max.z, w.at.z, w.along.z, r);
}

static void cover_bend(struct kw_box3 *box, struct kw_tube_walk w, const struct kw_tube_bend *b,
                       double r) {
    cover_arc(&box->min.x, &box->max.x, w.at.x, w.along.x, w.side.x, b, r);
    cover_arc(&box->min.y, &box->max.y, w.at.y, w.along.y, w.side.y, b, r);
    cover_arc(&box->min.z, &box->max.z, w.at.z, w.along.z, w.side.z, b, r);
}

struct kw_box3 kw_tube_box(const struct kw_tube_table *t, double od) {
    struct kw_tube_walk w = kw_tube_walk_start(t);
    struct kw_box3 box = {w.at, w.at};
    double r = od / 2;
    cover_discs(&box, w, r);
    for (int i = 0; i < t->count; i++) {
        w = kw_tube_walk_to_bend(w, &t->bends[i]);
        cover_discs(&box, w, r);
        cover_bend(&box, w, &t->bends[i], r);
        w = kw_tube_walk_arc(w, t->bends[i].radius, t->bends[i].angle);
        cover_discs(&box, w, r);
    }
    cover_discs(&box, kw_tube_walk_straight(w, t->last), r);
    return box;
}

void kw_tube_straight_ends(const struct kw_tube_table *t, int straight, struct kw_vec3 *from,
                           struct kw_vec3 *to) {
    kw_assert(straight >= 0 && straight <= t->count);
    struct kw_tube_walk w = kw_tube_walk_start(t);
    for (int i = 0; i < straight; i++) {
        w = kw_tube_walk_to_bend(w, &t->bends[i]);
        w = kw_tube_walk_arc(w, t->bends[i].radius, t->bends[i].angle);
    }
    *from = w.at;
    double length = straight < t->count ? t->bends[straight].straight : t->last;
    *to = kw_tube_walk_straight(w, length).at;
}
