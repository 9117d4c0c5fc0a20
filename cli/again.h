// SPDX-License-Identifier: Apache-2.0
// run --again: a scrapped part into the free space of sheets that are planned already.
#pragma once

#include "cli.h"

/// Plans and writes the packet runs/NAME-again (-2, -3 ...) of one part, KIT/PART or
/// KIT/PART=COUNT, on the sheets of runs/NAME, or on one sheet or drop of it (args->on: "S2",
/// "S2-A"). Returns the exit status.
int run_again(const struct cli_args *args, const char *name, int date);

/// The sheets of a run.json and what lies on them, holes closed; drops count as taken, they
/// were promised to the rack. `on` picks one sheet, or a drop with its own origin. KW_FORMAT
/// when the text is not a run.json, KW_UNKNOWN when it has no such sheet or drop.
enum kw_status again_read(struct kw_arena *a, const char *file, const char *text, size_t length,
                          const char *run, const char *on, struct kw_taken **sheets, int *count,
                          struct kw_error *err);
/// Adds what a later packet placed on the same sheets.
enum kw_status again_add(struct kw_arena *a, const char *file, const char *text, size_t length,
                         struct kw_taken *sheets, int count, struct kw_error *err);

/// The sheets of a run.json as proven sheets, without test pieces and fillers; `sheet` picks one.
enum kw_status again_standing(struct kw_arena *a, const char *file, const char *text, size_t length,
                              const char *run, const char *sheet, struct kw_proven **list,
                              int *count, struct kw_error *err);
