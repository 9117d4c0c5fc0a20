// SPDX-License-Identifier: Apache-2.0
// Private to verify: what the judge of one program knows.
#pragma once

#include "verify/rs274.h"
#include "verify/torch_shape.h"

#define KW_CUT_SLACK  0.05 ///< mm between a cut's distance to its outline and half the kerf
#define KW_CUT_SAMPLE 0.05 ///< mm between the places that are looked at

struct kw_cut_outline { // a finished outline where it lies on the sheet
    const char *part;   ///< "KIT/PART#copy"
    int placement;
    int hole;         ///< -1: the outside
    int first, count; ///< its pieces
    double length;
    double out;    ///< +1: scrap on the right of its direction, -1: on the left
    double box[4]; ///< x, y low, x, y high
    int burn;      ///< first burn that cuts it, -1
    int burns;     ///< how many do
    int tabs;      ///< gaps that run.json lists on it
};

struct kw_burn {      // one time the torch is on
    int first, count; ///< its pieces
    int line;         ///< where it begins
    double length;
    int outline; ///< what it cuts; -1 none (a fault), -2 a mark, -3 scrap
    double on;   ///< way along it at which its lead-in ends
};

struct kw_judging {
    struct kw_arena *arena; // scratch
    struct kw_verdict *verdict;
    const struct kw_run_sheet *sheet;
    double half; ///< half the kerf
    struct kw_cut_outline *outlines;
    int outline_count;
    struct kw_pieces shape; ///< of the outlines
    struct kw_grid shape_grid;
    struct kw_pieces edge; ///< of the sheet
    struct kw_grid edge_grid;
    struct kw_burn *burns;
    int burn_count;
    struct kw_pieces cut; ///< of the burns; owner is the outline once that is known
    struct kw_grid cut_grid;
};

/// "foot#1 hole 2" or "foot#1 outside"
const char *kw_cut_outline_name(struct kw_judging *j, int outline);
/// Even-odd, exact arcs.
bool kw_cut_outline_holds(const struct kw_judging *j, int outline, const double q[2]);

/// Faults where the outline is not followed by its own cut over its whole length.
void kw_judge_cover(struct kw_judging *j, int outline);
