// SPDX-License-Identifier: Apache-2.0
// Private to packet: the lists of run.json, each a key and its value into an open object.
#pragma once

#include "packet/packet.h"

enum { RUN_JSON_FINE = 6 }; ///< decimals of lengths and degrees that a judge reads

double run_json_degrees(double rad);
void run_json_money(struct kw_json *j, const char *key, double amount);
void run_json_point(struct kw_json *j, double x, double y);
void run_json_key_point(struct kw_json *j, const char *key, struct kw_vec2 p);
void run_json_numbers(struct kw_json *j, const char *key, const double *v, int count);

void run_json_sheets(struct kw_json *j, const struct kw_week *w);    // run_json_sheets.c
void run_json_bender(struct kw_json *j, const struct kw_shop *shop); // run_json_tubes.c
void run_json_tubes(struct kw_json *j, const struct kw_week *w);
void run_json_sticks(struct kw_json *j, const struct kw_week *w);
void run_json_saws(struct kw_json *j, const struct kw_week *w);
/// Into an open tube.
void run_json_fits(struct kw_json *j, const struct kw_week *w, const struct kw_make *m);
void run_json_assemblies(struct kw_json *j, const struct kw_week *w);
