// SPDX-License-Identifier: Apache-2.0
// Private to cut: the contours of one sheet on their way to a plan.
#pragma once

#include "cut/cut.h"

#define CUT_HOLE_FEED    0.6        ///< common practice, no source
#define CUT_CORNER       0.17453292 ///< radians: sharper corners stop the table
#define CUT_MOST_ENTRIES 24         ///< starting places that are kept of one contour

struct cut_entry {                     // one way to begin a contour
    struct kw_vec2 pierce, start, end; ///< end: where the torch goes off
    int segment;                       ///< of the kerf line
    double part;                       ///< 0..1 along that segment
    double bulge;                      ///< of the lead-in from pierce to start
    double cost;                       ///< mm of travel that it is worse than the best kind
};

struct cut_loop {                // one contour
    int part, hole;              ///< hole -1: outside
    struct kw_path line;         ///< kerf line in cutting direction
    struct kw_segment *segments; ///< of the line; from cut_entries() on
    double length;
    bool slow;
    struct cut_entry *entries;
    int entry_count, chosen;
    int *partner; ///< by segment: the loop that shares the cut there, -1 none; NULL: none at all
};

struct cut_edge { // of a finished outline
    struct kw_segment s;
    struct kw_box2 box;
};

struct cut_outline { // finished
    const struct kw_path *path;
    int part, hole;
    struct kw_box2 box;
    struct cut_edge *edges;
    int edge_count;
};

struct cut_job {
    struct kw_arena *scratch;
    const struct kw_cut_sheet *sheet;
    const struct kw_cut_rule *rule;
    const struct kw_cut_controller *controller;
    const struct kw_cut_options *options;
    struct kw_arena *arena; ///< of the result
    struct kw_cut_plan *plan;
    double half;
    struct cut_outline *outlines;
    int outline_count;
    struct cut_loop *loops;
    int loop_count;
    int *near; ///< outlines near the loop in hand; lead.c
    int near_count;
    bool *done;    ///< by loop: it is cut
    bool off_gaps; ///< lead-ins keep off the kerfs of other outlines; lead.c
    bool *bad;     ///< by part: it can't be cut
};

void cut_problem(struct cut_job *j, struct kw_cut_problem p);

/// Fills outlines, loops (without entries) and problems; contours.c.
void cut_contours(struct cut_job *j);
/// Problem where part of the outline can't be reached by the torch; narrow.c. `lines` are all that
/// its kerf offset gave.
void cut_narrow(struct cut_job *j, const struct cut_outline *o, const struct kw_path *lines,
                int count);
/// Whether the torch on a straight way burns a place where nothing may be cut; lead.c.
bool cut_over_clamp(const struct cut_job *j, struct kw_vec2 a, struct kw_vec2 b);
/// Fills the entries of a loop; false where there is none; lead.c.
bool cut_entries(struct cut_job *j, struct cut_loop *l);

/// Fills partner of the loops and plan->shared; shared.c.
void cut_find_shared(struct cut_job *j);
struct cut_stretch { // of a loop that leaves a shared edge to its partner
    int segment;     ///< begins with it
    double length;
};
/// The stretches of a loop that are cut now, when it leaves edges to partners not yet cut; 0: all
/// of it is cut in one. Room for half its segments.
int cut_stretches(const struct cut_job *j, const struct cut_loop *l, struct cut_stretch *v);

/// A stop of a tour: comes in at `in`, leaves at `out`; a mark may be run from either end.
struct cut_stop {
    struct kw_vec2 in, out;
    bool flips;
    int id;
    bool flipped;
};
/// Orders the stops for a short way from `from` (and on to `to`, if not NULL); order.c.
double cut_tour(struct kw_arena *scratch, struct cut_stop *v, int n, struct kw_vec2 from,
                const struct kw_vec2 *to, uint64_t seed, int rounds);

/// Order of the loops (indices into j->loops) and the chosen entry of each; sequence.c.
int *cut_sequence(struct cut_job *j, struct kw_vec2 from, int *count);

/// Appends a move to the contour in hand, none where it would be nothing, and goes along. Returns
/// what it adds to the contour's length: nothing on travels; moves.c.
double cut_add_move(struct cut_job *j, enum kw_cut_move_kind kind, struct kw_segment s, double feed,
                    struct kw_vec2 *at);
/// Appends the moves of one loop, of all marks; moves.c. `at`: where the torch is, then will be.
void cut_loop_moves(struct cut_job *j, const struct cut_loop *l, struct kw_vec2 *at);
void cut_mark_moves(struct cut_job *j, struct kw_vec2 *at);
/// Appends the moves of all lines to be etched, part by part; etch.c.
void cut_etch_moves(struct cut_job *j, struct kw_vec2 *at);
void cut_scrap_moves(struct cut_job *j, struct kw_vec2 *at);
/// plan->scrap: what of the cuts in scrap keeps off all parts; stops.c.
void cut_find_scrap(struct cut_job *j);
/// stop_before of the contours; stops.c.
void cut_find_stops(struct cut_job *j);
/// Splits the moves from first_move on where height control is locked or corners are slowed;
/// zones.c. `small`: a small hole, locked all the way.
void cut_zones(struct cut_job *j, int first_move, bool small);
/// Moves the start of an entry `way` mm along its loop; lead.c.
void cut_walk(const struct cut_loop *l, struct cut_entry *e, double way);
/// Whether the segment belongs to an edge to avoid; whether a place on it is near a corner; lead.c.
bool cut_edge_matters(const struct cut_job *j, const struct cut_loop *l, int segment);
bool cut_near_corner(const struct cut_job *j, const struct cut_loop *l, int segment, double part);
/// Finds a pierce and lead-in for a start in the middle of a cut; in the line itself where there is
/// no room; lead.c.
void cut_lead_at(struct cut_job *j, const struct cut_loop *l, struct cut_entry *e);

/// Fills in the times of all moves and cut_time; time.c.
void cut_time_moves(struct cut_job *j);
/// Change of direction between two moves, radians, 0..pi.
double cut_corner_turn(const struct kw_cut_move *a, const struct kw_cut_move *b);

struct kw_box2 cut_segment_box(struct kw_segment s);
double cut_box_gap(struct kw_box2 a, struct kw_box2 b); ///< along the axis where it is larger
