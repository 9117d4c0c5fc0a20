// SPDX-License-Identifier: Apache-2.0
// Bend lines and marks of a drawing.
#include "kit/sketch_in.h"

#include <stdlib.h>

static double outline_distance(const struct kw_loops *f, struct kw_vec2 p) {
    double least = INFINITY;
    for (int i = 0; i < f->count; i++) {
        const struct kw_box2 *b = &f->loops[i].box;
        if (p.x < b->min.x - KW_SKETCH_END_MM || p.x > b->max.x + KW_SKETCH_END_MM) continue;
        if (p.y < b->min.y - KW_SKETCH_END_MM || p.y > b->max.y + KW_SKETCH_END_MM) continue;
        double at = kw_path_distance(&f->loops[i].path, p);
        if (at < least) least = at;
    }
    return least;
}

// From left to right, or from bottom to top when upright.
static void aim(struct kw_bend_line *l) {
    double dx = l->b.x - l->a.x, dy = l->b.y - l->a.y;
    if (dx > KW_JOIN_MM || (fabs(dx) <= KW_JOIN_MM && dy >= 0)) return;
    struct kw_vec2 keep = l->a;
    l->a = l->b;
    l->b = keep;
}

static enum kw_status check_bend(struct kw_loops *f, const struct kw_bend_line *l) {
    struct kw_sketch *d = f->d;
    if (!(kw_length2(kw_sub2(l->b, l->a)) > KW_SKETCH_END_MM)) {
        return kw_fail(d->err, KW_GEOMETRY, kw_sketch_place(d, l->line),
                       "a bend line without length");
    }
    const struct kw_vec2 ends[2] = {l->a, l->b};
    for (int i = 0; i < 2; i++) {
        if (outline_distance(f, ends[i]) <= KW_SKETCH_END_MM) continue;
        return kw_fail(d->err, KW_GEOMETRY, kw_sketch_place(d, l->line),
                       "the bend line ends at %s %s, expected its end on the outline",
                       kw_loops_point(f, ends[i]), f->d->unit);
    }
    struct kw_vec2 middle = kw_lerp2(l->a, l->b, 0.5);
    const struct kw_path *outer = &f->loops[f->outer].path;
    if (kw_path_contains(outer, middle) && kw_path_distance(outer, middle) > KW_SKETCH_END_MM)
        return KW_OK;
    return kw_fail(d->err, KW_GEOMETRY, kw_sketch_place(d, l->line),
                   "the bend line runs along the edge or outside, at %s %s",
                   kw_loops_point(f, middle), f->d->unit);
}

static int by_place(const void *a, const void *b) {
    const struct kw_bend_line *p = a, *q = b;
    // Rounded to 0.01 mm, so that lines drawn one above the other count as such.
    const double v[4] = {round((p->a.x + p->b.x) * 50), round((q->a.x + q->b.x) * 50),
                         round((p->a.y + p->b.y) * 50), round((q->a.y + q->b.y) * 50)};
    if (v[0] != v[1]) return v[0] < v[1] ? -1 : 1;
    if (v[2] != v[3]) return v[2] < v[3] ? -1 : 1;
    return (p->line > q->line) - (p->line < q->line);
}

enum kw_status kw_loops_bends(struct kw_loops *f, struct kw_vec2 origin, struct kw_drawing *out) {
    struct kw_sketch *d = f->d;
    for (int i = 0; i < d->bend_count; i++) {
        aim(&d->bends[i]);
        enum kw_status s = check_bend(f, &d->bends[i]);
        if (s != KW_OK) return s;
    }
    if (d->bend_count == 0) return KW_OK;
    qsort(d->bends, (size_t)d->bend_count, sizeof *d->bends, by_place);
    struct kw_drawn_bend *v = KW_NEW_ARRAY(f->a, struct kw_drawn_bend, d->bend_count);
    for (int i = 0; i < d->bend_count; i++) {
        const struct kw_bend_line *l = &d->bends[i];
        v[i] = (struct kw_drawn_bend){.a = kw_sub2(l->a, origin),
                                      .b = kw_sub2(l->b, origin),
                                      .way = l->way,
                                      .turn = KW_PI / 2,
                                      .name = kw_format(f->a, "%d", i + 1),
                                      .at = kw_sketch_place(d, l->line)};
    }
    out->bends = (struct kw_items){v, d->bend_count};
    return KW_OK;
}

enum kw_status kw_loops_marks(struct kw_loops *f, struct kw_vec2 origin, struct kw_drawing *out) {
    const struct kw_paths *marks = &f->d->marks;
    const struct kw_loop *outer = &f->loops[f->outer];
    struct kw_path *v = NULL;
    int count = 0;
    for (int i = 0; i < marks->count; i++) {
        const struct kw_path *p = &marks->v[i];
        for (int k = 0; k < p->count; k++) {
            struct kw_vec2 at = {p->v[k].x, p->v[k].y};
            if (kw_path_contains(&outer->path, at) ||
                kw_path_distance(&outer->path, at) <= KW_SKETCH_END_MM)
                continue;
            return kw_fail(f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, p->v[k].tag),
                           "a mark outside the outline, at %s %s", kw_loops_point(f, at),
                           f->d->unit);
        }
        KW_PUSH(f->a, v, count) = kw_loops_kept(f->a, p, origin);
    }
    out->marks = (struct kw_items){v, count};
    return KW_OK;
}
