// SPDX-License-Identifier: Apache-2.0
// The tube between two bends: fed on along the stick's axis, then turned about it. What is bent
// moves as one body, so that only the floor and the machine's bodies can be met. Both motions are
// followed by conservative advancement: at a distance d nothing is met before the piece has moved
// by d.
#include "tube/inside.h"

#define FLOOR_WIDE 1e6 // mm: the floor as a box wider and deeper than any tube read here
#define FAR        1e30

/// What is bent already, in the bender's frame with the last bend's end at the origin.
struct turn {
    const struct kw_tube_bender *bender;
    struct kw_tube_piece *front;
    int count;
    double feed;
};

/// Where a way is blocked first: FAR when it isn't.
struct stop {
    double at; ///< mm of feed, or radians of turn
    enum kw_tube_problem_kind kind;
    int body;
    const struct kw_tube_piece *piece;
};

double kw_tube_turned_by(double rotate, enum kw_tube_turning way) {
    if (way != KW_TUBE_TURN_LONG || rotate == 0) return rotate;
    return rotate > 0 ? rotate - 2 * KW_PI : rotate + 2 * KW_PI;
}

static struct kw_vec3 moved(struct kw_vec3 p, double feed, double c, double s) {
    return kw_v3(p.x + feed, c * p.y - s * p.z, s * p.y + c * p.z);
}

static double distance(const struct kw_tube_piece *p, const struct kw_box3 *box, double feed,
                       double angle) {
    double c = cos(angle), s = sin(angle);
    return kw_tube_segment_to_box(moved(p->a, feed, c, s), moved(p->b, feed, c, s), box) -
           p->radius - KW_TUBE_CLEARANCE;
}

/// Whether the feed, or a whole turn after it, could bring the piece near the box at all.
static bool can_meet(const struct kw_tube_piece *p, const struct kw_box3 *box, double feed,
                     bool turning) {
    double reach = p->radius + KW_TUBE_CLEARANCE + KW_TUBE_MOTION / 2;
    double low = fmin(p->a.x, p->b.x) + (turning ? feed : 0), high = fmax(p->a.x, p->b.x) + feed;
    if (low - reach > box->max.x || high + reach < box->min.x) return false;
    if (turning) { // the box's distance from the axis against the piece's furthest point
        double y = fmax(0, fmax(box->min.y, -box->max.y));
        double z = fmax(0, fmax(box->min.z, -box->max.z));
        return fmax(hypot(p->a.y, p->a.z), hypot(p->b.y, p->b.z)) + reach >= hypot(y, z);
    }
    return fmin(p->a.y, p->b.y) - reach <= box->max.y &&
           fmax(p->a.y, p->b.y) + reach >= box->min.y &&
           fmin(p->a.z, p->b.z) - reach <= box->max.z && fmax(p->a.z, p->b.z) + reach >= box->min.z;
}

static double feed_to_meet(const struct kw_tube_piece *p, const struct kw_box3 *box, double most) {
    if (!can_meet(p, box, most, false)) return FAR;
    for (double feed = 0; feed <= most;) {
        double d = distance(p, box, feed, 0);
        if (d < KW_TUBE_MOTION / 2) return feed;
        feed += d;
    }
    return FAR;
}

/// The turn, without its sign, that brings the piece to the box.
static double turn_to_meet(const struct kw_tube_piece *p, const struct kw_box3 *box, double feed,
                           double by) {
    if (!can_meet(p, box, feed, true)) return FAR;
    double speed = fmax(hypot(p->a.y, p->a.z), hypot(p->b.y, p->b.z));
    for (double angle = 0; angle <= fabs(by);) {
        double d = distance(p, box, feed, by < 0 ? -angle : angle);
        if (d < KW_TUBE_MOTION / 2) return angle;
        if (speed == 0) return FAR;
        angle += d / speed;
    }
    return FAR;
}

static void keep_first(struct stop *stop, double at, enum kw_tube_problem_kind kind, int body,
                       const struct kw_tube_piece *piece) {
    if (at < stop->at) *stop = (struct stop){at, kind, body, piece};
}

static struct stop first_of_feed(const struct turn *t) {
    struct stop stop = {.at = FAR};
    for (int b = 0; b < t->bender->body_count; b++)
        for (int i = 0; i < t->count; i++)
            keep_first(&stop, feed_to_meet(&t->front[i], &t->bender->bodies[b], t->feed),
                       KW_TUBE_FEED_HITS_BODY, b, &t->front[i]);
    return stop;
}

static struct stop first_of_turn(const struct turn *t, double by) {
    struct stop stop = {.at = FAR};
    double w = FLOOR_WIDE;
    struct kw_box3 floor = {{-w, -w, -w}, {w, w, -t->bender->floor}};
    for (int i = 0; by != 0 && i < t->count; i++) {
        const struct kw_tube_piece *p = &t->front[i];
        for (int b = 0; b < t->bender->body_count; b++)
            keep_first(&stop, turn_to_meet(p, &t->bender->bodies[b], t->feed, by),
                       KW_TUBE_TURN_HITS_BODY, b, p);
        if (t->bender->floor > 0)
            keep_first(&stop, turn_to_meet(p, &floor, t->feed, by), KW_TUBE_TURN_HITS_FLOOR, 0, p);
    }
    return stop;
}

/// Whether a bend before or after is already known to meet floor or body.
static bool told_of(const struct kw_tube_problems *problems, int bend) {
    for (int i = 0; problems && i < problems->count; i++) {
        const struct kw_tube_problem *p = &problems->v[i];
        bool meets = p->kind == KW_TUBE_HITS_FLOOR || p->kind == KW_TUBE_HITS_BODY;
        if (meets && (p->bend == bend || p->bend == bend - 1)) return true;
    }
    return false;
}

static enum kw_tube_turning choose(const struct turn *t, double rotate, struct stop *stop) {
    *stop = first_of_feed(t);
    if (stop->piece) return KW_TUBE_LIFT_OUT;
    *stop = first_of_turn(t, rotate);
    if (!stop->piece) return KW_TUBE_TURN_SHORT;
    struct stop other = first_of_turn(t, kw_tube_turned_by(rotate, KW_TUBE_TURN_LONG));
    return other.piece ? KW_TUBE_LIFT_OUT : KW_TUBE_TURN_LONG;
}

static void take_front(struct turn *turn, const struct kw_tube_piece *pieces, int count, double end,
                       const struct kw_tube_walk *w) {
    turn->count = 0;
    for (int i = 0; i < count && pieces[i].to <= end + 1e-6; i++) {
        struct kw_tube_piece p = pieces[i];
        p.a = kw_tube_to_bender(w, p.a);
        p.b = kw_tube_to_bender(w, p.b);
        turn->front[turn->count++] = p;
    }
}

void kw_tube_turns(struct kw_arena *a, const struct kw_tube_table *t, struct kw_tube_size size,
                   const struct kw_tube_bender *b, struct kw_tube_trims trims,
                   enum kw_tube_turning *ways, struct kw_tube_problems *problems) {
    for (int i = 0; ways && i < t->count; i++)
        ways[i] = KW_TUBE_TURN_SHORT;
    if (t->count < 2 || (b->body_count == 0 && !(b->floor > 0))) return;
    int count;
    struct kw_tube_piece *pieces = kw_tube_pieces(a, t, size.od / 2, trims, &count);
    struct turn turn = {.bender = b, .front = KW_NEW_ARRAY(a, struct kw_tube_piece, count)};
    struct kw_tube_walk w = kw_tube_walk_start(t);
    double end = trims.start;
    for (int i = 0; i + 1 < t->count; i++) {
        const struct kw_tube_bend *bend = &t->bends[i], *next = bend + 1;
        w = kw_tube_walk_arc(kw_tube_walk_to_bend(w, bend), bend->radius, bend->angle);
        end += bend->straight + bend->radius * bend->angle;
        if (told_of(problems, i + 1)) continue;
        take_front(&turn, pieces, count, end, &w);
        turn.feed = next->straight;
        struct stop stop;
        enum kw_tube_turning way = choose(&turn, next->rotate, &stop);
        if (ways) ways[i + 1] = way;
        if (way != KW_TUBE_LIFT_OUT) continue;
        bool feeding = stop.kind == KW_TUBE_FEED_HITS_BODY;
        struct kw_vec3 middle = kw_scale3(kw_add3(stop.piece->a, stop.piece->b), 0.5);
        kw_tube_problem_add(problems, (struct kw_tube_problem){
                                          .kind = stop.kind,
                                          .step = -1,
                                          .straight = -1,
                                          .bend = i + 1,
                                          .measured = stop.at,
                                          .limit = feeding ? next->straight : fabs(next->rotate),
                                          .at = kw_tube_from_bender(&w, middle),
                                          .body = stop.body});
    }
}
