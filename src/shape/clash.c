// SPDX-License-Identifier: Apache-2.0
// Whether flats and bend zones of the finished part run into each other.
#include "shape/prism.h"

/// Piece i of a body: its faces, then its bends.
static bool joined(const struct kw_body *body, int i, int k) {
    int n = body->face_count;
    if (i >= n && k >= n) return false;
    if (i >= n || k >= n) {
        const struct kw_bend *b = &body->bends[(i >= n ? i : k) - n];
        int face = i >= n ? k : i;
        return b->parent == face || b->child == face;
    }
    int a = body->faces[i].bend, b = body->faces[k].bend;
    return (a >= 0 && body->bends[a].parent == k) || (b >= 0 && body->bends[b].parent == i);
}

static int face_of(const struct kw_body *body, int piece) {
    return piece < body->face_count ? piece : body->bends[piece - body->face_count].child;
}

/// A piece in space: a box round it, and its prisms once they are asked for.
struct piece {
    struct kw_box3 box;
    struct prisms solid;
    bool made;
};

static void cover(struct kw_box3 *box, struct kw_vec3 p, double more) {
    box->min = kw_v3(fmin(box->min.x, p.x - more), fmin(box->min.y, p.y - more),
                     fmin(box->min.z, p.z - more));
    box->max = kw_v3(fmax(box->max.x, p.x + more), fmax(box->max.y, p.y + more),
                     fmax(box->max.z, p.z + more));
}

static struct kw_box3 empty(void) {
    return (struct kw_box3){{INFINITY, INFINITY, INFINITY}, {-INFINITY, -INFINITY, -INFINITY}};
}

static struct kw_box3 face_box(const struct kw_body *body, int face, struct kw_move3 m) {
    struct kw_box3 box = empty();
    struct kw_box2 b = kw_path_box(&body->faces[face].shape.outer);
    for (int i = 0; i < 8; i++) {
        struct kw_vec3 p = {i & 1 ? b.max.x : b.min.x, i & 2 ? b.max.y : b.min.y,
                            i & 4 ? -body->thickness : 0};
        cover(&box, kw_move3_point(m, p), 0);
    }
    return box;
}

/// Round the ends and the middle of its arcs, with as much more as an arc bulges out between.
static struct kw_box3 bend_box(const struct kw_body *body, int bend, struct kw_move3 parent) {
    const struct kw_bend *b = &body->bends[bend];
    struct kw_box3 box = empty();
    struct bend_frame f = shape_bend_frame(body, bend, 1);
    double x[2], more = (b->radius + body->thickness) * (1 - cos(b->angle / 4));
    shape_zone_ends(body, bend, b->child, &x[0], &x[1]);
    for (int i = 0; i < 12; i++) {
        double z = i & 2 ? -body->thickness : 0, s = i / 4 / 2.0;
        struct kw_vec3 p = shape_bend_point(body, bend, &f, s, x[i & 1], z, 1);
        cover(&box, kw_move3_point(parent, p), more);
    }
    return box;
}

static bool boxes_meet(struct kw_box3 a, struct kw_box3 b) {
    return a.max.x > b.min.x && b.max.x > a.min.x && a.max.y > b.min.y && b.max.y > a.min.y &&
           a.max.z > b.min.z && b.max.z > a.min.z;
}

static const struct prisms *solid(struct kw_arena *a, const struct kw_body *body,
                                  const struct kw_move3 *m, struct piece *pieces, int i) {
    struct piece *p = &pieces[i];
    int bend = i - body->face_count;
    if (!p->made && bend < 0) shape_face_prisms(a, body, i, m[i], &p->solid);
    if (!p->made && bend >= 0)
        shape_bend_prisms(a, body, bend, m[body->bends[bend].parent], &p->solid);
    p->made = true;
    return &p->solid;
}

bool kw_body_clash(const struct kw_body *body, int faces[2], struct kw_vec3 *at) {
    struct kw_arena scratch = {0};
    bool found = false;
    int n = body->face_count + body->bend_count;
    struct kw_move3 *m = kw_body_fold(&scratch, body, 1);
    struct piece *pieces = KW_NEW_ARRAY(&scratch, struct piece, n);
    for (int i = 0; i < body->face_count; i++)
        pieces[i].box = face_box(body, i, m[i]);
    for (int i = 0; i < body->bend_count; i++)
        pieces[body->face_count + i].box = bend_box(body, i, m[body->bends[i].parent]);
    for (int i = 0; i < n && !found; i++)
        for (int k = i + 1; k < n && !found; k++) {
            if (joined(body, i, k) || !boxes_meet(pieces[i].box, pieces[k].box)) continue;
            const struct prisms *p = solid(&scratch, body, m, pieces, i);
            if (!shape_prisms_meet(p, solid(&scratch, body, m, pieces, k), at)) continue;
            int f = face_of(body, i), g = face_of(body, k);
            found = true;
            faces[0] = f < g ? f : g;
            faces[1] = f < g ? g : f;
        }
    kw_arena_free(&scratch);
    return found;
}
