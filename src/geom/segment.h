// SPDX-License-Identifier: Apache-2.0
// Private to geom: single segments.
#pragma once

#include "geom/path.h"

/// Exact bounding box.
struct kw_box2 kw_segment_box(struct kw_segment s);
/// Where on s the point lies that is nearest to p, as a part 0..1 of its length.
double kw_segment_nearest(struct kw_segment s, struct kw_vec2 p);
/// As kw_segment_crossings with ends reaching `tolerance` mm further and curves that pass each
/// other by no more than `tolerance` touching.
int kw_segment_meet(struct kw_segment s, struct kw_segment t, double tolerance,
                    struct kw_vec2 out[2]);
/// Least distance between two segments; 0 when they meet within 1e-9 mm. *at is the place on s.
double kw_segment_gap(struct kw_segment s, struct kw_segment t, struct kw_vec2 *at);
/// The part from t0 to t1 (0..1 by length) of s.
struct kw_segment kw_segment_part(struct kw_segment s, double t0, double t1);
/// Squared distance between two boxes, 0 when they overlap.
double kw_box2_gap_squared(struct kw_box2 a, struct kw_box2 b);
