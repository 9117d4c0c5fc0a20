// SPDX-License-Identifier: Apache-2.0
// tube: round tube bent without a mandrel. A centreline as one says it at the bench, through
// points, or straight-and-bend rows; the bend table; what the metal does; what a bender can't do;
// marks along the stick; points and boxes for drawing. Pure: no files, no kits, no shop.
//
// Shape of the data:
//
//   steps ──kw_tube_line_from_steps──▶ line ──kw_tube_table──▶ table ──kw_tube_marks──▶ marks
//   points ─kw_tube_line_from_points─▶ (corners)  ▲              │
//   rows ──────────kw_tube_line_from_table────────┴──────────────┘
//
// Frame of a line: +x across/right, -x left, +y back/away, -y front/forward/toward, +z up.
// Millimetres and radians. All results live in the caller's arena.
//
// Order of work at the bender: the start of the tube (its first point) is bent first. It stands in
// the clamp ahead of the die; the rest of the stick lies straight behind it.
#pragma once

#include "base/base.h"
#include "geom/geom.h"

// --------------------------------------------------------------------------------------- problems

/// What is wrong with a shape, or what the given bender can't or shouldn't do with it: name, and a
/// plain sentence. The caller decides on the level. `measured` and `limit` of each:
/// lengths mm, angles radians, wall_factor and under_three_d are pure numbers.
#define KW_TUBE_PROBLEM_LIST(X)                                                                    \
    /* the shape itself: no table comes of it */                                                   \
    X(STEP_ORDER, "step_order", "straights and turns must alternate, a straight first and last")   \
    X(TURN_DISAGREES, "turn_disagrees", "the turn goes past or can't reach the direction named")   \
    X(ZERO_LENGTH_STRAIGHT, "zero_length_straight", "a straight has no length")                    \
    X(DOUBLES_BACK, "doubles_back", "the centreline doubles back on itself")                       \
    X(RADIUS_DOES_NOT_FIT, "radius_does_not_fit", "the bends at a straight's ends overlap")        \
    X(TOO_FEW_POINTS, "too_few_points", "a centreline needs two or more points")                   \
    X(OUT_OF_RANGE, "out_of_range", "a number is not finite or outside what is read here")         \
    X(WALL_THICKER_THAN_HALF, "wall_thicker_than_half", "the wall is half the diameter or more")   \
    /* the bender */                                                                               \
    X(OD_NO_DIE, "od_no_die", "no die for this outside diameter")                                  \
    X(RADIUS_NO_DIE, "radius_no_die", "no die with this centreline radius")                        \
    X(ANGLE_BEYOND_DIE, "angle_beyond_die", "the bend is larger than the die can make")            \
    X(WALL_BEYOND, "wall_beyond", "the wall is thicker than the bender bends")                     \
    X(STRAIGHT_TOO_SHORT, "straight_too_short", "a straight is too short to clamp or to lead")     \
    X(UNDER_THREE_D, "under_three_d", "the radius is under three diameters without a mandrel")     \
    X(WALL_FACTOR, "wall_factor", "the wall is too thin for its diameter without a mandrel")       \
    X(TURNED_BY_HAND, "turned_by_hand", "the bender does not turn the tube: index it by hand")     \
    /* the way through the bender: measured is the turn made when it meets, limit the turn set */  \
    X(HITS_FLOOR, "hits_floor", "the tube meets the floor as it swings")                           \
    X(HITS_BODY, "hits_body", "the tube meets the machine as it swings")                           \
    X(HITS_ITSELF, "hits_itself", "the tube meets itself as it is bent")                           \
    /* between two bends; of a feed measured and limit are mm, before the bend named */            \
    X(FEED_HITS_BODY, "feed_hits_body", "the tube meets the machine as it is fed on")              \
    X(TURN_HITS_FLOOR, "turn_hits_floor", "the tube meets the floor as it is turned")              \
    X(TURN_HITS_BODY, "turn_hits_body", "the tube meets the machine as it is turned")              \
    /* end cuts */                                                                                 \
    X(COPE_TOO_FLAT, "cope_too_flat", "the tubes meet at too flat an angle for a cope")            \
    X(COPE_MISSES, "cope_misses", "the tube is wider than the tube it stands on, there")

enum kw_tube_problem_kind {
#define X(id, name, says) KW_TUBE_##id,
    KW_TUBE_PROBLEM_LIST(X)
#undef X
        KW_TUBE_PROBLEM_KINDS
};
const char *kw_tube_problem_name(enum kw_tube_problem_kind kind); ///< "radius_no_die"
const char *kw_tube_problem_says(enum kw_tube_problem_kind kind); ///< the sentence, no full stop

struct kw_tube_problem {
    enum kw_tube_problem_kind kind;
    int step;     ///< index into the steps or points given, -1 when there is none
    int straight; ///< 0-based straight of the table, -1 when it is not about one
    int bend;     ///< 0-based bend, -1 when it is not about one
    double measured, limit;
    /// In the tube's frame: the corner, where the shape itself is wrong; else the middle of the
    /// bend or straight on the centreline.
    struct kw_vec3 at;
    int body; ///< HITS_BODY, FEED_HITS_BODY, TURN_HITS_BODY: index into the bender's bodies
};

/// Grows in `arena`, in the order found: along the tube, and by kind within a place.
struct kw_tube_problems {
    struct kw_arena *arena;
    struct kw_tube_problem *v;
    int count;
};

// ---------------------------------------------------------------------------------------- shapes

struct kw_tube_size {
    double od;   ///< outside diameter, mm, > 0
    double wall; ///< mm, > 0 and under half of od
};
/// False (and a problem) when the wall is half the diameter or more, or a number is out of range.
bool kw_tube_size_check(struct kw_tube_size size, struct kw_tube_problems *problems);

/// The direction a bench word means, as a unit vector: up, down, across, right, left, back, away,
/// front, forward, toward, towards; or two or three of them joined by "-" ("across-down"), which
/// means the diagonal between them. False when a word is not known or they cancel.
bool kw_tube_way(const char *word, struct kw_vec3 *direction);
/// The words, ended by NULL, for "did you mean".
extern const char *const kw_tube_way_words[];

/// What the lengths of the steps measure.
enum kw_tube_measure {
    /// As a tape reads it, to the outside of the tube. r = od/2, A the turn, R the centreline
    /// radius. An end straight runs from the square-cut end, a middle one from bend to bend. For a
    /// turn up to 90 degrees the tape reaches the point where the two outer lines meet: the
    /// centreline corner is r tan(A/2) short of it (90 degrees: r; so two 90s: + od, an end: + r).
    /// For a turn beyond 90 degrees those lines meet in the air, so the tape reaches the furthest
    /// outside of the bend, R + r past its tangent point: R + r - R tan(A/2) past the corner (which
    /// is r again at 90 degrees). Derived here; the change of rule at 90 degrees is that of DIN
    /// 6935 for sheet.
    KW_TUBE_OUTSIDE,
    KW_TUBE_APEX,       ///< to where the outer lines meet, at any turn: corner + r tan(A/2)
    KW_TUBE_CENTRELINE, ///< to the corner of the centreline
};

enum kw_tube_step_kind { KW_TUBE_STRAIGHT, KW_TUBE_TURN };

/// One step of a shape as one says it: `up 30-5/8` or `turn 90`. Straights and turns alternate.
/// A turn whose angle is the angle between the present direction and the next straight's `towards`
/// (within KW_TUBE_AGREE_RAD) arrives exactly at `towards`. A smaller one turns from the present
/// direction towards it by that angle, in the plane of the two (`up 20, turn 45, across 10` leans
/// 45 degrees over to the right). A larger one would pass it: TURN_DISAGREES.
struct kw_tube_step {
    enum kw_tube_step_kind kind;
    struct kw_vec3 towards; ///< straight: unit vector, from kw_tube_way
    double length;          ///< straight: mm, > 0, measured as enum kw_tube_measure says
    double angle;           ///< turn: radians, from straight, in (0, KW_TUBE_MOST_TURN)
    double radius;          ///< turn: centreline radius in mm; 0 takes the default
};
#define KW_TUBE_AGREE_RAD 8.7266e-4 ///< 0.05 degree: half of the last digit people write
#define KW_TUBE_MOST_TURN 3.1241 ///< 179 degrees; corners of larger turns are far away or nowhere

/// A centreline as its corners: the first and last points are the ends, the others the points where
/// the straights' centrelines meet, each with its centreline radius.
struct kw_tube_line {
    struct kw_vec3 *v;
    double *radius; ///< mm; radius[0] and radius[count - 1] are 0
    int *from;      ///< step or point index each corner came from
    int count;      ///< 2 or more
};

/// Each returns false and adds to `problems` when no centreline comes of it; all that is wrong is
/// reported, not the first only. `od` is for the outside measures.
bool kw_tube_line_from_steps(struct kw_arena *a, const struct kw_tube_step *steps, int count,
                             double od, double radius, enum kw_tube_measure measure,
                             struct kw_tube_line *line, struct kw_tube_problems *problems);
/// `radii` has `count` entries (first and last are ignored) or is NULL: all are `radius`. Points on
/// a straight between their neighbours are dropped.
bool kw_tube_line_from_points(struct kw_arena *a, const struct kw_vec3 *points, int count,
                              const double *radii, double radius, struct kw_tube_line *line,
                              struct kw_tube_problems *problems);

// ------------------------------------------------------------------------------------ bend table

/// A straight and the bend at its end, as the bender counts it.
struct kw_tube_bend {
    double straight; ///< mm between tangent points, before this bend
    /// Turn of the stick before this bend, in (-pi, pi]; 0 for the first. Positive: the stick is
    /// turned counter-clockwise as seen from the clamp looking along the stick, so that the new
    /// bend plane stands turned by this much about the direction of travel, right hand rule.
    double rotate;
    double angle;  ///< from straight, > 0
    double radius; ///< of the centreline
};

struct kw_tube_table {
    struct kw_tube_bend *bends;
    int count;         ///< 0: a straight tube
    double last;       ///< straight after the last bend
    double cut_length; ///< straights and what the bends take of the stick
    /// What each bend takes of the stick, mm; NULL: its arc along the centreline.
    const double *taken;
    /// Where the first straight starts, its direction, and the side the first bend goes to (unit
    /// vectors, square to each other): {0}, +x, +y bring a table without a place.
    struct kw_vec3 start, along, side;
};

/// Length, rotation, angle of each bend. Tangent T_i = R tan(A_i/2), straight_i = |v_i| - T_(i-1) -
/// T_i, rotate = atan2(|v_i| v_(i-1).(v_i x v_(i+1)), (v_(i-1) x v_i).(v_i x v_(i+1))), cut length
/// = sum straights + sum R A: the neutral axis is taken at the centreline (dihedral formula,
/// check-values 4.2). False with RADIUS_DOES_NOT_FIT where a straight would be shorter than
/// nothing.
bool kw_tube_table(struct kw_arena *a, const struct kw_tube_line *line, struct kw_tube_table *table,
                   struct kw_tube_problems *problems);
/// Another neutral line than the centreline: `taken` (one a bend, kept, not copied) is what the
/// bends take of the stick; cut_length follows.
void kw_tube_take(struct kw_tube_table *t, const double *taken);
/// What bend i takes of the stick.
double kw_tube_taken(const struct kw_tube_table *t, int bend);
/// A table from rows alone, from the origin along +x, the first bend to +y; fills in cut_length.
/// Angles up to pi (a U in one bend) are taken. False with problems when a number is out of range.
bool kw_tube_table_from_rows(struct kw_arena *a, const struct kw_tube_bend *rows, int count,
                             double last, struct kw_tube_table *table,
                             struct kw_tube_problems *problems);
/// Back to corners, exactly (1e-9 mm over metres). False with DOUBLES_BACK at a bend that has no
/// corner (over KW_TUBE_MOST_TURN); the functions for drawing below take those too.
bool kw_tube_line_from_table(struct kw_arena *a, const struct kw_tube_table *table,
                             struct kw_tube_line *line, struct kw_tube_problems *problems);

// ------------------------------------------------------------------------------ what the metal
// does

/// One bend, with the neutral axis at the centreline and the volume kept (derived, check-values 4).
struct kw_tube_form {
    double thinning;    ///< of the outer wall, 0..1: (D/2)/(R + D/2)
    double outer_wall;  ///< mm: t R/(R + D/2)
    double inner_wall;  ///< mm: t R/(R - D/2); 0 where R is half of D or less
    double strain;      ///< of the outermost fibre: (D/2)/R
    double wall_factor; ///< D/t
    double r_over_d;    ///< R/D
};
struct kw_tube_form kw_tube_form(struct kw_tube_size size, double radius);

/// Where the weld seam lies best: as near to the side of every bend (90 degrees from its plane,
/// where the metal neither stretches nor shortens) as can be. `from_first`: radians from the side
/// that the first bend goes to, turned as `rotate` is, in 0..pi; `off`: how far it is off the side
/// in the worst bend, 0..pi/2. Exact: the middle of the widest gap between the bend planes.
struct kw_tube_seam {
    double from_first, off;
};
struct kw_tube_seam kw_tube_seam(const struct kw_tube_table *table);

/// Largest D/t that bends without a mandrel: 16 up to 3 D, 20 from 4 D, linear between (common
/// practice, no source).
double kw_tube_wall_factor_limit(double r_over_d);

/// Angle under load over angle wanted, for a tube drawn round a die of centreline radius `radius`:
/// 1/(1 - R M/(E I)), M the full plastic moment yield (D^3 - d^3)/6, I = pi (D^4 - d^4)/64.
/// Elementary bending of an elastic, perfectly plastic tube (derived, no source): a starting point
/// until a piece is measured. Yield and modulus in MPa. 1 when yield is 0; 0 when it never stays
/// bent.
double kw_tube_springback(struct kw_tube_size size, double radius, double yield, double modulus);

/// How much larger the centreline radius is when released: the arc keeps its length while its angle
/// falls by the factor, so that R grows to R factor.
double kw_tube_growth(double radius, double factor);

/// Ovality (largest less smallest diameter over the nominal) that piping codes take as their limit,
/// by R/D: 8 % from 5 D (ASME B31.1, schedule 40 and thicker); below it is to be agreed on.
#define KW_TUBE_FLATTENING_LIMIT 0.08
/// Wall to start from over the least wall wanted after bending (ASME B31.1 table 102.4.5: 6 D 1.06,
/// 5 D 1.08, 4 D 1.14, 3 D 1.25, straight lines between; below 3 D the last line goes on).
double kw_tube_wall_allowance(double r_over_d);

// ----------------------------------------------------------------------------------------- bender

struct kw_tube_die {
    double od, clr;        ///< mm: tube it takes, centreline radius
    double max_angle;      ///< radians; 0: no limit given
    double clamp_straight; ///< mm of straight it must grip before a bend
    double lead_straight;  ///< mm of straight it must have behind the last bend
    /// What this tube does on this die, from measured pieces or by kw_tube_springback and
    /// kw_tube_growth: angle under load over angle wanted (under 1: taken for 1), and finished
    /// centreline radius less `clr` (mm).
    double factor, growth;
};

struct kw_tube_bender {
    const struct kw_tube_die *dies;
    int die_count;
    double max_wall; ///< mm; 0: no limit given
    bool rotates_by_itself;
    double floor;                 ///< mm from the stick's centreline down to the floor; 0: not said
    const struct kw_box3 *bodies; ///< what the tube must clear, in the bender's frame
    int body_count;
};
#define KW_TUBE_DIE_MATCH_MM 0.1 ///< diameters and radii this close are the same die

/// The die for one bend of finished centreline radius `radius` (the die's with its growth): of
/// those that match, the first that reaches `angle`, else the first; -1 when none matches.
int kw_tube_die_for(const struct kw_tube_bender *b, double od, double radius, double angle);

/// Extra length bent on and sawn off afterwards.
struct kw_tube_trims {
    double start, end; ///< mm
};
/// The least trims that give the clamp and the lead their straight.
struct kw_tube_trims kw_tube_trims_needed(const struct kw_tube_table *t, struct kw_tube_size size,
                                          const struct kw_tube_bender *b);

/// All the bender can't or shouldn't do, but for kw_tube_swing. End straights count with their
/// trims. STRAIGHT_TOO_SHORT on straight 0 or the last one is mended by kw_tube_trims_needed;
/// between bends by nothing but another shape. RADIUS_DOES_NOT_FIT here: the radius is half the
/// diameter or less.
void kw_tube_check(const struct kw_tube_table *t, struct kw_tube_size size,
                   const struct kw_tube_bender *b, struct kw_tube_trims trims,
                   struct kw_tube_problems *problems);

#define KW_TUBE_CLEARANCE 0.5 ///< mm that a swinging tube keeps from everything

/// Every bend followed through its whole turn. Bender's frame: the stick lies along x with its
/// first tangent point at the origin, x ahead through the clamp, y towards the die's centre, z up
/// along the die's axis. What is bent already swings with the die from x towards y; the stick
/// behind stays on the x axis and is drawn in. HITS_FLOOR, HITS_BODY and HITS_ITSELF, at most one
/// of each body and bend: where nothing is said, everything stays KW_TUBE_CLEARANCE apart through
/// every turn (springback included); what comes nearer than 0.75 mm, arcs thickened by 0.5 mm,
/// may be said to meet. What comes between the bends is for kw_tube_turns.
void kw_tube_swing(struct kw_arena *a, const struct kw_tube_table *t, struct kw_tube_size size,
                   const struct kw_tube_bender *b, struct kw_tube_trims trims,
                   struct kw_tube_problems *problems);

/// How the tube gets from one bend to the next: fed on by the straight, then turned by `rotate`
/// (the short way) or by a whole turn less (the long way), or lifted out, turned and laid in again.
enum kw_tube_turning { KW_TUBE_TURN_SHORT, KW_TUBE_TURN_LONG, KW_TUBE_LIFT_OUT };

/// The way from each bend to the next, in the bender's frame, released from springback: the feed
/// moves what is bent along x, the turn moves it about the x axis. `ways` (t->count entries, may be
/// NULL): the first that meets neither floor nor body by KW_TUBE_CLEARANCE, short before long;
/// where none does, KW_TUBE_LIFT_OUT and FEED_HITS_BODY, TURN_HITS_FLOOR or TURN_HITS_BODY for what
/// the short way meets first. Nothing is said between two bends of which `problems` already has one
/// that meets floor or body: call it after kw_tube_swing. As exact as that. The die itself is no
/// body.
void kw_tube_turns(struct kw_arena *a, const struct kw_tube_table *t, struct kw_tube_size size,
                   const struct kw_tube_bender *b, struct kw_tube_trims trims,
                   enum kw_tube_turning *ways, struct kw_tube_problems *problems);
/// What the stick is turned by before a bend: `rotate`, or the long way round.
double kw_tube_turned_by(double rotate, enum kw_tube_turning way);

/// The same tube bent from its other end: straights and bends in the opposite order, each rotation
/// with its sign, start, direction and side those of the other end.
void kw_tube_other_end(struct kw_arena *a, const struct kw_tube_table *t,
                       struct kw_tube_table *other);

/// Where a bend starts on the stick, measured from the start end as sawn (start trim included).
struct kw_tube_mark {
    double start, end; ///< mm: both tangent points
    double rotate;     ///< as in the table
    double index;      ///< dial reading: all rotations so far, in [0, 2 pi)
    double angle, angle_under_load;
    int die;                      ///< index, -1 when there is none
    enum kw_tube_turning turning; ///< before this bend; kw_tube_marks leaves it short
};
/// The stick is sawn to cut_length + both trims.
struct kw_tube_mark *kw_tube_marks(struct kw_arena *a, const struct kw_tube_table *t,
                                   struct kw_tube_size size, const struct kw_tube_bender *b,
                                   struct kw_tube_trims trims);

// --------------------------------------------------------------------------------------- end cuts

/// A saddle onto another round tube. Equal diameters with an offset do not fit: the edge would hang
/// over.
struct kw_tube_cope {
    double onto;   ///< outside diameter of the tube it stands on, mm; 0: no cope
    double angle;  ///< between the two axes, radians, KW_TUBE_LEAST_COPE to a right angle
    double offset; ///< mm by which the two axes pass each other
};
#define KW_TUBE_LEAST_COPE (15 * KW_PI / 180) ///< flatter saddles are longer than a shop cuts

/// The cut at one end. `turn`, radians counter-clockwise looking at this end from outside it along
/// the tube, brings the cut's first line (around = 0) from the tube's reference line to where it is
/// wanted. A cope's offset is towards that first line, and the main tube leans in the plane square
/// to it; a mitre is longest a quarter turn on from it.
struct kw_tube_end {
    struct kw_tube_cope cope;
    double miter; ///< radians off square; 0 and no cope: square
    double turn;
};

/// False and COPE_TOO_FLAT (radians) or COPE_MISSES (offset + radius against the other's radius).
bool kw_tube_cope_check(const struct kw_tube_cope *c, struct kw_tube_size size,
                        struct kw_tube_problems *problems);
/// Width of an end pressed shut: the middle line of the wall keeps its length pi (D - t), two flats
/// joined by half rounds of the wall itself: (pi (D - t) - pi t) / 2 + 2 t. Derived, no source.
double kw_tube_flat_width(struct kw_tube_size size);
/// Where the cut is, mm along the tube towards the other one from the point where the axes pass
/// each other, on the line `around` (radians) at `radius` from the tube's axis (outside: od/2,
/// inside: od/2 - wall).
double kw_tube_cope_at(const struct kw_tube_cope *c, double radius, double around);
double kw_tube_miter_at(double miter, double radius, double around);
/// Either of them, turned; and the furthest that it reaches over all lines of that radius.
double kw_tube_end_at(const struct kw_tube_end *e, double radius, double around);
double kw_tube_end_tip(const struct kw_tube_end *e, double radius);

/// What a tape reads along one straight, by the rule of KW_TUBE_OUTSIDE: for a line from steps, the
/// lengths of its steps again.
double kw_tube_tape(const struct kw_tube_table *t, double od, int straight);

// ---------------------------------------------------------------------------------------- drawing

/// Points along the centreline, no chord further than `tolerance` (mm, > 0) from its arc. Tangent
/// points are always among them.
struct kw_vec3 *kw_tube_sample(struct kw_arena *a, const struct kw_tube_table *t, double tolerance,
                               int *count);
/// The outside of the tube exactly: cylinders, torus pieces, square-cut ends.
struct kw_box3 kw_tube_box(const struct kw_tube_table *t, double od);
/// Start, direction and the two ends of each straight: `straight` in 0..count. For dimensions.
void kw_tube_straight_ends(const struct kw_tube_table *t, int straight, struct kw_vec3 *from,
                           struct kw_vec3 *to);
