// SPDX-License-Identifier: Apache-2.0
// Reads kit files: text to tree, tree to kit by the table, then the checks between keys.
#include "kit/kit_in.h"

#include <string.h>

const char *kw_old_stock_text(int old_stock) {
    static const char *const text[] = {NULL, "use up first", "rework", "scrap"};
    return text[old_stock];
}

const char *kw_hand_name(enum kw_hand h) {
    return h == KW_LEFT_HAND ? "left" : h == KW_RIGHT_HAND ? "right" : "";
}

enum kw_status kw_kit_bytes(struct kw_arena *a, const char *folder, const char *file, size_t most,
                            struct kw_place from, char **bytes, size_t *length,
                            struct kw_error *err) {
    struct kw_error why = {0};
    const char *path = kw_format(a, "%s/%s", folder, file);
    enum kw_status s = kw_read_file(a, path, most, (struct kw_place){0}, bytes, length, &why);
    if (s == KW_OK) return s;
    if (s == KW_MISSING && from.file) return kw_fail(err, s, from, "no such file: \"%s\"", file);
    return kw_fail(err, s, (struct kw_place){.file = file}, "%s", why.text);
}

static enum kw_status check_bag(struct kw_kit_file *k, const struct kw_bag *bag) {
    for (int i = 0; i < bag->holds.count; i++) {
        const struct kw_bag_item *item = KW_ITEM(struct kw_bag_item, bag->holds, i);
        if (kw_shop_hardware(k->shop, item->name)) continue;
        const struct kw_items *known = &k->shop->hardware;
        const char **names = KW_NEW_ARRAY(k->arena, const char *, known->count + 1);
        for (int n = 0; n < known->count; n++) {
            names[n] = KW_ITEM(struct kw_hardware, *known, n)->name;
        }
        const char *near = kw_nearest_word(item->name, names);
        return kw_fail(k->err, KW_UNKNOWN, item->at, "unknown hardware \"%.80s\"%s%.80s%s",
                       item->name, near ? ", did you mean \"" : ", expected a name from shop.yaml",
                       near ? near : "", near ? "\"?" : "");
    }
    return KW_OK;
}

static enum kw_status fail_part(struct kw_kit_file *k, struct kw_place at, const char *name) {
    const struct kw_items *parts = &k->kit->parts;
    const char **names = KW_NEW_ARRAY(k->arena, const char *, parts->count + 1);
    for (int i = 0; i < parts->count; i++)
        names[i] = KW_ITEM(struct kw_part, *parts, i)->name;
    const char *near = kw_nearest_word(name, names);
    return kw_fail(k->err, KW_UNKNOWN, at, "unknown part \"%.60s\" of kit \"%s\"%s%s%s", name,
                   k->kit->name, near ? ", did you mean \"" : "", near ? near : "",
                   near ? "\"?" : "");
}

static enum kw_status finish(struct kw_kit_file *k) {
    struct kw_kit *kit = k->kit;
    if (kit->parts.count == 0) {
        return kw_fail(k->err, KW_MISSING, kw_place_of(kit->node, "parts"),
                       "kit \"%s\" has no parts", kit->name);
    }
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < kit->parts.count; i++) {
        s = kw_part_finish(k, KW_ITEM(struct kw_part, kit->parts, i));
    }
    for (int i = 0; s == KW_OK && i < kit->bags.count; i++) {
        s = check_bag(k, KW_ITEM(struct kw_bag, kit->bags, i));
    }
    for (int i = 0; s == KW_OK && i < kit->signed_risks.count; i++) {
        const struct kw_signature *g = KW_ITEM(struct kw_signature, kit->signed_risks, i);
        if (g->part && !kw_kit_part(kit, g->part)) {
            s = fail_part(k, kw_place_of(g->node, "part"), g->part);
        }
    }
    if (s == KW_OK) s = kw_kit_ends(k);
    if (s == KW_OK) s = kw_kit_joined(k);
    if (s == KW_OK) kw_kit_code(kit);
    return s;
}

enum kw_status kw_kit_parse(struct kw_arena *a, const struct kw_shop *shop, const char *folder,
                            const char *file, const char *bytes, size_t length,
                            const struct kw_kit_choice *choice, struct kw_kit **out,
                            struct kw_error *err) {
    const struct kw_node *root;
    enum kw_status s = kw_yaml_parse(a, file, bytes, length, &root, err);
    if (s != KW_OK) return s;
    struct kw_kit *kit = KW_NEW(a, struct kw_kit);
    struct kw_reader r = {.arena = a, .units = KW_MM};
    const char *size;
    s = kw_kit_names(&r, root, choice, &size, err);
    if (s == KW_OK) s = kw_form_read(&r, &kw_kit_form, root, kit, err);
    if (s != KW_OK) return s;
    kit->file = root->at.file;
    struct kw_kit_file k = {.arena = a,
                            .shop = shop,
                            .folder = folder,
                            .kit = kit,
                            .units = kit->units == (int)KW_IN ? KW_IN : KW_MM,
                            .err = err};
    s = kw_kit_chosen(&k, choice, size);
    if (s == KW_OK) s = finish(&k);
    if (s == KW_OK) *out = kit;
    return s;
}

enum kw_status kw_kit_read(struct kw_arena *a, const struct kw_shop *shop, const char *folder,
                           const char *file, const struct kw_kit_choice *choice,
                           struct kw_kit **out, struct kw_error *err) {
    char *bytes;
    size_t length;
    struct kw_arena scratch = {0};
    enum kw_status s = kw_kit_bytes(&scratch, folder, file, KW_YAML_MOST_BYTES,
                                    (struct kw_place){0}, &bytes, &length, err);
    if (s == KW_OK) s = kw_kit_parse(a, shop, folder, file, bytes, length, choice, out, err);
    kw_arena_free(&scratch);
    return s;
}

static enum kw_status refuse_other_endings(struct kw_arena *a, const char *path,
                                           struct kw_error *err) {
    const char **names;
    int count;
    enum kw_status s = kw_list_folder(a, path, ".yml", &names, &count, err);
    if (s != KW_OK || count == 0) return s;
    return kw_fail(err, KW_FORMAT, (struct kw_place){.file = kw_format(a, "kits/%s", names[0])},
                   "expected a kit file that ends with .yaml");
}

static enum kw_status add_kit(struct kw_arena *a, struct kw_kits *out, struct kw_kit *kit,
                              struct kw_error *err) {
    const struct kw_kit *twin = kw_kits_find(out, kit->name);
    if (twin) {
        return kw_fail(err, KW_DUPLICATE, kw_place_of(kit->node, "kit"),
                       "kit \"%s\" is in %s already", kit->name, twin->file);
    }
    KW_PUSH(a, out->v, out->count) = kit;
    return KW_OK;
}

/// One kit a size, each with its options as they normally are.
static enum kw_status add_sizes(struct kw_arena *a, struct kw_kits *out, const char *file,
                                struct kw_error *err) {
    struct kw_kit *kit;
    enum kw_status s = kw_kit_read(a, out->shop, out->folder, file, NULL, &kit, err);
    if (s == KW_OK) s = add_kit(a, out, kit, err);
    if (s != KW_OK) return s;
    struct kw_items sizes = kit->sizes;
    for (int i = 1; s == KW_OK && i < sizes.count; i++) {
        struct kw_kit_choice c = {.size = KW_ITEM(struct kw_kit_size, sizes, i)->name};
        s = kw_kit_read(a, out->shop, out->folder, file, &c, &kit, err);
        if (s == KW_OK) s = add_kit(a, out, kit, err);
    }
    return s;
}

enum kw_status kw_kits_read(struct kw_arena *a, const struct kw_shop *shop, const char *folder,
                            struct kw_kits *out, struct kw_error *err) {
    const char **names, *path = kw_format(a, "%s/kits", folder);
    int count;
    *out = (struct kw_kits){.shop = shop, .folder = kw_copy_text(a, folder, strlen(folder))};
    enum kw_status s = kw_list_folder(a, path, ".yaml", &names, &count, err);
    if (s == KW_OK) s = refuse_other_endings(a, path, err);
    if (s == KW_OK && count == 0) {
        s = kw_fail(err, KW_MISSING, (struct kw_place){.file = "kits"},
                    "no kit files (*.yaml) in this folder");
    }
    for (int i = 0; s == KW_OK && i < count; i++)
        s = add_sizes(a, out, kw_format(a, "kits/%s", names[i]), err);
    return s;
}

enum kw_status kw_kits_choose(struct kw_arena *a, struct kw_kits *kits, struct kw_kit *like,
                              const struct kw_kit_choice *choice, int *index,
                              struct kw_error *err) {
    struct kw_kit_file k = {.arena = a, .shop = kits->shop, .kit = like, .err = err};
    struct kw_kit *kit;
    const char *name;
    enum kw_status s = kw_kit_choice_name(&k, choice, choice->size, &name);
    if (s != KW_OK) return s;
    for (*index = 0; *index < kits->count; ++*index) { // orders ask for few kits again and again
        const struct kw_kit *have = kits->v[*index];
        if (strcmp(have->file, like->file) == 0 && strcmp(have->name, name) == 0) return KW_OK;
    }
    s = kw_kit_read(a, kits->shop, kits->folder, like->file, choice, &kit, err);
    return s == KW_OK ? add_kit(a, kits, kit, err) : s;
}

struct kw_part *kw_kit_part(const struct kw_kit *kit, const char *name) {
    for (int i = 0; i < kit->parts.count; i++) {
        struct kw_part *p = KW_ITEM(struct kw_part, kit->parts, i);
        if (strcmp(p->name, name) == 0) return p;
    }
    return NULL;
}

struct kw_kit *kw_kits_find(const struct kw_kits *kits, const char *name) {
    for (int i = 0; i < kits->count; i++) {
        if (strcmp(kits->v[i]->name, name) == 0) return kits->v[i];
    }
    for (int i = 0; i < kits->count; i++) { // its first size
        if (strcmp(kits->v[i]->family, name) == 0) return kits->v[i];
    }
    return NULL;
}
