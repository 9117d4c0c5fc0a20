// SPDX-License-Identifier: Apache-2.0
// What a scribe etches: the program is read once more with the scribe's words in the place of the
// torch's. Its lines are those that run.json marks on the blanks, where they lie, and no others.
#include "verify/program_judge.h"
#include "verify/program_scene.h"

#include <math.h>
#include <string.h>

#define LINE_SLACK   0.05 // mm between an etched line and its mark
#define PART_SLACK   0.06 // mm that a mark may run over its part's edge
#define FEED_SLACK   0.05 // mm/s
#define DELAY_SLACK  0.001
#define SAMPLE       0.5 // mm
#define LENGTH_SLACK 0.005

struct etching {
    struct kw_judging *j;
    const struct kw_cut_setting *t;
    struct kw_rs274_program read; // burns: times that the scribe is down
    struct kw_pieces lines, marks;
    struct kw_grid lines_grid, marks_grid;
    int mark_count;
};

static bool read_again(struct etching *e, const char *text, size_t length) {
    struct kw_error err = {0};
    const struct kw_cut_setting *t = e->t;
    const char **known = NULL;
    int count = 0;
    for (int i = 0; i < t->line_count; i++)
        KW_PUSH(e->j->arena, known, count) = t->lines[i];
    if (t->torch_on) KW_PUSH(e->j->arena, known, count) = t->torch_on;
    if (t->torch_off) KW_PUSH(e->j->arena, known, count) = t->torch_off;
    if (kw_rs274_read(e->j->arena, text, length, t->scribe_down, t->scribe_up, known, count,
                      &e->read, &err) == KW_OK)
        return true;
    kw_fault(e->j->verdict, "sheet %s: line %d: %s (read for its scribe)", e->j->sheet->id,
             err.at.line, err.text);
    return false;
}

// ------------------------------------------------------------------------------------- its motion

static const char *wrong_move(const struct etching *e, const struct kw_rs274_move *m,
                              const struct kw_rs274_move *torch, bool begun) {
    if (torch->burn >= 0) return "the scribe is down while the torch is on";
    if (m->motion == KW_RS274_RAPID) return "a rapid move with the scribe down";
    if (begun) return "etches after the first pierce";
    if (fabs(m->feed / 60 - e->t->scribe_feed) > FEED_SLACK) return "etches at another feed";
    return NULL;
}

// Marks the moves of the first reading that the scribe makes; false where it may not.
static bool take_lines(struct etching *e, const struct kw_rs274_program *torch, bool *scribed) {
    bool begun = false;
    double way = 0;
    for (int i = 0; i < e->read.move_count; i++) {
        const struct kw_rs274_move *m = &e->read.moves[i];
        begun = begun || torch->moves[i].burn >= 0;
        if (m->burn < 0 || !(kw_rs274_length(m) > 0)) continue;
        const char *why = wrong_move(e, m, &torch->moves[i], begun);
        if (why) {
            kw_fault(e->j->verdict, "sheet %s: line %d: %s", e->j->sheet->id, m->line, why);
            return false;
        }
        double v[3][2];
        for (int k = 0; k < 2; k++) {
            v[0][k] = m->from[k] + e->t->scribe[k];
            v[1][k] = m->to[k] + e->t->scribe[k];
            v[2][k] = m->centre[k] + e->t->scribe[k];
        }
        double turn = m->motion >= KW_RS274_CW ? m->sweep : 0;
        way = kw_pieces_add(e->j->arena, &e->lines, v[0], v[1], v[2], turn,
                            (struct kw_piece){.s = way, .owner = m->burn, .line = m->line});
        scribed[i] = true;
    }
    if (e->read.ends_burning)
        kw_fault(e->j->verdict, "sheet %s: the scribe is down at the end", e->j->sheet->id);
    return true;
}

static void judge_delay(struct etching *e) {
    double *waited = KW_NEW_ARRAY(e->j->arena, double, e->read.burns + 1);
    for (int i = 0; i < e->read.event_count; i++)
        if (e->read.events[i].torch) waited[e->read.events[i].burns - 1] += e->read.events[i].dwell;
    for (int b = 0; b < e->read.burns; b++) {
        if (waited[b] >= e->t->scribe_delay - DELAY_SLACK) continue;
        kw_fault(e->j->verdict, "sheet %s: the scribe waits %.2f s at its line %d, not %.2f",
                 e->j->sheet->id, waited[b], b + 1, e->t->scribe_delay);
        return;
    }
}

// -------------------------------------------------------------------------------------- its marks

static bool left_out(const struct kw_run_sheet *s, const struct kw_run_placement *p, int mark) {
    for (int i = 0; i < s->unetched_count; i++) {
        const struct kw_run_unetched *u = &s->unetched[i];
        if (u->mark == mark && u->copy == p->copy && strcmp(u->part, p->part) == 0) return true;
    }
    return false;
}

static bool in_outline(struct etching *e, int outline, const double q[2]) {
    if (kw_cut_outline_holds(e->j, outline, q)) return true;
    int near = kw_grid_near_point(&e->j->shape_grid, q, PART_SLACK, outline);
    return kw_grid_distance(&e->j->shape_grid, near, q, NULL) <= PART_SLACK;
}

// One mark of a placed blank, and that it stays in its part.
static void place_mark(struct etching *e, int outline, const struct kw_run_placement *p,
                       const struct kw_run_outline *mark) {
    int first = e->marks.count;
    double way = 0, q[2];
    for (int i = 0; i + 1 < mark->count; i++)
        way = kw_judging_add(e->j, &e->marks, p, &mark->v[i], &mark->v[i + 1],
                             (struct kw_piece){.s = way, .owner = e->mark_count});
    e->mark_count++;
    for (int i = first; i < e->marks.count; i++)
        for (int k = 0; k <= 4; k++) {
            kw_piece_point(&e->marks.v[i], k / 4.0, q);
            if (in_outline(e, outline, q)) continue;
            kw_fault(e->j->verdict, "sheet %s: a mark of %s leaves it at (%.2f, %.2f)",
                     e->j->sheet->id, e->j->outlines[outline].part, q[0], q[1]);
            return;
        }
}

static void place_marks(struct etching *e, const struct kw_run_file *run) {
    for (int o = 0; o < e->j->outline_count; o++) {
        if (e->j->outlines[o].hole >= 0) continue;
        const struct kw_run_placement *p = &e->j->sheet->placements[e->j->outlines[o].placement];
        const struct kw_run_blank *b = &run->blanks[kw_run_find_blank(run, p->part, p->hand)];
        if (b->mark_count > 0 && p->mirrored)
            kw_fault(e->j->verdict, "sheet %s: %s is etched on its wrong side", e->j->sheet->id,
                     e->j->outlines[o].part);
        for (int m = 0; m < b->mark_count; m++)
            if (!left_out(e->j->sheet, p, m)) place_mark(e, o, p, &b->marks[m]);
    }
}

// Every place of `v` has one of the other's near it.
static bool follows(struct kw_judging *j, const struct kw_pieces *v, struct kw_grid *other,
                    const char *what) {
    for (int i = 0; i < v->count; i++) {
        const struct kw_piece *p = &v->v[i];
        int near = kw_grid_near(other, p, 2 * LINE_SLACK, -1), n = (int)ceil(p->length / SAMPLE);
        for (int k = 0; k <= n; k++) {
            double q[2];
            kw_piece_point(p, n > 0 ? (double)k / n : 0, q);
            if (kw_grid_distance(other, near, q, NULL) <= LINE_SLACK) continue;
            kw_fault(j->verdict, "sheet %s: %s at (%.2f, %.2f)", j->sheet->id, what, q[0], q[1]);
            return false;
        }
    }
    return true;
}

static double length_of(const struct kw_pieces *v) {
    double sum = 0;
    for (int i = 0; i < v->count; i++)
        sum += v->v[i].length;
    return sum;
}

static void judge_lines(struct etching *e) {
    struct kw_judging *j = e->j;
    kw_grid_make(j->arena, &e->lines_grid, &e->lines);
    kw_grid_make(j->arena, &e->marks_grid, &e->marks);
    if (!follows(j, &e->lines, &e->marks_grid, "etches where there is no mark")) return;
    if (!follows(j, &e->marks, &e->lines_grid, "a mark is not etched")) return;
    double etched = length_of(&e->lines), wanted = length_of(&e->marks);
    if (fabs(etched - wanted) > LENGTH_SLACK * wanted + LINE_SLACK)
        kw_fault(j->verdict, "sheet %s: etches %.1f mm where its marks are %.1f mm", j->sheet->id,
                 etched, wanted);
}

bool *kw_judge_etching(struct kw_judging *j, const struct kw_run_file *run, const char *text,
                       size_t length, const struct kw_rs274_program *torch,
                       const struct kw_cut_setting *t) {
    bool *scribed = KW_NEW_ARRAY(j->arena, bool, torch->move_count + 1);
    struct etching e = {.j = j, .t = t};
    place_marks(&e, run);
    if (!t->scribe_down || !t->scribe_up) {
        if (e.mark_count > 0)
            kw_fault(j->verdict, "sheet %s: marks to be etched, and no scribe", j->sheet->id);
        return scribed;
    }
    if (!read_again(&e, text, length)) return scribed;
    if (e.read.move_count != torch->move_count) {
        kw_fault(j->verdict, "sheet %s: moves that hang on the scribe's words", j->sheet->id);
        return scribed;
    }
    if (!take_lines(&e, torch, scribed)) return scribed;
    judge_delay(&e);
    judge_lines(&e);
    return scribed;
}
