// SPDX-License-Identifier: Apache-2.0
// Private to nest: the pieces of some sheets on one sheet fewer, on cheaper ones, or on the same
// ones with a longer piece left over of the emptiest.
#pragma once

#include "nest/crowd.h"
#include "nest/search.h"

#define FEWER_TRIES 4  ///< side by side, whatever the number of threads
#define FEWER_MOST  12 ///< sheets taken together

/// One attempt: sheets `from` of the plan; the first of them are emptied.
struct fewer_try {
    struct contacts contacts; ///< kept from round to round
    uint64_t random;
    int from[FEWER_MOST], from_count, emptied;
    int kinds[FEWER_MOST], kind_count; ///< of the sheets that hold them all then
    double cut;                        ///< length of the first that may be used; INFINITY: all
    struct seat *seats;                ///< in the arena of `crowd`
    struct crowd crowd;
    bool chosen, legal;
    long work, most_work;
};

struct fewer {
    struct fewer_try tries[FEWER_TRIES];
    long most_work; ///< of a try; grows while none succeeds
    long cut_work;  ///< the same of tries to use less of a sheet
    double step;    ///< so much of a sheet's length less, in the boldest of them
};

void fewer_begin(struct fewer *f, struct world *w);
void fewer_end(struct fewer *f);
/// Runs all tries once on a plan, each for `most_work` at most and, where `until` is above 0, no
/// later than that by the watch's clock. With `cut` they use less of the emptiest sheet, else
/// fewer or cheaper sheets. The index of the first that came out legal, else -1. The crowds live
/// until the next round or end.
int fewer_round(struct fewer *f, struct world *w, const struct plan *p, bool cut, long most_work,
                double until);
