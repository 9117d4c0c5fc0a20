// SPDX-License-Identifier: Apache-2.0
// One sheet is emptied onto others: its pieces are thrown among theirs, and the crowd is parted.
// With few sheets all are taken together, else a handful.
#include "nest/fewer.h"

#include "base/base.h"

#include <string.h>

#define ALL_UP_TO   8   // sheets that are taken all together
#define MOST_PIECES 400 // in one crowd
#define LEAST_WORK  1500000
#define MOST_WORK   60000000
#define FULLEST     1.0001 // of the area of sheets: beyond, no attempt is made

static int pick(struct fewer_try *t, int n) {
    return (int)(kw_random(&t->random) % (uint64_t)n);
}

static double unit(struct fewer_try *t) {
    return kw_random_unit(&t->random);
}

void fewer_begin(struct fewer *f, struct world *w) {
    *f = (struct fewer){.most_work = LEAST_WORK};
    for (int i = 0; i < FEWER_TRIES; i++) {
        f->tries[i].contacts = contacts_for(w, true);
        f->tries[i].random = kw_hash(w->options->seed + 77, &i, sizeof i);
    }
}

void fewer_end(struct fewer *f) {
    for (int i = 0; i < FEWER_TRIES; i++) {
        crowd_free(&f->tries[i].crowd);
        contacts_free(&f->tries[i].contacts);
    }
}

// -------------------------------------------------------------------------------- which sheets

static double usable(const struct world *w, int kind) {
    const struct kind *k = &w->kinds[kind];
    double m = 2 * w->options->margin;
    return fmin(k->area, (k->length - m) * (k->breadth - m));
}

/// A layout of one sheet that could hold more: what is full to the last corner can't take part.
static bool has_room(const struct world *w, const struct bin *b) {
    return b->times == 1 && b->area < usable(w, b->kind) * (1 - 1e-6);
}

static int choose_victim(struct fewer_try *t, const struct world *w, const struct plan *p,
                         bool emptiest) {
    int best = -1, seen = 0;
    double least = INFINITY;
    for (int i = 0; i < p->count; i++) {
        const struct bin *b = &p->bins[i];
        if (!has_room(w, b)) continue;
        double full = b->area / w->kinds[b->kind].area;
        seen++;
        if (emptiest ? !(full < least) : pick(t, seen) != 0) continue;
        least = full;
        best = i;
    }
    return best;
}

/// A kind that costs less than the one emptied and of which there is one left; -1: none.
static int cheaper_kind(struct fewer_try *t, const struct world *w, const struct plan *p,
                        int victim) {
    int found = -1, seen = 0;
    for (int k = 0; k < w->job->sheet_count; k++) {
        bool left = w->kinds[k].count < 0 || sheets_of_kind(p, k) < w->kinds[k].count;
        bool cheaper = w->kinds[k].value < w->kinds[p->bins[victim].kind].value * (1 - 1e-9);
        if (left && cheaper && pick(t, ++seen) == 0) found = k;
    }
    return found;
}

static bool known(const struct fewer_try *t, int bin) {
    for (int i = 0; i < t->from_count; i++) {
        if (t->from[i] == bin) return true;
    }
    return false;
}

static bool choose(struct fewer_try *t, const struct world *w, const struct plan *p, int index) {
    int single = 0, pieces = 0;
    double area = 0, room = 0;
    for (int i = 0; i < p->count; i++)
        single += has_room(w, &p->bins[i]);
    t->from_count = t->kind_count = 0;
    int victim = choose_victim(t, w, p, index % 2 == 0);
    if (victim < 0) return false;
    int wanted = single <= ALL_UP_TO ? single : 3 + pick(t, ALL_UP_TO - 3);
    t->from[t->from_count++] = victim;
    for (int tries = 0; t->from_count < wanted && tries < 200; tries++) {
        int i = pick(t, p->count);
        if (has_room(w, &p->bins[i]) && !known(t, i)) t->from[t->from_count++] = i;
    }
    for (int i = 0; i < t->from_count; i++) {
        const struct bin *b = &p->bins[t->from[i]];
        pieces += b->count;
        area += b->area;
        if (i > 0) t->kinds[t->kind_count++] = b->kind;
        if (i > 0) room += usable(w, b->kind);
    }
    if (pieces > MOST_PIECES) return false;
    int cheaper = cheaper_kind(t, w, p, victim);
    bool fits = t->kind_count > 0 && area <= FULLEST * room;
    if (cheaper >= 0 && (!fits || pick(t, 2))) {
        t->kinds[t->kind_count++] = cheaper;
        room += usable(w, cheaper);
    }
    return t->kind_count > 0 && area <= FULLEST * room;
}

// ------------------------------------------------------------------------------ the crowd

/// Some place on any of the sheets where the piece alone would fit.
static bool throw_in(struct fewer_try *t, const struct world *w, int part, struct seat *s) {
    double m = w->options->margin;
    for (int tries = 0; tries < 60; tries++) {
        int g = pick(t, t->kind_count);
        const struct kind *k = &w->kinds[t->kinds[g]];
        struct pose_range r = w->parts[k->group][part];
        if (r.count == 0) continue;
        int pose = r.first + pick(t, r.count);
        double u = k->length - 2 * m - w->poses[pose].size.x;
        double v = k->breadth - 2 * m - w->poses[pose].size.y;
        if (!(u >= 0 && v >= 0)) continue;
        *s = (struct seat){g, pose, m + u * unit(t), m + v * unit(t)};
        return true;
    }
    return false;
}

static struct seat *throw_all(struct fewer_try *t, const struct world *w, const struct plan *p,
                              struct kw_arena *a, int *count) {
    int n = 0;
    for (int i = 0; i < t->from_count; i++)
        n += p->bins[t->from[i]].count;
    struct seat *seats = KW_NEW_ARRAY(a, struct seat, n + 1);
    *count = 0;
    for (int i = 0; i < t->from_count; i++) {
        const struct bin *b = &p->bins[t->from[i]];
        for (int k = 0; k < b->count; k++) {
            struct spot s = b->v[k];
            struct seat *to = &seats[(*count)++];
            *to = (struct seat){i - 1, s.pose, s.u, s.v};
            if (i == 0 && !throw_in(t, w, w->poses[s.pose].part, to)) return NULL;
        }
    }
    return seats;
}

struct round {
    struct fewer *f;
    const struct world *w;
    const struct plan *p;
    double until;
};

static bool too_late(const struct round *r) {
    const struct kw_watch *watch = r->w->options->watch;
    return kw_watch_stopped(watch) || (r->until > 0 && watch->now(watch->user) >= r->until);
}

static void try_once(void *user, int index) {
    struct round *r = user;
    struct fewer_try *t = &r->f->tries[index];
    if (!t->chosen) return;
    struct kw_arena a = {0};
    int count;
    struct seat *seats = throw_all(t, r->w, r->p, &a, &count);
    if (seats) {
        crowd_make(&t->crowd, r->w, &t->contacts, t->kinds, t->kind_count, seats, count);
        t->crowd.random = kw_random(&t->random);
        struct parting parting = {0};
        parting_begin(&t->crowd, &parting);
        enum parting_end end = PARTING_GOES_ON;
        while (end == PARTING_GOES_ON && t->crowd.work < t->most_work && !too_late(r))
            end = parting_round(&t->crowd, &parting, 100, 3);
        t->legal = end == PARTING_LEGAL;
        t->work = t->crowd.work;
    }
    kw_arena_free(&a);
}

int fewer_round(struct fewer *f, struct world *w, const struct plan *p, long most_work,
                double until) {
    struct round r = {f, w, p, until};
    int found = -1;
    for (int i = 0; i < FEWER_TRIES; i++) {
        struct fewer_try *t = &f->tries[i];
        crowd_free(&t->crowd);
        t->legal = false;
        t->work = 1000;
        t->most_work = f->most_work < most_work ? f->most_work : most_work;
        t->chosen = choose(t, w, p, i);
    }
    kw_team_run(try_once, &r, FEWER_TRIES, w->options->threads);
    for (int i = FEWER_TRIES - 1; i >= 0; i--) {
        w->work += f->tries[i].work;
        if (f->tries[i].legal) found = i;
    }
    f->most_work = found >= 0 ? LEAST_WORK : f->most_work + f->most_work / 4;
    if (f->most_work > MOST_WORK) f->most_work = MOST_WORK;
    return found;
}
