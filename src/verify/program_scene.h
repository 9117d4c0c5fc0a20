// SPDX-License-Identifier: Apache-2.0
// Private to verify: builds and asks the scene of a program's judge.
#pragma once

#include "verify/program_judge.h"

/// Places every outline of j->sheet; faults for parts that are not known.
void kw_judging_place(struct kw_judging *j, const struct kw_run_file *run);
/// Adds a segment of a blank, straight or with a bulge, where a placement brings it; the way at its
/// end.
double kw_judging_add(struct kw_judging *j, struct kw_pieces *to, const struct kw_run_placement *p,
                      const struct kw_run_vertex *v, const struct kw_run_vertex *w,
                      struct kw_piece like);
/// The outside outline of the part in whose metal q lies, or -1.
int kw_judging_metal(const struct kw_judging *j, const double q[2]);
void kw_judging_sheet(struct kw_judging *j); ///< reads the sheet's own edge
bool kw_judging_on_sheet(struct kw_judging *j, const double q[2]);
/// Faults where a burn comes nearer than half a kerf to what an earlier run placed on the sheet, or
/// into a place to keep out of.
void kw_judging_others(struct kw_judging *j);
