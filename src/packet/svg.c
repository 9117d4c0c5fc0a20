// SPDX-License-Identifier: Apache-2.0
// The drawing sink as SVG (SVG 1.1, W3C). One user unit is one millimetre.
#include "packet/packet.h"
#include "packet/text_layout.h"

#include <stdlib.h>

struct kw_svg {
    double w, h;
    struct kw_text body;
    cairo_surface_t *surface; // for measuring text only
    cairo_t *cr;
};

static void number(struct kw_text *t, double v) {
    char buf[KW_NUMBER_SIZE];
    kw_text_add(t, kw_number(buf, v, 3));
}

static void pair(struct kw_text *t, double x, double y) {
    number(t, x);
    kw_text_add(t, " ");
    number(t, y);
}

static void colour(struct kw_text *t, const char *name, struct kw_colour c) {
    kw_text_addf(t, " %s=\"#%02x%02x%02x\"", name, (unsigned)(c.r * 255 + 0.5),
                 (unsigned)(c.g * 255 + 0.5), (unsigned)(c.b * 255 + 0.5));
}

static void path_data(struct kw_text *t, const struct kw_path *p) {
    if (p->count == 0) return;
    kw_text_add(t, "M");
    pair(t, p->v[0].x, p->v[0].y);
    int n = kw_path_segments(p);
    for (int i = 0; i < n; i++) {
        struct kw_segment s = kw_path_segment(p, i);
        if (s.radius > 0) {
            kw_text_add(t, "A");
            pair(t, s.radius, s.radius);
            kw_text_addf(t, " 0 %d %d ", fabs(s.sweep) > KW_PI ? 1 : 0, s.sweep > 0 ? 1 : 0);
            pair(t, s.b.x, s.b.y);
        } else {
            kw_text_add(t, "L");
            pair(t, s.b.x, s.b.y);
        }
    }
    if (!p->open) kw_text_add(t, "Z");
}

static void svg_paths(void *user, const struct kw_path *paths, int count, struct kw_pen pen) {
    struct kw_svg *svg = user;
    struct kw_text *t = &svg->body;
    kw_text_add(t, "<path d=\"");
    for (int i = 0; i < count; i++)
        path_data(t, &paths[i]);
    kw_text_add(t, "\" fill-rule=\"evenodd\"");
    if (pen.fill) {
        colour(t, "fill", pen.fill_colour);
    } else {
        kw_text_add(t, " fill=\"none\"");
    }
    if (pen.width > 0) {
        colour(t, "stroke", pen.colour);
        kw_text_add(t, " stroke-width=\"");
        number(t, pen.width);
        kw_text_add(t, "\" stroke-linejoin=\"round\"");
        if (pen.dash > 0) {
            kw_text_add(t, " stroke-dasharray=\"");
            pair(t, pen.dash, pen.gap);
            kw_text_add(t, "\"");
        }
    }
    kw_text_add(t, "/>\n");
}

static void escaped(struct kw_text *t, const char *s) {
    for (; *s; s++) {
        if (*s == '<') {
            kw_text_add(t, "&lt;");
        } else if (*s == '&') {
            kw_text_add(t, "&amp;");
        } else {
            kw_text_addn(t, s, 1);
        }
    }
}

static void svg_text(void *user, double x, double y, double height, enum kw_align align, bool bold,
                     double turn, struct kw_colour ink, const char *text) {
    static const char *const anchor[] = {"start", "middle", "end"};
    struct kw_svg *svg = user;
    struct kw_text *t = &svg->body;
    kw_text_add(t, "<text transform=\"translate(");
    pair(t, x, y);
    kw_text_add(t, ")");
    if (turn != 0) {
        kw_text_add(t, " rotate(");
        number(t, -turn * 180 / KW_PI);
        kw_text_add(t, ")");
    }
    kw_text_add(t, "\" font-size=\"");
    number(t, height / KW_CAP_HEIGHT);
    kw_text_addf(t, "\" text-anchor=\"%s\"%s", anchor[align], bold ? " font-weight=\"bold\"" : "");
    colour(t, "fill", ink);
    kw_text_add(t, ">");
    escaped(t, text);
    kw_text_add(t, "</text>\n");
}

static double svg_text_width(void *user, double height, bool bold, const char *text) {
    struct kw_svg *svg = user;
    return kw_text_width(svg->cr, height, bold, text);
}

struct kw_svg *kw_svg_begin(double w, double h) {
    struct kw_svg *svg = calloc(1, sizeof *svg);
    kw_assert(svg);
    svg->w = w;
    svg->h = h;
    svg->surface = cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, NULL);
    svg->cr = cairo_create(svg->surface);
    return svg;
}

struct kw_draw kw_svg_draw(struct kw_svg *svg) {
    return (struct kw_draw){svg, svg_paths, svg_text, svg_text_width};
}

static void no_paths(void *user, const struct kw_path *paths, int count, struct kw_pen pen) {
    (void)user, (void)paths, (void)count, (void)pen;
}

static void no_text(void *user, double x, double y, double height, enum kw_align align, bool bold,
                    double turn, struct kw_colour ink, const char *text) {
    (void)user, (void)x, (void)y, (void)height, (void)align, (void)bold, (void)turn, (void)ink;
    (void)text;
}

struct kw_draw kw_svg_draw_nothing(struct kw_svg *svg) {
    return (struct kw_draw){svg, no_paths, no_text, svg_text_width};
}

void kw_svg_end(struct kw_svg *svg, struct kw_text *out) {
    kw_text_add(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                     "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"");
    number(out, svg->w);
    kw_text_add(out, "mm\" height=\"");
    number(out, svg->h);
    kw_text_add(out, "mm\" viewBox=\"0 0 ");
    pair(out, svg->w, svg->h);
    kw_text_add(out, "\" font-family=\"DejaVu Sans, sans-serif\">\n");
    kw_text_add(out, svg->body.s ? svg->body.s : "");
    kw_text_add(out, "</svg>\n");
    cairo_destroy(svg->cr);
    cairo_surface_destroy(svg->surface);
    kw_text_free(&svg->body);
    free(svg);
}
