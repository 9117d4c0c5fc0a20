// SPDX-License-Identifier: Apache-2.0
// A shop folder as a fabricator would have it, generated: kits of sheet parts with flanges and
// holes, and orders for each kit.
#pragma once

#include "base/base.h"

/// Writes shop.yaml, kits/kit-NNN.yaml and orders.csv into `folder`. The same seed, kits and parts
/// give the same files.
enum kw_status plan_shop_write(const char *folder, int kits, int parts, uint64_t seed,
                               struct kw_error *err);
