// SPDX-License-Identifier: Apache-2.0
// Private to server.
#pragma once

#include "check/check.h"
#include "kit/kit.h"
#include "server/server.h"
#include "shop/shop.h"

#include <jansson.h>
#include <pthread.h>

#define MOST_SEGMENTS 12
#define MOST_QUERY    8
#define HASH_DIGITS   16

// ---------------------------------------------------------------------------- request (request.c)

/// A target taken apart and decoded. Segments hold no "/", no "\", no control characters, are
/// UTF-8, neither empty nor beginning with a dot.
struct target {
    const char *segments[MOST_SEGMENTS];
    int count;
    struct {
        const char *key, *value;
    } query[MOST_QUERY];
    int query_count;
};
/// False when it is none of ours: what is wrong in *why.
bool target_read(struct kw_arena *a, const char *text, struct target *out, const char **why);
const char *target_query(const struct target *t, const char *key); ///< NULL when absent

/// A body of JSON: an object, at most KW_SERVER_DEEPEST_JSON deep. NULL with a 4xx answer.
json_t *body_object(const struct kw_request *q, struct kw_response *r);
const char *body_text(const json_t *o, const char *key); ///< NULL: absent or no text

/// One request on its way through a handler.
struct call {
    struct kw_server *server;
    const struct kw_request *request;
    struct target target;
    const char *parts[MOST_SEGMENTS]; ///< what stood for the stars of the pattern
    int part_count;
    struct kw_arena arena; ///< freed when it has been answered
    struct kw_response *response;
};

// --------------------------------------------------------------------------- answers (answer.c)

/// {"error", "where"} with a status.
void answer_error(struct kw_response *r, int status, const struct kw_error *err);
/// What folder_write refused: 409 with the hash that the file has now where somebody was first.
void answer_refused(struct kw_response *r, const struct kw_error *err, uint64_t now);
void answer_says(struct kw_response *r, int status, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));
/// Starts a JSON answer of status 200 with an open object.
struct kw_json answer_json(struct kw_response *r);
/// key with text that may hold anything: bytes that are not UTF-8 become U+FFFD.
void put_text(struct kw_json *j, const char *key, const char *text);
void put_textn(struct kw_json *j, const char *key, const char *text, size_t length);
void put_truth(struct kw_json *j, const char *key, bool v);
void put_null(struct kw_json *j, const char *key);
void put_money(struct kw_json *j, const char *key, double amount);
/// key with {"text", "line", "column", "file"}, or null when there is no error.
void put_error(struct kw_json *j, const char *key, const struct kw_error *err);
void put_point(struct kw_json *j, const char *key, const double *v, int count, int decimals);
/// 16 hex digits of a hash.
void hash_text(char out[HASH_DIGITS + 1], uint64_t hash);
int status_of(const struct kw_error *err); ///< HTTP status for a failure

// --------------------------------------------------------------------------- folder (folder.c)

/// Path in the arena of a name relative to the shop folder, links followed, provided that it is
/// inside the folder; the last part of it need not exist. NULL with KW_USAGE when it leads out.
const char *folder_path(struct kw_arena *a, const struct kw_server *s, const char *relative,
                        struct kw_error *err);
/// Reads a file of the folder. KW_MISSING when there is none.
enum kw_status folder_read(struct kw_arena *a, const struct kw_server *s, const char *relative,
                           size_t most, char **bytes, size_t *length, uint64_t *hash,
                           struct kw_error *err);
/// Writes a file of the folder whole, beside it first, then renames it. `was` is the hash it must
/// have now (NULL: there must be none). KW_DUPLICATE with *now its hash when it has another: then
/// nothing is written.
enum kw_status folder_write(struct kw_server *s, const char *relative, const char *was,
                            const char *bytes, size_t length, uint64_t *now, struct kw_error *err);
/// Removes what servers that were killed had not finished writing.
void folder_tidy(const struct kw_server *s);
/// Of names, sizes, times of the files that looks and lists are made of; changes when any of them
/// does.
struct folder_stamp {
    uint64_t shop, kits, drawings, orders, runs;
};
struct folder_stamp folder_stamp(const struct kw_server *s);

// --------------------------------------------------------------------------- view (view.c)

/// The shop as read and kept: shared by those who look, never written to.
struct view {
    int users;
    struct kw_arena arena;
    struct folder_stamp stamp;
    struct kw_shop *shop; ///< NULL: can't be read, see error
    struct kw_error error;
};
/// Never NULL; view_drop when done.
struct view *view_take(struct kw_server *s);
void view_drop(struct kw_server *s, struct view *v);
long view_version(struct kw_server *s); ///< counts the changes seen in the folder

// --------------------------------------------------------------------------- looks (look*.c)

struct look_wish {
    const char *kit;  ///< name of the file without .yaml
    const char *text; ///< of the kit file
    size_t length;
    const char *size; ///< NULL: the first
    const char *with; ///< options, "a,b"; NULL: as they normally are
};
/// A kit as examined, kept for a while. Read-only but for `users`.
struct look {
    int users;
    uint64_t id;   ///< of all that it was made of
    uint64_t hash; ///< of the text
    long used;     ///< when last
    struct kw_arena arena;
    struct view *view;
    struct kw_kit *kit; ///< NULL: can't be read
    struct kw_error error;
    struct kw_examined *parts;
    int part_count;
    struct kw_findings findings;
    const char *file; ///< "kits/NAME.yaml"
    const char *name, *text;
    const char *size, *with; ///< as wished, or NULL
    size_t length;
    struct kw_text json; ///< the members of the answer that follow from the text
};
/// Looks, or finds the same look made before. KW_UNKNOWN with a sentence for a size or option that
/// the kit does not have is in look->error as all else that can't be read.
struct look *look_take(struct kw_server *s, const struct look_wish *wish);
struct look *look_find(struct kw_server *s, const char *digits); ///< by id; NULL
void look_drop(struct kw_server *s, struct look *look);
void looks_free(struct kw_server *s);
/// The look's kit once more into another arena, with another reading of the shop.
enum kw_status look_read_again(const struct kw_server *s, const struct look *look,
                               const struct kw_shop *shop, struct kw_arena *a, struct kw_kit **out,
                               struct kw_error *err);
/// The look that path and query of a call name, from the file; NULL: answered.
struct look *look_of_kit(struct call *c);
/// Drawings that a kit's text names must lie in the folder, links followed.
enum kw_status look_check_links(struct kw_arena *a, const struct kw_server *s,
                                const struct kw_node *node, struct kw_error *err);
/// Fills look->json.
void look_write(struct look *look);
/// Key "sizes" of a part: what can be touched on the picture.
void look_sizes(struct kw_json *j, struct kw_arena *scratch, const struct look *look,
                const struct kw_examined *what);
/// Answers the look as docs/api.md says. `error` may be NULL.
void look_answer(struct call *c, const struct look *look, bool written);
bool look_listed(const char *list, const char *name); ///< whether it stands in "a,b"
/// mm3 of the finished form: of a sheet part the exact one that its mesh has, of a stick by its
/// mass with square ends.
double look_volume(const struct kw_examined *what, double density);
/// Where a path stands in a tree; NULL when there is no such value. `path`: keys and numbers.
const struct kw_node *node_at(const struct kw_node *root, const json_t *path);
/// Path of `target` from the kit's root as a JSON list under `key`; nothing when it isn't in it.
void put_path(struct kw_json *j, const char *key, const struct kw_node *root,
              const struct kw_node *target);

// --------------------------------------------------------------------------- the server itself

struct looks {
    pthread_mutex_t lock;
    struct look **v;
    int count;
    long clock;
};

struct kw_server {
    struct kw_arena arena;
    char *root; ///< real path of the folder
    const char *made_by;
    char token[KW_SERVER_TOKEN_DIGITS + 1];
    const char *address, *passphrase;
    _Atomic int port; ///< known for sure once it is listened on
    bool no_limits, wide;
    pthread_mutex_t view_lock;
    struct view *view;
    long version;
    struct folder_stamp seen;
    pthread_mutex_t write_lock; ///< one change of the folder at a time
    struct looks looks;
    struct jobs *jobs;
    struct quotes *quotes;
    struct kept *kept;
    struct limits *limits;
};

// --------------------------------------------------------------------------- kept.c

struct kept *kept_make(void);
void kept_free(struct kept *k);
/// Of a target and the folder as it is now.
uint64_t kept_key(struct kw_server *s, const char *target);
bool kept_find(struct kw_server *s, uint64_t key, struct kw_response *r); ///< fills `r` when found
void kept_keep(struct kw_server *s, uint64_t key, const struct kw_response *r);

// --------------------------------------------------------------------------- guard (guard.c)

struct limits *limits_make(void);
void limits_free(struct limits *l);
/// Host, Origin, passphrase, token, rate. False: `r` is the answer.
bool guard_admit(struct kw_server *s, const struct kw_request *q, bool changes, bool page,
                 struct kw_response *r);
bool same_secret(const char *a, const char *b); ///< in a time that does not tell where they differ
void random_digits(char *out, int digits);      ///< hex, from the system's generator

// --------------------------------------------------------------------------- assets

struct asset {
    const char *name; ///< "index.html", "assets/index-4f.js"
    const char *from, *to;
    const char *packed, *packed_to; ///< by gzip (RFC 1952); empty where that saves little
};
extern const struct asset server_assets[]; ///< made by tools/embed; ended by a row without name

// --------------------------------------------------------------------------- handlers

#define HANDLER(name) void name(struct call *c)
HANDLER(get_page);
HANDLER(get_asset);
HANDLER(get_shop);
HANDLER(get_kit);
HANDLER(put_kit);
HANDLER(post_look);
HANDLER(post_set);
HANDLER(post_kit);
HANDLER(post_part);
HANDLER(post_signature);
HANDLER(post_layers);
HANDLER(get_form);
HANDLER(get_quote);
HANDLER(get_look_quote);
HANDLER(get_drawing);
HANDLER(post_drawing_look);
HANDLER(put_drawing);
HANDLER(get_orders);
HANDLER(put_orders);
HANDLER(post_orders_look);
HANDLER(get_monday);
HANDLER(post_run);
HANDLER(get_job);
HANDLER(delete_job);
HANDLER(get_run);
HANDLER(get_run_file);
HANDLER(get_torch);
HANDLER(get_brake);
HANDLER(get_brake_form);
HANDLER(get_look_brake);
HANDLER(get_look_brake_form);
HANDLER(get_schema);
