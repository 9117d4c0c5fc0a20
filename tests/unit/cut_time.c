// SPDX-License-Identifier: Apache-2.0
// Predicted times against a simulation in fine steps of the same rules of motion.
#include "../../bench/fine_steps.h"
#include "cut_help.h"

#include <math.h>

Test(cut_time, prediction_is_within_one_percent_of_fine_steps) {
    static const double corner[] = {0, 5, 12, 40}, feeds[] = {20, 60, 150};
    for (int i = 0; i < 12; i++) {
        struct desk d;
        desk_open(&d);
        d.rule.feed = feeds[i % 3];
        d.controller.corner_speed = corner[i / 3];
        d.controller.acceleration = 400 + 300 * i;
        d.rule.hole_feed_below = 30;
        d.rule.overburn = 2;
        struct kw_region *r = desk_part(&d, "a#1", desk_box(&d, 50, 50, 250, 150));
        desk_hole(&d, r, kw_path_circle(&d.arena, 80, 90, 4, false, 0));
        desk_hole(&d, r, desk_box(&d, 110, 80, 140, 120));
        const double v[][3] = {{300, 50, 0},  {400, 50, 0.4},   {420, 90, 0}, {360, 95, 0},
                               {405, 140, 0}, {380, 150, -0.2}, {310, 160, 0}};
        desk_part(&d, "b#1", desk_path(&d, v, 7));
        desk_plan(&d);
        double slow = fine_steps(&d.plan, &d.controller);
        cr_expect(fabs(d.plan.cut_time - slow) < 0.01 * slow, "case %d: %.4f s, %.4f s in steps", i,
                  d.plan.cut_time, slow);
        kw_arena_free(&d.arena);
    }
}
