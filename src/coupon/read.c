// SPDX-License-Identifier: Apache-2.0
// coupons.csv: each line becomes a map from column to value, which the table of columns reads as it
// reads a YAML map.
#include "base/csv.h"
#include "coupon/coupon.h"

#include <string.h>

enum { MOST_BYTES = 2 * 1024 * 1024, MOST_COUPONS = 10000 };

static const struct kw_field *find_column(const char *name) {
    for (const struct kw_field *f = kw_coupon_form.fields; f->key; f++)
        if (strcmp(f->key, name) == 0) return f;
    return NULL;
}

static enum kw_status unknown_column(struct kw_csv *c, const struct kw_csv_cell *cell) {
    struct kw_text list = {0};
    const char *names[KW_CSV_MOST_CELLS + 1] = {NULL};
    int n = 0;
    for (const struct kw_field *f = kw_coupon_form.fields; f->key; f++) {
        names[n++] = f->key;
        kw_text_addf(&list, "%s%s", n > 1 ? "," : "", f->key);
    }
    const char *near = kw_nearest_word(cell->text, names);
    enum kw_status s = kw_fail(
        c->err, KW_UNKNOWN, cell->at, "unknown column \"%.60s\", expected %s%s%s%s", cell->text,
        list.s, near ? ", did you mean \"" : "", near ? near : "", near ? "\"?" : "");
    kw_text_free(&list);
    return s;
}

static enum kw_status check_header(struct kw_csv *c, const struct kw_csv_row *head) {
    for (int i = 0; i < head->count; i++) {
        const struct kw_csv_cell *cell = &head->v[i];
        if (!find_column(cell->text)) return unknown_column(c, cell);
        for (int j = 0; j < i; j++) {
            if (strcmp(head->v[j].text, cell->text) == 0)
                return kw_fail(c->err, KW_DUPLICATE, cell->at, "column \"%s\" twice", cell->text);
        }
    }
    for (const struct kw_field *f = kw_coupon_form.fields; f->key; f++) {
        bool has = !f->required;
        for (int i = 0; i < head->count && !has; i++)
            has = strcmp(head->v[i].text, f->key) == 0;
        if (!has)
            return kw_fail(c->err, KW_MISSING, head->v[0].at, "missing column \"%s\"", f->key);
    }
    return KW_OK;
}

/// Empty values are absent, but for those that every coupon has: these are refused where they
/// stand.
static struct kw_node *row_node(struct kw_csv *c, const struct kw_csv_row *head,
                                const struct kw_csv_row *row) {
    struct kw_node *map = KW_NEW(c->arena, struct kw_node);
    *map = (struct kw_node){.kind = KW_MAP, .at = row->v[0].at, .key_at = row->v[0].at};
    map->items = KW_NEW_ARRAY(c->arena, struct kw_node, row->count);
    for (int i = 0; i < row->count; i++) {
        const struct kw_field *f = find_column(head->v[i].text);
        if (!row->v[i].text[0] && !f->required) continue;
        map->items[map->count++] = (struct kw_node){.kind = KW_SCALAR,
                                                    .at = row->v[i].at,
                                                    .key_at = row->v[i].at,
                                                    .key = f->key,
                                                    .text = row->v[i].text,
                                                    .quoted = true};
    }
    return map;
}

static enum kw_status read_coupon(struct kw_csv *c, const struct kw_shop *shop,
                                  const struct kw_node *node, struct kw_coupons *out) {
    struct kw_reader r = {.arena = c->arena,
                          .units = (enum kw_length_unit)shop->units,
                          .user = (void *)shop}; // the check only looks
    struct kw_coupon coupon = {0};
    enum kw_status s = kw_form_read(&r, &kw_coupon_form, node, &coupon, c->err);
    if (s != KW_OK) return s;
    struct kw_place at = kw_place_of(node, "coupon");
    if (!coupon.name[0]) return kw_fail(c->err, KW_MISSING, at, "expected the coupon's number");
    for (int i = 0; i < out->count; i++) {
        if (strcmp(out->v[i].name, coupon.name) != 0) continue;
        return kw_fail(c->err, KW_DUPLICATE, at, "coupon \"%.*s\" twice, the first is on line %d",
                       KW_SHOWN(coupon.name), out->v[i].node->at.line);
    }
    if (out->count == MOST_COUPONS)
        return kw_fail(c->err, KW_LIMIT, at, "expected at most %d coupons", MOST_COUPONS);
    KW_PUSH(c->arena, out->v, out->count) = coupon;
    return KW_OK;
}

enum kw_status kw_coupons_parse(struct kw_arena *a, const struct kw_shop *shop, const char *file,
                                const char *bytes, size_t length, struct kw_coupons *out,
                                struct kw_error *err) {
    struct kw_csv c;
    struct kw_csv_row head, row;
    *out = (struct kw_coupons){0};
    enum kw_status s = kw_csv_open(a, file, bytes, length, &c, err);
    if (s == KW_OK) s = kw_csv_row(&c, &head);
    if (s == KW_OK && head.count == 0) {
        s = kw_fail(err, KW_MISSING, (struct kw_place){.file = c.file},
                    "empty, expected a first line with the columns");
    }
    if (s == KW_OK) s = check_header(&c, &head);
    while (s == KW_OK) {
        s = kw_csv_row(&c, &row);
        if (s == KW_OK && row.count == 0) break;
        if (s == KW_OK) s = kw_csv_expect(&c, &row, head.count);
        if (s == KW_OK) s = read_coupon(&c, shop, row_node(&c, &head, &row), out);
    }
    return s;
}

enum kw_status kw_coupons_read(struct kw_arena *a, const struct kw_shop *shop, const char *path,
                               bool must_be, struct kw_coupons *out, struct kw_error *err) {
    struct kw_arena scratch = {0};
    struct kw_error why = {0};
    char *bytes;
    size_t length;
    *out = (struct kw_coupons){0};
    const char *name = strrchr(path, '/') ? strrchr(path, '/') + 1 : path;
    enum kw_status s =
        kw_read_file(&scratch, path, MOST_BYTES, (struct kw_place){0}, &bytes, &length, &why);
    if (s == KW_OK) {
        s = kw_coupons_parse(a, shop, name, bytes, length, out, err);
    } else if (s != KW_MISSING || must_be) {
        (void)kw_fail(err, s, (struct kw_place){.file = name}, "%s", why.text);
    } else {
        s = KW_OK;
    }
    kw_arena_free(&scratch);
    return s;
}
