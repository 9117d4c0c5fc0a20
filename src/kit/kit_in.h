// SPDX-License-Identifier: Apache-2.0
// Inside the kit reader: the readers of values that are more than one number (kit_words.c), and the
// steps after the table has filled a kit: checks between keys (kit_part.c, kit_face.c), drawings
// (kit_flat.c), codes (kit_code.c).
#pragma once

#include "kit/kit.h"

#define KW_WORDS_READER(name)                                                                      \
    enum kw_status name(struct kw_reader *r, const struct kw_node *node,                           \
                        const struct kw_field *field, void *out, struct kw_error *err)
KW_WORDS_READER(kw_read_per_kit);     ///< 4 or { left: 1, right: 1 } -> int[3]: each, left, right
KW_WORDS_READER(kw_read_measure);     ///< "28 x 20" -> double[2]
KW_WORDS_READER(kw_read_die);         ///< "4 in centreline" -> double
KW_WORDS_READER(kw_read_miter);       ///< [45, 0] -> double[2]
KW_WORDS_READER(kw_read_shape);       ///< [up 30, turn 90, across 25] -> struct kw_items
KW_WORDS_READER(kw_read_tube_points); ///< [[0, 0, 0], [0, 0, 30, radius 6]] -> items
KW_WORDS_READER(kw_read_points);      ///< [[0, 0], [6, 0, round 1], [6, 3]] -> items of kw_corner
KW_WORDS_READER(kw_read_line);        ///< [[0, 0], [6, 0]] -> items of kw_corner, two or more
KW_WORDS_READER(kw_read_counts);      ///< 5 or [5, 3] -> int[2]
KW_WORDS_READER(kw_read_steps);       ///< 2 or [2, 1-1/2] -> double[2]
KW_WORDS_READER(kw_read_place);       ///< [0, 0, 0] -> double[3]
KW_WORDS_READER(kw_read_turns);       ///< [x 90, z 180] -> items of kw_axis_turn
KW_WORDS_READER(kw_read_sizes);       ///< names of the sizes
KW_WORDS_READER(kw_read_dimensions);  ///< nothing: kw_kit_names has read them
KW_WORDS_READER(kw_read_holds);       ///< [8 hex bolt 3/8-16 x 1] -> struct kw_items
KW_WORDS_READER(kw_read_spare);       ///< "1 of each" -> int

extern const struct kw_form kw_bender_row_form, kw_ends_form, kw_drill_form; // tube_form.c
extern const struct kw_form kw_base_form, kw_flange_form;                    // sheet_form.c
extern const struct kw_form kw_hole_form, kw_mark_form;                      // feature_form.c
extern const struct kw_form kw_standing_form, kw_joint_form, kw_weld_form,
    kw_option_form; // join_form.c

#define KW_CORNER_SCHEMA                                                                           \
    "{\"type\":\"array\",\"minItems\":2,\"maxItems\":3,\"items\":{\"type\":[\"number\","           \
    "\"string\"]}}"
#define KW_CORNERS_SCHEMA                                                                          \
    "{\"type\":\"array\",\"minItems\":3,\"maxItems\":1000,\"items\":" KW_CORNER_SCHEMA "}"
#define KW_LINE_SCHEMA                                                                             \
    "{\"type\":\"array\",\"minItems\":2,\"maxItems\":1000,\"items\":" KW_CORNER_SCHEMA "}"

/// The stretch from..to of an edge that a flange or the base has, in the base's coordinate along
/// it.
struct kw_stretch {
    double from, to;
};

/// A kit file while it is read.
struct kw_kit_file {
    struct kw_arena *arena;
    const struct kw_shop *shop;
    const char *folder;
    struct kw_kit *kit;
    enum kw_length_unit units;
    double thickness, kerf; ///< of the sheet of the part at hand; kerf 0: no cut rule
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
enum kw_status kw_part_bend_table(struct kw_kit_file *k, const struct kw_part *part);
/// Points and bench words of a bent tube that make no centreline (tube_line.c).
enum kw_status kw_part_centreline(struct kw_kit_file *k, const struct kw_part *part);
enum kw_status kw_part_bends(struct kw_kit_file *k, struct kw_part *part); ///< of a base
enum kw_status kw_part_holes(struct kw_kit_file *k, struct kw_part *part);
enum kw_status kw_part_outline(struct kw_kit_file *k, struct kw_part *part); ///< base.outline
enum kw_status kw_part_marks(struct kw_kit_file *k, struct kw_part *part);
/// A closed outline by corners, counter-clockwise, bows and roundings made; tags as base.outline.
/// Corners given clockwise are put the other way round in place.
enum kw_status kw_corners_path(struct kw_kit_file *k, struct kw_items *corners,
                               const struct kw_node *node, struct kw_path *out);
/// Index of the flange of this name in part->bends, -1 when there is none.
enum kw_status kw_fail_flange(struct kw_kit_file *k, const struct kw_part *part, struct kw_place at,
                              const char *name, bool edges);
/// The straight stretch of an edge of base.outline, in the coordinate along it: `edge` front,
/// right, back, left (the one straight segment on that side of the box) or by its tag. Returns how
/// many there are.
/// Whether each edge that a hand takes is one of the part.
enum kw_status kw_part_gripped(struct kw_kit_file *k, const struct kw_part *part);
int kw_outline_edge(const struct kw_base *base, int edge, int tag, struct kw_stretch *out);

/// The names that sums of this kit may use, by the size chosen (*size, NULL: there are none).
enum kw_status kw_kit_names(struct kw_reader *r, const struct kw_node *root,
                            const struct kw_kit_choice *choice, const char **size,
                            struct kw_error *err);
/// "planter-24-with-shelf": what k's kit is called in this size and with these options. Refuses
/// options that it doesn't have.
enum kw_status kw_kit_choice_name(struct kw_kit_file *k, const struct kw_kit_choice *choice,
                                  const char *size, const char **name);
/// After the table has filled the kit: drops parts of options that are not taken, names the kit.
enum kw_status kw_kit_chosen(struct kw_kit_file *k, const struct kw_kit_choice *choice,
                             const char *size);
/// Pieces, joints and welds: names looked up.
/// Ends and drilled holes of tubes and bars: copes know the diameter they are for.
enum kw_status kw_kit_ends(struct kw_kit_file *k);
enum kw_status kw_kit_joined(struct kw_kit_file *k);
/// How many places kw_hole_spots gives.
long kw_hole_spot_count(const struct kw_hole *hole);
/// Reads the drawing at `path` in the shop folder for whom `at` stands, its layers as told.
enum kw_status kw_part_drawing(struct kw_kit_file *k, struct kw_place at, const char *path,
                               const struct kw_layers *layers, struct kw_drawing *out);
struct kw_region kw_region_scaled(struct kw_arena *a, const struct kw_region *r, double scale);
enum kw_status kw_part_flat(struct kw_kit_file *k, struct kw_part *part);
void kw_part_code(const struct kw_shop *shop, struct kw_part *part);
/// And of where its pieces and those that it is coped onto stand, as its cuts follow from that;
/// after the kit's assembly is read.
void kw_part_code_fitted(const struct kw_kit *kit, struct kw_part *part);
void kw_kit_code(struct kw_kit *kit);
/// Where flange `i` stands: its edge on the base (its own or its forebear's) and stretch.
struct kw_stretch kw_flange_stretch(const struct kw_part *part, int i, int *edge);
