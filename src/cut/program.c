// SPDX-License-Identifier: Apache-2.0
// The program text: RS-274 as in NISTIR 6556 and ISO 6983-1. Positions are whole numbers of the
// last decimal; an arc's centre is recomputed on the bisector of its rounded ends, which keeps the
// radii at both ends within the report's 0.002 mm (0.0002 in). Measured before: with the centre of
// the exact arc, 45 of 200,000 random arcs break that rule at 3 decimals, so none here.
#include "cut/job.h"

#include <math.h>
#include <string.h>

#define LONGEST_COMMENT 100
#define RADIUS_SLACK_MM 0.002
#define RADIUS_SLACK_IN 0.0002
#define SWEEP_SLACK     0.5 // radians: more, and rounding has turned a speck of an arc into another

struct writer {
    struct kw_text *out;
    const struct kw_cut_controller *c;
    int decimals, line;
    double unit; ///< mm a program unit
    double grid; ///< steps of the last decimal a unit
    double x, y; ///< in steps; whole numbers
    double feed; ///< last F written, units a minute
    int part;    ///< last comment
    bool locked; ///< torch height control
};

static void write_line(struct writer *w, const char *s) {
    if (w->c->line_numbers > 0) {
        w->line += w->c->line_numbers;
        // The report allows numbers to 99999; after that they start again.
        if (w->line > 99999) w->line = w->c->line_numbers;
        kw_text_addf(w->out, "N%d ", w->line);
    }
    kw_text_add(w->out, s);
    kw_text_add(w->out, "\n");
}

static void write_lines(struct writer *w, const char *const *lines, int count) {
    for (int i = 0; i < count; i++)
        write_line(w, lines[i]);
}

// What a comment may hold: printable ASCII without brackets and percent signs.
static void write_comment(struct writer *w, const char *before, const char *text) {
    char s[LONGEST_COMMENT + 3];
    size_t n = 0;
    s[n++] = '(';
    for (int part = 0; part < 2; part++)
        for (const char *c = part ? text : before; *c && n < LONGEST_COMMENT; c++) {
            if (((unsigned char)*c & 0xC0) == 0x80) continue; // the rest of a UTF-8 letter
            s[n++] = *c < 32 || *c > 126 || strchr("()%;", *c) ? '-' : *c;
        }
    s[n++] = ')';
    s[n] = 0;
    kw_text_addf(w->out, "%s\n", s);
}

static double steps(const struct writer *w, double mm) {
    return round(mm / w->unit * w->grid);
}

static void add_word(const struct writer *w, struct kw_text *t, char letter, double in_steps) {
    char buf[KW_NUMBER_SIZE];
    double value = in_steps / w->grid;
    if (w->c->all_decimals)
        kw_text_addf(t, " %c%s", letter, kw_fixed(buf, value == 0 ? 0 : value, w->decimals));
    else
        kw_text_addf(t, " %c%s", letter, kw_number(buf, value, w->decimals));
}

static void add_feed(struct writer *w, struct kw_text *t, double mm_a_second) {
    char buf[KW_NUMBER_SIZE];
    double feed = round(mm_a_second * 60 / w->unit * 10) / 10;
    if (feed == w->feed) return;
    w->feed = feed;
    kw_text_addf(t, " F%s", kw_number(buf, feed, 1));
}

// Centre of an arc in steps from its rounded start, or false when the arc is a speck that rounding
// has spoilt and that a straight line of a step or two replaces.
static bool rounded_centre(const struct writer *w, struct kw_segment s, double x, double y,
                           double *i, double *j) {
    double cx = s.centre.x / w->unit * w->grid, cy = s.centre.y / w->unit * w->grid;
    double mx = (w->x + x) / 2, my = (w->y + y) / 2, nx = w->y - y, ny = x - w->x;
    double along = ((cx - mx) * nx + (cy - my) * ny) / (nx * nx + ny * ny);
    *i = round(mx + along * nx - w->x);
    *j = round(my + along * ny - w->y);
    double start = hypot(*i, *j), end = hypot(w->x + *i - x, w->y + *j - y);
    double slack = (w->unit > 1 ? RADIUS_SLACK_IN : RADIUS_SLACK_MM) * w->grid;
    if (!(start > 0 && end > 0) || !(fabs(start - end) < 0.99 * slack)) return false;
    double ax = -*i, ay = -*j, bx = x - w->x - *i, by = y - w->y - *j;
    double sweep = atan2(ax * by - ay * bx, ax * bx + ay * by);
    if (s.sweep < 0) sweep = -sweep;
    if (sweep < 0) sweep += 2 * KW_PI;
    return fabs(sweep - fabs(s.sweep)) < SWEEP_SLACK;
}

// By radius in pieces of at most a quarter turn: near a half turn the centre would hang on the last
// decimal.
static void write_quarters(struct writer *w, const struct kw_cut_move *m, struct kw_segment s) {
    int n = (int)ceil(fabs(s.sweep) / (KW_PI / 2) - 1e-9);
    for (int i = 1; i <= n; i++) {
        struct kw_text t = {0};
        struct kw_vec2 to = i < n ? kw_segment_point(s, (double)i / n) : s.b;
        double x = steps(w, to.x), y = steps(w, to.y);
        if (x == w->x && y == w->y) continue;
        kw_text_add(&t, s.sweep > 0 ? "G3" : "G2");
        add_word(w, &t, 'X', x);
        add_word(w, &t, 'Y', y);
        // Half the chord is the least radius that reaches.
        add_word(w, &t, 'R', fmax(steps(w, s.radius), ceil(hypot(x - w->x, y - w->y) / 2)));
        add_feed(w, &t, m->feed);
        write_line(w, t.s);
        kw_text_free(&t);
        w->x = x;
        w->y = y;
    }
}

static void write_motion(struct writer *w, const struct kw_cut_move *m) {
    struct kw_text t = {0};
    double x = steps(w, m->to.x), y = steps(w, m->to.y), i, j;
    struct kw_segment s = kw_segment_make(m->from, m->to, m->bulge);
    if (x == w->x && y == w->y) return;
    bool arc = s.radius > 0 && rounded_centre(w, s, x, y, &i, &j);
    if (arc && w->c->arcs_by_radius) {
        write_quarters(w, m, s);
        return;
    }
    kw_text_add(&t, m->kind == KW_CUT_RAPID ? "G0" : !arc ? "G1" : s.sweep > 0 ? "G3" : "G2");
    add_word(w, &t, 'X', x);
    add_word(w, &t, 'Y', y);
    if (arc) {
        add_word(w, &t, 'I', i);
        add_word(w, &t, 'J', j);
    }
    if (m->kind != KW_CUT_RAPID) add_feed(w, &t, m->feed);
    write_line(w, t.s);
    kw_text_free(&t);
    w->x = x;
    w->y = y;
}

static void write_height(struct writer *w, const char *word, double mm) {
    struct kw_text t = {0};
    if (!w->c->moves_height) return;
    kw_text_add(&t, word);
    add_word(w, &t, 'Z', steps(w, mm));
    write_line(w, t.s);
    kw_text_free(&t);
}

static void write_pierce(struct writer *w, const struct kw_cut_plan *plan, double feed) {
    struct kw_text t = {0};
    char buf[KW_NUMBER_SIZE];
    write_height(w, "G0", plan->rule.pierce_height);
    write_lines(w, w->c->before_pierce, w->c->before_pierce_count);
    write_line(w, w->c->torch_on ? w->c->torch_on : "M3");
    if (plan->rule.pierce_delay > 0) {
        kw_text_addf(&t, "G4 P%s", kw_number(buf, plan->rule.pierce_delay, 3));
        write_line(w, t.s);
        kw_text_free(&t);
    }
    write_lines(w, w->c->at_cut, w->c->at_cut_count);
    if (!w->c->moves_height) return;
    kw_text_add(&t, "G1");
    add_word(w, &t, 'Z', steps(w, plan->rule.cut_height));
    add_feed(w, &t, feed);
    write_line(w, t.s);
    kw_text_free(&t);
}

static void write_torch_off(struct writer *w) {
    if (w->locked) write_line(w, w->c->unlock);
    w->locked = false;
    write_line(w, w->c->torch_off ? w->c->torch_off : "M5");
    write_height(w, "G0", w->c->travel_height);
}

static void write_lock(struct writer *w, bool locked) {
    if (!w->c->lock || !w->c->unlock || locked == w->locked) return;
    write_line(w, locked ? w->c->lock : w->c->unlock);
    w->locked = locked;
}

static void write_stop(struct writer *w, const char *why) {
    write_comment(w, why, "");
    write_line(w, w->c->stop ? w->c->stop : "M1");
}

static void write_scribe_up(struct writer *w) {
    write_line(w, w->c->scribe_up ? w->c->scribe_up : "M9");
}

static void write_scribe_down(struct writer *w) {
    struct kw_text t = {0};
    char buf[KW_NUMBER_SIZE];
    write_line(w, w->c->scribe_down ? w->c->scribe_down : "M7");
    if (!(w->c->scribe_delay > 0)) return;
    kw_text_addf(&t, "G4 P%s", kw_number(buf, w->c->scribe_delay, 3));
    write_line(w, t.s);
    kw_text_free(&t);
}

// The lines of one part, torch off; lifted between two that don't meet.
static void write_etched(struct writer *w, const struct kw_cut_plan *plan,
                         const struct kw_cut_contour *c) {
    write_comment(w, "ETCH ", plan->names[c->hole]);
    w->part = c->part;
    bool down = false;
    for (int k = 0; k < c->moves; k++) {
        const struct kw_cut_move *m = &plan->moves[c->first_move + k];
        if (m->kind == KW_CUT_RAPID && down) write_scribe_up(w);
        if (m->kind == KW_CUT_SCRIBE)
            write_scribe_down(w);
        else
            write_motion(w, m);
        down = m->kind != KW_CUT_RAPID;
    }
    write_scribe_up(w);
}

static void write_contour(struct writer *w, const struct kw_cut_plan *plan,
                          const struct kw_cut_contour *c) {
    const struct kw_cut_move *m = &plan->moves[c->first_move];
    if (c->part == KW_CUT_ETCHED) {
        write_etched(w, plan, c);
        return;
    }
    if (c->part != w->part) {
        if (c->part < 0)
            write_comment(w, c->part == KW_CUT_SCRAP ? "SCRAP" : "MARKS", "");
        else
            write_comment(w, "PART ", plan->names[c->part]);
        w->part = c->part;
    }
    if (c->stop_before) write_stop(w, "STOP - PULL PARTS THAT STAND UP");
    for (int k = 0; k < c->moves; k++) {
        bool burns = k > 0 && m[k - 1].kind != KW_CUT_RAPID;
        if (m[k].kind == KW_CUT_RAPID && burns) write_torch_off(w); // at a holding tab
        if (m[k].kind > KW_CUT_PIERCE) write_lock(w, m[k].locked);
        if (m[k].kind == KW_CUT_PIERCE)
            write_pierce(w, plan, k + 1 < c->moves ? m[k + 1].feed : plan->rule.feed);
        else
            write_motion(w, &m[k]);
    }
    write_torch_off(w);
}

static void write_travel(struct writer *w, double x, double y) {
    struct kw_text t = {0};
    w->x = steps(w, x);
    w->y = steps(w, y);
    kw_text_add(&t, "G0");
    add_word(w, &t, 'X', w->x);
    add_word(w, &t, 'Y', w->y);
    write_line(w, t.s);
    kw_text_free(&t);
}

// Torch off: two points of the sheet's lower edge to square it by, then round all parts.
static void write_trace(struct writer *w, const struct kw_cut_plan *plan) {
    struct kw_box2 b = plan->around;
    write_comment(w, "TORCH OFF - SQUARE THE SHEET BY ITS LOWER EDGE", "");
    write_travel(w, 0, 0);
    write_line(w, w->c->stop ? w->c->stop : "M1");
    write_travel(w, plan->width, 0);
    write_line(w, w->c->stop ? w->c->stop : "M1");
    write_comment(w, "TORCH OFF - ROUND THE NEST", "");
    write_travel(w, b.min.x, b.min.y);
    write_travel(w, b.max.x, b.min.y);
    write_travel(w, b.max.x, b.max.y);
    write_travel(w, b.min.x, b.max.y);
    write_travel(w, b.min.x, b.min.y);
    write_stop(w, "CLEAR OF CLAMPS AND ON THE SHEET - THEN GO ON");
}

static void write_heading(struct writer *w, const struct kw_cut_plan *plan, const char *title) {
    struct kw_text t = {0};
    char buf[KW_NUMBER_SIZE];
    const char *unit = w->unit > 1 ? "IN" : "MM";
    write_comment(w, title ? title : "", "");
    kw_text_addf(&t, "KERF %s %s", kw_number(buf, plan->kerf / w->unit, w->decimals), unit);
    if (plan->rule.amps > 0) kw_text_addf(&t, "  %s AMPS", kw_number(buf, plan->rule.amps, 0));
    kw_text_addf(&t, "  PIERCES %d", plan->pierces);
    write_comment(w, t.s, "");
    kw_text_free(&t);
    write_line(w, w->unit > 1 ? "G20" : "G21");
    write_line(w, "G90 G17 G40 G94");
    write_lines(w, w->c->header, w->c->header_count);
    write_line(w, w->c->torch_off ? w->c->torch_off : "M5");
    if (w->c->scribe_down) write_scribe_up(w);
    write_height(w, "G0", w->c->travel_height);
}

void kw_cut_program_text(const struct kw_cut_plan *plan, const struct kw_cut_controller *controller,
                         const char *title, struct kw_text *out) {
    bool inch = controller->units == KW_IN;
    struct writer w = {.out = out, .c = controller, .part = -9, .feed = -1};
    w.unit = inch ? KW_MM_PER_IN : 1;
    w.decimals = (int)fmin(fmax(controller->decimals, inch ? 4 : 3), 6);
    w.grid = pow(10, w.decimals);
    // Nowhere yet, so that the first travel is always written.
    w.x = w.y = NAN;
    if (controller->percent) kw_text_add(out, "%\n");
    write_heading(&w, plan, title);
    if (controller->trace && plan->part_count > 0) write_trace(&w, plan);
    for (int i = 0; i < plan->contour_count; i++)
        write_contour(&w, plan, &plan->contours[i]);
    write_lines(&w, controller->footer, controller->footer_count);
    write_line(&w, controller->end ? controller->end : "M2");
    if (controller->percent) kw_text_add(out, "%\n");
}
