// SPDX-License-Identifier: Apache-2.0
// The part with some bends made: one rigid map a face.
//
// A bend of allowance B, inside radius R and angle A brings the child's tangent line onto the
// parent's (a shift of B along the normal) and turns it by A about an axis at the parent's tangent
// line, R above the top face (up) or below the bottom face (down).
#include "brake/inside.h"

static struct kw_vec2 line_direction(const struct kw_brake_bend *b) {
    struct kw_vec2 d = kw_sub2(b->to, b->from);
    return kw_scale2(d, 1 / kw_length2(d));
}

/// Signed distance from the bend's line at which the outline has an edge along the zone's rim: the
/// side on which the child is joined; 0 when it has none.
static double joined_side(const struct kw_brake_bend *b, const struct kw_path *outline,
                          struct kw_vec2 d, struct kw_vec2 n) {
    double length = kw_length2(kw_sub2(b->to, b->from));
    for (int i = 0; i < kw_path_segments(outline); i++) {
        struct kw_segment s = kw_path_segment(outline, i);
        struct kw_vec2 pa = kw_sub2(s.a, b->from), pb = kw_sub2(s.b, b->from);
        double ua = kw_dot2(pa, n), ub = kw_dot2(pb, n);
        double from = fmin(kw_dot2(pa, d), kw_dot2(pb, d));
        double to = fmax(kw_dot2(pa, d), kw_dot2(pb, d));
        bool on_rim = fabs(fabs(ua) - b->allowance / 2) < BRAKE_LINE_MM && fabs(ua - ub) < 0.01;
        if (s.radius == 0 && on_rim && fabs(ua) > 1e-4 &&
            fmin(to, length) - fmax(from, 0) > length / 4)
            return ua;
    }
    return 0;
}

struct kw_vec2 bend_normal(const struct kw_brake_part *part, int bend) {
    const struct kw_brake_bend *b = &part->bends[bend];
    struct kw_vec2 d = line_direction(b), n = kw_left2(d);
    const struct kw_path *outline = &part->faces[b->child].outline;
    double side = joined_side(b, outline, d, n);
    if (side == 0) { // a zone of no width, or an outline that is not cut at its rim
        struct kw_box2 box = kw_path_box(outline);
        side = kw_dot2(kw_sub2(kw_lerp2(box.min, box.max, 0.5), b->from), n);
    }
    return side < 0 ? kw_scale2(n, -1) : n;
}

static struct kw_vec3 flat3(struct kw_vec2 p, double z) {
    return kw_v3(p.x, p.y, z);
}

static struct kw_move3 inverse(struct kw_move3 m) {
    struct kw_move3 out = kw_move3_none();
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            out.r[i][j] = m.r[j][i];
    out.t = kw_scale3(kw_move3_direction(out, m.t), -1);
    return out;
}

struct bend_shape shape_of(const struct job *job, int bend, int state) {
    const struct kw_brake_bend *b = &job->part->bends[bend];
    struct bend_shape made = {b->angle, job->radii[bend], b->allowance};
    if (!b->hem) return made;
    made.zone = kw_brake_hem_zone(b->angle, made.radius, job->material.thickness);
    double share = state == BEND_HEMMED ? 1 : state == BEND_FLATTENING ? job->flattened : 0;
    return (struct bend_shape){made.angle + (KW_PI - made.angle) * share,
                               made.radius + (b->flat_radius - made.radius) * share,
                               made.zone + (b->allowance - made.zone) * share};
}

/// From the child's place in the blank to the parent's frame, with `part` of the angle turned.
static struct kw_move3 bend_move(const struct job *job, int bend, int state, double part) {
    const struct kw_brake_bend *b = &job->part->bends[bend];
    struct kw_vec2 n = job->normals[bend];
    struct bend_shape s = shape_of(job, bend, state);
    double t = job->material.thickness;
    struct kw_move3 shift = kw_move3_none();
    shift.t = flat3(kw_scale2(n, -s.zone), 0);
    struct kw_vec3 at =
        flat3(kw_sub2(b->from, kw_scale2(n, s.zone / 2)), b->down ? -s.radius : t + s.radius);
    struct kw_vec3 axis = kw_cross3(flat3(n, 0), kw_v3(0, 0, 1)); // turns n towards +z
    double angle = (b->down ? -1 : 1) * s.angle * part;
    return kw_move3_then(shift, kw_move3_turn(at, axis, angle));
}

/// Blank to stroke frame for the parent's face.
static struct kw_move3 stroke_frame(const struct job *job, int bend, bool parent_side) {
    const struct kw_brake_bend *b = &job->part->bends[bend];
    struct kw_vec2 u = kw_scale2(job->normals[bend], parent_side ? -1 : 1);
    struct kw_vec2 v = kw_left2(u), mid = kw_lerp2(b->from, b->to, 0.5);
    double over = b->down ? -1 : 1; // turned over about the u axis
    struct kw_move3 m = kw_move3_none();
    double rows[3][3] = {{u.x, u.y, 0}, {over * v.x, over * v.y, 0}, {0, 0, over}};
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            m.r[i][j] = rows[i][j];
    m.t = kw_v3(-kw_dot2(u, mid), -over * kw_dot2(v, mid), b->down ? job->material.thickness : 0);
    return m;
}

struct fold fold_for(const struct job *job, const unsigned char *done, int bend, bool parent_side) {
    const struct kw_brake_part *part = job->part;
    struct fold f = {.job = job, .done = done};
    f.faces = kw_alloc(job->scratch, (size_t)part->face_count * sizeof *f.faces);
    bool *placed = kw_alloc(job->scratch, (size_t)part->face_count);
    int start = part->bends[bend].parent;
    f.faces[start] = stroke_frame(job, bend, parent_side);
    placed[start] = true;
    for (int more = 1; more;) {
        more = 0;
        for (int i = 0; i < part->bend_count; i++) {
            int p = part->bends[i].parent, c = part->bends[i].child;
            if (placed[p] == placed[c]) continue;
            struct kw_move3 m = done[i] ? bend_move(job, i, done[i], 1) : kw_move3_none();
            if (placed[p])
                f.faces[c] = kw_move3_then(m, f.faces[p]);
            else
                f.faces[p] = kw_move3_then(inverse(m), f.faces[c]);
            placed[p] = placed[c] = true;
            more++;
        }
    }
    return f;
}

struct kw_vec3 fold_zone_point(const struct fold *f, int bend, double part, double along,
                               double z) {
    const struct kw_brake_bend *b = &f->job->part->bends[bend];
    struct kw_vec2 on = kw_lerp2(b->from, b->to, along), n = f->job->normals[bend];
    if (!f->done[bend])
        return kw_move3_point(f->faces[b->parent],
                              flat3(kw_add2(on, kw_scale2(n, (part - 0.5) * b->allowance)), z));
    int state = f->done[bend];
    struct kw_vec3 rim =
        flat3(kw_add2(on, kw_scale2(n, shape_of(f->job, bend, state).zone / 2)), z);
    return kw_move3_point(f->faces[b->parent],
                          kw_move3_point(bend_move(f->job, bend, state, part), rim));
}

bool face_beyond(const struct kw_brake_part *part, int face, int bend) {
    for (int left = part->bend_count; face != 0 && left >= 0; left--) {
        int up = -1;
        for (int i = 0; i < part->bend_count && up < 0; i++)
            if (part->bends[i].child == face) up = i;
        if (up == bend) return true;
        if (up < 0) return false;
        face = part->bends[up].parent;
    }
    return false;
}
