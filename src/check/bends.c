// SPDX-License-Identifier: Apache-2.0
// A sheet part's bends to the brake, and what the brake says back.
#include "check/inside.h"
#include "shop/learned.h"

#define DEGREES (180 / KW_PI)

// ----------------------------------------------------------------------------- to the brake

static const char *face_name(struct kw_arena *a, const struct kw_body *body, int face) {
    if (body->faces[face].bend < 0) return "base";
    const struct kw_bend *b = &body->bends[body->faces[face].bend];
    return kw_format(a, b->flange >= 0 ? "flange %s" : "flat beyond bend %s", b->id);
}

/// A hem is turned so far on the die before it is flattened (common practice, no source).
#define HEM_FIRST_TURN (135 * KW_PI / 180)

/// The radius that the part asks for, 0: what the die gives. A hem's comes of flattening.
static double own_radius(const struct kw_body *body, const struct kw_bend *b) {
    const struct kw_part *part = body->part;
    if (b->kind == KW_BEND_HEM) return 0;
    if (b->flange >= 0) return KW_ITEM(struct kw_flange, part->bends, b->flange)->radius;
    return b->drawn >= 0 ? KW_ITEM(struct kw_drawn_bend, part->drawn_bends, b->drawn)->radius : 0;
}

static struct kw_brake_bend brake_bend(const struct kw_body *body, const struct kw_bend *b,
                                       const int *flat) {
    return (struct kw_brake_bend){.id = b->id,
                                  .parent = flat[b->parent],
                                  .child = flat[b->child],
                                  .from = b->from,
                                  .to = b->to,
                                  .angle = b->kind == KW_BEND_HEM ? HEM_FIRST_TURN : b->angle,
                                  .radius = own_radius(body, b),
                                  .down = b->way == KW_DOWN,
                                  .allowance = b->allowance,
                                  .hole_gap = b->hole_gap,
                                  .legs = {b->legs[0], b->legs[1]},
                                  .own_tool = b->kind == KW_BEND_OFFSET,
                                  .mates = b->mates};
}

/// Tabs bent by hand stay flat here: they and what carries them are one face.
static struct kw_brake_part brake_part(struct kw_arena *a, const struct kw_body *body,
                                       int *bend_of) {
    struct kw_brake_face *faces = KW_NEW_ARRAY(a, struct kw_brake_face, body->face_count);
    struct kw_brake_bend *bends = KW_NEW_ARRAY(a, struct kw_brake_bend, body->bend_count + 1);
    int *flat = KW_NEW_ARRAY(a, int, body->face_count); // brake's number of each face
    int face_count = 0, bend_count = 0;
    for (int i = 0; i < body->face_count; i++) {
        int first;
        struct kw_path outline = kw_body_shipped_flat(a, body, i, &first);
        flat[i] = first < i ? flat[first] : face_count;
        if (first == i)
            faces[face_count++] = (struct kw_brake_face){face_name(a, body, i), outline};
    }
    for (int i = 0; i < body->bend_count; i++) {
        if (body->bends[i].kind == KW_BEND_HAND) continue;
        bend_of[bend_count] = i;
        bends[bend_count++] = brake_bend(body, &body->bends[i], flat);
    }
    return (struct kw_brake_part){faces, face_count, bends, bend_count, body->mass};
}

/// Calls the bends of a plan by other numbers.
static void renumber(struct kw_arena *a, struct kw_brake_plan *plan, const int *number) {
    for (int s = 0; s < plan->step_count; s++) {
        struct kw_brake_step *step = &plan->steps[s];
        int *bends = KW_NEW_ARRAY(a, int, step->bend_count + 1);
        for (int k = 0; k < step->bend_count; k++)
            bends[k] = number[step->bends[k]];
        step->bends = bends;
    }
    for (int i = 0; i < plan->problem_count; i++)
        plan->problems[i].bend = number[plan->problems[i].bend];
}

/// A plan by the body's numbers, as the brake made it.
static struct kw_brake_plan brakes_own(struct kw_arena *a, const struct kw_brake_plan *plan,
                                       const struct brake_input *in, int bend_count) {
    struct kw_brake_plan own = *plan;
    int *number = KW_NEW_ARRAY(a, int, bend_count + 1);
    for (int i = 0; i < in->part.bend_count; i++)
        number[in->bend_of[i]] = i;
    own.problem_count = 0; // a picture asks for none
    own.steps = KW_NEW_ARRAY(a, struct kw_brake_step, plan->step_count + 1);
    for (int i = 0; i < plan->step_count; i++)
        own.steps[i] = plan->steps[i];
    renumber(a, &own, number);
    return own;
}

static struct kw_brake_seconds seconds_of(const struct kw_press *p) {
    struct kw_brake_seconds s = kw_brake_usual_seconds;
    s.turn_over = p->turn_over;
    s.rotate = p->rotate;
    s.tool_change = p->tool_change;
    s.station_change = p->station_change;
    s.gauge_move = p->gauge_move;
    s.gauge_height = p->gauge_height;
    return s;
}

static const double *segments_of(struct kw_arena *a, struct kw_items lengths, int *count) {
    double *out = KW_NEW_ARRAY(a, double, lengths.count + 1);
    *count = 0;
    for (int i = 0; i < lengths.count; i++)
        out[(*count)++] = *KW_ITEM(double, lengths, i);
    return out;
}

struct brake_input check_brake_input(struct kw_arena *a, const struct kw_shop *shop,
                                     const struct kw_body *body) {
    struct brake_input in;
    const struct kw_press *p = &shop->press;
    const struct kw_material *m = kw_shop_material(shop, &body->part->stock);
    struct kw_brake_die *dies = KW_NEW_ARRAY(a, struct kw_brake_die, p->dies.count + 1);
    struct kw_brake_punch *punches = KW_NEW_ARRAY(a, struct kw_brake_punch, p->punches.count + 1);
    for (int i = 0; i < p->dies.count; i++) {
        const struct kw_press_tool *d = KW_ITEM(struct kw_press_tool, p->dies, i);
        const struct kw_learned_bend *l = kw_learned_bend_of(shop, &body->part->stock, i);
        struct kw_spring spring = l ? l->spring : (struct kw_spring){0};
        dies[i] = (struct kw_brake_die){.id = d->name,
                                        .opening = d->opening,
                                        .angle = d->angle,
                                        .shoulder_radius = d->radius,
                                        .height = d->height,
                                        .rating = d->rating,
                                        .length = d->length,
                                        .width = d->width,
                                        .profile = d->section,
                                        .load_slope = spring.slope,
                                        .load_offset = spring.offset};
        dies[i].segments = segments_of(a, d->segments, &dies[i].segment_count);
    }
    for (int i = 0; i < p->punches.count; i++) {
        const struct kw_press_tool *d = KW_ITEM(struct kw_press_tool, p->punches, i);
        punches[i] = (struct kw_brake_punch){.id = d->name,
                                             .nose_radius = d->radius,
                                             .angle = d->angle,
                                             .height = d->height,
                                             .rating = d->rating,
                                             .length = d->length,
                                             .neck = d->neck,
                                             .profile = d->section};
        punches[i].segments = segments_of(a, d->segments, &punches[i].segment_count);
    }
    in.bend_of = KW_NEW_ARRAY(a, int, body->bend_count + 1);
    in.part = brake_part(a, body, in.bend_of);
    in.material =
        (struct kw_brake_material){.thickness = body->thickness,
                                   .tensile = m->tensile,
                                   .yield = m->yield,
                                   .modulus = m->elastic,
                                   .natural_ratio = kw_bend_natural_radius(m->family, 1, 0),
                                   .least_radius = m->least_radius * body->thickness};
    in.shop = (struct kw_brake_shop){.press = {.rating = p->rating,
                                               .bed_length = p->bed,
                                               .between_frames = p->between_frames,
                                               .throat = p->throat,
                                               .open_height = p->open_height,
                                               .stroke = p->stroke,
                                               .gauge_min_x = p->gauge_least,
                                               .gauge_max_x = p->gauge_most,
                                               .gauge_min_r = p->gauge_low,
                                               .gauge_max_r = p->gauge_high,
                                               .ram_width = p->ram_width,
                                               .bed_width = p->bed_width,
                                               .one_person_mass = p->one_person},
                                     .seconds = seconds_of(p),
                                     .dies = dies,
                                     .die_count = p->dies.count,
                                     .punches = punches,
                                     .punch_count = p->punches.count};
    return in;
}

// ----------------------------------------------------------------------------- what it says

static const char *rule_of(const struct kw_brake_problem *p, double angle) {
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
                                        [KW_BRAKE_HEAVY] = "heavy-part"};
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

/// What was tried and helps.
static const char *collision_fix(struct checking *c, const struct kw_brake_problem *p,
                                 const char *id, const char *fix) {
    switch (p->help) {
    case KW_BRAKE_HELP_NECK:
        return kw_format(c->arena, "a gooseneck punch with a neck of %s would do (tried)",
                         check_length(c, p->help_size));
    case KW_BRAKE_HELP_TALL:
        return kw_format(c->arena, "a straight punch %s tall would do (tried)",
                         check_length(c, p->help_size));
    case KW_BRAKE_HELP_SEGMENTS:
        return "tools in shorter segments would do (tried): list them under `segments`";
    case KW_BRAKE_HELP_SPLIT:
        return kw_format(c->arena,
                         "make it in two parts, joined at bend %s: both can be bent "
                         "(tried)",
                         id);
    case KW_BRAKE_NO_HELP:
        break;
    }
    return fix;
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
                           "gets furthest %s runs into the %s",
                           bend->id, e->part->name, face, tool);
    else
        f.says = kw_format(c->arena,
                           "bend %s of %s: no length of the %s between %s and %s fits beside %s",
                           bend->id, e->part->name, tool, check_length(c, p->measured),
                           check_length(c, p->limit), face);
    f.fix = collision_fix(c, p, bend->id, f.fix);
    kw_find(c->findings, f);
}

static void tell(struct checking *c, const struct kw_examined *e, const struct brake_input *in,
                 const struct kw_brake_problem *p) {
    if (p->kind == KW_BRAKE_HEAVY) return; // told of every heavy part
    const struct kw_bend *bend = &e->body->bends[p->bend];
    struct kw_finding f = kw_rule_finding(rule_of(p, bend->angle), c->kit, e->part,
                                          bend_place(e->body, bend, key_of(p)));
    struct kw_vec2 at = kw_lerp2(bend->from, bend->to, 0.5);
    f.level = p->level;
    check_at(&f, "blank", at.x, at.y, 0);
    const char *numbers = problem_numbers(c, p, &f);
    if (p->kind == KW_BRAKE_COLLISION || p->kind == KW_BRAKE_SEGMENTS) {
        tell_collision(c, e, in, p, f);
        return;
    }
    bool none = p->kind == KW_BRAKE_NO_PUNCH || p->kind == KW_BRAKE_NO_GAUGE;
    const char *what = f.says;
    if (p->level == KW_RISK && p->kind == KW_BRAKE_FORCE_PRESS)
        what = "its force comes near what the press gives";
    if (p->level == KW_RISK && p->kind == KW_BRAKE_FORCE_TOOL)
        what = "its force comes near what the tools bear";
    f.says = kw_format(c->arena, none ? "bend %s of %s: %s" : "bend %s of %s: %s: %s", bend->id,
                       e->part->name, what, numbers);
    f.fix = problem_fix(c, &in->shop, p, f.fix);
    kw_find(c->findings, f);
}

static struct kw_place bends_place(const struct kw_part *part) {
    return check_place(part->node, part->flat ? "flat" : "bends");
}

static bool has_press(const struct kw_press *p) {
    return p->node || p->dies.count > 0 || p->punches.count > 0;
}

/// False when the brake refused the part as such: *err says why.
static bool make_plan(struct checking *c, struct kw_examined *e, enum kw_brake_effort effort,
                      struct kw_error *err) {
    struct brake_input in = check_brake_input(c->arena, c->shop, e->body);
    e->brake = KW_NEW(c->arena, struct kw_brake_plan);
    if (kw_brake_plan_for(c->arena, &in.part, &in.material, &in.shop, effort, bends_place(e->part),
                          e->brake, err) == KW_OK) {
        renumber(c->arena, e->brake, in.bend_of);
        return true;
    }
    e->brake = NULL;
    return false;
}

/// Dies and radii of the plan for bends without a radius of their own. False when they are those
/// that the body was made with.
static bool tools_of(const struct kw_examined *e, struct kw_bend_tool *tools) {
    bool other = false;
    for (int i = 0; i < e->brake->step_count; i++) {
        const struct kw_brake_step *s = &e->brake->steps[i];
        for (int k = 0; k < s->bend_count && s->die >= 0; k++) {
            const struct kw_bend *b = &e->body->bends[s->bends[k]];
            if (own_radius(e->body, b) > 0 || b->kind == KW_BEND_HEM) continue;
            other = other || fabs(b->radius - s->inside_radius) > 1e-9;
            tools[b->flange >= 0 ? b->flange : e->part->bends.count + b->drawn] =
                (struct kw_bend_tool){s->die, s->inside_radius};
        }
    }
    return other;
}

/// The die decides on the radius, the radius on the blank: the body is made again with the dies
/// that the brake chose. Legs are outside sizes, so that one more turn mostly settles it; the order
/// is looked for once that is so.
void check_make(struct checking *c, struct kw_examined *e) {
    int most = e->part->bends.count + e->part->drawn_bends.count;
    struct kw_bend_tool *tools = KW_NEW_ARRAY(c->arena, struct kw_bend_tool, most + 1);
    int first = c->findings->count;
    enum kw_brake_effort order = c->findings_only ? KW_BRAKE_ANY_ORDER : KW_BRAKE_CHEAPEST_ORDER;
    enum kw_brake_effort effort = KW_BRAKE_TOOLS_ONLY;
    for (int turn = 0; turn < 4; turn++) {
        struct kw_error err = {0};
        c->findings->count = first;
        kw_body_make_with(c->arena, c->shop, c->kit, e->part, tools, c->findings, &e->body);
        e->brake = NULL;
        if (!e->body || e->body->bend_count == 0 || !has_press(&c->shop->press)) return;
        bool planned = make_plan(c, e, effort, &err);
        if (planned && effort == KW_BRAKE_TOOLS_ONLY) {
            bool others = tools_of(e, tools);
            effort = order;
            if (others) continue;
            planned = make_plan(c, e, effort, &err);
        }
        if (!planned) {
            struct kw_finding f =
                check_finding(c, "bend-plan", e->part, bends_place(e->part), 0, 0);
            f.says = kw_format(c->arena, "the bends of %s can't be planned: %s", e->part->name,
                               err.text);
            kw_find(c->findings, f);
            return;
        }
        if (!tools_of(e, tools)) return;
    }
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
                       face_name(c->arena, e->body, faces[0]),
                       face_name(c->arena, e->body, faces[1]), e->part->name);
    kw_find(c->findings, f);
}

void check_bends(struct checking *c, struct kw_examined *e) {
    find_clash(c, e);
    if (!has_press(&c->shop->press)) {
        kw_find(c->findings, check_finding(c, "no-press", e->part, bends_place(e->part), 0, 0));
        return;
    }
    if (!e->brake) return;
    struct brake_input in = check_brake_input(c->arena, c->shop, e->body);
    for (int i = 0; i < e->brake->problem_count; i++)
        tell(c, e, &in, &e->brake->problems[i]);
}

// ----------------------------------------------------------------------------- holes near bends

/// Opening of the die that makes `bend`, 0 when there is none.
static double opening_for(const struct checking *c, const struct kw_examined *e, int bend) {
    for (int i = 0; i < e->brake->step_count; i++) {
        const struct kw_brake_step *s = &e->brake->steps[i];
        for (int k = 0; k < s->bend_count; k++)
            if (s->bends[k] == bend && s->die >= 0)
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
    double v = opening_for(c, e, bend);
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
    struct brake_input in = check_brake_input(a, shop, what->body);
    struct kw_brake_plan own = brakes_own(a, what->brake, &in, what->body->bend_count);
    return kw_brake_section(a, &in.part, &in.material, &in.shop, &own, step, reach, out);
}

/// Where the first point of each face ends up; NULL where the press leaves the part unfinished.
static const double (*finished_points(struct kw_arena *a, const struct kw_body *body,
                                      const struct kw_brake_part *part))[3] {
    for (int i = 0; i < body->bend_count; i++)
        if (body->bends[i].kind != KW_BEND_PLAIN) return NULL;
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

bool kw_check_brake_inputs(struct kw_arena *a, const struct kw_shop *shop,
                           const struct kw_examined *what, struct kw_check_brake *out) {
    if (!what->body || !what->brake) return false;
    struct brake_input in = check_brake_input(a, shop, what->body);
    *out = (struct kw_check_brake){
        .part = in.part,
        .material = in.material,
        .shop = in.shop,
        .plan = brakes_own(a, what->brake, &in, what->body->bend_count),
        .finished = finished_points(a, what->body, &in.part),
    };
    return true;
}
