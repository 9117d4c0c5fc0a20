// SPDX-License-Identifier: Apache-2.0
// run.json by jansson into the structs of run_file.h. The first wrong key ends the reading.
#include "verify/run_file.h"

#include <jansson.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define MOST_MM    50000.0 // no coordinate may be larger: keeps the judges' integers far from overflow
#define MOST_COUNT 10000000

/// A reading under way: where results go, and the first failure.
struct reader {
    struct kw_arena *a;
    struct kw_error *err;
    enum kw_status status;
};

/// A JSON value and the path that leads to it, "sheets[2].placements[0]".
struct node {
    json_t *json;
    const char *path;
};

static void refuse(struct reader *r, const char *path, const char *key, const char *want) {
    if (r->status != KW_OK) return;
    r->status = kw_fail(r->err, KW_FORMAT, (struct kw_place){.file = "run.json"},
                        "%s%s%s: expected %s", path, *path && *key ? "." : "", key, want);
}

static json_t *member(struct reader *r, struct node n, const char *key, bool required,
                      const char *want) {
    json_t *v = json_object_get(n.json, key);
    if (json_is_null(v) && !required) v = NULL;
    if (!v && required) refuse(r, n.path, key, want);
    return v;
}

static double as_number(struct reader *r, json_t *v, const char *path, const char *key) {
    double x = json_is_number(v) ? json_number_value(v) : NAN;
    if (fabs(x) <= MOST_MM) return x;
    refuse(r, path, key, "a number within +-50000");
    return 0;
}

static double number(struct reader *r, struct node n, const char *key) {
    json_t *v = member(r, n, key, true, "a number");
    return v ? as_number(r, v, n.path, key) : 0;
}

static double length(struct reader *r, struct node n, const char *key) {
    double x = number(r, n, key);
    if (!(x >= 0)) refuse(r, n.path, key, "a length of 0 or more");
    return x;
}

static double optional_length(struct reader *r, struct node n, const char *key) {
    return member(r, n, key, false, "") ? length(r, n, key) : 0;
}

static int whole(struct reader *r, struct node n, const char *key, int least) {
    json_t *v = member(r, n, key, true, "a whole number");
    if (!v) return least;
    json_int_t i = json_is_integer(v) ? json_integer_value(v) : -1;
    if (i >= least && i <= MOST_COUNT) return (int)i;
    refuse(r, n.path, key, least > 0 ? "a whole number above 0" : "a whole number of 0 or more");
    return least;
}

static bool truth(struct reader *r, struct node n, const char *key, bool required) {
    json_t *v = member(r, n, key, required, "true or false");
    if (v && !json_is_boolean(v)) refuse(r, n.path, key, "true or false");
    return json_is_true(v);
}

static const char *word(struct reader *r, struct node n, const char *key, bool required) {
    json_t *v = member(r, n, key, required, "a text");
    if (!v) return "";
    if (json_is_string(v)) return kw_copy_text(r->a, json_string_value(v), json_string_length(v));
    refuse(r, n.path, key, "a text");
    return "";
}

/// The list under `key`, NULL and 0 when absent and not required.
static json_t *list(struct reader *r, struct node n, const char *key, bool required, int *count) {
    json_t *v = member(r, n, key, required, "a list");
    *count = 0;
    if (v && !json_is_array(v)) refuse(r, n.path, key, "a list");
    if (!json_is_array(v)) return NULL;
    *count = (int)json_array_size(v);
    return v;
}

/// Item i of a list, which must be an object when `object`, else a list.
static struct node item(struct reader *r, json_t *array, struct node parent, const char *key, int i,
                        bool object) {
    struct node n = {json_array_get(array, (size_t)i), NULL};
    n.path = kw_format(r->a, "%s%s%s[%d]", parent.path, *parent.path ? "." : "", key, i);
    if (object && !json_is_object(n.json)) refuse(r, n.path, "", "an object");
    if (!object && !json_is_array(n.json)) refuse(r, n.path, "", "a list");
    return n;
}

static void point(struct reader *r, struct node n, const char *key, double out[2]) {
    int count;
    json_t *v = list(r, n, key, true, &count);
    if (v && count != 2) refuse(r, n.path, key, "[x, y]");
    for (int i = 0; v && i < 2; i++) {
        out[i] = as_number(r, json_array_get(v, (size_t)i), n.path, key);
    }
}

/// Points [x, y, bulge] in `v`; a bulge may be left out where it is 0 (drops are [x, y]).
static struct kw_run_outline outline(struct reader *r, json_t *v, const char *path,
                                     const char *key) {
    struct kw_run_outline o = {0};
    int count = json_is_array(v) ? (int)json_array_size(v) : 0;
    if (count < 2) refuse(r, path, key, "an outline of 2 points or more");
    o.v = KW_NEW_ARRAY(r->a, struct kw_run_vertex, count > 0 ? count : 1);
    for (int i = 0; i < count && r->status == KW_OK; i++) {
        json_t *p = json_array_get(v, (size_t)i);
        size_t parts = json_is_array(p) ? json_array_size(p) : 0;
        if (parts != 2 && parts != 3) refuse(r, path, key, "points [x, y, bulge]");
        o.v[i].x = as_number(r, json_array_get(p, 0), path, key);
        o.v[i].y = as_number(r, json_array_get(p, 1), path, key);
        if (parts == 3) o.v[i].bulge = as_number(r, json_array_get(p, 2), path, key);
        if (!(fabs(o.v[i].bulge) <= 1 + 1e-9)) refuse(r, path, key, "bulges within -1..1");
    }
    o.count = count;
    return o;
}

static struct kw_run_outline *outlines(struct reader *r, struct node n, const char *key,
                                       bool required, int *count) {
    json_t *v = list(r, n, key, required, count);
    struct kw_run_outline *o = KW_NEW_ARRAY(r->a, struct kw_run_outline, *count + 1);
    for (int i = 0; i < *count && r->status == KW_OK; i++) {
        o[i] = outline(r, json_array_get(v, (size_t)i), n.path, key);
    }
    return o;
}

static struct kw_run_blank read_blank(struct reader *r, struct node n) {
    struct kw_run_blank b = {0};
    b.part = word(r, n, "part", true);
    b.hand = word(r, n, "hand", false);
    b.material = word(r, n, "material", true);
    b.thickness = length(r, n, "thickness");
    b.count = whole(r, n, "count", 0);
    b.good_side = truth(r, n, "good_side", false);
    b.outer = outline(r, member(r, n, "outer", true, "an outline"), n.path, "outer");
    b.holes = outlines(r, n, "holes", true, &b.hole_count);
    b.marks = outlines(r, n, "marks", false, &b.mark_count);
    return b;
}

static struct kw_run_placement read_placement(struct reader *r, struct node n) {
    struct kw_run_placement p = {0};
    p.part = word(r, n, "part", true);
    p.hand = word(r, n, "hand", false);
    p.copy = whole(r, n, "copy", 0);
    p.x = number(r, n, "x");
    p.y = number(r, n, "y");
    p.rotation = number(r, n, "rotation");
    p.mirrored = truth(r, n, "mirrored", true);
    return p;
}

static void read_placements(struct reader *r, struct node n, struct kw_run_sheet *s) {
    json_t *v = list(r, n, "placements", true, &s->placement_count);
    s->placements = KW_NEW_ARRAY(r->a, struct kw_run_placement, s->placement_count + 1);
    for (int i = 0; i < s->placement_count && r->status == KW_OK; i++) {
        s->placements[i] = read_placement(r, item(r, v, n, "placements", i, true));
    }
}

static void read_tabs(struct reader *r, struct node n, struct kw_run_sheet *s) {
    json_t *v = list(r, n, "tabs", false, &s->tab_count);
    s->tabs = KW_NEW_ARRAY(r->a, struct kw_run_tab, s->tab_count + 1);
    for (int i = 0; i < s->tab_count && r->status == KW_OK; i++) {
        struct node t = item(r, v, n, "tabs", i, true);
        point(r, t, "at", s->tabs[i].at);
        s->tabs[i].width = length(r, t, "width");
    }
}

static struct kw_run_mark *read_lines(struct reader *r, struct node n, const char *key,
                                      int *count) {
    json_t *v = list(r, n, key, false, count);
    struct kw_run_mark *lines = KW_NEW_ARRAY(r->a, struct kw_run_mark, *count + 1);
    for (int i = 0; i < *count && r->status == KW_OK; i++) {
        struct node m = item(r, v, n, key, i, true);
        point(r, m, "from", lines[i].from);
        point(r, m, "to", lines[i].to);
    }
    return lines;
}

static void read_unetched(struct reader *r, struct node n, struct kw_run_sheet *s) {
    json_t *v = list(r, n, "unetched", false, &s->unetched_count);
    s->unetched = KW_NEW_ARRAY(r->a, struct kw_run_unetched, s->unetched_count + 1);
    for (int i = 0; i < s->unetched_count && r->status == KW_OK; i++) {
        struct node u = item(r, v, n, "unetched", i, true);
        s->unetched[i] = (struct kw_run_unetched){word(r, u, "part", true), whole(r, u, "copy", 0),
                                                  whole(r, u, "mark", 0)};
    }
}

static struct kw_run_sheet read_sheet(struct reader *r, struct node n) {
    struct kw_run_sheet s = {0};
    s.id = word(r, n, "id", true);
    s.material = word(r, n, "material", true);
    s.program = word(r, n, "program", false);
    s.thickness = length(r, n, "thickness");
    s.kerf = optional_length(r, n, "kerf");
    s.spacing = length(r, n, "spacing");
    s.margin = length(r, n, "margin");
    s.times = whole(r, n, "times", 1);
    s.outline = outline(r, member(r, n, "outline", true, "an outline"), n.path, "outline");
    read_placements(r, n, &s);
    read_tabs(r, n, &s);
    read_unetched(r, n, &s);
    s.marks = read_lines(r, n, "marks", &s.mark_count);
    s.scrap_cuts = read_lines(r, n, "scrap_cuts", &s.scrap_cut_count);
    s.shared_cuts = read_lines(r, n, "shared_cuts", &s.shared_cut_count);
    s.drops = outlines(r, n, "drops", false, &s.drop_count);
    s.taken = outlines(r, n, "taken", false, &s.taken_count);
    s.keep_out = outlines(r, n, "keep_out", false, &s.keep_out_count);
    return s;
}

static struct kw_run_left_out read_left_out(struct reader *r, struct node n) {
    return (struct kw_run_left_out){
        .kit = word(r, n, "kit", false),
        .part = word(r, n, "part", false),
        .hand = word(r, n, "hand", false),
        .count = whole(r, n, "count", 0),
    };
}

static void read_all(struct reader *r, struct node root, struct kw_run_file *run) {
    json_t *v = list(r, root, "blanks", true, &run->blank_count);
    run->blanks = KW_NEW_ARRAY(r->a, struct kw_run_blank, run->blank_count + 1);
    for (int i = 0; i < run->blank_count && r->status == KW_OK; i++) {
        run->blanks[i] = read_blank(r, item(r, v, root, "blanks", i, true));
    }
    v = list(r, root, "sheets", true, &run->sheet_count);
    run->sheets = KW_NEW_ARRAY(r->a, struct kw_run_sheet, run->sheet_count + 1);
    for (int i = 0; i < run->sheet_count && r->status == KW_OK; i++) {
        run->sheets[i] = read_sheet(r, item(r, v, root, "sheets", i, true));
    }
    v = list(r, root, "left_out", true, &run->left_out_count);
    run->left_out = KW_NEW_ARRAY(r->a, struct kw_run_left_out, run->left_out_count + 1);
    for (int i = 0; i < run->left_out_count && r->status == KW_OK; i++) {
        run->left_out[i] = read_left_out(r, item(r, v, root, "left_out", i, true));
    }
}

json_t *kw_run_json(const char *run_json, size_t length, struct kw_error *err) {
    json_error_t e;
    json_t *root = json_loadb(run_json, length, JSON_REJECT_DUPLICATES, &e);
    if (!root)
        kw_fail(err, KW_FORMAT, (struct kw_place){"run.json", e.line, e.column}, "%s", e.text);
    return root;
}

enum kw_status kw_run_file_text(struct kw_arena *a, const char *text, size_t text_length,
                                struct kw_run_file *run, struct kw_error *err) {
    *run = (struct kw_run_file){0};
    json_t *root = kw_run_json(text, text_length, err);
    if (!root) return KW_FORMAT;
    struct reader r = {.a = a, .err = err};
    if (!json_is_object(root))
        refuse(&r, "", "", "an object");
    else
        read_all(&r, (struct node){root, ""}, run);
    json_decref(root);
    return r.status;
}

enum kw_status kw_run_file_read(struct kw_arena *a, const char *folder, struct kw_run_file *run,
                                struct kw_error *err) {
    char *bytes;
    size_t size;
    const char *path = kw_format(a, "%s/run.json", folder);
    enum kw_status s =
        kw_read_file(a, path, KW_RUN_FILE_MOST, (struct kw_place){0}, &bytes, &size, err);
    return s == KW_OK ? kw_run_file_text(a, bytes, size, run, err) : s;
}

enum kw_status kw_judge_folder(const char *folder, kw_judge_text *judge, struct kw_verdict *verdict,
                               struct kw_error *err) {
    struct kw_arena a = {0};
    char *bytes;
    size_t size;
    enum kw_status s = kw_read_file(&a, kw_format(&a, "%s/run.json", folder), KW_RUN_FILE_MOST,
                                    (struct kw_place){0}, &bytes, &size, err);
    if (s == KW_OK) s = judge(bytes, size, verdict, err);
    kw_arena_free(&a);
    return s;
}

int kw_run_find_blank(const struct kw_run_file *run, const char *part, const char *hand) {
    int found = -1;
    for (int i = 0; i < run->blank_count; i++) {
        const struct kw_run_blank *b = &run->blanks[i];
        if (strcmp(b->part, part) != 0 || (*hand && strcmp(b->hand, hand) != 0)) continue;
        if (found >= 0) return -2;
        found = i;
    }
    return found;
}

void kw_fault(struct kw_verdict *verdict, const char *fmt, ...) {
    if (verdict->fault_count++ >= 100) return;
    char text[400];
    va_list args;
    va_start(args, fmt);
    vsnprintf(text, sizeof text, fmt, args);
    va_end(args);
    if (!verdict->faults) verdict->faults = KW_NEW_ARRAY(verdict->arena, const char *, 100);
    verdict->faults[verdict->fault_count - 1] = kw_copy_text(verdict->arena, text, strlen(text));
}
