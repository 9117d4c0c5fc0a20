// SPDX-License-Identifier: Apache-2.0
// Tube sheets.
#include "packet/cautions.h"
#include "packet/paper.h"

#include <stdio.h>
#include <string.h>

// ------------------------------------------------------------------------------------ tube sheets

static const char *die_name(const struct paper *p, int die) {
    if (die < 0) return "none";
    return KW_ITEM(struct kw_bender_die, p->week->shop->bender.dies, die)->name;
}

/// Of the first bend's die; what is finished where there is none.
static double die_radius(const struct paper *p, const struct kw_examined *what) {
    int die = what->marks[0].die;
    if (die < 0) return what->tube->bends[0].radius;
    return KW_ITEM(struct kw_bender_die, p->week->shop->bender.dies, die)->radius;
}

/// What the stick is turned by before a bend; a person may have to take it out for that.
static const char *rotation(const struct paper *p, const struct kw_tube_mark *m) {
    double by = kw_tube_turned_by(m->rotate, m->turning);
    const char *out = m->turning == KW_TUBE_LIFT_OUT ? "lift out, " : "";
    if (fabs(by) < 1e-9) return kw_format(p->week->arena, "%s0 deg", out);
    return kw_format(p->week->arena, "%s%s %s", out, paper_degrees(p, fabs(by)),
                     by > 0 ? "ccw" : "cw");
}

static double bend_table(struct paper *p, const struct kw_examined *what, struct paper_head head,
                         double y) {
    static const struct paper_column c[] = {
        {"bend", 13},  {"mark from end 1", 46}, {">turn the tube", 48},
        {">dial", 18}, {">angle", 22},          {">set to", 22},
        {"die", 22}};
    struct paper_table t = {c, 7, PAPER_MARGIN, y, 9, 4.2, head};
    paper_table_head(p, &t);
    for (int b = 0; b < what->tube->count; b++) {
        const struct kw_tube_mark *m = &what->marks[b];
        const char *row[] = {kw_format(p->week->arena, "%d", b + 1),
                             paper_both(p, m->start),
                             rotation(p, m),
                             kw_format(p->week->arena, "%.0f", m->index * 180 / KW_PI),
                             paper_degrees(p, m->angle),
                             paper_degrees(p, m->angle_under_load),
                             die_name(p, m->die)};
        paper_table_row(p, &t, row);
    }
    return t.y;
}

// The stick laid out straight with its marks.
static double stick_picture(struct paper *p, const struct kw_examined *what, double y) {
    double x = PAPER_MARGIN, w = p->w - 2 * PAPER_MARGIN, scale = w / what->cut_length;
    struct kw_pen pen = {
        .width = 0.4, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.9)};
    struct kw_pen mark = {.width = 0.5, .colour = KW_BLACK};
    kw_draw_box(&p->draw, x, y + 5, w, 5, pen);
    paper_text(p, x, y + 15, PAPER_TEXT, true, "end 1, in the clamp first");
    paper_text_right(p, x + w, y + 15, PAPER_TEXT, true, "end 2");
    for (int b = 0; b < what->tube->count; b++) {
        double a = x + what->marks[b].start * scale, e = x + what->marks[b].end * scale;
        struct kw_pen zone = {.fill = true, .fill_colour = KW_GREY(0.6)};
        kw_draw_box(&p->draw, a, y + 5, e - a, 5, zone);
        kw_draw_line(&p->draw, a, y + 3.5, a, y + 11, mark);
        char text[16];
        snprintf(text, sizeof text, "%d", b + 1);
        p->draw.text(p->draw.user, a, y + 2.8, 3, KW_CENTRE, true, 0, KW_BLACK, text);
    }
    return y + 20;
}

static double views(struct paper *p, const struct kw_examined *what, double y) {
    static const struct {
        const char *axes, *name;
    } view[] = {{"xz", "front"}, {"yz", "from the right"}, {"xy", "from above"}, {"iso", ""}};
    double w = (p->w - 2 * PAPER_MARGIN) / 4;
    struct kw_pen frame = {.width = 0.15, .colour = KW_GREY(0.6)};
    for (int i = 0; i < 4; i++) {
        double x = PAPER_MARGIN + i * w;
        kw_draw_box(&p->draw, x, y, w, 48, frame);
        paper_tube_view(p, what, view[i].axes, x + 2, y + 2, w - 4, 41);
        p->draw.text(p->draw.user, x + w / 2, y + 46.5, PAPER_SMALL, KW_CENTRE, false, 0, KW_BLACK,
                     view[i].name);
    }
    return y + 54;
}

static void tape_row(struct paper *p, double y, const char *what, double size) {
    struct kw_pen line = {.width = 0.3, .colour = KW_BLACK};
    paper_fit(p, PAPER_MARGIN, y, 84, 3, false, what);
    paper_text(p, PAPER_MARGIN + 88, y, 4.2, true, paper_both(p, size));
    kw_draw_line(&p->draw, PAPER_MARGIN + 154, y, p->w - PAPER_MARGIN, y, line);
}

// What a tape reads, outside to outside, on the finished piece.
static double tape_list(struct paper *p, const struct kw_examined *what, double y) {
    paper_text(p, PAPER_MARGIN, y, 3.6, true,
               "First piece, by tape, outside to outside; write what you find");
    y += 8;
    struct kw_vec3 size = kw_sub3(what->box.max, what->box.min);
    tape_row(p, y, "overall left to right", size.x);
    tape_row(p, y + 8, "overall front to back", size.y);
    tape_row(p, y + 16, "overall height", size.z);
    y += 24;
    for (int i = 0; i <= what->tube->count; i++, y += 8)
        tape_row(p, y, kw_format(p->week->arena, "leg %d from end 1", i + 1),
                 kw_tube_tape(what->tube, what->part->stock.width, i));
    return y;
}

static const char *seam_text(const struct paper *p, const struct kw_tube_table *table) {
    struct kw_tube_seam seam = kw_tube_seam(table);
    if (seam.off < KW_PI / 180) return "to the side of the bend plane";
    return kw_format(p->week->arena,
                     "%.0f deg from the plane of the first bend, counter-clockwise seen from the "
                     "clamp: at most %.0f deg off the side in any bend",
                     seam.from_first * 180 / KW_PI, seam.off * 180 / KW_PI);
}

static double metal_line(struct paper *p, const struct kw_examined *what, double y) {
    struct kw_tube_size size = {what->part->stock.width, what->part->stock.thickness};
    struct kw_tube_form form = kw_tube_form(size, what->tube->bends[0].radius);
    return paper_wrapped(
        p, PAPER_MARGIN, y, p->w - 2 * PAPER_MARGIN, PAPER_TEXT, false,
        kw_format(
            p->week->arena,
            "Expect: outer wall thins %.0f %% to %s, radius %.1f x diameter, diameter %.0f x wall. "
            "Weld seam %s. Most flattening allowed: 8 %% of the diameter (ASME B31.1), or a plug "
            "of "
            "that size must pass.",
            form.thinning * 100, paper_length(p, form.outer_wall), form.r_over_d, form.wall_factor,
            seam_text(p, what->tube)));
}

static const char *swing_text(const struct paper *p) {
    const struct kw_bender *b = &p->week->shop->bender;
    if (!(b->floor > 0) && b->bodies.count == 0)
        return "Swing checked against the tube itself only: shop.yaml says neither floor nor "
               "bodies "
               "of the bender.";
    return kw_format(p->week->arena,
                     "Swing checked through every bend, and on the way from bend to bend, against "
                     "the tube itself, %s and %d bodies at "
                     "the bender, by figures: walk it through by hand first.",
                     b->floor > 0 ? "the floor" : "no floor", b->bodies.count);
}

enum { DIAL = 15 }; // mm, radius of the drawing

static bool has_dial(const struct paper *p, const struct kw_examined *what) {
    bool turns = false;
    for (int b = 0; b < what->tube->count; b++)
        turns = turns || fabs(what->marks[b].rotate) > 1e-6;
    return turns && !p->week->shop->bender.turns_by_itself;
}

// Where a dial on the stick stands at each bend, for a bender without a rotation axis: clamp a disc
// marked in degrees to the stick, set it to 0 in the first bend's plane, and turn to the next
// number.
static void dial(struct paper *p, const struct kw_examined *what, double y) {
    double x = PAPER_MARGIN + DIAL + 12;
    struct kw_pen line = {.width = 0.2, .colour = KW_BLACK},
                  hand = {.width = 0.5, .colour = KW_BLACK};
    if (!has_dial(p, what)) return;
    y += DIAL + 7;
    kw_draw_circle(&p->draw, x, y, DIAL, line);
    for (int degrees = 0; degrees < 360; degrees += 10) {
        double a = degrees * KW_PI / 180, in = degrees % 30 == 0 ? DIAL - 3 : DIAL - 1.5;
        kw_draw_line(&p->draw, x + in * sin(a), y - in * cos(a), x + DIAL * sin(a),
                     y - DIAL * cos(a), line);
    }
    for (int b = 0; b < what->tube->count; b++) {
        double a = what->marks[b].index; // comes up when the stick is turned the other way
        kw_draw_line(&p->draw, x, y, x + (DIAL - 4) * sin(a), y - (DIAL - 4) * cos(a), hand);
        p->draw.text(p->draw.user, x + (DIAL + 3) * sin(a), y - (DIAL + 3) * cos(a) + 1, PAPER_TEXT,
                     KW_CENTRE, true, 0, KW_BLACK, kw_format(p->week->arena, "%d", b + 1));
    }
    paper_wrapped(p, x + DIAL + 8, y - 6, p->w - PAPER_MARGIN - x - DIAL - 8, PAPER_TEXT, false,
                  "Dial as seen from the clamp, looking along the stick: clamp a disc marked in "
                  "degrees, rising clockwise, to the stick, 0 up in the first bend; turn the stick "
                  "counter-clockwise until the number in the column \"dial\" stands up.");
}

static void tube_sheet(struct paper *p, int make) {
    const struct kw_make *m = &p->week->makes[make];
    const struct kw_examined *what = m->what;
    struct paper_head head = {.kind = "Tube sheet",
                              .job = paper_job(p, make),
                              .part = m->label,
                              .revision = m->part->revision,
                              .count = kw_format(p->week->arena, "%d", m->needed),
                              .caution = CAUTION_TUBE,
                              .sign_boxes = true};
    paper_begin(p, head);
    double y = p->top;
    paper_value(p, PAPER_MARGIN, y, 64, "cut length", paper_tape(p, what->cut_length));
    paper_value(p, PAPER_MARGIN + 64, y, 64, "centreline radius of the die",
                paper_length(p, die_radius(p, what)));
    paper_value(p, PAPER_MARGIN + 128, y, 64, "mass each", paper_mass(p, what->mass));
    y += 17;
    paper_textf(p, PAPER_MARGIN, y, 3, false, "%s   cut to %s exactly, opens to a radius of %s%s",
                m->part->stock.text, paper_length(p, what->cut_length),
                paper_length(p, what->tube->bends[0].radius),
                what->from_end ? "; end 1 is the one written last" : "");
    if (what->trims.start > 0 || what->trims.end > 0) {
        paper_textf(p, PAPER_MARGIN, y + 5, 3, true,
                    "After bending trim %s off end 1 and %s off end 2",
                    paper_length(p, what->trims.start), paper_length(p, what->trims.end));
        y += 5;
    }
    y = views(p, what, y + 4);
    y = stick_picture(p, what, y);
    y = bend_table(p, what, head, y + 3);
    paper_text(
        p, PAPER_MARGIN, y, PAPER_SMALL, false,
        "Mark: where the bend starts, at the die's tangent line. Turn: ccw, cw: counter-clockwise, "
        "clockwise, seen from the clamp, looking along the stick.");
    // Tape list, expectations and dial stand together, on a page of their own when they must.
    double room = 8 + 8 * (4 + what->tube->count) + 26 + (has_dial(p, what) ? 2 * DIAL + 14 : 0);
    if (y + 9 + room > p->bottom) {
        paper_begin(p, head);
        y = p->top;
    }
    y = tape_list(p, what, y + 9);
    y = metal_line(p, what, y + 3);
    y = paper_wrapped(p, PAPER_MARGIN, y + 1, p->w - 2 * PAPER_MARGIN, PAPER_TEXT, false,
                      swing_text(p));
    dial(p, what, y);
}

void paper_tube_sheets(struct paper *p) {
    for (int i = 0; i < p->week->make_count; i++) {
        const struct kw_make *m = &p->week->makes[i];
        if (m->what->tube && m->what->tube->count > 0 && m->placed > 0) tube_sheet(p, i);
    }
}
