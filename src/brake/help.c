// SPDX-License-Identifier: Apache-2.0
// A part that no order bends: what would help, each really tried by planning again. Tools in any
// length, a gooseneck, a taller punch, a relief, a longer leg, a lower flange, the part in two.
#include "brake/inside.h"

/// Whether some stroke is open where the search of the part as it is got furthest and found none.
static bool opens_wall(const struct job *job, const struct job *try) {
    if (try->group_count != job->group_count) return true; // other bends: no telling
    for (int g = 0; g < try->group_count; g++)
        if (!(job->wall_done >> g & 1) && any_way(try, job->wall_done, g).feasible) return true;
    return false;
}

/// A remedy is tried first at the wall: what opens nothing there is looked at no further, which
/// spares nine tenths of the time (100 kits of 30 random parts: 22 s of processor time before).
static bool can_be_bent(const struct job *job, const struct kw_brake_part *part,
                        const struct kw_brake_shop *shop) {
    if (part->bend_count == 0) return true;
    struct kw_arena scratch = {0};
    struct kw_brake_plan plan = {0};
    struct job try = {.arena = &scratch,
                      .scratch = &scratch,
                      .part = part,
                      .material = job->material,
                      .shop = shop,
                      .no_help = true};
    struct trial *trials;
    int *rank;
    bool ok;
    if (prepare_job(&try, &trials, &rank)) {
        ok = opens_wall(job, &try) && search_order(&try, rank).count == try.group_count;
    } else {
        plan_all(&try, &plan); // by rule: some bend has no tools
        ok = plan.step_count > 0 && !plan.collides;
    }
    kw_arena_free(&scratch);
    return ok;
}

/// The shop with one punch more, like the one that the group has.
static struct kw_brake_shop with_punch(const struct job *job, int group, double neck, double more) {
    struct kw_brake_shop shop = *job->shop;
    struct kw_brake_punch *p =
        KW_NEW_ARRAY(job->scratch, struct kw_brake_punch, shop.punch_count + 1);
    for (int i = 0; i < shop.punch_count; i++)
        p[i] = shop.punches[i];
    struct kw_brake_punch *extra = &p[shop.punch_count++];
    *extra = shop.punches[job->options[group].v[0].trial.punch];
    extra->profile.count = 0;
    extra->neck = neck;
    extra->height += more;
    if (neck > 0 && extra->height < 3 * neck + 30) extra->height = 3 * neck + 30;
    shop.punches = p;
    return shop;
}

static struct kw_brake_shop with_any_length(const struct job *job) {
    struct kw_brake_shop shop = *job->shop;
    struct kw_brake_punch *p = KW_NEW_ARRAY(job->scratch, struct kw_brake_punch, shop.punch_count);
    struct kw_brake_die *d = KW_NEW_ARRAY(job->scratch, struct kw_brake_die, shop.die_count);
    for (int i = 0; i < shop.punch_count; i++) {
        p[i] = shop.punches[i];
        p[i].segment_count = 0;
        p[i].length = 0;
    }
    for (int i = 0; i < shop.die_count; i++) {
        d[i] = shop.dies[i];
        d[i].segment_count = 0;
        d[i].length = 0;
    }
    shop.punches = p;
    shop.dies = d;
    return shop;
}

/// The part on one side of a bend, without what lies beyond it (or only that).
static struct kw_brake_part one_side(const struct job *job, int bend, bool beyond) {
    const struct kw_brake_part *part = job->part;
    int *at = KW_NEW_ARRAY(job->scratch, int, part->face_count);
    struct kw_brake_face *faces =
        KW_NEW_ARRAY(job->scratch, struct kw_brake_face, part->face_count);
    struct kw_brake_bend *bends =
        KW_NEW_ARRAY(job->scratch, struct kw_brake_bend, part->bend_count);
    struct kw_brake_part out = {.faces = faces, .bends = bends, .mass = part->mass};
    int root = beyond ? part->bends[bend].child : 0;
    at[root] = out.face_count;
    faces[out.face_count++] = part->faces[root];
    for (int i = 0; i < part->face_count; i++) {
        if (i == root || face_beyond(part, i, bend) != beyond) continue;
        at[i] = out.face_count;
        faces[out.face_count++] = part->faces[i];
    }
    struct kw_brake_bump *bumps =
        KW_NEW_ARRAY(job->scratch, struct kw_brake_bump, part->bump_count + 1);
    out.bumps = bumps;
    for (int i = 0; i < part->bump_count; i++) {
        if (face_beyond(part, part->bumps[i].face, bend) != beyond) continue;
        bumps[out.bump_count] = part->bumps[i];
        bumps[out.bump_count].after = 0; // the hardest: in the way all through
        bumps[out.bump_count++].face = at[part->bumps[i].face];
    }
    for (int i = 0; i < part->bend_count; i++) {
        if (i == bend || face_beyond(part, part->bends[i].child, bend) != beyond) continue;
        bends[out.bend_count] = part->bends[i];
        bends[out.bend_count].parent = at[part->bends[i].parent];
        bends[out.bend_count++].child = at[part->bends[i].child];
    }
    return out;
}

static void helps(struct kw_brake_problem *p, enum kw_brake_help kind, double size, int face) {
    p->helps[p->help_count++] = (struct kw_brake_remedy){kind, size, face};
}

static void try_punches(const struct job *job, int group, struct kw_brake_problem *problem) {
    static const double necks[] = {20, 30, 45, 60}, taller[] = {50, 100, 150};
    for (size_t i = 0; i < sizeof necks / sizeof *necks; i++) {
        struct kw_brake_shop shop = with_punch(job, group, necks[i], 0);
        if (!can_be_bent(job, job->part, &shop)) continue;
        helps(problem, KW_BRAKE_HELP_NECK, necks[i], -1);
        break;
    }
    struct kw_brake_shop tallest = with_punch(job, group, 0, taller[2]);
    if (!can_be_bent(job, job->part, &tallest)) return; // what a lower one does, it does
    for (size_t i = 0; i < sizeof taller / sizeof *taller; i++) {
        struct kw_brake_shop shop = i < 2 ? with_punch(job, group, 0, taller[i]) : tallest;
        if (i < 2 && !can_be_bent(job, job->part, &shop)) continue;
        helps(problem, KW_BRAKE_HELP_TALL, shop.punches[shop.punch_count - 1].height, -1);
        break;
    }
}

/// Changes of the part, the least of each kind that does.
static void try_part(const struct job *job, int group, struct kw_brake_problem *problem) {
    static const double backs[] = {5, 10, 20}, more[] = {10, 20, 40, 80}, less[] = {10, 20, 40};
    int bend = job->groups[group].bends[0], face = -1;
    struct kw_brake_part part;
    bool beyond = problem->face >= 0 && face_beyond(job->part, problem->face, bend);
    for (size_t i = 0; i < sizeof backs / sizeof *backs && problem->face > 0; i++) {
        if (!cut_back(job, problem->face, bend, backs[i], &part)) break;
        if (!can_be_bent(job, &part, job->shop)) continue;
        helps(problem, KW_BRAKE_HELP_RELIEF, backs[i], problem->face);
        break;
    }
    for (size_t i = 0; i < sizeof more / sizeof *more; i++) {
        part = longer_leg(job, bend, beyond, more[i], &face);
        if (face == problem->face || !can_be_bent(job, &part, job->shop)) continue;
        helps(problem, KW_BRAKE_HELP_LONGER, more[i], face);
        break;
    }
    for (size_t i = 0; i < sizeof less / sizeof *less && problem->face > 0; i++) {
        if (!lower_flange(job, problem->face, less[i], &part)) break;
        if (!can_be_bent(job, &part, job->shop)) continue;
        helps(problem, KW_BRAKE_HELP_LOWER, less[i], problem->face);
        break;
    }
}

/// The same tools in any length: where they may stand is known already, so only the order is new.
static bool length_would_do(const struct job *job) {
    struct job any = *job;
    struct lengths open = {0};
    any.no_help = true;
    any.punch_lengths = KW_NEW_ARRAY(job->scratch, struct lengths, job->shop->punch_count);
    any.die_lengths = KW_NEW_ARRAY(job->scratch, struct lengths, job->shop->die_count);
    for (int i = 0; i < job->shop->punch_count; i++)
        any.punch_lengths[i] = open;
    for (int i = 0; i < job->shop->die_count; i++)
        any.die_lengths[i] = open;
    int *rank = KW_NEW_ARRAY(job->scratch, int, job->group_count);
    if (!opens_wall(job, &any)) return false;
    rank_groups(job, rank);
    return search_order(&any, rank).count == job->group_count;
}

void try_help(const struct job *job, int group, struct kw_brake_problem *problem) {
    struct kw_brake_shop any = with_any_length(job);
    if (length_would_do(job) || can_be_bent(job, job->part, &any))
        helps(problem, KW_BRAKE_HELP_SEGMENTS, 0, -1);
    if (job->groups[group].stage == 1) try_punches(job, group, problem);
    try_part(job, group, problem);
    int bend = job->groups[group].bends[0];
    struct kw_brake_part inner = one_side(job, bend, false), outer = one_side(job, bend, true);
    if (job->groups[group].count == 1 && can_be_bent(job, &inner, job->shop) &&
        can_be_bent(job, &outer, job->shop))
        helps(problem, KW_BRAKE_HELP_SPLIT, 0, -1);
}
