// SPDX-License-Identifier: Apache-2.0
// Private to verify: reads a program under the rules of RS-274 as the report NISTIR 6556 states
// them, without tool compensation. Strict: what the report calls invalid is refused, and so is what
// can't be judged (parameters, expressions, other planes, moved origins, canned cycles).
#pragma once

#include "base/base.h"

#define KW_RS274_LONGEST_LINE 256 ///< characters
#define KW_RS274_MOST_MOVES   4000000

enum kw_rs274_motion { KW_RS274_RAPID, KW_RS274_LINE, KW_RS274_CW, KW_RS274_CCW };

struct kw_rs274_move { // one motion; those that move neither X nor Y are kept too
    enum kw_rs274_motion motion;
    double from[2], to[2]; ///< mm
    double centre[2];      ///< mm, of an arc
    double sweep;          ///< radians, signed, of an arc: up to a full turn
    double height[2];      ///< mm, Z before and after; NAN until it is said
    double feed;           ///< mm a minute; 0 on rapids
    int burn;              ///< index of the time that the torch is on; -1: it is off
    int line;              ///< 1-based
};

struct kw_rs274_event { // a stop (M0, M1, M60), a dwell, or one of the shop's own lines
    int line, moves;    ///< 1-based; moves before it
    int burns;          ///< how many times the torch has gone on by then
    bool torch;         ///< it is on
    bool stop;
    double dwell;     ///< s; 0 no dwell
    const char *text; ///< the line behind its number, in the program's text
    size_t length;
};

struct kw_rs274_program {
    struct kw_rs274_move *moves;
    int move_count;
    struct kw_rs274_event *events;
    int event_count;
    int burns; ///< how many times the torch goes on
    bool ends_burning;
    int lines;
};

/// `torch_on` and `torch_off`: the words that do it, e.g. "M3" or "M62 P1"; alternatives are parted
/// by '|': "M3|M4". NULL: "M3|M4" and "M5". KW_FORMAT (err->at.line is set) where the text breaks a
/// rule; KW_LIMIT for too many moves.
enum kw_status kw_rs274_read(struct kw_arena *a, const char *text, size_t length,
                             const char *torch_on, const char *torch_off, const char *const *known,
                             int known_count, struct kw_rs274_program *program,
                             struct kw_error *err);

/// Whether it goes at a feed with the torch off: a scribe beside the torch draws it, or it is a
/// fault.
bool kw_rs274_draws(const struct kw_rs274_move *m);
/// Length of the way in XY, mm.
double kw_rs274_length(const struct kw_rs274_move *m);
