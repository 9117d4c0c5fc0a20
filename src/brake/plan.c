// SPDX-License-Identifier: Apache-2.0
// One part from its bends to its strokes.
#include "brake/search.h"

#define DEGREE      (KW_PI / 180)
#define START_SHORT (3 * DEGREE) // first hit of a first piece
#define TWO_HANDS   150.0        // mm along the bend (common practice, no source)

const struct kw_brake_seconds kw_brake_usual_seconds = {.turn_over = 8,
                                                        .rotate = 4,
                                                        .tool_change = 300,
                                                        .station_change = 5,
                                                        .gauge_move = 10,
                                                        .gauge_height = 30,
                                                        .awkward = 6};

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

static void set_closing(const struct job *job, const unsigned char *done, const struct group *g,
                        struct kw_brake_step *s) {
    const struct kw_brake_material *m = &job->material;
    struct fold f = fold_for(job, done, g->bends[0], !s->gauge_child_side);
    s->force = kw_brake_flatten_force(m->tensile, g->length, m->thickness);
    s->depth = fmax(0, top_of(&f, job->part->bends[g->bends[0]].child) - s->closed);
}

static struct kw_brake_step make_step(const struct job *job, const struct group *g,
                                      const struct trial *t) {
    const struct kw_brake_bend *first = &job->part->bends[g->bends[0]];
    struct kw_brake_step s = {.bends = g->bends, .bend_count = g->count, .stage = g->stage};
    s.die = t->die;
    s.punch = t->punch;
    s.punch_turned = t->turned;
    s.span = g->span;
    s.length = g->length;
    s.inside_radius = t->radius;
    s.angle = first->angle;
    s.angle_under_load = t->angle_under_load;
    s.turned_over = first->down;
    s.overbend = INFINITY;
    if (g->stage == 2) {
        s.angle = KW_PI;
        s.closed = closed_height(job, g);
    }
    if (t->die < 0 || g->stage == 2) return s;
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

/// The edge lies so near that a finger before it stands in the tools: the least distance that
/// would do, or the edge's own where none does.
static bool fingers_collide(const struct job *job, const struct group *g, const struct trial *t,
                            const struct kw_brake_step *s, struct kw_brake_problem *p) {
    const struct options *all = job->options ? &job->options[g - job->groups] : NULL;
    for (int i = 0; all && i < all->count; i++) {
        const struct option *o = &all->v[i];
        if (o->trial.punch != t->punch || o->trial.turned != t->turned ||
            !fingers_in_tools(job, o, s->gauge_x, s->gauge_r))
            continue;
        double least = s->gauge_x;
        for (double x = s->gauge_x; x < s->gauge_x + 300 && least == s->gauge_x; x += 0.5)
            if (!fingers_in_tools(job, o, x, s->gauge_r)) least = x;
        *p = (struct kw_brake_problem){.kind = KW_BRAKE_FINGERS,
                                       .level = KW_STOP,
                                       .bend = g->bends[0],
                                       .measured = s->gauge_x,
                                       .limit = least,
                                       .other_die = -1};
        return true;
    }
    return false;
}

/// A hanging flange is pulled back from, as far as the gauge goes.
static bool back_too_far(const struct job *job, const struct group *g,
                         const struct kw_brake_step *s, struct kw_brake_problem *p) {
    double to = s->gauge_x + s->gauge_back, most = job->shop->press.gauge_max_x;
    if (!(s->gauge_back > 0) || to <= most) return false;
    *p = (struct kw_brake_problem){.kind = KW_BRAKE_GAUGE_REACH,
                                   .level = KW_RISK,
                                   .bend = g->bends[0],
                                   .measured = to,
                                   .limit = most,
                                   .other_die = -1};
    return true;
}

/// Something to hold before the die, clear of punch and die, and wide enough for two hands.
static bool hard_to_hold(const struct job *job, const struct group *g,
                         const struct kw_brake_step *s, struct kw_brake_problem *p) {
    double clear = hold_clear(&job->shop->press);
    bool pinch = s->front < clear;
    if (!pinch && s->front_width >= TWO_HANDS) return false;
    *p = (struct kw_brake_problem){.kind = KW_BRAKE_HOLD,
                                   .level = pinch ? KW_RISK : KW_NOTE,
                                   .bend = g->bends[0],
                                   .measured = pinch ? fmax(0, s->front) : s->front_width,
                                   .limit = pinch ? clear : TWO_HANDS,
                                   .other_die = -1};
    return true;
}

static void plan_step(const struct job *job, const struct group *g, const struct trial *t, int side,
                      unsigned char *done, struct kw_brake_plan *plan) {
    struct kw_brake_step step = make_step(job, g, t);
    struct kw_brake_problem p;
    for (int i = 0; i < t->problem_count; i++)
        report(job, plan, &step, t->problems[i]);
    if (job->effort != KW_BRAKE_TOOLS_ONLY) {
        if (g->stage == 2) {
            step.gauge_face = -1;
            step.gauge_edge = "";
            step.gauge_child_side = side != 0; // the fold away from the hands where both would do
        } else if (choose_gauge(job, done, g, side, &step, &p) ||
                   fingers_collide(job, g, t, &step, &p) || back_too_far(job, g, &step, &p)) {
            report(job, plan, &step, p);
        }
        if (fouls_frames(job, done, g, &step, &p)) report(job, plan, &step, p);
        if (step.die >= 0) {
            front_figures(job, done, g, &step);
            if (hard_to_hold(job, g, &step, &p)) report(job, plan, &step, p);
        }
    }
    double lift = job->shop->press.one_person_mass;
    if (plan->step_count == 0 && lift > 0 && job->part->mass > lift)
        report(job, plan, &step,
               (struct kw_brake_problem){.kind = KW_BRAKE_HEAVY,
                                         .level = KW_RISK,
                                         .bend = g->bends[0],
                                         .measured = job->part->mass,
                                         .limit = lift,
                                         .other_die = -1});
    if (!step.blocked && g->stage == 2)
        set_closing(job, done, g, &step);
    else if (!step.blocked)
        set_depths(job, g, &step);
    if (!step.blocked) rise_figures(job, done, g, &step);
    for (int i = 0; i < g->count; i++)
        done[g->bends[i]] = (unsigned char)g->stage;
    KW_PUSH(job->arena, plan->steps, plan->step_count) = step;
}

/// Whether every group has tools with which a stroke can be followed.
static bool can_search(const struct job *job, const struct trial *trials) {
    if (job->group_count > SEARCH_GROUPS || job->part->bend_count > 60) return false;
    for (int i = 0; i < job->group_count; i++)
        if (trials[i].die < 0 ||
            !(trials[i].angle_under_load > 0 && trials[i].angle_under_load < KW_PI + 1e-9 &&
              (job->groups[i].stage == 2 || trials[i].angle_under_load < KW_PI)))
            return false;
    return true;
}

static void prepare_search(struct job *job, const struct trial *trials) {
    const struct kw_brake_shop *shop = job->shop;
    struct kw_arena *a = job->scratch;
    job->options = KW_NEW_ARRAY(a, struct options, job->group_count);
    for (int i = 0; i < job->group_count; i++)
        make_options(job, &job->groups[i], &trials[i], &job->options[i]);
    job->punch_lengths = KW_NEW_ARRAY(a, struct lengths, shop->punch_count);
    job->die_lengths = KW_NEW_ARRAY(a, struct lengths, shop->die_count);
    for (int i = 0; i < shop->punch_count; i++)
        job->punch_lengths[i] = lengths_of(a, shop->punches[i].segments,
                                           shop->punches[i].segment_count, shop->punches[i].length);
    for (int i = 0; i < shop->die_count; i++)
        job->die_lengths[i] = lengths_of(a, shop->dies[i].segments, shop->dies[i].segment_count,
                                         shop->dies[i].length);
    job->cache = room_cache_new(a, job);
}

static bool same_station(const struct kw_brake_step *a, const struct kw_brake_step *b) {
    return a->die == b->die && a->punch == b->punch && a->punch_turned == b->punch_turned &&
           a->punch_length == b->punch_length && a->die_length == b->die_length;
}

static void set_stations(struct kw_brake_plan *plan) {
    int stations = 0;
    for (int i = 0; i < plan->step_count; i++) {
        struct kw_brake_step *s = &plan->steps[i];
        for (int k = 0; k < i && s->station == 0; k++)
            if (same_station(s, &plan->steps[k])) s->station = plan->steps[k].station;
        if (s->station == 0) s->station = ++stations;
    }
}

/// Little is left somewhere in the stroke: told by how much, and where.
static void report_tight(const struct job *job, uint64_t made, const struct stroke *k,
                         struct kw_brake_plan *plan) {
    struct kw_brake_step *s = &plan->steps[plan->step_count - 1];
    const struct kw_brake_hit *near = narrowest(job, made, k);
    if (!near) return;
    s->near = near;
    struct kw_brake_problem p = {.kind = KW_BRAKE_TIGHT,
                                 .level = KW_RISK,
                                 .step = plan->step_count - 1,
                                 .bend = s->bends[0],
                                 .measured = near->gap,
                                 .limit = BRAKE_CLEAR_MM,
                                 .other_die = -1,
                                 .obstacle = near->obstacle,
                                 .face = near->face,
                                 .bump = near->bump};
    KW_PUSH(job->arena, plan->problems, plan->problem_count) = p;
}

/// Where it springs back more than reckoned, it can't be bent on as far as one would like.
static void report_overbend(const struct job *job, struct kw_brake_plan *plan) {
    const struct kw_brake_step *s = &plan->steps[plan->step_count - 1];
    bool risk = s->overbend < OVERBEND_RISK;
    struct kw_brake_problem p = {.kind = KW_BRAKE_OVERBEND,
                                 .level = risk ? KW_RISK : KW_NOTE,
                                 .step = plan->step_count - 1,
                                 .bend = s->bends[0],
                                 .measured = s->overbend / DEGREE,
                                 .limit = (risk ? OVERBEND_RISK : BRAKE_OVERBEND) / DEGREE,
                                 .other_die = -1};
    KW_PUSH(job->arena, plan->problems, plan->problem_count) = p;
}

static void plan_found(struct job *job, const struct order *found, struct kw_brake_plan *plan) {
    unsigned char *done = kw_alloc(job->scratch, (size_t)job->part->bend_count);
    uint64_t made = 0;
    for (int i = 0; i < found->count; i++) {
        const struct stroke *k = &found->v[i];
        plan_step(job, &job->groups[k->group], &job->options[k->group].v[k->option].trial,
                  k->child_side, done, plan);
        struct kw_brake_step *s = &plan->steps[plan->step_count - 1];
        s->punch_length = k->length[0];
        s->die_length = k->length[1];
        s->punch_at = k->at[0];
        s->die_at = k->at[1];
        s->rotated = i > 0 && is_rotated(job, &found->v[i - 1], k);
        if (k->tight) report_tight(job, made, k, plan);
        s->overbend = k->room.overbend;
        if (isfinite(s->overbend)) report_overbend(job, plan);
        made |= 1ull << k->group;
    }
}

static void plan_by_rule(struct job *job, const struct trial *trials, struct kw_brake_plan *plan) {
    int *order = KW_NEW_ARRAY(job->scratch, int, job->group_count);
    unsigned char *done = kw_alloc(job->scratch, (size_t)job->part->bend_count);
    order_groups(job, trials, order);
    for (int i = 0; i < job->group_count; i++)
        plan_step(job, &job->groups[order[i]], &trials[order[i]], -1, done, plan);
}

/// The stop at the stroke that no order gets past.
static void report_wall(struct job *job, const struct order *found, struct kw_brake_plan *plan) {
    const struct stroke *w = &found->wall;
    if (w->group < 0) return;
    const struct group *g = &job->groups[w->group];
    struct kw_brake_problem p = {.kind = w->short_tools ? KW_BRAKE_SEGMENTS : KW_BRAKE_COLLISION,
                                 .level = found->proven ? KW_STOP : KW_RISK,
                                 .bend = g->bends[0],
                                 .other_die = -1,
                                 .obstacle = w->room.obstacle,
                                 .face = w->room.face};
    if (w->short_tools) {
        int k = w->length[0] < 0 ? 0 : 1;
        double need[2];
        stroke_need(job, w->group, w->child_side, need);
        p.measured = need[1] - need[0];
        p.limit = w->room.hi[k] - w->room.lo[k];
        p.obstacle = k ? KW_BRAKE_DIE : KW_BRAKE_PUNCH;
        p.face = w->room.lo_face[k] >= 0 ? w->room.lo_face[k] : w->room.hi_face[k];
    }
    int bends = job->part->face_count + job->part->bend_count;
    if (p.face >= bends) p.bump = p.face - bends + 1;
    if (p.face >= 0) p.face = item_face(job->part, p.face);
    job->wall_done = found->wall_done;
    bool tries = !job->no_help && job->effort != KW_BRAKE_NO_REMEDIES;
    if (tries && p.bump == 0) try_help(job, w->group, &p); // a flare can wait
    for (p.step = 0; p.step < plan->step_count && (plan->steps[p.step].bends != g->bends ||
                                                   plan->steps[p.step].stage != g->stage);)
        p.step++;
    if (p.level == KW_STOP) plan->steps[p.step].blocked = true;
    KW_PUSH(job->arena, plan->problems, plan->problem_count) = p;
}

struct stroke any_way(const struct job *job, uint64_t made, int g) {
    struct stroke out = {.group = -1};
    for (int option = 0; option < job->options[g].count; option++)
        for (int side = 1; side >= 0; side--) {
            struct stroke k = look_at_stroke(job, made, g, option, side, NULL);
            if (k.feasible) return k;
            if (out.group < 0 || (out.short_tools && !k.short_tools)) out = k;
        }
    return out;
}

/// What a bender would do without looking further, where that runs into something: the sheet shows
/// why it is not done so.
static void try_obvious(struct job *job, const struct trial *trials, struct kw_brake_plan *plan) {
    int *order = KW_NEW_ARRAY(job->scratch, int, job->group_count);
    int *bends = KW_NEW_ARRAY(job->arena, int, job->group_count);
    uint64_t made = 0;
    order_groups(job, trials, order);
    for (int i = 0; i < job->group_count; i++) {
        struct stroke k = any_way(job, made, order[i]);
        bends[i] = job->groups[order[i]].bends[0];
        made |= 1ull << order[i];
        if (k.feasible) continue;
        plan->obvious_hit = find_hit(job, made & ~(1ull << order[i]), &k);
        if (!plan->obvious_hit) return;
        plan->obvious = bends;
        plan->obvious_count = i + 1;
        return;
    }
}

bool prepare_job(struct job *job, struct trial **out, int **rank) {
    size_t n = (size_t)job->part->bend_count;
    job->normals = kw_alloc(job->scratch, n * sizeof *job->normals);
    job->radii = kw_alloc(job->scratch, n * sizeof *job->radii);
    for (int i = 0; i < job->part->bend_count; i++)
        job->normals[i] = bend_normal(job->part, i);
    make_groups(job);
    struct trial *trials = kw_alloc(job->scratch, 2 * n * sizeof *trials);
    choose_tools(job, trials);
    for (int i = 0; i < job->group_count; i++)
        for (int j = 0; j < job->groups[i].count; j++) {
            double designed = job->part->bends[job->groups[i].bends[j]].radius;
            if (job->groups[i].stage == 1)
                job->radii[job->groups[i].bends[j]] = designed > 0 ? designed : trials[i].radius;
        }
    *out = trials;
    *rank = KW_NEW_ARRAY(job->scratch, int, job->group_count);
    rank_groups(job, *rank);
    if (job->effort == KW_BRAKE_TOOLS_ONLY || !can_search(job, trials)) return false;
    prepare_search(job, trials);
    return true;
}

/// No order, or one with a stroke that can't be gauged or gets between the frames.
static bool is_stopped(const struct job *job, const struct order *found) {
    for (int i = 0; i < found->count; i++)
        if (found->v[i].flaw >= SEARCH_FLAW) return true;
    return found->count < job->group_count;
}

static bool is_tight(const struct order *found) {
    for (int i = 0; i < found->count; i++)
        if (found->v[i].tight) return true;
    return false;
}

/// What would give the full clearance, beside the first stroke that lacks it.
static void help_tight(struct job *job, const struct order *full, struct kw_brake_plan *plan) {
    if (full->wall.group < 0 || job->effort == KW_BRAKE_NO_REMEDIES) return;
    job->wall_done = full->wall_done;
    for (int i = 0; i < plan->problem_count; i++) {
        if (plan->problems[i].kind != KW_BRAKE_TIGHT) continue;
        if (plan->problems[i].bump == 0) try_help(job, full->wall.group, &plan->problems[i]);
        return;
    }
}

/// Again, with strokes that lack the full clearance.
static void search_tight(struct job *job, const int *rank, struct order *found) {
    job->may_be_tight = true;
    struct order tight = search_order(job, rank);
    job->may_be_tight = false;
    tight.searched += found->searched;
    if (tight.count == job->group_count && !is_stopped(job, &tight)) *found = tight;
}

void plan_all(struct job *job, struct kw_brake_plan *plan) {
    struct trial *trials;
    int *rank;
    if (!prepare_job(job, &trials, &rank)) {
        plan_by_rule(job, trials, plan);
        set_stations(plan);
        return;
    }
    struct order found = search_order(job, rank);
    const struct order full = found;
    if (is_stopped(job, &found) && !job->no_help) search_tight(job, rank, &found);
    plan->proven = found.proven;
    plan->searched = found.searched;
    plan->seconds = found.cost;
    plan->collides = found.count < job->group_count;
    if (plan->collides) {
        plan_by_rule(job, trials, plan);
        report_wall(job, &found, plan);
        if (!job->no_help) plan->hit = find_hit(job, found.wall_done, &found.wall);
    } else {
        plan_found(job, &found, plan);
        if (full.count < job->group_count) help_tight(job, &full, plan);
        // Where little is left anyway the obvious order may be the very one that was found.
        if (job->effort == KW_BRAKE_CHEAPEST_ORDER && !job->no_help && !is_tight(&found))
            try_obvious(job, trials, plan);
    }
    set_stations(plan);
}

static bool any_seconds(const struct kw_brake_seconds *s) {
    return s->turn_over > 0 || s->rotate > 0 || s->tool_change > 0 || s->station_change > 0 ||
           s->gauge_move > 0 || s->gauge_height > 0 || s->awkward > 0;
}

enum kw_status kw_brake_plan(struct kw_arena *arena, const struct kw_brake_part *part,
                             const struct kw_brake_material *material,
                             const struct kw_brake_shop *shop, struct kw_place at,
                             struct kw_brake_plan *plan, struct kw_error *err) {
    return kw_brake_plan_for(arena, part, material, shop, KW_BRAKE_CHEAPEST_ORDER, at, plan, err);
}

enum kw_status kw_brake_plan_for(struct kw_arena *arena, const struct kw_brake_part *part,
                                 const struct kw_brake_material *material,
                                 const struct kw_brake_shop *shop, enum kw_brake_effort effort,
                                 struct kw_place at, struct kw_brake_plan *plan,
                                 struct kw_error *err) {
    *plan = (struct kw_brake_plan){0};
    enum kw_status s = check_part(part, material, at, err);
    if (s) return s;
    for (int i = 0; i < shop->die_count; i++)
        if (!shop->dies[i].flat &&
            !(shop->dies[i].opening > 0 && shop->dies[i].angle > 0 && shop->dies[i].angle < KW_PI))
            return kw_fail(err, KW_GEOMETRY, at, "die %s has no opening or angle",
                           shop->dies[i].id);
    if (part->bend_count == 0) return KW_OK;
    struct kw_arena scratch = {0};
    struct kw_brake_shop with_times = *shop;
    if (!any_seconds(&shop->seconds)) with_times.seconds = kw_brake_usual_seconds;
    struct job job = {
        .arena = arena, .scratch = &scratch, .part = part, .shop = &with_times, .effort = effort};
    job.material = with_defaults(material);
    plan_all(&job, plan);
    kw_arena_free(&scratch);
    return KW_OK;
}
