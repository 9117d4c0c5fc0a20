// SPDX-License-Identifier: Apache-2.0
// Where the tools of a stroke may stand while some bends are made, piece by piece.
//
// Where a face lies in a stroke's frame depends only on the bends between it and the bend line. So
// what a face leaves free is kept by (stroke, face, which of those bends are made): some thousand
// entries serve the hundreds of thousands of strokes of a search.
#include "brake/inside.h"

struct entry {
    uint64_t key;             ///< 0: empty
    struct room *room;        ///< of one item and option; NULL for lines
    struct kept_lines *lines; ///< of one item; NULL for a room
};

struct room_cache {
    struct kw_arena *arena;
    struct entry *v;
    size_t size, count; ///< size a power of two
    uint64_t *above;    ///< of each face: bits of the bends between it and face 0
    uint64_t *group_of; ///< of each bend: the bits of its groups (two for a hem)
    uint64_t *ways;     ///< of each group, then item: way_to
};

int item_count(const struct kw_brake_part *part) {
    return part->face_count + part->bend_count + part->bump_count;
}

int item_face(const struct kw_brake_part *part, int item) {
    int bends = part->face_count + part->bend_count;
    if (item < part->face_count) return item;
    return item < bends ? part->bends[item - part->face_count].child
                        : part->bumps[item - bends].face;
}

static void fill_ways(struct room_cache *c, const struct job *job) {
    struct job own = *job;
    own.cache = c;
    int items = item_count(job->part);
    c->ways = kw_alloc(c->arena, (size_t)(job->group_count * items) * sizeof *c->ways);
    for (int g = 0; g < job->group_count; g++)
        for (int i = 0; i < items; i++)
            c->ways[g * items + i] = way_to(&own, g, i);
}

struct room_cache *room_cache_new(struct kw_arena *a, const struct job *job) {
    const struct kw_brake_part *part = job->part;
    struct room_cache *c = KW_NEW(a, struct room_cache);
    c->arena = a;
    c->size = 1024;
    c->v = kw_alloc(a, c->size * sizeof *c->v);
    c->above = kw_alloc(a, (size_t)part->face_count * sizeof *c->above);
    c->group_of = kw_alloc(a, (size_t)part->bend_count * sizeof *c->group_of);
    for (int f = 0; f < part->face_count; f++)
        for (int b = 0; b < part->bend_count; b++)
            if (face_beyond(part, f, b)) c->above[f] |= 1ull << b;
    for (int g = 0; g < job->group_count; g++)
        for (int k = 0; k < job->groups[g].count; k++)
            c->group_of[job->groups[g].bends[k]] |= 1ull << g;
    fill_ways(c, job);
    return c;
}

void bends_done(const struct job *job, uint64_t groups, unsigned char *done) {
    for (int g = 0; g < job->group_count; g++)
        for (int k = 0; k < job->groups[g].count && groups >> g & 1; k++)
            done[job->groups[g].bends[k]] = (unsigned char)job->groups[g].stage; // 2 comes after 1
}

void bends_before(const struct job *job, uint64_t groups, int group, unsigned char *done) {
    bends_done(job, groups, done);
    const struct group *g = &job->groups[group];
    for (int k = 0; k < g->count && g->stage == 2; k++)
        done[g->bends[k]] = BEND_MADE;
}

bool is_there(const struct job *job, uint64_t done, int item) {
    const struct kw_brake_part *part = job->part;
    int faces = part->face_count, bends = faces + part->bend_count;
    if (item < faces) return true;
    int bend = item < bends ? item - faces : part->bumps[item - bends].after - 1;
    return bend < 0 || (done & job->cache->group_of[bend]);
}

/// Bits of the group and of the other stage of its hems.
static uint64_t own_bits(const struct job *job, int group) {
    return job->cache->group_of[job->groups[group].bends[0]];
}

static uint64_t groups_between(const struct job *job, int face, int other) {
    uint64_t bends = job->cache->above[face] ^ job->cache->above[other], out = 0;
    for (int b = 0; b < job->part->bend_count; b++)
        if (bends >> b & 1) out |= job->cache->group_of[b];
    return out;
}

uint64_t way_to(const struct job *job, int group, int item) {
    const struct kw_brake_part *part = job->part;
    int start = job->groups[group].parent;
    int bends = part->face_count + part->bend_count;
    if (item < part->face_count || item >= bends)
        return groups_between(job, start, item_face(part, item)) & ~own_bits(job, group);
    const struct kw_brake_bend *b = &part->bends[item - part->face_count];
    return (groups_between(job, start, b->parent) | groups_between(job, start, b->child)) &
           ~own_bits(job, group);
}

int item_leg(const struct job *job, int group, int item, bool child_side) {
    const struct kw_brake_part *part = job->part;
    int face = item_face(part, item);
    bool round = item >= part->face_count && item < part->face_count + part->bend_count;
    uint64_t own = 0;
    for (int k = 0; k < job->groups[group].count; k++)
        own |= 1ull << job->groups[group].bends[k];
    if (round && own >> (item - part->face_count) & 1) return 0;
    bool beyond = job->cache->above[face] & own;
    return beyond == child_side ? 1 : -1;
}

void stroke_need(const struct job *job, int group, bool child_side, double need[2]) {
    const struct group *g = &job->groups[group];
    struct kw_vec2 u = kw_scale2(job->normals[g->bends[0]], child_side ? 1 : -1), v = kw_left2(u);
    const struct kw_brake_bend *first = &job->part->bends[g->bends[0]];
    struct kw_vec2 mid = kw_lerp2(first->from, first->to, 0.5);
    double over = first->down ? -1 : 1;
    need[0] = INFINITY;
    need[1] = -INFINITY;
    for (int k = 0; k < g->count; k++)
        for (int end = 0; end < 2; end++) {
            const struct kw_brake_bend *b = &job->part->bends[g->bends[k]];
            double at = over * kw_dot2(v, kw_sub2(end ? b->to : b->from, mid));
            need[0] = fmin(need[0], at);
            need[1] = fmax(need[1], at);
        }
    // Tools may end one thickness inside the bend's ends (common practice, no source).
    double slack = fmin(job->material.thickness, (need[1] - need[0]) / 4);
    need[0] += slack;
    need[1] -= slack;
}

#define FLATTEN_LOOKS 30 // 1.5 degrees each

double top_of(const struct fold *f, int face) {
    int count = 0;
    struct lump *lumps = lumps_of(f, face, &count);
    double top = 0;
    for (int i = 0; i < count; i++)
        for (int s = 0; s < 2; s++)
            for (int k = 0; k < lumps[i].count; k++)
                top = fmax(top, lumps[i].ring[s][k].z);
    return top;
}

static struct room open_room(void) {
    return (struct room){{-INFINITY, -INFINITY},
                         {INFINITY, INFINITY},
                         {-1, -1},
                         {-1, -1},
                         INFINITY,
                         false,
                         KW_BRAKE_PUNCH,
                         -1};
}

/// A hem between flats: the parent's side lies still, what stands on the hem turns on with it. The
/// hem itself and its round touch both flats by their nature.
static void while_flattened(struct job *own, unsigned char *made, int group, int option,
                            bool child_side, int item, struct room *out) {
    const struct group *g = &own->groups[group];
    const struct option *o = &own->options[group].v[option];
    int leg = item_leg(own, group, item, child_side), count = 0;
    bool beyond = leg == (child_side ? 1 : -1), hem = false;
    for (int k = 0; k < g->count; k++)
        hem = hem || item == own->part->bends[g->bends[k]].child;
    if (leg == 0 || hem) return;
    double need[2], shut = closed_height(own, g);
    stroke_need(own, group, child_side, need);
    if (!beyond) {
        struct fold f = fold_for(own, made, g->bends[0], !child_side);
        struct lump *lumps = lumps_of(&f, item, &count);
        narrow_still(own, o, lumps, count, item, need, 0, true, out);
        return;
    }
    for (int k = 0; k < g->count; k++)
        made[g->bends[k]] = BEND_FLATTENING;
    for (int look = 0; look <= FLATTEN_LOOKS; look++) {
        own->flattened = (double)look / FLATTEN_LOOKS;
        struct fold f = fold_for(own, made, g->bends[0], !child_side);
        double top = top_of(&f, own->part->bends[g->bends[0]].child);
        struct lump *lumps = lumps_of(&f, item, &count);
        narrow_still(own, o, lumps, count, item, need, fmax(0, top - shut), look == 0, out);
    }
}

static struct room measure(const struct job *job, uint64_t done, int group, int option,
                           bool child_side, int item, bool tight) {
    struct room out = open_room();
    struct kw_arena scratch = {0};
    struct job own = *job;
    own.scratch = &scratch;
    own.tight = tight;
    unsigned char *made = kw_alloc(&scratch, (size_t)job->part->bend_count);
    bends_before(job, done, group, made);
    int leg = item_leg(job, group, item, child_side), count = 0;
    const struct group *g = &job->groups[group];
    if (g->stage == 2) {
        while_flattened(&own, made, group, option, child_side, item, &out);
    } else if (leg != 0) {
        struct fold f = fold_for(&own, made, g->bends[0], !child_side);
        struct lump *lumps = lumps_of(&f, item, &count);
        double need[2];
        stroke_need(job, group, child_side, need);
        narrow_room(&own, &job->options[group].v[option], g, leg, lumps, count, item, need, &out);
    }
    kw_arena_free(&scratch);
    return out;
}

static struct entry *find(struct room_cache *c, uint64_t key) {
    uint64_t h = key * 0x9E3779B97F4A7C15ull;
    for (size_t i = (size_t)(h >> 32) & (c->size - 1);; i = (i + 1) & (c->size - 1))
        if (c->v[i].key == 0 || c->v[i].key == key) return &c->v[i];
}

static void grow(struct room_cache *c) {
    struct entry *old = c->v;
    size_t size = c->size;
    c->size *= 2;
    c->v = kw_alloc(c->arena, c->size * sizeof *c->v);
    for (size_t i = 0; i < size; i++)
        if (old[i].key) *find(c, old[i].key) = old[i];
}

static const struct room *item_room(const struct job *job, uint64_t done, int group, int option,
                                    bool child_side, int item, bool tight) {
    struct room_cache *c = job->cache;
    int items = item_count(job->part);
    uint64_t made = done & c->ways[group * items + item];
    uint64_t key = made | (uint64_t)group << 32 | (uint64_t)child_side << 38 |
                   (uint64_t)option << 39 | (uint64_t)(item + 1) << 44 | (uint64_t)tight << 63;
    struct entry *e = find(c, key);
    if (e->key == 0) {
        if (c->count * 2 > c->size) {
            grow(c);
            e = find(c, key);
        }
        struct room *room = KW_NEW(c->arena, struct room);
        *room = measure(job, made, group, option, child_side, item, tight);
        *e = (struct entry){key, room, NULL};
        c->count++;
    }
    return e->room;
}

static const struct kept_lines *item_lines(const struct job *job, uint64_t done, int group,
                                           bool child_side, int item) {
    struct room_cache *c = job->cache;
    int items = item_count(job->part);
    uint64_t made = done & c->ways[group * items + item];
    uint64_t key = made | (uint64_t)group << 32 | (uint64_t)child_side << 38 | 1ull << 43 |
                   (uint64_t)(item + 1) << 44;
    struct entry *e = find(c, key);
    if (e->key == 0) {
        if (c->count * 2 > c->size) {
            grow(c);
            e = find(c, key);
        }
        struct kw_arena scratch = {0};
        struct job own = *job;
        own.scratch = &scratch;
        unsigned char *bends = kw_alloc(&scratch, (size_t)job->part->bend_count);
        bends_before(job, made, group, bends);
        struct fold f = fold_for(&own, bends, job->groups[group].bends[0], !child_side);
        struct kept_lines *lines = KW_NEW(c->arena, struct kept_lines);
        *lines = keep_lines(c->arena, &f, item);
        kw_arena_free(&scratch);
        *e = (struct entry){key, NULL, lines};
        c->count++;
    }
    return e->lines;
}

int lines_for(const struct job *job, uint64_t done, int group, bool child_side,
              const struct kept_lines **out) {
    int faces = job->part->face_count, n = 0;
    for (int i = 0; i < faces + job->part->bend_count; i++) {
        if (!is_there(job, done, i)) continue;
        out[n++] = item_lines(job, done, group, child_side, i);
    }
    return n;
}

struct room room_for(const struct job *job, uint64_t done, int group, int option, bool child_side,
                     bool tight) {
    struct room out = open_room();
    if (job->part->bends[job->groups[group].bends[0]].own_tool) return out;
    for (int i = 0; i < item_count(job->part) && !out.blocked; i++) {
        if (!is_there(job, done, i)) continue;
        const struct room *r = item_room(job, done, group, option, child_side, i, tight);
        out.blocked = r->blocked;
        out.obstacle = r->obstacle;
        out.face = r->face;
        out.overbend = fmin(out.overbend, r->overbend);
        for (int k = 0; k < 2; k++) {
            if (r->lo[k] > out.lo[k]) {
                out.lo[k] = r->lo[k];
                out.lo_face[k] = r->lo_face[k];
            }
            if (r->hi[k] < out.hi[k]) {
                out.hi[k] = r->hi[k];
                out.hi_face[k] = r->hi_face[k];
            }
        }
    }
    return out;
}
