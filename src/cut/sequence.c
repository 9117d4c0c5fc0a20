// SPDX-License-Identifier: Apache-2.0
// The order of contours. What lies inside is cut before what holds it; a part is finished before
// the next is begun, so that a stopped program can be taken up at a part. The route finds the order
// of the parts together with the starts of their outlines; the starts of the holes follow by
// dynamic programming along that order, and the two are repeated in turns.
#include "cut/block.h"

#include <math.h>
#include <string.h>

#define HEAT_RUN 3 // neighbours cut after one another before the torch goes elsewhere
#define TURNS    8

#define STEPS_LEAST 1e5
#define STEPS_EACH  11000.0 // looks at a block, for each part of the sheet
#define STEPS_MOST  2.6e6   // bounds the time: 400 parts in 1.5 s
#define STEPS_SHARE 0.15    // of them in each turn

struct run { // loops in the order of cutting
    int *loops;
    int count;
};

struct kin {    // of a part
    int outer;  ///< loop
    int *holes; ///< loops
    int hole_count;
    int inside;             ///< loop of the hole that it lies in, -1 none
    struct kw_vec2 from;    ///< where the torch comes from, by the last order
    struct cut_block block; ///< as the route saw it last
};

struct brood { // parts in the hole of a loop
    int *parts;
    int count;
};

struct sequencer {
    struct cut_job *j;
    struct kin *kin;      ///< by part
    struct brood *broods; ///< by loop; the last one: parts that lie in no hole
    uint64_t seed;
    double share; ///< of the steps
    bool first;   ///< no order is known yet
    struct cut_paths *paths;
};

static struct cut_entry *chosen(const struct sequencer *s, int loop) {
    struct cut_loop *l = &s->j->loops[loop];
    return &l->entries[l->chosen];
}
// The smallest hole of another part that holds the part, as a loop; -1 none.
static int find_hole(const struct sequencer *s, int part) {
    const struct kw_path *p = &s->j->sheet->parts[part].region.outer;
    struct kw_vec2 at = kw_v2(p->v[0].x, p->v[0].y);
    double least = INFINITY;
    int found = -1;
    for (int i = 0; i < s->j->loop_count; i++) {
        const struct cut_loop *l = &s->j->loops[i];
        if (l->hole < 0 || l->part == part) continue;
        const struct kw_path *h = &s->j->sheet->parts[l->part].region.holes[l->hole];
        struct kw_box2 b = kw_path_box(h);
        if (at.x < b.min.x || at.x > b.max.x || at.y < b.min.y || at.y > b.max.y) continue;
        double area = fabs(kw_path_area(h));
        if (area < least && kw_path_contains(h, at)) {
            least = area;
            found = i;
        }
    }
    return found;
}

static void find_kin(struct sequencer *s) {
    struct cut_job *j = s->j;
    s->kin = KW_NEW_ARRAY(j->scratch, struct kin, j->sheet->part_count + 1);
    s->broods = KW_NEW_ARRAY(j->scratch, struct brood, j->loop_count + 1);
    for (int i = 0; i < j->loop_count; i++) {
        struct kin *k = &s->kin[j->loops[i].part];
        if (j->loops[i].hole < 0)
            k->outer = i;
        else
            KW_PUSH(j->scratch, k->holes, k->hole_count) = i;
    }
    for (int i = 0; i < j->loop_count; i++) {
        if (j->loops[i].hole >= 0) continue;
        struct kin *k = &s->kin[j->loops[i].part];
        k->inside = find_hole(s, j->loops[i].part);
        struct brood *b = &s->broods[k->inside < 0 ? j->loop_count : k->inside];
        KW_PUSH(j->scratch, b->parts, b->count) = j->loops[i].part;
    }
}

static struct run order_parts(struct sequencer *s, struct brood *b, struct kw_vec2 from,
                              const struct kw_vec2 *to);

static void append(struct sequencer *s, struct run *r, const struct run *more) {
    for (int i = 0; i < more->count; i++)
        KW_PUSH(s->j->scratch, r->loops, r->count) = more->loops[i];
}

static bool same_point(struct kw_vec2 a, struct kw_vec2 b) {
    return a.x == b.x && a.y == b.y;
}

// Puts the holes' present starts into the block; if none has changed, its ways stay as they are.
static void put_items(struct cut_block *b, const struct cut_item *items, int count) {
    bool same = b->cost && b->item_count == count;
    for (int i = 0; i < count && same; i++)
        same = same_point(b->items[i].in, items[i].in) && same_point(b->items[i].out, items[i].out);
    if (!same) b->cost = NULL;
    for (int i = 0; i < count; i++)
        b->items[i] = items[i];
    b->item_count = count;
}

// The part as the route sees it; `runs` gets, by hole, the hole and what is cut before it.
static struct cut_block make_block(struct sequencer *s, int part, struct run **runs) {
    struct kin *k = &s->kin[part];
    struct kw_arena *a = s->j->scratch;
    struct cut_block *b = &k->block;
    struct cut_item *items = KW_NEW_ARRAY(a, struct cut_item, k->hole_count + 1);
    *runs = KW_NEW_ARRAY(a, struct run, k->hole_count + 1);
    for (int i = 0; i < k->hole_count; i++) {
        int loop = k->holes[i];
        struct run *r = &(*runs)[i];
        struct kw_vec2 pierce = chosen(s, loop)->pierce;
        if (s->broods[loop].count > 0) *r = order_parts(s, &s->broods[loop], pierce, &pierce);
        KW_PUSH(a, r->loops, r->count) = loop;
        items[i] = (struct cut_item){chosen(s, r->loops[0])->pierce, chosen(s, loop)->end, i};
    }
    b->outer = &s->j->loops[k->outer];
    b->paths = &s->paths;
    if (!b->items) b->items = KW_NEW_ARRAY(a, struct cut_item, k->hole_count + 1);
    put_items(b, items, k->hole_count);
    cut_block_fill(a, b, k->from, s->seed);
    struct cut_block copy = *b;
    copy.items = KW_NEW_ARRAY(a, struct cut_item, k->hole_count + 1);
    memcpy(copy.items, b->items, sizeof *b->items * (size_t)k->hole_count);
    return copy;
}

static double steps_for(const struct sequencer *s, int parts) {
    double wanted = s->j->options->order_steps;
    double usual = parts < 4 ? 2000 : STEPS_LEAST + STEPS_EACH * parts;
    return s->share * (wanted > 0 ? wanted : fmin(usual, STEPS_MOST));
}

// A first order by the tours' rules, then by the route's.
static void order_blocks(struct sequencer *s, const struct cut_block *blocks, struct cut_choice *v,
                         int n, struct kw_vec2 from, const struct kw_vec2 *to) {
    struct cut_stop *stops = KW_NEW_ARRAY(s->j->scratch, struct cut_stop, n);
    for (int i = 0; i < n; i++)
        v[i].block = i;
    for (int i = 0; i < n && s->first; i++)
        stops[i] = (struct cut_stop){blocks[i].in[0], blocks[i].out[0], false, i, false};
    if (s->first) cut_tour(s->j->scratch, stops, n, from, to, s->seed, 0);
    for (int i = 0; i < n && s->first; i++)
        v[i].block = stops[i].id;
    cut_route(s->j->scratch, blocks, v, n, from, to, s->seed, steps_for(s, n));
}

static struct kw_vec2 middle_of(const struct cut_block *b) {
    struct kw_box2 box = kw_path_box(&b->outer->line);
    return kw_lerp2(box.min, box.max, 0.5);
}

// After HEAT_RUN neighbours the next part in the order that is far enough away comes first.
static void spread_heat(const struct cut_block *blocks, struct cut_choice *v, int n, double gap) {
    for (int i = 1, run = 1; i < n; i++) {
        struct kw_vec2 last = middle_of(&blocks[v[i - 1].block]);
        int next = i;
        while (run >= HEAT_RUN && next < n &&
               kw_length2(kw_sub2(middle_of(&blocks[v[next].block]), last)) < gap)
            next++;
        if (next == n) next = i;
        struct cut_choice c = v[next];
        for (int k = next; k > i; k--)
            v[k] = v[k - 1];
        v[i] = c;
        bool near = kw_length2(kw_sub2(middle_of(&blocks[c.block]), last)) < gap;
        run = near ? run + 1 : 1;
    }
}

static struct run order_parts(struct sequencer *s, struct brood *b, struct kw_vec2 from,
                              const struct kw_vec2 *to) {
    struct run out = {0};
    struct kw_arena *a = s->j->scratch;
    struct cut_block *blocks = KW_NEW_ARRAY(a, struct cut_block, b->count + 1);
    struct cut_choice *v = KW_NEW_ARRAY(a, struct cut_choice, b->count + 1);
    struct run **runs = KW_NEW_ARRAY(a, struct run *, b->count + 1);
    int *parts = KW_NEW_ARRAY(a, int, b->count + 1);
    for (int i = 0; i < b->count; i++)
        blocks[i] = make_block(s, b->parts[i], &runs[i]);
    if (b->count > 0) order_blocks(s, blocks, v, b->count, from, to);
    if (s->j->sheet->heat_gap > 0) spread_heat(blocks, v, b->count, s->j->sheet->heat_gap);
    for (int i = 0; i < b->count; i++) {
        struct cut_block *k = &blocks[v[i].block];
        struct kin *kin = &s->kin[b->parts[v[i].block]];
        parts[i] = b->parts[v[i].block];
        kin->from = from;
        cut_block_order(a, k, v[i].in, v[i].out);
        for (int h = 0; h < k->item_count; h++)
            append(s, &out, &runs[v[i].block][k->items[h].id]);
        KW_PUSH(a, out.loops, out.count) = kin->outer;
        s->j->loops[kin->outer].chosen = v[i].out;
        from = chosen(s, kin->outer)->end;
    }
    for (int i = 0; i < b->count; i++)
        b->parts[i] = parts[i];
    return out;
}

static double way(struct kw_vec2 a, struct kw_vec2 b) {
    double x = a.x - b.x, y = a.y - b.y;
    return sqrt(x * x + y * y);
}

// The best entries along the order: the least travel and cost up to each entry of each contour.
static double choose_entries(struct cut_job *j, const struct run *run, struct kw_vec2 from) {
    double(*sum)[CUT_MOST_ENTRIES] = kw_alloc(j->scratch, sizeof *sum * (size_t)(run->count + 1));
    int(*via)[CUT_MOST_ENTRIES] = kw_alloc(j->scratch, sizeof *via * (size_t)(run->count + 1));
    for (int k = 0; k < run->count; k++) {
        const struct cut_loop *l = &j->loops[run->loops[k]];
        const struct cut_loop *before = k > 0 ? &j->loops[run->loops[k - 1]] : NULL;
        for (int e = 0; e < l->entry_count; e++) {
            sum[k][e] = before ? INFINITY : way(l->entries[e].pierce, from);
            for (int b = 0; before && b < before->entry_count; b++) {
                double d = sum[k - 1][b] + way(l->entries[e].pierce, before->entries[b].end);
                if (!(d < sum[k][e])) continue;
                sum[k][e] = d;
                via[k][e] = b;
            }
            sum[k][e] += l->entries[e].cost;
        }
    }
    int best = 0, last = run->count - 1;
    if (last < 0) return 0;
    for (int e = 1; e < j->loops[run->loops[last]].entry_count; e++)
        if (sum[last][e] < sum[last][best]) best = e;
    double total = sum[last][best];
    for (int k = last; k >= 0; best = via[k][best], k--)
        j->loops[run->loops[k]].chosen = best;
    return total;
}

int *cut_sequence(struct cut_job *j, struct kw_vec2 from, int *count) {
    struct sequencer s = {.j = j, .seed = j->options->seed};
    struct run best = {0};
    int *starts = KW_NEW_ARRAY(j->scratch, int, j->loop_count + 1);
    double least = INFINITY;
    find_kin(&s);
    for (int turn = 0; turn < TURNS; turn++) {
        s.share = STEPS_SHARE;
        s.first = turn == 0;
        struct run run = order_parts(&s, &s.broods[j->loop_count], from, NULL);
        double total = choose_entries(j, &run, from);
        if (total < least) {
            least = total;
            best = run;
            for (int i = 0; i < j->loop_count; i++)
                starts[i] = j->loops[i].chosen;
        }
        s.seed = s.seed * 31 + 7;
        if (kw_watch_stopped(j->options->watch)) break;
    }
    for (int i = 0; i < j->loop_count; i++)
        j->loops[i].chosen = starts[i];
    *count = best.count;
    return best.loops;
}
