// SPDX-License-Identifier: Apache-2.0
#include "packet/bend_judged.h"

#define CHORD_MM 0.02

static const double (*points(struct kw_arena *a, const struct kw_path *path, int *count))[2] {
    struct kw_path ccw = kw_path_oriented(a, path, true);
    struct kw_vec2 *v = kw_path_chords(a, &ccw, CHORD_MM, KW_CHORD_INSIDE, count);
    double(*out)[2] = kw_alloc(a, (size_t)*count * sizeof *out);
    for (int i = 0; i < *count; i++) {
        out[i][0] = v[i].x;
        out[i][1] = v[i].y;
    }
    return (void *)out;
}

/// Towards the child: where the middle of its outline lies.
static void set_normal(struct kw_bent_bend *out, const struct kw_brake_part *part,
                       const struct kw_brake_bend *b) {
    struct kw_region child = {.outer = part->faces[b->child].outline};
    struct kw_vec2 d = kw_sub2(b->to, b->from);
    struct kw_vec2 n = kw_scale2(kw_left2(d), 1 / kw_length2(d));
    if (kw_dot2(n, kw_sub2(kw_region_centroid(&child), b->from)) < 0) n = kw_scale2(n, -1);
    out->normal[0] = n.x;
    out->normal[1] = n.y;
}

static double radius_of(const struct kw_brake_plan *plan, int bend, double designed) {
    for (int i = 0; plan && !(designed > 0) && i < plan->step_count; i++)
        for (int k = 0; k < plan->steps[i].bend_count; k++)
            if (plan->steps[i].bends[k] == bend) return plan->steps[i].inside_radius;
    return designed;
}

struct kw_bent_part packet_bent_part(struct kw_arena *a, const struct kw_brake_part *part,
                                     const struct kw_brake_material *material,
                                     const struct kw_brake_plan *plan) {
    struct kw_bent_face *faces = KW_NEW_ARRAY(a, struct kw_bent_face, part->face_count);
    struct kw_bent_bend *bends = KW_NEW_ARRAY(a, struct kw_bent_bend, part->bend_count);
    for (int i = 0; i < part->face_count; i++)
        faces[i].at = points(a, &part->faces[i].outline, &faces[i].count);
    for (int i = 0; i < part->bend_count; i++) {
        const struct kw_brake_bend *b = &part->bends[i];
        bends[i] = (struct kw_bent_bend){.parent = b->parent,
                                         .child = b->child,
                                         .from = {b->from.x, b->from.y},
                                         .to = {b->to.x, b->to.y},
                                         .angle = b->angle,
                                         .radius = radius_of(plan, i, b->radius),
                                         .allowance = b->allowance,
                                         .down = b->down,
                                         .hem = b->hem};
        if (b->hem) { // the die gave the first radius
            bends[i].first_radius = bends[i].radius;
            bends[i].first_zone = kw_brake_hem_zone(b->angle, bends[i].radius, material->thickness);
            bends[i].radius = b->flat_radius;
        }
        set_normal(&bends[i], part, b);
    }
    struct kw_bent_bump *bumps = KW_NEW_ARRAY(a, struct kw_bent_bump, part->bump_count + 1);
    for (int i = 0; i < part->bump_count; i++) {
        const struct kw_brake_bump *b = &part->bumps[i];
        bumps[i] = (struct kw_bent_bump){b->face, {b->at.x, b->at.y}, b->radius, b->height, b->down,
                                         b->after};
    }
    return (struct kw_bent_part){.faces = faces,
                                 .face_count = part->face_count,
                                 .bends = bends,
                                 .bend_count = part->bend_count,
                                 .bumps = bumps,
                                 .bump_count = part->bump_count,
                                 .thickness = material->thickness};
}

static double whole(const double *pieces, int count, double length) {
    double sum = 0;
    for (int i = 0; i < count; i++)
        sum += pieces[i];
    return count > 0 ? sum : length;
}

static struct kw_bent_tool tool(struct kw_arena *a, const struct kw_path *section, double at,
                                double length, double all, double bed) {
    struct kw_bent_tool t = {.from = at};
    t.at = points(a, section, &t.count);
    t.to = at + (length > 0 ? length : all > 0 ? all : bed);
    return t;
}

struct kw_bent_stroke packet_bent_stroke(struct kw_arena *a, const struct kw_brake_shop *shop,
                                         double thickness, const struct kw_brake_step *step) {
    const struct kw_brake_die *die = &shop->dies[step->die];
    const struct kw_brake_punch *punch = &shop->punches[step->punch];
    const struct kw_brake_press *press = &shop->press;
    struct kw_path d = kw_brake_die_profile(a, die);
    struct kw_path p = kw_brake_punch_profile(a, punch, step->punch_turned);
    double bed = kw_brake_bed(shop);
    double tip = step->stage == 2 ? step->closed : thickness;
    double open = press->open_height + kw_path_box(&d).min.y - kw_path_box(&p).max.y - tip;
    struct kw_bent_stroke s = {
        .bends = step->bends,
        .bend_count = step->bend_count,
        .child_behind = step->gauge_child_side,
        .flatten = step->stage == 2,
        .closed = step->closed,
        .under_load = step->angle_under_load,
        .radius = step->inside_radius,
        .opening = die->opening,
        .shoulder = die->shoulder_radius,
        .die_angle = die->angle,
        .ram_width = press->ram_width > 0 ? press->ram_width : 60,
        .bed_width = press->bed_width > 0 ? press->bed_width : 80,
        .open = press->open_height > 0 ? fmax(open, 0) : 100,
        .gauged = step->gauged,
        .gauge_x = step->gauge_x,
        .gauge_r = step->gauge_r,
        .gauge_back = step->gauge_back,
        .fingers = {step->fingers[0], step->fingers[1]},
        .finger_count = step->finger_count,
        .finger_size = {press->finger_depth > 0 ? press->finger_depth : 60,
                        press->finger_width > 0 ? press->finger_width : 25,
                        press->finger_height > 0 ? press->finger_height : 10},
        .gauge_stays = press->bed_moves && press->gauge_stays,
        .throat = press->throat,
        .between_frames = press->between_frames};
    s.punch = tool(a, &p, step->punch_at, step->punch_length,
                   whole(punch->segments, punch->segment_count, punch->length), bed);
    s.die = tool(a, &d, step->die_at, step->die_length,
                 whole(die->segments, die->segment_count, die->length), bed);
    return s;
}

static struct kw_bent_stroke *strokes_of(struct kw_arena *a, const struct kw_brake_part *part,
                                         const struct kw_brake_material *material,
                                         const struct kw_brake_shop *shop,
                                         const struct kw_brake_plan *plan) {
    struct kw_bent_stroke *strokes = KW_NEW_ARRAY(a, struct kw_bent_stroke, plan->step_count + 1);
    for (int i = 0; i < plan->step_count; i++) {
        strokes[i] = packet_bent_stroke(a, shop, material->thickness, &plan->steps[i]);
        strokes[i].own_tool = part->bends[plan->steps[i].bends[0]].own_tool;
    }
    return strokes;
}

int packet_judge_bends(const struct kw_brake_part *part, const struct kw_brake_material *material,
                       const struct kw_brake_shop *shop, const struct kw_brake_plan *plan,
                       const double (*finished)[3], struct kw_verdict *verdict) {
    struct kw_bent_part bent = packet_bent_part(verdict->arena, part, material, plan);
    bent.finished = finished;
    return kw_judge_brake(&bent, strokes_of(verdict->arena, part, material, shop, plan),
                          plan->step_count, verdict);
}

int packet_judge_brake(const struct kw_check_brake *b, struct kw_verdict *verdict) {
    struct kw_arena *a = verdict->arena;
    struct kw_bent_part bent = packet_bent_part(a, &b->part, &b->material, &b->plan);
    struct kw_bent_flare *flares = KW_NEW_ARRAY(a, struct kw_bent_flare, b->flare_count + 1);
    for (int i = 0; i < b->flare_count; i++) {
        const struct kw_check_flare *f = &b->flares[i];
        flares[i] = (struct kw_bent_flare){f->face, {f->at.x, f->at.y}, f->clear, f->after};
    }
    bent.finished = b->finished;
    bent.flares = flares;
    bent.flare_count = b->flare_count;
    bent.throat = b->throat;
    bent.daylight = b->daylight;
    return kw_judge_brake(&bent, strokes_of(a, &b->part, &b->material, &b->shop, &b->plan),
                          b->plan.step_count, verdict);
}
