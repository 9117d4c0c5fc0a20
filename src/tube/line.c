// SPDX-License-Identifier: Apache-2.0
// A centreline through points: what is on a straight drops out, what doubles back is named.
#include "tube/inside.h"

/// A turn smaller than this is none: over the longest tube read here it moves the end by 5 um.
static const double straight_on = 1e-7;

static void point_problem(struct kw_tube_problems *to, enum kw_tube_problem_kind kind, int point,
                          double measured, double limit, struct kw_vec3 at) {
    kw_tube_problem_add(to, (struct kw_tube_problem){kind, point, -1, -1, measured, limit, at, 0});
}

static bool in_range(struct kw_vec3 p) {
    return fabs(p.x) <= KW_MOST_MM && fabs(p.y) <= KW_MOST_MM && fabs(p.z) <= KW_MOST_MM;
}

static bool points_are_fine(const struct kw_vec3 *points, int count,
                            struct kw_tube_problems *problems) {
    bool fine = true;
    for (int i = 0; i < count; i++) {
        if (!in_range(points[i])) {
            point_problem(problems, KW_TUBE_OUT_OF_RANGE, i, 0, KW_MOST_MM, kw_v3(0, 0, 0));
            fine = false;
        } else if (i > 0 && in_range(points[i - 1]) &&
                   kw_length3(kw_sub3(points[i], points[i - 1])) < KW_SAME_POINT_MM) {
            point_problem(problems, KW_TUBE_ZERO_LENGTH_STRAIGHT, i, 0, 0, points[i]);
            fine = false;
        }
    }
    return fine;
}

static void keep(struct kw_tube_line *line, struct kw_vec3 p, double radius, int from) {
    line->v[line->count] = p;
    line->radius[line->count] = radius;
    line->from[line->count] = from;
    line->count++;
}

bool kw_tube_line_from_points(struct kw_arena *a, const struct kw_vec3 *points, int count,
                              const double *radii, double radius, struct kw_tube_line *line,
                              struct kw_tube_problems *problems) {
    *line = (struct kw_tube_line){0};
    if (count < 2) {
        point_problem(problems, KW_TUBE_TOO_FEW_POINTS, -1, count, 2, kw_v3(0, 0, 0));
        return false;
    }
    if (!points_are_fine(points, count, problems)) return false;
    line->v = KW_NEW_ARRAY(a, struct kw_vec3, count);
    line->radius = KW_NEW_ARRAY(a, double, count);
    line->from = KW_NEW_ARRAY(a, int, count);
    bool fine = true;
    keep(line, points[0], 0, 0);
    for (int i = 1; i < count - 1; i++) {
        double turn = angle_between(kw_sub3(points[i], line->v[line->count - 1]),
                                    kw_sub3(points[i + 1], points[i]));
        if (turn < straight_on) continue;
        double r = radii ? radii[i] : radius;
        if (!(turn <= KW_TUBE_MOST_TURN)) {
            point_problem(problems, KW_TUBE_DOUBLES_BACK, i, turn, KW_TUBE_MOST_TURN, points[i]);
            fine = false;
        } else if (!(r > 0 && r <= KW_MOST_MM)) {
            point_problem(problems, KW_TUBE_OUT_OF_RANGE, i, r, KW_MOST_MM, points[i]);
            fine = false;
        }
        keep(line, points[i], r, i);
    }
    keep(line, points[count - 1], 0, count - 1);
    return fine;
}
