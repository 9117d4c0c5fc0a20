// SPDX-License-Identifier: Apache-2.0
// Plots of measurements as SVG, through the drawing sink that the papers use.
#include "plot.h"

#include "packet/packet.h"

#include <math.h>

#define WIDE  180.0 // mm of the page
#define HIGH  110.0
#define LEFT  20.0
#define RIGHT 42.0 // for names
#define ABOVE 12.0
#define BELOW 16.0
#define TEXT  2.6

struct scale { // one axis
    double low, high;
    bool log;
};

static double part_of(struct scale s, double v) {
    if (s.log) return (log(v) - log(s.low)) / (log(s.high) - log(s.low));
    return (v - s.low) / (s.high - s.low);
}

static double at_x(struct scale s, double v) {
    return LEFT + part_of(s, v) * (WIDE - LEFT - RIGHT);
}

static double at_y(struct scale s, double v) {
    return HIGH - BELOW - part_of(s, v) * (HIGH - ABOVE - BELOW);
}

static struct scale range_of(const struct bench_plot *p, int axis) {
    struct scale s = {INFINITY, -INFINITY, axis ? p->log_y : p->log_x};
    for (int i = 0; i < p->line_count; i++) {
        for (int k = 0; k < p->lines[i].count; k++) {
            double v = p->lines[i].v[k][axis];
            if (s.log && !(v > 0)) continue;
            s.low = fmin(s.low, v);
            s.high = fmax(s.high, v);
        }
    }
    if (!(s.low < s.high)) { // one value, or none
        s.low = s.log ? 0.5 : 0;
        s.high = s.log ? 2 : fmax(1, 2 * s.high);
    }
    double room = 0.04 * (s.high - s.low);
    return s.log ? (struct scale){s.low / 1.1, s.high * 1.1, true}
                 : (struct scale){s.low - room, s.high + room, false};
}

/// 1, 2 and 5 of every decade.
static double next_mark(struct scale s, double v, double step) {
    if (!s.log) return v + step;
    double decade = pow(10, floor(log10(v) + 1e-9)), lead = v / decade;
    return decade * (lead < 1.5 ? 2 : lead < 3 ? 5 : 10);
}

static double round_step(double span) {
    double decade = pow(10, floor(log10(span / 5)));
    double lead = span / 5 / decade;
    return decade * (lead < 1.5 ? 1 : lead < 3.5 ? 2 : lead < 7.5 ? 5 : 10);
}

static void draw_axis(const struct kw_draw *d, struct scale s, int axis, struct kw_arena *a) {
    struct kw_pen faint = {.width = 0.1, .colour = KW_GREY(0.75)};
    double step = s.log ? 0 : round_step(s.high - s.low);
    double v = s.log ? pow(10, floor(log10(s.low))) : step * ceil(s.low / step);
    for (; v <= s.high * (1 + 1e-9); v = next_mark(s, v, step)) {
        if (v < s.low) continue;
        const char *number = kw_format(a, "%.6g", fabs(v) < 1e-12 ? 0 : v);
        if (axis) {
            double y = at_y(s, v);
            kw_draw_line(d, LEFT, y, WIDE - RIGHT, y, faint);
            d->text(d->user, LEFT - 1.5, y + TEXT / 2, TEXT, KW_RIGHT, false, 0, KW_BLACK, number);
        } else {
            double x = at_x(s, v);
            kw_draw_line(d, x, ABOVE, x, HIGH - BELOW, faint);
            d->text(d->user, x, HIGH - BELOW + TEXT + 1.5, TEXT, KW_CENTRE, false, 0, KW_BLACK,
                    number);
        }
    }
}

static struct kw_colour colour_of(int i) {
    static const struct kw_colour colours[] = {
        {0.1, 0.3, 0.6},  {0.75, 0.35, 0},    {0.1, 0.5, 0.25}, {0.6, 0.1, 0.3},
        {0.4, 0.3, 0.6},  {0.45, 0.35, 0.15}, {0.2, 0.2, 0.2},  {0.2, 0.6, 0.75},
        {0.85, 0.6, 0.1}, {0.5, 0.7, 0.2},    {0.9, 0.4, 0.5},  {0.6, 0.6, 0.6}};
    return colours[i % 12];
}

static void draw_line(const struct kw_draw *d, const struct bench_plot *p, int which,
                      struct scale x, struct scale y, double *name_y) {
    const struct bench_plot_line *l = &p->lines[which];
    struct kw_pen pen = {.width = 0.4, .colour = colour_of(which)};
    if (l->dashed) pen = (struct kw_pen){0.25, KW_GREY(0.4), 1.5, 1, false, KW_WHITE};
    for (int k = 1; k < l->count; k++) {
        const double *a = l->v[k - 1], *b = l->v[k];
        if ((x.log && !(a[0] > 0)) || (y.log && !(a[1] > 0))) continue;
        double x0 = at_x(x, a[0]), y0 = at_y(y, a[1]), x1 = at_x(x, b[0]), y1 = at_y(y, b[1]);
        if (p->steps) kw_draw_line(d, x0, y0, x1, y0, pen); // holds until the next is found
        kw_draw_line(d, p->steps ? x1 : x0, y0, x1, y1, pen);
    }
    *name_y += TEXT + 2;
    kw_draw_line(d, WIDE - RIGHT + 2, *name_y - TEXT / 2, WIDE - RIGHT + 8, *name_y - TEXT / 2,
                 pen);
    d->text(d->user, WIDE - RIGHT + 9.5, *name_y, TEXT, KW_LEFT, false, 0, KW_BLACK, l->name);
}

enum kw_status bench_plot_write(const struct bench_plot *p, const char *path,
                                struct kw_error *err) {
    struct kw_arena a = {0};
    struct kw_svg *svg = kw_svg_begin(WIDE, HIGH);
    struct kw_draw d = kw_svg_draw(svg);
    struct kw_text out = {0};
    struct scale x = range_of(p, 0), y = range_of(p, 1);
    struct kw_pen frame = {.width = 0.25, .colour = KW_BLACK};
    kw_draw_box(&d, 0, 0, WIDE, HIGH, (struct kw_pen){.fill = true, .fill_colour = KW_WHITE});
    draw_axis(&d, x, 0, &a);
    draw_axis(&d, y, 1, &a);
    kw_draw_box(&d, LEFT, ABOVE, WIDE - LEFT - RIGHT, HIGH - ABOVE - BELOW, frame);
    d.text(d.user, LEFT, 7, 3.4, KW_LEFT, true, 0, KW_BLACK, p->title);
    d.text(d.user, (LEFT + WIDE - RIGHT) / 2, HIGH - 4, TEXT, KW_CENTRE, false, 0, KW_BLACK,
           p->x_name);
    d.text(d.user, 6, (ABOVE + HIGH - BELOW) / 2, TEXT, KW_CENTRE, false, KW_PI / 2, KW_BLACK,
           p->y_name);
    double name_y = ABOVE;
    for (int i = 0; i < p->line_count; i++)
        draw_line(&d, p, i, x, y, &name_y);
    kw_svg_end(svg, &out);
    enum kw_status s = kw_write_file(path, out.s, out.length, err);
    kw_text_free(&out);
    kw_arena_free(&a);
    return s;
}
