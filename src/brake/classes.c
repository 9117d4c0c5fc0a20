// SPDX-License-Identifier: Apache-2.0
// Which strokes can ever share a gauge position: a bound for the search.
#include "brake/search.h"

#define SAME_MM  0.06 // lines this near may be taken as one rest (gauge.c)
#define MOST_WAY 10   // bends between; beyond, all are taken to be of one class

struct places {
    double *v;
    int count;
};

/// Adds where lines of `item` along the bend may lie behind the die, over all that may be made.
static bool add_places(const struct job *job, int group, bool side, int item, struct places *out) {
    uint64_t way = way_to(job, group, item);
    if (job->groups[group].stage == 2) return true; // not gauged
    int n = 0;
    for (uint64_t w = way; w; w &= w - 1)
        n++;
    if (n > MOST_WAY) return false;
    uint64_t sub = 0;
    do {
        struct kw_arena scratch = {0};
        struct job own = *job;
        own.scratch = &scratch;
        unsigned char *made = kw_alloc(&scratch, (size_t)job->part->bend_count);
        bends_before(job, sub, group, made);
        int count = 0;
        double *at = gauge_places(&own, made, &job->groups[group], side, item, &count);
        for (int i = 0; i < count; i++)
            KW_PUSH(job->scratch, out->v, out->count) = at[i];
        kw_arena_free(&scratch);
        sub = (sub - way) & way;
    } while (sub);
    return true;
}

static bool share(const struct places *a, const struct places *b) {
    for (int i = 0; i < a->count; i++)
        for (int k = 0; k < b->count; k++)
            if (fabs(a->v[i] - b->v[k]) < SAME_MM) return true;
    return false;
}

struct gauge_classes gauge_classes_of(const struct job *job) {
    struct gauge_classes out = {{0}};
    struct places places[SEARCH_GROUPS] = {{0}};
    int items = job->part->face_count + job->part->bend_count;
    bool known = true;
    for (int g = 0; g < job->group_count && known; g++)
        for (int side = 0; side < 2; side++)
            for (int i = 0; i < items && known; i++)
                known = add_places(job, g, side, i, &places[g]);
    for (int g = 0; g < job->group_count && known; g++)
        out.of[g] = g;
    for (int g = 0; g < job->group_count && known; g++)
        for (int k = 0; k < g; k++) {
            if (out.of[g] == out.of[k] || !share(&places[g], &places[k])) continue;
            int from = out.of[g], to = out.of[k];
            for (int i = 0; i <= g; i++)
                if (out.of[i] == from) out.of[i] = to;
        }
    return out;
}

int further_out(const struct job *job, int group, uint64_t done) {
    int count = 0;
    for (int g = 0; g < job->group_count; g++) {
        if (g == group || done >> g & 1) continue;
        int face = job->part->bends[job->groups[g].bends[0]].child;
        for (int k = 0; k < job->groups[group].count; k++)
            if (face_beyond(job->part, face, job->groups[group].bends[k])) {
                count++;
                break;
            }
    }
    return count;
}
