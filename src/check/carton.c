// SPDX-License-Identifier: Apache-2.0
// Whether each piece goes into a carton that may be sent, before any of it is cut.
#include "check/inside.h"

// Carriers bill whole pounds and measure whole inches (common practice); kg shops whole kg.
static struct kw_carton_rules rules_of(const struct kw_shop *shop) {
    const struct kw_parcel *p = &shop->parcel;
    double in3_per_lb = KW_MM_PER_IN * KW_MM_PER_IN * KW_MM_PER_IN / KW_KG_PER_LB;
    return (struct kw_carton_rules){.most_mass = p->most_mass,
                                    .most_length = p->most_length,
                                    .most_length_girth = p->most_girth,
                                    .divisor = p->divisor * in3_per_lb,
                                    .mass_step = shop->units == KW_IN ? KW_KG_PER_LB : 1,
                                    .size_step = KW_MM_PER_IN,
                                    .wall_gap = p->padding,
                                    .layer_gap = p->padding / 4};
}

struct kw_check_cartons kw_check_cartons(struct kw_arena *a, const struct kw_shop *shop) {
    struct kw_check_cartons all = {.count = shop->cartons.count, .rules = rules_of(shop)};
    all.kinds = KW_NEW_ARRAY(a, struct kw_carton_kind, all.count + 1);
    for (int i = 0; i < all.count; i++) {
        const struct kw_box_size *c = KW_ITEM(struct kw_box_size, shop->cartons, i);
        all.kinds[i] = (struct kw_carton_kind){.inside = {c->length, c->width, c->height},
                                               .wall = c->wall,
                                               .tare = c->tare + shop->parcel.fill_mass,
                                               .price = c->price,
                                               .most_gross = c->most_mass,
                                               .count = -1};
    }
    return all;
}

struct kw_carton_box kw_check_carton_box(const struct kw_examined *what, int count) {
    struct kw_vec3 size = kw_sub3(what->box.max, what->box.min);
    return (struct kw_carton_box){.size = {size.x, size.y, size.z},
                                  .mass = what->mass,
                                  .count = count,
                                  .upright = {true, true, true}};
}

/// What is measured and its limit in words: lengths or masses.
static const char *figures(const struct checking *c, const struct kw_carton_problem *p) {
    switch (p->kind) {
    case KW_CARTON_NO_CARTON:
        if (p->carton < 0) return "the shop has none";
        return kw_format(c->arena, "one side is %s, and %s, which comes nearest, has room for %s",
                         check_length(c, p->measured),
                         KW_ITEM(struct kw_box_size, c->shop->cartons, p->carton)->name,
                         check_length(c, p->limit));
    case KW_CARTON_TOO_HEAVY:
        return kw_format(c->arena, "%s with the carton, %s may be sent", check_mass(c, p->measured),
                         check_mass(c, p->limit));
    case KW_CARTON_NO_STOCK:
        return kw_format(c->arena, "%.0f left over", p->measured);
    default:
        return kw_format(c->arena, "%s, %s may be sent", check_length(c, p->measured),
                         check_length(c, p->limit));
    }
}

struct kw_finding kw_check_carton_finding(struct kw_arena *a, const struct kw_shop *shop,
                                          const struct kw_kit *kit, const struct kw_part *part,
                                          const char *name, const struct kw_carton_problem *p) {
    static const char *const rule[] = {[KW_CARTON_NO_CARTON] = "no-carton",
                                       [KW_CARTON_TOO_HEAVY] = "carton-heavy",
                                       [KW_CARTON_TOO_LONG] = "parcel-long",
                                       [KW_CARTON_OVER_GIRTH] = "parcel-girth",
                                       [KW_CARTON_NO_STOCK] = "cartons-short"};
    struct checking c = {.arena = a, .shop = shop, .kit = kit};
    const struct kw_node *node = part ? part->node : kit->node;
    struct kw_finding f = check_finding(
        &c, rule[p->kind], part, node ? node->at : (struct kw_place){0}, p->measured, p->limit);
    f.unit = kw_carton_problem_unit(p->kind);
    f.says = kw_format(a, "%s of %s: %s; %s", name, kit->name, kw_rule_named(rule[p->kind])->says,
                       figures(&c, p));
    return f;
}

void check_carton(struct checking *c, const struct kw_examined *e) {
    if (!c->cartons.kinds) c->cartons = kw_check_cartons(c->arena, c->shop);
    bool made = e->part->stock.kind == KW_SHEET ? e->body != NULL : e->box.max.x > e->box.min.x;
    if (c->cartons.count == 0 || !made) return; // nothing is sent, or told already
    struct kw_carton_box box = kw_check_carton_box(e, 1);
    struct kw_carton_problem why;
    if (!kw_carton_refuses(&box, c->cartons.kinds, c->cartons.count, &c->cartons.rules, &why))
        return;
    kw_find(c->findings,
            kw_check_carton_finding(c->arena, c->shop, c->kit, e->part, e->part->name, &why));
}
