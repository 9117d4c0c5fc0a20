// SPDX-License-Identifier: Apache-2.0
// shape: from a sheet part as described to its blank and its folded body. Bend arithmetic; the tree
// of faces and bends; flat and folded frames; watertight mesh. One structure that mesh, blank,
// brake and browser read.
//
//   body = faces and bends in topological order, face 0 (the base) fixed.
//   flat:   one rigid map a face in the plane (face frame -> blank frame)
//   folded: one rigid map a face in space at t in 0..1 (0 flat, 1 finished)
//
// Face frame of the base: kit.h. Face frame of a flange: x along the bend line, y away from it
// (outwards); y = 0 at the flange's outside corner, so that y reads as `from_bottom`, for turns up
// to 90 degrees; beyond 90 y = 0 at the outside tangent (the leg is measured to it, as DIN 6935
// does). z = 0 is the face that was up in the blank; the metal lies below it (z in -thickness..0).
// On the four sides of the base's box x is the base's own coordinate, counted from the end of the
// side (its outside corner), so that holes in the base and in the flanges along one edge line up by
// the same number; a flange on a flange keeps its parent's x. On other edges x = 0 at the edge's
// end; numbers along a flange told by `edge N` count from the edge's start, as the outline runs
// (x = start - number). Where a rounding stands at an edge's end, the edge is counted to where its
// line meets its neighbour's. kw_body_told knows all this.
//
// Blank frame: the base's axes, moved so that the blank's box starts at (0,0). The axes of a
// drawing are those of its base too: its largest flat is face 0, its other flats have x along their
// bend line. Flanges may stand on any straight edge of a drawing; a bend line that runs into one of
// them is a finding.
//
// An offset bend is two bends with a flat between, one after the other in opposite ways: faces and
// bends stand between parent and flange like those of a flange on a flange. A tab bent by hand is a
// bend with slits along its line; what the shop ships has it flat (kw_body_fold_shipped).
//
// Rules for what the kit file does not say:
// - Relief: a bend that ends inside an edge gets a rectangular notch of width kw_relief and a depth
//   of half of it (at least 1/32 in) past the tangent line (extent past the tangent line: FAA
//   AC 65-15A, 1/32 to 1/16 in; the width is common practice, no source). Where the land between
//   notch and corner would be narrower than the thickness, the notch runs out to the corner.
// - Two flanges that meet at a corner that stands out (neither leaves a land as wide as the
//   thickness beyond the other's bend zone and its own notch) are both shortened: each ends at
//   least one relief width before the crossing of the tangent lines, more where the corner is so
//   sharp that their ends would come closer to each other, and the corner between them is cut to
//   that crossing, rounding or not. Flanges that turn further than 90 degrees, or carry flanges,
//   may still meet further up: kw_body_clash tells.
// - At an inner corner two flanges each keep, with all that stands on them and as far out as they
//   reach on the blank, half a relief width to their side of the line that halves the corner; the
//   tapers told for them count. Up to 60 degrees inwards, and at corners of less than 20 outwards,
//   they share one notch. One flange alone keeps a relief width, and clear of an edge that comes
//   back at it.
// - At a rounded corner, and beside a curve, a flange ends one relief width before it.
// - A closed hem keeps an inside radius of 0.1 thickness and takes 0.43 thickness from the sum of
// the
//   legs (common practice, no source). An open hem has half its gap as radius.
// - Height of an offset bend: from the outside corner of its first bend to its edge, along the face
//   it leaves; `from_bottom` on it counts from there too.
#pragma once

#include "base/base.h"
#include "geom/geom.h"
#include "kit/kit.h"
#include "shop/shop.h"

// ---------------------------------------------------------------------------------- bend
// arithmetic

/// K factor (0..0.5) for inside radius r and thickness t under the shop's rule: a constant; DIN
/// 6935 k/2 with k = 0.65 + 0.5 log10(r/t), at most 1; or by radius over thickness (air bending,
/// soft: r < t 0.33, t..3t 0.40, beyond 0.50; encyclopaedia table, check-values 1.1).
double kw_bend_k(const struct kw_bending *rule, double r, double t);
/// K for a bend in this stock, and where it came from, in this order: the shop's measured coupons
/// for the stock and die ("coupons (7)"), its bend table ("table"), the rule ("rule"). What was
/// measured or written is the deduction at 90 degrees (or the allowance, or K): K is what gives it
/// back with radius r. `die`: index into shop->press.dies, -1 none. The measured values hold for
/// the radius that the die gives: see kw_bend_die_gives.
double kw_bend_k_of(const struct kw_shop *shop, const struct kw_stock *stock, int die, double r,
                    const char **source);
/// K that makes the deduction of a bend of 90 degrees.
double kw_bend_k_from_deduction(double deduction, double r, double t);
/// Whether inside radius r is what a die gives that gives `natural`: within a quarter of r or 0.3
/// mm.
bool kw_bend_die_gives(double natural, double r);
/// Length of the neutral line: angle (r + K t). angle in radians from flat.
double kw_bend_allowance(double angle, double r, double t, double k);
/// Outside setback (r + t) tan(angle/2) for turns up to 90 degrees; r + t beyond (leg to the
/// outside tangent, DIN 6935).
double kw_bend_setback(double angle, double r, double t);
/// What a bend takes from the sum of the outside legs: 2 setback - allowance.
double kw_bend_deduction(double angle, double r, double t, double k);
/// Inside radius that air bending over die opening V gives: 0.16 V for mild steel (20 % rule;
/// values by family with their sources in bend.c), not less than the punch nose.
double kw_bend_natural_radius(int family, double opening, double nose);

/// Force (N) that bends a tab by hand, at `arm` mm from the bend line, by the plastic moment of the
/// webs between its slits: yield (MPa), their width together and the thickness in mm.
double kw_hand_force(double yield, double webs, double t, double arm);

/// Width of the relief notch at the end of a bend: the largest of thickness, 1/16 in, 1.5 kerfs.
double kw_relief(double thickness, double kerf);

// ---------------------------------------------------------------------------------- the body

/// Tag of the segments of a face's outline that lie on a tangent line: this plus the bend's index.
#define KW_TANGENT_TAG 1000000
/// Tag of the slits of tabs bent by hand: this plus a running number.
#define KW_SLIT_TAG 300000

/// Tags of the blank's segments that come from the kit's joints: of a tab, this plus its index in
/// part->tabs; of a slot, this plus its index in part->slots.
#define KW_TAB_TAG  500000
#define KW_SLOT_TAG 400000

struct kw_face {
    int bend;               ///< index of the bend that joins it to its parent; -1: face 0
    struct kw_region shape; ///< flat part between tangent lines, face frame, with the holes that
                            ///< lie wholly in it (what crosses a tangent line is in the blank only)
    struct kw_move2 flat;   ///< face frame -> blank frame
    double start;           ///< of a flange: x of the place that numbers along it count from
    bool backwards;         ///< they run against x
    double bottom;          ///< y of the place that `from_bottom` counts from
};

enum kw_bend_kind {
    KW_BEND_PLAIN,
    KW_BEND_HEM,    ///< turned to about 135 degrees on the die and then flattened
    KW_BEND_OFFSET, ///< one of the two bends of an offset bend: see `twin`
    KW_BEND_HAND,   ///< by the buyer along slits: stays flat in this shop
};

struct kw_bend {
    const char *id;    ///< "A", or as the drawing numbers it; of an offset bend "A/1" and "A/2"
    int kind;          ///< enum kw_bend_kind
    int twin;          ///< index of the other bend of an offset bend, -1 none
    int parent, child; ///< faces
    int flange;        ///< index into part->bends, -1: from a drawing
    int drawn;         ///< index into part->drawn_bends, -1: a described flange
    struct kw_vec2 from,
        to;        ///< centre of the bend zone, blank frame; the child is on the left of from -> to
    double angle;  ///< rad from flat, > 0
    double radius; ///< inside
    double allowance, setback, deduction, k;
    const char *source;  ///< of the allowance: "coupons (7)", "table", "rule"
    int way;             ///< enum kw_way, seen on the blank with its up side up
    double legs[2];      ///< outside leg on the parent's and child's side, to the next bend or edge
    double flat_legs[2]; ///< the same from the centre of the bend zone on the blank
    double length;       ///< of the bend line
    double grows[2];     ///< how far the child's flat reaches beyond the line's two ends, from a
                         ///< notch above the bend on: it closes a corner
    double hole_gap;     ///< part of it that is open (holes, slots on the line)
    bool mates;
    int die; ///< index into shop->press.dies that the radius was taken from, -1 none
    struct kw_place at;
};

struct kw_body {
    const struct kw_part *part;
    double thickness;
    struct kw_face *faces;
    int face_count;
    struct kw_bend *bends;
    int bend_count;
    struct kw_region blank; ///< outer and holes, lines and arcs, blank frame
    double area;            ///< net, mm2, exact
    double mass;            ///< kg: area, thickness, density
    int slit_count;         ///< holes of the blank that are slits of tabs bent by hand
    struct kw_box3 folded;  ///< box of the finished part, frame of face 0, exact
    struct kw_box3 shipped; ///< the same with tabs bent by hand still flat
    struct kw_path
        *marks;     ///< open lines to mark, blank frame: those of the drawing, and a cross of
    int mark_count; ///< KW_CENTRE_MARK_MM at each close-fit hole, which is not cut
    struct kw_body_text *texts; ///< which of the marks are letters
    int text_count;
    struct kw_dimple_spot *dimples;
    int dimple_count;
    struct kw_lettering *letterings;
    int lettering_count;
};
/// A text among the marks, so that the other hand can be marked with letters that read.
struct kw_body_text {
    int first, count; ///< its strokes among the marks
    const char *text;
    double height, width; ///< mm, of capitals and of all of it
    struct kw_move2 at;   ///< from the text's own frame (baseline from 0, 0) to the blank frame
    bool name;            ///< it is the part's own name: the other hand has another
};
/// What is thin about letters or an ornament that are cut through.
struct kw_lettering {
    int hole;            ///< index into part->holes
    double least_stroke; ///< mm that the torch must fit through
    double least_web;    ///< mm of metal between two openings
};
/// A flared hole where it lies.
struct kw_dimple_spot {
    int hole;          ///< index into part->holes
    int die;           ///< index into shop->dimple_dies
    int face;          ///< index into faces
    struct kw_vec2 at; ///< blank frame
    int way;           ///< enum kw_way: side on which it stands out, seen on the blank, up side up
};
#define KW_CENTRE_MARK_MM 6.35 ///< 1/4 in from end to end

/// Builds the body of a sheet part. The inside radius of a bend without one of its own is the
/// natural radius of the die that its thickness calls for (8 t rule, nearest in the rack; no die: r
/// = t). Tags of the blank's segments: 1 + index of the hole for holes (those of a drawing come
/// after the described ones, those of slits KW_SLIT_TAG on), 1000 + bend index for the
/// sides of flanges, 0 else. A drawing's outline keeps its own tags. Impossible shapes (a flange
/// shorter than its setback, a blank that overlaps itself, a bend line that does not split the
/// drawing, a cycle) are `stop` findings and *out stays NULL.
void kw_body_make(struct kw_arena *a, const struct kw_shop *shop, const struct kw_kit *kit,
                  const struct kw_part *part, struct kw_findings *findings, struct kw_body **out);

/// The lines to mark on the blank of either hand, in that hand's blank frame. Letters run the way
/// they are read on both; *count of them, in the arena.
struct kw_path *kw_body_marks(struct kw_arena *a, const struct kw_body *body, bool other_hand,
                              int *count);
/// The face of a flange (index into part->bends; of an offset bend the one beyond both bends); 0
/// for -1, the base.
int kw_body_flange_face(const struct kw_body *body, int flange);
/// Whether a segment of the blank's outer outline lies on an edge as the kit file tells it: a side
/// of the base, "edge 3" of its outline or drawing, or a flange's name for its outer edge.
bool kw_body_on_edge(const struct kw_body *body, int segment, const char *name);
/// From places as they are told on a flange (along its edge by from_left or from_front, up from its
/// bottom) to that face's frame; the base's (-1) own are its frame.
struct kw_move2 kw_body_told(const struct kw_body *body, int flange);

/// What a bend without a radius of its own is made with.
struct kw_bend_tool {
    int die;       ///< index into shop->press.dies, -1 none
    double radius; ///< inside, that results; 0: as kw_body_make takes it
};
/// kw_body_make with the tools that the brake has chosen: one for each of part->bends, then one for
/// each of part->drawn_bends.
void kw_body_make_with(struct kw_arena *a, const struct kw_shop *shop, const struct kw_kit *kit,
                       const struct kw_part *part, const struct kw_bend_tool *tools,
                       struct kw_findings *findings, struct kw_body **out);

/// Whether two flats or bend zones of the finished part run into each other, deeper than 0.1 mm:
/// prisms over the triangles of their outlines and over steps of the bends, by separating axes.
/// What a bend joins is not compared with one another: a hem lies on its parent. A bend zone is
/// told by its child's face. *at is a point of the meeting, frame of face 0.
bool kw_body_clash(const struct kw_body *body, int faces[2], struct kw_vec3 *at);

/// Whether a hole of the blank is a slit of a tab bent by hand.
bool kw_body_is_slit(const struct kw_body *body, const struct kw_path *hole);

/// The other hand: the blank mirrored (x -> -x, then moved so that its box starts at the same
/// corner), up stays up. For parts sold left and right the description is the left hand.
struct kw_region kw_body_other_hand(struct kw_arena *a, const struct kw_body *body);
/// From the first hand's blank frame to the other hand's.
struct kw_move2 kw_body_hand_move(const struct kw_body *body);
/// A point of the other hand's blank in that of the first.
struct kw_vec2 kw_body_to_first_hand(const struct kw_body *body, struct kw_vec2 p);
/// Bend lines of either hand in the blank frame of that hand.
void kw_body_bend_line(const struct kw_body *body, int bend, bool other_hand, struct kw_vec2 *from,
                       struct kw_vec2 *to);

/// Motion of each face (face_count entries) from its face frame (z up) to the frame of face 0 at
/// `t`. In between, the neutral line keeps its length: each bend turns by angle t round a radius
/// that shrinks from infinite to the finished one.
struct kw_move3 *kw_body_fold(struct kw_arena *a, const struct kw_body *body, double t);
/// The flat that `face` is part of while tabs bent by hand are flat: its outline in the blank
/// frame, and the face of it that stands nearest to the base.
struct kw_path kw_body_shipped_flat(struct kw_arena *a, const struct kw_body *body, int face,
                                    int *first);
/// With each bend at its own part of its turn, as kw_body_mesh_each has it.
struct kw_move3 *kw_body_fold_each(struct kw_arena *a, const struct kw_body *body,
                                   const double *turns);
/// The finished form with tabs bent by hand still flat: as the part leaves the shop.
struct kw_move3 *kw_body_fold_shipped(struct kw_arena *a, const struct kw_body *body);
/// Watertight mesh at `t`, bends in at most `step` radians (two steps or more), frame of face 0.
/// Its volume is faces x thickness + for each bend angle x thickness x (radius + thickness/2) x
/// length (t < 1: a bend is thickness x length x (allowance + angle t (1/2 - K) thickness)): the
/// inner points of a bend's arcs lie outside the true radius by the factor that makes the section's
/// area exact (1.0014 for steps of 5 degrees). A bend zone of a drawing whose ends are not straight
/// is drawn with straight ones, and holes that cross a tangent line are left out. Round holes and
/// corners are chords within KW_CHORD_MM. False when a face can't be triangulated.
bool kw_body_mesh(struct kw_arena *a, const struct kw_body *body, double t, double step,
                  struct kw_mesh *out);
/// The same with its edges to draw as lines: pairs of points of the mesh. Points, triangles and
/// lines are the same in number and order at every `t`, so that a picture can move between them.
bool kw_body_mesh_lined(struct kw_arena *a, const struct kw_body *body, double t, double step,
                        struct kw_mesh *out, int (**lines)[2], int *line_count);
/// The same with each bend at its own part of its turn (bend_count entries; 0 flat, 1 finished, a
/// little more under load): the part between two strokes.
bool kw_body_mesh_each(struct kw_arena *a, const struct kw_body *body, const double *turns,
                       double step, struct kw_mesh *out, int (**lines)[2], int *line_count);
/// The middle of a bend with those turns, frame of face 0: the point on its outside that lies
/// deepest in the die, the way along the sheet there to the child's side, and the way from it to
/// the punch. Unit vectors, square to each other and to the bend line.
struct kw_bend_middle {
    struct kw_vec3 at, to_child, inwards;
};
struct kw_bend_middle kw_body_bend_middle(const struct kw_body *body, const double *turns,
                                          int bend);
/// kw_body_mesh of the part as it leaves the shop.
bool kw_body_mesh_shipped(struct kw_arena *a, const struct kw_body *body, double step,
                          struct kw_mesh *out);
/// Edges for a line picture of the folded part: closed chains of points in the base frame.
struct kw_edge3 {
    struct kw_vec3 a, b;
};
struct kw_edge3 *kw_body_edges(struct kw_arena *a, const struct kw_body *body, double t,
                               int *count);
