// SPDX-License-Identifier: Apache-2.0
// One to three sheets at a time are emptied and filled again in a shuffled order, and the outcome
// is kept where it is no worse.
#include "nest/refill.h"

#include <string.h>

#define WARMTH       0.01 // of a sheet's area
#define MOST_OFFERED 50   // a part

static void want_one(struct world *w, struct change *c, int part, int as) {
    if (c->want_count == c->want_room) {
        struct want *old = c->wants;
        c->want_room = c->want_room ? 2 * c->want_room : 64;
        c->wants = KW_NEW_ARRAY(w->a, struct want, c->want_room);
        if (old) memcpy(c->wants, old, sizeof *old * (size_t)c->want_count);
    }
    c->wants[c->want_count++] = (struct want){.part = part, .count = 1, .as = as};
}

static int pick(struct world *w, int n) {
    return (int)(kw_random(&w->random) % (uint64_t)n);
}

static int emptiest(const struct world *w, const struct plan *p) {
    int best = 0;
    double least = INFINITY;
    for (int i = 0; i < p->count; i++) {
        double full = p->bins[i].area / w->kinds[p->bins[i].kind].area;
        if (!(full < least)) continue;
        least = full;
        best = i;
    }
    return best;
}

/// One to three sheets, the emptiest among them more often than not.
static void choose_sheets(struct world *w, const struct plan *p, struct change *c) {
    double r = kw_random_unit(&w->random);
    int wanted = p->count > 1 && r > 0.3 ? 2 : 1;
    if (p->count > 2 && r > 0.85) wanted = 3;
    c->out[0] = kw_random_unit(&w->random) < 0.6 ? emptiest(w, p) : pick(w, p->count);
    c->out_count = 1;
    for (int tries = 0; c->out_count < wanted && tries < 8; tries++) {
        int i = pick(w, p->count);
        bool known = false;
        for (int k = 0; k < c->out_count; k++)
            known = known || c->out[k] == i;
        if (!known) c->out[c->out_count++] = i;
    }
    c->times = c->out_count == 1 ? p->bins[c->out[0]].times : 1;
    c->splits = false;
    for (int k = 0; k < c->out_count; k++) {
        c->splits = c->splits || p->bins[c->out[k]].times > c->times;
    }
}

/// Copies without a sheet that are tried again with every change.
static int offered(const struct plan *p, int part) {
    return p->missing[part] < MOST_OFFERED ? p->missing[part] : MOST_OFFERED;
}

static void empty_sheets(struct world *w, const struct plan *p, struct change *c) {
    c->want_count = 0;
    for (int k = 0; k < c->out_count; k++) {
        const struct bin *b = &p->bins[c->out[k]];
        for (int i = 0; i < b->count; i++)
            want_one(w, c, w->poses[b->v[i].pose].part, b->v[i].pose);
    }
    if (c->times > 1) return;
    for (int i = 0; i < w->job->part_count; i++) { // what had no place may find one now
        for (int k = 0; k < offered(p, i); k++)
            want_one(w, c, i, -1);
    }
}

static int pieces_wanted(const struct change *c) {
    int n = 0;
    for (int i = 0; i < c->want_count; i++)
        n += c->wants[i].count;
    return n;
}

/// A kind for the next fresh sheet: mostly that of the sheet it replaces.
static int choose_kind(struct world *w, const struct plan *p, const struct change *c, int next) {
    int kind = p->bins[c->out[next]].kind;
    if (w->job->sheet_count > 1 && kw_random_unit(&w->random) < 0.35) {
        kind = pick(w, w->job->sheet_count);
    }
    int used = sheets_of_kind(p, kind);
    for (int k = 0; k < c->out_count; k++)
        used -= c->times * (p->bins[c->out[k]].kind == kind);
    for (int k = 0; k < next; k++)
        used += c->times * (c->fresh[k].kind == kind);
    int limit = w->kinds[kind].count;
    return limit >= 0 && used + c->times > limit ? p->bins[c->out[next]].kind : kind;
}

/// Each part may be told which way to lie, anew for every refill.
static void choose_lies(struct world *w) {
    static const char often_free[8] = {LIE_FREE,  LIE_FREE,  LIE_FREE,   LIE_FREE,
                                       LIE_ALONG, LIE_ALONG, LIE_ACROSS, LIE_ACROSS};
    for (int i = 0; i < w->job->part_count; i++)
        w->lie[i] = often_free[pick(w, 8)];
}

/// A new order altogether.
static void shuffle(struct world *w, struct policy *policy, struct change *c) {
    choose_lies(w);
    policy->order = pick(w, 4);
    policy->noise = kw_random_unit(&w->random) * (pick(w, 2) ? 0.15 : 0.6);
    for (int i = 0; i < c->want_count; i++)
        c->wants[i].as = -1;
    sort_wants(w, *policy, c->wants, c->want_count);
}

/// The order in which the sheets were filled, a few pieces moved and turned.
static void disturb(struct world *w, struct change *c) {
    choose_lies(w);
    for (int moves = 1 + pick(w, 4); moves > 0 && c->want_count > 0; moves--) {
        int from = pick(w, c->want_count), to = pick(w, c->want_count);
        struct want moved = c->wants[from];
        if (pick(w, 2)) moved.as = -1;
        if (pick(w, 3) == 0) { // exchanged
            c->wants[from] = c->wants[to];
        } else {
            int step = to > from ? 1 : -1;
            for (int i = from; i != to; i += step)
                c->wants[i] = c->wants[i + step];
        }
        c->wants[to] = moved;
    }
}

static void refill(struct world *w, const struct plan *p, struct change *c) {
    struct policy policy = {.reach = pick(w, 3) * 0.5};
    if (pick(w, 3) == 0)
        shuffle(w, &policy, c);
    else
        disturb(w, c);
    c->fresh_count = 0;
    while (c->fresh_count < c->out_count && pieces_wanted(c) > 0) {
        struct bin *b = &c->fresh[c->fresh_count];
        fill_bin(w, b, choose_kind(w, p, c, c->fresh_count), policy, c->wants, c->want_count);
        b->times = c->times;
        c->fresh_count++;
    }
}

/// The plan's score if the change is made. Copies that found no place count as missing.
static struct score changed_score(struct world *w, const struct plan *p, const struct change *c) {
    struct score s = p->score;
    for (int k = 0; k < c->out_count; k++) {
        const struct bin *b = &p->bins[c->out[k]];
        s.value -= c->times * w->kinds[b->kind].value;
        if (b->times == c->times) s.value -= program_cost(w, b);
        s.drops -= c->times * sheet_drops(w, b);
    }
    for (int k = 0; k < c->fresh_count; k++) {
        if (c->fresh[k].count == 0) continue;
        s.value += c->times * w->kinds[c->fresh[k].kind].value + program_cost(w, &c->fresh[k]);
        s.drops += c->times * sheet_drops(w, &c->fresh[k]);
    }
    if (c->times > 1) return s;
    for (int i = 0; i < w->job->part_count; i++)
        s.missing -= offered(p, i) * w->bulk[i];
    for (int i = 0; i < c->want_count; i++) {
        s.missing += c->wants[i].count * w->bulk[c->wants[i].part];
    }
    return s;
}

static void make_change(struct world *w, struct plan *p, struct change *c) {
    for (int i = 0; c->times == 1 && i < w->job->part_count; i++)
        p->missing[i] -= offered(p, i);
    for (int i = 0; c->times == 1 && i < c->want_count; i++) {
        p->missing[c->wants[i].part] += c->wants[i].count;
    }
    for (int k = 0; k < c->out_count; k++)
        p->bins[c->out[k]].times -= c->times;
    for (int k = 0; k < c->fresh_count; k++) {
        if (c->fresh[k].count == 0) continue;
        struct bin *to = NULL; // the place of one that went, where there is one
        for (int m = 0; m < c->out_count && !to; m++) {
            if (p->bins[c->out[m]].times == 0) to = &p->bins[c->out[m]];
        }
        bin_copy(w, to ? to : plan_add(w, p), &c->fresh[k]);
    }
    plan_drop_empty(p);
    p->score = score_of(w, p);
}

/// A change is made where the plan gets no worse; where it would break up sheets that are cut
/// alike, only where it gets better: one more program costs the shop time.
/// Early in the search drops may get a little smaller, which leads out of dead ends.
static bool take_change(const struct world *w, const struct plan *p, const struct change *c,
                        struct score s, double done) {
    if (c->splits) return score_better(s, p->score);
    if (!score_differ(s.missing, p->score.missing) && !score_differ(s.value, p->score.value)) {
        double worse = WARMTH * w->kinds[p->bins[c->out[0]].kind].area * fmax(1 - done, 0);
        return s.drops >= p->score.drops - worse;
    }
    return !score_better(p->score, s);
}

void try_change(struct world *w, struct plan *p, struct change *c, double done) {
    choose_sheets(w, p, c);
    empty_sheets(w, p, c);
    refill(w, p, c);
    if (c->times > 1 && pieces_wanted(c) > 0) return;
    struct score s = changed_score(w, p, c);
    if (take_change(w, p, c, s, done)) make_change(w, p, c);
}
