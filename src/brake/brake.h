// SPDX-License-Identifier: Apache-2.0
// brake: from one part's bends, the shop's press and its tools to a list of strokes: which bends in
// one stroke, in which order, with which punch and die, where the gauge stands, how deep, with what
// force, and what can't be done here. Pure: no files, no clock, no knowledge of kits.
//
// The order is the cheapest of all that can be bent: best-first search over the bends done, the
// edge at the gauge and the tools (search.c), with the folded part against punch, die, ram and bed
// in three dimensions (hit.c), the gauge's fingers and the side frames, and something left to hold
// before the die. A hem is two strokes: bent over sharp tools, then flattened between flats.
// Dimensions that mate come first, then seconds count, then a rule breaks ties: the outermost bends
// first, then the shorter leg, then the lower index. Where no order is free of collisions the
// rule's order is given with a stop that names bend, tool and place, and what was tried and helps.
// Free of collisions means that half a millimetre is left through the whole stroke. Where no order
// has that, one is looked for that keeps a tenth, in as few strokes as can be: each is a risk that
// tells what is left, and where; the first also what was tried and gives the full clearance.
//
// Frames. Blank: +x right, +y up, +z towards the reader (the good side of a part with one); bottom
// face of the flat sheet at z = 0, top at z = thickness. A stroke's own frame: u away from the
// die's centre line towards the gauge, z up from the die's top face, on which the sheet lies.
#pragma once

#include "base/base.h"
#include "geom/geom.h"

// ------------------------------------------------------------------------------------------ input

struct kw_brake_material {
    double thickness;     ///< mm, > 0
    double tensile;       ///< ultimate strength, MPa, > 0
    double yield;         ///< MPa; 0: no springback is computed
    double modulus;       ///< MPa; 0: 200 000 (steel)
    double natural_ratio; ///< inside radius of an air bend over die opening; 0: 0.16 (mild steel)
    double least_radius;  ///< mm; inside radius below which it cracks; 0: not known, not checked
};

/// A value of 0 means "not known": what depends on it is not checked, but for the rating and the
/// gauge: no rating and no gauge are a stop.
struct kw_brake_press {
    double rating;          ///< N
    double bed_length;      ///< mm
    double between_frames;  ///< mm
    double throat;          ///< mm from the die's centre line back to the side frames, which stand
                            ///< there from floor to top, between_frames apart
    double open_height;     ///< mm, bed to ram with no tools, ram up
    double stroke;          ///< mm
    double gauge_min_x;     ///< mm from the die's centre line
    double gauge_max_x;     ///< mm; 0: there is no back gauge
    double gauge_min_r;     ///< mm above the die's top face (negative: below)
    double gauge_max_r;     ///< mm; equal to gauge_min_r: the height is fixed there
    double finger_height;   ///< mm; 0: 10
    double finger_width;    ///< mm along the bend; 0: 25
    double finger_depth;    ///< mm front to back; 0: 60
    double fingers_least;   ///< mm from centre to centre as near as two go; 0: one width
    double fingers_most;    ///< mm as far as they go; 0: any
    double hold_clear;      ///< mm before the die's front at which hands are clear; 0: 50
    bool bed_moves;         ///< the bed comes up, carrying the part, instead of the ram down
    bool gauge_stays;       ///< then: the gauge stands on the frame and the die rises past it; its
                            ///< heights are those as the sheet touches the punch
    double gauge_edge;      ///< mm, shortest total length of edge that may rest on it; 0: 10
    double one_person_mass; ///< kg
    double flatten_share;   ///< of the rating that flattening a hem may take; 0: 1
    double ram_width;       ///< mm, front to back, of what holds the punch; 0: 60
    double bed_width;       ///< mm, of what carries the die; 0: 80
};

/// What handling costs, in seconds; all 0: kw_brake_usual_seconds.
struct kw_brake_seconds {
    double turn_over, rotate; ///< the part
    double tool_change;       ///< another punch or die
    double station_change;    ///< the same tools in another length
    double gauge_move, gauge_height;
    double awkward; ///< a bend made before one further out on its flange
};
/// Common practice of a small shop, no source.
extern const struct kw_brake_seconds kw_brake_usual_seconds;

struct kw_brake_die {
    const char *id;         ///< shelf number
    double opening;         ///< V, mm between the points where top face and flanks would meet
    double angle;           ///< included, radians
    double shoulder_radius; ///< mm
    double height;          ///< mm
    double rating;          ///< N/mm; 0: not known
    double length;          ///< mm; 0: as long as the bed
    /// Springback as measured in this material over this die: the angle under load is load_slope
    /// times the angle wanted plus load_offset (radians), never less than the angle wanted. Slope
    /// 0: not measured, reckoned by kw_brake_angle_under_load.
    double load_slope, load_offset;
    double width;           ///< mm, of its foot; 0: what opening and walls need
    const double *segments; ///< mm, lengths on the shelf; none: one piece of `length`
    int segment_count;
    struct kw_path profile; ///< section with the V's middle at x = 0 and the top face at y = 0;
                            ///< no vertices: made from the figures above
    bool flat; ///< lower flat of a hemming tool, `width` front to back: opening and angle unused
};

struct kw_brake_punch {
    const char *id;
    double nose_radius;     ///< mm
    double angle;           ///< included, radians
    double height;          ///< mm
    double rating;          ///< N/mm; 0: not known
    double length;          ///< mm; 0: as long as the bed
    double neck;            ///< mm that a gooseneck's body stands back from the front; 0: straight
    const double *segments; ///< as a die's
    int segment_count;
    struct kw_path profile; ///< tip at the origin, y up, the gauge on +x; no vertices: made
    bool both_ways;         ///< goes into the ram turned round as well: the gauge on -x
    bool flat;              ///< upper flat of the hemming tool whose lower one has the same id
    double width;           ///< mm front to back of a flat one
};

struct kw_brake_shop {
    struct kw_brake_press press;
    struct kw_brake_seconds seconds;
    const struct kw_brake_die *dies;
    int die_count;
    const struct kw_brake_punch *punches;
    int punch_count;
};

/// A flat of the part, in blank coordinates, from tangent line to tangent line: without bend zones.
struct kw_brake_face {
    const char *name; ///< for "edge of NAME"; NULL: "face N"
    struct kw_path outline;
};

struct kw_brake_bend {
    const char *id;
    int parent, child;       ///< faces
    struct kw_vec2 from, to; ///< along the centre of the bend zone, blank coordinates
    double angle;            ///< radians turned from flat, 0 < angle < pi
    double radius;           ///< inside, as designed; 0: what the die gives
    bool down;               ///< the child turns towards -z
    double allowance;        ///< mm, width of the bend zone in the blank
    double hole_gap;         ///< mm of the line that is cut away by holes
    double legs[2];          ///< shorter outside leg on the parent's and the child's side; 0: from
                             ///< the outlines
    bool own_tool;           ///< made with a tool of its own (offset bends): not followed by the
                             ///< collision check
    bool mates;              ///< its dimension meets another part: bent and gauged first
    bool hem; ///< turned by `angle` over a die (stage 1), then flattened to 180 degrees (stage 2):
              ///< `allowance` and outlines are those of the flattened hem
    double flat_radius; ///< inside radius of a flattened hem: half the gap that is left
};

/// What stands out of a face while it is bent (a flared hole): a round body on one side of it.
struct kw_brake_bump {
    int face;
    struct kw_vec2 at;     ///< blank coordinates
    double radius, height; ///< mm
    bool down;             ///< on the -z side
    int after;             ///< flared once bend `after` - 1 is made; 0: in the flat blank
};

/// Faces form a tree: every bend's parent is face 0 or the child of another bend.
struct kw_brake_part {
    const struct kw_brake_face *faces;
    int face_count;
    const struct kw_brake_bend *bends;
    int bend_count;
    const struct kw_brake_bump *bumps;
    int bump_count;
    double mass; ///< kg
};

// ----------------------------------------------------------------------------------------- result

/// What stands against a bend. Name, unit of measured and limit.
#define KW_BRAKE_PROBLEM_LIST(X)                                                                   \
    X(LEG_SHORT, "leg-short", "mm")         /* leg against 0.65 V (stop), 0.75 V (risk) */         \
    X(FORCE_PRESS, "force-press", "N")      /* over the press's rating (stop), 80 % (risk) */      \
    X(FORCE_TOOL, "force-tool", "N/mm")     /* the same for punch or die */                        \
    X(TOO_LONG, "bend-too-long", "mm")      /* for bed or tools */                                 \
    X(FRAMES, "between-frames", "mm")       /* width of what reaches past the throat */            \
    X(FINGERS, "gauge-fingers", "mm")       /* edge nearer than the fingers clear the tools */     \
    X(NO_DIE, "no-die", "mm")               /* none of 4 to 24 thicknesses; limit: V wanted */     \
    X(NO_PUNCH, "no-punch", "")             /* the shop has none */                                \
    X(NO_GAUGE, "no-gauge", "mm")           /* the press has none */                               \
    X(GAUGE_REACH, "gauge-reach", "mm")     /* the edge lies out of its range */                   \
    X(NO_GAUGE_EDGE, "no-gauge-edge", "mm") /* no straight edge along the bend, long enough */     \
    X(RADIUS_LEAST, "radius-least", "mm")   /* inside radius that results cracks */                \
    X(RADIUS_OFF, "radius-off", "mm")       /* not the designed radius: sizes shift */             \
    X(ANGLE_SHARP, "angle-sharp", "deg")    /* turn under load against what the tools allow */     \
    X(SPRINGBACK, "springback", "")         /* R Y / (E T) is 0.5 or more: it stays elastic */     \
    X(NO_ROOM, "no-room", "mm")             /* tools and sheet against open height or stroke */    \
    X(COLLISION, "collision", "mm")         /* part against tool or machine in every order */      \
    X(SEGMENTS, "tool-segments", "mm")      /* none of the shop's lengths fits between flanges */  \
    X(HEAVY, "two-persons", "kg")           /* over what one person lifts */                       \
    X(HOLD, "hands", "mm")                  /* part before the die, clear of the pinch (risk); */  \
                                            /* its width there against two hands' (note) */        \
    X(NO_HEMMING, "no-hem-tool", "")        /* nothing in the shop flattens a hem */               \
    X(TIGHT, "tight-gap", "mm")             /* narrowest place of a stroke, against 0.5 */         \
    X(OVERBEND, "overbend-room", "deg")     /* further turn until a flat lies on the punch: 2 */   \
                                            /* (note), 0.5 (risk) */

enum kw_brake_problem_kind {
#define X(name, id, unit) KW_BRAKE_##name,
    KW_BRAKE_PROBLEM_LIST(X)
#undef X
};
const char *kw_brake_problem_name(enum kw_brake_problem_kind kind); ///< "leg-short"
const char *kw_brake_problem_unit(enum kw_brake_problem_kind kind); ///< of measured and limit

/// What a part runs into.
enum kw_brake_obstacle { KW_BRAKE_PUNCH, KW_BRAKE_DIE, KW_BRAKE_RAM, KW_BRAKE_BED };
const char *kw_brake_obstacle_name(enum kw_brake_obstacle what); ///< "punch"

/// What was really tried when no order is free of collisions, and bends the part.
enum kw_brake_help {
    KW_BRAKE_HELP_SEGMENTS, ///< tools that can be set up in any length
    KW_BRAKE_HELP_NECK,     ///< a gooseneck punch: `size` is its neck
    KW_BRAKE_HELP_TALL,     ///< a taller punch: `size` is its height
    KW_BRAKE_HELP_RELIEF,   ///< `face` cut back by `size` at the end of its bend that is in the way
    KW_BRAKE_HELP_LONGER,   ///< the leg `face` beside the bend longer by `size`
    KW_BRAKE_HELP_LOWER,    ///< the flange `face` that is in the way lower by `size`
    KW_BRAKE_HELP_SPLIT     ///< two parts, joined at the bend named
};
struct kw_brake_remedy {
    enum kw_brake_help kind;
    double size; ///< mm
    int face;    ///< -1: none
};
#define KW_BRAKE_MOST_HELP 7 ///< one of each kind

struct kw_brake_problem {
    enum kw_brake_problem_kind kind;
    enum kw_level level;
    int step, bend;
    double measured, limit; ///< in the unit of the kind
    double wanted; ///< what would do: a leg (mm), a die opening for a force (mm); 0: not known
    int other_die; ///< nearest of the shop's dies that lifts this one (others may come); -1: none
    enum kw_brake_obstacle obstacle; ///< of a collision, a tight gap
    int face;                        ///< then: what runs into it or comes near
    int bump;                        ///< then, 1 and up: not the face itself but this bump on it
    struct kw_brake_remedy helps[KW_BRAKE_MOST_HELP]; ///< each by itself, least change of its kind
    int help_count;                                   ///< 0: nothing that was tried helps
};

/// A stroke at the moment when it runs into something, or comes nearest to it.
struct kw_brake_hit {
    const unsigned char *made; ///< of each bend before the stroke: 0 flat, 1 bent, 2 hem flattened
    const int *bends;
    int bend_count, stage, die, punch; ///< as in a step
    bool punch_turned;                 ///< as in a step
    bool child_behind;                 ///< gauge_child_side of a step
    double inside_radius, angle_under_load;
    double turn;      ///< radians bent so far; 0 while the punch comes down onto the part
    double flattened; ///< of a hem: share of the way from bent to flat
    double lift;      ///< mm of the punch above the sheet, or above where the flats close
    double depth;     ///< mm that punch and sheet have gone down
    double gap;       ///< mm left between them; 0: it runs into it
    enum kw_brake_obstacle obstacle;
    int face;             ///< what runs into it
    int bump;             ///< then, 1 and up: not the face itself but this bump on it
    struct kw_vec3 at;    ///< the spot: u, v, z above the die's top
    struct kw_vec3 blank; ///< the spot on the flat blank
};

/// One stroke.
struct kw_brake_step {
    const int *bends; ///< made together; gauge figures are for the first
    int bend_count;
    int stage;     ///< 1: bent over a die; 2: a hem flattened between `die` and `punch`, both flat:
                   ///< not gauged, the fold in the middle of the flats; depth is the way from the
                   ///< flange's edge down, least legs and starting depth are 0
    double closed; ///< mm between the flats at the end of stage 2; 0 in stage 1
    int die, punch;    ///< -1: none
    bool punch_turned; ///< set up the other way round
    bool blocked;      ///< a stop stands against it: force, depths are 0, never printed as settings
    double span;       ///< mm, first to last end along the line: tools to set up
    double length;     ///< mm bent, holes and gaps not counted
    double inside_radius;            ///< mm that results
    double force;                    ///< N
    double angle;                    ///< radians wanted
    double angle_under_load;         ///< radians before it springs back
    double depth;                    ///< mm from first contact of punch and sheet
    double start_depth;              ///< mm, for 3 degrees less (half the angle when that is less)
    double depth_per_degree;         ///< mm, near the wanted angle
    double least_leg[2];             ///< mm with this die: below it a stop, a risk
    bool turned_over;                ///< the blank's -z face is up
    bool rotated;                    ///< another edge lies at the gauge than in the stroke before
    int station;                     ///< from 1; tools of one pair and length stand in one
    double punch_length, die_length; ///< mm to set up; 0: the whole tool
    double punch_at, die_at; ///< where they begin: v in the stroke's frame, 0 halfway along the
                             ///< first bend's line, v to the left looking along u
    bool gauged;             ///< false: no edge reaches the gauge; gauge_x, gauge_r are 0
    double gauge_x;          ///< mm from the die's centre line to the part's edge
    double gauge_r;          ///< mm from the die's top face to the finger's lower edge
    double gauge_back;       ///< mm to pull it back once the punch holds the sheet; 0: stays
    double gauge_length;     ///< mm of edge that rests on it
    int finger_count;        ///< fingers that the part rests on: 0 to 2
    double fingers[2];       ///< their middles: v in the stroke's frame
    double front;            ///< mm that the part reaches out before the die's front face
    double front_width;      ///< mm along the bend of what reaches out further than hold_clear
    int gauge_face;          ///< face whose edge or outside meets the gauge; -1
    bool gauge_child_side;   ///< the child's side lies behind the die
    const char *gauge_edge;  ///< "edge of lid", "outside of flange A"
    double carried; ///< mm that the bed brings the part up before sheet and punch touch; 0: it lies
                    ///< still until the ram is down
    double overbend; ///< radians that it can be bent on before a flat lies on the punch: less than
                     ///< 2 degrees; infinite: more
    double rise;     ///< mm that what lies before the die comes up from there on, at most
    const struct kw_brake_hit *near; ///< where less than 0.5 mm is left; NULL: nowhere
};

struct kw_brake_plan {
    struct kw_brake_step *steps; ///< in order
    int step_count;
    struct kw_brake_problem *problems; ///< by step, then kind
    int problem_count;
    bool proven;   ///< the cheapest order, or none exists; false: the search ran out of steps
    bool collides; ///< no order is free of collisions
    const struct kw_brake_hit *hit; ///< then the picture of it; NULL where none was found
    const int *obvious;             ///< the rule's order where it runs into something and another
                                    ///< was found: first bend of each stroke, up to the blocked one
    int obvious_count;
    const struct kw_brake_hit *obvious_hit;
    double seconds; ///< handling between strokes
    long searched;  ///< strokes looked at
};

/// Plans one part, in the cheapest order. Results live in `arena`. KW_GEOMETRY when the bends are
/// not a tree over the faces, a number is not one or out of range (angle, thickness, line of no
/// length): `at` is the place that the error names. What can't be bent here is in the problems.
enum kw_status kw_brake_plan(struct kw_arena *arena, const struct kw_brake_part *part,
                             const struct kw_brake_material *material,
                             const struct kw_brake_shop *shop, struct kw_place at,
                             struct kw_brake_plan *plan, struct kw_error *err);

/// How much is asked of a plan. With ANY_ORDER the first order found that has no flaw (a size that
/// mates made too late or not gauged itself, no edge at the gauge, a frame in the way, nothing to
/// hold) is taken,
/// and only when there is none the cheapest: the problems are the same, the steps and seconds need
/// not be. TOOLS_ONLY: bends by the rule's order, neither
/// collisions nor the gauge looked at.
enum kw_brake_effort {
    KW_BRAKE_CHEAPEST_ORDER,
    KW_BRAKE_ANY_ORDER,
    KW_BRAKE_NO_REMEDIES, ///< any order, and nothing is tried for a part that has none
    KW_BRAKE_TOOLS_ONLY
};
enum kw_status kw_brake_plan_for(struct kw_arena *arena, const struct kw_brake_part *part,
                                 const struct kw_brake_material *material,
                                 const struct kw_brake_shop *shop, enum kw_brake_effort effort,
                                 struct kw_place at, struct kw_brake_plan *plan,
                                 struct kw_error *err);

/// Order in which to bend several parts so that tools are changed least: greedy from every start,
/// the best kept; ties by index. `order` has room for `count`. Returns the tool changes of the
/// whole row, the first set-up not counted.
int kw_brake_group(const struct kw_brake_plan *const *plans, int count, int *order);

/// Which pieces of a tool make `length` together (one that a plan says): indices in `which`, with
/// room for `count`. Returns how many, 0 when they don't make it.
int kw_brake_pieces(struct kw_arena *a, const double *pieces, int count, double length, int *which);

/// Length of the bed, 10 m where it is not known.
double kw_brake_bed(const struct kw_brake_shop *shop);
/// Sections of tools as they stand: die with its top face at y = 0, punch with its tip at the
/// origin. Closed.
struct kw_path kw_brake_die_profile(struct kw_arena *a, const struct kw_brake_die *d);
/// `turned`: set up the other way round.
struct kw_path kw_brake_punch_profile(struct kw_arena *a, const struct kw_brake_punch *q,
                                      bool turned);

/// The stroke in section, halfway along its first bend: die centre at the origin, y up from the
/// die's top face before the stroke, gauge on +x. Closed paths.
struct kw_brake_section {
    struct kw_path die, die_after;            ///< above it where the bed comes up
    struct kw_path punch_before, punch_after; ///< touching the sheet; at depth
    struct kw_path *before, *after;           ///< the part as it lies, and under load
    int before_count, after_count;
    double gauge_x, gauge_r; ///< copied from the step; NaN where there is no gauge
};
/// Flats are cut off at `reach` from the die's centre line, measured before the stroke (0: never).
/// False when the step has no die or punch. A blocked step is drawn too, at its angle under load.
bool kw_brake_section(struct kw_arena *arena, const struct kw_brake_part *part,
                      const struct kw_brake_material *material, const struct kw_brake_shop *shop,
                      const struct kw_brake_plan *plan, int step, double reach,
                      struct kw_brake_section *out);

/// The moment of a collision cut across at its spot: `after` is the part at that moment, with
/// punch_after, die, ram and bed; `spot` is marked. No `before`, no `die_after`, no gauge.
struct kw_brake_collision {
    struct kw_brake_section section;
    struct kw_path ram, bed;
    struct kw_vec2 spot;
};
bool kw_brake_collision(struct kw_arena *arena, const struct kw_brake_part *part,
                        const struct kw_brake_material *material, const struct kw_brake_shop *shop,
                        const struct kw_brake_plan *plan, const struct kw_brake_hit *hit,
                        double reach, struct kw_brake_collision *out);

// --------------------------------------------------------------------------------------- formulas

/// Air-bend force in N: K * tensile * length * t^2 / V, mm and MPa. K is 1.33 (Groover,
/// Fundamentals of Modern Manufacturing, ch. 20) up to V = 8 t and falls evenly to 1.20 at 16 t
/// (die opening factors of SME's die design handbook); with 1.33 throughout, wide dies come out 25
/// % over the air-bend charts, with this the furthest row is 20.2 % off.
double kw_brake_force(double tensile, double length, double thickness, double opening);

/// Force in N that flattens a hem: about four times that of the bend over the usual die of 8 t, 4 x
/// 1.33 x tensile x length x t / 8 (common practice, no source).
double kw_brake_flatten_force(double tensile, double length, double thickness);
/// Width of the zone that the first stage of a hem takes, mm: angle (R + 0.44 t) (the K of air
/// bends, common practice).
double kw_brake_hem_zone(double angle, double radius, double thickness);

/// Turn under load so that `angle` is left: a_i (R_i + T/2) = a_f (R_f + T/2) with R_i / R_f =
/// 4x^3 - 3x + 1, x = R_i Y / (E T) (Gardiner 1957; Kalpakjian & Schmid). `radius` is R_i, under
/// load; *sprung_radius (may be NULL) gets R_f. 0 when x >= 0.5: nothing would stay bent.
double kw_brake_angle_under_load(double angle, double radius, double thickness, double yield,
                                 double modulus, double *sprung_radius);

/// Travel from first contact for a turn of `angle` under load:
///   xc tan(A/2) - (R + T + Rd) (sec(A/2) - 1),  xc = V/2 + Rd / tan((pi/2 + die angle/2) / 2)
/// from the tangency of sheet, shoulders and inside radius (geometry; xc is half the distance of
/// the shoulder centres).
double kw_brake_depth(double angle, double radius, double thickness,
                      const struct kw_brake_die *die);
/// Its derivative, mm a radian.
double kw_brake_depth_slope(double angle, double radius, double thickness,
                            const struct kw_brake_die *die);

/// Shortest outside leg over V below which is a stop (`KW_STOP`) or a risk: 0.65 and 0.75 up to 90
/// degrees, rising to 1.1 and 1.27 at 135 and as steeply beyond (common practice; the straight line
/// between is ours).
double kw_brake_least_leg(double angle, double opening, enum kw_level level);

/// Die opening wanted: 6 t up to 2.7 mm, 8 t up to 8 mm, 10 t up to 12 mm, 12 t above (air-bend
/// charts).
double kw_brake_wanted_opening(double thickness);
