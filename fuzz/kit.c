// SPDX-License-Identifier: Apache-2.0
// Any bytes as a kit file: refused with a place, or a kit that holds what the header promises.
#include "kit/kit.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_part(const struct kw_part *p) {
    int ways = (p->base.node != NULL) + (p->flat != NULL) + (p->shape.count > 0) + (p->length > 0);
    kw_assert(ways == 1);
    kw_assert(p->each > 0 || p->left > 0 || p->right > 0);
    kw_assert(strlen(p->code) == 8 && p->revision && p->name);
    kw_assert(!p->base.node || (p->base.length > 0 && p->base.width > 0));
    for (int i = 0; i < p->bends.count; i++) {
        const struct kw_flange *f = KW_ITEM(struct kw_flange, p->bends, i);
        kw_assert(f->parent < i && f->turn > 0 && (f->from_drawing || f->height > 0));
    }
    for (int i = 0; i < p->holes.count; i++) {
        const struct kw_hole *h = KW_ITEM(struct kw_hole, p->holes, i);
        kw_assert(h->flange < p->bends.count && (h->size > 0) == (h->wide == 0));
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static struct kw_material materials[] = {{.name = "hr", .family = KW_STEEL}};
    static struct kw_hardware hardware[] = {{.name = "nut"}};
    struct kw_shop shop = {.materials = {materials, 1}, .hardware = {hardware, 1}};
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_kit *kit = NULL;
    enum kw_status s = kw_kit_parse(&a, &shop, "/nonexistent", "kits/fuzz.yaml", (const char *)data,
                                    size, NULL, &kit, &err);
    if (s == KW_OK) {
        kw_assert(kit->parts.count > 0);
        for (int i = 0; i < kit->parts.count; i++)
            check_part(KW_ITEM(struct kw_part, kit->parts, i));
    } else {
        kw_assert(kw_exit_code(s) == 2 && err.status == s && err.text[0] && err.at.file);
    }
    kw_arena_free(&a);
    return 0;
}
