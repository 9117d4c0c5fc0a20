// SPDX-License-Identifier: Apache-2.0
// Patterns: a piece or a pair stands in columns, each column a step further. One piece of the pair
// is tried at many places beside the other; the densest are then tried with columns that lean.
#include "nest/repeat_cell.h"

#define PLACES       16 // of the second piece across the first, tried at first
#define REFINED      3  // of the best patterns, in so many halvings of the distance
#define HALVINGS     5
#define MOST_POSES   8  // of the first piece
#define MOST_TURNED  4  // of each of two parts
#define MOST_PAIRED  3  // parts: each with each
#define LEAST_OF_TWO 12 // copies of each

// Columns that lean by so much a unit of their height. Twice as many pairs of poses, three of the
// best kept or seven halvings found nothing better (kw-bench repeats).
#define SLANTS        5 // to either side: beyond, the same pattern leans less with u and v exchanged
#define SLANT_STEP    0.2
#define SLANT_PLACES  5 // of the second piece, at each
#define SLANTS_KEPT   2 // of the best, in so many halvings of the step
#define NEARER        5
#define MOST_LEANING  2     // pairs of poses, the densest of those that stand
#define HOPELESS      0.9   // of their density: what leans so is not looked at nearer
#define A_BOX         0.995 // of its box
#define LEANING_SHARE 0.1   // of the budget

/// The same, lying the same way.
static bool same_pieces(const struct pattern *p, const struct pattern *q) {
    return p->swapped == q->swapped && p->count == q->count && p->pose[0] == q->pose[0] &&
           p->pose[1] == q->pose[1];
}

static bool same_pattern(const struct pattern *p, const struct pattern *q) {
    return same_pieces(p, q) && p->slant == q->slant && fabs(p->density - q->density) < 1e-4;
}

static void keep_pattern(struct patterns *list, struct pattern p) {
    for (int i = 0; i < list->count; i++) {
        if (same_pattern(&list->v[i], &p)) return;
    }
    if (list->count == PATTERNS_KEPT) {
        if (list->v[PATTERNS_KEPT - 1].density >= p.density) return;
        list->count--;
    }
    int i = list->count++;
    for (; i > 0 && list->v[i - 1].density < p.density; i--)
        list->v[i] = list->v[i - 1];
    list->v[i] = p;
}

/// Patterns of the cell with the second piece at so many places across the first.
static void try_across(struct cell *c, int places, struct patterns *out) {
    double low = c->box[0].min.x - c->box[1].max.x, high = c->box[0].max.x - c->box[1].min.x;
    double step = (high - low) / places;
    for (int i = 0; i <= places + 2 && c->p.count == 2; i++) {
        double across = i <= places ? low + i * step : i == places + 1 ? 0 : high + low;
        if (cell_complete(c, across)) keep_pattern(out, c->p);
    }
    if (c->p.count == 1 && cell_complete(c, 0)) keep_pattern(out, c->p);
}

/// The second piece nearer and nearer to its best place, from `by` away.
static struct pattern best_across(struct cell *c, struct pattern p, double by, int halvings) {
    for (int n = 0; n < 2 * halvings && p.count == 2; n++, by *= n % 2 ? -1 : -0.5) {
        if (cell_complete(c, p.at[1].x + by) && c->p.density > p.density) p = c->p;
    }
    return p;
}

static void try_straight(struct world *w, const int *poses, int count, bool swapped,
                         struct patterns *out) {
    struct kw_arena a = {0};
    struct cell c = {.w = w, .a = &a};
    struct patterns best = {.count = 0};
    cell_make(&c, poses, count, swapped, 0);
    double step = (c.box[0].max.x + c.box[count - 1].max.x) / PLACES;
    try_across(&c, PLACES, &best);
    for (int i = 0; i < best.count && i < REFINED; i++)
        keep_pattern(out, best_across(&c, best.v[i], step / 2, HALVINGS));
    kw_arena_free(&a);
}

/// The same pattern leaning a little more, as dense as it goes.
static struct pattern lean_more(struct world *w, struct pattern p, double by) {
    struct kw_arena a = {0};
    struct cell c = {.w = w, .a = &a};
    struct pattern q = p;
    cell_make(&c, p.pose, p.count, p.swapped, p.slant + by);
    double across = p.at[1].x - by * p.at[1].y; // as it stands on the sheet
    q.density = 0;
    if (cell_complete(&c, across)) q = c.p;
    q.at[1].x = across;
    q = best_across(&c, q, fabs(by) * c.box[0].max.y / 2, 2);
    kw_arena_free(&a);
    return q;
}

/// Whether nothing is gained by leaning: the pieces are boxes.
static bool all_boxes(const struct world *w, const int *poses, int count) {
    for (int i = 0; i < count; i++) {
        const struct pose *p = &w->poses[poses[i]];
        if (w->bulk[p->part] < A_BOX * p->size.x * p->size.y) return false;
    }
    return true;
}

/// Columns that lean: L and T shapes interlock along a slanted line, and only there (an angle 0.90
/// instead of 0.70, a tee 0.88 instead of 0.74).
static void try_slanted(struct world *w, const struct pattern *standing, long until,
                        struct patterns *out) {
    struct patterns best = {.count = 0};
    for (int k = -SLANTS; k <= SLANTS && w->work < until; k++) {
        struct kw_arena a = {0};
        struct cell c = {.w = w, .a = &a};
        if (k == 0) continue;
        cell_make(&c, standing->pose, standing->count, standing->swapped, k * SLANT_STEP);
        try_across(&c, SLANT_PLACES, &best);
        kw_arena_free(&a);
    }
    for (int i = 0; i < best.count && i < SLANTS_KEPT; i++) {
        struct pattern p = best.v[i];
        double by = SLANT_STEP / 2;
        if (p.density < HOPELESS * standing->density) continue;
        for (int n = 0; n < 2 * NEARER && w->work < until; n++, by *= n % 2 ? -1 : -0.5) {
            struct pattern q = lean_more(w, p, by);
            if (q.density > p.density) p = q;
        }
        keep_pattern(out, p);
    }
}

static bool half_turned(const struct pose *p, const struct pose *q) {
    return p->mirrored == q->mirrored && fabs(cos(p->rotation - q->rotation) + 1) < 1e-9;
}

static void try_poses(struct world *w, const int *poses, int count, struct patterns *out) {
    for (int swapped = 0; swapped < 2; swapped++)
        try_straight(w, poses, count, swapped == 1, out);
}

static void find_one(struct world *w, struct pose_range r, struct patterns *out) {
    int tried = 0;
    for (int p = r.first; p < r.first + r.count && tried < MOST_POSES; p++) {
        if (w->poses[p].mirrored || w->poses[p].rotation >= KW_PI - 1e-9) continue;
        tried++;
        try_poses(w, &p, 1, out);
        for (int q = r.first; q < r.first + r.count; q++) {
            if (half_turned(&w->poses[p], &w->poses[q])) try_poses(w, (int[2]){p, q}, 2, out);
        }
    }
}

static void find_two(struct world *w, struct pose_range r, struct pose_range s,
                     struct patterns *out) {
    for (int p = r.first; p < r.first + r.count && p < r.first + MOST_TURNED; p++) {
        if (w->poses[p].mirrored || w->poses[p].rotation >= KW_PI - 1e-9) continue;
        for (int q = s.first; q < s.first + s.count && q < s.first + MOST_TURNED; q++)
            try_poses(w, (int[2]){p, q}, 2, out);
    }
}

static bool seen_before(const struct patterns *list, int at) {
    for (int i = 0; i < at; i++) {
        if (same_pieces(&list->v[i], &list->v[at])) return true;
    }
    return false;
}

/// The pieces of the densest that stand are tried leaning too, as long as that takes no more than
/// its share of the budget: it takes some eight times as long.
static void find_leaning(struct world *w, struct patterns *out, int most) {
    struct patterns leaning = {.count = 0};
    long before = w->work;
    long until =
        before - w->leaning_work + (long)(LEANING_SHARE * STEP_WORK * (double)w->options->steps);
    for (int i = 0; i < out->count && most > 0; i++) {
        const struct pattern *p = &out->v[i];
        if (seen_before(out, i) || all_boxes(w, p->pose, p->count)) continue;
        try_slanted(w, p, until, &leaning);
        most--;
    }
    w->leaning_work += w->work - before;
    for (int i = 0; i < leaning.count && i < LEANING_KEPT; i++)
        out->v[out->count++] = leaning.v[i];
}

struct patterns *patterns_of(struct world *w, int group, int part) {
    int n = w->job->part_count;
    if (!w->patterns) w->patterns = KW_NEW_ARRAY(w->a, struct patterns *, w->group_count * n + 1);
    struct patterns **slot = &w->patterns[group * n + part];
    if (*slot) return *slot;
    struct patterns *out = *slot = KW_NEW(w->a, struct patterns);
    out->part = part;
    out->other = -1;
    find_one(w, w->parts[group][part], out);
    find_leaning(w, out, MOST_LEANING);
    return out;
}

// --------------------------------------------------------------------------------- two parts

/// The parts of which there is most, by area.
static int bulkiest(const struct world *w, int *parts) {
    int count = 0;
    for (int i = 0; i < w->job->part_count; i++) {
        double bulk = w->job->parts[i].count * w->bulk[i];
        if (w->job->parts[i].count < LEAST_OF_TWO) continue;
        if (count < MOST_PAIRED) parts[count++] = -1;
        int k = count - 1;
        if (parts[k] >= 0 && w->job->parts[parts[k]].count * w->bulk[parts[k]] >= bulk) continue;
        for (; k > 0 && w->job->parts[parts[k - 1]].count * w->bulk[parts[k - 1]] < bulk; k--)
            parts[k] = parts[k - 1];
        parts[k] = i;
    }
    return count;
}

struct patterns *patterns_of_two(struct world *w, int group, int *count) {
    int parts[MOST_PAIRED], n = bulkiest(w, parts);
    *count = n * (n - 1) / 2;
    if (!w->pairs) w->pairs = KW_NEW_ARRAY(w->a, struct patterns *, w->group_count + 1);
    if (w->pairs[group]) return w->pairs[group];
    struct patterns *out = w->pairs[group] = KW_NEW_ARRAY(w->a, struct patterns, *count + 1);
    for (int i = 0, k = 0; i < n; i++) {
        for (int j = 0; j < i; j++, k++) {
            out[k].part = parts[i];
            out[k].other = parts[j];
            find_two(w, w->parts[group][parts[i]], w->parts[group][parts[j]], &out[k]);
            find_leaning(w, &out[k], MOST_LEANING / 2);
        }
    }
    return out;
}
