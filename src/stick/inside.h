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
    int64_t unit;       ///< 1e-6 mm in a unit of length
    int64_t *rest;      ///< a stock: 1e-6 mm behind the trim
    int64_t keep;       ///< 1e-6 mm: the least leftover worth keeping; 0: none is
    double *keep_rate;  ///< a stock: worth of 1e-6 mm of it, in the price's millionths
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
/// How many different ways to cut a stick there are in it.
int stick_pattern_count(struct kw_arena *scratch, const struct stick_state *s);
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

/// Few patterns, then leftovers of worth, at no more cost and with nothing more left out. True when
/// no plan that costs as little is better by these.
bool stick_goals(struct kw_arena *scratch, struct stick_state *s, long rounds, uint64_t seed,
                 const struct kw_watch *watch);

// ---- columns: fills of one stick, and the linear program over them
/// So many of each type on one stick.
struct stick_column {
    int stock, pairs;
    int *type, *count; ///< pairs entries, types rising
};
void stick_column_of_bin(struct kw_arena *a, const struct stick_state *s,
                         const struct stick_bin *bin, struct stick_column *c);
/// The state made of these columns in turn: a piece more than wanted is left off, each stick
/// becomes the cheapest that holds what is left on it, and what no column carries is filled as
/// stick_construct does. False when some piece finds no stick.
bool stick_state_from(struct kw_arena *scratch, struct stick_state *s,
                      const struct stick_column *const *columns, int count);

/// Fills of greatest value: by cells where the rooms are few cells, else by branch and bound.
struct stick_pricer {
    const struct stick_model *m;
    bool exact; ///< cells are the model's units; else weights are rounded down to them
    int64_t *weight, *room;
    int64_t most;   ///< cells
    double *best;   ///< most + 1
    uint16_t *took; ///< types x (most + 1)
};
/// False when it would need too much memory.
bool stick_pricer_init(struct kw_arena *a, const struct stick_model *m, struct stick_pricer *p);
/// carries[j]: no fill of stock j, with at most limit[t] of type t, is worth more. columns[j]: a
/// fill worth nearly that (pairs 0 for none).
void stick_price(struct kw_arena *a, struct stick_pricer *p, const double *value, const int *limit,
                 double *carries, struct stick_column *columns);

/// The linear program: each column used so often that all pieces are carried, at the least cost.
/// Costs are counted in price steps.
struct stick_master {
    const struct stick_model *m;
    struct stick_pricer pricer;
    void *lp;
    struct stick_column **columns;
    int column_count;
    double value;    ///< of the program over the columns so far
    double bound;    ///< no plan costs less, fractional
    double *worth;   ///< a type: the values that prove `bound`
    double *carries; ///< a stock: what it carries of them at most
};
/// False when the question is too large for it. To be closed whatever it returns.
bool stick_master_open(struct kw_arena *a, const struct stick_model *m, const struct stick_state *s,
                       struct stick_master *p, const struct kw_watch *watch);
/// Makes columns until none helps, for the demand and the sticks given, at most `rounds` times.
void stick_master_run(struct kw_arena *a, struct stick_master *p, const int *demand,
                      const int *have, int rounds, const struct kw_watch *watch);
void stick_master_close(struct stick_master *p);
/// Rounds the program's answer to a plan, stick by stick; keeps it when cheaper than `s`, or as
/// cheap with fewer patterns.
void stick_dive(struct kw_arena *scratch, struct stick_master *p, struct stick_state *s, int rounds,
                uint64_t *random, const struct kw_watch *watch);

// ---- the integer program
/// Columns as CBC takes them; every variable is whole and at least 0. Rows: the types first (at
/// least the demand), the cost last (within two limits), all others equal to 0 or, where `few` is
/// set, at least -few[row].
struct stick_program {
    int rows, columns, starts, entries;
    int *start, *row;
    double *value, *cost, *upper;
    const double *few;
};
void stick_open_column(struct kw_arena *a, struct stick_program *g, double cost, double upper);
void stick_enter(struct kw_arena *a, struct stick_program *g, int row, double value);
/// True when CBC looked at everything. `x` is its best answer, NULL for none.
bool stick_solve(struct kw_arena *a, struct stick_program *g, const struct stick_model *m,
                 double least, double most, int nodes, double seconds, double **x);

/// Both look for a plan cheaper than `s` among all that the bound does not rule out. `proven`: they
/// looked at everything, so `s` is optimal now.
/// As a flow through the places where saw cuts can be. False where that would be too large.
bool stick_flow(struct kw_arena *scratch, const struct stick_master *p, struct stick_state *s,
                int nodes, double seconds, bool *proven);
/// With each fill as a variable. False where they are too many, or the nodes were used up.
bool stick_choose(struct kw_arena *scratch, const struct stick_master *p, struct stick_state *s,
                  int nodes, double seconds, bool *proven);
