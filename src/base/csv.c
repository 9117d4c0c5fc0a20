// SPDX-License-Identifier: Apache-2.0
// Comma-separated values as spreadsheets write them (RFC 4180), row by row, with the place of each.
#include "base/csv.h"

#include <string.h>

static struct kw_place here(const struct kw_csv *c) {
    return (struct kw_place){.file = c->file, .line = c->line, .column = c->column};
}

// The next byte, keeping line and column (which counts characters, not bytes).
static char take(struct kw_csv *c) {
    char b = *c->next++;
    if (b == '\n') {
        c->line++;
        c->column = 1;
    } else if (((unsigned char)b & 0xC0) != 0x80) {
        c->column++;
    }
    return b;
}

static bool at_break(const struct kw_csv *c) {
    return c->next == c->end || *c->next == '\n' ||
           (*c->next == '\r' && (c->next + 1 == c->end || c->next[1] == '\n'));
}

static void skip_blanks(struct kw_csv *c) {
    while (c->next < c->end && (*c->next == ' ' || *c->next == '\t'))
        take(c);
}

static enum kw_status fail_long(struct kw_csv *c, struct kw_place at) {
    return kw_fail(c->err, KW_LIMIT, at, "expected a value of at most %d bytes", KW_CSV_MOST_VALUE);
}

static enum kw_status read_quoted(struct kw_csv *c, struct kw_csv_cell *out) {
    char text[KW_CSV_MOST_VALUE];
    int n = 0;
    take(c);
    for (;;) {
        if (c->next == c->end) {
            return kw_fail(c->err, KW_FORMAT, out->at, "a quote that is never closed");
        }
        char b = take(c);
        if (b == '"' && (c->next == c->end || *c->next != '"')) break;
        if (b == '"') take(c);
        if (n == KW_CSV_MOST_VALUE) return fail_long(c, out->at);
        text[n++] = b;
    }
    out->text = kw_copy_text(c->arena, text, (size_t)n);
    skip_blanks(c);
    if (at_break(c) || *c->next == ',') return KW_OK;
    return kw_fail(c->err, KW_FORMAT, here(c), "expected a comma after the closing quote");
}

static enum kw_status read_cell(struct kw_csv *c, struct kw_csv_cell *out) {
    skip_blanks(c);
    out->at = here(c);
    if (c->next < c->end && *c->next == '"') return read_quoted(c, out);
    const char *from = c->next;
    while (!at_break(c) && *c->next != ',') {
        if (*c->next == '"') {
            return kw_fail(c->err, KW_FORMAT, here(c), "expected quotes round the whole value");
        }
        take(c);
    }
    const char *to = c->next;
    while (to > from && (to[-1] == ' ' || to[-1] == '\t'))
        to--;
    if (to - from > KW_CSV_MOST_VALUE) return fail_long(c, out->at);
    out->text = kw_copy_text(c->arena, from, (size_t)(to - from));
    return KW_OK;
}

static enum kw_status read_row(struct kw_csv *c, struct kw_csv_row *row) {
    row->count = 0;
    for (;;) {
        if (row->count == KW_CSV_MOST_CELLS) {
            return kw_fail(c->err, KW_LIMIT, here(c), "expected at most %d columns",
                           KW_CSV_MOST_CELLS);
        }
        enum kw_status s = read_cell(c, &row->v[row->count++]);
        if (s != KW_OK) return s;
        if (at_break(c)) break;
        take(c); // the comma
    }
    if (c->next < c->end && *c->next == '\r') take(c);
    if (c->next < c->end) take(c);
    return KW_OK;
}

static bool is_blank(const struct kw_csv_row *row) {
    for (int i = 0; i < row->count; i++) {
        if (row->v[i].text[0]) return false;
    }
    return true;
}

enum kw_status kw_csv_row(struct kw_csv *c, struct kw_csv_row *row) {
    while (c->next < c->end) {
        enum kw_status s = read_row(c, row);
        if (s != KW_OK || !is_blank(row)) return s;
    }
    row->count = 0;
    return KW_OK;
}

enum kw_status kw_csv_expect(struct kw_csv *c, const struct kw_csv_row *row, int columns) {
    if (row->count == columns) return KW_OK;
    return kw_fail(c->err, KW_FORMAT, row->v[0].at, "expected %d values, got %d", columns,
                   row->count);
}

enum kw_status kw_csv_open(struct kw_arena *a, const char *file, const char *bytes, size_t length,
                           struct kw_csv *out, struct kw_error *err) {
    bool mark = length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0;
    *out = (struct kw_csv){.arena = a,
                           .file = kw_copy_text(a, file, strlen(file)),
                           .next = bytes + (mark ? 3 : 0),
                           .end = bytes + length,
                           .line = 1,
                           .column = 1,
                           .err = err};
    size_t bad = length;
    bool text = kw_is_utf8(bytes, length, &bad);
    const char *zero = length > 0 ? memchr(bytes, 0, length) : NULL;
    if (zero && (size_t)(zero - bytes) < bad) bad = (size_t)(zero - bytes);
    if (text && !zero) return KW_OK;
    while (out->next < bytes + bad)
        take(out);
    return kw_fail(err, KW_FORMAT, here(out), "expected text in UTF-8, got byte 0x%02x",
                   (unsigned)(unsigned char)bytes[bad]);
}
