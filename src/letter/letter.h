// SPDX-License-Identifier: Apache-2.0
// letter: text as lines and outlines for the torch. A single-stroke face of our own for marks;
// letters out of installed fonts for lettering that is cut through; bridges that keep islands in.
// Knows nothing of kits. Millimetres; text runs to the right, its baseline at y = 0, from x = 0.
#pragma once

#include "base/base.h"
#include "geom/geom.h"

/// Open strokes of `text` in the single-stroke face, capitals `height` high (> 0). ASCII; letters
/// outside it are drawn as a small box. Small letters have forms of their own. *width: of the whole
/// text, NULL not wanted. The strokes live in the arena.
struct kw_path *kw_letter_strokes(struct kw_arena *a, const char *text, double height, int *count,
                                  double *width);

/// Outlines of `text` in an installed face ("DejaVu Sans Bold"), capitals `height` high, curves as
/// arcs within `tolerance`. One region a closed outer outline: outer counter-clockwise, holes (the
/// islands' edges) clockwise. KW_MISSING when no such face is installed (never another one in its
/// place), KW_FORMAT when the face has no such letter, KW_GEOMETRY when its letters overlap.
enum kw_status kw_letter_outlines(struct kw_arena *a, const char *text, const char *face,
                                  double height, double tolerance, struct kw_place at,
                                  struct kw_region **out, int *count, double *width,
                                  struct kw_error *err);

/// What is thin about openings, for the caller to tell.
struct kw_opening_state {
    double least_stroke; ///< least width of what the torch removes, mm; infinite: none measured
    double least_web;    ///< least metal between two openings, mm; bridges are such webs
    struct kw_vec2 stroke_at, web_at;
};

/// Turns regions to be cut out (as from kw_letter_outlines or a drawing) into openings without
/// islands: every island is held by two bridges of width `bridge` (one when it is smaller than
/// three bridges), the first where it is shortest, the second where it is shortest away from the
/// first; narrower where an island is smaller than that. An island may hold on to another that is
/// held. What is left are simple closed paths, clockwise, lines and arcs; they live in the arena.
/// NULL and 0 when an island finds no place for a bridge of that width.
struct kw_path *kw_letter_bridged(struct kw_arena *a, const struct kw_region *regions, int count,
                                  double bridge, int *out_count, struct kw_opening_state *state);
