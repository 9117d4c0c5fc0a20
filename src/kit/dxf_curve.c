// SPDX-License-Identifier: Apache-2.0
// Ellipses and splines of a DXF drawing, as arcs within KW_CURVE_MM. Both are given in the
// drawing's own frame, not in one that the extrusion direction turns.
#include "kit/dxf_in.h"

enum { MOST_POINTS = 100000 };

static enum kw_status read_point(struct kw_dxf *d, const struct kw_group *type, int code,
                                 bool required, struct kw_vec2 *p, double *z) {
    enum kw_status s = kw_dxf_number(d, type, code, required, &p->x);
    if (s == KW_OK) s = kw_dxf_number(d, type, code + 10, required, &p->y);
    if (s == KW_OK) s = kw_dxf_number(d, type, code + 20, false, z);
    return s;
}

// A closed curve that ends where it begins.
static struct kw_path closed_up(struct kw_path p, bool closed) {
    if (!closed || p.count < 3) return p;
    struct kw_vertex *v = p.v, *w = &p.v[p.count - 1];
    if (hypot(v->x - w->x, v->y - w->y) > KW_JOIN_MM) return p;
    p.open = false;
    p.count--;
    return p;
}

// ---------------------------------------------------------------------------------------- ellipse

static enum kw_status read_ellipse(struct kw_dxf *d, const struct kw_group *type,
                                   struct kw_ellipse *e, bool *closed) {
    double z, dz, ratio;
    bool below;
    enum kw_status s = read_point(d, type, 10, true, &e->centre, &z);
    if (s == KW_OK) s = read_point(d, type, 11, true, &e->u, &dz);
    if (s == KW_OK) s = kw_dxf_number(d, type, 40, true, &ratio);
    if (s == KW_OK) s = kw_dxf_number(d, type, 41, false, &e->from);
    if (s == KW_OK) s = kw_dxf_number(d, type, 42, false, &e->to);
    if (s == KW_OK) s = kw_dxf_flip(d, type, &below);
    if (s == KW_OK) s = kw_dxf_keep_height(d, z, type->line);
    if (s == KW_OK) s = kw_dxf_keep_height(d, z + dz, type->line);
    if (s != KW_OK) return s;
    e->v = kw_scale2(kw_left2(e->u), below ? -ratio : ratio);
    if (!(kw_length2(e->u) > 0 && ratio > 0 && ratio < 1e6)) {
        return kw_fail(d->sketch.err, KW_RANGE, kw_sketch_place(&d->sketch, type->line),
                       "an ellipse without size: expected a long half axis and a ratio above 0, "
                       "got a ratio of %g",
                       ratio);
    }
    double sweep = kw_dxf_find(d, 42) ? fmod(e->to - e->from, 2 * KW_PI) : 0;
    if (sweep <= 1e-9) sweep += 2 * KW_PI;
    *closed = sweep >= 2 * KW_PI - 1e-9;
    e->from = fmod(e->from, 2 * KW_PI);
    e->to = e->from + (*closed ? 2 * KW_PI : sweep);
    return KW_OK;
}

enum kw_status kw_dxf_ellipse(struct kw_dxf *d, const struct kw_group *type, enum kw_role role) {
    struct kw_ellipse e;
    bool closed = false;
    enum kw_status s = read_ellipse(d, type, &e, &closed);
    if (s != KW_OK) return s;
    e = kw_ellipse_mapped(&e, kw_dxf_map(d, false));
    for (int i = 0; i < 4 && s == KW_OK; i++) {
        struct kw_vec2 p = kw_ellipse_point(&e, i * KW_PI / 2);
        s = kw_sketch_check_point(&d->sketch, p, type->line);
    }
    if (s != KW_OK) return s;
    struct kw_path p = {.open = true};
    kw_path_add_ellipse(d->sketch.scratch, &p, &e, KW_CURVE_MM, type->line);
    return kw_sketch_add_made(&d->sketch, role, closed_up(p, closed), type->line);
}

// ----------------------------------------------------------------------------------------- spline

enum { FLAG_CLOSED = 1 };

struct points {
    struct kw_vec2 *v;
    int count;
};

// The points with group code `code` for x and the next tens for y and z, all at one height.
static enum kw_status read_points(struct kw_dxf *d, const struct kw_group *type, int code,
                                  struct points *out) {
    for (int i = 0; i < d->group_count; i++) {
        const struct kw_group *g = &d->groups[i];
        if (g->code != code && g->code != code + 10 && g->code != code + 20) continue;
        double v;
        enum kw_status s = kw_dxf_read_number(d, g, &v);
        if (s == KW_OK && g->code == code + 20) s = kw_dxf_keep_height(d, v, g->line);
        if (s == KW_OK && out->count == MOST_POINTS) {
            s = kw_fail(d->sketch.err, KW_LIMIT, kw_sketch_place(&d->sketch, type->line),
                        "expected a spline of at most %d points", MOST_POINTS);
        }
        if (s != KW_OK) return s;
        if (g->code == code) KW_PUSH(d->sketch.scratch, out->v, out->count) = kw_v2(v, 0);
        if (g->code == code + 10 && out->count > 0) out->v[out->count - 1].y = v;
    }
    struct kw_affine2 map = kw_dxf_map(d, false);
    for (int i = 0; i < out->count; i++) {
        out->v[i] = kw_affine2_point(map, out->v[i]);
        enum kw_status s = kw_sketch_check_point(&d->sketch, out->v[i], type->line);
        if (s != KW_OK) return s;
    }
    return KW_OK;
}

static enum kw_status read_numbers(struct kw_dxf *d, int code, double **v, int *count) {
    for (int i = 0; i < d->group_count; i++) {
        if (d->groups[i].code != code) continue;
        double one;
        enum kw_status s = kw_dxf_read_number(d, &d->groups[i], &one);
        if (s != KW_OK) return s;
        KW_PUSH(d->sketch.scratch, *v, *count) = one;
    }
    return KW_OK;
}

static enum kw_status fail_spline(struct kw_dxf *d, const struct kw_group *type, const char *why) {
    return kw_fail(d->sketch.err, KW_GEOMETRY, kw_sketch_place(&d->sketch, type->line),
                   "a spline with %s", why);
}

static enum kw_status by_points(struct kw_dxf *d, const struct kw_group *type, struct points q,
                                struct kw_spline *out) {
    double *knots = NULL, *weights = NULL;
    int knot_count = 0, weight_count = 0, degree;
    enum kw_status s = kw_dxf_whole(d, 71, &degree);
    if (s == KW_OK) s = read_numbers(d, 40, &knots, &knot_count);
    if (s == KW_OK) s = read_numbers(d, 41, &weights, &weight_count);
    if (s != KW_OK) return s;
    if (degree < 1 || degree > KW_SPLINE_MOST_DEGREE)
        return fail_spline(d, type, kw_format(d->sketch.scratch, "a degree of %d", degree));
    if (knot_count != q.count + degree + 1) {
        return fail_spline(d, type,
                           kw_format(d->sketch.scratch,
                                     "%d points of degree %d and %d knots, expected %d knots",
                                     q.count, degree, knot_count, q.count + degree + 1));
    }
    if (weight_count != 0 && weight_count != q.count) {
        return fail_spline(
            d, type,
            kw_format(d->sketch.scratch, "%d points and %d weights", q.count, weight_count));
    }
    *out = (struct kw_spline){degree, q.count, q.v, weights, knots};
    return KW_OK;
}

// A direction at an end, mapped and of length 1; false when the spline doesn't say.
static enum kw_status end_direction(struct kw_dxf *d, const struct kw_group *type, int code,
                                    struct kw_vec2 *v, bool *said) {
    double z;
    *said = kw_dxf_find(d, code);
    enum kw_status s = read_point(d, type, code, false, v, &z);
    *v = kw_affine2_direction(kw_dxf_map(d, false), *v);
    double length = kw_length2(*v);
    if (!(length > 1e-9)) *said = false;
    if (*said) *v = kw_scale2(*v, 1 / length);
    return s;
}

static enum kw_status through_points(struct kw_dxf *d, const struct kw_group *type, bool closed,
                                     struct kw_spline *out) {
    struct points q = {0};
    struct kw_vec2 start, end;
    bool start_said, end_said;
    enum kw_status s = read_points(d, type, 11, &q);
    if (s == KW_OK) s = end_direction(d, type, 12, &start, &start_said);
    if (s == KW_OK) s = end_direction(d, type, 13, &end, &end_said);
    if (s != KW_OK) return s;
    *out = closed && !start_said && !end_said
               ? kw_spline_around(d->sketch.scratch, q.v, q.count)
               : kw_spline_through(d->sketch.scratch, q.v, q.count, start_said ? &start : NULL,
                                   end_said ? &end : NULL);
    return out->points ? KW_OK : fail_spline(d, type, "fewer than two points");
}

enum kw_status kw_dxf_spline(struct kw_dxf *d, const struct kw_group *type, enum kw_role role) {
    int flags;
    struct points q = {0};
    struct kw_spline spline;
    enum kw_status s = kw_dxf_whole(d, 70, &flags);
    if (s == KW_OK) s = read_points(d, type, 10, &q);
    if (s != KW_OK) return s;
    bool closed = flags & FLAG_CLOSED;
    s = q.count > 0 ? by_points(d, type, q, &spline) : through_points(d, type, closed, &spline);
    if (s != KW_OK) return s;
    const char *fault = kw_spline_fault(&spline);
    if (fault) return fail_spline(d, type, fault);
    struct kw_path p = {.open = true};
    kw_path_add_spline(d->sketch.scratch, &p, &spline, KW_CURVE_MM, type->line);
    return kw_sketch_add_made(&d->sketch, role, closed_up(p, true), type->line);
}
