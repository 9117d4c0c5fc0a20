// SPDX-License-Identifier: Apache-2.0
// A short way through stops: nearest neighbour, then 2-opt and or-opt until neither helps, then the
// same again from disturbed tours, of which the best is kept. Each stop may have different places
// to come in and to leave, so turning a stretch round changes the ways within it; running sums of
// both directions make that a constant-time question.
#include "cut/job.h"

#include <math.h>

#define LONGEST_SHIFT 3    // stops that or-opt moves together
#define LONGEST_SWAP  12   // stops in a stretch that a disturbance moves
#define GAIN          1e-7 // mm that a change must save: keeps the search from going in circles

struct tour {
    struct cut_stop *v;
    int n;
    struct kw_vec2 from;
    const struct kw_vec2 *to;
    double *forth, *back; ///< sums of ways up to a stop, as they run and turned round
};

static double way(struct kw_vec2 a, struct kw_vec2 b) {
    double x = a.x - b.x, y = a.y - b.y; // the tours' inner loop: hypot took a third of a run
    return sqrt(x * x + y * y);
}

static struct cut_stop turned(struct cut_stop s) {
    if (!s.flips) return s;
    struct kw_vec2 in = s.in;
    s.in = s.out;
    s.out = in;
    s.flipped = !s.flipped;
    return s;
}

static struct kw_vec2 out_of(const struct tour *t, int i) {
    return i < 0 ? t->from : t->v[i].out;
}

// From `a` to the stop at position i, which may be the end of the tour.
static double way_in(const struct tour *t, struct kw_vec2 a, int i) {
    if (i < t->n) return way(a, t->v[i].in);
    return t->to ? way(a, *t->to) : 0;
}

static double sum_up(struct tour *t) {
    for (int i = 0; i + 1 < t->n; i++) {
        struct cut_stop a = turned(t->v[i]), b = turned(t->v[i + 1]);
        t->forth[i + 1] = t->forth[i] + way(t->v[i].out, t->v[i + 1].in);
        t->back[i + 1] = t->back[i] + way(b.out, a.in);
    }
    return way_in(t, t->from, 0) + t->forth[t->n - 1] + way_in(t, t->v[t->n - 1].out, t->n);
}

static void turn_round(struct cut_stop *v, int i, int k) {
    for (; i < k; i++, k--) {
        struct cut_stop s = turned(v[i]);
        v[i] = turned(v[k]);
        v[k] = s;
    }
    if (i == k) v[i] = turned(v[i]);
}

static bool two_opt(struct tour *t) {
    bool better = false;
    for (int i = 0; i < t->n; i++) {
        for (int k = i; k < t->n; k++) {
            struct cut_stop a = turned(t->v[i]), b = turned(t->v[k]);
            double now = way_in(t, out_of(t, i - 1), i) + t->forth[k] - t->forth[i] +
                         way_in(t, t->v[k].out, k + 1);
            double then =
                way(out_of(t, i - 1), b.in) + t->back[k] - t->back[i] + way_in(t, a.out, k + 1);
            if (!(then < now - GAIN)) continue;
            turn_round(t->v, i, k);
            sum_up(t);
            better = true;
        }
    }
    return better;
}

// Puts v[i..e] between p and p + 1, which lie outside it.
static void shift(struct tour *t, int i, int e, int p, bool round) {
    struct cut_stop held[LONGEST_SHIFT];
    int n = e - i + 1;
    if (round) turn_round(t->v, i, e);
    for (int k = 0; k < n; k++)
        held[k] = t->v[i + k];
    if (p < i) {
        for (int k = e; k - n > p; k--)
            t->v[k] = t->v[k - n];
        for (int k = 0; k < n; k++)
            t->v[p + 1 + k] = held[k];
    } else {
        for (int k = i; k + n <= p; k++)
            t->v[k] = t->v[k + n];
        for (int k = 0; k < n; k++)
            t->v[p - n + 1 + k] = held[k];
    }
    sum_up(t);
}

// The best place for v[i..e]; true if it was moved.
static bool shift_best(struct tour *t, int i, int e) {
    struct cut_stop a = turned(t->v[i]), b = turned(t->v[e]);
    double inner = t->back[e] - t->back[i] - (t->forth[e] - t->forth[i]);
    double freed = way_in(t, out_of(t, i - 1), i) + way_in(t, t->v[e].out, e + 1) -
                   way_in(t, out_of(t, i - 1), e + 1);
    double best = GAIN;
    int where = -2;
    bool round = false;
    for (int p = -1; p < t->n; p++) {
        if (p >= i - 1 && p <= e) continue;
        struct kw_vec2 from = out_of(t, p);
        double gap = way_in(t, from, p + 1);
        double straight = way(from, t->v[i].in) + way_in(t, t->v[e].out, p + 1) - gap;
        double reversed = way(from, b.in) + way_in(t, a.out, p + 1) - gap + inner;
        double cost = fmin(straight, reversed);
        if (!(freed - cost > best)) continue;
        best = freed - cost;
        where = p;
        round = reversed < straight;
    }
    if (where == -2) return false;
    shift(t, i, e, where, round);
    return true;
}

static bool or_opt(struct tour *t) {
    bool better = false;
    for (int n = 1; n <= LONGEST_SHIFT; n++)
        for (int i = 0; i + n <= t->n; i++)
            better = shift_best(t, i, i + n - 1) || better;
    return better;
}

static double settle(struct tour *t) {
    double length = sum_up(t);
    // Each pass saves; the bound is for the peace of mind.
    for (int pass = 0; pass < 200; pass++) {
        bool two = two_opt(t), other = or_opt(t);
        length = sum_up(t);
        if (!two && !other) break;
    }
    return length;
}

static void nearest_first(struct tour *t) {
    struct kw_vec2 at = t->from;
    for (int i = 0; i < t->n; i++) {
        int best = i;
        bool turn = false;
        double least = INFINITY;
        for (int k = i; k < t->n; k++) {
            double d = way(at, t->v[k].in), r = t->v[k].flips ? way(at, t->v[k].out) : INFINITY;
            if (!(fmin(d, r) < least)) continue;
            least = fmin(d, r);
            best = k;
            turn = r < d;
        }
        struct cut_stop s = turn ? turned(t->v[best]) : t->v[best];
        t->v[best] = t->v[i];
        t->v[i] = s;
        at = s.out;
    }
}

// Two neighbouring stretches change places: what 2-opt and or-opt can't undo (double bridge).
static void disturb(struct tour *t, struct cut_stop *copy, uint64_t *state) {
    int most = t->n < LONGEST_SWAP ? t->n : LONGEST_SWAP;
    int a = (int)(kw_random(state) % (uint64_t)(t->n - 2));
    int room = t->n - a < most ? t->n - a : most;
    int b = a + 1 + (int)(kw_random(state) % (uint64_t)(room - 1));
    room = t->n - b < most ? t->n - b : most;
    int c = b + 1 + (int)(kw_random(state) % (uint64_t)room), k = a;
    for (int i = a; i < c; i++)
        copy[i] = t->v[i];
    for (int i = b; i < c; i++)
        t->v[k++] = copy[i];
    for (int i = a; i < b; i++)
        t->v[k++] = copy[i];
}

double cut_tour(struct kw_arena *scratch, struct cut_stop *v, int n, struct kw_vec2 from,
                const struct kw_vec2 *to, uint64_t seed, int rounds) {
    struct tour t = {.v = v, .n = n, .from = from, .to = to};
    if (n == 0) return to ? way(from, *to) : 0;
    t.forth = KW_NEW_ARRAY(scratch, double, n);
    t.back = KW_NEW_ARRAY(scratch, double, n);
    struct cut_stop *best = KW_NEW_ARRAY(scratch, struct cut_stop, n);
    struct cut_stop *copy = KW_NEW_ARRAY(scratch, struct cut_stop, n);
    // Stops in the order given are a first try too: the caller may have improved it before.
    double length = settle(&t), given = length;
    for (int i = 0; i < n; i++)
        best[i] = v[i];
    nearest_first(&t);
    length = settle(&t);
    for (int round = 0; round <= rounds; round++) {
        if (length < given - GAIN || (round == 0 && length <= given)) {
            given = length;
            for (int i = 0; i < n; i++)
                best[i] = v[i];
        } else {
            for (int i = 0; i < n; i++)
                v[i] = best[i];
        }
        if (round == rounds || n < 4) break;
        disturb(&t, copy, &seed);
        length = settle(&t);
    }
    for (int i = 0; i < n; i++)
        v[i] = best[i];
    return given;
}
