// SPDX-License-Identifier: Apache-2.0
// Faces of a part: a base given by its corners, flanges on its edges, holes in either.
#include "kit/kit_in.h"

#include <stdlib.h>
#include <string.h>

// Far above any honest part; keeps the checks between each two short.
enum { MOST_FLANGES = 100, MOST_HOLES = 20000 };

static const char *const edge_names[] = {"front", "right", "back", "left"};

// ------------------------------------------------------------------------------ corners of a base

static const char *shown_point(struct kw_kit_file *k, struct kw_vec2 p) {
    return kw_format(k->arena, "(%s, %s) %s", kw_kit_shown(k, p.x), kw_kit_shown(k, p.y),
                     kw_kit_unit(k));
}

static struct kw_path path_of(struct kw_arena *a, const struct kw_items *points) {
    struct kw_path p = {0};
    for (int i = 0; i < points->count; i++) {
        const struct kw_corner *v = KW_ITEM(struct kw_corner, *points, i);
        kw_path_add(a, &p, v->at.x, v->at.y, 0, 0);
    }
    return p;
}

// Lines of the outline that meet although they are no neighbours, by the numbers of their corners.
static enum kw_status check_crossing(struct kw_kit_file *k, const struct kw_path *p,
                                     const struct kw_node *node) {
    int n = p->count;
    for (int i = 0; i < n; i++) {
        for (int j = i + 2; j < n; j++) {
            struct kw_vec2 at[2];
            if ((j + 1) % n == i) continue;
            if (kw_segment_crossings(kw_path_segment(p, i), kw_path_segment(p, j), at) == 0)
                continue;
            return kw_fail(k->err, KW_GEOMETRY, node->items[j].at,
                           "the outline crosses itself at %s: the line from corner %d to %d meets "
                           "the one from corner %d to %d",
                           shown_point(k, at[0]), j + 1, (j + 1) % n + 1, i + 1, i + 2);
        }
    }
    return KW_OK;
}

enum kw_status kw_part_points(struct kw_kit_file *k, struct kw_part *part) {
    struct kw_base *b = &part->base;
    const struct kw_node *node = kw_node_get(b->node, "points");
    struct kw_arena scratch = {0};
    struct kw_path p = path_of(&scratch, &b->points);
    enum kw_status s = check_crossing(k, &p, node);
    struct kw_error why = {0};
    if (s == KW_OK && kw_path_check(&p, node->at, &why) != KW_OK) {
        s = kw_fail(k->err, KW_GEOMETRY, node->at, "the outline %s", why.text);
    }
    if (s == KW_OK) {
        struct kw_path q = kw_path_oriented(&scratch, &p, true);
        struct kw_box2 box = kw_path_box(&q);
        for (int i = 0; i < q.count; i++) {
            KW_ITEM(struct kw_corner, b->points, i)->at =
                kw_v2(q.v[i].x - box.min.x, q.v[i].y - box.min.y);
        }
        b->length = box.max.x - box.min.x;
        b->width = box.max.y - box.min.y;
    }
    kw_arena_free(&scratch);
    return s;
}

// The one straight stretch of an outline by corners that lies on a side of its box.
static int find_side(const struct kw_base *b, int edge, struct kw_stretch *out) {
    int found = 0;
    for (int i = 0; i < b->points.count; i++) {
        struct kw_vec2 p = KW_ITEM(struct kw_corner, b->points, i)->at;
        struct kw_vec2 q = KW_ITEM(struct kw_corner, b->points, (i + 1) % b->points.count)->at;
        bool lies = edge == KW_EDGE_FRONT   ? fmax(p.y, q.y) <= KW_SAME_POINT_MM
                    : edge == KW_EDGE_RIGHT ? fmin(p.x, q.x) >= b->length - KW_SAME_POINT_MM
                    : edge == KW_EDGE_BACK  ? fmin(p.y, q.y) >= b->width - KW_SAME_POINT_MM
                                            : fmax(p.x, q.x) <= KW_SAME_POINT_MM;
        if (!lies) continue;
        bool across = edge == KW_EDGE_FRONT || edge == KW_EDGE_BACK;
        double s = across ? p.x : p.y, t = across ? q.x : q.y;
        *out = (struct kw_stretch){fmin(s, t), fmax(s, t)};
        found++;
    }
    return found;
}

// ---------------------------------------------------------------------------------------- flanges

static struct kw_stretch edge_stretch(const struct kw_part *part, int edge) {
    struct kw_stretch all = {0, edge == KW_EDGE_FRONT || edge == KW_EDGE_BACK ? part->base.length
                                                                              : part->base.width};
    if (part->base.points.count > 0) find_side(&part->base, edge, &all);
    return all;
}

struct kw_stretch kw_flange_stretch(const struct kw_part *part, int i, int *edge) {
    const struct kw_flange *f = KW_ITEM(struct kw_flange, part->bends, i);
    struct kw_stretch s;
    if (f->parent >= 0) {
        s = kw_flange_stretch(part, f->parent, edge);
    } else {
        s = edge_stretch(part, f->edge);
        *edge = f->edge;
    }
    return (struct kw_stretch){s.from + f->from_start, s.to - f->from_end};
}

static int find_flange(const struct kw_part *part, const char *name) {
    for (int i = 0; i < part->bends.count; i++) {
        if (strcmp(KW_ITEM(struct kw_flange, part->bends, i)->name, name) == 0) return i;
    }
    return -1;
}

static enum kw_status fail_flange(struct kw_kit_file *k, const struct kw_part *part,
                                  struct kw_place at, const char *name, bool edges) {
    const char **known = NULL;
    int count = 0;
    for (int i = 0; edges && i < 4; i++)
        KW_PUSH(k->arena, known, count) = edge_names[i];
    for (int i = 0; i < part->bends.count; i++) {
        KW_PUSH(k->arena, known, count) = KW_ITEM(struct kw_flange, part->bends, i)->name;
    }
    KW_PUSH(k->arena, known, count) = NULL;
    const char *near = kw_nearest_word(name, known);
    return kw_fail(k->err, KW_UNKNOWN, at, "unknown flange \"%s\" of part \"%s\"%s%s%s%s", name,
                   part->name, edges ? ", expected front, right, back, left or a flange" : "",
                   near ? ", did you mean \"" : "", near ? near : "", near ? "\"?" : "");
}

static enum kw_status check_points_side(struct kw_kit_file *k, const struct kw_part *part,
                                        const struct kw_flange *f) {
    struct kw_stretch side;
    if (part->base.points.count == 0 || f->edge == KW_EDGE_OF_BEND) return KW_OK;
    int sides = find_side(&part->base, f->edge, &side);
    if (sides == 1) return KW_OK;
    return kw_fail(k->err, KW_GEOMETRY, kw_place_of(f->node, "along"),
                   "flange \"%s\" needs one straight edge along the %s of the base, got %d",
                   f->name, edge_names[f->edge], sides);
}

// Sets edge and parent. A flange stands on one named above it, so that the list is in the order of
// building and has no circle.
static enum kw_status find_edge(struct kw_kit_file *k, struct kw_part *part, int i) {
    struct kw_flange *f = KW_ITEM(struct kw_flange, part->bends, i);
    struct kw_place at = kw_place_of(f->node, "along");
    f->parent = -1;
    for (int e = 0; e < 4; e++) {
        if (strcmp(f->name, edge_names[e]) == 0) {
            return kw_fail(k->err, KW_FORMAT, f->node->key_at,
                           "a flange can't be called \"%s\", which is an edge of the base",
                           f->name);
        }
        if (strcmp(f->along, edge_names[e]) != 0) continue;
        f->edge = e;
        return check_points_side(k, part, f);
    }
    f->edge = KW_EDGE_OF_BEND;
    f->parent = find_flange(part, f->along);
    if (f->parent < 0) return fail_flange(k, part, at, f->along, true);
    if (f->parent < i) return KW_OK;
    return kw_fail(k->err, KW_FORMAT, at,
                   "flange \"%s\" stands on \"%s\", expected that one above it in the list",
                   f->name, f->along);
}

static enum kw_status check_flange_keys(struct kw_kit_file *k, const struct kw_flange *f) {
    static const char *const needed[] = {"along", "height"};
    for (int i = 0; i < 2; i++) {
        if (kw_node_get(f->node, needed[i])) continue;
        return kw_fail(k->err, KW_MISSING, f->node->at, "missing key \"%s\" of flange \"%s\"",
                       needed[i], f->name);
    }
    const struct kw_node *line = kw_node_get(f->node, "line");
    if (!line) return KW_OK;
    return kw_fail(k->err, KW_FORMAT, line->key_at, "line goes with flat, which the part hasn't");
}

static enum kw_status check_stretch(struct kw_kit_file *k, const struct kw_part *part, int i) {
    const struct kw_flange *f = KW_ITEM(struct kw_flange, part->bends, i);
    int edge, other;
    struct kw_stretch s = kw_flange_stretch(part, i, &edge);
    if (!(s.to - s.from > KW_JOIN_MM)) {
        return kw_fail(k->err, KW_GEOMETRY, f->node->key_at,
                       "flange \"%s\" keeps so far from the ends that nothing is left of its edge",
                       f->name);
    }
    for (int j = 0; j < i; j++) {
        const struct kw_flange *g = KW_ITEM(struct kw_flange, part->bends, j);
        if (g->parent != f->parent || g->edge != f->edge) continue;
        struct kw_stretch t = kw_flange_stretch(part, j, &other);
        if (s.from >= t.to - KW_SAME_POINT_MM || t.from >= s.to - KW_SAME_POINT_MM) continue;
        return kw_fail(k->err, KW_GEOMETRY, f->node->key_at,
                       "flanges \"%s\" and \"%s\" share a stretch of one edge, expected from_start "
                       "and from_end that keep them apart",
                       g->name, f->name);
    }
    return KW_OK;
}

enum kw_status kw_part_bends(struct kw_kit_file *k, struct kw_part *part) {
    enum kw_status s = KW_OK;
    if (part->bends.count > MOST_FLANGES) {
        return kw_fail(k->err, KW_LIMIT, kw_place_of(part->node, "bends"),
                       "expected at most %d flanges, got %d", MOST_FLANGES, part->bends.count);
    }
    for (int i = 0; s == KW_OK && i < part->bends.count; i++) {
        s = check_flange_keys(k, KW_ITEM(struct kw_flange, part->bends, i));
        if (s == KW_OK) s = find_edge(k, part, i);
        if (s == KW_OK) s = check_stretch(k, part, i);
    }
    return s;
}

// ------------------------------------------------------------------------------------------ holes

static enum kw_status check_sizes(struct kw_kit_file *k, const struct kw_hole *h) {
    bool round = h->size > 0, box = h->wide > 0 || h->tall > 0;
    if (round == box || (box && !(h->wide > 0 && h->tall > 0))) {
        return kw_fail(k->err, KW_FORMAT, h->node->at,
                       "expected a hole with size, or with wide and tall");
    }
    if (box && h->slot > 0) {
        return kw_fail(k->err, KW_FORMAT, kw_node_get(h->node, "slot")->key_at,
                       "slot goes with size, which the hole hasn't");
    }
    const struct kw_node *runs = kw_node_get(h->node, "runs");
    if (runs && h->slot == 0) {
        return kw_fail(k->err, KW_FORMAT, runs->key_at,
                       "runs goes with slot, which the hole hasn't");
    }
    if (h->slot > 0 && !(h->slot > h->size)) {
        return kw_fail(k->err, KW_GEOMETRY, kw_place_of(h->node, "slot"),
                       "a slot of %s %s is no longer than it is wide (%s %s)",
                       kw_kit_shown(k, h->slot), kw_kit_unit(k), kw_kit_shown(k, h->size),
                       kw_kit_unit(k));
    }
    return KW_OK;
}

// Which keys place a hole: across the face first, then away from the front or the bend.
struct hole_keys {
    const char *along, *away, *neither;
};

static struct hole_keys keys_of(const struct kw_part *part, const struct kw_hole *h) {
    if (h->flange < 0) return (struct hole_keys){"from_left", "from_front", "from_bottom"};
    int edge;
    kw_flange_stretch(part, h->flange, &edge);
    if (edge == KW_EDGE_FRONT || edge == KW_EDGE_BACK) {
        return (struct hole_keys){"from_left", "from_bottom", "from_front"};
    }
    return (struct hole_keys){"from_front", "from_bottom", "from_left"};
}

static const struct kw_items *items_of(const struct kw_hole *h, const char *key) {
    return strcmp(key, "from_left") == 0    ? &h->from_left
           : strcmp(key, "from_front") == 0 ? &h->from_front
                                            : &h->from_bottom;
}

static enum kw_status check_hole_keys(struct kw_kit_file *k, struct kw_part *part,
                                      struct kw_hole *h) {
    struct hole_keys keys = keys_of(part, h);
    const char *where = h->flange < 0 ? "the base" : kw_format(k->arena, "flange \"%s\"", h->on);
    const char *needed[2] = {keys.along, keys.away};
    for (int i = 0; i < 2; i++) {
        if (items_of(h, needed[i])->count > 0) continue;
        return kw_fail(k->err, KW_MISSING, h->node->at, "missing key \"%s\" of a hole in %s",
                       needed[i], where);
    }
    const struct kw_node *odd = kw_node_get(h->node, keys.neither);
    if (odd) {
        return kw_fail(k->err, KW_FORMAT, odd->key_at,
                       "%s doesn't place a hole in %s, expected %s and %s", keys.neither, where,
                       keys.along, keys.away);
    }
    // The run of a slot is said in the kit's directions and kept in those of its face.
    static const char *const runs[] = {"from_left", "from_front", "from_bottom"};
    h->slot_along = strcmp(runs[h->runs], keys.away) == 0;
    if (h->slot == 0 || h->slot_along || strcmp(runs[h->runs], keys.along) == 0) return KW_OK;
    return kw_fail(k->err, KW_GEOMETRY, kw_place_of(h->node, "runs"),
                   "a slot in %s can't run that way", where);
}

static bool outside_points(const struct kw_base *b, struct kw_vec2 at, double half) {
    struct kw_arena scratch = {0};
    struct kw_path p = path_of(&scratch, &b->points);
    bool out = !kw_path_contains(&p, at) && kw_path_distance(&p, at) >= half;
    kw_arena_free(&scratch);
    return out;
}

static enum kw_status check_inside(struct kw_kit_file *k, const struct kw_part *part,
                                   const struct kw_hole *h, double along, double away) {
    double x = h->size > 0 ? h->size / 2 : h->wide / 2, y = h->size > 0 ? h->size / 2 : h->tall / 2;
    if (h->slot > 0 && h->slot_along == 0) x = h->slot / 2;
    if (h->slot > 0 && h->slot_along == 1) y = h->slot / 2;
    struct kw_stretch s = {0, part->base.length};
    double reach = part->base.width;
    if (h->flange >= 0) {
        int edge;
        s = kw_flange_stretch(part, h->flange, &edge);
        reach = KW_ITEM(struct kw_flange, part->bends, h->flange)->height;
    }
    bool out = along + x <= s.from || along - x >= s.to || away + y <= 0 || away - y >= reach;
    if (!out && h->flange < 0 && part->base.points.count > 0) {
        out = outside_points(&part->base, kw_v2(along, away), hypot(x, y));
    }
    if (!out) return KW_OK;
    struct hole_keys keys = keys_of(part, h);
    const char *name = h->flange < 0 ? "the base" : kw_format(k->arena, "flange \"%s\"", h->on);
    return kw_fail(k->err, KW_GEOMETRY, h->node->at,
                   "a hole %s %s and %s %s is wholly outside %s (%s to %s by %s %s)", keys.along,
                   kw_kit_shown(k, along), keys.away, kw_kit_shown(k, away), name,
                   kw_kit_shown(k, s.from), kw_kit_shown(k, s.to), kw_kit_shown(k, reach),
                   kw_kit_unit(k));
}

// `left`: how many more holes the part may have.
static enum kw_status check_hole(struct kw_kit_file *k, struct kw_part *part, struct kw_hole *h,
                                 long *left) {
    h->flange = h->on ? find_flange(part, h->on) : -1;
    if (h->on && h->flange < 0) {
        return fail_flange(k, part, kw_place_of(h->node, "flange"), h->on, false);
    }
    enum kw_status s = check_sizes(k, h);
    if (s == KW_OK) s = check_hole_keys(k, part, h);
    if (s != KW_OK) return s;
    struct hole_keys keys = keys_of(part, h);
    const struct kw_items *along = items_of(h, keys.along), *away = items_of(h, keys.away);
    *left -= (long)along->count * away->count;
    if (*left < 0) {
        return kw_fail(k->err, KW_LIMIT, h->node->at, "expected at most %d holes in a part",
                       MOST_HOLES);
    }
    for (int i = 0; i < along->count; i++) {
        for (int j = 0; s == KW_OK && j < away->count; j++) {
            s = check_inside(k, part, h, *KW_ITEM(double, *along, i), *KW_ITEM(double, *away, j));
        }
    }
    return s;
}

enum kw_status kw_part_holes(struct kw_kit_file *k, struct kw_part *part) {
    enum kw_status s = KW_OK;
    long left = MOST_HOLES;
    for (int i = 0; s == KW_OK && i < part->holes.count; i++) {
        s = check_hole(k, part, KW_ITEM(struct kw_hole, part->holes, i), &left);
    }
    return s;
}
