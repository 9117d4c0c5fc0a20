// SPDX-License-Identifier: Apache-2.0
// A server for one shop folder: what it holds, from start to end.
#include "server/planning.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static enum kw_status check_options(const struct kw_server_options *o, char *root,
                                    struct kw_error *err) {
    struct stat st;
    struct kw_place at = {.file = o->folder};
    bool wide = o->address && strcmp(o->address, "127.0.0.1") != 0;
    if (wide && !o->passphrase)
        return kw_fail(err, KW_USAGE, (struct kw_place){0},
                       "listening on %s lets other machines in: a passphrase is needed",
                       o->address);
    if (o->passphrase && strlen(o->passphrase) < KW_SERVER_LEAST_PHRASE)
        return kw_fail(err, KW_USAGE, (struct kw_place){0},
                       "the passphrase: expected %d characters or more", KW_SERVER_LEAST_PHRASE);
    if (!realpath(o->folder, root) || stat(root, &st) != 0 || !S_ISDIR(st.st_mode))
        return kw_fail(err, KW_MISSING, at, "no such folder");
    return KW_OK;
}

enum kw_status kw_server_open(const struct kw_server_options *options, struct kw_server **out,
                              struct kw_error *err) {
    char root[PATH_MAX];
    enum kw_status status = check_options(options, root, err);
    if (status != KW_OK) return status;
    struct kw_server *s = calloc(1, sizeof *s);
    kw_assert(s);
    s->root = kw_copy_text(&s->arena, root, strlen(root));
    const char *made_by = options->made_by ? options->made_by : "kitwright";
    const char *address = options->address ? options->address : "127.0.0.1";
    s->made_by = kw_copy_text(&s->arena, made_by, strlen(made_by));
    s->address = kw_copy_text(&s->arena, address, strlen(address));
    s->wide = strcmp(address, "127.0.0.1") != 0;
    if (options->passphrase)
        s->passphrase = kw_copy_text(&s->arena, options->passphrase, strlen(options->passphrase));
    s->port = options->port;
    s->no_limits = options->no_limits;
    random_digits(s->token, KW_SERVER_TOKEN_DIGITS);
    pthread_mutex_init(&s->view_lock, NULL);
    pthread_mutex_init(&s->write_lock, NULL);
    pthread_mutex_init(&s->looks.lock, NULL);
    s->limits = limits_make();
    s->jobs = jobs_make(s);
    s->quotes = quotes_make();
    s->kept = kept_make();
    if (folder_read(&s->arena, s, "shop.yaml", KW_YAML_MOST_BYTES, &(char *){0}, &(size_t){0},
                    &(uint64_t){0}, err) != KW_OK)
        status = err ? err->status : KW_MISSING;
    if (status != KW_OK) {
        kw_server_close(s);
        return status;
    }
    folder_tidy(s);
    *out = s;
    return KW_OK;
}

void kw_server_close(struct kw_server *s) {
    if (!s) return;
    jobs_free(s->jobs);
    quotes_free(s->quotes);
    kept_free(s->kept);
    looks_free(s);
    if (s->view) view_drop(s, s->view);
    limits_free(s->limits);
    pthread_mutex_destroy(&s->view_lock);
    pthread_mutex_destroy(&s->write_lock);
    pthread_mutex_destroy(&s->looks.lock);
    kw_arena_free(&s->arena);
    free(s);
}

const char *kw_server_token(const struct kw_server *s) {
    return s->token;
}
