// SPDX-License-Identifier: Apache-2.0
// base: what every module stands on. Status and error record, findings, arena memory, text,
// growable arrays, numbers as text, JSON out and in, whole files, progress.
//
// Three kinds of bad news are never mixed. Our own bug: kw_assert, exit 70. Bad input or a bad
// disk: a status other than KW_OK and an error record with the place. "It cannot be made here": a
// finding inside the result, never an error.
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

// ------------------------------------------------------------------------------- status and error

/// Every status once: its name, the exit status of a command that ends with it, what it means.
#define KW_STATUS_LIST(X)                                                                          \
    X(OK, 0, "done")                                                                               \
    X(FORMAT, 2, "the text is not well formed")                                                    \
    X(UNIT, 2, "a value has the wrong unit or no number in it")                                    \
    X(RANGE, 2, "a value is outside its permitted range")                                          \
    X(UNKNOWN, 2, "a name or key that is not known")                                               \
    X(MISSING, 2, "something required is not there")                                               \
    X(DUPLICATE, 2, "the same name twice")                                                         \
    X(GEOMETRY, 2, "an outline or centreline that is not one")                                     \
    X(LIMIT, 2, "larger or deeper than this program reads")                                        \
    X(USAGE, 64, "the command line")                                                               \
    X(JUDGE, 70, "a result that its judge refused")                                                \
    X(IO, 74, "can't read or write")                                                               \
    X(STOPPED, 130, "stopped by the user")

enum kw_status {
#define X(name, code, meaning) KW_##name,
    KW_STATUS_LIST(X)
#undef X
};

/// Exit status of a command that ends with `s` (the table in docs/tour.md).
int kw_exit_code(enum kw_status s);

/// Where a value stands in a file. `line` and `column` are 1-based, 0 when there is none; columns
/// count characters. `file` is as the user named it and lives as long as the arena it was read
/// into.
struct kw_place {
    const char *file;
    int line, column;
};

/// Where and why something failed. Zero-initialise; pass down; read when a call returned non-OK.
/// The first failure wins: the deepest function knows best what was wrong.
struct kw_error {
    enum kw_status status;
    struct kw_place at;
    char file_name[256]; ///< `at.file` points here, so that the record outlives the arena
    char text[512];      ///< "what, expected, got": one sentence, no full stop
};

/// Records the failure in `err` (which may be NULL) unless one is already there. Returns `s`.
enum kw_status kw_fail(struct kw_error *err, enum kw_status s, struct kw_place at, const char *fmt,
                       ...) __attribute__((format(printf, 4, 5)));

/// Writes "file:line:column: text" (parts that are absent are left out) into `buf`.
void kw_error_line(const struct kw_error *err, char *buf, size_t size);

/// Our own bug: prints the claim and its place, exits with status 70.
#define kw_assert(claim) ((claim) ? (void)0 : kw_bug(#claim, __FILE__, __LINE__))
_Noreturn void kw_bug(const char *claim, const char *file, int line);

// ------------------------------------------------------------------------------------------ arena

/// Memory that is freed all at once. One arena a document or plan, one for scratch; never shared
/// between threads. Out of memory ends the program with status 70: inputs are bounded at the door.
/// Under AddressSanitizer each allocation is its own malloc, so that an overrun is seen.
struct kw_arena {
    struct kw_arena_block *last;
    size_t total; ///< bytes handed out since the last clear
};

__attribute__((returns_nonnull)) void *kw_alloc(struct kw_arena *a,
                                                size_t size);         ///< zeroed, aligned to 16
char *kw_copy_text(struct kw_arena *a, const char *s, size_t length); ///< with a final NUL
char *kw_format(struct kw_arena *a, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
void kw_arena_free(struct kw_arena *a); ///< frees all; the arena can be used again
/// All that lives in `from` lives in `into` from now on; `from` is empty and can be used again.
void kw_arena_take(struct kw_arena *into, struct kw_arena *from);

#define KW_NEW(arena, type)          ((type *)kw_alloc((arena), sizeof(type)))
#define KW_NEW_ARRAY(arena, type, n) ((type *)kw_alloc((arena), sizeof(type) * (size_t)(n)))

/// Room for one more item in the arena-held array `v` of `count` items: doubles when full. The
/// capacity is the next power of two at or above `count`, so none is stored (a new array needs
/// count 0 and v NULL, and must only grow by this macro). Use:
///   KW_PUSH(arena, path->v, path->count) = vertex;
#define KW_PUSH(arena, v, count)                                                                   \
    (*((v) = kw_grow((arena), (v), (count)++, sizeof *(v)), &(v)[(count)-1]))
__attribute__((returns_nonnull)) void *kw_grow(struct kw_arena *a, void *v, int count, size_t item);

// ------------------------------------------------------------------------------------------- text

/// Text that grows. Zero-initialise; kw_text_free when done. `s` is never NULL after the first
/// append and always ends with NUL.
struct kw_text {
    char *s;
    size_t length, room;
};
void kw_text_add(struct kw_text *t, const char *s);
void kw_text_addn(struct kw_text *t, const char *s, size_t n);
void kw_text_addf(struct kw_text *t, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
void kw_text_free(struct kw_text *t);

/// `v` with at most `decimals` (0..9) digits after the point, rounded half away from zero, without
/// trailing zeros, never "-0", never an exponent, whatever the locale. |v| < 1e12. Returns buf.
#define KW_NUMBER_SIZE 32
char *kw_number(char buf[static KW_NUMBER_SIZE], double v, int decimals);
/// As kw_number but keeps trailing zeros: 1.5 with 3 decimals is "1.500".
char *kw_fixed(char buf[static KW_NUMBER_SIZE], double v, int decimals);

/// yyyymmdd as "2026-11-30" (ISO 8601). Returns buf.
char *kw_date_text(char buf[static KW_NUMBER_SIZE], int yyyymmdd);

/// The member of `words` (ended by NULL) closest to `word` by edit distance, or NULL when none is
/// within a third of its length. For "did you mean".
const char *kw_nearest_word(const char *word, const char *const *words);

/// Whether `s` is valid UTF-8 of `length` bytes; else the offset of the first bad byte in *bad.
bool kw_is_utf8(const char *s, size_t length, size_t *bad);

/// FNV-1a of bytes, continued from `h` (start with KW_HASH_START): golden hashes, hash tables.
#define KW_HASH_START 1469598103934665603ULL
uint64_t kw_hash(uint64_t h, const void *bytes, size_t length);

/// Random numbers that are the same everywhere: state in, next state and 64 bits out
/// (splitmix64, Steele, Lea, Flood 2014).
uint64_t kw_random(uint64_t *state);
double kw_random_unit(uint64_t *state); ///< in [0, 1)

// ------------------------------------------------------------------------------------------- JSON

/// Writes JSON with two-space indents. Keys in call order. Numbers by kw_number. The caller keeps
/// the nesting right (asserted). Non-finite numbers are our bug (asserted).
struct kw_json {
    struct kw_text *out;
    int depth;
    char open[64];    ///< '{' or '[' a level
    bool item[64];    ///< whether the level has an item already
    bool inline_[64]; ///< level written on one line
    bool after_key;
};
void kw_json_open(struct kw_json *j, char bracket);        ///< '{' or '['
void kw_json_open_inline(struct kw_json *j, char bracket); ///< the same, kept on one line
void kw_json_close(struct kw_json *j);
void kw_json_key(struct kw_json *j, const char *key);
void kw_json_text(struct kw_json *j, const char *s); ///< NULL writes null
void kw_json_number(struct kw_json *j, double v, int decimals);
void kw_json_count(struct kw_json *j, long v);
void kw_json_truth(struct kw_json *j, bool v);
/// key and value in one call
void kw_json_key_text(struct kw_json *j, const char *key, const char *s);
void kw_json_key_number(struct kw_json *j, const char *key, double v, int decimals);
void kw_json_key_count(struct kw_json *j, const char *key, long v);

// ------------------------------------------------------------------------------------------ files

/// Reads a whole file of at most `most` bytes into the arena, with a NUL after the last byte.
/// KW_MISSING when there is none (place `from` names who asked), KW_LIMIT when larger, KW_IO else.
enum kw_status kw_read_file(struct kw_arena *a, const char *path, size_t most, struct kw_place from,
                            char **bytes, size_t *length, struct kw_error *err);

/// Writes a whole file (not atomic by itself: packets are built in a temporary folder and
/// exchanged whole). Checks every write and the close.
enum kw_status kw_write_file(const char *path, const void *bytes, size_t length,
                             struct kw_error *err);
enum kw_status kw_make_folder(const char *path, struct kw_error *err); ///< parents too; may exist
/// Removes a folder and all that is in it (no links followed). Absent is fine.
enum kw_status kw_remove_folder(const char *path, struct kw_error *err);
/// Puts the finished folder `fresh` in the place of `path` in one step (renameat2 with exchange);
/// the old contents, if any, are removed afterwards. Killed at any moment, `path` is whole: the old
/// or the new.
enum kw_status kw_exchange_folder(const char *fresh, const char *path, struct kw_error *err);
/// Names in a folder that end with `suffix`, sorted by bytes. An absent folder has none.
enum kw_status kw_list_folder(struct kw_arena *a, const char *path, const char *suffix,
                              const char ***names, int *count, struct kw_error *err);

// --------------------------------------------------------------------------------------- progress

/// How a long calculation reports and is stopped. All members may be NULL.
struct kw_watch {
    void *user;
    void (*progress)(void *user, const char *stage, double part); ///< part in 0..1
    bool (*stopped)(void *user); ///< asked often; true: return KW_STOPPED soon
    double (*now)(void *user);   ///< seconds; NULL: there is no clock, only step budgets
};
bool kw_watch_stopped(const struct kw_watch *w);
void kw_watch_progress(const struct kw_watch *w, const char *stage, double part);

// --------------------------------------------------------------------------------------- findings

enum kw_level { KW_NOTE, KW_RISK, KW_STOP };
const char *kw_level_name(enum kw_level level); ///< "note", "risk", "stop"

/// Something that can't, shouldn't or might better not be made here: part of a result, never an
/// error. Texts live in the arena of the list.
struct kw_finding {
    enum kw_level level;
    const char *rule; ///< id in the table of rules
    const char *kit;  ///< kit name or NULL
    const char *part; ///< part name or NULL
    struct kw_place where;
    const char *frame; ///< "blank", "folded", "sheet S1", "tube", "" when there is no point to draw
    double at[3];      ///< mm in that frame
    double measured, limit;
    const char *unit;      ///< of measured and limit: "mm", "kN", "kg", "deg", "" (pure number)
    const char *says;      ///< one plain sentence
    const char *fix;       ///< what would mend it
    const char *signed_by; ///< "name, date: reason" when a risk is signed, else NULL
};

/// Runs task(user, 0) .. task(user, count - 1) on up to `threads` threads (at most 64) and returns
/// when all are done. Tasks share nothing that is written, so that who runs which makes no
/// difference. Where no thread can be started the caller's does it all.
void kw_team_run(void (*task)(void *user, int index), void *user, int count, int threads);
int kw_team_cores(void); ///< that the calling thread may use, 1..64

struct kw_findings {
    struct kw_arena *arena;
    struct kw_finding *v;
    int count;
};
void kw_find(struct kw_findings *list, struct kw_finding f);
/// Stops first, then risks, then notes; within a level by file, line, rule, then as found.
void kw_findings_sort(struct kw_findings *list);
int kw_findings_at_level(const struct kw_findings *list, enum kw_level level, bool unsigned_only);
