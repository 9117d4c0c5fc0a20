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
    double kerf;
    double relief, past; ///< notch: width, depth past the tangent line
    bool stopped;        ///< a stop was found: no body comes of it
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

/// Index of an edge of a drawing as people count them: straight ones only, from its corner at the
/// left, lowest first; -1 when there are not so many.
int shape_drawn_edge(const struct kw_path *outline, int number);

/// Faces and bends of a base with flanges (layout.c), without holes.
void shape_layout(struct build *b);
/// Splits face 0, a drawing (with flanges laid out on it or none), by its bend lines (drawing.c).
void shape_drawing(struct build *b);
/// The flange on the base at the root of the row that ends in `flange`.
const struct kw_flange *shape_root(const struct kw_part *part, int flange);

// ---- sizes of flanges (flange.c)

/// Fills in kind, way, angle, radius and all that follows for the bend of a flange (of an offset
/// bend either of its two; `second` turns it the other way).
void shape_flange_bend(const struct build *b, struct kw_bend *bend, int flange, bool second);
/// Outside leg of the flange, whatever its height is measured to.
double shape_flange_height(const struct kw_flange *f, const struct kw_bend *bend, double t);
/// An offset bend as the two bends make it: outside sizes of its two flats, and how far the second
/// outside corner lies from the first along the face that the flange leaves.
struct shape_step {
    double between, flat, last, run;
    double least; ///< step that leaves LEAST_FLAT_MM between the bends
};
struct shape_step shape_flange_step(const struct kw_flange *f, const struct kw_bend *bend,
                                    double t);
/// Legs of all bends (legs.c).
void shape_legs(struct kw_body *body);
/// Slits along the lines of bends by hand (slits.c).
void shape_slits(struct build *b);
/// The blank's outline out of the faces (blank.c); a drawing has it already.
void shape_blank(struct build *b);
/// Moves blank, faces and bends so that the blank's box starts at (0,0).
void shape_to_corner(struct build *b);
/// Holes into blank and faces, gaps of the bends (holes.c).
void shape_holes(struct build *b);
/// Told coordinates of a face (a flange, -1 the base) to the blank (holes.c).
struct kw_move2 shape_told_to_blank(const struct build *b, int flange);
/// Fills marks and texts; marks.c.
void shape_marks(struct build *b);

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
/// How far a body is bent: t as of kw_body_fold, bends by hand left flat or not.
struct pose {
    double t;
    bool hands_flat;
    const double *each; ///< not NULL: t of each bend instead
};
double shape_bent(const struct kw_body *body, int bend, struct pose pose); ///< t of one bend
struct kw_move3 *shape_fold(struct kw_arena *a, const struct kw_body *body, struct pose pose);
/// The point of the bend at part s (0..1 of its turn), `x` along the axis, depth `z` below its top
/// face, radii scaled by `scale`; parent's frame.
struct kw_vec3 shape_bend_point(const struct kw_body *body, int bend, const struct bend_frame *f,
                                double s, double x, double z, double scale);

/// The places x, in the child's frame, where a bend's zone ends: along the tangent line of `face`.
void shape_zone_ends(const struct kw_body *body, int bend, int face, double *x0, double *x1);

/// Exact box of the bent part, frame of face 0.
struct kw_box3 shape_box(struct kw_arena *a, const struct kw_body *body, struct pose pose);
