// SPDX-License-Identifier: Apache-2.0
// How an element looks, and the role that it has by that: the nearest id, label or class that
// shop.yaml knows; else the colour of its line, or of its filling where it has no line.
#include "kit/svg_in.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { MOST_RULES = 300 };

static bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f';
}

static void trim(const char **s, int *length) {
    while (*length > 0 && is_blank(**s))
        (*s)++, (*length)--;
    while (*length > 0 && is_blank((*s)[*length - 1]))
        (*length)--;
}

// ------------------------------------------------------------------------------------ style sheets

// Without comments, which CSS puts between /* and */.
static char *without_comments(struct kw_arena *a, const char *s) {
    char *out = kw_copy_text(a, s, strlen(s)), *to = out;
    for (const char *p = s; *p;) {
        const char *end = p[0] == '/' && p[1] == '*' ? strstr(p + 2, "*/") : NULL;
        if (end)
            p = end + 2;
        else
            *to++ = *p++;
    }
    *to = 0;
    return out;
}

// One selector of a rule. Those that name more than one thing are passed over: drawing programs
// write a class for each way to draw.
static void add_rule(struct kw_svg_reader *r, const char *selector, int length,
                     const char *declarations, int declared) {
    trim(&selector, &length);
    if (length < 1 || r->rule_count == MOST_RULES) return;
    char kind = selector[0];
    bool marked = kind == '.' || kind == '#';
    const char *name = selector + (marked ? 1 : 0);
    int n = length - (marked ? 1 : 0);
    for (int i = 0; i < n; i++) {
        if (strchr(" \t\r\n\f>+~:[.#", name[i])) return;
    }
    if (!marked) kind = n == 1 && name[0] == '*' ? '*' : 'x';
    KW_PUSH(r->sketch.scratch, r->rules, r->rule_count) = (struct kw_svg_rule){
        kind, kw_copy_text(r->sketch.scratch, name, (size_t)n), declarations, declared};
}

static void read_sheet(struct kw_svg_reader *r, const char *text) {
    const char *s = without_comments(r->sketch.scratch, text);
    while (*s) {
        const char *open = strchr(s, '{');
        if (!open) return;
        const char *close = open + 1;
        for (int depth = 1; *close; close++) { // a block of @media holds others
            depth += (*close == '{') - (*close == '}');
            if (depth == 0) break;
        }
        if (!*close) return;
        while (is_blank(*s))
            s++;
        for (const char *p = s; *s != '@' && p < open;) {
            const char *comma = memchr(p, ',', (size_t)(open - p));
            const char *end = comma ? comma : open;
            add_rule(r, p, (int)(end - p), open + 1, (int)(close - open - 1));
            p = end + 1;
        }
        s = close + 1;
    }
}

void kw_svg_read_rules(struct kw_svg_reader *r, const struct kw_svg_element *e) {
    if (e->text) read_sheet(r, e->text);
    for (const struct kw_svg_element *c = e->first; c; c = c->next)
        kw_svg_read_rules(r, c);
}

static bool has_class(const struct kw_svg_element *e, const char *name) {
    const char *s = kw_svg_attribute(e, "class");
    size_t n = strlen(name);
    while (s && *s) {
        while (is_blank(*s))
            s++;
        size_t word = strcspn(s, " \t\n\r\f");
        if (word == n && n > 0 && memcmp(s, name, n) == 0) return true;
        s += word;
    }
    return false;
}

static int strength(const struct kw_svg_rule *rule, const struct kw_svg_element *e) {
    const char *id = kw_svg_attribute(e, "id");
    switch (rule->kind) {
    case '#':
        return id && strcmp(id, rule->name) == 0 ? 4 : 0;
    case '.':
        return has_class(e, rule->name) ? 3 : 0;
    case 'x':
        return strcmp(rule->name, e->name) == 0 ? 2 : 0;
    default:
        return 1;
    }
}

// The value that declarations give to `name`, the last of them; NULL: none.
static const char *declared(struct kw_svg_reader *r, const char *s, int length, const char *name) {
    const char *found = NULL;
    int found_length = 0;
    for (const char *end = s + length; s < end;) {
        const char *semicolon = memchr(s, ';', (size_t)(end - s));
        const char *stop = semicolon ? semicolon : end;
        const char *colon = memchr(s, ':', (size_t)(stop - s));
        if (colon) {
            const char *key = s, *value = colon + 1;
            int n = (int)(colon - s), m = (int)(stop - value);
            const char *bang = memchr(value, '!', (size_t)m);
            if (bang) m = (int)(bang - value);
            trim(&key, &n);
            trim(&value, &m);
            if (n == (int)strlen(name) && strncasecmp(key, name, (size_t)n) == 0)
                found = value, found_length = m;
        }
        s = stop + 1;
    }
    return found ? kw_copy_text(r->sketch.scratch, found, (size_t)found_length) : NULL;
}

const char *kw_svg_property(struct kw_svg_reader *r, const struct kw_svg_element *e,
                            const char *name) {
    const char *style = kw_svg_attribute(e, "style");
    const char *value = style ? declared(r, style, (int)strlen(style), name) : NULL;
    int best = 0;
    for (int i = 0; !style || !value || best > 0; i++) {
        if (i == r->rule_count) break;
        int s = strength(&r->rules[i], e);
        if (s == 0 || s < best) continue;
        const char *v = declared(r, r->rules[i].declarations, r->rules[i].length, name);
        if (!v) continue;
        best = s;
        value = v;
    }
    return value ? value : kw_svg_attribute(e, name);
}

// ------------------------------------------------------------------------------------------- look

static void take_paint(struct kw_svg_reader *r, const struct kw_svg_element *e, const char *name,
                       struct kw_svg_paint *paint) {
    const char *v = kw_svg_property(r, e, name);
    if (!v || strcmp(v, "inherit") == 0) return;
    paint->none = strcmp(v, "none") == 0 || strcmp(v, "transparent") == 0;
    paint->colour = paint->none ? -1 : kw_svg_colour(v);
}

// The last word in a class counts as the first does: the first that has a role.
static enum kw_role class_role(struct kw_svg_reader *r, const struct kw_svg_element *e) {
    const char *s = kw_svg_attribute(e, "class");
    while (s && *s) {
        while (is_blank(*s))
            s++;
        size_t word = strcspn(s, " \t\n\r\f");
        enum kw_role role = kw_sketch_role(&r->sketch, s, (int)word);
        if (word > 0 && role != ROLE_UNKNOWN) return role;
        s += word;
    }
    return ROLE_UNKNOWN;
}

static void take_role(struct kw_svg_reader *r, const struct kw_svg_element *e,
                      struct kw_svg_state *s) {
    const char *names[2] = {kw_svg_attribute(e, "label"), kw_svg_attribute(e, "id")};
    enum kw_role role = ROLE_UNKNOWN;
    for (int i = 0; i < 2 && role == ROLE_UNKNOWN; i++) {
        if (names[i]) role = kw_sketch_role(&r->sketch, names[i], (int)strlen(names[i]));
    }
    if (role == ROLE_UNKNOWN) role = class_role(r, e);
    if (role != ROLE_UNKNOWN) s->role = role;
    bool group = strcmp(e->name, "g") == 0;
    if (group && (names[0] || names[1])) s->layer = names[0] ? names[0] : names[1];
}

bool kw_svg_look(struct kw_svg_reader *r, const struct kw_svg_element *e, struct kw_svg_state *s) {
    const char *display = kw_svg_property(r, e, "display");
    if (display && strcmp(display, "none") == 0) return false;
    const char *visibility = kw_svg_property(r, e, "visibility");
    if (visibility && strcmp(visibility, "inherit") != 0)
        s->visible = strcmp(visibility, "visible") == 0;
    take_paint(r, e, "stroke", &s->stroke);
    take_paint(r, e, "fill", &s->fill);
    take_role(r, e, s);
    return true;
}

// ------------------------------------------------------------------------------------------- roles

enum kw_role kw_svg_colour_role(const struct kw_layers *l, int colour) {
    const struct kw_items *lists[] = {&l->cut, &l->bend_up, &l->bend_down, &l->mark, &l->ignore};
    static const enum kw_role roles[] = {ROLE_CUT, ROLE_BEND_UP, ROLE_BEND_DOWN, ROLE_MARK,
                                         ROLE_IGNORE};
    for (int k = 0; k < 5 && colour >= 0; k++) {
        for (int i = 0; i < lists[k]->count; i++) {
            if (kw_svg_colour(*KW_ITEM(const char *, *lists[k], i)) == colour) return roles[k];
        }
    }
    return ROLE_UNKNOWN;
}

static bool same_paint(struct kw_svg_paint a, struct kw_svg_paint b) {
    return a.none == b.none && a.colour == b.colour;
}

enum kw_role kw_svg_shape_role(struct kw_svg_reader *r, const struct kw_svg_element *e,
                               const struct kw_svg_state *s) {
    if (s->role != ROLE_UNKNOWN) {
        r->any_role = true;
        return s->role;
    }
    if (!kw_sketch_has_roles(&r->sketch)) return ROLE_CUT;
    enum kw_role role =
        kw_svg_colour_role(r->sketch.layers, s->stroke.none ? s->fill.colour : s->stroke.colour);
    if (role != ROLE_UNKNOWN) {
        r->any_role = true;
        return role;
    }
    struct kw_svg_unknown *u = &r->unknown;
    if (u->count++ == 0)
        *u = (struct kw_svg_unknown){1, true, s->stroke, s->fill, s->layer, e->line};
    else if (!same_paint(u->stroke, s->stroke) || !same_paint(u->fill, s->fill))
        u->alike = false;
    return ROLE_CUT;
}

enum kw_status kw_svg_check_roles(struct kw_svg_reader *r) {
    const struct kw_svg_unknown *u = &r->unknown;
    if (u->count == 0 || (u->alike && !r->any_role)) return KW_OK;
    struct kw_svg_paint p = u->stroke.none ? u->fill : u->stroke;
    char colour[16] = "";
    if (p.colour >= 0) {
        const char digits[] = "0123456789abcdef";
        colour[0] = '#';
        for (int i = 0; i < 6; i++)
            colour[1 + i] = digits[p.colour >> (20 - 4 * i) & 15];
        colour[7] = 0;
    }
    const char *layer =
        u->layer ? kw_sketch_shown(r->sketch.scratch, u->layer, (int)strlen(u->layer)) : NULL;
    return kw_fail(r->sketch.err, KW_UNKNOWN, kw_sketch_place(&r->sketch, u->line),
                   "a shape%s%s%s%s%s has no role in shop.yaml%s", layer ? " in group \"" : "",
                   layer ? layer : "", layer ? "\"" : "", colour[0] ? " of colour " : "", colour,
                   kw_sketch_roles_text(&r->sketch, layer ? layer : colour));
}
