// SPDX-License-Identifier: Apache-2.0
// What does each burn cut? A listed line (a mark, a cut in scrap) from end to end, or one outline
// at half a kerf, reached through scrap.
#include "verify/program_judge.h"
#include "verify/program_scene.h"

#include <math.h>
#include <string.h>

#define PI          3.14159265358979323846
#define MOST_OWNERS 4

// --------------------------------------------------------------------------------------- lines

static bool along_mark(const struct kw_judging *j, const struct kw_burn *b,
                       const struct kw_run_mark *m) {
    struct kw_piece line = {.a = {m->from[0], m->from[1]}, .b = {m->to[0], m->to[1]}};
    double length = hypot(m->to[0] - m->from[0], m->to[1] - m->from[1]), q[2];
    for (int i = 0; i < b->count; i++) {
        for (int k = 0; k <= 4; k++) {
            kw_piece_point(&j->cut.v[b->first + i], k / 4.0, q);
            if (kw_piece_distance(&line, q) > KW_CUT_SLACK) return false;
        }
    }
    return fabs(b->length - length) <= 2 * KW_CUT_SLACK;
}

// Gives the burns along each of the lines the outline `as`.
static void match_lines(struct kw_judging *j, const struct kw_run_mark *lines, int count, int as) {
    for (int i = 0; i < count; i++) {
        const struct kw_run_mark *m = &lines[i];
        int found = 0;
        for (int k = 0; k < j->burn_count; k++) {
            if (j->burns[k].outline != -1 || j->burns[k].count == 0) continue;
            if (!along_mark(j, &j->burns[k], m)) continue;
            j->burns[k].outline = as;
            found++;
        }
        if (found != 1)
            kw_fault(j->verdict, "sheet %s: the %s at (%.2f, %.2f) is cut %d times", j->sheet->id,
                     as == KW_BURN_MARK ? "mark" : "cut in scrap", m->from[0], m->from[1], found);
    }
}

// ------------------------------------------------------------------------------------ outlines

static bool on_line(const struct kw_judging *j, double d) {
    return fabs(d - j->half) <= KW_CUT_SLACK;
}

// No finished outline nearer than half a kerf, wherever the torch burns. Names the worst place.
static bool stays_off_parts(struct kw_judging *j, const struct kw_burn *b) {
    double worst = j->half - KW_CUT_SLACK, at[2] = {0, 0};
    int into = -1, line = 0;
    for (int i = 0; i < b->count; i++) {
        const struct kw_piece *p = &j->cut.v[b->first + i];
        int near = kw_grid_near(&j->shape_grid, p, j->half + 0.1, -1);
        int n = near > 0 ? (int)ceil(p->length / KW_CUT_SAMPLE) : 0;
        for (int k = 0; k <= n && n > 0; k++) {
            double q[2];
            int owner;
            kw_piece_point(p, (double)k / n, q);
            double d = kw_grid_distance(&j->shape_grid, near, q, &owner);
            if (!(d < worst - 1e-9)) continue;
            worst = d;
            into = owner;
            line = p->line;
            memcpy(at, q, sizeof at);
        }
    }
    if (into >= 0)
        kw_fault(j->verdict, "sheet %s: line %d: cuts %.2f mm into %s at (%.2f, %.2f)",
                 j->sheet->id, line, j->half - worst, kw_cut_outline_name(j, into), at[0], at[1]);
    return into < 0;
}

// Way along the burn from which it follows the outline without a break to its end.
static double follows_from(struct kw_judging *j, const struct kw_burn *b, int outline) {
    double q[2];
    for (int i = b->count - 1; i >= 0; i--) {
        const struct kw_piece *p = &j->cut.v[b->first + i];
        int near = kw_grid_near(&j->shape_grid, p, j->half + 0.1, outline);
        int n = (int)ceil(p->length / KW_CUT_SAMPLE);
        for (int k = n; k >= 0; k--) {
            kw_piece_point(p, (double)k / n, q);
            if (!on_line(j, kw_grid_distance(&j->shape_grid, near, q, NULL)))
                return p->s + p->length * fmin((double)(k + 1) / n, 1);
        }
    }
    return 0;
}

// The outlines on whose kerf line the burn ends.
static int owners_at_end(struct kw_judging *j, const double q[2], int owners[MOST_OWNERS]) {
    int near = kw_grid_near_point(&j->shape_grid, q, j->half + 0.1, -1), count = 0;
    for (int i = 0; i < near; i++) {
        const struct kw_piece *p = &j->shape.v[j->shape_grid.found[i]];
        if (!on_line(j, kw_piece_distance(p, q))) continue;
        bool known = false;
        for (int k = 0; k < count; k++)
            known = known || owners[k] == p->owner;
        if (!known && count < MOST_OWNERS) owners[count++] = p->owner;
    }
    return count;
}

static void burn_end(const struct kw_judging *j, const struct kw_burn *b, double q[2]) {
    kw_piece_point(&j->cut.v[b->first + b->count - 1], 1, q);
}

// Distance from q to the part of a burn before the way `until`.
static double distance_before(const struct kw_judging *j, const struct kw_burn *b, double until,
                              const double q[2]) {
    double best = INFINITY, at[2];
    for (int i = 0; i < b->count; i++) {
        const struct kw_piece *p = &j->cut.v[b->first + i];
        double part = (until - p->s) / p->length;
        if (part >= 1) best = fmin(best, kw_piece_distance(p, q));
        int n = part > 0 && part < 1 ? (int)ceil(part * p->length / KW_CUT_SAMPLE * 2) : -1;
        for (int k = 0; k <= n; k++) {
            kw_piece_point(p, part * k / n, at);
            best = fmin(best, hypot(at[0] - q[0], at[1] - q[1]));
        }
    }
    return best;
}

// The burn must come back to where it met the outline, or run on over its own start.
static void closes(struct kw_judging *j, const struct kw_burn *b, const struct kw_cut_outline *o) {
    // The way round at half a kerf in a hole is shorter than the hole.
    double loop = o->length - (o->hole < 0 ? 0 : 2 * PI * j->half), end[2];
    burn_end(j, b, end);
    double gap = distance_before(j, b, b->length - 0.45 * loop, end);
    if (gap <= KW_CUT_SLACK) return;
    kw_fault(j->verdict, "sheet %s: line %d: the cut of %s stops %.2f mm from where it began",
             j->sheet->id, j->cut.v[b->first + b->count - 1].line, o->part, gap);
}

static void own(struct kw_judging *j, int burn, int outline) {
    struct kw_burn *b = &j->burns[burn];
    struct kw_cut_outline *o = &j->outlines[outline];
    b->outline = outline;
    if (o->burns++ == 0) o->burn = burn;
    for (int i = 0; i < b->count; i++) {
        struct kw_piece *p = &j->cut.v[b->first + i];
        if (p->s + p->length > b->on) p->owner = outline;
    }
    if (b->on > KW_LONGEST_LEAD)
        kw_fault(j->verdict, "sheet %s: line %d: cuts %.1f mm of scrap before it reaches %s",
                 j->sheet->id, b->line, b->on, kw_cut_outline_name(j, outline));
    if (o->tabs == 0 && o->shared == 0) closes(j, b, o);
}

static void match_burn(struct kw_judging *j, int burn) {
    struct kw_burn *b = &j->burns[burn];
    int owners[MOST_OWNERS], best = -1;
    double end[2];
    if (b->count == 0 || b->outline == KW_BURN_MARK) return;
    int metal = kw_judging_metal(j, j->cut.v[b->first].a);
    if (metal >= 0) {
        kw_fault(j->verdict, "sheet %s: line %d: pierces %s", j->sheet->id, b->line,
                 j->outlines[metal].part);
        return;
    }
    bool clear = stays_off_parts(j, b);
    if (b->outline == KW_BURN_SCRAP) return;
    burn_end(j, b, end);
    int count = owners_at_end(j, end, owners);
    for (int i = 0; i < count; i++) {
        double from = follows_from(j, b, owners[i]);
        if (best >= 0 && !(from < b->on)) continue;
        best = owners[i];
        b->on = from;
    }
    if (best >= 0)
        own(j, burn, best);
    else if (clear)
        kw_fault(j->verdict, "sheet %s: line %d: a cut that follows no outline to its end",
                 j->sheet->id, b->line);
}

void kw_judge_burns(struct kw_judging *j) {
    match_lines(j, j->sheet->marks, j->sheet->mark_count, KW_BURN_MARK);
    match_lines(j, j->sheet->scrap_cuts, j->sheet->scrap_cut_count, KW_BURN_SCRAP);
    for (int i = 0; i < j->burn_count; i++)
        match_burn(j, i);
}
