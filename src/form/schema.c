// SPDX-License-Identifier: Apache-2.0
// JSON Schema (draft 2020-12) out of a table of fields.
#include "form/value.h"

#include <math.h>
#include <string.h>

void kw_forms_collect(struct kw_forms *all, const struct kw_form *form) {
    for (int i = 0; i < all->count; i++) {
        if (all->v[i] == form) return;
    }
    kw_assert(all->count < 64);
    all->v[all->count++] = form;
    for (const struct kw_field *f = form->fields; f->key; f++) {
        if (f->form) kw_forms_collect(all, f->form);
    }
}

static void definition_name(const struct kw_form *form, struct kw_text *out) {
    for (const char *c = form->name; *c; c++)
        kw_text_addn(out, *c == ' ' ? "_" : c, 1);
}

static void write_reference(struct kw_json *j, const struct kw_form *form) {
    struct kw_text t = {0};
    kw_text_add(&t, "#/$defs/");
    definition_name(form, &t);
    kw_json_key_text(j, "$ref", t.s);
    kw_text_free(&t);
}

static void write_raw(struct kw_json *j, const char *json) {
    kw_assert(j->after_key);
    kw_text_add(j->out, json);
    j->after_key = false;
}

// ------------------------------------------------------------------------------------ single
// values

// The units that kw_quantity reads, as a pattern (a test reads each of them).
static const char *const unit_patterns[KW_DIM_COUNT_OF_DIMENSIONS] = {
    [KW_DIM_LENGTH] = "mm|in|\"|cm|m|ft",
    [KW_DIM_ANGLE] = "deg|\xC2\xB0|rad",
    [KW_DIM_MASS] = "kg|g|lb|oz",
    [KW_DIM_FORCE] = "kN|N|ton|lbf",
    [KW_DIM_STRESS] = "MPa|ksi|psi",
    [KW_DIM_TIME] = "s|min|h",
    [KW_DIM_SPEED] = "mm/s|mm/min|m/min|in/min",
    [KW_DIM_DENSITY] = "kg/m3|lb/in3",
    [KW_DIM_FRACTION] = "%",
    [KW_DIM_CURRENT] = "A",
    [KW_DIM_ACCELERATION] = "mm/s2|in/s2|g",
    [KW_DIM_FORCE_PER_LENGTH] = "kN/m|ton/ft",
};

// A number as text with a unit of the dimension: "1-1/2 in", "3/8", "85 %", "1e3 mm".
static void quantity_pattern(const struct kw_field *f, struct kw_text *out) {
    const char *units = unit_patterns[f->dim];
    bool sign = kw_field_bounds(f).min < 0;
    kw_text_addf(out,
                 "^[ \\t]*%s(\\d+/\\d+|\\d+(-|[ \\t]+)\\d+/\\d+|(\\d+\\.?\\d*|\\.\\d+)"
                 "([eE][+-]?\\d+)?)[ \\t]*",
                 sign ? "[+-]?" : "\\+?");
    if (units) kw_text_addf(out, "(%s)?[ \\t]*", units);
    kw_text_add(out, "$");
}

// Bounds of a bare number. Where its unit is the file's, only zero means the same in both.
static void write_number_bounds(struct kw_json *j, const struct kw_field *f) {
    struct kw_bounds b = kw_field_bounds(f);
    struct kw_spoken_unit mm = kw_spoken_unit(f->dim, KW_MM), in = kw_spoken_unit(f->dim, KW_IN);
    bool fixed = mm.house == in.house;
    if (fixed || b.min == 0) {
        const char *key = b.above_min ? "exclusiveMinimum" : "minimum";
        kw_json_key_number(j, key, b.min / mm.house, 9);
    }
    // The widest reading: a larger number is refused in either unit.
    double least_unit = fmin(mm.house, in.house);
    kw_json_key_number(j, "maximum", ceil(b.max / least_unit * 1e6 * (1 - 1e-12)) / 1e6, 9);
}

// A name or a sum, as far as a pattern can say it.
static void write_sum(struct kw_json *j) {
    kw_json_open_inline(j, '{');
    kw_json_key_text(j, "type", "string");
    kw_json_key_text(j, "pattern", "^[A-Za-z(]| [-+*/] ");
    kw_json_close(j);
}

static void write_quantity(struct kw_json *j, const struct kw_field *f, bool sums) {
    struct kw_text pattern = {0};
    quantity_pattern(f, &pattern);
    kw_json_key(j, "anyOf");
    kw_json_open(j, '[');
    kw_json_open_inline(j, '{');
    kw_json_key_text(j, "type", "number");
    write_number_bounds(j, f);
    kw_json_close(j);
    kw_json_open_inline(j, '{');
    kw_json_key_text(j, "type", "string");
    kw_json_key_text(j, "pattern", pattern.s);
    kw_json_close(j);
    if (sums) write_sum(j);
    kw_json_close(j);
    kw_text_free(&pattern);
}

static void write_count(struct kw_json *j, const struct kw_field *f, bool sums) {
    struct kw_bounds b = kw_field_bounds(f);
    if (sums) {
        kw_json_key(j, "anyOf");
        kw_json_open(j, '[');
        write_sum(j);
        kw_json_open(j, '{');
    }
    kw_json_key(j, "type");
    kw_json_open_inline(j, '[');
    kw_json_text(j, "integer");
    kw_json_text(j, "string");
    kw_json_close(j);
    kw_json_key_text(j, "pattern", b.min < 0 ? "^-?[0-9]+$" : "^[0-9]+$");
    kw_json_key_number(j, "minimum", b.min, 0);
    kw_json_key_number(j, "maximum", b.max, 0);
    if (!sums) return;
    kw_json_close(j);
    kw_json_close(j);
}

static void write_words(struct kw_json *j, const char *const *words) {
    kw_json_key(j, "enum");
    kw_json_open_inline(j, '[');
    for (; *words; words++)
        kw_json_text(j, *words);
    kw_json_close(j);
}

// A text may look like a number to a YAML reader: `revision: 2`.
static void write_text(struct kw_json *j) {
    kw_json_key(j, "type");
    kw_json_open_inline(j, '[');
    kw_json_text(j, "string");
    kw_json_text(j, "number");
    kw_json_close(j);
    kw_json_key_text(j, "pattern", "^[^\\n]*$");
    kw_json_key_count(j, "maxLength", KW_MOST_TEXT);
}

static void write_name(struct kw_json *j) {
    kw_json_key(j, "type");
    kw_json_open_inline(j, '[');
    kw_json_text(j, "string");
    kw_json_text(j, "number");
    kw_json_close(j);
    kw_json_key_text(j, "pattern", KW_NAME_PATTERN);
    kw_json_key_count(j, "minimum", 0);
}

static void write_single(struct kw_json *j, const struct kw_field *f, enum kw_kind kind,
                         bool sums) {
    switch (kind) {
    case KW_KIND_TEXT:
    case KW_KIND_TEXTS:
        write_text(j);
        return;
    case KW_KIND_NAME:
        write_name(j);
        return;
    case KW_KIND_WORD:
        write_words(j, f->words);
        return;
    case KW_KIND_COUNT:
        write_count(j, f, sums);
        return;
    case KW_KIND_DATE:
        kw_json_key_text(j, "type", "string");
        kw_json_key_text(j, "pattern", KW_DATE_PATTERN);
        return;
    default:
        write_quantity(j, f, sums);
    }
}

// --------------------------------------------------------------------------------- lists and
// groups

static void write_list_of_forms(struct kw_json *j, const struct kw_form *form) {
    kw_json_key_text(j, "type", "array");
    kw_json_key(j, "items");
    kw_json_open_inline(j, '{');
    write_reference(j, form);
    kw_json_close(j);
}

static void write_map_of_forms(struct kw_json *j, const struct kw_field *f) {
    kw_json_key_text(j, "type", "object");
    kw_json_key(j, "propertyNames");
    kw_json_open_inline(j, '{');
    if (f->kind == KW_KIND_NAMED) {
        kw_json_key_text(j, "pattern", KW_NAME_PATTERN);
    } else {
        kw_json_key_text(j, "pattern", "^[^\\n]+$");
        kw_json_key_count(j, "maxLength", KW_MOST_TEXT);
    }
    kw_json_close(j);
    kw_json_key(j, "additionalProperties");
    kw_json_open_inline(j, '{');
    write_reference(j, f->form);
    kw_json_close(j);
}

// One value or a list of them.
static void write_values(struct kw_json *j, const struct kw_field *f, bool sums) {
    kw_json_key(j, "anyOf");
    kw_json_open(j, '[');
    kw_json_open(j, '{');
    write_single(j, f, f->kind, sums);
    kw_json_close(j);
    kw_json_open(j, '{');
    kw_json_key_text(j, "type", "array");
    kw_json_key(j, "items");
    kw_json_open(j, '{');
    write_single(j, f, f->kind, sums);
    kw_json_close(j);
    kw_json_close(j);
    kw_json_close(j);
}

static void write_default(struct kw_json *j, const struct kw_field *f) {
    if (!f->fallback) return;
    size_t digits = strspn(f->fallback, "0123456789");
    bool whole = f->kind == KW_KIND_COUNT && digits < 7 && f->fallback[digits] == 0;
    kw_json_key(j, "default");
    if (whole) {
        write_raw(j, f->fallback);
    } else {
        kw_json_text(j, f->fallback);
    }
}

// A custom kind brings its own fragment: `{...}`, joined with the meaning.
static void write_field(struct kw_json *j, const struct kw_field *f, bool sums) {
    kw_json_key(j, f->key);
    kw_json_open(j, '{');
    kw_json_key_text(j, "description", f->meaning ? f->meaning : "");
    switch (f->kind) {
    case KW_KIND_FORM:
        write_reference(j, f->form);
        break;
    case KW_KIND_FORMS:
        write_list_of_forms(j, f->form);
        break;
    case KW_KIND_NAMED:
    case KW_KIND_LABELLED:
        write_map_of_forms(j, f);
        break;
    case KW_KIND_TEXTS:
    case KW_KIND_QUANTITIES:
        write_values(j, f, sums);
        break;
    case KW_KIND_CUSTOM:
        if (f->schema) {
            kw_json_key(j, "allOf");
            kw_json_open_inline(j, '[');
            kw_text_add(j->out, f->schema);
            kw_json_close(j);
        }
        break;
    default:
        write_single(j, f, f->kind, sums);
    }
    write_default(j, f);
    kw_json_close(j);
}

static void write_required(struct kw_json *j, const struct kw_form *form) {
    bool any = false;
    for (const struct kw_field *f = form->fields; f->key; f++)
        any |= f->required;
    if (!any) return;
    kw_json_key(j, "required");
    kw_json_open_inline(j, '[');
    for (const struct kw_field *f = form->fields; f->key; f++) {
        if (f->required) kw_json_text(j, f->key);
    }
    kw_json_close(j);
}

static void write_form(struct kw_json *j, const struct kw_form *form, bool sums) {
    kw_json_key_text(j, "type", "object");
    kw_json_key_text(j, "description", form->meaning ? form->meaning : "");
    kw_json_key(j, "additionalProperties");
    kw_json_truth(j, false);
    write_required(j, form);
    kw_json_key(j, "properties");
    kw_json_open(j, '{');
    for (const struct kw_field *f = form->fields; f->key; f++)
        write_field(j, f, sums);
    kw_json_close(j);
}

void kw_form_schema(const struct kw_form *form, const char *title, bool sums, struct kw_text *out) {
    struct kw_forms all = {0};
    kw_forms_collect(&all, form);
    struct kw_json j = {.out = out};
    kw_json_open(&j, '{');
    kw_json_key_text(&j, "$schema", "https://json-schema.org/draft/2020-12/schema");
    kw_json_key_text(&j, "title", title);
    write_form(&j, form, sums);
    kw_json_key(&j, "$defs");
    kw_json_open(&j, '{');
    for (int i = 1; i < all.count; i++) {
        struct kw_text name = {0};
        definition_name(all.v[i], &name);
        kw_json_key(&j, name.s);
        kw_json_open(&j, '{');
        write_form(&j, all.v[i], sums);
        kw_json_close(&j);
        kw_text_free(&name);
    }
    kw_json_close(&j);
    kw_json_close(&j);
}
