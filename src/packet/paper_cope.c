// SPDX-License-Identifier: Apache-2.0
// End cuts of tube and bar: what to saw, drill and flatten, and copes as templates to wrap round
// the tube, printed at true size with a ruler to check the print by.
#include "packet/cautions.h"
#include "packet/paper.h"

#include <stdio.h>

#define STRIP_MOST 180.0 // mm of circumference side by side; longer ones go on in the next row
#define LIP        12.0  // mm of paper below the deepest point, to tape down
enum { CURVE_STEPS = 240 };

static const char *end_name(int end) {
    return end == 0 ? "start" : "end";
}

bool paper_has_end_cuts(const struct kw_make *m) {
    const struct kw_end *said[2] = {&m->part->ends.start, &m->part->ends.end};
    bool any = m->part->drill.count > 0;
    for (int i = 0; i < 2; i++)
        any = any || m->what->ends[i].cope.onto > 0 || said[i]->miter != 0 ||
              said[i]->flatten > 0 || said[i]->fit.is;
    return m->part->stock.kind != KW_SHEET && any;
}

/// The cut at one end as a curve below its tip; the tip takes a search, so it is looked for once.
struct curve {
    const struct kw_tube_end *cut;
    double radius, inner, tip, deepest;
};

/// How deep the cut is below its tip on the line `around`, at the outside (inside: the inner wall).
static double depth_at(const struct curve *c, double around, bool inside) {
    return c->tip - kw_tube_end_at(c->cut, inside ? c->inner : c->radius, around);
}

static struct curve curve_of(const struct kw_make *m, int end) {
    struct curve c = {.cut = &m->what->ends[end], .radius = m->part->stock.width / 2};
    c.inner = c.radius - m->part->stock.thickness;
    c.tip = kw_tube_end_tip(c.cut, c.radius);
    for (int i = 0; i < CURVE_STEPS; i++)
        c.deepest = fmax(c.deepest, depth_at(&c, 2 * KW_PI * i / CURVE_STEPS, false));
    return c;
}

// ---------------------------------------------------------------------------------------- template

struct kw_path paper_cope_outline(struct kw_arena *a, const struct kw_make *m, int end) {
    struct curve c = curve_of(m, end);
    double wide = KW_PI * m->part->stock.width, high = c.deepest + LIP;
    struct kw_path path = {.v = KW_NEW_ARRAY(a, struct kw_vertex, CURVE_STEPS + 3),
                           .count = CURVE_STEPS + 3};
    path.v[0] = (struct kw_vertex){.x = 0, .y = 0};
    path.v[1] = (struct kw_vertex){.x = wide, .y = 0};
    for (int i = 0; i <= CURVE_STEPS; i++) {
        double part = 1 - (double)i / CURVE_STEPS;
        path.v[2 + i] =
            (struct kw_vertex){.x = part * wide, .y = high - depth_at(&c, 2 * KW_PI * part, false)};
    }
    return path;
}

/// One row of the strip, from `from` to `to` (fractions of the way round), its tip line at y.
static void strip_row(struct paper *p, const struct curve *c, double from, double to, double y) {
    double wide = 2 * KW_PI * c->radius, foot = y + c->deepest + LIP;
    struct kw_pen line = {.width = 0.25, .colour = KW_BLACK};
    struct kw_pen dash = {.width = 0.2, .colour = KW_GREY(0.4), .dash = 1.5, .gap = 1};
    struct kw_pen hair = {.width = 0.1, .colour = KW_GREY(0.5)};
    double x0 = PAPER_MARGIN, x1 = x0 + (to - from) * wide;
    for (int inside = 0; inside < 2; inside++) {
        struct kw_path curve = {.v = KW_NEW_ARRAY(p->scratch, struct kw_vertex, CURVE_STEPS + 1),
                                .count = CURVE_STEPS + 1,
                                .open = true};
        for (int i = 0; i <= CURVE_STEPS; i++) {
            double part = from + (to - from) * i / CURVE_STEPS;
            curve.v[i] = (struct kw_vertex){.x = x0 + (part - from) * wide,
                                            .y = y + depth_at(c, 2 * KW_PI * part, inside != 0)};
        }
        p->draw.paths(p->draw.user, &curve, 1, inside ? dash : line);
    }
    kw_draw_line(&p->draw, x0, foot, x1, foot, line);
    kw_draw_line(&p->draw, x0, y + depth_at(c, 2 * KW_PI * from, false), x0, foot, line);
    kw_draw_line(&p->draw, x1, y + depth_at(c, 2 * KW_PI * to, false), x1, foot, line);
    for (int degrees = 0; degrees <= 360; degrees += 30) {
        double part = degrees / 360.0, x = x0 + (part - from) * wide;
        if (part < from - 1e-9 || part > to + 1e-9) continue;
        kw_draw_line(&p->draw, x, y + depth_at(c, 2 * KW_PI * part, false), x, foot, hair);
        char text[16];
        snprintf(text, sizeof text, "%d", degrees);
        if (degrees < 360)
            p->draw.text(p->draw.user, x + 0.5, foot - 1.5, PAPER_SMALL, KW_LEFT, degrees == 0, 0,
                         KW_BLACK, text);
    }
}

/// 100 mm and 4 in, to hold a rule against.
static void ruler(struct paper *p, double x, double y) {
    struct kw_pen line = {.width = 0.25, .colour = KW_BLACK};
    kw_draw_line(&p->draw, x, y, x + 100, y, line);
    for (int i = 0; i <= 10; i++)
        kw_draw_line(&p->draw, x + 10 * i, y, x + 10 * i, y - (i % 5 == 0 ? 5 : 3), line);
    kw_draw_line(&p->draw, x, y + 8, x + 4 * KW_MM_PER_IN, y + 8, line);
    for (int i = 0; i <= 16; i++) {
        double at = x + i * KW_MM_PER_IN / 4;
        kw_draw_line(&p->draw, at, y + 8, at, y + 8 - (i % 4 == 0 ? 5 : 3), line);
    }
    paper_text(p, x + 106, y, PAPER_TEXT, true, "100 mm");
    paper_text(p, x + 106, y + 8, PAPER_TEXT, true, "4 in");
}

/// The turn of a cut as it is set: counter-clockwise looking at its end.
static const char *turn_text(const struct paper *p, const struct kw_tube_end *e) {
    double turn = fmod(e->turn + 2 * KW_PI, 2 * KW_PI);
    return paper_degrees(p, turn > 2 * KW_PI - 1e-9 ? 0 : turn);
}

static double saw_line(struct paper *p, const struct kw_make *m, int end, double y) {
    const struct kw_tube_end *e = &m->what->ends[end];
    const double wide = (p->w - 2 * PAPER_MARGIN) / 4;
    const char *const values[4][2] = {{"hole saw", paper_tape(p, e->cope.onto)},
                                      {"tube to the saw's axis", paper_degrees(p, e->cope.angle)},
                                      {"centre off by", paper_tape(p, fabs(e->cope.offset))},
                                      {"turned from the line", turn_text(p, e)}};
    for (int i = 0; i < 4; i++)
        paper_value(p, PAPER_MARGIN + i * wide, y, wide, values[i][0], values[i][1]);
    return paper_wrapped(
        p, PAPER_MARGIN, y + 16.5, p->w - 2 * PAPER_MARGIN, PAPER_TEXT, false,
        kw_format(
            p->week->arena,
            "Exactly: %s, %s off centre. The line is the reference line on the tube; the turn "
            "runs counter-clockwise looking at this end.",
            paper_length(p, e->cope.onto), paper_length(p, fabs(e->cope.offset))));
}

static void template_page(struct paper *p, int make, int end) {
    const struct kw_make *m = &p->week->makes[make];
    struct curve c = curve_of(m, end);
    double wide = KW_PI * m->part->stock.width, high = c.deepest + LIP;
    struct paper_head head = {.kind = "Cope template",
                              .job = paper_job(p, make),
                              .part = kw_format(p->week->arena, "%s, %s", m->label, end_name(end)),
                              .revision = m->part->revision,
                              .count = kw_format(p->week->arena, "%d", m->needed),
                              .caution = CAUTION_END_CUTS};
    paper_begin(p, head);
    double y = saw_line(p, m, end, p->top - 2);
    ruler(p, PAPER_MARGIN, y + 8);
    y = paper_wrapped(
        p, PAPER_MARGIN, y + 23, p->w - 2 * PAPER_MARGIN, PAPER_TEXT, false,
        kw_format(
            p->week->arena,
            "Print at 100 %% and hold a rule against the ruler above. Cut out, wrap round the "
            "%s with 0 on the reference line, the highest point at the end of the tube; "
            "degrees run counter-clockwise looking at this end. True size. Cut on the waste side: "
            "what is above the full line goes. Full line: outside of the "
            "tube, as a hole saw leaves it. Broken line: inside edge, where the wall meets the "
            "other tube.",
            m->part->stock.text));
    int rows = (int)ceil(wide / STRIP_MOST - 1e-9);
    for (int i = 0; i < rows; i++) {
        if (y + 4 + high > p->bottom && i > 0) {
            paper_begin(p, head);
            y = p->top;
        }
        if (y + 4 + high > p->bottom) {
            paper_text(
                p, PAPER_MARGIN, y + 6, 3, true,
                "Deeper than this page: print the DXF of the template, or use the hole saw.");
            return;
        }
        strip_row(p, &c, (double)i / rows, (double)(i + 1) / rows, y + 4);
        y += high + 8;
    }
}

// --------------------------------------------------------------------------------------- end sheet

static const char *cut_text(const struct paper *p, const struct kw_make *m, int end) {
    const struct kw_tube_end *e = &m->what->ends[end];
    const struct kw_end *said = end == 0 ? &m->part->ends.start : &m->part->ends.end;
    struct kw_arena *a = p->week->arena;
    double turn = said->fit.is ? (end ? -said->fit.turn : said->fit.turn) : said->turn;
    if (e->cope.onto > 0)
        // How it is turned stands on the template alone, counted there looking at its own end.
        return kw_format(a, "cope onto %s at %s, %s: turned as its template says",
                         paper_tape(p, e->cope.onto), paper_degrees(p, e->cope.angle),
                         fabs(e->cope.offset) < 1e-6
                             ? "on centre"
                             : kw_format(a, "%s off centre", paper_tape(p, fabs(e->cope.offset))));
    if (e->miter != 0)
        return kw_format(a, "mitre: saw at %s, piece turned %s", paper_degrees(p, fabs(e->miter)),
                         paper_degrees(p, turn + (e->miter < 0 ? KW_PI : 0)));
    if (said->flatten > 0)
        return kw_format(a, "press flat over %s, in the plane turned %s: about %s wide, %s thick",
                         paper_length(p, said->flatten), paper_degrees(p, said->turn),
                         paper_length(p, kw_tube_flat_width((struct kw_tube_size){
                                             m->part->stock.width, m->part->stock.thickness})),
                         paper_length(p, 2 * m->part->stock.thickness));
    return "square";
}

enum { DRILL_ROW = 13 };

static double drill_row(struct paper *p, const struct kw_drill *d, double y) {
    bool start = d->from_start.count > 0;
    const struct kw_items *v = start ? &d->from_start : &d->from_end;
    double w = p->w - 2 * PAPER_MARGIN;
    for (int i = 0; i < v->count; i++, y += DRILL_ROW) {
        double at = *KW_ITEM(double, *v, i);
        paper_fit(p, PAPER_MARGIN, y, w, 4.6, true,
                  kw_format(p->week->arena, "drill %s at %s from the %s, turned %s",
                            paper_tape(p, d->size), paper_tape(p, at), start ? "start" : "end",
                            paper_degrees(p, d->turn)));
        paper_fit(p, PAPER_MARGIN, y + 4.6, w, 3, false,
                  kw_format(p->week->arena, "%s hole at %s, %s", paper_length(p, d->size),
                            paper_length(p, at),
                            d->both ? "through both walls" : "through one wall"));
    }
    return y;
}

static void end_sheet(struct paper *p, int make) {
    const struct kw_make *m = &p->week->makes[make];
    struct paper_head head = {.kind = "End cuts and holes",
                              .job = paper_job(p, make),
                              .part = m->label,
                              .revision = m->part->revision,
                              .count = kw_format(p->week->arena, "%d", m->needed),
                              .caution = CAUTION_END_CUTS,
                              .sign_boxes = true};
    paper_begin(p, head);
    double y = p->top, w = p->w - 2 * PAPER_MARGIN;
    paper_value(p, PAPER_MARGIN, y, 64, "sawn to", paper_tape(p, m->what->cut_length));
    paper_textf(p, PAPER_MARGIN + 70, y + 4, 3.2, false, "%s", m->part->stock.text);
    paper_textf(p, PAPER_MARGIN + 70, y + 10, 3.2, false, "%s exactly, to the longest point",
                paper_length(p, m->what->cut_length));
    y += 23;
    for (int end = 0; end < 2; end++) {
        y = paper_wrapped(p, PAPER_MARGIN, y, w, 4.6, true,
                          kw_format(p->week->arena, "%s: %s", end_name(end), cut_text(p, m, end)));
        y += 4;
    }
    for (int i = 0; i < m->part->drill.count; i++)
        y = drill_row(p, KW_ITEM(struct kw_drill, m->part->drill, i), y);
    paper_wrapped(p, PAPER_MARGIN, y + 2, w, 3, false,
                  "Scribe the reference line along the piece first: on top where it lies with its "
                  "start to the left; on the outside of the first bend of a bent tube. Turns run "
                  "counter-clockwise looking at the start from outside. Lengths are to the longest "
                  "point.");
}

void paper_end_cuts(struct paper *p) {
    for (int i = 0; i < p->week->make_count; i++) {
        const struct kw_make *m = &p->week->makes[i];
        if (!paper_has_end_cuts(m) || m->placed == 0) continue;
        end_sheet(p, i);
        for (int end = 0; end < 2; end++)
            if (m->what->ends[end].cope.onto > 0) template_page(p, i, end);
    }
}
