// SPDX-License-Identifier: Apache-2.0
// The reference page out of a table of fields, in Markdown.
#include "form/value.h"

#include <ctype.h>
#include <string.h>

// Text inside a table cell: a bar would end the cell.
static void add_cell(struct kw_text *out, const char *s) {
    for (; *s; s++) {
        if (*s == '|') kw_text_add(out, "\\");
        kw_text_addn(out, *s == '\n' ? " " : s, 1);
    }
}

static void add_title(struct kw_text *out, const char *s) {
    char first = (char)toupper((unsigned char)s[0]);
    kw_text_addn(out, &first, 1);
    kw_text_add(out, s + 1);
}

// "plasma table" is the anchor #plasma-table.
static void add_link(struct kw_text *out, const struct kw_form *form) {
    kw_text_addf(out, "[%s](#", form->name);
    for (const char *c = form->name; *c; c++)
        kw_text_addn(out, *c == ' ' ? "-" : c, 1);
    kw_text_add(out, ")");
}

static void add_quantity(struct kw_text *out, const struct kw_field *f) {
    char text[KW_BOUNDS_SIZE];
    kw_text_addf(out, "%s %s", kw_dimension_name(f->dim),
                 kw_bounds_text(text, kw_field_bounds(f), f->dim, KW_MM));
}

static void add_words(struct kw_text *out, const char *const *words) {
    for (int i = 0; words[i]; i++)
        kw_text_addf(out, "%s`%s`", i ? ", " : "", words[i]);
}

static void add_kind(struct kw_text *out, const struct kw_field *f) {
    char text[KW_BOUNDS_SIZE];
    switch (f->kind) {
    case KW_KIND_TEXT:
        kw_text_add(out, "text");
        break;
    case KW_KIND_NAME:
        kw_text_add(out, "name");
        break;
    case KW_KIND_WORD:
        add_words(out, f->words);
        break;
    case KW_KIND_COUNT:
        kw_text_addf(out, "whole number %s",
                     kw_bounds_text(text, kw_field_bounds(f), KW_DIM_NUMBER, KW_MM));
        break;
    case KW_KIND_QUANTITY:
        add_quantity(out, f);
        break;
    case KW_KIND_DATE:
        kw_text_add(out, "date");
        break;
    case KW_KIND_FORM:
        add_link(out, f->form);
        break;
    case KW_KIND_FORMS:
        kw_text_add(out, "list, each a ");
        add_link(out, f->form);
        break;
    case KW_KIND_NAMED:
    case KW_KIND_LABELLED:
        kw_text_add(out, "by name, each a ");
        add_link(out, f->form);
        break;
    case KW_KIND_TEXTS:
        kw_text_add(out, "text or list of texts");
        break;
    case KW_KIND_QUANTITIES:
        add_quantity(out, f);
        kw_text_add(out, ", or a list of them");
        break;
    case KW_KIND_CUSTOM:
        kw_text_add(out, "as in the example");
        break;
    }
    if (f->example) {
        kw_text_add(out, ", such as `");
        add_cell(out, f->example);
        kw_text_add(out, "`");
    }
}

static void add_field(struct kw_text *out, const struct kw_field *f) {
    kw_text_addf(out, "| `%s` | ", f->key);
    add_kind(out, f);
    kw_text_add(out, " | ");
    if (f->required) {
        kw_text_add(out, "required");
    } else if (f->fallback) {
        kw_text_addf(out, "`%s`", f->fallback);
    }
    kw_text_add(out, " | ");
    add_cell(out, f->meaning ? f->meaning : "");
    kw_text_add(out, " |\n");
}

static void add_form(struct kw_text *out, const struct kw_form *form) {
    kw_text_add(out, "\n## ");
    add_title(out, form->name);
    kw_text_addf(out, "\n\n%s\n\n", form->meaning ? form->meaning : "");
    kw_text_add(out, "| key | value | default | meaning |\n|---|---|---|---|\n");
    for (const struct kw_field *f = form->fields; f->key; f++)
        add_field(out, f);
}

// ------------------------------------------------------------------------------ how to write
// values

static bool uses_dimension(const struct kw_forms *all, enum kw_dimension dim) {
    for (int i = 0; i < all->count; i++) {
        for (const struct kw_field *f = all->v[i]->fields; f->key; f++) {
            bool quantity = f->kind == KW_KIND_QUANTITY || f->kind == KW_KIND_QUANTITIES;
            if (quantity && f->dim == dim) return true;
        }
    }
    return false;
}

static const char *bare_unit(enum kw_dimension dim) {
    if (dim == KW_DIM_LENGTH) return "the file's `units`";
    if (dim == KW_DIM_SPEED) return "the file's `units` a minute";
    const char *name = kw_spoken_unit(dim, KW_MM).name;
    return name[0] ? name + 1 : "";
}

static void add_values(struct kw_text *out, const struct kw_forms *all) {
    kw_text_add(out, "\n## How values are written\n\n"
                     "A name has letters, digits, `-` and `_`, at most 40. A date is written "
                     "2026-03-31. A quantity is a number with its unit; without one it has the "
                     "unit in the last column.\n\n"
                     "| quantity | as in | bare number |\n|---|---|---|\n");
    for (int d = 0; d < KW_DIM_COUNT_OF_DIMENSIONS; d++) {
        enum kw_dimension dim = (enum kw_dimension)d;
        if (!uses_dimension(all, dim)) continue;
        kw_text_addf(out, "| %s | %s | %s |\n", kw_dimension_name(dim), kw_dimension_example(dim),
                     bare_unit(dim));
    }
}

void kw_form_page(const struct kw_form *form, const char *title, struct kw_text *out) {
    struct kw_forms all = {0};
    kw_forms_collect(&all, form);
    kw_text_addf(out, "# %s\n\nMade from the table that the reader uses.\n", title);
    add_form(out, form);
    for (int i = 1; i < all.count; i++)
        add_form(out, all.v[i]);
    add_values(out, &all);
}
