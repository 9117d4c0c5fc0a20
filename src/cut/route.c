// SPDX-License-Identifier: Apache-2.0
// The order of the parts and the way through each of them, found together. A change of the order
// (a stretch moved, turned round, or two neighbouring stretches exchanged) is weighed with the best
// ways through all parts near it, by dynamic programming along a window of the route. Changes are
// looked for where near neighbours could become neighbours in the route; then the route is
// disturbed at a random place, mended there, and kept when it is no longer than before.
#include "cut/block.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NEIGHBOURS    10
#define MARGIN        2    // blocks on both sides of a change whose ways may change too
#define LONGEST_SHIFT 3    // blocks moved together
#define LONGEST_TURN  50   // blocks turned round together
#define LONGEST_SWAP  30   // blocks that a disturbance exchanges
#define GAIN          1e-6 // mm

struct near { // a block that could follow, or be followed by, another
    int block;
    double way; ///< least between any of their ways
};

struct route {
    const struct cut_block *blocks;
    struct cut_choice *v;
    int n;
    int *pos; ///< by block
    struct kw_vec2 from;
    const struct kw_vec2 *to;
    struct near *after, *before; ///< NEIGHBOURS of each block
    int near_count;
    struct cut_choice *try, *best_try; ///< a window's blocks
    double (*sum)[CUT_MOST_ENTRIES];
    unsigned char (*via_in)[CUT_MOST_ENTRIES], (*via_out)[CUT_MOST_WAYS_IN];
    double steps; ///< left
    int *queue, queue_count;
    bool *queued;
};

static double way(struct kw_vec2 a, struct kw_vec2 b) {
    double x = a.x - b.x, y = a.y - b.y;
    return sqrt(x * x + y * y);
}

static struct kw_vec2 leaves(const struct route *r, int i) {
    return i < 0 ? r->from : r->blocks[r->v[i].block].out[r->v[i].out];
}

static double way_on(const struct route *r, struct kw_vec2 a, int i) {
    if (i < r->n) return way(a, r->blocks[r->v[i].block].in[r->v[i].in]);
    return r->to ? way(a, *r->to) : 0;
}

static double cost_of(const struct route *r, struct cut_choice c) {
    const struct cut_block *b = &r->blocks[c.block];
    return b->cost[c.in * b->out_count + c.out];
}

// From the block before `lo` to the block after `hi`, as they stand.
static double cost_now(const struct route *r, int lo, int hi) {
    double sum = way_on(r, leaves(r, lo - 1), lo);
    for (int i = lo; i <= hi; i++)
        sum += cost_of(r, r->v[i]) + way_on(r, leaves(r, i), i + 1);
    return sum;
}

// One block further: least sums up to each of its ways out. Returns the least of them.
static double step_on(struct route *r, const struct cut_block *b, const struct kw_vec2 *outs,
                      const double *sums, int out_count, int k) {
    double *sum = r->sum[k], best = INFINITY;
    r->steps--;
    for (int o = 0; o < b->out_count; o++)
        sum[o] = INFINITY;
    for (int i = 0; i < b->in_count; i++) {
        double least = INFINITY;
        for (int e = 0; e < out_count; e++) {
            double room = least - sums[e];
            if (!(room > 0)) continue; // most are told apart without the root
            double x = outs[e].x - b->in[i].x, y = outs[e].y - b->in[i].y, d2 = x * x + y * y;
            if (!(d2 < room * room)) continue;
            least = sums[e] + sqrt(d2);
            r->via_out[k][i] = (unsigned char)e;
        }
        const double *cost = &b->cost[i * b->out_count];
        for (int o = 0; o < b->out_count; o++) {
            if (!(least + cost[o] < sum[o])) continue;
            sum[o] = least + cost[o];
            r->via_in[k][o] = (unsigned char)i;
        }
    }
    for (int o = 0; o < b->out_count; o++)
        best = sum[o] < best ? sum[o] : best;
    return best;
}

// The blocks try[0..n-1] in this order between the blocks at `before` and `after`, which keep their
// ways: the least cost; their ways are set. Once that can't be under `limit` any more, INFINITY.
static double choose_ways(struct route *r, struct cut_choice *try, int n, int before, int after,
                          double limit) {
    static const double none = 0;
    struct kw_vec2 start = leaves(r, before);
    const struct kw_vec2 *outs = &start;
    const double *sums = &none;
    int out_count = 1, best = 0;
    double rest = 0; // what the blocks still to come cost at least
    if (n == 0) return way_on(r, start, after);
    for (int k = 0; k < n; k++)
        rest += r->blocks[try[k].block].least;
    for (int k = 0; k < n; k++) {
        const struct cut_block *b = &r->blocks[try[k].block];
        rest -= b->least;
        if (!(step_on(r, b, outs, sums, out_count, k) + rest < limit)) return INFINITY;
        outs = b->out;
        sums = r->sum[k];
        out_count = b->out_count;
    }
    double least = INFINITY;
    for (int o = 0; o < out_count; o++) {
        double d = sums[o] + way_on(r, outs[o], after);
        if (!(d < least)) continue;
        least = d;
        best = o;
    }
    for (int k = n - 1; k >= 0; k--) {
        try[k].out = best;
        try[k].in = r->via_in[k][best];
        best = r->via_out[k][try[k].in];
    }
    return least;
}

static void enqueue(struct route *r, int i) {
    if (i < 0 || i >= r->n || r->queued[r->v[i].block]) return;
    r->queued[r->v[i].block] = true;
    r->queue[r->queue_count++] = r->v[i].block;
}

static void put(struct route *r, int lo, const struct cut_choice *try, int n) {
    for (int k = 0; k < n; k++) {
        r->v[lo + k] = try[k];
        r->pos[try[k].block] = lo + k;
    }
}

// The positions lo..hi in a new order (r->try, without the margins): taken if it is shorter.
static bool take_if_better(struct route *r, int lo, int hi) {
    int from = lo - MARGIN < 0 ? 0 : lo - MARGIN, to = hi + MARGIN >= r->n ? r->n - 1 : hi + MARGIN;
    int n = to - from + 1, head = lo - from;
    for (int k = hi - lo; k >= 0; k--)
        r->try[head + k] = r->try[k];
    for (int i = from; i < lo; i++)
        r->try[i - from] = r->v[i];
    for (int i = hi + 1; i <= to; i++)
        r->try[i - from] = r->v[i];
    double now = cost_now(r, from, to);
    if (!(choose_ways(r, r->try, n, from - 1, to + 1, now) < now - GAIN)) return false;
    put(r, from, r->try, n);
    for (int i = from; i <= to; i++)
        if (i < lo + 2 || i > hi - 2) enqueue(r, i);
    return true;
}

// The stretch lo..hi turned round.
static bool turn(struct route *r, int lo, int hi) {
    if (lo >= hi || hi - lo >= LONGEST_TURN) return false;
    for (int i = lo; i <= hi; i++)
        r->try[hi - i] = r->v[i];
    return take_if_better(r, lo, hi);
}

// lo..mid and mid+1..hi exchanged; the one that is moved may be turned round.
static bool exchange(struct route *r, int lo, int mid, int hi, bool turn_first, bool turn_second) {
    int k = 0;
    for (int i = mid + 1; i <= hi; i++)
        r->try[k++] = r->v[turn_second ? hi - (i - mid - 1) : i];
    for (int i = lo; i <= mid; i++)
        r->try[k++] = r->v[turn_first ? mid - (i - lo) : i];
    return take_if_better(r, lo, hi);
}

// Far apart: the stretch a..b goes between q and q + 1. Two windows are weighed by themselves.
static bool shift_far(struct route *r, int a, int b, int q, bool round) {
    int n = b - a + 1, left = a - MARGIN < 0 ? 0 : a - MARGIN;
    int right = b + MARGIN >= r->n ? r->n - 1 : b + MARGIN, k = 0;
    struct cut_choice *gap = r->best_try;
    for (int i = left; i <= right; i++)
        if (i < a || i > b) gap[k++] = r->v[i];
    double freed = cost_now(r, left, right) - choose_ways(r, gap, k, left - 1, right + 1, INFINITY);
    int lo = q - MARGIN + 1 < 0 ? 0 : q - MARGIN + 1;
    int hi = q + MARGIN >= r->n ? r->n - 1 : q + MARGIN, m = 0;
    for (int i = lo; i <= q; i++)
        r->try[m++] = r->v[i];
    for (int i = 0; i < n; i++)
        r->try[m++] = r->v[round ? b - i : a + i];
    for (int i = q + 1; i <= hi; i++)
        r->try[m++] = r->v[i];
    double limit = freed + cost_now(r, lo, hi);
    if (!(choose_ways(r, r->try, m, lo - 1, hi + 1, limit) < limit - GAIN)) return false;
    for (int i = left, g = 0; i <= right; i++)
        if (i < a || i > b) r->v[i] = gap[g++];
    if (q < a) {
        memmove(&r->v[hi + 1 + n], &r->v[hi + 1], sizeof *r->v * (size_t)(a - hi - 1));
        put(r, lo, r->try, m);
    } else {
        memmove(&r->v[a], &r->v[b + 1], sizeof *r->v * (size_t)(lo - b - 1));
        put(r, lo - n, r->try, m);
    }
    int first = q < a ? lo : left, last = q < a ? right : hi;
    for (int i = first; i <= last; i++)
        r->pos[r->v[i].block] = i;
    for (int i = 0; i < m; i++)
        enqueue(r, (q < a ? lo : lo - n) + i);
    for (int i = left; i <= right; i++)
        enqueue(r, i);
    return true;
}

// The stretch a..b to behind position q, which lies outside it.
static bool shift(struct route *r, int a, int b, int q, bool round) {
    if (a < 0 || b >= r->n || (q >= a - 1 && q <= b && !(round && q == a - 1))) return false;
    if (q == a - 1) return turn(r, a, b);
    bool near = q < a ? a - q <= 3 * MARGIN : q - b <= 3 * MARGIN;
    if (!near) return shift_far(r, a, b, q, round);
    if (q < a) return exchange(r, q + 1, a - 1, b, false, round);
    return exchange(r, a, b, q, round, false);
}

// Makes p follow q (or be followed by it, when `before` is false), in all ways that are tried.
static bool bring_together(struct route *r, int p, int q, bool q_first) {
    int a = r->pos[p], k = r->pos[q];
    for (int n = 0; n < LONGEST_SHIFT; n++) {
        if (q_first) {
            if (shift(r, a, a + n, k, false)) return true;
            if (n > 0 && shift(r, a - n, a, k, true)) return true;
        } else {
            if (shift(r, a - n, a, k - 1, false)) return true;
            if (n > 0 && shift(r, a, a + n, k - 1, true)) return true;
        }
    }
    if (q_first) return k < a ? turn(r, k + 1, a) : turn(r, a, k - 1);
    return k > a ? turn(r, a + 1, k) || turn(r, a, k - 1) : turn(r, k, a - 1) || turn(r, k + 1, a);
}

// What could be saved at most by another neighbour: the way there, and better ways through both.
static double slack_before(const struct route *r, int i) {
    return way_on(r, leaves(r, i - 1), i) + cost_of(r, r->v[i]) - r->blocks[r->v[i].block].least;
}

static double slack_after(const struct route *r, int i) {
    return way_on(r, leaves(r, i), i + 1) + cost_of(r, r->v[i]) - r->blocks[r->v[i].block].least;
}

static bool improve_at(struct route *r, int p) {
    for (int side = 0; side < 2; side++) {
        int i = r->pos[p];
        double most = side == 0 ? slack_before(r, i) : slack_after(r, i);
        const struct near *near = &(side == 0 ? r->before : r->after)[p * r->near_count];
        for (int k = 0; k < r->near_count && near[k].way < most; k++)
            if (bring_together(r, p, near[k].block, side == 0)) return true;
    }
    return false;
}

static void settle(struct route *r) {
    int done = 0;
    while (done < r->queue_count && r->steps > 0) {
        int p = r->queue[done++];
        r->queued[p] = false;
        while (improve_at(r, p) && r->steps > 0)
            ;
        if (done < r->queue_count && done < r->n) continue;
        r->queue_count -= done;
        memmove(r->queue, r->queue + done, sizeof *r->queue * (size_t)r->queue_count);
        done = 0;
    }
    for (int i = 0; i < r->queue_count; i++)
        r->queued[r->queue[i]] = false;
    r->queue_count = 0;
}

// --------------------------------------------------------------------------------------- start

static int nearer(const void *a, const void *b) {
    const struct near *p = a, *q = b;
    if (p->way != q->way) return p->way < q->way ? -1 : 1;
    return p->block - q->block;
}

static double least_way(const struct cut_block *a, const struct cut_block *b) {
    double least = INFINITY;
    for (int o = 0; o < a->out_count; o++)
        for (int i = 0; i < b->in_count; i++) {
            double x = a->out[o].x - b->in[i].x, y = a->out[o].y - b->in[i].y;
            least = fmin(least, x * x + y * y);
        }
    return sqrt(least);
}

// The nearest by the gap of the boxes are looked at closely.
static void find_neighbours(struct kw_arena *scratch, struct route *r) {
    int n = r->n, closer = n - 1 < 3 * NEIGHBOURS ? n - 1 : 3 * NEIGHBOURS;
    struct near *all = KW_NEW_ARRAY(scratch, struct near, n + 1),
                *ways = KW_NEW_ARRAY(scratch, struct near, n + 1);
    struct kw_box2 *box = KW_NEW_ARRAY(scratch, struct kw_box2, n);
    struct kw_vec2 *middle = KW_NEW_ARRAY(scratch, struct kw_vec2, n);
    r->near_count = n - 1 < NEIGHBOURS ? n - 1 : NEIGHBOURS;
    r->after = KW_NEW_ARRAY(scratch, struct near, n * r->near_count + 1);
    r->before = KW_NEW_ARRAY(scratch, struct near, n * r->near_count + 1);
    for (int i = 0; i < n; i++) {
        box[i] = kw_path_box(&r->blocks[i].outer->line);
        middle[i] = kw_lerp2(box[i].min, box[i].max, 0.5);
    }
    for (int p = 0; p < n; p++) {
        int count = 0;
        for (int q = 0; q < n; q++) {
            if (q == p) continue;
            double gap = fmax(cut_box_gap(box[p], box[q]), 0);
            gap += 0.1 * way(middle[p], middle[q]);
            all[count++] = (struct near){q, gap};
        }
        qsort(all, (size_t)count, sizeof *all, nearer);
        for (int side = 0; side < 2; side++) {
            for (int k = 0; k < closer; k++) {
                const struct cut_block *a = &r->blocks[p], *b = &r->blocks[all[k].block];
                ways[k] = (struct near){all[k].block, side ? least_way(a, b) : least_way(b, a)};
            }
            qsort(ways, (size_t)closer, sizeof *ways, nearer);
            memcpy(&(side ? r->after : r->before)[p * r->near_count], ways,
                   sizeof *ways * (size_t)r->near_count);
        }
    }
}

static void prepare(struct kw_arena *scratch, struct route *r) {
    size_t n = (size_t)r->n;
    r->pos = KW_NEW_ARRAY(scratch, int, n);
    r->try = KW_NEW_ARRAY(scratch, struct cut_choice, n + 1);
    r->best_try = KW_NEW_ARRAY(scratch, struct cut_choice, n + 1);
    r->sum = kw_alloc(scratch, sizeof *r->sum * n);
    r->via_in = kw_alloc(scratch, sizeof *r->via_in * n);
    r->via_out = kw_alloc(scratch, sizeof *r->via_out * n);
    r->queue = KW_NEW_ARRAY(scratch, int, 2 * n + 2);
    r->queued = KW_NEW_ARRAY(scratch, bool, n + 1);
    for (int i = 0; i < r->n; i++)
        r->pos[r->v[i].block] = i;
    find_neighbours(scratch, r);
}

static void choose_all(struct route *r) {
    memcpy(r->try, r->v, sizeof *r->v * (size_t)r->n);
    choose_ways(r, r->try, r->n, -1, r->n, INFINITY);
    put(r, 0, r->try, r->n);
}

// Two neighbouring stretches change places whatever it costs, with the best ways near them.
static void disturb(struct route *r, uint64_t *random) {
    int most = r->n < LONGEST_SWAP ? r->n : LONGEST_SWAP, k = 0;
    int lo = (int)(kw_random(random) % (uint64_t)(r->n - 1));
    int room = r->n - lo < most ? r->n - lo : most;
    int span = 2 + (int)(kw_random(random) % (uint64_t)(room - 1));
    int mid = lo + (int)(kw_random(random) % (uint64_t)(span - 1)), hi = lo + span - 1;
    for (int i = mid + 1; i <= hi; i++)
        r->try[k++] = r->v[i];
    for (int i = lo; i <= mid; i++)
        r->try[k++] = r->v[i];
    choose_ways(r, r->try, span, lo - 1, hi + 1, INFINITY);
    put(r, lo, r->try, span);
    int joint = lo + hi - mid;
    for (int i = -1; i < 2; i++) {
        enqueue(r, lo + i);
        enqueue(r, joint + i);
        enqueue(r, hi + i);
    }
}

double cut_route(struct kw_arena *scratch, const struct cut_block *blocks, struct cut_choice *order,
                 int count, struct kw_vec2 from, const struct kw_vec2 *to, uint64_t seed,
                 double steps) {
    struct route r = {
        .blocks = blocks, .v = order, .n = count, .from = from, .to = to, .steps = steps};
    if (count == 0) return to ? way(from, *to) : 0;
    prepare(scratch, &r);
    choose_all(&r);
    for (int i = 0; i < count; i++)
        enqueue(&r, i);
    settle(&r);
    choose_all(&r);
    struct cut_choice *best = KW_NEW_ARRAY(scratch, struct cut_choice, count);
    double least = cost_now(&r, 0, count - 1);
    memcpy(best, order, sizeof *best * (size_t)count);
    while (count > 2 && r.steps > 0) {
        disturb(&r, &seed);
        settle(&r);
        double length = cost_now(&r, 0, count - 1);
        if (length <= least) {
            least = length;
            memcpy(best, order, sizeof *best * (size_t)count);
        } else {
            put(&r, 0, best, count);
        }
    }
    put(&r, 0, best, count);
    choose_all(&r);
    return cost_now(&r, 0, count - 1);
}
