// SPDX-License-Identifier: Apache-2.0
// Private to verify: what the judge of one program knows.
#pragma once

#include "verify/rs274.h"
#include "verify/torch_shape.h"

#define KW_CUT_SLACK    0.05 ///< mm between a cut's distance to its outline and half the kerf
#define KW_CUT_SAMPLE   0.05 ///< mm between the places that are looked at
#define KW_LONGEST_LEAD 60.0 ///< mm; more cut in scrap than this is no lead-in

#define KW_BURN_MARK  (-2) ///< what a burn cuts that is no outline
#define KW_BURN_SCRAP (-3)

struct kw_cut_outline { // a finished outline where it lies on the sheet
    const char *part;   ///< "KIT/PART#copy"
    int placement;
    int hole;         ///< -1: the outside
    int first, count; ///< its pieces
    double length;
    double out;    ///< +1: scrap on the right of its direction, -1: on the left
    double box[4]; ///< x, y low, x, y high
    int burn;      ///< first burn that cuts it, -1
    int burns;     ///< how many do
    int tabs;      ///< gaps that run.json lists on it
    int shared;    ///< cuts that run.json says it shares with a neighbour
};

struct kw_burn {      // one time the torch is on
    int first, count; ///< its pieces
    int line;         ///< where it begins
    double length;
    int outline; ///< what it cuts; -1 none (a fault), -2 a mark, -3 scrap
    double on;   ///< way along it at which its lead-in ends
};

struct kw_judging {
    struct kw_arena *arena; // scratch
    struct kw_verdict *verdict;
    const struct kw_run_sheet *sheet;
    double half; ///< half the kerf
    struct kw_cut_outline *outlines;
    int outline_count;
    struct kw_pieces shape; ///< of the outlines
    struct kw_grid shape_grid;
    struct kw_pieces edge; ///< of the sheet
    struct kw_grid edge_grid;
    struct kw_burn *burns;
    int burn_count;
    struct kw_pieces cut; ///< of the burns; owner is the outline once that is known
    struct kw_grid cut_grid;
};

struct kw_cut_setting { // what run.json says of a program besides its outlines; 0, NULL: not said
    bool known;         ///< cut_length and pierces are there
    double cut_length;
    int pierces;
    const char *torch_on, *torch_off; // NULL: the usual words
    const char **lines;               // of the shop's own
    int line_count;
    const char *scribe_down, *scribe_up;     ///< words; NULL: no scribe
    double scribe_delay, scribe_feed;        ///< s, mm/s
    double scribe[2];                        ///< mm: its point, seen from the torch's middle
    const char *stop, *lock, *unlock;        ///< lines
    double feed, hole_feed, hole_feed_below; // mm/s, share of it, mm
    double corner_feed;                      ///< share of feed near sharp corners
    double zone;                             ///< mm before a cut's end that is locked
    double pierce_delay;                     ///< s
    double pierce_height, cut_height, travel_height; ///< mm; 0: programs don't move Z
    int *stops;                                      ///< pierces (from 1) with a stop before them
    int stop_count;                                  ///< -1: run.json has no such list
    bool trace;                                      ///< three stops before the first pierce
    double table[2];                                 ///< mm: nothing moves outside it
};
/// The few keys of each of run's sheets that only this judge needs, out of the same text.
struct kw_cut_setting *kw_cut_settings_read(struct kw_arena *a, const char *run_json, size_t length,
                                            const struct kw_run_file *run);
/// Faults of feeds, heights, delays, height control, stops and ways off the table.
void kw_judge_setting(struct kw_judging *j, const struct kw_rs274_program *p,
                      const struct kw_cut_setting *t);

/// Which moves the scribe makes, by index, and the faults of what it etches; program_etch.c.
bool *kw_judge_etching(struct kw_judging *j, const struct kw_run_file *run, const char *text,
                       size_t length, const struct kw_rs274_program *torch,
                       const struct kw_cut_setting *t);

/// "foot#1 hole 2" or "foot#1 outside"
const char *kw_cut_outline_name(struct kw_judging *j, int outline);
/// Even-odd, exact arcs.
bool kw_cut_outline_holds(const struct kw_judging *j, int outline, const double q[2]);

/// Finds what each burn cuts (kw_burn.outline, .on; kw_cut_outline.burn, .burns); faults of those
/// that cut nothing known, enter a part or stay open.
void kw_judge_burns(struct kw_judging *j);
/// Counts the outlines' shared cuts; faults of those that lie between no two parts;
/// program_shared.c.
void kw_judge_place_shared(struct kw_judging *j);
/// Whether a place on an outline is served by a shared cut.
bool kw_judging_at_shared(const struct kw_judging *j, const double q[2]);
/// Faults of shared cuts that are not run along once.
void kw_judge_shared(struct kw_judging *j);
/// Faults where the outline is not followed by its own cut over its whole length.
void kw_judge_cover(struct kw_judging *j, int outline);
