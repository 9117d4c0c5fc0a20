// SPDX-License-Identifier: Apache-2.0
// The outline of the flat that its flanges leave: round the nominal edges, in at each tangent line,
// down into the notches.
#include "shape/layout.h"

static void add_at(struct build *b, struct kw_path *p, struct kw_vec2 q, int tag) {
    if (p->count > 0) {
        struct kw_vertex *last = &p->v[p->count - 1];
        if (hypot(last->x - q.x, last->y - q.y) <= KW_SAME_POINT_MM && last->bulge == 0) {
            last->tag = tag;
            return;
        }
    }
    kw_path_add(b->arena, p, q.x, q.y, 0, tag);
}

static void add(struct build *b, struct kw_path *p, const struct edge *e, double x, double depth) {
    add_at(b, p, edge_point(e, x, depth), e->tag);
}

static void add_cut(struct build *b, struct kw_path *p, const struct edge *e, int end, int i) {
    struct kw_vec2 q = e->ends[end].v[i];
    add(b, p, e, end == 0 ? e->corner[0] + q.x : e->corner[1] - q.x, q.y);
}

/// Down into the notch before the seat (the outline comes from x above it).
static void walk_before(struct build *b, struct kw_path *p, const struct edge *e, int i) {
    const struct seat *s = &e->seats[i];
    double bottom = s->depth + b->past;
    if (i == 0 && e->ends[1].done) {
        for (int k = e->ends[1].count - 1; k >= 0; k--)
            add_cut(b, p, e, 1, k);
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
    if (e->count == 0) return;
    const struct seat *last = &e->seats[e->count - 1];
    if (e->ends[0].done) {
        for (int k = 0; k < e->ends[0].count; k++)
            add_cut(b, p, e, 0, k);
        return;
    }
    add(b, p, e, last->x0, last->depth + b->past);
    add(b, p, e, last->x0 - b->relief, last->depth + b->past);
    add(b, p, e, last->x0 - b->relief, 0);
}

void edges_walk(struct build *b, const struct edges *es, struct kw_path *p) {
    for (int i = 0; i < es->count; i++) {
        const struct edge *e = &es->v[i];
        if (!e->gone) {
            add_at(b, p, e->line.a, e->tag);
            p->v[p->count - 1].bulge = e->line.bulge;
        }
        if (e->line.radius == 0) walk_seats(b, p, e);
    }
    const struct kw_vertex *end = &p->v[p->count - 1];
    if (end->bulge == 0 && hypot(end->x - p->v[0].x, end->y - p->v[0].y) <= KW_SAME_POINT_MM)
        p->count--;
}
