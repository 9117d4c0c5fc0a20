// SPDX-License-Identifier: Apache-2.0
// Corner by corner, the narrowest choice first.
#include "nest/puzzle.h"

#include <stdlib.h>
#include <string.h>

#define SLACK      1e-4 // radians within which directions are compared at first
#define NOISE      0.05 // of the fit, which is up to 3
#define MOST_LAID  500  // parts on a sheet: with more there is no hope, and each takes memory
#define ROOT_NOISE 2.0  // anything may come first

void puzzle_begin(struct puzzle *p, const struct world *w, const struct facets *facets,
                  uint64_t seed) {
    *p = (struct puzzle){.w = w, .facets = facets, .random = seed};
    p->left = KW_NEW_ARRAY(&p->arena, int, w->job->part_count + 1);
    p->carving.a = &p->arena;
}

void puzzle_end(struct puzzle *p) {
    kw_arena_free(&p->arena);
}

// ------------------------------------------------------------------------------------ frames

static struct frame *frame_at(struct puzzle *p, int depth) {
    while (p->frame_count <= depth)
        KW_PUSH(&p->arena, p->frames, p->frame_count) = KW_NEW(&p->arena, struct frame);
    return p->frames[depth];
}

static void reserve(struct puzzle *p, struct frame *f, int gaps, int points) {
    if (gaps > f->gap_room) {
        f->gap_room = 2 * gaps;
        f->gaps = KW_NEW_ARRAY(&p->arena, struct gap, f->gap_room);
    }
    if (points > f->point_room) {
        f->point_room = 2 * points;
        f->points = KW_NEW_ARRAY(&p->arena, struct kw_vec2, f->point_room);
    }
    f->gap_count = f->choice_count = f->next = 0;
}

static void first_frame(struct puzzle *p, struct kw_box2 box) {
    struct frame *f = frame_at(p, 0);
    reserve(p, f, 1, 4);
    f->points[0] = box.min;
    f->points[1] = kw_v2(box.max.x, box.min.y);
    f->points[2] = box.max;
    f->points[3] = kw_v2(box.min.x, box.max.y);
    f->gaps[0] = (struct gap){f->points, 4, tile_area(f->points, 4), box};
    f->gap_count = 1;
}

/// The frame after a choice. False when what is left can't be filled.
static bool next_frame(struct puzzle *p, const struct frame *from, const struct choice *c) {
    const struct tile *s = &p->facets->tiles[c->pose];
    const struct gap *cut = &from->gaps[c->gap];
    struct frame *f = frame_at(p, p->depth + 1);
    int room = gap_minus_room(cut, s);
    reserve(p, f, from->gap_count + room / 3 + 1, room);
    int n = gap_minus(&p->carving, cut, s, c->at, f->points, f->gaps, &p->work);
    if (n < 0) return false;
    for (int i = 0; i < n; i++) {
        struct kw_vec2 size = kw_sub2(f->gaps[i].box.max, f->gaps[i].box.min);
        if (f->gaps[i].area < p->least_area - 2 * FIT_MM * (size.x + size.y)) return false;
    }
    for (int i = 0; i < from->gap_count; i++) {
        if (i != c->gap) f->gaps[n++] = from->gaps[i];
    }
    f->gap_count = n;
    return true;
}

// ------------------------------------------------------------------------- what fits a corner

struct wedge { ///< a corner of a gap
    struct kw_vec2 at;
    double inner;
    struct facet_edge edge[2];
};

static struct wedge wedge_at(const struct gap *g, int i) {
    struct kw_vec2 before = g->v[i > 0 ? i - 1 : g->count - 1];
    struct kw_vec2 after = g->v[i + 1 < g->count ? i + 1 : 0];
    struct kw_vec2 in = kw_sub2(g->v[i], before), on = kw_sub2(after, g->v[i]);
    struct wedge w = {.at = g->v[i]};
    w.inner = KW_PI - atan2(kw_cross2(in, on), kw_dot2(in, on));
    w.edge[EDGE_INTO] = (struct facet_edge){atan2(in.y, in.x), kw_length2(in)};
    w.edge[EDGE_OUT_OF] = (struct facet_edge){atan2(on.y, on.x), kw_length2(on)};
    return w;
}

static bool runs_along(struct facet_edge a, struct facet_edge b) {
    return fabs(sin(a.direction - b.direction)) * fmin(a.length, b.length) <= 4 * FIT_MM;
}

static bool is_known(const struct puzzle *p, const struct frame *f, int pose, struct kw_vec2 at) {
    for (int i = 0; i < f->choice_count; i++) {
        const struct choice *c = &f->choices[i];
        if (p->facets->twin[c->pose] == p->facets->twin[pose] && fabs(c->at.x - at.x) <= FIT_MM &&
            fabs(c->at.y - at.y) <= FIT_MM)
            return true;
    }
    return false;
}

static void add_choice(struct puzzle *p, struct frame *f, struct choice c) {
    if (f->choice_count == f->choice_room) {
        struct choice *old = f->choices;
        f->choice_room = f->choice_room ? 2 * f->choice_room : 16;
        f->choices = KW_NEW_ARRAY(&p->arena, struct choice, f->choice_room);
        if (old) memcpy(f->choices, old, sizeof *old * (size_t)f->choice_count);
    }
    f->choices[f->choice_count++] = c;
}

static double fit_of(struct puzzle *p, const struct tile *s, const struct snug *snug) {
    bool root = p->depth == 0;
    return snug->flush / s->around + (double)snug->corners / s->count +
           0.7 * sqrt(s->area / p->whole) + (root ? 2.0 : 0.2) * s->slanted +
           (root ? ROOT_NOISE : NOISE) * kw_random_unit(&p->random);
}

/// Fills f->choices with what fits a corner, but no more than `most`.
static void choices_at(struct puzzle *p, struct frame *f, const struct corner *c, int most) {
    const struct facets *all = p->facets;
    const struct gap *g = &f->gaps[c->gap];
    struct wedge wedge = wedge_at(g, c->at);
    struct facet_range r[2];
    int ranges = facets_along(all, c->side, wedge.edge[c->side].direction, SLACK, r);
    f->choice_count = f->next = 0;
    for (int k = 0; k < ranges; k++) {
        for (int i = r[k].first; i < r[k].last && f->choice_count < most; i++) {
            const struct facet *t = &all->v[all->sorted[c->side][i]];
            const struct tile *s = &all->tiles[t->pose];
            p->work++;
            if (p->left[p->w->poses[t->pose].part] == 0 || t->inner > wedge.inner + SLACK) continue;
            if (!runs_along(t->edge[c->side], wedge.edge[c->side])) continue;
            struct kw_vec2 at = kw_sub2(wedge.at, s->v[t->corner]);
            struct snug snug;
            if (is_known(p, f, t->pose, at) || !gap_holds(g, s, at, &snug, &p->work)) continue;
            add_choice(p, f, (struct choice){t->pose, at, c->gap, fit_of(p, s, &snug)});
        }
    }
}

// ------------------------------------------------------------------------------ which corner

static int rough_count(const struct puzzle *p, const struct wedge *w, enum edge_side side) {
    struct facet_range r[2];
    int ranges = facets_along(p->facets, side, w->edge[side].direction, SLACK, r), n = 0;
    for (int k = 0; k < ranges; k++)
        n += r[k].last - r[k].first;
    return n;
}

static int by_rough(const void *a, const void *b) {
    const struct corner *p = a, *q = b;
    if (p->rough != q->rough) return p->rough < q->rough ? -1 : 1;
    if (p->edge != q->edge) return p->edge < q->edge ? -1 : 1;
    if (p->gap != q->gap) return p->gap < q->gap ? -1 : 1;
    return (p->at > q->at) - (p->at < q->at);
}

static int find_corners(struct puzzle *p, const struct frame *f) {
    int n = 0, most = 0;
    for (int i = 0; i < f->gap_count; i++)
        most += f->gaps[i].count;
    if (most > p->corner_room) {
        p->corner_room = 2 * most;
        p->corners = KW_NEW_ARRAY(&p->arena, struct corner, p->corner_room);
    }
    for (int i = 0; i < f->gap_count; i++) {
        for (int k = 0; k < f->gaps[i].count; k++) {
            struct wedge w = wedge_at(&f->gaps[i], k);
            if (w.inner > KW_PI - SLACK) continue;
            int in = rough_count(p, &w, EDGE_INTO), out = rough_count(p, &w, EDGE_OUT_OF);
            p->corners[n++] =
                (struct corner){i, k, in < out ? EDGE_INTO : EDGE_OUT_OF, in < out ? in : out,
                                fmin(w.edge[0].length, w.edge[1].length)};
        }
    }
    p->work += 4 * most;
    if (n > 1) qsort(p->corners, (size_t)n, sizeof *p->corners, by_rough);
    return n;
}

static int by_fit(const void *a, const void *b) {
    const struct choice *p = a, *q = b;
    if (p->fit != q->fit) return p->fit > q->fit ? -1 : 1;
    if (p->pose != q->pose) return p->pose < q->pose ? -1 : 1;
    return (p->at.x > q->at.x) - (p->at.x < q->at.x);
}

/// Choices of the corner with the fewest. None: a dead end.
static void choose_corner(struct puzzle *p, struct frame *f) {
    int n = p->depth == 0 ? 1 : -1; // all corners of an empty sheet are alike
    int found = find_corners(p, f), fewest = INT32_MAX, at = 0;
    if (n < 0 || n > found) n = found;
    for (int i = 0; i < n && fewest > 0; i++) {
        choices_at(p, f, &p->corners[i], fewest);
        if (f->choice_count >= fewest) continue;
        fewest = f->choice_count;
        at = i;
    }
    if (fewest > 0 && n > 0 && at + 1 < n) choices_at(p, f, &p->corners[at], INT32_MAX);
    if (n == 0) f->choice_count = 0;
    if (f->choice_count > 1) qsort(f->choices, (size_t)f->choice_count, sizeof *f->choices, by_fit);
}

// ------------------------------------------------------------------------------- the search

static double find_least_area(const struct puzzle *p) {
    double least = INFINITY;
    for (int i = 0; i < p->facets->count; i++) {
        int pose = p->facets->v[i].pose;
        if (p->left[p->w->poses[pose].part] > 0) least = fmin(least, p->facets->tiles[pose].area);
    }
    return least;
}

static void lay(struct puzzle *p, const struct choice *c) {
    p->left[p->w->poses[c->pose].part]--;
    p->depth++;
}

/// Takes the last part off again.
static void take_off(struct puzzle *p) {
    struct frame *f = p->frames[--p->depth];
    p->left[p->w->poses[f->choices[f->next - 1].pose].part]++;
}

static void keep_spots(struct puzzle *p, struct spot **spots, int *count) {
    *count = p->depth;
    *spots = KW_NEW_ARRAY(&p->arena, struct spot, p->depth + 1);
    for (int i = 0; i < p->depth; i++) {
        const struct choice *c = &p->frames[i]->choices[p->frames[i]->next - 1];
        (*spots)[i] = (struct spot){c->pose, c->at.x, c->at.y};
    }
}

bool puzzle_fill(struct puzzle *p, struct kw_box2 box, long most_work, struct spot **spots,
                 int *count) {
    long until = p->work + most_work;
    bool filled = false;
    p->depth = 0;
    p->whole = (box.max.x - box.min.x) * (box.max.y - box.min.y);
    p->tried_all = false;
    p->least_area = find_least_area(p);
    first_frame(p, box);
    choose_corner(p, p->frames[0]);
    while (p->work < until) {
        struct frame *f = p->frames[p->depth];
        if (f->next >= f->choice_count) {
            if (p->depth == 0) {
                p->tried_all = true;
                return false;
            }
            take_off(p);
            continue;
        }
        const struct choice *c = &f->choices[f->next++];
        if (p->depth >= MOST_LAID || !next_frame(p, f, c)) continue;
        lay(p, c);
        if (p->frames[p->depth]->gap_count == 0) {
            keep_spots(p, spots, count);
            filled = true;
            break;
        }
        choose_corner(p, p->frames[p->depth]);
    }
    while (p->depth > 0)
        take_off(p);
    return filled;
}
