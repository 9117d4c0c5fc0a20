// SPDX-License-Identifier: Apache-2.0
// A bent tube's centreline as the file writes it: points that double back or stand on each other, a
// radius that doesn't fit its corner. By the radii as written, before any die makes them larger;
// what then still can't be bent in this shop is a finding (check).
#include "kit/kit_in.h"
#include "tube/tube.h"

#include <math.h>
#include <string.h>

/// Where no radius is written it is the shop's business: a corner all but sharp always fits.
static const double sharp = 1e-3;

static double radius_of(const struct kw_part *part, double own) {
    return own > 0 ? own : part->die > 0 ? part->die : sharp;
}

static bool from_points(struct kw_arena *a, const struct kw_part *part, struct kw_tube_line *line,
                        struct kw_tube_problems *problems) {
    int n = part->points.count;
    struct kw_vec3 *v = KW_NEW_ARRAY(a, struct kw_vec3, n);
    double *radii = KW_NEW_ARRAY(a, double, n);
    for (int i = 0; i < n; i++) {
        const struct kw_tube_point *p = KW_ITEM(struct kw_tube_point, part->points, i);
        v[i] = kw_v3(p->at[0], p->at[1], p->at[2]);
        radii[i] = radius_of(part, p->radius);
    }
    return kw_tube_line_from_points(a, v, n, radii, 0, line, problems);
}

static bool from_words(struct kw_arena *a, const struct kw_part *part, struct kw_tube_line *line,
                       struct kw_tube_problems *problems) {
    int n = part->shape.count;
    struct kw_tube_step *v = KW_NEW_ARRAY(a, struct kw_tube_step, n);
    for (int i = 0; i < n; i++) {
        const struct kw_shape_step *s = KW_ITEM(struct kw_shape_step, part->shape, i);
        bool turn = strcmp(s->word, "turn") == 0;
        v[i] = (struct kw_tube_step){.kind = turn ? KW_TUBE_TURN : KW_TUBE_STRAIGHT};
        if (turn)
            v[i].angle = s->value;
        else
            v[i].length = s->value;
        if (!turn) kw_tube_way(s->word, &v[i].towards);
    }
    return kw_tube_line_from_steps(a, v, n, part->stock.width, radius_of(part, 0), KW_TUBE_OUTSIDE,
                                   line, problems);
}

static struct kw_place place_of(const struct kw_part *part, int item) {
    if (part->points.count > 0) return KW_ITEM(struct kw_tube_point, part->points, item)->place;
    return KW_ITEM(struct kw_shape_step, part->shape, item)->at;
}

static enum kw_status refuse(struct kw_kit_file *k, const struct kw_part *part,
                             const struct kw_tube_problem *p) {
    struct kw_place at = place_of(part, p->step);
    switch (p->kind) {
    case KW_TUBE_ZERO_LENGTH_STRAIGHT:
        return kw_fail(k->err, KW_GEOMETRY, at,
                       "the straight to this point has no length, expected a point apart from the "
                       "one before");
    case KW_TUBE_DOUBLES_BACK:
        return kw_fail(k->err, KW_GEOMETRY, at,
                       "the tube doubles back here, expected a turn of at most %.0f degrees, got "
                       "%.0f",
                       KW_TUBE_MOST_TURN * 180 / KW_PI, p->measured * 180 / KW_PI);
    case KW_TUBE_RADIUS_DOES_NOT_FIT:
        return kw_fail(k->err, KW_GEOMETRY, at,
                       "the radius doesn't fit here: the bends take %s of a straight of %s %s on "
                       "the centreline",
                       kw_kit_shown(k, p->limit), kw_kit_shown(k, p->measured), kw_kit_unit(k));
    default:
        return KW_OK; // check tells it
    }
}

enum kw_status kw_part_centreline(struct kw_kit_file *k, const struct kw_part *part) {
    if (part->points.count == 0 && part->shape.count == 0) return KW_OK;
    struct kw_arena scratch = {0};
    struct kw_tube_problems problems = {.arena = &scratch};
    struct kw_tube_line line;
    struct kw_tube_table table;
    bool fine = part->points.count > 0 ? from_points(&scratch, part, &line, &problems)
                                       : from_words(&scratch, part, &line, &problems);
    if (fine) kw_tube_table(&scratch, &line, &table, &problems);
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < problems.count; i++)
        if (problems.v[i].step >= 0) s = refuse(k, part, &problems.v[i]);
    kw_arena_free(&scratch);
    return s;
}
