// SPDX-License-Identifier: Apache-2.0
// Sheets cut up without waste: jobs of which it is known that they fill so many sheets, because
// that is how they were made. Used by the measurement and by the tests.
#pragma once

#include "nest/nest.h"

#include <string.h>

enum cut_kind {
    CUT_LINES, ///< by lines at any angle, from side to side or to a corner
    CUT_BENT,  ///< by lines with a bend in them: many parts have re-entrant corners
    CUT_ROUND, ///< by lines at any angle whose ends on the sheet's sides are at whole 20 mm
    CUT_BOXES, ///< mostly square to the sides at whole 10 mm, some at angles: many rectangles
    CUT_KINDS
};

struct cut_piece {
    struct kw_vec2 *v;
    int count;
    double area;
};

struct cut_job {
    struct kw_nest_part *parts;
    int count;
    double width, height; ///< of a sheet
};

static inline double cut_between(uint64_t *random, double low, double high) {
    return low + (high - low) * kw_random_unit(random);
}

static inline double cut_area(const struct kw_vec2 *v, int n) {
    double twice = 0;
    for (int i = 0, k = n - 1; i < n; k = i++)
        twice += kw_cross2(v[k], v[i]);
    return twice / 2;
}

static inline bool cut_is_square(struct kw_vec2 a, struct kw_vec2 b) {
    return fabs(a.x - b.x) < 1e-9 || fabs(a.y - b.y) < 1e-9;
}

/// A point on a side, or the corner it begins in.
static inline struct kw_vec2 cut_point(uint64_t *random, enum cut_kind kind, struct kw_vec2 a,
                                       struct kw_vec2 b) {
    double grid = kind == CUT_ROUND ? 20 : kind == CUT_BOXES ? 10 : 0;
    if (kw_random_unit(random) < 0.3 && kind != CUT_BOXES) return a;
    struct kw_vec2 p = kw_lerp2(a, b, cut_between(random, 0.2, 0.8));
    if (!(grid > 0) || !cut_is_square(a, b)) return p;
    if (fabs(a.y - b.y) < 1e-9) return kw_v2(grid * round(p.x / grid), a.y);
    return kw_v2(a.x, grid * round(p.y / grid));
}

/// The ring from side `from` to side `to` of a piece, closed by the cut.
static inline struct cut_piece cut_half(struct kw_arena *a, const struct cut_piece *p, int from,
                                        int to, const struct kw_vec2 *cut, int cut_count) {
    struct cut_piece h = {KW_NEW_ARRAY(a, struct kw_vec2, p->count + cut_count + 2), 0, 0};
    for (int i = 0; i < cut_count; i++)
        h.v[h.count++] = cut[i];
    for (int i = from; i != to; i = (i + 1) % p->count) {
        struct kw_vec2 c = p->v[(i + 1) % p->count], last = h.v[h.count - 1];
        bool again = kw_length2(kw_sub2(c, last)) < 1e-9 || kw_length2(kw_sub2(c, cut[0])) < 1e-9;
        if (!again) h.v[h.count++] = c;
    }
    h.area = cut_area(h.v, h.count);
    return h;
}

static inline struct kw_path cut_path(struct kw_arena *a, const struct cut_piece *p) {
    struct kw_path path = {0};
    for (int i = 0; i < p->count; i++)
        kw_path_add(a, &path, p->v[i].x, p->v[i].y, 0, 0);
    return path;
}

/// No part thinner or sharper than a shop could use.
static inline bool cut_is_sound(struct kw_arena *a, const struct cut_piece *p, double least_area) {
    struct kw_path path = cut_path(a, p);
    struct kw_error err = {0};
    if (p->count < 3 || !(p->area > least_area)) return false;
    for (int i = 0; i < p->count; i++) {
        struct kw_vec2 at = p->v[i];
        struct kw_vec2 in = kw_sub2(at, p->v[(i + p->count - 1) % p->count]);
        struct kw_vec2 on = kw_sub2(p->v[(i + 1) % p->count], at);
        double turn = fabs(atan2(kw_cross2(in, on), kw_dot2(in, on)));
        if (kw_length2(on) < 8 || turn > 2.97) return false;
    }
    return kw_path_check(&path, (struct kw_place){0}, &err) == KW_OK;
}

/// Cuts a piece in two; false when this cut makes no two sound ones.
static inline bool cut_in_two(struct kw_arena *a, uint64_t *random, enum cut_kind kind,
                              const struct cut_piece *p, double least, struct cut_piece out[2]) {
    int i = (int)(kw_random(random) % (uint64_t)p->count);
    int k = (int)(kw_random(random) % (uint64_t)p->count), n = 0;
    if (i == k) return false;
    struct kw_vec2 cut[3];
    cut[n++] = cut_point(random, kind, p->v[i], p->v[(i + 1) % p->count]);
    struct kw_vec2 end = cut_point(random, kind, p->v[k], p->v[(k + 1) % p->count]);
    if (kind == CUT_BOXES && kw_random_unit(random) < 0.75) {
        struct kw_vec2 a0 = p->v[i], a1 = p->v[(i + 1) % p->count];
        struct kw_vec2 b0 = p->v[k], b1 = p->v[(k + 1) % p->count];
        bool upright = fabs(a0.y - a1.y) < 1e-9 && fabs(b0.y - b1.y) < 1e-9;
        bool level = fabs(a0.x - a1.x) < 1e-9 && fabs(b0.x - b1.x) < 1e-9;
        if (!upright && !level) return false;
        end = upright ? kw_v2(cut[0].x, b0.y) : kw_v2(b0.x, cut[0].y);
        double along = upright ? (end.x - b0.x) / (b1.x - b0.x) : (end.y - b0.y) / (b1.y - b0.y);
        if (!(along > 0 && along < 1)) return false;
    }
    if (kind == CUT_BENT) {
        struct kw_vec2 middle = kw_lerp2(cut[0], end, cut_between(random, 0.3, 0.7));
        double far = 0.35 * kw_length2(kw_sub2(end, cut[0]));
        cut[n++] =
            kw_add2(middle, kw_v2(cut_between(random, -far, far), cut_between(random, -far, far)));
    }
    cut[n++] = end;
    struct kw_vec2 back[3];
    for (int m = 0; m < n; m++)
        back[m] = cut[n - 1 - m];
    out[0] = cut_half(a, p, k, i, cut, n);
    out[1] = cut_half(a, p, i, k, back, n);
    if (fabs(out[0].area + out[1].area - p->area) > 1e-6) return false;
    return cut_is_sound(a, &out[0], least) && cut_is_sound(a, &out[1], least);
}

/// So many pieces out of one sheet, into `v`.
static inline void cut_sheet(struct kw_arena *a, uint64_t *random, enum cut_kind kind, double width,
                             double height, struct cut_piece *v, int count) {
    struct kw_vec2 *whole = KW_NEW_ARRAY(a, struct kw_vec2, 4);
    whole[1].x = whole[2].x = width;
    whole[2].y = whole[3].y = height;
    v[0] = (struct cut_piece){whole, 4, width * height};
    for (int n = 1, tries = 0; n < count && tries < 100000; tries++) {
        int i = (int)(kw_random(random) % (uint64_t)n);
        for (int more = 0; more < 2; more++) { // large ones rather than small ones
            int other = (int)(kw_random(random) % (uint64_t)n);
            if (v[other].area > v[i].area) i = other;
        }
        struct cut_piece two[2];
        double least = 0.1 * width * height / count;
        if (!cut_in_two(a, random, kind, &v[i], least, two)) continue;
        v[i] = two[0];
        v[n++] = two[1];
    }
}

/// Sheets of 1000 x 1000 mm (of 1000 x 700 where `oblong`) in so many pieces each, all mixed, each
/// drawn turned by some quarters, one copy a part. All in the arena.
static inline struct cut_job cut_up(struct kw_arena *a, uint64_t seed, enum cut_kind kind,
                                    int sheets, int pieces, bool oblong) {
    static const double quarters[4] = {0, KW_PI / 2, KW_PI, 3 * KW_PI / 2};
    uint64_t random = seed;
    struct cut_job job = {.width = 1000, .height = oblong ? 700 : 1000};
    struct cut_piece *v = KW_NEW_ARRAY(a, struct cut_piece, sheets * pieces);
    job.parts = KW_NEW_ARRAY(a, struct kw_nest_part, sheets * pieces + 1);
    for (int s = 0; s < sheets; s++)
        cut_sheet(a, &random, kind, job.width, job.height, v + s * pieces, pieces);
    for (int i = sheets * pieces - 1; i > 0; i--) { // in any order
        int k = (int)(kw_random(&random) % (uint64_t)(i + 1));
        struct cut_piece p = v[i];
        v[i] = v[k];
        v[k] = p;
    }
    for (int i = 0; i < sheets * pieces; i++) {
        if (v[i].count == 0) continue; // a sheet that would not come apart further
        struct kw_region *r = KW_NEW(a, struct kw_region);
        struct kw_path path = cut_path(a, &v[i]);
        double turn = quarters[kw_random(&random) % 4];
        r->outer = kw_path_moved(a, &path, kw_move2_make(0, 0, turn, false));
        job.parts[job.count++] = (struct kw_nest_part){
            .outline = r, .count = 1, .rotations = quarters, .rotation_count = 4};
    }
    return job;
}
