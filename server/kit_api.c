// SPDX-License-Identifier: Apache-2.0
// One kit: look at it, change it, with or without writing.
#include "server/change.h"

#include <string.h>

const char *kit_file(struct call *c, const char *kit) {
    return kw_format(&c->arena, "kits/%s.yaml", kit);
}

/// The kit's file as it is; false: answered.
static bool read_kit(struct call *c, struct look_wish *wish, uint64_t *hash) {
    struct kw_error err = {0};
    char *bytes;
    enum kw_status s = folder_read(&c->arena, c->server, kit_file(c, wish->kit), KW_YAML_MOST_BYTES,
                                   &bytes, &wish->length, hash, &err);
    if (s != KW_OK) answer_error(c->response, status_of(&err), &err);
    wish->text = bytes;
    return s == KW_OK;
}

struct look_wish read_wish(struct call *c, const json_t *body) {
    struct look_wish w = {.kit = c->parts[0],
                          .size = target_query(&c->target, "size"),
                          .with = target_query(&c->target, "with")};
    if (body && body_text(body, "size")) w.size = body_text(body, "size");
    if (body && body_text(body, "with")) w.with = body_text(body, "with");
    if (w.size && !*w.size) w.size = NULL;
    return w;
}

struct look *look_of_kit(struct call *c) {
    struct look_wish wish = read_wish(c, NULL);
    uint64_t hash;
    return read_kit(c, &wish, &hash) ? look_take(c->server, &wish) : NULL;
}

HANDLER(get_kit) {
    struct look *look = look_of_kit(c);
    if (!look) return;
    look_answer(c, look, true);
    look_drop(c->server, look);
}

HANDLER(post_look) {
    json_t *body = body_object(c->request, c->response);
    if (!body) return;
    struct look_wish wish = read_wish(c, body);
    uint64_t hash;
    const char *text = body_text(body, "text");
    if (text) {
        wish.text = text;
        wish.length = strlen(text);
    }
    if (text || read_kit(c, &wish, &hash)) {
        struct look *look = look_take(c->server, &wish);
        look_answer(c, look, false);
        look_drop(c->server, look);
    }
    json_decref(body);
}

// ---------------------------------------------------------------------------------------- writing

/// No two files may be the same kit: nothing of the folder could be read then.
static bool is_alone(struct call *c, const char *stem, const char *family, struct kw_error *err) {
    const char **names, *path = folder_path(&c->arena, c->server, "kits", NULL);
    int count = 0;
    if (path) kw_list_folder(&c->arena, path, ".yaml", &names, &count, NULL);
    for (int i = 0; i < count; i++) {
        char *bytes;
        size_t length, n = strlen(names[i]) - strlen(".yaml");
        uint64_t hash;
        const struct kw_node *root, *kit;
        if (strlen(stem) == n && strncmp(stem, names[i], n) == 0) continue;
        const char *file = kw_format(&c->arena, "kits/%s", names[i]);
        if (folder_read(&c->arena, c->server, file, KW_YAML_MOST_BYTES, &bytes, &length, &hash,
                        NULL) != KW_OK ||
            kw_yaml_parse(&c->arena, file, bytes, length, &root, NULL) != KW_OK)
            continue;
        kit = kw_node_get(root, "kit");
        if (!kit || kit->kind != KW_SCALAR || strcmp(kit->text, family) != 0) continue;
        kw_fail(err, KW_DUPLICATE, kit->at, "kit \"%.*s\" is in %s already", KW_SHOWN(family),
                file);
        return false;
    }
    return true;
}

/// Looks at the text and writes it when it can be read. `was` NULL: a new file.
static void write_kit(struct call *c, const struct look_wish *wish, const char *was) {
    struct look *look = look_take(c->server, wish);
    struct kw_error err = {0};
    uint64_t now = 0;
    bool written = false;
    if (look->kit && !is_alone(c, wish->kit, look->kit->family, &err)) {
        answer_error(c->response, 409, &err);
    } else if (!look->kit) {
        look_answer(c, look, false);
    } else {
        written = folder_write(c->server, kit_file(c, wish->kit), was, wish->text, wish->length,
                               &now, &err) == KW_OK;
        if (written)
            look_answer(c, look, true);
        else
            answer_refused(c->response, &err, now);
    }
    look_drop(c->server, look);
}

HANDLER(put_kit) {
    json_t *body = body_object(c->request, c->response);
    if (!body) return;
    struct look_wish wish = read_wish(c, body);
    const char *text = body_text(body, "text"), *was = body_text(body, "was");
    if (!text || !was) {
        answer_says(c->response, 400, "expected \"text\" and \"was\"");
    } else {
        wish.text = text;
        wish.length = strlen(text);
        write_kit(c, &wish, was);
    }
    json_decref(body);
}

bool begin_change(struct call *c, const json_t *body, struct look_wish *wish, const char **was) {
    char digits[HASH_DIGITS + 1];
    uint64_t hash;
    const char *text = body_text(body, "text");
    *was = body_text(body, "was");
    if (text) {
        wish->text = text;
        wish->length = strlen(text);
        *was = NULL;
        return true;
    }
    if (!*was) {
        answer_says(c->response, 400, "expected \"was\" or \"text\"");
        return false;
    }
    if (!read_kit(c, wish, &hash)) return false;
    hash_text(digits, hash);
    if (strcmp(digits, *was) == 0) return true;
    struct kw_error err = {.status = KW_DUPLICATE,
                           .text = "the file was changed outside meanwhile; nothing was written"};
    answer_refused(c->response, &err, hash);
    return false;
}

void end_change(struct call *c, struct look_wish *wish, const char *was, enum kw_status s,
                const struct kw_text *out, const struct kw_error *err) {
    if (s != KW_OK) {
        answer_error(c->response, s == KW_UNKNOWN ? 404 : 422, err);
        return;
    }
    wish->text = out->s;
    wish->length = out->length;
    if (was) {
        write_kit(c, wish, was);
        return;
    }
    struct look *look = look_take(c->server, wish);
    look_answer(c, look, false);
    look_drop(c->server, look);
}

HANDLER(post_set) {
    json_t *body = body_object(c->request, c->response);
    if (!body) return;
    struct look_wish wish = read_wish(c, body);
    struct kw_text out = {0};
    struct kw_error err = {0};
    const json_t *path = json_object_get(body, "path");
    const char *value = body_text(body, "value"), *was;
    if (!json_is_array(path) || !value) {
        answer_says(c->response, 400, "expected \"path\" and \"value\"");
    } else if (begin_change(c, body, &wish, &was)) {
        enum kw_status s = splice_value(&c->arena, kit_file(c, wish.kit), wish.text, wish.length,
                                        path, value, &out, &err);
        end_change(c, &wish, was, s, &out, &err);
    }
    kw_text_free(&out);
    json_decref(body);
}

// ------------------------------------------------------------------------------ from plain
// examples

#define EMBED(symbol, path)                                                                        \
    __asm__(".section .rodata\n"                                                                   \
            ".global " #symbol "\n" #symbol ":\n.incbin \"" path "\"\n.byte 0\n.previous\n");      \
    extern const char symbol[]
EMBED(example_plate_in, "server/examples/plate.in.part");
EMBED(example_plate_mm, "server/examples/plate.mm.part");
EMBED(example_bracket_in, "server/examples/bracket.in.part");
EMBED(example_bracket_mm, "server/examples/bracket.mm.part");
EMBED(example_tube_in, "server/examples/tube.in.part");
EMBED(example_tube_mm, "server/examples/tube.mm.part");

static const struct {
    const char *word, *text[2]; ///< mm, in
} examples[] = {{"plate", {example_plate_mm, example_plate_in}},
                {"bracket", {example_bracket_mm, example_bracket_in}},
                {"tube", {example_tube_mm, example_tube_in}}};

static const char *replaced(struct kw_arena *a, const char *text, const char *mark,
                            const char *by) {
    const char *at = strstr(text, mark);
    if (!at) return text;
    return kw_format(a, "%.*s%s%s", (int)(at - text), text, by, at + strlen(mark));
}

/// The first stock of the rack of that kind, in the words of the shop file; NULL when there is
/// none.
static const char *first_stock(const struct kw_items *rack, enum kw_stock_kind kind) {
    for (int i = 0; i < rack->count; i++) {
        const struct kw_rack_item *item = KW_ITEM(struct kw_rack_item, *rack, i);
        if (item->stock.kind == kind) return item->from;
    }
    return NULL;
}

/// The stock that a new part is made from: `wanted` when the rack lists it, or the first of the
/// kind. NULL with an error.
static const char *stock_for(const struct kw_items *rack, enum kw_stock_kind kind,
                             const char *wanted, struct kw_error *err) {
    struct kw_place nowhere = {0};
    const char *first = first_stock(rack, kind);
    for (int i = 0; wanted && i < rack->count; i++) {
        const struct kw_rack_item *item = KW_ITEM(struct kw_rack_item, *rack, i);
        if (item->stock.kind == kind && strcmp(item->from, wanted) == 0) return item->from;
    }
    if (!first)
        kw_fail(err, KW_MISSING, nowhere, "shop.yaml lists no %s to make it from",
                kind == KW_SHEET ? "sheet" : "round tube");
    else if (wanted)
        kw_fail(err, KW_UNKNOWN, nowhere, "shop.yaml lists no \"%.*s\" for such a part",
                KW_SHOWN(wanted));
    return wanted ? NULL : first;
}

/// A part's lines in the given unit, of the first stock or of the one that the body names (NULL:
/// none); NULL with an error.
static const char *example_part(struct call *c, const struct kw_shop *shop, const char *word,
                                const char *wanted, int units, struct kw_error *err) {
    struct kw_place nowhere = {0};
    for (size_t i = 0; word && i < sizeof examples / sizeof *examples; i++) {
        if (strcmp(examples[i].word, word) != 0) continue;
        const char *text = examples[i].text[units == (int)KW_IN];
        bool tube = strcmp(word, "tube") == 0;
        const char *stock = stock_for(tube ? &shop->sticks : &shop->sheets,
                                      tube ? KW_ROUND_TUBE : KW_SHEET, wanted, err);
        return stock ? replaced(&c->arena, text, tube ? "@TUBE@" : "@SHEET@", stock) : NULL;
    }
    kw_fail(err, KW_UNKNOWN, nowhere, "example: expected plate, bracket or tube");
    return NULL;
}

static const char *drawn_part(struct call *c, const struct kw_shop *shop, const char *drawing,
                              const json_t *body, struct kw_error *err) {
    const json_t *layers = json_object_get(body, "layers");
    const char *measure = body_text(body, "must_measure");
    const char *stock = stock_for(&shop->sheets, KW_SHEET, body_text(body, "stock"), err);
    struct kw_place nowhere = {0};
    if (!stock) return NULL;
    if (strpbrk(drawing, "/\\\"'#:\n")) {
        kw_fail(err, KW_FORMAT, nowhere, "expected the name of a drawing");
        return NULL;
    }
    const char *flow = json_object_size(layers) > 0 ? layers_flow(&c->arena, layers, err) : "";
    if (!flow) return NULL;
    if (measure && measure[strspn(measure, "0123456789 -/.xinm")]) {
        kw_fail(err, KW_FORMAT, nowhere, "must_measure: expected two lengths such as 20 x 14");
        return NULL;
    }
    return kw_format(&c->arena, "from: %s\nper_kit: 1\nflat: drawings/%s\n%s%s%s%s%s%s", stock,
                     drawing, *flow ? "layers: " : "", flow, *flow ? "\n" : "",
                     measure ? "must_measure: " : "", measure ? measure : "", measure ? "\n" : "");
}

HANDLER(post_part) {
    json_t *body = body_object(c->request, c->response);
    if (!body) return;
    struct look_wish wish = read_wish(c, body);
    struct kw_text out = {0};
    struct kw_error err = {0};
    const char *name = body_text(body, "part"), *drawing = body_text(body, "drawing"), *was;
    struct view *v = view_take(c->server);
    if (!name || !kw_is_name(name)) {
        answer_says(c->response, 400, "part: expected a name of letters, digits, \"-\", \"_\"");
    } else if (!v->shop) {
        answer_error(c->response, 422, &v->error);
    } else if (begin_change(c, body, &wish, &was)) {
        struct look *look = look_take(c->server, &wish);
        int units = look->kit ? look->kit->units : v->shop->units;
        look_drop(c->server, look);
        const char *lines = drawing ? drawn_part(c, v->shop, drawing, body, &err)
                                    : example_part(c, v->shop, body_text(body, "example"),
                                                   body_text(body, "stock"), units, &err);
        enum kw_status s = lines ? splice_block(&c->arena, kit_file(c, wish.kit), wish.text,
                                                wish.length, "parts", name, lines, &out, &err)
                                 : KW_FORMAT;
        end_change(c, &wish, was, s, &out, &err);
    }
    view_drop(c->server, v);
    kw_text_free(&out);
    json_decref(body);
}

/// A whole file of one example part.
static const char *example_kit(struct call *c, const struct kw_shop *shop, const char *kit,
                               const char *word, struct kw_error *err) {
    const char *part = example_part(c, shop, word, NULL, shop->units, err);
    if (!part) return NULL;
    struct kw_text t = {0};
    kw_text_addf(&t, "kit: %s\nname: New %s\nunits: %s\n\nparts:\n  %s:\n", kit, word,
                 shop->units == (int)KW_IN ? "in" : "mm", word);
    for (const char *p = part; *p;) {
        size_t n = strcspn(p, "\n");
        kw_text_addf(&t, "    %.*s\n", (int)n, p);
        p += n + (p[n] == '\n');
    }
    const char *out = kw_copy_text(&c->arena, t.s, t.length);
    kw_text_free(&t);
    return out;
}

/// The old kit's text under the new name.
static enum kw_status copied_kit(struct call *c, const char *from, const char *kit,
                                 struct kw_text *out, struct kw_error *err) {
    char *bytes;
    size_t length;
    uint64_t hash;
    if (strpbrk(from, "/\\") || from[0] == '.')
        return kw_fail(err, KW_MISSING, (struct kw_place){0}, "no such kit");
    const char *file = kit_file(c, from);
    enum kw_status s =
        folder_read(&c->arena, c->server, file, KW_YAML_MOST_BYTES, &bytes, &length, &hash, err);
    if (s != KW_OK) return s;
    json_t *path = json_pack("[s]", "kit");
    s = splice_value(&c->arena, file, bytes, length, path, kit, out, err);
    json_decref(path);
    return s;
}

/// Sets the kit's title in the new text.
static enum kw_status set_title(struct call *c, const char *kit, const char *title,
                                struct kw_text *out, struct kw_error *err) {
    const char *text = kw_copy_text(&c->arena, out->s, out->length);
    json_t *path = json_pack("[s]", "name");
    enum kw_status s =
        splice_value(&c->arena, kit_file(c, kit), text, out->length, path, title, out, err);
    json_decref(path);
    return s;
}

static void make_kit(struct call *c, const json_t *body, const char *kit) {
    struct kw_error err = {0};
    struct kw_text out = {0};
    const char *from = body_text(body, "from");
    struct view *v = view_take(c->server);
    enum kw_status s = KW_OK;
    if (!v->shop) {
        err = v->error;
        if (err.at.file) err.at.file = err.file_name;
        s = err.status;
    } else if (from) {
        s = copied_kit(c, from, kit, &out, &err);
    } else {
        const char *text = example_kit(c, v->shop, kit, body_text(body, "example"), &err);
        if (text) kw_text_add(&out, text);
        s = err.status;
    }
    view_drop(c->server, v);
    const char *title = body_text(body, "title");
    if (s == KW_OK && title && *title) s = set_title(c, kit, title, &out, &err);
    struct look_wish wish = {.kit = kit, .text = out.s, .length = out.length};
    if (s == KW_OK)
        write_kit(c, &wish, NULL);
    else
        answer_error(c->response, status_of(&err), &err);
    kw_text_free(&out);
}

HANDLER(post_kit) {
    json_t *body = body_object(c->request, c->response);
    if (!body) return;
    const char *kit = body_text(body, "kit");
    if (!kit || !kw_is_name(kit))
        answer_says(c->response, 400, "kit: expected a name of letters, digits, \"-\" and \"_\"");
    else
        make_kit(c, body, kit);
    json_decref(body);
}
