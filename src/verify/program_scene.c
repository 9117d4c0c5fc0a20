// SPDX-License-Identifier: Apache-2.0
// What a program is judged against: the finished outlines where run.json places them.
#include "verify/program_scene.h"

#include <math.h>

#define TAKEN_SAMPLE 0.5 // mm along a burn between the places that are looked at
#define PI           3.14159265358979323846

const char *kw_cut_outline_name(struct kw_judging *j, int outline) {
    const struct kw_cut_outline *o = &j->outlines[outline];
    if (o->hole < 0) return kw_format(j->arena, "%s outside", o->part);
    return kw_format(j->arena, "%s hole %d", o->part, o->hole + 1);
}

// The placement rule of run.json: mirror x, turn, move. Quarter turns are exact.
static void place(const struct kw_run_placement *p, double x, double y, double to[2]) {
    double turns = p->rotation / 90, c = cos(p->rotation * PI / 180);
    double s = sin(p->rotation * PI / 180);
    if (turns == floor(turns)) {
        int quarter = (int)fmod(fmod(turns, 4) + 4, 4);
        c = quarter == 0 ? 1 : quarter == 2 ? -1 : 0;
        s = quarter == 1 ? 1 : quarter == 3 ? -1 : 0;
    }
    if (p->mirrored) x = -x;
    to[0] = x * c - y * s + p->x;
    to[1] = x * s + y * c + p->y;
}

// Centre and turn of the arc that a bulge describes.
static double arc_of(const double a[2], const double b[2], double bulge, double c[2]) {
    double dx = b[0] - a[0], dy = b[1] - a[1];
    // From the middle of the chord to its left, in chords: cot(turn / 2) / 2.
    double lift = (1 - bulge * bulge) / (4 * bulge);
    c[0] = (a[0] + b[0]) / 2 - lift * dy;
    c[1] = (a[1] + b[1]) / 2 + lift * dx;
    return 4 * atan(bulge);
}

static double area_under(const struct kw_piece *p) {
    double area = (p->a[0] * p->b[1] - p->b[0] * p->a[1]) / 2;
    return area + (p->r > 0 ? p->r * p->r * (p->turn - sin(p->turn)) / 2 : 0);
}

static void find_box(const struct kw_judging *j, struct kw_cut_outline *o) {
    o->box[0] = o->box[1] = INFINITY;
    o->box[2] = o->box[3] = -INFINITY;
    for (int i = 0; i < o->count; i++) {
        const struct kw_piece *p = &j->shape.v[o->first + i];
        double more = p->r > 0 ? 0.3 * p->r : 0;
        for (int k = 0; k < 2; k++) {
            o->box[k] = fmin(o->box[k], fmin(p->a[k], p->b[k]) - more);
            o->box[2 + k] = fmax(o->box[2 + k], fmax(p->a[k], p->b[k]) + more);
        }
    }
}

double kw_judging_add(struct kw_judging *j, struct kw_pieces *to, const struct kw_run_placement *p,
                      const struct kw_run_vertex *v, const struct kw_run_vertex *w,
                      struct kw_piece like) {
    double a[2], b[2], c[2] = {0, 0}, turn = 0;
    place(p, v->x, v->y, a);
    place(p, w->x, w->y, b);
    double bulge = p->mirrored ? -v->bulge : v->bulge;
    if (bulge != 0) turn = arc_of(a, b, bulge, c);
    return kw_pieces_add(j->arena, to, a, b, c, turn, like);
}

static void add_outline(struct kw_judging *j, const struct kw_run_outline *from,
                        struct kw_cut_outline like, const struct kw_run_placement *p) {
    struct kw_cut_outline o = like;
    double area = 0;
    o.first = j->shape.count;
    o.burn = -1;
    for (int i = 0; i < from->count; i++) {
        struct kw_piece piece = {.s = o.length, .owner = j->outline_count};
        o.length =
            kw_judging_add(j, &j->shape, p, &from->v[i], &from->v[(i + 1) % from->count], piece);
    }
    o.count = j->shape.count - o.first;
    for (int i = 0; i < o.count; i++)
        area += area_under(&j->shape.v[o.first + i]);
    // Scrap is outside the outer outline and inside a hole, whichever way they run.
    o.out = (area > 0) == (o.hole < 0) ? 1 : -1;
    find_box(j, &o);
    KW_PUSH(j->arena, j->outlines, j->outline_count) = o;
}

static void add_tabs(struct kw_judging *j) {
    for (int i = 0; i < j->sheet->tab_count; i++) {
        int owner;
        int n = kw_grid_near_point(&j->shape_grid, j->sheet->tabs[i].at, j->half + 0.5, -1);
        kw_grid_distance(&j->shape_grid, n, j->sheet->tabs[i].at, &owner);
        if (owner >= 0)
            j->outlines[owner].tabs++;
        else
            kw_fault(j->verdict, "sheet %s: a tab at (%.2f, %.2f) on no outline", j->sheet->id,
                     j->sheet->tabs[i].at[0], j->sheet->tabs[i].at[1]);
    }
}

void kw_judging_place(struct kw_judging *j, const struct kw_run_file *run) {
    for (int i = 0; i < j->sheet->placement_count; i++) {
        const struct kw_run_placement *p = &j->sheet->placements[i];
        int found = kw_run_find_blank(run, p->part, p->hand);
        if (found < 0) {
            kw_fault(j->verdict, "sheet %s: %s#%d is no known blank", j->sheet->id, p->part,
                     p->copy);
            continue;
        }
        const struct kw_run_blank *b = &run->blanks[found];
        const char *name =
            kw_format(j->arena, "%s%s%s#%d", p->part, *p->hand ? " " : "", p->hand, p->copy);
        struct kw_cut_outline like = {.part = name, .placement = i, .hole = -1};
        add_outline(j, &b->outer, like, p);
        for (like.hole = 0; like.hole < b->hole_count; like.hole++)
            add_outline(j, &b->holes[like.hole], like, p);
    }
    kw_grid_make(j->arena, &j->shape_grid, &j->shape);
    add_tabs(j);
}

// Whether q lies between an arc and its chord.
static bool in_cap(const struct kw_piece *p, const double q[2]) {
    double side = (p->b[0] - p->a[0]) * (q[1] - p->a[1]) - (p->b[1] - p->a[1]) * (q[0] - p->a[0]);
    if (!(p->r > 0) || (side < 0) != (p->turn > 0)) return false;
    return hypot(q[0] - p->c[0], q[1] - p->c[1]) < p->r;
}

static bool pieces_hold(const struct kw_piece *v, int count, const double q[2]) {
    bool inside = false;
    for (int i = 0; i < count; i++) {
        const struct kw_piece *p = &v[i];
        if ((p->a[1] > q[1]) != (p->b[1] > q[1])) {
            double x = p->a[0] + (q[1] - p->a[1]) / (p->b[1] - p->a[1]) * (p->b[0] - p->a[0]);
            if (x > q[0]) inside = !inside;
        }
        if (in_cap(p, q)) inside = !inside;
    }
    return inside;
}

bool kw_cut_outline_holds(const struct kw_judging *j, int outline, const double q[2]) {
    const struct kw_cut_outline *o = &j->outlines[outline];
    if (q[0] < o->box[0] || q[1] < o->box[1] || q[0] > o->box[2] || q[1] > o->box[3]) return false;
    return pieces_hold(&j->shape.v[o->first], o->count, q);
}

int kw_judging_metal(const struct kw_judging *j, const double q[2]) {
    for (int i = 0; i < j->outline_count; i++) {
        if (j->outlines[i].hole >= 0 || !kw_cut_outline_holds(j, i, q)) continue;
        bool hole = false;
        for (int k = i + 1; k < j->outline_count && j->outlines[k].hole >= 0; k++)
            hole = hole || kw_cut_outline_holds(j, k, q);
        if (!hole) return i;
    }
    return -1;
}

void kw_judging_sheet(struct kw_judging *j) {
    const struct kw_run_outline *o = &j->sheet->outline;
    double s = 0;
    for (int i = 0; i < o->count; i++) {
        const struct kw_run_vertex *v = &o->v[i], *w = &o->v[(i + 1) % o->count];
        double a[2] = {v->x, v->y}, b[2] = {w->x, w->y}, c[2] = {0, 0};
        double turn = v->bulge != 0 ? arc_of(a, b, v->bulge, c) : 0;
        s = kw_pieces_add(j->arena, &j->edge, a, b, c, turn, (struct kw_piece){.s = s});
    }
    kw_grid_make(j->arena, &j->edge_grid, &j->edge);
}

bool kw_judging_on_sheet(struct kw_judging *j, const double q[2]) {
    // The edge itself is still the sheet: within a thousandth of a millimetre.
    if (pieces_hold(j->edge.v, j->edge.count, q)) return true;
    int n = kw_grid_near_point(&j->edge_grid, q, 0.01, -1);
    return kw_grid_distance(&j->edge_grid, n, q, NULL) <= 0.001;
}

// ------------------------------------------------------------------- what an earlier run placed

static void add_other(struct kw_judging *j, struct kw_pieces *to, const struct kw_run_outline *o,
                      int which) {
    for (int i = 0; i < o->count; i++) {
        const struct kw_run_vertex *v = &o->v[i], *w = &o->v[(i + 1) % o->count];
        double a[2] = {v->x, v->y}, b[2] = {w->x, w->y}, c[2] = {0, 0}, turn = 0;
        if (v->bulge != 0) turn = arc_of(a, b, v->bulge, c);
        kw_pieces_add(j->arena, to, a, b, c, turn, (struct kw_piece){.owner = which});
    }
}

// Whether the cut comes nearer than half a kerf to the edge of one of them, or into it.
static bool burns_into(struct kw_judging *j, struct kw_grid *grid, const struct kw_pieces *others,
                       const struct kw_piece *p) {
    int n = (int)ceil(p->length / TAKEN_SAMPLE) + 1;
    for (int k = 0; k <= n; k++) {
        double at[2];
        kw_piece_point(p, (double)k / n, at);
        int near = kw_grid_near_point(grid, at, j->half, -1);
        if (kw_grid_distance(grid, near, at, NULL) < j->half - KW_CUT_SLACK) return true;
        for (int first = 0, end; k == 0 && first < others->count; first = end) {
            for (end = first;
                 end < others->count && others->v[end].owner == others->v[first].owner;)
                end++;
            if (pieces_hold(&others->v[first], end - first, at)) return true;
        }
    }
    return false;
}

static void judge_others(struct kw_judging *j, const struct kw_run_outline *v, int count,
                         const char *what) {
    struct kw_pieces others = {0};
    struct kw_grid grid;
    for (int i = 0; i < count; i++)
        add_other(j, &others, &v[i], i);
    if (others.count == 0) return;
    kw_grid_make(j->arena, &grid, &others);
    for (int i = 0; i < j->cut.count; i++) {
        const struct kw_piece *p = &j->cut.v[i];
        if (!burns_into(j, &grid, &others, p)) continue;
        kw_fault(j->verdict, "sheet %s: line %d: cuts %s", j->sheet->id, p->line, what);
    }
}

void kw_judging_others(struct kw_judging *j) {
    const struct kw_run_sheet *s = j->sheet;
    judge_others(j, s->taken, s->taken_count, "what an earlier run placed");
    judge_others(j, s->keep_out, s->keep_out_count, "where a clamp holds or the sheet is spoiled");
}
