// SPDX-License-Identifier: Apache-2.0
// Polylines of both kinds: points with bulges in one entity, or each point an entity of its own.
#include "kit/dxf_in.h"

// Adds the vertex (x, y) with its bulge towards (nx, ny); an arc of more than a half circle becomes
// two. Such a bulge belongs to an arc to the right of its chord when positive.
static void add_vertex(struct kw_dxf *d, struct kw_path *p, struct kw_vec2 at, struct kw_vec2 next,
                       double bulge, int line) {
    if (fabs(bulge) <= 1) {
        kw_path_add(d->sketch.scratch, p, at.x, at.y, bulge, line);
        return;
    }
    struct kw_vec2 chord = kw_sub2(next, at);
    struct kw_vec2 middle = kw_sub2(kw_lerp2(at, next, 0.5), kw_scale2(kw_left2(chord), bulge / 2));
    double half = tan(atan(bulge) / 2);
    kw_path_add(d->sketch.scratch, p, at.x, at.y, half, line);
    kw_path_add(d->sketch.scratch, p, middle.x, middle.y, half, line);
}

// From vertices with bulges as drawn to a path of arcs up to half circles. A closed path that ends
// where it began says so twice: the last vertex goes.
static enum kw_status add_polyline(struct kw_dxf *d, struct kw_path drawn, bool closed, bool flip,
                                   enum kw_role role, int line) {
    if (drawn.count < 2) {
        d->sketch.dropped++;
        return KW_OK;
    }
    if (closed) {
        struct kw_vertex *first = drawn.v, *last = &drawn.v[drawn.count - 1];
        if (first->x == last->x && first->y == last->y && last->bulge == 0) drawn.count--;
    }
    struct kw_path p = {.open = !closed};
    for (int i = 0; i < drawn.count; i++) {
        struct kw_vertex v = drawn.v[i], w = drawn.v[(i + 1) % drawn.count];
        bool end = !closed && i == drawn.count - 1;
        add_vertex(d, &p, kw_v2(v.x, v.y), kw_v2(w.x, w.y), end ? 0 : v.bulge, line);
    }
    return kw_sketch_add(&d->sketch, role, &p, kw_dxf_map(d, flip), line);
}

static enum kw_status check_bulge(struct kw_dxf *d, double bulge, int line) {
    if (fabs(bulge) <= 1e4) return KW_OK;
    return kw_fail(d->sketch.err, KW_RANGE, kw_sketch_place(&d->sketch, line),
                   "a bulge of %g is no arc", bulge);
}

enum kw_status kw_dxf_lwpolyline(struct kw_dxf *d, const struct kw_group *type, enum kw_role role) {
    int flags, promised;
    double z;
    bool flip;
    enum kw_status s = kw_dxf_whole(d, 70, &flags);
    if (s == KW_OK) s = kw_dxf_whole(d, 90, &promised);
    if (s == KW_OK) s = kw_dxf_number(d, type, 38, false, &z);
    if (s == KW_OK) s = kw_dxf_flip(d, type, &flip);
    if (s == KW_OK) s = kw_dxf_keep_height(d, flip ? -z : z, type->line);
    struct kw_path p = {.open = true};
    for (int i = 0; s == KW_OK && i < d->group_count; i++) {
        const struct kw_group *g = &d->groups[i];
        double v;
        if (g->code != 10 && g->code != 20 && g->code != 42) continue;
        s = kw_dxf_read_number(d, g, &v);
        if (s != KW_OK) return s;
        if (g->code == 10) kw_path_add(d->sketch.scratch, &p, v, 0, 0, type->line);
        if (p.count == 0) continue;
        if (g->code == 20) p.v[p.count - 1].y = v;
        if (g->code == 42) {
            p.v[p.count - 1].bulge = v;
            s = check_bulge(d, v, g->line);
        }
    }
    if (s != KW_OK) return s;
    if (kw_dxf_find(d, 90) && promised != p.count) {
        return kw_fail(d->sketch.err, KW_FORMAT, kw_sketch_place(&d->sketch, type->line),
                       "a polyline promises %d points and holds %d", promised, p.count);
    }
    return add_polyline(d, p, flags & 1, flip, role, type->line);
}

enum { FLAG_CLOSED = 1, FLAG_3D = 8, FLAG_MESH = 16, FLAG_POLYFACE = 64, VERTEX_CONTROL = 16 };

enum kw_status kw_dxf_polyline(struct kw_dxf *d, const struct kw_group *type, enum kw_role role) {
    double z;
    enum kw_status s = kw_dxf_whole(d, 70, &d->polyline_flags);
    if (s == KW_OK) s = kw_dxf_number(d, type, 30, false, &z);
    if (s == KW_OK) s = kw_dxf_flip(d, type, &d->polyline_flip);
    if (s != KW_OK) return s;
    d->polyline = (struct kw_path){.open = true};
    d->in_polyline = true;
    d->polyline_role = role;
    d->polyline_line = type->line;
    if (role == ROLE_IGNORE) return KW_OK;
    if (d->polyline_flags & (FLAG_MESH | FLAG_POLYFACE))
        return kw_dxf_fail_3d(d, type->line, "a mesh");
    if (d->polyline_flags & FLAG_3D) return KW_OK; // each point has a height of its own
    return kw_dxf_keep_height(d, d->polyline_flip ? -z : z, type->line);
}

enum kw_status kw_dxf_vertex(struct kw_dxf *d, const struct kw_group *type) {
    if (!d->in_polyline) {
        return kw_fail(d->sketch.err, KW_FORMAT, kw_sketch_place(&d->sketch, type->line),
                       "VERTEX without POLYLINE");
    }
    if (d->polyline_role == ROLE_IGNORE) return KW_OK;
    double x, y, z, bulge;
    int flags;
    enum kw_status s = kw_dxf_number(d, type, 10, true, &x);
    if (s == KW_OK) s = kw_dxf_number(d, type, 20, true, &y);
    if (s == KW_OK) s = kw_dxf_number(d, type, 30, false, &z);
    if (s == KW_OK) s = kw_dxf_number(d, type, 42, false, &bulge);
    if (s == KW_OK) s = kw_dxf_whole(d, 70, &flags);
    if (s == KW_OK) s = check_bulge(d, bulge, type->line);
    if (s == KW_OK && (d->polyline_flags & FLAG_3D)) s = kw_dxf_keep_height(d, z, type->line);
    if (s != KW_OK || (flags & VERTEX_CONTROL)) return s; // frame of a smoothed curve
    kw_path_add(d->sketch.scratch, &d->polyline, x, y, bulge, type->line);
    return KW_OK;
}

enum kw_status kw_dxf_polyline_end(struct kw_dxf *d) {
    if (!d->in_polyline) return KW_OK;
    d->in_polyline = false;
    if (d->polyline_role == ROLE_IGNORE) {
        d->sketch.ignored++;
        return KW_OK;
    }
    return add_polyline(d, d->polyline, d->polyline_flags & FLAG_CLOSED,
                        d->polyline_flip && !(d->polyline_flags & FLAG_3D), d->polyline_role,
                        d->polyline_line);
}
