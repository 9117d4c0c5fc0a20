// SPDX-License-Identifier: Apache-2.0
// The one table of routes, and the way of a request through it.
#include "server/inside.h"

#include <string.h>

/// A pattern's "*" stands for one segment, "**" at its end for one or more.
static const struct route {
    const char *method, *pattern;
    void (*handler)(struct call *c);
    size_t most; ///< bytes of body
    bool kept;   ///< the same answer as long as nothing in the folder changes
} routes[] = {
    {"GET", "/", get_page, 0, false},
    {"GET", "/assets/**", get_asset, 0, false},
    {"GET", "/api/shop", get_shop, 0, true},
    {"GET", "/api/kits/*", get_kit, 0, false},
    {"PUT", "/api/kits/*", put_kit, KW_SERVER_MOST_BODY, false},
    {"POST", "/api/kits", post_kit, KW_SERVER_MOST_BODY, false},
    {"POST", "/api/kits/*/look", post_look, KW_SERVER_MOST_BODY, false},
    {"POST", "/api/kits/*/set", post_set, KW_SERVER_MOST_BODY, false},
    {"POST", "/api/kits/*/signatures", post_signature, KW_SERVER_MOST_BODY, false},
    {"POST", "/api/kits/*/layers", post_layers, KW_SERVER_MOST_BODY, false},
    {"POST", "/api/kits/*/parts", post_part, KW_SERVER_MOST_BODY, false},
    {"GET", "/api/looks/*/*/form", get_form, 0, true},
    {"GET", "/api/looks/*/quote", get_look_quote, 0, false},
    {"GET", "/api/kits/*/quote", get_quote, 0, false},
    {"POST", "/api/runs", post_run, KW_SERVER_MOST_BODY, false},
    {"GET", "/api/jobs/*", get_job, 0, false},
    {"DELETE", "/api/jobs/*", delete_job, 0, false},
    {"GET", "/api/runs/*", get_run, 0, false},
    {"GET", "/api/runs/*/files/**", get_run_file, 0, false},
    {"GET", "/api/runs/*/sheets/*/torch", get_torch, 0, true},
    {"GET", "/api/runs/*/brake/*/*", get_brake, 0, true},
    {"GET", "/api/runs/*/brake/*/*/form", get_brake_form, 0, true},
    {"GET", "/api/looks/*/*/brake", get_look_brake, 0, true},
    {"GET", "/api/looks/*/*/brake/form", get_look_brake_form, 0, true},
    {"GET", "/api/drawings/*", get_drawing, 0, true},
    {"PUT", "/api/drawings/*", put_drawing, KW_SERVER_MOST_DRAWING, false},
    {"POST", "/api/drawings/*/look", post_drawing_look, KW_SERVER_MOST_DRAWING, false},
    {"GET", "/api/orders", get_orders, 0, true},
    {"PUT", "/api/orders", put_orders, KW_SERVER_MOST_BODY, false},
    {"POST", "/api/orders/look", post_orders_look, KW_SERVER_MOST_BODY, false},
    {"GET", "/api/monday", get_monday, 0, true},
    {"GET", "/api/schemas/*", get_schema, 0, false},
    {"GET", "/*", get_asset, 0, false},
};
enum { ROUTES = sizeof routes / sizeof *routes };

static size_t segment_length(const char *p) {
    return strcspn(p, "/");
}

static bool matches(const char *pattern, const struct target *t, struct call *c) {
    int i = 0;
    if (c) c->part_count = 0;
    for (const char *p = pattern + 1; *p; i++) {
        size_t n = segment_length(p);
        bool star = n == 1 && *p == '*', rest = n == 2 && memcmp(p, "**", 2) == 0;
        if (i >= t->count) return false;
        bool same = strlen(t->segments[i]) == n && memcmp(t->segments[i], p, n) == 0;
        if (!star && !rest && !same) return false;
        for (int k = i; c && (star || rest) && k < (rest ? t->count : i + 1); k++)
            c->parts[c->part_count++] = t->segments[k];
        if (rest) return true;
        p += n + (p[n] == '/');
    }
    return i == t->count;
}

static const struct route *find(const char *method, const struct target *t, struct call *c,
                                bool *path_known) {
    if (strcmp(method, "HEAD") == 0) method = "GET";
    *path_known = false;
    for (int i = 0; i < ROUTES; i++) {
        if (!matches(routes[i].pattern, t, c)) continue;
        *path_known = true;
        if (strcmp(routes[i].method, method) == 0) return &routes[i];
    }
    return NULL;
}

/// Who asks is looked at before what is asked for: to others all paths look alike.
static const struct route *admit(struct kw_server *s, const struct kw_request *q, struct call *c,
                                 struct kw_response *r) {
    const char *why = "";
    bool known;
    bool reads = strcmp(q->method, "GET") == 0 || strcmp(q->method, "HEAD") == 0;
    bool page = reads && (strcmp(q->target, "/") == 0 || strncmp(q->target, "/?", 2) == 0);
    if (!guard_admit(s, q, !reads, page, r)) return NULL;
    if (!target_read(&c->arena, q->target, &c->target, &why)) {
        answer_says(r, 400, "%s", why);
        return NULL;
    }
    const struct route *route = find(q->method, &c->target, c, &known);
    if (!route && known) answer_says(r, 405, "%s can't be done here", q->method);
    if (!route && !known) answer_says(r, 404, "nothing at this address");
    return route;
}

bool kw_server_admit(struct kw_server *s, const struct kw_request *q, size_t *most,
                     struct kw_response *r) {
    struct call c = {.server = s, .request = q, .response = r};
    const struct route *route = admit(s, q, &c, r);
    if (route) *most = route->most;
    kw_arena_free(&c.arena);
    return route != NULL;
}

/// The key is made before the answer: a change in between costs a second making, no stale answer.
static void answer_kept(struct call *c, const struct route *route) {
    uint64_t key = kept_key(c->server, c->request->target);
    if (kept_find(c->server, key, c->response)) return;
    route->handler(c);
    if (kept_key(c->server, c->request->target) == key) kept_keep(c->server, key, c->response);
}

void kw_server_answer(struct kw_server *s, const struct kw_request *q, struct kw_response *r) {
    struct call c = {.server = s, .request = q, .response = r};
    const struct route *route = admit(s, q, &c, r);
    if (route && q->length > route->most)
        answer_says(r, 413, "expected a body of at most %zu bytes", route->most);
    else if (route && route->kept)
        answer_kept(&c, route);
    else if (route)
        route->handler(&c);
    kw_assert(r->status != 0);
    kw_arena_free(&c.arena);
}
