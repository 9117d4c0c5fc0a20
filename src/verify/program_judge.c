// SPDX-License-Identifier: Apache-2.0
// The judge of torch programs. A program is read by the rules of RS-274, every time the torch burns
// is matched with one placed outline (or a listed mark), and every outline with one burn.
#include "verify/program_judge.h"

#include "verify/program_scene.h"

#include <math.h>
#include <string.h>

#define PROGRAM_MOST ((size_t)64 << 20)
#define TOTALS_SLACK 0.005
#define TAB_LEAST    0.8 ///< of its width, on a bent edge

// --------------------------------------------------------------------------------------- burns

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
static void take_moves(struct kw_judging *j, const struct kw_rs274_program *p,
                       const bool *scribed) {
    for (int i = 0; i < p->move_count; i++) {
        const struct kw_rs274_move *m = &p->moves[i];
        if (m->burn < 0) {
            if (kw_rs274_draws(m) && kw_rs274_length(m) > 0 && !scribed[i])
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
        wanted += j->outlines[i].length + 8 * j->half + KW_LONGEST_LEAD;
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

// ------------------------------------------------------------------------------- order, totals

static void judge_counts(struct kw_judging *j) {
    for (int i = 0; i < j->outline_count; i++) {
        const struct kw_cut_outline *o = &j->outlines[i];
        if (o->burns == 0)
            kw_fault(j->verdict, "sheet %s: %s is not cut", j->sheet->id,
                     kw_cut_outline_name(j, i));
        else if (o->burns > o->tabs + o->shared + 1)
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
        begun = begun || b->outline == KW_BURN_SCRAP;
        if (begun && b->outline != KW_BURN_SCRAP && b->count > 0) {
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

static void judge_totals(struct kw_judging *j, const struct kw_cut_setting *t) {
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

// ------------------------------------------------------------------------------------- judging

static void judge_moves(struct kw_judging *j, const struct kw_run_file *run, const char *text,
                        size_t length, const struct kw_rs274_program *program,
                        const struct kw_cut_setting *t) {
    j->verdict->looked_at += program->move_count;
    kw_judging_place(j, run);
    kw_judging_sheet(j);
    take_moves(j, program, kw_judge_etching(j, run, text, length, program, t));
    if (!stays_on_sheet(j) || !plausible_length(j)) return;
    kw_judge_place_shared(j);
    kw_judge_burns(j);
    kw_grid_make(j->arena, &j->cut_grid, &j->cut);
    for (int i = 0; i < j->outline_count; i++)
        if (j->outlines[i].burns > 0) kw_judge_cover(j, i);
    kw_judge_shared(j);
    kw_judging_others(j);
    judge_counts(j);
    judge_order(j);
    judge_scrap(j);
    judge_tabs(j);
    kw_judge_setting(j, program, t);
    judge_totals(j, t);
}

static void judge_sheet(const struct kw_run_file *run, const struct kw_run_sheet *sheet,
                        const struct kw_cut_setting *t, const char *program, size_t length,
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
        judge_moves(&j, run, program, length, &read, t);
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
    int sheet = -1;
    enum kw_status s = kw_run_file_text(&scratch, run_json, length, &run, err);
    for (int i = 0; i < run.sheet_count && s == KW_OK; i++)
        if (strcmp(run.sheets[i].id, sheet_id) == 0) sheet = i;
    if (s == KW_OK && sheet < 0)
        s = kw_fail(err, KW_UNKNOWN, (struct kw_place){0}, "no sheet \"%s\" in run.json", sheet_id);
    if (s == KW_OK) {
        struct kw_cut_setting *t = kw_cut_settings_read(&scratch, run_json, length, &run);
        judge_sheet(&run, &run.sheets[sheet], &t[sheet], program, program_length, verdict);
        s = result(verdict, err);
    }
    kw_arena_free(&scratch);
    return s;
}

struct judged_file { // one program, judged by itself
    const char *folder;
    const struct kw_run_file *run;
    const struct kw_run_sheet *sheet;
    const struct kw_cut_setting *setting;
    struct kw_arena arena; ///< of the verdict and of what is read
    struct kw_verdict verdict;
    struct kw_error err;
    enum kw_status status;
};

static void judge_file(void *user, int index) {
    struct judged_file *f = (struct judged_file *)user + index;
    const struct kw_run_sheet *sheet = f->sheet;
    char *program;
    size_t length;
    f->verdict.arena = &f->arena;
    if (!*sheet->program || *sheet->program == '/' || strstr(sheet->program, "..")) {
        kw_fault(&f->verdict, "sheet %s: \"%s\" is no program in the packet", sheet->id,
                 sheet->program);
        return;
    }
    const char *path = kw_format(&f->arena, "%s/%s", f->folder, sheet->program);
    f->status = kw_read_file(&f->arena, path, PROGRAM_MOST, (struct kw_place){0}, &program, &length,
                             &f->err);
    if (f->status != KW_OK) return;
    judge_sheet(f->run, sheet, f->setting, program, length, &f->verdict);
}

static void add_verdict(struct kw_verdict *to, const struct kw_verdict *from) {
    for (int i = 0; i < from->fault_count && i < 100; i++)
        kw_fault(to, "%s", from->faults[i]);
    if (from->fault_count > 100) to->fault_count += from->fault_count - 100;
    to->looked_at += from->looked_at;
}

// Side by side: a program is judged by run.json and itself alone.
static enum kw_status judge_files(struct kw_arena *scratch, const char *folder,
                                  const struct kw_run_file *run,
                                  const struct kw_cut_setting *settings, struct kw_verdict *verdict,
                                  struct kw_error *err) {
    int count = run->sheet_count;
    struct judged_file *v = KW_NEW_ARRAY(scratch, struct judged_file, count + 1);
    enum kw_status s = KW_OK;
    for (int i = 0; i < count; i++)
        v[i] = (struct judged_file){
            .folder = folder, .run = run, .sheet = &run->sheets[i], .setting = &settings[i]};
    kw_team_run(judge_file, v, count, kw_team_cores());
    for (int i = 0; i < count; i++) {
        add_verdict(verdict, &v[i].verdict);
        if (s == KW_OK && v[i].status != KW_OK)
            s = kw_fail(err, v[i].status, v[i].err.at, "%s", v[i].err.text);
        kw_arena_free(&v[i].arena);
    }
    return s;
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
    if (s == KW_OK) {
        struct kw_cut_setting *settings = kw_cut_settings_read(&scratch, json, length, &run);
        s = judge_files(&scratch, folder, &run, settings, verdict, err);
    }
    if (s == KW_OK) s = result(verdict, err);
    kw_arena_free(&scratch);
    return s;
}
