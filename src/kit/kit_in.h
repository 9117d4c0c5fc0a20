// SPDX-License-Identifier: Apache-2.0
// Inside the kit reader: the readers of values that are more than one number (kit_words.c), and the
// steps after the table has filled a kit: checks between keys (kit_part.c, kit_face.c), drawings
// (kit_flat.c), codes (kit_code.c).
#pragma once

#include "kit/kit.h"

#define KW_WORDS_READER(name)                                                                      \
    enum kw_status name(struct kw_reader *r, const struct kw_node *node,                           \
                        const struct kw_field *field, void *out, struct kw_error *err)
KW_WORDS_READER(kw_read_per_kit); ///< 4 or { left: 1, right: 1 } -> int[3]: each, left, right
KW_WORDS_READER(kw_read_measure); ///< "28 x 20" -> double[2]
KW_WORDS_READER(kw_read_die);     ///< "4 in centreline" -> double
KW_WORDS_READER(kw_read_miter);   ///< [45, 0] -> double[2]
KW_WORDS_READER(kw_read_shape);   ///< [up 30, turn 90, across 25] -> struct kw_items
KW_WORDS_READER(kw_read_points);  ///< [[0, 0], [6, 0], [6, 3]] -> struct kw_items of kw_vec2
KW_WORDS_READER(kw_read_holds);   ///< [8 hex bolt 3/8-16 x 1] -> struct kw_items
KW_WORDS_READER(kw_read_spare);   ///< "1 of each" -> int

/// A kit file while it is read.
struct kw_kit_file {
    struct kw_arena *arena;
    const struct kw_shop *shop;
    const char *folder;
    struct kw_kit *kit;
    enum kw_length_unit units;
    struct kw_error *err;
};
/// A length in the file's unit, as it would be written there: "4.5". Lives in the arena.
const char *kw_kit_shown(struct kw_kit_file *k, double mm);
const char *kw_kit_unit(const struct kw_kit_file *k);
/// Reads FOLDER/file for whom `from` stands; the error names the path relative to the folder.
enum kw_status kw_kit_bytes(struct kw_arena *a, const char *folder, const char *file, size_t most,
                            struct kw_place from, char **bytes, size_t *length,
                            struct kw_error *err);

enum kw_status kw_part_finish(struct kw_kit_file *k, struct kw_part *part);
enum kw_status kw_part_bends(struct kw_kit_file *k, struct kw_part *part); ///< of a base
enum kw_status kw_part_holes(struct kw_kit_file *k, struct kw_part *part);
enum kw_status kw_part_points(struct kw_kit_file *k, struct kw_part *part); ///< base by points
enum kw_status kw_part_flat(struct kw_kit_file *k, struct kw_part *part);
void kw_part_code(const struct kw_shop *shop, struct kw_part *part);
void kw_kit_code(struct kw_kit *kit);
/// The stretch from..to of an edge that a flange or the base has, in the base's coordinate along
/// it.
struct kw_stretch {
    double from, to;
};
/// Where flange `i` stands: its edge on the base (its own or its forebear's) and stretch.
struct kw_stretch kw_flange_stretch(const struct kw_part *part, int i, int *edge);
