// SPDX-License-Identifier: Apache-2.0
// A tube or bar as a mesh: a section carried along the centreline, cut at its two ends.
#include "server/form.h"

#include <string.h>

#define RING     48                // corners of a round section
#define ARC_STEP (5 * KW_PI / 180) // of a bend

/// Corners of the section about the centreline: x along the reference line (up, or the outside of
/// the first bend), y square to it (ref x along).
struct section {
    struct kw_vec2 outer[RING], inner[RING];
    int count;
    bool hollow, round;
};

/// A place on the centreline with the two directions of the section.
struct station {
    struct kw_vec3 at, along, ref, second;
};

static void ring(struct kw_vec2 *v, double radius) {
    double step = 2 * KW_PI / RING, same_area = sqrt(step / sin(step));
    for (int i = 0; i < RING; i++)
        v[i] = kw_v2(radius * same_area * cos(i * step), radius * same_area * sin(i * step));
}

/// Corners counter-clockwise in (ref, second).
static void box(struct kw_vec2 *v, double high, double wide) {
    v[0] = kw_v2(-high / 2, -wide / 2);
    v[1] = kw_v2(high / 2, -wide / 2);
    v[2] = kw_v2(high / 2, wide / 2);
    v[3] = kw_v2(-high / 2, wide / 2);
}

static void leg_bar(struct section *s, double h, double w, double t) {
    const struct kw_vec2 v[6] = {{0, 0}, {h, 0}, {h, t}, {t, t}, {t, w}, {0, w}};
    for (int i = 0; i < 6; i++)
        s->outer[i] = kw_v2(v[i].x - h / 2, v[i].y - w / 2);
    s->count = 6;
}

static double height_of(const struct kw_stock *s) {
    return s->height > 0 ? s->height : s->thickness > 0 ? s->thickness : s->width;
}

static struct section section_of(const struct kw_stock *s) {
    struct section out = {.count = 4};
    double w = s->width, h = height_of(s), t = s->thickness;
    out.hollow = (s->kind == KW_ROUND_TUBE || s->kind == KW_SQUARE_TUBE) && t > 0 && 2 * t < w;
    out.round = s->kind == KW_ROUND_TUBE || s->kind == KW_ROUND_ROD;
    if (out.round) {
        out.count = RING;
        ring(out.outer, w / 2);
        if (out.hollow) ring(out.inner, w / 2 - t);
    } else if (s->kind == KW_ANGLE_BAR) {
        leg_bar(&out, h, w, t);
    } else {
        box(out.outer, h, w);
        if (out.hollow) box(out.inner, h - 2 * t, w - 2 * t);
    }
    return out;
}

// ------------------------------------------------------------------------------- the centreline

bool form_is_bent(const struct kw_examined *what) {
    return what->tube && what->tube->count > 0;
}

const struct kw_tube_table *form_table(struct kw_arena *a, const struct kw_examined *what) {
    if (!what->from_end) return what->tube;
    struct kw_tube_table *other = KW_NEW(a, struct kw_tube_table);
    kw_tube_other_end(a, what->tube, other);
    return other;
}

struct walk {
    struct kw_arena *arena;
    struct kw_vec3 at, along, side;
    double ref; // of the reference line from the side that the next bend goes to, about `along`
    struct station *v;
    int count;
};

static struct kw_vec3 turned(struct kw_vec3 p, struct kw_vec3 q, double angle) {
    return kw_add3(kw_scale3(p, cos(angle)), kw_scale3(q, sin(angle)));
}

static void stand(struct walk *w) {
    struct kw_vec3 third = kw_cross3(w->along, w->side);
    struct kw_vec3 ref = turned(w->side, third, w->ref);
    KW_PUSH(w->arena, w->v, w->count) =
        (struct station){w->at, w->along, ref, kw_cross3(ref, w->along)};
}

static void forward(struct walk *w, double length) {
    w->at = kw_add3(w->at, kw_scale3(w->along, length));
}

static void bend(struct walk *w, double radius, double angle) {
    struct kw_vec3 along = w->along, side = w->side;
    w->at = kw_add3(w->at, kw_add3(kw_scale3(along, radius * sin(angle)),
                                   kw_scale3(side, radius * (1 - cos(angle)))));
    w->along = turned(along, side, angle);
    w->side = turned(side, along, -angle);
}

/// Stations along one bend of which `done` (0..1) is made; the rest of its length is straight.
static void walk_bend(struct walk *w, const struct kw_tube_bend *b, double done) {
    int n = (int)fmax(2, ceil(b->angle / ARC_STEP - 1e-9));
    double made = b->angle * done, step = b->angle / n;
    for (int i = 0; i < n; i++) {
        double from = i * step, to = from + step;
        if (from < made) bend(w, b->radius, fmin(to, made) - from);
        if (to > made) forward(w, b->radius * (to - fmax(from, made)));
        stand(w);
    }
}

static void walk_table(struct walk *w, const struct kw_tube_table *t, double part) {
    double made = part * t->count;
    w->at = t->start;
    w->along = t->along;
    w->side = t->side;
    stand(w);
    for (int i = 0; i < t->count; i++) {
        const struct kw_tube_bend *b = &t->bends[i];
        forward(w, b->straight);
        struct kw_vec3 third = kw_cross3(w->along, w->side);
        w->side = turned(w->side, third, b->rotate);
        w->ref -= b->rotate;
        if (b->straight > 1e-9) stand(w);
        walk_bend(w, b, fmax(0, fmin(1, made - i)));
    }
    forward(w, t->last);
    if (t->last > 1e-9) stand(w);
}

// ------------------------------------------------------------------------------------- the mesh

/// How far the cut of an end is from the tip there, along the stick. The far end is seen from the
/// other side.
static double cut_at(const struct kw_examined *what, int end, struct kw_vec2 p) {
    const struct kw_tube_end *e = &what->ends[end];
    if (e->cope.onto == 0 && e->miter == 0) return 0;
    double reach = what->part->stock.width / 2;
    double around = atan2(end ? -p.y : p.y, p.x);
    double depth = kw_tube_end_tip(e, reach) - kw_tube_end_at(e, hypot(p.x, p.y), around);
    return fmax(0, depth);
}

static void add_ring(struct kw_arena *a, struct form *out, const struct station *s,
                     const struct kw_vec2 *v, int count, const struct kw_examined *what, int end) {
    for (int i = 0; i < count; i++) {
        struct kw_vec3 p = kw_add3(kw_scale3(s->ref, v[i].x), kw_scale3(s->second, v[i].y));
        if (end >= 0) {
            double cut = cut_at(what, end, v[i]);
            p = kw_add3(p, kw_scale3(s->along, end ? -cut : cut));
        }
        kw_mesh_point(a, &out->mesh, kw_add3(s->at, p));
    }
}

static void wall(struct kw_arena *a, struct form *out, int from, int to, int count, bool inwards) {
    for (int i = 0; i < count; i++) {
        int k = (i + 1) % count, p = from + i, q = from + k, r = to + k, s = to + i;
        int first = inwards ? q : p, second = inwards ? p : q;
        int third = inwards ? s : r, fourth = inwards ? r : s;
        // ref, second, along are a left-handed set: corners run clockwise seen from the start
        kw_mesh_triangle(a, &out->mesh, first, third, second);
        kw_mesh_triangle(a, &out->mesh, first, fourth, third);
    }
}

static void cap(struct kw_arena *a, struct form *out, int outer, int inner, int count, bool far) {
    for (int i = 0; i < count; i++) {
        int k = (i + 1) % count;
        if (inner < 0) {
            if (i == 0 || k == 0) continue;
            kw_mesh_triangle(a, &out->mesh, outer, outer + (far ? k : i), outer + (far ? i : k));
            continue;
        }
        int p = outer + i, q = outer + k, r = inner + k, s = inner + i;
        kw_mesh_triangle(a, &out->mesh, p, far ? r : q, far ? q : r);
        kw_mesh_triangle(a, &out->mesh, p, far ? s : r, far ? r : s);
    }
}

static void add_line(struct kw_arena *a, struct form *out, int p, int q) {
    int(*at)[2] = &KW_PUSH(a, out->lines, out->line_count);
    (*at)[0] = p;
    (*at)[1] = q;
}

static void outline(struct kw_arena *a, struct form *out, int first, int count) {
    for (int i = 0; i < count; i++)
        add_line(a, out, first + i, first + (i + 1) % count);
}

static void skin(struct kw_arena *a, struct form *out, const struct section *s,
                 const struct walk *w, const struct kw_examined *what) {
    int n = s->count, each = s->hollow ? 2 * n : n, last = (w->count - 1) * each;
    for (int i = 0; i < w->count; i++) {
        int end = i == 0 ? 0 : i == w->count - 1 ? 1 : -1;
        add_ring(a, out, &w->v[i], s->outer, n, what, end);
        if (s->hollow) add_ring(a, out, &w->v[i], s->inner, n, what, end);
    }
    for (int i = 0; i + 1 < w->count; i++) {
        wall(a, out, i * each, (i + 1) * each, n, false);
        if (s->hollow) wall(a, out, i * each + n, (i + 1) * each + n, n, true);
        for (int k = 0; !s->round && k < n; k++)
            add_line(a, out, i * each + k, (i + 1) * each + k);
    }
    cap(a, out, 0, s->hollow ? n : -1, n, false);
    cap(a, out, last, s->hollow ? last + n : -1, n, true);
    for (int i = 0; i < 2; i++) {
        outline(a, out, i ? last : 0, n);
        if (s->hollow) outline(a, out, (i ? last : 0) + n, n);
    }
}

bool form_stick(struct kw_arena *a, const struct kw_examined *what, double t, struct form *out) {
    const struct kw_stock *stock = &what->part->stock;
    struct section s = section_of(stock);
    struct walk w = {.arena = a};
    if (form_is_bent(what)) {
        w.ref = KW_PI; // the outside of the first bend
        walk_table(&w, form_table(a, what), t);
    } else {
        struct kw_tube_table straight = {.last = what->tube->last,
                                         .start = kw_v3(0, stock->width / 2, height_of(stock) / 2),
                                         .along = kw_v3(1, 0, 0),
                                         .side = kw_v3(0, 0, 1)};
        walk_table(&w, &straight, t);
    }
    if (w.count < 2) return false;
    skin(a, out, &s, &w, what);
    return true;
}
