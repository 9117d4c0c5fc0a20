// SPDX-License-Identifier: Apache-2.0
// A base with flanges, and flanges on flanges to any depth: the flat part of every face, and the
// bends between them in the order in which the tree reaches them.
#include "shape/layout.h"

static const struct kw_flange *flange_of(const struct build *b, int i) {
    return KW_ITEM(struct kw_flange, b->part->bends, i);
}

// ----------------------------------------------------------------------------- bends

/// A flange with a tab or a slot of the kit's joints: where it stands is where two parts meet.
static bool carries_joint(const struct kw_part *part, int flange) {
    for (int i = 0; i < part->tabs.count; i++)
        if (KW_ITEM(struct kw_joint_tab, part->tabs, i)->flange == flange) return true;
    for (int i = 0; i < part->slots.count; i++)
        if (KW_ITEM(struct kw_joint_slot, part->slots, i)->flange == flange) return true;
    return false;
}

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
                             .mates = f->mates != 0 || carries_joint(b->part, s->flange),
                             .length = s->x1 - s->x0,
                             .grows = {s->grows[0], s->grows[1]},
                             .at = f->node ? f->node->key_at : (struct kw_place){0}};
    shape_flange_bend(b, bend, s->flange, s->second);
    if (bend->kind == KW_BEND_OFFSET)
        bend->id = kw_format(b->arena, "%s/%d", f->name, s->second ? 2 : 1);
    if (s->second) {
        bend->twin = body->faces[parent].bend;
        body->bends[bend->twin].twin = body->bend_count;
    }
    body->faces[body->face_count++].bend = body->bend_count++;
    return bend;
}

/// What numbers told along a flange count from: on the base's four sides the base's own coordinate,
/// on an edge told by its number the edge's start; flanges on flanges go on with their parent's.
static void place_numbers(const struct build *b, struct kw_face *face, const struct kw_face *parent,
                          const struct edge *e, const struct seat *s, const struct edges *es) {
    const struct kw_flange *f = flange_of(b, s->flange);
    if (s->second || f->parent >= 0) {
        face->start = parent->start;
        face->backwards = parent->backwards;
    } else {
        face->backwards = f->edge != KW_EDGE_BACK && f->edge != KW_EDGE_LEFT;
        if (f->edge == KW_EDGE_FRONT) face->start = es->box.max.x;
        if (f->edge == KW_EDGE_RIGHT) face->start = es->box.max.y;
        if (f->edge == KW_EDGE_OF_OUTLINE) face->start = e->corner[1];
    }
}

/// Bends and child faces for the seats of an edge, in x; flat maps with y = 0 at the outside
/// corner.
static void make_children(struct build *b, int parent, const struct edges *es, struct edge *e) {
    for (int i = e->count - 1; i >= 0; i--) {
        struct seat *s = &e->seats[i];
        s->bend = b->body->bend_count;
        struct kw_bend *bend = new_bend(b, parent, s);
        struct kw_face *face = &b->body->faces[bend->child];
        double up = bend->allowance - 2 * bend->setback;
        struct kw_vec2 at = edge_point(e, 0, -up);
        struct kw_move2 joint = {e->along.x, e->along.y, at.x, at.y, false};
        face->flat = kw_move2_then(joint, b->body->faces[parent].flat);
        place_numbers(b, face, &b->body->faces[parent], e, s, es);
        double middle = bend->setback - bend->allowance / 2;
        bend->from = kw_move2_point(face->flat, kw_v2(s->x0, middle));
        bend->to = kw_move2_point(face->flat, kw_v2(s->x1, middle));
    }
}

/// The flat of `face` out of its nominal outline with seats on it.
static void make_flat(struct build *b, int face, struct edges *es) {
    edges_settle(b, es);
    if (b->stopped) return;
    for (int i = 0; i < es->count; i++)
        make_children(b, face, es, &es->v[i]);
    edges_walk(b, es, &b->body->faces[face].shape.outer);
}

// ----------------------------------------------------------------------------- flanges

static void find_short(struct build *b, const struct kw_flange *f, double height, double least) {
    shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "height"), height, least,
               kw_format(b->arena, "flange %s is %s high, but its bends alone take %s", f->name,
                         shape_length(b, height), shape_length(b, least)),
               "make it higher, or its inside radius smaller");
}

static void find_step(struct build *b, const struct kw_flange *f, const struct shape_step *step) {
    shape_find(
        b, KW_STOP, "flange-fit", shape_place(f->node, "offset"), f->offset, step->least,
        kw_format(b->arena,
                  "flange %s steps by %s: nothing is left of the flat between its two "
                  "bends",
                  f->name, shape_length(b, f->offset)),
        kw_format(b->arena, "step by %s or more, or turn it less", shape_length(b, step->least)));
}

/// Corners of a flange's nominal outline: up from the ends of its tangent line, leaning inwards by
/// its tapers, to its outer edge. A flange with nothing left of its outer edge is a stop.
static bool flange_outline(struct build *b, const struct kw_bend *bend, double height, bool whole,
                           double x0, struct kw_path *p) {
    const struct kw_flange *f = flange_of(b, bend->flange);
    int root = shape_root(b->part, bend->flange)->edge;
    bool back = root != KW_EDGE_BACK && root != KW_EDGE_LEFT;
    double x1 = x0 + bend->length, up = height - bend->setback;
    double in[2] = {0, 0};
    if (whole) {
        in[0] = up * tan(back ? f->taper_end : f->taper_start);
        in[1] = up * tan(back ? f->taper_start : f->taper_end);
    }
    int tangent = KW_TANGENT_TAG + (int)(bend - b->body->bends);
    double foot = bend->setback + b->past; // of what reaches beyond the bend
    kw_path_add(b->arena, p, x0, bend->setback, 0, tangent);
    kw_path_add(b->arena, p, x1, bend->setback, 0, SIDE_TAG);
    if (bend->grows[1] > 0) {
        kw_path_add(b->arena, p, x1, foot, 0, SIDE_TAG);
        kw_path_add(b->arena, p, x1 += bend->grows[1], foot, 0, SIDE_TAG);
    }
    if (bend->grows[0] > 0) x0 -= bend->grows[0];
    int corner = p->count;
    kw_path_add(b->arena, p, x1 - in[1], height, 0, OUTER_EDGE_TAG);
    kw_path_add(b->arena, p, x0 + in[0], height, 0, SIDE_TAG);
    if (bend->grows[0] > 0) {
        kw_path_add(b->arena, p, x0, foot, 0, SIDE_TAG);
        kw_path_add(b->arena, p, x0 + bend->grows[0], foot, 0, SIDE_TAG);
    }
    double left = x1 - in[1] - x0 - in[0];
    if (!(left > LEAST_FLAT_MM)) {
        shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "taper"), left, LEAST_FLAT_MM,
                   kw_format(b->arena, "flange %s runs to a point before its edge", f->name),
                   "let its ends lean less, or make it lower");
        return false;
    }
    if (!whole || !(f->round > 0)) return true;
    if (kw_path_round_corner(b->arena, p, corner + 1, f->round) &&
        kw_path_round_corner(b->arena, p, corner, f->round))
        return true;
    shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "round"), f->round, 0,
               kw_format(b->arena, "the rounding of flange %s does not fit on it", f->name),
               "make the rounding smaller");
    return false;
}

/// Outside height of the flat at the child's end of `bend`; false when an offset leaves none.
static bool flange_height(struct build *b, struct kw_face *face, const struct kw_bend *bend,
                          double *height) {
    const struct kw_flange *f = flange_of(b, bend->flange);
    *height = shape_flange_height(f, bend, b->body->thickness);
    if (bend->kind != KW_BEND_OFFSET) return true;
    struct shape_step step = shape_flange_step(f, bend, b->body->thickness);
    *height = bend->twin < 0 ? step.between : step.last;
    if (bend->twin >= 0) face->bottom = -step.run;
    if (!(bend->angle <= KW_PI / 2 + 1e-9)) {
        shape_find(
            b, KW_STOP, "flange-fit", shape_place(f->node, "turn"), bend->angle, KW_PI / 2,
            kw_format(b->arena, "flange %s: an offset bend turns by 90 degrees at most", f->name),
            "turn it less");
        return false;
    }
    if (step.flat > LEAST_FLAT_MM) return true;
    find_step(b, f, &step);
    return false;
}

/// The flat of the flange at the child's end of `bend`, and the flanges that stand on it.
static void flange_face(struct build *b, int face, const struct kw_bend *bend) {
    const struct kw_flange *f = flange_of(b, bend->flange);
    struct kw_face *made = &b->body->faces[face];
    struct kw_move2 back = kw_move2_inverse(made->flat);
    double x0 = kw_move2_point(back, bend->from).x, height;
    bool first = bend->kind == KW_BEND_OFFSET && bend->twin < 0;
    struct kw_path nominal = {0};
    if (!flange_height(b, made, bend, &height)) return;
    if (!(height - bend->setback > LEAST_FLAT_MM)) {
        find_short(b, f, height, bend->setback);
        return;
    }
    if (!flange_outline(b, bend, height, !first, x0, &nominal)) return;
    struct edges es = edges_of(b, &nominal);
    struct edge *outer = NULL;
    for (int i = 0; i < es.count; i++)
        if (es.v[i].tag == OUTER_EDGE_TAG && es.v[i].line.radius == 0) outer = &es.v[i];
    if (!outer) { // its roundings meet: nothing can stand on it
        edges_gather(b, &es, bend->flange);
        if (!b->stopped) make_flat(b, face, &es);
        return;
    }
    edge_from(outer, kw_v2(0, height)); // x goes on from the bend
    if (first)
        edges_second(b, outer, bend->flange);
    else
        edges_gather(b, &es, bend->flange);
    if (!(height - bend->setback - edge_taken(outer) > LEAST_FLAT_MM))
        find_short(b, f, height, bend->setback + edge_taken(outer));
    if (!b->stopped) make_flat(b, face, &es);
}

// ----------------------------------------------------------------------------- the base

static void round_base(struct build *b, struct kw_path *p) {
    const struct kw_round *r = &b->part->base.round;
    const double round[4] = {r->front_left, r->front_right, r->back_right, r->back_left};
    for (int i = 3; i >= 0; i--) {
        if (!(round[i] > 0) || kw_path_round_corner(b->arena, p, i, round[i])) continue;
        shape_find(b, KW_STOP, "flange-fit", shape_place(b->part->base.node, "round"), round[i], 0,
                   "a rounded corner of the base does not fit on it", "make the rounding smaller");
    }
}

static struct kw_path base_outline(struct build *b) {
    const struct kw_base *base = &b->part->base;
    if (b->part->flat) return kw_path_oriented(b->arena, &b->part->drawing.outer, true);
    if (base->outline.count > 0) return kw_path_copy(b->arena, &base->outline);
    struct kw_path p = {0};
    for (int i = 0; i < base->points.count; i++) {
        struct kw_vec2 q = KW_ITEM(struct kw_corner, base->points, i)->at;
        kw_path_add(b->arena, &p, q.x, q.y, 0, 1 + i);
    }
    if (p.count > 0) return p;
    p = kw_path_box_outline(b->arena, 0, 0, base->length, base->width, 0);
    round_base(b, &p);
    return p;
}

/// Largest setback of the flanges on one side of the base.
static double taken(const struct edges *es, double x, double y) {
    double most = 0;
    for (int i = 0; i < es->count; i++)
        if (kw_dot2(es->v[i].along, kw_v2(x, y)) > 0.5) most = fmax(most, edge_taken(&es->v[i]));
    return most;
}

static void check_base(struct build *b, const struct edges *es) {
    const struct kw_base *base = &b->part->base;
    double across = taken(es, -1, 0) + taken(es, 1, 0);
    double along = taken(es, 0, -1) + taken(es, 0, 1);
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
    struct kw_path nominal = base_outline(b);
    if (b->stopped) return;
    struct edges es = edges_of(b, &nominal);
    edges_gather(b, &es, -1);
    if (!b->part->flat && b->part->base.points.count == 0 && b->part->base.outline.count == 0)
        check_base(b, &es);
    if (!b->stopped) make_flat(b, 0, &es);
}

static int bends_wanted(const struct kw_part *part) {
    int n = 0;
    for (int i = 0; i < part->bends.count; i++) {
        const struct kw_flange *f = KW_ITEM(struct kw_flange, part->bends, i);
        n += f->from_drawing ? 0 : f->offset > 0 && f->hem == KW_NO_HEM ? 2 : 1;
    }
    return n;
}

/// Flanges stand on edges of a drawing by their number, not on what lies beyond its bend lines.
static void find_on_line(struct build *b, int i) {
    const struct kw_flange *f = flange_of(b, i);
    if (f->from_drawing || f->parent < 0 || !flange_of(b, f->parent)->from_drawing) return;
    shape_find(b, KW_STOP, "flange-fit", shape_place(f->node, "along"), 0, 0,
               kw_format(b->arena, "flange %s stands on bend line %s of a drawing", f->name,
                         flange_of(b, f->parent)->name),
               "name the edge of the drawing by its number");
}

void shape_layout(struct build *b) {
    struct kw_body *body = b->body;
    int most = bends_wanted(b->part);
    body->faces = KW_NEW_ARRAY(b->arena, struct kw_face, most + 1);
    body->bends = KW_NEW_ARRAY(b->arena, struct kw_bend, most ? most : 1);
    body->faces[0] = (struct kw_face){.bend = -1, .flat = kw_move2_none()};
    body->face_count = 1;
    base_face(b);
    for (int face = 1; face < body->face_count && !b->stopped; face++)
        flange_face(b, face, &body->bends[body->faces[face].bend]);
    for (int i = 0; i < b->part->bends.count && !b->stopped; i++)
        find_on_line(b, i);
    if (!b->stopped && body->bend_count < most)
        shape_find(b, KW_STOP, "flange-cycle", shape_place(b->part->node, "bends"),
                   body->bend_count, most, "some flanges stand on one another in a circle",
                   "let one of them stand on an edge of the base");
}
