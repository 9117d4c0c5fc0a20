// SPDX-License-Identifier: Apache-2.0
// Codes: eight hex digits over all that defines a part, so that a signature falls when the part
// changes and stays when only the file does. Values are hashed in house units on a grid of a
// millionth, so that 1-1/2 in and 38.1 mm are the same; holes in no order, paths from their least
// corner. Names, counts, bins and the revision letter define no steel and are left out.
#include "kit/kit_in.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// Three tenths of a step off the middle: binary fractions of an inch end on halves of the grid.
static uint64_t hash_value(uint64_t h, double v) {
    int64_t grid = (int64_t)floor(v * 1e6 + 0.3);
    return kw_hash(h, &grid, sizeof grid);
}
static uint64_t hash_angle(uint64_t h, double rad) {
    return hash_value(h, rad * 180 / KW_PI);
}
static uint64_t hash_count(uint64_t h, int v) {
    int64_t wide = v;
    return kw_hash(h, &wide, sizeof wide);
}
static uint64_t hash_text(uint64_t h, const char *s) {
    return s ? kw_hash(h, s, strlen(s) + 1) : hash_count(h, -1);
}

static void write_code(char code[static 12], uint64_t h) {
    (void)snprintf(code, 12, "%08x", (unsigned)(h ^ (h >> 32)));
}

static int by_hash(const void *a, const void *b) {
    uint64_t p = *(const uint64_t *)a, q = *(const uint64_t *)b;
    return (p > q) - (p < q);
}

// Mixes hashes in no order.
static uint64_t hash_set(uint64_t h, uint64_t *v, int count) {
    if (count > 1) qsort(v, (size_t)count, sizeof *v, by_hash);
    h = hash_count(h, count);
    for (int i = 0; i < count; i++)
        h = kw_hash(h, &v[i], sizeof v[i]);
    return h;
}

static uint64_t hash_stock(uint64_t h, const struct kw_shop *shop, const struct kw_stock *s) {
    const struct kw_material *m = kw_shop_material(shop, s);
    h = hash_count(h, (int)s->kind);
    h = hash_text(h, m ? m->name : NULL);
    h = hash_value(h, s->thickness);
    h = hash_value(h, s->width);
    return hash_value(h, s->height);
}

static uint64_t hash_base(uint64_t h, const struct kw_base *b) {
    h = hash_value(hash_value(h, b->length), b->width);
    const double corners[4] = {b->round.front_left, b->round.front_right, b->round.back_right,
                               b->round.back_left};
    for (int i = 0; i < 4; i++)
        h = hash_value(h, corners[i]);
    for (int i = 0; i < b->points.count; i++) {
        const struct kw_corner *p = KW_ITEM(struct kw_corner, b->points, i);
        h = hash_value(hash_value(h, p->at.x), p->at.y);
    }
    return h;
}

static uint64_t hash_flange(uint64_t h, const struct kw_flange *f) {
    h = hash_text(h, f->name);
    h = hash_count(hash_count(h, f->edge), f->parent);
    h = hash_value(hash_angle(h, f->turn), f->height);
    h = hash_count(hash_value(h, f->radius), f->way);
    h = hash_value(hash_value(h, f->from_start), f->from_end);
    return hash_count(hash_count(h, f->mates), f->line);
}

static uint64_t hash_hole(const struct kw_hole *h, double along, double away) {
    uint64_t x = hash_count(KW_HASH_START, h->flange);
    x = hash_value(hash_value(x, h->size), h->slot);
    x = hash_value(hash_value(x, h->wide), h->tall);
    x = hash_count(hash_count(x, h->slot > 0 ? h->slot_along : 0), h->close_fit);
    return hash_value(hash_value(x, along), away);
}

static uint64_t hash_holes(uint64_t h, struct kw_arena *scratch, const struct kw_part *part) {
    uint64_t *v = NULL;
    int count = 0;
    for (int i = 0; i < part->holes.count; i++) {
        const struct kw_hole *hole = KW_ITEM(struct kw_hole, part->holes, i);
        const struct kw_items *along =
            hole->from_left.count > 0 ? &hole->from_left : &hole->from_front;
        const struct kw_items *away = hole->flange >= 0 ? &hole->from_bottom : &hole->from_front;
        for (int k = 0; k < along->count; k++) {
            for (int m = 0; m < away->count; m++) {
                uint64_t one =
                    hash_hole(hole, *KW_ITEM(double, *along, k), *KW_ITEM(double, *away, m));
                KW_PUSH(scratch, v, count) = one;
            }
        }
    }
    return hash_set(h, v, count);
}

static uint64_t hash_path(const struct kw_path *p) {
    int least = 0;
    for (int i = 1; i < p->count && !p->open; i++) {
        const struct kw_vertex *v = &p->v[i], *w = &p->v[least];
        if (v->x < w->x || (v->x == w->x && v->y < w->y)) least = i;
    }
    uint64_t h = hash_count(KW_HASH_START, p->count);
    for (int i = 0; i < p->count; i++) {
        const struct kw_vertex *v = &p->v[(least + i) % p->count];
        h = hash_value(hash_value(hash_value(h, v->x), v->y), v->bulge);
    }
    return h;
}

static uint64_t hash_drawing(uint64_t h, struct kw_arena *scratch, const struct kw_part *part) {
    const struct kw_region *r = &part->drawing;
    uint64_t outer = hash_path(&r->outer), *v = NULL;
    int count = 0;
    h = kw_hash(h, &outer, sizeof outer);
    for (int i = 0; i < r->hole_count; i++)
        KW_PUSH(scratch, v, count) = hash_path(&r->holes[i]);
    h = hash_set(h, v, count);
    v = NULL, count = 0;
    for (int i = 0; i < part->drawn_marks.count; i++) {
        KW_PUSH(scratch, v, count) = hash_path(KW_ITEM(struct kw_path, part->drawn_marks, i));
    }
    h = hash_set(h, v, count);
    for (int i = 0; i < part->drawn_bends.count; i++) {
        const struct kw_drawn_bend *b = KW_ITEM(struct kw_drawn_bend, part->drawn_bends, i);
        h = hash_text(h, b->name);
        h = hash_value(hash_value(hash_value(hash_value(h, b->a.x), b->a.y), b->b.x), b->b.y);
        h = hash_value(hash_angle(hash_count(h, b->way), b->turn), b->radius);
    }
    return h;
}

void kw_part_code(const struct kw_shop *shop, struct kw_part *part) {
    struct kw_arena scratch = {0};
    uint64_t h = hash_stock(KW_HASH_START, shop, &part->stock);
    h = hash_count(hash_count(h, part->left > 0 || part->right > 0), part->good_side);
    if (part->base.node) h = hash_base(h, &part->base);
    for (int i = 0; i < part->bends.count; i++) {
        h = hash_flange(h, KW_ITEM(struct kw_flange, part->bends, i));
    }
    h = hash_holes(h, &scratch, part);
    if (part->flat) h = hash_drawing(h, &scratch, part);
    for (int i = 0; i < part->shape.count; i++) {
        const struct kw_shape_step *s = KW_ITEM(struct kw_shape_step, part->shape, i);
        h = hash_text(h, strcmp(s->word, "across") == 0 ? "right" : s->word);
        h = strcmp(s->word, "turn") == 0 ? hash_angle(h, s->value) : hash_value(h, s->value);
    }
    h = hash_value(hash_value(h, part->die), part->length);
    h = hash_angle(hash_angle(h, part->miter[0]), part->miter[1]);
    kw_arena_free(&scratch);
    write_code(part->code, h);
}

void kw_kit_code(struct kw_kit *kit) {
    uint64_t h = KW_HASH_START;
    for (int i = 0; i < kit->parts.count; i++) {
        const struct kw_part *p = KW_ITEM(struct kw_part, kit->parts, i);
        h = hash_text(hash_text(h, p->name), p->code);
        h = hash_count(hash_count(hash_count(h, p->each), p->left), p->right);
    }
    for (int i = 0; i < kit->bags.count; i++) {
        const struct kw_bag *b = KW_ITEM(struct kw_bag, kit->bags, i);
        h = hash_count(hash_text(h, b->name), b->spare);
        for (int k = 0; k < b->holds.count; k++) {
            const struct kw_bag_item *item = KW_ITEM(struct kw_bag_item, b->holds, k);
            h = hash_count(hash_text(h, item->name), item->count);
        }
    }
    write_code(kit->code, h);
}
