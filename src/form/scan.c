// SPDX-License-Identifier: Apache-2.0
// The first look at a YAML file, byte by byte. libfyaml 0.7.12 ends a document at a NUL, takes bad
// UTF-8 in comments, and gives no diagnostic for an empty or UTF-16 file; so none of these reach
// it.
#include "form/scan.h"

#include <string.h>

struct kw_place kw_yaml_place(const char *file, const char *bytes, size_t offset) {
    struct kw_place at = {file, 1, 1};
    for (size_t i = 0; i < offset; i++) {
        bool mark = i == 0 && offset >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0;
        if (mark) {
            i = 2;
        } else if (bytes[i] == '\n') {
            at.line++;
            at.column = 1;
        } else if (((unsigned char)bytes[i] & 0xC0) != 0x80) {
            at.column++;
        }
    }
    return at;
}

// The name of a character that has no place in such a file, or NULL. All of these are either not
// allowed in YAML 1.2 (section 5.1) or are line breaks for some readers only.
static const char *strange_character(const unsigned char *s, size_t n) {
    if (s[0] == 0) return "a NUL byte";
    if (s[0] == '\r') return n > 1 && s[1] == '\n' ? NULL : "a carriage return without a line feed";
    if (s[0] == '\t' || s[0] == '\n') return NULL;
    if (s[0] < 0x20 || s[0] == 0x7F) return "a control character";
    if (n > 1 && s[0] == 0xC2 && s[1] < 0xA0) return "a control character";
    if (n > 2 && s[0] == 0xE2 && s[1] == 0x80 && (s[2] == 0xA8 || s[2] == 0xA9)) {
        return "a Unicode line separator";
    }
    if (n > 2 && s[0] == 0xEF && s[1] == 0xBB && s[2] == 0xBF) return "a byte order mark";
    if (n > 2 && s[0] == 0xEF && s[1] == 0xBF && s[2] >= 0xBE)
        return "a code point for no character";
    return NULL;
}

static enum kw_status scan_characters(const char *file, const char *bytes, size_t length,
                                      size_t from, struct kw_error *err) {
    size_t bad;
    if (!kw_is_utf8(bytes, length, &bad)) {
        return kw_fail(err, KW_FORMAT, kw_yaml_place(file, bytes, bad),
                       "not UTF-8 text, save the file as UTF-8");
    }
    for (size_t i = from; i < length; i++) {
        const char *what = strange_character((const unsigned char *)bytes + i, length - i);
        if (what) {
            return kw_fail(err, KW_FORMAT, kw_yaml_place(file, bytes, i), "%s in the file", what);
        }
    }
    return KW_OK;
}

// Looks at the line that starts at *i, moves *i to the next. *content: whether any line so far had
// more than blanks and comments.
static enum kw_status scan_line(const char *file, const char *bytes, size_t length, size_t *i,
                                bool *content, struct kw_error *err) {
    size_t start = *i, k = start, tab = length;
    for (; k < length && (bytes[k] == ' ' || bytes[k] == '\t'); k++) {
        if (bytes[k] == '\t' && tab == length) tab = k;
    }
    bool blank = k == length || bytes[k] == '\n' || bytes[k] == '\r' || bytes[k] == '#';
    if (!blank && tab < length) {
        return kw_fail(err, KW_FORMAT, kw_yaml_place(file, bytes, tab),
                       "a tab in the indentation, use spaces");
    }
    if (!blank && !*content && bytes[start] == '%') {
        return kw_fail(err, KW_FORMAT, kw_yaml_place(file, bytes, start),
                       "a line that starts with %% is not used here");
    }
    bool marker = length - k >= 3 && memcmp(bytes + k, "---", 3) == 0 && k == start;
    if (!blank && !marker) *content = true;
    if (marker && length - k > 4 && bytes[k + 3] == ' ') *content = true;
    const char *end = memchr(bytes + k, '\n', length - k);
    *i = end ? (size_t)(end - bytes) + 1 : length;
    return KW_OK;
}

enum kw_status kw_yaml_scan(const char *file, const char *bytes, size_t length, size_t *skip,
                            struct kw_error *err) {
    if (length > KW_YAML_MOST_BYTES) {
        return kw_fail(err, KW_LIMIT, (struct kw_place){file, 0, 0},
                       "larger than the %d kB that are read", KW_YAML_MOST_BYTES / 1024);
    }
    *skip = length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    enum kw_status s = scan_characters(file, bytes, length, *skip, err);
    bool content = false;
    for (size_t i = *skip; s == KW_OK && i < length;) {
        s = scan_line(file, bytes, length, &i, &content, err);
    }
    if (s == KW_OK && !content) {
        s = kw_fail(err, KW_FORMAT, (struct kw_place){file, 1, 1}, "nothing in the file");
    }
    return s;
}
