// SPDX-License-Identifier: Apache-2.0
// Where may a contour begin, and from where in the scrap? Lead-ins, straight or a quarter circle,
// that stay half a kerf off every finished outline, on the sheet, out of the clamps, and never
// start in a part.
#include "cut/job.h"

#include <math.h>

#define LEAST_HOLE_LEAD 0.2 // mm: below it nothing is gained over piercing on the line
#define CLEAR_SLACK     1e-6
#define GAP_SLACK       0.1 // mm: the torch stays that far beside a gap
// What a worse kind of start is worth in mm of travel.
#define COST_AVOIDED 2000.0
#define COST_SHORT   40.0 // a lead-in of no length; less in proportion
#define COST_STEEP   5.0  // square to the contour instead of slanting in
#define COST_SPATTER 60.0 // pierced nearer to an outline than a kerf and a half
#define COST_CORNER  30.0 // within a lead-in of a corner, where nibs and heat do most harm
#define ARC_CHORDS   12
#define PLACES       12 // stretches of a contour, of each of which the best entries are kept
#define EACH_PLACE   2

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

// Whose outlines are meant.
enum whose { ANY, OWN, OTHERS };

// Least distance from the way to those finished outlines, at most `enough` looked for.
static double clearance(const struct cut_job *j, const struct cut_loop *l, enum whose whose,
                        struct kw_segment way, double enough) {
    struct kw_box2 box = wider(cut_segment_box(way), enough);
    double best = enough;
    for (int i = 0; i < j->near_count; i++) {
        const struct cut_outline *o = &j->outlines[j->near[i]];
        bool own = o->part == l->part && o->hole == l->hole;
        if ((whose != ANY && own != (whose == OWN)) || cut_box_gap(o->box, box) > 0) continue;
        for (int k = 0; k < o->edge_count; k++)
            if (cut_box_gap(o->edges[k].box, box) <= 0)
                best = fmin(best, edge_gap(way, &o->edges[k]));
    }
    return best;
}

static bool in_metal(const struct cut_job *j, struct kw_vec2 p) {
    for (int i = 0; i < j->near_count; i++) {
        const struct cut_outline *o = &j->outlines[j->near[i]];
        struct kw_box2 at = {p, p};
        if (o->hole >= 0 || cut_box_gap(o->box, at) > 0) continue;
        if (kw_region_contains(&j->sheet->parts[o->part].region, p)) return true;
    }
    return false;
}

static bool on_sheet(const struct cut_job *j, struct kw_vec2 p) {
    if (j->sheet->outline) return kw_path_contains(j->sheet->outline, p);
    return p.x >= 0 && p.y >= 0 && p.x <= j->sheet->width && p.y <= j->sheet->height;
}

// The part of a straight way whose coordinate lies between low and high.
static void clip(double from, double to, double low, double high, double span[2]) {
    double d = to - from;
    if (d == 0) {
        if (from < low || from > high) span[1] = -1;
        return;
    }
    double a = (low - from) / d, b = (high - from) / d;
    span[0] = fmax(span[0], fmin(a, b));
    span[1] = fmin(span[1], fmax(a, b));
}

bool cut_over_clamp(const struct cut_job *j, struct kw_vec2 a, struct kw_vec2 b) {
    for (int i = 0; i < j->sheet->clamp_count; i++) {
        struct kw_box2 box = wider(j->sheet->clamps[i], j->half);
        double span[2] = {0, 1};
        clip(a.x, b.x, box.min.x, box.max.x, span);
        clip(a.y, b.y, box.min.y, box.max.y, span);
        if (span[0] <= span[1]) return true;
    }
    return false;
}

// An arc is looked at as chords, which it leaves by less than a hundredth of its radius. Half a
// kerf off the own outline; off others so far that the torch is not over their kerf, which may be a
// gap by then, if j->off_gaps.
static bool lead_clear(const struct cut_job *j, const struct cut_loop *l, struct kw_vec2 pierce,
                       struct kw_vec2 start, double bulge) {
    double off = j->off_gaps ? 2 * j->half + GAP_SLACK : j->half;
    if (!on_sheet(j, pierce) || in_metal(j, pierce)) return false;
    struct kw_segment way = kw_segment_make(pierce, start, bulge);
    int n = bulge != 0 ? ARC_CHORDS : 1;
    for (int i = 0; i < n; i++) {
        struct kw_vec2 a = kw_segment_point(way, (double)i / n);
        struct kw_vec2 b = i + 1 < n ? kw_segment_point(way, (i + 1.0) / n) : start;
        if (!on_sheet(j, kw_lerp2(a, b, 0.5)) || cut_over_clamp(j, a, b)) return false;
        struct kw_segment chord = kw_segment_make(a, b, 0);
        if (clearance(j, l, OWN, chord, 1.01 * j->half) < j->half - CLEAR_SLACK) return false;
        if (clearance(j, l, OTHERS, chord, 1.01 * off) < off - CLEAR_SLACK) return false;
    }
    return true;
}

static double spatter_cost(const struct cut_job *j, const struct cut_loop *l,
                           struct kw_vec2 pierce) {
    struct kw_segment point = kw_segment_make(pierce, pierce, 0);
    double enough = 3 * j->half;
    return COST_SPATTER * (1 - clearance(j, l, ANY, point, enough) / enough);
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
    if (fabs(l->segments[segment].radius - j->half) > 1e-6) return false;
    return avoided_tag(j, l, l->line.v[(segment + 1) % n].tag) ||
           avoided_tag(j, l, l->line.v[(segment + n - 1) % n].tag);
}

// Fills in the pierce of an entry whose start is set: the first direction and length that is clear.
static bool find_lead(const struct cut_job *j, const struct cut_loop *l, struct cut_entry *e,
                      struct kw_vec2 travel) {
    static const double slants[] = {45, 90, 65, 30, 20}, shares[] = {1, 0.7, 0.5, 0.35, 0.2, 0.1};
    // A held part's lead-ins come in square: slanting from behind they would thin the tab there.
    bool hole = l->hole >= 0, held = !hole && j->sheet->parts[l->part].tab_width > 0;
    struct kw_vec2 back = kw_scale2(travel, -1), scrap = kw_left2(travel);
    double wanted = j->rule->lead_in, least = hole ? LEAST_HOLE_LEAD : j->rule->kerf;
    // The part is on the right of the way, or on the left when the rule turns it round.
    if (j->rule->left_is_square) scrap = kw_scale2(scrap, -1);
    double arc = (j->rule->left_is_square ? -1 : 1) * tan(KW_PI / 8);
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        double length = wanted * shares[i], r = length * sqrt(0.5);
        if (i > 0 && length < least) break;
        e->pierce = kw_add2(e->start, kw_add2(kw_scale2(back, r), kw_scale2(scrap, r)));
        if (j->rule->lead_arc && !held && lead_clear(j, l, e->pierce, e->start, arc)) {
            e->bulge = arc;
            e->cost += COST_SHORT * (1 - shares[i]) + spatter_cost(j, l, e->pierce);
            return true;
        }
        for (size_t k = 0; k < sizeof slants / sizeof *slants; k++) {
            double a = slants[k] * KW_PI / 180;
            if (held && slants[k] != 90) continue;
            struct kw_vec2 d = kw_add2(kw_scale2(back, cos(a)), kw_scale2(scrap, sin(a)));
            e->pierce = kw_add2(e->start, kw_scale2(d, length));
            if (!lead_clear(j, l, e->pierce, e->start, 0)) continue;
            e->cost += COST_SHORT * (1 - shares[i]) + (slants[k] == 90 ? COST_STEEP : 0);
            e->cost += wanted > 0 ? spatter_cost(j, l, e->pierce) : 0;
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
    return lead_clear(j, l, middle, e->start, 0);
}

void cut_walk(const struct cut_loop *l, struct cut_entry *e, double way) {
    int n = kw_path_segments(&l->line);
    struct kw_segment s = l->segments[e->segment];
    double length = kw_segment_length(s), at = e->part * length;
    for (int k = 0; k <= n && at + way > length; k++) {
        way -= length - at;
        at = 0;
        e->segment = (e->segment + 1) % n;
        s = l->segments[e->segment];
        length = kw_segment_length(s);
    }
    e->part = length > 0 ? fmin((at + way) / length, 1) : 0;
    e->start = kw_segment_point(s, e->part);
}

static double turn_into(const struct cut_loop *l, int segment) {
    int n = kw_path_segments(&l->line);
    struct kw_vec2 d = kw_segment_direction(l->segments[(segment + n - 1) % n], 1);
    struct kw_vec2 e = kw_segment_direction(l->segments[segment], 0);
    return fabs(atan2(kw_cross2(d, e), kw_dot2(d, e)));
}

// About a corner of the outline the kerf line is an arc of half a kerf; an inside corner is sharp.
static bool at_corner(const struct cut_job *j, const struct cut_loop *l, int segment, double part) {
    int n = kw_path_segments(&l->line);
    struct kw_segment s = l->segments[segment];
    double length = kw_segment_length(s), near = j->rule->lead_in;
    if (s.radius > 0 && s.radius <= 1.01 * j->half) return true;
    struct kw_segment before = l->segments[(segment + n - 1) % n];
    struct kw_segment after = l->segments[(segment + 1) % n];
    bool starts = turn_into(l, segment) > CUT_CORNER ||
                  (before.radius > 0 && before.radius <= 1.01 * j->half);
    bool ends = turn_into(l, (segment + 1) % n) > CUT_CORNER ||
                (after.radius > 0 && after.radius <= 1.01 * j->half);
    return (starts && part * length < near) || (ends && (1 - part) * length < near);
}

static void try_entry(struct cut_job *j, struct cut_loop *l, int segment, double part) {
    struct kw_segment s = l->segments[segment];
    int n = kw_path_segments(&l->line), before = segment > 0 ? segment - 1 : n - 1;
    struct cut_entry e = {.segment = segment, .part = part, .start = kw_segment_point(s, part)};
    struct kw_vec2 travel = kw_segment_direction(s, part);
    bool shun = avoided(j, l, segment);
    if (part == 0) {
        if (turn_into(l, segment) > CUT_CORNER) return; // an inside corner
        shun = shun || avoided(j, l, before);
    }
    bool found = l->hole >= 0 && j->rule->lead_in > 0 && find_middle(j, l, &e);
    e.cost += (shun ? COST_AVOIDED : 0) + (at_corner(j, l, segment, part) ? COST_CORNER : 0);
    if (!found && !find_lead(j, l, &e, travel)) return;
    double over = l->hole >= 0 ? fmin(j->rule->overburn, l->length / 2) : 0;
    struct cut_entry end = e;
    cut_walk(l, &end, over);
    e.end = over > 0 ? end.start : e.start;
    KW_PUSH(j->scratch, l->entries, l->entry_count) = e;
}

// At the ends of a segment, in its middle, and, where it is long, just clear of its corners.
static void try_segment(struct cut_job *j, struct cut_loop *l, int segment) {
    double length = kw_segment_length(l->segments[segment]);
    double clear = 1.05 * j->rule->lead_in / length;
    try_entry(j, l, segment, 0);
    try_entry(j, l, segment, 0.5);
    if (!(clear < 0.25)) return;
    try_entry(j, l, segment, clear);
    try_entry(j, l, segment, 1 - clear);
}

static double way_to(const struct cut_loop *l, const struct cut_entry *e) {
    double sum = e->part * kw_segment_length(l->segments[e->segment]);
    for (int i = 0; i < e->segment; i++)
        sum += kw_segment_length(l->segments[i]);
    return sum;
}

static bool earlier(const struct cut_entry *a, const struct cut_entry *b) {
    return a->segment != b->segment ? a->segment < b->segment : a->part < b->part;
}

// The best entries of each stretch of the contour: it can be begun from all sides.
static void keep_best(struct cut_loop *l) {
    struct cut_entry kept[PLACES * EACH_PLACE];
    int in_place[PLACES] = {0}, count = 0;
    // Insertion sort by cost, ties along the contour; the lists are short.
    for (int i = 1; i < l->entry_count; i++) {
        struct cut_entry e = l->entries[i];
        int k = i;
        for (; k > 0 && (l->entries[k - 1].cost > e.cost ||
                         (l->entries[k - 1].cost == e.cost && earlier(&e, &l->entries[k - 1])));
             k--)
            l->entries[k] = l->entries[k - 1];
        l->entries[k] = e;
    }
    for (int i = 0; i < l->entry_count; i++) {
        const struct cut_entry *e = &l->entries[i];
        int place = (int)fmin(PLACES * way_to(l, e) / l->length, PLACES - 1);
        if (in_place[place]++ < EACH_PLACE) kept[count++] = *e;
    }
    for (int i = 0; i < count; i++)
        l->entries[i] = kept[i];
    l->entry_count = count;
}

// The outlines that a lead-in of this loop can come near.
static void find_near(struct cut_job *j, const struct cut_loop *l) {
    double reach = 1.5 * j->rule->lead_in + 3 * j->half;
    struct kw_box2 box = wider(kw_path_box(&l->line), reach);
    if (!j->near) j->near = KW_NEW_ARRAY(j->scratch, int, j->outline_count + 1);
    j->near_count = 0;
    for (int i = 0; i < j->outline_count; i++)
        if (cut_box_gap(j->outlines[i].box, box) <= 0) j->near[j->near_count++] = i;
}

static void try_all(struct cut_job *j, struct cut_loop *l) {
    int n = kw_path_segments(&l->line), stride = n > 80 ? n / 40 : 1;
    for (int i = 0; i < n; i += stride)
        try_segment(j, l, i);
    for (int i = 0; stride > 1 && l->entry_count == 0 && i < n; i++)
        try_entry(j, l, i, 0.5);
}

bool cut_entries(struct cut_job *j, struct cut_loop *l) {
    int n = kw_path_segments(&l->line);
    find_near(j, l);
    l->segments = KW_NEW_ARRAY(j->scratch, struct kw_segment, n);
    for (int i = 0; i < n; i++)
        l->segments[i] = kw_path_segment(&l->line, i);
    j->off_gaps = true;
    try_all(j, l);
    j->off_gaps = false;
    if (l->entry_count == 0) try_all(j, l);
    keep_best(l);
    return l->entry_count > 0;
}

bool cut_edge_matters(const struct cut_job *j, const struct cut_loop *l, int segment) {
    return avoided(j, l, segment);
}

bool cut_near_corner(const struct cut_job *j, const struct cut_loop *l, int segment, double part) {
    return at_corner(j, l, segment, part);
}

void cut_lead_at(struct cut_job *j, const struct cut_loop *l, struct cut_entry *e) {
    struct kw_vec2 travel = kw_segment_direction(l->segments[e->segment], e->part);
    find_near(j, l);
    for (int off_gaps = 1; off_gaps >= 0; off_gaps--) {
        e->bulge = 0;
        j->off_gaps = off_gaps;
        if (find_lead(j, l, e, travel)) return;
    }
    e->pierce = e->start;
    e->bulge = 0;
}
