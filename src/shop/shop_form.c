// SPDX-License-Identifier: Apache-2.0
// Every key of shop.yaml: what it means, its range and its default (machines in machine_form.c).
// Reader, JSON Schema and reference page come from this table. Defaults without a source are common
// practice.
#include "form/fields.h"
#include "shop/shop_check.h"

static const char *const unit_words[] = {"mm", "in", NULL};
// The last two are another spelling of the second and fourth.
static const char *const family_words[] = {"steel",      "galvanised", "stainless", "aluminium",
                                           "galvanized", "aluminum",   NULL};
static const char *const coupon_words[] = {"never", "when-missing", NULL};
static const char *const rule_words[] = {"k", "din-6935", "k-by-radius", NULL};

static const struct kw_field material_fields[] = {
    WORD(kw_material, "family", family, family_words, REQUIRED,
         SAYS("Which gauge table the metal follows: 11 ga is another thickness in each.")),
    QUANTITY(kw_material, "density", density, DENSITY, .min = 1000, .max = 25000,
             SAYS("Density. Without it: 7850 kg/m3 for steel and galvanised, 8000 for stainless, "
                  "2700 for aluminium.")),
    QUANTITY(kw_material, "tensile", tensile, STRESS, REQUIRED, ABOVE_ZERO_TO(2500),
             SAYS("Tensile strength of the sheet as delivered; the press force follows from it.")),
    QUANTITY(kw_material, "yield", yield, STRESS, REQUIRED, ABOVE_ZERO_TO(2500),
             SAYS("Yield strength; the springback follows from it.")),
    QUANTITY(kw_material, "elastic", elastic, STRESS, .min = 10000, .max = 500000,
             SAYS("Modulus of elasticity. Without it: 200000 MPa for steel and galvanised, 193000 "
                  "for stainless, 69000 for aluminium.")),
    QUANTITY(
        kw_material, "least_radius", least_radius, NUMBER, .max = 20, DEFAULT("1"),
        SAYS("Smallest inside bend radius that does not crack, as a multiple of the thickness.")),
    QUANTITY(
        kw_material, "least_radius_along", least_radius_along, NUMBER, .max = 30,
        SAYS("The same for bends that run along the grain of the sheet; parts with tighter ones "
             "are nested across it. Without it, the grain does not matter.")),
    QUANTITY(kw_material, "price_per_kg", price_per_kg, MONEY, .max = 1000, DEFAULT("0"),
             SAYS("Price of a kilogram, for sheets and sticks that have no price of their own.")),
    {0},
};
static const struct kw_form material_form = {
    "material",
    "A metal that the shop works with. Its name is the word in `from:`, such as hot-rolled.",
    sizeof(struct kw_material), material_fields, kw_material_check};

static const struct kw_field stick_fields[] = {
    TEXT(
        kw_rack_item, "from", from, REQUIRED, .example = "1-1/4 x 0.083 round tube",
        SAYS("Outside size, wall, and round tube, square tube, flat bar, round rod or angle bar.")),
    QUANTITY(kw_rack_item, "long", length, LENGTH, REQUIRED, ABOVE_ZERO_TO(25000),
             SAYS("Length as bought.")),
    COUNT(kw_rack_item, "on_hand", on_hand, .max = 10000, DEFAULT("0"),
          SAYS("How many are on the rack.")),
    WORD(kw_rack_item, "buy", can_buy, kw_buy_words, DEFAULT("when-short"),
         SAYS("Whether more of this length can be bought.")),
    QUANTITY(kw_rack_item, "price", price, MONEY, .max = 100000, DEFAULT("0"),
             SAYS("Price of one; 0 reckons it from the mass.")),
    COUNT(kw_rack_item, "delivery_days", delivery_days, .max = 365,
          SAYS("Working days from the order until it is here, such as 3. Without it, those of the "
               "whole shop.")),
    {0},
};
static const struct kw_form stick_form = {
    "stick", "A length of tube, bar or rod on the rack or from the supplier.",
    sizeof(struct kw_rack_item), stick_fields, NULL};

static const struct kw_field bending_fields[] = {
    WORD(kw_bending, "rule", rule, rule_words, DEFAULT("k"),
         SAYS("How the length taken by a bend is reckoned: k (one factor), din-6935, or "
              "k-by-radius (the factor follows from radius and thickness).")),
    QUANTITY(kw_bending, "k", k, NUMBER, .min = 0.2, .max = 0.6, DEFAULT("0.44"),
             SAYS("Where the neutral line lies, as a part of the thickness from the inside: 0.42 "
                  "to 0.45 in air-bent mild steel.")),
    {0},
};
static const struct kw_form bending_form = {"bending",
                                            "How flat lengths are reckoned from folded ones.",
                                            sizeof(struct kw_bending), bending_fields, NULL};

static const struct kw_field carton_fields[] = {
    QUANTITY(kw_box_size, "long", length, LENGTH, REQUIRED, ABOVE_ZERO_TO(5000),
             SAYS("Inside length.")),
    QUANTITY(kw_box_size, "wide", width, LENGTH, REQUIRED, ABOVE_ZERO_TO(3000),
             SAYS("Inside width.")),
    QUANTITY(kw_box_size, "high", height, LENGTH, REQUIRED, ABOVE_ZERO_TO(3000),
             SAYS("Inside height.")),
    QUANTITY(kw_box_size, "wall", wall, LENGTH, .max = 50, DEFAULT("3/16 in"),
             SAYS("Thickness of the board.")),
    QUANTITY(kw_box_size, "tare", tare, MASS, REQUIRED, .max = 100,
             SAYS("Mass of the empty carton.")),
    QUANTITY(kw_box_size, "most_mass", most_mass, MASS, REQUIRED, ABOVE_ZERO_TO(1000),
             SAYS("Heaviest gross mass that its board is good for.")),
    QUANTITY(kw_box_size, "price", price, MONEY, .max = 10000, DEFAULT("0"), SAYS("Price of one.")),
    {0},
};
static const struct kw_form carton_form = {"carton", "A carton that the shop buys.",
                                           sizeof(struct kw_box_size), carton_fields, NULL};

static const struct kw_field parcel_fields[] = {
    QUANTITY(kw_parcel, "most_mass", most_mass, MASS, REQUIRED, ABOVE_ZERO_TO(1000),
             SAYS("Heaviest parcel that the carrier takes.")),
    QUANTITY(kw_parcel, "most_length", most_length, LENGTH, REQUIRED, ABOVE_ZERO_TO(10000),
             SAYS("Longest side that the carrier takes.")),
    QUANTITY(kw_parcel, "most_girth", most_girth, LENGTH, REQUIRED, ABOVE_ZERO_TO(20000),
             SAYS("Most length plus girth (the way round the two shorter sides).")),
    QUANTITY(
        kw_parcel, "divisor", divisor, NUMBER, .max = 10000, DEFAULT("0"),
        SAYS("Cubic inches that are billed as a pound, such as 139; 0 bills by the scale alone.")),
    QUANTITY(kw_parcel, "padding", padding, LENGTH, .max = 500, DEFAULT("1/2 in"),
             SAYS("Room kept free on each side of the contents.")),
    QUANTITY(kw_parcel, "fill_mass", fill_mass, MASS, .max = 50, DEFAULT("0.25 kg"),
             SAYS("Paper and wrap in a carton.")),
    {0},
};
static const struct kw_form parcel_form = {"parcel", "What the carrier takes and how it bills.",
                                           sizeof(struct kw_parcel), parcel_fields, NULL};

static const struct kw_field rates_fields[] = {
    QUANTITY(kw_rates, "labour", labour, MONEY_PER_HOUR, REQUIRED, .max = 10000,
             SAYS("A person's hour.")),
    QUANTITY(kw_rates, "table", table, MONEY_PER_HOUR, .max = 10000, DEFAULT("0"),
             SAYS("An hour of the plasma table, without the person.")),
    QUANTITY(kw_rates, "press", press, MONEY_PER_HOUR, .max = 10000, DEFAULT("0"),
             SAYS("An hour of the press brake, without the person.")),
    QUANTITY(kw_rates, "bender", bender, MONEY_PER_HOUR, .max = 10000, DEFAULT("0"),
             SAYS("An hour of the tube bender, without the person.")),
    QUANTITY(kw_rates, "saw", saw, MONEY_PER_HOUR, .max = 10000, DEFAULT("0"),
             SAYS("An hour of the saw, without the person.")),
    QUANTITY(kw_rates, "pack", pack, TIME, .max = 36000, DEFAULT("8 min"),
             SAYS("Time to pack one carton.")),
    QUANTITY(kw_rates, "handle", handle, TIME, .max = 3600, DEFAULT("45 s"),
             SAYS("Time to deburr, mark and stack one part.")),
    QUANTITY(kw_rates, "margin", margin, FRACTION, REQUIRED, .max = 0.95,
             SAYS("Part of the price that is left over after cost. Not the mark-up: 40 % margin is "
                  "67 % mark-up.")),
    QUANTITY(kw_rates, "scrap", scrap, FRACTION, .max = 0.5, DEFAULT("4 %"),
             SAYS("Added to material for parts that go wrong.")),
    QUANTITY(kw_rates, "card_fee", card_fee, FRACTION, .max = 0.5, DEFAULT("3 %"),
             SAYS("Part of the price that paying by card costs.")),
    {0},
};
static const struct kw_form rates_form = {"rates", "What an hour costs and what is wanted on top.",
                                          sizeof(struct kw_rates), rates_fields, kw_rates_check};

#define HOURS(name, says)                                                                          \
    QUANTITY(kw_hours, #name, name, TIME, .max = 7 * 24 * 3600.0, DEFAULT("40 h"), SAYS(says))
static const struct kw_field hours_fields[] = {
    HOURS(table, "Hours of the plasma table in a week."),
    HOURS(press, "Hours of the press brake in a week."),
    HOURS(bender, "Hours of the tube bender in a week."),
    HOURS(saw, "Hours of the saw in a week."),
    HOURS(bench, "Hours at the bench, for deburring and packing, in a week."),
    {0},
};
static const struct kw_form hours_form = {"hours", "Hours that there are in a week.",
                                          sizeof(struct kw_hours), hours_fields, NULL};

static const struct kw_field hardware_fields[] = {
    QUANTITY(kw_hardware, "price", price, MONEY, REQUIRED, .max = 10000, SAYS("Price of one.")),
    QUANTITY(kw_hardware, "mass", mass, MASS, REQUIRED, .max = 100, SAYS("Mass of one.")),
    COUNT(kw_hardware, "on_hand", on_hand, DEFAULT("0"), SAYS("How many are in the bin.")),
    COUNT(kw_hardware, "pack", pack, .min = 1, .max = 100000, DEFAULT("1"),
          SAYS("Pieces in a bought pack.")),
    {0},
};
static const struct kw_form hardware_form = {
    "hardware item",
    "A bolt, nut or other bought piece. Its name is what kit files write in a bag.",
    sizeof(struct kw_hardware), hardware_fields, NULL};

static const struct kw_field layers_fields[] = {
    TEXTS(kw_layers, "cut", cut, DEFAULT("CUT"), SAYS("Layers with outlines and holes.")),
    TEXTS(kw_layers, "bend_up", bend_up, DEFAULT("BEND_UP"),
          SAYS("Layers with bend lines that fold up.")),
    TEXTS(kw_layers, "bend_down", bend_down, DEFAULT("BEND_DOWN"),
          SAYS("Layers with bend lines that fold down.")),
    TEXTS(kw_layers, "mark", mark, DEFAULT("MARK"),
          SAYS("Layers with lines that are marked, not cut.")),
    TEXTS(kw_layers, "ignore", ignore, .example = "DIM",
          SAYS("Layers that are passed over, such as dimensions.")),
    {0},
};
static const struct kw_form layers_form = {"layers",
                                           "What the layers of a drawing are for. A layer of an "
                                           "SVG is the id, label or class of a group or shape, or "
                                           "the colour of its line, such as red or (in quotes) "
                                           "#ff0000.",
                                           sizeof(struct kw_layers), layers_fields,
                                           kw_layers_check};

static const struct kw_field drawing_layers_fields[] = {
    TEXTS(kw_layers, "cut", cut, .example = "PROFILE", SAYS("Layers with outlines and holes.")),
    TEXTS(kw_layers, "bend_up", bend_up, .example = "FOLD",
          SAYS("Layers with bend lines that fold up.")),
    TEXTS(kw_layers, "bend_down", bend_down, .example = "FOLD_BACK",
          SAYS("Layers with bend lines that fold down.")),
    TEXTS(kw_layers, "mark", mark, .example = "ETCH",
          SAYS("Layers with lines that are marked, not cut.")),
    TEXTS(kw_layers, "ignore", ignore, .example = "SKETCH",
          SAYS("Layers that are passed over, such as dimensions.")),
    {0},
};
const struct kw_form kw_drawing_layers_form = {
    "drawing layers",
    "What the layers of one drawing are for. Layers that aren't named here keep what shop.yaml "
    "says of them.",
    sizeof(struct kw_layers), drawing_layers_fields, kw_layers_check};

static const struct kw_field limit_fields[] = {
    QUANTITY(kw_rule_override, "limit", limit, NUMBER, REQUIRED, .max = 1000000,
             SAYS("The shop's own limit, in the unit that the rule is listed with.")),
    {0},
};
static const struct kw_form limit_form = {"rule",
                                          "The shop's own limit for one rule of the checks.",
                                          sizeof(struct kw_rule_override), limit_fields, NULL};

static const struct kw_field filler_fields[] = {
    TEXT(kw_filler, "part", part, REQUIRED, .example = "firewood-rack/hook",
         SAYS("KIT/PART: a flat sheet part.")),
    QUANTITY(kw_filler, "value", value, MONEY, REQUIRED, .max = 10000,
             SAYS("What one is worth; it is cut only where that is more than cutting it costs.")),
    COUNT(kw_filler, "most", most, .min = 1, .max = 10000, DEFAULT("20"),
          SAYS("How many are wanted at most in one run.")),
    {0},
};
static const struct kw_form filler_form = {
    "filler", "A small part that sells by itself, cut from what would be scrap.",
    sizeof(struct kw_filler), filler_fields, NULL};

static const struct kw_field shop_fields[] = {
    TEXT(kw_shop, "shop", name, REQUIRED, .example = "Alder Lane Yard Works",
         SAYS("Name of the shop, for the papers.")),
    TEXT(kw_shop, "currency", currency, REQUIRED, .example = "USD",
         SAYS("Currency of all prices, three letters.")),
    WORD(kw_shop, "units", units, unit_words, REQUIRED,
         SAYS("Unit of bare lengths in this file, and what people here read.")),
    NAMED(kw_shop, "materials", materials, material_form, REQUIRED,
          SAYS("The metals that the shop works with.")),
    FORMS(kw_shop, "sheets", sheets, kw_sheet_form,
          SAYS("Sizes of sheet on the rack or from the supplier.")),
    FORMS(kw_shop, "sticks", sticks, stick_form,
          SAYS("Lengths of tube, bar and rod on the rack or from the supplier.")),
    COUNT(kw_shop, "delivery_days", delivery_days, .max = 365,
          SAYS("Working days from an order of sheets or sticks until they are here, where a size "
               "says none itself; the last day to order follows from it.")),
    FORM(kw_shop, "bending", bending, bending_form, SAYS("How flat lengths are reckoned.")),
    FORMS(kw_shop, "bend_table", bend_table, kw_bend_row_form,
          SAYS("The shop's own bend table; it comes before the rule of `bending:` and after the "
               "coupons of coupons.csv.")),
    FORM(kw_shop, "table", table, kw_table_form, SAYS("The plasma table and its cut rules.")),
    FORM(kw_shop, "press", press, kw_press_form, SAYS("The press brake and its tools.")),
    FORM(kw_shop, "shop_press", shop_press, kw_shop_press_form,
         SAYS("The press that dimples are flared on.")),
    LABELLED(kw_shop, "dimple_dies", dimple_dies, kw_dimple_die_form,
             SAYS("Dies for flared holes, by the name that `dimple:` uses.")),
    FORM(kw_shop, "marking", marking, kw_marking_form,
         SAYS("How lines and names are marked on parts.")),
    FORM(kw_shop, "bender", bender, kw_bender_form, SAYS("The tube bender and its dies.")),
    FORM(kw_shop, "saw", saw, kw_saw_form, SAYS("The saw for tube, bar and rod.")),
    NAMED(kw_shop, "cartons", cartons, carton_form,
          SAYS("The cartons by name; without any, kits are picked but not packed.")),
    FORM(kw_shop, "parcel", parcel, parcel_form, SAYS("The carrier's limits.")),
    FORM(kw_shop, "rates", rates, rates_form, REQUIRED, SAYS("Money an hour and the margin.")),
    FORM(kw_shop, "hours", hours, hours_form,
         SAYS("Hours that each machine and the bench have in a week.")),
    LABELLED(kw_shop, "hardware", hardware, hardware_form,
             SAYS("Bought pieces by the name that kit files use.")),
    FORMS(kw_shop, "fillers", fillers, filler_form,
          SAYS("Small parts to cut from what would be scrap; they never cost a sheet or a drop.")),
    WORD(kw_shop, "coupons", coupons, coupon_words, DEFAULT("never"),
         SAYS("Whether runs cut test pieces from the scrap for a sheet and die that has fewer than "
              "five measured ones.")),
    FORM(kw_shop, "layers", layers, layers_form, SAYS("Layer names of drawings.")),
    LABELLED(kw_shop, "rules", rules, limit_form,
             SAYS("Own limits for the checks, by the rule's name.")),
    {0},
};
const struct kw_form kw_shop_form = {"shop",
                                     "What the shop has: metal, machines, tools, cartons, rates.",
                                     sizeof(struct kw_shop), shop_fields, kw_shop_check};
