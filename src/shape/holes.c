// SPDX-License-Identifier: Apache-2.0
// Holes and marks: from each face into the blank, into the faces that hold them whole, and what
// they take from the bend lines.
#include "shape/stand.h"

#include <stdlib.h>

// ----------------------------------------------------------------------------- where it lies

static void find_hole(struct build *b, enum kw_level level, const char *rule, int hole,
                      struct kw_vec2 at, const char *says) {
    int described = b->part->holes.count;
    struct kw_place where = shape_place(b->part->node, "flat");
    if (hole >= KW_SLOT_TAG - 1) {
        const struct kw_joint_slot *s =
            KW_ITEM(struct kw_joint_slot, b->part->slots, hole - (KW_SLOT_TAG - 1));
        where = shape_place(s->joint->node, "slot");
    } else if (hole < described) {
        const struct kw_hole *h = KW_ITEM(struct kw_hole, b->part->holes, hole);
        where = shape_place(h->node, h->flange >= 0 ? "from_bottom" : "from_left");
    }
    shape_find_at(b, level, rule, where, at, says);
}

/// What a hole takes from the bend lines it crosses.
static bool takes_from_bends(struct build *b, const struct kw_path *hole, const char **bend_id) {
    bool any = false;
    struct kw_arena scratch = {0};
    for (int i = 0; i < b->body->bend_count; i++) {
        struct kw_bend *bend = &b->body->bends[i];
        struct kw_vec2 d = kw_sub2(bend->to, bend->from);
        struct kw_vec2 u = kw_scale2(d, 1 / kw_length2(d));
        int n;
        double *s = shape_line_meets(&scratch, hole, bend->from, u, &n);
        for (int k = 0; k + 1 < n; k += 2) {
            double from = fmax(s[k], 0), to = fmin(s[k + 1], bend->length);
            if (to > from) bend->hole_gap += to - from, *bend_id = bend->id, any = true;
        }
    }
    kw_arena_free(&scratch);
    return any;
}

static int face_that_holds(const struct build *b, const struct kw_path *hole) {
    struct kw_arena scratch = {0};
    int found = -1;
    struct kw_vec2 p = kw_v2(hole->v[0].x, hole->v[0].y);
    for (int i = 0; i < b->body->face_count && found < 0; i++) {
        const struct kw_face *f = &b->body->faces[i];
        struct kw_path outer = kw_path_moved(&scratch, &f->shape.outer, f->flat);
        if (kw_path_contains(&outer, p) && kw_path_gap(&outer, hole) > KW_SAME_POINT_MM) found = i;
    }
    kw_arena_free(&scratch);
    return found;
}

/// One hole, blank frame, into the blank and the face that holds it.
static void place_hole(struct build *b, struct kw_path hole, int index) {
    struct kw_body *body = b->body;
    struct kw_box2 box = kw_path_box(&hole);
    struct kw_vec2 middle = kw_lerp2(box.min, box.max, 0.5);
    if (!kw_path_contains(&body->blank.outer, kw_v2(hole.v[0].x, hole.v[0].y)) ||
        !(kw_path_gap(&body->blank.outer, &hole) > KW_SAME_POINT_MM)) {
        find_hole(b, KW_STOP, "hole-outside", index, middle,
                  "a hole reaches over the edge of the blank");
        return;
    }
    for (int i = 0; i < body->blank.hole_count; i++) {
        const struct kw_path *other = &body->blank.holes[i];
        struct kw_vec2 p = kw_v2(hole.v[0].x, hole.v[0].y), q = kw_v2(other->v[0].x, other->v[0].y);
        if (kw_path_gap(other, &hole) > KW_SAME_POINT_MM && !kw_path_contains(other, p) &&
            !kw_path_contains(&hole, q))
            continue;
        find_hole(b, KW_STOP, "holes-cross", index, middle, "two holes run into each other");
        return;
    }
    KW_PUSH(b->arena, body->blank.holes, body->blank.hole_count) = hole;
    int face = face_that_holds(b, &hole);
    const char *id = "";
    if (takes_from_bends(b, &hole, &id) || face < 0)
        find_hole(b, KW_RISK, "hole-on-bend", index, middle,
                  kw_format(b->arena,
                            "a hole lies in the bend zone%s%s: it will be pulled out of "
                            "shape",
                            *id ? " of bend " : "", id));
    if (face < 0) return;
    struct kw_region *shape = &body->faces[face].shape;
    KW_PUSH(b->arena, shape->holes, shape->hole_count) =
        kw_path_moved(b->arena, &hole, kw_move2_inverse(body->faces[face].flat));
}

static void add_mark(struct build *b, struct kw_vec2 p, struct kw_vec2 q) {
    struct kw_path line = {.open = true};
    kw_path_add(b->arena, &line, p.x, p.y, 0, 0);
    kw_path_add(b->arena, &line, q.x, q.y, 0, 0);
    KW_PUSH(b->arena, b->body->marks, b->body->mark_count) = line;
}

static void mark_centre(struct build *b, struct kw_vec2 p) {
    double half = KW_CENTRE_MARK_MM / 2;
    add_mark(b, kw_v2(p.x - half, p.y), kw_v2(p.x + half, p.y));
    add_mark(b, kw_v2(p.x, p.y - half), kw_v2(p.x, p.y + half));
}

struct kw_move2 shape_told_to_blank(const struct build *b, int flange) {
    return kw_move2_then(kw_body_told(b->body, flange),
                         b->body->faces[kw_body_flange_face(b->body, flange)].flat);
}

static void add_dimple(struct build *b, int index, struct kw_vec2 at) {
    const struct kw_hole *h = KW_ITEM(struct kw_hole, b->part->holes, index);
    KW_PUSH(b->arena, b->body->dimples, b->body->dimple_count) =
        (struct kw_dimple_spot){.hole = index,
                                .die = h->dimple_die,
                                .face = kw_body_flange_face(b->body, h->flange),
                                .at = at,
                                .way = h->dimple_way};
}

static void described_hole(struct build *b, int index) {
    const struct kw_hole *h = KW_ITEM(struct kw_hole, b->part->holes, index);
    struct kw_move2 to_blank = shape_told_to_blank(b, h->flange);
    int spot_count, shape_count;
    struct kw_hole_spot *spots = kw_hole_spots(b->arena, b->part, h, &spot_count);
    struct kw_path *shapes = shape_of_hole(b, index, &shape_count);
    for (int i = 0; i < spot_count; i++) {
        struct kw_move2 m =
            kw_move2_make(spots[i].at.x, spots[i].at.y, spots[i].turn, spots[i].flip);
        m = kw_move2_then(m, to_blank);
        struct kw_vec2 at = kw_move2_point(m, kw_v2(0, 0));
        if (h->close_fit) {
            mark_centre(b, at);
            continue;
        }
        if (h->dimple) add_dimple(b, index, at);
        for (int k = 0; k < shape_count; k++) {
            struct kw_path p = kw_path_moved(b->arena, &shapes[k], m);
            place_hole(b, kw_path_oriented(b->arena, &p, false), index);
        }
    }
}

void shape_holes(struct build *b) {
    for (int i = 0; i < b->part->holes.count; i++)
        described_hole(b, i);
    for (int i = 0; i < b->part->slots.count; i++) {
        const struct kw_joint_slot *s = KW_ITEM(struct kw_joint_slot, b->part->slots, i);
        struct kw_path p = shape_slot(b->arena, s, KW_SLOT_TAG + i);
        p = kw_path_moved(b->arena, &p, shape_told_to_blank(b, s->flange));
        place_hole(b, kw_path_oriented(b->arena, &p, false), KW_SLOT_TAG - 1 + i);
    }
    if (!b->part->flat) return;
    const struct kw_region *drawn = &b->part->drawing;
    for (int i = 0; i < drawn->hole_count; i++) {
        struct kw_path hole = kw_path_oriented(b->arena, &drawn->holes[i], false);
        hole = kw_path_moved(b->arena, &hole, b->body->faces[0].flat);
        int index = b->part->holes.count + i;
        for (int k = 0; k < hole.count; k++)
            hole.v[k].tag = 1 + index;
        place_hole(b, hole, index);
    }
}

// ----------------------------------------------------------------------------- lines through paths

static int by_value(const void *a, const void *b) {
    const double *x = a, *y = b;
    return (*x > *y) - (*x < *y);
}

double *shape_line_meets(struct kw_arena *a, const struct kw_path *path, struct kw_vec2 p,
                         struct kw_vec2 u, int *count) {
    struct kw_box2 box = kw_path_box(path);
    double reach = kw_length2(kw_sub2(box.max, box.min)) +
                   kw_length2(kw_sub2(kw_lerp2(box.min, box.max, 0.5), p)) + 1;
    struct kw_segment line =
        kw_segment_make(kw_sub2(p, kw_scale2(u, reach)), kw_add2(p, kw_scale2(u, reach)), 0);
    double *s = NULL;
    int n = 0;
    for (int i = 0; i < kw_path_segments(path); i++) {
        struct kw_vec2 q[2];
        int m = kw_segment_crossings(kw_path_segment(path, i), line, q);
        for (int k = 0; k < m; k++)
            KW_PUSH(a, s, n) = kw_dot2(kw_sub2(q[k], p), u);
    }
    if (n > 1) qsort(s, (size_t)n, sizeof *s, by_value);
    int kept = 0;
    for (int i = 0; i < n; i++)
        if (kept == 0 || s[i] - s[kept - 1] > KW_SAME_POINT_MM) s[kept++] = s[i];
    *count = kept;
    return s;
}
