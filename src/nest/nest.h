// SPDX-License-Identifier: Apache-2.0
// nest: outlines placed on sheets. Pure and any-time: the first full nest comes fast, the rest of
// the step budget improves it. The same job, seed and steps give the same nest to the last bit,
// whatever the number of threads, unless a clock stops it.
//
// What it minimises, in this order: copies left without a sheet, the value of the sheets used (and
// the cost of programs, where one is given), and then the steel that is not left as useful
// rectangular drops. Outlines are nested as they are (arcs as chords that never lose metal), and
// small parts go into the holes of larger ones.
//
// Placement rule (that of run.json): blank coordinates, mirrored in x first where asked, turned
// counter-clockwise about the blank's origin, then moved. A sheet's origin is its lower left
// corner.
#pragma once

#include "base/base.h"
#include "geom/geom.h"

/// A shape and how many of it are wanted. Everything is borrowed for the time of the call.
struct kw_nest_part {
    const struct kw_region *outline; ///< blank frame, mm; outer counter-clockwise, holes clockwise
    int count;                       ///< 0..KW_NEST_MOST_COPIES copies
    const double *rotations;         ///< radians; NULL with rotation_count 0: 0, 90, 180, 270 deg
    int rotation_count;
    bool may_mirror; ///< may lie turned over on the table (never for a part with a good side)
    bool has_grain;  ///< then only rotations that bring `grain` along the sheet's grain are used
    double grain;    ///< radians from +x of the blank frame; a direction and its reverse are alike
};

/// A kind of sheet that may be used.
struct kw_nest_sheet {
    double width, height;            ///< along x and y, mm
    const struct kw_region *outline; ///< NULL: the full rectangle. Else what is there of it (within
                                     ///< 0..width, 0..height); holes are places to keep out of
    int count;                       ///< how many there are; -1: any number
    double price; ///< of one, any unit; if no kind has a price above 0, areas are compared
    double grain; ///< radians from +x: the direction in which the sheet was rolled
};

struct kw_nest_placement;

/// A layout proven on steel, to be cut again as it is: `copy` of its placements means nothing. It
/// must be legal under the spacing and margin of the call (it is not looked at again) and use
/// rotations that the parts allow; one that does not is passed over.
struct kw_nest_standing {
    int sheet; ///< index into the job's sheets
    const struct kw_nest_placement *placements;
    int placement_count;
};

struct kw_nest_job {
    const struct kw_nest_part *parts;
    int part_count;
    const struct kw_nest_sheet *sheets;
    int sheet_count;
};

#define KW_NEST_MOST_COPIES 100000 ///< copies of all parts together; more is refused

struct kw_nest_options {
    double spacing;    ///< least distance between finished outlines, mm, >= 0
    double margin;     ///< least distance from a finished outline to the sheet's edge, mm, >= 0
    double drop_short; ///< a drop with a shorter side below this is scrap, mm
    double drop_long;  ///< and so is one whose longer side is below this, mm
    uint64_t seed;
    long steps;     ///< budget of work; the first full nest is always made. A million: about 1.5 s
    double seconds; ///< > 0 and watch->now set: also stops after that long (result then varies)
    double program_cost; ///< of one layout more, in the unit of the prices: loading and proving a
                         ///< program. Weighed against the sheets; a standing layout has none
    int threads;         ///< never changes the result
    const struct kw_nest_standing *standing; ///< layouts to use again where they suit
    int standing_count;
    bool piecewise; ///< without patterns that repeat: what they gain is measured against this
    const struct kw_watch *watch; ///< may be NULL
    /// Told of every better nest: the value of its sheets, and how far from its left or lower edge
    /// the emptiest of them is used, mm. Called from the thread of kw_nest. May be NULL.
    void (*better)(void *user, double value, double extent);
    void *better_user;
};
/// Spacing 6 mm, margin 8 mm, drops from 305 x 610 mm (12 x 24 in: common practice, no source),
/// seed 1, a budget of 0.2 s on one core, no clock.
struct kw_nest_options kw_nest_options_default(void);

struct kw_nest_placement {
    int part;        ///< index into the job's parts
    int copy;        ///< 1-based. On a layout cut `times` times it stands for the copies
                     ///< copy, copy + 1, ... copy + times - 1
    double x, y;     ///< mm, rounded to 1e-6
    double rotation; ///< radians in 0..2 pi, one of those allowed
    bool mirrored;
};

/// One layout, cut `times` times on as many sheets of the same kind.
struct kw_nest_layout {
    int sheet;                            ///< index into the job's sheets
    int times;                            ///< >= 1
    int standing;                         ///< index into the options', -1: a new layout
    struct kw_nest_placement *placements; ///< left to right
    int placement_count;
    struct kw_box2 used;   ///< bounding box of all that is placed
    struct kw_box2 *drops; ///< useful rectangles that no outline comes nearer to than the spacing,
    int drop_count;        ///< largest first, apart from each other; 0..2 cut-off strips. Of sheets
                           ///< that are no whole rectangles none is reported
    double density;        ///< net area of the parts / area of the sheet, 0..1
};

/// Copies that found no place.
struct kw_nest_unplaced {
    int part;
    int count;
    bool too_large;    ///< fits no kind of sheet even alone, in any allowed rotation;
                       ///< else the sheets ran out
    double need[2];    ///< box of the part with both margins, in its best rotation for the nearest
    double have[2];    ///< size of the sheet kind it comes nearest to fit (0 when there is none)
    int nearest_sheet; ///< that kind, -1 when there is none
};

enum kw_nest_stop { KW_NEST_STOPPED_BY_STEPS, KW_NEST_STOPPED_BY_TIME, KW_NEST_STOPPED_BY_BOUND };

/// A nest. All of it lives in the arena of the call.
struct kw_nest {
    struct kw_nest_layout *layouts;
    int layout_count;
    struct kw_nest_unplaced *unplaced; ///< by part
    int unplaced_count;
    int sheets_used;    ///< times counted
    double value;       ///< of those sheets: their prices, or their areas in m2 when none has one
    double lower_bound; ///< no nest of the placed copies can have a lower value (area argument)
    double density;     ///< net area of all placed parts / area of all sheets used
    double drop_area;   ///< of all drops, times counted, mm2
    long steps;         ///< work done
    enum kw_nest_stop stopped_by; ///< BOUND: the value can't be lower and nothing was left to gain
};

/// Nests the job. KW_RANGE / KW_GEOMETRY / KW_LIMIT when an input is not as described above (the
/// text names the part by its index); KW_STOPPED when the watch said so. A part that fits nowhere
/// is no error: it is in `unplaced`, and the rest is nested.
enum kw_status kw_nest(struct kw_arena *a, const struct kw_nest_job *job,
                       const struct kw_nest_options *options, struct kw_nest *out,
                       struct kw_error *err);

/// Puts what finds room of the job's parts, in their order, onto one sheet of kind `sheet` that is
/// planned already, without moving what lies there: a scrapped part into free space or onto a named
/// drop, small sellable parts into what would be scrap. `fixed` are placements of the job's parts
/// (of which none more may be wanted: count 0) as an earlier nest gave them, taken as they lie. In
/// `out`: the new placements alone, copies numbered from 1. Spacing and margin as in kw_nest; the
/// step budget is not used. Errors as kw_nest, and KW_RANGE when `sheet` or a part of `fixed` is
/// not in the job.
struct kw_nest_added {
    struct kw_nest_placement *placements;
    int placement_count;
};
enum kw_status kw_nest_into(struct kw_arena *a, const struct kw_nest_job *job, int sheet,
                            const struct kw_nest_placement *fixed, int fixed_count,
                            const struct kw_nest_options *options, struct kw_nest_added *out,
                            struct kw_error *err);
