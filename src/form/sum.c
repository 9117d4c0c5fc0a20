// SPDX-License-Identifier: Apache-2.0
// sum = product { (+|-) product }; product = factor { (*|/) factor }; factor = ( sum ) | name |
// quantity. Operators stand between blanks, so that 1-1/2 and shelf-end stay what they are.
#include "form/sum.h"

#include <math.h>
#include <string.h>

struct value {
    double v;
    bool pure; // no unit yet: v counts in the file's own unit
};

struct sum {
    struct kw_reader *r;
    const struct kw_node *node;
    const char *next;
    enum kw_dimension dim;
    int depth;
    struct kw_error *err;
};

static bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool is_operator(const char *s) {
    return s[0] && strchr("+-*/", s[0]) && s[1] == ' ';
}

bool kw_is_sum(const struct kw_reader *r, const char *text) {
    if (!r->sums) return false;
    if (text[0] == '(' || (is_letter(text[0]) && r->name_count > 0)) return true;
    for (const char *p = text; *p; p++) {
        if (*p == ' ' && is_operator(p + 1)) return true;
    }
    return false;
}

static struct kw_place here(const struct sum *s, const char *p) {
    struct kw_place at = s->node->at;
    at.column += (int)(p - s->node->text) + s->node->quoted;
    return at;
}

static void skip_blanks(struct sum *s) {
    while (*s->next == ' ')
        s->next++;
}

/// House units in one of a pure number of the sum's dimension.
static double unit_of(const struct sum *s) {
    double one = 1;
    struct kw_error none = {0};
    kw_assert(kw_quantity("1", s->dim, s->r->units, s->node->at, &one, &none) == KW_OK);
    return one;
}

static double with_unit(const struct sum *s, struct value x) {
    return x.pure ? x.v * unit_of(s) : x.v;
}

static enum kw_status read_sum(struct sum *s, struct value *out);

static enum kw_status read_name(struct sum *s, const char *from, size_t length, struct value *out) {
    const char *name = kw_copy_text(s->r->arena, from, length);
    const char **known = KW_NEW_ARRAY(s->r->arena, const char *, s->r->name_count + 1);
    for (int i = 0; i < s->r->name_count; i++) {
        const struct kw_named_value *n = &s->r->names[i];
        known[i] = n->name;
        if (strcmp(n->name, name) != 0) continue;
        *out = (struct value){n->value, n->pure};
        if (n->pure || s->dim == KW_DIM_LENGTH) return KW_OK;
        return kw_fail(s->err, KW_UNIT, here(s, from), "\"%.60s\" is a length, expected %s", name,
                       kw_dimension_example(s->dim));
    }
    const char *near = kw_nearest_word(name, known);
    return kw_fail(s->err, KW_UNKNOWN, here(s, from),
                   "no dimension is called \"%.60s\"%s%s%s, expected one from sizes or dimensions, "
                   "or %s",
                   name, near ? ", did you mean \"" : "", near ? near : "", near ? "\"?" : "",
                   kw_dimension_example(s->dim));
}

/// Up to the next operator between blanks, or bracket.
static size_t atom_length(const char *p) {
    size_t n = 0;
    while (p[n] && p[n] != '(' && p[n] != ')' && !(p[n] == ' ' && is_operator(p + n + 1)))
        n++;
    while (n > 0 && p[n - 1] == ' ')
        n--;
    return n;
}

static enum kw_status read_atom(struct sum *s, struct value *out) {
    const char *from = s->next;
    size_t n = atom_length(from);
    if (n == 0) {
        return kw_fail(s->err, KW_FORMAT, here(s, from), "expected %s or a name, got \"%.20s\"",
                       kw_dimension_example(s->dim), from);
    }
    s->next += n;
    if (is_letter(from[0])) return read_name(s, from, n, out);
    const char *text = kw_copy_text(s->r->arena, from, n);
    struct kw_error why = {0};
    out->pure = true;
    if (kw_quantity(text, KW_DIM_NUMBER, KW_MM, here(s, from), &out->v, &why) == KW_OK) {
        return KW_OK;
    }
    out->pure = false;
    return kw_quantity(text, s->dim, s->r->units, here(s, from), &out->v, s->err);
}

static enum kw_status read_factor(struct sum *s, struct value *out) {
    enum { DEEPEST = 20 };
    skip_blanks(s);
    if (*s->next != '(') return read_atom(s, out);
    const char *open = s->next++;
    if (++s->depth > DEEPEST) {
        return kw_fail(s->err, KW_LIMIT, here(s, open), "expected at most %d brackets in a sum",
                       DEEPEST);
    }
    enum kw_status st = read_sum(s, out);
    if (st != KW_OK) return st;
    skip_blanks(s);
    if (*s->next != ')') {
        return kw_fail(s->err, KW_FORMAT, here(s, open), "a bracket that is never closed");
    }
    s->next++;
    s->depth--;
    return KW_OK;
}

static char take_operator(struct sum *s, const char *which) {
    const char *p = s->next;
    while (*p == ' ')
        p++;
    if (p == s->next || !is_operator(p) || !strchr(which, *p)) return 0;
    s->next = p + 1;
    return *p;
}

static enum kw_status times(struct sum *s, const char *at, struct value *x, struct value y) {
    if (!x->pure && !y.pure) {
        return kw_fail(s->err, KW_UNIT, here(s, at),
                       "expected a plain number as a factor, got one more with a unit");
    }
    *x = (struct value){x->v * y.v, x->pure && y.pure};
    return KW_OK;
}

static enum kw_status over(struct sum *s, const char *at, struct value *x, struct value y) {
    if (!y.pure) {
        return kw_fail(s->err, KW_UNIT, here(s, at),
                       "expected a plain number to divide by, got one with a unit");
    }
    if (y.v == 0) return kw_fail(s->err, KW_RANGE, here(s, at), "a division by nothing");
    x->v /= y.v;
    return KW_OK;
}

static enum kw_status read_product(struct sum *s, struct value *out) {
    enum kw_status st = read_factor(s, out);
    char op;
    while (st == KW_OK && (op = take_operator(s, "*/"))) {
        struct value y;
        skip_blanks(s);
        const char *at = s->next;
        st = read_factor(s, &y);
        if (st == KW_OK) st = op == '*' ? times(s, at, out, y) : over(s, at, out, y);
    }
    return st;
}

static enum kw_status read_sum(struct sum *s, struct value *out) {
    enum kw_status st = read_product(s, out);
    char op;
    while (st == KW_OK && (op = take_operator(s, "+-"))) {
        struct value y;
        st = read_product(s, &y);
        if (st != KW_OK) break;
        double sign = op == '+' ? 1 : -1;
        if (out->pure && y.pure) {
            out->v += sign * y.v;
        } else {
            *out = (struct value){with_unit(s, *out) + sign * with_unit(s, y), false};
        }
    }
    return st;
}

/// All of the node's text as one sum.
static enum kw_status read_all(struct sum *s, struct value *out) {
    s->next = s->node->text;
    enum kw_status st = read_sum(s, out);
    if (st != KW_OK) return st;
    skip_blanks(s);
    if (!*s->next) return KW_OK;
    return kw_fail(s->err, KW_FORMAT, here(s, s->next),
                   "expected + - * or / between blanks, got \"%.20s\"", s->next);
}

enum kw_status kw_sum(struct kw_reader *r, const struct kw_node *node, enum kw_dimension dim,
                      double *out, struct kw_error *err) {
    struct sum s = {.r = r, .node = node, .dim = dim, .err = err};
    struct value v;
    enum kw_status st = read_all(&s, &v);
    if (st != KW_OK) return st;
    *out = with_unit(&s, v);
    if (isfinite(*out)) return KW_OK;
    return kw_fail(err, KW_RANGE, node->at, "a sum without an end: \"%.60s\"", node->text);
}

enum kw_status kw_name_value(struct kw_reader *r, const struct kw_node *node,
                             struct kw_named_value *out, struct kw_error *err) {
    char got[KW_NODE_GOT_SIZE];
    if (node->kind != KW_SCALAR || node->text[0] == 0) {
        return kw_fail(err, KW_FORMAT, node->at, "expected a number, a length or a sum, got %s",
                       kw_node_got(got, node));
    }
    struct sum s = {.r = r, .node = node, .dim = KW_DIM_LENGTH, .err = err};
    struct value v;
    enum kw_status st = read_all(&s, &v);
    if (st != KW_OK) return st;
    if (!(fabs(v.v) <= KW_MOST_MM)) {
        return kw_fail(err, KW_RANGE, node->at, "expected a number or length below 50 m, got %s",
                       kw_node_got(got, node));
    }
    *out = (struct kw_named_value){node->key, v.v, v.pure};
    return KW_OK;
}
