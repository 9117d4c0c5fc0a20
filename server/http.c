// SPDX-License-Identifier: Apache-2.0
// The one file that knows of sockets: between libmicrohttpd and requests and answers as structs.
#include "server/inside.h"

#include <arpa/inet.h>
#include <errno.h>
#include <malloc.h>
#include <microhttpd.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define MOST_CONNECTIONS 64u
#define IDLE_SECONDS     60u
#define HEADER_MEMORY    (size_t)(32 * 1024) ///< a connection: refuses longer headers

/// One request while it comes in.
struct incoming {
    char *target;
    bool begun;
    size_t most;
    struct kw_text body;
    char peer[INET6_ADDRSTRLEN];
};

// The target as it was sent: decoding is target_read's alone, so that it is done once.
static void *note_target(void *user, const char *uri, struct MHD_Connection *connection) {
    (void)user, (void)connection;
    struct incoming *in = calloc(1, sizeof *in);
    if (in) in->target = strdup(uri);
    return in;
}

static size_t leave_escapes(void *user, struct MHD_Connection *connection, char *text) {
    (void)user, (void)connection;
    return strlen(text);
}

static void forget(void *user, struct MHD_Connection *connection, void **state,
                   enum MHD_RequestTerminationCode why) {
    (void)user, (void)connection, (void)why;
    struct incoming *in = *state;
    if (!in) return;
    free(in->target);
    kw_text_free(&in->body);
    free(in);
    *state = NULL;
}

static const char *header(struct MHD_Connection *c, const char *name) {
    return MHD_lookup_connection_value(c, MHD_HEADER_KIND, name);
}

static void name_peer(struct MHD_Connection *c, struct incoming *in) {
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(c, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    if (!info || !info->client_addr) return;
    const struct sockaddr *a = info->client_addr;
    const void *address =
        a->sa_family == AF_INET6
            ? (const void *)&((const struct sockaddr_in6 *)(const void *)a)->sin6_addr
            : (const void *)&((const struct sockaddr_in *)(const void *)a)->sin_addr;
    inet_ntop(a->sa_family, address, in->peer, sizeof in->peer);
}

static struct kw_request request_of(struct MHD_Connection *c, const char *method,
                                    const struct incoming *in) {
    return (struct kw_request){.method = method,
                               .target = in->target ? in->target : "",
                               .host = header(c, "Host"),
                               .origin = header(c, "Origin"),
                               .fetch_site = header(c, "Sec-Fetch-Site"),
                               .token = header(c, "X-Kitwright-Token"),
                               .authorization = header(c, "Authorization"),
                               .if_none_match = header(c, "If-None-Match"),
                               .encodings = header(c, "Accept-Encoding"),
                               .peer = in->peer,
                               .body = in->body.s ? in->body.s : "",
                               .length = in->body.length};
}

// ---------------------------------------------------------------------------------------- answers

// Nothing but what the program itself serves is loaded or run; elsewhere nothing at all.
static void add_policy(struct MHD_Response *m, const struct kw_response *r) {
    char text[512];
    if (r->page)
        snprintf(text, sizeof text,
                 "default-src 'none'; script-src 'self'; style-src 'self' 'nonce-%s'; "
                 "img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; "
                 "worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; "
                 "frame-ancestors 'none'",
                 r->style_key);
    else
        snprintf(text, sizeof text,
                 "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
                 "form-action 'none'; frame-ancestors 'none'; sandbox");
    MHD_add_response_header(m, "Content-Security-Policy", text);
}

static void add_headers(struct MHD_Response *m, const struct kw_response *r) {
    static const char *const always[][2] = {{"X-Content-Type-Options", "nosniff"},
                                            {"X-Frame-Options", "DENY"},
                                            {"Referrer-Policy", "no-referrer"},
                                            {"Cross-Origin-Resource-Policy", "same-origin"},
                                            {"Cross-Origin-Opener-Policy", "same-origin"}};
    for (size_t i = 0; i < sizeof always / sizeof *always; i++)
        MHD_add_response_header(m, always[i][0], always[i][1]);
    add_policy(m, r);
    MHD_add_response_header(m, "Content-Type", r->type);
    MHD_add_response_header(m, "Cache-Control",
                            r->asset    ? "public, max-age=31536000, immutable"
                            : r->tag[0] ? "no-cache"
                                        : "no-store");
    if (r->tag[0]) MHD_add_response_header(m, "ETag", r->tag);
    if (r->packed) MHD_add_response_header(m, "Content-Encoding", "gzip");
    if (r->asset) MHD_add_response_header(m, "Vary", "Accept-Encoding");
    if (r->download) MHD_add_response_header(m, "Content-Disposition", "attachment");
    if (r->ask_phrase)
        MHD_add_response_header(m, "WWW-Authenticate",
                                "Basic realm=\"Kitwright\", charset=\"UTF-8\"");
}

static enum MHD_Result send_answer(struct MHD_Connection *c, struct kw_response *r) {
    struct MHD_Response *m =
        r->fixed ? MHD_create_response_from_buffer(r->fixed_length, (void *)(uintptr_t)r->fixed,
                                                   MHD_RESPMEM_PERSISTENT)
                 : MHD_create_response_from_buffer(r->body.length, r->body.s,
                                                   r->body.s ? MHD_RESPMEM_MUST_FREE
                                                             : MHD_RESPMEM_PERSISTENT);
    if (!m) {
        kw_response_free(r);
        return MHD_NO;
    }
    if (!r->fixed) r->body = (struct kw_text){0}; // the library frees it
    add_headers(m, r);
    enum MHD_Result sent = MHD_queue_response(c, (unsigned)r->status, m);
    MHD_destroy_response(m);
    kw_response_free(r);
    return sent;
}

// --------------------------------------------------------------------------------------- requests

/// Headers are in: a request that will be refused is refused before its body is read.
static enum MHD_Result begin(struct kw_server *s, struct MHD_Connection *c, const char *method,
                             struct incoming *in) {
    struct kw_response r = {0};
    in->begun = true;
    name_peer(c, in);
    struct kw_request q = request_of(c, method, in);
    const char *length = header(c, "Content-Length");
    bool body = (length && strcmp(length, "0") != 0) || header(c, "Transfer-Encoding");
    if (!body) return MHD_YES; // admitted when it is answered
    if (!kw_server_admit(s, &q, &in->most, &r)) return send_answer(c, &r);
    if (length && strtoull(length, NULL, 10) > in->most) {
        answer_says(&r, 413, "expected a body of at most %zu bytes", in->most);
        return send_answer(c, &r);
    }
    return MHD_YES;
}

static enum MHD_Result on_request(void *user, struct MHD_Connection *c, const char *url,
                                  const char *method, const char *version, const char *data,
                                  size_t *size, void **state) {
    (void)url, (void)version;
    struct kw_server *s = user;
    struct incoming *in = *state;
    if (!in) return MHD_NO;
    if (!in->begun) return begin(s, c, method, in);
    if (*size > 0) { // what comes in pieces without saying how much may end nowhere
        if (in->body.length + *size > in->most) return MHD_NO;
        kw_text_addn(&in->body, data, *size);
        *size = 0;
        return MHD_YES;
    }
    struct kw_request q = request_of(c, method, in);
    struct kw_response r = {0};
    kw_server_answer(s, &q, &r);
    return send_answer(c, &r);
}

static bool address_of(const struct kw_server *s, struct sockaddr_storage *out) {
    struct sockaddr_in *four = (struct sockaddr_in *)out;
    struct sockaddr_in6 *six = (struct sockaddr_in6 *)out;
    *out = (struct sockaddr_storage){0};
    if (inet_pton(AF_INET, s->address, &four->sin_addr) == 1) {
        four->sin_family = AF_INET;
        four->sin_port = htons((uint16_t)s->port);
        return true;
    }
    if (inet_pton(AF_INET6, s->address, &six->sin6_addr) != 1) return false;
    six->sin6_family = AF_INET6;
    six->sin6_port = htons((uint16_t)s->port);
    return true;
}

enum kw_status kw_server_listen(struct kw_server *s, const struct kw_watch *watch,
                                void (*listening)(void *user, const char *address, int port),
                                void *user, struct kw_error *err) {
    struct sockaddr_storage address;
    // Threads come and go with connections: few pools of memory, given back when they are free.
    mallopt(M_ARENA_MAX, 2);
    mallopt(M_TRIM_THRESHOLD, 1 << 20);
    mallopt(M_MMAP_THRESHOLD, 1 << 18);
    if (!address_of(s, &address))
        return kw_fail(err, KW_USAGE, (struct kw_place){0},
                       "expected an address such as 192.168.1.20, got \"%.60s\"", s->address);
    unsigned flags = MHD_USE_INTERNAL_POLLING_THREAD | MHD_USE_THREAD_PER_CONNECTION | MHD_USE_POLL;
    if (address.ss_family == AF_INET6) flags |= MHD_USE_IPv6;
    struct MHD_Daemon *d = MHD_start_daemon(
        flags, (uint16_t)s->port, NULL, NULL, on_request, s, MHD_OPTION_SOCK_ADDR, &address,
        MHD_OPTION_CONNECTION_LIMIT, MOST_CONNECTIONS, MHD_OPTION_CONNECTION_TIMEOUT, IDLE_SECONDS,
        MHD_OPTION_CONNECTION_MEMORY_LIMIT, HEADER_MEMORY, MHD_OPTION_URI_LOG_CALLBACK, note_target,
        NULL, MHD_OPTION_UNESCAPE_CALLBACK, leave_escapes, NULL, MHD_OPTION_NOTIFY_COMPLETED,
        forget, NULL, MHD_OPTION_LISTENING_ADDRESS_REUSE, 1u, MHD_OPTION_END);
    if (!d)
        return kw_fail(err, KW_IO, (struct kw_place){0}, "can't listen on %s port %d: %s",
                       s->address, s->port, strerror(errno));
    const union MHD_DaemonInfo *info = MHD_get_daemon_info(d, MHD_DAEMON_INFO_BIND_PORT);
    if (info && info->port) s->port = info->port;
    if (listening) listening(user, s->address, s->port);
    while (!kw_watch_stopped(watch))
        nanosleep(&(struct timespec){.tv_nsec = 100000000}, NULL);
    MHD_stop_daemon(d);
    return KW_OK;
}
