// SPDX-License-Identifier: Apache-2.0
// A lower bound for the rapid travel of any order of cuts whose starts are chosen.
#pragma once

#include "geom/geom.h"

/// Where the torch goes on and off at one contour.
struct route_stop {
    struct kw_vec2 in, out;
};

/// No way from `from` through all stops, in whatever order, is shorter than this, mm. The one-tree
/// ascent of Held and Karp (The traveling-salesman problem and minimum spanning trees, Operations
/// Research 18, 1970, and part II, Mathematical Programming 1, 1971).
/// `upper`: length of a known order, for the length of the steps.
double route_bound(struct kw_arena *a, struct kw_vec2 from, const struct route_stop *stops,
                   int count, double upper, int rounds);
