// SPDX-License-Identifier: Apache-2.0
// The order of pieces on a stick: equal cuts together, so that mitres stay paired.
#include "run/run.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static const char kit_text[] =
    "kit: frame\nname: Frame\nrevision: A\nunits: in\nparts:\n"
    "  leg: { from: 1 x 0.065 square tube, per_kit: 4, length: 29 }\n"
    "  long-rail: { from: 1 x 0.065 square tube, per_kit: 2, length: 36, miter: [45, 45] }\n"
    "  short-rail: { from: 1 x 0.065 square tube, per_kit: 2, length: 18, miter: [45, 45] }\n"
    "  brace: { from: 1 x 0.065 square tube, per_kit: 4, length: 20, miter: [30, 0] }\n";

static double swing(const struct kw_week *w, const struct kw_run_saw *s, int piece) {
    const double *m = w->makes[s->makes[piece]].part->miter;
    return fmax(fabs(m[0]), fabs(m[1]));
}

Test(run_saws, equal_cuts_follow_one_another_and_nothing_is_lost) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_shop *shop;
    struct kw_kit *kit;
    struct kw_week w;
    cr_assert_eq(kw_shop_read(&a, "demo", &shop, &err), KW_OK, "%s", err.text);
    cr_assert_eq(
        kw_kit_parse(&a, shop, "demo", "frame.yaml", kit_text, strlen(kit_text), NULL, &kit, &err),
        KW_OK, "%s", err.text);
    struct kw_kits kits = {&kit, 1, shop, "demo"};
    struct kw_run_options o = {.name = "t", .date = 20261130, .nest_steps = 500};
    shop->coupons = KW_COUPONS_NEVER;
    shop->fillers.count = 0;
    cr_assert_eq(kw_run_quote(&a, shop, &kits, kit, 3, &o, &w, &err), KW_OK, "%s", err.text);
    cr_assert_eq(w.saw_count, 1);
    const struct kw_run_saw *saw = &w.saws[0];
    int cut[4] = {0}, mixed = 0;
    for (int i = 0; i < saw->plan.pattern_count; i++) {
        const struct kw_stick_pattern *p = &saw->plan.patterns[i];
        for (int k = 0; k < p->piece_count; k++) {
            cut[p->pieces[k]] += p->times;
            if (k == 0) continue;
            double before = swing(&w, saw, p->pieces[k - 1]), now = swing(&w, saw, p->pieces[k]);
            cr_expect_geq(now, before, "the saw is swung back");
            mixed += now != before;
        }
    }
    for (int i = 0; i < saw->piece_count; i++)
        cr_expect_eq(cut[i], w.makes[saw->makes[i]].needed);
    cr_expect_gt(mixed, 0, "some stick has several angles");
    kw_arena_free(&a);
}
