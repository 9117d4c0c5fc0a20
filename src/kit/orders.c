// SPDX-License-Identifier: Apache-2.0
// The week's orders: comma-separated values as spreadsheets write them (RFC 4180), with the columns
// order, kit, size, options, part, count, due in any order.
#include "kit/kit.h"

#include <string.h>
#include <strings.h>

enum {
    MOST_BYTES = 8 * 1024 * 1024,
    MOST_ORDERS = 100000,
    MOST_COUNT = 100000,
    MOST_CELLS = 32,
    MOST_VALUE = 250, // bytes
    MOST_NUMBER = 40  // characters of an order number
};

struct cell {
    struct kw_place at;
    const char *text; // without blanks around, unless quoted
};
struct row {
    struct cell v[MOST_CELLS];
    int count;
};

struct csv {
    struct kw_arena *arena;
    const char *file, *next, *end;
    int line, column;
    struct kw_error *err;
};

static struct kw_place here(const struct csv *c) {
    return (struct kw_place){.file = c->file, .line = c->line, .column = c->column};
}

// The next byte, keeping line and column (which counts characters, not bytes).
static char take(struct csv *c) {
    char b = *c->next++;
    if (b == '\n') {
        c->line++;
        c->column = 1;
    } else if (((unsigned char)b & 0xC0) != 0x80) {
        c->column++;
    }
    return b;
}

static bool at_break(const struct csv *c) {
    return c->next == c->end || *c->next == '\n' ||
           (*c->next == '\r' && (c->next + 1 == c->end || c->next[1] == '\n'));
}

static void skip_blanks(struct csv *c) {
    while (c->next < c->end && (*c->next == ' ' || *c->next == '\t'))
        take(c);
}

static enum kw_status fail_long(struct csv *c, struct kw_place at) {
    return kw_fail(c->err, KW_LIMIT, at, "expected a value of at most %d bytes", MOST_VALUE);
}

static enum kw_status read_quoted(struct csv *c, struct cell *out) {
    char text[MOST_VALUE];
    int n = 0;
    take(c);
    for (;;) {
        if (c->next == c->end) {
            return kw_fail(c->err, KW_FORMAT, out->at, "a quote that is never closed");
        }
        char b = take(c);
        if (b == '"' && (c->next == c->end || *c->next != '"')) break;
        if (b == '"') take(c);
        if (n == MOST_VALUE) return fail_long(c, out->at);
        text[n++] = b;
    }
    out->text = kw_copy_text(c->arena, text, (size_t)n);
    skip_blanks(c);
    if (at_break(c) || *c->next == ',') return KW_OK;
    return kw_fail(c->err, KW_FORMAT, here(c), "expected a comma after the closing quote");
}

static enum kw_status read_cell(struct csv *c, struct cell *out) {
    skip_blanks(c);
    out->at = here(c);
    if (c->next < c->end && *c->next == '"') return read_quoted(c, out);
    const char *from = c->next;
    while (!at_break(c) && *c->next != ',') {
        if (*c->next == '"') {
            return kw_fail(c->err, KW_FORMAT, here(c), "expected quotes round the whole value");
        }
        take(c);
    }
    const char *to = c->next;
    while (to > from && (to[-1] == ' ' || to[-1] == '\t'))
        to--;
    if (to - from > MOST_VALUE) return fail_long(c, out->at);
    out->text = kw_copy_text(c->arena, from, (size_t)(to - from));
    return KW_OK;
}

static enum kw_status read_row(struct csv *c, struct row *row) {
    row->count = 0;
    for (;;) {
        if (row->count == MOST_CELLS) {
            return kw_fail(c->err, KW_LIMIT, here(c), "expected at most %d columns", MOST_CELLS);
        }
        enum kw_status s = read_cell(c, &row->v[row->count++]);
        if (s != KW_OK) return s;
        if (at_break(c)) break;
        take(c); // the comma
    }
    if (c->next < c->end && *c->next == '\r') take(c);
    if (c->next < c->end) take(c);
    return KW_OK;
}

static bool is_blank(const struct row *row) {
    for (int i = 0; i < row->count; i++) {
        if (row->v[i].text[0]) return false;
    }
    return true;
}

// ---------------------------------------------------------------------------------------- columns

enum column { ORDER, KIT, SIZE, OPTIONS, PART, COUNT, DUE, COLUMNS };
static const char *const column_names[COLUMNS + 1] = {"order", "kit",   "size", "options",
                                                      "part",  "count", "due",  NULL};

static int find_column(const char *name) {
    for (int i = 0; i < COLUMNS; i++) {
        if (strcasecmp(name, column_names[i]) == 0) return i;
    }
    return -1;
}

// at[i]: the cell of a row that holds column i, or -1.
static enum kw_status read_header(struct csv *c, const struct row *row, int at[COLUMNS]) {
    for (int i = 0; i < COLUMNS; i++)
        at[i] = -1;
    for (int i = 0; i < row->count; i++) {
        const struct cell *cell = &row->v[i];
        int k = find_column(cell->text);
        if (k < 0) {
            const char *near = kw_nearest_word(cell->text, column_names);
            return kw_fail(c->err, KW_UNKNOWN, cell->at,
                           "unknown column \"%.60s\", expected order,kit,part,count,due%s%s%s",
                           cell->text, near ? ", did you mean \"" : "", near ? near : "",
                           near ? "\"?" : "");
        }
        if (at[k] >= 0) {
            return kw_fail(c->err, KW_DUPLICATE, cell->at, "column \"%s\" twice", cell->text);
        }
        at[k] = i;
    }
    for (int i = 0; i < COLUMNS; i++) {
        if (at[i] >= 0 || i == PART || i == SIZE || i == OPTIONS) continue;
        return kw_fail(c->err, KW_MISSING, row->v[0].at, "missing column \"%s\"", column_names[i]);
    }
    return KW_OK;
}

// ----------------------------------------------------------------------------------------- values

static enum kw_status read_number(struct csv *c, const struct cell *cell, struct kw_order *o) {
    size_t n = strlen(cell->text);
    bool fits = n > 0 && n <= MOST_NUMBER;
    for (size_t i = 0; i < n && fits; i++)
        fits = (unsigned char)cell->text[i] >= ' '; // no line break in quotes
    if (!fits) {
        return kw_fail(c->err, KW_FORMAT, cell->at,
                       "expected an order number of 1 to %d bytes on one line", MOST_NUMBER);
    }
    o->number = cell->text;
    return KW_OK;
}

static enum kw_status read_count(struct csv *c, const struct cell *cell, struct kw_order *o) {
    long v = 0;
    bool whole = cell->text[0] != 0;
    for (const char *p = cell->text; *p && whole; p++) {
        whole = *p >= '0' && *p <= '9';
        if (v <= MOST_COUNT) v = v * 10 + (*p - '0');
    }
    if (!whole || v < 1 || v > MOST_COUNT) {
        return kw_fail(c->err, KW_RANGE, cell->at, "expected a count from 1 to %d, got \"%.60s\"",
                       MOST_COUNT, cell->text);
    }
    o->count = (int)v;
    return KW_OK;
}

static int days_of(int year, int month) {
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap);
}

static enum kw_status read_due(struct csv *c, const struct cell *cell, struct kw_order *o) {
    const char *s = cell->text;
    bool fits = strlen(s) == 10;
    int part[3] = {0}, which = 0;
    for (int i = 0; i < 10 && fits; i++) {
        bool dash = i == 4 || i == 7;
        fits = dash ? s[i] == '-' : s[i] >= '0' && s[i] <= '9';
        if (dash) which++;
        if (!dash) part[which] = part[which] * 10 + (s[i] - '0');
    }
    fits = fits && part[0] >= 1900 && part[1] >= 1 && part[1] <= 12 && part[2] >= 1 &&
           part[2] <= days_of(part[0], part[1]);
    if (!fits) {
        return kw_fail(c->err, KW_FORMAT, cell->at,
                       "expected a date such as 2026-03-06, got \"%.60s\"", s);
    }
    o->due = part[0] * 10000 + part[1] * 100 + part[2];
    return KW_OK;
}

static enum kw_status find_kit(struct csv *c, struct kw_kits *kits, const struct cell *cell,
                               bool *exact, struct kw_order *o) {
    const char **names = KW_NEW_ARRAY(c->arena, const char *, 2 * kits->count + 1);
    *exact = true;
    for (int i = 0; i < kits->count; i++) {
        names[2 * i] = kits->v[i]->name;
        names[2 * i + 1] = kits->v[i]->family;
        o->kit = i;
        if (strcmp(kits->v[i]->name, cell->text) == 0) return KW_OK;
    }
    *exact = false;
    for (int i = 0; i < kits->count; i++) {
        o->kit = i;
        if (strcmp(kits->v[i]->family, cell->text) == 0) return KW_OK;
    }
    const char *near = kw_nearest_word(cell->text, names);
    return kw_fail(c->err, KW_UNKNOWN, cell->at, "unknown kit \"%.60s\"%s%s%s", cell->text,
                   near ? ", did you mean \"" : ", expected the kit: name of a file in kits/",
                   near ? near : "", near ? "\"?" : "");
}

// "with shelf, without lid"; a bare name is taken.
static enum kw_status read_options(struct csv *c, const struct cell *cell,
                                   struct kw_kit_choice *choice) {
    enum { MOST = 30 };
    const char **with = KW_NEW_ARRAY(c->arena, const char *, MOST);
    const char **without = KW_NEW_ARRAY(c->arena, const char *, MOST);
    choice->with = with;
    choice->without = without;
    for (const char *p = cell->text; *p;) {
        p += strspn(p, " ,;");
        size_t n = strcspn(p, ",;");
        if (n == 0) break;
        const char *word = p;
        bool out = strncmp(p, "without ", 8) == 0;
        if (out) word += 8;
        if (!out && strncmp(p, "with ", 5) == 0) word += 5;
        size_t length = (size_t)(p + n - word);
        while (length > 0 && word[length - 1] == ' ')
            length--;
        if (choice->with_count == MOST || choice->without_count == MOST) {
            return kw_fail(c->err, KW_LIMIT, cell->at, "expected at most %d options", MOST);
        }
        const char *name = kw_copy_text(c->arena, word, length);
        if (out)
            without[choice->without_count++] = name;
        else
            with[choice->with_count++] = name;
        p += n;
    }
    return KW_OK;
}

// The size and the options of an order, which may ask for a kit that no other order has yet.
static enum kw_status choose_kit(struct csv *c, struct kw_kits *kits, const struct row *row,
                                 const int at[COLUMNS], bool exact, struct kw_order *o) {
    static const struct cell none = {.text = ""};
    const struct cell *size = at[SIZE] >= 0 ? &row->v[at[SIZE]] : &none;
    const struct cell *options = at[OPTIONS] >= 0 ? &row->v[at[OPTIONS]] : &none;
    const struct kw_kit *like = kits->v[o->kit];
    struct kw_kit_choice choice = {.at = row->v[at[KIT]].at, .size = like->size};
    if (size->text[0]) choice.size = size->text;
    if (!size->text[0] && !exact && like->sizes.count > 1) {
        return kw_fail(c->err, KW_MISSING, choice.at,
                       "kit \"%s\" comes in %d sizes, expected one of them under size, or a name "
                       "such as \"%s\"",
                       like->family, like->sizes.count, like->name);
    }
    if (!size->text[0] && !options->text[0]) return KW_OK;
    choice.at = size->at;
    choice.options_at = options->at;
    enum kw_status s = read_options(c, options, &choice);
    if (s == KW_OK) s = kw_kits_choose(c->arena, kits, like, &choice, &o->kit, c->err);
    return s;
}

static enum kw_status fail_part(struct csv *c, const struct kw_kit *kit, const struct cell *cell,
                                const char *name) {
    const char **names = KW_NEW_ARRAY(c->arena, const char *, kit->parts.count + 1);
    for (int i = 0; i < kit->parts.count; i++) {
        names[i] = KW_ITEM(struct kw_part, kit->parts, i)->name;
    }
    const char *near = kw_nearest_word(name, names);
    return kw_fail(c->err, KW_UNKNOWN, cell->at, "unknown part \"%.60s\" of kit \"%s\"%s%s%s",
                   cell->text, kit->name, near ? ", did you mean \"" : "", near ? near : "",
                   near ? "\"?" : "");
}

// "foot" or "side left": a part that comes in hands is ordered by hand.
static enum kw_status find_part(struct csv *c, const struct kw_kit *kit, const struct cell *cell,
                                struct kw_order *o) {
    char *name = kw_copy_text(c->arena, cell->text, strlen(cell->text));
    char *space = strrchr(name, ' ');
    if (space && strcmp(space + 1, "left") == 0) o->hand = KW_LEFT_HAND;
    if (space && strcmp(space + 1, "right") == 0) o->hand = KW_RIGHT_HAND;
    if (o->hand != KW_EACH) {
        while (space > name && *space == ' ')
            *space-- = 0;
    }
    const struct kw_part *part = kw_kit_part(kit, name);
    if (!part) return fail_part(c, kit, cell, name);
    o->part = (int)(part - (const struct kw_part *)kit->parts.v);
    if (o->hand == KW_EACH && part->each == 0) {
        return kw_fail(c->err, KW_MISSING, cell->at,
                       "part \"%s\" comes left and right, expected \"%s left\" or \"%s right\"",
                       name, name, name);
    }
    int has = o->hand == KW_LEFT_HAND ? part->left : o->hand == KW_RIGHT_HAND ? part->right : 1;
    if (has > 0) return KW_OK;
    return kw_fail(c->err, KW_UNKNOWN, cell->at, "part \"%s\" has no %s hand", name,
                   kw_hand_name(o->hand));
}

static enum kw_status read_order(struct csv *c, struct kw_kits *kits, const struct row *row,
                                 const int at[COLUMNS], struct kw_order *o) {
    *o = (struct kw_order){.at = row->v[0].at, .part = -1};
    enum kw_status s = read_number(c, &row->v[at[ORDER]], o);
    bool exact;
    if (s == KW_OK) s = find_kit(c, kits, &row->v[at[KIT]], &exact, o);
    if (s == KW_OK) s = choose_kit(c, kits, row, at, exact, o);
    if (s == KW_OK && at[PART] >= 0 && row->v[at[PART]].text[0]) {
        s = find_part(c, kits->v[o->kit], &row->v[at[PART]], o);
    }
    if (s == KW_OK) s = read_count(c, &row->v[at[COUNT]], o);
    if (s == KW_OK) s = read_due(c, &row->v[at[DUE]], o);
    return s;
}

static enum kw_status read_orders(struct csv *c, struct kw_kits *kits, struct kw_orders *out) {
    int at[COLUMNS], columns = 0;
    while (c->next < c->end) {
        struct row row;
        struct kw_order order;
        enum kw_status s = read_row(c, &row);
        if (s == KW_OK && is_blank(&row)) continue;
        if (s == KW_OK && columns == 0) {
            s = read_header(c, &row, at);
            columns = row.count;
            if (s == KW_OK) continue;
        }
        if (s == KW_OK && row.count != columns) {
            s = kw_fail(c->err, KW_FORMAT, row.v[0].at, "expected %d values, got %d", columns,
                        row.count);
        }
        if (s == KW_OK) s = read_order(c, kits, &row, at, &order);
        if (s == KW_OK && out->count == MOST_ORDERS) {
            s = kw_fail(c->err, KW_LIMIT, row.v[0].at, "expected at most %d orders", MOST_ORDERS);
        }
        if (s != KW_OK) return s;
        KW_PUSH(c->arena, out->v, out->count) = order;
    }
    if (columns > 0) return KW_OK;
    return kw_fail(c->err, KW_MISSING, (struct kw_place){.file = c->file},
                   "empty, expected a first line order,kit,part,count,due");
}

enum kw_status kw_orders_parse(struct kw_arena *a, struct kw_kits *kits, const char *file,
                               const char *bytes, size_t length, struct kw_orders *out,
                               struct kw_error *err) {
    *out = (struct kw_orders){0};
    bool mark = length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0;
    struct csv c = {.arena = a,
                    .file = kw_copy_text(a, file, strlen(file)),
                    .next = bytes + (mark ? 3 : 0),
                    .end = bytes + length,
                    .line = 1,
                    .column = 1,
                    .err = err};
    size_t bad = length;
    bool text = kw_is_utf8(bytes, length, &bad);
    const char *zero = length > 0 ? memchr(bytes, 0, length) : NULL;
    if (zero && (size_t)(zero - bytes) < bad) bad = (size_t)(zero - bytes);
    if (!text || zero) {
        while (c.next < bytes + bad)
            take(&c);
        return kw_fail(err, KW_FORMAT, here(&c), "expected text in UTF-8, got byte 0x%02x",
                       (unsigned)(unsigned char)bytes[bad]);
    }
    return read_orders(&c, kits, out);
}

enum kw_status kw_orders_read(struct kw_arena *a, struct kw_kits *kits, const char *folder,
                              struct kw_orders *out, struct kw_error *err) {
    struct kw_arena scratch = {0};
    struct kw_error why = {0};
    char *bytes;
    size_t length;
    struct kw_place at = {.file = "orders.csv"};
    enum kw_status s = kw_read_file(&scratch, kw_format(&scratch, "%s/orders.csv", folder),
                                    MOST_BYTES, (struct kw_place){0}, &bytes, &length, &why);
    if (s == KW_OK) {
        s = kw_orders_parse(a, kits, "orders.csv", bytes, length, out, err);
    } else {
        kw_fail(err, s, at, "%s", why.text);
    }
    kw_arena_free(&scratch);
    return s;
}
