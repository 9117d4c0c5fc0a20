// SPDX-License-Identifier: Apache-2.0
// The front door: a job in, layouts with copies, drops and figures out.
#include "nest/nest.h"

#include "nest/prepare.h"
#include "nest/search.h"

#include <stdlib.h>
#include <string.h>

struct kw_nest_options kw_nest_options_default(void) {
    return (struct kw_nest_options){
        .spacing = 6,
        .margin = 8,
        .drop_short = 305,
        .drop_long = 610,
        .seed = 1,
        .steps = 120000,
        .threads = 1,
    };
}

// -------------------------------------------------------------------------------- layouts

static int by_place(const void *a, const void *b) {
    const struct spot *p = a, *q = b;
    if (p->u != q->u) return p->u < q->u ? -1 : 1;
    if (p->v != q->v) return p->v < q->v ? -1 : 1;
    return (p->pose > q->pose) - (p->pose < q->pose);
}

static bool same_layout(const struct bin *a, const struct bin *b) {
    if (a->kind != b->kind || a->count != b->count || a->standing != b->standing) return false;
    for (int i = 0; i < a->count; i++) {
        if (by_place(&a->v[i], &b->v[i]) != 0) return false;
    }
    return true;
}

/// Full sheets first, the one with the most left over last; equal layouts become one.
static void order_bins(const struct world *w, struct plan *p) {
    for (int i = 0; i < p->count; i++) {
        qsort(p->bins[i].v, (size_t)p->bins[i].count, sizeof(struct spot), by_place);
    }
    int kept = 0;
    for (int i = 0; i < p->count; i++) {
        int same = -1;
        for (int k = 0; k < kept && same < 0; k++) {
            if (same_layout(&p->bins[k], &p->bins[i])) same = k;
        }
        if (same >= 0)
            p->bins[same].times += p->bins[i].times;
        else
            p->bins[kept++] = p->bins[i];
    }
    p->count = kept;
    for (int i = 1; i < kept; i++) { // insertion keeps the order of equals
        struct bin b = p->bins[i];
        int k = i;
        double full = b.extent / w->kinds[b.kind].length;
        for (; k > 0; k--) {
            const struct bin *before = &p->bins[k - 1];
            if (before->extent / w->kinds[before->kind].length >= full) break;
            p->bins[k] = *before;
        }
        p->bins[k] = b;
    }
}

static double rounded(double v) {
    return round(v * 1e6) / 1e6;
}

static struct kw_nest_placement placement_of(const struct world *w, int axis, struct spot s) {
    const struct pose *p = &w->poses[s.pose];
    return (struct kw_nest_placement){
        .part = p->part,
        .x = rounded((axis ? s.v : s.u) - p->corner.x),
        .y = rounded((axis ? s.u : s.v) - p->corner.y),
        .rotation = p->rotation,
        .mirrored = p->mirrored,
    };
}

static bool useful(const struct kw_nest_options *o, struct kw_box2 r) {
    double x = r.max.x - r.min.x, y = r.max.y - r.min.y;
    return fmin(x, y) > 0 && fmin(x, y) >= o->drop_short && fmax(x, y) >= o->drop_long;
}

static double box_area(struct kw_box2 r) {
    return (r.max.x - r.min.x) * (r.max.y - r.min.y);
}

/// Two straight cuts free the used corner of the sheet: the first goes right across, and may be the
/// upright or the level one. The choice with the largest useful piece is taken.
static void find_drops(struct kw_arena *a, const struct kw_nest_options *o,
                       const struct kw_nest_sheet *s, struct kw_nest_layout *l) {
    if (!is_rectangle(s)) return;
    struct kw_vec2 end = kw_v2(s->width, s->height);
    struct kw_vec2 cut = kw_add2(l->used.max, kw_v2(o->spacing, o->spacing));
    struct kw_box2 right = {kw_v2(cut.x, 0), end}, top = {kw_v2(0, cut.y), end};
    struct kw_box2 above = {kw_v2(0, cut.y), kw_v2(cut.x, end.y)};
    struct kw_box2 beside = {kw_v2(cut.x, 0), kw_v2(end.x, cut.y)};
    double right_area = useful(o, right) ? box_area(right) : 0;
    double top_area = useful(o, top) ? box_area(top) : 0;
    struct kw_box2 two[2] = {right, above};
    if (top_area > right_area) {
        two[0] = top;
        two[1] = beside;
    }
    for (int i = 0; i < 2; i++) {
        if (useful(o, two[i])) KW_PUSH(a, l->drops, l->drop_count) = two[i];
    }
}

static struct kw_nest_layout layout_of(struct kw_arena *a, const struct world *w,
                                       const struct bin *b, int *next_copy) {
    const struct kind *k = &w->kinds[b->kind];
    struct kw_nest_layout l = {.sheet = b->kind, .times = b->times, .standing = b->standing - 1};
    l.placements = KW_NEW_ARRAY(a, struct kw_nest_placement, b->count);
    l.placement_count = b->count;
    l.used = (struct kw_box2){kw_v2(INFINITY, INFINITY), kw_v2(-INFINITY, -INFINITY)};
    for (int i = 0; i < b->count; i++) {
        struct spot s = b->v[i];
        struct kw_nest_placement *p = &l.placements[i];
        *p = placement_of(w, k->axis, s);
        p->copy = next_copy[p->part] + 1;
        next_copy[p->part] += b->times;
        struct kw_vec2 size = w->poses[s.pose].size;
        struct kw_vec2 low = kw_v2(s.u, s.v), high = kw_add2(low, size);
        if (k->axis) {
            low = kw_v2(low.y, low.x);
            high = kw_v2(high.y, high.x);
        }
        l.used.min = kw_v2(fmin(l.used.min.x, low.x), fmin(l.used.min.y, low.y));
        l.used.max = kw_v2(fmax(l.used.max.x, high.x), fmax(l.used.max.y, high.y));
    }
    l.density = b->area / k->area;
    find_drops(a, w->options, &w->job->sheets[b->kind], &l);
    return l;
}

// ------------------------------------------------------------------------------- unplaced

/// How far a pose is beyond a kind of sheet, in x and y together; 0 when its box fits.
static double beyond(const struct world *w, int part, int kind, double need[2]) {
    const struct kind *k = &w->kinds[kind];
    struct pose_range r = w->parts[k->group][part];
    double m = 2 * w->options->margin, least = INFINITY;
    for (int i = r.first; i < r.first + r.count; i++) {
        struct kw_vec2 size = w->poses[i].size;
        double over = fmax(size.x + m - k->length, 0) + fmax(size.y + m - k->breadth, 0);
        if (!(over < least)) continue;
        least = over;
        need[k->axis] = size.x + m;
        need[1 - k->axis] = size.y + m;
    }
    return least;
}

static struct kw_nest_unplaced unplaced_of(struct world *w, int part, int count) {
    struct kw_nest_unplaced u = {
        .part = part, .count = count, .too_large = true, .nearest_sheet = -1};
    double least = INFINITY;
    for (int k = 0; k < w->job->sheet_count; k++) {
        double need[2] = {0, 0}, over = beyond(w, part, k, need);
        if (fits_alone(w, part, k)) u.too_large = false;
        if (!(over < least)) continue;
        least = over;
        u.nearest_sheet = k;
        u.have[0] = w->job->sheets[k].width;
        u.have[1] = w->job->sheets[k].height;
        memcpy(u.need, need, sizeof need);
    }
    return u;
}

// ------------------------------------------------------------------------------ the whole

static void report(struct kw_arena *a, struct world *w, struct plan *p, struct kw_nest *out) {
    order_bins(w, p);
    int *next_copy = KW_NEW_ARRAY(w->a, int, w->job->part_count + 1);
    double used = 0, metal = 0;
    for (int i = 0; i < p->count; i++) {
        const struct bin *b = &p->bins[i];
        struct kw_nest_layout l = layout_of(a, w, b, next_copy);
        KW_PUSH(a, out->layouts, out->layout_count) = l;
        out->sheets_used += b->times;
        out->value += w->kinds[b->kind].value * b->times;
        used += w->kinds[b->kind].area * b->times;
        metal += b->area * b->times;
        for (int k = 0; k < l.drop_count; k++)
            out->drop_area += box_area(l.drops[k]) * b->times;
    }
    out->density = used > 0 ? metal / used : 0;
    out->lower_bound = fmin(value_bound(w, p), out->value);
    for (int i = 0; i < w->job->part_count; i++) {
        if (p->missing[i] == 0) continue;
        KW_PUSH(a, out->unplaced, out->unplaced_count) = unplaced_of(w, i, p->missing[i]);
    }
}

enum kw_status kw_nest(struct kw_arena *a, const struct kw_nest_job *job,
                       const struct kw_nest_options *options, struct kw_nest *out,
                       struct kw_error *err) {
    memset(out, 0, sizeof *out);
    enum kw_status s = check_job(job, options, err);
    if (s != KW_OK) return s;
    struct kw_arena scratch = {0};
    struct world w = {.a = &scratch, .job = job, .options = options};
    struct plan best = {0};
    prepare_world(&w);
    s = search_nest(&w, &best, &out->stopped_by);
    if (s == KW_STOPPED) kw_fail(err, s, (struct kw_place){0}, "stopped while nesting");
    out->steps = w.work / STEP_WORK;
    if (s == KW_OK) report(a, &w, &best, out);
    contacts_free(&w.contacts);
    kw_arena_free(&scratch);
    return s;
}
