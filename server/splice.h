// SPDX-License-Identifier: Apache-2.0
// Changes of a kit file in its own bytes: comments, order and blanks stay as they are. After each
// the text is read again, and every value but the one that was meant must be what it was.
#pragma once

#include "server/inside.h"

/// Puts `value` in the place of the scalar at `path` (a JSON list of keys and numbers). Quotes are
/// kept where there were some, and set where the value needs them. KW_UNKNOWN: no such value,
/// KW_FORMAT: the text can't be read, or the value can't stand there.
enum kw_status splice_value(struct kw_arena *a, const char *file, const char *text, size_t length,
                            const json_t *path, const char *value, struct kw_text *out,
                            struct kw_error *err);

/// Adds a key with a block of lines (each indented by what stands under it, two blanks a level,
/// without the first level's own) at the end of the map at `map_key` of the root.
enum kw_status splice_block(struct kw_arena *a, const char *file, const char *text, size_t length,
                            const char *map_key, const char *key, const char *lines,
                            struct kw_text *out, struct kw_error *err);
