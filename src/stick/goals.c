// SPDX-License-Identifier: Apache-2.0
// The second and third goals: among plans as cheap, few different patterns, and of those with as
// few the one whose leftovers are worth most. Branch and bound over patterns (a fill, a stock, how
// often): on the whole plan where it is small, else on a few of its patterns at a time.
#include "stick/inside.h"

#include <stdlib.h>
#include <string.h>

enum {
    MOST_FILLS = 2000,    // tried at one level
    WHOLE_NODES = 200000, // on the whole plan
    PART_NODES = 10000,   // on a few of its patterns
    MOST_PART = 5,        // patterns taken apart at once
    MOST_TIMES = 40,      // rounds for each pattern of the plan, at most
    MOST_DEPTH = 64
};

struct pattern {
    int stock, times;
    int64_t fill;
    int *count; ///< a type of the hunt (in a plan: of the model)
};

/// What is best of plans that cost the same and have as few patterns.
enum last_goal {
    WORTH, ///< of the leftovers
    UNEVEN ///< some patterns often and the others seldom, so that these can go next
};

struct score {
    int64_t cost;
    int patterns;
    int64_t last; ///< by the last goal
};

static bool is_better(struct score a, struct score than) {
    if (a.cost != than.cost) return a.cost < than.cost;
    if (a.patterns != than.patterns) return a.patterns < than.patterns;
    return a.last > than.last;
}

/// What the leftovers of so many sticks with this fill are worth.
static int64_t worth_of(const struct stick_model *m, int stock, int64_t fill, int times) {
    int64_t left = m->rest[stock] - fill * m->unit;
    if (m->keep == 0 || left < m->keep) return 0;
    return (int64_t)((double)left * m->keep_rate[stock]) * times;
}

static int64_t last_of(const struct stick_model *m, enum last_goal goal, int stock, int64_t fill,
                       int times) {
    return goal == WORTH ? worth_of(m, stock, fill, times) : (int64_t)times * times;
}

struct hunt {
    const struct stick_model *m;
    enum last_goal goal;
    int types;
    int64_t *weight;
    int *remain, *now; ///< a type: pieces to place; in the fill being made
    int *left;         ///< a stock
    int64_t remain_weight;
    struct score at, best;
    struct pattern chosen[MOST_DEPTH];
    int depth;
    struct pattern *found; ///< the best
    int found_count;
    long nodes;
    bool complete;
    struct kw_arena *arena;
};

static bool spent(struct hunt *h) {
    if (--h->nodes < 0) h->complete = false;
    return h->nodes < 0;
}

static bool can_pay(const struct hunt *h, int64_t cost, int64_t weight) {
    int64_t more = weight > 0 ? stick_least_cost(h->m, h->left, h->m->room, weight) : 0;
    if (more == INT64_MAX) more = 0;
    return cost + more <= h->best.cost;
}

static void keep_found(struct hunt *h) {
    struct score now = h->at;
    now.patterns = h->depth;
    if (!is_better(now, h->best)) return;
    h->best = now;
    h->found_count = h->depth;
    h->found = KW_NEW_ARRAY(h->arena, struct pattern, h->depth + 1);
    for (int i = 0; i < h->depth; i++) {
        h->found[i] = h->chosen[i];
        h->found[i].count = KW_NEW_ARRAY(h->arena, int, h->types);
        memcpy(h->found[i].count, h->chosen[i].count, sizeof(int) * (size_t)h->types);
    }
}

/// Puts the pattern `times` times into the plan (or takes it back, sign -1).
static void put(struct hunt *h, const struct pattern *p, int times, int sign) {
    for (int t = 0; t < h->types; t++)
        h->remain[t] -= sign * times * p->count[t];
    h->remain_weight -= sign * times * p->fill;
    h->left[p->stock] -= sign * times;
    h->at.cost += sign * times * h->m->price[p->stock];
    h->at.last += sign * last_of(h->m, h->goal, p->stock, p->fill, times);
    if (sign > 0) {
        h->chosen[h->depth] = *p;
        h->chosen[h->depth++].times = times;
    } else {
        h->depth--;
    }
}

/// With one pattern to come it is all that remains, cut alike: how often is what divides it.
static void last_pattern(struct hunt *h) {
    int most = 0;
    for (int t = 0; t < h->types; t++)
        if (h->remain[t] > 0 && (most == 0 || h->remain[t] < most)) most = h->remain[t];
    struct pattern p = {.count = KW_NEW_ARRAY(h->arena, int, h->types)};
    for (int n = 1; n <= most && !spent(h); n++) {
        bool divides = true;
        for (int t = 0; t < h->types && divides; t++) {
            divides = h->remain[t] % n == 0;
            p.count[t] = h->remain[t] / n;
        }
        if (!divides) continue;
        p.fill = h->remain_weight / n;
        for (p.stock = 0; p.stock < h->m->stocks; p.stock++) {
            if (h->left[p.stock] < n || h->m->room[p.stock] < p.fill) continue;
            if (h->at.cost + n * h->m->price[p.stock] > h->best.cost) continue;
            put(h, &p, n, 1);
            keep_found(h);
            put(h, &p, n, -1);
        }
    }
}

struct fills {
    struct pattern *v;
    int count;
};

/// The fill made so far, on every stock that holds it and leaves enough money for the rest.
static void keep_fill(struct hunt *h, struct fills *f, int64_t fill) {
    const struct stick_model *m = h->m;
    int times = 0;
    for (int t = 0; t < h->types; t++) {
        int n = h->now[t] > 0 ? h->remain[t] / h->now[t] : 0;
        if (h->now[t] > 0 && (times == 0 || n < times)) times = n;
    }
    for (int j = 0; j < m->stocks; j++) {
        if (h->left[j] == 0 || m->room[j] < fill) continue;
        h->left[j]--;
        bool pays = can_pay(h, h->at.cost + m->price[j], h->remain_weight - fill);
        h->left[j]++;
        if (!pays) continue;
        if (f->count >= MOST_FILLS) {
            h->complete = false;
            return;
        }
        struct pattern p = {j, times < h->left[j] ? times : h->left[j], fill,
                            KW_NEW_ARRAY(h->arena, int, h->types)};
        memcpy(p.count, h->now, sizeof(int) * (size_t)h->types);
        KW_PUSH(h->arena, f->v, f->count) = p;
    }
}

/// Every fill with at least `least` of type t and any of the later ones, full or not.
static void list_fills(struct hunt *h, struct fills *f, int t, int least, int64_t fill,
                       int64_t room) {
    while (t < h->types && (h->remain[t] == 0 || h->weight[t] > room - fill))
        t++;
    if (t == h->types) {
        if (fill > 0) keep_fill(h, f, fill);
        return;
    }
    int64_t most = (room - fill) / h->weight[t];
    if (most > h->remain[t]) most = h->remain[t];
    for (int n = (int)most; n >= least && !spent(h); n--) {
        h->now[t] = n;
        list_fills(h, f, t + 1, 0, fill + n * h->weight[t], room);
    }
    h->now[t] = 0;
}

/// Often first, then fullest a price.
static int by_use(const void *a, const void *b, void *hunt) {
    const struct pattern *x = a, *y = b;
    const struct stick_model *m = ((const struct hunt *)hunt)->m;
    int64_t u = x->times * x->fill, v = y->times * y->fill;
    if (u != v) return u > v ? -1 : 1;
    double p = (double)m->price[x->stock] * (double)y->fill;
    double q = (double)m->price[y->stock] * (double)x->fill;
    if (p != q) return p < q ? -1 : 1;
    if (x->stock != y->stock) return x->stock - y->stock;
    for (int t = 0; t < ((const struct hunt *)hunt)->types; t++)
        if (x->count[t] != y->count[t]) return y->count[t] - x->count[t];
    return 0;
}

static void branch(struct hunt *h) {
    if (h->remain_weight == 0) {
        keep_found(h);
        return;
    }
    if (h->depth >= h->best.patterns || h->depth >= MOST_DEPTH || spent(h)) return;
    if (!can_pay(h, h->at.cost, h->remain_weight)) return;
    if (h->depth + 1 == h->best.patterns) {
        last_pattern(h);
        return;
    }
    int t = 0;
    int64_t room = 0;
    while (h->remain[t] == 0)
        t++;
    for (int j = 0; j < h->m->stocks; j++)
        if (h->left[j] > 0 && h->m->room[j] > room) room = h->m->room[j];
    if (room < h->weight[t]) return;
    struct fills f = {0};
    list_fills(h, &f, t, 1, 0, room);
    if (f.count > 1) qsort_r(f.v, (size_t)f.count, sizeof *f.v, by_use, h);
    for (int i = 0; i < f.count && h->nodes >= 0; i++)
        for (int n = f.v[i].times; n > 0 && h->nodes >= 0; n--) {
            put(h, &f.v[i], n, 1);
            branch(h);
            put(h, &f.v[i], n, -1);
        }
}

// ------------------------------------------------------------------------------------- a plan

struct plan {
    const struct stick_model *m;
    struct pattern *v;
    int count;
    int *left; ///< a stock
    struct kw_arena *arena;
};

static int by_pattern(const void *a, const void *b, void *types) {
    const struct pattern *x = a, *y = b;
    if (x->stock != y->stock) return x->stock < y->stock ? -1 : 1;
    for (int t = 0; t < *(const int *)types; t++)
        if (x->count[t] != y->count[t]) return x->count[t] > y->count[t] ? -1 : 1;
    return 0;
}

static void plan_of(struct kw_arena *a, const struct stick_state *s, struct plan *plan) {
    int types = s->m->types;
    *plan = (struct plan){.m = s->m, .left = KW_NEW_ARRAY(a, int, s->m->stocks), .arena = a};
    memcpy(plan->left, s->left, sizeof(int) * (size_t)s->m->stocks);
    struct pattern *bins = KW_NEW_ARRAY(a, struct pattern, s->bin_count + 1);
    for (int b = 0; b < s->bin_count; b++) {
        bins[b] =
            (struct pattern){s->bins[b].stock, 1, s->bins[b].fill, KW_NEW_ARRAY(a, int, types)};
        for (int p = s->bins[b].first; p >= 0; p = s->next[p])
            bins[b].count[s->type_of[p]]++;
    }
    qsort_r(bins, (size_t)s->bin_count, sizeof *bins, by_pattern, &types);
    for (int b = 0; b < s->bin_count; b++) {
        struct pattern *last = plan->count > 0 ? &plan->v[plan->count - 1] : NULL;
        if (last && by_pattern(last, &bins[b], &types) == 0)
            last->times++;
        else
            KW_PUSH(a, plan->v, plan->count) = bins[b];
    }
}

static struct score score_of(const struct stick_model *m, enum last_goal goal,
                             const struct pattern *v, int count) {
    struct score s = {.patterns = count};
    for (int i = 0; i < count; i++) {
        s.cost += v[i].times * m->price[v[i].stock];
        s.last += last_of(m, goal, v[i].stock, v[i].fill, v[i].times);
    }
    return s;
}

/// A pattern that the plan has already comes to more of it.
static void add_pattern(struct plan *plan, struct pattern p) {
    int types = plan->m->types;
    for (int i = 0; i < plan->count; i++) {
        if (by_pattern(&plan->v[i], &p, &types) != 0) continue;
        plan->v[i].times += p.times;
        return;
    }
    KW_PUSH(plan->arena, plan->v, plan->count) = p;
}

/// Looks for a better way to cut the patterns named by `which`, working in `a`. True when it looked
/// at everything.
static bool hunt_for(struct kw_arena *a, struct plan *plan, const int *which, int count,
                     enum last_goal goal, long nodes) {
    const struct stick_model *m = plan->m;
    struct hunt h = {.m = m, .goal = goal, .nodes = nodes, .complete = true, .arena = a};
    struct pattern *old = KW_NEW_ARRAY(a, struct pattern, count);
    int *type = KW_NEW_ARRAY(a, int, m->types);
    h.weight = KW_NEW_ARRAY(a, int64_t, m->types);
    h.remain = KW_NEW_ARRAY(a, int, m->types);
    h.now = KW_NEW_ARRAY(a, int, m->types);
    h.left = KW_NEW_ARRAY(a, int, m->stocks);
    memcpy(h.left, plan->left, sizeof(int) * (size_t)m->stocks);
    for (int i = 0; i < count; i++) {
        old[i] = plan->v[which[i]];
        h.left[old[i].stock] += old[i].times;
    }
    for (int t = 0; t < m->types; t++) {
        int n = 0;
        for (int i = 0; i < count; i++)
            n += old[i].times * old[i].count[t];
        if (n == 0) continue;
        type[h.types] = t;
        h.weight[h.types] = m->weight[t];
        h.remain[h.types++] = n;
        h.remain_weight += n * m->weight[t];
    }
    h.best = score_of(m, goal, old, count);
    branch(&h);
    if (!h.found) return h.complete;
    memcpy(plan->left, h.left, sizeof(int) * (size_t)m->stocks); // all of ours given back...
    for (int i = count - 1; i >= 0; i--) // indices rise: the last one moves into each gap
        plan->v[which[i]] = plan->v[--plan->count];
    for (int i = 0; i < h.found_count; i++) {
        struct pattern p = h.found[i];
        p.count = KW_NEW_ARRAY(plan->arena, int, m->types);
        for (int t = 0; t < h.types; t++)
            p.count[type[t]] = h.found[i].count[t];
        plan->left[p.stock] -= p.times; // ...and taken anew
        add_pattern(plan, p);
    }
    return h.complete;
}

static void write_state(struct kw_arena *a, const struct plan *plan, struct stick_state *s) {
    const struct stick_model *m = plan->m;
    struct stick_state made;
    stick_state_init(a, m, &made);
    int *next_of = KW_NEW_ARRAY(a, int, m->types);
    for (int t = 1; t < m->types; t++)
        next_of[t] = next_of[t - 1] + m->demand[t - 1];
    made.out = -1;
    made.out_count = 0;
    made.out_weight = 0;
    for (int i = 0; i < plan->count; i++)
        for (int n = 0; n < plan->v[i].times; n++) {
            struct stick_bin *b = &made.bins[made.bin_count++];
            *b = (struct stick_bin){plan->v[i].stock, -1, 0, plan->v[i].fill};
            for (int t = m->types - 1; t >= 0; t--)
                for (int k = 0; k < plan->v[i].count[t]; k++) {
                    int piece = next_of[t]++;
                    made.next[piece] = b->first;
                    b->first = piece;
                    b->count++;
                }
            made.left[b->stock]--;
            made.cost += m->price[b->stock];
        }
    for (int t = 0, end = 0; t < m->types; t++) {
        end += m->demand[t];
        for (int piece = next_of[t]; piece < end; piece++) {
            made.next[piece] = made.out;
            made.out = piece;
            made.out_count++;
            made.out_weight += m->weight[t];
        }
    }
    kw_assert(made.out_weight == s->out_weight && made.cost <= s->cost);
    stick_state_copy(s, &made);
}

static int by_number(const void *a, const void *b) {
    int x = *(const int *)a, y = *(const int *)b;
    return x < y ? -1 : x > y;
}

/// Two to five different patterns, rising.
static int pick_some(const struct plan *plan, uint64_t *random, int *which) {
    int want = 2 + (int)(kw_random(random) % (MOST_PART - 1)), count = 0;
    for (int tries = 0; count < want && count < plan->count && tries < 20; tries++) {
        int i = (int)(kw_random(random) % (uint64_t)plan->count);
        int other = (int)(kw_random(random) % (uint64_t)plan->count);
        if (plan->v[other].times < plan->v[i].times) i = other; // rare ones are easier to lose
        bool twice = false;
        for (int k = 0; k < count; k++)
            twice = twice || which[k] == i;
        if (!twice) which[count++] = i;
    }
    qsort(which, (size_t)count, sizeof *which, by_number);
    return count;
}

/// Takes a few patterns apart at a time.
static void improve(struct plan *plan, enum last_goal goal, long rounds, uint64_t *random,
                    const struct kw_watch *watch) {
    for (long i = 0; i < rounds && !kw_watch_stopped(watch); i++) {
        struct kw_arena round = {0};
        int some[MOST_PART], count = pick_some(plan, random, some);
        if (count > 0) hunt_for(&round, plan, some, count, goal, PART_NODES);
        kw_arena_free(&round);
    }
}

static void copy_plan(struct plan *to, const struct plan *from) {
    struct kw_arena *a = from->arena;
    *to = *from;
    to->v = NULL;
    to->count = 0;
    for (int i = 0; i < from->count; i++)
        KW_PUSH(a, to->v, to->count) = from->v[i];
    to->left = KW_NEW_ARRAY(a, int, from->m->stocks);
    memcpy(to->left, from->left, sizeof *to->left * (size_t)from->m->stocks);
}

bool stick_goals(struct kw_arena *scratch, struct stick_state *s, long rounds, uint64_t seed,
                 const struct kw_watch *watch) {
    struct plan plan, other;
    if (s->bin_count == 0) return true;
    plan_of(scratch, s, &plan);
    int *which = KW_NEW_ARRAY(scratch, int, plan.count + MOST_PART);
    for (int i = 0; i < plan.count; i++)
        which[i] = i;
    bool all =
        plan.count <= MOST_DEPTH && hunt_for(scratch, &plan, which, plan.count, WORTH, WHOLE_NODES);
    uint64_t random = seed;
    if (rounds > (long)MOST_TIMES * plan.count) rounds = (long)MOST_TIMES * plan.count;
    if (!all) {
        copy_plan(&other, &plan);
        improve(&other, UNEVEN, rounds, &random, watch);
        struct score now = score_of(s->m, WORTH, plan.v, plan.count);
        if (is_better(score_of(s->m, WORTH, other.v, other.count), now)) plan = other;
        improve(&plan, WORTH, rounds / 2, &random, watch);
    }
    write_state(scratch, &plan, s);
    return all && s->out_count == 0;
}
