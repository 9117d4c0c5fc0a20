// SPDX-License-Identifier: Apache-2.0
// Where the shop shares cuts: parts that the nest has laid in a row or column with equal straight
// edges face to face are moved together to one kerf, when nothing else comes nearer than the
// spacing by it. Not parts with tabs, nor edges that matter: the far side of a cut is not square.
#include "run/inside.h"

#include <math.h>

#define BESIDE 12.0  // mm more than the spacing: still neighbours
#define SLIP   15.0  // mm that a part may slip along the edge to lie flush
#define EVEN   0.005 // mm: edges count as flush
#define LEAST  25.0  // mm of edge that is worth it
#define CLOSE  1e-6

struct brick { // a placed part
    struct kw_cut_part part;
    struct kw_box2 box;
    int across; ///< direction in which it shares already: 0 x, 1 y, -1 none
};

static struct brick *find_bricks(struct kw_week *w, const struct kw_run_sheet *s) {
    struct brick *v = KW_NEW_ARRAY(w->arena, struct brick, s->placement_count + 1);
    for (int i = 0; i < s->placement_count; i++) {
        const struct kw_nest_placement *p = &s->placements[i];
        const struct kw_make *make = &w->makes[p->part];
        struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
        v[i] = (struct brick){.across = -1};
        v[i].part.region = kw_region_moved(w->arena, &make->blank, m);
        run_table_part(w, make, m, &v[i].part);
        v[i].box = kw_path_box(&v[i].part.region.outer);
    }
    return v;
}

static double low(struct kw_box2 b, int axis) {
    return axis ? b.min.y : b.min.x;
}
static double high(struct kw_box2 b, int axis) {
    return axis ? b.max.y : b.max.x;
}

static bool matters(const struct kw_cut_part *part, int tag) {
    for (int i = 0; i < part->avoid_count; i++)
        if (part->avoid[i] == tag) return true;
    return false;
}

// The one straight edge on the side of the box at `side`, and how far it goes.
static bool edge_on(const struct brick *b, int axis, double side, double *from, double *to) {
    const struct kw_path *p = &b->part.region.outer;
    int found = 0;
    for (int i = 0; i < kw_path_segments(p); i++) {
        struct kw_segment s = kw_path_segment(p, i);
        double a = axis ? s.a.y : s.a.x, z = axis ? s.b.y : s.b.x;
        double u = axis ? s.a.x : s.a.y, v = axis ? s.b.x : s.b.y;
        if (fabs(a - side) > EVEN || fabs(z - side) > EVEN) continue;
        int n = kw_path_segments(p);
        bool round = s.radius > 0 || kw_path_segment(p, (i + 1) % n).radius > 0 ||
                     kw_path_segment(p, (i + n - 1) % n).radius > 0; // corners must be sharp
        if (found++ > 0 || round || matters(&b->part, p->v[i].tag)) return false;
        *from = fmin(u, v);
        *to = fmax(u, v);
    }
    return found == 1 && *to - *from >= LEAST;
}

// Equal straight edges face each other: a's upper one and b's lower one along the axis. `slip`:
// what b must move along them to lie flush.
static bool faces(const struct brick *a, const struct brick *b, int axis, double *slip) {
    double from[2], to[2];
    if (a->part.tab_width > 0 || b->part.tab_width > 0) return false;
    if (!edge_on(a, axis, high(a->box, axis), &from[0], &to[0]) ||
        !edge_on(b, axis, low(b->box, axis), &from[1], &to[1]))
        return false;
    *slip = from[0] - from[1];
    return fabs(*slip) <= SLIP && fabs(to[0] - to[1] - *slip) < EVEN;
}

static void move_path(struct kw_path *p, struct kw_vec2 way) {
    for (int i = 0; i < p->count; i++) {
        p->v[i].x += way.x;
        p->v[i].y += way.y;
    }
}

static void move_brick(struct brick *b, struct kw_vec2 way) {
    move_path(&b->part.region.outer, way);
    for (int h = 0; h < b->part.region.hole_count; h++)
        move_path(&b->part.region.holes[h], way);
    b->box.min = kw_add2(b->box.min, way);
    b->box.max = kw_add2(b->box.max, way);
}

static double gap_between(const struct kw_region *a, const struct kw_region *b) {
    double gap = kw_path_gap(&a->outer, &b->outer);
    for (int h = 0; h < a->hole_count; h++)
        gap = fmin(gap, kw_path_gap(&a->holes[h], &b->outer));
    for (int h = 0; h < b->hole_count; h++)
        gap = fmin(gap, kw_path_gap(&a->outer, &b->holes[h]));
    return gap;
}

static double box_gap(struct kw_box2 a, struct kw_box2 b) {
    double x = fmax(a.min.x - b.max.x, b.min.x - a.max.x);
    return fmax(x, fmax(a.min.y - b.max.y, b.min.y - a.max.y));
}

// Whether brick i, where it is now, keeps the spacing to all but `beside`.
static bool keeps_off(const struct brick *v, int count, int i, int beside, double spacing) {
    for (int k = 0; k < count; k++) {
        if (k == i || k == beside) continue;
        if (box_gap(v[i].box, v[k].box) >= spacing - CLOSE) continue;
        if (gap_between(&v[i].part.region, &v[k].part.region) < spacing - CLOSE) return false;
    }
    return true;
}

static bool on_sheet(const struct kw_run_sheet *s, struct kw_box2 b) {
    return b.min.x >= s->margin - CLOSE && b.min.y >= s->margin - CLOSE &&
           b.max.x <= s->width - s->margin + CLOSE && b.max.y <= s->height - s->margin + CLOSE;
}

static bool off_drops(const struct kw_run_sheet *s, struct kw_box2 b) {
    for (int i = 0; i < s->drop_count; i++)
        if (box_gap(s->drops[i], b) < s->spacing - CLOSE) return false;
    return true;
}

// Draws brick k up to i; true when they face each other, k shares no other way and all else keeps
// its spacing.
static bool draw_up(struct kw_run_sheet *s, struct brick *v, int i, int k, int axis) {
    double gap = low(v[k].box, axis) - high(v[i].box, axis), slip;
    if (k == i || v[k].across >= 0 || !(gap > 0 && gap < s->spacing + BESIDE)) return false;
    if (!faces(&v[i], &v[k], axis, &slip)) return false;
    double by = s->rule->kerf - gap;
    struct kw_vec2 way = axis ? kw_v2(slip, by) : kw_v2(by, slip);
    move_brick(&v[k], way);
    if (!on_sheet(s, v[k].box) || !off_drops(s, v[k].box) ||
        !keeps_off(v, s->placement_count, k, i, s->spacing)) {
        move_brick(&v[k], kw_scale2(way, -1));
        return false;
    }
    s->placements[k].x += way.x;
    s->placements[k].y += way.y;
    v[i].across = v[k].across = axis;
    return true;
}

void run_share_cuts(struct kw_week *w, struct kw_run_sheet *s) {
    if (!w->shop->table.shared_cuts || s->spacing <= s->rule->kerf) return;
    struct brick *v = find_bricks(w, s);
    int shared = 0, n = s->placement_count;
    for (int axis = 0; axis < 2; axis++) {
        int *order = KW_NEW_ARRAY(w->arena, int, n + 1); // from low to high, ties by index
        for (int i = 0; i < n; i++) {
            int k = i;
            for (; k > 0 && low(v[order[k - 1]].box, axis) > low(v[i].box, axis); k--)
                order[k] = order[k - 1];
            order[k] = i;
        }
        for (int i = 0; i < n; i++) {
            int a = order[i];
            if (v[a].across == !axis) continue;
            for (int b = 0; b < n; b++)
                if (draw_up(s, v, a, b, axis)) {
                    shared++;
                    break;
                }
        }
    }
    if (shared > 0) s->spacing = s->rule->kerf;
}
