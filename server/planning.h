// SPDX-License-Identifier: Apache-2.0
// Private to server: the folder read for planning, jobs and quotes.
#pragma once

#include "run/run.h"
#include "server/inside.h"

/// The folder as read for one plan, in an arena of its own: planning writes into kits.
struct plan_input {
    struct kw_arena arena;
    struct kw_shop *shop;
    struct kw_kits kits;
    struct kw_orders orders;
};
/// `orders`: read them too. Places in errors are relative to the folder.
enum kw_status plan_read(const struct kw_server *s, bool orders, struct plan_input *in,
                         struct kw_error *err);
/// Strips the folder's own path off the place of an error.
void relative_place(const struct kw_server *s, struct kw_error *err);
int today(void);                                 ///< yyyymmdd, local
bool read_date(const char *text, int *yyyymmdd); ///< "2026-11-30"
bool plain_run_name(const char *name);           ///< as the command line has it

struct jobs *jobs_make(struct kw_server *s);
void jobs_free(struct jobs *j); ///< stops and waits
/// Id of the job that waits or runs; false: none.
bool jobs_running(struct jobs *j, char id[HASH_DIGITS + 1]);

struct quotes *quotes_make(void);
void quotes_free(struct quotes *q);
/// Key "cost" of a look: what was quoted of one of it, or null.
void put_known_cost(struct kw_json *j, struct kw_server *s, const struct look *look);
void put_runs(struct call *c, struct kw_json *j); ///< key "runs"

/// run.json of the run that a call's path names; NULL: answered. json_decref when done.
json_t *run_json(struct call *c);
/// The object of a list whose `key` is `name`; borrowed, NULL.
json_t *row_named(const json_t *list, const char *key, const char *name);
