// SPDX-License-Identifier: Apache-2.0
// What the brake says of a sheet part's bends.
#include "check/inside.h"

#define DEGREES (180 / KW_PI)

// ----------------------------------------------------------------------------- what it says

static const char *rule_of(const struct kw_brake_problem *p, double angle, bool flattens) {
    static const char *const rules[] = {[KW_BRAKE_LEG_SHORT] = "leg-short",
                                        [KW_BRAKE_FORCE_PRESS] = "force-press",
                                        [KW_BRAKE_FORCE_TOOL] = "force-tool",
                                        [KW_BRAKE_TOO_LONG] = "bend-long",
                                        [KW_BRAKE_FRAMES] = "between-frames",
                                        [KW_BRAKE_NO_DIE] = "no-die",
                                        [KW_BRAKE_NO_PUNCH] = "no-punch",
                                        [KW_BRAKE_NO_GAUGE] = "no-gauge",
                                        [KW_BRAKE_GAUGE_REACH] = "gauge-reach",
                                        [KW_BRAKE_NO_GAUGE_EDGE] = "no-gauge-edge",
                                        [KW_BRAKE_RADIUS_LEAST] = "bend-radius-least",
                                        [KW_BRAKE_RADIUS_OFF] = "bend-radius-off",
                                        [KW_BRAKE_ANGLE_SHARP] = "bend-sharp",
                                        [KW_BRAKE_SPRINGBACK] = "stays-elastic",
                                        [KW_BRAKE_NO_ROOM] = "no-room",
                                        [KW_BRAKE_COLLISION] = "bend-collision",
                                        [KW_BRAKE_SEGMENTS] = "tool-segments",
                                        [KW_BRAKE_HEAVY] = "heavy-part",
                                        [KW_BRAKE_HOLD] = "bend-hold",
                                        [KW_BRAKE_FINGERS] = "gauge-fingers",
                                        [KW_BRAKE_NO_HEMMING] = "no-hem-tool",
                                        [KW_BRAKE_TIGHT] = "bend-tight",
                                        [KW_BRAKE_OVERBEND] = "bend-overbend"};
    if (p->kind == KW_BRAKE_FORCE_PRESS && flattens) return "hem-force";
    if (p->kind == KW_BRAKE_LEG_SHORT && angle > KW_PI / 2 + 1e-9) return "leg-sharp";
    return rules[p->kind];
}

static const char *key_of(const struct kw_brake_problem *p) {
    switch (p->kind) {
    case KW_BRAKE_LEG_SHORT:
    case KW_BRAKE_GAUGE_REACH:
        return "height";
    case KW_BRAKE_RADIUS_LEAST:
    case KW_BRAKE_RADIUS_OFF:
        return "radius";
    case KW_BRAKE_ANGLE_SHARP:
        return "turn";
    default:
        return "along";
    }
}

static struct kw_place bend_place(const struct kw_body *body, const struct kw_bend *bend,
                                  const char *key) {
    if (bend->flange < 0) return bend->at;
    const struct kw_flange *f = KW_ITEM(struct kw_flange, body->part->bends, bend->flange);
    if (f->node && !kw_node_get(f->node, key)) key = "along";
    return check_place(f->node, key);
}

/// The numbers of a problem in words; forces in kN as findings have them.
static const char *problem_numbers(const struct checking *c, const struct kw_brake_problem *p,
                                   struct kw_finding *f) {
    const char *unit = kw_brake_problem_unit(p->kind), *have, *limit;
    f->measured = p->measured;
    f->limit = p->limit;
    f->unit = unit;
    if (p->kind == KW_BRAKE_FORCE_PRESS) {
        f->measured /= 1000;
        f->limit /= 1000;
        f->unit = "kN";
        have = check_force(c, p->measured);
        limit = check_force(c, p->limit);
    } else if (p->kind == KW_BRAKE_FORCE_TOOL) {
        f->unit = "kN/m"; // N/mm by another name
        have = kw_format(c->arena, "%.0f kN/m", p->measured);
        limit = kw_format(c->arena, "%.0f kN/m", p->limit);
    } else if (f->unit[0] == 'm') {
        have = check_length(c, p->measured);
        limit = check_length(c, p->limit);
    } else {
        have = kw_format(c->arena, "%.2f %s", p->measured, unit);
        limit = kw_format(c->arena, "%.2f %s", p->limit, unit);
    }
    return kw_format(c->arena, "%s against %s", have, limit);
}

static const char *problem_fix(const struct checking *c, const struct kw_brake_shop *shop,
                               const struct kw_brake_problem *p, const char *fix) {
    if (p->other_die >= 0)
        return kw_format(c->arena, "%s; die %s would do", fix, shop->dies[p->other_die].id);
    if (p->kind == KW_BRAKE_LEG_SHORT && p->wanted > 0)
        return kw_format(c->arena, "make the leg %s or longer, or use a smaller die",
                         check_length(c, p->wanted));
    return fix;
}

static const char *remedy_words(const struct checking *c, const struct brake_input *in,
                                const struct kw_brake_remedy *r, const char *id) {
    const char *size = check_length(c, r->size);
    const char *face = r->face >= 0 ? in->part.faces[r->face].name : "";
    switch (r->kind) {
    case KW_BRAKE_HELP_SEGMENTS:
        return "tools in shorter segments, listed under `segments`";
    case KW_BRAKE_HELP_NECK:
        return kw_format(c->arena, "a gooseneck punch with a neck of %s", size);
    case KW_BRAKE_HELP_TALL:
        return kw_format(c->arena, "a straight punch %s tall", size);
    case KW_BRAKE_HELP_RELIEF:
        return kw_format(c->arena, "%s cut back by %s at the corner", face, size);
    case KW_BRAKE_HELP_LONGER:
        return kw_format(c->arena, "%s longer by %s", face, size);
    case KW_BRAKE_HELP_LOWER:
        return kw_format(c->arena, "%s lower by %s", face, size);
    case KW_BRAKE_HELP_SPLIT:
        break;
    }
    return kw_format(c->arena, "two parts, joined at bend %s", id);
}

/// What was tried and helps, each by itself.
static const char *helps_words(const struct checking *c, const struct brake_input *in,
                               const struct kw_brake_problem *p, const char *id) {
    const char *out = "";
    for (int i = 0; i < p->help_count; i++)
        out = kw_format(c->arena, "%s%s%s", out, i ? ", or " : "",
                        remedy_words(c, in, &p->helps[i], id));
    return out;
}

static const char *collision_fix(const struct checking *c, const struct brake_input *in,
                                 const struct kw_brake_problem *p, const char *id,
                                 const char *fix) {
    if (p->help_count > 0)
        return kw_format(c->arena, "%s (each tried: it bends)", helps_words(c, in, p, id));
    if (p->kind != KW_BRAKE_COLLISION) return fix;
    return c->no_remedies ? "check this kit by itself: then remedies are tried"
                          : "none of these helps by itself (tried): another punch, a relief, a "
                            "longer leg, a lower flange, two parts";
}

/// " after 43 degrees, 1.250 in above the die".
static const char *moment_words(const struct checking *c, const struct kw_brake_hit *hit) {
    if (!hit) return "";
    const char *when = hit->stage == 2 ? " while the hem is flattened"
                       : hit->turn > 0
                           ? kw_format(c->arena, " after %.0f degrees", hit->turn * DEGREES)
                       : c->shop->press.bed_moves ? " as the bed comes up"
                                                  : " as the punch comes down";
    double up = hit->at.z;
    return kw_format(c->arena, "%s, %s %s the die's top and %s %s its middle", when,
                     check_length(c, fabs(up)), up < 0 ? "below" : "above",
                     check_length(c, fabs(hit->at.x)), hit->at.x < 0 ? "before" : "behind");
}

static void tell_collision(struct checking *c, const struct kw_examined *e,
                           const struct brake_input *in, const struct kw_brake_problem *p,
                           struct kw_finding f) {
    const struct kw_bend *bend = &e->body->bends[p->bend];
    const char *tool = kw_brake_obstacle_name(p->obstacle);
    const char *face = p->face >= 0 ? in->part.faces[p->face].name : "the part";
    if (p->kind == KW_BRAKE_COLLISION)
        f.says = kw_format(c->arena,
                           "bend %s of %s: in every order something is in the way; in the one that "
                           "gets furthest %s%s runs into the %s%s",
                           bend->id, e->part->name, p->bump > 0 ? "a dimple of " : "", face, tool,
                           moment_words(c, e->brake->hit));
    if (p->kind == KW_BRAKE_COLLISION && e->brake->hit) {
        const struct kw_vec3 at = e->brake->hit->blank;
        check_at(&f, "blank", at.x, at.y, at.z);
    }
    if (p->kind != KW_BRAKE_COLLISION)
        f.says = kw_format(c->arena,
                           "bend %s of %s: no length of the %s between %s and %s fits beside %s",
                           bend->id, e->part->name, tool, check_length(c, p->measured),
                           check_length(c, p->limit), face);
    f.fix = collision_fix(c, in, p, bend->id, f.fix);
    kw_find(c->findings, f);
}

/// No order keeps the full clearance: what is left in this stroke, and where.
static void tell_tight(struct checking *c, const struct kw_examined *e,
                       const struct brake_input *in, const struct kw_brake_problem *p,
                       struct kw_finding f) {
    const struct kw_brake_hit *near = e->brake->steps[p->step].near;
    f.says = kw_format(c->arena,
                       "bend %s of %s: no order keeps %s clear of the tools; in the best one %s "
                       "passes the %s by %s%s",
                       e->body->bends[p->bend].id, e->part->name, check_length(c, p->limit),
                       in->part.faces[p->face].name, kw_brake_obstacle_name(p->obstacle),
                       check_length(c, p->measured), moment_words(c, near));
    check_at(&f, "blank", near->blank.x, near->blank.y, near->blank.z);
    if (p->help_count > 0)
        f.fix = kw_format(c->arena, "%s (each tried: the full clearance), or %s",
                          helps_words(c, in, p, e->body->bends[p->bend].id), f.fix);
    kw_find(c->findings, f);
}

static void tell(struct checking *c, const struct kw_examined *e, const struct brake_input *in,
                 const struct kw_brake_problem *p) {
    if (p->kind == KW_BRAKE_HEAVY) return; // told of every heavy part
    const struct kw_bend *bend = &e->body->bends[p->bend];
    bool flattens = p->step < e->brake->step_count && e->brake->steps[p->step].stage == 2;
    struct kw_finding f = kw_rule_finding(rule_of(p, bend->angle, flattens), c->kit, e->part,
                                          bend_place(e->body, bend, flattens ? "hem" : key_of(p)));
    struct kw_vec2 at = kw_lerp2(bend->from, bend->to, 0.5);
    f.level = p->level;
    check_at(&f, "blank", at.x, at.y, 0);
    const char *numbers = problem_numbers(c, p, &f);
    if (p->kind == KW_BRAKE_COLLISION || p->kind == KW_BRAKE_SEGMENTS) {
        tell_collision(c, e, in, p, f);
        return;
    }
    if (p->kind == KW_BRAKE_TIGHT) {
        tell_tight(c, e, in, p, f);
        return;
    }
    bool none = p->kind == KW_BRAKE_NO_PUNCH || p->kind == KW_BRAKE_NO_HEMMING ||
                p->kind == KW_BRAKE_NO_GAUGE;
    const char *what = f.says;
    if (p->kind == KW_BRAKE_HOLD && p->level == KW_NOTE)
        what = "where it can be held it is narrower than two hands";
    else if (flattens && p->kind == KW_BRAKE_FORCE_TOOL)
        what = "flattening it needs more force than the hemming tool bears";
    else if (p->level == KW_RISK && flattens && p->kind == KW_BRAKE_FORCE_PRESS)
        what = "flattening it comes near what the press gives";
    else if (p->level == KW_RISK && p->kind == KW_BRAKE_FORCE_PRESS)
        what = "its force comes near what the press gives";
    if (p->level == KW_RISK && p->kind == KW_BRAKE_FORCE_TOOL)
        what = "its force comes near what the tools bear";
    f.says = kw_format(c->arena, none ? "bend %s of %s: %s" : "bend %s of %s: %s: %s", bend->id,
                       e->part->name, what, numbers);
    f.fix = problem_fix(c, &in->shop, p, f.fix);
    kw_find(c->findings, f);
}

static void find_clash(struct checking *c, const struct kw_examined *e) {
    int faces[2];
    struct kw_vec3 at;
    if (!kw_body_clash(e->body, faces, &at)) return;
    int bend = e->body->faces[faces[1]].bend;
    struct kw_finding f =
        check_finding(c, "flanges-collide", e->part,
                      bend_place(e->body, &e->body->bends[bend], "from_end"), 0, 0);
    check_at(&f, "folded", at.x, at.y, at.z);
    f.says = kw_format(c->arena, "%s and %s of %s run into each other when folded",
                       check_face_name(c->arena, e->body, faces[0]),
                       check_face_name(c->arena, e->body, faces[1]), e->part->name);
    kw_find(c->findings, f);
}

void check_bends(struct checking *c, struct kw_examined *e) {
    find_clash(c, e);
    if (!check_has_press(&c->shop->press)) {
        kw_find(c->findings,
                check_finding(c, "no-press", e->part, check_bends_place(e->part), 0, 0));
        return;
    }
    if (!e->brake) return;
    struct brake_input in = check_brake_input(c->arena, c->shop, e);
    for (int i = 0; i < e->brake->problem_count; i++)
        tell(c, e, &in, &e->brake->problems[i]);
    check_dimple_order(c, e);
}

// ----------------------------------------------------------------------------- holes near bends

double check_opening(const struct checking *c, const struct kw_examined *e, int bend) {
    for (int i = 0; i < e->brake->step_count; i++) {
        const struct kw_brake_step *s = &e->brake->steps[i];
        for (int k = 0; k < s->bend_count; k++)
            if (s->bends[k] == bend && s->die >= 0 && s->stage == 1)
                return KW_ITEM(struct kw_press_tool, c->shop->press.dies, s->die)->opening;
    }
    return 0;
}

static bool is_round(const struct kw_examined *e, const struct kw_path *p) {
    const struct kw_hole *h = check_described(e, p);
    return h ? h->size > 0 && h->slot <= 0 : p->count == 2 && p->v[0].bulge != 0;
}

static void hole_and_bend(struct checking *c, const struct kw_examined *e, const struct kw_path *p,
                          int bend) {
    const struct kw_bend *b = &e->body->bends[bend];
    double v = check_opening(c, e, bend);
    if (!(v > 0)) return;
    bool round = is_round(e, p);
    double least = kw_rule_limit(c->shop, "hole-near-bend") * v + (round ? -1 : 1);
    struct kw_path line = {0}; // there and back: a closed path of no width
    kw_path_add(c->arena, &line, b->from.x, b->from.y, 0, 0);
    kw_path_add(c->arena, &line, b->to.x, b->to.y, 0, 0);
    double gap = kw_path_gap(p, &line);
    if (!(gap > 0)) return; // on the bend: told by shape
    if (!(gap < least - 1e-6)) return;
    struct kw_box2 box = kw_path_box(p);
    const struct kw_hole *h = check_described(e, p);
    struct kw_place where = h ? check_place(h->node, h->flange >= 0 ? "from_bottom" : "from_left")
                              : check_place(e->part->node, "flat");
    struct kw_finding f = check_finding(c, "hole-near-bend", e->part, where, gap, least);
    check_at(&f, "blank", (box.min.x + box.max.x) / 2, (box.min.y + box.max.y) / 2, 0);
    f.says = kw_format(c->arena,
                       "a %s of %s is %s from the line of bend %s, %s is the least over a %s die",
                       round ? "hole" : "cut-out", e->part->name, check_length(c, gap), b->id,
                       check_length(c, least), check_length(c, v));
    kw_find(c->findings, f);
}

void check_holes_near_bends(struct checking *c, const struct kw_examined *e) {
    if (!e->brake) return;
    for (int i = 0; i < e->body->blank.hole_count; i++)
        for (int k = 0; k < e->body->bend_count; k++)
            if (!kw_body_is_slit(e->body, &e->body->blank.holes[i]))
                hole_and_bend(c, e, &e->body->blank.holes[i], k);
}

bool kw_check_brake_section(struct kw_arena *a, const struct kw_shop *shop,
                            const struct kw_examined *what, int step, double reach,
                            struct kw_brake_section *out) {
    if (!what->body || !what->brake) return false;
    struct brake_input in = check_brake_input(a, shop, what);
    struct kw_brake_plan own = check_brakes_own(a, what->brake, &in, what->body->bend_count);
    return kw_brake_section(a, &in.part, &in.material, &in.shop, &own, step, reach, out);
}

/// Where the first point of each face ends up; NULL where the press leaves the part unfinished.
static const double (*finished_points(struct kw_arena *a, const struct kw_body *body,
                                      const struct kw_brake_part *part))[3] {
    for (int i = 0; i < body->bend_count; i++)
        if (body->bends[i].kind == KW_BEND_OFFSET || body->bends[i].kind == KW_BEND_HAND)
            return NULL;
    struct kw_move3 *fold = kw_body_fold(a, body, 1);
    double(*out)[3] = kw_alloc(a, (size_t)part->face_count * sizeof *out);
    for (int i = 0; i < part->face_count; i++) {
        struct kw_path ccw = kw_path_oriented(a, &part->faces[i].outline, true);
        struct kw_move2 back = kw_move2_inverse(body->faces[i].flat);
        struct kw_vec2 q = kw_move2_point(back, kw_v2(ccw.v[0].x, ccw.v[0].y));
        struct kw_vec3 p = kw_move3_point(fold[i], kw_v3(q.x, q.y, -body->thickness));
        out[i][0] = p.x;
        out[i][1] = p.y;
        out[i][2] = p.z;
    }
    return (void *)out;
}

static void add_flares(struct kw_arena *a, const struct kw_shop *shop,
                       const struct kw_examined *what, const struct brake_input *in,
                       struct kw_check_brake *out) {
    const struct kw_body *body = what->body;
    for (int i = 0; i < body->dimple_count; i++) {
        const struct kw_dimple_spot *s = &body->dimples[i];
        const struct kw_dimple_die *d = KW_ITEM(struct kw_dimple_die, shop->dimple_dies, s->die);
        int after = kw_check_flared_after(what, i);
        if (after == 0) continue; // the flat blank goes in as it is: told by features.c
        KW_PUSH(a, out->flares, out->flare_count) = (struct kw_check_flare){
            in->flat[s->face], s->at, kw_dimple_clear(d, body->thickness), after};
    }
    out->throat = shop->shop_press.throat;
    out->daylight = shop->shop_press.daylight;
}

bool kw_check_brake_inputs(struct kw_arena *a, const struct kw_shop *shop,
                           const struct kw_examined *what, struct kw_check_brake *out) {
    if (!what->body || !what->brake) return false;
    struct brake_input in = check_brake_input(a, shop, what);
    *out = (struct kw_check_brake){
        .part = in.part,
        .material = in.material,
        .shop = in.shop,
        .plan = check_brakes_own(a, what->brake, &in, what->body->bend_count),
        .finished = finished_points(a, what->body, &in.part),
    };
    add_flares(a, shop, what, &in, out);
    return true;
}

bool kw_check_brake_collision(struct kw_arena *a, const struct kw_shop *shop,
                              const struct kw_examined *what, const struct kw_brake_hit *hit,
                              double reach, struct kw_brake_collision *out, const char **bend,
                              const char **face) {
    if (!what->body || !what->brake || !hit) return false;
    struct brake_input in = check_brake_input(a, shop, what);
    struct kw_brake_plan own = check_brakes_own(a, what->brake, &in, what->body->bend_count);
    *bend = in.part.bends[hit->bends[0]].id;
    *face = in.part.faces[hit->face].name;
    return kw_brake_collision(a, &in.part, &in.material, &in.shop, &own, hit, reach, out);
}
