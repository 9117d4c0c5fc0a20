// SPDX-License-Identifier: Apache-2.0
// Bend sheets: one job a sheet, one step a block, two blocks a page, big numbers.
#include "packet/cautions.h"
#include "packet/paper.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *bend_names(const struct paper *p, const struct kw_examined *what,
                              const struct kw_brake_step *s) {
    const char *names = "";
    for (int i = 0; i < s->bend_count; i++) {
        names = kw_format(p->week->arena, "%s%s%s", names, i ? " + " : "",
                          what->body->bends[s->bends[i]].id);
    }
    return names;
}

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

/// Where the fingers stand, from the middle of the bend, as seen by who stands before the press.
/// The other hand is the mirror image.
static const char *finger_words(const struct paper *p, const struct kw_brake_step *s,
                                bool other_hand) {
    const char *out = "";
    double step = paper_unit(p) == KW_IN ? KW_MM_PER_IN / 4 : 5; // set by eye, inwards
    double at[2] = {0, 0};
    for (int i = 0; i < s->finger_count; i++)
        at[i] = trunc((other_hand ? -s->fingers[s->finger_count - 1 - i] : s->fingers[i]) / step) *
                step;
    if (s->finger_count == 2 && at[0] == -at[1] && at[1] != 0)
        return kw_format(p->scratch, "%s to each side of the middle", paper_tape(p, at[1]));
    for (int i = s->finger_count - 1; i >= 0; i--) {
        double v = at[i]; // to the left looking along u
        const char *side = v > 0 ? "left" : "right";
        out = fabs(v) < 1 ? kw_format(p->scratch, "%s%s", out, "in the middle")
                          : kw_format(p->scratch, "%s%s %s of the middle", out,
                                      paper_tape(p, fabs(v)), side);
        if (i > 0) out = kw_format(p->scratch, "%s and ", out);
    }
    return out;
}

/// Which way a punch that is not the same from both sides is set up.
static const char *way_words(const struct kw_press *press, const struct kw_brake_step *s) {
    if (s->punch < 0 || s->punch >= press->punches.count) return "";
    const struct kw_press_tool *q = KW_ITEM(struct kw_press_tool, press->punches, s->punch);
    if (s->punch_turned)
        return q->neck > 0 ? "   TURNED ROUND: throat to the gauge" : "   TURNED ROUND";
    return q->neck > 0 && q->ways == 1 ? "   throat to you" : "";
}

static void set_up_lines(const struct paper *p, const struct kw_brake_step *s, bool other_hand,
                         double x, double y) {
    const struct kw_press *press = &p->week->shop->press;
    struct kw_arena *a = p->week->arena;
    const char *die = set_up(p, kw_press_die_name(press, s->die),
                             kw_press_die_segments(press, s->die), s->die_length);
    const char *punch = set_up(p, kw_press_punch_name(press, s->punch),
                               kw_press_punch_segments(press, s->punch), s->punch_length);
    const char *tools = s->stage == 2
                            ? kw_format(a, "station %d   hemming tool %s", s->station, die)
                            : kw_format(a, "station %d   die %s   punch %s%s", s->station, die,
                                        punch, way_words(press, s));
    paper_fit(p, x, y, p->w - 2 * PAPER_MARGIN, PAPER_TEXT, true, tools);
    const char *back =
        s->stage == 2 ? "gauge clear of the flats: lay the fold in their middle by eye"
        : s->gauged && press->bed_moves && press->gauge_on
            ? kw_format(a,
                        "RAISE THE BED UNTIL THE SHEET NEARLY TOUCHES, then lay it to the gauge%s",
                        s->gauge_back > 0 ? kw_format(a, "; pull the gauge back %s once it is held",
                                                      paper_length(p, s->gauge_back))
                                          : "")
        : s->gauge_back > 0 ? kw_format(a, "PULL THE GAUGE BACK %s once the punch holds the sheet",
                                        paper_length(p, s->gauge_back))
        : s->gauged         ? "gauge stays where it is"
                            : "";
    if (s->finger_count > 0)
        back = kw_format(a, "%s; finger%s %s", back, s->finger_count > 1 ? "s" : "",
                         finger_words(p, s, other_hand));
    bool loud = s->gauge_back > 0 || (s->gauged && press->bed_moves && press->gauge_on);
    paper_fit(p, x, y + 4.6, p->w - 2 * PAPER_MARGIN, PAPER_TEXT, loud, back);
}

/// A label over a value of middle size.
static void small_value(const struct paper *p, double x, double y, double w, const char *label,
                        const char *value) {
    paper_fit(p, x, y + 2, w - 2, PAPER_SMALL, false, label);
    paper_fit(p, x, y + 7.4, w - 3, 4.2, true, value);
}

enum { STEP_HEIGHT = 98, PICTURES = 45 };

static const char *force_text(const struct paper *p, const struct kw_brake_step *s) {
    char force[48];
    kw_force_text(force, s->force, paper_unit(p));
    return kw_format(p->week->arena, "%s", force);
}

/// Thousandths a degree.
static const char *correction_text(const struct paper *p, const struct kw_brake_step *s) {
    double a = s->depth_per_degree;
    return paper_unit(p) == KW_IN ? kw_format(p->week->arena, "%.4f in", a / KW_MM_PER_IN)
                                  : kw_format(p->week->arena, "%.3f mm", a);
}

static const char *bare_degrees(const struct paper *p, double rad) {
    return kw_format(p->week->arena, "%.1f", rad * 180 / KW_PI);
}

static void bend_values(const struct paper *p, const struct kw_brake_step *s, double x, double y) {
    double w = (p->w - 2 * PAPER_MARGIN) / 4;
    paper_value(p, x, y, w, "gauge X, die centre to edge",
                s->gauged ? paper_length(p, s->gauge_x) : "-");
    paper_value(p, x + w, y, w, "gauge height", s->gauged ? paper_length(p, s->gauge_r) : "-");
    bool bed = p->week->shop->press.bed_moves;
    paper_value(p, x + 2 * w, y, w,
                bed ? "bed up from touch, 3 deg short" : "start depth, 3 deg short",
                paper_length(p, s->start_depth));
    paper_value(p, x + 3 * w, y, w, "angle wanted, deg turned", bare_degrees(p, s->angle));
    y += 13;
    small_value(p, x, y, w, bed ? "bed up a degree more" : "depth a degree more",
                correction_text(p, s));
    small_value(p, x + w, y, w, bed ? "bed up from touch in all" : "full depth",
                paper_length(p, s->depth));
    small_value(p, x + 2 * w, y, w, "force", force_text(p, s));
    small_value(p, x + 3 * w, y, w, "deg under load", bare_degrees(p, s->angle_under_load));
}

static void hem_values(const struct paper *p, const struct kw_brake_step *s, double x, double y) {
    double w = (p->w - 2 * PAPER_MARGIN) / 4;
    paper_value(p, x, y, w, "close to, between the flats", paper_length(p, s->closed));
    paper_value(p, x + w, y, w, "way from touch to closed", paper_length(p, s->depth));
    paper_value(p, x + 2 * w, y, w, "force", force_text(p, s));
    paper_value(p, x + 3 * w, y, w, "angle wanted, deg turned", bare_degrees(p, s->angle));
    paper_textf(p, x, y + 17, PAPER_TEXT, false,
                "hem %s long; open it never: a hem bent back cracks", paper_tape(p, s->span));
}

static void step_title(const struct paper *p, const struct kw_examined *what, int n, double x,
                       double y) {
    const struct kw_brake_step *s = &what->brake->steps[n];
    bool over_before = n > 0 && what->brake->steps[n - 1].turned_over;
    bool turn_now = s->turned_over != over_before;
    const char *turn = !turn_now        ? (s->turned_over ? "still turned over" : "good side up")
                       : s->turned_over ? "TURN IT OVER"
                                        : "TURN IT BACK";
    bool hem = what->body->bends[s->bends[0]].kind == KW_BEND_HEM;
    const char *stage = s->stage == 2 ? ": FLATTEN THE HEM" : hem ? ": hem, first bend" : "";
    const char *edge =
        s->stage == 2 ? (s->gauge_child_side ? "the fold away from you" : "the fold towards you")
        : s->gauged   ? s->gauge_edge
                      : "none reaches: to a scribed line";
    paper_textf(p, x, y + 9, PAPER_BIG, true, "%d", n + 1);
    paper_fit(p, x + 12, y + 6, 178, 4.2, true,
              kw_format(p->week->arena, "bend %s%s%s", bend_names(p, what, s), stage,
                        s->near ? "   SLOWLY: see the gap below" : ""));
    paper_textf(p, x + 12, y + 11.5, 3, turn_now || s->rotated, "%s%s; %s%s", turn,
                s->rotated ? ", ROTATE IT" : "", s->stage == 2 ? "" : "gauge: ", edge);
}

static void pictures(const struct paper *p, const struct kw_make *m, int step, double x, double y) {
    const struct kw_examined *what = m->what;
    struct kw_brake_section section;
    const struct kw_brake_step *s = &what->brake->steps[step];
    double all = p->w - 2 * PAPER_MARGIN, w = all * 0.37;
    paper_bend_on_blank(p, what, m->hand == KW_RIGHT_HAND, s, x + 2 * w, y, all - 2 * w, PICTURES);
    if (!kw_check_brake_section(p->scratch, p->week->shop, what, step, 80, &section)) {
        paper_text(p, x, y + 6, PAPER_TEXT, false, "no tools: no picture");
        return;
    }
    bool flat = s->stage == 2;
    paper_section(p, &section, false, flat ? "as it lies" : "before, gauge on the right", x, y, w,
                  PICTURES);
    bool bed = p->week->shop->press.bed_moves;
    paper_section(p, &section, true,
                  flat  ? "closed"
                  : bed ? "under load, the bed up"
                        : "under load",
                  x + w, y, w, PICTURES);
}

/// How what is held comes up: follow it, and keep out of its way.
static const char *rise_words(const struct paper *p, const struct kw_brake_step *s) {
    const char *up = paper_tape(p, s->rise);
    if (s->carried > 0)
        return kw_format(p->scratch, "the bed carries it up %s, then that end rises %s",
                         paper_tape(p, s->carried), up);
    return s->stage == 2 ? "it lies still" : kw_format(p->scratch, "that end swings up %s", up);
}

/// How far it can be bent on where it springs back more.
static const char *further_words(const struct paper *p, const struct kw_brake_step *s) {
    return isfinite(s->overbend)
               ? kw_format(p->scratch, "; AT MOST %.1f deg further: then it lies on the punch",
                           s->overbend * 180 / KW_PI)
               : "";
}

static void step_block(struct paper *p, const struct kw_make *m, int n, double y) {
    const struct kw_examined *what = m->what;
    const struct kw_brake_step *s = &what->brake->steps[n];
    double x = PAPER_MARGIN;
    struct kw_pen line = {.width = 0.3, .colour = KW_BLACK};
    kw_draw_line(&p->draw, x, y, p->w - PAPER_MARGIN, y, line);
    step_title(p, what, n, x, y);
    pictures(p, m, n, x, y + 13);
    y += 14 + PICTURES;
    if (s->blocked) {
        paper_text(p, x, y + 14, PAPER_BIG, true, "DO NOT BEND: see findings");
        return;
    }
    if (s->stage == 2)
        hem_values(p, s, x, y);
    else
        bend_values(p, s, x, y);
    set_up_lines(p, s, m->hand == KW_RIGHT_HAND, x, y + 24.4);
    double room = p->w - 2 * PAPER_MARGIN;
    bool held = s->front >= p->week->shop->press.hold_clear;
    const char *hold = held ? kw_format(p->scratch, "hold it up to %s before the die; %s",
                                        paper_tape(p, s->front), rise_words(p, s))
                            : "NOTHING TO HOLD BY HAND: magnet or pliers";
    paper_fit(p, x, y + 33, room, PAPER_TEXT, !held, hold);
    if (s->stage == 2) return;
    paper_fit(p, x, y + 37, room, PAPER_TEXT, false,
              kw_format(p->scratch, "bend %s long, %s of it metal; inside radius %s%s",
                        paper_tape(p, s->span), paper_tape(p, s->length),
                        paper_length(p, s->inside_radius), further_words(p, s)));
}

static void blank_block(struct paper *p, const struct kw_make *m, double y, double h) {
    double x = PAPER_MARGIN, w = p->w - 2 * PAPER_MARGIN;
    const struct kw_examined *what = m->what;
    bool other = m->hand == KW_RIGHT_HAND;
    paper_part_picture(p, what, other, x, y, w * 0.42, h);
    paper_blank_picture(p, what, other, true, x + w * 0.46, y, w * 0.54, h);
}

enum { MOMENT_HEIGHT = 62 };

static const char *moment_words(const struct paper *p, const struct kw_brake_hit *hit) {
    return hit->stage == 2 ? "while the hem is flattened"
           : hit->turn > 0 ? kw_format(p->scratch, "after %s", paper_degrees(p, hit->turn))
           : p->week->shop->press.bed_moves ? "as the bed comes up"
                                            : "as the punch comes down";
}

/// A moment of a stroke with its picture and words beside it; `text` gets bend, face, tool, moment.
static double moment_block(struct paper *p, const struct kw_examined *what, struct paper_head head,
                           double y, const struct kw_brake_hit *hit, const char *title,
                           const char *(*text)(const struct paper *p,
                                               const struct kw_brake_hit *hit, const char *bend,
                                               const char *face)) {
    struct kw_brake_collision c;
    const char *bend, *face;
    if (y + MOMENT_HEIGHT > p->bottom) {
        paper_begin(p, head);
        y = p->top;
    }
    if (!kw_check_brake_collision(p->scratch, p->week->shop, what, hit, 0, &c, &bend, &face))
        return y;
    struct kw_pen line = {.width = 0.3, .colour = KW_BLACK};
    double x = PAPER_MARGIN, w = p->w - 2 * PAPER_MARGIN;
    kw_draw_line(&p->draw, x, y, p->w - x, y, line);
    paper_fit(p, x, y + 6, w, 4.2, true, title);
    paper_collision(p, &c, x, y + 9, 100, MOMENT_HEIGHT - 11);
    paper_wrapped(p, x + 106, y + 14, w - 106, 3.2, false, text(p, hit, bend, face));
    return y + MOMENT_HEIGHT;
}

static const char *obvious_text(const struct paper *p, const struct kw_brake_hit *hit,
                                const char *bend, const char *face) {
    return kw_format(p->scratch,
                     "In that order bend %s can't be made: %s runs into the %s %s, at the ring.",
                     bend, face, kw_brake_obstacle_name(hit->obstacle), moment_words(p, hit));
}

/// Why the order that a bender would take without looking further is not the one that is printed.
static double obvious_block(struct paper *p, const struct kw_examined *what, struct paper_head head,
                            double y) {
    const struct kw_brake_hit *hit = what->brake->obvious_hit;
    const char *row = "NOT in the order ";
    if (!hit) return y;
    for (int i = 0; i < what->brake->obvious_count; i++)
        row = kw_format(p->week->arena, "%s%s%s", row, i ? ", " : "",
                        what->body->bends[what->brake->obvious[i]].id);
    return moment_block(p, what, head, y, hit, row, obvious_text);
}

static const char *near_text(const struct paper *p, const struct kw_brake_hit *hit,
                             const char *bend, const char *face) {
    return kw_format(p->scratch,
                     "Bend %s: %s passes the %s by %s %s, at the ring. No order leaves more. Bring "
                     "the %s slowly on the first piece, stop short of there and look. Where it "
                     "touches, don't go on.",
                     bend, face, kw_brake_obstacle_name(hit->obstacle), paper_length(p, hit->gap),
                     moment_words(p, hit), p->week->shop->press.bed_moves ? "bed up" : "ram down");
}

static double near_block(struct paper *p, const struct kw_examined *what, struct paper_head head,
                         int step, double y) {
    const struct kw_brake_hit *near = what->brake->steps[step].near;
    return near ? moment_block(
                      p, what, head, y, near,
                      kw_format(p->week->arena, "Step %d: GO SLOWLY, watch the gap", step + 1),
                      near_text)
                : y;
}

/// How many dimples are flared once `from` to `to` strokes are made; *list names them as the dimple
/// sheet numbers them.
static int flared(struct kw_arena *a, const struct kw_examined *what, int from, int to,
                  const char **list) {
    int count = 0;
    *list = "";
    for (int i = 0; i < what->body->dimple_count; i++) {
        int after = kw_check_flared_after(what, i);
        if (after < from || after > to) continue;
        *list = kw_format(a, "%s%s%d", *list, count++ ? ", " : "", i + 1);
    }
    return count;
}

/// When the part goes to the shop press.
static const char *dimple_words(struct kw_arena *a, const struct kw_examined *what) {
    int steps = what->brake->step_count;
    const char *list, *out = "";
    int before = flared(a, what, 0, 0, &list), after = flared(a, what, steps, steps, &list);
    int between = flared(a, what, 1, steps - 1, &list);
    if (before)
        out = kw_format(a, "   BEFORE: %d dimple%s, see the dimple sheet", before,
                        before == 1 ? "" : "s");
    if (between)
        out =
            kw_format(a, "%s   BETWEEN STEPS: %d dimple%s", out, between, between == 1 ? "" : "s");
    if (after) out = kw_format(a, "%s   AFTER: %d dimple%s", out, after, after == 1 ? "" : "s");
    return out;
}

enum { FLARE_HEIGHT = 12 };

/// A band between two steps: the part goes to the shop press now.
static double flare_band(struct paper *p, const struct kw_examined *what, struct paper_head head,
                         int strokes, double y) {
    const char *list;
    if (strokes == what->brake->step_count ||
        flared(p->week->arena, what, strokes, strokes, &list) == 0)
        return y;
    if (y + FLARE_HEIGHT > p->bottom) {
        paper_begin(p, head);
        y = p->top;
    }
    double x = PAPER_MARGIN;
    struct kw_pen line = {.width = 0.9, .colour = KW_BLACK};
    kw_draw_line(&p->draw, x, y, p->w - x, y, line);
    paper_fit(p, x, y + 7, p->w - 2 * x, 4.2, true,
              kw_format(p->scratch, "NOW TO THE SHOP PRESS: flare dimple %s, see the dimple sheet",
                        list));
    return y + FLARE_HEIGHT;
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
                              .caution = p->week->shop->press.bed_moves ? CAUTION_PRESS_BED
                                                                        : CAUTION_PRESS,
                              .sign_boxes = true};
    paper_begin(p, head);
    double y = p->top;
    const char *two =
        p->week->shop->press.one_person > 0 && what->mass > p->week->shop->press.one_person
            ? "   TWO PEOPLE"
            : "";
    paper_fit(p, PAPER_MARGIN, y + 2, p->w - 2 * PAPER_MARGIN, 3, false,
              kw_format(a, "%s   %s each%s%s%s%s", m->part->stock.text, paper_mass(p, what->mass),
                        m->part->bin ? "   bin " : "", m->part->bin ? m->part->bin : "", two,
                        dimple_words(a, what)));
    blank_block(p, m, y + 5, 48);
    y += 57;
    bool listed = false;
    for (int s = 0; s < what->brake->step_count; s++) {
        if (y + STEP_HEIGHT > p->bottom) {
            if (!listed && y + paper_measure_height(p, what) <= p->bottom) {
                paper_measure_list(p, what, head, y); // room that no step fills
                listed = true;
            }
            paper_begin(p, head);
            y = p->top;
        }
        step_block(p, m, s, y);
        y = near_block(p, what, head, s, y + STEP_HEIGHT);
        y = flare_band(p, what, head, s + 1, y);
    }
    if (!listed && y + paper_measure_height(p, what) <= p->bottom) {
        y = paper_measure_list(p, what, head, y);
        listed = true;
    }
    y = obvious_block(p, what, head, y);
    if (!listed) paper_measure_list(p, what, head, y);
}

void paper_bend_sheets(struct paper *p) {
    for (int i = 0; i < p->week->brake_count; i++)
        one_sheet(p, p->week->brake_order[i]);
}
