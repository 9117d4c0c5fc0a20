// SPDX-License-Identifier: Apache-2.0
// What is drawn twice, as one kind of entity or as two: the first in the file stays.
#include "kit/sketch_in.h"

#include <stdlib.h>

static bool near(double a, double b) {
    return fabs(a - b) <= KW_SLIP_MM;
}

static bool lies_on(const struct kw_path *p, const struct kw_path *q) {
    for (int i = 0; i < kw_path_segments(p); i++) {
        struct kw_segment s = kw_path_segment(p, i);
        if (kw_path_distance(q, s.a) > KW_SLIP_MM) return false;
        if (kw_path_distance(q, kw_segment_point(s, 0.5)) > KW_SLIP_MM) return false;
    }
    return true;
}

static bool same_path(const struct kw_path *p, struct kw_box2 b, const struct kw_path *q,
                      struct kw_box2 c) {
    return p->open == q->open && near(b.min.x, c.min.x) && near(b.min.y, c.min.y) &&
           near(b.max.x, c.max.x) && near(b.max.y, c.max.y) && lies_on(p, q) && lies_on(q, p);
}

static int by_box_left_then_line(const void *a, const void *b) {
    const struct kw_loop *p = a, *q = b;
    if (p->box.min.x != q->box.min.x) return p->box.min.x < q->box.min.x ? -1 : 1;
    return kw_loop_by_line(a, b);
}

// Of loops that are drawn twice, as one kind of entity or as two, the first in the file stays.
static void drop_doubles(struct kw_loops *f, struct kw_loop *v, int *count) {
    int n = 0;
    if (*count > 1) qsort(v, (size_t)*count, sizeof *v, by_box_left_then_line);
    for (int i = 0; i < *count; i++) {
        bool twice = false;
        for (int j = n - 1; j >= 0 && !twice && near(v[j].box.min.x, v[i].box.min.x); j--) {
            twice = same_path(&v[i].path, v[i].box, &v[j].path, v[j].box);
            if (twice && v[i].line < v[j].line) v[j] = v[i];
        }
        if (twice)
            f->d->dropped++;
        else
            v[n++] = v[i];
    }
    *count = n;
}

static enum kw_status drop_double_marks(struct kw_loops *f) {
    struct kw_paths *marks = &f->d->marks;
    struct kw_loop *v = NULL;
    int n = 0;
    if (marks->count > KW_MOST_LOOPS) {
        return kw_fail(f->d->err, KW_LIMIT, kw_sketch_place(f->d, 0),
                       "expected at most %d marks, got %d", KW_MOST_LOOPS, marks->count);
    }
    for (int i = 0; i < marks->count; i++) {
        const struct kw_path *p = &marks->v[i];
        if (p->count < 2 || !(kw_path_length(p) > KW_SAME_POINT_MM)) {
            f->d->dropped++;
            continue;
        }
        struct kw_loop l = {.path = *p, .box = kw_path_box(p), .line = p->v[0].tag};
        KW_PUSH(f->d->scratch, v, n) = l;
    }
    drop_doubles(f, v, &n);
    if (n > 1) qsort(v, (size_t)n, sizeof *v, kw_loop_by_line);
    for (int i = 0; i < n; i++)
        marks->v[i] = v[i].path;
    marks->count = n;
    return KW_OK;
}

static bool same_point(struct kw_vec2 p, struct kw_vec2 q) {
    return near(p.x, q.x) && near(p.y, q.y);
}

static void drop_double_bends(struct kw_sketch *d) {
    int n = 0;
    for (int i = 0; i < d->bend_count; i++) {
        struct kw_bend_line l = d->bends[i];
        bool twice = false;
        for (int j = 0; j < n && !twice; j++) {
            const struct kw_bend_line *m = &d->bends[j];
            twice = l.way == m->way && ((same_point(l.a, m->a) && same_point(l.b, m->b)) ||
                                        (same_point(l.a, m->b) && same_point(l.b, m->a)));
        }
        if (twice)
            d->dropped++;
        else
            d->bends[n++] = l;
    }
    d->bend_count = n;
}

enum kw_status kw_loops_drop_doubles(struct kw_loops *f) {
    drop_doubles(f, f->loops, &f->count);
    qsort(f->loops, (size_t)f->count, sizeof *f->loops, kw_loop_by_line);
    drop_double_bends(f->d);
    return drop_double_marks(f);
}
