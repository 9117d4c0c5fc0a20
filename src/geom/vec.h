// SPDX-License-Identifier: Apache-2.0
// Vectors and rigid motions by value.
#pragma once

#include <math.h>
#include <stdbool.h>

struct kw_vec2 {
    double x, y;
};
struct kw_vec3 {
    double x, y, z;
};
struct kw_box2 {
    struct kw_vec2 min, max;
};
struct kw_box3 {
    struct kw_vec3 min, max;
};

static inline struct kw_vec2 kw_v2(double x, double y) {
    return (struct kw_vec2){x, y};
}
static inline struct kw_vec2 kw_add2(struct kw_vec2 a, struct kw_vec2 b) {
    return kw_v2(a.x + b.x, a.y + b.y);
}
static inline struct kw_vec2 kw_sub2(struct kw_vec2 a, struct kw_vec2 b) {
    return kw_v2(a.x - b.x, a.y - b.y);
}
static inline struct kw_vec2 kw_scale2(struct kw_vec2 a, double s) {
    return kw_v2(a.x * s, a.y * s);
}
static inline double kw_dot2(struct kw_vec2 a, struct kw_vec2 b) {
    return a.x * b.x + a.y * b.y;
}
static inline double kw_cross2(struct kw_vec2 a, struct kw_vec2 b) {
    return a.x * b.y - a.y * b.x;
}
static inline double kw_length2(struct kw_vec2 a) {
    return hypot(a.x, a.y);
}
/// Turned a quarter counter-clockwise.
static inline struct kw_vec2 kw_left2(struct kw_vec2 a) {
    return kw_v2(-a.y, a.x);
}
static inline struct kw_vec2 kw_lerp2(struct kw_vec2 a, struct kw_vec2 b, double t) {
    return kw_v2(a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t);
}
static inline struct kw_vec3 kw_v3(double x, double y, double z) {
    return (struct kw_vec3){x, y, z};
}
static inline struct kw_vec3 kw_add3(struct kw_vec3 a, struct kw_vec3 b) {
    return kw_v3(a.x + b.x, a.y + b.y, a.z + b.z);
}
static inline struct kw_vec3 kw_sub3(struct kw_vec3 a, struct kw_vec3 b) {
    return kw_v3(a.x - b.x, a.y - b.y, a.z - b.z);
}
static inline struct kw_vec3 kw_scale3(struct kw_vec3 a, double s) {
    return kw_v3(a.x * s, a.y * s, a.z * s);
}
static inline double kw_dot3(struct kw_vec3 a, struct kw_vec3 b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
static inline struct kw_vec3 kw_cross3(struct kw_vec3 a, struct kw_vec3 b) {
    return kw_v3(a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x);
}
static inline double kw_length3(struct kw_vec3 a) {
    return sqrt(kw_dot3(a, a));
}

/// A rigid motion in the plane: mirror x first where asked, turn by (c, s), then move. This is the
/// placement rule of run.json.
struct kw_move2 {
    double c, s; ///< cosine and sine of the turn
    double x, y;
    bool mirror; ///< x becomes -x before the turn
};
struct kw_move2 kw_move2_none(void);
/// Exact c and s for multiples of 90 degrees.
struct kw_move2 kw_move2_make(double x, double y, double radians, bool mirror);
struct kw_vec2 kw_move2_point(struct kw_move2 m, struct kw_vec2 p);
struct kw_move2 kw_move2_then(struct kw_move2 first, struct kw_move2 second);
struct kw_move2 kw_move2_inverse(struct kw_move2 m);

/// A rigid motion in space: p -> r p + t, r orthonormal, row by row.
struct kw_move3 {
    double r[3][3];
    struct kw_vec3 t;
};
struct kw_move3 kw_move3_none(void);
/// Turn by `radians` about the axis through `at` along the unit vector `axis` (right hand rule).
struct kw_move3 kw_move3_turn(struct kw_vec3 at, struct kw_vec3 axis, double radians);
struct kw_vec3 kw_move3_point(struct kw_move3 m, struct kw_vec3 p);
struct kw_vec3 kw_move3_direction(struct kw_move3 m, struct kw_vec3 d);
struct kw_move3 kw_move3_then(struct kw_move3 first, struct kw_move3 second);
