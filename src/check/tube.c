// SPDX-License-Identifier: Apache-2.0
// Bent tube: from the kit's words to the tube engine, and what the engine says as findings.
#include "check/inside.h"
#include "shop/learned.h"

#include <string.h>

#define CLOSE   1e-6
#define DEGREES (180 / KW_PI)

// ----------------------------------------------------------------------------- to the tube engine

/// What a tube does on a die: as its coupons say, else the shop's factor, else by the material's
/// yield and stiffness. Coupons have an offset too: the factor is theirs at a right angle, and
/// set_as_measured has the angles.
static void spring_of(const struct checking *c, const struct kw_stock *stock, int index,
                      struct kw_tube_die *die) {
    const struct kw_learned_tube *l = kw_learned_tube_of(c->shop, stock, index);
    const struct kw_material *m = kw_shop_material(c->shop, stock);
    struct kw_tube_size size = {stock->width, stock->thickness};
    double said = c->shop->bender.springback;
    die->factor = said > 0 ? said : kw_tube_springback(size, die->clr, m->yield, m->elastic);
    if (l && l->spring.count > 0) die->factor = kw_spring_set(&l->spring, KW_PI / 2) / (KW_PI / 2);
    die->growth = kw_tube_growth(die->clr, die->factor);
    if (l && l->radius_count > 0) die->growth = l->radius - die->clr;
}

/// The angles to set, where coupons of this tube over this die say so.
static void set_as_measured(const struct kw_shop *shop, struct kw_examined *e) {
    for (int i = 0; i < e->tube->count; i++) {
        struct kw_tube_mark *m = &e->marks[i];
        const struct kw_learned_tube *l = kw_learned_tube_of(shop, &e->part->stock, m->die);
        if (l && l->spring.count > 0) m->angle_under_load = kw_spring_set(&l->spring, m->angle);
    }
}

static struct kw_tube_bender bender_of(const struct checking *c, const struct kw_stock *stock) {
    const struct kw_bender *b = &c->shop->bender;
    struct kw_tube_die *dies = KW_NEW_ARRAY(c->arena, struct kw_tube_die, b->dies.count + 1);
    for (int i = 0; i < b->dies.count; i++) {
        const struct kw_bender_die *d = KW_ITEM(struct kw_bender_die, b->dies, i);
        dies[i] = (struct kw_tube_die){d->od, d->radius, d->most_angle, d->clamp, d->lead, 1, 0};
        spring_of(c, stock, i, &dies[i]);
    }
    struct kw_box3 *bodies = KW_NEW_ARRAY(c->arena, struct kw_box3, b->bodies.count + 1);
    for (int i = 0; i < b->bodies.count; i++) {
        const struct kw_bender_body *box = KW_ITEM(struct kw_bender_body, b->bodies, i);
        const double *x = box->ahead.v, *y = box->side.v, *z = box->up.v;
        bodies[i] = (struct kw_box3){{x[0], y[0], z[0]}, {x[1], y[1], z[1]}};
    }
    return (struct kw_tube_bender){.dies = dies,
                                   .die_count = b->dies.count,
                                   .max_wall = b->most_wall,
                                   .rotates_by_itself = b->turns_by_itself != 0,
                                   .floor = b->floor,
                                   .bodies = bodies,
                                   .body_count = b->bodies.count};
}

/// The finished centreline radius where `said` (0: nothing) is wanted: a die's with its growth, or
/// as said where there is none (told as tube-radius-no-die).
static double finished_radius(const struct kw_tube_bender *b, double od, double said) {
    for (int i = 0; i < b->die_count; i++) {
        const struct kw_tube_die *d = &b->dies[i];
        if (fabs(d->od - od) > KW_TUBE_DIE_MATCH_MM) continue;
        if (said == 0 || fabs(d->clr - said) <= KW_TUBE_DIE_MATCH_MM) return d->clr + d->growth;
    }
    return said > 0 ? said : 3 * od; // no die: told as tube-od-no-die, drawn as is usual
}

/// What a bend's own radius (0: none) or the part's die comes to.
static double radius_of(const struct kw_part *part, const struct kw_tube_bender *b, double own) {
    return finished_radius(b, part->stock.width, own > 0 ? own : part->die);
}

static bool from_words(struct checking *c, const struct kw_part *part,
                       const struct kw_tube_bender *b, struct kw_tube_table *table,
                       struct kw_tube_problems *problems) {
    int n = part->shape.count;
    struct kw_tube_step *v = KW_NEW_ARRAY(c->arena, struct kw_tube_step, n + 1);
    for (int i = 0; i < n; i++) {
        const struct kw_shape_step *s = KW_ITEM(struct kw_shape_step, part->shape, i);
        if (strcmp(s->word, "turn") == 0) {
            v[i] = (struct kw_tube_step){.kind = KW_TUBE_TURN, .angle = s->value};
        } else {
            v[i] = (struct kw_tube_step){.kind = KW_TUBE_STRAIGHT, .length = s->value};
            kw_tube_way(s->word, &v[i].towards);
        }
    }
    struct kw_tube_line line;
    return kw_tube_line_from_steps(c->arena, v, n, part->stock.width, radius_of(part, b, 0),
                                   KW_TUBE_OUTSIDE, &line, problems) &&
           kw_tube_table(c->arena, &line, table, problems);
}

static bool from_points(struct checking *c, const struct kw_part *part,
                        const struct kw_tube_bender *b, struct kw_tube_table *table,
                        struct kw_tube_problems *problems) {
    int n = part->points.count;
    struct kw_vec3 *v = KW_NEW_ARRAY(c->arena, struct kw_vec3, n);
    double *radii = KW_NEW_ARRAY(c->arena, double, n);
    for (int i = 0; i < n; i++) {
        const struct kw_tube_point *p = KW_ITEM(struct kw_tube_point, part->points, i);
        v[i] = kw_v3(p->at[0], p->at[1], p->at[2]);
        radii[i] = radius_of(part, b, p->radius);
    }
    struct kw_tube_line line;
    return kw_tube_line_from_points(c->arena, v, n, radii, 0, &line, problems) &&
           kw_tube_table(c->arena, &line, table, problems);
}

static bool from_rows(struct checking *c, const struct kw_part *part,
                      const struct kw_tube_bender *b, struct kw_tube_table *table,
                      struct kw_tube_problems *problems) {
    int n = part->bend_table.count - 1;
    const struct kw_bender_row *rows = part->bend_table.v;
    struct kw_tube_bend *v = KW_NEW_ARRAY(c->arena, struct kw_tube_bend, n + 1);
    for (int i = 0; i < n; i++) {
        double radius = radius_of(part, b, rows[i].radius);
        v[i] = (struct kw_tube_bend){rows[i].straight, rows[i].rotate, rows[i].angle, radius};
    }
    return kw_tube_table_from_rows(c->arena, v, n, rows[n].straight, table, problems);
}

static bool table_of(struct checking *c, const struct kw_part *part, const struct kw_tube_bender *b,
                     struct kw_tube_table *table, struct kw_tube_problems *problems) {
    if (part->points.count > 0) return from_points(c, part, b, table, problems);
    if (part->bend_table.count > 0) return from_rows(c, part, b, table, problems);
    return from_words(c, part, b, table, problems);
}

bool check_tube_table(struct checking *c, const struct kw_part *part, struct kw_tube_table *table) {
    struct kw_tube_problems problems = {.arena = c->arena};
    struct kw_tube_bender bender = bender_of(c, &part->stock);
    return part->stock.kind == KW_ROUND_TUBE && table_of(c, part, &bender, table, &problems);
}

/// End straights as fitted ends make them: false when nothing is left of one.
static bool lengthen(const struct kw_part *part, struct kw_tube_table *t,
                     struct kw_tube_problems *problems) {
    double *first = t->count > 0 ? &t->bends[0].straight : &t->last;
    *first += part->longer[0];
    t->start = kw_add3(t->start, kw_scale3(t->along, -part->longer[0]));
    t->last += part->longer[1];
    t->cut_length += part->longer[0] + part->longer[1];
    if (*first >= 0 && t->last >= 0) return true;
    int straight = *first < 0 ? 0 : t->count;
    KW_PUSH(problems->arena, problems->v, problems->count) =
        (struct kw_tube_problem){.kind = KW_TUBE_RADIUS_DOES_NOT_FIT,
                                 .step = -1,
                                 .straight = straight,
                                 .bend = -1,
                                 .measured = fmin(*first, t->last)};
    return false;
}

// ----------------------------------------------------------------------------- problems

struct told {
    const char *rule;
    char unit; // 'l' length, 'a' angle, 'n' number
};

static const struct told told_as[KW_TUBE_PROBLEM_KINDS] = {
    [KW_TUBE_STEP_ORDER] = {"tube-step-order", 'n'},
    [KW_TUBE_TURN_DISAGREES] = {"tube-turn-disagrees", 'a'},
    [KW_TUBE_ZERO_LENGTH_STRAIGHT] = {"tube-zero-length-straight", 'l'},
    [KW_TUBE_DOUBLES_BACK] = {"tube-doubles-back", 'a'},
    [KW_TUBE_RADIUS_DOES_NOT_FIT] = {"tube-radius-does-not-fit", 'l'},
    [KW_TUBE_TOO_FEW_POINTS] = {"tube-too-few-points", 'n'},
    [KW_TUBE_OUT_OF_RANGE] = {"tube-out-of-range", 'n'},
    [KW_TUBE_WALL_THICKER_THAN_HALF] = {"tube-wall-thicker-than-half", 'l'},
    [KW_TUBE_OD_NO_DIE] = {"tube-od-no-die", 'l'},
    [KW_TUBE_RADIUS_NO_DIE] = {"tube-radius-no-die", 'l'},
    [KW_TUBE_ANGLE_BEYOND_DIE] = {"tube-angle-beyond-die", 'a'},
    [KW_TUBE_WALL_BEYOND] = {"tube-wall-beyond", 'l'},
    [KW_TUBE_STRAIGHT_TOO_SHORT] = {"tube-straight-too-short", 'l'},
    [KW_TUBE_UNDER_THREE_D] = {"tube-under-three-d", 'n'},
    [KW_TUBE_WALL_FACTOR] = {"tube-wall-factor", 'n'},
    [KW_TUBE_TURNED_BY_HAND] = {"tube-turned-by-hand", 'a'},
    [KW_TUBE_HITS_FLOOR] = {"tube-hits-floor", 'a'},
    [KW_TUBE_HITS_BODY] = {"tube-hits-machine", 'a'},
    [KW_TUBE_HITS_ITSELF] = {"tube-hits-itself", 'a'},
    [KW_TUBE_FEED_HITS_BODY] = {"tube-feed-hits-machine", 'l'},
    [KW_TUBE_TURN_HITS_FLOOR] = {"tube-turn-hits-floor", 'a'},
    [KW_TUBE_TURN_HITS_BODY] = {"tube-turn-hits-machine", 'a'},
    [KW_TUBE_COPE_TOO_FLAT] = {"cope-too-flat", 'a'},
    [KW_TUBE_COPE_MISSES] = {"cope-misses", 'l'},
};

static const char *form_key(const struct kw_part *part) {
    return part->points.count > 0 ? "points" : part->bend_table.count > 0 ? "bend_table" : "shape";
}

/// Where item `i` of the part's form stands: a step, a point or a row.
static struct kw_place item_place(const struct kw_part *part, int i) {
    if (i >= 0 && i < part->shape.count) return KW_ITEM(struct kw_shape_step, part->shape, i)->at;
    if (i >= 0 && i < part->points.count)
        return KW_ITEM(struct kw_tube_point, part->points, i)->place;
    if (i >= 0 && i < part->bend_table.count)
        return check_place(KW_ITEM(struct kw_bender_row, part->bend_table, i)->node, "straight");
    return check_place(part->node, i < 0 ? "from" : form_key(part));
}

static struct kw_place problem_place(const struct kw_part *part, const struct kw_tube_problem *p) {
    if (p->kind == KW_TUBE_RADIUS_NO_DIE && part->die > 0) return check_place(part->node, "die");
    if (p->step >= 0) return item_place(part, p->step);
    if (p->bend < 0 && p->straight < 0) return check_place(part->node, "from");
    // In words straight i is step 2 i, bend i step 2 i + 1; in rows both are row i; bend i is made
    // at point i + 1 (points on a straight are rare, and then one before it is named).
    bool words = part->shape.count > 0, points = part->points.count > 0;
    if (p->bend >= 0) return item_place(part, words ? 2 * p->bend + 1 : p->bend + points);
    return item_place(part, words ? 2 * p->straight : p->straight);
}

static const char *value_text(const struct checking *c, char unit, double v) {
    if (unit == 'l') return check_length(c, v);
    char number[KW_NUMBER_SIZE];
    return kw_format(c->arena, unit == 'a' ? "%s deg" : "%s",
                     kw_number(number, unit == 'a' ? v * DEGREES : v, 2));
}

static const char *met_text(const struct checking *c, const struct kw_tube_problem *p) {
    if (p->kind == KW_TUBE_HITS_ITSELF) return "itself";
    if (p->kind == KW_TUBE_HITS_FLOOR || p->kind == KW_TUBE_TURN_HITS_FLOOR)
        return kw_format(c->arena, "the floor, %s under the stick",
                         check_length(c, c->shop->bender.floor));
    return KW_ITEM(struct kw_bender_body, c->shop->bender.bodies, p->body)->name;
}

static const char *hit_text(const struct checking *c, const struct kw_examined *e,
                            const struct kw_tube_problem *p, const char *where) {
    const char *turn = value_text(c, 'a', p->measured);
    return kw_format(
        c->arena, "%s%s: the tube meets %s %s; %s", where, e->part->name, met_text(c, p),
        p->measured > 0 ? kw_format(c->arena, "after %s of %s", turn, value_text(c, 'a', p->limit))
                        : "before the bend begins",
        "from the other end it is no better");
}

/// Between two bends a person can do what the bender can't.
static bool is_between_bends(const struct kw_tube_problem *p) {
    return p->kind == KW_TUBE_FEED_HITS_BODY || p->kind == KW_TUBE_TURN_HITS_FLOOR ||
           p->kind == KW_TUBE_TURN_HITS_BODY;
}

static bool stops(const struct checking *c, const struct kw_tube_problem *p) {
    if (is_between_bends(p) && !c->shop->bender.turns_by_itself) return false;
    return kw_rule_named(told_as[p->kind].rule)->level == KW_STOP;
}

static const char *between_text(const struct checking *c, const struct kw_examined *e,
                                const struct kw_tube_problem *p, const char *where) {
    bool feed = p->kind == KW_TUBE_FEED_HITS_BODY;
    char unit = feed ? 'l' : 'a';
    return kw_format(c->arena, "before %s%s: the tube meets %s after %s of %s %s%s", where,
                     e->part->name, met_text(c, p), value_text(c, unit, p->measured),
                     value_text(c, unit, p->limit),
                     feed ? "feed" : "turn, and the other way round too",
                     c->shop->bender.turns_by_itself
                         ? ""
                         : ": lift it out of the bender, turn it and lay it in again");
}

/// What the metal does in a bend of that radius over diameter. The code's limits hold for pipe and
/// are a measure for a trial piece.
static const char *metal_text(const struct checking *c, const struct kw_examined *e, double ratio) {
    struct kw_tube_size size = {e->part->stock.width, e->part->stock.thickness};
    struct kw_tube_form form = kw_tube_form(size, ratio * size.od);
    return kw_format(c->arena,
                     "; expect the outer wall to thin by %.0f %% to %s, and more than 8 %% of the "
                     "diameter in flattening is a reject (ASME B31.1)",
                     form.thinning * 100, check_length(c, form.outer_wall));
}

static void tell(struct checking *c, const struct kw_examined *e, const struct kw_tube_problem *p) {
    const struct told *t = &told_as[p->kind];
    double scale = t->unit == 'a' ? DEGREES : 1;
    struct kw_finding f = check_finding(c, t->rule, e->part, problem_place(e->part, p),
                                        p->measured * scale, p->limit * scale);
    f.unit = t->unit == 'a' ? "deg" : t->unit == 'l' ? "mm" : "";
    check_at(&f, "tube", p->at.x, p->at.y, p->at.z);
    const char *where = p->bend >= 0       ? kw_format(c->arena, "bend %d of ", p->bend + 1)
                        : p->straight >= 0 ? kw_format(c->arena, "straight %d of ", p->straight + 1)
                                           : "";
    if (is_between_bends(p)) {
        f.says = between_text(c, e, p, where);
        if (!stops(c, p)) f.level = KW_NOTE;
    } else if (p->kind >= KW_TUBE_HITS_FLOOR && p->kind <= KW_TUBE_HITS_ITSELF) {
        f.says = hit_text(c, e, p, where);
    } else {
        f.says = kw_format(c->arena, "%s%s: %s: %s against %s%s", where, e->part->name, f.says,
                           value_text(c, t->unit, p->measured), value_text(c, t->unit, p->limit),
                           p->kind == KW_TUBE_UNDER_THREE_D ? metal_text(c, e, p->measured) : "");
    }
    kw_find(c->findings, f);
}

void check_end_problem(struct checking *c, const struct kw_examined *e, const struct kw_node *cope,
                       const struct kw_tube_problem *p) {
    bool flat = p->kind == KW_TUBE_COPE_TOO_FLAT;
    double scale = flat ? DEGREES : 1;
    struct kw_place at = check_place(cope, flat ? "angle" : "onto");
    struct kw_finding f =
        check_finding(c, told_as[p->kind].rule, e->part, at, p->measured * scale, p->limit * scale);
    f.unit = flat ? "deg" : "mm";
    f.says = kw_format(c->arena, "%s: %s: %s against %s", e->part->name, f.says,
                       value_text(c, told_as[p->kind].unit, p->measured),
                       value_text(c, told_as[p->kind].unit, p->limit));
    kw_find(c->findings, f);
}

void check_tube_problems(struct checking *c, const struct kw_examined *e,
                         const struct kw_tube_problems *problems) {
    for (int i = 0; i < problems->count; i++)
        tell(c, e, &problems->v[i]);
}

static void tell_seam(struct checking *c, const struct kw_examined *e) {
    double most = kw_rule_limit(c->shop, "tube-seam");
    struct kw_tube_seam seam = kw_tube_seam(e->tube);
    if (e->tube->count < 2 || !(seam.off * DEGREES > most + 1e-6)) return;
    struct kw_finding f =
        check_finding(c, "tube-seam", e->part, check_place(e->part->node, form_key(e->part)),
                      seam.off * DEGREES, most);
    f.says = kw_format(c->arena,
                       "%s: the weld seam lies best %.0f deg from the plane of the first bend, and "
                       "is %.0f deg off the side in the worst",
                       e->part->name, seam.from_first * DEGREES, seam.off * DEGREES);
    kw_find(c->findings, f);
}

static void tell_trims(struct checking *c, const struct kw_examined *e) {
    double most = fmax(e->trims.start, e->trims.end);
    if (!(most > CLOSE)) return;
    struct kw_finding f = check_finding(c, "tube-trim", e->part,
                                        check_place(e->part->node, form_key(e->part)), most, 0);
    f.says =
        kw_format(c->arena,
                  "%s is bent longer by %s at the start and %s at the end, sawn off "
                  "afterwards",
                  e->part->name, check_length(c, e->trims.start), check_length(c, e->trims.end));
    kw_find(c->findings, f);
}

// ------------------------------------------------------------------------------------ at the
// bender

/// One end bent first: the table from there, what it needs and what is wrong with it.
struct from_end {
    struct kw_tube_table table;
    struct kw_tube_trims trims;
    struct kw_tube_problems problems;
    enum kw_tube_turning *ways; ///< a bend
    int worst;                  ///< problems that stop it
    int lifts;                  ///< times that it is lifted out of the bender
};

static void try_end(struct checking *c, struct from_end *t, struct kw_tube_size size,
                    const struct kw_tube_bender *bender) {
    t->trims = kw_tube_trims_needed(&t->table, size, bender);
    t->problems = (struct kw_tube_problems){.arena = c->arena};
    kw_tube_check(&t->table, size, bender, t->trims, &t->problems);
    kw_tube_swing(c->arena, &t->table, size, bender, t->trims, &t->problems);
    t->ways = KW_NEW_ARRAY(c->arena, enum kw_tube_turning, t->table.count);
    kw_tube_turns(c->arena, &t->table, size, bender, t->trims, t->ways, &t->problems);
    for (int i = 0; i < t->problems.count; i++)
        t->worst += stops(c, &t->problems.v[i]);
    for (int i = 0; i < t->table.count; i++)
        t->lifts += t->ways[i] == KW_TUBE_LIFT_OUT && !bender->rotates_by_itself;
}

static double trimmed(const struct from_end *t) {
    return t->trims.start + t->trims.end;
}

/// The neutral line where coupons of this tube over each bend's die put it, else the centreline.
static void take_as_measured(struct checking *c, const struct kw_examined *e,
                             const struct kw_tube_bender *bender) {
    struct kw_tube_table *t = e->tube;
    double *taken = KW_NEW_ARRAY(c->arena, double, t->count);
    bool any = false;
    for (int i = 0; i < t->count; i++) {
        const struct kw_tube_bend *b = &t->bends[i];
        int die = kw_tube_die_for(bender, e->part->stock.width, b->radius, b->angle);
        const struct kw_learned_tube *l = kw_learned_tube_of(c->shop, &e->part->stock, die);
        bool known = l && l->neutral > 0;
        taken[i] = (known ? l->neutral : b->radius) * b->angle;
        any = any || known;
    }
    if (any) kw_tube_take(t, taken);
}

/// Fewer stops, then fewer lifts, then less to saw off; the end as written when both are alike.
static bool is_better(const struct from_end *a, const struct from_end *than) {
    if (a->worst != than->worst) return a->worst < than->worst;
    if (a->lifts != than->lifts) return a->lifts < than->lifts;
    return trimmed(a) < trimmed(than) - CLOSE;
}

/// Counted from the end as written.
static void count_back(struct kw_tube_problems *p, int bends) {
    for (int i = 0; i < p->count; i++) {
        if (p->v[i].bend >= 0) p->v[i].bend = bends - 1 - p->v[i].bend;
        if (p->v[i].straight >= 0) p->v[i].straight = bends - p->v[i].straight;
    }
}

/// Returns the way from each bend to the next.
static const enum kw_tube_turning *at_the_bender(struct checking *c, struct kw_examined *e,
                                                 struct kw_tube_size size,
                                                 const struct kw_tube_bender *bender) {
    struct from_end ends[2] = {{.table = *e->tube}};
    kw_tube_other_end(c->arena, e->tube, &ends[1].table);
    for (int i = 0; i < 2; i++)
        try_end(c, &ends[i], size, bender);
    e->from_end = is_better(&ends[1], &ends[0]);
    struct from_end *best = &ends[e->from_end];
    *e->tube = best->table;
    e->trims = best->trims;
    if (e->from_end) count_back(&best->problems, e->tube->count);
    check_tube_problems(c, e, &best->problems);
    return best->ways;
}

void check_bent_tube(struct checking *c, struct kw_examined *e) {
    const struct kw_stock *stock = &e->part->stock;
    struct kw_place at = check_place(e->part->node, form_key(e->part));
    if (stock->kind != KW_ROUND_TUBE) {
        kw_find(c->findings, check_finding(c, "tube-not-round", e->part, at, 0, 0));
        return;
    }
    struct kw_tube_size size = {stock->width, stock->thickness};
    struct kw_tube_problems problems = {.arena = c->arena};
    struct kw_tube_bender bender = bender_of(c, stock);
    e->tube = KW_NEW(c->arena, struct kw_tube_table);
    bool fine = kw_tube_size_check(size, &problems) &&
                table_of(c, e->part, &bender, e->tube, &problems) &&
                lengthen(e->part, e->tube, &problems);
    check_tube_problems(c, e, &problems);
    if (!fine) {
        e->tube = NULL;
        return;
    }
    const enum kw_tube_turning *ways = NULL;
    if (e->tube->count > 0 && !c->shop->bender.node && bender.die_count == 0) {
        kw_find(c->findings, check_finding(c, "no-bender", e->part, at, 0, 0));
    } else {
        take_as_measured(c, e, &bender);
        ways = at_the_bender(c, e, size, &bender);
    }
    e->marks = kw_tube_marks(c->arena, e->tube, size, &bender, e->trims);
    for (int i = 0; ways && i < e->tube->count; i++)
        e->marks[i].turning = ways[i];
    set_as_measured(c->shop, e);
    e->cut_length = e->tube->cut_length + e->trims.start + e->trims.end;
    e->mass = e->tube->cut_length;
    e->box = kw_tube_box(e->tube, size.od);
    tell_trims(c, e);
    tell_seam(c, e);
}
