// SPDX-License-Identifier: Apache-2.0
// The tube as straight pieces with the tube round them, for looking at what it meets.
#include "tube/inside.h"

struct cutting {
    struct kw_tube_piece *v;
    int count;
    double r;
};

static void add_piece(struct cutting *c, struct kw_vec3 a, struct kw_vec3 b, double length,
                      double sagitta) {
    double from = c->count > 0 ? c->v[c->count - 1].to : 0;
    if (!(length > 0)) return;
    c->v[c->count++] = (struct kw_tube_piece){a, b, c->r + sagitta, from, from + length};
}

static int chords_of(const struct kw_tube_bend *b) {
    double step = 2 * acos(1 - fmin(0.5, KW_TUBE_SAGITTA / b->radius));
    return (int)ceil(b->angle / step);
}

static void add_arc(struct cutting *c, struct kw_tube_walk start, const struct kw_tube_bend *b) {
    int n = chords_of(b);
    double sagitta = b->radius * (1 - cos(b->angle / n / 2));
    struct kw_vec3 before = start.at;
    for (int k = 1; k <= n; k++) {
        struct kw_vec3 next = kw_tube_walk_arc(start, b->radius, b->angle * k / n).at;
        add_piece(c, before, next, b->radius * b->angle / n, sagitta);
        before = next;
    }
}

struct kw_tube_piece *kw_tube_pieces(struct kw_arena *a, const struct kw_tube_table *t, double r,
                                     struct kw_tube_trims trims, int *count) {
    int most = t->count + 1;
    for (int i = 0; i < t->count; i++)
        most += chords_of(&t->bends[i]);
    struct cutting c = {KW_NEW_ARRAY(a, struct kw_tube_piece, most), 0, r};
    struct kw_tube_walk w = kw_tube_walk_straight(kw_tube_walk_start(t), -trims.start);
    for (int i = 0; i <= t->count; i++) {
        double length = i < t->count ? t->bends[i].straight : t->last + trims.end;
        if (i == 0) length += trims.start;
        if (i < t->count) w = kw_tube_walk_rotate(w, t->bends[i].rotate);
        struct kw_tube_walk end = kw_tube_walk_straight(w, length);
        add_piece(&c, w.at, end.at, length, 0);
        if (i == t->count) break;
        add_arc(&c, end, &t->bends[i]);
        w = kw_tube_walk_arc(end, t->bends[i].radius, t->bends[i].angle);
    }
    *count = c.count;
    return c.v;
}

struct kw_vec3 kw_tube_to_bender(const struct kw_tube_walk *w, struct kw_vec3 p) {
    struct kw_vec3 d = kw_sub3(p, w->at);
    return kw_v3(-kw_dot3(d, w->along), kw_dot3(d, w->side),
                 -kw_dot3(d, kw_cross3(w->along, w->side)));
}

struct kw_vec3 kw_tube_from_bender(const struct kw_tube_walk *w, struct kw_vec3 p) {
    struct kw_vec3 q = along3(along3(w->at, -p.x, w->along), p.y, w->side);
    return along3(q, -p.z, kw_cross3(w->along, w->side));
}
