// SPDX-License-Identifier: Apache-2.0
// Fold and unfold: random parts keep their areas, bend lengths, places and volumes. KW_PARTS in the
// environment is the number of parts (default 200).
#include "shape_random.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int wanted(void) {
    const char *n = getenv("KW_PARTS");
    return n ? atoi(n) : 200;
}

static double slits(const struct kw_body *body) {
    double area = 0;
    for (int i = 0; i < body->blank.hole_count; i++)
        if (kw_body_is_slit(body, &body->blank.holes[i]))
            area -= kw_path_area(&body->blank.holes[i]);
    return area;
}

/// Blank = flats + bend zones, less the slits in them.
static void check_area(const struct kw_body *body) {
    double sum = -slits(body);
    for (int i = 0; i < body->face_count; i++)
        sum += kw_region_area(&body->faces[i].shape);
    for (int i = 0; i < body->bend_count; i++)
        sum += body->bends[i].allowance * body->bends[i].length;
    cr_expect_float_eq(body->area, sum, 1e-9 * sum, "area %f, faces and bends %f", body->area, sum);
    cr_expect_float_eq(kw_region_area(&body->blank), body->area, 1e-9 * sum);
}

/// Length of the tangent line of `bend` in the outline of `face`.
static double tangent(const struct kw_body *body, int bend, int face) {
    const struct kw_path *p = &body->faces[face].shape.outer;
    double length = 0;
    for (int i = 0; i < p->count; i++)
        if (p->v[i].tag == KW_TANGENT_TAG + bend)
            length += kw_segment_length(kw_path_segment(p, i));
    return length;
}

static void check_lengths(const struct kw_body *body) {
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        cr_expect_float_eq(tangent(body, i, b->parent), b->length, 1e-9);
        cr_expect_float_eq(tangent(body, i, b->child), b->length, 1e-9);
        cr_expect_float_eq(kw_length2(kw_sub2(b->to, b->from)), b->length, 1e-9);
        cr_expect(b->twin < 0 ||
                  (body->bends[b->twin].twin == i && body->bends[b->twin].way != b->way &&
                   body->bends[b->twin].flange == b->flange));
    }
}

static void expect_same(struct kw_move3 m, struct kw_move3 n, double most, const char *what) {
    double off = kw_length3(kw_sub3(m.t, n.t));
    for (int i = 0; i < 9; i++)
        off = fmax(off, fabs(m.r[i / 3][i % 3] - n.r[i / 3][i % 3]));
    cr_expect(off <= most, "%s off by %g", what, off);
}

static struct kw_move3 in_space(struct kw_move2 m) {
    struct kw_move3 s = kw_move3_none();
    s.r[0][0] = s.r[1][1] = m.c;
    s.r[0][1] = -m.s;
    s.r[1][0] = m.s;
    s.t = kw_v3(m.x, m.y, 0);
    return s;
}

/// Unfolded, each face lies where the blank has it. Folded, it is where turning the flat child
/// about the bend's axis brings it: the axis lies r above the top of the parent (or below its
/// bottom) over the tangent line, at which the child starts without the bend zone.
static void check_places(struct kw_arena *a, const struct kw_body *body) {
    struct kw_move3 *flat = kw_body_fold(a, body, 0), *folded = kw_body_fold(a, body, 1);
    struct kw_move3 base = in_space(kw_move2_inverse(body->faces[0].flat));
    for (int i = 0; i < body->face_count; i++)
        expect_same(flat[i], kw_move3_then(in_space(body->faces[i].flat), base), 1e-9, "unfolded");
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        struct kw_move2 joint = kw_move2_then(body->faces[b->child].flat,
                                              kw_move2_inverse(body->faces[b->parent].flat));
        struct kw_vec2 along = kw_v2(joint.c, joint.s), out = kw_left2(along);
        struct kw_vec2 foot = kw_move2_point(joint, kw_v2(0, b->setback - b->allowance));
        double z = b->way == KW_UP ? b->radius : -body->thickness - b->radius;
        struct kw_move3 m = in_space(joint);
        m.t = kw_sub3(m.t, kw_scale3(kw_v3(out.x, out.y, 0), b->allowance));
        double turn = b->way == KW_UP ? b->angle : -b->angle;
        m = kw_move3_then(
            m, kw_move3_turn(kw_v3(foot.x, foot.y, z), kw_v3(along.x, along.y, 0), turn));
        expect_same(folded[b->child], kw_move3_then(m, folded[b->parent]), 1e-9, "folded");
    }
}

/// Area of the faces as the mesh has them, in chords.
static double chord_area(struct kw_arena *a, const struct kw_body *body) {
    struct kw_mesh flat = {0};
    cr_assert(kw_body_mesh(a, body, 0, 1, &flat));
    double area = kw_mesh_volume(&flat) / body->thickness;
    for (int i = 0; i < body->bend_count; i++)
        area -= body->bends[i].allowance * body->bends[i].length;
    return area;
}

static void check_mesh(struct kw_arena *a, const struct kw_body *body) {
    struct kw_mesh mesh = {0};
    cr_assert(kw_body_mesh(a, body, 1, 5 * DEG, &mesh));
    cr_expect(kw_mesh_is_closed(&mesh), "the mesh is open");
    double faces = chord_area(a, body), exact = slits(body) * 0, volume;
    for (int i = 0; i < body->face_count; i++)
        exact += kw_region_area(&body->faces[i].shape);
    cr_expect_float_eq(faces, exact, 2e-3 * exact, "chords %f, exact %f", faces, exact);
    volume = faces * body->thickness;
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        volume += b->angle * body->thickness * (b->radius + body->thickness / 2) * b->length;
    }
    double got = kw_mesh_volume(&mesh);
    cr_expect_float_eq(got, volume, 1e-6 * volume, "volume %f, wanted %f", got, volume);
    struct kw_box3 box = kw_mesh_box(&mesh);
    const double off[6] = {box.min.x - body->folded.min.x, box.min.y - body->folded.min.y,
                           box.min.z - body->folded.min.z, box.max.x - body->folded.max.x,
                           box.max.y - body->folded.max.y, box.max.z - body->folded.max.z};
    for (int i = 0; i < 6; i++)
        cr_expect_leq(fabs(off[i]), 0.15, "box side %d off by %f", i, off[i]);
}

/// A flange that carries none reaches to its height, whatever that is told to.
static void check_heights(const struct hand *h, const struct kw_body *body) {
    for (int i = 0; i < body->bend_count; i++) {
        const struct kw_bend *b = &body->bends[i];
        const struct kw_flange *f = &h->flanges[b->flange];
        bool carries = f->offset > 0 && f->hem == KW_NO_HEM;
        for (int k = 0; k < h->part.bends.count; k++)
            carries |= h->flanges[k].parent == b->flange;
        struct kw_box2 box = kw_path_box(&body->faces[b->child].shape.outer);
        cr_expect_float_eq(box.min.y, b->setback, 1e-9);
        if (carries) continue;
        double t = body->thickness, want = f->height;
        if (f->measured == KW_MEASURED_INSIDE)
            want += b->angle > KW_PI / 2 ? t : t * tan(b->angle / 2);
        if (f->measured == KW_MEASURED_BEND_LINE) want += b->setback - b->allowance / 2;
        cr_expect_float_eq(box.max.y, want, 1e-9);
    }
}

/// The bend on the base of the row that bend i belongs to.
static int root(const struct kw_body *body, int i) {
    while (body->bends[i].parent != 0)
        i = body->faces[body->bends[i].parent].bend;
    return i;
}

/// Whether metal lies within `most` beyond the end of bend i, `aside` from its line; *of_row: it is
/// that of another row of flanges.
static bool metal_beyond(const struct kw_body *body, int i, bool to, double aside, double most,
                         bool *of_row) {
    const struct kw_bend *b = &body->bends[i];
    const struct kw_path *p = &body->blank.outer;
    struct kw_vec2 u = kw_scale2(kw_sub2(b->to, b->from), 1 / b->length);
    struct kw_vec2 end = kw_add2(to ? b->to : b->from, kw_scale2(kw_left2(u), aside)), q[2];
    struct kw_vec2 off = kw_scale2(u, to ? 1 : -1);
    struct kw_vec2 start = kw_add2(end, kw_scale2(off, 1e-3));
    struct kw_segment line = kw_segment_make(start, kw_add2(end, kw_scale2(off, most)), 0);
    *of_row = false;
    for (int s = 0; s < p->count; s++) {
        if (kw_segment_crossings(kw_path_segment(p, s), line, q) == 0) continue;
        int bend = p->v[s].tag - 1000;
        *of_row = bend >= 0 && root(body, bend) != root(body, i);
        return true;
    }
    return kw_path_contains(p, start);
}

/// Beyond each end of a bend no metal stands beside its zone nearer than the thickness: the least
/// that two flanges on one edge keep; a notch is wider. The rows of two edges that are no
/// neighbours may come nearer, as long as they don't overlap: counted.
static int check_reliefs(const struct kw_body *body, int part) {
    int close = 0;
    for (int i = 0; i < body->bend_count; i++)
        for (int k = 0; k < 6; k++) {
            double aside = body->bends[i].allowance * (k / 2 - 1) * 0.49;
            bool of_row;
            if (!metal_beyond(body, i, k % 2, aside, body->thickness - 1e-6, &of_row)) continue;
            close += of_row;
            cr_expect(of_row, "part %d: bend %s has no relief", part, body->bends[i].id);
        }
    return close;
}

/// Flanges on the base alone, turned no further than square, all one way, can't meet: each stays on
/// its own side of what parts it from its neighbour.
static bool stays_apart(const struct hand *h) {
    for (int i = 0; i < h->part.bends.count; i++) {
        const struct kw_flange *f = &h->flanges[i];
        if (f->parent >= 0 || f->hem != KW_NO_HEM || f->offset > 0 || f->turn > KW_PI / 2 ||
            f->way != h->flanges[0].way)
            return false;
    }
    return h->part.bends.count > 1;
}

struct tally {
    int made, refused, clashes, apart, close, kinds[4], by_rule[4];
};

static void count_refusal(const struct hand *h, struct tally *n, int part) {
    static const char *const rules[] = {"flange-fit", "blank-overlap", "hole-outside",
                                        "flange-cycle"};
    cr_assert_gt(h->found.count, 0, "part %d: refused without a word", part);
    for (int i = 0; i < 4; i++)
        n->by_rule[i] += strcmp(h->found.v[0].rule, rules[i]) == 0;
    n->refused++;
    if (getenv("KW_PARTS_TELL")) fprintf(stderr, "part %d: %s\n", part, h->found.v[0].says);
}

static void try_part(uint64_t *seed, struct tally *n, int part) {
    struct hand h;
    random_part(&h, seed);
    struct kw_body *body = hand_make(&h);
    if (!body) {
        count_refusal(&h, n, part);
        kw_arena_free(&h.a);
        return;
    }
    struct kw_error err = {0};
    cr_expect_eq(kw_path_check(&body->blank.outer, (struct kw_place){0}, &err), KW_OK,
                 "part %d: %s", part, err.text);
    check_area(body);
    check_lengths(body);
    check_places(&h.a, body);
    check_mesh(&h.a, body);
    check_heights(&h, body);
    n->close += check_reliefs(body, part) > 0;
    for (int i = 0; i < body->bend_count; i++)
        n->kinds[body->bends[i].kind]++;
    int faces[2];
    struct kw_vec3 at;
    bool clash = kw_body_clash(body, faces, &at);
    n->clashes += clash;
    if (stays_apart(&h)) {
        n->apart++;
        cr_expect(!clash, "part %d: faces %d and %d", part, faces[0], faces[1]);
    }
    n->made++;
    kw_arena_free(&h.a);
}

Test(shape_round_trip, random_parts_fold_and_unfold) {
    uint64_t seed = 20261127;
    struct tally n = {0};
    int most = wanted();
    for (int i = 0; n.made < most && i < 20 * most; i++)
        try_part(&seed, &n, i);
    fprintf(stderr,
            "%d parts made, %d refused (%d flange-fit, %d blank-overlap), %d run into "
            "themselves, %d come close to themselves; bends: %d plain, %d of hems, %d of offsets, "
            "%d by hand\n",
            n.made, n.refused, n.by_rule[0], n.by_rule[1], n.clashes, n.close, n.kinds[0],
            n.kinds[1], n.kinds[2], n.kinds[3]);
    cr_expect_eq(n.made, most);
    cr_expect_gt(n.apart, most / 20);
    cr_expect_leq(n.close, 1 + most / 500);
    for (int i = 0; i < 4; i++)
        cr_expect_gt(n.kinds[i], most / 4);
}

// ----------------------------------------------------------------------------- closed corners

/// Reach of a folded face along x (axis 0) or y in the base's frame.
static void reach_of(struct kw_arena *a, const struct kw_body *body, int face, int axis,
                     double reach[2]) {
    struct kw_move3 *folded = kw_body_fold(a, body, 1);
    const struct kw_path *p = &body->faces[face].shape.outer;
    reach[0] = INFINITY;
    reach[1] = -INFINITY;
    for (int i = 0; i < p->count; i++)
        for (int side = 0; side < 2; side++) {
            struct kw_vec3 q = kw_move3_point(
                folded[face], kw_v3(p->v[i].x, p->v[i].y, side ? -body->thickness : 0));
            double at = axis ? q.y : q.x;
            reach[0] = fmin(reach[0], at);
            reach[1] = fmax(reach[1], at);
        }
}

/// Each end of a tray's side, measured from the tray's outside: nothing where it covers its
/// neighbour, thickness and gap where it butts, further where reliefs leave it.
static void check_ends(struct hand *h, const struct kw_body *body) {
    double size[2] = {h->part.base.length, h->part.base.width}, reach[2];
    for (int i = 0; i < 4; i++) {
        const struct kw_flange *f = &h->flanges[i];
        int axis = f->edge == KW_EDGE_FRONT || f->edge == KW_EDGE_BACK ? 0 : 1;
        const struct kw_bend *b = &body->bends[0];
        while (b->flange != i)
            b++;
        reach_of(&h->a, body, b->child, axis, reach);
        double in[2] = {reach[0], size[axis] - reach[1]}, t = body->thickness;
        for (int end = 0; end < 2; end++) {
            if (f->corners == KW_CORNERS_BY_RELIEF)
                cr_expect_gt(in[end], t + b->radius);
            else
                cr_expect_float_eq(in[end], f->corners == KW_CORNERS_COVER ? 0 : t + f->corner_gap,
                                   1e-9, "flange %s end %d: %f", f->name, end, in[end]);
        }
    }
}

Test(shape_round_trip, trays_with_closed_corners) {
    uint64_t seed = 20261128;
    for (int i = 0; i < 60; i++) {
        struct hand h;
        double t = between(&seed, 0.8, 6), r = between(&seed, 0.6, 2) * t;
        double height = between(&seed, 6, 12) * t + 10;
        hand_start(&h, between(&seed, 150, 400), between(&seed, 150, 400), t);
        int way = (int)(kw_random(&seed) % 2), pair[2];
        pair[0] = (int)(kw_random(&seed) % 3);
        pair[1] = pair[0] == KW_CORNERS_COVER ? 1 : (int)(kw_random(&seed) % 3);
        for (int e = 0; e < 4; e++) {
            struct kw_flange *f = hand_flange(&h, KW_EDGE_FRONT + e, height, 90 * DEG, r);
            f->way = way;
            f->corners = pair[e % 2];
            f->corner_gap = between(&seed, 0.2, 0.8) * t;
            if (one_in(&seed, 3)) f->round = 4;
        }
        struct kw_body *body = hand_make(&h);
        cr_assert(body, "%s", h.found.count ? h.found.v[0].says : "");
        check_area(body);
        check_lengths(body);
        check_places(&h.a, body);
        check_mesh(&h.a, body);
        check_heights(&h, body);
        check_reliefs(body, i);
        check_ends(&h, body);
        int faces[2];
        struct kw_vec3 at;
        cr_expect_not(kw_body_clash(body, faces, &at), "tray %d: faces %d and %d", i, faces[0],
                      faces[1]);
        kw_arena_free(&h.a);
    }
}

Test(shape_round_trip, corners_that_cannot_be_closed_are_told) {
    for (int i = 0; i < 3; i++) {
        struct hand h;
        hand_start(&h, 200, 150, 3);
        struct kw_flange *f = hand_flange(&h, KW_EDGE_FRONT, 40, 90 * DEG, 3);
        struct kw_flange *g = hand_flange(&h, KW_EDGE_RIGHT, 40, (i == 0 ? 80 : 90) * DEG, 3);
        f->corners = KW_CORNERS_COVER;
        g->corners = i == 2 ? KW_CORNERS_COVER : KW_CORNERS_BY_RELIEF;
        if (i == 1) g->way = KW_DOWN;
        cr_expect_null(hand_make(&h));
        cr_expect(hand_has(&h, "flange-fit"));
        kw_arena_free(&h.a);
    }
}
