// SPDX-License-Identifier: Apache-2.0
// What a drawing that was taken must hold, whatever bytes it came from.
#pragma once

#include "kit/kit.h"

static inline void check_path(const struct kw_path *p, bool outer) {
    kw_assert(kw_path_check(p, (struct kw_place){0}, NULL) == KW_OK);
    kw_assert((kw_path_area(p) > 0) == outer);
}

static inline void check_drawing(const struct kw_drawing *d) {
    const struct kw_region *r = &d->region;
    check_path(&r->outer, true);
    struct kw_box2 box = kw_path_box(&r->outer);
    kw_assert(fabs(box.min.x) < 1e-6 && fabs(box.min.y) < 1e-6);
    kw_assert(fabs(box.max.x - d->width) < 1e-6 && fabs(box.max.y - d->height) < 1e-6);
    for (int i = 0; i < r->hole_count; i++)
        check_path(&r->holes[i], false);
    kw_assert(kw_region_area(r) > 0);
    for (int i = 0; i < d->bends.count; i++) {
        const struct kw_drawn_bend *b = KW_ITEM(struct kw_drawn_bend, d->bends, i);
        kw_assert(b->name && b->turn > 0 && b->at.line > 0);
    }
}
