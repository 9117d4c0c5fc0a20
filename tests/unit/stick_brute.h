// SPDX-License-Identifier: Apache-2.0
// Brute force over every way to put tiny pieces on sticks.
#pragma once

#include "stick_judge.h"

enum { BRUTE_MOST = 8 };

/// What a plan comes to, in the order of goals.
struct score {
    double out, cost;
    int patterns;
    double worth;
};

/// Every way to put each piece on an open stick, on a new one of any stock, or to leave it out.
struct brute {
    const struct stick_case *c;
    double length[BRUTE_MOST];
    int pieces, stick_of[BRUTE_MOST]; ///< -1: left out
    double load[BRUTE_MOST], out, cost;
    int stock[BRUTE_MOST], sticks, used[4];
    struct score best;
};

static inline int count_of(const struct brute *b, int stick, double length) {
    int n = 0;
    for (int i = 0; i < b->pieces; i++)
        n += b->stick_of[i] == stick && b->length[i] == length;
    return n;
}

static inline bool cut_alike(const struct brute *b, int x, int y) {
    bool same = b->stock[x] == b->stock[y];
    for (int i = 0; i < b->pieces && same; i++)
        same = count_of(b, x, b->length[i]) == count_of(b, y, b->length[i]);
    return same;
}

static inline struct score score_of(const struct brute *b) {
    const struct stick_case *c = b->c;
    struct score s = {b->out, b->cost, 0, 0};
    for (int k = 0; k < b->sticks; k++) {
        bool first = true;
        for (int i = 0; i < k && first; i++)
            first = !cut_alike(b, i, k);
        s.patterns += first;
        const struct kw_stick_stock *stock = &c->stocks[b->stock[k]];
        double left = stock->length - c->o.trim - b->load[k];
        if (c->o.keep > 0 && left >= c->o.keep - 1e-9)
            s.worth += left / stock->length * stock->price * c->o.keep_worth;
    }
    return s;
}

static inline bool is_better(struct score a, struct score than) {
    if (fabs(a.out - than.out) > 1e-9) return a.out < than.out;
    if (fabs(a.cost - than.cost) > 1e-9) return a.cost < than.cost;
    if (a.patterns != than.patterns) return a.patterns < than.patterns;
    return a.worth > than.worth + 1e-9;
}

static inline void try_piece(struct brute *b, int i) {
    const struct stick_case *c = b->c;
    if (b->out > b->best.out + 1e-9 ||
        (b->out > b->best.out - 1e-9 && b->cost > b->best.cost + 1e-9))
        return;
    if (i == b->pieces) {
        struct score s = score_of(b);
        if (is_better(s, b->best)) b->best = s;
        return;
    }
    double w = b->length[i] + c->o.kerf;
    for (int k = 0; k < b->sticks; k++) {
        if (!stick_holds(c->stocks[b->stock[k]].length, b->load[k] + w, &c->o)) continue;
        b->load[k] += w;
        b->stick_of[i] = k;
        try_piece(b, i + 1);
        b->load[k] -= w;
    }
    for (int j = 0; j < c->stock_count; j++) {
        if (c->stocks[j].count >= 0 && b->used[j] >= c->stocks[j].count) continue;
        if (!stick_holds(c->stocks[j].length, w, &c->o)) continue;
        b->used[j]++;
        b->stock[b->sticks] = j;
        b->stick_of[i] = b->sticks;
        b->load[b->sticks++] = w;
        b->cost += c->stocks[j].price;
        try_piece(b, i + 1);
        b->cost -= c->stocks[j].price;
        b->sticks--;
        b->used[j]--;
    }
    b->stick_of[i] = -1;
    b->out += w;
    try_piece(b, i + 1);
    b->out -= w;
}

static inline struct score by_force(const struct stick_case *c) {
    struct brute b = {.c = c, .best = {INFINITY, INFINITY, 0, 0}};
    for (int i = 0; i < c->piece_count; i++)
        for (int n = 0; n < c->pieces[i].count; n++)
            b.length[b.pieces++] = c->pieces[i].length;
    try_piece(&b, 0);
    return b.best;
}
