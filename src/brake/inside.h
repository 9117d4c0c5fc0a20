// SPDX-License-Identifier: Apache-2.0
// Shared inside the module only.
#pragma once

#include "brake/brake.h"

#define BRAKE_LINE_MM 0.05 // bends within this of one line are made in one stroke

/// Bends that share a parent, a line, angle, direction and radius: one stroke.
struct group {
    int *bends, count;
    int parent;      ///< face
    int depth;       ///< bends between face 0 and the parent
    double span;     ///< first to last end
    double length;   ///< sum of the bends less their hole gaps
    double leg[2];   ///< shortest outside leg, parent's and child's side
    int leg_bend[2]; ///< the bend it belongs to
    bool mates;      ///< one of its bends, or one on the way to face 0
};

/// One die and punch tried on a group.
struct trial {
    int die, punch;
    double radius, angle_under_load; ///< angle 0: it stays elastic
    struct kw_brake_problem problems[16];
    int problem_count, stops, risks;
    double off;       ///< |ln(V / wanted V)|
    double punch_off; ///< mm, radius that results against the designed one
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
};

/// Where everything lies in a stroke's frame while the bends in `done` are made.
struct fold {
    const struct job *job;
    const bool *done;
    struct kw_move3 *faces; ///< blank to stroke frame
};

// fold.c
struct kw_vec2 bend_normal(const struct kw_brake_part *part, int bend);
/// The frame of `bend`: u along its normal (against it when `parent_side`), v along the line,
/// turned over when the bend goes down.
struct fold fold_for(const struct job *job, const bool *done, int bend, bool parent_side);
/// A point of the bend zone, `part` of 0..1 of its angle from the parent's tangent line, at `along`
/// of 0..1 of its length, on the blank's surface z = 0 or the thickness.
struct kw_vec3 fold_zone_point(const struct fold *f, int bend, double part, double along, double z);
/// Whether `face` hangs on `bend`'s child.
bool face_beyond(const struct kw_brake_part *part, int face, int bend);

// tools.c
struct trial best_trial(const struct job *job, const struct group *g, int only_die);
/// The first loop over dies and the wish to keep one die for the whole part.
void choose_tools(const struct job *job, struct trial *trials);

// order.c
void make_groups(struct job *job);
/// Group indices in bending order.
void order_groups(const struct job *job, const struct trial *trials, int *order);

// gauge.c
/// Fills the gauge members of `step`; *problem when there is no place to gauge from (true).
bool choose_gauge(const struct job *job, const bool *done, const struct group *g,
                  struct kw_brake_step *step, struct kw_brake_problem *problem);
/// True when the part is wider than the frames and deeper than the throat at this step.
bool fouls_frames(const struct job *job, const bool *done, const struct group *g,
                  const struct kw_brake_step *step, struct kw_brake_problem *problem);
