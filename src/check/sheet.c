// SPDX-License-Identifier: Apache-2.0
// A sheet part against rack, table and torch: size, holes, webs, corners.
#include "check/inside.h"

#include <string.h>

#define CLOSE   1e-6   // mm: what is exactly on its limit passes
#define ROUNDED 0.0127 // mm: tables of bolt holes are rounded to 0.001 in (0.281 for 9/32)

struct torch {
    double t, kerf;
    const struct kw_cut_entry *cut; // NULL: no cut rule
};

// ----------------------------------------------------------------------------- stock

static bool sheet_takes(const struct kw_shop *shop, const struct kw_rack_item *item, double l,
                        double w) {
    double margin = 2 * shop->table.margin;
    double sl = fmin(item->length, shop->table.length > 0 ? shop->table.length : item->length);
    double sw = fmin(item->width, shop->table.width > 0 ? shop->table.width : item->width);
    sl -= margin - CLOSE;
    sw -= margin - CLOSE;
    return (l <= sl && w <= sw) || (w <= sl && l <= sw);
}

static void check_rack(struct checking *c, const struct kw_examined *e, struct kw_box2 box) {
    const struct kw_shop *shop = c->shop;
    double l = box.max.x - box.min.x, w = box.max.y - box.min.y;
    const struct kw_rack_item *largest = NULL;
    struct kw_place at = check_place(e->part->node, "from");
    bool taken = false;
    for (int i = 0; i < shop->sheets.count; i++) {
        const struct kw_rack_item *item = KW_ITEM(struct kw_rack_item, shop->sheets, i);
        if (!kw_stock_same(&item->stock, &e->part->stock)) continue;
        if (!(item->on_hand > 0) && !item->can_buy) continue;
        if (!largest || item->length * item->width > largest->length * largest->width)
            largest = item;
        taken = taken || sheet_takes(shop, item, l, w);
    }
    if (!largest) {
        struct kw_finding f = check_finding(c, "no-sheet", e->part, at, 0, 0);
        f.says = kw_format(c->arena, "no sheet of %s is on the rack or can be bought",
                           e->part->stock.text);
        kw_find(c->findings, f);
    } else if (!taken) {
        struct kw_finding f =
            check_finding(c, "blank-too-large", e->part, at, fmax(l, w) + 2 * shop->table.margin,
                          fmax(largest->length, largest->width));
        check_at(&f, "blank", l / 2, w / 2, 0);
        f.says = kw_format(c->arena,
                           "the blank of %s is %s x %s; the largest sheet is %s x %s with a margin "
                           "of %s",
                           e->part->name, check_length(c, l), check_length(c, w),
                           check_length(c, largest->length), check_length(c, largest->width),
                           check_length(c, shop->table.margin));
        kw_find(c->findings, f);
    }
}

static void check_feed(struct checking *c, const struct kw_examined *e,
                       const struct kw_cut_entry *cut) {
    double most = c->shop->table.most_feed;
    if (!(most > 0) || !(cut->feed > most * (1 + CLOSE))) return;
    struct kw_finding f = check_finding(c, "feed-over-table", e->part,
                                        check_place(cut->node, "feed"), cut->feed, most);
    f.says = kw_format(c->arena, "%s is cut from %s at %s a minute, the table does no more than %s",
                       e->part->name, e->part->stock.text, check_length(c, cut->feed * 60),
                       check_length(c, most * 60));
    kw_find(c->findings, f);
}

static struct torch check_table(struct checking *c, const struct kw_examined *e) {
    struct torch torch = {e->part->stock.thickness, 0, kw_shop_cut_rule(c->shop, &e->part->stock)};
    struct kw_place at = check_place(e->part->node, "from");
    if (torch.cut) {
        torch.kerf = torch.cut->kerf;
        check_feed(c, e, torch.cut);
    } else if (!c->shop->table.node && c->shop->table.rules.count == 0) {
        kw_find(c->findings, check_finding(c, "no-table", e->part, at, 0, 0));
    } else {
        struct kw_finding f = check_finding(c, "no-cut-rule", e->part, at, torch.t, 0);
        f.says = kw_format(c->arena, "there is no cut rule for %s", e->part->stock.text);
        kw_find(c->findings, f);
    }
    return torch;
}

// ----------------------------------------------------------------------------- holes

const struct kw_hole *check_described(const struct kw_examined *e, const struct kw_path *p) {
    int index = p->v[0].tag - 1;
    bool own = index >= 0 && index < e->part->holes.count;
    return own ? KW_ITEM(struct kw_hole, e->part->holes, index) : NULL;
}

/// Whether a hole of the blank is one of the openings of letters or an ornament.
static bool is_lettering(const struct kw_examined *e, const struct kw_path *p) {
    const struct kw_hole *h = check_described(e, p);
    return h && (h->letters || h->drawing);
}

static struct kw_place hole_place(const struct kw_examined *e, const struct kw_path *p,
                                  const char *key) {
    const struct kw_hole *h = check_described(e, p);
    return h ? check_place(h->node, key) : check_place(e->part->node, "flat");
}

static bool is_circle(const struct kw_path *p) {
    for (int i = 0; i < p->count; i++) {
        struct kw_segment s = kw_path_segment(p, i), first = kw_path_segment(p, 0);
        if (!(s.radius > 0) || fabs(s.radius - first.radius) > 1e-3) return false;
        if (kw_length2(kw_sub2(s.centre, first.centre)) > 1e-3) return false;
    }
    return p->count > 0;
}

/// Least width of a hole: of a described one as written, of a drawn one the diameter or the smaller
/// side of its box (right for slots along x or y and cut-outs; others come out wider).
static double least_width(const struct kw_examined *e, const struct kw_path *p, bool *round) {
    const struct kw_hole *h = check_described(e, p);
    *round = h ? h->size > 0 && h->slot <= 0 : is_circle(p);
    if (h && h->wide > 0) return fmin(h->wide, h->tall);
    if (h && h->size > 0) return h->neck > 0 ? h->neck : h->size;
    struct kw_box2 b = kw_path_box(p);
    return fmin(b.max.x - b.min.x, b.max.y - b.min.y);
}

static void check_hole(struct checking *c, const struct kw_examined *e, const struct torch *torch,
                       const struct kw_path *p) {
    bool round;
    double width = least_width(e, p, &round);
    if (is_lettering(e, p)) return; // by their thinnest stroke
    struct kw_box2 box = kw_path_box(p);
    struct kw_vec2 at = kw_lerp2(box.min, box.max, 0.5);
    const struct kw_hole *h = check_described(e, p);
    struct kw_place where = hole_place(e, p, h && h->wide > 0 ? "wide" : "size");
    double kerf = kw_rule_limit(c->shop, "kerf-wider-than-slot") * torch->kerf;
    double least = fmax(fmax(kw_rule_limit(c->shop, "hole-small") * torch->t, 3 * torch->kerf),
                        KW_MM_PER_IN * 3 / 16);
    if (torch->cut && torch->cut->least_hole > 0) least = torch->cut->least_hole;
    struct kw_finding f;
    if (torch->cut && !(width > kerf + CLOSE)) {
        f = check_finding(c, "kerf-wider-than-slot", e->part, where, width, kerf);
        f.says = kw_format(c->arena, "a hole of %s is %s wide, the kerf takes %s", e->part->name,
                           check_length(c, width), check_length(c, kerf));
    } else if (round && width < least - ROUNDED) {
        f = check_finding(c, "hole-small", e->part, where, width, least);
        f.says = kw_format(c->arena, "a hole of %s is %s, the least that cuts well is %s",
                           e->part->name, check_length(c, width), check_length(c, least));
    } else {
        return;
    }
    check_at(&f, "blank", at.x, at.y, 0);
    kw_find(c->findings, f);
}

/// Once a described hole or drawn hole: rows of like holes give one finding, the worst.
static void check_webs(struct checking *c, const struct kw_examined *e, const struct torch *torch) {
    const struct kw_region *blank = &e->body->blank;
    double least = fmax(kw_rule_limit(c->shop, "web-thin") * torch->t, 2 * torch->kerf);
    for (int i = 0; i < blank->hole_count; i++) {
        const struct kw_path *p = &blank->holes[i];
        if (kw_body_is_slit(e->body, p)) continue; // its webs are what the tab asks for
        double web = kw_path_gap(p, &blank->outer);
        const char *beside = "the edge";
        for (int k = 0; k < i; k++) {
            if (is_lettering(e, p) && blank->holes[k].v[0].tag == p->v[0].tag)
                continue; // told of all
            double gap = kw_path_gap(p, &blank->holes[k]);
            if (gap < web) web = gap, beside = "another hole";
        }
        if (!(web < least - CLOSE)) continue;
        struct kw_box2 box = kw_path_box(p);
        struct kw_finding f =
            check_finding(c, "web-thin", e->part, hole_place(e, p, "from_left"), web, least);
        check_at(&f, "blank", (box.min.x + box.max.x) / 2, (box.min.y + box.max.y) / 2, 0);
        f.says = kw_format(c->arena,
                           "between a hole of %s and %s only %s of metal is left, %s is "
                           "the least",
                           e->part->name, beside, check_length(c, web), check_length(c, least));
        kw_find(c->findings, f);
    }
}

// ----------------------------------------------------------------------------- corners, size

/// Sharp corners that turn into the metal: of holes and, where drawn, of the outline (the notches
/// that are made here for bends are left out).
static int sharp_corners(const struct kw_path *p, struct kw_vec2 *first) {
    int n = 0;
    for (int i = 0; i < p->count; i++) {
        struct kw_segment in = kw_path_segment(p, (i + p->count - 1) % p->count);
        struct kw_segment out = kw_path_segment(p, i);
        struct kw_vec2 u = kw_segment_direction(in, 1), v = kw_segment_direction(out, 0);
        if (!(kw_cross2(u, v) < -0.17)) continue; // right turns sharper than 10 degrees
        if (n++ == 0) *first = out.a;
    }
    return n;
}

/// The outline as drawn, or as told corner by corner, before flanges; blank frame. Empty: a base by
/// long and wide, which has no inside corners.
static struct kw_path drawn_outline(struct kw_arena *a, const struct kw_examined *e) {
    struct kw_path p = e->part->base.outline;
    if (e->part->flat) p = kw_path_oriented(a, &e->part->drawing.outer, true);
    if (p.count == 0 && e->part->base.points.count > 0) return e->body->blank.outer;
    return kw_path_moved(a, &p, e->body->faces[0].flat);
}

static void check_corners(struct checking *c, const struct kw_examined *e,
                          const struct torch *torch) {
    const struct kw_region *blank = &e->body->blank;
    struct kw_vec2 at = {0, 0}, other;
    struct kw_path drawn = drawn_outline(c->arena, e);
    int n = sharp_corners(&drawn, &at);
    struct kw_place where = check_place(e->part->node, e->part->flat ? "flat" : "base");
    for (int i = 0; i < blank->hole_count; i++) {
        if (is_lettering(e, &blank->holes[i])) continue; // their corners are meant
        int tag = blank->holes[i].v[0].tag - KW_SLOT_TAG;
        if (tag >= 0 && tag < e->part->slots.count) continue; // tabs are clipped for them
        int more = sharp_corners(&blank->holes[i], n ? &other : &at);
        if (n == 0 && more > 0) where = hole_place(e, &blank->holes[i], "wide");
        n += more;
    }
    if (n == 0 || !torch->cut) return;
    double radius = kw_rule_limit(c->shop, "inside-corner-sharp") * torch->kerf;
    struct kw_finding f = check_finding(c, "inside-corner-sharp", e->part, where, 0, radius);
    check_at(&f, "blank", at.x, at.y, 0);
    f.says =
        kw_format(c->arena, "%d sharp inside corner%s of %s come%s out with a radius of %s", n,
                  n == 1 ? "" : "s", e->part->name, n == 1 ? "s" : "", check_length(c, radius));
    kw_find(c->findings, f);
}

static void check_small(struct checking *c, const struct kw_examined *e, struct kw_box2 box) {
    double longest = fmax(box.max.x - box.min.x, box.max.y - box.min.y);
    double least = kw_rule_limit(c->shop, "part-small");
    if (!(longest < least - CLOSE)) return;
    struct kw_finding f =
        check_finding(c, "part-small", e->part, check_place(e->part->node, "base"), longest, least);
    check_at(&f, "blank", (box.min.x + box.max.x) / 2, (box.min.y + box.max.y) / 2, 0);
    f.says = kw_format(c->arena, "%s is %s long: under %s it can tip or fall between the slats",
                       e->part->name, check_length(c, longest), check_length(c, least));
    kw_find(c->findings, f);
}

void check_sheet(struct checking *c, struct kw_examined *e) {
    check_make(c, e);
    struct torch torch = check_table(c, e);
    if (!e->body) return;
    struct kw_box2 box = kw_path_box(&e->body->blank.outer);
    e->mass = e->body->mass;
    e->box = e->body->shipped;
    check_rack(c, e, box);
    for (int i = 0; i < e->body->blank.hole_count; i++)
        if (!kw_body_is_slit(e->body, &e->body->blank.holes[i]))
            check_hole(c, e, &torch, &e->body->blank.holes[i]);
    check_webs(c, e, &torch);
    check_corners(c, e, &torch);
    check_small(c, e, box);
    check_features(c, e, torch.kerf);
    if (e->body->bend_count == 0) return;
    check_bends(c, e);
    check_holes_near_bends(c, e);
}
