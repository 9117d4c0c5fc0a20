// SPDX-License-Identifier: Apache-2.0
// The moment and the spot at which a stroke that is blocked runs into something, for its picture:
// points all over the piece are followed through the stroke, until one of them stands in the tool.
#include "brake/search.h"

#include <string.h>

#define TURN_STEP  (0.5 * KW_PI / 180)
#define LIFT_STEP  2.0 // mm
#define GRID       20  // points along each side of a triangle
#define HEM_LOOKS  45
#define SAME_DEPTH 0.01 // mm

struct spot {
    bool found;
    double deep;         ///< mm inside the tool, grown by the clearance
    struct kw_vec3 at;   ///< in the stroke's frame, at the moment
    struct kw_vec3 rest; ///< the same point before the stroke
};

struct hunt {
    const struct job *job;
    const struct stroke *w;
    const struct option *o;
    const struct group *g;
    struct swing swing;
    double need[2];
    struct look now;
    struct spot best;
};

/// How deep a point lies in a section grown by the clearance; below 0: outside.
static double deep_in(const struct blades *tool, double u, double z) {
    double most = -INFINITY;
    for (int i = 0; i < tool->count; i++) {
        const struct blade *b = &tool->v[i];
        double out = -INFINITY;
        for (int k = 0; k < b->count; k++)
            out = fmax(out, (u - b->v[k].x) * b->out[k].x + (z - b->v[k].y) * b->out[k].y);
        most = fmax(most, BRAKE_CLEAR_MM - out);
    }
    return most;
}

static const struct blades *tool_of(const struct hunt *h) {
    switch (h->w->room.obstacle) {
    case KW_BRAKE_PUNCH:
        return &h->o->punch;
    case KW_BRAKE_RAM:
        return &h->o->ram;
    case KW_BRAKE_DIE:
        return &h->o->die;
    case KW_BRAKE_BED:
        break;
    }
    return &h->o->bed;
}

static bool is_upper(const struct hunt *h) {
    return h->w->room.obstacle == KW_BRAKE_PUNCH || h->w->room.obstacle == KW_BRAKE_RAM;
}

static void try_point(struct hunt *h, struct kw_vec3 p) {
    bool ends = h->w->room.obstacle == KW_BRAKE_PUNCH || h->w->room.obstacle == KW_BRAKE_DIE;
    if (ends && (p.y < h->need[0] || p.y > h->need[1])) return;
    struct kw_vec3 q = h->g->stage == 2 ? p : swing_point(&h->swing, p, h->now.turn, 0);
    double drop = is_upper(h) ? h->now.lift : h->now.down;
    double deep = deep_in(tool_of(h), q.x, q.z - drop);
    if (deep <= 0) return;
    // Of points as deep the one nearest to the middle of the bend: the picture cuts well there.
    if (h->best.found && deep < h->best.deep + SAME_DEPTH &&
        (deep < h->best.deep - SAME_DEPTH || fabs(q.y) >= fabs(h->best.at.y)))
        return;
    h->best = (struct spot){true, deep, kw_v3(q.x, q.y, q.z - h->now.down), p};
}

static void try_triangle(struct hunt *h, struct kw_vec3 a, struct kw_vec3 b, struct kw_vec3 c) {
    for (int i = 0; i <= GRID; i++)
        for (int k = 0; k <= GRID - i; k++) {
            double s = (double)i / GRID, t = (double)k / GRID;
            try_point(h, kw_v3(a.x + (b.x - a.x) * s + (c.x - a.x) * t,
                               a.y + (b.y - a.y) * s + (c.y - a.y) * t,
                               a.z + (b.z - a.z) * s + (c.z - a.z) * t));
        }
}

static void try_lump(struct hunt *h, const struct lump *l) {
    for (int s = 0; s < 2; s++)
        for (int i = 1; i + 1 < l->count; i++)
            try_triangle(h, l->ring[s][0], l->ring[s][i], l->ring[s][i + 1]);
    for (int i = 0; i < l->count; i++) {
        int k = (i + 1) % l->count;
        try_triangle(h, l->ring[0][i], l->ring[0][k], l->ring[1][k]);
        try_triangle(h, l->ring[0][i], l->ring[1][k], l->ring[1][i]);
    }
}

static void look_at(struct hunt *h, const unsigned char *made, struct look now) {
    struct kw_arena scratch = {0};
    struct job own = *h->job;
    int count = 0;
    own.scratch = &scratch;
    own.flattened = now.share;
    h->now = now;
    struct fold f = fold_for(&own, made, h->g->bends[0], !h->w->child_side);
    struct lump *lumps = lumps_of(&f, h->w->room.face, &count);
    for (int i = 0; i < count; i++)
        try_lump(h, &lumps[i]);
    kw_arena_free(&scratch);
}

/// The punch comes down onto the part at rest.
static void coming_down(struct hunt *h, const unsigned char *made) {
    const struct kw_brake_press *press = &h->job->shop->press;
    double open = press->open_height > 0 ? press->open_height : 100;
    if (!is_upper(h)) return;
    for (double lift = open; lift > 0 && !h->best.found; lift -= LIFT_STEP)
        look_at(h, made, (struct look){0, 0, lift, 0});
}

static void bending(struct hunt *h, const unsigned char *made) {
    const struct trial *t = &h->o->trial;
    const struct kw_brake_die *die = &h->job->shop->dies[t->die];
    for (double turn = 0; !h->best.found && turn < t->angle_under_load + TURN_STEP;
         turn += TURN_STEP) {
        double now = fmin(turn, t->angle_under_load);
        double down = kw_brake_depth(now, t->radius, h->job->material.thickness, die);
        look_at(h, made, (struct look){now, 0, 0, fmax(0, down)});
    }
}

static void flattening(struct hunt *h, unsigned char *made) {
    double shut = closed_height(h->job, h->g);
    for (int k = 0; k < h->g->count; k++)
        made[h->g->bends[k]] = BEND_FLATTENING;
    for (int i = 0; i <= HEM_LOOKS && !h->best.found; i++) {
        double share = (double)i / HEM_LOOKS;
        struct job own = *h->job;
        own.flattened = share;
        struct fold f = fold_for(&own, made, h->g->bends[0], !h->w->child_side);
        double top = top_of(&f, h->job->part->bends[h->g->bends[0]].child);
        look_at(h, made, (struct look){0, share, fmax(0, top - shut), 0});
    }
}

/// Back from the stroke's frame to the blank.
static struct kw_vec3 on_blank(const struct job *job, const unsigned char *made,
                               const struct stroke *w, int item, struct kw_vec3 rest) {
    struct fold f = fold_for(job, made, job->groups[w->group].bends[0], !w->child_side);
    const struct kw_move3 *m = &f.faces[item_face(job->part, item)];
    struct kw_vec3 d = kw_sub3(rest, m->t), out;
    out.x = m->r[0][0] * d.x + m->r[1][0] * d.y + m->r[2][0] * d.z;
    out.y = m->r[0][1] * d.x + m->r[1][1] * d.y + m->r[2][1] * d.z;
    out.z = m->r[0][2] * d.x + m->r[1][2] * d.y + m->r[2][2] * d.z;
    return out;
}

struct kw_brake_hit *hit_at(const struct job *job, uint64_t done, const struct stroke *w,
                            enum kw_brake_obstacle what, int item, struct look now,
                            struct kw_vec3 at, struct kw_vec3 rest) {
    size_t n = (size_t)job->part->bend_count;
    const struct group *g = &job->groups[w->group];
    const struct trial *t = &job->options[w->group].v[w->option].trial;
    int bends = job->part->face_count + job->part->bend_count;
    unsigned char *made = kw_alloc(job->scratch, n), *before = kw_alloc(job->arena, n + 1);
    bends_before(job, done, w->group, made);
    memcpy(before, made, n);
    for (int k = 0; k < g->count && g->stage == 2; k++)
        made[g->bends[k]] = BEND_FLATTENING;
    struct job own = *job;
    own.flattened = now.share;
    struct kw_brake_hit *out = KW_NEW(job->arena, struct kw_brake_hit);
    *out = (struct kw_brake_hit){.made = before,
                                 .bends = g->bends,
                                 .bend_count = g->count,
                                 .stage = g->stage,
                                 .die = t->die,
                                 .punch = t->punch,
                                 .punch_turned = t->turned,
                                 .child_behind = w->child_side,
                                 .inside_radius = t->radius,
                                 .angle_under_load = t->angle_under_load,
                                 .turn = now.turn,
                                 .flattened = now.share,
                                 .lift = now.lift,
                                 .depth = now.down,
                                 .obstacle = what,
                                 .face = item_face(job->part, item),
                                 .bump = item >= bends ? item - bends + 1 : 0,
                                 .at = at,
                                 .blank = on_blank(&own, made, w, item, rest)};
    return out;
}

struct kw_brake_hit *find_hit(const struct job *job, uint64_t done, const struct stroke *w) {
    if (w->group < 0 || !w->room.blocked || w->room.face < 0) return NULL;
    const struct group *g = &job->groups[w->group];
    struct hunt h = {.job = job, .w = w, .o = &job->options[w->group].v[w->option], .g = g};
    unsigned char *made = kw_alloc(job->scratch, (size_t)job->part->bend_count);
    bends_before(job, done, w->group, made);
    stroke_need(job, w->group, w->child_side, h.need);
    h.swing = swing_of(job, g, &h.o->trial, item_leg(job, w->group, w->room.face, w->child_side));
    coming_down(&h, made);
    if (!h.best.found && g->stage == 2) flattening(&h, made);
    if (!h.best.found && g->stage == 1) bending(&h, made);
    if (!h.best.found) return NULL;
    return hit_at(job, done, w, w->room.obstacle, w->room.face, h.now, h.best.at, h.best.rest);
}
