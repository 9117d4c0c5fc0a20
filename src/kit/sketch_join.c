// SPDX-License-Identifier: Apache-2.0
// From loose pieces to loops: ends that meet are joined, what stays open is told with its gap.
#include "kit/sketch_in.h"

// Of all ends of the open chains other than `end` itself, the nearest to it.
static struct kw_vec2 nearest_end(const struct kw_loose *open, int count, struct kw_vec2 end) {
    struct kw_vec2 best = end;
    double least = INFINITY;
    for (int i = 0; i < count; i++) {
        const struct kw_path *p = &open[i].path;
        struct kw_vec2 ends[2] = {{p->v[0].x, p->v[0].y},
                                  {p->v[p->count - 1].x, p->v[p->count - 1].y}};
        for (int k = 0; k < 2; k++) {
            double gap = kw_length2(kw_sub2(ends[k], end));
            if ((i == 0 && k == 1) || gap >= least) continue;
            least = gap;
            best = ends[k];
        }
    }
    return best;
}

static enum kw_status fail_open(struct kw_loops *f, const struct kw_loose *open, int count) {
    const struct kw_path *p = &open[0].path;
    struct kw_vec2 end = {p->v[p->count - 1].x, p->v[p->count - 1].y};
    struct kw_vec2 other = nearest_end(open, count, end);
    char gap[KW_NUMBER_SIZE];
    int more = count - 1;
    return kw_fail(
        f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, p->v[p->count > 1 ? p->count - 2 : 0].tag),
        "the outline is open: from %s to %s there is a gap of %s %s%s", kw_loops_point(f, end),
        kw_loops_point(f, other), kw_number(gap, kw_length2(kw_sub2(end, other)) / f->d->scale, 4),
        f->d->unit, more > 0 ? kw_format(f->d->scratch, " (and %d more open)", more) : "");
}

// A closed path as drawn, without steps that are none.
static struct kw_path without_slips(struct kw_loops *f, const struct kw_path *p) {
    struct kw_path q = {0};
    for (int i = 0; i < p->count; i++) {
        struct kw_vertex v = p->v[i], w = p->v[(i + 1) % p->count];
        if (hypot(w.x - v.x, w.y - v.y) < KW_SLIP_MM && p->count > 1) {
            f->d->dropped++;
            continue;
        }
        KW_PUSH(f->d->scratch, q.v, q.count) = v;
    }
    return q;
}

static void add_loop(struct kw_loops *f, struct kw_path p) {
    if (p.count == 0) return;
    struct kw_loop l = {.path = p, .box = kw_path_box(&p), .area = fabs(kw_path_area(&p))};
    l.line = p.v[0].tag;
    for (int i = 1; i < p.count; i++) {
        if (p.v[i].tag < l.line) l.line = p.v[i].tag;
    }
    KW_PUSH(f->d->scratch, f->loops, f->count) = l;
}

int kw_loop_by_line(const void *a, const void *b) {
    const struct kw_loop *p = a, *q = b;
    if (p->line != q->line) return p->line < q->line ? -1 : 1;
    return (p->box.min.x > q->box.min.x) - (p->box.min.x < q->box.min.x);
}

enum kw_status kw_loops_join(struct kw_loops *f, struct kw_drawing *out) {
    struct kw_sketch *d = f->d;
    struct kw_path *closed;
    struct kw_loose *open;
    int closed_count, open_count, dropped = 0;
    kw_path_join(d->scratch, d->open.v, d->open.count, KW_JOIN_MM, &closed, &closed_count, &open,
                 &open_count, &dropped);
    if (open_count > 0) return fail_open(f, open, open_count);
    for (int i = 0; i < closed_count; i++)
        add_loop(f, closed[i]);
    for (int i = 0; i < d->closed.count; i++)
        add_loop(f, without_slips(f, &d->closed.v[i]));
    out->joined = d->open.count;
    d->dropped += dropped;
    if (f->count == 0) {
        return kw_fail(d->err, KW_GEOMETRY, kw_sketch_place(d, 0),
                       "an empty drawing, expected an outline on a layer that is cut");
    }
    if (f->count > KW_MOST_LOOPS) {
        return kw_fail(d->err, KW_LIMIT, kw_sketch_place(d, 0),
                       "expected at most %d outlines, got %d", KW_MOST_LOOPS, f->count);
    }
    return KW_OK;
}
