// SPDX-License-Identifier: Apache-2.0
// The first piece of a bent tube: what to measure, with room to write; and where dial or tape stand
// at each bend, for a bender that does not turn the tube by itself.
#include "packet/paper.h"

enum { DIAL = 17, STRIP = 12, ROW = 8 }; // mm

struct first {
    struct paper *p;
    const struct kw_make *make;
    const struct kw_examined *what;
    struct paper_head head;
    double y;
};

static void need(struct first *f, double room) {
    if (f->y + room <= f->p->bottom) return;
    paper_begin(f->p, f->head);
    f->y = f->p->top + 2;
}

static void row(struct first *f, const char *what, const char *value) {
    struct paper *p = f->p;
    struct kw_pen line = {.width = 0.3, .colour = KW_BLACK};
    need(f, 2);
    paper_fit(p, PAPER_MARGIN, f->y, 84, 3.2, false, what);
    paper_fit(p, PAPER_MARGIN + 86, f->y, 64, 4.2, true, value);
    kw_draw_line(&p->draw, PAPER_MARGIN + 152, f->y + 1, p->w - PAPER_MARGIN, f->y + 1, line);
    f->y += ROW;
}

static void wrapped(struct first *f, const char *text) {
    need(f, 10);
    f->y = paper_wrapped(f->p, PAPER_MARGIN, f->y, f->p->w - 2 * PAPER_MARGIN, PAPER_TEXT, false,
                         text) +
           1;
}

static void title(struct first *f, const char *text) {
    need(f, 24);
    paper_text(f->p, PAPER_MARGIN, f->y, 3.6, true, text);
    f->y += ROW;
}

/// What a tape and a protractor read, outside to outside, on the finished piece.
static void check_list(struct first *f) {
    struct kw_arena *a = f->p->week->arena;
    const struct kw_tube_table *t = f->what->tube;
    double od = f->make->part->stock.width;
    struct kw_vec3 size = kw_sub3(f->what->box.max, f->what->box.min);
    title(f, "First piece: measure outside to outside, write what you find");
    row(f, "overall left to right", paper_both(f->p, size.x));
    row(f, "overall front to back", paper_both(f->p, size.y));
    row(f, "overall height", paper_both(f->p, size.z));
    for (int i = 0; i <= t->count; i++) {
        row(f, kw_format(a, "leg %d from end 1, by tape", i + 1),
            paper_both(f->p, kw_tube_tape(t, od, i)));
        if (i == t->count) break;
        if (fabs(t->bends[i].rotate) > 1e-6)
            row(f, kw_format(a, "plane of bend %d from that of bend %d", i + 1, i),
                paper_degrees(f->p, fabs(t->bends[i].rotate)));
        row(f, kw_format(a, "bend %d, turned from straight", i + 1),
            paper_degrees(f->p, t->bends[i].angle));
    }
    row(f, "least diameter in any bend, not under",
        paper_both(f->p, od * (1 - KW_TUBE_FLATTENING_LIMIT)));
    row(f, "no kink, wrinkle or crack; seam where it should be", "yes / no");
}

static const char *seam_text(const struct first *f) {
    struct kw_tube_seam seam = kw_tube_seam(f->what->tube);
    if (seam.off < KW_PI / 180) return "to the side of the bend plane";
    return kw_format(f->p->week->arena,
                     "%.0f deg from the plane of the first bend, counter-clockwise seen from the "
                     "clamp: at most %.0f deg off the side in any bend",
                     seam.from_first * 180 / KW_PI, seam.off * 180 / KW_PI);
}

static void metal_line(struct first *f) {
    struct kw_tube_size size = {f->make->part->stock.width, f->make->part->stock.thickness};
    struct kw_tube_form form = kw_tube_form(size, f->what->tube->bends[0].radius);
    wrapped(
        f,
        kw_format(
            f->p->week->arena,
            "Expect: outer wall thins %.0f %% to %s, radius %.1f x diameter, diameter %.0f x wall. "
            "Weld seam %s. Most flattening allowed: 8 %% of the diameter (ASME B31.1), or a plug "
            "of that size must pass.",
            form.thinning * 100, paper_length(f->p, form.outer_wall), form.r_over_d,
            form.wall_factor, seam_text(f)));
}

static const char *swing_text(const struct paper *p) {
    const struct kw_bender *b = &p->week->shop->bender;
    if (!(b->floor > 0) && b->bodies.count == 0)
        return "Swing checked against the tube itself only: shop.yaml says neither floor nor "
               "bodies of the bender.";
    return kw_format(
        p->week->arena,
        "Swing checked through every bend, and on the way from bend to bend, against the tube "
        "itself, %s and %d bodies at the bender, by figures: walk it through by hand first.",
        b->floor > 0 ? "the floor" : "no floor", b->bodies.count);
}

static bool is_indexed(const struct first *f) {
    bool turns = false;
    for (int b = 0; b < f->what->tube->count; b++)
        turns = turns || fabs(f->what->marks[b].rotate) > 1e-6;
    return turns && !f->p->week->shop->bender.turns_by_itself;
}

/// Where a dial on the stick stands at each bend.
static void dial(const struct first *f, double x, double y) {
    const struct kw_draw *d = &f->p->draw;
    struct kw_pen line = {.width = 0.2, .colour = KW_BLACK},
                  hand = {.width = 0.5, .colour = KW_BLACK};
    kw_draw_circle(d, x, y, DIAL, line);
    for (int degrees = 0; degrees < 360; degrees += 10) {
        double a = degrees * KW_PI / 180, in = degrees % 30 == 0 ? DIAL - 3 : DIAL - 1.5;
        kw_draw_line(d, x + in * sin(a), y - in * cos(a), x + DIAL * sin(a), y - DIAL * cos(a),
                     line);
    }
    for (int b = 0; b < f->what->tube->count; b++) {
        double a = f->what->marks[b].index; // comes up when the stick is turned the other way
        kw_draw_line(d, x, y, x + (DIAL - 4) * sin(a), y - (DIAL - 4) * cos(a), hand);
        d->text(d->user, x + (DIAL + 4) * sin(a), y - (DIAL + 4) * cos(a) + 1.3, 3.6, KW_CENTRE,
                true, 0, KW_BLACK, kw_format(f->p->week->arena, "%d", b + 1));
    }
}

/// The same as a strip of true size to wrap round the tube: a line a bend, a tick every 10 degrees.
static void strip(const struct first *f, double x, double y) {
    const struct kw_draw *d = &f->p->draw;
    double round = KW_PI * f->make->part->stock.width;
    struct kw_pen line = {.width = 0.25, .colour = KW_BLACK},
                  mark = {.width = 0.5, .colour = KW_BLACK};
    kw_draw_line(d, x, y, x + round, y, line);
    kw_draw_line(d, x, y + STRIP, x + round, y + STRIP, line);
    kw_draw_line(d, x, y, x, y + STRIP, line);
    kw_draw_line(d, x + round, y, x + round, y + STRIP, line);
    for (int degrees = 10; degrees < 360; degrees += 10) {
        double at = x + round * degrees / 360;
        kw_draw_line(d, at, y + STRIP, at, y + STRIP - (degrees % 30 == 0 ? 3 : 1.5), line);
    }
    for (int b = 0; b < f->what->tube->count; b++) {
        double at = x + round * f->what->marks[b].index / (2 * KW_PI);
        kw_draw_line(d, at, y, at, y + STRIP, mark);
        d->text(d->user, at + 0.8, y + 4.4, 3.6, KW_LEFT, true, 0, KW_BLACK,
                kw_format(f->p->week->arena, "%d", b + 1));
    }
}

static void index_by_hand(struct first *f) {
    struct paper *p = f->p;
    double round = KW_PI * f->make->part->stock.width, x = PAPER_MARGIN + DIAL + 7;
    bool fits = round <= p->w - 2 * PAPER_MARGIN;
    need(f, 2 * DIAL + 24 + STRIP);
    f->y += 2;
    paper_text(p, PAPER_MARGIN, f->y, 3.6, true, "Turning by hand: dial or tape");
    dial(f, x, f->y + DIAL + 9);
    paper_wrapped(
        p, x + DIAL + 8, f->y + 9, p->w - PAPER_MARGIN - x - DIAL - 8, 3, false,
        kw_format(p->week->arena,
                  "Dial as seen from the clamp, looking along the stick: clamp a disc marked in "
                  "degrees, rising clockwise, to the stick, 0 up in the first bend; turn the stick "
                  "counter-clockwise until the number in the bend table stands up. Tape: "
                  "wrap it clockwise round the tube from the same line; the bend table says how "
                  "far round its outside. Once round is %s.%s",
                  paper_both(p, round),
                  fits
                      ? " The strip below is that tape at true size, printed at 100 %: cut it out; "
                        "its ends must just meet."
                      : ""));
    f->y += 2 * DIAL + 18;
    if (!fits) return;
    strip(f, PAPER_MARGIN, f->y);
    f->y += STRIP + 6;
}

void paper_tube_first(struct paper *p, const struct kw_make *m, struct paper_head head, double y) {
    struct first f = {p, m, m->what, head, y + 6};
    // The list stands whole where a page holds it.
    double rows = 7 + 3 * m->what->tube->count;
    if (f.y + ROW * rows > p->bottom) need(&f, p->h);
    check_list(&f);
    f.y += 2;
    metal_line(&f);
    wrapped(&f, swing_text(p));
    if (is_indexed(&f)) index_by_hand(&f);
}
