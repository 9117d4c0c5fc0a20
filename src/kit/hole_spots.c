// SPDX-License-Identifier: Apache-2.0
// Every place of a hole: its list of places, repeated in rows, grids or a ring, then mirrored.
#include "kit/kit_in.h"

struct spots {
    struct kw_arena *arena;
    struct kw_hole_spot *v;
    int count;
};

static void push(struct spots *s, double x, double y, double turn, bool flip) {
    KW_PUSH(s->arena, s->v, s->count) = (struct kw_hole_spot){{x, y}, turn, flip};
}

static void repeat(struct spots *s, const struct kw_hole *h, double x, double y) {
    const struct kw_repeat *r = &h->repeat;
    for (int i = 0; i < r->ring; i++) {
        double at = 2 * KW_PI * i / r->ring;
        push(s, x + r->across / 2 * cos(at), y + r->across / 2 * sin(at), h->turn + at, false);
    }
    if (r->ring > 0) return;
    int across = r->count[0] > 0 ? r->count[0] : 1, away = r->count[1] > 0 ? r->count[1] : 1;
    for (int j = 0; j < away; j++)
        for (int i = 0; i < across; i++)
            push(s, x + i * r->step[0], y + j * r->step[1], h->turn, false);
}

static void mirror(struct spots *s, double middle, bool left_right) {
    int n = s->count;
    for (int i = 0; i < n; i++) {
        struct kw_hole_spot p = s->v[i];
        double x = left_right ? 2 * middle - p.at.x : p.at.x;
        double y = left_right ? p.at.y : 2 * middle - p.at.y;
        if (hypot(x - p.at.x, y - p.at.y) <= KW_SAME_POINT_MM) continue; // on the middle line
        // a shape mirrored front to back is one mirrored left to right and turned by half
        double turn = left_right ? -p.turn : KW_PI - p.turn;
        push(s, x, y, turn, !p.flip);
    }
}

long kw_hole_spot_count(const struct kw_hole *h) {
    const struct kw_items *along = h->from_left.count > 0 ? &h->from_left : &h->from_front;
    const struct kw_items *away = h->flange >= 0 ? &h->from_bottom : &h->from_front;
    const struct kw_repeat *r = &h->repeat;
    long times = r->ring > 0 ? r->ring
                             : (long)(r->count[0] > 0 ? r->count[0] : 1) *
                                   (r->count[1] > 0 ? r->count[1] : 1);
    long copies = h->mirror == KW_MIRROR_BOTH ? 4 : h->mirror == KW_MIRROR_NEITHER ? 1 : 2;
    return (long)along->count * away->count * times * copies;
}

struct kw_hole_spot *kw_hole_spots(struct kw_arena *a, const struct kw_part *part,
                                   const struct kw_hole *h, int *count) {
    const struct kw_items *along = h->from_left.count > 0 ? &h->from_left : &h->from_front;
    const struct kw_items *away = h->flange >= 0 ? &h->from_bottom : &h->from_front;
    struct spots s = {.arena = a};
    for (int i = 0; i < along->count; i++)
        for (int j = 0; j < away->count; j++)
            repeat(&s, h, *KW_ITEM(double, *along, i), *KW_ITEM(double, *away, j));
    double x = part->base.length / 2;
    if (h->flange >= 0 && h->mirror != KW_MIRROR_NEITHER) {
        int edge;
        struct kw_stretch stretch = kw_flange_stretch(part, h->flange, &edge);
        x = (stretch.from + stretch.to) / 2;
    }
    if (h->mirror == KW_MIRROR_LEFT_RIGHT || h->mirror == KW_MIRROR_BOTH) mirror(&s, x, true);
    if (h->mirror == KW_MIRROR_FRONT_BACK || h->mirror == KW_MIRROR_BOTH)
        mirror(&s, part->base.width / 2, false);
    *count = s.count;
    return s.v;
}
