// SPDX-License-Identifier: Apache-2.0
// From finished outlines to kerf lines.
#include "cut/job.h"

#include <math.h>

// Outlines of two parts may come this much nearer than a kerf: rounding of placements.
#define NEAR_SLACK 0.02
#define EDGE_SLACK 1e-3

struct kw_box2 cut_segment_box(struct kw_segment s) {
    struct kw_box2 b = {{fmin(s.a.x, s.b.x), fmin(s.a.y, s.b.y)},
                        {fmax(s.a.x, s.b.x), fmax(s.a.y, s.b.y)}};
    // An arc goes no further from its chord than the bulge says: |bulge| * chord / 2.
    double more = fabs(s.bulge) * kw_length2(kw_sub2(s.b, s.a)) / 2;
    b.min = kw_sub2(b.min, kw_v2(more, more));
    b.max = kw_add2(b.max, kw_v2(more, more));
    return b;
}

double cut_box_gap(struct kw_box2 a, struct kw_box2 b) {
    double x = fmax(a.min.x - b.max.x, b.min.x - a.max.x);
    return fmax(x, fmax(a.min.y - b.max.y, b.min.y - a.max.y));
}

void cut_problem(struct cut_job *j, struct kw_cut_problem p) {
    if (p.unwritable) {
        j->bad[p.part] = true;
        j->plan->writable = false;
    }
    KW_PUSH(j->arena, j->plan->problems, j->plan->problem_count) = p;
}

static double smaller_side(struct kw_box2 b) {
    return fmin(b.max.x - b.min.x, b.max.y - b.min.y);
}

static void add_outline(struct cut_job *j, const struct kw_path *p, int part, int hole) {
    struct cut_outline o = {.path = p, .part = part, .hole = hole, .box = kw_path_box(p)};
    o.edge_count = kw_path_segments(p);
    o.edges = KW_NEW_ARRAY(j->scratch, struct cut_edge, o.edge_count);
    for (int i = 0; i < o.edge_count; i++) {
        o.edges[i].s = kw_path_segment(p, i);
        o.edges[i].box = cut_segment_box(o.edges[i].s);
    }
    KW_PUSH(j->scratch, j->outlines, j->outline_count) = o;
}

// A circle of this diameter or a long slot of this width has the outline's area and length.
static double inner_width(const struct cut_outline *o) {
    double round = 4 * fabs(kw_path_area(o->path)) / kw_path_length(o->path);
    return fmin(round, smaller_side(o->box));
}

static void check_small(struct cut_job *j, const struct cut_outline *o) {
    double side = smaller_side(o->box);
    if (o->hole < 0 || !(side < j->rule->least_hole)) return;
    cut_problem(j, (struct kw_cut_problem){.kind = KW_CUT_HOLE_SMALL,
                                           .part = o->part,
                                           .hole = o->hole,
                                           .at = kw_lerp2(o->box.min, o->box.max, 0.5),
                                           .measured = side,
                                           .limit = j->rule->least_hole});
}

static void add_loop(struct cut_job *j, const struct cut_outline *o, const struct kw_path *line) {
    // The right side of the torch's way is the square one unless the rule says otherwise: the part
    // lies there when outlines run clockwise and holes counter-clockwise (trade operating manual,
    // name withheld).
    bool ccw = (o->hole >= 0) != j->rule->left_is_square;
    struct cut_loop l = {.part = o->part, .hole = o->hole};
    l.line = kw_path_oriented(j->scratch, line, ccw);
    l.length = kw_path_length(line);
    l.slow = o->hole >= 0 && smaller_side(o->box) < j->rule->hole_feed_below;
    KW_PUSH(j->scratch, j->loops, j->loop_count) = l;
}

// How far the cut runs beyond the sheet's edge, at most 0 where it stays on the sheet.
static double beyond_edge(const struct cut_job *j, const struct cut_outline *o,
                          const struct kw_path *line) {
    const struct kw_path *sheet = j->sheet->outline;
    if (sheet) {
        struct kw_vec2 at = {o->path->v[0].x, o->path->v[0].y};
        double gap = kw_path_gap(o->path, sheet);
        return j->half - (kw_path_contains(sheet, at) ? gap : -gap);
    }
    struct kw_box2 b = kw_path_box(line), s = {{0, 0}, {j->sheet->width, j->sheet->height}};
    return fmax(fmax(s.min.x - b.min.x, s.min.y - b.min.y),
                fmax(b.max.x - s.max.x, b.max.y - s.max.y));
}

static void check_edge(struct cut_job *j, const struct cut_outline *o, const struct kw_path *line) {
    double out = beyond_edge(j, o, line);
    if (out <= EDGE_SLACK) return;
    cut_problem(j, (struct kw_cut_problem){.kind = KW_CUT_TOO_NEAR,
                                           .unwritable = true,
                                           .part = o->part,
                                           .hole = o->hole,
                                           .at = kw_lerp2(o->box.min, o->box.max, 0.5),
                                           .measured = j->half - out,
                                           .limit = j->half});
}

static void take_outline(struct cut_job *j, const struct cut_outline *o) {
    int count = 0, largest = 0;
    const struct kw_path *turned = o->path;
    struct kw_path right = kw_path_oriented(j->scratch, turned, o->hole < 0);
    struct kw_path *lines = kw_path_offset(j->scratch, &right, -j->half, &count);
    check_small(j, o);
    if (count == 0) {
        cut_problem(j, (struct kw_cut_problem){.kind = KW_CUT_HOLE_CLOSES,
                                               .unwritable = true,
                                               .part = o->part,
                                               .hole = o->hole,
                                               .at = kw_lerp2(o->box.min, o->box.max, 0.5),
                                               .measured = inner_width(o),
                                               .limit = j->rule->kerf});
        return;
    }
    for (int i = 1; i < count; i++)
        if (fabs(kw_path_area(&lines[i])) > fabs(kw_path_area(&lines[largest]))) largest = i;
    cut_narrow(j, o, lines, count);
    check_edge(j, o, &lines[largest]);
    add_loop(j, o, &lines[largest]);
}

// Two outlines of different parts nearer than a kerf: the cut of one would enter the other.
static void check_gaps(struct cut_job *j) {
    for (int i = 0; i < j->outline_count; i++) {
        for (int k = i + 1; k < j->outline_count; k++) {
            const struct cut_outline *a = &j->outlines[i], *b = &j->outlines[k];
            double limit = j->rule->kerf - NEAR_SLACK;
            if (a->part == b->part || cut_box_gap(a->box, b->box) >= limit) continue;
            double gap = kw_path_gap(a->path, b->path);
            if (gap >= limit) continue;
            cut_problem(j, (struct kw_cut_problem){.kind = KW_CUT_TOO_NEAR,
                                                   .unwritable = true,
                                                   .part = b->part,
                                                   .hole = b->hole,
                                                   .at = kw_lerp2(b->box.min, b->box.max, 0.5),
                                                   .measured = gap,
                                                   .limit = j->rule->kerf});
        }
    }
}

void cut_contours(struct cut_job *j) {
    for (int i = 0; i < j->sheet->part_count; i++) {
        const struct kw_region *r = &j->sheet->parts[i].region;
        add_outline(j, &r->outer, i, -1);
        for (int h = 0; h < r->hole_count; h++)
            add_outline(j, &r->holes[h], i, h);
    }
    for (int i = 0; i < j->outline_count; i++)
        take_outline(j, &j->outlines[i]);
    check_gaps(j);
}
