// SPDX-License-Identifier: Apache-2.0
// Shared inside the module only. Space is virtual: the walls' gap is taken off, and every box is
// taller by the gap between layers, so that boxes that touch here are packed with their gaps.
#pragma once

#include "carton/carton.h"

#define EPS_MM 1e-6
#define TURNS  6

extern const int turn_axes[TURNS][3]; ///< which side of the box lies along x, y, z

/// A free cuboid.
struct space {
    double lo[3], hi[3];
};

/// All maximal free cuboids of a carton with some boxes in it.
struct spaces {
    struct space *v;
    int count, room;
};

/// A box in virtual space.
struct spot {
    int box, turn;
    double at[3], size[3];
};

/// One carton's filling.
struct filling {
    struct spot *v; ///< grown in scratch
    int count;
    double volume, mass; ///< of the boxes
    double moment;       ///< sum of mass * height of its middle
    bool all;            ///< nothing is left
};

/// What stays the same over all cartons.
struct job {
    struct kw_arena *arena, *scratch;
    const struct kw_carton_box *boxes;
    int box_count;
    const struct kw_carton_kind *kinds;
    int kind_count;
    struct kw_carton_rules rules; ///< defaults filled in
    bool *permitted;              ///< kinds within the carrier's limits of size
};

// spaces.c
void spaces_start(struct kw_arena *a, struct spaces *s, const double size[3]);
/// Takes the cuboid out of the free space. Spaces with a side under `least` are forgotten.
void spaces_take(struct kw_arena *a, struct spaces *s, const double lo[3], const double hi[3],
                 double least);

// fill.c
/// Sizes of a box as turned, virtual; false when it may not stand so, or an earlier turn is the
/// same.
bool turned_size(const struct job *job, int box, int turn, double size[3]);
void virtual_inside(const struct job *job, int kind, double size[3]);
/// The best filling of one carton of `kind` from what is left of each box. `by_mass`: mass counts,
/// else volume.
struct filling fill_carton(const struct job *job, int kind, const int *left, bool by_mass);

// cost.c
double gross_limit(const struct kw_carton_kind *kind, const struct kw_carton_rules *rules);
double round_up(double value, double step);
