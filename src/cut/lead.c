// SPDX-License-Identifier: Apache-2.0
// Where may a contour begin, and from where in the scrap? Straight lead-ins that stay half a kerf
// off every finished outline, on the sheet, and never start in a part.
#include "cut/job.h"

#include <math.h>

#define LEAST_HOLE_LEAD 0.2 // mm: below it nothing is gained over piercing on the line
#define CLEAR_SLACK     1e-6
// What a worse kind of start is worth in mm of travel.
#define COST_AVOIDED 2000.0
#define COST_SHORT   40.0 // a lead-in of no length; less in proportion
#define COST_STEEP   5.0  // square to the contour instead of slanting in
#define COST_SPATTER 60.0 // pierced nearer to an outline than a kerf and a half
#define COST_MIDDLE  3.0  // in the middle of a side instead of at its end

// Least distance from the straight piece a-b to an edge. Exact: crossing, ends, and for arcs the
// foot of the centre.
static double edge_gap(struct kw_segment way, const struct cut_edge *e) {
    struct kw_vec2 hit[2];
    if (kw_segment_crossings(way, e->s, hit) > 0) return 0;
    double d = fmin(kw_segment_distance(e->s, way.a), kw_segment_distance(e->s, way.b));
    d = fmin(d, fmin(kw_segment_distance(way, e->s.a), kw_segment_distance(way, e->s.b)));
    if (e->s.radius > 0) {
        struct kw_vec2 along = kw_sub2(way.b, way.a);
        double l2 = kw_dot2(along, along);
        double t = l2 > 0 ? kw_dot2(kw_sub2(e->s.centre, way.a), along) / l2 : 0;
        struct kw_vec2 foot = kw_lerp2(way.a, way.b, fmin(fmax(t, 0), 1));
        d = fmin(d, kw_segment_distance(e->s, foot));
    }
    return d;
}

static struct kw_box2 wider(struct kw_box2 b, double by) {
    return (struct kw_box2){kw_sub2(b.min, kw_v2(by, by)), kw_add2(b.max, kw_v2(by, by))};
}

// Least distance from the way to any finished outline, at most `enough` looked for.
static double clearance(const struct cut_job *j, struct kw_segment way, double enough) {
    struct kw_box2 box = wider(cut_segment_box(way), enough);
    double best = enough;
    for (int i = 0; i < j->outline_count; i++) {
        const struct cut_outline *o = &j->outlines[i];
        if (cut_box_gap(o->box, box) > 0) continue;
        for (int k = 0; k < o->edge_count; k++)
            if (cut_box_gap(o->edges[k].box, box) <= 0)
                best = fmin(best, edge_gap(way, &o->edges[k]));
    }
    return best;
}

static bool in_metal(const struct cut_job *j, struct kw_vec2 p) {
    for (int i = 0; i < j->outline_count; i++) {
        const struct cut_outline *o = &j->outlines[i];
        struct kw_box2 at = {p, p};
        if (o->hole >= 0 || cut_box_gap(o->box, at) > 0) continue;
        if (kw_region_contains(&j->sheet->parts[o->part].region, p)) return true;
    }
    return false;
}

static bool on_sheet(const struct cut_job *j, struct kw_vec2 p) {
    return p.x >= 0 && p.y >= 0 && p.x <= j->sheet->width && p.y <= j->sheet->height;
}

static bool lead_clear(const struct cut_job *j, struct kw_vec2 pierce, struct kw_vec2 start) {
    if (!on_sheet(j, pierce) || in_metal(j, pierce)) return false;
    struct kw_segment way = kw_segment_make(pierce, start, 0);
    return clearance(j, way, 1.01 * j->half) >= j->half - CLEAR_SLACK;
}

static double spatter_cost(const struct cut_job *j, struct kw_vec2 pierce) {
    struct kw_segment point = kw_segment_make(pierce, pierce, 0);
    double enough = 3 * j->half;
    return COST_SPATTER * (1 - clearance(j, point, enough) / enough);
}

static bool avoided_tag(const struct cut_job *j, const struct cut_loop *l, int tag) {
    const struct kw_cut_part *p = &j->sheet->parts[l->part];
    for (int i = 0; i < p->avoid_count; i++)
        if (p->avoid[i] == tag) return true;
    return false;
}

// The arc about a corner belongs to both edges that meet there.
static bool avoided(const struct cut_job *j, const struct cut_loop *l, int segment) {
    int n = kw_path_segments(&l->line);
    if (j->sheet->parts[l->part].avoid_count == 0) return false;
    if (avoided_tag(j, l, l->line.v[segment].tag)) return true;
    if (fabs(kw_path_segment(&l->line, segment).radius - j->half) > 1e-6) return false;
    return avoided_tag(j, l, l->line.v[(segment + 1) % n].tag) ||
           avoided_tag(j, l, l->line.v[(segment + n - 1) % n].tag);
}

// Fills in the pierce of an entry whose start is set: the first direction and length that is clear.
static bool find_lead(const struct cut_job *j, const struct cut_loop *l, struct cut_entry *e,
                      struct kw_vec2 travel) {
    static const double slants[] = {45, 90, 65, 30, 20}, shares[] = {1, 0.7, 0.5, 0.35, 0.2, 0.1};
    bool hole = l->hole >= 0;
    struct kw_vec2 back = kw_scale2(travel, -1), scrap = kw_left2(travel);
    double wanted = j->rule->lead_in, least = hole ? LEAST_HOLE_LEAD : j->rule->kerf;
    // The part is on the right of the way, or on the left when the rule turns it round.
    if (j->rule->left_is_square) scrap = kw_scale2(scrap, -1);
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        double length = wanted * shares[i];
        if (i > 0 && length < least) break;
        for (size_t k = 0; k < sizeof slants / sizeof *slants; k++) {
            double a = slants[k] * KW_PI / 180;
            struct kw_vec2 d = kw_add2(kw_scale2(back, cos(a)), kw_scale2(scrap, sin(a)));
            e->pierce = kw_add2(e->start, kw_scale2(d, length));
            if (!lead_clear(j, e->pierce, e->start)) continue;
            e->cost += COST_SHORT * (1 - shares[i]) + (slants[k] == 90 ? COST_STEEP : 0);
            e->cost += wanted > 0 ? spatter_cost(j, e->pierce) : 0;
            return true;
        }
    }
    return false;
}

// Small holes are pierced in their middle.
static bool find_middle(const struct cut_job *j, const struct cut_loop *l, struct cut_entry *e) {
    struct kw_region r = {.outer = l->line};
    struct kw_vec2 middle = kw_region_centroid(&r);
    double length = kw_length2(kw_sub2(middle, e->start));
    if (length > 1.5 * j->rule->lead_in || !kw_path_contains(&l->line, middle)) return false;
    e->pierce = middle;
    return lead_clear(j, middle, e->start);
}

// The point `way` mm further along the loop than the entry's start.
static struct kw_vec2 along(const struct cut_loop *l, const struct cut_entry *e, double way) {
    int n = kw_path_segments(&l->line), i = e->segment;
    struct kw_segment s = kw_path_segment(&l->line, i);
    double length = kw_segment_length(s), at = e->part * length;
    for (int k = 0; k <= n && at + way > length; k++) {
        way -= length - at;
        at = 0;
        i = (i + 1) % n;
        s = kw_path_segment(&l->line, i);
        length = kw_segment_length(s);
    }
    return kw_segment_point(s, length > 0 ? fmin((at + way) / length, 1) : 0);
}

static void try_entry(struct cut_job *j, struct cut_loop *l, int segment, double part) {
    struct kw_segment s = kw_path_segment(&l->line, segment);
    int n = kw_path_segments(&l->line), before = segment > 0 ? segment - 1 : n - 1;
    struct cut_entry e = {.segment = segment, .part = part, .start = kw_segment_point(s, part)};
    struct kw_vec2 travel = kw_segment_direction(s, part);
    bool shun = avoided(j, l, segment);
    if (part == 0) {
        struct kw_vec2 come = kw_segment_direction(kw_path_segment(&l->line, before), 1);
        double turn = atan2(kw_cross2(come, travel), kw_dot2(come, travel));
        if (fabs(turn) > CUT_CORNER) return; // an inside corner
        shun = shun || avoided(j, l, before);
    }
    e.cost = (shun ? COST_AVOIDED : 0) + (part > 0 ? COST_MIDDLE : 0);
    bool found = l->hole >= 0 && j->rule->lead_in > 0 && find_middle(j, l, &e);
    if (!found && !find_lead(j, l, &e, travel)) return;
    double over = l->hole >= 0 ? fmin(j->rule->overburn, l->length / 2) : 0;
    e.end = over > 0 ? along(l, &e, over) : e.start;
    KW_PUSH(j->scratch, l->entries, l->entry_count) = e;
}

static void keep_best(struct cut_loop *l) {
    // Insertion sort by cost, ties as found; the lists are short.
    for (int i = 1; i < l->entry_count; i++) {
        struct cut_entry e = l->entries[i];
        int k = i;
        for (; k > 0 && l->entries[k - 1].cost > e.cost; k--)
            l->entries[k] = l->entries[k - 1];
        l->entries[k] = e;
    }
    if (l->entry_count > CUT_MOST_ENTRIES) l->entry_count = CUT_MOST_ENTRIES;
}

bool cut_entries(struct cut_job *j, struct cut_loop *l) {
    int n = kw_path_segments(&l->line), stride = n > 80 ? n / 40 : 1;
    for (int i = 0; i < n; i += stride) {
        try_entry(j, l, i, 0);
        try_entry(j, l, i, 0.5);
    }
    for (int i = 0; stride > 1 && l->entry_count == 0 && i < n; i++)
        try_entry(j, l, i, 0.5);
    keep_best(l);
    return l->entry_count > 0;
}
