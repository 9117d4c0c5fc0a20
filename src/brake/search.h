// SPDX-License-Identifier: Apache-2.0
// Weights of the search and the bound's classes of gauge positions.
#pragma once

#include "brake/inside.h"

#define SEARCH_FLAW       1e4    // s: no edge at the gauge, or fouling the frames: a stop
#define SEARCH_MATE       1e5    // s: a stroke before one whose dimension mates
#define SEARCH_TIE        1e-4   // s: the rule's rank, only where seconds are equal
#define SEARCH_WRONG_SIDE 1e3    // s: a size that mates is not gauged itself
#define SEARCH_NEARER     1e-5   // s a mm of gauge X: of equals the nearer edge
#define SEARCH_HOLD       2e3    // s: nothing to hold clear of the tools
#define SEARCH_TIGHT      2e3    // s: less than the full clearance; no order that has it was found
#define SEARCH_NO_ROOM    20     // s: it can hardly be bent on where it springs back more
#define SEARCH_PARALLEL   0.9998 // cosine of a degree: the same direction
#define SEARCH_GROUPS     24     // most groups that are searched

/// Groups whose gauge positions have some in common, whatever is made before, are of one class.
struct gauge_classes {
    int of[SEARCH_GROUPS];
};
struct gauge_classes gauge_classes_of(const struct job *job);
/// How many groups further out on the group's flanges are not made.
int further_out(const struct job *job, int group, uint64_t done);
/// So little more that a first piece can't be corrected.
#define OVERBEND_RISK (0.5 * KW_PI / 180)
bool is_rotated(const struct job *job, const struct stroke *from, const struct stroke *to);
