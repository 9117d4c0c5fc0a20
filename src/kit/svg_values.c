// SPDX-License-Identifier: Apache-2.0
// Numbers, lengths, transforms and colours as SVG writes them.
#include "kit/svg_in.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

static bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f';
}

void kw_svg_blanks(const char **s) {
    bool comma = false;
    while (is_blank(**s) || (**s == ',' && !comma)) {
        if (**s == ',') comma = true;
        (*s)++;
    }
}

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// "1.5.5" is two numbers, "1e3" one, "1em" one and a unit: the end is found by hand.
bool kw_svg_number(const char **s, double *out) {
    const char *p = *s;
    if (*p == '+' || *p == '-') p++;
    const char *digits = p;
    while (is_digit(*p))
        p++;
    bool any = p > digits;
    if (*p == '.') {
        const char *point = p++;
        while (is_digit(*p))
            p++;
        any = any || p > point + 1;
    }
    if (!any) return false;
    if (*p == 'e' || *p == 'E') {
        const char *q = p + 1;
        if (*q == '+' || *q == '-') q++;
        if (is_digit(*q)) {
            while (is_digit(*q))
                q++;
            p = q;
        }
    }
    char text[64];
    size_t n = (size_t)(p - *s);
    if (n >= sizeof text) return false;
    memcpy(text, *s, n);
    text[n] = 0;
    *out = strtod(text, NULL);
    *s = p;
    return fabs(*out) < 1e12;
}

bool kw_svg_length(const char *s, double whole, double *px, char unit[static 4]) {
    static const struct {
        const char *name;
        double px;
    } units[] = {{"", 1},           {"px", 1},        {"in", 96},        {"mm", 96 / 25.4},
                 {"cm", 96 / 2.54}, {"q", 24 / 25.4}, {"pt", 96 / 72.0}, {"pc", 16}};
    double v;
    while (is_blank(*s))
        s++;
    if (!kw_svg_number(&s, &v)) return false;
    int n = 0;
    unit[0] = 0;
    while (*s && !is_blank(*s)) {
        if (n == 3) return false;
        unit[n++] = (char)(*s >= 'A' && *s <= 'Z' ? *s - 'A' + 'a' : *s);
        unit[n] = 0;
        s++;
    }
    while (is_blank(*s))
        s++;
    if (*s) return false;
    if (strcmp(unit, "%") == 0) {
        *px = v / 100 * whole;
        return true;
    }
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        if (strcmp(unit, units[i].name) != 0) continue;
        *px = v * units[i].px;
        return true;
    }
    return false;
}

enum kw_status kw_svg_measure(struct kw_svg_reader *r, const struct kw_svg_element *e,
                              const char *name, double whole, double otherwise, double *px) {
    char unit[4];
    const char *text = kw_svg_attribute(e, name);
    *px = otherwise;
    if (!text || strcmp(text, "auto") == 0) return KW_OK;
    if (kw_svg_length(text, whole, px, unit) && fabs(*px) < 1e12) return KW_OK;
    return kw_fail(r->sketch.err, KW_UNIT, kw_sketch_place(&r->sketch, e->line),
                   "expected a length such as 12 or 12mm for %s of %s, got \"%s\"", name, e->name,
                   kw_sketch_shown(r->sketch.scratch, text, (int)strlen(text)));
}

// ------------------------------------------------------------------------------------- transforms

static struct kw_affine2 rotation(double degrees) {
    struct kw_move2 m = kw_move2_make(0, 0, fmod(degrees, 360) * KW_PI / 180, false);
    return (struct kw_affine2){m.c, -m.s, m.s, m.c, 0, 0};
}

static struct kw_affine2 shift(double x, double y) {
    return (struct kw_affine2){1, 0, 0, 1, x, y};
}

// One function with its numbers v; false when it isn't one of SVG 1.1, 7.6.
static bool one_transform(const char *name, size_t length, const double *v, int n,
                          struct kw_affine2 *m) {
    struct kw_affine2 one = kw_affine2_none();
#define IS(word) (length == strlen(word) && memcmp(name, word, length) == 0)
    if (IS("matrix") && n == 6) {
        one = (struct kw_affine2){v[0], v[2], v[1], v[3], v[4], v[5]};
    } else if (IS("translate") && (n == 1 || n == 2)) {
        one = shift(v[0], n == 2 ? v[1] : 0);
    } else if (IS("scale") && (n == 1 || n == 2)) {
        one = (struct kw_affine2){.xx = v[0], .yy = n == 2 ? v[1] : v[0]};
    } else if (IS("rotate") && n == 1) {
        one = rotation(v[0]);
    } else if (IS("rotate") && n == 3) {
        one = kw_affine2_then(shift(-v[1], -v[2]), rotation(v[0]));
        one = kw_affine2_then(one, shift(v[1], v[2]));
    } else if (IS("skewX") && n == 1) {
        one.xy = tan(v[0] * KW_PI / 180);
    } else if (IS("skewY") && n == 1) {
        one.yx = tan(v[0] * KW_PI / 180);
    } else {
        return false;
    }
#undef IS
    *m = kw_affine2_then(one, *m); // the last in the list comes first
    return true;
}

bool kw_svg_transform(const char *s, struct kw_affine2 *out) {
    *out = kw_affine2_none();
    for (;;) {
        kw_svg_blanks(&s);
        if (!*s) return true;
        const char *name = s;
        while ((*s >= 'a' && *s <= 'z') || (*s >= 'A' && *s <= 'Z'))
            s++;
        size_t length = (size_t)(s - name);
        while (is_blank(*s))
            s++;
        if (*s++ != '(') return false;
        double v[6];
        int n = 0;
        for (;;) {
            kw_svg_blanks(&s);
            if (*s == ')') break;
            if (n == 6 || !kw_svg_number(&s, &v[n++])) return false;
        }
        s++;
        if (!one_transform(name, length, v, n, out)) return false;
    }
}

// ---------------------------------------------------------------------------------------- colours

static int hex(char c) {
    if (is_digit(c)) return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

static int hex_colour(const char *s) {
    size_t n = strspn(s, "0123456789abcdefABCDEF");
    if (s[n] || (n != 3 && n != 6)) return -1;
    int v = 0;
    for (size_t i = 0; i < n; i++)
        v = n == 3 ? v << 8 | hex(s[i]) * 17 : v << 4 | hex(s[i]);
    return v;
}

static int rgb_colour(const char *s) {
    int colour = 0;
    for (int i = 0; i < 3; i++) {
        double v;
        kw_svg_blanks(&s);
        if (!kw_svg_number(&s, &v)) return -1;
        if (*s == '%') v *= 2.55, s++;
        colour = colour << 8 | (int)(fmax(0, fmin(255, v)) + 0.5);
    }
    while (is_blank(*s))
        s++;
    return strcmp(s, ")") == 0 ? colour : -1;
}

int kw_svg_colour(const char *s) {
    static const struct {
        const char *name;
        int colour;
    } names[] = {{"aqua", 0x00ffff},    {"black", 0x000000},  {"blue", 0x0000ff},
                 {"fuchsia", 0xff00ff}, {"gray", 0x808080},   {"green", 0x008000},
                 {"lime", 0x00ff00},    {"maroon", 0x800000}, {"navy", 0x000080},
                 {"olive", 0x808000},   {"orange", 0xffa500}, {"purple", 0x800080},
                 {"red", 0xff0000},     {"silver", 0xc0c0c0}, {"teal", 0x008080},
                 {"white", 0xffffff},   {"yellow", 0xffff00}};
    if (s[0] == '#') return hex_colour(s + 1);
    if (strncasecmp(s, "rgb(", 4) == 0) return rgb_colour(s + 4);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        if (strcasecmp(s, names[i].name) == 0) return names[i].colour;
    }
    return -1;
}
