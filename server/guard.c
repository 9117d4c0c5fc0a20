// SPDX-License-Identifier: Apache-2.0
// Closed by default. A page from elsewhere that a person has open may send requests to this
// address: it is kept out by Host (a name that was made to lead here), Origin and Sec-Fetch-Site,
// and by the token, which only the page itself can read. Every other machine is kept out by
// listening on 127.0.0.1 alone, or by the passphrase.
#include "server/inside.h"

#include <arpa/inet.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/random.h>
#include <time.h>
#include <unistd.h>

// A second's worth is spent at once at most twice over.
#define READS_A_SECOND   2000.0
#define CHANGES_A_SECOND 100.0
#define GUESSES_A_SECOND 0.1 // of the passphrase, six at once
#define MOST_GUESSES     6.0
#define PEERS            64

struct peer {
    char name[48];
    double reads, changes, guesses; // left
    double at;                      // when that was
};
struct limits {
    pthread_mutex_t lock;
    struct peer peers[PEERS];
};

struct limits *limits_make(void) {
    struct limits *l = calloc(1, sizeof *l);
    kw_assert(l);
    pthread_mutex_init(&l->lock, NULL);
    return l;
}

void limits_free(struct limits *l) {
    if (!l) return;
    pthread_mutex_destroy(&l->lock);
    free(l);
}

void random_digits(char *out, int digits) {
    unsigned char bytes[64] = {0};
    kw_assert(digits > 0 && digits <= 128);
    size_t want = (size_t)(digits + 1) / 2, got = 0;
    while (got < want) {
        ssize_t n = getrandom(bytes + got, want - got, 0);
        kw_assert(n > 0 || errno == EINTR);
        if (n > 0) got += (size_t)n;
    }
    for (int i = 0; i < digits; i++)
        out[i] = "0123456789abcdef"[bytes[i / 2] >> (i % 2 ? 0 : 4) & 15];
    out[digits] = 0;
}

bool same_secret(const char *a, const char *b) {
    size_t n = strlen(a), m = strlen(b);
    unsigned char differ = n != m;
    for (size_t i = 0; i < m; i++)
        differ |= (unsigned char)(b[i] ^ (n > 0 ? a[i % n] : 1));
    return differ == 0;
}

static double seconds(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

/// The row of a peer; the one that was heard of least lately makes room for a new one.
static struct peer *peer_of(struct limits *l, const char *name, double now) {
    struct peer *oldest = &l->peers[0];
    for (int i = 0; i < PEERS; i++) {
        struct peer *p = &l->peers[i];
        if (p->name[0] && strcmp(p->name, name) == 0) {
            double gone = now - p->at;
            p->at = now;
            p->reads = fmin(2 * READS_A_SECOND, p->reads + gone * READS_A_SECOND);
            p->changes = fmin(2 * CHANGES_A_SECOND, p->changes + gone * CHANGES_A_SECOND);
            p->guesses = fmin(MOST_GUESSES, p->guesses + gone * GUESSES_A_SECOND);
            return p;
        }
        if (p->at < oldest->at) oldest = p;
    }
    *oldest = (struct peer){.reads = 2 * READS_A_SECOND,
                            .changes = 2 * CHANGES_A_SECOND,
                            .guesses = MOST_GUESSES,
                            .at = now};
    snprintf(oldest->name, sizeof oldest->name, "%s", name);
    return oldest;
}

enum spend { SPEND_READ, SPEND_CHANGE, SPEND_GUESS, ANY_GUESS_LEFT };
static bool spend(struct kw_server *s, const char *peer, enum spend what) {
    if (s->no_limits && what < SPEND_GUESS) return true;
    pthread_mutex_lock(&s->limits->lock);
    struct peer *p = peer_of(s->limits, peer ? peer : "", seconds());
    double *left = what == SPEND_READ     ? &p->reads
                   : what == SPEND_CHANGE ? &p->changes
                                          : &p->guesses;
    bool enough = *left >= 1;
    if (enough && what != ANY_GUESS_LEFT) *left -= 1;
    pthread_mutex_unlock(&s->limits->lock);
    return enough;
}

// ------------------------------------------------------------------------------------ host, origin

/// "127.0.0.1:8437" without the port; false when there is another port.
static bool host_name(const struct kw_server *s, const char *host, char *name, size_t size) {
    const char *colon = strrchr(host, ':'), *bracket = strrchr(host, ']');
    if (colon && bracket && colon < bracket) colon = NULL;
    size_t n = colon ? (size_t)(colon - host) : strlen(host);
    char port[16];
    snprintf(port, sizeof port, "%d", s->port);
    bool same = colon ? strcmp(colon + 1, port) == 0 : s->port == 80;
    if (n == 0 || n >= size || !same) return false;
    memcpy(name, host, n);
    name[n] = 0;
    return true;
}

static bool is_own_name(const char *name) {
    char own[128];
    if (gethostname(own, sizeof own) != 0) return false;
    own[sizeof own - 1] = 0;
    size_t n = strlen(own);
    return strcasecmp(name, own) == 0 ||
           (strncasecmp(name, own, n) == 0 && strcasecmp(name + n, ".local") == 0);
}

/// Names that can't be made to lead here by somebody else: addresses themselves, localhost, and
/// where others may come in this machine's own name.
static bool host_is_ours(const struct kw_server *s, const char *host) {
    char name[256];
    unsigned char bytes[16];
    if (!host || !host_name(s, host, name, sizeof name)) return false;
    if (strcasecmp(name, "localhost") == 0 || strcmp(name, "127.0.0.1") == 0) return true;
    if (!s->wide) return strcmp(name, s->address) == 0;
    size_t n = strlen(name);
    if (name[0] == '[' && n > 2 && name[n - 1] == ']') {
        name[n - 1] = 0;
        return inet_pton(AF_INET6, name + 1, bytes) == 1;
    }
    return inet_pton(AF_INET, name, bytes) == 1 || is_own_name(name);
}

static bool origin_is_ours(const struct kw_request *q) {
    if (!q->origin) return true;
    return strncmp(q->origin, "http://", 7) == 0 && q->host &&
           strcasecmp(q->origin + 7, q->host) == 0;
}

// ------------------------------------------------------------------------------------- passphrase

static int base64_value(char c) {
    static const char set[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    const char *at = c ? strchr(set, c) : NULL;
    return at ? (int)(at - set) : -1;
}

/// The password of "Basic dXNlcjpwYXNz" (RFC 7617); false when it is none.
static bool basic_password(const char *header, char *out, size_t size) {
    if (strncasecmp(header, "Basic ", 6) != 0) return false;
    char both[512];
    size_t n = 0;
    unsigned bits = 0;
    int have = 0;
    for (const char *p = header + 6; *p && *p != '='; p++) {
        int v = base64_value(*p);
        if (v < 0 || n + 1 >= sizeof both) return false;
        bits = (bits << 6 | (unsigned)v) & 0xffffff;
        have += 6;
        if (have >= 8) {
            have -= 8;
            both[n++] = (char)(bits >> have & 0xff);
        }
    }
    both[n] = 0;
    const char *colon = memchr(both, ':', n);
    if (!colon || strlen(both) != n || strlen(colon + 1) >= size) return false;
    memcpy(out, colon + 1, strlen(colon + 1) + 1);
    return true;
}

static bool knows_phrase(struct kw_server *s, const struct kw_request *q, struct kw_response *r) {
    char phrase[512];
    if (!s->passphrase) return true;
    if (!spend(s, q->peer, ANY_GUESS_LEFT)) {
        answer_says(r, 429, "too many wrong passphrases, wait a minute");
        return false;
    }
    if (q->authorization && basic_password(q->authorization, phrase, sizeof phrase) &&
        same_secret(s->passphrase, phrase))
        return true;
    if (q->authorization) spend(s, q->peer, SPEND_GUESS);
    answer_says(r, 401, "the passphrase is needed");
    r->ask_phrase = true;
    return false;
}

bool guard_admit(struct kw_server *s, const struct kw_request *q, bool changes, bool page,
                 struct kw_response *r) {
    if (!host_is_ours(s, q->host)) {
        answer_says(r, 403, "this address is not answered under that name");
        return false;
    }
    bool foreign = q->fetch_site && strcmp(q->fetch_site, "same-origin") != 0 &&
                   strcmp(q->fetch_site, "none") != 0;
    if (!origin_is_ours(q) || (foreign && !page)) {
        answer_says(r, 403, "a request from another page");
        return false;
    }
    if (!spend(s, q->peer, changes ? SPEND_CHANGE : SPEND_READ)) {
        answer_says(r, 429, "too many requests at once");
        return false;
    }
    if (!knows_phrase(s, q, r)) return false;
    if (changes && (!q->token || !same_secret(s->token, q->token))) {
        answer_says(r, 403, "the token of this start is missing: load the page again");
        return false;
    }
    return true;
}
