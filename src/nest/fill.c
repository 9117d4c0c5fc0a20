// SPDX-License-Identifier: Apache-2.0
// Filling a sheet: which part next, which way round, until none finds a place.
#include "nest/fill.h"

#include <stdlib.h>
#include <string.h>

#define FILL_WORK 64 // a sheet costs this much even if nothing is placed

void bin_add(struct world *w, struct bin *b, struct spot s) {
    if (b->count == b->room) {
        struct spot *old = b->v;
        b->room = b->room ? 2 * b->room : 32;
        b->v = KW_NEW_ARRAY(w->a, struct spot, b->room);
        if (b->count > 0) memcpy(b->v, old, sizeof *old * (size_t)b->count);
    }
    b->v[b->count++] = s;
    const struct pose *p = &w->poses[s.pose];
    b->area += w->area[p->part];
    b->extent = fmax(b->extent, s.u + p->size.x);
}

static bool lies_so(struct kw_vec2 size, enum lie lie) {
    if (lie == LIE_ALONG) return size.x >= size.y;
    return lie == LIE_FREE || size.x <= size.y;
}

/// Puts one copy of a part where the policy likes it best, in the poses that lie as wanted.
static bool place_lying(struct world *w, struct bin *bin, struct policy policy, int part,
                        enum lie lie) {
    struct pose_range r = w->parts[w->kinds[bin->kind].group][part];
    double best = INFINITY;
    struct spot chosen = {.pose = -1};
    for (int i = r.first; i < r.first + r.count; i++) {
        if (!lies_so(w->poses[i].size, lie)) continue;
        double ahead = policy.reach * w->poses[i].size.x;
        struct spot s;
        if (!place_first(w, bin, i, best - ahead + TOUCH_MM, &s)) continue;
        double score = s.u + ahead;
        if (score > best + TOUCH_MM) continue;
        if (score > best - TOUCH_MM && chosen.pose >= 0 && s.v >= chosen.v) continue;
        best = score;
        chosen = s;
    }
    if (chosen.pose < 0) return false;
    bin_add(w, bin, chosen);
    return true;
}

static bool place_want(struct world *w, struct bin *bin, struct policy policy,
                       const struct want *want) {
    int part = want->part;
    struct pose_range r = w->parts[w->kinds[bin->kind].group][part];
    struct spot s;
    if (want->as >= r.first && want->as < r.first + r.count &&
        place_first(w, bin, want->as, INFINITY, &s)) {
        bin_add(w, bin, s);
        return true;
    }
    enum lie lie = (enum lie)w->lie[part];
    if (lie != LIE_FREE && place_lying(w, bin, policy, part, lie)) return true;
    return place_lying(w, bin, policy, part, LIE_FREE);
}

void clear_bin(struct world *w, struct bin *bin, int kind) {
    bin->kind = kind;
    bin->times = 1;
    bin->standing = 0;
    bin->count = 0;
    w->order.bin = NULL;
    bin->area = bin->extent = 0;
    for (int i = 0; i < w->pose_count; i++) {
        w->from[i] = -INFINITY;
        w->found_at[i] = -1;
    }
    contacts_trim(&w->contacts);
}

void fill_bin(struct world *w, struct bin *bin, int kind, struct policy policy, struct want *wants,
              int want_count) {
    clear_bin(w, bin, kind);
    fill_more(w, bin, policy, wants, want_count);
}

/// What was asked of a sheet in vain. Without patience, nothing is passed over.
struct refusals {
    int count, passed;
    long work, work_placed; ///< elementary tests: in vain, and for what found a place
};

/// How many parts are passed over after one more refusal: in proportion to those before, and ever
/// more where asking costs more than half of what placing does. Full sheets of small pieces are
/// dear to ask: without this the time to a first nest grew 1.7 times as fast as n log n.
static int passed_over(struct refusals *r, int patience) {
    double cost = 2 * (double)r->work / (double)(r->work_placed + 1);
    int skip = (int)((++r->count + r->passed) * fmax(cost, 1) / patience);
    r->passed += skip;
    return skip;
}

void fill_more(struct world *w, struct bin *bin, struct policy policy, struct want *wants,
               int want_count) {
    w->work += FILL_WORK + want_count;
    struct refusals refused = {0};
    for (int i = 0; i < want_count; i++) {
        if (wants[i].count == 0) continue;
        long before = w->work;
        for (; wants[i].count > 0 && place_want(w, bin, policy, &wants[i]); before = w->work) {
            wants[i].count--;
            refused.work_placed += w->work - before;
        }
        refused.work += w->work - before;
        if (policy.patience == 0 || wants[i].count == 0) continue;
        for (int skip = passed_over(&refused, policy.patience); skip > 0; i++)
            skip -= i + 1 >= want_count || wants[i + 1].count > 0;
    }
}

bool fits_alone(struct world *w, int part, int kind) {
    struct bin bin = {0};
    struct want one = {.part = part, .count = 1, .as = -1};
    fill_bin(w, &bin, kind, (struct policy){.reach = 1}, &one, 1);
    return bin.count == 1;
}

static double order_key(const struct world *w, int order, int part) {
    switch (order) {
    case 0:
        return w->bulk[part];
    case 1:
        return w->longest[part];
    case 2:
        return w->longest[part] * w->shortest[part];
    default:
        return w->shortest[part];
    }
}

static int by_key(const void *a, const void *b) {
    const struct want *p = a, *q = b;
    if (p->key != q->key) return p->key > q->key ? -1 : 1;
    return (p->part > q->part) - (p->part < q->part);
}

void sort_wants(struct world *w, struct policy policy, struct want *wants, int count) {
    for (int i = 0; i < count; i++) {
        double shake =
            policy.noise > 0 ? 1 + policy.noise * (2 * kw_random_unit(&w->random) - 1) : 1;
        wants[i].key = order_key(w, policy.order, wants[i].part) * shake;
    }
    if (count > 1) qsort(wants, (size_t)count, sizeof *wants, by_key);
}

void bin_copy(struct world *w, struct bin *to, const struct bin *from) {
    struct spot *v = to->v;
    int room = to->room;
    if (room < from->count) {
        room = from->count + 16;
        v = KW_NEW_ARRAY(w->a, struct spot, room);
    }
    if (from->count > 0) memcpy(v, from->v, sizeof *v * (size_t)from->count);
    *to = *from;
    to->v = v;
    to->room = room;
}
