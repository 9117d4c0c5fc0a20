// Looking at kits and changing them in their own bytes.
#include "server_help.h"

static int look_at(struct shop *s, const char *kit, const char *query) {
    char target[256];
    snprintf(target, sizeof target, "/api/kits/%s%s", kit, query);
    return ask(s, "GET", target, NULL);
}

static int set(struct shop *s, const char *kit, json_t *path, const char *value, const char *was) {
    char target[128];
    snprintf(target, sizeof target, "/api/kits/%s/set", kit);
    return ask_json(s, "POST", target,
                    json_pack("{sossss}", "path", path, "value", value, "was", was));
}

static json_t *part_named(const json_t *look, const char *name) {
    size_t i;
    json_t *p;
    json_array_foreach(json_object_get(look, "parts"), i,
                       p) if (strcmp(text_at(p, "part"), name) == 0) return p;
    return NULL;
}

/// All names of kits in the folder.
static json_t *kits_of(struct shop *s) {
    cr_assert_eq(ask(s, "GET", "/api/shop", NULL), 200);
    return json_incref(json_object_get(s->json, "kits"));
}

// Setting each size on the picture to what it is leaves every byte as it was, and to the same in
// other words changes those bytes alone.
Test(server_kits, every_size_on_the_picture_can_be_set) {
    struct shop s;
    open_shop(&s);
    json_t *kits = kits_of(&s), *kit;
    size_t k;
    int count = 0;
    json_array_foreach(kits, k, kit) {
        const char *name = text_at(kit, "kit");
        char file[128];
        snprintf(file, sizeof file, "kits/%s.yaml", name);
        cr_assert_eq(look_at(&s, name, ""), 200);
        cr_assert(json_is_null(json_object_get(s.json, "error")));
        json_t *look = json_incref(s.json), *part, *size;
        char *before = strdup(file_text(&s, file));
        size_t p, i;
        json_array_foreach(json_object_get(look, "parts"), p, part) {
            json_array_foreach(json_object_get(part, "sizes"), i, size) {
                json_t *path = json_object_get(size, "path");
                int status =
                    set(&s, name, json_incref(path), text_at(size, "value"), text_at(look, "hash"));
                cr_assert_eq(status, 200, "%s: %s", name, text_at(size, "says"));
                cr_assert(json_is_true(json_object_get(s.json, "written")), "%s", name);
                cr_assert_str_eq(file_text(&s, file), before, "%s: %s", name,
                                 text_at(size, "says"));
                count++;
            }
        }
        free(before);
        json_decref(look);
    }
    cr_expect(count > 100, "%d sizes", count);
    json_decref(kits);
    close_shop(&s);
}

Test(server_kits, a_change_is_one_values_bytes) {
    struct shop s;
    open_shop(&s);
    cr_assert_eq(look_at(&s, "firewood-rack", ""), 200);
    char *before = strdup(file_text(&s, "kits/firewood-rack.yaml"));
    json_t *path = json_pack("[sssss]", "parts", "foot", "bends", "A", "height");
    cr_assert_eq(set(&s, "firewood-rack", path, "1/4 in", text_at(s.json, "hash")), 200);
    const char *after = file_text(&s, "kits/firewood-rack.yaml");
    const char *was = "A: { along: back, height: 1-1/2, turn", *at = strstr(before, was);
    cr_assert(at);
    size_t n = (size_t)(at - before) + strlen("A: { along: back, height: ");
    cr_expect_eq(strncmp(before, after, n), 0);
    cr_expect_eq(strncmp(after + n, "1/4 in", 6), 0);
    cr_expect_str_eq(after + n + 6, before + n + 5);
    bool stopped = false;
    size_t i;
    json_t *f;
    json_array_foreach(json_object_get(s.json, "findings"), i, f) {
        stopped = stopped ||
                  (strcmp(text_at(f, "level"), "stop") == 0 &&
                   json_integer_value(json_object_get(json_object_get(f, "where"), "line")) == 25);
    }
    cr_expect(stopped, "a flange too short to bend is told at its line");
    cr_expect(json_is_false(json_object_get(part_named(s.json, "foot"), "makeable")));
    free(before);
    close_shop(&s);
}

Test(server_kits, what_changed_outside_is_never_written_over) {
    struct shop s;
    open_shop(&s);
    cr_assert_eq(look_at(&s, "fire-ring", ""), 200);
    char *hash = strdup(text_at(s.json, "hash")), *text = strdup(text_at(s.json, "text"));
    long version = 0, later;
    ask(&s, "GET", "/api/shop", NULL);
    version = (long)json_integer_value(json_object_get(s.json, "version"));
    FILE *f = fopen(shop_file(&s, "kits/fire-ring.yaml"), "a");
    fputs("# somebody else's line\n", f);
    fclose(f);
    ask(&s, "GET", "/api/shop", NULL);
    later = (long)json_integer_value(json_object_get(s.json, "version"));
    cr_expect_gt(later, version, "noticed");
    cr_expect_eq(set(&s, "fire-ring", json_pack("[s]", "name"), "Other", hash), 409);
    cr_expect_eq(strlen(text_at(s.json, "hash")), 16);
    cr_expect_eq(
        ask_json(&s, "PUT", "/api/kits/fire-ring", json_pack("{ssss}", "text", text, "was", hash)),
        409);
    char *now = strdup(text_at(s.json, "hash"));
    cr_expect(strstr(file_text(&s, "kits/fire-ring.yaml"), "somebody else's line"));
    cr_expect_eq(
        ask_json(&s, "PUT", "/api/kits/fire-ring", json_pack("{ssss}", "text", text, "was", now)),
        200, "over what was seen it is written");
    cr_expect(json_is_true(json_object_get(s.json, "written")));
    cr_expect_str_eq(text_at(s.json, "hash"), hash);
    unlink(shop_file(&s, "kits/fire-ring.yaml"));
    cr_expect_eq(
        ask_json(&s, "PUT", "/api/kits/fire-ring", json_pack("{ssss}", "text", text, "was", hash)),
        409, "a file that is gone is not made again");
    free(hash);
    free(text);
    free(now);
    close_shop(&s);
}

Test(server_kits, what_cannot_be_read_is_not_written) {
    struct shop s;
    open_shop(&s);
    cr_assert_eq(look_at(&s, "herb-box", ""), 200);
    char *hash = strdup(text_at(s.json, "hash")),
         *before = strdup(file_text(&s, "kits/herb-box.yaml"));
    cr_expect_eq(ask_json(&s, "PUT", "/api/kits/herb-box",
                          json_pack("{ssss}", "text", "kit: [", "was", hash)),
                 200);
    cr_expect(json_is_false(json_object_get(s.json, "written")));
    cr_expect_gt(json_integer_value(json_object_get(json_object_get(s.json, "error"), "line")), 0);
    cr_expect_eq(set(&s, "herb-box", json_pack("[s]", "units"), "furlong", hash), 200);
    cr_expect(json_is_false(json_object_get(s.json, "written")));
    cr_expect_eq(set(&s, "herb-box", json_pack("[s]", "kit"), "fire-ring", hash), 409,
                 "two files of one kit");
    cr_expect_eq(set(&s, "herb-box", json_pack("[ss]", "parts", "nobody"), "1", hash), 404);
    cr_expect_eq(set(&s, "herb-box", json_pack("[s]", "parts"), "1", hash), 422, "a map");
    cr_expect_eq(set(&s, "herb-box", json_array(), "1", hash), 404);
    cr_expect_eq(set(&s, "herb-box", json_pack("[s]", "name"), "a\nb", hash), 422);
    cr_expect_str_eq(file_text(&s, "kits/herb-box.yaml"), before);
    free(hash);
    free(before);
    close_shop(&s);
}

Test(server_kits, sizes_and_options_are_looks_of_their_own) {
    struct shop s;
    open_shop(&s);
    cr_assert_eq(look_at(&s, "herb-box", ""), 200);
    char *first = strdup(text_at(s.json, "look")), *hash = strdup(text_at(s.json, "hash"));
    cr_expect_str_eq(text_at(s.json, "size"), "18");
    double small = json_number_value(
        json_object_get(json_array_get(json_object_get(s.json, "parts"), 0), "mass"));
    cr_assert_eq(look_at(&s, "herb-box", "?size=24"), 200);
    cr_expect_str_neq(text_at(s.json, "look"), first);
    cr_expect_str_eq(text_at(s.json, "hash"), hash);
    double large = json_number_value(
        json_object_get(json_array_get(json_object_get(s.json, "parts"), 0), "mass"));
    cr_expect_gt(large, small);
    cr_expect_null(part_named(s.json, "foot"));
    cr_assert_eq(look_at(&s, "herb-box", "?with=feet"), 200);
    cr_expect_not_null(part_named(s.json, "foot"));
    cr_assert_eq(look_at(&s, "herb-box", "?with="), 200);
    cr_expect_null(part_named(s.json, "foot"));
    cr_assert_eq(look_at(&s, "herb-box", "?size=99"), 200);
    cr_expect(json_is_object(json_object_get(s.json, "error")), "no such size");
    free(first);
    free(hash);
    close_shop(&s);
}

Test(server_kits, new_kits_begin_from_old_ones_or_examples) {
    struct shop s;
    open_shop(&s);
    const char *words[] = {"plate", "bracket", "tube"};
    for (int i = 0; i < 3; i++) {
        char name[32];
        snprintf(name, sizeof name, "new-%s", words[i]);
        cr_expect_eq(ask_json(&s, "POST", "/api/kits",
                              json_pack("{ssss}", "kit", name, "example", words[i])),
                     200);
        cr_expect(json_is_true(json_object_get(s.json, "written")), "%s", words[i]);
        cr_expect_eq(json_array_size(json_object_get(s.json, "findings")), 0, "%s", words[i]);
        cr_expect_eq(ask_json(&s, "POST", "/api/kits",
                              json_pack("{ssss}", "kit", name, "example", words[i])),
                     409, "it is there already");
    }
    cr_expect_eq(ask_json(&s, "POST", "/api/kits",
                          json_pack("{ssss}", "kit", "arch-2", "from", "garden-arch")),
                 200);
    cr_expect_str_eq(text_at(s.json, "family"), "arch-2");
    cr_expect(strstr(file_text(&s, "kits/arch-2.yaml"), "#"), "comments come along");
    char *hash = strdup(text_at(s.json, "hash"));
    cr_expect_eq(
        ask_json(&s, "POST", "/api/kits/arch-2/parts",
                 json_pack("{ssssss}", "part", "extra", "example", "bracket", "was", hash)),
        200);
    cr_expect(json_is_true(json_object_get(s.json, "written")));
    cr_expect_not_null(part_named(s.json, "extra"));
    free(hash);
    hash = strdup(text_at(s.json, "hash"));
    cr_expect_eq(ask_json(&s, "POST", "/api/kits/arch-2/parts",
                          json_pack("{ssssssss}", "part", "thick", "example", "plate", "stock",
                                    "3/16 in hot-rolled sheet", "was", hash)),
                 200);
    cr_expect_str_eq(text_at(part_named(s.json, "thick"), "material"), "3/16 in hot-rolled sheet");
    cr_expect_eq(json_integer_value(json_object_get(part_named(s.json, "thick"), "each")), 1);
    cr_expect_eq(ask_json(&s, "POST", "/api/kits/arch-2/parts",
                          json_pack("{ssssssss}", "part", "odd", "example", "tube", "stock",
                                    "3/16 in hot-rolled sheet", "was", text_at(s.json, "hash"))),
                 422, "no tube is made of sheet");
    cr_expect_eq(ask_json(&s, "POST", "/api/kits",
                          json_pack("{ssssss}", "kit", "arch-3", "from", "garden-arch", "title",
                                    "Arch: wide")),
                 200);
    cr_expect(strstr(file_text(&s, "kits/arch-3.yaml"), "name: 'Arch: wide'"));
    cr_assert_eq(ask(&s, "GET", "/api/kits/arch-2", NULL), 200);
    free(hash);
    hash = strdup(text_at(s.json, "hash"));
    cr_expect_eq(ask_json(&s, "POST", "/api/kits/arch-2/parts",
                          json_pack("{sssssss{ss}}", "part", "sprig", "drawing", "leaf.dxf", "was",
                                    hash, "layers", "LEAF", "cut")),
                 200);
    cr_expect_not_null(part_named(s.json, "sprig"));
    cr_expect(strstr(text_at(s.json, "text"), "    layers: { cut: LEAF }\n"));
    cr_expect_eq(ask_json(&s, "POST", "/api/kits/arch-2/parts",
                          json_pack("{ssssss}", "part", "extra", "example", "bracket", "was",
                                    text_at(s.json, "hash"))),
                 422, "the name is taken");
    free(hash);
    close_shop(&s);
}

Test(server_kits, a_draft_is_looked_at_and_not_written) {
    struct shop s;
    open_shop(&s);
    char *before = strdup(file_text(&s, "kits/fire-ring.yaml"));
    char *draft = malloc(strlen(before) + 32);
    sprintf(draft, "%s# draft\n", before);
    cr_assert_eq(ask_json(&s, "POST", "/api/kits/fire-ring/look", json_pack("{ss}", "text", draft)),
                 200);
    cr_expect(json_is_false(json_object_get(s.json, "written")));
    cr_expect_str_eq(text_at(s.json, "text"), draft);
    cr_assert_eq(
        ask_json(&s, "POST", "/api/kits/fire-ring/set",
                 json_pack("{s[s]ssss}", "path", "name", "value", "Ring: of fire", "text", draft)),
        200);
    cr_expect(strstr(text_at(s.json, "text"), "name: 'Ring: of fire'"), "quoted where it must be");
    cr_expect(strstr(text_at(s.json, "text"), "# draft"));
    cr_expect_str_eq(file_text(&s, "kits/fire-ring.yaml"), before);
    free(before);
    free(draft);
    close_shop(&s);
}

Test(server_kits, a_shop_file_that_cannot_be_read_is_told) {
    struct shop s;
    open_shop(&s);
    cr_assert_eq(kw_write_file(shop_file(&s, "shop.yaml"), "name: [", 7, NULL), KW_OK);
    cr_assert_eq(ask(&s, "GET", "/api/shop", NULL), 200);
    json_t *e = json_object_get(s.json, "error");
    cr_assert(json_is_object(e));
    cr_expect_str_eq(text_at(e, "file"), "shop.yaml");
    cr_expect_gt(json_array_size(json_object_get(s.json, "kits")), 3);
    cr_assert_eq(look_at(&s, "fire-ring", ""), 200);
    cr_expect(json_is_object(json_object_get(s.json, "error")));
    copy_file("demo/shop.yaml", shop_file(&s, "shop.yaml"));
    cr_assert_eq(look_at(&s, "fire-ring", ""), 200);
    cr_expect(json_is_null(json_object_get(s.json, "error")), "mended outside, read again");
    close_shop(&s);
}

Test(server_kits, layers_of_a_drawing_get_other_roles) {
    struct shop s;
    open_shop(&s);
    cr_assert_eq(ask(&s, "GET", "/api/drawings/leaf.dxf", NULL), 200);
    cr_expect_not_null(json_object_get(json_object_get(s.json, "error"), "text"), "no such layer");
    cr_assert_eq(ask(&s, "GET", "/api/drawings/leaf.dxf?layers=%7B%22leaf%22:%22cut%22%7D", NULL),
                 200);
    cr_expect(json_is_null(json_object_get(s.json, "error")));
    json_t *row = json_array_get(json_object_get(s.json, "layers"), 0);
    cr_expect_str_eq(text_at(row, "role"), "cut");
    cr_expect(json_is_null(json_object_get(row, "shop_role")));
    cr_expect_eq(ask(&s, "GET", "/api/drawings/leaf.dxf?layers=%7B%22leaf%22:%22glue%22%7D", NULL),
                 400);
    cr_expect_eq(ask(&s, "GET", "/api/drawings/leaf.dxf?layers=%5B", NULL), 400);

    cr_assert_eq(ask(&s, "GET", "/api/kits/firewood-rack", NULL), 200);
    char *hash = strdup(text_at(s.json, "hash"));
    cr_assert_eq(ask_json(&s, "POST", "/api/kits/firewood-rack/layers",
                          json_pack("{sssss{ssss}}", "part", "side", "was", hash, "layers",
                                    "BEND_UP", "bend down", "a, b", "ignore")),
                 200);
    cr_expect(json_is_true(json_object_get(s.json, "written")));
    const json_t *side = part_named(s.json, "side");
    cr_expect_str_eq(text_at(json_object_get(side, "layers"), "BEND_UP"), "bend down");
    const json_t *bend = json_array_get(json_object_get(side, "bends"), 0);
    cr_expect_str_eq(text_at(bend, "toward"), "down", "the part folds the other way");
    cr_expect(strstr(file_text(&s, "kits/firewood-rack.yaml"),
                     "    layers: { bend_down: BEND_UP, ignore: \"a, b\" }\n"));
    cr_expect_eq(
        ask_json(&s, "POST", "/api/kits/firewood-rack/layers",
                 json_pack("{sssss{ss}}", "part", "side", "was", hash, "layers", "X", "cut")),
        409, "somebody was first");
    free(hash);
    close_shop(&s);
}

static const json_t *risk_of(const json_t *look, const char *part) {
    size_t i;
    json_t *f;
    json_array_foreach(json_object_get(look, "findings"), i,
                       f) if (strcmp(text_at(f, "level"), "risk") == 0 && text_at(f, "part") &&
                              strcmp(text_at(f, "part"), part) == 0) return f;
    return NULL;
}

static json_t *signature(const char *risk, const char *part, const char *was) {
    return json_pack("{ss ss ss ss ss}", "risk", risk, "part", part, "by", "R. O'Dell, foreman",
                     "reason", "ten made: none cracked", "was", was);
}

Test(server_kits, a_risk_is_signed_until_the_part_changes) {
    struct shop s;
    open_shop(&s);
    cr_assert_eq(ask(&s, "GET", "/api/kits/potting-bench", NULL), 200);
    const json_t *risk = risk_of(s.json, "tool-strip");
    cr_assert_not_null(risk);
    char *rule = strdup(text_at(risk, "rule"));
    cr_assert_eq(ask_json(&s, "POST", "/api/kits/potting-bench/signatures",
                          signature(rule, "tool-strip", text_at(s.json, "hash"))),
                 200);
    cr_expect(json_is_true(json_object_get(s.json, "written")));
    const char *signed_by = text_at(risk_of(s.json, "tool-strip"), "signed");
    cr_assert_not_null(signed_by);
    cr_expect(strstr(signed_by, "R. O'Dell, foreman, 2") && strstr(signed_by, "none cracked"), "%s",
              signed_by);

    // another code: open again; signed again: in the same line
    char *text = strdup(text_at(s.json, "text")), *code = strstr(text, "code: \"");
    cr_assert_not_null(code);
    code[strlen("code: \"")] = code[strlen("code: \"")] == '0' ? '1' : '0';
    cr_assert_eq(ask_json(&s, "PUT", "/api/kits/potting-bench",
                          json_pack("{ssss}", "text", text, "was", text_at(s.json, "hash"))),
                 200);
    cr_expect_null(text_at(risk_of(s.json, "tool-strip"), "signed"));
    cr_assert_eq(ask_json(&s, "POST", "/api/kits/potting-bench/signatures",
                          signature(rule, "tool-strip", text_at(s.json, "hash"))),
                 200);
    cr_expect_not_null(text_at(risk_of(s.json, "tool-strip"), "signed"));
    const char *first = strstr(text_at(s.json, "text"), "code: \"");
    cr_expect(first && !strstr(first + 1, "code: \""), "one signature");

    cr_expect_eq(ask_json(&s, "POST", "/api/kits/potting-bench/signatures",
                          signature("no-such-risk", "tool-strip", text_at(s.json, "hash"))),
                 422);
    cr_assert_eq(ask(&s, "GET", "/api/kits/potting-bench", NULL), 200);
    cr_expect_eq(ask_json(&s, "POST", "/api/kits/potting-bench/signatures",
                          signature("leg-short", "back-rail", text_at(s.json, "hash"))),
                 422, "a stop can't be signed");
    free(text);
    free(rule);
    close_shop(&s);
}

/// Each size of a kit has parts of its own codes: signed one by one, none troubles the other.
Test(server_kits, sizes_are_signed_one_by_one) {
    struct shop s;
    open_shop(&s);
    static const char *const sizes[] = {"10", "12"};
    char *text =
        strdup("kit: k\nname: K\nunits: in\nsizes: { \"10\": { l: 10 }, \"12\": { l: 12 } }\n"
               "parts:\n  strip:\n    from: 11 ga hot-rolled sheet\n    per_kit: 1\n"
               "    base: { long: l, wide: 3 }\n    bends:\n"
               "      A: { along: back, height: 1-1/2, turn: 90, way: up }\n    holes:\n"
               "      - { size: 1/2, from_left: 5, from_front: 2-7/16 }\n");
    for (int i = 0; i < 2; i++) {
        json_t *body = signature("hole-near-bend", "strip", "");
        json_object_set_new(body, "text", json_string(text));
        json_object_set_new(body, "size", json_string(sizes[i]));
        cr_assert_eq(ask_json(&s, "POST", "/api/kits/k/signatures", body), 200);
        free(text);
        text = strdup(text_at(s.json, "text"));
    }
    for (int i = 0; i < 2; i++) {
        cr_assert_eq(ask_json(&s, "POST", "/api/kits/k/look",
                              json_pack("{ssss}", "text", text, "size", sizes[i])),
                     200);
        const json_t *risk = risk_of(s.json, "strip");
        cr_assert_not_null(risk, "size %s", sizes[i]);
        cr_expect_not_null(text_at(risk, "signed"), "size %s", sizes[i]);
        size_t k;
        json_t *f;
        json_array_foreach(json_object_get(s.json, "findings"), k, f)
            cr_expect_neq(strncmp(text_at(f, "rule"), "signed-", 7), 0, "%s", text_at(f, "says"));
    }
    free(text);
    close_shop(&s);
}
