// SPDX-License-Identifier: Apache-2.0
// Any bytes as a drawing: refused with a place, or an outline that holds what the header promises.
#include "kit/kit.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_path(const struct kw_path *p, bool outer) {
    kw_assert(kw_path_check(p, (struct kw_place){0}, NULL) == KW_OK);
    kw_assert((kw_path_area(p) > 0) == outer);
}

static void check_drawing(const struct kw_drawing *d) {
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

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static const char *cut[] = {"C"}, *up[] = {"U"}, *down[] = {"D"}, *mark[] = {"M"};
    struct kw_shop shop = {
        .layers = {.cut = {cut, 1}, .bend_up = {up, 1}, .bend_down = {down, 1}, .mark = {mark, 1}}};
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_drawing d;
    enum kw_status s =
        kw_dxf_parse(&a, &shop.layers, "fuzz.dxf", (const char *)data, size, KW_MM, &d, &err);
    if (s == KW_OK) {
        check_drawing(&d);
    } else {
        kw_assert(kw_exit_code(s) == 2 && err.status == s && err.text[0] && err.at.file);
    }
    kw_arena_free(&a);
    return 0;
}
