// SPDX-License-Identifier: Apache-2.0
// The week's orders as a table that can be typed.
#include "base/csv.h"
#include "server/planning.h"

#include <string.h>

#define MOST_ORDERS ((size_t)8 << 20)

/// The cells as they stand, whatever they mean: a table with a mistake in it is still shown.
static void put_rows(struct kw_json *j, const char *text, size_t length) {
    struct kw_arena a = {0};
    struct kw_csv csv;
    struct kw_csv_row head, row;
    kw_json_key(j, "rows");
    kw_json_open(j, '[');
    if (kw_csv_open(&a, "orders.csv", text, length, &csv, NULL) == KW_OK &&
        kw_csv_row(&csv, &head) == KW_OK) {
        while (kw_csv_row(&csv, &row) == KW_OK && row.count > 0) {
            kw_json_open(j, '{');
            kw_json_key_count(j, "row", row.v[0].at.line);
            for (int i = 0; i < row.count && i < head.count; i++)
                put_text(j, head.v[i].text, row.v[i].text);
            kw_json_close(j);
        }
    }
    kw_json_close(j);
    kw_arena_free(&a);
}

/// Whether planning could read it, with the reason in *err.
static bool read_orders(struct call *c, const char *text, size_t length, struct kw_error *err) {
    struct plan_input in = {0};
    enum kw_status s = plan_read(c->server, false, &in, err);
    if (s == KW_OK)
        s = kw_orders_parse(&in.arena, &in.kits, "orders.csv", text, length, &in.orders, err);
    kw_arena_free(&in.arena);
    return s == KW_OK;
}

static void answer_orders(struct call *c, const char *text, size_t length, const char *hash,
                          bool written, const struct kw_error *err) {
    struct kw_json j = answer_json(c->response);
    put_textn(&j, "text", text, length);
    kw_json_key_text(&j, "hash", hash);
    put_truth(&j, "written", written);
    put_error(&j, "error", err);
    put_rows(&j, text, length);
    kw_json_close(&j);
}

HANDLER(get_orders) {
    struct kw_error err = {0}, why = {0};
    char *bytes = "", digits[HASH_DIGITS + 1];
    size_t length = 0;
    uint64_t hash = 0;
    enum kw_status s =
        folder_read(&c->arena, c->server, "orders.csv", MOST_ORDERS, &bytes, &length, &hash, &err);
    if (s != KW_OK && s != KW_MISSING) {
        answer_error(c->response, status_of(&err), &err);
        return;
    }
    hash_text(digits, hash);
    if (s == KW_OK) read_orders(c, bytes, length, &why);
    answer_orders(c, bytes, length, s == KW_OK ? digits : NULL, s == KW_OK, &why);
}

static void take_orders(struct call *c, bool write) {
    struct kw_error err = {0}, why = {0};
    char digits[HASH_DIGITS + 1];
    uint64_t now = 0;
    json_t *body = body_object(c->request, c->response);
    if (!body) return;
    const char *text = body_text(body, "text");
    size_t length = text ? strlen(text) : 0;
    bool read = text && read_orders(c, text, length, &err);
    hash_text(digits, kw_hash(KW_HASH_START, text ? text : "", length));
    if (!text)
        answer_says(c->response, 400, "expected \"text\"");
    else if (read && write &&
             folder_write(c->server, "orders.csv", body_text(body, "was"), text, length, &now,
                          &why) != KW_OK)
        answer_refused(c->response, &why, now);
    else
        answer_orders(c, text, length, digits, read && write, &err);
    json_decref(body);
}

HANDLER(put_orders) {
    take_orders(c, true);
}

HANDLER(post_orders_look) {
    take_orders(c, false);
}
