// SPDX-License-Identifier: Apache-2.0
// The order of contours. What lies inside is cut before what holds it; a part is finished before
// the next is begun, so that a stopped program can be taken up at a part. Orders and starting
// places are improved in turns: a tour over the parts and within each part, then, along that tour,
// the best start of every contour by dynamic programming.
#include "cut/job.h"

#include <math.h>
#include <string.h>

#define TURNS 3
#define WORK                                                                                       \
    200000.0 // bounds rounds times stops squared of one tour: the demo week stays under 5 s
#define MOST_ROUNDS 1500

struct kin {    // of a part
    int outer;  ///< loop
    int *holes; ///< loops
    int hole_count;
    int inside;        ///< loop of the hole that it lies in, -1 none
    struct kw_vec2 in; ///< where its first cut begins, by the last order
};

struct brood { // parts in the hole of a loop
    int *parts;
    int count;
};

struct sequencer {
    struct cut_job *j;
    struct kin *kin;      ///< by part
    struct brood *broods; ///< by loop; the last one: parts that lie in no hole
    int *order, count;
    uint64_t seed;
    bool last; ///< the last turn: the others only settle
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
        k->in = chosen(s, i)->pierce;
        struct brood *b = &s->broods[k->inside < 0 ? j->loop_count : k->inside];
        KW_PUSH(j->scratch, b->parts, b->count) = j->loops[i].part;
    }
}

static int rounds_for(const struct sequencer *s, int n) {
    double usual = fmin(MOST_ROUNDS, WORK / ((double)n * n + 1));
    int wanted = s->j->options->order_rounds;
    if (n < 4 || !s->last) return 0;
    return wanted > 0 ? wanted : n < 9 ? 30 : (int)usual;
}

static void order_part(struct sequencer *s, int part, struct kw_vec2 *at);

static void order_brood(struct sequencer *s, const struct brood *b, struct kw_vec2 *at,
                        const struct kw_vec2 *to) {
    struct cut_stop *v = KW_NEW_ARRAY(s->j->scratch, struct cut_stop, b->count + 1);
    for (int i = 0; i < b->count; i++) {
        const struct kin *k = &s->kin[b->parts[i]];
        v[i] = (struct cut_stop){.in = k->in, .out = chosen(s, k->outer)->end, .id = b->parts[i]};
    }
    cut_tour(s->j->scratch, v, b->count, *at, to, s->seed, rounds_for(s, b->count));
    for (int i = 0; i < b->count; i++) {
        b->parts[i] = v[i].id;
        order_part(s, v[i].id, at);
    }
}

static void append(struct sequencer *s, int loop, struct kw_vec2 *at) {
    s->order[s->count++] = loop;
    *at = chosen(s, loop)->end;
}

static void order_part(struct sequencer *s, int part, struct kw_vec2 *at) {
    struct kin *k = &s->kin[part];
    int first = s->count;
    struct cut_stop *v = KW_NEW_ARRAY(s->j->scratch, struct cut_stop, k->hole_count + 1);
    for (int i = 0; i < k->hole_count; i++) {
        const struct cut_entry *e = chosen(s, k->holes[i]);
        v[i] = (struct cut_stop){.in = e->pierce, .out = e->end, .id = k->holes[i]};
        if (s->broods[k->holes[i]].count > 0) v[i].in = s->kin[s->broods[k->holes[i]].parts[0]].in;
    }
    cut_tour(s->j->scratch, v, k->hole_count, *at, &chosen(s, k->outer)->pierce, s->seed,
             rounds_for(s, k->hole_count));
    for (int i = 0; i < k->hole_count; i++) {
        k->holes[i] = v[i].id;
        order_brood(s, &s->broods[v[i].id], at, &chosen(s, v[i].id)->pierce);
        append(s, v[i].id, at);
    }
    append(s, k->outer, at);
    k->in = chosen(s, s->order[first])->pierce;
}

static double way(struct kw_vec2 a, struct kw_vec2 b) {
    double x = a.x - b.x, y = a.y - b.y;
    return sqrt(x * x + y * y);
}

// The best entries along the order: the least travel and cost up to each entry of each contour.
static double choose_entries(struct sequencer *s, struct kw_vec2 from) {
    struct cut_job *j = s->j;
    double(*sum)[CUT_MOST_ENTRIES] = kw_alloc(j->scratch, sizeof *sum * (size_t)(s->count + 1));
    int(*via)[CUT_MOST_ENTRIES] = kw_alloc(j->scratch, sizeof *via * (size_t)(s->count + 1));
    for (int k = 0; k < s->count; k++) {
        const struct cut_loop *l = &j->loops[s->order[k]];
        const struct cut_loop *before = k > 0 ? &j->loops[s->order[k - 1]] : NULL;
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
    int best = 0, last = s->count - 1;
    if (last < 0) return 0;
    for (int e = 1; e < j->loops[s->order[last]].entry_count; e++)
        if (sum[last][e] < sum[last][best]) best = e;
    double total = sum[last][best];
    for (int k = last; k >= 0; best = via[k][best], k--)
        j->loops[s->order[k]].chosen = best;
    return total;
}

int *cut_sequence(struct cut_job *j, struct kw_vec2 from, int *count) {
    struct sequencer s = {.j = j, .seed = j->options->seed};
    int *best = KW_NEW_ARRAY(j->scratch, int, j->loop_count + 1);
    int *starts = KW_NEW_ARRAY(j->scratch, int, j->loop_count + 1);
    double least = INFINITY;
    s.order = KW_NEW_ARRAY(j->scratch, int, j->loop_count + 1);
    find_kin(&s);
    for (int turn = 0; turn < TURNS; turn++) {
        struct kw_vec2 at = from;
        s.count = 0;
        s.last = turn == TURNS - 1;
        order_brood(&s, &s.broods[j->loop_count], &at, NULL);
        double total = choose_entries(&s, from);
        if (total < least) {
            least = total;
            memcpy(best, s.order, sizeof(int) * (size_t)s.count);
            for (int i = 0; i < j->loop_count; i++)
                starts[i] = j->loops[i].chosen;
        }
        s.seed = s.seed * 31 + 7;
        if (kw_watch_stopped(j->options->watch)) break;
    }
    for (int i = 0; i < j->loop_count; i++)
        j->loops[i].chosen = starts[i];
    *count = s.count;
    return best;
}
