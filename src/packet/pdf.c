// SPDX-License-Identifier: Apache-2.0
// The drawing sink as PDF by cairo. Lengths in mm; the creation date is the run's, so that the same
// week gives the same bytes.
#include "packet/packet.h"
#include "packet/text_layout.h"

#include <cairo-pdf.h>
#include <stdlib.h>

#define POINTS_PER_MM (72 / KW_MM_PER_IN)

struct kw_pdf {
    cairo_surface_t *surface;
    cairo_t *cr;
    bool page_open;
    const char *path;
};

static void set_colour(cairo_t *cr, struct kw_colour c) {
    cairo_set_source_rgb(cr, c.r, c.g, c.b);
}

static void add_path(cairo_t *cr, const struct kw_path *p) {
    if (p->count == 0) return;
    cairo_move_to(cr, p->v[0].x, p->v[0].y);
    int n = kw_path_segments(p);
    for (int i = 0; i < n; i++) {
        struct kw_segment s = kw_path_segment(p, i);
        if (!(s.radius > 0)) {
            cairo_line_to(cr, s.b.x, s.b.y);
            continue;
        }
        double from = atan2(s.a.y - s.centre.y, s.a.x - s.centre.x);
        if (s.sweep > 0) {
            cairo_arc(cr, s.centre.x, s.centre.y, s.radius, from, from + s.sweep);
        } else {
            cairo_arc_negative(cr, s.centre.x, s.centre.y, s.radius, from, from + s.sweep);
        }
    }
    if (!p->open) cairo_close_path(cr);
}

static void pdf_paths(void *user, const struct kw_path *paths, int count, struct kw_pen pen) {
    struct kw_pdf *pdf = user;
    cairo_t *cr = pdf->cr;
    cairo_new_path(cr);
    for (int i = 0; i < count; i++) {
        cairo_new_sub_path(cr);
        add_path(cr, &paths[i]);
    }
    if (pen.fill) {
        set_colour(cr, pen.fill_colour);
        cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
        cairo_fill_preserve(cr);
    }
    if (pen.width > 0) {
        double dash[2] = {pen.dash, pen.gap};
        set_colour(cr, pen.colour);
        cairo_set_line_width(cr, pen.width);
        cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
        cairo_set_dash(cr, dash, pen.dash > 0 ? 2 : 0, 0);
        cairo_stroke_preserve(cr);
    }
    cairo_new_path(cr);
}

static void pdf_text(void *user, double x, double y, double height, enum kw_align align, bool bold,
                     double turn, struct kw_colour ink, const char *text) {
    struct kw_pdf *pdf = user;
    PangoLayout *layout = kw_text_layout(pdf->cr, height, bold, text);
    double width = kw_text_layout_width(layout);
    cairo_save(pdf->cr);
    cairo_translate(pdf->cr, x, y);
    cairo_rotate(pdf->cr, -turn);
    double shift = align == KW_LEFT ? 0 : align == KW_CENTRE ? width / 2 : width;
    cairo_translate(pdf->cr, -shift, -kw_text_layout_baseline(layout));
    cairo_scale(pdf->cr, 1 / KW_TEXT_FINE, 1 / KW_TEXT_FINE);
    cairo_move_to(pdf->cr, 0, 0);
    set_colour(pdf->cr, ink);
    pango_cairo_show_layout(pdf->cr, layout);
    cairo_restore(pdf->cr);
    g_object_unref(layout);
}

static double pdf_text_width(void *user, double height, bool bold, const char *text) {
    struct kw_pdf *pdf = user;
    return kw_text_width(pdf->cr, height, bold, text);
}

struct kw_pdf *kw_pdf_begin(const char *path, int date, struct kw_error *err) {
    struct kw_pdf *pdf = calloc(1, sizeof *pdf);
    kw_assert(pdf);
    pdf->path = path;
    pdf->surface = cairo_pdf_surface_create(path, 612, 792);
    if (cairo_surface_status(pdf->surface) != CAIRO_STATUS_SUCCESS) {
        kw_fail(err, KW_IO, (struct kw_place){.file = path}, "can't write: %s",
                cairo_status_to_string(cairo_surface_status(pdf->surface)));
        cairo_surface_destroy(pdf->surface);
        free(pdf);
        return NULL;
    }
    char day[40];
    snprintf(day, sizeof day, "%04d-%02d-%02dT00:00:00Z", date / 10000, date / 100 % 100,
             date % 100);
    cairo_pdf_surface_set_metadata(pdf->surface, CAIRO_PDF_METADATA_CREATE_DATE, day);
    cairo_pdf_surface_set_metadata(pdf->surface, CAIRO_PDF_METADATA_TITLE, "Shop packet");
    pdf->cr = cairo_create(pdf->surface);
    cairo_scale(pdf->cr, POINTS_PER_MM, POINTS_PER_MM);
    return pdf;
}

struct kw_draw kw_pdf_page(struct kw_pdf *pdf, double w, double h) {
    if (pdf->page_open) cairo_show_page(pdf->cr);
    pdf->page_open = true;
    cairo_pdf_surface_set_size(pdf->surface, w * POINTS_PER_MM, h * POINTS_PER_MM);
    return (struct kw_draw){pdf, pdf_paths, pdf_text, pdf_text_width};
}

enum kw_status kw_pdf_end(struct kw_pdf *pdf, struct kw_error *err) {
    if (pdf->page_open) cairo_show_page(pdf->cr);
    cairo_status_t c = cairo_status(pdf->cr);
    cairo_destroy(pdf->cr);
    cairo_surface_finish(pdf->surface);
    cairo_status_t s = cairo_surface_status(pdf->surface);
    cairo_surface_destroy(pdf->surface);
    enum kw_status result = KW_OK;
    if (c != CAIRO_STATUS_SUCCESS || s != CAIRO_STATUS_SUCCESS) {
        result = kw_fail(err, KW_IO, (struct kw_place){.file = pdf->path}, "can't write: %s",
                         cairo_status_to_string(c != CAIRO_STATUS_SUCCESS ? c : s));
    }
    free(pdf);
    return result;
}
