// SPDX-License-Identifier: Apache-2.0
// The blank's outline: round the flat of the base, and at each tangent line out over the bend zone
// and round the child, so that lines stay lines and arcs stay arcs.
#include "shape/stand.h"

/// A walk round flats and the bend zones between them.
struct round {
    struct kw_arena *arena;
    const struct kw_body *body;
    struct kw_path *out;
    bool hands_only; // over bends by hand alone; the other tangent lines are edges
};

static void emit(const struct round *r, struct kw_vertex v, struct kw_move2 m, int tag) {
    struct kw_vec2 q = kw_move2_point(m, kw_v2(v.x, v.y));
    kw_path_add(r->arena, r->out, q.x, q.y, v.bulge, tag);
}

/// The outline of `face` from the end of segment `from` round to its start (from -1: all of it).
static void go_round(const struct round *r, int face, int from) {
    const struct kw_face *f = &r->body->faces[face];
    const struct kw_path *p = &f->shape.outer;
    int own = f->bend < 0 ? 0 : 1000 + f->bend;
    bool drawn = f->bend < 0 && r->body->part->flat; // keeps its tags, and so does a joint's tab
    for (int k = 0; k < p->count; k++) {
        int i = (from + 1 + k) % p->count;
        struct kw_vertex v = p->v[i];
        int bend = v.tag - KW_TANGENT_TAG;
        bool over = bend >= 0 && (!r->hands_only || r->body->bends[bend].kind == KW_BEND_HAND);
        bool tab = v.tag >= KW_TAB_TAG && v.tag < KW_TAB_TAG + r->body->part->tabs.count;
        emit(r, v, f->flat, over ? 1000 + bend : drawn || tab ? v.tag : own);
        if (!over) continue;
        if (i == from) return; // back to the parent
        go_round(r, r->body->bends[bend].child, 0);
    }
}

/// Drops vertices in the middle of straight lines of one feature.
static void join_lines(struct kw_path *p) {
    int kept = 0;
    for (int i = 0; i < p->count; i++) {
        const struct kw_vertex *before = &p->v[kept ? kept - 1 : p->count - 1], *v = &p->v[i];
        const struct kw_vertex *after = &p->v[(i + 1) % p->count];
        struct kw_vec2 in = kw_v2(v->x - before->x, v->y - before->y);
        struct kw_vec2 out = kw_v2(after->x - v->x, after->y - v->y);
        bool straight = before->bulge == 0 && v->bulge == 0 && before->tag == v->tag &&
                        fabs(kw_cross2(in, out)) <= 1e-9 * kw_length2(in) * kw_length2(out) &&
                        kw_dot2(in, out) > 0;
        if (!straight) p->v[kept++] = *v;
    }
    p->count = kept;
}

struct kw_path kw_body_shipped_flat(struct kw_arena *a, const struct kw_body *body, int face,
                                    int *first) {
    struct kw_path out = {0};
    struct round r = {a, body, &out, true};
    *first = face;
    while (body->faces[*first].bend >= 0 &&
           body->bends[body->faces[*first].bend].kind == KW_BEND_HAND)
        *first = body->bends[body->faces[*first].bend].parent;
    go_round(&r, *first, -1);
    for (int i = 0; i < out.count; i++)
        out.v[i].tag = 0;
    join_lines(&out);
    return out;
}

void shape_blank(struct build *b) {
    struct round r = {b->arena, b->body, &b->body->blank.outer, false};
    go_round(&r, 0, -1);
    join_lines(&b->body->blank.outer);
}

void shape_to_corner(struct build *b) {
    struct kw_body *body = b->body;
    struct kw_box2 box = kw_path_box(&body->blank.outer);
    struct kw_move2 shift = {1, 0, -box.min.x, -box.min.y, false};
    body->blank.outer = kw_path_moved(b->arena, &body->blank.outer, shift);
    for (int i = 0; i < body->face_count; i++)
        body->faces[i].flat = kw_move2_then(body->faces[i].flat, shift);
    for (int i = 0; i < body->bend_count; i++) {
        body->bends[i].from = kw_move2_point(shift, body->bends[i].from);
        body->bends[i].to = kw_move2_point(shift, body->bends[i].to);
    }
}
