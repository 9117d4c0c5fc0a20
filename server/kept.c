// SPDX-License-Identifier: Apache-2.0
// Answers kept as long as nothing in the folder changes: many may look at the same week at once.
// An answer is known by its target and the stamps of all that the folder holds.
#include "server/planning.h"

#include <stdlib.h>
#include <string.h>

#define MOST_KEPT       256
#define MOST_KEPT_BYTES ((size_t)48 << 20)
#define MOST_ONE_BYTES  ((size_t)8 << 20)

struct answer {
    uint64_t key;
    const char *type;
    char *bytes; // NULL: a free row
    size_t length;
    long used;
};
struct kept {
    pthread_mutex_t lock;
    struct answer v[MOST_KEPT];
    size_t bytes;
    long clock;
};

struct kept *kept_make(void) {
    struct kept *k = calloc(1, sizeof *k);
    kw_assert(k);
    pthread_mutex_init(&k->lock, NULL);
    return k;
}

static void drop(struct kept *k, struct answer *a) {
    k->bytes -= a->length;
    free(a->bytes);
    *a = (struct answer){0};
}

void kept_free(struct kept *k) {
    if (!k) return;
    for (int i = 0; i < MOST_KEPT; i++)
        drop(k, &k->v[i]);
    pthread_mutex_destroy(&k->lock);
    free(k);
}

uint64_t kept_key(struct kw_server *s, const char *target) {
    struct folder_stamp stamp = folder_stamp(s);
    char job[HASH_DIGITS + 1] = "";
    int day = today();
    jobs_running(s->jobs, job);
    uint64_t h = kw_hash(KW_HASH_START, target, strlen(target) + 1);
    h = kw_hash(h, &stamp, sizeof stamp);
    return kw_hash(kw_hash(h, &day, sizeof day), job, strlen(job));
}

bool kept_find(struct kw_server *s, uint64_t key, struct kw_response *r) {
    struct kept *k = s->kept;
    bool found = false;
    pthread_mutex_lock(&k->lock);
    for (int i = 0; i < MOST_KEPT && !found; i++) {
        struct answer *a = &k->v[i];
        if (!a->bytes || a->key != key) continue;
        a->used = ++k->clock;
        r->status = 200;
        r->type = a->type;
        kw_text_addn(&r->body, a->bytes, a->length);
        found = true;
    }
    pthread_mutex_unlock(&k->lock);
    return found;
}

/// A free row with room for `length` bytes: what was used least lately goes.
static struct answer *make_room(struct kept *k, size_t length) {
    for (;;) {
        struct answer *free_row = NULL, *oldest = NULL;
        for (int i = 0; i < MOST_KEPT; i++) {
            struct answer *a = &k->v[i];
            if (!a->bytes)
                free_row = a;
            else if (!oldest || a->used < oldest->used)
                oldest = a;
        }
        if (free_row && (k->bytes + length <= MOST_KEPT_BYTES || !oldest)) return free_row;
        drop(k, oldest);
    }
}

void kept_keep(struct kw_server *s, uint64_t key, const struct kw_response *r) {
    struct kept *k = s->kept;
    if (r->status != 200 || r->fixed || r->body.length == 0 || r->body.length > MOST_ONE_BYTES)
        return;
    char *bytes = malloc(r->body.length);
    if (!bytes) return;
    memcpy(bytes, r->body.s, r->body.length);
    pthread_mutex_lock(&k->lock);
    struct answer *a = make_room(k, r->body.length);
    *a = (struct answer){key, r->type, bytes, r->body.length, ++k->clock};
    k->bytes += a->length;
    pthread_mutex_unlock(&k->lock);
}
