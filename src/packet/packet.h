// SPDX-License-Identifier: Apache-2.0
// packet: all that a run puts on paper and in machine files. run.json, a program and a map a sheet,
// DXF and SVG a blank, packet.pdf. The only user of cairo, pango and qrencode. Also prints the
// tables that `check`, `part`, `run` and `quote` show on a terminal.
#pragma once

#include "base/base.h"
#include "geom/geom.h"
#include "packet/bend_judged.h" // IWYU pragma: export
#include "run/run.h"
#include "verify/verify.h"

/// Writes SHOP/runs/NAME/: into a temporary folder, judged by src/verify, then exchanged with the
/// old one in one step. KW_JUDGE when a judge refuses (nothing is left behind). `made_by` is
/// written into run.json. *path gets the packet's folder, in the week's arena.
enum kw_status kw_packet_write(const struct kw_week *week, const char *shop_folder,
                               const char *made_by, const struct kw_watch *watch, const char **path,
                               struct kw_error *err);

/// run.json of the week (keys: design.md section 9, docs/formats/run.md).
void kw_packet_run_json(const struct kw_week *week, const char *made_by, struct kw_text *out);
/// How many ends of the tubes that are made follow from the assembly: what their judge must see.
int kw_packet_fitted_ends(const struct kw_week *week);
/// "14 ga hot-rolled sheet", of a drop with its name: "14 ga hot-rolled sheet, drop W46-B".
const char *kw_packet_sheet_text(struct kw_arena *a, const struct kw_run_sheet *s);
/// An outline as run.json has it, [[x, y, bulge], ...], after a key or in a list.
void kw_packet_outline_json(struct kw_json *j, const struct kw_path *p, int decimals);
/// Key "findings" and its list into an open object.
void kw_packet_findings_json(struct kw_json *j, const struct kw_findings *findings);

/// Appends the program that goes on after a stop, made from the text of a whole one: heading, then
/// all from a part ("KIT/PART#copy", as its block is labelled) or from a pierce (its number) on.
/// KW_UNKNOWN when it isn't there; KW_JUDGE when the judge of restarts refuses what was made.
enum kw_status kw_packet_restart(struct kw_arena *a, const char *text, size_t length,
                                 const struct kw_backplot_words *words, const char *from,
                                 struct kw_text *out, struct kw_error *err);
/// The words and lines that the programs of this controller hold, for their readers. In the arena.
struct kw_backplot_words kw_packet_words(struct kw_arena *a, const struct kw_controller *c);

/// SVG of a drawing of w x h mm. The sink lives until kw_svg_end, which appends the document.
struct kw_svg;
struct kw_svg *kw_svg_begin(double w, double h);
struct kw_draw kw_svg_draw(struct kw_svg *svg);
struct kw_draw kw_svg_draw_nothing(struct kw_svg *svg); ///< draws nothing: text is measured alone
void kw_svg_end(struct kw_svg *svg, struct kw_text *out);

/// PDF of several pages. Creation date fixed to yyyymmdd, so that the bytes repeat.
struct kw_pdf;
struct kw_pdf *kw_pdf_begin(const char *path, int date, struct kw_error *err);
struct kw_draw kw_pdf_page(struct kw_pdf *pdf, double w, double h); ///< ends the page before
enum kw_status kw_pdf_end(struct kw_pdf *pdf, struct kw_error *err);

/// Blank of a part as a drawing true to size, with bend lines, their way, angle and radius, and
/// marks, on layers with the first name that the shop gives each: DXF (R12; inches or mm as the
/// shop reads) and SVG (mm). Both read back as the same outline.
void kw_packet_blank_dxf(const struct kw_shop *shop, const struct kw_examined *what,
                         bool other_hand, struct kw_text *out);
void kw_packet_blank_svg(const struct kw_shop *shop, const struct kw_examined *what,
                         bool other_hand, struct kw_text *out);
/// A mesh in mm as a binary file for other programs: glTF 2.0 (GLB, ISO/IEC 12113; in metres, y up)
/// under a name of plain letters, and binary STL (mm, z up).
void kw_packet_glb(const struct kw_mesh *mesh, const char *name, struct kw_text *out);
void kw_packet_stl(const struct kw_mesh *mesh, const char *name, struct kw_text *out);

/// One closed outline as DXF on layer CUT, true size.
void kw_packet_outline_dxf(const struct kw_shop *shop, const struct kw_path *outline,
                           struct kw_text *out);

/// Terminal tables, plain text, at most 100 columns.
void kw_packet_print_findings(const struct kw_findings *findings, struct kw_text *out);
void kw_packet_print_part(const struct kw_shop *shop, const struct kw_examined *what,
                          struct kw_text *out);
void kw_packet_print_week(const struct kw_week *week, struct kw_text *out);
void kw_packet_print_quote(const struct kw_week *week, int count, struct kw_text *out);
