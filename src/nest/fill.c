// SPDX-License-Identifier: Apache-2.0
// The first free place of a pose: lines across the sheet are tried from left to right. Free space
// of convex forbidden polygons is leftmost where a polygon ends, where two cross, or at the margin;
// the first and last are lines tried exactly, crossings are met by a grid of lines and by then
// sliding the piece left and down until it touches.
#include "nest/fill.h"

#include <stdlib.h>
#include <string.h>

#define GRID_LINES  240 // a sheet's length in steps of a search, 10 mm on a 2.4 m sheet
#define MOST_SLIDES 6
#define SEARCH_WORK 64 // a search costs this much even on an empty sheet, and so does a sheet

struct range {
    double from, to;
};

// ------------------------------------------------------------------------ one line at a time

/// First v at or after `v` that nothing active forbids on the line at u.
static double free_across(struct world *w, const struct active *list, int count, double u,
                          struct range v) {
    double at = v.from;
    for (bool moved = true; moved && at <= v.to + TOUCH_MM;) {
        moved = false;
        w->work += count;
        for (int i = 0; i < count; i++) {
            const struct active *c = &list[i];
            double y = at - c->at.y;
            if (y <= c->f->box.min.y + TOUCH_MM || y >= c->f->box.max.y - TOUCH_MM) continue;
            if (u <= c->left + TOUCH_MM || u >= c->right - TOUCH_MM) continue;
            double from, to;
            forbidden_across(c->f, u - c->at.x, &from, &to);
            if (y <= from + TOUCH_MM || y >= to - TOUCH_MM) continue;
            at = to + c->at.y;
            moved = true;
        }
    }
    return at;
}

/// The same along the line at v.
static double free_along(struct world *w, const struct active *list, int count, double v,
                         struct range u) {
    double at = u.from;
    for (bool moved = true; moved && at <= u.to + TOUCH_MM;) {
        moved = false;
        w->work += count;
        for (int i = 0; i < count; i++) {
            const struct active *c = &list[i];
            double y = v - c->at.y;
            if (at <= c->left + TOUCH_MM || at >= c->right - TOUCH_MM) continue;
            if (y <= c->f->box.min.y + TOUCH_MM || y >= c->f->box.max.y - TOUCH_MM) continue;
            double from, to, x = at - c->at.x;
            forbidden_along(c->f, y, &from, &to);
            if (!(x > from + TOUCH_MM && x < to - TOUCH_MM)) continue;
            at = to + c->at.x;
            moved = true;
        }
    }
    return at;
}

/// Whether `at` lies inside, by more than touching.
static bool forbids(const struct forbidden *f, struct kw_vec2 at) {
    const struct kw_box2 *b = &f->box;
    if (at.x <= b->min.x + TOUCH_MM || at.x >= b->max.x - TOUCH_MM) return false;
    if (at.y <= b->min.y + TOUCH_MM || at.y >= b->max.y - TOUCH_MM) return false;
    double from, to;
    forbidden_across(f, at.x, &from, &to);
    return at.y > from + TOUCH_MM && at.y < to - TOUCH_MM;
}

// ------------------------------------------------------------------------- the whole sheet

static void make_room(struct world *w, int active, int lines) {
    if (active > w->active_room) {
        w->active_room = 2 * active;
        w->active = KW_NEW_ARRAY(w->a, struct active, w->active_room);
    }
    if (lines > w->line_room) {
        w->line_room = 2 * lines;
        w->lines = KW_NEW_ARRAY(w->a, double, w->line_room);
    }
}

static int add_active(struct world *w, int count, int fixed, int moving, struct kw_vec2 at) {
    const struct contact *c = contact_of(&w->contacts, fixed, moving);
    if (count + c->count > w->active_room) {
        struct active *old = w->active;
        make_room(w, count + c->count, 0);
        if (count > 0) memcpy(w->active, old, sizeof *old * (size_t)count);
    }
    for (int i = 0; i < c->count; i++) {
        const struct forbidden *f = &c->v[i];
        w->active[count++] = (struct active){f, at, at.x + f->box.min.x, at.x + f->box.max.x};
    }
    return count;
}

/// All forbidden polygons of the pose on this sheet.
static int gather(struct world *w, const struct bin *bin, int pose) {
    int count = 0;
    const struct kind *k = &w->kinds[bin->kind];
    for (int i = 0; i < k->obstacle_count; i++) {
        count = add_active(w, count, k->first_obstacle + i, pose, kw_v2(0, 0));
    }
    for (int i = 0; i < bin->count; i++) {
        struct spot s = bin->v[i];
        count = add_active(w, count, s.pose, pose, kw_v2(s.u, s.v));
    }
    w->work += count;
    return count;
}

static int by_value(const void *a, const void *b) {
    double p = *(const double *)a, q = *(const double *)b;
    return (p > q) - (p < q);
}

static int by_left(const void *a, const void *b) {
    const struct active *p = a, *q = b;
    if (p->left != q->left) return p->left < q->left ? -1 : 1;
    if (p->right != q->right) return p->right < q->right ? -1 : 1;
    return (p->at.y > q->at.y) - (p->at.y < q->at.y);
}

/// The lines to try between `from` and `to`, in order.
static int make_lines(struct world *w, int active_count, double from, double to, double step) {
    int grid = (int)ceil((to - from) / step);
    make_room(w, 0, active_count + grid + 2);
    int n = 0;
    w->lines[n++] = from;
    for (int i = 1; i < grid; i++)
        w->lines[n++] = from + step * i;
    w->lines[n++] = to;
    for (int i = 0; i < active_count; i++) {
        double u = w->active[i].right;
        if (u > from && u < to) w->lines[n++] = u;
    }
    qsort(w->lines, (size_t)n, sizeof *w->lines, by_value);
    int kept = 1;
    for (int i = 1; i < n; i++) {
        if (w->lines[i] > w->lines[kept - 1] + TOUCH_MM) w->lines[kept++] = w->lines[i];
    }
    return kept;
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

/// Slides left and down in turn until it rests.
static void slide(struct world *w, int active_count, struct range ur, struct range vr,
                  struct spot *s) {
    for (int i = 0; i < MOST_SLIDES; i++) {
        double u = free_along(w, w->active, active_count, s->v, (struct range){ur.from, s->u});
        if (u > s->u) u = s->u;
        double v = free_across(w, w->active, active_count, u, (struct range){vr.from, s->v});
        bool worse = v > s->v; // a rounding only: then stay with the v that is known to be free
        bool rests = u > s->u - 1e-4 && (worse || v > s->v - 1e-4);
        s->u = u;
        if (!worse) s->v = v;
        if (rests) return;
    }
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

/// Finds the first place of a pose with u <= most. w->from[pose] remembers how far all is taken.
static bool find_spot(struct world *w, const struct bin *bin, int pose, double most,
                      struct spot *out) {
    struct range u, v;
    double start = w->from[pose];
    if (still_free(w, bin, pose)) {
        *out = w->found[pose];
        return out->u <= most;
    }
    w->found_at[pose] = -1;
    if (start > most) return false;
    if (!inner_range(w, bin->kind, pose, &u, &v) || start > u.to) {
        w->from[pose] = INFINITY;
        return false;
    }
    start = fmax(start, u.from);
    w->work += SEARCH_WORK;
    int all = gather(w, bin, pose);
    double step = w->kinds[bin->kind].length / GRID_LINES;
    int lines = make_lines(w, all, start, u.to, step);
    if (all > 1) qsort(w->active, (size_t)all, sizeof *w->active, by_left);
    int first = 0, open = 0; // active[first..open): may reach the line
    for (int i = 0; i < lines; i++) {
        double at = w->lines[i];
        w->from[pose] = at;
        if (at > most) return false;
        while (open < all && w->active[open].left < at)
            open++;
        while (first < open && w->active[first].right <= at)
            first++;
        double free = free_across(w, w->active + first, open - first, at, v);
        if (free > v.to + TOUCH_MM) continue;
        *out = (struct spot){pose, at, fmin(free, v.to)};
        slide(w, all, u, v, out);
        w->found[pose] = *out;
        w->found_at[pose] = bin->count;
        return out->u <= most;
    }
    w->from[pose] = INFINITY;
    return false;
}

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
        if (!find_spot(w, bin, i, best - ahead + TOUCH_MM, &s)) continue;
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
        find_spot(w, bin, want->as, INFINITY, &s)) {
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
    bin->count = 0;
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

void fill_more(struct world *w, struct bin *bin, struct policy policy, struct want *wants,
               int want_count) {
    w->work += SEARCH_WORK + want_count;
    int refused = 0;
    for (int i = 0; i < want_count; i++) {
        while (wants[i].count > 0 && place_want(w, bin, policy, &wants[i]))
            wants[i].count--;
        refused += wants[i].count > 0;
        if (policy.patience > 0) i += refused / policy.patience;
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
