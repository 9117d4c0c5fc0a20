// SPDX-License-Identifier: Apache-2.0
// The text form of DXF: pairs of lines (a group code, a value) in sections. Codes and their meaning
// as in the published reference of the format, which has kept them from R12 to 2018.
#include "kit/dxf_in.h"

#include <stdlib.h>
#include <string.h>

const char *kw_dxf_shown(struct kw_arena *a, const char *value, int length) {
    enum { MOST = 40 };
    int n = length < MOST ? length : MOST;
    char *s = kw_copy_text(a, value, (size_t)n);
    for (int i = 0; i < n; i++) {
        if (s[i] < ' ' || s[i] > '~') s[i] = '?';
    }
    return length > MOST ? kw_format(a, "%s...", s) : s;
}

// The next line without its end and without blanks around; false at the end of the file.
static bool next_line(struct kw_dxf *d, const char **text, int *length) {
    if (d->next >= d->end) return false;
    const char *from = d->next;
    const char *to = memchr(from, '\n', (size_t)(d->end - from));
    d->next = to ? to + 1 : d->end;
    if (!to) to = d->end;
    d->line++;
    while (from < to && (*from == ' ' || *from == '\t'))
        from++;
    while (from < to && (to[-1] == ' ' || to[-1] == '\t' || to[-1] == '\r'))
        to--;
    *text = from;
    *length = (int)(to - from);
    return true;
}

static enum kw_status fail_cut_off(struct kw_dxf *d, const char *what) {
    return kw_fail(d->err, KW_FORMAT, kw_dxf_place(d, d->line),
                   "the drawing is cut off in the middle: %s", what);
}

// Group codes run from -5 to 1071.
static bool read_code(const char *s, int length, int *code) {
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

static enum kw_status next_group(struct kw_dxf *d, struct kw_group *g) {
    do {
        const char *s;
        int n;
        if (!next_line(d, &s, &n)) return fail_cut_off(d, "it ends without EOF");
        if (!read_code(s, n, &g->code)) {
            if (n == 0 && d->next >= d->end) return fail_cut_off(d, "it ends without EOF");
            return kw_fail(d->err, KW_FORMAT, kw_dxf_place(d, d->line),
                           "expected a group code (a whole number) of a DXF drawing, got \"%s\"",
                           kw_dxf_shown(d->scratch, s, n));
        }
        if (!next_line(d, &g->value, &g->length)) {
            return fail_cut_off(d, "the last group code has no value");
        }
        g->line = d->line;
    } while (g->code == 999); // a comment
    return KW_OK;
}

static bool is(const struct kw_group *g, int code, const char *value) {
    return g->code == code && (int)strlen(value) == g->length &&
           memcmp(g->value, value, (size_t)g->length) == 0;
}

static enum kw_status skip_section(struct kw_dxf *d) {
    struct kw_group g;
    do {
        enum kw_status s = next_group(d, &g);
        if (s != KW_OK) return s;
        if (is(&g, 0, "EOF")) return fail_cut_off(d, "a section ends without ENDSEC");
    } while (!is(&g, 0, "ENDSEC"));
    return KW_OK;
}

static enum kw_status read_header(struct kw_dxf *d) {
    struct kw_group g;
    int *wanted = NULL;
    for (;;) {
        enum kw_status s = next_group(d, &g);
        if (s != KW_OK) return s;
        if (is(&g, 0, "ENDSEC")) return KW_OK;
        if (is(&g, 0, "EOF")) return fail_cut_off(d, "a section ends without ENDSEC");
        if (g.code == 9) {
            wanted = is(&g, 9, "$INSUNITS")      ? &d->insunits
                     : is(&g, 9, "$MEASUREMENT") ? &d->measurement
                                                 : NULL;
        } else if (wanted && g.code == 70 && !read_code(g.value, g.length, wanted)) {
            return kw_fail(d->err, KW_FORMAT, kw_dxf_place(d, g.line),
                           "expected a whole number for the drawing's units, got \"%s\"",
                           kw_dxf_shown(d->scratch, g.value, g.length));
        }
    }
}

// Array of the entity's groups: kept from one entity to the next, so not KW_PUSH's.
static void keep_group(struct kw_dxf *d, struct kw_group g) {
    if (d->group_count == d->group_room) {
        int room = d->group_room ? d->group_room * 2 : 64;
        struct kw_group *v = KW_NEW_ARRAY(d->scratch, struct kw_group, room);
        if (d->group_count > 0) memcpy(v, d->groups, (size_t)d->group_count * sizeof *v);
        d->groups = v;
        d->group_room = room;
    }
    d->groups[d->group_count++] = g;
}

static enum kw_status read_entities(struct kw_dxf *d) {
    struct kw_group g, type;
    enum kw_status s = next_group(d, &type);
    if (s == KW_OK && type.code != 0) {
        s = kw_fail(d->err, KW_FORMAT, kw_dxf_place(d, type.line - 1),
                    "expected an entity (group code 0), got group code %d", type.code);
    }
    while (s == KW_OK && !is(&type, 0, "ENDSEC")) {
        if (is(&type, 0, "EOF")) return fail_cut_off(d, "a section ends without ENDSEC");
        d->group_count = 0;
        while ((s = next_group(d, &g)) == KW_OK && g.code != 0)
            keep_group(d, g);
        if (s == KW_OK) s = kw_dxf_entity(d, &type);
        type = g;
    }
    return s == KW_OK ? kw_dxf_polyline_end(d) : s;
}

static enum kw_status read_sections(struct kw_dxf *d) {
    for (;;) {
        struct kw_group g;
        enum kw_status s = next_group(d, &g);
        if (s != KW_OK) return s;
        if (is(&g, 0, "EOF")) return KW_OK;
        if (!is(&g, 0, "SECTION")) {
            return kw_fail(d->err, KW_FORMAT, kw_dxf_place(d, g.line),
                           "expected SECTION or EOF of a DXF drawing, got \"%s\"",
                           kw_dxf_shown(d->scratch, g.value, g.length));
        }
        s = next_group(d, &g);
        if (s != KW_OK) return s;
        s = is(&g, 2, "HEADER")     ? read_header(d)
            : is(&g, 2, "ENTITIES") ? read_entities(d)
                                    : skip_section(d);
        if (s != KW_OK) return s;
    }
}

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
    return kw_fail(d->err, KW_UNIT, kw_dxf_place(d, 0),
                   "expected a drawing in in, ft, mm, cm or m ($INSUNITS 1, 2, 4, 5, 6), got "
                   "$INSUNITS %d",
                   number);
}

enum kw_status kw_dxf_parse(struct kw_arena *a, const struct kw_shop *shop, const char *file,
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
    struct kw_dxf d = {.scratch = &scratch,
                       .shop = shop,
                       .file = kw_copy_text(a, file, strlen(file)),
                       .next = bytes + (mark ? 3 : 0),
                       .end = bytes + length,
                       .insunits = -1,
                       .measurement = -1,
                       .err = err};
    const struct unit *unit;
    enum kw_status s = read_sections(&d);
    if (s == KW_OK) s = find_unit(&d, units_if_unsaid, &unit, &out->units_said);
    if (s == KW_OK) {
        out->units = (int)unit->nearest;
        s = kw_dxf_finish(a, &d, unit->mm, unit->name, out);
    }
    kw_arena_free(&scratch);
    return s;
}

enum kw_status kw_dxf_read(struct kw_arena *a, const struct kw_shop *shop, const char *path,
                           struct kw_place from, enum kw_length_unit units_if_unsaid,
                           struct kw_drawing *out, struct kw_error *err) {
    struct kw_arena scratch = {0};
    char *bytes;
    size_t length;
    enum kw_status s = kw_read_file(&scratch, path, KW_DXF_MOST_BYTES, from, &bytes, &length, err);
    if (s == KW_OK) s = kw_dxf_parse(a, shop, path, bytes, length, units_if_unsaid, out, err);
    kw_arena_free(&scratch);
    return s;
}
