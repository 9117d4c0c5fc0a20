// SPDX-License-Identifier: Apache-2.0
// Private to shape: solids as triangular prisms, and whether they share metal.
#pragma once

#include "shape/inside.h"

/// Meeting by less is no clash: what only touches, or rubs by rounding.
#define SHAPE_DEEPER_MM 0.1

struct prism {
    struct kw_vec3 corner[6];
    struct kw_vec3 axis[4]; ///< normals: of the two triangles, of the three sides
    struct kw_vec3 edge[4]; ///< directions: the three sides, and through
    struct kw_box3 box;
};
struct prisms {
    struct prism *v;
    int count;
    struct kw_box3 box;
};

/// Adds a triangle with what lies `through` it.
void shape_add_prism(struct kw_arena *a, struct prisms *all, const struct kw_vec3 triangle[3],
                     struct kw_vec3 through);
/// A flat of a body with its holes left open, moved by `m` (which may mirror).
void shape_face_prisms(struct kw_arena *a, const struct kw_body *body, int face, struct kw_move3 m,
                       struct prisms *all);
/// A finished bend zone, its parent's frame moved by `m`.
void shape_bend_prisms(struct kw_arena *a, const struct kw_body *body, int bend, struct kw_move3 m,
                       struct prisms *all);
/// Whether two solids share metal deeper than SHAPE_DEEPER_MM; *at a point of it.
bool shape_prisms_meet(const struct prisms *f, const struct prisms *g, struct kw_vec3 *at);
