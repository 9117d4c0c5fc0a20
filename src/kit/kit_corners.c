// SPDX-License-Identifier: Apache-2.0
// Lists of places and numbers in a kit file: corners, lines, rows and grids, where a piece stands.
#include "kit/kit_in.h"

#include <string.h>

enum { MOST_POINTS = 1000, MOST_REPEATS = 1000, MOST_TURNS = 6 };

/// "round 1/2" or "bow 1/4".
static enum kw_status read_corner_word(struct kw_reader *r, const struct kw_node *node,
                                       struct kw_corner *c, struct kw_error *err) {
    bool round = node->kind == KW_SCALAR && strncmp(node->text, "round ", 6) == 0;
    bool bow = node->kind == KW_SCALAR && strncmp(node->text, "bow ", 4) == 0;
    if (!round && !bow) {
        char got[KW_NODE_GOT_SIZE];
        return kw_fail(err, KW_FORMAT, node->at, "expected round 1/2 or bow 1/4, got %s",
                       kw_node_got(got, node));
    }
    struct kw_node number = *node;
    number.text += round ? 6 : 4;
    number.at.column += (round ? 6 : 4) + node->quoted;
    double least = round ? 0 : -KW_MOST_MM;
    return kw_node_quantity(r, &number, KW_DIM_LENGTH, least, KW_MOST_MM,
                            round ? &c->round : &c->bow, err);
}

static enum kw_status read_corner(struct kw_reader *r, const struct kw_node *p, struct kw_corner *c,
                                  struct kw_error *err) {
    if (p->kind != KW_LIST || p->count < 2 || p->count > 3) {
        return kw_fail(err, KW_FORMAT, p->at,
                       "expected a corner such as [6, 3], [6, 3, round 1/2] or [6, 3, bow 1/4]");
    }
    c->place = p->at;
    double *xy[2] = {&c->at.x, &c->at.y};
    for (int k = 0; k < 2; k++) {
        enum kw_status s =
            kw_node_quantity(r, &p->items[k], KW_DIM_LENGTH, -KW_MOST_MM, KW_MOST_MM, xy[k], err);
        if (s != KW_OK) return s;
    }
    return p->count == 3 ? read_corner_word(r, &p->items[2], c, err) : KW_OK;
}

static enum kw_status read_corners(struct kw_reader *r, const struct kw_node *node, int least,
                                   struct kw_items *out, struct kw_error *err) {
    if (node->kind != KW_LIST || node->count < least || node->count > MOST_POINTS) {
        return kw_fail(err, KW_FORMAT, node->at,
                       "expected %d to %d corners such as [[0, 0], [6, 0], [6, 3]]", least,
                       MOST_POINTS);
    }
    struct kw_corner *v = KW_NEW_ARRAY(r->arena, struct kw_corner, node->count);
    *out = (struct kw_items){v, node->count};
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < node->count; i++)
        s = read_corner(r, &node->items[i], &v[i], err);
    return s;
}

enum kw_status kw_read_points(struct kw_reader *r, const struct kw_node *node,
                              const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    return read_corners(r, node, 3, out, err);
}

enum kw_status kw_read_line(struct kw_reader *r, const struct kw_node *node,
                            const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    enum kw_status s = read_corners(r, node, 2, out, err);
    const struct kw_items *v = out;
    for (int i = 0; s == KW_OK && i < v->count; i++) {
        const struct kw_corner *c = KW_ITEM(struct kw_corner, *v, i);
        if (c->round == 0) continue;
        return kw_fail(err, KW_FORMAT, c->place, "a marked line has no rounded corners");
    }
    return s;
}

// One value, or a list of two.
static const struct kw_node *pair_of(const struct kw_node *node, int *count, const char *what,
                                     struct kw_error *err) {
    *count = node->kind == KW_LIST ? node->count : 1;
    if (node->kind == KW_LIST && node->count == 2) return node->items;
    if (node->kind == KW_SCALAR) return node;
    (void)kw_fail(err, KW_FORMAT, node->at, "expected %s", what);
    return NULL;
}

enum kw_status kw_read_counts(struct kw_reader *r, const struct kw_node *node,
                              const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    int n, *counts = out;
    const struct kw_node *v = pair_of(node, &n, "a count such as 5, or two such as [5, 3]", err);
    if (!v) return KW_FORMAT;
    for (int i = 0; i < n; i++) {
        enum kw_status s = kw_node_count(r, &v[i], 1, MOST_REPEATS, &counts[i], err);
        if (s != KW_OK) return s;
    }
    return KW_OK;
}

enum kw_status kw_read_steps(struct kw_reader *r, const struct kw_node *node,
                             const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    int n;
    double *steps = out;
    const struct kw_node *v = pair_of(node, &n, "a step such as 2, or two such as [2, 1-1/2]", err);
    if (!v) return KW_FORMAT;
    for (int i = 0; i < n; i++) {
        enum kw_status s =
            kw_node_quantity(r, &v[i], KW_DIM_LENGTH, -KW_MOST_MM, KW_MOST_MM, &steps[i], err);
        if (s != KW_OK) return s;
    }
    return KW_OK;
}

enum kw_status kw_read_place(struct kw_reader *r, const struct kw_node *node,
                             const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    double *at = out;
    if (node->kind != KW_LIST || node->count != 3) {
        return kw_fail(err, KW_FORMAT, node->at,
                       "expected a place such as [0, 12, 3-1/2]: to the right, to the back, up");
    }
    for (int i = 0; i < 3; i++) {
        enum kw_status s = kw_node_quantity(r, &node->items[i], KW_DIM_LENGTH, -KW_MOST_MM,
                                            KW_MOST_MM, &at[i], err);
        if (s != KW_OK) return s;
    }
    return KW_OK;
}

static enum kw_status read_turn(struct kw_reader *r, const struct kw_node *node,
                                struct kw_axis_turn *t, struct kw_error *err) {
    bool fits = node->kind == KW_SCALAR && node->text[0] >= 'x' && node->text[0] <= 'z' &&
                node->text[1] == ' ';
    if (!fits) {
        char got[KW_NODE_GOT_SIZE];
        return kw_fail(err, KW_FORMAT, node->at, "expected a turn such as x 90, got %s",
                       kw_node_got(got, node));
    }
    t->axis = node->text[0] - 'x';
    struct kw_node number = *node;
    number.text += 2;
    number.at.column += 2 + node->quoted;
    return kw_node_quantity(r, &number, KW_DIM_ANGLE, -2 * KW_PI, 2 * KW_PI, &t->angle, err);
}

enum kw_status kw_read_turns(struct kw_reader *r, const struct kw_node *node,
                             const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field;
    if (node->kind != KW_LIST || node->count > MOST_TURNS) {
        return kw_fail(err, KW_FORMAT, node->at,
                       "expected a list of at most %d turns such as [x 90, z 180]", MOST_TURNS);
    }
    struct kw_axis_turn *v = KW_NEW_ARRAY(r->arena, struct kw_axis_turn, node->count);
    *(struct kw_items *)out = (struct kw_items){v, node->count};
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < node->count; i++)
        s = read_turn(r, &node->items[i], &v[i], err);
    return s;
}
