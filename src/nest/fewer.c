// SPDX-License-Identifier: Apache-2.0
// One sheet is emptied onto others: its pieces are thrown among theirs, and the crowd is parted.
// With few sheets all are taken together, else a handful.
#include "nest/fewer.h"

#include "base/base.h"

#include <string.h>

#define ALL_UP_TO    8   // sheets that are taken all together
#define MOST_PIECES  400 // in one crowd
#define MOST_EMPTIED 3
#define MOST_KINDS   8 // of sheets; with more, one sheet at a time is exchanged
#define LEAST_WORK   1500000
#define MOST_WORK    60000000
#define WIDE_CUT     0.3
#define FIRST_CUT    0.1
#define LEAST_CUT    0.003
#define FULLEST      1.0001 // of the area of sheets: beyond, no attempt is made

static int pick(struct fewer_try *t, int n) {
    return (int)(kw_random(&t->random) % (uint64_t)n);
}

static double unit(struct fewer_try *t) {
    return kw_random_unit(&t->random);
}

void fewer_begin(struct fewer *f, struct world *w) {
    *f = (struct fewer){.most_work = LEAST_WORK, .cut_work = LEAST_WORK, .step = FIRST_CUT};
    for (int i = 0; i < FEWER_TRIES; i++) {
        f->tries[i].contacts = contacts_for(w, true);
        f->tries[i].random = worker_random(w, SEEKS_FEWER, i);
    }
}

void fewer_end(struct fewer *f) {
    for (int i = 0; i < FEWER_TRIES; i++) {
        crowd_free(&f->tries[i].crowd);
        contacts_free(&f->tries[i].contacts);
    }
}

// -------------------------------------------------------------------------------- which sheets

/// A layout of one sheet that could hold more: what is full to the last corner can't take part.
static bool has_room(const struct world *w, const struct bin *b) {
    return b->times == 1 && b->area < usable_area(w, b->kind) * (1 - 1e-6);
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

static bool known(const struct fewer_try *t, int bin) {
    for (int i = 0; i < t->from_count; i++) {
        if (t->from[i] == bin) return true;
    }
    return false;
}

/// Sheets of the plan with few enough pieces together; the victim first.
static bool choose_sheets(struct fewer_try *t, const struct world *w, const struct plan *p,
                          bool emptiest) {
    int single = 0, victim = choose_victim(t, w, p, emptiest);
    t->from_count = 0;
    if (victim < 0) return false;
    for (int i = 0; i < p->count; i++)
        single += has_room(w, &p->bins[i]);
    int wanted = single <= ALL_UP_TO ? single : 3 + pick(t, ALL_UP_TO - 3);
    int pieces = p->bins[victim].count;
    t->from[t->from_count++] = victim;
    for (int tries = 0; t->from_count < wanted && tries < 200; tries++) {
        int i = pick(t, p->count);
        if (!has_room(w, &p->bins[i]) || known(t, i)) continue;
        if (pieces + p->bins[i].count > MOST_PIECES) continue;
        pieces += p->bins[i].count;
        t->from[t->from_count++] = i;
    }
    return pieces <= MOST_PIECES;
}

/// Sheets that are taken instead of the first `emptied`: their kinds, as many at most.
struct target {
    int emptied, kinds[MOST_EMPTIED], count;
    double room; ///< of all sheets then
};

/// Sheets of a kind that may still be taken when those of `t` up to `emptied` are given up.
static int kind_left(const struct fewer_try *t, const struct world *w, const struct plan *p,
                     int emptied, int kind) {
    if (w->kinds[kind].count < 0) return MOST_EMPTIED;
    int left = w->kinds[kind].count - sheets_of_kind(p, kind);
    for (int i = 0; i < emptied; i++)
        left += p->bins[t->from[i]].kind == kind;
    return left;
}

/// All the ways to spend less: some sheets emptied, none or some taken instead. Half of the tries
/// take the way that leaves most room, the others any.
struct targets {
    struct fewer_try *t;
    const struct world *w;
    const struct plan *p;
    double area, value, room; ///< of the metal; of the sheets emptied; of those that stay
    bool roomiest;
    int seen;
    struct target best;
};

static void offer_target(struct targets *s, struct target now, double value) {
    if (!(value < s->value * (1 - 1e-9)) || !(s->area <= FULLEST * now.room)) return;
    if (now.emptied == s->t->from_count && now.count == 0) return;
    s->seen++;
    bool take = s->roomiest ? s->seen == 1 || now.room > s->best.room : pick(s->t, s->seen) == 0;
    if (take) s->best = now;
}

/// Adds one more sheet, of a kind no earlier than the last one's.
static void add_targets(struct targets *s, struct target now, double value, int first) {
    offer_target(s, now, value);
    for (int k = first; k < s->w->job->sheet_count && now.count < now.emptied; k++) {
        int used = 0;
        for (int i = 0; i < now.count; i++)
            used += now.kinds[i] == k;
        if (used >= kind_left(s->t, s->w, s->p, now.emptied, k)) continue;
        struct target more = now;
        more.kinds[more.count++] = k;
        more.room += usable_area(s->w, k);
        add_targets(s, more, value + s->w->kinds[k].value, k);
    }
}

static bool choose_target(struct fewer_try *t, const struct world *w, const struct plan *p) {
    struct targets s = {.t = t, .w = w, .p = p, .roomiest = pick(t, 2)};
    for (int i = 0; i < t->from_count; i++) {
        s.area += p->bins[t->from[i]].area;
        s.room += usable_area(w, p->bins[t->from[i]].kind);
    }
    int most = w->job->sheet_count > MOST_KINDS ? 1 : MOST_EMPTIED;
    for (int n = 1; n <= most && n <= t->from_count; n++) {
        s.value += w->kinds[p->bins[t->from[n - 1]].kind].value;
        s.room -= usable_area(w, p->bins[t->from[n - 1]].kind);
        add_targets(&s, (struct target){.emptied = n, .room = s.room}, 0, 0);
    }
    if (s.seen == 0) return false;
    t->emptied = s.best.emptied;
    t->kind_count = 0;
    for (int i = t->emptied; i < t->from_count; i++)
        t->kinds[t->kind_count++] = p->bins[t->from[i]].kind;
    for (int i = 0; i < s.best.count; i++)
        t->kinds[t->kind_count++] = s.best.kinds[i];
    return true;
}

static bool choose_fewer(struct fewer_try *t, const struct world *w, const struct plan *p,
                         int index) {
    t->cut = INFINITY;
    return choose_sheets(t, w, p, index % 2 == 0) && choose_target(t, w, p);
}

/// The same sheets, with `step` of the length less of the emptiest.
static bool choose_cut(struct fewer_try *t, const struct world *w, const struct plan *p,
                       double step) {
    if (!choose_sheets(t, w, p, true)) return false;
    double area = 0, room = 0, m = w->options->margin;
    t->emptied = t->kind_count = 0;
    for (int i = 0; i < t->from_count; i++) {
        const struct bin *b = &p->bins[t->from[i]];
        t->kinds[t->kind_count++] = b->kind;
        area += b->area;
        if (i > 0) room += usable_area(w, b->kind);
    }
    const struct bin *first = &p->bins[t->from[0]];
    if (first->count == 1) return false; // only emptying it is left
    const struct kind *k = &w->kinds[first->kind];
    double least = 2 * m + (area - room) / (k->breadth - 2 * m);
    t->cut = fmax(first->extent + m - step * k->length, fmax(least, 2 * m));
    return t->cut < first->extent + m - LEAST_CUT / 2 * k->length;
}

// ------------------------------------------------------------------------------ the crowd

static double length_of(const struct fewer_try *t, const struct world *w, int ground) {
    double length = w->kinds[t->kinds[ground]].length;
    return ground == 0 ? fmin(length, t->cut) : length;
}

/// Some place on any of the sheets where the piece alone would fit.
static bool throw_in(struct fewer_try *t, const struct world *w, int part, struct seat *s) {
    double m = w->options->margin;
    for (int tries = 0; tries < 60; tries++) {
        int g = pick(t, t->kind_count);
        const struct kind *k = &w->kinds[t->kinds[g]];
        struct pose_range r = w->parts[k->group][part];
        if (r.count == 0) continue;
        int pose = r.first + pick(t, r.count);
        double u = length_of(t, w, g) - 2 * m - w->poses[pose].size.x;
        double v = k->breadth - 2 * m - w->poses[pose].size.y;
        if (!(u >= 0 && v >= 0)) continue;
        *s = (struct seat){g, pose, m + u * unit(t), m + v * unit(t)};
        return true;
    }
    return false;
}

/// Where a piece of sheet i of those taken begins: where it lay, as far as there is still room.
static bool seat_of(struct fewer_try *t, const struct world *w, int i, struct spot s,
                    struct seat *to) {
    const struct pose *pose = &w->poses[s.pose];
    *to = (struct seat){i - t->emptied, s.pose, s.u, s.v};
    double m = w->options->margin;
    if (i < t->emptied) return throw_in(t, w, pose->part, to);
    double most = length_of(t, w, to->ground) - m - pose->size.x;
    if (most < m) return throw_in(t, w, pose->part, to);
    to->u = fmin(to->u, most);
    return true;
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
            if (!seat_of(t, w, i, b->v[k], &seats[(*count)++])) return NULL;
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

/// Parts the crowd within the work given: what can't be parted is disturbed and tried again, each
/// time from the layout of least overlap so far.
static bool part(struct fewer_try *t, const struct round *r) {
    struct crowd *c = &t->crowd;
    struct parting now = {0};
    double least = INFINITY;
    struct seat *best = KW_NEW_ARRAY(&c->arena, struct seat, c->count + 1);
    parting_begin(c, &now);
    while (c->work < t->most_work && !too_late(r)) {
        enum parting_end end = parting_round(c, &now, 100, 3);
        if (end == PARTING_LEGAL) return true;
        if (end == PARTING_GOES_ON) continue;
        if (now.least < least) {
            least = now.least;
            memcpy(best, now.seats, sizeof *best * (size_t)c->count);
        }
        crowd_seat(c, best);
        crowd_disturb(c);
        parting_begin(c, &now);
    }
    return false;
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
        t->crowd.grounds[0].length = length_of(t, r->w, 0);
        t->legal = part(t, r);
        t->work = t->crowd.work;
    }
    kw_arena_free(&a);
}

/// A bolder step after the boldest try came out, a smaller one after none did.
static void adapt(struct fewer *f, bool cut, int found) {
    long *most = cut ? &f->cut_work : &f->most_work;
    *most = found >= 0 ? LEAST_WORK : *most + *most / 4;
    if (*most > MOST_WORK) *most = MOST_WORK;
    if (!cut) return;
    if (found == 0) f->step = fmin(1.5 * f->step, WIDE_CUT);
    if (found != 0) f->step *= found < 0 ? 0.5 : 0.8;
    if (f->step < LEAST_CUT) f->step = FIRST_CUT;
}

int fewer_round(struct fewer *f, struct world *w, const struct plan *p, bool cut, long most_work,
                double until) {
    struct round r = {f, w, p, until};
    int found = -1;
    long most = cut ? f->cut_work : f->most_work;
    for (int i = 0; i < FEWER_TRIES; i++) {
        struct fewer_try *t = &f->tries[i];
        crowd_free(&t->crowd);
        t->legal = false;
        t->work = 1000;
        t->most_work = most < most_work ? most : most_work;
        t->chosen = cut ? choose_cut(t, w, p, f->step / (1 << i)) : choose_fewer(t, w, p, i);
    }
    kw_team_run(try_once, &r, FEWER_TRIES, w->options->threads);
    for (int i = FEWER_TRIES - 1; i >= 0; i--) {
        w->work += f->tries[i].work;
        if (f->tries[i].legal) found = i;
    }
    adapt(f, cut, found);
    return found;
}
