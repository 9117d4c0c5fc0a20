// SPDX-License-Identifier: Apache-2.0
// verify: the second opinion. Judges read the bytes of a finished packet folder (run.json and the
// programs) and nothing of the planner: own arcs, own transforms, own RS-274 reader, coordinates as
// int64 at 1e-4 mm with 128-bit predicates, arcs as inner and outer chords of 0.001 mm. Slow,
// plain, and the definition of correct: what a judge refuses is never written.
#pragma once

#include "base/base.h"
#include "verify/brake_judge.h" // IWYU pragma: export

/// What a judge found: the first faults in plain words, and how much was looked at, so that an "ok"
/// of a judge that saw nothing can be told from a real one.
struct kw_verdict {
    struct kw_arena *arena; ///< set by the caller; texts live here
    const char **faults; ///< e.g. "sheet S1: wide#2 and foot#1 overlap by 0.35 mm at (120.3, 44.0)"
    int fault_count;     ///< all of them; only the first 100 have a text
    int looked_at;       ///< placements, or moves of programs, that were judged
};

/// Judges every nest in FOLDER/run.json: each placement is a known blank, no two finished outlines
/// nearer than the sheet's `spacing`, none nearer than `margin` to the sheet's edge, every blank's
/// count is placed over all sheets (times counted) or named in left_out, mirrored only where
/// stated. KW_JUDGE when there is a fault; KW_FORMAT when run.json is not what design.md section 9
/// says.
enum kw_status kw_judge_nests(const char *folder, struct kw_verdict *verdict, struct kw_error *err);

/// Judges every program named in FOLDER/run.json: read under the rules of RS-274 (NISTIR 6556), it
/// cuts every placed outline within 0.05 mm (inside corners rounded to half a kerf), nothing else,
/// torch off on every travel, inside the sheet; feeds, heights, delays, height control and stops
/// are those that run.json says.
enum kw_status kw_judge_programs(const char *folder, struct kw_verdict *verdict,
                                 struct kw_error *err);

/// Judges every bent tube in FOLDER/run.json: bent once more on the bender said there, in steps of
/// 0.5 mm, nothing enters the floor, a body or the stick behind the die by more than 0.1 mm, and
/// rows and trims come to the length sawn.
enum kw_status kw_judge_tubes(const char *folder, struct kw_verdict *verdict, struct kw_error *err);
enum kw_status kw_judge_tubes_text(const char *run_json, size_t length, struct kw_verdict *verdict,
                                   struct kw_error *err);

/// Judges every end of a tube in FOLDER/run.json that follows from the assembly: cut as told, where
/// each piece of it stands, every line of the tube ends within 0.05 mm of the surface it goes onto,
/// the tube lies before that surface, and it is sawn to the length that takes. looked_at counts
/// ends.
enum kw_status kw_judge_fits(const char *folder, struct kw_verdict *verdict, struct kw_error *err);
enum kw_status kw_judge_fits_text(const char *run_json, size_t length, struct kw_verdict *verdict,
                                  struct kw_error *err);

/// Judges every saw list in FOLDER/run.json: each stick holds its pieces, saw cuts, trim and what
/// the vise must hold, its remainder is as said, every piece wanted is cut to its length or named
/// in left_out, none is cut too often, and no more sticks are used than the rack has. looked_at
/// counts sticks and saw lists.
enum kw_status kw_judge_sticks(const char *folder, struct kw_verdict *verdict,
                               struct kw_error *err);
enum kw_status kw_judge_sticks_text(const char *run_json, size_t length, struct kw_verdict *verdict,
                                    struct kw_error *err);

/// The same on text in memory, for tests and fuzzing. `program` NULL-terminated.
enum kw_status kw_judge_nests_text(const char *run_json, size_t length, struct kw_verdict *verdict,
                                   struct kw_error *err);
/// `sheet_id` names the sheet in run_json whose program this is.
enum kw_status kw_judge_program_text(const char *run_json, size_t length, const char *sheet_id,
                                     const char *program, size_t program_length,
                                     struct kw_verdict *verdict, struct kw_error *err);

struct kw_backplot_words { ///< as in run.json's controller
    const char *torch_on, *torch_off;
    double scribe[2]; ///< mm: the scribe's point, seen from the torch's middle
    const char *const *lines;
    int line_count;
};

/// Judges a program that goes on after a stop: its burns are the last burns of the whole program,
/// move for move, and it reaches the first of them with the torch off. KW_JUDGE when not.
enum kw_status kw_judge_restart(const char *whole, size_t whole_length, const char *rest,
                                size_t rest_length, const struct kw_backplot_words *words,
                                struct kw_error *err);

/// Appends an SVG of the torch's ways as the judge's reader follows them, in a sheet of width x
/// height mm: cuts solid, etched lines fine, travels dashed, a dot at each pierce. KW_FORMAT when
/// the text breaks a rule.
enum kw_status kw_backplot(const char *program, size_t length,
                           const struct kw_backplot_words *words, double width, double height,
                           struct kw_text *out, struct kw_error *err);

/// One motion of a program as its reader follows it.
struct kw_torch_move {
    double from[2], to[2], centre[2]; ///< mm; centre of an arc
    int way;                          ///< 0 straight, 1 counter-clockwise, -1 clockwise
    bool cut;                         ///< the torch is on
    bool etch;                        ///< it is off, and a scribe beside it draws the line
    int burn;                         ///< how many-th time it is on, from 0; -1: off
    double wait;                      ///< s of dwelling before it
    double seconds;                   ///< at its feed, without speeding up and slowing down
    int line;                         ///< of the program
    const char *block; ///< "KIT/PART#copy", "MARKS", "SCRAP"; NULL before the first block
};
/// All motions that move in X or Y, in order, in the arena; rapids at `rapid` mm/s (0: no time).
/// KW_FORMAT when the text breaks a rule.
enum kw_status kw_torch_moves(struct kw_arena *a, const char *program, size_t length,
                              const struct kw_backplot_words *words, double rapid,
                              struct kw_torch_move **moves, int *count, struct kw_error *err);
