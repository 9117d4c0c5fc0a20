// SPDX-License-Identifier: Apache-2.0
// A sheet part's body and its plan at the brake: they depend on one another by the dies' radii and
// by when its dimples are flared.
#include "check/inside.h"

struct kw_place check_bends_place(const struct kw_part *part) {
    return check_place(part->node, part->flat ? "flat" : "bends");
}

bool check_has_press(const struct kw_press *p) {
    return p->node || p->dies.count > 0 || p->punches.count > 0;
}

/// The dimple that no order gets past the tools; -1.
static int dimple_in_the_way(const struct kw_brake_plan *plan, const struct brake_input *in) {
    for (int i = 0; i < plan->problem_count; i++)
        if (plan->problems[i].bump > 0) return in->bump_of[plan->problems[i].bump - 1];
    return -1;
}

/// One plan with the dimples as they are said to be flared. False when the brake refused the part
/// as such: *err says why.
static bool plan_once(struct checking *c, struct kw_examined *e, enum kw_brake_effort effort,
                      int *in_the_way, struct kw_error *err) {
    struct brake_input in = check_brake_input(c->arena, c->shop, e);
    e->brake = KW_NEW(c->arena, struct kw_brake_plan);
    if (kw_brake_plan_for(c->arena, &in.part, &in.material, &in.shop, effort,
                          check_bends_place(e->part), e->brake, err) != KW_OK) {
        e->brake = NULL;
        return false;
    }
    check_renumber(c->arena, e->brake, in.bend_of);
    *in_the_way = dimple_in_the_way(e->brake, &in);
    return true;
}

/// A dimple that clears the tools neither flat nor, once all is bent, goes into the shop press:
/// flared as late as the press takes the part.
static void flare_between(struct checking *c, struct kw_examined *e, enum kw_brake_effort effort,
                          int dimple) {
    struct kw_brake_plan *last = e->brake;
    struct kw_error unused = {0};
    int in_the_way;
    for (int s = last->step_count - 1; s > 0; s--) {
        e->flare_at[dimple] = last->steps[s - 1].bends[0];
        e->brake = last;
        if (!check_flare_fits(c->arena, c->shop, e, dimple, kw_check_flared_after(e, dimple)))
            continue;
        if (plan_once(c, e, effort, &in_the_way, &unused) && in_the_way < 0 &&
            !e->brake->collides &&
            check_flare_fits(c->arena, c->shop, e, dimple, kw_check_flared_after(e, dimple)))
            return;
    }
    e->flare_at[dimple] = KW_FLARE_LAST;
    e->brake = last;
}

/// Plans with the dimples flared, all but those that no order gets past the tools: they are flared
/// later.
static bool make_plan(struct checking *c, struct kw_examined *e, enum kw_brake_effort effort,
                      struct kw_error *err) {
    int later = -1, dimples = e->body->dimple_count;
    e->flare_at = KW_NEW_ARRAY(c->arena, int, dimples + 1);
    for (int i = 0; i < dimples; i++)
        e->flare_at[i] = KW_FLARE_FLAT;
    do {
        if (later >= 0) e->flare_at[later] = KW_FLARE_LAST;
        if (!plan_once(c, e, effort, &later, err)) return false;
    } while (later >= 0);
    for (int i = 0; i < dimples && effort != KW_BRAKE_TOOLS_ONLY; i++)
        if (e->flare_at[i] == KW_FLARE_LAST && !e->brake->collides &&
            !check_flare_fits(c->arena, c->shop, e, i, e->brake->step_count))
            flare_between(c, e, effort, i);
    return true;
}

/// Dies and radii of the plan for bends without a radius of their own. False when they are those
/// that the body was made with.
static bool tools_of(const struct kw_examined *e, struct kw_bend_tool *tools) {
    bool other = false;
    for (int i = 0; i < e->brake->step_count; i++) {
        const struct kw_brake_step *s = &e->brake->steps[i];
        for (int k = 0; k < s->bend_count && s->die >= 0 && s->stage == 1; k++) {
            const struct kw_bend *b = &e->body->bends[s->bends[k]];
            if (check_own_radius(e->body, b) > 0 || b->kind == KW_BEND_HEM) continue;
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
    enum kw_brake_effort order = c->no_remedies     ? KW_BRAKE_NO_REMEDIES
                                 : c->findings_only ? KW_BRAKE_ANY_ORDER
                                                    : KW_BRAKE_CHEAPEST_ORDER;
    enum kw_brake_effort effort = KW_BRAKE_TOOLS_ONLY;
    for (int turn = 0; turn < 4; turn++) {
        struct kw_error err = {0};
        c->findings->count = first;
        kw_body_make_with(c->arena, c->shop, c->kit, e->part, tools, c->findings, &e->body);
        e->brake = NULL;
        if (!e->body || e->body->bend_count == 0 || !check_has_press(&c->shop->press)) return;
        bool planned = make_plan(c, e, effort, &err);
        if (planned && effort == KW_BRAKE_TOOLS_ONLY) {
            bool others = tools_of(e, tools);
            effort = order;
            if (others) continue;
            planned = make_plan(c, e, effort, &err);
        }
        if (!planned) {
            struct kw_finding f =
                check_finding(c, "bend-plan", e->part, check_bends_place(e->part), 0, 0);
            f.says = kw_format(c->arena, "the bends of %s can't be planned: %s", e->part->name,
                               err.text);
            kw_find(c->findings, f);
            return;
        }
        if (!tools_of(e, tools)) return;
    }
}
