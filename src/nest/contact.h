// SPDX-License-Identifier: Apache-2.0
// Private to nest: where two outlines touch. A pose is a part turned one way, with its box's lower
// left corner at (0, 0). Pose M at q keeps the spacing from pose F at p unless q - p lies strictly
// inside one of the convex polygons F_i + (-M_j) + disc: the forbidden places of the pair.
//
// All of the search works in the scan frame: u runs along the sheet's longer side (the nest grows
// along u, so that the drop is a strip across), v across it. Axis 0: u = x, v = y. Axis 1: swapped.
#pragma once

#include "nest/four.h"
#include "nest/pieces.h"

/// Touching is free; an overlap below this is taken for touching (mm).
#define TOUCH_MM 1e-6

struct pose {
    int part; ///< -1: an obstacle (what of the full rectangle is not sheet)
    double rotation;
    bool mirrored;
    struct kw_vec2 corner; ///< lower left corner of the turned outline's box in x, y
    struct kw_vec2 size;   ///< of that box in u, v
    struct pieces pieces;  ///< in u, v
};

/// A side of a convex polygon: all of it has x * p.x + y * p.y <= reach.
struct side {
    double x, y; ///< unit vector, outwards
    double reach;
};

/// A convex polygon as two chains from its leftmost to its rightmost points.
struct forbidden {
    struct kw_box2 box;
    const struct side *sides; ///< NULL where the contacts are made without
    int side_count;
    const struct kw_vec2 *low, *high;
    int low_count, high_count;
};

struct contact {
    struct kw_box2 box; ///< around all of it
    struct forbidden *v;
    int count;
    // The same for the innermost loop, side by side in memory; NULL without sides.
    const struct four_boxes *boxes; ///< of v, four by four
    const struct two_sides *pairs;  ///< of all of v, one after another
    const int *first_pair;          ///< by v, and one more: the end
};

/// The interval of v in which the polygon forbids the line at u. u strictly inside the box.
void forbidden_across(const struct forbidden *f, double u, double *from, double *to);
/// Whether a place lies inside, by more than touching.
bool forbids(const struct forbidden *f, struct kw_vec2 at);
/// One end of that interval, and how it changes just right of u.
struct sloped {
    double v, slope;
};
struct sloped forbidden_bottom(const struct forbidden *f, double u);
struct sloped forbidden_top(const struct forbidden *f, double u);

/// Forbidden places of pairs of poses, made when first asked for. Emptied when it has grown large:
/// never during a search for one place.
struct contacts {
    const struct pose *poses;
    int pose_count;
    bool with_sides;
    double spacing; ///< between parts
    double margin;  ///< to obstacles
    struct contact_entry *slots;
    int slot_count, used;
    struct pieces *still, *moving; ///< by pose, as they are added; without points: not yet made
    struct kw_vec2 *room;          ///< for sums that are being made
    int room_size;
    struct kw_arena arena;
};
const struct contact *contact_of(struct contacts *c, int fixed, int moving);
/// The same with u and v exchanged where `swapped`, and then moved by -slant * v along u.
struct contact contact_mapped(struct kw_arena *a, const struct contact *c, bool swapped,
                              double slant);
bool contacts_trim(struct contacts *c); ///< empties the cache if it is over its size; whether
void contacts_free(struct contacts *c);
