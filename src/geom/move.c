// SPDX-License-Identifier: Apache-2.0
// Rigid motions of the plane and of space.
#include "geom/units.h"
#include "geom/vec.h"

// Cosine and sine, exact where `radians` is a multiple of a quarter turn to within rounding: a part
// turned by 90 degrees keeps its coordinates to the last digit.
static void cos_sin(double radians, double *c, double *s) {
    static const double quarter_cos[4] = {1, 0, -1, 0};
    double quarters = radians / (KW_PI / 2);
    double whole = round(quarters);
    if (fabs(quarters - whole) < 1e-12) {
        int k = (int)(whole - 4 * floor(whole / 4));
        *c = quarter_cos[k];
        *s = quarter_cos[(k + 3) % 4];
        return;
    }
    *c = cos(radians);
    *s = sin(radians);
}

struct kw_move2 kw_move2_none(void) {
    return (struct kw_move2){1, 0, 0, 0, false};
}

struct kw_move2 kw_move2_make(double x, double y, double radians, bool mirror) {
    struct kw_move2 m = {1, 0, x, y, mirror};
    cos_sin(radians, &m.c, &m.s);
    return m;
}

static struct kw_vec2 turned(struct kw_move2 m, struct kw_vec2 p) {
    double x = m.mirror ? -p.x : p.x;
    return kw_v2(m.c * x - m.s * p.y, m.s * x + m.c * p.y);
}

struct kw_vec2 kw_move2_point(struct kw_move2 m, struct kw_vec2 p) {
    return kw_add2(turned(m, p), kw_v2(m.x, m.y));
}

struct kw_move2 kw_move2_then(struct kw_move2 first, struct kw_move2 second) {
    // A mirror passes a turn by reversing it: M R(t) = R(-t) M.
    double s1 = second.mirror ? -first.s : first.s;
    struct kw_vec2 t = kw_move2_point(second, kw_v2(first.x, first.y));
    return (struct kw_move2){
        .c = second.c * first.c - second.s * s1,
        .s = second.s * first.c + second.c * s1,
        .x = t.x,
        .y = t.y,
        .mirror = first.mirror != second.mirror,
    };
}

struct kw_move2 kw_move2_inverse(struct kw_move2 m) {
    struct kw_move2 back = {m.c, m.mirror ? m.s : -m.s, 0, 0, m.mirror};
    struct kw_vec2 t = turned(back, kw_v2(m.x, m.y));
    back.x = -t.x;
    back.y = -t.y;
    return back;
}

struct kw_move3 kw_move3_none(void) {
    return (struct kw_move3){.r = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
}

// Rodrigues' rotation formula, about an axis through the origin and then moved.
struct kw_move3 kw_move3_turn(struct kw_vec3 at, struct kw_vec3 axis, double radians) {
    double c, s;
    cos_sin(radians, &c, &s);
    double k = 1 - c, x = axis.x, y = axis.y, z = axis.z;
    struct kw_move3 m = {
        .r = {{c + x * x * k, x * y * k - z * s, x * z * k + y * s},
              {y * x * k + z * s, c + y * y * k, y * z * k - x * s},
              {z * x * k - y * s, z * y * k + x * s, c + z * z * k}},
    };
    m.t = kw_sub3(at, kw_move3_direction(m, at));
    return m;
}

struct kw_vec3 kw_move3_direction(struct kw_move3 m, struct kw_vec3 d) {
    return kw_v3(m.r[0][0] * d.x + m.r[0][1] * d.y + m.r[0][2] * d.z,
                 m.r[1][0] * d.x + m.r[1][1] * d.y + m.r[1][2] * d.z,
                 m.r[2][0] * d.x + m.r[2][1] * d.y + m.r[2][2] * d.z);
}

struct kw_vec3 kw_move3_point(struct kw_move3 m, struct kw_vec3 p) {
    return kw_add3(kw_move3_direction(m, p), m.t);
}

struct kw_move3 kw_move3_then(struct kw_move3 first, struct kw_move3 second) {
    struct kw_move3 m = {.t = kw_move3_point(second, first.t)};
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            for (int k = 0; k < 3; k++)
                m.r[i][j] += second.r[i][k] * first.r[k][j];
    return m;
}
