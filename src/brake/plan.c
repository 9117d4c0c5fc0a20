// SPDX-License-Identifier: Apache-2.0
// One part from its bends to its strokes.
#include "brake/inside.h"

#define DEGREE      (KW_PI / 180)
#define START_SHORT (3 * DEGREE) // first hit of a first piece
#define MOST_BENDS  500

static bool finite_path(const struct kw_path *p) {
    for (int i = 0; i < p->count; i++)
        if (!isfinite(p->v[i].x) || !isfinite(p->v[i].y) || !isfinite(p->v[i].bulge)) return false;
    return p->count >= 2;
}

static const char *bend_fault(const struct kw_brake_part *part, const struct kw_brake_bend *b) {
    if (b->parent < 0 || b->parent >= part->face_count || b->child <= 0 ||
        b->child >= part->face_count || b->parent == b->child)
        return "joins faces that are not there";
    if (!(b->angle > 0 && b->angle < KW_PI)) return "turns by no angle between 0 and 180 degrees";
    if (!(kw_length2(kw_sub2(b->to, b->from)) > KW_SAME_POINT_MM)) return "has a line of no length";
    if (!(kw_length2(b->from) <= KW_MOST_MM && kw_length2(b->to) <= KW_MOST_MM))
        return "lies out of range";
    if (!(b->allowance >= 0 && b->allowance <= KW_MOST_MM)) return "has no allowance";
    if (!(b->radius >= 0 && b->radius <= KW_MOST_MM)) return "has no radius";
    if (!(b->hole_gap >= 0)) return "has a hole gap below 0";
    return NULL;
}

/// Every face but 0 is the child of one bend and hangs on face 0.
static const char *tree_fault(const struct kw_brake_part *part) {
    for (int face = 1; face < part->face_count; face++) {
        int owners = 0;
        for (int i = 0; i < part->bend_count; i++)
            owners += part->bends[i].child == face;
        if (owners != 1) return "a face is not the child of one bend";
        int at = face, left = part->bend_count;
        for (; at != 0 && left >= 0; left--)
            for (int i = 0; i < part->bend_count; i++)
                if (part->bends[i].child == at) {
                    at = part->bends[i].parent;
                    break;
                }
        if (at != 0) return "the bends go round in a ring";
    }
    return NULL;
}

static enum kw_status check_part(const struct kw_brake_part *part,
                                 const struct kw_brake_material *m, struct kw_place at,
                                 struct kw_error *err) {
    if (!(m->thickness > 0 && m->thickness <= KW_MOST_MM && m->tensile > 0 && m->yield >= 0))
        return kw_fail(err, KW_GEOMETRY, at,
                       "a bent part needs a thickness and a tensile strength");
    if (part->face_count < 1) return kw_fail(err, KW_GEOMETRY, at, "a bent part needs a face");
    if (part->bend_count > MOST_BENDS)
        return kw_fail(err, KW_LIMIT, at, "at most %d bends, got %d", MOST_BENDS, part->bend_count);
    for (int i = 0; i < part->bend_count; i++) {
        const char *fault = bend_fault(part, &part->bends[i]);
        if (fault) return kw_fail(err, KW_GEOMETRY, at, "bend %s %s", part->bends[i].id, fault);
    }
    for (int i = 0; i < part->face_count; i++)
        if (!finite_path(&part->faces[i].outline))
            return kw_fail(err, KW_GEOMETRY, at, "face %d has no outline", i);
    const char *fault = tree_fault(part);
    return fault ? kw_fail(err, KW_GEOMETRY, at, "%s", fault) : KW_OK;
}

static struct kw_brake_material with_defaults(const struct kw_brake_material *m) {
    struct kw_brake_material out = *m;
    if (!(out.modulus > 0)) out.modulus = 200000;
    if (!(out.natural_ratio > 0)) out.natural_ratio = 0.16;
    return out;
}

static void set_depths(const struct job *job, const struct group *g, struct kw_brake_step *s) {
    const struct kw_brake_die *die = &job->shop->dies[s->die];
    const struct kw_brake_material *m = &job->material;
    double thick = m->thickness, load = s->angle_under_load;
    s->force = kw_brake_force(m->tensile, g->length, thick, die->opening);
    s->depth = kw_brake_depth(load, s->inside_radius, thick, die);
    double start = fmax(load - START_SHORT, load / 2);
    s->start_depth = kw_brake_depth(start, s->inside_radius, thick, die);
    // A degree of the finished part takes a little more than one under load.
    double ratio = die->load_slope > 0 ? die->load_slope : load / s->angle;
    s->depth_per_degree = kw_brake_depth_slope(load, s->inside_radius, thick, die) * ratio * DEGREE;
}

static struct kw_brake_step make_step(const struct job *job, const struct group *g,
                                      const struct trial *t) {
    const struct kw_brake_bend *first = &job->part->bends[g->bends[0]];
    struct kw_brake_step s = {.bends = g->bends, .bend_count = g->count};
    s.die = t->die;
    s.punch = t->punch;
    s.span = g->span;
    s.length = g->length;
    s.inside_radius = t->radius;
    s.angle = first->angle;
    s.angle_under_load = t->angle_under_load;
    s.turned_over = first->down;
    if (t->die < 0) return s;
    double opening = job->shop->dies[t->die].opening;
    s.least_leg[0] = kw_brake_least_leg(first->angle, opening, KW_STOP);
    s.least_leg[1] = kw_brake_least_leg(first->angle, opening, KW_RISK);
    return s;
}

static void report(const struct job *job, struct kw_brake_plan *plan, struct kw_brake_step *step,
                   struct kw_brake_problem p) {
    p.step = plan->step_count;
    KW_PUSH(job->arena, plan->problems, plan->problem_count) = p;
    if (p.level == KW_STOP) step->blocked = true;
}

static void plan_step(const struct job *job, const struct group *g, const struct trial *t,
                      bool *done, struct kw_brake_plan *plan) {
    struct kw_brake_step step = make_step(job, g, t);
    struct kw_brake_problem p;
    for (int i = 0; i < t->problem_count; i++)
        report(job, plan, &step, t->problems[i]);
    if (choose_gauge(job, done, g, &step, &p)) report(job, plan, &step, p);
    if (fouls_frames(job, done, g, &step, &p)) report(job, plan, &step, p);
    double lift = job->shop->press.one_person_mass;
    if (plan->step_count == 0 && lift > 0 && job->part->mass > lift)
        report(job, plan, &step,
               (struct kw_brake_problem){KW_BRAKE_HEAVY, KW_RISK, 0, g->bends[0], job->part->mass,
                                         lift, 0, -1});
    if (!step.blocked) set_depths(job, g, &step);
    for (int i = 0; i < g->count; i++)
        done[g->bends[i]] = true;
    KW_PUSH(job->arena, plan->steps, plan->step_count) = step;
}

static void plan_all(struct job *job, struct kw_brake_plan *plan) {
    size_t n = (size_t)job->part->bend_count;
    job->normals = kw_alloc(job->scratch, n * sizeof *job->normals);
    job->radii = kw_alloc(job->scratch, n * sizeof *job->radii);
    for (int i = 0; i < job->part->bend_count; i++)
        job->normals[i] = bend_normal(job->part, i);
    make_groups(job);
    struct trial *trials = kw_alloc(job->scratch, n * sizeof *trials);
    int *order = kw_alloc(job->scratch, n * sizeof *order);
    choose_tools(job, trials);
    for (int i = 0; i < job->group_count; i++)
        for (int j = 0; j < job->groups[i].count; j++) {
            double designed = job->part->bends[job->groups[i].bends[j]].radius;
            job->radii[job->groups[i].bends[j]] = designed > 0 ? designed : trials[i].radius;
        }
    order_groups(job, trials, order);
    bool *done = kw_alloc(job->scratch, n);
    for (int i = 0; i < job->group_count; i++)
        plan_step(job, &job->groups[order[i]], &trials[order[i]], done, plan);
}

enum kw_status kw_brake_plan(struct kw_arena *arena, const struct kw_brake_part *part,
                             const struct kw_brake_material *material,
                             const struct kw_brake_shop *shop, struct kw_place at,
                             struct kw_brake_plan *plan, struct kw_error *err) {
    *plan = (struct kw_brake_plan){0};
    enum kw_status s = check_part(part, material, at, err);
    if (s) return s;
    for (int i = 0; i < shop->die_count; i++)
        if (!(shop->dies[i].opening > 0 && shop->dies[i].angle > 0 && shop->dies[i].angle < KW_PI))
            return kw_fail(err, KW_GEOMETRY, at, "die %s has no opening or angle",
                           shop->dies[i].id);
    if (part->bend_count == 0) return KW_OK;
    struct kw_arena scratch = {0};
    struct job job = {.arena = arena, .scratch = &scratch, .part = part, .shop = shop};
    job.material = with_defaults(material);
    plan_all(&job, plan);
    kw_arena_free(&scratch);
    return KW_OK;
}
