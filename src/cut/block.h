// SPDX-License-Identifier: Apache-2.0
// Private to cut: a part as the route sees it, with all the ways through it that are worth a
// thought.
#pragma once

#include "cut/job.h"

#define CUT_MOST_WAYS_IN 24 ///< CUT_MOST_ENTRIES of a part without holes
#define CUT_EXACT_HOLES  9  ///< up to here the least way through the holes is found exactly

/// One stop inside a part: a hole, with what must be cut before it.
struct cut_item {
    struct kw_vec2 in, out;
    int id;
};

/// A part: comes in at one of `ins`, leaves at one of `outs`, whatever lies between is cut.
struct cut_block {
    int in_count, out_count;
    struct kw_vec2 in[CUT_MOST_WAYS_IN], out[CUT_MOST_ENTRIES];
    double *cost; ///< [in * out_count + out]: mm between the two, penalties of the start included
    double least; ///< of all costs
    struct cut_item *items;
    int item_count;
    const struct cut_loop *outer;
    struct cut_paths **paths; ///< working space, shared
};

/// Fills in, out and cost from items and outer, unless `cost` is there already; block.c. `from`:
/// where the torch comes from as far as is known, which matters for parts of more than
/// CUT_EXACT_HOLES holes.
void cut_block_fill(struct kw_arena *scratch, struct cut_block *b, struct kw_vec2 from,
                    uint64_t seed);
/// Puts the items into the order that the way from `in` to `out` takes.
void cut_block_order(struct kw_arena *scratch, struct cut_block *b, int in, int out);

struct cut_choice { ///< a block in the route, and its way through
    int block, in, out;
};

/// Orders the blocks and chooses their ways for a short travel from `from` (on to `to`, if not
/// NULL) by at most about `steps` looks at a block; route.c. Returns the length, penalties
/// included.
double cut_route(struct kw_arena *scratch, const struct cut_block *blocks, struct cut_choice *order,
                 int count, struct kw_vec2 from, const struct kw_vec2 *to, uint64_t seed,
                 double steps);
