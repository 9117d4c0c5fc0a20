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
    int *used;      ///< sheets by kind
    long attempt;   ///< work of the next attempt at a sheet
    long most_work; ///< of this round
    bool ended;     ///< what is left can fill no sheet, or never will
    int failed;     ///< attempts in a row
};

struct jigsaw {
    struct jigsaw_try tries[JIGSAW_TRIES];
    struct facets **facets; ///< by group; NULL: too many corners, or none
    double share;           ///< of all work that may be spent here; 0: none
    long work;              ///< spent
    double area;            ///< of the best found
    double length;          ///< > 0: the one sheet is this long, and all parts must lie on it
};

/// For all parts of the job; sheets end at `length` where that is above 0.
void jigsaw_begin(struct jigsaw *j, struct world *w, double length);
void jigsaw_end(struct jigsaw *j);
bool jigsaw_ended(const struct jigsaw *j); ///< no round will find more

/// All tries go on for `most_work` each and, where `until` is above 0, no later than that by the
/// watch's clock. What has been found beyond all earlier rounds, else NULL.
const struct jigsaw_sheets *jigsaw_round(struct jigsaw *j, struct world *w, long most_work,
                                         double until);
