// SPDX-License-Identifier: Apache-2.0
// Triangle meshes: the folded body for pictures, mass and boxes.
#pragma once

#include "base/base.h"
#include "geom/path.h"
#include "geom/vec.h"

/// Triangles counter-clockwise seen from outside. Grown with KW_PUSH.
struct kw_mesh {
    struct kw_vec3 *points;
    int point_count;
    int (*triangles)[3];
    int triangle_count;
};

int kw_mesh_point(struct kw_arena *a, struct kw_mesh *m, struct kw_vec3 p);
void kw_mesh_triangle(struct kw_arena *a, struct kw_mesh *m, int i, int j, int k);
/// The mirror image along an axis (0 x, 1 y, 2 z), triangles turned round so that they face out.
void kw_mesh_mirror(struct kw_mesh *m, int axis);
double kw_mesh_volume(const struct kw_mesh *m);
struct kw_box3 kw_mesh_box(const struct kw_mesh *m);
/// Whether every edge is shared by exactly two triangles in opposite directions.
bool kw_mesh_is_closed(const struct kw_mesh *m);

/// Triangulates a polygon with holes given as chains of points (first counter-clockwise, the others
/// clockwise; `starts` has chain_count + 1 entries into the point list). Returns triangles as
/// indices, by ear clipping with bridged holes; false when the polygon is not simple.
bool kw_triangulate(struct kw_arena *a, const struct kw_vec2 *points, const int *starts,
                    int chain_count, int (**triangles)[3], int *triangle_count);
