// SPDX-License-Identifier: Apache-2.0
// One font for papers and pictures, measured the same way for both.
#pragma once

#include <pango/pangocairo.h>
#include <stdbool.h>

/// Height of capitals over the font's size in DejaVu Sans (1493 of 2048 units).
#define KW_CAP_HEIGHT 0.729
/// Layouts are set this much larger than they are shown: glyph positions are rounded to whole
/// units, which at one unit a millimetre tears words apart (seen: "Ben d sh eet" in the PDF's
/// text).
#define KW_TEXT_FINE 100.0
/// A layout of `text` whose capitals are `height` mm tall, once scaled down by KW_TEXT_FINE. Unref
/// it.
PangoLayout *kw_text_layout(cairo_t *cr, double height, bool bold, const char *text);
double kw_text_layout_width(PangoLayout *layout);    ///< mm
double kw_text_layout_baseline(PangoLayout *layout); ///< mm below the layout's top
/// Width in mm that `text` would take.
double kw_text_width(cairo_t *cr, double height, bool bold, const char *text);
