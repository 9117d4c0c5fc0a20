// SPDX-License-Identifier: Apache-2.0
// Dimples against bends. A dimple is flared in the flat blank, unless what stands out of it would
// run into the press brake's tools in every order: then it is flared in the bent part, which must
// still go into the shop press, or where it doesn't between two bends. Near a bend line a flare is
// pulled out of round, as any hole is.
#include "check/inside.h"

#define CLOSE      1e-6
#define DIRECTIONS 72 // ways to hold the part into the shop press, every 5 degrees

struct held {
    double reach;  ///< from the dimple to the part's last point towards the frame
    double height; ///< of what lies between the press's arms
};

struct edge {
    struct kw_vec3 end[2];
};
struct edges {
    struct edge *v;
    int count;
};

/// How far each bend of the body is turned once the first strokes of the plan are made.
static double *turns_after(struct kw_arena *a, const struct kw_examined *e, int strokes) {
    double *turns = KW_NEW_ARRAY(a, double, e->body->bend_count + 1);
    for (int s = 0; s < strokes; s++) {
        const struct kw_brake_step *step = &e->brake->steps[s];
        for (int k = 0; k < step->bend_count; k++) {
            double whole = e->body->bends[step->bends[k]].angle;
            turns[step->bends[k]] = whole > 0 ? fmin(1, step->angle / whole) : 1;
        }
    }
    return turns;
}

/// The edges of the part's flats on both faces of the sheet, in the frame of one of them.
static struct edges edges_from(struct kw_arena *a, const struct kw_body *body, const double *turns,
                               int face) {
    struct kw_move3 *fold = kw_body_fold_each(a, body, turns);
    struct kw_vec3 x = kw_move3_direction(fold[face], kw_v3(1, 0, 0));
    struct kw_vec3 y = kw_move3_direction(fold[face], kw_v3(0, 1, 0));
    struct kw_vec3 z = kw_move3_direction(fold[face], kw_v3(0, 0, 1)), at = fold[face].t;
    struct edges out = {0};
    for (int f = 0; f < body->face_count; f++) {
        int n = 0;
        struct kw_vec2 *v =
            kw_path_chords(a, &body->faces[f].shape.outer, KW_CHORD_MM, KW_CHORD_OUTSIDE, &n);
        for (int i = 0; i < 2 * n; i++) {
            struct edge *edge = &KW_PUSH(a, out.v, out.count);
            for (int k = 0; k < 2; k++) {
                struct kw_vec2 q = v[(i + k) % n];
                struct kw_vec3 on = kw_v3(q.x, q.y, i < n ? 0 : -body->thickness);
                struct kw_vec3 p = kw_sub3(kw_move3_point(fold[f], on), at);
                edge->end[k] = kw_v3(kw_dot3(p, x), kw_dot3(p, y), kw_dot3(p, z));
            }
        }
    }
    return out;
}

/// The part held with direction `turn` towards the frame. What lies on the hands' side of the dies
/// is not between the arms.
static struct held held_so(const struct edges *edges, struct kw_vec2 c, double clear, double turn) {
    struct held h = {0, 0};
    double low = INFINITY, high = -INFINITY, front = -clear / 2;
    for (int i = 0; i < edges->count; i++) {
        double out[2];
        const struct kw_vec3 *p = edges->v[i].end;
        for (int k = 0; k < 2; k++) {
            out[k] = (p[k].x - c.x) * cos(turn) + (p[k].y - c.y) * sin(turn);
            h.reach = fmax(h.reach, out[k]);
        }
        if (out[0] < front && out[1] < front) continue;
        double cut = p[0].z + (p[1].z - p[0].z) * (front - out[0]) / (out[1] - out[0]);
        for (int k = 0; k < 2; k++) {
            double up = out[k] < front ? cut : p[k].z;
            low = fmin(low, up);
            high = fmax(high, up);
        }
    }
    h.height = fmax(0, high - low);
    return h;
}

static double excess(struct held h, const struct kw_shop_press *p) {
    return fmax(h.reach / fmax(p->throat, CLOSE), h.height / fmax(p->daylight, CLOSE));
}

static double clear_of(const struct kw_shop *shop, const struct kw_body *body, int dimple) {
    const struct kw_dimple_die *d =
        KW_ITEM(struct kw_dimple_die, shop->dimple_dies, body->dimples[dimple].die);
    return kw_dimple_clear(d, body->thickness);
}

/// The way to hold it that the press takes best, with the first strokes made.
static struct held best_hold(struct kw_arena *a, const struct kw_shop *shop,
                             const struct kw_examined *e, int dimple, int strokes) {
    const struct kw_dimple_spot *s = &e->body->dimples[dimple];
    struct edges edges = edges_from(a, e->body, turns_after(a, e, strokes), s->face);
    struct kw_vec2 c = kw_move2_point(kw_move2_inverse(e->body->faces[s->face].flat), s->at);
    struct held best = {INFINITY, INFINITY};
    for (int i = 0; i < DIRECTIONS; i++) {
        struct held h =
            held_so(&edges, c, clear_of(shop, e->body, dimple), 2 * KW_PI * i / DIRECTIONS);
        if (i == 0 || excess(h, &shop->shop_press) < excess(best, &shop->shop_press) - CLOSE)
            best = h;
    }
    return best;
}

bool check_flare_fits(struct kw_arena *a, const struct kw_shop *shop, const struct kw_examined *e,
                      int dimple, int strokes) {
    struct held h = best_hold(a, shop, e, dimple, strokes);
    return h.reach <= shop->shop_press.throat + CLOSE &&
           h.height <= shop->shop_press.daylight + CLOSE;
}

int kw_check_flared_after(const struct kw_examined *what, int dimple) {
    int at = what->flare_at ? what->flare_at[dimple] : KW_FLARE_FLAT, n = 0;
    if (at == KW_FLARE_FLAT || !what->brake) return 0;
    for (n = 0; n < what->brake->step_count; n++) {
        const struct kw_brake_step *s = &what->brake->steps[n];
        for (int k = 0; k < s->bend_count; k++)
            if (s->bends[k] == at) return n + 1;
    }
    return n;
}

static void tell(struct checking *c, const struct kw_examined *e, const struct kw_dimple_spot *s,
                 const char *rule, double measured, double limit, const char *says) {
    const struct kw_hole *h = KW_ITEM(struct kw_hole, e->part->holes, s->hole);
    struct kw_finding f =
        check_finding(c, rule, e->part, check_place(h->node, "dimple"), measured, limit);
    check_at(&f, "blank", s->at.x, s->at.y, 0);
    f.says = says;
    kw_find(c->findings, f);
}

static void flared_last(struct checking *c, const struct kw_examined *e, int dimple) {
    const struct kw_dimple_spot *s = &e->body->dimples[dimple];
    const struct kw_shop_press *p = &c->shop->shop_press;
    struct held h = best_hold(c->arena, c->shop, e, dimple, e->brake->step_count);
    if (h.reach > p->throat + CLOSE || h.height > p->daylight + CLOSE) {
        bool deep = h.reach / fmax(p->throat, CLOSE) > h.height / fmax(p->daylight, CLOSE);
        tell(c, e, s, "dimple-after-bends", deep ? h.reach : h.height,
             deep ? p->throat : p->daylight,
             kw_format(c->arena,
                       "a dimple of %s runs into the brake's tools unless it is flared after the "
                       "bends, and then the part %s %s where the press has %s",
                       e->part->name, deep ? "reaches in" : "is tall",
                       check_length(c, deep ? h.reach : h.height),
                       check_length(c, deep ? p->throat : p->daylight)));
        return;
    }
    tell(c, e, s, "dimple-last", h.height, p->daylight,
         kw_format(c->arena,
                   "a dimple of %s is flared after the bends: before, it would run into the "
                   "brake's tools. The bent part goes into the press: %s tall, %s has to reach in",
                   e->part->name, check_length(c, h.height), check_length(c, h.reach)));
}

static void flared_between(struct checking *c, const struct kw_examined *e, int dimple) {
    int strokes = kw_check_flared_after(e, dimple);
    struct held h = best_hold(c->arena, c->shop, e, dimple, strokes);
    tell(c, e, &e->body->dimples[dimple], "dimple-between", h.height, c->shop->shop_press.daylight,
         kw_format(c->arena,
                   "a dimple of %s is flared between the bends, after bend %s (step %d of %d): "
                   "before, it would run into the brake's tools, and the finished part does not go "
                   "into the shop press",
                   e->part->name, e->body->bends[e->flare_at[dimple]].id, strokes,
                   e->brake->step_count));
}

/// Whether a bend is made once the dimple is there.
static bool comes_later(const struct kw_examined *e, int bend, int strokes) {
    for (int s = strokes; s < e->brake->step_count; s++)
        for (int k = 0; k < e->brake->steps[s].bend_count; k++)
            if (e->brake->steps[s].bends[k] == bend) return true;
    return false;
}

static void near_bend(struct checking *c, const struct kw_examined *e, int dimple) {
    const struct kw_dimple_spot *s = &e->body->dimples[dimple];
    const struct kw_dimple_die *d = KW_ITEM(struct kw_dimple_die, c->shop->dimple_dies, s->die);
    int strokes = kw_check_flared_after(e, dimple);
    for (int i = 0; i < e->body->bend_count; i++) {
        const struct kw_bend *b = &e->body->bends[i];
        double v = check_opening(c, e, i);
        double gap = kw_segment_distance(kw_segment_make(b->from, b->to, 0), s->at) - d->flare / 2;
        double least = kw_rule_limit(c->shop, "dimple-near-bend") * v;
        if (!(v > 0) || gap >= least - CLOSE || !comes_later(e, i, strokes)) continue;
        tell(c, e, s, "dimple-near-bend", gap, least,
             kw_format(c->arena,
                       "a flare of %s is %s from the line of bend %s, which is made after it over "
                       "a %s die: %s is the least",
                       e->part->name, check_length(c, gap), b->id, check_length(c, v),
                       check_length(c, least)));
    }
}

void check_dimple_order(struct checking *c, const struct kw_examined *e) {
    for (int i = 0; e->brake && i < e->body->dimple_count; i++) {
        int at = e->flare_at ? e->flare_at[i] : KW_FLARE_FLAT;
        if (at == KW_FLARE_LAST) flared_last(c, e, i);
        if (at >= 0) flared_between(c, e, i);
        if (at != KW_FLARE_LAST) near_bend(c, e, i);
    }
}
