// SPDX-License-Identifier: Apache-2.0
// Poses as polygons, and their corners by direction.
#include "nest/facet.h"

#include <stdlib.h>

static bool is_straight(const struct kw_path *p) {
    for (int i = 0; i < p->count; i++) {
        if (p->v[i].bulge != 0) return false;
    }
    return p->count >= 3;
}

/// Every edge moved outwards by d, corners pointed: what does not overlap then is 2 d apart. False
/// when an edge closes up on the way.
static bool grow(const struct kw_vec2 *v, int n, double d, struct kw_vec2 *out) {
    for (int i = 0; i < n; i++) {
        struct kw_vec2 before = v[i > 0 ? i - 1 : n - 1], after = v[i + 1 < n ? i + 1 : 0];
        struct kw_vec2 in = kw_sub2(v[i], before), on = kw_sub2(after, v[i]);
        in = kw_scale2(in, 1 / kw_length2(in));
        on = kw_scale2(on, 1 / kw_length2(on));
        double half = 1 + kw_dot2(in, on); // the corner moves along both normals
        if (!(half > 1e-3)) return false;
        struct kw_vec2 normals = kw_scale2(kw_left2(kw_add2(in, on)), -1);
        out[i] = kw_add2(v[i], kw_scale2(normals, d / half));
    }
    for (int i = 0; i < n; i++) {
        int k = i + 1 < n ? i + 1 : 0;
        if (!(kw_dot2(kw_sub2(v[k], v[i]), kw_sub2(out[k], out[i])) > 0)) return false;
    }
    return true;
}

/// The outer outline of a pose as the search sees it (contact.h), its box's corner at (0, 0).
static struct tile tile_of(struct world *w, const struct pose *p, int axis) {
    const struct kw_path *path = &w->job->parts[p->part].outline->outer;
    struct kw_move2 m = kw_move2_make(0, 0, p->rotation, p->mirrored);
    bool reversed = p->mirrored != (axis == 1);
    int n = path->count;
    struct tile s = {0};
    if (!is_straight(path)) return s;
    struct kw_vec2 *v = KW_NEW_ARRAY(w->a, struct kw_vec2, n), *to = v;
    for (int i = 0; i < n; i++) {
        const struct kw_vertex *from = &path->v[reversed ? n - 1 - i : i];
        struct kw_vec2 at = kw_sub2(kw_move2_point(m, kw_v2(from->x, from->y)), p->corner);
        v[i] = axis ? kw_v2(at.y, at.x) : at;
    }
    n = tile_straighten(v, n, 1e-9);
    if (w->options->spacing > 0) {
        to = KW_NEW_ARRAY(w->a, struct kw_vec2, n);
        if (!grow(v, n, w->options->spacing / 2, to)) return s;
    }
    s = (struct tile){.v = to,
                      .count = n,
                      .area = tile_area(to, n),
                      .around = tile_around(to, n),
                      .box = tile_box(to, n)};
    double slanted = 0;
    for (int i = 0, k = n - 1; i < n; k = i++) {
        struct kw_vec2 d = kw_sub2(to[i], to[k]);
        if (fmin(fabs(d.x), fabs(d.y)) > FIT_MM) slanted += kw_length2(d);
    }
    s.slanted = slanted / s.around;
    return s;
}

static bool same_tile(const struct tile *p, const struct tile *q) {
    if (p->count != q->count || fabs(p->area - q->area) > FIT_MM) return false;
    for (int shift = 0; shift < q->count; shift++) {
        int i = 0;
        for (; i < p->count; i++) {
            struct kw_vec2 d = kw_sub2(p->v[i], q->v[(i + shift) % q->count]);
            if (fabs(d.x) > FIT_MM / 10 || fabs(d.y) > FIT_MM / 10) break;
        }
        if (i == p->count) return true;
    }
    return false;
}

static struct facet facet_of(const struct tile *s, int pose, int corner) {
    int before = corner > 0 ? corner - 1 : s->count - 1,
        after = corner + 1 < s->count ? corner + 1 : 0;
    struct kw_vec2 in = kw_sub2(s->v[corner], s->v[before]);
    struct kw_vec2 on = kw_sub2(s->v[after], s->v[corner]);
    struct facet f = {.pose = pose, .corner = corner};
    f.inner = KW_PI - atan2(kw_cross2(in, on), kw_dot2(in, on));
    f.edge[EDGE_INTO] = (struct facet_edge){atan2(in.y, in.x), kw_length2(in)};
    f.edge[EDGE_OUT_OF] = (struct facet_edge){atan2(on.y, on.x), kw_length2(on)};
    return f;
}

struct key {
    double direction;
    int facet;
};

static int by_direction(const void *a, const void *b) {
    const struct key *p = a, *q = b;
    if (p->direction != q->direction) return p->direction < q->direction ? -1 : 1;
    return (p->facet > q->facet) - (p->facet < q->facet);
}

static int *sorted_by(struct world *w, const struct facets *f, enum edge_side side) {
    struct key *keys = KW_NEW_ARRAY(w->a, struct key, f->count + 1);
    int *out = KW_NEW_ARRAY(w->a, int, f->count + 1);
    for (int i = 0; i < f->count; i++)
        keys[i] = (struct key){f->v[i].edge[side].direction, i};
    if (f->count > 1) qsort(keys, (size_t)f->count, sizeof *keys, by_direction);
    for (int i = 0; i < f->count; i++)
        out[i] = keys[i].facet;
    return out;
}

static int find_twin(const struct facets *f, const struct pose_range *parts, int part, int pose) {
    for (int i = 0; i <= part; i++) {
        for (int k = parts[i].first; k < parts[i].first + parts[i].count && k < pose; k++) {
            if (f->tiles[k].count > 0 && same_tile(&f->tiles[pose], &f->tiles[k])) return k;
        }
    }
    return pose;
}

struct facets *facets_of_group(struct world *w, int group, int most) {
    struct facets *f = KW_NEW(w->a, struct facets);
    int axis = 0;
    for (int k = 0; k < w->job->sheet_count; k++) {
        if (w->kinds[k].group == group) axis = w->kinds[k].axis;
    }
    f->tiles = KW_NEW_ARRAY(w->a, struct tile, w->pose_count + 1);
    f->twin = KW_NEW_ARRAY(w->a, int, w->pose_count + 1);
    for (int i = 0; i < w->job->part_count; i++) {
        struct pose_range r = w->parts[group][i];
        for (int p = r.first; p < r.first + r.count; p++) {
            f->tiles[p] = tile_of(w, &w->poses[p], axis);
            if (f->tiles[p].count == 0) continue;
            if (f->count + f->tiles[p].count > most) return NULL;
            f->twin[p] = find_twin(f, w->parts[group], i, p);
            for (int k = 0; k < f->tiles[p].count; k++)
                KW_PUSH(w->a, f->v, f->count) = facet_of(&f->tiles[p], p, k);
        }
    }
    f->sorted[EDGE_INTO] = sorted_by(w, f, EDGE_INTO);
    f->sorted[EDGE_OUT_OF] = sorted_by(w, f, EDGE_OUT_OF);
    return f;
}

/// The first facet whose direction is not below `direction`.
static int first_from(const struct facets *f, enum edge_side side, double direction) {
    int low = 0, high = f->count;
    while (low < high) {
        int middle = (low + high) / 2;
        if (f->v[f->sorted[side][middle]].edge[side].direction < direction)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

int facets_along(const struct facets *f, enum edge_side side, double direction, double slack,
                 struct facet_range out[2]) {
    out[0] = (struct facet_range){first_from(f, side, direction - slack),
                                  first_from(f, side, direction + slack)};
    if (fabs(direction) < KW_PI - slack) return 1;
    double round = direction > 0 ? direction - 2 * KW_PI : direction + 2 * KW_PI;
    out[1] = (struct facet_range){first_from(f, side, round - slack),
                                  first_from(f, side, round + slack)};
    return 2;
}
