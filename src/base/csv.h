// SPDX-License-Identifier: Apache-2.0
// Comma-separated values as spreadsheets write them (RFC 4180): a byte order mark, either line end,
// quoted values, blanks round a value. Every value knows its line and column.
#pragma once

#include "base/base.h"

enum {
    KW_CSV_MOST_CELLS = 32,
    KW_CSV_MOST_VALUE = 250 ///< bytes
};

struct kw_csv_cell {
    struct kw_place at;
    const char *text; ///< without blanks around, unless quoted; lives in the arena
};
struct kw_csv_row {
    struct kw_csv_cell v[KW_CSV_MOST_CELLS];
    int count;
};

/// A text being read. `file` is copied, the bytes are not: they must outlive the reading.
struct kw_csv {
    struct kw_arena *arena;
    const char *file, *next, *end;
    int line, column;
    struct kw_error *err;
};

/// Refuses what is not UTF-8 or holds a NUL, with its place.
enum kw_status kw_csv_open(struct kw_arena *a, const char *file, const char *bytes, size_t length,
                           struct kw_csv *out, struct kw_error *err);
/// The next row that holds anything; row->count is 0 at the end of the text.
enum kw_status kw_csv_row(struct kw_csv *c, struct kw_csv_row *row);
/// Refuses a row that has not `columns` values.
enum kw_status kw_csv_expect(struct kw_csv *c, const struct kw_csv_row *row, int columns);
