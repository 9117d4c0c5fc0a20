// SPDX-License-Identifier: Apache-2.0
// Dimples against bends. A dimple is flared in the flat blank, unless what stands out of it would
// run into the press brake's tools in every order: then it is flared in the bent part, which must
// still go into the shop press. Near a bend line a flare is pulled out of round, as any hole is.
#include "check/inside.h"

#define CLOSE      1e-6
#define DIRECTIONS 72 // ways to hold the part into the shop press, every 5 degrees

struct held {
    double reach;  ///< from the dimple to the part's last point towards the frame
    double height; ///< of what lies between the press's arms
};

/// All corners of the finished part as it is shipped, in the frame of one face.
static struct kw_vec3 *corners(struct kw_arena *a, const struct kw_body *body, int face,
                               int *count) {
    struct kw_move3 *fold = kw_body_fold_shipped(a, body);
    struct kw_vec3 *out = NULL, x = kw_move3_direction(fold[face], kw_v3(1, 0, 0));
    struct kw_vec3 y = kw_move3_direction(fold[face], kw_v3(0, 1, 0));
    struct kw_vec3 z = kw_move3_direction(fold[face], kw_v3(0, 0, 1)), at = fold[face].t;
    *count = 0;
    for (int f = 0; f < body->face_count; f++) {
        int n = 0;
        struct kw_vec2 *v =
            kw_path_chords(a, &body->faces[f].shape.outer, KW_CHORD_MM, KW_CHORD_OUTSIDE, &n);
        for (int i = 0; i < 2 * n; i++) {
            double deep = i < n ? 0 : -body->thickness;
            struct kw_vec3 p =
                kw_sub3(kw_move3_point(fold[f], kw_v3(v[i % n].x, v[i % n].y, deep)), at);
            KW_PUSH(a, out, *count) = kw_v3(kw_dot3(p, x), kw_dot3(p, y), kw_dot3(p, z));
        }
    }
    return out;
}

/// The part held with direction `turn` towards the frame. What lies on the hands' side of the dies
/// is not between the arms.
static struct held held_so(const struct kw_vec3 *v, int count, struct kw_vec2 c, double clear,
                           double turn) {
    struct held h = {0, 0};
    double low = INFINITY, high = -INFINITY;
    for (int i = 0; i < count; i++) {
        double along = (v[i].x - c.x) * cos(turn) + (v[i].y - c.y) * sin(turn);
        h.reach = fmax(h.reach, along);
        if (along < -clear / 2) continue;
        low = fmin(low, v[i].z);
        high = fmax(high, v[i].z);
    }
    h.height = fmax(0, high - low);
    return h;
}

static double excess(struct held h, const struct kw_shop_press *p) {
    return fmax(h.reach / fmax(p->throat, CLOSE), h.height / fmax(p->daylight, CLOSE));
}

/// The way to hold it that the press takes best.
static struct held best_hold(struct kw_arena *a, const struct kw_body *body,
                             const struct kw_dimple_spot *s, double clear,
                             const struct kw_shop_press *press) {
    int count;
    struct kw_vec3 *v = corners(a, body, s->face, &count);
    struct kw_vec2 c = kw_move2_point(kw_move2_inverse(body->faces[s->face].flat), s->at);
    struct held best = {INFINITY, INFINITY};
    for (int i = 0; i < DIRECTIONS; i++) {
        struct held h = held_so(v, count, c, clear, 2 * KW_PI * i / DIRECTIONS);
        if (i == 0 || excess(h, press) < excess(best, press) - CLOSE) best = h;
    }
    return best;
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

static void flared_after(struct checking *c, const struct kw_examined *e, int dimple) {
    const struct kw_dimple_spot *s = &e->body->dimples[dimple];
    const struct kw_dimple_die *d = KW_ITEM(struct kw_dimple_die, c->shop->dimple_dies, s->die);
    const struct kw_shop_press *p = &c->shop->shop_press;
    double clear = d->clear > 0 ? d->clear : d->flare + 2 * e->body->thickness;
    struct held h = best_hold(c->arena, e->body, s, clear, p);
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

static void near_bend(struct checking *c, const struct kw_examined *e, int dimple) {
    const struct kw_dimple_spot *s = &e->body->dimples[dimple];
    const struct kw_dimple_die *d = KW_ITEM(struct kw_dimple_die, c->shop->dimple_dies, s->die);
    for (int i = 0; i < e->body->bend_count; i++) {
        const struct kw_bend *b = &e->body->bends[i];
        double v = check_opening(c, e, i);
        double gap = kw_segment_distance(kw_segment_make(b->from, b->to, 0), s->at) - d->flare / 2;
        double least = kw_rule_limit(c->shop, "dimple-near-bend") * v;
        if (!(v > 0) || gap >= least - CLOSE) continue;
        tell(c, e, s, "dimple-near-bend", gap, least,
             kw_format(c->arena,
                       "a flare of %s is %s from the line of bend %s, which is made after it over "
                       "a %s die: %s is the least",
                       e->part->name, check_length(c, gap), b->id, check_length(c, v),
                       check_length(c, least)));
    }
}

void check_dimple_order(struct checking *c, const struct kw_examined *e) {
    for (int i = 0; e->brake && i < e->body->dimple_count; i++)
        if (e->dimple_after && e->dimple_after[i])
            flared_after(c, e, i);
        else
            near_bend(c, e, i);
}
