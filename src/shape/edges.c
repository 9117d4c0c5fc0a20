// SPDX-License-Identifier: Apache-2.0
// The edges of a face's nominal outline, and which flange stands where on them.
#include "shape/layout.h"

#define STRAIGHT_ON 1e-6 // of the unit directions of two segments that run on smoothly
#define MOST_ROUND  (170 * KW_PI / 180) // an arc that turns further is no rounded corner

static const struct kw_flange *flange_of(const struct build *b, int i) {
    return KW_ITEM(struct kw_flange, b->part->bends, i);
}

struct kw_vec2 edge_point(const struct edge *e, double x, double depth) {
    struct kw_vec2 out = kw_left2(e->along);
    return kw_sub2(kw_add2(e->origin, kw_scale2(e->along, x)), kw_scale2(out, depth));
}

void edge_from(struct edge *e, struct kw_vec2 origin) {
    double by = kw_dot2(kw_sub2(e->origin, origin), e->along);
    e->origin = origin;
    e->lo += by;
    e->hi += by;
    e->corner[0] += by;
    e->corner[1] += by;
}

double edge_taken(const struct edge *e) {
    double most = 0;
    for (int i = 0; i < e->count; i++)
        most = fmax(most, e->seats[i].depth);
    return most;
}

// ----------------------------------------------------------------------------- corners

static bool runs_on(struct kw_segment s, struct kw_segment t) {
    struct kw_vec2 d = kw_sub2(kw_segment_direction(s, 1), kw_segment_direction(t, 0));
    return kw_length2(d) <= STRAIGHT_ON;
}

static double turn_between(struct kw_vec2 d, struct kw_vec2 e) {
    return atan2(kw_cross2(d, e), kw_dot2(d, e));
}

/// The line after edge i, and how the outline turns towards it; *round is what a rounding takes
/// from both.
static int line_after(const struct edges *e, int i, double *turn, double *round) {
    int j = (i + 1) % e->count, k = (i + 2) % e->count;
    struct kw_segment s = e->v[i].line, t = e->v[j].line, u = e->v[k].line;
    *round = *turn = 0;
    if (t.radius == 0) {
        *turn = turn_between(kw_segment_direction(s, 1), kw_segment_direction(t, 0));
        return j;
    }
    if (k == i || u.radius > 0 || fabs(t.sweep) > MOST_ROUND || !runs_on(s, t) || !runs_on(t, u))
        return -1;
    *turn = t.sweep;
    *round = t.radius * tan(fabs(t.sweep) / 2);
    return k;
}

/// x of an edge: as the box's own coordinate on the four sides of the box.
static void place_x(struct edge *e, struct kw_box2 box) {
    struct kw_vec2 d = kw_segment_direction(e->line, 0.5);
    e->along = kw_scale2(d, -1);
    e->origin = e->line.b;
    if (fabs(d.y) <= STRAIGHT_ON && fabs(e->line.b.y - box.min.y) <= KW_SAME_POINT_MM && d.x > 0)
        e->origin = kw_v2(box.max.x, box.min.y), e->along = kw_v2(-1, 0);
    else if (fabs(d.x) <= STRAIGHT_ON && fabs(e->line.b.x - box.max.x) <= KW_SAME_POINT_MM &&
             d.y > 0)
        e->origin = box.max, e->along = kw_v2(0, -1);
    else if (fabs(d.y) <= STRAIGHT_ON && fabs(e->line.b.y - box.max.y) <= KW_SAME_POINT_MM &&
             d.x < 0)
        e->origin = kw_v2(box.min.x, box.max.y), e->along = kw_v2(1, 0);
    else if (fabs(d.x) <= STRAIGHT_ON && fabs(e->line.b.x - box.min.x) <= KW_SAME_POINT_MM &&
             d.y < 0)
        e->origin = box.min, e->along = kw_v2(0, 1);
    e->lo = kw_dot2(kw_sub2(e->line.b, e->origin), e->along);
    e->hi = kw_dot2(kw_sub2(e->line.a, e->origin), e->along);
}

struct edges edges_of(struct build *b, const struct kw_path *outline) {
    struct edges e = {KW_NEW_ARRAY(b->arena, struct edge, outline->count), outline->count,
                      kw_path_box(outline), outline};
    for (int i = 0; i < e.count; i++) {
        e.v[i] = (struct edge){
            .line = kw_path_segment(outline, i), .tag = outline->v[i].tag, .next = -1, .last = -1};
        if (e.v[i].line.radius > 0) continue;
        place_x(&e.v[i], e.box);
        e.v[i].corner[0] = e.v[i].lo;
        e.v[i].corner[1] = e.v[i].hi;
    }
    for (int i = 0; i < e.count && e.count > 2; i++) {
        double round;
        if (e.v[i].line.radius > 0) continue;
        int k = line_after(&e, i, &e.v[i].turn, &round);
        if (k < 0) continue;
        e.v[i].next = k;
        e.v[k].last = i;
        e.v[i].corner[0] -= round;
        e.v[k].corner[1] += round;
    }
    return e;
}

// ----------------------------------------------------------------------------- which edge

static bool lies_on(const struct edge *e, int side, struct kw_box2 box) {
    static const struct kw_vec2 along[4] = {{-1, 0}, {0, -1}, {1, 0}, {0, 1}};
    if (e->line.radius > 0 || kw_dot2(e->along, along[side]) < 1 - STRAIGHT_ON) return false;
    double off = side == KW_EDGE_FRONT   ? e->line.a.y - box.min.y
                 : side == KW_EDGE_RIGHT ? e->line.a.x - box.max.x
                 : side == KW_EDGE_BACK  ? e->line.a.y - box.max.y
                                         : e->line.a.x - box.min.x;
    return fabs(off) <= KW_SAME_POINT_MM;
}

static bool carries(const struct build *b, const struct edges *e, int i,
                    const struct kw_flange *f) {
    const struct edge *at = &e->v[i];
    if (at->line.radius > 0) return false;
    if (f->edge != KW_EDGE_OF_OUTLINE) return lies_on(at, f->edge, e->box);
    return b->part->flat ? shape_drawn_edge(e->outline, f->outline_edge) == i
                         : at->tag == f->outline_edge;
}

/// The edge of the base that a flange stands on; NULL with a finding when there is no such edge.
static struct edge *edge_for(struct build *b, struct edges *e, const struct kw_flange *f) {
    struct edge *found = NULL;
    int count = 0;
    for (int i = 0; i < e->count; i++)
        if (carries(b, e, i, f)) found = &e->v[i], count++;
    if (count == 1) return found;
    shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "along"), count, 1,
               kw_format(b->arena,
                         count ? "flange %s: more than one straight edge lies there"
                               : "flange %s: no straight edge lies there",
                         f->name),
               "name the edge by its number");
    return NULL;
}

// ----------------------------------------------------------------------------- seats

static void add_seat(struct build *b, struct edge *e, struct seat s) {
    KW_PUSH(b->arena, e->seats, e->count) = s;
    for (int j = e->count - 1; j > 0 && e->seats[j].x0 > e->seats[j - 1].x0; j--) {
        struct seat swap = e->seats[j];
        e->seats[j] = e->seats[j - 1];
        e->seats[j - 1] = swap;
    }
}

static bool starts_at_hi(const struct build *b, int flange) {
    int root = shape_root(b->part, flange)->edge;
    return root == KW_EDGE_FRONT || root == KW_EDGE_RIGHT || root == KW_EDGE_OF_OUTLINE;
}

/// The flange's flat on the blank beyond its nominal edge, and its part that leans in.
static double stands_out(const struct build *b, int i, double *leaning) {
    const struct kw_flange *f = flange_of(b, i);
    struct kw_bend sizes = {0};
    double t = b->body->thickness, zone;
    shape_flange_bend(b, &sizes, i, false);
    zone = sizes.allowance - 2 * sizes.setback;
    double last = shape_flange_height(f, &sizes, t), before = zone;
    if (sizes.kind == KW_BEND_OFFSET) {
        struct shape_step step = shape_flange_step(f, &sizes, t);
        last = step.last;
        before = step.between + 2 * zone;
    }
    *leaning = fmax(0, last - sizes.setback);
    return last + before;
}

/// Adds the outer corners of flange i, whose own edge is `from`, and of all that stand on it.
static void add_outs(struct build *b, struct seat *s, int i, struct corner_out from, int depth) {
    const struct kw_flange *f = flange_of(b, i);
    bool back = starts_at_hi(b, i);
    double leaning, out = stands_out(b, i, &leaning);
    from.out += out - leaning; // where it begins to lean
    KW_PUSH(b->arena, s->outs, s->out_count) = from;
    from.out += leaning;
    from.in[0] += leaning * tan(back ? f->taper_end : f->taper_start);
    from.in[1] += leaning * tan(back ? f->taper_start : f->taper_end);
    KW_PUSH(b->arena, s->outs, s->out_count) = from;
    for (int k = 0; k < b->part->bends.count && depth < b->part->bends.count; k++) {
        const struct kw_flange *g = flange_of(b, k);
        if (g->from_drawing || g->parent != i) continue;
        struct corner_out edge = from;
        edge.in[0] += back ? g->from_end : g->from_start;
        edge.in[1] += back ? g->from_start : g->from_end;
        add_outs(b, s, k, edge, depth + 1);
    }
}

static struct seat make_seat(struct build *b, const struct edge *e, int i) {
    const struct kw_flange *f = flange_of(b, i);
    struct kw_bend sizes = {0};
    bool back = starts_at_hi(b, i);
    shape_flange_bend(b, &sizes, i, false);
    struct seat s = {.flange = i,
                     .bend = -1,
                     .x0 = e->corner[0] + (back ? f->from_end : f->from_start),
                     .x1 = e->corner[1] - (back ? f->from_start : f->from_end),
                     .depth = sizes.setback};
    add_outs(b, &s, i, (struct corner_out){0}, 0);
    return s;
}

void edges_gather(struct build *b, struct edges *e, int parent) {
    for (int i = 0; i < b->part->bends.count; i++) {
        const struct kw_flange *f = flange_of(b, i);
        if (f->from_drawing || f->parent != parent) continue;
        struct edge *at = parent < 0 ? edge_for(b, e, f) : NULL;
        for (int k = 0; k < e->count && parent >= 0; k++)
            if (e->v[k].tag == OUTER_EDGE_TAG && e->v[k].line.radius == 0) at = &e->v[k];
        if (at) add_seat(b, at, make_seat(b, at, i));
        if (!at && parent >= 0)
            shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "along"), 0, 0,
                       kw_format(b->arena,
                                 "flange %s stands on %s, which has no straight edge left", f->name,
                                 flange_of(b, parent)->name),
                       "round the corners of the lower one less");
    }
}

void edges_second(struct build *b, struct edge *e, int flange) {
    struct kw_bend sizes = {0};
    shape_flange_bend(b, &sizes, flange, true);
    add_seat(b, e,
             (struct seat){.flange = flange,
                           .second = true,
                           .bend = -1,
                           .x0 = e->lo,
                           .x1 = e->hi,
                           .depth = sizes.setback});
}
