// SPDX-License-Identifier: Apache-2.0
// A part changed a little, to see whether it could be bent then: a longer leg, a lower flange, a
// flange cut back at an end.
#include "brake/inside.h"

/// A copy whose faces, bends and bumps may be changed.
struct draft {
    struct kw_brake_face *faces;
    struct kw_brake_bend *bends;
    struct kw_brake_bump *bumps;
    struct kw_brake_part part;
};

static struct draft copy_of(const struct job *job) {
    struct kw_arena *a = job->scratch;
    const struct kw_brake_part *p = job->part;
    struct draft d = {.faces = KW_NEW_ARRAY(a, struct kw_brake_face, p->face_count),
                      .bends = KW_NEW_ARRAY(a, struct kw_brake_bend, p->bend_count),
                      .bumps = KW_NEW_ARRAY(a, struct kw_brake_bump, p->bump_count + 1),
                      .part = *p};
    for (int i = 0; i < p->face_count; i++)
        d.faces[i] =
            (struct kw_brake_face){p->faces[i].name, kw_path_copy(a, &p->faces[i].outline)};
    for (int i = 0; i < p->bend_count; i++) {
        d.bends[i] = p->bends[i];
        d.bends[i].legs[0] = d.bends[i].legs[1] = 0; // measured again
    }
    for (int i = 0; i < p->bump_count; i++)
        d.bumps[i] = p->bumps[i];
    d.part.faces = d.faces;
    d.part.bends = d.bends;
    d.part.bumps = d.bumps;
    return d;
}

static void shift_vertex(struct kw_path *p, int i, struct kw_vec2 by) {
    p->v[i].x += by.x;
    p->v[i].y += by.y;
}

static void shift_face(struct draft *d, int face, struct kw_vec2 by) {
    for (int i = 0; i < d->faces[face].outline.count; i++)
        shift_vertex(&d->faces[face].outline, i, by);
    for (int i = 0; i < d->part.bump_count; i++)
        if (d->bumps[i].face == face) d->bumps[i].at = kw_add2(d->bumps[i].at, by);
}

static void shift_bend(struct draft *d, int bend, struct kw_vec2 by) {
    d->bends[bend].from = kw_add2(d->bends[bend].from, by);
    d->bends[bend].to = kw_add2(d->bends[bend].to, by);
}

/// Everything that hangs on the bend's child, the child itself too when `whole`.
static void shift_beyond(const struct job *job, struct draft *d, int bend, bool whole,
                         struct kw_vec2 by) {
    int child = job->part->bends[bend].child;
    for (int f = 0; f < job->part->face_count; f++)
        if (face_beyond(job->part, f, bend) && (whole || f != child)) shift_face(d, f, by);
    for (int b = 0; b < job->part->bend_count; b++)
        if (b != bend && face_beyond(job->part, job->part->bends[b].child, bend))
            shift_bend(d, b, by);
}

/// How far out from the bend's line a point lies.
static double out_from(const struct job *job, int bend, double x, double y) {
    struct kw_vec2 p = kw_sub2(kw_v2(x, y), job->part->bends[bend].from);
    return kw_dot2(p, job->normals[bend]);
}

struct kw_brake_part longer_leg(const struct job *job, int bend, bool child, double more,
                                int *face) {
    struct draft d = copy_of(job);
    const struct kw_brake_bend *b = &job->part->bends[bend];
    struct kw_vec2 by = kw_scale2(job->normals[bend], more);
    double rim = b->allowance / 2 + 0.5;
    *face = child ? b->child : b->parent;
    struct kw_path *leg = &d.faces[*face].outline;
    for (int i = 0; i < leg->count; i++) {
        double out = out_from(job, bend, leg->v[i].x, leg->v[i].y);
        // Of the parent what reaches the bend moves out with it, of the child what lies past it.
        if (child ? out > rim : out > -rim) shift_vertex(leg, i, by);
    }
    if (!child) shift_bend(&d, bend, by);
    shift_beyond(job, &d, bend, !child, by);
    return d.part;
}

static int bend_above(const struct kw_brake_part *part, int face) {
    for (int i = 0; i < part->bend_count; i++)
        if (part->bends[i].child == face) return i;
    return -1;
}

static bool carries(const struct kw_brake_part *part, int face) {
    for (int i = 0; i < part->bend_count; i++)
        if (part->bends[i].parent == face) return true;
    return false;
}

/// The outline's part with (p - at) . n at most 0; arcs become chords.
static struct kw_path trimmed(struct kw_arena *a, const struct kw_path *path, struct kw_vec2 at,
                              struct kw_vec2 n) {
    int count = 0;
    struct kw_path out = {0};
    struct kw_vec2 *v = kw_path_chords(a, path, KW_CHORD_MM, KW_CHORD_INSIDE, &count);
    for (int i = 0; i < count; i++) {
        struct kw_vec2 p = v[i], q = v[(i + 1) % count];
        double dp = kw_dot2(kw_sub2(p, at), n), dq = kw_dot2(kw_sub2(q, at), n);
        if (dp <= 0) kw_path_add(a, &out, p.x, p.y, 0, 0);
        if ((dp <= 0) != (dq <= 0)) {
            struct kw_vec2 m = kw_lerp2(p, q, dp / (dp - dq));
            kw_path_add(a, &out, m.x, m.y, 0, 0);
        }
    }
    return out;
}

bool lower_flange(const struct job *job, int face, double less, struct kw_brake_part *out) {
    int bend = bend_above(job->part, face);
    if (bend < 0 || carries(job->part, face)) return false;
    struct draft d = copy_of(job);
    double top = 0;
    for (int i = 0; i < d.faces[face].outline.count; i++)
        top = fmax(top,
                   out_from(job, bend, d.faces[face].outline.v[i].x, d.faces[face].outline.v[i].y));
    if (top - less < job->part->bends[bend].allowance / 2 + 1) return false;
    struct kw_vec2 n = job->normals[bend];
    struct kw_vec2 at = kw_add2(job->part->bends[bend].from, kw_scale2(n, top - less));
    d.faces[face].outline = trimmed(job->scratch, &d.faces[face].outline, at, n);
    *out = d.part;
    return d.faces[face].outline.count >= 3;
}

bool cut_back(const struct job *job, int face, int bend, double back, struct kw_brake_part *out) {
    int own = bend_above(job->part, face);
    if (own < 0 || own == bend || carries(job->part, face)) return false;
    struct draft d = copy_of(job);
    struct kw_brake_bend *b = &d.bends[own];
    const struct kw_brake_bend *line = &job->part->bends[bend];
    struct kw_segment s = kw_segment_make(line->from, line->to, 0);
    bool at_from = kw_segment_distance(s, b->from) < kw_segment_distance(s, b->to);
    struct kw_vec2 end = at_from ? b->from : b->to, other = at_from ? b->to : b->from;
    double length = kw_length2(kw_sub2(other, end));
    if (!(length > 2 * back)) return false;
    struct kw_vec2 n = kw_scale2(kw_sub2(end, other), 1 / length); // outwards
    end = kw_sub2(end, kw_scale2(n, back));
    if (at_from)
        b->from = end;
    else
        b->to = end;
    d.faces[face].outline = trimmed(job->scratch, &d.faces[face].outline, end, n);
    *out = d.part;
    return d.faces[face].outline.count >= 3;
}
