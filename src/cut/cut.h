// SPDX-License-Identifier: Apache-2.0
// cut: from parts placed on a sheet to the torch's moves and the program text. Pure: no files, no
// clock, no knowledge of kits. Sheet frame: origin lower left, x right, y up, mm; speeds mm/s,
// accelerations mm/s2, times s.
//
// The torch centre follows each finished outline at half a kerf in the scrap; holes before their
// outline, whatever lies inside a hole before that hole, marks before everything.
#pragma once

#include "base/base.h"
#include "geom/geom.h"

/// How one material is cut: a row of the shop's cut table.
struct kw_cut_rule {
    double kerf;          ///< mm that the torch removes, > 0
    double feed;          ///< mm/s, > 0
    double pierce_delay;  ///< s at the pierce before the lead-in starts, >= 0
    double pierce_height; ///< mm above the sheet
    double cut_height;    ///< mm above the sheet
    double lead_in;       ///< mm wanted between pierce and outline's kerf line; shortened to fit
    bool lead_arc;        ///< lead-ins are quarter circles that run into the contour, where there
                          ///< is room, else straight
    double corner_feed;   ///< part of `feed` near sharp corners; 0: no slowing
    double zone;          ///< mm before and after a sharp corner, and before a contour's end, where
                          ///< torch height is locked (and, at corners, corner_feed holds)
    double hole_feed;     ///< part of `feed` in small holes; 0 means 0.6 (common practice)
    double hole_feed_below; ///< mm: contours of holes whose smaller box side is below go slowly
    double overburn;        ///< mm that the cut of a hole runs on over its start; 0 none
    double least_hole;      ///< mm: a hole with a smaller box side is a problem; 0 no limit
    double amps;            ///< for the program's heading; 0 when not known
    bool left_is_square;    ///< the swirl runs the other way: outlines counter-clockwise, holes
                            ///< clockwise
};

/// What the name of a program may be made of.
enum kw_cut_letters {
    KW_CUT_ANY_LETTERS, ///< letters, digits, '-' and '_'
    KW_CUT_CAPITALS,    ///< capitals and digits
    KW_CUT_DIGITS,
};

/// What the table's controller reads, and how the table moves. kw_cut_controller_usual() fills in
/// the ordinary values; change what differs.
struct kw_cut_controller {
    enum kw_length_unit units; ///< of the program text: G21 or G20
    int decimals;              ///< after the point, 3..6 in mm, 4..6 in inches (fewer would break
                               ///< the arc rule of 0.002 mm and are raised); usual: the fewest
    int line_numbers;          ///< step between N words; 0 none
    bool percent;              ///< the text begins and ends with a line "%"
    const char *torch_on;      ///< "M3" (also when NULL); words of one line
    const char *torch_off;     ///< "M5" (also when NULL)
    const char *const *before_pierce; ///< lines before the torch goes on (height finding), or NULL
    int before_pierce_count;
    const char *const *at_cut; ///< lines after the pierce delay (down to cut height), or NULL
    int at_cut_count;
    const char *const *header; ///< lines after the units and modes, or NULL
    int header_count;
    const char *const *footer; ///< lines before the end word, or NULL
    int footer_count;
    const char *lock, *unlock; ///< lines that lock and free torch height control, or NULL
    const char *stop;          ///< line of a stop at which the operator clears parts, or NULL: "M1"
    bool trace; ///< before the first cut: torch off round the nest, and to the two ends of the
                ///< sheet's lower edge for squaring it, with a stop after each
    bool arcs_by_radius;  ///< R words, in pieces of at most a quarter turn, instead of I and J
    bool all_decimals;    ///< numbers with all their decimals: 1.500, not 1.5
    const char *end;      ///< "M2" (also when NULL) or "M30"
    bool moves_height;    ///< the program moves Z: pierce height, cut height, lift to travel_height
    double travel_height; ///< mm above the sheet on travels; used when moves_height
    double rapid;         ///< mm/s, > 0
    double acceleration;  ///< mm/s2, > 0
    double corner_speed;  ///< mm/s at which the table takes a square corner; sharper ones slower,
                          ///< so that the jump of velocity is the same; 0 stops at each
    double height_finding;   ///< s before each pierce for finding the sheet
    const char *scribe_down; ///< words that set a scribe on the sheet; NULL: the table has none
    const char *scribe_up;
    double scribe_delay;   ///< s that it takes to come down
    double scribe_feed;    ///< mm/s, > 0
    struct kw_vec2 scribe; ///< its point, seen from the torch's middle
    struct kw_vec2 reach;  ///< mm: the torch's middle goes from (0,0) to here; 0: not known
    int longest_name;      ///< letters of a program name that the controller holds; 0 no limit
    enum kw_cut_letters name_letters;
};
struct kw_cut_controller kw_cut_controller_usual(void);

/// A straight piece: a mark to be cut, or an edge to stay away from.
struct kw_cut_line {
    struct kw_vec2 from, to;
};

/// A line to be etched before anything is cut: open, sheet frame, where the scribe's point goes.
struct kw_cut_etch {
    struct kw_path line;
    int part; ///< that it lies in
};

struct kw_cut_part {
    const char *name;        ///< "KIT/PART#copy"
    struct kw_region region; ///< finished outline in sheet coordinates, outer ccw, holes cw
    const int *avoid;        ///< tags of segments that matter: no tab there, and no start unless no
                             ///< other place is left (then KW_CUT_START_MATTERS)
    int avoid_count;
    double
        tab_width; ///< mm of metal in each holding tab of the outside; 0: none, the part falls free
    bool may_tip;  ///< can stand up once it is cut: nothing travels over it without a stop before
};

struct kw_cut_sheet {
    double width, height;          ///< mm
    const struct kw_path *outline; ///< NULL: the rectangle; else what is there of it
    const struct kw_cut_part *parts;
    int part_count;
    const struct kw_cut_line *marks; ///< cuts that are meant to enter a part (nicks at bend ends)
    int mark_count;
    const struct kw_cut_etch *etches; ///< none without a scribe
    int etch_count;
    const struct kw_box2 *clamps; ///< where nothing may be pierced, nor led in
    int clamp_count;
    const struct kw_cut_line *scrap; ///< cuts of what is left, after all parts: a drop's edge, a
                                     ///< skeleton cut up; only where they keep off every outline
    int scrap_count;
    bool share_straight; ///< parts without tabs a kerf apart along equal straight edges that may be
                         ///< cut anywhere share the cut there
    double tab_every;    ///< mm of edge for each holding tab; 0: 8 in (common practice)
    double heat_gap; ///< mm: no three parts after another whose middles are nearer than this to the
                     ///< one before, while others are left; 0: heat is no matter
};

enum kw_cut_move_kind {
    KW_CUT_RAPID,  ///< torch off, straight
    KW_CUT_PIERCE, ///< torch on and wait, from == to
    KW_CUT_LEAD,   ///< torch on in scrap, onto the contour
    KW_CUT_LINE,   ///< torch on along the contour
    KW_CUT_ARC,    ///< torch on along the contour
    KW_CUT_OVER,   ///< torch on over the start of a finished contour (line or arc)
    KW_CUT_MARK,   ///< torch on along a mark
    KW_CUT_SCRIBE, ///< torch off, the scribe comes down, from == to
    KW_CUT_ETCH,   ///< torch off, scribe down, line or arc; lifted at the end of a run of these
};

struct kw_cut_move {
    enum kw_cut_move_kind kind;
    struct kw_vec2 from, to;
    double bulge;  ///< of the way from `from` to `to`; 0 straight; |bulge| <= 1
    double feed;   ///< mm/s (rapid speed on rapids, 0 at pierces)
    double length; ///< mm
    double time;   ///< s, limited by acceleration, arcs and corners, with look-ahead
    int contour;   ///< index into contours
    bool locked;   ///< torch height control is locked
};

#define KW_CUT_SCRAP  (-2)
#define KW_CUT_ETCHED (-3)
struct kw_cut_contour {
    int part; ///< index of the part; -1 for a mark; KW_CUT_SCRAP for a cut in scrap;
              ///< KW_CUT_ETCHED for the etched lines of one part
    int hole; ///< index of the hole in the part; -1 the outer outline; the mark's index; the part
              ///< that is etched
    struct kw_vec2 pierce; ///< where the torch goes on
    struct kw_vec2 start;  ///< where the lead-in meets the kerf line
    int first_move, moves; ///< its moves in the plan, travel to it included
    double length;         ///< mm with the torch on, lead and overburn included
    bool slow;             ///< cut at the hole feed
    int tabs;              ///< that hold it
    bool stop_before;      ///< the travel to it passes over a part that may stand up, and no way
                           ///< round is near: stop and pull
};

struct kw_cut_tab {    // metal left in a cut to hold the part
    struct kw_vec2 at; ///< its middle, on the finished outline
    double width;      ///< mm along the outline
    int contour;       ///< index into contours
};

enum kw_cut_trouble {
    KW_CUT_HOLE_CLOSES, ///< nothing is left of a hole or slot at this kerf
    KW_CUT_SLOT_NARROW, ///< part of a hole or of a recess is narrower than the kerf
    KW_CUT_HOLE_SMALL,  ///< smaller than the least hole: cut, but it will not be a good hole
    KW_CUT_NO_LEAD,     ///< no room for a lead-in that stays off every finished outline
    KW_CUT_TOO_NEAR, ///< two outlines, or an outline and the sheet's edge, nearer than half a kerf
    KW_CUT_START_MATTERS, ///< the outside begins on an edge to avoid: no other place is left
    KW_CUT_NO_MARK, ///< a mark outside the sheet or of no length, a line to be etched that leaves
                    ///< its part or that the scribe can't reach: left out
};
const char *kw_cut_trouble_name(enum kw_cut_trouble t); ///< "hole-closes", ...

struct kw_cut_problem {
    enum kw_cut_trouble kind;
    bool unwritable;        ///< the part can't be cut so: its sheet must not be written with it
    int part, hole;         ///< as in kw_cut_contour
    struct kw_vec2 at;      ///< mm, sheet frame
    double measured, limit; ///< mm
};

struct kw_cut_options {
    uint64_t seed;          ///< 0 is as good as any
    double order_steps;     ///< looks at a part while the order is improved; 0: the usual number
    struct kw_watch *watch; ///< may be NULL; only asked to stop
};

/// Everything lives in the arena of the call.
struct kw_cut_plan {
    struct kw_cut_move *moves;
    int move_count;
    struct kw_cut_contour *contours; ///< in cutting order
    int contour_count;
    struct kw_cut_line *scrap; ///< as cut
    int scrap_count;
    struct kw_cut_line *shared; ///< middles of cuts between two parts, edge to edge
    int shared_count;
    double width, height;  ///< of the sheet
    struct kw_box2 around; ///< all parts
    bool *unetched;        ///< by the sheet's etches: it was left out
    double etch_length;    ///< mm with the scribe down
    struct kw_vec2 scribe; ///< as in the controller: moves of an etched contour are the torch's
    struct kw_cut_tab *tabs;
    int tab_count;
    struct kw_cut_problem *problems;
    int problem_count;
    bool writable;       ///< no problem is `unwritable`; else the moves leave those contours out
    double kerf;         ///< as in the rule
    double cut_length;   ///< mm with the torch on: contours, leads, overburns, marks
    double rapid_length; ///< mm, from the sheet's origin through all pierces (no way back)
    double cut_time;     ///< s for everything: moves, pierce delays, travels
    int pierces;
    const char **names; ///< name of each part
    int part_count;
    struct kw_cut_rule rule;
};

/// Plans the cuts of one sheet. KW_STOPPED when the watch says so; KW_RANGE when the rule or the
/// controller's speeds make no sense (kerf or feed not > 0). Problems of the parts are in the plan.
enum kw_status kw_cut_plan_sheet(struct kw_arena *arena, const struct kw_cut_sheet *sheet,
                                 const struct kw_cut_rule *rule,
                                 const struct kw_cut_controller *controller,
                                 const struct kw_cut_options *options, struct kw_cut_plan *plan,
                                 struct kw_error *err);

/// Appends the program: ASCII, RS-274 as in NISTIR 6556 and ISO 6983-1, ends of moves rounded to
/// the controller's decimals, arc centres recomputed on the bisector of the rounded ends, an arc
/// whose rounded ends coincide left out (it is shorter than the last decimal), circles as two half
/// arcs. `title` goes into the heading comment, cut to what a comment may hold.
void kw_cut_program_text(const struct kw_cut_plan *plan, const struct kw_cut_controller *controller,
                         const char *title, struct kw_text *out);

/// `name` as the controller can hold it: of its letters only (others become '-' or fall away), at
/// most longest_name of them (the end is kept, since numbers stand there), and unlike any of
/// `taken`: a number replaces the end of a name that clashes. Into the arena.
char *kw_cut_program_name(struct kw_arena *arena, const struct kw_cut_controller *controller,
                          const char *name, const char *const *taken, int taken_count);
