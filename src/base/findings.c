// SPDX-License-Identifier: Apache-2.0
// Findings and progress.
#include "base/base.h"

#include <stdlib.h>
#include <string.h>

const char *kw_level_name(enum kw_level level) {
    static const char *const name[] = {"note", "risk", "stop"};
    return name[level];
}

void kw_find(struct kw_findings *list, struct kw_finding f) {
    KW_PUSH(list->arena, list->v, list->count) = f;
}

static int compare_text(const char *a, const char *b) {
    return strcmp(a ? a : "", b ? b : "");
}

static int compare(const struct kw_finding *a, const struct kw_finding *b) {
    if (a->level != b->level) return a->level > b->level ? -1 : 1;
    int c = compare_text(a->where.file, b->where.file);
    if (c == 0) c = (a->where.line > b->where.line) - (a->where.line < b->where.line);
    if (c == 0) c = (a->where.column > b->where.column) - (a->where.column < b->where.column);
    if (c == 0) c = compare_text(a->rule, b->rule);
    return c;
}

// Insertion sort: stable, and a list of findings that a person reads is short.
void kw_findings_sort(struct kw_findings *list) {
    for (int i = 1; i < list->count; i++) {
        struct kw_finding f = list->v[i];
        int j = i;
        for (; j > 0 && compare(&list->v[j - 1], &f) > 0; j--)
            list->v[j] = list->v[j - 1];
        list->v[j] = f;
    }
}

int kw_findings_at_level(const struct kw_findings *list, enum kw_level level, bool unsigned_only) {
    int n = 0;
    for (int i = 0; i < list->count; i++) {
        const struct kw_finding *f = &list->v[i];
        n += f->level == level && !(unsigned_only && f->signed_by);
    }
    return n;
}

bool kw_watch_stopped(const struct kw_watch *w) {
    return w && w->stopped && w->stopped(w->user);
}

void kw_watch_progress(const struct kw_watch *w, const char *stage, double part) {
    if (w && w->progress) w->progress(w->user, stage, part);
}
