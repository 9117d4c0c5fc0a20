// SPDX-License-Identifier: Apache-2.0
// Which die and punch: every pair is tried on the whole stroke, with all that stands against it;
// the pair with the fewest stops, then risks, then the opening nearest to the chart wins.
#include "brake/inside.h"

#include <string.h>

#define LEAST_OPENING   4.0  // thicknesses; below, an air bend turns into coining
#define MOST_OPENING    24.0 // thicknesses
#define SAFE_OPENING    5.0  // thicknesses; the force formula's range is 5 to 20 (Lange)
#define SAFE_OPENING_TO 20.0
#define RATING_RISK     0.8   // of a rating
#define USUAL_GAP       100.0 // mm between sheet and punch where the press's opening is not known
#define DEGREES         (180 / KW_PI)

static void against(struct trial *t, enum kw_brake_problem_kind kind, enum kw_level level, int bend,
                    double measured, double limit, double wanted) {
    kw_assert(t->problem_count < 16);
    t->problems[t->problem_count++] = (struct kw_brake_problem){.kind = kind,
                                                                .level = level,
                                                                .bend = bend,
                                                                .measured = measured,
                                                                .limit = limit,
                                                                .wanted = wanted,
                                                                .other_die = -1};
    t->stops += level == KW_STOP;
    t->risks += level == KW_RISK;
}

static void check_legs(struct trial *t, const struct group *g, double angle, double opening) {
    for (int side = 0; side < 2; side++) {
        double stop = kw_brake_least_leg(angle, opening, KW_STOP);
        double risk = kw_brake_least_leg(angle, opening, KW_RISK);
        double leg = g->leg[side];
        if (leg < stop - 1e-6)
            against(t, KW_BRAKE_LEG_SHORT, KW_STOP, g->leg_bend[side], leg, stop, risk);
        else if (leg < risk - 1e-6)
            against(t, KW_BRAKE_LEG_SHORT, KW_RISK, g->leg_bend[side], leg, risk, risk);
    }
}

static void check_rating(struct trial *t, enum kw_brake_problem_kind kind, int bend, double force,
                         double rating, double opening) {
    enum kw_level level = force > rating ? KW_STOP : KW_RISK;
    double limit = level == KW_STOP ? rating : RATING_RISK * rating;
    if (force > limit) against(t, kind, level, bend, force, limit, opening * force / limit);
}

static void check_length(struct trial *t, const struct job *job, const struct group *g) {
    double limits[3] = {job->shop->press.bed_length, job->shop->dies[t->die].length,
                        job->shop->punches[t->punch].length};
    double least = 0;
    for (int i = 0; i < 3; i++)
        if (limits[i] > 0 && (least == 0 || limits[i] < least)) least = limits[i];
    if (least > 0 && g->span > least + 1e-6)
        against(t, KW_BRAKE_TOO_LONG, KW_STOP, g->bends[0], g->span, least, 0);
}

/// With the ram up the sheet must pass between the tools, and the ram must come down far enough.
static void check_room(struct trial *t, const struct job *job, const struct group *g) {
    const struct kw_brake_press *press = &job->shop->press;
    const struct kw_brake_die *die = &job->shop->dies[t->die];
    if (!(press->open_height > 0)) return;
    double thick = job->material.thickness;
    double tools = die->height + job->shop->punches[t->punch].height;
    double gap = press->open_height - tools - thick;
    double travel = gap + kw_brake_depth(t->angle_under_load, t->radius, thick, die);
    if (gap < 0)
        against(t, KW_BRAKE_NO_ROOM, KW_STOP, g->bends[0], tools + thick, press->open_height, 0);
    else if (press->stroke > 0 && travel > press->stroke)
        against(t, KW_BRAKE_NO_ROOM, KW_STOP, g->bends[0], travel, press->stroke, 0);
}

static void check_radius(struct trial *t, const struct job *job, const struct group *g) {
    double designed = job->part->bends[g->bends[0]].radius, least = job->material.least_radius;
    if (t->radius < least - 1e-6)
        against(t, KW_BRAKE_RADIUS_LEAST, KW_STOP, g->bends[0], t->radius, least, 0);
    if (!(designed > 0)) return;
    // Rough on purpose: what results varies by a quarter from the rule of thumb anyway.
    double off = fabs(t->radius - designed);
    if (off <= fmax(0.25 * designed, 0.3)) return;
    bool far = t->radius > 2 * designed || t->radius < designed / 2;
    against(t, KW_BRAKE_RADIUS_OFF, far && off > job->material.thickness ? KW_RISK : KW_NOTE,
            g->bends[0], t->radius, designed, 0);
}

static void check_angle(struct trial *t, const struct job *job, const struct group *g) {
    const struct kw_brake_material *m = &job->material;
    double sharpest =
        KW_PI - fmax(job->shop->dies[t->die].angle, job->shop->punches[t->punch].angle);
    if (t->angle_under_load > sharpest + 1e-9)
        against(t, KW_BRAKE_ANGLE_SHARP, KW_STOP, g->bends[0], t->angle_under_load * DEGREES,
                sharpest * DEGREES, 0);
    if (t->angle_under_load == 0)
        against(t, KW_BRAKE_SPRINGBACK, KW_STOP, g->bends[0],
                t->radius * m->yield / (m->modulus * m->thickness), 0.5, 0);
}

static double under_load(const struct kw_brake_material *m, const struct kw_brake_die *die,
                         double angle, double radius) {
    if (die->load_slope > 0) return fmax(angle, die->load_slope * angle + die->load_offset);
    return kw_brake_angle_under_load(angle, radius, m->thickness, m->yield, m->modulus, NULL);
}

static struct trial try_tools(const struct job *job, const struct group *g, int die_index,
                              int punch_index) {
    const struct kw_brake_die *die = &job->shop->dies[die_index];
    const struct kw_brake_punch *punch = &job->shop->punches[punch_index];
    const struct kw_brake_material *m = &job->material;
    const struct kw_brake_bend *b = &job->part->bends[g->bends[0]];
    struct trial t = {.die = die_index, .punch = punch_index};
    double natural = m->natural_ratio * die->opening;
    t.radius = fmax(natural, punch->nose_radius);
    t.angle_under_load = under_load(m, die, b->angle, t.radius);
    t.off = fabs(log(die->opening / kw_brake_wanted_opening(m->thickness)));
    t.punch_off = fabs(t.radius - (b->radius > 0 ? b->radius : natural));
    check_legs(&t, g, b->angle, die->opening);
    double force = kw_brake_force(m->tensile, g->length, m->thickness, die->opening);
    double line = kw_brake_force(m->tensile, 1, m->thickness, die->opening);
    check_rating(&t, KW_BRAKE_FORCE_PRESS, g->bends[0], force, job->shop->press.rating,
                 die->opening);
    double tool = punch->rating > 0 && (punch->rating < die->rating || !(die->rating > 0))
                      ? punch->rating
                      : die->rating;
    if (tool > 0) check_rating(&t, KW_BRAKE_FORCE_TOOL, g->bends[0], line, tool, die->opening);
    check_length(&t, job, g);
    check_radius(&t, job, g);
    check_angle(&t, job, g);
    if (t.angle_under_load > 0 && t.angle_under_load < KW_PI) check_room(&t, job, g);
    return t;
}

double closed_height(const struct job *job, const struct group *g) {
    return 2 * (job->material.thickness + job->part->bends[g->bends[0]].flat_radius);
}

/// With the ram up the flange as it was bent must go between the flats, and they must close.
static void check_flats(struct trial *t, const struct job *job, const struct group *g) {
    const struct kw_brake_press *press = &job->shop->press;
    double tools = job->shop->dies[t->die].height + job->shop->punches[t->punch].height;
    double stands = g->leg[1] * sin(job->part->bends[g->bends[0]].angle) + job->material.thickness;
    double gap = press->open_height - tools;
    if (!(press->open_height > 0)) return;
    if (gap < stands)
        against(t, KW_BRAKE_NO_ROOM, KW_STOP, g->bends[0], tools + stands, press->open_height, 0);
    else if (press->stroke > 0 && gap - closed_height(job, g) > press->stroke)
        against(t, KW_BRAKE_NO_ROOM, KW_STOP, g->bends[0], gap - closed_height(job, g),
                press->stroke, 0);
}

static struct trial try_flats(const struct job *job, const struct group *g, int die, int punch) {
    const struct kw_brake_die *d = &job->shop->dies[die];
    const struct kw_brake_press *press = &job->shop->press;
    struct trial t = {.die = die, .punch = punch, .angle_under_load = KW_PI};
    t.radius = job->part->bends[g->bends[0]].flat_radius;
    double share = press->flatten_share > 0 ? press->flatten_share : 1;
    double force =
        kw_brake_flatten_force(job->material.tensile, g->length, job->material.thickness);
    double line = kw_brake_flatten_force(job->material.tensile, 1, job->material.thickness);
    check_rating(&t, KW_BRAKE_FORCE_PRESS, g->bends[0], force, share * press->rating, 0);
    if (d->rating > 0) check_rating(&t, KW_BRAKE_FORCE_TOOL, g->bends[0], line, d->rating, 0);
    check_length(&t, job, g);
    check_flats(&t, job, g);
    return t;
}

/// The hemming tool with the fewest stops, then risks, then the first.
static struct trial best_flats(const struct job *job, const struct group *g) {
    struct trial best = {.die = -1, .punch = -1};
    for (int d = 0; d < job->shop->die_count; d++)
        for (int p = 0; p < job->shop->punch_count; p++) {
            const struct kw_brake_die *low = &job->shop->dies[d];
            const struct kw_brake_punch *high = &job->shop->punches[p];
            if (!low->flat || !high->flat || strcmp(low->id, high->id) != 0) continue;
            struct trial t = try_flats(job, g, d, p);
            if (best.die < 0 || t.stops < best.stops ||
                (t.stops == best.stops && t.risks < best.risks))
                best = t;
        }
    if (best.die < 0) against(&best, KW_BRAKE_NO_HEMMING, KW_STOP, g->bends[0], 0, 1, 0);
    return best;
}

static bool opening_usable(const struct job *job, int die) {
    if (job->shop->dies[die].flat) return false;
    double part = job->shop->dies[die].opening / job->material.thickness;
    return part >= LEAST_OPENING - 1e-9 && part <= MOST_OPENING + 1e-9;
}

/// An opening outside the formulas' range weighs like a risk, without being told as one.
static int risks_of(const struct job *job, const struct trial *t) {
    double part = job->shop->dies[t->die].opening / job->material.thickness;
    return t->risks + (part < SAFE_OPENING || part > SAFE_OPENING_TO);
}

static bool better(const struct job *job, const struct trial *a, const struct trial *b) {
    if (a->stops != b->stops) return a->stops < b->stops;
    int ra = risks_of(job, a), rb = risks_of(job, b);
    if (ra != rb) return ra < rb;
    if (fabs(a->off - b->off) > 1e-9) return a->off < b->off;
    return a->punch_off < b->punch_off - 1e-9;
}

static struct trial no_tools(const struct job *job, const struct group *g) {
    struct trial t = {.die = -1, .punch = -1};
    double wanted = kw_brake_wanted_opening(job->material.thickness), nearest = 0;
    for (int i = 0; i < job->shop->die_count; i++) {
        double v = job->shop->dies[i].opening;
        if (job->shop->dies[i].flat) continue;
        if (nearest == 0 || fabs(log(v / wanted)) < fabs(log(nearest / wanted))) nearest = v;
    }
    int punches = 0;
    for (int i = 0; i < job->shop->punch_count; i++)
        punches += !job->shop->punches[i].flat;
    if (punches == 0) against(&t, KW_BRAKE_NO_PUNCH, KW_STOP, g->bends[0], 0, 1, 0);
    bool usable = false;
    for (int i = 0; i < job->shop->die_count; i++)
        usable = usable || opening_usable(job, i);
    if (!usable) against(&t, KW_BRAKE_NO_DIE, KW_STOP, g->bends[0], nearest, wanted, wanted);
    return t;
}

struct trial best_trial(const struct job *job, const struct group *g, int only_die) {
    struct trial best = {.die = -1, .punch = -1};
    if (g->stage == 2) return best_flats(job, g);
    for (int d = 0; d < job->shop->die_count; d++) {
        if ((only_die >= 0 && d != only_die) || !opening_usable(job, d)) continue;
        for (int p = 0; p < job->shop->punch_count; p++) {
            if (job->shop->punches[p].flat) continue;
            struct trial t = try_tools(job, g, d, p);
            if (best.die < 0 || better(job, &t, &best)) best = t;
        }
    }
    return best.die < 0 ? no_tools(job, g) : best;
}

static bool has_problem(const struct trial *t, enum kw_brake_problem_kind kind,
                        enum kw_level level) {
    for (int i = 0; i < t->problem_count; i++)
        if (t->problems[i].kind == kind && t->problems[i].level >= level) return true;
    return false;
}

/// For each problem the nearest other die that lifts it, whatever else it brings.
static void name_other_dies(const struct job *job, const struct group *g, struct trial *t) {
    for (int i = 0; i < t->problem_count && t->die >= 0 && g->stage == 1; i++) {
        struct kw_brake_problem *p = &t->problems[i];
        double nearest = INFINITY;
        for (int d = 0; d < job->shop->die_count; d++) {
            if (d == t->die || !opening_usable(job, d)) continue;
            struct trial other = best_trial(job, g, d);
            if (has_problem(&other, p->kind, p->level) || !(other.off < nearest - 1e-9)) continue;
            nearest = other.off;
            p->other_die = d;
        }
    }
}

/// One die for the whole part where that costs no stop and no risk: a tool change is minutes, a
/// slightly other radius is nothing.
static void share_one_die(const struct job *job, struct trial *trials) {
    int best = -1;
    double least = INFINITY;
    for (int d = 0; d < job->shop->die_count; d++) {
        if (!opening_usable(job, d)) continue;
        double sum = 0;
        for (int i = 0; i < job->group_count; i++) {
            if (job->groups[i].stage == 2) continue;
            struct trial t = best_trial(job, &job->groups[i], d);
            bool equal = t.die >= 0 && t.stops <= trials[i].stops &&
                         risks_of(job, &t) <= risks_of(job, &trials[i]);
            sum += equal ? t.off : INFINITY;
        }
        if (sum < least - 1e-9) {
            least = sum;
            best = d;
        }
    }
    for (int i = 0; i < job->group_count && best >= 0; i++)
        if (job->groups[i].stage == 1) trials[i] = best_trial(job, &job->groups[i], best);
}

void choose_tools(const struct job *job, struct trial *trials) {
    for (int i = 0; i < job->group_count; i++)
        trials[i] = best_trial(job, &job->groups[i], -1);
    bool all = job->group_count > 0;
    for (int i = 0; i < job->group_count; i++)
        all = all && (trials[i].die >= 0 || job->groups[i].stage == 2);
    if (all) share_one_die(job, trials);
    for (int i = 0; i < job->group_count; i++)
        name_other_dies(job, &job->groups[i], &trials[i]);
}

static struct kw_path box(struct kw_arena *a, double wide, double from, double to) {
    return kw_path_box_outline(a, -wide / 2, from, wide / 2, to, 0);
}

/// The sections that the part may run into with these tools.
static struct option option_of(const struct job *job, const struct group *g,
                               const struct trial *t) {
    struct kw_arena *a = job->scratch;
    const struct kw_brake_press *press = &job->shop->press;
    const struct kw_brake_die *die = &job->shop->dies[t->die];
    const struct kw_brake_punch *punch = &job->shop->punches[t->punch];
    // The punch stands on the sheet, or where the flats close.
    double thick = g->stage == 2 ? closed_height(job, g) : job->material.thickness;
    struct kw_path p = kw_brake_punch_profile(a, punch, t->turned),
                   d = kw_brake_die_profile(a, die);
    double top = kw_path_box(&p).max.y + thick, low = kw_path_box(&d).min.y;
    double up = press->open_height > 0 ? press->open_height + low - top : USUAL_GAP;
    struct kw_path ram =
        box(a, press->ram_width > 0 ? press->ram_width : RAM_WIDE, top, top + BEAM_TALL);
    struct kw_path bed =
        box(a, press->bed_width > 0 ? press->bed_width : BED_WIDE, low - BEAM_TALL, low);
    struct option o = {.trial = *t};
    o.punch = blades_of(a, &p, thick);
    o.punch_sweep = blades_swept(a, &o.punch, fmax(up, 0));
    o.ram = blades_of(a, &ram, 0);
    o.ram_sweep = blades_swept(a, &o.ram, fmax(up, 0));
    o.die = blades_of(a, &d, 0);
    o.bed = blades_of(a, &bed, 0);
    return o;
}

static bool is_lopsided(const struct kw_brake_punch *q) {
    if (q->profile.count == 0) return q->neck > 0;
    for (int i = 0; i < q->profile.count; i++) {
        bool met = false;
        for (int k = 0; k < q->profile.count; k++)
            met = met || (fabs(q->profile.v[i].x + q->profile.v[k].x) < 0.01 &&
                          fabs(q->profile.v[i].y - q->profile.v[k].y) < 0.01);
        if (!met) return true;
    }
    return false;
}

static void add_option(const struct job *job, const struct group *g, const struct trial *t,
                       struct options *out) {
    const struct kw_brake_punch *q = &job->shop->punches[t->punch];
    if (out->count < MOST_OPTIONS) out->v[out->count++] = option_of(job, g, t);
    struct trial other = *t;
    other.turned = true;
    if (q->both_ways && is_lopsided(q) && out->count < MOST_OPTIONS)
        out->v[out->count++] = option_of(job, g, &other);
}

void make_options(const struct job *job, const struct group *g, const struct trial *own,
                  struct options *out) {
    add_option(job, g, own, out);
    for (int p = 0; p < job->shop->punch_count; p++) {
        if (p == own->punch || g->stage == 2 || job->shop->punches[p].flat) continue;
        struct trial t = try_tools(job, g, own->die, p);
        if (t.stops > own->stops || risks_of(job, &t) > risks_of(job, own)) continue;
        if (fabs(t.radius - own->radius) >= 0.01) continue;
        name_other_dies(job, g, &t);
        add_option(job, g, &t, out);
    }
}
