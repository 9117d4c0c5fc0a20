// SPDX-License-Identifier: Apache-2.0
// The schema is JSON that says what the reader takes; the units in its patterns are the reader's.
#include "form/form.h"

#include <criterion/criterion.h>
#include <regex.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

struct one {
    const struct kw_node *node;
    double v;
};

// The "pattern" of the only quantity in a schema, with \d and \t in POSIX words.
static void pattern_of(enum kw_dimension dim, double min, char *out, size_t size) {
    const struct kw_field fields[] = {{.key = "v",
                                       .kind = KW_KIND_QUANTITY,
                                       .offset = offsetof(struct one, v),
                                       .dim = dim,
                                       .min = min,
                                       .max = 1},
                                      {0}};
    const struct kw_form form = {"one", "", sizeof(struct one), fields, NULL};
    struct kw_text t = {0};
    kw_form_schema(&form, "t", false, &t);
    const char *p = strstr(t.s, "\"pattern\": \"");
    cr_assert_not_null(p);
    p += strlen("\"pattern\": \"");
    size_t n = 0;
    for (; *p && !(p[0] == '"' && p[-1] != '\\') && n + 6 < size; p++) {
        if (p[0] == '\\' && p[1] == '"') continue;
        if (p[0] != '\\' || p[1] != '\\') {
            out[n++] = *p;
            continue;
        }
        p += 2;
        const char *word = *p == 'd' ? "[0-9]" : *p == 't' ? "\t" : *p == '?' ? "\\?" : NULL;
        if (*p == '+') word = "\\+";
        if (*p == '.') word = "\\.";
        cr_assert_not_null(word);
        n += (size_t)snprintf(out + n, size - n, "%s", word);
    }
    out[n] = 0;
    kw_text_free(&t);
}

static bool taken_by_reader(const char *text, enum kw_dimension dim) {
    double v;
    return kw_quantity(text, dim, KW_IN, (struct kw_place){0}, &v, NULL) == KW_OK;
}

Test(form_schema, patterns_and_reader_agree_on_numbers_and_units) {
    static const char *const numbers[] = {
        "1", "0.5", ".5",   "2.",  "3/8", "1-1/2", "1 1/2", "1e-3", "+2",  "-1", "",
        ".", "1-",  "1/0x", "nan", "inf", "0x1",   "1,5",   "--1",  "1e+", "a",  "1 2"};
    static const char *const units[] = {
        "",       "mm",     "in",     "\"",       "cm",      "m",    "ft",    "deg",
        "rad",    "kg",     "g",      "lb",       "oz",      "kN",   "N",     "ton",
        "lbf",    "MPa",    "ksi",    "psi",      "s",       "min",  "h",     "%",
        "A",      "mm/min", "in/min", "mm/s",     "m/min",   "kN/m", "mm/s2", "in/s2",
        "ton/ft", "kg/m3",  "lb/in3", "\xC2\xB0", "furlong", "MM"};
    char pattern[512], text[64];
    int compared = 0, valid = 0;
    for (int d = 0; d < KW_DIM_COUNT_OF_DIMENSIONS; d++) {
        regex_t re;
        pattern_of((enum kw_dimension)d, -1, pattern, sizeof pattern);
        cr_assert_eq(regcomp(&re, pattern, REG_EXTENDED | REG_NOSUB), 0, "%s", pattern);
        for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
            for (size_t k = 0; k < sizeof units / sizeof *units; k++) {
                (void)snprintf(text, sizeof text, "%s%s%s", numbers[i], k % 2 ? " " : "", units[k]);
                bool reader = taken_by_reader(text, (enum kw_dimension)d);
                bool schema = regexec(&re, text, 0, NULL, 0) == 0;
                bool fraction = d == KW_DIM_FRACTION; // 0 to 1 is the reader's alone
                cr_expect(reader == schema || (fraction && schema), "%s as %s: reader %d schema %d",
                          text, kw_dimension_name((enum kw_dimension)d), reader, schema);
                compared++;
                valid += reader;
            }
        }
        regfree(&re);
    }
    cr_expect_gt(compared, 10000);
    cr_expect_gt(valid, 400);
}

Test(form_schema, no_minus_where_nothing_is_below_zero) {
    char pattern[512];
    regex_t re;
    pattern_of(KW_DIM_LENGTH, 0, pattern, sizeof pattern);
    cr_assert_eq(regcomp(&re, pattern, REG_EXTENDED | REG_NOSUB), 0);
    cr_expect_neq(regexec(&re, "-1 in", 0, NULL, 0), 0);
    cr_expect_eq(regexec(&re, "1 in", 0, NULL, 0), 0);
    regfree(&re);
}
