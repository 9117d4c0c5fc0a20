// SPDX-License-Identifier: Apache-2.0
// Straight tube and bar, and the stick that every piece is cut from.
#include "check/inside.h"

#include <string.h>

#define CLOSE   1e-6
#define DEGREES (180 / KW_PI)

/// mm2 of metal across the stick; the rounding of corners is left out.
static double section(const struct kw_stock *s) {
    double w = s->width, h = s->height, t = s->thickness;
    switch (s->kind) {
    case KW_ROUND_TUBE:
        return KW_PI * t * (w - t);
    case KW_SQUARE_TUBE:
        return 2 * t * (w + h - 2 * t);
    case KW_ROUND_ROD:
        return KW_PI / 4 * w * w;
    case KW_ANGLE_BAR:
        return t * (w + h - t);
    default:
        return w * h;
    }
}

/// The kit file counts turns looking at the start; the engine looks at the end that is cut.
static struct kw_tube_end end_of(const struct kw_end *e, bool start) {
    if (e->fit.is)
        return (struct kw_tube_end){.cope = {e->fit.onto, e->fit.angle, e->fit.offset},
                                    .miter = e->fit.miter,
                                    .turn = e->fit.turn};
    return (struct kw_tube_end){.cope = {e->cope.diameter, e->cope.angle, e->cope.offset},
                                .miter = e->miter,
                                .turn = start ? e->turn : -e->turn};
}

/// Copes that can't be cut, at their own places.
static void check_ends(struct checking *c, struct kw_examined *e) {
    const struct kw_part *part = e->part;
    const struct kw_end *ends[2] = {&part->ends.start, &part->ends.end};
    struct kw_tube_size size = {part->stock.width, part->stock.thickness};
    for (int i = 0; i < 2; i++) {
        e->ends[i] = end_of(ends[i], i == 0);
        if (!part->ends.node) e->ends[i].miter = part->miter[i];
        struct kw_tube_problems problems = {.arena = c->arena};
        if (e->ends[i].cope.onto == 0 || kw_tube_cope_check(&e->ends[i].cope, size, &problems))
            continue;
        check_end_problem(c, e, ends[i]->cope.node, &problems.v[0]);
        e->ends[i].cope.onto = 0; // no template of it
    }
}

bool check_is_bent(const struct kw_part *part) {
    return part->shape.count > 0 || part->points.count > 0 || part->bend_table.count > 0;
}

static void straight_it(struct checking *c, struct kw_examined *e) {
    const struct kw_stock *s = &e->part->stock;
    struct kw_tube_problems problems = {.arena = c->arena};
    e->tube = KW_NEW(c->arena, struct kw_tube_table);
    double length = e->part->length + e->part->longer[0] + e->part->longer[1];
    if (!(length > 0)) { // what it is fitted between lies the wrong way round
        kw_find(c->findings, check_finding(c, "cope-meets-nothing", e->part,
                                           check_place(e->part->node, "length"), length, 0));
        length = e->part->length;
    }
    if (!kw_tube_table_from_rows(c->arena, NULL, 0, length, e->tube, &problems)) e->tube = NULL;
    check_tube_problems(c, e, &problems);
    e->cut_length = e->mass = length;
    double w = s->width, h = s->height > 0 ? s->height : s->width;
    e->box = (struct kw_box3){{0, -w / 2, -h / 2}, {length, w / 2, h / 2}};
    check_tell_length(c, e);
}

static void check_rack(struct checking *c, const struct kw_examined *e) {
    double longest = 0;
    for (int i = 0; i < c->shop->sticks.count; i++) {
        const struct kw_rack_item *item = KW_ITEM(struct kw_rack_item, c->shop->sticks, i);
        if (!kw_stock_same(&item->stock, &e->part->stock)) continue;
        if (item->on_hand > 0 || item->can_buy) longest = fmax(longest, item->length);
    }
    double most = longest - c->shop->saw.trim;
    if (e->cut_length <= most + CLOSE && longest > 0) return;
    struct kw_finding f = check_finding(c, "no-stick", e->part, check_place(e->part->node, "from"),
                                        e->cut_length, fmax(most, 0));
    f.says = longest > 0 ? kw_format(c->arena, "%s needs %s of %s, the longest stick gives %s",
                                     e->part->name, check_length(c, e->cut_length),
                                     e->part->stock.text, check_length(c, most))
                         : kw_format(c->arena, "no stick of %s is on the rack or can be bought",
                                     e->part->stock.text);
    kw_find(c->findings, f);
}

void check_stick(struct checking *c, struct kw_examined *e) {
    if (check_is_bent(e->part))
        check_bent_tube(c, e);
    else
        straight_it(c, e);
    check_ends(c, e);
    double density = kw_shop_material(c->shop, &e->part->stock)->density;
    e->mass *= section(&e->part->stock) * density * 1e-9;
    if (!c->shop->saw.node && !(c->shop->saw.kerf > 0))
        kw_find(c->findings,
                check_finding(c, "no-saw", e->part, check_place(e->part->node, "from"), 0, 0));
    if (e->cut_length > 0) check_rack(c, e);
}
