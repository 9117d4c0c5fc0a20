// SPDX-License-Identifier: Apache-2.0
// YAML: places to the character, and every refusal with its place and words.
#include "form/form.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct kw_node *parse(struct kw_arena *a, const char *text) {
    struct kw_error err = {0};
    const struct kw_node *root = NULL;
    enum kw_status s = kw_yaml_parse(a, "f.yaml", text, strlen(text), &root, &err);
    cr_assert_eq(s, KW_OK, "%d:%d: %s in\n%s", err.at.line, err.at.column, err.text, text);
    return root;
}

static const struct kw_node *get(const struct kw_node *root, const char *path) {
    char key[64];
    while (root && *path) {
        size_t n = strcspn(path, ".");
        (void)snprintf(key, sizeof key, "%.*s", (int)n, path);
        bool index = key[0] >= '0' && key[0] <= '9' && root->kind == KW_LIST;
        root = index ? &root->items[atoi(key)] : kw_node_get(root, key);
        path += n + (path[n] == '.');
    }
    cr_assert(root != NULL);
    return root;
}

// "line:column-byte range" of the value.
static void expect_place(const char *text, const char *path, int line, int column, int key_line,
                         int key_column, const char *bytes) {
    struct kw_arena a = {0};
    const struct kw_node *node = get(parse(&a, text), path);
    cr_expect_eq(node->at.line, line, "%s: line %d", path, node->at.line);
    cr_expect_eq(node->at.column, column, "%s: column %d", path, node->at.column);
    cr_expect_eq(node->key_at.line, key_line, "%s: key line %d", path, node->key_at.line);
    cr_expect_eq(node->key_at.column, key_column, "%s: key column %d", path, node->key_at.column);
    char *got = kw_copy_text(&a, text + node->from, node->to - node->from);
    cr_expect_str_eq(got, bytes, "%s: bytes \"%s\"", path, got);
    cr_expect_str_eq(node->at.file, "f.yaml");
    kw_arena_free(&a);
}

Test(form_yaml, places_are_exact_in_nested_flow_maps) {
    const char *text = "parts:\n"
                       "  foot:\n"
                       "    base: { long: 6, round: { front-left: 1/4, f: \"q x\" }, e: }\n"
                       "    holes:\n"
                       "      - { size: 7/16, from_left: [1-1/2, 4-1/2] }\n";
    expect_place(text, "parts", 2, 3, 1, 1,
                 "foot:\n    base: { long: 6, round: { front-left: 1/4, f: \"q x\" }, e: }\n "
                 "   holes:\n      - { size: 7/16, from_left: [1-1/2, 4-1/2] }");
    expect_place(text, "parts.foot.base", 3, 11, 3, 5,
                 "{ long: 6, round: { front-left: 1/4, f: \"q x\" }, e: }");
    expect_place(text, "parts.foot.base.long", 3, 19, 3, 13, "6");
    expect_place(text, "parts.foot.base.round", 3, 29, 3, 22, "{ front-left: 1/4, f: \"q x\" }");
    expect_place(text, "parts.foot.base.round.front-left", 3, 43, 3, 31, "1/4");
    expect_place(text, "parts.foot.base.round.f", 3, 51, 3, 48, "\"q x\"");
    expect_place(text, "parts.foot.base.e", 3, 61, 3, 60, "");
    expect_place(text, "parts.foot.holes.0", 5, 9, 0, 0,
                 "{ size: 7/16, from_left: [1-1/2, 4-1/2] }");
    expect_place(text, "parts.foot.holes.0.from_left.1", 5, 42, 0, 0, "4-1/2");
}

Test(form_yaml, columns_count_characters_and_bytes_count_bytes) {
    expect_place("\xEF\xBB\xBF"
                 "a: 1\nb: { \xC3\xBC: \"\xE2\x82\xAC\", k: 5 }\n",
                 "a", 1, 4, 1, 1, "1");
    expect_place("\xEF\xBB\xBF"
                 "a: 1\nb: { \xC3\xBC: \"\xE2\x82\xAC\", k: 5 }\n",
                 "b.k", 2, 17, 2, 14, "5");
    expect_place("a: 1\r\nb: [x,\r\n  'it''s']\r\n", "b.1", 3, 3, 0, 0, "'it''s'");
}

Test(form_yaml, empty_values_stand_at_the_end_of_their_key) {
    expect_place("f:\ng:\n  -\n  - x:\n", "f", 1, 2, 1, 1, "");
    expect_place("f:\ng:\n  - a: 1\n  - x:\n", "g.1.x", 4, 6, 4, 5, "");
    expect_place("a: ~\nb: ''\n", "b", 2, 4, 2, 1, "''");
}

Test(form_yaml, block_ranges_end_with_their_last_value) {
    const char *text = "a:\n  b: 1 # note\n  c: [2]\n\n# more\nd: 3\n";
    expect_place(text, "a", 2, 3, 1, 1, "b: 1 # note\n  c: [2]");
    expect_place("# first\n---\na: 1\n", "", 3, 1, 0, 0, "a: 1");
    expect_place("l:\n- a: 1\n  b: 2\n- c: 3\n", "l", 2, 1, 1, 1, "- a: 1\n  b: 2\n- c: 3");
    expect_place("l:\n- a: 1\n  b: 2\n- c: 3\n", "l.0", 2, 3, 0, 0, "a: 1\n  b: 2");
}

Test(form_yaml, scalars_keep_what_was_written_but_for_quotes) {
    struct kw_arena a = {0};
    const struct kw_node *root = parse(&a, "a: 1-1/2 in\nb: \"x\\ty\"\nc: 'no'\nd: |\n  l1\n  l2\n"
                                           "e: 1.10\nf: hex bolt 3/8-16 x 1\n");
    cr_expect_str_eq(get(root, "a")->text, "1-1/2 in");
    cr_expect_str_eq(get(root, "b")->text, "x\ty");
    cr_expect_str_eq(get(root, "c")->text, "no");
    cr_expect(get(root, "c")->quoted && !get(root, "a")->quoted);
    cr_expect_str_eq(get(root, "d")->text, "l1\nl2\n");
    cr_expect_str_eq(get(root, "e")->text, "1.10");
    cr_expect_str_eq(get(root, "f")->text, "hex bolt 3/8-16 x 1");
    cr_expect_null(kw_node_get(root, "z"));
    cr_expect_eq(kw_place_of(root, "b").line, 2);
    cr_expect_eq(kw_place_of(root, "z").line, 1);
    cr_expect_eq(kw_place_of(NULL, "z").line, 0);
    kw_arena_free(&a);
}

// Under the leak checker this fails with libfyaml's own way to get at a text.
Test(form_yaml, texts_of_many_escapes_are_whole) {
    struct kw_arena a = {0};
    struct kw_text text = {0}, want = {0};
    kw_text_add(&text, "a: \"");
    for (int i = 0; i < 500; i++) {
        kw_text_add(&text, i % 2 ? "\\\"" : "\\u00fcx");
        kw_text_add(&want, i % 2 ? "\"" : "\xC3\xBCx");
    }
    kw_text_add(&text, "\"\nb: >\n  f\n  g\n\n  h\nc: x\n  y\n");
    const struct kw_node *root = parse(&a, text.s);
    cr_expect_str_eq(get(root, "a")->text, want.s);
    cr_expect_str_eq(get(root, "b")->text, "f g\nh\n");
    cr_expect_str_eq(get(root, "c")->text, "x y");
    kw_text_free(&text);
    kw_text_free(&want);
    kw_arena_free(&a);
}

struct refusal {
    const char *text;
    const char *line;
};

static void expect_refusal(const char *bytes, size_t length, const char *line) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    const struct kw_node *root = NULL;
    char got[900];
    enum kw_status s = kw_yaml_parse(&a, "f.yaml", bytes, length, &root, &err);
    cr_expect_neq(s, KW_OK, "taken: %s", bytes);
    cr_expect_eq(kw_exit_code(s), 2);
    cr_expect_null(root);
    kw_error_line(&err, got, sizeof got);
    cr_expect_str_eq(got, line, "\n got %s\n not %s", got, line);
    kw_arena_free(&a);
}

Test(form_yaml, refuses_with_place_and_words) {
    static const struct refusal cases[] = {
        {"", "f.yaml:1:1: nothing in the file"},
        {"# only this\n\n", "f.yaml:1:1: nothing in the file"},
        {"---\n", "f.yaml:1:1: nothing in the file"},
        {"a: 1\nb: 2\na: 3\n", "f.yaml:3:1: the key \"a\" twice"},
        {"m: { x: 1, y: { x: 1 }, x: 2 }\n", "f.yaml:1:25: the key \"x\" twice"},
        {"a: &x 1\n", "f.yaml:1:4: an anchor (&name) is not used here, put the text in quotes"},
        {"a: *x\n", "f.yaml:1:4: an alias (*name) is not used here, put the text in quotes"},
        {"a: 1\nb: { <<: *x }\n",
         "f.yaml:2:10: an alias (*name) is not used here, put the text in quotes"},
        {"a: 1\n---\nb: 1\n", "f.yaml:2:1: a second document in the file, only one is read"},
        {"a:\n\tb: 1\n", "f.yaml:2:1: a tab in the indentation, use spaces"},
        {"a:\n  \tb: 1\n", "f.yaml:2:3: a tab in the indentation, use spaces"},
        {"%YAML 1.1\n---\na: 1\n", "f.yaml:1:1: a line that starts with % is not used here"},
        {"a: [1, 2\nb: 3\n",
         "f.yaml:3:1: not well-formed YAML: flow sequence without a closing bracket"},
        {"{a: 1", "f.yaml:1:6: not well-formed YAML: missing comma in flow mapping"},
        {"a: b: c\n",
         "f.yaml:1:5: not well-formed YAML: invalid nested block mapping on the same line"},
        {"a: \"x\n",
         "f.yaml:1:5: not well-formed YAML: double-quoted scalar without closing quote"},
        {"a: 1\n b: 2\n", "f.yaml:1:4: not well-formed YAML: invalid multiline plain key"},
        {"a: 1\n? [b]\n: 2\n", "f.yaml:2:3: a key must be one word or line of text"},
        {": 2\n", "f.yaml:1:1: a key must be one word or line of text"},
        {"a: \"\\0\"\n", "f.yaml:1:4: a NUL byte in the text"},
        {"a: 1\n\x01"
         "b: 2\n",
         "f.yaml:2:1: a control character in the file"},
        {"a: \xC2\x85\n", "f.yaml:1:4: a control character in the file"},
        {"a: x\xE2\x80\xA8\n", "f.yaml:1:5: a Unicode line separator in the file"},
        {"a: x\ry: 2\n", "f.yaml:1:5: a carriage return without a line feed in the file"},
        {"a: x\xEF\xBB\xBF\n", "f.yaml:1:5: a byte order mark in the file"},
        {"a: \xC3\xBC\xFF\n", "f.yaml:1:5: not UTF-8 text, save the file as UTF-8"},
        {"# caf\xE9\na: 1\n", "f.yaml:1:6: not UTF-8 text, save the file as UTF-8"},
        {"\xFF\xFE"
         "a",
         "f.yaml:1:1: not UTF-8 text, save the file as UTF-8"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        expect_refusal(cases[i].text, strlen(cases[i].text), cases[i].line);
    }
    expect_refusal("a: 1\nb: x\0y\n", 12, "f.yaml:2:5: a NUL byte in the file");
}

Test(form_yaml, refuses_tags_wherever_they_stand) {
    static const char *const texts[] = {"a: !!str 2\n", "a: !x [1]\n", "a: ! \n", "!!map {a: 1}\n"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct kw_arena a = {0};
        struct kw_error err = {0};
        const struct kw_node *root;
        cr_expect_eq(kw_yaml_parse(&a, "f", texts[i], strlen(texts[i]), &root, &err), KW_FORMAT);
        cr_expect_str_eq(err.text, "a tag (!name) is not used here, put the text in quotes");
        cr_expect_eq(err.at.line, 1);
        kw_arena_free(&a);
    }
}

static struct kw_text repeat(const char *s, int n) {
    struct kw_text t = {0};
    for (int i = 0; i < n; i++)
        kw_text_add(&t, s);
    return t;
}

Test(form_yaml, depth_size_and_number_of_values_are_bounded) {
    struct kw_arena a = {0};
    const struct kw_node *root;
    struct kw_text deep = repeat("[", 40);
    for (int i = 0; i < 40; i++)
        kw_text_add(&deep, "]");
    struct kw_error err = {0};
    cr_expect_eq(kw_yaml_parse(&a, "f", deep.s, deep.length, &root, &err), KW_OK, "%s", err.text);
    struct kw_text deeper = repeat("[", 1000);
    expect_refusal(deeper.s, deeper.length, "f.yaml:1:41: nested more than 40 deep");
    struct kw_text block = {0};
    for (int i = 0; i < 1000; i++)
        kw_text_addf(&block, "%*sa:\n", i, "");
    expect_refusal(block.s, block.length, "f.yaml:41:41: nested more than 40 deep");
    struct kw_text dashes = repeat("- ", 1000);
    expect_refusal(dashes.s, dashes.length, "f.yaml:1:81: nested more than 40 deep");
    struct kw_text many = repeat("- a\n", KW_YAML_MOST_VALUES + 1);
    expect_refusal(many.s, many.length, "f.yaml:200000:3: more than 200000 values");
    struct kw_text big = repeat("# a long remark that says nothing\n", 70000);
    expect_refusal(big.s, big.length, "f.yaml: larger than the 2048 kB that are read");
    kw_text_free(&deep);
    kw_text_free(&deeper);
    kw_text_free(&block);
    kw_text_free(&dashes);
    kw_text_free(&many);
    kw_text_free(&big);
    kw_arena_free(&a);
}

// libfyaml's own check took 5.9 s for 20,000 keys (measured); this one is linear.
Test(form_yaml, forty_thousand_keys_are_read_in_linear_time, .timeout = 60) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    const struct kw_node *root;
    struct kw_text t = {0};
    for (int i = 0; i < 40000; i++)
        kw_text_addf(&t, "k%d: %d\n", i, i);
    cr_expect_eq(kw_yaml_parse(&a, "f", t.s, t.length, &root, &err), KW_OK, "%s", err.text);
    cr_expect_eq(root->count, 40000);
    cr_expect_eq(root->items[39999].at.line, 40000);
    kw_text_add(&t, "k30000: again\n");
    cr_expect_eq(kw_yaml_parse(&a, "f", t.s, t.length, &root, &err), KW_DUPLICATE);
    cr_expect_eq(err.at.line, 40001);
    kw_text_free(&t);
    kw_arena_free(&a);
}
