// SPDX-License-Identifier: Apache-2.0
// From loose pieces to one outline with its holes: chained, nested, checked, moved so that the box
// starts at (0,0). Until the end the tag of a segment is the line of its entity, so that every
// refusal can point into the file.
#include "kit/sketch.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_LOOPS = 20000 };
/// A bend line or mark may end this far from the outline: a drawing's rounding.
#define END_MM 0.1
/// Steps of a closed polyline shorter than this are slips of the pen.
#define SLIP_MM (KW_JOIN_MM / 10)

struct loop {
    struct kw_path path;
    int first; // index of its first segment among all
    struct kw_box2 box;
    double area; // without sign
    int line;    // of the first of its entities
};

struct finish {
    struct kw_arena *a;
    struct kw_sketch *d;
    struct loop *loops;
    int count, outer;
};

// A point in the drawing's own unit, as the drawing program shows it.
static const char *shown_point(struct finish *f, struct kw_vec2 p) {
    char x[KW_NUMBER_SIZE], y[KW_NUMBER_SIZE];
    p = kw_affine2_point(f->d->from_mm, p);
    return kw_format(f->d->scratch, "(%s, %s)", kw_number(x, p.x, 3), kw_number(y, p.y, 3));
}

// ----------------------------------------------------------------------------------------- chains

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

static enum kw_status fail_open(struct finish *f, const struct kw_loose *open, int count) {
    const struct kw_path *p = &open[0].path;
    struct kw_vec2 end = {p->v[p->count - 1].x, p->v[p->count - 1].y};
    struct kw_vec2 other = nearest_end(open, count, end);
    char gap[KW_NUMBER_SIZE];
    int more = count - 1;
    return kw_fail(
        f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, p->v[p->count > 1 ? p->count - 2 : 0].tag),
        "the outline is open: from %s to %s there is a gap of %s %s%s", shown_point(f, end),
        shown_point(f, other), kw_number(gap, kw_length2(kw_sub2(end, other)) / f->d->scale, 4),
        f->d->unit, more > 0 ? kw_format(f->d->scratch, " (and %d more open)", more) : "");
}

// A closed path as drawn, without steps that are none.
static struct kw_path without_slips(struct finish *f, const struct kw_path *p) {
    struct kw_path q = {0};
    for (int i = 0; i < p->count; i++) {
        struct kw_vertex v = p->v[i], w = p->v[(i + 1) % p->count];
        if (hypot(w.x - v.x, w.y - v.y) < SLIP_MM && p->count > 1) {
            f->d->dropped++;
            continue;
        }
        KW_PUSH(f->d->scratch, q.v, q.count) = v;
    }
    return q;
}

static void add_loop(struct finish *f, struct kw_path p) {
    if (p.count == 0) return;
    struct loop l = {.path = p, .box = kw_path_box(&p), .area = fabs(kw_path_area(&p))};
    l.line = p.v[0].tag;
    for (int i = 1; i < p.count; i++) {
        if (p.v[i].tag < l.line) l.line = p.v[i].tag;
    }
    KW_PUSH(f->d->scratch, f->loops, f->count) = l;
}

static int by_line(const void *a, const void *b) {
    const struct loop *p = a, *q = b;
    if (p->line != q->line) return p->line < q->line ? -1 : 1;
    return (p->box.min.x > q->box.min.x) - (p->box.min.x < q->box.min.x);
}

// ------------------------------------------------------------------------------------ drawn twice

static bool near(double a, double b) {
    return fabs(a - b) <= SLIP_MM;
}

static bool lies_on(const struct kw_path *p, const struct kw_path *q) {
    for (int i = 0; i < kw_path_segments(p); i++) {
        struct kw_segment s = kw_path_segment(p, i);
        if (kw_path_distance(q, s.a) > SLIP_MM) return false;
        if (kw_path_distance(q, kw_segment_point(s, 0.5)) > SLIP_MM) return false;
    }
    return true;
}

static bool same_path(const struct kw_path *p, struct kw_box2 b, const struct kw_path *q,
                      struct kw_box2 c) {
    return p->open == q->open && near(b.min.x, c.min.x) && near(b.min.y, c.min.y) &&
           near(b.max.x, c.max.x) && near(b.max.y, c.max.y) && lies_on(p, q) && lies_on(q, p);
}

static int by_box_left_then_line(const void *a, const void *b) {
    const struct loop *p = a, *q = b;
    if (p->box.min.x != q->box.min.x) return p->box.min.x < q->box.min.x ? -1 : 1;
    return by_line(a, b);
}

// Of loops that are drawn twice, as one kind of entity or as two, the first in the file stays.
static void drop_doubles(struct finish *f, struct loop *v, int *count) {
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

static void drop_double_marks(struct finish *f) {
    struct kw_paths *marks = &f->d->marks;
    struct loop *v = NULL;
    int n = 0;
    for (int i = 0; i < marks->count; i++) {
        const struct kw_path *p = &marks->v[i];
        if (p->count < 2 || !(kw_path_length(p) > KW_SAME_POINT_MM)) {
            f->d->dropped++;
            continue;
        }
        struct loop l = {.path = *p, .box = kw_path_box(p), .line = p->v[0].tag};
        KW_PUSH(f->d->scratch, v, n) = l;
    }
    drop_doubles(f, v, &n);
    if (n > 1) qsort(v, (size_t)n, sizeof *v, by_line);
    for (int i = 0; i < n; i++)
        marks->v[i] = v[i].path;
    marks->count = n;
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

// ----------------------------------------------------------------------------------------- loops

static enum kw_status chain(struct finish *f, struct kw_drawing *out) {
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
    drop_doubles(f, f->loops, &f->count);
    drop_double_marks(f);
    drop_double_bends(d);
    if (f->count == 0) {
        return kw_fail(d->err, KW_GEOMETRY, kw_sketch_place(d, 0),
                       "an empty drawing, expected an outline on a layer that is cut");
    }
    if (f->count > MOST_LOOPS) {
        return kw_fail(d->err, KW_LIMIT, kw_sketch_place(d, 0),
                       "expected at most %d outlines, got %d", MOST_LOOPS, f->count);
    }
    qsort(f->loops, (size_t)f->count, sizeof *f->loops, by_line);
    return KW_OK;
}

// ---------------------------------------------------------------------------------------- nesting

static enum kw_status check_loops(struct finish *f) {
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

static enum kw_status fail_meet(struct finish *f, int i, int j, struct kw_vec2 at) {
    int first = f->loops[i].line, second = f->loops[j].line;
    return kw_fail(f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, first > second ? first : second),
                   "this outline crosses or touches the one at line %d, at %s %s",
                   first < second ? first : second, shown_point(f, at), f->d->unit);
}

// Neighbours in a loop share an end: what else they share, kw_path_check sees.
static bool are_neighbours(const struct finish *f, const struct item *p, const struct item *q) {
    int n = f->loops[p->loop].path.count, step = abs(p->index - q->index);
    return p->loop == q->loop && (step <= 1 || step == n - 1);
}

static enum kw_status check_pair(struct finish *f, const struct item *p, const struct item *q) {
    struct kw_vec2 at;
    if (are_neighbours(f, p, q) || !segments_meet(&p->s, &q->s, &at)) return KW_OK;
    if (p->loop != q->loop) return fail_meet(f, p->loop, q->loop, at);
    const struct kw_vertex *v = f->loops[p->loop].path.v;
    int first = f->loops[p->loop].first;
    int one = v[p->index - first].tag, other = v[q->index - first].tag;
    return kw_fail(f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, one > other ? one : other),
                   "the outline crosses itself at %s %s", shown_point(f, at), f->d->unit);
}

// Segments of all loops in order of their left ends, each against those that begin before it ends.
static enum kw_status check_apart(struct finish *f) {
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

static struct kw_vec2 start(const struct loop *l) {
    return kw_v2(l->path.v[0].x, l->path.v[0].y);
}

static int by_box_left(const void *a, const void *b) {
    const struct loop *p = *(const struct loop *const *)a, *q = *(const struct loop *const *)b;
    if (p->box.min.x != q->box.min.x) return p->box.min.x < q->box.min.x ? -1 : 1;
    return (p > q) - (p < q); // one array: the order of the file
}

static bool box_within(const struct kw_box2 *in, const struct kw_box2 *out) {
    return in->min.x >= out->min.x && in->max.x <= out->max.x && in->min.y >= out->min.y &&
           in->max.y <= out->max.y;
}

// No two loops meet, so that one point tells where a loop lies.
static enum kw_status check_nesting(struct finish *f) {
    const struct loop *outer = &f->loops[f->outer];
    const struct loop **v = NULL;
    int n = 0;
    for (int i = 0; i < f->count; i++) {
        const struct loop *l = &f->loops[i];
        if (i == f->outer) continue;
        if (!box_within(&l->box, &outer->box) || !kw_path_contains(&outer->path, start(l))) {
            return kw_fail(f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, l->line),
                           "a second outline beside the one at line %d, at %s %s: expected one "
                           "part a drawing",
                           outer->line, shown_point(f, start(l)), f->d->unit);
        }
        KW_PUSH(f->d->scratch, v, n) = l;
    }
    if (n > 1) qsort(v, (size_t)n, sizeof *v, by_box_left);
    for (int i = 0; i < n; i++) {
        for (int j = i + 1; j < n && v[j]->box.min.x <= v[i]->box.max.x; j++) {
            const struct loop *in = v[i], *out = v[j];
            if (in->area > out->area) in = v[j], out = v[i];
            if (!box_within(&in->box, &out->box) || !kw_path_contains(&out->path, start(in)))
                continue;
            return kw_fail(f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, in->line),
                           "an outline inside the hole at line %d, at %s %s: it would fall out",
                           out->line, shown_point(f, start(in)), f->d->unit);
        }
    }
    return KW_OK;
}

// ------------------------------------------------------------------------------ bend lines, marks

static double outline_distance(const struct finish *f, struct kw_vec2 p) {
    double least = INFINITY;
    for (int i = 0; i < f->count; i++) {
        const struct kw_box2 *b = &f->loops[i].box;
        if (p.x < b->min.x - END_MM || p.x > b->max.x + END_MM) continue;
        if (p.y < b->min.y - END_MM || p.y > b->max.y + END_MM) continue;
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

static enum kw_status check_bend(struct finish *f, const struct kw_bend_line *l) {
    struct kw_sketch *d = f->d;
    if (!(kw_length2(kw_sub2(l->b, l->a)) > END_MM)) {
        return kw_fail(d->err, KW_GEOMETRY, kw_sketch_place(d, l->line),
                       "a bend line without length");
    }
    const struct kw_vec2 ends[2] = {l->a, l->b};
    for (int i = 0; i < 2; i++) {
        if (outline_distance(f, ends[i]) <= END_MM) continue;
        return kw_fail(d->err, KW_GEOMETRY, kw_sketch_place(d, l->line),
                       "the bend line ends at %s %s, expected its end on the outline",
                       shown_point(f, ends[i]), f->d->unit);
    }
    struct kw_vec2 middle = kw_lerp2(l->a, l->b, 0.5);
    const struct kw_path *outer = &f->loops[f->outer].path;
    if (kw_path_contains(outer, middle) && kw_path_distance(outer, middle) > END_MM) return KW_OK;
    return kw_fail(d->err, KW_GEOMETRY, kw_sketch_place(d, l->line),
                   "the bend line runs along the edge or outside, at %s %s", shown_point(f, middle),
                   f->d->unit);
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

static enum kw_status take_bends(struct finish *f, struct kw_vec2 origin, struct kw_drawing *out) {
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

static struct kw_path taken(struct kw_arena *a, const struct kw_path *p, struct kw_vec2 origin) {
    struct kw_path q = kw_path_moved(a, p, kw_move2_make(-origin.x, -origin.y, 0, false));
    for (int i = 0; i < q.count; i++)
        q.v[i].tag = 0;
    return q;
}

static enum kw_status take_marks(struct finish *f, struct kw_vec2 origin, struct kw_drawing *out) {
    const struct kw_paths *marks = &f->d->marks;
    const struct loop *outer = &f->loops[f->outer];
    struct kw_path *v = NULL;
    int count = 0;
    for (int i = 0; i < marks->count; i++) {
        const struct kw_path *p = &marks->v[i];
        for (int k = 0; k < p->count; k++) {
            struct kw_vec2 at = {p->v[k].x, p->v[k].y};
            if (kw_path_contains(&outer->path, at) || kw_path_distance(&outer->path, at) <= END_MM)
                continue;
            return kw_fail(f->d->err, KW_GEOMETRY, kw_sketch_place(f->d, p->v[k].tag),
                           "a mark outside the outline, at %s %s", shown_point(f, at), f->d->unit);
        }
        KW_PUSH(f->a, v, count) = taken(f->a, p, origin);
    }
    out->marks = (struct kw_items){v, count};
    return KW_OK;
}

static void take_region(struct finish *f, struct kw_vec2 origin, struct kw_drawing *out) {
    for (int i = 0; i < f->count; i++) {
        bool outer = i == f->outer;
        struct kw_path p = kw_path_oriented(f->d->scratch, &f->loops[i].path, outer);
        p = taken(f->a, &p, origin);
        if (outer) {
            out->region.outer = p;
        } else {
            KW_PUSH(f->a, out->region.holes, out->region.hole_count) = p;
        }
    }
    struct kw_box2 box = kw_path_box(&out->region.outer);
    out->width = box.max.x - box.min.x;
    out->height = box.max.y - box.min.y;
    out->dropped = f->d->dropped;
    out->ignored = f->d->ignored;
}

enum kw_status kw_sketch_finish(struct kw_arena *a, struct kw_sketch *d, struct kw_drawing *out) {
    struct finish f = {.a = a, .d = d};
    enum kw_status s = chain(&f, out);
    if (s == KW_OK) s = check_apart(&f);
    if (s == KW_OK) s = check_loops(&f);
    if (s == KW_OK) s = check_nesting(&f);
    if (s != KW_OK) return s;
    struct kw_vec2 origin = f.loops[f.outer].box.min;
    s = take_bends(&f, origin, out);
    if (s == KW_OK) s = take_marks(&f, origin, out);
    if (s == KW_OK) take_region(&f, origin, out);
    return s;
}
