// SPDX-License-Identifier: Apache-2.0
// The shop at a glance: kits, drawings, runs, materials.
#include "server/planning.h"

#include <string.h>

/// The file's name without its ending.
static const char *stem_of(struct kw_arena *a, const char *name, const char *ending) {
    return kw_copy_text(a, name, strlen(name) - strlen(ending));
}

static void put_names(struct kw_json *j, const char *key, const struct kw_items *items, size_t each,
                      size_t offset) {
    kw_json_key(j, key);
    kw_json_open(j, '[');
    for (int i = 0; i < items->count; i++)
        kw_json_text(j, *(const char *const *)((const char *)items->v + each * (size_t)i + offset));
    kw_json_close(j);
}

static void put_kit_row(struct kw_json *j, const char *stem, uint64_t hash,
                        const struct kw_kit *kit, const struct kw_error *err) {
    static const struct kw_kit none = {0};
    char digits[HASH_DIGITS + 1];
    if (!kit) kit = &none;
    hash_text(digits, hash);
    kw_json_open(j, '{');
    put_text(j, "kit", stem);
    kw_json_key_text(j, "family", kit->family);
    kw_json_key_text(j, "title", kit->title);
    kw_json_key_text(j, "revision", kit->revision);
    kw_json_key_text(j, "hash", digits);
    kw_json_key_count(j, "parts", kit->parts.count);
    put_names(j, "sizes", &kit->sizes, sizeof(struct kw_kit_size),
              offsetof(struct kw_kit_size, name));
    put_names(j, "options", &kit->options, sizeof(struct kw_kit_option),
              offsetof(struct kw_kit_option, name));
    put_error(j, "error", err);
    kw_json_close(j);
}

static void put_kits(struct call *c, struct kw_json *j, const struct view *v) {
    const char **names;
    int count = 0;
    const char *path = folder_path(&c->arena, c->server, "kits", NULL);
    kw_json_key(j, "kits");
    kw_json_open(j, '[');
    if (path) kw_list_folder(&c->arena, path, ".yaml", &names, &count, NULL);
    for (int i = 0; i < count; i++) {
        struct kw_error err = {0};
        char *bytes;
        size_t length;
        uint64_t hash = 0;
        struct kw_kit *kit = NULL;
        const char *file = kw_format(&c->arena, "kits/%s", names[i]);
        enum kw_status s = folder_read(&c->arena, c->server, file, KW_YAML_MOST_BYTES, &bytes,
                                       &length, &hash, &err);
        if (s == KW_OK && v->shop)
            kw_kit_parse(&c->arena, v->shop, c->server->root, file, bytes, length, NULL, &kit,
                         &err);
        put_kit_row(j, stem_of(&c->arena, names[i], ".yaml"), hash, kit, &err);
    }
    kw_json_close(j);
}

static void put_drawings(struct call *c, struct kw_json *j) {
    static const char *const endings[] = {".dxf", ".svg"};
    const char *path = folder_path(&c->arena, c->server, "drawings", NULL);
    char digits[HASH_DIGITS + 1];
    kw_json_key(j, "drawings");
    kw_json_open(j, '[');
    for (int e = 0; path && e < 2; e++) {
        const char **names;
        int count = 0;
        kw_list_folder(&c->arena, path, endings[e], &names, &count, NULL);
        for (int i = 0; i < count; i++) {
            char *bytes;
            size_t length;
            uint64_t hash = 0;
            folder_read(&c->arena, c->server, kw_format(&c->arena, "drawings/%s", names[i]),
                        KW_DXF_MOST_BYTES, &bytes, &length, &hash, NULL);
            hash_text(digits, hash);
            kw_json_open(j, '{');
            put_text(j, "name", names[i]);
            kw_json_key_text(j, "hash", digits);
            kw_json_close(j);
        }
    }
    kw_json_close(j);
}

static void put_stocks(struct kw_json *j, const char *key, const struct kw_items *rack) {
    kw_json_key(j, key);
    kw_json_open(j, '[');
    for (int i = 0; rack && i < rack->count; i++)
        kw_json_text(j, KW_ITEM(struct kw_rack_item, *rack, i)->stock.text);
    kw_json_close(j);
}

static void put_shop(struct kw_json *j, const struct kw_shop *shop) {
    static const struct kw_items none = {0};
    put_text(j, "name", shop ? shop->name : NULL);
    kw_json_key_text(j, "unit", shop && shop->units == (int)KW_IN ? "in" : "mm");
    kw_json_key_text(j, "currency", shop ? shop->currency : NULL);
    put_names(j, "materials", shop ? &shop->materials : &none, sizeof(struct kw_material),
              offsetof(struct kw_material, name));
    put_stocks(j, "sheets", shop ? &shop->sheets : NULL);
    put_stocks(j, "sticks", shop ? &shop->sticks : NULL);
    put_names(j, "hardware", shop ? &shop->hardware : &none, sizeof(struct kw_hardware),
              offsetof(struct kw_hardware, name));
}

static void put_orders_hash(struct call *c, struct kw_json *j) {
    char *bytes, digits[HASH_DIGITS + 1];
    size_t length;
    uint64_t hash = 0;
    enum kw_status s = folder_read(&c->arena, c->server, "orders.csv", KW_SERVER_MOST_BODY, &bytes,
                                   &length, &hash, NULL);
    hash_text(digits, hash);
    kw_json_key_text(j, "orders_hash", s == KW_OK ? digits : NULL);
}

HANDLER(get_shop) {
    struct view *v = view_take(c->server);
    struct kw_json j = answer_json(c->response);
    put_shop(&j, v->shop);
    put_error(&j, "error", &v->error);
    put_kits(c, &j, v);
    put_drawings(c, &j);
    put_orders_hash(c, &j);
    put_runs(c, &j);
    char job[HASH_DIGITS + 1];
    kw_json_key_text(&j, "job", jobs_running(c->server->jobs, job) ? job : NULL);
    kw_json_key_count(&j, "version", view_version(c->server));
    kw_json_close(&j);
    view_drop(c->server, v);
}
