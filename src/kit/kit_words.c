// SPDX-License-Identifier: Apache-2.0
// Values of a kit file that are more than one number: "28 x 20", "turn 90", "8 hex bolt 3/8-16 x
// 1".
#include "kit/kit_in.h"

#include <stdio.h>
#include <string.h>

enum { MOST_OF_A_PART = 1000, MOST_PIECES = 10000, MOST_STEPS = 199 };
#define MOST_MITER (75 * KW_PI / 180)

static enum kw_status expected(const struct kw_node *node, const char *what, struct kw_error *err) {
    if (node->kind != KW_SCALAR) {
        return kw_fail(err, KW_FORMAT, node->at, "expected %s, got a %s", what,
                       node->kind == KW_LIST ? "list" : "map");
    }
    return kw_fail(err, KW_FORMAT, node->at, "expected %s, got \"%.60s\"", what, node->text);
}

// Part of a scalar as a scalar of its own, with its place.
static struct kw_node slice(struct kw_reader *r, const struct kw_node *node, const char *from,
                            const char *to) {
    while (from < to && *from == ' ')
        from++;
    while (to > from && to[-1] == ' ')
        to--;
    struct kw_node part = *node;
    part.text = kw_copy_text(r->arena, from, (size_t)(to - from));
    part.at.column += (int)(from - node->text) + node->quoted;
    return part;
}

// The leading whole number of `s` and what follows it; false when there is none up to `most`.
static bool leading_count(const char *s, int most, int *count, const char **rest) {
    int v = 0;
    const char *p = s;
    for (; *p >= '0' && *p <= '9' && v <= most; p++)
        v = v * 10 + (*p - '0');
    *count = v;
    *rest = p;
    return p > s && v <= most;
}

static enum kw_status read_count(struct kw_reader *r, const struct kw_node *node, int *out,
                                 struct kw_error *err) {
    const char *rest;
    if (node->kind == KW_SCALAR && leading_count(node->text, MOST_OF_A_PART, out, &rest) &&
        *rest == 0 && *out > 0) {
        return KW_OK;
    }
    if (node->kind == KW_SCALAR && kw_is_sum(r, node->text))
        return kw_node_count(r, node, 1, MOST_OF_A_PART, out, err);
    return expected(node, "a count from 1 to 1000 or { left: 1, right: 1 }", err);
}

enum kw_status kw_read_per_kit(struct kw_reader *r, const struct kw_node *node,
                               const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    _Static_assert(offsetof(struct kw_part, left) == offsetof(struct kw_part, each) + sizeof(int) &&
                       offsetof(struct kw_part, right) ==
                           offsetof(struct kw_part, left) + sizeof(int),
                   "each, left, right follow one another");
    int *counts = out;
    if (node->kind != KW_MAP) return read_count(r, node, &counts[0], err);
    if (node->count == 0) return expected(node, "a count or { left: 1, right: 1 }", err);
    for (int i = 0; i < node->count; i++) {
        const struct kw_node *item = &node->items[i];
        int hand = strcmp(item->key, "left") == 0 ? 1 : strcmp(item->key, "right") == 0 ? 2 : 0;
        if (hand == 0) {
            return kw_fail(err, KW_UNKNOWN, item->key_at,
                           "unknown key \"%.60s\", expected left or right", item->key);
        }
        enum kw_status s = read_count(r, item, &counts[hand], err);
        if (s != KW_OK) return s;
    }
    return KW_OK;
}

static enum kw_status above_zero(struct kw_reader *r, const struct kw_node *node, double *out,
                                 struct kw_error *err) {
    enum kw_status s = kw_node_quantity(r, node, KW_DIM_LENGTH, 0, 0, out, err);
    if (s != KW_OK || *out > 0) return s;
    return kw_fail(err, KW_RANGE, node->at, "expected a length above 0, got \"%.60s\"", node->text);
}

enum kw_status kw_read_measure(struct kw_reader *r, const struct kw_node *node,
                               const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    _Static_assert(offsetof(struct kw_part, measure_wide) ==
                       offsetof(struct kw_part, measure_long) + sizeof(double),
                   "measure_long, measure_wide follow one another");
    double *size = out;
    const char *x = node->kind == KW_SCALAR ? strstr(node->text, " x ") : NULL;
    if (!x) return expected(node, "a size such as 28 x 20", err);
    struct kw_node first = slice(r, node, node->text, x);
    struct kw_node second = slice(r, node, x + 3, x + strlen(x));
    enum kw_status s = above_zero(r, &first, &size[0], err);
    return s == KW_OK ? above_zero(r, &second, &size[1], err) : s;
}

enum kw_status kw_read_die(struct kw_reader *r, const struct kw_node *node,
                           const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    if (node->kind != KW_SCALAR) return expected(node, "a radius such as 4 in centreline", err);
    const char *end = node->text + strlen(node->text);
    static const char *const words[] = {" centreline", " centerline"};
    for (int i = 0; i < 2; i++) {
        size_t n = strlen(words[i]);
        if ((size_t)(end - node->text) > n && strcmp(end - n, words[i]) == 0) end -= n;
    }
    struct kw_node radius = slice(r, node, node->text, end);
    return above_zero(r, &radius, out, err);
}

enum kw_status kw_read_miter(struct kw_reader *r, const struct kw_node *node,
                             const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    double *angles = out;
    if (node->kind != KW_LIST || node->count != 2) {
        return kw_fail(err, KW_FORMAT, node->at, "expected two angles such as [45, 0]");
    }
    for (int i = 0; i < 2; i++) {
        enum kw_status s = kw_node_quantity(r, &node->items[i], KW_DIM_ANGLE, -MOST_MITER,
                                            MOST_MITER, &angles[i], err);
        if (s != KW_OK) return s;
    }
    return KW_OK;
}

// ---------------------------------------------------------------------------------------- shapes

bool kw_shape_toward(const char *word, struct kw_vec3 *direction) {
    static const struct {
        const char *word;
        struct kw_vec3 to;
    } ways[] = {{"up", {0, 0, 1}},    {"down", {0, 0, -1}},  {"right", {1, 0, 0}},
                {"left", {-1, 0, 0}}, {"across", {1, 0, 0}}, {"back", {0, 1, 0}},
                {"front", {0, -1, 0}}};
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        if (strcmp(word, ways[i].word) != 0) continue;
        *direction = ways[i].to;
        return true;
    }
    return false;
}

static enum kw_status read_step(struct kw_reader *r, const struct kw_node *node, bool turn,
                                struct kw_shape_step *step, struct kw_error *err) {
    const char *what = turn ? "a turn such as turn 90" : "a straight such as up 30-5/8";
    const char *space = node->kind == KW_SCALAR ? strchr(node->text, ' ') : NULL;
    if (!space || (size_t)(space - node->text) >= sizeof step->word)
        return expected(node, what, err);
    memcpy(step->word, node->text, (size_t)(space - node->text));
    step->at = node->at;
    struct kw_vec3 way;
    bool fits = turn ? strcmp(step->word, "turn") == 0 : kw_shape_toward(step->word, &way);
    if (!fits) return expected(node, what, err);
    struct kw_node value = slice(r, node, space, space + strlen(space));
    if (!turn) return above_zero(r, &value, &step->value, err);
    enum kw_status s = kw_node_quantity(r, &value, KW_DIM_ANGLE, 0, KW_PI, &step->value, err);
    if (s != KW_OK || (step->value > 0 && step->value < KW_PI - 1e-9)) return s;
    return kw_fail(err, KW_RANGE, node->at,
                   "expected a turn above 0 and below 180 degrees, got \"%.60s\"", node->text);
}

// Follows the way that the tube runs, so that a turn without a side is seen.
static enum kw_status check_turns(const struct kw_shape_step *v, int count, struct kw_error *err) {
    struct kw_vec3 run = {0}, to = {0};
    kw_shape_toward(v[0].word, &run);
    for (int i = 1; i + 1 < count; i += 2) {
        kw_shape_toward(v[i + 1].word, &to);
        double along = kw_dot3(run, to);
        struct kw_vec3 side = kw_sub3(to, kw_scale3(run, along));
        double length = kw_length3(side);
        if (!(length > 1e-6)) {
            return kw_fail(err, KW_GEOMETRY, v[i + 1].at,
                           "the tube runs %s already, so the turn before has no side to go to",
                           along > 0 ? v[i + 1].word : "the opposite way");
        }
        side = kw_scale3(side, 1 / length);
        run = kw_add3(kw_scale3(run, cos(v[i].value)), kw_scale3(side, sin(v[i].value)));
    }
    return KW_OK;
}

enum kw_status kw_read_shape(struct kw_reader *r, const struct kw_node *node,
                             const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    if (node->kind != KW_LIST) {
        return expected(node, "a list such as [up 30-5/8, turn 90, across 25-1/4]", err);
    }
    if (node->count > MOST_STEPS) {
        return kw_fail(err, KW_LIMIT, node->at, "expected at most %d steps, got %d", MOST_STEPS,
                       node->count);
    }
    if (node->count < 3 || node->count % 2 == 0) {
        return kw_fail(err, KW_FORMAT, node->at,
                       "expected straights with a turn between each two, got %d steps",
                       node->count);
    }
    struct kw_shape_step *v = KW_NEW_ARRAY(r->arena, struct kw_shape_step, node->count);
    for (int i = 0; i < node->count; i++) {
        enum kw_status s = read_step(r, &node->items[i], i % 2 == 1, &v[i], err);
        if (s != KW_OK) return s;
    }
    *(struct kw_items *)out = (struct kw_items){v, node->count};
    return check_turns(v, node->count, err);
}

// ------------------------------------------------------------------------------------------ bags

enum kw_status kw_read_holds(struct kw_reader *r, const struct kw_node *node,
                             const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    enum { MOST_ITEMS = 200 };
    if (node->kind != KW_LIST || node->count < 1 || node->count > MOST_ITEMS) {
        return kw_fail(err, KW_FORMAT, node->at,
                       "expected a list such as [8 hex bolt 3/8-16 x 1, 8 flange nut 3/8-16]");
    }
    struct kw_bag_item *v = KW_NEW_ARRAY(r->arena, struct kw_bag_item, node->count);
    for (int i = 0; i < node->count; i++) {
        const struct kw_node *item = &node->items[i];
        const char *rest = NULL;
        bool fits = item->kind == KW_SCALAR &&
                    leading_count(item->text, MOST_PIECES, &v[i].count, &rest) && *rest == ' ';
        while (fits && *rest == ' ')
            rest++;
        if (!fits || *rest == 0 || v[i].count == 0) {
            return expected(item, "a count and a name such as 8 hex bolt 3/8-16 x 1", err);
        }
        v[i].name = kw_copy_text(r->arena, rest, strlen(rest));
        v[i].at = item->at;
    }
    *(struct kw_items *)out = (struct kw_items){v, node->count};
    return KW_OK;
}

enum kw_status kw_read_spare(struct kw_reader *r, const struct kw_node *node,
                             const struct kw_field *field, void *out, struct kw_error *err) {
    (void)r, (void)field;
    const char *rest;
    if (node->kind == KW_SCALAR && leading_count(node->text, MOST_OF_A_PART, out, &rest) &&
        strcmp(rest, " of each") == 0) {
        return KW_OK;
    }
    return expected(node, "a count of spares such as 1 of each", err);
}
