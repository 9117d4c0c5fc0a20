// SPDX-License-Identifier: Apache-2.0
// kit: what is sold. Kits with their parts, hardware bags and signed risks from kits/*.yaml,
// outlines from drawings (DXF), and the week's orders from orders.csv. Sizes are as the fabricator
// says them: outside to outside, turns from flat, holes to their centre.
//
// Frame of a sheet part: seen with the base flat on the bench, good side as named, x from left to
// right along `long`, y from front to back along `wide`, z up. (0,0) is the front left outside
// corner of the base.
#pragma once

#include "base/base.h"
#include "form/form.h"
#include "geom/geom.h"
#include "shop/shop.h"

enum kw_hand { KW_EACH, KW_LEFT_HAND, KW_RIGHT_HAND };
const char *kw_hand_name(enum kw_hand h); ///< "", "left", "right"

enum kw_edge { KW_EDGE_FRONT, KW_EDGE_RIGHT, KW_EDGE_BACK, KW_EDGE_LEFT, KW_EDGE_OF_BEND };

/// `base: { long: 6, wide: 3, round: { front-left: 1/4 } }`
struct kw_round { ///< corner radii, mm, 0: sharp
    const struct kw_node *node;
    double front_left, front_right, back_right, back_left;
};
struct kw_base {
    const struct kw_node *node;
    double length, width; ///< outside, bends at the edges included. YAML: long, wide
    struct kw_round round;
    struct kw_items points; ///< struct kw_vec2, counter-clockwise, box starts at (0,0): an outline
                            ///< by corner points instead of long and wide (which then hold its box)
};

enum kw_way { KW_UP, KW_DOWN };

/// A flange: `A: { along: back, height: 1-1/2, turn: 90, way: up }`
struct kw_flange {
    const struct kw_node *node;
    const char *name;
    const char *along; ///< as written: "front", "right", "back", "left" or the name of a flange
    int edge;          ///< enum kw_edge; KW_EDGE_OF_BEND: the outer edge of flange `parent`
    int parent;        ///< index into bends, -1: the base
    double height; ///< outside leg: to the outer apex for turns up to 90 degrees, to the outside
                   ///< tangent beyond
    double turn;   ///< rad from flat, > 0
    int way;       ///< enum kw_way, as seen on the face it leaves (good side)
    double radius; ///< inside; 0: the natural radius of the die chosen
    double from_start, from_end; ///< how far the flange keeps from the two ends of its edge
                                 ///< (left/right or front/back)
    int mates;        ///< 1: the height must fit another part, gauge it first. YAML: gauge
    int line;         ///< of a drawing: number of the bend line that this names, 0: not given
    int from_drawing; ///< 1: named for a bend line of the drawing rather than made here
};

/// Holes: `{ size: 7/16, from_left: [1-1/2, 4-1/2], from_front: 1-1/2 }`; every from_left goes with
/// every from_front. On a flange: `flange: A`, `from_bottom` is measured from the outside of the
/// face that the flange stands on; along it from_left (edges front, back) or from_front (left,
/// right), from the same corner as on the base. (The key is not `on`: older readers take that for
/// true.)
struct kw_hole {
    const struct kw_node *node;
    double size;       ///< diameter (or width of a slot)
    double slot;       ///< overall length of a slot, 0: round
    int runs;          ///< as written: 0 left-right, 1 front-back, 2 up-down
    int slot_along;    ///< 0: along x of its face (base: left-right; flange: along its bend),
                       ///< 1: along y (base: front-back; flange: away from its bend)
    double wide, tall; ///< rectangular cut-out instead of size: extent along x, y of its face
    struct kw_items from_left, from_front, from_bottom; ///< double
    const char *on; ///< flange name, NULL: the base. YAML: flange
    int flange;     ///< index into bends, -1: the base
    int close_fit;  ///< 1: marked by a centre only and drilled later. YAML: make
};

/// `shape: [up 30-5/8, turn 90, across 25-1/4]`: one word with its number. Straights and turns take
/// turns, a straight first and last. A straight's word is up, down, left, right, front, back, or
/// across (the same as right). A turn bends the tube from the way it runs towards the word that
/// follows, by its angle: after `up 20, turn 45, right 10` it leans 45 degrees to the right, and
/// another `turn 45, right 5` lays it flat. 0 < turn < 180 degrees; the word that follows is never
/// along the way the tube runs. Lengths are outside to outside: to the outer apex of each turn.
struct kw_shape_step {
    struct kw_place at;
    char word[16]; ///< "turn" or a direction
    double value;  ///< mm or rad
};
/// The unit vector of a straight's word: x right, y back, z up. False for other words.
bool kw_shape_toward(const char *word, struct kw_vec3 *direction);

struct kw_part {
    const struct kw_node *node;
    const char *name;
    const char *from;
    struct kw_stock stock;
    const char *revision;        ///< default: the kit's
    int each, left, right;       ///< per kit
    int good_side;               ///< 0: neither, 1: up, 2: down
    struct kw_base base;         ///< base.node NULL: none
    struct kw_items bends;       ///< struct kw_flange
    struct kw_items holes;       ///< struct kw_hole
    const char *flat;            ///< path of a drawing in the shop folder, or NULL
    struct kw_region drawing;    ///< outline from it, moved so that its box starts at (0,0)
    struct kw_items drawn_bends; ///< struct kw_drawn_bend
    struct kw_items drawn_marks; ///< struct kw_path: lines to mark, in the drawing's moved frame
    double measure_long, measure_wide; ///< must_measure of the blank, 0: not given
    double die;            ///< tube: centreline radius wanted, 0: the die for the diameter
    struct kw_items shape; ///< struct kw_shape_step: a bent tube
    double length;         ///< a straight piece of tube or bar
    double miter[2];       ///< rad off square at the ends (default 0), -75..75 degrees: both
                           ///< positive, the ends lean towards each other; length at the longest
    const char *bin;       ///< where it is kept, or NULL
    char code[12]; ///< eight hex digits over all that defines the part: what a signature holds to
};
/// A bend line read from a drawing.
struct kw_drawn_bend {
    struct kw_vec2 a, b; ///< centre of the bend zone, in the drawing's moved frame
    int way;             ///< by layer
    double turn, radius; ///< from the kit file, default 90 degrees
    const char *name;   ///< "1", "2", ... left to right, bottom to top; or as named by the kit file
    struct kw_place at; ///< in the drawing
};

struct kw_bag_item {
    int count;
    const char *name; ///< "hex bolt 3/8-16 x 1"
    struct kw_place at;
};
struct kw_bag { ///< `feet: { holds: [8 hex bolt 3/8-16 x 1], spare: 1 of each }`
    const struct kw_node *node;
    const char *name;
    struct kw_items holds; ///< struct kw_bag_item
    int spare;             ///< of each
};
struct kw_signature { ///< a risk taken on knowingly
    const struct kw_node *node;
    const char *risk, *part, *by, *reason, *code; ///< part NULL: the kit itself and its code
    int date;                                     ///< yyyymmdd
};

struct kw_kit {
    const struct kw_node *node;
    const char *name;  ///< YAML: kit
    const char *title; ///< YAML: name
    const char *revision;
    int units;
    struct kw_items parts;        ///< struct kw_part
    struct kw_items bags;         ///< struct kw_bag
    struct kw_items signed_risks; ///< struct kw_signature. YAML: signed
    double price;                 ///< asked price, 0: from the margin
    double weld_time;             ///< s, for the buyer's guide
    char code[12];                ///< as of a part, over all its parts, their counts and its bags
    const char *file;             ///< relative to the shop folder
};

extern const struct kw_form kw_kit_form;

/// Reads one kit file and the drawings it names. `file` is relative to the shop folder, and so are
/// all places. Everything lives in the arena.
enum kw_status kw_kit_read(struct kw_arena *a, const struct kw_shop *shop, const char *folder,
                           const char *file, struct kw_kit **out, struct kw_error *err);
/// The same from bytes; drawings are still read from the folder.
enum kw_status kw_kit_parse(struct kw_arena *a, const struct kw_shop *shop, const char *folder,
                            const char *file, const char *bytes, size_t length, struct kw_kit **out,
                            struct kw_error *err);

struct kw_kits {
    struct kw_kit **v;
    int count;
};
/// Reads kits/*.yaml in order of file name; two kits of one name are refused.
enum kw_status kw_kits_read(struct kw_arena *a, const struct kw_shop *shop, const char *folder,
                            struct kw_kits *out, struct kw_error *err);
struct kw_part *kw_kit_part(const struct kw_kit *kit, const char *name);
struct kw_kit *kw_kits_find(const struct kw_kits *kits, const char *name);

/// One line of orders.csv: `order,kit,part,count,due` (any order of columns, header line first;
/// part empty: the whole kit; else a single part as a spare, "foot" or "side left").
struct kw_order {
    struct kw_place at;
    const char *number;
    int kit;           ///< index into kits
    int part;          ///< index into its parts, -1: the kit
    enum kw_hand hand; ///< of a single part
    int count;
    int due; ///< yyyymmdd
};
struct kw_orders {
    struct kw_order *v;
    int count;
};
/// Comma-separated values (RFC 4180) in UTF-8, with or without a byte order mark. Refused with line
/// and column: unknown kit, part or column, a count that is not 1 to 100000, a date that is none.
/// An order number may come again: one order, several lines.
enum kw_status kw_orders_read(struct kw_arena *a, const struct kw_kits *kits, const char *folder,
                              struct kw_orders *out, struct kw_error *err);

enum kw_status kw_orders_parse(struct kw_arena *a, const struct kw_kits *kits, const char *file,
                               const char *bytes, size_t length, struct kw_orders *out,
                               struct kw_error *err);

/// What a drawing held, with a count of what was mended or passed over.
struct kw_drawing {
    struct kw_region region; ///< box starts at (0,0)
    struct kw_items bends;   ///< struct kw_drawn_bend
    struct kw_items marks;   ///< struct kw_path
    int units;               ///< enum kw_length_unit nearest to what the drawing was read in
    bool units_said;         ///< the drawing names its unit ($INSUNITS); else it was taken from
                             ///< $MEASUREMENT or from the kit file, and a size must be checked
    int joined, dropped, ignored; ///< pieces chained, pieces of no length, texts and the like
    double width, height;         ///< of the box, mm
};
/// Reads a DXF text file (lines, arcs, circles, both polylines with bulges, on layers with roles
/// from the shop; when it names no layer, all is cut). Refused with the line in the file: cut off
/// in the middle, binary, open outline (with the place and size of the gap, in the drawing's own
/// units), more than one outer outline, crossing outlines, a bend line that ends inside, 3D or
/// empty drawing, an unknown layer, a spline, ellipse or block on a layer that counts. At most
/// KW_DXF_MOST_BYTES.
#define KW_DXF_MOST_BYTES (64 * 1024 * 1024)
enum kw_status kw_dxf_read(struct kw_arena *a, const struct kw_shop *shop, const char *path,
                           struct kw_place from, enum kw_length_unit units_if_unsaid,
                           struct kw_drawing *out, struct kw_error *err);
enum kw_status kw_dxf_parse(struct kw_arena *a, const struct kw_shop *shop, const char *file,
                            const char *bytes, size_t length, enum kw_length_unit units_if_unsaid,
                            struct kw_drawing *out, struct kw_error *err);
