// SPDX-License-Identifier: Apache-2.0
// Saw lists: by set-up what is cut at which stop, then the sticks, those cut alike as one bundle.
#include "packet/cautions.h"
#include "packet/paper.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static double degrees_off(double rad) {
    return rad * 180 / KW_PI;
}

static const char *ends(const struct paper *p, const struct kw_part *part) {
    if (part->miter[0] == 0 && part->miter[1] == 0) return "square";
    return kw_format(p->week->arena, "%.1f / %.1f deg", degrees_off(part->miter[0]),
                     degrees_off(part->miter[1]));
}

enum { STICK_HIGH = 7 }; // mm, a stick as it is drawn

/// How far an end is drawn leaning: steeper than true where the scale leaves no room.
static double drawn_lean(double lean, double w) {
    return lean == 0 ? 0 : fmin(fmin(STICK_HIGH * tan(fabs(lean)), 3.5), w / 6);
}

/// A piece as it lies on the stick; its ends lean as they are cut, positive where the lower edge is
/// the longer one.
static void piece_picture(struct paper *p, const double leans[2], double x, double y, double w) {
    double at[4][2] = {{x, y + STICK_HIGH}, {x + w, y + STICK_HIGH}, {x + w, y}, {x, y}};
    at[leans[0] > 0 ? 3 : 0][0] += drawn_lean(leans[0], w);
    at[leans[1] > 0 ? 2 : 1][0] -= drawn_lean(leans[1], w);
    struct kw_vertex v[4];
    for (int i = 0; i < 4; i++)
        v[i] = (struct kw_vertex){.x = at[i][0], .y = at[i][1]};
    struct kw_path path = {.v = v, .count = 4};
    struct kw_pen pen = {
        .width = 0.3, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.88)};
    p->draw.paths(p->draw.user, &path, 1, pen);
}

static void pattern_picture(struct paper *p, const struct kw_run_saw *saw, int which, double y) {
    const struct kw_stick_pattern *pattern = &saw->plan.patterns[which];
    double length = saw->racks[pattern->stock]->length, x = PAPER_MARGIN,
           w = p->w - 2 * PAPER_MARGIN;
    double scale = w / length, kerf = p->week->shop->saw.kerf;
    double at = x + p->week->shop->saw.trim * scale;
    struct kw_pen frame = {.width = 0.3, .colour = KW_BLACK};
    kw_draw_box(&p->draw, x, y, w, STICK_HIGH, frame);
    for (int i = 0; i < pattern->piece_count; i++) {
        int piece = pattern->pieces[i], make = saw->makes[piece];
        double leans[2], wide = saw->lengths[piece] * scale;
        kw_run_leans(p->week->makes[make].part, saw->laid[which][i], leans);
        // A shared mitre: the piece reaches over the one before it by what both lean.
        if (saw->laid[which][i].shared) at -= drawn_lean(leans[0], wide);
        piece_picture(p, leans, at, y, wide);
        const char *job = paper_job(p, make);
        // A figure is about three quarters as wide as it is high.
        double size = fmax(2.4, fmin(4.2, (wide - 1) / (0.75 * (double)strlen(job))));
        p->draw.text(p->draw.user, at + wide / 2, y + STICK_HIGH / 2.0 + size * 0.36, size,
                     KW_CENTRE, true, 0, KW_BLACK, job);
        at += wide + kerf * scale;
    }
}

/// "cut 2, 4, 6 serve two pieces": said where pieces share slanted cuts.
static int shared_mitres(const struct paper *p, const struct kw_run_saw *saw, int which) {
    int n = 0;
    for (int i = 0; i < saw->plan.patterns[which].piece_count; i++) {
        double leans[2];
        int make = saw->makes[saw->plan.patterns[which].pieces[i]];
        kw_run_leans(p->week->makes[make].part, saw->laid[which][i], leans);
        n += saw->laid[which][i].shared && leans[0] != 0;
    }
    return n;
}

/// A row of the set-ups: pieces that need the same saw angles stand together, longest stop first.
struct setup {
    const struct kw_part *part;
    double length;
    int piece;
};

static int by_setup(const void *a, const void *b) {
    const struct setup *x = a, *y = b;
    for (int e = 0; e < 2; e++) {
        double u = x->part->miter[e], v = y->part->miter[e];
        if (u != v) return u < v ? -1 : 1;
    }
    if (x->length != y->length) return x->length > y->length ? -1 : 1;
    return x->piece < y->piece ? -1 : x->piece > y->piece;
}

static bool same_setup(const struct setup *x, const struct setup *y) {
    return x->length == y->length && x->part->miter[0] == y->part->miter[0] &&
           x->part->miter[1] == y->part->miter[1];
}

// Equal set-ups together: one line for each part, the stop named once for all that share it.
static void setups(struct paper *p, const struct kw_run_saw *saw, struct paper_head head,
                   double *y) {
    static const struct paper_column c[] = {{"job", 14},     {"part", 52}, {"stop at", 48},
                                            {">pieces", 18}, {"ends", 36}, {"done", 20}};
    struct paper_table t = {c, 6, PAPER_MARGIN, *y, 9, 4.2, head};
    struct setup *rows = KW_NEW_ARRAY(p->week->arena, struct setup, saw->piece_count);
    for (int i = 0; i < saw->piece_count; i++)
        rows[i] = (struct setup){p->week->makes[saw->makes[i]].part, saw->lengths[i], i};
    qsort(rows, (size_t)saw->piece_count, sizeof *rows, by_setup);
    paper_table_head(p, &t);
    const struct setup *last = NULL;
    for (int i = 0; i < saw->piece_count; i++) {
        int piece = rows[i].piece;
        const struct kw_make *m = &p->week->makes[saw->makes[piece]];
        int n = m->needed - (saw->plan.unplaced ? saw->plan.unplaced[piece] : 0);
        if (n == 0) continue;
        bool same = last && same_setup(last, &rows[i]);
        const char *row[] = {paper_job(p, saw->makes[piece]),
                             m->label,
                             same ? "same stop" : paper_both(p, rows[i].length),
                             kw_format(p->week->arena, "%d", n),
                             same ? "same" : ends(p, m->part),
                             ""};
        struct kw_pen tick = {.width = 0.4, .colour = KW_BLACK};
        paper_table_row(p, &t, row);
        kw_draw_box(&p->draw, PAPER_MARGIN + 169, t.y - t.row - 4, 5, 5, tick);
        last = &rows[i];
    }
    *y = t.y;
}

/// "as a bundle", "in 3 bundles of 4 and fewer", "" for one.
static const char *bundles(const struct paper *p, int times) {
    int most = p->week->shop->saw.bundle, n = most > 1 ? (times + most - 1) / most : times;
    if (times == 1 || most <= 1) return "";
    if (n == 1) return " as a bundle";
    return kw_format(p->week->arena, " in %d bundles of at most %d", n, most);
}

/// Two lines over the picture of a stick: how many of which length, and what is done with the rest.
static void stick_lines(struct paper *p, const struct kw_run_saw *saw, int which, double y) {
    const struct kw_stick_pattern *pattern = &saw->plan.patterns[which];
    double least = p->week->shop->saw.keep, w = p->w - 2 * PAPER_MARGIN;
    bool keep = least > 0 && pattern->leftover >= least - 1e-6;
    int shared = shared_mitres(p, saw, which);
    paper_fit(p, PAPER_MARGIN, y, w, 4.2, true,
              kw_format(p->week->arena, "%d x stick of %s%s: %d pieces", pattern->times,
                        paper_tape(p, saw->racks[pattern->stock]->length),
                        bundles(p, pattern->times), pattern->piece_count));
    paper_fit(p, PAPER_MARGIN, y + 5.2, w, 3.4, keep,
              kw_format(p->week->arena, "remainder %s%s: %s%s", shared ? "at least " : "",
                        paper_tape(p, pattern->leftover),
                        keep ? "back to the rack, paint its length" : "scrap",
                        shared ? kw_format(p->week->arena,
                                           "; %d slanted cut%s serve%s two pieces: turn the stick "
                                           "over after each",
                                           shared, shared == 1 ? "" : "s", shared == 1 ? "s" : "")
                               : ""));
}

static void saw_list(struct paper *p, const struct kw_run_saw *saw) {
    int pieces = 0;
    for (int i = 0; i < saw->plan.pattern_count; i++)
        pieces += saw->plan.patterns[i].times * saw->plan.patterns[i].piece_count;
    struct paper_head head = {.kind = "Saw list",
                              .job = "",
                              .part = saw->stock.text,
                              .count = kw_format(p->week->arena, "%d piece%s from %d stick%s",
                                                 pieces, pieces == 1 ? "" : "s", saw->plan.sticks,
                                                 saw->plan.sticks == 1 ? "" : "s"),
                              .caution = CAUTION_SAW,
                              .sign_boxes = true};
    paper_begin(p, head);
    double y = p->top + 4;
    setups(p, saw, head, &y);
    paper_wrapped(p, PAPER_MARGIN, y + 2, p->w - 2 * PAPER_MARGIN, PAPER_TEXT, false,
                  kw_format(p->week->arena,
                            "Trim %s off the first end. Saw cut %s. The vise must hold %s of the "
                            "remainder. Stops are to the longest point of a piece. %s",
                            paper_length(p, p->week->shop->saw.trim),
                            paper_length(p, p->week->shop->saw.kerf),
                            paper_length(p, p->week->shop->saw.hold),
                            saw->plan.proven ? "No cheaper plan exists (proven)." : ""));
    y += 16;
    for (int i = 0; i < saw->plan.pattern_count; i++, y += 22) {
        if (y > p->bottom - 20) {
            paper_begin(p, head);
            y = p->top + 6;
        }
        stick_lines(p, saw, i, y);
        pattern_picture(p, saw, i, y + 8);
    }
}

void paper_saw_lists(struct paper *p) {
    for (int i = 0; i < p->week->saw_count; i++) {
        if (p->week->saws[i].plan.pattern_count > 0) saw_list(p, &p->week->saws[i]);
    }
}
