// SPDX-License-Identifier: Apache-2.0
// Private to nest: one rectangle filled without waste, by depth-first search.
//
// In a full rectangle every corner of what is still free (narrower than a straight line) holds a
// corner of a part whose edge lies flush on one edge of it, and likewise one for the other edge. So
// the corner with the fewest parts that fit it so is taken, each of them is tried in turn, best
// fitting first, and a corner that none fits ends the branch. Parts that were cut at odd angles
// leave few choices; those that share directions and lengths leave many, and chance and new starts
// decide.
#pragma once

#include "nest/facet.h"

struct choice {
    int pose;
    struct kw_vec2 at; ///< of the pose's lower left corner
    int gap;           ///< of the frame
    double fit;        ///< more is better
};

/// What is free after so many parts, and the choices for the next.
struct frame {
    struct gap *gaps;
    int gap_count, gap_room;
    struct kw_vec2 *points; ///< of gaps that were made here; others are borrowed from above
    int point_room;
    struct choice *choices;
    int choice_count, choice_room;
    int next; ///< choice to be tried
};

struct corner {
    int gap, at;
    enum edge_side side;
    int rough;   ///< how many facets run along that edge
    double edge; ///< the shorter of the two
};

struct puzzle {
    const struct world *w; ///< read only: several puzzles work on one world
    const struct facets *facets;
    struct kw_arena arena;
    uint64_t random;
    long work;             ///< elementary tests
    int *left;             ///< copies by part
    struct frame **frames; ///< by depth
    int frame_count, frame_room;
    int depth; ///< parts laid
    struct corner *corners;
    int corner_room;
    struct carving carving;
    double least_area; ///< of the parts there are
    double whole;      ///< area of the box
    bool tried_all;    ///< the latest puzzle_fill went through all ways there are
};

void puzzle_begin(struct puzzle *p, const struct world *w, const struct facets *facets,
                  uint64_t seed);
void puzzle_end(struct puzzle *p);

/// Fills the box from the parts there are `left`, which stay as they are, or gives up after
/// `most_work`. When true, *spots (in the puzzle's arena) tells where they lie.
bool puzzle_fill(struct puzzle *p, struct kw_box2 box, long most_work, struct spot **spots,
                 int *count);
