// SPDX-License-Identifier: Apache-2.0
// Blanks lie on sheets in the turns that their kit file allows: the demo's leaves in steps of 15
// degrees, its tube clips at 0 or 90, all others in quarter turns (the other hand's the other way
// round).
#include "run_demo.h"

#include <math.h>
#include <string.h>

static int degrees_of(const struct kw_nest_placement *p) {
    double d = p->rotation * 180 / KW_PI;
    cr_expect_float_eq(d, round(d), 1e-6);
    return (int)round(d) % 360;
}

Test(run_turns, as_the_kit_file_allows) {
    struct fixture f = {0};
    plan_demo(&f);
    int leaves = 0, clips = 0, others = 0;
    for (int i = 0; i < f.week.sheet_count; i++)
        for (int k = 0; k < f.week.sheets[i].placement_count; k++) {
            const struct kw_nest_placement *p = &f.week.sheets[i].placements[k];
            const char *label = f.week.makes[p->part].label;
            int d = degrees_of(p);
            if (strcmp(label, "garden-arch/leaf") == 0) {
                leaves++;
                cr_expect_eq(d % 15, 0);
            } else if (strcmp(label, "firewood-rack/tube-clip") == 0) {
                clips++;
                cr_expect(d == 0 || d == 90, "a clip at %d", d);
            } else {
                others++;
                cr_expect_eq(d % 90, 0, "%s at %d", label, d);
            }
        }
    cr_expect(leaves > 0 && clips > 0 && others > 0);
    kw_arena_free(&f.a);
}
