// SPDX-License-Identifier: Apache-2.0
// Private to nest: dense arrangements of one or two pieces that repeat without end, and sheets cut
// out of them.
#pragma once

#include "nest/search.h"

/// One piece or two, repeated by two steps. Where `swapped`, all in it has u and v exchanged. Where
/// the columns lean, all in it is sheared until they stand: what lies at (x, y) in the pattern is
/// at u = x + slant * y, v = y on the sheet.
struct pattern {
    bool swapped;
    double slant;
    int count; ///< of pieces: 1 or 2
    int pose[2];
    struct kw_vec2 at[2];
    double pitch;        ///< from a piece to the same in its column: (0, pitch)
    struct kw_vec2 next; ///< to the next column
    double density;      ///< net area of the pieces by the area of a cell
};

/// A kind of sheet with as much of one pattern as goes on it.
struct full_sheet {
    int best; ///< pattern, -1: none goes on it
    int pieces;
    double area;
};

#define PATTERNS_KEPT 32 // that stand
#define LEANING_KEPT  12
struct patterns {
    int part, other; ///< what is in a cell; other -1: of one part alone
    struct pattern v[PATTERNS_KEPT + LEANING_KEPT]; ///< first those that stand; densest first
    int count;
    struct full_sheet *full; ///< by kind of sheet; NULL: not yet looked for
};

/// The densest patterns of a part in a group of sheets, alone and in pairs: two turned by half a
/// turn against each other. Looked for once.
struct patterns *patterns_of(struct world *w, int group, int part);
/// The same of two parts, one of each in a cell: looked for once, for a few pairs of parts of which
/// there is most. *count: of the lists.
struct patterns *patterns_of_two(struct world *w, int group, int *count);
/// The one that brings most onto a kind of sheet.
const struct full_sheet *full_sheet_of(struct world *w, struct patterns *list, int kind);

/// Clears the bin and lays the pattern on it, left to right, as far as `have` (copies by part) and
/// the sheet go: the phase that takes the most. What meets an obstacle is left out
/// (repeat_around.c).
void lay_pattern(struct world *w, struct bin *bin, int kind, const struct pattern *p,
                 const int *have);
