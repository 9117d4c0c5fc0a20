// SPDX-License-Identifier: Apache-2.0
// The keys of shop.yaml that tell of the shop press with its dimple dies, and of how parts are
// marked. Defaults without a source are common practice.
#include "form/fields.h"
#include "shop/shop_check.h"

static const char *const way_words[] = {"nicks", "etch", "by-hand", NULL};
static const char *const name_words[] = {"when-asked", "always", NULL};

static const struct kw_field die_fields[] = {
    QUANTITY(kw_dimple_die, "pre_hole", pre_hole, LENGTH, REQUIRED, ABOVE_ZERO_TO(500),
             SAYS("Diameter of the hole that is cut before the die goes in.")),
    QUANTITY(kw_dimple_die, "flare", flare, LENGTH, REQUIRED, ABOVE_ZERO_TO(600),
             SAYS("Outside diameter of the flare.")),
    QUANTITY(kw_dimple_die, "height", height, LENGTH, REQUIRED, ABOVE_ZERO_TO(100),
             SAYS("How far the flare stands out of the sheet.")),
    QUANTITY(kw_dimple_die, "force", force, FORCE, REQUIRED, ABOVE_ZERO,
             SAYS("Force that closes the die in the thickest sheet that it is for. From the die's "
                  "own table: the flanging formula gives a third to a fifth of it.")),
    QUANTITY(kw_dimple_die, "most_thickness", most_thickness, LENGTH, REQUIRED, ABOVE_ZERO_TO(25),
             SAYS("Thickest sheet that the die is for.")),
    QUANTITY(
        kw_dimple_die, "clear", clear, LENGTH, .max = 800,
        SAYS("Diameter round its centre that must lie flat and free; without it, the flare and "
             "two thicknesses more.")),
    {0},
};
const struct kw_form kw_dimple_die_form = {"dimple die",
                                           "A pair of dies for the shop press that flares a round "
                                           "hole. Its name is the word in `dimple:`.",
                                           sizeof(struct kw_dimple_die), die_fields,
                                           kw_dimple_die_check};

static const struct kw_field press_fields[] = {
    QUANTITY(kw_shop_press, "rating", rating, FORCE, REQUIRED, ABOVE_ZERO,
             SAYS("What the press may push at most.")),
    QUANTITY(kw_shop_press, "throat", throat, LENGTH, REQUIRED, ABOVE_ZERO_TO(3000),
             SAYS("From the middle of the ram to the frame: how far a part reaches in.")),
    QUANTITY(kw_shop_press, "daylight", daylight, LENGTH, REQUIRED, ABOVE_ZERO_TO(3000),
             SAYS("Open height between the halves of a die.")),
    QUANTITY(kw_shop_press, "setup", setup, TIME, DEFAULT("5 min"), SAYS("Time to change a die.")),
    QUANTITY(kw_shop_press, "per_dimple", per_dimple, TIME, DEFAULT("30 s"),
             SAYS("Time for one dimple, handling included.")),
    {0},
};
const struct kw_form kw_shop_press_form = {"shop press", "The press that dimples are flared on.",
                                           sizeof(struct kw_shop_press), press_fields, NULL};

static const struct kw_field marking_fields[] = {
    WORD(kw_marking, "way", way, way_words, DEFAULT("nicks"),
         SAYS("What the table can do: nicks at the ends of bend lines, etched lines, or neither.")),
    QUANTITY(kw_marking, "text_height", text_height, LENGTH, ABOVE_ZERO_TO(200), DEFAULT("1/2 in"),
             SAYS("Height of etched capitals.")),
    TEXT(kw_marking, "font", font, DEFAULT("DejaVu Sans"),
         SAYS("Installed face of letters that are cut through, where a part names none.")),
    WORD(kw_marking, "name_parts", name_parts, name_words, DEFAULT("when-asked"),
         SAYS("always: every part is etched with its own name, where it has room.")),
    {0},
};
const struct kw_form kw_marking_form = {"marking", "How lines and names are marked on parts.",
                                        sizeof(struct kw_marking), marking_fields, NULL};

KW_SHOP_CHECK(kw_dimple_die_check) {
    (void)r;
    struct kw_dimple_die *d = out;
    if (!(d->flare > d->pre_hole)) {
        return kw_fail(err, KW_RANGE, kw_place_of(node, "flare"),
                       "expected a flare above the pre-hole, %.2f mm, got %.2f mm", d->pre_hole,
                       d->flare);
    }
    if (d->clear == 0) d->clear = d->flare + 2 * d->most_thickness;
    if (d->clear >= d->flare) return KW_OK;
    return kw_fail(err, KW_RANGE, kw_place_of(node, "clear"),
                   "expected at least the flare, %.2f mm, got %.2f mm", d->flare, d->clear);
}
