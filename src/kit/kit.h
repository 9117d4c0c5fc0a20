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

enum kw_edge {
    KW_EDGE_FRONT,
    KW_EDGE_RIGHT,
    KW_EDGE_BACK,
    KW_EDGE_LEFT,
    KW_EDGE_OF_BEND,    ///< the outer edge of a flange
    KW_EDGE_OF_OUTLINE, ///< `along: edge 3`: of an outline by points, or of a drawing (counted
                        ///< counter-clockwise from the corner at the left, lowest first)
};

/// `base: { long: 6, wide: 3, round: { front-left: 1/4 } }`
struct kw_round { ///< corner radii, mm, 0: sharp
    const struct kw_node *node;
    double front_left, front_right, back_right, back_left;
};
/// A corner of an outline by points: `[6, 3]`, `[6, 3, round 1/2]` or `[6, 3, bow 1/4]`.
struct kw_corner {
    struct kw_vec2 at;
    double round; ///< radius of the corner, 0 sharp
    double bow;   ///< how far the edge to the next corner bows outwards (below 0: inwards) at its
                  ///< middle; at most half its length either way (a half circle)
    struct kw_place place;
};
struct kw_base {
    const struct kw_node *node;
    double length, width; ///< outside, bends at the edges included. YAML: long, wide
    struct kw_round round;
    struct kw_items points; ///< struct kw_corner, counter-clockwise, box starts at (0,0): an
                            ///< outline by corner points instead of long and wide (which then hold
                            ///< its box)
    double circle;          ///< diameter of a round base, 0: none
    int polygon;            ///< number of corners of an even polygon, 0: none
    double across;          ///< of a polygon: between flats, or flat to corner for an odd number
    /// The outline that points, circle or polygon give, lines and arcs, counter-clockwise, box
    /// starts at (0,0); tag of a segment: number of the edge, counted from 1 in the order of the
    /// corners as written (0: a rounded corner). Empty for a base by long and wide.
    struct kw_path outline;
};

enum kw_way { KW_UP, KW_DOWN };

/// `by_hand: { slit: 3/4, web: 3/16 }`: a tab that the buyer bends along a line of slits.
struct kw_hand_tab {
    const struct kw_node *node;
    double slit;  ///< length of a slit
    double web;   ///< metal left between two slits, and at either end
    double width; ///< of a slit, default two kerfs
};

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
    int outline_edge; ///< KW_EDGE_OF_OUTLINE: tag of the segment in the outline
    int measured;     ///< enum kw_measured: what `height` is told to
    int hem;          ///< enum kw_hem; a hem turns by 180 degrees, `turn` is then not given
    double gap;       ///< of an open hem: clear width inside, default the thickness
    double offset;    ///< an offset bend: step between the outside of the face it leaves and the
                      ///< same side of its own, > 0; two equal bends of `turn` (default 45 degrees)
                      ///< one after the other in opposite ways; `height` is then from the start of
                      ///< the step's first bend (outside) to its edge, along the face it leaves
    double round;     ///< radius of its two outer corners, 0 sharp
    double taper_start, taper_end; ///< rad, how far its ends lean inwards from square, for flanges
                                   ///< that meet at a corner
    int corners;                   ///< enum kw_corners
    double corner_gap;             ///< clear of the neighbour there, when they are closed
    struct kw_hand_tab by_hand;    ///< node NULL: bent on the press
};
/// How a flange ends at a corner that it shares with another: as far off as the reliefs leave it,
/// against the other's inside, or flush with the other's outside.
enum kw_corners { KW_CORNERS_BY_RELIEF, KW_CORNERS_BUTT, KW_CORNERS_COVER };

enum kw_measured { KW_MEASURED_OUTSIDE, KW_MEASURED_INSIDE, KW_MEASURED_BEND_LINE };
enum kw_hem { KW_NO_HEM, KW_HEM_CLOSED, KW_HEM_OPEN };

/// `repeat: { count: 5, step: 2 }` a row to the right; `{ count: [5, 3], step: [2, 1-1/2] }` a
/// grid; `{ ring: 6, across: 4 }` a circle of six round the place given, turned with it.
struct kw_repeat {
    const struct kw_node *node;
    int count[2];   ///< to the right, to the back (up a flange); 0: once
    double step[2]; ///< centre to centre
    int ring;       ///< number on a circle, the first to the right of its middle
    double across;  ///< diameter of the circle through their centres
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
    const char *on;     ///< flange name, NULL: the base. YAML: flange
    int flange;         ///< index into bends, -1: the base
    int close_fit;      ///< 1: marked by a centre only and drilled later. YAML: make
    const char *bolt;   ///< `bolt: 3/8` or `bolt: M10`: a clearance hole instead of `size`, which
                        ///< then holds its diameter (kw_clearance_hole)
    int fit;            ///< enum kw_fit
    double neck;        ///< keyhole: width of the narrow slot that runs from the round hole of
                        ///< `size`; `slot` is the overall length. 0: none
    const char *dimple; ///< name of a dimple die of the shop: a flared hole; `size` is then the
                        ///< pre-hole, `dimple_way` the side that the flare stands out on
    int dimple_die;     ///< index into shop->dimple_dies, -1
    int dimple_way;     ///< enum kw_way. YAML: way
    double turn;        ///< rad counter-clockwise about its centre, of slots, cut-outs, keyholes,
                        ///< letters, ornaments
    struct kw_items points; ///< struct kw_corner about the hole's centre: a cut-out of any outline
    struct kw_path cut_out; ///< from points: closed, counter-clockwise, about the centre
    const char *drawing;    ///< path of a drawing cut out as an ornament, or NULL
    double tallness;        ///< height of letters or of the ornament (0: as drawn). YAML: height
    struct kw_region ornament; ///< its outline, centred on its box, scaled; holes are islands that
                               ///< bridges must hold
    const char *letters;       ///< text cut through, or NULL
    const char *font;          ///< installed face, NULL: the shop's
    double bridge; ///< width of the bridges that hold islands, default by the table of rules
    struct kw_repeat repeat; ///< rows, grids and rings of it
    int mirror;              ///< enum kw_mirror: further copies mirrored about the face's middle
};

enum kw_fit { KW_FIT_NORMAL, KW_FIT_CLOSE, KW_FIT_LOOSE };
enum kw_mirror { KW_MIRROR_NEITHER, KW_MIRROR_LEFT_RIGHT, KW_MIRROR_FRONT_BACK, KW_MIRROR_BOTH };

/// Diameter of the clearance hole for a bolt size ("M10", "3/8", "#10"): ISO 273 (fine, medium,
/// coarse) and ASME B18.2.8 (close, normal, loose). False when the size is in neither table.
bool kw_clearance_hole(const char *bolt, enum kw_fit fit, double *diameter);

/// Every place of one hole in its face's own coordinates: from_left x from_front (or from_bottom),
/// repeated, turned and mirrored; `flip` mirrors x of its shape. Lives in the arena.
struct kw_hole_spot {
    struct kw_vec2 at; ///< base frame on the base; on a flange (along its edge in the base's
                       ///< coordinate, up from the bottom)
    double turn;       ///< rad
    bool flip;
};
struct kw_part;
struct kw_hole_spot *kw_hole_spots(struct kw_arena *a, const struct kw_part *part,
                                   const struct kw_hole *hole, int *count);

/// `marks: [{ text: FRONT, height: 1/2, from_left: 3, from_front: 1 }, { line: [[0, 1], [6, 1]]
/// }]`: etched, not cut through.
struct kw_mark {
    const struct kw_node *node;
    const char *text;     ///< in a single-stroke face; "name": the part's own. NULL: a line
    double height;        ///< of its capitals, default 1/2 in
    struct kw_items line; ///< struct kw_corner: an open line, face coordinates
    double from_left, from_front, from_bottom; ///< lower left of the text
    double turn;                               ///< rad
    const char *on;                            ///< flange name, NULL: the base. YAML: flange
    int flange;                                ///< index into bends, -1
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
/// `points: [[0, 0, 0], [0, 0, 30], [25, 0, 30, radius 6], [25, 0, 0]]`: a bent tube by the points
/// where the centrelines of its straights meet, x right, y back, z up.
struct kw_tube_point {
    double at[3];
    double radius; ///< of the bend there, to the centreline; 0: the part's die
    struct kw_place place;
};
/// `bend_table: [{ straight: 8, angle: 90 }, { straight: 6, rotate: 90, angle: 45 }, { straight: 8
/// }]`: a bent tube as the bender counts it. The last row is the straight after the last bend.
struct kw_bender_row {
    const struct kw_node *node;
    double straight; ///< between the bends' ends
    double rotate;   ///< rad, before the bend, counter-clockwise seen from the clamp
    double angle;    ///< rad from straight; 0: the last row
    double radius;   ///< to the centreline; 0: the part's die
};
/// `ends: { start: { cope: { onto: post, angle: 60 }, turn: 90 }, end: { miter: 45 } }`: how the
/// two ends of a tube or bar are cut. Round the piece, turns count counter-clockwise as seen
/// looking at the start from outside, from the reference line: up where the piece lies with its
/// length to the right; of a bent tube the outside of its first bend.
struct kw_cope {
    const struct kw_node *node;
    const char *onto; ///< diameter of the round tube it is cut for, or the name of a part of it
    double diameter;  ///< from onto
    double angle;     ///< between the two tubes, default 90 degrees
    double offset;    ///< between their axes
};
/// A cut that follows from where two pieces stand (check works it out, not written in the part):
/// a saddle, or with `onto` 0 a flat cut that far off square.
struct kw_fitted_cut {
    bool is;
    double onto, angle, offset; ///< as of a cope
    double miter;               ///< rad off square
    double turn;                ///< rad, counter-clockwise looking at this end from outside it
};
struct kw_end {
    const struct kw_node *node;
    struct kw_cope cope;
    struct kw_fitted_cut fit; ///< instead of the cope, where both parts stand in the assembly
    double miter;             ///< rad off square
    double turn;              ///< rad: where the cut's own first line lies
    double flatten;           ///< length that is pressed flat, 0: none
};
struct kw_ends {
    const struct kw_node *node;
    struct kw_end start, end;
};
/// `drill: [{ size: 7/16, from_start: [2, 10], turn: 90, sides: both }]`: holes along a tube or bar
/// and around it.
struct kw_drill {
    const struct kw_node *node;
    double size;
    struct kw_items from_start, from_end; ///< double: one of the two
    double turn;                          ///< rad from the reference line
    int both;                             ///< 0: one wall, 1: through both
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
    struct kw_items sheet_turns; ///< double: rad that its blank may be turned by on a sheet; none
                                 ///< and no step: quarter turns
    double sheet_turn_step;      ///< rad: any multiple of it, 0: not given
    struct kw_base base;         ///< base.node NULL: none
    struct kw_items bends;       ///< struct kw_flange
    struct kw_items holes;       ///< struct kw_hole
    struct kw_items marks;       ///< struct kw_mark
    struct kw_items tabs, slots; ///< struct kw_joint_tab, struct kw_joint_slot: from the kit's
                                 ///< joints (kw_assembly_make fills them), not written in the part
    struct kw_items gripped;  ///< const char *: edges that a hand takes, as in `along` of a flange,
                              ///< or a flange's name for its outer edge
    int old_stock;            ///< enum kw_old_stock: what becomes of pieces of older revisions
    const char *option;       ///< only in kits with that option. YAML: with
    const char *not_option;   ///< only in kits without that option. YAML: without
    const char *flat;         ///< path of a drawing in the shop folder, or NULL
    struct kw_layers layers;  ///< what its layers are for, before the shop's `layers`
    struct kw_region drawing; ///< outline from it, moved so that its box starts at (0,0)
    struct kw_items drawn_bends; ///< struct kw_drawn_bend
    struct kw_items drawn_marks; ///< struct kw_path: lines to mark, in the drawing's moved frame
    int drawn_joined, drawn_dropped, drawn_ignored; ///< as of a kw_drawing
    double measure_long, measure_wide;              ///< must_measure of the blank, 0: not given
    double die;                 ///< tube: centreline radius wanted, 0: the die for the diameter
    struct kw_items shape;      ///< struct kw_shape_step: a bent tube
    struct kw_items points;     ///< struct kw_tube_point: the same said by points
    struct kw_items bend_table; ///< struct kw_bender_row: the same as the bender counts it
    double length;              ///< a straight piece of tube or bar
    double miter[2];            ///< rad off square at the ends (default 0), -75..75 degrees: both
                     ///< positive, the ends lean towards each other; length at the longest
    double longer[2];      ///< mm that fitted ends reach beyond start and end as written (check)
    struct kw_ends ends;   ///< of tube and bar; node NULL: square or by miter
    struct kw_items drill; ///< struct kw_drill
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

// ------------------------------------------------------------------------------------------------
// assembled kit: where parts stand, and what joins them

/// `assembly: { front: { part: long-panel, at: [0, 0, 0], turns: [x 90, z 180] } }`: one piece of a
/// part where it stands in the finished product. The part's own frame (base: kit.h above) is turned
/// about the product's axes one after the other and then moved.
struct kw_standing {
    const struct kw_node *node;
    const char *name;
    const char *part;
    int part_index; ///< into kit->parts
    int hand;       ///< enum kw_hand
    double at[3];
    struct kw_items turns; ///< struct kw_axis_turn
};
struct kw_axis_turn {
    int axis; ///< 0 x, 1 y, 2 z
    double angle;
};
/// `joints: { j1: { tab: front.right, slot: post, tabs: 2, wide: 1 } }`: tabs on an edge of one
/// piece through slots in a face of another, declared once; sizes and places follow from where the
/// two stand.
struct kw_joint {
    const struct kw_node *node;
    const char *name;
    const char *tab, *slot; ///< "PIECE.EDGE" (front, right, back, left, a flange's name, "edge 3"),
                            ///< "PIECE" or "PIECE.FLANGE"
    int tabs;               ///< how many, default 2
    double wide;            ///< of a tab, 0: by the table of rules
    int tab_piece, slot_piece; ///< index into kit->assembly
};
/// A tab on an edge of a part's face, as a joint gives it; face coordinates as of a hole.
struct kw_joint_tab {
    const struct kw_joint *joint;
    int flange; ///< index into bends whose outer edge carries it, -1: the base
    int edge;   ///< enum kw_edge or KW_EDGE_OF_OUTLINE
    int outline_edge;
    double middle;      ///< from the first end of the edge (metal on the left), mm
    double wide, reach; ///< along the edge; how far it stands out
    double clip;        ///< cut off its two corners
};
/// A slot in a part's face for such a tab.
struct kw_joint_slot {
    const struct kw_joint *joint;
    int flange;        ///< index into bends, -1: the base
    struct kw_vec2 at; ///< middle, face coordinates as of a hole
    double turn;       ///< rad of its long side
    double length, wide;
};
/// `welds: [{ between: [front, post], size: 1/8, stitch: 1, every: 4 }]`
struct kw_weld {
    const struct kw_node *node;
    struct kw_items between;    ///< const char *: two pieces
    double size, stitch, every; ///< 0: by the table of rules
    int pieces[2];
};

/// A size of the kit: `sizes: { "24": { width: 24, shelves: 2 } }`; every key is a name that may
/// stand in lengths, counts and plain sums all over the kit. `dimensions:` holds those that do not
/// change.
struct kw_kit_size {
    const char *name;
};
struct kw_kit_option { ///< `options: { shelf: { normally: without } }`
    const struct kw_node *node;
    const char *name;
    const char *title;
    int normally; ///< 0 with, 1 without
};
const char *kw_old_stock_text(int old_stock); ///< "use up first", NULL when nothing is said
enum kw_old_stock { KW_OLD_UNSAID, KW_OLD_USE_UP, KW_OLD_REWORK, KW_OLD_SCRAP };

struct kw_kit {
    const struct kw_node *node;
    const char *name;   ///< YAML: kit. With sizes or options other than usual: "planter-24",
                        ///< "planter-24-with-shelf"
    const char *family; ///< as written in the file: "planter"
    const char *size;   ///< "24", NULL: the kit comes in one size
    const char *title;  ///< YAML: name; the size is added behind it
    const char *revision;
    int units;
    struct kw_items parts;        ///< struct kw_part
    struct kw_items bags;         ///< struct kw_bag
    struct kw_items signed_risks; ///< struct kw_signature. YAML: signed
    struct kw_items sizes;        ///< struct kw_kit_size, in the order of the file
    struct kw_items options;      ///< struct kw_kit_option
    struct kw_items assembly;     ///< struct kw_standing
    struct kw_items joints;       ///< struct kw_joint
    struct kw_items welds;        ///< struct kw_weld
    const char *size_measured;    ///< "long-panel long": the finished size that must equal the
                                  ///< size's name in the file's unit (checked), or NULL
    int old_stock;                ///< enum kw_old_stock, for parts that say none
    double price;                 ///< asked price, 0: from the margin
    double weld_time;             ///< s, for the buyer's guide
    char code[12];                ///< as of a part, over all its parts, their counts and its bags
    const char *file;             ///< relative to the shop folder
};

extern const struct kw_form kw_kit_form;

struct kw_kit_choice {
    struct kw_place at, options_at; ///< of who asks for the size and options, for messages
    const char *size;               ///< NULL: the first
    const char *const *with;        ///< options taken, besides those that are normally in
    int with_count;
    const char *const *without; ///< options left out
    int without_count;
};

/// Reads one kit file and the drawings it names. `file` is relative to the shop folder, and so are
/// all places. Everything lives in the arena.
/// `choice` NULL: the first size, options as they normally are.
enum kw_status kw_kit_read(struct kw_arena *a, const struct kw_shop *shop, const char *folder,
                           const char *file, const struct kw_kit_choice *choice,
                           struct kw_kit **out, struct kw_error *err);
/// The same from bytes; drawings are still read from the folder.
enum kw_status kw_kit_parse(struct kw_arena *a, const struct kw_shop *shop, const char *folder,
                            const char *file, const char *bytes, size_t length,
                            const struct kw_kit_choice *choice, struct kw_kit **out,
                            struct kw_error *err);

struct kw_kits {
    struct kw_kit **v;
    int count;
    const struct kw_shop *shop;
    const char *folder;
};
/// Reads kits/*.yaml in order of file name, one kit a size; two kits of one name are refused.
enum kw_status kw_kits_read(struct kw_arena *a, const struct kw_shop *shop, const char *folder,
                            struct kw_kits *out, struct kw_error *err);
/// The kit of another size or with other options than `like`, read and added when it is not there
/// yet. *index: into kits->v.
enum kw_status kw_kits_choose(struct kw_arena *a, struct kw_kits *kits, struct kw_kit *like,
                              const struct kw_kit_choice *choice, int *index, struct kw_error *err);
int kw_flange_named(const struct kw_part *part, const char *name); ///< index into bends, -1: none
struct kw_part *kw_kit_part(const struct kw_kit *kit, const char *name);
/// "side left" as orders and run.json say it: "side", in the arena, and its hand; KW_EACH without.
const char *kw_part_in_hand(struct kw_arena *a, const char *said, enum kw_hand *hand);
/// By its name, else the first size of the family of that name; NULL.
struct kw_kit *kw_kits_find(const struct kw_kits *kits, const char *name);

/// One line of orders.csv: `order,kit,size,options,part,count,due` (any order of columns, header
/// line first; size and options may be left out; part empty: the whole kit; else a single part as a
/// spare, "foot" or "side left"). kit: the file's `kit:`, or with its size as kw_kit.name. options:
/// "with shelf, without lid".
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
enum kw_status kw_orders_read(struct kw_arena *a, struct kw_kits *kits, const char *folder,
                              struct kw_orders *out, struct kw_error *err);

enum kw_status kw_orders_parse(struct kw_arena *a, struct kw_kits *kits, const char *file,
                               const char *bytes, size_t length, struct kw_orders *out,
                               struct kw_error *err);

/// What a layer of that name is for, upper and lower case and all ways to write a colour alike:
/// "cut", "bend up", "bend down", "mark", "ignore"; NULL: nothing.
const char *kw_layer_role(const struct kw_layers *layers, const char *layer);
/// `own` before `others`: what `own` names keeps its role there, all other names that of `others`.
/// Lists in the arena, names borrowed.
struct kw_layers kw_layers_over(struct kw_arena *a, const struct kw_layers *own,
                                const struct kw_layers *others);

/// What a drawing held, with a count of what was mended or passed over.
struct kw_drawing {
    struct kw_region region; ///< box starts at (0,0)
    struct kw_items bends;   ///< struct kw_drawn_bend
    struct kw_items marks;   ///< struct kw_path
    int units;               ///< enum kw_length_unit nearest to what the drawing was read in
    bool units_said;         ///< the drawing names its unit ($INSUNITS, width="120mm"); else it was
                     ///< taken from $MEASUREMENT, pixels or the kit file, and a size must be
                     ///< checked
    int joined, dropped, ignored; ///< pieces chained, pieces of no length, texts and the like
    double width, height;         ///< of the box, mm
};
/// Reads a DXF text file of release 12 to 2018: lines, arcs, circles, both polylines with bulges,
/// ellipses and splines (which become arcs within 0.02 mm), in blocks that are moved, turned,
/// scaled, mirrored, repeated and nested, on layers with roles (when none has one, all is cut; what
/// is drawn on layer 0 of a block is on the layer of its insert). Passed over and counted: paper
/// space, what is hidden, layers that are frozen or off, texts and the like. Pieces without length
/// and pieces drawn twice are dropped and counted. Refused with the line in the file: cut off in
/// the middle, binary, open outline (with the place and size of the gap, in the drawing's own
/// units), more than one outer outline, crossing outlines, a bend line that ends inside, 3D or
/// empty drawing, an unknown layer, a block that holds itself, and what is none of these entities
/// on a layer that counts. At most KW_DXF_MOST_BYTES.
#define KW_DXF_MOST_BYTES (64 * 1024 * 1024)
enum kw_status kw_dxf_read(struct kw_arena *a, const struct kw_layers *layers, const char *path,
                           struct kw_place from, enum kw_length_unit units_if_unsaid,
                           struct kw_drawing *out, struct kw_error *err);
enum kw_status kw_dxf_parse(struct kw_arena *a, const struct kw_layers *layers, const char *file,
                            const char *bytes, size_t length, enum kw_length_unit units_if_unsaid,
                            struct kw_drawing *out, struct kw_error *err);
/// Reads an SVG file (1.1, and what 2 says the same): paths with all their letters, rectangles with
/// round corners, circles, ellipses, lines, polylines, polygons; groups, nested views, `use` of
/// what is in the file; transforms. Curves become arcs as above; arcs of circles stay arcs. A
/// layer's name is the nearest id, label or class that the shop knows, else the colour of the
/// line (or of the filling where there is no line); a drawing without any of these, in one colour,
/// is cut whole. An open filled shape without a line is closed. Passed over and counted: what is
/// not displayed, texts, pictures. The size is that of width and height, 96 px to the inch;
/// units_said when one of them is in mm, cm, in, pt, pc or Q. Refused with the line: as for DXF,
/// and what is clipped or masked, entities, references to other files. At most KW_SVG_MOST_BYTES.
#define KW_SVG_MOST_BYTES (64 * 1024 * 1024)
enum kw_status kw_svg_parse(struct kw_arena *a, const struct kw_layers *layers, const char *file,
                            const char *bytes, size_t length, struct kw_drawing *out,
                            struct kw_error *err);
