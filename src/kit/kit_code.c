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

// What may be said, by a number of its own; what isn't said leaves the code as it is.
static uint64_t hash_said(uint64_t h, int key, double v) {
    return v == 0 ? h : hash_value(hash_count(h, key), v);
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
        h = hash_said(hash_said(h, 1, p->round), 2, p->bow);
    }
    h = hash_said(h, 3, b->circle);
    return hash_said(hash_said(h, 4, b->polygon), 5, b->across);
}

static uint64_t hash_flange(uint64_t h, const struct kw_flange *f) {
    h = hash_text(h, f->name);
    h = hash_count(hash_count(h, f->edge), f->parent);
    h = hash_value(hash_angle(h, f->turn), f->height);
    h = hash_count(hash_value(h, f->radius), f->way);
    h = hash_value(hash_value(h, f->from_start), f->from_end);
    h = hash_count(hash_count(h, f->mates), f->line);
    const double said[] = {f->outline_edge,
                           f->measured,
                           f->hem,
                           f->gap,
                           f->offset,
                           f->round,
                           f->taper_start,
                           f->taper_end,
                           f->by_hand.slit,
                           f->by_hand.web,
                           f->by_hand.width,
                           f->corners,
                           f->corners == KW_CORNERS_BUTT ? f->corner_gap : 0};
    for (size_t i = 0; i < sizeof said / sizeof *said; i++)
        h = hash_said(h, 100 + (int)i, said[i]);
    return h;
}

static uint64_t hash_path(const struct kw_path *p);

static uint64_t hash_hole(const struct kw_hole *h, const struct kw_hole_spot *spot) {
    uint64_t x = hash_count(KW_HASH_START, h->flange);
    x = hash_value(hash_value(x, h->size), h->slot);
    x = hash_value(hash_value(x, h->wide), h->tall);
    x = hash_count(hash_count(x, h->slot > 0 ? h->slot_along : 0), h->close_fit);
    x = hash_said(hash_said(x, 200, h->neck), 201, h->tallness);
    x = hash_said(x, 202, h->bridge);
    if (h->cut_out.count > 0) x = hash_path(&h->cut_out) ^ x;
    if (h->drawing) x = hash_path(&h->ornament.outer) ^ x;
    if (h->letters) x = hash_text(hash_text(x, h->letters), h->font);
    if (h->dimple) x = hash_count(hash_text(x, h->dimple), h->dimple_way);
    x = hash_said(hash_said(x, 203, spot->turn), 204, spot->flip);
    return hash_value(hash_value(x, spot->at.x), spot->at.y);
}

static uint64_t hash_holes(uint64_t h, struct kw_arena *scratch, const struct kw_part *part) {
    uint64_t *v = NULL;
    int count = 0;
    for (int i = 0; i < part->holes.count; i++) {
        const struct kw_hole *hole = KW_ITEM(struct kw_hole, part->holes, i);
        int spots;
        const struct kw_hole_spot *spot = kw_hole_spots(scratch, part, hole, &spots);
        for (int k = 0; k < spots; k++)
            KW_PUSH(scratch, v, count) = hash_hole(hole, &spot[k]);
    }
    return hash_set(h, v, count);
}

static uint64_t hash_marks(uint64_t h, const struct kw_part *part) {
    for (int i = 0; i < part->marks.count; i++) {
        const struct kw_mark *m = KW_ITEM(struct kw_mark, part->marks, i);
        h = hash_count(hash_text(h, m->text), m->flange);
        const double places[] = {m->height, m->from_left, m->from_front, m->from_bottom, m->turn};
        for (size_t k = 0; k < sizeof places / sizeof *places; k++)
            h = hash_value(h, places[k]);
        for (int k = 0; k < m->line.count; k++) {
            const struct kw_corner *c = KW_ITEM(struct kw_corner, m->line, k);
            h = hash_value(hash_value(hash_value(h, c->at.x), c->at.y), c->bow);
        }
    }
    return h;
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

static uint64_t hash_end(uint64_t h, int which, const struct kw_end *e) {
    const double said[] = {e->cope.diameter, e->cope.angle, e->cope.offset,
                           e->miter,         e->turn,       e->flatten};
    for (size_t i = 0; i < sizeof said / sizeof *said; i++)
        h = hash_said(h, 300 + 10 * which + (int)i, said[i]);
    return h;
}

static uint64_t hash_drill(uint64_t h, const struct kw_drill *d) {
    h = hash_count(hash_angle(hash_value(h, d->size), d->turn), d->both);
    for (int i = 0; i < d->from_start.count; i++)
        h = hash_value(h, *KW_ITEM(double, d->from_start, i));
    for (int i = 0; i < d->from_end.count; i++)
        h = hash_value(hash_count(h, i), *KW_ITEM(double, d->from_end, i));
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
    h = hash_marks(h, part);
    if (part->flat) h = hash_drawing(h, &scratch, part);
    for (int i = 0; i < part->shape.count; i++) {
        const struct kw_shape_step *s = KW_ITEM(struct kw_shape_step, part->shape, i);
        h = hash_text(h, strcmp(s->word, "across") == 0 ? "right" : s->word);
        h = strcmp(s->word, "turn") == 0 ? hash_angle(h, s->value) : hash_value(h, s->value);
    }
    for (int i = 0; i < part->points.count; i++) {
        const struct kw_tube_point *q = KW_ITEM(struct kw_tube_point, part->points, i);
        for (int k = 0; k < 3; k++)
            h = hash_value(h, q->at[k]);
        h = hash_value(h, q->radius);
    }
    for (int i = 0; i < part->bend_table.count; i++) {
        const struct kw_bender_row *row = KW_ITEM(struct kw_bender_row, part->bend_table, i);
        h = hash_angle(hash_angle(hash_value(h, row->straight), row->rotate), row->angle);
        h = hash_value(h, row->radius);
    }
    h = hash_end(hash_end(h, 0, &part->ends.start), 1, &part->ends.end);
    for (int i = 0; i < part->drill.count; i++)
        h = hash_drill(h, KW_ITEM(struct kw_drill, part->drill, i));
    h = hash_value(hash_value(h, part->die), part->length);
    h = hash_angle(hash_angle(h, part->miter[0]), part->miter[1]);
    kw_arena_free(&scratch);
    write_code(part->code, h);
}

static bool goes_onto(const struct kw_end *e, const char *part) {
    return e->cope.node && strcmp(e->cope.onto, part) == 0;
}

void kw_part_code_fitted(const struct kw_kit *kit, struct kw_part *part) {
    uint64_t h = hash_text(KW_HASH_START, part->code);
    bool any = false;
    for (int i = 0; i < kit->assembly.count; i++) {
        const struct kw_standing *s = KW_ITEM(struct kw_standing, kit->assembly, i);
        bool other = goes_onto(&part->ends.start, s->part) || goes_onto(&part->ends.end, s->part);
        if (!other && strcmp(s->part, part->name) != 0) continue;
        const struct kw_part *of = kw_kit_part(kit, s->part);
        if (other && of) h = hash_text(h, of->code);
        for (int k = 0; k < 3; k++)
            h = hash_value(h, s->at[k]);
        for (int k = 0; k < s->turns.count; k++) {
            const struct kw_axis_turn *t = KW_ITEM(struct kw_axis_turn, s->turns, k);
            h = hash_angle(hash_count(h, t->axis), t->angle);
        }
        any = any || other;
    }
    if (any) write_code(part->code, h);
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
