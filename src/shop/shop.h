// SPDX-License-Identifier: Apache-2.0
// shop: what this shop has. Materials, sheets and sticks on the rack, the plasma table and its cut
// rules, press brake and tools, tube bender, saw, cartons, parcel limits, rates, and how drawings
// name their layers. Read from shop.yaml through one table (shop_form.c).
#pragma once

#include "base/base.h"
#include "form/form.h"
#include "geom/geom.h"

// ---------------------------------------------------------------------------------------- gauges

enum kw_family { KW_STEEL, KW_GALVANISED, KW_STAINLESS, KW_ALUMINIUM };

/// Thickness of a sheet gauge in mm and its limits when new (equal to the nominal where the table
/// has none). Manufacturers' Standard Gauge and its kin; sources in gauge.c. False: no such gauge.
bool kw_gauge(enum kw_family family, int gauge, double *thickness, double *least, double *most);

// ------------------------------------------------------------------------------------- materials

struct kw_material {
    const struct kw_node *node;
    const char *name;          ///< as it stands in `from:`, e.g. "hot-rolled"
    int family;                ///< enum kw_family
    double density;            ///< kg/m3, default by family: 7850, 7850, 8000, 2700
    double tensile, yield;     ///< MPa
    double elastic;            ///< MPa, default by family: 200000, 200000, 193000, 69000
    double least_radius;       ///< least inside bend radius as a multiple of thickness, default 1
    double least_radius_along; ///< the same for bends along the grain; default: no more than the
                               ///< other
    double price_per_kg;       ///< of sheet and sticks without a price of their own
};

enum kw_stock_kind {
    KW_SHEET,
    KW_ROUND_TUBE,
    KW_SQUARE_TUBE,
    KW_FLAT_BAR,
    KW_ROUND_ROD,
    KW_ANGLE_BAR
};

/// What a part is made from, out of words such as "11 ga hot-rolled sheet", "3/16 in hot-rolled
/// sheet", "1-1/4 x 0.083 round tube", "1 x 0.065 square tube", "1 x 3/16 flat bar".
struct kw_stock {
    enum kw_stock_kind kind;
    int material;                           ///< index into shop->materials
    double thickness;                       ///< mm; wall for tubes
    double thickness_least, thickness_most; ///< limits of the sheet as bought
    double width,
        height;     ///< mm: outside diameter (both equal) or outside width and height; 0 for sheet
    char text[112]; ///< in the house's own words, the same for all that is the same
};

/// Reads such words. Tubes and bars may name a material ("1-1/4 x 0.083 hot-rolled round tube"),
/// else the first steel of the shop is meant. Refuses unknown materials with the nearest known.
struct kw_shop;
enum kw_status kw_stock_read(const struct kw_shop *shop, const char *words,
                             enum kw_length_unit bare, struct kw_place at, struct kw_stock *out,
                             struct kw_error *err);
/// The same of a kit or coupon whose bare numbers are in `bare`, once the rack is read: what the
/// rack doesn't hold in that unit is looked for in the shop's own, so that the rack's words mean
/// the rack's stock in every kit ("1 x 0.065 square tube" in a kit told in mm).
enum kw_status kw_stock_meant(const struct kw_shop *shop, const char *words,
                              enum kw_length_unit bare, struct kw_place at, struct kw_stock *out,
                              struct kw_error *err);
bool kw_stock_same(const struct kw_stock *a, const struct kw_stock *b);

/// A size of sheet or stick that the shop has or can buy.
struct kw_rack_item {
    const struct kw_node *node;
    const char *from;        ///< words
    struct kw_stock stock;   ///< filled after reading
    double length, width;    ///< mm; width 0 for sticks. YAML: long, wide
    const char *painted;     ///< sheets: the name that is painted on it, "" none. YAML: name
    struct kw_path outline;  ///< sheets: what is there of it, counter-clockwise from its lower left
                             ///< corner; no vertices: all of it
    struct kw_items spoiled; ///< sheets: struct kw_clamp, places where no part may lie
    int on_hand;             ///< how many are on the rack
    int can_buy;             ///< 1 when more can be bought
    double price;            ///< each; 0: by mass
    int delivery_days;       ///< where the file says it: see kw_rack_item_delivery
};
/// Working days from order to delivery, of this size or else of the whole shop; -1: not said.
int kw_rack_item_delivery(const struct kw_shop *shop, const struct kw_rack_item *item);
double kw_rack_item_price(const struct kw_shop *shop, const struct kw_rack_item *item);
double kw_sheet_mass(const struct kw_shop *shop, const struct kw_stock *stock,
                     double area); ///< kg of so many mm2
double kw_rack_item_mass(const struct kw_shop *shop, const struct kw_rack_item *item);

// ---------------------------------------------------------------------------------- bend
// arithmetic

enum kw_bend_rule { KW_RULE_K, KW_RULE_DIN_6935, KW_RULE_K_BY_RADIUS };
struct kw_bending {
    const struct kw_node *node;
    int rule; ///< enum kw_bend_rule, default "k"
    double k; ///< default 0.44: air-bent mild steel, common practice
};
/// A row of the shop's own bend table: one of deduction, allowance and k; the others are 0.
struct kw_bend_row {
    const struct kw_node *node;
    const char *from; ///< words
    struct kw_stock stock;
    const char *die_name; ///< NULL: any
    int die;              ///< index into press.dies, -1 any
    double deduction;     ///< of a bend of 90 degrees
    double allowance;     ///< of a bend of 90 degrees
    double k;
};

// ------------------------------------------------------------------------------- plasma table

struct kw_cut_entry { ///< one row of cut rules: a material, one thickness
    const struct kw_node *node;
    const char *from; ///< words, e.g. "11 ga hot-rolled sheet"
    struct kw_stock stock;
    double kerf, feed, pierce_delay, pierce_height, cut_height, lead_in;
    double least_hole;      ///< 0: by the table of rules
    double hole_feed;       ///< fraction of feed, default 0.6
    double hole_feed_below; ///< diameter, default 25.4
    double overburn;        ///< mm
    int lead_shape;         ///< 0 line, 1 arc
    double corner_feed;     ///< fraction of feed at sharp corners, default 1
    double zone;            ///< mm at corners and ends with height locked, default 1/4 in
    double amps;
    double cost_per_pierce; ///< consumables
    int life;               ///< pierces that a set of consumables lasts; 0: not known
};
/// A scribe that etches lines, where the table has one: `scribe: { down: M7, up: M9 }`
struct kw_scribe {
    const struct kw_node *node;
    const char *down, *up;    ///< lines that set it on the sheet and lift it
    double delay;             ///< s that it takes to come down
    double feed;              ///< mm/s
    double to_right, to_back; ///< mm from the torch's middle to its point
};
struct kw_controller {
    const struct kw_node *node;
    const char *name;
    int units; ///< enum kw_length_unit of the program
    int decimals;
    int line_numbers;                          ///< step, 0: none
    const char *torch_on, *torch_off;          ///< words, default M3 / M5
    struct kw_items header, footer, at_pierce; ///< const char *: lines
    const char *lock, *unlock;                 ///< torch height control; "" when it has no words
    const char *stop;                          ///< the line at which it stops for the operator
    int arcs_by_radius, all_decimals, trace;   ///< 0 or 1
    int height_by_program;                     ///< 1: programs move Z
    double travel_height;                      ///< mm, when they do
    int longest_name;                          ///< of a program, default 32
    int name_letters;                          ///< of it: 0 any, 1 capitals and digits, 2 digits
    struct kw_scribe scribe;                   ///< node NULL: the table has none
};
struct kw_clamp { ///< a rectangle of the table where a clamp holds the sheet
    const struct kw_node *node;
    double from_left, from_front, length, width;
};
struct kw_table { ///< the plasma table
    const struct kw_node *node;
    double length, width;
    double spacing, margin;      ///< between finished parts, to the sheet's edge
    double rapid, acceleration;  ///< mm/s, mm/s2
    double most_feed;            ///< mm/s that it can cut at; 0: not known
    double setup;                ///< s a sheet
    double prove;                ///< s a new program
    double nick;                 ///< length of the bend-end nicks, 0: none; default 1/16 in
    double corner_speed;         ///< mm/s through a square corner
    double height_finding;       ///< s before each pierce
    double slats;                ///< mm from slat to slat; 0: not known, nothing tips
    double tab_width, tab_every; ///< holding tabs; width 0: none
    double tabs_up_to;           ///< mm: thickest sheet with tabs
    double heat_gap;             ///< 0: heat is no matter
    double skeleton;             ///< mm between the cuts through what is left; 0: left whole
    int shared_cuts;             ///< 1: one cut between straight edges side by side
    int square_side;             ///< 1: the torch's left side cuts square
    int cut_off;                 ///< 1: the drop is cut off
    int between_rows;            ///< 1: cut rules in proportion between two thicknesses
    struct kw_items clamps;      ///< struct kw_clamp
    struct kw_controller controller;
    struct kw_items rules; ///< struct kw_cut_entry
};

// ---------------------------------------------------------------------------------- press brake

/// A small sellable part that is cut from what would be scrap.
struct kw_filler {
    const struct kw_node *node;
    const char *part; ///< "firewood-rack/hook"
    double value;     ///< what one is worth, shop's currency
    int most;         ///< in one run
};
/// Whether runs add test pieces to the scrap.
enum kw_coupon_wish { KW_COUPONS_NEVER, KW_COUPONS_WHEN_MISSING };

struct kw_press_tool { ///< die or punch
    const struct kw_node *node;
    const char *name;         ///< shelf number
    double opening;           ///< die: V
    double angle;             ///< included
    double radius;            ///< die shoulder or punch nose
    double height;            ///< of a hemming tool: of its lower flat
    double upper;             ///< of a hemming tool: height of its upper flat
    double length;            ///< of the whole tool
    double rating;            ///< N/mm
    double width;             ///< die: of its body, 0: what the V needs; of a hemming tool's flats
    double neck;              ///< punch: a gooseneck's set-back
    int ways;                 ///< punch: 1: goes into the ram turned round as well
    struct kw_items segments; ///< double: lengths on the shelf
    struct kw_items profile;  ///< struct kw_profile_point
    struct kw_path section;   ///< made of the profile; no vertices: none given
};
struct kw_profile_point { ///< a corner of a tool's section
    const struct kw_node *node;
    double x, y, radius;
};
struct kw_press {
    const struct kw_node *node;
    double rating; ///< N
    double bed, between_frames, throat, open_height, stroke;
    double gauge_least, gauge_most; ///< X range of the back gauge; both 0: no gauge
    double one_person;              ///< kg that one person may lift, default 50 lb
    double gauge_low, gauge_high;   ///< of the fingers, from the die's top
    double finger_width, finger_height, finger_depth; ///< along the bend, up, front to back
    double fingers_least, fingers_most;               ///< centre to centre; 0: width, any
    double hold_clear;                                ///< from the die's front to a hand
    int bed_moves;               ///< 1: the bed comes up, 0: the ram comes down
    int gauge_on;                ///< 1: the frame, 0: the bed
    double ram_width, bed_width; ///< front to back
    double turn_over, rotate, tool_change, station_change, gauge_move, gauge_height; ///< s
    double setup, per_bend;                                                          ///< s
    struct kw_items dies, punches, hemming; ///< struct kw_press_tool
};
/// Shelf number of the tool that a brake step names by its index: hemming tools stand after the
/// dies, and after the punches. "none" below 0.
const char *kw_press_die_name(const struct kw_press *press, int i);
const char *kw_press_punch_name(const struct kw_press *press, int i);
/// Its lengths on the shelf.
struct kw_items kw_press_die_segments(const struct kw_press *press, int i);
struct kw_items kw_press_punch_segments(const struct kw_press *press, int i);

/// A die of the shop press that flares a round hole: `dimple_dies: { "2 in": { pre_hole: 2,
/// flare: 2-1/2, height: 5/16, force: 178 kN } }`.
struct kw_dimple_die {
    const struct kw_node *node;
    const char *name;
    double pre_hole; ///< diameter to cut before
    double flare;    ///< outside diameter of the flare
    double height;   ///< how far it stands out of the sheet
    double force;    ///< N that it takes in the thickest sheet it is for
    double most_thickness;
    double clear; ///< diameter that must lie flat and free round its centre, default flare
};
/// Width of flat metal that a flare takes: the die's own, or its flare and a thickness on each
/// side.
double kw_dimple_clear(const struct kw_dimple_die *die, double thickness);
struct kw_shop_press { ///< the press that dimples are flared on
    const struct kw_node *node;
    double rating;            ///< N
    double throat;            ///< from the ram's centre to the frame
    double daylight;          ///< open height with the die in
    double setup, per_dimple; ///< s
};
/// How names and lines are etched: `marking: { way: nicks, text_height: 1/2, font: ... }`
struct kw_marking {
    const struct kw_node *node;
    int way;            ///< enum kw_mark_way
    double text_height; ///< of part names, default 1/2 in
    const char *font;   ///< face of letters that are cut through, default "DejaVu Sans"
    int name_parts;     ///< 1: every part is marked with its own name. Only when way is etch
};
enum kw_mark_way { KW_MARK_NICKS, KW_MARK_ETCH, KW_MARK_BY_HAND };

// ---------------------------------------------------------------------------------- tube, saw

struct kw_bender_die {
    const struct kw_node *node;
    const char *name;
    double od;          ///< tube outside diameter
    double radius;      ///< centreline
    double most_angle;  ///< rad
    double clamp, lead; ///< straight needed to hold, and before the bend
};
/// What a swinging tube must clear, as a box: from x to x in each direction, seen from where bends
/// begin on the stick's centreline: ahead (through the clamp), to the side the die stands on, up.
struct kw_bender_body {
    const struct kw_node *node;
    const char *name;
    struct kw_items ahead, side, up; ///< double, two each, rising
};
struct kw_bender {
    const struct kw_node *node;
    double most_wall;
    int turns_by_itself;    ///< whether it rotates the tube between planes
    double springback;      ///< angle to set / angle wanted; 0: not given, from the material
    double setup, per_bend; ///< s
    double floor;           ///< mm from the stick's centreline down; 0: not given
    struct kw_items bodies; ///< struct kw_bender_body
    struct kw_items dies;
};
struct kw_saw {
    const struct kw_node *node;
    double kerf, trim, hold; ///< mm; hold: what the vise needs of the remainder
    double setup, per_cut;   ///< s
    int bundle;              ///< sticks that the vise takes at once
    double keep, keep_worth; ///< mm: shortest leftover kept; its worth, of what its length cost
};

// ---------------------------------------------------------------------------------- boxes, money

struct kw_box_size { ///< a carton the shop buys
    const struct kw_node *node;
    const char *name;
    double length, width, height; ///< inside
    double wall;                  ///< thickness of the board
    double tare;                  ///< kg
    double most_mass;             ///< kg gross
    double price;
};
struct kw_parcel { ///< the carrier's limits
    const struct kw_node *node;
    double most_mass;   ///< kg
    double most_length; ///< mm
    double most_girth;  ///< mm: length plus girth
    double divisor;     ///< in3 a pound (139 or 166 are common); 0: no dimensional mass
    double padding;     ///< mm round the contents
    double fill_mass;   ///< kg of paper and wrap a carton
};
struct kw_rates {
    const struct kw_node *node;
    double labour;                    ///< an hour
    double table, press, bender, saw; ///< machine, an hour
    double pack;                      ///< s a carton
    double handle;                    ///< s a part (deburr, mark, stack)
    double margin;                    ///< fraction of the price, not mark-up
    double scrap;                     ///< fraction added to material, default 4 %
    double card_fee;                  ///< fraction of the price
};
struct kw_hours { ///< hours available in a week
    const struct kw_node *node;
    double table, press, bender, saw, bench; ///< s
};
struct kw_hardware {
    const struct kw_node *node;
    const char *name; ///< as written in bags, e.g. "hex bolt 3/8-16 x 1"
    double price, mass;
    int on_hand;
    int pack; ///< pieces in a bought pack, default 1
};
struct kw_layers { ///< layer names of drawings
    const struct kw_node *node;
    struct kw_items cut, bend_up, bend_down, mark, ignore; ///< const char *
};
/// Own limits for the table of rules: rule id to limit (see docs/rules.md).
struct kw_rule_override {
    const struct kw_node *node;
    const char *name;
    double limit;
};

/// A machine that the file says nothing of (table, press, bender, saw) is all zero and its `node`
/// is NULL: what needs it gets a finding. The same for `parcel`.
struct kw_shop {
    const struct kw_node *node;
    const char *name;
    const char *currency;           ///< three letters
    int units;                      ///< enum kw_length_unit: what people here read
    struct kw_items materials;      ///< struct kw_material
    struct kw_items sheets, sticks; ///< struct kw_rack_item
    int delivery_days;              ///< of sizes that don't say it
    struct kw_bending bending;
    struct kw_items bend_table;       ///< struct kw_bend_row
    const struct kw_learned *learned; ///< out of coupons.csv (learned.h); NULL: there is none
    struct kw_table table;
    struct kw_press press;
    struct kw_shop_press shop_press;
    struct kw_items dimple_dies; ///< struct kw_dimple_die
    struct kw_marking marking;
    struct kw_bender bender;
    struct kw_saw saw;
    struct kw_items cartons; ///< struct kw_box_size
    struct kw_parcel parcel;
    struct kw_rates rates;
    struct kw_hours hours;
    struct kw_items hardware; ///< struct kw_hardware
    struct kw_layers layers;
    struct kw_items rules;   ///< struct kw_rule_override
    struct kw_items fillers; ///< struct kw_filler, the first preferred among equals
    int coupons;             ///< enum kw_coupon_wish
    const char *file;
};

extern const struct kw_form kw_shop_form;
extern const struct kw_form kw_drawing_layers_form; ///< a kw_layers of one drawing, in a kit file

/// Reads FOLDER/shop.yaml. The shop lives in the arena.
enum kw_status kw_shop_read(struct kw_arena *a, const char *folder, struct kw_shop **out,
                            struct kw_error *err);
const struct kw_material *kw_shop_material(const struct kw_shop *shop, const struct kw_stock *s);
/// The cut rule for this sheet, or NULL. Between two rows only where the shop says so, never
/// beyond.
const struct kw_cut_entry *kw_shop_cut_rule(const struct kw_shop *shop, const struct kw_stock *s);
/// Index into press.dies by shelf number, -1 when there is none.
int kw_press_die(const struct kw_shop *shop, const char *name);
const struct kw_hardware *kw_shop_hardware(const struct kw_shop *shop, const char *name);
