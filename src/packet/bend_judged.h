// SPDX-License-Identifier: Apache-2.0
// A plan of strokes handed to its judge.
#pragma once

#include "brake/brake.h"
#include "check/check.h"
#include "verify/verify.h"

/// Numbers for the judge, in the arena. `plan` NULL: bends have their designed radius.
struct kw_bent_part packet_bent_part(struct kw_arena *a, const struct kw_brake_part *part,
                                     const struct kw_brake_material *material,
                                     const struct kw_brake_plan *plan);
struct kw_bent_stroke packet_bent_stroke(struct kw_arena *a, const struct kw_brake_shop *shop,
                                         double thickness, const struct kw_brake_step *step);
/// Judges a whole plan without blocked steps; returns the faults. `finished` as in kw_bent_part.
int packet_judge_bends(const struct kw_brake_part *part, const struct kw_brake_material *material,
                       const struct kw_brake_shop *shop, const struct kw_brake_plan *plan,
                       const double (*finished)[3], struct kw_verdict *verdict);
/// The same for a part as it is written, with the dimples that are flared between its strokes.
int packet_judge_brake(const struct kw_check_brake *b, struct kw_verdict *verdict);
