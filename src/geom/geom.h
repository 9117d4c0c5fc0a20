// SPDX-License-Identifier: Apache-2.0
// geom: lengths and angles as people write them, tolerances, vectors, line-and-arc paths, polygons,
// rigid motions, meshes, and the one drawing sink. Knows nothing of the trade.
// Frames are right-handed; +x right, +y up on a flat sheet, +z towards the reader. Millimetres and
// radians throughout; angles turn counter-clockwise.
#pragma once

#include "geom/curve.h" // IWYU pragma: export
#include "geom/draw.h"  // IWYU pragma: export
#include "geom/mesh.h"  // IWYU pragma: export
#include "geom/path.h"  // IWYU pragma: export
#include "geom/units.h" // IWYU pragma: export
#include "geom/vec.h"   // IWYU pragma: export
