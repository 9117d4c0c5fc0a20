// SPDX-License-Identifier: Apache-2.0
// The invariant of a carton plan. Shares no code with the packer: own turns, own rounding.
#include "carton/carton.h"

#include <math.h>

#define SAME_MM 1e-4
#define SAME_KG 1e-6

struct checked {
    const struct kw_carton_plan *plan;
    const struct kw_carton_box *boxes;
    int box_count;
    const struct kw_carton_kind *kinds;
    int kind_count;
    const struct kw_carton_rules *rules;
    struct kw_error *err;
    int carton;
};

#define FAULT(c, ...) kw_fail((c)->err, KW_JUDGE, (struct kw_place){0}, __VA_ARGS__)

static bool near_mm(double a, double b) {
    return fabs(a - b) <= SAME_MM;
}

/// The size is a turn of the box, the one its code says, with a side upright that may be.
static enum kw_status check_turn(const struct checked *c, const struct kw_carton_placed *p) {
    static const char *const codes[] = {"lwh", "wlh", "lhw", "hlw", "whl", "hwl"};
    if (p->turn < 0 || p->turn > 5) return FAULT(c, "carton %d: turn %d", c->carton, p->turn);
    const struct kw_carton_box *b = &c->boxes[p->box];
    for (int i = 0; i < 3; i++) {
        char side = codes[p->turn][i];
        int axis = side == 'l' ? 0 : side == 'w' ? 1 : 2;
        if (!near_mm(p->size[i], b->size[axis]))
            return FAULT(c, "carton %d: box %d is not turned %s", c->carton, p->box,
                         codes[p->turn]);
        bool any = b->upright[0] || b->upright[1] || b->upright[2];
        if (i == 2 && (any ? !b->upright[axis] : axis != 2))
            return FAULT(c, "carton %d: box %d stands on a side it may not", c->carton, p->box);
    }
    return KW_OK;
}

static enum kw_status check_inside(const struct checked *c, const struct kw_carton_placed *p,
                                   const struct kw_carton_kind *k) {
    for (int i = 0; i < 3; i++) {
        double gap = c->rules->wall_gap;
        if (!(p->at[i] >= gap - SAME_MM && p->at[i] + p->size[i] <= k->inside[i] - gap + SAME_MM))
            return FAULT(c, "carton %d: box %d is not inside", c->carton, p->box);
    }
    return KW_OK;
}

/// Length that two spans share, negative when they are apart.
static double shared(const struct kw_carton_placed *p, const struct kw_carton_placed *q, int axis) {
    return fmin(p->at[axis] + p->size[axis], q->at[axis] + q->size[axis]) -
           fmax(p->at[axis], q->at[axis]);
}

static enum kw_status check_pair(const struct checked *c, const struct kw_carton_placed *p,
                                 const struct kw_carton_placed *q) {
    double x = shared(p, q, 0), y = shared(p, q, 1), z = shared(p, q, 2);
    if (x > SAME_MM && y > SAME_MM && z > -c->rules->layer_gap + SAME_MM)
        return FAULT(c, "carton %d: boxes %d and %d overlap", c->carton, p->box, q->box);
    return KW_OK;
}

/// Support from the boxes whose top is a layer gap under it, and the layer that follows.
static enum kw_status check_support(const struct checked *c, const struct kw_carton *k,
                                    const struct kw_carton_placed *p) {
    double area = 0, need = c->rules->support > 0 ? c->rules->support : 0.7;
    int layer = 0;
    for (int i = 0; i < k->placed_count; i++) {
        const struct kw_carton_placed *q = &k->placed[i];
        double x = shared(p, q, 0), y = shared(p, q, 1);
        if (q == p || x <= SAME_MM || y <= SAME_MM ||
            !near_mm(q->at[2] + q->size[2] + c->rules->layer_gap, p->at[2]))
            continue;
        area += x * y;
        if (q->layer + 1 > layer) layer = q->layer + 1;
    }
    bool floor = p->at[2] <= c->rules->wall_gap + SAME_MM;
    if (!floor && area < need * p->size[0] * p->size[1] - SAME_MM)
        return FAULT(c, "carton %d: box %d rests on %.0f %% of its base", c->carton, p->box,
                     100 * area / (p->size[0] * p->size[1]));
    if (p->layer != layer)
        return FAULT(c, "carton %d: box %d in layer %d, not %d", c->carton, p->box, p->layer,
                     layer);
    return KW_OK;
}

static enum kw_status check_boxes(const struct checked *c, const struct kw_carton *k) {
    for (int i = 0; i < k->placed_count; i++) {
        const struct kw_carton_placed *p = &k->placed[i];
        if (p->box < 0 || p->box >= c->box_count)
            return FAULT(c, "carton %d: box %d is not one", c->carton, p->box);
        enum kw_status s = check_turn(c, p);
        if (!s) s = check_inside(c, p, &c->kinds[k->kind]);
        for (int j = 0; j < i && !s; j++)
            s = check_pair(c, p, &k->placed[j]);
        if (!s) s = check_support(c, k, p);
        if (!s && i > 0 && k->placed[i - 1].layer > p->layer)
            s = FAULT(c, "carton %d: layers are not in order", c->carton);
        if (s) return s;
    }
    return KW_OK;
}

static double stepped(double v, double step) {
    if (!(step > 0)) return v;
    double n = floor(v / step);
    return v - n * step <= 1e-6 * step ? n * step : (n + 1) * step;
}

static enum kw_status check_sums(const struct checked *c, const struct kw_carton *k) {
    const struct kw_carton_kind *kind = &c->kinds[k->kind];
    double mass = 0, side[3], bill = 0;
    for (int i = 0; i < k->placed_count; i++)
        mass += c->boxes[k->placed[i].box].mass;
    if (fabs(mass - k->net_mass) > SAME_KG || fabs(mass + kind->tare - k->gross_mass) > SAME_KG)
        return FAULT(c, "carton %d: masses do not add up", c->carton);
    for (int i = 0; i < 3; i++) {
        side[i] = stepped(kind->inside[i] + 2 * kind->wall, c->rules->size_step);
        if (!near_mm(side[i], k->outside[i])) return FAULT(c, "carton %d: outside", c->carton);
    }
    double longest = fmax(side[0], fmax(side[1], side[2]));
    double girth = 2 * (side[0] + side[1] + side[2] - longest);
    if (!near_mm(longest + girth, k->length_girth)) return FAULT(c, "carton %d: girth", c->carton);
    if (c->rules->divisor > 0) bill = side[0] * side[1] * side[2] / c->rules->divisor;
    bill = stepped(fmax(bill, k->gross_mass), c->rules->mass_step);
    if (fabs(bill - k->billable_mass) > SAME_KG)
        return FAULT(c, "carton %d: billed for %f kg, not %f", c->carton, k->billable_mass, bill);
    const struct kw_carton_rules *r = c->rules;
    if ((r->most_mass > 0 && k->gross_mass > r->most_mass + SAME_KG) ||
        (kind->most_gross > 0 && k->gross_mass > kind->most_gross + SAME_KG) ||
        (r->most_length > 0 && longest > r->most_length + SAME_MM) ||
        (r->most_length_girth > 0 && longest + girth > r->most_length_girth + SAME_MM))
        return FAULT(c, "carton %d is over a limit", c->carton);
    return KW_OK;
}

/// Every copy once, in a carton or in a problem.
static enum kw_status check_counts(const struct checked *c) {
    struct kw_arena scratch = {0};
    enum kw_status s = KW_OK;
    for (int b = 0; b < c->box_count && !s; b++) {
        int many = c->boxes[b].count, seen = 0;
        bool *copy = kw_alloc(&scratch, (size_t)many);
        for (int i = 0; i < c->plan->carton_count; i++)
            for (int j = 0; j < c->plan->cartons[i].placed_count; j++) {
                const struct kw_carton_placed *p = &c->plan->cartons[i].placed[j];
                if (p->box != b) continue;
                if (p->copy < 0 || p->copy >= many || copy[p->copy])
                    s = FAULT(c, "box %d: copy %d is packed twice or is none", b, p->copy);
                else
                    copy[p->copy] = true;
                seen++;
            }
        for (int i = 0; i < c->plan->problem_count; i++)
            if (c->plan->problems[i].box == b) seen += c->plan->problems[i].count;
        if (!s && seen != many) s = FAULT(c, "box %d: %d of %d are there", b, seen, many);
    }
    kw_arena_free(&scratch);
    return s;
}

static enum kw_status check_stock(const struct checked *c) {
    for (int k = 0; k < c->kind_count; k++) {
        int used = 0;
        for (int i = 0; i < c->plan->carton_count; i++)
            used += c->plan->cartons[i].kind == k;
        if (c->kinds[k].count >= 0 && used > c->kinds[k].count)
            return FAULT(c, "%d cartons of kind %d, %d in stock", used, k, c->kinds[k].count);
    }
    return KW_OK;
}

enum kw_status kw_carton_check(const struct kw_carton_plan *plan, const struct kw_carton_box *boxes,
                               int box_count, const struct kw_carton_kind *kinds, int kind_count,
                               const struct kw_carton_rules *rules, struct kw_error *err) {
    struct checked c = {plan, boxes, box_count, kinds, kind_count, rules, err, 0};
    for (; c.carton < plan->carton_count; c.carton++) {
        const struct kw_carton *k = &plan->cartons[c.carton];
        if (k->kind < 0 || k->kind >= kind_count) return FAULT(&c, "carton %d: kind", c.carton);
        if (k->placed_count < 1) return FAULT(&c, "carton %d is empty", c.carton);
        enum kw_status s = check_boxes(&c, k);
        if (!s) s = check_sums(&c, k);
        if (s) return s;
    }
    enum kw_status s = check_counts(&c);
    return s ? s : check_stock(&c);
}
