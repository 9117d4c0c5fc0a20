// SPDX-License-Identifier: Apache-2.0
// One value's bytes, or one more block of lines, in a kit file's own text.
#include "server/splice.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>

// -------------------------------------------------------------------------------------- comparing

/// Whether two trees hold the same, but for the node `free` of the first, which must be the text
/// `value` in the second (any tree when `value` is NULL), and the item `added` (NULL: of a list) at
/// the end of `grown` in the second.
struct same {
    const struct kw_node *free;
    const char *value;
    const struct kw_node *grown;
    const char *added;
};

static bool same_text(const char *a, const char *b) {
    return a == b || (a && b && strcmp(a, b) == 0);
}

static bool same_tree(const struct same *s, const struct kw_node *a, const struct kw_node *b) {
    if (!same_text(a->key, b->key)) return false;
    if (a == s->free && !s->value) return true;
    if (a->kind != b->kind) return false;
    if (a == s->free) return same_text(b->text, s->value);
    if (a->kind == KW_SCALAR) return a->quoted == b->quoted && same_text(a->text, b->text);
    int more = a == s->grown ? 1 : 0;
    if (b->count != a->count + more) return false;
    for (int i = 0; i < a->count; i++)
        if (!same_tree(s, &a->items[i], &b->items[i])) return false;
    return !more || same_text(b->items[a->count].key, s->added);
}

// -------------------------------------------------------------------------------------- one value

static void put_spliced(struct kw_text *out, const char *text, size_t length, size_t from,
                        size_t to, const char *middle) {
    if (out->s) out->length = 0;
    kw_text_addn(out, text, from);
    kw_text_add(out, middle);
    kw_text_addn(out, text + to, length - to);
}

/// The value as a YAML scalar in a style: ' ' plain, '\'' or '"'.
static const char *styled(struct kw_arena *a, const char *value, char style) {
    struct kw_text t = {0};
    if (style == ' ') return value;
    kw_text_addn(&t, &style, 1);
    for (const char *p = value; *p; p++) {
        if (style == '\'' && *p == '\'') kw_text_add(&t, "'");
        if (style == '"' && (*p == '"' || *p == '\\')) kw_text_add(&t, "\\");
        kw_text_addn(&t, p, 1);
    }
    kw_text_addn(&t, &style, 1);
    const char *out = kw_copy_text(a, t.s, t.length);
    kw_text_free(&t);
    return out;
}

static bool fits(struct kw_arena *a, const char *file, const struct kw_node *root,
                 const struct same *same, const struct kw_text *out) {
    const struct kw_node *again;
    struct kw_error err = {0};
    return kw_yaml_parse(a, file, out->s, out->length, &again, &err) == KW_OK &&
           same_tree(same, root, again);
}

static bool one_line(const char *s) {
    for (; *s; s++)
        if ((unsigned char)*s < 0x20 || *s == 0x7f) return false;
    return true;
}

/// An empty value stands at the end of its key: it goes behind the colon.
static size_t behind_colon(const char *text, size_t length, size_t at) {
    size_t colon = at;
    while (colon < length && text[colon] == ' ')
        colon++;
    return colon < length && text[colon] == ':' ? colon + 1 : at;
}

enum kw_status splice_value(struct kw_arena *a, const char *file, const char *text, size_t length,
                            const json_t *path, const char *value, struct kw_text *out,
                            struct kw_error *err) {
    const struct kw_node *root;
    enum kw_status status = kw_yaml_parse(a, file, text, length, &root, err);
    if (status != KW_OK) return status;
    const struct kw_node *node = json_array_size(path) > 0 ? node_at(root, path) : NULL;
    struct kw_place nowhere = {.file = file};
    if (!node) return kw_fail(err, KW_UNKNOWN, nowhere, "no value at that path");
    if (node->kind != KW_SCALAR)
        return kw_fail(err, KW_FORMAT, node->at, "expected one value at that path, got %s",
                       node->kind == KW_MAP ? "a map" : "a list");
    if (!*value || !one_line(value))
        return kw_fail(err, KW_FORMAT, node->at, "expected a value of one line");
    struct same same = {.free = node, .value = value};
    const char had = node->quoted ? text[node->from] : ' ', styles[] = {had, ' ', '\'', '"'};
    for (size_t i = node->quoted ? 0 : 1; i < sizeof styles; i++) {
        const char *word = styled(a, value, styles[i]);
        size_t from = node->from, to = node->to;
        if (from == to) {
            word = kw_format(a, " %s", word);
            from = to = behind_colon(text, length, from);
        }
        put_spliced(out, text, length, from, to, word);
        if (fits(a, file, root, &same, out)) return KW_OK;
    }
    return kw_fail(err, KW_FORMAT, node->at, "\"%.*s\" can't stand there", KW_SHOWN(value));
}

// ------------------------------------------------------------------------------------- more lines

/// The end of the line in which the byte before `at` stands, with its comment and its break.
static size_t line_end(const char *text, size_t length, size_t at) {
    while (at < length && text[at] != '\n')
        at++;
    return at < length ? at + 1 : length;
}

static void put_lines(struct kw_text *out, int indent, const char *lines, const char *line_break) {
    while (*lines) {
        size_t n = strcspn(lines, "\n");
        for (int i = 0; i < indent; i++)
            kw_text_add(out, " ");
        kw_text_addn(out, lines, n);
        kw_text_add(out, line_break);
        lines += n + (lines[n] == '\n');
    }
}

enum kw_status splice_block(struct kw_arena *a, const char *file, const char *text, size_t length,
                            const char *map_key, const char *key, const char *lines,
                            struct kw_text *out, struct kw_error *err) {
    const struct kw_node *root;
    enum kw_status status = kw_yaml_parse(a, file, text, length, &root, err);
    if (status != KW_OK) return status;
    const struct kw_node *map = kw_node_get(root, map_key);
    struct kw_place at = map ? map->at : (struct kw_place){.file = file};
    if (!map || map->kind != KW_MAP || map->count == 0 || text[map->from] == '{')
        return kw_fail(err, KW_FORMAT, at, "%s: expected a map of lines to add to", map_key);
    if (kw_node_get(map, key))
        return kw_fail(err, KW_DUPLICATE, at, "\"%.*s\" is there already", KW_SHOWN(key));
    const char *line_break = memchr(text, '\r', length) ? "\r\n" : "\n";
    int indent = map->items[0].key_at.column - 1;
    size_t end = line_end(text, length, map->to);
    struct kw_text block = {0};
    if (end == 0 || text[end - 1] != '\n') kw_text_add(&block, line_break);
    put_lines(&block, indent, kw_format(a, "%s:", key), line_break);
    put_lines(&block, indent + 2, lines, line_break);
    put_spliced(out, text, length, end, end, block.s);
    kw_text_free(&block);
    struct same same = {.grown = map, .added = key};
    if (fits(a, file, root, &same, out)) return KW_OK;
    return kw_fail(err, KW_FORMAT, at, "the lines can't be added there");
}

// ----------------------------------------------------------------------- one line of flow,
// anywhere

const char *splice_word(struct kw_arena *a, const char *text) {
    static const char *const taken[] = {"y",   "n",    "yes",   "no",  "on",
                                        "off", "true", "false", "null"};
    bool plain = (*text >= 'a' && *text <= 'z') || (*text >= 'A' && *text <= 'Z');
    for (const char *p = text; plain && *p; p++)
        plain = isalnum((unsigned char)*p) || (*p && strchr("_-.", *p)) ||
                (*p == ' ' && p[1] && p[1] != ' ');
    for (size_t i = 0; plain && i < sizeof taken / sizeof *taken; i++)
        plain = strcasecmp(text, taken[i]) != 0;
    return plain ? text : styled(a, text, '"');
}

static bool is_flow(const char *text, const struct kw_node *node) {
    return node->to > node->from && (text[node->from] == '{' || text[node->from] == '[');
}

/// Puts `line` (no breaks) behind the last item of `parent`: on a line of its own with `indent`
/// blanks, or before the bracket that closes it.
static void put_last(struct kw_arena *a, const char *text, size_t length,
                     const struct kw_node *parent, int indent, const char *line,
                     struct kw_text *out) {
    if (is_flow(text, parent)) {
        size_t at = parent->to - 1; // the bracket
        while (at > parent->from + 1 && strchr(" \t\r\n", text[at - 1]))
            at--;
        bool first = parent->count == 0, comma = !first && text[at - 1] == ',';
        put_spliced(out, text, length, at, at,
                    kw_format(a, "%s%s%s", first || comma ? " " : ", ", line, first ? " " : ""));
        return;
    }
    const char *line_break = memchr(text, '\r', length) ? "\r\n" : "\n";
    size_t end = line_end(text, length, parent->to > 0 ? parent->to - 1 : 0);
    bool open = end == 0 || text[end - 1] != '\n';
    put_spliced(out, text, length, end, end,
                kw_format(a, "%s%*s%s%s", open ? line_break : "", indent, "", line, line_break));
}

enum kw_status splice_key(struct kw_arena *a, const char *file, const char *text, size_t length,
                          const json_t *path, const char *key, const char *flow,
                          struct kw_text *out, struct kw_error *err) {
    const struct kw_node *root;
    enum kw_status status = kw_yaml_parse(a, file, text, length, &root, err);
    if (status != KW_OK) return status;
    const struct kw_node *map = json_array_size(path) > 0 ? node_at(root, path) : root;
    struct kw_place nowhere = {.file = file};
    if (!map || map->kind != KW_MAP)
        return kw_fail(err, KW_UNKNOWN, nowhere, "no map at that path");
    const struct kw_node *old = kw_node_get(map, key);
    struct same same = {.free = old, .grown = old ? NULL : map, .added = key};
    if (old && (old->kind == KW_SCALAR || !is_flow(text, old)))
        return kw_fail(err, KW_FORMAT, old->at,
                       "%s stands there over several lines: change it in the text", key);
    if (old)
        put_spliced(out, text, length, old->from, old->to, flow);
    else
        put_last(a, text, length, map, map->count ? map->items[0].key_at.column - 1 : 0,
                 kw_format(a, "%s: %s", key, flow), out);
    if (fits(a, file, root, &same, out)) return KW_OK;
    return kw_fail(err, KW_FORMAT, map->at, "%s can't be written there", key);
}

/// Blanks before the dash of a list's first item; -1: there is none.
static int dash_column(const char *text, const struct kw_node *list) {
    size_t at = list->count > 0 ? list->items[0].from : 0, column = 0;
    while (at > 0 && text[at - 1] == ' ')
        at--;
    if (at == 0 || text[at - 1] != '-') return -1;
    for (at--; at > 0 && text[at - 1] != '\n'; at--)
        column++;
    return (int)column;
}

enum kw_status splice_item(struct kw_arena *a, const char *file, const char *text, size_t length,
                           const char *key, const char *flow, struct kw_text *out,
                           struct kw_error *err) {
    const struct kw_node *root;
    enum kw_status status = kw_yaml_parse(a, file, text, length, &root, err);
    if (status != KW_OK) return status;
    const struct kw_node *list = kw_node_get(root, key);
    struct same same = {.grown = list ? list : root, .added = list ? NULL : key};
    struct kw_place at = list ? list->at : (struct kw_place){.file = file};
    int dash = list && list->kind == KW_LIST && !is_flow(text, list) ? dash_column(text, list) : 0;
    if ((list && list->kind != KW_LIST) || root->kind != KW_MAP || is_flow(text, root) || dash < 0)
        return kw_fail(err, KW_FORMAT, at, "%s: expected a list of lines to add to", key);
    const char *line_break = memchr(text, '\r', length) ? "\r\n" : "\n";
    const char *line = list ? is_flow(text, list) ? flow : kw_format(a, "- %s", flow)
                            : kw_format(a, "%s%s:%s  - %s", line_break, key, line_break, flow);
    put_last(a, text, length, list ? list : root, dash, line, out);
    if (fits(a, file, root, &same, out)) return KW_OK;
    return kw_fail(err, KW_FORMAT, at, "a line can't be added to %s there", key);
}
