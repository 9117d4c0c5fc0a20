// SPDX-License-Identifier: Apache-2.0
#include "packet/text_layout.h"

#include "packet/packet.h"

PangoLayout *kw_text_layout(cairo_t *cr, double height, bool bold, const char *text) {
    PangoLayout *layout = pango_cairo_create_layout(cr);
    PangoFontDescription *font = pango_font_description_from_string("DejaVu Sans");
    pango_font_description_set_absolute_size(font,
                                             height / KW_CAP_HEIGHT * KW_TEXT_FINE * PANGO_SCALE);
    if (bold) pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
    // Hinting off: widths must scale with the size, whatever the size of the device.
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    pango_cairo_context_set_font_options(pango_layout_get_context(layout), options);
    cairo_font_options_destroy(options);
    // One unit is a millimetre here: rounding positions to whole units would tear words apart.
    pango_context_set_round_glyph_positions(pango_layout_get_context(layout), FALSE);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
    pango_layout_set_text(layout, text, -1);
    return layout;
}

double kw_text_layout_width(PangoLayout *layout) {
    PangoRectangle r;
    pango_layout_get_extents(layout, NULL, &r);
    return (double)r.width / PANGO_SCALE / KW_TEXT_FINE;
}

double kw_text_layout_baseline(PangoLayout *layout) {
    return (double)pango_layout_get_baseline(layout) / PANGO_SCALE / KW_TEXT_FINE;
}

double kw_text_width(cairo_t *cr, double height, bool bold, const char *text) {
    PangoLayout *layout = kw_text_layout(cr, height, bold, text);
    double width = kw_text_layout_width(layout);
    g_object_unref(layout);
    return width;
}
