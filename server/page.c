// SPDX-License-Identifier: Apache-2.0
// The built page, from inside the program. tools/embed makes the list of its files.
#include "server/inside.h"

#include <string.h>

static const struct asset *asset_named(const char *name) {
    for (const struct asset *a = server_assets; a->name; a++)
        if (strcmp(a->name, name) == 0) return a;
    return NULL;
}

static const char *type_of(const char *name) {
    static const char *const types[][2] = {{".html", "text/html; charset=utf-8"},
                                           {".js", "text/javascript; charset=utf-8"},
                                           {".css", "text/css; charset=utf-8"},
                                           {".json", "application/json"},
                                           {".svg", "image/svg+xml"},
                                           {".png", "image/png"},
                                           {".woff2", "font/woff2"},
                                           {".txt", "text/plain; charset=utf-8"},
                                           {".webmanifest", "application/manifest+json"}};
    const char *dot = strrchr(name, '.');
    for (size_t i = 0; dot && i < sizeof types / sizeof *types; i++)
        if (strcmp(types[i][0], dot) == 0) return types[i][1];
    return "application/octet-stream";
}

/// Puts the token and the key of style elements where the page looks for them.
static void fill_page(struct kw_response *r, const struct asset *page, const char *token) {
    struct kw_text *out = &r->body;
    const char *from = page->from, *head = strstr(from, "<head>");
    kw_assert(head);
    size_t before = (size_t)(head - from) + strlen("<head>");
    random_digits(r->style_key, 32);
    kw_text_addn(out, from, before);
    kw_text_addf(out,
                 "<meta name=\"token\" content=\"%s\"><meta name=\"style-key\" content=\"%s\">",
                 token, r->style_key);
    kw_text_addn(out, from + before, (size_t)(page->to - from) - before);
}

HANDLER(get_page) {
    struct kw_response *r = c->response;
    const struct asset *page = asset_named("index.html");
    kw_assert(page);
    fill_page(r, page, c->server->token);
    r->status = 200;
    r->type = "text/html; charset=utf-8";
    r->page = true;
}

HANDLER(get_asset) {
    struct kw_response *r = c->response;
    const char *name = kw_format(&c->arena, "%s", c->target.segments[0]);
    for (int i = 1; i < c->target.count; i++)
        name = kw_format(&c->arena, "%s/%s", name, c->target.segments[i]);
    const struct asset *a = asset_named(name);
    if (!a || strcmp(name, "index.html") == 0) {
        answer_says(r, 404, "nothing at this address");
        return;
    }
    r->status = 200;
    r->type = type_of(name);
    const char *takes = c->request->encodings;
    r->packed =
        a->packed_to > a->packed && takes && strstr(takes, "gzip") && !strstr(takes, "gzip;q=0");
    r->fixed = r->packed ? a->packed : a->from;
    r->fixed_length = (size_t)(r->packed ? a->packed_to - a->packed : a->to - a->from);
    r->asset = strncmp(name, "assets/", 7) == 0;
}
