// SPDX-License-Identifier: Apache-2.0
// form: files that people write. A YAML file is read into a tree in which every key and value knows
// its line and column; a table of fields (one table a file kind) says which keys there are, what
// they measure, their range, default and meaning. The reader, the JSON Schema, the reference page
// and the editor's completion all come from that one table.
//
// Every struct that a table fills starts with `const struct kw_node *node`, so that a finding can
// point at the key it speaks of: kw_place_of(part->node, "height").
#pragma once

#include "base/base.h"
#include "geom/geom.h"

enum kw_node_kind { KW_SCALAR, KW_LIST, KW_MAP };

/// One value of the file with its place. Lives in the arena it was read into.
struct kw_node {
    enum kw_node_kind kind;
    struct kw_place at;     ///< of the value (of the key's end when the value is empty)
    struct kw_place key_at; ///< of the key in a map
    const char *key;        ///< in a map, else NULL
    const char *text;       ///< of a scalar, as written but for quotes
    bool quoted;
    size_t from, to;       ///< byte range of the value in the file
    struct kw_node *items; ///< children in the order of the file
    int count;
};

/// Largest YAML file read, deepest nesting, most values: an honest file is far below them.
#define KW_YAML_MOST_BYTES  (2 * 1024 * 1024)
#define KW_YAML_DEEPEST     40
#define KW_YAML_MOST_VALUES 200000

/// Parses YAML text. Refused with their place: bytes that are not UTF-8, NUL and control
/// characters, tabs in indentation, a key twice in a map, anchors, aliases, tags, a second
/// document, nesting over KW_YAML_DEEPEST, an empty file. `file` is copied.
enum kw_status kw_yaml_parse(struct kw_arena *a, const char *file, const char *bytes, size_t length,
                             const struct kw_node **root, struct kw_error *err);
enum kw_status kw_yaml_read(struct kw_arena *a, const char *path, struct kw_place from,
                            const struct kw_node **root, struct kw_error *err);

const struct kw_node *kw_node_get(const struct kw_node *map, const char *key); ///< NULL when absent
/// Place of the value under `key`, or of the map itself when there is no such key.
struct kw_place kw_place_of(const struct kw_node *map, const char *key);

// ------------------------------------------------------------------------------------ the tables

enum kw_kind {
    KW_KIND_TEXT,     ///< const char *: any text of one line
    KW_KIND_NAME,     ///< const char *: letters, digits, "-", "_", at most 40, used in file names
    KW_KIND_WORD,     ///< int: index into `words`
    KW_KIND_COUNT,    ///< int: a whole number
    KW_KIND_QUANTITY, ///< double in the house unit of `dim`
    KW_KIND_DATE,     ///< int: yyyymmdd
    KW_KIND_FORM,     ///< a struct in place, filled by `form`
    KW_KIND_FORMS,    ///< struct kw_items: a list of maps, each filled by `form`
    KW_KIND_NAMED, ///< struct kw_items: a map from name to map; the name goes to the second member
    KW_KIND_LABELLED,   ///< as KW_KIND_NAMED, but a name is any text of one line
    KW_KIND_TEXTS,      ///< struct kw_items of const char *: a list of texts (or one text)
    KW_KIND_QUANTITIES, ///< struct kw_items of double: a list of quantities (or one quantity)
    KW_KIND_CUSTOM,     ///< read by `read`
};

/// A list in a form: `v` is an array of the item type.
struct kw_items {
    void *v;
    int count;
};
#define KW_ITEM(type, items, i) (&((type *)(items).v)[i])

/// A name that may stand for a number in the sums of a file.
struct kw_named_value {
    const char *name;
    double value;
    bool pure; ///< as written without a unit: a plain number, or a length in the file's unit; else
               ///< mm
};

struct kw_reader {
    struct kw_arena *arena;
    enum kw_length_unit units; ///< of bare lengths in this file
    void *user;                ///< for custom readers
    bool sums; ///< a plain sum of names may stand wherever a quantity or count does ("width - 2 *
               ///< 3/4", operators between blanks)
    const struct kw_named_value *names; ///< that sums may use
    int name_count;
};

/// Whether `text` is meant as a name or a sum rather than as a single quantity.
bool kw_is_sum(const struct kw_reader *r, const char *text);
/// The value that the node's key stands for from now on, out of a number, a length or a sum.
enum kw_status kw_name_value(struct kw_reader *r, const struct kw_node *node,
                             struct kw_named_value *out, struct kw_error *err);

struct kw_field {
    const char *key;
    enum kw_kind kind;
    size_t offset;
    const char *meaning; ///< one plain sentence: help, schema and reference page
    bool required;
    enum kw_dimension dim;
    double min, max; ///< of quantities (house unit) and counts; both 0: the dimension's own bounds
    bool above_min;  ///< min itself is not allowed
    const char *fallback; ///< default, as written in a file, lengths with their unit; NULL: zero /
                          ///< NULL / empty
    const char *const *words; ///< KW_KIND_WORD, ended by NULL
    const struct kw_form *form;
    enum kw_status (*read)(struct kw_reader *r, const struct kw_node *node,
                           const struct kw_field *field, void *out, struct kw_error *err);
    const char *schema;  ///< KW_KIND_CUSTOM: its JSON Schema fragment
    const char *example; ///< KW_KIND_CUSTOM and TEXT: as written in a file
};

/// A map with known keys. The struct it fills begins with `const struct kw_node *node`; for
/// KW_KIND_NAMED and KW_KIND_LABELLED the second member is `const char *name`.
struct kw_form {
    const char *name; ///< of the reference page's section and the schema's definition
    const char *meaning;
    size_t size;
    const struct kw_field *fields; ///< ended by a field without key
    /// Checks that no single field can make (may be NULL).
    enum kw_status (*check)(struct kw_reader *r, const struct kw_node *node, void *out,
                            struct kw_error *err);
};

/// Fills `out` (zeroed, form->size bytes). The root may hold `units: in|mm`, which sets r->units
/// before anything else is read. Unknown keys are refused with the nearest known one suggested.
enum kw_status kw_form_read(struct kw_reader *r, const struct kw_form *form,
                            const struct kw_node *node, void *out, struct kw_error *err);

/// One scalar node as a quantity, with the file's unit for bare lengths; for custom readers.
enum kw_status kw_node_quantity(struct kw_reader *r, const struct kw_node *node,
                                enum kw_dimension dim, double min, double max, double *out,
                                struct kw_error *err);

/// One scalar node as a whole number, or a sum that comes to one; for custom readers.
enum kw_status kw_node_count(struct kw_reader *r, const struct kw_node *node, int min, int max,
                             int *out, struct kw_error *err);

/// One scalar node as text of one line; unquoted words that some readers take for true, false or
/// nothing (yes, no, on, off, true, false, null, ~) are refused.
enum kw_status kw_node_text(const struct kw_node *node, const char **out, struct kw_error *err);
/// Whether `s` is a name: letters, digits, "-" and "_", at most 40, the first a letter or digit.
bool kw_is_name(const char *s);
/// What stands at the node, for messages: "nothing", "a list", "a map" or the text in quotes.
#define KW_NODE_GOT_SIZE 80
/// Bytes of `s` to show in a message: at most 60, whole characters. For "%.*s".
int kw_shown_length(const char *s);
#define KW_SHOWN(s) kw_shown_length(s), (s)
const char *kw_node_got(char buf[static KW_NODE_GOT_SIZE], const struct kw_node *node);

/// JSON Schema (draft 2020-12) of a form; every value that the reader takes is valid and, as far as
/// a schema can say it, the other way round. `sums`: as the reader has it.
void kw_form_schema(const struct kw_form *form, const char *title, bool sums, struct kw_text *out);
/// The reference page of a form in Markdown.
void kw_form_page(const struct kw_form *form, const char *title, struct kw_text *out);
