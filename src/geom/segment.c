// SPDX-License-Identifier: Apache-2.0
// One straight or circular segment: measures and the points where two of them meet.
#include "geom/segment.h"

#include "geom/units.h"

// An arc that strays less than this from its chord is taken as the chord: its centre would be lost
// in rounding. So is one of more than MOST_RADIUS (100 km), whose centre is good to 1e-8 mm only.
#define FLAT_MM     1e-9
#define MOST_RADIUS 1e8

struct kw_segment kw_segment_make(struct kw_vec2 a, struct kw_vec2 b, double bulge) {
    struct kw_segment s = {.a = a, .b = b};
    if (bulge == 0) return s;
    struct kw_vec2 chord = kw_sub2(b, a);
    double length = kw_length2(chord), steep = fabs(bulge);
    double radius = length * (1 + bulge * bulge) / (4 * steep);
    if (!(steep * length / 2 > FLAT_MM) || !(radius < MOST_RADIUS)) return s;
    struct kw_vec2 aside = kw_scale2(kw_left2(chord), (1 - bulge * bulge) / (4 * bulge));
    s.bulge = bulge;
    s.radius = radius;
    s.centre = kw_add2(kw_lerp2(a, b, 0.5), aside);
    s.sweep = 4 * atan(bulge);
    return s;
}

double kw_segment_length(struct kw_segment s) {
    return s.radius > 0 ? s.radius * fabs(s.sweep) : kw_length2(kw_sub2(s.b, s.a));
}

static struct kw_vec2 turned(struct kw_vec2 p, double angle) {
    double c = cos(angle), s = sin(angle);
    return kw_v2(c * p.x - s * p.y, s * p.x + c * p.y);
}

struct kw_vec2 kw_segment_point(struct kw_segment s, double t) {
    if (t <= 0) return s.a;
    if (t >= 1) return s.b;
    if (!(s.radius > 0)) return kw_lerp2(s.a, s.b, t);
    // From the nearer end, so that the point runs into that end without a step.
    if (t <= 0.5) return kw_add2(s.centre, turned(kw_sub2(s.a, s.centre), s.sweep * t));
    return kw_add2(s.centre, turned(kw_sub2(s.b, s.centre), s.sweep * (t - 1)));
}

struct kw_vec2 kw_segment_direction(struct kw_segment s, double t) {
    struct kw_vec2 d = kw_sub2(s.b, s.a);
    if (s.radius > 0) {
        struct kw_vec2 out = kw_sub2(kw_segment_point(s, t), s.centre);
        d = s.sweep > 0 ? kw_left2(out) : kw_scale2(kw_left2(out), -1);
    }
    double length = kw_length2(d);
    return length > 0 ? kw_scale2(d, 1 / length) : kw_v2(1, 0);
}

struct kw_segment kw_segment_part(struct kw_segment s, double t0, double t1) {
    return kw_segment_make(kw_segment_point(s, t0), kw_segment_point(s, t1),
                           s.radius > 0 ? tan(s.sweep * (t1 - t0) / 4) : 0);
}

// Whether the ray from the centre of arc s through p hits the arc.
static bool in_sweep(struct kw_segment s, struct kw_vec2 p) {
    struct kw_vec2 from = kw_sub2(s.sweep > 0 ? s.a : s.b, s.centre);
    struct kw_vec2 to = kw_sub2(s.sweep > 0 ? s.b : s.a, s.centre);
    struct kw_vec2 at = kw_sub2(p, s.centre);
    if (fabs(s.bulge) <= 1) return kw_cross2(from, at) >= 0 && kw_cross2(at, to) >= 0;
    return !(kw_cross2(to, at) > 0 && kw_cross2(at, from) > 0);
}

double kw_segment_nearest(struct kw_segment s, struct kw_vec2 p) {
    if (s.radius > 0) {
        double to_a = kw_length2(kw_sub2(p, s.a)), to_b = kw_length2(kw_sub2(p, s.b));
        if (!in_sweep(s, p)) return to_a <= to_b ? 0 : 1;
        // The angle from the nearer end: the chord to it never wraps round.
        struct kw_vec2 out = kw_sub2(p, s.centre);
        struct kw_vec2 end = kw_sub2(to_a <= to_b ? s.a : s.b, s.centre);
        double angle = fabs(atan2(kw_cross2(end, out), kw_dot2(end, out))) / fabs(s.sweep);
        angle = angle < 1 ? angle : 1;
        return to_a <= to_b ? angle : 1 - angle;
    }
    struct kw_vec2 d = kw_sub2(s.b, s.a);
    double square = kw_dot2(d, d);
    if (!(square > 0)) return 0;
    double t = kw_dot2(kw_sub2(p, s.a), d) / square;
    return t < 0 ? 0 : t > 1 ? 1 : t;
}

double kw_segment_distance(struct kw_segment s, struct kw_vec2 p) {
    if (s.radius > 0) {
        if (in_sweep(s, p)) return fabs(kw_length2(kw_sub2(p, s.centre)) - s.radius);
        return fmin(kw_length2(kw_sub2(p, s.a)), kw_length2(kw_sub2(p, s.b)));
    }
    struct kw_vec2 d = kw_sub2(s.b, s.a);
    double length = kw_length2(d);
    double along = kw_dot2(kw_sub2(p, s.a), d);
    if (!(along > 0)) return kw_length2(kw_sub2(p, s.a));
    if (along >= length * length) return kw_length2(kw_sub2(p, s.b));
    return fabs(kw_cross2(d, kw_sub2(p, s.a))) / length;
}

struct kw_box2 kw_segment_box(struct kw_segment s) {
    struct kw_box2 box = {{fmin(s.a.x, s.b.x), fmin(s.a.y, s.b.y)},
                          {fmax(s.a.x, s.b.x), fmax(s.a.y, s.b.y)}};
    if (!(s.radius > 0)) return box;
    struct kw_vec2 c = s.centre;
    double r = s.radius;
    if (in_sweep(s, kw_v2(c.x + r, c.y))) box.max.x = fmax(box.max.x, c.x + r);
    if (in_sweep(s, kw_v2(c.x - r, c.y))) box.min.x = fmin(box.min.x, c.x - r);
    if (in_sweep(s, kw_v2(c.x, c.y + r))) box.max.y = fmax(box.max.y, c.y + r);
    if (in_sweep(s, kw_v2(c.x, c.y - r))) box.min.y = fmin(box.min.y, c.y - r);
    return box;
}

double kw_box2_gap_squared(struct kw_box2 a, struct kw_box2 b) {
    double x = fmax(0, fmax(a.min.x - b.max.x, b.min.x - a.max.x));
    double y = fmax(0, fmax(a.min.y - b.max.y, b.min.y - a.max.y));
    return x * x + y * y;
}

// --------------------------------------------------------------------------------------- crossings

// Points common to the two whole lines or circles.
static int lines_meet(struct kw_segment s, struct kw_segment t, struct kw_vec2 out[2]) {
    struct kw_vec2 u = kw_sub2(s.b, s.a), v = kw_sub2(t.b, t.a);
    double det = kw_cross2(u, v);
    if (!(fabs(det) > 1e-12 * kw_length2(u) * kw_length2(v))) return 0;
    out[0] = kw_lerp2(s.a, s.b, kw_cross2(kw_sub2(t.a, s.a), v) / det);
    return 1;
}

static int line_meets_circle(struct kw_segment line, struct kw_segment arc, double tolerance,
                             struct kw_vec2 out[2]) {
    struct kw_vec2 d = kw_sub2(line.b, line.a);
    double length = kw_length2(d);
    if (!(length > 0)) return 0;
    d = kw_scale2(d, 1 / length);
    struct kw_vec2 to = kw_sub2(arc.centre, line.a);
    struct kw_vec2 foot = kw_add2(line.a, kw_scale2(d, kw_dot2(to, d)));
    double off = fabs(kw_cross2(d, to));
    if (!(off <= arc.radius + tolerance)) return 0;
    double square = (arc.radius - off) * (arc.radius + off);
    out[0] = foot;
    if (!(square > 0)) return 1;
    struct kw_vec2 half = kw_scale2(d, sqrt(square));
    out[0] = kw_sub2(foot, half);
    out[1] = kw_add2(foot, half);
    return 2;
}

// Worked out from the smaller circle: from the larger one the rounding of its radius (1e-10 mm for
// a nearly straight arc) would move the point far along it and off the smaller.
static int circles_meet(struct kw_segment s, struct kw_segment t, double tolerance,
                        struct kw_vec2 out[2]) {
    if (s.radius > t.radius) {
        struct kw_segment swap = s;
        s = t;
        t = swap;
    }
    struct kw_vec2 d = kw_sub2(t.centre, s.centre);
    double apart = kw_length2(d), r = s.radius, q = t.radius;
    if (!(apart > 1e-9) || !(apart <= r + q + tolerance) || !(apart >= q - r - tolerance)) return 0;
    double along = ((apart - q) * (apart + q) + r * r) / (2 * apart);
    double square = (r - along) * (r + along);
    d = kw_scale2(d, 1 / apart);
    if (!(square > 0)) {
        out[0] = kw_add2(s.centre, kw_scale2(d, along < 0 ? -r : r));
        return 1;
    }
    struct kw_vec2 foot = kw_add2(s.centre, kw_scale2(d, along));
    struct kw_vec2 half = kw_scale2(kw_left2(d), sqrt(square));
    out[0] = kw_sub2(foot, half);
    out[1] = kw_add2(foot, half);
    return 2;
}

// Whether a point of the whole line or circle lies on the segment, ends reaching `tolerance` on.
static bool reaches(struct kw_segment s, struct kw_vec2 p, double tolerance) {
    if (s.radius > 0 && in_sweep(s, p)) return true;
    if (s.radius > 0)
        return kw_length2(kw_sub2(p, s.a)) <= tolerance || kw_length2(kw_sub2(p, s.b)) <= tolerance;
    struct kw_vec2 d = kw_sub2(s.b, s.a);
    double length = kw_length2(d), along = kw_dot2(kw_sub2(p, s.a), d);
    return along >= -tolerance * length && along <= (length + tolerance) * length;
}

int kw_segment_meet(struct kw_segment s, struct kw_segment t, double tolerance,
                    struct kw_vec2 out[2]) {
    struct kw_vec2 p[2];
    int found, kept = 0;
    if (s.radius > 0 && t.radius > 0)
        found = circles_meet(s, t, tolerance, p);
    else if (t.radius > 0)
        found = line_meets_circle(s, t, tolerance, p);
    else if (s.radius > 0)
        found = line_meets_circle(t, s, tolerance, p);
    else
        found = lines_meet(s, t, p);
    for (int i = 0; i < found; i++)
        if (reaches(s, p[i], tolerance) && reaches(t, p[i], tolerance)) out[kept++] = p[i];
    return kept;
}

int kw_segment_crossings(struct kw_segment s, struct kw_segment t, struct kw_vec2 out[2]) {
    return kw_segment_meet(s, t, 1e-9, out);
}

// --------------------------------------------------------------------------------------------- gap

static void nearer(double distance, struct kw_vec2 at, double *best, struct kw_vec2 *where) {
    if (!(distance < *best)) return;
    *best = distance;
    *where = at;
}

// Besides ends and crossings, two curves are nearest where their normals fall in one line: for an
// arc and a line, the points of the arc with the line's direction; for two arcs, along the centres.
static void nearest_on_arc(struct kw_segment arc, struct kw_segment other, double *best,
                           struct kw_vec2 *where) {
    struct kw_vec2 n =
        other.radius > 0 ? kw_sub2(other.centre, arc.centre) : kw_left2(kw_sub2(other.b, other.a));
    double length = kw_length2(n);
    if (!(length > 0)) return;
    for (int side = -1; side <= 1; side += 2) {
        struct kw_vec2 p = kw_add2(arc.centre, kw_scale2(n, side * arc.radius / length));
        if (in_sweep(arc, p)) nearer(kw_segment_distance(other, p), p, best, where);
    }
}

double kw_segment_gap(struct kw_segment s, struct kw_segment t, struct kw_vec2 *at) {
    struct kw_vec2 cross[2];
    if (kw_segment_meet(s, t, 1e-9, cross) > 0) {
        *at = cross[0];
        return 0;
    }
    double best = INFINITY;
    nearer(kw_segment_distance(t, s.a), s.a, &best, at);
    nearer(kw_segment_distance(t, s.b), s.b, &best, at);
    nearer(kw_segment_distance(s, t.a), t.a, &best, at);
    nearer(kw_segment_distance(s, t.b), t.b, &best, at);
    if (s.radius > 0) nearest_on_arc(s, t, &best, at);
    if (t.radius > 0) nearest_on_arc(t, s, &best, at);
    return best;
}
