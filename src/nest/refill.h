// SPDX-License-Identifier: Apache-2.0
// Private to nest: some sheets of a plan filled anew.
#pragma once

#include "nest/search.h"

/// A change under way: the sheets taken out, the pieces that were on them, the new sheets.
struct change {
    int out[3], out_count;
    int times;   ///< 1: one sheet of each layout is taken out. Else all sheets of the only layout
    bool splits; ///< a layout that is cut several times loses one sheet
    struct want *wants;
    int want_count, want_room;
    struct bin fresh[3];
    int fresh_count;
};

/// Makes one change where the plan gets no worse by it. `done`, 0..1, is how much of the budget is
/// gone; `c` is room that is used again.
void try_change(struct world *w, struct plan *p, struct change *c, double done);
