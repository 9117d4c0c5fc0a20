// SPDX-License-Identifier: Apache-2.0
// Fills structs from a tree by a table of fields.
#include "form/value.h"

#include <stdio.h>
#include <string.h>

static enum kw_status read_form(struct kw_reader *r, const struct kw_form *form,
                                const struct kw_node *node, void *out, struct kw_error *err);

static enum kw_status wrong_kind(const struct kw_node *node, const char *what,
                                 struct kw_error *err) {
    char got[KW_NODE_GOT_SIZE];
    return kw_fail(err, KW_FORMAT, node->at, "expected %s, got %s", what, kw_node_got(got, node));
}

static int count_fields(const struct kw_form *form) {
    int n = 0;
    while (form->fields[n].key)
        n++;
    kw_assert(n <= 64);
    return n;
}

static enum kw_status unknown_key(struct kw_reader *r, const struct kw_form *form,
                                  const struct kw_node *child, struct kw_error *err) {
    int n = count_fields(form);
    const char **keys = KW_NEW_ARRAY(r->arena, const char *, n + 1);
    for (int i = 0; i < n; i++)
        keys[i] = form->fields[i].key;
    const char *near = kw_nearest_word(child->key, keys);
    const char *owner = form->name;
    if (near) {
        return kw_fail(err, KW_UNKNOWN, child->key_at,
                       "unknown key \"%.*s\", expected one of the %s's keys, did you mean \"%s\"?",
                       KW_SHOWN(child->key), owner, near);
    }
    struct kw_text list = {0};
    for (int i = 0; i < n; i++)
        kw_text_addf(&list, "%s%s", i ? ", " : "", keys[i]);
    enum kw_status s = kw_fail(err, KW_UNKNOWN, child->key_at,
                               "unknown key \"%.*s\", expected one of the %s's keys: %.350s",
                               KW_SHOWN(child->key), owner, list.s);
    kw_text_free(&list);
    return s;
}

// ------------------------------------------------------------------------------ lists and groups

static struct kw_items make_items(struct kw_reader *r, size_t size, int count) {
    size_t bytes = size * (size_t)count;
    return (struct kw_items){kw_alloc(r->arena, bytes ? bytes : 1), count};
}

static void *item_at(struct kw_items *items, size_t size, int i) {
    return (char *)items->v + size * (size_t)i;
}

static enum kw_status read_forms(struct kw_reader *r, const struct kw_node *node,
                                 const struct kw_field *f, struct kw_items *out,
                                 struct kw_error *err) {
    char what[120];
    (void)snprintf(what, sizeof what, "a list (\"- ...\") of %ss", f->form->name);
    if (node->kind != KW_LIST) return wrong_kind(node, what, err);
    *out = make_items(r, f->form->size, node->count);
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < node->count; i++) {
        s = read_form(r, f->form, &node->items[i], item_at(out, f->form->size, i), err);
    }
    return s;
}

// What KW_KIND_NAMED and KW_KIND_LABELLED structs begin with.
struct named {
    const struct kw_node *node;
    const char *name;
};

static enum kw_status check_name(const struct kw_node *item, const struct kw_field *f,
                                 struct kw_error *err) {
    bool fits =
        f->kind == KW_KIND_NAMED ? kw_is_name(item->key) : strlen(item->key) <= KW_MOST_TEXT;
    if (fits) return KW_OK;
    const char *what = f->kind == KW_KIND_NAMED ? "letters, digits, \"-\" and \"_\" (at most 40)"
                                                : "at most 200 bytes";
    return kw_fail(err, KW_FORMAT, item->key_at, "expected a %s's name of %s, got \"%.*s\"",
                   f->form->name, what, KW_SHOWN(item->key));
}

static enum kw_status read_named(struct kw_reader *r, const struct kw_node *node,
                                 const struct kw_field *f, struct kw_items *out,
                                 struct kw_error *err) {
    char what[120];
    (void)snprintf(what, sizeof what, "a map from each %s's name to its keys", f->form->name);
    if (node->kind != KW_MAP) return wrong_kind(node, what, err);
    *out = make_items(r, f->form->size, node->count);
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < node->count; i++) {
        const struct kw_node *item = &node->items[i];
        struct named *to = item_at(out, f->form->size, i);
        s = check_name(item, f, err);
        to->name = item->key;
        if (s == KW_OK) s = read_form(r, f->form, item, to, err);
    }
    return s;
}

// A list of single values, or one value alone.
static enum kw_status read_values(struct kw_reader *r, const struct kw_node *node,
                                  const struct kw_field *f, struct kw_items *out,
                                  struct kw_error *err) {
    bool texts = f->kind == KW_KIND_TEXTS;
    struct kw_field one = *f;
    one.kind = texts ? KW_KIND_TEXT : KW_KIND_QUANTITY;
    size_t size = texts ? sizeof(const char *) : sizeof(double);
    const struct kw_node *items = node->kind == KW_LIST ? node->items : node;
    *out = make_items(r, size, node->kind == KW_LIST ? node->count : 1);
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < out->count; i++) {
        s = kw_read_value(r, &items[i], &one, item_at(out, size, i), err);
    }
    return s;
}

static enum kw_status read_field(struct kw_reader *r, const struct kw_node *node,
                                 const struct kw_field *f, void *out, struct kw_error *err) {
    switch (f->kind) {
    case KW_KIND_FORM:
        return read_form(r, f->form, node, out, err);
    case KW_KIND_FORMS:
        return read_forms(r, node, f, out, err);
    case KW_KIND_NAMED:
    case KW_KIND_LABELLED:
        return read_named(r, node, f, out, err);
    case KW_KIND_TEXTS:
    case KW_KIND_QUANTITIES:
        return read_values(r, node, f, out, err);
    case KW_KIND_CUSTOM:
        return f->read(r, node, f, out, err);
    default:
        return kw_read_value(r, node, f, out, err);
    }
}

// --------------------------------------------------------------------------------- what is absent

static bool has_required(const struct kw_form *form) {
    for (const struct kw_field *f = form->fields; f->key; f++) {
        if (f->required) return true;
    }
    return false;
}

// A default is written in the table as it would be in a file; one that does not read is our bug.
static void fill_default(struct kw_reader *r, const struct kw_node *owner, const struct kw_field *f,
                         void *out) {
    struct kw_error bug = {0};
    struct kw_node node = {.kind = KW_SCALAR, .at = owner->at, .key_at = owner->at, .key = f->key};
    node.text = f->fallback;
    node.quoted = true;
    if (f->fallback) {
        struct kw_node *kept = KW_NEW(r->arena, struct kw_node);
        *kept = node;
        kw_assert(read_field(r, kept, f, out, &bug) == KW_OK);
    } else if (f->kind == KW_KIND_FORM && !has_required(f->form)) {
        struct kw_node *empty = KW_NEW(r->arena, struct kw_node);
        *empty = (struct kw_node){.kind = KW_MAP, .at = owner->at, .key_at = owner->at};
        kw_assert(read_form(r, f->form, empty, out, &bug) == KW_OK);
    }
}

static enum kw_status fill_absent(struct kw_reader *r, const struct kw_form *form,
                                  const struct kw_node *node, uint64_t seen, char *out,
                                  struct kw_error *err) {
    for (int i = 0; form->fields[i].key; i++) {
        const struct kw_field *f = &form->fields[i];
        if (seen >> i & 1) continue;
        if (f->required) {
            return kw_fail(err, KW_MISSING, node->at, "missing key \"%s\" of the %s", f->key,
                           form->name);
        }
        fill_default(r, node, f, out + f->offset);
    }
    return KW_OK;
}

// ------------------------------------------------------------------------------------- the form

static int find_field(const struct kw_form *form, const char *key) {
    for (int i = 0; form->fields[i].key; i++) {
        if (strcmp(form->fields[i].key, key) == 0) return i;
    }
    return -1;
}

static enum kw_status read_form(struct kw_reader *r, const struct kw_form *form,
                                const struct kw_node *node, void *out, struct kw_error *err) {
    if (node->kind != KW_MAP) {
        char what[120];
        (void)snprintf(what, sizeof what, "a map with the %s's keys", form->name);
        return wrong_kind(node, what, err);
    }
    kw_assert(count_fields(form) > 0);
    memcpy(out, &node, sizeof node);
    uint64_t seen = 0;
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < node->count; i++) {
        const struct kw_node *child = &node->items[i];
        int k = find_field(form, child->key);
        if (k < 0) return unknown_key(r, form, child, err);
        seen |= (uint64_t)1 << k;
        s = read_field(r, child, &form->fields[k], (char *)out + form->fields[k].offset, err);
    }
    if (s == KW_OK) s = fill_absent(r, form, node, seen, out, err);
    if (s == KW_OK && form->check) s = form->check(r, node, out, err);
    return s;
}

// Bare lengths may stand before the line that says their unit, so that line is looked at first.
static enum kw_status read_units(struct kw_reader *r, const struct kw_form *form,
                                 const struct kw_node *root, struct kw_error *err) {
    const struct kw_node *units = kw_node_get(root, "units");
    int k = find_field(form, "units");
    if (!units || k < 0 || form->fields[k].kind != KW_KIND_WORD) return KW_OK;
    int unit;
    enum kw_status s = kw_read_value(r, units, &form->fields[k], &unit, err);
    if (s == KW_OK) r->units = unit == KW_IN ? KW_IN : KW_MM;
    return s;
}

enum kw_status kw_form_read(struct kw_reader *r, const struct kw_form *form,
                            const struct kw_node *node, void *out, struct kw_error *err) {
    enum kw_status s = read_units(r, form, node, err);
    return s != KW_OK ? s : read_form(r, form, node, out, err);
}
