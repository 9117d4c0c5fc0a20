// SPDX-License-Identifier: Apache-2.0
// The week's orders: comma-separated values as spreadsheets write them (RFC 4180), with the columns
// order, kit, size, options, part, count, due in any order.
#include "base/csv.h"
#include "kit/kit.h"

#include <string.h>
#include <strings.h>

enum {
    MOST_BYTES = 8 * 1024 * 1024,
    MOST_ORDERS = 100000,
    MOST_COUNT = 100000,
    MOST_NUMBER = 40 // characters of an order number
};

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
static enum kw_status read_header(struct kw_csv *c, const struct kw_csv_row *row, int at[COLUMNS]) {
    for (int i = 0; i < COLUMNS; i++)
        at[i] = -1;
    for (int i = 0; i < row->count; i++) {
        const struct kw_csv_cell *cell = &row->v[i];
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

static enum kw_status read_number(struct kw_csv *c, const struct kw_csv_cell *cell,
                                  struct kw_order *o) {
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

static enum kw_status read_count(struct kw_csv *c, const struct kw_csv_cell *cell,
                                 struct kw_order *o) {
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

static enum kw_status read_due(struct kw_csv *c, const struct kw_csv_cell *cell,
                               struct kw_order *o) {
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

static enum kw_status find_kit(struct kw_csv *c, struct kw_kits *kits,
                               const struct kw_csv_cell *cell, bool *exact, struct kw_order *o) {
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
static enum kw_status read_options(struct kw_csv *c, const struct kw_csv_cell *cell,
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
static enum kw_status choose_kit(struct kw_csv *c, struct kw_kits *kits,
                                 const struct kw_csv_row *row, const int at[COLUMNS], bool exact,
                                 struct kw_order *o) {
    static const struct kw_csv_cell none = {.text = ""};
    const struct kw_csv_cell *size = at[SIZE] >= 0 ? &row->v[at[SIZE]] : &none;
    const struct kw_csv_cell *options = at[OPTIONS] >= 0 ? &row->v[at[OPTIONS]] : &none;
    struct kw_kit *like = kits->v[o->kit];
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

static enum kw_status fail_part(struct kw_csv *c, const struct kw_kit *kit,
                                const struct kw_csv_cell *cell, const char *name) {
    const char **names = KW_NEW_ARRAY(c->arena, const char *, kit->parts.count + 1);
    for (int i = 0; i < kit->parts.count; i++) {
        names[i] = KW_ITEM(struct kw_part, kit->parts, i)->name;
    }
    const char *near = kw_nearest_word(name, names);
    return kw_fail(c->err, KW_UNKNOWN, cell->at, "unknown part \"%.60s\" of kit \"%s\"%s%s%s",
                   cell->text, kit->name, near ? ", did you mean \"" : "", near ? near : "",
                   near ? "\"?" : "");
}

const char *kw_part_in_hand(struct kw_arena *a, const char *said, enum kw_hand *hand) {
    char *name = kw_copy_text(a, said, strlen(said));
    char *space = strrchr(name, ' ');
    *hand = KW_EACH;
    if (space && strcmp(space + 1, "left") == 0) *hand = KW_LEFT_HAND;
    if (space && strcmp(space + 1, "right") == 0) *hand = KW_RIGHT_HAND;
    while (*hand != KW_EACH && space > name && *space == ' ')
        *space-- = 0;
    return name;
}

// "foot" or "side left": a part that comes in hands is ordered by hand.
static enum kw_status find_part(struct kw_csv *c, const struct kw_kit *kit,
                                const struct kw_csv_cell *cell, struct kw_order *o) {
    const char *name = kw_part_in_hand(c->arena, cell->text, &o->hand);
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

static enum kw_status read_order(struct kw_csv *c, struct kw_kits *kits,
                                 const struct kw_csv_row *row, const int at[COLUMNS],
                                 struct kw_order *o) {
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

static enum kw_status read_orders(struct kw_csv *c, struct kw_kits *kits, struct kw_orders *out) {
    struct kw_csv_row row;
    int at[COLUMNS];
    enum kw_status s = kw_csv_row(c, &row);
    if (s == KW_OK && row.count == 0) {
        return kw_fail(c->err, KW_MISSING, (struct kw_place){.file = c->file},
                       "empty, expected a first line order,kit,part,count,due");
    }
    if (s == KW_OK) s = read_header(c, &row, at);
    int columns = row.count;
    while (s == KW_OK) {
        struct kw_order order;
        s = kw_csv_row(c, &row);
        if (s == KW_OK && row.count == 0) return KW_OK;
        if (s == KW_OK) s = kw_csv_expect(c, &row, columns);
        if (s == KW_OK) s = read_order(c, kits, &row, at, &order);
        if (s == KW_OK && out->count == MOST_ORDERS) {
            s = kw_fail(c->err, KW_LIMIT, row.v[0].at, "expected at most %d orders", MOST_ORDERS);
        }
        if (s == KW_OK) KW_PUSH(c->arena, out->v, out->count) = order;
    }
    return s;
}

enum kw_status kw_orders_parse(struct kw_arena *a, struct kw_kits *kits, const char *file,
                               const char *bytes, size_t length, struct kw_orders *out,
                               struct kw_error *err) {
    struct kw_csv c;
    *out = (struct kw_orders){0};
    enum kw_status s = kw_csv_open(a, file, bytes, length, &c, err);
    return s == KW_OK ? read_orders(&c, kits, out) : s;
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
