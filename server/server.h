// SPDX-License-Identifier: Apache-2.0
// server: the shop folder in a browser. docs/api.md says what is answered; routes.c has the one
// table of routes. A request is a struct, an answer is a struct: nothing here but http.c knows of
// sockets, so that tests and the fuzzer ask without one.
//
//   socket ─http.c─▶ request ─guard─▶ route ─handler─▶ response ─http.c─▶ socket
//
// The files of the folder stay the truth. What is kept in memory is what was read of them, with
// the stamps of the files that it came from (view.c), and looks at kits (look_cache.c).
#pragma once

#include "base/base.h"

#define KW_SERVER_PORT         8437
#define KW_SERVER_MOST_BODY    (4 * 1024 * 1024)
#define KW_SERVER_MOST_DRAWING (16 * 1024 * 1024)
#define KW_SERVER_MOST_TARGET  4096 ///< bytes of path and query
#define KW_SERVER_DEEPEST_JSON 32
#define KW_SERVER_LEAST_PHRASE 12 ///< characters of a passphrase
#define KW_SERVER_TOKEN_DIGITS 32

struct kw_server_options {
    const char *folder;     ///< of the shop
    const char *made_by;    ///< of run.json
    const char *address;    ///< NULL: 127.0.0.1; another needs a passphrase
    const char *passphrase; ///< NULL: none is asked for
    int port;               ///< 0: any free one
    bool no_limits;         ///< tests: as many requests a second as come
};

/// A request as it came. Texts that the request did not have are NULL.
struct kw_request {
    const char *method;        ///< "GET", "HEAD", "PUT", "POST", "DELETE"
    const char *target;        ///< path and query, percent-encoded
    const char *host;          ///< header Host
    const char *origin;        ///< header Origin
    const char *fetch_site;    ///< header Sec-Fetch-Site
    const char *token;         ///< header X-Kitwright-Token
    const char *authorization; ///< header Authorization
    const char *if_none_match; ///< header If-None-Match
    const char *encodings;     ///< header Accept-Encoding
    const char *peer;          ///< address of the other end, for limits
    const char *body;
    size_t length;
};

struct kw_response {
    int status;
    const char *type;    ///< of the body, a constant
    struct kw_text body; ///< kw_response_free
    const char *fixed;   ///< bytes that live as long as the program instead of `body`, or NULL
    size_t fixed_length;
    bool download;      ///< to be saved, not shown
    bool asset;         ///< may be kept by the browser for good: its name changes with its bytes
    bool packed;        ///< the bytes are packed by gzip
    bool page;          ///< the page itself: gets a policy that lets its own scripts run
    bool ask_phrase;    ///< 401
    char style_key[33]; ///< of the page's own style elements
    char tag[24];       ///< "\"hash\"", "" for none
};
void kw_response_free(struct kw_response *r);

struct kw_server;
/// The folder must hold a shop.yaml that exists; whether it can be read is told on the page.
/// KW_USAGE when the address is not this machine's own alone and there is no passphrase.
enum kw_status kw_server_open(const struct kw_server_options *options, struct kw_server **out,
                              struct kw_error *err);
/// Stops a job that runs, waits for it, frees.
void kw_server_close(struct kw_server *s);

/// What is wrong with the request before its body is read: 0 bytes of body are passed. True: go on,
/// with a body of at most *most bytes; false: `r` is the answer.
bool kw_server_admit(struct kw_server *s, const struct kw_request *q, size_t *most,
                     struct kw_response *r);
/// Admits and answers. Called from many threads at a time.
void kw_server_answer(struct kw_server *s, const struct kw_request *q, struct kw_response *r);

const char *kw_server_token(const struct kw_server *s);

/// Listens, calls `listening` once with the port and answers until watch->stopped. KW_IO when the
/// address can't be listened on.
enum kw_status kw_server_listen(struct kw_server *s, const struct kw_watch *watch,
                                void (*listening)(void *user, const char *address, int port),
                                void *user, struct kw_error *err);
