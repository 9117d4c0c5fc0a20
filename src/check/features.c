// SPDX-License-Identifier: Apache-2.0
// What a face holds besides plain holes: dimples, letters and ornaments, tabs bent by hand, hems;
// bends and the grain; bends of drawings that tear for want of a relief.
#include "check/inside.h"

#define CLOSE 1e-6

static struct kw_place hole_key(const struct kw_examined *e, int hole, const char *key) {
    const struct kw_hole *h = KW_ITEM(struct kw_hole, e->part->holes, hole);
    return check_place(h->node, key);
}

static void at_blank(struct kw_finding *f, struct kw_vec2 p) {
    check_at(f, "blank", p.x, p.y, 0);
}

// ----------------------------------------------------------------------------- letters

static void check_lettering(struct checking *c, const struct kw_examined *e,
                            const struct kw_lettering *l, double t, double kerf) {
    const struct kw_hole *h = KW_ITEM(struct kw_hole, e->part->holes, l->hole);
    const char *what = h->letters ? h->letters : h->drawing;
    double stroke = kw_rule_limit(c->shop, "letter-stroke") * kerf;
    double web = fmax(kw_rule_limit(c->shop, "letter-web") * t, 2 * kerf);
    struct kw_place where = hole_key(e, l->hole, "height");
    if (kerf > 0 && l->least_stroke < stroke - CLOSE) {
        struct kw_finding f =
            check_finding(c, "letter-stroke", e->part, where, l->least_stroke, stroke);
        f.says = kw_format(c->arena, "the thinnest stroke of \"%s\" is %s, the torch needs %s",
                           what, check_length(c, l->least_stroke), check_length(c, stroke));
        kw_find(c->findings, f);
    }
    if (l->least_web < web - CLOSE) {
        struct kw_finding f = check_finding(c, "letter-web", e->part, where, l->least_web, web);
        f.says = kw_format(c->arena, "the thinnest metal in \"%s\" is %s, %s is the least", what,
                           check_length(c, l->least_web), check_length(c, web));
        kw_find(c->findings, f);
    }
}

// ----------------------------------------------------------------------------- dimples

/// How much longer the hole's edge becomes: a flat ring from the pre-hole to the flare is folded to
/// a cone of the die's height (a collar when the ring is no wider than that).
double kw_check_flare_stretch(const struct kw_dimple_die *d) {
    double ring = (d->flare - d->pre_hole) / 2;
    double rise = fmin(1, d->height / ring);
    double edge = d->flare / 2 - ring * sqrt(1 - rise * rise);
    return 2 * edge / d->pre_hole - 1;
}

static void dimple(struct checking *c, const struct kw_examined *e, const struct kw_dimple_spot *s,
                   const char *rule, double measured, double limit, const char *says) {
    struct kw_finding f =
        check_finding(c, rule, e->part, hole_key(e, s->hole, "dimple"), measured, limit);
    at_blank(&f, s->at);
    f.says = says;
    kw_find(c->findings, f);
}

static void check_dimple_press(struct checking *c, const struct kw_examined *e,
                               const struct kw_dimple_spot *s, const struct kw_dimple_die *d,
                               double t) {
    const struct kw_shop_press *p = &c->shop->shop_press;
    if (!p->node && !(p->rating > 0)) {
        dimple(c, e, s, "no-shop-press", 0, 0, "the shop has no press to flare a dimple on");
        return;
    }
    if (t > d->most_thickness + CLOSE) {
        dimple(c, e, s, "dimple-thick", t, d->most_thickness,
               kw_format(c->arena, "%s is too thick for dimple die %s, which takes %s",
                         check_length(c, t), d->name, check_length(c, d->most_thickness)));
    }
    double force = d->force * fmin(1, t / d->most_thickness) / 1000, rating = p->rating / 1000;
    double limit = kw_rule_limit(c->shop, "dimple-force") * rating;
    const char *says =
        kw_format(c->arena, "dimple die %s needs %s in this sheet, the press gives %s", d->name,
                  check_force(c, force * 1000), check_force(c, p->rating));
    if (force > limit + CLOSE) {
        dimple(c, e, s, "dimple-force", force, limit, says);
    } else if (force > 0.8 * limit + CLOSE) {
        dimple(c, e, s, "dimple-force", force, 0.8 * limit, says);
        c->findings->v[c->findings->count - 1].level = KW_RISK;
    }
}

static void check_dimple_reach(struct checking *c, const struct kw_examined *e,
                               const struct kw_dimple_spot *s) {
    const struct kw_shop_press *p = &c->shop->shop_press;
    if (!(p->throat > 0)) return;
    struct kw_box2 box = kw_path_box(&e->body->blank.outer);
    double reach = fmin(fmin(s->at.x - box.min.x, box.max.x - s->at.x),
                        fmin(s->at.y - box.min.y, box.max.y - s->at.y));
    if (reach > p->throat + CLOSE)
        dimple(c, e, s, "dimple-reach", reach, p->throat,
               kw_format(c->arena,
                         "a dimple of %s lies %s from the nearest edge, the press reaches %s",
                         e->part->name, check_length(c, reach), check_length(c, p->throat)));
}

/// Least distance from the dimple's middle to whatever else is in the blank, and what that is.
static double room_round(const struct kw_examined *e, const struct kw_dimple_spot *s, double clear,
                         const char **beside) {
    double room = kw_path_distance(&e->body->blank.outer, s->at);
    *beside = "the edge";
    for (int i = 0; i < e->body->blank.hole_count; i++) {
        const struct kw_path *p = &e->body->blank.holes[i];
        if (kw_path_contains(p, s->at)) continue; // its own pre-hole
        double d = kw_path_distance(p, s->at);
        if (d < room) room = d, *beside = "another hole";
    }
    for (int i = 0; i < e->body->bend_count; i++) {
        const struct kw_bend *b = &e->body->bends[i];
        double d =
            kw_segment_distance(kw_segment_make(b->from, b->to, 0), s->at) - b->allowance / 2;
        if (d < room) room = d, *beside = "a bend";
    }
    for (int i = 0; i < e->body->dimple_count; i++) {
        const struct kw_dimple_spot *o = &e->body->dimples[i];
        double d = kw_length2(kw_sub2(o->at, s->at)) - clear / 2;
        if (o != s && d < room) room = d, *beside = "another dimple";
    }
    return room;
}

static void check_dimples(struct checking *c, const struct kw_examined *e, double t) {
    for (int i = 0; i < e->body->dimple_count; i++) {
        const struct kw_dimple_spot *s = &e->body->dimples[i];
        const struct kw_dimple_die *d = KW_ITEM(struct kw_dimple_die, c->shop->dimple_dies, s->die);
        bool first = i == 0 || e->body->dimples[i - 1].hole != s->hole;
        const char *beside;
        double clear = kw_dimple_clear(d, t);
        double room = room_round(e, s, clear, &beside);
        if (room < clear / 2 - CLOSE)
            dimple(c, e, s, "dimple-room", room, clear / 2,
                   kw_format(c->arena, "a dimple of %s has %s to %s, its die needs %s",
                             e->part->name, check_length(c, room), beside,
                             check_length(c, clear / 2)));
        // A bent part goes in otherwise: dimple_order.c.
        if (kw_check_flared_after(e, i) == 0) check_dimple_reach(c, e, s);
        if (!first) continue; // the rest is the same for all of a row
        check_dimple_press(c, e, s, d, t);
        double stretch = kw_check_flare_stretch(d), most = kw_rule_limit(c->shop, "dimple-stretch");
        if (stretch > most + CLOSE)
            dimple(c, e, s, "dimple-stretch", stretch, most,
                   kw_format(c->arena, "dimple die %s stretches the hole's edge by %.0f %%",
                             d->name, 100 * stretch));
    }
}

// ----------------------------------------------------------------------------- hems, hand tabs

static struct kw_place flange_key(const struct kw_examined *e, const struct kw_bend *b,
                                  const char *key) {
    if (b->flange < 0) return b->at;
    return check_place(KW_ITEM(struct kw_flange, e->part->bends, b->flange)->node, key);
}

static void check_hand_tab(struct checking *c, const struct kw_examined *e, const struct kw_bend *b,
                           double t) {
    const struct kw_material *m = kw_shop_material(c->shop, &e->part->stock);
    double force = kw_hand_force(m->yield, b->length - b->hole_gap, t, b->legs[1]);
    double most = kw_rule_limit(c->shop, "hand-tab-stiff");
    double least = kw_rule_limit(c->shop, "hand-tab-weak");
    bool stiff = force > most + CLOSE, weak = force < least - CLOSE;
    if (!stiff && !weak) return;
    const char *rule = stiff ? "hand-tab-stiff" : "hand-tab-weak";
    struct kw_finding f =
        check_finding(c, rule, e->part, flange_key(e, b, "by_hand"), force, stiff ? most : least);
    at_blank(&f, kw_lerp2(b->from, b->to, 0.5));
    f.says = kw_format(
        c->arena,
        stiff ? "tab %s of %s takes %s at its edge to bend by hand, %s is enough"
              : "tab %s of %s bends at %s at its edge: it won't hold, %s is the least",
        b->id, e->part->name, check_force(c, force), check_force(c, stiff ? most : least));
    kw_find(c->findings, f);
}

// ----------------------------------------------------------------------------- grain

/// Bends that are too tight to lie along the grain: the part is laid across it if one direction
/// does for all of them.
static void check_grain(struct checking *c, struct kw_examined *e, double t) {
    const struct kw_material *m = kw_shop_material(c->shop, &e->part->stock);
    double least = m->least_radius_along * t;
    const struct kw_bend *first = NULL, *across = NULL;
    for (int i = 0; i < e->body->bend_count; i++) {
        const struct kw_bend *b = &e->body->bends[i];
        if (b->kind == KW_BEND_HAND || b->radius >= least - CLOSE) continue;
        if (b->kind == KW_BEND_HEM) continue; // flattened hems are for soft sheet only, either way
        if (!first) first = b;
        struct kw_vec2 u = kw_sub2(first->to, first->from), v = kw_sub2(b->to, b->from);
        double lean = fabs(kw_cross2(u, v)) / (kw_length2(u) * kw_length2(v));
        if (lean > 0.5) across = b; // more than 30 degrees apart
    }
    if (!first) return;
    struct kw_vec2 d = kw_sub2(first->to, first->from);
    struct kw_finding f = check_finding(c, "bend-grain", e->part, flange_key(e, first, "along"),
                                        first->radius, least);
    at_blank(&f, kw_lerp2(first->from, first->to, 0.5));
    if (across) {
        f.level = KW_RISK;
        f.says = kw_format(c->arena,
                           "bends %s and %s of %s run across each other, and both are too tight to "
                           "lie along the grain",
                           first->id, across->id, e->part->name);
    } else {
        e->has_grain = true;
        e->grain = atan2(d.y, d.x) + KW_PI / 2;
        f.says = kw_format(c->arena,
                           "bend %s of %s is too tight to lie along the grain: the part is nested "
                           "across it",
                           first->id, e->part->name);
    }
    kw_find(c->findings, f);
}

// ----------------------------------------------------------------------------- relief

/// An inside corner of a drawn blank within the bend zone, or nearer to it than the notch that is
/// made for described flanges reaches: the metal tears there.
static void check_relief(struct checking *c, const struct kw_examined *e, const struct kw_bend *b,
                         double t) {
    const struct kw_path *p = &e->body->blank.outer;
    struct kw_vec2 d = kw_sub2(b->to, b->from), u = kw_scale2(d, 1 / kw_length2(d));
    double zone = b->allowance / 2 + t / 2;
    for (int i = 0; i < p->count; i++) {
        struct kw_vec2 q = kw_v2(p->v[i].x, p->v[i].y), from = kw_sub2(q, b->from);
        double along = kw_dot2(from, u), off = fabs(kw_cross2(u, from));
        bool at_end = fabs(along) < 2 * t || fabs(along - b->length) < 2 * t;
        if (!at_end || off > zone + CLOSE) continue;
        struct kw_segment in = kw_path_segment(p, (i + p->count - 1) % p->count);
        struct kw_segment out = kw_path_segment(p, i);
        struct kw_vec2 v = kw_segment_direction(in, 1), w = kw_segment_direction(out, 0);
        if (!(kw_cross2(v, w) < -0.3)) continue; // no inside corner
        struct kw_finding f = check_finding(c, "bend-relief", e->part, b->at, off, zone);
        at_blank(&f, q);
        f.says = kw_format(
            c->arena, "bend %s of %s ends in an inside corner without a relief: it tears there",
            b->id, e->part->name);
        kw_find(c->findings, f);
        return;
    }
}

/// Etched marks on a table that can't etch.
static void check_marks(struct checking *c, const struct kw_examined *e) {
    int n = e->part->marks.count;
    if (n == 0 || c->shop->marking.way == KW_MARK_ETCH) return;
    struct kw_finding f =
        check_finding(c, "marks-by-hand", e->part, check_place(e->part->node, "marks"), n, 0);
    f.says = kw_format(c->arena, "%d mark%s of %s: the table can't etch them", n, n == 1 ? "" : "s",
                       e->part->name);
    kw_find(c->findings, f);
}

void check_features(struct checking *c, struct kw_examined *e, double kerf) {
    double t = e->body->thickness;
    check_marks(c, e);
    for (int i = 0; i < e->body->lettering_count; i++)
        check_lettering(c, e, &e->body->letterings[i], t, kerf);
    check_dimples(c, e, t);
    for (int i = 0; i < e->body->bend_count; i++) {
        const struct kw_bend *b = &e->body->bends[i];
        if (b->kind == KW_BEND_HAND) check_hand_tab(c, e, b, t);
        if (b->drawn >= 0) check_relief(c, e, b, t);
    }
    check_grain(c, e, t);
}
