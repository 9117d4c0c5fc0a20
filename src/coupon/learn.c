// SPDX-License-Identifier: Apache-2.0
// Coupons sorted by stock and die, and each group fitted.
#include "coupon/inside.h"

#define DEGREE (KW_PI / 180)

// Closer than this to the fit nothing is odd: a tape, caliper and protractor in a shop read no
// finer (common practice, no source).
#define LENGTH_NOISE_MM 0.1
#define ANGLE_NOISE     (0.1 * DEGREE)

/// Three coupons over this span give springback a slope of its own.
#define SLOPE_SPAN (20 * DEGREE)

// One more bend may add 1/64 in to a part (trade's tolerance of folded parts): a fit that may be
// off by half of it is good, by all of it fair.
#define FAIR_MM (KW_MM_PER_IN / 64)
#define GOOD_MM (KW_MM_PER_IN / 128)

const char *kw_trust_word(enum kw_trust trust) {
    static const char *const words[] = {"not yet", "rough", "fair", "good"};
    return words[trust];
}

// ----------------------------------------------------------------------------------------- points

static void add_point(struct kw_arena *a, struct kw_points *p, int coupon, double x, double y) {
    int n = p->count, m = p->count, k = p->count;
    KW_PUSH(a, p->coupons, n) = coupon;
    KW_PUSH(a, p->x, m) = x;
    KW_PUSH(a, p->y, k) = y;
    p->count++;
}

static void fit_points(struct kw_arena *a, struct kw_points *p, int terms, double noise) {
    if (p->count == 0) return;
    p->fit = kw_fit_line(p->x, p->y, p->count, terms);
    p->odd = KW_NEW_ARRAY(a, bool, p->count);
    for (int i = 0; i < p->count; i++)
        p->odd[i] = kw_fit_odd(&p->fit, p->x, p->y, i, noise);
}

static void fit_springs(struct kw_arena *a, struct kw_points *p, struct kw_spring *use) {
    double least = INFINITY, most = 0;
    for (int i = 0; i < p->count; i++) {
        least = fmin(least, p->x[i]);
        most = fmax(most, p->x[i]);
    }
    fit_points(a, p, p->count >= 3 && most - least >= SLOPE_SPAN ? 2 : 1, ANGLE_NOISE);
    if (p->count == 0) return;
    *use = (struct kw_spring){.count = p->count,
                              .slope = p->fit.slope,
                              .offset = p->fit.offset,
                              .source = kw_format(a, "coupons (%d)", p->count)};
}

static bool same_group(const struct kw_coupon *a, const struct kw_coupon *b) {
    return a->die == b->die && kw_stock_same(&a->stock, &b->stock);
}

// ------------------------------------------------------------------------------------------ sheet

static double radius_of(const struct kw_shop *shop, const struct kw_coupons *all, int first,
                        bool *measured) {
    double sum = 0;
    int n = 0;
    for (int i = first; i < all->count; i++) {
        if (!same_group(&all->v[first], &all->v[i]) || !(all->v[i].radius > 0)) continue;
        sum += all->v[i].radius;
        n++;
    }
    *measured = n > 0;
    return n > 0 ? sum / n : coupon_natural_radius(shop, &all->v[first].stock, all->v[first].die);
}

static enum kw_trust trust_of(double half) {
    if (isinf(half)) return KW_TRUST_NONE;
    return half <= GOOD_MM ? KW_TRUST_GOOD : half <= FAIR_MM ? KW_TRUST_FAIR : KW_TRUST_ROUGH;
}

static struct kw_bend_group bend_group(struct kw_arena *a, const struct kw_shop *shop,
                                       const struct kw_coupons *all, int first) {
    struct kw_bend_group g = {0};
    struct kw_learned_bend *use = &g.use;
    double r = radius_of(shop, all, first, &g.radius_measured);
    for (int i = first; i < all->count; i++) {
        const struct kw_coupon *c = &all->v[i];
        if (!same_group(&all->v[first], c)) continue;
        add_point(a, &g.lengths, i, c->angle * c->thickness, coupon_allowance(c, r) - c->angle * r);
        double set = c->angle_set > 0 ? c->angle_set
                     : c->depth > 0   ? coupon_angle_at_depth(shop, c, r)
                                      : 0;
        if (set > 0) add_point(a, &g.springs, i, c->angle, set);
    }
    fit_points(a, &g.lengths, 1, LENGTH_NOISE_MM);
    fit_springs(a, &g.springs, &use->spring);
    const struct kw_line_fit *fit = &g.lengths.fit;
    double t = all->v[first].stock.thickness;
    *use = (struct kw_learned_bend){.stock = all->v[first].stock,
                                    .die = all->v[first].die,
                                    .count = g.lengths.count,
                                    .radius = r,
                                    .k = fit->slope,
                                    .deduction = 2 * (r + t) - KW_PI / 2 * (r + fit->slope * t),
                                    .source = kw_format(a, "coupons (%d)", g.lengths.count),
                                    .spring = use->spring};
    g.scatter = fit->deviation;
    g.half = kw_fit_half_at(fit, KW_PI / 2 * t);
    g.trust = trust_of(g.half);
    return g;
}

// ------------------------------------------------------------------------------------------- tube

static struct kw_tube_group tube_group(struct kw_arena *a, const struct kw_coupons *all,
                                       int first) {
    struct kw_tube_group g = {.use = {.stock = all->v[first].stock, .die = all->v[first].die}};
    struct kw_points radii = {0}, lines = {0};
    for (int i = first; i < all->count; i++) {
        const struct kw_coupon *c = &all->v[i];
        if (!same_group(&all->v[first], c)) continue;
        add_point(a, &g.springs, i, c->angle, c->angle_set);
        if (c->radius > 0) add_point(a, &radii, i, 1, c->radius);
        if (c->taken > 0) add_point(a, &lines, i, 1, c->taken / c->angle);
    }
    fit_springs(a, &g.springs, &g.use.spring);
    fit_points(a, &radii, 1, LENGTH_NOISE_MM); // through the origin at x = 1: the mean
    fit_points(a, &lines, 1, LENGTH_NOISE_MM);
    g.use.neutral = lines.count > 0 ? lines.fit.slope : 0;
    if (radii.count == 0) radii = lines; // nobody measured the radius itself
    g.use.radius_count = radii.count;
    g.radius_half = INFINITY;
    if (radii.count == 0) return g;
    g.use.radius = radii.fit.slope;
    g.radius_half = kw_fit_half_at(&radii.fit, 1);
    return g;
}

// -------------------------------------------------------------------------------------- the whole

static bool is_first(const struct kw_coupons *all, int i) {
    for (int j = 0; j < i; j++)
        if (same_group(&all->v[j], &all->v[i])) return false;
    return true;
}

struct kw_lessons kw_coupons_learn(struct kw_arena *a, const struct kw_shop *shop,
                                   const struct kw_coupons *coupons) {
    struct kw_lessons out = {0};
    struct kw_learned_bend *bends = NULL;
    struct kw_learned_tube *tubes = NULL;
    for (int i = 0; i < coupons->count; i++) {
        if (!is_first(coupons, i)) continue;
        if (coupons->v[i].stock.kind == KW_SHEET) {
            struct kw_bend_group g = bend_group(a, shop, coupons, i);
            KW_PUSH(a, out.bends, out.bend_count) = g;
            KW_PUSH(a, bends, out.learned.bend_count) = g.use;
        } else {
            struct kw_tube_group g = tube_group(a, coupons, i);
            KW_PUSH(a, out.tubes, out.tube_count) = g;
            KW_PUSH(a, tubes, out.learned.tube_count) = g.use;
        }
    }
    out.learned.bends = bends;
    out.learned.tubes = tubes;
    return out;
}

enum kw_status kw_shop_learn(struct kw_arena *a, struct kw_shop *shop, const char *folder,
                             struct kw_error *err) {
    struct kw_coupons coupons;
    enum kw_status s =
        kw_coupons_read(a, shop, kw_format(a, "%s/coupons.csv", folder), false, &coupons, err);
    if (s != KW_OK || coupons.count == 0) return s;
    struct kw_lessons *lessons = KW_NEW(a, struct kw_lessons);
    *lessons = kw_coupons_learn(a, shop, &coupons);
    shop->learned = &lessons->learned;
    return KW_OK;
}
