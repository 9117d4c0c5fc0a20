// SPDX-License-Identifier: Apache-2.0
// The cheapest order that can be bent: best-first search (A*) over strokes.
//
// A node is the last stroke together with the set of groups made: (set, group, side behind the die,
// tools). Everything that the next stroke's cost needs follows from it, so two ways to one node are
// compared by their cost alone and the dearer is dropped. The bound on what is left counts what no
// order avoids: turning over for bends of the other direction, another rotation for each other
// direction of lines, and a move of the gauge for each group of strokes whose gauge positions,
// whatever is made before them, have none in common with the rest.
#include "brake/search.h"

#include "brake/inside.h"

#define MOST_STROKES 1500000 // looked at, before the search gives up
#define TRY_STROKES  20000   // the same for a try at what would help
#define SAME_GAUGE   0.01    // mm
#define GREEDY       1e4     // s that a made group is worth when only some order is wanted

// ------------------------------------------------------------------------------------ one stroke

/// Where tools that are set up begin: in the middle of the bend, as far as there is room.
static double stand(const struct job *job, const struct trial *t, int k, double length,
                    const double need[2], const struct room *room) {
    const struct lengths *l = k ? &job->die_lengths[t->die] : &job->punch_lengths[t->punch];
    if (!(length > 0)) length = l->all > 0 ? l->all : kw_brake_bed(job->shop);
    double at = (need[0] + need[1] - length) / 2;
    if (at + length > room->hi[k]) at = room->hi[k] - length;
    return fmax(at, room->lo[k]);
}

static bool is_mating(const struct job *job, int group) {
    for (int k = 0; k < job->groups[group].count; k++)
        if (job->part->bends[job->groups[group].bends[k]].mates) return true;
    return false;
}

/// Gauge, frames and hold; what is not as it should be becomes a penalty.
static void look_at_gauge(const struct job *job, uint64_t done, struct stroke *out) {
    struct kw_arena scratch = {0};
    struct job own = *job;
    own.scratch = &scratch;
    int items = job->part->face_count + job->part->bend_count;
    const struct kept_lines **kept = kw_alloc(&scratch, (size_t)items * sizeof *kept);
    int count = lines_for(job, done, out->group, out->child_side, kept);
    double front;
    bool fouls, ok = gauge_figures(&own, kept, count, &out->gauge_x, &out->gauge_r, &fouls, &front);
    if (job->groups[out->group].stage == 2) { // the fold is laid between the flats by eye
        out->gauge_x = out->gauge_r = 0;
        ok = true;
    }
    if (!ok) out->flaw += SEARCH_FLAW;
    if (fouls) out->flaw += SEARCH_FLAW;
    // No part is held in the pinch where another way is open, whatever the other way costs.
    const struct trial *t = &job->options[out->group].v[0].trial;
    if (front < die_front(&own, t->die) + hold_clear(&job->shop->press)) out->flaw += SEARCH_HOLD;
    if (out->gauge_x != 0 && is_mating(job, out->group) && !out->child_side)
        out->flaw += SEARCH_WRONG_SIDE;
    out->flaw += job->shop->seconds.awkward * further_out(job, out->group, done);
    out->flaw += SEARCH_NEARER * out->gauge_x;
    kw_arena_free(&scratch);
}

/// The part of a stroke's flaw that is its tools'.
static double own_flaw(const struct stroke *k) {
    return SEARCH_TIE * k->option + (k->by_tools ? SEARCH_FLAW : 0) +
           (k->tight ? SEARCH_TIGHT : 0) + (k->room.overbend < OVERBEND_RISK ? SEARCH_NO_ROOM : 0);
}

/// Fingers that would stand in this option's tools: no gauge there.
static void look_at_fingers(const struct job *job, struct stroke *out) {
    const struct option *o = &job->options[out->group].v[out->option];
    out->by_tools = out->gauge_x > 0 && fingers_in_tools(job, o, out->gauge_x, out->gauge_r);
    if (out->by_tools) out->flaw += SEARCH_FLAW;
}

/// What is free along the line, and the lengths of tools that go there.
static void fit_tools(const struct job *job, uint64_t done, const double need[2],
                      struct stroke *out) {
    const struct trial *t = &job->options[out->group].v[out->option].trial;
    out->room = room_for(job, done, out->group, out->option, out->child_side, out->tight);
    out->short_tools = false;
    if (out->room.blocked) return;
    for (int k = 0; k < 2; k++) {
        const struct lengths *l = k ? &job->die_lengths[t->die] : &job->punch_lengths[t->punch];
        out->length[k] = length_between(l, need[1] - need[0], out->room.hi[k] - out->room.lo[k]);
        out->short_tools = out->short_tools || out->length[k] < 0;
    }
    out->feasible = !out->short_tools;
}

struct stroke look_at_stroke(const struct job *job, uint64_t done, int group, int option,
                             bool child_side, const struct stroke *like) {
    struct stroke out = {.group = group, .option = option, .child_side = child_side};
    const struct trial *t = &job->options[group].v[option].trial;
    double need[2];
    stroke_need(job, group, child_side, need);
    fit_tools(job, done, need, &out);
    if (!out.feasible && job->may_be_tight) {
        out.tight = true;
        fit_tools(job, done, need, &out);
    }
    if (!out.feasible) return out;
    out.flaw = SEARCH_TIE * option;
    if (job->no_help) return out; // a try asks for any order, not how it is gauged
    for (int k = 0; k < 2; k++)
        out.at[k] = stand(job, t, k, out.length[k], need, &out.room);
    if (like && like->feasible) {
        out.gauge_x = like->gauge_x;
        out.gauge_r = like->gauge_r;
        out.flaw += like->flaw - own_flaw(like);
    } else {
        look_at_gauge(job, done, &out);
    }
    look_at_fingers(job, &out);
    if (out.tight) out.flaw += SEARCH_TIGHT;
    if (out.room.overbend < OVERBEND_RISK) out.flaw += SEARCH_NO_ROOM;
    return out;
}

// -------------------------------------------------------------------------------------- its cost

static struct kw_vec2 gauge_way(const struct job *job, int group, bool child_side) {
    return kw_scale2(job->normals[job->groups[group].bends[0]], child_side ? 1 : -1);
}

static bool is_down(const struct job *job, int group) {
    return job->part->bends[job->groups[group].bends[0]].down;
}

bool is_rotated(const struct job *job, const struct stroke *from, const struct stroke *to) {
    double along = kw_dot2(gauge_way(job, from->group, from->child_side),
                           gauge_way(job, to->group, to->child_side));
    bool over = is_down(job, from->group) != is_down(job, to->group);
    return over ? fabs(along) < SEARCH_PARALLEL : along < SEARCH_PARALLEL;
}

static double order_wish(const struct job *job, const struct stroke *to, uint64_t done,
                         const int *rank) {
    int made = 0, waiting = 0;
    for (int g = 0; g < job->group_count; g++) {
        made += (int)(done >> g & 1);
        waiting += !(done >> g & 1) && job->groups[g].mates;
    }
    double cost = SEARCH_TIE * (job->group_count - made) * rank[to->group];
    return cost + (job->groups[to->group].mates ? 0 : SEARCH_MATE * waiting);
}

double stroke_cost(const struct job *job, const struct stroke *from, const struct stroke *to,
                   uint64_t done, const int *rank) {
    const struct kw_brake_seconds *s = &job->shop->seconds;
    double cost = to->flaw + order_wish(job, to, done, rank);
    if (!from) return cost;
    const struct trial *a = &job->options[from->group].v[from->option].trial;
    const struct trial *b = &job->options[to->group].v[to->option].trial;
    if (is_down(job, from->group) != is_down(job, to->group)) cost += s->turn_over;
    if (is_rotated(job, from, to)) cost += s->rotate;
    if (a->punch != b->punch || a->turned != b->turned || a->die != b->die)
        cost += s->tool_change;
    else if (from->length[0] != to->length[0] || from->length[1] != to->length[1])
        cost += s->station_change;
    if (to->gauge_x != 0 && fabs(from->gauge_x - to->gauge_x) > SAME_GAUGE) cost += s->gauge_move;
    if (to->gauge_x != 0 && fabs(from->gauge_r - to->gauge_r) > SAME_GAUGE) cost += s->gauge_height;
    return cost;
}

// ------------------------------------------------------------------------------------ the search

struct node {
    struct stroke stroke;
    uint64_t key; ///< set made, stroke's group, side and option; 0: empty
    double cost;
    int from; ///< node before; -1
    bool closed;
};

struct heap_item {
    double bound;
    int node;
    long serial; ///< ties: the newer first, which is nearer to the end
    double cost;
};

struct search {
    const struct job *job;
    struct kw_arena *arena;
    const int *rank;
    struct gauge_classes classes;
    struct node *nodes;
    int node_count;
    int *table;
    size_t table_size;
    struct heap_item *heap;
    int heap_count, heap_room;
    long serial, looked;
    uint64_t all;
    bool greedy;
};

static uint64_t key_of(uint64_t made, int group, bool side, int option) {
    return made | (uint64_t)group << 32 | (uint64_t)side << 40 | (uint64_t)option << 41 |
           1ull << 63;
}

static size_t slot_of(const struct search *s, uint64_t key) {
    size_t i = (size_t)((key * 0x9E3779B97F4A7C15ull) >> 30) & (s->table_size - 1);
    while (s->table[i] >= 0 && s->nodes[s->table[i]].key != key)
        i = (i + 1) & (s->table_size - 1);
    return i;
}

static void new_table(struct search *s, size_t size) {
    s->table_size = size;
    s->table = kw_alloc(s->arena, size * sizeof *s->table);
    for (size_t i = 0; i < size; i++)
        s->table[i] = -1;
    for (int i = 0; i < s->node_count; i++)
        s->table[slot_of(s, s->nodes[i].key)] = i;
}

/// The node of a stroke after which `made` is made; looked at the first time it is asked for.
static int node_for(struct search *s, uint64_t made, int group, bool side, int option) {
    uint64_t key = key_of(made, group, side, option);
    size_t slot = slot_of(s, key);
    if (s->table[slot] >= 0) return s->table[slot];
    struct node n = {.key = key, .cost = INFINITY, .from = -1};
    const struct stroke *like =
        option > 0 ? &s->nodes[node_for(s, made, group, side, 0)].stroke : NULL;
    n.stroke = look_at_stroke(s->job, made & ~(1ull << group), group, option, side, like);
    slot = slot_of(s, key);
    s->looked++;
    KW_PUSH(s->arena, s->nodes, s->node_count) = n;
    if ((size_t)s->node_count * 2 > s->table_size)
        new_table(s, s->table_size * 4);
    else
        s->table[slot] = s->node_count - 1;
    return s->node_count - 1;
}

static bool before(const struct heap_item *a, const struct heap_item *b) {
    if (a->bound != b->bound) return a->bound < b->bound;
    return a->serial > b->serial;
}

static void push(struct search *s, struct heap_item item) {
    if (s->heap_count == s->heap_room) {
        struct heap_item *old = s->heap;
        s->heap_room = s->heap_room ? 2 * s->heap_room : 256;
        s->heap = kw_alloc(s->arena, (size_t)s->heap_room * sizeof *s->heap);
        for (int k = 0; k < s->heap_count; k++)
            s->heap[k] = old[k];
    }
    int i = s->heap_count++;
    while (i > 0 && before(&item, &s->heap[(i - 1) / 2])) {
        s->heap[i] = s->heap[(i - 1) / 2];
        i = (i - 1) / 2;
    }
    s->heap[i] = item;
}

static struct heap_item pop(struct search *s) {
    struct heap_item top = s->heap[0], last = s->heap[--s->heap_count];
    int i = 0;
    for (int k = 1; k < s->heap_count; k = 2 * i + 1) {
        if (k + 1 < s->heap_count && before(&s->heap[k + 1], &s->heap[k])) k++;
        if (!before(&s->heap[k], &last)) break;
        s->heap[i] = s->heap[k];
        i = k;
    }
    if (s->heap_count > 0) s->heap[i] = last;
    return top;
}

bool may_come(const struct job *job, uint64_t made, int g) {
    int before = job->groups[g].before;
    return before < 0 || made >> before & 1;
}

static double left_over(const struct search *s, const struct stroke *last, uint64_t made) {
    const struct job *job = s->job;
    const struct kw_brake_seconds *sec = &job->shop->seconds;
    bool flip = false, hems = false, at_hem = job->groups[last->group].stage == 2;
    struct kw_vec2 seen[64];
    uint64_t classes = 0;
    int ways = 1;
    seen[0] = job->normals[job->groups[last->group].bends[0]];
    for (int g = 0; g < job->group_count; g++) {
        if (made >> g & 1) continue;
        flip = flip || is_down(job, g) != is_down(job, last->group);
        if (job->groups[g].stage == 1)
            classes |= 1ull << s->classes.of[g];
        else
            hems = true;
        struct kw_vec2 n = job->normals[job->groups[g].bends[0]];
        int k = 0;
        while (k < ways && fabs(kw_dot2(n, seen[k])) < SEARCH_PARALLEL)
            k++;
        if (k == ways) seen[ways++] = n;
    }
    classes &= ~(1ull << s->classes.of[last->group]);
    int moves = 0;
    for (uint64_t c = classes; c; c &= c - 1)
        moves++;
    // Hems are flattened with tools that bend nothing.
    int changes = at_hem ? classes != 0 : hems;
    return (flip ? sec->turn_over : 0) + sec->rotate * (ways - 1) + sec->gauge_move * moves +
           sec->tool_change * changes;
}

static void expand(struct search *s, int from, uint64_t made) {
    for (int g = 0; g < s->job->group_count; g++) {
        if (made >> g & 1 || !may_come(s->job, made, g)) continue;
        for (int option = 0; option < s->job->options[g].count; option++)
            for (int side = 0; side < 2; side++) {
                int to = node_for(s, made | 1ull << g, g, side, option);
                struct node *n = &s->nodes[to];
                if (!n->stroke.feasible || n->closed) continue;
                const struct stroke *last = from >= 0 ? &s->nodes[from].stroke : NULL;
                double cost = (from >= 0 ? s->nodes[from].cost : 0) +
                              stroke_cost(s->job, last, &n->stroke, made, s->rank);
                if (!(cost < n->cost - 1e-9)) continue;
                n->cost = cost;
                n->from = from;
                double bound = cost + left_over(s, &n->stroke, made | 1ull << g);
                if (s->greedy) {
                    for (uint64_t m = made; m; m &= m - 1)
                        bound -= GREEDY;
                }
                push(s, (struct heap_item){bound, to, s->serial++, cost});
            }
    }
}

/// The first flawless stroke of group g after node `from`: its node, linked to it; -1.
static int flawless_stroke(struct search *s, int from, uint64_t made, int g) {
    for (int option = 0; option < s->job->options[g].count; option++)
        for (int side = 0; side < 2; side++) {
            int to = node_for(s, made | 1ull << g, g, side, option);
            struct node *n = &s->nodes[to];
            if (!n->stroke.feasible || n->stroke.flaw >= SEARCH_WRONG_SIDE) continue;
            const struct stroke *last = from >= 0 ? &s->nodes[from].stroke : NULL;
            n->cost = (from >= 0 ? s->nodes[from].cost : 0) +
                      stroke_cost(s->job, last, &n->stroke, made, s->rank);
            n->from = from;
            return to;
        }
    return -1;
}

/// One way straight down, sizes that mate first, then by the rule: the last node, -1 when it is
/// stuck. Most parts are bent so, and nothing else need be looked at when any order will do.
static int dive(struct search *s) {
    int at = -1;
    for (uint64_t made = 0; made != s->all;) {
        int next = -1;
        for (int g = 0; g < s->job->group_count; g++) {
            if (made >> g & 1 || !may_come(s->job, made, g)) continue;
            const struct group *a = &s->job->groups[g];
            bool first =
                next < 0 ||
                (a->mates != s->job->groups[next].mates ? a->mates : s->rank[g] < s->rank[next]);
            if (first) next = g;
        }
        kw_assert(next >= 0); // something is left to be made
        at = flawless_stroke(s, at, made, next);
        if (at < 0) return -1;
        made |= 1ull << next;
    }
    return at;
}

static int bits(uint64_t v) {
    int n = 0;
    for (; v; v &= v - 1)
        n++;
    return n;
}

/// The order that ends in `node`, in the job's scratch.
static void read_back(struct search *s, int node, struct order *out) {
    for (int i = node; i >= 0; i = s->nodes[i].from)
        out->count++;
    out->v = kw_alloc(s->job->scratch, (size_t)(out->count + 1) * sizeof *out->v);
    for (int i = node, k = out->count - 1; i >= 0; i = s->nodes[i].from)
        out->v[k--] = s->nodes[i].stroke;
    out->cost = node >= 0 ? s->nodes[node].cost : 0;
}

/// Preferably one blocked by its tools' lengths.
struct stroke find_wall(const struct job *job, uint64_t made, const int *rank) {
    struct stroke best = {.group = -1};
    for (int g = 0; g < job->group_count; g++) {
        if (made >> g & 1 || !may_come(job, made, g)) continue;
        for (int side = 0; side < 2; side++) {
            struct stroke k = look_at_stroke(job, made, g, 0, side, NULL);
            if (k.feasible) continue;
            bool better = best.group < 0 || (k.short_tools && !best.short_tools) ||
                          (k.short_tools == best.short_tools && rank[g] > rank[best.group]);
            if (better) best = k;
        }
    }
    return best;
}

static struct order run(struct search *s) {
    struct order out = {.proven = true};
    int deepest = -1, most = 0;
    uint64_t deepest_made = 0;
    expand(s, -1, 0);
    while (s->heap_count > 0) {
        struct heap_item top = pop(s);
        struct node *n = &s->nodes[top.node];
        if (n->closed || top.cost > n->cost) continue;
        n->closed = true;
        uint64_t made = n->key & s->all;
        // Of equals the least set: whatever the search looks at first, the same wall is told.
        if (bits(made) > most || (bits(made) == most && made < deepest_made)) {
            most = bits(made);
            deepest = top.node;
            deepest_made = made;
        }
        if (made == s->all) break;
        if (s->looked > (s->job->no_help ? TRY_STROKES : MOST_STROKES)) {
            out.proven = false;
            break;
        }
        expand(s, top.node, made);
    }
    read_back(s, deepest, &out);
    out.searched = s->looked;
    if (out.count < s->job->group_count) out.wall = find_wall(s->job, deepest_made, s->rank);
    out.wall_done = deepest_made;
    return out;
}

/// What a dive that got stuck left in the nodes; the strokes it looked at stay.
static void forget_costs(struct search *s) {
    for (int i = 0; i < s->node_count; i++) {
        s->nodes[i].cost = INFINITY;
        s->nodes[i].from = -1;
    }
}

static struct order search_once(const struct job *job, const int *rank, bool greedy) {
    struct kw_arena arena = {0};
    struct search s = {.job = job, .arena = &arena, .rank = rank, .greedy = greedy};
    s.all = (1ull << job->group_count) - 1;
    if (!greedy) s.classes = gauge_classes_of(job);
    new_table(&s, 1024);
    struct order out = {0};
    int end = greedy ? dive(&s) : -1;
    if (end >= 0) {
        read_back(&s, end, &out);
        out.searched = s.looked;
    } else {
        forget_costs(&s);
        out = run(&s);
    }
    kw_arena_free(&arena);
    return out;
}

static bool is_flawless(const struct job *job, const struct order *o) {
    return o->count == job->group_count && o->cost < SEARCH_WRONG_SIDE; // less than any flaw
}

/// A greedy search that ends without an order has looked at all that can be reached, as the other
/// would: then too it is proven that there is none.
struct order search_order(const struct job *job, const int *rank) {
    bool any =
        job->no_help || job->effort == KW_BRAKE_ANY_ORDER || job->effort == KW_BRAKE_NO_REMEDIES;
    struct order out = search_once(job, rank, any);
    bool none = out.proven && out.count < job->group_count;
    if (any && (job->no_help || none || is_flawless(job, &out))) {
        out.proven = none;
        return out;
    }
    if (!any && out.proven) return out;
    struct order other = search_once(job, rank, !any);
    other.proven = other.proven && any;
    other.searched += out.searched;
    return other.count < out.count ? out : other;
}
