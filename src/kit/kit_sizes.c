// SPDX-License-Identifier: Apache-2.0
// Sizes and options of a kit: the names that sums may use, which parts a choice has, and what the
// kit of that choice is called.
#include "kit/kit_in.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_SIZES = 100, MOST_DIMENSIONS = 500, MOST_OPTIONS = 30 };

static bool is_dimension_name(const char *s) {
    return kw_is_name(s) && !(s[0] >= '0' && s[0] <= '9');
}

static enum kw_status add_names(struct kw_reader *r, const struct kw_node *map,
                                struct kw_named_value *names, struct kw_error *err) {
    for (int i = 0; i < map->count; i++) {
        const struct kw_node *item = &map->items[i];
        if (!is_dimension_name(item->key)) {
            return kw_fail(err, KW_FORMAT, item->key_at,
                           "expected a dimension's name of letters, digits, \"-\" and \"_\" (a "
                           "letter first, at most 40), got \"%.*s\"",
                           KW_SHOWN(item->key));
        }
        for (int k = 0; k < r->name_count; k++) {
            if (strcmp(names[k].name, item->key) != 0) continue;
            return kw_fail(err, KW_DUPLICATE, item->key_at, "the dimension \"%s\" is given already",
                           item->key);
        }
        if (r->name_count == MOST_DIMENSIONS) {
            return kw_fail(err, KW_LIMIT, item->key_at, "expected at most %d dimensions",
                           MOST_DIMENSIONS);
        }
        enum kw_status s = kw_name_value(r, item, &names[r->name_count], err);
        if (s != KW_OK) return s;
        r->name_count++;
    }
    return KW_OK;
}

// A size that lacks a name of the first one would fail far away, where the name is used.
static enum kw_status check_same_names(const struct kw_node *sizes, struct kw_error *err) {
    const struct kw_node *first = &sizes->items[0];
    for (int i = 1; i < sizes->count; i++) {
        const struct kw_node *size = &sizes->items[i];
        for (int k = 0; k < first->count; k++) {
            if (kw_node_get(size, first->items[k].key)) continue;
            return kw_fail(err, KW_MISSING, size->at,
                           "missing dimension \"%s\" of size \"%s\", which size \"%s\" has",
                           first->items[k].key, size->key, first->key);
        }
        for (int k = 0; k < size->count; k++) {
            if (kw_node_get(first, size->items[k].key)) continue;
            return kw_fail(err, KW_UNKNOWN, size->items[k].key_at,
                           "dimension \"%s\" of size \"%s\" is not in size \"%s\"",
                           size->items[k].key, size->key, first->key);
        }
    }
    return KW_OK;
}

static enum kw_status expected_map(const struct kw_node *node, const char *what,
                                   struct kw_error *err) {
    char got[KW_NODE_GOT_SIZE];
    return kw_fail(err, KW_FORMAT, node->at, "expected %s, got %s", what, kw_node_got(got, node));
}

static enum kw_status check_sizes(const struct kw_node *sizes, struct kw_error *err) {
    static const char *const what = "a map such as { 24: { width: 24 }, 36: { width: 36 } }";
    if (sizes->kind != KW_MAP || sizes->count == 0) return expected_map(sizes, what, err);
    if (sizes->count > MOST_SIZES) {
        return kw_fail(err, KW_LIMIT, sizes->at, "expected at most %d sizes", MOST_SIZES);
    }
    for (int i = 0; i < sizes->count; i++) {
        const struct kw_node *size = &sizes->items[i];
        if (size->kind != KW_MAP) return expected_map(size, "a map from names to lengths", err);
        bool fits = size->key[0] && strlen(size->key) <= 20 &&
                    strspn(size->key, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                      "0123456789_-") == strlen(size->key);
        if (!fits) {
            return kw_fail(err, KW_FORMAT, size->key_at,
                           "expected a size's name of letters, digits, \"-\" and \"_\" (at most "
                           "20), got \"%.*s\"",
                           KW_SHOWN(size->key));
        }
    }
    return check_same_names(sizes, err);
}

static enum kw_status choose(const struct kw_node *sizes, const struct kw_kit_choice *choice,
                             const struct kw_node **size, struct kw_error *err) {
    const char *wanted = choice ? choice->size : NULL;
    *size = sizes && !wanted ? &sizes->items[0] : NULL;
    for (int i = 0; sizes && wanted && i < sizes->count; i++) {
        if (strcmp(sizes->items[i].key, wanted) == 0) *size = &sizes->items[i];
    }
    if (*size || !wanted) return KW_OK;
    return kw_fail(err, KW_UNKNOWN, choice->at, "the kit has no size \"%.60s\"%s", wanted,
                   sizes ? "" : ": it comes in one size");
}

enum kw_status kw_kit_names(struct kw_reader *r, const struct kw_node *root,
                            const struct kw_kit_choice *choice, const char **size,
                            struct kw_error *err) {
    const struct kw_node *units = kw_node_get(root, "units"), *chosen = NULL;
    const struct kw_node *sizes = kw_node_get(root, "sizes");
    const struct kw_node *fixed = kw_node_get(root, "dimensions");
    r->sums = true;
    r->units = units && units->kind == KW_SCALAR && strcmp(units->text, "in") == 0 ? KW_IN : KW_MM;
    struct kw_named_value *names = KW_NEW_ARRAY(r->arena, struct kw_named_value, MOST_DIMENSIONS);
    r->names = names;
    enum kw_status s = sizes ? check_sizes(sizes, err) : KW_OK;
    if (s == KW_OK) s = choose(sizes, choice, &chosen, err);
    if (s == KW_OK && chosen) s = add_names(r, chosen, names, err);
    if (s == KW_OK && fixed && fixed->kind != KW_MAP) {
        s = expected_map(fixed, "a map from names to lengths", err);
    }
    if (s == KW_OK && fixed) s = add_names(r, fixed, names, err);
    *size = chosen ? chosen->key : NULL;
    return s;
}

enum kw_status kw_read_sizes(struct kw_reader *r, const struct kw_node *node,
                             const struct kw_field *field, void *out, struct kw_error *err) {
    (void)field, (void)err; // looked at by kw_kit_names
    struct kw_kit_size *v = KW_NEW_ARRAY(r->arena, struct kw_kit_size, node->count);
    for (int i = 0; i < node->count; i++)
        v[i] = (struct kw_kit_size){node->items[i].key};
    *(struct kw_items *)out = (struct kw_items){v, node->count};
    return KW_OK;
}

enum kw_status kw_read_dimensions(struct kw_reader *r, const struct kw_node *node,
                                  const struct kw_field *field, void *out, struct kw_error *err) {
    (void)r, (void)node, (void)field, (void)out, (void)err; // read by kw_kit_names
    return KW_OK;
}

// ---------------------------------------------------------------------------------------- options

static const struct kw_kit_option *find_option(const struct kw_kit *kit, const char *name) {
    for (int i = 0; i < kit->options.count; i++) {
        const struct kw_kit_option *o = KW_ITEM(struct kw_kit_option, kit->options, i);
        if (strcmp(o->name, name) == 0) return o;
    }
    return NULL;
}

static enum kw_status fail_option(struct kw_kit_file *k, struct kw_place at, const char *name) {
    const struct kw_items *options = &k->kit->options;
    const char **names = KW_NEW_ARRAY(k->arena, const char *, options->count + 1);
    for (int i = 0; i < options->count; i++)
        names[i] = KW_ITEM(struct kw_kit_option, *options, i)->name;
    const char *near = kw_nearest_word(name, names);
    return kw_fail(k->err, KW_UNKNOWN, at, "kit \"%s\" has no option \"%.60s\"%s%s%s",
                   k->kit->family, name, near ? ", did you mean \"" : "", near ? near : "",
                   near ? "\"?" : "");
}

static bool among(const char *const *v, int count, const char *name) {
    for (int i = 0; i < count; i++) {
        if (strcmp(v[i], name) == 0) return true;
    }
    return false;
}

static enum kw_status check_choice(struct kw_kit_file *k, const struct kw_kit_choice *c) {
    for (int i = 0; c && i < c->with_count + c->without_count; i++) {
        const char *name = i < c->with_count ? c->with[i] : c->without[i - c->with_count];
        if (!find_option(k->kit, name)) return fail_option(k, c->options_at, name);
        if (i >= c->with_count && among(c->with, c->with_count, name)) {
            return kw_fail(k->err, KW_FORMAT, c->options_at, "both with and without \"%s\"", name);
        }
    }
    return KW_OK;
}

static bool has_option(const struct kw_kit *kit, const struct kw_kit_choice *c, const char *name) {
    if (c && among(c->with, c->with_count, name)) return true;
    if (c && among(c->without, c->without_count, name)) return false;
    return find_option(kit, name)->normally == 0;
}

/// Names that go with parts left out: the parts, then the pieces that are made of them.
struct gone {
    struct kw_arena *arena;
    const char **v;
    int count;
};

static bool is_gone(const struct gone *g, const char *name, size_t length) {
    for (int i = 0; i < g->count; i++) {
        if (strlen(g->v[i]) == length && memcmp(g->v[i], name, length) == 0) return true;
    }
    return false;
}

static void leave(struct gone *g, const char *name) {
    KW_PUSH(g->arena, g->v, g->count) = name;
}

// Pieces of parts that are left out, and what joins them, go with them; and so do signatures.
static void drop_joined(struct kw_kit *kit, struct kw_arena *a, const struct gone *parts) {
    struct gone pieces = {.arena = a};
    int kept = 0;
    for (int i = 0; i < kit->assembly.count; i++) {
        const struct kw_standing *p = KW_ITEM(struct kw_standing, kit->assembly, i);
        if (is_gone(parts, p->part, strlen(p->part)))
            leave(&pieces, p->name);
        else
            *KW_ITEM(struct kw_standing, kit->assembly, kept++) = *p;
    }
    kit->assembly.count = kept;
    kept = 0;
    for (int i = 0; i < kit->joints.count; i++) {
        const struct kw_joint *j = KW_ITEM(struct kw_joint, kit->joints, i);
        if (is_gone(&pieces, j->tab, strcspn(j->tab, ".")) ||
            is_gone(&pieces, j->slot, strcspn(j->slot, ".")))
            continue;
        *KW_ITEM(struct kw_joint, kit->joints, kept++) = *j;
    }
    kit->joints.count = kept;
    kept = 0;
    for (int i = 0; i < kit->welds.count; i++) {
        const struct kw_weld *w = KW_ITEM(struct kw_weld, kit->welds, i);
        bool gone = false;
        for (int k = 0; k < w->between.count; k++) {
            const char *name = *KW_ITEM(const char *, w->between, k);
            gone |= is_gone(&pieces, name, strlen(name));
        }
        if (!gone) *KW_ITEM(struct kw_weld, kit->welds, kept++) = *w;
    }
    kit->welds.count = kept;
    kept = 0;
    for (int i = 0; i < kit->signed_risks.count; i++) {
        const struct kw_signature *g = KW_ITEM(struct kw_signature, kit->signed_risks, i);
        if (g->part && is_gone(parts, g->part, strlen(g->part))) continue;
        *KW_ITEM(struct kw_signature, kit->signed_risks, kept++) = *g;
    }
    kit->signed_risks.count = kept;
}

static enum kw_status choose_parts(struct kw_kit_file *k, const struct kw_kit_choice *c) {
    struct kw_items *parts = &k->kit->parts;
    struct gone gone = {.arena = k->arena};
    int kept = 0;
    for (int i = 0; i < parts->count; i++) {
        const struct kw_part *p = KW_ITEM(struct kw_part, *parts, i);
        if (p->option && !find_option(k->kit, p->option)) {
            return fail_option(k, kw_place_of(p->node, "with"), p->option);
        }
        if (p->not_option && !find_option(k->kit, p->not_option)) {
            return fail_option(k, kw_place_of(p->node, "without"), p->not_option);
        }
        bool out = (p->option && !has_option(k->kit, c, p->option)) ||
                   (p->not_option && has_option(k->kit, c, p->not_option));
        if (out)
            leave(&gone, p->name);
        else
            *KW_ITEM(struct kw_part, *parts, kept++) = *p;
    }
    parts->count = kept;
    if (gone.count > 0) drop_joined(k->kit, k->arena, &gone);
    return KW_OK;
}

enum kw_status kw_kit_choice_name(struct kw_kit_file *k, const struct kw_kit_choice *c,
                                  const char *size, const char **name) {
    const struct kw_kit *kit = k->kit;
    enum kw_status s = check_choice(k, c);
    if (s != KW_OK) return s;
    *name = size ? kw_format(k->arena, "%s-%s", kit->family, size) : kit->family;
    for (int i = 0; i < kit->options.count; i++) { // what is not as usual
        const struct kw_kit_option *o = KW_ITEM(struct kw_kit_option, kit->options, i);
        bool has = has_option(kit, c, o->name);
        if (has == (o->normally == 0)) continue;
        *name = kw_format(k->arena, "%s-%s-%s", *name, has ? "with" : "without", o->name);
    }
    return KW_OK;
}

static void title_options(struct kw_kit_file *k, const struct kw_kit_choice *c) {
    struct kw_kit *kit = k->kit;
    for (int i = 0; i < kit->options.count; i++) {
        const struct kw_kit_option *o = KW_ITEM(struct kw_kit_option, kit->options, i);
        bool has = has_option(kit, c, o->name);
        if (has == (o->normally == 0)) continue;
        kit->title = kw_format(k->arena, "%s, %s %s", kit->title, has ? "with" : "without",
                               o->title ? o->title : o->name);
    }
}

enum kw_status kw_kit_chosen(struct kw_kit_file *k, const struct kw_kit_choice *choice,
                             const char *size) {
    struct kw_kit *kit = k->kit;
    kit->family = kit->name;
    kit->size = size;
    if (kit->options.count > MOST_OPTIONS) {
        return kw_fail(k->err, KW_LIMIT, kw_place_of(kit->node, "options"),
                       "expected at most %d options", MOST_OPTIONS);
    }
    if (size) {
        bool number = strspn(size, "0123456789") == strlen(size);
        kit->title =
            kw_format(k->arena, number ? "%s %s %s" : "%s, %s", kit->title, size, kw_kit_unit(k));
    }
    enum kw_status s = kw_kit_choice_name(k, choice, size, &kit->name);
    if (s == KW_OK) s = choose_parts(k, choice);
    if (s != KW_OK) return s;
    title_options(k, choice);
    enum { MOST_NAME = 60 };
    if (strlen(kit->name) <= MOST_NAME) return KW_OK;
    return kw_fail(
        k->err, KW_LIMIT, kw_place_of(kit->node, "kit"),
        "the kit's name with its size and options, \"%.100s\", is longer than %d letters",
        kit->name, MOST_NAME);
}
