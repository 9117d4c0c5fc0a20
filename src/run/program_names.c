// SPDX-License-Identifier: Apache-2.0
// A program is named by its run and sheet, so that last week's S1 is not taken for this week's.
// What the control can't hold is shortened.
#include "run/inside.h"

#include <string.h>

static void tell_shortened(struct kw_week *w, int count, const struct kw_run_sheet *first) {
    const struct kw_controller *c = &w->shop->table.controller;
    struct kw_finding f =
        kw_rule_finding("program-name-short", NULL, NULL, kw_place_of(c->node, "longest_name"));
    f.measured = (double)strlen(first->full_name);
    f.limit = c->longest_name;
    f.says = kw_format(w->arena,
                       "the control does not hold the names of %d program%s: %s is %s there; each "
                       "sheet map shows both",
                       count, count == 1 ? "" : "s", first->full_name, first->program_name);
    kw_find(&w->findings, f);
}

void run_program_names(struct kw_week *w) {
    const char **taken = KW_NEW_ARRAY(w->arena, const char *, w->sheet_count + 1);
    struct kw_cut_controller c = kw_run_controller(w);
    const struct kw_run_sheet *first = NULL;
    int count = 0, short_count = 0;
    for (int i = 0; i < w->sheet_count; i++) {
        struct kw_run_sheet *s = &w->sheets[i];
        if (!s->program) continue;
        s->full_name = kw_format(w->arena, "%s-%s", w->name, s->id);
        s->program_name = kw_cut_program_name(w->arena, &c, s->full_name, taken, count);
        taken[count++] = s->program_name;
        if (strcmp(s->full_name, s->program_name) == 0) continue;
        if (!first) first = s;
        short_count++;
    }
    if (first) tell_shortened(w, short_count, first);
}
