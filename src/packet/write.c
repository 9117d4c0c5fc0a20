// SPDX-License-Identifier: Apache-2.0
// The packet's folder: built beside its place, judged, then exchanged in one step.
#include "packet/packet.h"
#include "packet/paper.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

struct writer {
    const struct kw_week *week;
    const char *folder; // temporary
    const struct kw_watch *watch;
    struct kw_error *err;
};

static enum kw_status write_text(struct writer *w, const char *name, struct kw_text *text) {
    const char *path = kw_format(w->week->arena, "%s/%s", w->folder, name);
    enum kw_status s = kw_write_file(path, text->s ? text->s : "", text->length, w->err);
    kw_text_free(text);
    return s;
}

// The picture that the judge's reader draws of the program.
static enum kw_status write_backplot(struct writer *w, const struct kw_run_sheet *s,
                                     const struct kw_text *program) {
    struct kw_backplot_words words =
        kw_packet_words(w->week->arena, &w->week->shop->table.controller);
    struct kw_text out = {0};
    enum kw_status status =
        kw_backplot(program->s, program->length, &words, s->width, s->height, &out, w->err);
    if (status == KW_OK)
        return write_text(w, kw_format(w->week->arena, "sheets/%s.backplot.svg", s->id), &out);
    kw_text_free(&out);
    w->err->status = KW_JUDGE; // a program that its reader refuses is our bug
    return KW_JUDGE;
}

static const char *program_title(struct kw_arena *a, const struct kw_run_sheet *s) {
    bool whole = strcmp(s->program_name, s->full_name) == 0;
    return kw_format(a, "%s %s%s%s", s->program_name, s->stock.text, whole ? "" : "  SHORT FOR ",
                     whole ? "" : s->full_name);
}

static enum kw_status write_program(struct writer *w, const struct kw_run_sheet *s) {
    struct kw_cut_controller c = kw_run_controller(w->week);
    struct kw_text text = {0};
    kw_cut_program_text(&s->cut, &c, program_title(w->week->arena, s), &text);
    enum kw_status plot = write_backplot(w, s, &text);
    enum kw_status status = write_text(w, s->program, &text);
    return plot != KW_OK ? plot : status;
}

// The map in A3-like proportions, so that names can be read where it hangs at the table.
static enum kw_status write_map(struct writer *w, const struct kw_run_sheet *s) {
    struct kw_arena scratch = {0};
    double width = 420, height = 420 * s->height / s->width + 24;
    struct kw_svg *svg = kw_svg_begin(width, height);
    struct kw_draw d = kw_svg_draw(svg);
    struct kw_pen white = {.fill = true, .fill_colour = KW_WHITE};
    kw_draw_box(&d, 0, 0, width, height, white);
    d.text(d.user, 6, 10, 5, KW_LEFT, true, 0, KW_BLACK,
           kw_format(&scratch, "%s   %s   run %d time%s   %.1f min each", s->id, s->stock.text,
                     s->times, s->times > 1 ? "s" : "", s->cut.cut_time / 60));
    paper_map_drawing(&d, &scratch, w->week, s, 6, 14, width - 12, height - 24, 2.1);
    struct kw_text text = {0};
    kw_svg_end(svg, &text);
    kw_arena_free(&scratch);
    return write_text(w, kw_format(w->week->arena, "sheets/%s.svg", s->id), &text);
}

static const char *file_name(struct kw_arena *a, const char *label) {
    char *name = kw_copy_text(a, label, strlen(label));
    for (char *c = name; *c; c++) {
        if (*c == '/' || *c == ' ') *c = '-';
    }
    return name;
}

static enum kw_status write_blank(struct writer *w, const struct kw_make *m) {
    struct kw_text dxf = {0}, svg = {0};
    const char *name = file_name(w->week->arena, m->label);
    bool other = m->hand == KW_RIGHT_HAND;
    kw_packet_blank_dxf(w->week->shop, m->what, other, &dxf);
    kw_packet_blank_svg(w->week->shop, m->what, other, &svg);
    enum kw_status s = write_text(w, kw_format(w->week->arena, "blanks/%s.dxf", name), &dxf);
    enum kw_status t = write_text(w, kw_format(w->week->arena, "blanks/%s.svg", name), &svg);
    return s != KW_OK ? s : t;
}

static enum kw_status write_templates(struct writer *w, const struct kw_make *m) {
    static const char *const ends[] = {"start", "end"};
    enum kw_status s = KW_OK;
    for (int i = 0; s == KW_OK && i < 2; i++) {
        if (m->part->stock.kind == KW_SHEET || !(m->what->ends[i].cope.onto > 0)) continue;
        struct kw_arena scratch = {0};
        struct kw_text dxf = {0};
        struct kw_path outline = paper_cope_outline(&scratch, m, i);
        kw_packet_outline_dxf(w->week->shop, &outline, &dxf);
        kw_arena_free(&scratch);
        const char *name = file_name(w->week->arena, m->label);
        s = kw_make_folder(kw_format(w->week->arena, "%s/templates", w->folder), w->err);
        if (s == KW_OK)
            s = write_text(w, kw_format(w->week->arena, "templates/%s-%s.dxf", name, ends[i]),
                           &dxf);
        else
            kw_text_free(&dxf);
    }
    return s;
}

static void all_papers(struct paper *p) {
    paper_cover(p);
    paper_findings(p);
    paper_collisions(p);
    paper_sheet_maps(p);
    paper_dimple_sheets(p);
    paper_bend_sheets(p);
    paper_coupons(p);
    paper_tube_sheets(p);
    paper_saw_lists(p);
    paper_end_cuts(p);
    paper_pack_lists(p);
    paper_weld_lists(p);
}

// Twice: first into nothing to learn how many pages there are, then into the file.
static enum kw_status write_pdf(const struct writer *w, struct kw_error *err) {
    struct kw_arena scratch = {0};
    struct paper p = {.week = w->week, .scratch = &scratch};
    p.blind = kw_svg_begin(10, 10);
    all_papers(&p);
    struct kw_text nothing = {0};
    kw_svg_end(p.blind, &nothing);
    kw_text_free(&nothing);
    p.pages = p.page;
    p.page = 0;
    p.blind = NULL;
    p.pdf = kw_pdf_begin(kw_format(w->week->arena, "%s/packet.pdf", w->folder), w->week->date, err);
    if (!p.pdf) {
        kw_arena_free(&scratch);
        return KW_IO;
    }
    all_papers(&p);
    kw_arena_free(&scratch);
    return kw_pdf_end(p.pdf, err);
}

/// All but the papers.
static enum kw_status write_files(struct writer *w, const char *made_by) {
    const struct kw_week *week = w->week;
    enum kw_status s = kw_make_folder(kw_format(week->arena, "%s/sheets", w->folder), w->err);
    if (s == KW_OK) s = kw_make_folder(kw_format(week->arena, "%s/blanks", w->folder), w->err);
    struct kw_text json = {0};
    kw_packet_run_json(week, made_by, &json);
    enum kw_status j = s == KW_OK ? write_text(w, "run.json", &json) : s;
    if (j != KW_OK) kw_text_free(&json);
    s = j;
    for (int i = 0; s == KW_OK && i < week->sheet_count; i++) {
        if (kw_watch_stopped(w->watch)) return KW_STOPPED;
        if (!week->sheets[i].program) continue;
        kw_watch_progress(w->watch, "writing sheets", (double)i / week->sheet_count);
        s = write_program(w, &week->sheets[i]);
        if (s == KW_OK) s = write_map(w, &week->sheets[i]);
    }
    for (int i = 0; s == KW_OK && i < week->make_count; i++) {
        const struct kw_make *m = &week->makes[i];
        if (m->use != KW_MAKE_ORDERED && m->placed == 0) continue; // found no room
        if (m->what->body) s = write_blank(w, m);
        if (s == KW_OK && week->makes[i].placed > 0) s = write_templates(w, &week->makes[i]);
    }
    return s == KW_OK && kw_watch_stopped(w->watch) ? KW_STOPPED : s;
}

static bool is_planned(const struct kw_brake_plan *plan) {
    bool all = plan && plan->step_count > 0 && !plan->collides;
    for (int i = 0; all && i < plan->step_count; i++)
        all = !plan->steps[i].blocked && plan->steps[i].die >= 0 && plan->steps[i].punch >= 0;
    return all;
}

// ------------------------------------------------------------------------------------- judging

enum { PAPERS, JUDGE_NESTS, JUDGE_PROGRAMS, JUDGE_TUBES, JUDGE_FITS, JUDGE_STICKS, WHOLE_TASKS };

/// The papers, which alone draw on the week's arena; the judges of the folder's other files; each
/// bend order that is printed. They share nothing that is written, and the papers take as long as
/// all judges together.
struct judging {
    struct writer *writer;
    struct opinion {
        int make; ///< of a bend order
        struct kw_arena arena;
        struct kw_verdict verdict;
        struct kw_error err;
        enum kw_status status;
    } * v;
    int count;
};

static void judge_bends(const struct writer *w, struct opinion *o) {
    const struct kw_make *m = &w->week->makes[o->make];
    struct kw_check_brake b;
    kw_check_brake_inputs(&o->arena, w->week->shop, m->what, &b);
    packet_judge_brake(&b, &o->verdict);
    if (o->verdict.fault_count > 0 || o->verdict.looked_at < b.plan.step_count)
        o->status = kw_fail(&o->err, KW_JUDGE, (struct kw_place){.file = w->folder},
                            "bend order of %s: %s", m->label,
                            o->verdict.fault_count > 0 ? o->verdict.faults[0]
                                                       : "its judge saw too few strokes");
}

static enum kw_status whole_task(struct writer *w, int which, struct opinion *o) {
    const char *folder = w->folder;
    switch (which) {
    case PAPERS:
        return write_pdf(w, &o->err);
    case JUDGE_NESTS:
        return kw_judge_nests(folder, &o->verdict, &o->err);
    case JUDGE_PROGRAMS:
        return kw_judge_programs(folder, &o->verdict, &o->err);
    case JUDGE_TUBES:
        return kw_judge_tubes(folder, &o->verdict, &o->err);
    case JUDGE_FITS:
        return kw_judge_fits(folder, &o->verdict, &o->err);
    default:
        return kw_judge_sticks(folder, &o->verdict, &o->err);
    }
}

static void judge_one(void *user, int index) {
    struct judging *j = user;
    struct opinion *o = &j->v[index];
    if (kw_watch_stopped(j->writer->watch))
        o->status = KW_STOPPED;
    else if (index < WHOLE_TASKS)
        o->status = whole_task(j->writer, index, o);
    else
        judge_bends(j->writer, o);
    kw_arena_free(&o->arena); // the first fault stands in err
}

/// Left and right hands share one order.
static bool is_judged(const struct kw_week *week, int make) {
    const struct kw_make *m = &week->makes[make];
    for (int k = 0; k < make; k++)
        if (week->makes[k].what == m->what && week->makes[k].placed > 0) return false;
    return m->placed > 0 && is_planned(m->what->brake);
}

/// What each judge must have looked at, for an "ok" of one that saw too little.
static const char *saw_too_few(const struct kw_week *week, const struct judging *j) {
    if (week->sheet_count > 0 && j->v[JUDGE_NESTS].verdict.looked_at == 0) return "nests";
    if (j->v[JUDGE_FITS].verdict.looked_at < kw_packet_fitted_ends(week)) return "fitted ends";
    if (j->v[JUDGE_STICKS].verdict.looked_at < week->saw_count) return "saw lists";
    return NULL;
}

static enum kw_status write_papers_and_judge(struct writer *w) {
    struct judging j = {.writer = w};
    j.v = KW_NEW_ARRAY(w->week->arena, struct opinion, WHOLE_TASKS + w->week->make_count);
    j.count = WHOLE_TASKS;
    for (int i = 0; i < w->week->make_count; i++)
        if (is_judged(w->week, i)) j.v[j.count++].make = i;
    for (int i = 0; i < j.count; i++)
        j.v[i].verdict.arena = &j.v[i].arena;
    kw_watch_progress(w->watch, "second opinion", 0);
    kw_team_run(judge_one, &j, j.count, kw_team_cores());
    enum kw_status s = KW_OK;
    for (int i = 0; i < j.count; i++) {
        const struct opinion *o = &j.v[i];
        if (s == KW_OK && o->status != KW_OK)
            s = kw_fail(w->err, o->status, o->err.at, "%s", o->err.text);
    }
    const char *few = s == KW_OK ? saw_too_few(w->week, &j) : NULL;
    return few ? kw_fail(w->err, KW_JUDGE, (struct kw_place){.file = w->folder},
                         "the judge of %s saw too few", few)
               : s;
}

enum kw_status kw_packet_write(const struct kw_week *week, const char *shop_folder,
                               const char *made_by, const struct kw_watch *watch, const char **path,
                               struct kw_error *err) {
    struct kw_arena *a = week->arena;
    *path = kw_format(a, "%s/runs/%s", shop_folder, week->name);
    struct writer w = {
        week, kw_format(a, "%s/runs/.%s.%ld", shop_folder, week->name, (long)getpid()), watch, err};
    enum kw_status s = kw_make_folder(kw_format(a, "%s/runs", shop_folder), err);
    if (s == KW_OK) s = kw_remove_folder(w.folder, err);
    if (s == KW_OK) s = kw_make_folder(w.folder, err);
    if (s == KW_OK) s = write_files(&w, made_by);
    if (s == KW_OK) s = write_papers_and_judge(&w);
    if (s == KW_OK && kw_watch_stopped(watch)) s = KW_STOPPED;
    if (s == KW_OK) s = kw_exchange_folder(w.folder, *path, err);
    if (s != KW_OK) kw_remove_folder(w.folder, NULL);
    return s;
}
