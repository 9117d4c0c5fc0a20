// SPDX-License-Identifier: Apache-2.0
// What a part's keys must be to each other: one way of saying its form, fit for its stock.
#include "kit/kit_in.h"

#include <stdio.h>
#include <string.h>

const char *kw_kit_unit(const struct kw_kit_file *k) {
    return k->units == KW_IN ? "in" : "mm";
}

const char *kw_kit_shown(struct kw_kit_file *k, double mm) {
    char buf[KW_NUMBER_SIZE];
    double scale = k->units == KW_IN ? KW_MM_PER_IN : 1;
    return kw_copy_text(k->arena, buf, strlen(kw_number(buf, mm / scale, 4)));
}

// The ways of saying a part's form, as bits.
enum {
    BASE = 1,
    FLAT = 2,
    SHAPE = 4,
    LENGTH = 8,
    POINTS = 16,
    TABLE = 32,
    SHEET = BASE | FLAT,
    BENT = SHAPE | POINTS | TABLE,
    STICK = BENT | LENGTH
};

static const struct way {
    const char *key;
    int bit;
} ways[] = {{"base", BASE},     {"flat", FLAT},        {"shape", SHAPE},
            {"points", POINTS}, {"bend_table", TABLE}, {"length", LENGTH}};

static const char *way_names(int bits) {
    return bits == SHEET   ? "base or flat"
           : bits == STICK ? "shape, points, bend_table or length"
                           : "one of them";
}

static enum kw_status find_way(struct kw_kit_file *k, const struct kw_part *part, int *way) {
    const char *first = NULL;
    *way = 0;
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        const struct kw_node *said = kw_node_get(part->node, ways[i].key);
        if (!said) continue;
        if (first) {
            return kw_fail(k->err, KW_FORMAT, said->key_at,
                           "part \"%s\" has %s and %s, expected one of them", part->name, first,
                           ways[i].key);
        }
        first = ways[i].key;
        *way = ways[i].bit;
    }
    if (first) return KW_OK;
    return kw_fail(k->err, KW_MISSING, part->node->key_at,
                   "part \"%s\" has no form: expected base, flat, shape, points, "
                   "bend_table or length",
                   part->name);
}

static enum kw_status check_stock(struct kw_kit_file *k, const struct kw_part *part, int way) {
    bool sheet = part->stock.kind == KW_SHEET;
    int fits = sheet ? SHEET : STICK;
    if (way & fits) return KW_OK;
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        if (ways[i].bit != way) continue;
        return kw_fail(k->err, KW_FORMAT, kw_node_get(part->node, ways[i].key)->key_at,
                       "%s doesn't go with \"%s\", expected %s for %s", ways[i].key, part->from,
                       way_names(fits), sheet ? "a sheet" : "a tube or bar");
    }
    return KW_OK;
}

// Keys that would be passed over in silence.
static enum kw_status check_keys(struct kw_kit_file *k, const struct kw_part *part, int way) {
    static const struct {
        const char *key;
        int goes_with;
        const char *said;
    } keys[] = {{"bends", SHEET, "base or flat"},
                {"holes", SHEET, "base or flat"},
                {"marks", SHEET, "base or flat"},
                {"must_measure", FLAT, "flat"},
                {"layers", FLAT, "flat"},
                {"good_side", SHEET, "base or flat"},
                {"gripped", SHEET, "base or flat"},
                {"sheet_turns", SHEET, "base or flat"},
                {"sheet_turn_step", SHEET, "base or flat"},
                {"die", BENT, "shape"},
                {"miter", LENGTH, "length"},
                {"ends", STICK, "a tube or bar"},
                {"drill", STICK, "a tube or bar"}};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        const struct kw_node *said = kw_node_get(part->node, keys[i].key);
        if (!said || (keys[i].goes_with & way)) continue;
        return kw_fail(k->err, KW_FORMAT, said->key_at, "%s goes with %s, which part \"%s\" hasn't",
                       keys[i].key, keys[i].said, part->name);
    }
    const struct kw_node *step = kw_node_get(part->node, "sheet_turn_step");
    if (!step || !kw_node_get(part->node, "sheet_turns")) return KW_OK;
    return kw_fail(k->err, KW_FORMAT, step->key_at,
                   "part \"%s\" has sheet_turns and sheet_turn_step, expected one of them",
                   part->name);
}

// ------------------------------------------------------------------------------------- the base

static enum kw_status check_edge(struct kw_kit_file *k, const struct kw_base *b, const char *edge,
                                 double first, double second, double length) {
    if (first + second <= length + KW_SAME_POINT_MM) return KW_OK;
    return kw_fail(k->err, KW_GEOMETRY, kw_place_of(b->node, "round"),
                   "corners rounded by %s and %s %s don't fit along the %s edge of %s %s",
                   kw_kit_shown(k, first), kw_kit_shown(k, second), kw_kit_unit(k), edge,
                   kw_kit_shown(k, length), kw_kit_unit(k));
}

static enum kw_status check_round(struct kw_kit_file *k, const struct kw_base *b) {
    const struct kw_round *c = &b->round;
    enum kw_status s = check_edge(k, b, "front", c->front_left, c->front_right, b->length);
    if (s == KW_OK) s = check_edge(k, b, "back", c->back_left, c->back_right, b->length);
    if (s == KW_OK) s = check_edge(k, b, "left", c->front_left, c->back_left, b->width);
    if (s == KW_OK) s = check_edge(k, b, "right", c->front_right, c->back_right, b->width);
    return s;
}

static enum kw_status check_base(struct kw_kit_file *k, struct kw_part *part) {
    struct kw_base *b = &part->base;
    static const char *const outlines[] = {"points", "circle", "polygon"};
    static const char *const others[] = {"long", "wide", "round"};
    const char *outline = NULL;
    for (int i = 0; i < 3; i++) {
        const struct kw_node *said = kw_node_get(b->node, outlines[i]);
        if (said && outline) {
            return kw_fail(k->err, KW_FORMAT, said->key_at,
                           "the base has %s and %s, expected one of them", outline, outlines[i]);
        }
        if (said) outline = outlines[i];
    }
    for (int i = 0; i < 3; i++) {
        const struct kw_node *said = kw_node_get(b->node, others[i]);
        if (outline && said) {
            return kw_fail(k->err, KW_FORMAT, said->key_at,
                           "the base has %s and %s, expected %s or long and wide", outline,
                           others[i], outline);
        }
        if (!outline && !said && i < 2) {
            return kw_fail(k->err, KW_MISSING, b->node->at, "missing key \"%s\" of the base",
                           others[i]);
        }
    }
    if ((b->polygon > 0) != (b->across > 0)) {
        return kw_fail(k->err, KW_FORMAT, b->node->at,
                       "expected polygon, the number of corners, and across, its size");
    }
    return outline ? kw_part_outline(k, part) : check_round(k, b);
}

enum kw_status kw_part_finish(struct kw_kit_file *k, struct kw_part *part) {
    int way;
    if (!part->revision) part->revision = k->kit->revision;
    enum kw_status s = kw_stock_meant(k->shop, part->from, k->units,
                                      kw_place_of(part->node, "from"), &part->stock, k->err);
    if (s == KW_OK) s = find_way(k, part, &way);
    if (s == KW_OK) s = check_stock(k, part, way);
    if (s == KW_OK) s = check_keys(k, part, way);
    if (s == KW_OK) s = kw_part_bend_table(k, part);
    if (s == KW_OK) s = kw_part_centreline(k, part);
    if (s != KW_OK) return s;
    if (way != BASE) part->base.node = NULL; // the table fills in an empty one
    const struct kw_cut_entry *cut = kw_shop_cut_rule(k->shop, &part->stock);
    k->thickness = part->stock.thickness;
    k->kerf = cut ? cut->kerf : 0;
    if (way == BASE) s = check_base(k, part);
    if (s == KW_OK && way == BASE) s = kw_part_bends(k, part);
    if (s == KW_OK && way == FLAT) s = kw_part_flat(k, part);
    if (s == KW_OK && (way & SHEET)) s = kw_part_holes(k, part);
    if (s == KW_OK && (way & SHEET)) s = kw_part_marks(k, part);
    if (s == KW_OK && (way & SHEET)) s = kw_part_gripped(k, part);
    if (part->old_stock == KW_OLD_UNSAID) part->old_stock = k->kit->old_stock;
    if (s == KW_OK) kw_part_code(k->shop, part);
    return s;
}
