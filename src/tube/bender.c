// SPDX-License-Identifier: Apache-2.0
// A table against a bender: dies, straights, walls, marks along the stick.
#include "tube/inside.h"

static bool same_size(double a, double b) {
    return fabs(a - b) <= KW_TUBE_DIE_MATCH_MM;
}

static bool reaches(const struct kw_tube_die *die, double angle) {
    return die->max_angle == 0 || angle <= die->max_angle + KW_TUBE_AGREE_RAD;
}

int kw_tube_die_for(const struct kw_tube_bender *b, double od, double radius, double angle) {
    int first = -1;
    for (int i = 0; i < b->die_count; i++) {
        const struct kw_tube_die *die = &b->dies[i];
        if (!same_size(die->od, od) || !same_size(die->clr + die->growth, radius)) continue;
        if (reaches(die, angle)) return i;
        if (first < 0) first = i;
    }
    return first;
}

const struct kw_tube_die *kw_tube_die_of(const struct kw_tube_bender *b, double od,
                                         const struct kw_tube_bend *bend) {
    int i = kw_tube_die_for(b, od, bend->radius, bend->angle);
    return i < 0 ? NULL : &b->dies[i];
}

struct kw_tube_trims kw_tube_trims_needed(const struct kw_tube_table *t, struct kw_tube_size size,
                                          const struct kw_tube_bender *b) {
    struct kw_tube_trims trims = {0};
    if (t->count == 0) return trims;
    const struct kw_tube_die *first = kw_tube_die_of(b, size.od, &t->bends[0]);
    const struct kw_tube_die *last = kw_tube_die_of(b, size.od, &t->bends[t->count - 1]);
    if (first) trims.start = fmax(0, first->clamp_straight - t->bends[0].straight);
    if (last) trims.end = fmax(0, last->lead_straight - t->last);
    return trims;
}

/// One look at a table: what is looked at, and where the findings go.
struct look {
    const struct kw_tube_table *table;
    struct kw_tube_size size;
    const struct kw_tube_bender *bender;
    struct kw_tube_trims trims;
    struct kw_tube_problems *to;
};

static void add(const struct look *k, struct kw_tube_problem p) {
    p.step = -1;
    kw_tube_problem_add(k->to, p);
}

/// The die diameter (od < 0) or, among dies for `od`, the radius nearest to `wanted`; 0 for none.
static double nearest(const struct kw_tube_bender *b, double od, double wanted) {
    double best = 0;
    for (int i = 0; i < b->die_count; i++) {
        double have = od < 0 ? b->dies[i].od : b->dies[i].clr + b->dies[i].growth;
        if (od >= 0 && !same_size(b->dies[i].od, od)) continue;
        if (best == 0 || fabs(have - wanted) < fabs(best - wanted)) best = have;
    }
    return best;
}

/// The whole tube: returns whether there is any die of its diameter.
static bool check_tube(const struct look *k, struct kw_vec3 first_bend) {
    double od_die = nearest(k->bender, -1, k->size.od);
    bool fits = od_die > 0 && same_size(od_die, k->size.od);
    struct kw_tube_problem p = {.straight = -1, .bend = -1, .at = first_bend};
    if (!fits) {
        p.kind = KW_TUBE_OD_NO_DIE;
        p.measured = k->size.od;
        p.limit = od_die;
        add(k, p);
    }
    double most = k->bender->max_wall;
    if (most != 0 && !(k->size.wall <= most + 1e-9)) {
        p.kind = KW_TUBE_WALL_BEYOND;
        p.measured = k->size.wall;
        p.limit = most;
        add(k, p);
    }
    return fits;
}

static void check_metal(const struct look *k, struct kw_tube_problem p, double radius) {
    struct kw_tube_form form = kw_tube_form(k->size, radius);
    if (!(radius > k->size.od / 2)) {
        p.kind = KW_TUBE_RADIUS_DOES_NOT_FIT;
        p.measured = radius;
        p.limit = k->size.od / 2;
        add(k, p);
    }
    // A thousandth of slack: three diameters said in inches are three diameters.
    if (!(form.r_over_d >= 3 - 1e-3)) {
        p.kind = KW_TUBE_UNDER_THREE_D;
        p.measured = form.r_over_d;
        p.limit = 3;
        add(k, p);
    }
    double most = kw_tube_wall_factor_limit(form.r_over_d);
    if (!(form.wall_factor <= most + 1e-9)) {
        p.kind = KW_TUBE_WALL_FACTOR;
        p.measured = form.wall_factor;
        p.limit = most;
        add(k, p);
    }
}

static void check_die(const struct look *k, struct kw_tube_problem p,
                      const struct kw_tube_bend *bend, const struct kw_tube_die *die) {
    if (!die) {
        p.kind = KW_TUBE_RADIUS_NO_DIE;
        p.measured = bend->radius;
        p.limit = nearest(k->bender, k->size.od, bend->radius);
        add(k, p);
    } else if (!reaches(die, bend->angle)) {
        p.kind = KW_TUBE_ANGLE_BEYOND_DIE;
        p.measured = bend->angle;
        p.limit = die->max_angle;
        add(k, p);
    }
}

/// Straight i has `have` mm (its trim counted) and needs `need`.
static void check_straight(const struct look *k, int i, double have, double need,
                           struct kw_vec3 at) {
    if (have >= need - 1e-6) return;
    add(k, (struct kw_tube_problem){.kind = KW_TUBE_STRAIGHT_TOO_SHORT,
                                    .straight = i,
                                    .bend = -1,
                                    .measured = have,
                                    .limit = need,
                                    .at = at});
}

static void check_rotation(const struct look *k, struct kw_tube_problem p, double rotate) {
    if (k->bender->rotates_by_itself || fabs(rotate) < KW_TUBE_AGREE_RAD) return;
    p.kind = KW_TUBE_TURNED_BY_HAND;
    p.measured = rotate;
    add(k, p);
}

static struct kw_vec3 middle_of_bend(struct kw_tube_walk w, const struct kw_tube_bend *b) {
    return kw_tube_walk_arc(w, b->radius, b->angle / 2).at;
}

void kw_tube_check(const struct kw_tube_table *t, struct kw_tube_size size,
                   const struct kw_tube_bender *b, struct kw_tube_trims trims,
                   struct kw_tube_problems *problems) {
    if (!kw_tube_size_check(size, problems) || t->count == 0) return;
    struct look k = {t, size, b, trims, problems};
    struct kw_tube_walk w = kw_tube_walk_start(t);
    struct kw_tube_walk first = kw_tube_walk_to_bend(w, &t->bends[0]);
    bool od_fits = check_tube(&k, middle_of_bend(first, &t->bends[0]));
    const struct kw_tube_die *die = NULL;
    for (int i = 0; i < t->count; i++) {
        const struct kw_tube_bend *bend = &t->bends[i];
        die = kw_tube_die_of(b, size.od, bend);
        struct kw_vec3 middle = kw_tube_walk_straight(w, bend->straight / 2).at;
        w = kw_tube_walk_to_bend(w, bend);
        struct kw_tube_problem p = {.straight = -1, .bend = i, .at = middle_of_bend(w, bend)};
        double have = bend->straight + (i == 0 ? trims.start : 0);
        if (die) check_straight(&k, i, have, die->clamp_straight, middle);
        if (od_fits) check_die(&k, p, bend, die);
        check_metal(&k, p, die ? die->clr : bend->radius);
        check_rotation(&k, p, bend->rotate);
        w = kw_tube_walk_arc(w, bend->radius, bend->angle);
    }
    struct kw_vec3 middle = kw_tube_walk_straight(w, t->last / 2).at;
    if (die) check_straight(&k, t->count, t->last + trims.end, die->lead_straight, middle);
}

struct kw_tube_mark *kw_tube_marks(struct kw_arena *a, const struct kw_tube_table *t,
                                   struct kw_tube_size size, const struct kw_tube_bender *b,
                                   struct kw_tube_trims trims) {
    struct kw_tube_mark *marks = KW_NEW_ARRAY(a, struct kw_tube_mark, t->count);
    double at = trims.start, index = 0;
    for (int i = 0; i < t->count; i++) {
        const struct kw_tube_bend *bend = &t->bends[i];
        struct kw_tube_mark *m = &marks[i];
        m->start = at + bend->straight;
        at = m->end = m->start + kw_tube_taken(t, i);
        m->rotate = bend->rotate;
        // A hair under a full turn is rounding, not a reading.
        index = fmod(index + bend->rotate + 2 * KW_PI, 2 * KW_PI);
        if (index > 2 * KW_PI - 1e-9) index = 0;
        m->index = index;
        m->angle = bend->angle;
        m->die = kw_tube_die_for(b, size.od, bend->radius, bend->angle);
        m->angle_under_load = bend->angle * (m->die < 0 ? 1 : fmax(1, b->dies[m->die].factor));
    }
    return marks;
}
