// SPDX-License-Identifier: Apache-2.0
// Bends on one line become one stroke; strokes are put in order by the rule that brake.h states.
#include "brake/inside.h"

static double along(const struct kw_brake_bend *line, struct kw_vec2 p) {
    struct kw_vec2 d = kw_sub2(line->to, line->from);
    return kw_dot2(kw_sub2(p, line->from), d) / kw_length2(d);
}

static double beside(const struct kw_brake_bend *line, struct kw_vec2 p) {
    struct kw_vec2 d = kw_sub2(line->to, line->from);
    return fabs(kw_cross2(d, kw_sub2(p, line->from))) / kw_length2(d);
}

static bool one_stroke(const struct job *job, int i, int j) {
    const struct kw_brake_bend *a = &job->part->bends[i], *b = &job->part->bends[j];
    return a->parent == b->parent && a->hem == b->hem && a->flat_radius == b->flat_radius &&
           a->down == b->down && fabs(a->angle - b->angle) < 1e-6 &&
           fabs(a->radius - b->radius) < 1e-6 && fabs(a->allowance - b->allowance) < 1e-6 &&
           kw_dot2(job->normals[i], job->normals[j]) > 0 && beside(a, b->from) < BRAKE_LINE_MM &&
           beside(a, b->to) < BRAKE_LINE_MM;
}

/// How far a ray from `p` along `d` stays in the outline: the first crossing past a hair.
static double ray_exit(const struct kw_vec2 *v, int count, struct kw_vec2 p, struct kw_vec2 d) {
    double nearest = INFINITY;
    for (int i = 0; i < count; i++) {
        struct kw_vec2 a = kw_sub2(v[i], p), b = kw_sub2(v[(i + 1) % count], p);
        double ca = kw_cross2(d, a), cb = kw_cross2(d, b);
        if ((ca < 0) == (cb < 0)) continue;
        double at = kw_dot2(d, kw_lerp2(a, b, ca / (ca - cb)));
        if (at > 0.01 && at < nearest) nearest = at;
    }
    return isfinite(nearest) ? nearest : 0;
}

static double setback(const struct job *job, int bend) {
    const struct kw_brake_bend *b = &job->part->bends[bend];
    double r = b->radius > 0 ? b->radius : job->material.thickness;
    return (r + job->material.thickness) * tan(fmin(b->angle, KW_PI / 2) / 2);
}

/// What a flange beyond the point adds to the leg: its outside, where a bend's rim lies there.
static double beyond_rim(const struct job *job, int face, int bend, struct kw_vec2 p) {
    for (int i = 0; i < job->part->bend_count; i++) {
        const struct kw_brake_bend *b = &job->part->bends[i];
        if (i == bend || (b->parent != face && b->child != face)) continue;
        double length = kw_length2(kw_sub2(b->to, b->from)), at = along(b, p);
        if (at > -0.01 && at < length + 0.01 && beside(b, p) < b->allowance / 2 + BRAKE_LINE_MM)
            return setback(job, i);
    }
    return 0;
}

/// The shortest outside leg of a bend on one side: rays across the face from nine places of its
/// line, plus the bend's own setback.
static double leg_of(const struct job *job, int bend, int side) {
    const struct kw_brake_bend *b = &job->part->bends[bend];
    if (b->legs[side] > 0) return b->legs[side];
    int face = side ? b->child : b->parent, count = 0;
    struct kw_vec2 n = kw_scale2(job->normals[bend], side ? 1 : -1);
    const struct kw_path *outline = &job->part->faces[face].outline;
    struct kw_vec2 *v = kw_path_chords(job->scratch, outline, KW_CHORD_MM, KW_CHORD_INSIDE, &count);
    double least = INFINITY;
    for (int i = 0; i < 9; i++) {
        struct kw_vec2 on = kw_lerp2(b->from, b->to, 0.05 + 0.9 * i / 8);
        struct kw_vec2 start = kw_add2(on, kw_scale2(n, b->allowance / 2));
        double out = ray_exit(v, count, start, n);
        out += beyond_rim(job, face, bend, kw_add2(start, kw_scale2(n, out)));
        least = fmin(least, out);
    }
    return least + setback(job, bend);
}

static int parent_bend(const struct kw_brake_part *part, int face) {
    for (int i = 0; i < part->bend_count; i++)
        if (part->bends[i].child == face) return i;
    return -1;
}

static void measure_group(const struct job *job, struct group *g) {
    const struct kw_brake_bend *first = &job->part->bends[g->bends[0]];
    double least = INFINITY, most = -INFINITY;
    g->parent = first->parent;
    g->leg[0] = g->leg[1] = INFINITY;
    for (int i = 0; i < g->count; i++) {
        const struct kw_brake_bend *b = &job->part->bends[g->bends[i]];
        double s = along(first, b->from), e = along(first, b->to);
        least = fmin(least, fmin(s, e));
        most = fmax(most, fmax(s, e));
        g->length += fmax(0, fabs(e - s) - b->hole_gap);
        g->mates = g->mates || b->mates;
        for (int side = 0; side < 2; side++) {
            double leg = leg_of(job, g->bends[i], side);
            if (!(leg < g->leg[side])) continue;
            g->leg[side] = leg;
            g->leg_bend[side] = g->bends[i];
        }
    }
    g->span = most - least;
    for (int up = parent_bend(job->part, g->parent); up >= 0;
         up = parent_bend(job->part, job->part->bends[up].parent)) {
        g->depth++;
        g->mates = g->mates || job->part->bends[up].mates;
    }
}

void make_groups(struct job *job) {
    int n = job->part->bend_count;
    job->groups = kw_alloc(job->scratch, (size_t)n * 2 * sizeof *job->groups);
    job->group_count = 0;
    bool *taken = kw_alloc(job->scratch, (size_t)n);
    for (int i = 0; i < n; i++) {
        if (taken[i]) continue;
        struct group *g = &job->groups[job->group_count++];
        for (int j = i; j < n; j++) {
            if (taken[j] || !one_stroke(job, i, j)) continue;
            taken[j] = true;
            KW_PUSH(job->arena, g->bends, g->count) = j; // the steps keep these lists
        }
        g->stage = 1;
        g->before = -1;
        measure_group(job, g);
    }
    for (int i = 0, bent = job->group_count; i < bent; i++)
        if (job->part->bends[job->groups[i].bends[0]].hem) {
            struct group *second = &job->groups[job->group_count++];
            *second = job->groups[i];
            second->stage = 2;
            second->before = i;
        }
}

/// Whether every bend further out on the group's flanges is made, and what it flattens bent.
static bool ready(const struct job *job, const struct group *g, const unsigned char *done) {
    if (done[g->bends[0]] != g->stage - 1) return false;
    for (int i = 0; i < job->part->bend_count; i++)
        for (int j = 0; j < g->count && !done[i]; j++)
            if (i != g->bends[j] && face_beyond(job->part, job->part->bends[i].child, g->bends[j]))
                return false;
    return true;
}

struct set_up {
    int die, punch;
    bool down;
};

/// Whether stroke a comes before stroke b after a stroke with set-up `last`.
static bool comes_first(const struct job *job, const struct trial *trials, int a, int b,
                        struct set_up last) {
    const struct group *ga = &job->groups[a], *gb = &job->groups[b];
    if (ga->mates != gb->mates) return ga->mates;
    if (ga->stage != gb->stage) return ga->stage > gb->stage; // flattened while it is at hand
    if (ga->depth != gb->depth) return ga->depth > gb->depth;
    int same[2], index[2] = {a, b};
    for (int i = 0; i < 2; i++) {
        const struct group *g = &job->groups[index[i]];
        const struct trial *t = &trials[index[i]];
        same[i] = 2 * (t->die == last.die && t->punch == last.punch) +
                  (job->part->bends[g->bends[0]].down == last.down);
    }
    if (same[0] != same[1]) return same[0] > same[1];
    double la = fmin(ga->leg[0], ga->leg[1]), lb = fmin(gb->leg[0], gb->leg[1]);
    if (fabs(la - lb) > 1e-6) return la < lb;
    return a < b;
}

void order_groups(const struct job *job, const struct trial *trials, int *order) {
    unsigned char *done = kw_alloc(job->scratch, (size_t)job->part->bend_count);
    struct set_up last = {-2, -2, false};
    for (int step = 0; step < job->group_count; step++) {
        int best = -1;
        for (int i = 0; i < job->group_count; i++) {
            const struct group *g = &job->groups[i];
            if (!ready(job, g, done)) continue;
            if (best < 0 || comes_first(job, trials, i, best, last)) best = i;
        }
        kw_assert(best >= 0); // a tree always has a leaf
        const struct group *g = &job->groups[best];
        for (int j = 0; j < g->count; j++)
            done[g->bends[j]] = (unsigned char)g->stage;
        last = (struct set_up){trials[best].die, trials[best].punch,
                               job->part->bends[g->bends[0]].down};
        order[step] = best;
    }
}

void rank_groups(const struct job *job, int *rank) {
    for (int i = 0; i < job->group_count; i++)
        rank[i] = 0;
    for (int i = 0; i < job->group_count; i++)
        for (int k = 0; k < i; k++) {
            const struct group *a = &job->groups[i], *b = &job->groups[k];
            double la = fmin(a->leg[0], a->leg[1]), lb = fmin(b->leg[0], b->leg[1]);
            bool first = a->depth != b->depth ? a->depth > b->depth : la < lb - 1e-6;
            if (b->before == i || a->before == k) first = b->before == i;
            rank[first ? k : i]++;
        }
}
