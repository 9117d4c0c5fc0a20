// SPDX-License-Identifier: Apache-2.0
// The judge of torch programs. A program is read by the rules of RS-274, every time the torch burns
// is matched with one placed outline (or a listed mark), and every outline with one burn.
#include "verify/program_judge.h"

#include "verify/program_scene.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

#define PROGRAM_MOST ((size_t)64 << 20)
#define LONGEST_LEAD 60.0 ///< mm; more cut in scrap than this is no lead-in
#define TOTALS_SLACK 0.005
#define PI           3.14159265358979323846
#define MOST_OWNERS  4
#define TAB_LEAST    0.8  ///< of its width, on a bent edge
#define MARK         (-2) ///< what a burn cuts that is no outline
#define SCRAP        (-3)
#define FEED_SLACK   0.05 ///< mm/s: rounded to a tenth of a unit a minute

struct totals { // what run.json says of a program
    double cut_length;
    int pierces;
    bool known;
    const char *torch_on, *torch_off; // NULL: the usual words
    const char **lines;               // of the shop's own
    int line_count;
    double feed, hole_feed, hole_feed_below; // mm/s, share of it, mm; 0: not said
};

// ------------------------------------------------------------------------------------ run.json's
// words

static void read_lines(struct kw_arena *a, json_t *list, struct totals *t) {
    json_t *line;
    size_t i;
    json_array_foreach(list, i, line) {
        const char *s = json_string_value(line);
        if (s) KW_PUSH(a, t->lines, t->line_count) = kw_copy_text(a, s, strlen(s));
    }
}

// The few keys of a sheet that only this judge needs.
static struct totals read_totals(struct kw_arena *a, const char *text, size_t length,
                                 const char *id) {
    struct totals t = {0};
    json_t *root = json_loadb(text, length, 0, NULL), *sheet;
    size_t i;
    json_array_foreach(json_object_get(root, "sheets"), i, sheet) {
        const char *name = json_string_value(json_object_get(sheet, "id"));
        if (!name || strcmp(name, id) != 0) continue;
        json_t *cut = json_object_get(sheet, "cut_length");
        json_t *pierces = json_object_get(sheet, "pierces");
        json_t *controller = json_object_get(sheet, "controller");
        const char *on = json_string_value(json_object_get(controller, "torch_on"));
        const char *off = json_string_value(json_object_get(controller, "torch_off"));
        t.known = json_is_number(cut) && json_is_integer(pierces);
        t.cut_length = json_number_value(cut);
        t.pierces = (int)json_integer_value(pierces);
        t.torch_on = on ? kw_copy_text(a, on, strlen(on)) : NULL;
        read_lines(a, json_object_get(controller, "lines"), &t);
        t.feed = json_number_value(json_object_get(sheet, "feed"));
        t.hole_feed = json_number_value(json_object_get(sheet, "hole_feed"));
        t.hole_feed_below = json_number_value(json_object_get(sheet, "hole_feed_below"));
        t.torch_off = off ? kw_copy_text(a, off, strlen(off)) : NULL;
        break;
    }
    json_decref(root);
    return t;
}

// ------------------------------------------------------------------------------------------- burns

static void add_burn_move(struct kw_judging *j, const struct kw_rs274_move *m) {
    if (m->burn >= j->burn_count) {
        struct kw_burn fresh = {.first = j->cut.count, .line = m->line, .outline = -1};
        while (j->burn_count <= m->burn)
            KW_PUSH(j->arena, j->burns, j->burn_count) = fresh;
    }
    struct kw_burn *b = &j->burns[m->burn];
    double turn = m->motion >= KW_RS274_CW ? m->sweep : 0;
    if (!(kw_rs274_length(m) > 0)) return;
    struct kw_piece like = {.s = b->length, .owner = -1, .line = m->line};
    b->length = kw_pieces_add(j->arena, &j->cut, m->from, m->to, m->centre, turn, like);
    b->count = j->cut.count - b->first;
}

// Also the faults that a single move shows.
static void take_moves(struct kw_judging *j, const struct kw_rs274_program *p) {
    for (int i = 0; i < p->move_count; i++) {
        const struct kw_rs274_move *m = &p->moves[i];
        if (m->burn < 0) {
            if (m->motion != KW_RS274_RAPID && kw_rs274_length(m) > 0)
                kw_fault(j->verdict, "sheet %s: line %d: a feed move with the torch off",
                         j->sheet->id, m->line);
            continue;
        }
        if (m->motion == KW_RS274_RAPID && kw_rs274_length(m) > 0)
            kw_fault(j->verdict, "sheet %s: line %d: a rapid move with the torch on", j->sheet->id,
                     m->line);
        add_burn_move(j, m);
    }
    if (p->ends_burning) kw_fault(j->verdict, "sheet %s: the torch is on at the end", j->sheet->id);
    for (int b = 0; b < p->burns; b++)
        if (b >= j->burn_count || j->burns[b].count == 0)
            kw_fault(j->verdict, "sheet %s: pierce %d cuts nothing", j->sheet->id, b + 1);
}

static bool stays_on_sheet(struct kw_judging *j) {
    for (int i = 0; i < j->cut.count; i++) {
        const struct kw_piece *p = &j->cut.v[i];
        for (int k = 0; k <= 4; k++) {
            double q[2];
            kw_piece_point(p, k / 4.0, q);
            if (kw_judging_on_sheet(j, q)) continue;
            kw_fault(j->verdict,
                     "sheet %s: line %d: the torch is on outside the sheet at (%.2f, %.2f)",
                     j->sheet->id, p->line, q[0], q[1]);
            return false;
        }
    }
    return true;
}

// Sampling is in proportion to the length, so a program that cuts far more than its outlines is
// refused before it.
static bool plausible_length(struct kw_judging *j) {
    double cut = 0, wanted = 0;
    for (int i = 0; i < j->burn_count; i++)
        cut += j->burns[i].length;
    for (int i = 0; i < j->outline_count; i++)
        wanted += j->outlines[i].length + 8 * j->half + LONGEST_LEAD;
    for (int i = 0; i < j->sheet->mark_count; i++)
        wanted += hypot(j->sheet->marks[i].to[0] - j->sheet->marks[i].from[0],
                        j->sheet->marks[i].to[1] - j->sheet->marks[i].from[1]);
    for (int i = 0; i < j->sheet->scrap_cut_count; i++)
        wanted += hypot(j->sheet->scrap_cuts[i].to[0] - j->sheet->scrap_cuts[i].from[0],
                        j->sheet->scrap_cuts[i].to[1] - j->sheet->scrap_cuts[i].from[1]);
    if (cut <= 3 * wanted) return true;
    kw_fault(j->verdict, "sheet %s: cuts %.0f mm where its outlines are %.0f mm", j->sheet->id, cut,
             wanted);
    return false;
}

// ---------------------------------------------------------------------------------------------
// marks

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
                     as == MARK ? "mark" : "cut in scrap", m->from[0], m->from[1], found);
    }
}

// ------------------------------------------------------------------------------------ burn to
// outline

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
    if (b->on > LONGEST_LEAD)
        kw_fault(j->verdict, "sheet %s: line %d: cuts %.1f mm of scrap before it reaches %s",
                 j->sheet->id, b->line, b->on, kw_cut_outline_name(j, outline));
    if (o->tabs == 0) closes(j, b, o);
}

static void match_burn(struct kw_judging *j, int burn) {
    struct kw_burn *b = &j->burns[burn];
    int owners[MOST_OWNERS], best = -1;
    double end[2];
    if (b->count == 0 || b->outline == MARK) return;
    int metal = kw_judging_metal(j, j->cut.v[b->first].a);
    if (metal >= 0) {
        kw_fault(j->verdict, "sheet %s: line %d: pierces %s", j->sheet->id, b->line,
                 j->outlines[metal].part);
        return;
    }
    bool clear = stays_off_parts(j, b);
    if (b->outline == SCRAP) return;
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

// --------------------------------------------------------------------------------------------
// order

static void judge_counts(struct kw_judging *j) {
    for (int i = 0; i < j->outline_count; i++) {
        const struct kw_cut_outline *o = &j->outlines[i];
        if (o->burns == 0)
            kw_fault(j->verdict, "sheet %s: %s is not cut", j->sheet->id,
                     kw_cut_outline_name(j, i));
        else if (o->burns > o->tabs + 1)
            kw_fault(j->verdict, "sheet %s: %s is cut %d times", j->sheet->id,
                     kw_cut_outline_name(j, i), o->burns);
    }
}

// Nothing may be cut in a piece that has already fallen: holes before their outside, and what lies
// in a hole before that hole.
static void judge_order(struct kw_judging *j) {
    for (int i = 0; i < j->outline_count; i++) {
        const struct kw_cut_outline *o = &j->outlines[i];
        for (int k = 0; k < j->outline_count && o->burn >= 0; k++) {
            const struct kw_cut_outline *in = &j->outlines[k];
            if (k == i || in->burn < 0 || in->burn < o->burn) continue;
            if (!kw_cut_outline_holds(j, i, j->shape.v[in->first].a)) continue;
            kw_fault(j->verdict, "sheet %s: %s is cut before %s, which lies in it", j->sheet->id,
                     kw_cut_outline_name(j, i), kw_cut_outline_name(j, k));
            break;
        }
    }
}

// Cuts of what is left come after all parts: their metal must not move before.
static void judge_scrap(struct kw_judging *j) {
    bool begun = false;
    for (int i = 0; i < j->burn_count; i++) {
        const struct kw_burn *b = &j->burns[i];
        begun = begun || b->outline == SCRAP;
        if (begun && b->outline != SCRAP && b->count > 0) {
            kw_fault(j->verdict, "sheet %s: line %d: scrap is cut up before this", j->sheet->id,
                     b->line);
            return;
        }
    }
}

// Metal left in a tab: the cut's ends keep half its width and half a kerf from its middle.
static void judge_tabs(struct kw_judging *j) {
    for (int i = 0; i < j->sheet->tab_count; i++) {
        const struct kw_run_tab *t = &j->sheet->tabs[i];
        double reach = t->width / 2 + 2 * j->half + 1;
        int near = kw_grid_near_point(&j->cut_grid, t->at, reach, -1);
        double d = fmin(kw_grid_distance(&j->cut_grid, near, t->at, NULL), reach);
        double left = 2 * sqrt(fmax(d * d - j->half * j->half, 0)) - 2 * j->half;
        if (left >= TAB_LEAST * t->width) continue;
        kw_fault(j->verdict, "sheet %s: the tab at (%.2f, %.2f) is %.2f mm wide, not %.2f",
                 j->sheet->id, t->at[0], t->at[1], fmax(left, 0), t->width);
    }
}

static bool is_small_hole(const struct kw_judging *j, const struct kw_burn *b, double below) {
    if (b->outline < 0 || j->outlines[b->outline].hole < 0) return false;
    double low[2] = {INFINITY, INFINITY}, high[2] = {-INFINITY, -INFINITY}, q[2];
    const struct kw_cut_outline *o = &j->outlines[b->outline];
    for (int i = 0; i < o->count; i++)
        for (int s = 0; s < 16; s++) {
            kw_piece_point(&j->shape.v[o->first + i], s / 16.0, q);
            for (int k = 0; k < 2; k++) {
                low[k] = fmin(low[k], q[k]);
                high[k] = fmax(high[k], q[k]);
            }
        }
    // Chords are a little short; what is just below is not looked at.
    return fmin(high[0] - low[0], high[1] - low[1]) < 0.98 * below;
}

// No cut is faster than the rule says, none in a small hole faster than its share.
static void judge_feeds(struct kw_judging *j, const struct kw_rs274_program *p,
                        const struct totals *t) {
    if (!(t->feed > 0)) return;
    for (int i = 0; i < p->move_count; i++) {
        const struct kw_rs274_move *m = &p->moves[i];
        if (m->burn < 0 || m->motion == KW_RS274_RAPID || !(kw_rs274_length(m) > 0)) continue;
        bool small = is_small_hole(j, &j->burns[m->burn], t->hole_feed_below);
        double most = t->feed * (small && t->hole_feed > 0 ? t->hole_feed : 1);
        if (m->feed / 60 <= most + FEED_SLACK) continue;
        kw_fault(j->verdict, "sheet %s: line %d: cuts at %.2f mm/s, the rule says %.2f",
                 j->sheet->id, m->line, m->feed / 60, most);
        return;
    }
}

static void judge_totals(struct kw_judging *j, const struct totals *t) {
    double cut = 0;
    if (!t->known) {
        kw_fault(j->verdict, "sheet %s: run.json has no pierces or cut_length", j->sheet->id);
        return;
    }
    for (int i = 0; i < j->burn_count; i++)
        cut += j->burns[i].length;
    if (t->pierces != j->burn_count)
        kw_fault(j->verdict, "sheet %s: %d pierces, run.json says %d", j->sheet->id, j->burn_count,
                 t->pierces);
    if (!(fabs(cut - t->cut_length) <= TOTALS_SLACK * fmax(cut, t->cut_length)))
        kw_fault(j->verdict, "sheet %s: cuts %.1f mm, run.json says %.1f mm", j->sheet->id, cut,
                 t->cut_length);
}

// -------------------------------------------------------------------------------------------
// judging

static void judge_moves(struct kw_judging *j, const struct kw_run_file *run,
                        const struct kw_rs274_program *program, const struct totals *t) {
    j->verdict->looked_at += program->move_count;
    kw_judging_place(j, run);
    kw_judging_sheet(j);
    take_moves(j, program);
    if (!stays_on_sheet(j) || !plausible_length(j)) return;
    match_lines(j, j->sheet->marks, j->sheet->mark_count, MARK);
    match_lines(j, j->sheet->scrap_cuts, j->sheet->scrap_cut_count, SCRAP);
    for (int i = 0; i < j->burn_count; i++)
        match_burn(j, i);
    kw_grid_make(j->arena, &j->cut_grid, &j->cut);
    for (int i = 0; i < j->outline_count; i++)
        if (j->outlines[i].burns > 0) kw_judge_cover(j, i);
    judge_counts(j);
    judge_order(j);
    judge_scrap(j);
    judge_tabs(j);
    judge_feeds(j, program, t);
    judge_totals(j, t);
}

static void judge_sheet(const struct kw_run_file *run, const struct kw_run_sheet *sheet,
                        const struct totals *t, const char *program, size_t length,
                        struct kw_verdict *verdict) {
    struct kw_arena scratch = {0};
    struct kw_error why = {0};
    struct kw_rs274_program read;
    struct kw_judging j = {
        .arena = &scratch, .verdict = verdict, .sheet = sheet, .half = sheet->kerf / 2};
    if (!(sheet->kerf > 2 * KW_CUT_SLACK && sheet->kerf < 100))
        kw_fault(verdict, "sheet %s: a kerf of %g mm", sheet->id, sheet->kerf);
    else if (kw_rs274_read(&scratch, program, length, t->torch_on, t->torch_off, t->lines,
                           t->line_count, &read, &why) != KW_OK)
        kw_fault(verdict, "sheet %s: line %d: %s", sheet->id, why.at.line, why.text);
    else
        judge_moves(&j, run, &read, t);
    kw_arena_free(&scratch);
}

static enum kw_status result(const struct kw_verdict *v, struct kw_error *err) {
    if (v->fault_count == 0) return KW_OK;
    return kw_fail(err, KW_JUDGE, (struct kw_place){0}, "%d faults in programs, first: %s",
                   v->fault_count, v->faults[0]);
}

enum kw_status kw_judge_program_text(const char *run_json, size_t length, const char *sheet_id,
                                     const char *program, size_t program_length,
                                     struct kw_verdict *verdict, struct kw_error *err) {
    struct kw_arena scratch = {0};
    struct kw_run_file run;
    const struct kw_run_sheet *sheet = NULL;
    enum kw_status s = kw_run_file_text(&scratch, run_json, length, &run, err);
    for (int i = 0; i < run.sheet_count && s == KW_OK; i++)
        if (strcmp(run.sheets[i].id, sheet_id) == 0) sheet = &run.sheets[i];
    if (s == KW_OK && !sheet)
        s = kw_fail(err, KW_UNKNOWN, (struct kw_place){0}, "no sheet \"%s\" in run.json", sheet_id);
    if (s == KW_OK) {
        struct totals t = read_totals(&scratch, run_json, length, sheet_id);
        judge_sheet(&run, sheet, &t, program, program_length, verdict);
        s = result(verdict, err);
    }
    kw_arena_free(&scratch);
    return s;
}

static enum kw_status judge_file(struct kw_arena *scratch, const char *folder,
                                 const struct kw_run_file *run, const struct kw_run_sheet *sheet,
                                 const char *json, size_t json_length, struct kw_verdict *verdict,
                                 struct kw_error *err) {
    char *program;
    size_t length;
    if (!*sheet->program || *sheet->program == '/' || strstr(sheet->program, "..")) {
        kw_fault(verdict, "sheet %s: \"%s\" is no program in the packet", sheet->id,
                 sheet->program);
        return KW_OK;
    }
    const char *path = kw_format(scratch, "%s/%s", folder, sheet->program);
    enum kw_status s =
        kw_read_file(scratch, path, PROGRAM_MOST, (struct kw_place){0}, &program, &length, err);
    if (s != KW_OK) return s;
    struct totals t = read_totals(scratch, json, json_length, sheet->id);
    judge_sheet(run, sheet, &t, program, length, verdict);
    return KW_OK;
}

enum kw_status kw_judge_programs(const char *folder, struct kw_verdict *verdict,
                                 struct kw_error *err) {
    struct kw_arena scratch = {0};
    struct kw_run_file run;
    char *json;
    size_t length;
    const char *path = kw_format(&scratch, "%s/run.json", folder);
    enum kw_status s =
        kw_read_file(&scratch, path, KW_RUN_FILE_MOST, (struct kw_place){0}, &json, &length, err);
    if (s == KW_OK) s = kw_run_file_text(&scratch, json, length, &run, err);
    for (int i = 0; s == KW_OK && i < run.sheet_count; i++)
        s = judge_file(&scratch, folder, &run, &run.sheets[i], json, length, verdict, err);
    if (s == KW_OK) s = result(verdict, err);
    kw_arena_free(&scratch);
    return s;
}
