// SPDX-License-Identifier: Apache-2.0
// Steps of planning a week, in the order in which week.c calls them. Each reads what the ones
// before it wrote into the week.
#pragma once

#include "run/run.h"

/// Boxes of each kit wanted, pieces of each part: run_kits, makes, and what is left out because a
/// part can't be made. Also examines every ordered kit and cuts each blank once by itself, so that
/// a hole that closes is known before anything is nested.
enum kw_status run_demand(struct kw_week *w, const struct kw_run_options *o, struct kw_error *err);
/// Nests and torch plans of every sheet stock.
enum kw_status run_sheets(struct kw_week *w, const struct kw_run_options *o, struct kw_error *err);
/// The torch plans of all sheets, whose placements are set (cutting.c).
enum kw_status run_cut_sheets(struct kw_week *w, const struct kw_run_options *o,
                              struct kw_error *err);
/// The torch plan of a sheet whose placements are set; the sheet joins the week (cutting.c).
enum kw_status run_take_sheet(struct kw_week *w, const struct kw_run_options *o,
                              struct kw_run_sheet *sheet, struct kw_error *err);
/// Shares of times, ways and pierces become those of one piece.
void run_per_piece(struct kw_week *w);
/// The only make, into the free space of planned sheets (again.c).
enum kw_status run_again_sheets(struct kw_week *w, const struct kw_run_options *o,
                                const struct kw_taken *taken, int count, struct kw_error *err);
/// The proven sheets that are still what they were, for a nest of makes[] on racks[]; *from[k]
/// tells which of o->standing the k-th is (standing.c).
struct kw_nest_standing *run_standing(struct kw_week *w, const struct kw_run_options *o,
                                      const int *makes, int make_count,
                                      const struct kw_nest_job *job,
                                      const struct kw_rack_item *const *racks,
                                      const struct kw_stock *stock, int *count, int **from);
struct kw_box2 run_clamp_box(const struct kw_clamp *c); ///< table_work.c
/// What is there of a rack's sheet, from its corner up to width and height, less what the table's
/// clamps hold and what is spoiled; NULL: all of that rectangle. `rack` NULL: a whole sheet.
const struct kw_region *run_free_sheet(struct kw_week *w, const struct kw_rack_item *rack,
                                       double width, double height);
double run_sheet_area(const struct kw_region *free, double width,
                      double height); ///< mm2, clamps too
/// Whether some of the sheet is not there (clamps lie on what is).
bool run_is_cut_down(const struct kw_region *free, double width, double height);
/// A make as the nest takes it: its blank, the turns it may lie in, grain.
struct kw_nest_part run_nest_part(struct kw_week *w, const struct kw_make *m, int count);
/// Makes for what would be scrap: test pieces first, then fillers (scrap.c). KW_UNKNOWN with its
/// place for a filler that is no part.
enum kw_status run_scrap_makes(struct kw_week *w, const struct kw_run_options *o,
                               struct kw_error *err);
/// Adds to a layout what finds room of the extra pieces of makes[] (parallel to the job's parts),
/// outside its drops and without moving anything.
enum kw_status run_fill_scrap(struct kw_week *w, const struct kw_nest_job *job,
                              const struct kw_rack_item *rack, const int *makes,
                              const struct kw_nest_options *options, struct kw_nest_layout *layout,
                              struct kw_error *err);
/// The nicks that tell a coupon from its like.
void run_coupon_nicks(struct kw_week *w, const struct kw_make *make, struct kw_move2 m,
                      struct kw_cut_line **marks, int *count);
/// Test pieces that found no room: a note for each stock.
void run_report_coupons(struct kw_week *w);
/// Names of the sheets' programs as the control holds them, and a note where some are shortened.
void run_program_names(struct kw_week *w);
/// Saw lists of every stick stock.
enum kw_status run_saws(struct kw_week *w, const struct kw_run_options *o, struct kw_error *err);
/// The order of sawing on each stick, and how each piece is laid; saw_order.c.
void run_order_saw(struct kw_week *w, struct kw_run_saw *saw);
/// One packing a kit, and how many boxes can be filled.
enum kw_status run_packings(struct kw_week *w, struct kw_error *err);
void run_buys(struct kw_week *w);
void run_loads(struct kw_week *w);
void run_costs(struct kw_week *w);

/// Cuts the blank of a make by itself: *ok false when it has no program.
enum kw_status run_try_cut(struct kw_week *w, struct kw_make *make, bool *ok, struct kw_error *err);
/// The make of one part in one hand, nothing wanted yet.
struct kw_make run_make_row(struct kw_week *w, const struct kw_run_kit *row, int part,
                            enum kw_hand hand);
void run_leave_out(struct kw_week *w, const struct kw_kit *kit, const char *part, int count,
                   const char *why);
/// The cut rule as the engine takes it.
struct kw_cut_rule run_cut_rule(const struct kw_week *w, const struct kw_cut_entry *entry);
/// Turns a problem of the cut engine into a finding of the part.
void run_cut_finding(struct kw_week *w, const struct kw_make *make, const struct kw_cut_problem *p,
                     const char *frame);
/// Holding tabs, tipping and edges to avoid of a part that lies at `m`; table_work.c.
void run_table_part(struct kw_week *w, const struct kw_make *make, struct kw_move2 m,
                    struct kw_cut_part *part);
/// Moves neighbours of a sheet together to share cuts where the shop does; its spacing is then one
/// kerf; shared_cuts.c.
void run_share_cuts(struct kw_week *w, struct kw_run_sheet *s);
/// Clamps, cuts in scrap and heat of a sheet; table_work.c.
void run_table_sheet(struct kw_week *w, const struct kw_run_sheet *s, struct kw_cut_sheet *out);
/// Nicks at the ends of the bend lines of a make, in the blank's frame, moved by `m`; appended;
/// marks.c.
void run_bend_marks(struct kw_week *w, const struct kw_make *make, struct kw_move2 m,
                    struct kw_cut_line **marks, int *count);
/// Fills in the lines to be etched on a make's blank, in its frame, where the table etches;
/// marks.c.
void run_make_etches(struct kw_week *w, struct kw_make *make);
/// The same lines of a blank that lies at `m`, as the cut engine takes them; appended.
void run_place_etches(struct kw_week *w, const struct kw_make *make, struct kw_move2 m, int part,
                      struct kw_cut_etch **etches, int *count);
int run_per_kit(const struct kw_part *part, enum kw_hand hand); ///< pieces in one box
bool run_is_sheet(const struct kw_make *make);
/// Text of a length in the shop's unit, in the week's arena.
const char *run_length(struct kw_week *w, double mm);
