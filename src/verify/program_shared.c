// SPDX-License-Identifier: Apache-2.0
// Cuts that two parts share: each lies half a kerf from both, and is run along once.
#include "verify/program_judge.h"

#include <math.h>

#define ENDS  1.0 // mm at the ends of a shared cut where corners of others may come near
#define LOOKS 50  // places along it

static void place_along(const struct kw_run_mark *m, double part, double q[2]) {
    for (int k = 0; k < 2; k++)
        q[k] = m->from[k] + (m->to[k] - m->from[k]) * part;
}

// Outlines at half a kerf from all of the line; their number, at most two are told.
static int sides_of(struct kw_judging *j, const struct kw_run_mark *m, int sides[2]) {
    double q[2];
    int count = 0, near;
    place_along(m, 0.5, q);
    near = kw_grid_near_point(&j->shape_grid, q, j->half + 0.1, -1);
    int owners[8], owner_count = 0;
    for (int i = 0; i < near && owner_count < 8; i++) {
        int owner = j->shape.v[j->shape_grid.found[i]].owner;
        bool known = false;
        for (int k = 0; k < owner_count; k++)
            known = known || owners[k] == owner;
        if (!known) owners[owner_count++] = owner;
    }
    for (int k = 0; k < owner_count; k++) {
        bool along = true;
        for (int i = 0; i <= LOOKS && along; i++) {
            place_along(m, (double)i / LOOKS, q);
            int n = kw_grid_near_point(&j->shape_grid, q, j->half + 0.1, owners[k]);
            double d = kw_grid_distance(&j->shape_grid, n, q, NULL);
            along = fabs(d - j->half) <= KW_CUT_SLACK;
        }
        if (!along) continue;
        if (count < 2) sides[count] = owners[k];
        count++;
    }
    return count;
}

void kw_judge_place_shared(struct kw_judging *j) {
    for (int i = 0; i < j->sheet->shared_cut_count; i++) {
        const struct kw_run_mark *m = &j->sheet->shared_cuts[i];
        int sides[2];
        if (sides_of(j, m, sides) != 2) {
            kw_fault(j->verdict,
                     "sheet %s: the shared cut at (%.2f, %.2f) lies between no two parts",
                     j->sheet->id, m->from[0], m->from[1]);
            continue;
        }
        j->outlines[sides[0]].shared++;
        j->outlines[sides[1]].shared++;
    }
}

bool kw_judging_at_shared(const struct kw_judging *j, const double q[2]) {
    for (int i = 0; i < j->sheet->shared_cut_count; i++) {
        const struct kw_run_mark *m = &j->sheet->shared_cuts[i];
        struct kw_piece line = {.a = {m->from[0], m->from[1]}, .b = {m->to[0], m->to[1]}};
        if (kw_piece_distance(&line, q) <= j->half + KW_CUT_SLACK) return true;
    }
    return false;
}

// How many burns run over the place.
static int burns_at(struct kw_judging *j, const double q[2]) {
    int count = 0;
    for (int b = 0; b < j->burn_count; b++) {
        bool over = false;
        for (int i = 0; i < j->burns[b].count && !over; i++)
            over = kw_piece_distance(&j->cut.v[j->burns[b].first + i], q) <= KW_CUT_SLACK;
        count += over;
    }
    return count;
}

void kw_judge_shared(struct kw_judging *j) {
    for (int i = 0; i < j->sheet->shared_cut_count; i++) {
        const struct kw_run_mark *m = &j->sheet->shared_cuts[i];
        double length = hypot(m->to[0] - m->from[0], m->to[1] - m->from[1]), q[2];
        for (int k = 0; k <= LOOKS && length > 2 * ENDS; k++) {
            place_along(m, (ENDS + (length - 2 * ENDS) * k / LOOKS) / length, q);
            int n = burns_at(j, q);
            if (n == 1) continue;
            kw_fault(j->verdict, "sheet %s: the shared cut at (%.2f, %.2f) is run along %d times",
                     j->sheet->id, q[0], q[1], n);
            break;
        }
    }
}
