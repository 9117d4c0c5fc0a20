// SPDX-License-Identifier: Apache-2.0
// Pick and pack lists: a picture a part, bags, layers of the carton from the bottom, the scale.
#include "packet/cautions.h"
#include "packet/paper.h"

#include <stdio.h>
#include <string.h>

enum { CARD_W = 62, CARD_H = 44 };

static void part_card(struct paper *p, const struct kw_examined *what, enum kw_hand hand, int count,
                      double x, double y) {
    struct kw_pen frame = {.width = 0.25, .colour = KW_BLACK};
    const char *old = kw_old_stock_text(what->part->old_stock);
    kw_draw_box(&p->draw, x, y, CARD_W - 2, CARD_H - 2, frame);
    paper_part_picture(p, what, hand == KW_RIGHT_HAND, x + 14, y + 2, CARD_W - 20, CARD_H - 17);
    paper_textf(p, x + 1.5, y + 9, PAPER_BIG, true, "%d", count);
    kw_draw_box(&p->draw, x + 2, y + 13, 7, 7, frame);
    paper_fit(p, x + 1.5, y + CARD_H - 10, CARD_W - 5, 3.4, true,
              kw_format(p->week->arena, "%s%s%s", what->part->name, hand == KW_EACH ? "" : "  ",
                        hand == KW_LEFT_HAND    ? "LEFT"
                        : hand == KW_RIGHT_HAND ? "RIGHT"
                                                : ""));
    paper_fit(p, x + 1.5, y + CARD_H - 5, CARD_W - 5, PAPER_SMALL, false,
              kw_format(p->week->arena, "%s%s%s%s", what->part->bin ? "bin " : "",
                        what->part->bin ? what->part->bin : "no bin named",
                        old ? "   older REV: " : "", old ? old : ""));
}

struct cards {
    int n, across;
    double y;
    struct paper_head head;
};

static void next_card(struct paper *p, struct cards *c, const struct kw_examined *what,
                      enum kw_hand hand, int count) {
    if (count == 0) return;
    if (c->n > 0 && c->n % c->across == 0) c->y += CARD_H;
    if (c->y + CARD_H > p->bottom) {
        paper_begin(p, c->head);
        c->y = p->top;
        c->n = 0;
    }
    part_card(p, what, hand, count, PAPER_MARGIN + (c->n % c->across) * CARD_W, c->y);
    c->n++;
}

static double parts(struct paper *p, const struct kw_run_kit *k, struct paper_head head, double y) {
    struct cards c = {.across = 3, .y = y, .head = head};
    for (int i = 0; i < k->part_count; i++) {
        const struct kw_examined *what = &k->parts[i];
        next_card(p, &c, what, KW_EACH, what->part->each);
        next_card(p, &c, what, KW_LEFT_HAND, what->part->left);
        next_card(p, &c, what, KW_RIGHT_HAND, what->part->right);
    }
    return c.y + (c.n > 0 ? CARD_H : 0);
}

static double bags(struct paper *p, const struct kw_kit *kit, struct paper_head head, double y) {
    static const struct paper_column c[] = {
        {"bag", 34}, {"holds", 90}, {">in the bag", 34}, {"done", 20}};
    struct paper_table t = {c, 4, PAPER_MARGIN, y + 6, 7, 3.4, head};
    if (kit->bags.count == 0) return y;
    if (t.y > p->bottom - 20) {
        paper_begin(p, head);
        t.y = p->top + 4;
    }
    paper_table_head(p, &t);
    for (int b = 0; b < kit->bags.count; b++) {
        const struct kw_bag *bag = KW_ITEM(struct kw_bag, kit->bags, b);
        for (int i = 0; i < bag->holds.count; i++) {
            const struct kw_bag_item *item = KW_ITEM(struct kw_bag_item, bag->holds, i);
            const char *row[] = {
                i == 0 ? kw_format(p->week->arena, "%d: %s", b + 1, bag->name) : "", item->name,
                bag->spare > 0 ? kw_format(p->week->arena, "%d + %d spare", item->count, bag->spare)
                               : kw_format(p->week->arena, "%d", item->count),
                ""};
            struct kw_pen tick = {.width = 0.4, .colour = KW_BLACK};
            paper_table_row(p, &t, row);
            kw_draw_box(&p->draw, PAPER_MARGIN + 160, t.y - t.row - 3.6, 4.5, 4.5, tick);
        }
    }
    return t.y;
}

// One layer seen from above, things on lower layers in outline only.
static void layer_picture(struct paper *p, const struct kw_run_packing *packing,
                          const struct kw_carton *carton, int layer, double x, double y, double w,
                          double h) {
    const struct kw_box_size *size =
        KW_ITEM(struct kw_box_size, p->week->shop->cartons, carton->kind);
    struct kw_view view =
        kw_view_fit((struct kw_box2){{0, 0}, {size->length, size->width}}, x, y, w, h - 6);
    struct kw_vec2 lo = kw_view_point(view, kw_v2(0, 0)),
                   hi = kw_view_point(view, kw_v2(size->length, size->width));
    struct kw_pen frame = {.width = 0.5, .colour = KW_BLACK};
    struct kw_pen here = {
        .width = 0.25, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.88)};
    kw_draw_box(&p->draw, lo.x, hi.y, hi.x - lo.x, lo.y - hi.y, frame);
    for (int i = 0; i < carton->placed_count; i++) {
        const struct kw_carton_placed *b = &carton->placed[i];
        if (b->layer != layer) continue;
        struct kw_vec2 q = kw_view_point(view, kw_v2(b->at[0], b->at[1] + b->size[1]));
        double bw = b->size[0] * view.scale, bh = b->size[1] * view.scale;
        kw_draw_box(&p->draw, q.x, q.y, bw, bh, here);
        const char *name = packing->names[b->box];
        bool upright = bh > bw * 1.3;
        double room = (upright ? bh : bw) - 1, text = 2.8;
        double wide = p->draw.text_width(p->draw.user, text, true, name);
        if (wide > room) text = fmax(1.6, text * room / wide);
        if (fmin(bw, bh) > text * 0.8) {
            p->draw.text(p->draw.user, q.x + bw / 2 + (upright ? text / 2 : 0),
                         q.y + bh / 2 + (upright ? 0 : text / 2), text, KW_CENTRE, true,
                         upright ? KW_PI / 2 : 0, KW_BLACK, name);
        }
    }
    char title[48];
    snprintf(title, sizeof title, layer == 0 ? "layer 1, bottom" : "layer %d", layer + 1);
    p->draw.text(p->draw.user, x + w / 2, y + h - 1.5, PAPER_TEXT, KW_CENTRE, true, 0, KW_BLACK,
                 title);
}

static void carton_page(struct paper *p, const struct kw_run_packing *packing, int n,
                        struct paper_head head) {
    const struct kw_carton *carton = &packing->plan.cartons[n];
    const struct kw_box_size *size =
        KW_ITEM(struct kw_box_size, p->week->shop->cartons, carton->kind);
    head.kind = "Pack list, carton";
    paper_begin(p, head);
    double y = p->top, x = PAPER_MARGIN;
    bool two =
        p->week->shop->press.one_person > 0 && carton->gross_mass > p->week->shop->press.one_person;
    paper_value(p, x, y, 48, "box",
                kw_format(p->week->arena, "%d of %d", n + 1, packing->plan.carton_count));
    paper_value(p, x + 48, y, 72, "carton", size->name);
    paper_value(p, x + 120, y, 72, "scale should read",
                kw_format(p->week->arena, "%s +-2 %%", paper_mass(p, carton->gross_mass)));
    y += 17;
    paper_textf(p, x, y, 3, false, "inside %s x %s x %s   billable %s   length plus girth %s",
                paper_tape(p, size->length), paper_tape(p, size->width),
                paper_tape(p, size->height), paper_mass(p, carton->billable_mass),
                paper_tape(p, carton->length_girth));
    if (two) paper_text(p, x, y + 9, PAPER_BIG, true, "TWO PEOPLE LIFT THIS");
    y += two ? 14 : 5;
    paper_fit(p, x, y + 1, p->w - 2 * PAPER_MARGIN, 3, false,
              "Wrap each part; corner guards on sheet; bottom layer first.   scale: ________   "
              "sealed by: ________");
    y += 6;
    int across = 2;
    double w = (p->w - 2 * PAPER_MARGIN) / across, h = 62;
    for (int l = 0; l < carton->layers; l++) {
        if (l > 0 && l % across == 0) y += h;
        if (y + h > p->bottom) {
            paper_begin(p, head);
            y = p->top;
        }
        layer_picture(p, packing, carton, l, x + (l % across) * w, y, w - 4, h - 3);
    }
}

void paper_pack_lists(struct paper *p) {
    for (int i = 0; i < p->week->packing_count; i++) {
        const struct kw_run_packing *packing = &p->week->packings[i];
        const struct kw_run_kit *k = kw_run_kit_of(p->week, packing->kit);
        if (!k || k->boxed == 0) continue;
        struct paper_head head = {
            .kind = "Pick and pack list",
            .job = "",
            .part = packing->kit->title ? packing->kit->title : packing->kit->name,
            .revision = packing->kit->revision,
            .count = kw_format(p->week->arena, "%d box%s", k->boxed, k->boxed > 1 ? "es" : ""),
            .caution = CAUTION_PACK,
            .sign_boxes = true};
        paper_begin(p, head);
        double y = parts(p, k, head, p->top);
        bags(p, packing->kit, head, y);
        for (int c = 0; c < packing->plan.carton_count; c++)
            carton_page(p, packing, c, head);
    }
}
