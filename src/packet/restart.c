// SPDX-License-Identifier: Apache-2.0
// The program that goes on after a stop, made from the text of the whole one: its heading, then all
// from a part or a pierce on. What is cut stays what was judged, whatever has changed in the shop's
// files since.
#include "packet/packet.h"

#include <stdlib.h>
#include <string.h>

struct text_line {
    const char *s;
    size_t length;
};

struct restart {
    struct text_line *v;
    int count;
    const char *on, *off;
};

// Behind a line number.
static const char *words_of(struct text_line l, size_t *length) {
    const char *s = l.s, *end = l.s + l.length;
    if (s < end && *s == 'N')
        for (s++; s < end && ((*s >= '0' && *s <= '9') || *s == ' ');)
            s++;
    *length = (size_t)(end - s);
    return s;
}

static bool is_line(struct text_line l, const char *words) {
    size_t n;
    const char *s = words_of(l, &n);
    return n == strlen(words) && memcmp(s, words, n) == 0;
}

static bool starts_with(struct text_line l, const char *s) {
    return l.length >= strlen(s) && memcmp(l.s, s, strlen(s)) == 0;
}

static void split(struct kw_arena *a, struct restart *r, const char *text, size_t length) {
    for (size_t i = 0; i < length;) {
        const char *nl = memchr(text + i, '\n', length - i);
        size_t n = nl ? (size_t)(nl - text) - i : length - i;
        KW_PUSH(a, r->v, r->count) = (struct text_line){text + i, n};
        i += n + 1;
    }
}

// The first line of the first block; the heading ends before it.
static int first_block(const struct restart *r) {
    for (int i = 0; i < r->count; i++)
        if (starts_with(r->v[i], "(PART ") || starts_with(r->v[i], "(MARKS)") ||
            starts_with(r->v[i], "(ETCH "))
            return i;
    return -1;
}

static int find_part(const struct restart *r, const char *part) {
    for (int i = 0; i < r->count; i++) {
        struct text_line l = r->v[i];
        size_t n = strlen(part);
        if (starts_with(l, "(PART ") && l.length == n + 7 && memcmp(l.s + 6, part, n) == 0)
            return i;
    }
    return -1;
}

// Where the travel to a pierce begins: behind the torch going off before it, and its lift.
static int find_pierce(const struct restart *r, int pierce, int first) {
    int begin = first, pierces = 0;
    for (int i = first; i < r->count; i++) {
        if (is_line(r->v[i], r->on) && ++pierces == pierce) return begin;
        if (!is_line(r->v[i], r->off)) continue;
        size_t n;
        begin = i + 1;
        if (begin < r->count && strncmp(words_of(r->v[begin], &n), "G0 Z", 4) == 0) begin++;
    }
    return -1;
}

// The last feed said before `until`: the rest may lean on it.
static struct text_line feed_before(const struct restart *r, int until) {
    struct text_line found = {0};
    for (int i = 0; i < until; i++) {
        struct text_line l = r->v[i];
        const char *f = *l.s == '(' ? NULL : memchr(l.s, 'F', l.length);
        if (!f) continue;
        size_t n = 1, left = l.length - (size_t)(f - l.s);
        while (n < left && ((f[n] >= '0' && f[n] <= '9') || f[n] == '.'))
            n++;
        found = (struct text_line){f, n};
    }
    return found;
}

static void add(struct kw_text *out, struct text_line l) {
    kw_text_addf(out, "%.*s\n", (int)l.length, l.s);
}

enum kw_status kw_packet_restart(struct kw_arena *a, const char *text, size_t length,
                                 const struct kw_backplot_words *words, const char *from,
                                 struct kw_text *out, struct kw_error *err) {
    struct restart r = {.on = words->torch_on ? words->torch_on : "M3",
                        .off = words->torch_off ? words->torch_off : "M5"};
    char *end;
    split(a, &r, text, length);
    int first = first_block(&r), pierce = (int)strtol(from, &end, 10);
    bool by_pierce = *from && !*end;
    int at = by_pierce ? find_pierce(&r, pierce, first < 0 ? 0 : first) : find_part(&r, from);
    if (first < 0 || at < 0)
        return kw_fail(err, KW_UNKNOWN, (struct kw_place){0},
                       by_pierce ? "no pierce %s in the program" : "no part \"%s\" in the program",
                       from);
    for (int i = 0; i < first; i++)
        add(out, r.v[i]);
    kw_text_addf(out, "(GOES ON AT %s %s)\n", by_pierce ? "PIERCE" : "PART", from);
    struct text_line feed = feed_before(&r, at);
    if (feed.length > 0) add(out, feed);
    for (int i = at; i < r.count; i++)
        add(out, r.v[i]);
    return kw_judge_restart(text, length, out->s, out->length, words, err);
}

struct kw_backplot_words kw_packet_words(struct kw_arena *a, const struct kw_controller *c) {
    const struct kw_items lists[] = {c->header, c->footer, c->at_pierce};
    const char *const words[] = {c->lock, c->unlock, c->stop, c->scribe.node ? c->scribe.down : "",
                                 c->scribe.node ? c->scribe.up : ""};
    struct kw_backplot_words out = {
        c->torch_on, c->torch_off, {c->scribe.to_right, c->scribe.to_back}, NULL, 0};
    const char **v = NULL;
    for (int k = 0; k < 3; k++)
        for (int i = 0; i < lists[k].count; i++)
            KW_PUSH(a, v, out.line_count) = *KW_ITEM(const char *, lists[k], i);
    for (size_t k = 0; k < sizeof words / sizeof *words; k++) {
        if (words[k] && *words[k]) KW_PUSH(a, v, out.line_count) = words[k];
    }
    out.lines = v;
    return out;
}
