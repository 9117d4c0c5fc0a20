// SPDX-License-Identifier: Apache-2.0
// Layouts proven on steel as bins: each placement as a pose that the search knows.
#include "nest/search.h"

#define SAME_MM    1e-4
#define SAME_ANGLE 1e-6

/// The pose of a part that lies as a placement does; -1: none may.
static int pose_as(const struct world *w, int kind, const struct kw_nest_placement *p) {
    struct pose_range r = w->parts[w->kinds[kind].group][p->part];
    for (int i = r.first; i < r.first + r.count; i++) {
        const struct pose *q = &w->poses[i];
        double turn = q->rotation - p->rotation;
        if (q->mirrored == p->mirrored && fabs(sin(turn / 2)) < SAME_ANGLE) return i;
    }
    return -1;
}

/// A shape that looks the same when turned has one pose for both: any that covers the same place.
static int pose_alike(struct world *w, int kind, const struct kw_nest_placement *p,
                      const struct kw_path *lies) {
    struct pose_range r = w->parts[w->kinds[kind].group][p->part];
    struct kw_box2 box = kw_path_box(lies);
    for (int i = r.first; i < r.first + r.count; i++) {
        const struct pose *q = &w->poses[i];
        struct kw_vec2 at = kw_sub2(box.min, q->corner);
        struct kw_path other = kw_path_moved(w->a, &w->job->parts[p->part].outline->outer,
                                             kw_move2_make(at.x, at.y, q->rotation, q->mirrored));
        bool same = true;
        for (int k = 0; same && k < lies->count; k++)
            same = kw_path_distance(&other, kw_v2(lies->v[k].x, lies->v[k].y)) < SAME_MM;
        for (int k = 0; same && k < other.count; k++)
            same = kw_path_distance(lies, kw_v2(other.v[k].x, other.v[k].y)) < SAME_MM;
        if (same) return i;
    }
    return -1;
}

static bool add_standing(struct world *w, struct bin *b, const struct kw_nest_placement *p) {
    if (p->part < 0 || p->part >= w->job->part_count) return false;
    struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
    struct kw_path lies = kw_path_moved(w->a, &w->job->parts[p->part].outline->outer, m);
    int pose = pose_as(w, b->kind, p);
    if (pose < 0) pose = pose_alike(w, b->kind, p, &lies);
    if (pose < 0) return false;
    struct kw_vec2 low = kw_path_box(&lies).min;
    bool upright = w->kinds[b->kind].axis == 1;
    bin_add(w, b, (struct spot){pose, upright ? low.y : low.x, upright ? low.x : low.y});
    return true;
}

struct bin *standing_bins(struct world *w) {
    int n = w->options->standing_count;
    struct bin *bins = KW_NEW_ARRAY(w->a, struct bin, n + 1);
    for (int i = 0; i < n; i++) {
        const struct kw_nest_standing *s = &w->options->standing[i];
        if (s->sheet < 0 || s->sheet >= w->job->sheet_count) continue;
        clear_bin(w, &bins[i], s->sheet);
        bool suits = true;
        for (int k = 0; suits && k < s->placement_count; k++)
            suits = add_standing(w, &bins[i], &s->placements[k]);
        bins[i].standing = i + 1;
        if (!suits) bins[i].count = 0;
    }
    return bins;
}
