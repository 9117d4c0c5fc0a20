// SPDX-License-Identifier: Apache-2.0
// Looks at a kit: read, examined, and kept while they may be wanted again. A look is known by the
// hash of all that it was made of, so that the same text is never examined twice and a changed shop
// file is never missed.
#include "server/inside.h"

#include <stdlib.h>
#include <string.h>

#define MOST_LOOKS       24
#define MOST_LOOKS_BYTES ((size_t)96 * 1024 * 1024)

// ----------------------------------------------------------------------------------------- making

enum kw_status look_check_links(struct kw_arena *a, const struct kw_server *s,
                                const struct kw_node *node, struct kw_error *err) {
    bool drawing = node->key && node->kind == KW_SCALAR &&
                   (strcmp(node->key, "flat") == 0 || strcmp(node->key, "ornament") == 0);
    struct kw_error why = {0};
    if (drawing && !folder_path(a, s, node->text, &why) && why.status == KW_USAGE)
        return kw_fail(err, KW_FORMAT, node->at, "%s", why.text);
    enum kw_status status = KW_OK;
    for (int i = 0; i < node->count && status == KW_OK; i++)
        status = look_check_links(a, s, &node->items[i], err);
    return status;
}

/// Where and with what a kit is read.
struct reading {
    struct kw_arena *arena;
    const struct kw_server *server;
    const struct kw_shop *shop;
    const struct look *look;
    struct kw_kit *kit;
    struct kw_error *err;
};

static enum kw_status parse(struct reading *r, const struct kw_kit_choice *choice) {
    return kw_kit_parse(r->arena, r->shop, r->server->root, r->look->file, r->look->text,
                        r->look->length, choice, &r->kit, r->err);
}

bool look_listed(const char *list, const char *name) {
    size_t n = strlen(name);
    for (const char *p = list; *p; p += strcspn(p, ",") + (p[strcspn(p, ",")] == ','))
        if (strcspn(p, ",") == n && strncmp(p, name, n) == 0) return true;
    return false;
}

/// Once more with the options that are wanted; which ones there are is known from the first time.
static enum kw_status parse_with(struct reading *r) {
    struct kw_items options = r->kit->options;
    const char **in = KW_NEW_ARRAY(r->arena, const char *, options.count + 1);
    const char **out = KW_NEW_ARRAY(r->arena, const char *, options.count + 1);
    struct kw_kit_choice c = {.size = r->look->size, .with = in, .without = out};
    for (int i = 0; i < options.count; i++) {
        const struct kw_kit_option *o = KW_ITEM(struct kw_kit_option, options, i);
        if (look_listed(r->look->with, o->name))
            in[c.with_count++] = o->name;
        else
            out[c.without_count++] = o->name;
    }
    return parse(r, &c);
}

static enum kw_status read_kit(struct reading *r) {
    struct kw_kit_choice sized = {.size = r->look->size};
    enum kw_status status = parse(r, r->look->size ? &sized : NULL);
    return status == KW_OK && r->look->with ? parse_with(r) : status;
}

enum kw_status look_read_again(const struct kw_server *s, const struct look *look,
                               const struct kw_shop *shop, struct kw_arena *a, struct kw_kit **out,
                               struct kw_error *err) {
    struct reading r = {.arena = a, .server = s, .shop = shop, .look = look, .err = err};
    enum kw_status status = read_kit(&r);
    *out = r.kit;
    return status;
}

static void examine(struct look *look, const struct kw_server *s) {
    struct kw_arena *a = &look->arena;
    const struct kw_node *root;
    enum kw_status status =
        kw_yaml_parse(a, look->file, look->text, look->length, &root, &look->error);
    if (status == KW_OK) status = look_check_links(&look->arena, s, root, &look->error);
    if (status == KW_OK && !look->view->shop) {
        look->error = look->view->error;
        if (look->error.at.file) look->error.at.file = look->error.file_name;
        status = look->error.status;
    }
    struct kw_kit *kit = NULL;
    if (status == KW_OK) status = look_read_again(s, look, look->view->shop, a, &kit, &look->error);
    if (status != KW_OK) return;
    look->kit = kit;
    kw_check_kit_look(a, look->view->shop, look->kit, &look->findings, &look->parts,
                      &look->part_count);
    kw_findings_sort(&look->findings);
}

static uint64_t hash_words(uint64_t h, const char *s) {
    return s ? kw_hash(h, s, strlen(s) + 1) : kw_hash(h, "\1", 1);
}

static uint64_t id_of(const struct folder_stamp *stamp, const struct look_wish *wish) {
    uint64_t h = kw_hash(KW_HASH_START, &stamp->shop, sizeof stamp->shop);
    h = kw_hash(h, &stamp->drawings, sizeof stamp->drawings);
    h = hash_words(hash_words(hash_words(h, wish->kit), wish->size), wish->with);
    return kw_hash(h, wish->text, wish->length);
}

static struct look *make(struct kw_server *s, struct view *view, const struct look_wish *wish,
                         uint64_t id) {
    struct look *look = calloc(1, sizeof *look);
    kw_assert(look);
    look->view = view;
    look->id = id;
    look->hash = kw_hash(KW_HASH_START, wish->text, wish->length);
    look->users = 1;
    look->text = kw_copy_text(&look->arena, wish->text, wish->length);
    look->length = wish->length;
    look->name = kw_copy_text(&look->arena, wish->kit, strlen(wish->kit));
    if (wish->size) look->size = kw_copy_text(&look->arena, wish->size, strlen(wish->size));
    if (wish->with) look->with = kw_copy_text(&look->arena, wish->with, strlen(wish->with));
    look->file = kw_format(&look->arena, "kits/%s.yaml", wish->kit);
    look->findings.arena = &look->arena;
    examine(look, s);
    look_write(look);
    return look;
}

// ----------------------------------------------------------------------------------------- keeping

static void free_look(struct kw_server *s, struct look *look) {
    view_drop(s, look->view);
    kw_text_free(&look->json);
    kw_arena_free(&look->arena);
    free(look);
}

static size_t weight(const struct look *look) {
    return look->arena.total + look->json.length;
}

/// Takes out what was used least lately while there is too much. Those taken out that nobody holds
/// are put into `gone`; returns how many.
static int make_room(struct looks *all, struct look **gone) {
    int count = 0;
    for (;;) {
        size_t bytes = 0;
        int oldest = 0;
        for (int i = 0; i < all->count; i++) {
            kw_assert(all->v[i]);
            bytes += weight(all->v[i]);
            if (all->v[i]->used < all->v[oldest]->used) oldest = i;
        }
        if (all->count < MOST_LOOKS && (bytes <= MOST_LOOKS_BYTES || all->count <= 1)) return count;
        struct look *out = all->v[oldest];
        kw_assert(out);
        all->v[oldest] = all->v[--all->count];
        if (--out->users == 0) gone[count++] = out;
    }
}

static struct look *find(struct looks *all, uint64_t id) {
    for (int i = 0; i < all->count; i++) {
        struct look *l = all->v[i];
        if (!l || l->id != id) continue;
        l->users++;
        l->used = ++all->clock;
        return l;
    }
    return NULL;
}

/// Adds it, or drops it for a twin that another thread made at the same time.
static struct look *keep(struct kw_server *s, struct look *fresh) {
    struct look *gone[MOST_LOOKS + 1];
    int count = 0;
    pthread_mutex_lock(&s->looks.lock);
    struct look *twin = find(&s->looks, fresh->id);
    if (!twin) {
        count = make_room(&s->looks, gone);
        fresh->users++;
        fresh->used = ++s->looks.clock;
        s->looks.v[s->looks.count++] = fresh;
    }
    pthread_mutex_unlock(&s->looks.lock);
    if (twin) gone[count++] = fresh;
    for (int i = 0; i < count; i++)
        free_look(s, gone[i]);
    return twin ? twin : fresh;
}

struct look *look_take(struct kw_server *s, const struct look_wish *wish) {
    struct view *view = view_take(s);
    struct folder_stamp stamp = folder_stamp(s);
    stamp.shop = view->stamp.shop;
    uint64_t id = id_of(&stamp, wish);
    pthread_mutex_lock(&s->looks.lock);
    if (!s->looks.v) s->looks.v = calloc(MOST_LOOKS + 1, sizeof *s->looks.v);
    kw_assert(s->looks.v);
    struct look *have = find(&s->looks, id);
    pthread_mutex_unlock(&s->looks.lock);
    if (!have) return keep(s, make(s, view, wish, id));
    view_drop(s, view);
    return have;
}

struct look *look_find(struct kw_server *s, const char *digits) {
    char text[HASH_DIGITS + 1];
    struct look *found = NULL;
    pthread_mutex_lock(&s->looks.lock);
    for (int i = 0; i < s->looks.count && !found; i++) {
        hash_text(text, s->looks.v[i]->id);
        if (strcmp(text, digits) == 0) found = s->looks.v[i];
    }
    if (found) {
        found->users++;
        found->used = ++s->looks.clock;
    }
    pthread_mutex_unlock(&s->looks.lock);
    return found;
}

void look_drop(struct kw_server *s, struct look *look) {
    pthread_mutex_lock(&s->looks.lock);
    bool last = --look->users == 0;
    pthread_mutex_unlock(&s->looks.lock);
    if (last) free_look(s, look);
}

void looks_free(struct kw_server *s) {
    for (int i = 0; i < s->looks.count; i++)
        if (--s->looks.v[i]->users == 0) free_look(s, s->looks.v[i]);
    free(s->looks.v);
    s->looks.v = NULL;
    s->looks.count = 0;
}
