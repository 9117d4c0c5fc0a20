// SPDX-License-Identifier: Apache-2.0
// YAML text into a tree that knows its places, built from libfyaml's events. Its document interface
// takes quadratic time on duplicate keys, follows aliases and passes over a second document, so it
// is not used; anchors, aliases and tags have no business in a file that people write by hand.
#include "form/scan.h"

#include <libfyaml.h>
#include <stdio.h>
#include <string.h>

// A list or map that is still open.
struct open_level {
    struct kw_node node; // items are in the scratch arena until it closes
    bool no_width;       // a block map: its place is that of its first key
    int serial;          // of this map, for the table of keys
    bool has_key;        // a key waits for its value
    const char *key;
    struct kw_place key_at; // start of the key
};

// Keys seen, of all maps: open addressing, a power of two, at most half full.
struct seen_key {
    const char *key; // NULL: free
    int serial;
};

struct builder {
    struct kw_arena *arena, scratch;
    const char *file, *bytes;
    size_t skip, length;
    struct kw_error *err;
    struct open_level open[KW_YAML_DEEPEST];
    int depth, maps, values, documents;
    struct kw_place end_at; // end of the last token that had a mark
    size_t end;
    struct seen_key *seen;
    size_t seen_room, seen_count;
    const struct kw_node *root;
};

// ------------------------------------------------------------------------------------- places

static struct kw_place place_of_mark(const struct builder *b, const struct fy_mark *m) {
    return (struct kw_place){b->file, m->line + 1, m->column + 1};
}

// Start and end of a token. Quotes are outside libfyaml's marks; here they belong to the value.
static void token_range(struct builder *b, struct fy_token *t, bool quoted, struct kw_node *out) {
    const struct fy_mark *start = fy_token_start_mark(t), *end = fy_token_end_mark(t);
    kw_assert(start && end);
    int quote = quoted ? 1 : 0;
    out->at = place_of_mark(b, start);
    out->at.column -= quote;
    out->from = start->input_pos + b->skip - (size_t)quote;
    out->to = end->input_pos + b->skip + (size_t)quote;
    if (out->to > b->length) out->to = b->length;
    b->end_at = place_of_mark(b, end);
    b->end_at.column += quote;
    b->end = out->to;
}

// ------------------------------------------------------------------------------- duplicate keys

static struct seen_key *find_seen(struct seen_key *v, size_t room, const char *key, int serial) {
    uint64_t h = kw_hash(KW_HASH_START, &serial, sizeof serial);
    size_t i = (size_t)(kw_hash(h, key, strlen(key)) >> 7) & (room - 1);
    while (v[i].key && (v[i].serial != serial || strcmp(v[i].key, key) != 0)) {
        i = (i + 1) & (room - 1);
    }
    return &v[i];
}

static void grow_seen(struct builder *b) {
    size_t room = b->seen_room ? b->seen_room * 2 : 256;
    struct seen_key *v = KW_NEW_ARRAY(&b->scratch, struct seen_key, room);
    for (size_t i = 0; i < b->seen_room; i++) {
        struct seen_key *k = &b->seen[i];
        if (k->key) *find_seen(v, room, k->key, k->serial) = *k;
    }
    b->seen = v;
    b->seen_room = room;
}

static enum kw_status note_key(struct builder *b, const struct open_level *map) {
    if (b->seen_count * 2 >= b->seen_room) grow_seen(b);
    struct seen_key *k = find_seen(b->seen, b->seen_room, map->key, map->serial);
    if (k->key) {
        return kw_fail(b->err, KW_DUPLICATE, map->key_at, "the key \"%.*s\" twice",
                       KW_SHOWN(map->key));
    }
    *k = (struct seen_key){map->key, map->serial};
    b->seen_count++;
    return KW_OK;
}

// ------------------------------------------------------------------------------------ the tree

// Hands a finished value to the level above.
static enum kw_status add_value(struct builder *b, struct kw_node *value) {
    if (b->depth == 0) {
        struct kw_node *root = KW_NEW(b->arena, struct kw_node);
        *root = *value;
        b->root = root;
        return KW_OK;
    }
    struct open_level *up = &b->open[b->depth - 1];
    if (up->node.kind == KW_MAP) {
        kw_assert(up->has_key);
        value->key = up->key;
        value->key_at = up->key_at;
        up->has_key = false;
    }
    KW_PUSH(&b->scratch, up->node.items, up->node.count) = *value;
    return KW_OK;
}

static enum kw_status count_value(struct builder *b, struct kw_place at) {
    if (++b->values <= KW_YAML_MOST_VALUES) return KW_OK;
    return kw_fail(b->err, KW_LIMIT, at, "more than %d values", KW_YAML_MOST_VALUES);
}

static bool wants_key(const struct builder *b) {
    return b->depth > 0 && b->open[b->depth - 1].node.kind == KW_MAP &&
           !b->open[b->depth - 1].has_key;
}

static enum kw_status take_key(struct builder *b, const struct kw_node *node) {
    struct open_level *map = &b->open[b->depth - 1];
    if (node->text[0] == 0 || strchr(node->text, '\n')) {
        return kw_fail(b->err, KW_FORMAT, node->at, "a key must be one word or line of text");
    }
    map->has_key = true;
    map->key = node->text;
    map->key_at = node->at;
    if (map->no_width && map->node.count == 0) {
        map->node.at = node->at;
        map->node.from = node->from;
    }
    return note_key(b, map);
}

// An empty value has no mark of its own: it stands at the end of what was before it, its key.
static void place_empty(const struct builder *b, struct kw_node *node) {
    node->text = "";
    node->at = b->end_at;
    node->from = node->to = b->end;
}

// The text of a scalar with its escapes resolved, chunk by chunk: fy_token_get_text of libfyaml
// 0.7.12 leaks 2 kB when there are more than some 32 chunks, fy_token_iter_read returns the last
// one alone.
static enum kw_status read_text(struct builder *b, struct fy_token *token, struct kw_node *node) {
    struct kw_text text = {0};
    struct fy_token_iter *it = fy_token_iter_create(token);
    kw_assert(it);
    int broken = 0;
    const struct fy_iter_chunk *chunk = NULL;
    while ((chunk = fy_token_iter_chunk_next(it, chunk, &broken)) != NULL) {
        kw_text_addn(&text, chunk->str, chunk->len);
    }
    fy_token_iter_destroy(it);
    enum kw_status s = KW_OK;
    if (broken) {
        s = kw_fail(b->err, KW_FORMAT, node->at, "a text that can't be read");
    } else if (text.length > 0 && memchr(text.s, 0, text.length)) {
        s = kw_fail(b->err, KW_FORMAT, node->at, "a NUL byte in the text");
    }
    node->text = kw_copy_text(b->arena, text.s ? text.s : "", text.length);
    kw_text_free(&text);
    return s;
}

static enum kw_status take_scalar(struct builder *b, struct fy_token *value) {
    struct kw_node node = {.kind = KW_SCALAR};
    enum kw_status s = KW_OK;
    if (!value || !fy_token_start_mark(value)) {
        place_empty(b, &node);
    } else {
        enum fy_scalar_style style = fy_token_scalar_style(value);
        node.quoted = style == FYSS_SINGLE_QUOTED || style == FYSS_DOUBLE_QUOTED;
        token_range(b, value, node.quoted, &node);
        s = read_text(b, value, &node);
    }
    if (s == KW_OK) s = count_value(b, node.at);
    if (s != KW_OK) return s;
    return wants_key(b) ? take_key(b, &node) : add_value(b, &node);
}

static enum kw_status open_level(struct builder *b, enum kw_node_kind kind, struct fy_token *t) {
    struct open_level level = {.node = {.kind = kind}};
    token_range(b, t, false, &level.node);
    if (wants_key(b)) {
        return kw_fail(b->err, KW_FORMAT, level.node.at, "a key must be one word or line of text");
    }
    if (b->depth == KW_YAML_DEEPEST) {
        return kw_fail(b->err, KW_LIMIT, level.node.at, "nested more than %d deep",
                       KW_YAML_DEEPEST);
    }
    level.no_width = kind == KW_MAP && level.node.from == level.node.to;
    if (kind == KW_MAP) level.serial = ++b->maps;
    b->open[b->depth++] = level;
    return count_value(b, level.node.at);
}

// A block's end mark is where the next thing starts; its range ends with its last value instead.
static enum kw_status close_level(struct builder *b, struct fy_token *t) {
    struct kw_node node = b->open[--b->depth].node;
    const struct fy_mark *end = t ? fy_token_end_mark(t) : NULL;
    bool flow = node.from < b->length &&
                (b->bytes[node.from] == '[' || b->bytes[node.from] == '{') && node.to > node.from;
    if (flow && end) {
        node.to = end->input_pos + b->skip;
        b->end_at = place_of_mark(b, end);
        b->end = node.to;
    } else if (node.count > 0) {
        node.to = node.items[node.count - 1].to;
    }
    size_t size = sizeof *node.items * (size_t)node.count;
    struct kw_node *items = kw_alloc(b->arena, size ? size : 1);
    if (size) memcpy(items, node.items, size);
    node.items = items;
    return add_value(b, &node);
}

// ----------------------------------------------------------------------------------- the events

static struct kw_place token_place(const struct builder *b, struct fy_token *t, int back) {
    const struct fy_mark *m = t ? fy_token_start_mark(t) : NULL;
    if (!m) return (struct kw_place){b->file, 0, 0};
    struct kw_place at = place_of_mark(b, m);
    at.column -= back;
    return at;
}

// The marks of anchors and aliases start after their sign, that of a tag varies with its kind.
static enum kw_status refuse_marks(struct builder *b, struct fy_token *anchor,
                                   struct fy_token *tag) {
    if (anchor) {
        return kw_fail(b->err, KW_FORMAT, token_place(b, anchor, 1),
                       "an anchor (&name) is not used here, put the text in quotes");
    }
    if (tag) {
        return kw_fail(b->err, KW_FORMAT, token_place(b, tag, 0),
                       "a tag (!name) is not used here, put the text in quotes");
    }
    return KW_OK;
}

static enum kw_status take_document(struct builder *b, struct fy_token *start) {
    if (b->documents++ == 0) return KW_OK;
    return kw_fail(b->err, KW_FORMAT, token_place(b, start, 0),
                   "a second document in the file, only one is read");
}

static enum kw_status take_event(struct builder *b, struct fy_event *e) {
    enum kw_status s = KW_OK;
    switch (e->type) {
    case FYET_DOCUMENT_START:
        return take_document(b, e->document_start.document_start);
    case FYET_ALIAS:
        return kw_fail(b->err, KW_FORMAT, token_place(b, e->alias.anchor, 1),
                       "an alias (*name) is not used here, put the text in quotes");
    case FYET_SCALAR:
        s = refuse_marks(b, e->scalar.anchor, e->scalar.tag);
        return s != KW_OK ? s : take_scalar(b, e->scalar.value);
    case FYET_MAPPING_START:
        s = refuse_marks(b, e->mapping_start.anchor, e->mapping_start.tag);
        return s != KW_OK ? s : open_level(b, KW_MAP, e->mapping_start.mapping_start);
    case FYET_SEQUENCE_START:
        s = refuse_marks(b, e->sequence_start.anchor, e->sequence_start.tag);
        return s != KW_OK ? s : open_level(b, KW_LIST, e->sequence_start.sequence_start);
    case FYET_MAPPING_END:
        return close_level(b, e->mapping_end.mapping_end);
    case FYET_SEQUENCE_END:
        return close_level(b, e->sequence_end.sequence_end);
    default:
        return KW_OK;
    }
}

// The library's own complaint. At the end of a file without a last line break it names a line that
// isn't there.
static enum kw_status syntax_error(struct builder *b, struct fy_diag *diag) {
    void *at_error = NULL;
    const struct fy_diag_error *e = fy_diag_errors_iterate(diag, &at_error);
    struct kw_place end = kw_yaml_place(b->file, b->bytes, b->length);
    if (!e) return kw_fail(b->err, KW_FORMAT, end, "not well-formed YAML");
    struct kw_place at = {b->file, e->line, e->column};
    if (at.line < 1 || at.line > end.line) at = end;
    return kw_fail(b->err, KW_FORMAT, at, "not well-formed YAML: %.200s", e->msg);
}

static enum kw_status run_parser(struct builder *b, struct fy_parser *parser,
                                 struct fy_diag *diag) {
    if (fy_parser_set_string(parser, b->bytes + b->skip, b->length - b->skip) != 0) {
        return syntax_error(b, diag);
    }
    enum kw_status s = KW_OK;
    struct fy_event *e;
    while (s == KW_OK && (e = fy_parser_parse(parser)) != NULL) {
        s = take_event(b, e);
        fy_parser_event_free(parser, e);
    }
    if (s == KW_OK && fy_parser_get_stream_error(parser)) s = syntax_error(b, diag);
    return s;
}

static enum kw_status build(struct builder *b) {
    struct fy_diag_cfg settings;
    fy_diag_cfg_default(&settings);
    settings.fp = NULL;
    struct fy_diag *diag = fy_diag_create(&settings);
    kw_assert(diag);
    fy_diag_set_collect_errors(diag, true);
    struct fy_parse_cfg cfg = {.flags = FYPCF_QUIET, .diag = diag};
    struct fy_parser *parser = fy_parser_create(&cfg);
    kw_assert(parser);
    enum kw_status s = run_parser(b, parser, diag);
    fy_parser_destroy(parser);
    fy_diag_destroy(diag);
    return s;
}

enum kw_status kw_yaml_parse(struct kw_arena *a, const char *file, const char *bytes, size_t length,
                             const struct kw_node **root, struct kw_error *err) {
    struct builder b = {.arena = a, .bytes = bytes, .length = length, .err = err};
    b.file = kw_copy_text(a, file, strlen(file));
    b.end_at = (struct kw_place){b.file, 1, 1};
    enum kw_status s = kw_yaml_scan(b.file, bytes, length, &b.skip, err);
    if (s == KW_OK) s = build(&b);
    kw_arena_free(&b.scratch);
    if (s == KW_OK && !b.root) {
        s = kw_fail(err, KW_FORMAT, (struct kw_place){b.file, 1, 1}, "nothing in the file");
    }
    *root = s == KW_OK ? b.root : NULL;
    return s;
}

enum kw_status kw_yaml_read(struct kw_arena *a, const char *path, struct kw_place from,
                            const struct kw_node **root, struct kw_error *err) {
    char *bytes;
    size_t length;
    *root = NULL;
    enum kw_status s = kw_read_file(a, path, KW_YAML_MOST_BYTES, from, &bytes, &length, err);
    return s != KW_OK ? s : kw_yaml_parse(a, path, bytes, length, root, err);
}

const struct kw_node *kw_node_get(const struct kw_node *map, const char *key) {
    for (int i = 0; map && map->kind == KW_MAP && i < map->count; i++) {
        if (strcmp(map->items[i].key, key) == 0) return &map->items[i];
    }
    return NULL;
}

struct kw_place kw_place_of(const struct kw_node *map, const char *key) {
    const struct kw_node *value = kw_node_get(map, key);
    if (value) return value->at;
    return map ? map->at : (struct kw_place){0};
}
