// SPDX-License-Identifier: Apache-2.0
// Private to shape: flanges on the edges of a face while its flat is laid out.
//
// An edge is walked as the outline runs (counter-clockwise), against its x:
//
//        x = hi                     x = lo          depth 0 ......... nominal edge, outside size
//   ─────┐   ┌─ attach (tangent) ─┐   ┌─────        depth S ......... tangent line
//        └───┘                    └───┘             depth S + past .. bottom of the notch
//        relief                   relief
//
// At a corner, places are told as (s, d): s from where the two lines cross back along the edge,
// d the depth. `turn` is how far the outline turns there: above 0 at a corner that stands out.
#pragma once

#include "shape/inside.h"

/// Corners of a flange on the blank: how far out of the nominal edge, and how far in from the
/// ends x0, x1 of the first flange of its row.
struct corner_out {
    double out, in[2];
};

/// A flange on its edge, as the edge's x goes.
struct seat {
    int flange;              ///< index into part->bends
    bool second;             ///< the second bend of an offset bend
    int bend;                ///< index into body->bends, -1 before it is made
    double x0, x1;           ///< ends
    double depth;            ///< setback
    struct corner_out *outs; ///< corners of the flange and of the row that stands on it
    int out_count;
    double grows[2]; ///< how far its flat reaches beyond x0 and x1, above the bend
};

/// How the outline leaves the end of the outermost bend when the metal beside it is cut away.
struct cut {
    bool done;
    struct kw_vec2 v[3]; ///< (s, d), from the bend outwards, without the end of the bend itself
    int count;
};

struct edge {
    struct kw_segment line; ///< as the outline runs
    int tag;
    struct kw_vec2 origin, along; ///< x = 0 and its direction; metal lies on the right of `along`
    double lo, hi;                ///< x of the line's end and start
    double corner[2];             ///< x where its neighbours' lines cross it: past roundings
    int next;           ///< the line after it, over a rounding or not; -1: a curve follows
    int last;           ///< the line before it
    double turn;        ///< of the corner towards `next`
    struct seat *seats; ///< by falling x
    int count;
    struct cut ends[2]; ///< at lo, at hi
    bool gone;          ///< its own start is cut away
};

struct edges {
    struct edge *v;
    int count;
    struct kw_box2 box; ///< of the nominal outline
    const struct kw_path *outline;
};

// Tags of the segments of a flange's flat.
#define OUTER_EDGE_TAG (KW_TANGENT_TAG - 1)
#define SIDE_TAG       (KW_TANGENT_TAG - 2)

/// The edges of a nominal outline, without flanges yet. On the four sides of the outline's box x is
/// the box's own coordinate (front: from its right end), else it runs from the edge's end.
struct edges edges_of(struct build *b, const struct kw_path *outline);
/// Counts the edge's x from `origin` on its line instead.
void edge_from(struct edge *e, struct kw_vec2 origin);
struct kw_vec2 edge_point(const struct edge *e, double x, double depth);
/// Seats of all flanges that stand on `parent` (-1: the base), each on its edge.
void edges_gather(struct build *b, struct edges *e, int parent);
/// The one seat of an offset bend's second bend, over the whole edge.
void edges_second(struct build *b, struct edge *e, int flange);
/// Largest setback on the edge: what its flanges take from the face.
double edge_taken(const struct edge *e);

/// Moves the ends of seats off corners, roundings and neighbours, decides what is cut away there,
/// and tells what does not fit.
void edges_settle(struct build *b, struct edges *e);
/// The outline of the flat that is left, tangent lines tagged. Seats have their bends by now.
void edges_walk(struct build *b, const struct edges *e, struct kw_path *p);
