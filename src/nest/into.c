// SPDX-License-Identifier: Apache-2.0
// Parts into the free space of a sheet that is planned already. What lies there becomes parts with
// the one rotation they have.
#include "nest/nest.h"
#include "nest/prepare.h"

#include <string.h>

static enum kw_status check_fixed(const struct kw_nest_job *job, int sheet,
                                  const struct kw_nest_placement *fixed, int count,
                                  struct kw_error *err) {
    if (sheet < 0 || sheet >= job->sheet_count)
        return kw_fail(err, KW_RANGE, (struct kw_place){0}, "nest: no sheet %d", sheet);
    for (int i = 0; i < count; i++) {
        if (fixed[i].part < 0 || fixed[i].part >= job->part_count)
            return kw_fail(err, KW_RANGE, (struct kw_place){0}, "nest: no part %d", fixed[i].part);
        if (!(fabs(fixed[i].rotation) < 100) || !(fabs(fixed[i].x) <= KW_MOST_MM) ||
            !(fabs(fixed[i].y) <= KW_MOST_MM)) {
            return kw_fail(err, KW_RANGE, (struct kw_place){0}, "nest: placement %d out of range",
                           i);
        }
    }
    return KW_OK;
}

/// The parts of the job, then one for each fixed placement; on the one kind of sheet.
static struct kw_nest_job job_with_fixed(struct kw_arena *a, const struct kw_nest_job *job,
                                         int sheet, const struct kw_nest_placement *fixed,
                                         int count) {
    int n = job->part_count;
    struct kw_nest_part *parts = KW_NEW_ARRAY(a, struct kw_nest_part, n + count + 1);
    if (n > 0) memcpy(parts, job->parts, sizeof *parts * (size_t)n);
    for (int i = 0; i < count; i++) {
        parts[n + i] = (struct kw_nest_part){.outline = job->parts[fixed[i].part].outline,
                                             .rotations = &fixed[i].rotation,
                                             .rotation_count = 1,
                                             .may_mirror = fixed[i].mirrored};
    }
    return (struct kw_nest_job){parts, n + count, &job->sheets[sheet], 1};
}

/// Where the lower left corner of its box lies, and the pose of that shape: the last one, which is
/// the mirrored one where there are two.
static struct spot spot_of(struct world *w, int part, const struct kw_nest_placement *p) {
    struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
    struct kw_path lies = kw_path_moved(w->a, &w->job->parts[part].outline->outer, m);
    struct kw_vec2 low = kw_path_box(&lies).min;
    struct pose_range r = w->parts[w->kinds[0].group][part];
    bool upright = w->kinds[0].axis == 1;
    return (struct spot){r.first + r.count - 1, upright ? low.y : low.x, upright ? low.x : low.y};
}

static double rounded(double v) {
    return round(v * 1e6) / 1e6;
}

static struct kw_nest_placement placement_of(const struct world *w, struct spot s) {
    const struct pose *p = &w->poses[s.pose];
    bool upright = w->kinds[0].axis == 1;
    return (struct kw_nest_placement){.part = p->part,
                                      .x = rounded((upright ? s.v : s.u) - p->corner.x),
                                      .y = rounded((upright ? s.u : s.v) - p->corner.y),
                                      .rotation = p->rotation,
                                      .mirrored = p->mirrored};
}

static void fill_around(struct kw_arena *a, struct world *w, int part_count,
                        const struct kw_nest_placement *fixed, int fixed_count,
                        struct kw_nest_added *out) {
    struct bin bin = {0};
    struct want *wants = KW_NEW_ARRAY(w->a, struct want, part_count + 1);
    int *copies = KW_NEW_ARRAY(w->a, int, part_count + 1);
    clear_bin(w, &bin, 0);
    for (int i = 0; i < fixed_count; i++)
        bin_add(w, &bin, spot_of(w, part_count + i, &fixed[i]));
    for (int i = 0; i < part_count; i++)
        wants[i] = (struct want){.part = i, .count = w->job->parts[i].count, .as = -1};
    fill_more(w, &bin, (struct policy){.reach = 1}, wants, part_count);
    for (int i = fixed_count; i < bin.count; i++) {
        struct kw_nest_placement p = placement_of(w, bin.v[i]);
        p.copy = ++copies[p.part];
        KW_PUSH(a, out->placements, out->placement_count) = p;
    }
}

enum kw_status kw_nest_into(struct kw_arena *a, const struct kw_nest_job *job, int sheet,
                            const struct kw_nest_placement *fixed, int fixed_count,
                            const struct kw_nest_options *options, struct kw_nest_added *out,
                            struct kw_error *err) {
    *out = (struct kw_nest_added){0};
    enum kw_status s = check_job(job, options, err);
    if (s == KW_OK) s = check_fixed(job, sheet, fixed, fixed_count, err);
    if (s != KW_OK) return s;
    struct kw_arena scratch = {0};
    struct kw_nest_job all = job_with_fixed(&scratch, job, sheet, fixed, fixed_count);
    struct world w = {.a = &scratch, .job = &all, .options = options};
    prepare_world(&w);
    fill_around(a, &w, job->part_count, fixed, fixed_count, out);
    contacts_free(&w.contacts);
    kw_arena_free(&scratch);
    return KW_OK;
}
