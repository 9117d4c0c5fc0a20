// SPDX-License-Identifier: Apache-2.0
// A plan of strokes handed to its judge.
#pragma once

#include "run/run.h"
#include "verify/verify.h"

/// Numbers for the judge, in the arena. `plan` NULL: bends have their designed radius.
struct kw_bent_part packet_bent_part(struct kw_arena *a, const struct kw_brake_part *part,
                                     const struct kw_brake_material *material,
                                     const struct kw_brake_plan *plan);
struct kw_bent_stroke packet_bent_stroke(struct kw_arena *a, const struct kw_brake_shop *shop,
                                         double thickness, const struct kw_brake_step *step);
/// Judges a whole plan without blocked steps; returns the faults.
int packet_judge_bends(const struct kw_brake_part *part, const struct kw_brake_material *material,
                       const struct kw_brake_shop *shop, const struct kw_brake_plan *plan,
                       struct kw_verdict *verdict);
/// Every bend order that the packet prints, orders with a stop excepted. KW_JUDGE with part and
/// fault at the first that fails. `strokes`: how many were looked at.
enum kw_status packet_judge_week_bends(const struct kw_week *week, const struct kw_watch *watch,
                                       int *strokes, struct kw_error *err);
