// SPDX-License-Identifier: Apache-2.0
// Plans: what they are worth, and their sheets.
#include "nest/search.h"

#include <string.h>

/// By more than the rounding of sums that were added up in another order.
bool score_differ(double a, double b) {
    return fabs(a - b) > 1e-9 * fmax(fabs(a), fabs(b)) + 1e-9;
}

bool score_better(struct score a, struct score b) {
    if (score_differ(a.missing, b.missing)) return a.missing < b.missing;
    if (score_differ(a.value, b.value)) return a.value < b.value;
    return a.drops > b.drops;
}

struct bin *plan_add(struct world *w, struct plan *p) {
    if (p->count == p->room) {
        struct bin *old = p->bins;
        p->room = p->room ? 2 * p->room : 16;
        p->bins = KW_NEW_ARRAY(w->a, struct bin, p->room);
        if (old) memcpy(p->bins, old, sizeof *old * (size_t)p->count);
    }
    return &p->bins[p->count++]; // keeps the buffer of a bin that was here before
}

void plan_copy(struct world *w, struct plan *to, const struct plan *from) {
    while (to->count < from->count)
        plan_add(w, to);
    to->count = from->count;
    for (int i = 0; i < from->count; i++)
        bin_copy(w, &to->bins[i], &from->bins[i]);
    size_t size = sizeof *from->missing * (size_t)w->job->part_count;
    if (!to->missing) to->missing = kw_alloc(w->a, size + 1);
    memcpy(to->missing, from->missing, size);
    to->score = from->score;
}

/// Worth of what one sheet leaves: the square prefers one long drop to two short ones, and the
/// second term draws pieces off the emptiest sheet even while its last outline stays where it is.
double sheet_drops(const struct world *w, const struct bin *b) {
    const struct kind *k = &w->kinds[b->kind];
    double left = 1 - b->extent / k->length, empty = 1 - b->area / k->area;
    return k->area * (left * left + 0.1 * empty * empty);
}

double program_cost(const struct world *w, const struct bin *b) {
    return b->standing > 0 ? 0 : w->options->program_cost;
}

struct score score_of(const struct world *w, const struct plan *p) {
    struct score s = {0};
    for (int i = 0; i < w->job->part_count; i++)
        s.missing += p->missing[i] * w->bulk[i];
    for (int i = 0; i < p->count; i++) {
        const struct bin *b = &p->bins[i];
        s.value += b->times * w->kinds[b->kind].value + program_cost(w, b);
        s.drops += b->times * sheet_drops(w, b);
    }
    return s;
}

int sheets_of_kind(const struct plan *p, int kind) {
    int n = 0;
    for (int i = 0; i < p->count; i++) {
        if (p->bins[i].kind == kind) n += p->bins[i].times;
    }
    return n;
}

void plan_drop_empty(struct plan *p) {
    int kept = 0;
    for (int i = 0; i < p->count; i++) { // buffers are swapped, not lost
        if (p->bins[i].times == 0) continue;
        struct bin b = p->bins[i];
        p->bins[i] = p->bins[kept];
        p->bins[kept++] = b;
    }
    p->count = kept;
}

double usable_area(const struct world *w, int kind) {
    const struct kind *k = &w->kinds[kind];
    double m = 2 * w->options->margin;
    return fmin(k->area, (k->length - m) * (k->breadth - m));
}

double value_bound(const struct world *w, const struct plan *p) {
    double area = 0, rate = INFINITY, least = INFINITY, most_area = 0;
    for (int i = 0; i < w->job->part_count; i++) {
        area += w->area[i] * (w->job->parts[i].count - p->missing[i]);
    }
    for (int k = 0; k < w->job->sheet_count; k++) {
        const struct kind *kind = &w->kinds[k];
        double useful = usable_area(w, k);
        if (kind->count == 0 || !(useful > 0)) continue;
        rate = fmin(rate, kind->value / useful);
        least = fmin(least, kind->value);
        most_area = fmax(most_area, useful);
    }
    if (!(area > 0) || !(most_area > 0)) return 0;
    double sheets =
        ceil(area / most_area - 1e-9); // no fewer, and none is cheaper than the cheapest
    return fmax(area * rate, sheets * least);
}
