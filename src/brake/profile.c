// SPDX-License-Identifier: Apache-2.0
// Tools in section: as the shop gives them, or made from their figures.
#include "brake/inside.h"

#define BODY_HALF  10.0 // half the body of a punch, mm
#define TANG_TALL  25.0 // upper end of a gooseneck that stands over the tip again
#define PUNCH_TALL 60.0 // of a punch whose height is not known

struct kw_path kw_brake_die_profile(struct kw_arena *a, const struct kw_brake_die *d) {
    if (d->profile.count > 0) return kw_path_copy(a, &d->profile);
    if (d->flat) return kw_path_box_outline(a, -d->width / 2, -d->height, d->width / 2, 0, 0);
    double half = d->angle / 2, metal = KW_PI / 2 + half;
    double cut = d->shoulder_radius / tan(metal / 2); // tangent length at the shoulder
    double v = d->opening / 2, wide = fmax(d->width / 2, v + cut + fmax(0.35 * d->opening, 6));
    double tall = d->height > 0 ? d->height : 2 * d->opening;
    double deep = fmin(v / tan(half), 0.85 * tall), flat = v - deep * tan(half);
    double bulge = tan((KW_PI - metal) / 4);
    struct kw_path p = {0};
    kw_path_add(a, &p, -wide, -tall, 0, 0);
    kw_path_add(a, &p, wide, -tall, 0, 0);
    kw_path_add(a, &p, wide, 0, 0, 0);
    kw_path_add(a, &p, v + cut, 0, cut > 0 ? bulge : 0, 0);
    if (cut > 0) kw_path_add(a, &p, v - cut * sin(half), -cut * cos(half), 0, 0);
    kw_path_add(a, &p, flat, -deep, 0, 0);
    if (flat > 1e-6) kw_path_add(a, &p, -flat, -deep, 0, 0);
    if (cut > 0) kw_path_add(a, &p, -v + cut * sin(half), -cut * cos(half), bulge, 0);
    kw_path_add(a, &p, -v - cut, 0, 0, 0);
    kw_path_add(a, &p, -wide, 0, 0, 0);
    return p;
}

/// The nose from its left tangent point to its right one; returns the right one.
static struct kw_vec2 add_nose(struct kw_arena *a, struct kw_path *p,
                               const struct kw_brake_punch *q) {
    double half = q->angle / 2, r = q->nose_radius;
    double x = r * cos(half), y = r - r * sin(half);
    kw_path_add(a, p, -x, y, r > 0 ? tan((KW_PI - q->angle) / 4) : 0, 0);
    if (r > 0) kw_path_add(a, p, x, y, 0, 0);
    return kw_v2(x, y);
}

static struct kw_path straight(struct kw_arena *a, const struct kw_brake_punch *q) {
    struct kw_path p = {0};
    double half = q->angle / 2, tall = q->height > 0 ? q->height : PUNCH_TALL;
    double wide = fmax(BODY_HALF, 1.2 * q->nose_radius);
    struct kw_vec2 nose = add_nose(a, &p, q);
    double shoulder = nose.y + (wide - nose.x) / tan(half);
    if (shoulder > tall) { // a slim punch that never gets to its full width
        shoulder = tall;
        wide = nose.x + (shoulder - nose.y) * tan(half);
    }
    kw_path_add(a, &p, wide, shoulder, 0, 0);
    if (tall > shoulder + 1e-6) {
        kw_path_add(a, &p, wide, tall, 0, 0);
        kw_path_add(a, &p, -wide, tall, 0, 0);
    }
    kw_path_add(a, &p, -wide, shoulder, 0, 0);
    return p;
}

/// The body leans back under 45 degrees as soon as the nose is as wide as a third of the body, and
/// comes back to the middle below the tang.
static struct kw_path gooseneck(struct kw_arena *a, const struct kw_brake_punch *q) {
    struct kw_path p = {0};
    double half = q->angle / 2, tall = q->height > 0 ? q->height : PUNCH_TALL;
    struct kw_vec2 nose = add_nose(a, &p, q);
    double front = fmax(nose.x + 1, BODY_HALF / 2), back = BODY_HALF;
    double neck = fmin(q->neck, (tall - TANG_TALL) / 3);
    double yf = nose.y + (front - nose.x) / tan(half), yb = nose.y + (back - nose.x) / tan(half);
    double top = fmax(tall - TANG_TALL, yb + neck + 1), lean = fmin(top, yf + neck);
    kw_path_add(a, &p, back, yb, 0, 0);
    kw_path_add(a, &p, back + neck, fmin(yb + neck, top - 0.5), 0, 0);
    kw_path_add(a, &p, back + neck, top, 0, 0);
    kw_path_add(a, &p, back, top, 0, 0);
    kw_path_add(a, &p, back, fmax(tall, top + 1), 0, 0);
    kw_path_add(a, &p, -back, fmax(tall, top + 1), 0, 0);
    kw_path_add(a, &p, -back, top, 0, 0);
    kw_path_add(a, &p, neck - front, fmax(top - neck, lean), 0, 0);
    if (top - neck > lean + 1e-6) kw_path_add(a, &p, neck - front, lean, 0, 0);
    kw_path_add(a, &p, -front, yf, 0, 0);
    return p;
}

static struct kw_path as_it_is(struct kw_arena *a, const struct kw_brake_punch *q) {
    if (q->profile.count > 0) return kw_path_copy(a, &q->profile);
    if (q->flat) return kw_path_box_outline(a, -q->width / 2, 0, q->width / 2, q->height, 0);
    return q->neck > 0 ? gooseneck(a, q) : straight(a, q);
}

struct kw_path kw_brake_punch_profile(struct kw_arena *a, const struct kw_brake_punch *q,
                                      bool turned) {
    struct kw_path p = as_it_is(a, q);
    for (int i = 0; turned && i < p.count; i++) {
        p.v[i].x = -p.v[i].x;
        p.v[i].bulge = -p.v[i].bulge;
    }
    return turned ? kw_path_reversed(a, &p) : p;
}
