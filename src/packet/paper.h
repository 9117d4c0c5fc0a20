// SPDX-License-Identifier: Apache-2.0
// The frame that every sheet of paper shares: head with job, part, revision, count, page x of y and
// a code to scan; boxes for initials, made and scrapped; a caution at the foot. Positions in mm,
// y down. Numbers that are read at a machine are 1/4 in high (PAPER_BIG).
#pragma once

#include "packet/packet.h"

#define PAPER_BIG    6.35 ///< capitals of numbers read at arm's length, mm
#define PAPER_TEXT   2.6  ///< ordinary text
#define PAPER_SMALL  2.1  ///< least text on any sheet
#define PAPER_MARGIN 12.0

struct paper {
    const struct kw_week *week;
    struct kw_arena *scratch; ///< emptied at every new page
    struct kw_pdf *pdf;       ///< NULL while pages are being counted
    struct kw_svg *blind;     ///< measures text while pages are being counted
    struct kw_draw draw;
    double w, h;        ///< of the page
    double top, bottom; ///< free between head and foot
    int page, pages;
};

/// What stands in the head of a sheet.
struct paper_head {
    const char *kind;     ///< "Bend sheet"
    const char *job;      ///< "J7"
    const char *part;     ///< "firewood-rack/foot", or a sheet's program
    const char *revision; ///< NULL: none
    const char *count;    ///< "56 + 3 spare"
    const char *caution;  ///< text of the foot
    bool landscape;
    bool sign_boxes; ///< initials, made, scrapped
};
void paper_begin(struct paper *p, struct paper_head head);

enum kw_length_unit paper_unit(const struct paper *p);
void paper_text(const struct paper *p, double x, double y, double height, bool bold,
                const char *text);
void paper_textf(const struct paper *p, double x, double y, double height, bool bold,
                 const char *fmt, ...) __attribute__((format(printf, 6, 7)));
/// Right-aligned.
void paper_text_right(const struct paper *p, double x, double y, double height, bool bold,
                      const char *text);
/// Wrapped into `width`; returns the y below the last line.
double paper_wrapped(const struct paper *p, double x, double y, double width, double height,
                     bool bold, const char *text);
/// Text made smaller until it fits `width`, but never below PAPER_SMALL: then it is cut with "..".
void paper_fit(const struct paper *p, double x, double y, double width, double height, bool bold,
               const char *text);
/// A small label over a big value. Returns nothing; takes 13 mm of height.
void paper_value(const struct paper *p, double x, double y, double width, const char *label,
                 const char *value);

/// A table: columns with widths and titles, rows of text. Columns whose title starts with ">" are
/// set right. Begins a new page with the same head when it runs off the sheet.
struct paper_column {
    const char *title;
    double width;
};
struct paper_table {
    const struct paper_column *columns;
    int count;
    double x, y, row; ///< y moves down with each row
    double text;      ///< height of capitals
    struct paper_head head;
};
void paper_table_head(struct paper *p, struct paper_table *t);
void paper_table_row(struct paper *p, struct paper_table *t, const char *const *cells);

/// The code to scan, `size` mm square (QR, ISO/IEC 18004).
void paper_code(const struct paper *p, double x, double y, double size, const char *text);

/// Pictures.
/// A folded part seen from the front left above, shaded, in a box. `other_hand` mirrors it.
void paper_part_picture(const struct paper *p, const struct kw_examined *what, bool other_hand,
                        double x, double y, double w, double h);
/// Any mesh in the same view; gives the view, in which paper_project places points of space.
struct kw_view paper_mesh_picture(const struct paper *p, const struct kw_mesh *mesh, double x,
                                  double y, double w, double h);
struct kw_vec2 paper_project(struct kw_vec3 point);
/// Flat blank with bend lines and their names; overall sizes when `sizes`.
void paper_blank_picture(const struct paper *p, const struct kw_examined *what, bool other_hand,
                         bool sizes, double x, double y, double w, double h);
/// Tube: looking along one axis. `axes` picks the page's x and y from the frame ("xz": front view).
/// Gives the box on the page that its outside takes.
struct kw_box2 paper_tube_view(const struct paper *p, const struct kw_examined *what,
                               const char *axes, double x, double y, double w, double h);

/// What the first piece of a bent tube is measured by, and how its turns are set by hand: from `y`
/// on the page that is open, on as many more as it takes; tube_first.c.
void paper_tube_first(struct paper *p, const struct kw_make *m, struct paper_head head, double y);

/// The first-piece list of a folded part from `y` on, on a new page where the whole of it does not
/// fit; returns where it ends.
double paper_measure_list(struct paper *p, const struct kw_examined *what, struct paper_head head,
                          double y);
double paper_measure_height(const struct paper *p, const struct kw_examined *what); ///< mm

/// Tools and part in section near the bend, before the stroke or (`after`) at its end, with the
/// gauge's finger.
void paper_section(const struct paper *p, const struct kw_brake_section *s, bool after,
                   const char *caption, double x, double y, double w, double h);
/// A collision at its moment, with a ring round the spot.
void paper_collision(const struct paper *p, const struct kw_brake_collision *c, double x, double y,
                     double w, double h);
/// The blank with the bends of the step drawn thick and an arrow towards the back of the press.
void paper_bend_on_blank(const struct paper *p, const struct kw_examined *what, bool other_hand,
                         const struct kw_brake_step *s, double x, double y, double w, double h);

// Each draws all its sheets.
void paper_cover(struct paper *p);
void paper_findings(struct paper *p);
void paper_sheet_maps(struct paper *p);
void paper_dimple_sheets(struct paper *p);
void paper_bend_sheets(struct paper *p);
void paper_collisions(struct paper *p); ///< of parts that no order bends, left out of the run
void paper_coupons(struct paper *p);
void paper_tube_sheets(struct paper *p);
void paper_saw_lists(struct paper *p);
void paper_end_cuts(struct paper *p);

/// Whether a piece has more than two square or mitred ends: copes, flats, holes.
bool paper_has_end_cuts(const struct kw_make *m);
/// A cope's template as a closed outline, y up, straight edge along x: the way round the tube.
struct kw_path paper_cope_outline(struct kw_arena *a, const struct kw_make *m, int end);
void paper_pack_lists(struct paper *p);
void paper_weld_lists(struct paper *p);

/// A sheet's map into any sink: parts, order, lead-ins, travel, drops. Used by the page and the
/// SVG.
void paper_map_drawing(const struct kw_draw *d, struct kw_arena *scratch,
                       const struct kw_week *week, const struct kw_run_sheet *sheet, double x,
                       double y, double w, double h, double least_text);

/// The labels on its parts.
void paper_map_labels(const struct kw_draw *d, struct kw_arena *a, const struct kw_week *w,
                      const struct kw_run_sheet *s, struct kw_view view, double least_text);
/// Where a stopped program can be taken up, from `y` on the page that is open; on as many pages
/// more as it takes. Its height where it fits.
void paper_restart_list(struct paper *p, const struct kw_run_sheet *s, struct paper_head head,
                        double y);
double paper_restart_height(const struct kw_run_sheet *s);

const char *paper_length(const struct paper *p, double mm);   ///< "1.500 in"
const char *paper_tape(const struct paper *p, double mm);     ///< "1-1/2 in" or "38 mm"
const char *paper_both(const struct paper *p, double mm);     ///< "1.500 in (1-1/2)"
const char *paper_degrees(const struct paper *p, double rad); ///< "90.0 deg"
const char *paper_mass(const struct paper *p, double kg);
const char *paper_date(const struct paper *p, int yyyymmdd);
const char *paper_money(const struct paper *p, double amount);
const char *paper_job(const struct paper *p, int make); ///< "J7"
