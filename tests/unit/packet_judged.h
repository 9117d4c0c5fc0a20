// SPDX-License-Identifier: Apache-2.0
// A bend order as its judge takes it, with all that it was made of.
#pragma once

#include "brake_parts.h"
#include "packet/bend_judged.h"

struct judged {
    struct test_part p;
    struct kw_brake_plan plan;
    struct kw_arena arena;
    struct kw_bent_part part;
    struct kw_bent_stroke *strokes;
};

/// The part and its strokes out of `plan`.
static inline void judged_plan(struct judged *j, const struct kw_brake_material *material,
                               const struct kw_brake_shop *shop) {
    j->part = packet_bent_part(&j->arena, &j->p.part, material, &j->plan);
    j->strokes = KW_NEW_ARRAY(&j->arena, struct kw_bent_stroke, j->plan.step_count + 1);
    for (int i = 0; i < j->plan.step_count; i++)
        j->strokes[i] = packet_bent_stroke(&j->arena, shop, material->thickness, &j->plan.steps[i]);
}

static inline int faults_of(struct judged *j, int count) {
    struct kw_verdict v = {.arena = &j->arena};
    return kw_judge_brake(&j->part, j->strokes, count, &v);
}

static inline void free_judged(struct judged *j) {
    kw_arena_free(&j->arena);
    kw_arena_free(&j->p.arena);
}
