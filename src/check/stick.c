// SPDX-License-Identifier: Apache-2.0
// Bent tube, straight tube and bar: the bend table, the bender, the stick it is cut from.
#include "check/inside.h"
#include "shop/learned.h"

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

// ----------------------------------------------------------------------------- to the tube engine

/// Centreline radius that a die gives in this tube: as measured, else its own.
static double die_radius(const struct kw_shop *shop, const struct kw_stock *stock, int die) {
    const struct kw_learned_tube *l = kw_learned_tube_of(shop, stock, die);
    if (l && l->radius_count > 0) return l->radius;
    return KW_ITEM(struct kw_bender_die, shop->bender.dies, die)->radius;
}

/// `asked`: a die's own radius, 0 for the first that takes the tube.
static double bend_radius(const struct kw_shop *shop, const struct kw_stock *stock, double asked) {
    double od = stock->width;
    for (int i = 0; i < shop->bender.dies.count; i++) {
        const struct kw_bender_die *d = KW_ITEM(struct kw_bender_die, shop->bender.dies, i);
        if (fabs(d->od - od) > KW_TUBE_DIE_MATCH_MM) continue;
        if (!(asked > 0) || fabs(d->radius - asked) <= KW_TUBE_DIE_MATCH_MM)
            return die_radius(shop, stock, i);
    }
    return asked > 0 ? asked : 3 * od; // none: told as tube-od-no-die, drawn as is usual
}

static struct kw_tube_step *steps_of(struct kw_arena *a, const struct kw_part *part) {
    int n = part->shape.count;
    struct kw_tube_step *v = KW_NEW_ARRAY(a, struct kw_tube_step, n + 1);
    for (int i = 0; i < n; i++) {
        const struct kw_shape_step *s = KW_ITEM(struct kw_shape_step, part->shape, i);
        if (strcmp(s->word, "turn") == 0) {
            v[i] = (struct kw_tube_step){.kind = KW_TUBE_TURN, .angle = s->value};
        } else {
            v[i] = (struct kw_tube_step){.kind = KW_TUBE_STRAIGHT, .length = s->value};
            kw_tube_way(s->word, &v[i].towards);
        }
    }
    return v;
}

static struct kw_tube_bender bender_of(struct kw_arena *a, const struct kw_shop *shop,
                                       const struct kw_stock *stock) {
    const struct kw_bender *b = &shop->bender;
    struct kw_tube_die *dies = KW_NEW_ARRAY(a, struct kw_tube_die, b->dies.count + 1);
    for (int i = 0; i < b->dies.count; i++) {
        const struct kw_bender_die *d = KW_ITEM(struct kw_bender_die, b->dies, i);
        dies[i] = (struct kw_tube_die){d->od, die_radius(shop, stock, i), d->most_angle, d->clamp,
                                       d->lead};
    }
    return (struct kw_tube_bender){dies, b->dies.count, b->most_wall, b->turns_by_itself != 0};
}

/// Which end of the first or last straight the metal is missing at, and how much.
static bool table_of(struct checking *c, struct kw_examined *e, struct kw_tube_problems *problems) {
    const struct kw_part *part = e->part;
    double od = part->stock.width;
    double radius = bend_radius(c->shop, &part->stock, part->die);
    struct kw_tube_line line;
    e->tube = KW_NEW(c->arena, struct kw_tube_table);
    if (kw_tube_line_from_steps(c->arena, steps_of(c->arena, part), part->shape.count, od, radius,
                                KW_TUBE_OUTSIDE, &line, problems) &&
        kw_tube_table(c->arena, &line, e->tube, problems))
        return true;
    e->tube = NULL;
    return false;
}

// ----------------------------------------------------------------------------- problems

struct told {
    const char *rule;
    char unit; // 'l' length, 'a' angle, 'n' number
};

static const struct told told_as[KW_TUBE_PROBLEM_KINDS] = {
    [KW_TUBE_STEP_ORDER] = {"tube-step-order", 'n'},
    [KW_TUBE_TURN_DISAGREES] = {"tube-turn-disagrees", 'a'},
    [KW_TUBE_ZERO_LENGTH_STRAIGHT] = {"tube-zero-length-straight", 'l'},
    [KW_TUBE_DOUBLES_BACK] = {"tube-doubles-back", 'a'},
    [KW_TUBE_RADIUS_DOES_NOT_FIT] = {"tube-radius-does-not-fit", 'l'},
    [KW_TUBE_TOO_FEW_POINTS] = {"tube-too-few-points", 'n'},
    [KW_TUBE_OUT_OF_RANGE] = {"tube-out-of-range", 'n'},
    [KW_TUBE_WALL_THICKER_THAN_HALF] = {"tube-wall-thicker-than-half", 'l'},
    [KW_TUBE_OD_NO_DIE] = {"tube-od-no-die", 'l'},
    [KW_TUBE_RADIUS_NO_DIE] = {"tube-radius-no-die", 'l'},
    [KW_TUBE_ANGLE_BEYOND_DIE] = {"tube-angle-beyond-die", 'a'},
    [KW_TUBE_WALL_BEYOND] = {"tube-wall-beyond", 'l'},
    [KW_TUBE_STRAIGHT_TOO_SHORT] = {"tube-straight-too-short", 'l'},
    [KW_TUBE_UNDER_THREE_D] = {"tube-under-three-d", 'n'},
    [KW_TUBE_WALL_FACTOR] = {"tube-wall-factor", 'n'},
    [KW_TUBE_TURNED_BY_HAND] = {"tube-turned-by-hand", 'a'},
};

static struct kw_place step_place(const struct kw_part *part, const struct kw_tube_problem *p) {
    if (p->step >= 0 && p->step < part->shape.count)
        return KW_ITEM(struct kw_shape_step, part->shape, p->step)->at;
    // straights and turns alternate in the steps: straight i is step 2 i, bend i is step 2 i + 1
    int step = p->bend >= 0 ? 2 * p->bend + 1 : p->straight >= 0 ? 2 * p->straight : -1;
    bool own = p->kind == KW_TUBE_RADIUS_NO_DIE && part->die > 0;
    if (own) return check_place(part->node, "die");
    if (step >= 0 && step < part->shape.count)
        return KW_ITEM(struct kw_shape_step, part->shape, step)->at;
    return check_place(part->node, "from");
}

static const char *value_text(const struct checking *c, char unit, double v) {
    if (unit == 'l') return check_length(c, v);
    char number[KW_NUMBER_SIZE];
    return kw_format(c->arena, unit == 'a' ? "%s deg" : "%s",
                     kw_number(number, unit == 'a' ? v * DEGREES : v, 2));
}

static void tell(struct checking *c, const struct kw_examined *e, const struct kw_tube_problem *p) {
    const struct told *t = &told_as[p->kind];
    double scale = t->unit == 'a' ? DEGREES : 1;
    struct kw_finding f = check_finding(c, t->rule, e->part, step_place(e->part, p),
                                        p->measured * scale, p->limit * scale);
    f.unit = t->unit == 'a' ? "deg" : t->unit == 'l' ? "mm" : "";
    check_at(&f, "tube", p->at.x, p->at.y, p->at.z);
    const char *where = p->bend >= 0       ? kw_format(c->arena, "bend %d of ", p->bend + 1)
                        : p->straight >= 0 ? kw_format(c->arena, "straight %d of ", p->straight + 1)
                                           : "";
    f.says = kw_format(c->arena, "%s%s: %s: %s against %s", where, e->part->name, f.says,
                       value_text(c, t->unit, p->measured), value_text(c, t->unit, p->limit));
    kw_find(c->findings, f);
}

static void tell_trims(struct checking *c, const struct kw_examined *e) {
    double most = fmax(e->trims.start, e->trims.end);
    if (!(most > CLOSE)) return;
    struct kw_finding f =
        check_finding(c, "tube-trim", e->part, check_place(e->part->node, "shape"), most, 0);
    f.says =
        kw_format(c->arena,
                  "%s is bent longer by %s at the start and %s at the end, sawn off "
                  "afterwards",
                  e->part->name, check_length(c, e->trims.start), check_length(c, e->trims.end));
    kw_find(c->findings, f);
}

// ----------------------------------------------------------------------------- bent and straight

/// The angles to set, where coupons of this tube over this die say so.
static void set_as_measured(const struct kw_shop *shop, struct kw_examined *e) {
    for (int i = 0; i < e->tube->count; i++) {
        struct kw_tube_mark *m = &e->marks[i];
        const struct kw_learned_tube *l = kw_learned_tube_of(shop, &e->part->stock, m->die);
        if (l && l->spring.count > 0) m->angle_under_load = kw_spring_set(&l->spring, m->angle);
    }
}

static void bend_it(struct checking *c, struct kw_examined *e) {
    const struct kw_stock *stock = &e->part->stock;
    struct kw_place at = check_place(e->part->node, "shape");
    if (stock->kind != KW_ROUND_TUBE) {
        kw_find(c->findings, check_finding(c, "tube-not-round", e->part, at, 0, 0));
        return;
    }
    struct kw_tube_size size = {stock->width, stock->thickness};
    struct kw_tube_problems problems = {.arena = c->arena};
    if (kw_tube_size_check(size, &problems) && table_of(c, e, &problems)) {
        struct kw_tube_bender bender = bender_of(c->arena, c->shop, stock);
        e->trims = kw_tube_trims_needed(e->tube, size, &bender);
        if (e->tube->count > 0 && !c->shop->bender.node && bender.die_count == 0) {
            kw_find(c->findings, check_finding(c, "no-bender", e->part, at, 0, 0));
        } else {
            kw_tube_check(e->tube, size, &bender, e->trims, &problems);
        }
        double springback = c->shop->bender.springback;
        e->marks = kw_tube_marks(c->arena, e->tube, size, &bender, e->trims,
                                 springback > 0 ? springback : 1);
        set_as_measured(c->shop, e);
        e->cut_length = e->tube->cut_length + e->trims.start + e->trims.end;
        e->mass = e->tube->cut_length;
        e->box = kw_tube_box(e->tube, size.od);
        tell_trims(c, e);
    }
    for (int i = 0; i < problems.count; i++)
        tell(c, e, &problems.v[i]);
}

static void straight_it(struct checking *c, struct kw_examined *e) {
    const struct kw_stock *s = &e->part->stock;
    struct kw_tube_problems problems = {.arena = c->arena};
    e->tube = KW_NEW(c->arena, struct kw_tube_table);
    if (!kw_tube_table_from_rows(c->arena, NULL, 0, e->part->length, e->tube, &problems))
        e->tube = NULL;
    for (int i = 0; i < problems.count; i++)
        tell(c, e, &problems.v[i]);
    e->cut_length = e->mass = e->part->length;
    double w = s->width, h = s->height > 0 ? s->height : s->width;
    e->box = (struct kw_box3){{0, -w / 2, -h / 2}, {e->part->length, w / 2, h / 2}};
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
    if (e->part->shape.count > 0)
        bend_it(c, e);
    else
        straight_it(c, e);
    double density = kw_shop_material(c->shop, &e->part->stock)->density;
    e->mass *= section(&e->part->stock) * density * 1e-9;
    if (!c->shop->saw.node && !(c->shop->saw.kerf > 0))
        kw_find(c->findings,
                check_finding(c, "no-saw", e->part, check_place(e->part->node, "from"), 0, 0));
    if (e->cut_length > 0) check_rack(c, e);
}
