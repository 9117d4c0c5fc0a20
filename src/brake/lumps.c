// SPDX-License-Identifier: Apache-2.0
// The folded part in convex pieces with thickness.
#include "brake/inside.h"

#define ROUND_STEP (30 * KW_PI / 180) // chords of a made bend; their sagitta is under the clearance
#define CHORD      0.2                // mm, of round corners: outside, no metal is lost

static bool convex(const struct kw_vec2 *v, int n) {
    for (int i = 0; i < n; i++) {
        struct kw_vec2 a = v[i], b = v[(i + 1) % n], c = v[(i + 2) % n];
        if (kw_cross2(kw_sub2(b, a), kw_sub2(c, b)) < -1e-9) return false;
    }
    return true;
}

static struct lump raise(const struct fold *f, int face, const struct kw_vec2 *v, int n) {
    struct lump l = {.count = n};
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < n; i++)
            l.ring[s][i] = kw_move3_point(f->faces[face],
                                          kw_v3(v[i].x, v[i].y, s * f->job->material.thickness));
    return l;
}

static struct lump *face_lumps(const struct fold *f, int face, int *count) {
    struct kw_arena *a = f->job->scratch;
    struct lump *out = NULL;
    int n = 0, triangle_count = 0, (*triangles)[3] = NULL;
    *count = 0;
    struct kw_path ccw = kw_path_oriented(a, &f->job->part->faces[face].outline, true);
    struct kw_vec2 *v = kw_path_chords(a, &ccw, CHORD, KW_CHORD_OUTSIDE, &n);
    if (n <= LUMP_POINTS && convex(v, n)) {
        KW_PUSH(a, out, *count) = raise(f, face, v, n);
        return out;
    }
    int starts[2] = {0, n};
    if (!kw_triangulate(a, v, starts, 1, &triangles, &triangle_count)) return out;
    for (int i = 0; i < triangle_count; i++) {
        struct kw_vec2 t[3] = {v[triangles[i][0]], v[triangles[i][1]], v[triangles[i][2]]};
        KW_PUSH(a, out, *count) = raise(f, face, t, 3);
    }
    return out;
}

static struct lump *round_lumps(const struct fold *f, int bend, int *count) {
    struct lump *out = NULL;
    int steps = (int)ceil(shape_of(f->job, bend, f->done[bend]).angle / ROUND_STEP);
    *count = 0;
    for (int i = 0; i < steps; i++) {
        struct lump l = {.count = 4};
        for (int s = 0; s < 2; s++) {
            double z = s * f->job->material.thickness;
            double from = (double)i / steps, to = (i + 1.0) / steps;
            l.ring[s][0] = fold_zone_point(f, bend, from, 0, z);
            l.ring[s][1] = fold_zone_point(f, bend, from, 1, z);
            l.ring[s][2] = fold_zone_point(f, bend, to, 1, z);
            l.ring[s][3] = fold_zone_point(f, bend, to, 0, z);
        }
        KW_PUSH(f->job->scratch, out, *count) = l;
    }
    return out;
}

/// Eight sides round a bump: no metal is lost.
static struct lump *bump_lump(const struct fold *f, int bump, int *count) {
    const struct kw_brake_bump *b = &f->job->part->bumps[bump];
    struct lump *out = KW_NEW(f->job->scratch, struct lump);
    double thick = f->job->material.thickness, wide = b->radius / cos(KW_PI / 8);
    double z[2] = {b->down ? -b->height : thick, b->down ? 0 : thick + b->height};
    out->count = 8;
    for (int s = 0; s < 2; s++)
        for (int i = 0; i < 8; i++)
            out->ring[s][i] =
                kw_move3_point(f->faces[b->face], kw_v3(b->at.x + wide * cos(i * KW_PI / 4),
                                                        b->at.y + wide * sin(i * KW_PI / 4), z[s]));
    *count = 1;
    return out;
}

struct lump *lumps_of(const struct fold *f, int item, int *count) {
    int faces = f->job->part->face_count, bends = f->job->part->bend_count;
    if (item >= faces + bends) return bump_lump(f, item - faces - bends, count);
    return item < faces ? face_lumps(f, item, count) : round_lumps(f, item - faces, count);
}
