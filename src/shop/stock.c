// SPDX-License-Identifier: Apache-2.0
// "11 ga hot-rolled sheet": what a part is made from, in the words of the trade.
#include "shop/shop.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MOST_WORDS = 12, MOST_SIZES = 3 };

// Sheets this thick are cut and folded elsewhere; sections this large too.
#define THICKEST_SHEET_MM  25.4
#define THINNEST_SHEET_MM  0.2
#define LARGEST_SECTION_MM 500.0

struct reading {
    const struct kw_shop *shop;
    const char *words;
    enum kw_length_unit bare;
    struct kw_place at;
    struct kw_error *err;
    char copy[204];
    char *word[MOST_WORDS];
    int count; // words left: kind and material are taken off the end
    struct kw_stock *out;
};

// ---------------------------------------------------------------------------------- kind of stock

struct kind_words {
    const char *first, *last; // first NULL: any
    enum kw_stock_kind kind;
    const char *text; // the house's word
    int sizes[2];     // how many numbers it takes, least and most
    const char *like;
};
static const struct kind_words kinds[] = {
    {NULL, "sheet", KW_SHEET, "sheet", {1, 1}, "11 ga hot-rolled sheet"},
    {NULL, "plate", KW_SHEET, "sheet", {1, 1}, "3/16 in hot-rolled sheet"},
    {"round", "tube", KW_ROUND_TUBE, "round tube", {2, 2}, "1-1/4 x 0.083 round tube"},
    {"square", "tube", KW_SQUARE_TUBE, "square tube", {2, 3}, "1 x 0.065 square tube"},
    {"rectangular",
     "tube",
     KW_SQUARE_TUBE,
     "square tube",
     {3, 3},
     "2 x 1 x 0.083 rectangular tube"},
    {"flat", "bar", KW_FLAT_BAR, "flat bar", {2, 2}, "1 x 3/16 flat bar"},
    {NULL, "pipe", KW_ROUND_TUBE, "pipe", {1, 1}, "1-1/2 schedule 40 pipe"},
    {"round", "rod", KW_ROUND_ROD, "round rod", {1, 1}, "3/8 round rod"},
    {"angle", "bar", KW_ANGLE_BAR, "angle bar", {3, 3}, "1 x 1 x 1/8 angle bar"},
};
#define KINDS "sheet, pipe, round tube, square tube, flat bar, round rod or angle bar"

static int first_steel(const struct kw_shop *shop);

/// Nominal pipe sizes, ASME B36.10M: outside diameter, walls of schedules 40 and 80, inches (values
/// from memory).
static const struct {
    const char *size;
    double od, schedule_40, schedule_80;
} pipes[] = {
    {"1/8", 0.405, 0.068, 0.095},   {"1/4", 0.540, 0.088, 0.119},   {"3/8", 0.675, 0.091, 0.126},
    {"1/2", 0.840, 0.109, 0.147},   {"3/4", 1.050, 0.113, 0.154},   {"1", 1.315, 0.133, 0.179},
    {"1-1/4", 1.660, 0.140, 0.191}, {"1-1/2", 1.900, 0.145, 0.200}, {"2", 2.375, 0.154, 0.218},
    {"2-1/2", 2.875, 0.203, 0.276}, {"3", 3.500, 0.216, 0.300},     {"3-1/2", 4.000, 0.226, 0.318},
    {"4", 4.500, 0.237, 0.337},     {"5", 5.563, 0.258, 0.375},     {"6", 6.625, 0.280, 0.432},
};

/// "1-1/2 schedule 40": what is left of the words of a pipe when kind and material are taken.
static enum kw_status read_pipe(struct reading *r) {
    struct kw_stock *s = r->out;
    bool words = r->count == 3 && strcmp(r->word[1], "schedule") == 0;
    bool heavy = words && strcmp(r->word[2], "80") == 0;
    if (!words || (!heavy && strcmp(r->word[2], "40") != 0)) {
        return kw_fail(r->err, KW_FORMAT, r->at,
                       "expected a pipe such as \"1-1/2 schedule 40 pipe\" (40 or 80), got \"%s\"",
                       r->words);
    }
    for (size_t i = 0; i < sizeof pipes / sizeof *pipes; i++) {
        if (strcmp(pipes[i].size, r->word[0]) != 0) continue;
        s->width = s->height = pipes[i].od * KW_MM_PER_IN;
        s->thickness = (heavy ? pipes[i].schedule_80 : pipes[i].schedule_40) * KW_MM_PER_IN;
        s->thickness_least = s->thickness_most = s->thickness;
        const char *material = KW_ITEM(struct kw_material, r->shop->materials, s->material)->name;
        bool named = s->material != first_steel(r->shop);
        (void)snprintf(s->text, sizeof s->text, "%s schedule %s %.40s%spipe", pipes[i].size,
                       heavy ? "80" : "40", named ? material : "", named ? " " : "");
        return KW_OK;
    }
    return kw_fail(r->err, KW_UNKNOWN, r->at,
                   "no pipe of nominal size \"%.*s\", expected 1/8 to 6 such as 1-1/2",
                   KW_SHOWN(r->word[0]));
}

static const struct kind_words *take_kind(struct reading *r) {
    const char *last = r->count > 0 ? r->word[r->count - 1] : "";
    const char *first = r->count > 1 ? r->word[r->count - 2] : "";
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        const struct kind_words *k = &kinds[i];
        if (strcmp(k->last, last) != 0) continue;
        if (k->first && strcmp(k->first, first) != 0) continue;
        r->count -= k->first ? 2 : 1;
        return k;
    }
    return NULL;
}

// --------------------------------------------------------------------------------------- material

static bool is_size_word(const char *w) {
    static const char *const others[] = {"schedule", "x", "X",  "in", "mm",   "cm",
                                         "ft",       "m", "\"", "ga", "gauge"};
    if ((*w >= '0' && *w <= '9') || *w == '.' || *w == '-' || *w == '+') return true;
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        if (strcmp(w, others[i]) == 0) return true;
    }
    return false;
}

static enum kw_status unknown_material(const struct reading *r, const char *word) {
    const struct kw_shop *shop = r->shop;
    struct kw_arena a = {0};
    struct kw_text list = {0};
    const char **names = KW_NEW_ARRAY(&a, const char *, shop->materials.count + 1);
    for (int i = 0; i < shop->materials.count; i++) {
        names[i] = KW_ITEM(struct kw_material, shop->materials, i)->name;
        kw_text_addf(&list, "%s%s", i ? ", " : "", names[i]);
    }
    const char *near = kw_nearest_word(word, names);
    enum kw_status s = kw_fail(
        r->err, KW_UNKNOWN, r->at, "unknown material \"%.*s\", expected one of %.200s%s%s%s",
        KW_SHOWN(word), list.s ? list.s : "(none in shop.yaml)", near ? ", did you mean \"" : "",
        near ? near : "", near ? "\"?" : "");
    kw_text_free(&list);
    kw_arena_free(&a);
    return s;
}

static int first_steel(const struct kw_shop *shop) {
    for (int i = 0; i < shop->materials.count; i++) {
        if (KW_ITEM(struct kw_material, shop->materials, i)->family == KW_STEEL) return i;
    }
    return -1;
}

static enum kw_status take_material(struct reading *r, const struct kind_words *kind) {
    const char *word = r->count > 0 ? r->word[r->count - 1] : NULL;
    if (word && !is_size_word(word)) {
        r->count--;
        for (int i = 0; i < r->shop->materials.count; i++) {
            if (strcmp(KW_ITEM(struct kw_material, r->shop->materials, i)->name, word) == 0) {
                r->out->material = i;
                return KW_OK;
            }
        }
        return unknown_material(r, word);
    }
    r->out->material = kind->kind == KW_SHEET ? -1 : first_steel(r->shop);
    if (r->out->material >= 0) return KW_OK;
    return kw_fail(r->err, KW_MISSING, r->at,
                   "expected a material before \"%s\", such as \"%s\", got \"%s\"", kind->text,
                   kind->like, r->words);
}

// ------------------------------------------------------------------------------------------ sizes

// The words left, joined and cut at each "x". Returns how many, or -1 when there are too many.
static int split_sizes(const struct reading *r, char sizes[MOST_SIZES][64]) {
    int n = 0;
    size_t used = 0;
    sizes[0][0] = 0;
    for (int i = 0; i < r->count; i++) {
        for (const char *c = i ? " " : ""; *c; c++)
            sizes[n][used++] = *c;
        for (const char *c = r->word[i]; *c; c++) {
            if (*c == 'x' || *c == 'X') {
                sizes[n][used] = 0;
                if (++n == MOST_SIZES) return -1;
                used = 0;
            } else if (used + 3 < sizeof sizes[0]) {
                sizes[n][used++] = *c;
            } else {
                return -1;
            }
        }
        sizes[n][used] = 0;
    }
    return n + 1;
}

static enum kw_status no_such_gauge(const struct reading *r, enum kw_family family,
                                    const char *text) {
    static const char *const family_names[] = {"steel", "galvanised", "stainless", "aluminium"};
    struct kw_text list = {0};
    double t, least, most;
    for (int g = 1; g <= 40; g++) {
        if (kw_gauge(family, g, &t, &least, &most))
            kw_text_addf(&list, "%s%d", list.s ? ", " : "", g);
    }
    enum kw_status s =
        kw_fail(r->err, KW_UNKNOWN, r->at, "no gauge \"%.*s\" in the %s table, expected one of %s",
                KW_SHOWN(text), family_names[family], list.s);
    kw_text_free(&list);
    return s;
}

static enum kw_family family_of(const struct reading *r) {
    return (enum kw_family)KW_ITEM(struct kw_material, r->shop->materials, r->out->material)
        ->family;
}

static enum kw_status read_gauge(struct reading *r, const char *text) {
    struct kw_stock *s = r->out;
    size_t digits = strspn(text, "0123456789");
    const char *rest = text + digits + strspn(text + digits, " ");
    bool whole =
        digits > 0 && digits < 4 && (strcmp(rest, "ga") == 0 || strcmp(rest, "gauge") == 0);
    int gauge = 0;
    for (size_t i = 0; whole && i < digits; i++)
        gauge = gauge * 10 + (text[i] - '0');
    if (whole &&
        kw_gauge(family_of(r), gauge, &s->thickness, &s->thickness_least, &s->thickness_most)) {
        return KW_OK;
    }
    return no_such_gauge(r, family_of(r), text);
}

// A thickness within the last digit that people write is a gauge's: 0.12 in is 11 ga. One written
// in millimetres is meant as it stands: 2 mm is no 14 ga, though the two are 0.006 mm apart.
static void snap_to_gauge(struct reading *r, const char *size) {
    bool inches =
        strchr(size, 'i') || strchr(size, '"') || (r->bare == KW_IN && !strchr(size, 'm'));
    double near = inches ? 0.0005 * KW_MM_PER_IN : 0.001;
    double t, least, most;
    struct kw_stock *s = r->out;
    s->thickness_least = s->thickness_most = s->thickness;
    for (int g = 1; g <= 40; g++) {
        if (!kw_gauge(family_of(r), g, &t, &least, &most)) continue;
        if (fabs(t - s->thickness) <= near) {
            s->thickness = t;
            s->thickness_least = least;
            s->thickness_most = most;
            return;
        }
    }
}

static bool ends_with(const char *s, const char *end) {
    size_t n = strlen(s), m = strlen(end);
    return n >= m && strcmp(s + n - m, end) == 0;
}

static enum kw_status read_sheet(struct reading *r, const char *size) {
    if (ends_with(size, "ga") || ends_with(size, "gauge")) return read_gauge(r, size);
    if (size[0] == 0) {
        return kw_fail(r->err, KW_MISSING, r->at,
                       "expected a gauge or thickness first, such as \"11 ga hot-rolled sheet\", "
                       "got \"%s\"",
                       r->words);
    }
    size_t digits = strspn(size, "0123456789");
    // "11 hot-rolled sheet": a forgotten "ga" would be a plate of 11 in.
    if (digits > 0 && size[digits] == 0 && (digits > 1 || size[0] >= '7')) {
        return kw_fail(r->err, KW_UNIT, r->at,
                       "\"%s\" alone could be a gauge or a thickness, write \"%s ga\" or \"%s %s\"",
                       size, size, size, r->bare == KW_IN ? "in" : "mm");
    }
    struct kw_stock *s = r->out;
    enum kw_status st = kw_quantity(size, KW_DIM_LENGTH, r->bare, r->at, &s->thickness, r->err);
    if (st != KW_OK) return st;
    if (!(s->thickness >= THINNEST_SHEET_MM && s->thickness <= THICKEST_SHEET_MM)) {
        return kw_fail(r->err, KW_RANGE, r->at,
                       "expected a sheet from 0.2 mm to 1 in thick, got \"%s\"", r->words);
    }
    snap_to_gauge(r, size);
    return KW_OK;
}

static enum kw_status read_size(struct reading *r, const char *size, double *out) {
    if (ends_with(size, "ga") || ends_with(size, "gauge")) {
        return kw_fail(
            r->err, KW_UNIT, r->at,
            "tube and bar have no sheet gauge, write the wall as a length such as 0.065, "
            "got \"%s\"",
            r->words);
    }
    enum kw_status s = kw_quantity(size, KW_DIM_LENGTH, r->bare, r->at, out, r->err);
    if (s != KW_OK || (*out > 0 && *out <= LARGEST_SECTION_MM)) return s;
    return kw_fail(r->err, KW_RANGE, r->at,
                   "expected a size above 0 and at most 500 mm, got \"%s\"", size);
}

static enum kw_status fill_section(struct reading *r, const double *size, int n) {
    struct kw_stock *s = r->out;
    bool tube = s->kind == KW_ROUND_TUBE || s->kind == KW_SQUARE_TUBE;
    s->width = size[0];
    s->height = n == 3 ? size[1] : s->kind == KW_FLAT_BAR ? size[1] : size[0];
    s->thickness = size[n - 1];
    s->thickness_least = s->thickness_most = s->thickness;
    double smaller = fmin(s->width, s->height);
    bool solid = tube && !(2 * s->thickness < smaller);
    bool thick = s->kind == KW_ANGLE_BAR && !(s->thickness < smaller);
    bool turned = s->kind == KW_FLAT_BAR && s->height > s->width;
    if (solid || thick) {
        return kw_fail(r->err, KW_RANGE, r->at, "the wall leaves nothing inside in \"%s\"",
                       r->words);
    }
    if (turned) {
        return kw_fail(r->err, KW_RANGE, r->at,
                       "expected the width first and the thickness last, "
                       "got \"%s\"",
                       r->words);
    }
    return KW_OK;
}

static enum kw_status read_sizes(struct reading *r, const struct kind_words *kind) {
    char text[MOST_SIZES][64];
    double size[MOST_SIZES] = {0};
    int n = split_sizes(r, text);
    if (n < kind->sizes[0] || n > kind->sizes[1]) {
        return kw_fail(r->err, KW_FORMAT, r->at, "expected sizes as in \"%s\", got \"%s\"",
                       kind->like, r->words);
    }
    if (kind->kind == KW_SHEET) return read_sheet(r, text[0]);
    for (int i = 0; i < n; i++) {
        enum kw_status s = read_size(r, text[i], &size[i]);
        if (s != KW_OK) return s;
    }
    return fill_section(r, size, n);
}

// ------------------------------------------------------------------------------ the house's words

// A plain fraction where it is one, else decimals; always in the shop's unit, so that two files
// with other units say the same.
static void size_text(char buf[static 48], double mm, enum kw_length_unit unit) {
    char number[KW_NUMBER_SIZE];
    double parts = mm / KW_MM_PER_IN * 64;
    if (unit == KW_IN && fabs(parts - round(parts)) < 64e-6) {
        kw_tape_text(buf, mm, KW_IN);
    } else {
        (void)snprintf(buf, 48, "%s",
                       unit == KW_IN ? kw_number(number, mm / KW_MM_PER_IN, 4)
                                     : kw_number(number, mm, 3));
    }
}

// Whether four decimals of an inch say this thickness; "2 mm" is better left in millimetres.
static bool is_inch_size(double mm) {
    double tenths = mm / KW_MM_PER_IN * 1e4;
    return fabs(tenths - round(tenths)) < 1e-6;
}

static int gauge_of(const struct reading *r) {
    double t, least, most;
    for (int g = 1; g <= 40; g++) {
        if (kw_gauge(family_of(r), g, &t, &least, &most) && t == r->out->thickness) return g;
    }
    return 0;
}

static void write_words(struct reading *r, const struct kind_words *kind) {
    struct kw_stock *s = r->out;
    enum kw_length_unit unit = (enum kw_length_unit)r->shop->units;
    if (s->kind == KW_SHEET && !is_inch_size(s->thickness)) unit = KW_MM;
    const char *material = KW_ITEM(struct kw_material, r->shop->materials, s->material)->name;
    char a[48], b[48], t[48];
    size_text(a, s->width, unit);
    size_text(b, s->height, unit);
    size_text(t, s->thickness, unit);
    bool named = s->kind == KW_SHEET || s->material != first_steel(r->shop);
    const char *name = named ? material : "", *space = named ? " " : "";
    int gauge = s->kind == KW_SHEET ? gauge_of(r) : 0;
    if (gauge) {
        (void)snprintf(s->text, sizeof s->text, "%d ga %.40s sheet", gauge, material);
    } else if (s->kind == KW_SHEET) {
        (void)snprintf(s->text, sizeof s->text, "%.16s %s %.40s sheet", t,
                       unit == KW_IN ? "in" : "mm", material);
    } else if (s->kind == KW_ROUND_ROD) {
        (void)snprintf(s->text, sizeof s->text, "%.16s %.40s%s%s", a, name, space, kind->text);
    } else if (s->kind == KW_ANGLE_BAR || (s->kind == KW_SQUARE_TUBE && s->width != s->height)) {
        const char *word = s->kind == KW_SQUARE_TUBE ? "rectangular tube" : kind->text;
        (void)snprintf(s->text, sizeof s->text, "%.16s x %.16s x %.16s %.40s%s%s", a, b, t, name,
                       space, word);
    } else {
        (void)snprintf(s->text, sizeof s->text, "%.16s x %.16s %.40s%s%s", a, t, name, space,
                       kind->text);
    }
}

// ----------------------------------------------------------------------------------------- reading

static bool split_words(struct reading *r) {
    size_t n = strlen(r->words);
    if (n >= sizeof r->copy) return false;
    memcpy(r->copy, r->words, n + 1);
    for (char *p = r->copy; *p;) {
        while (*p == ' ' || *p == '\t')
            *p++ = 0;
        if (*p == 0) break;
        if (r->count == MOST_WORDS) return false;
        r->word[r->count++] = p;
        while (*p && *p != ' ' && *p != '\t')
            p++;
    }
    return true;
}

enum kw_status kw_stock_read(const struct kw_shop *shop, const char *words,
                             enum kw_length_unit bare, struct kw_place at, struct kw_stock *out,
                             struct kw_error *err) {
    struct reading r = {
        .shop = shop, .words = words, .bare = bare, .at = at, .err = err, .out = out};
    *out = (struct kw_stock){0};
    if (!split_words(&r)) {
        return kw_fail(err, KW_LIMIT, at,
                       "expected a few words such as \"11 ga hot-rolled sheet\"");
    }
    const struct kind_words *kind = take_kind(&r);
    if (!kind) {
        return kw_fail(err, KW_FORMAT, at, "expected a stock that ends in " KINDS ", got \"%.*s\"",
                       KW_SHOWN(words));
    }
    out->kind = kind->kind;
    enum kw_status s = take_material(&r, kind);
    bool pipe = strcmp(kind->last, "pipe") == 0;
    if (s == KW_OK) s = pipe ? read_pipe(&r) : read_sizes(&r, kind);
    if (s == KW_OK && !pipe) write_words(&r, kind);
    return s;
}

static bool on_rack(const struct kw_items *rack, const struct kw_stock *stock) {
    for (int i = 0; i < rack->count; i++) {
        if (kw_stock_same(&KW_ITEM(struct kw_rack_item, *rack, i)->stock, stock)) return true;
    }
    return false;
}

static bool have(const struct kw_shop *shop, const struct kw_stock *stock) {
    return on_rack(&shop->sheets, stock) || on_rack(&shop->sticks, stock);
}

enum kw_status kw_stock_meant(const struct kw_shop *shop, const char *words,
                              enum kw_length_unit bare, struct kw_place at, struct kw_stock *out,
                              struct kw_error *err) {
    enum kw_status s = kw_stock_read(shop, words, bare, at, out, err);
    if ((int)bare == shop->units || (s == KW_OK && have(shop, out))) return s;
    struct kw_stock other;
    if (kw_stock_read(shop, words, (enum kw_length_unit)shop->units, at, &other, NULL) != KW_OK ||
        !have(shop, &other))
        return s;
    *out = other;
    return KW_OK;
}

bool kw_stock_same(const struct kw_stock *a, const struct kw_stock *b) {
    return a->kind == b->kind && a->material == b->material && strcmp(a->text, b->text) == 0;
}
