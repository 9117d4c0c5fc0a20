// SPDX-License-Identifier: Apache-2.0
// Parts made by hand, without files: a shop with one steel, a kit, a base, flanges, holes.
#pragma once

#include "shape/shape.h"

#include <criterion/criterion.h>

#define DEG (KW_PI / 180)

struct hand {
    struct kw_arena a;
    struct kw_shop shop;
    struct kw_kit kit;
    struct kw_part part;
    struct kw_findings found;
    struct kw_material steel;
    struct kw_flange flanges[16];
    struct kw_hole holes[16];
};

static inline void hand_start(struct hand *h, double length, double width, double t) {
    *h = (struct hand){0};
    h->found.arena = &h->a;
    h->steel = (struct kw_material){.name = "steel",
                                    .density = 7850,
                                    .tensile = 414,
                                    .yield = 250,
                                    .elastic = 200000,
                                    .least_radius = 1};
    h->shop.materials = (struct kw_items){&h->steel, 1};
    h->shop.bending.k = 0.44;
    h->kit.name = "kit";
    h->part.name = "part";
    h->part.stock.thickness = t;
    h->part.base.length = length;
    h->part.base.width = width;
    h->part.bends.v = h->flanges;
    h->part.holes.v = h->holes;
}

static inline struct kw_flange *hand_flange(struct hand *h, int edge, double height, double turn,
                                            double radius) {
    static const char *const names[] = {"A", "B", "C", "D", "E", "F", "G", "H"};
    int i = h->part.bends.count++;
    h->flanges[i] = (struct kw_flange){.name = names[i % 8],
                                       .edge = edge,
                                       .parent = -1,
                                       .height = height,
                                       .turn = turn,
                                       .radius = radius};
    return &h->flanges[i];
}

static inline struct kw_items hand_list(struct hand *h, double value) {
    double *v = KW_NEW(&h->a, double);
    *v = value;
    return (struct kw_items){v, 1};
}

static inline struct kw_hole *hand_hole(struct hand *h, int flange, double size, double x,
                                        double y) {
    struct kw_hole *o = &h->holes[h->part.holes.count++];
    *o = (struct kw_hole){.size = size, .flange = flange, .from_left = hand_list(h, x)};
    if (flange < 0)
        o->from_front = hand_list(h, y);
    else
        o->from_bottom = hand_list(h, y);
    return o;
}

static inline struct kw_body *hand_make(struct hand *h) {
    struct kw_body *body = NULL;
    kw_body_make(&h->a, &h->shop, &h->kit, &h->part, &h->found, &body);
    return body;
}

static inline bool hand_has(const struct hand *h, const char *rule) {
    for (int i = 0; i < h->found.count; i++)
        if (strcmp(h->found.v[i].rule, rule) == 0) return true;
    return false;
}
