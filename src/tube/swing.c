// SPDX-License-Identifier: Apache-2.0
// The tube as it swings round the die: does it meet the floor, a body of the machine or itself?
//
// The die's axis is upright, so that what swings keeps its height and its distance from the axis:
// most pairs drop out by these two alone. The others are followed by conservative advancement: at a
// distance d nothing is met before the piece has moved by d, and no point of it moves faster than
// its distance from the axis.
#include "tube/inside.h"

#define FAR 1e30 // no distance at all

struct swing {
    const struct kw_tube_table *table;
    const struct kw_tube_bender *bender;
    struct kw_tube_trims trims;
    double r, total;              ///< of the tube; sawn length
    struct kw_tube_piece *pieces; ///< of the whole tube, in its own frame
    int count;
    struct kw_tube_problems *to;
    // The bend at hand.
    int bend;
    double start, radius, angle; ///< along the tube; of the die; under load
    struct kw_tube_walk at;      ///< frame of its first tangent point
    struct kw_tube_piece *front; ///< what swings, in the bender's frame before the bend
    int front_count;
};

// ------------------------------------------------------------------------------------------ pieces

static void take_front(struct swing *s) {
    s->front_count = 0;
    for (int i = 0; i < s->count && s->pieces[i].to <= s->start + 1e-6; i++) {
        struct kw_tube_piece c = s->pieces[i];
        c.a = kw_tube_to_bender(&s->at, c.a);
        c.b = kw_tube_to_bender(&s->at, c.b);
        s->front[s->front_count++] = c;
    }
}

/// Turned about the die's axis by `angle`, x towards y.
static struct kw_vec3 turned(struct kw_vec3 p, double radius, double c, double s) {
    double y = p.y - radius;
    return kw_v3(c * p.x - s * y, radius + s * p.x + c * y, p.z);
}

static struct kw_tube_piece turned_piece(const struct kw_tube_piece *p, double radius,
                                         double angle) {
    struct kw_tube_piece t = *p;
    double c = cos(angle), s = sin(angle);
    t.a = turned(p->a, radius, c, s);
    t.b = turned(p->b, radius, c, s);
    return t;
}

// ----------------------------------------------------------------------------------------
// obstacles

/// Something that stands still while the tube swings: a box, or (box NULL) the stick behind the
/// die, whose far end comes nearer by the arc that is drawn in.
struct obstacle {
    const struct kw_box3 *box;
    double rest;              ///< mm of stick behind the first tangent point
    double low, high;         ///< its heights, the stick's own radius included
    double nearest, furthest; ///< distances from the die's axis
};

static double off_range(double v, double low, double high) {
    return v < low ? low - v : v > high ? v - high : 0;
}

static struct obstacle box_obstacle(const struct kw_box3 *b, double radius) {
    double x = off_range(0, b->min.x, b->max.x), y = off_range(radius, b->min.y, b->max.y);
    double fx = fmax(fabs(b->min.x), fabs(b->max.x));
    double fy = fmax(fabs(b->min.y - radius), fabs(b->max.y - radius));
    return (struct obstacle){b, 0, b->min.z, b->max.z, hypot(x, y), hypot(fx, fy)};
}

static struct obstacle stick_obstacle(const struct swing *s) {
    double rest = s->total - s->start;
    return (struct obstacle){
        NULL, rest, -s->r, s->r, s->radius - s->r, hypot(rest, s->radius) + s->r};
}

static double distance_to(const struct swing *s, const struct kw_tube_piece *p,
                          const struct obstacle *o, double angle) {
    if (o->box) return kw_tube_segment_to_box(p->a, p->b, o->box) - p->radius;
    double rest = fmax(0, o->rest - s->radius * angle);
    return kw_tube_segment_to_segment(p->a, p->b, kw_v3(0, 0, 0), kw_v3(-rest, 0, 0)) - p->radius -
           s->r;
}

static bool can_meet(const struct swing *s, const struct kw_tube_piece *p,
                     const struct obstacle *o) {
    double reach = p->radius + KW_TUBE_CLEARANCE + KW_TUBE_MOTION / 2;
    if (fmin(p->a.z, p->b.z) - reach > o->high || fmax(p->a.z, p->b.z) + reach < o->low)
        return false;
    double far_a = hypot(p->a.x, p->a.y - s->radius), far_b = hypot(p->b.x, p->b.y - s->radius);
    if (fmax(far_a, far_b) + reach < o->nearest) return false;
    double length = hypot(p->b.x - p->a.x, p->b.y - p->a.y);
    // The nearest point of the chord is at most half its length nearer than its ends.
    return fmin(far_a, far_b) - length / 2 - reach <= o->furthest;
}

/// The turn at which the piece meets the obstacle, at most `most`; FAR when it doesn't.
static double turn_to_meet(const struct swing *s, const struct kw_tube_piece *p,
                           const struct obstacle *o, double most) {
    if (!can_meet(s, p, o)) return FAR;
    double speed = fmax(hypot(p->a.x, p->a.y - s->radius), hypot(p->b.x, p->b.y - s->radius));
    if (!o->box) speed += s->radius;
    double angle = 0;
    while (angle <= most) {
        struct kw_tube_piece now = turned_piece(p, s->radius, angle);
        double d = distance_to(s, &now, o, angle) - KW_TUBE_CLEARANCE;
        if (d < KW_TUBE_MOTION / 2) return angle;
        angle += d / speed;
    }
    return FAR;
}

// --------------------------------------------------------------------------------------- one bend

static void tell(struct swing *s, enum kw_tube_problem_kind kind, int body, double angle,
                 const struct kw_tube_piece *piece) {
    struct kw_vec3 middle = kw_scale3(kw_add3(piece->a, piece->b), 0.5);
    kw_tube_problem_add(s->to, (struct kw_tube_problem){.kind = kind,
                                                        .step = -1,
                                                        .straight = -1,
                                                        .bend = s->bend,
                                                        .measured = angle,
                                                        .limit = s->angle,
                                                        .at = kw_tube_from_bender(&s->at, middle),
                                                        .body = body});
}

/// The first meeting of the front with one obstacle, pieces nearer than `skip` along the tube left
/// out.
static void meet(struct swing *s, const struct obstacle *o, double skip,
                 enum kw_tube_problem_kind kind, int body) {
    double first = FAR;
    const struct kw_tube_piece *who = NULL;
    for (int i = 0; i < s->front_count; i++) {
        const struct kw_tube_piece *p = &s->front[i];
        struct kw_tube_piece part = *p;
        if (skip > 0 && s->start - p->to < skip) {
            // Metal next to the bend is part of the same tube: only what is further along counts.
            if (s->start - p->from <= skip) continue;
            double keep = (s->start - skip - p->from) / (p->to - p->from);
            part.b = along3(part.a, keep, kw_sub3(part.b, part.a));
        }
        double angle = turn_to_meet(s, &part, o, fmin(s->angle, first));
        if (angle < first) {
            first = angle;
            who = p;
        }
    }
    if (who) tell(s, kind, body, first, who);
}

static void meet_floor(struct swing *s) {
    const struct kw_tube_piece *lowest = NULL;
    double z = -s->bender->floor + KW_TUBE_CLEARANCE;
    for (int i = 0; i < s->front_count; i++) {
        const struct kw_tube_piece *p = &s->front[i];
        double low = fmin(p->a.z, p->b.z) - p->radius;
        if (low >= z) continue;
        z = low;
        lowest = p;
    }
    if (lowest) tell(s, KW_TUBE_HITS_FLOOR, 0, 0, lowest);
}

/// The arc just made against what is in front: both are of one piece by now.
static void meet_arc(struct swing *s, double skip) {
    double arc_end = s->start + s->table->bends[s->bend].radius * s->table->bends[s->bend].angle;
    for (int i = 0; i < s->count; i++) {
        const struct kw_tube_piece *p = &s->pieces[i];
        if (p->from < s->start - 1e-6 || p->to > arc_end + 1e-6) continue;
        for (int k = 0; k < s->front_count; k++) {
            const struct kw_tube_piece *f = &s->pieces[k];
            if (p->from - f->to < skip) break;
            double d = kw_tube_segment_to_segment(p->a, p->b, f->a, f->b) - p->radius - f->radius;
            if (d >= KW_TUBE_CLEARANCE) continue;
            tell(s, KW_TUBE_HITS_ITSELF, 0, s->angle, &s->front[k]);
            return;
        }
    }
}

static void swing_bend(struct swing *s) {
    take_front(s);
    if (s->bender->floor > 0) meet_floor(s);
    for (int b = 0; b < s->bender->body_count; b++) {
        struct obstacle o = box_obstacle(&s->bender->bodies[b], s->radius);
        meet(s, &o, 0, KW_TUBE_HITS_BODY, b);
    }
    // Along a curve of radius 1.5 D or more, points nearer than D + clearance to each other are
    // less than 1.2 times that apart along it (Schwarz's comparison of arcs); 1.5 is on the safe
    // side of false alarms, and no tube meets itself within so little.
    double skip = 1.5 * (2 * s->r + KW_TUBE_CLEARANCE);
    struct obstacle stick = stick_obstacle(s);
    int before = s->to ? s->to->count : 0;
    meet(s, &stick, skip, KW_TUBE_HITS_ITSELF, 0);
    if (s->to && s->to->count == before) meet_arc(s, skip + 4 * KW_TUBE_SAGITTA);
}

void kw_tube_swing(struct kw_arena *a, const struct kw_tube_table *t, struct kw_tube_size size,
                   const struct kw_tube_bender *b, struct kw_tube_trims trims,
                   struct kw_tube_problems *problems) {
    if (t->count == 0) return;
    struct swing s = {.table = t, .bender = b, .trims = trims, .r = size.od / 2, .to = problems};
    s.pieces = kw_tube_pieces(a, t, s.r, trims, &s.count);
    s.front = KW_NEW_ARRAY(a, struct kw_tube_piece, s.count);
    s.total = s.pieces[s.count - 1].to;
    struct kw_tube_walk w = kw_tube_walk_start(t);
    double at = trims.start;
    for (int i = 0; i < t->count; i++) {
        const struct kw_tube_bend *bend = &t->bends[i];
        w = kw_tube_walk_to_bend(w, bend);
        s.bend = i;
        s.at = w;
        s.start = at + bend->straight;
        const struct kw_tube_die *die = kw_tube_die_of(b, size.od, bend);
        s.radius = die ? die->clr : bend->radius;
        s.angle = bend->angle * (die ? fmax(1, die->factor) : 1);
        swing_bend(&s);
        at = s.start + bend->radius * bend->angle;
        w = kw_tube_walk_arc(w, bend->radius, bend->angle);
    }
}
