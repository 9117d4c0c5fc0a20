// SPDX-License-Identifier: Apache-2.0
// The pen that draws subpaths, and path data (SVG 1.1, chapter 8): each letter with its numbers,
// capital: absolute, small: from the current point.
#include "kit/svg_in.h"

#include <string.h>

// -------------------------------------------------------------------------------------------- pen

static struct kw_vec2 to_mm(const struct kw_svg_pen *p, struct kw_vec2 v) {
    return kw_affine2_point(p->map, v);
}

static void push(struct kw_svg_pen *p, struct kw_vec2 to) {
    struct kw_vec2 q = to_mm(p, to);
    kw_path_add(p->r->sketch.scratch, &p->path, q.x, q.y, 0, p->line);
    p->at = to;
}

static enum kw_status check(struct kw_svg_pen *p, struct kw_vec2 v) {
    return kw_sketch_check_point(&p->r->sketch, to_mm(p, v), p->line);
}

static bool ends_where_it_begins(const struct kw_path *path, double tolerance) {
    const struct kw_vertex *v = path->v, *w = &path->v[path->count - 1];
    return hypot(v->x - w->x, v->y - w->y) <= tolerance;
}

static enum kw_status finish(struct kw_svg_pen *p, bool closed) {
    struct kw_path path = p->path;
    p->path = (struct kw_path){.open = true};
    if (path.count < 2) {
        p->r->sketch.dropped += path.count == 1 && closed;
        return KW_OK;
    }
    if (closed || (path.count > 2 && ends_where_it_begins(&path, KW_SAME_POINT_MM))) {
        if (path.count > 2 && ends_where_it_begins(&path, KW_SAME_POINT_MM)) path.count--;
        path.open = false;
    }
    if (p->role == ROLE_CUT && p->fills) path.open = false;
    return kw_sketch_add_made(&p->r->sketch, p->role, path, p->line);
}

enum kw_status kw_svg_pen_move(struct kw_svg_pen *p, struct kw_vec2 to) {
    enum kw_status s = finish(p, false);
    if (s == KW_OK) s = check(p, to);
    if (s != KW_OK) return s;
    push(p, to);
    p->start = to;
    return KW_OK;
}

// After a close the next piece begins at the same start.
static void begin(struct kw_svg_pen *p) {
    if (p->path.count == 0) push(p, p->start);
}

enum kw_status kw_svg_pen_line(struct kw_svg_pen *p, struct kw_vec2 to) {
    enum kw_status s = check(p, to);
    if (s != KW_OK) return s;
    begin(p);
    push(p, to);
    return KW_OK;
}

static void settle(struct kw_svg_pen *p, struct kw_vec2 to) {
    struct kw_vertex *last = &p->path.v[p->path.count - 1];
    struct kw_vec2 q = to_mm(p, to);
    last->x = q.x;
    last->y = q.y;
    p->at = to;
}

enum kw_status kw_svg_pen_curve(struct kw_svg_pen *p, const struct kw_vec2 *points, int count) {
    double knots[8] = {0, 0, 0, 0, 1, 1, 1, 1};
    struct kw_vec2 q[4];
    q[0] = to_mm(p, p->at);
    for (int i = 0; i < count; i++) {
        enum kw_status s = check(p, points[i]);
        if (s != KW_OK) return s;
        q[i + 1] = to_mm(p, points[i]);
    }
    begin(p);
    struct kw_spline spline = {count, count + 1, q, NULL, count == 3 ? knots : knots + 1};
    kw_path_add_spline(p->r->sketch.scratch, &p->path, &spline, KW_CURVE_MM, p->line);
    settle(p, points[count - 1]);
    return KW_OK;
}

static double angle_between(struct kw_vec2 a, struct kw_vec2 b) {
    return atan2(kw_cross2(a, b), kw_dot2(a, b));
}

// From the two ends to the centre: in the frame in which the ellipse is a circle of radius 1.
static struct kw_ellipse arc_ellipse(struct kw_vec2 from, struct kw_vec2 to, double rx, double ry,
                                     double turn, bool large, bool sweep) {
    double c = cos(turn), s = sin(turn);
    struct kw_vec2 half = kw_scale2(kw_sub2(from, to), 0.5);
    struct kw_vec2 h = kw_v2((c * half.x + s * half.y) / rx, (c * half.y - s * half.x) / ry);
    double size = kw_length2(h);
    if (size > 1) rx *= size, ry *= size, h = kw_scale2(h, 1 / size); // too small to reach
    double away = sqrt(fmax(0, 1 - kw_dot2(h, h)));
    size = kw_length2(h);
    struct kw_vec2 centre = kw_scale2(kw_left2(h), (large == sweep ? 1 : -1) * away / size);
    struct kw_vec2 first = kw_sub2(h, centre), last = kw_sub2(kw_scale2(h, -1), centre);
    double begin = atan2(first.y, first.x), way = angle_between(first, last);
    if (sweep && way <= 0) way += 2 * KW_PI;
    if (!sweep && way >= 0) way -= 2 * KW_PI;
    struct kw_ellipse e = {.u = kw_v2(rx * c, rx * s), .v = kw_v2(-ry * s, ry * c)};
    e.centre = kw_add2(kw_lerp2(from, to, 0.5),
                       kw_add2(kw_scale2(e.u, centre.x), kw_scale2(e.v, centre.y)));
    e.from = begin;
    e.to = begin + way;
    return e;
}

enum kw_status kw_svg_pen_arc(struct kw_svg_pen *p, double rx, double ry, double turn, bool large,
                              bool sweep, struct kw_vec2 to) {
    double reach = kw_length2(kw_sub2(to, p->at));
    rx = fabs(rx), ry = fabs(ry);
    if (!(reach > 0) || rx <= 1e-12 * reach || ry <= 1e-12 * reach) return kw_svg_pen_line(p, to);
    struct kw_ellipse e = arc_ellipse(p->at, to, rx, ry, turn, large, sweep);
    e = kw_ellipse_mapped(&e, p->map);
    enum kw_status s = check(p, to);
    for (int i = 0; i < 16 && s == KW_OK; i++) {
        struct kw_vec2 q = kw_ellipse_point(&e, e.from + (e.to - e.from) * i / 16);
        s = kw_sketch_check_point(&p->r->sketch, q, p->line);
    }
    if (s != KW_OK) return s;
    begin(p);
    kw_path_add_ellipse(p->r->sketch.scratch, &p->path, &e, KW_CURVE_MM, p->line);
    settle(p, to);
    return KW_OK;
}

enum kw_status kw_svg_pen_close(struct kw_svg_pen *p) {
    p->at = p->start;
    return finish(p, true);
}

enum kw_status kw_svg_pen_end(struct kw_svg_pen *p) {
    return finish(p, false);
}

// -------------------------------------------------------------------------------------- path data

struct data {
    struct kw_svg_pen *pen;
    const char *s;
    bool begun;
    struct kw_vec2 control; // of the curve before, mirrored by S and T
    char before;            // the letter before, as a capital
};

static enum kw_status fail_data(struct data *d, const char *wanted) {
    struct kw_sketch *sketch = &d->pen->r->sketch;
    return kw_fail(sketch->err, KW_FORMAT, kw_sketch_place(sketch, d->pen->line),
                   "path data: expected %s, got \"%s\"", wanted,
                   kw_sketch_shown(sketch->scratch, d->s, (int)strnlen(d->s, 41)));
}

static int numbers_of(char capital) {
    switch (capital) {
    case 'M':
    case 'L':
    case 'T':
        return 2;
    case 'H':
    case 'V':
        return 1;
    case 'C':
        return 6;
    case 'S':
    case 'Q':
        return 4;
    case 'A':
        return 7;
    default:
        return 0;
    }
}

// The two flags of an arc are single digits that need no blank behind them.
static bool read_value(struct data *d, bool flag, double *out) {
    kw_svg_blanks(&d->s);
    if (!flag) return kw_svg_number(&d->s, out);
    if (*d->s != '0' && *d->s != '1') return false;
    *out = *d->s++ == '1';
    return true;
}

static enum kw_status cubic(struct data *d, struct kw_vec2 a, struct kw_vec2 b, struct kw_vec2 c) {
    struct kw_vec2 q[3] = {a, b, c};
    d->control = b;
    return kw_svg_pen_curve(d->pen, q, 3);
}

static enum kw_status quadratic(struct data *d, struct kw_vec2 a, struct kw_vec2 b) {
    struct kw_vec2 q[2] = {a, b};
    d->control = a;
    return kw_svg_pen_curve(d->pen, q, 2);
}

static enum kw_status draw(struct data *d, char capital, struct kw_vec2 from, const double *v) {
    struct kw_svg_pen *p = d->pen;
    struct kw_vec2 at = p->at, q[3];
    for (int i = 0; i < 3 && capital != 'A'; i++)
        q[i] = kw_add2(from, kw_v2(v[2 * i], v[2 * i + 1]));
    bool follows =
        capital == 'S' ? strchr("CS", d->before) != NULL : strchr("QT", d->before) != NULL;
    struct kw_vec2 mirrored = follows ? kw_sub2(kw_scale2(at, 2), d->control) : at;
    switch (capital) {
    case 'M':
        return kw_svg_pen_move(p, q[0]);
    case 'L':
        return kw_svg_pen_line(p, q[0]);
    case 'H':
        return kw_svg_pen_line(p, kw_v2(from.x + v[0], at.y));
    case 'V':
        return kw_svg_pen_line(p, kw_v2(at.x, from.y + v[0]));
    case 'C':
        return cubic(d, q[0], q[1], q[2]);
    case 'S':
        return cubic(d, mirrored, q[0], q[1]);
    case 'Q':
        return quadratic(d, q[0], q[1]);
    case 'T':
        return quadratic(d, mirrored, q[0]);
    default:
        return kw_svg_pen_arc(p, v[0], v[1], fmod(v[2], 360) * KW_PI / 180, v[3] != 0, v[4] != 0,
                              kw_add2(from, kw_v2(v[5], v[6])));
    }
}

// One letter with its numbers, which may come several times; after the first M's stand for L.
static enum kw_status command(struct data *d, char letter) {
    bool small = letter >= 'a' && letter <= 'z';
    char capital = (char)(small ? letter - 'a' + 'A' : letter);
    int n = numbers_of(capital);
    do {
        double v[7] = {0};
        struct kw_vec2 from = small ? d->pen->at : kw_v2(0, 0);
        for (int i = 0; i < n; i++) {
            if (!read_value(d, capital == 'A' && (i == 3 || i == 4), &v[i]))
                return fail_data(d, capital == 'A' && (i == 3 || i == 4) ? "0 or 1" : "a number");
        }
        enum kw_status s = draw(d, capital, from, v);
        if (s != KW_OK) return s;
        d->before = capital;
        if (capital == 'M') capital = 'L';
        kw_svg_blanks(&d->s);
    } while (*d->s && strchr("+-.0123456789", *d->s));
    return KW_OK;
}

enum kw_status kw_svg_path(struct kw_svg_pen *p, const char *text) {
    struct data d = {.pen = p, .s = text, .before = 'M'};
    for (;;) {
        kw_svg_blanks(&d.s);
        char letter = *d.s;
        if (!letter) return kw_svg_pen_end(p);
        if (!strchr("MmZzLlHhVvCcSsQqTtAa", letter)) return fail_data(&d, "a letter of a path");
        if (!d.begun && letter != 'M' && letter != 'm') return fail_data(&d, "M or m");
        d.begun = true;
        d.s++;
        enum kw_status s = KW_OK;
        if (letter == 'Z' || letter == 'z') {
            s = kw_svg_pen_close(p);
            d.before = 'Z';
        } else {
            s = command(&d, letter);
        }
        if (s != KW_OK) return s;
    }
}
