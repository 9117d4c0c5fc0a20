// SPDX-License-Identifier: Apache-2.0
// Private to server: forms of parts (form.c, form_stick.c).
#pragma once

#include "server/inside.h"

struct form {
    struct kw_mesh mesh;
    int (*lines)[2];
    int line_count;
};

/// A tube or bar at t in 0..1: 0 the straight stick, 1 finished; in between its bends are made one
/// after the other. Frame: a bent tube's own (start of its centreline at the origin); a straight
/// one lies along x from the origin, its section behind and above, as it stands in an assembly.
/// The section of a round one is a polygon of 48 corners of the same area.
bool form_stick(struct kw_arena *a, const struct kw_examined *what, double t, struct form *out);
/// Its table in the order of the kit file.
const struct kw_tube_table *form_table(struct kw_arena *a, const struct kw_examined *what);
bool form_is_bent(const struct kw_examined *what);
