// SPDX-License-Identifier: Apache-2.0
// Curves as drawing programs have them, and how they become lines and arcs: ellipses and splines.
#pragma once

#include "geom/path.h"

/// A map of the plane that keeps straight lines straight: x' = xx x + xy y + x0, y' = yx x + yy y +
/// y0.
struct kw_affine2 {
    double xx, xy, yx, yy, x, y;
};
struct kw_affine2 kw_affine2_none(void);
struct kw_affine2 kw_affine2_then(struct kw_affine2 m, struct kw_affine2 n); ///< m first
/// Of a map that is one to one.
struct kw_affine2 kw_affine2_inverse(struct kw_affine2 m);
struct kw_vec2 kw_affine2_point(struct kw_affine2 m, struct kw_vec2 p);
struct kw_vec2 kw_affine2_direction(struct kw_affine2 m, struct kw_vec2 d);
/// Whether circles stay circles; *scale is by how much they grow, *mirrored whether they turn the
/// other way round.
bool kw_affine2_is_similar(struct kw_affine2 m, double *scale, bool *mirrored);

/// centre + u cos t + v sin t for t from `from` to `to` (at most a turn, in either direction). u
/// and v need not be square to each other: an affine map of an ellipse is the map of its u and v.
struct kw_ellipse {
    struct kw_vec2 centre, u, v;
    double from, to;
};
struct kw_ellipse kw_ellipse_mapped(const struct kw_ellipse *e, struct kw_affine2 m);
struct kw_vec2 kw_ellipse_point(const struct kw_ellipse *e, double t);

/// A B-spline of any degree, rational where it has weights: Piegl and Tiller, The NURBS Book, 1997,
/// chapters 2 to 4. It runs from knots[degree] to knots[count].
struct kw_spline {
    int degree; ///< 1 to KW_SPLINE_MOST_DEGREE
    int count;  ///< of points, degree + 1 or more
    struct kw_vec2 *points;
    double *weights; ///< count, above 0; NULL: all the same
    double *knots;   ///< count + degree + 1, never falling
};
#define KW_SPLINE_MOST_DEGREE 25
/// NULL when the spline is one, else what is wrong with it.
const char *kw_spline_fault(const struct kw_spline *s);
struct kw_vec2 kw_spline_point(const struct kw_spline *s, double t);
/// Cubic spline through all points, its curvature steady at each, by the length of the chords; at
/// the ends along `start` and `end` where they are given, else without curvature. Points that
/// repeat count once; NULL members when fewer than two are left.
struct kw_spline kw_spline_through(struct kw_arena *a, const struct kw_vec2 *points, int count,
                                   const struct kw_vec2 *start, const struct kw_vec2 *end);
/// The same round a closed loop of points, the first of which need not come again.
struct kw_spline kw_spline_around(struct kw_arena *a, const struct kw_vec2 *points, int count);

/// Appends the curve to an open path as lines and arcs that are nowhere farther than `tolerance`
/// from it and change direction only where it does; an empty path begins at the curve's start. What
/// is straight becomes a line, a circle (whole or in part) exact arcs; else pairs of arcs by
/// halving. Ends of pieces lie on the curve. `tag` goes to every segment.
void kw_path_add_ellipse(struct kw_arena *a, struct kw_path *p, const struct kw_ellipse *e,
                         double tolerance, int tag);
void kw_path_add_spline(struct kw_arena *a, struct kw_path *p, const struct kw_spline *s,
                        double tolerance, int tag);
/// The same for any curve given by a function: smooth from `from` to `to`, looked at in `spans`
/// equal parts or more.
struct kw_curve {
    const void *user;
    struct kw_vec2 (*point)(const void *user, double t);
};
void kw_path_add_curve(struct kw_arena *a, struct kw_path *p, const struct kw_curve *c, double from,
                       double to, int spans, double tolerance, int tag);
/// The segments of `q` mapped by `m`, appended to the open path `p` (q's first point where p is
/// empty): arcs stay arcs where circles stay circles, else they are fitted. A closed q is followed
/// round to its first point.
void kw_path_add_mapped(struct kw_arena *a, struct kw_path *p, const struct kw_path *q,
                        struct kw_affine2 m, double tolerance);
