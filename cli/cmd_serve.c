// SPDX-License-Identifier: Apache-2.0
// serve: the shop folder in a browser.
#include "cli.h"
#include "server/server.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/// The first line of a file that holds nothing else: a passphrase on the command line would stand
/// in the list of processes.
static enum kw_status read_phrase(struct kw_arena *a, const char *path, const char **out,
                                  struct kw_error *err) {
    char *bytes;
    size_t length;
    enum kw_status s = kw_read_file(a, path, 4096, (struct kw_place){0}, &bytes, &length, err);
    if (s != KW_OK) return s;
    bytes[strcspn(bytes, "\r\n")] = 0;
    *out = bytes;
    return KW_OK;
}

static void say_address(void *user, const char *address, int port) {
    const struct cli_args *args = user;
    bool wide = args->listen != NULL;
    if (args->json) {
        printf("{\"address\": \"http://%s:%d/\"}\n", address, port);
    } else {
        printf("http://%s:%d/  (Ctrl-C stops)\n", address, port);
        if (wide)
            puts("Other machines can reach this one now. Whoever has the passphrase can see and\n"
                 "change the shop's files. It crosses the network unciphered: use a network that "
                 "is\nyours alone, and a passphrase that you use for nothing else.");
    }
    fflush(stdout);
}

int cmd_serve(const struct cli_args *args) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct kw_server_options o = {.folder = cli_folder(args, 0),
                                  .made_by = KW_MADE_BY,
                                  .port = KW_SERVER_PORT,
                                  .address = args->listen,
                                  .no_limits = getenv("KITWRIGHT_TEST_NO_LIMITS") != NULL};
    if (args->port) {
        char *end;
        long port = strtol(args->port, &end, 10);
        if (*end || end == args->port || port < 0 || port > 65535)
            return cli_usage("--port: expected 0 to 65535, got \"%s\"", args->port);
        o.port = (int)port;
    }
    struct kw_server *s = NULL;
    enum kw_status status = KW_OK;
    if (args->passphrase) status = read_phrase(&a, args->passphrase, &o.passphrase, &err);
    if (status == KW_OK) status = kw_server_open(&o, &s, &err);
    struct cli_args shown = *args;
    if (status == KW_OK) status = kw_server_listen(s, args->watch, say_address, &shown, &err);
    kw_server_close(s);
    kw_arena_free(&a);
    return status == KW_OK ? 0 : cli_fail(&err);
}
