// SPDX-License-Identifier: Apache-2.0
// One carton, filled as well as a handful of plain rules manage; the best filling is kept.
//
// Two ways. By box: boxes in an order (large base first, heavy first, ...), each at the best corner
// of the free spaces. By space: the lowest free space first, filled with the block of like boxes
// that uses most of it (like parts come in stacks). Both put a box only where it is held.
#include "carton/inside.h"

#include <math.h>
#include <string.h>

/// Order of boxes or of spaces, and how a corner is judged.
struct way {
    bool blocks;
    int order, rule;
};

// The first ones do best on kits of mixed flat parts, the blocks on many like boxes.
static const struct way ways[] = {{false, 0, 0}, {true, 0, 0},  {false, 1, 0}, {true, 1, 0},
                                  {false, 2, 0}, {false, 0, 1}, {true, 0, 1},  {false, 3, 0},
                                  {true, 1, 1},  {false, 1, 1}, {false, 2, 2}, {false, 0, 2},
                                  {true, 2, 0},  {true, 2, 1},  {false, 3, 1}, {false, 1, 2}};
#define WAYS ((int)(sizeof ways / sizeof *ways))

struct state {
    const struct job *job;
    struct kw_arena *a;
    double inside[3];
    int *left;
    double mass_room;
    struct spaces spaces;
    struct filling out;
};

bool turned_size(const struct job *job, int box, int turn, double size[3]) {
    const struct kw_carton_box *b = &job->boxes[box];
    bool any = b->upright[0] || b->upright[1] || b->upright[2];
    if (any ? !b->upright[turn_axes[turn][2]] : turn_axes[turn][2] != 2) return false;
    for (int i = 0; i < 3; i++)
        size[i] = b->size[turn_axes[turn][i]];
    for (int t = 0; t < turn; t++) {
        double was[3];
        if (turned_size(job, box, t, was) && was[0] == size[0] && was[1] == size[1] &&
            was[2] == size[2] + job->rules.layer_gap)
            return false;
    }
    size[2] += job->rules.layer_gap;
    return true;
}

void virtual_inside(const struct job *job, int kind, double size[3]) {
    for (int i = 0; i < 3; i++)
        size[i] = job->kinds[kind].inside[i] - 2 * job->rules.wall_gap;
    size[2] += job->rules.layer_gap; // nothing lies on the top layer
}

static double volume_of(const struct kw_carton_box *b) {
    return b->size[0] * b->size[1] * b->size[2];
}

static double overlap(double a0, double a1, double b0, double b1) {
    return fmax(0, fmin(a1, b1) - fmax(a0, b0));
}

static bool held(const struct state *s, const double at[3], const double size[3]) {
    if (at[2] <= EPS_MM) return true;
    double area = 0, need = s->job->rules.support * size[0] * size[1];
    for (int i = 0; i < s->out.count; i++) {
        const struct spot *p = &s->out.v[i];
        if (fabs(p->at[2] + p->size[2] - at[2]) > EPS_MM) continue;
        area += overlap(at[0], at[0] + size[0], p->at[0], p->at[0] + p->size[0]) *
                overlap(at[1], at[1] + size[1], p->at[1], p->at[1] + p->size[1]);
    }
    return area >= need - EPS_MM;
}

static bool fits(const struct space *sp, const double size[3]) {
    for (int i = 0; i < 3; i++)
        if (sp->hi[i] - sp->lo[i] < size[i] - EPS_MM) return false;
    return true;
}

/// Shortest side of anything that is left: smaller spaces are no use.
static double least_side(const struct state *s) {
    double least = INFINITY;
    for (int b = 0; b < s->job->box_count; b++)
        for (int i = 0; i < 3 && s->left[b] > 0; i++)
            least = fmin(least, s->job->boxes[b].size[i]);
    return isfinite(least) ? least : 0;
}

static void put(struct state *s, int box, int turn, const double at[3], const double size[3]) {
    const struct kw_carton_box *b = &s->job->boxes[box];
    struct spot p = {.box = box, .turn = turn};
    memcpy(p.at, at, sizeof p.at);
    memcpy(p.size, size, sizeof p.size);
    KW_PUSH(s->a, s->out.v, s->out.count) = p;
    s->left[box]--;
    s->mass_room -= b->mass;
    s->out.mass += b->mass;
    s->out.volume += volume_of(b);
    s->out.moment += b->mass * (at[2] + size[2] / 2);
}

// ---- by box

/// Smaller is better; compared from the first on.
struct score {
    double v[4];
};

static bool below(const struct score *a, const struct score *b) {
    for (int i = 0; i < 4; i++)
        if (fabs(a->v[i] - b->v[i]) > EPS_MM) return a->v[i] < b->v[i];
    return false;
}

static struct score corner_score(const struct space *sp, const double size[3], int rule) {
    double dx = sp->hi[0] - sp->lo[0] - size[0], dy = sp->hi[1] - sp->lo[1] - size[1];
    double dz = sp->hi[2] - sp->lo[2] - size[2];
    if (rule == 0) return (struct score){{sp->lo[2], size[2], fmin(dx, dy), sp->lo[1]}};
    if (rule == 1) return (struct score){{sp->lo[2] + size[2], fmin(dx, dy), sp->lo[1], sp->lo[0]}};
    return (struct score){{fmin(dx, fmin(dy, dz)), sp->lo[2], sp->lo[1], sp->lo[0]}};
}

static bool place_one(struct state *s, int box, int rule) {
    struct score best = {{INFINITY, 0, 0, 0}};
    double at[3] = {0}, size[3] = {0};
    int turn = -1;
    for (int t = 0; t < TURNS; t++) {
        double z[3];
        if (!turned_size(s->job, box, t, z)) continue;
        for (int i = 0; i < s->spaces.count; i++) {
            const struct space *sp = &s->spaces.v[i];
            if (!fits(sp, z)) continue;
            struct score sc = corner_score(sp, z, rule);
            if ((turn >= 0 && !below(&sc, &best)) || !held(s, sp->lo, z)) continue;
            best = sc;
            turn = t;
            memcpy(at, sp->lo, sizeof at);
            memcpy(size, z, sizeof size);
        }
    }
    if (turn < 0) return false;
    put(s, box, turn, at, size);
    double hi[3] = {at[0] + size[0], at[1] + size[1], at[2] + size[2]};
    spaces_take(s->a, &s->spaces, at, hi, least_side(s));
    return true;
}

static double order_key(const struct kw_carton_box *b, int order) {
    double l = b->size[0], w = b->size[1], h = b->size[2];
    if (order == 0) return fmax(l * w, b->upright[1] ? l * h : 0);
    if (order == 1) return l * w * h;
    if (order == 2) return b->mass;
    return fmax(l, fmax(w, h));
}

/// Box indices, the largest key first, ties by index.
static void sort_boxes(const struct job *job, int order, int *out) {
    for (int i = 0; i < job->box_count; i++) {
        int j = i;
        double key = order_key(&job->boxes[i], order);
        for (; j > 0 && order_key(&job->boxes[out[j - 1]], order) < key; j--)
            out[j] = out[j - 1];
        out[j] = i;
    }
}

static void fill_by_box(struct state *s, struct way w) {
    int *order = kw_alloc(s->a, (size_t)s->job->box_count * sizeof *order);
    sort_boxes(s->job, w.order, order);
    for (int i = 0; i < s->job->box_count; i++)
        while (s->left[order[i]] > 0 && s->job->boxes[order[i]].mass <= s->mass_room + 1e-9)
            if (!place_one(s, order[i], w.rule)) break;
}

// ---- by space

struct block {
    int box, turn, n[3];
    double size[3], value;
};

/// The most of one box, turned one way, in a space: any n[0] x n[1] x n[2].
static struct block best_block(const struct state *s, const struct space *sp, int box, int turn,
                               int rule) {
    struct block best = {.box = box, .turn = turn, .value = 0};
    const struct kw_carton_box *b = &s->job->boxes[box];
    int many = s->left[box], most[3];
    if (b->mass > 0) many = (int)fmin(many, floor(s->mass_room / b->mass + 1e-9));
    if (!turned_size(s->job, box, turn, best.size) || !fits(sp, best.size) || many < 1) return best;
    for (int i = 0; i < 3; i++)
        most[i] = (int)fmin(many, floor((sp->hi[i] - sp->lo[i] + EPS_MM) / best.size[i]));
    double free = (sp->hi[0] - sp->lo[0]) * (sp->hi[1] - sp->lo[1]) * (sp->hi[2] - sp->lo[2]);
    for (int x = 1; x <= most[0]; x++) {
        int y = (int)fmin(most[1], many / x);
        if (y < 1) break;
        int z = (int)fmin(most[2], many / (x * y));
        double value = x * y * z * volume_of(b) / free;
        // Rule 1 likes blocks that leave no strip beside them.
        if (rule == 1) {
            double rx = (sp->hi[0] - sp->lo[0] - x * best.size[0]) / (sp->hi[0] - sp->lo[0]);
            double ry = (sp->hi[1] - sp->lo[1] - y * best.size[1]) / (sp->hi[1] - sp->lo[1]);
            value -= 0.3 * fmin(rx, ry);
        }
        if (value <= best.value + 1e-12) continue;
        best.value = value;
        best.n[0] = x;
        best.n[1] = y;
        best.n[2] = z;
    }
    return best;
}

static bool block_held(const struct state *s, const struct space *sp, const struct block *b) {
    for (int x = 0; x < b->n[0]; x++)
        for (int y = 0; y < b->n[1]; y++) {
            double at[3] = {sp->lo[0] + x * b->size[0], sp->lo[1] + y * b->size[1], sp->lo[2]};
            if (!held(s, at, b->size)) return false;
        }
    return true;
}

static bool space_first(const struct space *a, const struct space *b, int order) {
    static const int axes[3][3] = {{2, 1, 0}, {0, 2, 1}, {1, 2, 0}};
    for (int i = 0; i < 3; i++) {
        int k = axes[order][i];
        if (fabs(a->lo[k] - b->lo[k]) > EPS_MM) return a->lo[k] < b->lo[k];
    }
    for (int k = 0; k < 3; k++) // the same corner: the larger one
        if (fabs(a->hi[k] - b->hi[k]) > EPS_MM) return a->hi[k] > b->hi[k];
    return false;
}

static void put_block(struct state *s, const struct space *sp, const struct block *b) {
    struct space where = *sp; // the list changes under it
    for (int z = 0; z < b->n[2]; z++)
        for (int y = 0; y < b->n[1]; y++)
            for (int x = 0; x < b->n[0]; x++) {
                double at[3] = {where.lo[0] + x * b->size[0], where.lo[1] + y * b->size[1],
                                where.lo[2] + z * b->size[2]};
                put(s, b->box, b->turn, at, b->size);
            }
    double hi[3];
    for (int i = 0; i < 3; i++)
        hi[i] = where.lo[i] + b->n[i] * b->size[i];
    spaces_take(s->a, &s->spaces, where.lo, hi, least_side(s));
}

static void fill_by_space(struct state *s, struct way w) {
    while (s->spaces.count > 0) {
        int at = 0;
        for (int i = 1; i < s->spaces.count; i++)
            if (space_first(&s->spaces.v[i], &s->spaces.v[at], w.order)) at = i;
        struct block best = {.value = 0};
        for (int b = 0; b < s->job->box_count; b++)
            for (int t = 0; t < TURNS && s->left[b] > 0; t++) {
                struct block k = best_block(s, &s->spaces.v[at], b, t, w.rule);
                if (k.n[2] > 0 && k.value > best.value + 1e-12 &&
                    block_held(s, &s->spaces.v[at], &k))
                    best = k;
            }
        if (best.value > 0)
            put_block(s, &s->spaces.v[at], &best);
        else
            s->spaces.v[at] = s->spaces.v[--s->spaces.count];
    }
}

// ---- the best of all ways

static bool better(const struct filling *a, const struct filling *b, bool by_mass) {
    if (a->all != b->all) return a->all;
    if (!a->all) {
        double va = by_mass ? a->mass : a->volume, vb = by_mass ? b->mass : b->volume;
        if (fabs(va - vb) > 1e-9 * (va + vb)) return va > vb;
    }
    double ha = a->mass > 0 ? a->moment / a->mass : 0, hb = b->mass > 0 ? b->moment / b->mass : 0;
    return ha < hb - EPS_MM;
}

static struct filling fill_one_way(const struct job *job, int kind, const int *left, struct way w) {
    struct state s = {.job = job, .a = job->scratch};
    const struct kw_carton_kind *k = &job->kinds[kind];
    size_t bytes = (size_t)job->box_count * sizeof *s.left;
    s.left = kw_alloc(s.a, bytes);
    memcpy(s.left, left, bytes);
    virtual_inside(job, kind, s.inside);
    s.mass_room = gross_limit(k, &job->rules) - k->tare;
    spaces_start(s.a, &s.spaces, s.inside);
    if (w.blocks)
        fill_by_space(&s, w);
    else
        fill_by_box(&s, w);
    s.out.all = true;
    for (int i = 0; i < job->box_count; i++)
        s.out.all = s.out.all && s.left[i] == 0;
    return s.out;
}

struct filling fill_carton(const struct job *job, int kind, const int *left, bool by_mass) {
    struct filling best = {0};
    int tries = job->rules.effort < WAYS ? job->rules.effort : WAYS;
    for (int i = 0; i < tries; i++) {
        struct kw_arena scratch = {0}; // each way's spaces are freed before the next
        struct job one = *job;
        one.scratch = &scratch;
        struct filling f = fill_one_way(&one, kind, left, ways[i]);
        if (i == 0 || better(&f, &best, by_mass)) {
            struct spot *keep = kw_alloc(job->scratch, (size_t)f.count * sizeof *keep);
            if (f.count) memcpy(keep, f.v, (size_t)f.count * sizeof *keep);
            best = f;
            best.v = keep;
        }
        kw_arena_free(&scratch);
    }
    return best;
}
