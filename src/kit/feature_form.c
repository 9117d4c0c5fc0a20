// SPDX-License-Identifier: Apache-2.0
// The keys of a kit file that tell what is in a face: holes and cut-outs of every shape, their rows
// and rings, and what is marked.
#include "form/fields.h"
#include "kit/kit_in.h"

static const char *const runs_words[] = {"left-right", "front-back", "up-down", NULL};
static const char *const make_words[] = {"cut", "drill", NULL};
static const char *const fit_words[] = {"normal", "close", "loose", NULL};
static const char *const way_words[] = {"up", "down", NULL};
static const char *const mirror_words[] = {"neither", "left-right", "front-back", "both", NULL};

#define SUM_SCHEMA "{\"type\":[\"number\",\"string\"]}"
#define PAIR_SCHEMA                                                                                \
    "{\"oneOf\":[" SUM_SCHEMA                                                                      \
    ",{\"type\":\"array\",\"minItems\":2,\"maxItems\":2,\"items\":" SUM_SCHEMA "}]}"

static const struct kw_field repeat_fields[] = {
    CUSTOM(
        kw_repeat, "count", count, kw_read_counts, PAIR_SCHEMA, .example = "5",
        SAYS("how many in a row to the right; [5, 3]: and how many to the back, or up a flange")),
    CUSTOM(kw_repeat, "step", step, kw_read_steps, PAIR_SCHEMA, .example = "2",
           SAYS("from centre to centre; [2, 1-1/2]: to the right and to the back")),
    COUNT(kw_repeat, "ring", ring, .min = 2, .max = 1000,
          SAYS("how many on a circle round the place given, the first to the right of it")),
    QUANTITY(kw_repeat, "across", across, LENGTH, ABOVE_ZERO,
             SAYS("diameter of the circle through their centres")),
    {0}};
static const struct kw_form repeat_form = {"repeat", "A row, a grid or a ring of like holes.",
                                           sizeof(struct kw_repeat), repeat_fields, NULL};

static const struct kw_field hole_fields[] = {
    QUANTITY(kw_hole, "size", size, LENGTH, ABOVE_ZERO,
             SAYS("diameter of a round hole, or width of a slot")),
    TEXT(kw_hole, "bolt", bolt, .example = "3/8",
         SAYS("instead of size: the bolt that goes through, such as 3/8, #10 or M10 (clearance "
              "holes of ASME B18.2.8 and ISO 273)")),
    WORD(kw_hole, "fit", fit, fit_words, DEFAULT("normal"),
         SAYS("how much room the bolt has: close, normal or loose (coated parts: loose)")),
    QUANTITY(kw_hole, "slot", slot, LENGTH, ABOVE_ZERO,
             SAYS("overall length of a slot with round ends")),
    QUANTITY(kw_hole, "neck", neck, LENGTH, ABOVE_ZERO,
             SAYS("of a keyhole: width of the slot that runs from the round hole of `size`; `slot` "
                  "is then the overall length")),
    WORD(kw_hole, "runs", runs, runs_words, DEFAULT("left-right"), SAYS("which way a slot runs")),
    QUANTITY(kw_hole, "wide", wide, LENGTH, ABOVE_ZERO,
             SAYS("of a rectangular cut-out: from left to right, or along the flange")),
    QUANTITY(kw_hole, "tall", tall, LENGTH, ABOVE_ZERO,
             SAYS("of a rectangular cut-out: from front to back, or up the flange")),
    CUSTOM(kw_hole, "points", points, kw_read_points, KW_CORNERS_SCHEMA,
           .example = "[[-1, 0], [1, 0], [0, 2]]",
           SAYS("of a cut-out of any shape: its corners from the place given, each [to the right, "
                "to the back]")),
    TEXT(kw_hole, "ornament", drawing, .example = "drawings/leaf.dxf",
         SAYS("a drawing that is cut out; what lies in it as an island is held by bridges")),
    TEXT(kw_hole, "letters", letters, .example = "GARDEN",
         SAYS("letters that are cut through; islands are held by bridges")),
    QUANTITY(kw_hole, "height", tallness, LENGTH, ABOVE_ZERO,
             SAYS("of capitals, or of the ornament (without it, as drawn)")),
    TEXT(kw_hole, "font", font, .example = "DejaVu Sans Bold",
         SAYS("installed face of the letters; without it the shop's")),
    QUANTITY(kw_hole, "bridge", bridge, LENGTH, ABOVE_ZERO_TO(50),
             SAYS("width of the bridges that hold islands; without it, twice the thickness, at "
                  "least 1/8 in")),
    TEXT(kw_hole, "dimple", dimple, .example = "2 in",
         SAYS("instead of size: a hole flared with this die of the shop")),
    WORD(kw_hole, "way", dimple_way, way_words, DEFAULT("up"),
         SAYS("the side of the face on which a flare stands out")),
    QUANTITY(kw_hole, "turn", turn, ANGLE, .min = -2 * KW_PI, .max = 2 * KW_PI, DEFAULT("0"),
             SAYS("turned about its centre, counter-clockwise")),
    QUANTITIES(kw_hole, "from_left", from_left, LENGTH,
               SAYS("from the base's left outside edge to the hole's centre; several make several "
                    "holes")),
    QUANTITIES(kw_hole, "from_front", from_front, LENGTH,
               SAYS("from the base's front outside edge to the hole's centre; each goes with each "
                    "from_left")),
    QUANTITIES(kw_hole, "from_bottom", from_bottom, LENGTH,
               SAYS("on a flange: from the outside of the face that it stands on to the hole's "
                    "centre")),
    FORM(kw_hole, "repeat", repeat, repeat_form, SAYS("a row, a grid or a ring of it")),
    WORD(kw_hole, "mirror", mirror, mirror_words, DEFAULT("neither"),
         SAYS("a second one mirrored about the middle of its face")),
    TEXT(kw_hole, "flange", on, .example = "A",
         SAYS("the flange that it is in; without it, the base")),
    WORD(kw_hole, "make", close_fit, make_words, DEFAULT("cut"),
         SAYS("drill: only its centre is marked, and it is drilled later, for a close fit or a "
              "thread")),
    {0}};
const struct kw_form kw_hole_form = {"hole", "Holes and cut-outs of one kind, by their centres.",
                                     sizeof(struct kw_hole), hole_fields, NULL};

static const struct kw_field mark_fields[] = {
    TEXT(kw_mark, "text", text, .example = "FRONT",
         SAYS("etched text in single strokes; name: the part's own name")),
    QUANTITY(kw_mark, "height", height, LENGTH, ABOVE_ZERO_TO(500),
             SAYS("of its capitals; without it the shop's")),
    CUSTOM(kw_mark, "line", line, kw_read_line, KW_LINE_SCHEMA, .example = "[[0, 1], [6, 1]]",
           SAYS("an etched line through these points, such as where another part is set")),
    QUANTITY(kw_mark, "from_left", from_left, LENGTH, SAYS("to the lower left of the text")),
    QUANTITY(kw_mark, "from_front", from_front, LENGTH, SAYS("to the lower left of the text")),
    QUANTITY(kw_mark, "from_bottom", from_bottom, LENGTH,
             SAYS("on a flange: to the lower left of the text")),
    QUANTITY(kw_mark, "turn", turn, ANGLE, .min = -2 * KW_PI, .max = 2 * KW_PI, DEFAULT("0"),
             SAYS("of the text, counter-clockwise")),
    TEXT(kw_mark, "flange", on, .example = "A",
         SAYS("the flange that it is on; without it, the base")),
    {0}};
const struct kw_form kw_mark_form = {"mark", "What is etched on a face, not cut through.",
                                     sizeof(struct kw_mark), mark_fields, NULL};
