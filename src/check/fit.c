// SPDX-License-Identifier: Apache-2.0
// Ends that follow from the assembled kit: where a round tube stands with an end that is coped
// `onto` a part, the angle, offset, turn and length come from where the two stand. Onto round tube
// or rod it is a saddle, onto sheet, square tube or flat bar a flat cut.
#include "check/inside.h"

#include <string.h>

#define DEGREES    (180 / KW_PI)
#define SAME_MM    0.01 // pieces of one part may differ by so much
#define SAME_RAD   1e-4
#define TOLD_MM    (KW_MM_PER_IN / 64) // less is no difference worth a word
#define TOLD_RAD   (0.05 * KW_PI / 180)
#define LEAST_LEAN (KW_PI / 180) // nearer to parallel there is no meeting point

/// A straight centreline that something may be coped onto, product frame.
struct limb {
    struct kw_vec3 from, to;
};

/// An end of a tube: the end of its centreline, the way out of it, and the reference line's side.
struct tube_end {
    struct kw_vec3 at, out, reference;
    double back; ///< mm: half the straight behind it; what is met is not further back than that
};

/// What one end becomes in one standing.
struct fitted {
    bool meets;
    double miss;    ///< mm by which it passes what it is to meet
    double along;   ///< mm from the end as written to the longest point of the cut
    double nearest; ///< mm to where the axes pass each other, for choosing among several
    struct kw_fitted_cut fit;
    struct kw_vec3 where;
};

struct fitting {
    struct checking *c;
    struct kw_part *part; ///< the coped one
    int end;
};

static struct kw_vec3 along3(struct kw_vec3 v, double s, struct kw_vec3 w) {
    return kw_add3(v, kw_scale3(w, s));
}

static struct kw_vec3 unit3(struct kw_vec3 v) {
    return kw_scale3(v, 1 / kw_length3(v));
}

// --------------------------------------------------------------------------------- where tubes lie

/// The tube's table in its own frame, as written; a straight tube lies along x, its section behind
/// and above the origin.
static bool table_of(struct checking *c, const struct kw_part *part, struct kw_tube_table *t) {
    if (check_is_bent(part)) return check_tube_table(c, part, t);
    if (!kw_tube_table_from_rows(c->arena, NULL, 0, part->length, t, NULL)) return false;
    double h = part->stock.height > 0 ? part->stock.height : part->stock.width;
    t->start = kw_v3(0, part->stock.width / 2, h / 2);
    t->side = kw_v3(0, 0, -1); // the reference line lies on top, opposite the side
    return true;
}

/// The outside of the first bend, carried along the tube to its end as a scribed line is.
static struct tube_end end_of(const struct kw_tube_table *t, int end, struct kw_move3 m) {
    struct kw_vec3 along = t->along, side = t->side, from, to;
    kw_tube_straight_ends(t, end ? t->count : 0, &from, &to);
    for (int i = 0; end && i < t->count; i++) {
        // The bend's own side is the line's, turned by all rotations so far; only that turns.
        struct kw_vec3 third = kw_cross3(along, side);
        double turned = 0;
        for (int k = 1; k <= i; k++)
            turned += t->bends[k].rotate;
        struct kw_vec3 bend = along3(kw_scale3(side, cos(turned)), sin(turned), third);
        struct kw_vec3 axis = kw_cross3(along, bend);
        struct kw_move3 turn = kw_move3_turn(kw_v3(0, 0, 0), axis, t->bends[i].angle);
        along = kw_move3_direction(turn, along);
        side = kw_move3_direction(turn, side);
    }
    return (struct tube_end){
        kw_move3_point(m, end ? to : from), kw_move3_direction(m, kw_scale3(along, end ? 1 : -1)),
        kw_move3_direction(m, kw_scale3(side, -1)), kw_length3(kw_sub3(to, from)) / 2};
}

// ------------------------------------------------------------------------------------- one meeting

/// The cut whose first line lies along x: the turn from the reference line, as the engine counts
/// it.
static double turn_of(const struct tube_end *e, struct kw_vec3 x) {
    double turn = atan2(kw_dot3(x, kw_cross3(e->out, e->reference)), kw_dot3(x, e->reference));
    return fabs(turn) < 1e-9 ? 0 : turn;
}

static double tip_of(const struct fitting *f, const struct kw_fitted_cut *fit) {
    struct kw_tube_end cut = {.cope = {fit->onto, fit->angle, fit->offset}, .miter = fit->miter};
    return kw_tube_end_tip(&cut, f->part->stock.width / 2);
}

/// Onto a round limb of diameter `onto`.
static struct fitted onto_limb(const struct fitting *f, const struct tube_end *e, struct limb limb,
                               double onto) {
    struct fitted r = {.miss = INFINITY, .nearest = INFINITY};
    struct kw_vec3 u = kw_sub3(limb.to, limb.from), d = e->out;
    double length = kw_length3(u), radius = f->part->stock.width / 2;
    if (!(length > 0)) return r;
    u = kw_scale3(u, 1 / length);
    if (kw_dot3(u, d) < -1e-12) u = kw_scale3(u, -1);
    double lean = atan2(kw_length3(kw_cross3(u, d)), kw_dot3(u, d));
    if (lean < LEAST_LEAN) return r;
    // Closest points of the two axes: w on the tube's, m on the limb's.
    struct kw_vec3 between = kw_sub3(limb.from, e->at), n = kw_cross3(d, u);
    double nn = kw_dot3(n, n);
    double s = kw_dot3(kw_cross3(between, u), n) / nn, q = kw_dot3(kw_cross3(between, d), n) / nn;
    struct kw_vec3 w = along3(e->at, s, d), m = along3(limb.from, q, u);
    double beyond = fmax(-kw_dot3(kw_sub3(m, limb.from), unit3(kw_sub3(limb.to, limb.from))),
                         -kw_dot3(kw_sub3(m, limb.to), unit3(kw_sub3(limb.from, limb.to))));
    // Square to it, either side of the limb is alike: the one nearer to the reference line.
    struct kw_vec3 y = unit3(along3(u, -kw_dot3(u, d), d)), x = kw_cross3(y, d);
    if (fabs(kw_dot3(u, d)) < 1e-9 && kw_dot3(x, e->reference) < -1e-9) x = kw_scale3(x, -1);
    double offset = kw_dot3(kw_sub3(m, w), x);
    if (fabs(offset) < 1e-9) offset = 0;
    r.fit = (struct kw_fitted_cut){true, onto, fmin(lean, KW_PI / 2), offset, 0, turn_of(e, x)};
    r.nearest = fabs(s);
    r.where = m;
    r.miss = fmax(fabs(offset) - onto / 2 - radius, beyond - onto);
    r.miss = fmax(r.miss, -s - e->back);
    r.meets = r.miss < 0;
    if (r.meets) r.along = s + tip_of(f, &r.fit);
    return r;
}

/// Onto a flat face: `n` its outward normal, `on` a point of it.
static struct fitted onto_plane(const struct fitting *f, const struct tube_end *e,
                                struct kw_vec3 on, struct kw_vec3 n) {
    struct fitted r = {.miss = INFINITY, .nearest = INFINITY};
    double down = -kw_dot3(n, e->out);
    if (down < sin(LEAST_LEAN)) return r; // it looks away, or along
    double s = kw_dot3(kw_sub3(e->at, on), n) / down;
    struct kw_vec3 y = along3(n, down, e->out);
    double slant = kw_length3(y);
    r.fit = (struct kw_fitted_cut){.is = true};
    if (slant > 1e-9) {
        r.fit.miter = atan2(slant, down);
        r.fit.turn = turn_of(e, kw_cross3(kw_scale3(y, 1 / slant), e->out));
    }
    r.nearest = fabs(s);
    r.where = along3(e->at, s, e->out);
    r.meets = s > -e->back;
    r.along = s + tip_of(f, &r.fit);
    return r;
}

/// The better of two meetings: the nearer one, else the one that misses by less.
static void keep_nearer(struct fitted *best, struct fitted r) {
    if (r.meets != best->meets ? r.meets
                               : (r.meets ? r.nearest < best->nearest : r.miss < best->miss))
        *best = r;
}

// --------------------------------------------------------------------------------- one other piece

static void onto_tube(const struct fitting *f, const struct tube_end *e,
                      const struct kw_part *other, struct kw_move3 m, struct fitted *best) {
    struct kw_tube_table t;
    if (!table_of(f->c, other, &t)) return;
    for (int i = 0; i <= t.count; i++) {
        struct limb limb;
        kw_tube_straight_ends(&t, i, &limb.from, &limb.to);
        limb.from = kw_move3_point(m, limb.from);
        limb.to = kw_move3_point(m, limb.to);
        keep_nearer(best, onto_limb(f, e, limb, other->stock.width));
    }
}

static void onto_sheet(const struct fitting *f, const struct tube_end *e,
                       const struct kw_body *body, struct kw_move3 place, struct fitted *best) {
    struct kw_move3 *fold = kw_body_fold(f->c->arena, body, 1);
    for (int i = 0; i < body->face_count; i++) {
        struct kw_move3 m = kw_move3_then(fold[i], place);
        struct kw_vec3 zero = kw_move3_point(m, kw_v3(0, 0, 0));
        struct kw_vec3 axis[3] = {kw_move3_direction(m, kw_v3(1, 0, 0)),
                                  kw_move3_direction(m, kw_v3(0, 1, 0)),
                                  kw_move3_direction(m, kw_v3(0, 0, 1))};
        for (int top = 0; top < 2; top++) {
            struct kw_vec3 n = top ? axis[2] : kw_scale3(axis[2], -1);
            struct kw_vec3 on = top ? zero : along3(zero, -body->thickness, axis[2]);
            struct fitted r = onto_plane(f, e, on, n);
            struct kw_vec3 at = kw_sub3(r.where, zero);
            struct kw_vec2 flat = {kw_dot3(at, axis[0]), kw_dot3(at, axis[1])};
            if (!r.meets || !kw_path_contains(&body->faces[i].shape.outer, flat)) continue;
            keep_nearer(best, r);
        }
    }
}

/// Onto one of the four long sides of a square tube or flat bar, which lies along x, its section
/// behind and above.
static void onto_bar(const struct fitting *f, const struct tube_end *e, const struct kw_part *other,
                     struct kw_move3 m, struct fitted *best) {
    double size[3] = {other->length, other->stock.width,
                      other->stock.height > 0 ? other->stock.height : other->stock.thickness};
    struct kw_vec3 zero = kw_move3_point(m, kw_v3(0, 0, 0));
    struct kw_vec3 axis[3] = {kw_move3_direction(m, kw_v3(1, 0, 0)),
                              kw_move3_direction(m, kw_v3(0, 1, 0)),
                              kw_move3_direction(m, kw_v3(0, 0, 1))};
    for (int k = 1; k <= 2; k++)
        for (int far = 0; far < 2; far++) {
            struct kw_vec3 n = far ? axis[k] : kw_scale3(axis[k], -1);
            struct fitted r = onto_plane(f, e, along3(zero, far ? size[k] : 0, axis[k]), n);
            int across = 3 - k; // the side's other direction
            double x = kw_dot3(kw_sub3(r.where, zero), axis[0]);
            double y = kw_dot3(kw_sub3(r.where, zero), axis[across]);
            if (r.meets && x >= 0 && x <= size[0] && y >= 0 && y <= size[across])
                keep_nearer(best, r);
        }
}

static bool is_round(const struct kw_part *part) {
    return part->stock.kind == KW_ROUND_TUBE || part->stock.kind == KW_ROUND_ROD;
}

static struct kw_body *body_of(struct checking *c, const struct kw_part *part) {
    struct kw_findings nowhere = {.arena = c->arena}; // told when the part itself is examined
    struct kw_body *body = NULL;
    kw_body_make(c->arena, c->shop, c->kit, part, &nowhere, &body);
    return body;
}

/// One end of one standing against every piece of the part it goes onto.
static struct fitted fit_end(const struct fitting *f, const struct kw_standing *s,
                             const struct kw_tube_table *t, const struct kw_part *other) {
    struct fitted best = {.miss = INFINITY, .nearest = INFINITY};
    struct tube_end e = end_of(t, f->end, kw_standing_place(s, NULL));
    best.where = e.at;
    struct kw_body *body = other->stock.kind == KW_SHEET ? body_of(f->c, other) : NULL;
    for (int i = 0; i < f->c->kit->assembly.count; i++) {
        const struct kw_standing *o = KW_ITEM(struct kw_standing, f->c->kit->assembly, i);
        if (o == s || strcmp(o->part, other->name) != 0) continue;
        struct kw_move3 m = kw_standing_place(o, body);
        if (body)
            onto_sheet(f, &e, body, m, &best);
        else if (is_round(other))
            onto_tube(f, &e, other, m, &best);
        else if (other->stock.kind != KW_SHEET)
            onto_bar(f, &e, other, m, &best);
    }
    return best;
}

// ------------------------------------------------------------------------------------- one part

static const char *end_name(int end) {
    return end ? "end" : "start";
}

static void tell(const struct fitting *f, const char *rule, const char *unit, const char *key,
                 double measured, double limit, const struct kw_vec3 *at, const char *says) {
    const struct kw_end *e = f->end ? &f->part->ends.end : &f->part->ends.start;
    struct kw_finding k =
        check_finding(f->c, rule, f->part, check_place(e->cope.node, key), measured, limit);
    k.unit = unit;
    k.says = says;
    if (at) check_at(&k, "product", at->x, at->y, at->z);
    kw_find(f->c->findings, k);
}

static void tell_miss(const struct fitting *f, const struct kw_standing *s, const char *other,
                      const struct fitted *r) {
    const char *by = isinf(r->miss)
                         ? ""
                         : kw_format(f->c->arena, ", it passes by %s", check_length(f->c, r->miss));
    tell(f, "cope-meets-nothing", "mm", "onto", isinf(r->miss) ? 0 : r->miss, 0, &r->where,
         kw_format(f->c->arena, "the %s of piece %s meets no %s where it stands%s",
                   end_name(f->end), s->name, other, by));
}

/// Whether two standings ask for the same cut; the largest difference in mm.
static bool same_cut(const struct fitting *f, const struct fitted *a, const struct fitted *b,
                     double *off) {
    double radius = f->part->stock.width / 2;
    double turn = remainder(a->fit.turn - b->fit.turn, 2 * KW_PI);
    double lean = fabs(a->fit.angle - b->fit.angle) + fabs(a->fit.miter - b->fit.miter);
    // Square and in the middle, a saddle turned half round is the same.
    bool even = a->fit.offset == 0 && a->fit.onto > 0 && a->fit.angle > KW_PI / 2 - SAME_RAD;
    if (even) turn = remainder(turn, KW_PI);
    if (a->fit.onto == 0 && a->fit.miter == 0) turn = 0;
    double shift = fmax(fabs(a->along - b->along), fabs(a->fit.offset - b->fit.offset));
    *off = fmax(shift, radius * fmax(fabs(turn), lean));
    return shift <= SAME_MM && fabs(turn) <= SAME_RAD && lean <= SAME_RAD;
}

/// What the kit file says of angle and offset, where that is something else.
static void tell_said(const struct fitting *f, const struct kw_cope *said,
                      const struct kw_fitted_cut *fit) {
    double angle = fit->onto > 0 ? fit->angle : KW_PI / 2 - fit->miter;
    if (kw_node_get(said->node, "angle") && fabs(said->angle - angle) > TOLD_RAD)
        tell(f, "follows-assembly", "deg", "angle", said->angle * DEGREES, angle * DEGREES, NULL,
             kw_format(f->c->arena,
                       "the %s of %s meets %s at %.1f deg where it stands, the file "
                       "says %.1f deg",
                       end_name(f->end), f->part->name, said->onto, angle * DEGREES,
                       said->angle * DEGREES));
    double off = fabs(fabs(said->offset) - fabs(fit->offset));
    if (kw_node_get(said->node, "offset") && off > TOLD_MM)
        tell(f, "follows-assembly", "mm", "offset", fabs(said->offset), fabs(fit->offset), NULL,
             kw_format(f->c->arena,
                       "the %s of %s passes the middle of %s by %s where it stands, "
                       "the file says %s",
                       end_name(f->end), f->part->name, said->onto,
                       check_length(f->c, fabs(fit->offset)),
                       check_length(f->c, fabs(said->offset))));
}

static void fit_part_end(struct fitting *f, const struct kw_tube_table *t) {
    struct kw_end *end = f->end ? &f->part->ends.end : &f->part->ends.start;
    const struct kw_part *other =
        end->cope.node && end->cope.onto ? kw_kit_part(f->c->kit, end->cope.onto) : NULL;
    if (!other) return; // a diameter
    struct fitted first = {0};
    const struct kw_standing *by = NULL;
    for (int i = 0; i < f->c->kit->assembly.count; i++) {
        const struct kw_standing *s = KW_ITEM(struct kw_standing, f->c->kit->assembly, i);
        if (strcmp(s->part, f->part->name) != 0) continue;
        struct fitted r = fit_end(f, s, t, other);
        double off;
        if (!r.meets) {
            tell_miss(f, s, other->name, &r);
        } else if (!by) {
            first = r;
            by = s;
        } else if (!same_cut(f, &first, &r, &off)) {
            tell(f, "pieces-need-other-ends", "mm", "onto", off, SAME_MM, &r.where,
                 kw_format(
                     f->c->arena,
                     "pieces %s and %s of %s need different cuts at the %s: they differ by %s",
                     by->name, s->name, f->part->name, end_name(f->end), check_length(f->c, off)));
        }
    }
    if (!by && !is_round(other) && f->c->kit->assembly.count == 0)
        tell(f, "cope-meets-nothing", "mm", "onto", 0, 0, NULL,
             kw_format(f->c->arena,
                       "the %s of %s goes onto a flat face, and no assembly says where the "
                       "two stand",
                       end_name(f->end), f->part->name));
    if (!by) return;
    end->fit = first.fit;
    f->part->longer[f->end] = first.along;
    tell_said(f, &end->cope, &first.fit);
}

void check_fits(struct checking *c, struct kw_kit *kit) {
    for (int i = 0; i < kit->parts.count; i++) { // asked for again: as if for the first time
        struct kw_part *p = KW_ITEM(struct kw_part, kit->parts, i);
        p->longer[0] = p->longer[1] = 0;
        p->ends.start.fit = p->ends.end.fit = (struct kw_fitted_cut){0};
    }
    for (int i = 0; i < kit->parts.count; i++) {
        struct kw_part *p = KW_ITEM(struct kw_part, kit->parts, i);
        struct kw_tube_table t;
        if (!p->ends.start.cope.node && !p->ends.end.cope.node) continue;
        if (p->stock.kind != KW_ROUND_TUBE || !table_of(c, p, &t)) continue;
        double longer[2];
        for (int end = 0; end < 2; end++) {
            struct fitting f = {c, p, end};
            fit_part_end(&f, &t); // onto others as written, so that the order makes no difference
            longer[end] = p->longer[end];
            p->longer[end] = 0;
        }
        memcpy(p->longer, longer, sizeof longer);
    }
}

/// Holes that leave a piece which is shorter where it stands than the file says.
static void tell_holes(struct checking *c, const struct kw_examined *e, double length) {
    for (int i = 0; i < e->part->drill.count; i++) {
        const struct kw_drill *d = KW_ITEM(struct kw_drill, e->part->drill, i);
        bool start = d->from_start.count > 0;
        const struct kw_items *v = start ? &d->from_start : &d->from_end;
        for (int k = 0; k < v->count; k++) {
            double at = *KW_ITEM(double, *v, k);
            if (at <= length - d->size / 2) continue;
            struct kw_place where = check_place(d->node, start ? "from_start" : "from_end");
            struct kw_finding f =
                check_finding(c, "hole-off-tube", e->part, where, at, length - d->size / 2);
            f.says = kw_format(c->arena,
                               "a hole of %s at %s leaves %s, which is %s long where it "
                               "stands",
                               check_length(c, d->size), check_length(c, at), e->part->name,
                               check_length(c, length));
            kw_find(c->findings, f);
        }
    }
}

void check_tell_length(struct checking *c, const struct kw_examined *e) {
    double by = e->part->longer[0] + e->part->longer[1], said = e->part->length;
    const struct kw_end *start = &e->part->ends.start, *end = &e->part->ends.end;
    if ((!start->fit.is && !end->fit.is) || check_is_bent(e->part) || fabs(by) <= TOLD_MM) return;
    struct kw_finding f = check_finding(c, "follows-assembly", e->part,
                                        check_place(e->part->node, "length"), said, said + by);
    tell_holes(c, e, said + by);
    f.says = kw_format(c->arena, "%s is sawn to %s where it stands, the file says %s",
                       e->part->name, check_length(c, said + by), check_length(c, said));
    kw_find(c->findings, f);
}
