// SPDX-License-Identifier: Apache-2.0
// One cut between straight neighbours. Where two parts lie a kerf apart along equal straight edges,
// their kerf lines coincide there. Whichever of the two is cut first leaves that stretch out; the
// cut of the other frees both. So no cut starts in a gap, and none is cut twice.
#include "cut/job.h"

#include <math.h>

#define SAME     0.02 // mm between ends of coinciding kerf lines
#define SHORTEST 20.0 // mm: less is not worth a pierce

// A straight edge between two corners that the kerf line goes round.
static bool can_share(const struct cut_job *j, const struct cut_loop *l, int segment) {
    int n = kw_path_segments(&l->line);
    if (n < 6 || l->segments[segment].radius > 0) return false;
    double before = l->segments[(segment + n - 1) % n].radius;
    double after = l->segments[(segment + 1) % n].radius;
    return before > 0 && before < 1.01 * j->half && after > 0 && after < 1.01 * j->half &&
           kw_segment_length(l->segments[segment]) >= SHORTEST && !cut_edge_matters(j, l, segment);
}

// Stretches between two shared edges need one of their own.
static bool beside_shared(const struct cut_loop *l, int segment) {
    int n = kw_path_segments(&l->line);
    for (int off = -2; off <= 2; off++)
        if (l->partner[(segment + off + n) % n] >= 0) return true;
    return false;
}

static bool near(struct kw_vec2 a, struct kw_vec2 b) {
    return kw_length2(kw_sub2(a, b)) < SAME;
}

static void match(struct cut_job *j, int first, int second) {
    struct cut_loop *a = &j->loops[first], *b = &j->loops[second];
    for (int i = 0; i < kw_path_segments(&a->line); i++) {
        for (int k = 0; k < kw_path_segments(&b->line); k++) {
            struct kw_segment s = a->segments[i], t = b->segments[k];
            if (!near(s.a, t.b) || !near(s.b, t.a)) continue;
            if (!can_share(j, a, i) || !can_share(j, b, k)) continue;
            if (beside_shared(a, i) || beside_shared(b, k)) continue;
            a->partner[i] = second;
            b->partner[k] = first;
            KW_PUSH(j->arena, j->plan->shared, j->plan->shared_count) =
                (struct kw_cut_line){s.a, s.b};
        }
    }
}

static bool takes_part(const struct cut_job *j, const struct cut_loop *l) {
    return l->hole < 0 && !(j->sheet->parts[l->part].tab_width > 0);
}

void cut_find_shared(struct cut_job *j) {
    j->done = KW_NEW_ARRAY(j->scratch, bool, j->loop_count + 1);
    if (!j->sheet->share_straight) return;
    for (int i = 0; i < j->loop_count; i++) {
        int n = kw_path_segments(&j->loops[i].line);
        j->loops[i].partner = KW_NEW_ARRAY(j->scratch, int, n);
        for (int k = 0; k < n; k++)
            j->loops[i].partner[k] = -1;
    }
    for (int i = 0; i < j->loop_count; i++) {
        struct kw_box2 box = kw_path_box(&j->loops[i].line);
        for (int k = i + 1; k < j->loop_count && takes_part(j, &j->loops[i]); k++)
            if (takes_part(j, &j->loops[k]) &&
                cut_box_gap(box, kw_path_box(&j->loops[k].line)) < SAME)
                match(j, i, k);
    }
}

int cut_stretches(const struct cut_job *j, const struct cut_loop *l, struct cut_stretch *v) {
    int n = kw_path_segments(&l->line), first = -1, count = 0;
    for (int i = 0; i < n && l->partner && first < 0; i++)
        if (l->partner[i] >= 0 && !j->done[l->partner[i]]) first = i;
    if (first < 0) return 0;
    for (int i = first; i < first + n;) { // from one edge left out to the next
        int next = i + 1;
        while (next < first + n && (l->partner[next % n] < 0 || j->done[l->partner[next % n]]))
            next++;
        // The arcs about the corners of an edge left out belong to it.
        v[count] = (struct cut_stretch){.segment = (i + 2) % n};
        for (int k = i + 2; k < next - 1; k++)
            v[count].length += kw_segment_length(l->segments[k % n]);
        count++;
        i = next;
    }
    return count;
}
