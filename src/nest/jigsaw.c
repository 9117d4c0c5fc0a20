// SPDX-License-Identifier: Apache-2.0
// Sheets without waste, one after another.
#include "nest/jigsaw.h"

#include <string.h>

#define MOST_FACETS   20000
#define FIRST_ATTEMPT 250000 // work
#define MOST_TIMES    64     // of that: no clock is asked meanwhile
#define WHOLE_SHARE   0.5    // of all work, where all parts together are as large as whole sheets
#define PAIRED_SHARE  0.25   // where edges at odd angles pair up
#define HALF_PAIRED   0.6    // of their length: tells nothing yet
#define ALL_PAIRED    0.95
#define MOST_FAILED   4    // attempts in a row, then a sheet is emptied
#define LEAST_ODD     0.05 // of the length of all edges
#define LEAST_SHARE   0.01
#define FILLED_SHARE  0.3  // once a sheet has been filled
#define FULL          1e-7 // of a sheet: less may stay free

struct turn {
    struct jigsaw *j;
    const struct world *w;
    double until;
};

// ------------------------------------------------------------------------------------- hope

static struct kw_box2 box_of(const struct jigsaw *j, const struct world *w, int kind) {
    const struct kind *k = &w->kinds[kind];
    double m = w->options->margin - w->options->spacing / 2;
    double length = j->length > 0 ? j->length : k->length;
    return (struct kw_box2){kw_v2(m, m), kw_v2(length - m, k->breadth - m)};
}

static double box_area(struct kw_box2 b) {
    return (b.max.x - b.min.x) * (b.max.y - b.min.y);
}

/// Area of a part with half the spacing around it; 0 where it is of no use here.
static double area_of(const struct jigsaw *j, const struct world *w, int group, int part) {
    struct pose_range r = w->parts[group][part];
    return j->facets[group] && r.count > 0 ? j->facets[group]->tiles[r.first].area : 0;
}

static double wanted_area(const struct jigsaw *j, const struct world *w, int group) {
    double area = 0;
    for (int i = 0; i < w->job->part_count; i++)
        area += w->job->parts[i].count * area_of(j, w, group, i);
    return area;
}

/// Whether all parts together are as large as so many whole sheets.
static bool fills_whole_sheets(const struct jigsaw *j, const struct world *w) {
    for (int k = 0; k < w->job->sheet_count; k++) {
        if (!j->facets[w->kinds[k].group]) continue;
        double sheets = wanted_area(j, w, w->kinds[k].group) / box_area(box_of(j, w, k));
        if (sheets > 0.5 && fabs(sheets - round(sheets)) < FULL * sheets) return true;
    }
    return false;
}

/// Not by a multiple of 15 degrees: drawn so by hand, such edges are parallel by habit.
static bool is_odd(double direction) {
    return fabs(sin(12 * direction)) > 1e-4;
}

static bool has_partner(const struct world *w, const struct facets *f, const struct facet *of) {
    double direction = of->edge[EDGE_OUT_OF].direction;
    double back = direction > 0 ? direction - KW_PI : direction + KW_PI;
    struct facet_range r[2];
    int ranges = facets_along(f, EDGE_OUT_OF, back, 1e-6, r);
    for (int k = 0; k < ranges; k++) {
        for (int i = r[k].first; i < r[k].last; i++) {
            int pose = f->v[f->sorted[EDGE_OUT_OF][i]].pose;
            if (w->poses[pose].part != w->poses[of->pose].part) return true;
        }
    }
    return false;
}

/// How much the edges at odd angles tell, 0..1: whether nearly all of them could lie on one of
/// another part. Where few are at odd angles they tell nothing.
static double pairing(const struct world *w, const struct facets *f) {
    double all = 0, odd = 0, paired = 0;
    for (int i = 0; i < f->count; i++) {
        const struct facet_edge *e = &f->v[i].edge[EDGE_OUT_OF];
        all += e->length;
        if (!is_odd(e->direction)) continue;
        odd += e->length;
        if (has_partner(w, f, &f->v[i])) paired += e->length;
    }
    if (!(odd > LEAST_ODD * all)) return 0;
    return fmin(fmax((paired / odd - HALF_PAIRED) / (ALL_PAIRED - HALF_PAIRED), 0), 1);
}

static double share_of(const struct jigsaw *j, const struct world *w) {
    double share = w->options->spacing > 0 ? 0 : LEAST_SHARE;
    if (j->length == 0 && fills_whole_sheets(j, w)) return WHOLE_SHARE;
    for (int g = 0; g < w->group_count && share > 0; g++) {
        if (j->facets[g]) share = fmax(share, PAIRED_SHARE * pairing(w, j->facets[g]));
    }
    return share;
}

/// Apart for every seed and try; seeds that follow one another must not only change the order.
static uint64_t seed_of(uint64_t seed, int index) {
    uint64_t state = seed * JIGSAW_TRIES + (uint64_t)index;
    return kw_random(&state);
}

void jigsaw_begin(struct jigsaw *j, struct world *w, bool shortest, int kind) {
    *j = (struct jigsaw){.kind = kind};
    j->facets = KW_NEW_ARRAY(w->a, struct facets *, w->group_count + 1);
    for (int g = 0; g < w->group_count; g++)
        j->facets[g] = facets_of_group(w, g, MOST_FACETS);
    if (shortest) {
        struct kw_box2 box = box_of(j, w, kind);
        double length = wanted_area(j, w, w->kinds[kind].group) / (box.max.y - box.min.y);
        j->length = length + 2 * box.min.x;
    }
    j->share = share_of(j, w);
    for (int i = 0; i < JIGSAW_TRIES; i++) {
        struct jigsaw_try *t = &j->tries[i];
        puzzle_begin(&t->puzzle, w, NULL, seed_of(w->options->seed, i));
        t->used = KW_NEW_ARRAY(&t->puzzle.arena, int, w->job->sheet_count + 1);
        for (int k = 0; k < w->job->part_count; k++)
            t->puzzle.left[k] = w->job->parts[k].count;
    }
}

void jigsaw_end(struct jigsaw *j) {
    for (int i = 0; i < JIGSAW_TRIES; i++)
        puzzle_end(&j->tries[i].puzzle);
}

bool jigsaw_ended(const struct jigsaw *j) {
    bool ended = true;
    for (int i = 0; i < JIGSAW_TRIES; i++)
        ended = ended && j->tries[i].ended;
    return ended || !(j->share > 0);
}

// ---------------------------------------------------------------------------- a try's sheets

static struct bin *add_sheet(struct puzzle *p, struct jigsaw_sheets *s) {
    if (s->count == s->room) {
        struct bin *old = s->v;
        s->room = s->room ? 2 * s->room : 16;
        s->v = KW_NEW_ARRAY(&p->arena, struct bin, s->room);
        if (old) memcpy(s->v, old, sizeof *old * (size_t)s->count);
    }
    return &s->v[s->count++];
}

/// How often the parts that are left allow a layout.
static int times_of(const struct puzzle *p, const struct spot *spots, int count) {
    int times = KW_NEST_MOST_COPIES;
    for (int i = 0; i < count; i++) {
        int part = p->w->poses[spots[i].pose].part, on_it = 0;
        for (int k = 0; k < count; k++)
            on_it += p->w->poses[spots[k].pose].part == part;
        if (p->left[part] / on_it < times) times = p->left[part] / on_it;
    }
    return times;
}

static void take_sheet(struct jigsaw_try *t, const struct bin *b) {
    for (int i = 0; i < b->count; i++)
        t->puzzle.left[t->puzzle.w->poses[b->v[i].pose].part] -= b->times;
    t->used[b->kind] += b->times;
    t->now.area += b->times * b->area;
    *add_sheet(&t->puzzle, &t->now) = *b;
}

/// A sheet that was filled, as often as parts and sheets last.
static void keep_sheet(struct jigsaw_try *t, int kind, struct spot *spots, int count) {
    const struct world *w = t->puzzle.w;
    struct bin b = {.kind = kind, .v = spots, .count = count, .room = count};
    int limit = w->kinds[kind].count;
    b.times = times_of(&t->puzzle, spots, count);
    if (limit >= 0 && t->used[kind] + b.times > limit) b.times = limit - t->used[kind];
    for (int i = 0; i < count; i++) {
        const struct pose *pose = &w->poses[spots[i].pose];
        b.area += w->area[pose->part];
        b.extent = fmax(b.extent, spots[i].u + pose->size.x);
    }
    take_sheet(t, &b);
}

static void empty_sheet(struct jigsaw_try *t, int i) {
    struct bin *b = &t->now.v[i];
    for (int k = 0; k < b->count; k++)
        t->puzzle.left[t->puzzle.w->poses[b->v[k].pose].part] += b->times;
    t->used[b->kind] -= b->times;
    t->now.area -= b->times * b->area;
    *b = t->now.v[--t->now.count];
}

static void keep_best(struct jigsaw_try *t) {
    if (!(t->now.area > t->best.area * (1 + 1e-9))) return;
    t->best.count = 0;
    for (int i = 0; i < t->now.count; i++)
        *add_sheet(&t->puzzle, &t->best) = t->now.v[i];
    t->best.area = t->now.area;
}

static int pick(struct jigsaw_try *t, int n) {
    return (int)(kw_random(&t->puzzle.random) % (uint64_t)n);
}

/// After attempts that failed the sheets that are filled may be to blame.
static void after_failure(struct jigsaw_try *t) {
    t->failed++;
    if (t->now.count == 0 || t->failed < MOST_FAILED) return;
    t->failed = 0;
    empty_sheet(t, pick(t, t->now.count));
}

// ---------------------------------------------------------------------------------- rounds

static double left_area(const struct turn *r, const struct jigsaw_try *t, int group) {
    double area = 0;
    for (int i = 0; i < r->w->job->part_count; i++)
        area += t->puzzle.left[i] * area_of(r->j, r->w, group, i);
    return area;
}

/// A kind that what is left could fill; -1: none.
static int choose_kind(const struct turn *r, struct jigsaw_try *t) {
    int found = -1, seen = 0;
    for (int k = 0; k < r->w->job->sheet_count; k++) {
        const struct kind *kind = &r->w->kinds[k];
        if (!r->j->facets[kind->group] || kind->obstacle_count > 0) continue;
        if (r->j->length > 0 && k != r->j->kind) continue;
        if (kind->count >= 0 && t->used[k] >= kind->count) continue;
        struct kw_box2 box = box_of(r->j, r->w, k);
        if (!(box.max.x > box.min.x && box.max.y > box.min.y)) continue;
        if (left_area(r, t, kind->group) < box_area(box) * (1 - FULL)) continue;
        if (pick(t, ++seen) == 0) found = k;
    }
    return found;
}

/// 1, 1, 2, 1, 1, 2, 4, 1, ...: short attempts often, long ones ever more seldom, which is within a
/// small factor of the best there is where nothing is known of how long a good one takes (Luby,
/// Sinclair and Zuckerman 1993).
static long luby(long i) {
    for (long size = 1;; size = 2 * size + 1) {
        if (i == size) return (size + 1) / 2;
        if (i < 2 * size + 1) return luby(i - size);
    }
}

static long attempt_of(long round) {
    long times = luby(round);
    return FIRST_ATTEMPT * (times < MOST_TIMES ? times : MOST_TIMES);
}

static bool too_late(const struct turn *r) {
    const struct kw_watch *watch = r->w->options->watch;
    return kw_watch_stopped(watch) || (r->until > 0 && watch->now(watch->user) >= r->until);
}

/// Sheet after sheet until one can't be filled.
static void try_on(void *user, int index) {
    struct turn *r = user;
    struct jigsaw_try *t = &r->j->tries[index];
    struct puzzle *p = &t->puzzle;
    bool filled = true;
    while (filled && !t->ended && !too_late(r)) {
        int kind = choose_kind(r, t), count;
        struct spot *spots;
        t->ended = kind < 0;
        if (t->ended) return;
        p->facets = r->j->facets[r->w->kinds[kind].group];
        filled = puzzle_fill(p, box_of(r->j, r->w, kind), r->j->attempt, &spots, &count);
        if (filled) {
            keep_sheet(t, kind, spots, count);
            keep_best(t);
            t->failed = 0;
        } else {
            t->ended = p->tried_all && t->now.count == 0 && r->w->job->sheet_count == 1;
            after_failure(t);
        }
    }
}

/// Who is far behind goes on from the most sheets ever filled, one of them emptied: but never all,
/// for those sheets may be to blame that the others can't be filled.
static void adopt(struct jigsaw *j) {
    int best = 0;
    for (int i = 1; i < JIGSAW_TRIES; i++) {
        if (j->tries[i].best.area > j->tries[best].best.area) best = i;
    }
    const struct jigsaw_sheets *from = &j->tries[best].best;
    for (int i = 1; i < JIGSAW_TRIES; i++) {
        struct jigsaw_try *t = &j->tries[i];
        if (t->now.count + 1 >= from->count || pick(t, 2) == 0) continue;
        while (t->now.count > 0)
            empty_sheet(t, t->now.count - 1);
        int without = pick(t, from->count);
        for (int k = 0; k < from->count; k++) {
            if (k != without) take_sheet(t, &from->v[k]);
        }
    }
}

long jigsaw_next(const struct jigsaw *j) {
    return attempt_of(j->rounds + 1) * JIGSAW_TRIES / 2;
}

const struct jigsaw_sheets *jigsaw_round(struct jigsaw *j, struct world *w, double until) {
    struct turn r = {j, w, until};
    long before = 0, after = 0;
    const struct jigsaw_sheets *best = NULL;
    j->attempt = attempt_of(++j->rounds);
    for (int i = 0; i < JIGSAW_TRIES; i++)
        before += j->tries[i].puzzle.work;
    kw_team_run(try_on, &r, JIGSAW_TRIES, w->options->threads);
    for (int i = 0; i < JIGSAW_TRIES; i++) {
        after += j->tries[i].puzzle.work;
        if (!(j->tries[i].best.area > j->area * (1 + 1e-9))) continue;
        j->area = j->tries[i].best.area;
        best = &j->tries[i].best;
        j->share = fmax(j->share, FILLED_SHARE);
    }
    adopt(j);
    w->work += (after - before) / 2; // half as long as those of the other searches
    j->work += (after - before) / 2;
    return best;
}
