// SPDX-License-Identifier: Apache-2.0
// How the part moves while it is bent.
#include "brake/inside.h"

struct swing swing_of(const struct job *job, const struct group *g, const struct trial *t,
                      int leg) {
    return (struct swing){leg,
                          t->angle_under_load,
                          job->part->bends[g->bends[0]].allowance,
                          {0, job->material.thickness + t->radius}};
}

struct lump swing_lump(const struct swing *s, const struct lump *l, double angle, double down) {
    struct lump out = {.count = l->count};
    double c = cos(angle / 2), n = s->leg * sin(angle / 2);
    double slide = s->leg * s->zone / 2 * (angle / s->angle);
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < l->count; i++) {
            double x = l->ring[k][i].x - slide - s->pivot.x, z = l->ring[k][i].z - s->pivot.y;
            out.ring[k][i] = kw_v3(s->pivot.x + c * x - n * z, l->ring[k][i].y,
                                   s->pivot.y + n * x + c * z - down);
        }
    return out;
}

struct kw_vec3 swing_point(const struct swing *s, struct kw_vec3 p, double angle, double down) {
    struct lump one = {.ring = {{p}}, .count = 1};
    return swing_lump(s, &one, angle, down).ring[0][0];
}

struct kw_vec3 swing_back(const struct swing *s, struct kw_vec3 p, double angle, double down) {
    double c = cos(angle / 2), n = s->leg * sin(angle / 2);
    double x = p.x - s->pivot.x, z = p.z + down - s->pivot.y;
    double slide = s->leg * s->zone / 2 * (angle / s->angle);
    return kw_v3(s->pivot.x + c * x + n * z + slide, p.y, s->pivot.y - n * x + c * z);
}

double swing_reach(const struct swing *s, const struct lump *l) {
    double far = 0;
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < l->count; i++) {
            double x = fabs(l->ring[k][i].x - s->pivot.x) + s->zone / 2;
            double off = hypot(x, l->ring[k][i].z - s->pivot.y);
            far = off > far ? off : far;
        }
    return far;
}

/// With the ram up: from the sheet, or a hem's flange, to the punch.
static double way_to_touch(const struct job *job, const struct kw_brake_step *step) {
    const struct kw_brake_press *press = &job->shop->press;
    struct kw_path p =
        kw_brake_punch_profile(job->scratch, &job->shop->punches[step->punch], false);
    struct kw_path d = kw_brake_die_profile(job->scratch, &job->shop->dies[step->die]);
    double tools = kw_path_box(&p).max.y - kw_path_box(&d).min.y;
    double lies = step->stage == 2 ? step->closed + step->depth : job->material.thickness;
    return press->open_height > 0 ? fmax(0, press->open_height - tools - lies) : 0;
}

/// A corner before the die as the room sees it: the ram presses it down or the bed carries it up.
static double corner_rise(const struct job *job, const struct swing *s, struct kw_vec3 p,
                          double depth) {
    if (p.x >= 0) return 0;
    double down = job->shop->press.bed_moves ? 0 : depth;
    return swing_point(s, p, s->angle, down).z - p.z;
}

void rise_figures(const struct job *job, const unsigned char *done, const struct group *g,
                  struct kw_brake_step *step) {
    const struct kw_brake_part *part = job->part;
    if (job->shop->press.bed_moves) step->carried = way_to_touch(job, step);
    if (g->stage == 2) {
        step->rise = job->shop->press.bed_moves ? step->depth : 0;
        return;
    }
    struct fold f = fold_for(job, done, g->bends[0], !step->gauge_child_side);
    struct trial t = {.radius = step->inside_radius, .angle_under_load = step->angle_under_load};
    for (int face = 0; face < part->face_count; face++) {
        bool beyond = false;
        for (int k = 0; k < g->count; k++)
            beyond = beyond || face_beyond(part, face, g->bends[k]);
        struct swing s = swing_of(job, g, &t, beyond == step->gauge_child_side ? 1 : -1);
        int count = 0;
        struct lump *lumps = lumps_of(&f, face, &count);
        for (int i = 0; i < count; i++)
            for (int k = 0; k < 2 * lumps[i].count; k++)
                step->rise = fmax(step->rise,
                                  corner_rise(job, &s, lumps[i].ring[k % 2][k / 2], step->depth));
    }
}
