// SPDX-License-Identifier: Apache-2.0
// The gauge's fingers as bodies: where they may rest along an edge, and whether they clear the
// tools.
#include "brake/inside.h"

#define CLEAR_MM     0.5
#define USUAL_HEIGHT 10.0 // mm (common practice, no source), as the next two
#define USUAL_WIDTH  25.0
#define USUAL_DEPTH  60.0
#define LEAST_REST   5.0 // mm of edge before a finger

double finger_height(const struct kw_brake_press *press) {
    return press->finger_height > 0 ? press->finger_height : USUAL_HEIGHT;
}

double finger_width(const struct kw_brake_press *press) {
    return press->finger_width > 0 ? press->finger_width : USUAL_WIDTH;
}

double finger_depth(const struct kw_brake_press *press) {
    return press->finger_depth > 0 ? press->finger_depth : USUAL_DEPTH;
}

/// How many slots of the edge a finger with its middle on slot k has before it; -1: shut.
static int rests_on(const bool *seen, const bool *shut, int slots, int k, int half) {
    int count = 0;
    for (int i = k - half; i <= k + half; i++) {
        if (i < 0 || i >= slots) continue; // beside the part
        if (shut[i]) return -1;
        count += seen[i];
    }
    return count;
}

struct fingers place_fingers(const struct kw_brake_press *press, const bool *seen, const bool *shut,
                             int slots, double from, double slot) {
    struct fingers out = {0};
    double wide = finger_width(press);
    double apart = press->fingers_least > 0 ? press->fingers_least : wide;
    int half = (int)ceil(wide / 2 / slot), best = 0, first = -1, last = -1, most = -1;
    int enough = (int)ceil(fmin(LEAST_REST, wide / 2) / slot);
    for (int k = 0; k < slots; k++) {
        int on = rests_on(seen, shut, slots, k, half);
        if (on < enough) continue;
        if (first < 0) first = k;
        bool near = !(press->fingers_most > 0) || (k - first) * slot <= press->fingers_most;
        if (near) last = k;
        // One finger stands where most of it rests, in the middle of such places.
        if (on > best) best = on, most = k;
    }
    if (first < 0) return out;
    if (last > first && (last - first) * slot >= apart) {
        out.count = 2;
        out.at[0] = from + (first + 0.5) * slot;
        out.at[1] = from + (last + 0.5) * slot;
        return out;
    }
    int end = most;
    while (end + 1 < slots && rests_on(seen, shut, slots, end + 1, half) == best)
        end++;
    out.count = 1;
    out.at[0] = from + ((most + end) / 2.0 + 0.5) * slot;
    return out;
}

/// Whether the box reaches into a convex blade: the box's sides and the blade's part convex shapes.
static bool box_in(const struct blade *b, double x0, double x1, double y0, double y1) {
    if (x0 >= b->box.max.x || x1 <= b->box.min.x || y0 >= b->box.max.y || y1 <= b->box.min.y)
        return false;
    for (int i = 0; i < b->count; i++) {
        double x = b->out[i].x > 0 ? x0 : x1,
               y = b->out[i].y > 0 ? y0 : y1; // the corner furthest in
        if ((x - b->v[i].x) * b->out[i].x + (y - b->v[i].y) * b->out[i].y >= 0) return false;
    }
    return true;
}

static bool box_in_any(const struct blades *tool, double x0, double x1, double y0, double y1) {
    for (int i = 0; i < tool->count; i++)
        if (box_in(&tool->v[i], x0, x1, y0, y1)) return true;
    return false;
}

bool fingers_in_tools(const struct job *job, const struct option *o, double x, double r) {
    const struct trial *t = &o->trial;
    const struct kw_brake_press *press = &job->shop->press;
    double depth = kw_brake_depth(t->angle_under_load, t->radius, job->material.thickness,
                                  &job->shop->dies[t->die]);
    // Towards the punch they stand as deep as it goes, unless the bed comes up past them.
    bool stays = press->bed_moves && press->gauge_stays;
    double up = stays ? 0 : depth, sinks = stays ? depth : 0;
    double x0 = x - CLEAR_MM, x1 = x + finger_depth(press);
    double y0 = r, y1 = r + finger_height(press) + CLEAR_MM;
    // A finger may lie on the die's top face.
    double low = (y0 > -0.01 && !stays ? 0 : y0 - CLEAR_MM) - sinks;
    return box_in_any(&o->die, x0, x1, low, y1) || box_in_any(&o->bed, x0, x1, low, y1) ||
           box_in_any(&o->punch, x0, x1, y0 + up, y1 + up) ||
           box_in_any(&o->ram, x0, x1, y0 + up, y1 + up);
}
