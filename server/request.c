// SPDX-License-Identifier: Apache-2.0
// A request taken apart: path segments, query, JSON body. Nothing of a path reaches the file
// system but through here: what is no plain name is refused, however it is encoded.
#include "server/inside.h"

#include <string.h>

static int hex_value(char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
}

/// Percent-decoded once, in the arena; NULL for a bad escape, a control character or what is no
/// UTF-8. `plus`: a plus sign is a blank, as in queries.
static char *decode(struct kw_arena *a, const char *s, size_t n, bool plus) {
    char *out = kw_alloc(a, n + 1);
    size_t length = 0, bad;
    for (size_t i = 0; i < n; i++) {
        char c = s[i];
        if (c == '%') {
            int high = i + 2 < n ? hex_value(s[i + 1]) : -1;
            int low = high >= 0 ? hex_value(s[i + 2]) : -1;
            if (high < 0 || low < 0) return NULL;
            c = (char)(high * 16 + low);
            i += 2;
        } else if (c == '+' && plus) {
            c = ' ';
        }
        if ((unsigned char)c < 0x20 || c == 0x7f) return NULL;
        out[length++] = c;
    }
    return kw_is_utf8(out, length, &bad) ? out : NULL;
}

/// Files that begin with a dot are nobody's business here: half-written ones do.
static bool plain_segment(const char *s) {
    return *s && *s != '.' && !strpbrk(s, "/\\");
}

static bool read_path(struct kw_arena *a, const char *s, size_t n, struct target *out,
                      const char **why) {
    if (n == 0 || s[0] != '/') {
        *why = "expected a path that begins with /";
        return false;
    }
    for (size_t i = 1; i < n;) {
        size_t k = i;
        while (k < n && s[k] != '/')
            k++;
        char *segment = decode(a, s + i, k - i, false);
        if (!segment || !plain_segment(segment) || out->count == MOST_SEGMENTS) {
            *why = "the path holds what is no plain name";
            return false;
        }
        out->segments[out->count++] = segment;
        i = k + 1;
        if (k < n && i == n) {
            *why = "the path ends with /";
            return false;
        }
    }
    return true;
}

static bool read_query(struct kw_arena *a, const char *s, struct target *out, const char **why) {
    while (*s) {
        size_t n = strcspn(s, "&");
        const char *equals = memchr(s, '=', n);
        size_t key = equals ? (size_t)(equals - s) : n;
        char *k = decode(a, s, key, true);
        char *v = equals ? decode(a, equals + 1, n - key - 1, true) : decode(a, "", 0, true);
        if (!k || !v || out->query_count == MOST_QUERY) {
            *why = "the query can't be read";
            return false;
        }
        out->query[out->query_count].key = k;
        out->query[out->query_count++].value = v;
        s += n + (s[n] == '&');
    }
    return true;
}

bool target_read(struct kw_arena *a, const char *text, struct target *out, const char **why) {
    *out = (struct target){0};
    if (strlen(text) > KW_SERVER_MOST_TARGET) {
        *why = "the path is too long";
        return false;
    }
    size_t path = strcspn(text, "?");
    return read_path(a, text, path, out, why) &&
           read_query(a, text + path + (text[path] == '?'), out, why);
}

const char *target_query(const struct target *t, const char *key) {
    for (int i = 0; i < t->query_count; i++)
        if (strcmp(t->query[i].key, key) == 0) return t->query[i].value;
    return NULL;
}

// ------------------------------------------------------------------------------------ JSON bodies

/// The reader of JSON calls itself at each level, so that the depth is looked at before it.
static int deepest(const char *s, size_t n) {
    int depth = 0, most = 0;
    bool text = false;
    for (size_t i = 0; i < n; i++) {
        if (text) {
            if (s[i] == '\\')
                i++; // and what it escapes
            else if (s[i] == '"')
                text = false;
        } else if (s[i] == '"') {
            text = true;
        } else if (s[i] == '{' || s[i] == '[') {
            if (++depth > most) most = depth;
        } else if (s[i] == '}' || s[i] == ']') {
            depth--;
        }
    }
    return most;
}

json_t *body_object(const struct kw_request *q, struct kw_response *r) {
    if (deepest(q->body, q->length) > KW_SERVER_DEEPEST_JSON) {
        answer_says(r, 400, "JSON more than %d deep", KW_SERVER_DEEPEST_JSON);
        return NULL;
    }
    json_error_t error;
    json_t *o = json_loadb(q->body ? q->body : "", q->length, JSON_REJECT_DUPLICATES, &error);
    if (!o) {
        answer_says(r, 400, "the body is no JSON: line %d: %s", error.line, error.text);
    } else if (!json_is_object(o)) {
        answer_says(r, 400, "expected a JSON object");
        json_decref(o);
        o = NULL;
    }
    return o;
}

const char *body_text(const json_t *o, const char *key) {
    return json_string_value(json_object_get(o, key));
}
