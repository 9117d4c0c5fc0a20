// SPDX-License-Identifier: Apache-2.0
// Tabs that the buyer bends: a row of slits along the bend line, webs between and at both ends.
#include "shape/inside.h"

static struct kw_path slit(struct kw_arena *a, double length, double width, int tag) {
    double half = length / 2 - width / 2, r = width / 2;
    struct kw_path p = {0};
    kw_path_add(a, &p, -half, r, 0, tag); // clockwise: along the upper side first
    kw_path_add(a, &p, half, r, -1, tag);
    kw_path_add(a, &p, half, -r, 0, tag);
    kw_path_add(a, &p, -half, -r, -1, tag);
    return p;
}

/// As many slits as leave webs of the width told; what is over widens all webs alike.
static void slit_bend(struct build *b, struct kw_bend *bend) {
    const struct kw_flange *f = KW_ITEM(struct kw_flange, b->part->bends, bend->flange);
    double length = f->by_hand.slit, web = f->by_hand.web, width = f->by_hand.width;
    if (!(width > 0)) width = b->kerf > 0 ? 2 * b->kerf : b->body->thickness;
    int n = (int)floor((bend->length - web) / (length + web) + 1e-9);
    if (n < 1 || !(length > width)) {
        double least = n < 1 ? length + 2 * web : width;
        shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "by_hand"),
                   n < 1 ? bend->length : length, least,
                   kw_format(b->arena,
                             n < 1 ? "the bend line of tab %s is too short for a slit and two webs"
                                   : "the slits of tab %s are shorter than wide",
                             f->name),
                   n < 1 ? "make its slits shorter, or the tab wider" : "make its slits longer");
        return;
    }
    struct kw_vec2 u = kw_scale2(kw_sub2(bend->to, bend->from), 1 / bend->length);
    web = (bend->length - n * length) / (n + 1);
    for (int i = 0; i < n; i++) {
        struct kw_vec2 at =
            kw_add2(bend->from, kw_scale2(u, web + length / 2 + i * (length + web)));
        struct kw_path p = slit(b->arena, length, width, KW_SLIT_TAG + b->body->slit_count++);
        struct kw_region *blank = &b->body->blank;
        KW_PUSH(b->arena, blank->holes, blank->hole_count) =
            kw_path_moved(b->arena, &p, (struct kw_move2){u.x, u.y, at.x, at.y, false});
    }
    bend->hole_gap += n * length;
}

bool kw_body_is_slit(const struct kw_body *body, const struct kw_path *hole) {
    int i = hole->v[0].tag - KW_SLIT_TAG;
    return i >= 0 && i < body->slit_count;
}

void shape_slits(struct build *b) {
    for (int i = 0; i < b->body->bend_count; i++)
        if (b->body->bends[i].kind == KW_BEND_HAND) slit_bend(b, &b->body->bends[i]);
}
