// SPDX-License-Identifier: Apache-2.0
// Writes random files out of the table of fields, half of them with one fault, and what the reader
// says of each: for schema_samples. usage: form_samples shop|all FOLDER COUNT SEED
// FOLDER gets NNNNN.yaml, list.json ([{"file", "valid"}]) and schema.json. Faults are of the kind
// that a schema can see; what holds between two keys (kw_form.check) is left out.
#include "shop/shop.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// ------------------------------------------------------------- one form with every kind of field

struct leaf {
    const struct kw_node *node;
    const char *name;
    double size, lift;
    int count;
};
static const struct kw_field leaf_fields[] = {
    {.key = "size",
     .kind = KW_KIND_QUANTITY,
     .offset = offsetof(struct leaf, size),
     .required = true,
     .dim = KW_DIM_LENGTH,
     .max = 100,
     .above_min = true},
    {.key = "lift",
     .kind = KW_KIND_QUANTITY,
     .offset = offsetof(struct leaf, lift),
     .dim = KW_DIM_LENGTH,
     .min = -20,
     .max = 100},
    {.key = "count",
     .kind = KW_KIND_COUNT,
     .offset = offsetof(struct leaf, count),
     .min = -3,
     .max = 9},
    {0},
};
static const struct kw_form leaf_form = {"leaf", "", sizeof(struct leaf), leaf_fields, NULL};

struct tree {
    const struct kw_node *node;
    int units, way, date, count;
    const char *text, *code;
    double q[KW_DIM_COUNT_OF_DIMENSIONS];
    struct leaf leaf;
    struct kw_items list, named, labelled, texts, sizes;
};
static const char *const unit_words[] = {"mm", "in", NULL};
static const char *const way_words[] = {"up", "down", "din-6935", NULL};
#define T(k, what, member, ...)                                                                    \
    { .key = k, .kind = what, .offset = offsetof(struct tree, member), __VA_ARGS__ }
#define Q(k, d) T(k, KW_KIND_QUANTITY, q[d], .dim = d)
static const struct kw_field tree_fields[] = {
    T("units", KW_KIND_WORD, units, .words = unit_words, .required = true),
    T("way", KW_KIND_WORD, way, .words = way_words),
    T("date", KW_KIND_DATE, date, .required = true),
    T("count", KW_KIND_COUNT, count, .min = 1, .max = 20),
    T("text", KW_KIND_TEXT, text, .required = true),
    T("code", KW_KIND_NAME, code, .required = true),
    Q("number", KW_DIM_NUMBER),
    Q("length", KW_DIM_LENGTH),
    Q("angle", KW_DIM_ANGLE),
    Q("mass", KW_DIM_MASS),
    Q("force", KW_DIM_FORCE),
    Q("stress", KW_DIM_STRESS),
    Q("time", KW_DIM_TIME),
    Q("speed", KW_DIM_SPEED),
    Q("money", KW_DIM_MONEY),
    Q("density", KW_DIM_DENSITY),
    Q("part", KW_DIM_FRACTION),
    Q("amps", KW_DIM_CURRENT),
    Q("acceleration", KW_DIM_ACCELERATION),
    Q("line_load", KW_DIM_FORCE_PER_LENGTH),
    T("leaf", KW_KIND_FORM, leaf, .form = &leaf_form),
    T("list", KW_KIND_FORMS, list, .form = &leaf_form),
    T("named", KW_KIND_NAMED, named, .form = &leaf_form),
    T("labelled", KW_KIND_LABELLED, labelled, .form = &leaf_form),
    T("texts", KW_KIND_TEXTS, texts, .required = false),
    T("sizes", KW_KIND_QUANTITIES, sizes, .dim = KW_DIM_LENGTH, .max = 500),
    {0},
};
static const struct kw_form tree_form = {"tree", "", sizeof(struct tree), tree_fields, NULL};

// ------------------------------------------------------------------------------------ the samples

struct maker {
    struct kw_arena *arena;
    struct kw_text *out;
    uint64_t random;
    enum kw_length_unit units;
    int fields;   // written so far
    int fault_at; // which one is wrong; -1: none
};

static int pick(struct maker *m, int n) {
    return (int)(kw_random(&m->random) % (uint64_t)n);
}
#define PICK(m, list) (list)[pick(m, (int)(sizeof(list) / sizeof *(list)))]

static void write_form(struct maker *m, const struct kw_form *form);

static void write_quantity(struct maker *m, const struct kw_field *f) {
    // Unit, its size in house units; the first is the one of a bare number.
    static const struct {
        const char *name;
        double house;
    } units[][3] = {
        [KW_DIM_LENGTH] = {{"mm", 1}, {"in", 25.4}, {"cm", 10}},
        [KW_DIM_ANGLE] = {{"deg", KW_PI / 180}, {"rad", 1}, {"deg", KW_PI / 180}},
        [KW_DIM_MASS] = {{"kg", 1}, {"lb", KW_KG_PER_LB}, {"g", 0.001}},
        [KW_DIM_FORCE] = {{"kN", 1000}, {"ton", KW_N_PER_SHORT_TON}, {"N", 1}},
        [KW_DIM_STRESS] = {{"MPa", 1}, {"ksi", KW_MPA_PER_KSI}, {"psi", KW_MPA_PER_KSI / 1000}},
        [KW_DIM_TIME] = {{"s", 1}, {"min", 60}, {"h", 3600}},
        [KW_DIM_SPEED] = {{"mm/min", 1 / 60.0}, {"in/min", 25.4 / 60}, {"mm/s", 1}},
        [KW_DIM_DENSITY] = {{"kg/m3", 1}, {"kg/m3", 1}, {"kg/m3", 1}},
        [KW_DIM_FRACTION] = {{"", 1}, {"%", 0.01}, {"%", 0.01}},
        [KW_DIM_CURRENT] = {{"A", 1}, {"A", 1}, {"A", 1}},
        [KW_DIM_ACCELERATION] = {{"mm/s2", 1}, {"g", 9806.65}, {"in/s2", 25.4}},
        [KW_DIM_FORCE_PER_LENGTH] = {{"kN/m", 1}, {"ton/ft", 29.1878}, {"kN/m", 1}},
    };
    static const double most[] = {
        [KW_DIM_NUMBER] = 1000,
        [KW_DIM_LENGTH] = 5000,
        [KW_DIM_ANGLE] = 6,
        [KW_DIM_MASS] = 100,
        [KW_DIM_FORCE] = 1e6,
        [KW_DIM_STRESS] = 500,
        [KW_DIM_TIME] = 1e4,
        [KW_DIM_SPEED] = 500,
        [KW_DIM_MONEY] = 1e4,
        [KW_DIM_MONEY_PER_HOUR] = 100,
        [KW_DIM_DENSITY] = 8000,
        [KW_DIM_FRACTION] = 1,
        [KW_DIM_CURRENT] = 100,
        [KW_DIM_ACCELERATION] = 1e4,
        [KW_DIM_FORCE_PER_LENGTH] = 1000,
    };
    double low = f->min, high = f->min == 0 && f->max == 0 ? most[f->dim] : f->max;
    double v = low + (high - low) * (0.05 + 0.9 * kw_random_unit(&m->random));
    char number[KW_NUMBER_SIZE];
    bool money =
        f->dim == KW_DIM_MONEY || f->dim == KW_DIM_MONEY_PER_HOUR || f->dim == KW_DIM_NUMBER;
    bool in_file_unit = f->dim == KW_DIM_LENGTH || f->dim == KW_DIM_SPEED;
    int unit = money ? 0 : pick(m, 3);
    double house = money ? 1 : units[f->dim][unit].house;
    bool bare = money || (in_file_unit ? unit == (int)m->units : unit == 0);
    kw_number(number, v / house, 6);
    bool shown = !money && (!bare || pick(m, 2)) && units[f->dim][unit].name[0];
    kw_text_addf(m->out, "%s%s%s", number, shown && pick(m, 2) ? " " : "",
                 shown ? units[f->dim][unit].name : "");
}

static void write_wrong_quantity(struct maker *m, const struct kw_field *f) {
    static const char *const texts[] = {"nan",  ".nan",        "7 furlong", "1-",   "1/0x",
                                        "x",    "[1]",         "{ a: 1 }",  "\"\"", "",
                                        "1e13", "99999999999", "1,,5"};
    const char *text = PICK(m, texts);
    if (f->min >= 0 && pick(m, 3) == 0) text = "-3";
    kw_text_add(m->out, strcmp(text, "1,,5") == 0 ? "\"1,5\"" : text);
}

static void write_text(struct maker *m) {
    static const char *const texts[] = {
        "plain words", "\"no\"", "42",  "1.10", "hex bolt 3/8-16 x 1", "'it''s'", "\xC3\xBCml",
        "2026-03-31",  "\"\"",   "a-b", "0x1F"};
    kw_text_add(m->out, PICK(m, texts));
}

static void write_name(struct maker *m) {
    static const char *const names[] = {"foot", "V-16", "a_b", "7", "P-1", "x9", "T125", "2nd"};
    kw_text_add(m->out, PICK(m, names));
}

static void write_map(struct maker *m, const struct kw_field *f, bool named) {
    static const char *const plain[] = {"D-1", "D-2", "x9"};
    static const char *const labels[] = {"\"bolt, 3/8\"", "nut 1/4", "x: y"};
    int n = pick(m, 4);
    kw_text_add(m->out, "{ ");
    for (int i = 0; i < n; i++) {
        const char *label = strcmp(labels[i], "x: y") == 0 ? "\"x: y\"" : labels[i];
        kw_text_addf(m->out, "%s%s: ", i ? ", " : "", named ? plain[i] : label);
        write_form(m, f->form);
    }
    kw_text_add(m->out, " }");
}

static void write_list(struct maker *m, const struct kw_field *f) {
    int n = pick(m, 4);
    if (n == 3 && f->kind != KW_KIND_FORMS) { // one value without a list
        if (f->kind == KW_KIND_TEXTS)
            write_text(m);
        else
            write_quantity(m, f);
        return;
    }
    kw_text_add(m->out, "[");
    for (int i = 0; i < n; i++) {
        if (i) kw_text_add(m->out, ", ");
        if (f->kind == KW_KIND_FORMS)
            write_form(m, f->form);
        else if (f->kind == KW_KIND_TEXTS)
            write_text(m);
        else
            write_quantity(m, f);
    }
    kw_text_add(m->out, "]");
}

static void write_value(struct maker *m, const struct kw_field *f) {
    int words = 0;
    switch (f->kind) {
    case KW_KIND_TEXT:
        write_text(m);
        return;
    case KW_KIND_NAME:
        write_name(m);
        return;
    case KW_KIND_WORD:
        while (f->words[words])
            words++;
        if (strcmp(f->key, "units") == 0)
            kw_text_add(m->out, m->units == KW_IN ? "in" : "mm");
        else
            kw_text_add(m->out, f->words[pick(m, words)]);
        return;
    case KW_KIND_COUNT: {
        int most = f->min == 0 && f->max == 0 ? 1000 : (int)f->max;
        kw_text_addf(m->out, "%d", (int)f->min + pick(m, most - (int)f->min + 1));
        return;
    }
    case KW_KIND_DATE:
        kw_text_addf(m->out, "20%02d-%02d-%02d", pick(m, 99), 1 + pick(m, 12), 1 + pick(m, 28));
        return;
    case KW_KIND_FORM:
        write_form(m, f->form);
        return;
    case KW_KIND_NAMED:
        write_map(m, f, true);
        return;
    case KW_KIND_LABELLED:
        write_map(m, f, false);
        return;
    case KW_KIND_QUANTITY:
        write_quantity(m, f);
        return;
    case KW_KIND_CUSTOM:
        kw_text_add(m->out, f->example);
        return;
    default:
        write_list(m, f);
    }
}

static void write_wrong(struct maker *m, const struct kw_field *f) {
    static const char *const texts[] = {"[a]", "{ a: 1 }", "~", "", "null", "true"};
    static const char *const names[] = {"-x", "a b", "../x", "\"\"", "a.b", "~", "[a]"};
    static const char *const words[] = {"sideways", "Up", "3", "[up]", "", "~", "\"\""};
    static const char *const counts[] = {"1.5", "x", "-9", "9999999", "[1]", "", "\"1 x\"", "1e-1"};
    static const char *const dates[] = {"31.3.2026", "2026-13-01", "2026-00-10",
                                        "20260331",  "[x]",        ""};
    static const char *const maps[] = {"3", "[1]", "", "text", "{ zzz: 1 }"};
    static const char *const lists[] = {"3", "{ zzz: 1 }", "", "[3]", "[[1]]", "[{ zzz: 1 }]"};
    switch (f->kind) {
    case KW_KIND_TEXT:
        kw_text_add(m->out, PICK(m, texts));
        return;
    case KW_KIND_NAME:
        kw_text_add(m->out, PICK(m, names));
        return;
    case KW_KIND_WORD:
        kw_text_add(m->out, PICK(m, words));
        return;
    case KW_KIND_COUNT:
        kw_text_add(m->out, PICK(m, counts));
        return;
    case KW_KIND_DATE:
        kw_text_add(m->out, PICK(m, dates));
        return;
    case KW_KIND_QUANTITY:
        write_wrong_quantity(m, f);
        return;
    case KW_KIND_FORMS:
        kw_text_add(m->out, PICK(m, lists));
        return;
    case KW_KIND_TEXTS:
        kw_text_add(m->out, pick(m, 2) ? "[[a]]" : "{ a: 1 }");
        return;
    case KW_KIND_QUANTITIES:
        kw_text_add(m->out, pick(m, 2) ? "[1, 2 kg]" : "[[1]]");
        return;
    default:
        kw_text_add(m->out, PICK(m, maps));
    }
}

static void write_form(struct maker *m, const struct kw_form *form) {
    bool first = true;
    kw_text_add(m->out, "{ ");
    for (const struct kw_field *f = form->fields; f->key; f++) {
        if (!f->required && pick(m, 10) < 5) continue;
        bool wrong = m->fields++ == m->fault_at;
        int way = wrong ? pick(m, 4) : 0;
        if (wrong && way == 3) continue; // left out: a fault where the key is required
        if (!first) kw_text_add(m->out, ", ");
        first = false;
        kw_text_addf(m->out, "%s%s: ", f->key, wrong && way == 2 ? "_" : "");
        if (wrong && way < 2)
            write_wrong(m, f);
        else
            write_value(m, f);
    }
    kw_text_add(m->out, first ? "}" : " }");
}

// The same forms without the checks between keys.
static const struct kw_form *without_checks(struct kw_arena *a, const struct kw_form *form) {
    struct kw_form *copy = KW_NEW(a, struct kw_form);
    int n = 0;
    while (form->fields[n].key)
        n++;
    struct kw_field *fields = KW_NEW_ARRAY(a, struct kw_field, n + 1);
    *copy = *form;
    copy->check = NULL;
    copy->fields = memcpy(fields, form->fields, sizeof *fields * (size_t)n);
    for (int i = 0; i < n; i++) {
        if (fields[i].form) fields[i].form = without_checks(a, fields[i].form);
    }
    return copy;
}

static bool reader_takes(const struct kw_form *form, const char *bytes, size_t length) {
    struct kw_arena a = {0};
    struct kw_reader r = {.arena = &a};
    const struct kw_node *root;
    bool taken = kw_yaml_parse(&a, "f", bytes, length, &root, NULL) == KW_OK &&
                 kw_form_read(&r, form, root, kw_alloc(&a, form->size), NULL) == KW_OK;
    kw_arena_free(&a);
    return taken;
}

static int write_sample(const struct kw_form *form, uint64_t seed, bool fault,
                        struct kw_text *out) {
    struct maker m = {.out = out, .random = seed, .fault_at = -1};
    m.units = pick(&m, 2) ? KW_IN : KW_MM;
    struct maker again = m;
    write_form(&m, form);
    if (!fault) return m.fields;
    again.fault_at = (int)(seed % (uint64_t)m.fields);
    out->length = 0;
    write_form(&again, form);
    return m.fields;
}

int main(int argc, char **argv) {
    if (argc != 5) return 64;
    struct kw_arena a = {0};
    const struct kw_form *form =
        without_checks(&a, strcmp(argv[1], "shop") == 0 ? &kw_shop_form : &tree_form);
    int count = atoi(argv[3]);
    uint64_t random = strtoull(argv[4], NULL, 10);
    struct kw_text list = {0}, schema = {0}, text = {0};
    struct kw_json j = {.out = &list};
    kw_json_open(&j, '[');
    for (int i = 0; i < count; i++) {
        const char *path = kw_format(&a, "%s/%05d.yaml", argv[2], i);
        text.length = 0;
        write_sample(form, kw_random(&random), i % 2 == 1, &text);
        kw_text_add(&text, "\n");
        if (kw_write_file(path, text.s, text.length, NULL) != KW_OK) return 74;
        kw_json_open_inline(&j, '{');
        kw_json_key_text(&j, "file", path);
        kw_json_key(&j, "valid");
        kw_json_truth(&j, reader_takes(form, text.s, text.length));
        kw_json_close(&j);
    }
    kw_json_close(&j);
    kw_form_schema(form, "samples", false, &schema);
    bool written =
        kw_write_file(kw_format(&a, "%s/list.json", argv[2]), list.s, list.length, NULL) == KW_OK &&
        kw_write_file(kw_format(&a, "%s/schema.json", argv[2]), schema.s, schema.length, NULL) ==
            KW_OK;
    kw_text_free(&list);
    kw_text_free(&schema);
    kw_text_free(&text);
    kw_arena_free(&a);
    return written ? 0 : 74;
}
