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

/// A text as a word of flow YAML: plain where that is safe, else in double quotes. One line.
const char *splice_word(struct kw_arena *a, const char *text);

/// Sets a key of the map at `path` (empty: the root) to a value of flow YAML of one line, or adds
/// it as the map's last. Refused: a value there that isn't of flow YAML.
enum kw_status splice_key(struct kw_arena *a, const char *file, const char *text, size_t length,
                          const json_t *path, const char *key, const char *flow,
                          struct kw_text *out, struct kw_error *err);

/// Adds an item of flow YAML of one line at the end of the list `key` of the root; makes the list
/// at the end of the file when there is none.
enum kw_status splice_item(struct kw_arena *a, const char *file, const char *text, size_t length,
                           const char *key, const char *flow, struct kw_text *out,
                           struct kw_error *err);
