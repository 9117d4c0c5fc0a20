// SPDX-License-Identifier: Apache-2.0
// A base with flanges, and flanges on flanges: where each flange sits on its edge, and the flat
// part of every face. An edge is walked as the outline runs (counter-clockwise), against its x.
//
//        x = hi                     x = lo          depth 0 ......... nominal edge, outside size
//   ─────┐   ┌─ attach (tangent) ─┐   ┌─────        depth S ......... tangent line
//        └───┘                    └───┘             depth S + past .. bottom of the notch
//        relief                   relief
#include "shape/inside.h"

#define MOST_SEATS 64 // flanges along one edge

/// A flange on its edge, as the edge's x goes.
struct seat {
    int flange;     // index into part->bends
    int bend;       // index into body->bends, -1 before it is made
    double x0, x1;  // ends
    double depth;   // setback
    bool cut[2];    // metal beyond the end x0, x1 is cut away to the edge's end
    bool corner[2]; // ... and that end lies one relief width before the neighbour's tangent line
};

struct edge {
    struct kw_vec2 origin, along; // x = 0 and its direction; metal lies on the right of `along`
    double lo, hi;
    struct seat seats[MOST_SEATS]; // by falling x
    int count;
};

static const struct kw_flange *flange_of(const struct build *b, int i) {
    return KW_ITEM(struct kw_flange, b->part->bends, i);
}

static struct kw_vec2 edge_point(const struct edge *e, double x, double depth) {
    struct kw_vec2 out = kw_left2(e->along);
    return kw_sub2(kw_add2(e->origin, kw_scale2(e->along, x)), kw_scale2(out, depth));
}

static void add(struct build *b, struct kw_path *p, const struct edge *e, double x, double depth) {
    struct kw_vec2 q = edge_point(e, x, depth);
    if (p->count > 0) {
        struct kw_vertex *last = &p->v[p->count - 1];
        if (hypot(last->x - q.x, last->y - q.y) <= KW_SAME_POINT_MM && last->bulge == 0) return;
    }
    kw_path_add(b->arena, p, q.x, q.y, 0, 0);
}

int shape_root_edge(const struct kw_part *part, int flange) {
    for (int i = 0; i <= part->bends.count; i++) { // ends in a circle too
        const struct kw_flange *f = KW_ITEM(struct kw_flange, part->bends, flange);
        if (f->parent < 0) return f->edge;
        flange = f->parent;
    }
    return KW_EDGE_BACK;
}

// ----------------------------------------------------------------------------- seats on an edge

static void sort_seats(struct edge *e) {
    for (int i = 1; i < e->count; i++)
        for (int j = i; j > 0 && e->seats[j].x0 > e->seats[j - 1].x0; j--) {
            struct seat s = e->seats[j];
            e->seats[j] = e->seats[j - 1];
            e->seats[j - 1] = s;
        }
}

/// All flanges on the edge `which` of `parent` (-1: the base).
static void gather(struct build *b, struct edge *e, int parent, int which) {
    int root = parent < 0 ? which : shape_root_edge(b->part, parent);
    bool backwards = root == KW_EDGE_FRONT || root == KW_EDGE_RIGHT;
    for (int i = 0; i < b->part->bends.count; i++) {
        const struct kw_flange *f = flange_of(b, i);
        if (f->from_drawing || f->parent != parent || f->edge != which) continue;
        if (e->count == MOST_SEATS) {
            shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "along"), e->count,
                       MOST_SEATS, "there are too many flanges along one edge", "leave some out");
            return;
        }
        struct kw_bend sizes = {0};
        shape_bend_sizes(b, &sizes, i, f->turn, f->radius);
        double from_lo = backwards ? f->from_end : f->from_start;
        double from_hi = backwards ? f->from_start : f->from_end;
        e->seats[e->count++] = (struct seat){.flange = i,
                                             .bend = -1,
                                             .x0 = e->lo + from_lo,
                                             .x1 = e->hi - from_hi,
                                             .depth = sizes.setback};
    }
    sort_seats(e);
}

/// Whether the land left between the end of a seat and the end of its edge is too narrow to keep.
static void settle_ends(const struct build *b, struct edge *e, double round_lo, double round_hi) {
    if (e->count == 0) return;
    struct seat *last = &e->seats[e->count - 1], *first = &e->seats[0];
    double keep = b->relief + b->body->thickness;
    if (round_lo > 0)
        last->x0 = fmax(last->x0, e->lo + round_lo + b->relief);
    else
        last->cut[0] = last->x0 - e->lo <= keep;
    if (round_hi > 0)
        first->x1 = fmin(first->x1, e->hi - round_hi - b->relief);
    else
        first->cut[1] = e->hi - first->x1 <= keep;
}

/// The corner where `e` ends (its x = lo) and `next` starts (its x = hi): unless one of the two
/// leaves a land beyond the other's bend zone, both are shortened and the corner is cut away.
static void settle_corner(const struct build *b, struct edge *e, struct edge *next) {
    if (e->count == 0 || next->count == 0) return;
    struct seat *f = &e->seats[e->count - 1], *g = &next->seats[0];
    double keep = b->relief + b->past + b->body->thickness;
    if (f->x0 - e->lo >= g->depth + keep || next->hi - g->x1 >= f->depth + keep) return;
    f->x0 = fmax(f->x0, e->lo + g->depth + b->relief);
    g->x1 = fmin(g->x1, next->hi - f->depth - b->relief);
    f->cut[0] = f->corner[0] = g->cut[1] = g->corner[1] = true;
}

static void check_seats(struct build *b, const struct edge *e) {
    for (int i = 0; i < e->count; i++) {
        const struct seat *s = &e->seats[i];
        const struct kw_flange *f = flange_of(b, s->flange);
        if (!(s->x1 - s->x0 > 1))
            shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "along"), s->x1 - s->x0, 1,
                       kw_format(b->arena,
                                 "nothing is left of flange %s between the ends of its "
                                 "edge",
                                 f->name),
                       "let it keep less from the ends, or make the edge longer");
        if (i > 0 && !(e->seats[i - 1].x0 - s->x1 > b->body->thickness))
            shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "along"),
                       e->seats[i - 1].x0 - s->x1, b->body->thickness,
                       kw_format(b->arena, "flanges %s and %s along one edge overlap or touch",
                                 f->name, flange_of(b, e->seats[i - 1].flange)->name),
                       "leave at least a notch between them");
    }
}

// ----------------------------------------------------------------------------- walking an edge

/// Down into the notch before the seat (the outline comes from x above it).
static void walk_before(struct build *b, struct kw_path *p, const struct edge *e, int i) {
    const struct seat *s = &e->seats[i];
    double bottom = s->depth + b->past;
    if (i == 0 && s->cut[1]) {
        if (!s->corner[1] && e->hi - s->x1 > KW_SAME_POINT_MM) add(b, p, e, s->x1, bottom);
        return;
    }
    if (i > 0) {
        const struct seat *before = &e->seats[i - 1];
        if (before->x0 - s->x1 <= 2 * b->relief + b->body->thickness) { // one notch for both
            bottom = fmax(before->depth, s->depth) + b->past;
            add(b, p, e, before->x0, bottom);
            add(b, p, e, s->x1, bottom);
            return;
        }
        add(b, p, e, before->x0, before->depth + b->past);
        add(b, p, e, before->x0 - b->relief, before->depth + b->past);
        add(b, p, e, before->x0 - b->relief, 0);
    }
    add(b, p, e, s->x1 + b->relief, 0);
    add(b, p, e, s->x1 + b->relief, bottom);
    add(b, p, e, s->x1, bottom);
}

static void walk_seats(struct build *b, struct kw_path *p, const struct edge *e) {
    for (int i = 0; i < e->count; i++) {
        const struct seat *s = &e->seats[i];
        walk_before(b, p, e, i);
        add(b, p, e, s->x1, s->depth);
        p->v[p->count - 1].tag = KW_TANGENT_TAG + s->bend;
        add(b, p, e, s->x0, s->depth);
    }
    if (e->count == 0 || e->seats[e->count - 1].cut[0]) return;
    const struct seat *last = &e->seats[e->count - 1];
    add(b, p, e, last->x0, last->depth + b->past);
    add(b, p, e, last->x0 - b->relief, last->depth + b->past);
    add(b, p, e, last->x0 - b->relief, 0);
}

/// Depth to which the last seat's cut end is open, 0 when the edge ends at its nominal line.
static double end_depth(const struct build *b, const struct seat *s, int end, double gap) {
    if (!s->cut[end]) return 0;
    return s->corner[end] || gap <= KW_SAME_POINT_MM ? s->depth : s->depth + b->past;
}

/// From the end of `e` round the corner to the start of `next`.
static void walk_corner(struct build *b, struct kw_path *p, const struct edge *e,
                        const struct edge *next, double round) {
    const struct seat *f = e->count ? &e->seats[e->count - 1] : NULL;
    const struct seat *g = next->count ? &next->seats[0] : NULL;
    double down = f ? end_depth(b, f, 0, f->x0 - e->lo) : 0;
    double aside = g ? end_depth(b, g, 1, next->hi - g->x1) : 0;
    if (down > 0 && !f->corner[0] && f->x0 - e->lo > KW_SAME_POINT_MM) add(b, p, e, f->x0, down);
    if (round > 0 && down == 0 && aside == 0) {
        add(b, p, e, e->lo + round, 0);
        p->v[p->count - 1].bulge = tan(KW_PI / 8);
        add(b, p, next, next->hi - round, 0);
        return;
    }
    add(b, p, e, e->lo + aside, down);
}

// ----------------------------------------------------------------------------- faces

static struct kw_bend *new_bend(struct build *b, int parent, const struct seat *s) {
    const struct kw_flange *f = flange_of(b, s->flange);
    struct kw_body *body = b->body;
    struct kw_bend *bend = &body->bends[body->bend_count];
    *bend = (struct kw_bend){.id = f->name,
                             .twin = -1,
                             .parent = parent,
                             .child = body->face_count,
                             .flange = s->flange,
                             .drawn = -1,
                             .way = f->way,
                             .mates = f->mates != 0,
                             .length = s->x1 - s->x0,
                             .at = f->node ? f->node->key_at : (struct kw_place){0}};
    shape_bend_sizes(b, bend, s->flange, f->turn, f->radius);
    body->faces[body->face_count++].bend = body->bend_count++;
    return bend;
}

/// Bends and child faces for the seats of an edge, in x; flat maps with y = 0 at the outside
/// corner.
static void make_children(struct build *b, int parent, struct edge *e) {
    for (int i = e->count - 1; i >= 0; i--) {
        struct seat *s = &e->seats[i];
        s->bend = b->body->bend_count;
        struct kw_bend *bend = new_bend(b, parent, s);
        double up = bend->allowance - 2 * bend->setback;
        struct kw_vec2 at = edge_point(e, 0, -up);
        struct kw_move2 joint = {e->along.x, e->along.y, at.x, at.y, false};
        struct kw_move2 flat = kw_move2_then(joint, b->body->faces[parent].flat);
        b->body->faces[bend->child].flat = flat;
        double middle = bend->setback - bend->allowance / 2;
        bend->from = kw_move2_point(flat, kw_v2(s->x0, middle));
        bend->to = kw_move2_point(flat, kw_v2(s->x1, middle));
    }
}

/// Largest setback on the edge: what its flanges take from the face.
static double taken(const struct edge *e) {
    double most = 0;
    for (int i = 0; i < e->count; i++)
        most = fmax(most, e->seats[i].depth);
    return most;
}

static void find_short(struct build *b, const struct kw_flange *f, double height, double least) {
    shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "height"), height, least,
               kw_format(b->arena, "flange %s is %s high, but its bends alone take %s", f->name,
                         shape_length(b, height), shape_length(b, least)),
               "make it higher, or its inside radius smaller");
}

/// The flat of the flange at the child's end of `bend`, and the flanges that stand on it.
static void flange_face(struct build *b, int face, const struct kw_bend *bend, double x0) {
    const struct kw_flange *f = flange_of(b, bend->flange);
    struct edge e = {.origin = {0, f->height}, .along = {1, 0}, .lo = x0, .hi = x0 + bend->length};
    gather(b, &e, bend->flange, KW_EDGE_OF_BEND);
    settle_ends(b, &e, 0, 0);
    check_seats(b, &e);
    if (!(f->height - bend->setback - taken(&e) > LEAST_FLAT_MM))
        find_short(b, f, f->height, bend->setback + taken(&e));
    if (b->stopped) return;
    make_children(b, face, &e);
    const struct seat *first = &e.seats[0], *last = &e.seats[e.count ? e.count - 1 : 0];
    double up = e.count ? end_depth(b, first, 1, e.hi - first->x1) : 0;
    double down = e.count ? end_depth(b, last, 0, last->x0 - e.lo) : 0;
    struct kw_path *p = &b->body->faces[face].shape.outer;
    kw_path_add(b->arena, p, e.lo, bend->setback, 0, KW_TANGENT_TAG + (int)(bend - b->body->bends));
    kw_path_add(b->arena, p, e.hi, bend->setback, 0, 0);
    add(b, p, &e, e.hi, up);
    walk_seats(b, p, &e);
    if (down > 0 && last->x0 - e.lo > KW_SAME_POINT_MM) add(b, p, &e, last->x0, down);
    add(b, p, &e, e.lo, down);
}

static void base_edges(struct build *b, struct edge e[4], const double round[4]) {
    double l = b->part->base.length, w = b->part->base.width;
    e[KW_EDGE_FRONT] = (struct edge){.origin = {l, 0}, .along = {-1, 0}, .hi = l};
    e[KW_EDGE_RIGHT] = (struct edge){.origin = {l, w}, .along = {0, -1}, .hi = w};
    e[KW_EDGE_BACK] = (struct edge){.origin = {0, w}, .along = {1, 0}, .hi = l};
    e[KW_EDGE_LEFT] = (struct edge){.origin = {0, 0}, .along = {0, 1}, .hi = w};
    for (int i = 0; i < 4; i++) {
        gather(b, &e[i], -1, i);
        settle_ends(b, &e[i], round[i], round[(i + 3) % 4]);
    }
    for (int i = 0; i < 4; i++)
        settle_corner(b, &e[i], &e[(i + 1) % 4]);
    for (int i = 0; i < 4; i++)
        check_seats(b, &e[i]);
}

static void check_base(struct build *b, const struct edge e[4]) {
    const struct kw_base *base = &b->part->base;
    double across = taken(&e[KW_EDGE_FRONT]) + taken(&e[KW_EDGE_BACK]);
    double along = taken(&e[KW_EDGE_LEFT]) + taken(&e[KW_EDGE_RIGHT]);
    if (!(base->width - across > LEAST_FLAT_MM))
        shape_find(b, KW_STOP, "flange-fit", shape_place(base->node, "wide"), base->width, across,
                   kw_format(b->arena, "the base is %s wide, but its bends alone take %s",
                             shape_length(b, base->width), shape_length(b, across)),
                   "make the base wider");
    if (!(base->length - along > LEAST_FLAT_MM))
        shape_find(b, KW_STOP, "flange-fit", shape_place(base->node, "long"), base->length, along,
                   kw_format(b->arena, "the base is %s long, but its bends alone take %s",
                             shape_length(b, base->length), shape_length(b, along)),
                   "make the base longer");
}

static void base_face(struct build *b) {
    const struct kw_round *r = &b->part->base.round;
    // by the edge that ends at the corner
    double round[4] = {r->front_right, r->back_right, r->back_left, r->front_left};
    struct edge *e = KW_NEW_ARRAY(b->arena, struct edge, 4);
    base_edges(b, e, round);
    check_base(b, e);
    if (b->stopped) return;
    for (int i = 0; i < 4; i++)
        make_children(b, 0, &e[i]);
    struct kw_path *p = &b->body->faces[0].shape.outer;
    for (int i = 0; i < 4; i++) {
        walk_seats(b, p, &e[i]);
        walk_corner(b, p, &e[i], &e[(i + 1) % 4], round[i]);
    }
    const struct kw_vertex *end = &p->v[p->count - 1];
    if (hypot(end->x - p->v[0].x, end->y - p->v[0].y) <= KW_SAME_POINT_MM) p->count--;
}

static void points_face(struct build *b) {
    struct kw_path *p = &b->body->faces[0].shape.outer;
    const struct kw_items *points = &b->part->base.points;
    for (int i = 0; i < points->count; i++) {
        struct kw_vec2 q = KW_ITEM(struct kw_corner, *points, i)->at;
        kw_path_add(b->arena, p, q.x, q.y, 0, 0);
    }
    for (int i = 0; i < b->part->bends.count; i++) {
        const struct kw_flange *f = flange_of(b, i);
        shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "along"), 0, 0,
                   kw_format(b->arena,
                             "flange %s stands on an outline by points: flanges need a "
                             "base by long and wide",
                             f->name),
                   "give the base by long and wide, or draw the blank with its bend lines");
    }
}

void shape_layout(struct build *b) {
    struct kw_body *body = b->body;
    int most = b->part->bends.count;
    body->faces = KW_NEW_ARRAY(b->arena, struct kw_face, most + 1);
    body->bends = KW_NEW_ARRAY(b->arena, struct kw_bend, most ? most : 1);
    body->faces[0] = (struct kw_face){.bend = -1, .flat = kw_move2_none()};
    body->face_count = 1;
    if (b->part->base.points.count > 0)
        points_face(b);
    else
        base_face(b);
    for (int face = 1; face < body->face_count && !b->stopped; face++) {
        const struct kw_bend *bend = &body->bends[body->faces[face].bend];
        struct kw_move2 back = kw_move2_inverse(body->faces[face].flat);
        flange_face(b, face, bend, kw_move2_point(back, bend->from).x);
    }
    if (!b->stopped && body->bend_count < most)
        shape_find(b, KW_STOP, "flange-cycle", shape_place(b->part->node, "bends"),
                   body->bend_count, most, "some flanges stand on one another in a circle",
                   "let one of them stand on an edge of the base");
}
