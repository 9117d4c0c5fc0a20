// SPDX-License-Identifier: Apache-2.0
// Random sheet parts: outlines with arcs, flanges to depth 4 on whole and part edges, tapered,
// rounded, hemmed, offset, bent by hand, with holes.
#pragma once

#include "shape_hand.h"

static inline double between(uint64_t *seed, double lo, double hi) {
    return lo + (hi - lo) * kw_random_unit(seed);
}

static inline bool one_in(uint64_t *seed, int n) {
    return kw_random(seed) % (uint64_t)n == 0;
}

/// A star of corners round a middle.
static inline struct kw_path random_star(struct hand *h, uint64_t *seed) {
    int n = 3 + (int)(kw_random(seed) % 6);
    double size = between(seed, 150, 400), part = between(seed, 0.5, 1);
    struct kw_path p = {0};
    for (int i = 0; i < n; i++) {
        double at = 2 * KW_PI * (i + between(seed, -0.2, 0.2)) / n;
        double r = size * between(seed, part, 1);
        kw_path_add(&h->a, &p, r * cos(at), r * sin(at), 0, 1 + i);
    }
    return p;
}

/// A rectangle with some corners cut out square or nearly: inner corners of about 90 degrees.
static inline struct kw_path random_notched(struct hand *h, uint64_t *seed) {
    struct kw_path p = {0};
    double w = between(seed, 250, 600), l = between(seed, 250, 600), turn = between(seed, 0, 6);
    const double at[4][4] = {{0, 0, 1, 1}, {l, 0, -1, 1}, {l, w, -1, -1}, {0, w, 1, -1}};
    for (int i = 0; i < 4; i++) {
        double dx = between(seed, 60, 120) * at[i][2];
        double dy = between(seed, 60, 120) * at[i][3];
        double lean = between(seed, -20, 20);
        struct kw_vec2 c = kw_v2(at[i][0], at[i][1]), along = kw_v2(c.x + dx, c.y);
        struct kw_vec2 up = kw_v2(c.x, c.y + dy), in = kw_v2(c.x + dx + lean, c.y + dy + lean);
        struct kw_vec2 v[3] = {i % 2 ? along : up, in, i % 2 ? up : along};
        if (one_in(seed, 2)) v[1] = c;
        for (int k = v[1].x == c.x && v[1].y == c.y ? 1 : 0; k < 3; k++) {
            kw_path_add(&h->a, &p, v[k].x, v[k].y, 0, 1 + p.count);
            if (v[1].x == c.x && v[1].y == c.y) break;
        }
    }
    return kw_path_moved(&h->a, &p, kw_move2_make(0, 0, turn, false));
}

/// Some corners rounded, some edges bowed; tags 1.. as the kit file gives them, 0 for rounded
/// corners; box at (0,0).
static inline void random_outline(struct hand *h, uint64_t *seed) {
    struct kw_path p = one_in(seed, 2) ? random_star(h, seed) : random_notched(h, seed);
    int n = p.count;
    for (int i = 0; i < n; i++)
        if (one_in(seed, 5)) p.v[i].bulge = between(seed, -0.1, 0.2);
    for (int i = n - 1; i >= 0; i--) {
        int tag = p.v[i].tag;
        if (!one_in(seed, 3) || !kw_path_round_corner(&h->a, &p, i, between(seed, 3, 30))) continue;
        p.v[i].tag = 0; // the arc; the line after it goes on with the edge's number
        if (i + 1 < p.count) p.v[i + 1].tag = tag;
    }
    struct kw_box2 box = kw_path_box(&p);
    struct kw_move2 m = {1, 0, -box.min.x, -box.min.y, false};
    struct kw_base *base = &h->part.base;
    base->outline = kw_path_moved(&h->a, &p, m);
    base->length = box.max.x - box.min.x;
    base->width = box.max.y - box.min.y;
}

static inline void random_rectangle(struct hand *h, uint64_t *seed) {
    h->part.base.length = between(seed, 150, 600);
    h->part.base.width = between(seed, 150, 600);
    struct kw_round *r = &h->part.base.round;
    double *round[] = {&r->front_left, &r->front_right, &r->back_right, &r->back_left};
    for (int i = 0; i < 4; i++)
        if (one_in(seed, 4)) *round[i] = between(seed, 2, 25);
}

static inline struct kw_flange *random_flange(struct hand *h, uint64_t *seed, int edge) {
    static const struct kw_node by_hand; // its place is never asked for
    double t = h->part.stock.thickness;
    double height = between(seed, 45, 70), turn = between(seed, 15, 135);
    double radius = between(seed, 0.5, 1.5) * t; // one after the other: arguments have no order
    struct kw_flange *f = hand_flange(h, edge, height, turn * DEG, radius);
    f->way = (int)(kw_random(seed) % 2);
    if (one_in(seed, 4)) f->from_start = between(seed, 0, 40);
    if (one_in(seed, 4)) f->from_end = between(seed, 0, 40);
    if (one_in(seed, 5)) f->taper_start = between(seed, 1, 30) * DEG;
    if (one_in(seed, 5)) f->taper_end = between(seed, 1, 30) * DEG;
    if (one_in(seed, 5)) f->round = between(seed, 1, 12);
    f->measured = (int)(kw_random(seed) % 3);
    switch (kw_random(seed) % 8) {
    case 0:
        f->hem = KW_HEM_CLOSED;
        f->height = between(seed, 8, 15) + 2 * t;
        break;
    case 1:
        f->hem = KW_HEM_OPEN;
        f->gap = between(seed, 0.5, 3) * t;
        f->height = between(seed, 8, 15) + 4 * t;
        break;
    case 2:
        f->turn = between(seed, 20, 90) * DEG;
        f->offset = between(seed, 1, 2) * 6 * t;
        f->height = between(seed, 80, 120);
        break;
    case 3:
        f->by_hand.node = &by_hand;
        f->by_hand.slit = between(seed, 8, 20);
        f->by_hand.web = between(seed, 3, 6);
        f->by_hand.width = between(seed, 1, 3);
        break;
    default:
        break;
    }
    return f;
}

/// The flange, between from_start and from_end when they are more than 0, and flanges on it to
/// `depth` more.
static inline void random_row(struct hand *h, uint64_t *seed, int edge, int outline_edge, int depth,
                              double from_start, double from_end) {
    if (h->part.bends.count >= 14) return;
    int parent = h->part.bends.count;
    struct kw_flange *f = random_flange(h, seed, edge);
    f->outline_edge = outline_edge;
    if (from_start > 0) f->from_start = from_start;
    if (from_end > 0) f->from_end = from_end;
    int above = parent;
    for (int i = 0; i < depth && f->hem == KW_NO_HEM && h->part.bends.count < 16; i++) {
        f = random_flange(h, seed, KW_EDGE_OF_BEND);
        f->parent = above;
        above = h->part.bends.count - 1;
    }
}

/// One row along an edge of `length`, or two beside one another.
static inline void random_rows(struct hand *h, uint64_t *seed, int edge, int outline_edge,
                               double length, int depth) {
    if (length < 250 || !one_in(seed, 3)) {
        random_row(h, seed, edge, outline_edge, depth, 0, 0);
        return;
    }
    double middle = length * between(seed, 0.4, 0.6);
    double gap = between(seed, 1.1, 8) * h->part.stock.thickness;
    random_row(h, seed, edge, outline_edge, depth, 0, length - middle);
    random_row(h, seed, edge, outline_edge, 0, middle + gap, 0);
}

/// Bent on the press, upwards, no further than square.
static inline void make_plain(struct kw_flange *f) {
    f->hem = KW_NO_HEM;
    f->offset = 0;
    f->by_hand.node = NULL;
    f->way = KW_UP;
    if (f->turn > KW_PI / 2) f->turn -= KW_PI / 4;
    if (f->height < 45) f->height += 30;
}

static inline void random_part(struct hand *h, uint64_t *seed) {
    hand_start(h, 0, 0, between(seed, 0.8, 6));
    bool outline = !one_in(seed, 3);
    if (outline)
        random_outline(h, seed);
    else
        random_rectangle(h, seed);
    bool plain = one_in(seed, 6);
    int edges = outline ? h->part.base.outline.count : 4;
    for (int e = 0; e < edges; e++) {
        if (one_in(seed, 2)) continue;
        int depth = plain || one_in(seed, 2) ? 0 : (int)(kw_random(seed) % 4);
        if (!outline) {
            double l = e % 2 ? h->part.base.width : h->part.base.length;
            random_rows(h, seed, e, 0, l, depth);
            continue;
        }
        struct kw_segment s = kw_path_segment(&h->part.base.outline, e);
        int tag = h->part.base.outline.v[e].tag;
        if (s.radius > 0 || kw_segment_length(s) < 60) continue;
        random_rows(h, seed, KW_EDGE_OF_OUTLINE, tag, kw_segment_length(s), depth);
    }
    for (int i = 0; i < h->part.bends.count && plain; i++)
        make_plain(&h->flanges[i]);
    if (!outline) hand_hole(h, -1, 10, 75, 75);
}
