// SPDX-License-Identifier: Apache-2.0
// Private to verify: run.json as plain structs, as far as the judges need it. Reads by jansson,
// keeps numbers as they stand (mm, degrees), and refuses what is not of the stated form: a missing
// key, a wrong type, a number that is not finite or larger than 50 m, an outline of fewer than two
// points, a bulge beyond 1.
#pragma once

#include "base/base.h"
#include "verify/verify.h"

#define KW_RUN_FILE_MOST (256u << 20) ///< bytes of a run.json that is read

struct kw_run_vertex {
    double x, y, bulge; ///< bulge of the segment that leaves here, |bulge| <= 1
};

struct kw_run_outline {
    struct kw_run_vertex *v;
    int count; ///< >= 2
};

struct kw_run_blank {
    const char *part; ///< "KIT/PART"
    const char *hand; ///< "" when the key is absent or null
    const char *material;
    double thickness;
    int count;
    bool good_side; ///< key may be absent: false
    struct kw_run_outline outer;
    struct kw_run_outline *holes;
    int hole_count;
    struct kw_run_outline *marks; ///< open lines to be etched on it
    int mark_count;
};

struct kw_run_placement {
    const char *part;
    const char *hand; ///< "" when absent: then the part's name alone says which blank
    int copy;
    double x, y;
    double rotation; ///< degrees
    bool mirrored;
};

struct kw_run_tab { // a gap left in a cut
    double at[2];
    double width;
};

struct kw_run_mark { // a cut meant to enter a part
    double from[2], to[2];
};

struct kw_run_unetched { // a mark of a placed blank that is left to be made by hand
    const char *part;
    int copy, mark;
};

struct kw_run_sheet {
    const char *id, *material;
    const char *program; ///< "sheets/ID.nc", relative to the packet's folder; "" when absent
    double thickness, kerf, spacing, margin;
    int times;
    struct kw_run_outline outline;
    struct kw_run_outline *keep_out; ///< where nothing may lie nearer than the margin, nor be cut
    int keep_out_count;
    struct kw_run_placement *placements;
    int placement_count;
    struct kw_run_tab *tabs;
    int tab_count;
    struct kw_run_mark *marks;
    int mark_count;
    struct kw_run_mark *scrap_cuts; ///< cuts of what is left, that keep off all parts
    int scrap_cut_count;
    struct kw_run_mark *shared_cuts; ///< middles of cuts that two parts share
    int shared_cut_count;
    struct kw_run_unetched *unetched;
    int unetched_count;
    struct kw_run_outline *drops;
    int drop_count;
    struct kw_run_outline *taken; ///< what an earlier run placed here: nothing comes near it
    int taken_count;
};

struct kw_run_left_out {
    const char *kit, *part; ///< part may be "PART" of that kit or "KIT/PART"
    const char *hand;       ///< "" when absent
    int count;
};

struct kw_run_file {
    struct kw_run_blank *blanks;
    int blank_count;
    struct kw_run_sheet *sheets;
    int sheet_count;
    struct kw_run_left_out *left_out;
    int left_out_count;
};

/// Reads run.json from memory. KW_FORMAT names the key: `run.json: sheets[2].placements[0].x: ...`.
enum kw_status kw_run_file_text(struct kw_arena *a, const char *text, size_t length,
                                struct kw_run_file *run, struct kw_error *err);
/// The same from FOLDER/run.json.
enum kw_status kw_run_file_read(struct kw_arena *a, const char *folder, struct kw_run_file *run,
                                struct kw_error *err);

/// Index of the blank that a placement or left_out entry names, by part and (where given) hand.
/// -1: none; -2: several blanks have the name and no hand tells them apart.
int kw_run_find_blank(const struct kw_run_file *run, const char *part, const char *hand);

struct json_t;
/// The document as jansson has it, NULL (told in `err`) when it is none or has a key twice.
struct json_t *kw_run_json(const char *run_json, size_t length, struct kw_error *err);

/// Gives the bytes of FOLDER/run.json to one that judges them.
typedef enum kw_status kw_judge_text(const char *run_json, size_t length,
                                     struct kw_verdict *verdict, struct kw_error *err);
enum kw_status kw_judge_folder(const char *folder, kw_judge_text *judge, struct kw_verdict *verdict,
                               struct kw_error *err);

/// Adds a fault to a verdict: counts all, keeps the text of the first 100.
void kw_fault(struct kw_verdict *verdict, const char *fmt, ...)
    __attribute__((format(printf, 2, 3)));
