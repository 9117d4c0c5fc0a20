// SPDX-License-Identifier: Apache-2.0
// The columns of coupons.csv, and what must hold between the values of a row.
#include "coupon/inside.h"
#include "form/fields.h"
#include "shape/shape.h"
#include "tube/tube.h"

#include <string.h>

#define DEGREE (KW_PI / 180)

static enum kw_status coupon_check(struct kw_reader *r, const struct kw_node *node, void *out,
                                   struct kw_error *err);

static const struct kw_field fields[] = {
    TEXT(kw_coupon, "coupon", name, REQUIRED, .example = "C7",
         SAYS("Number of the piece, as painted on it.")),
    TEXT(kw_coupon, "from", from, REQUIRED, .example = "11 ga hot-rolled sheet",
         SAYS("What it was cut from, in the words that kits use: a sheet or a round tube.")),
    TEXT(kw_coupon, "die", die_name, REQUIRED, .example = "D-100",
         SAYS("Shelf number of the die in shop.yaml: of the press for sheet, of the bender for "
              "tube.")),
    QUANTITY(kw_coupon, "blank", blank, LENGTH, ABOVE_ZERO_TO(3000),
             SAYS("Sheet: length of the flat strip across the bend, as cut and measured.")),
    QUANTITY(kw_coupon, "leg_a", leg_a, LENGTH, ABOVE_ZERO_TO(3000),
             SAYS("Sheet: one leg, outside; past a square bend to the outside of the bend.")),
    QUANTITY(kw_coupon, "leg_b", leg_b, LENGTH, ABOVE_ZERO_TO(3000),
             SAYS("Sheet: the other leg, in the same way.")),
    QUANTITY(kw_coupon, "angle", angle, ANGLE, REQUIRED, ABOVE_ZERO_TO(175 * DEGREE),
             SAYS("Angle it has after release, turned from flat (90 for a square bend). A "
                  "protractor laid inside reads 180 less this.")),
    QUANTITY(kw_coupon, "angle_set", angle_set, ANGLE, ABOVE_ZERO_TO(200 * DEGREE),
             SAYS("Angle under load, or as set on the bender, turned from flat.")),
    QUANTITY(kw_coupon, "depth", depth, LENGTH, ABOVE_ZERO_TO(300),
             SAYS("Sheet: travel of the punch from first contact, where the angle under load was "
                  "not measured.")),
    QUANTITY(kw_coupon, "radius", radius, LENGTH, ABOVE_ZERO_TO(3000),
             SAYS("Radius measured: inside for sheet, centreline for tube.")),
    QUANTITY(kw_coupon, "taken", taken, LENGTH, ABOVE_ZERO_TO(10000),
             SAYS("Tube: length of the stick that the bend took, from tangent to tangent.")),
    QUANTITY(kw_coupon, "thickness", thickness, LENGTH, ABOVE_ZERO_TO(25.4),
             SAYS("Sheet: thickness of this piece by micrometer.")),
    {.key = "date",
     .kind = KW_KIND_DATE,
     .offset = offsetof(struct kw_coupon, date),
     SAYS("Day it was bent.")},
    TEXT(kw_coupon, "who", who, .example = "J.", SAYS("Who bent and measured it.")),
    {0},
};
const struct kw_form kw_coupon_form = {
    "coupon",
    "A test piece that was bent once and measured: a line of coupons.csv. Columns in any order; a "
    "sheet needs blank, leg_a, leg_b and thickness, a tube angle_set. Bare lengths are in the "
    "unit of shop.yaml, bare angles in degrees.",
    sizeof(struct kw_coupon), fields, coupon_check};

// ------------------------------------------------------------------------------- what it is of

static enum kw_status find_die(struct kw_reader *r, const struct kw_items *dies, size_t size,
                               struct kw_coupon *c, struct kw_error *err) {
    struct named { // what dies of press and bender begin with
        const struct kw_node *node;
        const char *name;
    };
    const char **names = KW_NEW_ARRAY(r->arena, const char *, dies->count + 1);
    for (c->die = 0; c->die < dies->count; c->die++) {
        const struct named *d = (const void *)((const char *)dies->v + size * (size_t)c->die);
        names[c->die] = d->name;
        if (strcmp(d->name, c->die_name) == 0) return KW_OK;
    }
    const char *near = kw_nearest_word(c->die_name, names);
    return kw_fail(err, KW_UNKNOWN, kw_place_of(c->node, "die"), "the %s has no die \"%.*s\"%s%s%s",
                   c->stock.kind == KW_SHEET ? "press" : "bender", KW_SHOWN(c->die_name),
                   near ? ", did you mean \"" : "", near ? near : "", near ? "\"?" : "");
}

static enum kw_status check_columns(const struct kw_coupon *c, bool sheet, struct kw_error *err) {
    static const char *const of_sheet[] = {"blank", "leg_a", "leg_b", "thickness", "depth"};
    for (int i = 0; i < 5; i++) {
        bool has = kw_node_get(c->node, of_sheet[i]) != NULL;
        if (has && !sheet) {
            return kw_fail(err, KW_FORMAT, kw_place_of(c->node, of_sheet[i]),
                           "a coupon of tube has no %s, expected nothing here", of_sheet[i]);
        }
        if (!has && sheet && i < 4) {
            return kw_fail(err, KW_MISSING, c->node->at, "missing %s of coupon \"%.*s\"",
                           of_sheet[i], KW_SHOWN(c->name));
        }
    }
    if (sheet && c->taken > 0) {
        return kw_fail(err, KW_FORMAT, kw_place_of(c->node, "taken"),
                       "a coupon of sheet has no length taken, expected nothing here");
    }
    if (sheet || c->angle_set > 0) return KW_OK;
    return kw_fail(err, KW_MISSING, c->node->at, "missing angle_set of coupon \"%.*s\"",
                   KW_SHOWN(c->name));
}

// ------------------------------------------------------------------------------- what can't be

/// Half or one and a half thicknesses out of the metal on either side: a tape misread, not a bend.
static enum kw_status check_length(const struct kw_shop *shop, const struct kw_coupon *c,
                                   struct kw_error *err) {
    double r = c->radius > 0 ? c->radius : coupon_natural_radius(shop, &c->stock, c->die);
    double k = (coupon_allowance(c, r) / c->angle - r) / c->thickness;
    double off = fabs(c->thickness - c->stock.thickness);
    if (off > 0.15 * c->stock.thickness) {
        return kw_fail(err, KW_RANGE, kw_place_of(c->node, "thickness"),
                       "%.3f mm is no %s of %.3f mm", c->thickness, c->stock.text,
                       c->stock.thickness);
    }
    if (k >= -1 && k <= 2) return KW_OK;
    return kw_fail(err, KW_RANGE, kw_place_of(c->node, "blank"),
                   "a blank of %.2f mm does not give outside legs of %.2f and %.2f mm at %.1f "
                   "degrees: expected about %.2f mm",
                   c->blank, c->leg_a, c->leg_b, c->angle / DEGREE,
                   c->blank - coupon_allowance(c, r) + c->angle * (r + 0.44 * c->thickness));
}

/// A reading of the opening instead of the turn is the usual mistake.
static enum kw_status check_set(const struct kw_coupon *c, struct kw_error *err) {
    if (!(c->angle_set > 0)) return KW_OK;
    bool near = c->angle_set > c->angle - 5 * DEGREE && c->angle_set < 1.3 * c->angle + 10 * DEGREE;
    if (near) return KW_OK;
    return kw_fail(err, KW_RANGE, kw_place_of(c->node, "angle_set"),
                   "%.1f degrees under load does not leave %.1f: both are turned from flat",
                   c->angle_set / DEGREE, c->angle / DEGREE);
}

static enum kw_status check_depth(const struct kw_shop *shop, const struct kw_coupon *c,
                                  struct kw_error *err) {
    if (!(c->depth > 0)) return KW_OK;
    double r = c->radius > 0 ? c->radius : coupon_natural_radius(shop, &c->stock, c->die);
    double angle = coupon_angle_at_depth(shop, c, r);
    if (fabs(angle - c->angle) < 25 * DEGREE) return KW_OK;
    return kw_fail(err, KW_RANGE, kw_place_of(c->node, "depth"),
                   "%.2f mm deep over %s bends by %.0f degrees, not %.0f: expected the travel from "
                   "first contact of punch and sheet",
                   c->depth, c->die_name, angle / DEGREE, c->angle / DEGREE);
}

static enum kw_status check_tube(const struct kw_shop *shop, const struct kw_coupon *c,
                                 struct kw_error *err) {
    const struct kw_bender_die *die = KW_ITEM(struct kw_bender_die, shop->bender.dies, c->die);
    if (fabs(die->od - c->stock.width) > KW_TUBE_DIE_MATCH_MM) {
        return kw_fail(err, KW_RANGE, kw_place_of(c->node, "die"), "%s is no die for %s", die->name,
                       c->stock.text);
    }
    double taken = c->taken > 0 ? c->taken / c->angle : die->radius;
    double radius = c->radius > 0 ? c->radius : die->radius;
    bool near = fabs(taken - die->radius) < 0.25 * die->radius &&
                fabs(radius - die->radius) < 0.25 * die->radius;
    if (near) return KW_OK;
    return kw_fail(err, KW_RANGE, kw_place_of(c->node, c->radius > 0 ? "radius" : "taken"),
                   "expected a centreline radius near the die's, %.1f mm, got %.1f mm", die->radius,
                   c->radius > 0 ? c->radius : taken);
}

static enum kw_status coupon_check(struct kw_reader *r, const struct kw_node *node, void *out,
                                   struct kw_error *err) {
    const struct kw_shop *shop = r->user;
    struct kw_coupon *c = out;
    struct kw_place at = kw_place_of(node, "from");
    enum kw_status s = kw_stock_meant(shop, c->from, r->units, at, &c->stock, err);
    if (s != KW_OK) return s;
    bool sheet = c->stock.kind == KW_SHEET;
    if (!sheet && c->stock.kind != KW_ROUND_TUBE)
        return kw_fail(err, KW_FORMAT, at, "expected a sheet or a round tube, got \"%.*s\"",
                       KW_SHOWN(c->from));
    s = find_die(r, sheet ? &shop->press.dies : &shop->bender.dies,
                 sheet ? sizeof(struct kw_press_tool) : sizeof(struct kw_bender_die), c, err);
    if (s == KW_OK) s = check_columns(c, sheet, err);
    if (s == KW_OK && sheet) s = check_length(shop, c, err);
    if (s == KW_OK) s = check_set(c, err);
    if (s == KW_OK && sheet) s = check_depth(shop, c, err);
    if (s == KW_OK && !sheet) s = check_tube(shop, c, err);
    return s;
}
