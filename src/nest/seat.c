// SPDX-License-Identifier: Apache-2.0
// The place of least overlap of one piece: places drawn at random, the best of them made better
// step by step, and at the end straight out of what still overlaps.
#include "nest/crowd.h"

#define TOUCHING 16 // places where it touches another
#define ANYWHERE 24 // places drawn on all grounds
#define NEAR     16 // and around where the piece lies
#define KEPT     3
#define COARSE   0.2 // first and last step, of the piece's shorter side
#define FINE     0.004
#define GROWTH   1.1
#define SHRINK   0.5
#define PUSHES   6

struct tried {
    struct seat seat;
    double overlap;
};

static double unit(struct crowd *c) {
    return kw_random_unit(&c->random);
}

static int pick(struct crowd *c, int n) {
    return (int)(kw_random(&c->random) % (uint64_t)n);
}

static double within(double x, double low, double high) {
    return x < low ? low : x > high ? high : x;
}

static bool clamp(const struct crowd *c, struct seat *s) {
    struct kw_vec2 low, high;
    if (!crowd_room(c, s->ground, s->pose, &low, &high)) return false;
    s->u = within(s->u, low.x, high.x);
    s->v = within(s->v, low.y, high.y);
    return true;
}

static bool draw_pose(struct crowd *c, int piece, struct seat *s) {
    const struct world *w = c->world;
    struct pose_range r = w->parts[w->kinds[c->grounds[s->ground].kind].group][c->parts[piece]];
    if (r.count == 0) return false;
    s->pose = r.first + pick(c, r.count);
    return true;
}

static bool draw_anywhere(struct crowd *c, int piece, struct seat *s) {
    struct kw_vec2 low, high;
    s->ground = c->ground_count > 1 ? pick(c, c->ground_count) : 0;
    if (!draw_pose(c, piece, s) || !crowd_room(c, s->ground, s->pose, &low, &high)) return false;
    s->u = low.x + unit(c) * (high.x - low.x);
    s->v = low.y + unit(c) * (high.y - low.y);
    return true;
}

static bool draw_near(struct crowd *c, int piece, struct seat *s) {
    *s = c->seats[piece];
    struct kw_vec2 old = c->world->poses[s->pose].size;
    double wide = 0.5 * fmin(old.x, old.y) + 0.1 * fmax(old.x, old.y);
    struct kw_vec2 centre = kw_v2(s->u + old.x / 2, s->v + old.y / 2);
    if (!draw_pose(c, piece, s)) return false;
    struct kw_vec2 size = c->world->poses[s->pose].size;
    s->u = centre.x - size.x / 2 + (2 * unit(c) - 1) * wide;
    s->v = centre.y - size.y / 2 + (2 * unit(c) - 1) * wide;
    return clamp(c, s);
}

/// Touching another piece corner to side: a corner of their forbidden places.
static bool draw_touching(struct crowd *c, int piece, struct seat *s) {
    s->ground = c->ground_count > 1 ? pick(c, c->ground_count) : 0;
    const struct ground *g = &c->grounds[s->ground];
    if (!draw_pose(c, piece, s)) return false;
    int other = g->count > 0 ? g->v[pick(c, g->count)].piece : piece;
    if (other == piece) return false;
    const struct contact *t = crowd_contact(c, c->seats[other].pose, s->pose);
    const struct forbidden *f = &t->v[pick(c, t->count)];
    int k = pick(c, f->low_count + f->high_count);
    struct kw_vec2 corner = k < f->low_count ? f->low[k] : f->high[k - f->low_count];
    s->u = c->seats[other].u + corner.x;
    s->v = c->seats[other].v + corner.y;
    return clamp(c, s);
}

static void keep(struct tried *best, struct tried t) {
    if (t.overlap >= best[KEPT - 1].overlap) return;
    int i = KEPT - 1;
    for (; i > 0 && best[i - 1].overlap > t.overlap; i--)
        best[i] = best[i - 1];
    best[i] = t;
}

/// One step along a random line; whether it led to less.
static bool step_once(struct crowd *c, int piece, struct tried *t, double step) {
    static const double lines[4][2] = {{1, 0}, {0, 1}, {0.7, 0.7}, {0.7, -0.7}};
    const double *line = lines[pick(c, 4)];
    struct tried best = *t;
    for (int sign = -1; sign <= 1; sign += 2) {
        struct seat s = t->seat;
        s.u += sign * step * line[0];
        s.v += sign * step * line[1];
        clamp(c, &s);
        double o = crowd_overlap(c, piece, s, best.overlap);
        if (o < best.overlap) best = (struct tried){s, o};
    }
    if (!(best.overlap < t->overlap)) return false;
    *t = best;
    return true;
}

static void descend(struct crowd *c, int piece, struct tried *t, double step, double least) {
    while (step > least && t->overlap > 0)
        step *= step_once(c, piece, t, step) ? GROWTH : SHRINK;
}

/// Out of the deepest conflict, again and again: where one or two edges hold a piece this ends on
/// them exactly, which steps don't.
static void push_out(struct crowd *c, int piece, struct tried *t) {
    struct seat s = t->seat;
    struct kw_vec2 by;
    for (int i = 0; i < PUSHES && t->overlap > 0; i++) {
        if (!crowd_way_out(c, piece, s, &by)) return;
        s.u += by.x;
        s.v += by.y;
        clamp(c, &s);
        double o = crowd_overlap(c, piece, s, 4 * t->overlap);
        if (o < t->overlap) *t = (struct tried){s, o};
        if (!(o < 4 * t->overlap)) return;
    }
}

void seat_better(struct crowd *c, int piece) {
    struct tried now = {c->seats[piece], 0}, best[KEPT];
    struct kw_vec2 size = c->world->poses[now.seat.pose].size;
    double side = fmin(size.x, size.y);
    now.overlap = crowd_overlap(c, piece, now.seat, INFINITY);
    if (!(now.overlap > 0)) return;
    for (int i = 0; i < KEPT; i++)
        best[i].overlap = INFINITY;
    for (int i = 0; i < TOUCHING + ANYWHERE + NEAR; i++) {
        struct tried t;
        bool drawn = i < TOUCHING              ? draw_touching(c, piece, &t.seat)
                     : i < TOUCHING + ANYWHERE ? draw_anywhere(c, piece, &t.seat)
                                               : draw_near(c, piece, &t.seat);
        if (!drawn) continue;
        t.overlap = crowd_overlap(c, piece, t.seat, best[KEPT - 1].overlap);
        keep(best, t);
    }
    struct tried chosen = now;
    descend(c, piece, &chosen, COARSE * side / 8, FINE * side);
    for (int i = 0; i < KEPT; i++) {
        if (!(best[i].overlap < INFINITY)) continue;
        descend(c, piece, &best[i], COARSE * side, 4 * FINE * side);
        if (best[i].overlap < chosen.overlap) chosen = best[i];
    }
    descend(c, piece, &chosen, 4 * FINE * side, FINE * side);
    push_out(c, piece, &chosen);
    if (chosen.overlap < now.overlap) crowd_move(c, piece, chosen.seat);
}
