// SPDX-License-Identifier: Apache-2.0
// Corners to a bend table and back.
#include "tube/inside.h"

static double tangent(double radius, double angle) {
    return radius * tan(angle / 2);
}

static double cut_length(const struct kw_tube_table *t) {
    double sum = t->last;
    for (int i = 0; i < t->count; i++)
        sum += t->bends[i].straight + kw_tube_taken(t, i);
    return sum;
}

double kw_tube_taken(const struct kw_tube_table *t, int bend) {
    const struct kw_tube_bend *b = &t->bends[bend];
    return t->taken ? t->taken[bend] : b->radius * b->angle;
}

void kw_tube_take(struct kw_tube_table *t, const double *taken) {
    t->taken = taken;
    t->cut_length = cut_length(t);
}

/// Turn of the bend plane from (u, v) to (v, w) about v.
static double dihedral(struct kw_vec3 u, struct kw_vec3 v, struct kw_vec3 w) {
    struct kw_vec3 vw = kw_cross3(v, w);
    double y = kw_length3(v) * kw_dot3(u, vw);
    double x = kw_dot3(kw_cross3(u, v), vw);
    return kw_tube_half_turn(atan2(y, x));
}

static struct kw_vec3 leg(const struct kw_tube_line *line, int i) {
    return kw_sub3(line->v[i + 1], line->v[i]);
}

/// What is left of straight i between the tangents `before` and `after`; reports one that is less
/// than nothing.
static double straight_between(const struct kw_tube_line *line, int i, double before, double after,
                               bool *fine, struct kw_tube_problems *problems) {
    double length = kw_length3(leg(line, i));
    double straight = length - before - after;
    // Bends that touch leave nothing, give or take rounding.
    if (fabs(straight) < 1e-9) return 0;
    if (!(straight > 0)) {
        int corner = before > after ? i : i + 1;
        kw_tube_problem_add(problems, (struct kw_tube_problem){
                                          KW_TUBE_RADIUS_DOES_NOT_FIT, line->from[corner], i,
                                          corner - 1, length, before + after, line->v[corner], 0});
        *fine = false;
    }
    return straight;
}

static void place(struct kw_tube_table *t, const struct kw_tube_line *line) {
    t->start = line->v[0];
    t->along = unit3(leg(line, 0));
    if (line->count == 2) {
        t->side = kw_tube_square_to(t->along);
        return;
    }
    struct kw_vec3 next = unit3(leg(line, 1));
    t->side = unit3(along3(next, -kw_dot3(next, t->along), t->along));
}

bool kw_tube_table(struct kw_arena *a, const struct kw_tube_line *line, struct kw_tube_table *table,
                   struct kw_tube_problems *problems) {
    kw_assert(line->count >= 2);
    *table = (struct kw_tube_table){.count = line->count - 2};
    table->bends = KW_NEW_ARRAY(a, struct kw_tube_bend, table->count);
    place(table, line);
    bool fine = true;
    double before = 0;
    for (int i = 0; i < table->count; i++) {
        struct kw_tube_bend *b = &table->bends[i];
        b->angle = angle_between(leg(line, i), leg(line, i + 1));
        b->radius = line->radius[i + 1];
        if (i > 0) b->rotate = dihedral(leg(line, i - 1), leg(line, i), leg(line, i + 1));
        double after = tangent(b->radius, b->angle);
        b->straight = straight_between(line, i, before, after, &fine, problems);
        before = after;
    }
    table->last = straight_between(line, table->count, before, 0, &fine, problems);
    table->cut_length = cut_length(table);
    return fine;
}

static bool row_is_fine(const struct kw_tube_bend *b) {
    return b->straight >= 0 && b->straight <= KW_MOST_MM && fabs(b->rotate) <= 4 * KW_PI &&
           b->angle > 0 && b->angle <= KW_PI && b->radius > 0 && b->radius <= KW_MOST_MM;
}

bool kw_tube_table_from_rows(struct kw_arena *a, const struct kw_tube_bend *rows, int count,
                             double last, struct kw_tube_table *table,
                             struct kw_tube_problems *problems) {
    kw_assert(count >= 0);
    *table =
        (struct kw_tube_table){.count = count, .last = last, .along = {1, 0, 0}, .side = {0, 1, 0}};
    table->bends = KW_NEW_ARRAY(a, struct kw_tube_bend, count);
    struct kw_tube_problem p = {.kind = KW_TUBE_OUT_OF_RANGE, .step = -1, .straight = -1};
    bool fine = true;
    for (int i = 0; i < count; i++) {
        table->bends[i] = rows[i];
        table->bends[i].rotate = i == 0 ? 0 : kw_tube_half_turn(rows[i].rotate);
        if (row_is_fine(&rows[i])) continue;
        p.step = p.straight = p.bend = i;
        kw_tube_problem_add(problems, p);
        fine = false;
    }
    if (!(last >= 0 && last <= KW_MOST_MM)) {
        p.step = p.straight = count;
        p.bend = -1;
        p.measured = last;
        kw_tube_problem_add(problems, p);
        fine = false;
    }
    table->cut_length = cut_length(table);
    return fine;
}

bool kw_tube_line_from_table(struct kw_arena *a, const struct kw_tube_table *table,
                             struct kw_tube_line *line, struct kw_tube_problems *problems) {
    int n = table->count + 2;
    *line = (struct kw_tube_line){.count = n};
    line->v = KW_NEW_ARRAY(a, struct kw_vec3, n);
    line->radius = KW_NEW_ARRAY(a, double, n);
    line->from = KW_NEW_ARRAY(a, int, n);
    struct kw_tube_walk w = kw_tube_walk_start(table);
    double before = 0;
    line->v[0] = w.at;
    for (int i = 0; i < table->count; i++) {
        const struct kw_tube_bend *b = &table->bends[i];
        if (!(b->angle <= KW_TUBE_MOST_TURN)) {
            kw_tube_problem_add(problems,
                                (struct kw_tube_problem){KW_TUBE_DOUBLES_BACK, i, -1, i, b->angle,
                                                         KW_TUBE_MOST_TURN, w.at, 0});
            return false;
        }
        // From corner to corner: the turn there is the arc's, with radius 0.
        double after = tangent(b->radius, b->angle);
        w = kw_tube_walk_rotate(w, b->rotate);
        w = kw_tube_walk_straight(w, before + b->straight + after);
        w = kw_tube_walk_arc(w, 0, b->angle);
        line->v[i + 1] = w.at;
        line->radius[i + 1] = b->radius;
        line->from[i + 1] = i;
        before = after;
    }
    line->v[n - 1] = kw_tube_walk_straight(w, before + table->last).at;
    line->from[n - 1] = table->count;
    return true;
}

void kw_tube_other_end(struct kw_arena *a, const struct kw_tube_table *t,
                       struct kw_tube_table *other) {
    int n = t->count;
    *other = *t;
    other->bends = KW_NEW_ARRAY(a, struct kw_tube_bend, n);
    double *taken = t->taken ? KW_NEW_ARRAY(a, double, n) : NULL;
    for (int i = 0; taken && i < n; i++)
        taken[i] = t->taken[n - 1 - i];
    other->taken = taken;
    struct kw_tube_walk w = kw_tube_walk_start(t);
    for (int i = 0; i < n; i++) {
        const struct kw_tube_bend *b = &t->bends[i];
        w = kw_tube_walk_arc(kw_tube_walk_to_bend(w, b), b->radius, b->angle);
        struct kw_tube_bend *to = &other->bends[n - 1 - i];
        *to = *b;
        to->straight = i + 1 < n ? t->bends[i + 1].straight : t->last;
        to->rotate = i + 1 < n ? t->bends[i + 1].rotate : 0;
    }
    // Seen from either end a turn of planes is the same screw.
    other->last = n > 0 ? t->bends[0].straight : t->last;
    other->start = kw_tube_walk_straight(w, t->last).at;
    other->along = kw_scale3(w.along, -1);
    other->side = w.side;
}
