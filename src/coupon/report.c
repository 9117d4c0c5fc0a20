// SPDX-License-Identifier: Apache-2.0
// What the coupons say, in words and as JSON.
#include "coupon/coupon.h"

#include <stdio.h>

#define DEGREES (180 / KW_PI)

/// Thousandths of an inch or hundredths of a millimetre: finer than a tape, as fits are.
static const char *fine(const struct kw_shop *shop, char buf[static 48], double mm) {
    char number[KW_NUMBER_SIZE];
    if (shop->units == KW_IN)
        snprintf(buf, 48, "%s in", kw_fixed(number, mm / KW_MM_PER_IN, 4));
    else
        snprintf(buf, 48, "%s mm", kw_fixed(number, mm, 2));
    return buf;
}

static const char *press_die(const struct kw_shop *shop, int die) {
    return KW_ITEM(struct kw_press_tool, shop->press.dies, die)->name;
}

static const char *bender_die(const struct kw_shop *shop, int die) {
    return KW_ITEM(struct kw_bender_die, shop->bender.dies, die)->name;
}

static const char *advice(const struct kw_bend_group *g) {
    switch (g->trust) {
    case KW_TRUST_GOOD:
        return "good: the fit adds less than 1/128 in to a bend; prove a first piece all the same";
    case KW_TRUST_FAIR:
        return "fair: good for a part with a bend or two; prove a first piece of a box";
    case KW_TRUST_ROUGH:
        return "rough: the fit alone may be off by more than 1/64 in a bend; bend more coupons and "
               "measure the odd ones again";
    default:
        return "not yet: one coupon says nothing of how far it may be off; bend two more at least";
    }
}

static void print_odd(const struct kw_coupons *coupons, const struct kw_points *p, double scale,
                      const char *unit, const char *what, struct kw_text *out) {
    for (int i = 0; i < p->count; i++) {
        if (!p->odd[i]) continue;
        char off[KW_NUMBER_SIZE];
        kw_fixed(off, (p->y[i] - kw_fit_at(&p->fit, p->x[i])) * scale, 3);
        kw_text_addf(out,
                     "  odd       %s: %s is off by %s %s; it counts all the same: measure it again "
                     "(line %d)\n",
                     coupons->v[p->coupons[i]].name, what, off, unit,
                     coupons->v[p->coupons[i]].node->at.line);
    }
}

static void print_springs(const struct kw_coupons *coupons, const struct kw_points *p,
                          const char *word, struct kw_text *out) {
    if (p->count == 0) {
        kw_text_add(out, "  springback  not measured: reckoned from the yield strength\n");
        return;
    }
    double least = p->x[0], most = p->x[0];
    for (int i = 1; i < p->count; i++) {
        least = fmin(least, p->x[i]);
        most = fmax(most, p->x[i]);
    }
    double half = kw_fit_half_at(&p->fit, most);
    kw_text_addf(out, "  %s = %.4f x angle wanted", word, p->fit.slope);
    if (p->fit.terms == 2) kw_text_addf(out, " %+.2f deg", p->fit.offset * DEGREES);
    kw_text_addf(out, "  (%d coupon%s from %.0f to %.0f deg", p->count, p->count > 1 ? "s" : "",
                 least * DEGREES, most * DEGREES);
    if (isfinite(half))
        kw_text_addf(out, "; scatter %.2f deg, 95 %% within %.2f deg at %.0f)\n",
                     p->fit.deviation * DEGREES, half * DEGREES, most * DEGREES);
    else
        kw_text_add(out, "; nothing says how far it may be off)\n");
    print_odd(coupons, p, DEGREES, "deg", word, out);
}

static void print_bend(const struct kw_shop *shop, const struct kw_coupons *coupons,
                       const struct kw_bend_group *g, struct kw_text *out) {
    char deduction[48], radius[48], half[48], scatter[48];
    bool inch = shop->units == KW_IN;
    kw_text_addf(out, "%s over die %s: %d coupon%s\n", g->use.stock.text,
                 press_die(shop, g->use.die), g->use.count, g->use.count > 1 ? "s" : "");
    kw_text_addf(out, "  deduction at 90 deg %s, K %.3f with inside radius %s (%s)\n",
                 fine(shop, deduction, g->use.deduction), g->use.k,
                 fine(shop, radius, g->use.radius),
                 g->radius_measured ? "measured" : "by the die's opening");
    if (isfinite(g->half))
        kw_text_addf(out,
                     "  one bend scatters %s (standard deviation), the deduction lies within "
                     "%s (95 %%)\n",
                     fine(shop, scatter, g->scatter), fine(shop, half, g->half));
    kw_text_addf(out, "  trust     %s\n", advice(g));
    print_odd(coupons, &g->lengths, inch ? 1 / KW_MM_PER_IN : 1, inch ? "in" : "mm",
              "its flat length", out);
    print_springs(coupons, &g->springs, "angle under load", out);
}

static void print_tube(const struct kw_shop *shop, const struct kw_coupons *coupons,
                       const struct kw_tube_group *g, struct kw_text *out) {
    char radius[48], die[48], half[48];
    const struct kw_bender_die *d = KW_ITEM(struct kw_bender_die, shop->bender.dies, g->use.die);
    kw_text_addf(out, "%s over die %s: %d coupon%s\n", g->use.stock.text, d->name, g->springs.count,
                 g->springs.count > 1 ? "s" : "");
    print_springs(coupons, &g->springs, "angle to set", out);
    if (g->use.radius_count == 0) {
        kw_text_add(out, "  radius    not measured: the die's own is taken\n");
        return;
    }
    kw_text_addf(out, "  radius    centreline %s against the die's %s (%d measured",
                 fine(shop, radius, g->use.radius), fine(shop, die, d->radius),
                 g->use.radius_count);
    if (isfinite(g->radius_half))
        kw_text_addf(out, ", within %s, 95 %%", fine(shop, half, g->radius_half));
    kw_text_add(out, ")\n");
    if (g->use.neutral > 0)
        kw_text_addf(out, "  stick     keeps its length at a radius of %s\n",
                     fine(shop, radius, g->use.neutral));
}

void kw_lessons_print(const struct kw_shop *shop, const struct kw_coupons *coupons,
                      const struct kw_lessons *lessons, struct kw_text *out) {
    for (int i = 0; i < lessons->bend_count; i++)
        print_bend(shop, coupons, &lessons->bends[i], out);
    for (int i = 0; i < lessons->tube_count; i++)
        print_tube(shop, coupons, &lessons->tubes[i], out);
    kw_text_addf(out, "%d coupon%s; no coupon is left out, odd ones too\n", coupons->count,
                 coupons->count == 1 ? "" : "s");
}

// ------------------------------------------------------------------------------------------- JSON

static void number_or_null(struct kw_json *j, const char *key, double v, int decimals) {
    kw_json_key(j, key);
    if (isfinite(v))
        kw_json_number(j, v, decimals);
    else
        kw_json_text(j, NULL);
}

static void odd_json(struct kw_json *j, const struct kw_coupons *coupons,
                     const struct kw_points *p) {
    kw_json_key(j, "odd");
    kw_json_open_inline(j, '[');
    for (int i = 0; i < p->count; i++)
        if (p->odd[i]) kw_json_text(j, coupons->v[p->coupons[i]].name);
    kw_json_close(j);
}

static void springs_json(struct kw_json *j, const struct kw_coupons *coupons,
                         const struct kw_points *p) {
    if (p->count == 0) return;
    kw_json_key(j, "springback");
    kw_json_open(j, '{');
    kw_json_key_count(j, "coupons", p->count);
    kw_json_key_number(j, "slope", p->fit.slope, 9);
    kw_json_key_number(j, "offset", p->fit.offset * DEGREES, 9);
    kw_json_key_number(j, "deviation", p->fit.deviation * DEGREES, 9);
    double most = p->x[0];
    for (int i = 1; i < p->count; i++)
        most = fmax(most, p->x[i]);
    kw_json_key_number(j, "largest_angle", most * DEGREES, 6);
    number_or_null(j, "half_interval", kw_fit_half_at(&p->fit, most) * DEGREES, 9);
    odd_json(j, coupons, p);
    kw_json_close(j);
}

static void bend_json(struct kw_json *j, const struct kw_shop *shop,
                      const struct kw_coupons *coupons, const struct kw_bend_group *g) {
    kw_json_open(j, '{');
    kw_json_key_text(j, "from", g->use.stock.text);
    kw_json_key_text(j, "die", press_die(shop, g->use.die));
    kw_json_key_count(j, "coupons", g->use.count);
    kw_json_key_number(j, "radius", g->use.radius, 9);
    kw_json_key_number(j, "k", g->use.k, 9);
    kw_json_key_number(j, "deduction", g->use.deduction, 9);
    kw_json_key_number(j, "deviation", g->scatter, 9);
    number_or_null(j, "half_interval", g->half, 9);
    kw_json_key_text(j, "trust", kw_trust_word(g->trust));
    odd_json(j, coupons, &g->lengths);
    springs_json(j, coupons, &g->springs);
    kw_json_close(j);
}

static void tube_json(struct kw_json *j, const struct kw_shop *shop,
                      const struct kw_coupons *coupons, const struct kw_tube_group *g) {
    kw_json_open(j, '{');
    kw_json_key_text(j, "from", g->use.stock.text);
    kw_json_key_text(j, "die", bender_die(shop, g->use.die));
    kw_json_key_count(j, "coupons", g->springs.count);
    kw_json_key_count(j, "radius_measured", g->use.radius_count);
    if (g->use.radius_count > 0) {
        kw_json_key_number(j, "radius", g->use.radius, 9);
        number_or_null(j, "radius_half_interval", g->radius_half, 9);
    }
    if (g->use.neutral > 0) kw_json_key_number(j, "neutral_radius", g->use.neutral, 9);
    springs_json(j, coupons, &g->springs);
    kw_json_close(j);
}

void kw_lessons_json(const struct kw_shop *shop, const struct kw_coupons *coupons,
                     const struct kw_lessons *lessons, struct kw_text *out) {
    struct kw_json j = {.out = out};
    kw_json_open(&j, '{');
    kw_json_key_count(&j, "coupons", coupons->count);
    kw_json_key(&j, "bends");
    kw_json_open(&j, '[');
    for (int i = 0; i < lessons->bend_count; i++)
        bend_json(&j, shop, coupons, &lessons->bends[i]);
    kw_json_close(&j);
    kw_json_key(&j, "tubes");
    kw_json_open(&j, '[');
    for (int i = 0; i < lessons->tube_count; i++)
        tube_json(&j, shop, coupons, &lessons->tubes[i]);
    kw_json_close(&j);
    kw_json_close(&j);
    kw_text_add(out, "\n");
}
