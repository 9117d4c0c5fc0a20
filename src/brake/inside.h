// SPDX-License-Identifier: Apache-2.0
// Shared inside the module only.
#pragma once

#include "brake/brake.h"

#define RAM_WIDE      60.0 // mm front to back (common practice, no source)
#define BED_WIDE      80.0
#define BEAM_TALL     400.0
#define BRAKE_LINE_MM 0.05 // bends within this of one line are made in one stroke

// Between bodies through the whole stroke, and the least where no order keeps it: then it is told.
#define BRAKE_CLEAR_MM 0.5
#define BRAKE_TIGHT_MM 0.1
// So much further than reckoned a bend may have to go: springback varies (trade: 2 degrees).
#define BRAKE_OVERBEND (2 * KW_PI / 180)

/// Bends that share a parent, a line, angle, direction and radius: one stroke.
struct group {
    int *bends, count;
    int stage;       ///< 2: flattens hems
    int before;      ///< group that bends what this one flattens; -1
    int parent;      ///< face
    int depth;       ///< bends between face 0 and the parent
    double span;     ///< first to last end
    double length;   ///< sum of the bends less their hole gaps
    double leg[2];   ///< shortest outside leg, parent's and child's side
    int leg_bend[2]; ///< the bend it belongs to
    bool mates;      ///< one of its bends, or one on the way to face 0
};

struct lengths;

/// One die and punch tried on a group.
struct trial {
    int die, punch;
    bool turned;                     ///< the punch, the other way round
    double radius, angle_under_load; ///< angle 0: it stays elastic
    struct kw_brake_problem problems[16];
    int problem_count, stops, risks;
    double off;       ///< |ln(V / wanted V)|
    double punch_off; ///< mm, radius that results against the designed one
};

/// A convex piece of the part with its thickness: two rings of points that correspond.
#define LUMP_POINTS 16
struct lump {
    struct kw_vec3 ring[2][LUMP_POINTS];
    int count;
};

/// A convex piece of a tool's section, as long as the press.
#define BLADE_POINTS 32
struct blade {
    struct kw_vec2 v[BLADE_POINTS];    ///< counter-clockwise; x is u, y is z
    struct kw_vec2 out[BLADE_POINTS];  ///< unit normal of the side from v[i], away from the metal
    struct kw_vec2 grow[BLADE_POINTS]; ///< how v[i] moves for each mm that all sides move outwards
    int count;
    struct kw_box2 box;
};
struct blades {
    struct blade *v;
    int count;
};

/// A punch and die over which one group can be bent. The first option is choose_tools' own.
struct option {
    struct trial trial;
    struct blades punch, punch_sweep; ///< tip at the sheet's top face; over its way from above
    struct blades ram_sweep;          ///< at rest and over its way from above
    struct blades ram, die, bed;
};
#define MOST_OPTIONS 8 // a key of the search has room for 16
struct options {
    struct option v[MOST_OPTIONS];
    int count;
};

/// What is free along the line of a stroke: tools may reach from lo to hi.
struct room {
    double lo[2], hi[2];        ///< of punch, die
    int lo_face[2], hi_face[2]; ///< what bounds it; -1
    double overbend; ///< radians that it can be bent on before a flat lies on the punch, up to
                     ///< BRAKE_OVERBEND; infinite: more
    bool blocked;    ///< something stands in the bend's own length
    enum kw_brake_obstacle obstacle; ///< then: what is run into
    int face;                        ///< by what
};

/// One stroke looked at: group, the side behind the die, tools.
struct stroke {
    int group, option;
    bool child_side;
    bool feasible;
    struct room room;
    double length[2]; ///< of punch and die to set up; 0: whole
    double at[2];     ///< where along the line they begin
    double gauge_x, gauge_r;
    bool by_tools;    ///< the gauge's fingers would stand in punch, die, ram or bed
    double flaw;      ///< s of penalty: no gauge, frames, nothing to hold, awkward order
    bool short_tools; ///< infeasible for want of a length
    bool tight;       ///< not with the full clearance: only with BRAKE_TIGHT_MM
};

/// All that stays the same while one part is planned.
struct job {
    struct kw_arena *arena, *scratch;
    const struct kw_brake_part *part;
    struct kw_brake_material material; ///< defaults filled in
    const struct kw_brake_shop *shop;
    struct kw_vec2 *normals; ///< of each bend: unit, from parent to child
    double *radii;           ///< of each bend: designed, or what its die gives
    struct group *groups;
    int group_count;
    struct options *options; ///< of each group
    struct room_cache *cache;
    struct lengths *punch_lengths, *die_lengths;
    bool no_help;       ///< this is a try itself: any order will do
    bool may_be_tight;  ///< a stroke that lacks the full clearance may keep BRAKE_TIGHT_MM
    bool tight;         ///< rooms are measured with that
    uint64_t wall_done; ///< groups bent where the search got furthest, while help is tried
    double flattened;   ///< of bends in the state FLATTENING: share of the way from stage 1 to 2
    enum kw_brake_effort effort;
};

/// A line of the folded part. `owner`: face, or face count + bend for a bend's round.
struct line {
    struct kw_vec3 a, b; ///< x is u, y is v
    int owner;
};
struct kept_lines {
    const struct line *v;
    int count;
    double v_min, v_max;
};

/// States of a bend in `done`: flat, bent, a hem flattened, a hem on its way from 1 to 2.
enum { BEND_FLAT, BEND_MADE, BEND_HEMMED, BEND_FLATTENING };

/// Where everything lies in a stroke's frame while the bends in `done` are made.
struct fold {
    const struct job *job;
    const unsigned char *done;
    struct kw_move3 *faces;         ///< blank to stroke frame
    const struct kept_lines **kept; ///< gauge.c only: instead of faces
    int kept_count;
};

// fold.c
/// Turn, inside radius and width of the zone of a bend in a state other than flat.
struct bend_shape {
    double angle, radius, zone;
};
struct bend_shape shape_of(const struct job *job, int bend, int state);
struct kw_vec2 bend_normal(const struct kw_brake_part *part, int bend);
/// The frame of `bend`: u along its normal (against it when `parent_side`), v along the line,
/// turned over when the bend goes down.
struct fold fold_for(const struct job *job, const unsigned char *done, int bend, bool parent_side);
/// A point of the bend zone, `part` of 0..1 of its angle from the parent's tangent line, at `along`
/// of 0..1 of its length, on the blank's surface z = 0 or the thickness.
struct kw_vec3 fold_zone_point(const struct fold *f, int bend, double part, double along, double z);
/// Whether `face` hangs on `bend`'s child.
bool face_beyond(const struct kw_brake_part *part, int face, int bend);

// swing.c
/// How a leg moves while a bend is made over a die: it slides by its part of the zone, swings about
/// the inside radius' centre and goes down with the punch.
struct swing {
    int leg; ///< -1, +1: which way it lies
    double angle, zone;
    struct kw_vec2 pivot;
};
struct swing swing_of(const struct job *job, const struct group *g, const struct trial *t, int leg);
struct lump swing_lump(const struct swing *s, const struct lump *l, double angle, double down);
struct kw_vec3 swing_point(const struct swing *s, struct kw_vec3 p, double angle, double down);
/// Where the point lay before: undoes swing_point.
struct kw_vec3 swing_back(const struct swing *s, struct kw_vec3 p, double angle, double down);
/// Largest distance of a corner from the pivot, the slide counted in.
double swing_reach(const struct swing *s, const struct lump *l);
/// Fills `rise` and `carried` of a step.
void rise_figures(const struct job *job, const unsigned char *done, const struct group *g,
                  struct kw_brake_step *step);

// tools.c
struct trial best_trial(const struct job *job, const struct group *g, int only_die);
/// Height that the flats of a hemming tool leave between them when the group is flattened.
double closed_height(const struct job *job, const struct group *g);
/// The first loop over dies and the wish to keep one die for the whole part.
void choose_tools(const struct job *job, struct trial *trials);

/// What may be tried on a group: its own tools, then other punches that do as well.
void make_options(const struct job *job, const struct group *g, const struct trial *own,
                  struct options *out);

// blades.c
struct blades blades_of(struct kw_arena *a, const struct kw_path *profile, double up);
/// Each piece together with itself moved up by `way`.
struct blades blades_swept(struct kw_arena *a, const struct blades *b, double way);
/// Convex hull, counter-clockwise, of `p` (which is sorted): indices into it. `out` has room for
/// twice as many. Returns how many.
int convex_hull(struct kw_vec3 *p, int n, int *out);

// hit.c
/// Convex pieces of face `item`, then of the round of made bend `item - face_count`, then of a
/// bump.
struct lump *lumps_of(const struct fold *f, int item, int *count);
/// Narrows `room` by the lumps of one item over the whole stroke. `need`: the bend's own stretch.
void narrow_room(const struct job *job, const struct option *o, const struct group *g, int leg,
                 const struct lump *lumps, int count, int item, const double need[2],
                 struct room *room);
/// The same while a hem is flattened: `lumps` lie still, the upper flat stands at least `lift`
/// above where it closes, and comes down to there. `still`: they do so from the start to the end.
void narrow_still(const struct job *job, const struct option *o, const struct lump *lumps,
                  int count, int item, const double need[2], double lift, bool still,
                  struct room *room);

// room.c
/// Faces, bends and bumps; the face that an item is or hangs on.
int item_count(const struct kw_brake_part *part);
int item_face(const struct kw_brake_part *part, int item);
/// Whether an item is there once the groups in `done` are made: rounds of bends are with them,
/// bumps with the bend that they wait for.
bool is_there(const struct job *job, uint64_t done, int item);
/// How high the highest point of a face stands, mm above the die's top.
double top_of(const struct fold *f, int face);
/// The room of a stroke while the groups in `done` (bits) are made.
struct room room_for(const struct job *job, uint64_t done, int group, int option, bool child_side,
                     bool tight);
struct room_cache *room_cache_new(struct kw_arena *a, const struct job *job);
/// The lines of all items of a stroke; returns how many items. `out` has room for all.
int lines_for(const struct job *job, uint64_t done, int group, bool child_side,
              const struct kept_lines **out);
/// The stretch of v that tools must cover.
void stroke_need(const struct job *job, int group, bool child_side, double need[2]);
/// Bits of the groups whose bends lie between the group's parent face and `item`.
uint64_t way_to(const struct job *job, int group, int item);
void bends_done(const struct job *job, uint64_t groups, unsigned char *done);
/// The same for a stroke of `group`: what it flattens is bent.
void bends_before(const struct job *job, uint64_t groups, int group, unsigned char *done);

/// Which way the leg with `item` lies; 0 for the zone of the stroke's own bends.
int item_leg(const struct job *job, int group, int item, bool child_side);

// spot.c
/// Where and when a blocked stroke runs into something; NULL when no point of it is found.
struct kw_brake_hit *find_hit(const struct job *job, uint64_t done, const struct stroke *w);
/// One moment: the leg's turn and the share of a flattening made, the punch above where it touches,
/// how far punch and sheet have gone down.
struct look {
    double turn, share, lift, down;
};
/// A moment and a spot of it for a picture. `at` on the part in the stroke's frame; `rest` the same
/// point before the stroke.
struct kw_brake_hit *hit_at(const struct job *job, uint64_t done, const struct stroke *w,
                            enum kw_brake_obstacle what, int item, struct look now,
                            struct kw_vec3 at, struct kw_vec3 rest);

// gap.c
/// The narrowest place of a stroke over its whole way, where less than BRAKE_CLEAR_MM is left;
/// NULL where that much is left everywhere.
struct kw_brake_hit *narrowest(const struct job *job, uint64_t done, const struct stroke *w);

// segments.c
/// Every length that a tool's pieces make, in steps of half a millimetre.
struct lengths {
    double all; ///< mm; 0: any length
    int *next;  ///< the least length in steps that is at least so many steps; -1: none
    int top;
};
struct lengths lengths_of(struct kw_arena *a, const double *pieces, int count, double whole);
/// The whole tool (0) where it may stand, else the shortest length from `least` to `most`; below
/// 0: none.
double length_between(const struct lengths *l, double least, double most);

// search.c
struct order {
    struct stroke *v;
    int count; ///< group_count, or fewer: the furthest that can be bent
    bool proven;
    double cost;
    long searched;
    struct stroke wall; ///< an incomplete order: the stroke that comes nearest
    uint64_t wall_done; ///< and the groups made before it
};
/// Whether nothing that must come before group g is missing in `made`.
bool may_come(const struct job *job, uint64_t made, int g);
struct order search_order(const struct job *job, const int *rank);
/// Of all that is left after `made`: a stroke that is blocked; group -1 when none is.
struct stroke find_wall(const struct job *job, uint64_t made, const int *rank);
/// One stroke judged: room, tools, gauge. `like`: the same stroke with other tools, whose gauge
/// figures it shares; NULL.
struct stroke look_at_stroke(const struct job *job, uint64_t done, int group, int option,
                             bool child_side, const struct stroke *like);
/// A stroke of group g after `made` that nothing is in the way of; else one that is blocked.
struct stroke any_way(const struct job *job, uint64_t made, int g);
/// Seconds of handling from stroke to stroke, its own flaw included. `from` NULL: the first.
double stroke_cost(const struct job *job, const struct stroke *from, const struct stroke *to,
                   uint64_t done, const int *rank);

// order.c
void make_groups(struct job *job);
/// Group indices in bending order.
void order_groups(const struct job *job, const struct trial *trials, int *order);

/// Places by the rule: the outermost first, then the shorter leg, then the lower index.
void rank_groups(const struct job *job, int *rank);

// help.c
/// Tries what would make the part bendable where the stroke of `group` is blocked, and says so in
/// *problem.
void try_help(const struct job *job, int group, struct kw_brake_problem *problem);

// stretch.c
/// The part with the leg on one side of a bend longer by `more`; *face gets the leg's face.
struct kw_brake_part longer_leg(const struct job *job, int bend, bool child, double more,
                                int *face);
/// The part with a flange lower by `less` at its free edge; false when it carries others or has no
/// so much.
bool lower_flange(const struct job *job, int face, double less, struct kw_brake_part *out);
/// The part with a flange cut back by `back` at that end of its bend which is nearer to `bend`.
bool cut_back(const struct job *job, int face, int bend, double back, struct kw_brake_part *out);

// part.c
enum kw_status check_part(const struct kw_brake_part *part, const struct kw_brake_material *m,
                          struct kw_place at, struct kw_error *err);

// plan.c
/// Groups, tools, ranks and all that the search needs; false when it can't be searched.
bool prepare_job(struct job *job, struct trial **trials, int **rank);
void plan_all(struct job *job, struct kw_brake_plan *plan);

// gauge.c
/// Fills the gauge members of `step`; *problem when there is no place to gauge from (true).
/// `side`: 0 the parent's behind the die, 1 the child's, -1 as preferred.
bool choose_gauge(const struct job *job, const unsigned char *done, const struct group *g, int side,
                  struct kw_brake_step *step, struct kw_brake_problem *problem);
/// The same in figures only: false when there is no gauge. *fouls: what reaches past the throat is
/// wider than the frames stand apart. *front: mm of the part before the die.
bool gauge_figures(const struct job *job, const struct kept_lines **kept, int kept_count, double *x,
                   double *r, bool *fouls, double *front);
/// How far the part reaches out before the die's front, and how wide it is past the pinch.
void front_figures(const struct job *job, const unsigned char *done, const struct group *g,
                   struct kw_brake_step *step);
/// From the die's centre line to its front face; where hands are clear, from that face on.
double die_front(const struct job *job, int die);
double hold_clear(const struct kw_brake_press *press);

// fingers.c
struct fingers {
    int count;
    double at[2]; ///< middles along the line, rising
};
/// Where fingers may rest along `slots` places from `from`, each `slot` wide: on places that are
/// `seen`, clear of those that are `shut`. The two that stand furthest apart, or one.
struct fingers place_fingers(const struct kw_brake_press *press, const bool *seen, const bool *shut,
                             int slots, double from, double slot);
/// Sizes with their defaults.
double finger_height(const struct kw_brake_press *press);
double finger_width(const struct kw_brake_press *press);
double finger_depth(const struct kw_brake_press *press);
/// Whether a finger at distance x and height r stands in the way of the tools, as deep as they go.
bool fingers_in_tools(const struct job *job, const struct option *o, double x, double r);
struct kept_lines keep_lines(struct kw_arena *a, const struct fold *f, int item);
/// Where lines of one item that run along the bend may meet the gauge.
double *gauge_places(const struct job *job, const unsigned char *done, const struct group *g,
                     bool child_side, int item, int *count);
/// True when the part is wider than the frames and deeper than the throat at this step.
bool fouls_frames(const struct job *job, const unsigned char *done, const struct group *g,
                  const struct kw_brake_step *step, struct kw_brake_problem *problem);
