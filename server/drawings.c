// SPDX-License-Identifier: Apache-2.0
// Drawings: what is in them, before and after they are written.
#include "packet/packet.h"
#include "server/change.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>

enum { FINE = 6 };

static bool ends_with(const char *s, const char *ending) {
    size_t n = strlen(s), m = strlen(ending);
    return n > m && strcmp(s + n - m, ending) == 0;
}

/// A name that can stand in a kit file as it is; false: answered.
static bool plain_name(struct call *c, const char *name) {
    size_t n = strlen(name);
    bool plain = n <= 100 && strspn(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                          "0123456789-_. ") == n;
    if (plain && (ends_with(name, ".dxf") || ends_with(name, ".svg"))) return true;
    answer_says(c->response, 400,
                "expected a name of letters, digits, \"-\", \"_\" that ends with .dxf or .svg");
    return false;
}

// ----------------------------------------------------------------------------------------- layers

struct names {
    struct kw_arena *arena;
    const char **v;
    int count;
};

static void add_name(struct names *all, const char *s, size_t n) {
    if (n == 0 || n > 100 || all->count == 1000) return;
    for (int i = 0; i < all->count; i++)
        if (strlen(all->v[i]) == n && strncmp(all->v[i], s, n) == 0) return;
    KW_PUSH(all->arena, all->v, all->count) = kw_copy_text(all->arena, s, n);
}

/// The line from `at`, trimmed; returns where the next begins.
static const char *next_line(const char *at, const char *end, const char **s, size_t *n) {
    const char *stop = memchr(at, '\n', (size_t)(end - at));
    const char *last = stop ? stop : end;
    while (at < last && (*at == ' ' || *at == '\t'))
        at++;
    *s = at;
    *n = (size_t)(last - at);
    while (*n > 0 && ((*s)[*n - 1] == '\r' || (*s)[*n - 1] == ' '))
        --*n;
    return stop ? stop + 1 : end;
}

/// Layers of entities: values of group code 8.
static void dxf_layers(struct names *all, const char *bytes, size_t length) {
    const char *end = bytes + length, *code, *value;
    size_t n, m;
    for (const char *at = bytes; at < end;) {
        at = next_line(at, end, &code, &n);
        if (at >= end) break;
        at = next_line(at, end, &value, &m);
        if (n == 1 && *code == '8') add_name(all, value, m);
    }
}

/// The value of an attribute, or of a property of a style, where a tag holds one; NULL.
static const char *value_behind(const char *tag, size_t length, const char *name, size_t *n) {
    size_t m = strlen(name);
    for (const char *p = tag, *end = tag + length; p + m + 2 < end; p++) {
        bool begins = p > tag && !isalnum((unsigned char)p[-1]) && p[-1] != '-' && p[-1] != '_';
        if (!begins || strncmp(p, name, m) != 0) continue;
        const char *v = p + m, *stop;
        if (*v == '=' && (v[1] == '"' || v[1] == '\'')) {
            stop = memchr(v + 2, v[1], (size_t)(end - v - 2));
            v += 2;
        } else if (*v == ':') {
            v += 1 + (v[1] == ' ');
            stop = v + strcspn(v, ";\"'>");
        } else {
            continue;
        }
        *n = stop ? (size_t)(stop - v) : 0;
        return v;
    }
    return NULL;
}

static void add_value(struct names *all, const char *tag, size_t length, const char *attribute) {
    size_t n = 0;
    const char *v = value_behind(tag, length, attribute, &n);
    if (v && !(n == 4 && strncmp(v, "none", 4) == 0)) add_name(all, v, n);
}

/// What an SVG can name a layer by: groups' labels, ids and classes, and the colours of lines.
static void svg_layers(struct names *all, const char *bytes, size_t length) {
    const char *end = bytes + length;
    for (const char *p = bytes; (p = memchr(p, '<', (size_t)(end - p))) != NULL; p++) {
        const char *stop = memchr(p, '>', (size_t)(end - p));
        if (!stop) return;
        size_t n = (size_t)(stop - p);
        bool group = strncmp(p, "<g", 2) == 0 && (p[2] == ' ' || p[2] == '\n' || p[2] == '\t');
        if (group) {
            add_value(all, p, n, "label");
            add_value(all, p, n, "id");
            add_value(all, p, n, "class");
        }
        add_value(all, p, n, "stroke");
    }
}

static void put_layers(struct kw_json *j, const struct names *all, const struct kw_shop *shop,
                       const struct kw_layers *roles) {
    kw_json_key(j, "layers");
    kw_json_open(j, '[');
    for (int i = 0; i < all->count; i++) {
        kw_json_open(j, '{');
        put_text(j, "layer", all->v[i]);
        kw_json_key_text(j, "role", kw_layer_role(roles, all->v[i]));
        kw_json_key_text(j, "shop_role", kw_layer_role(&shop->layers, all->v[i]));
        kw_json_close(j);
    }
    kw_json_close(j);
}

// ------------------------------------------------------------------------------------------- JSON

static void put_content(struct kw_json *j, const struct kw_drawing *d) {
    kw_json_key(j, "outlines");
    kw_json_open(j, '[');
    if (d->region.outer.count > 0) kw_packet_outline_json(j, &d->region.outer, FINE);
    for (int i = 0; i < d->region.hole_count; i++)
        kw_packet_outline_json(j, &d->region.holes[i], FINE);
    kw_json_close(j);
    kw_json_key(j, "bends");
    kw_json_open(j, '[');
    for (int i = 0; i < d->bends.count; i++) {
        const struct kw_drawn_bend *b = KW_ITEM(struct kw_drawn_bend, d->bends, i);
        kw_json_open(j, '{');
        kw_json_key_text(j, "id", b->name);
        kw_json_key_text(j, "toward", b->way == KW_UP ? "up" : "down");
        put_point(j, "from", &b->a.x, 2, FINE);
        put_point(j, "to", &b->b.x, 2, FINE);
        kw_json_close(j);
    }
    kw_json_close(j);
    kw_json_key(j, "marks");
    kw_json_open(j, '[');
    for (int i = 0; i < d->marks.count; i++)
        kw_packet_outline_json(j, KW_ITEM(struct kw_path, d->marks, i), FINE);
    kw_json_close(j);
    kw_json_key_count(j, "dropped", d->dropped);
    kw_json_key_count(j, "joined", d->joined);
    kw_json_key_count(j, "passed_over", d->ignored);
    put_point(j, "size", (double[]){d->width, d->height}, 2, FINE);
    kw_json_key_text(j, "units", d->units == (int)KW_IN ? "in" : "mm");
    put_truth(j, "units_said", d->units_said);
}

/// Roles that the query tells, before those of the shop. False: answered.
static bool read_roles(struct call *c, const struct kw_shop *shop, struct kw_layers *roles) {
    struct kw_error err = {0};
    struct kw_layers own = {0};
    const char *said = target_query(&c->target, "layers");
    json_t *o = said ? json_loads(said, 0, NULL) : NULL;
    bool plain = !said || json_is_object(o);
    if (!plain)
        answer_says(c->response, 400, "layers: expected an object of roles");
    else if (o && !(plain = layers_of(&c->arena, o, &own, &err)))
        answer_error(c->response, 400, &err);
    json_decref(o);
    *roles = kw_layers_over(&c->arena, &own, &shop->layers);
    return plain;
}

/// Reads the bytes; returns whether they are a drawing.
static bool read_drawing(struct call *c, const struct kw_shop *shop, const struct kw_layers *roles,
                         const char *name, const char *bytes, size_t length, struct kw_drawing *d,
                         struct kw_error *err) {
    const char *file = kw_format(&c->arena, "drawings/%s", name);
    enum kw_status s = ends_with(name, ".svg")
                           ? kw_svg_parse(&c->arena, roles, file, bytes, length, d, err)
                           : kw_dxf_parse(&c->arena, roles, file, bytes, length,
                                          (enum kw_length_unit)shop->units, d, err);
    if (s != KW_OK) *d = (struct kw_drawing){0};
    return s == KW_OK;
}

static void answer_drawing(struct call *c, const struct kw_shop *shop,
                           const struct kw_layers *roles, const char *name, const char *bytes,
                           size_t length, bool written, const struct kw_drawing *d,
                           const struct kw_error *err) {
    char digits[HASH_DIGITS + 1];
    struct names layers = {.arena = &c->arena};
    if (ends_with(name, ".svg"))
        svg_layers(&layers, bytes, length);
    else
        dxf_layers(&layers, bytes, length);
    struct kw_json j = answer_json(c->response);
    kw_json_key_text(&j, "name", name);
    hash_text(digits, kw_hash(KW_HASH_START, bytes, length));
    kw_json_key_text(&j, "hash", digits);
    put_truth(&j, "written", written);
    put_error(&j, "error", err);
    put_content(&j, d);
    put_layers(&j, &layers, shop, roles);
    kw_json_close(&j);
}

// --------------------------------------------------------------------------------------- handlers

HANDLER(get_drawing) {
    struct kw_error err = {0}, why = {0};
    struct kw_drawing d = {0};
    struct kw_layers roles;
    char *bytes;
    size_t length;
    uint64_t hash;
    if (!plain_name(c, c->parts[0])) return;
    const char *file = kw_format(&c->arena, "drawings/%s", c->parts[0]);
    struct view *v = view_take(c->server);
    if (folder_read(&c->arena, c->server, file, KW_DXF_MOST_BYTES, &bytes, &length, &hash, &err) !=
        KW_OK) {
        answer_error(c->response, status_of(&err), &err);
    } else if (!v->shop) {
        answer_error(c->response, 422, &v->error);
    } else if (read_roles(c, v->shop, &roles)) {
        read_drawing(c, v->shop, &roles, c->parts[0], bytes, length, &d, &why);
        answer_drawing(c, v->shop, &roles, c->parts[0], bytes, length, true, &d, &why);
    }
    view_drop(c->server, v);
}

static void write_drawing(struct call *c, const struct kw_shop *shop, bool write) {
    struct kw_error err = {0}, why = {0};
    struct kw_drawing d = {0};
    const struct kw_request *q = c->request;
    const char *name = c->parts[0], *was = target_query(&c->target, "was");
    uint64_t now = 0;
    struct kw_layers roles;
    if (!read_roles(c, shop, &roles)) return;
    bool read = read_drawing(c, shop, &roles, name, q->body, q->length, &d, &err);
    if (read && write &&
        folder_write(c->server, kw_format(&c->arena, "drawings/%s", name), was, q->body, q->length,
                     &now, &why) != KW_OK)
        answer_refused(c->response, &why, now);
    else
        answer_drawing(c, shop, &roles, name, q->body, q->length, read && write, &d, &err);
}

static void take_drawing(struct call *c, bool write) {
    if (!plain_name(c, c->parts[0])) return;
    struct view *v = view_take(c->server);
    struct kw_error err = {0};
    const char *folder = write ? folder_path(&c->arena, c->server, "drawings", &err) : NULL;
    if (write && folder) kw_make_folder(folder, &err);
    if (err.status != KW_OK)
        answer_error(c->response, status_of(&err), &err);
    else if (!v->shop)
        answer_error(c->response, 422, &v->error);
    else
        write_drawing(c, v->shop, write);
    view_drop(c->server, v);
}

HANDLER(post_drawing_look) {
    take_drawing(c, false);
}

HANDLER(put_drawing) {
    take_drawing(c, true);
}
