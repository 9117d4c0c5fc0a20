// SPDX-License-Identifier: Apache-2.0
// The outline of a base by corners, circle or polygon, with its edges numbered.
#include "kit/kit_in.h"

#include <string.h>

static const char *shown_point(struct kw_kit_file *k, struct kw_vec2 p) {
    return kw_format(k->arena, "(%s, %s) %s", kw_kit_shown(k, p.x), kw_kit_shown(k, p.y),
                     kw_kit_unit(k));
}

// ---------------------------------------------------------------------------------- corners

/// Turns the list the other way round. The edge that left corner i now comes to it.
static void reverse(struct kw_arena *scratch, struct kw_items *corners, int *number) {
    int n = corners->count;
    struct kw_corner *v = corners->v, *old = KW_NEW_ARRAY(scratch, struct kw_corner, n);
    memcpy(old, v, (size_t)n * sizeof *old);
    for (int i = 0; i < n; i++) {
        int edge = (2 * n - 2 - i) % n;
        v[i] = old[n - 1 - i];
        v[i].bow = old[edge].bow;
        number[i] = edge + 1;
    }
}

static enum kw_status check_bow(struct kw_kit_file *k, const struct kw_corner *c, double chord) {
    if (fabs(c->bow) <= chord / 2 + KW_SAME_POINT_MM) return KW_OK;
    return kw_fail(k->err, KW_GEOMETRY, c->place,
                   "expected a bow of at most half the edge's length, %s %s, got %s",
                   kw_kit_shown(k, chord / 2), kw_kit_unit(k), kw_kit_shown(k, c->bow));
}

/// Straight lines and bows between the corners, tags by number.
static enum kw_status join_corners(struct kw_kit_file *k, const struct kw_items *corners,
                                   const int *number, struct kw_path *out) {
    *out = (struct kw_path){0};
    for (int i = 0; i < corners->count; i++) {
        const struct kw_corner *c = KW_ITEM(struct kw_corner, *corners, i);
        const struct kw_corner *d = KW_ITEM(struct kw_corner, *corners, (i + 1) % corners->count);
        double chord = kw_length2(kw_sub2(d->at, c->at));
        enum kw_status s = c->bow == 0 ? KW_OK : check_bow(k, c, chord);
        if (s != KW_OK) return s;
        double bulge = c->bow == 0 ? 0 : fmax(-1, fmin(1, 2 * c->bow / chord));
        kw_path_add(k->arena, out, c->at.x, c->at.y, bulge, number[i]);
    }
    return KW_OK;
}

/// From the last corner to the first, so that the places of those to come stay.
static enum kw_status round_corners(struct kw_kit_file *k, const struct kw_items *corners,
                                    const int *number, struct kw_path *p) {
    int n = corners->count;
    for (int i = n - 1; i >= 0; i--) {
        const struct kw_corner *c = KW_ITEM(struct kw_corner, *corners, i);
        if (c->round == 0 || kw_path_round_corner(k->arena, p, i, c->round)) continue;
        return kw_fail(k->err, KW_GEOMETRY, c->place,
                       "the corner at %s can't be rounded by %s %s: the edges beside it are too "
                       "short, or one of them bows",
                       shown_point(k, c->at), kw_kit_shown(k, c->round), kw_kit_unit(k));
    }
    for (int i = 0; i < p->count; i++) { // what the rounding has put in is no edge
        if (p->v[i].bulge == 0) continue;
        int at = 0;
        while (at < n && number[at] != p->v[i].tag)
            at++;
        if (KW_ITEM(struct kw_corner, *corners, at)->bow == 0) p->v[i].tag = 0;
    }
    return KW_OK;
}

/// Segments that meet although they are no neighbours, by the numbers of their edges.
static enum kw_status check_crossing(struct kw_kit_file *k, const struct kw_path *p,
                                     const struct kw_node *node) {
    int n = p->count;
    for (int i = 0; i < n; i++) {
        for (int j = i + 2; j < n; j++) {
            struct kw_vec2 at[2];
            if ((j + 1) % n == i) continue;
            if (kw_segment_crossings(kw_path_segment(p, i), kw_path_segment(p, j), at) == 0)
                continue;
            int edge = p->v[j].tag > 0 ? p->v[j].tag - 1 : 0;
            struct kw_place place = node->kind == KW_LIST ? node->items[edge].at : node->at;
            return kw_fail(k->err, KW_GEOMETRY, place,
                           "the outline crosses itself at %s: edge %d meets edge %d",
                           shown_point(k, at[0]), p->v[j].tag, p->v[i].tag);
        }
    }
    return KW_OK;
}

enum kw_status kw_corners_path(struct kw_kit_file *k, struct kw_items *corners,
                               const struct kw_node *node, struct kw_path *out) {
    struct kw_arena scratch = {0};
    int *number = KW_NEW_ARRAY(&scratch, int, corners->count);
    for (int i = 0; i < corners->count; i++)
        number[i] = i + 1;
    enum kw_status s = join_corners(k, corners, number, out);
    if (s == KW_OK && kw_path_area(out) < 0) {
        reverse(&scratch, corners, number);
        s = join_corners(k, corners, number, out);
    }
    struct kw_error why = {0};
    if (s == KW_OK) s = round_corners(k, corners, number, out);
    if (s == KW_OK) s = check_crossing(k, out, node);
    if (s == KW_OK && kw_path_check(out, node->at, &why) != KW_OK) {
        s = kw_fail(k->err, KW_GEOMETRY, node->at, "the outline %s", why.text);
    }
    kw_arena_free(&scratch);
    return s;
}

// ------------------------------------------------------------------------- circle and polygon

static void polygon_path(struct kw_arena *a, int n, double across, struct kw_path *out) {
    double half = KW_PI / n;
    double radius = n % 2 ? across / (1 + cos(half)) : across / 2 / cos(half);
    for (int i = 0; i < n; i++) {
        double at = -KW_PI / 2 - half + i * 2 * half;
        kw_path_add(a, out, radius * cos(at), radius * sin(at), 0, i + 1);
    }
}

enum kw_status kw_part_outline(struct kw_kit_file *k, struct kw_part *part) {
    struct kw_base *b = &part->base;
    struct kw_path p = {0};
    enum kw_status s = KW_OK;
    if (b->points.count > 0) {
        s = kw_corners_path(k, &b->points, kw_node_get(b->node, "points"), &p);
    } else if (b->circle > 0) {
        p = kw_path_circle(k->arena, 0, 0, b->circle / 2, true, 0);
    } else {
        polygon_path(k->arena, b->polygon, b->across, &p);
    }
    if (s != KW_OK) return s;
    struct kw_box2 box = kw_path_box(&p);
    struct kw_move2 shift = {1, 0, -box.min.x, -box.min.y, false};
    b->outline = kw_path_moved(k->arena, &p, shift);
    for (int i = 0; i < b->points.count; i++) {
        struct kw_corner *c = KW_ITEM(struct kw_corner, b->points, i);
        c->at = kw_sub2(c->at, box.min);
    }
    b->length = box.max.x - box.min.x;
    b->width = box.max.y - box.min.y;
    return KW_OK;
}

// ------------------------------------------------------------------------------------- edges

static bool lies_on(const struct kw_base *b, int edge, struct kw_vec2 p, struct kw_vec2 q) {
    switch (edge) {
    case KW_EDGE_FRONT:
        return fmax(p.y, q.y) <= KW_SAME_POINT_MM;
    case KW_EDGE_RIGHT:
        return fmin(p.x, q.x) >= b->length - KW_SAME_POINT_MM;
    case KW_EDGE_BACK:
        return fmin(p.y, q.y) >= b->width - KW_SAME_POINT_MM;
    default:
        return fmax(p.x, q.x) <= KW_SAME_POINT_MM;
    }
}

int kw_outline_edge(const struct kw_base *b, int edge, int tag, struct kw_stretch *out) {
    int found = 0;
    for (int i = 0; i < b->outline.count; i++) {
        struct kw_segment s = kw_path_segment(&b->outline, i);
        if (s.radius > 0) continue;
        if (edge == KW_EDGE_OF_OUTLINE) {
            if (b->outline.v[i].tag != tag) continue;
            *out = (struct kw_stretch){0, kw_segment_length(s)};
        } else {
            if (!lies_on(b, edge, s.a, s.b)) continue;
            bool across = edge == KW_EDGE_FRONT || edge == KW_EDGE_BACK;
            double from = across ? s.a.x : s.a.y, to = across ? s.b.x : s.b.y;
            *out = (struct kw_stretch){fmin(from, to), fmax(from, to)};
        }
        found++;
    }
    return found;
}
