// SPDX-License-Identifier: Apache-2.0
// Filling one stick as full as it goes: bounded subset sum by depth-first search, longest first.
#include "stick/inside.h"

#include <string.h>

enum {
    DEEPEST = 64, // choices in one fill; further ones are taken greedily, which bounds the stack
    PASS_OVER = 6 // one group in so many is passed over when the search is shaken
};

void stick_pool_init(struct kw_arena *a, int most, struct stick_pool *p) {
    *p = (struct stick_pool){0};
    p->weight = KW_NEW_ARRAY(a, int64_t, most);
    p->avail = KW_NEW_ARRAY(a, int, most);
    p->type = KW_NEW_ARRAY(a, int, most);
    p->take = KW_NEW_ARRAY(a, int, most);
    p->now = KW_NEW_ARRAY(a, int, most);
    p->rest = KW_NEW_ARRAY(a, int64_t, most + 1);
}

void stick_pool_rest(struct stick_pool *p) {
    p->rest[p->groups] = 0;
    for (int i = p->groups - 1; i >= 0; i--)
        p->rest[i] = p->rest[i + 1] + p->weight[i] * p->avail[i];
}

/// First group at or after `from` that is no heavier than `room`.
static int first_that_fits(const struct stick_pool *p, int from, int64_t room) {
    int low = from, high = p->groups;
    while (low < high) {
        int mid = low + (high - low) / 2;
        if (p->weight[mid] <= room)
            high = mid;
        else
            low = mid + 1;
    }
    return low;
}

static int most_of(const struct stick_pool *p, int group, int64_t room) {
    int64_t n = room / p->weight[group];
    return n < p->avail[group] ? (int)n : p->avail[group];
}

static void keep_if_fuller(struct stick_pool *p, int64_t left) {
    if (left >= p->best_left) return;
    p->best_left = left;
    memcpy(p->take, p->now, sizeof *p->take * (size_t)p->groups);
}

static void dig(struct stick_pool *p, int from, int64_t left, int depth) {
    keep_if_fuller(p, left);
    for (int g = first_that_fits(p, from, left); g < p->groups; g++) {
        if (p->best_left == 0 || --p->nodes < 0) return;
        if (left - p->rest[g] >= p->best_left) return; // even all of it would not be fuller
        if (p->random && kw_random(p->random) % PASS_OVER == 0) continue;
        int most = most_of(p, g, left);
        int least = depth < DEEPEST || most < 1 ? 1 : most;
        for (int n = most; n >= least && p->nodes >= 0; n--) {
            p->now[g] = n;
            dig(p, g + 1, left - n * p->weight[g], depth + 1);
            if (p->best_left == 0) break;
        }
        p->now[g] = 0;
        if (depth >= DEEPEST) return;
    }
}

int64_t stick_fill(struct stick_pool *p, int64_t room, long nodes, uint64_t *random) {
    int g = 0;
    while (g < p->groups && p->avail[g] == 0)
        g++;
    memset(p->take, 0, sizeof *p->take * (size_t)p->groups);
    memset(p->now, 0, sizeof *p->now * (size_t)p->groups);
    if (g == p->groups || p->weight[g] > room) return -1;
    p->best_left = room + 1;
    p->nodes = nodes;
    p->random = random;
    for (int n = most_of(p, g, room); n >= 1 && p->nodes >= 0 && p->best_left > 0; n--) {
        p->now[g] = n;
        dig(p, g + 1, room - n * p->weight[g], 1);
    }
    return p->best_left;
}
