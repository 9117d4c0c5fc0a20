// SPDX-License-Identifier: Apache-2.0
// kw-bench: the engines measured on open cases and on generated shops. One table of measurements,
// one file each; a JSON object a case on standard output, one line each. Its arguments and keys are
// read by outside checks.
#pragma once

#include "base/base.h"
#include "form/form.h"
#include "nest/nest.h"
#include "stick/stick.h"

struct bench_args {
    const char *file;      ///< of cases; NULL where the measurement makes its own
    double seconds;        ///< time a case; 0: the engine's own step budget, so that results repeat
    double steps;          ///< of nests: budget instead of the engine's own where > 0
    int threads;           ///< never changes a result; engines with one thread ignore it
    uint64_t seed;         ///< default 1
    const char *layout;    ///< where layouts go: a file for strips, a folder else; NULL: nowhere
    int kits, parts;       ///< of plan, and of nest
    int shapes;            ///< of nest; 0: a twelfth of the parts
    int bends;             ///< of tube (and brake)
    int copies;            ///< of plates: times as many of each item; 0: once
    int clamps;            ///< repeats: along the sheet's edge, and a bad corner with them
    int none;              ///< brake: parts that no order bends, proven
    const char *plot;      ///< of strips and growth: an SVG to write; NULL: none
    int cases;             ///< only the first so many of a file; 0: all
    struct kw_watch watch; ///< a clock, and whether Ctrl-C was pressed
};

struct bench_command {
    const char *name, *takes, *help;
    bool wants_file;
    int (*run)(const struct bench_args *args); ///< returns the exit status
};

int bench_strips(const struct bench_args *args);
int bench_sheets(const struct bench_args *args);
int bench_plates(const struct bench_args *args);
int bench_nest(const struct bench_args *args);
int bench_growth(const struct bench_args *args);
int bench_repeats(const struct bench_args *args);
int bench_jigsaw(const struct bench_args *args);
int bench_sticks(const struct bench_args *args);
int bench_stick_week(const struct bench_args *args);
int bench_cartons(const struct bench_args *args);
int bench_plan(const struct bench_args *args);
int bench_brake(const struct bench_args *args);
int bench_route(const struct bench_args *args);
int bench_tube(const struct bench_args *args);

double bench_now(void);     ///< s, monotonic
double bench_cpu(void);     ///< s of the processor that this process has used
double bench_peak_mb(void); ///< largest memory of this process so far, MB of 2^20 bytes

/// The usual options of a nest with the seed, threads, budget and watch of the arguments. With
/// --seconds and no --steps the clock alone ends it.
struct kw_nest_options bench_nest_options(const struct bench_args *args);

/// Prints "kw-bench: file:line:column: text"; returns the exit status. 130 when stopped.
int bench_fail(const struct kw_error *err);

// ------------------------------------------------------------------------------------- cases in

/// Calls `one` with each case of args->file: the members of its list `cases`, or the whole file
/// when it has none. JSON is read as the YAML that it is (YAML 1.2 section 1.2), so that a wrong
/// value is refused with its line and column. `a` is emptied after each case.
typedef enum kw_status bench_case(struct kw_arena *a, const struct bench_args *args,
                                  const struct kw_node *c, struct kw_error *err);
int bench_each_case(const struct bench_args *args, bench_case *one);

// Values of a case. The first that is missing or wrong is recorded in `err`; the call then returns
// 0, "" or an empty list, and the case must not be used.
double bench_number(const struct kw_node *map, const char *key, struct kw_error *err);
double bench_number_of(const struct kw_node *scalar, struct kw_error *err);
int bench_count(const struct kw_node *map, const char *key, struct kw_error *err);
const char *bench_name(const struct kw_node *map, struct kw_error *err); ///< fit for a file name
const struct kw_node *bench_list(const struct kw_node *map, const char *key, int least,
                                 struct kw_error *err);

/// The `items` of a case as parts to nest: outlines turned counter-clockwise, `rotations` in
/// degrees, "any" taken as steps of 10 degrees.
struct kw_nest_part *bench_items(struct kw_arena *a, const struct kw_node *c, int *count,
                                 struct kw_error *err);

// ---------------------------------------------------------------------------------- results out

/// One JSON text on one line.
struct bench_line {
    struct kw_text text;
    struct kw_json j;
};
struct kw_json *bench_line_begin(struct bench_line *line); ///< opens the object
/// Closes the object and prints it to standard output at once. KW_IO when that can't be written.
enum kw_status bench_line_print(struct bench_line *line, struct kw_error *err);
/// Closes the object and writes it to `path`, or to `path`/`name`.json when a name is given (the
/// folder is made).
enum kw_status bench_line_write(struct bench_line *line, const char *path, const char *name,
                                struct kw_error *err);
/// `[{"item","rotation","x","y"},...]` under the key "placements": degrees, mm.
void bench_placements(struct kw_json *j, const struct kw_nest_layout *layout);

// ------------------------------------------------------------------------------------ generators

/// Uniform in [least, most], whole numbers and multiples of `step`.
int bench_random_count(uint64_t *state, int least, int most);
double bench_random_step(uint64_t *state, double least, double most, double step);

/// A stick plan within --seconds, or with the step budget of `o`.
enum kw_status bench_stick_plan(struct kw_arena *a, const struct bench_args *args,
                                const struct kw_stick_stock *stocks, int stock_count,
                                const struct kw_stick_piece *pieces, int count,
                                struct kw_stick_options o, struct kw_stick_plan *best,
                                struct kw_error *err);
