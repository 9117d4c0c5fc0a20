// SPDX-License-Identifier: Apache-2.0
// Private to shape: a body being built.
#pragma once

#include "shape/shape.h"

/// Flats narrower than this are no flats: a stop.
#define LEAST_FLAT_MM 0.1

struct build {
    struct kw_arena *arena; ///< of the body
    const struct kw_shop *shop;
    const struct kw_kit *kit;
    const struct kw_part *part;
    struct kw_findings *findings;
    struct kw_body *body;
    const struct kw_bend_tool *tools; ///< as the brake has chosen, or NULL
    double relief, past;              ///< notch: width, depth past the tangent line
    bool stopped;                     ///< a stop was found: no body comes of it
};

/// A finding about this part; `says` and `fix` are kept. A stop sets b->stopped.
void shape_find(struct build *b, enum kw_level level, const char *rule, struct kw_place where,
                double measured, double limit, const char *says, const char *fix);
/// The same with a point to draw in the blank (or in "folded"). Gives the finding to fill in.
struct kw_finding *shape_find_at(struct build *b, enum kw_level level, const char *rule,
                                 struct kw_place where, struct kw_vec2 at, const char *says);
/// kw_place_of, for a struct that may have been made by hand without a node.
struct kw_place shape_place(const struct kw_node *node, const char *key);
/// A length in the arena in the kit's reader's unit.
const char *shape_length(const struct build *b, double mm);

/// Fills in radius, k, allowance, setback, deduction and die of a bend of `angle`, `radius` 0: the
/// natural one. `index` of the flange or drawn bend.
void shape_bend_sizes(const struct build *b, struct kw_bend *bend, int index, double angle,
                      double radius);

/// Faces and bends of a base with flanges (layout.c), or of a drawing (drawing.c), without holes.
void shape_layout(struct build *b);
void shape_drawing(struct build *b);
/// The edge of the base on which the row of flanges that ends in `flange` stands.
int shape_root_edge(const struct kw_part *part, int flange);
/// The blank's outline out of the faces (blank.c); a drawing has it already.
void shape_blank(struct build *b);
/// Holes and marks into blank and faces, gaps of the bends (holes.c).
void shape_holes(struct build *b);

/// From the coordinates in which holes and marks are told (kit.h: along the edge as on the base, up
/// from the bottom) to the face's own frame.
struct kw_move2 shape_told_to_face(const struct build *b, int flange);
/// The paths of hole `index` about its own centre, clockwise, tag 1 + index (hole_shape.c).
struct kw_path *shape_of_hole(struct build *b, int index, int *count);

/// Where the line through `p` along unit `u` meets a closed path: places along u from p, ascending,
/// a place met twice (at a vertex) counted once.
double *shape_line_meets(struct kw_arena *a, const struct kw_path *path, struct kw_vec2 p,
                         struct kw_vec2 u, int *count);

// ---- frames of a bend, for folding (fold.c)

/// A bend at t, in its parent's frame.
struct bend_frame {
    struct kw_vec3 along, out; ///< unit vectors along the bend and outwards
    struct kw_vec3 centre;     ///< x = 0 on the parent's tangent line, top face
    double theta;              ///< turned so far
    double inner;              ///< inside radius now; infinite while flat
    double sign;               ///< +1 up, -1 down
};
struct bend_frame shape_bend_frame(const struct kw_body *body, int bend, double t);
/// The point of the bend at part s (0..1 of its turn), `x` along the axis, depth `z` below its top
/// face, radii scaled by `scale`; parent's frame.
struct kw_vec3 shape_bend_point(const struct kw_body *body, int bend, const struct bend_frame *f,
                                double s, double x, double z, double scale);

/// Exact box of the finished part, frame of face 0.
struct kw_box3 shape_box(struct kw_arena *a, const struct kw_body *body);
