// SPDX-License-Identifier: Apache-2.0
// Private to nest: pieces that may overlap, and the search that parts them. Each pair in conflict
// has a weight that grows while it lasts (guided local search); a piece moves to the place where
// its weighted overlap is least. The overlap of two pieces is the sum over their forbidden polygons
// of how deep the place lies inside: 0 exactly when the spacing is kept, and linear near the edge.
#pragma once

#include "nest/fill.h"

/// Where a piece lies: on which ground, in which pose, its box's lower left corner.
struct seat {
    int ground, pose;
    double u, v;
};

/// A piece as its neighbours see it: what the innermost loop reads, side by side.
struct neighbour {
    double u, v;
    int pose; ///< local
    int piece;
};

/// Two poses that face each other: the box of their contact, and the contact itself.
struct facing {
    struct kw_box2 box;
    const struct contact *contact; ///< NULL: not yet made, and the box is endless
    double scale;                  ///< of their overlap
};

/// A sheet as the crowd sees it. `length` shrinks in the search for a short strip.
struct ground {
    int kind;
    double length, breadth;
    struct neighbour *v;      ///< those that lie on it
    struct four_boxes *boxes; ///< of v, four by four
    int count;
};

struct crowd {
    const struct world *world; ///< read only: several crowds work on one world at once
    struct contacts *contacts; ///< of this worker alone
    struct kw_arena arena;
    uint64_t random;
    long work; ///< elementary tests
    struct ground *grounds;
    int ground_count;
    struct seat *seats; ///< by piece
    int *parts;         ///< by piece
    int count;
    float *weight, *loss;  ///< by piece and piece; the last column is for obstacles
    int *local;            ///< by pose: row in `contact`, -1: not in this crowd
    int *pose_of;          ///< by local pose
    struct kw_box2 *reach; ///< by local pose: around its pieces, from its corner
    struct facing *facing; ///< by local moving pose and local fixed pose
    int local_count;
    int *slot;  ///< by piece: where it is on its ground
    int *order; ///< room for the order of moving
};

/// A crowd of pieces as they lie (seats are copied), in its own arena.
void crowd_make(struct crowd *c, const struct world *w, struct contacts *contacts, const int *kinds,
                int ground_count, const struct seat *seats, int count);
void crowd_free(struct crowd *c);
void crowd_trim(struct crowd *c); ///< forgets contacts when there are too many
/// Takes new seats; weights stay.
void crowd_seat(struct crowd *c, const struct seat *seats);
/// The room of a pose's corner on a ground; false when it does not fit.
bool crowd_room(const struct crowd *c, int ground, int pose, struct kw_vec2 *low,
                struct kw_vec2 *high);
const struct contact *crowd_contact(struct crowd *c, int fixed, int moving);
/// The weighted overlap of a piece in a seat, or some value of `limit` or more.
double crowd_overlap(struct crowd *c, int piece, struct seat s, double limit);
/// The direction out of the worst conflict of a piece in a seat, as far as it is deep.
bool crowd_way_out(struct crowd *c, int piece, struct seat s, struct kw_vec2 *by);
void crowd_move(struct crowd *c, int piece, struct seat to);
double crowd_loss(const struct crowd *c);                  ///< unweighted; 0: legal
double crowd_piece_loss(const struct crowd *c, int piece); ///< of one piece
void crowd_reweigh(struct crowd *c); ///< pairs in conflict weigh more, others less
void crowd_forget(struct crowd *c);  ///< all weights 1

/// Moves a piece where its weighted overlap is least, if that is less than now.
void seat_better(struct crowd *c, int piece);

/// The state of one attempt to part a crowd.
struct parting {
    double least;       ///< loss met so far
    struct seat *seats; ///< then
    double strike_least;
    int idle, strikes;
};
enum parting_end { PARTING_GOES_ON, PARTING_LEGAL, PARTING_GIVEN_UP };
void parting_begin(struct crowd *c, struct parting *p);
/// Every piece in conflict is moved once.
enum parting_end parting_round(struct crowd *c, struct parting *p, int idle_most, int strikes_most);
/// Two pieces of different parts, large ones rather than small ones, change places; at times two
/// more. All weights become 1.
void crowd_disturb(struct crowd *c);
