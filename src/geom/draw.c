// SPDX-License-Identifier: Apache-2.0
// Shapes on a page through the drawing sink, and the view from model to page.
#include "geom/draw.h"

#include "geom/units.h"

void kw_draw_line(const struct kw_draw *d, double x0, double y0, double x1, double y1,
                  struct kw_pen pen) {
    struct kw_vertex v[2] = {{.x = x0, .y = y0}, {.x = x1, .y = y1}};
    struct kw_path p = {v, 2, true};
    pen.fill = false;
    d->paths(d->user, &p, 1, pen);
}

void kw_draw_box(const struct kw_draw *d, double x, double y, double w, double h,
                 struct kw_pen pen) {
    struct kw_vertex v[4] = {
        {.x = x, .y = y}, {.x = x + w, .y = y}, {.x = x + w, .y = y + h}, {.x = x, .y = y + h}};
    struct kw_path p = {v, 4, false};
    d->paths(d->user, &p, 1, pen);
}

void kw_draw_circle(const struct kw_draw *d, double x, double y, double radius, struct kw_pen pen) {
    struct kw_vertex v[2] = {{.x = x + radius, .y = y, .bulge = 1},
                             {.x = x - radius, .y = y, .bulge = 1}};
    struct kw_path p = {v, 2, false};
    d->paths(d->user, &p, 1, pen);
}

// The head is a filled triangle a third as wide as it is long; the line ends at its base, so that a
// thick line doesn't blunt the tip.
void kw_draw_arrow(const struct kw_draw *d, double x0, double y0, double x1, double y1, double head,
                   struct kw_pen pen) {
    struct kw_vec2 way = kw_v2(x1 - x0, y1 - y0);
    double length = kw_length2(way);
    if (!(length > 0)) return;
    if (head > length) head = length;
    struct kw_vec2 base = kw_sub2(kw_v2(x1, y1), kw_scale2(way, head / length));
    struct kw_vec2 side = kw_scale2(kw_left2(way), head / length / 6);
    if (head < length) kw_draw_line(d, x0, y0, base.x, base.y, pen);
    struct kw_vertex v[3] = {{.x = x1, .y = y1},
                             {.x = base.x + side.x, .y = base.y + side.y},
                             {.x = base.x - side.x, .y = base.y - side.y}};
    struct kw_path p = {v, 3, false};
    d->paths(d->user, &p, 1, (struct kw_pen){.fill = true, .fill_colour = pen.colour});
}

struct kw_view kw_view_fit(struct kw_box2 model, double x, double y, double w, double h) {
    double mw = model.max.x - model.min.x, mh = model.max.y - model.min.y;
    double scale = INFINITY;
    if (mw > 0) scale = fmin(scale, w / mw);
    if (mh > 0) scale = fmin(scale, h / mh);
    if (!isfinite(scale)) scale = 1; // a single point
    return (struct kw_view){
        .scale = scale,
        .x = x + w / 2 - scale * (model.min.x + model.max.x) / 2,
        .y = y + h / 2 + scale * (model.min.y + model.max.y) / 2,
    };
}

struct kw_vec2 kw_view_point(struct kw_view v, struct kw_vec2 p) {
    return kw_v2(v.x + v.scale * p.x, v.y - v.scale * p.y);
}

// y is turned over, so that arcs turn the other way.
struct kw_path kw_view_path(struct kw_arena *a, struct kw_view v, const struct kw_path *p) {
    struct kw_path page = kw_path_copy(a, p);
    for (int i = 0; i < page.count; i++) {
        struct kw_vec2 q = kw_view_point(v, kw_v2(p->v[i].x, p->v[i].y));
        page.v[i].x = q.x;
        page.v[i].y = q.y;
        page.v[i].bulge = -p->v[i].bulge;
    }
    return page;
}

void kw_draw_region(const struct kw_draw *d, struct kw_arena *scratch, struct kw_view v,
                    const struct kw_region *r, struct kw_pen pen) {
    struct kw_path *paths = KW_NEW_ARRAY(scratch, struct kw_path, r->hole_count + 1);
    paths[0] = kw_view_path(scratch, v, &r->outer);
    for (int i = 0; i < r->hole_count; i++)
        paths[i + 1] = kw_view_path(scratch, v, &r->holes[i]);
    d->paths(d->user, paths, r->hole_count + 1, pen);
}
