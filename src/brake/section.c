// SPDX-License-Identifier: Apache-2.0
// One stroke cut across, for the picture on the bend sheet: tools, the part as it lies, and under
// load. The part is cut by the plane halfway along the bend; each flat gives four-cornered pieces,
// each made bend a band of chords.
#include "brake/inside.h"

#define BAND 8 // chords of a made bend

static void close_quad(struct kw_arena *a, struct kw_path *p, const struct kw_vec2 *v, int count) {
    for (int i = 0; i < count; i++)
        kw_path_add(a, p, v[i].x, v[i].y, 0, 0);
}

/// The punch with its tip at height `tip`.
static struct kw_path punch_at(struct kw_arena *a, const struct kw_brake_punch *q, bool turned,
                               double tip) {
    struct kw_path p = kw_brake_punch_profile(a, q, turned);
    for (int i = 0; i < p.count; i++)
        p.v[i].y += tip;
    return p;
}

/// A piece of the part in section, in the stroke's frame. `side`: -1 and +1 move with the legs, 0
/// is the zone that is being bent.
struct piece {
    struct kw_path path;
    int side;
};

struct pieces {
    struct piece *v;
    int count;
};

/// Where the line p q crosses the plane v = 0; false when it does not.
static bool crosses(struct kw_vec3 p, struct kw_vec3 q, struct kw_vec2 *out) {
    if ((p.y < 0) == (q.y < 0)) return false;
    double t = p.y / (p.y - q.y);
    *out = kw_v2(p.x + (q.x - p.x) * t, p.z + (q.z - p.z) * t);
    return true;
}

/// Crossings of a face's outline on one surface with the plane, in order along their line.
static struct kw_vec2 *surface_cut(const struct fold *f, int face, double z, int *count) {
    struct kw_vec2 *out = NULL;
    int n = 0;
    struct kw_vec2 *v = kw_path_chords(f->job->scratch, &f->job->part->faces[face].outline,
                                       KW_CHORD_MM, KW_CHORD_INSIDE, &n);
    for (int i = 0; i < n; i++) {
        struct kw_vec2 p = v[i], q = v[(i + 1) % n], at;
        if (crosses(kw_move3_point(f->faces[face], kw_v3(p.x, p.y, z)),
                    kw_move3_point(f->faces[face], kw_v3(q.x, q.y, z)), &at))
            KW_PUSH(f->job->scratch, out, *count) = at;
    }
    // All lie on one line: sorted along the face's own trace in the plane.
    struct kw_vec3 normal = kw_move3_direction(f->faces[face], kw_v3(0, 0, 1));
    struct kw_vec2 along = kw_v2(normal.z, -normal.x);
    for (int i = 1; i < *count; i++)
        for (int j = i; j > 0 && kw_dot2(out[j], along) < kw_dot2(out[j - 1], along); j--) {
            struct kw_vec2 keep = out[j];
            out[j] = out[j - 1];
            out[j - 1] = keep;
        }
    return out;
}

static void cut_face(const struct fold *f, int face, int side, struct pieces *out) {
    int low_count = 0, high_count = 0;
    struct kw_vec2 *low = surface_cut(f, face, 0, &low_count);
    struct kw_vec2 *high = surface_cut(f, face, f->job->material.thickness, &high_count);
    if (low_count != high_count) return; // the plane grazes a flange that stands in it
    for (int i = 0; i + 1 < low_count; i += 2) {
        struct kw_vec2 quad[4] = {low[i], low[i + 1], high[i + 1], high[i]};
        struct piece p = {.side = side};
        close_quad(f->job->scratch, &p.path, quad, 4);
        KW_PUSH(f->job->scratch, out->v, out->count) = p;
    }
}

static void cut_zone(const struct fold *f, int bend, int side, struct pieces *out) {
    struct kw_vec2 rim[2][BAND + 1];
    for (int s = 0; s < 2; s++)
        for (int k = 0; k <= BAND; k++) {
            double z = s * f->job->material.thickness, part = (double)k / BAND;
            if (!crosses(fold_zone_point(f, bend, part, 0, z), fold_zone_point(f, bend, part, 1, z),
                         &rim[s][k]))
                return;
        }
    struct piece p = {.side = side};
    for (int k = 0; k <= BAND; k++)
        close_quad(f->job->scratch, &p.path, &rim[0][k], 1);
    for (int k = BAND; k >= 0; k--)
        close_quad(f->job->scratch, &p.path, &rim[1][k], 1);
    KW_PUSH(f->job->scratch, out->v, out->count) = p;
}

static struct pieces cut_part(const struct fold *f, const struct kw_brake_step *step) {
    const struct kw_brake_part *part = f->job->part;
    int child = step->gauge_child_side ? 1 : -1; // which way the children lie
    struct pieces out = {0};
    for (int i = 0; i < part->face_count; i++) {
        bool beyond = false;
        for (int k = 0; k < step->bend_count; k++)
            beyond = beyond || face_beyond(part, i, step->bends[k]);
        cut_face(f, i, beyond ? child : -child, &out);
    }
    for (int i = 0; i < part->bend_count; i++) {
        bool own = false, beyond = false;
        for (int k = 0; k < step->bend_count; k++) {
            own = own || step->bends[k] == i;
            beyond = beyond || face_beyond(part, part->bends[i].child, step->bends[k]);
        }
        cut_zone(f, i, own ? 0 : beyond ? child : -child, &out);
    }
    return out;
}

/// The part of a closed chain of lines with u at most `reach` (sign 1) or at least -reach (-1).
static struct kw_path clip(struct kw_arena *a, const struct kw_path *p, double reach, double sign) {
    struct kw_path out = {0};
    for (int i = 0; i < p->count; i++) {
        struct kw_vertex v = p->v[i], w = p->v[(i + 1) % p->count];
        double dv = reach - sign * v.x, dw = reach - sign * w.x;
        if (dv >= 0) kw_path_add(a, &out, v.x, v.y, 0, 0);
        if ((dv >= 0) != (dw >= 0)) {
            double t = dv / (dv - dw);
            kw_path_add(a, &out, v.x + (w.x - v.x) * t, v.y + (w.y - v.y) * t, 0, 0);
        }
    }
    return out;
}

/// A piece as it lies under load: the leg slides by half the zone, swings up by half the angle
/// about the inside radius' centre, and goes down with the punch.
static struct kw_path swung(struct kw_arena *a, const struct kw_path *p, int side, double zone,
                            double angle, struct kw_vec2 pivot, double depth) {
    struct kw_path out = {0};
    double c = cos(angle / 2), s = side * sin(angle / 2);
    for (int i = 0; i < p->count; i++) {
        double x = p->v[i].x - side * zone / 2 - pivot.x, y = p->v[i].y - pivot.y;
        kw_path_add(a, &out, pivot.x + c * x - s * y, pivot.y + s * x + c * y - depth, 0, 0);
    }
    return out;
}

/// The zone under load: an arc band about `centre`.
static struct kw_path bent_band(struct kw_arena *a, struct kw_vec2 centre, double radius,
                                double thick, double angle) {
    struct kw_path p = {0};
    double s = sin(angle / 2), c = cos(angle / 2), outer = radius + thick, bulge = tan(angle / 4);
    kw_path_add(a, &p, centre.x - outer * s, centre.y - outer * c, bulge, 0);
    kw_path_add(a, &p, centre.x + outer * s, centre.y - outer * c, 0, 0);
    kw_path_add(a, &p, centre.x + radius * s, centre.y - radius * c, -bulge, 0);
    kw_path_add(a, &p, centre.x - radius * s, centre.y - radius * c, 0, 0);
    return p;
}

/// Flattening: the part as it lies, and with its hem flat; nothing swings.
static void draw_flattened(struct kw_arena *a, const struct job *job, unsigned char *done,
                           const struct kw_brake_step *step, double reach,
                           struct kw_brake_section *out) {
    for (int after = 0; after < 2; after++) {
        for (int k = 0; k < step->bend_count; k++)
            done[step->bends[k]] = after ? BEND_HEMMED : BEND_MADE;
        struct fold f = fold_for(job, done, step->bends[0], !step->gauge_child_side);
        struct pieces pieces = cut_part(&f, step);
        for (int i = 0; i < pieces.count; i++) {
            struct kw_path p = pieces.v[i].path;
            if (reach > 0) {
                p = clip(a, &p, reach, 1);
                p = clip(a, &p, reach, -1);
            }
            if (p.count < 3) continue;
            p = kw_path_oriented(a, &p, true);
            if (after)
                KW_PUSH(a, out->after, out->after_count) = p;
            else
                KW_PUSH(a, out->before, out->before_count) = p;
        }
    }
}

static void draw_part(struct kw_arena *a, const struct job *job, const struct kw_brake_step *step,
                      const struct pieces *pieces, double reach, double depth,
                      struct kw_brake_section *out) {
    double thick = job->material.thickness, load = step->angle_under_load;
    struct kw_vec2 pivot = kw_v2(0, thick + step->inside_radius);
    double zone = job->part->bends[step->bends[0]].allowance;
    bool bent = false;
    for (int i = 0; i < pieces->count; i++) {
        struct kw_path p = pieces->v[i].path;
        if (reach > 0) {
            p = clip(a, &p, reach, 1);
            p = clip(a, &p, reach, -1);
        }
        if (p.count < 3) continue;
        KW_PUSH(a, out->before, out->before_count) = kw_path_oriented(a, &p, true);
        int side = pieces->v[i].side;
        if (side == 0 && bent) continue; // bends in one stroke have one band
        bent = bent || side == 0;
        struct kw_path moved =
            side ? swung(a, &p, side, zone, load, pivot, depth)
                 : bent_band(a, kw_v2(0, pivot.y - depth), step->inside_radius, thick, load);
        KW_PUSH(a, out->after, out->after_count) = kw_path_oriented(a, &moved, true);
    }
}

static void set_up(struct job *job, const struct kw_brake_plan *plan, int step,
                   unsigned char *done) {
    for (int i = 0; i < job->part->bend_count; i++) {
        job->normals[i] = bend_normal(job->part, i);
        job->radii[i] = job->part->bends[i].radius;
    }
    for (int s = 0; s < plan->step_count; s++)
        for (int k = 0; k < plan->steps[s].bend_count; k++) {
            int b = plan->steps[s].bends[k];
            if (!(job->radii[b] > 0)) job->radii[b] = plan->steps[s].inside_radius;
            if (s < step) done[b] = (unsigned char)plan->steps[s].stage;
        }
}

static void raise_path(struct kw_path *p, double up) {
    for (int i = 0; i < p->count; i++)
        p->v[i].y += up;
}

/// As the room sees it where the bed moves: the punch stays, all else comes up.
static void raise_after(struct kw_brake_section *s, double up) {
    raise_path(&s->die_after, up);
    raise_path(&s->punch_after, up);
    for (int i = 0; i < s->after_count; i++)
        raise_path(&s->after[i], up);
}

bool kw_brake_section(struct kw_arena *arena, const struct kw_brake_part *part,
                      const struct kw_brake_material *material, const struct kw_brake_shop *shop,
                      const struct kw_brake_plan *plan, int step, double reach,
                      struct kw_brake_section *out) {
    kw_assert(step >= 0 && step < plan->step_count);
    const struct kw_brake_step *s = &plan->steps[step];
    *out = (struct kw_brake_section){.gauge_x = NAN, .gauge_r = NAN};
    bool flatten = s->stage == 2;
    if (s->die < 0 || s->punch < 0) return false;
    if (!flatten && !(s->angle_under_load > 0 && s->angle_under_load < KW_PI)) return false;
    struct kw_arena scratch = {0};
    struct job job = {.arena = arena, .scratch = &scratch, .part = part, .shop = shop};
    job.material = *material;
    size_t n = (size_t)part->bend_count;
    job.normals = kw_alloc(&scratch, n * sizeof *job.normals);
    job.radii = kw_alloc(&scratch, n * sizeof *job.radii);
    unsigned char *done = kw_alloc(&scratch, n);
    set_up(&job, plan, step, done);
    double depth = s->depth, bottom = flatten ? s->closed + depth : material->thickness;
    if (flatten) {
        draw_flattened(arena, &job, done, s, reach, out);
    } else {
        struct fold f = fold_for(&job, done, s->bends[0], !s->gauge_child_side);
        struct pieces pieces = cut_part(&f, s);
        depth = kw_brake_depth(s->angle_under_load, s->inside_radius, material->thickness,
                               &shop->dies[s->die]);
        draw_part(arena, &job, s, &pieces, reach, depth, out);
    }
    out->die = kw_brake_die_profile(arena, &shop->dies[s->die]);
    out->die_after = kw_path_copy(arena, &out->die);
    out->punch_before = punch_at(arena, &shop->punches[s->punch], s->punch_turned, bottom);
    out->punch_after = punch_at(arena, &shop->punches[s->punch], s->punch_turned, bottom - depth);
    if (shop->press.bed_moves) raise_after(out, depth);
    if (s->gauged) {
        out->gauge_x = s->gauge_x;
        out->gauge_r = s->gauge_r;
    }
    kw_arena_free(&scratch);
    return true;
}

/// The part as it stands at the moment, cut across at the spot.
static void draw_moment(struct kw_arena *a, const struct job *job, const struct kw_brake_hit *hit,
                        const unsigned char *made, double reach, struct kw_brake_section *out) {
    struct kw_brake_step s = {
        .bends = hit->bends, .bend_count = hit->bend_count, .gauge_child_side = hit->child_behind};
    struct fold f = fold_for(job, made, hit->bends[0], !hit->child_behind);
    for (int i = 0; i < job->part->face_count; i++)
        f.faces[i].t.y -= hit->at.y;
    struct pieces pieces = cut_part(&f, &s);
    struct kw_vec2 pivot = kw_v2(0, job->material.thickness + hit->inside_radius);
    double zone = job->part->bends[hit->bends[0]].allowance;
    double made_of_it = hit->stage == 1 ? hit->turn / hit->angle_under_load : 0;
    for (int i = 0; i < pieces.count; i++) {
        struct kw_path p = pieces.v[i].path;
        int side = pieces.v[i].side;
        if (side == 0 && hit->stage == 1 && hit->turn > 0) {
            p = bent_band(a, kw_v2(0, pivot.y - hit->depth), hit->inside_radius,
                          job->material.thickness, hit->turn);
        } else {
            p = swung(a, &p, hit->stage == 1 ? side : 0, zone * made_of_it,
                      hit->stage == 1 && side ? hit->turn : 0, pivot, hit->depth);
        }
        if (reach > 0) {
            p = clip(a, &p, reach, 1);
            p = clip(a, &p, reach, -1);
        }
        if (p.count < 3) continue;
        KW_PUSH(a, out->after, out->after_count) = kw_path_oriented(a, &p, true);
    }
}

static struct kw_path beam(struct kw_arena *a, double wide, double from, double to) {
    return kw_path_box_outline(a, -wide / 2, from, wide / 2, to, 0);
}

bool kw_brake_collision(struct kw_arena *arena, const struct kw_brake_part *part,
                        const struct kw_brake_material *material, const struct kw_brake_shop *shop,
                        const struct kw_brake_plan *plan, const struct kw_brake_hit *hit,
                        double reach, struct kw_brake_collision *out) {
    *out = (struct kw_brake_collision){.section = {.gauge_x = NAN, .gauge_r = NAN}};
    if (!hit || hit->die < 0 || hit->punch < 0) return false;
    struct kw_arena scratch = {0};
    struct job job = {.arena = arena, .scratch = &scratch, .part = part, .shop = shop};
    job.material = *material;
    job.flattened = hit->flattened;
    size_t n = (size_t)part->bend_count;
    job.normals = kw_alloc(&scratch, n * sizeof *job.normals);
    job.radii = kw_alloc(&scratch, n * sizeof *job.radii);
    unsigned char *made = kw_alloc(&scratch, n), *unused = kw_alloc(&scratch, n);
    set_up(&job, plan, 0, unused);
    for (size_t i = 0; i < n; i++)
        made[i] = hit->made[i];
    for (int k = 0; k < hit->bend_count && hit->stage == 2; k++)
        made[hit->bends[k]] = BEND_FLATTENING;
    draw_moment(arena, &job, hit, made, reach, &out->section);
    double tip = material->thickness;
    if (hit->stage == 2) tip = 2 * (tip + part->bends[hit->bends[0]].flat_radius);
    out->section.die = kw_brake_die_profile(arena, &shop->dies[hit->die]);
    out->section.punch_after = punch_at(arena, &shop->punches[hit->punch], hit->punch_turned,
                                        tip + hit->lift - hit->depth);
    double low = kw_path_box(&out->section.die).min.y;
    double top = kw_path_box(&out->section.punch_after).max.y;
    out->ram = beam(arena, shop->press.ram_width > 0 ? shop->press.ram_width : RAM_WIDE, top,
                    top + BEAM_TALL);
    out->bed = beam(arena, shop->press.bed_width > 0 ? shop->press.bed_width : BED_WIDE,
                    low - BEAM_TALL, low);
    out->spot = kw_v2(hit->at.x, hit->at.z);
    kw_arena_free(&scratch);
    return true;
}
