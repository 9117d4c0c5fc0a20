// SPDX-License-Identifier: Apache-2.0
// Private to nest: from the job to kinds of sheets and poses.
#pragma once

#include "nest/fill.h"

/// Refuses what nest.h does not allow.
enum kw_status check_job(const struct kw_nest_job *job, const struct kw_nest_options *o,
                         struct kw_error *err);
/// Fills the world: kinds, poses, areas. The arena, job and options are set by the caller.
void prepare_world(struct world *w);
/// All of it is there, but for places to keep out of.
bool is_rectangle(const struct kw_nest_sheet *s);
