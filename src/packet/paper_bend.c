// SPDX-License-Identifier: Apache-2.0
// Bend sheets: one job a sheet, one step a block, big numbers.
#include "packet/cautions.h"
#include "packet/paper.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void draw_set(const struct paper *p, struct kw_view view, const struct kw_path *paths,
                     int count, struct kw_pen pen) {
    for (int i = 0; i < count; i++) {
        struct kw_path page = kw_view_path(p->scratch, view, &paths[i]);
        p->draw.paths(p->draw.user, &page, 1, pen);
    }
}

/// What of a closed path lies in the box, as chords: tools and part are drawn large, cut off where
/// nothing happens.
static struct kw_path in_box(const struct paper *p, const struct kw_path *path,
                             struct kw_box2 box) {
    int n = 0;
    struct kw_vec2 *v = kw_path_chords(p->scratch, path, 0.05, KW_CHORD_INSIDE, &n);
    for (int side = 0; side < 4; side++) {
        struct kw_vec2 *out = NULL;
        int count = 0;
        for (int i = 0; i < n; i++) {
            struct kw_vec2 a = v[i], b = v[(i + 1) % n];
            double limit = side == 0   ? box.min.x
                           : side == 1 ? -box.max.x
                           : side == 2 ? box.min.y
                                       : -box.max.y;
            double sign = side % 2 ? -1 : 1;
            double da = sign * (side < 2 ? a.x : a.y) - limit;
            double db = sign * (side < 2 ? b.x : b.y) - limit;
            if (da >= 0) KW_PUSH(p->scratch, out, count) = a;
            if ((da >= 0) != (db >= 0))
                KW_PUSH(p->scratch, out, count) = kw_lerp2(a, b, da / (da - db));
        }
        v = out;
        n = count;
    }
    struct kw_path cut = {0};
    for (int i = 0; i < n; i++)
        kw_path_add(p->scratch, &cut, v[i].x, v[i].y, 0, 0);
    return cut;
}

/// The paths as far as they lie in the box.
static void draw_in_box(const struct paper *p, struct kw_view view, struct kw_box2 box,
                        const struct kw_path *paths, int count, struct kw_pen pen) {
    for (int i = 0; i < count; i++) {
        struct kw_path cut = in_box(p, &paths[i], box);
        if (cut.count >= 3) draw_set(p, view, &cut, 1, pen);
    }
}

static struct kw_box2 near_bend(const struct kw_brake_section *s) {
    struct kw_box2 die = kw_path_box(&s->die);
    double half = fmin(fmax(1.6 * die.max.x, 30), 60);
    return (struct kw_box2){kw_v2(-half, -0.6 * half), kw_v2(half, 1.2 * half)};
}

static void section_picture(const struct paper *p, const struct kw_brake_section *s, bool after,
                            double x, double y, double w, double h) {
    const struct kw_path *sheet = after ? s->after : s->before;
    int count = after ? s->after_count : s->before_count;
    const struct kw_path *punch = after ? &s->punch_after : &s->punch_before;
    struct kw_box2 box = near_bend(s); // one scale for both pictures
    struct kw_view view = kw_view_fit(box, x + 1, y + 1, w - 2, h - 6);
    struct kw_pen tools = {
        .width = 0.25, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.8)};
    struct kw_pen metal = {
        .width = 0.25, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.25)};
    draw_in_box(p, view, box, &s->die, 1, tools);
    draw_in_box(p, view, box, punch, 1, tools);
    draw_in_box(p, view, box, sheet, count, metal);
    if (isfinite(s->gauge_x) && isfinite(s->gauge_r) && !after) {
        struct kw_vec2 q = kw_view_point(view, kw_v2(s->gauge_x, s->gauge_r));
        if (q.x > x && q.x + 3 < x + w) {
            struct kw_pen finger = {
                .width = 0.3, .colour = KW_BLACK, .fill = true, .fill_colour = KW_WHITE};
            kw_draw_box(&p->draw, q.x, q.y - 4, 3, 4, finger);
        }
    }
    p->draw.text(p->draw.user, x + w / 2, y + h - 1, PAPER_SMALL, KW_CENTRE, false, 0, KW_BLACK,
                 after ? "under load" : "before, gauge on the right");
}

/// The blank with the bends of the step drawn thick and an arrow towards the gauge.
static void bend_on_blank(const struct paper *p, const struct kw_examined *what,
                          const struct kw_brake_step *s, double x, double y, double w, double h) {
    const struct kw_body *body = what->body;
    struct kw_box2 box = kw_path_box(&body->blank.outer);
    struct kw_view view = kw_view_fit(box, x + 4, y + 4, w - 8, h - 8);
    struct kw_pen outline = {.width = 0.2, .colour = KW_BLACK};
    draw_set(p, view, &body->blank.outer, 1, outline);
    for (int b = 0; b < body->bend_count; b++) {
        bool own = false;
        for (int k = 0; k < s->bend_count; k++)
            own = own || s->bends[k] == b;
        struct kw_pen pen = {.width = own ? 0.9 : 0.15, .colour = own ? KW_BLACK : KW_GREY(0.5)};
        struct kw_vec2 from = kw_view_point(view, body->bends[b].from);
        struct kw_vec2 to = kw_view_point(view, body->bends[b].to);
        kw_draw_line(&p->draw, from.x, from.y, to.x, to.y, pen);
    }
    // The child lies on the left of from -> to.
    const struct kw_bend *first = &body->bends[s->bends[0]];
    struct kw_vec2 a = kw_view_point(view, first->from), b = kw_view_point(view, first->to);
    struct kw_vec2 d = kw_sub2(b, a);
    struct kw_vec2 n = kw_scale2(kw_v2(d.y, -d.x), 1 / fmax(kw_length2(d), 1e-9)); // y is down
    if (!s->gauge_child_side) n = kw_scale2(n, -1);
    struct kw_vec2 root = kw_lerp2(a, b, 0.5), tip = kw_add2(root, kw_scale2(n, 4));
    struct kw_path arrow = {0};
    struct kw_vec2 side = kw_scale2(kw_left2(n), 1.3);
    kw_path_add(p->scratch, &arrow, root.x + side.x, root.y + side.y, 0, 0);
    kw_path_add(p->scratch, &arrow, tip.x, tip.y, 0, 0);
    kw_path_add(p->scratch, &arrow, root.x - side.x, root.y - side.y, 0, 0);
    struct kw_pen solid = {.width = 0.1, .colour = KW_BLACK, .fill = true, .fill_colour = KW_BLACK};
    if (s->gauged) p->draw.paths(p->draw.user, &arrow, 1, solid);
}

// Inputs of the engine again, for its picture: kept by check beside the plan.
static void pictures(const struct paper *p, const struct kw_examined *what, int step, double x,
                     double y, double w, double h) {
    struct kw_brake_section section;
    if (!kw_check_brake_section(p->scratch, p->week->shop, what, step, 60, &section)) {
        paper_text(p, x, y + 6, PAPER_TEXT, false, "no tools: no picture");
        return;
    }
    section_picture(p, &section, false, x, y, w / 2, h);
    section_picture(p, &section, true, x + w / 2, y, w / 2, h);
}

static const char *bend_names(const struct paper *p, const struct kw_examined *what,
                              const struct kw_brake_step *s) {
    const char *names = "";
    for (int i = 0; i < s->bend_count; i++) {
        names = kw_format(p->week->arena, "%s%s%s", names, i ? " + " : "",
                          what->body->bends[s->bends[i]].id);
    }
    return names;
}

enum { STEP_HEIGHT = 82 };

/// "P-3, 8 in (5 + 3)", or "P-3, whole".
static const char *set_up(const struct paper *p, const char *name, struct kw_items pieces,
                          double length) {
    struct kw_arena *a = p->week->arena;
    if (!(length > 0)) return kw_format(a, "%s, whole", name);
    double *v = KW_NEW_ARRAY(a, double, pieces.count + 1);
    int *which = KW_NEW_ARRAY(a, int, pieces.count + 1);
    for (int k = 0; k < pieces.count; k++)
        v[k] = *KW_ITEM(double, pieces, k);
    int n = kw_brake_pieces(a, v, pieces.count, length, which);
    const char *row = "";
    double all = n > 0 ? 0 : length; // the plan's length is rounded up to half a millimetre
    for (int k = 0; k < n; k++) {
        all += v[which[k]];
        row = kw_format(a, "%s%s%s", row, k ? " + " : "", paper_tape(p, v[which[k]]));
    }
    return kw_format(a, n > 1 ? "%s, %s (%s)" : "%s, %s", name, paper_tape(p, all), row);
}

static void set_up_lines(const struct paper *p, const struct kw_brake_step *s, double x, double y) {
    const struct kw_press *press = &p->week->shop->press;
    const char *die = set_up(p, kw_press_die_name(press, s->die),
                             kw_press_die_segments(press, s->die), s->die_length);
    const char *punch = set_up(p, kw_press_punch_name(press, s->punch),
                               kw_press_punch_segments(press, s->punch), s->punch_length);
    if (s->stage == 2)
        die = kw_format(p->week->arena, "station %d   hemming tool %s", s->station, die);
    else
        die = kw_format(p->week->arena, "station %d   die %s   punch %s", s->station, die, punch);
    paper_fit(p, x, y, 140, PAPER_TEXT, true, die);
    const char *back =
        s->gauge_back > 0
            ? kw_format(p->week->arena, "PULL THE GAUGE BACK %s once the punch holds the sheet",
                        paper_length(p, s->gauge_back))
            : "gauge stays where it is";
    if (s->gauged) paper_text(p, x, y + 4.8, PAPER_TEXT, s->gauge_back > 0, back);
}

static void step_block(struct paper *p, const struct kw_examined *what, int n, double y) {
    const struct kw_brake_step *s = &what->brake->steps[n];
    double x = PAPER_MARGIN;
    struct kw_pen line = {.width = 0.3, .colour = KW_BLACK};
    kw_draw_line(&p->draw, x, y, p->w - PAPER_MARGIN, y, line);
    paper_textf(p, x, y + 9, PAPER_BIG, true, "%d", n + 1);
    paper_textf(p, x + 12, y + 6, 3.6, true, "bend %s", bend_names(p, what, s));
    bool over_before = n > 0 && what->brake->steps[n - 1].turned_over;
    const char *turn = s->turned_over == over_before
                           ? (s->turned_over ? "still turned over" : "good side up")
                       : s->turned_over ? "TURN IT OVER"
                                        : "TURN IT BACK";
    paper_textf(p, x + 12, y + 11.5, PAPER_TEXT, s->turned_over != over_before, "%s%s; gauge: %s",
                turn, s->rotated ? ", ROTATE IT" : "",
                s->gauged ? s->gauge_edge : "none reaches: to a scribed line");
    pictures(p, what, n, x + 112, y + 1, 80, 46);
    bend_on_blank(p, what, s, x + 146, y + 47, 46, 34);
    paper_value(p, x, y + 14, 56, "gauge X (die centre to edge)",
                s->gauged ? paper_length(p, s->gauge_x) : "-");
    paper_value(p, x + 56, y + 14, 54, "gauge height",
                s->gauged ? paper_length(p, s->gauge_r) : "-");
    if (s->blocked) {
        paper_text(p, x, y + 42, PAPER_BIG, true, "DO NOT BEND: see findings");
        return;
    }
    enum kw_length_unit unit = paper_unit(p);
    char force[48], correction[64];
    kw_force_text(force, s->force, unit);
    double a_degree = s->depth_per_degree;
    snprintf(correction, sizeof correction, unit == KW_IN ? "%.4f in" : "%.3f mm",
             unit == KW_IN ? a_degree / KW_MM_PER_IN : a_degree);
    paper_value(p, x, y + 27.5, 56, "start depth (3 deg short)", paper_length(p, s->start_depth));
    paper_value(p, x + 56, y + 27.5, 54, "depth a degree more", correction);
    paper_value(p, x, y + 41, 56, "angle wanted, turned", paper_degrees(p, s->angle));
    paper_value(p, x + 56, y + 41, 54, "under load", paper_degrees(p, s->angle_under_load));
    paper_value(p, x, y + 54.5, 56, "force", force);
    paper_value(p, x + 56, y + 54.5, 54, "bend length", paper_length(p, s->length));
    set_up_lines(p, s, x, y + 70.5);
    paper_textf(p, x, y + 80, PAPER_TEXT, false, "bend %s long, depth %s, inside radius %s",
                paper_tape(p, s->span), paper_length(p, s->depth),
                paper_length(p, s->inside_radius));
}

// Trade's tolerance of folded parts: 1/32 in over one bend and 1/64 more for each further bend
// (common practice, no source).
static double tolerance(int bends) {
    return KW_MM_PER_IN * (1.0 / 32 + (bends > 1 ? bends - 1 : 0) / 64.0);
}

static void check_row(struct paper *p, double y, const char *what, double size, double tol) {
    struct kw_pen line = {.width = 0.3, .colour = KW_BLACK};
    double x = PAPER_MARGIN;
    paper_fit(p, x, y, 66, 3, false, what);
    paper_fit(p, x + 70, y, 56, 4.2, true, paper_both(p, size));
    paper_textf(p, x + 128, y, 3, false, "+-%s", paper_length(p, tol));
    kw_draw_line(&p->draw, x + 156, y, p->w - PAPER_MARGIN, y, line);
}

enum { CHECK_ROW = 8 };

static void check_list(struct paper *p, const struct kw_examined *what, struct paper_head head,
                       double y) {
    const struct kw_body *body = what->body;
    double need = 14 + CHECK_ROW * (body->bend_count + 4);
    if (y + need > p->bottom) {
        paper_begin(p, head);
        y = p->top;
    }
    y += 5;
    paper_fit(p, PAPER_MARGIN, y, p->w - 2 * PAPER_MARGIN, 3.6, true,
              "First piece: outside sizes, by tape or caliper; write what you find");
    y += CHECK_ROW;
    for (int b = 0; b < body->bend_count && y < p->bottom; b++) {
        const struct kw_bend *bend = &body->bends[b];
        if (bend->kind == KW_BEND_HAND) continue; // stays flat here
        check_row(p, y,
                  kw_format(p->week->arena, "bend %s: outside leg, %s turned", bend->id,
                            paper_degrees(p, bend->angle)),
                  bend->legs[1], tolerance(1));
        paper_fit(p, PAPER_MARGIN, y + 3, 66, 2.2, false,
                  kw_format(p->week->arena, "flat length cut by %s", bend->source));
        y += CHECK_ROW;
    }
    struct kw_vec3 size = kw_sub3(body->shipped.max, body->shipped.min);
    const struct {
        const char *name;
        double v;
    } sizes[] = {{"overall left to right", size.x},
                 {"overall front to back", size.y},
                 {"overall height", size.z}};
    for (int i = 0; i < 3 && y < p->bottom; i++, y += CHECK_ROW) {
        check_row(p, y, sizes[i].name, sizes[i].v, tolerance(body->bend_count));
    }
    paper_text(p, PAPER_MARGIN, y, 3, false, "angles: +-1 deg");
}

static void blank_block(struct paper *p, const struct kw_make *m, double y, double h) {
    double x = PAPER_MARGIN, w = p->w - 2 * PAPER_MARGIN;
    const struct kw_examined *what = m->what;
    bool other = m->hand == KW_RIGHT_HAND;
    paper_part_picture(p, what, other, x, y, w * 0.42, h);
    paper_blank_picture(p, what, other, true, x + w * 0.46, y, w * 0.54, h);
}

static void one_sheet(struct paper *p, int make) {
    const struct kw_make *m = &p->week->makes[make];
    const struct kw_examined *what = m->what;
    struct kw_arena *a = p->week->arena;
    const char *side = m->part->good_side == 0   ? ""
                       : m->part->good_side == 1 ? "   good side up"
                                                 : "   good side down";
    struct paper_head head = {.kind = "Bend sheet",
                              .job = paper_job(p, make),
                              .part = m->label,
                              .revision = m->part->revision,
                              .count = kw_format(a, "%d + %d spare blank%s%s", m->needed, m->spare,
                                                 m->spare == 1 ? "" : "s", side),
                              .caution = CAUTION_PRESS,
                              .sign_boxes = true};
    paper_begin(p, head);
    double y = p->top;
    const char *two =
        p->week->shop->press.one_person > 0 && what->mass > p->week->shop->press.one_person
            ? "   TWO PEOPLE"
            : "";
    paper_textf(p, PAPER_MARGIN, y + 2, 3, false, "%s   %s each%s%s%s", m->part->stock.text,
                paper_mass(p, what->mass), m->part->bin ? "   bin " : "",
                m->part->bin ? m->part->bin : "", two);
    blank_block(p, m, y + 5, 52);
    y += 62;
    for (int s = 0; s < what->brake->step_count; s++) {
        if (y + STEP_HEIGHT > p->bottom) {
            paper_begin(p, head);
            y = p->top;
        }
        step_block(p, what, s, y);
        y += STEP_HEIGHT;
    }
    check_list(p, what, head, y);
}

void paper_bend_sheets(struct paper *p) {
    for (int i = 0; i < p->week->brake_count; i++)
        one_sheet(p, p->week->brake_order[i]);
}
