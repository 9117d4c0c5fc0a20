// SPDX-License-Identifier: Apache-2.0
// Answers: JSON with status, errors with their place.
#include "server/inside.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void kw_response_free(struct kw_response *r) {
    kw_text_free(&r->body);
    *r = (struct kw_response){0};
}

int status_of(const struct kw_error *err) {
    switch (err->status) {
    case KW_OK:
        return 200;
    case KW_MISSING:
        return 404;
    case KW_USAGE:
        return 403;
    case KW_DUPLICATE:
        return 409;
    case KW_LIMIT:
        return 413;
    case KW_JUDGE:
    case KW_IO:
        return 500;
    default:
        return 422;
    }
}

/// Text that is not UTF-8 with U+FFFD in place of the bytes that are wrong; malloc'ed, or NULL when
/// `s` is fine as it is.
static char *mended(const char *s, size_t length) {
    size_t bad;
    if (kw_is_utf8(s, length, &bad) && !memchr(s, 0, length)) return NULL;
    struct kw_text t = {0};
    while (length > 0) {
        const char *nul = memchr(s, 0, length);
        size_t part = nul ? (size_t)(nul - s) : length, good = part;
        if (!kw_is_utf8(s, part, &bad)) good = bad;
        kw_text_addn(&t, s, good);
        if (good == length) break;
        kw_text_add(&t, "\xef\xbf\xbd");
        s += good + 1;
        length -= good + 1;
    }
    if (!t.s) kw_text_add(&t, "");
    return t.s;
}

void put_textn(struct kw_json *j, const char *key, const char *text, size_t length) {
    char *other = text ? mended(text, length) : NULL;
    kw_json_key_text(j, key, other ? other : text);
    free(other);
}

void put_text(struct kw_json *j, const char *key, const char *text) {
    put_textn(j, key, text, text ? strlen(text) : 0);
}

void put_truth(struct kw_json *j, const char *key, bool v) {
    kw_json_key(j, key);
    kw_json_truth(j, v);
}

void put_null(struct kw_json *j, const char *key) {
    kw_json_key_text(j, key, NULL);
}

void put_money(struct kw_json *j, const char *key, double amount) {
    char buf[KW_NUMBER_SIZE];
    kw_json_key_text(j, key, kw_fixed(buf, amount, 2));
}

void put_point(struct kw_json *j, const char *key, const double *v, int count, int decimals) {
    kw_json_key(j, key);
    kw_json_open_inline(j, '[');
    for (int i = 0; i < count; i++)
        kw_json_number(j, v[i], decimals);
    kw_json_close(j);
}

void put_error(struct kw_json *j, const char *key, const struct kw_error *err) {
    if (!err || err->status == KW_OK) {
        put_null(j, key);
        return;
    }
    kw_json_key(j, key);
    kw_json_open_inline(j, '{');
    put_text(j, "text", err->text);
    kw_json_key_count(j, "line", err->at.line);
    kw_json_key_count(j, "column", err->at.column);
    put_text(j, "file", err->at.file);
    kw_json_close(j);
}

struct kw_json answer_json(struct kw_response *r) {
    kw_text_free(&r->body);
    r->status = 200;
    r->type = "application/json";
    struct kw_json j = {.out = &r->body};
    kw_json_open_inline(&j, '{');
    return j;
}

void answer_error(struct kw_response *r, int status, const struct kw_error *err) {
    struct kw_json j = answer_json(r);
    r->status = status;
    put_text(&j, "error", err->text);
    if (err->at.line > 0 || err->at.file) {
        kw_json_key(&j, "where");
        kw_json_open_inline(&j, '{');
        put_text(&j, "file", err->at.file);
        kw_json_key_count(&j, "line", err->at.line);
        kw_json_key_count(&j, "column", err->at.column);
        kw_json_close(&j);
    } else {
        put_null(&j, "where");
    }
    kw_json_close(&j);
}

void answer_says(struct kw_response *r, int status, const char *fmt, ...) {
    struct kw_error err = {0};
    va_list args;
    va_start(args, fmt);
    vsnprintf(err.text, sizeof err.text, fmt, args);
    va_end(args);
    answer_error(r, status, &err);
}

void hash_text(char out[HASH_DIGITS + 1], uint64_t hash) {
    snprintf(out, HASH_DIGITS + 1, "%016llx", (unsigned long long)hash);
}

void answer_refused(struct kw_response *r, const struct kw_error *err, uint64_t now) {
    char digits[HASH_DIGITS + 1];
    if (err->status != KW_DUPLICATE) {
        answer_error(r, status_of(err), err);
        return;
    }
    struct kw_json j = answer_json(r);
    r->status = 409;
    hash_text(digits, now);
    put_text(&j, "error", err->text);
    put_null(&j, "where");
    kw_json_key_text(&j, "hash", now ? digits : NULL);
    kw_json_close(&j);
}
