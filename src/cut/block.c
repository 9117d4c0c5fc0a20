// SPDX-License-Identifier: Apache-2.0
// The ways through one part. Its holes are cut first, in whatever order, then its outline: the
// least way from hole f through all others to hole l follows from those of smaller sets of holes
// (Held and Karp, A dynamic programming approach to sequencing problems, 1962).
#include "cut/block.h"

#include <math.h>

#define SETS (1 << CUT_EXACT_HOLES)

static double way(struct kw_vec2 a, struct kw_vec2 b) {
    double x = a.x - b.x, y = a.y - b.y;
    return sqrt(x * x + y * y);
}

struct cut_paths {                     // from one first item
    double sum[SETS][CUT_EXACT_HOLES]; ///< by set of items cut and last of them
    short before[SETS][CUT_EXACT_HOLES];
};

static void find_paths(const struct cut_block *b, int first, struct cut_paths *p) {
    int n = b->item_count;
    double step[CUT_EXACT_HOLES][CUT_EXACT_HOLES];
    for (int i = 0; i < n; i++)
        for (int k = 0; k < n; k++)
            step[i][k] = way(b->items[i].out, b->items[k].in);
    for (int set = 0; set < 1 << n; set++)
        for (int l = 0; l < n; l++)
            p->sum[set][l] = INFINITY;
    p->sum[1 << first][first] = 0;
    for (int set = 1 << first; set < 1 << n; set++) {
        for (int l = 0; l < n; l++) {
            double at = p->sum[set][l];
            if (at == INFINITY) continue;
            for (int k = 0; k < n; k++) {
                if (set >> k & 1 || !(at + step[l][k] < p->sum[set | 1 << k][k])) continue;
                p->sum[set | 1 << k][k] = at + step[l][k];
                p->before[set | 1 << k][k] = (short)l;
            }
        }
    }
}

// One working space for all blocks of a sheet.
static struct cut_paths *paths_of(struct kw_arena *scratch, struct cut_block *b) {
    if (!*b->paths) *b->paths = KW_NEW(scratch, struct cut_paths);
    return *b->paths;
}

// The best last item before `out` and the length with it.
static double best_last(const struct cut_block *b, const struct cut_paths *p, int out, int *last) {
    double best = INFINITY;
    for (int l = 0; l < b->item_count; l++) {
        double d = p->sum[(1 << b->item_count) - 1][l] +
                   way(b->items[l].out, b->outer->entries[out].pierce);
        if (!(d < best)) continue;
        best = d;
        *last = l;
    }
    return best;
}

static void fill_exact(struct kw_arena *scratch, struct cut_block *b) {
    struct cut_paths *p = paths_of(scratch, b);
    int last;
    b->in_count = b->item_count;
    b->cost = KW_NEW_ARRAY(scratch, double, b->in_count * b->out_count);
    for (int i = 0; i < b->in_count; i++) {
        b->in[i] = b->items[i].in;
        find_paths(b, i, p);
        for (int o = 0; o < b->out_count; o++)
            b->cost[i * b->out_count + o] = best_last(b, p, o, &last) + b->outer->entries[o].cost;
    }
}

// Many holes: one order of them, found as a tour.
static void fill_many(struct kw_arena *scratch, struct cut_block *b, struct kw_vec2 from,
                      uint64_t seed) {
    struct cut_stop *v = KW_NEW_ARRAY(scratch, struct cut_stop, b->item_count);
    struct cut_item *old = KW_NEW_ARRAY(scratch, struct cut_item, b->item_count);
    for (int i = 0; i < b->item_count; i++) {
        old[i] = b->items[i];
        v[i] = (struct cut_stop){.in = old[i].in, .out = old[i].out, .id = i};
    }
    cut_tour(scratch, v, b->item_count, from, &b->outer->entries[0].pierce, seed, 0);
    double sum = 0;
    for (int i = 0; i < b->item_count; i++) {
        b->items[i] = old[v[i].id];
        if (i > 0) sum += way(b->items[i - 1].out, b->items[i].in);
    }
    b->in_count = 1;
    b->in[0] = b->items[0].in;
    b->cost = KW_NEW_ARRAY(scratch, double, b->out_count);
    for (int o = 0; o < b->out_count; o++) {
        const struct cut_entry *e = &b->outer->entries[o];
        b->cost[o] = sum + way(b->items[b->item_count - 1].out, e->pierce) + e->cost;
    }
}

static void fill_plain(struct kw_arena *scratch, struct cut_block *b) {
    b->in_count = b->out_count;
    b->cost = KW_NEW_ARRAY(scratch, double, b->in_count * b->out_count);
    for (int i = 0; i < b->in_count; i++) {
        b->in[i] = b->outer->entries[i].pierce;
        for (int o = 0; o < b->out_count; o++)
            b->cost[i * b->out_count + o] = i == o ? b->outer->entries[i].cost : INFINITY;
    }
}

void cut_block_fill(struct kw_arena *scratch, struct cut_block *b, struct kw_vec2 from,
                    uint64_t seed) {
    if (b->cost && b->item_count <= CUT_EXACT_HOLES) return; // as before
    b->out_count = b->outer->entry_count;
    for (int o = 0; o < b->out_count; o++)
        b->out[o] = b->outer->entries[o].end;
    if (b->item_count == 0)
        fill_plain(scratch, b);
    else if (b->item_count <= CUT_EXACT_HOLES)
        fill_exact(scratch, b);
    else
        fill_many(scratch, b, from, seed);
    b->least = INFINITY;
    for (int i = 0; i < b->in_count * b->out_count; i++)
        b->least = fmin(b->least, b->cost[i]);
}

void cut_block_order(struct kw_arena *scratch, struct cut_block *b, int in, int out) {
    if (b->item_count < 2 || b->item_count > CUT_EXACT_HOLES) return;
    struct cut_paths *p = paths_of(scratch, b);
    struct cut_item old[CUT_EXACT_HOLES];
    int last = 0, set = (1 << b->item_count) - 1;
    find_paths(b, in, p);
    best_last(b, p, out, &last);
    for (int i = 0; i < b->item_count; i++)
        old[i] = b->items[i];
    for (int i = b->item_count - 1; i >= 0; i--) {
        int before = p->before[set][last];
        b->items[i] = old[last];
        set &= ~(1 << last);
        last = before;
    }
}
