// SPDX-License-Identifier: Apache-2.0
// Where along a cut torch height control is locked (small holes, sharp corners, the last stretch, a
// run over an own kerf) and where corners are slowed. Moves are split at the borders.
#include "cut/job.h"

#include <math.h>

#define SHARP 0.6 // radians: sharper turns slow the table so much that the arc voltage rises

struct zone {
    double from, to; ///< mm along the cut
};

struct stretch { // from a pierce until the torch goes off
    struct kw_cut_move *v;
    double *at; ///< mm along the cut where each move begins, and its end
    int count;
    struct zone *corners, last;
    int corner_count;
};

// The kerf line goes round an outside corner in an arc of half a kerf.
static bool turns_sharply(const struct cut_job *j, const struct kw_cut_move *m) {
    struct kw_segment s = kw_segment_make(m->from, m->to, m->bulge);
    return s.radius > 0 && s.radius < 1.01 * j->half && fabs(s.sweep) > SHARP;
}

static void find_zones(struct cut_job *j, struct stretch *s) {
    double zone = j->rule->zone, way = 0;
    s->at = KW_NEW_ARRAY(j->scratch, double, s->count + 1);
    s->corners = KW_NEW_ARRAY(j->scratch, struct zone, 2 * s->count);
    for (int i = 0; i < s->count; way += s->v[i++].length) {
        s->at[i] = way;
        double after = way + s->v[i].length;
        bool corner = i > 0 && s->v[i - 1].kind != KW_CUT_LEAD &&
                      cut_corner_turn(&s->v[i - 1], &s->v[i]) > SHARP;
        if (corner) s->corners[s->corner_count++] = (struct zone){way - zone, way + zone};
        if (turns_sharply(j, &s->v[i]))
            s->corners[s->corner_count++] = (struct zone){way - zone, after + zone};
    }
    s->at[s->count] = way;
    s->last = (struct zone){way - zone, way};
}

static bool in_corner(const struct stretch *s, double way) {
    for (int i = 0; i < s->corner_count; i++)
        if (way > s->corners[i].from && way < s->corners[i].to) return true;
    return false;
}

// The next border after `way`, at most `end`.
static double next_border(const struct stretch *s, double way, double end) {
    double next = end;
    for (int i = -1; i < s->corner_count; i++) {
        struct zone z = i < 0 ? s->last : s->corners[i];
        if (z.from > way + 1e-6 && z.from < next - 1e-6) next = z.from;
        if (z.to > way + 1e-6 && z.to < next - 1e-6) next = z.to;
    }
    return next;
}

static void split_move(struct cut_job *j, const struct stretch *s, int i, bool small) {
    const struct kw_cut_move *m = &s->v[i];
    struct kw_segment whole = kw_segment_make(m->from, m->to, m->bulge);
    double begin = s->at[i], end = s->at[i + 1], share = j->rule->corner_feed;
    struct kw_vec2 from = m->from;
    for (double way = begin, next; way < end; way = next) {
        next = next_border(s, way, end);
        struct kw_cut_move part = *m;
        double middle = (way + next) / 2;
        bool corner = in_corner(s, middle), all = way == begin && next == end;
        part.from = from;
        part.to = next == end ? m->to : kw_segment_point(whole, (next - begin) / (end - begin));
        if (!all)
            part.bulge = m->bulge != 0 ? tan(whole.sweep * (next - way) / (end - begin) / 4) : 0;
        part.length = next - way;
        part.locked = small || corner || middle > s->last.from || m->kind == KW_CUT_OVER;
        if (corner && share > 0) part.feed = fmin(part.feed, j->rule->feed * share);
        from = part.to;
        KW_PUSH(j->arena, j->plan->moves, j->plan->move_count) = part;
    }
}

static void split_stretch(struct cut_job *j, struct kw_cut_move *v, int count, bool small) {
    struct stretch s = {.v = v, .count = count};
    find_zones(j, &s);
    for (int i = 0; i < count; i++)
        split_move(j, &s, i, small);
}

void cut_zones(struct cut_job *j, int first_move, bool small) {
    struct kw_cut_plan *plan = j->plan;
    int n = plan->move_count - first_move, i = 0;
    if (!(j->rule->zone > 0)) return;
    struct kw_cut_move *old = KW_NEW_ARRAY(j->scratch, struct kw_cut_move, n);
    for (int k = 0; k < n; k++)
        old[k] = plan->moves[first_move + k];
    plan->move_count = first_move;
    while (i < n) {
        int count = 0;
        while (i + count < n && old[i + count].kind > KW_CUT_PIERCE)
            count++;
        if (count > 0) {
            split_stretch(j, &old[i], count, small);
            i += count;
        } else {
            KW_PUSH(j->arena, plan->moves, plan->move_count) = old[i++];
        }
    }
}
