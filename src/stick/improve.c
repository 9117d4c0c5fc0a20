// SPDX-License-Identifier: Apache-2.0
// Improvement by taking a few sticks apart and filling them again, another way: kept when nothing
// more is left out, it costs no more, and the waste is no more evenly spread (waste that gathers on
// one stick first makes a leftover worth keeping, then frees the stick).
#include "stick/inside.h"

#include <string.h>

enum {
    MOST_APART = 5,      // sticks taken apart at once
    MOST_OUT = 24,       // left-out pieces tried again with them
    REPACK_NODES = 400,  // of each fill
    MOST_IN_HAND = 2000, // pieces taken apart at once
    ASK_EVERY = 32       // rounds between questions to the watch
};

/// What was taken apart and what it became.
struct hand {
    int old_bins[MOST_APART], old_count;
    struct stick_bin old[MOST_APART]; ///< as they were, lists cut
    int *piece, *home; ///< pieces in hand, and the index of the old bin (-1: was out)
    int count;
    struct stick_bin *fresh;
    int fresh_count;
    int *fresh_next;  ///< a piece in hand: next in its fresh bin
    int *group_first; ///< a group of the pool: its first piece in hand not used yet
    int still_out;    ///< a list through fresh_next
    int still_out_count;
    int64_t out_weight, cost;
    double spread; ///< sum of squares of what is left over
};

static double squared(int64_t v) {
    return (double)v * (double)v;
}

static void take_apart(struct stick_state *s, struct hand *h, int bin) {
    struct stick_bin *b = &s->bins[bin];
    int k = h->old_count++;
    h->old_bins[k] = bin;
    h->old[k] = *b;
    for (int p = b->first; p >= 0; p = s->next[p]) {
        h->piece[h->count] = p;
        h->home[h->count++] = k;
    }
    h->cost += s->m->price[b->stock];
    h->spread += squared(s->m->room[b->stock] - b->fill);
}

static bool in_hand(const struct hand *h, int bin) {
    for (int i = 0; i < h->old_count; i++)
        if (h->old_bins[i] == bin) return true;
    return false;
}

/// The emptiest of a few picked at random, so that waste attracts attention.
static int pick_bin(const struct stick_state *s, int tries, uint64_t *random) {
    int best = -1;
    int64_t best_left = -1;
    for (int i = 0; i < tries; i++) {
        int b = (int)(kw_random(random) % (uint64_t)s->bin_count);
        int64_t left = s->m->room[s->bins[b].stock] - s->bins[b].fill;
        if (left > best_left) best = b, best_left = left;
    }
    return best;
}

static void pick_hand(struct stick_state *s, struct hand *h, uint64_t *random) {
    h->old_count = h->count = 0;
    h->cost = h->out_weight = 0;
    h->spread = 0;
    int apart = 2 + (int)(kw_random(random) % (MOST_APART - 1));
    for (int i = 0; i < apart; i++) {
        if (s->bin_count == 0) break;
        int b = pick_bin(s, i == 0 ? 3 : 1, random);
        if (in_hand(h, b) || h->count + s->bins[b].count > MOST_IN_HAND) continue;
        take_apart(s, h, b);
    }
    int n = 0;
    for (int p = s->out; p >= 0 && n < MOST_OUT; p = s->next[p], n++) {
        h->piece[h->count] = p;
        h->home[h->count++] = -1;
        h->out_weight += s->m->weight[s->type_of[p]];
    }
}

/// Pieces in hand in order of type (so of weight), by insertion: they are few and half sorted.
static void sort_hand(const struct stick_state *s, struct hand *h) {
    for (int i = 1; i < h->count; i++) {
        int piece = h->piece[i], home = h->home[i], at = i;
        while (at > 0 && s->type_of[h->piece[at - 1]] > s->type_of[piece]) {
            h->piece[at] = h->piece[at - 1];
            h->home[at] = h->home[at - 1];
            at--;
        }
        h->piece[at] = piece;
        h->home[at] = home;
    }
}

static void pool_from_hand(const struct stick_state *s, struct hand *h, struct stick_pool *p) {
    p->groups = 0;
    for (int i = 0; i < h->count; i++) {
        int t = s->type_of[h->piece[i]];
        if (p->groups == 0 || p->type[p->groups - 1] != t) {
            h->group_first[p->groups] = i;
            p->type[p->groups] = t;
            p->weight[p->groups] = s->m->weight[t];
            p->avail[p->groups++] = 0;
        }
        p->avail[p->groups - 1]++;
    }
}

/// A stock for the next stick: any that takes the longest piece, or (half of the time) the one
/// cheapest a room. -1 for none.
static int pick_stock(const struct stick_state *s, int64_t longest, uint64_t *random) {
    const struct stick_model *m = s->m;
    int best = -1, fit = 0;
    double best_rate = 0;
    bool any = kw_random(random) % 2 == 0;
    for (int j = 0; j < m->stocks; j++) {
        if (s->left[j] == 0 || m->room[j] < longest) continue;
        fit++;
        if (any) {
            if (kw_random(random) % (uint64_t)fit == 0) best = j;
            continue;
        }
        double rate = (double)m->price[j] / (double)m->room[j];
        if (best < 0 || rate < best_rate) best = j, best_rate = rate;
    }
    return best;
}

/// The cheapest stock that holds the fill; of equals the shortest.
static int least_stock(const struct stick_state *s, int64_t fill, int now) {
    const struct stick_model *m = s->m;
    for (int j = 0; j < m->stocks; j++) {
        if (s->left[j] == 0 || m->room[j] < fill) continue;
        if (m->price[j] < m->price[now] ||
            (m->price[j] == m->price[now] && m->room[j] < m->room[now]))
            now = j;
    }
    return now;
}

static void take_fill(struct stick_state *s, struct hand *h, struct stick_pool *p, int stock,
                      int64_t fill) {
    stock = least_stock(s, fill, stock);
    struct stick_bin *b = &h->fresh[h->fresh_count++];
    *b = (struct stick_bin){.stock = stock, .first = -1, .fill = fill};
    for (int g = p->groups - 1; g >= 0; g--) {
        for (int n = p->take[g]; n > 0; n--) {
            int i = h->group_first[g]++;
            h->fresh_next[i] = b->first;
            b->first = i;
            b->count++;
        }
        p->avail[g] -= p->take[g];
    }
    s->left[stock]--;
}

static void leave_out(struct hand *h, struct stick_pool *p, int g) {
    int i = h->group_first[g]++;
    h->fresh_next[i] = h->still_out;
    h->still_out = i;
    h->still_out_count++;
    p->avail[g]--;
}

/// Fills again. False as soon as it is worse than before. The old sticks are back in s->left, the
/// fresh ones are taken from it.
static bool refill(struct stick_state *s, struct hand *h, struct stick_pool *p, uint64_t *random) {
    int64_t cost = 0, out = 0;
    double spread = 0;
    h->fresh_count = h->still_out_count = 0;
    h->still_out = -1;
    bool shaken = kw_random(random) % 4 != 0;
    for (int g = 0; g < p->groups;) {
        if (p->avail[g] == 0) {
            g++;
            continue;
        }
        int stock = pick_stock(s, p->weight[g], random);
        if (stock < 0) {
            out += p->weight[g];
            leave_out(h, p, g);
            if (out > h->out_weight) return false;
            continue;
        }
        stick_pool_rest(p);
        int64_t room = s->m->room[stock];
        int64_t left = stick_fill(p, room, REPACK_NODES, shaken ? random : NULL);
        take_fill(s, h, p, stock, room - left);
        const struct stick_bin *b = &h->fresh[h->fresh_count - 1];
        cost += s->m->price[b->stock];
        spread += squared(s->m->room[b->stock] - b->fill);
        if (out == h->out_weight && cost > h->cost) return false;
    }
    if (out != h->out_weight || cost != h->cost)
        return stick_better(out, cost, h->out_weight, h->cost);
    return spread >= h->spread;
}

static void drop_bin(struct stick_state *s, int bin) {
    s->bin_count--;
    if (bin != s->bin_count) s->bins[bin] = s->bins[s->bin_count];
}

static int relink(struct stick_state *s, const struct hand *h, int first) {
    int head = -1;
    for (int i = first; i >= 0; i = h->fresh_next[i]) {
        s->next[h->piece[i]] = head;
        head = h->piece[i];
    }
    return head;
}

/// The left-out pieces in hand stand at the head of the out list: they are cut off it.
static void unlink_out(struct stick_state *s, const struct hand *h) {
    for (int i = 0; i < h->count; i++) {
        if (h->home[i] >= 0) continue;
        s->out = s->next[s->out];
        s->out_count--;
        s->out_weight -= s->m->weight[s->type_of[h->piece[i]]];
    }
}

static void accept(struct stick_state *s, struct hand *h) {
    unlink_out(s, h);
    // From the highest index down, so that what moves into a gap is none of ours.
    for (int high = 0; high < h->old_count; high++) {
        int at = 0;
        for (int i = 1; i < h->old_count; i++)
            if (h->old_bins[i] > h->old_bins[at]) at = i;
        drop_bin(s, h->old_bins[at]);
        h->old_bins[at] = -1;
    }
    for (int i = h->still_out; i >= 0;) {
        int next = h->fresh_next[i], p = h->piece[i];
        s->next[p] = s->out;
        s->out = p;
        s->out_count++;
        s->out_weight += s->m->weight[s->type_of[p]];
        i = next;
    }
    s->cost -= h->cost;
    for (int i = 0; i < h->fresh_count; i++) {
        struct stick_bin b = h->fresh[i];
        b.first = relink(s, h, b.first);
        s->cost += s->m->price[b.stock];
        s->bins[s->bin_count++] = b;
    }
}

static void round_of(struct stick_state *s, struct hand *h, struct stick_pool *p,
                     uint64_t *random) {
    pick_hand(s, h, random);
    if (h->count == 0) return;
    sort_hand(s, h);
    pool_from_hand(s, h, p);
    for (int i = 0; i < h->old_count; i++)
        s->left[h->old[i].stock]++;
    if (refill(s, h, p, random)) {
        accept(s, h);
        return;
    }
    for (int i = 0; i < h->fresh_count; i++)
        s->left[h->fresh[i].stock]++;
    for (int i = 0; i < h->old_count; i++)
        s->left[h->old[i].stock]--;
}

static void hand_init(struct kw_arena *a, struct hand *h) {
    int most = MOST_IN_HAND + MOST_OUT;
    *h = (struct hand){0};
    h->piece = KW_NEW_ARRAY(a, int, most);
    h->home = KW_NEW_ARRAY(a, int, most);
    h->fresh = KW_NEW_ARRAY(a, struct stick_bin, most);
    h->fresh_next = KW_NEW_ARRAY(a, int, most);
    h->group_first = KW_NEW_ARRAY(a, int, most);
}

void stick_improve(struct kw_arena *scratch, struct stick_state *s, int64_t bound, long steps,
                   uint64_t seed, const struct kw_watch *watch, bool *stopped) {
    struct hand h;
    struct stick_pool p;
    hand_init(scratch, &h);
    stick_pool_init(scratch, MOST_IN_HAND + MOST_OUT, &p);
    uint64_t random = seed;
    for (long i = 0; i < steps; i++) {
        if (s->out_count == 0 && s->cost <= bound) return;
        if (i % ASK_EVERY == 0) {
            kw_watch_progress(watch, "sticks", (double)i / (double)steps);
            if (kw_watch_stopped(watch)) {
                *stopped = true;
                return;
            }
        }
        round_of(s, &h, &p, &random);
    }
}
