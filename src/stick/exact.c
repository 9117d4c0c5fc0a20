// SPDX-License-Identifier: Apache-2.0
// Branch and bound over whole sticks. Some stick carries the longest piece that is left; it can be
// taken to be full in the sense that nothing that is left would still go on it (a piece moved there
// from another stick costs nothing), so only such fills are tried, fullest first.
#include "stick/inside.h"

#include <string.h>

enum { MOST_FILLS = 4000, MOST_PIECES = 2000, ASK_EVERY = 1024 };

/// A fill: its pairs (type, count) stand in the stack of ints from `at`.
struct fill {
    int64_t fill;
    int stock, at, pairs;
};

struct search {
    const struct stick_model *m;
    int *remain; ///< a type
    int *left;   ///< a stock
    int64_t remain_weight, cost, out_weight;
    int64_t best_out, best_cost, bound;
    struct fill *chosen; ///< sticks so far
    int depth;
    struct fill *fills; ///< stack over all levels
    int fill_count, fill_room;
    int *pairs;
    int pair_count, pair_room;
    int *now; ///< a type: count in the fill being made
    struct kw_arena *arena;
    struct stick_state *best;
    long nodes;
    bool complete;
    const struct kw_watch *watch;
    bool *stopped;
};

/// Room for two more items on a stack that shrinks too (so KW_PUSH won't do).
static void *larger(struct kw_arena *a, void *v, int count, int *room, size_t item) {
    if (count + 2 <= *room) return v;
    int more = *room == 0 ? 256 : 2 * *room;
    void *w = kw_alloc(a, item * (size_t)more);
    if (count > 0) memcpy(w, v, item * (size_t)count);
    *room = more;
    return w;
}

static bool spent(struct search *s) {
    if (--s->nodes < 0) s->complete = false;
    if (s->nodes % ASK_EVERY == 0 && kw_watch_stopped(s->watch)) {
        s->complete = false;
        *s->stopped = true;
        s->nodes = -1;
    }
    return s->nodes < 0;
}

static bool is_full(const struct search *s, int64_t left) {
    for (int t = s->m->types - 1; t >= 0 && s->m->weight[t] <= left; t--)
        if (s->remain[t] > s->now[t]) return false;
    return true;
}

static void keep_fill(struct search *s, int stock, int64_t left, int from) {
    s->fills = larger(s->arena, s->fills, s->fill_count, &s->fill_room, sizeof *s->fills);
    struct fill f = {s->m->room[stock] - left, stock, s->pair_count, 0};
    for (int t = from; t < s->m->types; t++) {
        if (s->now[t] == 0) continue;
        s->pairs = larger(s->arena, s->pairs, s->pair_count, &s->pair_room, sizeof *s->pairs);
        s->pairs[s->pair_count++] = t;
        s->pairs[s->pair_count++] = s->now[t];
        f.pairs++;
    }
    s->fills[s->fill_count++] = f;
}

/// All full fills with at least `least` of type t and any of the later ones.
static void list_fills(struct search *s, int stock, int64_t left, int from, int t, int least,
                       int begin) {
    while (t < s->m->types && (s->remain[t] == 0 || s->m->weight[t] > left))
        t++;
    if (t == s->m->types) {
        if (!is_full(s, left)) return;
        if (s->fill_count - begin >= MOST_FILLS)
            s->complete = false;
        else
            keep_fill(s, stock, left, from);
        return;
    }
    int64_t most = left / s->m->weight[t];
    if (most > s->remain[t]) most = s->remain[t];
    for (int n = (int)most; n >= least; n--) {
        if (spent(s) || s->fill_count - begin >= MOST_FILLS) {
            s->complete = false;
            break;
        }
        s->now[t] = n;
        list_fills(s, stock, left - n * s->m->weight[t], from, t + 1, 0, begin);
    }
    s->now[t] = 0;
}

/// Fullest a price first, in a stable order.
static void sort_fills(const struct search *s, struct fill *f, int count) {
    for (int i = 1; i < count; i++) {
        struct fill x = f[i];
        double rate = (double)s->m->price[x.stock] / (double)x.fill;
        int at = i;
        while (at > 0) {
            double before = (double)s->m->price[f[at - 1].stock] / (double)f[at - 1].fill;
            if (before <= rate) break;
            f[at] = f[at - 1];
            at--;
        }
        f[at] = x;
    }
}

static void put_fill(struct search *s, const struct fill *f, int sign) {
    for (int i = 0; i < f->pairs; i++)
        s->remain[s->pairs[f->at + 2 * i]] -= sign * s->pairs[f->at + 2 * i + 1];
    s->remain_weight -= sign * f->fill;
    s->cost += sign * s->m->price[f->stock];
    s->left[f->stock] -= sign;
}

/// Writes the sticks chosen into the best state: types become pieces in order.
static void keep_plan(struct search *s, const int *out) {
    struct stick_state *b = s->best;
    const struct stick_model *m = s->m;
    int *piece = KW_NEW_ARRAY(s->arena, int, m->types);
    for (int t = 1; t < m->types; t++)
        piece[t] = piece[t - 1] + m->demand[t - 1];
    b->bin_count = s->depth;
    for (int i = 0; i < s->depth; i++) {
        const struct fill *f = &s->chosen[i];
        b->bins[i] = (struct stick_bin){f->stock, -1, 0, f->fill};
        for (int k = f->pairs - 1; k >= 0; k--) {
            int t = s->pairs[f->at + 2 * k];
            for (int n = s->pairs[f->at + 2 * k + 1]; n > 0; n--) {
                b->next[piece[t]] = b->bins[i].first;
                b->bins[i].first = piece[t]++;
                b->bins[i].count++;
            }
        }
    }
    b->out = -1;
    b->out_count = 0;
    for (int t = 0; t < m->types; t++) {
        for (int n = out[t]; n > 0; n--) {
            b->next[piece[t]] = b->out;
            b->out = piece[t]++;
            b->out_count++;
        }
    }
    memcpy(b->left, s->left, sizeof *b->left * (size_t)m->stocks);
    s->best_cost = b->cost = s->cost;
    s->best_out = b->out_weight = s->out_weight;
}

/// Whether nothing below here can be better than the best plan so far.
static bool hopeless(const struct search *s) {
    int64_t carries = 0;
    for (int j = 0; j < s->m->stocks; j++)
        if (s->m->room[j] > 0) carries += s->m->room[j] * s->left[j];
    int64_t on_sticks = s->remain_weight < carries ? s->remain_weight : carries;
    int64_t out = s->out_weight + s->remain_weight - on_sticks;
    if (out != s->best_out) return out > s->best_out;
    int64_t more = 0;
    if (on_sticks > 0) more = stick_least_cost(s->m, s->left, s->m->room, on_sticks);
    if (more == INT64_MAX) more = 0; // rounding in the sum of rooms: no bound, no harm
    return s->cost + more >= s->best_cost;
}

static bool done(const struct search *s) {
    return s->best_out == 0 && s->best_cost <= s->bound;
}

static void branch(struct search *s, int *out) {
    if (hopeless(s) || spent(s)) return;
    int t = 0;
    while (t < s->m->types && s->remain[t] == 0)
        t++;
    if (t == s->m->types) {
        keep_plan(s, out);
        return;
    }
    int begin = s->fill_count, pairs = s->pair_count;
    for (int j = 0; j < s->m->stocks; j++)
        if (s->left[j] > 0 && s->m->room[j] >= s->m->weight[t])
            list_fills(s, j, s->m->room[j], t, t, 1, begin);
    int end = s->fill_count;
    if (end > begin) sort_fills(s, s->fills + begin, end - begin);
    for (int i = begin; i < end && s->nodes >= 0 && !done(s); i++) {
        struct fill f = s->fills[i];
        put_fill(s, &f, 1);
        s->chosen[s->depth++] = f;
        branch(s, out);
        s->depth--;
        put_fill(s, &f, -1);
    }
    s->fill_count = begin;
    s->pair_count = pairs;
    if (!s->m->limited || s->nodes < 0 || done(s)) return;
    // Or one piece of this type stays out.
    s->remain[t]--, out[t]++;
    s->remain_weight -= s->m->weight[t], s->out_weight += s->m->weight[t];
    branch(s, out);
    s->remain_weight += s->m->weight[t], s->out_weight -= s->m->weight[t];
    s->remain[t]++, out[t]--;
}

bool stick_exact(struct kw_arena *scratch, struct stick_state *best, int64_t bound, long nodes,
                 const struct kw_watch *watch, bool *stopped) {
    const struct stick_model *m = best->m;
    if (m->total > MOST_PIECES) return false;
    struct search s = {.m = m,
                       .bound = bound,
                       .arena = scratch,
                       .best = best,
                       .nodes = nodes,
                       .complete = true,
                       .watch = watch,
                       .stopped = stopped,
                       .best_out = best->out_weight,
                       .best_cost = best->cost};
    s.remain = KW_NEW_ARRAY(scratch, int, m->types);
    s.now = KW_NEW_ARRAY(scratch, int, m->types);
    s.left = KW_NEW_ARRAY(scratch, int, m->stocks);
    s.chosen = KW_NEW_ARRAY(scratch, struct fill, m->total);
    int *out = KW_NEW_ARRAY(scratch, int, m->types);
    memcpy(s.remain, m->demand, sizeof *s.remain * (size_t)m->types);
    memcpy(s.left, m->have, sizeof *s.left * (size_t)m->stocks);
    for (int t = 0; t < m->types; t++)
        s.remain_weight += m->weight[t] * m->demand[t];
    if (!done(&s)) branch(&s, out);
    return s.complete || done(&s);
}
