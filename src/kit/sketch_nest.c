// SPDX-License-Identifier: Apache-2.0
// Whether loops are apart, simple, and all but one holes in that one.
#include "kit/sketch_in.h"

#include <stdlib.h>

static enum kw_status check_loops(struct kw_loops *f) {
    for (int i = 0; i < f->count; i++) {
        struct kw_error why = {0};
        struct kw_place at = kw_sketch_place(f->d, f->loops[i].line);
        enum kw_status s = kw_path_check(&f->loops[i].path, at, &why);
        if (s != KW_OK) return kw_fail(f->d->err, s, at, "the outline %s", why.text);
        if (f->loops[i].area > f->loops[f->outer].area) f->outer = i;
    }
    return KW_OK;
}

struct item {
    struct kw_segment s;
    struct kw_box2 box;
    int loop, index; // index counts through all loops
};

static struct kw_box2 segment_box(const struct kw_path *p, int i) {
    struct kw_vertex two[2] = {p->v[i], p->v[(i + 1) % p->count]};
    struct kw_path one = {.v = two, .count = 2, .open = true};
    return kw_path_box(&one);
}

static int by_left(const void *a, const void *b) {
    const struct item *p = a, *q = b;
    if (p->box.min.x != q->box.min.x) return p->box.min.x < q->box.min.x ? -1 : 1;
    return (p->index > q->index) - (p->index < q->index);
}

// Crossing, or touching with an end: overlapping lines have such ends too.
static bool segments_meet(const struct kw_segment *s, const struct kw_segment *t,
                          struct kw_vec2 *at) {
    struct kw_vec2 p[2];
    if (kw_segment_crossings(*s, *t, p) > 0) {
        *at = p[0];
        return true;
    }
    const struct kw_vec2 ends[4] = {s->a, s->b, t->a, t->b};
    for (int i = 0; i < 4; i++) {
        *at = ends[i];
        if (kw_segment_distance(i < 2 ? *t : *s, ends[i]) <= KW_SAME_POINT_MM) return true;
    }
    return false;
}

static enum kw_status fail_meet(struct kw_loops *f, int i, int j, struct kw_vec2 at) {
    int first = f->loops[i].line, second = f->loops[j].line;
    return kw_fail(f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, first > second ? first : second),
                   "this outline crosses or touches the one at line %d, at %s %s",
                   first < second ? first : second, kw_loops_point(f, at), f->d->unit);
}

// Neighbours in a loop share an end: what else they share, kw_path_check sees.
static bool are_neighbours(const struct kw_loops *f, const struct item *p, const struct item *q) {
    int n = f->loops[p->loop].path.count, step = abs(p->index - q->index);
    return p->loop == q->loop && (step <= 1 || step == n - 1);
}

static enum kw_status check_pair(struct kw_loops *f, const struct item *p, const struct item *q) {
    struct kw_vec2 at;
    if (are_neighbours(f, p, q) || !segments_meet(&p->s, &q->s, &at)) return KW_OK;
    if (p->loop != q->loop) return fail_meet(f, p->loop, q->loop, at);
    const struct kw_vertex *v = f->loops[p->loop].path.v;
    int first = f->loops[p->loop].first;
    int one = v[p->index - first].tag, other = v[q->index - first].tag;
    return kw_fail(f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, one > other ? one : other),
                   "the outline crosses itself at %s %s", kw_loops_point(f, at), f->d->unit);
}

// Segments of all loops in order of their left ends, each against those that begin before it ends.
static enum kw_status check_apart(struct kw_loops *f) {
    struct item *v = NULL;
    int n = 0;
    for (int i = 0; i < f->count; i++) {
        const struct kw_path *p = &f->loops[i].path;
        f->loops[i].first = n;
        for (int k = 0; k < p->count; k++) {
            struct item one = {kw_path_segment(p, k), segment_box(p, k), i, n};
            KW_PUSH(f->d->scratch, v, n) = one;
        }
    }
    qsort(v, (size_t)n, sizeof *v, by_left);
    for (int i = 0; i < n; i++) {
        double reach = v[i].box.max.x + KW_SAME_POINT_MM;
        for (int j = i + 1; j < n && v[j].box.min.x <= reach; j++) {
            if (v[j].box.min.y > v[i].box.max.y + KW_SAME_POINT_MM) continue;
            if (v[j].box.max.y < v[i].box.min.y - KW_SAME_POINT_MM) continue;
            enum kw_status s = check_pair(f, &v[i], &v[j]);
            if (s != KW_OK) return s;
        }
    }
    return KW_OK;
}

static struct kw_vec2 start(const struct kw_loop *l) {
    return kw_v2(l->path.v[0].x, l->path.v[0].y);
}

static int by_box_left(const void *a, const void *b) {
    const struct kw_loop *p = *(const struct kw_loop *const *)a,
                         *q = *(const struct kw_loop *const *)b;
    if (p->box.min.x != q->box.min.x) return p->box.min.x < q->box.min.x ? -1 : 1;
    return (p > q) - (p < q); // one array: the order of the file
}

static bool box_within(const struct kw_box2 *in, const struct kw_box2 *out) {
    return in->min.x >= out->min.x && in->max.x <= out->max.x && in->min.y >= out->min.y &&
           in->max.y <= out->max.y;
}

// No two loops meet, so that one point tells where a loop lies.
static enum kw_status check_nesting(struct kw_loops *f) {
    const struct kw_loop *outer = &f->loops[f->outer];
    const struct kw_loop **v = NULL;
    int n = 0;
    for (int i = 0; i < f->count; i++) {
        const struct kw_loop *l = &f->loops[i];
        if (i == f->outer) continue;
        if (!box_within(&l->box, &outer->box) || !kw_path_contains(&outer->path, start(l))) {
            return kw_fail(f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, l->line),
                           "a second outline beside the one at line %d, at %s %s: expected one "
                           "part a drawing",
                           outer->line, kw_loops_point(f, start(l)), f->d->unit);
        }
        KW_PUSH(f->d->scratch, v, n) = l;
    }
    if (n > 1) qsort(v, (size_t)n, sizeof *v, by_box_left);
    for (int i = 0; i < n; i++) {
        for (int j = i + 1; j < n && v[j]->box.min.x <= v[i]->box.max.x; j++) {
            const struct kw_loop *in = v[i], *out = v[j];
            if (in->area > out->area) in = v[j], out = v[i];
            if (!box_within(&in->box, &out->box) || !kw_path_contains(&out->path, start(in)))
                continue;
            return kw_fail(f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, in->line),
                           "an outline inside the hole at line %d, at %s %s: it would fall out",
                           out->line, kw_loops_point(f, start(in)), f->d->unit);
        }
    }
    return KW_OK;
}

enum kw_status kw_loops_check(struct kw_loops *f) {
    enum kw_status s = check_apart(f);
    if (s == KW_OK) s = check_loops(f);
    return s == KW_OK ? check_nesting(f) : s;
}
