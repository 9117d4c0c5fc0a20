// SPDX-License-Identifier: Apache-2.0
// Private to server: what all changes of a kit file share (kit_api.c).
#pragma once

#include "server/splice.h"

const char *kit_file(struct call *c, const char *kit); ///< "kits/NAME.yaml"
/// Kit, size and options out of path, query and body (which may be NULL).
struct look_wish read_wish(struct call *c, const json_t *body);
/// The text that a change begins from: the body's draft, or the file, which must be what the page
/// has seen. *was NULL: a draft. False: answered.
bool begin_change(struct call *c, const json_t *body, struct look_wish *wish, const char **was);
/// Answers: with `s` and `err` when the change was refused; else looks at `out`, and writes it
/// unless it is a draft.
void end_change(struct call *c, struct look_wish *wish, const char *was, enum kw_status s,
                const struct kw_text *out, const struct kw_error *err);
/// What the body's "layers" (layer to role) say as flow YAML of a part's `layers`; NULL with `err`:
/// no such role. "{}" when there are none.
const char *layers_flow(struct kw_arena *a, const json_t *said, struct kw_error *err);
/// The same as roles in the arena.
bool layers_of(struct kw_arena *a, const json_t *roles, struct kw_layers *out,
               struct kw_error *err);
