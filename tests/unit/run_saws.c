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
    // A mitred rail after a mitred rail shares its cut with it; so does a brace after a brace, end
    // to end.
    int shared = 0;
    for (int i = 0; i < saw->plan.pattern_count; i++) {
        const struct kw_stick_pattern *p = &saw->plan.patterns[i];
        double before = 0, leans[2];
        for (int k = 0; k < p->piece_count; k++) {
            int piece = p->pieces[k];
            const struct kw_part *part = w.makes[saw->makes[piece]].part;
            kw_run_leans(part, saw->laid[i][k], leans);
            cr_expect_eq(saw->laid[i][k].shared, leans[0] == -before);
            bool rail = part->miter[1] != 0, after_rail = k > 0 && fabs(before) > 0.75;
            if (rail && after_rail) {
                cr_expect(saw->laid[i][k].shared, "stick %d piece %d", i, k);
                shared += p->times;
            }
            before = leans[1];
            double kerf = shop->saw.kerf;
            double own = part->miter[1] != 0   ? 2 * kerf * sqrt(2) - kerf
                         : part->miter[0] != 0 ? kerf / cos(KW_PI / 6)
                                               : 0;
            cr_expect_float_eq(saw->takes[piece], saw->lengths[piece] + own, 1e-9);
        }
    }
    cr_expect_gt(shared, 3, "%d", shared);
    kw_arena_free(&a);
}
