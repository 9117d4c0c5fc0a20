// SPDX-License-Identifier: Apache-2.0
// run: from the week's orders to one production run. How many of which part, on which sheets and
// sticks, how loaded each machine is, what to buy, what it costs, which carton closes. Calls the
// engines and turns what they can't do into findings. Pure but for the structs it is given: no
// files.
//
//   orders ─demand─▶ makes ─sheets─▶ nests + torch plans ─┐
//                          ─sticks─▶ saw list            ─┼─▶ load, buy, cost ─▶ week
//                          ─cartons─▶ one packing a kit  ─┘
#pragma once

#include "base/base.h"
#include "carton/carton.h"
#include "check/check.h"
#include "cut/cut.h"
#include "kit/kit.h"
#include "nest/nest.h"
#include "shape/shape.h"
#include "shop/shop.h"
#include "stick/stick.h"

/// What a piece is made for.
enum kw_make_use {
    KW_MAKE_ORDERED,
    KW_MAKE_COUPON, ///< a test piece out of what would be scrap; its kit is the run's own
    KW_MAKE_FILLER  ///< sold by itself, out of what would be scrap
};

/// One kind of piece to make: a part in one hand. Its index + 1 is the job number on the papers.
struct kw_make {
    const struct kw_kit *kit;
    const struct kw_part *part;
    const struct kw_examined *what;
    enum kw_hand hand;
    const char *label;      ///< "firewood-rack/foot", "firewood-rack/side left"
    int needed;             ///< for kits and spares ordered
    int spare;              ///< extra blanks for brake set-ups: 1, and 1 more in every 20
    int placed;             ///< found room on sheets or sticks (of needed + spare + extra)
    struct kw_region blank; ///< sheet parts: of this hand, blank frame
    struct kw_path *etches; ///< lines to be etched on it, blank frame
    int etch_count;
    double cut_time;            ///< s of torch for one, its share of travel included
    double pierces, cut_length; ///< for one, tabs and its share of marks included; mm
    int due;                    ///< earliest, yyyymmdd
    enum kw_make_use use;       ///< not ordered: needed and spare are 0
    int extra;                  ///< most that may come out of what would be scrap, besides
    int extra_placed;           ///< found room there (of `placed`)
    double value;               ///< of one extra piece
    int nicks;         ///< coupon: how many tell it from its like, on its front edge, or where
    bool nicks_behind; ///< its stock has coupons of another die, on its back edge
};

struct kw_run_kit {
    const struct kw_kit *kit;
    int ordered, boxed;              ///< boxes wanted; boxes that can be filled
    int due;                         ///< earliest
    const struct kw_examined *parts; ///< a row for each of the kit's parts
    int part_count;
};

struct kw_left_out {
    const char *kit, *part; ///< part "" : the whole kit
    int count;
    const char *why;
};

/// What is left of a sheet of an earlier run, or a drop of it that was cut off.
struct kw_taken {
    const char *id;   ///< "S2"; of a drop "S2-A"
    const char *from; ///< "week-48/S2"
    const char *material;
    double thickness, width, height; ///< mm, x along its length
    const struct kw_region *free;    ///< what is there of it, less the places to keep out of; NULL:
                                     ///< the whole rectangle
    struct kw_region *parts;         ///< what lies on it, where it lies; holes closed
    int part_count;
};

/// A sheet of an earlier run that was proven on steel, to be cut again where it suits.
struct kw_proven_piece {
    const char *label; ///< of its make
    struct kw_path outer;
    double x, y, rotation; ///< mm, radians
    bool mirrored;
};
struct kw_proven {
    const char *from; ///< "week-48/S2"
    const char *material;
    double thickness, width, height, spacing, margin; ///< mm
    struct kw_proven_piece *v;
    int count;
};

/// One layout of one sheet size, with its program.
struct kw_run_sheet {
    char id[16];                          ///< "S1"
    const char *program;                  ///< "sheets/S1.nc"; NULL when it can't be written
    const char *full_name, *program_name; ///< "week-48-S1", and what the control can hold of it
    struct kw_stock stock;
    const struct kw_rack_item *rack;
    const struct kw_cut_entry *rule;
    int times;
    double width, height;         ///< of the sheet: x along its length
    const struct kw_region *free; ///< what is there of it, its holes the places to keep out of
                                  ///< (clamps, spoiled); NULL: the whole rectangle
    double spacing, margin;
    struct kw_nest_placement
        *placements; ///< `part` is an index into week->makes; `copy` is 1-based
    int placement_count;
    struct kw_box2 *drops;
    int drop_count;
    double density;
    struct kw_cut_plan cut;
    const struct kw_cut_line *marks; ///< in sheet frame
    int mark_count;
    const struct kw_cut_etch *etches; ///< in sheet frame; the plan says which were left out
    int etch_count;
    double mass;               ///< kg of the whole sheet
    const char *standing;      ///< NULL, or the proven sheet that this is once more
    const struct kw_taken *on; ///< NULL, or the planned sheet whose free space this goes into
};

/// The saw list of one stock.
/// How a piece lies on the stick: turned over about the stick, the kit's end first, and whether the
/// cut at its left end is the one that made the right end of the piece before it.
struct kw_run_laid {
    bool over, back, shared;
};
struct kw_run_saw {
    struct kw_stock stock;
    const struct kw_rack_item **racks; ///< stock lengths, parallel to the plan's stock index
    int rack_count;
    int *makes;      ///< index into week->makes of each piece index
    double *lengths; ///< mm on the saw
    /// What the plan takes a piece for: a cut of its own at each mitred end, kerf/cos wide along
    /// the stick. Where pieces share cuts more is left over than the plan says.
    double *takes;
    int piece_count;
    struct kw_stick_plan plan;
    struct kw_run_laid **laid; ///< a pattern of the plan, each of its pieces
};
/// The lean of a laid piece's left and right end: radians off square, positive where the edge that
/// lies below is the longer one. {0, 0} of square cuts.
void kw_run_leans(const struct kw_part *part, struct kw_run_laid laid, double leans[2]);

/// How one kit is packed (the same for each of its boxes). Boxes are parts and bags.
struct kw_run_packing {
    const struct kw_kit *kit;
    struct kw_carton_plan plan;
    const char **names; ///< of each carton box: "foot", "side left", "bag feet"
    const int *parts;   ///< index into kit->parts, -1 for a bag
    int box_count;
    double net_mass; ///< kg of parts and hardware
};

struct kw_buy {
    const char *what; ///< "11 ga hot-rolled sheet 96 x 48 in"
    int count;        ///< to buy
    int needed, on_hand;
    double price;     ///< all of it
    const char *unit; ///< "sheet", "stick", "carton", "pack of 50"
};
/// What a size on the rack is called in lists of what to buy; in the arena.
const char *kw_rack_name(struct kw_arena *a, const struct kw_shop *shop,
                         const struct kw_rack_item *r);
struct kw_load {
    const char *machine; ///< "table", "press", "bender", "saw", "bench"
    double hours, available;
};
struct kw_cost { ///< of one kit, currency
    const struct kw_kit *kit;
    double material, machine, labour, hardware, packing, total, price;
};

struct kw_week {
    struct kw_arena *arena;
    const struct kw_shop *shop;
    const struct kw_kits *kits;
    const struct kw_orders *orders;
    const char *name; ///< of the run
    int date;         ///< yyyymmdd
    struct kw_run_kit *run_kits;
    int run_kit_count;
    struct kw_make *makes;
    int make_count;
    struct kw_run_sheet *sheets;
    int sheet_count;
    struct kw_run_saw *saws;
    int saw_count;
    struct kw_run_packing *packings;
    int packing_count;
    struct kw_buy *buys;
    int buy_count;
    struct kw_load *loads;
    int load_count;
    struct kw_cost *costs;
    int cost_count;
    struct kw_left_out *left_out;
    int left_out_count;
    struct kw_findings findings; ///< sorted
    int first_of_run;            ///< while planning: the first finding that check had not made
    int *brake_order;            ///< makes with bends in the order of least tool change
    int brake_count;
};

struct kw_run_options {
    const char *name;
    int date;
    bool keep_going; ///< make what can be made of a kit that has a stop; else leave the kit out
                     ///< whole
    bool coupons;    ///< test pieces, whatever the shop file says
    uint64_t seed;
    long nest_steps;                  ///< 0: the usual budget
    const struct kw_proven *standing; ///< proven sheets
    int standing_count;
    const struct kw_watch *watch;
};

/// Plans the week. KW_STOPPED when the watch says so; what can't be made is in left_out and
/// findings. Everything lives in the arena; the same input gives the same week to the last bit.
enum kw_status kw_run_week(struct kw_arena *a, const struct kw_shop *shop,
                           const struct kw_kits *kits, const struct kw_orders *orders,
                           const struct kw_run_options *options, struct kw_week *out,
                           struct kw_error *err);

/// Copies of one part that were scrapped, into the free space of sheets planned before: each sheet
/// in its order takes what finds room, and nothing on it moves. No spare blanks, nothing to buy.
/// Sheets of another material are passed over; what finds no room is left out with a finding.
/// KW_UNKNOWN when the part is no sheet part. `taken` is borrowed and must live as long as the
/// week.
enum kw_status kw_run_again(struct kw_arena *a, const struct kw_shop *shop,
                            const struct kw_kits *kits, const struct kw_order *what,
                            const struct kw_taken *taken, int taken_count,
                            const struct kw_run_options *options, struct kw_week *out,
                            struct kw_error *err);

/// The same for a number of one kit, without orders: what `quote` prints.
enum kw_status kw_run_quote(struct kw_arena *a, const struct kw_shop *shop,
                            const struct kw_kits *kits, const struct kw_kit *kit, int count,
                            const struct kw_run_options *options, struct kw_week *out,
                            struct kw_error *err);

/// Whole cents, half away from zero: totals are sums of rounded amounts.
double kw_cents(double amount);

/// What a segment of the part's blank is for later: of enum kw_edge_use, 0 nothing.
int kw_edge_uses(const struct kw_examined *what, int segment);

/// The row of a kit, NULL when none of it is ordered.
const struct kw_run_kit *kw_run_kit_of(const struct kw_week *w, const struct kw_kit *kit);

/// The table's controller as the cut engine takes it.
struct kw_cut_controller kw_run_controller(const struct kw_week *w);
