// Splices of a kit file's bytes: what stands where, and what is refused. YAML 1.2.2 says which
// scalars may be plain (7.3.3), and how quotes are written within quotes (7.3.1, 7.3.2).
#include "server/splice.h"

#include <criterion/criterion.h>
#include <string.h>

/// Path in words: "a.0.b".
static json_t *path_of(const char *words) {
    json_t *path = json_array();
    char key[64];
    while (*words) {
        size_t n = strcspn(words, ".");
        (void)snprintf(key, sizeof key, "%.*s", (int)n, words);
        bool index = key[0] >= '0' && key[0] <= '9';
        json_array_append_new(path, index ? json_integer(atoi(key)) : json_string(key));
        words += n + (words[n] == '.');
    }
    return path;
}

/// NULL for `expected`: refused.
static void expect_set(const char *text, const char *words, const char *value,
                       const char *expected) {
    struct kw_arena a = {0};
    struct kw_text out = {0};
    struct kw_error err = {0};
    json_t *path = path_of(words);
    enum kw_status s = splice_value(&a, "f.yaml", text, strlen(text), path, value, &out, &err);
    if (expected) {
        cr_expect_eq(s, KW_OK, "%s = %s in\n%s: %s", words, value, text, err.text);
        if (s == KW_OK) cr_expect_str_eq(out.s, expected);
    } else {
        cr_expect_neq(s, KW_OK, "%s = %s in\n%s gave\n%s", words, value, text, out.s);
        cr_expect(err.text[0]);
    }
    json_decref(path);
    kw_text_free(&out);
    kw_arena_free(&a);
}

Test(server_splice, plain_values) {
    expect_set("a: 1   # one\nb: 2\n", "a", "3/4 in", "a: 3/4 in   # one\nb: 2\n");
    expect_set("a: { b: 1, c: [2, 3] } # x\n", "a.c.1", "4", "a: { b: 1, c: [2, 4] } # x\n");
    expect_set("a:\n  - b: 1\n  - b: 2\n", "a.1.b", "x y", "a:\n  - b: 1\n  - b: x y\n");
    expect_set("a: 1\r\nb: 2\r\n", "a", "9", "a: 9\r\nb: 2\r\n");
    expect_set("\xef\xbb\xbf"
               "a: 1\n",
               "a", "2",
               "\xef\xbb\xbf"
               "a: 2\n");
    expect_set("a: 1", "a", "2", "a: 2");
    expect_set("# caf\xc3\xa9\na: \xc3\xa9t\xc3\xa9 # h\n", "a", "\xc3\xb6",
               "# caf\xc3\xa9\na: \xc3\xb6 # h\n");
}

Test(server_splice, values_that_need_quotes_get_them) {
    expect_set("a: x # c\n", "a", "y: z", "a: 'y: z' # c\n");
    expect_set("a: x # c\n", "a", "y #z", "a: 'y #z' # c\n");
    expect_set("a: [x, y]\n", "a.0", "p, q", "a: ['p, q', y]\n");
    expect_set("a: { b: x }\n", "a.b", "}", "a: { b: '}' }\n");
    expect_set("a: x\n", "a", "it's: so", "a: 'it''s: so'\n");
    expect_set("a: x\n", "a", "- x", "a: '- x'\n");
    expect_set("a: x\n", "a", "&x", "a: '&x'\n");
    expect_set("a: x\n", "a", "*x", "a: '*x'\n");
    expect_set("a: x\n", "a", "!x y", "a: '!x y'\n");
    expect_set("a: x\n", "a", " y ", "a: ' y '\n");
    expect_set("a: x\n", "a", "%y", "a: '%y'\n");
    expect_set("a: x\n", "a", "@y", "a: '@y'\n");
    expect_set("a: x\nb: 1\n", "a", "b: 2", "a: 'b: 2'\nb: 1\n");
}

Test(server_splice, quotes_are_kept) {
    expect_set("a: \"1\" # c\n", "a", "2", "a: \"2\" # c\n");
    expect_set("a: '1'\n", "a", "it's", "a: 'it''s'\n");
    expect_set("a: \"1\"\n", "a", "say \"hi\" \\ there", "a: \"say \\\"hi\\\" \\\\ there\"\n");
}

Test(server_splice, empty_values_are_filled) {
    expect_set("a:\nb: 2\n", "a", "1", "a: 1\nb: 2\n");
    expect_set("a: # later\nb: 2\n", "a", "1", "a: 1 # later\nb: 2\n");
}

Test(server_splice, what_is_no_single_value_is_refused) {
    expect_set("a: { b: 1 }\n", "a", "2", NULL);
    expect_set("a: [1]\n", "a", "2", NULL);
    expect_set("a: 1\n", "b", "2", NULL);
    expect_set("a: [1]\n", "a.1", "2", NULL);
    expect_set("a: [1]\n", "a.x", "2", NULL);
    expect_set("a: 1\n", "", "2", NULL);
    expect_set("a: 1\n", "a", "", NULL);
    expect_set("a: 1\n", "a", "1\nb: 2", NULL);
    expect_set("a: 1\n", "a", "x\ty", NULL);
    expect_set("a: [\n", "a", "1", NULL);
}

Test(server_splice, blocks_are_added_at_the_end_of_a_map) {
    struct kw_arena a = {0};
    const struct {
        const char *text, *expected;
    } cases[] = {
        {"parts:\n  p:\n    x: 1 # one\n# next\nbags:\n  b: 1\n",
         "parts:\n  p:\n    x: 1 # one\n  q:\n    y: 2\n    z: 3\n# next\nbags:\n  b: 1\n"},
        {"parts:\n    p: { x: 1 }", "parts:\n    p: { x: 1 }\n    q:\n      y: 2\n      z: 3\n"},
        {"parts:\r\n  p: 1\r\n", "parts:\r\n  p: 1\r\n  q:\r\n    y: 2\r\n    z: 3\r\n"},
        {"parts: { p: 1 }\n", NULL},
        {"parts:\n  q: 1\n", NULL},
        {"parts: 1\n", NULL},
        {"part: 1\n", NULL}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_text out = {0};
        struct kw_error err = {0};
        enum kw_status s = splice_block(&a, "f.yaml", cases[i].text, strlen(cases[i].text), "parts",
                                        "q", "y: 2\nz: 3\n", &out, &err);
        if (cases[i].expected) {
            cr_expect_eq(s, KW_OK, "%s: %s", cases[i].text, err.text);
            cr_expect_str_eq(out.s, cases[i].expected);
        } else {
            cr_expect_neq(s, KW_OK, "%s gave\n%s", cases[i].text, out.s);
        }
        kw_text_free(&out);
    }
    kw_arena_free(&a);
}

static void expect_grown(enum kw_status s, const char *text, struct kw_text *out,
                         const struct kw_error *err, const char *expected) {
    if (expected) {
        cr_expect_eq(s, KW_OK, "%s: %s", text, err->text);
        if (s == KW_OK) cr_expect_str_eq(out->s, expected);
    } else {
        cr_expect_neq(s, KW_OK, "%s gave\n%s", text, out->s);
        cr_expect(err->text[0]);
    }
    kw_text_free(out);
}

Test(server_splice, a_key_is_set_or_added_at_the_end_of_its_map) {
    struct kw_arena a = {0};
    const struct {
        const char *text, *expected;
    } cases[] = {{"p:\n  q:\n    x: 1 # one\n# next\nb: 1\n",
                  "p:\n  q:\n    x: 1 # one\n    k: { c: d }\n# next\nb: 1\n"},
                 {"p:\n  q: { x: 1 } # one\n", "p:\n  q: { x: 1, k: { c: d } } # one\n"},
                 {"p:\n  q: {}\n", "p:\n  q: { k: { c: d } }\n"},
                 {"p:\n  q: { x: 1,\n       y: 2,\n     }\n",
                  "p:\n  q: { x: 1,\n       y: 2, k: { c: d }\n     }\n"},
                 {"p:\n  q:\n    k: {e: f} # old\n    x: 1\n",
                  "p:\n  q:\n    k: { c: d } # old\n    x: 1\n"},
                 {"p:\r\n  q:\r\n    x: 1", "p:\r\n  q:\r\n    x: 1\r\n    k: { c: d }\r\n"},
                 {"p:\n  q:\n    k:\n      e: f # why\n", NULL}, // its comments would be lost
                 {"p:\n  q: 1\n", NULL},
                 {"p: 1\n", NULL}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_text out = {0};
        struct kw_error err = {0};
        json_t *path = path_of("p.q");
        enum kw_status s = splice_key(&a, "f.yaml", cases[i].text, strlen(cases[i].text), path, "k",
                                      "{ c: d }", &out, &err);
        json_decref(path);
        expect_grown(s, cases[i].text, &out, &err, cases[i].expected);
    }
    kw_arena_free(&a);
}

Test(server_splice, an_item_is_added_at_the_end_of_a_list) {
    struct kw_arena a = {0};
    const struct {
        const char *text, *expected;
    } cases[] = {{"a: 1\ns:\n  - { r: x } # one\n# end\n",
                  "a: 1\ns:\n  - { r: x } # one\n  - { r: y }\n# end\n"},
                 {"s:\n- r: x\n  q: 2\nb: 1\n", "s:\n- r: x\n  q: 2\n- { r: y }\nb: 1\n"},
                 {"s: [{ r: x }]\n", "s: [{ r: x }, { r: y }]\n"},
                 {"s: []\n", "s: [ { r: y } ]\n"},
                 {"a: 1 # x", "a: 1 # x\n\ns:\n  - { r: y }\n"},
                 {"a: 1\n", "a: 1\n\ns:\n  - { r: y }\n"},
                 {"a:\r\n  - 1\r\n", "a:\r\n  - 1\r\n\r\ns:\r\n  - { r: y }\r\n"},
                 {"{ a: 1 }\n", NULL},
                 {"s: 1\n", NULL},
                 {"s: { r: x }\n", NULL}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_text out = {0};
        struct kw_error err = {0};
        enum kw_status s = splice_item(&a, "f.yaml", cases[i].text, strlen(cases[i].text), "s",
                                       "{ r: y }", &out, &err);
        expect_grown(s, cases[i].text, &out, &err, cases[i].expected);
    }
    kw_arena_free(&a);
}

// YAML 1.2.2, 7.3.1 and 7.3.3; words that readers of YAML 1.1 take for truth stand in quotes.
Test(server_splice, words_of_flow_are_quoted_where_they_must_be) {
    struct kw_arena a = {0};
    const char *pairs[][2] = {{"M. Thornfield", "M. Thornfield"},
                              {"a, b", "\"a, b\""},
                              {"off", "\"off\""},
                              {"say \"x\"", "\"say \\\"x\\\"\""},
                              {"3f09", "\"3f09\""},
                              {"end ", "\"end \""},
                              {"x: y", "\"x: y\""},
                              {"#x", "\"#x\""},
                              {"a\\b", "\"a\\\\b\""},
                              {"", "\"\""}};
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        cr_expect_str_eq(splice_word(&a, pairs[i][0]), pairs[i][1]);
    kw_arena_free(&a);
}
