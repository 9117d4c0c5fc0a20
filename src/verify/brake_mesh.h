// SPDX-License-Identifier: Apache-2.0
// The judge's own folding and triangles. Private to verify.
#pragma once

#include "verify/brake_judge.h"

struct bent_map { ///< p -> m p + t
    double m[3][3], t[3];
};
struct bent_triangle {
    double p[3][3];
    int leg; ///< -1, +1: which way it swings; 0: a tool
    int face;
};
struct bent_mesh {
    struct bent_triangle *v;
    int count;
};

/// Maps of all faces from blank to the frame of face 0, with the bends in `made` at their angle.
/// `made` as kw_judge_stroke has it, and 3: a hem at `share` of the way from bent to flattened.
void bent_fold(const struct kw_bent_part *part, const unsigned char *made, double share,
               struct bent_map *maps);
void bent_apply(const struct bent_map *m, const double p[3], double out[3]);
/// From the blank to the frame of a stroke, for the face that carries its bends.
struct bent_map bent_stroke_frame(const struct kw_bent_part *part, const struct kw_bent_stroke *s);
/// The part before a stroke, in the stroke's frame: faces and made rounds. `share`: see bent_fold.
struct bent_mesh bent_part_mesh(struct kw_arena *a, const struct kw_bent_part *part,
                                const struct kw_bent_stroke *s, const unsigned char *made,
                                double share);
/// A section grown by `grow` (negative: shrunk), extruded, with caps.
struct bent_mesh bent_tool_mesh(struct kw_arena *a, const struct kw_bent_tool *tool, double grow,
                                double up);
bool bent_triangles_meet(const struct bent_triangle *s, const struct bent_triangle *t);
