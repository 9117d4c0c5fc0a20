// A shop folder of its own for each test, copied from the demo, and a server asked without a
// socket.
#pragma once

#include "server/server.h"

#include <criterion/criterion.h>
#include <ftw.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct shop {
    char folder[256];
    struct kw_server *server;
    struct kw_response r;
    json_t *json; ///< of the last answer, NULL when it is none
};

static inline void copy_file(const char *from, const char *to) {
    struct kw_arena a = {0};
    char *bytes;
    size_t length;
    cr_assert_eq(kw_read_file(&a, from, 1 << 24, (struct kw_place){0}, &bytes, &length, NULL),
                 KW_OK, "%s", from);
    cr_assert_eq(kw_write_file(to, bytes, length, NULL), KW_OK, "%s", to);
    kw_arena_free(&a);
}

static inline void copy_folder(const char *from, const char *to, const char *ending) {
    struct kw_arena a = {0};
    const char **names;
    int count;
    kw_make_folder(to, NULL);
    kw_list_folder(&a, from, ending, &names, &count, NULL);
    for (int i = 0; i < count; i++)
        copy_file(kw_format(&a, "%s/%s", from, names[i]), kw_format(&a, "%s/%s", to, names[i]));
    kw_arena_free(&a);
}

static inline void open_shop(struct shop *s) {
    struct kw_error err = {0};
    char path[320];
    *s = (struct shop){0};
    snprintf(s->folder, sizeof s->folder, "/tmp/kw-server-XXXXXX");
    cr_assert(mkdtemp(s->folder));
    copy_folder("demo", s->folder, ".yaml");
    copy_folder("demo", s->folder, ".csv");
    snprintf(path, sizeof path, "%s/kits", s->folder);
    copy_folder("demo/kits", path, ".yaml");
    snprintf(path, sizeof path, "%s/drawings", s->folder);
    copy_folder("demo/drawings", path, ".dxf");
    copy_folder("demo/drawings", path, ".svg");
    struct kw_server_options o = {
        .folder = s->folder, .made_by = "test", .port = KW_SERVER_PORT, .no_limits = true};
    cr_assert_eq(kw_server_open(&o, &s->server, &err), KW_OK, "%s", err.text);
}

static inline void close_shop(struct shop *s) {
    json_decref(s->json);
    kw_response_free(&s->r);
    kw_server_close(s->server);
    kw_remove_folder(s->folder, NULL);
}

/// Sends a request as the page itself does; returns the status.
static inline int ask_as(struct shop *s, struct kw_request q) {
    json_decref(s->json);
    kw_response_free(&s->r);
    if (!q.host) q.host = "127.0.0.1:8437";
    kw_server_answer(s->server, &q, &s->r);
    const char *bytes = s->r.fixed ? s->r.fixed : s->r.body.s;
    size_t length = s->r.fixed ? s->r.fixed_length : s->r.body.length;
    s->json = bytes ? json_loadb(bytes, length, 0, NULL) : NULL;
    return s->r.status;
}

static inline int ask(struct shop *s, const char *method, const char *target, const char *body) {
    return ask_as(s, (struct kw_request){.method = method,
                                         .target = target,
                                         .token = kw_server_token(s->server),
                                         .body = body ? body : "",
                                         .length = body ? strlen(body) : 0});
}

/// The same with a JSON value, which is dropped.
static inline int ask_json(struct shop *s, const char *method, const char *target, json_t *body) {
    char *text = json_dumps(body, 0);
    int status = ask(s, method, target, text);
    free(text);
    json_decref(body);
    return status;
}

static inline const char *text_at(const json_t *o, const char *key) {
    return json_string_value(json_object_get(o, key));
}

static inline const char *shop_file(const struct shop *s, const char *name) {
    static char path[512];
    snprintf(path, sizeof path, "%s/%s", s->folder, name);
    return path;
}

/// Contents of a file of the folder, in a buffer that the next call takes.
static inline const char *file_text(const struct shop *s, const char *name) {
    static char text[1 << 16];
    FILE *f = fopen(shop_file(s, name), "rb");
    size_t n = f ? fread(text, 1, sizeof text - 1, f) : 0;
    if (f) fclose(f);
    text[n] = 0;
    return f ? text : NULL;
}
