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

struct ranked {
    struct kw_finding f;
    int found; ///< as the how many-th
};

static int compare(const void *x, const void *y) {
    const struct kw_finding *a = &((const struct ranked *)x)->f,
                            *b = &((const struct ranked *)y)->f;
    if (a->level != b->level) return a->level > b->level ? -1 : 1;
    int c = compare_text(a->where.file, b->where.file);
    if (c == 0) c = (a->where.line > b->where.line) - (a->where.line < b->where.line);
    if (c == 0) c = (a->where.column > b->where.column) - (a->where.column < b->where.column);
    if (c == 0) c = compare_text(a->rule, b->rule);
    return c ? c : ((const struct ranked *)x)->found - ((const struct ranked *)y)->found;
}

void kw_findings_sort(struct kw_findings *list) {
    if (list->count < 2) return;
    struct kw_arena scratch = {0};
    struct ranked *v = kw_alloc(&scratch, (size_t)list->count * sizeof *v);
    for (int i = 0; i < list->count; i++)
        v[i] = (struct ranked){list->v[i], i};
    qsort(v, (size_t)list->count, sizeof *v, compare);
    for (int i = 0; i < list->count; i++)
        list->v[i] = v[i].f;
    kw_arena_free(&scratch);
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
