// SPDX-License-Identifier: Apache-2.0
// A small shop, and kits that stand in a test's own text, checked.
#pragma once

#include "check/check.h"

#include <criterion/criterion.h>
#include <string.h>

static inline struct kw_shop *small_shop(void) {
    static struct kw_material steel[] = {{.name = "hot-rolled",
                                          .density = 7850,
                                          .tensile = 414,
                                          .yield = 250,
                                          .elastic = 200000,
                                          .least_radius = 1}};
    static struct kw_press_tool die[] = {{.name = "D", .opening = 24}};
    static struct kw_bender_die bend[] = {
        {.name = "B", .od = 30, .radius = 100, .most_angle = KW_PI, .clamp = 10, .lead = 10}};
    static struct kw_shop shop = {.name = "test",
                                  .units = KW_MM,
                                  .materials = {steel, 1},
                                  .bending = {.k = 0.44},
                                  .saw = {.kerf = 2},
                                  .bender = {.most_wall = 4, .dies = {bend, 1}},
                                  .press = {.dies = {die, 1}}};
    return &shop;
}

struct product {
    struct kw_arena a;
    struct kw_kit *kit;
    struct kw_findings found;
    struct kw_examined *parts;
    int count;
};

static inline void assemble(struct product *p, const char *text) {
    struct kw_error err = {0};
    *p = (struct product){0};
    p->found.arena = &p->a;
    cr_assert_eq(kw_kit_parse(&p->a, small_shop(), "/nonexistent", "k.yaml", text, strlen(text),
                              NULL, &p->kit, &err),
                 KW_OK, "%d:%d %s", err.at.line, err.at.column, err.text);
    kw_check_kit(&p->a, small_shop(), p->kit, &p->found, &p->parts, &p->count);
}

static inline const struct kw_finding *found(const struct product *p, const char *rule) {
    for (int i = 0; i < p->found.count; i++)
        if (strcmp(p->found.v[i].rule, rule) == 0) return &p->found.v[i];
    return NULL;
}
