// SPDX-License-Identifier: Apache-2.0
// The shape of a hole about its own centre: round, slot, keyhole, rectangle, any outline.
#include "letter/letter.h"
#include "shape/inside.h"

#define LETTER_TOLERANCE_MM 0.02

static struct kw_path slot_path(struct kw_arena *a, double size, double length, int tag) {
    double r = size / 2, half = length / 2 - r;
    struct kw_path p = {0};
    if (!(half > KW_SAME_POINT_MM)) return kw_path_circle(a, 0, 0, r, false, tag);
    kw_path_add(a, &p, -half, r, 0, tag); // clockwise: along the upper side first
    kw_path_add(a, &p, half, r, -1, tag);
    kw_path_add(a, &p, half, -r, 0, tag);
    kw_path_add(a, &p, -half, -r, -1, tag);
    return p;
}

/// Round hole about the centre, the slot runs from it along x; clockwise.
static struct kw_path keyhole_path(struct kw_arena *a, const struct kw_hole *h, int tag) {
    double r = h->size / 2, w = h->neck / 2, out = r * cos(asin(w / r)), end = h->slot - r - w;
    struct kw_path p = {0};
    if (!(end > out)) end = out + KW_SAME_POINT_MM * 10;
    double quarter = (KW_PI - asin(w / r)) / 4; // from the neck to the far side, over four
    kw_path_add(a, &p, out, w, 0, tag);
    kw_path_add(a, &p, end, w, -1, tag);
    kw_path_add(a, &p, end, -w, 0, tag);
    kw_path_add(a, &p, out, -w, -tan(quarter), tag);
    kw_path_add(a, &p, -r, 0, -tan(quarter), tag);
    return p;
}

static struct kw_path with_tag(struct kw_arena *a, const struct kw_path *p, int tag) {
    struct kw_path q = kw_path_oriented(a, p, false);
    for (int i = 0; i < q.count; i++)
        q.v[i].tag = tag;
    return q;
}

static struct kw_path single(struct build *b, const struct kw_hole *h, int tag) {
    struct kw_arena *a = b->arena;
    if (h->cut_out.count > 0) return with_tag(a, &h->cut_out, tag);
    if (h->wide > 0 && h->tall > 0) {
        struct kw_path p =
            kw_path_box_outline(a, -h->wide / 2, -h->tall / 2, h->wide / 2, h->tall / 2, tag);
        return kw_path_oriented(a, &p, false);
    }
    if (!(h->slot > 0)) return kw_path_circle(a, 0, 0, h->size / 2, false, tag);
    struct kw_path p = h->neck > 0 ? keyhole_path(a, h, tag) : slot_path(a, h->size, h->slot, tag);
    return h->slot_along == 0 ? p : kw_path_moved(a, &p, kw_move2_make(0, 0, KW_PI / 2, false));
}

// ----------------------------------------------------------------------- letters and ornaments

/// What is cut out of an ornament: the outline's box centred; of letters: capitals about the middle
/// of the line.
static struct kw_region *regions_of(struct build *b, const struct kw_hole *h, int *count,
                                    struct kw_error *err) {
    struct kw_region *out = NULL;
    *count = 0;
    if (!h->letters) {
        KW_PUSH(b->arena, out, *count) = h->ornament;
        return out;
    }
    double width;
    if (kw_letter_outlines(b->arena, h->letters, h->font, h->tallness, LETTER_TOLERANCE_MM,
                           shape_place(h->node, "letters"), &out, count, &width, err) != KW_OK)
        return NULL;
    struct kw_move2 middle = kw_move2_make(-width / 2, -h->tallness / 2, 0, false);
    for (int i = 0; i < *count; i++)
        out[i] = kw_region_moved(b->arena, &out[i], middle);
    return out;
}

/// Width of the bridges of letters and ornaments: as told, or twice the thickness, 1/8 in at least
/// (common practice, no source).
static double bridge_width(const struct kw_hole *h, double thickness) {
    return h->bridge > 0 ? h->bridge : fmax(2 * thickness, KW_MM_PER_IN / 8);
}

static struct kw_path *lettering(struct build *b, const struct kw_hole *h, int index, int *count) {
    struct kw_error err = {0};
    struct kw_opening_state state;
    double bridge = bridge_width(h, b->body->thickness);
    int n;
    struct kw_region *regions = regions_of(b, h, &n, &err);
    const char *key = h->letters ? "letters" : "ornament";
    *count = 0;
    if (!regions) {
        shape_find(b, KW_STOP, "letter-face", shape_place(h->node, key), 0, 0,
                   kw_format(b->arena, "letters \"%s\": %s", h->letters, err.text), "");
        return NULL;
    }
    struct kw_path *v = kw_letter_bridged(b->arena, regions, n, bridge, count, &state);
    if (!v) {
        shape_find(b, KW_STOP, "letter-bridge", shape_place(h->node, key), 0, bridge,
                   kw_format(b->arena, "%s: an island finds no place for a bridge of %s",
                             h->letters ? h->letters : h->drawing, shape_length(b, bridge)),
                   "");
        return NULL;
    }
    for (int i = 0; i < *count; i++)
        v[i] = with_tag(b->arena, &v[i], 1 + index);
    KW_PUSH(b->arena, b->body->letterings, b->body->lettering_count) =
        (struct kw_lettering){index, state.least_stroke, state.least_web};
    return v;
}

struct kw_path *shape_of_hole(struct build *b, int index, int *count) {
    const struct kw_hole *h = KW_ITEM(struct kw_hole, b->part->holes, index);
    if (h->letters || h->drawing) return lettering(b, h, index, count);
    struct kw_path *out = NULL;
    *count = 0;
    KW_PUSH(b->arena, out, *count) = single(b, h, 1 + index);
    return out;
}
