// SPDX-License-Identifier: Apache-2.0
// A plan in the making, and its first version: each stick filled as full as it goes around the
// longest piece that is left.
#include "stick/inside.h"

#include <string.h>

enum { CONSTRUCT_NODES = 5000 };

bool stick_better(int64_t out, int64_t cost, int64_t than_out, int64_t than_cost) {
    return out != than_out ? out < than_out : cost < than_cost;
}

static void all_pieces_out(struct stick_state *s) {
    const struct stick_model *m = s->m;
    s->bin_count = 0;
    s->cost = 0;
    s->out_weight = 0;
    s->out_count = m->total;
    s->out = m->total > 0 ? 0 : -1;
    int piece = 0;
    for (int t = 0; t < m->types; t++) {
        s->out_weight += m->weight[t] * m->demand[t];
        for (int i = 0; i < m->demand[t]; i++, piece++) {
            s->type_of[piece] = t;
            s->next[piece] = piece + 1 < m->total ? piece + 1 : -1;
        }
    }
    memcpy(s->left, m->have, sizeof *s->left * (size_t)m->stocks);
}

void stick_state_init(struct kw_arena *a, const struct stick_model *m, struct stick_state *s) {
    *s = (struct stick_state){.m = m};
    s->type_of = KW_NEW_ARRAY(a, int, m->total);
    s->next = KW_NEW_ARRAY(a, int, m->total);
    s->bins = KW_NEW_ARRAY(a, struct stick_bin, m->total);
    s->left = KW_NEW_ARRAY(a, int, m->stocks);
    all_pieces_out(s);
}

void stick_state_copy(struct stick_state *to, const struct stick_state *from) {
    const struct stick_model *m = from->m;
    struct stick_state keep = *to;
    *to = *from;
    to->type_of = keep.type_of;
    to->next = keep.next;
    to->bins = keep.bins;
    to->left = keep.left;
    memcpy(to->type_of, from->type_of, sizeof *to->type_of * (size_t)m->total);
    memcpy(to->next, from->next, sizeof *to->next * (size_t)m->total);
    memcpy(to->bins, from->bins, sizeof *to->bins * (size_t)from->bin_count);
    memcpy(to->left, from->left, sizeof *to->left * (size_t)m->stocks);
}

/// The stock whose best fill costs least a length; its fill is left in p->take. -1 when none takes
/// the longest piece.
static int choose_stock(const struct stick_state *s, struct stick_pool *p, int64_t *fill) {
    const struct stick_model *m = s->m;
    int best = -1;
    double best_rate = 0;
    for (int j = 0; j < m->stocks; j++) {
        if (s->left[j] == 0) continue;
        int64_t left = stick_fill(p, m->room[j], CONSTRUCT_NODES, NULL);
        if (left < 0) continue;
        double rate = (double)m->price[j] / (double)(m->room[j] - left);
        if (best < 0 || rate < best_rate) best = j, best_rate = rate;
    }
    if (best < 0) return -1;
    // Once more, so that take is the winner's.
    *fill = m->room[best] - stick_fill(p, m->room[best], CONSTRUCT_NODES, NULL);
    return best;
}

/// Types with what is left of them, and the next piece of each.
struct supply {
    struct stick_pool pool;
    int *first;
};

static void begin(struct kw_arena *scratch, struct stick_state *s, struct supply *u) {
    const struct stick_model *m = s->m;
    stick_pool_init(scratch, m->types, &u->pool);
    u->first = KW_NEW_ARRAY(scratch, int, m->types);
    u->pool.groups = m->types;
    for (int t = 0, piece = 0; t < m->types; t++) {
        u->pool.weight[t] = m->weight[t];
        u->pool.avail[t] = m->demand[t];
        u->first[t] = piece;
        piece += m->demand[t];
    }
    all_pieces_out(s);
    s->out = -1;
    s->out_count = 0;
    s->out_weight = 0;
}

/// A stick with what the pool's `take` says.
static void add_stick(struct stick_state *s, struct supply *u, int stock, int64_t fill) {
    struct stick_bin *b = &s->bins[s->bin_count++];
    *b = (struct stick_bin){.stock = stock, .first = -1, .fill = fill};
    s->left[stock]--;
    s->cost += s->m->price[stock];
    for (int g = s->m->types - 1; g >= 0; g--) {
        for (int n = u->pool.take[g]; n > 0; n--) {
            int piece = u->first[g]++;
            s->next[piece] = b->first;
            b->first = piece;
            b->count++;
        }
        u->pool.avail[g] -= u->pool.take[g];
    }
}

static void leave_out(struct stick_state *s, struct supply *u, int t) {
    int piece = u->first[t]++;
    u->pool.avail[t]--;
    s->next[piece] = s->out;
    s->out = piece;
    s->out_count++;
    s->out_weight += s->m->weight[t];
}

/// Each stick as full as it goes around the longest piece that is left.
static void fill_the_rest(struct stick_state *s, struct supply *u) {
    for (int t = 0; t < s->m->types;) {
        if (u->pool.avail[t] == 0) {
            t++;
            continue;
        }
        stick_pool_rest(&u->pool);
        int64_t fill;
        int stock = choose_stock(s, &u->pool, &fill);
        if (stock < 0)
            leave_out(s, u, t);
        else
            add_stick(s, u, stock, fill);
    }
}

void stick_construct(struct kw_arena *scratch, struct stick_state *s) {
    struct supply u;
    begin(scratch, s, &u);
    fill_the_rest(s, &u);
}

/// The cheapest stick at hand that holds the fill, of equals the shortest; -1 for none.
static int cheapest_for(const struct stick_state *s, int64_t fill) {
    const struct stick_model *m = s->m;
    int best = -1;
    for (int j = 0; j < m->stocks; j++) {
        if (s->left[j] == 0 || m->room[j] < fill) continue;
        if (best < 0 || m->price[j] < m->price[best] ||
            (m->price[j] == m->price[best] && m->room[j] < m->room[best]))
            best = j;
    }
    return best;
}

bool stick_state_from(struct kw_arena *scratch, struct stick_state *s,
                      const struct stick_column *const *columns, int count) {
    struct supply u;
    begin(scratch, s, &u);
    for (int i = 0; i < count; i++) {
        const struct stick_column *c = columns[i];
        int64_t fill = 0;
        memset(u.pool.take, 0, sizeof *u.pool.take * (size_t)s->m->types);
        for (int k = 0; k < c->pairs; k++) {
            int t = c->type[k];
            u.pool.take[t] = c->count[k] < u.pool.avail[t] ? c->count[k] : u.pool.avail[t];
            fill += u.pool.take[t] * s->m->weight[t];
        }
        int stock = fill > 0 ? cheapest_for(s, fill) : -1;
        if (stock >= 0) add_stick(s, &u, stock, fill);
    }
    fill_the_rest(s, &u);
    return s->out_count == 0;
}
