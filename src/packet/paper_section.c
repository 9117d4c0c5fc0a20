// SPDX-License-Identifier: Apache-2.0
// Pictures of a stroke: tools and part in section, large, and the blank with the bend marked.
#include "packet/paper.h"

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
    if (s->gauge_x < 68) half = fmax(half, s->gauge_x + 10); // not a number: false
    return (struct kw_box2){kw_v2(-half, -0.6 * half), kw_v2(half, 1.2 * half)};
}

void paper_section(const struct paper *p, const struct kw_brake_section *s, bool after,
                   const char *caption, double x, double y, double w, double h) {
    const struct kw_path *sheet = after ? s->after : s->before;
    int count = after ? s->after_count : s->before_count;
    const struct kw_path *punch = after ? &s->punch_after : &s->punch_before;
    struct kw_box2 box = near_bend(s); // one scale for both pictures
    struct kw_view view = kw_view_fit(box, x + 1, y + 1, w - 2, h - 6);
    struct kw_pen tools = {
        .width = 0.25, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.8)};
    struct kw_pen metal = {
        .width = 0.25, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.25)};
    draw_in_box(p, view, box, after ? &s->die_after : &s->die, 1, tools);
    draw_in_box(p, view, box, punch, 1, tools);
    draw_in_box(p, view, box, sheet, count, metal);
    if (isfinite(s->gauge_x) && isfinite(s->gauge_r) && !after) {
        const struct kw_press *press = &p->week->shop->press;
        double deep = press->finger_depth > 0 ? press->finger_depth : 60;
        double tall = press->finger_height > 0 ? press->finger_height : 10;
        struct kw_path body = kw_path_box_outline(p->scratch, s->gauge_x, s->gauge_r,
                                                  s->gauge_x + deep, s->gauge_r + tall, 0);
        struct kw_pen finger = {
            .width = 0.4, .colour = KW_BLACK, .fill = true, .fill_colour = KW_WHITE};
        draw_in_box(p, view, box, &body, 1, finger);
    }
    p->draw.text(p->draw.user, x + w / 2, y + h - 1, PAPER_SMALL, KW_CENTRE, false, 0, KW_BLACK,
                 caption);
}

void paper_bend_on_blank(const struct paper *p, const struct kw_examined *what, bool other_hand,
                         const struct kw_brake_step *s, double x, double y, double w, double h) {
    const struct kw_body *body = what->body;
    struct kw_region blank = other_hand ? kw_body_other_hand(p->scratch, body) : body->blank;
    struct kw_box2 box = kw_path_box(&blank.outer);
    struct kw_view view = kw_view_fit(box, x + 4, y + 4, w - 8, h - 8);
    struct kw_pen outline = {.width = 0.2, .colour = KW_BLACK};
    draw_set(p, view, &blank.outer, 1, outline);
    struct kw_vec2 from, to;
    for (int b = 0; b < body->bend_count; b++) {
        bool own = false;
        for (int k = 0; k < s->bend_count; k++)
            own = own || s->bends[k] == b;
        struct kw_pen pen = {.width = own ? 0.9 : 0.15, .colour = own ? KW_BLACK : KW_GREY(0.5)};
        kw_body_bend_line(body, b, other_hand, &from, &to);
        from = kw_view_point(view, from);
        to = kw_view_point(view, to);
        kw_draw_line(&p->draw, from.x, from.y, to.x, to.y, pen);
    }
    // The child lies on the left of from -> to.
    kw_body_bend_line(body, s->bends[0], other_hand, &from, &to);
    struct kw_vec2 a = kw_view_point(view, from), b = kw_view_point(view, to);
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
    if (s->gauged || s->stage == 2) p->draw.paths(p->draw.user, &arrow, 1, solid);
}

/// The die's top, the spot, and room round both.
static struct kw_box2 round_spot(const struct kw_brake_collision *c, double w, double h) {
    const double room = 35;
    struct kw_box2 b = {kw_v2(fmin(0, c->spot.x) - room, fmin(0, c->spot.y) - room),
                        kw_v2(fmax(0, c->spot.x) + room, fmax(0, c->spot.y) + room)};
    struct kw_vec2 size = kw_sub2(b.max, b.min);
    double wide = fmax(0, size.y * w / h - size.x) / 2, tall = fmax(0, size.x * h / w - size.y) / 2;
    b.min = kw_v2(b.min.x - wide, b.min.y - tall);
    b.max = kw_v2(b.max.x + wide, b.max.y + tall);
    return b;
}

void paper_collision(const struct paper *p, const struct kw_brake_collision *c, double x, double y,
                     double w, double h) {
    struct kw_box2 box = round_spot(c, w, h);
    struct kw_view view = kw_view_fit(box, x, y, w, h);
    struct kw_pen tools = {
        .width = 0.25, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.8)};
    struct kw_pen beams = {
        .width = 0.25, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.92)};
    struct kw_pen metal = {
        .width = 0.25, .colour = KW_BLACK, .fill = true, .fill_colour = KW_GREY(0.25)};
    struct kw_pen ring = {.width = 0.9, .colour = KW_BLACK};
    struct kw_pen white = {.width = 1.9, .colour = KW_WHITE};
    draw_in_box(p, view, box, &c->ram, 1, beams);
    draw_in_box(p, view, box, &c->bed, 1, beams);
    draw_in_box(p, view, box, &c->section.die, 1, tools);
    draw_in_box(p, view, box, &c->section.punch_after, 1, tools);
    draw_in_box(p, view, box, c->section.after, c->section.after_count, metal);
    struct kw_vec2 q = kw_view_point(view, c->spot);
    struct kw_path mark = kw_path_circle(p->scratch, q.x, q.y, 5, true, 0);
    p->draw.paths(p->draw.user, &mark, 1, white); // seen on metal too
    p->draw.paths(p->draw.user, &mark, 1, ring);
}

static void collision_page(struct paper *p, const struct kw_examined *what) {
    struct kw_brake_collision c;
    const char *bend, *face;
    struct paper_head head = {
        .kind = "Can't be bent",
        .job = "-",
        .part = kw_format(p->week->arena, "%s/%s", what->kit->name, what->part->name),
        .revision = what->part->revision,
        .count = "0, left out of this run",
        .caution = "Nothing of this page is to be bent: it shows why."};
    if (!kw_check_brake_collision(p->scratch, p->week->shop, what, what->brake->hit, 0, &c, &bend,
                                  &face))
        return;
    paper_begin(p, head);
    double w = p->w - 2 * PAPER_MARGIN, h = 120, y = p->top;
    // The scratch is emptied by the page: once more.
    if (!kw_check_brake_collision(p->scratch, p->week->shop, what, what->brake->hit, 0, &c, &bend,
                                  &face))
        return;
    paper_fit(p, PAPER_MARGIN, y + 5, w, 4.2, true,
              kw_format(p->scratch, "bend %s: %s runs into the %s", bend, face,
                        kw_brake_obstacle_name(what->brake->hit->obstacle)));
    paper_collision(p, &c, PAPER_MARGIN, y + 10, w, h);
    y += h + 20;
    for (int i = 0; i < p->week->findings.count; i++) {
        const struct kw_finding *f = &p->week->findings.v[i];
        if (strcmp(f->rule, "bend-collision") != 0 || !f->part ||
            strcmp(f->part, what->part->name) != 0)
            continue;
        y = paper_wrapped(p, PAPER_MARGIN, y, w, 3.2, false, f->says) + 2;
        y = paper_wrapped(p, PAPER_MARGIN, y, w, 3.2, true,
                          kw_format(p->scratch, "What would help: %s", f->fix)) +
            4;
    }
}

void paper_collisions(struct paper *p) {
    for (int k = 0; k < p->week->run_kit_count; k++)
        for (int i = 0; i < p->week->run_kits[k].part_count; i++) {
            const struct kw_examined *what = &p->week->run_kits[k].parts[i];
            if (what->brake && what->brake->collides && what->brake->hit) collision_page(p, what);
        }
}
