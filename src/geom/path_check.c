// SPDX-License-Identifier: Apache-2.0
// Whether a closed path is one: no crossing, no touching, nothing degenerate.
#include "geom/segment.h"
#include "geom/units.h"

#include <stdlib.h>

struct item {
    struct kw_segment s;
    struct kw_box2 box;
    int index;
};

static int by_left(const void *a, const void *b) {
    const struct item *x = a, *y = b;
    if (x->box.min.x != y->box.min.x) return x->box.min.x < y->box.min.x ? -1 : 1;
    return (x->index > y->index) - (x->index < y->index);
}

// Whether neighbours (second starts where first ends) meet anywhere but at that end. `also` says
// that they share the other ends too: a path of two segments.
static bool neighbours_meet(struct kw_segment first, struct kw_segment second, bool also,
                            struct kw_vec2 *at) {
    struct kw_vec2 p[2];
    int n = kw_segment_crossings(first, second, p);
    for (int i = 0; i < n; i++) {
        if (kw_length2(kw_sub2(p[i], second.a)) <= KW_SAME_POINT_MM) continue;
        if (also && kw_length2(kw_sub2(p[i], second.b)) <= KW_SAME_POINT_MM) continue;
        *at = p[i];
        return true;
    }
    if (also) return false;
    *at = first.a; // one that doubles back lies on the other with its far end
    if (kw_segment_distance(second, first.a) <= KW_SAME_POINT_MM) return true;
    *at = second.b;
    return kw_segment_distance(first, second.b) <= KW_SAME_POINT_MM;
}

static bool pair_meets(const struct item *p, const struct item *q, int n, struct kw_vec2 *at) {
    if ((p->index + 1) % n == q->index) return neighbours_meet(p->s, q->s, n == 2, at);
    if ((q->index + 1) % n == p->index) return neighbours_meet(q->s, p->s, n == 2, at);
    return kw_segment_gap(p->s, q->s, at) <= KW_SAME_POINT_MM;
}

// Segments in order of their left ends: each is compared with those that begin before it ends.
bool kw_path_meets_itself(const struct kw_path *p, struct kw_vec2 *at, int segments[2]) {
    struct kw_arena scratch = {0};
    int n = p->count;
    bool found = false;
    struct item *v = KW_NEW_ARRAY(&scratch, struct item, n);
    for (int i = 0; i < n; i++) {
        struct kw_segment s = kw_path_segment(p, i);
        v[i] = (struct item){s, kw_segment_box(s), i};
    }
    qsort(v, (size_t)n, sizeof *v, by_left);
    for (int i = 0; i < n && !found; i++) {
        double reach = v[i].box.max.x + KW_SAME_POINT_MM;
        for (int j = i + 1; j < n && v[j].box.min.x <= reach && !found; j++) {
            if (v[j].box.min.y > v[i].box.max.y + KW_SAME_POINT_MM) continue;
            if (v[j].box.max.y < v[i].box.min.y - KW_SAME_POINT_MM) continue;
            found = pair_meets(&v[i], &v[j], n, at);
            segments[0] = v[i].index;
            segments[1] = v[j].index;
        }
    }
    kw_arena_free(&scratch);
    return found;
}

static enum kw_status fail_at(struct kw_error *err, struct kw_place at, const char *what,
                              struct kw_vec2 p) {
    char x[KW_NUMBER_SIZE], y[KW_NUMBER_SIZE];
    return kw_fail(err, KW_GEOMETRY, at, "%s at (%s, %s) mm", what, kw_number(x, p.x, 3),
                   kw_number(y, p.y, 3));
}

static enum kw_status check_vertex(const struct kw_path *p, int i, struct kw_place at,
                                   struct kw_error *err) {
    const struct kw_vertex *v = &p->v[i], *w = &p->v[i + 1 < p->count ? i + 1 : 0];
    if (!(fabs(v->x) <= KW_MOST_MM && fabs(v->y) <= KW_MOST_MM))
        return kw_fail(err, KW_GEOMETRY, at, "corner %d of the outline is not within 50 m", i + 1);
    if (!(fabs(v->bulge) <= 1))
        return fail_at(err, at, "has an arc of more than a half circle", kw_v2(v->x, v->y));
    // Neither the next vertex nor this test is right when that one isn't finite: it has its turn.
    if (hypot(w->x - v->x, w->y - v->y) < KW_SAME_POINT_MM)
        return fail_at(err, at, "has a segment without length", kw_v2(v->x, v->y));
    return KW_OK;
}

enum kw_status kw_path_check(const struct kw_path *p, struct kw_place at, struct kw_error *err) {
    if (p->open) return kw_fail(err, KW_GEOMETRY, at, "is not closed");
    if (p->count < 2)
        return kw_fail(err, KW_GEOMETRY, at, "an outline needs 2 or more corners, got %d",
                       p->count);
    for (int i = 0; i < p->count; i++) {
        enum kw_status s = check_vertex(p, i, at, err);
        if (s != KW_OK) return s;
    }
    struct kw_vec2 where;
    int segments[2];
    if (kw_path_meets_itself(p, &where, segments)) return fail_at(err, at, "crosses itself", where);
    // Thinner than the width at which two points are the same.
    if (!(fabs(kw_path_area(p)) > KW_SAME_POINT_MM * kw_path_length(p) / 2))
        return fail_at(err, at, "has no area", kw_v2(p->v[0].x, p->v[0].y));
    return KW_OK;
}
