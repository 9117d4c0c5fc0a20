// SPDX-License-Identifier: Apache-2.0
// From a part to its body: sizes of bends, the steps in their order, legs, findings, the other
// hand.
#include "shape/stand.h"

#include <stdio.h>
#include <string.h>

// ----------------------------------------------------------------------------- findings

struct kw_place shape_place(const struct kw_node *node, const char *key) {
    return node ? kw_place_of(node, key) : (struct kw_place){0};
}

const char *shape_length(const struct build *b, double mm) {
    char buf[48];
    return kw_format(b->arena, "%s", kw_length_text(buf, mm, (enum kw_length_unit)b->shop->units));
}

void shape_find(struct build *b, enum kw_level level, const char *rule, struct kw_place where,
                double measured, double limit, const char *says, const char *fix) {
    struct kw_finding f = {.level = level,
                           .rule = rule,
                           .kit = b->kit ? b->kit->name : NULL,
                           .part = b->part->name,
                           .where = where,
                           .frame = "",
                           .measured = measured,
                           .limit = limit,
                           .unit = "mm",
                           .says = says,
                           .fix = fix};
    kw_find(b->findings, f);
    if (level == KW_STOP) b->stopped = true;
}

struct kw_finding *shape_find_at(struct build *b, enum kw_level level, const char *rule,
                                 struct kw_place where, struct kw_vec2 at, const char *says) {
    shape_find(b, level, rule, where, 0, 0, says, "");
    struct kw_finding *f = &b->findings->v[b->findings->count - 1];
    f->frame = "blank";
    f->unit = "";
    f->at[0] = at.x;
    f->at[1] = at.y;
    return f;
}

// ----------------------------------------------------------------------------- sizes of bends

// As the brake chooses by the chart: 6 t up to 2.7 mm, 8 t to 8 mm, 10 t to 12 mm, 12 t above (air
// bend charts, check-values 3.3); dies from 4 to 24 t count, the nearest by ratio is taken.
static int die_for(const struct kw_press *press, double t) {
    double wanted = t * (t <= 2.7 ? 6 : t <= 8 ? 8 : t <= 12 ? 10 : 12);
    int best = -1;
    double best_off = INFINITY;
    for (int i = 0; i < press->dies.count; i++) {
        double v = KW_ITEM(struct kw_press_tool, press->dies, i)->opening;
        double off = fabs(log(v / wanted));
        if (v < 4 * t - 1e-9 || v > 24 * t + 1e-9 || !(off < best_off - 1e-9)) continue;
        best = i;
        best_off = off;
    }
    return best;
}

static double least_nose(const struct kw_press *press) {
    double least = press->punches.count ? INFINITY : 0;
    for (int i = 0; i < press->punches.count; i++)
        least = fmin(least, KW_ITEM(struct kw_press_tool, press->punches, i)->radius);
    return least;
}

/// The radius that the thickness's own die gives.
static double natural_radius(const struct build *b, int *die) {
    const struct kw_press *press = &b->shop->press;
    *die = die_for(press, b->body->thickness);
    if (*die < 0) return b->body->thickness;
    int family = kw_shop_material(b->shop, &b->part->stock)->family;
    double opening = KW_ITEM(struct kw_press_tool, press->dies, *die)->opening;
    return kw_bend_natural_radius(family, opening, least_nose(press));
}

/// The die whose coupons and table rows hold for a bend: its own, or where the part asks for a
/// radius the one that its thickness calls for, if that gives this radius. -1 none.
static int measured_die(const struct build *b, const struct kw_bend *bend) {
    bool die_made = bend->kind == KW_BEND_PLAIN || bend->kind == KW_BEND_OFFSET;
    if (bend->die >= 0 || !die_made) return bend->die;
    int die;
    double natural = natural_radius(b, &die);
    return kw_bend_die_gives(natural, bend->radius) ? die : -1;
}

void shape_bend_sizes(const struct build *b, struct kw_bend *bend, int index, double angle,
                      double radius) {
    double t = b->body->thickness;
    bend->angle = angle;
    bend->radius = radius;
    bend->die = -1;
    bool chosen = b->tools && b->tools[index].radius > 0;
    if (!(radius > 0) && chosen) {
        bend->die = b->tools[index].die;
        bend->radius = b->tools[index].radius;
    } else if (!(radius > 0)) {
        bend->radius = natural_radius(b, &bend->die);
    }
    bend->k =
        kw_bend_k_of(b->shop, &b->part->stock, measured_die(b, bend), bend->radius, &bend->source);
    bend->allowance = kw_bend_allowance(angle, bend->radius, t, bend->k);
    bend->setback = kw_bend_setback(angle, bend->radius, t);
    bend->deduction = kw_bend_deduction(angle, bend->radius, t, bend->k);
}

// ----------------------------------------------------------------------------- the whole

/// What a segment of the blank's outline belongs to.
static const char *owner(const struct build *b, int tag) {
    int bend = tag - 1000;
    bool side = bend >= 0 && bend < b->body->bend_count;
    return side ? kw_format(b->arena, "the flange of bend %s", b->body->bends[bend].id)
                : "its own edge";
}

/// A blank that overlaps itself, with the place and both sides of it. False when it does not.
static bool blank_overlaps(struct build *b) {
    const struct kw_path *p = &b->body->blank.outer;
    struct kw_vec2 at;
    int s[2];
    if (!kw_path_meets_itself(p, &at, s)) return false;
    const char *one = owner(b, p->v[s[0]].tag), *other = owner(b, p->v[s[1]].tag);
    struct kw_place where = shape_place(b->part->node, b->part->flat ? "flat" : "base");
    int bend = (p->v[s[0]].tag > p->v[s[1]].tag ? p->v[s[0]].tag : p->v[s[1]].tag) - 1000;
    if (bend >= 0 && bend < b->body->bend_count && b->body->bends[bend].at.line > 0)
        where = b->body->bends[bend].at;
    struct kw_finding *f = shape_find_at(
        b, KW_STOP, "blank-overlap", where, at,
        strcmp(one, other) == 0
            ? kw_format(b->arena, "the blank overlaps itself: %s crosses itself", one)
            : kw_format(b->arena, "the blank overlaps itself: %s meets %s", one, other));
    f->fix = "let a flange keep more from its end, taper it, or make it lower";
    return true;
}

/// Faces and blank must be outlines: a flange that runs into another, or into itself, is told here.
static void check_outlines(struct build *b) {
    struct kw_error err = {0};
    struct kw_place at = shape_place(b->part->node, b->part->flat ? "flat" : "base");
    const char *what = "the blank's outline";
    enum kw_status s = kw_path_check(&b->body->blank.outer, at, &err);
    if (s != KW_OK && blank_overlaps(b)) return;
    if (s == KW_OK && !(kw_path_area(&b->body->blank.outer) > 0)) {
        s = KW_GEOMETRY;
        snprintf(err.text, sizeof err.text, "turns inside out");
    }
    for (int i = 0; s == KW_OK && i < b->body->face_count; i++) {
        const struct kw_face *f = &b->body->faces[i];
        what = i == 0 ? "the flat of the base is too small for the bends on it: its outline"
                      : kw_format(b->arena,
                                  "the flat beyond bend %s is too small for the bends on it: its "
                                  "outline",
                                  b->body->bends[f->bend].id);
        s = kw_path_check(&f->shape.outer, at, &err);
        if (s != KW_OK && i > 0 && b->body->bends[f->bend].at.line > 0)
            at = b->body->bends[f->bend].at;
    }
    if (s == KW_OK) return;
    shape_find(b, KW_STOP, "blank-overlap", at, 0, 0, kw_format(b->arena, "%s %s", what, err.text),
               "make the flat larger, or the radius of its bends smaller");
}

/// Whether flanges are described, besides those that only name bend lines of a drawing.
static bool has_flanges(const struct kw_part *part) {
    for (int i = 0; i < part->bends.count; i++)
        if (!KW_ITEM(struct kw_flange, part->bends, i)->from_drawing) return true;
    return false;
}

/// Faces, bends and the blank's outline. A drawing's bend lines split it last, and its blank was
/// made before: their bend zones end as they are drawn.
static void lay_out(struct build *b) {
    bool flanges = !b->part->flat || has_flanges(b->part);
    if (flanges) {
        shape_layout(b);
        if (!b->stopped) shape_tabs(b);
        if (!b->stopped) shape_blank(b);
        if (!b->stopped && b->part->drawn_bends.count > 0) shape_drawing(b);
        if (!b->stopped) shape_to_corner(b);
    } else {
        shape_drawing(b);
        if (!b->stopped) shape_tabs(b);
    }
}

static double kerf_of(const struct build *b) {
    const struct kw_cut_entry *cut = kw_shop_cut_rule(b->shop, &b->part->stock);
    return cut ? cut->kerf : 0;
}

static void finish(struct build *b) {
    struct kw_body *body = b->body;
    shape_legs(body);
    const struct kw_material *m = kw_shop_material(b->shop, &b->part->stock);
    body->area = kw_region_area(&body->blank);
    body->mass = body->area * body->thickness * m->density * 1e-9;
    body->folded = shape_box(b->arena, body, (struct pose){.t = 1});
    body->shipped = shape_box(b->arena, body, (struct pose){.t = 1, .hands_flat = true});
}

void kw_body_make(struct kw_arena *a, const struct kw_shop *shop, const struct kw_kit *kit,
                  const struct kw_part *part, struct kw_findings *findings, struct kw_body **out) {
    kw_body_make_with(a, shop, kit, part, NULL, findings, out);
}

void kw_body_make_with(struct kw_arena *a, const struct kw_shop *shop, const struct kw_kit *kit,
                       const struct kw_part *part, const struct kw_bend_tool *tools,
                       struct kw_findings *findings, struct kw_body **out) {
    *out = NULL;
    kw_assert(part->stock.kind == KW_SHEET && part->stock.thickness > 0);
    struct build b = {.arena = a,
                      .shop = shop,
                      .kit = kit,
                      .part = part,
                      .findings = findings,
                      .body = KW_NEW(a, struct kw_body),
                      .tools = tools};
    b.body->part = part;
    b.body->thickness = part->stock.thickness;
    b.kerf = kerf_of(&b);
    b.relief = kw_relief(b.body->thickness, b.kerf);
    b.past = fmax(b.relief / 2, KW_MM_PER_IN / 32);
    lay_out(&b);
    if (b.stopped) return;
    check_outlines(&b);
    if (!b.stopped) shape_slits(&b);
    if (!b.stopped) shape_holes(&b);
    if (!b.stopped) shape_marks(&b);
    if (b.stopped) return;
    finish(&b);
    *out = b.body;
}

// ----------------------------------------------------------------------------- the other hand

struct kw_move2 kw_body_hand_move(const struct kw_body *body) {
    struct kw_box2 box = kw_path_box(&body->blank.outer);
    return (struct kw_move2){1, 0, box.min.x + box.max.x, 0, true};
}

struct kw_region kw_body_other_hand(struct kw_arena *a, const struct kw_body *body) {
    return kw_region_moved(a, &body->blank, kw_body_hand_move(body));
}

struct kw_vec2 kw_body_to_first_hand(const struct kw_body *body, struct kw_vec2 p) {
    return kw_move2_point(kw_move2_inverse(kw_body_hand_move(body)), p);
}

void kw_body_bend_line(const struct kw_body *body, int bend, bool other_hand, struct kw_vec2 *from,
                       struct kw_vec2 *to) {
    *from = body->bends[bend].from;
    *to = body->bends[bend].to;
    if (!other_hand) return;
    struct kw_move2 m = kw_body_hand_move(body);
    struct kw_vec2 start = kw_move2_point(m, *to); // mirrored, the child would be on the right
    *to = kw_move2_point(m, *from);
    *from = start;
}

// ----------------------------------------------------------------------------- places on flanges

int kw_body_flange_face(const struct kw_body *body, int flange) {
    for (int i = body->bend_count - 1; i >= 0 && flange >= 0; i--) // the last of two
        if (body->bends[i].flange == flange) return body->bends[i].child;
    return 0;
}

struct kw_move2 kw_body_told(const struct kw_body *body, int flange) {
    int face = kw_body_flange_face(body, flange);
    if (face == 0) return kw_move2_none();
    const struct kw_face *f = &body->faces[face];
    return (struct kw_move2){1, 0, f->start, f->bottom, f->backwards};
}
