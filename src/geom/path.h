// SPDX-License-Identifier: Apache-2.0
// Line-and-arc paths. A path is a list of vertices; the segment that leaves vertex i goes to vertex
// i+1 (the last one back to the first when the path is closed) and is an arc where bulge != 0.
//
//   bulge = tan(sweep / 4): positive turns counter-clockwise, 0 is a straight line, |bulge| <= 1
//   (a half circle). A full circle is two vertices with bulge 1 (or -1).
//
// Outlines of blanks are closed, outside counter-clockwise, holes clockwise.
#pragma once

#include "base/base.h"
#include "geom/vec.h"

struct kw_vertex {
    double x, y;
    double bulge; ///< of the segment that leaves here
    int tag;      ///< the feature that segment came from; 0 when it came from none
};

struct kw_path {
    struct kw_vertex *v; ///< grown with KW_PUSH in one arena
    int count;
    bool open; ///< the last vertex is not joined to the first
};

/// An outline with its holes.
struct kw_region {
    struct kw_path outer;
    struct kw_path *holes;
    int hole_count;
};

/// A straight or circular segment, unpacked. For a line radius is 0.
struct kw_segment {
    struct kw_vec2 a, b;
    double bulge;
    struct kw_vec2 centre;
    double radius; ///< > 0 for an arc
    double sweep;  ///< signed radians, 0 for a line
};

int kw_path_segments(const struct kw_path *p); ///< number of segments
struct kw_segment kw_path_segment(const struct kw_path *p, int i);
struct kw_segment kw_segment_make(struct kw_vec2 a, struct kw_vec2 b, double bulge);
double kw_segment_length(struct kw_segment s);
struct kw_vec2 kw_segment_point(struct kw_segment s, double t);     ///< t in 0..1 by length
struct kw_vec2 kw_segment_direction(struct kw_segment s, double t); ///< unit tangent
double kw_segment_distance(struct kw_segment s, struct kw_vec2 p);
/// Points where two segments meet (0..2; overlapping collinear or concentric segments give none).
int kw_segment_crossings(struct kw_segment s, struct kw_segment t, struct kw_vec2 out[2]);

/// Exact signed area (arcs included), positive counter-clockwise; 0 for open paths.
double kw_path_area(const struct kw_path *p);
double kw_path_length(const struct kw_path *p);
struct kw_box2 kw_path_box(const struct kw_path *p); ///< exact, arcs included
struct kw_vec2 kw_region_centroid(const struct kw_region *r);
double kw_region_area(const struct kw_region *r); ///< net of holes
/// Whether p is inside (even-odd; a point on the path may be either).
bool kw_path_contains(const struct kw_path *p, struct kw_vec2 point);
bool kw_region_contains(const struct kw_region *r, struct kw_vec2 point);
double kw_path_distance(const struct kw_path *p, struct kw_vec2 q); ///< to the path itself

// All results go into the arena.
void kw_path_add(struct kw_arena *a, struct kw_path *p, double x, double y, double bulge, int tag);
struct kw_path kw_path_copy(struct kw_arena *a, const struct kw_path *p);
struct kw_path kw_path_moved(struct kw_arena *a, const struct kw_path *p, struct kw_move2 m);
struct kw_region kw_region_moved(struct kw_arena *a, const struct kw_region *r, struct kw_move2 m);
struct kw_path kw_path_reversed(struct kw_arena *a, const struct kw_path *p);
/// Turned so that area has the wanted sign: counter-clockwise when `ccw`.
struct kw_path kw_path_oriented(struct kw_arena *a, const struct kw_path *p, bool ccw);
struct kw_path kw_path_circle(struct kw_arena *a, double cx, double cy, double radius, bool ccw,
                              int tag);
struct kw_path kw_path_box_outline(struct kw_arena *a, double x0, double y0, double x1, double y1,
                                   int tag);
/// Rounds the corner at vertex i (between two lines) with an arc; false when it does not fit.
bool kw_path_round_corner(struct kw_arena *a, struct kw_path *p, int i, double radius);

enum kw_chord_side {
    KW_CHORD_INSIDE,  ///< end points on the arc: an outline's convex arcs shrink
    KW_CHORD_OUTSIDE, ///< the chords lie outside convex arcs (tangent polygon) and inside holes'
                      ///< metal
};
/// Straight points along a closed path, no further than `tolerance` from it. The polygon of an
/// outer counter-clockwise path lies within it (INSIDE) or contains it (OUTSIDE); for clockwise
/// holes the same words speak of the metal: OUTSIDE never loses metal.
struct kw_vec2 *kw_path_chords(struct kw_arena *a, const struct kw_path *p, double tolerance,
                               enum kw_chord_side side, int *count);

/// The invariant of a closed path: 2 or more vertices, finite and within KW_MOST_MM, no segment
/// shorter than KW_SAME_POINT_MM, |bulge| <= 1, area not 0, no two segments crossing or touching
/// but at shared ends. Says where: "crosses itself at (12.3, 4.5) mm". KW_GEOMETRY.
enum kw_status kw_path_check(const struct kw_path *p, struct kw_place at, struct kw_error *err);

/// Whether two segments of a closed path cross or touch but at shared ends, where, and which two.
bool kw_path_meets_itself(const struct kw_path *p, struct kw_vec2 *at, int segments[2]);

/// The path at distance `d` from a closed simple path, on its left for d > 0 and on its right for
/// d < 0. Counter-clockwise outside, so left is inwards: to grow an outer outline, d < 0; to
/// shrink a clockwise hole (the tool runs inside it), also d < 0 (its right is the open side).
/// Lines stay lines, arcs stay arcs, outward corners get an arc about the corner. The result may be
/// several closed paths, or none where the offset closes up. Every piece kept is at least
/// |d| - 1e-7 from the source. Segment tags carry over.
struct kw_path *kw_path_offset(struct kw_arena *a, const struct kw_path *p, double d, int *count);

/// Splits a closed simple path along the straight segment from `a` to `b`, which must lie inside
/// and end on the path (within `tolerance`) at two different places. Left and right as seen from a
/// to b; both closed, with the orientation of the source. New straight segments carry `tag`. False
/// when the ends do not lie on the path or the segment leaves it.
bool kw_path_split(struct kw_arena *arena, const struct kw_path *p, struct kw_vec2 a,
                   struct kw_vec2 b, double tolerance, int tag, struct kw_path *left,
                   struct kw_path *right);

/// Least distance between two closed paths (0 when they cross). Exact for lines and arcs.
double kw_path_gap(const struct kw_path *p, const struct kw_path *q);

/// Joins loose segments (open paths of lines and arcs) end to end into closed loops, ends within
/// `tolerance` being the same. What can't be closed comes back in `open` with the size of the gap.
struct kw_loose {
    struct kw_path path;
    double gap; ///< distance between its two ends
};
void kw_path_join(struct kw_arena *a, const struct kw_path *pieces, int count, double tolerance,
                  struct kw_path **closed, int *closed_count, struct kw_loose **open,
                  int *open_count, int *dropped);

// ---- polygons through GEOS: for checks and free space only, never for what reaches a program
/// Area that two chorded regions share (mm2).
double kw_region_overlap(const struct kw_region *p, const struct kw_region *q, double tolerance);
