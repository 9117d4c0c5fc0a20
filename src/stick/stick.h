// SPDX-License-Identifier: Apache-2.0
// stick: pieces of given lengths sawn from stock sticks at the least cost. Pure: no files, no clock
// but the caller's, no kits, no shop.
//
// The rule of one stick, exactly (mm):
//
//   |trim|piece|k|piece|k|piece|k|  remainder  |
//   |<------------------ stick --------------->|
//
// - `trim` is what squaring the first end takes, its saw cut included.
// - Each piece is followed by one saw cut of width `kerf`.
// - hold > 0: the vise holds the remainder while the last piece is cut off, so the remainder after
//   the last cut is at least `hold`:     sum(length + kerf) <= stick - trim - hold
// - hold = 0: nothing need remain; the last cut may run out of the stick's end, wholly or in part:
//                                        sum(length + kerf) <= stick - trim + kerf
//   (so a piece as long as an untrimmed stick is taken as it is).
// kw_stick_room is the right-hand side. Lengths are rounded to 1e-6 mm (1/64 in stays exact).
#pragma once

#include "base/base.h"

struct kw_stick_piece {
    double length; ///< mm, > 0
    int count;     ///< >= 0
};

/// A stock length to buy or a leftover on the rack.
struct kw_stick_stock {
    double length; ///< mm, > 0
    int count;     ///< how many there are; negative: as many as wanted
    double price;  ///< of one, >= 0. When all prices are 0 the length is taken for the price.
};

struct kw_stick_options {
    double kerf, trim, hold; ///< mm, >= 0
    double keep;             ///< mm: leftovers this long are worth keeping; 0 (the default): none
    double keep_worth;       ///< 0..1: worth of a kept leftover, of what its length cost; default 1
    uint64_t seed;
    long steps; ///< work budget: rounds of improvement; < 1 takes the default (60000: under 1 s for
                ///< 400 pieces of 25 lengths)
    /// s: an end to the integer program, which asks no watch, should its limit of nodes not end it.
    /// Only where this is short does it, and not the budget of steps, decide: then results need not
    /// repeat. Default 60.
    double program_seconds;
    const struct kw_watch *watch; ///< may be NULL
};
struct kw_stick_options kw_stick_options_default(void); ///< kerf, trim, hold 0

/// Right-hand side of the rule above; may be negative.
double kw_stick_room(double stick_length, const struct kw_stick_options *options);

/// So many sticks cut alike.
struct kw_stick_pattern {
    int stock;       ///< index into the stocks
    int times;       ///< >= 1
    int *pieces;     ///< piece indices, longest first, one entry a piece
    int piece_count; ///< >= 1
    /// mm after the last saw cut, never negative: stick - trim - sum(length + kerf). With hold > 0
    /// it is at least hold.
    double leftover;
};

struct kw_stick_plan {
    struct kw_stick_pattern *patterns; ///< by stock, then most pieces' length first
    int pattern_count;
    int sticks;         ///< sum of times
    double cost;        ///< sum of times * price (of the lengths when all prices are 0)
    double lower_bound; ///< no plan that places as much can cost less
    bool proven;        ///< cost equals lower_bound
    double kept_worth;  ///< sum of times * kept leftover * its share of the price * keep_worth
    /// proven, and no plan as cheap has fewer patterns (told apart by lengths), or as few and
    /// leftovers of more worth. Said of small questions only.
    bool goals_proven;
    int *unplaced;      ///< a count for each piece index: too long, or the stock ran out
    int unplaced_count; ///< sum
    bool stopped;       ///< the watch stopped the search: the plan is whole, but could be better
};

/// First as much length as possible is placed, then at the least cost, then with few different
/// patterns, then so that the leftovers worth keeping are worth most. Deterministic: the same
/// arguments give the same plan. KW_RANGE with a sentence for a number out of range (lengths beyond
/// 1e6 mm, more than 100 000 pieces, not-a-number). Results live in `a`.
enum kw_status kw_stick_plan(struct kw_arena *a, const struct kw_stick_stock *stocks,
                             int stock_count, const struct kw_stick_piece *pieces, int piece_count,
                             const struct kw_stick_options *options, struct kw_stick_plan *plan,
                             struct kw_error *err);
