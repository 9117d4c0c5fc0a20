// SPDX-License-Identifier: Apache-2.0
// The keys of a kit file that tell how its parts stand and are joined, and in which sizes and with
// which options it comes.
#include "form/fields.h"
#include "kit/kit_in.h"

static const char *const hand_words[] = {"either", "left", "right", NULL};
static const char *const normally_words[] = {"with", "without", NULL};

#define THREE_SCHEMA                                                                               \
    "{\"type\":\"array\",\"minItems\":3,\"maxItems\":3,\"items\":{\"type\":[\"number\","           \
    "\"string\"]}}"

static const struct kw_field standing_fields[] = {
    TEXT(kw_standing, "part", part, REQUIRED, .example = "long-panel", SAYS("which part it is")),
    WORD(kw_standing, "hand", hand, hand_words, DEFAULT("either"),
         SAYS("which hand, of parts that come left and right")),
    CUSTOM(
        kw_standing, "at", at, kw_read_place, THREE_SCHEMA, .example = "[0, 0, 0]",
        SAYS("where the front left corner of its base comes to lie in the product: to the right, "
             "to the back, up")),
    CUSTOM(kw_standing, "turns", turns, kw_read_turns,
           "{\"type\":\"array\",\"maxItems\":6,\"items\":{\"type\":\"string\",\"pattern\":\"^[xyz] "
           "\"}}",
           .example = "[x 90, z 180]",
           SAYS("how it is turned before, one after the other, about the product's axes: x to the "
                "right, y to the back, z up")),
    {0}};
const struct kw_form kw_standing_form = {
    "piece", "One piece of a part where it stands in the finished product.",
    sizeof(struct kw_standing), standing_fields, NULL};

static const struct kw_field joint_fields[] = {
    TEXT(kw_joint, "tab", tab, REQUIRED, .example = "front.right",
         SAYS("the piece and its edge that carries the tabs: front, right, back, left, a flange's "
              "name, or edge 3 of an outline")),
    TEXT(kw_joint, "slot", slot, REQUIRED, .example = "post",
         SAYS("the piece, or piece.flange, whose face has the slots")),
    COUNT(kw_joint, "tabs", tabs, .min = 1, .max = 100, DEFAULT("2"), SAYS("how many tabs")),
    QUANTITY(kw_joint, "wide", wide, LENGTH, ABOVE_ZERO,
             SAYS("width of a tab; without it by the edge and the thickness")),
    {0}};
const struct kw_form kw_joint_form = {
    "joint", "Tabs on an edge of one piece through slots in another, told once.",
    sizeof(struct kw_joint), joint_fields, NULL};

static const struct kw_field weld_fields[] = {
    TEXTS(kw_weld, "between", between, REQUIRED, .example = "[front, post]",
          SAYS("the two pieces that are welded together along all edges that meet")),
    QUANTITY(kw_weld, "size", size, LENGTH, ABOVE_ZERO_TO(50),
             SAYS("leg of the fillet; without it by the thickness")),
    QUANTITY(kw_weld, "stitch", stitch, LENGTH, ABOVE_ZERO,
             SAYS("length of a stitch; without it by the thickness")),
    QUANTITY(kw_weld, "every", every, LENGTH, ABOVE_ZERO,
             SAYS("from the start of one stitch to the next")),
    {0}};
const struct kw_form kw_weld_form = {"weld", "Two pieces that the buyer welds together.",
                                     sizeof(struct kw_weld), weld_fields, NULL};

static const struct kw_field option_fields[] = {
    TEXT(kw_kit_option, "name", title, .example = "with a shelf",
         SAYS("what papers and labels say of it")),
    WORD(kw_kit_option, "normally", normally, normally_words, DEFAULT("without"),
         SAYS("whether the kit has it when an order says nothing")),
    {0}};
const struct kw_form kw_option_form = {"option", "Something that a kit may come with or without.",
                                       sizeof(struct kw_kit_option), option_fields, NULL};
