// SPDX-License-Identifier: Apache-2.0
// JSON out, in the order of the calls (RFC 8259).
#include "base/base.h"

#include <stdio.h>
#include <string.h>

static void indent(struct kw_json *j) {
    kw_text_add(j->out, "\n");
    for (int i = 0; i < j->depth; i++)
        kw_text_add(j->out, "  ");
}

// Comma, line break and indent before the next key or value.
static void separate(struct kw_json *j) {
    if (j->after_key) {
        j->after_key = false;
        return;
    }
    if (j->depth == 0) return;
    bool on_one_line = j->inline_[j->depth - 1];
    if (j->item[j->depth - 1]) kw_text_add(j->out, on_one_line ? ", " : ",");
    j->item[j->depth - 1] = true;
    if (!on_one_line) indent(j);
}

static void open_level(struct kw_json *j, char bracket, bool on_one_line) {
    kw_assert(bracket == '{' || bracket == '[');
    kw_assert(j->depth < 64);
    separate(j);
    kw_text_addn(j->out, &bracket, 1);
    bool inside_one_line = j->depth > 0 && j->inline_[j->depth - 1];
    j->open[j->depth] = bracket;
    j->item[j->depth] = false;
    j->inline_[j->depth] = on_one_line || inside_one_line;
    j->depth++;
}

void kw_json_open(struct kw_json *j, char bracket) {
    open_level(j, bracket, false);
}
void kw_json_open_inline(struct kw_json *j, char bracket) {
    open_level(j, bracket, true);
}

void kw_json_close(struct kw_json *j) {
    kw_assert(j->depth > 0 && !j->after_key);
    j->depth--;
    if (j->item[j->depth] && !j->inline_[j->depth]) indent(j);
    kw_text_add(j->out, j->open[j->depth] == '{' ? "}" : "]");
    if (j->depth == 0) kw_text_add(j->out, "\n");
}

static void quoted(struct kw_text *out, const char *s) {
    kw_text_add(out, "\"");
    for (; *s; s++) {
        unsigned char c = (unsigned char)*s;
        if (c == '"' || c == '\\') {
            kw_text_addf(out, "\\%c", c);
        } else if (c < 0x20) {
            kw_text_addf(out, "\\u%04x", c);
        } else {
            kw_text_addn(out, s, 1);
        }
    }
    kw_text_add(out, "\"");
}

void kw_json_key(struct kw_json *j, const char *key) {
    kw_assert(j->depth > 0 && j->open[j->depth - 1] == '{' && !j->after_key);
    separate(j);
    quoted(j->out, key);
    kw_text_add(j->out, ": ");
    j->after_key = true;
}

void kw_json_text(struct kw_json *j, const char *s) {
    separate(j);
    if (s) {
        quoted(j->out, s);
    } else {
        kw_text_add(j->out, "null");
    }
}

void kw_json_number(struct kw_json *j, double v, int decimals) {
    char buf[KW_NUMBER_SIZE];
    separate(j);
    kw_text_add(j->out, kw_number(buf, v, decimals));
}

void kw_json_count(struct kw_json *j, long v) {
    separate(j);
    kw_text_addf(j->out, "%ld", v);
}

void kw_json_truth(struct kw_json *j, bool v) {
    separate(j);
    kw_text_add(j->out, v ? "true" : "false");
}

void kw_json_key_text(struct kw_json *j, const char *key, const char *s) {
    kw_json_key(j, key);
    kw_json_text(j, s);
}

void kw_json_key_number(struct kw_json *j, const char *key, double v, int decimals) {
    kw_json_key(j, key);
    kw_json_number(j, v, decimals);
}

void kw_json_key_count(struct kw_json *j, const char *key, long v) {
    kw_json_key(j, key);
    kw_json_count(j, v);
}
