// SPDX-License-Identifier: Apache-2.0
// One font for papers and pictures, measured the same way for both.
#pragma once

#include <pango/pangocairo.h>
#include <stdbool.h>

/// Height of capitals over the font's size in DejaVu Sans (1493 of 2048 units).
#define KW_CAP_HEIGHT 0.729
/// A layout of `text` whose capitals are `height` mm tall, in a space of 1 unit a mm. Unref it.
PangoLayout *kw_text_layout(cairo_t *cr, double height, bool bold, const char *text);
double kw_text_layout_width(PangoLayout *layout);    ///< mm
double kw_text_layout_baseline(PangoLayout *layout); ///< mm below the layout's top
