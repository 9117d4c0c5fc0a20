// SPDX-License-Identifier: Apache-2.0
// Cartons: every part and bag of a kit as boxes into the shop's cartons.
#include "run/inside.h"

#include <math.h>

// Loose steel hardware in a bag, kg per mm3: about a third of solid steel (common practice, no
// source). A bag lies flat, 150 x 100 mm, at least 15 mm thick.
static const double bag_density = 2.6e-6;
static const double bag_length = 150, bag_width = 100, bag_least = 15;

static int bag_pieces(const struct kw_bag *bag, const struct kw_bag_item *item) {
    return item->count + bag->spare;
}

static double bag_mass(const struct kw_shop *shop, const struct kw_bag *bag) {
    double mass = 0;
    for (int i = 0; i < bag->holds.count; i++) {
        const struct kw_bag_item *item = KW_ITEM(struct kw_bag_item, bag->holds, i);
        const struct kw_hardware *h = kw_shop_hardware(shop, item->name);
        kw_assert(h); // the kit reader refuses unknown hardware
        mass += h->mass * bag_pieces(bag, item);
    }
    return mass;
}

struct box_list {
    struct kw_carton_box *boxes;
    const char **names;
    int *parts;
    int count;
};

static void add_box(struct kw_week *w, struct box_list *list, struct kw_carton_box box,
                    const char *name, int part) {
    int a = list->count, b = list->count;
    KW_PUSH(w->arena, list->names, a) = name;
    KW_PUSH(w->arena, list->parts, b) = part;
    KW_PUSH(w->arena, list->boxes, list->count) = box;
}

static void add_part(struct kw_week *w, struct box_list *list, const struct kw_examined *what,
                     int part, int count, const char *hand) {
    if (count == 0) return;
    add_box(w, list, kw_check_carton_box(what, count),
            kw_format(w->arena, "%s%s%s", what->part->name, *hand ? " " : "", hand), part);
}

static struct box_list boxes_of_kit(struct kw_week *w, const struct kw_run_kit *row) {
    struct box_list list = {0};
    for (int p = 0; p < row->part_count; p++) {
        const struct kw_examined *what = &row->parts[p];
        add_part(w, &list, what, p, what->part->each, "");
        add_part(w, &list, what, p, what->part->left, "left");
        add_part(w, &list, what, p, what->part->right, "right");
    }
    for (int i = 0; i < row->kit->bags.count; i++) {
        const struct kw_bag *bag = KW_ITEM(struct kw_bag, row->kit->bags, i);
        double mass = bag_mass(w->shop, bag);
        double thick = fmax(bag_least, mass / bag_density / (bag_length * bag_width));
        struct kw_carton_box box = {.size = {bag_length, bag_width, thick},
                                    .mass = mass,
                                    .count = 1,
                                    .upright = {true, true, true}};
        add_box(w, &list, box, kw_format(w->arena, "bag %s", bag->name), -1);
    }
    return list;
}

static void report(struct kw_week *w, const struct kw_run_packing *packing,
                   const struct kw_carton_problem *p) {
    int part = packing->parts[p->box];
    const struct kw_part *about =
        part < 0 ? NULL : KW_ITEM(struct kw_part, packing->kit->parts, part);
    kw_find(&w->findings, kw_check_carton_finding(w->arena, w->shop, packing->kit, about,
                                                  packing->names[p->box], p));
}

static void two_people(struct kw_week *w, const struct kw_run_packing *packing) {
    double heaviest = 0;
    for (int i = 0; i < packing->plan.carton_count; i++) {
        heaviest = fmax(heaviest, packing->plan.cartons[i].gross_mass);
    }
    if (!(heaviest > w->shop->press.one_person) || !(w->shop->press.one_person > 0)) return;
    char have[48], most[48];
    enum kw_length_unit unit = (enum kw_length_unit)w->shop->units;
    struct kw_finding f =
        kw_rule_finding("carton-two-people", packing->kit, NULL, packing->kit->node->at);
    f.measured = heaviest;
    f.limit = w->shop->press.one_person;
    f.says = kw_format(w->arena, "the carton of %s weighs %s: two people lift over %s",
                       packing->kit->name, kw_mass_text(have, heaviest, unit),
                       kw_mass_text(most, f.limit, unit));
    kw_find(&w->findings, f);
}

/// An empty plan where the shop sends no parcels: kits are picked then, not packed.
static enum kw_status plan_cartons(struct kw_week *w, const struct kw_run_kit *row,
                                   const struct box_list *list, struct kw_carton_plan *plan,
                                   struct kw_error *err) {
    struct kw_check_cartons c = kw_check_cartons(w->arena, w->shop);
    if (c.count == 0) return KW_OK;
    enum kw_status s = kw_carton_plan(w->arena, list->boxes, list->count, c.kinds, c.count,
                                      &c.rules, row->kit->node->at, plan, err);
    if (s != KW_OK) return s;
    return kw_carton_check(plan, list->boxes, list->count, c.kinds, c.count, &c.rules, err);
}

static enum kw_status pack_kit(struct kw_week *w, struct kw_run_kit *row, struct kw_error *err) {
    struct box_list list = boxes_of_kit(w, row);
    if (list.count == 0) return KW_OK;
    struct kw_run_packing packing = {
        .kit = row->kit, .names = list.names, .parts = list.parts, .box_count = list.count};
    for (int i = 0; i < list.count; i++) {
        packing.net_mass += list.boxes[i].mass * list.boxes[i].count;
    }
    enum kw_status s = plan_cartons(w, row, &list, &packing.plan, err);
    if (s != KW_OK) return s;
    for (int i = 0; i < packing.plan.problem_count; i++) {
        report(w, &packing, &packing.plan.problems[i]);
    }
    if (packing.plan.problem_count > 0) {
        run_leave_out(w, row->kit, "", row->boxed, "it fits no carton: see the findings");
        row->boxed = 0;
    }
    two_people(w, &packing);
    KW_PUSH(w->arena, w->packings, w->packing_count) = packing;
    return KW_OK;
}

// Boxes that can be filled with what found room on sheets and sticks; spares ordered come second.
static void limit_by_placed(struct kw_week *w, struct kw_run_kit *row) {
    for (int i = 0; i < w->make_count; i++) {
        const struct kw_make *m = &w->makes[i];
        if (m->kit != row->kit || m->placed >= m->needed) continue;
        int each = run_per_kit(m->part, m->hand);
        if (each > 0 && m->placed / each < row->boxed) row->boxed = m->placed / each;
    }
}

enum kw_status run_packings(struct kw_week *w, struct kw_error *err) {
    for (int i = 0; i < w->run_kit_count; i++) {
        int before = w->run_kits[i].boxed;
        limit_by_placed(w, &w->run_kits[i]);
        if (w->run_kits[i].boxed < before) {
            run_leave_out(w, w->run_kits[i].kit, "", before - w->run_kits[i].boxed,
                          "parts are missing for so many boxes: see the rows above");
        }
        if (w->run_kits[i].boxed == 0) continue;
        enum kw_status s = pack_kit(w, &w->run_kits[i], err);
        if (s != KW_OK) return s;
    }
    return KW_OK;
}
