// SPDX-License-Identifier: Apache-2.0
// Pictures of parts: folded and shaded, flat with bend lines, tubes in views.
#include "packet/paper.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// --------------------------------------------------------------------------------- folded part

// Isometric from the front right above, as a part lies before the worker: x to the right and down,
// y to the right and up on the page.
struct kw_vec2 paper_project(struct kw_vec3 p) {
    const double c = 0.86602540378443865, s = 0.5;
    return kw_v2(c * (p.x + p.y), s * (p.y - p.x) + p.z);
}
static double depth(struct kw_vec3 p) {
    return p.x - p.y + p.z;
} // grows towards the eye

struct seen { // a triangle that faces the eye
    int triangle;
    double depth;
    double light;
};

static int by_depth(const void *a, const void *b) {
    const struct seen *s = a, *t = b;
    if (s->depth != t->depth) return s->depth < t->depth ? -1 : 1;
    return s->triangle - t->triangle;
}

static struct kw_vec3 normal_of(const struct kw_mesh *m, int t) {
    struct kw_vec3 a = m->points[m->triangles[t][0]], b = m->points[m->triangles[t][1]],
                   c = m->points[m->triangles[t][2]];
    struct kw_vec3 n = kw_cross3(kw_sub3(b, a), kw_sub3(c, a));
    double l = kw_length3(n);
    return l > 0 ? kw_scale3(n, 1 / l) : n;
}

struct edge { // of a triangle, by its smaller and larger point
    int a, b, triangle, side;
};

static int by_points(const void *x, const void *y) {
    const struct edge *e = x, *f = y;
    if (e->a != f->a) return e->a - f->a;
    if (e->b != f->b) return e->b - f->b;
    return e->triangle - f->triangle;
}

// Marks the sides of triangles that are drawn: where two faces meet at more than 20 degrees.
static bool (*creases(struct kw_arena *a, const struct kw_mesh *m,
                      const struct kw_vec3 *normals))[3] {
    int n = 3 * m->triangle_count;
    struct edge *edges = KW_NEW_ARRAY(a, struct edge, n + 1);
    bool(*drawn)[3] = kw_alloc(a, sizeof *drawn * (size_t)(m->triangle_count + 1));
    for (int i = 0; i < n; i++) {
        int p = m->triangles[i / 3][i % 3], q = m->triangles[i / 3][(i % 3 + 1) % 3];
        edges[i] = (struct edge){p < q ? p : q, p < q ? q : p, i / 3, i % 3};
    }
    qsort(edges, (size_t)n, sizeof *edges, by_points);
    for (int i = 0; i < n; i++) {
        bool paired = i + 1 < n && edges[i].a == edges[i + 1].a && edges[i].b == edges[i + 1].b;
        bool sharp =
            !paired || kw_dot3(normals[edges[i].triangle], normals[edges[i + 1].triangle]) <
                           0.93969262078590838; // cos 20 degrees
        drawn[edges[i].triangle][edges[i].side] = sharp;
        if (paired) drawn[edges[i + 1].triangle][edges[i + 1].side] = sharp;
        i += paired;
    }
    return drawn;
}

static struct kw_box2 projected_box(const struct kw_mesh *m) {
    struct kw_box2 box = {{1e30, 1e30}, {-1e30, -1e30}};
    for (int i = 0; i < m->point_count; i++) {
        struct kw_vec2 q = paper_project(m->points[i]);
        box.min = kw_v2(fmin(box.min.x, q.x), fmin(box.min.y, q.y));
        box.max = kw_v2(fmax(box.max.x, q.x), fmax(box.max.y, q.y));
    }
    return box;
}

static void draw_triangle(const struct paper *p, const struct kw_mesh *m, struct kw_view view,
                          const struct seen *s, const bool drawn[3]) {
    struct kw_vertex v[3];
    for (int k = 0; k < 3; k++) {
        struct kw_vec2 q =
            kw_view_point(view, paper_project(m->points[m->triangles[s->triangle][k]]));
        v[k] = (struct kw_vertex){.x = q.x, .y = q.y};
    }
    struct kw_path path = {.v = v, .count = 3};
    struct kw_colour shade = KW_GREY(0.62 + 0.36 * s->light);
    // A stroke of the same shade closes the hairline between neighbours.
    struct kw_pen pen = {.width = 0.12, .colour = shade, .fill = true, .fill_colour = shade};
    p->draw.paths(p->draw.user, &path, 1, pen);
    struct kw_pen line = {.width = 0.22, .colour = KW_BLACK};
    for (int k = 0; k < 3; k++) {
        int n = (k + 1) % 3;
        if (drawn[k]) kw_draw_line(&p->draw, v[k].x, v[k].y, v[n].x, v[n].y, line);
    }
}

// Painter's order: far triangles first. Long thin triangles can hide each other wrongly, so large
// ones are sorted by their nearest corner's depth mixed with the middle; good enough for a picture
// beside which the sizes stand.
struct kw_view paper_mesh_picture(const struct paper *p, const struct kw_mesh *m, double x,
                                  double y, double w, double h) {
    struct kw_arena *a = p->scratch;
    struct kw_vec3 *normals = KW_NEW_ARRAY(a, struct kw_vec3, m->triangle_count + 1);
    for (int t = 0; t < m->triangle_count; t++)
        normals[t] = normal_of(m, t);
    bool(*drawn)[3] = creases(a, m, normals);
    struct seen *seen = KW_NEW_ARRAY(a, struct seen, m->triangle_count + 1);
    int n = 0;
    const struct kw_vec3 eye = {0.57735, -0.57735, 0.57735}, lamp = {0.3, -0.45, 0.84};
    for (int t = 0; t < m->triangle_count; t++) {
        if (!(kw_dot3(normals[t], eye) > 1e-9)) continue;
        double d = 0;
        for (int k = 0; k < 3; k++)
            d += depth(m->points[m->triangles[t][k]]) / 3;
        seen[n++] = (struct seen){t, d, fmax(0, kw_dot3(normals[t], lamp))};
    }
    qsort(seen, (size_t)n, sizeof *seen, by_depth);
    struct kw_view view = kw_view_fit(projected_box(m), x, y, w, h);
    for (int i = 0; i < n; i++)
        draw_triangle(p, m, view, &seen[i], drawn[seen[i].triangle]);
    return view;
}

void paper_part_picture(const struct paper *p, const struct kw_examined *what, bool other_hand,
                        double x, double y, double w, double h) {
    if (what->body) {
        struct kw_mesh mesh = {0};
        kw_body_mesh(p->scratch, what->body, 1, KW_PI / 12, &mesh);
        if (other_hand) kw_mesh_mirror(&mesh, 0);
        (void)paper_mesh_picture(p, &mesh, x, y, w, h);
    } else if (what->tube) {
        paper_tube_view(p, what, "iso", x, y, w, h);
    }
}

// ------------------------------------------------------------------------------------- flat blank

#define BESIDE_BLANK 4.0 // mm of page that a label may stand out over the blank

struct bend_labels { // boxes of those that stand, and where they may
    struct kw_box2 *v;
    int count;
    struct kw_box2 area;
};

static bool has_room(const struct bend_labels *l, struct kw_box2 b) {
    if (b.min.x < l->area.min.x || b.min.y < l->area.min.y || b.max.x > l->area.max.x ||
        b.max.y > l->area.max.y)
        return false;
    for (int i = 0; i < l->count; i++)
        if (b.min.x < l->v[i].max.x && l->v[i].min.x < b.max.x && b.min.y < l->v[i].max.y &&
            l->v[i].min.y < b.max.y)
            return false;
    return true;
}

/// Beside the line, where no other label stands; false when there is no such place. In the middle
/// if it can be, `anyway` there.
static bool put_label(const struct paper *p, struct bend_labels *l, const char *text,
                      struct kw_vec2 from, struct kw_vec2 to, bool anyway) {
    static const double parts[] = {0.5, 0.25, 0.75, 0.12, 0.88};
    bool level = fabs(to.x - from.x) >= fabs(to.y - from.y);
    double half = p->draw.text_width(p->draw.user, PAPER_TEXT, true, text) / 2, gap = 1;
    for (int below = 0; below < 2; below++)
        for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
            struct kw_vec2 at = kw_lerp2(from, to, parts[i]);
            double off = below ? gap + PAPER_TEXT : -gap; // of the baseline
            struct kw_vec2 foot = kw_add2(at, level ? kw_v2(0, off) : kw_v2(off, 0));
            struct kw_vec2 reach = level ? kw_v2(half, PAPER_TEXT) : kw_v2(PAPER_TEXT, half);
            struct kw_box2 b = {kw_sub2(foot, reach), kw_add2(foot, reach)};
            if (level)
                b.max.y = foot.y;
            else
                b.max.x = foot.x;
            if (!anyway && !has_room(l, b)) continue;
            KW_PUSH(p->scratch, l->v, l->count) = b;
            p->draw.text(p->draw.user, foot.x, foot.y, PAPER_TEXT, KW_CENTRE, true,
                         level ? 0 : KW_PI / 2, KW_BLACK, text);
            return true;
        }
    return false;
}

/// The line and what is bent there; where that has no room, the bend's name alone.
static void bend_line(const struct paper *p, const struct kw_body *body, int b, bool other_hand,
                      struct kw_view view, struct bend_labels *labels) {
    struct kw_vec2 from, to;
    const char *id = body->bends[b].id;
    kw_body_bend_line(body, b, other_hand, &from, &to);
    from = kw_view_point(view, from);
    to = kw_view_point(view, to);
    bool up = body->bends[b].way == KW_UP;
    struct kw_pen pen = {
        .width = 0.35, .colour = KW_BLACK, .dash = up ? 3 : 1, .gap = up ? 1.2 : 1};
    kw_draw_line(&p->draw, from.x, from.y, to.x, to.y, pen);
    const char *label = kw_format(p->scratch, "%s %.3g deg %s", id,
                                  body->bends[b].angle * 180 / KW_PI, up ? "up" : "down");
    if (put_label(p, labels, label, from, to, false)) return;
    if (!put_label(p, labels, id, from, to, false)) put_label(p, labels, id, from, to, true);
}

static void overall_sizes(const struct paper *p, struct kw_box2 box, struct kw_view view) {
    struct kw_vec2 a = kw_view_point(view, box.min), b = kw_view_point(view, box.max);
    struct kw_pen pen = {.width = 0.18, .colour = KW_BLACK};
    double y = a.y + 4, x = a.x - 4, mx = (a.x + b.x) / 2, my = (a.y + b.y) / 2;
    kw_draw_arrow(&p->draw, mx, y, a.x, y, 1.6, pen);
    kw_draw_arrow(&p->draw, mx, y, b.x, y, 1.6, pen);
    kw_draw_arrow(&p->draw, x, my, x, a.y, 1.6, pen);
    kw_draw_arrow(&p->draw, x, my, x, b.y, 1.6, pen);
    p->draw.text(p->draw.user, mx, y + 4, PAPER_TEXT, KW_CENTRE, true, 0, KW_BLACK,
                 paper_both(p, box.max.x - box.min.x));
    p->draw.text(p->draw.user, x - 1.5, my, PAPER_TEXT, KW_CENTRE, true, KW_PI / 2, KW_BLACK,
                 paper_both(p, box.max.y - box.min.y));
}

void paper_blank_picture(const struct paper *p, const struct kw_examined *what, bool other_hand,
                         bool sizes, double x, double y, double w, double h) {
    const struct kw_body *body = what->body;
    struct kw_region blank = other_hand ? kw_body_other_hand(p->scratch, body) : body->blank;
    struct kw_box2 box = kw_path_box(&blank.outer);
    double edge = sizes ? 10 : 1;
    struct kw_view view = kw_view_fit(box, x + edge, y, w - edge, h - edge);
    struct kw_pen pen = {
        .width = 0.35, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.93)};
    kw_draw_region(&p->draw, p->scratch, view, &blank, pen);
    struct kw_vec2 low = kw_view_point(view, box.min), high = kw_view_point(view, box.max);
    struct kw_vec2 more = kw_v2(BESIDE_BLANK, BESIDE_BLANK);
    struct bend_labels labels = {
        .area = {kw_sub2(kw_v2(low.x, high.y), more), kw_add2(kw_v2(high.x, low.y), more)}};
    for (int b = 0; b < body->bend_count; b++)
        bend_line(p, body, b, other_hand, view, &labels);
    if (sizes) overall_sizes(p, box, view);
}

// ------------------------------------------------------------------------------------------ tube

static struct kw_vec2 along(struct kw_vec3 q, const char *axes) {
    if (strcmp(axes, "iso") == 0) return paper_project(q);
    double v[3] = {q.x, q.y, q.z};
    return kw_v2(v[axes[0] - 'x'], v[axes[1] - 'x']);
}

/// The outside of a bent tube on the page's axes, exact; of bars and slanted views round the line.
static struct kw_box2 tube_outside(const struct kw_examined *what, const char *axes,
                                   const struct kw_path *line, double od) {
    if (what->tube->count > 0 && strcmp(axes, "iso") != 0)
        return (struct kw_box2){along(what->box.min, axes), along(what->box.max, axes)};
    struct kw_box2 box = kw_path_box(line);
    box.min = kw_sub2(box.min, kw_v2(od / 2, od / 2));
    box.max = kw_add2(box.max, kw_v2(od / 2, od / 2));
    return box;
}

struct kw_box2 paper_tube_view(const struct paper *p, const struct kw_examined *what,
                               const char *axes, double x, double y, double w, double h) {
    int n = 0;
    struct kw_vec3 *points = kw_tube_sample(p->scratch, what->tube, 0.2, &n);
    double od = fmax(what->part->stock.width, what->part->stock.height);
    if (!(od > 0)) od = what->part->stock.thickness;
    struct kw_path line = {.open = true};
    for (int i = 0; i < n; i++) {
        struct kw_vec2 q = along(points[i], axes);
        kw_path_add(p->scratch, &line, q.x, q.y, 0, 0);
    }
    struct kw_box2 box = tube_outside(what, axes, &line, od);
    struct kw_view view = kw_view_fit(box, x + 1, y + 1, w - 2, h - 2);
    struct kw_path page = kw_view_path(p->scratch, view, &line);
    double width = fmax(od * view.scale, 0.5);
    struct kw_pen dark = {.width = width + 0.5, .colour = KW_BLACK};
    struct kw_pen light = {.width = fmax(width - 0.1, 0.2), .colour = KW_GREY(0.85)};
    p->draw.paths(p->draw.user, &page, 1, dark);
    p->draw.paths(p->draw.user, &page, 1, light);
    struct kw_vec2 a = kw_view_point(view, box.min), b = kw_view_point(view, box.max);
    return (struct kw_box2){{a.x, b.y}, {b.x, a.y}};
}
