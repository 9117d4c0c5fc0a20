// SPDX-License-Identifier: Apache-2.0
// The judge of bend orders on hems: both stages replayed, planted faults caught.
#include "brake_hems.h"
#include "packet_judged.h"

static void make_judged(struct judged *j) {
    *j = (struct judged){0};
    struct kw_brake_shop shop = hem_shop();
    make_strip(&j->p, (double[]){40, 110, 16}, (double[]){90, 90}, 3, 1, 200, 2.6, 5.4);
    make_hem(&j->p, 1);
    j->plan = hem_plan(&j->p, &shop);
    cr_assert_eq(j->plan.step_count, 3);
    judged_plan(j, &thin, &shop);
}

static struct kw_bent_stroke *flattening(struct judged *j) {
    for (int i = 0; i < 3; i++)
        if (j->strokes[i].flatten) return &j->strokes[i];
    cr_assert_fail("nothing is flattened");
    return NULL;
}

Test(packet_hem_faults, a_good_plan_passes) {
    struct judged j;
    make_judged(&j);
    struct kw_verdict v = {.arena = &j.arena};
    kw_judge_brake(&j.part, j.strokes, 3, &v);
    cr_expect_eq(v.fault_count, 0, "%s", v.fault_count ? v.faults[0] : "");
    free_judged(&j);
}

static const double high_flat[][2] = {{-120, 0}, {120, 0}, {120, 80}, {-120, 80}};

Test(packet_hem_faults, planted_faults_are_caught) {
    for (int fault = 0; fault < 7; fault++) {
        struct judged j;
        make_judged(&j);
        int count = 3;
        struct kw_bent_stroke *flat = flattening(&j);
        struct kw_bent_bend *b = (struct kw_bent_bend *)(void *)j.part.bends;
        if (fault == 0) flat->closed -= 1;                      // pressed into the sheet
        if (fault == 1) flat->closed += 1;                      // left open
        if (fault == 2) flat->punch.to = flat->punch.from + 50; // not the whole hem
        if (fault == 3) b[1].hem = false;                       // flattened what is no hem
        if (fault == 4) flat->flatten = false;                  // bent twice
        if (fault == 5) { // wide enough to come down on the wall
            flat->punch.at = high_flat, flat->punch.count = 4;
            flat->die.from = flat->punch.from = -5000;
            struct kw_bent_stroke keep = *flat;
            for (int i = 2; i > 0; i--)
                if (j.strokes[i - 1].flatten) j.strokes[i - 1] = j.strokes[i], j.strokes[i] = keep;
        }
        if (fault == 6) { // never flattened
            for (int i = 0; i < 2; i++)
                if (j.strokes[i].flatten) j.strokes[i] = j.strokes[i + 1];
            count = 2;
        }
        cr_expect_gt(faults_of(&j, count), 0, "planted fault %d", fault);
        free_judged(&j);
    }
}
