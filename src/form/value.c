// SPDX-License-Identifier: Apache-2.0
// Single values: texts, names, words, counts, dates, quantities.
#include "form/value.h"

#include "form/sum.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

int kw_shown_length(const char *s) {
    size_t n = strlen(s);
    if (n > 60) {
        n = 60;
        while (n > 0 && ((unsigned char)s[n] & 0xC0) == 0x80)
            n--;
    }
    return (int)n;
}

const char *kw_node_got(char buf[static KW_NODE_GOT_SIZE], const struct kw_node *node) {
    if (node->kind == KW_LIST) return "a list";
    if (node->kind == KW_MAP) return "a map";
    if (node->text[0] == 0 && !node->quoted) return "nothing";
    int n = kw_shown_length(node->text);
    char *p = buf;
    *p++ = '"';
    for (int i = 0; i < n; i++)
        *p++ = node->text[i] == '\n' ? ' ' : node->text[i];
    *p++ = '"';
    *p = 0;
    return buf;
}

static enum kw_status expected(const struct kw_node *node, enum kw_status s, const char *what,
                               struct kw_error *err) {
    char got[KW_NODE_GOT_SIZE];
    return kw_fail(err, s, node->at, "expected %s, got %s", what, kw_node_got(got, node));
}

// ----------------------------------------------------------------------------------- quantities

// Bounds where a field names none: beyond anything that a small shop has, so that a slip of the
// decimal point or of the unit is seen. Lengths: KW_MOST_MM.
static const double dimension_most[KW_DIM_COUNT_OF_DIMENSIONS] = {
    [KW_DIM_NUMBER] = 1e6,         [KW_DIM_LENGTH] = KW_MOST_MM, [KW_DIM_ANGLE] = 2 * KW_PI,
    [KW_DIM_MASS] = 1e5,           [KW_DIM_FORCE] = 1e8,         [KW_DIM_STRESS] = 5000,
    [KW_DIM_TIME] = 3.6e6,         [KW_DIM_SPEED] = 1e4,         [KW_DIM_MONEY] = 1e7,
    [KW_DIM_MONEY_PER_HOUR] = 1e5, [KW_DIM_DENSITY] = 25000,     [KW_DIM_FRACTION] = 1,
    [KW_DIM_CURRENT] = 1000,       [KW_DIM_ACCELERATION] = 1e6,  [KW_DIM_FORCE_PER_LENGTH] = 1e5,
};

static struct kw_bounds bounds_of(enum kw_dimension dim, double min, double max, bool above) {
    if (min == 0 && max == 0) max = dimension_most[dim];
    return (struct kw_bounds){min, max, above};
}

struct kw_bounds kw_field_bounds(const struct kw_field *f) {
    if (f->kind == KW_KIND_COUNT) {
        double max = f->min == 0 && f->max == 0 ? KW_MOST_COUNT : f->max;
        return (struct kw_bounds){f->min, max, f->above_min};
    }
    return bounds_of(f->dim, f->min, f->max, f->above_min);
}

struct kw_spoken_unit kw_spoken_unit(enum kw_dimension dim, enum kw_length_unit units) {
    bool in = units == KW_IN;
    switch (dim) {
    case KW_DIM_LENGTH:
        return in ? (struct kw_spoken_unit){" in", KW_MM_PER_IN}
                  : (struct kw_spoken_unit){" mm", 1};
    case KW_DIM_SPEED:
        return in ? (struct kw_spoken_unit){" in/min", KW_MM_PER_IN / 60}
                  : (struct kw_spoken_unit){" mm/min", 1.0 / 60};
    case KW_DIM_ANGLE:
        return (struct kw_spoken_unit){" deg", KW_PI / 180};
    case KW_DIM_FORCE:
        return (struct kw_spoken_unit){" kN", 1000};
    case KW_DIM_FORCE_PER_LENGTH:
        return (struct kw_spoken_unit){" kN/m", 1};
    case KW_DIM_MASS:
        return (struct kw_spoken_unit){" kg", 1};
    case KW_DIM_STRESS:
        return (struct kw_spoken_unit){" MPa", 1};
    case KW_DIM_TIME:
        return (struct kw_spoken_unit){" s", 1};
    case KW_DIM_DENSITY:
        return (struct kw_spoken_unit){" kg/m3", 1};
    case KW_DIM_CURRENT:
        return (struct kw_spoken_unit){" A", 1};
    case KW_DIM_ACCELERATION:
        return (struct kw_spoken_unit){" mm/s2", 1};
    default:
        return (struct kw_spoken_unit){"", 1};
    }
}

char *kw_bounds_text(char buf[static KW_BOUNDS_SIZE], struct kw_bounds b, enum kw_dimension dim,
                     enum kw_length_unit units) {
    struct kw_spoken_unit u = kw_spoken_unit(dim, units);
    char low[KW_NUMBER_SIZE], high[KW_NUMBER_SIZE];
    kw_number(low, b.min / u.house, 4);
    kw_number(high, b.max / u.house, 4);
    (void)snprintf(buf, KW_BOUNDS_SIZE,
                   b.above_min ? "above %s%s and at most %s%s" : "from %s%s to %s%s", low, u.name,
                   high, u.name);
    return buf;
}

const char *kw_article(const char *noun) {
    if (strncmp(noun, "money", 5) == 0) return "";
    return strchr("aeiou", noun[0]) ? "an " : "a ";
}

static enum kw_status read_quantity(struct kw_reader *r, const struct kw_node *node,
                                    enum kw_dimension dim, struct kw_bounds b, double *out,
                                    struct kw_error *err) {
    if (node->kind != KW_SCALAR || (node->text[0] == 0 && !node->quoted)) {
        return expected(node, KW_FORMAT, kw_dimension_example(dim), err);
    }
    double v;
    bool sum = kw_is_sum(r, node->text);
    enum kw_status s = sum ? kw_sum(r, node, dim, &v, err)
                           : kw_quantity(node->text, dim, r->units, node->at, &v, err);
    if (s != KW_OK) return s;
    // A bound that is a fraction of an inch must take itself back from its own text.
    double slack = 1e-12 * fabs(b.max);
    bool low_enough = b.above_min ? v > b.min : v >= b.min - slack;
    if (!(low_enough && v <= b.max + slack)) {
        char text[KW_BOUNDS_SIZE], what[KW_BOUNDS_SIZE + 40];
        const char *name = kw_dimension_name(dim);
        (void)snprintf(what, sizeof what, "%s%s %s", kw_article(name), name,
                       kw_bounds_text(text, b, dim, r->units));
        return expected(node, KW_RANGE, what, err);
    }
    *out = v;
    return KW_OK;
}

enum kw_status kw_node_quantity(struct kw_reader *r, const struct kw_node *node,
                                enum kw_dimension dim, double min, double max, double *out,
                                struct kw_error *err) {
    return read_quantity(r, node, dim, bounds_of(dim, min, max, false), out, err);
}

// ---------------------------------------------------------------------------------------- texts

// Whether `s` is `word` in small letters, with a capital, or all in capitals.
static bool is_cased(const char *s, const char *word) {
    size_t n = strlen(word), capitals = 0;
    if (strlen(s) != n) return false;
    for (size_t i = 0; i < n; i++) {
        if (s[i] == word[i]) continue;
        if (word[i] < 'a' || word[i] > 'z' || s[i] != word[i] - 'a' + 'A') return false;
        capitals++;
    }
    return capitals == 0 || capitals == n || (capitals == 1 && s[0] != word[0]);
}

static const char *other_reading(const char *s) {
    static const char *const words[][2] = {
        {"yes", "true"},  {"no", "false"},    {"on", "true"},      {"off", "false"},
        {"true", "true"}, {"false", "false"}, {"null", "nothing"}, {"~", "nothing"},
    };
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (is_cased(s, words[i][0])) return words[i][1];
    }
    return NULL;
}

enum kw_status kw_node_text(const struct kw_node *node, const char **out, struct kw_error *err) {
    if (node->kind != KW_SCALAR || (node->text[0] == 0 && !node->quoted)) {
        return expected(node, KW_FORMAT, "a text", err);
    }
    if (strchr(node->text, '\n')) return expected(node, KW_FORMAT, "a text of one line", err);
    if (strlen(node->text) > KW_MOST_TEXT) {
        return kw_fail(err, KW_LIMIT, node->at, "expected a text of at most %d bytes, got %zu",
                       KW_MOST_TEXT, strlen(node->text));
    }
    const char *reading = node->quoted ? NULL : other_reading(node->text);
    if (reading) {
        return kw_fail(err, KW_FORMAT, node->at,
                       "expected a text, got \"%s\", which some readers take for %s: put it in "
                       "quotes",
                       node->text, reading);
    }
    *out = node->text;
    return KW_OK;
}

static bool is_letter_or_digit(char c) {
    return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

bool kw_is_name(const char *s) {
    if (!is_letter_or_digit(s[0]) || strlen(s) > KW_MOST_NAME) return false;
    for (; *s; s++) {
        if (!is_letter_or_digit(*s) && *s != '-' && *s != '_') return false;
    }
    return true;
}

static enum kw_status read_name(const struct kw_node *node, const char **out,
                                struct kw_error *err) {
    enum kw_status s = kw_node_text(node, out, err);
    if (s != KW_OK || kw_is_name(*out)) return s;
    return expected(node, KW_FORMAT,
                    "a name of letters, digits, \"-\" and \"_\" (at most 40, the first a letter or "
                    "digit)",
                    err);
}

// "one of up, down" or, with a near one, "one of up, down ... did you mean"
static enum kw_status read_word(const struct kw_node *node, const char *const *words, int *out,
                                struct kw_error *err) {
    for (int i = 0; node->kind == KW_SCALAR && words[i]; i++) {
        if (strcmp(words[i], node->text) == 0) {
            *out = i;
            return KW_OK;
        }
    }
    struct kw_text list = {0};
    for (int i = 0; words[i]; i++)
        kw_text_addf(&list, "%s%s", i ? ", " : "", words[i]);
    const char *near = node->kind == KW_SCALAR ? kw_nearest_word(node->text, words) : NULL;
    char got[KW_NODE_GOT_SIZE];
    enum kw_status s =
        kw_fail(err, node->kind == KW_SCALAR ? KW_UNKNOWN : KW_FORMAT, node->at,
                "expected one of %.300s, got %s%s%s%s", list.s, kw_node_got(got, node),
                near ? ", did you mean \"" : "", near ? near : "", near ? "\"?" : "");
    kw_text_free(&list);
    return s;
}

// ------------------------------------------------------------------------------ counts and dates

static enum kw_status read_count(struct kw_reader *r, const struct kw_node *node,
                                 struct kw_bounds b, int *out, struct kw_error *err);

static enum kw_status sum_count(struct kw_reader *r, const struct kw_node *node, struct kw_bounds b,
                                int *out, struct kw_error *err) {
    double v;
    enum kw_status s = kw_sum(r, node, KW_DIM_NUMBER, &v, err);
    if (s != KW_OK) return s;
    double whole = round(v);
    if (fabs(v - whole) <= 1e-9 && whole >= b.min && whole <= b.max) {
        *out = (int)whole;
        return KW_OK;
    }
    char text[KW_BOUNDS_SIZE], shown[KW_NUMBER_SIZE];
    return kw_fail(err, KW_RANGE, node->at, "expected a whole number %s, got %s = %s",
                   kw_bounds_text(text, b, KW_DIM_NUMBER, KW_MM), node->text,
                   kw_number(shown, v, 4));
}

enum kw_status kw_node_count(struct kw_reader *r, const struct kw_node *node, int min, int max,
                             int *out, struct kw_error *err) {
    return read_count(r, node, (struct kw_bounds){min, max, false}, out, err);
}

static enum kw_status read_count(struct kw_reader *r, const struct kw_node *node,
                                 struct kw_bounds b, int *out, struct kw_error *err) {
    double v = 0;
    if (node->kind == KW_SCALAR && kw_is_sum(r, node->text)) {
        return sum_count(r, node, b, out, err);
    }
    const char *s = node->kind == KW_SCALAR ? node->text : "";
    bool negative = *s == '-';
    if (negative) s++;
    size_t digits = strspn(s, "0123456789");
    bool whole = digits > 0 && s[digits] == 0;
    for (size_t i = 0; whole && i < digits; i++)
        v = v * 10 + (s[i] - '0');
    if (negative) v = -v;
    if (whole && v >= b.min && v <= b.max) {
        *out = (int)v;
        return KW_OK;
    }
    char what[KW_BOUNDS_SIZE + 40], text[KW_BOUNDS_SIZE];
    (void)snprintf(what, sizeof what, "a whole number %s",
                   kw_bounds_text(text, b, KW_DIM_NUMBER, KW_MM));
    return expected(node,
                    whole                     ? KW_RANGE
                    : node->kind == KW_SCALAR ? KW_UNIT
                                              : KW_FORMAT,
                    what, err);
}

static int digits_at(const char *s, int n) {
    int v = 0;
    for (int i = 0; i < n; i++) {
        if (s[i] < '0' || s[i] > '9') return -1;
        v = v * 10 + (s[i] - '0');
    }
    return v;
}

static int days_in_month(int year, int month) {
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    return days[month - 1] + (month == 2 && leap ? 1 : 0);
}

static enum kw_status read_date(const struct kw_node *node, int *out, struct kw_error *err) {
    const char *s = node->kind == KW_SCALAR ? node->text : "";
    if (strlen(s) == 10 && s[4] == '-' && s[7] == '-') {
        int y = digits_at(s, 4), m = digits_at(s + 5, 2), d = digits_at(s + 8, 2);
        if (y >= 1900 && m >= 1 && m <= 12 && d >= 1 && d <= days_in_month(y, m)) {
            *out = y * 10000 + m * 100 + d;
            return KW_OK;
        }
    }
    return expected(node, KW_FORMAT, "a date such as 2026-03-31", err);
}

enum kw_status kw_read_value(struct kw_reader *r, const struct kw_node *node,
                             const struct kw_field *f, void *out, struct kw_error *err) {
    switch (f->kind) {
    case KW_KIND_TEXT:
        return kw_node_text(node, out, err);
    case KW_KIND_NAME:
        return read_name(node, out, err);
    case KW_KIND_WORD:
        return read_word(node, f->words, out, err);
    case KW_KIND_COUNT:
        return read_count(r, node, kw_field_bounds(f), out, err);
    case KW_KIND_DATE:
        return read_date(node, out, err);
    default:
        kw_assert(f->kind == KW_KIND_QUANTITY);
        return read_quantity(r, node, f->dim, kw_field_bounds(f), out, err);
    }
}
