// SPDX-License-Identifier: Apache-2.0
// Sheet maps: what lies where, in which order the torch goes, what the operator sets and measures.
#include "packet/cautions.h"
#include "packet/paper.h"

#include <string.h>

#define LIST_ROW  6.0  // mm of paper
#define HATCH     2.5  // mm of paper between the lines over a place to keep out of
#define BESIDE    66.0 // mm of paper that a column of settings takes
#define MOST_LIST 0.38 // of the room under the settings that the list may take from the map

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

// What an earlier run placed, and stays.
static void draw_taken(const struct kw_draw *d, struct kw_arena *a, const struct kw_run_sheet *s,
                       struct kw_view view) {
    struct kw_pen pen = {.width = 0.15, .colour = KW_GREY(0.45), .dash = 1, .gap = 1};
    for (int i = 0; s->on && i < s->on->part_count; i++)
        kw_draw_region(d, a, view, &s->on->parts[i], pen);
}

// Lines across a place at 45 degrees.
static void hatch(const struct kw_draw *d, double x, double y, double w, double h) {
    struct kw_pen pen = {.width = 0.2, .colour = KW_BLACK};
    for (double s = HATCH; s < w + h; s += HATCH) {
        struct kw_vec2 a = {x + fmin(s, w), y + fmax(s - w, 0)};
        struct kw_vec2 b = {x + fmax(s - h, 0), y + fmin(s, h)};
        kw_draw_line(d, a.x, a.y, b.x, b.y, pen);
    }
}

// What is there of the sheet, and where a clamp holds it or it is spoiled.
static void draw_sheet(const struct kw_draw *d, struct kw_arena *a, const struct kw_run_sheet *s,
                       struct kw_view view) {
    struct kw_vec2 lo = kw_view_point(view, kw_v2(0, 0)),
                   hi = kw_view_point(view, kw_v2(s->width, s->height));
    struct kw_pen frame = {.width = 0.5, .colour = KW_BLACK};
    if (s->free) {
        struct kw_path p = kw_view_path(a, view, &s->free->outer);
        d->paths(d->user, &p, 1, frame);
    } else {
        kw_draw_box(d, lo.x, hi.y, hi.x - lo.x, lo.y - hi.y, frame);
    }
    for (int i = 0; s->free && i < s->free->hole_count; i++) {
        struct kw_box2 b = kw_path_box(&s->free->holes[i]);
        struct kw_vec2 from = kw_view_point(view, b.min), to = kw_view_point(view, b.max);
        kw_draw_box(d, from.x, to.y, to.x - from.x, from.y - to.y, frame);
        hatch(d, from.x, to.y, to.x - from.x, from.y - to.y);
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
        if (m->kind == KW_CUT_LEAD ||
            (m->kind == KW_CUT_MARK && s->cut.contours[m->contour].part != KW_CUT_SCRAP))
            kw_draw_line(d, a.x, a.y, b.x, b.y, lead);
        if (m->kind == KW_CUT_PIERCE) kw_draw_circle(d, a.x, a.y, 0.35, dot);
    }
}

// Crosses on the outline where metal is left.
static void draw_tabs(const struct kw_draw *d, const struct kw_run_sheet *s, struct kw_view view) {
    struct kw_pen bar = {.width = 0.5, .colour = KW_BLACK};
    for (int i = 0; i < s->cut.tab_count; i++) {
        const struct kw_cut_tab *t = &s->cut.tabs[i];
        struct kw_vec2 q = kw_view_point(view, t->at);
        kw_draw_line(d, q.x - 0.9, q.y - 0.9, q.x + 0.9, q.y + 0.9, bar);
        kw_draw_line(d, q.x - 0.9, q.y + 0.9, q.x + 0.9, q.y - 0.9, bar);
    }
}

static void draw_scrap_cuts(const struct kw_draw *d, const struct kw_run_sheet *s,
                            struct kw_view view) {
    struct kw_pen pen = {.width = 0.7, .colour = KW_BLACK, .dash = 3, .gap = 1.5};
    for (int i = 0; i < s->cut.scrap_count; i++) {
        struct kw_vec2 a = kw_view_point(view, s->cut.scrap[i].from);
        struct kw_vec2 b = kw_view_point(view, s->cut.scrap[i].to);
        kw_draw_line(d, a.x, a.y, b.x, b.y, pen);
    }
}

static void draw_shared(const struct kw_draw *d, const struct kw_run_sheet *s,
                        struct kw_view view) {
    struct kw_pen pen = {.width = 1.1, .colour = KW_GREY(0.35)};
    for (int i = 0; i < s->cut.shared_count; i++) {
        struct kw_vec2 a = kw_view_point(view, s->cut.shared[i].from);
        struct kw_vec2 b = kw_view_point(view, s->cut.shared[i].to);
        kw_draw_line(d, a.x, a.y, b.x, b.y, pen);
    }
}

// Where the table stops so that parts can be pulled: at the travel's beginning.
static void draw_stops(const struct kw_draw *d, const struct kw_run_sheet *s, struct kw_view view) {
    struct kw_pen ring = {.width = 0.6, .colour = KW_BLACK, .fill = true, .fill_colour = KW_WHITE};
    for (int i = 0; i < s->cut.contour_count; i++) {
        const struct kw_cut_contour *c = &s->cut.contours[i];
        if (!c->stop_before) continue;
        struct kw_vec2 q = kw_view_point(view, s->cut.moves[c->first_move].from);
        kw_draw_circle(d, q.x, q.y, 2.2, ring);
        d->text(d->user, q.x, q.y + 1.4, 2.8, KW_CENTRE, true, 0, KW_BLACK, "S");
    }
}

// Etched lines and names, where the scribe's point goes.
static void draw_etched(const struct kw_draw *d, struct kw_arena *a, const struct kw_run_sheet *s,
                        struct kw_view view) {
    struct kw_pen pen = {.width = 0.15, .colour = KW_GREY(0.3)};
    for (int i = 0; i < s->etch_count; i++) {
        struct kw_path p = kw_view_path(a, view, &s->etches[i].line);
        if (!s->cut.unetched[i]) d->paths(d->user, &p, 1, pen);
    }
}

void paper_map_drawing(const struct kw_draw *d, struct kw_arena *scratch,
                       const struct kw_week *week, const struct kw_run_sheet *s, double x, double y,
                       double w, double h, double least_text) {
    struct kw_view view = kw_view_fit((struct kw_box2){{0, 0}, {s->width, s->height}}, x, y, w, h);
    struct kw_vec2 lo = kw_view_point(view, kw_v2(0, 0));
    draw_sheet(d, scratch, s, view);
    draw_taken(d, scratch, s, view);
    draw_parts(d, scratch, week, s, view);
    draw_etched(d, scratch, s, view);
    draw_drops(d, scratch, s, view, 4);
    draw_scrap_cuts(d, s, view);
    draw_shared(d, s, view);
    draw_moves(d, s, view);
    draw_tabs(d, s, view);
    draw_stops(d, s, view);
    paper_map_labels(d, scratch, week, s, view, least_text);
    struct kw_pen origin = {
        .width = 0.5, .colour = KW_BLACK, .fill = true, .fill_colour = KW_WHITE};
    kw_draw_circle(d, lo.x, lo.y, 1.8, origin);
    d->text(d->user, lo.x + 3, lo.y + 4.5, 3, KW_LEFT, true, 0, KW_BLACK, "X0 Y0: origin corner");
}

// ------------------------------------------------------------------------------------ the sheet

// In `columns` columns; returns where the map may begin.
static double setting_rows(struct paper *p, const struct kw_run_sheet *s, double x, double y,
                           int columns) {
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
        paper_value(p, x + (i % columns) * 63, y + (i / columns) * 13.5, 62, row[i].label,
                    row[i].value);
    }
    return y + 13.5 * (8 / columns) + 1;
}

// Beside a map that is hardly longer than wide the settings stand in a column.
static bool stands_beside(const struct kw_run_sheet *s) {
    return s->width < 1.4 * s->height;
}

// Deviations of ISO 9013 class 2 in mm, the usual one of plasma, by thickness and size (the table
// of a published summary of the standard; rows over 6.3 mm begin at sizes of 3 mm).
static double cut_tolerance(double thickness, double size) {
    static const double thick[] = {1, 3.15, 6.3, 10, 15};
    static const double sizes[] = {3, 10, 35, 125, 315, 1000, 2000};
    static const double class_2[5][8] = {{0.5, 0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 0.9},
                                         {0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 1.0, 1.1},
                                         {0.7, 0.8, 0.9, 0.9, 1.1, 1.2, 1.3, 1.3},
                                         {1.0, 1.0, 1.1, 1.3, 1.4, 1.5, 1.6, 1.7},
                                         {1.8, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2}};
    int row = 0, column = 0;
    while (row < 4 && thickness > thick[row])
        row++;
    while (column < 7 && size > sizes[column])
        column++;
    return class_2[row][column];
}

static const char *with_tolerance(struct paper *p, double size, double thickness) {
    return kw_format(p->week->arena, "%s +-%s", paper_length(p, size),
                     paper_length(p, cut_tolerance(thickness, size)));
}

struct on_sheet { // a job on a sheet
    int count, first, tabs;
};

static struct on_sheet find_on_sheet(const struct kw_run_sheet *s, int make) {
    struct on_sheet f = {0};
    for (int k = 0, order = 0; k < s->cut.contour_count; k++) {
        const struct kw_cut_contour *c = &s->cut.contours[k];
        if (c->part < 0 || c->hole >= 0) continue;
        order++;
        if (s->placements[c->part].part != make) continue;
        if (f.count++ == 0) f.first = order;
        f.tabs += c->tabs;
    }
    return f;
}

static int job_count(const struct kw_week *w, const struct kw_run_sheet *s) {
    int n = 0;
    for (int m = 0; m < w->make_count; m++)
        n += find_on_sheet(s, m).count > 0;
    return n;
}

static const char *stop_list(struct paper *p, const struct kw_run_sheet *s) {
    const char *list = NULL;
    for (int k = 0, order = 1; k < s->cut.contour_count; k++) {
        const struct kw_cut_contour *c = &s->cut.contours[k];
        if (c->stop_before)
            list = list ? kw_format(p->week->arena, "%s, %d", list, order)
                        : kw_format(p->week->arena, "%d", order);
        if (c->part >= 0 && c->hole < 0) order++;
    }
    return list;
}

static double notes(struct paper *p, const struct kw_run_sheet *s, double y) {
    const struct kw_week *w = p->week;
    const char *stops = stop_list(p, s);
    if (s->on)
        y = paper_wrapped(p, PAPER_MARGIN, y, p->w - 2 * PAPER_MARGIN, 3.6, true,
                          kw_format(w->arena,
                                    "Goes into free space of %s: only what is drawn full is cut. "
                                    "Lay %s as it lay then, set the same origin corner, and run "
                                    "the outline with the torch off before the first pierce.",
                                    s->on->from, s->on->part_count > 0 ? "the sheet" : "the drop"));
    if (stops)
        y = paper_wrapped(p, PAPER_MARGIN, y, p->w - 2 * PAPER_MARGIN, 3.6, true,
                          kw_format(w->arena,
                                    "The table stops before cut %s: pull parts that stand up, then "
                                    "go on.",
                                    stops));
    if (s->rule->life > 0)
        y = paper_wrapped(
            p, PAPER_MARGIN, y, p->w - 2 * PAPER_MARGIN, 3.6, true,
            kw_format(w->arena, "Uses %.0f %% of a tip and electrode (%d of %d pierces).",
                      100.0 * s->cut.pierces / s->rule->life, s->cut.pierces, s->rule->life));
    y = paper_wrapped(
        p, PAPER_MARGIN, y, p->w - 2 * PAPER_MARGIN, 3, false,
        kw_format(
            w->arena,
            "Tolerances: ISO 9013 class 2. Numbers on the map: order of the outlines, job (J); "
            "holes come before their outline, %s before all.%s%s%s%s",
            s->etch_count > 0 ? "etched lines (fine)" : "nicks at bend ends",
            s->cut.tab_count > 0 ? " Crosses on an outline are holding tabs." : "",
            s->cut.scrap_count > 0 ? " Broad dashes are cuts in scrap, last of all." : "",
            s->cut.shared_count > 0 ? " Broad grey lines are one cut for the parts on both sides."
                                    : "",
            w->shop->table.controller.trace
                ? " The program first goes to the two ends of the lower "
                  "edge to square the sheet, then round the nest, torch "
                  "off, and stops at each."
                : ""));
    for (int i = 0; i < s->drop_count; i++) {
        const struct kw_box2 *b = &s->drops[i];
        paper_textf(p, PAPER_MARGIN, y + 3.4, 3.8, true,
                    "Paint and book in: drop %s-%c  %s x %s  %s", s->id, 'A' + i,
                    paper_tape(p, b->max.x - b->min.x), paper_tape(p, b->max.y - b->min.y),
                    s->stock.text);
        y += 6;
    }
    return y;
}

static double list_height(const struct kw_week *w, const struct kw_run_sheet *s) {
    return 20 + LIST_ROW * job_count(w, s) + 17 + 6 * s->drop_count + paper_restart_height(s);
}

// The list of jobs from `y` on the page that is open.
static void part_rows(struct paper *p, const struct kw_run_sheet *s, struct paper_head head,
                      double y) {
    static const struct paper_column c[] = {
        {"job", 14},        {"part", 62},           {">on it", 14},
        {"next bench", 24}, {"long, measured", 58}, {"wide, measured", 58},
        {"first cut", 22}};
    const struct kw_week *w = p->week;
    head.kind = "Sheet map, list";
    struct paper_table t = {c, 7, PAPER_MARGIN, y, LIST_ROW, 3, head};
    paper_table_head(p, &t);
    for (int m = 0; m < w->make_count; m++) {
        struct on_sheet f = find_on_sheet(s, m);
        if (f.count == 0) continue;
        const struct kw_make *make = &w->makes[m];
        struct kw_box2 box = kw_path_box(&make->blank.outer);
        const char *row[] = {paper_job(p, m),
                             make->label,
                             kw_format(w->arena, "%d", f.count),
                             make->what->brake && make->what->brake->step_count > 0 ? "press brake"
                                                                                    : "pack",
                             with_tolerance(p, box.max.x - box.min.x, s->stock.thickness),
                             with_tolerance(p, box.max.y - box.min.y, s->stock.thickness),
                             kw_format(w->arena, f.tabs ? "%d, tabs" : "%d", f.first)};
        paper_table_row(p, &t, row);
    }
    paper_restart_list(p, s, head, notes(p, s, t.y + 4) + 3);
}

// File and name; what the control can't hold whole, in both forms.
static const char *shown_name(struct paper *p, const struct kw_run_sheet *s) {
    bool whole = strcmp(s->program_name, s->full_name) == 0;
    return kw_format(p->week->arena, "%s, named %s%s%s", strrchr(s->program, '/') + 1,
                     s->program_name, whole ? "" : " for ", whole ? "" : s->full_name);
}

void paper_sheet_maps(struct paper *p) {
    for (int i = 0; i < p->week->sheet_count; i++) {
        const struct kw_run_sheet *s = &p->week->sheets[i];
        if (!s->program) continue;
        struct paper_head head = {
            .kind = "Sheet map",
            .job = s->id,
            .part =
                kw_format(p->week->arena, "%s, %s x %s", kw_packet_sheet_text(p->week->arena, s),
                          paper_tape(p, s->width), paper_tape(p, s->height)),
            .count = kw_format(p->week->arena, "%d sheet%s   program %s", s->times,
                               s->times > 1 ? "s" : "", shown_name(p, s)),
            .caution = CAUTION_TABLE,
            .landscape = true,
            .sign_boxes = true};
        paper_begin(p, head);
        bool beside = stands_beside(s);
        double y = setting_rows(p, s, PAPER_MARGIN, p->top, beside ? 1 : 4);
        double list = list_height(p->week, s), x = PAPER_MARGIN + (beside ? BESIDE : 0);
        if (beside) y = p->top;
        // A short list stands under its map, a long one has a page of its own.
        bool fits = !beside && list < MOST_LIST * (p->bottom - y);
        double bottom = fits ? p->bottom - list : p->bottom;
        paper_map_drawing(&p->draw, p->scratch, p->week, s, x, y, p->w - PAPER_MARGIN - x,
                          bottom - y - 7, PAPER_SMALL);
        if (!fits) {
            head.kind = "Sheet map, list";
            paper_begin(p, head);
        }
        part_rows(p, s, head, fits ? bottom : p->top + 4);
    }
}
