// SPDX-License-Identifier: Apache-2.0
// Sheet maps: what lies where, in which order the torch goes, what the operator sets and measures.
#include "packet/cautions.h"
#include "packet/paper.h"

#include <stdio.h>
#include <string.h>

// ------------------------------------------------------------------------------------ the drawing

static void draw_parts(const struct kw_draw *d, struct kw_arena *a, const struct kw_week *w,
                       const struct kw_run_sheet *s, struct kw_view view) {
    struct kw_pen pen = {
        .width = 0.25, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.9)};
    for (int i = 0; i < s->placement_count; i++) {
        const struct kw_nest_placement *p = &s->placements[i];
        struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
        struct kw_region r = kw_region_moved(a, &w->makes[p->part].blank, m);
        kw_draw_region(d, a, view, &r, pen);
    }
}

static void draw_drops(const struct kw_draw *d, struct kw_arena *a, const struct kw_run_sheet *s,
                       struct kw_view view, double text) {
    struct kw_pen pen = {.width = 0.3, .colour = KW_BLACK, .dash = 4, .gap = 2};
    for (int i = 0; i < s->drop_count; i++) {
        struct kw_vec2 lo = kw_view_point(view, s->drops[i].min),
                       hi = kw_view_point(view, s->drops[i].max);
        kw_draw_box(d, lo.x, hi.y, hi.x - lo.x, lo.y - hi.y, pen);
        d->text(d->user, (lo.x + hi.x) / 2, (lo.y + hi.y) / 2, text, KW_CENTRE, true,
                hi.x - lo.x < lo.y - hi.y ? KW_PI / 2 : 0, KW_BLACK,
                kw_format(a, "drop %s-%c", s->id, 'A' + i));
    }
}

static void draw_moves(const struct kw_draw *d, const struct kw_run_sheet *s, struct kw_view view) {
    struct kw_pen travel = {.width = 0.12, .colour = KW_GREY(0.45), .dash = 1.2, .gap = 0.8};
    struct kw_pen lead = {.width = 0.35, .colour = KW_BLACK};
    struct kw_pen dot = {.fill = true, .fill_colour = KW_BLACK};
    for (int i = 0; i < s->cut.move_count; i++) {
        const struct kw_cut_move *m = &s->cut.moves[i];
        struct kw_vec2 a = kw_view_point(view, m->from), b = kw_view_point(view, m->to);
        if (m->kind == KW_CUT_RAPID) kw_draw_line(d, a.x, a.y, b.x, b.y, travel);
        if (m->kind == KW_CUT_LEAD || m->kind == KW_CUT_MARK)
            kw_draw_line(d, a.x, a.y, b.x, b.y, lead);
        if (m->kind == KW_CUT_PIERCE) kw_draw_circle(d, a.x, a.y, 0.35, dot);
    }
}

// A place inside the outline for a label: the centroid when metal is there, else the middle of the
// longest run of metal on a few lines across.
static struct kw_vec2 label_place(const struct kw_region *r, double *room) {
    struct kw_box2 box = kw_path_box(&r->outer);
    struct kw_vec2 best = kw_region_centroid(r);
    *room = 0;
    for (int row = 1; row < 24; row++) {
        double y = box.min.y + (box.max.y - box.min.y) * row / 24, from = box.min.x;
        double step = (box.max.x - box.min.x) / 96;
        bool inside = false;
        for (int k = 0; k <= 97; k++) {
            double x = box.min.x + k * step;
            bool metal = k <= 96 && kw_region_contains(r, kw_v2(x, y));
            if (metal && !inside) from = x;
            double edge = 1 - 0.35 * fabs(row - 12.0) / 12; // prefer the middle
            if (!metal && inside && (x - from) * edge > *room) {
                *room = (x - from) * edge;
                best = kw_v2((from + x - step) / 2, y);
            }
            inside = metal;
        }
    }
    return best;
}

// Number of each outline in the order of cutting, and the job that it is.
static void draw_labels(const struct kw_draw *d, struct kw_arena *a, const struct kw_week *w,
                        const struct kw_run_sheet *s, struct kw_view view, double least_text) {
    int order = 0;
    for (int c = 0; c < s->cut.contour_count; c++) {
        const struct kw_cut_contour *k = &s->cut.contours[c];
        if (k->part < 0 || k->hole >= 0) continue;
        const struct kw_nest_placement *p = &s->placements[k->part];
        struct kw_move2 m = kw_move2_make(p->x, p->y, p->rotation, p->mirrored);
        struct kw_region r = kw_region_moved(a, &w->makes[p->part].blank, m);
        double room = 0;
        struct kw_vec2 q = kw_view_point(view, label_place(&r, &room));
        char text[64];
        snprintf(text, sizeof text, "%d:J%d", ++order, p->part + 1);
        double height = 3.4, width = d->text_width(d->user, height, true, text);
        if (width > room * view.scale)
            height *= fmax(room * view.scale / width, least_text / height);
        struct kw_pen paper = {.fill = true, .fill_colour = KW_GREY(0.98)};
        width = d->text_width(d->user, height, true, text);
        if (width > room * view.scale) { // narrower than the label: a patch keeps it readable
            kw_draw_box(d, q.x - width / 2 - 0.3, q.y - height / 2 - 0.4, width + 0.6, height + 0.8,
                        paper);
        }
        d->text(d->user, q.x, q.y + height / 2, height, KW_CENTRE, true, 0, KW_BLACK, text);
    }
}

void paper_map_drawing(const struct kw_draw *d, struct kw_arena *scratch,
                       const struct kw_week *week, const struct kw_run_sheet *s, double x, double y,
                       double w, double h, double least_text) {
    struct kw_view view = kw_view_fit((struct kw_box2){{0, 0}, {s->width, s->height}}, x, y, w, h);
    struct kw_vec2 lo = kw_view_point(view, kw_v2(0, 0)),
                   hi = kw_view_point(view, kw_v2(s->width, s->height));
    struct kw_pen frame = {.width = 0.5, .colour = KW_BLACK};
    kw_draw_box(d, lo.x, hi.y, hi.x - lo.x, lo.y - hi.y, frame);
    draw_parts(d, scratch, week, s, view);
    draw_drops(d, scratch, s, view, 4);
    draw_moves(d, s, view);
    draw_labels(d, scratch, week, s, view, least_text);
    struct kw_pen origin = {
        .width = 0.5, .colour = KW_BLACK, .fill = true, .fill_colour = KW_WHITE};
    kw_draw_circle(d, lo.x, lo.y, 1.8, origin);
    d->text(d->user, lo.x + 3, lo.y + 4.5, 3, KW_LEFT, true, 0, KW_BLACK, "X0 Y0: origin corner");
}

// ------------------------------------------------------------------------------------ the sheet

static double setting_rows(struct paper *p, const struct kw_run_sheet *s, double x, double y) {
    const struct kw_week *w = p->week;
    double feed = s->rule->feed * 60;
    bool inches = paper_unit(p) == KW_IN;
    char number[KW_NUMBER_SIZE];
    const struct {
        const char *label, *value;
    } row[] = {
        {"times to run", kw_format(w->arena, "%d", s->times)},
        {"minutes each", kw_format(w->arena, "%.1f", s->cut.cut_time / 60)},
        {"thickness", paper_length(p, s->stock.thickness)},
        {"amps", s->rule->amps > 0 ? kw_format(w->arena, "%.0f A", s->rule->amps) : "see chart"},
        {"feed a minute",
         kw_format(w->arena, "%s %s", kw_number(number, inches ? feed / KW_MM_PER_IN : feed, 0),
                   inches ? "in" : "mm")},
        {"kerf", paper_length(p, s->cut.kerf)},
        {"pierces", kw_format(w->arena, "%d", s->cut.pierces)},
        {"sheet mass", paper_mass(p, s->mass)},
    };
    for (int i = 0; i < 8; i++) {
        paper_value(p, x + (i % 4) * 63, y + (i / 4) * 13.5, 62, row[i].label, row[i].value);
    }
    return y + 28;
}

// Half a kerf, class 2 of ISO 9013 for plasma: the tolerance of a cut edge for sizes of 35 to 125
// mm.
static double cut_tolerance(double thickness) {
    return thickness <= 3.15 ? 0.7 : thickness <= 6.3 ? 0.9 : 1.3;
}

static void part_rows(struct paper *p, const struct kw_run_sheet *s, struct paper_head head) {
    static const struct paper_column c[] = {{"job", 16},
                                            {"part", 78},
                                            {">on it", 18},
                                            {"next bench", 28},
                                            {"measure first piece", 70},
                                            {"restart at", 44}};
    const struct kw_week *w = p->week;
    head.kind = "Sheet map, list";
    paper_begin(p, head);
    struct paper_table t = {c, 6, PAPER_MARGIN, p->top + 4, 7, 3.2, head};
    paper_table_head(p, &t);
    for (int m = 0; m < w->make_count; m++) {
        int count = 0, order = 0, first = 0;
        for (int k = 0; k < s->cut.contour_count; k++) {
            const struct kw_cut_contour *contour = &s->cut.contours[k];
            if (contour->part < 0 || contour->hole >= 0) continue;
            order++;
            if (s->placements[contour->part].part != m) continue;
            if (count++ == 0) first = order;
        }
        if (count == 0) continue;
        const struct kw_make *make = &w->makes[m];
        struct kw_box2 box = kw_path_box(&make->blank.outer);
        const char *row[] = {paper_job(p, m),
                             make->label,
                             kw_format(w->arena, "%d", count),
                             make->what->brake && make->what->brake->step_count > 0 ? "press brake"
                                                                                    : "pack",
                             kw_format(w->arena, "%s x %s", paper_length(p, box.max.x - box.min.x),
                                       paper_length(p, box.max.y - box.min.y)),
                             kw_format(w->arena, "cut %d", first)};
        paper_table_row(p, &t, row);
    }
    double y = t.y + 6;
    y = paper_wrapped(p, PAPER_MARGIN, y, p->w - 2 * PAPER_MARGIN, 3, false,
                      kw_format(w->arena,
                                "Cut edges hold +-%s (ISO 9013 class 2, sizes of 35 to 125 mm). "
                                "Numbers on the map are the order of the outlines; every outline's "
                                "holes come before it, nicks at bend ends before all. The program "
                                "names the part at the head of each block.",
                                paper_length(p, cut_tolerance(s->stock.thickness))));
    for (int i = 0; i < s->drop_count; i++) {
        const struct kw_box2 *b = &s->drops[i];
        paper_textf(p, PAPER_MARGIN, y + 4, 4.2, true, "Paint and book in: drop %s-%c  %s x %s  %s",
                    s->id, 'A' + i, paper_tape(p, b->max.x - b->min.x),
                    paper_tape(p, b->max.y - b->min.y), s->stock.text);
        y += 8;
    }
}

void paper_sheet_maps(struct paper *p) {
    for (int i = 0; i < p->week->sheet_count; i++) {
        const struct kw_run_sheet *s = &p->week->sheets[i];
        if (!s->program) continue;
        struct paper_head head = {
            .kind = "Sheet map",
            .job = s->id,
            .part = kw_format(p->week->arena, "%s, %s x %s", s->stock.text, paper_tape(p, s->width),
                              paper_tape(p, s->height)),
            .count = kw_format(p->week->arena, "%d sheet%s   program %s", s->times,
                               s->times > 1 ? "s" : "", strrchr(s->program, '/') + 1),
            .caution = CAUTION_TABLE,
            .landscape = true,
            .sign_boxes = true};
        paper_begin(p, head);
        double y = setting_rows(p, s, PAPER_MARGIN, p->top);
        paper_map_drawing(&p->draw, p->scratch, p->week, s, PAPER_MARGIN, y,
                          p->w - 2 * PAPER_MARGIN, p->bottom - y - 7, PAPER_SMALL);
        part_rows(p, s, head);
    }
}
