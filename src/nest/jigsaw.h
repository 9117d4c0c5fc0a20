// SPDX-License-Identifier: Apache-2.0
// Private to nest: sheets filled without waste from parts that fit edge on edge, as those do that
// were cut from a rectangle. The search for small overlaps can't snap such fits. One sheet after
// another is filled (puzzle.h); where the next can't be, some are emptied again.
//
// Where nothing fits so, all of this is in vain: it gets the share of the work that the parts give
// hope for.
#pragma once

#include "nest/puzzle.h"
#include "nest/search.h"

#define JIGSAW_TRIES 4 ///< side by side, whatever the number of threads

struct jigsaw_sheets {
    struct bin *v;
    int count, room;
    double area; ///< of parts on them
};

struct jigsaw_try {
    struct puzzle puzzle;
    struct jigsaw_sheets now, best;
    int *used;  ///< sheets by kind
    bool ended; ///< what is left can fill no sheet, or never will
    int failed; ///< attempts in a row
};

struct jigsaw {
    struct jigsaw_try tries[JIGSAW_TRIES];
    struct facets **facets; ///< by group; NULL: too many corners, or none
    double share;           ///< of all work that may be spent here; 0: none
    long work;              ///< spent
    long rounds, attempt;   ///< attempt: work of one in this round
    double area;            ///< of the best found
    double length;          ///< > 0: of the only sheet, which all parts fill
    int kind;               ///< of that
};

/// For all parts of the job. Where `shortest`, on the one kind of sheet that `kind` is, cut to the
/// length that all parts together fill; else on sheets of any kind.
void jigsaw_begin(struct jigsaw *j, struct world *w, bool shortest, int kind);
void jigsaw_end(struct jigsaw *j);
bool jigsaw_ended(const struct jigsaw *j); ///< no round will find more

/// What the next round costs, about.
long jigsaw_next(const struct jigsaw *j);
/// Each try fills sheets until an attempt at one fails, no later than `until` by the watch's clock
/// where that is above 0. What has been found beyond all earlier rounds, else NULL.
const struct jigsaw_sheets *jigsaw_round(struct jigsaw *j, struct world *w, double until);
