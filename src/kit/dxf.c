// SPDX-License-Identifier: Apache-2.0
// The text form of DXF: pairs of lines (a group code, a value) in sections. Codes and their meaning
// as in the published reference of the format, which has kept them from R12 to 2018.
#include "kit/dxf_in.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { MOST_ENTITIES = 1000000 };

const char *kw_dxf_shown(struct kw_dxf *d, const struct kw_group *g) {
    return kw_sketch_shown(d->sketch.scratch, g->value, g->length);
}

static struct kw_place place(const struct kw_dxf *d, int line) {
    return kw_sketch_place(&d->sketch, line);
}

// The next line without its end and without blanks around; false at the end of the file.
static bool next_line(struct kw_dxf *d, const char **text, int *length) {
    if (d->at.next >= d->end) return false;
    const char *from = d->at.next;
    const char *to = memchr(from, '\n', (size_t)(d->end - from));
    d->at.next = to ? to + 1 : d->end;
    if (!to) to = d->end;
    d->at.line++;
    while (from < to && (*from == ' ' || *from == '\t'))
        from++;
    while (from < to && (to[-1] == ' ' || to[-1] == '\t' || to[-1] == '\r'))
        to--;
    *text = from;
    *length = (int)(to - from);
    return true;
}

enum kw_status kw_dxf_cut_off(struct kw_dxf *d, const char *what) {
    return kw_fail(d->sketch.err, KW_FORMAT, place(d, d->at.line),
                   "the drawing is cut off in the middle: %s", what);
}

// Group codes run from -5 to 1071.
bool kw_dxf_code(const char *s, int length, int *code) {
    bool minus = length > 0 && s[0] == '-';
    int i = minus, v = 0;
    if (i == length || length > 6) return false;
    for (; i < length; i++) {
        if (s[i] < '0' || s[i] > '9') return false;
        v = v * 10 + (s[i] - '0');
    }
    *code = minus ? -v : v;
    return v <= 1071;
}

enum kw_status kw_dxf_next(struct kw_dxf *d, struct kw_group *g) {
    do {
        const char *s;
        int n;
        if (!next_line(d, &s, &n)) return kw_dxf_cut_off(d, "it ends without EOF");
        if (!kw_dxf_code(s, n, &g->code)) {
            if (n == 0 && d->at.next >= d->end) return kw_dxf_cut_off(d, "it ends without EOF");
            return kw_fail(d->sketch.err, KW_FORMAT, place(d, d->at.line),
                           "expected a group code (a whole number) of a DXF drawing, got \"%s\"",
                           kw_sketch_shown(d->sketch.scratch, s, n));
        }
        if (!next_line(d, &g->value, &g->length)) {
            return kw_dxf_cut_off(d, "the last group code has no value");
        }
        g->line = d->at.line;
    } while (g->code == 999); // a comment
    return KW_OK;
}

bool kw_dxf_is(const struct kw_group *g, int code, const char *value) {
    return g->code == code && (int)strlen(value) == g->length &&
           memcmp(g->value, value, (size_t)g->length) == 0;
}

// Array of the entity's groups: kept from one entity to the next, so not KW_PUSH's.
static void keep_group(struct kw_dxf *d, struct kw_group g) {
    if (d->group_count == d->group_room) {
        int room = d->group_room ? d->group_room * 2 : 64;
        struct kw_group *v = KW_NEW_ARRAY(d->sketch.scratch, struct kw_group, room);
        if (d->group_count > 0) memcpy(v, d->groups, (size_t)d->group_count * sizeof *v);
        d->groups = v;
        d->group_room = room;
    }
    d->groups[d->group_count++] = g;
}

enum kw_status kw_dxf_groups(struct kw_dxf *d, struct kw_group *next) {
    enum kw_status s;
    d->group_count = 0;
    while ((s = kw_dxf_next(d, next)) == KW_OK && next->code != 0)
        keep_group(d, *next);
    return s;
}

enum kw_status kw_dxf_walk(struct kw_dxf *d, struct kw_group type, const char *until) {
    enum kw_status s = KW_OK;
    struct kw_group next;
    while (s == KW_OK && !kw_dxf_is(&type, 0, until)) {
        s = kw_dxf_groups(d, &next);
        if (s == KW_OK && ++d->read > MOST_ENTITIES) {
            s = kw_fail(d->sketch.err, KW_LIMIT, place(d, type.line),
                        "expected at most %d entities, those of blocks each time", MOST_ENTITIES);
        }
        if (s == KW_OK) s = kw_dxf_entity(d, &type);
        type = next;
    }
    return s == KW_OK ? kw_dxf_polyline_end(d) : s;
}

// ------------------------------------------------------------------------------------------ units

struct unit {
    int number; // of $INSUNITS
    const char *name;
    double mm;
    enum kw_length_unit nearest;
};
static const struct unit units[] = {
    {1, "in", KW_MM_PER_IN, KW_IN},
    {2, "ft", 12 * KW_MM_PER_IN, KW_IN},
    {4, "mm", 1, KW_MM},
    {5, "cm", 10, KW_MM},
    {6, "m", 1000, KW_MM},
};

static enum kw_status find_unit(struct kw_dxf *d, enum kw_length_unit if_unsaid,
                                const struct unit **unit, bool *said) {
    *said = d->insunits > 0;
    int number = d->insunits;
    if (!*said) {
        bool metric = d->measurement < 0 ? if_unsaid == KW_MM : d->measurement == 1;
        number = metric ? 4 : 1;
    }
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        *unit = &units[i];
        if (units[i].number == number) return KW_OK;
    }
    return kw_fail(d->sketch.err, KW_UNIT, place(d, 0),
                   "expected a drawing in in, ft, mm, cm or m ($INSUNITS 1, 2, 4, 5, 6), got "
                   "$INSUNITS %d",
                   number);
}

// Second walk: the entities, in the unit that is known now.
static enum kw_status read_model(struct kw_dxf *d, const struct unit *unit) {
    struct kw_dxf_frame model = {.map = {.xx = unit->mm, .yy = unit->mm}, .z_scale = 1};
    d->sketch.from_mm = (struct kw_affine2){.xx = 1 / unit->mm, .yy = 1 / unit->mm};
    d->sketch.scale = unit->mm;
    d->sketch.unit = unit->name;
    d->frame = &model;
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < d->section_count; i++) {
        struct kw_group type;
        d->at = d->entities[i];
        s = kw_dxf_next(d, &type);
        if (s == KW_OK) s = kw_dxf_walk(d, type, "ENDSEC");
    }
    d->frame = NULL;
    return s;
}

enum kw_status kw_dxf_parse(struct kw_arena *a, const struct kw_layers *layers, const char *file,
                            const char *bytes, size_t length, enum kw_length_unit units_if_unsaid,
                            struct kw_drawing *out, struct kw_error *err) {
    struct kw_place at = {.file = file};
    *out = (struct kw_drawing){0};
    if (length > KW_DXF_MOST_BYTES) {
        return kw_fail(err, KW_LIMIT, at, "expected a drawing of at most 64 MB, got %zu bytes",
                       length);
    }
    if (length > 0 && memchr(bytes, 0, length)) {
        return kw_fail(err, KW_FORMAT, at, "a binary file, expected a DXF drawing saved as text");
    }
    bool mark = length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0;
    struct kw_arena scratch = {0};
    struct kw_dxf d = {.sketch = {.scratch = &scratch,
                                  .layers = layers,
                                  .file = kw_copy_text(a, file, strlen(file)),
                                  .err = err},
                       .at = {bytes + (mark ? 3 : 0), 0},
                       .end = bytes + length,
                       .insunits = -1,
                       .measurement = -1};
    const struct unit *unit;
    enum kw_status s = kw_dxf_sections(&d);
    if (s == KW_OK) s = find_unit(&d, units_if_unsaid, &unit, &out->units_said);
    if (s == KW_OK) {
        out->units = (int)unit->nearest;
        s = read_model(&d, unit);
    }
    if (s == KW_OK) s = kw_sketch_finish(a, &d.sketch, out);
    kw_arena_free(&scratch);
    return s;
}

enum kw_status kw_dxf_read(struct kw_arena *a, const struct kw_layers *layers, const char *path,
                           struct kw_place from, enum kw_length_unit units_if_unsaid,
                           struct kw_drawing *out, struct kw_error *err) {
    struct kw_arena scratch = {0};
    char *bytes;
    size_t length;
    enum kw_status s = kw_read_file(&scratch, path, KW_DXF_MOST_BYTES, from, &bytes, &length, err);
    if (s == KW_OK) s = kw_dxf_parse(a, layers, path, bytes, length, units_if_unsaid, out, err);
    kw_arena_free(&scratch);
    return s;
}
