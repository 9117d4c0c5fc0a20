// SPDX-License-Identifier: Apache-2.0
// What the trade's handbooks say about one air bend: force, springback, depth, legs.
#include "brake/brake.h"

#define DEGREE (KW_PI / 180)

static const struct {
    const char *name, *unit;
} problems[] = {
#define X(name, id, unit) {id, unit},
    KW_BRAKE_PROBLEM_LIST(X)
#undef X
};

const char *kw_brake_problem_name(enum kw_brake_problem_kind kind) {
    return problems[kind].name;
}
const char *kw_brake_problem_unit(enum kw_brake_problem_kind kind) {
    return problems[kind].unit;
}

const char *kw_brake_obstacle_name(enum kw_brake_obstacle what) {
    static const char *const names[] = {"punch", "die", "ram", "bed"};
    return names[what];
}

double kw_brake_bed(const struct kw_brake_shop *shop) {
    return shop->press.bed_length > 0 ? shop->press.bed_length : 10000;
}

double kw_brake_force(double tensile, double length, double thickness, double opening) {
    double wide = fmin(1, fmax(0, opening / thickness / 8 - 1)); // 0 at 8 t, 1 at 16 t
    return (1.33 - 0.13 * wide) * tensile * length * thickness * thickness / opening;
}

double kw_brake_angle_under_load(double angle, double radius, double thickness, double yield,
                                 double modulus, double *sprung_radius) {
    double x = radius * yield / (modulus * thickness);
    if (!(x < 0.5)) return 0;
    // 4x^3 - 3x + 1 = (1 + x)(1 - 2x)^2: the product keeps its sign near x = 0.5.
    double sprung = radius / ((1 + x) * (1 - 2 * x) * (1 - 2 * x));
    if (sprung_radius) *sprung_radius = sprung;
    return angle * (sprung + thickness / 2) / (radius + thickness / 2);
}

/// Half the distance of the centres of the die's shoulders.
static double shoulder_half_spacing(const struct kw_brake_die *die) {
    // Top face and flank enclose pi/2 + angle/2 of metal; the rounding's centre is above the point
    // at radius / tan(half of that) from the corner.
    return die->opening / 2 + die->shoulder_radius / tan((KW_PI / 2 + die->angle / 2) / 2);
}

double kw_brake_flatten_force(double tensile, double length, double thickness) {
    return 4 * 1.33 * tensile * length * thickness / 8;
}

double kw_brake_hem_zone(double angle, double radius, double thickness) {
    return angle * (radius + 0.44 * thickness);
}

double kw_brake_depth(double angle, double radius, double thickness,
                      const struct kw_brake_die *die) {
    double round = radius + thickness + die->shoulder_radius;
    return shoulder_half_spacing(die) * tan(angle / 2) - round * (1 / cos(angle / 2) - 1);
}

double kw_brake_depth_slope(double angle, double radius, double thickness,
                            const struct kw_brake_die *die) {
    double round = radius + thickness + die->shoulder_radius;
    double sec = 1 / cos(angle / 2);
    return (shoulder_half_spacing(die) * sec * sec - round * sec * tan(angle / 2)) / 2;
}

double kw_brake_least_leg(double angle, double opening, enum kw_level level) {
    // The tangent points slide out along the legs as the bend closes: geometry alone asks for
    // V / (2 cos(A/2)), 0.71 V at 90 degrees and 1.31 V at 135; practice allows a little less.
    double past = fmax(0, angle - 90 * DEGREE) / (45 * DEGREE);
    double factor = 0.65 + past * (1.1 - 0.65);
    if (level != KW_STOP) factor *= 0.75 / 0.65;
    return factor * opening;
}

double kw_brake_wanted_opening(double thickness) {
    if (thickness <= 2.7) return 6 * thickness;
    if (thickness <= 8) return 8 * thickness;
    return (thickness <= 12 ? 10 : 12) * thickness;
}
