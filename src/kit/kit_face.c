// SPDX-License-Identifier: Apache-2.0
// Faces of a part: flanges on the edges of its base, holes in either.
#include "kit/kit_in.h"

#include <stdlib.h>
#include <string.h>

// Far above any honest part; keeps the checks between each two short.
enum { MOST_FLANGES = 100, MOST_HOLES = 20000 };

static const char *const edge_names[] = {"front", "right", "back", "left"};

// ---------------------------------------------------------------------------------------- flanges

static struct kw_stretch edge_stretch(const struct kw_part *part, int edge, int tag) {
    struct kw_stretch all = {0, edge == KW_EDGE_FRONT || edge == KW_EDGE_BACK ? part->base.length
                                                                              : part->base.width};
    if (part->base.outline.count > 0) (void)kw_outline_edge(&part->base, edge, tag, &all);
    return all;
}

struct kw_stretch kw_flange_stretch(const struct kw_part *part, int i, int *edge) {
    const struct kw_flange *f = KW_ITEM(struct kw_flange, part->bends, i);
    struct kw_stretch s;
    if (f->parent >= 0) {
        s = kw_flange_stretch(part, f->parent, edge);
    } else {
        s = edge_stretch(part, f->edge, f->outline_edge);
        *edge = f->edge;
    }
    return (struct kw_stretch){s.from + f->from_start, s.to - f->from_end};
}

int kw_flange_named(const struct kw_part *part, const char *name) {
    for (int i = 0; i < part->bends.count; i++) {
        if (strcmp(KW_ITEM(struct kw_flange, part->bends, i)->name, name) == 0) return i;
    }
    return -1;
}

enum kw_status kw_fail_flange(struct kw_kit_file *k, const struct kw_part *part, struct kw_place at,
                              const char *name, bool edges) {
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

static enum kw_status check_outline_side(struct kw_kit_file *k, const struct kw_part *part,
                                         const struct kw_flange *f) {
    struct kw_stretch side;
    if (part->base.outline.count == 0) return KW_OK;
    int sides = kw_outline_edge(&part->base, f->edge, f->outline_edge, &side);
    if (sides == 1) return KW_OK;
    struct kw_place at = kw_place_of(f->node, "along");
    if (f->edge == KW_EDGE_OF_OUTLINE) {
        return kw_fail(k->err, KW_GEOMETRY, at,
                       "flange \"%s\" needs a straight edge, expected one of edges 1 to %d, got %s",
                       f->name, part->base.outline.count, f->along);
    }
    return kw_fail(k->err, KW_GEOMETRY, at,
                   "flange \"%s\" needs one straight edge along the %s of the base, got %d",
                   f->name, edge_names[f->edge], sides);
}

// "edge 3": 3; 0 when it says something else.
static int edge_number(const char *along) {
    if (strncmp(along, "edge ", 5) != 0) return 0;
    char *end;
    long n = strtol(along + 5, &end, 10);
    return *end == 0 && n > 0 && n <= 1000 ? (int)n : 0;
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
        return check_outline_side(k, part, f);
    }
    f->outline_edge = edge_number(f->along);
    if (f->outline_edge > 0) {
        f->edge = KW_EDGE_OF_OUTLINE;
        if (part->base.outline.count > 0) return check_outline_side(k, part, f);
        return kw_fail(k->err, KW_FORMAT, at,
                       "a base by long and wide has no numbered edges, expected front, right, back "
                       "or left, got \"%s\"",
                       f->along);
    }
    f->edge = KW_EDGE_OF_BEND;
    f->parent = kw_flange_named(part, f->along);
    if (f->parent < 0) return kw_fail_flange(k, part, at, f->along, true);
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

static enum kw_status refuse_together(struct kw_kit_file *k, const struct kw_flange *f,
                                      const char *key, const char *why) {
    const struct kw_node *said = kw_node_get(f->node, key);
    if (!said) return KW_OK;
    return kw_fail(k->err, KW_FORMAT, said->key_at, "%s of flange \"%s\": %s", key, f->name, why);
}

// Hem, offset bend and hand tab exclude one another; each has a turn of its own.
static enum kw_status check_flange_kind(struct kw_kit_file *k, struct kw_flange *f) {
    enum kw_status s = KW_OK;
    bool hem = f->hem != KW_NO_HEM, offset = f->offset > 0, hand = f->by_hand.node != NULL;
    if (!kw_node_get(f->node, "by_hand")) f->by_hand.node = NULL, hand = false;
    if (hem) {
        static const char *const not_with[] = {"turn", "radius", "offset", "by_hand"};
        for (int i = 0; s == KW_OK && i < 4; i++)
            s = refuse_together(k, f, not_with[i], "a hem has none");
        f->turn = KW_PI;
    }
    if (s == KW_OK && f->hem != KW_HEM_OPEN)
        s = refuse_together(k, f, "gap", "only an open hem has one");
    if (s == KW_OK && f->corners != KW_CORNERS_BUTT)
        s = refuse_together(k, f, "corner_gap", "only a flange whose corners butt has one");
    if (s == KW_OK && offset) s = refuse_together(k, f, "by_hand", "an offset bend has none");
    if (s == KW_OK && offset && f->turn > KW_PI / 2 + 1e-9) {
        s = kw_fail(k->err, KW_RANGE, kw_place_of(f->node, "turn"),
                    "expected a turn of at most 90 degrees in an offset bend");
    }
    if (f->turn == 0) f->turn = offset ? KW_PI / 4 : KW_PI / 2;
    if (s == KW_OK && f->hem == KW_HEM_OPEN && f->gap == 0) f->gap = k->thickness;
    if (s == KW_OK && hand && f->by_hand.width == 0) f->by_hand.width = 2 * k->kerf;
    return s;
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
        if (g->parent != f->parent || g->edge != f->edge || g->outline_edge != f->outline_edge)
            continue;
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
        struct kw_flange *f = KW_ITEM(struct kw_flange, part->bends, i);
        if (f->from_drawing) continue;
        s = check_flange_keys(k, f);
        if (s == KW_OK) s = check_flange_kind(k, f);
        if (s == KW_OK) s = find_edge(k, part, i);
        if (s == KW_OK) s = check_stretch(k, part, i);
    }
    return s;
}

// -------------------------------------------------------------------------------------- the hand

enum kw_status kw_part_gripped(struct kw_kit_file *k, const struct kw_part *part) {
    const struct kw_node *said = kw_node_get(part->node, "gripped");
    int edges = part->flat ? part->drawing.outer.count : part->base.outline.count;
    for (int i = 0; i < part->gripped.count; i++) {
        const char *name = *KW_ITEM(const char *, part->gripped, i);
        struct kw_place at = said->kind == KW_LIST ? said->items[i].at : said->at;
        bool side = false;
        for (int e = 0; e < 4; e++)
            side = side || strcmp(name, edge_names[e]) == 0;
        if (side || kw_flange_named(part, name) >= 0) continue;
        if (strncmp(name, "edge ", 5) != 0) return kw_fail_flange(k, part, at, name, true);
        int n = edge_number(name);
        if (n >= 1 && n <= edges) continue;
        return kw_fail(k->err, KW_RANGE, at, "expected one of edges 1 to %d of the outline, got %s",
                       edges, name);
    }
    return KW_OK;
}
