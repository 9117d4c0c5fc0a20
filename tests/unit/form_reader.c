// SPDX-License-Identifier: Apache-2.0
// The table-driven reader: defaults, ranges, refusals with place and words.
#include "form/form.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

static const char *const unit_words[] = {"mm", "in", NULL};
static const char *const way_words[] = {"up", "down", NULL};

struct corner {
    const struct kw_node *node;
    double radius;
};
static const struct kw_field corner_fields[] = {
    {.key = "radius",
     .kind = KW_KIND_QUANTITY,
     .offset = offsetof(struct corner, radius),
     .dim = KW_DIM_LENGTH,
     .fallback = "1/4 in"},
    {0},
};
static const struct kw_form corner_form = {"corner", "", sizeof(struct corner), corner_fields,
                                           NULL};

struct tool {
    const struct kw_node *node;
    const char *name;
    double height;
    int count;
};
static const struct kw_field tool_fields[] = {
    {.key = "height",
     .kind = KW_KIND_QUANTITY,
     .offset = offsetof(struct tool, height),
     .dim = KW_DIM_LENGTH,
     .max = 100,
     .above_min = true,
     .required = true},
    {.key = "count",
     .kind = KW_KIND_COUNT,
     .offset = offsetof(struct tool, count),
     .min = 1,
     .max = 20,
     .fallback = "3"},
    {0},
};
static enum kw_status tool_check(struct kw_reader *r, const struct kw_node *node, void *out,
                                 struct kw_error *err) {
    const struct tool *t = out;
    (void)r;
    if (t->count != 13) return KW_OK;
    return kw_fail(err, KW_RANGE, kw_place_of(node, "count"), "no tool comes thirteen times");
}
static const struct kw_form tool_form = {"tool", "", sizeof(struct tool), tool_fields, tool_check};

struct thing {
    const struct kw_node *node;
    const char *title, *code;
    int units, way, date;
    double angle, part, lift;
    struct corner corner;
    struct tool main;
    struct kw_items list, named, labelled, texts, sizes;
    int own;
};

static enum kw_status read_own(struct kw_reader *r, const struct kw_node *node,
                               const struct kw_field *field, void *out, struct kw_error *err) {
    double v;
    cr_assert_str_eq(field->key, "own");
    enum kw_status s = kw_node_quantity(r, node, KW_DIM_LENGTH, 0, 50, &v, err);
    if (s == KW_OK) *(int *)out = (int)(v * 100);
    return s;
}

#define AT(member) .offset = offsetof(struct thing, member)
static const struct kw_field thing_fields[] = {
    {.key = "title", .kind = KW_KIND_TEXT, AT(title)},
    {.key = "code", .kind = KW_KIND_NAME, AT(code)},
    {.key = "units", .kind = KW_KIND_WORD, AT(units), .words = unit_words, .fallback = "mm"},
    {.key = "way", .kind = KW_KIND_WORD, AT(way), .words = way_words, .fallback = "down"},
    {.key = "date", .kind = KW_KIND_DATE, AT(date)},
    {.key = "angle", .kind = KW_KIND_QUANTITY, AT(angle), .dim = KW_DIM_ANGLE},
    {.key = "share", .kind = KW_KIND_QUANTITY, AT(part), .dim = KW_DIM_FRACTION, .fallback = "4 %"},
    {.key = "lift", .kind = KW_KIND_QUANTITY, AT(lift), .dim = KW_DIM_NUMBER, .min = -5, .max = 5},
    {.key = "corner", .kind = KW_KIND_FORM, AT(corner), .form = &corner_form},
    {.key = "main",
     .kind = KW_KIND_FORM,
     AT(main) + offsetof(struct tool, node),
     .form = &tool_form},
    {.key = "list", .kind = KW_KIND_FORMS, AT(list), .form = &tool_form},
    {.key = "named", .kind = KW_KIND_NAMED, AT(named), .form = &tool_form},
    {.key = "labelled", .kind = KW_KIND_LABELLED, AT(labelled), .form = &tool_form},
    {.key = "texts", .kind = KW_KIND_TEXTS, AT(texts)},
    {.key = "sizes", .kind = KW_KIND_QUANTITIES, AT(sizes), .dim = KW_DIM_LENGTH},
    {.key = "own", .kind = KW_KIND_CUSTOM, AT(own), .read = read_own},
    {0},
};
static const struct kw_form thing_form = {"thing", "", sizeof(struct thing), thing_fields, NULL};

static enum kw_status read(struct kw_arena *a, const char *text, struct thing *out,
                           struct kw_error *err) {
    const struct kw_node *root;
    struct kw_reader r = {.arena = a};
    memset(out, 0, sizeof *out);
    enum kw_status s = kw_yaml_parse(a, "f.yaml", text, strlen(text), &root, err);
    cr_assert_eq(s, KW_OK, "%s in %s", err->text, text);
    return kw_form_read(&r, &thing_form, root, out, err);
}

Test(form_reader, fills_every_kind_with_bare_lengths_in_the_files_unit) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct thing t;
    enum kw_status s =
        read(&a,
             "main: { height: 1-1/2, count: 7 }\ntitle: Fire rack\ncode: A-1_b\nway: up\n"
             "date: 2028-02-29\nangle: 90\nshare: 85 %\nlift: -2.5\ncorner: { radius: 3 mm }\n"
             "list: [{ height: 1 }, { height: 2, count: 1 }]\n"
             "named: { V-8: { height: 3 } }\nlabelled: { bolt 3/8-16 x 1: { height: 0.5 } }\n"
             "texts: [a, \"no\"]\nsizes: [1/4, 3 mm]\nown: 0.5\nunits: in\n",
             &t, &err);
    cr_assert_eq(s, KW_OK, "%s", err.text);
    cr_expect_float_eq(t.main.height, 38.1, 1e-12);
    cr_expect_eq(t.main.count, 7);
    cr_expect_str_eq(t.title, "Fire rack");
    cr_expect_str_eq(t.code, "A-1_b");
    cr_expect(t.units == 1 && t.way == 0 && t.date == 20280229);
    cr_expect_float_eq(t.angle, KW_PI / 2, 1e-15);
    cr_expect_float_eq(t.part, 0.85, 1e-15);
    cr_expect_float_eq(t.lift, -2.5, 1e-15);
    cr_expect_float_eq(t.corner.radius, 3.0, 1e-15);
    cr_expect_eq(t.list.count, 2);
    cr_expect_float_eq(KW_ITEM(struct tool, t.list, 1)->height, 50.8, 1e-12);
    cr_expect_eq(KW_ITEM(struct tool, t.list, 0)->count, 3);
    cr_expect_str_eq(KW_ITEM(struct tool, t.named, 0)->name, "V-8");
    cr_expect_str_eq(KW_ITEM(struct tool, t.labelled, 0)->name, "bolt 3/8-16 x 1");
    cr_expect_str_eq(*KW_ITEM(const char *, t.texts, 1), "no");
    cr_expect_float_eq(*KW_ITEM(double, t.sizes, 0), 6.35, 1e-12);
    cr_expect_float_eq(*KW_ITEM(double, t.sizes, 1), 3.0, 1e-12);
    cr_expect_eq(t.own, 1270);
    cr_expect_eq(kw_place_of(KW_ITEM(struct tool, t.list, 1)->node, "count").column, 43);
    kw_arena_free(&a);
}

Test(form_reader, absent_keys_take_their_defaults) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct thing t;
    cr_assert_eq(read(&a, "sizes: 2 cm\ntexts: one\n", &t, &err), KW_OK);
    cr_expect(t.way == 1 && t.units == 0 && t.date == 0);
    cr_expect_float_eq(t.part, 0.04, 1e-15);
    cr_expect_float_eq(t.corner.radius, 6.35, 1e-12, "a form without required keys has its own");
    cr_expect_not_null(t.corner.node);
    cr_expect_null(t.main.node, "a form with a required key stays empty");
    cr_expect_null(t.title);
    cr_expect(t.list.count == 0 && t.sizes.count == 1 && t.texts.count == 1);
    cr_expect_float_eq(*KW_ITEM(double, t.sizes, 0), 20.0, 1e-12);
    kw_arena_free(&a);
}

Test(form_reader, refuses_with_place_and_words) {
    static const struct {
        const char *text, *line;
        enum kw_status status;
    } cases[] = {
        {"named: { V8: { hight: 3 } }",
         "f.yaml:1:16: unknown key \"hight\", expected one of the tool's keys, did you mean "
         "\"height\"?",
         KW_UNKNOWN},
        {"named: { V8: { zzzzzz: 3 } }",
         "f.yaml:1:16: unknown key \"zzzzzz\", expected one of the tool's keys: height, count",
         KW_UNKNOWN},
        {"list:\n  - height: 1\n  - count: 2\n", "f.yaml:3:5: missing key \"height\" of the tool",
         KW_MISSING},
        {"[1]", "f.yaml:1:1: expected a map with the thing's keys, got a list", KW_FORMAT},
        {"main: 3", "f.yaml:1:7: expected a map with the tool's keys, got \"3\"", KW_FORMAT},
        {"main:", "f.yaml:1:5: expected a map with the tool's keys, got nothing", KW_FORMAT},
        {"list: { a: 1 }", "f.yaml:1:7: expected a list (\"- ...\") of tools, got a map",
         KW_FORMAT},
        {"named: [1]", "f.yaml:1:8: expected a map from each tool's name to its keys, got a list",
         KW_FORMAT},
        {"named: { V 8: { height: 3 } }",
         "f.yaml:1:10: expected a tool's name of letters, digits, \"-\" and \"_\" (at most 40), "
         "got "
         "\"V 8\"",
         KW_FORMAT},
        {"main: { height: 0 }",
         "f.yaml:1:17: expected a length above 0 mm and at most 100 mm, got \"0\"", KW_RANGE},
        {"units: in\nmain: { height: 4 }",
         "f.yaml:2:17: expected a length above 0 in and at most 3.937 in, got \"4\"", KW_RANGE},
        {"main: { height: -1 }",
         "f.yaml:1:17: expected a length above 0 mm and at most 100 mm, got \"-1\"", KW_RANGE},
        {"main: { height: 7 kg }",
         "f.yaml:1:17: expected a length such as 1-1/2 in or 38.1 mm, got \"7 kg\"", KW_UNIT},
        {"main: { height: .nan }",
         "f.yaml:1:17: expected a length such as 1-1/2 in or 38.1 mm, got \".nan\"", KW_UNIT},
        {"main: { height: nan }",
         "f.yaml:1:17: expected a length such as 1-1/2 in or 38.1 mm, got \"nan\"", KW_UNIT},
        {"main: { height: inf }",
         "f.yaml:1:17: expected a length such as 1-1/2 in or 38.1 mm, got \"inf\"", KW_UNIT},
        {"main: { height: 1e300 }",
         "f.yaml:1:17: expected a length such as 1-1/2 in or 38.1 mm, got \"1e300\"", KW_UNIT},
        {"main: { height: }",
         "f.yaml:1:15: expected a length such as 1-1/2 in or 38.1 mm, got nothing", KW_FORMAT},
        {"main: { height: [1] }",
         "f.yaml:1:17: expected a length such as 1-1/2 in or 38.1 mm, got a list", KW_FORMAT},
        {"sizes: [1, 99999]", "f.yaml:1:12: expected a length from 0 mm to 50000 mm, got \"99999\"",
         KW_RANGE},
        {"angle: 400", "f.yaml:1:8: expected an angle from 0 deg to 360 deg, got \"400\"",
         KW_RANGE},
        {"lift: 6", "f.yaml:1:7: expected a number from -5 to 5, got \"6\"", KW_RANGE},
        {"own: 51", "f.yaml:1:6: expected a length from 0 mm to 50 mm, got \"51\"", KW_RANGE},
        {"main: { height: 1, count: 0 }",
         "f.yaml:1:27: expected a whole number from 1 to 20, got \"0\"", KW_RANGE},
        {"main: { height: 1, count: 1.5 }",
         "f.yaml:1:27: expected a whole number from 1 to 20, got \"1.5\"", KW_UNIT},
        {"main: { height: 1, count: 99999999999999999999 }",
         "f.yaml:1:27: expected a whole number from 1 to 20, got \"99999999999999999999\"",
         KW_RANGE},
        {"main: { height: 1, count: 13 }", "f.yaml:1:27: no tool comes thirteen times", KW_RANGE},
        {"way: dwon", "f.yaml:1:6: expected one of up, down, got \"dwon\", did you mean \"down\"?",
         KW_UNKNOWN},
        {"way: sideways", "f.yaml:1:6: expected one of up, down, got \"sideways\"", KW_UNKNOWN},
        {"units: cm", "f.yaml:1:8: expected one of mm, in, got \"cm\", did you mean \"mm\"?",
         KW_UNKNOWN},
        {"date: 2026-02-29", "f.yaml:1:7: expected a date such as 2026-03-31, got \"2026-02-29\"",
         KW_FORMAT},
        {"date: 31.3.2026", "f.yaml:1:7: expected a date such as 2026-03-31, got \"31.3.2026\"",
         KW_FORMAT},
        {"title: No",
         "f.yaml:1:8: expected a text, got \"No\", which some readers take for false: put it in "
         "quotes",
         KW_FORMAT},
        {"texts: [a, ~]",
         "f.yaml:1:12: expected a text, got \"~\", which some readers take for nothing: put it in "
         "quotes",
         KW_FORMAT},
        {"title: |\n  a\n  b\n", "f.yaml:2:1: expected a text of one line, got \"a b \"",
         KW_FORMAT},
        {"title: [a]", "f.yaml:1:8: expected a text, got a list", KW_FORMAT},
        {"code: -x",
         "f.yaml:1:7: expected a name of letters, digits, \"-\" and \"_\" (at most 40, the first a "
         "letter or digit), got \"-x\"",
         KW_FORMAT},
        {"code: ../x",
         "f.yaml:1:7: expected a name of letters, digits, \"-\" and \"_\" (at most 40, the first a "
         "letter or digit), got \"../x\"",
         KW_FORMAT},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct kw_arena a = {0};
        struct kw_error err = {0};
        struct thing t;
        char got[900];
        cr_expect_eq(read(&a, cases[i].text, &t, &err), cases[i].status, "%s", cases[i].text);
        kw_error_line(&err, got, sizeof got);
        cr_expect_str_eq(got, cases[i].line, "\n got %s\nwant %s", got, cases[i].line);
        kw_arena_free(&a);
    }
}

Test(form_reader, messages_cut_long_texts_between_characters) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct thing t;
    struct kw_text text = {0};
    kw_text_add(&text, "way: x");
    for (int i = 0; i < 60; i++)
        kw_text_add(&text, "\xC3\xBC");
    cr_expect_eq(read(&a, text.s, &t, &err), KW_UNKNOWN);
    cr_expect(kw_is_utf8(err.text, strlen(err.text), NULL));
    cr_expect(strlen(err.text) < 120);
    kw_text_free(&text);
    kw_arena_free(&a);
}

Test(form_reader, bounds_take_back_their_own_text) {
    struct kw_arena a = {0};
    struct kw_error err = {0};
    struct thing t;
    cr_expect_eq(read(&a, "angle: 360\nlift: 5\nshare: 100 %\nmain: { height: 10 cm }", &t, &err),
                 KW_OK, "%s", err.text);
    kw_arena_free(&a);
}
