// SPDX-License-Identifier: Apache-2.0
// A full nest, sheet by sheet: each of the kind that costs least for the metal on it.
#include "nest/repeat.h"
#include "nest/search.h"

#include <string.h>

#define REPEATS_TRIED  2      // patterns that are tried on a sheet
#define LEAST_REPEATED 6      // copies
#define LEAST_SHARE    0.25   // of a sheet, by their area
#define STEPS_FOR_TWO  500000 // patterns of two parts take time

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

/// The sheet of this round that costs least for the metal on it, its share of the program counted.
struct cheapest {
    const struct plan *plan;
    struct bin *bin;
    double cost;
};

static void offer(struct world *w, struct cheapest *c, const struct bin *trial) {
    if (trial->count == 0) return;
    const struct kind *k = &w->kinds[trial->kind];
    double cost = k->value, program = program_cost(w, trial);
    int left = k->count < 0 ? -1 : k->count - sheets_of_kind(c->plan, trial->kind);
    if (program > 0) cost += program / repeats(w, trial, c->plan->missing, left);
    if (!(cost / trial->area < c->cost)) return;
    c->cost = cost / trial->area;
    bin_copy(w, c->bin, trial);
}

/// Patterns that bring most onto a kind, most first.
struct choice {
    struct patterns *v[REPEATS_TRIED];
    double area[REPEATS_TRIED];
    int count;
};

/// Whether enough copies of a part are left for a good share of a sheet.
static bool repeats_enough(const struct world *w, const struct plan *p, int kind, int part) {
    return p->missing[part] >= LEAST_REPEATED &&
           p->missing[part] * w->bulk[part] >= LEAST_SHARE * w->kinds[kind].area;
}

static void choose(struct world *w, const struct plan *p, int kind, struct patterns *list,
                   struct choice *c) {
    int in_cell = list->other < 0 ? 1 : 2, least = p->missing[list->part];
    if (list->other >= 0 && p->missing[list->other] < least) least = p->missing[list->other];
    const struct full_sheet *f = full_sheet_of(w, list, kind);
    if (f->best < 0 || 2 * least * in_cell < f->pieces) return;
    if (c->count == REPEATS_TRIED && c->area[REPEATS_TRIED - 1] >= f->area) return;
    int k = c->count < REPEATS_TRIED ? c->count++ : REPEATS_TRIED - 1;
    for (; k > 0 && c->area[k - 1] < f->area; k--) {
        c->area[k] = c->area[k - 1];
        c->v[k] = c->v[k - 1];
    }
    c->area[k] = f->area;
    c->v[k] = list;
}

static struct choice best_repeats(struct world *w, const struct plan *p, int kind) {
    struct choice c = {.count = 0};
    int group = w->kinds[kind].group, two;
    for (int i = 0; i < w->job->part_count; i++) {
        if (repeats_enough(w, p, kind, i)) choose(w, p, kind, patterns_of(w, group, i), &c);
    }
    if (w->options->steps < STEPS_FOR_TWO) return c;
    struct patterns *pairs = patterns_of_two(w, group, &two);
    for (int i = 0; i < two; i++) {
        if (repeats_enough(w, p, kind, pairs[i].part) && repeats_enough(w, p, kind, pairs[i].other))
            choose(w, p, kind, &pairs[i], &c);
    }
    return c;
}

/// A sheet of a pattern, filled up with the rest of the wants.
static void fill_repeated(struct world *w, const struct plan *p, struct policy policy, int kind,
                          struct patterns *list, struct want *wants, int count, struct bin *bin) {
    lay_pattern(w, bin, kind, &list->v[full_sheet_of(w, list, kind)->best], p->missing);
    for (int i = 0; i < count; i++) {
        for (int k = 0; k < bin->count; k++)
            wants[i].count -= w->poses[bin->v[k].pose].part == wants[i].part;
    }
    fill_more(w, bin, policy, wants, count);
}

/// A share of everything wanted, so that one program cut so many times makes it all.
static const int shares[] = {2, 3, 4, 5, 6, 8, 10, 12, 16, 20};
#define SHARES (sizeof shares / sizeof *shares)

static bool wants_share(struct want *to, const struct want *wants, int count, int share) {
    bool any = false;
    for (int i = 0; i < count; i++) {
        to[i] = wants[i];
        to[i].count /= share;
        any = any || to[i].count > 0;
    }
    return any;
}

/// Layouts proven on steel, of which all parts are wanted.
static void offer_standing(struct world *w, struct cheapest *best, int kind) {
    if (!w->standing) w->standing = standing_bins(w);
    for (int i = 0; i < w->options->standing_count; i++) {
        const struct bin *b = &w->standing[i];
        if (b->kind != kind || b->count == 0) continue;
        if (repeats(w, b, best->plan->missing, 1) > 0) offer(w, best, b);
    }
}

/// Fills one sheet of each kind and keeps the one that costs least for the metal on it.
static bool best_kind(struct world *w, struct plan *p, struct policy policy,
                      const struct want *wants, int count, struct bin *out) {
    struct bin trial = {0};
    struct cheapest best = {p, out, INFINITY};
    struct want *copy = KW_NEW_ARRAY(w->a, struct want, count + 1);
    size_t size = sizeof *copy * (size_t)count;
    for (int k = 0; k < w->job->sheet_count; k++) {
        if (w->kinds[k].count >= 0 && sheets_of_kind(p, k) >= w->kinds[k].count) continue;
        memcpy(copy, wants, size);
        fill_bin(w, &trial, k, policy, copy, count);
        offer(w, &best, &trial);
        struct choice c = {.count = 0};
        if (policy.repeats) c = best_repeats(w, p, k);
        for (int i = 0; i < c.count; i++) {
            memcpy(copy, wants, size);
            fill_repeated(w, p, policy, k, c.v[i], copy, count, &trial);
            offer(w, &best, &trial);
        }
        for (size_t i = 0; policy.repeats && w->options->program_cost > 0 && i < SHARES; i++) {
            if (!wants_share(copy, wants, count, shares[i])) continue;
            fill_bin(w, &trial, k, policy, copy, count);
            offer(w, &best, &trial);
        }
        offer_standing(w, &best, k);
    }
    return best.cost < INFINITY;
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
