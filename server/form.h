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

#define MOST_FRAMES 61
/// Makes the form of one frame; all have the same numbers of points, triangles and lines.
typedef bool (*form_maker)(struct kw_arena *a, const void *user, int frame, int frames,
                           struct form *out);
/// Appends KWF1 bytes; false with nothing added when there is no form.
bool form_write(form_maker make, const void *user, int frames, struct kw_text *out);
/// Query "frames"; false: answered.
bool form_frames(struct call *c, int usual, int *frames);
void form_answer(struct call *c, form_maker make, const void *user, int frames);
