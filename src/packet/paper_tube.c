// SPDX-License-Identifier: Apache-2.0
// Tube sheets.
#include "packet/cautions.h"
#include "packet/paper.h"

#include <stdio.h>

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

/// What the stick is turned by before a bend.
static const char *rotation(const struct paper *p, const struct kw_tube_mark *m) {
    double by = kw_tube_turned_by(m->rotate, m->turning);
    if (fabs(by) < 1e-9) return "0 deg";
    return kw_format(p->week->arena, "%s %s", paper_degrees(p, fabs(by)), by > 0 ? "ccw" : "cw");
}

/// How far round the outside, from the line that is up in the first bend.
static const char *index_text(const struct paper *p, const struct kw_examined *what,
                              const struct kw_tube_mark *m) {
    bool stays = fabs(m->index) < 1e-9 && fabs(m->rotate) < 1e-9;
    if (p->week->shop->bender.turns_by_itself || stays) return "";
    return kw_format(p->week->arena, "dial %s, tape %s", paper_degrees(p, m->index),
                     paper_both(p, m->index * what->part->stock.width / 2));
}

enum { COLUMNS = 5, BEND_ROW = 15 };
static const struct {
    const char *title;
    double at; ///< mm from the margin
} columns[COLUMNS] = {
    {"bend", 0}, {"mark from end 1", 14}, {"turn the tube", 68}, {"set to", 134}, {"die", 172}};

static void bend_head(const struct paper *p, double y) {
    struct kw_pen line = {.width = 0.35, .colour = KW_BLACK};
    for (int i = 0; i < COLUMNS; i++)
        paper_text(p, PAPER_MARGIN + columns[i].at, y, 3.2, true, columns[i].title);
    kw_draw_line(&p->draw, PAPER_MARGIN, y + 1.5, p->w - PAPER_MARGIN, y + 1.5, line);
}

/// One bend: what is read at the bender large, what stands behind it small. Returns its height.
static double bend_row(const struct paper *p, const struct kw_examined *what, int bend, double y) {
    const struct kw_tube_mark *m = &what->marks[bend];
    const char *big[COLUMNS] = {kw_format(p->week->arena, "%d", bend + 1), paper_tape(p, m->start),
                                rotation(p, m), paper_degrees(p, m->angle_under_load),
                                die_name(p, m->die)};
    const char *small[COLUMNS] = {"", paper_length(p, m->start), index_text(p, what, m),
                                  kw_format(p->week->arena, "gives %s", paper_degrees(p, m->angle)),
                                  ""};
    struct kw_pen line = {.width = 0.15, .colour = KW_GREY(0.5)};
    for (int i = 0; i < COLUMNS; i++) {
        double right = i + 1 < COLUMNS ? columns[i + 1].at : p->w - 2 * PAPER_MARGIN;
        double x = PAPER_MARGIN + columns[i].at, w = right - columns[i].at - 4;
        paper_fit(p, x, y, w, PAPER_BIG, true, big[i]);
        paper_fit(p, x, y + 4.6, w, 3, false, small[i]);
    }
    double more = m->turning == KW_TUBE_LIFT_OUT ? 5.5 : 0;
    if (more > 0)
        paper_fit(p, PAPER_MARGIN + columns[2].at, y + 10, p->w - 2 * PAPER_MARGIN - columns[2].at,
                  3.6, true, "LIFT OUT of the bender, turn it, lay it in again");
    kw_draw_line(&p->draw, PAPER_MARGIN, y + 6.6 + more, p->w - PAPER_MARGIN, y + 6.6 + more, line);
    return BEND_ROW + more;
}

static double bend_table(struct paper *p, const struct kw_examined *what, struct paper_head head,
                         double y) {
    bend_head(p, y);
    y += 10;
    for (int b = 0; b < what->tube->count; b++) {
        if (y + 12 > p->bottom) {
            paper_begin(p, head);
            bend_head(p, p->top + 2);
            y = p->top + 12;
        }
        y += bend_row(p, what, b, y);
    }
    return y - 3;
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

enum { VIEW_HIGH = 56, SIZE_ROOM = 7 };

/// A size between two points of the page, level or upright.
static void size_line(const struct paper *p, struct kw_vec2 a, struct kw_vec2 b, double size) {
    struct kw_pen pen = {.width = 0.18, .colour = KW_BLACK};
    struct kw_vec2 m = kw_lerp2(a, b, 0.5);
    bool upright = fabs(b.y - a.y) > fabs(b.x - a.x);
    kw_draw_arrow(&p->draw, m.x, m.y, a.x, a.y, 1.6, pen);
    kw_draw_arrow(&p->draw, m.x, m.y, b.x, b.y, 1.6, pen);
    p->draw.text(p->draw.user, m.x - (upright ? 1.2 : 0), m.y + (upright ? 0 : 3.8), PAPER_TEXT,
                 KW_CENTRE, true, upright ? KW_PI / 2 : 0, KW_BLACK, paper_tape(p, size));
}

static double axis_size(const struct kw_examined *what, char axis) {
    struct kw_vec3 size = kw_sub3(what->box.max, what->box.min);
    return axis == 'x' ? size.x : axis == 'y' ? size.y : size.z;
}

// Front, right and above, each with its outside sizes, and one at a slant.
static double views(const struct paper *p, const struct kw_examined *what, double y) {
    static const struct {
        const char *axes, *name;
    } view[] = {{"xz", "front"}, {"yz", "from the right"}, {"xy", "from above"}, {"iso", ""}};
    double w = (p->w - 2 * PAPER_MARGIN) / 4, room = SIZE_ROOM;
    struct kw_pen frame = {.width = 0.15, .colour = KW_GREY(0.6)};
    for (int i = 0; i < 4; i++) {
        double x = PAPER_MARGIN + i * w;
        bool sized = i < 3;
        kw_draw_box(&p->draw, x, y, w, VIEW_HIGH, frame);
        struct kw_box2 b = paper_tube_view(p, what, view[i].axes, x + (sized ? room : 1), y + 2,
                                           w - (sized ? room + 3 : 2), VIEW_HIGH - 7 - room);
        if (sized) {
            size_line(p, kw_v2(b.min.x, b.max.y + 3), kw_v2(b.max.x, b.max.y + 3),
                      axis_size(what, view[i].axes[0]));
            size_line(p, kw_v2(b.min.x - 3, b.max.y), kw_v2(b.min.x - 3, b.min.y),
                      axis_size(what, view[i].axes[1]));
        }
        p->draw.text(p->draw.user, x + w / 2, y + VIEW_HIGH - 1.5, PAPER_TEXT, KW_CENTRE, false, 0,
                     KW_BLACK, view[i].name);
    }
    return y + VIEW_HIGH + 6;
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
    y = paper_wrapped(p, PAPER_MARGIN, y, p->w - 2 * PAPER_MARGIN, PAPER_TEXT, false,
                      "Mark: where the bend starts, at the die's tangent line. Turn: ccw, cw: "
                      "counter-clockwise, clockwise, seen from the clamp, looking along the stick; "
                      "feed the tube on first, then turn it.");
    paper_tube_first(p, m, head, y);
}

void paper_tube_sheets(struct paper *p) {
    for (int i = 0; i < p->week->make_count; i++) {
        const struct kw_make *m = &p->week->makes[i];
        if (m->what->tube && m->what->tube->count > 0 && m->placed > 0) tube_sheet(p, i);
    }
}
