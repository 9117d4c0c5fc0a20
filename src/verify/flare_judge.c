// SPDX-License-Identifier: Apache-2.0
// A dimple in a part that is bent already: whether some way to hold the part brings the hole under
// the shop press's ram. Turned in steps of one degree about the hole; what is nearer to the frame
// than the front of the die lies between the arms, there the part may be as tall as they open.
#include "verify/brake_judge.h"
#include "verify/brake_mesh.h"
#include "verify/run_file.h"
#include "verify/verify.h"

#include <math.h>

#define ALLOWED_MM 0.1
#define PI         3.14159265358979323846

struct span {
    double reach, low, high;
};

/// From the blank to the face's own frame about the hole, with the part folded.
static void about(const struct bent_map *face, const struct bent_map *own, const double hole[3],
                  const double p[3], double out[3]) {
    double q[3];
    bent_apply(face, p, q);
    for (int i = 0; i < 3; i++)
        q[i] -= hole[i];
    for (int i = 0; i < 3; i++)
        out[i] = own->m[0][i] * q[0] + own->m[1][i] * q[1] + own->m[2][i] * q[2];
}

static double along(const double p[3], double turn) {
    return p[0] * cos(turn) + p[1] * sin(turn);
}

/// What of the line from a to b lies between the arms.
static void take(struct span *s, const double a[3], const double b[3], double turn, double front) {
    double from = along(a, turn), to = along(b, turn);
    s->reach = fmax(s->reach, fmax(from, to));
    if (from < front && to < front) return;
    double cut =
        from < front || to < front ? a[2] + (b[2] - a[2]) * (front - from) / (to - from) : a[2];
    double za = from < front ? cut : a[2], zb = to < front ? cut : b[2];
    s->low = fmin(s->low, fmin(za, zb));
    s->high = fmax(s->high, fmax(za, zb));
}

static bool goes_in(const struct kw_bent_part *part, const struct kw_bent_flare *flare,
                    const struct bent_map *maps, double turn) {
    struct span s = {0, INFINITY, -INFINITY};
    double centre[3] = {flare->at[0], flare->at[1], 0}, hole[3];
    bent_apply(&maps[flare->face], centre, hole);
    for (int f = 0; f < part->face_count; f++)
        for (int i = 0; i < part->faces[f].count; i++) {
            const double *a = part->faces[f].at[i];
            const double *b = part->faces[f].at[(i + 1) % part->faces[f].count];
            for (int side = 0; side < 2; side++) {
                double z = side * part->thickness, p[3], q[3];
                about(&maps[f], &maps[flare->face], hole, (double[]){a[0], a[1], z}, p);
                about(&maps[f], &maps[flare->face], hole, (double[]){b[0], b[1], z}, q);
                take(&s, p, q, turn, -flare->clear / 2);
            }
        }
    return s.reach <= part->throat + ALLOWED_MM && s.high - s.low <= part->daylight + ALLOWED_MM;
}

int kw_judge_flare(const struct kw_bent_part *part, const struct kw_bent_flare *flare,
                   const unsigned char *made, struct kw_verdict *verdict) {
    struct kw_arena scratch = {0};
    struct bent_map *maps = kw_alloc(&scratch, (size_t)part->face_count * sizeof *maps);
    bool ok = false;
    bent_fold(part, made, 0, maps);
    for (int i = 0; i < 360 && !ok; i++)
        ok = goes_in(part, flare, maps, i * PI / 180);
    kw_arena_free(&scratch);
    if (ok) return 0;
    kw_fault(verdict,
             "after stroke %d: the dimple at (%.1f, %.1f) does not come under the shop press's ram",
             flare->after, flare->at[0], flare->at[1]);
    return 1;
}
