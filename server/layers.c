// SPDX-License-Identifier: Apache-2.0
// Roles of a drawing's layers as the page tells them: {"PROFILE": "cut", "FOLD": "bend up"}.
#include "server/change.h"

#include <string.h>

static const struct role {
    const char *word, *key;
    size_t offset;
} roles[] = {{"cut", "cut", offsetof(struct kw_layers, cut)},
             {"bend up", "bend_up", offsetof(struct kw_layers, bend_up)},
             {"bend down", "bend_down", offsetof(struct kw_layers, bend_down)},
             {"mark", "mark", offsetof(struct kw_layers, mark)},
             {"ignore", "ignore", offsetof(struct kw_layers, ignore)}};
enum { ROLES = sizeof roles / sizeof *roles };

static bool plain_layer(const char *name) {
    size_t n = strlen(name);
    for (size_t i = 0; i < n; i++)
        if ((unsigned char)name[i] < ' ' || name[i] == 0x7f) return false;
    return n > 0 && n <= 100;
}

static const struct role *role_of(const char *name, const json_t *word, struct kw_error *err) {
    struct kw_place nowhere = {0};
    const char *said = json_string_value(word);
    if (!plain_layer(name)) {
        kw_fail(err, KW_FORMAT, nowhere, "layers: expected names of 1 to 100 bytes in one line");
        return NULL;
    }
    for (int i = 0; said && i < ROLES; i++)
        if (strcmp(said, roles[i].word) == 0) return &roles[i];
    kw_fail(err, KW_UNKNOWN, nowhere,
            "layers: expected cut, bend up, bend down, mark or ignore for \"%.*s\"",
            KW_SHOWN(name));
    return NULL;
}

bool layers_of(struct kw_arena *a, const json_t *said, struct kw_layers *out,
               struct kw_error *err) {
    const char *name, **v[ROLES] = {0};
    int count[ROLES] = {0};
    json_t *word;
    *out = (struct kw_layers){0};
    json_object_foreach((json_t *)said, name, word) {
        const struct role *role = role_of(name, word, err);
        if (!role) return false;
        KW_PUSH(a, v[role - roles], count[role - roles]) = kw_copy_text(a, name, strlen(name));
    }
    for (int i = 0; i < ROLES; i++)
        *(struct kw_items *)((char *)out + roles[i].offset) = (struct kw_items){v[i], count[i]};
    return true;
}

const char *layers_flow(struct kw_arena *a, const json_t *said, struct kw_error *err) {
    struct kw_layers layers;
    if (!layers_of(a, said, &layers, err)) return NULL;
    const char *flow = "";
    for (int i = 0; i < ROLES; i++) {
        const struct kw_items *list = (struct kw_items *)((char *)&layers + roles[i].offset);
        const char *names = "";
        for (int k = 0; k < list->count; k++)
            names = kw_format(a, "%s%s%s", names, k ? ", " : "",
                              splice_word(a, *KW_ITEM(const char *, *list, k)));
        if (list->count > 1) names = kw_format(a, "[%s]", names);
        if (list->count > 0)
            flow = kw_format(a, "%s%s%s: %s", flow, *flow ? ", " : "", roles[i].key, names);
    }
    return *flow ? kw_format(a, "{ %s }", flow) : "{}";
}

HANDLER(post_layers) {
    json_t *body = body_object(c->request, c->response);
    if (!body) return;
    struct look_wish wish = read_wish(c, body);
    struct kw_text out = {0};
    struct kw_error err = {0};
    const json_t *said = json_object_get(body, "layers");
    const char *part = body_text(body, "part"), *was, *flow = NULL;
    if (!part || !json_is_object(said)) {
        answer_says(c->response, 400, "expected \"part\" and \"layers\"");
    } else if ((flow = layers_flow(&c->arena, said, &err)) == NULL) {
        answer_error(c->response, 400, &err);
    } else if (begin_change(c, body, &wish, &was)) {
        json_t *path = json_pack("[ss]", "parts", part);
        enum kw_status s = splice_key(&c->arena, kit_file(c, wish.kit), wish.text, wish.length,
                                      path, "layers", flow, &out, &err);
        json_decref(path);
        end_change(c, &wish, was, s, &out, &err);
    }
    kw_text_free(&out);
    json_decref(body);
}
