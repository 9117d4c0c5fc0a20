// SPDX-License-Identifier: Apache-2.0
// Which lengths the shop's pieces of a tool make together.
#include "brake/inside.h"

#define STEP_MM  0.5
#define MOST_ROW 40000 // steps: 20 m

static int steps_of(double piece) {
    return (int)ceil(piece / STEP_MM - 1e-9);
}

struct lengths lengths_of(struct kw_arena *a, const double *pieces, int count, double whole) {
    struct lengths out = {.all = count > 0 ? 0 : whole};
    for (int i = 0; i < count; i++)
        out.all += pieces[i];
    if (count == 0) return out;
    out.top = (int)fmin(MOST_ROW, ceil(out.all / STEP_MM) + count);
    bool *can = kw_alloc(a, (size_t)out.top + 1);
    can[0] = true;
    for (int i = 0; i < count; i++) { // rounded up: a row is never longer than it says
        int step = steps_of(pieces[i]);
        for (int k = out.top; k >= step && step > 0; k--)
            can[k] = can[k] || can[k - step];
    }
    out.next = kw_alloc(a, ((size_t)out.top + 1) * sizeof *out.next);
    for (int k = out.top, next = -1; k >= 0; k--) {
        if (can[k] && k > 0) next = k;
        out.next[k] = next;
    }
    return out;
}

double length_between(const struct lengths *l, double least, double most) {
    if (l->all > 0 ? l->all <= most + 1e-9 : !isfinite(most)) // leave it all up
        return l->all == 0 || l->all >= least - 1e-9 ? 0 : -1;
    if (!l->next) return l->all > 0 ? -1 : fmax(least, STEP_MM);
    int from = (int)fmax(0, ceil(least / STEP_MM - 1e-9));
    if (from > l->top || l->next[from] < 0) return -1;
    double length = l->next[from] * STEP_MM;
    return length <= most + 1e-9 ? length : -1;
}

int kw_brake_pieces(struct kw_arena *a, const double *pieces, int count, double length,
                    int *which) {
    int top = (int)fmin(MOST_ROW, round(length / STEP_MM)), n = 0;
    int *last = kw_alloc(a, ((size_t)top + 1) * sizeof *last); // piece that made a row first, + 1
    for (int i = 0; i < count; i++)
        for (int step = steps_of(pieces[i]), k = top; k >= step && step > 0; k--)
            if (!last[k] && (k == step || last[k - step])) last[k] = i + 1;
    for (int k = top; k > 0 && last[k]; k -= steps_of(pieces[which[n++]]))
        which[n] = last[k] - 1;
    return n;
}
