// SPDX-License-Identifier: Apache-2.0
// Ends of flanges at the corners of a face. With w the width of a relief notch, D a flange's depth
// (setback), B the bottom of its notch, a the turn of the corner, places (s, d) as in layout.h:
//
//   two flanges, a > 20 deg      each ends w (or more, so that w lies between their ends) past the
//                                crossing of the tangent lines, which is the corner of the flat
//   two flanges, a near 0        one notch for both
//   two flanges, inner corner    each keeps to its own side of the line that halves the corner
//   one flange, room enough      its own notch, the corner stands
//   one flange, little room      the notch runs out to the neighbour's line
//
// The neighbour's line is d cos a = -s sin a: at depth d it lies at s = -d / tan a.
#include "shape/layout.h"

#define RIGHT_ANGLE  (KW_PI / 2)
#define NEARLY_RIGHT (80 * KW_PI / 180)
#define NEARLY_FLAT  (20 * KW_PI / 180)
#define HALF_RIGHT   (KW_PI / 4)
#define INNER_SHARED (60 * KW_PI / 180) // inner corners up to here may share one notch
#define ANGLE_SLACK  1e-9

/// One end of the outermost flange on an edge.
struct corner_end {
    struct edge *e;
    int end;           // 0: lo, 1: hi
    struct seat *seat; // NULL: none stands there
    const struct edge *other;
    double turn, round;
};

static struct corner_end end_of(struct edges *es, int i, int end) {
    struct edge *e = &es->v[i];
    int other = end == 0 ? e->next : e->last;
    struct corner_end c = {.e = e, .end = end};
    if (e->count > 0) c.seat = end == 0 ? &e->seats[e->count - 1] : &e->seats[0];
    c.other = other >= 0 ? &es->v[other] : NULL;
    if (other >= 0) c.turn = end == 0 ? e->turn : es->v[other].turn;
    c.round = end == 0 ? e->lo - e->corner[0] : e->corner[1] - e->hi;
    return c;
}

/// How far the seat's end lies from the corner.
static double kept(const struct corner_end *c) {
    return c->end == 0 ? c->seat->x0 - c->e->corner[0] : c->e->corner[1] - c->seat->x1;
}

static void keep_at_least(struct corner_end *c, double s) {
    if (c->end == 0)
        c->seat->x0 = fmax(c->seat->x0, c->e->corner[0] + s);
    else
        c->seat->x1 = fmin(c->seat->x1, c->e->corner[1] - s);
}

static double bottom(const struct build *b, const struct seat *s) {
    return s->depth + b->past;
}

static double furthest(const struct seat *s) {
    double most = 0;
    for (int i = 0; i < s->out_count; i++)
        most = fmax(most, s->outs[i].out);
    return most;
}

/// What the end keeps so that none of the row's outer corners passes a line that comes in by
/// `slope` for each mm out, up to `most` out.
static double keep_outs(const struct corner_end *c, double slope, double most) {
    double keep = 0;
    for (int i = 0; i < c->seat->out_count; i++) {
        const struct corner_out *o = &c->seat->outs[i];
        keep = fmax(keep, slope * fmin(o->out, most) - o->in[c->end]);
    }
    return keep;
}

// ----------------------------------------------------------------------------- one flange

/// Beside a curve that is no rounding: clear of it from the notch's bottom to the flange's edge.
/// Where the curve turns off sharply, a land as wide as the thickness stays.
static double keep_from_curve(const struct build *b, const struct edges *es,
                              const struct corner_end *c) {
    int i = (int)(c->e - es->v), steps = 256;
    int k = c->end == 0 ? (i + 1) % es->count : (i + es->count - 1) % es->count;
    const struct kw_segment arc = es->v[k].line;
    double low = bottom(b, c->seat) + b->relief, high = -furthest(c->seat) - b->relief, most = 0;
    double near = fmin(1, 2 * (low - high) / kw_segment_length(arc));
    struct kw_vec2 out = kw_left2(c->e->along);
    for (int n = 0; n <= steps; n++) {
        double at = near * n / steps;
        struct kw_vec2 p = kw_segment_point(arc, c->end == 0 ? at : 1 - at);
        p = kw_sub2(p, c->e->origin);
        double x = kw_dot2(p, c->e->along), d = -kw_dot2(p, out);
        if (d > low || d < high) continue;
        most = fmax(most, c->end == 0 ? x - c->e->lo : c->e->hi - x);
    }
    double turn = fabs(kw_cross2(c->e->along, kw_segment_direction(arc, c->end == 0 ? 0 : 1)));
    return most + b->relief + (turn > sin(HALF_RIGHT) || most > 0 ? b->body->thickness : 0);
}

static double line_length(const struct edge *e) {
    return e->corner[1] - e->corner[0];
}

/// What one flange keeps from a corner whatever stands on the other side.
static double keep_alone(const struct build *b, const struct edges *es,
                         const struct corner_end *c) {
    if (!c->other) return keep_from_curve(b, es, c);
    double w = b->relief, a = c->turn, keep = 0;
    if (a > RIGHT_ANGLE + ANGLE_SLACK) keep = -c->seat->depth / tan(a);
    if (a < -HALF_RIGHT) keep = w;
    if (a < -RIGHT_ANGLE - ANGLE_SLACK)
        keep += keep_outs(c, 1 / fabs(tan(a)), line_length(c->other) * fabs(sin(a)));
    if (c->round > 0) {
        keep = fmax(keep, c->round + w);
        if (a > RIGHT_ANGLE)
            keep = fmax(keep, w + b->body->thickness - bottom(b, c->seat) / tan(a));
    } else if (a > 0 && a < NEARLY_RIGHT && line_length(c->other) < 4 * (w + bottom(b, c->seat))) {
        keep = fmax(keep, w); // a chamfer: let it whole
    }
    return keep;
}

/// The notch runs out to the neighbour's line where the land between would be narrower than the
/// thickness.
static void cut_away(const struct build *b, struct corner_end *c) {
    if (!c->seat || !c->other || c->round > 0 || c->e->ends[c->end].done) return;
    double s = kept(c), a = c->turn, t = b->body->thickness, low = bottom(b, c->seat);
    double beside = a > RIGHT_ANGLE + ANGLE_SLACK ? -low / tan(a) : 0;
    if (s - b->relief - beside > t + ANGLE_SLACK) return;
    struct cut *cut = &c->e->ends[c->end];
    double wall = fmin(0, s - b->relief);
    cut->done = true;
    bool right = fabs(a - RIGHT_ANGLE) < 1e-6;
    double meets = right ? 0 : -low / tan(a); // the neighbour's line at the bottom
    if (a > 0 && (right || meets >= wall - t)) {
        double at = right ? 0 : -c->seat->depth / tan(a);
        if (s - at <= KW_SAME_POINT_MM || meets >= s - KW_SAME_POINT_MM) {
            cut->v[cut->count++] = kw_v2(at, c->seat->depth); // along the tangent line
        } else {
            cut->v[cut->count++] = kw_v2(s, low);
            cut->v[cut->count++] = kw_v2(meets, low);
        }
        return;
    }
    cut->v[cut->count++] = kw_v2(s, low);
    cut->v[cut->count++] = kw_v2(wall, low);
    cut->v[cut->count++] = kw_v2(wall, -wall * tan(a));
}

// ----------------------------------------------------------------------------- two flanges

/// Whether the notch of `c` leaves a land beyond the bend zone and notch of the other.
static bool stands_clear(const struct build *b, const struct corner_end *c,
                         const struct seat *other) {
    double nearest =
        (kept(c) - b->relief) * sin(c->turn) + fmin(0, bottom(b, c->seat) * cos(c->turn));
    return nearest >= bottom(b, other) + b->body->thickness;
}

/// Cut away to the crossing of the tangent lines.
static void open_corner(const struct build *b, struct corner_end *f, struct corner_end *g) {
    double a = f->turn, w = b->relief * fmax(1, 1 / (2 * cos(a / 2)));
    double fs = (g->seat->depth - f->seat->depth * cos(a)) / sin(a);
    double gs = (f->seat->depth - g->seat->depth * cos(a)) / sin(a);
    keep_at_least(f, fs + w);
    keep_at_least(g, gs + w);
    f->e->ends[0] = (struct cut){.done = true, .v = {{fs, f->seat->depth}}, .count = 1};
    g->e->ends[1] = (struct cut){.done = true};
}

static void share_notch(const struct build *b, struct corner_end *f, struct corner_end *g) {
    double half = fabs(f->turn) / 2, low = fmax(bottom(b, f->seat), bottom(b, g->seat));
    double keep = b->relief / 2 / cos(half) + (f->turn > 0 ? low * tan(half) : 0);
    keep_at_least(f, keep);
    keep_at_least(g, keep);
    double between = kept(f) + kept(g);
    if (between > 2 * b->relief + b->body->thickness + (f->turn > 0 ? 2 * low * tan(half) : 0))
        return;
    f->e->ends[0] = (struct cut){.done = true, .v = {{kept(f), low}}, .count = 1};
    g->e->ends[1] = (struct cut){.done = true, .v = {{kept(g), low}}, .count = 1};
}

static double keep_of_half(const struct build *b, const struct corner_end *c) {
    return b->relief / 2 / cos(c->turn / 2) + keep_outs(c, tan(fabs(c->turn) / 2), INFINITY);
}

static void settle_pair(const struct build *b, struct corner_end *f, struct corner_end *g) {
    double a = f->turn;
    if (a > NEARLY_FLAT) {
        if (!stands_clear(b, f, g->seat) && !stands_clear(b, g, f->seat)) open_corner(b, f, g);
        return;
    }
    if (a < 0) {
        keep_at_least(f, keep_of_half(b, f));
        keep_at_least(g, keep_of_half(b, g));
    }
    if (fabs(a) <= INNER_SHARED) share_notch(b, f, g);
}

// ----------------------------------------------------------------------------- closed corners

static const struct kw_flange *flange_at(const struct build *b, const struct corner_end *c) {
    return KW_ITEM(struct kw_flange, b->part->bends, c->seat->flange);
}

static bool is_square(const struct kw_flange *f) {
    return f->hem == KW_NO_HEM && f->offset == 0 && !f->by_hand.node &&
           fabs(f->turn - RIGHT_ANGLE) < 1e-6;
}

/// The end's distance from the corner when closed: x = 0 is the neighbour's outside.
static double closed_end(const struct build *b, const struct kw_flange *f) {
    return f->corners == KW_CORNERS_COVER ? 0 : b->body->thickness + f->corner_gap;
}

/// Why the corner of two flanges can't be closed, or NULL.
static const char *why_open(const struct corner_end *c, const struct kw_flange *f,
                            const struct kw_flange *g) {
    if (!is_square(f) || !is_square(g) || fabs(c->turn - RIGHT_ANGLE) > 1e-6)
        return "both must turn by 90 degrees at a corner of 90 degrees";
    if (f->way != g->way) return "one goes up and the other down";
    if (f->corners == KW_CORNERS_COVER && g->corners == KW_CORNERS_COVER)
        return "each covers the other";
    return NULL;
}

/// The flat of `c` reaches on above its bend to the flange that shares the corner.
static void close_corner(struct build *b, struct corner_end *c, const struct corner_end *other) {
    const struct kw_flange *f = flange_at(b, c), *g = flange_at(b, other);
    if (f->corners == KW_CORNERS_BY_RELIEF) return;
    const char *why = why_open(c, f, g);
    if (why)
        shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "corners"), 0, 0,
                   kw_format(b->arena, "the corner of flanges %s and %s can't be closed: %s",
                             f->name, g->name, why),
                   "leave the corner to the reliefs, or change the two flanges");
    else
        c->seat->grows[c->end] = fmax(0, kept(c) - closed_end(b, f));
}

// ----------------------------------------------------------------------------- all

static void check_seats(struct build *b, const struct edge *e) {
    for (int i = 0; i < e->count; i++) {
        const struct seat *s = &e->seats[i];
        const struct kw_flange *f = KW_ITEM(struct kw_flange, b->part->bends, s->flange);
        if (!(s->x1 - s->x0 > 1))
            shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "along"), s->x1 - s->x0, 1,
                       kw_format(b->arena,
                                 "nothing is left of flange %s between the ends of its "
                                 "edge",
                                 f->name),
                       "let it keep less from the ends, or make the edge longer");
        if (i == 0 || e->seats[i - 1].x0 - s->x1 > b->body->thickness) continue;
        const struct kw_flange *g =
            KW_ITEM(struct kw_flange, b->part->bends, e->seats[i - 1].flange);
        shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "along"),
                   e->seats[i - 1].x0 - s->x1, b->body->thickness,
                   kw_format(b->arena, "flanges %s and %s along one edge overlap or touch", f->name,
                             g->name),
                   "leave at least a notch between them");
    }
}

/// Corners that a cut passes by are no corners of the flat, nor are the roundings there.
static void mark_gone(struct edges *es, int i) {
    if (es->v[i].next < 0) return;
    bool cut = es->v[i].ends[0].done || es->v[es->v[i].next].ends[1].done;
    for (int k = (i + 1) % es->count; cut; k = (k + 1) % es->count) {
        es->v[k].gone = true;
        if (k == es->v[i].next) return;
    }
}

void edges_settle(struct build *b, struct edges *es) {
    for (int i = 0; i < es->count; i++)
        for (int end = 0; end < 2; end++) {
            struct corner_end c = end_of(es, i, end);
            if (c.seat) keep_at_least(&c, keep_alone(b, es, &c));
        }
    for (int i = 0; i < es->count; i++) {
        if (es->v[i].next < 0) continue;
        struct corner_end f = end_of(es, i, 0), g = end_of(es, es->v[i].next, 1);
        if (f.seat && g.seat) settle_pair(b, &f, &g);
    }
    for (int i = 0; i < es->count; i++)
        for (int end = 0; end < 2; end++) {
            struct corner_end c = end_of(es, i, end);
            cut_away(b, &c);
        }
    for (int i = 0; i < es->count; i++) {
        if (es->v[i].next < 0) continue;
        struct corner_end f = end_of(es, i, 0), g = end_of(es, es->v[i].next, 1);
        bool shared =
            f.seat && g.seat && f.turn > NEARLY_FLAT && f.e->ends[0].done && g.e->ends[1].done;
        if (shared) close_corner(b, &f, &g);
        if (shared) close_corner(b, &g, &f);
    }
    for (int i = 0; i < es->count; i++) {
        mark_gone(es, i);
        check_seats(b, &es->v[i]);
    }
}
