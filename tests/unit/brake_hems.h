// SPDX-License-Identifier: Apache-2.0
// A shop with sharp tools and a hemming tool, and strips with a hem at one end. Numbers invented.
#pragma once

#include "brake_parts.h"

static const struct kw_brake_die hem_dies[] = {
    {.id = "D30",
     .opening = 16,
     .angle = 30 * DEG,
     .shoulder_radius = 1.5,
     .height = 70,
     .rating = 600},
    {.id = "D85",
     .opening = 16,
     .angle = 85 * DEG,
     .shoulder_radius = 1.5,
     .height = 70,
     .rating = 600},
    {.id = "H1", .flat = true, .height = 70, .width = 50, .rating = 1500}};
static const struct kw_brake_punch hem_punches[] = {
    {.id = "P28", .nose_radius = 1, .angle = 28 * DEG, .height = 110, .rating = 600},
    {.id = "P85", .nose_radius = 1, .angle = 85 * DEG, .height = 110, .rating = 900},
    {.id = "H1", .flat = true, .height = 80, .width = 50, .rating = 1500}};

static const struct kw_brake_material thin = {
    .thickness = 2, .tensile = 400, .yield = 240, .modulus = 200000};

static inline struct kw_brake_shop hem_shop(void) {
    struct kw_brake_shop shop = test_shop;
    shop.press.rating = 600000;
    shop.press.open_height = 300;
    shop.dies = hem_dies;
    shop.die_count = 3;
    shop.punches = hem_punches;
    shop.punch_count = 3;
    return shop;
}

/// Bend `bend` becomes a closed hem: eye of 0.1 t, zone of 1.77 t (shape.h: it takes 0.43 t).
static inline void make_hem(struct test_part *p, int bend) {
    p->bends[bend].hem = true;
    p->bends[bend].angle = 135 * DEG;
    p->bends[bend].radius = 0;
    p->bends[bend].flat_radius = 0.1 * thin.thickness;
    p->bends[bend].allowance = 1.77 * thin.thickness;
}

static inline struct kw_brake_plan hem_plan(struct test_part *p, const struct kw_brake_shop *shop) {
    p->part.faces = p->faces;
    p->part.bends = p->bends;
    struct kw_brake_plan plan;
    struct kw_error err = {0};
    enum kw_status s = kw_brake_plan(&p->arena, &p->part, &thin, shop, HERE, &plan, &err);
    cr_assert_eq(s, KW_OK, "%s", err.text);
    return plan;
}
