// SPDX-License-Identifier: Apache-2.0
// Private to nest: one sheet being filled, piece by piece, each at the first free place.
#pragma once

#include "nest/contact.h"
#include "nest/nest.h"

/// A kind of sheet in the scan frame (see contact.h).
struct kind {
    int axis;  ///< 0: u = x, 1: u = y
    int group; ///< whose poses lie right on it: kinds with the same axis and grain share them
    double length, breadth;             ///< along u and v, length >= breadth
    double area;                        ///< of what is there of it, mm2
    double value;                       ///< price, or area in m2 where nothing has a price
    int first_obstacle, obstacle_count; ///< poses
    int count;                          ///< -1: any number
};

struct pose_range {
    int first, count;
};

struct spot {
    int pose;
    double u, v; ///< of the pose's lower left corner
};

/// A filled sheet, cut `times` times.
struct bin {
    int kind, times;
    int standing; ///< 1-based standing layout that this is, 0: a new one
    struct spot *v;
    int count, room;
    double area;   ///< net, of the parts on it
    double extent; ///< where the last outline ends, along u
};

struct active { ///< a forbidden polygon where it lies on the sheet being filled
    const struct forbidden *f;
    struct kw_vec2 at;
    double left, right, bottom, top;
};

struct range {
    double from, to;
};

/// The pieces of the bin being filled by their left ends: a search gathers them as it meets them.
struct by_u {
    const struct bin *bin;
    int *v, count, room;
    int pose; ///< that is searched for
    int next; ///< v[next..]: not yet met; `count` outside of a search
};

/// All that one call of kw_nest works with.
struct world {
    struct kw_arena *a; ///< scratch of the call
    const struct kw_nest_job *job;
    const struct kw_nest_options *options;
    struct pose *poses;
    int pose_count;
    struct pose_range **parts; ///< by group and part
    int group_count;
    double *area;               ///< net, by part
    double *bulk;               ///< area within the outer outline, by part
    double *longest, *shortest; ///< sides of the box as drawn, by part
    struct kind *kinds;
    struct contacts contacts;
    long work; ///< elementary tests, 1/64 of a step each
    uint64_t random;
    double start;               ///< by the watch's clock
    struct patterns **patterns; ///< by group and part, NULL: not yet looked for (repeat.h)
    struct patterns **pairs;    ///< by group
    long leaning_work;          ///< of `work`: on patterns whose columns lean
    struct bin *standing;       ///< NULL: not yet made
    char *lie;                  ///< by part: enum lie, which poses are tried first
    // buffers of the search for a place
    struct by_u order;
    struct active *active;
    int active_room;
    const struct active **open; ///< those that may reach the line, by rising bottom
    int open_count;
    const struct active **chain; ///< polygons that together cover the line, upwards
    int chain_count;
    double *from;       ///< by pose: no place left of this line on the sheet being filled
    struct spot *found; ///< by pose: the place found last, free of the first found_at[pose] pieces
    int *found_at;      ///< -1: none
};

/// An empty cache for this world, of a worker's own; sides are what a crowd needs.
struct contacts contacts_for(const struct world *w, bool with_sides);

/// Where the random numbers of a worker begin: no two seeds, roles or workers share a row. (Hashing
/// the worker's number onto the seed itself gave seeds 0 to 3 the same four workers.)
enum role { SEEKS_SHORTEST, SEEKS_FEWER };
uint64_t worker_random(const struct world *w, enum role role, int worker);

/// Which way round a part is tried first: pieces that all lie alike stack without steps.
enum lie { LIE_FREE, LIE_ALONG, LIE_ACROSS };

/// How a sheet is filled.
struct policy {
    double reach; ///< 0..1: a pose is judged by u + reach * its length; the least wins
    int order;    ///< 0..3: pieces by bulk, longest side, box area, shortest side, largest first
    double noise; ///< 0..1: how far the order is shuffled
    bool repeats; ///< sheets cut out of patterns are tried too, and filled up (first nests)
    int patience; ///< > 0: after so many parts without a place ever more are passed over, so that
                  ///< a sheet of many different parts is not asked about each of them
};

struct want {
    int part, count;
    int as; ///< a pose of the part's that is tried first, in the same group; -1: by the lies
    double key;
};

/// The first free place of a pose on a bin, least u and there least v, with u <= most.
bool place_first(struct world *w, const struct bin *bin, int pose, double most, struct spot *out);

/// What it rests on. First the forbidden polygons that reach right of `start` are added one after
/// another behind the `count` there are (the new count is returned), then the first free (u, v) at
/// or right of u.from, no further than `most`, is looked for. *reached: nothing is free left of it.
int add_active(struct world *w, int count, const struct contact *c, struct kw_vec2 at,
               double start);
bool first_free(struct world *w, int count, struct range u, struct range v, double most,
                struct kw_vec2 *out, double *reached);

/// Fills an empty bin with what finds a place, in the order of `wants`; takes it off their counts.
void fill_bin(struct world *w, struct bin *bin, int kind, struct policy policy, struct want *wants,
              int want_count);
/// The same into a bin that was cleared and may hold pieces already: they stay where they are.
void fill_more(struct world *w, struct bin *bin, struct policy policy, struct want *wants,
               int want_count);
void clear_bin(struct world *w, struct bin *bin, int kind);
void bin_add(struct world *w, struct bin *b, struct spot s);
/// The order of filling under a policy: largest key first, ties as they are.
void sort_wants(struct world *w, struct policy policy, struct want *wants, int count);
/// Whether a part finds a place alone on an empty sheet of a kind.
bool fits_alone(struct world *w, int part, int kind);
void bin_copy(struct world *w, struct bin *to, const struct bin *from);
