// SPDX-License-Identifier: Apache-2.0
// Shared inside stick: the model in whole numbers, and a plan in the making.
#pragma once

#include "stick/stick.h"

/// The question in whole numbers. Equal lengths are one type; types go from longest to shortest.
/// Units of length are the greatest common divisor of all that is cut (1e-6 mm at worst).
struct stick_model {
    int types;
    int64_t *weight; ///< length + kerf, falling
    int *demand;
    int total; ///< pieces
    int stocks;
    int64_t *room;
    int *have;          ///< `total` where as many as wanted
    int64_t *price;     ///< millionths
    int64_t price_step; ///< every cost is a multiple of this; >= 1
    bool limited;       ///< some piece fits only on sticks of which there are few
};

/// One stick being filled: a list of pieces threaded through stick_state.next.
struct stick_bin {
    int stock, first, count;
    int64_t fill;
};

/// A plan in the making. Pieces are numbered by type: those of type t are first_of[t] onwards.
struct stick_state {
    const struct stick_model *m;
    int *type_of, *next; ///< a piece; next is -1 at the end of a list
    struct stick_bin *bins;
    int bin_count;
    int *left;          ///< sticks not used yet, a stock
    int out, out_count; ///< list of pieces that found no stick
    int64_t out_weight, cost;
};

void stick_state_init(struct kw_arena *a, const struct stick_model *m, struct stick_state *s);
void stick_state_copy(struct stick_state *to, const struct stick_state *from);
/// Least weight left out, then least cost.
bool stick_better(int64_t out, int64_t cost, int64_t than_out, int64_t than_cost);

// ---- filling one stick
/// Pieces to choose from: groups of equal weight, longest first.
struct stick_pool {
    int groups;
    int64_t *weight;
    int *avail, *type;
    int64_t *rest; ///< weight of groups i.. all together; groups + 1 entries
    int *take;     ///< the fill found, a group
    // inside a search
    int *now;
    int64_t best_left;
    long nodes;
    uint64_t *random; ///< NULL: no group is passed over
};
void stick_pool_init(struct kw_arena *a, int most, struct stick_pool *p);
void stick_pool_rest(struct stick_pool *p); ///< after weight and avail are set
/// Fills `room` as full as it can within `nodes` of search, with at least one of the first group
/// that has any. `take` is the fill; returns what is left of the room, or -1 when that one doesn't
/// fit.
int64_t stick_fill(struct stick_pool *p, int64_t room, long nodes, uint64_t *random);

// ---- bounds
/// Least cost of value `demand` when a stick of stock j carries at most value[j] and there are
/// have[j]: fractional, then rounded up to the price step. A valid bound for any weights.
/// INT64_MAX when they can't carry it.
int64_t stick_least_cost(const struct stick_model *m, const int *have, const int64_t *value,
                         int64_t demand);
int64_t stick_bound(struct kw_arena *scratch, const struct stick_model *m);

// ---- searches; each leaves the best plan in `s`
void stick_construct(struct kw_arena *scratch, struct stick_state *s);
/// True when it looked at everything: `s` is then optimal.
bool stick_exact(struct kw_arena *scratch, struct stick_state *s, int64_t bound, long nodes,
                 const struct kw_watch *watch, bool *stopped);
void stick_improve(struct kw_arena *scratch, struct stick_state *s, int64_t bound, long steps,
                   uint64_t seed, const struct kw_watch *watch, bool *stopped);
