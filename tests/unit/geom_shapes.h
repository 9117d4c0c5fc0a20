// SPDX-License-Identifier: Apache-2.0
// Random simple outlines of lines and arcs for the tests of geom.
#pragma once

#include "geom/geom.h"

/// Random number in [low, high).
double random_in(uint64_t *state, double low, double high);
/// A random closed counter-clockwise outline that passes kw_path_check, about 100 mm across: a star
/// or a river of lines and arcs, some corners rounded (tangent joins), some sides bulging either
/// way.
struct kw_path random_outline(struct kw_arena *a, uint64_t *state);
/// A random convex outline: a polygon on an ellipse with some corners rounded.
struct kw_path random_convex(struct kw_arena *a, uint64_t *state);
/// A random outline of whole cells of 4 mm with some corners rounded by multiples of 0.5 mm:
/// offsets by multiples of 0.25 mm close its passages and use up its arcs exactly.
struct kw_path random_cells(struct kw_arena *a, uint64_t *state);
