// SPDX-License-Identifier: Apache-2.0
// Random parts that can be bent: flanges are added one by one, each with its stroke, and only those
// are kept with which the judge lets the whole sequence be bent. Numbers are invented.
#pragma once

#include "brake/brake.h"

extern const struct kw_brake_shop case_shop;
extern const struct kw_brake_material case_material;

/// A random part of `bends` bends for which a sequence exists; false when this seed gives none.
bool case_make(struct kw_arena *a, uint64_t seed, int bends, struct kw_brake_part *out);
/// The same without any sequence: it may or may not be possible to bend it.
bool case_any(struct kw_arena *a, uint64_t seed, int bends, struct kw_brake_part *out);
