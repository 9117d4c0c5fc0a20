// SPDX-License-Identifier: Apache-2.0
// The part against the tools over a whole stroke.
//
// Tools are sections as long as the press, so that a convex piece of the part meets a convex piece
// of a tool over one stretch along the bend line: the piece clipped by the section's half planes.
// Those stretches say where tools may stand. Between two angles of the stroke a piece moves by at
// most `motion`: with the tool grown by that much, clear at the middle means clear all the way
// between. The way is halved until it is clear or the motion is under a millimetre; then the
// clearance plus the motion counts as a hit.
//
// What is left out, because it touches by its nature: flats on their own side of the line have the
// die below them all through the stroke, and flats under the punch are held against its flanks only
// at the end, where the angle between them is least.
#include "brake/inside.h"

#define LEAF_MM       0.5  // motion from a leaf's middle to its end
#define TIGHT_LEAF_MM 0.05 // the same where the clearance is little
#define LEVEL         0.05 // mm: so far over a face is still flat on it
#define RING          64

// fmax and fmin are calls into libm, and these loops are the hot ones.
static inline double larger(double a, double b) {
    return a > b ? a : b;
}
static inline double smaller(double a, double b) {
    return a < b ? a : b;
}

struct sweep {
    const struct job *job;
    const struct option *o;
    struct swing swing;
    double depth_slope;
    const double *need;
    struct room *room;
    int item;
    double v0, v1; ///< the lump's own stretch along the line, the same all through the stroke
    bool across;   ///< only what lies on the other leg's side of the line counts: behind `cut`
    struct kw_vec2 cut, cut_normal;
};

static double clearance(const struct job *job) {
    return job->tight ? BRAKE_TIGHT_MM : BRAKE_CLEAR_MM;
}

static double leaf(const struct job *job) {
    return job->tight ? TIGHT_LEAF_MM : LEAF_MM;
}

struct reach {
    double u0, u1, z0, z1;
};

static struct reach no_reach(void) {
    return (struct reach){INFINITY, -INFINITY, INFINITY, -INFINITY};
}

static void widen(struct reach *r, const struct kw_vec3 *ring, int n) {
    for (int i = 0; i < n; i++) {
        struct kw_vec3 p = ring[i];
        *r = (struct reach){smaller(r->u0, p.x), larger(r->u1, p.x), smaller(r->z0, p.z),
                            larger(r->z1, p.z)};
    }
}

static struct reach reach_of(const struct lump *l) {
    struct reach r = no_reach();
    for (int s = 0; s < 2; s++)
        widen(&r, l->ring[s], l->count);
    return r;
}

static bool near(const struct reach *r, const struct blade *b, double c) {
    return r->u0 <= b->box.max.x + c && r->u1 >= b->box.min.x - c && r->z0 <= b->box.max.y + c &&
           r->z1 >= b->box.min.y - c;
}

// ------------------------------------------------------------------------------------ one clip

static int clip_ring(const struct kw_vec3 *in, int n, struct kw_vec2 at, struct kw_vec2 normal,
                     double c, struct kw_vec3 *out) {
    int k = 0;
    for (int i = 0; i < n; i++) {
        struct kw_vec3 p = in[i], q = in[i + 1 == n ? 0 : i + 1];
        double dp = (p.x - at.x) * normal.x + (p.z - at.y) * normal.y - c;
        double dq = (q.x - at.x) * normal.x + (q.z - at.y) * normal.y - c;
        if (dp <= 0) out[k++] = p;
        if ((dp <= 0) != (dq <= 0)) {
            double t = dp / (dp - dq);
            out[k++] = kw_v3(p.x + (q.x - p.x) * t, p.y + (q.y - p.y) * t, p.z + (q.z - p.z) * t);
        }
    }
    return k;
}

/// The stretch along v that a flat polygon has inside the blade grown by c.
static void polygon_range(const struct sweep *s, const struct kw_vec3 *ring, int n,
                          const struct blade *b, double c, double *lo, double *hi) {
    struct kw_vec3 a[2][RING + BLADE_POINTS + 8];
    struct reach whole = no_reach();
    int from = 0;
    widen(&whole, ring, n);
    if (!near(&whole, b, larger(c, 0))) return; // most are: clipping them would leave nothing
    for (int i = 0; i < n; i++)
        a[0][i] = ring[i];
    if (s->across) {
        n = clip_ring(a[0], n, s->cut, s->cut_normal, 0, a[1]);
        from = 1;
    }
    for (int i = 0; i < b->count && n > 0; i++) {
        n = clip_ring(a[from], n, b->v[i], b->out[i], c, a[1 - from]);
        from = 1 - from;
    }
    // The grown blade's corners reach out further than c: its box does not.
    struct kw_vec2 sides[4] = {{-1, 0}, {1, 0}, {0, -1}, {0, 1}};
    for (int i = 0; i < 4 && n > 0 && c > 0; i++) {
        n = clip_ring(a[from], n, i % 2 ? b->box.max : b->box.min, sides[i], c, a[1 - from]);
        from = 1 - from;
    }
    for (int i = 0; i < n; i++) {
        *lo = smaller(*lo, a[from][i].y);
        *hi = larger(*hi, a[from][i].y);
    }
}

/// Whether one side of the blade, grown by c, has the whole lump before it.
static bool before_side(const struct lump *l, const struct blade *b, double c) {
    for (int i = 0; i < b->count; i++) {
        struct kw_vec2 at = b->v[i], out = b->out[i];
        double nearest = INFINITY;
        for (int s = 0; s < 2; s++)
            for (int k = 0; k < l->count; k++) {
                struct kw_vec3 p = l->ring[s][k];
                nearest = smaller(nearest, (p.x - at.x) * out.x + (p.z - at.y) * out.y - c);
            }
        if (nearest > 0) return true;
    }
    return false;
}

/// Whether lump and grown blade, seen along the line, lie apart across the direction from p to q.
static bool apart_across(const struct lump *l, const struct blade *b, double c, struct kw_vec3 p,
                         struct kw_vec3 q) {
    double x = q.z - p.z, z = p.x - q.x;
    if (x * x + z * z < 1e-12) return false;
    double lo = INFINITY, hi = -INFINITY, blade_lo = INFINITY, blade_hi = -INFINITY;
    for (int s = 0; s < 2; s++)
        for (int k = 0; k < l->count; k++) {
            double at = l->ring[s][k].x * x + l->ring[s][k].z * z;
            lo = smaller(lo, at);
            hi = larger(hi, at);
        }
    for (int i = 0; i < b->count; i++) {
        double at = (b->v[i].x + c * b->grow[i].x) * x + (b->v[i].y + c * b->grow[i].y) * z;
        blade_lo = smaller(blade_lo, at);
        blade_hi = larger(blade_hi, at);
    }
    return lo > blade_hi || hi < blade_lo;
}

/// Separating axes of lump and grown blade, seen along the line: where one parts them, clipping
/// would leave nothing.
static bool parted(const struct lump *l, const struct blade *b, double c) {
    if (before_side(l, b, c)) return true;
    if (apart_across(l, b, c, l->ring[0][0], l->ring[1][0])) return true;
    for (int i = 0; i < l->count; i++)
        if (apart_across(l, b, c, l->ring[0][i], l->ring[0][i + 1 == l->count ? 0 : i + 1]))
            return true;
    return false;
}

static bool lump_range(const struct sweep *m, const struct lump *l, const struct blade *b, double c,
                       double range[2]) {
    range[0] = INFINITY;
    range[1] = -INFINITY;
    for (int s = 0; s < 2; s++)
        polygon_range(m, l->ring[s], l->count, b, c, &range[0], &range[1]);
    for (int i = 0; i < l->count; i++) {
        int k = (i + 1) % l->count;
        struct kw_vec3 quad[4] = {l->ring[0][i], l->ring[0][k], l->ring[1][k], l->ring[1][i]};
        polygon_range(m, quad, 4, b, c, &range[0], &range[1]);
    }
    return range[0] <= range[1];
}

// ------------------------------------------------------------------------------- what is left free

static void block(struct sweep *s, enum kw_brake_obstacle what) {
    if (s->room->blocked) return;
    s->room->blocked = true;
    s->room->obstacle = what;
    s->room->face = s->item;
}

/// A stretch in which punch or die can't stand.
static void take(struct sweep *s, enum kw_brake_obstacle what, const double range[2]) {
    struct room *room = s->room;
    bool tool = what != KW_BRAKE_RAM && what != KW_BRAKE_BED; // those two stand beside all of it
    if (tool && range[1] <= s->need[0]) {
        if (range[1] > room->lo[what]) {
            room->lo[what] = range[1];
            room->lo_face[what] = s->item;
        }
    } else if (tool && range[0] >= s->need[1]) {
        if (range[0] < room->hi[what]) {
            room->hi[what] = range[0];
            room->hi_face[what] = s->item;
        }
    } else {
        block(s, what);
    }
}

/// Whether the lump can take no more from the tool's room than it has: hits need not be looked for.
static bool settled(const struct sweep *s, enum kw_brake_obstacle tool) {
    const struct room *r = s->room;
    if (tool != KW_BRAKE_PUNCH && tool != KW_BRAKE_DIE) return false; // ram and bed have no ends
    return (s->v1 <= s->need[0] && s->v1 <= r->lo[tool]) ||
           (s->v0 >= s->need[1] && s->v0 >= r->hi[tool]);
}

static void against(struct sweep *s, const struct lump *l, const struct reach *r,
                    const struct blades *tool, enum kw_brake_obstacle what, double c) {
    for (int i = 0; i < tool->count && !s->room->blocked && !settled(s, what); i++) {
        double range[2];
        if (near(r, &tool->v[i], c) && !parted(l, &tool->v[i], c) &&
            lump_range(s, l, &tool->v[i], c, range))
            take(s, what, range);
    }
}

static bool any_near(const struct lump *l, const struct reach *r, const struct blades *tool,
                     double c) {
    for (int i = 0; i < tool->count; i++)
        if (near(r, &tool->v[i], c) && !parted(l, &tool->v[i], c)) return true;
    return false;
}

// ----------------------------------------------------------------------------------- the stroke

static double depth_at(const struct sweep *s, double angle) {
    const struct trial *t = &s->o->trial;
    return larger(0, kw_brake_depth(angle, t->radius, s->job->material.thickness,
                                    &s->job->shop->dies[t->die]));
}

static void with_punch(struct sweep *s, const struct lump *l, double far, bool flat, double a0,
                       double a1) {
    double mid = (a0 + a1) / 2;
    double motion = (far / 4 + s->swing.zone / 4 / s->swing.angle) * (a1 - a0);
    struct lump at = swing_lump(&s->swing, l, mid, 0);
    struct reach r = reach_of(&at);
    double c = clearance(s->job) + motion;
    bool near_punch = !flat && !settled(s, KW_BRAKE_PUNCH) && any_near(&at, &r, &s->o->punch, c);
    if (s->room->blocked || (!near_punch && !any_near(&at, &r, &s->o->ram, c))) return;
    if (motion <= leaf(s->job)) {
        if (near_punch) against(s, &at, &r, &s->o->punch, KW_BRAKE_PUNCH, c);
        against(s, &at, &r, &s->o->ram, KW_BRAKE_RAM, c);
        return;
    }
    with_punch(s, l, far, flat, a0, mid);
    with_punch(s, l, far, flat, mid, a1);
}

static void with_die(struct sweep *s, const struct lump *l, double far, double a0, double a1) {
    double mid = (a0 + a1) / 2;
    double motion = (far / 4 + s->swing.zone / 4 / s->swing.angle + s->depth_slope / 2) * (a1 - a0);
    struct lump at = swing_lump(&s->swing, l, mid, depth_at(s, mid));
    struct reach r = reach_of(&at);
    double c = clearance(s->job) + motion;
    bool near_die = !settled(s, KW_BRAKE_DIE) && any_near(&at, &r, &s->o->die, c);
    if (s->room->blocked || (!near_die && !any_near(&at, &r, &s->o->bed, c))) return;
    if (motion <= leaf(s->job)) {
        against(s, &at, &r, &s->o->die, KW_BRAKE_DIE, c);
        against(s, &at, &r, &s->o->bed, KW_BRAKE_BED, c);
        return;
    }
    with_die(s, l, far, a0, mid);
    with_die(s, l, far, mid, a1);
}

/// What lies on the other leg's side of the line goes down with its own leg: ears beside a flange.
/// They are deepest at the end, and there an ear that is flush with the flange's outside just
/// passes between the V's flanks.
static void ears(struct sweep *s, const struct lump *l) {
    double down = depth_at(s, s->swing.angle), slide = s->swing.leg * s->swing.zone / 2;
    double c = cos(s->swing.angle / 2), n = s->swing.leg * sin(s->swing.angle / 2),
           x = -slide - s->swing.pivot.x;
    struct lump end = swing_lump(&s->swing, l, s->swing.angle, down);
    struct reach r = reach_of(&end);
    s->cut = kw_v2(s->swing.pivot.x + c * x + n * s->swing.pivot.y,
                   s->swing.pivot.y + n * x - c * s->swing.pivot.y - down);
    s->cut_normal = kw_v2(s->swing.leg * c, s->swing.leg * n);
    s->across = true;
    against(s, &end, &r, &s->o->die, KW_BRAKE_DIE, 0);
    against(s, &end, &r, &s->o->bed, KW_BRAKE_BED, 0);
    s->across = false;
}

static void set_stretch(struct sweep *s, const struct lump *l) {
    s->v0 = INFINITY;
    s->v1 = -INFINITY;
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < l->count; i++) {
            s->v0 = smaller(s->v0, l->ring[k][i].y);
            s->v1 = larger(s->v1, l->ring[k][i].y);
        }
}

/// Whether a flat bent to `angle` lies on the punch outside of the V: on its body, not its nose.
static bool lies_on_punch(struct sweep *s, const struct lump *l, double angle) {
    struct lump at = swing_lump(&s->swing, l, angle, 0);
    struct reach r = reach_of(&at);
    double v = s->job->shop->dies[s->o->trial.die].opening / 2, range[2];
    bool met = false;
    s->cut = kw_v2(s->swing.leg * v, 0);
    s->cut_normal = kw_v2(-s->swing.leg, 0);
    s->across = true;
    for (int i = 0; i < s->o->punch.count && !met; i++) {
        const struct blade *b = &s->o->punch.v[i];
        met = near(&r, b, 0) && !parted(&at, b, 0) && lump_range(s, &at, b, 0, range) &&
              range[1] > s->need[0] && range[0] < s->need[1];
    }
    s->across = false;
    return met;
}

static void further(struct sweep *s, const struct lump *l) {
    double can = 0, cannot = BRAKE_OVERBEND;
    if (!lies_on_punch(s, l, s->swing.angle + cannot)) return;
    for (int i = 0; i < 6; i++) {
        double mid = (can + cannot) / 2;
        *(lies_on_punch(s, l, s->swing.angle + mid) ? &cannot : &can) = mid;
    }
    s->room->overbend = smaller(s->room->overbend, can);
}

static void one_lump(struct sweep *s, const struct lump *l) {
    double thick = s->job->material.thickness, far = swing_reach(&s->swing, l);
    struct reach rest = reach_of(l);
    set_stretch(s, l);
    bool flat = rest.z1 <= thick + LEVEL;
    if (!flat) {
        against(s, l, &rest, &s->o->punch_sweep, KW_BRAKE_PUNCH, clearance(s->job));
        against(s, l, &rest, &s->o->ram_sweep, KW_BRAKE_RAM, clearance(s->job));
    } else {
        struct lump end = swing_lump(&s->swing, l, s->swing.angle, 0);
        struct reach r = reach_of(&end);
        against(s, &end, &r, &s->o->punch, KW_BRAKE_PUNCH, -LEVEL);
        if (!s->room->blocked) further(s, l);
    }
    with_punch(s, l, far, flat, 0, s->swing.angle);
    // What hangs down, or lies on the other leg's side of the line and so goes down with its own.
    bool across = s->swing.leg > 0 ? rest.u0 < -LEVEL : rest.u1 > LEVEL;
    if (rest.z0 < -LEVEL)
        with_die(s, l, far, 0, s->swing.angle);
    else if (across)
        ears(s, l);
}

void narrow_still(const struct job *job, const struct option *o, const struct lump *lumps,
                  int count, int item, const double need[2], double lift, bool still,
                  struct room *room) {
    struct sweep s = {.job = job, .o = o, .need = need, .room = room, .item = item};
    for (int i = 0; i < count && !room->blocked; i++) {
        struct reach rest = reach_of(&lumps[i]);
        set_stretch(&s, &lumps[i]);
        // Flats of the parent lie on the lower flat, and the upper one closes above them.
        bool flat = rest.z1 <= job->material.thickness + LEVEL;
        struct lump low = lumps[i]; // as the upper flat sees it where it stands
        for (int k = 0; k < low.count; k++) {
            low.ring[0][k].z -= lift;
            low.ring[1][k].z -= lift;
        }
        struct reach seen = reach_of(&low);
        if (!flat) {
            against(&s, &low, &seen, still ? &o->punch_sweep : &o->punch, KW_BRAKE_PUNCH,
                    clearance(job));
            against(&s, &low, &seen, still ? &o->ram_sweep : &o->ram, KW_BRAKE_RAM, clearance(job));
        }
        if (rest.z0 >= -LEVEL) continue;
        against(&s, &lumps[i], &rest, &o->die, KW_BRAKE_DIE, clearance(job));
        against(&s, &lumps[i], &rest, &o->bed, KW_BRAKE_BED, clearance(job));
    }
}

void narrow_room(const struct job *job, const struct option *o, const struct group *g, int leg,
                 const struct lump *lumps, int count, int item, const double need[2],
                 struct room *room) {
    const struct trial *t = &o->trial;
    double thick = job->material.thickness;
    struct sweep s = {.job = job,
                      .o = o,
                      .swing = swing_of(job, g, t, leg),
                      .need = need,
                      .room = room,
                      .item = item};
    const struct kw_brake_die *die = &job->shop->dies[t->die];
    // The depth's slope is largest at one end: it has no turning point of its own in between that
    // matters at this size (xc / 2 sec^2 grows, the radius' part takes away).
    s.depth_slope = larger(fabs(kw_brake_depth_slope(0, t->radius, thick, die)),
                           fabs(kw_brake_depth_slope(s.swing.angle, t->radius, thick, die)));
    for (int i = 0; i < count && !room->blocked; i++)
        one_lump(&s, &lumps[i]);
}
