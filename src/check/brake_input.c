// SPDX-License-Identifier: Apache-2.0
// A sheet part's bends, the press and its tools as the brake wants them.
#include "check/inside.h"
#include "shop/learned.h"

const char *check_face_name(struct kw_arena *a, const struct kw_body *body, int face) {
    if (body->faces[face].bend < 0) return "base";
    const struct kw_bend *b = &body->bends[body->faces[face].bend];
    return kw_format(a, b->flange >= 0 ? "flange %s" : "flat beyond bend %s", b->id);
}

/// A hem is turned so far on the die before it is flattened (common practice, no source).
#define HEM_FIRST_TURN (135 * KW_PI / 180)

/// The radius that the part asks for, 0: what the die gives. A hem's comes of flattening.
double check_own_radius(const struct kw_body *body, const struct kw_bend *b) {
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
                                  .radius = check_own_radius(body, b),
                                  .down = b->way == KW_DOWN,
                                  .allowance = b->allowance,
                                  .hole_gap = b->hole_gap,
                                  .legs = {b->legs[0], b->legs[1]},
                                  .own_tool = b->kind == KW_BEND_OFFSET,
                                  .hem = b->kind == KW_BEND_HEM,
                                  .flat_radius = b->kind == KW_BEND_HEM ? b->radius : 0,
                                  .mates = b->mates};
}

/// Dimples that are flared before the last bend stand out of the part at the press.
static void add_bumps(struct kw_arena *a, const struct kw_shop *shop, const struct kw_examined *e,
                      const int *flat, const int *bend_of, int *bump_of,
                      struct kw_brake_part *part) {
    const struct kw_body *body = e->body;
    struct kw_brake_bump *bumps = KW_NEW_ARRAY(a, struct kw_brake_bump, body->dimple_count + 1);
    part->bumps = bumps;
    for (int i = 0; i < body->dimple_count; i++) {
        const struct kw_dimple_spot *s = &body->dimples[i];
        const struct kw_dimple_die *d = KW_ITEM(struct kw_dimple_die, shop->dimple_dies, s->die);
        int at = e->flare_at ? e->flare_at[i] : KW_FLARE_FLAT, after = 0;
        if (at == KW_FLARE_LAST) continue;
        for (int b = 0; b < part->bend_count && at >= 0; b++)
            if (bend_of[b] == at) after = b + 1;
        bump_of[part->bump_count] = i;
        bumps[part->bump_count++] = (struct kw_brake_bump){
            flat[s->face], s->at, d->flare / 2, d->height, s->way == KW_DOWN, after};
    }
}

/// Tabs bent by hand stay flat here: they and what carries them are one face.
static struct kw_brake_part brake_part(struct kw_arena *a, const struct kw_shop *shop,
                                       const struct kw_examined *e, int *flat, int *bend_of,
                                       int *bump_of) {
    const struct kw_body *body = e->body;
    struct kw_brake_face *faces = KW_NEW_ARRAY(a, struct kw_brake_face, body->face_count);
    struct kw_brake_bend *bends = KW_NEW_ARRAY(a, struct kw_brake_bend, body->bend_count + 1);
    int face_count = 0, bend_count = 0;
    for (int i = 0; i < body->face_count; i++) {
        int first;
        struct kw_path outline = kw_body_shipped_flat(a, body, i, &first);
        flat[i] = first < i ? flat[first] : face_count;
        if (first == i)
            faces[face_count++] = (struct kw_brake_face){check_face_name(a, body, i), outline};
    }
    for (int i = 0; i < body->bend_count; i++) {
        if (body->bends[i].kind == KW_BEND_HAND) continue;
        bend_of[bend_count] = i;
        bends[bend_count++] = brake_bend(body, &body->bends[i], flat);
    }
    struct kw_brake_part part = {.faces = faces,
                                 .face_count = face_count,
                                 .bends = bends,
                                 .bend_count = bend_count,
                                 .mass = body->mass};
    add_bumps(a, shop, e, flat, bend_of, bump_of, &part);
    return part;
}

/// Calls the bends of a plan by other numbers.
void check_renumber(struct kw_arena *a, struct kw_brake_plan *plan, const int *number) {
    for (int s = 0; s < plan->step_count; s++) {
        struct kw_brake_step *step = &plan->steps[s];
        int *bends = KW_NEW_ARRAY(a, int, step->bend_count + 1);
        for (int k = 0; k < step->bend_count; k++)
            bends[k] = number[step->bends[k]];
        step->bends = bends;
    }
    int *obvious = KW_NEW_ARRAY(a, int, plan->obvious_count + 1);
    for (int i = 0; i < plan->obvious_count; i++)
        obvious[i] = number[plan->obvious[i]];
    plan->obvious = obvious;
    for (int i = 0; i < plan->problem_count; i++)
        plan->problems[i].bend = number[plan->problems[i].bend];
}

/// A plan by the body's numbers, as the brake made it.
struct kw_brake_plan check_brakes_own(struct kw_arena *a, const struct kw_brake_plan *plan,
                                      const struct brake_input *in, int bend_count) {
    struct kw_brake_plan own = *plan;
    int *number = KW_NEW_ARRAY(a, int, bend_count + 1);
    for (int i = 0; i < in->part.bend_count; i++)
        number[in->bend_of[i]] = i;
    own.problem_count = 0; // a picture asks for none
    own.steps = KW_NEW_ARRAY(a, struct kw_brake_step, plan->step_count + 1);
    for (int i = 0; i < plan->step_count; i++)
        own.steps[i] = plan->steps[i];
    check_renumber(a, &own, number);
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
                                     const struct kw_examined *e) {
    const struct kw_body *body = e->body;
    struct brake_input in;
    const struct kw_press *p = &shop->press;
    const struct kw_material *m = kw_shop_material(shop, &body->part->stock);
    int hems = p->hemming.count;
    struct kw_brake_die *dies = KW_NEW_ARRAY(a, struct kw_brake_die, p->dies.count + hems + 1);
    struct kw_brake_punch *punches =
        KW_NEW_ARRAY(a, struct kw_brake_punch, p->punches.count + hems + 1);
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
                                             .both_ways = d->ways == 1,
                                             .profile = d->section};
        punches[i].segments = segments_of(a, d->segments, &punches[i].segment_count);
    }
    for (int i = 0; i < hems; i++) { // their two halves stand after the dies and the punches
        const struct kw_press_tool *h = KW_ITEM(struct kw_press_tool, p->hemming, i);
        struct kw_brake_die *low = &dies[p->dies.count + i];
        struct kw_brake_punch *high = &punches[p->punches.count + i];
        *low = (struct kw_brake_die){.id = h->name,
                                     .flat = true,
                                     .height = h->height,
                                     .width = h->width,
                                     .rating = h->rating,
                                     .length = h->length};
        *high = (struct kw_brake_punch){.id = h->name,
                                        .flat = true,
                                        .height = h->upper,
                                        .width = h->width,
                                        .rating = h->rating,
                                        .length = h->length};
        low->segments = segments_of(a, h->segments, &low->segment_count);
        high->segments = segments_of(a, h->segments, &high->segment_count);
    }
    in.bend_of = KW_NEW_ARRAY(a, int, body->bend_count + 1);
    in.bump_of = KW_NEW_ARRAY(a, int, body->dimple_count + 1);
    in.flat = KW_NEW_ARRAY(a, int, body->face_count);
    in.part = brake_part(a, shop, e, in.flat, in.bend_of, in.bump_of);
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
                                               .finger_width = p->finger_width,
                                               .finger_height = p->finger_height,
                                               .finger_depth = p->finger_depth,
                                               .fingers_least = p->fingers_least,
                                               .fingers_most = p->fingers_most,
                                               .hold_clear = p->hold_clear,
                                               .bed_moves = p->bed_moves == 1,
                                               .gauge_stays = p->gauge_on == 1,
                                               .flatten_share = kw_rule_limit(shop, "hem-force"),
                                               .ram_width = p->ram_width,
                                               .bed_width = p->bed_width,
                                               .one_person_mass = p->one_person},
                                     .seconds = seconds_of(p),
                                     .dies = dies,
                                     .die_count = p->dies.count + hems,
                                     .punches = punches,
                                     .punch_count = p->punches.count + hems};
    return in;
}
