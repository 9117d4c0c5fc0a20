// SPDX-License-Identifier: Apache-2.0
// A part from a drawing: its outline, its checked size, and what the kit file says of its bend
// lines.
#include "kit/kit_in.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

static bool ends_with(const char *file, const char *suffix) {
    size_t n = strlen(file), m = strlen(suffix);
    return n > m && strcasecmp(file + n - m, suffix) == 0;
}

static enum kw_status fail_measure(struct kw_kit_file *k, const struct kw_part *part,
                                   const struct kw_drawing *d) {
    double ratio = sqrt(d->width * d->height / (part->measure_long * part->measure_wide));
    const char *hint = "";
    // Within 3 %: a size that is also a little wrong still shows what happened.
    if (fabs(ratio * KW_MM_PER_IN - 1) < 0.03) hint = ": looks like inches read as millimetres";
    if (fabs(ratio / KW_MM_PER_IN - 1) < 0.03) hint = ": looks like millimetres read as inches";
    return kw_fail(k->err, KW_GEOMETRY, kw_place_of(part->node, "must_measure"),
                   "%s measures %s x %s %s, expected %s x %s %s%s", part->flat,
                   kw_kit_shown(k, d->width), kw_kit_shown(k, d->height), kw_kit_unit(k),
                   kw_kit_shown(k, part->measure_long), kw_kit_shown(k, part->measure_wide),
                   kw_kit_unit(k), hint);
}

// A drawing may lie either way: 28 x 20 is also 20 x 28.
static enum kw_status check_measure(struct kw_kit_file *k, const struct kw_part *part,
                                    const struct kw_drawing *d) {
    if (part->measure_long == 0) {
        if (d->units_said) return KW_OK;
        return kw_fail(k->err, KW_UNIT, kw_place_of(part->node, "flat"),
                       "%s doesn't say its unit (%s), expected must_measure to check its size by",
                       part->flat,
                       ends_with(part->flat, ".svg") ? "width or height in mm or in" : "$INSUNITS");
    }
    double most = k->units == KW_IN ? KW_MM_PER_IN / 64 : 0.5;
    double l = part->measure_long, w = part->measure_wide;
    bool as_said = fabs(d->width - l) <= most + 1e-6 && fabs(d->height - w) <= most + 1e-6;
    bool turned = fabs(d->width - w) <= most + 1e-6 && fabs(d->height - l) <= most + 1e-6;
    return as_said || turned ? KW_OK : fail_measure(k, part, d);
}

// ------------------------------------------------------------------------------------- bend lines

static enum kw_status check_keys(struct kw_kit_file *k, const struct kw_flange *f) {
    static const char *const drawn[] = {"height", "way",     "from_start", "from_end",  "offset",
                                        "hem",    "by_hand", "corners",    "corner_gap"};
    for (size_t i = 0; i < sizeof drawn / sizeof *drawn; i++) {
        const struct kw_node *said = kw_node_get(f->node, drawn[i]);
        if (!said) continue;
        return kw_fail(k->err, KW_FORMAT, said->key_at,
                       "%s of bend \"%s\" comes from the drawing, expected turn, radius, gauge or "
                       "line alone, or a flange of its own with along",
                       drawn[i], f->name);
    }
    return KW_OK;
}

static enum kw_status name_bend(struct kw_kit_file *k, struct kw_part *part, struct kw_flange *f,
                                bool *taken) {
    const struct kw_node *line = kw_node_get(f->node, "line");
    char *end;
    long number = line ? f->line : strtol(f->name, &end, 10);
    struct kw_place at = line ? line->at : f->node->key_at;
    if (!line && *end != 0) {
        return kw_fail(k->err, KW_MISSING, f->node->at,
                       "missing key \"line\" of bend \"%s\": which of the drawing's %d bend lines "
                       "it is",
                       f->name, part->drawn_bends.count);
    }
    if (number < 1 || number > part->drawn_bends.count) {
        return kw_fail(k->err, KW_UNKNOWN, at, "no bend line %ld in %s, which has %d", number,
                       part->flat, part->drawn_bends.count);
    }
    if (taken[number - 1]) {
        return kw_fail(k->err, KW_DUPLICATE, at, "bend line %ld has a name already", number);
    }
    taken[number - 1] = true;
    struct kw_drawn_bend *b = KW_ITEM(struct kw_drawn_bend, part->drawn_bends, number - 1);
    b->name = f->name;
    b->turn = f->turn;
    b->radius = f->radius;
    f->line = (int)number;
    f->way = b->way;
    f->parent = -1;
    f->from_drawing = 1;
    return KW_OK;
}

static enum kw_status check_names(struct kw_kit_file *k, const struct kw_part *part) {
    for (int i = 0; i < part->drawn_bends.count; i++) {
        for (int j = 0; j < i; j++) {
            const char *name = KW_ITEM(struct kw_drawn_bend, part->drawn_bends, i)->name;
            if (strcmp(name, KW_ITEM(struct kw_drawn_bend, part->drawn_bends, j)->name) != 0)
                continue;
            return kw_fail(k->err, KW_DUPLICATE, kw_place_of(part->node, "bends"),
                           "two bend lines are called \"%s\"", name);
        }
    }
    return KW_OK;
}

static enum kw_status name_bends(struct kw_kit_file *k, struct kw_part *part) {
    struct kw_arena scratch = {0};
    bool *taken = KW_NEW_ARRAY(&scratch, bool, part->drawn_bends.count + 1);
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < part->bends.count; i++) {
        struct kw_flange *f = KW_ITEM(struct kw_flange, part->bends, i);
        if (kw_node_get(f->node, "along")) continue;
        if (f->turn == 0) f->turn = KW_PI / 2;
        s = check_keys(k, f);
        if (s == KW_OK) s = name_bend(k, part, f, taken);
    }
    kw_arena_free(&scratch);
    return s == KW_OK && part->bends.count > 0 ? check_names(k, part) : s;
}

// ------------------------------------------------------------------------------------ the drawing

static bool climbs_out(const char *path) {
    if (path[0] == '/') return true;
    for (const char *p = path;; p++) {
        if (strncmp(p, "..", 2) == 0 && (p[2] == '/' || p[2] == 0)) return true;
        p = strchr(p, '/');
        if (!p) return false;
    }
}

enum kw_status kw_part_drawing(struct kw_kit_file *k, struct kw_place at, const char *path,
                               const struct kw_layers *layers, struct kw_drawing *out) {
    bool svg = ends_with(path, ".svg");
    if (climbs_out(path)) {
        return kw_fail(k->err, KW_FORMAT, at,
                       "expected a drawing in the shop folder such as drawings/side.dxf, got "
                       "\"%s\"",
                       path);
    }
    if (!svg && !ends_with(path, ".dxf")) {
        return kw_fail(k->err, KW_FORMAT, at,
                       "expected a drawing that ends with .dxf or .svg, got \"%s\"", path);
    }
    struct kw_arena scratch = {0};
    char *bytes;
    size_t length;
    enum kw_status s =
        kw_kit_bytes(&scratch, k->folder, path, KW_DXF_MOST_BYTES, at, &bytes, &length, k->err);
    if (s == KW_OK && svg)
        s = kw_svg_parse(k->arena, layers, path, bytes, length, out, k->err);
    else if (s == KW_OK)
        s = kw_dxf_parse(k->arena, layers, path, bytes, length, k->units, out, k->err);
    kw_arena_free(&scratch);
    return s;
}

static struct kw_path scaled(struct kw_arena *a, const struct kw_path *p, double scale) {
    struct kw_path q = kw_path_copy(a, p);
    for (int i = 0; i < q.count; i++) {
        q.v[i].x *= scale;
        q.v[i].y *= scale;
    }
    return q;
}

struct kw_region kw_region_scaled(struct kw_arena *a, const struct kw_region *r, double scale) {
    struct kw_region out = {.outer = scaled(a, &r->outer, scale)};
    for (int i = 0; i < r->hole_count; i++)
        KW_PUSH(a, out.holes, out.hole_count) = scaled(a, &r->holes[i], scale);
    return out;
}

/// Edges of the drawing's outline are counted counter-clockwise from its lowest corner on the left.
static void number_edges(struct kw_kit_file *k, struct kw_part *part) {
    struct kw_path p = kw_path_oriented(k->arena, &part->drawing.outer, true);
    int first = 0;
    for (int i = 1; i < p.count; i++) {
        const struct kw_vertex *v = &p.v[i], *w = &p.v[first];
        if (v->x < w->x - KW_SAME_POINT_MM || (v->x <= w->x + KW_SAME_POINT_MM && v->y < w->y))
            first = i;
    }
    part->base.outline = (struct kw_path){0};
    for (int i = 0; i < p.count; i++) {
        const struct kw_vertex *v = &p.v[(first + i) % p.count];
        kw_path_add(k->arena, &part->base.outline, v->x, v->y, v->bulge, i + 1);
    }
    struct kw_box2 box = kw_path_box(&p);
    part->base.length = box.max.x - box.min.x;
    part->base.width = box.max.y - box.min.y;
}

enum kw_status kw_part_flat(struct kw_kit_file *k, struct kw_part *part) {
    struct kw_drawing d;
    struct kw_layers layers = kw_layers_over(k->arena, &part->layers, &k->shop->layers);
    enum kw_status s = kw_part_drawing(k, kw_place_of(part->node, "flat"), part->flat, &layers, &d);
    if (s == KW_OK) s = check_measure(k, part, &d);
    if (s != KW_OK) return s;
    part->drawing = d.region;
    part->drawn_bends = d.bends;
    part->drawn_marks = d.marks;
    part->drawn_joined = d.joined;
    part->drawn_dropped = d.dropped;
    part->drawn_ignored = d.ignored;
    number_edges(k, part);
    s = name_bends(k, part);
    return s == KW_OK ? kw_part_bends(k, part) : s;
}
