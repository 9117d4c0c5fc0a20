// SPDX-License-Identifier: Apache-2.0
// A pattern on a sheet with places to keep out of: clamps, bad corners, an edge that is no straight
// line. What meets one is left out. Where that costs many, the columns begin anew behind it; within
// a column the cells may be pushed on past it, as far as their neighbours allow.
#include "nest/repeat_lay.h"

#define BEST_WAYS   3  // for which the columns are loosened
#define PUSH_PARTS  24 // of the pitch: steps in which a cell is pushed
#define PUSH_HALVES 12 // and halvings to the place where it is just free
#define MOST_STOPS  12 // ends of obstacles that set a phase

/// One way to lay a pattern.
struct way {
    double phase, shift; ///< of column 0, along it and across
    bool jumps;          ///< columns that lose more than half begin anew behind the obstacle
    bool pushes;         ///< cells are pushed past what they meet
    double area;
};

/// A layout that grows column by column.
struct layer {
    struct world *w;
    const struct laid *l;
    struct bin *bin;
    struct way way;
    int *starts; ///< in the bin, by column: only so many columns back can be met
    int column_count, back;
    bool loose; ///< something lies off the pattern: pieces must be tried against each other
};

// ------------------------------------------------------------------------------- one piece

static bool within(const struct laid *l, int i, struct kw_vec2 at) {
    return at.x >= l->margin - TOUCH_MM && at.y >= l->margin - TOUCH_MM &&
           at.x + l->size[i].x <= l->length - l->margin + TOUCH_MM &&
           at.y + l->size[i].y <= l->breadth - l->margin + TOUCH_MM;
}

/// Whether no obstacle forbids piece i there. Else `end` is raised to where the polygons that do
/// end, across the columns.
static bool off_obstacles(struct layer *y, int i, struct kw_vec2 at, double *end) {
    struct world *w = y->w;
    const struct kind *k = &w->kinds[y->l->kind];
    struct spot s = spot_in(y->l, i, at);
    bool is_free = true;
    for (int o = 0; o < k->obstacle_count; o++) {
        const struct contact *t = contact_of(&w->contacts, k->first_obstacle + o, s.pose);
        w->work += 1 + t->count / 4;
        for (int n = 0; n < t->count; n++) {
            const struct kw_box2 *b = &t->v[n].box;
            if (!forbids(&t->v[n], kw_v2(s.u, s.v))) continue;
            is_free = false;
            *end = fmax(*end, y->l->p->swapped ? b->max.y : b->max.x);
        }
    }
    return is_free;
}

static bool off_pieces(struct layer *y, int i, struct kw_vec2 at) {
    struct world *w = y->w;
    struct spot s = spot_in(y->l, i, at);
    int first = y->column_count > y->back ? y->starts[y->column_count - 1 - y->back] : 0;
    for (int n = first; n < y->bin->count; n++) {
        struct spot p = y->bin->v[n];
        const struct contact *t = contact_of(&w->contacts, p.pose, s.pose);
        struct kw_vec2 by = kw_v2(s.u - p.u, s.v - p.v);
        w->work++;
        if (by.x <= t->box.min.x || by.x >= t->box.max.x || by.y <= t->box.min.y ||
            by.y >= t->box.max.y) {
            continue;
        }
        w->work += t->count;
        for (int k = 0; k < t->count; k++) {
            if (forbids(&t->v[k], by)) return false;
        }
    }
    return true;
}

static bool is_free(struct layer *y, int i, struct kw_vec2 at, bool pieces) {
    double end = 0;
    return within(y->l, i, at) && off_obstacles(y, i, at, &end) &&
           (!pieces || off_pieces(y, i, at));
}

// ------------------------------------------------------------------------------- one column

/// A cell: all pieces of the pattern around its origin.
static bool cell_free(struct layer *y, struct kw_vec2 at, bool pieces) {
    for (int i = 0; i < y->l->p->count; i++) {
        if (!is_free(y, i, leant(y->l, kw_add2(at, y->l->p->at[i])), pieces)) return false;
    }
    return true;
}

static bool push_cell(struct layer *y, struct kw_vec2 *at) {
    double step = y->l->p->pitch / PUSH_PARTS, low = at->y;
    for (int n = 1; n < PUSH_PARTS; n++, low += step) {
        if (!cell_free(y, kw_v2(at->x, low + step), true)) continue;
        double high = low + step;
        for (int k = 0; k < PUSH_HALVES; k++) {
            double middle = (low + high) / 2;
            *(cell_free(y, kw_v2(at->x, middle), true) ? &high : &low) = middle;
        }
        at->y = high;
        return true;
    }
    return false;
}

/// Adds what is free of a cell. Whether all of it was.
static bool add_free(struct layer *y, struct kw_vec2 at) {
    int added = 0;
    for (int i = 0; i < y->l->p->count; i++) {
        struct kw_vec2 place = leant(y->l, kw_add2(at, y->l->p->at[i]));
        if (!is_free(y, i, place, y->loose)) continue;
        bin_add(y->w, y->bin, spot_in(y->l, i, place));
        added++;
    }
    return added == y->l->p->count;
}

static void add_column(struct layer *y, struct kw_vec2 at) {
    const struct pattern *p = y->l->p;
    double low = fmin(p->at[0].y, p->at[p->count - 1].y);
    at.y -= p->pitch * ceil((at.y + low - y->l->margin) / p->pitch + 1);
    y->starts[y->column_count++] = y->bin->count;
    for (; at.y + low <= y->l->breadth; at.y += p->pitch) {
        if (y->way.pushes && !cell_free(y, at, y->loose) && push_cell(y, &at)) y->loose = true;
        add_free(y, at);
    }
}

/// How many pieces of a column there would be without obstacles, how many they take, and where
/// those end.
static bool mostly_blocked(struct layer *y, struct kw_vec2 at, double *end) {
    const struct pattern *p = y->l->p;
    int all = 0, blocked = 0;
    *end = -INFINITY;
    for (int i = 0; i < p->count; i++) {
        struct kw_vec2 q = kw_add2(at, p->at[i]);
        q.y -= p->pitch * floor((q.y - y->l->margin) / p->pitch + 1e-9);
        for (; q.y <= y->l->breadth; q.y += p->pitch) {
            double ends = -INFINITY;
            struct kw_vec2 on = leant(y->l, q);
            if (!within(y->l, i, on)) continue;
            all++;
            if (off_obstacles(y, i, on, &ends)) continue;
            blocked++;
            *end = fmax(*end, ends - p->at[i].x - (on.x - q.x));
        }
    }
    return 2 * blocked > all;
}

// ---------------------------------------------------------------------------------- all of it

static void lay(struct layer *y, struct way *way) {
    const struct pattern *p = y->l->p;
    y->bin->count = 0;
    y->bin->area = y->bin->extent = 0;
    y->way = *way;
    y->column_count = 0;
    y->loose = false;
    struct kw_vec2 at = kw_v2(y->l->first + way->shift, way->phase);
    for (double last = y->l->last + TOUCH_MM; at.x <= last; at = kw_add2(at, p->next)) {
        double end;
        if (way->jumps && mostly_blocked(y, at, &end) && end > at.x + TOUCH_MM) {
            y->loose = true;
            at.x = end;
        }
        add_column(y, at);
    }
    way->area = y->bin->area;
}

/// Keeps the best ways, the best first; the earlier of equals.
static void keep_way(struct way *best, struct way way) {
    int i = BEST_WAYS - 1;
    if (way.area <= best[i].area + 1e-9) return;
    for (; i > 0 && best[i - 1].area + 1e-9 < way.area; i--)
        best[i] = best[i - 1];
    best[i] = way;
}

/// Phases at which a piece of column 0 begins or ends where an obstacle does.
static int obstacle_phases(struct layer *y, double phases[MOST_STOPS]) {
    const struct kind *k = &y->w->kinds[y->l->kind];
    const struct pattern *p = y->l->p;
    int count = 0;
    for (int o = 0; o < k->obstacle_count && count + 4 <= MOST_STOPS; o++) {
        for (int i = 0; i < p->count; i++) {
            const struct contact *t =
                contact_of(&y->w->contacts, k->first_obstacle + o, p->pose[i]);
            phases[count++] = (p->swapped ? t->box.max.x : t->box.max.y) - p->at[i].y;
            phases[count++] = (p->swapped ? t->box.min.x : t->box.min.y) - p->at[i].y;
        }
    }
    return count;
}

static void try_phases(struct layer *y, const double *phases, int count, double shift,
                       struct way *best) {
    for (int i = 0; i < count; i++) {
        struct way way = {.phase = phases[i], .shift = shift};
        lay(y, &way);
        keep_way(best, way);
    }
}

static void try_loose(struct layer *y, struct way *best) {
    struct way tight[BEST_WAYS];
    for (int i = 0; i < BEST_WAYS; i++)
        tight[i] = best[i];
    for (int i = 0; i < BEST_WAYS && tight[i].area > 0; i++) {
        for (int how = 1; how < 4; how++) {
            struct way way = tight[i];
            way.jumps = how & 1;
            way.pushes = how & 2;
            lay(y, &way);
            keep_way(best, way);
        }
    }
}

static struct layer layer_make(struct world *w, struct bin *all, const struct laid *l) {
    const struct pattern *p = l->p;
    struct layer y = {.w = w, .l = l, .bin = all};
    double wide = 0; // of a piece as the pattern is sheared
    for (int i = 0; i < p->count; i++)
        wide = fmax(wide, l->size[i].x + fabs(p->slant) * l->size[i].y);
    double reach = fabs(p->at[0].x - p->at[p->count - 1].x) + 2 * wide +
                   2 * w->options->spacing * (1 + fabs(p->slant));
    y.back = (int)ceil(reach / p->next.x) + 1;
    y.starts = KW_NEW_ARRAY(w->a, int, (int)fmax((l->last - l->first) / p->next.x, 0) + 5);
    return y;
}

void lay_around(struct world *w, struct bin *all, const struct laid *l) {
    struct way best[BEST_WAYS] = {{0}};
    struct layer y = layer_make(w, all, l);
    double edges[EDGE_PHASES], stops[MOST_STOPS];
    int edge_count = edge_phases(l, edges), stop_count = obstacle_phases(&y, stops);
    if (!(l->last >= l->first - TOUCH_MM)) return;
    for (int right = 0; right < 2; right++) {
        double shift = right ? fmod(l->last - l->first, l->p->next.x) : 0;
        try_phases(&y, edges, edge_count, fmax(shift, 0), best);
        try_phases(&y, stops, stop_count, fmax(shift, 0), best);
    }
    try_loose(&y, best);
    lay(&y, &best[0]);
}
