// SPDX-License-Identifier: Apache-2.0
// Generated nests for the torch: parts of a shop's kind with holes, placed on one sheet by the nest
// engine.
#pragma once

#include "cut/cut.h"
#include "nest/nest.h"

/// Nest number `index` (0..49) of 50: 20 to 400 parts, 0 to 10 holes each. Lives in the arena.
enum kw_status route_nest(struct kw_arena *a, int index, uint64_t seed,
                          const struct kw_watch *watch, struct kw_cut_sheet *out,
                          struct kw_error *err);
#define ROUTE_NESTS 50
