// SPDX-License-Identifier: Apache-2.0
// The narrowest place of a stroke: how near the part comes to the tools that are set up, and where.
//
// A tool is as long as it is set up and the same all along, so that a convex piece of the part, cut
// off at the tool's ends and seen along the line, is as far from the tool's section as the piece is
// from the tool. While the part is bent a piece moves by at most `motion` from the middle of a
// stretch of the way to its ends: what is further off than that and the narrowest so far is done
// with, the rest of the way is halved. What touches by its nature is left out as in hit.c.
#include "brake/inside.h"

#define LEVEL      0.05 // mm, as hit.c's
#define FINE_MM    0.01 // the gap is exact to this
#define LIFT_STEP  0.5  // mm of the punch coming down
#define HEM_LOOKS  180
#define MOST_POINT (10 * LUMP_POINTS)

struct narrow {
    const struct job *job;
    const struct option *o;
    struct swing swing;
    int item;
    double from[2], to[2]; ///< of punch and die along v
    // The narrowest so far.
    double gap;
    bool found;
    enum kw_brake_obstacle what;
    int at_item;
    struct look now;
    struct kw_vec3 at;
};

/// A piece seen along the line: corners counter-clockwise. Of the points that fall on one corner v
/// is the middle: there a cut across goes through the piece.
struct outline {
    struct kw_vec3 v[2 * MOST_POINT];
    int count;
};

// ---------------------------------------------------------------------------------- one distance

static void add_between(struct kw_vec3 a, struct kw_vec3 b, double from, double to,
                        struct kw_vec3 *out, int *n) {
    if (a.y >= from && a.y <= to) out[(*n)++] = a;
    double ends[2] = {from, to};
    for (int k = 0; k < 2; k++) {
        if ((a.y < ends[k]) == (b.y < ends[k])) continue;
        double t = (ends[k] - a.y) / (b.y - a.y);
        out[(*n)++] = kw_v3(a.x + (b.x - a.x) * t, ends[k], a.z + (b.z - a.z) * t);
    }
}

/// What of the lump lies between two places along the line; count 0: nothing.
static struct outline seen(const struct lump *l, double from, double to) {
    struct outline out = {.count = 0};
    struct kw_vec3 p[MOST_POINT];
    int n = 0, corners[2 * MOST_POINT];
    for (int i = 0; i < l->count; i++) {
        int k = (i + 1) % l->count;
        add_between(l->ring[0][i], l->ring[0][k], from, to, p, &n);
        add_between(l->ring[1][i], l->ring[1][k], from, to, p, &n);
        add_between(l->ring[0][i], l->ring[1][i], from, to, p, &n);
    }
    if (n == 0) return out;
    out.count = convex_hull(p, n, corners);
    for (int i = 0; i < out.count; i++) {
        struct kw_vec3 at = p[corners[i]];
        double least = at.y, most = at.y;
        for (int k = 0; k < n; k++) {
            if (fabs(p[k].x - at.x) > FINE_MM || fabs(p[k].z - at.z) > FINE_MM) continue;
            least = fmin(least, p[k].y);
            most = fmax(most, p[k].y);
        }
        out.v[i] = kw_v3(at.x, (least + most) / 2, at.z);
    }
    return out;
}

static double beside_sides(const struct outline *o, const struct blade *b) {
    double most = -INFINITY;
    for (int i = 0; i < b->count; i++) {
        double least = INFINITY;
        for (int k = 0; k < o->count; k++)
            least = fmin(least, (o->v[k].x - b->v[i].x) * b->out[i].x +
                                    (o->v[k].z - b->v[i].y) * b->out[i].y);
        most = fmax(most, least);
    }
    return most;
}

/// The place on the segment p q nearest to c, and how far it is.
static double to_segment(struct kw_vec3 p, struct kw_vec3 q, struct kw_vec2 c,
                         struct kw_vec3 *place) {
    double dx = q.x - p.x, dz = q.z - p.z, all = dx * dx + dz * dz;
    double t = all > 0 ? ((c.x - p.x) * dx + (c.y - p.z) * dz) / all : 0;
    t = fmax(0, fmin(1, t));
    *place = kw_v3(p.x + dx * t, p.y + (q.y - p.y) * t, p.z + dz * t);
    return hypot(place->x - c.x, place->z - c.y);
}

/// Distance of the outline from the blade; 0 where they meet. *place: on the outline, set when the
/// distance is less than `most`.
static double apart(const struct outline *o, const struct blade *b, double most,
                    struct kw_vec3 *place) {
    double least = most;
    if (beside_sides(o, b) >= most) return most;
    for (int i = 0; i < o->count; i++) {
        struct kw_vec3 p = o->v[i], q = o->v[(i + 1) % o->count], at;
        for (int k = 0; k < b->count; k++) {
            struct kw_vec2 c = b->v[k], d = b->v[(k + 1) % b->count];
            double off = to_segment(p, q, c, &at);
            if (off < least) least = off, *place = at;
            off = to_segment(kw_v3(c.x, p.y, c.y), kw_v3(d.x, p.y, d.y), kw_v2(p.x, p.z), &at);
            if (off < least) least = off, *place = p;
        }
    }
    return least;
}

static double from_tool(const struct narrow *n, const struct lump *l, const struct blades *tool,
                        enum kw_brake_obstacle what, double most, struct kw_vec3 *place) {
    bool has_ends = what == KW_BRAKE_PUNCH || what == KW_BRAKE_DIE;
    struct outline o =
        seen(l, has_ends ? n->from[what] : -INFINITY, has_ends ? n->to[what] : INFINITY);
    for (int i = 0; i < tool->count && o.count > 0; i++)
        most = apart(&o, &tool->v[i], most, place);
    return most;
}

// ------------------------------------------------------------------------------------ the stroke

static void note(struct narrow *n, double gap, enum kw_brake_obstacle what, struct kw_vec3 at,
                 struct look now) {
    n->gap = gap;
    n->found = true;
    n->what = what;
    n->at_item = n->item;
    n->now = now;
    n->at = at;
}

static double depth_at(const struct narrow *n, double angle) {
    const struct trial *t = &n->o->trial;
    return fmax(0, kw_brake_depth(angle, t->radius, n->job->material.thickness,
                                  &n->job->shop->dies[t->die]));
}

/// The way from angle a0 to a1 against one tool. `rate`: mm of motion a radian at most.
static void bending(struct narrow *n, const struct lump *l, const struct blades *tool,
                    enum kw_brake_obstacle what, double rate, double a0, double a1) {
    double mid = (a0 + a1) / 2, motion = rate * (a1 - a0) / 2;
    bool lower = what == KW_BRAKE_DIE || what == KW_BRAKE_BED;
    double down = depth_at(n, mid);
    struct lump at = swing_lump(&n->swing, l, mid, lower ? down : 0);
    struct kw_vec3 place = {0};
    double reach = n->gap + motion;
    double off = from_tool(n, &at, tool, what, reach, &place);
    if (off < n->gap) {
        place.z -= lower ? 0 : down;
        note(n, off, what, place, (struct look){mid, 0, 0, down});
    }
    if (motion < FINE_MM || off - motion > n->gap - FINE_MM) return;
    bending(n, l, tool, what, rate, a0, mid);
    bending(n, l, tool, what, rate, mid, a1);
}

/// The punch and the ram come down to `still` above where they end, the part lies still. `share`:
/// of a flattening made by then.
static void coming_down(struct narrow *n, const struct lump *l, double still, double share) {
    const struct kw_brake_press *press = &n->job->shop->press;
    const struct blades *tools[2] = {&n->o->punch, &n->o->ram};
    const enum kw_brake_obstacle what[2] = {KW_BRAKE_PUNCH, KW_BRAKE_RAM};
    double open = press->open_height > 0 ? press->open_height : 100;
    for (int k = 0; k < 2; k++)
        for (double lift = fmax(open, still); lift >= still; lift -= LIFT_STEP) {
            struct lump at = *l;
            struct kw_vec3 place = {0};
            for (int i = 0; i < at.count; i++) {
                at.ring[0][i].z -= lift;
                at.ring[1][i].z -= lift;
            }
            double off = from_tool(n, &at, tools[k], what[k], n->gap, &place);
            place.z += lift;
            if (off < n->gap) note(n, off, what[k], place, (struct look){0, share, lift, 0});
        }
}

static void lump_bent(struct narrow *n, const struct lump *l) {
    const struct trial *t = &n->o->trial;
    const struct kw_brake_die *die = &n->job->shop->dies[t->die];
    double thick = n->job->material.thickness, high = -INFINITY, low = INFINITY;
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < l->count; i++) {
            high = fmax(high, l->ring[k][i].z);
            low = fmin(low, l->ring[k][i].z);
        }
    double rate = swing_reach(&n->swing, l) / 2 + n->swing.zone / 2 / n->swing.angle;
    double slope = fmax(fabs(kw_brake_depth_slope(0, t->radius, thick, die)),
                        fabs(kw_brake_depth_slope(n->swing.angle, t->radius, thick, die)));
    bool flat = high <= thick + LEVEL;
    if (!flat) {
        coming_down(n, l, 0, 0);
        bending(n, l, &n->o->punch, KW_BRAKE_PUNCH, rate, 0, n->swing.angle);
    }
    bending(n, l, &n->o->ram, KW_BRAKE_RAM, rate, 0, n->swing.angle);
    if (low >= -LEVEL) return;
    bending(n, l, &n->o->die, KW_BRAKE_DIE, rate + slope, 0, n->swing.angle);
    bending(n, l, &n->o->bed, KW_BRAKE_BED, rate + slope, 0, n->swing.angle);
}

/// While hems are flattened: what lies beyond them turns on with them (`turns`), the rest is still.
static void lump_flattened(struct narrow *n, const struct lump *l, double lift, double share) {
    double thick = n->job->material.thickness, high = -INFINITY, low = INFINITY;
    struct kw_vec3 place = {0};
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < l->count; i++) {
            high = fmax(high, l->ring[k][i].z);
            low = fmin(low, l->ring[k][i].z);
        }
    if (high > thick + LEVEL) coming_down(n, l, lift, share);
    if (low >= -LEVEL) return;
    double off = from_tool(n, l, &n->o->die, KW_BRAKE_DIE, n->gap, &place);
    if (off < n->gap) note(n, off, KW_BRAKE_DIE, place, (struct look){0, share, lift, 0});
    off = from_tool(n, l, &n->o->bed, KW_BRAKE_BED, n->gap, &place);
    if (off < n->gap) note(n, off, KW_BRAKE_BED, place, (struct look){0, share, lift, 0});
}

static void item_flattened(struct narrow *n, struct job *own, const struct group *g,
                           const struct stroke *w, unsigned char *made) {
    bool beyond = n->swing.leg == (w->child_side ? 1 : -1);
    for (int k = 0; k < g->count; k++) {
        if (n->item == own->part->bends[g->bends[k]].child) return; // lies between the flats
        made[g->bends[k]] = BEND_FLATTENING;
    }
    for (int look = 0; look <= (beyond ? HEM_LOOKS : 0); look++) {
        int count = 0;
        own->flattened = (double)look / HEM_LOOKS;
        struct fold f = fold_for(own, made, g->bends[0], !w->child_side);
        double top = top_of(&f, own->part->bends[g->bends[0]].child) - closed_height(own, g);
        struct lump *lumps = lumps_of(&f, n->item, &count);
        for (int i = 0; i < count; i++)
            lump_flattened(n, &lumps[i], beyond ? fmax(0, top) : 0, own->flattened);
    }
}

static void set_ends(struct narrow *n, const struct stroke *w) {
    const struct trial *t = &n->o->trial;
    for (int k = 0; k < 2; k++) {
        const struct lengths *l =
            k ? &n->job->die_lengths[t->die] : &n->job->punch_lengths[t->punch];
        double all = l->all > 0 ? l->all : kw_brake_bed(n->job->shop);
        n->from[k] = w->at[k];
        n->to[k] = w->at[k] + (w->length[k] > 0 ? w->length[k] : all);
    }
}

struct kw_brake_hit *narrowest(const struct job *job, uint64_t done, const struct stroke *w) {
    const struct group *g = &job->groups[w->group];
    const struct option *o = &job->options[w->group].v[w->option];
    struct narrow n = {.job = job, .o = o, .gap = BRAKE_CLEAR_MM};
    struct kw_arena scratch = {0};
    struct job own = *job;
    size_t bends = (size_t)job->part->bend_count;
    if (job->part->bends[g->bends[0]].own_tool) return NULL;
    own.scratch = &scratch;
    n.swing = swing_of(job, g, &o->trial, 0);
    set_ends(&n, w);
    unsigned char *made = kw_alloc(&scratch, bends), *still = kw_alloc(&scratch, bends);
    bends_before(job, done, w->group, made);
    struct fold f = fold_for(&own, made, g->bends[0], !w->child_side);
    for (n.item = 0; n.item < item_count(job->part); n.item++) {
        int count = 0;
        if (!is_there(job, done, n.item)) continue;
        n.swing.leg = item_leg(job, w->group, n.item, w->child_side);
        if (n.swing.leg == 0) continue;
        if (g->stage == 2) {
            bends_before(job, done, w->group, still);
            item_flattened(&n, &own, g, w, still);
            continue;
        }
        struct lump *lumps = lumps_of(&f, n.item, &count);
        for (int i = 0; i < count; i++)
            lump_bent(&n, &lumps[i]);
    }
    struct kw_vec3 rest = n.at;
    if (g->stage == 1 && n.found) {
        n.swing.leg = item_leg(job, w->group, n.at_item, w->child_side);
        rest = swing_back(&n.swing, n.at, n.now.turn, n.now.down);
    }
    kw_arena_free(&scratch);
    if (!n.found) return NULL;
    struct kw_brake_hit *out = hit_at(job, done, w, n.what, n.at_item, n.now, n.at, rest);
    out->gap = n.gap;
    return out;
}
