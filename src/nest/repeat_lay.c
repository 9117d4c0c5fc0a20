// SPDX-License-Identifier: Apache-2.0
// A sheet cut out of a pattern.
#include "nest/repeat_lay.h"

#include <stdlib.h>

#define SHIFTS 16 // of columns that lean

struct kw_vec2 leant(const struct laid *l, struct kw_vec2 at) {
    return kw_v2(at.x + l->p->slant * at.y, at.y);
}

static struct laid over_sheet(const struct world *w, const struct pattern *p, int kind) {
    const struct kind *k = &w->kinds[kind];
    struct laid l = {.w = w, .p = p, .kind = kind, .margin = w->options->margin};
    l.length = p->swapped ? k->breadth : k->length;
    l.breadth = p->swapped ? k->length : k->breadth;
    double lean = p->slant * l.breadth; // of the far end of a column
    l.first = l.last = -INFINITY;
    for (int i = 0; i < p->count; i++) {
        struct kw_vec2 size = w->poses[p->pose[i]].size;
        l.size[i] = p->swapped ? kw_v2(size.y, size.x) : size;
        l.first = fmax(l.first, l.margin - p->at[i].x);
        l.last = fmax(l.last, l.length - l.margin - l.size[i].x - p->at[i].x);
    }
    l.first -= fmax(lean, 0);
    l.last -= fmin(lean, 0);
    return l;
}

/// Columns in which some piece may fit; those that lean may begin further left (best_start).
static int columns_of(const struct laid *l) {
    int more = l->p->slant == 0 ? 1 : 2;
    return (int)fmin(floor((l->last - l->first) / l->p->next.x + 1e-9) + more, 100000);
}

/// Where a pattern begins: along column 0, and that across.
struct start {
    double phase, shift;
};

/// Where piece i may stand in a column, so that it lies within the margins.
static struct range room_in(const struct laid *l, int i, double column) {
    struct range v = {l->margin, l->breadth - l->margin - l->size[i].y};
    double left = l->margin - column, right = l->length - l->margin - l->size[i].x - column;
    double slant = l->p->slant;
    bool stands_out = slant == 0 && (left > TOUCH_MM || right < -TOUCH_MM);
    if (stands_out || left > right + TOUCH_MM) v.to = -INFINITY; // the latter: wider than the sheet
    if (slant == 0) return v;
    v.from = fmax(v.from, fmin(left / slant, right / slant));
    v.to = fmin(v.to, fmax(left / slant, right / slant));
    return v;
}

/// Where a column has its pieces i, at the height where nothing leans yet.
static double across_of(const struct laid *l, int column, int i, struct start s) {
    return l->first + s.shift + column * l->p->next.x + l->p->at[i].x;
}

/// The lowest v of piece i in a column, and how many of it stand in it from there.
static int stack_of(const struct laid *l, int column, int i, struct start s, double *lowest) {
    const struct pattern *p = l->p;
    struct range r = room_in(l, i, across_of(l, column, i, s));
    double v = s.phase + column * p->next.y + p->at[i].y;
    *lowest = v - p->pitch * floor((v - r.from) / p->pitch + 1e-9);
    double room = r.to - *lowest;
    return room < -TOUCH_MM ? 0 : (int)floor(room / p->pitch + 1e-9) + 1;
}

static double area_at(const struct laid *l, struct start s) {
    double area = 0, lowest;
    int columns = columns_of(l);
    for (int c = 0; c < columns; c++) {
        for (int i = 0; i < l->p->count; i++)
            area += stack_of(l, c, i, s, &lowest) * l->w->area[l->w->poses[l->p->pose[i]].part];
    }
    return area;
}

int edge_phases(const struct laid *l, double phases[EDGE_PHASES]) {
    int count = 0;
    for (int c = 0; c < PHASED; c++) {
        for (int i = 0; i < l->p->count; i++) {
            for (int top = 0; top < 2; top++) {
                double to = top ? l->breadth - l->margin - l->size[i].y : l->margin;
                phases[count++] = to - c * l->p->next.y - l->p->at[i].y;
            }
        }
    }
    return count;
}

/// Columns that stand begin at the edge; those that lean cross it anyhow.
static struct start best_start(const struct laid *l) {
    double phases[EDGE_PHASES], most = -1;
    struct start best = {0, 0};
    int count = edge_phases(l, phases), shifts = l->p->slant == 0 ? 1 : SHIFTS;
    for (int i = 0; i < count * shifts; i++) {
        int shift = i / count;
        struct start s = {phases[i % count], -l->p->next.x * shift / SHIFTS};
        double area = area_at(l, s);
        if (!(area > most + 1e-9)) continue;
        most = area;
        best = s;
    }
    return best;
}

static int by_place(const void *a, const void *b) {
    const struct spot *p = a, *q = b;
    if (p->u != q->u) return p->u < q->u ? -1 : 1;
    return (p->v > q->v) - (p->v < q->v);
}

struct spot spot_in(const struct laid *l, int i, struct kw_vec2 at) {
    return (struct spot){l->p->pose[i], l->p->swapped ? at.y : at.x, l->p->swapped ? at.x : at.y};
}

static void lay_all(struct world *w, struct bin *all, const struct laid *l, struct start s) {
    int columns = columns_of(l);
    for (int c = 0; c < columns; c++) {
        for (int i = 0; i < l->p->count; i++) {
            double v, u = across_of(l, c, i, s);
            int n = stack_of(l, c, i, s, &v);
            for (; n > 0; n--, v += l->p->pitch) {
                bin_add(w, all, spot_in(l, i, leant(l, kw_v2(u, v))));
            }
        }
    }
}

void lay_pattern(struct world *w, struct bin *bin, int kind, const struct pattern *p,
                 const int *have) {
    clear_bin(w, bin, kind);
    struct laid l = over_sheet(w, p, kind);
    struct bin all = {.kind = kind};
    int used[2] = {0, 0},
        parts[2] = {w->poses[p->pose[0]].part, w->poses[p->pose[p->count - 1]].part};
    if (w->kinds[kind].obstacle_count > 0)
        lay_around(w, &all, &l);
    else
        lay_all(w, &all, &l, best_start(&l));
    if (all.count > 1) qsort(all.v, (size_t)all.count, sizeof *all.v, by_place);
    for (int i = 0; i < all.count; i++) {
        int part = w->poses[all.v[i].pose].part, which = part == parts[0] ? 0 : 1;
        if (used[which] >= have[part]) continue;
        used[which]++;
        bin_add(w, bin, all.v[i]);
    }
    w->work += all.count;
}

const struct full_sheet *full_sheet_of(struct world *w, struct patterns *list, int kind) {
    if (!list->full) {
        list->full = KW_NEW_ARRAY(w->a, struct full_sheet, w->job->sheet_count + 1);
        for (int k = 0; k < w->job->sheet_count; k++)
            list->full[k].best = -2; // not yet known
    }
    struct full_sheet *f = &list->full[kind];
    if (f->best != -2) return f;
    *f = (struct full_sheet){.best = -1};
    int *have = KW_NEW_ARRAY(w->a, int, w->job->part_count + 1);
    have[list->part] = KW_NEST_MOST_COPIES;
    if (list->other >= 0) have[list->other] = KW_NEST_MOST_COPIES;
    struct bin bin = {0};
    for (int i = 0; i < list->count; i++) {
        lay_pattern(w, &bin, kind, &list->v[i], have);
        if (bin.area <= f->area) continue;
        *f = (struct full_sheet){i, bin.count, bin.area};
    }
    return f;
}
