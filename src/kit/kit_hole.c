// SPDX-License-Identifier: Apache-2.0
// Holes and marks of a part: one way of saying their form, keys that fit their face, places inside
// it.
#include "kit/kit_in.h"

#include <string.h>

// Far above any honest part.
enum { MOST_HOLES = 20000 };

// ------------------------------------------------------------------------------------- their form

// Ways of saying a hole's form, and the keys that go with each.
enum { ROUND = 1, BOLT = 2, BOX = 4, CORNERS = 8, ORNAMENT = 16, LETTERS = 32, DIMPLE = 64 };
static const struct {
    const char *key;
    int bit;
} ways[] = {{"size", ROUND},     {"bolt", BOLT},         {"wide", BOX},        {"tall", BOX},
            {"points", CORNERS}, {"ornament", ORNAMENT}, {"letters", LETTERS}, {"dimple", DIMPLE}};
static const struct {
    const char *key;
    int goes_with;
    const char *said;
} keys_of_ways[] = {
    {"slot", ROUND | BOLT, "size or bolt"},
    {"neck", ROUND, "size and slot"},
    {"fit", BOLT, "bolt"},
    {"height", LETTERS | ORNAMENT, "letters or ornament"},
    {"font", LETTERS, "letters"},
    {"bridge", LETTERS | ORNAMENT, "letters or ornament"},
    {"way", DIMPLE, "dimple"},
    {"make", ROUND | BOLT | BOX, "size, bolt or wide and tall"},
};

static enum kw_status find_way(struct kw_kit_file *k, const struct kw_hole *h, int *way) {
    *way = 0;
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        if (kw_node_get(h->node, ways[i].key)) *way |= ways[i].bit;
    }
    if (*way == 0 || (*way & (*way - 1)) != 0 || (*way == BOX && !(h->wide > 0 && h->tall > 0))) {
        return kw_fail(k->err, KW_FORMAT, h->node->at,
                       "expected a hole with one of size, bolt, wide and tall, points, ornament, "
                       "letters, dimple");
    }
    for (size_t i = 0; i < sizeof keys_of_ways / sizeof *keys_of_ways; i++) {
        const struct kw_node *said = kw_node_get(h->node, keys_of_ways[i].key);
        if (!said || (keys_of_ways[i].goes_with & *way)) continue;
        return kw_fail(k->err, KW_FORMAT, said->key_at, "%s goes with %s, which the hole hasn't",
                       keys_of_ways[i].key, keys_of_ways[i].said);
    }
    return KW_OK;
}

static enum kw_status size_of_bolt(struct kw_kit_file *k, struct kw_hole *h) {
    if (kw_clearance_hole(h->bolt, (enum kw_fit)h->fit, &h->size)) return KW_OK;
    return kw_fail(k->err, KW_UNKNOWN, kw_place_of(h->node, "bolt"),
                   "expected a bolt size such as 3/8, #10 or M10, got \"%.40s\"", h->bolt);
}

static enum kw_status size_of_dimple(struct kw_kit_file *k, struct kw_hole *h) {
    const struct kw_items *dies = &k->shop->dimple_dies;
    const char **names = KW_NEW_ARRAY(k->arena, const char *, dies->count + 1);
    for (int i = 0; i < dies->count; i++) {
        const struct kw_dimple_die *d = KW_ITEM(struct kw_dimple_die, *dies, i);
        names[i] = d->name;
        if (strcmp(d->name, h->dimple) != 0) continue;
        h->dimple_die = i;
        h->size = d->pre_hole;
        return KW_OK;
    }
    const char *near = kw_nearest_word(h->dimple, names);
    return kw_fail(
        k->err, KW_UNKNOWN, kw_place_of(h->node, "dimple"),
        "unknown dimple die \"%.60s\"%s%s%s, expected one under dimple_dies in shop.yaml",
        h->dimple, near ? ", did you mean \"" : "", near ? near : "", near ? "\"?" : "");
}

static enum kw_status check_slot(struct kw_kit_file *k, const struct kw_hole *h) {
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
    if (h->neck == 0) return KW_OK;
    if (h->slot > 0 && h->neck < h->size) return KW_OK;
    return kw_fail(k->err, KW_GEOMETRY, kw_place_of(h->node, "neck"),
                   "expected a keyhole with slot, its overall length, and a neck narrower than its "
                   "round hole of %s %s",
                   kw_kit_shown(k, h->size), kw_kit_unit(k));
}

static enum kw_status read_ornament(struct kw_kit_file *k, struct kw_hole *h) {
    struct kw_drawing d;
    enum kw_status s =
        kw_part_drawing(k, kw_place_of(h->node, "ornament"), h->drawing, &k->shop->layers, &d);
    if (s != KW_OK) return s;
    if (!d.units_said && h->tallness == 0) {
        return kw_fail(k->err, KW_UNIT, kw_place_of(h->node, "ornament"),
                       "%s doesn't say its unit, expected height to scale it by", h->drawing);
    }
    double scale = h->tallness > 0 ? h->tallness / d.height : 1;
    h->ornament = kw_region_scaled(k->arena, &d.region, scale);
    struct kw_box2 box = kw_path_box(&h->ornament.outer);
    struct kw_vec2 middle = kw_lerp2(box.min, box.max, 0.5);
    h->ornament =
        kw_region_moved(k->arena, &h->ornament, kw_move2_make(-middle.x, -middle.y, 0, false));
    return KW_OK;
}

static enum kw_status check_form(struct kw_kit_file *k, struct kw_hole *h) {
    int way;
    h->dimple_die = -1;
    enum kw_status s = find_way(k, h, &way);
    if (s == KW_OK && way == BOLT) s = size_of_bolt(k, h);
    if (s == KW_OK && way == DIMPLE) s = size_of_dimple(k, h);
    if (s == KW_OK) s = check_slot(k, h);
    if (s == KW_OK && way == CORNERS) {
        struct kw_path p;
        s = kw_corners_path(k, &h->points, kw_node_get(h->node, "points"), &p);
        h->cut_out = p;
    }
    if (s == KW_OK && way == ORNAMENT) s = read_ornament(k, h);
    if (s == KW_OK && way == LETTERS && h->tallness == 0) {
        s = kw_fail(k->err, KW_MISSING, h->node->at, "missing key \"height\" of letters");
    }
    if (way == LETTERS && !h->font) h->font = k->shop->marking.font;
    return s;
}

// ------------------------------------------------------------------------------------- their face

// Which keys place a hole: across the face first, then away from the front or the bend.
struct face_keys {
    const char *along, *away, *neither;
};

static struct face_keys keys_of(const struct kw_part *part, int flange) {
    if (flange < 0) return (struct face_keys){"from_left", "from_front", "from_bottom"};
    int edge;
    kw_flange_stretch(part, flange, &edge);
    if (edge == KW_EDGE_FRONT || edge == KW_EDGE_BACK || edge == KW_EDGE_OF_OUTLINE) {
        return (struct face_keys){"from_left", "from_bottom", "from_front"};
    }
    return (struct face_keys){"from_front", "from_bottom", "from_left"};
}

static const struct kw_items *items_of(const struct kw_hole *h, const char *key) {
    return strcmp(key, "from_left") == 0    ? &h->from_left
           : strcmp(key, "from_front") == 0 ? &h->from_front
                                            : &h->from_bottom;
}

static const char *face_name(struct kw_kit_file *k, const char *on) {
    return on ? kw_format(k->arena, "flange \"%s\"", on) : "the base";
}

static enum kw_status check_hole_keys(struct kw_kit_file *k, struct kw_part *part,
                                      struct kw_hole *h) {
    struct face_keys keys = keys_of(part, h->flange);
    const char *where = face_name(k, h->on);
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

static enum kw_status check_repeat(struct kw_kit_file *k, struct kw_hole *h) {
    const struct kw_repeat *r = &h->repeat;
    if (!kw_node_get(h->node, "repeat")) {
        h->repeat = (struct kw_repeat){0};
    } else if ((r->ring > 0) != (r->across > 0) || (r->ring > 0) == (r->count[0] > 0) ||
               (r->count[0] > 0) != (kw_node_get(r->node, "step") != NULL)) {
        return kw_fail(k->err, KW_FORMAT, r->node->at,
                       "expected repeat with count and step, or with ring and across");
    }
    if (h->mirror == KW_MIRROR_NEITHER || h->flange < 0 || h->mirror == KW_MIRROR_LEFT_RIGHT)
        return KW_OK;
    return kw_fail(k->err, KW_FORMAT, kw_place_of(h->node, "mirror"),
                   "a hole in a flange can only be mirrored left-right, along the flange");
}

// ------------------------------------------------------------------------------------ their place

/// Half the size of the box that a hole takes, unturned; big for what only shape can tell.
static struct kw_vec2 half_size(const struct kw_hole *h) {
    if (h->cut_out.count > 0 || h->drawing) {
        struct kw_box2 b = kw_path_box(h->drawing ? &h->ornament.outer : &h->cut_out);
        return kw_v2(fmax(fabs(b.min.x), fabs(b.max.x)), fmax(fabs(b.min.y), fabs(b.max.y)));
    }
    if (h->letters) return kw_v2(h->tallness * (double)strlen(h->letters) / 2, h->tallness / 2);
    if (h->wide > 0) return kw_v2(h->wide / 2, h->tall / 2);
    double x = h->size / 2, y = h->size / 2;
    if (h->slot > 0 && h->slot_along == 0) x = h->slot / 2;
    if (h->slot > 0 && h->slot_along == 1) y = h->slot / 2;
    return kw_v2(x, y);
}

static bool outside_outline(const struct kw_path *p, struct kw_vec2 at, double half) {
    return !kw_path_contains(p, at) && kw_path_distance(p, at) >= half;
}

static enum kw_status check_inside(struct kw_kit_file *k, const struct kw_part *part,
                                   const struct kw_hole *h, const struct kw_hole_spot *spot) {
    struct kw_vec2 half = half_size(h), at = spot->at;
    if (spot->turn != 0) half.x = half.y = hypot(half.x, half.y);
    struct kw_stretch s = {0, part->base.length};
    double reach = part->base.width;
    if (h->flange >= 0) {
        int edge;
        s = kw_flange_stretch(part, h->flange, &edge);
        reach = KW_ITEM(struct kw_flange, part->bends, h->flange)->height;
    }
    bool out = at.x + half.x <= s.from || at.x - half.x >= s.to || at.y + half.y <= 0 ||
               at.y - half.y >= reach;
    if (!out && h->flange < 0 && part->base.outline.count > 0) {
        out = outside_outline(&part->base.outline, at, hypot(half.x, half.y));
    }
    if (!out) return KW_OK;
    struct face_keys keys = keys_of(part, h->flange);
    return kw_fail(k->err, KW_GEOMETRY, h->node->at,
                   "a hole %s %s and %s %s is wholly outside %s (%s to %s by %s %s)", keys.along,
                   kw_kit_shown(k, at.x), keys.away, kw_kit_shown(k, at.y), face_name(k, h->on),
                   kw_kit_shown(k, s.from), kw_kit_shown(k, s.to), kw_kit_shown(k, reach),
                   kw_kit_unit(k));
}

static enum kw_status find_face(struct kw_kit_file *k, struct kw_part *part,
                                const struct kw_node *node, const char *on, int *flange) {
    *flange = on ? kw_flange_named(part, on) : -1;
    if (!on || *flange >= 0) return KW_OK;
    return kw_fail_flange(k, part, kw_place_of(node, "flange"), on, false);
}

// `left`: how many more holes the part may have.
static enum kw_status check_hole(struct kw_kit_file *k, struct kw_part *part, struct kw_hole *h,
                                 long *left) {
    enum kw_status s = find_face(k, part, h->node, h->on, &h->flange);
    if (s == KW_OK) s = check_form(k, h);
    if (s == KW_OK) s = check_hole_keys(k, part, h);
    if (s == KW_OK) s = check_repeat(k, h);
    if (s != KW_OK) return s;
    *left -= kw_hole_spot_count(h);
    if (*left < 0) {
        return kw_fail(k->err, KW_LIMIT, h->node->at, "expected at most %d holes in a part",
                       MOST_HOLES);
    }
    struct kw_arena scratch = {0};
    int count;
    struct kw_hole_spot *spots = kw_hole_spots(&scratch, part, h, &count);
    for (int i = 0; s == KW_OK && i < count; i++)
        s = check_inside(k, part, h, &spots[i]);
    kw_arena_free(&scratch);
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

// ------------------------------------------------------------------------------------------ marks

static enum kw_status check_mark(struct kw_kit_file *k, struct kw_part *part, struct kw_mark *m) {
    enum kw_status s = find_face(k, part, m->node, m->on, &m->flange);
    if (s != KW_OK) return s;
    if ((m->text != NULL) == (m->line.count > 0)) {
        return kw_fail(k->err, KW_FORMAT, m->node->at, "expected a mark with text, or with line");
    }
    struct face_keys keys = keys_of(part, m->flange);
    const char *place[] = {"from_left", "from_front", "from_bottom"};
    for (int i = 0; i < 3; i++) {
        bool fits = m->text && strcmp(place[i], keys.neither) != 0;
        const struct kw_node *said = kw_node_get(m->node, place[i]);
        if (said && !fits) {
            return kw_fail(k->err, KW_FORMAT, said->key_at, "%s doesn't place %s in %s", place[i],
                           m->text ? "a text" : "a line", face_name(k, m->on));
        }
        if (!said && fits) {
            return kw_fail(k->err, KW_MISSING, m->node->at, "missing key \"%s\" of a text in %s",
                           place[i], face_name(k, m->on));
        }
    }
    if (m->height == 0) m->height = k->shop->marking.text_height;
    if (m->text && strcmp(m->text, "name") == 0) m->text = part->name;
    return KW_OK;
}

enum kw_status kw_part_marks(struct kw_kit_file *k, struct kw_part *part) {
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < part->marks.count; i++)
        s = check_mark(k, part, KW_ITEM(struct kw_mark, part->marks, i));
    return s;
}
