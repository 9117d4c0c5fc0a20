// SPDX-License-Identifier: Apache-2.0
// What is looked at in a YAML file before the YAML library sees it. Private to form.
#pragma once

#include "form/form.h"

/// Refuses what the library passes over in silence or with a wrong place: too large, no UTF-8, NUL
/// and other control characters, line breaks that only some readers count, tabs in indentation,
/// directives, nothing in the file. A byte order mark at the start is fine: *skip is its length.
enum kw_status kw_yaml_scan(const char *file, const char *bytes, size_t length, size_t *skip,
                            struct kw_error *err);

/// Place of the byte at `offset`: line and column from 1, columns in characters.
struct kw_place kw_yaml_place(const char *file, const char *bytes, size_t offset);
