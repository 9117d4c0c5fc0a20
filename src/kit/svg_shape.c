// SPDX-License-Identifier: Apache-2.0
// Basic shapes (SVG 1.1, chapter 9), drawn with the same pen as paths.
#include "kit/svg_in.h"

#include <string.h>

struct shape {
    struct kw_svg_reader *r;
    const struct kw_svg_element *e;
    const struct kw_svg_state *s;
    struct kw_svg_pen pen;
};

static enum kw_status measure(struct shape *h, const char *name, double whole, double *v) {
    return kw_svg_measure(h->r, h->e, name, whole, 0, v);
}
static enum kw_status along_x(struct shape *h, const char *name, double *v) {
    return measure(h, name, h->s->view_width, v);
}
static enum kw_status along_y(struct shape *h, const char *name, double *v) {
    return measure(h, name, h->s->view_height, v);
}

static enum kw_status nothing(struct shape *h) {
    h->r->sketch.dropped++;
    return KW_OK;
}

static enum kw_status arc(struct shape *h, double rx, double ry, double x, double y) {
    return kw_svg_pen_arc(&h->pen, rx, ry, 0, false, true, kw_v2(x, y));
}

// A radius that is not said is that of the other way; neither is more than half of its side.
static enum kw_status radii(struct shape *h, double w, double ht, double *rx, double *ry) {
    enum kw_status s = kw_svg_measure(h->r, h->e, "rx", h->s->view_width, -1, rx);
    if (s == KW_OK) s = kw_svg_measure(h->r, h->e, "ry", h->s->view_height, -1, ry);
    if (*rx < 0) *rx = fmax(0, *ry);
    if (*ry < 0) *ry = *rx;
    *rx = fmin(*rx, w / 2);
    *ry = fmin(*ry, ht / 2);
    return s;
}

static enum kw_status add_rect(struct shape *h) {
    double x, y, w, ht, rx = 0, ry = 0;
    enum kw_status s = along_x(h, "x", &x);
    if (s == KW_OK) s = along_y(h, "y", &y);
    if (s == KW_OK) s = along_x(h, "width", &w);
    if (s == KW_OK) s = along_y(h, "height", &ht);
    if (s == KW_OK) s = radii(h, w, ht, &rx, &ry);
    if (s != KW_OK) return s;
    if (!(w > 0 && ht > 0)) return nothing(h);
    struct kw_svg_pen *p = &h->pen;
    bool round = rx > 0 && ry > 0;
    if (!round) rx = ry = 0;
    s = kw_svg_pen_move(p, kw_v2(x + rx, y));
    if (s == KW_OK) s = kw_svg_pen_line(p, kw_v2(x + w - rx, y));
    if (s == KW_OK && round) s = arc(h, rx, ry, x + w, y + ry);
    if (s == KW_OK) s = kw_svg_pen_line(p, kw_v2(x + w, y + ht - ry));
    if (s == KW_OK && round) s = arc(h, rx, ry, x + w - rx, y + ht);
    if (s == KW_OK) s = kw_svg_pen_line(p, kw_v2(x + rx, y + ht));
    if (s == KW_OK && round) s = arc(h, rx, ry, x, y + ht - ry);
    if (s == KW_OK && round) s = kw_svg_pen_line(p, kw_v2(x, y + ry));
    if (s == KW_OK && round) s = arc(h, rx, ry, x + rx, y);
    return s == KW_OK ? kw_svg_pen_close(p) : s;
}

static enum kw_status round_shape(struct shape *h, double rx, double ry) {
    double x, y;
    enum kw_status s = along_x(h, "cx", &x);
    if (s == KW_OK) s = along_y(h, "cy", &y);
    if (s != KW_OK) return s;
    if (!(rx > 0 && ry > 0)) return nothing(h);
    s = kw_svg_pen_move(&h->pen, kw_v2(x + rx, y));
    if (s == KW_OK) s = arc(h, rx, ry, x - rx, y);
    if (s == KW_OK) s = arc(h, rx, ry, x + rx, y);
    return s == KW_OK ? kw_svg_pen_close(&h->pen) : s;
}

static enum kw_status add_circle(struct shape *h) {
    double r, whole = hypot(h->s->view_width, h->s->view_height) / sqrt(2);
    enum kw_status s = measure(h, "r", whole, &r);
    return s == KW_OK ? round_shape(h, r, r) : s;
}

static enum kw_status add_ellipse(struct shape *h) {
    double rx, ry;
    enum kw_status s = radii(h, INFINITY, INFINITY, &rx, &ry);
    return s == KW_OK ? round_shape(h, rx, ry) : s;
}

static enum kw_status add_line(struct shape *h) {
    double v[4];
    enum kw_status s = along_x(h, "x1", &v[0]);
    if (s == KW_OK) s = along_y(h, "y1", &v[1]);
    if (s == KW_OK) s = along_x(h, "x2", &v[2]);
    if (s == KW_OK) s = along_y(h, "y2", &v[3]);
    if (s == KW_OK) s = kw_svg_pen_move(&h->pen, kw_v2(v[0], v[1]));
    if (s == KW_OK) s = kw_svg_pen_line(&h->pen, kw_v2(v[2], v[3]));
    h->pen.fills = false;
    return s == KW_OK ? kw_svg_pen_end(&h->pen) : s;
}

static enum kw_status add_points(struct shape *h, bool closed) {
    const char *text = kw_svg_attribute(h->e, "points"), *at = text;
    if (!text) return nothing(h);
    for (int i = 0;; i++) {
        double x, y;
        kw_svg_blanks(&at);
        if (!*at) break;
        bool both = kw_svg_number(&at, &x);
        kw_svg_blanks(&at);
        both = both && kw_svg_number(&at, &y);
        if (!both) {
            return kw_fail(h->r->sketch.err, KW_FORMAT, kw_sketch_place(&h->r->sketch, h->e->line),
                           "points: expected pairs of numbers, got \"%s\"",
                           kw_sketch_shown(h->r->sketch.scratch, at, (int)strnlen(at, 41)));
        }
        enum kw_status s =
            i == 0 ? kw_svg_pen_move(&h->pen, kw_v2(x, y)) : kw_svg_pen_line(&h->pen, kw_v2(x, y));
        if (s != KW_OK) return s;
    }
    return closed ? kw_svg_pen_close(&h->pen) : kw_svg_pen_end(&h->pen);
}

static enum kw_status add_polyline(struct shape *h) {
    return add_points(h, false);
}
static enum kw_status add_polygon(struct shape *h) {
    return add_points(h, true);
}

enum { MOST_READ = 500000000 };

static enum kw_status add_path(struct shape *h) {
    const char *data = kw_svg_attribute(h->e, "d");
    if (!data || !*data) return nothing(h);
    h->r->read += (long)strlen(data);
    if (h->r->read > MOST_READ) {
        return kw_fail(h->r->sketch.err, KW_LIMIT, kw_sketch_place(&h->r->sketch, h->e->line),
                       "the same paths are used too often");
    }
    return kw_svg_path(&h->pen, data);
}

static const struct {
    const char *name;
    enum kw_status (*add)(struct shape *h);
} shapes[] = {
    {"path", add_path},       {"rect", add_rect}, {"circle", add_circle},
    {"ellipse", add_ellipse}, {"line", add_line}, {"polyline", add_polyline},
    {"polygon", add_polygon},
};
enum { SHAPES = sizeof shapes / sizeof *shapes };

static int find_shape(const struct kw_svg_element *e) {
    for (int i = 0; i < SHAPES; i++) {
        if (strcmp(e->name, shapes[i].name) == 0) return i;
    }
    return -1;
}

bool kw_svg_is_shape(const struct kw_svg_element *e) {
    return find_shape(e) >= 0;
}

enum kw_status kw_svg_shape(struct kw_svg_reader *r, const struct kw_svg_element *e,
                            const struct kw_svg_state *s) {
    bool seen = s->visible && !(s->stroke.none && s->fill.none);
    enum kw_role role = seen ? kw_svg_shape_role(r, e, s) : ROLE_IGNORE;
    if (role == ROLE_IGNORE) {
        r->sketch.ignored++;
        return KW_OK;
    }
    struct shape h = {.r = r, .e = e, .s = s};
    h.pen = (struct kw_svg_pen){.r = r,
                                .map = s->map,
                                .role = role,
                                .fills = s->stroke.none,
                                .line = e->line,
                                .path = {.open = true}};
    return shapes[find_shape(e)].add(&h);
}
