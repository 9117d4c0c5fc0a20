// SPDX-License-Identifier: Apache-2.0
// Hand-made parts for the brake's tests: strips of flats joined by bends, and boxes.
#pragma once

#include "brake/brake.h"

#include <criterion/criterion.h>

#define DEG  (KW_PI / 180)
#define HERE ((struct kw_place){"part", 1, 1})

struct test_part {
    struct kw_arena arena;
    struct kw_brake_face faces[32];
    struct kw_brake_bend bends[32];
    struct kw_brake_part part;
};

/// A rectangle as face; returns its index.
static inline int add_face(struct test_part *p, const char *name, double x0, double y0, double x1,
                           double y1) {
    p->faces[p->part.face_count] =
        (struct kw_brake_face){name, kw_path_box_outline(&p->arena, x0, y0, x1, y1, 0)};
    p->part.faces = p->faces;
    p->part.bends = p->bends;
    return p->part.face_count++;
}

static inline struct kw_brake_bend *add_bend(struct test_part *p, const char *id, int parent,
                                             int child, struct kw_vec2 from, struct kw_vec2 to,
                                             double degrees, bool down, double radius,
                                             double allowance) {
    struct kw_brake_bend *b = &p->bends[p->part.bend_count++];
    *b = (struct kw_brake_bend){.id = id,
                                .parent = parent,
                                .child = child,
                                .from = from,
                                .to = to,
                                .angle = degrees * DEG,
                                .down = down,
                                .radius = radius,
                                .allowance = allowance};
    return b;
}

/// Flats side by side along x, `wide` in y, zones of `zone` between them; turns in degrees,
/// negative is down; `root` is the index that becomes face 0.
static inline void make_strip(struct test_part *p, const double *flats, const double *turns,
                              int count, int root, double wide, double radius, double zone) {
    static const char *const names[] = {"A", "B", "C", "D", "E", "F", "G", "H"};
    double x[16];
    int face[16];
    x[0] = 0;
    for (int i = 1; i < count; i++)
        x[i] = x[i - 1] + flats[i - 1] + zone;
    face[root] = add_face(p, "base", x[root], 0, x[root] + flats[root], wide);
    for (int i = 0; i < count; i++)
        if (i != root)
            face[i] = add_face(p, names[i < root ? i : i - 1], x[i], 0, x[i] + flats[i], wide);
    for (int i = 0; i + 1 < count; i++) {
        double line = x[i + 1] - zone / 2;
        int inner = i < root ? i + 1 : i, outer = i < root ? i : i + 1;
        add_bend(p, names[i], face[inner], face[outer], kw_v2(line, 0), kw_v2(line, wide),
                 fabs(turns[i]), turns[i] < 0, radius, zone);
    }
}

static const struct kw_brake_material mild = {
    .thickness = 3, .tensile = 450, .yield = 250, .modulus = 200000};

#define DIE(name, v, shoulder, tall, most)                                                         \
    {                                                                                              \
        .id = name, .opening = v, .angle = 85 * DEG, .shoulder_radius = shoulder, .height = tall,  \
        .rating = most                                                                             \
    }
static const struct kw_brake_die test_dies[] = {
    DIE("D1", 12, 1, 60, 300), DIE("D2", 16, 1.5, 60, 600), DIE("D3", 25, 2, 60, 900),
    DIE("D4", 40, 3, 80, 1000)};
static const struct kw_brake_punch test_punches[] = {
    {.id = "P1", .nose_radius = 1, .angle = 85 * DEG, .height = 90, .rating = 800},
    {.id = "P2", .nose_radius = 3, .angle = 85 * DEG, .height = 90, .rating = 800}};
static const struct kw_brake_shop test_shop = {.press = {.rating = 400000,
                                                         .bed_length = 1250,
                                                         .between_frames = 1050,
                                                         .throat = 200,
                                                         .open_height = 350,
                                                         .stroke = 250,
                                                         .gauge_min_x = 5,
                                                         .gauge_max_x = 600,
                                                         .gauge_min_r = -30,
                                                         .gauge_max_r = 60,
                                                         .one_person_mass = 23},
                                               .dies = test_dies,
                                               .die_count = 4,
                                               .punches = test_punches,
                                               .punch_count = 2};

static inline struct kw_brake_plan plan_of(struct test_part *p, const struct kw_brake_shop *shop) {
    p->part.faces = p->faces; // the struct may have been copied
    p->part.bends = p->bends;
    struct kw_brake_plan plan;
    struct kw_error err = {0};
    enum kw_status s = kw_brake_plan(&p->arena, &p->part, &mild, shop, HERE, &plan, &err);
    cr_assert_eq(s, KW_OK, "%s", err.text);
    return plan;
}

/// Ids of the bends in order, a space between strokes: "AB C".
static inline const char *order_text(struct test_part *p, const struct kw_brake_plan *plan) {
    struct kw_text t = {0};
    kw_text_add(&t, "");
    for (int i = 0; i < plan->step_count; i++) {
        if (i) kw_text_add(&t, " ");
        for (int k = 0; k < plan->steps[i].bend_count; k++)
            kw_text_add(&t, p->bends[plan->steps[i].bends[k]].id);
    }
    const char *out = kw_copy_text(&p->arena, t.s, t.length);
    kw_text_free(&t);
    return out;
}

static inline const struct kw_brake_problem *problem_of(const struct kw_brake_plan *plan,
                                                        enum kw_brake_problem_kind kind) {
    for (int i = 0; i < plan->problem_count; i++)
        if (plan->problems[i].kind == kind) return &plan->problems[i];
    return NULL;
}

/// The test shop with one tall punch: straight, or a gooseneck with that neck.
static inline struct kw_brake_shop one_tall_punch(double neck) {
    static struct kw_brake_punch punch;
    punch = test_punches[0];
    punch.neck = neck;
    punch.height = 150;
    struct kw_brake_shop shop = test_shop;
    shop.press.open_height = 450;
    shop.press.gauge_max_r = 200;
    shop.punches = &punch;
    shop.punch_count = 1;
    return shop;
}
