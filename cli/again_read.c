// SPDX-License-Identifier: Apache-2.0
// What lies on the sheets of an earlier run, out of its run.json (design: docs/formats/run.md).
#include "again.h"

#include <jansson.h>
#include <string.h>

/// The reading of one file: the first thing that is wrong ends it.
struct reading {
    struct kw_arena *a;
    const char *file;
    json_t *root;
    struct kw_error *err;
    enum kw_status status;
};

static void refuse(struct reading *r, const char *what) {
    if (r->status != KW_OK) return;
    r->status = kw_fail(r->err, KW_FORMAT, (struct kw_place){.file = r->file}, "expected %s", what);
}

static double number_of(struct reading *r, const json_t *map, const char *key) {
    const json_t *v = json_object_get(map, key);
    double d = json_number_value(v);
    if (!json_is_number(v) || !(fabs(d) <= KW_MOST_MM)) refuse(r, key);
    return d;
}

static const char *text_of(struct reading *r, const json_t *map, const char *key) {
    const char *s = json_string_value(json_object_get(map, key));
    if (!s) refuse(r, key);
    return s ? kw_copy_text(r->a, s, strlen(s)) : "";
}

static struct kw_path outline_of(struct reading *r, const json_t *list) {
    struct kw_path p = {0};
    size_t n = json_array_size(list);
    if (n < 2) refuse(r, "an outline of two points or more");
    for (size_t i = 0; i < n; i++) {
        double v[3];
        for (size_t k = 0; k < 3; k++) {
            const json_t *number = json_array_get(json_array_get(list, i), k);
            v[k] = json_number_value(number);
            bool left_out = k == 2 && !number; // no bulge: a straight side
            if (!left_out && (!json_is_number(number) || !(fabs(v[k]) <= KW_MOST_MM)))
                refuse(r, "a point [x, y, bulge]");
        }
        kw_path_add(r->a, &p, v[0], v[1], v[2], 0);
    }
    return p;
}

static const json_t *blank_of(struct reading *r, const char *part) {
    const json_t *blanks = json_object_get(r->root, "blanks");
    for (size_t i = 0; i < json_array_size(blanks); i++) {
        const json_t *b = json_array_get(blanks, i);
        const char *name = json_string_value(json_object_get(b, "part"));
        if (name && strcmp(name, part) == 0) return b;
    }
    refuse(r, "a blank for every placement");
    return NULL;
}

static void add_part(struct reading *r, struct kw_taken *t, struct kw_path outer) {
    struct kw_region region = {.outer = kw_path_oriented(r->a, &outer, true)};
    if (r->status == KW_OK)
        r->status = kw_path_check(&region.outer, (struct kw_place){.file = r->file}, r->err);
    KW_PUSH(r->a, t->parts, t->part_count) = region;
}

static void add_placements(struct reading *r, const json_t *sheet, struct kw_taken *t) {
    const json_t *list = json_object_get(sheet, "placements");
    for (size_t i = 0; i < json_array_size(list) && r->status == KW_OK; i++) {
        const json_t *p = json_array_get(list, i);
        const json_t *b = blank_of(r, text_of(r, p, "part"));
        if (!b) return;
        struct kw_path outer = outline_of(r, json_object_get(b, "outer"));
        struct kw_move2 m = kw_move2_make(number_of(r, p, "x"), number_of(r, p, "y"),
                                          number_of(r, p, "rotation") * KW_PI / 180,
                                          json_is_true(json_object_get(p, "mirrored")));
        if (r->status == KW_OK) add_part(r, t, kw_path_moved(r->a, &outer, m));
    }
}

static struct kw_box2 box_of(struct reading *r, const json_t *outline) {
    struct kw_path p = outline_of(r, outline);
    return r->status == KW_OK ? kw_path_box(&p) : (struct kw_box2){{0, 0}, {0, 0}};
}

/// What is there of the sheet less its places to keep out of; NULL: all of it.
static const struct kw_region *free_of(struct reading *r, const json_t *s, double whole) {
    const json_t *keep_out = json_object_get(s, "keep_out");
    struct kw_region *free = KW_NEW(r->a, struct kw_region);
    free->outer = outline_of(r, json_object_get(s, "outline"));
    for (size_t i = 0; i < json_array_size(keep_out) && r->status == KW_OK; i++) {
        struct kw_path p = outline_of(r, json_array_get(keep_out, i));
        KW_PUSH(r->a, free->holes, free->hole_count) = kw_path_oriented(r->a, &p, false);
    }
    if (r->status != KW_OK) return NULL;
    bool all = fabs(fabs(kw_path_area(&free->outer)) - whole) <= 1e-9 * whole;
    return all && free->hole_count == 0 ? NULL : free;
}

static struct kw_taken sheet_of(struct reading *r, const json_t *s, const char *run) {
    struct kw_taken t = {.id = text_of(r, s, "id"), .material = text_of(r, s, "material")};
    struct kw_box2 box = box_of(r, json_object_get(s, "outline"));
    t.from = kw_format(r->a, "%s/%s", run, t.id);
    t.thickness = number_of(r, s, "thickness");
    t.width = box.max.x;
    t.height = box.max.y;
    t.free = free_of(r, s, t.width * t.height);
    return t;
}

/// A drop by itself: a small sheet with its own corner. False: `on` names none of this sheet.
static bool is_drop(struct reading *r, const json_t *s, const char *on, struct kw_taken *t) {
    size_t n = strlen(t->id);
    if (strncmp(on, t->id, n) != 0 || on[n] != '-' || on[n + 1] < 'A' || on[n + 2]) return false;
    const json_t *drop = json_array_get(json_object_get(s, "drops"), (size_t)(on[n + 1] - 'A'));
    if (!drop) return false;
    struct kw_box2 box = box_of(r, drop);
    t->from = kw_format(r->a, "%s-%c", t->from, on[n + 1]);
    t->id = kw_format(r->a, "%s-%c", t->id, on[n + 1]);
    t->width = box.max.x - box.min.x;
    t->height = box.max.y - box.min.y;
    t->free = NULL;
    return true;
}

/// The whole sheet: its parts, and the drops that were promised to the rack.
static void take_whole(struct reading *r, const json_t *s, struct kw_taken *t) {
    const json_t *drops = json_object_get(s, "drops");
    add_placements(r, s, t);
    for (size_t i = 0; i < json_array_size(drops) && r->status == KW_OK; i++)
        add_part(r, t, outline_of(r, json_array_get(drops, i)));
}

/// Reads the whole text into r->root, which the caller lets go. Its sheets.
static const json_t *load(struct reading *r, const char *text, size_t length) {
    json_error_t e;
    r->root = json_loadb(text, length, 0, &e);
    const json_t *sheets = json_object_get(r->root, "sheets");
    if (!r->root)
        r->status =
            kw_fail(r->err, KW_FORMAT, (struct kw_place){r->file, e.line, e.column}, "%s", e.text);
    else if (!json_is_array(sheets))
        refuse(r, "a list of sheets");
    return sheets;
}

enum kw_status again_read(struct kw_arena *a, const char *file, const char *text, size_t length,
                          const char *run, const char *on, struct kw_taken **sheets, int *count,
                          struct kw_error *err) {
    struct reading r = {.a = a, .file = file, .err = err};
    const json_t *list = load(&r, text, length);
    *sheets = NULL;
    *count = 0;
    for (size_t i = 0; r.status == KW_OK && i < json_array_size(list); i++) {
        const json_t *s = json_array_get(list, i);
        struct kw_taken t = sheet_of(&r, s, run);
        bool drop = on && is_drop(&r, s, on, &t);
        if (on && !drop && strcmp(on, t.id) != 0) continue;
        if (!drop) take_whole(&r, s, &t);
        KW_PUSH(a, *sheets, *count) = t;
    }
    json_decref(r.root);
    if (r.status == KW_OK && on && *count == 0)
        return kw_fail(err, KW_UNKNOWN, (struct kw_place){.file = file}, "no sheet or drop \"%s\"",
                       on);
    return r.status;
}

enum kw_status again_add(struct kw_arena *a, const char *file, const char *text, size_t length,
                         struct kw_taken *sheets, int count, struct kw_error *err) {
    struct reading r = {.a = a, .file = file, .err = err};
    const json_t *list = load(&r, text, length);
    for (size_t i = 0; r.status == KW_OK && i < json_array_size(list); i++) {
        const json_t *s = json_array_get(list, i);
        const char *id = text_of(&r, s, "id");
        for (int k = 0; k < count; k++)
            if (strcmp(sheets[k].id, id) == 0) add_placements(&r, s, &sheets[k]);
    }
    json_decref(r.root);
    return r.status;
}

// ------------------------------------------------------------------------------ standing sheets

/// Test pieces and fillers came on top of what was wanted: they are not part of what is proven.
static bool is_extra(const json_t *blank, const json_t *placement) {
    json_int_t count = json_integer_value(json_object_get(blank, "count"));
    json_int_t extra = json_integer_value(json_object_get(blank, "extra"));
    json_int_t copy = json_integer_value(json_object_get(placement, "copy"));
    return json_object_get(blank, "use") || (extra > 0 && copy > count - extra);
}

static void add_pieces(struct reading *r, const json_t *sheet, struct kw_proven *out) {
    const json_t *list = json_object_get(sheet, "placements");
    for (size_t i = 0; i < json_array_size(list) && r->status == KW_OK; i++) {
        const json_t *p = json_array_get(list, i);
        const char *label = text_of(r, p, "part");
        const json_t *b = blank_of(r, label);
        if (!b || is_extra(b, p)) continue;
        struct kw_proven_piece piece = {.label = label,
                                        .outer = outline_of(r, json_object_get(b, "outer")),
                                        .x = number_of(r, p, "x"),
                                        .y = number_of(r, p, "y"),
                                        .rotation = number_of(r, p, "rotation") * KW_PI / 180,
                                        .mirrored = json_is_true(json_object_get(p, "mirrored"))};
        KW_PUSH(r->a, out->v, out->count) = piece;
    }
}

enum kw_status again_standing(struct kw_arena *a, const char *file, const char *text, size_t length,
                              const char *run, const char *sheet, struct kw_proven **list,
                              int *count, struct kw_error *err) {
    struct reading r = {.a = a, .file = file, .err = err};
    const json_t *sheets = load(&r, text, length);
    *count = 0;
    for (size_t i = 0; r.status == KW_OK && i < json_array_size(sheets); i++) {
        const json_t *s = json_array_get(sheets, i);
        struct kw_taken t = sheet_of(&r, s, run);
        if (sheet && strcmp(sheet, t.id) != 0) continue;
        struct kw_proven out = {.from = t.from,
                                .material = t.material,
                                .thickness = t.thickness,
                                .width = t.width,
                                .height = t.height,
                                .spacing = number_of(&r, s, "spacing"),
                                .margin = number_of(&r, s, "margin")};
        add_pieces(&r, s, &out);
        KW_PUSH(a, *list, *count) = out;
    }
    json_decref(r.root);
    if (r.status == KW_OK && sheet && *count == 0)
        return kw_fail(err, KW_UNKNOWN, (struct kw_place){.file = file}, "no sheet \"%s\"", sheet);
    return r.status;
}
