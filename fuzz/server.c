// SPDX-License-Identifier: Apache-2.0
// Any request: a first line "METHOD TARGET", the rest its body. It is answered with a status of the
// few that there are, JSON is JSON, the kit file stays one that can be read, and nothing is written
// beside the shop folder.
#include "server/server.h"

#include "form/form.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static char parent[] = "/tmp/kw-fuzz-XXXXXX";
static char shop[64];

static void copy(const char *name) {
    struct kw_arena a = {0};
    char *bytes;
    size_t length;
    kw_assert(kw_read_file(&a, kw_format(&a, "cli/starter/%s", name), 1 << 20, (struct kw_place){0},
                           &bytes, &length, NULL) == KW_OK);
    kw_assert(kw_write_file(kw_format(&a, "%s/%s", shop, name), bytes, length, NULL) == KW_OK);
    kw_arena_free(&a);
}

static void remove_all(void) {
    kw_remove_folder(parent, NULL);
}

static struct kw_server *open_once(void) {
    static struct kw_server *server;
    if (server) return server;
    kw_assert(mkdtemp(parent));
    (void)atexit(remove_all);
    (void)snprintf(shop, sizeof shop, "%s/shop", parent);
    char kits[80];
    (void)snprintf(kits, sizeof kits, "%s/kits", shop);
    kw_assert(kw_make_folder(kits, NULL) == KW_OK);
    copy("shop.yaml");
    copy("orders.csv");
    copy("kits/planter.yaml");
    struct kw_server_options o = {.folder = shop, .port = KW_SERVER_PORT, .no_limits = true};
    kw_assert(kw_server_open(&o, &server, NULL) == KW_OK);
    return server;
}

static void check_answer(const struct kw_response *r) {
    static const int statuses[] = {200, 202, 304, 400, 403, 404, 405, 409, 413, 422};
    bool known = false;
    for (size_t i = 0; i < sizeof statuses / sizeof *statuses; i++)
        known = known || r->status == statuses[i];
    kw_assert(known && r->type);
    if (strcmp(r->type, "application/json") != 0 || r->fixed) return;
    json_t *j = json_loadb(r->body.s, r->body.length, 0, NULL);
    kw_assert(j);
    json_decref(j);
}

static void check_folder(void) {
    struct kw_arena a = {0};
    const char **names;
    const struct kw_node *root;
    int count;
    struct kw_error err = {0};
    kw_assert(kw_list_folder(&a, parent, "", &names, &count, NULL) == KW_OK && count == 1);
    kw_assert(kw_yaml_read(&a, kw_format(&a, "%s/kits/planter.yaml", shop), (struct kw_place){0},
                           &root, &err) == KW_OK);
    kw_arena_free(&a);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    struct kw_server *server = open_once();
    const uint8_t *line = memchr(data, '\n', size);
    size_t n = line ? (size_t)(line - data) : size;
    char *head = strndup((const char *)data, n), *blank = strchr(head, ' ');
    if (blank) *blank = 0;
    struct kw_request q = {.method = head,
                           .target = blank ? blank + 1 : "",
                           .host = "127.0.0.1:8437",
                           .token = kw_server_token(server),
                           .body = line ? (const char *)line + 1 : "",
                           .length = line ? size - n - 1 : 0};
    // Planning and quoting take seconds; what they read is fuzzed elsewhere.
    bool slow = strstr(q.target, "quote") || strncmp(q.target, "/api/runs", 9) == 0;
    struct kw_response r = {0};
    if (!slow) kw_server_answer(server, &q, &r);
    if (r.status) check_answer(&r);
    kw_response_free(&r);
    check_folder();
    free(head);
    return 0;
}
