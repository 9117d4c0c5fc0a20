// SPDX-License-Identifier: Apache-2.0
// What the layers of a drawing are for: of one drawing before those of the shop.
#include "kit/svg_in.h"

#include <string.h>

const char *kw_layer_role(const struct kw_layers *layers, const char *layer) {
    static const char *const words[] = {"cut", "bend up", "bend down", "mark", "ignore", NULL};
    struct kw_sketch d = {.layers = layers};
    enum kw_role role = kw_sketch_role(&d, layer, (int)strlen(layer));
    if (role == ROLE_UNKNOWN) role = kw_svg_colour_role(layers, kw_svg_colour(layer));
    return words[role];
}

static void add_unnamed(struct kw_arena *a, const struct kw_layers *own,
                        const struct kw_items *from, const struct kw_items *first,
                        struct kw_items *out) {
    const char **v = NULL;
    int count = 0;
    for (int i = 0; i < first->count; i++)
        KW_PUSH(a, v, count) = *KW_ITEM(const char *, *first, i);
    for (int i = 0; i < from->count; i++) {
        const char *name = *KW_ITEM(const char *, *from, i);
        if (!kw_layer_role(own, name)) KW_PUSH(a, v, count) = name;
    }
    *out = (struct kw_items){v, count};
}

struct kw_layers kw_layers_over(struct kw_arena *a, const struct kw_layers *own,
                                const struct kw_layers *others) {
    struct kw_layers out = {.node = own->node};
    add_unnamed(a, own, &others->cut, &own->cut, &out.cut);
    add_unnamed(a, own, &others->bend_up, &own->bend_up, &out.bend_up);
    add_unnamed(a, own, &others->bend_down, &own->bend_down, &out.bend_down);
    add_unnamed(a, own, &others->mark, &own->mark, &out.mark);
    add_unnamed(a, own, &others->ignore, &own->ignore, &out.ignore);
    return out;
}
