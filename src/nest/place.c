// SPDX-License-Identifier: Apache-2.0
// The first free place of a pose: as far left as can be, and there as far down. A line across the
// sheet is covered by a chain of forbidden polygons, each of which begins below the end of the one
// before it. They are convex, so how far two of them lap is a concave function of the line's u, and
// the chain covers all lines up to the first where one lap ends: the search steps from end to end.
#include "nest/fill.h"

#include <stdlib.h>
#include <string.h>

#define SEARCH_WORK 64   // a search costs this much even on an empty sheet
#define LINE_WORK   4    // a polygon met by a line, or gathered
#define LEAST_STEP  1e-3 // mm; for laps that end where rounding hides it
#define LAP_ROUNDS  40

struct contacts contacts_for(const struct world *w, bool with_sides) {
    return (struct contacts){.poses = w->poses,
                             .pose_count = w->pose_count,
                             .with_sides = with_sides,
                             .spacing = w->options->spacing,
                             .margin = w->options->margin};
}

// ------------------------------------------------------------------------ one line at a time

/// Where a polygon forbids the line at u; an empty range when it does not reach it.
static struct range forbids_at(struct world *w, const struct active *c, double u) {
    struct range r = {INFINITY, -INFINITY};
    if (u <= c->left + TOUCH_MM || u >= c->right - TOUCH_MM) return r;
    w->work += LINE_WORK;
    forbidden_across(c->f, u - c->at.x, &r.from, &r.to);
    return (struct range){r.from + c->at.y, r.to + c->at.y};
}

/// The open polygon that forbids (u, at) and reaches furthest up from there; NULL: it is free.
static const struct active *longest_step(struct world *w, double u, double at, double *to) {
    double furthest = at + TOUCH_MM;
    const struct active *step = NULL;
    for (int i = 0; i < w->open_count && w->open[i]->bottom < at - TOUCH_MM; i++) {
        const struct active *c = w->open[i];
        if (c->top <= furthest) continue;
        struct range r = forbids_at(w, c, u);
        if (r.from >= at - TOUCH_MM || r.to <= furthest) continue;
        *to = furthest = r.to;
        step = c;
    }
    return step;
}

/// How far up the first `*kept` of the chain of an earlier line cover this one. *kept becomes how
/// many are needed for that: the tops of polygons may change their order from line to line.
static double kept_cover(struct world *w, double u, double from, int *kept) {
    int needed = 0;
    for (int i = 0; i < *kept; i++) {
        double top = forbids_at(w, w->chain[i], u).to;
        if (!(top > from)) continue;
        from = top;
        needed = i + 1;
    }
    *kept = needed;
    return from;
}

/// First v at or after `v` that nothing open forbids on the line at u. The polygons stepped over
/// are left in w->chain. Its first `kept` are those of an earlier line and still hold.
static double free_across(struct world *w, double u, struct range v, int kept) {
    double at = kept_cover(w, u, v.from, &kept);
    w->chain_count = kept;
    while (at <= v.to + TOUCH_MM) {
        const struct active *step = longest_step(w, u, at, &at);
        if (!step) break;
        kw_assert(w->chain_count < w->active_room); // each reaches higher: none comes twice
        w->chain[w->chain_count++] = step;
    }
    return at;
}

/// How far the range of polygon a ends above the beginning of that of b; NULL: the ends of v.
static double lap_at(struct world *w, const struct active *a, const struct active *b,
                     struct range v, double u, double *slope) {
    struct sloped top = {v.from, 0}, bottom = {v.to, 0};
    if (a) top = forbidden_top(a->f, u - a->at.x);
    if (b) bottom = forbidden_bottom(b->f, u - b->at.x);
    w->work += LINE_WORK;
    *slope = top.slope - bottom.slope;
    return top.v + (a ? a->at.y : 0) - bottom.v - (b ? b->at.y : 0);
}

/// The u at or before `end` where the lap is down to nothing. Newton's steps from the right of a
/// root of a concave function stay right of it.
static double lap_end(struct world *w, const struct active *a, const struct active *b,
                      struct range v, double end) {
    for (int i = 0; i < LAP_ROUNDS; i++) {
        double slope, lap = lap_at(w, a, b, v, end, &slope) - TOUCH_MM / 2;
        if (lap >= 0 || !(slope < 0)) break;
        end -= lap / slope;
    }
    return end;
}

/// The line at u is covered by the chain; so are all lines before the one returned. *kept: how many
/// of the chain still hold there.
static double chain_end(struct world *w, double u, struct range v, int *kept) {
    double end = INFINITY;
    *kept = 0;
    for (int i = 0; i < w->chain_count; i++) {
        double right = w->chain[i]->right - TOUCH_MM / 2;
        if (!(right < end)) continue;
        end = right;
        *kept = i;
    }
    for (int i = 0; i <= w->chain_count && end > u; i++) {
        const struct active *a = i > 0 ? w->chain[i - 1] : NULL;
        const struct active *b = i < w->chain_count ? w->chain[i] : NULL;
        double lap = lap_end(w, a, b, v, end);
        if (!(lap < end)) continue;
        end = lap;
        *kept = i;
    }
    if (end >= u + LEAST_STEP) return end;
    *kept = 0;
    return u + LEAST_STEP;
}

// ------------------------------------------------------------------------- the whole sheet

/// Pointers to polygons stay good: the old ones are not freed before the call ends.
static void make_room(struct world *w, int active) {
    if (active <= w->active_room) return;
    struct active *old = w->active;
    const struct active **open = w->open, **chain = w->chain;
    int n = w->active_room;
    w->active_room = 2 * active;
    w->active = KW_NEW_ARRAY(w->a, struct active, w->active_room);
    w->open = KW_NEW_ARRAY(w->a, const struct active *, w->active_room);
    w->chain = KW_NEW_ARRAY(w->a, const struct active *, w->active_room);
    if (n == 0) return;
    memcpy(w->active, old, sizeof *old * (size_t)n);
    memcpy(w->open, open, sizeof *open * (size_t)n);
    memcpy(w->chain, chain, sizeof *chain * (size_t)n);
}

int add_active(struct world *w, int count, const struct contact *c, struct kw_vec2 at,
               double start) {
    if (at.x + c->box.max.x <= start) return count;
    make_room(w, count + c->count);
    for (int i = 0; i < c->count; i++) {
        const struct forbidden *f = &c->v[i];
        double right = at.x + f->box.max.x;
        if (right <= start) continue;
        w->active[count++] = (struct active){.f = f,
                                             .at = at,
                                             .left = at.x + f->box.min.x,
                                             .right = right,
                                             .bottom = at.y + f->box.min.y,
                                             .top = at.y + f->box.max.y};
    }
    return count;
}

/// The pieces of the bin in the order of their left ends.
static void order_pieces(struct world *w, const struct bin *bin) {
    struct by_u *o = &w->order;
    if (o->bin != bin) *o = (struct by_u){.bin = bin, .v = o->v, .room = o->room};
    if (bin->count > o->room) {
        int *old = o->v;
        o->room = 2 * bin->count;
        o->v = KW_NEW_ARRAY(w->a, int, o->room);
        if (o->count > 0) memcpy(o->v, old, sizeof *old * (size_t)o->count);
    }
    for (; o->count < bin->count; o->count++) {
        int i = o->count;
        for (; i > 0 && bin->v[o->v[i - 1]].u > bin->v[o->count].u; i--)
            o->v[i] = o->v[i - 1];
        o->v[i] = o->count;
    }
}

/// Adds the pieces, from o->next on, whose forbidden places may begin left of the line at u and end
/// right of `start`. Contacts are made only here: most lines end before they meet most pieces.
static int gather_to(struct world *w, int count, double u, double start) {
    struct by_u *o = &w->order;
    double ahead = w->poses[o->pose].size.x + w->options->spacing + TOUCH_MM;
    int before = count;
    for (; o->next < o->count; o->next++) {
        struct spot s = o->bin->v[o->v[o->next]];
        if (s.u - ahead >= u) break;
        if (s.u + w->poses[s.pose].size.x + w->options->spacing + TOUCH_MM <= start) continue;
        const struct contact *c = contact_of(&w->contacts, s.pose, o->pose);
        count = add_active(w, count, c, kw_v2(s.u, s.v), start);
    }
    w->work += LINE_WORK * (count - before);
    return count;
}

/// Forbidden polygons of the pose on this sheet that reach right of `start`: those that begin left
/// of it; the others follow as the line moves on.
static int gather(struct world *w, const struct bin *bin, int pose, double start) {
    int count = 0;
    const struct kind *k = &w->kinds[bin->kind];
    for (int i = 0; i < k->obstacle_count; i++) {
        const struct contact *c = contact_of(&w->contacts, k->first_obstacle + i, pose);
        count = add_active(w, count, c, kw_v2(0, 0), start);
    }
    w->work += LINE_WORK * count;
    order_pieces(w, bin);
    w->order.pose = pose;
    w->order.next = 0;
    return gather_to(w, count, start, start);
}

static int by_left(const void *a, const void *b) {
    const struct active *p = a, *q = b;
    if (p->left != q->left) return p->left < q->left ? -1 : 1;
    if (p->right != q->right) return p->right < q->right ? -1 : 1;
    return (p->at.y > q->at.y) - (p->at.y < q->at.y);
}

/// Where a pose's corner may be by the margins; false when it is too large.
static bool inner_range(const struct world *w, int kind, int pose, struct range *u,
                        struct range *v) {
    const struct kind *k = &w->kinds[kind];
    double m = w->options->margin;
    struct kw_vec2 size = w->poses[pose].size;
    *u = (struct range){m, k->length - m - size.x};
    *v = (struct range){m, k->breadth - m - size.y};
    if (!(u->to >= u->from - TOUCH_MM) || !(v->to >= v->from - TOUCH_MM)) return false;
    u->to = fmax(u->to, u->from);
    v->to = fmax(v->to, v->from);
    return true;
}

static void close_ended(struct world *w, double u) {
    int kept = 0;
    for (int i = 0; i < w->open_count; i++) {
        if (w->open[i]->right > u) w->open[kept++] = w->open[i];
    }
    w->open_count = kept;
}

static void open_one(struct world *w, const struct active *c) {
    int i = w->open_count++;
    for (; i > 0 && w->open[i - 1]->bottom > c->bottom; i--)
        w->open[i] = w->open[i - 1];
    w->open[i] = c;
}

/// Whether the place found last for a pose is still free of what was placed since. Free space only
/// shrinks, so it is then still the first.
static bool still_free(struct world *w, const struct bin *bin, int pose) {
    if (w->found_at[pose] < 0) return false;
    struct spot s = w->found[pose];
    for (int i = w->found_at[pose]; i < bin->count; i++) {
        struct spot p = bin->v[i];
        const struct contact *c = contact_of(&w->contacts, p.pose, pose);
        w->work += c->count;
        for (int k = 0; k < c->count; k++) {
            if (forbids(&c->v[k], kw_v2(s.u - p.u, s.v - p.v))) return false;
        }
    }
    w->found_at[pose] = bin->count;
    return true;
}

/// The polygons from `first` on take their places among those from `next` on.
static void sort_in(struct world *w, int next, int first, int count) {
    for (int n = first; n < count; n++) {
        struct active c = w->active[n];
        int i = n;
        for (; i > next && by_left(&w->active[i - 1], &c) > 0; i--)
            w->active[i] = w->active[i - 1];
        w->active[i] = c;
    }
}

bool first_free(struct world *w, int count, struct range u, struct range v, double most,
                struct kw_vec2 *out, double *reached) {
    if (count > 1) qsort(w->active, (size_t)count, sizeof *w->active, by_left);
    int kept = 0, next = 0; // active[next..]: begin right of the line
    w->open_count = 0;
    for (double at = u.from; at <= u.to; at = chain_end(w, at, v, &kept)) {
        *reached = at;
        if (at > most) return false;
        close_ended(w, at);
        int more = gather_to(w, count, at, at);
        sort_in(w, next, count, more);
        count = more;
        while (next < count && w->active[next].left < at)
            open_one(w, &w->active[next++]);
        double free = free_across(w, at, v, kept);
        if (free <= v.to + TOUCH_MM) {
            *out = kw_v2(at, fmin(free, v.to));
            return true;
        }
    }
    *reached = INFINITY;
    return false;
}

bool place_first(struct world *w, const struct bin *bin, int pose, double most, struct spot *out) {
    struct range u, v;
    if (still_free(w, bin, pose)) {
        *out = w->found[pose];
        return out->u <= most;
    }
    w->found_at[pose] = -1;
    if (w->from[pose] > most) return false;
    if (!inner_range(w, bin->kind, pose, &u, &v) || w->from[pose] > u.to) {
        w->from[pose] = INFINITY;
        return false;
    }
    u.from = fmax(w->from[pose], u.from);
    w->work += SEARCH_WORK;
    int all = gather(w, bin, pose, u.from);
    struct kw_vec2 at;
    bool found = first_free(w, all, u, v, most, &at, &w->from[pose]);
    w->order.next = w->order.count; // nothing to gather for who calls first_free himself
    if (!found) return false;
    *out = w->found[pose] = (struct spot){pose, at.x, at.y};
    w->found_at[pose] = bin->count;
    return true;
}
