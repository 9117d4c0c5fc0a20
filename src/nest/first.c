// SPDX-License-Identifier: Apache-2.0
// A full nest, sheet by sheet: each of the kind that costs least for the metal on it.
#include "nest/search.h"

#include <string.h>

/// How often a layout can be cut: as long as copies of all its parts and sheets last.
static int repeats(const struct world *w, const struct bin *b, const int *have, int sheets) {
    int times = sheets < 0 ? KW_NEST_MOST_COPIES : sheets;
    for (int i = 0; i < b->count; i++) {
        int part = w->poses[b->v[i].pose].part, used = 0;
        for (int k = 0; k < b->count; k++)
            used += w->poses[b->v[k].pose].part == part;
        if (have[part] / used < times) times = have[part] / used;
    }
    return times;
}

/// Fills one sheet of each kind and keeps the one that costs least for the metal on it.
static bool best_kind(struct world *w, struct plan *p, struct policy policy,
                      const struct want *wants, int count, struct bin *out) {
    struct bin trial = {0};
    struct want *copy = KW_NEW_ARRAY(w->a, struct want, count + 1);
    double best = INFINITY;
    for (int k = 0; k < w->job->sheet_count; k++) {
        if (w->kinds[k].count >= 0 && sheets_of_kind(p, k) >= w->kinds[k].count) continue;
        memcpy(copy, wants, sizeof *copy * (size_t)count);
        fill_bin(w, &trial, k, policy, copy, count);
        double cost = w->kinds[k].value / trial.area;
        if (trial.count == 0 || !(cost < best)) continue;
        best = cost;
        bin_copy(w, out, &trial);
    }
    return best < INFINITY;
}

bool first_nest(struct world *w, struct plan *p, struct policy policy,
                bool (*late)(const struct world *w)) {
    int n = w->job->part_count;
    struct want *wants = KW_NEW_ARRAY(w->a, struct want, n + 1);
    for (int i = 0; i < n; i++) {
        p->missing[i] = w->job->parts[i].count;
        wants[i] = (struct want){.part = i, .as = -1};
    }
    sort_wants(w, policy, wants, n);
    p->count = 0;
    struct bin b = {0};
    for (;;) {
        int left = 0;
        for (int i = 0; i < n; i++)
            left += wants[i].count = p->missing[wants[i].part];
        if (left == 0) break;
        if (late && late(w)) return false;
        if (!best_kind(w, p, policy, wants, n, &b)) {
            if (policy.patience == 0) break;
            policy.patience = 0; // some that were passed over may still have a place
            continue;
        }
        int kept = w->kinds[b.kind].count;
        b.times = repeats(w, &b, p->missing, kept < 0 ? -1 : kept - sheets_of_kind(p, b.kind));
        for (int i = 0; i < b.count; i++)
            p->missing[w->poses[b.v[i].pose].part] -= b.times;
        struct bin *to = plan_add(w, p);
        bin_copy(w, to, &b);
    }
    p->score = score_of(w, p);
    return true;
}
