// SPDX-License-Identifier: Apache-2.0
// The one drawing sink. Whoever draws calls these; SVG and PDF stand behind them (packet).
// Positions are in mm on the page, x right, y DOWN, origin top left. Model geometry (y up) is
// brought onto the page by a kw_view.
#pragma once

#include "geom/path.h"
#include "geom/vec.h"

struct kw_colour {
    double r, g, b; ///< 0..1
};

struct kw_pen {
    double width;            ///< mm; 0: no line
    struct kw_colour colour; ///< of the line
    double dash, gap;        ///< mm; 0: solid
    bool fill;
    struct kw_colour fill_colour;
};

enum kw_align { KW_LEFT, KW_CENTRE, KW_RIGHT };

struct kw_draw {
    void *user;
    /// Closed or open path in page coordinates (y down). Several paths with a fill make one shape,
    /// even-odd.
    void (*paths)(void *user, const struct kw_path *paths, int count, struct kw_pen pen);
    /// Text with its baseline at (x, y); `height` is the height of capitals in mm; `turn` radians
    /// counter-clockwise as the reader sees it.
    void (*text)(void *user, double x, double y, double height, enum kw_align align, bool bold,
                 double turn, struct kw_colour colour, const char *text);
    /// Width in mm that `text` would take; used for fitting.
    double (*text_width)(void *user, double height, bool bold, const char *text);
};

void kw_draw_line(const struct kw_draw *d, double x0, double y0, double x1, double y1,
                  struct kw_pen pen);
void kw_draw_box(const struct kw_draw *d, double x, double y, double w, double h,
                 struct kw_pen pen);
void kw_draw_circle(const struct kw_draw *d, double x, double y, double radius, struct kw_pen pen);
/// A line with a filled head at its end.
void kw_draw_arrow(const struct kw_draw *d, double x0, double y0, double x1, double y1, double head,
                   struct kw_pen pen);

/// From model (y up) to page (y down): fits `model` into the page box, keeping its shape, centred.
struct kw_view {
    double scale; ///< page mm a model mm
    double x, y;  ///< page position of the model's origin
};
struct kw_view kw_view_fit(struct kw_box2 model, double x, double y, double w, double h);
struct kw_vec2 kw_view_point(struct kw_view v, struct kw_vec2 p);
struct kw_path kw_view_path(struct kw_arena *a, struct kw_view v, const struct kw_path *p);
void kw_draw_region(const struct kw_draw *d, struct kw_arena *scratch, struct kw_view v,
                    const struct kw_region *r, struct kw_pen pen);

#define KW_BLACK       ((struct kw_colour){0, 0, 0})
#define KW_WHITE       ((struct kw_colour){1, 1, 1})
#define KW_GREY(level) ((struct kw_colour){(level), (level), (level)})
